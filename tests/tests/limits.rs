//! Every entry of every sheet at its limits, just outside, empty and absurd: alone and together.

use std::collections::BTreeMap;

use layshaft_core::link;
use layshaft_core::sheets::declare::{Kind, Limit};
use layshaft_core::sheets::{Cell, Entries, Field, Found, Report, Sheet};
use layshaft_tests::random::Random;
use layshaft_tests::samples::samples;

/// What no field reads as a quantity, or reads as one that is beyond all sense.
const ABSURD: &[&str] = &[
    "NaN",
    "inf",
    "-inf",
    "1e999",
    "-1e999",
    "1e308",
    "-1e308",
    "1e-308",
    "5e-324",
    "0",
    "-0",
    "\u{202e}12",
    "１２",
    "١٢",
    "🙂",
    "1/3e-300",
    "9e99*9e99",
    "±",
    "1 ± 1e300",
    "20 %",
    "x",
];

/// The next number up, or down: IEEE 754-2019, 5.3.1, nextUp and nextDown; from 0 a trillionth, as the reader refuses what
/// is too close to 0 to work with.
fn next(x: f64, up: bool) -> f64 {
    match (x == 0.0, up) {
        (true, true) => 1e-12,
        (true, false) => -1e-12,
        (false, true) => x.next_up(),
        (false, false) => x.next_down(),
    }
}

/// The text of a number in the field's own unit, to the last bit.
fn text(x: f64, unit: &str) -> String {
    format!("{x:e} {unit}").trim_end().to_string()
}

/// A text at a limit, and whether the limit allows it.
type AtLimit = (String, bool);

/// A field's limits: each bound, just inside, just outside, and far outside.
fn at_limits(field: &Field, unit: &str) -> Vec<AtLimit> {
    let mut texts = Vec::new();
    let whole = matches!(field.kind, Kind::Count);
    let mut side = |limit: Limit, up: bool| {
        let step = |x: f64, up: bool| match (whole, up) {
            (true, true) => x + 1.0,
            (true, false) => x - 1.0,
            (false, up) => next(x, up),
        };
        texts.push((text(limit.value, unit), limit.inclusive));
        texts.push((text(step(limit.value, up), unit), true));
        texts.push((text(step(limit.value, !up), unit), false));
        let far = limit.value + if up { -1.0 } else { 1.0 } * (1.0 + limit.value.abs());
        texts.push((text(far, unit), false));
    };
    if let Some(least) = field.limits.least {
        side(least, true);
    }
    if let Some(most) = field.limits.most {
        side(most, false);
    }
    texts
}

/// The unit in which a field's limits are, as it is typed.
fn unit(field: &Field) -> &'static str {
    match field.kind {
        Kind::Number(measure) => measure.unit.symbol,
        Kind::Either { measures, .. } => measures.first().map_or("", |first| first.unit.symbol),
        _ => "",
    }
}

/// No NaN and no infinity in anything that a person can see of a report, as a number or in words.
fn unsound(report: &Report) -> Option<String> {
    // Words end: "information" and "name" hold neither.
    let bad = |text: &str| {
        text.split(|c: char| !c.is_alphanumeric())
            .any(|word| matches!(word, "NaN" | "nan" | "inf" | "Infinity"))
    };
    let finite = |cell: &Cell| match cell {
        Cell::Number(x) => x.is_finite(),
        Cell::Text(text) => !bad(text),
        Cell::Blank => true,
    };
    for (answer, found) in report.answers() {
        let sound = match found {
            Some(Found::Number(x)) => x.is_finite() && (*x != 0.0 || x.is_sign_positive()),
            Some(Found::List(list)) => list.iter().all(|x| x.is_finite()),
            Some(Found::Rows(rows)) => rows.iter().flatten().all(finite),
            Some(Found::Text(text)) => !bad(text),
            None => true,
        };
        if !sound || report.shown(answer).is_some_and(|text| bad(&text)) {
            return Some(format!("{}: {found:?}", answer.key));
        }
    }
    for checked in &report.checks {
        let finite = |x: Option<f64>| x.is_none_or(f64::is_finite);
        if !finite(checked.value) || !finite(checked.limit) || bad(&checked.text) {
            return Some(format!("{checked:?}"));
        }
    }
    report
        .working()
        .into_iter()
        .find(|step| bad(&step.numbers) || bad(&step.result))
        .map(|step| format!("{step:?}"))
}

/// A refusal begins with its field's label, and says what to enter.
fn unhelpful(report: &Report) -> Option<String> {
    const VERBS: [&str; 5] = ["enter ", "write ", "give ", "leave ", "choose "];
    let helps = |field: &str, message: &str| {
        let label = report.inputs.field(field).map_or("?", |field| field.label);
        // What stands behind a comma explains the label.
        let label = label.split(',').next().unwrap_or(label);
        let said = message.strip_prefix(label);
        said.is_some_and(|said| VERBS.iter().any(|verb| said.contains(verb)))
    };
    report
        .problems
        .iter()
        .find(|problem| !helps(problem.field, &problem.message))
        .map(|problem| problem.message.clone())
}

/// What was found wrong, each once, with the first calculation that shows it.
#[derive(Default)]
struct Faults(BTreeMap<String, String>);

impl Faults {
    /// Works a sheet out and looks for what must not be, whatever was typed.
    fn look(&mut self, sheet: &'static Sheet, entries: &Entries) -> Report {
        let report = sheet.run(entries);
        if let Some(found) = unsound(&report).or_else(|| unhelpful(&report)) {
            let what = format!("{}: {found}", sheet.id);
            self.0.entry(what).or_insert_with(|| link::write(&report));
        }
        report
    }
}

impl Drop for Faults {
    fn drop(&mut self) {
        if !std::thread::panicking() {
            assert!(self.0.is_empty(), "{:#?}", self.0);
        }
    }
}

/// Whether a field's own text is refused, which no choice or other entry can change.
fn refused(report: &Report, field: &Field) -> bool {
    report
        .inputs
        .problems
        .iter()
        .any(|problem| problem.field == field.key)
}

/// Every field that has numbers, with the texts at its limits: of a rows field, its first row with one cell changed.
fn edges(report: &Report) -> Vec<(&'static Field, Vec<AtLimit>)> {
    let mut edges = Vec::new();
    for (field, ..) in report.inputs.fields() {
        match field.kind {
            Kind::Number(_) | Kind::Either { .. } | Kind::Count | Kind::Ratio => {
                edges.push((field, at_limits(field, unit(field))));
            }
            Kind::Rows(columns) => {
                let typed = report.entries.get(field.key).unwrap_or("");
                let (first, rest) = typed.split_once(';').unwrap_or((typed, ""));
                let cells: Vec<&str> = first.split(',').collect();
                for (column, declared) in columns.iter().enumerate() {
                    let row = |text: &str| {
                        let mut cells = cells.clone();
                        if let Some(cell) = cells.get_mut(column) {
                            *cell = text;
                        }
                        format!("{};{rest}", cells.join(","))
                    };
                    if column < cells.len() && !typed.is_empty() {
                        let texts = at_limits(declared, unit(declared));
                        edges.push((
                            field,
                            texts.iter().map(|(text, ok)| (row(text), *ok)).collect(),
                        ));
                    }
                }
            }
            _ => {}
        }
    }
    edges
}

/// The whole designs, one of each kind: enough of them to have every field of a sheet that the choices ever show.
fn designs() -> Vec<(&'static Sheet, Entries)> {
    let mut known: Vec<(&str, &str)> = Vec::new();
    samples()
        .into_iter()
        .filter(|(sheet, entries)| {
            let before = known.len();
            for (field, ..) in sheet.run(entries).inputs.fields() {
                if !known.contains(&(sheet.id, field.label)) {
                    known.push((sheet.id, field.label));
                }
            }
            known.len() > before
        })
        .collect()
}

#[test]
fn a_limit_refuses_what_lies_beyond_it_and_nothing_else() {
    let (mut tried, mut beyond) = (0, 0);
    let mut faults = Faults::default();
    for (sheet, entries) in designs() {
        for (field, texts) in edges(&sheet.run(&entries)) {
            for (text, allowed) in texts {
                let mut changed = entries.clone();
                changed.set(field.key, &text);
                let report = faults.look(sheet, &changed);
                assert_eq!(
                    refused(&report, field),
                    !allowed,
                    "{}: {} = {text}: {:?}",
                    sheet.id,
                    field.key,
                    report.problems
                );
                tried += 1;
                beyond += u32::from(!allowed);
            }
        }
    }
    // Some three hundred fields with up to two limits of four texts each.
    assert!(tried > 2000 && beyond > 1000, "{tried}, {beyond}");
}

#[test]
fn what_is_empty_or_absurd_leaves_no_false_number() {
    let mut faults = Faults::default();
    for (sheet, entries) in designs() {
        let fields: Vec<&Field> = sheet
            .run(&entries)
            .inputs
            .fields()
            .map(|(field, ..)| field)
            .collect();
        for field in fields {
            for text in ABSURD.iter().chain(&[""]) {
                let mut changed = entries.clone();
                changed.set(field.key, text);
                faults.look(sheet, &changed);
            }
        }
    }
}

/// Of each design.
const COMBINATIONS: usize = 60;

#[test]
fn extremes_together_leave_no_false_number() {
    let mut random = Random::new(0x65_6467_6573);
    let mut faults = Faults::default();
    for (sheet, entries) in designs() {
        let report = sheet.run(&entries);
        let edges = edges(&report);
        let mut whole = 0;
        for round in 0..COMBINATIONS {
            let mut changed = entries.clone();
            for (field, texts) in &edges {
                // In every other design only what the limits allow, so that the formulas are reached.
                let texts: Vec<&str> = texts
                    .iter()
                    .filter(|(_, allowed)| *allowed || round % 2 == 1)
                    .map(|(text, _)| text.as_str())
                    .chain(if round % 2 == 1 { ABSURD } else { &[] }.iter().copied())
                    .collect();
                if !texts.is_empty() && random.chance(60) {
                    changed.set(field.key, random.pick(&texts));
                }
            }
            for (field, ..) in report.inputs.fields() {
                if let Kind::Choice(options) = field.kind
                    && random.chance(30)
                {
                    let keys: Vec<&str> = options.iter().map(|option| option.key).collect();
                    changed.set(field.key, random.pick(&keys));
                }
            }
            whole += usize::from(faults.look(sheet, &changed).inputs.problems.is_empty());
        }
        // Half of them hold to all limits; of these some leave an entry of another choice bad.
        assert!(4 * whole >= COMBINATIONS, "{}: {whole}", sheet.id);
    }
}
