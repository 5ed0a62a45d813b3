//! The lists that are combined, as they are typed and as the search wants them.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::super::inputs::{Inputs, Row};
use super::super::outcome::Outcome;
use crate::entry::number::{read_count, read_number, read_ratio};
use crate::entry::thread::{Series, read_thread};
use crate::entry::unit::MM;
use crate::entry::write::write_shortest;
use crate::find::{Candidate, Drive, Gear, Size, at};
use crate::motion::screw::{self, PowerScrew};
use crate::motor;
use crate::motor::torque::Motor;

/// What a drive is made of; its words are made for the few that are listed.
#[derive(Debug)]
pub enum Made {
    /// A belt of a pitch in mm on a pulley.
    Belt { pitch: f64, teeth: u32 },
    /// A screw by its designation as typed.
    Screw(String),
}

impl Made {
    /// As the rows name it.
    pub fn name(&self) -> String {
        match self {
            Self::Belt { pitch, teeth } => {
                format!("belt {} mm, {teeth} teeth", write_shortest(*pitch, 17))
            }
            Self::Screw(thread) => format!("screw {thread}"),
        }
    }

    /// As the travel sheet's link has it.
    pub fn entries(&self) -> Vec<(&'static str, String)> {
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
pub struct Parts {
    teeth: Vec<u32>,
    pitches: Vec<Size>,
    threads: Vec<(Drive, String)>,
    /// With what was typed.
    gears: Vec<(Gear, String)>,
    pub micros: Vec<u32>,
    /// With the row's place.
    motors: Vec<(Candidate, usize)>,
}

impl Parts {
    /// Reads the lists; `None` when one is missing or cannot be read.
    pub fn read(inputs: &Inputs, out: &mut Outcome) -> Option<Self> {
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

    fn drive_count(&self) -> u64 {
        let belts = count(self.teeth.len()).saturating_mul(count(self.pitches.len()));
        belts.saturating_add(count(self.threads.len()))
    }

    /// How many combinations there are.
    pub fn tried(&self) -> u64 {
        self.designs().saturating_mul(count(self.micros.len()))
    }

    /// How many designs are looked at: microsteps need no look.
    pub fn designs(&self) -> u64 {
        self.drive_count()
            .saturating_mul(count(self.gears.len()))
            .saturating_mul(count(self.motors.len()))
    }

    /// Drives, each counted once for every step angle: so many are looked through side by side.
    pub fn lines(&self) -> u64 {
        let mut steps: Vec<f64> = self
            .motors
            .iter()
            .map(|(motor, _)| motor.full_steps)
            .collect();
        steps.sort_unstable_by(f64::total_cmp);
        steps.dedup_by(|a, b| a.total_cmp(b).is_eq());
        self.drive_count().saturating_mul(count(steps.len()))
    }

    /// Every drive: belts first, the pitches of each pulley, then screws.
    pub fn drives(&self) -> Vec<Drive> {
        let belts = self.teeth.iter().flat_map(|teeth| {
            self.pitches.iter().map(|pitch| Drive {
                lead: pitch.times(*teeth),
                efficiency: 1.0,
            })
        });
        let screws = self.threads.iter().map(|(drive, _)| *drive);
        belts.chain(screws).collect()
    }

    /// Every reduction.
    pub fn gears(&self) -> Vec<Gear> {
        self.gears.iter().map(|(gear, _)| *gear).collect()
    }

    /// A reduction as it was typed.
    pub fn gear(&self, place: u32) -> Option<&str> {
        at(&self.gears, place).map(|(_, text)| text.as_str())
    }

    /// Every motor.
    pub fn motors(&self) -> Vec<Candidate> {
        self.motors.iter().map(|(motor, _)| *motor).collect()
    }

    /// A motor's row.
    pub fn motor(&self, place: u32) -> Option<usize> {
        at(&self.motors, place).map(|(_, row)| *row)
    }

    /// What the drive at a place is made of.
    pub fn made(&self, place: u32) -> Option<Made> {
        let place = usize::try_from(place).ok()?;
        let belts = self.teeth.len() * self.pitches.len();
        if let Some(screw) = place.checked_sub(belts) {
            let (_, thread) = self.threads.get(screw)?;
            return Some(Made::Screw(thread.clone()));
        }
        Some(Made::Belt {
            teeth: *self.teeth.get(place.checked_div(self.pitches.len())?)?,
            pitch: self.pitches.get(place % self.pitches.len())?.value(),
        })
    }

    /// The field that has most in it, with its label; among those of the drives, or of all.
    pub fn longest(&self, drives: bool) -> (&'static str, &'static str) {
        let lengths = [
            ("threads", "Screw threads", self.threads.len()),
            ("pitches", "Belt pitches", self.pitches.len()),
            ("teeth", "Pulley teeth", self.teeth.len()),
            ("motors", "Motors", self.motors.len()),
            ("micros", "Microsteps", self.micros.len()),
            ("gears", "Reductions", self.gears.len()),
        ];
        let longest = lengths
            .iter()
            .take(if drives { 3 } else { lengths.len() })
            .max_by_key(|(_, _, length)| *length);
        longest.map_or(("teeth", "Pulley teeth"), |(key, label, _)| (*key, *label))
    }
}

fn count(n: usize) -> u64 {
    u64::try_from(n).unwrap_or(u64::MAX)
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

fn pitch(text: &str) -> Result<Size, String> {
    match read_number(text, MM) {
        Ok(pitch) if pitch.value > 0.0 && pitch.value <= 1000.0 => {
            Ok(Size::new(pitch.value, pitch.exact))
        }
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
