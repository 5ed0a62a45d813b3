//! Motor current against the standards of copper and against what makers of driver circuits print.
//!
//! # Sources
//! All from memory:
//! - IEC 60028, annealed copper: temperature coefficient 0.00393 1/K at 20 C.
//! - IEC 60228, annex on the correction of resistance to 20 C: 254.5/(234.5 + t) for copper.
//! - "Copper Wire Tables", NBS Handbook 100 (National Bureau of Standards, 1966): coefficients of copper at several
//!   temperatures.
//! - "DRV8825 Stepper Motor Controller IC", data sheet of Texas Instruments, section on current regulation.
//! - "A4988 DMOS Microstepping Driver with Translator and Overcurrent Protection", data sheet of Allegro MicroSystems.
//! - "TMC2209 Datasheet" of Trinamic, section on selecting sense resistors.

use layshaft_tests::number;

/// The resistance of a winding of 1 ohm at 25 C, seen through the heat 2 I^2 R of a motor that its ambient keeps at `t`.
fn warm_ohms(t: f64) -> f64 {
    // A current of 1 mA warms the motor by less than 1e-4 K.
    let query = format!("current?rated=1.5&resistance=1&set=0.001&ambient={t}");
    assert!((number(&query, "motor_temp") - t).abs() < 1e-4);
    number(&query, "heat") / (2.0 * 0.001 * 0.001)
}

/// From a cold garage to the hottest winding of insulation class F.
const TEMPERATURES: [f64; 9] = [0.0, 10.0, 20.0, 25.0, 40.0, 60.0, 80.0, 105.0, 155.0];

#[test]
fn warm_copper_agrees_with_its_coefficient_at_20_c() {
    for t in TEMPERATURES {
        let iec_60028 = (1.0 + 0.00393 * (t - 20.0)) / (1.0 + 0.00393 * 5.0);
        let found = warm_ohms(t);
        // The constant 235 of IEC 60034-1 is a rounded 234.45: 0.1 % at 155 C.
        assert!(
            (found / iec_60028 - 1.0).abs() < 1.1e-3,
            "{t} C: {found}, not {iec_60028}"
        );
    }
}

#[test]
fn warm_copper_agrees_with_the_correction_for_cables() {
    for t in TEMPERATURES {
        let iec_60228 = (234.5 + t) / (234.5 + 25.0);
        let found = warm_ohms(t);
        assert!(
            (found / iec_60228 - 1.0).abs() < 1.1e-3,
            "{t} C: {found}, not {iec_60228}"
        );
    }
}

#[test]
fn the_coefficient_of_copper_falls_with_temperature_as_tabulated() {
    for (t, coefficient) in [
        (0.0, 0.004_27),
        (15.0, 0.004_01),
        (20.0, 0.003_93),
        (25.0, 0.003_85),
        (30.0, 0.003_78),
        (50.0, 0.003_52),
    ] {
        let found = (warm_ohms(t + 10.0) / warm_ohms(t) - 1.0) / 10.0;
        // Five decimals are printed, and 235 stands for 234.45.
        assert!(
            (found / coefficient - 1.0).abs() < 4e-3,
            "{t} C: {found}, not {coefficient}"
        );
    }
}

#[test]
fn the_rise_by_resistance_is_the_one_that_the_standard_computes() {
    // IEC 60034-1, temperature rise by the resistance method: t2 - t1 = (R2 - R1)/R1 (235 + t1). Read backwards here: the
    // motor's own answers must satisfy it between any two currents.
    let answer =
        |set: f64, key: &str| number(&format!("current?rated=1.5&resistance=2.4&set={set}"), key);
    let cold = answer(0.001, "motor_temp");
    let ohms = |set: f64| answer(set, "heat") / (2.0 * set * set);
    for set in [0.4, 0.8, 1.2, 1.5] {
        let rise = (ohms(set) - ohms(0.001)) / ohms(0.001) * (235.0 + cold);
        let found = answer(set, "motor_temp") - cold;
        assert!((found - rise).abs() < 1e-9, "{set} A: {found}, not {rise}");
    }
}

#[test]
fn rated_current_warms_the_motor_by_the_rated_rise() {
    // Data-sheet practice: 80 K at rated current in both phases, ambient 25 C.
    for (rated, rated_as, set) in [
        ("1.5", "rms", "1.5"),
        ("1.5", "peak", "100 %"),
        ("2.1213203435596424", "peak", "1.5"),
    ] {
        let query = format!("current?rated={rated}&rated_as={rated_as}&set={set}&resistance=2.4");
        let found = number(&query, "motor_temp");
        assert!((found - 105.0).abs() < 1e-9, "{rated} {rated_as}: {found}");
    }
}

#[test]
fn reference_voltage_of_the_data_sheets_worked_example() {
    // DRV8825: a sense resistor of 0.25 ohm and 2.5 V at the reference give 2.5 V/(5 x 0.25 ohm) = 2 A, full scale.
    let query = "current?set=1.4142135623730951&setting=reference&gain=5&sense=0.25";
    assert!((number(query, "vref") - 2.5).abs() < 1e-12);
    assert!((number(query, "driver_peak") - 2.0).abs() < 1e-12);
}

#[test]
fn reference_voltage_by_a_gain_of_eight() {
    // A4988: I = VREF/(8 x RS). With the resistors that boards carry (common practice: 0.05, 0.068, 0.1 ohm) and 1 A.
    for (sense, vref) in [("0.05", 0.4), ("0.068", 0.544), ("0.1", 0.8)] {
        let query = format!(
            "current?set={}&setting=reference&gain=8&sense={sense}",
            std::f64::consts::FRAC_1_SQRT_2
        );
        let found = number(&query, "vref");
        assert!((found - vref).abs() < 1e-12, "{sense}: {found}, not {vref}");
    }
}

/// TMC2209, full scale 0.325 V, 20 mohm inside: sense resistor in ohm, and the RMS current in A at the highest step.
const SENSE_RESISTORS: &[(&str, f64)] = &[
    ("1.00", 0.23),
    ("0.82", 0.27),
    ("0.75", 0.30),
    ("0.68", 0.33),
    ("0R5", 0.44),
    ("470 mohm", 0.47),
    ("0R33", 0.66),
    ("0R27", 0.79),
    ("0R22", 0.96),
    ("0R15", 1.35),
    ("0R12", 1.64),
    ("0R1", 1.92),
];

#[test]
fn highest_step_of_the_data_sheets_sense_resistors() {
    for (sense, rms) in SENSE_RESISTORS {
        let query = format!(
            "current?set=5&setting=scale&full_scale=0.325&sense={sense}&sense_internal=20 mohm"
        );
        let found = number(&query, "set_actual");
        // Two decimals are printed.
        assert!(
            (found - rms).abs() <= 0.005,
            "{sense}: {found} A, not {rms}"
        );
        assert!((number(&query, "scale") - 31.0).abs() < 0.5);
    }
}

#[test]
fn every_step_of_the_register_gives_its_share() {
    // The same data sheet: I_rms = (CS + 1)/32 x V_FS/(R_sense + 20 mohm)/sqrt 2.
    for cs in 0..32_u32 {
        let want = f64::from(cs + 1) / 32.0 * 0.325 / (0.11 + 0.02) / 2_f64.sqrt();
        // Asked for a little more than the step gives, so that the step below the request is this one.
        let query = format!(
            "current?set={}&setting=scale&full_scale=0.325&sense=0R11&sense_internal=20 mohm",
            want * 1.001
        );
        assert!(
            (number(&query, "scale") - f64::from(cs)).abs() < 0.5,
            "{cs}"
        );
        assert!((number(&query, "set_actual") - want).abs() < 1e-12, "{cs}");
    }
}
