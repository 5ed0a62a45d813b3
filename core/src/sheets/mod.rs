//! The sheets: declared entries, one pure function, declared answers.
//!
//! Adding a sheet is adding one file beside this one and one line in [`ALL`].

#![cfg_attr(
    not(feature = "drafts"),
    allow(dead_code, reason = "drafts are compiled, but not listed")
)]

mod beam;
mod belt;
mod coils;
mod control;
mod current;
mod cutoff;
pub mod declare;
mod entries;
mod find;
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
pub use outcome::{Cell, Found, Outcome, State, Task};
pub use report::{Checked, Report, Step, cell_shown, figure, head_sign, join_unit};
pub(crate) use report::{fill, with_unit};

/// Every sheet, in the order in which they are listed.
///
/// Those behind `drafts` answer in full, but have no drawing yet and have not been brought down to their share of the
/// page's bytes: the page is built without them, everything else with them.
pub static ALL: &[&Sheet] = &[
    &travel::SHEET,
    #[cfg(feature = "drafts")]
    &gears::SHEET,
    &microstep::SHEET,
    #[cfg(feature = "drafts")]
    &rate::SHEET,
    #[cfg(feature = "drafts")]
    &headroom::SHEET,
    #[cfg(feature = "drafts")]
    &screw::SHEET,
    #[cfg(feature = "drafts")]
    &belt::SHEET,
    #[cfg(feature = "drafts")]
    &homing::SHEET,
    &current::SHEET,
    #[cfg(feature = "drafts")]
    &coils::SHEET,
    &sensor::SHEET,
    #[cfg(feature = "drafts")]
    &identify::SHEET,
    #[cfg(feature = "drafts")]
    &heater::SHEET,
    #[cfg(feature = "drafts")]
    &cutoff::SHEET,
    #[cfg(feature = "drafts")]
    &control::SHEET,
    #[cfg(feature = "drafts")]
    &supply::SHEET,
    #[cfg(feature = "drafts")]
    &wire::SHEET,
    #[cfg(feature = "drafts")]
    &mass::SHEET,
    #[cfg(feature = "drafts")]
    &rods::SHEET,
    #[cfg(feature = "drafts")]
    &beam::SHEET,
    #[cfg(feature = "drafts")]
    &joint::SHEET,
    #[cfg(feature = "drafts")]
    &reach::SHEET,
    #[cfg(feature = "drafts")]
    &height::SHEET,
    #[cfg(feature = "drafts")]
    &switch::SHEET,
    #[cfg(feature = "drafts")]
    &proof::SHEET,
    #[cfg(feature = "drafts")]
    &square::SHEET,
    #[cfg(feature = "drafts")]
    &level::SHEET,
    #[cfg(feature = "drafts")]
    &ringing::SHEET,
    #[cfg(feature = "drafts")]
    &flow::SHEET,
    #[cfg(feature = "drafts")]
    &find::SHEET,
];

/// The sheet of this id.
pub fn find(id: &str) -> Option<&'static Sheet> {
    ALL.iter().copied().find(|sheet| sheet.id == id)
}
