//! `supply` drawn: all loads, and each set that may be on together, against what the supply should carry.

use layshaft_core::entry::write::write_significant;
use layshaft_core::sheets::{Cell, Found, Report};

use super::Drawing;
use super::bars::{self, Bar};

fn bar(name: String, watts: f64) -> Bar {
    Bar {
        name,
        amount: watts,
        figure: write_significant(watts, 3) + " W",
    }
}

/// The bars, once the supply and its loads are known.
pub fn draw(report: &Report) -> Option<Drawing> {
    let (total, left) = (report.number("total")?, report.number("left")?);
    let volts = report.inputs.num("volts")?;
    // Loads of one name share their bars: nothing else tells them apart in the sets.
    let watts = |name: &str| {
        let mut loads = report.inputs.rows("loads").into_iter().flatten();
        loads
            .find(|row| row.word(0) == Some(name))
            .and_then(|row| row.either(1))
            .map_or(0.0, |(unit, x)| if unit == 0 { x } else { x * volts })
    };
    let mut bars = vec![bar("everything at once".into(), total)];
    if let (true, Some(Found::Rows(sets))) = (left < 0.0, report.found("sets")) {
        bars.extend(sets.iter().map(|set| {
            let names: Vec<&str> = set
                .iter()
                .filter_map(|cell| match cell {
                    Cell::Text(name) => Some(name.as_ref()),
                    _ => None,
                })
                .collect();
            bar(names.join(" + "), names.iter().copied().map(watts).sum())
        }));
    }
    let carried = total + left;
    bars::draw(
        &bars,
        Some((carried, "the supply's limit")),
        total.max(carried) * 1.05,
        "What may be on together; the limit is the rating times the share to use.",
    )
}
