//! What a sheet's function writes while it works: numbers, states and messages by key, no words about them.

use alloc::borrow::Cow;
use alloc::boxed::Box;
use alloc::string::String;
use alloc::vec::Vec;
use core::fmt::Debug;

use super::inputs::{Inputs, Problem};
use crate::entry::unit::Measure;
use crate::heat::record::Told;

/// The value of one answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Found {
    /// A number in the answer's unit; always finite.
    Number(f64),
    /// Words.
    Text(Cow<'static, str>),
    /// Numbers in the answer's unit, all finite.
    List(Vec<f64>),
    /// Rows of cells.
    Rows(Vec<Vec<Cell>>),
}

/// One cell of an answer's rows.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// A number in the column's unit; always finite.
    Number(f64),
    /// Words.
    Text(Cow<'static, str>),
    /// Nothing known.
    Blank,
}

impl Cell {
    /// A number, or blank where there is none or it is not finite.
    pub fn number(value: impl Into<Option<f64>>) -> Self {
        match value.into() {
            Some(x) if x.is_finite() => Self::Number(x),
            _ => Self::Blank,
        }
    }
}

/// How a compared number stands to its limit.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum State {
    /// All is well.
    Within,
    /// Close to the limit, or a warning.
    Near,
    /// Beyond the limit.
    Over,
}

impl State {
    /// The word that scripts read.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Within => "within",
            Self::Near => "near",
            Self::Over => "over",
        }
    }
}

/// The verdict of one check.
#[derive(Clone, Copy, Debug)]
pub(super) struct Verdict {
    pub id: &'static str,
    pub state: State,
    pub value: Option<f64>,
    pub limit: Option<f64>,
}

/// Rounding in the last place does not move a value that stands on a border to its other side.
const ROUNDING: f64 = 1e-12;

/// A limit counts as near from this share of it.
const NEAR: f64 = 0.8;

/// How `value` stands to the most it may be; near from 80 % of it.
pub(crate) fn at_most(value: f64, limit: f64) -> State {
    if value > limit + ROUNDING * limit.abs() {
        State::Over
    } else if value >= NEAR * limit - ROUNDING * limit.abs() {
        State::Near
    } else {
        State::Within
    }
}

/// Work too long for one key press: done in slices, and then put among the answers.
pub trait Task: Debug + Send + Sync {
    /// Does some of it, about `amount` steps of a fraction of a microsecond each; whether it is done.
    fn advance(&mut self, inputs: &Inputs, amount: u64) -> bool;

    /// How far it has come: done, of how much.
    fn progress(&self) -> (f64, f64);

    /// Has it end early: what was found so far is all that is still to be put in order.
    fn stop(&mut self);

    /// Puts what was found, once it is done.
    fn put(&mut self, out: &mut Outcome);
}

/// Where a sheet's function puts what it found.
///
/// Numbers that are not finite are dropped here, once for all sheets: no NaN or infinity reaches a person.
#[derive(Debug, Default)]
pub struct Outcome {
    pub(super) answers: Vec<(&'static str, Found)>,
    pub(super) stand_ins: Vec<(&'static str, f64)>,
    pub(super) verdicts: Vec<Verdict>,
    pub(super) cautions: Vec<&'static str>,
    pub(super) problems: Vec<Problem>,
    pub(super) warnings: Vec<Problem>,
    pub(super) units: Vec<(&'static str, Measure)>,
    /// Leaves rows out: studies work a sheet out thousands of times and want its numbers only.
    pub(super) numbers_only: bool,
    pub(crate) task: Option<Box<dyn Task>>,
    /// What is said about work that was done in slices, or that a study is not given.
    pub(crate) note: Option<String>,
    /// What a log told, for the next time.
    pub(super) told: Option<Told>,
}

impl Outcome {
    /// An outcome that leaves curves and tables out, for studies.
    pub fn for_numbers() -> Self {
        Self {
            numbers_only: true,
            ..Self::default()
        }
    }

    /// Forgets what was found and keeps the room for it, as a study that draws thousands of times wants it.
    pub fn clear(&mut self) {
        self.answers.clear();
        self.stand_ins.clear();
        self.verdicts.clear();
        self.cautions.clear();
        self.problems.clear();
        self.warnings.clear();
        self.units.clear();
        self.task = None;
        self.note = None;
    }

    /// Whether the sheet's function found a problem between the entries.
    pub fn found_problems(&self) -> bool {
        !self.problems.is_empty()
    }

    /// The state of a check, and by how much its value lies over its limit.
    pub fn verdict(&self, id: &str) -> Option<(State, Option<f64>)> {
        let verdict = self.verdicts.iter().find(|verdict| verdict.id == id)?;
        let gap = verdict
            .value
            .zip(verdict.limit)
            .map(|(value, limit)| value - limit);
        Some((verdict.state, gap))
    }

    /// What a check compared: its value and its limit.
    pub fn compared(&self, id: &str) -> Option<(f64, f64)> {
        let verdict = self.verdicts.iter().find(|verdict| verdict.id == id)?;
        verdict.value.zip(verdict.limit)
    }

    /// A number in the answer's declared unit; nothing is put for `None` or a number that is not finite.
    pub fn put(&mut self, key: &'static str, value: impl Into<Option<f64>>) {
        if let Some(x) = value.into()
            && x.is_finite()
        {
            // Adding 0 turns -0 into 0, which people should not see.
            self.answers.push((key, Found::Number(x + 0.0)));
        }
    }

    /// A number whose unit depends on the numbers, in place of the declared one.
    pub fn put_in(&mut self, key: &'static str, measure: Measure, value: impl Into<Option<f64>>) {
        self.units.push((key, measure));
        self.put(key, value);
    }

    /// Words.
    pub fn put_text(&mut self, key: &'static str, text: impl Into<Cow<'static, str>>) {
        self.answers.push((key, Found::Text(text.into())));
    }

    /// "yes" or "no".
    pub fn put_yes(&mut self, key: &'static str, yes: bool) {
        self.put_text(key, if yes { "yes" } else { "no" });
    }

    /// A list of numbers; a list with a number that is not finite is not put.
    pub fn put_list(&mut self, key: &'static str, values: Vec<f64>) {
        if values.iter().all(|x| x.is_finite()) {
            self.answers.push((key, Found::List(values)));
        }
    }

    /// Rows of cells.
    pub fn put_rows(&mut self, key: &'static str, rows: Vec<Vec<Cell>>) {
        self.answers.push((key, Found::Rows(rows)));
    }

    /// Rows of two numbers, the usual curve.
    pub fn put_pairs(&mut self, key: &'static str, pairs: impl IntoIterator<Item = (f64, f64)>) {
        if self.numbers_only {
            return;
        }
        let rows = pairs
            .into_iter()
            .filter(|(x, y)| x.is_finite() && y.is_finite())
            .map(|(x, y)| [Cell::Number(x), Cell::Number(y)].into())
            .collect();
        self.put_rows(key, rows);
    }

    /// Whether curves and tables are wanted; a sheet may skip working out what nobody reads.
    pub const fn wants_rows(&self) -> bool {
        !self.numbers_only
    }

    /// The value that stands in for a blank entry in the working, such as one that was solved for.
    pub fn stand_in(&mut self, field: &'static str, value: f64) {
        self.stand_ins.push((field, value));
    }

    /// A number found so far.
    pub fn number(&self, key: &str) -> Option<f64> {
        self.answers.iter().find_map(|(k, found)| match found {
            Found::Number(x) if *k == key => Some(*x),
            _ => None,
        })
    }

    /// `value` must not exceed `limit`; near from 80 % of it. Not listed without both.
    pub fn check_at_most(
        &mut self,
        id: &'static str,
        value: impl Into<Option<f64>>,
        limit: impl Into<Option<f64>>,
    ) {
        let (Some(value), Some(limit)) = (value.into(), limit.into()) else {
            return;
        };
        self.check(id, at_most(value, limit), value, limit);
    }

    /// `value` must reach `least`; near up to `least`/0.8. Not listed without both.
    pub fn check_at_least(
        &mut self,
        id: &'static str,
        value: impl Into<Option<f64>>,
        least: impl Into<Option<f64>>,
    ) {
        let (Some(value), Some(least)) = (value.into(), least.into()) else {
            return;
        };
        let state = if value < least - ROUNDING * least.abs() {
            State::Over
        } else if value <= least / NEAR + ROUNDING * least.abs() {
            State::Near
        } else {
            State::Within
        };
        self.check(id, state, value, least);
    }

    /// A check whose state the sheet decides itself; yes-or-no checks have no numbers.
    pub fn check(
        &mut self,
        id: &'static str,
        state: State,
        value: impl Into<Option<f64>>,
        limit: impl Into<Option<f64>>,
    ) {
        self.verdicts.push(Verdict {
            id,
            state,
            value: value.into().filter(|x| x.is_finite()),
            limit: limit.into().filter(|x| x.is_finite()),
        });
    }

    /// Raises a declared caution.
    pub fn caution(&mut self, id: &'static str) {
        self.cautions.push(id);
    }

    /// Leaves work to be done after the sheet's function: at once by [`super::Sheet::run`], in slices by the page.
    pub fn leave(&mut self, task: Box<dyn Task>) {
        self.task = Some(task);
    }

    /// Does all the work that was left.
    pub(crate) fn finish(&mut self, inputs: &Inputs) {
        if let Some(mut task) = self.task.take() {
            while !task.advance(inputs, u64::MAX) {}
            task.put(self);
        }
    }

    /// A message beside a field, for what no single field could know.
    pub fn problem(&mut self, field: &'static str, message: impl Into<String>) {
        self.problems.push(Problem {
            field,
            message: message.into(),
        });
    }

    /// A word of warning beside a field: the entry is taken, but is unusual.
    pub fn warn(&mut self, field: &'static str, message: impl Into<String>) {
        self.warnings.push(Problem {
            field,
            message: message.into(),
        });
    }
}
