//! Links and saved machines that were cut, changed, or written by another version: opened as far as can be, or set aside.

use layshaft_core::link::{self, Fault};
use layshaft_core::machine::{Machine, Part, RecordFault};
use layshaft_core::sheets::Entries;
use layshaft_tests::random::Random;
use layshaft_tests::report;

const LINKS: &[&str] = &[
    "travel?drive=belt&pitch=2&teeth=20",
    "microstep?turn_travel=40&hold_torque=0.4&load_torque=0.1 N.m",
    "current?rated=1.5 A&set=80 %&resistance=2R4",
    "sensor?kind=points&points=25,100k;50,36k;100,6.8k",
];

/// The link of some entries of each sheet.
fn links() -> impl Iterator<Item = String> {
    LINKS.iter().map(|query| {
        let whole = link::write(&report(query));
        assert!(link::read(&whole).faults.is_empty(), "{whole}");
        whole
    })
}

#[test]
fn a_link_cut_anywhere_opens_and_says_so() {
    for whole in links() {
        let query = whole.find('?').unwrap_or(0);
        for end in (query + 5..whole.len()).filter(|&end| whole.is_char_boundary(end)) {
            let cut = &whole[..end];
            let opened = link::read(cut);
            assert!(opened.sheet.is_some(), "{cut}");
            let entries = !opened.entries.is_empty();
            let said = opened.faults.iter().any(|fault| {
                matches!(
                    fault,
                    Fault::Damaged | Fault::Unchecked | Fault::OtherVersion(_)
                )
            });
            assert!(said || !entries, "{cut}: {:?}", opened.faults);
            // What stands whole before the cut is there.
            let before = link::read(&whole);
            for (key, text) in opened.entries.iter() {
                assert!(
                    before
                        .entries
                        .get(key)
                        .is_some_and(|whole| whole.starts_with(text) || text.contains('%')),
                    "{cut}: {key} = {text}"
                );
            }
        }
    }
}

#[test]
fn one_changed_letter_in_a_link_is_noticed() {
    let mut random = Random::new(7);
    for whole in links() {
        for at in 0..whole.len() - 4 {
            let mut bytes = whole.clone().into_bytes();
            let Some(byte) = bytes.get_mut(at) else {
                continue;
            };
            let other = random.pick(b"0123456789abcxyz");
            if *byte == other || b"?&=#%".contains(byte) {
                continue;
            }
            *byte = other;
            let changed = String::from_utf8_lossy(&bytes).into_owned();
            assert!(!link::read(&changed).faults.is_empty(), "{changed}");
        }
    }
}

#[test]
fn unknown_keys_and_other_versions_are_said_and_kept() {
    let opened = link::read("travel?v=1&pitch=2&teeth=20&colour=red&spoons=🙂");
    let unknown: Vec<_> = opened
        .faults
        .iter()
        .filter(|fault| matches!(fault, Fault::UnknownKey(_)))
        .collect();
    assert_eq!(unknown.len(), 2);
    assert!(
        unknown
            .iter()
            .all(|fault| !fault.is_error() && fault.message().contains("It is kept"))
    );
    assert_eq!(
        (opened.entries.get("colour"), opened.entries.get("spoons")),
        (Some("red"), Some("🙂"))
    );
    // They go out again with the next link.
    let again = link::write(&report("travel?pitch=2&teeth=20&colour=red&spoons=🙂"));
    assert_eq!(link::read(&again).entries.get("spoons"), Some("🙂"));

    for (version, kept) in [
        ("2", true),
        ("0", true),
        ("", true),
        ("🙂", true),
        ("1", false),
    ] {
        let opened = link::read(&format!("travel?v={version}&pitch=2"));
        let said = opened
            .faults
            .iter()
            .find(|fault| matches!(fault, Fault::OtherVersion(_)));
        assert_eq!(said.is_some(), kept, "{version}");
        assert!(said.is_none_or(
            |fault| fault.is_error() && fault.message().contains("this page reads version 1")
        ));
        assert_eq!(opened.entries.get("pitch"), Some("2"), "{version}");
    }

    for query in [
        "",
        "?",
        "#",
        "nosuch?a=1",
        "Travel?pitch=2",
        "🙂",
        "%",
        "travel%",
        "?pitch=2",
    ] {
        let opened = link::read(query);
        assert!(opened.sheet.is_none(), "{query}");
        let fault = opened
            .faults
            .first()
            .map(Fault::message)
            .unwrap_or_default();
        assert!(
            fault.starts_with("The link names no sheet") || fault.starts_with("There is no sheet"),
            "{query}: {fault}"
        );
    }
}

#[test]
fn entries_of_another_sheet_are_kept_too() {
    let opened = link::read("microstep?pitch=2&turn_travel=40");
    assert_eq!(opened.entries.get("pitch"), Some("2"));
    assert_eq!(opened.faults, [Fault::UnknownKey("pitch".into())]);
}

/// A machine whose texts have everything that could be in the way of a record.
fn machine() -> Machine {
    let texts = [
        "k=0000",
        "line\nbreak",
        "part=X",
        "ü🙂\u{202e}",
        "a&b=c?d%20#e",
        "layshaft machine 9",
    ];
    Machine {
        name: texts.concat(),
        parts: texts
            .iter()
            .map(|name| Part {
                name: (*name).to_string(),
                sheets: vec![
                    (
                        "travel".into(),
                        texts.iter().map(|text| ("pitch", *text)).collect(),
                    ),
                    (
                        "from_a_newer_version".into(),
                        Entries::from_iter([("key & value", *name), ("k", "1")]),
                    ),
                ],
            })
            .collect(),
    }
}

#[test]
fn a_saved_machine_comes_back_whole() {
    let machine = machine();
    assert_eq!(Machine::read(&machine.write()), Ok(machine.clone()));
    assert_eq!(
        Machine::read(&machine.write().replace('\n', "\r\n")),
        Ok(machine.clone())
    );
    assert_eq!(
        Machine::read(&format!("\u{feff}{}", machine.write())),
        Ok(machine)
    );
}

#[test]
fn a_damaged_machine_is_set_aside_with_a_reason() {
    let text = machine().write();
    // Cut anywhere: never read as something else, never a panic.
    for end in (0..text.len() - 1).filter(|&end| text.is_char_boundary(end)) {
        let fault = Machine::read(&text[..end]).expect_err(&text[..end]);
        assert!(
            matches!(fault, RecordFault::Damaged | RecordFault::NotARecord),
            "{end}"
        );
    }
    // One letter changed anywhere behind the head.
    let mut random = Random::new(11);
    for at in "layshaft machine 1".len()..text.len() - 1 {
        let mut bytes = text.clone().into_bytes();
        let Some(byte) = bytes.get_mut(at) else {
            continue;
        };
        let other = random.pick(b"qwerty0123456789");
        if *byte == other || *byte == b'\n' {
            continue;
        }
        *byte = other;
        let changed = String::from_utf8_lossy(&bytes).into_owned();
        assert_ne!(Machine::read(&changed), Ok(machine()), "{at}");
        assert!(Machine::read(&changed).is_err(), "{at}: {changed}");
    }
    let message = RecordFault::Damaged.message();
    assert!(
        message.contains("left as it is") && message.contains("saved as a file"),
        "{message}"
    );
}

#[test]
fn a_machine_from_a_newer_version_is_left_alone() {
    let newer = machine()
        .write()
        .replacen("layshaft machine 1", "layshaft machine 2", 1);
    assert_eq!(Machine::read(&newer), Err(RecordFault::Newer(2)));
    // Whatever a newer version writes behind its head.
    assert_eq!(
        Machine::read("layshaft machine 4000000000\n{\"anything\": 1}"),
        Err(RecordFault::Newer(4_000_000_000))
    );
    let message = RecordFault::Newer(2).message();
    assert!(
        message.contains("newer version")
            && message.contains("left as it is")
            && message.contains("reload"),
        "{message}"
    );
}

#[test]
fn what_is_no_machine_is_said_to_be_none() {
    for text in [
        "",
        "🙂",
        "{}",
        "hello",
        "layshaft",
        "travel?pitch=2",
        "\0\0\0",
    ] {
        assert_eq!(Machine::read(text), Err(RecordFault::NotARecord), "{text}");
    }
    for text in [
        "layshaft machine ",
        "layshaft machine 1",
        "layshaft machine x\n",
        "layshaft machine 1\nname=A\n",
        "layshaft machine -1\n",
        "layshaft machine 1e9\n",
    ] {
        assert_eq!(Machine::read(text), Err(RecordFault::Damaged), "{text}");
    }
}
