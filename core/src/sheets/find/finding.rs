//! The search under way, and what is listed of it.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::{self, Vec};
use core::mem;

use super::super::inputs::{Inputs, Row};
use super::super::outcome::{Cell, Outcome, Task};
use super::number;
use super::parts::{Made, Parts};
use crate::entry::write::{write_fixed, write_shortest, write_significant};
use crate::find::{Best, Drive, Search, Space, at};
use crate::link;

/// A longer list of the best would not be read; narrower lists or a narrower target say more.
const MOST_ROWS: usize = 10_000;

/// Steps of the search that take as long as listing one design.
const STEPS_A_ROW: u64 = 500;

/// The search under way.
#[derive(Debug)]
pub struct Finding {
    parts: Parts,
    search: Search,
    stopped: bool,
    /// What is still to be listed, once the search is done.
    best: Option<vec::IntoIter<Best>>,
    /// What is listed already.
    rows: Vec<Vec<Cell>>,
}

impl Finding {
    /// One that has not begun.
    pub fn new(parts: Parts, space: Space, lists: bool) -> Self {
        let limit = if lists {
            MOST_ROWS.div_ceil(parts.micros.len().max(1))
        } else {
            0
        };
        Self {
            parts,
            search: Search::new(space, limit),
            stopped: false,
            best: None,
            rows: Vec::new(),
        }
    }

    /// Designs as combinations: each stands for one per microstep.
    fn combinations(&self, designs: u64) -> u64 {
        let micros = u64::try_from(self.parts.micros.len()).unwrap_or(u64::MAX);
        designs.saturating_mul(micros)
    }

    /// What is said when the list is not all there is.
    fn note(&self) -> Option<String> {
        let count = |n: u64| write_fixed(number(self.combinations(n)), 0);
        if self.stopped {
            let (looked, all) = (self.search.looked(), self.search.space().designs());
            let mut note = format!(
                "Stopped after {} of {} combinations. This is not all.",
                count(looked),
                count(all)
            );
            if let Some(full_step) = self.search.reached() {
                let full_step = write_significant(full_step, 4);
                note += &format!(
                    " What is listed is beaten by none of the others either; full steps coarser than {full_step} µm were not tried."
                );
            }
            return Some(note);
        }
        let listed = u64::try_from(self.rows.len()).unwrap_or(u64::MAX);
        let unbeaten = self.search.unbeaten();
        (self.combinations(unbeaten) > listed).then(|| {
            format!(
                "No other one beats {} combinations: nearly each gives a little more torque for a little more full step. Listed are {}, those with the finest full step. Narrow the target or the lists to see the others.",
                count(unbeaten),
                write_fixed(number(listed), 0),
            )
        })
    }
}

impl Task for Finding {
    fn advance(&mut self, inputs: &Inputs, amount: u64) -> bool {
        let Some(best) = &mut self.best else {
            if self.stopped || self.search.advance(amount) {
                self.best = Some(self.search.best().into_iter());
            }
            return false;
        };
        let count = usize::try_from(amount / STEPS_A_ROW + 1).unwrap_or(usize::MAX);
        let now: Vec<Best> = best.by_ref().take(count).collect();
        let over = now.len() < count;
        for best in now {
            for micro in &self.parts.micros {
                let row = self.row(inputs, best, *micro);
                self.rows.extend(row);
            }
        }
        over
    }

    fn progress(&self) -> (f64, f64) {
        let count = |n: u64| number(self.combinations(n));
        (
            count(self.search.looked()),
            count(self.search.space().designs()),
        )
    }

    fn stop(&mut self) {
        // A search that is done is listed whole.
        self.stopped = self.stopped || self.best.is_none();
    }

    fn put(&mut self, out: &mut Outcome) {
        let count = |n: u64| number(self.combinations(n));
        out.put("tried", count(self.search.looked()));
        out.put("found", count(self.search.found()));
        out.put("unbeaten", count(self.search.unbeaten()));
        if out.wants_rows() {
            out.note = self.note();
            out.put_rows("best", mem::take(&mut self.rows));
        }
    }
}

impl Finding {
    fn row(&self, inputs: &Inputs, best: Best, micro: u32) -> Option<Vec<Cell>> {
        let space = self.search.space();
        let drive = at(space.drives(), best.design.drive)?;
        let ratio = at(space.gears(), best.design.gear)?.ratio;
        let (turn_travel, ..) = space.measures(best.design)?;
        let made = self.parts.made(best.design.drive)?;
        let gears = self.parts.gear(best.design.gear)?;
        let motor = self.parts.motor(best.design.motor)?;
        let motor = inputs.rows("motors")?.get(motor)?;
        let text = |text: String| Cell::Text(text.into());
        Some(
            [
                text(made.name()),
                Cell::number(ratio.value()),
                Cell::number(f64::from(micro)),
                text(motor.word(0)?.to_string()),
                Cell::number(turn_travel),
                Cell::number(best.full_step),
                Cell::number(best.in_hand),
                Cell::number(f64::from(best.parts)),
                Cell::number(best.price),
                text(travel_link(&made, gears, motor, micro)),
                text(headroom_link(inputs, drive, turn_travel, motor)),
            ]
            .into(),
        )
    }
}

/// A number as a link's entry.
fn entry(value: Option<f64>) -> String {
    value.map_or(String::new(), |value| write_shortest(value, 17))
}

/// The travel sheet filled in.
fn travel_link(made: &Made, gears: &str, motor: &Row, micro: u32) -> String {
    let step = entry(motor.num(1));
    let micro = micro.to_string();
    let rest = [
        ("gears", gears),
        ("step", step.as_str()),
        ("micro", micro.as_str()),
        ("span", "300"),
    ];
    let entries = made.entries();
    let drive = entries.iter().map(|(key, text)| (*key, text.as_str()));
    link::write_pairs("travel", drive.chain(rest))
}

/// The headroom sheet filled in.
fn headroom_link(inputs: &Inputs, drive: &Drive, turn_travel: f64, motor: &Row) -> String {
    let own = |key| entry(inputs.num(key));
    let efficiency = entry(Some(drive.efficiency * 100.0));
    let pairs = [
        ("layout", "separate".to_string()),
        ("mass", own("mass")),
        ("lift", own("lift")),
        ("friction", own("friction")),
        ("efficiency", efficiency),
        ("turn_travel", entry(Some(turn_travel))),
        ("step", entry(motor.num(1))),
        ("rotor_inertia", entry(motor.num(6))),
        ("motors", "1".to_string()),
        ("wiring", "own_driver".to_string()),
        ("hold_torque", entry(motor.num(2))),
        ("rated", entry(motor.num(3))),
        ("set_rms", entry(motor.num(3))),
        ("resistance", entry(motor.num(4))),
        ("inductance", entry(motor.num(5))),
        ("supply", own("supply")),
        ("speed", own("speed")),
        ("accel", own("accel")),
        ("margin", own("margin")),
    ];
    link::write_pairs(
        "headroom",
        pairs.iter().map(|(key, text)| (*key, text.as_str())),
    )
}
