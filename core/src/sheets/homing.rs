//! `homing`: how hard, how far past, how repeatable.

use super::declare::{Answer, Caution, Check, Field, Sheet, Subject};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::entry::unit::{A, J, KG, MM, MM_S, MM_S2, MS, N, N_M, OHM, ONE, REV_S, UM, V};
use crate::motion::homing;
use crate::motor;

const FIELDS: &[Field] = &[
    Field::number("speed", "Homing speed", MM_S)
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e6, "no axis moves faster")
        .help("of the first touch"),
    Field::number("accel", "Acceleration it brakes with", MM_S2)
        .above(0.0, "an axis brakes in some time")
        .at_most(1e8, "no machine is that quick"),
    Field::number("latency", "Contact to decision", MS)
        .default("1")
        .at_least(0.0, "no decision comes before its cause")
        .at_most(1e6, "no controller is slower")
        .help("switch, filter and controller"),
    Field::number("poll", "Between two looks at the switch", MS)
        .default("1")
        .at_least(0.0, "a controller looks again later")
        .at_most(1e6, "no controller is slower")
        .help("0 where the switch interrupts"),
    Field::number("overtravel", "Overtravel that the switch allows", MM)
        .optional()
        .at_least(0.0, "a switch gives way or not")
        .at_most(1e4, "no switch gives way further")
        .help("from contact to its body, by its data sheet"),
    Field::number("second_speed", "Speed of a slower second touch", MM_S)
        .optional()
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e6, "no axis moves faster"),
    Field::number("microstep", "Microstep of the axis", UM)
        .optional()
        .at_least(0.0, "a step has a size")
        .at_most(1e6, "no step is larger")
        .carried("travel", "microstep"),
    Field::number("turn_travel", "Travel per motor turn", MM)
        .above(0.0, "a turn moves the axis")
        .at_most(1e6, "no turn moves an axis that far")
        .carried("travel", "turn_travel"),
    Field::number("hold_torque", "Holding torque", N_M)
        .above(0.0, "a motor under current holds")
        .at_most(1000.0, "no step motor holds more")
        .usual(0.01, 20.0, "step motors of such machines")
        .help("by the data sheet, both phases at rated current"),
    Field::number("rated", "Rated current of a phase, RMS", A)
        .above(0.0, "a motor takes current")
        .at_most(1000.0, "no step motor takes more"),
    Field::number("set_rms", "Set current of a phase, RMS", A)
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1000.0, "no step motor takes more")
        .carried("current", "motor_rms")
        .help("while homing; less of it pushes less hard"),
    Field::number("resistance", "Resistance of a phase", OHM)
        .optional()
        .above(0.0, "a winding resists")
        .at_most(1e6, "no winding resists more"),
    Field::number("mass", "Moving mass", KG)
        .optional()
        .at_least(0.0, "nothing weighs less than nothing")
        .at_most(1e5, "no axis weighs more")
        .carried("mass", "total"),
];

const BACK_EMF: &str = "Two-phase synchronous machine: torque constant = back-EMF constant";

const ANSWERS: &[Answer] = &[
    Answer::number("overrun", "Path past the switch", MM)
        .headline()
        .formula(
            "{speed} × ({latency} + {poll}) + {speed}² ÷ (2 × {accel})",
            "Constant speed, then constant braking",
        ),
    Answer::number("touch_speed", "Speed of the last touch", MM_S)
        .formula("the second touch's, where there is one", "Definition")
        .aside(),
    Answer::number("scatter", "Scatter of the position, ±", UM)
        .headline()
        .formula(
            "2 × √(({touch_speed} × {poll})² ÷ 12 + {microstep}² ÷ 12)",
            "GUM (JCGM 100:2008) 4.3.7: rectangular distributions; k = 2",
        ),
    Answer::number("push_force", "Force on what blocks the axis", N)
        .headline()
        .formula(
            "2π × {hold_torque} × {set_rms} ÷ {rated} ÷ {turn_travel}",
            "Work of one turn; torque in proportion to the current, losses left out",
        ),
    Answer::number("impact", "Energy of the moving mass", J)
        .formula("{mass} × {speed}² ÷ 2", "Kinetic energy"),
    Answer::number("turn_rate", "Motor speed", REV_S)
        .formula("{speed} ÷ {turn_travel}", "Definition"),
    Answer::number("bemf", "Back-EMF, amplitude", V).formula(
        "{hold_torque} ÷ (√2 × {rated}) × 2π × {turn_rate}",
        BACK_EMF,
    ),
    Answer::number("bemf_ratio", "Back-EMF over the winding's own voltage", ONE)
        .significant(3)
        .formula("{bemf} ÷ (√2 × {set_rms} × {resistance})", "Ohm's law"),
    Answer::text("sensing", "Homing without a switch, by back-EMF"),
];

const CHECKS: &[Check] = &[
    Check {
        id: "overtravel",
        label: "Path past the switch",
        measure: MM,
        within: "The axis stops {value} past the switch, which allows {limit}.",
        near: "The axis stops {value} past the switch, which allows {limit}: slower, or brake harder.",
        over: "The axis runs {value} past the switch, which allows only {limit}: it breaks the switch.",
    },
    Check {
        id: "push",
        label: "Force on a hand",
        measure: N,
        within: "A blocked axis pushes with {value}, below {limit}.",
        near: "A blocked axis pushes with {value}, close to {limit}: it hurts.",
        over: "A blocked axis pushes with {value}: over {limit} it can crush a hand.",
    },
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "homing",
    title: "Homing",
    about: "how far past the switch, how repeatable, how hard the axis pushes, and whether back-EMF can tell a stall",
    search: "endstop limit switch home repeatability overtravel stall sensorless force crush impact back-EMF",
    subject: Subject::Motion,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: &[
        Caution::always(
            "crush",
            "An axis that homes pushes with all of its motor's force and crushes fingers between carriage and frame.",
            "Keep hands out before it starts, and home the first time with a hand at the supply's switch.",
        ),
        Caution::always(
            "crash",
            "A switch that is wired or read the wrong way lets the axis run into its end.",
            "Press the switch by hand first and see that the controller reads it; then home slowly, with low current.",
        ),
    ],
    work,
};

/// Force in N over which a hand can be crushed.
const CRUSHING_N: f64 = 100.0;
/// Motor turns per second from which back-EMF tells a stall: common practice.
const SENSING_RATE: f64 = 1.0;

fn work(inputs: &Inputs, out: &mut Outcome) {
    let speed = inputs.num("speed");
    let poll_s = inputs.num("poll").map(|ms| ms / 1000.0);
    let delay_s = inputs
        .num("latency")
        .zip(poll_s)
        .map(|(latency, poll)| latency / 1000.0 + poll);
    let overrun = speed
        .zip(delay_s)
        .zip(inputs.num("accel"))
        .map(|((speed, delay), accel)| homing::overrun_mm(speed, delay, accel));
    out.put("overrun", overrun);
    out.check_at_most("overtravel", overrun, inputs.num("overtravel"));

    // A second touch that could not be read leaves the last touch unknown.
    let touch = if inputs.typed("second_speed") {
        inputs.num("second_speed")
    } else {
        speed
    };
    out.put("touch_speed", touch);
    let scatter = touch
        .zip(poll_s)
        .zip(inputs.num("microstep"))
        .map(|((speed, poll), microstep)| homing::scatter_um(speed, poll, microstep));
    out.put("scatter", scatter);
    let impact = inputs
        .num("mass")
        .zip(speed)
        .map(|(mass, speed)| homing::impact_j(mass, speed));
    out.put("impact", impact);

    let travel = inputs.num("turn_travel");
    let set = inputs.num("set_rms");
    let constant = inputs
        .num("hold_torque")
        .zip(inputs.num("rated"))
        .map(|(hold, rated)| motor::torque_constant(hold, rated));
    let push = constant
        .zip(set)
        .zip(travel)
        .map(|((constant, set), travel)| {
            homing::push_force_n(constant * motor::peak_from_rms(set), travel)
        });
    out.put("push_force", push);
    out.check_at_most("push", push, CRUSHING_N);

    let rate = speed.zip(travel).map(|(speed, travel)| speed / travel);
    out.put("turn_rate", rate);
    let bemf = constant
        .zip(rate)
        .map(|(constant, rate)| constant * core::f64::consts::TAU * rate);
    out.put("bemf", bemf);
    let winding = set
        .zip(inputs.num("resistance"))
        .map(|(set, ohm)| motor::peak_from_rms(set) * ohm);
    out.put(
        "bemf_ratio",
        bemf.zip(winding).map(|(bemf, winding)| bemf / winding),
    );
    if let Some(rate) = rate {
        out.put_text(
            "sensing",
            if rate < SENSING_RATE {
                "too slow: a stall is told by back-EMF from about one motor turn a second on (common practice)"
            } else {
                "fast enough: a stall is told by back-EMF from about one motor turn a second on (common practice); try it with low current"
            },
        );
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{faults, number, run, state};

    const AXIS: [(&str, &str); 6] = [
        ("speed", "40"),
        ("accel", "1000"),
        ("turn_travel", "40"),
        ("hold_torque", "0.4"),
        ("rated", "1.5"),
        ("set_rms", "0.75"),
    ];

    fn with(more: &[(&str, &str)]) -> super::super::Report {
        let entries: alloc::vec::Vec<_> = AXIS.iter().chain(more).copied().collect();
        run("homing", &entries)
    }

    #[test]
    fn the_last_touch_decides_the_scatter() {
        let one = with(&[("microstep", "12.5")]);
        let two = with(&[("microstep", "12.5"), ("second_speed", "4")]);
        let scatter = |path: f64| 2.0 * libm::sqrt((path * path + 12.5 * 12.5) / 12.0);
        assert!((number(&one, "scatter") - scatter(40.0)).abs() < 1e-9);
        assert!((number(&two, "scatter") - scatter(4.0)).abs() < 1e-9);
        // The first touch decides how far it runs past the switch.
        assert!((number(&two, "overrun") - 0.88).abs() < 1e-12);
        assert_eq!(with(&[]).number("scatter"), None);
    }

    #[test]
    fn push_and_overtravel_are_checked() {
        // Half the current pushes with half of 2 pi * 0.4 / 0.04.
        let report = with(&[("overtravel", "0.8")]);
        assert!((number(&report, "push_force") - 10.0 * core::f64::consts::PI).abs() < 1e-9);
        assert_eq!(state(&report, "push"), "within");
        assert_eq!(state(&report, "overtravel"), "over");
        let strong = with(&[("turn_travel", "8")]);
        assert_eq!(state(&strong, "push"), "over");
        assert_eq!(report.cautions.len(), 2);
    }

    #[test]
    fn back_emf_is_told_over_the_windings_own_voltage() {
        let report = with(&[("resistance", "2")]);
        // One turn a second: K * 2 pi, K = 0.4 / (sqrt 2 * 1.5).
        let emf = 0.4 / (core::f64::consts::SQRT_2 * 1.5) * core::f64::consts::TAU;
        assert!((number(&report, "bemf") - emf).abs() < 1e-12);
        let winding = core::f64::consts::SQRT_2 * 0.75 * 2.0;
        assert!((number(&report, "bemf_ratio") - emf / winding).abs() < 1e-12);
        assert_eq!(faults(&with(&[("turn_travel", "0")])), ["turn_travel"]);
    }
}
