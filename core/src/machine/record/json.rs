//! The build record as JSON.
//!
//! ```text
//! { "format": "layshaft build record", "version": 1, "name": TEXT, "title": { LABEL: TEXT },
//!   "parts": [ { "name": TEXT, "kind": "axis|heater|supply|frame|controller|other",
//!     "sheets": [ { "sheet": ID, "title": TEXT, "link": ADDRESS,
//!       "entries": [ { "key": KEY, "label": TEXT, "text": TEXT, "unit": SIGN, "origin": TEXT } ],
//!       "answers": [ { "key": KEY, "label": TEXT, "main": BOOL, "text": TEXT, "value": NUMBER|null, "unit": SIGN,
//!                      "uncertainty": NUMBER|null, "how": "worked_out|data_sheet|measured|proven", "changed": BOOL,
//!                      "date": TEXT, "note": TEXT } ],
//!       "checks": [ { "id": ID, "label": TEXT, "state": "within|near|over", "value": NUMBER|null, "limit": NUMBER|null,
//!                     "unit": SIGN, "text": TEXT } ],
//!       "cautions": [ { "what": TEXT, "first": TEXT } ], "problems": [ TEXT ] } ] } ],
//!   "items": [ { "part": TEXT, "name": TEXT, "count": NUMBER, "price": NUMBER|null, "from": "data_sheet|measured|guessed|" } ],
//!   "cost": NUMBER, "currency": TEXT,
//!   "checks": [ as above, and "places": [ { "part": TEXT, "sheet": ID, "key": KEY } ] ],
//!   "first_power": [ { "stage": "disconnected|measure|set_low|power|watch|stop", "text": TEXT } ] }
//! ```
//!
//! `value` and `uncertainty` (k = 1) are at full precision, `text` has the digits that count. `from` and `date` may be empty.
//!
//! # Source
//! RFC 8259, sections 3 to 7.

use alloc::string::String;

use super::{Record, SheetRecord};
use crate::entry::write::write_shortest;
use crate::sheets::Checked;

impl Record {
    /// The record as JSON; `site` is the address of the page, which the links begin with.
    pub fn json(&self, site: &str) -> String {
        let mut json = Json::default();
        json.object(|j| {
            j.text("format", "layshaft build record")
                .number("version", Some(1.0))
                .text("name", &self.name);
            j.key("title").object(|j| {
                for (label, text) in &self.title {
                    j.text(label, text);
                }
            });
            j.list("parts", &self.parts, |j, part| {
                j.text("name", &part.name).text("kind", part.kind.word());
                j.list("sheets", &part.sheets, |j, sheet| {
                    self.sheet(j, sheet, site)
                });
            });
            j.list("items", &self.list.items, |j, (part, item)| {
                j.text("part", self.part_name(*part))
                    .text("name", &item.name);
                j.number("count", Some(f64::from(item.count)))
                    .number("price", item.price)
                    .text("from", item.from);
            });
            j.number("cost", Some(self.list.cost))
                .text("currency", &self.currency);
            j.list("checks", &self.checks, |j, made| {
                check(j, made);
                j.list("places", &made.places, |j, place| {
                    j.text("part", self.part_name(place.part))
                        .text("sheet", place.sheet)
                        .text("key", place.key);
                });
            });
            j.list("first_power", &self.first_power, |j, step| {
                j.text("stage", step.stage.word()).text("text", &step.text);
            });
        });
        json.out
    }

    fn part_name(&self, part: usize) -> &str {
        self.parts.get(part).map_or("", |part| part.name.as_str())
    }

    fn sheet(&self, j: &mut Json, sheet: &SheetRecord, site: &str) {
        j.text("sheet", sheet.id)
            .text("title", sheet.title)
            .text("link", &[site, "#", &sheet.link].concat());
        j.list("entries", &sheet.entries, |j, entry| {
            j.text("key", entry.key)
                .text("label", entry.label)
                .text("text", &entry.text);
            j.text("unit", entry.unit)
                .text("origin", &self.origin(entry));
        });
        j.list("answers", &sheet.answers, |j, answer| {
            j.text("key", answer.key)
                .text("label", answer.label)
                .bool("main", answer.headline);
            j.text("text", &answer.text)
                .number("value", answer.value)
                .text("unit", answer.unit);
            j.number("uncertainty", answer.uncertainty)
                .text("how", answer.trust.word())
                .bool("changed", answer.changed);
            j.text("date", &answer.date).text("note", &answer.note);
        });
        j.list("checks", &sheet.checks, check);
        j.list("cautions", &sheet.cautions, |j, caution| {
            j.text("what", caution.what).text("first", caution.first);
        });
        j.key("problems").begin('[');
        for problem in &sheet.problems {
            j.comma().string(problem);
        }
        j.end(']');
    }
}

/// A check as all of them are written.
fn check(j: &mut Json, made: &Checked) {
    j.text("id", made.check.id)
        .text("label", made.check.label)
        .text("state", made.state.word());
    j.number("value", made.value)
        .number("limit", made.limit)
        .text("unit", made.check.measure.unit.sign)
        .text("text", &made.text);
}

/// JSON in the making; members of an object are written one after the other.
#[derive(Default)]
struct Json {
    out: String,
}

impl Json {
    fn begin(&mut self, bracket: char) {
        self.out.push(bracket);
    }

    fn end(&mut self, bracket: char) {
        self.out.push(bracket);
    }

    /// A comma, unless it is the first in its brackets or follows a key.
    fn comma(&mut self) -> &mut Self {
        if !self.out.is_empty() && !self.out.ends_with(['{', '[', ':']) {
            self.out.push(',');
        }
        self
    }

    fn object(&mut self, write: impl FnOnce(&mut Self)) {
        self.comma().begin('{');
        write(self);
        self.end('}');
    }

    fn list<T>(&mut self, key: &str, items: &[T], write: impl Fn(&mut Self, &T)) {
        self.key(key).begin('[');
        for item in items {
            self.object(|j| write(j, item));
        }
        self.end(']');
    }

    fn key(&mut self, key: &str) -> &mut Self {
        self.comma().string(key);
        self.out.push(':');
        self
    }

    fn text(&mut self, key: &str, text: &str) -> &mut Self {
        self.key(key).string(text);
        self
    }

    fn bool(&mut self, key: &str, yes: bool) -> &mut Self {
        self.key(key)
            .out
            .push_str(if yes { "true" } else { "false" });
        self
    }

    fn number(&mut self, key: &str, value: Option<f64>) -> &mut Self {
        let text = value
            .map(|x| write_shortest(x, 17))
            .filter(|text| !text.is_empty());
        self.key(key)
            .out
            .push_str(text.as_deref().unwrap_or("null"));
        self
    }

    fn string(&mut self, text: &str) {
        self.out.push('"');
        for c in text.chars() {
            match c {
                '"' => self.out.push_str("\\\""),
                '\\' => self.out.push_str("\\\\"),
                '\n' => self.out.push_str("\\n"),
                c if c < ' ' => {
                    self.out.push_str("\\u00");
                    for nibble in [u32::from(c) >> 4, u32::from(c) & 15] {
                        self.out.extend(char::from_digit(nibble, 16));
                    }
                }
                c => self.out.push(c),
            }
        }
        self.out.push('"');
    }
}
