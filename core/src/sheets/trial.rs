//! What the sheets' own tests share: a sheet worked out from a few entries.

use alloc::vec::Vec;

use super::{Found, Report, find};

/// The sheet of this id worked out.
pub(super) fn run(sheet: &str, entries: &[(&str, &str)]) -> Report {
    let sheet = find(sheet).expect("the sheet is listed");
    sheet.run(&entries.iter().copied().collect())
}

/// The number of an answer; fails the test when there is none.
pub(super) fn number(report: &Report, key: &str) -> f64 {
    match report.number(key) {
        Some(value) => value,
        None => panic!("no {key}: {:?}", report.problems),
    }
}

/// The words of an answer; empty when there are none.
pub(super) fn text<'a>(report: &'a Report, key: &str) -> &'a str {
    match report.found(key) {
        Some(Found::Text(text)) => text,
        _ => "",
    }
}

/// The fields that have a message.
pub(super) fn faults(report: &Report) -> Vec<&'static str> {
    report
        .problems
        .iter()
        .map(|problem| problem.field)
        .collect()
}

/// The word of a check; empty when it is not listed.
pub(super) fn state(report: &Report, id: &str) -> &'static str {
    let checked = report.checks.iter().find(|checked| checked.check.id == id);
    checked.map_or("", |checked| checked.state.word())
}
