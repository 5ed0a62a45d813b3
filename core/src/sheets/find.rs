//! `find`: parts that meet a target.

use alloc::boxed::Box;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::declare::{Answer, Field, Sheet, Subject, When, choice, head};
use super::inputs::{Inputs, Row};
use super::outcome::{Cell, Outcome, Task};
use crate::entry::number::{read_count, read_number, read_ratio};
use crate::entry::thread::{Series, read_thread};
use crate::entry::unit::{A, DEG, G_CM2, KG, MH, MM, MM_S, MM_S2, N, N_M, OHM, ONE, UM, V};
use crate::entry::write::{write_shortest, write_significant};
use crate::exact::Exact;
use crate::find::{Best, Candidate, Drive, Gear, Goal, Load, Search, Size, Space, Want, at};
use crate::fraction::Fraction;
use crate::link;
use crate::motion::screw::{self, PowerScrew};
use crate::motor;
use crate::motor::torque::Motor;

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
        .headline(),
    Answer::number("found", "Combinations that meet the target", ONE)
        .fixed(0)
        .headline(),
    Answer::rows(
        "best",
        "What nothing else beats in torque in hand, full step, parts and price at once",
        &[
            head("Drive", "", 0),
            head("Reduction", "", 5),
            head("Microsteps", "", 3),
            head("Motor", "", 0),
            head("Travel per turn", "mm", 5),
            head("Full step", "um", 4),
            head("In hand", "", 3),
            head("Parts", "", 2),
            head("Price", "", 5),
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

/// A longer list of the best would not be read; narrower lists or a narrower target say more.
const MOST_ROWS: usize = 10_000;

/// A study works the sheet out thousands of times: it gets no number where that takes longer than this.
const STUDY: u64 = 20_000;

fn work(inputs: &Inputs, out: &mut Outcome) {
    let goal = goal(inputs, out);
    let Some(parts) = Parts::read(inputs, out) else {
        return;
    };
    let tried = parts.tried();
    if tried > MOST_TRIED {
        let (key, label) = parts.longest();
        out.problem(
            key,
            format!(
                "{label}: these lists make {} combinations; enter fewer: up to {} are tried.",
                write_significant(number(tried), 3),
                write_shortest(number(MOST_TRIED), 15),
            ),
        );
        return;
    }
    out.put("tried", number(tried));
    let (Some(goal), Some(load)) = (goal, load(inputs)) else {
        return;
    };
    if !out.wants_rows() && tried > STUDY {
        return;
    }
    let space = Space {
        drives: parts.drives(),
        gears: parts.gears.iter().map(|(gear, _)| *gear).collect(),
        motors: parts
            .motors
            .iter()
            .map(|(candidate, _)| *candidate)
            .collect(),
        load,
        goal,
    };
    out.leave(Box::new(Finding {
        parts,
        search: Search::new(space),
    }));
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

/// What a drive is made of; its words are made for the few that are listed.
#[derive(Debug)]
enum Made {
    /// A belt of a pitch in mm on a pulley.
    Belt { pitch: f64, teeth: u32 },
    /// A screw by its designation as typed.
    Screw(String),
}

impl Made {
    /// As the rows name it.
    fn name(&self) -> String {
        match self {
            Self::Belt { pitch, teeth } => {
                format!("belt {} mm, {teeth} teeth", write_shortest(*pitch, 17))
            }
            Self::Screw(thread) => format!("screw {thread}"),
        }
    }

    /// As the travel sheet's link has it.
    fn entries(&self) -> Vec<(&'static str, String)> {
        match self {
            Self::Belt { pitch, teeth } => [
                ("drive", "belt".to_string()),
                ("pitch", write_shortest(*pitch, 17)),
                ("teeth", teeth.to_string()),
            ]
            .into(),
            Self::Screw(thread) => {
                [("drive", "screw".to_string()), ("thread", thread.clone())].into()
            }
        }
    }
}

/// What is combined, with the words for it.
#[derive(Debug)]
struct Parts {
    teeth: Vec<u32>,
    pitches: Vec<(f64, Option<Fraction>)>,
    threads: Vec<(Drive, String)>,
    /// With what was typed.
    gears: Vec<(Gear, String)>,
    micros: Vec<u32>,
    /// With the row's place.
    motors: Vec<(Candidate, usize)>,
}

impl Parts {
    /// Reads the lists; `None` when one is missing or cannot be read.
    fn read(inputs: &Inputs, out: &mut Outcome) -> Option<Self> {
        let (belt, screw) = drives(inputs, out);
        let teeth = list(inputs, out, "teeth", teeth);
        let pitches = list(inputs, out, "pitches", |text| one(pitch(text)));
        let threads = list(inputs, out, "threads", |text| one(thread(text)));
        let gears = list(inputs, out, "gears", |text| one(gear(text)));
        let micros = list(inputs, out, "micros", |text| one(micro(text)));
        let mut parts = Self {
            teeth: teeth.ok()?.unwrap_or_default(),
            pitches: pitches.ok()?.unwrap_or_default(),
            threads: threads.ok()?.unwrap_or_default(),
            gears: gears.ok()??,
            micros: micros.ok()??,
            motors: motors(inputs)?,
        };
        if !belt {
            parts.teeth.clear();
        }
        if !screw {
            parts.threads.clear();
        }
        (parts.tried() > 0).then_some(parts)
    }

    fn tried(&self) -> u64 {
        let count = |n: usize| u64::try_from(n).unwrap_or(u64::MAX);
        let belts = count(self.teeth.len()).saturating_mul(count(self.pitches.len()));
        let drives = belts.saturating_add(count(self.threads.len()));
        [self.gears.len(), self.micros.len(), self.motors.len()]
            .into_iter()
            .fold(drives, |product, n| product.saturating_mul(count(n)))
    }

    /// Every drive: belts first, the pitches of each pulley, then screws.
    fn drives(&self) -> Vec<Drive> {
        let belts = self.teeth.iter().flat_map(|teeth| {
            let pitches = self.pitches.iter();
            pitches.map(|(pitch, exact)| belt_drive(*teeth, *pitch, *exact))
        });
        belts
            .chain(self.threads.iter().map(|(drive, _)| *drive))
            .collect()
    }

    /// What the drive at a place is made of.
    fn made(&self, place: u32) -> Option<Made> {
        let place = usize::try_from(place).ok()?;
        let belts = self.teeth.len() * self.pitches.len();
        if let Some(screw) = place.checked_sub(belts) {
            let (_, thread) = self.threads.get(screw)?;
            return Some(Made::Screw(thread.clone()));
        }
        Some(Made::Belt {
            teeth: *self.teeth.get(place.checked_div(self.pitches.len())?)?,
            pitch: self.pitches.get(place % self.pitches.len())?.0,
        })
    }

    /// The field that has most in it, with its label.
    fn longest(&self) -> (&'static str, &'static str) {
        let lengths = [
            ("motors", "Motors", self.motors.len()),
            ("micros", "Microsteps", self.micros.len()),
            ("gears", "Reductions", self.gears.len()),
            ("threads", "Screw threads", self.threads.len()),
            ("pitches", "Belt pitches", self.pitches.len()),
            ("teeth", "Pulley teeth", self.teeth.len()),
        ];
        let longest = lengths.iter().max_by_key(|(_, _, length)| *length);
        longest.map_or(("teeth", "Pulley teeth"), |(key, label, _)| (*key, *label))
    }
}

/// Which drives are wanted.
fn drives(inputs: &Inputs, out: &mut Outcome) -> (bool, bool) {
    let (mut belt, mut screw) = (false, false);
    for item in items(inputs.text("drives").unwrap_or("")) {
        match item.to_ascii_lowercase().as_str() {
            "belt" => belt = true,
            "screw" => screw = true,
            _ => out.problem("drives", "Drives: enter belt, screw or belt,screw."),
        }
    }
    (belt, screw)
}

/// The pieces of a list.
fn items(text: &str) -> impl Iterator<Item = &str> {
    text.split([',', ';', '\n'])
        .map(str::trim)
        .filter(|item| !item.is_empty())
}

/// A list that was typed; `Ok(None)` when nothing was, `Err` after a message beside the field.
fn list<T>(
    inputs: &Inputs,
    out: &mut Outcome,
    key: &'static str,
    read: impl Fn(&str) -> Result<Vec<T>, String>,
) -> Result<Option<Vec<T>>, ()> {
    let Some(text) = inputs.text(key) else {
        return Ok(None);
    };
    let mut all = Vec::new();
    for (place, item) in items(text).enumerate() {
        match read(item) {
            Ok(found) => all.extend(found),
            Err(message) => {
                let label = inputs.field(key).map_or("", |field| field.label);
                out.problem(key, format!("{label}, item {}: {message}", place + 1));
                return Err(());
            }
        }
    }
    Ok((!all.is_empty()).then_some(all))
}

fn one<T>(item: Result<T, String>) -> Result<Vec<T>, String> {
    item.map(|item| [item].into())
}

/// Most teeth of a pulley, as the travel sheet has it.
const MOST_TEETH: u32 = 10_000;

/// One number of teeth, or a range.
fn teeth(text: &str) -> Result<Vec<u32>, String> {
    let (from, to) = text.split_once("..").unwrap_or((text, text));
    let read = |text: &str| {
        read_count(text)
            .ok()
            .filter(|n| (1..=MOST_TEETH).contains(n))
    };
    match (read(from), read(to)) {
        (Some(from), Some(to)) if from <= to => Ok((from..=to).collect()),
        _ => Err(format!(
            "enter whole numbers from 1 to {MOST_TEETH}, or a range such as 16..40."
        )),
    }
}

fn pitch(text: &str) -> Result<(f64, Option<Fraction>), String> {
    match read_number(text, MM) {
        Ok(pitch) if pitch.value > 0.0 && pitch.value <= 1000.0 => Ok((pitch.value, pitch.exact)),
        _ => Err("enter a length over 0 up to 1000 mm, such as 2.".to_string()),
    }
}

fn micro(text: &str) -> Result<u32, String> {
    match read_count(text) {
        Ok(n) if n.is_power_of_two() && n <= 256 => Ok(n),
        _ => Err("enter 1, 2, 4, 8, 16, 32, 64, 128 or 256.".to_string()),
    }
}

/// A reduction; each factor that is not 1 is a stage.
fn gear(text: &str) -> Result<(Gear, String), String> {
    let refuse = || "enter a reduction over 0, such as 3 or 60/20*34/17.".to_string();
    let whole = read_ratio(text).map_err(|_| refuse())?;
    if !(whole.value > 0.0 && whole.value <= 1e6) {
        return Err(refuse());
    }
    let mut stages = 0;
    for factor in text.split(['*', '×', '·', 'x', 'X']) {
        let factor = read_ratio(factor).map_err(|_| refuse())?;
        let is_one = (factor.value - 1.0).abs() <= 1e-12;
        stages += u32::from(!is_one);
    }
    let gear = Gear {
        ratio: Size::new(whole.value, whole.exact),
        stages,
    };
    Ok((gear, text.to_string()))
}

fn belt_drive(teeth: u32, pitch: f64, exact: Option<Fraction>) -> Drive {
    let lead = Exact::new(pitch, exact).times(Exact::whole(teeth));
    Drive {
        lead: Size::new(lead.value, lead.fraction),
        efficiency: 1.0,
    }
}

/// Thread friction and flanks as the screw sheet has them by default.
const MU: f64 = 0.15;
const TRAPEZOIDAL_FLANK_DEG: f64 = 15.0;
const METRIC_FLANK_DEG: f64 = 30.0;

fn thread(text: &str) -> Result<(Drive, String), String> {
    let thread = read_thread(text)
        .map_err(|_| "enter a thread, such as Tr8x8(P2), Tr12x3 or M8.".to_string())?;
    let metric = thread.series == Series::Metric;
    let arm = PowerScrew {
        lead_mm: thread.lead_mm,
        mean_diameter_mm: screw::mean_diameter_mm(metric, thread.diameter_mm, thread.pitch_mm),
        flank_deg: if metric {
            METRIC_FLANK_DEG
        } else {
            TRAPEZOIDAL_FLANK_DEG
        },
        mu: MU,
    }
    .raise_arm_mm();
    let drive = Drive {
        lead: Size::new(thread.lead_mm, thread.exact_lead),
        // One that no torque raises moves nothing.
        efficiency: arm.map_or(0.0, |arm| screw::efficiency(thread.lead_mm, arm)),
    };
    Ok((drive, text.to_string()))
}

fn motors(inputs: &Inputs) -> Option<Vec<(Candidate, usize)>> {
    let volts = inputs.num("supply")?;
    let candidate = |(place, row): (usize, &Row)| {
        let (step, rated) = (row.num(1)?, row.num(3)?);
        let motor = Motor {
            constant: motor::torque_constant(row.num(2)?, rated),
            pole_pairs: 90.0 / step,
            peak: motor::peak_from_rms(rated),
            resistance: row.num(4)?,
            inductance: row.num(5)? / 1000.0,
            volts,
        };
        let candidate = Candidate {
            motor,
            full_steps: 360.0 / step,
            rotor_g_cm2: row.num(6)?,
            price: row.num(7),
        };
        Some((candidate, place))
    };
    let all: Vec<_> = inputs
        .rows("motors")?
        .iter()
        .enumerate()
        .filter_map(candidate)
        .collect();
    (!all.is_empty()).then_some(all)
}

/// The search under way.
#[derive(Debug)]
struct Finding {
    parts: Parts,
    search: Search,
}

impl Task for Finding {
    fn advance(&mut self, amount: u64) -> bool {
        self.search.advance(amount)
    }

    fn share(&self) -> f64 {
        self.search.share()
    }

    fn put(&mut self, inputs: &Inputs, out: &mut Outcome) {
        let micros = u64::try_from(self.parts.micros.len()).unwrap_or(u64::MAX);
        out.put("found", number(self.search.found().saturating_mul(micros)));
        if !out.wants_rows() {
            return;
        }
        let best = self.search.best();
        let each = |best: Best| self.parts.micros.iter().map(move |micro| (best, *micro));
        let mut rows: Vec<Vec<Cell>> = Vec::new();
        let mut left = 0_u32;
        for (best, micro) in best.into_iter().flat_map(each) {
            if rows.len() < MOST_ROWS {
                rows.extend(self.row(inputs, best, micro));
            } else {
                left += 1;
            }
        }
        if left > 0 {
            out.warn(
                "to",
                format!("To: {left} more designs are as good and are not listed. Narrow the target or the lists to see all."),
            );
        }
        out.put_rows("best", rows);
    }
}

impl Finding {
    fn row(&self, inputs: &Inputs, best: Best, micro: u32) -> Option<Vec<Cell>> {
        let drive = at(&self.search.space().drives, best.design.drive)?;
        let made = self.parts.made(best.design.drive)?;
        let (gear, gear_text) = at(&self.parts.gears, best.design.gear)?;
        let (_, place) = at(&self.parts.motors, best.design.motor)?;
        let motor = inputs.rows("motors")?.get(*place)?;
        let turn_travel = drive.lead.over(gear.ratio);
        let text = |text: String| Cell::Text(text.into());
        Some(
            [
                text(made.name()),
                Cell::number(gear.ratio.value()),
                Cell::number(f64::from(micro)),
                text(motor.word(0)?.to_string()),
                Cell::number(turn_travel),
                Cell::number(best.full_step),
                Cell::number(best.in_hand),
                Cell::number(f64::from(best.parts)),
                Cell::number(best.price),
                text(travel_link(&made, gear_text, motor, micro)),
                text(headroom_link(inputs, drive, turn_travel, motor)),
            ]
            .into(),
        )
    }
}

/// A number as a link's entry.
fn entry(value: Option<f64>) -> String {
    value.map_or(String::new(), |value| write_shortest(value, 17))
}

/// The travel sheet filled in.
fn travel_link(made: &Made, gears: &str, motor: &Row, micro: u32) -> String {
    let step = entry(motor.num(1));
    let micro = micro.to_string();
    let rest = [
        ("gears", gears),
        ("step", step.as_str()),
        ("micro", micro.as_str()),
        ("span", "300"),
    ];
    let entries = made.entries();
    let drive = entries.iter().map(|(key, text)| (*key, text.as_str()));
    link::write_pairs("travel", drive.chain(rest))
}

/// The headroom sheet filled in.
fn headroom_link(inputs: &Inputs, drive: &Drive, turn_travel: f64, motor: &Row) -> String {
    let own = |key| entry(inputs.num(key));
    let efficiency = entry(Some(drive.efficiency * 100.0));
    let pairs = [
        ("layout", "separate".to_string()),
        ("mass", own("mass")),
        ("lift", own("lift")),
        ("friction", own("friction")),
        ("efficiency", efficiency),
        ("turn_travel", entry(Some(turn_travel))),
        ("step", entry(motor.num(1))),
        ("rotor_inertia", entry(motor.num(6))),
        ("motors", "1".to_string()),
        ("wiring", "own_driver".to_string()),
        ("hold_torque", entry(motor.num(2))),
        ("rated", entry(motor.num(3))),
        ("set_rms", entry(motor.num(3))),
        ("resistance", entry(motor.num(4))),
        ("inductance", entry(motor.num(5))),
        ("supply", own("supply")),
        ("speed", own("speed")),
        ("accel", own("accel")),
        ("margin", own("margin")),
    ];
    link::write_pairs(
        "headroom",
        pairs.iter().map(|(key, text)| (*key, text.as_str())),
    )
}

#[cfg(test)]
mod tests {
    use super::super::trial::{faults, number, run};
    use super::super::{Cell, Found, Report};
    use crate::link;
    use std::string::{String, ToString};
    use std::vec::Vec;

    const AXIS: &[(&str, &str)] = &[
        ("from", "20"),
        ("to", "60"),
        ("speed", "150"),
        ("accel", "3000"),
        ("mass", "0.5"),
        ("friction", "2"),
        ("supply", "24"),
        ("teeth", "16..20"),
        ("pitches", "2,3"),
        ("threads", "Tr8x8(P2),M8"),
        ("gears", "1,60/20,60/20*34/17"),
        ("micros", "16,32"),
        (
            "motors",
            "small,1.8,0.26,1.2,2.1,2.8,38,9;large,0.9,0.44,1.5,2.4,4.1,68",
        ),
    ];

    fn with(more: &[(&'static str, &'static str)]) -> Report {
        let mut entries = AXIS.to_vec();
        entries.retain(|(key, _)| more.iter().all(|(other, _)| other != key));
        entries.extend_from_slice(more);
        run("find", &entries)
    }

    fn rows(report: &Report) -> &[Vec<Cell>] {
        match report.found("best") {
            Some(Found::Rows(rows)) => rows,
            _ => &[],
        }
    }

    fn text(cell: Option<&Cell>) -> String {
        match cell {
            Some(Cell::Text(text)) => text.to_string(),
            other => panic!("no text: {other:?}"),
        }
    }

    fn value(cell: Option<&Cell>) -> f64 {
        match cell {
            Some(Cell::Number(x)) => *x,
            other => panic!("no number: {other:?}"),
        }
    }

    #[test]
    fn every_combination_is_counted_and_microsteps_with_them() {
        let report = with(&[]);
        // 5 teeth x 2 pitches and 2 threads, x 3 x 2 x 2.
        assert!((number(&report, "tried") - 144.0).abs() < 1e-12);
        let once = with(&[("micros", "16")]);
        assert!((number(&report, "found") - 2.0 * number(&once, "found")).abs() < 1e-12);
        assert_eq!(rows(&report).len(), 2 * rows(&once).len());
        assert!(!rows(&once).is_empty());
        assert!((number(&with(&[("drives", "belt")]), "tried") - 120.0).abs() < 1e-12);
    }

    #[test]
    fn the_links_open_the_sheets_as_they_were_found() {
        let report = with(&[("from", "0.5"), ("margin", "0.5")]);
        assert!(
            rows(&report)
                .iter()
                .any(|row| text(row.first()).starts_with("screw"))
        );
        for row in rows(&report) {
            for (place, key, cell) in [
                (9, "turn_travel", 4),
                (9, "full_step", 5),
                (10, "in_hand", 6),
            ] {
                let text = text(row.get(place));
                let opened = link::read(&text);
                assert!(opened.faults.is_empty(), "{text}: {:?}", opened.faults);
                let sheet = opened.sheet.expect("it names a sheet");
                let report = sheet.run(&opened.entries);
                assert!(report.problems.is_empty(), "{text}: {:?}", report.problems);
                // Complete: written again it is the same.
                assert_eq!(link::write(&report), text);
                let expected = value(row.get(cell));
                assert!(
                    (number(&report, key) / expected - 1.0).abs() < 1e-12,
                    "{text}: {key}"
                );
            }
        }
    }

    #[test]
    fn parts_and_prices_are_counted() {
        for row in rows(&with(&[("from", "1")])) {
            let stages = match value(row.get(1)) {
                ratio if ratio < 1.5 => 0.0,
                ratio if ratio < 4.0 => 1.0,
                _ => 2.0,
            };
            assert!((value(row.get(7)) - 2.0 - stages).abs() < 1e-12);
            let priced = text(row.get(3)) == "small";
            assert_eq!(matches!(row.get(8), Some(Cell::Number(_))), priced);
        }
    }

    #[test]
    fn a_full_step_is_wanted_in_micrometres() {
        let report = with(&[("want", "full_step"), ("from", "90"), ("to", "100")]);
        assert!(!rows(&report).is_empty());
        assert!(
            rows(&report)
                .iter()
                .all(|row| (90.0..=100.0).contains(&value(row.get(5))))
        );
    }

    #[test]
    fn lists_that_cannot_be_read_are_refused_at_their_field() {
        for (key, text) in [
            ("drives", "chain"),
            ("teeth", "20..16"),
            ("teeth", "0..16"),
            ("teeth", "16..1000000"),
            ("pitches", "2,0"),
            ("threads", "Tr8"),
            ("gears", "1,0"),
            ("gears", "60/"),
            ("micros", "16,12"),
            ("to", "19"),
            ("motors", "small,1.8,0"),
        ] {
            let report = with(&[(key, text)]);
            assert_eq!(faults(&report), [key], "{text}");
            assert_eq!(report.number("found"), None);
        }
    }

    #[test]
    fn too_many_combinations_are_said_and_not_begun() {
        let many: Vec<String> = (0..100)
            .map(|i| (1.0 + f64::from(i) / 100.0).to_string())
            .collect();
        let many = many.join(",");
        let mut entries = AXIS.to_vec();
        entries.retain(|(key, _)| !["teeth", "gears", "pitches"].contains(key));
        entries.extend([
            ("teeth", "1..10000"),
            ("gears", many.as_str()),
            ("pitches", many.as_str()),
        ]);
        // Begun and left: 400 million are few enough, and take a while.
        let begin = |entries: &[(&str, &str)]| {
            super::SHEET.begin(&entries.iter().copied().collect(), &|_| None)
        };
        let mut report = begin(&entries);
        assert!(report.problems.is_empty(), "{:?}", report.problems);
        assert_eq!(report.share(), Some(0.0));
        assert!(
            report
                .advance(100_000)
                .is_some_and(|share| share > 0.0 && share < 0.01)
        );
        assert!(report.number("tried").is_some() && report.number("found").is_none());
        let micros = ("micros", "1,2,4,8,16,32,64,128,256");
        entries.retain(|(key, _)| *key != "micros");
        entries.push(micros);
        let report = begin(&entries);
        assert_eq!(faults(&report), ["teeth"]);
        assert_eq!(report.share(), None);
    }

    #[test]
    fn slices_end_where_one_go_does() {
        let mut sliced = super::SHEET.begin(&AXIS.iter().copied().collect(), &|_| None);
        let mut slices = 0;
        while sliced.advance(7).is_some() {
            slices += 1;
        }
        let whole = with(&[]);
        assert!(slices > 5);
        assert_eq!(rows(&sliced), rows(&whole));
        assert_eq!(sliced.number("found"), whole.number("found"));
    }

    #[test]
    fn what_is_missing_leaves_the_answers_blank() {
        assert_eq!(with(&[("gears", "")]).number("tried"), None);
        assert!(with(&[("speed", "")]).number("found").is_none());
        // Without belts the screws are searched alone.
        assert!((number(&with(&[("teeth", "")]), "tried") - 24.0).abs() < 1e-12);
        // Nothing to do: no torque in hand can be told.
        let idle = with(&[("accel", "0"), ("friction", "0")]);
        assert!(number(&idle, "found").abs() < 1e-12);
    }
}
