//! `flow`: filament and speed.

use alloc::format;

use super::declare::{Answer, Caution, Check, Field, Sheet, Subject, choice};
use super::inputs::Inputs;
use super::outcome::{Outcome, State};
use crate::bead;
use crate::entry::unit::{G_CM3, G_H, MM, MM_S, MM2, MM3_S, PER_MM, PER_S};
use crate::entry::write::write_significant;
use crate::material;

const FIELDS: &[Field] = &[
    Field::number("nozzle", "Nozzle", MM)
        .above(0.0, "a nozzle has a hole")
        .at_most(100.0, "no nozzle is wider")
        .usual(0.1, 2.0, "nozzles of such machines"),
    Field::number("layer", "Layer height", MM)
        .above(0.0, "a layer has a height")
        .at_most(100.0, "no layer is higher"),
    Field::number("width", "Line width", MM)
        .above(0.0, "a line has a width")
        .at_most(100.0, "no line is wider"),
    Field::number("speed", "Speed", MM_S)
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e5, "no machine prints faster"),
    Field::number("filament", "Filament diameter", MM)
        .default("1.75")
        .above(0.0, "filament has a size")
        .at_most(100.0, "no filament is thicker"),
    Field::number("limit", "Melt rate the hot end keeps up", MM3_S)
        .optional()
        .above(0.0, "a hot end melts some")
        .at_most(1e6, "no hot end melts more"),
    Field::number("steps_per_mm", "Steps per mm of the extruder", PER_MM)
        .optional()
        .above(0.0, "an extruder steps")
        .at_most(1e9, "no controller steps that fine")
        .carried("travel", "steps_per_mm"),
    Field::number("density", "Density", G_CM3)
        .optional()
        .above(0.0, "filament weighs something")
        .at_most(30.0, "nothing is denser")
        .help("or name the material below"),
    Field::choice(
        "material",
        "Material",
        &[
            choice("pla", "PLA, 1.24 g/cm³"),
            choice("petg", "PETG, 1.27 g/cm³"),
            choice("abs", "ABS, 1.04 g/cm³"),
            choice("asa", "ASA, 1.07 g/cm³"),
            choice("pc", "PC, 1.20 g/cm³"),
            choice("pa", "PA, 1.14 g/cm³"),
            choice("tpu", "TPU, 1.21 g/cm³"),
        ],
    )
    .optional()
    .help("densities are common practice; the spool's data sheet goes before"),
];

const VOLUME: &str = "Conservation of volume";

const ANSWERS: &[Answer] = &[
    Answer::number("area", "Cross-section of the line", MM2).formula(
        "({width} − {layer}) × {layer} + π × {layer}² ÷ 4",
        "Rectangle with round ends, common practice",
    ),
    Answer::number("volume_rate", "Volume rate", MM3_S)
        .headline()
        .formula("{area} × {speed}", VOLUME),
    Answer::number("feed", "Filament speed", MM_S)
        .headline()
        .formula("{volume_rate} ÷ (π ÷ 4 × {filament}²)", VOLUME),
    Answer::number("step_rate", "Step rate of the extruder", PER_S)
        .formula("{feed} × {steps_per_mm}", "Definition"),
    Answer::number("top_speed", "Top speed at that melt rate", MM_S)
        .headline()
        .formula("{limit} ÷ {area}", VOLUME),
    Answer::text("verdict", "Verdict"),
    Answer::text("next", "Next"),
    Answer::number("grams_per_hour", "Filament used", G_H)
        .formula("{volume_rate} × density", "Definition"),
];

const CHECKS: &[Check] = &[Check {
    id: "limit",
    label: "Volume rate against the hot end",
    measure: MM3_S,
    within: "The hot end melts {limit}; this takes {value}.",
    near: "This takes {value}, close to the {limit} that the hot end melts.",
    over: "This takes {value}, more than the {limit} that the hot end melts: the filament slips.",
}];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "flow",
    title: "Flow",
    about: "how much filament a line takes, and how fast the hot end lets it print",
    search: "extrusion volumetric flow rate nozzle line width filament grams extruder speed melt",
    subject: Subject::Proof,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: &[Caution::always(
        "hot_end",
        "The hot end burns skin at a touch, and filament pushed through a cold one breaks the drive.",
        "Measure the melt rate at printing temperature, fingers away; let it cool before working on it.",
    )],
    work,
};

fn work(inputs: &Inputs, out: &mut Outcome) {
    let density = density(inputs, out);
    let area = area(inputs, out);
    out.put("area", area);
    let rate = area
        .zip(inputs.num("speed"))
        .map(|(area, speed)| area * speed);
    out.put("volume_rate", rate);
    let feed = rate
        .zip(inputs.num("filament"))
        .map(|(rate, filament)| bead::feed(rate, filament));
    out.put("feed", feed);
    let steps = feed.zip(inputs.num("steps_per_mm"));
    out.put("step_rate", steps.map(|(feed, steps)| feed * steps));
    let limit = inputs.num("limit");
    out.put(
        "top_speed",
        limit.zip(area).map(|(limit, area)| limit / area),
    );
    out.check_at_most("limit", rate, limit);
    if let Some(area) = area {
        judge(out, rate, limit, area);
    }
    let grams = rate.zip(density);
    out.put(
        "grams_per_hour",
        grams.map(|(rate, density)| bead::grams_per_hour(rate, density)),
    );
}

/// Whether the hot end keeps up, and what to measure next.
fn judge(out: &mut Outcome, rate: Option<f64>, limit: Option<f64>, area: f64) {
    let (Some(rate), Some(limit)) = (rate, limit) else {
        if rate.is_some() {
            out.put_text("verdict", "measure_more");
            out.put_text(
                "next",
                "Measure the melt rate: push filament into the air at printing temperature, faster each time, until the drive slips; enter the last rate that did not, less a fifth.",
            );
        }
        return;
    };
    let Some((state, _)) = out.verdict("limit") else {
        return;
    };
    let top = write_significant(limit / area, 3);
    out.put_text(
        "verdict",
        match state {
            State::Within => "keeps_up",
            State::Near => "barely",
            State::Over => "slips",
        },
    );
    if out.wants_rows() {
        out.put_text(
            "next",
            match state {
                State::Over => format!(
                    "Slow down to {top} mm/s, or print a line {} times as thin; then measure the melt rate again.",
                    write_significant(rate / limit, 2),
                ),
                State::Near => format!(
                    "Print a wall at this speed and one at half of it, and weigh both: the same weight says that the hot end keeps up. It is to fail from {top} mm/s on.",
                ),
                State::Within => "Prove the feed: ask the extruder for 100 mm of filament, measure what it took at three lengths, and enter them in Proof, drive by roller.".into(),
            },
        );
    }
}

/// The line's cross-section, for a layer that the line and the nozzle can lay.
fn area(inputs: &Inputs, out: &mut Outcome) -> Option<f64> {
    let layer = inputs.num("layer")?;
    let width = inputs.num("width");
    if width.is_some_and(|width| layer > width) {
        out.problem(
            "layer",
            "Layer height: enter a height up to the line width.",
        );
        return None;
    }
    if inputs.num("nozzle").is_some_and(|nozzle| layer > nozzle) {
        out.problem(
            "layer",
            "Layer height: enter a height up to the nozzle's width.",
        );
        return None;
    }
    Some(bead::area(width?, layer))
}

/// Density in g/cm³, typed or of the named material.
fn density(inputs: &Inputs, out: &mut Outcome) -> Option<f64> {
    if inputs.typed("density") && inputs.typed("material") {
        out.problem(
            "material",
            "Material: give the density or the material, not both.",
        );
        return None;
    }
    let named = material::find(inputs.choice("material"));
    inputs
        .num("density")
        .or(named.map(|material| material.density / 1000.0))
}

#[cfg(test)]
mod tests {
    use super::super::trial::{faults, number, run, state, text};
    use super::super::{Kind, Report};
    use crate::entry::write::write_fixed;
    use crate::material;

    const LINE: &[(&str, &str)] = &[
        ("nozzle", "0.4"),
        ("layer", "0.2"),
        ("width", "0.45"),
        ("speed", "80"),
        ("limit", "11"),
        ("steps_per_mm", "415"),
        ("material", "pla"),
    ];

    fn with(more: &[(&'static str, &'static str)]) -> Report {
        let mut entries = LINE.to_vec();
        entries.retain(|(key, _)| more.iter().all(|(other, _)| other != key));
        entries.extend_from_slice(more);
        run("flow", &entries)
    }

    #[test]
    fn the_line_takes_what_the_filament_brings() {
        let report = with(&[]);
        let area = 0.25 * 0.2 + core::f64::consts::PI * 0.01;
        let feed = area * 80.0 / (core::f64::consts::FRAC_PI_4 * 1.75 * 1.75);
        for (key, expected) in [
            ("area", area),
            ("volume_rate", area * 80.0),
            ("feed", feed),
            ("step_rate", feed * 415.0),
            ("top_speed", 11.0 / area),
            ("grams_per_hour", area * 80.0 * 1.24 * 3.6),
        ] {
            assert!(
                (number(&report, key) / expected - 1.0).abs() < 1e-12,
                "{key}"
            );
        }
        assert_eq!(state(&report, "limit"), "within");
        assert_eq!(state(&with(&[("speed", "140")]), "limit"), "over");
        for (speed, limit, verdict, next) in [
            ("80", "11", "keeps_up", "Proof"),
            ("120", "11", "barely", "weigh both"),
            ("140", "11", "slips", "Slow down to 135 mm/s"),
            ("80", "", "measure_more", "Measure the melt rate"),
            ("", "11", "", ""),
        ] {
            let report = with(&[("speed", speed), ("limit", limit)]);
            assert_eq!(text(&report, "verdict"), verdict);
            assert!(
                text(&report, "next").contains(next),
                "{}",
                text(&report, "next")
            );
        }
    }

    #[test]
    fn a_layer_over_the_line_or_the_nozzle_is_refused() {
        assert_eq!(faults(&with(&[("layer", "0.46")])), ["layer"]);
        assert_eq!(faults(&with(&[("layer", "0.41")])), ["layer"]);
        assert_eq!(faults(&with(&[("layer", "0.4")])), [""; 0]);
        assert_eq!(with(&[("layer", "0.41")]).number("area"), None);
    }

    #[test]
    fn density_or_material() {
        assert_eq!(faults(&with(&[("density", "1.3")])), ["material"]);
        let typed = with(&[("density", "1300 kg/m3"), ("material", "")]);
        assert!(
            (number(&typed, "grams_per_hour") / number(&typed, "volume_rate") - 1.3 * 3.6).abs()
                < 1e-12
        );
    }

    #[test]
    fn the_listed_densities_are_those_that_are_used() {
        let field = super::FIELDS.iter().find(|field| field.key == "material");
        let Some(Kind::Choice(options)) = field.map(|field| field.kind) else {
            panic!("material is a choice");
        };
        for option in options {
            let material = material::find(option.key).expect("it has a density");
            assert!(
                option
                    .label
                    .contains(&write_fixed(material.density / 1000.0, 2)),
                "{}",
                option.label
            );
        }
    }
}
