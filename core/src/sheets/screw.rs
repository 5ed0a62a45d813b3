//! `screw`: lead screws, what they raise, hold and stand.

use alloc::format;
use alloc::vec::Vec;

use super::declare::{Answer, Caution, Check, Field, Sheet, Subject, choice};
use super::inputs::Inputs;
use super::outcome::{Outcome, State};
use crate::entry::thread::Series;
use crate::entry::unit::{DEG, GPA, KG, KG_M3, MM, MM_S, MPA, N, N_M, ONE, PERCENT, REV_MIN, UM};
use crate::motion::GRAVITY;
use crate::motion::screw::{self, Ends, PowerScrew, Shaft};

const FIELDS: &[Field] = &[
    Field::thread("thread", "Thread designation")
        .optional()
        .help("ISO 2901 or ISO 261; sets diameter, pitch and starts, so leave those blank"),
    Field::number("diameter", "Thread diameter", MM)
        .above(0.0, "a screw has a size")
        .at_most(1000.0, "no screw is that thick")
        .usual(2.0, 40.0, "lead screws of such machines")
        .help("outside, over the crests"),
    Field::number("pitch", "Thread pitch", MM)
        .above(0.0, "threads stand some way apart")
        .at_most(1000.0, "no screw is that coarse")
        .usual(0.2, 20.0, "lead screws of such machines")
        .help("from one thread to the next; the lead is pitch × starts"),
    Field::count("starts", "Starts")
        .default("1")
        .at_least(1.0, "a screw has a thread")
        .at_most(100.0, "no screw has more")
        .help("thread ends seen at the end of the screw"),
    Field::number("root", "Root diameter", MM)
        .optional()
        .above(0.0, "a screw has a core")
        .at_most(1000.0, "no screw is that thick")
        .help("blank: by the standard of the designation, else diameter less pitch"),
    Field::number("flank", "Half angle of the thread form", DEG)
        .default("15")
        .at_least(0.0, "a square thread has the least")
        .at_most(80.0, "no flank is flatter")
        .help("15 trapezoidal, 30 metric (set by an M designation), 14.5 acme, 0 square"),
    Field::number("mu", "Friction of the thread", ONE)
        .default("0.15")
        .at_least(0.0, "friction only holds back")
        .at_most(10.0, "no dry pair rubs more")
        .usual(0.02, 0.4, "greased or dry nuts")
        .help("0.15 for steel on bronze, some grease (common practice); 0.1 and less when fresh or plastic"),
    Field::number("mu_collar", "Friction of the thrust collar", ONE)
        .default("0")
        .at_least(0.0, "friction only holds back")
        .at_most(10.0, "no dry pair rubs more")
        .help("0 where a ball bearing takes the thrust"),
    Field::number("collar", "Mean diameter of the collar", MM)
        .optional()
        .above(0.0, "a collar has a size")
        .at_most(1000.0, "no collar is that large")
        .help("only for a collar that rubs"),
    Field::either("load", "Load on this screw", &[N, KG])
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e7, "no screw carries more")
        .help("in N, or with its unit as 2 kg; share it when several screws carry"),
    Field::number("length", "Unsupported length", MM)
        .optional()
        .above(0.0, "supports stand some way apart")
        .at_most(1e5, "no screw is that long")
        .help("the longest stretch between nut and bearing, or between bearings"),
    Field::choice(
        "ends",
        "Ends",
        &[
            choice("fixed-free", "One clamped, one free"),
            choice("simple-simple", "Both in one bearing each, free to tilt"),
            choice("fixed-simple", "One clamped, one in a bearing"),
            choice("fixed-fixed", "Both clamped"),
        ],
    )
    .help("a coupling alone holds nothing: such an end is free"),
    Field::number("modulus", "Young's modulus", GPA)
        .default("205")
        .above(0.0, "a screw is stiff")
        .at_most(2000.0, "no material is stiffer")
        .usual(1.0, 250.0, "plastics to steel")
        .help("205 GPa for steel"),
    Field::number("density", "Density", KG_M3)
        .default("7850")
        .above(0.0, "a screw weighs something")
        .at_most(30_000.0, "no material is heavier")
        .help("7850 kg/m³ for steel"),
    Field::number("yield_strength", "Yield strength", MPA)
        .default("250")
        .above(0.0, "a screw bears something")
        .at_most(10_000.0, "no material bears more")
        .help("250 MPa for mild steel"),
    Field::number("speed", "Speed", MM_S)
        .optional()
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e6, "no axis moves faster"),
    Field::number("step", "Full step of the motor", DEG)
        .default("1.8")
        .above(0.0, "a motor moves at each step")
        .at_most(180.0, "a turn has two steps at the least")
        .usual(0.35, 15.0, "step motors of such machines"),
    Field::ratio("gears", "Reduction, motor turns per screw turn")
        .default("1")
        .above(0.0, "gears turn the screw")
        .at_most(1e6, "no machine gears down that far"),
    Field::number("layer", "Layer height", MM)
        .optional()
        .above(0.0, "a layer has a height")
        .at_most(1000.0, "no layer is higher")
        .usual(0.03, 1.0, "printed layers"),
    Field::number("detent", "Detent torque of the motor", N_M)
        .default("0")
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1000.0, "no motor has more")
        .help("unpowered, by its data sheet; also called residual torque"),
];

const POWER_SCREW: &str = "Shigley's Mechanical Engineering Design, the mechanics of power screws: flank by its secant, collar at its mean diameter";
const LEAD: &str = "ISO 5408 (terms of screw threads): lead = pitch × starts";
const WHIRL: &str = "Bernoulli-Euler beam, first bending mode; Shigley's Mechanical Engineering Design, critical speeds for shafts";
const COLUMN: &str = "Shigley's Mechanical Engineering Design, columns with central loading: Euler, Johnson below the transition slenderness";

const ANSWERS: &[Answer] = &[
    Answer::number("lead", "Lead", MM)
        .formula("{pitch} × {starts}", LEAD),
    Answer::number("mean_diameter", "Mean diameter of the thread", MM).formula(
        "d − pitch ÷ 2, or d − 0.6495 × pitch of an M thread",
        "ISO 2904 and ISO 724: pitch diameter",
    ),
    Answer::number("root_diameter", "Root diameter", MM).formula(
        "as entered; else d3 of a Tr thread, d − 1.2269 × pitch of an M thread, d − pitch of any other",
        "ISO 2904 and ISO 898-1: d3",
    ),
    Answer::number("lead_angle", "Lead angle", DEG).formula(
        "atan({lead} ÷ (π × {mean_diameter}))",
        POWER_SCREW,
    ),
    Answer::number("force", "Load as a force", N)
        .formula("{load} (1 kg weighs 9.80665 N)", "Standard gravity, ISO 80000-3")
        .aside(),
    Answer::number("collar_torque", "Torque at the collar", N_M)
        .formula("{force} × {mu_collar} × {collar} ÷ 2", POWER_SCREW)
        .aside(),
    Answer::number("raise_torque", "Torque to raise", N_M)
        .headline()
        .formula(
            "{force} × {mean_diameter} ÷ 2 × ({lead} + π × {mu} × {mean_diameter} ÷ cos {flank}) ÷ (π × {mean_diameter} − {mu} × {lead} ÷ cos {flank}) + {collar_torque}",
            POWER_SCREW,
        ),
    Answer::number("lower_torque", "Torque to lower; below 0 the load drives the screw", N_M).formula(
        "{force} × {mean_diameter} ÷ 2 × (π × {mu} × {mean_diameter} ÷ cos {flank} − {lead}) ÷ (π × {mean_diameter} + {mu} × {lead} ÷ cos {flank}) + {collar_torque}",
        POWER_SCREW,
    ),
    Answer::number("efficiency", "Efficiency", PERCENT)
        .formula("{force} × {lead} ÷ (2π × {raise_torque})", "Work out over work in of one turn"),
    Answer::number("mu_lock", "Friction at which it just locks", ONE).formula(
        "{lead} × cos {flank} ÷ (π × {mean_diameter})",
        POWER_SCREW,
    ),
    Answer::text("self_locking", "Locks by its thread alone"),
    Answer::text("holds_unpowered", "Holds without power").headline(),
    Answer::number("whirl_factor", "Coefficient of the ends for whirl", ONE)
        .formula("1.875 fixed-free, π simple-simple, 3.927 fixed-simple, 4.730 fixed-fixed", WHIRL)
        .aside(),
    Answer::number("critical_rpm", "Critical speed of rotation", REV_MIN).formula(
        "({whirl_factor} ÷ {length})² × {root_diameter} ÷ 4 × √({modulus} ÷ {density}) ÷ 2π",
        WHIRL,
    ),
    Answer::number("critical_speed", "Speed of travel at the critical speed", MM_S)
        .formula("{critical_rpm} × {lead}", "Definition of the lead"),
    Answer::number("slenderness", "Slenderness", ONE)
        .formula("effective length ÷ ({root_diameter} ÷ 4): 2, 1, 0.699 or 0.5 × {length}", COLUMN)
        .aside(),
    Answer::number("buckling", "Load that buckles it", N).formula(
        "π² × {modulus} × area ÷ {slenderness}², or area × ({yield_strength} − ({yield_strength} × {slenderness} ÷ 2π)² ÷ {modulus})",
        COLUMN,
    ),
    Answer::number("full_step", "Travel of a full step", UM)
        .fixed(2)
        .formula("{lead} ÷ {gears} × {step} ÷ 360°", "Definition"),
    Answer::list("whole_step_layers", "Layers of whole full steps", MM).formula("multiples of {full_step} from 0.04 to 0.40 mm", "Definition"),
    Answer::number("layer_error", "Layer less the nearest of whole full steps", UM)
        .formula("{layer} − nearest multiple of {full_step}", "Definition"),
];

const CHECKS: &[Check] = &[
    Check {
        id: "whirl",
        label: "Speed against whirl",
        measure: MM_S,
        within: "{value} stays below {limit}, 80 % of the speed at which the screw whirls.",
        near: "{value} is close to {limit}, 80 % of the speed at which the screw whirls.",
        over: "{value} is over {limit}, 80 % of the speed at which the screw whirls: slower, thicker, shorter or better held.",
    },
    Check {
        id: "buckling",
        label: "Load against buckling",
        measure: N,
        within: "{value} stays below {limit}, a quarter of the load that buckles the screw.",
        near: "{value} is close to {limit}, a quarter of the load that buckles the screw.",
        over: "{value} is over {limit}, a quarter of the load that buckles the screw: thicker, shorter or better held.",
    },
    Check {
        id: "drop",
        label: "Without power",
        measure: N_M,
        within: "Without power the load stays where it is, even at half the friction: {value} in hand.",
        near: "Without power the load stays with {value} in hand, but not at half the friction: grease or vibration can make it sink.",
        over: "Without power the load sinks: what holds the screw less what drives it is {value}.",
    },
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "screw",
    title: "Lead screw",
    about: "torque to raise and lower, whether the bed drops without power, whirl, buckling and layers of whole steps",
    search: "leadscrew lead screw trapezoidal acme ball self-locking backdrive falling bed critical speed whip column torque efficiency layer",
    subject: Subject::Motion,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: &[Caution::raised(
        "drop",
        "When the power goes, or a driver switches off, the bed or gantry falls and crushes what is under it.",
        "Before reaching below, prop or lower the axis; fit a brake, a counterweight or a screw of smaller lead.",
    )],
    work,
};

/// The thread as its designation or its sizes tell it.
#[derive(Clone, Copy)]
struct Form {
    metric: bool,
    diameter: f64,
    pitch: f64,
    lead: f64,
    /// Root diameter by the standard.
    root: f64,
}

fn work(inputs: &Inputs, out: &mut Outcome) {
    let form = form(inputs, out);
    let mut flank = inputs.num("flank");
    if form.is_some_and(|form| form.metric) && !inputs.typed("flank") {
        flank = Some(METRIC_FLANK_DEG);
        out.stand_in("flank", METRIC_FLANK_DEG);
    }
    out.put("lead", form.map(|form| form.lead));
    let screw = form.zip(flank).zip(inputs.num("mu"));
    let screw = screw.and_then(|((form, flank_deg), mu)| {
        let mean_diameter_mm = screw::mean_diameter_mm(form.metric, form.diameter, form.pitch);
        (mean_diameter_mm > 0.0).then_some(PowerScrew {
            lead_mm: form.lead,
            mean_diameter_mm,
            flank_deg,
            mu,
        })
    });
    let force = inputs.either("load").map(|(which, load)| match which {
        0 => load,
        _ => load * GRAVITY,
    });
    out.put("force", force);
    if let Some(screw) = screw {
        torques(inputs, out, screw, force);
    }

    let root = root(inputs, out, form);
    out.put("root_diameter", root);
    if let Some((root, lead)) = root.zip(form.map(|form| form.lead)) {
        stability(inputs, out, root, lead, force);
    }
    if let Some(form) = form {
        steps(inputs, out, form.lead);
    }
}

/// Half angle of the metric thread form, ISO 68-1.
const METRIC_FLANK_DEG: f64 = 30.0;

/// The thread from its designation, or from diameter, pitch and starts.
fn form(inputs: &Inputs, out: &mut Outcome) -> Option<Form> {
    if inputs.typed("thread") {
        let sizes = ["diameter", "pitch", "starts"];
        if let Some(field) = sizes.into_iter().find(|key| inputs.typed(key)) {
            let label = inputs.field(field).map_or("", |field| field.label);
            out.problem(
                field,
                format!("{label}: the thread designation sets it; enter the one or the other."),
            );
            return None;
        }
        let thread = inputs.thread("thread")?;
        let metric = thread.series == Series::Metric;
        let (diameter, pitch) = (thread.diameter_mm, thread.pitch_mm);
        out.stand_in("diameter", diameter);
        out.stand_in("pitch", pitch);
        out.stand_in("starts", f64::from(thread.starts));
        return Some(Form {
            metric,
            diameter,
            pitch,
            lead: thread.lead_mm,
            root: if metric {
                screw::metric_root_mm(diameter, pitch)
            } else {
                thread.minor_diameter_mm()
            },
        });
    }
    let (diameter, pitch) = (inputs.num("diameter")?, inputs.num("pitch")?);
    Some(Form {
        metric: false,
        diameter,
        pitch,
        lead: pitch * inputs.num("starts")?,
        root: diameter - pitch,
    })
}

/// The root diameter, as entered or by the standard.
fn root(inputs: &Inputs, out: &mut Outcome, form: Option<Form>) -> Option<f64> {
    if inputs.typed("root") {
        let root = inputs.num("root")?;
        if form.is_some_and(|form| root >= form.diameter) {
            out.problem(
                "root",
                "Root diameter: enter less than the thread diameter.",
            );
            return None;
        }
        return Some(root);
    }
    let form = form?;
    if form.root <= 0.0 {
        out.problem(
            "pitch",
            "Thread pitch: enter less than the thread diameter, or the root diameter too: no core would be left.",
        );
        return None;
    }
    Some(form.root)
}

/// What it takes to turn the screw under load, and what holds it.
fn torques(inputs: &Inputs, out: &mut Outcome, screw: PowerScrew, force: Option<f64>) {
    out.put("mean_diameter", screw.mean_diameter_mm);
    out.put("lead_angle", screw.lead_angle_deg());
    let locking = screw.locking_mu();
    out.put("mu_lock", locking);
    out.put_yes("self_locking", screw.mu >= locking * (1.0 - ROUNDING));

    // A collar without friction needs no size.
    let collar = match inputs.num("mu_collar") {
        Some(mu) if mu > 0.0 => inputs
            .num("collar")
            .map(|mean| screw::collar_arm_mm(mu, mean)),
        other => other,
    };
    let Some(collar) = collar else { return };
    let raise = screw.raise_arm_mm().map(|arm| arm + collar);
    out.put(
        "efficiency",
        raise.map(|arm| 100.0 * screw::efficiency(screw.lead_mm, arm)),
    );
    let Some(force) = force else { return };
    let torque = |arm_mm: f64| force * arm_mm / 1000.0;
    out.put("collar_torque", torque(collar));
    out.put("raise_torque", raise.map(torque));
    let lower = torque(screw.lower_arm_mm() + collar);
    out.put("lower_torque", lower);

    let held = inputs.num("detent").zip(inputs.num("gears"));
    let Some(held) = held.map(|(detent, gears)| detent * gears) else {
        return;
    };
    let dry = PowerScrew {
        mu: screw.mu / 2.0,
        ..screw
    };
    let slack = -ROUNDING * torque(screw.lead_mm);
    let holds = lower + held >= slack;
    let holds_at_half = torque(dry.lower_arm_mm() + collar) + held >= slack;
    out.put_yes("holds_unpowered", holds);
    let state = match (holds, holds_at_half) {
        (true, true) => State::Within,
        (true, false) => State::Near,
        (false, _) => State::Over,
    };
    out.check("drop", state, lower + held, 0.0);
    if state != State::Within {
        out.caution("drop");
    }
}

/// Rounding in the last places does not turn a screw that just locks into one that slips.
const ROUNDING: f64 = 1e-12;

/// Whirl and buckling of the root.
fn stability(inputs: &Inputs, out: &mut Outcome, root: f64, lead: f64, force: Option<f64>) {
    let ends = match inputs.choice("ends") {
        "fixed-free" => Ends::FIXED_FREE,
        "simple-simple" => Ends::SIMPLE_SIMPLE,
        "fixed-simple" => Ends::FIXED_SIMPLE,
        "fixed-fixed" => Ends::FIXED_FIXED,
        _ => return,
    };
    let (Some(length_mm), Some(modulus_gpa)) = (inputs.num("length"), inputs.num("modulus")) else {
        return;
    };
    let shaft = Shaft {
        diameter_mm: root,
        length_mm,
        ends,
        modulus_gpa,
    };
    out.put("whirl_factor", ends.whirl);
    let rpm = inputs
        .num("density")
        .map(|density| shaft.critical_rpm(density));
    out.put("critical_rpm", rpm);
    let critical = rpm.map(|rpm| rpm / 60.0 * lead);
    out.put("critical_speed", critical);
    out.check_at_most(
        "whirl",
        inputs.num("speed"),
        critical.map(|speed| WHIRL_SHARE * speed),
    );
    out.put("slenderness", shaft.slenderness());
    let buckling = inputs
        .num("yield_strength")
        .map(|mpa| shaft.buckling_n(mpa));
    out.put("buckling", buckling);
    out.check_at_most(
        "buckling",
        force,
        buckling.map(|load| load / BUCKLING_SAFETY),
    );
}

/// Share of the critical speed that is still used: common practice.
const WHIRL_SHARE: f64 = 0.8;
/// Safety against buckling: common practice for screws that carry a machine.
const BUCKLING_SAFETY: f64 = 4.0;

/// Full steps and the layers that are whole numbers of them.
fn steps(inputs: &Inputs, out: &mut Outcome, lead: f64) {
    let (Some(step), Some(gears)) = (inputs.num("step"), inputs.num("gears")) else {
        return;
    };
    let full_step = lead / gears * step / 360.0;
    out.put("full_step", full_step * 1000.0);
    if full_step * MOST_LAYERS > HIGHEST_LAYER {
        let counts = screw::whole_steps_within(full_step, LOWEST_LAYER, HIGHEST_LAYER);
        let mut layers = Vec::new();
        if let Some((mut count, last)) = counts {
            while count <= last {
                layers.push(count * full_step);
                count += 1.0;
            }
        }
        out.put_list("whole_step_layers", layers);
    }
    let error = inputs
        .num("layer")
        .map(|layer| 1000.0 * screw::layer_error_mm(layer, full_step));
    out.put("layer_error", error);
}

/// Layers from 0.04 to 0.40 mm are listed.
const LOWEST_LAYER: f64 = 0.04;
const HIGHEST_LAYER: f64 = 0.40;
/// With more steps than this in the highest layer every layer is one, and a list tells nothing.
const MOST_LAYERS: f64 = 10_000.0;

#[cfg(test)]
mod tests {
    use super::super::Found;
    use super::super::trial::{faults, number, run, state, text};

    const SIZES: [(&str, &str); 3] = [("diameter", "8"), ("pitch", "2"), ("load", "20")];

    fn with(more: &[(&str, &str)]) -> super::super::Report {
        let entries: alloc::vec::Vec<_> = SIZES.iter().chain(more).copied().collect();
        run("screw", &entries)
    }

    #[test]
    fn a_designation_sets_sizes_starts_and_flank() {
        let metric = run("screw", &[("thread", "M8"), ("load", "20")]);
        assert!((number(&metric, "mean_diameter") - (8.0 - 0.6495 * 1.25)).abs() < 1e-12);
        assert!((number(&metric, "root_diameter") - (8.0 - 1.2269 * 1.25)).abs() < 1e-12);
        let flank_30 = (core::f64::consts::PI / 6.0).cos();
        let locking = 1.25 * flank_30 / (core::f64::consts::PI * (8.0 - 0.6495 * 1.25));
        assert!((number(&metric, "mu_lock") - locking).abs() < 1e-12);
        let four_starts = run("screw", &[("thread", "Tr8x8(P2)")]);
        assert!((number(&four_starts, "lead") - 8.0).abs() < 1e-12);
        // ISO 2904: 8 - 2 - 2 * 0.25.
        assert!((number(&four_starts, "root_diameter") - 5.5).abs() < 1e-12);
        assert!((number(&with(&[]), "root_diameter") - 6.0).abs() < 1e-12);
    }

    #[test]
    fn designation_and_sizes_together_are_refused_at_the_size() {
        for (key, value) in [("diameter", "8"), ("pitch", "2"), ("starts", "4")] {
            let report = run("screw", &[("thread", "Tr8x8(P2)"), (key, value)]);
            assert_eq!(faults(&report), [key]);
        }
        assert_eq!(
            faults(&run("screw", &[("thread", "Tr8x3(P2)")])),
            ["thread"]
        );
        assert_eq!(faults(&with(&[("load", "-2 kg")])), ["load"]);
        assert_eq!(faults(&with(&[("root", "8")])), ["root"]);
        let coreless = run("screw", &[("diameter", "8"), ("pitch", "8")]);
        assert_eq!(faults(&coreless), ["pitch"]);
    }

    #[test]
    fn a_load_in_kilograms_weighs() {
        let report = with(&[("load", "2 kg")]);
        let newtons = with(&[("load", "19.6133")]);
        let torque = |report| number(report, "raise_torque");
        assert!((torque(&report) - torque(&newtons)).abs() < 1e-15);
    }

    #[test]
    fn a_rubbing_collar_needs_its_size() {
        assert_eq!(with(&[("mu_collar", "0.1")]).number("raise_torque"), None);
        let report = with(&[("mu_collar", "0.1"), ("collar", "10")]);
        let more = number(&report, "raise_torque") - number(&with(&[]), "raise_torque");
        assert!((more - 20.0 * 0.1 * 0.005).abs() < 1e-15);
        assert_eq!(text(&report, "self_locking"), "yes");
    }

    #[test]
    fn the_drop_check_halves_the_friction() {
        // 8 mm with 2 mm of lead locks at 0.088.
        for (mu, word, cautions) in [
            ("0.18", "within", 0),
            ("0.1", "near", 1),
            ("0.08", "over", 1),
        ] {
            let report = with(&[("mu", mu)]);
            assert_eq!(state(&report, "drop"), word, "mu {mu}");
            assert_eq!(report.cautions.len(), cautions, "mu {mu}");
        }
        // The motor's detent torque, geared, holds what the thread does not.
        let held = with(&[("mu", "0.08"), ("detent", "0.001"), ("gears", "3")]);
        assert_eq!(state(&held, "drop"), "near");
        assert_eq!(text(&held, "holds_unpowered"), "yes");
        assert_eq!(text(&held, "self_locking"), "no");
    }

    #[test]
    fn whirl_and_buckling_are_checked_with_their_shares() {
        let report = with(&[("length", "500"), ("ends", "fixed-simple"), ("speed", "20")]);
        let critical = number(&report, "critical_speed");
        let limit = |id: &str| {
            let checked = report.checks.iter().find(|checked| checked.check.id == id);
            checked
                .and_then(|checked| checked.limit)
                .unwrap_or(f64::NAN)
        };
        assert!((limit("whirl") - 0.8 * critical).abs() < 1e-9);
        assert!((limit("buckling") - number(&report, "buckling") / 4.0).abs() < 1e-9);
        assert_eq!(state(&with(&[("length", "500")]), "whirl"), "");
    }

    #[test]
    fn layers_of_whole_steps() {
        let report = with(&[("starts", "4"), ("layer", "0.25")]);
        let Some(Found::List(layers)) = report.found("whole_step_layers") else {
            panic!("layers");
        };
        assert_eq!(layers.len(), 10);
        assert!((number(&report, "layer_error") - 10.0).abs() < 1e-9);
        // A thousand steps in a layer are still listed, ten thousand tell nothing.
        let fine = with(&[("gears", "1000")]);
        assert_eq!(fine.found("whole_step_layers"), None);
    }
}
