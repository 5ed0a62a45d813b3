//! `headroom`: torque, speed and acceleration in hand.

use alloc::format;
use alloc::vec::Vec;
use core::f64::consts::FRAC_1_SQRT_2;

use super::declare::{Answer, Caution, Check, Field, Scale, Sheet, Subject, When, choice, head};
use super::inputs::Inputs;
use super::outcome::{Cell, Outcome, State};
use crate::entry::unit::{
    A, DEG, G_CM2, KG, MH, MM, MM_S, MM_S2, N, N_M, N_M_A, OHM, ONE, PERCENT, V,
};
use crate::entry::write::write_significant;
use crate::motion::load::{self, Axis, Crossed, Direction, Need};
use crate::motor;
use crate::motor::torque::Motor;

const SEPARATE: When = &[("layout", &["separate"])];
const CROSSED: When = &[("layout", &["crossed"])];
const SERIES: When = &[("wiring", &["series"])];
const NOT_SERIES: When = &[("wiring", &["single", "parallel", "own_driver"])];

const NO_HEAVIER: &str = "no axis weighs more";
const NO_NEGATIVE_MASS: &str = "nothing weighs less than nothing";
const SIZE_ONLY: &str = "the size counts, not the sense";

const FIELDS: &[Field] = &[
    Field::choice(
        "layout",
        "Belts",
        &[
            choice("separate", "The axis has its own motor or motors"),
            choice("crossed", "Two crossed belts move X and Y (CoreXY)"),
        ],
    ),
    Field::number("mass", "Moving mass", KG)
        .at_least(0.0, NO_NEGATIVE_MASS)
        .at_most(1e5, NO_HEAVIER)
        .carried("mass", "total")
        .when(SEPARATE),
    Field::number("mass_x", "Mass that X moves", KG)
        .at_least(0.0, NO_NEGATIVE_MASS)
        .at_most(1e5, NO_HEAVIER)
        .carried("mass", "x")
        .when(CROSSED),
    Field::number("mass_y", "Mass that Y moves", KG)
        .at_least(0.0, NO_NEGATIVE_MASS)
        .at_most(1e5, NO_HEAVIER)
        .help("with what X moves, when Y carries X")
        .carried("mass", "y")
        .when(CROSSED),
    Field::number("lift", "Mass held against gravity", KG)
        .default("0")
        .at_least(0.0, NO_NEGATIVE_MASS)
        .at_most(1e5, NO_HEAVIER)
        .help("of an upright axis, less its counterweight")
        .when(SEPARATE),
    Field::number("lift", "Mass held against gravity", KG)
        .optional()
        .at_least(0.0, NO_NEGATIVE_MASS)
        .at_most(1e5, NO_HEAVIER)
        .help("only of an axis with its own motor: leave it blank here")
        .when(CROSSED),
    Field::number("friction", "Friction along the path", N)
        .default("0")
        .at_least(0.0, SIZE_ONLY)
        .at_most(1e6, "no axis rubs more")
        .help("pull the axis with a scale, motors off"),
    Field::number("efficiency", "Efficiency of the drive", PERCENT)
        .default("100")
        .above(0.0, "a drive passes something on")
        .at_most(100.0, "no drive adds power")
        .help("of a screw or a gear train; a belt loses little")
        .carried("screw", "efficiency"),
    Field::number("turn_travel", "Travel per motor turn", MM)
        .above(0.0, "a turn moves the axis")
        .at_most(1e6, "no turn moves an axis that far")
        .carried("travel", "turn_travel"),
    Field::number("step", "Full step", DEG)
        .default("1.8")
        .above(0.0, "a motor moves at each step")
        .at_most(180.0, "a turn has two steps at the least")
        .usual(0.35, 15.0, "step motors of such machines"),
    Field::number("rotor_inertia", "Inertia of each rotor", G_CM2)
        .default("0")
        .at_least(0.0, SIZE_ONLY)
        .at_most(1e9, "no rotor has more")
        .help("by the data sheet; 0 leaves it out"),
    Field::count("motors", "Motors that share the load")
        .default("1")
        .at_least(1.0, "an axis has a motor")
        .at_most(100.0, "no axis has more")
        .when(SEPARATE),
    Field::count("motors", "Motors of each belt")
        .default("1")
        .at_least(1.0, "a belt has a motor")
        .at_most(100.0, "no belt has more")
        .when(CROSSED),
    Field::choice(
        "wiring",
        "Wiring",
        &[
            choice("single", "One motor, one driver"),
            choice("parallel", "In parallel on one driver"),
            choice("series", "In series on one driver"),
            choice("own_driver", "Each on a driver of its own"),
        ],
    )
    .default("own_driver"),
    Field::number("hold_torque", "Holding torque", N_M)
        .above(0.0, "a motor under current holds")
        .at_most(1000.0, "no step motor holds more")
        .usual(0.01, 20.0, "step motors of such machines")
        .help("by the data sheet, both phases at rated current"),
    Field::number("rated", "Rated current of a phase, RMS", A)
        .above(0.0, "a motor takes current")
        .at_most(1000.0, "no step motor takes more"),
    Field::number("set_rms", "Set current of each motor, RMS", A)
        .above(0.0, "a motor needs current to move")
        .at_most(1000.0, "no step motor takes more")
        .carried("current", "motor_rms"),
    Field::number("resistance", "Resistance of a phase", OHM)
        .at_least(0.0, "a winding resists")
        .at_most(1e6, "no winding resists more")
        .help("of one motor, warm if you know it"),
    Field::number("inductance", "Inductance of a phase", MH)
        .at_least(0.0, "a winding has inductance")
        .at_most(1e6, "no winding has more")
        .help("of one motor"),
    Field::number("supply", "Supply", V)
        .above(0.0, "a supply has a voltage")
        .at_most(1000.0, "no step motor driver takes more"),
    Field::number("speed", "Speed", MM_S)
        .at_least(0.0, SIZE_ONLY)
        .at_most(1e6, "no axis moves faster")
        .help("along the path"),
    Field::number("accel", "Acceleration", MM_S2)
        .at_least(0.0, SIZE_ONLY)
        .at_most(1e8, "no machine is that quick")
        .help("along the path"),
    Field::number("margin", "Wanted in hand", ONE)
        .default("1.5")
        .above(0.0, "some torque must be there")
        .at_most(1000.0, "no machine is that careful")
        .usual(1.0, 5.0, "step motors lose steps without a margin")
        .help("available torque over needed; 1.5 to 2 is common practice"),
];

const MACHINE: &str = "Two-phase synchronous machine with a current and a voltage limit; Novotny and Lipo, Vector Control and Dynamics of AC Drives";
const NEWTON: &str = "Newton's law, moved to the shaft by the work of one turn";
const CROSSED_BELTS: &str = "Kinematics of crossed belts: motor forces (Fx + Fy) ÷ 2 and (Fx − Fy) ÷ 2, belt speeds v × (dx + dy) and v × (dx − dy)";

const ANSWERS: &[Answer] = &[
    Answer::text("worst", "Direction with the least in hand").when(CROSSED),
    Answer::number("torque_needed", "Torque needed of each motor", N_M)
        .formula(
            "({mass} × {accel} + {friction} + {lift} × 9.80665 m/s²) ÷ {motors} × {turn_travel} ÷ (2π × {efficiency}) + {rotor_inertia} × {accel} × 2π ÷ {turn_travel}",
            NEWTON,
        )
        .when(SEPARATE),
    Answer::number("torque_needed", "Torque needed of each motor, worst direction", N_M)
        .formula(
            "direction {worst}: X ({mass_x} × {accel} + {friction}) ÷ 2, Y with {mass_y}, diagonal (X + Y) ÷ √2; ÷ {motors} × {turn_travel} ÷ (2π × {efficiency}) + {rotor_inertia} × belt acceleration × 2π ÷ {turn_travel}",
            CROSSED_BELTS,
        )
        .when(CROSSED),
    Answer::number("constant", "Torque constant", N_M_A)
        .formula("{hold_torque} ÷ (√2 × {rated})", MACHINE)
        .aside(),
    Answer::number("volts", "Voltage for each motor", V)
        .formula("{supply}", "Kirchhoff's laws")
        .aside()
        .when(NOT_SERIES),
    Answer::number("volts", "Voltage for each motor", V)
        .formula("{supply} ÷ {motors}", "Kirchhoff's laws")
        .aside()
        .when(SERIES),
    Answer::number("quadrature", "Current across the magnet that speed leaves", A)
        .formula(
            "largest iq with id² + iq² ≤ 2 × {set_rms}² and ({resistance} × id − w × {inductance} × iq)² + ({resistance} × iq + w × {inductance} × id + {constant} × wm)² ≤ {volts}²",
            MACHINE,
        )
        .aside(),
    Answer::number("torque_available", "Torque available of each motor", N_M)
        .formula("{constant} × {quadrature}", MACHINE),
    Answer::number("in_hand", "Available over needed", ONE)
        .significant(3)
        .headline()
        .formula("{torque_available} ÷ {torque_needed}", "Definition"),
    Answer::number("worst_angle", "Worst direction of all, from X", DEG)
        .formula("direction of the least available over needed, all around", CROSSED_BELTS)
        .when(CROSSED),
    Answer::number("in_hand_least", "Available over needed there", ONE)
        .significant(3)
        .headline()
        .formula("torque available ÷ torque needed along {worst_angle}", CROSSED_BELTS)
        .when(CROSSED),
    Answer::number("corner_speed", "Speed up to which the set current fits", MM_S)
        .formula(
            "highest with ({resistance} × √2 × {set_rms} + {constant} × wm)² + (w × {inductance} × √2 × {set_rms})² ≤ {volts}²",
            MACHINE,
        ),
    Answer::number("trusted", "Speed up to which the model can be trusted", MM_S)
        .formula("3 × {corner_speed}: beyond, iron loss rules", "Common practice")
        .aside(),
    Answer::number("top_speed", "Top speed at this acceleration", MM_S)
        .headline()
        .formula("highest with {margin} × {torque_needed} available", MACHINE),
    Answer::number("top_accel", "Top acceleration at this speed", MM_S2)
        .headline()
        .formula("highest with {torque_available} ÷ {margin} needed", NEWTON),
    Answer::text("trust", "How far the top speed can be trusted"),
    Answer::number("inertia_ratio", "Inertia of the load over the rotors'", ONE)
        .significant(3)
        .formula(
            "{mass} × ({turn_travel} ÷ 2π)² ÷ ({motors} × {rotor_inertia})",
            "Equal kinetic energy",
        )
        .when(SEPARATE),
    Answer::number("inertia_ratio", "Inertia of the load over the rotors'", ONE)
        .significant(3)
        .formula(
            "direction {worst}: mass on the belt ({mass_x} ÷ 2, {mass_y} ÷ 2, or their sum ÷ 4) × ({turn_travel} ÷ 2π)² ÷ ({motors} × {rotor_inertia})",
            "Equal kinetic energy",
        )
        .when(CROSSED),
    Answer::curve(
        "curve",
        "Torque over speed",
        &[
            head("Speed", "mm/s", 4),
            head("Available", "N.m", 3),
            head("Needed", "N.m", 3),
        ],
        Scale::Linear,
    ),
];

const CHECKS: &[Check] = &[
    Check {
        id: "in_hand",
        label: "Torque in hand",
        measure: ONE,
        within: "{value} times the needed torque is there; wanted is {limit}.",
        near: "{value} times the needed torque is there; wanted is {limit}: no more than that.",
        over: "Only {value} times the needed torque is there; wanted is {limit}: slower, gentler, lighter, or more voltage.",
    },
    Check {
        id: "trust",
        label: "Speed that can be trusted",
        measure: MM_S,
        within: "{value} is below {limit}, three times the corner speed: the model can be trusted.",
        near: "{value} is over {limit}, three times the corner speed: iron loss, left out here, rules there; expect less torque.",
        over: "",
    },
];

const CAUTIONS: &[Caution] = &[
    Caution::always(
        "model",
        "Left out are mid-band resonance, iron loss and whatever keeps the current from a clean sine: a real motor gives less than shown, and lost steps drive the axis into its end.",
        "Keep the margin (makers' pull-out curves are commonly derated by 30 to 50 % too), and prove speed and acceleration with short moves, a hand at the supply's switch.",
    ),
    Caution::raised(
        "lift",
        "What is held against gravity can fall when the motor loses steps or power.",
        "Look at the screw sheet for what holds without power, and prop the axis before reaching below.",
    ),
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "headroom",
    title: "Headroom",
    about: "torque, speed and acceleration in hand: will this motor on this supply move that mass that fast",
    search: "torque speed curve pull-out acceleration margin stall skip lost steps motor sizing inertia crossed belts back-EMF supply voltage",
    subject: Subject::Motion,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: CAUTIONS,
    work,
};

/// Corner speeds beyond which iron loss, which is left out, rules: common practice.
const TRUSTED: f64 = 3.0;

fn work(inputs: &Inputs, out: &mut Outcome) {
    let axis = axis(inputs);
    let motor = motor(inputs, out);
    match inputs.choice("layout") {
        "separate" => separate(inputs, out, axis, motor),
        "crossed" => crossed(inputs, out, axis, motor),
        _ => {}
    }
    let trusted = out.number("corner_speed").map(|corner| TRUSTED * corner);
    out.put("trusted", trusted);
    if let (Some(speed), Some(limit)) = (inputs.num("speed"), trusted) {
        let state = if speed > limit {
            State::Near
        } else {
            State::Within
        };
        out.check("trust", state, speed, limit);
    }
    if let (Some(top), Some(limit)) = (out.number("top_speed"), trusted)
        && top > limit
    {
        out.put_text(
            "trust",
            format!(
                "not beyond {} mm/s, three times the corner speed: iron loss, left out here, rules there",
                write_significant(limit, 4)
            ),
        );
    }
}

/// How the axis hangs on its motors.
fn axis(inputs: &Inputs) -> Option<Axis> {
    Some(Axis {
        turn_travel_mm: inputs.num("turn_travel")?,
        efficiency: inputs.num("efficiency")? / 100.0,
        rotor_g_cm2: inputs.num("rotor_inertia")?,
        motors: inputs.num("motors")?,
    })
}

/// One motor with its driver's current and its share of the supply.
fn motor(inputs: &Inputs, out: &mut Outcome) -> Option<Motor> {
    let (set, rated) = (inputs.num("set_rms"), inputs.num("rated"));
    if let (Some(set), Some(rated)) = (set, rated)
        && set > rated
    {
        out.warn(
            "set_rms",
            "Set current: it is over the rated one; the iron saturates and the torque grows less than shown.",
        );
    }
    let motors = inputs.num("motors")?;
    let share = match inputs.choice("wiring") {
        "single" if motors > 1.0 => {
            out.problem(
                "wiring",
                "Wiring: several motors take parallel, series or own_driver.",
            );
            return None;
        }
        "series" => motors,
        "single" | "parallel" | "own_driver" => 1.0,
        _ => return None,
    };
    let volts = inputs.num("supply").map(|supply| supply / share);
    out.put("volts", volts);
    let constant = motor::torque_constant(inputs.num("hold_torque")?, rated?);
    out.put("constant", constant);
    Some(Motor {
        constant,
        pole_pairs: 90.0 / inputs.num("step")?,
        peak: motor::peak_from_rms(set?),
        resistance: inputs.num("resistance")?,
        inductance: inputs.num("inductance")? / 1000.0,
        volts: volts?,
    })
}

/// An axis with its own motor or motors.
fn separate(inputs: &Inputs, out: &mut Outcome, axis: Option<Axis>, motor: Option<Motor>) {
    let Some(axis) = axis else { return };
    let loads = inputs.num("mass").zip(inputs.num("friction"));
    let need = loads
        .zip(inputs.num("lift"))
        .map(|((mass, friction), lift)| axis.need(mass, friction, lift));
    if inputs.num("lift").is_some_and(|lift| lift > 0.0) {
        out.caution("lift");
    }
    let ratio = inputs.num("mass").map(|mass| axis.inertia_ratio(mass));
    out.put("inertia_ratio", ratio);
    let needed = need
        .zip(accel(inputs))
        .map(|(need, accel)| need.torque(accel));
    let in_hand = one_direction(inputs, out, axis, motor, needed, 1.0);
    out.check_at_least("in_hand", in_hand, inputs.num("margin"));

    let Some(motor) = motor else { return };
    let corner = axis.axis_speed(motor.corner_speed());
    out.put("corner_speed", corner);
    curve(inputs, out, axis, motor, needed, 1.0, corner);
    let Some(margin) = inputs.num("margin") else {
        return;
    };
    let top = needed.and_then(|needed| load::top_speed(motor, needed, margin));
    out.put("top_speed", top.map(|speed| axis.axis_speed(speed)));
    let available = out.number("torque_available");
    put_top_accel(
        out,
        need.zip(available)
            .map(|(need, available): (Need, f64)| need.top_accel(available / margin)),
    );
}

/// Two crossed belts.
fn crossed(inputs: &Inputs, out: &mut Outcome, axis: Option<Axis>, motor: Option<Motor>) {
    if inputs.typed("lift") {
        out.problem(
            "lift",
            "Mass held against gravity: leave it blank, crossed belts move on the level.",
        );
    }
    let Some((axis, motor)) = axis.zip(motor) else {
        return;
    };
    // Good in all three directions: on the diagonal the motor runs faster by sqrt(2).
    let corner = axis.axis_speed(motor.corner_speed()) * FRAC_1_SQRT_2;
    out.put("corner_speed", corner);
    let (Some(mass_x), Some(mass_y), Some(friction)) = (
        inputs.num("mass_x"),
        inputs.num("mass_y"),
        inputs.num("friction"),
    ) else {
        return;
    };
    let pair = Crossed::new(axis, mass_x, mass_y, friction);
    let (shaft, accel) = (
        inputs.num("speed").map(|speed| axis.shaft_speed(speed)),
        accel(inputs),
    );
    let margin = inputs.num("margin");
    if let Some((shaft, accel)) = shaft.zip(accel) {
        let least = pair.least_in_hand(motor, shaft, accel);
        out.put("worst_angle", least.map(|(angle, _)| angle));
        out.put("in_hand_least", least.map(|(_, in_hand)| in_hand));
        out.check_at_least("in_hand", least.map(|(_, in_hand)| in_hand), margin);

        let worst = pair.worst(motor, shaft, accel);
        // Where nothing is needed no direction is worst; on the diagonal the motor is fastest.
        let direction = worst.unwrap_or(Direction::Diagonal);
        let (name, mass) = match direction {
            Direction::X => ("x", mass_x / 2.0),
            Direction::Y => ("y", mass_y / 2.0),
            Direction::Diagonal => ("diagonal", (mass_x + mass_y) / 4.0),
        };
        if worst.is_some() {
            out.put_text("worst", name);
        }
        out.put("inertia_ratio", axis.inertia_ratio(mass));
        let (need, faster) = pair.need(direction);
        let needed = Some(need.torque(accel));
        one_direction(inputs, out, axis, Some(motor), needed, faster);
        curve(inputs, out, axis, motor, needed, faster, corner);
    }
    let Some(margin) = margin else { return };
    let top = accel.and_then(|accel| pair.top_speed(motor, accel, margin));
    out.put("top_speed", top.map(|speed| axis.axis_speed(speed)));
    put_top_accel(out, shaft.map(|shaft| pair.top_accel(motor, shaft, margin)));
}

/// The wanted acceleration in m/s2.
fn accel(inputs: &Inputs) -> Option<f64> {
    inputs.num("accel").map(|accel| accel / 1000.0)
}

/// The highest acceleration, found in m/s2.
fn put_top_accel(out: &mut Outcome, accel: Option<f64>) {
    out.put("top_accel", accel.map(|accel| accel * 1000.0));
}

/// Needed, available and their quotient, of a motor that runs `faster` than along an axis.
fn one_direction(
    inputs: &Inputs,
    out: &mut Outcome,
    axis: Axis,
    motor: Option<Motor>,
    needed: Option<f64>,
    faster: f64,
) -> Option<f64> {
    out.put("torque_needed", needed);
    let shaft = inputs.num("speed").map(|speed| axis.shaft_speed(speed));
    let (motor, shaft) = motor.zip(shaft)?;
    let current = motor.quadrature_current(shaft * faster);
    let available = motor.constant * current;
    out.put("quadrature", current);
    out.put("torque_available", available);
    let in_hand = needed
        .filter(|needed| *needed > 0.0)
        .map(|needed| available / needed);
    out.put("in_hand", in_hand);
    in_hand
}

/// Divisions of the curve.
const CURVE_STEPS: u32 = 60;

/// Available and needed torque over speed, past today's speed and past where the model can be trusted.
fn curve(
    inputs: &Inputs,
    out: &mut Outcome,
    axis: Axis,
    motor: Motor,
    needed: Option<f64>,
    faster: f64,
    corner: f64,
) {
    if !out.wants_rows() {
        return;
    }
    let speed = inputs.num("speed").unwrap_or(0.0);
    let mut end = libm::fmax(1.25 * speed, 1.1 * TRUSTED * corner);
    if end <= 0.0 {
        // Ten turns of the motor in a second.
        end = 10.0 * axis.turn_travel_mm;
    }
    let rows: Vec<Vec<Cell>> = (0..=CURVE_STEPS)
        .map(|i| {
            let speed = end * (f64::from(i) / f64::from(CURVE_STEPS));
            let available = motor.torque(axis.shaft_speed(speed) * faster);
            [
                Cell::number(speed),
                Cell::number(available),
                Cell::number(needed),
            ]
            .into()
        })
        .collect();
    out.put_rows("curve", rows);
}

#[cfg(test)]
mod tests {
    use super::super::trial::{faults, number, run, state, text};
    use super::super::{Found, Report};

    const MOTOR: [(&str, &str); 9] = [
        ("turn_travel", "40"),
        ("rotor_inertia", "54"),
        ("hold_torque", "0.4"),
        ("rated", "1.5"),
        ("set_rms", "1.5"),
        ("resistance", "1.6"),
        ("inductance", "3"),
        ("supply", "24"),
        ("accel", "3000"),
    ];

    fn with(more: &[(&str, &str)]) -> Report {
        // What is given here replaces what stands above.
        let base = MOTOR
            .iter()
            .filter(|(key, _)| !more.iter().any(|(k, _)| k == key));
        let entries: alloc::vec::Vec<_> = base.chain(more).copied().collect();
        run("headroom", &entries)
    }

    const CROSSED: [(&str, &str); 4] = [
        ("layout", "crossed"),
        ("mass_x", "0.3"),
        ("mass_y", "0.6"),
        ("speed", "300"),
    ];

    #[test]
    fn an_upright_axis_holds_its_weight() {
        let report = with(&[
            ("mass", "2"),
            ("lift", "2"),
            ("turn_travel", "8"),
            ("efficiency", "50"),
            ("speed", "5"),
        ]);
        // (2 * 3 + 2 * g) * 4 mm / pi / 0.5 halves, and the rotor.
        let arm = 0.008 / core::f64::consts::TAU;
        let torque = (6.0 + 2.0 * 9.80665) * arm / 0.5 + 54e-7 * 3.0 / arm;
        assert!((number(&report, "torque_needed") - torque).abs() < 1e-15);
        assert_eq!(report.cautions.len(), 2);
    }

    #[test]
    fn several_motors_share_and_their_wiring_shares_the_supply() {
        let two = |wiring| {
            with(&[
                ("mass", "1"),
                ("speed", "900"),
                ("motors", "2"),
                ("wiring", wiring),
            ])
        };
        assert_eq!(faults(&two("single")), ["wiring"]);
        let (own, series) = (two("own_driver"), two("series"));
        assert!(number(&series, "torque_available") < 0.7 * number(&own, "torque_available"));
        let half = with(&[("mass", "0.5"), ("speed", "900")]);
        let needed = |report| number(report, "torque_needed");
        assert!((needed(&own) - needed(&half)).abs() < 1e-15);
        let ratio = |report| number(report, "inertia_ratio");
        assert!((ratio(&own) - ratio(&half)).abs() < 1e-12);
        let halved = with(&[("mass", "0.5"), ("speed", "900"), ("supply", "12")]);
        let available = |report| number(report, "torque_available");
        assert!((available(&series) - available(&halved)).abs() < 1e-15);
    }

    #[test]
    fn where_nothing_is_needed_nothing_is_in_hand() {
        let report = with(&[("mass", "0"), ("rotor_inertia", "0"), ("speed", "100")]);
        for key in ["in_hand", "top_speed", "top_accel", "inertia_ratio"] {
            assert_eq!(report.number(key), None, "{key}");
        }
        assert_eq!(state(&report, "in_hand"), "");
        let crossed = with(&[
            ("layout", "crossed"),
            ("mass_x", "0"),
            ("mass_y", "0"),
            ("rotor_inertia", "0"),
            ("speed", "100"),
        ]);
        assert_eq!(text(&crossed, "worst"), "");
        assert!(number(&crossed, "torque_needed").abs() < 1e-300);
    }

    #[test]
    fn a_supply_below_the_standstill_voltage_is_told() {
        let report = with(&[("mass", "0.5"), ("speed", "50"), ("supply", "2")]);
        assert!(number(&report, "corner_speed").abs() < 1e-300);
        assert_eq!(state(&report, "trust"), "near");
        assert!(number(&report, "torque_available") < 0.4);
    }

    #[test]
    fn a_margin_that_is_never_met_leaves_no_speed_and_no_acceleration() {
        let report = with(&[("mass", "0.5"), ("friction", "100"), ("speed", "50")]);
        assert!(number(&report, "top_speed").abs() < 1e-300);
        assert!(number(&report, "top_accel").abs() < 1e-300);
        assert_eq!(state(&report, "in_hand"), "over");
    }

    #[test]
    fn tops_meet_the_margin() {
        for layout in [&[("mass", "0.5")][..], &CROSSED[..3]] {
            let run = |speed: &str, accel: &str| {
                let entries: alloc::vec::Vec<_> = layout
                    .iter()
                    .copied()
                    .chain([("speed", speed), ("accel", accel)])
                    .collect();
                with(&entries)
            };
            let report = run("600", "3000");
            let written = |key| crate::entry::write::write_shortest(number(&report, key), 15);
            for again in [
                run(&written("top_speed"), "3000"),
                run("600", &written("top_accel")),
            ] {
                assert!((number(&again, "in_hand") - 1.5).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn crossed_belts_take_no_lift_and_name_their_worst_direction() {
        let report = with(&CROSSED);
        assert_eq!(text(&report, "worst"), "diagonal");
        let angle = number(&report, "worst_angle");
        assert!((45.0..90.0).contains(&angle), "{angle}");
        assert!(number(&report, "in_hand_least") <= number(&report, "in_hand"));
        let lifted: alloc::vec::Vec<_> = CROSSED.iter().copied().chain([("lift", "0")]).collect();
        assert_eq!(faults(&with(&lifted)), ["lift"]);
    }

    #[test]
    fn the_curve_runs_from_rest_past_today() {
        let report = with(&[("mass", "0.5"), ("speed", "5000")]);
        let Some(Found::Rows(rows)) = report.found("curve") else {
            panic!("a curve");
        };
        assert!(rows.len() >= 41);
        assert!(!text(&report, "trust").is_empty());
    }
}
