//! `microstep` from its description.

use std::f64::consts::PI;

use layshaft_core::sheets::State;
use layshaft_tests::random::Random;

use crate::{Case, Query, TOLERANCE, Unit, close, settle, typed};

const MM: &[Unit] = &[("mm", 1, 1), ("cm", 10, 1), ("in", 254, 10)];
const TORQUE: &[Unit] = &[
    ("N.m", 1, 1),
    ("N m", 1, 1),
    ("N.cm", 1, 100),
    ("mN.m", 1, 1000),
    ("kgf.cm", 980_665, 10_000_000),
    // 1 ozf = 0.028349523125 kg x 9.80665 m/s2; times 0.0254 m.
    (
        "ozf.in",
        28_349_523_125 * 980_665 * 254,
        1_000_000_000_000 * 100_000 * 10_000,
    ),
];
const FORCE: &[Unit] = &[("N", 1, 1), ("kgf", 980_665, 100_000)];
const SPEED: &[Unit] = &[("mm/s", 1, 1), ("m/s", 1000, 1), ("mm/min", 1, 60)];

const POWERS: [u32; 9] = [1, 2, 4, 8, 16, 32, 64, 128, 256];

#[test]
fn microstep_as_the_contract_says() {
    let mut random = Random::new(90);
    let mut faults = Vec::new();
    let cases = 800;
    for _ in 0..cases {
        one(&mut random, &mut faults);
    }
    settle(cases, &faults);
}

fn one(random: &mut Random, faults: &mut Vec<String>) {
    let mut query = Query::new("microstep");
    let step = if random.chance(60) {
        let (text, value) = random.pick(&[
            ("0.9", 0.9),
            ("1.8 deg", 1.8),
            ("7,5", 7.5),
            ("15°", 15.0),
            ("3.6", 3.6),
        ]);
        query.with("step", text);
        value
    } else {
        1.8
    };
    let micro = random.pick(&POWERS);
    query.with("micro", micro.to_string());
    let travel = random.chance(90).then(|| typed(random, 0.5, 120.0, MM));
    let hold = random.chance(90).then(|| typed(random, 0.02, 4.0, TORQUE));
    if let Some(travel) = &travel {
        query.with("turn_travel", &travel.text);
    }
    if let Some(hold) = &hold {
        query.with("hold_torque", &hold.text);
    }
    let (travel, hold) = (travel.map(|t| t.value), hold.map(|t| t.value));
    let load = match random.below(4) {
        0 => {
            // From a small share of the holding torque to over it.
            let near = hold.unwrap_or(0.3) * (0.005 + 1.2 * random.unit());
            let load = typed(random, near, 1.001 * near, &[]);
            query.with("load_torque", &load.text);
            Some(load.value)
        }
        1 => {
            let load = typed(random, 0.02, 4.0, TORQUE);
            query.with("load_torque", &load.text);
            Some(load.value)
        }
        2 => {
            let load = typed(random, 0.5, 300.0, FORCE);
            query.with("load_force", &load.text);
            travel.map(|travel| load.value * travel / 1000.0 / (2.0 * PI))
        }
        _ => None,
    };
    let error = if random.chance(50) {
        let error = typed(random, 0.5, 20.0, &[("%", 1, 1)]);
        query.with("step_error", &error.text);
        error.value
    } else {
        5.0
    };
    let speed = random.chance(70).then(|| typed(random, 1.0, 500.0, SPEED));
    if let Some(speed) = &speed {
        query.with("speed", &speed.text);
    }
    let speed = speed.map(|t| t.value);
    let limit = random
        .chance(60)
        .then(|| typed(random, 20.0, 500_000.0, &[]));
    if let Some(limit) = &limit {
        query.with("step_limit", &limit.text);
    }
    let limit = limit.map(|t| t.value);

    let mut case = Case::new(&query, faults);
    case.errors(&[]);
    let fraction = |micro: u32| (PI / 2.0 / f64::from(micro)).sin();
    case.number("inc_fraction", fraction(micro));
    case.number("inc_torque", hold.map(|hold| hold * fraction(micro)));
    let full_steps = 360.0 / step;
    case.number(
        "error_band",
        travel.map(|travel| error / 100.0 * 1000.0 * travel / full_steps),
    );
    // In metres: the torque falls by hold x 90/step for each radian of shaft.
    let stiffness = hold.zip(travel).map(|(hold, travel)| {
        let radians_per_metre = 2.0 * PI / (travel * 1e-3);
        hold * (90.0 / step) * radians_per_metre * radians_per_metre * 1e-3
    });
    case.number("stiffness", stiffness);
    let rate = |micro: u32| Some(speed? / travel? * full_steps * f64::from(micro));
    case.number("step_rate", rate(micro));
    let fit = POWERS.iter().rev().find(|&&micro| {
        rate(micro)
            .zip(limit)
            .is_some_and(|(rate, limit)| rate <= limit)
    });
    if !POWERS.iter().any(|&micro| {
        rate(micro)
            .zip(limit)
            .is_some_and(|(rate, limit)| close(rate, limit, TOLERANCE))
    }) {
        case.number("fit_micro", fit.map(|&micro| f64::from(micro)));
    }
    let lag_of = move |load: f64, hold: f64| step / 90.0 * (load / hold).asin().to_degrees();
    let held = load.zip(hold).filter(|(load, hold)| load < hold);
    case.number("lag_angle", held.map(|(load, hold)| lag_of(load, hold)));
    case.number(
        "lag",
        held.zip(travel)
            .map(|((load, hold), travel)| 1000.0 * travel * lag_of(load, hold) / 360.0),
    );
    let useful = held.and_then(|(load, hold)| {
        POWERS
            .into_iter()
            .rev()
            .find(|&micro| hold * fraction(micro) > load)
    });
    case.number("useful_micro", useful.map(f64::from));
    match load.zip(hold) {
        Some((load, hold)) if load >= hold => case.check("load", Some(State::Over)),
        _ => case.check_at_most("load", load, hold),
    }
    if let (Some(hold), Some(travel)) = (hold, travel) {
        // Up to the holding torque, where asin is so steep that the last place of a torque is 1e-8 of the lag.
        case.curve("curve", 1e-7, |load| {
            1000.0 * travel * lag_of(load.min(hold), hold) / 360.0
        });
    } else if !case.pairs("curve").is_empty() {
        case.fault("curve: rows without what they need".into());
    }
}

#[test]
fn units_of_travel_torque_and_speed() {
    let mut random = Random::new(91);
    let mut faults = Vec::new();
    for _ in 0..200 {
        let mut query = Query::new("microstep");
        let travel = typed(&mut random, 2.0, 8.0, MM);
        let hold = typed(&mut random, 0.3, 4.0, TORQUE);
        let speed = typed(&mut random, 1.0, 10.0, SPEED);
        query
            .with("turn_travel", &travel.text)
            .with("hold_torque", &hold.text)
            .with("speed", &speed.text);
        let mut case = Case::new(&query, &mut faults);
        case.errors(&[]);
        case.number("inc_torque", hold.value * (PI / 32.0).sin());
        case.number("step_rate", speed.value / travel.value * 3200.0);
    }
    settle(200, &faults);
}

#[test]
fn a_load_at_the_holding_torque_loses_steps() {
    let mut faults = Vec::new();
    for (load, state) in [
        ("0.4", State::Over),
        ("0.41", State::Over),
        ("0.39", State::Near),
        ("0.32", State::Near),
        ("0.31", State::Within),
        ("0", State::Within),
    ] {
        let mut query = Query::new("microstep");
        query
            .with("turn_travel", "40")
            .with("hold_torque", "0.4")
            .with("load_torque", load);
        let mut case = Case::new(&query, &mut faults);
        case.errors(&[]);
        case.check("load", Some(state));
        if state == State::Over {
            for key in ["lag", "lag_angle", "useful_micro"] {
                case.number(key, None);
            }
        }
    }
    let mut query = Query::new("microstep");
    query.with("load_torque", "0.1").with("load_force", "10");
    Case::new(&query, &mut faults).errors(&["load_force"]);
    let mut query = Query::new("microstep");
    query.with("micro", "24");
    Case::new(&query, &mut faults).errors(&["micro"]);
    settle(8, &faults);
}
