//! The build record of a machine: one page with all that is known of it, for the wall and for strangers who will check it.
//!
//! One structure holds it; [`Record::markdown`], [`Record::bbcode`], [`Record::csv`] and [`Record::json`] write it, and the
//! page draws it. Every sheet in it has its link, complete as the sheet's own page writes it.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::{Machine, MachineCheck, PartKind, PartsList, Place, Trust, Worked, declared};
use crate::entry::write::write_significant;
use crate::link;
use crate::sheets::declare::{Kind, Show};
use crate::sheets::{
    Answer, Caution, Checked, Field, Found, Origin, Report, cell_shown, figure, head_sign,
};
use crate::study::tolerance;

mod first;
mod json;
mod markup;
mod table;
#[cfg(test)]
mod tests;

pub use first::{NOTE, Stage, Step};

/// All that is known of a machine.
#[derive(Clone, Debug)]
pub struct Record {
    /// The machine's name.
    pub name: String,
    /// The title block: label and text of each field that has one.
    pub title: Vec<(&'static str, String)>,
    /// The parts in their order.
    pub parts: Vec<PartRecord>,
    /// The parts list with its sums.
    pub list: PartsList,
    /// The currency of the prices, as typed; may be empty.
    pub currency: String,
    /// The checks of the whole machine.
    pub checks: Vec<MachineCheck>,
    /// The first power-on order.
    pub first_power: Vec<Step>,
}

/// One part.
#[derive(Clone, Debug)]
pub struct PartRecord {
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: PartKind,
    /// Its sheets, without those of newer versions.
    pub sheets: Vec<SheetRecord>,
}

/// One sheet of a part.
#[derive(Clone, Debug)]
pub struct SheetRecord {
    /// The sheet's id.
    pub id: &'static str,
    /// The name people read.
    pub title: &'static str,
    /// What follows `#` in the link that opens it filled in.
    pub link: String,
    /// The entries that apply and have a value.
    pub entries: Vec<EntryRecord>,
    /// The answers that have a value, without curves.
    pub answers: Vec<AnswerRecord>,
    /// The checks that were made.
    pub checks: Vec<Checked>,
    /// What can hurt, and what to do first.
    pub cautions: Vec<&'static Caution>,
    /// What is wrong with the entries.
    pub problems: Vec<String>,
}

/// One entry.
#[derive(Clone, Debug)]
pub struct EntryRecord {
    /// The fixed key.
    pub key: &'static str,
    /// The words people read.
    pub label: &'static str,
    /// As typed, as carried, or the default.
    pub text: String,
    /// The words of the choice that `text` names, if it names one.
    pub choice: Option<&'static str>,
    /// The unit of a bare number in `text`.
    pub unit: &'static str,
    /// Where it came from.
    pub origin: Origin,
    /// The answer it is carried from.
    pub from: Option<Place>,
}

/// One answer.
#[derive(Clone, Debug)]
pub struct AnswerRecord {
    /// The fixed key.
    pub key: &'static str,
    /// The words people read.
    pub label: &'static str,
    /// Whether it is one of the sheet's main answers.
    pub headline: bool,
    /// The number at full precision, if it is one.
    pub value: Option<f64>,
    /// As people read it, without the unit, with the digits that count.
    pub text: String,
    /// The unit's sign.
    pub unit: &'static str,
    /// Combined standard uncertainty, k = 1, in the unit, where entries have tolerances.
    pub uncertainty: Option<f64>,
    /// How it was obtained.
    pub trust: Trust,
    /// Whether it has another value now than when it was marked.
    pub changed: bool,
    /// The date of the mark, as typed.
    pub date: String,
    /// The note of the mark.
    pub note: String,
}

/// Rows of an answer that are written out; beyond, the sheet's own page has them.
const MOST_ROWS: usize = 24;

impl Machine {
    /// The build record of this machine, worked out before.
    pub fn record(&self, worked: &Worked) -> Record {
        let parts = self.parts.iter().enumerate().map(|(at, part)| PartRecord {
            name: part.name.clone(),
            kind: part.kind(),
            sheets: worked
                .of(at)
                .map(|report| sheet_record(self, worked, at, report))
                .collect(),
        });
        Record {
            name: self.name.clone(),
            title: self.title_lines(),
            parts: parts.collect(),
            list: self.parts_list(),
            currency: self
                .title()
                .and_then(|title| title.get("currency"))
                .unwrap_or("")
                .to_string(),
            checks: worked.checks(self),
            first_power: first::steps(self, worked),
        }
    }

    /// The fields of the title block that have a text, in their order, the defaults among them.
    fn title_lines(&self) -> Vec<(&'static str, String)> {
        let typed = |field: &Field| {
            self.title()
                .and_then(|title| title.get(field.key))
                .unwrap_or(field.default)
                .trim()
        };
        let lines = super::TITLE
            .fields
            .iter()
            .map(|field| (field.label, typed(field).to_string()));
        lines.filter(|(_, text)| !text.is_empty()).collect()
    }
}

fn sheet_record(machine: &Machine, worked: &Worked, part: usize, report: &Report) -> SheetRecord {
    SheetRecord {
        id: report.sheet.id,
        title: report.sheet.title,
        link: link::write(report),
        entries: entries(worked, part, report),
        answers: answers(machine, part, report),
        checks: report.checks.clone(),
        cautions: report.cautions.clone(),
        problems: report
            .problems
            .iter()
            .map(|problem| problem.message.clone())
            .collect(),
    }
}

fn entries(worked: &Worked, part: usize, report: &Report) -> Vec<EntryRecord> {
    let mut entries = Vec::new();
    for (field, origin, _) in report.inputs.fields() {
        let unit = field.measure().map_or("", |measure| measure.unit.sign);
        let stands_in = report.stand_in(field.key);
        let text = match origin {
            Origin::Typed | Origin::Bad => report.entries.get(field.key).map(str::to_string),
            Origin::Carried => report
                .inputs
                .num(field.key)
                .map(|x| write_significant(x, 6)),
            _ if stands_in.is_some() => stands_in.map(|x| write_significant(x, 6)),
            Origin::Default => Some(field.default.to_string()),
            _ => None,
        };
        if let Some(text) = text {
            let from = worked.tie(part, report.sheet.id, field.key);
            let choice = match field.kind {
                Kind::Choice(choices) => choices.iter().find(|choice| choice.key == text),
                _ => None,
            };
            entries.push(EntryRecord {
                key: field.key,
                label: field.label,
                text,
                choice: choice.map(|choice| choice.label),
                unit,
                origin,
                from,
            });
        }
    }
    entries
}

fn answers(machine: &Machine, part: usize, report: &Report) -> Vec<AnswerRecord> {
    let marks = machine
        .parts
        .get(part)
        .map(super::Part::marks)
        .unwrap_or_default();
    let spreads = tolerance::spreads(report);
    let mut answers = Vec::new();
    for (answer, found) in report.answers() {
        let Some(text) = found.and_then(|found| shown(answer, found)) else {
            continue;
        };
        let value = match found {
            Some(Found::Number(x)) => Some(*x),
            _ => None,
        };
        let uncertainty = spreads
            .iter()
            .find(|spread| spread.answer == answer.key)
            .map(|spread| spread.uncertainty);
        // With tolerances the value has the digits that its uncertainty leaves it.
        let text = match value.zip(uncertainty).filter(|(_, u)| *u > 0.0) {
            Some((value, uncertainty)) => tolerance::written(value, uncertainty).0,
            None => text,
        };
        let mark = marks
            .iter()
            .find(|mark| mark.is_of(report.sheet.id, answer.key));
        answers.push(AnswerRecord {
            key: answer.key,
            label: answer.label,
            headline: answer.headline,
            value,
            text,
            unit: report.measure(answer).unit.sign,
            uncertainty,
            trust: mark.map_or(Trust::WorkedOut, |mark| mark.trust),
            changed: mark.is_some_and(|mark| mark.is_stale(report)),
            date: mark.map_or_else(String::new, |mark| mark.date.clone()),
            note: mark.map_or_else(String::new, |mark| mark.note.clone()),
        });
    }
    answers
}

/// An answer without its unit; `None` for curves.
fn shown(answer: &Answer, found: &Found) -> Option<String> {
    match (found, answer.show) {
        (_, Show::Curve(..)) => None,
        (Found::Number(x), show) => Some(figure(*x, show)),
        (Found::Text(text), _) => Some(text.to_string()),
        (Found::List(values), show) => {
            let figures: Vec<String> = values
                .iter()
                .take(MOST_ROWS)
                .map(|x| figure(*x, show))
                .collect();
            Some(
                figures.join("; ")
                    + if values.len() > MOST_ROWS {
                        "; …"
                    } else {
                        ""
                    },
            )
        }
        (Found::Rows(rows), show) => {
            let heads = match show {
                Show::Rows(heads) => heads,
                _ => &[],
            };
            let cells = |row: &Vec<crate::sheets::Cell>| {
                let cells = row.iter().enumerate().map(|(at, cell)| {
                    let head = heads.get(at);
                    crate::sheets::join_unit(cell_shown(cell, head), head.map_or("", head_sign))
                });
                cells.collect::<Vec<_>>().join(", ")
            };
            let lines: Vec<String> = rows.iter().take(MOST_ROWS).map(cells).collect();
            Some(lines.join("; ") + if rows.len() > MOST_ROWS { "; …" } else { "" })
        }
    }
}

impl Record {
    /// Where an entry came from, in words: "typed", "default", "from X axis, Travel".
    pub fn origin(&self, entry: &EntryRecord) -> String {
        match (entry.origin, entry.from) {
            (Origin::Typed, _) => "typed".to_string(),
            (Origin::Bad, _) => "typed, not readable".to_string(),
            (Origin::Carried, Some(from)) => {
                let part = self
                    .parts
                    .get(from.part)
                    .map_or("", |part| part.name.as_str());
                format!(
                    "from {part}, {}",
                    declared(from.sheet).map_or(from.sheet, |sheet| sheet.title)
                )
            }
            (Origin::Default, _) => "default".to_string(),
            _ => "worked out".to_string(),
        }
    }
}

impl EntryRecord {
    /// A choice in words, or the text with the unit that a bare number has: "40 N.cm" stays, "16" in mm is "16 mm".
    pub fn shown(&self) -> String {
        if let Some(words) = self.choice {
            return words.to_string();
        }
        let bare = self.text.trim_end().ends_with(|c: char| c.is_ascii_digit());
        crate::sheets::join_unit(self.text.clone(), if bare { self.unit } else { "" })
    }
}

impl AnswerRecord {
    /// How it was obtained, in words: "Proven, 2026-03-01, dial gauge over 150 mm".
    pub fn obtained(&self) -> String {
        let mut words = self.trust.label().to_string();
        for more in [&self.date, &self.note] {
            if !more.is_empty() {
                words.push_str(", ");
                words.push_str(more);
            }
        }
        if self.changed {
            words.push_str(", changed since");
        }
        words
    }

    /// The number with its uncertainty and unit, or the words.
    pub fn shown(&self) -> String {
        let figure = match self.value.zip(self.uncertainty).filter(|(_, u)| *u > 0.0) {
            Some((value, uncertainty)) => {
                let (value, uncertainty) = tolerance::written(value, uncertainty);
                format!("{value} (u {uncertainty})")
            }
            None => crate::sheets::in_words(&self.text),
        };
        crate::sheets::join_unit(figure, self.unit)
    }
}
