//! Solving on every sheet: each value that is found gives the wanted answer when a person types it.

use layshaft_core::sheets::declare::Kind;
use layshaft_core::sheets::{Found, Origin, Report};
use layshaft_core::study::solve::solve;
use layshaft_tests::designs::{near, number, typed, with};
use layshaft_tests::random::Random;
use layshaft_tests::samples::samples;

/// Of the wanted answer: Brent's method stops at the last bits of the entry, which a steep answer magnifies.
const RELATIVE: f64 = 1e-6;

/// The answers that are numbers.
fn answers(report: &Report) -> Vec<(&'static str, f64)> {
    let number = |found: Option<&Found>| match found {
        Some(Found::Number(x)) => Some(*x),
        _ => None,
    };
    report
        .answers()
        .filter_map(|(answer, found)| Some((answer.key, number(found)?)))
        .collect()
}

/// What was asked, and what came of it.
#[derive(Default)]
struct Asked {
    questions: usize,
    found: usize,
    given_back: usize,
}

/// Asks for the answer that stands with the entry that stands.
fn ask(report: &Report, entry: &str, value: f64, answer: (&str, f64), asked: &mut Asked) {
    let (key, wanted) = answer;
    let declared = report.answer(key).expect("it is declared");
    let unit = report.measure(declared).unit;
    let question = format!("{key}:{}", typed(wanted, unit));
    let solution = match solve(report, entry, &question) {
        Ok(solution) => solution,
        // A sheet whose own target is typed solves for itself.
        Err(refusal) if refusal.message.contains("asks the sheet itself") => return,
        Err(refusal) => panic!(
            "{}: {entry}, {question}: {}",
            report.sheet.id, refusal.message
        ),
    };
    asked.questions += 1;
    asked.found += usize::from(!solution.values.is_empty());
    let here = |x: &f64| (x - value).abs() <= 1e-6 * value.abs();
    let back = solution.values.iter().any(here);
    asked.given_back += usize::from(back);
    let counted = matches!(solution.field.kind, Kind::Count | Kind::PowerOfTwo);
    for x in &solution.values {
        // Between two counts there is nothing to type; the nearest are looked at below.
        if counted && x.fract() != 0.0 {
            continue;
        }
        let mut entries = report.entries.clone();
        entries.set(entry, &typed(*x, solution.measure.unit));
        let again = report.sheet.run(&entries);
        let what = format!("{}: {entry} = {x} for {question}", report.sheet.id);
        assert!(
            again.inputs.problems.is_empty(),
            "{what}: {:?}",
            again.problems
        );
        let Some(there) = again.number(key) else {
            panic!("{what}: no answer, {:?}", again.problems)
        };
        let scale = wanted.abs().max(report.number(key).map_or(0.0, f64::abs));
        assert!(
            (there - wanted).abs() <= RELATIVE * scale,
            "{what}: {there}"
        );
    }
    for (part, answer) in &solution.nearest {
        let mut entries = report.entries.clone();
        entries.set(entry, &typed(*part, solution.measure.unit));
        let there = report.sheet.run(&entries).number(key);
        let near = there.is_some_and(|there| (there - answer).abs() <= 1e-9 * answer.abs());
        assert!(
            near,
            "{}: {entry} = {part}: {there:?}, not {answer}",
            report.sheet.id
        );
    }
}

#[test]
fn what_is_solved_for_gives_the_wanted_answer_on_every_sheet() {
    let mut random = Random::new(0x73_6f6c_7665);
    let mut asked = Asked::default();
    let mut sheets: Vec<&str> = Vec::new();
    for (sheet, whole) in samples() {
        // A log is fitted anew at each of hundreds of looks.
        if whole.get("log").is_some() {
            continue;
        }
        let report = near(sheet, &whole, &mut random);
        let answers = answers(&report);
        let mut entries: Vec<(&str, f64)> = report
            .inputs
            .fields()
            .filter(|(_, origin, _)| *origin == Origin::Typed)
            .filter(|(field, ..)| report.inputs.place(field.key).is_some())
            .filter_map(|(field, _, value)| Some((field.key, number(value?)?)))
            .collect();
        if sheet.id == "control" {
            entries.truncate(1);
        }
        if answers.is_empty() || entries.is_empty() {
            continue;
        }
        sheets.push(sheet.id);
        for (entry, value) in entries {
            // Only an answer that follows the entry can be asked of it.
            let moved = sheet.run(&with(&report, entry, value * 1.01));
            let follow: Vec<(&str, f64)> = answers
                .iter()
                .copied()
                .filter(|(key, here)| {
                    moved
                        .number(key)
                        .is_some_and(|there| (there - here).abs() > 1e-9 * here.abs())
                })
                .collect();
            if !follow.is_empty() {
                ask(&report, entry, value, random.pick(&follow), &mut asked);
            }
        }
    }
    sheets.sort_unstable();
    sheets.dedup();
    // The others have rows, words or choices only.
    assert!(sheets.len() >= 25, "{sheets:?}");
    assert!(asked.questions > 250, "{}", asked.questions);
    assert_eq!(asked.found, asked.questions);
    // An answer in steps, such as a number of digits, is met by many entries; the one that stands is not always looked at.
    assert!(
        50 * (asked.questions - asked.given_back) <= asked.questions,
        "{} of {}",
        asked.given_back,
        asked.questions
    );
}
