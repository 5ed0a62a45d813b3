//! The build record as text for forums: Markdown and BBCode, drawn by one walk through it.
//!
//! Both use only what every dialect knows: headings or bold lines, lists, links. Names and notes that people typed are
//! escaped, so that they stand as typed and make no markup of their own.

use alloc::string::String;

use super::first::NOTE;
use super::{Record, SheetRecord};
use crate::entry::write::write_fixed;
use crate::machine::{Place, label};
use crate::sheets::State;

/// A way to write markup.
struct Style {
    heading: fn(&mut String, u8, &str),
    /// Begins a list, ends it, and begins an item.
    list: [&'static str; 3],
    bold: [&'static str; 2],
    /// Before the address, between it and the words, and after.
    link: fn(&mut String, &str, &str),
    tick: &'static str,
    escape: fn(&mut String, &str),
}

static MARKDOWN: Style = Style {
    heading: |out, level, text| {
        for _ in 0..level {
            out.push('#');
        }
        out.push(' ');
        escape_markdown(out, text);
        out.push_str("\n\n");
    },
    list: ["", "\n", "- "],
    bold: ["**", "**"],
    link: |out, address, words| {
        out.push('[');
        escape_markdown(out, words);
        out.push_str("](");
        out.push_str(address);
        out.push(')');
    },
    tick: "[ ] ",
    escape: escape_markdown,
};

static BBCODE: Style = Style {
    heading: |out, _, text| {
        out.push_str("\n[b]");
        escape_bbcode(out, text);
        out.push_str("[/b]\n");
    },
    list: ["[list]\n", "[/list]\n", "[*]"],
    bold: ["[b]", "[/b]"],
    link: |out, address, words| {
        out.push_str("[url=");
        out.push_str(address);
        out.push(']');
        escape_bbcode(out, words);
        out.push_str("[/url]");
    },
    tick: "☐ ",
    escape: escape_bbcode,
};

/// Backslashes before what Markdown takes for markup; line ends become spaces.
///
/// # Source
/// CommonMark 0.31, section 2.4 (backslash escapes).
fn escape_markdown(out: &mut String, text: &str) {
    for c in text.chars() {
        match c {
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '|' | '&' | '~' | '@' | '!' => {
                out.push('\\');
                out.push(c);
            }
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
}

/// BBCode has no escape that all boards know: square brackets become round ones, line ends spaces.
fn escape_bbcode(out: &mut String, text: &str) {
    out.extend(text.chars().map(|c| match c {
        '[' => '(',
        ']' => ')',
        c if c.is_control() => ' ',
        c => c,
    }));
}

impl Record {
    /// The record as Markdown; `site` is the address of the page, which the links begin with.
    pub fn markdown(&self, site: &str) -> String {
        Writer {
            record: self,
            style: &MARKDOWN,
            site,
            out: String::new(),
        }
        .whole()
    }

    /// The record as BBCode; `site` is the address of the page, which the links begin with.
    pub fn bbcode(&self, site: &str) -> String {
        Writer {
            record: self,
            style: &BBCODE,
            site,
            out: String::new(),
        }
        .whole()
    }
}

struct Writer<'a> {
    record: &'a Record,
    style: &'static Style,
    site: &'a str,
    out: String,
}

impl Writer<'_> {
    fn whole(mut self) -> String {
        let record = self.record;
        self.heading(1, &record.name);
        self.list(&record.title, |w, (label, text)| w.pair(label, text, ""));
        self.heading(2, "Checks of the whole machine");
        self.list(&record.checks, |w, made| {
            w.state(made.state);
            w.text(&made.text);
            if made.state != State::Within {
                w.text(" Decided by ");
                w.places(&made.places);
                w.text(".");
            }
        });
        for part in &record.parts {
            self.heading(2, &[&part.name, " · ", part.kind.label()].concat());
            for sheet in &part.sheets {
                self.sheet(sheet);
            }
        }
        self.parts_list();
        self.heading(2, "First power-on");
        self.text(NOTE);
        self.out.push_str("\n\n");
        let mut stage = None;
        for steps in record.first_power.chunk_by(|a, b| a.stage == b.stage) {
            if let Some(first) = steps.first().filter(|step| stage != Some(step.stage)) {
                stage = Some(first.stage);
                self.heading(3, first.stage.title());
            }
            self.list(steps, |w, step| {
                w.out.push_str(w.style.tick);
                w.text(&step.text);
            });
        }
        self.out
    }

    fn sheet(&mut self, sheet: &SheetRecord) {
        self.heading(3, sheet.title);
        (self.style.link)(
            &mut self.out,
            &[self.site, "#", &sheet.link].concat(),
            "Open this sheet filled in",
        );
        self.out.push_str("\n\n");
        let record = self.record;
        self.list(&sheet.answers, |w, answer| {
            w.pair(answer.label, &answer.shown(), &answer.obtained())
        });
        self.list(&sheet.entries, |w, entry| {
            w.pair(entry.label, &entry.shown(), &record.origin(entry));
        });
        self.list(&sheet.problems, |w, problem| w.text(problem));
        self.list(&sheet.checks, |w, made| {
            w.state(made.state);
            w.text(&made.text);
        });
        self.list(&sheet.cautions, |w, caution| {
            w.bold("Caution: ");
            w.text(caution.what);
            w.text(" ");
            w.text(caution.first);
        });
    }

    fn parts_list(&mut self) {
        let record = self.record;
        if record.list.items.is_empty() {
            return;
        }
        self.heading(2, "Parts list");
        self.list(&record.list.items, |w, (part, item)| {
            let part = record
                .parts
                .get(*part)
                .map_or("", |part| part.name.as_str());
            let price = match item.price {
                Some(price) => [" at ", &write_fixed(price, 2), " ", &record.currency].concat(),
                None => String::new(),
            };
            let count = crate::entry::write::write_fixed(f64::from(item.count), 0);
            w.pair(
                &item.name,
                &[&count, price.trim_end(), ", ", part].concat(),
                item.from_label(),
            );
        });
        self.bold(
            &[
                "Together ",
                &write_fixed(record.list.cost, 2),
                " ",
                &record.currency,
            ]
            .concat(),
        );
        self.out.push_str("\n\n");
    }

    fn heading(&mut self, level: u8, text: &str) {
        (self.style.heading)(&mut self.out, level, text);
    }

    /// A list of what there is; nothing for nothing.
    fn list<T>(&mut self, items: &[T], write: impl Fn(&mut Self, &T)) {
        let [begin, end, item] = self.style.list;
        if items.is_empty() {
            return;
        }
        self.out.push_str(begin);
        for one in items {
            self.out.push_str(item);
            write(self, one);
            self.out.push('\n');
        }
        self.out.push_str(end);
    }

    /// "**Label**: text (note)".
    fn pair(&mut self, label: &str, text: &str, note: &str) {
        self.bold(label);
        self.text(": ");
        self.text(text);
        if !note.is_empty() {
            self.text(" (");
            self.text(note);
            self.text(")");
        }
    }

    fn bold(&mut self, text: &str) {
        let [before, after] = self.style.bold;
        self.out.push_str(before);
        self.text(text.trim_end());
        self.out.push_str(after);
        if text.ends_with(' ') {
            self.out.push(' ');
        }
    }

    fn state(&mut self, state: State) {
        match state {
            State::Within => self.text("Within: "),
            State::Near => self.bold("Near: "),
            State::Over => self.bold("Over: "),
        }
    }

    fn places(&mut self, places: &[Place]) {
        let record = self.record;
        for (at, place) in places.iter().enumerate() {
            if at > 0 {
                self.text(", ");
            }
            let part = record.parts.get(place.part);
            let sheet =
                part.and_then(|part| part.sheets.iter().find(|sheet| sheet.id == place.sheet));
            let words = [
                part.map_or("", |part| part.name.as_str()),
                ": ",
                label(*place),
            ]
            .concat();
            match sheet {
                Some(sheet) => (self.style.link)(
                    &mut self.out,
                    &[self.site, "#", &sheet.link].concat(),
                    &words,
                ),
                None => self.text(&words),
            }
        }
    }

    fn text(&mut self, text: &str) {
        (self.style.escape)(&mut self.out, text);
    }
}
