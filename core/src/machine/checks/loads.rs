//! All loads of the machine against its supplies.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use super::{Bench, Place, alike, entry};
use crate::entry::unit::W;
use crate::sheets::{Report, with_unit};

impl Bench<'_> {
    /// Every supply against its own list and the heaters and motors of its voltage that the list leaves out.
    pub(super) fn loads(&mut self) {
        let supplies: Vec<Supply> = self
            .with("supply")
            .filter_map(|(part, report)| Supply::of(part, report))
            .collect();
        for supply in &supplies {
            let mut watts = supply.listed;
            let mut places: Vec<Place> = ["loads", "rated", "derate"]
                .map(|key| Place {
                    part: supply.part,
                    sheet: "supply",
                    key,
                })
                .into();
            let mut names: Vec<String> = Vec::new();
            for load in self.consumers().into_iter().filter(|load| {
                supply.feeds(load) && !supply.lists(load, self.name(load.place.part))
            }) {
                watts += load.watts;
                places.push(load.place);
                names.push(format!(
                    "{} {}",
                    self.name(load.place.part),
                    with_unit(load.watts, W)
                ));
            }
            let beside = match names.as_slice() {
                [] => String::new(),
                names => format!(" Not on its list, and counted: {}.", names.join(", ")),
            };
            self.at_most(
                "loads",
                supply.part,
                watts,
                supply.capacity,
                &beside,
                places,
            );
        }
    }

    /// What takes power by its own sheet: heaters cold, motors at standstill.
    fn consumers(&self) -> Vec<Consumer> {
        let heaters = self.with("heater").filter_map(|(part, report)| {
            Some(Consumer {
                place: Place {
                    part,
                    sheet: "heater",
                    key: "watts",
                },
                volts: entry(report, "volts")?,
                watts: report.number("watts").or_else(|| entry(report, "watts"))?,
                motor: false,
            })
        });
        let motors = self.with("current").filter_map(|(part, report)| {
            let volts = entry(report, "supply")?;
            let heat = || Some(report.number("heat")? * entry(report, "motors")?);
            Some(Consumer {
                place: Place {
                    part,
                    sheet: "current",
                    key: "supply_current",
                },
                volts,
                watts: report
                    .number("supply_current")
                    .map(|amps| amps * volts)
                    .or_else(heat)?,
                motor: true,
            })
        });
        heaters.chain(motors).collect()
    }
}

/// A supply with its list.
struct Supply<'a> {
    part: usize,
    volts: f64,
    /// What it should carry, W.
    capacity: f64,
    /// What its list takes, W.
    listed: f64,
    names: Vec<&'a str>,
}

/// A heater or the motors of an axis.
struct Consumer {
    place: Place,
    volts: f64,
    watts: f64,
    motor: bool,
}

impl<'a> Supply<'a> {
    fn of(part: usize, report: &'a Report) -> Option<Self> {
        let volts = entry(report, "volts")?;
        let rows = report.inputs.rows("loads").unwrap_or(&[]);
        Some(Self {
            part,
            volts,
            capacity: volts * entry(report, "rated")? * entry(report, "derate")? / 100.0,
            listed: report.number("total").unwrap_or(0.0),
            names: rows.iter().filter_map(|row| row.word(0)).collect(),
        })
    }

    /// Whether a load has this supply's voltage, to a tenth.
    fn feeds(&self, load: &Consumer) -> bool {
        (load.volts - self.volts).abs() <= self.volts / 10.0
    }

    /// Whether the list has a load of this part: by the part's name, or all motors in one line.
    fn lists(&self, load: &Consumer, part: &str) -> bool {
        let motors = |name: &&str| {
            ["motor", "stepper"]
                .iter()
                .any(|word| name.to_ascii_lowercase().contains(word))
        };
        self.names.iter().any(|name| alike(name, part))
            || load.motor && self.names.iter().any(motors)
    }
}
