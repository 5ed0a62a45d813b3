//! Solve: leave an entry blank, say which answer is wanted, and find the entry.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use super::root::Scan;
use super::{Turned, too_long};
use crate::entry::number::read_number;
use crate::entry::unit::{AWG, MM2, Measure, OHM};
use crate::entry::write::write_shortest;
use crate::power::wire::CLASS_5;
use crate::sheets::declare::{Answer, Field, Kind, Limit, Show};
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
    /// The real parts on both sides, each with the answer that it gives; the best first. Only for counts, powers of two,
    /// resistances and conductor sizes.
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
    let mut solving = Solving::begin(report, entry, wanted)?;
    while solving.advance(1000) {}
    Ok(solving.finish())
}

/// Solving at work, in slices that a page can afford.
#[derive(Debug)]
pub struct Solving {
    turned: Turned,
    field: &'static Field,
    unit: Measure,
    answer: &'static Answer,
    measure: Measure,
    wanted: f64,
    grid: Vec<f64>,
    scan: Scan,
    /// Whether the answer is the same wherever it has a value, once the grid is scanned.
    steady: bool,
    /// The real parts that are still to be looked at, once the grid is scanned.
    candidates: Option<Vec<f64>>,
    /// Those looked at, each with how far the answer is off there; the best first.
    parts: Vec<(f64, f64)>,
}

impl Solving {
    /// Reads the question.
    ///
    /// # Errors
    /// As [`solve`].
    pub fn begin(report: &Report, entry: &str, wanted: &str) -> Result<Self, Refusal> {
        let (place, field) = numeric_entry(report, "solve", entry)?;
        let mut targets = report.sheet.fields.iter().filter(|field| field.target);
        if let Some(target) = targets.find(|target| report.inputs.typed(target.key)) {
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
        affordable(report, "solve", answer)?;
        let measure = report.measure(answer);
        let wanted = read_number(value, measure).map_err(|cause| {
            Refusal::new(
                "for",
                cause.message(answer.label, &accepts_quantity(measure)),
            )
        })?;
        Ok(Self {
            turned: Turned::new(&report.inputs, place),
            field,
            unit: report.inputs.measure_at(place),
            answer,
            measure,
            wanted: wanted.value,
            grid: grid(field),
            scan: Scan::default(),
            steady: false,
            candidates: None,
            parts: Vec::new(),
        })
    }

    /// How far the answer is off with the entry at `x`.
    fn off(&mut self, x: f64) -> Option<f64> {
        let y = self.turned.number(x, self.answer.key)?;
        Some(y - self.wanted)
    }

    /// Looks at up to `count` more values of the entry; whether more are left.
    pub fn advance(&mut self, count: usize) -> bool {
        (0..count).all(|_| self.look())
    }

    /// Looks at one more value; whether there was one.
    fn look(&mut self) -> bool {
        if let Some(x) = self.scan.next(&self.grid) {
            let gap = self.off(x);
            self.scan.take(x, gap);
            return true;
        }
        let mut candidates = match self.candidates.take() {
            Some(candidates) => candidates,
            None => {
                self.steady = is_steady(&self.scan.seen, self.wanted);
                // An answer that stays the same is met everywhere or nowhere: neither tells which entry to take.
                if self.steady {
                    self.scan.roots.clear();
                    Vec::new()
                } else {
                    candidates(self.field, self.unit, &self.scan)
                }
            }
        };
        let next = candidates.pop();
        self.candidates = Some(candidates);
        let Some(part) = next else { return false };
        if let Some(gap) = self.off(part) {
            let better = |(_, known): &(f64, f64)| gap.abs() < known.abs();
            let at = self.parts.iter().position(better);
            self.parts
                .insert(at.unwrap_or(self.parts.len()), (part, gap));
        }
        true
    }

    /// What was found, once nothing is left to look at.
    pub fn finish(&self) -> Solution {
        let parts = self.parts.iter();
        let nearest: Vec<(f64, f64)> = parts
            .map(|(part, gap)| (*part, self.wanted + gap))
            .collect();
        let roots = self.scan.roots.iter();
        Solution {
            field: self.field,
            measure: self.unit,
            values: roots.map(|x| whole(self.field, *x)).collect(),
            words: self.words(&nearest),
            nearest,
        }
    }

    /// The finding in words; with no root, the nearest that can be had.
    fn words(&self, parts: &[(f64, f64)]) -> String {
        let (field, answer, wanted) = (self.field, self.answer, self.wanted);
        let entry = |x: f64| join_unit(write_shortest(x, 6), self.unit.unit.sign);
        let result = |y: f64| join_unit(write_shortest(y, 6), self.measure.unit.sign);
        match self.scan.roots.as_slice() {
            [] => match closest(&self.scan.seen) {
                None => format!(
                    "“{}” has no value at all with these entries; fill in the others first.",
                    answer.label
                ),
                Some((_, gap)) if self.steady => format!(
                    "“{}” does not depend on “{}”: it stays {}.",
                    answer.label,
                    field.label,
                    result(wanted + gap)
                ),
                Some((x, gap)) => format!(
                    "No value of “{}” gives {} of {}; the nearest looked at is {} with {}.",
                    field.label,
                    answer.label,
                    result(wanted),
                    entry(x),
                    result(wanted + gap)
                ),
            },
            [one] => {
                let mut text = format!("“{}” of {} gives it", field.label, entry(*one));
                if parts
                    .first()
                    .is_some_and(|(part, _)| (part - one).abs() > SAME * one.abs())
                {
                    let sides: Vec<String> = parts
                        .iter()
                        .map(|&(part, y)| format!("{} gives {}", entry(part), result(y)))
                        .collect();
                    text += "; of the real parts ";
                    text += &sides.join(", ");
                }
                text + "."
            }
            several => {
                let mut list: Vec<String> = Vec::with_capacity(several.len());
                for (x, stretch) in several.iter().zip(&self.scan.stretches) {
                    match list.last_mut() {
                        Some(from) if *stretch => *from += &[" to ", &entry(*x)].concat(),
                        _ => list.push(entry(*x)),
                    }
                }
                match list.as_slice() {
                    [one] => format!("“{}” from {one} gives it.", field.label),
                    _ => format!(
                        "“{}” has {} values that give it: {}.",
                        field.label,
                        list.len(),
                        list.join("; ")
                    ),
                }
            }
        }
    }
}

/// A count that is met but for rounding is that whole number: 20 teeth, not 19.999999999999993.
fn whole(field: &Field, x: f64) -> f64 {
    let nearest = libm::round(x);
    if matches!(field.kind, Kind::Count) && (x - nearest).abs() <= SAME * nearest {
        nearest
    } else {
        x
    }
}

/// What rounding does to a part that is met exactly.
const SAME: f64 = 1e-9;

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
    report
        .answer(key)
        .filter(|answer| is_number(answer) && !answer.aside)
        .ok_or_else(|| {
            let numbers: Vec<&str> = answers(report).map(|answer| answer.key).collect();
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

/// Refuses an answer of a sheet that takes too long to be worked out at one value after the other.
pub(super) fn affordable(
    report: &Report,
    link_key: &'static str,
    answer: &Answer,
) -> Result<(), Refusal> {
    match too_long(&report.inputs, answer.key) {
        Some(why) => Err(Refusal::new(link_key, why)),
        None => Ok(()),
    }
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
    /// Counts are looked at one by one up to here.
    const EACH: u32 = 400;
    let least = field
        .limits
        .least
        .map_or(f64::NEG_INFINITY, |limit| limit.value);
    let most = field.limits.most.map_or(f64::INFINITY, |limit| limit.value);
    let mut grid: Vec<f64> = Vec::new();
    let mut add = |x: f64| {
        if x >= least && x <= most && grid.last().is_none_or(|last| *last < x) {
            grid.push(x);
        }
    };
    let decades = 15 * PER_DECADE;
    let size = |i: u32| SMALLEST * libm::exp10(f64::from(i) / f64::from(PER_DECADE));
    if matches!(field.kind, Kind::PowerOfTwo) {
        return crate::motor::MICROSTEPS.to_vec();
    }
    if matches!(field.kind, Kind::Count) {
        (0..=EACH).map(f64::from).for_each(&mut add);
        (0..=decades)
            .map(|i| libm::round(size(i)))
            .filter(|x| *x > f64::from(EACH))
            .for_each(add);
        return grid;
    }
    if least.abs() <= LARGEST {
        add(least);
    }
    if least < 0.0 {
        (0..=decades).rev().for_each(|i| add(-size(i)));
    }
    add(0.0);
    (0..=decades).for_each(|i| add(size(i)));
    if most.abs() <= LARGEST {
        add(most);
    }
    // An open limit is looked at from just inside.
    if let Some(limit) = field.limits.least
        && !limit.inclusive
        && let Some(first) = grid.first_mut()
    {
        *first = limit.value + SMALLEST * SMALLEST.max(limit.value.abs());
    }
    grid
}

/// The E24 series of preferred numbers of a decade.
///
/// # Source
/// IEC 60063:2015, series E24.
const E24: [f64; 25] = [
    1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6,
    6.2, 6.8, 7.5, 8.2, 9.1, 10.0,
];

/// The real parts at or next to a value, the lower and the higher; `None` for what comes in every size.
fn neighbours(field: &Field, unit: Measure, x: f64) -> Option<[f64; 2]> {
    let between = |sizes: &mut dyn Iterator<Item = f64>| {
        let (mut lower, mut higher) = (None, None);
        for size in sizes {
            if size <= x * (1.0 + SAME) {
                lower = Some(size);
            }
            if size >= x * (1.0 - SAME) {
                higher = higher.or(Some(size));
            }
        }
        let one = lower.or(higher)?;
        Some([lower.unwrap_or(one), higher.unwrap_or(one)])
    };
    match field.kind {
        Kind::PowerOfTwo => between(&mut crate::motor::MICROSTEPS.into_iter()),
        Kind::Count => Some([libm::floor(x + SAME), libm::ceil(x - SAME)]),
        _ if unit.unit.is(AWG.unit) => Some([libm::floor(x + SAME), libm::ceil(x - SAME)]),
        _ if unit.unit.is(MM2.unit) => between(&mut CLASS_5.iter().map(|(size, _)| *size)),
        _ if unit.unit.is(OHM.unit) && x > 0.0 => {
            let exponent = libm::floor(libm::log10(x) + SAME);
            // A negative power of ten is no exact number; the quotient by a positive one is rounded once.
            let decade = libm::exp10(exponent.abs());
            between(&mut E24.iter().map(|&number| {
                if exponent < 0.0 {
                    number / decade
                } else {
                    number * decade
                }
            }))
        }
        _ => None,
    }
}

/// The real parts on both sides of each root, the last to be looked at first.
///
/// A count may have no value between two whole numbers: where the answer passes the wanted one there, both count.
fn candidates(field: &Field, unit: Measure, scan: &Scan) -> Vec<f64> {
    let mut candidates: Vec<f64> = scan
        .roots
        .iter()
        .filter_map(|x| neighbours(field, unit, *x))
        .flatten()
        .collect();
    if scan.roots.is_empty() && matches!(field.kind, Kind::Count | Kind::PowerOfTwo) {
        candidates.extend(closest(&scan.seen).map(|(x, _)| x));
        let mut before: Option<(f64, f64)> = None;
        for &(x, gap) in &scan.seen {
            let here = gap.map(|gap| (x, gap));
            if let (Some((x0, gap0)), Some((_, gap))) = (before, here)
                && (gap0 < 0.0) != (gap < 0.0)
            {
                candidates.extend([x0, x]);
            }
            before = here;
        }
    }
    let limit = |limit: Option<Limit>, none: f64| limit.map_or(none, |limit| limit.value);
    let (least, most) = (
        limit(field.limits.least, f64::NEG_INFINITY),
        limit(field.limits.most, f64::INFINITY),
    );
    let mut parts: Vec<f64> = Vec::new();
    for part in candidates.into_iter().rev() {
        let known = parts.iter().any(|known| known.total_cmp(&part).is_eq());
        if (least..=most).contains(&part) && !known {
            parts.push(part);
        }
    }
    parts
}

/// Where the answer comes nearest to the wanted one, and what is missing there.
fn closest(seen: &[(f64, Option<f64>)]) -> Option<(f64, f64)> {
    seen.iter()
        .filter_map(|&(x, gap)| Some((x, gap?)))
        .min_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))
}

/// Whether the answer is the same wherever it has a value, which must be more than one place.
fn is_steady(seen: &[(f64, Option<f64>)], wanted: f64) -> bool {
    let mut gaps = seen.iter().filter_map(|(_, gap)| *gap).peekable();
    let first = gaps.next().unwrap_or(0.0);
    gaps.peek().is_some() && gaps.all(|gap| (gap - first).abs() <= 1e-12 * (wanted + first).abs())
}

/// The entries that a study can turn: those that apply and take a number. Not a target, which the sheet solves for itself.
pub fn entries(inputs: &Inputs) -> impl Iterator<Item = &'static Field> {
    inputs
        .fields()
        .filter(|(field, ..)| !field.target && inputs.place(field.key).is_some())
        .map(|(field, ..)| field)
}

/// The answers that a study can ask for: those that apply and are a number.
pub fn answers(report: &Report) -> impl Iterator<Item = &'static Answer> {
    report
        .answers()
        .filter(|(answer, _)| is_number(answer))
        .map(|(answer, _)| answer)
}

const fn is_number(answer: &Answer) -> bool {
    matches!(answer.show, Show::Significant(_) | Show::Fixed(_))
}
