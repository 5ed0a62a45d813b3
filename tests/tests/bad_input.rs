//! What people and accidents put into fields: a message that helps, and nothing typed is lost.

use layshaft_core::sheets::declare::Kind;
use layshaft_core::sheets::{Cell, Entries, Field, Found, Report, Sheet, all};
use layshaft_tests::report;

/// Letters, numbers beyond all bounds, minus nothing, no number, no divisor, pictures, marks of writing direction.
const BAD: &[&str] = &[
    "",
    " ",
    "\u{a0}",
    "\u{200f}",
    "abc",
    "1e999",
    "-1e999",
    "-0",
    "NaN",
    "nan",
    "inf",
    "-inf",
    "Infinity",
    "1/0",
    "0/0",
    "1/",
    "/1",
    "*",
    "60//20",
    "🙂",
    "2🙂",
    "\u{202e}12",
    "\u{200f}12\u{200e}",
    "\u{2066}12\u{2069}",
    "١٢",
    "１２",
    "1e-999",
    "--5",
    "5-",
    "1.2.3",
    "1,2,3",
    "1 2",
    "0x10",
    "1e",
    "e5",
    "±",
    "5 ±",
    "5 ± x",
    "5 ± 1 ± 1",
    "%",
    "5 %%",
    "mm",
    "5 mm mm",
    "5 parsec",
    "4m",
    "4k7k",
    "k",
    "Tr",
    "Tr8",
    "Tr8x",
    "Tr8x3(P2)",
    "Mx",
    "M0",
    "M-8",
    "M8x99",
    ";",
    ",",
    ";;,,;",
    "1;2;3",
    "\0",
    "\t5\n",
    "null",
    "undefined",
    "<script>",
    "'; --",
    "%00",
    "%",
    "&amp;",
    "{pitch}",
    "{",
    "}",
];

/// No NaN and no infinity, in numbers or in words.
fn sound(report: &Report) -> bool {
    let cell = |cell: &Cell| !matches!(cell, Cell::Number(x) if !x.is_finite());
    report.answers().all(|(answer, found)| {
        let finite = match found {
            Some(Found::Number(x)) => x.is_finite(),
            Some(Found::List(list)) => list.iter().all(|x| x.is_finite()),
            Some(Found::Rows(rows)) => rows.iter().flatten().all(cell),
            _ => true,
        };
        let words = report.shown(answer).unwrap_or_default();
        finite && !words.contains("NaN") && !words.contains("inf")
    })
}

/// Every field of a sheet once, each with choices under which it is shown: no more than one choice differs from the default.
fn fields(sheet: &'static Sheet) -> Vec<(&'static Field, Entries)> {
    let mut chosen = vec![Entries::new()];
    for field in sheet.fields {
        if let Kind::Choice(options) = field.kind {
            chosen.extend(
                options
                    .iter()
                    .map(|option| Entries::from_iter([(field.key, option.key)])),
            );
        }
    }
    let mut all: Vec<(&'static Field, Entries)> = Vec::new();
    for entries in chosen {
        for (field, ..) in sheet.run(&entries).inputs.fields() {
            if !all.iter().any(|(known, _)| std::ptr::eq(*known, field)) {
                all.push((field, entries.clone()));
            }
        }
    }
    all
}

/// What is wrong with a message, whatever was typed: it repeats the label, says what to do, and neither scolds nor begs.
fn unhelpful(label: &str, message: &str) -> Option<String> {
    // What stands behind a comma explains the label.
    let label = label.split(',').next().unwrap_or(label);
    let Some(advice) = message.strip_prefix(label) else {
        return Some(format!("does not begin with “{label}”: {message}"));
    };
    let verbs = ["enter ", "write ", "give ", "leave ", "choose "];
    let scolding = [
        "invalid", "Invalid", "please", "Please", "illegal", "NaN", "inf ",
    ];
    // Two full stops in a row are a slip, unless they are the sign of a range: 16..40.
    let range = |at: usize| message[at + 2..].starts_with(|c: char| c.is_ascii_digit());
    if !message.ends_with('.') || message.match_indices("..").any(|(at, _)| !range(at)) {
        Some(format!("is no sentence: {message}"))
    } else if !verbs.iter().any(|verb| advice.contains(verb)) {
        Some(format!("says nothing to do: {message}"))
    } else if scolding.iter().any(|word| advice.contains(word)) {
        Some(format!("scolds: {message}"))
    } else if message.chars().count() > 300 {
        Some(format!("is too long: {message}"))
    } else {
        None
    }
}

#[test]
fn every_field_of_every_sheet_answers_every_bad_text_in_words() {
    let (mut tried, mut refused) = (0, 0);
    let mut unhelpful_ones = std::collections::BTreeSet::new();
    for sheet in all() {
        for (field, chosen) in fields(sheet) {
            tried += BAD.len();
            for bad in BAD {
                let mut entries = chosen.clone();
                entries.set(field.key, bad);
                let report = sheet.run(&entries);
                assert!(sound(&report), "{}: {} = {bad:?}", sheet.id, field.key);
                for problem in &report.problems {
                    let label = report
                        .inputs
                        .field(problem.field)
                        .map_or("", |field| field.label);
                    unhelpful_ones.extend(unhelpful(label, &problem.message));
                    refused += 1;
                }
                // Kept as typed, and so it comes back out of a link and out of a saved machine.
                assert_eq!(
                    report.entries.get(field.key).unwrap_or(""),
                    *bad,
                    "{}",
                    field.key
                );
            }
        }
    }
    assert!(unhelpful_ones.is_empty(), "{unhelpful_ones:#?}");
    // Two texts of three are nothing that any field could read.
    assert!(3 * refused > 2 * tried, "{refused} of {tried} refused");
}

#[test]
fn what_shows_nothing_is_a_blank_and_no_error() {
    for sheet in all() {
        for field in sheet.fields {
            for blank in [
                "",
                " ",
                "   ",
                "\t",
                "\u{a0}",
                "\u{200f}\u{200e}",
                "\u{feff}",
            ] {
                let with = sheet.run(&Entries::from_iter([(field.key, blank)]));
                let without = sheet.run(&Entries::new());
                assert_eq!(
                    with.problems, without.problems,
                    "{}: {} = {blank:?}",
                    sheet.id, field.key
                );
            }
        }
    }
}

#[test]
fn ten_kilobytes_in_any_field_are_refused_at_once() {
    let texts = [
        "9".repeat(10_240),
        "🙂".repeat(2_560),
        "1/".repeat(5_120),
        "(".repeat(10_240),
        "1,".repeat(5_120),
        "1e9;".repeat(2_560),
    ];
    // Some 2,000 sheets of 10 kB each; a text that was read twice over would take minutes.
    let start = std::time::Instant::now();
    for sheet in all() {
        for (field, chosen) in fields(sheet) {
            for text in &texts {
                let mut entries = chosen.clone();
                entries.set(field.key, text);
                let report = sheet.run(&entries);
                let problem = report
                    .problems
                    .iter()
                    .find(|problem| problem.field == field.key);
                match problem {
                    Some(problem) => assert_eq!(unhelpful(field.label, &problem.message), None),
                    None => assert!(
                        matches!(field.kind, Kind::Word | Kind::Rows(_)),
                        "{}: {}",
                        sheet.id,
                        field.key
                    ),
                }
                assert_eq!(
                    report.entries.get(field.key).map(str::len),
                    Some(text.len())
                );
            }
        }
    }
    let long = report(&format!("travel?pitch={}", "9".repeat(10_240)));
    assert!(
        long.problems
            .iter()
            .any(|problem| problem.message.contains("over 200 characters")),
        "{:?}",
        long.problems
    );
    println!("{:?}", start.elapsed());
}

/// Query, field, and what its message must hold: the label first, then an example of what is accepted or the bound.
const MESSAGES: &[(&str, &str, &[&str])] = &[
    (
        "travel?pitch=abc",
        "pitch",
        &["Belt pitch: enter a length in mm, such as 12.5", "“a”"],
    ),
    (
        "travel?pitch=1e999",
        "pitch",
        &[
            "Belt pitch: enter a length in mm, such as 12.5",
            "too large",
        ],
    ),
    (
        "travel?pitch=-0",
        "pitch",
        &["Belt pitch: enter a length greater than 0 mm", "teeth"],
    ),
    (
        "travel?pitch=NaN",
        "pitch",
        &["Belt pitch: enter a length in mm, such as 12.5"],
    ),
    (
        "travel?pitch=1/0",
        "pitch",
        &["Belt pitch: write a divisor other than 0, as 60/20"],
    ),
    (
        "travel?pitch=🙂",
        "pitch",
        &["Belt pitch: enter a length in mm, such as 12.5", "“🙂”"],
    ),
    (
        "travel?pitch=2 kg",
        "pitch",
        &[
            "Belt pitch: enter a length in mm, such as 12.5",
            "units read here are mm",
        ],
    ),
    (
        "travel?pitch=1,234.5",
        "pitch",
        &["Belt pitch: write 1234.5"],
    ),
    (
        "travel?teeth=20.5",
        "teeth",
        &[
            "Pulley teeth: enter a whole number, such as 20",
            "not whole",
        ],
    ),
    (
        "travel?teeth=🙂",
        "teeth",
        &["Pulley teeth: enter a whole number, such as 20"],
    ),
    (
        "travel?teeth=-0",
        "teeth",
        &["Pulley teeth: enter a whole number from 1"],
    ),
    (
        "travel?gears=60/0",
        "gears",
        &["write a divisor other than 0, as 60/20"],
    ),
    (
        "travel?gears=60/",
        "gears",
        &["enter a reduction, such as 3, 60/20", "missing at the end"],
    ),
    (
        "travel?micro=12",
        "micro",
        &["Microsteps per full step: enter 1, 2, 4, 8, 16"],
    ),
    (
        "travel?drive=chain",
        "drive",
        &["Drive: enter one of belt, screw"],
    ),
    (
        "travel?drive=screw&thread=wood",
        "thread",
        &["Thread designation: enter a thread, such as Tr8x8(P2)"],
    ),
    (
        "travel?drive=screw&thread=🙂",
        "thread",
        &["Thread designation: enter a thread, such as Tr8x8(P2)"],
    ),
    (
        "travel?drive=screw&thread=Tr8",
        "thread",
        &["Thread designation: write the pitch too, as Tr8x2"],
    ),
    (
        "travel?drive=screw&thread=Tr8x8",
        "thread",
        &["Thread designation: write the pitch too, as Tr8x8(P2)"],
    ),
    (
        "travel?drive=screw&thread=Tr8x3(P2)",
        "thread",
        &["Thread designation: write a lead that is a whole number of pitches, as Tr8x8(P2)"],
    ),
    (
        "travel?drive=screw&thread=M8.5",
        "thread",
        &["Thread designation: write the pitch too, as M8x1"],
    ),
    (
        "travel?drive=screw&thread=Tr8x8(P2)&pitch=3",
        "thread",
        &["it sets the pitch to 2 mm and the starts to 4"],
    ),
    (
        "microstep?load_torque=x",
        "load_torque",
        &["Load torque: enter a torque in N·m, such as 0.4, 40 N·cm"],
    ),
    (
        "microstep?load_torque=1&load_force=1",
        "load_force",
        &["Load force: enter the torque or the force, not both"],
    ),
    (
        "current?set=eighty",
        "set",
        &["Current of each motor: enter a current, such as 1.5 A, or a percentage, such as 60 %"],
    ),
    (
        "current?resistance=4m",
        "resistance",
        &["write 4 mohm or 4M"],
    ),
    (
        "current?motors=1.5&wiring=series",
        "motors",
        &["Motors of this axis: enter a whole number from 1 to 4"],
    ),
    (
        "current?motors=3",
        "wiring",
        &[
            "Wiring: choose parallel, series or a driver for each",
            "3 motors",
        ],
    ),
    (
        "current?ambient=-300",
        "ambient",
        &["Ambient: enter a temperature from -100 °C"],
    ),
    (
        "sensor?kind=points&points=25",
        "points",
        &["Measured points, row 1, Resistance: enter a resistance in Ω, such as 4700, 4k7"],
    ),
    (
        "sensor?kind=points&points=25,100k;50;100,6.8k",
        "points",
        &["Measured points, row 2, Resistance: enter a resistance"],
    ),
    (
        "sensor?kind=points&points=25,100k;,36k;100,6.8k",
        "points",
        &["Measured points, row 2, Temperature: enter a temperature in °C, such as 25"],
    ),
    (
        "sensor?kind=points&points=25,100k;50,🙂;100,6.8k",
        "points",
        &["row 2, Resistance: enter a resistance", "“🙂”"],
    ),
    (
        "sensor?kind=points&points=25,100k,1;50,36k;100,6.8k",
        "points",
        &["Measured points, row 1: enter only Temperature, Resistance"],
    ),
    (
        "sensor?kind=points&points=25,100k;50,36k",
        "points",
        &[
            "Measured points: enter at least three rows",
            "such as 25 °C and 100k",
        ],
    ),
    (
        "sensor?pullup=4k7&give=count&value=5000&r25=100k&beta=3950",
        "value",
        &["enter less than 4095", "unplugged"],
    ),
    (
        "sensor?give=temperature&value=-300",
        "value",
        &["enter a temperature greater than -273.15 °C"],
    ),
];

#[test]
fn messages_repeat_the_label_and_show_what_is_accepted() {
    for (query, field, parts) in MESSAGES {
        let report = report(query);
        let found: Vec<&str> = report
            .problems
            .iter()
            .filter(|p| p.field == *field)
            .map(|p| p.message.as_str())
            .collect();
        let [message] = found.as_slice() else {
            panic!(
                "{query}: {found:?} at {field}, one message expected; all: {:?}",
                report.problems
            );
        };
        for part in *parts {
            assert!(
                message.contains(part),
                "{query}: “{message}” without “{part}”"
            );
        }
    }
}

#[test]
fn a_bad_entry_leaves_the_answers_that_do_not_need_it() {
    let report = report("travel?drive=belt&pitch=2&teeth=20&span=abc");
    assert_eq!(report.problems.len(), 1);
    assert!(report.number("turn_travel").is_some() && report.number("digits").is_none());
    let report = layshaft_tests::report("current?rated=1.5&resistance=2&set=1&supply=lots");
    assert!(report.number("motor_temp").is_some() && report.number("supply_current").is_none());
}
