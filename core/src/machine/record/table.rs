//! The build record as CSV: one row for each fact, the same columns in all.
//!
//! Columns: `part`, `sheet`, `what` (title, entry, answer, check, caution, item, machine check, first power-on), `key`, `label`,
//! `text`, `value`, `unit`, `uncertainty`, `state` (of a check, or how an entry or answer was obtained), `note`, `link`.
//!
//! # Source
//! RFC 4180, section 2: comma, CRLF, quotes doubled. Texts that a spreadsheet would take for a formula (= + - @ tab) get an
//! apostrophe in front; numbers stand in their own columns without one.

use alloc::string::{String, ToString};

use super::Record;
use crate::entry::write::write_shortest;
use crate::sheets::Checked;

/// One row, column by column; most are empty in most rows.
#[derive(Default)]
struct Line<'a> {
    part: &'a str,
    sheet: &'a str,
    what: &'a str,
    key: &'a str,
    label: &'a str,
    text: &'a str,
    value: Option<f64>,
    unit: &'a str,
    uncertainty: Option<f64>,
    state: &'a str,
    note: &'a str,
    link: &'a str,
}

impl<'a> Line<'a> {
    /// The same line with a check in it.
    fn check(self, made: &'a Checked) -> Self {
        Self {
            key: made.check.id,
            label: made.check.label,
            text: &made.text,
            value: made.value,
            unit: made.check.measure.unit.sign,
            state: made.state.word(),
            ..self
        }
    }
}

const HEAD: &str = "part,sheet,what,key,label,text,value,unit,uncertainty,state,note,link\r\n";

impl Record {
    /// The record as CSV; `site` is the address of the page, which the links begin with.
    pub fn csv(&self, site: &str) -> String {
        let mut out = String::from(HEAD);
        let mut add = |line: Line| push_line(&mut out, &line);
        add(Line {
            what: "title",
            label: "Title",
            text: &self.name,
            ..Line::default()
        });
        for (label, text) in &self.title {
            add(Line {
                what: "title",
                label,
                text,
                ..Line::default()
            });
        }
        for part in &self.parts {
            for sheet in &part.sheets {
                let link = [site, "#", &sheet.link].concat();
                let base = || Line {
                    part: &part.name,
                    sheet: sheet.id,
                    link: &link,
                    ..Line::default()
                };
                for entry in &sheet.entries {
                    let (key, label, text, unit) =
                        (entry.key, entry.label, &entry.text, entry.unit);
                    let state = &self.origin(entry);
                    add(Line {
                        what: "entry",
                        key,
                        label,
                        text,
                        unit,
                        state,
                        ..base()
                    });
                }
                for answer in &sheet.answers {
                    let (key, label, text, unit) =
                        (answer.key, answer.label, &answer.text, answer.unit);
                    let (value, uncertainty, state) =
                        (answer.value, answer.uncertainty, answer.trust.word());
                    let note = answer.obtained();
                    add(Line {
                        what: "answer",
                        key,
                        label,
                        text,
                        value,
                        unit,
                        uncertainty,
                        state,
                        note: &note,
                        ..base()
                    });
                }
                for made in &sheet.checks {
                    add(Line {
                        what: "check",
                        ..base()
                    }
                    .check(made));
                }
                for problem in &sheet.problems {
                    add(Line {
                        what: "problem",
                        text: problem,
                        ..base()
                    });
                }
                for caution in &sheet.cautions {
                    add(Line {
                        what: "caution",
                        key: caution.id,
                        text: caution.what,
                        note: caution.first,
                        ..base()
                    });
                }
            }
        }
        for (part, item) in &self.list.items {
            let part = self.parts.get(*part).map_or("", |part| part.name.as_str());
            let (label, text, value) = (&item.name, &item.count.to_string(), item.price);
            add(Line {
                part,
                what: "item",
                label,
                text,
                value,
                unit: &self.currency,
                state: item.from,
                ..Line::default()
            });
        }
        for made in &self.checks {
            let part = made
                .places
                .first()
                .and_then(|place| self.parts.get(place.part));
            let part = part.map_or("", |part| part.name.as_str());
            add(Line {
                part,
                what: "machine check",
                ..Line::default()
            }
            .check(made));
        }
        for step in &self.first_power {
            add(Line {
                what: "first power-on",
                key: step.stage.word(),
                text: &step.text,
                ..Line::default()
            });
        }
        out
    }
}

fn push_line(out: &mut String, line: &Line) {
    let number = |x: Option<f64>| x.map_or_else(String::new, |x| write_shortest(x, 17));
    let (value, uncertainty) = (number(line.value), number(line.uncertainty));
    let texts = [
        line.part, line.sheet, line.what, line.key, line.label, line.text,
    ];
    for text in texts {
        push_cell(out, text, true);
        out.push(',');
    }
    for (text, guarded) in [
        (value.as_str(), false),
        (line.unit, true),
        (&uncertainty, false),
        (line.state, true),
        (line.note, true),
    ] {
        push_cell(out, text, guarded);
        out.push(',');
    }
    push_cell(out, line.link, true);
    out.push_str("\r\n");
}

fn push_cell(out: &mut String, text: &str, guarded: bool) {
    let formula = guarded && text.starts_with(['=', '+', '-', '@', '\t', '\r']);
    if !formula && !text.contains([',', '"', '\n', '\r']) {
        out.push_str(text);
        return;
    }
    out.push('"');
    if formula {
        out.push('\'');
    }
    for c in text.chars() {
        if c == '"' {
            out.push('"');
        }
        out.push(c);
    }
    out.push('"');
}
