//! Kinds, parts lists, marks and the title block.

use super::*;

fn part() -> Part {
    let entries = [
        (
            "items",
            "motor,2,11.50,data_sheet;belt%2C 6 mm,1,,guessed;pulley,2,3,guessed",
        ),
        (
            "marks",
            "travel,steps_per_mm,proven,80.00,2026-03-01,calliper%3B three times;odd row",
        ),
    ];
    Part {
        name: "X".into(),
        sheets: [("part".into(), entries.into_iter().collect())].into(),
    }
}

#[test]
fn items_are_counted_and_priced() {
    let part = part();
    let items = part.items();
    assert_eq!(items.len(), 3);
    assert!(items.iter().any(|item| item.name == "belt, 6 mm"
        && item.price.is_none()
        && item.from_label() == "Guessed"));
    let report = part.report(&PART);
    for (key, expected) in [
        ("pieces", 5.0),
        ("cost", 29.0),
        ("unpriced", 1.0),
        ("guessed", 600.0 / 29.0),
    ] {
        assert!(
            report
                .number(key)
                .is_some_and(|x| (x - expected).abs() < 1e-9),
            "{key} {:?}",
            report.number(key)
        );
    }
}

#[test]
fn marks_are_set_replaced_and_taken_off_and_odd_rows_stay() {
    let mut part = part();
    let Some(mut mark) = part.mark("travel", "steps_per_mm") else {
        panic!("it is marked")
    };
    assert_eq!(
        (mark.trust, mark.note.as_str()),
        (Trust::Proven, "calliper; three times")
    );
    mark.date = "2026-04-02".into();
    part.set_mark(&mark);
    assert_eq!(part.marks(), [mark]);
    part.unmark("travel", "steps_per_mm");
    assert!(part.marks().is_empty());
    assert_eq!(
        part.entries("part")
            .and_then(|entries| entries.get("marks")),
        Some("odd row")
    );
}

#[test]
fn the_kind_is_chosen_or_told_by_the_sheets() {
    let mut part = Part::default();
    assert_eq!(part.kind(), PartKind::Other);
    part.set("sensor", Entries::new());
    assert_eq!(part.kind(), PartKind::Heater);
    for (kind, _) in KINDS {
        part.set_kind(kind);
        assert_eq!(part.kind(), kind);
        assert!(!kind.label().is_empty());
    }
}

#[test]
fn the_title_block_stays_in_its_part() {
    let mut machine = Machine::default();
    assert_eq!(machine.title(), None);
    let entries = |number| [("number", number)].into_iter().collect::<Entries>();
    machine.set_title(entries("H-1"));
    machine.parts.insert(0, Part::default());
    machine.set_title(entries("H-2"));
    assert_eq!(machine.title(), Some(&entries("H-2")));
    assert_eq!(
        machine
            .parts
            .iter()
            .filter(|part| part.entries("title").is_some())
            .count(),
        1
    );
}
