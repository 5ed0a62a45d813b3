use super::super::trial::{faults, number, run};
use super::super::{Cell, Found, Report};
use crate::link;
use std::string::{String, ToString};
use std::vec::Vec;

const AXIS: &[(&str, &str)] = &[
    ("from", "20"),
    ("to", "60"),
    ("speed", "150"),
    ("accel", "3000"),
    ("mass", "0.5"),
    ("friction", "2"),
    ("supply", "24"),
    ("teeth", "16..20"),
    ("pitches", "2,3"),
    ("threads", "Tr8x8(P2),M8"),
    ("gears", "1,60/20,60/20*34/17"),
    ("micros", "16,32"),
    (
        "motors",
        "small,1.8,0.26,1.2,2.1,2.8,38,9;large,0.9,0.44,1.5,2.4,4.1,68",
    ),
];

fn with(more: &[(&'static str, &'static str)]) -> Report {
    let mut entries = AXIS.to_vec();
    entries.retain(|(key, _)| more.iter().all(|(other, _)| other != key));
    entries.extend_from_slice(more);
    run("find", &entries)
}

fn rows(report: &Report) -> &[Vec<Cell>] {
    match report.found("best") {
        Some(Found::Rows(rows)) => rows,
        _ => &[],
    }
}

fn text(cell: Option<&Cell>) -> String {
    match cell {
        Some(Cell::Text(text)) => text.to_string(),
        other => panic!("no text: {other:?}"),
    }
}

fn value(cell: Option<&Cell>) -> f64 {
    match cell {
        Some(Cell::Number(x)) => *x,
        other => panic!("no number: {other:?}"),
    }
}

#[test]
fn every_combination_is_counted_and_microsteps_with_them() {
    let report = with(&[]);
    // 5 teeth x 2 pitches and 2 threads, x 3 x 2 x 2.
    assert!((number(&report, "tried") - 144.0).abs() < 1e-12);
    let once = with(&[("micros", "16")]);
    assert!((number(&report, "found") - 2.0 * number(&once, "found")).abs() < 1e-12);
    assert_eq!(rows(&report).len(), 2 * rows(&once).len());
    assert!(!rows(&once).is_empty());
    assert!((number(&with(&[("drives", "belt")]), "tried") - 120.0).abs() < 1e-12);
}

#[test]
fn the_links_open_the_sheets_as_they_were_found() {
    let report = with(&[("from", "0.5"), ("margin", "0.5")]);
    assert!(
        rows(&report)
            .iter()
            .any(|row| text(row.first()).starts_with("screw"))
    );
    for row in rows(&report) {
        for (place, key, cell) in [
            (9, "turn_travel", 4),
            (9, "full_step", 5),
            (10, "in_hand", 6),
        ] {
            let text = text(row.get(place));
            let opened = link::read(&text);
            assert!(opened.faults.is_empty(), "{text}: {:?}", opened.faults);
            let sheet = opened.sheet.expect("it names a sheet");
            let report = sheet.run(&opened.entries);
            assert!(report.problems.is_empty(), "{text}: {:?}", report.problems);
            // Complete: written again it is the same.
            assert_eq!(link::write(&report), text);
            let expected = value(row.get(cell));
            assert!(
                (number(&report, key) / expected - 1.0).abs() < 1e-12,
                "{text}: {key}"
            );
        }
    }
}

#[test]
fn parts_and_prices_are_counted() {
    for row in rows(&with(&[("from", "1")])) {
        let stages = match value(row.get(1)) {
            ratio if ratio < 1.5 => 0.0,
            ratio if ratio < 4.0 => 1.0,
            _ => 2.0,
        };
        assert!((value(row.get(7)) - 2.0 - stages).abs() < 1e-12);
        let priced = text(row.get(3)) == "small";
        assert_eq!(matches!(row.get(8), Some(Cell::Number(_))), priced);
    }
}

#[test]
fn a_full_step_is_wanted_in_micrometres() {
    let report = with(&[("want", "full_step"), ("from", "90"), ("to", "100")]);
    assert!(!rows(&report).is_empty());
    assert!(
        rows(&report)
            .iter()
            .all(|row| (90.0..=100.0).contains(&value(row.get(5))))
    );
}

#[test]
fn lists_that_cannot_be_read_are_refused_at_their_field() {
    for (key, text) in [
        ("drives", "chain"),
        ("teeth", "20..16"),
        ("teeth", "0..16"),
        ("teeth", "16..1000000"),
        ("pitches", "2,0"),
        ("threads", "Tr8"),
        ("gears", "1,0"),
        ("gears", "60/"),
        ("micros", "16,12"),
        ("to", "19"),
        ("motors", "small,1.8,0"),
    ] {
        let report = with(&[(key, text)]);
        assert_eq!(faults(&report), [key], "{text}");
        assert_eq!(report.number("found"), None);
    }
}

/// The axis with other lists.
fn begin(lists: &[(&str, &str)]) -> Report {
    let mut entries = AXIS.to_vec();
    entries.retain(|(key, _)| lists.iter().all(|(other, _)| other != key));
    entries.extend_from_slice(lists);
    super::SHEET.begin(&entries.into_iter().collect(), &|_| None)
}

fn list(from: u32, to: u32) -> String {
    let all: Vec<String> = (from..=to).map(|n| n.to_string()).collect();
    all.join(",")
}

#[test]
fn too_many_combinations_are_said_and_not_begun() {
    let (pitches, gears) = (list(1, 9), list(1, 1000));
    let mut lists = [
        ("teeth", "1..10000"),
        ("pitches", pitches.as_str()),
        ("gears", gears.as_str()),
        ("micros", "16,32"),
    ];
    // Begun and left: 360 million are few enough, and take a while.
    let mut report = begin(&lists);
    assert!(report.problems.is_empty(), "{:?}", report.problems);
    let all = 2.0 * 2.0 * 1000.0 * (10_000.0 * 9.0 + 2.0);
    let progress = report.progress().expect("it is begun");
    assert!(progress.0.abs() < 1e-12 && (progress.1 - all).abs() < 1e-3);
    while report.progress().is_some_and(|(seen, _)| seen < all / 2.0) {
        assert!(report.advance(100_000));
    }
    assert!(report.number("tried").is_none() && report.number("found").is_none());
    if let Some((_, micros)) = lists.last_mut() {
        *micros = "1,2,4,8,16,32,64,128,256";
    }
    let report = begin(&lists);
    assert_eq!(faults(&report), ["teeth"]);
    assert_eq!(report.progress(), None);
}

fn said(report: &Report) -> String {
    let problem = report.problems.first();
    problem.map_or(String::new(), |problem| problem.message.clone())
}

#[test]
fn a_million_million_combinations_are_refused_in_words() {
    let thousand = list(1, 1000);
    let motors = std::vec!["m,1.8,0.26,1.2,2.1,2.8,38"; 100].join(";");
    let report = begin(&[
        ("teeth", "1..1000"),
        ("pitches", "1,2,3,4,5,6,7,8,9,10"),
        ("threads", ""),
        ("gears", &list(1, 10_000)),
        ("micros", "1,2,4,8,16,32,64,128,256,1"),
        ("motors", &[motors.as_str(), &motors, &motors].join(";")),
    ]);
    assert_eq!(faults(&report), ["gears"]);
    assert_eq!(
        said(&report),
        "Reductions: these lists make 3.00e11 combinations; enter fewer: up to 1000000000 are tried."
    );
    let report = begin(&[("teeth", "1..10000"), ("pitches", &thousand)]);
    assert_eq!(faults(&report), ["teeth"]);
}

#[test]
fn more_drives_than_a_phone_holds_are_refused_in_words() {
    let report = begin(&[
        ("teeth", "1..10000"),
        ("pitches", &list(1, 10)),
        ("threads", ""),
    ]);
    assert!(report.problems.is_empty(), "{:?}", report.problems);
    let report = begin(&[("teeth", "1..10000"), ("pitches", &list(1, 11))]);
    // 110,000 belts and 2 screws, at 1.8 and at 0.9 degrees.
    assert_eq!(faults(&report), ["teeth"]);
    assert_eq!(
        said(&report),
        "Pulley teeth: these lists make 220000 drives; enter fewer: up to 200000 are tried."
    );
}

#[test]
fn slices_end_where_one_go_does() {
    let mut sliced = super::SHEET.begin(&AXIS.iter().copied().collect(), &|_| None);
    let mut slices = 0;
    while sliced.advance(7) {
        slices += 1;
    }
    let whole = with(&[]);
    assert!(slices > 5);
    assert_eq!(rows(&sliced), rows(&whole));
    assert_eq!(sliced.number("found"), whole.number("found"));
}

#[test]
fn a_search_that_is_stopped_says_how_far_it_came_and_keeps_what_it_found() {
    let whole = with(&[]);
    let mut longest = 0;
    for steps in [0, 20, 26, 30, 35, 40] {
        let mut stopped = begin(&[]);
        for _ in 0..steps {
            stopped.advance(1);
        }
        stopped.stop();
        while stopped.advance(1) {}
        let (some, all) = (number(&stopped, "tried"), number(&whole, "tried"));
        assert!(some <= all, "{some} of {all}");
        assert!(number(&stopped, "found") <= number(&whole, "found"));
        let note = stopped.note().expect("it is not all");
        assert!(
            note.starts_with(&std::format!("Stopped after {some} of {all} combinations.")),
            "{note}"
        );
        // All that is listed is on the whole list.
        assert!(rows(&stopped).iter().all(|row| rows(&whole).contains(row)));
        longest = longest.max(rows(&stopped).len());
        assert!(stopped.progress().is_none() && !stopped.advance(9));
    }
    assert!(longest > 0 && whole.note().is_none());
    // What is stopped while it is listed is whole all the same.
    let mut late = begin(&[]);
    while late.progress().is_some_and(|(seen, all)| seen < all) {
        late.advance(1);
    }
    late.advance(1);
    late.stop();
    while late.advance(1) {}
    assert_eq!((late.note(), rows(&late)), (None, rows(&whole)));
}

#[test]
fn a_list_too_long_to_be_read_is_cut_and_says_so() {
    // One motor far from its fastest: every reduction gives a little more torque for a little less step.
    let gears: Vec<String> = (1000..14_000).map(|n| std::format!("{n}/1000")).collect();
    let gears = gears.join(",");
    let report = run(
        "find",
        &begin(&[
            ("from", "0"),
            ("margin", "0.01"),
            ("speed", "400"),
            ("drives", "belt"),
            ("teeth", "20"),
            ("pitches", "2"),
            ("gears", &gears),
            ("micros", "16"),
            ("motors", "small,1.8,0.26,1.2,2.1,2.8,38"),
        ])
        .entries
        .iter()
        .collect::<Vec<_>>(),
    );
    let unbeaten = number(&report, "unbeaten");
    assert!(unbeaten > 10_000.0, "{unbeaten}");
    assert_eq!(rows(&report).len(), 10_000);
    let note = report.note().expect("it is cut");
    assert!(
        note.starts_with(&std::format!("No other one beats {unbeaten} combinations")),
        "{note}"
    );
}

#[test]
fn what_is_missing_leaves_the_answers_blank() {
    assert_eq!(with(&[("gears", "")]).number("tried"), None);
    assert!(with(&[("speed", "")]).number("found").is_none());
    // Without belts the screws are searched alone.
    assert!((number(&with(&[("teeth", "")]), "tried") - 24.0).abs() < 1e-12);
    // Nothing to do: no torque in hand can be told.
    let idle = with(&[("accel", "0"), ("friction", "0")]);
    assert!(number(&idle, "found").abs() < 1e-12);
}
