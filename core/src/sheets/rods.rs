//! `rods`: upright guides and a cantilevered bed.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use super::declare::{Answer, Check, Field, Sheet, Subject, When, choice, head};
use super::inputs::Inputs;
use super::outcome::{Cell, Outcome};
use crate::entry::unit::{CM4, GPA, HZ, KG, MM, MM_M, N, N_M, N_M_MRAD, ONE, UM};
use crate::entry::write::write_shortest;
use crate::frame::GRAVITY;
use crate::frame::guide::{self, Ends, Guide};

const CANTILEVER: When = &[("layout", &["cantilever"])];
const BOTH_ENDS: When = &[("layout", &["both_ends"])];

const FIELDS: &[Field] = &[
    Field::choice(
        "layout",
        "Bed",
        &[
            choice("cantilever", "On guides at one side"),
            choice("both_ends", "On guides at both sides"),
        ],
    ),
    Field::count("rods", "Rods")
        .at_least(1.0, "a bed runs on a rod")
        .at_most(100.0, "no bed runs on more")
        .help("of one side, or carriages of one side"),
    Field::number("rod_diameter", "Rod diameter", MM)
        .above(0.0, "a rod has a size")
        .at_most(1000.0, "no guide is thicker"),
    Field::number("rod_length", "Rod length between supports", MM)
        .above(0.0, "a rod has a length")
        .at_most(1e5, "no guide is longer"),
    Field::choice(
        "rod_ends",
        "Rod ends",
        &[
            choice("simple", "Held, free to turn"),
            choice("fixed", "Clamped, cannot turn"),
        ],
    )
    .help("a printed holder turns; a thick clamped block hardly does"),
    Field::number("modulus", "Young's modulus of the rods", GPA)
        .default("205")
        .above(0.0, "a rod resists bending")
        .at_most(2000.0, "nothing is stiffer")
        .help("205 GPa for steel"),
    Field::number("bearing_spacing", "Bearing spacing", MM)
        .above(0.0, "two bearings stand apart")
        .at_most(1e5, "no carriage is that tall")
        .help("middle of the lower to middle of the upper"),
    Field::number("clearance", "Bearing clearance on the diameter", UM)
        .default("0")
        .at_least(0.0, "a clearance is a gap")
        .at_most(1e4, "more would be no bearing"),
    Field::number("position", "Lower support to lower bearing", MM)
        .at_least(0.0, "the bearing is on the rod")
        .at_most(1e5, "no guide is longer")
        .help("at the lowest bed position"),
    Field::number("travel", "Travel upward from there", MM)
        .default("0")
        .at_least(0.0, "the travel goes upward")
        .at_most(1e5, "no guide is longer"),
    Field::number("tilt_stiffness", "Tilting stiffness of a rail carriage", N_M_MRAD)
        .optional()
        .above(0.0, "a carriage resists tilting")
        .at_most(1e9, "no carriage is stiffer")
        .help("of one carriage by its data sheet, in place of the rods' bending"),
    Field::number("bed_mass", "Bed mass", KG)
        .at_least(0.0, "a bed weighs something")
        .at_most(1e5, "no bed weighs more")
        .carried("mass", "z")
        .help("all that hangs on the guides"),
    Field::number("print_mass", "Print mass", KG)
        .default("0")
        .at_least(0.0, "a print weighs something")
        .at_most(1e5, "no print weighs more"),
    Field::number("overhang", "Rods to the bed's centre", MM)
        .above(0.0, "the bed is beside the rods")
        .at_most(1e5, "no bed is that far out"),
    Field::number("reach", "Rods to the bed's far edge", MM)
        .above(0.0, "the bed is beside the rods")
        .at_most(1e5, "no bed is that far out"),
    Field::count("arms", "Arms under the bed")
        .at_least(1.0, "a bed rests on an arm")
        .at_most(100.0, "no bed rests on more"),
    Field::number("arm_width", "Arm width", MM)
        .optional()
        .above(0.0, "an arm has a size")
        .at_most(1e4, "no arm is wider")
        .help("of a solid bar"),
    Field::number("arm_height", "Arm height", MM)
        .optional()
        .above(0.0, "an arm has a size")
        .at_most(1e4, "no arm is higher")
        .help("of a solid bar, upright"),
    Field::number("arm_inertia", "Second moment of area of an arm", CM4)
        .optional()
        .above(0.0, "an arm resists bending")
        .at_most(1e9, "no arm is stiffer")
        .help("in place of width and height; slotted profiles are not solid, so take it from their data sheet"),
    Field::number("arm_modulus", "Young's modulus of the arms", GPA)
        .above(0.0, "an arm resists bending")
        .at_most(2000.0, "nothing is stiffer")
        .help("69 GPa for aluminium, about 2 GPa printed (common practice)"),
    Field::number("layer", "Layer height", MM)
        .default("0.2")
        .above(0.0, "a layer has a height")
        .at_most(100.0, "no layer is higher"),
    Field::number("price_bearings", "Price of wider bearings", ONE)
        .optional()
        .at_least(0.0, "a price is paid")
        .at_most(1e9, "nothing here costs more")
        .help("in your currency, for the comparison"),
    Field::number("price_rods", "Price of thicker rods", ONE)
        .optional()
        .at_least(0.0, "a price is paid")
        .at_most(1e9, "nothing here costs more"),
    Field::number("price_ends", "Price of a second guide", ONE)
        .optional()
        .at_least(0.0, "a price is paid")
        .at_most(1e9, "nothing here costs more"),
];

const TABLES: &str = "Beam tables of handbooks: two opposite loads on a rod between its supports";
const ARM: &str = "Beam tables of handbooks: cantilever with a load, straight beyond it";
const BRIDGE: &str = "Beam tables of handbooks: load in the middle of two supports";
const BALANCE: &str = "Balance of moments";
const SMALL: &str = "Small angles";

const ANSWERS: &[Answer] = &[
    Answer::number("moment", "Moment on the guides", N_M)
        .formula("({bed_mass} + {print_mass}) × g × {overhang}", BALANCE)
        .when(CANTILEVER),
    Answer::number("moment", "Moment on the guides", N_M).formula("none between two supports", BALANCE).when(BOTH_ENDS),
    Answer::number("bearing_force", "Force on each bearing", N)
        .formula("{moment} ÷ ({bearing_spacing} × {rods})", BALANCE),
    Answer::number("tilt_rods", "Tilt by the rods", MM_M)
        .formula(
            "{moment} × (h² + 3 m²) ÷ (3 × {rods} × E I × {rod_length}) for held ends, h half of the free length, m the bearings' distance from the middle",
            TABLES,
        )
        .when(CANTILEVER)
        .aside(),
    Answer::number("tilt_clearance", "Tilt by clearance", MM_M)
        .formula("{clearance} ÷ {bearing_spacing}", SMALL)
        .when(CANTILEVER)
        .aside(),
    Answer::number("sag_rods", "Sag by the rods", UM)
        .formula("{tilt_rods} × {reach}", SMALL)
        .when(CANTILEVER),
    Answer::number("sag_rods", "Sag by the rods", UM).formula("none without tilt", SMALL).when(BOTH_ENDS),
    Answer::number("sag_clearance", "Sag by bearing clearance", UM)
        .formula("{tilt_clearance} × {reach}", SMALL)
        .when(CANTILEVER),
    Answer::number("sag_clearance", "Sag by bearing clearance", UM).formula("none without tilt", SMALL).when(BOTH_ENDS),
    Answer::number("sag_arms", "Sag by the arms", UM)
        .formula(
            "weight × {overhang}² × (3 × {reach} − {overhang}) ÷ (6 × {arms} × E I)",
            ARM,
        )
        .when(CANTILEVER),
    Answer::number("sag_arms", "Sag by the arms", UM)
        .formula("weight × (2 × {overhang})³ ÷ (48 × {arms} × E I)", BRIDGE)
        .when(BOTH_ENDS),
    Answer::number("sag", "Sag of the far edge", UM)
        .headline()
        .formula("{sag_rods} + {sag_clearance} + {sag_arms}", "Sum")
        .when(CANTILEVER),
    Answer::number("sag", "Sag of the bed's centre", UM)
        .headline()
        .formula("{sag_arms}", "Sum")
        .when(BOTH_ENDS),
    Answer::number("tilt", "Tilt by rods and clearance", MM_M)
        .formula("{tilt_rods} + {tilt_clearance}", "Sum")
        .when(CANTILEVER),
    Answer::number("tilt", "Tilt by rods and clearance", MM_M).formula("none between two supports", BALANCE).when(BOTH_ENDS),
    Answer::number("sag_change_travel", "Sag changes over the travel by", UM).headline().formula("largest less smallest tilt by the rods over {travel}, × {reach}", TABLES).when(CANTILEVER),
    Answer::number("sag_change_travel", "Sag changes over the travel by", UM).headline().formula("none without tilt", SMALL).when(BOTH_ENDS),
    Answer::number("sag_change_print", "Sag changes with the print by", UM).headline().formula("sag by rods and arms with {print_mass} alone", "Hooke's law: in proportion to the weight"),
    Answer::number("frequency", "Bed swings at", HZ)
        .formula(
            "√(g ÷ elastic sag at the bed's centre) ÷ 2π",
            "One mass on a spring",
        ),
    Answer::rows(
        "compare",
        "Stiffer choices",
        &[head("Change", "", 0), head("Sag, of today's", "", 3)],
    )
    .when(CANTILEVER),
    Answer::rows(
        "compare_price",
        "What stiffer costs",
        &[
            head("Change", "", 0),
            head("Price", "", 4),
            head("Sag less", "um", 3),
            head("Less for 1 of price", "um", 3),
        ],
    )
    .when(CANTILEVER),
];

const CHECKS: &[Check] = &[
    Check {
        id: "sag_change_travel",
        label: "Sag over the travel against half a layer",
        measure: UM,
        within: "The sag changes by {value} over the travel; half a layer is {limit}.",
        near: "The sag changes by {value} over the travel, close to half a layer of {limit}.",
        over: "The sag changes by {value} over the travel, more than half a layer of {limit}: levelling holds at one height only.",
    },
    Check {
        id: "sag_change_print",
        label: "Sag by the print against half a layer",
        measure: UM,
        within: "The print lowers the far edge by {value}; half a layer is {limit}.",
        near: "The print lowers the far edge by {value}, close to half a layer of {limit}.",
        over: "The print lowers the far edge by {value}, more than half a layer of {limit}: layers gape there.",
    },
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "rods",
    title: "Guides and bed",
    about: "how far a bed on guide rods sags, and what stiffer parts would gain",
    search: "smooth rod linear rail bearing cantilever bed sag deflection stiffness tilt resonance",
    subject: Subject::Frame,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: &[],
    work,
};

/// What the entries say, each as far as it is known; lengths in mm, forces in N.
struct Bed {
    one_sided: bool,
    rods: Option<f64>,
    diameter: Option<f64>,
    length: Option<f64>,
    ends: Option<Ends>,
    modulus: Option<f64>,
    spacing: Option<f64>,
    clearance: Option<f64>,
    position: Option<f64>,
    travel: Option<f64>,
    /// Of all carriages, N·mm/rad.
    rail: Option<f64>,
    by_rail: bool,
    overhang: Option<f64>,
    reach: Option<f64>,
    /// Stiffness of all arms, N·mm².
    arms: Option<f64>,
}

impl Bed {
    fn read(inputs: &Inputs, out: &mut Outcome) -> Option<Self> {
        let one_sided = match inputs.choice("layout") {
            "cantilever" => true,
            "both_ends" => false,
            _ => return None,
        };
        let rods = inputs.num("rods");
        let mut bed = Self {
            one_sided,
            rods,
            diameter: inputs.num("rod_diameter"),
            length: inputs.num("rod_length"),
            ends: match inputs.choice("rod_ends") {
                "simple" => Some(Ends::Simple),
                "fixed" => Some(Ends::Fixed),
                _ => None,
            },
            modulus: inputs.num("modulus"),
            spacing: inputs.num("bearing_spacing"),
            clearance: inputs.num("clearance"),
            position: inputs.num("position"),
            travel: inputs.num("travel"),
            rail: inputs
                .num("tilt_stiffness")
                .zip(rods)
                .map(|(stiffness, rods)| stiffness * 1e6 * rods),
            by_rail: inputs.typed("tilt_stiffness"),
            overhang: inputs.num("overhang"),
            reach: inputs.num("reach"),
            arms: arms(inputs, out),
        };
        bed.keep_on_the_rod(out);
        if let (true, Some(overhang), Some(reach)) = (one_sided, bed.overhang, bed.reach)
            && reach < overhang
        {
            out.problem(
                "reach",
                "Rods to the bed's far edge: enter a length not below that to the bed's centre.",
            );
            bed.reach = None;
        }
        Some(bed)
    }

    /// Refuses a place or a travel that takes the upper bearing past the rod's end.
    fn keep_on_the_rod(&mut self, out: &mut Outcome) {
        let (Some(length), Some(spacing), Some(position)) =
            (self.length, self.spacing, self.position)
        else {
            return;
        };
        let holds = |position: f64| {
            let guide = Guide {
                length,
                spacing,
                stiffness: 1.0,
                ends: Ends::Simple,
            };
            guide.holds(position)
        };
        let beyond = |label: &str, room: f64| {
            let fix = if room >= 0.0 {
                format!("enter up to {} mm", write_shortest(room, 5))
            } else {
                String::from("enter a longer rod or a smaller bearing spacing")
            };
            format!("{label}: the upper bearing would be past the rod's end; {fix}.")
        };
        if !holds(position) {
            out.problem(
                "position",
                beyond("Lower support to lower bearing", length - spacing),
            );
            self.position = None;
        } else if let Some(travel) = self.travel
            && !holds(position + travel)
        {
            out.problem(
                "travel",
                beyond("Travel upward from there", length - spacing - position),
            );
            self.travel = None;
        }
    }

    fn guide(&self) -> Option<Guide> {
        Some(Guide {
            length: self.length?,
            spacing: self.spacing?,
            stiffness: self.modulus? * 1000.0 * guide::round_inertia(self.diameter?) * self.rods?,
            ends: self.ends?,
        })
    }

    /// Tilt in rad by the rods or rail carriages under a weight in N at the bed's centre.
    fn tilt_rods(&self, weight: f64) -> Option<f64> {
        if !self.one_sided {
            return Some(0.0);
        }
        let moment = weight * self.overhang?;
        if self.by_rail {
            return Some(moment / self.rail?);
        }
        Some(self.guide()?.tilt(moment, self.position?))
    }

    /// Tilt in rad that clearance allows.
    fn tilt_clearance(&self) -> Option<f64> {
        let clearance = self.clearance? / 1000.0;
        if !self.one_sided || clearance <= 0.0 {
            return Some(0.0);
        }
        Some(clearance / self.spacing?)
    }

    /// Sag in mm by the arms, at the far edge of a one-sided bed and in the middle of a two-sided one.
    fn sag_arms(&self, weight: f64) -> Option<f64> {
        if self.one_sided {
            let (at, to) = (self.overhang?, self.reach?);
            Some(guide::arm_deflection(weight, self.arms?, at, to))
        } else {
            self.sag_between(weight)
        }
    }

    /// Sag in mm in the middle of arms held at both sides.
    fn sag_between(&self, weight: f64) -> Option<f64> {
        Some(guide::middle_deflection(
            weight,
            self.arms?,
            2.0 * self.overhang?,
        ))
    }

    /// Sag in mm by a tilt in rad.
    fn sag_of(&self, tilt: Option<f64>) -> Option<f64> {
        if self.one_sided {
            Some(tilt? * self.reach?)
        } else {
            Some(0.0)
        }
    }

    /// Sag in mm by all that gives way under a weight.
    fn sag_elastic(&self, weight: f64) -> Option<f64> {
        Some(self.sag_of(self.tilt_rods(weight))? + self.sag_arms(weight)?)
    }

    /// Sag in mm by all.
    fn sag(&self, weight: f64) -> Option<f64> {
        Some(self.sag_elastic(weight)? + self.sag_of(self.tilt_clearance())?)
    }

    /// Elastic sag in mm at the bed's centre.
    fn sag_centre(&self, weight: f64) -> Option<f64> {
        if !self.one_sided {
            return self.sag_between(weight);
        }
        let overhang = self.overhang?;
        let arms = guide::arm_deflection(weight, self.arms?, overhang, overhang);
        Some(self.tilt_rods(weight)? * overhang + arms)
    }

    /// By how much the sag changes over the travel, mm.
    fn change_travel(&self, weight: f64) -> Option<f64> {
        if !self.one_sided {
            return Some(0.0);
        }
        if self.by_rail {
            return self.rail.map(|_| 0.0);
        }
        let (from, travel) = (self.position?, self.travel?);
        let (least, most) = self
            .guide()?
            .tilt_range(weight * self.overhang?, from, from + travel);
        Some((most - least) * self.reach?)
    }

    /// Whether the bearings stay on the rods over the whole travel, as far as that is known.
    fn fits(&self) -> bool {
        match (self.guide(), self.position) {
            (Some(guide), Some(from)) => guide.holds(from + self.travel.unwrap_or(0.0)),
            _ => true,
        }
    }
}

/// Stiffness of all arms in N·mm².
fn arms(inputs: &Inputs, out: &mut Outcome) -> Option<f64> {
    let by_size = inputs.typed("arm_width") || inputs.typed("arm_height");
    let inertia = if by_size && inputs.typed("arm_inertia") {
        out.problem(
            "arm_inertia",
            "Second moment of area of an arm: give width and height or the second moment, not both.",
        );
        None
    } else if let Some(cm4) = inputs.num("arm_inertia") {
        Some(cm4 * 1e4)
    } else {
        let size = inputs.num("arm_width").zip(inputs.num("arm_height"));
        size.map(|(width, height)| guide::rect_inertia(width, height))
    };
    Some(inertia? * inputs.num("arm_modulus")? * 1000.0 * inputs.num("arms")?)
}

fn work(inputs: &Inputs, out: &mut Outcome) {
    let Some(bed) = Bed::read(inputs, out) else {
        return;
    };
    let um = |mm: Option<f64>| mm.map(|mm| mm * 1000.0);
    let print = inputs.num("print_mass").map(|mass| mass * GRAVITY);
    let weight = inputs
        .num("bed_mass")
        .zip(print)
        .map(|(bed, print)| bed * GRAVITY + print);

    let moment = if bed.one_sided {
        weight.zip(bed.overhang).map(|(weight, arm)| weight * arm)
    } else {
        Some(0.0)
    };
    out.put("moment", moment.map(|moment| moment / 1000.0));
    if let (Some(moment), Some(spacing), Some(rods)) = (moment, bed.spacing, bed.rods) {
        out.put("bearing_force", moment / (spacing * rods));
    }

    let tilt_rods = weight.and_then(|weight| bed.tilt_rods(weight));
    let tilt_clearance = bed.tilt_clearance();
    out.put("tilt_rods", um(tilt_rods));
    out.put("tilt_clearance", um(tilt_clearance));
    let tilt = tilt_rods.zip(tilt_clearance);
    out.put("tilt", tilt.map(|(a, b)| (a + b) * 1000.0));
    out.put("sag_rods", um(bed.sag_of(tilt_rods)));
    out.put("sag_clearance", um(bed.sag_of(tilt_clearance)));
    out.put(
        "sag_arms",
        um(weight.and_then(|weight| bed.sag_arms(weight))),
    );
    out.put("sag", um(weight.and_then(|weight| bed.sag(weight))));

    let half_layer = inputs.num("layer").map(|layer| layer * 500.0);
    let change_travel = um(weight.and_then(|weight| bed.change_travel(weight)));
    out.put("sag_change_travel", change_travel);
    out.check_at_most("sag_change_travel", change_travel, half_layer);
    // What is elastic is in proportion to the weight: the print's share is the sag by the print alone.
    let change_print = um(print.and_then(|print| bed.sag_elastic(print)));
    out.put("sag_change_print", change_print);
    out.check_at_most("sag_change_print", change_print, half_layer);
    let centre = weight.and_then(|weight| bed.sag_centre(weight));
    out.put("frequency", centre.map(guide::sag_frequency));
    if let Some(weight) = weight
        && out.wants_rows()
    {
        compare(inputs, out, &bed, weight);
    }
}

/// The sag with wider bearings, thicker rods or a second guide over today's, and what each costs.
fn compare(inputs: &Inputs, out: &mut Outcome, bed: &Bed, weight: f64) {
    let Some(now) = bed.sag(weight).filter(|now| bed.one_sided && *now > 0.0) else {
        return;
    };
    let mut choices: Vec<(String, &str, f64)> = Vec::new();
    if let Some(spacing) = bed.spacing {
        let wider = Bed {
            spacing: Some(2.0 * spacing),
            ..*bed
        };
        if let Some(sag) = wider.sag(weight).filter(|_| wider.fits()) {
            let text = format!("bearings {} mm apart", write_shortest(2.0 * spacing, 5));
            choices.push((text, "price_bearings", sag));
        }
    }
    if let Some(size) = bed.diameter.and_then(guide::thicker_rod)
        && !bed.by_rail
    {
        let thicker = Bed {
            diameter: Some(size),
            ..*bed
        };
        if let Some(sag) = thicker.sag(weight) {
            let text = format!("rods of {} mm", write_shortest(size, 5));
            choices.push((text, "price_rods", sag));
        }
    }
    if let Some(sag) = bed.sag_between(weight) {
        choices.push((String::from("supports at both ends"), "price_ends", sag));
    }
    let priced: Vec<Vec<Cell>> = choices
        .iter()
        .filter_map(|(text, key, sag)| {
            let price = inputs.num(key)?;
            let less = (now - sag) * 1000.0;
            Some(
                [
                    Cell::Text(text.clone().into()),
                    Cell::number(price),
                    Cell::number(less),
                    Cell::number(less / price),
                ]
                .into(),
            )
        })
        .collect();
    let rows = choices
        .into_iter()
        .map(|(text, _, sag)| [Cell::Text(text.into()), Cell::number(sag / now)].into());
    out.put_rows("compare", rows.collect());
    if !priced.is_empty() {
        out.put_rows("compare_price", priced);
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{faults, number, run};
    use super::super::{Cell, Found, Report};

    /// Two 10 mm rods of 350 mm, a bed of 1.4 kg 120 mm beside them on two 20 mm square arms.
    const PLAIN: &[(&str, &str)] = &[
        ("rods", "2"),
        ("rod_diameter", "10"),
        ("rod_length", "350"),
        ("bearing_spacing", "70"),
        ("position", "20"),
        ("travel", "180"),
        ("bed_mass", "1.2"),
        ("print_mass", "0.2"),
        ("overhang", "120"),
        ("reach", "230"),
        ("arms", "2"),
        ("arm_width", "20"),
        ("arm_height", "20"),
        ("arm_modulus", "69"),
    ];

    fn with(more: &[(&'static str, &'static str)]) -> Report {
        let mut entries = PLAIN.to_vec();
        entries.retain(|(key, _)| more.iter().all(|(other, _)| other != key));
        entries.extend_from_slice(more);
        run("rods", &entries)
    }

    fn ratios(report: &Report) -> Vec<f64> {
        let Some(Found::Rows(rows)) = report.found("compare") else {
            return Vec::new();
        };
        let second = rows.iter().map(|row| match row.get(1) {
            Some(Cell::Number(x)) => *x,
            _ => f64::NAN,
        });
        second.collect()
    }

    use std::vec::Vec;

    #[test]
    fn moment_and_forces_are_in_balance() {
        let report = with(&[]);
        let moment = 1.4 * 9.80665 * 0.12;
        assert!((number(&report, "moment") - moment).abs() < 1e-12);
        assert!((number(&report, "bearing_force") - moment / 0.07 / 2.0).abs() < 1e-12);
        let sum = number(&report, "sag_rods") + number(&report, "sag_arms");
        assert!((number(&report, "sag") - sum).abs() < 1e-9);
        assert!(
            (number(&report, "tilt") * 0.23 * 1000.0 - number(&report, "sag_rods")).abs() < 1e-9
        );
    }

    #[test]
    fn the_print_lowers_the_edge_by_what_it_weighs() {
        let (with_print, without) = (with(&[]), with(&[("print_mass", "0")]));
        let change = number(&with_print, "sag") - number(&without, "sag");
        assert!((number(&with_print, "sag_change_print") - change).abs() < 1e-9);
        assert!(number(&without, "sag_change_print").abs() < 1e-12);
    }

    #[test]
    fn the_change_over_the_travel_is_that_of_its_ends() {
        // The bearings' middle passes the rod's middle, where the tilt is least; the start is farther out than the end.
        let low = number(&with(&[]), "sag_rods");
        let middle = number(&with(&[("position", "140"), ("travel", "0")]), "sag_rods");
        assert!((number(&with(&[]), "sag_change_travel") - (low - middle)).abs() < 1e-9);
        assert!(number(&with(&[("travel", "0")]), "sag_change_travel").abs() < 1e-12);
    }

    #[test]
    fn clearance_alone_tilts_by_its_share_of_the_spacing() {
        let report = with(&[("clearance", "35")]);
        assert!((number(&report, "sag_clearance") - 0.035 / 70.0 * 230.0 * 1000.0).abs() < 1e-9);
        // It does not swing and does not change with the print.
        assert!((number(&report, "frequency") - number(&with(&[]), "frequency")).abs() < 1e-9);
    }

    #[test]
    fn a_rail_carriage_tilts_by_its_data_sheet() {
        let report = with(&[
            ("tilt_stiffness", "0.5"),
            ("position", ""),
            ("rod_diameter", ""),
        ]);
        let mrad = number(&report, "moment") / (0.5 * 2.0);
        assert!((number(&report, "sag_rods") - mrad * 230.0).abs() < 1e-9);
        assert!(number(&report, "sag_change_travel").abs() < 1e-12);
        assert_eq!(ratios(&report).len(), 2);
    }

    #[test]
    fn both_ends_leave_only_the_arms() {
        let report = with(&[("layout", "both_ends")]);
        for key in [
            "moment",
            "bearing_force",
            "sag_rods",
            "sag_clearance",
            "tilt",
            "sag_change_travel",
        ] {
            assert!(number(&report, key).abs() < 1e-12, "{key}");
        }
        let sag = 1.4 * 9.80665 * 240.0_f64.powi(3) / (48.0 * 69e3 * 2.0 * 20.0_f64.powi(4) / 12.0);
        assert!((number(&report, "sag") - sag * 1000.0).abs() < 1e-9);
        assert_eq!(report.found("compare"), None);
        let compared = ratios(&with(&[]));
        let today = number(&with(&[]), "sag");
        assert!(
            compared
                .last()
                .is_some_and(|ratio| (ratio - sag * 1000.0 / today).abs() < 1e-9)
        );
    }

    #[test]
    fn stiffer_choices_are_those_that_fit() {
        let all = ratios(&with(&[]));
        assert_eq!(all.len(), 3);
        assert!(all.iter().all(|ratio| *ratio < 1.0));
        // Twice 70 mm from 20 mm over 200 mm would pass the end at 350 mm.
        assert_eq!(ratios(&with(&[("travel", "200")])).len(), 2);
        assert_eq!(ratios(&with(&[("rod_diameter", "30")])).len(), 2);
        let wide = number(&with(&[("bearing_spacing", "140")]), "sag") / number(&with(&[]), "sag");
        assert!(
            all.first()
                .is_some_and(|ratio| (ratio - wide).abs() < 1e-12)
        );
        let thick = number(&with(&[("rod_diameter", "12")]), "sag") / number(&with(&[]), "sag");
        assert!(
            all.get(1)
                .is_some_and(|ratio| (ratio - thick).abs() < 1e-12)
        );
        assert_eq!(with(&[]).found("compare_price"), None);
        let priced = with(&[("price_rods", "18")]);
        assert!(
            matches!(priced.found("compare_price"), Some(Found::Rows(rows)) if rows.len() == 1)
        );
    }

    #[test]
    fn bearings_past_the_rod_are_refused_where_the_cause_is() {
        assert_eq!(
            faults(&with(&[("position", "281"), ("travel", "0")])),
            ["position"]
        );
        assert_eq!(faults(&with(&[("position", "281")])), ["position"]);
        assert_eq!(faults(&with(&[("travel", "261")])), ["travel"]);
        assert_eq!(faults(&with(&[("travel", "260")])), [""; 0]);
        let travel = with(&[("travel", "261")]);
        assert!(travel.number("sag").is_some() && travel.number("sag_change_travel").is_none());
        assert_eq!(with(&[("position", "300")]).number("sag"), None);
    }

    #[test]
    fn an_arm_is_given_one_way_and_the_edge_lies_beyond_the_centre() {
        assert_eq!(faults(&with(&[("arm_inertia", "0.7")])), ["arm_inertia"]);
        assert_eq!(faults(&with(&[("reach", "119")])), ["reach"]);
        let profile = with(&[
            ("arm_inertia", "0.7"),
            ("arm_width", ""),
            ("arm_height", ""),
        ]);
        let per_load = 120.0 * 120.0 * (3.0 * 230.0 - 120.0) / (6.0 * 69e3 * 2.0 * 7000.0);
        assert!((number(&profile, "sag_arms") - 1.4 * 9806.65 * per_load).abs() < 1e-9);
    }
}
