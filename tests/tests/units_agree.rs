//! The same quantity typed in every unit that its field takes gives the same answers, on every sheet.
//!
//! The units themselves are held to NIST and to another library in `entry_units.rs`; here they go through the sheets.

use layshaft_core::entry::unit::{CELSIUS, Measure, Unit};
use layshaft_core::entry::write::write_shortest;
use layshaft_core::sheets::declare::Kind;
use layshaft_core::sheets::{Cell, Entries, Found, Report, Sheet, Value};
use layshaft_tests::designs::{measure, near, number, typed};
use layshaft_tests::random::Random;
use layshaft_tests::samples::samples;

/// Of an answer: what is left over when a float is written with 17 digits in another unit and read again.
const RELATIVE: f64 = 1e-12;

/// By how much an entry is moved to see how much an answer magnifies a last place of it.
const NUDGE: f64 = 1e-13;

/// A quantity that a text in `unit` brings back: the text with 17 digits.
fn in_unit(value: f64, from: Measure, unit: &Unit) -> String {
    typed(from.unit.value_in(value, unit), unit)
}

/// Every number of a report, with the answer or check it belongs to; rows cell by cell.
fn numbers(report: &Report) -> Vec<(&'static str, f64)> {
    let mut all = Vec::new();
    for (answer, found) in report.answers() {
        match found {
            Some(Found::Number(x)) => all.push((answer.key, *x)),
            Some(Found::List(list)) => all.extend(list.iter().map(|x| (answer.key, *x))),
            Some(Found::Rows(rows)) => {
                all.extend(rows.iter().flatten().filter_map(|cell| match cell {
                    Cell::Number(x) => Some((answer.key, *x)),
                    _ => None,
                }))
            }
            _ => {}
        }
    }
    for checked in &report.checks {
        all.extend(
            [checked.value, checked.limit]
                .into_iter()
                .flatten()
                .map(|x| (checked.check.id, x)),
        );
    }
    all
}

/// The report with one entry typed as `text`.
fn typed_as(sheet: &'static Sheet, entries: &Entries, key: &str, text: &str) -> Report {
    let mut entries = entries.clone();
    entries.set(key, text);
    sheet.run(&entries)
}

/// What a field was read as.
fn read<'a>(report: &'a Report, key: &str) -> Option<&'a Value> {
    let found = report
        .inputs
        .fields()
        .find(|(field, ..)| field.key == key)?;
    found.2
}

/// How often a text in another unit gave answers to compare.
#[derive(Default)]
struct Tried {
    units: usize,
    to_the_bit: usize,
}

/// Types one quantity in every unit of its dimension.
fn every_unit(
    sheet: &'static Sheet,
    report: &Report,
    key: &str,
    value: f64,
    of: Measure,
    tried: &mut Tried,
) {
    // Beside 0 °C the offset of the scale is what is rounded.
    let zero = if of.unit.is(CELSIUS.unit) {
        273.15
    } else {
        0.0
    };
    let scale = value.abs() + zero;
    let entries = &report.entries;
    let own = typed_as(sheet, entries, key, &typed(value, of.unit));
    let nudged = typed_as(sheet, entries, key, &typed(value + NUDGE * scale, of.unit));
    let (here, moved) = (numbers(&own), numbers(&nudged));
    for unit in of.dimension.units {
        let mut texts = vec![in_unit(value, of, unit)];
        // As a quotient the reader has it exactly: 2/25.4 in is 2 mm and nothing else.
        let size = unit.value_in(1.0, of.unit);
        if unit.value_in(0.0, of.unit) == 0.0 {
            let quotient = format!("{}/{}", write_shortest(value, 17), write_shortest(size, 17));
            texts.push(format!("{quotient} {}", unit.symbol));
        }
        for text in texts {
            let other = typed_as(sheet, entries, key, &text);
            let what = format!("{}: {key} = {text}, {value} {}", sheet.id, of.unit.symbol);
            let there = read(&other, key).unwrap_or_else(|| panic!("{what}: {:?}", other.problems));
            let off = number(there).map_or(f64::INFINITY, |there| (there - value).abs());
            assert!(off <= 4.0 * f64::EPSILON * scale, "{what}: off by {off}");
            tried.units += 1;
            let same = read(&own, key) == Some(there);
            tried.to_the_bit += usize::from(same);
            let there = numbers(&other);
            // A count that a last place tips over is no fault of a unit.
            if !same && moved.len() != here.len() {
                continue;
            }
            assert_eq!(there.len(), here.len(), "{what}");
            for (at, ((key, here), (_, there))) in here.iter().zip(&there).enumerate() {
                let moved = moved.get(at).map_or(*here, |(_, moved)| *moved);
                let allowed = if same {
                    0.0
                } else {
                    RELATIVE * here.abs() + 4.0 * (moved - here).abs()
                };
                assert!(
                    (here - there).abs() <= allowed,
                    "{what}: {key} {here} {there}"
                );
            }
        }
    }
}

#[test]
fn a_quantity_in_any_unit_gives_the_same_answers() {
    let mut random = Random::new(0x75_6e69_7473);
    let mut tried = Tried::default();
    for (sheet, whole) in samples() {
        let report = near(sheet, &whole, &mut random);
        for (field, _, value) in report.inputs.fields() {
            let Some(value) = value else { continue };
            if let (Some(of), Some(number)) = (measure(field, value), number(value)) {
                every_unit(sheet, &report, field.key, number, of, &mut tried);
            }
        }
    }
    assert!(
        tried.units > 2000 && tried.to_the_bit > 1000,
        "{} {}",
        tried.units,
        tried.to_the_bit
    );
}

#[test]
fn a_cell_in_any_unit_gives_the_same_answers() {
    let mut compared = 0;
    for (sheet, whole) in samples() {
        let report = sheet.run(&whole);
        for (field, ..) in report.inputs.fields() {
            let Kind::Rows(columns) = field.kind else {
                continue;
            };
            let text = report.entries.get(field.key).unwrap_or("");
            for (at, column) in columns.iter().enumerate() {
                let Kind::Number(of) = column.kind else {
                    continue;
                };
                for unit in of.dimension.units {
                    // Every cell of the column in that unit.
                    let rows: Vec<String> = text
                        .split(';')
                        .map(|row| {
                            let mut cells: Vec<String> = row.split(',').map(String::from).collect();
                            if let Some(cell) = cells.get_mut(at)
                                && let Ok(value) =
                                    layshaft_core::entry::number::read_number(cell, of)
                            {
                                *cell = in_unit(value.value, of, unit);
                            }
                            cells.join(",")
                        })
                        .collect();
                    let other = typed_as(sheet, &whole, field.key, &rows.join(";"));
                    assert_eq!(other.problems, report.problems, "{}: {rows:?}", sheet.id);
                    let (here, there) = (numbers(&report), numbers(&other));
                    assert_eq!(here.len(), there.len(), "{}: {rows:?}", sheet.id);
                    let largest = here.iter().fold(0.0, |most: f64, (_, x)| most.max(x.abs()));
                    for ((key, here), (_, there)) in here.iter().zip(&there) {
                        assert!(
                            (here - there).abs() <= RELATIVE * largest,
                            "{}.{key}: {here} {there}: {rows:?}",
                            sheet.id
                        );
                        compared += 1;
                    }
                }
            }
        }
    }
    assert!(compared > 1000, "{compared}");
}
