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

use crate::sheets::{Inputs, Outcome, Place};

/// Works the sheet out with `value` in one place and gives the number of one answer there.
///
/// `None` where the sheet has no such number, or finds a problem with what was put.
fn answer_at(inputs: &Inputs, place: Place, value: f64, answer: &str) -> Option<f64> {
    let mut inputs = inputs.clone();
    inputs.put(place, value);
    let outcome = numbers(&inputs);
    if outcome.found_problems() {
        return None;
    }
    outcome.number(answer)
}

/// Works the sheet out for its numbers only.
fn numbers(inputs: &Inputs) -> Outcome {
    let mut outcome = Outcome::for_numbers();
    (inputs.sheet().work)(inputs, &mut outcome);
    outcome
}
