//! `find`: parts that meet a target.

mod finding;
mod parts;
#[cfg(test)]
mod tests;

use alloc::boxed::Box;
use alloc::format;

use self::finding::Finding;
use self::parts::Parts;
use super::declare::{Answer, Field, Sheet, Subject, When, choice, head, places};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::entry::unit::{A, DEG, G_CM2, KG, MH, MM, MM_S, MM_S2, N, N_M, OHM, ONE, UM, V};
use crate::entry::write::{write_shortest, write_significant};
use crate::find::{Goal, Load, Space, Want};

const TURN_TRAVEL: When = &[("want", &["turn_travel"])];
const FULL_STEP: When = &[("want", &["full_step"])];

const SIZE_ONLY: &str = "the size counts, not the sense";

const FIELDS: &[Field] = &[
    Field::choice(
        "want",
        "Wanted",
        &[
            choice("turn_travel", "Travel per motor turn"),
            choice("full_step", "Full step"),
        ],
    ),
    Field::number("from", "From", MM)
        .at_least(0.0, SIZE_ONLY)
        .at_most(1e9, "no turn moves an axis that far")
        .when(TURN_TRAVEL),
    Field::number("to", "To", MM)
        .at_least(0.0, SIZE_ONLY)
        .at_most(1e9, "no turn moves an axis that far")
        .when(TURN_TRAVEL),
    Field::number("from", "From", UM)
        .at_least(0.0, SIZE_ONLY)
        .at_most(1e12, "no step is that long")
        .when(FULL_STEP),
    Field::number("to", "To", UM)
        .at_least(0.0, SIZE_ONLY)
        .at_most(1e12, "no step is that long")
        .when(FULL_STEP),
    Field::number("speed", "Speed", MM_S)
        .at_least(0.0, SIZE_ONLY)
        .at_most(1e6, "no axis moves faster"),
    Field::number("accel", "Acceleration", MM_S2)
        .at_least(0.0, SIZE_ONLY)
        .at_most(1e8, "no machine is that quick"),
    Field::number("mass", "Moving mass", KG)
        .at_least(0.0, "nothing weighs less than nothing")
        .at_most(1e5, "no axis weighs more")
        .carried("mass", "total"),
    Field::number("friction", "Friction along the path", N)
        .default("0")
        .at_least(0.0, SIZE_ONLY)
        .at_most(1e6, "no axis rubs more"),
    Field::number("lift", "Mass held against gravity", KG)
        .default("0")
        .at_least(0.0, "nothing weighs less than nothing")
        .at_most(1e5, "no axis weighs more"),
    Field::number("supply", "Supply", V)
        .above(0.0, "a supply has a voltage")
        .at_most(1000.0, "no step motor driver takes more"),
    Field::number("margin", "Wanted in hand", ONE)
        .default("1.5")
        .above(0.0, "some torque must be there")
        .at_most(1000.0, "no machine is that careful")
        .usual(1.0, 5.0, "step motors lose steps without a margin")
        .help("available torque over needed; 1.5 to 2 is common practice"),
    Field::word("drives", "Drives")
        .default("belt,screw")
        .help("belt, screw or both"),
    Field::word("teeth", "Pulley teeth")
        .optional()
        .help("a range such as 16..40, or a list"),
    Field::word("pitches", "Belt pitches in mm")
        .optional()
        .help("a list such as 2,3; inside a list the decimal sign is a point"),
    Field::word("threads", "Screw threads")
        .optional()
        .help("a list such as Tr8x2,Tr8x8(P2),M8"),
    Field::word("gears", "Reductions, driven / driver")
        .help("a list such as 1,60/20,60/20*34/17; 1 for none"),
    Field::word("micros", "Microsteps").help("a list such as 16,32"),
    Field::rows(
        "motors",
        "Motors",
        &[
            Field::word("name", "Name"),
            Field::number("step", "Full step", DEG)
                .above(0.0, "a motor moves at each step")
                .at_most(180.0, "a turn has two steps at the least"),
            Field::number("hold_torque", "Holding torque", N_M)
                .above(0.0, "a motor under current holds")
                .at_most(1000.0, "no step motor holds more"),
            Field::number("rated", "Rated current, RMS", A)
                .above(0.0, "a motor takes current")
                .at_most(1000.0, "no step motor takes more"),
            Field::number("resistance", "Resistance", OHM)
                .at_least(0.0, "a winding resists")
                .at_most(1e6, "no winding resists more"),
            Field::number("inductance", "Inductance", MH)
                .at_least(0.0, "a winding has inductance")
                .at_most(1e6, "no winding has more"),
            Field::number("rotor_inertia", "Rotor inertia", G_CM2)
                .at_least(0.0, SIZE_ONLY)
                .at_most(1e9, "no rotor has more"),
            Field::number("price", "Price", ONE)
                .optional()
                .at_least(0.0, "a price is paid")
                .at_most(1e12, "no motor costs more"),
        ],
    )
    .help("each is driven at its rated current"),
];

const ANSWERS: &[Answer] = &[
    Answer::number("tried", "Combinations tried", ONE)
        .fixed(0)
        .formula("the lengths of all lists multiplied", "Count")
        .headline(),
    Answer::number("found", "Combinations that meet the target", ONE)
        .fixed(0)
        .formula("counted while trying each", "Count")
        .headline(),
    Answer::number("unbeaten", "Of these, beaten by no other", ONE)
        .fixed(0)
        .formula(
            "counted: none is as good in all and better in one",
            "Pareto order",
        ),
    Answer::rows(
        "best",
        "What nothing else beats in torque in hand, full step, parts and price at once",
        &[
            head("Drive", "", 0),
            head("Reduction", "", 5),
            places("Microsteps", "", 0),
            head("Motor", "", 0),
            head("Travel per turn", "mm", 5),
            head("Full step", "um", 4),
            head("In hand", "", 3),
            places("Parts", "", 0),
            places("Price", "", 2),
            head("Travel sheet", "", 0),
            head("Headroom sheet", "", 0),
        ],
    ),
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "find",
    title: "Find parts",
    about: "which drives, reductions and motors meet a target, every combination tried",
    search: "search optimise choose select motor pulley screw gear combination pareto compare price",
    subject: Subject::Proof,
    fields: FIELDS,
    answers: ANSWERS,
    checks: &[],
    cautions: &[],
    work,
};

/// More combinations than this would take minutes.
const MOST_TRIED: u64 = 1_000_000_000;

/// More drives than this, each counted once for every step angle, would take more memory than a phone spares.
const MOST_DRIVES: u64 = 200_000;

/// A study searches hundreds of times: it gets no number where a search has more designs than this, and is told so.
const STUDY: u64 = 20_000;

fn work(inputs: &Inputs, out: &mut Outcome) {
    let goal = goal(inputs, out);
    let Some(parts) = Parts::read(inputs, out) else {
        return;
    };
    let (tried, drives) = (parts.tried(), parts.lines());
    let limits = [
        (tried, MOST_TRIED, "combinations", parts.longest(false)),
        (drives, MOST_DRIVES, "drives", parts.longest(true)),
    ];
    if let Some((count, most, what, (key, label))) =
        limits.into_iter().find(|(count, most, ..)| count > most)
    {
        out.problem(
            key,
            format!(
                "{label}: these lists make {} {what}; enter fewer: up to {} are tried.",
                write_significant(number(count), 3),
                write_shortest(number(most), 15),
            ),
        );
        return;
    }
    let designs = parts.designs();
    if !out.wants_rows() && designs > STUDY {
        out.put("tried", number(tried));
        let (_, label) = parts.longest(false);
        out.note = Some(format!(
            "Each value of an entry takes a search of its own, here of {} designs; up to {} are searched that often: enter fewer, such as of “{label}”.",
            write_shortest(number(designs), 15),
            write_shortest(number(STUDY), 15),
        ));
        return;
    }
    let (Some(goal), Some(load)) = (goal, load(inputs)) else {
        out.put("tried", number(tried));
        return;
    };
    let space = Space::new(parts.drives(), parts.gears(), parts.motors(), load, goal);
    out.leave(Box::new(Finding::new(parts, space, out.wants_rows())));
}

/// A count as a number.
fn number(n: u64) -> f64 {
    let (high, low) = (n >> 32, n & 0xffff_ffff);
    let half = |n: u64| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
    half(high) * 4_294_967_296.0 + half(low)
}

fn goal(inputs: &Inputs, out: &mut Outcome) -> Option<Goal> {
    let want = match inputs.choice("want") {
        "turn_travel" => Want::TurnTravel,
        "full_step" => Want::FullStep,
        _ => return None,
    };
    let (from, to) = (inputs.num("from")?, inputs.num("to")?);
    if from > to {
        out.problem("to", "To: enter a size not below the one at From.");
        return None;
    }
    Some(Goal {
        want,
        from,
        to,
        margin: inputs.num("margin")?,
    })
}

fn load(inputs: &Inputs) -> Option<Load> {
    Some(Load {
        mass: inputs.num("mass")?,
        friction: inputs.num("friction")?,
        lift: inputs.num("lift")?,
        speed: inputs.num("speed")?,
        accel: inputs.num("accel")?,
    })
}
