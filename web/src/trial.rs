//! What the tests of the page share.

use layshaft_core::sheets::{self, Report};

/// What a sheet says about these entries.
pub fn report(sheet: &str, entries: &[(&str, &str)]) -> Report {
    sheets::find(sheet)
        .expect("it is listed")
        .run(&entries.iter().copied().collect())
}
