//! `ringing`: a frequency from a print.

use core::f64::consts::PI;

use alloc::format;
use alloc::vec::Vec;

use super::declare::{Answer, Field, Scale, Sheet, Subject, head, places};
use super::inputs::{Inputs, Row};
use super::outcome::{Cell, Outcome};
use crate::entry::unit::{HZ, KG, MM, MM_S, MM_S2, N_MM, ONE};
use crate::entry::write::write_significant;
use crate::measure::ringing;
use crate::measure::student::t95;

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
    Answer::number("damping_u", "Uncertainty of the damping, ± (95 %)", ONE)
        .significant(2)
        .formula(
            "t × standard error of δ, through the ratio",
            "Simple linear regression of ln height, n − 2; GUM (JCGM 100:2008) 5.1.2",
        ),
    Answer::number("accel_limit", "Acceleration that bows it by 0.05 mm", MM_S2)
        .headline()
        .formula(
            "0.05 mm × (2π × {frequency})²",
            "One mass on a spring under a steady acceleration",
        ),
    Answer::text("verdict", "Verdict").headline(),
    Answer::text("why", "Why"),
    Answer::text("next", "Next"),
    Answer::curve(
        "curve",
        "How the ripples die out",
        &[
            places("Ripple", "", 0),
            head("Height", "mm", 3),
            head("Fitted", "mm", 3),
        ],
        Scale::Linear,
    ),
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

/// Fewer ripples than these leave the frequency coarse; common practice.
const FEW: f64 = 4.0;

/// How much of a wave the ends of the counted ripples may be misjudged by, both together; common practice.
const MISJUDGED: f64 = 0.25;

fn work(inputs: &Inputs, out: &mut Outcome) {
    let damping = damping(inputs, out);
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
    let coarse = waves < FEW;
    out.put_text("verdict", if coarse { "measure_more" } else { "usable" });
    if !out.wants_rows() {
        return;
    }
    let percent = |share: f64| write_significant(100.0 * share, 2);
    let share = MISJUDGED / waves;
    out.put_text(
        "why",
        format!(
            "A quarter of a wave misjudged at the ends moves the frequency by {} %, and the acceleration by {} %.",
            percent(share),
            percent(2.0 * share + share * share),
        ),
    );
    let unsure = out.number("damping_u").zip(damping);
    out.put_text(
        "next",
        if coarse {
            "Count four ripples or more: few make the frequency coarse. A corner taken faster makes them higher, so that more are seen."
        } else if damping.is_none() {
            "Print once more at another speed: a true resonance keeps its frequency. Heights of the ripples tell the damping."
        } else if unsure.is_some_and(|(unsure, damping)| unsure >= damping) {
            "Measure the heights once more, and more of them: they scatter so much that the damping may as well be none."
        } else {
            "Print once more at another speed: a true resonance keeps its frequency. Tighten or stiffen, and compare."
        },
    );
}

/// Damping ratio from the heights; heights that rise are refused.
fn damping(inputs: &Inputs, out: &mut Outcome) -> Option<f64> {
    let rows = inputs.rows("amplitudes")?;
    let heights = rows.iter().filter_map(|row: &Row| row.num(0));
    let Some(decrement) = ringing::decrement(heights.clone()) else {
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
    let decrement = libm::fmax(decrement, 0.0);
    let damping = ringing::damping_ratio(decrement);
    out.put("damping", damping);
    let freedom = u32::try_from(rows.len()).ok()?.checked_sub(2)?;
    let error = ringing::decrement_error(heights.clone()).zip(t95(freedom));
    // The ratio's slope in the decrement is (1 - ratio²)^1.5 / 2 pi.
    let cos2 = 1.0 - damping * damping;
    let slope = cos2 * libm::sqrt(cos2) / (2.0 * PI);
    out.put("damping_u", error.map(|(error, t)| t * error * slope));
    if out.wants_rows()
        && let Some(fitted) = ringing::envelope(heights.clone())
    {
        let mut wave = 0.0;
        let row = |(height, fit): (f64, f64)| {
            wave += 1.0;
            Vec::from([wave, height, fit].map(Cell::Number))
        };
        out.put_rows("curve", heights.zip(fitted).map(row).collect());
    }
    Some(damping)
}

#[cfg(test)]
mod tests {
    use super::super::Found;
    use super::super::trial::{faults, number, run, text};
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
    fn heights_that_scatter_leave_the_damping_unsure() {
        let entries = |heights| {
            let mut entries = WALL.to_vec();
            entries.push(("amplitudes", heights));
            run("ringing", &entries)
        };
        let clean = entries("0.4;0.21;0.1;0.05");
        assert!(number(&clean, "damping_u") < number(&clean, "damping") / 2.0);
        assert!(matches!(clean.found("curve"), Some(Found::Rows(rows)) if rows.len() == 4));
        let rough = entries("0.1;0.05;0.12;0.06");
        assert!(number(&rough, "damping_u") > number(&rough, "damping"));
        assert!(text(&rough, "next").contains("scatter"));
        // Two heights fit whatever they are.
        assert_eq!(entries("0.4;0.2").number("damping_u"), None);
        // Half of the difference that the decrement's own half width makes.
        let ratio = |decrement: f64| decrement / (4.0 * PI * PI + decrement * decrement).sqrt();
        let (d, s) = (0.5, 1e-4);
        let slope = (ratio(d + s) - ratio(d - s)) / (2.0 * s);
        let cos2 = 1.0 - ratio(d) * ratio(d);
        assert!((cos2.powf(1.5) / (2.0 * PI) / slope - 1.0).abs() < 1e-6);
    }

    #[test]
    fn few_ripples_are_too_coarse_for_a_verdict() {
        let verdict = |waves| {
            let report = run(
                "ringing",
                &[("waves", waves), ("distance", "15"), ("speed", "100")],
            );
            (
                std::string::String::from(text(&report, "verdict")),
                std::string::String::from(text(&report, "why")),
            )
        };
        assert_eq!(verdict("3").0, "measure_more");
        let (word, why) = verdict("5");
        assert_eq!(word, "usable");
        // 0.25 of 5 waves is 5 %; 1.05² is 1.1025.
        assert!(
            why.contains("frequency by 5.0 %") && why.contains("acceleration by 10 %"),
            "{why}"
        );
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
