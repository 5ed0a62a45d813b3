//! Sweep: one answer over one entry.

use alloc::format;
use alloc::vec::Vec;

use super::answer_at;
use super::solve::{Refusal, numeric_answer, numeric_entry};
use crate::entry::number::read_number;
use crate::entry::unit::{Measure, OHM};
use crate::exact::to_u32;
use crate::sheets::declare::{Answer, Field, Kind};
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
    let entries = entries(field, unit, from, to).ok_or_else(|| {
        Refusal::new(
            "sweep",
            format!("{}: sweep up to 10000 whole numbers.", field.label),
        )
    })?;
    let rows = entries
        .into_iter()
        .map(|x| (x, answer_at(&report.inputs, place, x, answer.key)))
        .collect();
    Ok(Sweep {
        field,
        entry_measure: unit,
        answer,
        answer_measure: report.measure(answer),
        rows,
    })
}

/// The entry's values from end to end; `None` for too many counts.
fn entries(field: &Field, unit: Measure, from: f64, to: f64) -> Option<Vec<f64>> {
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
            let decades = unit.unit.symbol == OHM.unit.symbol && from > 0.0 && to / from >= 10.0;
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
