//! What every sheet can do, because it is a pure function of its entries: carry tolerances, solve for an entry, sweep one.
//!
//! No sheet has code for this. A study puts numbers in the place of entries and works the sheet out again, without its
//! curves and tables.

mod root;
pub mod solve;
pub mod sweep;
#[cfg(test)]
mod tests;
pub mod tolerance;

use alloc::string::String;

use crate::sheets::{Inputs, Outcome, Place};

/// A sheet worked out again and again with another number in one place of its entries.
#[derive(Debug)]
struct Turned {
    inputs: Inputs,
    place: Place,
    outcome: Outcome,
}

impl Turned {
    fn new(inputs: &Inputs, place: Place) -> Self {
        Self {
            inputs: inputs.clone(),
            place,
            outcome: Outcome::for_numbers(),
        }
    }

    /// Works the sheet out with `value` in the place, and whatever work it leaves.
    fn at(&mut self, value: f64) -> &Outcome {
        self.inputs.put(self.place, value);
        self.outcome.clear();
        (self.inputs.sheet().work)(&self.inputs, &mut self.outcome);
        self.outcome.finish(&self.inputs);
        &self.outcome
    }

    /// The number of an answer there; `None` where the sheet has none, or finds a problem with what was put.
    fn number(&mut self, value: f64, answer: &str) -> Option<f64> {
        self.at(value);
        self.read(answer)
    }

    /// The number of an answer where the sheet was worked out last.
    fn read(&self, answer: &str) -> Option<f64> {
        let outcome = &self.outcome;
        outcome.number(answer).filter(|_| !outcome.found_problems())
    }
}

/// Why the sheet gives no number of this answer to a study, where it says so itself: a try of it would take too long.
fn too_long(inputs: &Inputs, answer: &str) -> Option<String> {
    let outcome = numbers(inputs);
    let none = outcome.task.is_none() && outcome.number(answer).is_none();
    outcome.note.filter(|_| none)
}

/// Works the sheet out for its numbers only, without the work that it leaves.
fn numbers(inputs: &Inputs) -> Outcome {
    let mut outcome = Outcome::for_numbers();
    (inputs.sheet().work)(inputs, &mut outcome);
    outcome
}
