//! An answer rises, or falls, with an entry where physics says so: on every sheet, near every complete design.
//!
//! The statements stand in `statements.rs`; each follows from the law of its sheet and is read there without a formula: a
//! longer beam sags more, a heavier mass takes longer to heat. What physics leaves open is not stated: whether a motor of
//! more torque has more of it at speed depends on the speed.

mod statements;

use std::collections::BTreeMap;

use layshaft_core::sheets::declare::Kind;
use layshaft_core::sheets::{Field, Found, Report};
use layshaft_tests::designs::{near, number, with};
use layshaft_tests::random::Random;
use layshaft_tests::samples::samples;
use statements::{STATEMENTS, Statement};

/// Designs near each complete one.
const DESIGNS: usize = 6;

/// What rounding may move an answer the wrong way, relative to it: a search ends within some 1e-12 of its root, and a
/// simulated heat-up at the same.
const ROUNDING: f64 = 1e-11;

/// An entry around its value in a design, rising: a count by one, a quantity from a tenth of it to
/// ten times as much, where the sheet takes that.
fn around(field: &Field, value: f64) -> Vec<f64> {
    let mut points = match field.kind {
        Kind::Count => vec![value - 1.0, value, value + 1.0],
        _ => [0.1, 0.5, 0.8, 0.95, 1.0, 1.1, 1.4, 2.0, 10.0]
            .map(|factor| factor * value)
            .to_vec(),
    };
    points.sort_by(f64::total_cmp);
    points
}

/// How an answer went from one value of the entry to the next.
#[derive(Default)]
struct Went {
    right: u32,
    flat: u32,
}

/// The design worked out with the entry at each of its points that the sheet takes.
fn along(report: &Report, key: &str) -> Vec<Report> {
    let found = report.inputs.fields().find(|(field, ..)| field.key == key);
    let Some((field, value)) = found.and_then(|(field, _, value)| Some((field, number(value?)?)))
    else {
        return Vec::new();
    };
    around(field, value)
        .into_iter()
        .map(|point| report.sheet.run(&with(report, key, point)))
        .filter(|report| report.problems.is_empty())
        .collect()
}

/// One statement with one of its answers, on one design.
fn hold(statement: &Statement, answer: &str, rises: bool, reports: &[Report], went: &mut Went) {
    let numbers: Vec<f64> = reports
        .iter()
        .filter_map(|report| match report.found(answer) {
            Some(Found::Number(number)) => Some(*number),
            _ => None,
        })
        .collect();
    for (before, after) in numbers.iter().zip(numbers.iter().skip(1)) {
        let rounding = ROUNDING * before.abs().max(after.abs());
        let step = if rises {
            after - before
        } else {
            before - after
        };
        assert!(
            step >= -rounding,
            "{}.{answer} goes the wrong way with {}: {numbers:?}: {:?}",
            statement.sheet,
            statement.entry,
            reports.first().map(|report| &report.entries)
        );
        if step > rounding {
            went.right += 1;
        } else {
            went.flat += 1;
        }
    }
}

#[test]
fn answers_go_with_their_entries_as_physics_says() {
    let mut random = Random::new(0x6d_6f6e_6f74);
    let mut went: BTreeMap<(&str, &str, &str), Went> = BTreeMap::new();
    for (sheet, whole) in samples() {
        let stated: Vec<&Statement> = STATEMENTS
            .iter()
            .filter(|statement| statement.sheet == sheet.id)
            .collect();
        for _ in 0..DESIGNS {
            let report = near(sheet, &whole, &mut random);
            for statement in &stated {
                let reports = along(&report, statement.entry);
                for (answers, rises) in [(statement.rise, true), (statement.fall, false)] {
                    for answer in answers.split_whitespace() {
                        let went = went.entry((sheet.id, statement.entry, answer)).or_default();
                        hold(statement, answer, rises, &reports, went);
                    }
                }
            }
        }
    }
    let stated: usize = STATEMENTS
        .iter()
        .map(|statement| {
            statement.rise.split_whitespace().count() + statement.fall.split_whitespace().count()
        })
        .sum();
    assert_eq!(
        went.len(),
        stated,
        "each is stated once, of a sheet that there is"
    );
    // An answer that never moved, or hardly was there, holds to any statement.
    let idle: Vec<_> = went
        .iter()
        .filter(|(_, went)| went.right < 2 || went.right + went.flat < 8)
        .map(|(what, went)| format!("{what:?}: {} of {}", went.right, went.right + went.flat))
        .collect();
    assert!(idle.is_empty(), "{idle:#?}");
}
