//! What only the whole machine tells: loads against the supply, step rates against the controller, sensors against heaters,
//! axes that drop, motors that soften their mounts, switches that fail unsafe, and what was never proven.
//!
//! The checks read answers by the sheet's id and the answer's key and skip what is not there.

use alloc::borrow::Cow;
use alloc::format;
use alloc::string::ToString;
use alloc::vec::Vec;

use super::work::{Place, Worked};
use super::{Machine, Part, Trust};
use crate::entry::write::write_shortest;
use crate::sheets::{Checked, Report, State, at_most, fill, with_unit};

mod loads;
mod rates;
#[cfg(test)]
mod tests;
mod words;

pub use words::CHECKS;

/// A check of the whole machine that was made.
#[derive(Clone, Debug)]
pub struct MachineCheck {
    /// How it came out.
    pub checked: Checked,
    /// The entries and answers that decide it, the one to look at first in front.
    pub places: Vec<Place>,
}

/// Read as the check of a sheet is.
impl core::ops::Deref for MachineCheck {
    type Target = Checked;

    fn deref(&self) -> &Checked {
        &self.checked
    }
}

impl Worked {
    /// The checks of the whole machine, in the order of [`CHECKS`] and of the parts.
    pub fn checks(&self, machine: &Machine) -> Vec<MachineCheck> {
        let mut bench = Bench {
            machine,
            worked: self,
            checks: Vec::new(),
        };
        bench.loads();
        bench.step_rates();
        for (at, part) in machine.parts.iter().enumerate() {
            bench.heater(at);
            bench.drop(at);
            bench.mount(at);
            bench.switch(at);
            bench.unproven(at, part);
        }
        let place = |made: &MachineCheck| CHECKS.iter().position(|check| check.id == made.check.id);
        bench.checks.sort_by_key(place);
        bench.checks
    }
}

/// The machine while it is checked.
struct Bench<'a> {
    machine: &'a Machine,
    worked: &'a Worked,
    checks: Vec<MachineCheck>,
}

/// The number of an entry; `None` also where the sheet has no such field.
fn entry(report: &Report, key: &str) -> Option<f64> {
    report
        .inputs
        .field(key)
        .and_then(|_| report.inputs.num(key))
}

/// The chosen option of an entry; empty where there is none.
fn choice(report: &Report, key: &str) -> &'static str {
    report
        .inputs
        .field(key)
        .map_or("", |_| report.inputs.choice(key))
}

impl<'a> Bench<'a> {
    fn name(&self, part: usize) -> &'a str {
        self.machine
            .parts
            .get(part)
            .map_or("", |part| part.name.as_str())
    }

    /// Every part that has a sheet, with its report.
    fn with(&self, sheet: &'static str) -> impl Iterator<Item = (usize, &'a Report)> + use<'a> {
        self.worked
            .reports()
            .filter(move |(_, report)| report.sheet.id == sheet)
    }

    /// A check of this id that came out like that; `names` is for its sentence.
    fn found(
        &mut self,
        id: &str,
        part: usize,
        (state, value, limit): (State, Option<f64>, Option<f64>),
        names: &str,
        places: Vec<Place>,
    ) {
        let Some(check) = CHECKS.iter().find(|check| check.id == id) else {
            return;
        };
        let template = match state {
            State::Within => check.within,
            State::Near => check.near,
            State::Over => check.over,
        };
        let number = |x: Option<f64>| {
            x.map(|x| match check.measure.unit.symbol {
                "" => write_shortest(x, 6),
                _ => with_unit(x, check.measure),
            })
        };
        let text = fill(template, |key| match key {
            "value" => number(value),
            "limit" => number(limit),
            "part" => Some(self.name(part).to_string()),
            _ => Some(names.to_string()),
        });
        let text = text.unwrap_or_default();
        self.checks.push(MachineCheck {
            checked: Checked {
                check,
                state,
                value,
                limit,
                text,
            },
            places,
        });
    }

    /// `value` against the most it may be.
    fn at_most(
        &mut self,
        id: &str,
        part: usize,
        value: f64,
        limit: f64,
        names: &str,
        places: Vec<Place>,
    ) {
        let state = at_most(value, limit);
        self.found(id, part, (state, Some(value), Some(limit)), names, places);
    }

    /// A heater against its sensor, and what stops it when its switch fails on.
    fn heater(&mut self, part: usize) {
        let Some(heater) = self.worked.report(part, "heater") else {
            return;
        };
        let of = |sheet, key| Place { part, sheet, key };
        let target = entry(heater, "target");
        let allowed = entry(heater, "max_allowed");
        if let Some(sensor) = self.worked.report(part, "sensor")
            && let Some((low, high, key)) = known(sensor)
        {
            if let Some(most) = allowed.into_iter().chain(target).reduce(f64::max) {
                let state = if most > high {
                    State::Over
                } else {
                    State::Within
                };
                let places = [
                    of("sensor", key),
                    of("heater", "max_allowed"),
                    of("heater", "target"),
                ]
                .into();
                self.found(
                    "sensor_range",
                    part,
                    (state, Some(most), Some(high)),
                    "",
                    places,
                );
            }
            if let Some(start) = entry(heater, "ambient").filter(|start| *start < low) {
                let places = [of("sensor", key), of("heater", "ambient")].into();
                self.found(
                    "sensor_range",
                    part,
                    (State::Near, Some(start), Some(low)),
                    "",
                    places,
                );
            }
        }
        if let (Some(steady), Some(allowed)) = (
            heater
                .number("steady_max_high")
                .or_else(|| heater.number("steady_max")),
            allowed,
        ) {
            let fused = self.worked.word(part, "cutoff", "verdict") == Some("yes");
            let state = if fused {
                State::Within
            } else {
                at_most(steady, allowed)
            };
            // A heater that cannot overheat needs no fuse.
            if fused || state != State::Within {
                let places = [
                    of("cutoff", "rating"),
                    of("heater", "max_allowed"),
                    of("heater", "steady_max_high"),
                ]
                .into();
                self.found(
                    "fuse",
                    part,
                    (state, Some(steady), Some(allowed)),
                    "",
                    places,
                );
            }
        }
    }

    /// What holds a lift axis when its motor does not.
    fn drop(&mut self, part: usize) {
        let places = |sheet, key| [Place { part, sheet, key }].into();
        if let Some(screw) = self.worked.report(part, "screw") {
            let holds = self.worked.word(part, "screw", "holds_unpowered");
            let by_half = screw
                .checks
                .iter()
                .find(|checked| checked.check.id == "drop")
                .map(|checked| checked.state);
            let state = match (holds, by_half) {
                (Some("no"), _) => State::Over,
                (Some(_), Some(state)) => state,
                _ => return,
            };
            let names = match state {
                State::Over => {
                    "the load drives the screw. Fit a brake, a counterweight or a screw of smaller lead."
                }
                _ => {
                    "it holds by its friction, but not by half of it; grease or vibration can halve it."
                }
            };
            self.found(
                "drop",
                part,
                (state, None, None),
                names,
                places("screw", "holds_unpowered"),
            );
        } else if let Some(lift) = self
            .worked
            .report(part, "headroom")
            .and_then(|report| entry(report, "lift"))
            && lift > 0.0
            && self
                .worked
                .report(part, "travel")
                .is_some_and(|report| choice(report, "drive") != "screw")
        {
            let names = "nothing but the motor holds it. Fit a brake, a counterweight or a screw.";
            let mut places: Vec<Place> = places("headroom", "lift");
            places.push(Place {
                part,
                sheet: "travel",
                key: "drive",
            });
            self.found("drop", part, (State::Over, None, None), names, places);
        }
    }

    /// A motor's heat against what its mount stands, as the motor's own sheet compares them.
    fn mount(&mut self, part: usize) {
        let Some(current) = self.worked.report(part, "current") else {
            return;
        };
        if let Some(made) = current
            .checks
            .iter()
            .find(|checked| checked.check.id == "mount")
        {
            let places = ["mount_limit", "set", "ambient"]
                .map(|key| Place {
                    part,
                    sheet: "current",
                    key,
                })
                .into();
            self.found(
                "mount",
                part,
                (made.state, made.value, made.limit),
                "",
                places,
            );
        }
    }

    /// A switch that a broken wire leaves unseen.
    fn switch(&mut self, part: usize) {
        let Some(safe) = self.worked.word(part, "switch", "safe") else {
            return;
        };
        let state = if safe == "no" {
            State::Over
        } else {
            State::Within
        };
        let places = ["contact", "pull", "to"]
            .map(|key| Place {
                part,
                sheet: "switch",
                key,
            })
            .into();
        self.found("switch", part, (state, None, None), "", places);
    }

    /// The main answers of a part that nobody proved, or that changed since.
    fn unproven(&mut self, at: usize, part: &Part) {
        let marks = part.marks();
        let (mut all, mut proven) = (0_u32, 0_u32);
        let (mut places, mut changed) = (Vec::new(), Vec::new());
        for report in self
            .worked
            .of(at)
            .filter(|report| !super::is_own(report.sheet))
        {
            for (answer, found) in report.answers().filter(|(answer, _)| answer.headline) {
                if found.is_none() {
                    continue;
                }
                all += 1;
                let is_of = |mark: &&super::Mark| {
                    mark.sheet == report.sheet.id && mark.answer == answer.key
                };
                let mark = marks
                    .iter()
                    .find(is_of)
                    .filter(|mark| mark.trust == Trust::Proven);
                match mark.map(|mark| mark.is_stale(report)) {
                    Some(false) => proven += 1,
                    stale => {
                        places.push(Place {
                            part: at,
                            sheet: report.sheet.id,
                            key: answer.key,
                        });
                        changed.extend(stale.map(|_| answer.label));
                    }
                }
            }
        }
        if all > 0 {
            let state = if proven == all {
                State::Within
            } else {
                State::Near
            };
            let names = match changed.as_slice() {
                [] => Cow::Borrowed(""),
                labels => Cow::Owned(format!(
                    " Changed since it was proven: {}.",
                    labels.join(", ")
                )),
            };
            self.found(
                "unproven",
                at,
                (state, Some(f64::from(proven)), Some(f64::from(all))),
                &names,
                places,
            );
        }
    }
}

/// Whether one name contains the other, spaces and the word "axis" apart.
fn alike(a: &str, b: &str) -> bool {
    let plain = |name: &str| {
        name.to_ascii_lowercase()
            .replace("axis", "")
            .replace([' ', '-', '_'], "")
    };
    let (a, b) = (plain(a), plain(b));
    // A letter alone, as X, would be part of many names.
    let within = |part: &str, whole: &str| {
        part == whole || part.chars().nth(1).is_some() && whole.contains(part)
    };
    !a.is_empty() && !b.is_empty() && (within(&a, &b) || within(&b, &a))
}

/// The temperatures between which a sensor's curve is known, and the entry that says so.
///
/// # Source
/// Platinum: IEC 60751, -200 to 850 °C; type K: ITS-90 (NIST), -270 to 1372 °C. A thermistor by its formula has no end of
/// its own: its table's ends, which are the range that was looked at, stand for it.
fn known(sensor: &Report) -> Option<(f64, f64, &'static str)> {
    Some(match choice(sensor, "kind") {
        "points" => {
            let points = sensor
                .inputs
                .rows("points")?
                .iter()
                .filter_map(|row| row.num(0));
            let ends = points.fold(None, |ends: Option<(f64, f64)>, celsius| {
                Some(ends.map_or((celsius, celsius), |(low, high)| {
                    (low.min(celsius), high.max(celsius))
                }))
            });
            let (low, high) = ends?;
            (low, high, "points")
        }
        "platinum" => (-200.0, 850.0, "kind"),
        "thermocouple_k" => (-270.0, 1372.0, "kind"),
        _ => (entry(sensor, "low")?, entry(sensor, "high")?, "high"),
    })
}
