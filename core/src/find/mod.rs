//! The search for drives, reductions and motors that meet a target: every combination, none sampled.
//!
//! Microsteps change no measure that is compared: each design stands for one combination per microstep, counted and
//! listed as such, and looked at once.

mod bounds;
mod front;
mod search;

pub use front::Best;
pub use search::Search;

use alloc::vec::Vec;
use core::f64::consts::PI;

use crate::fraction::Fraction;
use crate::motion::GRAVITY;
use crate::motor::torque::Motor;

/// A length or a ratio, and its numerator and denominator while they are whole and below 2^53.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Size {
    value: f64,
    parts: (f64, f64),
}

impl Size {
    /// A value, with its fraction where it has one.
    pub fn new(value: f64, exact: Option<Fraction>) -> Self {
        let whole = |n: i128| i64::try_from(n).ok().map(whole).filter(|n| *n < MOST_WHOLE);
        let parts = exact.and_then(|x| whole(x.numerator()).zip(whole(x.denominator())));
        Self {
            value,
            parts: parts.unwrap_or((value, 1.0)),
        }
    }

    /// The quotient, rounded once where both are exact: equal designs then have equal travels, to the last bit.
    pub fn over(self, other: Self) -> f64 {
        let top = self.parts.0 * other.parts.1;
        let bottom = self.parts.1 * other.parts.0;
        if top <= MOST_WHOLE && bottom <= MOST_WHOLE {
            top / bottom
        } else {
            self.value / other.value
        }
    }

    /// The value.
    pub fn value(self) -> f64 {
        self.value
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
    fn holds(&self, value: f64) -> bool {
        value >= self.from - ROUNDING * self.from.abs()
            && value <= self.to + ROUNDING * self.to.abs()
    }

    /// Least torque in hand that still meets the margin.
    fn least(&self) -> f64 {
        self.margin * (1.0 - ROUNDING)
    }
}

/// Everything that is combined.
#[derive(Clone, Debug)]
pub struct Space {
    /// Belts and screws.
    pub drives: Vec<Drive>,
    /// Reductions.
    pub gears: Vec<Gear>,
    /// Motors.
    pub motors: Vec<Candidate>,
    /// What the axis does.
    pub load: Load,
    /// What is asked for.
    pub goal: Goal,
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

    /// Full step in um of a motor of so many full steps a turn.
    fn full_step(&self, full_steps: f64) -> f64 {
        self.turn_travel * 1000.0 / full_steps
    }
}

impl Space {
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
            pair.full_step(candidate.full_steps),
            in_hand,
        ))
    }
}
