//! A machine: named parts, each with the entries of its sheets; how it is written down, and what is carried within a part.
//!
//! The record is text: a line for the schema, one for the name, one for each part and sheet, one with check digits. Sheets
//! and keys that this version does not know are kept, so that nothing typed is lost on the way through an older page.
//!
//! ```text
//! layshaft machine 1
//! name=Heron%20160
//! part=X%20axis
//! travel?drive=belt&pitch=2&teeth=20
//! k=1a2b
//! ```

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use crate::link::{checksum, decode, encode_into};
use crate::sheets::{self, Entries, Sheet};

mod about;
mod checks;
mod differ;
pub mod example;
mod list;
pub mod moving;
mod pack;
pub mod record;
#[cfg(test)]
mod trial;
mod work;

pub use about::{Item, Mark, PART, PartKind, TITLE, Trust};
pub use checks::{CHECKS, MachineCheck};
pub use differ::Difference;
pub use list::PartsList;
pub use moving::Moved;
pub use record::Record;
pub use work::{Place, Tie, Untied, Why, Worked, label};

/// The schema that is written.
pub const SCHEMA: u32 = 1;

const HEAD: &str = "layshaft machine ";

/// The most parts of a machine, sheets of a part and entries of a sheet that a record holds: far more than any has, and few
/// enough that a record made to stop the page does not.
const MOST: usize = 1000;

/// A named set of parts.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Machine {
    /// The name people gave it.
    pub name: String,
    /// Its parts, in the order in which they were added.
    pub parts: Vec<Part>,
}

/// An axis, a heater zone, the supply or the frame of a machine.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Part {
    /// The name people gave it.
    pub name: String,
    /// The entries of its sheets by sheet id, also of sheets this version does not know.
    pub sheets: Vec<(String, Entries)>,
}

/// Why a record was not read.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum RecordFault {
    /// It is something else.
    NotARecord,
    /// It was written by a newer version, of this schema.
    Newer(u32),
    /// It was cut or changed.
    Damaged,
}

impl RecordFault {
    /// The message for the person.
    pub fn message(self) -> String {
        match self {
            Self::NotARecord => "This is not a machine saved by Layshaft.".to_string(),
            Self::Newer(schema) => format!(
                "This machine was saved by a newer version (schema {schema}; this page reads {SCHEMA}). \
                It is left as it is; reload the page to get the newer version."
            ),
            Self::Damaged => "This machine's record was cut or changed. It is left as it is, and can be saved as a file.".to_string(),
        }
    }
}

impl Machine {
    /// The record of this machine.
    pub fn write(&self) -> String {
        let mut text = format!("{HEAD}{SCHEMA}\n");
        self.body(&mut text, encode_into);
        let check = checksum(&text);
        text.push_str("k=");
        text.push_str(&check);
        text.push('\n');
        text
    }

    /// What stands between its first and its last line, with the texts escaped so.
    fn body(&self, text: &mut String, escape: fn(&mut String, &str)) {
        text.push_str("name=");
        escape(text, &self.name);
        text.push('\n');
        for part in &self.parts {
            text.push_str("part=");
            escape(text, &part.name);
            text.push('\n');
            for (id, entries) in &part.sheets {
                escape(text, id);
                let mut sign = '?';
                for (key, value) in entries.iter() {
                    text.push(sign);
                    escape(text, key);
                    text.push('=');
                    escape(text, value);
                    sign = '&';
                }
                text.push('\n');
            }
        }
    }

    /// Reads a record.
    ///
    /// # Errors
    /// [`RecordFault`] when the text is something else, of a newer schema, does not fit its check digits, or has more than
    /// 1,000 parts, sheets of a part or entries of a sheet.
    pub fn read(text: &str) -> Result<Self, RecordFault> {
        // Files that travelled may have other line ends.
        let text = text.replace("\r\n", "\n");
        let text = text.trim_start_matches('\u{feff}');
        let rest = text.strip_prefix(HEAD).ok_or(RecordFault::NotARecord)?;
        let (schema, _) = rest.split_once('\n').ok_or(RecordFault::Damaged)?;
        let schema: u32 = schema.trim().parse().map_err(|_| RecordFault::Damaged)?;
        if schema == 0 {
            // There never was one.
            return Err(RecordFault::Damaged);
        }
        if schema > SCHEMA {
            return Err(RecordFault::Newer(schema));
        }
        let (body, check) = text.rsplit_once("k=").ok_or(RecordFault::Damaged)?;
        if checksum(body) != check.trim() {
            return Err(RecordFault::Damaged);
        }
        let mut machine = Self::default();
        for line in body.lines().skip(1) {
            if let Some(name) = line.strip_prefix("name=") {
                machine.name = decode(name);
            } else if let Some(name) = line.strip_prefix("part=") {
                machine.parts.push(Part {
                    name: decode(name),
                    sheets: Vec::new(),
                });
                if machine.parts.len() > MOST {
                    return Err(RecordFault::Damaged);
                }
            } else if !line.is_empty() {
                let part = machine.parts.last_mut().ok_or(RecordFault::Damaged)?;
                let (id, query) = line.split_once('?').unwrap_or((line, ""));
                let pairs = query.split('&').filter_map(|pair| pair.split_once('='));
                if part.sheets.len() >= MOST || pairs.clone().nth(MOST).is_some() {
                    return Err(RecordFault::Damaged);
                }
                let mut entries = Entries::new();
                for (key, value) in pairs {
                    entries.set(&decode(key), &decode(value));
                }
                part.sheets.push((decode(id), entries));
            }
        }
        Ok(machine)
    }
}

impl Part {
    /// The entries of a sheet; `None` when this part does not have it.
    pub fn entries(&self, sheet: &str) -> Option<&Entries> {
        let found = self.sheets.iter().find(|(id, _)| id == sheet);
        found.map(|(_, entries)| entries)
    }

    /// Keeps the entries of a sheet.
    pub fn set(&mut self, sheet: &str, entries: Entries) {
        match self.sheets.iter_mut().find(|(id, _)| id == sheet) {
            Some((_, old)) => *old = entries,
            None => self.sheets.push((sheet.to_string(), entries)),
        }
    }
}

/// The sheets that stand only in machines.
static OWN: [&Sheet; 2] = [&about::PART, &about::TITLE];

/// The sheet of this id that a part of a machine can have: one of the list, or one of the machine's own.
pub fn declared(id: &str) -> Option<&'static Sheet> {
    let own = OWN.into_iter().find(|sheet| sheet.id == id);
    own.or_else(|| sheets::find(id))
}

/// Whether a sheet stands only in machines.
fn is_own(sheet: &Sheet) -> bool {
    OWN.iter().any(|own| own.id == sheet.id)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heron() -> Machine {
        let travel: Entries = [
            ("drive", "belt"),
            ("pitch", "2"),
            ("teeth", "20"),
            ("diameter", "kept"),
        ]
        .into_iter()
        .collect();
        let micro: Entries = [("hold_torque", "40 N.cm"), ("note", "a = b & c\n")]
            .into_iter()
            .collect();
        Machine {
            name: "Heron 160 “é”".into(),
            parts: [Part {
                name: "X axis".into(),
                sheets: [
                    ("travel".into(), travel),
                    ("microstep".into(), micro),
                    ("of_later".into(), Entries::new()),
                ]
                .into(),
            }]
            .into(),
        }
    }

    #[test]
    fn a_record_comes_back_whole() {
        let machine = heron();
        assert_eq!(Machine::read(&machine.write()), Ok(machine.clone()));
        assert_eq!(
            Machine::read(&machine.write().replace('\n', "\r\n")),
            Ok(machine)
        );
    }

    #[test]
    fn a_cut_changed_foreign_or_newer_record_is_refused() {
        let text = heron().write();
        assert_eq!(
            Machine::read(&text[..text.len() / 2]),
            Err(RecordFault::Damaged)
        );
        assert_eq!(
            Machine::read(&text.replace("pitch=2", "pitch=3")),
            Err(RecordFault::Damaged)
        );
        assert_eq!(Machine::read("{\"name\":1}"), Err(RecordFault::NotARecord));
        assert_eq!(
            Machine::read(&text.replace("machine 1", "machine 7")),
            Err(RecordFault::Newer(7))
        );
    }

    /// What the first published version wrote; every later one reads it.
    const FIRST: &str = "layshaft machine 1\nname=Heron%20160\npart=X%20axis\ntravel?drive=belt&pitch=2&teeth=20\n\
        microstep?hold_torque=40%20N.cm\nk=5fbd\n";

    #[test]
    fn a_record_of_the_first_schema_is_read_and_written_alike() {
        let machine = Machine::read(FIRST).expect("it was written by the first version");
        assert_eq!(machine.write(), FIRST);
        assert_eq!(
            Machine::read(&FIRST.replace("machine 1", "machine 0")),
            Err(RecordFault::Damaged)
        );
    }

    #[test]
    fn a_record_of_endless_parts_sheets_or_entries_is_refused_at_once() {
        let sealed = |body: &str, many: fn(usize) -> String| {
            let mut text = [HEAD, "1\nname=m\n", body].concat();
            text.extend((0..100_000).map(many));
            text.push('\n');
            let check = checksum(&text);
            [&text, "k=", &check, "\n"].concat()
        };
        for record in [
            sealed("", |i| format!("part={i}\n")),
            sealed("part=p\n", |i| format!("s{i}?a=1\n")),
            sealed("part=p\ntravel?a=1", |i| format!("&k{i}=1")),
        ] {
            assert_eq!(Machine::read(&record), Err(RecordFault::Damaged));
        }
    }

    #[test]
    fn a_blank_travel_is_carried_from_the_parts_travel_sheet() {
        let machine = heron();
        let Some((part, sheet)) = machine.parts.first().zip(sheets::find("microstep")) else {
            panic!("the part and the sheet are there");
        };
        let report = part.report(sheet);
        // 5 % of 40 mm / 200.
        assert!(
            report
                .number("error_band")
                .is_some_and(|um| (um - 10.0).abs() < 1e-9)
        );
        let rotary: Entries = [("drive", "rotary")].into_iter().collect();
        let mut part = part.clone();
        part.set("travel", rotary);
        assert_eq!(part.report(sheet).number("error_band"), None);
    }
}
