//! `belt`: tension by its tone, and how far it stretches.

use super::declare::{Answer, Caution, Check, Field, Sheet, Subject};
use super::inputs::Inputs;
use super::outcome::{Outcome, State};
use crate::entry::unit::{G_M, HZ, KG, MM, MM_S2, N, N_MM, PERCENT, UM};
use crate::motion::belt;

const FIELDS: &[Field] = &[
    Field::number("mass_per_m", "Mass of the belt per metre", G_M)
        .above(0.0, "a belt weighs something")
        .at_most(1e5, "no belt weighs more")
        .usual(1.0, 100.0, "belts of such machines")
        .help("weigh a piece; a 6 mm belt of 2 mm pitch has about 8 g/m, glass or steel in it changes that"),
    Field::number("span", "Span that is plucked", MM)
        .above(0.0, "a span has a length")
        .at_most(1e5, "no span is that long")
        .help("free length between the two points where it is held: pulley, idler, clamp"),
    Field::number("frequency", "Frequency of the span", HZ)
        .optional()
        .above(0.0, "a plucked span sounds")
        .at_most(1e5, "no belt sounds higher")
        .usual(10.0, 1000.0, "spans of such machines")
        .help("pluck the middle like a string, power off, and read the lowest tone; or give the tension"),
    Field::number("tension", "Tension", N)
        .optional()
        .above(0.0, "a slack belt has no tone")
        .at_most(1e6, "no belt bears more")
        .help("in place of the frequency, to be told what to tune for"),
    Field::number("frequency_b", "Frequency of the pair's other belt", HZ)
        .optional()
        .above(0.0, "a plucked span sounds")
        .at_most(1e5, "no belt sounds higher")
        .help("the same belt over the same span, for two belts that must pull alike"),
    Field::number("stiffness", "Stiffness of the belt, force per unit strain", N)
        .optional()
        .above(0.0, "a belt resists")
        .at_most(1e9, "no belt is stiffer")
        .help("by its maker, for this width; a force at 1 % stretch times 100"),
    Field::number("left", "Belt from carriage to the left end", MM)
        .optional()
        .above(0.0, "a belt has a length")
        .at_most(1e6, "no belt is that long")
        .help("round its pulley to where it is driven or clamped"),
    Field::number("right", "Belt from carriage to the right end", MM)
        .optional()
        .above(0.0, "a belt has a length")
        .at_most(1e6, "no belt is that long"),
    Field::number("carriage", "Mass of the carriage", KG)
        .optional()
        .above(0.0, "a carriage weighs something")
        .at_most(1e5, "no carriage weighs more")
        .carried("mass", "total"),
    Field::number("accel", "Acceleration", MM_S2)
        .optional()
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e8, "no machine is that quick"),
    Field::number("tension_max", "Highest tension of the belt", N)
        .optional()
        .above(0.0, "a belt bears something")
        .at_most(1e6, "no belt bears more")
        .help("by its maker, for this width"),
];

const STRING: &str = "Kinsler, Frey, Coppens and Sanders, Fundamentals of Acoustics: string between fixed ends, first mode";
const SPRINGS: &str = "Two springs side by side";

const ANSWERS: &[Answer] = &[
    Answer::number("tension", "Tension", N)
        .headline()
        .formula("4 × {mass_per_m} × ({span} × {frequency})²", STRING),
    Answer::number("frequency", "Frequency to tune for", HZ)
        .headline()
        .formula("√({tension} ÷ {mass_per_m}) ÷ (2 × {span})", STRING),
    Answer::number("tension_b", "Tension of the other belt", N)
        .formula("4 × {mass_per_m} × ({span} × {frequency_b})²", STRING),
    Answer::number(
        "pair_difference",
        "Tension of the other belt, more than this",
        PERCENT,
    )
    .significant(3)
    .formula("({frequency_b} ÷ {frequency})² − 1", STRING),
    Answer::number("belt_rate", "Stiffness at the carriage", N_MM)
        .formula("{stiffness} ÷ {left} + {stiffness} ÷ {right}", SPRINGS),
    Answer::number("stretch", "Stretch under acceleration", UM)
        .formula("{carriage} × {accel} ÷ {belt_rate}", "Hooke's law"),
    Answer::number("resonance", "Resonance of the carriage on its belt", HZ)
        .formula("√({belt_rate} ÷ {carriage}) ÷ 2π", "Harmonic oscillator"),
];

const CHECKS: &[Check] = &[
    Check {
        id: "slack",
        label: "Slack side",
        measure: N,
        within: "Acceleration takes {value} of the {limit} of tension off one side: it stays tight.",
        near: "Acceleration takes {value} of the {limit} of tension off one side: little is left.",
        over: "Acceleration takes {value} off one side, all of the {limit} of tension: it goes slack and may jump teeth.",
    },
    Check {
        id: "tension_max",
        label: "Highest tension",
        measure: N,
        within: "The belt bears {value} of its {limit}.",
        near: "The belt bears {value} of its {limit}: bearings and pulleys bear it too.",
        over: "The belt would bear {value}; its limit is {limit}.",
    },
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "belt",
    title: "Belt tension",
    about: "tension by the tone of a plucked span, both belts of a pair, stretch and resonance",
    search: "belt tension frequency pluck tone stiffness stretch slack ringing pair crossed",
    subject: Subject::Motion,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: &[Caution::always(
        "fingers",
        "A belt that starts to move draws fingers into its pulley.",
        "Switch the supply off before plucking or tensioning, and keep clear while the motors are on.",
    )],
    work,
};

fn work(inputs: &Inputs, out: &mut Outcome) {
    let string = inputs.num("mass_per_m").zip(inputs.num("span"));
    let (tension, frequency) = tension(inputs, out, string);
    let other = inputs.num("frequency_b");
    out.put(
        "tension_b",
        string
            .zip(other)
            .map(|((mass, span), hz)| belt::tension_n(mass, span, hz)),
    );
    // Both belts are alike, so tension goes with the square of the frequency.
    let difference = frequency.zip(other).map(|(this, other)| {
        let ratio = other / this;
        100.0 * (ratio - 1.0) * (ratio + 1.0)
    });
    out.put("pair_difference", difference);

    let spans = inputs.num("left").zip(inputs.num("right"));
    let carriage = inputs.num("carriage");
    let rate = inputs
        .num("stiffness")
        .zip(spans)
        .map(|(stiffness, (left, right))| belt::rate_n_per_mm(stiffness, left, right));
    out.put("belt_rate", rate);
    let force = carriage
        .zip(inputs.num("accel"))
        .map(|(mass, accel)| mass * accel / 1000.0);
    out.put(
        "stretch",
        force.zip(rate).map(|(force, rate)| 1000.0 * force / rate),
    );
    out.put(
        "resonance",
        rate.zip(carriage)
            .map(|(rate, mass)| belt::resonance_hz(rate, mass)),
    );

    let change = force
        .zip(spans)
        .map(|(force, (left, right))| belt::span_change_n(force, left, right));
    match (change, tension) {
        // With nothing left of its tension a side is slack already.
        (Some(change), Some(tension)) if change >= tension => {
            out.check("slack", State::Over, change, tension);
        }
        _ => out.check_at_most("slack", change, tension),
    }
    let highest = match force {
        Some(_) => tension
            .zip(change)
            .map(|(tension, change)| tension + change),
        None => tension,
    };
    out.check_at_most("tension_max", highest, inputs.num("tension_max"));
}

/// Tension and frequency, one given and the other answered.
fn tension(
    inputs: &Inputs,
    out: &mut Outcome,
    string: Option<(f64, f64)>,
) -> (Option<f64>, Option<f64>) {
    if inputs.typed("frequency") && inputs.typed("tension") {
        out.problem(
            "tension",
            "Tension: give the frequency or the tension, not both.",
        );
        return (None, None);
    }
    if let Some(tension) = inputs.num("tension") {
        let frequency = string.map(|(mass, span)| belt::frequency_hz(mass, span, tension));
        out.put("frequency", frequency);
        return (Some(tension), frequency);
    }
    let frequency = inputs.num("frequency");
    let tension = string
        .zip(frequency)
        .map(|((mass, span), hz)| belt::tension_n(mass, span, hz));
    out.put("tension", tension);
    (tension, frequency)
}

#[cfg(test)]
mod tests {
    use super::super::trial::{faults, number, run, state};

    const STRING: [(&str, &str); 2] = [("mass_per_m", "8"), ("span", "150")];

    fn with(more: &[(&str, &str)]) -> super::super::Report {
        let entries: alloc::vec::Vec<_> = STRING.iter().chain(more).copied().collect();
        run("belt", &entries)
    }

    #[test]
    fn one_of_tension_and_frequency_is_answered() {
        let tension = with(&[("frequency", "100")]);
        assert!((number(&tension, "tension") - 7.2).abs() < 1e-12);
        assert_eq!(tension.number("frequency"), None);
        let frequency = with(&[("tension", "7.2"), ("frequency_b", "110")]);
        assert!((number(&frequency, "frequency") - 100.0).abs() < 1e-9);
        assert_eq!(frequency.number("tension"), None);
        assert!((number(&frequency, "pair_difference") - 21.0).abs() < 1e-9);
        let both = with(&[("frequency", "100"), ("tension", "7.2")]);
        assert_eq!(faults(&both), ["tension"]);
    }

    #[test]
    fn the_slack_side_goes_slack_at_its_tension() {
        let moved = |accel| {
            with(&[
                ("tension", "6"),
                ("left", "100"),
                ("right", "300"),
                ("carriage", "0.4"),
                ("accel", accel),
                ("tension_max", "12"),
            ])
        };
        // Three quarters of 0.4 kg * a: 6 N at 20 m/s2.
        for (accel, slack, highest) in [
            ("10000", "within", "within"),
            ("19000", "near", "near"),
            ("20000", "over", "near"),
            ("21000", "over", "over"),
        ] {
            let report = moved(accel);
            assert_eq!(state(&report, "slack"), slack, "{accel}");
            assert_eq!(state(&report, "tension_max"), highest, "{accel}");
        }
        let still = with(&[("tension", "6"), ("tension_max", "12")]);
        assert_eq!(state(&still, "tension_max"), "within");
        assert_eq!(state(&still, "slack"), "");
    }
}
