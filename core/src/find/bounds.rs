//! What each motor gives at least and at most in a narrow range of speeds, so that most need no closer look.

use alloc::vec::Vec;

use super::{Candidate, Space};

/// A range holds the speeds that agree in exponent and these first bits of the fraction: under 0.8 % wide.
const RANGE_BITS: u32 = 52 - 7;

/// More ranges than this are not kept: drives that far apart are not worth bounds.
const MOST_RANGES: usize = 16_384;

/// A bound stands this much aside of what it bounds: far more than rounding.
const ASIDE: f64 = 1e-9;

/// Least and most torque of each motor, in ranges of the motor's speed.
#[derive(Clone, Debug)]
pub(super) struct Bounds {
    /// The first range's number.
    first: u64,
    ranges: Vec<Range>,
    /// Torque from 0 to the most that each motor gives at any speed.
    loose: Vec<(f64, f64)>,
}

/// One range of speeds.
#[derive(Clone, Debug)]
enum Range {
    /// No drive came here yet.
    Unseen,
    /// One came: bounds are worth their work from the second on.
    Once,
    /// Bounds of each motor.
    Known(Vec<(f64, f64)>),
}

impl Bounds {
    /// For a space, with its motors in any order.
    pub fn new(space: &Space, motors: &[Candidate]) -> Self {
        let ends = |values: &mut dyn Iterator<Item = f64>| {
            values.fold((f64::INFINITY, 0.0), |(low, high): (f64, f64), x| {
                (low.min(x), high.max(x))
            })
        };
        let leads = ends(&mut space.drives.iter().map(|drive| drive.lead.value()));
        let ratios = ends(&mut space.gears.iter().map(|gear| gear.ratio.value()));
        let speed = |lead: f64, ratio: f64| {
            let arm = lead / ratio / 1000.0 / (2.0 * core::f64::consts::PI);
            number(space.load.speed / 1000.0 / arm)
        };
        // One range aside at both ends: rounding may carry a speed over.
        let first = speed(leads.1, ratios.0).saturating_sub(1);
        let last = speed(leads.0, ratios.1).saturating_add(1);
        let count = usize::try_from(last.saturating_sub(first) + 1).unwrap_or(usize::MAX);
        let ranges = if count <= MOST_RANGES { count } else { 0 };
        let most = |c: &Candidate| c.motor.constant * c.motor.peak * (1.0 + ASIDE);
        Self {
            first,
            ranges: (0..ranges).map(|_| Range::Unseen).collect(),
            loose: motors.iter().map(|c| (0.0, most(c))).collect(),
        }
    }

    /// Least and most torque of each motor at this speed in rad/s.
    ///
    /// The torque of a motor falls or stays as its speed rises: its values at the range's ends bound those within.
    pub fn at(&mut self, speed: f64, motors: &[Candidate]) -> &[(f64, f64)] {
        let number = number(speed);
        let place = number
            .checked_sub(self.first)
            .and_then(|n| usize::try_from(n).ok());
        let Some(range) = place.and_then(|place| self.ranges.get_mut(place)) else {
            return &self.loose;
        };
        match range {
            Range::Unseen => *range = Range::Once,
            Range::Once => {
                let slow = f64::from_bits(number << RANGE_BITS);
                let fast = f64::from_bits((number + 1) << RANGE_BITS);
                let bound = |c: &Candidate| {
                    (
                        c.motor.torque(fast) * (1.0 - ASIDE),
                        c.motor.torque(slow) * (1.0 + ASIDE),
                    )
                };
                *range = Range::Known(motors.iter().map(bound).collect());
            }
            Range::Known(_) => {}
        }
        match range {
            Range::Known(bounds) => bounds,
            _ => &self.loose,
        }
    }
}

/// The number of the range that holds a speed of 0 or more.
const fn number(speed: f64) -> u64 {
    speed.to_bits() >> RANGE_BITS
}
