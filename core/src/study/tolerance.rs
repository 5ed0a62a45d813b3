//! Tolerances carried from the entries to every answer, by the GUM's first-order law or a seeded Monte Carlo.
//!
//! Each entry typed with ± is a rectangular distribution of its own; entries are taken as independent of each other.

use alloc::string::String;
use alloc::vec::Vec;

use super::numbers;
use crate::entry::write::{write_fixed, write_significant};
use crate::exact::to_u32;
use crate::sheets::{Field, Inputs, Outcome, Place, Report, State};

/// What the tolerances do to one answer.
#[derive(Clone, PartialEq, Debug)]
pub struct Spread {
    /// The answer's key.
    pub answer: &'static str,
    /// Combined standard uncertainty, k = 1, in the answer's unit.
    pub uncertainty: f64,
    /// Share of each entry in the first-order variance, 0 to 1, largest first.
    pub shares: Vec<(&'static str, f64)>,
    /// Whether the sheet is bent within the tolerance, so that the Monte Carlo's figure stands.
    pub bent: bool,
    /// Whether that figure is still being drawn.
    pub waits: bool,
}

/// Draws of the Monte Carlo.
const DRAWS: u32 = 20_000;

/// The first order stands while the second changes an answer by less than this share of it.
const BENT: f64 = 0.1;

/// The first order stands while the products of two entries widen an answer by less than a tenth: 1.1^2 - 1 of its variance.
const WIDENED: f64 = 0.21;

/// Entries whose products are looked at; of more, as the rows of a long table, the first.
const PAIRED: usize = 16;

/// Steps of the central difference as a share of the half width: small enough for the slope at the middle.
const STEP: f64 = 1.0 / 64.0;

/// One toleranced entry.
struct Source {
    place: Place,
    field: &'static Field,
    value: f64,
    half: f64,
}

/// The spread of every numeric answer of a report that is no count; empty when no entry has a tolerance.
///
/// u = half / sqrt(3) for each entry, u_c^2 = sum of (df/dx * u)^2 with central differences. Where the bend within the
/// half widths exceeds a tenth of the slope's part, or the products of two entries widen an answer by more than a tenth, the
/// standard deviation of 20,000 seeded draws stands instead.
///
/// # Source
/// JCGM 100:2008 (GUM) 4.3.7 and 5.1.2; JCGM 101:2008 (Supplement 1) clause 7 for the Monte Carlo.
pub fn spreads(report: &Report) -> Vec<Spread> {
    let mut study = Study::begin(report);
    while study.draw(DRAWS) {}
    study.spreads
}

/// A tolerance study at work: the first order at once, the Monte Carlo in slices that a page can afford.
pub struct Study {
    /// What is known so far: bent answers have the first order's figure until the last draw.
    pub spreads: Vec<Spread>,
    sources: Vec<Source>,
    drawn: Inputs,
    outcome: Outcome,
    random: SplitMix,
    /// Count, mean and sum of squares of each answer, updated draw by draw.
    moments: Vec<(f64, f64, f64)>,
    left: u32,
}

impl Study {
    /// Works out the first order, and whether there is anything to draw.
    pub fn begin(report: &Report) -> Self {
        let inputs = &report.inputs;
        let sources = sources(inputs);
        let mut spreads = Vec::new();
        if !sources.is_empty() {
            let middle = numbers(inputs);
            let tilts: Vec<Tilt> = sources
                .iter()
                .map(|source| Tilt::of(inputs, source))
                .collect();
            let pairs = pairs(inputs, &sources);
            for (answer, found) in report.answers() {
                if let Some(crate::sheets::Found::Number(value)) = found
                    && !answer.is_count()
                    && middle.number(answer.key).is_some()
                    && let Some(spread) = spread(answer.key, *value, &sources, &tilts, &pairs)
                {
                    spreads.push(spread);
                }
            }
        }
        let bent = spreads.iter().any(|spread| spread.bent);
        Self {
            sources,
            drawn: inputs.clone(),
            outcome: Outcome::for_numbers(),
            random: SplitMix(0x6c61_7973_6861_6674),
            moments: spreads.iter().map(|_| (0.0, 0.0, 0.0)).collect(),
            left: if bent { DRAWS } else { 0 },
            spreads,
        }
    }

    /// Whether draws are left, without which the figures of bent answers do not stand.
    pub const fn waits(&self) -> bool {
        self.left > 0
    }

    /// Makes up to `count` draws; whether more are left. The same entries give the same figures however they are sliced.
    pub fn draw(&mut self, count: u32) -> bool {
        let count = count.min(self.left);
        for _ in 0..count {
            for source in &self.sources {
                let value = source.value + source.half * self.random.symmetric();
                self.drawn.put(source.place, value);
            }
            self.outcome.clear();
            (self.drawn.sheet().work)(&self.drawn, &mut self.outcome);
            for (spread, (n, mean, squares)) in self.spreads.iter().zip(&mut self.moments) {
                if spread.bent
                    && let Some(x) = self.outcome.number(spread.answer)
                {
                    *n += 1.0;
                    let off = x - *mean;
                    *mean += off / *n;
                    *squares += off * (x - *mean);
                }
            }
        }
        self.left -= count;
        if count > 0 && self.left == 0 {
            for (spread, (n, _, squares)) in self.spreads.iter_mut().zip(&self.moments) {
                spread.waits = false;
                if spread.bent && *n > 1.0 {
                    spread.uncertainty = libm::sqrt(squares / (n - 1.0));
                }
            }
        }
        self.waits()
    }
}

/// A value and its uncertainty as people read them: the uncertainty with two significant digits, the value to its last one.
///
/// 40.00312 with 0.1155 is "40.00" and "0.12". Both in the same unit; the uncertainty above 0.
///
/// # Source
/// JCGM 100:2008 (GUM) 7.2.6.
pub fn written(value: f64, uncertainty: f64) -> (String, String) {
    let exponent = libm::floor(libm::log10(uncertainty));
    let digit = libm::exp10(exponent - 1.0);
    // 0.0996 is rounded to 0.10, which has one digit less behind the point.
    let exponent = if libm::round(uncertainty / digit) >= 100.0 {
        exponent + 1.0
    } else {
        exponent
    };
    match to_u32(1.0 - exponent).and_then(|decimals| u8::try_from(decimals).ok()) {
        Some(decimals) if decimals <= 12 => (
            write_fixed(value, decimals),
            write_fixed(uncertainty, decimals),
        ),
        Some(_) => (
            write_significant(value, 6),
            write_significant(uncertainty, 2),
        ),
        // Coarser than 1: both are whole multiples of the last digit that counts.
        None => {
            let digit = libm::exp10(exponent - 1.0);
            let whole = |x: f64| write_fixed(libm::round(x / digit) * digit, 0);
            (whole(value), whole(uncertainty))
        }
    }
}

fn sources(inputs: &Inputs) -> Vec<Source> {
    let typed = inputs.toleranced();
    typed
        .into_iter()
        .filter_map(|(place, field, number)| {
            Some(Source {
                place,
                field,
                value: number.value,
                half: number.half?,
            })
        })
        .collect()
}

/// The sheet a little to both sides of one entry, and at the ends of its tolerance.
struct Tilt {
    below: Outcome,
    above: Outcome,
    low: Outcome,
    high: Outcome,
}

impl Tilt {
    fn of(inputs: &Inputs, source: &Source) -> Self {
        let at = |value| {
            let mut inputs = inputs.clone();
            inputs.put(source.place, value);
            numbers(&inputs)
        };
        Self {
            below: at(source.value - STEP * source.half),
            above: at(source.value + STEP * source.half),
            low: at(source.value - source.half),
            high: at(source.value + source.half),
        }
    }
}

/// The sheet with two entries at the upper ends of their tolerances at once, and which two.
fn pairs(inputs: &Inputs, sources: &[Source]) -> Vec<(usize, usize, Outcome)> {
    let mut pairs = Vec::new();
    for (j, second) in sources.iter().enumerate().take(PAIRED) {
        for (i, first) in sources.iter().enumerate().take(j) {
            let mut inputs = inputs.clone();
            inputs.put(first.place, first.value + first.half);
            inputs.put(second.place, second.value + second.half);
            pairs.push((i, j, numbers(&inputs)));
        }
    }
    pairs
}

fn spread(
    key: &'static str,
    value: f64,
    sources: &[Source],
    tilts: &[Tilt],
    pairs: &[(usize, usize, Outcome)],
) -> Option<Spread> {
    let mut shares: Vec<(&'static str, f64)> = Vec::with_capacity(sources.len());
    let (mut linear, mut bend) = (0.0, 0.0);
    for (source, tilt) in sources.iter().zip(tilts) {
        let at = |outcome: &Outcome| outcome.number(key);
        let (below, above) = (at(&tilt.below)?, at(&tilt.above)?);
        // Half the change over the whole tolerance, as the slope at the middle has it.
        let part = (above - below) / (2.0 * STEP);
        linear += part * part;
        // Entries of one field, such as the rows of a table, count together.
        match shares.iter_mut().find(|(key, _)| *key == source.field.key) {
            Some((_, share)) => *share += part * part,
            None => shares.push((source.field.key, part * part)),
        }
        // An end without a value is as bent as can be.
        let (low, high) = (at(&tilt.low), at(&tilt.high));
        let curve = low.zip(high).map_or(f64::INFINITY, |(low, high)| {
            (low + high - 2.0 * value) / 2.0
        });
        bend += curve * curve;
    }
    let mut sorted: Vec<(&'static str, f64)> = Vec::with_capacity(shares.len());
    for (key, part) in shares {
        let share = if linear > 0.0 { part / linear } else { 0.0 };
        let at = sorted.iter().position(|(_, known)| share > *known);
        sorted.insert(at.unwrap_or(sorted.len()), (key, share));
    }
    // What two entries do together beyond what each does alone; a product has this and no bend of its own.
    let mut products = 0.0;
    for (i, j, both) in pairs {
        let high = |at: &usize| tilts.get(*at)?.high.number(key);
        let product = both
            .number(key)
            .zip(high(i))
            .zip(high(j))
            .map_or(f64::INFINITY, |((both, one), other)| {
                both - one - other + value
            });
        products += product * product;
    }
    // The variances are linear / 3 and products / 9.
    let bent = bend > BENT * BENT * linear || products > 3.0 * WIDENED * linear;
    Some(Spread {
        answer: key,
        uncertainty: libm::sqrt(linear / 3.0),
        shares: sorted,
        bent,
        waits: bent,
    })
}

/// A small seeded generator, so that the same entries always give the same figures.
///
/// # Source
/// G. L. Steele, D. Lea, C. H. Flood, Fast splittable pseudorandom number generators, OOPSLA 2014 (SplitMix64).
struct SplitMix(u64);

impl SplitMix {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Uniform on -1..1.
    fn symmetric(&mut self) -> f64 {
        // 31 bits are plenty, and fit a float without a cast.
        let bits = u32::try_from(self.next() >> 33).unwrap_or(0);
        f64::from(bits) / 1_073_741_824.0 - 1.0
    }
}

/// The checks that turn over their limit somewhere inside the tolerance: they are near, whatever the middle says.
pub fn turning(report: &Report) -> Vec<&'static str> {
    let inputs = &report.inputs;
    let sources = sources(inputs);
    if sources.is_empty() || report.checks.is_empty() {
        return Vec::new();
    }
    let tilts: Vec<Tilt> = sources
        .iter()
        .map(|source| Tilt::of(inputs, source))
        .collect();
    let mut turning = Vec::new();
    for checked in &report.checks {
        let id = checked.check.id;
        let over = |outcome: &Outcome| outcome.verdict(id).map(|(state, _)| state == State::Over);
        // How far value - limit swings when all entries lean the wrong way at once.
        let swing: Option<f64> = tilts
            .iter()
            .map(|tilt| {
                let gap = |outcome: &Outcome| outcome.verdict(id).and_then(|(_, gap)| gap);
                Some((gap(&tilt.high)? - gap(&tilt.low)?).abs() / 2.0)
            })
            .sum();
        let gap = checked
            .value
            .zip(checked.limit)
            .map(|(value, limit)| value - limit);
        let crossed = swing.zip(gap).is_some_and(|(swing, gap)| swing > gap.abs());
        let now = checked.state == State::Over;
        let flips = tilts
            .iter()
            .flat_map(|tilt| [&tilt.low, &tilt.high])
            .any(|outcome| over(outcome).is_some_and(|over| over != now));
        if crossed || flips {
            turning.push(id);
        }
    }
    turning
}
