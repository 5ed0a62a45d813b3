//! The torque of a microstep against the table that motor makers print, and against trigonometry by another way.
//!
//! # Source
//! "Microstepping: Myths and Realities", application note of MICROMO (FAULHABER), table of incremental holding torque per
//! microstep; from memory. Other makers print the same table.

use layshaft_tests::number;

/// Microsteps per full step, and the share of the holding torque in % as printed.
const TABLE: [(u32, f64); 9] = [
    (1, 100.0),
    (2, 70.71),
    (4, 38.27),
    (8, 19.51),
    (16, 9.80),
    (32, 4.91),
    (64, 2.45),
    (128, 1.23),
    (256, 0.61),
];

#[test]
fn the_share_of_each_microstep_is_the_printed_one() {
    for (micro, percent) in TABLE {
        let found = 100.0 * number(&format!("microstep?micro={micro}"), "inc_fraction");
        // Two decimals are printed.
        assert!((found - percent).abs() <= 0.005, "{micro}: {found} %");
        let query = format!("microstep?micro={micro}&turn_travel=40&hold_torque=0.4");
        let torque = number(&query, "inc_torque");
        assert!((torque - 0.4 * found / 100.0).abs() < 1e-15, "{micro}");
    }
}

/// The rotor of a two-phase motor feels T = T_hold sin(90 degrees x distance in full steps). With no load it rests at 0;
/// one microstep later the field stands 90/micro degrees further, and T is what the rotor can be pulled with. Halving the
/// angle of 90 degrees again and again by sin(x/2) = sin x / (2 cos(x/2)) and cos(x/2) = sqrt((1 + cos x)/2) gives the
/// same numbers without a sine.
#[test]
fn the_share_follows_from_halving_the_angle() {
    let (mut sine, mut cosine) = (1.0_f64, 0.0_f64);
    for (micro, _) in TABLE {
        let found = number(&format!("microstep?micro={micro}"), "inc_fraction");
        // Each halving rounds three times; eight halvings stay below 1e-14.
        assert!(
            (found - sine).abs() <= 1e-14 * sine,
            "{micro}: {found}, not {sine}"
        );
        cosine = ((1.0 + cosine) / 2.0).sqrt();
        sine /= 2.0 * cosine;
    }
}

#[test]
fn a_load_of_one_microsteps_torque_turns_the_shaft_by_one_microstep() {
    for (micro, _) in TABLE.into_iter().skip(1) {
        let torque = number(
            &format!("microstep?micro={micro}&turn_travel=40&hold_torque=0.4"),
            "inc_torque",
        );
        let query =
            format!("microstep?micro={micro}&turn_travel=40&hold_torque=0.4&load_torque={torque}");
        let lag = number(&query, "lag_angle");
        // An angle that asin gets back from its sine keeps all but the last few places.
        let step = 1.8 / f64::from(micro);
        assert!(
            (lag - step).abs() <= 1e-12 * step,
            "{micro}: {lag}, not {step}"
        );
    }
}

#[test]
fn the_stiffness_is_the_slope_of_the_lag() {
    // A hundred-thousandth of the holding torque: the sine is straight there to 2e-11.
    let query = "microstep?turn_travel=40&hold_torque=0.4";
    let force = 0.4e-5 * 2.0 * std::f64::consts::PI / 0.040;
    let lag = number(&format!("{query}&load_force={force}"), "lag");
    let stiffness = number(query, "stiffness");
    let slope = force / (lag / 1000.0);
    assert!(
        (slope - stiffness).abs() <= 1e-9 * stiffness,
        "{slope}, not {stiffness}"
    );
}

#[test]
fn full_steps_of_common_motors_lag_by_one_step_at_the_holding_torque() {
    // Common practice: the data sheet's holding torque is reached one full step away from rest.
    for (step, steps) in [("1.8", 200.0), ("0.9", 400.0), ("7.5", 48.0), ("15", 24.0)] {
        let query = format!(
            "microstep?step={step}&turn_travel=40&hold_torque=0.4&load_torque=0.39999999999"
        );
        let lag = number(&query, "lag");
        let whole = 1000.0 * 40.0 / steps;
        assert!(lag < whole && lag > 0.9999 * whole, "{step}: {lag}");
    }
}
