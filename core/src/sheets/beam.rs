//! `beam`: a profile or a printed arm.

use super::declare::{Answer, Caution, Check, Field, Sheet, Subject, When, choice};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::entry::unit::{CM4, G, GPA, HZ, KG_M3, MM, MM2, MPA, N, N_PER_M, ONE, UM};
use crate::frame::GRAVITY;
use crate::frame::beam::{Beam, Section, Support};
use crate::material;

const FLAT: When = &[("section", &["rect", "box"])];
const ROUND: When = &[("section", &["tube", "round"])];
const HOLLOW: When = &[("section", &["tube", "box"])];
const OWN: When = &[("section", &["own"])];

const FIELDS: &[Field] = &[
    Field::choice(
        "section",
        "Section",
        &[
            choice("rect", "Solid rectangle"),
            choice("tube", "Round tube"),
            choice("box", "Rectangular tube"),
            choice("round", "Round bar"),
            choice("own", "By its data sheet"),
        ],
    ),
    Field::number("width", "Width", MM)
        .above(0.0, "a beam has a size")
        .at_most(1e4, "no beam is wider")
        .when(FLAT),
    Field::number("height", "Height", MM)
        .above(0.0, "a beam has a size")
        .at_most(1e4, "no beam is higher")
        .help("in the direction of the load")
        .when(FLAT),
    Field::number("diameter", "Diameter", MM)
        .above(0.0, "a beam has a size")
        .at_most(1e4, "no beam is thicker")
        .when(ROUND),
    Field::number("wall", "Wall thickness", MM)
        .above(0.0, "a tube has a wall")
        .at_most(1e4, "no wall is thicker")
        .when(HOLLOW),
    Field::number("inertia", "Second moment of area", CM4)
        .above(0.0, "a beam resists bending")
        .at_most(1e9, "no beam is stiffer")
        .help("about the axis it bends over; on a slotted profile's data sheet")
        .when(OWN),
    Field::number("area", "Area of the section", MM2)
        .above(0.0, "a beam has a section")
        .at_most(1e8, "no beam is thicker")
        .help("for its own weight")
        .when(OWN),
    Field::number("half_height", "Middle to outermost fibre", MM)
        .above(0.0, "a beam has a size")
        .at_most(1e4, "no beam is higher")
        .help("half the height of a symmetric section")
        .when(OWN),
    Field::choice(
        "material",
        "Material",
        &[
            choice("steel", "Steel"),
            choice("stainless", "Stainless steel"),
            choice("aluminium", "Aluminium profile"),
            choice("brass", "Brass"),
            choice("pla", "Printed PLA"),
            choice("petg", "Printed PETG"),
            choice("abs", "Printed ABS"),
            choice("asa", "Printed ASA"),
            choice("pc", "Printed PC"),
            choice("pa", "Printed PA"),
        ],
    )
    .optional()
    .help("round figures, common practice; or type the data sheet's below"),
    Field::number("modulus", "Young's modulus", GPA)
        .above(0.0, "a beam resists bending")
        .at_most(2000.0, "nothing is stiffer")
        .help("in place of a material"),
    Field::number("density", "Density", KG_M3)
        .above(0.0, "a beam weighs something")
        .at_most(30_000.0, "nothing is denser")
        .help("in place of a material"),
    Field::number("yield_strength", "Yield strength", MPA)
        .above(0.0, "a beam stands some stress")
        .at_most(1e5, "nothing stands more")
        .help("in place of a material"),
    Field::choice(
        "support",
        "Held",
        &[
            choice("cantilever", "Clamped at one end, load at the other"),
            choice("simple", "On two supports, load in the middle"),
            choice("fixed", "Clamped at both ends, load in the middle"),
        ],
    ),
    Field::number("span", "Free length", MM)
        .above(0.0, "a beam has a length")
        .at_most(1e6, "no beam is longer")
        .help("clamp to end, or between the supports"),
    Field::number("load", "Load", N)
        .default("0")
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e9, "no beam carries more")
        .help("at the end or in the middle; 1 kg weighs 9.8 N"),
    Field::number("spread", "Load spread over the length", N_PER_M)
        .default("0")
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e9, "no beam carries more")
        .help("without its own weight, which is added"),
];

const GEOMETRY: &str = "Definition of the second moment of area";
const TABLES: &str = "Beam tables of handbooks";
const RAYLEIGH: &str = "Rayleigh's quotient of the static deflection, textbooks of vibration";

const ANSWERS: &[Answer] = &[
    Answer::number("section_inertia", "Second moment of area", CM4)
        .formula("{width} × {height}³ ÷ 12", GEOMETRY)
        .when(&[("section", &["rect"])]),
    Answer::number("section_inertia", "Second moment of area", CM4)
        .formula(
            "({width} × {height}³ − (both less 2 × {wall})) ÷ 12",
            GEOMETRY,
        )
        .when(&[("section", &["box"])]),
    Answer::number("section_inertia", "Second moment of area", CM4)
        .formula("π × {diameter}⁴ ÷ 64", GEOMETRY)
        .when(&[("section", &["round"])]),
    Answer::number("section_inertia", "Second moment of area", CM4)
        .formula(
            "π × ({diameter}⁴ − ({diameter} − 2 × {wall})⁴) ÷ 64",
            GEOMETRY,
        )
        .when(&[("section", &["tube"])]),
    Answer::number("section_inertia", "Second moment of area", CM4)
        .formula("{inertia}", "Data sheet")
        .when(OWN),
    Answer::number("spread_all", "Spread load, own weight included", N_PER_M)
        .formula("{spread} + {mass} × g ÷ {span}", "Definition")
        .aside(),
    Answer::number("stiffness", "Bending stiffness E I, in N·mm²", ONE).aside(),
    Answer::number("deflection", "Deflection", UM)
        .headline()
        .formula(
            "({load} ÷ 3 + {spread_all} × {span} ÷ 8) × {span}³ ÷ E I",
            TABLES,
        )
        .when(&[("support", &["cantilever"])]),
    Answer::number("deflection", "Deflection", UM)
        .headline()
        .formula(
            "({load} ÷ 48 + 5 × {spread_all} × {span} ÷ 384) × {span}³ ÷ E I",
            TABLES,
        )
        .when(&[("support", &["simple"])]),
    Answer::number("deflection", "Deflection", UM)
        .headline()
        .formula(
            "({load} ÷ 192 + {spread_all} × {span} ÷ 384) × {span}³ ÷ E I",
            TABLES,
        )
        .when(&[("support", &["fixed"])]),
    Answer::number(
        "deflection_crept",
        "Deflection after weeks, as it creeps",
        UM,
    )
    .formula(
        "{deflection} × 2",
        "Half the stiffness of a plastic under steady load, more near heat: common practice",
    ),
    Answer::number("stress", "Largest bending stress", MPA)
        .formula(
            "({load} × {span} + {spread_all} × {span}² ÷ 2) × half height ÷ {section_inertia}",
            TABLES,
        )
        .when(&[("support", &["cantilever"])]),
    Answer::number("stress", "Largest bending stress", MPA)
        .formula(
            "({load} × {span} ÷ 4 + {spread_all} × {span}² ÷ 8) × half height ÷ {section_inertia}",
            TABLES,
        )
        .when(&[("support", &["simple"])]),
    Answer::number("stress", "Largest bending stress", MPA)
        .formula(
            "({load} × {span} ÷ 8 + {spread_all} × {span}² ÷ 12) × half height ÷ {section_inertia}",
            TABLES,
        )
        .when(&[("support", &["fixed"])]),
    Answer::number("safety", "Safety against yielding", ONE)
        .significant(3)
        .headline()
        .formula("yield strength ÷ {stress}", "Definition"),
    Answer::number("frequency", "First mode of the loaded beam", HZ)
        .headline()
        .formula("√(g × Σ W y ÷ Σ W y²) ÷ 2π", RAYLEIGH),
    Answer::number("mass", "Mass of the beam", G).formula("area × {span} × density", "Definition"),
];

const CHECKS: &[Check] = &[Check {
    id: "yield",
    label: "Stress against the yield strength",
    measure: MPA,
    within: "The stress of {value} stays below the yield strength of {limit}.",
    near: "The stress of {value} is close to the yield strength of {limit}: a knock bends it for good.",
    over: "The stress of {value} passes the yield strength of {limit}: it bends for good or breaks.",
}];

/// Below this modulus in GPa a material is a plastic, or wood: it creeps.
const CREEPS_BELOW: f64 = 15.0;

/// How many times as far a plastic is bent after weeks; common practice.
const CREPT: f64 = 2.0;

const CAUTIONS: &[Caution] = &[Caution::raised(
    "printed",
    "A printed or plastic part under steady load creeps, splits between layers at a part of its strength and softens with heat; these figures are for a short load at room temperature (common practice).",
    "Reckon with half the stiffness or less, lay the layers along the load, keep it from heat, and measure the sag again after a week.",
)];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "beam",
    title: "Beam",
    about: "how far a profile or a printed arm bends under its load, and whether it stands it",
    search: "profile extrusion arm gantry deflection bending stress stiffness resonance inertia",
    subject: Subject::Frame,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: CAUTIONS,
    work,
};

/// What a beam is made of, each as far as it is known.
struct Stuff {
    modulus: Option<f64>,
    density: Option<f64>,
    yield_strength: Option<f64>,
    creeps: bool,
}

fn stuff(inputs: &Inputs, out: &mut Outcome) -> Stuff {
    let own = ["modulus", "density", "yield_strength"];
    let typed = own.into_iter().find(|key| inputs.typed(key));
    let named = inputs.typed("material");
    if let Some(key) = typed.filter(|_| named) {
        let label = inputs.field(key).map_or("", |field| field.label);
        out.problem(
            key,
            alloc::format!("{label}: give a material or its figures, not both."),
        );
        return Stuff {
            modulus: None,
            density: None,
            yield_strength: None,
            creeps: false,
        };
    }
    if let Some(material) = material::find(inputs.choice("material")) {
        return Stuff {
            modulus: Some(material.modulus),
            density: Some(material.density),
            yield_strength: Some(material.yield_strength),
            creeps: material.printed,
        };
    }
    let modulus = inputs.num("modulus");
    Stuff {
        modulus,
        density: inputs.num("density"),
        yield_strength: inputs.num("yield_strength"),
        creeps: modulus.is_some_and(|modulus| modulus < CREEPS_BELOW),
    }
}

/// The section, each figure as far as it is known: a slotted profile may come without its area.
struct Shape {
    inertia: Option<f64>,
    area: Option<f64>,
    half_height: Option<f64>,
}

fn shape(inputs: &Inputs, out: &mut Outcome) -> Shape {
    if inputs.choice("section") == "own" {
        return Shape {
            inertia: inputs.num("inertia").map(|cm4| cm4 * 1e4),
            area: inputs.num("area"),
            half_height: inputs.num("half_height"),
        };
    }
    let section = section(inputs, out);
    Shape {
        inertia: section.map(|section| section.inertia),
        area: section.map(|section| section.area),
        half_height: section.map(|section| section.half_height),
    }
}

fn section(inputs: &Inputs, out: &mut Outcome) -> Option<Section> {
    let size = |key| inputs.num(key);
    let hollow = match inputs.choice("section") {
        "rect" => return Some(Section::rect(size("width")?, size("height")?)),
        "round" => return Some(Section::round(size("diameter")?)),
        "box" => Section::box_tube(size("width")?, size("height")?, size("wall")?),
        "tube" => Section::tube(size("diameter")?, size("wall")?),
        _ => return None,
    };
    if hollow.is_none() {
        out.problem(
            "wall",
            "Wall thickness: enter at most half of the section's smaller size.",
        );
    }
    hollow
}

fn work(inputs: &Inputs, out: &mut Outcome) {
    let stuff = stuff(inputs, out);
    let shape = shape(inputs, out);
    if stuff.creeps {
        out.caution("printed");
    }
    out.put("section_inertia", shape.inertia.map(|mm4| mm4 / 1e4));
    let span = inputs.num("span");
    let kilograms = shape
        .area
        .zip(stuff.density)
        .zip(span)
        .map(|((area, density), span)| area * span * density * 1e-9);
    out.put("mass", kilograms.map(|kg| kg * 1000.0));
    let spread = kilograms
        .zip(span)
        .zip(inputs.num("spread"))
        .map(|((kg, span), spread)| spread / 1000.0 + kg * GRAVITY / span);
    out.put("spread_all", spread.map(|n_mm| n_mm * 1000.0));
    let support = match inputs.choice("support") {
        "cantilever" => Support::Cantilever,
        "simple" => Support::Simple,
        "fixed" => Support::Fixed,
        _ => return,
    };
    let (Some(span), Some(load), Some(spread)) = (span, inputs.num("load"), spread) else {
        return;
    };
    let stiffness = shape
        .inertia
        .zip(stuff.modulus)
        .map(|(inertia, modulus)| inertia * modulus * 1000.0);
    let beam = Beam {
        support,
        span,
        // The moment needs none; what does is left out below.
        stiffness: stiffness.unwrap_or(f64::NAN),
        load,
        spread,
    };
    out.put("stiffness", stiffness);
    let deflection = beam.deflection() * 1000.0;
    out.put("deflection", deflection);
    if stuff.creeps {
        out.put("deflection_crept", CREPT * deflection);
    }
    out.put("frequency", beam.frequency());
    let stress = shape
        .inertia
        .zip(shape.half_height)
        .map(|(inertia, half)| beam.moment() * half / inertia);
    out.put("stress", stress);
    let strength = stuff.yield_strength;
    out.put(
        "safety",
        strength
            .zip(stress)
            .map(|(strength, stress)| strength / stress),
    );
    out.check_at_most("yield", stress, strength);
}

#[cfg(test)]
mod tests {
    use super::super::trial::{faults, number, run, state};
    use super::super::{Kind, Report};
    use crate::material;

    const ARM: &[(&str, &str)] = &[
        ("section", "box"),
        ("width", "20"),
        ("height", "30"),
        ("wall", "2"),
        ("modulus", "70"),
        ("density", "2700"),
        ("yield_strength", "160"),
        ("span", "250"),
        ("load", "15"),
    ];

    fn with(more: &[(&'static str, &'static str)]) -> Report {
        let mut entries = ARM.to_vec();
        entries.retain(|(key, _)| more.iter().all(|(other, _)| other != key));
        entries.extend_from_slice(more);
        run("beam", &entries)
    }

    #[test]
    fn the_arm_bends_by_its_load_and_its_own_weight() {
        let report = with(&[]);
        let inertia = (20.0 * 27_000.0 - 16.0 * 26.0_f64.powi(3)) / 12.0;
        let weight = (600.0 - 16.0 * 26.0) * 2.7e-6 * 9.80665;
        let deflection = (15.0 / 3.0 + weight * 250.0 / 8.0) * 250.0_f64.powi(3) / (70e3 * inertia);
        let stress = (15.0 * 250.0 + weight * 250.0 * 250.0 / 2.0) * 15.0 / inertia;
        for (key, expected) in [
            ("section_inertia", inertia / 1e4),
            ("deflection", deflection * 1000.0),
            ("stress", stress),
            ("safety", 160.0 / stress),
            ("mass", 184.0 * 250.0 * 2.7e-3),
        ] {
            assert!(
                (number(&report, key) / expected - 1.0).abs() < 1e-12,
                "{key}"
            );
        }
        assert_eq!(state(&report, "yield"), "within");
        assert!(report.cautions.is_empty());
    }

    #[test]
    fn a_profile_by_its_data_sheet_is_a_beam_like_any() {
        let own = with(&[
            ("section", "own"),
            ("inertia", "0.75"),
            ("area", "170"),
            ("half_height", "10"),
            ("support", "fixed"),
        ]);
        let weight = 170.0 * 2.7e-6 * 9.80665;
        let stress = (15.0 * 250.0 / 8.0 + weight * 62_500.0 / 12.0) * 10.0 / 7500.0;
        assert!((number(&own, "stress") / stress - 1.0).abs() < 1e-12);
        assert!((number(&own, "section_inertia") - 0.75).abs() < 1e-15);
    }

    #[test]
    fn what_is_not_known_leaves_only_what_needs_it_blank() {
        let without = with(&[("modulus", "")]);
        assert!(without.number("deflection").is_none() && without.number("stress").is_some());
        let without = with(&[("density", "")]);
        assert!(
            without.number("deflection").is_none() && without.number("section_inertia").is_some()
        );
        assert!(with(&[("yield_strength", "")]).number("safety").is_none());
    }

    #[test]
    fn a_material_or_its_figures_and_walls_that_fit() {
        let both = with(&[("material", "steel")]);
        assert_eq!(faults(&both), ["modulus"]);
        let density = with(&[
            ("material", "steel"),
            ("modulus", ""),
            ("yield_strength", ""),
        ]);
        assert_eq!(faults(&density), ["density"]);
        assert_eq!(faults(&with(&[("wall", "10.1")])), ["wall"]);
        assert_eq!(faults(&with(&[("wall", "10")])), [""; 0]);
    }

    #[test]
    fn plastic_is_cautioned_and_every_material_has_figures() {
        assert_eq!(with(&[("modulus", "2")]).cautions.len(), 1);
        let Some(field) = super::FIELDS.iter().find(|field| field.key == "material") else {
            panic!("there is a material");
        };
        let Kind::Choice(options) = field.kind else {
            panic!("it is a choice");
        };
        for option in options {
            let material = material::find(option.key).expect("it has figures");
            let entries = [
                ("modulus", ""),
                ("density", ""),
                ("yield_strength", ""),
                ("material", option.key),
            ];
            let report = with(&entries);
            assert_eq!(
                report.cautions.len(),
                usize::from(material.printed),
                "{}",
                option.key
            );
            assert!(number(&report, "safety") > 1.0);
            // What creeps is bent twice as far in time.
            let crept = report.number("deflection_crept");
            let expected = material
                .printed
                .then(|| 2.0 * number(&report, "deflection"));
            assert_eq!(crept, expected, "{}", option.key);
        }
    }

    #[test]
    fn more_than_it_stands_is_said() {
        assert_eq!(state(&with(&[("load", "1000")]), "yield"), "over");
    }
}
