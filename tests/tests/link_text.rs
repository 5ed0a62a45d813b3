//! Links of thousands of random calculations: what they are made of, and that they open the same calculation.

use layshaft_core::link::{self, Opened};
use layshaft_core::sheets::{Entries, Origin, Report, Sheet, all};
use layshaft_tests::entries::random_entries;
use layshaft_tests::random::Random;

/// Of each sheet, in each test.
const CASES: usize = 100;

/// Random calculations of every sheet.
fn each(seed: u64, mut test: impl FnMut(&'static Sheet, &Entries, &Report)) {
    let mut random = Random::new(seed);
    for _ in 0..CASES {
        for sheet in all() {
            let entries = random_entries(sheet, &mut random);
            test(sheet, &entries, &sheet.run(&entries));
        }
    }
}

fn opened(text: &str) -> Opened {
    let opened = link::read(text);
    assert!(opened.faults.is_empty(), "{text}: {:?}", opened.faults);
    opened
}

/// RFC 3986, 2.2 and 2.3: unreserved characters, the few reserved ones that linkers of forum software take along, and
/// whole percent-encodings; a letter or digit at the end.
fn survives(text: &str) -> bool {
    let mut bytes = text.bytes();
    while let Some(byte) = bytes.next() {
        let plain = byte.is_ascii_alphanumeric() || b"-_.~,;:/=&+?".contains(&byte);
        let encoded = byte == b'%'
            && bytes.next().is_some_and(|b| b.is_ascii_hexdigit())
            && bytes.next().is_some_and(|b| b.is_ascii_hexdigit());
        if !plain && !encoded {
            return false;
        }
    }
    text.ends_with(|c: char| c.is_ascii_hexdigit()) && text.matches('?').count() == 1
}

#[test]
fn links_are_made_of_what_survives_in_posts() {
    each(1, |sheet, _, report| {
        let text = link::write(report);
        assert!(survives(&text), "{text}");
        assert!(text.starts_with(&format!("{}?v=1", sheet.id)), "{text}");
        let (before, check) = text.rsplit_once("&k=").unwrap_or(("", ""));
        assert!(!before.is_empty() && check.len() == 4, "{text}");
    });
}

#[test]
fn what_was_typed_comes_back_as_typed_and_gives_the_same_answers() {
    each(2, |sheet, entries, report| {
        let opened = opened(&link::write(report));
        for (field, origin, _) in report.inputs.fields() {
            if matches!(origin, Origin::Typed | Origin::Bad) {
                assert_eq!(opened.entries.get(field.key), entries.get(field.key));
            }
        }
        // A default beside a bad entry is written out although the sheet did not use it: then its words may differ.
        if !report.problems.is_empty() {
            return;
        }
        let again = sheet.run(&opened.entries);
        assert!(
            again.problems.is_empty(),
            "{entries:?}: {:?}",
            again.problems
        );
        for ((answer, before), (_, after)) in report.answers().zip(again.answers()) {
            assert_eq!(before, after, "{}.{}: {entries:?}", sheet.id, answer.key);
        }
        assert_eq!(report.checks.len(), again.checks.len(), "{entries:?}");
    });
}

#[test]
fn a_link_is_canonical() {
    each(3, |sheet, _, report| {
        let text = link::write(report);
        assert_eq!(link::write(&sheet.run(&opened(&text).entries)), text);
    });
}

#[test]
fn defaults_are_written_out() {
    each(4, |_, _, report| {
        let opened = opened(&link::write(report));
        for (field, origin, _) in report.inputs.fields() {
            if origin == Origin::Default && report.stand_in(field.key).is_none() {
                assert_eq!(
                    opened.entries.get(field.key),
                    Some(field.default),
                    "{}",
                    field.key
                );
            }
        }
    });
}

#[test]
fn a_link_survives_what_posts_and_mail_do_to_it() {
    each(5, |_, _, report| {
        let text = link::write(report);
        let address = format!("https://example.org/some/path/#{text}");
        for mangled in [
            address.clone(),
            address.replace('&', "&amp;"),
            format!("  {address}\n"),
            format!("{address})."),
            format!("{address}**"),
            address.to_lowercase(),
        ] {
            // The last one stands for software that writes addresses small: noticed unless nothing was large.
            let faults = link::read(&mangled).faults;
            let small = mangled == mangled.to_lowercase() && text != text.to_lowercase();
            assert_eq!(faults.is_empty(), !small, "{mangled}: {faults:?}");
        }
    });
}
