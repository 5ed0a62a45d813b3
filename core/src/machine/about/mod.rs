//! What a part is beside its sheets: its kind, what it is made of and costs, and which answers were proven on the bench.
//!
//! All of it is typed by a person, so it is kept as typed: as entries of two sheets that calculate little and stand only
//! in machines, [`PART`] in each part and [`TITLE`] in one part of a machine. They are saved, linked, compared and drawn like
//! every sheet, and an older page keeps them as sheets it does not know.

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::{Machine, Part};
use crate::entry::number::read_number;
use crate::entry::rows::{escape_cell, split_rows, unescape_cell};
use crate::entry::unit::{ONE, PERCENT};
use crate::sheets::declare::{Choice, choice};
use crate::sheets::{
    Answer, Entries, Field, Found, Inputs, Outcome, Report, Row, Sheet, Subject, figure,
};

/// What a part is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum PartKind {
    /// Something that a motor moves.
    Axis,
    /// A hot end, a bed, a heated enclosure.
    Heater,
    /// The power supply.
    Supply,
    /// What holds all the rest.
    Frame,
    /// The controller board with its drivers and switches.
    Controller,
    /// Anything else.
    Other,
}

/// Every kind with its words, in the order of the list.
const KINDS: [(PartKind, Choice); 6] = [
    (PartKind::Axis, choice("axis", "An axis")),
    (PartKind::Heater, choice("heater", "A heater zone")),
    (PartKind::Supply, choice("supply", "The supply")),
    (PartKind::Frame, choice("frame", "The frame")),
    (PartKind::Controller, choice("controller", "The controller")),
    (PartKind::Other, choice("other", "Something else")),
];

/// Sheets that tell the kind of a part that does not say it; the first that the part has decides.
const TELLING: &[(&str, PartKind)] = &[
    ("supply", PartKind::Supply),
    ("heater", PartKind::Heater),
    ("sensor", PartKind::Heater),
    ("cutoff", PartKind::Heater),
    ("travel", PartKind::Axis),
    ("headroom", PartKind::Axis),
    ("current", PartKind::Axis),
    ("screw", PartKind::Axis),
    ("rate", PartKind::Controller),
    ("switch", PartKind::Controller),
    ("rods", PartKind::Frame),
    ("beam", PartKind::Frame),
    ("reach", PartKind::Frame),
];

impl PartKind {
    /// The word that scripts read.
    pub fn word(self) -> &'static str {
        self.choice().map_or("other", |choice| choice.key)
    }

    /// The words people read.
    pub fn label(self) -> &'static str {
        self.choice().map_or("", |choice| choice.label)
    }

    fn choice(self) -> Option<Choice> {
        KINDS
            .iter()
            .find(|(kind, _)| *kind == self)
            .map(|(_, choice)| *choice)
    }
}

/// Where a figure came from.
const FROM: &[Choice] = &[
    choice("data_sheet", "Data sheet"),
    choice("measured", "Measured"),
    choice("guessed", "Guessed"),
];

/// How far an answer can be trusted.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Trust {
    /// Worked out from the entries.
    WorkedOut,
    /// Taken from a data sheet.
    DataSheet,
    /// Measured, off the machine.
    Measured,
    /// Proven on the machine.
    Proven,
}

const TRUSTS: [(Trust, Choice); 4] = [
    (Trust::WorkedOut, choice("worked_out", "Worked out")),
    (Trust::DataSheet, choice("data_sheet", "Data sheet")),
    (Trust::Measured, choice("measured", "Measured")),
    (Trust::Proven, choice("proven", "Proven")),
];

impl Trust {
    /// The word that scripts read.
    pub fn word(self) -> &'static str {
        TRUSTS
            .iter()
            .find(|(trust, _)| *trust == self)
            .map_or("", |(_, choice)| choice.key)
    }

    /// The words people read.
    pub fn label(self) -> &'static str {
        TRUSTS
            .iter()
            .find(|(trust, _)| *trust == self)
            .map_or("", |(_, choice)| choice.label)
    }
}

const fn choices<T: Copy, const N: usize>(pairs: &[(T, Choice); N]) -> [Choice; N] {
    let mut choices = [choice("", ""); N];
    let mut rest: &[(T, Choice)] = pairs;
    let mut places: &mut [Choice] = &mut choices;
    while let ([(_, first), others @ ..], [place, more @ ..]) = (rest, places) {
        *place = *first;
        rest = others;
        places = more;
    }
    choices
}

const KIND_CHOICES: [Choice; 6] = choices(&KINDS);
const TRUST_CHOICES: [Choice; 4] = choices(&TRUSTS);

const FIELDS: &[Field] = &[
    Field::choice("kind", "This part is", &KIND_CHOICES)
        .optional()
        .help("blank: as its sheets tell"),
    Field::rows(
        "items",
        "Parts list",
        &[
            Field::word("name", "Name"),
            Field::count("count", "Number").at_most(1e6, "no machine has more of a part"),
            Field::number("price", "Price of each", ONE)
                .optional()
                .at_least(0.0, "a gift costs nothing")
                .at_most(1e9, "no part costs more"),
            Field::choice("from", "Figures from", FROM).optional(),
        ],
    )
    .optional()
    .help("all prices in one currency"),
    Field::rows(
        "marks",
        "Bench proof",
        &[
            Field::word("sheet", "Sheet"),
            Field::word("answer", "Answer"),
            Field::choice("how", "How it was obtained", &TRUST_CHOICES),
            Field::word("value", "Its value then").optional(),
            Field::word("date", "Date").optional(),
            Field::word("note", "Note").optional(),
        ],
    )
    .optional()
    .help("an answer, how it was obtained, and when"),
];

const ANSWERS: &[Answer] = &[
    Answer::number("pieces", "Pieces", ONE)
        .fixed(0)
        .formula("sum of the numbers of {items}", "Definition"),
    Answer::number("cost", "Cost", ONE)
        .fixed(2)
        .headline()
        .formula("sum of number × price of {items}", "Definition"),
    Answer::number("unpriced", "Without a price", ONE).fixed(0),
    Answer::number("guessed", "Cost whose figures are guessed", PERCENT)
        .significant(2)
        .formula("cost of the guessed ones of {items} ÷ {cost}", "Definition"),
];

/// The sheet of a part's own data.
pub static PART: Sheet = Sheet {
    id: "part",
    title: "Parts list and proof",
    about: "what this part is made of, what it costs, and what of it is proven",
    search: "bill of materials price cost shopping proof",
    subject: Subject::Proof,
    fields: FIELDS,
    answers: ANSWERS,
    checks: &[],
    cautions: &[],
    work: work_part,
};

fn work_part(inputs: &Inputs, out: &mut Outcome) {
    let Some(rows) = inputs.rows("items") else {
        return;
    };
    let items: Vec<Item> = rows.iter().filter_map(Item::of).collect();
    let sum = |of: &dyn Fn(&Item) -> f64| -> f64 { items.iter().map(of).sum() };
    let cost = sum(&|item| item.cost().unwrap_or(0.0));
    out.put("pieces", sum(&|item| f64::from(item.count)));
    out.put("cost", cost);
    out.put(
        "unpriced",
        sum(&|item| if item.price.is_none() { 1.0 } else { 0.0 }),
    );
    let guessed = sum(&|item| {
        item.cost()
            .filter(|_| item.from == "guessed")
            .unwrap_or(0.0)
    });
    if cost > 0.0 {
        out.put("guessed", 100.0 * guessed / cost);
    }
}

/// One line of the parts list.
#[derive(Clone, PartialEq, Debug)]
pub struct Item {
    /// What it is called.
    pub name: String,
    /// How many.
    pub count: u32,
    /// The price of each, in the machine's currency.
    pub price: Option<f64>,
    /// `data_sheet`, `measured` or `guessed`; empty when it is not said.
    pub from: &'static str,
}

impl Item {
    fn of(row: &Row) -> Option<Self> {
        let from = FROM.iter().find(|choice| Some(choice.key) == row.word(3));
        Some(Self {
            name: row.word(0)?.to_string(),
            count: row.count(1)?,
            price: row.num(2),
            from: from.map_or("", |choice| choice.key),
        })
    }

    /// Number times price.
    pub fn cost(&self) -> Option<f64> {
        self.price.map(|price| price * f64::from(self.count))
    }

    /// The words for where its figures came from; empty when it is not said.
    pub fn from_label(&self) -> &'static str {
        FROM.iter()
            .find(|choice| choice.key == self.from)
            .map_or("", |choice| choice.label)
    }
}

/// How an answer was obtained.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Mark {
    /// The sheet's id.
    pub sheet: String,
    /// The answer's key.
    pub answer: String,
    /// How far it can be trusted.
    pub trust: Trust,
    /// The answer as it was shown when it was marked; empty when it was not kept.
    pub value: String,
    /// The date as typed.
    pub date: String,
    /// What was done, or with what.
    pub note: String,
}

impl Mark {
    fn read(row: &str) -> Option<Self> {
        let mut cells = split_rows(row).next()?.map(unescape_cell);
        let mut next = || cells.next().unwrap_or_default();
        let (sheet, answer, how) = (next(), next(), next());
        Some(Self {
            trust: TRUSTS.iter().find(|(_, choice)| choice.key == how)?.0,
            sheet,
            answer,
            value: next(),
            date: next(),
            note: next(),
        })
    }

    fn write(&self) -> String {
        let cells = [
            &self.sheet,
            &self.answer,
            self.trust.word(),
            &self.value,
            &self.date,
            &self.note,
        ];
        let cells: Vec<String> = cells.iter().map(|cell| escape_cell(cell)).collect();
        cells.join(",")
    }

    /// Whether the answer has another value now than when it was marked.
    ///
    /// A number is the same while it is written the same, whatever unit it was marked in.
    pub fn is_stale(&self, report: &Report) -> bool {
        let Some(answer) = report
            .answer(&self.answer)
            .filter(|_| !self.value.is_empty())
        else {
            return false;
        };
        let then = read_number(&self.value, report.measure(answer));
        match (report.found(answer.key), then) {
            (Some(Found::Number(now)), Ok(then)) => {
                figure(*now, answer.show) != figure(then.value, answer.show)
            }
            _ => report.shown(answer).is_some_and(|now| now != self.value),
        }
    }

    /// Whether it marks this answer.
    pub fn is_of(&self, sheet: &str, answer: &str) -> bool {
        self.sheet == sheet && self.answer == answer
    }
}

impl Part {
    /// What this part is: as chosen, else as its sheets tell.
    pub fn kind(&self) -> PartKind {
        let chosen = self.about("kind").trim();
        let chosen = KINDS
            .iter()
            .find(|(_, choice)| choice.key == chosen)
            .map(|(kind, _)| *kind);
        let telling = || {
            TELLING
                .iter()
                .find(|(sheet, _)| self.entries(sheet).is_some())
        };
        chosen
            .or_else(|| telling().map(|(_, kind)| *kind))
            .unwrap_or(PartKind::Other)
    }

    /// Chooses what this part is.
    pub fn set_kind(&mut self, kind: PartKind) {
        self.set_about("kind", kind.word());
    }

    /// Its parts list; empty while a row of it cannot be read.
    pub fn items(&self) -> Vec<Item> {
        let report = self.entries(PART.id).map(|entries| PART.run(entries));
        let rows = report
            .as_ref()
            .and_then(|report| report.inputs.rows("items"));
        rows.unwrap_or(&[]).iter().filter_map(Item::of).collect()
    }

    /// Every mark that can be read.
    pub fn marks(&self) -> Vec<Mark> {
        self.about("marks")
            .split([';', '\n'])
            .filter_map(Mark::read)
            .collect()
    }

    /// How an answer was obtained, if it is marked.
    pub fn mark(&self, sheet: &str, answer: &str) -> Option<Mark> {
        self.marks()
            .into_iter()
            .find(|mark| mark.is_of(sheet, answer))
    }

    /// Marks an answer, in place of an older mark; marks that cannot be read stay as typed.
    pub fn set_mark(&mut self, mark: &Mark) {
        let mut rows = self.other_marks(&mark.sheet, &mark.answer);
        rows.push(mark.write());
        self.set_about("marks", &rows.join(";"));
    }

    /// Takes the mark off an answer.
    pub fn unmark(&mut self, sheet: &str, answer: &str) {
        let rows = self.other_marks(sheet, answer);
        self.set_about("marks", &rows.join(";"));
    }

    fn other_marks(&self, sheet: &str, answer: &str) -> Vec<String> {
        let rows = self
            .about("marks")
            .split([';', '\n'])
            .filter(|row| !row.trim().is_empty());
        let others =
            rows.filter(|row| !Mark::read(row).is_some_and(|mark| mark.is_of(sheet, answer)));
        others.map(String::from).collect()
    }

    fn about(&self, key: &str) -> &str {
        self.entries(PART.id)
            .and_then(|entries| entries.get(key))
            .unwrap_or("")
    }

    fn set_about(&mut self, key: &str, text: &str) {
        let mut entries = self.entries(PART.id).cloned().unwrap_or_default();
        entries.set(key, text);
        self.set(PART.id, entries);
    }
}

/// The data fields of a drawing's title block that a build record has.
///
/// # Source
/// ISO 7200:2004, tables 1 to 3 (identifying, descriptive and administrative data fields); from memory.
const TITLE_FIELDS: &[Field] = &[
    Field::word("owner", "Legal owner").optional(),
    Field::word("number", "Identification number").optional(),
    Field::word("revision", "Revision").optional(),
    Field::word("issued", "Date of issue").optional(),
    Field::word("supplement", "Supplementary title").optional(),
    Field::word("type", "Document type").default("Build record"),
    Field::word("status", "Document status").optional(),
    Field::word("department", "Responsible department").optional(),
    Field::word("reference", "Technical reference").optional(),
    Field::word("creator", "Creator").optional(),
    Field::word("approved", "Approval person").optional(),
    Field::word("keywords", "Key words").optional(),
    Field::word("language", "Language").default("en"),
    Field::word("currency", "Currency of the prices").optional(),
];

/// The sheet of a machine's title block.
pub static TITLE: Sheet = Sheet {
    id: "title",
    title: "Title block",
    about: "the head of the build record",
    search: "name drawing number revision date author",
    subject: Subject::Proof,
    fields: TITLE_FIELDS,
    answers: &[],
    checks: &[],
    cautions: &[],
    work: |_, _| {},
};

impl Machine {
    /// The entries of the title block; the first part that has one holds it.
    pub fn title(&self) -> Option<&Entries> {
        self.parts.iter().find_map(|part| part.entries(TITLE.id))
    }

    /// Keeps the entries of the title block, in the part that holds it or in the first; a machine without parts gets one.
    pub fn set_title(&mut self, entries: Entries) {
        if self.parts.is_empty() {
            self.parts.push(Part {
                name: "Papers".to_string(),
                sheets: Vec::new(),
            });
        }
        let holder = self
            .parts
            .iter()
            .position(|part| part.entries(TITLE.id).is_some());
        if let Some(part) = self.parts.get_mut(holder.unwrap_or(0)) {
            part.set(TITLE.id, entries);
        }
    }
}

#[cfg(test)]
mod tests;
