//! A sheet's entries as text that forum software links whole: `travel?v=1&drive=belt&pitch=2&k=1a2b`.
//!
//! A link is complete: defaults and carried values are written out, so that no later default can change it. It ends in
//! `k`, four hex digits over all that precedes, so that a cut or mangled link is noticed; a link without `k` is read too.

use alloc::format;
use alloc::string::{String, ToString};

use crate::entry::write::write_shortest;
use crate::sheets::{self, Entries, Field, Kind, Origin, Report, Sheet, Value};

/// The version of the link text that is written.
pub const VERSION: &str = "1";

/// The keys that belong to the link and not to a sheet.
pub const RESERVED: [&str; 7] = ["v", "k", "solve", "for", "sweep", "of", "pin"];

/// What a design costs, in any currency: an entry that every sheet takes, and none works with.
pub const COST: &str = "cost";

/// What opening a link brought to light.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Fault {
    /// No sheet of this id.
    UnknownSheet(String),
    /// The check digits do not fit: the link was cut or changed on the way.
    Damaged,
    /// Written by this project, and yet without check digits at its end: it was probably cut.
    Unchecked,
    /// A version that this one does not know.
    OtherVersion(String),
    /// A key that the sheet does not know; it is kept.
    UnknownKey(String),
    /// A piece that is no `key=value`.
    NoValue(String),
    /// A key that stands twice; the last one counts.
    Twice(String),
}

impl Fault {
    /// Whether the answers may not be what the link's author saw.
    pub const fn is_error(&self) -> bool {
        matches!(
            self,
            Self::UnknownSheet(_) | Self::Damaged | Self::OtherVersion(_)
        )
    }

    /// The part of the link it is about.
    pub fn field(&self) -> &str {
        match self {
            Self::UnknownSheet(_) => "sheet",
            Self::Damaged | Self::Unchecked => "k",
            Self::OtherVersion(_) => "v",
            Self::UnknownKey(key) | Self::NoValue(key) | Self::Twice(key) => key,
        }
    }

    /// The message for the person.
    pub fn message(&self) -> String {
        match self {
            Self::UnknownSheet(id) if id.is_empty() => {
                "The link names no sheet. Its form is sheet?key=value&key=value.".to_string()
            }
            Self::UnknownSheet(id) => {
                format!(
                    "There is no sheet “{}”. It may come from a newer version.",
                    short(id)
                )
            }
            Self::Damaged => {
                "The link was cut or changed on its way: its check digits do not fit. \
                What could be read is shown; compare it with the original."
                    .to_string()
            }
            Self::Unchecked => {
                "The link was probably cut: the check digits at its end are missing. \
                What could be read is shown; compare it with the original."
                    .to_string()
            }
            Self::OtherVersion(version) => format!(
                "The link is of version {}, this page reads version {VERSION}. What could be read is shown; \
                reload the page to get a newer one.",
                short(version)
            ),
            Self::UnknownKey(key) => {
                format!(
                    "The sheet has no entry “{}”. It is kept, and changes no answer.",
                    short(key)
                )
            }
            Self::NoValue(text) => format!(
                "“{}” has no value; the link may have been cut there.",
                short(text)
            ),
            Self::Twice(key) => format!(
                "“{}” stands twice in the link; the last one counts.",
                short(key)
            ),
        }
    }
}

/// The beginning of a text that may be long.
fn short(text: &str) -> String {
    let mut letters = text.chars();
    let mut cut: String = letters.by_ref().take(40).collect();
    if letters.next().is_some() {
        cut.push('…');
    }
    cut
}

/// What a link asks of a sheet beside its answers, as typed.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Asked {
    /// `solve`: the entry to solve for.
    pub solve: String,
    /// `for`: the wanted answer, `ANSWER:VALUE`.
    pub wanted: String,
    /// `sweep`: the entry to sweep and its ends, `ENTRY:FROM:TO`.
    pub sweep: String,
    /// `of`: the answer to read off.
    pub of: String,
    /// `pin`: another design to compare with, its entries as [`pinned`] writes them.
    pub pin: String,
}

impl Asked {
    fn pairs(&self) -> [(&'static str, &str); 5] {
        [
            ("solve", &self.solve),
            ("for", &self.wanted),
            ("sweep", &self.sweep),
            ("of", &self.of),
            ("pin", &self.pin),
        ]
    }

    /// What is asked, as it is kept among a sheet's entries under the link's own keys.
    pub fn kept_in(entries: &Entries) -> Self {
        let kept = |key| entries.get(key).unwrap_or("").to_string();
        Self {
            solve: kept("solve"),
            wanted: kept("for"),
            sweep: kept("sweep"),
            of: kept("of"),
            pin: kept("pin"),
        }
    }

    /// The same without what is asked by halves: an entry without the wanted value, a sweep without its ends.
    pub fn whole(mut self) -> Self {
        if self.solve.is_empty() || self.wanted.is_empty() || self.wanted.ends_with(':') {
            self.solve.clear();
            self.wanted.clear();
        }
        let open = self.sweep.ends_with(':') || self.sweep.contains("::");
        if open || self.sweep.starts_with(':') || self.sweep.is_empty() || self.of.is_empty() {
            self.sweep.clear();
            self.of.clear();
        }
        self
    }

    /// Keeps it there; what is not asked leaves what stood there.
    pub fn keep_in(&self, entries: &mut Entries) {
        for (key, text) in self.pairs() {
            if !text.is_empty() {
                entries.set(key, text);
            }
        }
    }
}

/// All entries of a design that apply, to be pinned beside another: `drive=belt&pitch=2`.
pub fn pinned(report: &Report) -> String {
    let text = write(report);
    let (_, query) = text.split_once("&").unwrap_or_default();
    let (pairs, _) = query.rsplit_once("&k=").unwrap_or_default();
    pairs.to_string()
}

/// The entries of a pinned design.
pub fn unpinned(sheet: &Sheet, pin: &str) -> Entries {
    read(&[sheet.id, "?", pin].concat()).entries
}

/// What a link held.
#[derive(Debug)]
pub struct Opened {
    /// The sheet, if there is one of this id.
    pub sheet: Option<&'static Sheet>,
    /// Every entry, also those that the sheet does not know.
    pub entries: Entries,
    /// What it asks beside the answers.
    pub asked: Asked,
    /// What could not be read, or is unusual.
    pub faults: alloc::vec::Vec<Fault>,
}

/// The link text of a sheet as it stands, to go behind `#`.
///
/// Every entry that applies is in it: as typed, as carried (12 digits), or as the default. Entries that the choices made
/// leave out, and blanks, are not. A log gives its place to what it told: see [`without_log`].
pub fn write(report: &Report) -> String {
    write_asking(report, &Asked::default())
}

/// The longest log that a link carries where it tells nothing, in bytes: enough to show what is wrong with it.
const LONGEST_LOG: usize = 1000;

/// The entries with what a log told in its place, where there is one: for links, and where a log is too long to be saved.
///
/// Each blank entry that the log has an answer for is written out with 12 digits; the ultimate gain and period only where
/// the log is a relay test. A short log that tells nothing stays.
pub fn without_log(report: &Report) -> Option<Entries> {
    let mut fields = report.inputs.fields();
    let is_log = |(field, origin, _): &(&Field, Origin, _)| {
        matches!(field.kind, Kind::Log) && matches!(origin, Origin::Typed | Origin::Bad)
    };
    let (log, ..) = fields.find(is_log)?;
    let told = report.inputs.told.filter(|told| told.fit.is_ok());
    let short = |text: &str| text.len() <= LONGEST_LOG;
    if told.is_none() && report.entries.get(log.key).is_some_and(short) {
        return None;
    }
    let mut entries = report.entries.clone();
    entries.set(log.key, "");
    for (field, origin, _) in report.inputs.fields() {
        let asked = !field.optional || told.is_some_and(|told| told.relay.is_some());
        if asked
            && origin != Origin::Typed
            && let Some(value) = report.number(field.key)
        {
            entries.set(field.key, &write_shortest(value, 12));
        }
    }
    Some(entries)
}

/// As [`write()`], and asking a study too.
pub fn write_asking(report: &Report, asked: &Asked) -> String {
    if let Some(entries) = without_log(report) {
        let carried = |field: &Field| report.inputs.num(field.key);
        return write_asking(&report.sheet.run_carried(&entries, &carried), asked);
    }
    let mut text = format!("{}?v={VERSION}", report.sheet.id);
    let mut push = |key: &str, value: &str| {
        text.push('&');
        // A key kept from elsewhere may begin with a name and a semicolon, which HTML would take for a character.
        let mut encoded = String::new();
        encode_into(&mut encoded, key);
        text.push_str(&encoded.replace(';', "%3B"));
        text.push('=');
        encode_into(&mut text, value);
    };
    let mut typed = report.entries.clone();
    for (field, origin, value) in report.inputs.fields() {
        match (origin, value) {
            (Origin::Typed | Origin::Bad, _) => {
                push(field.key, report.entries.get(field.key).unwrap_or(""))
            }
            (Origin::Carried, Some(Value::Number(number))) => {
                let value = write_shortest(number.value, 12);
                // Where two sides of an "or" are known the first stands: both typed would be one too many.
                typed.set(field.key, &value);
                if report.refuses(&typed, field.key) {
                    typed.set(field.key, "");
                } else {
                    push(field.key, &value);
                }
            }
            // A default that something stands in for was not used: it was solved for, or another entry sets it.
            (Origin::Default, _) if report.stand_in(field.key).is_none() => {
                push(field.key, field.default)
            }
            _ => {}
        }
    }
    for (key, value) in report.entries.iter() {
        if !report.sheet.fields.iter().any(|field| field.key == key) && !RESERVED.contains(&key) {
            push(key, value);
        }
    }
    for (key, value) in asked.pairs() {
        if !value.is_empty() {
            push(key, value);
        }
    }
    sealed(text)
}

/// The text with the check digits over it at its end.
fn sealed(text: String) -> String {
    let check = checksum(&text);
    text + "&k=" + &check
}

/// The link text of a sheet filled in with these entries, which must be all that apply.
pub fn write_pairs<'a>(sheet: &str, pairs: impl Iterator<Item = (&'a str, &'a str)>) -> String {
    let mut text = format!("{sheet}?v={VERSION}");
    for (key, value) in pairs {
        text.push('&');
        encode_into(&mut text, key);
        text.push('=');
        encode_into(&mut text, value);
    }
    sealed(text)
}

/// Reads what follows `#` in a link, percent-encoded or raw; also a whole address.
pub fn read(text: &str) -> Opened {
    let mut faults = alloc::vec::Vec::new();
    // What a post put around the link is not part of it.
    let text = text.trim();
    let text = text.rsplit_once('#').map_or(text, |(_, fragment)| fragment);
    let text = text.trim_end_matches(['_', '*', ')', '.', ',']);
    // A link copied from a page's source has its ampersands written out.
    let text = text.replace("&amp;", "&");
    let (id, query) = text.split_once('?').unwrap_or((&text, ""));
    let id = decode(id);
    let sheet = sheets::find(&id);
    if sheet.is_none() {
        faults.push(Fault::UnknownSheet(id));
    }
    let mut entries = Entries::new();
    let mut asked = Asked::default();
    let (mut versioned, mut checked) = (false, false);
    for pair in query.split('&').filter(|pair| !pair.is_empty()) {
        let Some((key, value)) = pair.split_once('=') else {
            faults.push(Fault::NoValue(decode(pair)));
            continue;
        };
        let (key, value) = (decode(key), decode(value));
        match key.as_str() {
            "v" if value == VERSION => versioned = true,
            "v" => faults.push(Fault::OtherVersion(value)),
            "solve" => asked.solve = value,
            "for" => asked.wanted = value,
            "sweep" => asked.sweep = value,
            "of" => asked.of = value,
            "pin" => asked.pin = value,
            "k" => {
                checked = true;
                let before = text.rsplit_once("&k=").map_or("", |(before, _)| before);
                // A bracket, a quotation mark or a question mark of the sentence that the link stood in.
                let digits = value.trim_end_matches(|c: char| !c.is_ascii_alphanumeric());
                if !checksum(before).eq_ignore_ascii_case(digits) {
                    faults.push(Fault::Damaged);
                }
            }
            _ => {
                if entries.get(&key).is_some() {
                    faults.push(Fault::Twice(key.clone()));
                } else if key != COST
                    && sheet.is_some_and(|sheet| !sheet.fields.iter().any(|field| field.key == key))
                {
                    faults.push(Fault::UnknownKey(key.clone()));
                }
                entries.set(&key, &value);
            }
        }
    }
    // What a person typed has no version; what was written has one, and check digits.
    if versioned && !checked && !entries.is_empty() {
        faults.push(Fault::Unchecked);
    }
    Opened {
        sheet,
        entries,
        asked,
        faults,
    }
}

/// Whether a byte may stand in a key or value as it is.
///
/// Markdown and BBCode linkers take these inside a link; `&` and `=` part the pairs.
const fn is_plain(byte: u8) -> bool {
    byte.is_ascii_alphanumeric()
        || matches!(
            byte,
            b'-' | b'_' | b'.' | b'~' | b',' | b';' | b':' | b'/' | b'+'
        )
}

/// Appends `value` with all but plain characters percent-encoded.
pub(crate) fn encode_into(text: &mut String, value: &str) {
    const HEX: &[u8; 16] = b"0123456789ABCDEF";
    let digit = |nibble: u8| {
        HEX.get(usize::from(nibble))
            .map_or('0', |&hex| char::from(hex))
    };
    for byte in value.bytes() {
        if is_plain(byte) {
            text.push(char::from(byte));
        } else {
            text.push('%');
            text.push(digit(byte >> 4));
            text.push(digit(byte & 15));
        }
    }
}

/// Decodes percent-encoded bytes once; a broken `%` stays as typed, bytes that are no UTF-8 become the replacement sign.
pub(crate) fn decode(text: &str) -> String {
    let mut bytes = alloc::vec::Vec::with_capacity(text.len());
    let mut rest = text.as_bytes();
    while let [first, tail @ ..] = rest {
        rest = tail;
        if *first == b'%'
            && let [high, low, after @ ..] = tail
            && let (Some(high), Some(low)) = (nibble(*high), nibble(*low))
        {
            bytes.push(high << 4 | low);
            rest = after;
        } else {
            bytes.push(*first);
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

const fn nibble(hex: u8) -> Option<u8> {
    match hex {
        b'0'..=b'9' => Some(hex - b'0'),
        b'a'..=b'f' => Some(hex - b'a' + 10),
        b'A'..=b'F' => Some(hex - b'A' + 10),
        _ => None,
    }
}

/// Four hex digits over a text: CRC-16 with polynomial 0x1021 and start 0xFFFF.
///
/// # Source
/// ITU-T V.41 polynomial; the common "CCITT, false" form, whose check value of "123456789" is 29b1.
pub(crate) fn checksum(text: &str) -> String {
    let mut crc: u16 = 0xFFFF;
    for byte in text.bytes() {
        crc ^= u16::from(byte) << 8;
        for _ in 0..8 {
            crc = if crc & 0x8000 == 0 {
                crc << 1
            } else {
                crc << 1 ^ 0x1021
            };
        }
    }
    format!("{crc:04x}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn travel(pairs: &[(&'static str, &'static str)]) -> Report {
        let entries: Entries = pairs.iter().copied().collect();
        match sheets::find("travel") {
            Some(sheet) => sheet.run(&entries),
            None => panic!("no travel sheet"),
        }
    }

    #[test]
    fn the_checksum_is_the_published_one() {
        // Check value of CRC-16/IBM-3740 ("CCITT-FALSE") in the catalogue of parametrised CRC algorithms; from memory.
        assert_eq!(checksum("123456789"), "29b1");
    }

    #[test]
    fn defaults_are_written_out_and_hidden_entries_are_not() {
        let text = write(&travel(&[
            ("pitch", "2"),
            ("teeth", "20"),
            ("diameter", "11"),
        ]));
        assert!(
            text.starts_with(
                "travel?v=1&drive=belt&pitch=2&teeth=20&gears=1&step=1.8&micro=16&span=300&k="
            ),
            "{text}"
        );
    }

    #[test]
    fn what_was_typed_comes_back_as_typed() {
        let entries = [
            ("pitch", "2,0 ± 0,01 mm"),
            ("teeth", "zwanzig | (20) %2C 'x'"),
            ("gears", "60/20*34/17"),
        ];
        let opened = read(&write(&travel(&entries)));
        assert!(opened.faults.is_empty(), "{:?}", opened.faults);
        for (key, text) in entries {
            assert_eq!(opened.entries.get(key), Some(text));
        }
    }

    #[test]
    fn unknown_keys_are_kept_and_named() {
        let opened = read("travel?pitch=2&colour=red");
        assert_eq!(opened.faults, [Fault::UnknownKey("colour".into())]);
        assert_eq!(opened.entries.get("colour"), Some("red"));
        assert!(!opened.faults.iter().any(Fault::is_error));
    }

    #[test]
    fn a_key_that_looks_like_an_entity_comes_back_as_itself() {
        let text = write(&travel(&[("amp;o", "1"), ("copy;", "2")]));
        assert!(
            !text.contains("&amp;") && !text.contains("&copy;"),
            "{text}"
        );
        let opened = read(&text);
        assert!(!opened.faults.iter().any(Fault::is_error), "{text}");
        assert_eq!(opened.entries.get("amp;o"), Some("1"));
        assert_eq!(opened.entries.get("copy;"), Some("2"));
    }

    #[test]
    fn a_cut_or_changed_link_is_noticed_and_opened() {
        let whole = write(&travel(&[("pitch", "2"), ("teeth", "20")]));
        let changed = whole.replace("teeth=20", "teeth=26");
        let opened = read(&changed);
        assert_eq!(opened.faults, [Fault::Damaged]);
        assert_eq!(opened.entries.get("pitch"), Some("2"));
        let cut = &whole[..whole.len() - 2];
        assert_eq!(read(cut).faults, [Fault::Damaged]);
        // Cut in half it has no check digits at all.
        let half = &whole[..whole.len() / 2];
        let opened = read(half);
        assert_eq!(opened.faults.last(), Some(&Fault::Unchecked), "{half}");
        assert_eq!(opened.entries.get("pitch"), Some("2"));
        // What a post puts behind a link is dropped.
        for after in [").", "!", "]", "\"", "»", "?", "**", "…", ":", ";"] {
            assert!(
                read(&format!("{whole}{after}")).faults.is_empty(),
                "{after}"
            );
        }
        assert!(
            read(&format!("https://example.org/a/#{whole}"))
                .faults
                .is_empty()
        );
        assert!(read(&whole.replace('&', "&amp;")).faults.is_empty());
    }

    #[test]
    fn another_version_is_said() {
        let opened = read("travel?v=2&pitch=2");
        assert_eq!(opened.faults, [Fault::OtherVersion("2".into())]);
        assert_eq!(opened.entries.get("pitch"), Some("2"));
    }

    #[test]
    fn a_broken_percent_stays_as_typed() {
        let opened = read("current?set=80 %&hold=60%25&rated=%G1");
        assert_eq!(opened.entries.get("set"), Some("80 %"));
        assert_eq!(opened.entries.get("hold"), Some("60%"));
        assert_eq!(opened.entries.get("rated"), Some("%G1"));
    }
}
