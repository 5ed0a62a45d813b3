//! `identify` drawn: the candidates by how probable each is.

use layshaft_core::entry::write::write_fixed;
use layshaft_core::sheets::{Cell, Found, Report};

use super::Drawing;
use super::bars::{self, Bar};

/// Candidates less probable than this are in the table only.
const LEAST: f64 = 0.001;

/// The ranked list with bars, once there are readings.
pub fn draw(report: &Report) -> Option<Drawing> {
    let Found::Rows(rows) = report.found("ranked")? else {
        return None;
    };
    let bars: Vec<Bar> = rows
        .iter()
        .filter_map(|row| match row.as_slice() {
            [Cell::Text(name), _, Cell::Number(p)] if *p >= LEAST => Some(Bar {
                name: name.to_string(),
                amount: *p,
                figure: write_fixed(100.0 * p, 1) + " %",
            }),
            _ => None,
        })
        .collect();
    bars::draw(
        &bars,
        None,
        1.0,
        "How probable each candidate is, if it is one of those listed.",
    )
}
