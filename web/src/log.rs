//! The entry of a log: a text area for what is pasted as it comes, a file chosen or dropped, and what was read of it.
//!
//! A browser lays out 20,000 lines in most of a second. Of a long log only its beginning and its end stand in the text
//! area, with a line between them for the rows that do not show; both ends can be edited.

use std::cell::RefCell;
use std::sync::Arc;

use layshaft_core::entry::write::{write_shortest, write_significant};
use layshaft_core::link::without_log;
use layshaft_core::machine::{Machine, Part, declared};
use layshaft_core::sheets::{Field, Kind, Report, Sheet};
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{DragEvent, Element, Event, File, HtmlInputElement};

use crate::dom::*;
use crate::field::put_names;
use crate::keys::{LARGEST_LOG_FILE, LONGEST_LOG};
use crate::markup::Markup;

/// Of a text longer than this, in bytes, only the ends show, each a little longer than this many.
const LONG: (usize, usize) = (20_000, 300);
/// Stands for what does not show.
const BETWEEN: &str = "… the rows between do not show …\n";

/// The middle of a long log, from the end of a row to the end of another: what does not show.
fn middle(text: &str) -> Option<(usize, usize)> {
    let (long, ends) = LONG;
    if text.len() <= long {
        return None;
    }
    let end = if text.contains('\n') { '\n' } else { ';' };
    let cut = |at: usize| (at..at + 4).find(|at| text.is_char_boundary(*at));
    let from = cut(ends)?;
    let from = from + text.get(from..)?.find(end)? + 1;
    let to = text.get(..cut(text.len() - ends)?)?.rfind(end)? + 1;
    (from < to).then_some((from, to))
}

/// What of a log stands in the text area.
pub fn shown(text: &str) -> String {
    let parts =
        middle(text).and_then(|(from, to)| Some([text.get(..from)?, BETWEEN, text.get(to..)?]));
    parts.map_or_else(|| text.into(), |parts| parts.concat())
}

/// The whole log again, once the text area holds `value`.
fn whole(before: &str, value: String) -> String {
    let parts = middle(before)
        .and_then(|(from, to)| before.get(from..to))
        .zip(value.split_once(BETWEEN))
        .map(|(middle, (head, tail))| [head, middle, tail].concat());
    parts.unwrap_or(value)
}

/// The text area and the choice of a file.
pub fn put(out: &mut Markup, key: &'static str, text: &str) {
    out.raw("<div class=log>");
    put_text(out, key, text);
    out.raw("<label class=file>Choose a log file<input type=file accept=\".csv,.tsv,.txt,.log,text/*\"></label></div>");
}

/// The text area.
pub fn put_text(out: &mut Markup, key: &'static str, text: &str) {
    out.raw("<textarea rows=5 wrap=off autocomplete=off autocapitalize=none autocorrect=off spellcheck=false");
    put_names(out, key);
    // The first line end of a text area is not its own.
    out.raw(">\n").words(text).raw("</textarea>");
}

/// What was read of a log, in one line; and whether it will be saved.
pub fn summary(report: &Report, key: &str) -> String {
    let Some(rows) = report.inputs.log(key) else {
        return String::new();
    };
    let ends = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.get(column).copied());
        cells.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
            (low.min(x), high.max(x))
        })
    };
    let (seconds, celsius, duty) = (ends(0), ends(1), ends(2));
    let long = report.entries.get(key).map_or(0, str::len) > LONGEST_LOG;
    [
        rows.len().to_string().as_str(),
        " rows: ",
        &write_significant(seconds.1 - seconds.0, 4),
        " s, ",
        &write_significant(celsius.0, 3),
        " to ",
        &write_significant(celsius.1, 3),
        " °C, duty ",
        &write_shortest(duty.0, 3),
        " to ",
        &write_shortest(duty.1, 3),
        if !long {
            "."
        } else if report.number("gain").is_some() {
            ". Too long to be saved: it stays until this page is closed; its gain, time constant and dead time are saved in its place."
        } else {
            ". Too long to be saved: it stays until this page is closed."
        },
    ]
    .concat()
}

/// What an event in a log's entry hands over: the whole text, or a file to be read.
pub enum Given {
    Text(String),
    File(File),
}

/// What an event gives to the log that it happened in; `before` is its text.
pub fn given(event: &Event, from: &Element, before: &str) -> Option<Given> {
    let control: &HtmlInputElement = from.unchecked_ref();
    match event.type_().as_str() {
        "input" if from.tag_name() == "TEXTAREA" => {
            Some(Given::Text(whole(before, control.value())))
        }
        "change" => control.files()?.get(0).map(Given::File),
        "paste" => {
            let text = event
                .unchecked_ref::<web_sys::ClipboardEvent>()
                .clipboard_data()?
                .get_data("text")
                .ok()?;
            // The browser would lay all of it out; a short one it may paste itself.
            (text.len() > LONG.0).then(|| {
                event.prevent_default();
                // A long log in the place of another is the next one; behind it, it would run backwards in time.
                Given::Text(match middle(before) {
                    Some(_) => text,
                    None => spliced(control, &text),
                })
            })
        }
        "dragover" => {
            event.prevent_default();
            None
        }
        "drop" => {
            event.prevent_default();
            let data = event.unchecked_ref::<DragEvent>().data_transfer()?;
            match data.files().and_then(|files| files.get(0)) {
                Some(file) => Some(Given::File(file)),
                None => data.get_data("text").ok().map(Given::Text),
            }
        }
        _ => None,
    }
}

/// The text of a control with another in the place of what is selected.
fn spliced(control: &HtmlInputElement, text: &str) -> String {
    let units: Vec<u16> = control.value().encode_utf16().collect();
    let place =
        |at: Option<u32>| at.map_or(units.len(), |at| usize::try_from(at).unwrap_or(usize::MAX));
    let from = place(control.selection_start().ok().flatten());
    let to = place(control.selection_end().ok().flatten());
    let part = |units: Option<&[u16]>| String::from_utf16_lossy(units.unwrap_or_default());
    [&part(units.get(..from)), text, &part(units.get(to..))].concat()
}

/// Tells something in the line below a log.
pub fn tell(key: &str, words: &str) {
    if let Some(line) = element(&["n-", key].concat()) {
        line.set_text_content(Some(words));
    }
}

/// Calls `take` with the text: at once if it is short, else when it is read and the page says so.
pub fn take(key: &'static str, given: Given, take: impl FnOnce(String) + 'static) {
    let take: Box<dyn FnOnce(String)> = Box::new(take);
    match given {
        Given::Text(text) if text.len() <= LONG.0 => take(text),
        Given::Text(text) => {
            tell(key, "Reading…");
            after_paint(move || take(text));
        }
        Given::File(file) if file.size() > LARGEST_LOG_FILE => {
            tell(
                key,
                "This file is larger than 2 MB: choose a log of one run.",
            );
        }
        Given::File(file) => {
            tell(key, "Reading…");
            spawn_local(async move {
                match JsFuture::from(file.text())
                    .await
                    .ok()
                    .and_then(|text| text.as_string())
                {
                    Some(text) => take(text.replace("\r\n", "\n").replace('\r', "\n")),
                    None => tell(key, "The file could not be read: choose it again."),
                }
            });
        }
    }
}

/// The log of a sheet, if it has one.
pub fn field(fields: &'static [Field]) -> Option<&'static Field> {
    fields.iter().find(|field| matches!(field.kind, Kind::Log))
}

thread_local! {
    /// The last report on a sheet with a log: what it tells need not be found again.
    static KNOWN: RefCell<Option<Arc<Report>>> = const { RefCell::new(None) };
}

/// Keeps what a report tells of its log.
pub fn know(report: &Arc<Report>) {
    if field(report.sheet.fields).is_some() {
        KNOWN.set(Some(report.clone()));
    }
}

/// Every log of a machine that is too long to be stored: which part, its sheet, the field it stands in.
fn unsaved(machine: &Machine) -> Vec<(usize, &'static Sheet, &'static Field)> {
    let mut all = Vec::new();
    for (at, part) in machine.parts.iter().enumerate() {
        for (id, entries) in &part.sheets {
            if let Some(sheet) = declared(id)
                && let Some(field) = field(sheet.fields)
                && entries
                    .get(field.key)
                    .is_some_and(|text| text.len() > LONGEST_LOG)
            {
                all.push((at, sheet, field));
            }
        }
    }
    all
}

/// Whether something of a machine is in this tab only: a log that is too long to be stored.
pub fn any_unsaved(machine: &Machine) -> bool {
    !unsaved(machine).is_empty()
}

/// The record of a machine as it is stored: a log too long for that gives its place to what it told.
pub fn record(machine: &Machine) -> String {
    let mut short: Option<Machine> = None;
    for (at, sheet, _) in unsaved(machine) {
        let known = KNOWN.with_borrow(Clone::clone);
        let known = known.filter(|known| std::ptr::eq(known.sheet, sheet));
        let report = machine
            .parts
            .get(at)
            .map(|part| part.report_after(sheet, known.as_deref()));
        if let Some(entries) = report.as_ref().and_then(without_log)
            && let Some(part) = short
                .get_or_insert_with(|| machine.clone())
                .parts
                .get_mut(at)
        {
            part.set(sheet.id, entries);
        }
    }
    short.as_ref().unwrap_or(machine).write()
}

/// Puts the logs that only `ours` has into `theirs`, which another tab stored in the place of `seen`: what that tab typed
/// is taken over beside them. Whether every log found its place; one whose part or sheet went, or has another log now, did not.
pub fn keep(theirs: &mut Machine, ours: &Machine, seen: &Machine) -> bool {
    let mut all = true;
    for (at, sheet, field) in unsaved(ours) {
        let old = |machine: &Machine| machine.parts.get(at)?.entries(sheet.id).cloned();
        let name = ours.parts.get(at).map(|part| &part.name);
        let same = |part: Option<&Part>| part.map(|part| &part.name) == name;
        let place = if same(theirs.parts.get(at)) {
            Some(at)
        } else {
            theirs.parts.iter().position(|part| same(Some(part)))
        };
        let place = place.and_then(|place| theirs.parts.get_mut(place));
        let kept = place.and_then(|part| {
            let (before, now) = (old(seen)?, part.entries(sheet.id)?);
            let differs = |key: &&str| before.get(key) != now.get(key);
            let keys = before.iter().chain(now.iter()).map(|(key, _)| key);
            let keys: Vec<&str> = keys.filter(differs).collect();
            let mut entries = old(ours)?;
            for key in &keys {
                entries.set(key, now.get(key).unwrap_or(""));
            }
            (!keys.contains(&field.key)).then(|| part.set(sheet.id, entries))
        });
        all &= kept.is_some();
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use layshaft_core::sheets;

    fn long(end: &str) -> String {
        (0..3000).map(|i| format!("{i},25.5,1{end}")).collect()
    }

    #[test]
    fn only_the_ends_of_a_long_log_show_and_both_can_be_edited() {
        for end in ["\n", ";"] {
            let log = long(end);
            let seen = shown(&log);
            assert!(seen.len() < 1000 && seen.starts_with("0,25.5,1") && seen.contains(BETWEEN));
            assert_eq!(whole(&log, seen.clone()), log);
            let edited = seen.replacen("0,25.5,1", "0,24.5,0", 1) + "3000,26,1";
            let expected = log.replacen("0,25.5,1", "0,24.5,0", 1) + "3000,26,1";
            assert_eq!(whole(&log, edited), expected);
            // Another text in the place of all is that text.
            assert_eq!(whole(&log, "0,25,1".into()), "0,25,1");
        }
        assert_eq!(shown("0,25,1\n1,26,1"), "0,25,1\n1,26,1");
        let odd = "°".repeat(15_000);
        assert_eq!(shown(&odd), odd);
    }

    #[test]
    fn a_log_too_long_to_be_stored_gives_its_place_to_what_it_told() {
        let sheet = sheets::find("control").expect("it is listed");
        // A first-order heater of 180 K and 200 s after 10 s of dead time, switched on at 20 s.
        let row = |i: u32| {
            let t = f64::from(i) * 0.1 - 30.0;
            let rise = 180.0 * (1.0 - libm::exp(-t.max(0.0) / 200.0));
            let duty = if i < 200 { "0" } else { "1" };
            [
                &write_shortest(f64::from(i) * 0.1, 9),
                ",",
                &write_shortest(25.0 + rise, 9),
                ",",
                duty,
                "\n",
            ]
            .concat()
        };
        let text: String = (0..6000).map(row).collect();
        assert!(text.len() > LONGEST_LOG);
        let entries = [("log", text.as_str()), ("target", "150")];
        let mut part = Part::default();
        part.set("control", entries.into_iter().collect());
        let machine = Machine {
            name: "m".into(),
            parts: vec![part.clone()],
        };
        let stored = Machine::read(&record(&machine)).expect("it is a record");
        let entries = stored
            .parts
            .first()
            .and_then(|part| part.entries("control"));
        let entries = entries.expect("it is kept");
        assert_eq!(
            (entries.get("log"), entries.get("target")),
            (None, Some("150"))
        );
        let report = sheet.run(entries);
        for (key, expected) in [("gain", 180.0), ("tau", 200.0), ("dead", 10.0)] {
            let found = report.inputs.num(key).expect("it is in the log's place");
            assert!((found - expected).abs() < 0.01 * expected, "{key}: {found}");
        }
        let whole = part.report(sheet);
        assert!(
            summary(&whole, "log").starts_with("6000 rows: 599.9 s, 25.0 to "),
            "{}",
            summary(&whole, "log")
        );
    }

    /// A machine with one part of that name and a control sheet with a log too long to be stored, and as it is stored.
    fn with_log(part: &str) -> (Machine, Machine) {
        let text = (0..12_000)
            .map(|i| format!("{i},25,0\n"))
            .collect::<String>();
        let entries = [("log", text.as_str()), ("target", "150")];
        let mut part = Part {
            name: part.into(),
            sheets: Vec::new(),
        };
        part.set("control", entries.into_iter().collect());
        let ours = Machine {
            name: "m".into(),
            parts: vec![part],
        };
        let seen = Machine::read(&record(&ours)).expect("it is a record");
        (ours, seen)
    }

    fn entry<'a>(machine: &'a Machine, part: usize, key: &str) -> Option<&'a str> {
        machine.parts.get(part)?.entries("control")?.get(key)
    }

    fn set(machine: &mut Machine, key: &str, text: &str) {
        let part = machine.parts.first_mut().expect("there is one");
        let mut entries = part.entries("control").cloned().unwrap_or_default();
        entries.set(key, text);
        part.set("control", entries);
    }

    #[test]
    fn a_log_that_is_only_here_stays_beside_what_another_tab_typed() {
        let (ours, seen) = with_log("hot end");
        assert_eq!(entry(&seen, 0, "log"), None);
        let mut theirs = seen.clone();
        set(&mut theirs, "target", "210");
        theirs.parts.insert(0, Part::default());
        assert!(keep(&mut theirs, &ours, &seen));
        assert_eq!(entry(&theirs, 1, "log"), entry(&ours, 0, "log"));
        assert_eq!(entry(&theirs, 1, "target"), Some("210"));
    }

    #[test]
    fn a_log_whose_place_went_or_has_another_one_is_said_to_have_none() {
        let (ours, seen) = with_log("hot end");
        let (mut other, _) = with_log("bed");
        assert!(!keep(&mut other, &ours, &seen));
        let mut theirs = seen.clone();
        set(&mut theirs, "log", "0,25,1");
        assert!(!keep(&mut theirs, &ours, &seen));
        assert_eq!(entry(&theirs, 0, "log"), Some("0,25,1"));
        assert!(!keep(&mut Machine::default(), &ours, &seen));
    }
}
