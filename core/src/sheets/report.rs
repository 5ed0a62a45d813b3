//! A finished sheet, ready to be shown: what the function found, joined with its declarations.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::declare::{Answer, Caution, Check, Field, Head, Sheet, Show};
use super::entries::Entries;
use super::inputs::{Earlier, Inputs, Problem, Value};
use super::outcome::{Cell, Found, Outcome, State};
use crate::entry::unit::{Measure, unit_sign};
use crate::entry::write::{write_fixed, write_shortest, write_significant};
use crate::study::tolerance;

/// A check that was made.
#[derive(Clone, Debug)]
pub struct Checked {
    /// Its declaration.
    pub check: &'static Check,
    /// How it came out.
    pub state: State,
    /// The number compared, if there is one.
    pub value: Option<f64>,
    /// The limit it was compared with, if there is one.
    pub limit: Option<f64>,
    /// The sentence for the person.
    pub text: String,
}

/// One step of the working.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Step {
    /// What is worked out.
    pub label: &'static str,
    /// The formula in words: "belt pitch × pulley teeth".
    pub formula: String,
    /// The formula with the numbers put in: "2 mm × 20".
    pub numbers: String,
    /// The result with its unit.
    pub result: String,
    /// Where the formula comes from.
    pub source: &'static str,
}

/// Everything a sheet says about its entries.
#[derive(Debug)]
pub struct Report {
    /// The sheet.
    pub sheet: &'static Sheet,
    /// The entries as typed.
    pub entries: Entries,
    /// The parsed entries.
    pub inputs: Inputs,
    outcome: Outcome,
    /// The checks, in the order of the declaration.
    pub checks: Vec<Checked>,
    /// The cautions, in the order of the declaration.
    pub cautions: Vec<&'static Caution>,
    /// What is wrong, in the order of the fields.
    pub problems: Vec<Problem>,
    /// What was taken but is unusual, in the order of the fields.
    pub warnings: Vec<Problem>,
}

impl Sheet {
    /// Works the sheet out for what was typed, with nothing carried from other sheets.
    pub fn run(&'static self, entries: &Entries) -> Report {
        self.run_carried(entries, &|_| None)
    }

    /// Works the sheet out; `carried` answers for blank fields that are carried from another sheet, in the field's unit.
    pub fn run_carried(
        &'static self,
        entries: &Entries,
        carried: &dyn Fn(&Field) -> Option<f64>,
    ) -> Report {
        self.run_into(entries, carried, Outcome::default(), None)
    }

    /// As [`Sheet::run_carried`], without curves: for whole machines, where nobody looks at them.
    pub fn run_numbers(
        &'static self,
        entries: &Entries,
        carried: &dyn Fn(&Field) -> Option<f64>,
    ) -> Report {
        self.run_into(entries, carried, Outcome::for_numbers(), None)
    }

    /// As [`Sheet::run_carried`], with long work left to [`Report::advance`]: for a page that must not stand still.
    pub fn begin(
        &'static self,
        entries: &Entries,
        carried: &dyn Fn(&Field) -> Option<f64>,
    ) -> Report {
        self.begin_into(entries, carried, Outcome::default(), None)
    }

    /// As [`Sheet::begin`], sparing what an earlier report on this sheet tells already: its log, and the fit.
    pub fn run_after(
        &'static self,
        entries: &Entries,
        carried: &dyn Fn(&Field) -> Option<f64>,
        earlier: Option<&Report>,
    ) -> Report {
        let earlier = earlier.map(|report| (&report.entries, &report.inputs));
        self.begin_into(entries, carried, Outcome::default(), earlier)
    }

    fn run_into(
        &'static self,
        entries: &Entries,
        carried: &dyn Fn(&Field) -> Option<f64>,
        outcome: Outcome,
        earlier: Earlier,
    ) -> Report {
        let mut report = self.begin_into(entries, carried, outcome, earlier);
        while report.advance(u64::MAX) {}
        report
    }

    fn begin_into(
        &'static self,
        entries: &Entries,
        carried: &dyn Fn(&Field) -> Option<f64>,
        mut outcome: Outcome,
        earlier: Earlier,
    ) -> Report {
        let mut inputs = Inputs::read(self, entries, carried, earlier);
        (self.work)(&inputs, &mut outcome);
        inputs.told = outcome.told;
        let mut report = Report::new(entries.clone(), inputs, outcome);
        report.turn(&tolerance::turning(&report));
        report
    }
}

impl Report {
    fn new(entries: Entries, inputs: Inputs, mut outcome: Outcome) -> Self {
        let sheet = inputs.sheet();
        let mut problems = inputs.problems.clone();
        problems.append(&mut outcome.problems);
        let place = |p: &Problem| sheet.fields.iter().position(|field| field.key == p.field);
        problems.sort_by_key(place);
        let mut warnings = inputs.warnings.clone();
        warnings.append(&mut outcome.warnings);
        warnings.sort_by_key(place);
        let cautions = sheet
            .cautions
            .iter()
            .filter(|caution| caution.always || outcome.cautions.contains(&caution.id))
            .collect();
        let mut report = Self {
            sheet,
            entries,
            inputs,
            outcome,
            checks: Vec::new(),
            cautions,
            problems,
            warnings,
        };
        report.checks = report.checked();
        report
    }

    /// How far the work has come that is left to [`Report::advance`]: done, of how much; `None` when none is left.
    pub fn progress(&self) -> Option<(f64, f64)> {
        self.outcome.task.as_ref().map(|task| task.progress())
    }

    /// Does about `amount` steps of the work that is left, and puts its answers once it is done; whether any is left.
    pub fn advance(&mut self, amount: u64) -> bool {
        let Some(mut task) = self.outcome.task.take() else {
            return false;
        };
        let done = task.advance(&self.inputs, amount);
        if done {
            task.put(&mut self.outcome);
        } else {
            self.outcome.leave(task);
        }
        !done
    }

    /// Has the work end early: a little of it is still left, to put in order what was found so far.
    pub fn stop(&mut self) {
        if let Some(task) = &mut self.outcome.task {
            task.stop();
        }
    }

    /// What is said about work that was done in slices: what its answers leave out.
    pub fn note(&self) -> Option<&str> {
        self.outcome.note.as_deref()
    }

    fn checked(&self) -> Vec<Checked> {
        let mut checks = Vec::with_capacity(self.outcome.verdicts.len());
        for check in self.sheet.checks {
            let Some(verdict) = self.outcome.verdicts.iter().find(|v| v.id == check.id) else {
                continue;
            };
            let template = match verdict.state {
                State::Within => check.within,
                State::Near => check.near,
                State::Over => check.over,
            };
            let text = fill(template, |key| match key {
                "value" => verdict.value.map(|x| with_unit(x, check.measure)),
                "limit" => verdict.limit.map(|x| with_unit(x, check.measure)),
                _ => self.in_numbers(key),
            });
            checks.push(Checked {
                check,
                state: verdict.state,
                value: verdict.value,
                limit: verdict.limit,
                text: text.unwrap_or_default(),
            });
        }
        checks
    }

    /// Makes near the checks that turn over their limit somewhere inside the tolerance of the entries.
    fn turn(&mut self, turning: &[&str]) {
        for checked in self
            .checks
            .iter_mut()
            .filter(|checked| turning.contains(&checked.check.id))
        {
            checked.state = State::Near;
            checked
                .text
                .push_str(" Inside the tolerance of the entries it can be either.");
        }
    }

    /// Every answer that applies under the choices made, with its value if it has one, in the order of the declaration.
    pub fn answers(&self) -> impl Iterator<Item = (&'static Answer, Option<&Found>)> {
        self.sheet
            .answers
            .iter()
            .filter(|answer| !answer.aside && self.inputs.holds(answer.when))
            .map(|answer| (answer, self.found(answer.key)))
    }

    /// The value of an answer.
    pub fn found(&self, key: &str) -> Option<&Found> {
        self.outcome
            .answers
            .iter()
            .find(|(k, _)| *k == key)
            .map(|(_, found)| found)
    }

    /// The number of an answer, in its declared unit.
    pub fn number(&self, key: &str) -> Option<f64> {
        self.outcome.number(key)
    }

    /// The declaration of an answer under the choices made.
    pub fn answer(&self, key: &str) -> Option<&'static Answer> {
        self.sheet
            .answers
            .iter()
            .find(|answer| answer.key == key && self.inputs.holds(answer.when))
    }

    /// The unit of an answer: the declared one, unless the numbers decided it.
    pub fn measure(&self, answer: &Answer) -> Measure {
        let own = self.outcome.units.iter().find(|(k, _)| *k == answer.key);
        own.map_or(answer.measure, |(_, measure)| *measure)
    }

    /// An answer's value with its unit as people read it; `None` for rows and where there is no value.
    pub fn shown(&self, answer: &Answer) -> Option<String> {
        shown(answer, self.measure(answer), self.found(answer.key)?)
    }

    /// Whether these entries would give a message beside a field that is not there now.
    pub fn refuses(&self, entries: &Entries, field: &str) -> bool {
        let said = |problems: &[Problem]| problems.iter().any(|problem| problem.field == field);
        said(&self.sheet.run_numbers(entries, &|_| None).problems) && !said(&self.problems)
    }

    /// The value that stands in for a blank entry, such as one that was solved for.
    pub fn stand_in(&self, field: &str) -> Option<f64> {
        let found = self.outcome.stand_ins.iter().find(|(k, _)| *k == field);
        found.map(|(_, value)| *value)
    }

    /// The labels of the entries and answers that an answer without a value still waits for.
    pub fn waits_for(&self, answer: &Answer) -> Vec<&'static str> {
        keys(answer.formula)
            .filter(|key| self.in_numbers(key).is_none())
            .filter_map(|key| self.label(key))
            .collect()
    }

    /// The working, one step for each answer that has a formula and a value.
    pub fn working(&self) -> Vec<Step> {
        self.sheet
            .answers
            .iter()
            .filter(|answer| !answer.formula.is_empty() && self.inputs.holds(answer.when))
            .filter_map(|answer| {
                let result = self.shown(answer)?;
                let formula = fill(answer.formula, |key| self.label(key).map(in_sentence))?;
                let numbers = fill(answer.formula, |key| self.in_numbers(key)).unwrap_or_default();
                Some(Step {
                    label: answer.label,
                    numbers: if numbers == formula {
                        String::new()
                    } else {
                        numbers
                    },
                    formula,
                    result,
                    source: answer.source,
                })
            })
            .collect()
    }

    /// The label of an entry or answer; the answer's where both have the key and it has a value.
    fn label(&self, key: &str) -> Option<&'static str> {
        let answer = self.answer(key).map(|answer| answer.label);
        match self.inputs.field(key) {
            Some(field) if answer.is_none() || self.found(key).is_none() => Some(field.label),
            _ => answer,
        }
    }

    /// The number of an entry or answer with its unit, as the working shows it.
    fn in_numbers(&self, key: &str) -> Option<String> {
        if let Some(answer) = self.answer(key)
            && let Some(text) = self.shown(answer)
        {
            return Some(text);
        }
        let field = self.inputs.field(key)?;
        if let Some(value) = self.stand_in(key) {
            return Some(number_and_sign(value, field.measure()));
        }
        let entry = self.inputs.fields().find(|(f, ..)| f.key == key);
        if let Some((_, _, Some(value))) = entry {
            return Some(entry_shown(field, value));
        }
        None
    }
}

/// An entry's value with its unit.
fn entry_shown(field: &Field, value: &Value) -> String {
    match value {
        Value::Number(n) => number_and_sign(n.value, field.measure()),
        Value::Either(which, n) => {
            let measure = match field.kind {
                super::declare::Kind::Either { measures, .. } => measures.get(*which).copied(),
                _ => None,
            };
            number_and_sign(n.value, measure)
        }
        Value::Count(n) => n.to_string(),
        Value::Choice(key) => String::from(*key),
        Value::Thread(thread) => format!("M/Tr {}", write_shortest(thread.diameter_mm, 6)),
        Value::Word(text) => text.clone(),
        Value::Rows(rows) => format!("{} rows", rows.len()),
        Value::Log(rows) => format!("{} rows", rows.len()),
    }
}

fn number_and_sign(value: f64, measure: Option<Measure>) -> String {
    join_unit(
        write_shortest(value, 6),
        measure.map_or("", |m| m.unit.sign),
    )
}

pub(crate) fn with_unit(value: f64, measure: Measure) -> String {
    join_unit(write_significant(value, 4), measure.unit.sign)
}

/// "12.5 mm", "30°", "80 %".
pub fn join_unit(number: String, sign: &str) -> String {
    match sign {
        "" => number,
        "°" => number + sign,
        _ => number + "\u{a0}" + sign,
    }
}

/// The number of an answer as people read it, without its unit.
pub fn figure(value: f64, show: Show) -> String {
    match show {
        Show::Significant(digits) | Show::List(digits) => write_significant(value, digits),
        Show::Fixed(decimals) => write_fixed(value, decimals),
        Show::Text | Show::Rows(_) | Show::Curve(..) => write_significant(value, 4),
    }
}

/// One cell of an answer's rows as people read it.
pub fn cell_shown(cell: &Cell, head: Option<&Head>) -> String {
    match cell {
        Cell::Number(x) => figure(*x, head.map_or(Show::Significant(4), |head| head.show)),
        Cell::Text(text) => String::from(text.as_ref()),
        Cell::Blank => String::new(),
    }
}

/// An answer's value with its unit as people read it; `None` for rows.
fn shown(answer: &Answer, measure: Measure, found: &Found) -> Option<String> {
    let sign = measure.unit.sign;
    match found {
        Found::Number(x) => Some(join_unit(figure(*x, answer.show), sign)),
        Found::Text(text) => Some(in_words(text)),
        Found::List(values) => {
            let figures: Vec<String> = values.iter().map(|x| figure(*x, answer.show)).collect();
            Some(join_unit(figures.join("; "), sign))
        }
        Found::Rows(_) => None,
    }
}

/// An answer in words as people read it: scripts get several words joined by underscores, "measure_more".
pub(crate) fn in_words(text: &str) -> String {
    text.replace('_', " ")
}

/// The sign of a column's unit.
pub fn head_sign(head: &Head) -> &'static str {
    unit_sign(head.unit)
}

/// A label inside a sentence: its first letter small, unless the word is an abbreviation.
pub(super) fn in_sentence(label: &str) -> String {
    let mut letters = label.chars();
    let (Some(first), Some(second)) = (letters.next(), letters.next()) else {
        return String::from(label);
    };
    if second.is_ascii_uppercase() || !second.is_ascii_alphabetic() {
        return String::from(label);
    }
    let mut text = String::from(first.to_ascii_lowercase());
    text.push(second);
    text.extend(letters);
    text
}

/// The keys in a template's braces.
fn keys(template: &str) -> impl Iterator<Item = &str> {
    template
        .split('{')
        .skip(1)
        .filter_map(|rest| rest.split_once('}').map(|(key, _)| key))
}

/// What ends a text behind which a minus sign would be a second one.
const OPERATORS: [char; 4] = ['+', '−', '×', '÷'];

/// Puts words in the place of each `{key}`; `None` when a key has none.
///
/// What is raised to a power, or is negative behind an operator, stands in brackets where it must: (118 mm)², not 118 mm².
///
/// # Source
/// ISO 80000-1 on quantities with units: a power behind a unit belongs to the unit alone (from memory).
pub(crate) fn fill(template: &str, word: impl Fn(&str) -> Option<String>) -> Option<String> {
    let mut text = String::with_capacity(template.len());
    let mut parts = template.split('{');
    text.push_str(parts.next().unwrap_or(""));
    for part in parts {
        let (key, rest) = part.split_once('}')?;
        let word = word(key)?;
        let negative = word.starts_with('-');
        let power = rest.starts_with(['²', '³']) && (negative || word.contains([' ', '\u{a0}']));
        if power || (negative && text.trim_end().ends_with(OPERATORS)) {
            text.push('(');
            text.push_str(&word);
            text.push(')');
        } else {
            text.push_str(&word);
        }
        text.push_str(rest);
    }
    Some(text)
}
