//! `microstep`: what microsteps buy, and what they do not.

use alloc::format;
use alloc::string::String;
use core::f64::consts::PI;

use super::declare::{Answer, Check, Field, Scale, Sheet, Subject, head};
use super::inputs::Inputs;
use super::outcome::{Outcome, State};
use crate::entry::unit::{DEG, MM, MM_S, N, N_M, N_MM, ONE, PER_S, PERCENT, UM};
use crate::entry::write::write_significant;
use crate::motor;

const FIELDS: &[Field] = &[
    Field::number("step", "Full step", DEG)
        .default("1.8")
        .above(0.0, "a motor moves at each step")
        .at_most(180.0, "a turn has two steps at the least")
        .usual(0.35, 15.0, "step motors of such machines"),
    Field::power_of_two("micro", "Microsteps per full step").default("16"),
    Field::number("turn_travel", "Travel per motor turn", MM)
        .above(0.0, "a turn moves the axis")
        .at_most(1e6, "no turn moves an axis that far")
        .carried("travel", "turn_travel"),
    Field::number("hold_torque", "Holding torque", N_M)
        .above(0.0, "a motor under current holds")
        .at_most(1000.0, "no step motor holds more")
        .usual(0.01, 20.0, "step motors of such machines")
        .help("by the data sheet, both phases at rated current"),
    Field::number("load_torque", "Load torque", N_M)
        .optional()
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e6, "no axis carries more")
        .help("on the motor's shaft; or give the force on the axis"),
    Field::number("load_force", "Load force", N)
        .optional()
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e6, "no axis carries more")
        .help("on the axis, in place of the torque"),
    Field::number("step_error", "Step error, of a full step", PERCENT)
        .default("5")
        .at_least(0.0, "an error has a size")
        .at_most(100.0, "more would be another step")
        .help("5 % is the usual figure of data sheets; it does not add up from step to step"),
    Field::number("speed", "Speed", MM_S)
        .optional()
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e6, "no axis moves faster"),
    Field::number(
        "step_limit",
        "Step rate the controller gives this axis",
        PER_S,
    )
    .optional()
    .above(0.0, "a controller steps")
    .at_most(1e12, "no controller steps faster"),
];

const SINE_TORQUE: &str = "Two-phase motor over its electrical angle: T = hold × sin(angle); common practice in step motor application notes";

const ANSWERS: &[Answer] = &[
    Answer::number(
        "inc_fraction",
        "Torque of one microstep, share of holding",
        ONE,
    )
    .formula("sin(90° ÷ {micro})", SINE_TORQUE),
    Answer::number("inc_torque", "Torque of one microstep", N_M)
        .formula("{hold_torque} × {inc_fraction}", SINE_TORQUE)
        .headline(),
    Answer::number("load_torque", "Load torque", N_M)
        .formula("{load_force} × {turn_travel} ÷ 2π", "Work of one turn")
        .aside(),
    Answer::number("lag_angle", "Lag of the shaft under load", DEG).formula(
        "{step} ÷ 90° × asin({load_torque} ÷ {hold_torque})",
        SINE_TORQUE,
    ),
    Answer::number("lag", "Lag of the axis under load", UM)
        .formula("{lag_angle} ÷ 360° × {turn_travel}", "Definition")
        .headline(),
    Answer::number("error_band", "Step error of the axis, ±", UM).formula(
        "{step_error} × {turn_travel} × {step} ÷ 360°",
        "Data sheet practice: share of a full step, non-cumulative",
    ),
    Answer::number("stiffness", "Stiffness at rest", N_MM).formula(
        "{hold_torque} × 90° ÷ {step} × (2π ÷ {turn_travel})²",
        "Slope at rest of the torque over the angle",
    ),
    Answer::number(
        "useful_micro",
        "Finest microstep that still moves the load",
        ONE,
    )
    .fixed(0)
    .formula("largest power of two n up to 256 with {hold_torque} × sin(90° ÷ n) above the load", SINE_TORQUE),
    Answer::number("step_rate", "Step rate at this speed", PER_S).formula(
        "{speed} ÷ {turn_travel} × 360° ÷ {step} × {micro}",
        "Definition",
    ),
    Answer::number("fit_micro", "Finest microstep within the step rate", ONE).fixed(0).formula("largest power of two up to 256 with {speed} ÷ {turn_travel} × 360° ÷ {step} × it up to {step_limit}", "Definition"),
    Answer::curve(
        "curve",
        "Lag over load",
        &[head("Load torque", "N.m", 3), head("Lag", "um", 3)],
        Scale::Linear,
    ),
    Answer::text("plainly", "Plainly"),
];

const CHECKS: &[Check] = &[Check {
    id: "load",
    label: "Load against holding torque",
    measure: N_M,
    within: "The load of {value} stays below the holding torque of {limit}.",
    near: "The load of {value} is close to the holding torque of {limit}: a knock loses steps.",
    over: "The load of {value} reaches the holding torque of {limit}: the motor loses steps.",
}];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "microstep",
    title: "Microsteps",
    about: "what microsteps buy, and what they do not: torque, lag, step error and step rate",
    search: "resolution accuracy incremental torque stiffness step rate holding motor",
    subject: Subject::Motion,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: &[],
    work,
};

/// Divisions of the curve.
const CURVE_STEPS: u32 = 40;

fn work(inputs: &Inputs, out: &mut Outcome) {
    let step = inputs.num("step");
    let micro = inputs.num("micro");
    let travel = inputs.num("turn_travel");
    let hold = inputs.num("hold_torque");

    let fraction = micro.map(motor::incremental_fraction);
    out.put("inc_fraction", fraction);
    let torque = hold.zip(fraction).map(|(hold, fraction)| hold * fraction);
    out.put("inc_torque", torque);

    let load = load(inputs, out, travel);
    if let (Some(hold), Some(load)) = (hold, load) {
        // At the holding torque itself steps are lost, so the limit belongs to what is over it.
        if load >= hold {
            out.check("load", State::Over, load, hold);
        } else {
            out.check_at_most("load", load, hold);
            out.put("useful_micro", motor::useful_micro(load, hold));
        }
    }
    if let (Some(load), Some(hold), Some(step)) = (load, hold, step) {
        let angle = motor::lag_angle_deg(step, load, hold);
        out.put("lag_angle", angle);
        let lag = angle
            .zip(travel)
            .map(|(angle, travel)| axis_um(angle, travel));
        out.put("lag", lag);
    }
    if let (Some(step), Some(travel)) = (step, travel) {
        let error = inputs
            .num("step_error")
            .map(|percent| percent / 100.0 * axis_um(step, travel));
        out.put("error_band", error);
        out.put(
            "stiffness",
            hold.map(|hold| motor::rest_stiffness_n_per_mm(hold, step, travel)),
        );
        if let Some(hold) = hold {
            out.put_pairs("curve", lag_curve(step, hold, travel));
        }
        if let Some(speed) = inputs.num("speed") {
            let full_steps = speed / travel * 360.0 / step;
            out.put("step_rate", micro.map(|micro| full_steps * micro));
            let limit = inputs.num("step_limit");
            out.put(
                "fit_micro",
                limit.and_then(|limit| motor::fitting_micro(full_steps, limit)),
            );
        }
        if let (Some(micro), Some(error)) = (micro, error) {
            out.put_text(
                "plainly",
                plainly(axis_um(step, travel) / micro, error, out.number("lag")),
            );
        }
    }
}

/// The load on the shaft, as given or from the force on the axis.
fn load(inputs: &Inputs, out: &mut Outcome, travel: Option<f64>) -> Option<f64> {
    if inputs.typed("load_torque") && inputs.typed("load_force") {
        out.problem(
            "load_force",
            "Load force: enter the torque or the force, not both.",
        );
        return None;
    }
    if let Some(torque) = inputs.num("load_torque") {
        return Some(torque);
    }
    let torque = inputs.num("load_force")? * travel? / 1000.0 / (2.0 * PI);
    out.put("load_torque", torque);
    Some(torque)
}

/// Motion of the axis in um for an angle of the shaft in degrees.
fn axis_um(angle_deg: f64, turn_travel_mm: f64) -> f64 {
    angle_deg / 360.0 * turn_travel_mm * 1000.0
}

/// Lag in um over load torque in N.m, from nothing to the holding torque, where the lag is a whole step.
fn lag_curve(step: f64, hold: f64, travel: f64) -> impl Iterator<Item = (f64, f64)> {
    (0..=CURVE_STEPS).map(move |i| {
        // By the share and not by the torque: at the end the arc sine makes eight digits of a last place.
        let share = f64::from(i) / f64::from(CURVE_STEPS);
        let angle = motor::lag_angle_deg(step, share, 1.0).unwrap_or(step);
        (hold * share, axis_um(angle, travel))
    })
}

/// What the microsteps are worth, in numbers.
fn plainly(microstep_um: f64, error_um: f64, lag_um: Option<f64>) -> String {
    let um = |value: f64| write_significant(value, 3);
    let lag = lag_um.map_or(String::new(), |lag| {
        format!(" and the load makes the axis lag by {} µm", um(lag))
    });
    format!(
        "A microstep is {} µm, but the motor's own step error is ± {} µm{lag}: more microsteps smooth the motion and do not make it more accurate.",
        um(microstep_um),
        um(error_um),
    )
}
