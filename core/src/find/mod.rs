//! The search for drives, reductions and motors that meet a target: every combination, none sampled.
//!
//! Microsteps change no measure that is compared: each design stands for one combination per microstep, counted and
//! listed as such, and looked at once.
//!
//! The designs are met in the order of their full step, finest first (`lines`). What comes later can then not beat what
//! was met before, but in parts, price or torque in hand: the most in hand so far, for each number of parts and each price,
//! says at once and for good whether a design is beaten (`front`). Nothing but the list itself is kept, however many
//! designs no other one beats.

mod bounds;
mod front;
mod lines;
mod search;

pub use front::Best;
pub use search::Search;

use alloc::vec::Vec;
use core::cmp::Ordering;
use core::f64::consts::PI;

use crate::fraction::Fraction;
use crate::motion::GRAVITY;
use crate::motor::torque::Motor;

/// A length or a ratio as a quotient, of two whole numbers below 2^53 where it has one.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Size {
    value: f64,
    top: f64,
    bottom: f64,
    exact: bool,
}

impl Size {
    /// A value over 0, with its fraction where it has one.
    pub fn new(value: f64, exact: Option<Fraction>) -> Self {
        let whole = |n: i128| i64::try_from(n).ok().map(whole).filter(|n| *n < MOST_WHOLE);
        let parts = exact.and_then(|x| whole(x.numerator()).zip(whole(x.denominator())));
        let (top, bottom) = parts.unwrap_or((value, 1.0));
        Self {
            value,
            top,
            bottom,
            exact: parts.is_some(),
        }
    }

    /// So many times as large.
    pub fn times(self, count: u32) -> Self {
        let count = f64::from(count);
        Self {
            value: self.value * count,
            top: self.top * count,
            ..self
        }
    }

    /// The quotient.
    pub fn over(self, other: Self) -> f64 {
        (self.top * other.bottom) / (self.bottom * other.top)
    }

    /// The value.
    pub fn value(self) -> f64 {
        self.value
    }

    fn compare(self, other: Self) -> Ordering {
        (self.top * other.bottom).total_cmp(&(other.top * self.bottom))
    }
}

/// Whole numbers up to here are exact.
const MOST_WHOLE: f64 = 9_007_199_254_740_992.0;

/// A whole number below 2^53 as a float.
#[allow(clippy::cast_precision_loss)] // Larger ones are sorted out right after.
fn whole(n: i64) -> f64 {
    n as f64
}

/// A belt on its pulley, or a screw.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Drive {
    /// Travel of one output turn, mm, over 0.
    pub lead: Size,
    /// Share of the motor's work that reaches the axis, 0 (never moves) to 1.
    pub efficiency: f64,
}

/// A reduction.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Gear {
    /// Motor turns per output turn, over 0.
    pub ratio: Size,
    /// How many stages it has.
    pub stages: u32,
}

/// A motor that may be bought.
#[derive(Clone, Copy, Debug)]
pub struct Candidate {
    /// What it gives over its speed.
    pub motor: Motor,
    /// Full steps of a turn, over 0.
    pub full_steps: f64,
    /// Inertia of its rotor, g·cm², from 0.
    pub rotor_g_cm2: f64,
    /// What it costs, if that is known.
    pub price: Option<f64>,
}

/// What the axis does.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Load {
    /// What moves, kg, from 0.
    pub mass: f64,
    /// Friction along the path, N, from 0.
    pub friction: f64,
    /// What is held against gravity, kg, from 0.
    pub lift: f64,
    /// Speed, mm/s, from 0.
    pub speed: f64,
    /// Acceleration, mm/s², from 0.
    pub accel: f64,
}

/// What is asked for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Want {
    /// Travel per motor turn, mm.
    TurnTravel,
    /// Full step, um.
    FullStep,
}

/// The target, both ends included.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Goal {
    /// What is asked for.
    pub want: Want,
    /// Lower end.
    pub from: f64,
    /// Upper end.
    pub to: f64,
    /// Available over needed torque, at least, over 0.
    pub margin: f64,
}

/// Rounding in the last places puts nothing outside that stands on the border.
const ROUNDING: f64 = 1e-12;

impl Goal {
    /// Whether a size lies short of the target.
    fn is_short(&self, value: f64) -> bool {
        value < self.from - ROUNDING * self.from.abs()
    }

    /// Whether a size is not beyond the target.
    fn is_not_beyond(&self, value: f64) -> bool {
        value <= self.to + ROUNDING * self.to.abs()
    }

    /// Least torque in hand that still meets the margin.
    fn least(&self) -> f64 {
        self.margin * (1.0 - ROUNDING)
    }
}

/// Everything that is combined.
#[derive(Clone, Debug)]
pub struct Space {
    drives: Vec<Drive>,
    gears: Vec<Gear>,
    motors: Vec<Candidate>,
    load: Load,
    goal: Goal,
}

/// One combination by its places in the lists.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Design {
    /// Place of the drive.
    pub drive: u32,
    /// Place of the reduction.
    pub gear: u32,
    /// Place of the motor.
    pub motor: u32,
}

/// The item at a place of a list.
pub fn at<T>(list: &[T], place: u32) -> Option<&T> {
    list.get(usize::try_from(place).ok()?)
}

/// A drive behind a reduction: what it asks of a motor.
#[derive(Clone, Copy)]
struct Pair {
    turn_travel: f64,
    /// Motor speed, rad/s.
    shaft_speed: f64,
    /// Torque without the rotor, N·m.
    torque: f64,
    /// Torque for each g·cm² of the rotor.
    per_rotor: f64,
}

impl Pair {
    /// As `motion::load::Axis` has it, for one motor.
    fn new(drive: &Drive, gear: &Gear, load: &Load) -> Self {
        let turn_travel = drive.lead.over(gear.ratio);
        let arm = turn_travel / 1000.0 / (2.0 * PI);
        let accel = load.accel / 1000.0;
        let force = load.mass * accel + load.friction + load.lift * GRAVITY;
        Self {
            turn_travel,
            shaft_speed: load.speed / 1000.0 / arm,
            torque: force * arm / drive.efficiency,
            per_rotor: 1e-7 * accel / arm,
        }
    }

    fn needed(&self, candidate: &Candidate) -> f64 {
        self.torque + candidate.rotor_g_cm2 * self.per_rotor
    }
}

/// Full step in um of a motor of so many full steps a turn.
fn full_step(turn_travel: f64, full_steps: f64) -> f64 {
    turn_travel * 1000.0 / full_steps
}

impl Space {
    /// Combines belts and screws, reductions and motors.
    ///
    /// Travels are quotients of whole numbers, rounded once, as long as all of them can be: designs that are equal then
    /// have equal travels, to the last bit. Either way a larger reduction never travels further, in the last bit neither.
    pub fn new(
        mut drives: Vec<Drive>,
        mut gears: Vec<Gear>,
        motors: Vec<Candidate>,
        load: Load,
        goal: Goal,
    ) -> Self {
        let most = |size: (f64, f64), x: &Size| (size.0.max(x.top), size.1.max(x.bottom));
        let leads = || drives.iter().map(|drive| &drive.lead);
        let ratios = || gears.iter().map(|gear| &gear.ratio);
        let (lead, ratio) = (
            leads().fold((0.0, 0.0), most),
            ratios().fold((0.0, 0.0), most),
        );
        let largest = (lead.0 * ratio.1)
            .max(lead.1 * ratio.0)
            .max(ratio.0 * ratio.1);
        if largest > MOST_WHOLE || !leads().chain(ratios()).all(|size| size.exact) {
            let leads = drives.iter_mut().map(|drive| &mut drive.lead);
            for size in leads.chain(gears.iter_mut().map(|gear| &mut gear.ratio)) {
                *size = Size::new(size.value, None);
            }
        }
        Self {
            drives,
            gears,
            motors,
            load,
            goal,
        }
    }

    /// Belts and screws, as given.
    pub fn drives(&self) -> &[Drive] {
        &self.drives
    }

    /// Reductions, as given.
    pub fn gears(&self) -> &[Gear] {
        &self.gears
    }

    /// How many designs there are, without microsteps.
    pub fn designs(&self) -> u64 {
        let count = |n: usize| u64::try_from(n).unwrap_or(u64::MAX);
        count(self.drives.len())
            .saturating_mul(count(self.gears.len()))
            .saturating_mul(count(self.motors.len()))
    }

    /// Travel per motor turn in mm, full step in um and available over needed torque of one design.
    ///
    /// `None` for a place that is not in the lists; the torque in hand is not finite when nothing is needed.
    ///
    /// # Source
    /// `motion::load::Axis` and `motor::torque::Motor`.
    pub fn measures(&self, design: Design) -> Option<(f64, f64, f64)> {
        let drive = at(&self.drives, design.drive)?;
        let gear = at(&self.gears, design.gear)?;
        let candidate = at(&self.motors, design.motor)?;
        let pair = Pair::new(drive, gear, &self.load);
        let in_hand = candidate.motor.torque(pair.shaft_speed) / pair.needed(candidate);
        Some((
            pair.turn_travel,
            full_step(pair.turn_travel, candidate.full_steps),
            in_hand,
        ))
    }
}
