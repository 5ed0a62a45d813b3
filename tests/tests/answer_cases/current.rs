//! `current` from its description.

use std::f64::consts::SQRT_2;

use layshaft_core::sheets::State;
use layshaft_tests::random::Random;

use crate::{Case, Query, TOLERANCE, Wrong, close, settle, typed, wrong};

/// Copper by the constant 235 of IEC 60034-1.
fn copper(r25: f64, celsius: f64) -> f64 {
    r25 * (235.0 + celsius) / 260.0
}

/// Where the heat of two phases and the warm motor meet, by going there step by step; `None` when they never do.
fn settled(ambient: f64, rth: f64, rms: f64, r25: f64) -> Option<f64> {
    // The heat rises by this much for each kelvin: at 1 and over, every kelvin brings more than one further.
    let gain = rth * 2.0 * rms * rms * r25 / 260.0;
    if gain >= 1.0 {
        return None;
    }
    let rise = |celsius: f64| rth * 2.0 * rms * rms * copper(r25, celsius);
    // Newton's step on a straight line: the first is exact but for rounding, the others take that away.
    let mut celsius = ambient;
    for _ in 0..4 {
        celsius -= (celsius - ambient - rise(celsius)) / (1.0 - gain);
    }
    Some(celsius)
}

fn maybe(
    random: &mut Random,
    query: &mut Query,
    percent: usize,
    key: &str,
    least: f64,
    most: f64,
    unit: &'static str,
) -> Option<f64> {
    let typed = random
        .chance(percent)
        .then(|| typed(random, least, most, &[(unit, 1, 1)]))?;
    query.with(key, &typed.text);
    Some(typed.value)
}

#[test]
fn current_as_the_contract_says() {
    let mut random = Random::new(60_034);
    let mut faults = Vec::new();
    let cases = 1000;
    for _ in 0..cases {
        one(&mut random, &mut faults);
    }
    settle(cases, &faults);
}

fn one(random: &mut Random, faults: &mut Vec<String>) {
    let mut query = Query::new("current");
    let rated = maybe(random, &mut query, 92, "rated", 0.3, 4.0, "A");
    let rated_as = random.pick(&["rms", "peak"]);
    query.with("rated_as", rated_as);
    let rated = rated.map(|rated| {
        if rated_as == "peak" {
            rated / SQRT_2
        } else {
            rated
        }
    });
    let r25 = maybe(random, &mut query, 90, "resistance", 0.4, 40.0, "ohm");
    let inductance = maybe(random, &mut query, 60, "inductance", 0.5, 40.0, "mH");
    let wiring = random.pick(&["single", "parallel", "series", "own_driver"]);
    query.with("wiring", wiring);
    let motors = if wiring == "single" {
        1
    } else {
        random.whole(1, 4)
    };
    if motors > 1 || random.chance(50) {
        query.with("motors", motors.to_string());
    }
    let many = f64::from(motors);
    let motor = match random.below(5) {
        0 => None,
        1 | 2 => maybe(random, &mut query, 100, "set", 0.1, 3.0, "A"),
        _ => {
            let share = typed(random, 20.0, 140.0, &[]);
            query.with("set", format!("{} %", share.text));
            rated.map(|rated| rated * share.value / 100.0)
        }
    };
    let hold = maybe(random, &mut query, 60, "hold", 10.0, 100.0, "%").unwrap_or(60.0);
    let driver_limit = maybe(random, &mut query, 60, "driver_limit", 0.5, 6.0, "A");
    let rds_on = maybe(random, &mut query, 60, "rds_on", 0.02, 1.2, "ohm");
    let supply = maybe(random, &mut query, 80, "supply", 9.0, 60.0, "V");
    let ambient = maybe(random, &mut query, 50, "ambient", 5.0, 70.0, "C").unwrap_or(25.0);
    let rise_rated = maybe(random, &mut query, 50, "rise_rated", 20.0, 110.0, "K").unwrap_or(80.0);
    let mount_limit = maybe(random, &mut query, 60, "mount_limit", 45.0, 150.0, "C");
    let setting = random.pick(&["none", "reference", "scale"]);
    query.with("setting", setting);
    let gain = if setting == "reference" {
        maybe(random, &mut query, 90, "gain", 1.0, 20.0, "")
    } else {
        None
    };
    let sense = if setting == "none" {
        None
    } else {
        maybe(random, &mut query, 90, "sense", 0.03, 0.5, "ohm")
    };
    let (mut full_scale, mut internal, mut register_steps) = (None, 0.0, 32);
    if setting == "scale" {
        full_scale = maybe(random, &mut query, 90, "full_scale", 0.1, 0.5, "V");
        internal =
            maybe(random, &mut query, 50, "sense_internal", 0.005, 0.05, "ohm").unwrap_or(0.0);
        if random.chance(40) {
            register_steps = random.pick(&[8, 16, 32, 64, 256]);
            query.with("scale_steps", register_steps.to_string());
        }
    }

    let mut case = Case::new(&query, faults);
    case.errors(&[]);
    let (per_driver, drivers) = match wiring {
        "parallel" => (many, 1.0),
        "own_driver" => (1.0, many),
        _ => (1.0, 1.0),
    };
    let driver = motor.map(|motor| motor * per_driver);
    case.number("motor_rms", motor);
    case.number("motor_peak", motor.map(|rms| rms * SQRT_2));
    case.number("driver_rms", driver);
    case.number("driver_peak", driver.map(|rms| rms * SQRT_2));
    case.number("drivers", drivers);
    let as_wired = |one: f64| match wiring {
        "parallel" => one / many,
        "series" => one * many,
        _ => one,
    };
    case.number("driver_resistance", r25.map(as_wired));
    case.number("driver_inductance", inductance.map(as_wired));
    case.number("hold_rms", motor.map(|motor| motor * hold / 100.0));
    case.number(
        "torque_fraction",
        motor.zip(rated).map(|(motor, rated)| 100.0 * motor / rated),
    );

    // The temperatures do not depend on the resistance: twice the ohms are twice the heat and half the thermal resistance.
    let ohms = r25.unwrap_or(1.0);
    let thermal = rated.map(|rated| {
        (
            rise_rated / (2.0 * rated * rated * copper(ohms, 25.0 + rise_rated)),
            ohms,
        )
    });
    let temperature = |rms: Option<f64>| {
        let (rth, r25) = thermal?;
        settled(ambient, rth, rms?, r25)
    };
    let motor_temp = temperature(motor);
    // No settled answer, though everything is known: the motor runs away.
    let runaway = motor.is_some() && thermal.is_some() && motor_temp.is_none();
    case.number("motor_temp", motor_temp);
    case.number(
        "hold_temp",
        temperature(motor.map(|motor| motor * hold / 100.0)),
    );
    let heat = motor_temp
        .zip(motor)
        .zip(r25)
        .map(|((t, i), r25)| 2.0 * i * i * copper(r25, t));
    case.number("heat", heat);
    let volts_needed = motor_temp
        .zip(driver)
        .zip(r25)
        .map(|((t, i), r25)| i * SQRT_2 * copper(as_wired(r25), t));
    case.number("volts_needed", volts_needed);
    let mount_rms = thermal
        .zip(mount_limit)
        .map(|((rth, r25), limit)| ((limit - ambient) / (rth * 2.0 * copper(r25, limit))).sqrt());
    if mount_limit.is_none_or(|limit| limit > ambient) {
        case.number("mount_rms", mount_rms);
    }
    let driver_heat = driver.zip(rds_on).map(|(i, rds)| 4.0 * i * i * rds);
    case.number("driver_heat", driver_heat);
    let supply_current = heat
        .zip(driver_heat)
        .zip(supply)
        .map(|((heat, lost), supply)| (many * heat + drivers * lost) / supply);
    case.number("supply_current", supply_current);
    case.number(
        "sense_heat",
        driver.zip(sense).map(|(i, sense)| i * i * sense),
    );

    case.check_at_most("driver_limit", driver, driver_limit);
    if runaway {
        case.check("mount", mount_limit.map(|_| State::Over));
        case.check("volts", supply.map(|_| State::Over));
    } else {
        case.check_at_most("mount", motor_temp, mount_limit);
        case.check_at_most("volts", volts_needed, supply);
    }
    case.check(
        "parallel",
        (wiring == "parallel" && motors > 1).then_some(State::Near),
    );
    case.number("vref", (|| Some(driver? * SQRT_2 * gain? * sense?))());
    register(
        &mut case,
        driver,
        (|| Some(full_scale? / (sense? + internal)))(),
        register_steps,
    );
}

/// The step of the register, the current it gives, and the check of its ends.
fn register(case: &mut Case, driver: Option<f64>, full: Option<f64>, steps: u32) {
    let Some((driver, full)) = driver.zip(full) else {
        case.number("scale", None);
        case.number("set_actual", None);
        case.check("clamped", None);
        return;
    };
    let given = |n: u32| f64::from(n + 1) / f64::from(steps) * full / SQRT_2;
    // The largest step that does not exceed the wanted current, found by trying them all.
    let step = (0..steps)
        .rev()
        .find(|&n| given(n) <= driver * (1.0 + 1e-12));
    let (lowest, highest) = (given(0), given(steps - 1));
    if (0..steps).any(|n| close(given(n), driver, TOLERANCE)) {
        return;
    }
    let step = step.unwrap_or(0);
    case.number("scale", f64::from(step));
    case.number("set_actual", given(step));
    let state = if driver < lowest {
        State::Near
    } else if driver > highest {
        State::Over
    } else {
        State::Within
    };
    case.check("clamped", Some(state));
}

#[test]
fn a_register_step_that_gives_the_very_current_is_taken() {
    let mut faults = Vec::new();
    for n in 0..32_u32 {
        // Typed as a product so that the current is the step's own, but for rounding.
        let want = f64::from(n + 1) / 32.0 * 0.32 / (0.11 + 0.02) / SQRT_2;
        let mut query = Query::new("current");
        query
            .with("set", want.to_string())
            .with("setting", "scale")
            .with("full_scale", "0.32")
            .with("sense", "0R11")
            .with("sense_internal", "20 mohm");
        let mut case = Case::new(&query, &mut faults);
        case.errors(&[]);
        case.number("scale", f64::from(n));
        case.number("set_actual", want);
        case.check("clamped", Some(State::Within));
    }
    settle(32, &faults);
}

#[test]
fn what_is_wrong_in_current_is_said_at_its_field() {
    let list: &[Wrong] = &[
        (&[("wiring", "single"), ("motors", "2")], &["wiring"]),
        (&[("motors", "5"), ("wiring", "series")], &["motors"]),
        (&[("motors", "0"), ("wiring", "series")], &["motors"]),
        (&[("rated", "0")], &["rated"]),
        (&[("rated", "1.5 V")], &["rated"]),
        (&[("rated_as", "average")], &["rated_as"]),
        (&[("resistance", "-1")], &["resistance"]),
        (&[("set", "eighty")], &["set"]),
        (&[("set", "80 ohm")], &["set"]),
        (&[("setting", "knob")], &["setting"]),
    ];
    wrong("current", list);
}
