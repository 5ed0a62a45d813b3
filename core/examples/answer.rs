//! A sheet's answers as one JSON object: the headless twin of the page.
//!
//! ```text
//! cargo run -q -p layshaft-core --example answer -- 'travel?drive=belt&pitch=2&teeth=20&step=1.8&micro=16'
//! cargo run -q -p layshaft-core --example answer -- -      # one query a line, one object a line
//! ```
//!
//! It takes the text that a link carries after `#`, percent-encoded or raw. It exits 0, or 2 when an object has errors.

use std::io::{BufRead, Write};
use std::process::ExitCode;

use layshaft_core::link;
use layshaft_core::link::Asked;
use layshaft_core::sheets::{Cell, Checked, Found, Report};
use layshaft_core::study::{solve, sweep, tolerance};
use serde_json::{Map, Value, json};

fn main() -> ExitCode {
    let query = std::env::args().nth(1);
    match query.as_deref() {
        None => {
            eprintln!(
                "usage: answer 'sheet?key=value&key=value', or answer - for one query a line"
            );
            ExitCode::from(2)
        }
        Some("-") => match each_line() {
            Ok(code) => code,
            Err(error) => {
                eprintln!("answer: {error}");
                ExitCode::FAILURE
            }
        },
        Some(query) => {
            let (object, good) = answer(query);
            println!("{object}");
            exit(good)
        }
    }
}

fn exit(good: bool) -> ExitCode {
    if good {
        ExitCode::SUCCESS
    } else {
        ExitCode::from(2)
    }
}

/// Answers the standard input line by line; a blank line is answered as an unknown sheet, so that lines stay in step.
fn each_line() -> std::io::Result<ExitCode> {
    let mut all_good = true;
    let mut out = std::io::stdout().lock();
    let mut input = std::io::stdin().lock();
    let mut line = Vec::new();
    while input.read_until(b'\n', &mut line)? > 0 {
        let (object, good) = answer(String::from_utf8_lossy(&line).trim_end_matches(['\n', '\r']));
        writeln!(out, "{object}")?;
        all_good &= good;
        line.clear();
    }
    Ok(exit(all_good))
}

/// The object for one query, and whether it has no errors.
fn answer(query: &str) -> (Value, bool) {
    let opened = link::read(query);
    let mut errors = Vec::new();
    let mut notes = Vec::new();
    for fault in &opened.faults {
        let list = if fault.is_error() {
            &mut errors
        } else {
            &mut notes
        };
        list.push(json!({"field": fault.field(), "message": fault.message()}));
    }
    let Some(sheet) = opened.sheet else {
        let object = json!({"sheet": Value::Null, "answers": {}, "checks": [], "cautions": [], "errors": errors, "notes": notes});
        return (object, false);
    };
    let report = sheet.run(&opened.entries);
    for problem in &report.problems {
        errors.push(json!({"field": problem.field, "message": problem.message}));
    }
    for warning in &report.warnings {
        notes.push(json!({"field": warning.field, "message": warning.message}));
    }
    let mut answers = answers_of(&report);
    for refusal in study(&report, &opened.asked, &mut answers) {
        errors.push(json!({"field": refusal.key, "message": refusal.message}));
    }
    let good = errors.is_empty();
    let mut object = json!({
        "sheet": sheet.id,
        "answers": answers,
        "checks": report.checks.iter().map(check).collect::<Vec<_>>(),
        "cautions": report.cautions.iter().map(|caution| format!("{} {}", caution.what, caution.first)).collect::<Vec<_>>(),
        "errors": errors,
        "notes": notes,
    });
    // The answers of a pinned design stand beside.
    let pin = opened.asked.pin;
    if let (Some(object), false) = (object.as_object_mut(), pin.is_empty()) {
        let pinned = sheet.run(&link::unpinned(sheet, &pin));
        object.insert("pinned".into(), answers_of(&pinned).into());
    }
    (object, good)
}

/// One check; value and limit only where there are some.
fn check(checked: &Checked) -> Value {
    let mut object = Map::new();
    object.insert("id".into(), json!(checked.check.id));
    object.insert("state".into(), json!(checked.state.word()));
    for (key, number) in [("value", checked.value), ("limit", checked.limit)] {
        if let Some(number) = number {
            object.insert(key.into(), json!(number));
        }
    }
    object.insert("text".into(), json!(checked.text));
    object.into()
}

/// What the link asks beside the answers; gives back what could not be asked.
fn study(report: &Report, asked: &Asked, answers: &mut Map<String, Value>) -> Vec<solve::Refusal> {
    let mut refusals = Vec::new();
    if !asked.solve.is_empty() || !asked.wanted.is_empty() {
        match solve::solve(report, &asked.solve, &asked.wanted) {
            Ok(solution) => {
                let unit = solution.measure.unit.symbol;
                match solution.values.as_slice() {
                    [] => {}
                    [one] => {
                        _ = answers.insert("solved".into(), json!({"value": one, "unit": unit}))
                    }
                    several => {
                        _ = answers.insert("solved".into(), json!({"value": several, "unit": unit}))
                    }
                }
                if let Some((part, _)) = solution.nearest.first() {
                    answers.insert(
                        "solved_nearest".into(),
                        json!({"value": part, "unit": unit}),
                    );
                }
                answers.insert(
                    "solved_text".into(),
                    json!({"value": solution.words, "unit": ""}),
                );
            }
            Err(refusal) => refusals.push(refusal),
        }
    }
    if !asked.sweep.is_empty() || !asked.of.is_empty() {
        match sweep::sweep(report, &asked.sweep, &asked.of) {
            Ok(swept) => {
                _ = answers.insert("swept".into(), json!({"value": swept.rows, "unit": ""}))
            }
            Err(refusal) => refusals.push(refusal),
        }
    }
    refusals
}

/// Every answer that has a value, at full precision, with its uncertainty where entries have a tolerance.
fn answers_of(report: &Report) -> Map<String, Value> {
    let mut answers = Map::new();
    let spreads = tolerance::spreads(report);
    for (answer, found) in report.answers() {
        let value = match found {
            Some(Found::Number(x)) => json!(x),
            Some(Found::Text(text)) => json!(text),
            Some(Found::List(values)) => json!(values),
            Some(Found::Rows(rows)) => rows
                .iter()
                .map(|row| row.iter().map(cell).collect::<Value>())
                .collect(),
            None => continue,
        };
        let mut object = Map::new();
        object.insert("value".into(), value);
        object.insert("unit".into(), json!(report.measure(answer).unit.symbol));
        if let Some(spread) = spreads.iter().find(|spread| spread.answer == answer.key) {
            object.insert("uncertainty".into(), json!(spread.uncertainty));
        }
        answers.insert(answer.key.to_string(), object.into());
    }
    answers
}

fn cell(cell: &Cell) -> Value {
    match cell {
        Cell::Number(x) => json!(x),
        Cell::Text(text) => json!(text),
        Cell::Blank => Value::Null,
    }
}
