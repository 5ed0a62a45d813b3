//! `joint`: a bracket on screws under a moment.

use super::declare::{Answer, Caution, Check, Field, Sheet, Subject, choice};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::entry::unit::{MM, MM2, MPA, N, N_M, ONE, PERCENT};
use crate::frame::bolt;

const FIELDS: &[Field] = &[
    Field::choice(
        "size",
        "Screw",
        &[
            choice("m3", "M3"),
            choice("m3.5", "M3.5"),
            choice("m4", "M4"),
            choice("m5", "M5"),
            choice("m6", "M6"),
            choice("m7", "M7"),
            choice("m8", "M8"),
        ],
    )
    .optional()
    .help("coarse thread of ISO 261"),
    Field::choice(
        "grade",
        "Property class",
        &[
            choice("4.8", "4.8"),
            choice("8.8", "8.8"),
            choice("10.9", "10.9"),
            choice("12.9", "12.9"),
            choice("a2-70", "A2-70, stainless"),
        ],
    )
    .optional()
    .help("stamped on the head; a screw without a stamp is 4.8 at best"),
    Field::number("torque", "Tightening torque", N_M)
        .above(0.0, "a loose screw holds nothing")
        .at_most(1e4, "no such screw stands more")
        .help("or give the tension below"),
    Field::number("preload", "Tension of each screw", N)
        .above(0.0, "a loose screw holds nothing")
        .at_most(1e6, "no such screw stands more")
        .help("in place of the torque"),
    Field::number("nut_factor", "Nut factor", ONE)
        .default("0.2")
        .above(0.0, "threads rub")
        .at_most(10.0, "no thread rubs more")
        .usual(0.08, 0.4, "oiled to dry screws")
        .help("0.2 dry, 0.15 oiled (common practice); it makes the tension good to about a third"),
    Field::count("screws", "Screws in each of the two rows")
        .at_least(1.0, "a row has a screw")
        .at_most(1000.0, "no bracket has more"),
    Field::number("spacing", "Between the two rows", MM)
        .above(0.0, "two rows stand apart")
        .at_most(1e4, "no bracket is larger"),
    Field::number("moment", "Moment on the bracket", N_M)
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e6, "no bracket carries more")
        .carried("rods", "moment"),
    Field::number("shear", "Shear force", N)
        .default("0")
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e6, "no bracket carries more")
        .help("along the faces; 1 kg weighs 9.8 N"),
    Field::number("mu", "Friction between the faces", ONE)
        .default("0.15")
        .at_least(0.0, "friction holds or not")
        .at_most(10.0, "no faces grip more")
        .usual(0.05, 0.6, "dry metal and plastic"),
    Field::number("head", "Bearing diameter of head or washer", MM)
        .above(0.0, "a head has a size")
        .at_most(1000.0, "no head is larger"),
    Field::number("hole", "Hole", MM)
        .at_least(0.0, "a hole has a size")
        .at_most(1000.0, "no hole is larger"),
    Field::number(
        "pressure_limit",
        "Pressure the clamped material stands",
        MPA,
    )
    .above(0.0, "a material stands some pressure")
    .at_most(1e5, "nothing stands more")
    .help("for a print some 20 MPa at room temperature, far less warm (common practice)"),
];

const ISO_898: &str = "ISO 898-1, stress area π/4 ((d2 + d3) ÷ 2)², d2 by ISO 724";
const TORQUE: &str = "Machine design texts: T = K F d; the nut factor is common practice";
const ROWS: &str = "Balance of moments: the pulled row carries it over the row spacing";

const ANSWERS: &[Answer] = &[
    Answer::number("stress_area", "Stress area", MM2).formula("π ÷ 4 × (d − 0.9382 × P)²", ISO_898),
    Answer::number("preload", "Tension of each screw", N)
        .headline()
        .formula("{torque} ÷ ({nut_factor} × d)", TORQUE),
    Answer::number("proof_used", "Tension, of the proof load", PERCENT)
        .significant(3)
        .headline()
        .formula(
            "{preload} ÷ ({stress_area} × proof stress)",
            "ISO 898-1, stress under proof load; A2-70: Rp0.2 of ISO 3506-1",
        ),
    Answer::number("screw_load", "Added to each screw of the pulled row", N)
        .formula("{moment} ÷ ({spacing} × {screws})", ROWS),
    Answer::number("separation_margin", "Margin against gaping", ONE)
        .significant(3)
        .headline()
        .formula("{preload} ÷ {screw_load}", "Definition"),
    Answer::number("slip_margin", "Margin against slipping", ONE)
        .significant(3)
        .headline()
        .formula(
            "{mu} × {preload} × 2 × {screws} ÷ {shear}",
            "Coulomb friction of all screws",
        ),
    Answer::number("pressure", "Pressure under the head", MPA)
        .formula("{preload} ÷ (π ÷ 4 × ({head}² − {hole}²))", "Definition"),
];

const CHECKS: &[Check] = &[
    Check {
        id: "proof",
        label: "Tension against the proof load",
        measure: PERCENT,
        within: "The screws are tightened to {value} of their proof load; {limit} is common practice.",
        near: "The screws are tightened to {value} of their proof load, close to the usual {limit}.",
        over: "The screws are tightened to {value} of their proof load, over the usual {limit}: they stretch or strip the thread.",
    },
    Check {
        id: "separation",
        label: "Gaping of the joint",
        measure: ONE,
        within: "The tension is {value} times what the moment pulls with.",
        near: "The tension is {value} times what the moment pulls with, close to the {limit} that a knock asks for.",
        over: "The tension is only {value} times what the moment pulls with; {limit} is the least: the bracket gapes and works loose.",
    },
    Check {
        id: "slip",
        label: "Slipping of the joint",
        measure: ONE,
        within: "Friction holds {value} times the shear.",
        near: "Friction holds {value} times the shear, close to the {limit} that a knock asks for.",
        over: "Friction holds only {value} times the shear; {limit} is the least: the bracket slips.",
    },
    Check {
        id: "pressure",
        label: "Pressure under the head",
        measure: MPA,
        within: "The head presses with {value}; the material stands {limit}.",
        near: "The head presses with {value}, close to the {limit} that the material stands.",
        over: "The head presses with {value}, more than the {limit} that the material stands: put a washer under it.",
    },
];

const CAUTIONS: &[Caution] = &[Caution::always(
    "creep",
    "Plastic under a screw head creeps: within days much of the tension is gone, sooner near heat (common practice), and the bed or gantry it holds can drop.",
    "Put metal under the head or a metal sleeve through the part, use wide washers, and tighten again after a day and a week.",
)];

/// Share of the proof load, in %, up to which screws are tightened; common practice.
const PROOF_LIMIT: f64 = 75.0;

/// Least margin against gaping and slipping; common practice.
const LEAST_MARGIN: f64 = 2.0;

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "joint",
    title: "Screwed joint",
    about: "whether a bracket on two rows of screws stays tight under its moment and shear",
    search: "bolt screw bracket preload torque tightening clamp washer thread proof load slip",
    subject: Subject::Frame,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: CAUTIONS,
    work,
};

fn work(inputs: &Inputs, out: &mut Outcome) {
    let key = inputs.choice("size");
    let size = bolt::SIZES.iter().find(|(name, ..)| *name == key);
    let grade = inputs.choice("grade");
    let proof = bolt::GRADES.iter().find(|(name, _)| *name == grade);
    let area = size.map(|(_, diameter, pitch)| bolt::stress_area(*diameter, *pitch));
    out.put("stress_area", area);

    let preload = if inputs.typed("torque") && inputs.typed("preload") {
        out.problem(
            "preload",
            "Tension of each screw: give the torque or the tension, not both.",
        );
        None
    } else if let Some(preload) = inputs.num("preload") {
        Some(preload)
    } else if let (Some(torque), Some(factor), Some((_, diameter, _))) =
        (inputs.num("torque"), inputs.num("nut_factor"), size)
    {
        Some(bolt::tension(torque, factor, *diameter))
    } else {
        None
    };
    out.put("preload", preload);

    if let (Some(preload), Some(area), Some((_, proof))) = (preload, area, proof) {
        let used = 100.0 * preload / (area * proof);
        out.put("proof_used", used);
        out.check_at_most("proof", used, PROOF_LIMIT);
    }
    let screws = inputs.num("screws");
    if let (Some(moment), Some(spacing), Some(screws)) =
        (inputs.num("moment"), inputs.num("spacing"), screws)
    {
        let load = bolt::screw_load(moment, spacing, screws);
        out.put("screw_load", load);
        if let Some(preload) = preload.filter(|_| load > 0.0) {
            out.put("separation_margin", preload / load);
            out.check_at_least("separation", preload / load, LEAST_MARGIN);
        }
    }
    if let (Some(preload), Some(mu), Some(screws), Some(shear)) = (
        preload,
        inputs.num("mu"),
        screws,
        inputs.num("shear").filter(|shear| *shear > 0.0),
    ) {
        let margin = mu * preload * 2.0 * screws / shear;
        out.put("slip_margin", margin);
        out.check_at_least("slip", margin, LEAST_MARGIN);
    }
    if let (Some(head), Some(hole)) = (inputs.num("head"), inputs.num("hole")) {
        if hole >= head {
            out.problem(
                "hole",
                "Hole: enter a size below the bearing diameter of head or washer.",
            );
        } else if let Some(preload) = preload {
            let pressure = bolt::head_pressure(preload, head, hole);
            out.put("pressure", pressure);
            out.check_at_most("pressure", pressure, inputs.num("pressure_limit"));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{faults, number, run, state};
    use super::super::{Kind, Report};
    use crate::frame::bolt;

    /// A bed bracket on two rows of two M5, 8.8.
    const BRACKET: &[(&str, &str)] = &[
        ("size", "M5"),
        ("grade", "8.8"),
        ("torque", "4"),
        ("screws", "2"),
        ("spacing", "40"),
        ("moment", "6"),
        ("shear", "60"),
        ("head", "10"),
        ("hole", "5.5"),
        ("pressure_limit", "90"),
    ];

    fn with(more: &[(&'static str, &'static str)]) -> Report {
        let mut entries = BRACKET.to_vec();
        entries.retain(|(key, _)| more.iter().all(|(other, _)| other != key));
        entries.extend_from_slice(more);
        run("joint", &entries)
    }

    #[test]
    fn the_bracket_is_worked_out() {
        let report = with(&[]);
        let area = number(&report, "stress_area");
        for (key, expected) in [
            ("preload", 4000.0),
            ("proof_used", 100.0 * 4000.0 / (area * 580.0)),
            ("screw_load", 75.0),
            ("separation_margin", 4000.0 / 75.0),
            ("slip_margin", 0.15 * 4000.0 * 4.0 / 60.0),
            (
                "pressure",
                4000.0 / (core::f64::consts::FRAC_PI_4 * (100.0 - 30.25)),
            ),
        ] {
            assert!(
                (number(&report, key) / expected - 1.0).abs() < 1e-12,
                "{key}"
            );
        }
        for (id, word) in [
            ("proof", "within"),
            ("separation", "within"),
            ("slip", "within"),
            ("pressure", "near"),
        ] {
            assert_eq!(state(&report, id), word, "{id}");
        }
    }

    #[test]
    fn margins_are_near_up_to_two_and_a_half() {
        let at = |preload| state(&with(&[("torque", ""), ("preload", preload)]), "separation");
        assert_eq!(
            (at("149"), at("150"), at("187.5"), at("188")),
            ("over", "near", "near", "within")
        );
        let proof = |preload| state(&with(&[("torque", ""), ("preload", preload)]), "proof");
        assert_eq!(
            (proof("4000"), proof("5500"), proof("6500")),
            ("within", "near", "over")
        );
    }

    #[test]
    fn a_given_tension_needs_no_size_and_no_torque() {
        let report = with(&[("torque", ""), ("preload", "900"), ("size", "")]);
        assert!(number(&report, "separation_margin") > 11.0);
        assert_eq!(report.number("proof_used"), None);
        assert_eq!(faults(&with(&[("preload", "900")])), ["preload"]);
    }

    #[test]
    fn without_shear_or_moment_there_is_no_margin() {
        assert_eq!(with(&[("shear", "")]).number("slip_margin"), None);
        assert_eq!(state(&with(&[("shear", "")]), "slip"), "");
        let still = with(&[("moment", "0")]);
        assert_eq!(still.number("separation_margin"), None);
        assert!(number(&still, "screw_load").abs() < 1e-12);
    }

    #[test]
    fn a_hole_as_large_as_the_head_is_refused() {
        assert_eq!(faults(&with(&[("hole", "10")])), ["hole"]);
        assert_eq!(faults(&with(&[("hole", "9.9")])), [""; 0]);
    }

    #[test]
    fn every_size_and_class_on_the_page_has_its_figures() {
        for (key, names) in [
            ("size", bolt::SIZES.map(|(name, ..)| name).to_vec()),
            ("grade", bolt::GRADES.map(|(name, _)| name).to_vec()),
        ] {
            let field = super::FIELDS.iter().find(|field| field.key == key);
            let Some(Kind::Choice(options)) = field.map(|field| field.kind) else {
                panic!("{key} is a choice");
            };
            let keys = options.iter().map(|option| option.key);
            assert!(keys.eq(names), "{key}");
        }
    }
}
