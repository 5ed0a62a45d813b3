//! What is carried, and what is not.

use super::*;
use crate::entry::unit::MM;
use crate::sheets::{Answer, Inputs, Outcome, Subject, find};

fn part(name: &str, sheets: &[(&str, &[(&str, &str)])]) -> Part {
    Part {
        name: name.into(),
        sheets: sheets
            .iter()
            .map(|(id, pairs)| ((*id).into(), pairs.iter().copied().collect()))
            .collect(),
    }
}

fn machine(parts: Vec<Part>) -> Machine {
    Machine {
        name: "Heron 160".into(),
        parts,
    }
}

const BELT: (&str, &[(&str, &str)]) = ("travel", &[("pitch", "2"), ("teeth", "20")]);
const SCREW: (&str, &[(&str, &str)]) = (
    "travel",
    &[("drive", "screw"), ("pitch", "2"), ("starts", "4")],
);
const MOTOR: (&str, &[(&str, &str)]) = ("microstep", &[("hold_torque", "40 N.cm")]);

/// 5 % of a full step of 1.8 degrees, so the travel per turn.
fn turn_travel(worked: &Worked, part: usize) -> Option<f64> {
    worked
        .number(part, "microstep", "error_band")
        .map(|um| um * 4.0)
}

#[test]
fn the_parts_own_sheet_is_followed_first() {
    let worked = machine([part("X", &[BELT, MOTOR]), part("Z", &[MOTOR, SCREW])].into()).work();
    assert!(turn_travel(&worked, 0).is_some_and(|mm| (mm - 40.0).abs() < 1e-9));
    assert!(turn_travel(&worked, 1).is_some_and(|mm| (mm - 8.0).abs() < 1e-9));
    let from = Place {
        part: 1,
        sheet: "travel",
        key: "turn_travel",
    };
    assert_eq!(worked.tie(1, "microstep", "turn_travel"), Some(from));
    assert_eq!(worked.ties.len(), 2);
    assert!(worked.untied.is_empty());
    assert_eq!(worked.reports().count(), 4);
}

#[test]
fn the_one_other_part_that_has_the_answer_is_followed() {
    let parts = [
        part("Drive", &[BELT]),
        part("Motor", &[MOTOR]),
        part("Later", &[("travel", &[])]),
    ];
    let machine = machine(parts.into());
    let worked = machine.work();
    assert!(turn_travel(&worked, 1).is_some_and(|mm| (mm - 40.0).abs() < 1e-9));
    assert_eq!(
        worked
            .tie(1, "microstep", "turn_travel")
            .map(|from| from.part),
        Some(0)
    );
    // A sheet that a part does not have is worked out with blanks, as before it is added.
    let travel = find("microstep").map(|sheet| machine.work_sheet(0, sheet));
    assert_eq!(
        travel
            .and_then(|worked| worked.tie(0, "microstep", "turn_travel"))
            .map(|from| from.part),
        Some(0)
    );
}

#[test]
fn several_sources_are_named_and_none_is_taken() {
    let machine = machine(
        [
            part("X", &[BELT]),
            part("Z", &[SCREW]),
            part("Motor", &[MOTOR]),
        ]
        .into(),
    );
    let worked = machine.work();
    assert_eq!(turn_travel(&worked, 2), None);
    assert_eq!(worked.tie(2, "microstep", "turn_travel"), None);
    let [untied] = worked.untied.as_slice() else {
        panic!("{:?}", worked.untied)
    };
    assert_eq!(untied.why, Why::Several([0, 1].into()));
    assert_eq!(
        untied.message(&machine),
        "Travel per motor turn: X and Z have a value for it, so it is carried from none. Enter it here."
    );
}

#[test]
fn a_part_waits_for_its_own_unfinished_sheet() {
    let unfinished = ("travel", [].as_slice());
    let worked = machine([part("X", &[BELT]), part("Y", &[unfinished, MOTOR])].into()).work();
    assert_eq!(turn_travel(&worked, 1), None);
    assert!(worked.untied.is_empty());
}

#[test]
fn an_answer_of_another_unit_is_not_carried() {
    let rotary = ("travel", [("drive", "rotary")].as_slice());
    let machine = machine([part("Table", &[rotary, MOTOR])].into());
    let worked = machine.work();
    assert_eq!(turn_travel(&worked, 0), None);
    assert!(matches!(
        worked.untied.as_slice(),
        [Untied {
            why: Why::OtherUnit(0),
            ..
        }]
    ));
    assert!(
        worked
            .untied
            .iter()
            .all(|untied| untied.message(&machine).contains("another unit"))
    );
}

#[test]
fn an_axis_or_heater_zone_follows_no_other_one() {
    const SCREWED: (&str, &[(&str, &str)]) = (
        "screw",
        &[
            ("thread", "Tr8x8(P2)"),
            ("load", "16 N"),
            ("friction", "0.1"),
        ],
    );
    let parts = [
        part("Z axis", &[SCREW, SCREWED]),
        part("X axis", &[("headroom", &[])]),
        part("Hot end", &[("heater", &[]), ("flow", &[])]),
        part("Frame", &[("beam", &[]), ("microstep", &[])]),
    ];
    let worked = machine(parts.into()).work();
    assert_eq!(worked.tie(1, "headroom", "efficiency"), None);
    assert_eq!(worked.tie(1, "headroom", "turn_travel"), None);
    assert_eq!(worked.tie(2, "flow", "steps_per_mm"), None);
    // The frame has no drive of its own.
    let from = worked.tie(3, "microstep", "turn_travel");
    assert_eq!(from.map(|from| from.part), Some(0));
}

#[test]
fn an_axis_takes_its_own_share_of_the_machines_masses() {
    const MASSES: (&str, &[(&str, &str)]) = (
        "mass",
        &[(
            "items",
            "hot end,140,1,x;beam,260,1,y;bed,780,1,z;frame,3900,1,fixed",
        )],
    );
    let axis = |name| part(name, &[("headroom", &[])]);
    let machine = machine(
        [
            part("Frame", &[("beam", &[]), MASSES]),
            axis("X axis"),
            axis("y-Axis 2"),
            axis("Lift Z1"),
            axis("Carriage"),
            part("Own", &[MASSES, ("headroom", &[])]),
        ]
        .into(),
    );
    let mass = |name: &str| {
        let mut only = machine.clone();
        only.parts
            .retain(|part| part.name == "Frame" || part.name == name);
        let worked = only.work();
        let report = worked.report(1, "headroom");
        (
            report.and_then(|report| report.inputs.num("mass")),
            worked.untied.first().map(|untied| untied.message(&only)),
        )
    };
    // Y carries X; each item counts once.
    assert_eq!(mass("X axis"), (Some(0.14), None));
    assert_eq!(mass("y-Axis 2"), (Some(0.4), None));
    assert_eq!(mass("Lift Z1"), (Some(0.78), None));
    assert_eq!(mass("Own"), (Some(5.08), None));
    let (found, why) = mass("Carriage");
    assert_eq!(found, None);
    assert_eq!(
        why.as_deref(),
        Some(
            "Moving mass: Frame tells apart what X, Y and Z move. Name this part after its axis, or enter it here."
        )
    );
}

/// A sheet whose answer is one more than its entry, which follows another sheet.
const fn ring(id: &'static str, fields: &'static [Field]) -> Sheet {
    const OUT: &[Answer] = &[Answer::number("out", "Out", MM)];
    fn work(inputs: &Inputs, out: &mut Outcome) {
        out.put("out", inputs.num("in").map(|x| x + 1.0));
    }
    Sheet {
        id,
        title: id,
        about: "",
        search: "",
        subject: Subject::Motion,
        fields,
        answers: OUT,
        checks: &[],
        cautions: &[],
        work,
    }
}

static A: Sheet = ring(
    "a",
    &[Field::number("in", "In", MM)
        .default("1")
        .carried("c", "out")],
);
static B: Sheet = ring(
    "b",
    &[Field::number("in", "In", MM)
        .default("10")
        .carried("a", "out")],
);
static C: Sheet = ring(
    "c",
    &[Field::number("in", "In", MM)
        .default("100")
        .carried("b", "out")],
);
static D: Sheet = ring("d", &[Field::number("in", "In", MM).carried("c", "out")]);

fn rings(id: &str) -> Option<&'static Sheet> {
    [&A, &B, &C, &D].into_iter().find(|sheet| sheet.id == id)
}

#[test]
fn a_circle_is_named_and_the_same_wherever_the_work_begins() {
    for order in [
        ["a", "b", "c", "d"],
        ["d", "c", "b", "a"],
        ["b", "d", "a", "c"],
    ] {
        let sheets: Vec<(&str, &[(&str, &str)])> =
            order.iter().map(|id| (*id, [].as_slice())).collect();
        let parts = [part("Ring", &sheets)];
        let run = Run::new(&parts, rings);
        run.all();
        let worked = run.into_worked();
        for (sheet, expected) in [("a", 2.0), ("b", 11.0), ("c", 101.0), ("d", 102.0)] {
            let found = worked.number(0, sheet, "out");
            assert!(
                found.is_some_and(|x| (x - expected).abs() < 1e-12),
                "{sheet} {found:?} {order:?}"
            );
        }
        assert_eq!(worked.untied.len(), 3, "{:?}", worked.untied);
        for untied in &worked.untied {
            assert!(
                matches!(&untied.why, Why::Circle(round) if round.len() == 3),
                "{untied:?}"
            );
        }
        assert_eq!(worked.ties.len(), 1);
    }
}

#[test]
fn a_typed_entry_opens_the_circle() {
    let parts = [part(
        "Ring",
        &[("a", &[]), ("b", &[("in", "5")]), ("c", &[])],
    )];
    let run = Run::new(&parts, rings);
    run.all();
    let worked = run.into_worked();
    assert!(worked.untied.is_empty());
    assert!(
        worked
            .number(0, "a", "out")
            .is_some_and(|x| (x - 8.0).abs() < 1e-12)
    );
}
