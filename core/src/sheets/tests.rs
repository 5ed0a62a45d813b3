//! What must hold for every sheet: tests that walk the tables and throw texts at them.
#![allow(
    clippy::indexing_slicing,
    reason = "the index is drawn from the list itself"
)]

use alloc::collections::BTreeSet;
use alloc::string::{String, ToString};
use alloc::vec::Vec;
use proptest::prelude::*;

use super::declare::{Kind, Show, When};
use super::{Cell, Entries, Found, Origin, Report, all, fill, find};
use crate::link;

/// Whether two rows of a table can never apply at once: some choice of one excludes the other's.
fn exclude_each_other(a: When, b: When) -> bool {
    a.iter().any(|(key, accepted)| {
        b.iter().any(|(other, theirs)| {
            key == other && !accepted.iter().any(|choice| theirs.contains(choice))
        })
    })
}

#[test]
fn a_power_belongs_to_the_whole_quantity_and_no_sign_stands_behind_an_operator() {
    let word = |key: &str| {
        Some(String::from(match key {
            "length" => "118\u{a0}mm",
            "label" => "free length",
            "count" => "3",
            _ => "-2.5\u{a0}mm",
        }))
    };
    for (template, text) in [
        ("{length}² ÷ {label}³", "(118\u{a0}mm)² ÷ (free length)³"),
        ("{count}² × {length}", "3² × 118\u{a0}mm"),
        ("{length} − {below}", "118\u{a0}mm − (-2.5\u{a0}mm)"),
        ("{below} + {count}", "-2.5\u{a0}mm + 3"),
        ("{below}²", "(-2.5\u{a0}mm)²"),
    ] {
        assert_eq!(fill(template, word).as_deref(), Some(text));
    }
}

fn keys_of(template: &str) -> Vec<String> {
    template
        .split('{')
        .skip(1)
        .filter_map(|rest| rest.split_once('}').map(|(key, _)| key.to_string()))
        .collect()
}

#[test]
fn ids_and_keys_are_unique_and_plain() {
    let mut ids = BTreeSet::new();
    for sheet in all() {
        assert!(ids.insert(sheet.id), "{}: twice", sheet.id);
        assert!(
            !sheet.title.is_empty() && !sheet.about.is_empty(),
            "{}",
            sheet.id
        );
        for (i, field) in sheet.fields.iter().enumerate() {
            let plain = field
                .key
                .bytes()
                .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_');
            assert!(plain, "{}: {}", sheet.id, field.key);
            assert!(
                !link::RESERVED.contains(&field.key),
                "{}: {}",
                sheet.id,
                field.key
            );
            for other in sheet
                .fields
                .iter()
                .skip(i + 1)
                .filter(|other| other.key == field.key)
            {
                assert!(
                    exclude_each_other(field.when, other.when),
                    "{}: {} twice",
                    sheet.id,
                    field.key
                );
            }
        }
        for (i, answer) in sheet.answers.iter().enumerate() {
            for other in sheet
                .answers
                .iter()
                .skip(i + 1)
                .filter(|other| other.key == answer.key)
            {
                assert!(
                    exclude_each_other(answer.when, other.when),
                    "{}: {} twice",
                    sheet.id,
                    answer.key
                );
            }
        }
    }
}

#[test]
fn every_field_has_words_and_reasons() {
    for sheet in all() {
        for field in sheet.fields {
            assert!(!field.label.is_empty(), "{}: {}", sheet.id, field.key);
            let limits = [field.limits.least, field.limits.most];
            for limit in limits.into_iter().flatten() {
                assert!(!limit.why.is_empty(), "{}: {}", sheet.id, field.key);
            }
            for (key, choices) in field.when {
                let known = sheet
                    .fields
                    .iter()
                    .filter(|other| other.key == *key)
                    .any(|other| match other.kind {
                        Kind::Choice(options) => {
                            choices.iter().all(|c| options.iter().any(|o| o.key == *c))
                        }
                        _ => false,
                    });
                assert!(
                    known,
                    "{}: {} depends on {key} {choices:?}",
                    sheet.id, field.key
                );
            }
        }
    }
}

#[test]
fn defaults_are_read_and_within_their_limits() {
    for sheet in all() {
        let report = sheet.run(&Entries::new());
        assert!(
            report.problems.is_empty(),
            "{}: {:?}",
            sheet.id,
            report.problems
        );
        assert!(
            report.warnings.is_empty(),
            "{}: {:?}",
            sheet.id,
            report.warnings
        );
        // Fields behind a choice have defaults too.
        for field in sheet
            .fields
            .iter()
            .filter(|field| !field.default.is_empty())
        {
            let read = super::inputs::read_value(field, field.default);
            assert!(read.is_ok(), "{}: {}: {read:?}", sheet.id, field.key);
        }
    }
}

#[test]
fn no_number_is_without_its_working() {
    let mut bare = Vec::new();
    for sheet in all() {
        for answer in sheet.answers.iter().filter(|answer| !answer.aside) {
            let number = matches!(
                answer.show,
                Show::Significant(_) | Show::Fixed(_) | Show::List(_)
            );
            if number && answer.formula.is_empty() {
                bare.push((sheet.id, answer.key, answer.when));
            }
        }
    }
    assert_eq!(bare, []);
}

#[test]
fn formulas_and_sentences_name_known_keys_and_have_a_source() {
    for sheet in all() {
        let known = |key: &str| {
            sheet.fields.iter().any(|field| field.key == key)
                || sheet.answers.iter().any(|answer| answer.key == key)
        };
        for answer in sheet.answers {
            for key in keys_of(answer.formula) {
                assert!(known(&key), "{}: {} names {key}", sheet.id, answer.key);
            }
            assert_eq!(
                answer.formula.is_empty(),
                answer.source.is_empty(),
                "{}: {}",
                sheet.id,
                answer.key
            );
        }
        for check in sheet.checks {
            for key in [check.within, check.near, check.over]
                .iter()
                .flat_map(|text| keys_of(text))
            {
                assert!(
                    known(&key) || key == "value" || key == "limit",
                    "{}: {} names {key}",
                    sheet.id,
                    check.id
                );
            }
        }
    }
}

#[test]
fn ties_lead_to_an_answer_of_the_same_unit() {
    for sheet in all() {
        for field in sheet.fields {
            // A tie may lead to a sheet that is not built yet; then the entry is simply typed.
            if let Some((tie, other)) = field
                .carried
                .and_then(|tie| find(tie.sheet).map(|other| (tie, other)))
            {
                let unit = field.measure().map(|measure| measure.unit.symbol);
                let fits = other
                    .answers
                    .iter()
                    .any(|a| a.key == tie.answer && Some(a.measure.unit.symbol) == unit);
                assert!(
                    fits,
                    "{}: {} from {}.{}",
                    sheet.id, field.key, tie.sheet, tie.answer
                );
            }
        }
    }
}

#[test]
fn headlines_are_few() {
    for sheet in all() {
        let headlines: BTreeSet<&str> = sheet
            .answers
            .iter()
            .filter(|a| a.headline)
            .map(|a| a.key)
            .collect();
        assert!(
            (1..=5).contains(&headlines.len()),
            "{}: {headlines:?}",
            sheet.id
        );
    }
}

/// Texts that people or accidents put into a field.
fn any_text() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => prop::sample::select(alloc::vec![
            "", " ", "0", "-0", "1", "2", "20", "1e999", "NaN", "inf", "1/0", "-5", "1.8", "0,9", "60/20", "100k", "4k7",
            "Tr8x8(P2)", "Tr8x3", "M8", "80 %", "1 234", "1,234.5", "25 °C", "77 °F", "🙂", "\u{202e}12", "1e-300", "1e300",
            "25,100k;50,36k;100,6.8k", "25,100k", ";;,,", "1,2,3,4,5", "100k ± 1 %", "belt", "screw", "rotary", "beta",
            "points", "thermocouple_k", "parallel", "scale", "count", "voltage", "256", "3", "null",
        ]).prop_map(String::from),
        2 => "[0-9]{1,4}([.,][0-9]{1,3})?",
        1 => any::<String>(),
    ]
}

fn any_entries() -> impl Strategy<Value = (usize, Entries)> {
    (0..all().len()).prop_flat_map(|index| {
        let keys: BTreeSet<&'static str> =
            all()[index].fields.iter().map(|field| field.key).collect();
        let texts = keys.into_iter().map(|key| {
            let choices: Vec<String> = all()[index]
                .fields
                .iter()
                .filter(|field| field.key == key)
                .flat_map(|field| match field.kind {
                    Kind::Choice(options) => options.iter().map(|o| o.key.to_string()).collect(),
                    _ => Vec::new(),
                })
                .collect();
            let text = if choices.is_empty() {
                any_text().boxed()
            } else {
                prop_oneof![3 => prop::sample::select(choices), 1 => any_text()].boxed()
            };
            text.prop_map(move |text| (key, text))
        });
        let texts: Vec<_> = texts.collect();
        texts.prop_map(move |pairs| (index, pairs.iter().map(|(k, t)| (*k, t.as_str())).collect()))
    })
}

/// No NaN or infinity anywhere in a report.
fn finite(report: &Report) -> bool {
    let cell = |cell: &Cell| !matches!(cell, Cell::Number(x) if !x.is_finite());
    report.answers().all(|(_, found)| match found {
        Some(Found::Number(x)) => x.is_finite(),
        Some(Found::List(values)) => values.iter().all(|x| x.is_finite()),
        Some(Found::Rows(rows)) => rows.iter().flatten().all(cell),
        _ => true,
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 800, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_text_panics_or_yields_nan((index, entries) in any_entries()) {
        let report = all()[index].run(&entries);
        prop_assert!(finite(&report));
        for (answer, _) in report.answers() {
            if let Some(text) = report.shown(answer) {
                prop_assert!(!text.contains("NaN") && !text.contains("inf"), "{}: {text}", answer.key);
            }
        }
        for step in report.working() {
            let open = step.formula.contains('{') || step.numbers.contains('{');
            prop_assert!(!open);
        }
        for checked in &report.checks {
            prop_assert!(!checked.text.is_empty(), "{}", checked.check.id);
        }
    }

    #[test]
    fn a_link_opens_the_same_calculation((index, entries) in any_entries()) {
        let report = all()[index].run(&entries);
        let text = link::write(&report);
        prop_assert!(text.bytes().all(|b| b.is_ascii_graphic() && !b"()|'\"<>*`\\^{}[]!$@".contains(&b)), "{text}");
        prop_assert!(text.ends_with(|c: char| c.is_ascii_alphanumeric()));
        let opened = link::read(&text);
        prop_assert!(opened.faults.is_empty(), "{:?}", opened.faults);
        let again = all()[index].run(&opened.entries);
        for (field, origin, value) in report.inputs.fields() {
            if origin == Origin::Typed || origin == Origin::Bad {
                prop_assert_eq!(opened.entries.get(field.key), entries.get(field.key));
            }
            let other = again.inputs.fields().find(|(f, ..)| f.key == field.key).and_then(|(_, _, v)| v);
            prop_assert_eq!(value, other);
        }
        // A default written out is a typed value: sheets that solve for a blank default would solve no more.
        let untouched = report.problems.is_empty() && again.problems.is_empty();
        if untouched {
            for ((answer, before), (_, after)) in report.answers().zip(again.answers()) {
                prop_assert_eq!(before, after, "{}", answer.key);
            }
        }
    }
}
