//! What the tests in `tests/` share.

pub mod designs;
pub mod digest;
pub mod entries;
pub mod random;
pub mod samples;

use layshaft_core::link;
use layshaft_core::sheets::{Found, Report};

/// The report on a query such as `travel?pitch=2&teeth=20`, the way of the `answer` example.
///
/// # Panics
/// On a query that names no sheet or is damaged: a test would otherwise compare nothing.
pub fn report(query: &str) -> Report {
    let opened = link::read(query);
    assert!(
        !opened.faults.iter().any(link::Fault::is_error),
        "{query}: {:?}",
        opened.faults
    );
    match opened.sheet {
        Some(sheet) => sheet.run(&opened.entries),
        None => panic!("{query}: no sheet"),
    }
}

/// The number of one answer of a query that is free of messages.
///
/// # Panics
/// When there is a message or no such number.
pub fn number(query: &str, key: &str) -> f64 {
    let report = report(query);
    assert!(report.problems.is_empty(), "{query}: {:?}", report.problems);
    match report.number(key) {
        Some(number) => number,
        None => panic!("{query}: no {key}"),
    }
}

/// The words of one answer.
pub fn words(query: &str, key: &str) -> String {
    match report(query).found(key) {
        Some(Found::Text(text)) => text.to_string(),
        other => panic!("{query}: {key} is {other:?}"),
    }
}
