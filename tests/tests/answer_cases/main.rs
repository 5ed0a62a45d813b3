//! Hundreds of calculations against a second implementation that knows only the contract.
//!
//! The formulas in these files were written from the description of the sheets alone, in plain `f64`, without a look at the
//! code under test, and take another way to the number where there is one. Every case goes the way of the `answer`
//! example: link text, entries, report.

mod current;
mod curves;
mod microstep;
mod sensor;
mod travel;

use layshaft_core::link;
use layshaft_core::sheets::{Cell, Found, Report, State};
use layshaft_tests::random::Random;

/// The two ways round differently in a few last places; the contract asks for full precision, and 1e-9 is far below
/// anything that a person could measure.
pub(crate) const TOLERANCE: f64 = 1e-9;

/// A number as typed, and its value in the entry's own unit.
#[derive(Clone, Debug)]
pub(crate) struct Typed {
    pub(crate) text: String,
    pub(crate) value: f64,
    /// The value as numerator and denominator.
    pub(crate) ratio: (i128, i128),
}

/// A unit that an entry may be typed in: its sign, and how many of the entry's own unit it is, as a quotient.
pub(crate) type Unit = (&'static str, i128, i128);

/// A number between `least` and `most` of three or four digits, evenly over its magnitudes, typed in one of `units`.
pub(crate) fn typed(random: &mut Random, least: f64, most: f64, units: &[Unit]) -> Typed {
    let (sign, up, down) = if units.is_empty() || random.chance(50) {
        ("", 1, 1)
    } else {
        units
            .get(random.below(units.len()))
            .copied()
            .unwrap_or(("", 1, 1))
    };
    let value = least * (most / least).powf(random.unit()) * down as f64 / up as f64;
    let decimals = (0..12_usize)
        .find(|&n| value * 10_f64.powi(i32::try_from(n).unwrap_or(0)) >= 1000.0)
        .unwrap_or(12);
    let mut text = format!("{value:.decimals$}");
    let digits: i128 = text.replace('.', "").parse().unwrap_or(1);
    let scale = 10_i128.pow(u32::try_from(decimals).unwrap_or(0));
    let ratio = reduce(digits * up, scale * down);
    if random.chance(20) {
        text = text.replace('.', ",");
    }
    if !sign.is_empty() {
        text = format!("{text} {sign}");
    }
    Typed {
        text,
        value: ratio.0 as f64 / ratio.1 as f64,
        ratio,
    }
}

/// A quotient in lowest terms.
pub(crate) fn reduce(numerator: i128, denominator: i128) -> (i128, i128) {
    let (mut a, mut b) = (numerator.abs(), denominator.abs());
    while b != 0 {
        (a, b) = (b, a % b);
    }
    (numerator / a.max(1), denominator / a.max(1))
}

/// The entries of one calculation, in order.
#[derive(Clone, Debug)]
pub(crate) struct Query(String, char);

impl Query {
    pub(crate) fn new(sheet: &str) -> Self {
        Self(sheet.to_string(), '?')
    }

    pub(crate) fn with(&mut self, key: &str, text: impl AsRef<str>) -> &mut Self {
        self.0 = format!("{}{}{key}={}", self.0, self.1, text.as_ref());
        self.1 = '&';
        self
    }
}

/// One calculation and where it disagrees with the second implementation.
pub(crate) struct Case<'a> {
    query: String,
    pub(crate) report: Report,
    faults: &'a mut Vec<String>,
}

impl<'a> Case<'a> {
    pub(crate) fn new(query: &Query, faults: &'a mut Vec<String>) -> Self {
        let opened = link::read(&query.0);
        assert!(opened.faults.is_empty(), "{}: {:?}", query.0, opened.faults);
        let sheet = opened
            .sheet
            .unwrap_or_else(|| panic!("{}: no sheet", query.0));
        Self {
            query: query.0.clone(),
            report: sheet.run(&opened.entries),
            faults,
        }
    }

    fn fault(&mut self, text: String) {
        self.faults.push(format!("{}\n    {text}", self.query));
    }

    /// The answer as it is listed: only those that apply under the choices made.
    pub(crate) fn found(&self, key: &str) -> Option<Found> {
        let (_, found) = self
            .report
            .answers()
            .find(|(answer, found)| answer.key == key && found.is_some())?;
        found.cloned()
    }

    pub(crate) fn number(&mut self, key: &str, want: impl Into<Option<f64>>) {
        self.number_within(key, want, TOLERANCE);
    }

    /// A number to a share of itself; `None` when it must be absent.
    pub(crate) fn number_within(&mut self, key: &str, want: impl Into<Option<f64>>, share: f64) {
        let want = want.into();
        let found = self.found(key);
        let fits = match (&found, want) {
            (None, None) => true,
            (Some(Found::Number(got)), Some(want)) => close(*got, want, share),
            _ => false,
        };
        if !fits {
            self.fault(format!("{key}: {found:?}, and by the contract {want:?}"));
        }
    }

    pub(crate) fn text(&mut self, key: &str, want: Option<&str>) {
        let found = self.found(key);
        let fits = match (&found, want) {
            (None, None) => true,
            (Some(Found::Text(got)), Some(want)) => got == want,
            _ => false,
        };
        if !fits {
            self.fault(format!("{key}: {found:?}, and by the contract {want:?}"));
        }
    }

    /// Words, whichever they are.
    pub(crate) fn some_text(&mut self, key: &str) {
        let found = self.found(key);
        if !matches!(&found, Some(Found::Text(text)) if !text.is_empty()) {
            self.fault(format!("{key}: {found:?}, and by the contract words"));
        }
    }

    /// Rows of two numbers.
    pub(crate) fn pairs(&mut self, key: &str) -> Vec<(f64, f64)> {
        let Some(Found::Rows(rows)) = self.found(key) else {
            return Vec::new();
        };
        let mut pairs = Vec::new();
        for row in &rows {
            match row.as_slice() {
                [Cell::Number(x), Cell::Number(y)] => pairs.push((*x, *y)),
                _ => self.fault(format!("{key}: a row {row:?}")),
            }
        }
        pairs
    }

    /// Every row of two numbers by a function of the first.
    pub(crate) fn curve(&mut self, key: &str, share: f64, want: impl Fn(f64) -> f64) {
        let pairs = self.pairs(key);
        if pairs.is_empty() {
            self.fault(format!("{key}: no rows"));
        }
        for (x, y) in pairs {
            if !close(y, want(x), share) {
                self.fault(format!(
                    "{key}: ({x}, {y}), and by the contract {}",
                    want(x)
                ));
                break;
            }
        }
    }

    pub(crate) fn check(&mut self, id: &str, want: Option<State>) {
        let found = self
            .report
            .checks
            .iter()
            .find(|checked| checked.check.id == id)
            .map(|checked| checked.state);
        if found != want {
            self.fault(format!(
                "check {id}: {found:?}, and by the contract {want:?}"
            ));
        }
    }

    /// A check of a value that must not exceed its limit; not compared where rounding decides.
    pub(crate) fn check_at_most(&mut self, id: &str, value: Option<f64>, limit: Option<f64>) {
        let (Some(value), Some(limit)) = (value, limit) else {
            return self.check(id, None);
        };
        if close(value, limit, TOLERANCE) || close(value, 0.8 * limit, TOLERANCE) {
            return;
        }
        let state = if value > limit {
            State::Over
        } else if value >= 0.8 * limit {
            State::Near
        } else {
            State::Within
        };
        self.check(id, Some(state));
        let listed = self
            .report
            .checks
            .iter()
            .find(|checked| checked.check.id == id)
            .map(|c| (c.value, c.limit));
        if let Some((Some(got), Some(against))) = listed {
            if !close(got, value, TOLERANCE) || !close(against, limit, TOLERANCE) {
                self.fault(format!("check {id}: {got} against {against}, and by the contract {value} against {limit}"));
            }
        } else {
            self.fault(format!("check {id}: no numbers"));
        }
    }

    /// The fields that have a message, each once.
    pub(crate) fn errors(&mut self, want: &[&str]) {
        let mut found: Vec<&str> = self
            .report
            .problems
            .iter()
            .map(|problem| problem.field)
            .collect();
        found.dedup();
        if found != want {
            let text = format!(
                "errors at {found:?}, and by the contract at {want:?}: {:?}",
                self.report.problems
            );
            self.fault(text);
        }
    }
}

/// Whether two numbers agree to a share of their size; below 1e-12 everything agrees.
pub(crate) fn close(a: f64, b: f64, share: f64) -> bool {
    (a - b).abs() <= share * a.abs().max(b.abs()) + 1e-12
}

/// Ends a test: every disagreement, or the first twenty.
pub(crate) fn settle(cases: usize, faults: &[String]) {
    let shown: Vec<&str> = faults.iter().take(20).map(String::as_str).collect();
    assert!(
        faults.is_empty(),
        "{} disagreements in {cases} cases:\n{}",
        faults.len(),
        shown.join("\n")
    );
}

/// Entries, and the fields that have a message for them.
pub(crate) type Wrong<'a> = (&'a [(&'a str, &'a str)], &'a [&'a str]);

/// Holds the fields with a message to what is expected of each set of entries.
pub(crate) fn wrong(sheet: &str, list: &[Wrong]) {
    let mut faults = Vec::new();
    for (pairs, fields) in list {
        let mut query = Query::new(sheet);
        for (key, text) in *pairs {
            query.with(key, text);
        }
        Case::new(&query, &mut faults).errors(fields);
    }
    settle(list.len(), &faults);
}
