//! The build record of the example machine, and of one whose names are meant to do harm.
#![allow(
    clippy::indexing_slicing,
    reason = "serde_json gives null for what is not there"
)]

use std::string::String;

use super::*;
use crate::machine::{example, trial::machine};

fn record(machine: &Machine) -> Record {
    machine.record(&machine.work())
}

fn heron() -> Record {
    record(&example::machine().expect("the record is whole"))
}

const SITE: &str = "https://example.org/layshaft/";

#[test]
fn every_answer_has_its_unit_precision_and_origin() {
    let record = heron();
    let axis = record.parts.first().expect("X axis");
    let travel = axis
        .sheets
        .iter()
        .find(|sheet| sheet.id == "travel")
        .expect("travel");
    let steps = travel
        .answers
        .iter()
        .find(|answer| answer.key == "steps_per_mm")
        .expect("steps per mm");
    assert_eq!((steps.value, steps.trust), (Some(80.0), Trust::Proven));
    assert_eq!(
        steps.obtained(),
        "Proven, 2026-02-11, dial gauge over 150 mm"
    );
    assert!(
        !steps.changed && steps.shown().starts_with("80.00"),
        "{}",
        steps.shown()
    );
    let microstep = axis
        .sheets
        .iter()
        .find(|sheet| sheet.id == "microstep")
        .expect("microstep");
    let carried = microstep
        .entries
        .iter()
        .find(|entry| entry.key == "turn_travel")
        .expect("carried");
    assert_eq!(
        (carried.text.as_str(), record.origin(carried).as_str()),
        ("40.0000", "from X axis, Travel")
    );
    assert!(
        microstep
            .entries
            .iter()
            .any(|entry| record.origin(entry) == "default")
    );
    assert!(
        record
            .title
            .contains(&("Identification number", "H160-01".into()))
    );
}

#[test]
fn a_tolerance_gives_the_answer_its_uncertainty() {
    let record = record(&machine("part=X\ntravel?pitch=2&teeth=20&step=1.8 ± 0.09"));
    let answers = record
        .parts
        .iter()
        .flat_map(|part| &part.sheets)
        .flat_map(|sheet| &sheet.answers);
    let full = answers
        .clone()
        .find(|answer| answer.key == "full_step")
        .expect("a full step");
    // 200 µm with u = 5 % / √3 of it: 5.77 µm, so the value has its last digit where the uncertainty has.
    assert!(
        full.uncertainty
            .is_some_and(|u| (u - 10.0 / 3.0_f64.sqrt()).abs() < 1e-6),
        "{full:?}"
    );
    assert!(
        full.shown().starts_with("200.0 (u 5.8)"),
        "{}",
        full.shown()
    );
}

#[test]
fn changed_since_proven_is_said() {
    let record = record(&machine(
        "part=X\ntravel?pitch=2&teeth=20\npart?marks=travel,turn_travel,proven,41.00 mm,2026-02-01",
    ));
    assert!(
        record
            .markdown(SITE)
            .contains("Proven, 2026-02-01, changed since")
    );
}

#[test]
fn the_first_power_on_order_has_the_machines_own_figures() {
    let record = heron();
    let texts: Vec<&str> = record
        .first_power
        .iter()
        .map(|step| step.text.as_str())
        .collect();
    for part in [
        "Hot end: heater 14.40\u{a0}Ω between its leads, cold.",
        "X axis: motor current 0.5000\u{a0}A RMS, half of what it is to get.",
        "Supply: 24.00\u{a0}V with nothing connected.",
        "Bed: sensor about 100000\u{a0}Ω at 25 °C between its leads.",
    ] {
        assert!(texts.contains(&part), "{part}\n{texts:#?}");
    }
    assert!(record.first_power.is_sorted_by_key(|step| step.stage));
    // A frame alone is not told about heaters.
    let frame = super::tests::record(&machine("part=Frame\nmass?items=a,1,1,x"));
    assert!(
        frame
            .first_power
            .iter()
            .all(|step| !step.text.to_lowercase().contains("heater")),
        "{:#?}",
        frame.first_power
    );
}

#[test]
fn the_json_is_json_with_every_part_sheet_and_answer() {
    let record = heron();
    let json: serde_json::Value = serde_json::from_str(&record.json(SITE)).expect("JSON");
    assert_eq!(
        json["parts"].as_array().map(Vec::len),
        Some(record.parts.len())
    );
    for (part, read) in record
        .parts
        .iter()
        .zip(json["parts"].as_array().into_iter().flatten())
    {
        for (sheet, read) in part
            .sheets
            .iter()
            .zip(read["sheets"].as_array().into_iter().flatten())
        {
            assert_eq!(read["sheet"], sheet.id);
            assert_eq!(read["link"], [SITE, "#", &sheet.link].concat());
            assert_eq!(
                read["answers"].as_array().map(Vec::len),
                Some(sheet.answers.len())
            );
            for (answer, read) in sheet
                .answers
                .iter()
                .zip(read["answers"].as_array().into_iter().flatten())
            {
                // serde_json reads numbers to within a unit of the last place.
                let close = |(a, b): (f64, f64)| (a - b).abs() <= 4e-16 * b.abs();
                assert!(
                    read["value"].as_f64().zip(answer.value).is_none_or(close),
                    "{}",
                    answer.key
                );
                assert_eq!(
                    read["value"].is_number(),
                    answer.value.is_some(),
                    "{}",
                    answer.key
                );
                assert_eq!(read["text"], answer.text.as_str());
            }
        }
    }
    assert!(
        json["first_power"]
            .as_array()
            .is_some_and(|steps| steps.len() > 20)
    );
    assert!(
        json["checks"]
            .as_array()
            .is_some_and(|checks| checks.iter().any(|check| check["id"] == "drop"))
    );
}

#[test]
fn every_link_opens_its_sheet_with_the_same_answers() {
    let record = heron();
    let machine = example::machine().expect("the record is whole");
    let worked = machine.work();
    for (at, part) in record.parts.iter().enumerate() {
        for sheet in &part.sheets {
            let opened = crate::link::read(&[SITE, "#", &sheet.link].concat());
            assert!(
                opened.faults.is_empty(),
                "{} {}: {:?}",
                part.name,
                sheet.id,
                opened.faults
            );
            let again = opened.sheet.expect("a sheet").run(&opened.entries);
            let before = worked.report(at, sheet.id).expect("it was worked out");
            assert!(
                again.problems.is_empty(),
                "{} {}: {:?}",
                part.name,
                sheet.id,
                again.problems
            );
            for (answer, _) in before.answers() {
                let (old, new) = (before.number(answer.key), again.number(answer.key));
                // Of two carried sides of an "or" a link takes the first: the other's own answer is left out.
                if sheet.id == "proof" && answer.key.starts_with("corrected_turn_travel") {
                    continue;
                }
                // Carried values travel with 12 digits.
                let same = match old.zip(new) {
                    Some((old, new)) => (old - new).abs() <= 1e-9 * old.abs().max(1e-9),
                    None => old == new,
                };
                assert!(
                    same,
                    "{} {} {}: {old:?} {new:?}",
                    part.name, sheet.id, answer.key
                );
            }
        }
    }
}

#[test]
fn choices_and_verdicts_are_in_words_in_what_is_posted() {
    let machine = crate::machine::example::machine().expect("the record is whole");
    let record = record(&machine);
    for text in [record.markdown(SITE), record.bbcode(SITE)] {
        assert!(text.contains("Toothed belt"));
        assert!(!text.contains("measure_more") && !text.contains("measure\\_more"));
        assert!(text.contains("measure more"));
    }
}

/// Names and notes that try to be markup, formulas or script.
fn hostile() -> Record {
    record(&machine(
        "part=%3Cscript%3Ealert(1)%3C%2Fscript%3E [url=http://x]*y*[/url]%0A%23 z|`&amp;\n\
         travel?pitch=2&teeth=20\n\
         part?items=%3DSUM(A1) \"q\",1,2,guessed&marks=travel,turn_travel,proven,,2026,%2B1 [b]_x_[/b]",
    ))
}

#[test]
fn names_stay_text_in_every_format() {
    let record = hostile();
    let markdown = record.markdown(SITE);
    let mut bare = String::new();
    let mut escaped = false;
    for c in markdown.chars() {
        if !escaped && c != '\\' {
            bare.push(c);
        }
        escaped = !escaped && c == '\\';
    }
    for mark in ["<", "[url", "[b]", "_x_", "*y*"] {
        assert!(!bare.contains(mark), "{mark} in {bare}");
    }
    let bbcode = record.bbcode(SITE);
    assert!(
        !bbcode.contains("[url=http://x]") && !bbcode.contains("[b]_x_"),
        "{bbcode}"
    );
    for (open, close) in [("[b]", "[/b]"), ("[list]", "[/list]"), ("[url=", "[/url]")] {
        assert_eq!(
            bbcode.matches(open).count(),
            bbcode.matches(close).count(),
            "{open}"
        );
    }
    let csv = record.csv(SITE);
    assert!(csv.contains("\"'=SUM(A1) \"\"q\"\"\""), "{csv}");
    assert!(serde_json::from_str::<serde_json::Value>(&record.json(SITE)).is_ok());
}

#[test]
fn no_format_shows_nan() {
    for record in [heron(), hostile(), record(&Machine::default())] {
        let all: String = [
            record.markdown(SITE),
            record.bbcode(SITE),
            record.csv(SITE),
            record.json(SITE),
        ]
        .concat();
        for bad in ["NaN", " inf", "Infinity", "{value}", "{limit}", "{part}"] {
            assert!(!all.contains(bad), "{bad}");
        }
    }
}
