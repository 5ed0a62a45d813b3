//! Sweep: one answer over one entry.

use alloc::format;
use alloc::vec::Vec;

use super::Turned;
use super::solve::{Refusal, affordable, numeric_answer, numeric_entry};
use crate::entry::number::read_number;
use crate::entry::unit::{Measure, OHM};
use crate::exact::to_u32;
use crate::sheets::declare::{Answer, Check, Field, Kind};
use crate::sheets::{Report, accepts_quantity};

/// One answer over one entry.
#[derive(Clone, Debug)]
pub struct Sweep {
    /// The entry's field.
    pub field: &'static Field,
    /// The entry's unit.
    pub entry_measure: Measure,
    /// The answer.
    pub answer: &'static Answer,
    /// The answer's unit.
    pub answer_measure: Measure,
    /// Whether the entry's values are even on a logarithmic scale.
    pub logarithmic: bool,
    /// The check that compares this answer, if there is one.
    pub check: Option<&'static Check>,
    /// Its limit at each row, where it has one.
    pub limits: Vec<Option<f64>>,
    /// Entry and answer, rising in the entry, both ends included; `None` where the sheet has no answer.
    pub rows: Vec<(f64, Option<f64>)>,
}

/// Rows of a sweep over what is no count.
const ROWS: u32 = 65;

/// A sweep over counts has every whole number, up to this many.
const MOST_COUNTS: f64 = 10_000.0;

/// Sweeps `range`, an `ENTRY:FROM:TO`, and reads `of` off at each value.
///
/// Counts take every whole number, microsteps every power of two, resistances even steps of their logarithm, all else even
/// steps.
///
/// # Errors
/// [`Refusal`] when there is no such entry or answer, it is no number, or the ends cannot be read or do not rise.
pub fn sweep(report: &Report, range: &str, of: &str) -> Result<Sweep, Refusal> {
    let mut sweeping = Sweeping::begin(report, range, of)?;
    while sweeping.advance(1000) {}
    Ok(sweeping.swept)
}

/// A sweep at work, in slices that a page can afford.
#[derive(Debug)]
pub struct Sweeping {
    /// The rows so far.
    pub swept: Sweep,
    turned: Turned,
    entries: Vec<f64>,
}

impl Sweeping {
    /// Reads the question.
    ///
    /// # Errors
    /// As [`sweep`].
    pub fn begin(report: &Report, range: &str, of: &str) -> Result<Self, Refusal> {
        let mut words = range.splitn(3, ':');
        let (place, field) = numeric_entry(report, "sweep", words.next().unwrap_or(""))?;
        let unit = report.inputs.measure_at(place);
        let mut end = || {
            read_number(words.next().unwrap_or(""), unit).map_err(|cause| {
                Refusal::new("sweep", cause.message(field.label, &accepts_quantity(unit)))
            })
        };
        let (from, to) = (end()?.value, end()?.value);
        if from >= to {
            return Err(Refusal::new(
                "sweep",
                format!("{}: sweep from a smaller to a larger value.", field.label),
            ));
        }
        let answer = numeric_answer(report, "of", of)?;
        affordable(report, "sweep", answer)?;
        let decades = unit.unit.symbol == OHM.unit.symbol && from > 0.0 && to / from >= 10.0;
        let entries = entries(field, decades, from, to).ok_or_else(|| {
            Refusal::new(
                "sweep",
                format!("{}: sweep up to 10000 whole numbers.", field.label),
            )
        })?;
        Ok(Self {
            swept: Sweep {
                field,
                entry_measure: unit,
                answer,
                answer_measure: report.measure(answer),
                logarithmic: decades,
                check: None,
                limits: Vec::new(),
                rows: Vec::new(),
            },
            turned: Turned::new(&report.inputs, place),
            entries,
        })
    }

    /// Works out up to `count` more rows; whether more are left.
    pub fn advance(&mut self, count: usize) -> bool {
        let (swept, sheet) = (&mut self.swept, self.turned.inputs.sheet());
        for &x in self.entries.iter().skip(swept.rows.len()).take(count) {
            let y = self.turned.number(x, swept.answer.key);
            let outcome = &self.turned.outcome;
            // No table says which check is about which answer; the one that compares this very number is.
            if let (None, Some(y)) = (swept.check, y) {
                swept.check = sheet.checks.iter().find(|check| {
                    let compared = outcome.compared(check.id);
                    compared.is_some_and(|(value, _)| value.total_cmp(&y).is_eq())
                        && check.measure.unit.is(swept.answer_measure.unit)
                });
            }
            let compared = swept.check.and_then(|check| outcome.compared(check.id));
            swept.limits.push(compared.map(|(_, limit)| limit));
            swept.rows.push((x, y));
        }
        swept.rows.len() < self.entries.len()
    }
}

/// The entry's values from end to end; `None` for too many counts.
fn entries(field: &Field, decades: bool, from: f64, to: f64) -> Option<Vec<f64>> {
    match field.kind {
        Kind::PowerOfTwo => Some(
            crate::motor::MICROSTEPS
                .into_iter()
                .filter(|micro| (from..=to).contains(micro))
                .collect(),
        ),
        Kind::Count => {
            let (first, last) = (libm::ceil(from), libm::floor(to));
            if last - first > MOST_COUNTS {
                return None;
            }
            Some((to_u32(first)?..=to_u32(last)?).map(f64::from).collect())
        }
        _ => {
            let last = ROWS - 1;
            let at = |i: u32| {
                let share = f64::from(i) / f64::from(last);
                if i == 0 {
                    from
                } else if i == last {
                    to
                } else if decades {
                    from * libm::pow(to / from, share)
                } else {
                    from + (to - from) * share
                }
            };
            Some((0..ROWS).map(at).collect())
        }
    }
}
