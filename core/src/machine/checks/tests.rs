//! Each check of the whole machine from both sides, and the mistakes of the example machine.

use std::string::String;
use std::vec::Vec;

use super::*;
use crate::machine::example;
use crate::machine::trial::machine;

fn made(lines: &str) -> Vec<MachineCheck> {
    let machine = machine(lines);
    machine.work().checks(&machine)
}

fn one(lines: &str, id: &str) -> Option<MachineCheck> {
    let mut found = made(lines).into_iter().filter(|made| made.check.id == id);
    let first = found.next();
    assert!(found.next().is_none(), "{id} stands twice");
    first
}

/// The state, value and limit of the one check of this id.
fn state(lines: &str, id: &str) -> Option<(State, Option<f64>, Option<f64>)> {
    one(lines, id).map(|made| (made.state, made.value, made.limit))
}

fn close(found: Option<f64>, expected: f64) -> bool {
    found.is_some_and(|x| (x - expected).abs() < 1e-9 * expected.abs().max(1.0))
}

#[test]
fn every_check_has_words_that_can_be_filled() {
    for check in CHECKS {
        for text in [check.within, check.near, check.over] {
            let filled = fill(text, |key| {
                ["value", "limit", "part", "names"]
                    .contains(&key)
                    .then(String::new)
            });
            assert!(filled.is_some(), "{}", check.id);
        }
        assert!(CHECKS.iter().filter(|other| other.id == check.id).count() == 1);
    }
}

const SUPPLY: &str = "part=Supply\nsupply?loads=bed,160 W,40;fans,10 W,100&volts=24&rated=12.5";
const HOT_END: &str = "part=Hot end\nheater?volts=24&watts=40";
const BED: &str = "part=Bed\nheater?volts=24&watts=160";
const MOTOR: &str = "part=X axis\ncurrent?rated=1.5&resistance=2&set=1&supply=24&rds_on=0.25";

#[test]
fn loads_that_the_supplys_list_leaves_out_are_counted() {
    // 24 V x 12.5 A x 80 % = 240 W; the list takes 170 W, the bed is on it, the hot end adds 40 W.
    let lines = [SUPPLY, BED, HOT_END].join("\n");
    let found = one(&lines, "loads");
    let found = found.as_ref().expect("there is a supply");
    assert!(
        close(found.value, 210.0) && close(found.limit, 240.0),
        "{found:?}"
    );
    assert_eq!(found.state, State::Near);
    assert!(
        found.text.contains("Hot end 40.00\u{a0}W") && !found.text.contains("Bed"),
        "{}",
        found.text
    );
    assert!(found.places.contains(&Place {
        part: 2,
        sheet: "heater",
        key: "watts"
    }));
    // With the motors' power too it is more.
    let with_motor = state(
        &[&lines, MOTOR].join("\n").replace("fans,10 W", "fans,38 W"),
        "loads",
    );
    assert!(
        with_motor.is_some_and(|(state, value, _)| state == State::Over && value > Some(240.0))
    );
}

#[test]
fn a_load_of_another_voltage_or_on_the_list_by_another_name_is_not_counted_twice() {
    for (lines, expected) in [
        ("part=Bed\nheater?volts=230&watts=300".into(), 170.0),
        ("part=The bed\nheater?volts=24&watts=160".into(), 170.0),
        (
            [
                SUPPLY
                    .replace("fans", "stepper motors")
                    .split_once('\n')
                    .map_or("", |(_, sheet)| sheet),
                MOTOR,
            ]
            .join("\n"),
            170.0,
        ),
    ] as [(String, f64); 3]
    {
        let lines = if lines.contains("supply?") {
            ["part=Supply\n", &lines].concat()
        } else {
            [SUPPLY, &lines].join("\n")
        };
        assert!(
            state(&lines, "loads").is_some_and(|(_, value, _)| close(value, expected)),
            "{lines}"
        );
    }
    assert!(state(BED, "loads").is_none());
}

const X: &str = "part=X axis\ntravel?pitch=2&teeth=20\nheadroom?speed=200";
const Z: &str = "part=Z axis\ntravel?drive=screw&thread=Tr8x8(P2)\nscrew?speed=20";

#[test]
fn step_rates_come_from_the_axes_own_sheets() {
    // 80 x 200 = 16000 and 400 x 20 = 8000.
    let with = |rate: &str| [X, Z, "part=Board", rate].join("\n");
    let each = state(&with("rate?limit_each=15000"), "step_rate");
    assert!(each.is_some_and(|(state, value, _)| state == State::Over && close(value, 16_000.0)));
    let each = state(&with("rate?limit_each=30000"), "step_rate");
    assert!(each.is_some_and(|(state, ..)| state == State::Within));
    let total = state(&with("rate?limit=20000"), "step_total");
    assert!(total.is_some_and(|(state, value, _)| state == State::Over && close(value, 24_000.0)));
    assert!(state(&with("rate?limit_each=15000"), "step_total").is_none());
    // What only the controller's list knows is added.
    let total = state(
        &with("rate?axes=X,80,200;Z,400,20;extruder,400,10&limit=40000"),
        "step_total",
    );
    assert!(total.is_some_and(|(_, value, _)| close(value, 28_000.0)));
    // The limit of one axis counts too.
    let own = state(
        &X.replace("headroom?", "microstep?step_limit=10000&"),
        "step_rate",
    );
    assert!(own.is_some_and(|(state, value, limit)| state == State::Over
        && close(value, 16_000.0)
        && close(limit, 10_000.0)));
}

#[test]
fn crossed_belts_ask_for_more_on_the_diagonal() {
    let crossed = X.replace("speed=200", "layout=crossed&speed=200");
    let lines = [
        &crossed,
        "part=Board\nrate?axes=A,80,200;B,80,200&layout=crossed&limit=30000&limit_each=22000",
    ]
    .join("\n");
    let each = state(&lines, "step_rate");
    assert!(each.is_some_and(|(state, value, _)| state == State::Over
        && close(value, 16_000.0 * core::f64::consts::SQRT_2)));
    let total = state(&lines, "step_total");
    assert!(total.is_some_and(|(state, value, _)| state == State::Over && close(value, 32_000.0)));
}

#[test]
fn two_figures_for_the_same_steps_are_told() {
    let with = |steps: &str| {
        [
            X,
            "part=Board",
            &["rate?axes=X,", steps, ",200&limit_each=90000"].concat(),
        ]
        .join("\n")
    };
    let found = state(&with("160"), "steps_agree");
    assert!(
        found.is_some_and(|(state, value, limit)| state == State::Over
            && close(value, 160.0)
            && close(limit, 80.0))
    );
    assert!(state(&with("80.01"), "steps_agree").is_none());
}

#[test]
fn a_sensor_must_be_known_where_its_heater_may_get() {
    let with = |sensor: &str, heater: &str| {
        state(&["part=Hot end", sensor, heater].join("\n"), "sensor_range")
    };
    let heater = "heater?target=240&max_allowed=300";
    let points = "sensor?kind=points&points=25,100k;150,1.77k;250,240&pullup=4k7";
    assert!(with(points, heater).is_some_and(|(state, value, limit)| {
        state == State::Over && close(value, 300.0) && close(limit, 250.0)
    }));
    assert!(
        with(points, "heater?target=200&max_allowed=250")
            .is_some_and(|(state, ..)| state == State::Within)
    );
    // The target alone counts where nothing else is said.
    assert!(with(points, "heater?target=260").is_some_and(|(state, ..)| state == State::Over));
    assert!(with("sensor?kind=platinum", heater).is_some_and(|(state, ..)| state == State::Within));
    assert!(
        with("sensor?kind=thermocouple_k", heater)
            .is_some_and(|(state, ..)| state == State::Within)
    );
    let beta = "sensor?r25=100k&beta=3950&pullup=4k7&high=280";
    assert!(with(beta, heater).is_some_and(|(state, ..)| state == State::Over));
    assert!(with(beta, "heater?volts=24").is_none());
    // Cold, it is outside its points.
    let cold = made(
        &[
            "part=Hot end",
            &points.replace("25,100k", "60,22k"),
            "heater?target=200",
        ]
        .join("\n"),
    );
    assert!(
        cold.iter()
            .any(|made| made.check.id == "sensor_range" && made.state == State::Near)
    );
}

#[test]
fn a_heater_that_can_overheat_needs_a_fuse() {
    let heater =
        "part=Bed\nheater?volts=24&watts=160&mass=320&area=600&film=8&target=95&max_allowed=130";
    assert!(state(heater, "fuse").is_some_and(|(state, ..)| state == State::Over));
    let fused = [heater, "cutoff?normal_max=100&max_allowed=130&rating=115"].join("\n");
    assert!(state(&fused, "fuse").is_some_and(|(state, ..)| state == State::Within));
    let late = [heater, "cutoff?normal_max=100&max_allowed=130&rating=128"].join("\n");
    assert!(state(&late, "fuse").is_some_and(|(state, ..)| state == State::Over));
    assert!(state(&heater.replace("watts=160", "watts=20"), "fuse").is_none());
}

#[test]
fn a_lift_axis_is_held_by_its_screw_or_by_nothing() {
    let screw = |thread: &str| {
        [
            "part=Z axis\nscrew?load=2 kg&ends=fixed-free&thread=",
            thread,
        ]
        .concat()
    };
    assert!(state(&screw("Tr8x8(P2)"), "drop").is_some_and(|(state, ..)| state == State::Over));
    assert!(state(&screw("Tr8x1.5"), "drop").is_some_and(|(state, ..)| state != State::Over));
    let belt = "part=Z axis\ntravel?pitch=2&teeth=20\nheadroom?lift=1.5";
    assert!(state(belt, "drop").is_some_and(|(state, ..)| state == State::Over));
    assert!(state(&belt.replace("lift=1.5", "lift=0"), "drop").is_none());
    assert!(state(&belt.replace("pitch=2&teeth=20", "drive=screw"), "drop").is_none());
}

#[test]
fn a_motor_is_held_against_its_mount_and_a_switch_against_a_broken_wire() {
    let motor = |limit: &str| [MOTOR, "&mount_limit=", limit].concat();
    assert!(state(&motor("45"), "mount").is_some_and(|(state, ..)| state == State::Over));
    assert!(state(&motor("120"), "mount").is_some_and(|(state, ..)| state == State::Within));
    assert!(state(MOTOR, "mount").is_none());
    let switch = |contact: &str| ["part=X\nswitch?pull=up&to=ground&contact=", contact].concat();
    assert!(state(&switch("no"), "switch").is_some_and(|(state, ..)| state == State::Over));
    assert!(state(&switch("nc"), "switch").is_some_and(|(state, ..)| state == State::Within));
}

#[test]
fn what_was_never_proven_or_changed_since_is_told() {
    let travel = "part=X\ntravel?pitch=2&teeth=20";
    let all = one(travel, "unproven").expect("it has main answers");
    assert!(all.state == State::Near && close(all.value, 0.0), "{all:?}");
    let first = all.places.first().map_or("", |place| place.key);
    let shown = |value: &str| {
        one(
            &[
                travel,
                "\npart?marks=travel,",
                first,
                ",proven,",
                value,
                ",2026-03-01",
            ]
            .concat(),
            "unproven",
        )
    };
    let machine = machine(travel);
    let worked = machine.work();
    let report = worked.report(0, "travel").expect("it is there");
    let now = report
        .answer(first)
        .and_then(|answer| report.shown(answer))
        .expect("it has a value");
    assert!(shown(&now).is_some_and(|made| close(made.value, 1.0)));
    assert!(shown("").is_some_and(|made| close(made.value, 1.0)));
    let changed = shown("79.00").expect("it is told");
    assert!(
        close(changed.value, 0.0) && changed.text.contains("Changed since"),
        "{}",
        changed.text
    );
}

#[test]
fn the_example_has_a_mistake_of_each_kind() {
    let machine = example::machine().expect("the record is whole");
    let checks = machine.work().checks(&machine);
    let over: Vec<(&str, &str)> = checks
        .iter()
        .filter(|made| made.state == State::Over)
        .map(|made| {
            (
                made.check.id,
                machine
                    .parts
                    .get(made.places.first().map_or(0, |place| place.part))
                    .map_or("", |part| part.name.as_str()),
            )
        })
        .collect();
    assert_eq!(
        over,
        [
            ("loads", "Supply"),
            ("step_rate", "Y axis"),
            ("sensor_range", "Hot end"),
            ("fuse", "Bed"),
            ("drop", "Z axis"),
            ("mount", "Y axis"),
            ("switch", "Y axis"),
        ]
    );
    assert!(
        checks
            .iter()
            .any(|made| made.check.id == "unproven" && made.state == State::Near)
    );
    // Each names entries that are there.
    for made in &checks {
        assert!(
            !made.text.is_empty() && !made.places.is_empty(),
            "{}",
            made.check.id
        );
        for place in &made.places {
            let sheet = crate::machine::declared(place.sheet).expect("a known sheet");
            let known = sheet.fields.iter().any(|field| field.key == place.key)
                || sheet.answers.iter().any(|answer| answer.key == place.key);
            assert!(known, "{place:?}");
        }
    }
}
