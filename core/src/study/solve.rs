//! Solve: leave an entry blank, say which answer is wanted, and find the entry.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use super::{answer_at, root};
use crate::entry::number::read_number;
use crate::entry::unit::Measure;
use crate::entry::write::write_shortest;
use crate::sheets::declare::{Answer, Field, Kind, Show};
use crate::sheets::{Inputs, Place, Report, accepts_quantity, join_unit};

/// Why a question cannot be asked; each names the key of the link that is wrong.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Refusal {
    /// `solve`, `for`, `sweep` or `of`.
    pub key: &'static str,
    /// The message for the person.
    pub message: String,
}

impl Refusal {
    pub(super) fn new(key: &'static str, message: String) -> Self {
        Self { key, message }
    }
}

/// What was found.
#[derive(Clone, Debug)]
pub struct Solution {
    /// The entry's field.
    pub field: &'static Field,
    /// Its unit.
    pub measure: Measure,
    /// Every value of the entry, within its limits, that gives the wanted answer; rising.
    pub values: Vec<f64>,
    /// The real parts on both sides, each with the answer that it gives; the best first. Only for counts and powers of two.
    pub nearest: Vec<(f64, f64)>,
    /// What was found, in words.
    pub words: String,
}

/// Finds the values of `entry` for which the answer of `wanted`, an `ANSWER:VALUE`, comes out.
///
/// # Errors
/// [`Refusal`] when there is no such entry or answer, it is no number, the wanted value cannot be read, or the sheet has a
/// target of its own.
pub fn solve(report: &Report, entry: &str, wanted: &str) -> Result<Solution, Refusal> {
    let (place, field) = numeric_entry(report, "solve", entry)?;
    let targets = report.sheet.fields.iter().filter(|field| field.target);
    if let Some(target) = targets
        .into_iter()
        .find(|target| report.inputs.typed(target.key))
    {
        return Err(Refusal::new(
            "solve",
            format!(
                "Solve: leave “{}” blank; it asks the sheet itself to solve.",
                target.label
            ),
        ));
    }
    let (key, value) = wanted.split_once(':').unwrap_or((wanted, ""));
    let answer = numeric_answer(report, "for", key)?;
    let measure = report.measure(answer);
    let wanted = read_number(value, measure).map_err(|cause| {
        Refusal::new(
            "for",
            cause.message(answer.label, &accepts_quantity(measure)),
        )
    })?;

    let at = |x: f64| answer_at(&report.inputs, place, x, answer.key).map(|y| y - wanted.value);
    let grid = grid(field);
    let values = root::roots(&at, &grid);
    let parts = parts(field, &values, &at, wanted.value);
    let unit = report.inputs.measure_at(place);
    let words = words(
        field,
        unit,
        answer,
        measure,
        &values,
        &grid,
        &at,
        wanted.value,
    );
    Ok(Solution {
        field,
        measure: unit,
        values,
        nearest: parts,
        words,
    })
}

/// The place of an entry that applies and takes a number.
pub(super) fn numeric_entry(
    report: &Report,
    link_key: &'static str,
    entry: &str,
) -> Result<(Place, &'static Field), Refusal> {
    report.inputs.place(entry).ok_or_else(|| {
        let numbers: Vec<&str> = report
            .inputs
            .fields()
            .filter(|(field, ..)| report.inputs.place(field.key).is_some())
            .map(|(field, ..)| field.key)
            .collect();
        Refusal::new(
            link_key,
            format!(
                "Entry “{}”: enter one of {}.",
                short(entry),
                numbers.join(", ")
            ),
        )
    })
}

/// The declaration of an answer that is a number.
pub(super) fn numeric_answer(
    report: &Report,
    link_key: &'static str,
    key: &str,
) -> Result<&'static Answer, Refusal> {
    let is_number = |answer: &Answer| matches!(answer.show, Show::Significant(_) | Show::Fixed(_));
    report
        .answer(key)
        .filter(|answer| is_number(answer) && !answer.aside)
        .ok_or_else(|| {
            let numbers: Vec<&str> = report
                .answers()
                .filter(|(answer, _)| is_number(answer))
                .map(|(answer, _)| answer.key)
                .collect();
            Refusal::new(
                link_key,
                format!(
                    "Answer “{}”: enter one of {}.",
                    short(key),
                    numbers.join(", ")
                ),
            )
        })
}

fn short(text: &str) -> String {
    text.chars().take(40).collect()
}

/// The values at which the sheet is looked at before closing in: over all that the field's limits allow, finer where
/// people's values are. Decades are even on both sides of 0, so that no size of part is missed.
fn grid(field: &Field) -> Vec<f64> {
    const PER_DECADE: u32 = 24;
    const SMALLEST: f64 = 1e-6;
    const LARGEST: f64 = 1e9;
    let least = field
        .limits
        .least
        .map_or(f64::NEG_INFINITY, |limit| limit.value);
    let most = field.limits.most.map_or(f64::INFINITY, |limit| limit.value);
    let mut grid = Vec::new();
    let mut add = |x: f64| {
        if x >= least && x <= most {
            grid.push(x);
        }
    };
    let decades = 15 * PER_DECADE;
    let size = |i: u32| SMALLEST * libm::exp10(f64::from(i) / f64::from(PER_DECADE));
    if least < 0.0 {
        (0..=decades).rev().for_each(|i| add(-size(i)));
    }
    add(0.0);
    (0..=decades).for_each(|i| add(size(i)));
    for edge in [least, most] {
        if edge.abs() <= LARGEST {
            grid.push(edge);
        }
    }
    grid.sort_by(f64::total_cmp);
    grid.dedup();
    // An open limit is looked at from just inside.
    if let Some(limit) = field.limits.least
        && !limit.inclusive
        && let Some(first) = grid.first_mut()
    {
        *first = limit.value + SMALLEST * SMALLEST.max(limit.value.abs());
    }
    grid
}

/// The real parts on both sides of each root, with the answer each gives, the best first.
fn parts(
    field: &Field,
    values: &[f64],
    off: &dyn Fn(f64) -> Option<f64>,
    wanted: f64,
) -> Vec<(f64, f64)> {
    let neighbours = |x: f64| -> [f64; 2] {
        match field.kind {
            Kind::PowerOfTwo => {
                let lower = libm::exp2(libm::floor(libm::log2(x.clamp(1.0, 256.0)) + 1e-9));
                [lower, (2.0 * lower).min(256.0)]
            }
            _ => [libm::floor(x + 1e-9), libm::ceil(x - 1e-9)],
        }
    };
    if !matches!(field.kind, Kind::Count | Kind::PowerOfTwo) {
        return Vec::new();
    }
    let least = field.limits.least.map_or(0.0, |limit| limit.value);
    let mut parts: Vec<(f64, f64)> = Vec::new();
    for part in values.iter().flat_map(|x| neighbours(*x)) {
        if part >= least
            && !parts
                .iter()
                .any(|(known, _)| known.total_cmp(&part).is_eq())
            && let Some(gap) = off(part)
        {
            parts.push((part, gap));
        }
    }
    parts.sort_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    parts
        .into_iter()
        .map(|(part, gap)| (part, wanted + gap))
        .collect()
}

/// The finding in words; with no root, the nearest that can be had.
#[allow(clippy::too_many_arguments, reason = "one sentence with all its parts")]
fn words(
    field: &Field,
    unit: Measure,
    answer: &Answer,
    measure: Measure,
    values: &[f64],
    grid: &[f64],
    off: &dyn Fn(f64) -> Option<f64>,
    wanted: f64,
) -> String {
    let entry = |x: f64| join_unit(write_shortest(x, 6), unit.unit.sign);
    let result = |y: f64| join_unit(write_shortest(y, 6), measure.unit.sign);
    match values {
        [] => {
            let nearest = grid
                .iter()
                .filter_map(|&x| Some((x, off(x)?)))
                .min_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
            match nearest {
                Some((x, gap)) => format!(
                    "No value of “{}” gives {} of {}; the nearest looked at is {} with {}.",
                    field.label,
                    answer.label,
                    result(wanted),
                    entry(x),
                    result(wanted + gap)
                ),
                None => format!(
                    "“{}” has no value at all with these entries; fill in the others first.",
                    answer.label
                ),
            }
        }
        [one] => format!("“{}” of {} gives it.", field.label, entry(*one)),
        several => {
            let list: Vec<String> = several.iter().map(|x| entry(*x)).collect();
            format!(
                "“{}” has {} values that give it: {}.",
                field.label,
                several.len(),
                list.join("; ")
            )
        }
    }
}

/// Whether an entry may be solved for; the page offers these.
pub fn can_solve(inputs: &Inputs, key: &str) -> bool {
    inputs.place(key).is_some_and(|(_, field)| !field.target)
}
