//! `ringing`: a frequency from a print.

use super::declare::{Answer, Field, Sheet, Subject};
use super::inputs::{Inputs, Row};
use super::outcome::Outcome;
use crate::entry::unit::{HZ, KG, MM, MM_S, MM_S2, N_MM, ONE};
use crate::measure::ringing;

const FIELDS: &[Field] = &[
    Field::count("waves", "Ripples counted")
        .at_least(1.0, "a ripple is there to be counted")
        .at_most(1e6, "nobody counts more"),
    Field::number("distance", "Distance they cover", MM)
        .above(0.0, "ripples cover a distance")
        .at_most(1e6, "no print is that long")
        .help("from crest to crest, beside a sharp corner"),
    Field::number("speed", "Speed of the wall", MM_S)
        .above(0.0, "ripples come from motion")
        .at_most(1e6, "no axis moves faster")
        .help("along the ripples, after the corner"),
    Field::number("mass", "Mass that swings", KG)
        .optional()
        .above(0.0, "what swings weighs something")
        .at_most(1e6, "no such machine weighs more")
        .help("of what moves along the axis, for its stiffness"),
    Field::rows(
        "amplitudes",
        "Heights of the ripples, one after the other",
        &[Field::number("height", "Height", MM)
            .above(0.0, "a ripple has a height")
            .at_most(1e4, "no ripple is higher")],
    )
    .optional()
    .help("in any one unit, the first one first; one height a wave"),
];

const ANSWERS: &[Answer] = &[
    Answer::number("frequency", "Frequency", HZ)
        .headline()
        .formula("{speed} × {waves} ÷ {distance}", "Definition"),
    Answer::number("stiffness", "Stiffness", N_MM)
        .formula("{mass} × (2π × {frequency})²", "One mass on a spring"),
    Answer::number("damping", "Damping ratio", ONE)
        .significant(3)
        .formula(
            "δ ÷ √(4π² + δ²), δ the fall of ln height from wave to wave",
            "Logarithmic decrement, textbooks of vibration; by least squares over all waves",
        ),
    Answer::number("accel_limit", "Acceleration that bows it by 0.05 mm", MM_S2)
        .headline()
        .formula(
            "0.05 mm × (2π × {frequency})²",
            "One mass on a spring under a steady acceleration",
        ),
    Answer::text("next", "Next"),
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "ringing",
    title: "Ringing",
    about: "the machine's first resonance from ripples in a print, and what acceleration it stands",
    search: "ghosting ripple resonance vibration frequency input damping acceleration stiffness",
    subject: Subject::Proof,
    fields: FIELDS,
    answers: ANSWERS,
    checks: &[],
    cautions: &[],
    work,
};

/// The bow that is put up with, mm.
const BOW: f64 = 0.05;

fn work(inputs: &Inputs, out: &mut Outcome) {
    let damping = damping(inputs, out);
    out.put("damping", damping);
    let (Some(waves), Some(distance), Some(speed)) = (
        inputs.num("waves"),
        inputs.num("distance"),
        inputs.num("speed"),
    ) else {
        return;
    };
    let frequency = ringing::frequency(waves, distance, speed);
    out.put("frequency", frequency);
    let mass = inputs.num("mass");
    out.put(
        "stiffness",
        mass.map(|mass| ringing::stiffness(mass, frequency)),
    );
    out.put("accel_limit", ringing::acceleration_for(BOW, frequency));
    out.put_text(
        "next",
        if waves < 4.0 {
            "Count more ripples, or print slower: few waves make the frequency coarse."
        } else if damping.is_none() {
            "Print once more at another speed: a true resonance keeps its frequency. Heights of the ripples tell the damping."
        } else {
            "Print once more at another speed: a true resonance keeps its frequency. Tighten or stiffen, and compare."
        },
    );
}

/// Damping ratio from the heights; heights that rise are refused.
fn damping(inputs: &Inputs, out: &mut Outcome) -> Option<f64> {
    let rows = inputs.rows("amplitudes")?;
    let heights = rows.iter().filter_map(|row: &Row| row.num(0));
    let Some(decrement) = ringing::decrement(heights) else {
        out.warn(
            "amplitudes",
            "Heights of the ripples: one height does not fall. Enter two or more.",
        );
        return None;
    };
    // Equal heights may differ in the last digit of their logarithms.
    if decrement < -1e-12 {
        out.problem(
            "amplitudes",
            "Heights of the ripples: they rise from wave to wave; enter the first and highest first.",
        );
        return None;
    }
    Some(ringing::damping_ratio(libm::fmax(decrement, 0.0)))
}

#[cfg(test)]
mod tests {
    use super::super::trial::{faults, number, run};
    use core::f64::consts::PI;

    const WALL: &[(&str, &str)] = &[
        ("waves", "6"),
        ("distance", "15"),
        ("speed", "100"),
        ("mass", "0.5"),
    ];

    #[test]
    fn ripples_tell_the_frequency() {
        let report = run("ringing", WALL);
        assert!((number(&report, "frequency") - 40.0).abs() < 1e-12);
        assert!(
            (number(&report, "stiffness") - 0.5 * (80.0 * PI) * (80.0 * PI) / 1000.0).abs() < 1e-9
        );
        assert!((number(&report, "accel_limit") - 0.05 * (80.0 * PI) * (80.0 * PI)).abs() < 1e-9);
        assert_eq!(report.number("damping"), None);
    }

    #[test]
    fn falling_heights_tell_the_damping() {
        // Each half of the one before: ln 2.
        let report = run("ringing", &[("amplitudes", "0.4;0.2;0.1;0.05")]);
        let d = core::f64::consts::LN_2;
        assert!((number(&report, "damping") - d / (4.0 * PI * PI + d * d).sqrt()).abs() < 1e-12);
        let steady = run("ringing", &[("amplitudes", "0.1;0.1;0.1")]);
        assert!(number(&steady, "damping").abs() < 1e-12);
    }

    #[test]
    fn heights_that_rise_or_stand_alone_give_none() {
        assert_eq!(
            faults(&run("ringing", &[("amplitudes", "0.1;0.2")])),
            ["amplitudes"]
        );
        assert_eq!(
            faults(&run("ringing", &[("amplitudes", "0.1;0")])),
            ["amplitudes"]
        );
        let one = run("ringing", &[("amplitudes", "0.1")]);
        assert!(one.problems.is_empty() && !one.warnings.is_empty());
    }
}
