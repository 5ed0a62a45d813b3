//! The sheets: declared entries, one pure function, declared answers.
//!
//! Adding a sheet is adding one file beside this one and one line in the list below.

mod beam;
mod belt;
mod cited;
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
mod pack;
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

use alloc::boxed::Box;
use alloc::vec::Vec;

use once_cell::race::OnceBox;

pub use cited::{Cited, cited};
pub(crate) use declare::Carried;
pub use declare::{Answer, Caution, Check, Field, Kind, Sheet, Subject};
pub use entries::Entries;
pub use inputs::{
    Inputs, MOST_ROWS, Origin, Place, Problem, Row, Value, accepts, accepts_quantity,
};
pub(crate) use outcome::at_most;
pub use outcome::{Cell, Found, Outcome, State, Task};
pub use report::{Checked, Report, Step, cell_shown, figure, head_sign, join_unit};
pub(crate) use report::{fill, in_words, with_unit};

/// Packs the tables of each sheet while building, and lists them with their functions.
macro_rules! packed {
    ($($(#[$when:meta])? $sheet:ident,)*) => {
        &[$($(#[$when])? {
            const PACKED: pack::Packed = pack::pack(&$sheet::SHEET);
            static BYTES: [u8; PACKED.1] = pack::trim(&PACKED);
            (&BYTES, $sheet::SHEET.work)
        },)*]
    };
}

type Work = fn(&Inputs, &mut Outcome);

/// Every sheet, in the order in which they are listed.
static PACKED: &[(&[u8], Work)] = packed![
    travel, gears, microstep, rate, headroom, screw, belt, homing, current, coils, sensor,
    identify, heater, cutoff, control, supply, wire, mass, rods, beam, joint, reach, height,
    switch, proof, square, level, ringing, flow, find,
];

/// Every sheet, in the order in which they are listed; unpacked when first asked for.
pub fn all() -> &'static [Sheet] {
    static ALL: OnceBox<Vec<Sheet>> = OnceBox::new();
    ALL.get_or_init(|| {
        let unpacked = PACKED
            .iter()
            .map(|(bytes, work)| pack::unpack(bytes, *work));
        Box::new(unpacked.collect())
    })
}

/// The sheet of this id.
pub fn find(id: &str) -> Option<&'static Sheet> {
    all().iter().find(|sheet| sheet.id == id)
}
