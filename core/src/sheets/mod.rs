//! The sheets: declared entries, one pure function, declared answers.
//!
//! Adding a sheet is adding one file beside this one and one line in [`ALL`].

mod beam;
mod belt;
mod coils;
mod control;
mod current;
mod cutoff;
pub mod declare;
mod entries;
mod flow;
mod gears;
mod headroom;
mod heater;
mod height;
mod homing;
mod identify;
mod inputs;
mod joint;
mod level;
mod mass;
mod microstep;
mod outcome;
mod proof;
mod rate;
mod reach;
mod report;
mod ringing;
mod rods;
mod screw;
mod sensor;
mod square;
mod supply;
mod switch;
#[cfg(test)]
mod tests;
mod travel;
#[cfg(test)]
mod trial;
mod wire;

pub use declare::{Answer, Caution, Check, Field, Kind, Sheet, Subject};
pub use entries::Entries;
pub use inputs::{Inputs, Origin, Place, Problem, Row, Value, accepts, accepts_quantity};
pub(crate) use outcome::at_most;
pub use outcome::{Cell, Found, Outcome, State};
pub use report::{Checked, Report, Step, cell_shown, figure, head_sign, join_unit};
pub(crate) use report::{fill, with_unit};

/// Every sheet, in the order in which they are listed.
pub static ALL: &[&Sheet] = &[
    &travel::SHEET,
    &gears::SHEET,
    &microstep::SHEET,
    &rate::SHEET,
    &headroom::SHEET,
    &screw::SHEET,
    &belt::SHEET,
    &homing::SHEET,
    &current::SHEET,
    &coils::SHEET,
    &sensor::SHEET,
    &identify::SHEET,
    &heater::SHEET,
    &cutoff::SHEET,
    &control::SHEET,
    &supply::SHEET,
    &wire::SHEET,
    &mass::SHEET,
    &rods::SHEET,
    &beam::SHEET,
    &joint::SHEET,
    &reach::SHEET,
    &height::SHEET,
    &switch::SHEET,
    &proof::SHEET,
    &square::SHEET,
    &level::SHEET,
    &ringing::SHEET,
    &flow::SHEET,
];

/// The sheet of this id.
pub fn find(id: &str) -> Option<&'static Sheet> {
    ALL.iter().copied().find(|sheet| sheet.id == id)
}
