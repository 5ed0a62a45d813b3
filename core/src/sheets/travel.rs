//! `travel`: from motor turn to millimetres.

use alloc::format;
use alloc::string::ToString;
use core::f64::consts::PI;

use super::declare::{Answer, Caution, Field, Sheet, Subject, When, choice};
use super::inputs::{Inputs, Origin};
use super::outcome::Outcome;
use crate::entry::unit::{DEG, MM, ONE, PER_DEG, PER_MM, PERCENT, UM};
use crate::entry::write::write_shortest;
use crate::exact::Exact;
use crate::motion;

const BELT: When = &[("drive", &["belt"])];
const SCREW: When = &[("drive", &["screw"])];
const RACK: When = &[("drive", &["rack"])];
const ROLLER: When = &[("drive", &["roller"])];
const ROTARY: When = &[("drive", &["rotary"])];
const LINEAR: When = &[("drive", &["belt", "screw", "rack", "roller"])];

const FIELDS: &[Field] = &[
    Field::choice(
        "drive",
        "Drive",
        &[
            choice("belt", "Toothed belt"),
            choice("screw", "Lead screw"),
            choice("rack", "Rack and pinion"),
            choice("roller", "Roller, as for filament"),
            choice("rotary", "Rotary, in degrees"),
        ],
    ),
    Field::thread("thread", "Thread designation")
        .optional()
        .help("ISO 2901 or ISO 261; sets pitch and starts, so leave those blank")
        .when(SCREW),
    Field::number("pitch", "Belt pitch", MM)
        .above(0.0, "teeth stand some way apart")
        .at_most(1000.0, "no belt is that coarse")
        .usual(1.0, 20.0, "belts of such machines")
        .help("from tooth to tooth, printed on the belt or in its data sheet")
        .when(BELT),
    Field::number("pitch", "Thread pitch", MM)
        .above(0.0, "threads stand some way apart")
        .at_most(1000.0, "no screw is that coarse")
        .usual(0.2, 20.0, "lead screws of such machines")
        .help("from one thread to the next; the lead is pitch × starts")
        .when(SCREW),
    Field::number("pitch", "Rack pitch", MM)
        .above(0.0, "teeth stand some way apart")
        .at_most(1000.0, "no rack is that coarse")
        .help("from tooth to tooth; or give the module instead")
        .when(RACK),
    Field::number("module", "Module", MM)
        .optional()
        .above(0.0, "teeth have a size")
        .at_most(300.0, "no rack is that coarse")
        .help("in place of the pitch: pitch = π × module")
        .when(RACK),
    Field::count("teeth", "Pulley teeth")
        .at_least(1.0, "a pulley has teeth")
        .at_most(10_000.0, "no pulley has more")
        .usual(
            10.0,
            200.0,
            "small pulleys wear the belt, large ones are rare",
        )
        .help("on the pulley that the last shaft turns; count them twice")
        .when(BELT),
    Field::count("teeth", "Pinion teeth")
        .at_least(1.0, "a pinion has teeth")
        .at_most(10_000.0, "no pinion has more")
        .help("count them twice")
        .when(RACK),
    Field::count("starts", "Starts")
        .default("1")
        .at_least(1.0, "a screw has a thread")
        .at_most(100.0, "no screw has more")
        .help("thread ends seen at the end of the screw")
        .when(SCREW),
    Field::number("diameter", "Effective diameter", MM)
        .above(0.0, "a roller has a size")
        .at_most(10_000.0, "no roller is that large")
        .help("where the material runs; a bite into the filament makes it smaller")
        .when(ROLLER),
    Field::ratio("gears", "Reduction, driven / driver")
        .default("1")
        .above(0.0, "gears turn the output")
        .at_most(1e6, "no machine gears down that far")
        .help("a product of quotients for several stages: 60/20*34/17"),
    Field::number("step", "Full step", DEG)
        .default("1.8")
        .above(0.0, "a motor moves at each step")
        .at_most(180.0, "a turn has two steps at the least")
        .usual(0.35, 15.0, "step motors of such machines")
        .help("on the motor's label; or give the steps per turn below"),
    Field::number("steps", "Full steps per motor turn", ONE)
        .optional()
        .at_least(2.0, "a turn has two steps at the least")
        .at_most(1e9, "no motor has more")
        .help("in place of the step angle"),
    Field::power_of_two("micro", "Microsteps per full step").default("16"),
    Field::number("span", "Length of the axis", MM)
        .default("300")
        .above(0.0, "an axis has a length")
        .at_most(1e6, "no axis is that long")
        .help("decides how many digits the travel needs")
        .when(LINEAR),
    Field::number("span", "Range of the axis", DEG)
        .default("300")
        .above(0.0, "an axis has a range")
        .at_most(1e6, "no axis turns that far")
        .help("decides how many digits the travel needs")
        .when(ROTARY),
    Field::number("steps_per_mm", "Wanted steps per mm", PER_MM)
        .optional()
        .target()
        .above(0.0, "a machine steps")
        .at_most(1e9, "no controller steps that fine")
        .help("solves for the one entry left blank")
        .when(LINEAR),
    Field::number("steps_per_mm", "Wanted steps per degree", PER_DEG)
        .optional()
        .target()
        .above(0.0, "a machine steps")
        .at_most(1e9, "no controller steps that fine")
        .help("solves for the reduction")
        .when(ROTARY),
    Field::number("turn_travel", "Wanted travel per motor turn", MM)
        .optional()
        .target()
        .above(0.0, "a turn moves the axis")
        .at_most(1e6, "no turn moves an axis that far")
        .help("solves for the one entry left blank")
        .when(LINEAR),
    Field::number("turn_travel", "Wanted degrees per motor turn", DEG)
        .optional()
        .target()
        .above(0.0, "a turn moves the axis")
        .at_most(1e6, "no turn moves an axis that far")
        .help("solves for the reduction")
        .when(ROTARY),
];

const ANSWERS: &[Answer] = &[
    Answer::number("ratio", "Reduction", ONE)
        .significant(6)
        .formula("{gears}", "Definition: motor turns per output turn"),
    Answer::number("out_travel", "Travel per output turn", MM)
        .fixed(3)
        .formula("{pitch} × {teeth}", PULLEY)
        .when(BELT),
    Answer::number("out_travel", "Travel per output turn (lead)", MM)
        .fixed(3)
        .formula("{pitch} × {starts}", LEAD)
        .when(SCREW),
    Answer::number("out_travel", "Travel per output turn", MM)
        .fixed(3)
        .formula(
            "{pitch} × {teeth}",
            "ISO 1122-1: pitch circumference of a gear",
        )
        .when(RACK),
    Answer::number("out_travel", "Travel per output turn", MM)
        .fixed(3)
        .formula("π × {diameter}", "Circumference of a circle")
        .when(ROLLER),
    Answer::number("out_travel", "Degrees per output turn", DEG)
        .fixed(3)
        .formula("360°", "Definition")
        .when(ROTARY),
    Answer::number("turn_travel", "Travel per motor turn", MM)
        .fixed(4)
        .headline()
        .formula("{out_travel} ÷ {ratio}", "Definition of the reduction")
        .when(LINEAR),
    Answer::number("turn_travel", "Degrees per motor turn", DEG)
        .fixed(4)
        .headline()
        .formula("{out_travel} ÷ {ratio}", "Definition of the reduction")
        .when(ROTARY),
    Answer::number("full_steps", "Full steps per motor turn", ONE)
        .significant(6)
        .formula("360° ÷ {step}", "Definition"),
    Answer::number("full_step", "Full step", UM)
        .fixed(2)
        .formula("{turn_travel} ÷ {full_steps}", "Definition")
        .when(LINEAR),
    Answer::number("full_step", "Full step", DEG)
        .significant(5)
        .formula("{turn_travel} ÷ {full_steps}", "Definition")
        .when(ROTARY),
    Answer::number("microstep", "Microstep", UM)
        .fixed(3)
        .formula("{full_step} ÷ {micro}", "Definition")
        .when(LINEAR),
    Answer::number("microstep", "Microstep", DEG)
        .significant(5)
        .formula("{full_step} ÷ {micro}", "Definition")
        .when(ROTARY),
    Answer::number("full_steps_per_mm", "Full steps per mm", PER_MM)
        .significant(6)
        .formula("{full_steps} ÷ {turn_travel}", "Definition")
        .when(LINEAR),
    Answer::number("full_steps_per_mm", "Full steps per degree", PER_DEG)
        .significant(6)
        .formula("{full_steps} ÷ {turn_travel}", "Definition")
        .when(ROTARY),
    Answer::number("steps_per_mm", "Steps per mm", PER_MM)
        .fixed(4)
        .headline()
        .formula("{full_steps} × {micro} ÷ {turn_travel}", "Definition")
        .when(LINEAR),
    Answer::number("steps_per_mm", "Steps per degree", PER_DEG)
        .fixed(4)
        .headline()
        .formula("{full_steps} × {micro} ÷ {turn_travel}", "Definition")
        .when(ROTARY),
    Answer::text("exact", "Exactly, as a fraction"),
    Answer::number("digits", "Digits that the travel needs on this axis", ONE)
        .fixed(0)
        .formula(
            "fewest that leave the end of {span} within 0.001 of its place",
            "Error of a scale factor",
        ),
    Answer::number("solved", "Solved for", ONE)
        .significant(8)
        .formula(
            "the travel of a turn, solved for the blank entry",
            "Definition",
        ),
    Answer::text("solved_key", "Entry solved for"),
    Answer::text("whole", "A whole number"),
    Answer::number("nearest", "Nearest whole number", ONE)
        .fixed(0)
        .formula("solved for, rounded, at least 1", "Definition"),
    Answer::number("nearest_error", "Error of the travel with it", PERCENT)
        .significant(3)
        .formula("(nearest − solved for) ÷ solved for", "Definition"),
];

const PULLEY: &str = "ISO 5288 (terms of synchronous drives): pitch circumference = pitch × teeth";
const LEAD: &str = "ISO 5408 (terms of screw threads): lead = pitch × starts";

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "travel",
    title: "Travel",
    about: "from motor turn to millimetres: travel per turn and steps per mm",
    search: "steps per mm rotation distance calibrate belt pulley lead screw rack pinion roller extruder gear ratio",
    subject: Subject::Motion,
    fields: FIELDS,
    answers: ANSWERS,
    checks: &[],
    cautions: &[Caution::always(
        "first_move",
        "A wrong travel drives the axis past its end or stops it short.",
        "Make the first moves short and slow, with a hand at the supply's switch, and measure one of them.",
    )],
    work,
};

/// One of the two factors of the travel per output turn: an entry of this key, or a constant without one.
#[derive(Clone, Copy)]
struct Factor {
    key: &'static str,
    value: Option<Exact>,
}

fn work(inputs: &Inputs, out: &mut Outcome) {
    let mut factors = factors(inputs, out);
    let mut ratio = exact(inputs, "gears");
    let micro = exact(inputs, "micro");
    let full_steps = full_steps(inputs, out);
    let target = target(inputs, out, full_steps, micro);

    if let Some((field, wanted)) = target
        && let Some(key) = unknown(inputs, out, &factors, field)
    {
        let solved = if key == "gears" {
            let solved = travel(&factors).map(|travel| travel.over(wanted));
            ratio = solved;
            solved
        } else {
            let other = factors.iter().find(|factor| factor.key != key);
            let other = other.and_then(|factor| factor.value);
            let solved = ratio
                .zip(other)
                .map(|(ratio, other)| wanted.times(ratio).over(other));
            for factor in factors.iter_mut().filter(|factor| factor.key == key) {
                factor.value = solved;
            }
            solved
        };
        put_solution(out, key, solved);
    }

    let out_travel = travel(&factors);
    let turn_travel = out_travel
        .zip(ratio)
        .map(|(travel, ratio)| travel.over(ratio));
    out.put("ratio", ratio.map(|x| x.value));
    out.put("out_travel", out_travel.map(|x| x.value));
    out.put("turn_travel", turn_travel.map(|x| x.value));
    out.put("full_steps", full_steps.map(|x| x.value));

    // Fine motion in micrometres on a linear axis, in degrees on a rotary one.
    let rotary = inputs.choice("drive") == "rotary";
    let fine = Exact::whole(if rotary { 1 } else { 1000 });
    let full_step = turn_travel
        .zip(full_steps)
        .map(|(travel, steps)| travel.times(fine).over(steps));
    out.put("full_step", full_step.map(|x| x.value));
    let microstep = full_step.zip(micro).map(|(step, micro)| step.over(micro));
    out.put("microstep", microstep.map(|x| x.value));
    let per_mm = full_steps
        .zip(turn_travel)
        .map(|(steps, travel)| steps.over(travel));
    out.put("full_steps_per_mm", per_mm.map(|x| x.value));
    let steps_per_mm = per_mm.zip(micro).map(|(steps, micro)| steps.times(micro));
    out.put("steps_per_mm", steps_per_mm.map(|x| x.value));
    if let Some(fraction) = steps_per_mm.and_then(|x| x.fraction) {
        out.put_text("exact", fraction.to_string());
    }
    if let (Some(travel), Some(span)) = (turn_travel, inputs.num("span")) {
        let digits = motion::digits_needed(travel.value, span, END_TOLERANCE);
        out.put("digits", f64::from(digits));
    }
}

/// By how much the end of the axis may move for want of digits: 1 um, or 0.001 degree.
const END_TOLERANCE: f64 = 0.001;

/// A number entry with its exact fraction.
fn exact(inputs: &Inputs, key: &str) -> Option<Exact> {
    let number = inputs.number(key)?;
    Some(Exact::new(number.value, number.exact))
}

/// The travel per output turn.
fn travel(factors: &[Factor; 2]) -> Option<Exact> {
    let [first, second] = factors;
    Some(first.value?.times(second.value?))
}

/// The two factors of the travel for the chosen drive.
fn factors(inputs: &Inputs, out: &mut Outcome) -> [Factor; 2] {
    let entry = |key| Factor {
        key,
        value: exact(inputs, key),
    };
    let constant = |value| Factor {
        key: "",
        value: Some(value),
    };
    match inputs.choice("drive") {
        "belt" => [entry("pitch"), entry("teeth")],
        "screw" => screw_factors(inputs, out),
        "rack" => {
            let mut pitch = entry("pitch");
            if let Some(module) = inputs.num("module") {
                if inputs.typed("pitch") {
                    out.problem(
                        "module",
                        "Module: enter the rack pitch or the module, not both.",
                    );
                    pitch.value = None;
                } else {
                    let value = motion::rack_pitch_mm(module);
                    out.stand_in("pitch", value);
                    pitch.value = Some(Exact::inexact(value));
                }
            }
            [pitch, entry("teeth")]
        }
        "roller" => [entry("diameter"), constant(Exact::inexact(PI))],
        "rotary" => [constant(Exact::whole(360)), constant(Exact::whole(1))],
        // The drive itself could not be read.
        _ => {
            [Factor {
                key: "",
                value: None,
            }; 2]
        }
    }
}

/// Pitch and starts, from the thread designation if there is one.
fn screw_factors(inputs: &Inputs, out: &mut Outcome) -> [Factor; 2] {
    let mut pitch = exact(inputs, "pitch");
    let mut starts = exact(inputs, "starts");
    if let Some(thread) = inputs.thread("thread") {
        let by_thread = Exact::new(thread.pitch_mm, thread.exact_pitch);
        let differs = |key: &str, typed: Option<Exact>, value: f64| {
            inputs.typed(key) && typed.is_none_or(|typed| (typed.value - value).abs() > 1e-9)
        };
        if differs("pitch", pitch, thread.pitch_mm)
            || differs("starts", starts, f64::from(thread.starts))
        {
            out.problem(
                "thread",
                format!(
                    "Thread designation: it sets the pitch to {} mm and the starts to {}; leave pitch and starts blank, or leave this blank.",
                    write_shortest(thread.pitch_mm, 6),
                    thread.starts
                ),
            );
            pitch = None;
            starts = None;
        } else {
            out.stand_in("pitch", thread.pitch_mm);
            out.stand_in("starts", f64::from(thread.starts));
            pitch = Some(by_thread);
            starts = Some(Exact::whole(thread.starts));
        }
    }
    [
        Factor {
            key: "pitch",
            value: pitch,
        },
        Factor {
            key: "starts",
            value: starts,
        },
    ]
}

/// Full steps per motor turn, from the step angle or as given.
fn full_steps(inputs: &Inputs, out: &mut Outcome) -> Option<Exact> {
    if inputs.typed("steps") && inputs.typed("step") {
        out.problem(
            "steps",
            "Full steps per motor turn: enter the full step or the steps per turn, not both.",
        );
        return None;
    }
    if inputs.typed("steps") {
        let steps = exact(inputs, "steps")?;
        out.stand_in("step", Exact::whole(360).over(steps).value);
        return Some(steps);
    }
    let steps = Exact::whole(360).over(exact(inputs, "step")?);
    if !steps.is_whole() {
        out.warn(
            "step",
            "Full step: a turn is no whole number of such steps. Check the entry.",
        );
    }
    Some(steps)
}

/// The wanted travel per motor turn, with the field that asks for it.
fn target(
    inputs: &Inputs,
    out: &mut Outcome,
    full_steps: Option<Exact>,
    micro: Option<Exact>,
) -> Option<(&'static str, Exact)> {
    if inputs.typed("steps_per_mm") && inputs.typed("turn_travel") {
        let label = inputs.field("turn_travel").map_or("", |field| field.label);
        out.problem(
            "turn_travel",
            format!("{label}: enter the steps or the travel of a turn, not both."),
        );
        return None;
    }
    if let Some(travel) = exact(inputs, "turn_travel") {
        return Some(("turn_travel", travel));
    }
    let steps = exact(inputs, "steps_per_mm")?;
    Some(("steps_per_mm", full_steps?.times(micro?).over(steps)))
}

/// The one entry to solve for: the blank factor, else the blank starts of a screw, else the blank reduction.
fn unknown(
    inputs: &Inputs,
    out: &mut Outcome,
    factors: &[Factor; 2],
    target: &'static str,
) -> Option<&'static str> {
    let mut blanks = factors
        .iter()
        .filter(|factor| factor.value.is_none() && inputs.origin(factor.key) == Origin::Blank);
    let label = inputs.field(target).map_or("", |field| field.label);
    match (blanks.next(), blanks.next()) {
        (Some(_), Some(_)) => {
            out.problem(
                target,
                format!(
                    "{label}: enter all but one of the blank entries; only one can be solved for."
                ),
            );
            None
        }
        (Some(blank), None) => Some(blank.key),
        // An entry that cannot be read has its own message and is nothing to solve for.
        _ if factors.iter().any(|factor| factor.value.is_none()) => None,
        _ if inputs.origin("starts") == Origin::Default && inputs.thread("thread").is_none() => {
            Some("starts")
        }
        _ if inputs.origin("gears") == Origin::Default => Some("gears"),
        _ => {
            if !inputs
                .problems
                .iter()
                .any(|problem| problem.field == "gears")
            {
                out.problem(
                    target,
                    format!("{label}: leave blank the entry to solve for, or leave this blank."),
                );
            }
            None
        }
    }
}

/// What was solved for, and the nearest part where it must be a whole number.
fn put_solution(out: &mut Outcome, key: &'static str, solved: Option<Exact>) {
    let Some(solved) = solved else { return };
    let measure = if matches!(key, "pitch" | "diameter") {
        MM
    } else {
        ONE
    };
    out.put_in("solved", measure, solved.value);
    out.put_text("solved_key", key);
    out.stand_in(key, solved.value);
    if matches!(key, "teeth" | "starts") {
        out.put_yes("whole", solved.is_whole());
        let nearest = libm::fmax(libm::round(solved.value), 1.0);
        out.put("nearest", nearest);
        // The travel is proportional to teeth and starts.
        out.put(
            "nearest_error",
            100.0 * (nearest - solved.value) / solved.value,
        );
    }
}
