//! What each motor gives at least and at most in a narrow range of speeds, so that most need no closer look.

use alloc::vec::Vec;

use super::Candidate;

/// A range holds the speeds that agree in exponent and these first bits of the fraction: under 0.8 % wide.
const RANGE_BITS: u32 = 52 - 7;

/// A bound stands this much aside of what it bounds: far more than rounding.
const ASIDE: f64 = 1e-9;

/// Least and most torque of some motors in the range of speeds that was asked for last.
#[derive(Clone, Debug)]
pub(super) struct Bounds {
    /// The range's number; `None` before the first.
    range: Option<u64>,
    /// Whether its bounds are known: they are worth their work from the second question on.
    known: bool,
    tight: Vec<(f64, f64)>,
    /// Torque from 0 to the most that each motor gives at any speed.
    loose: Vec<(f64, f64)>,
}

impl Bounds {
    /// For some motors.
    pub fn new<'a>(motors: impl Iterator<Item = &'a Candidate>) -> Self {
        let most = |c: &Candidate| c.motor.constant * c.motor.peak * (1.0 + ASIDE);
        let loose: Vec<(f64, f64)> = motors.map(|c| (0.0, most(c))).collect();
        Self {
            range: None,
            known: false,
            tight: loose.clone(),
            loose,
        }
    }

    /// Least and most torque of each motor at this speed in rad/s, from 0.
    ///
    /// The torque of a motor falls or stays as its speed rises: its values at the range's ends bound those within.
    pub fn at<'a>(
        &mut self,
        speed: f64,
        motors: impl Iterator<Item = &'a Candidate>,
    ) -> &[(f64, f64)] {
        let number = speed.to_bits() >> RANGE_BITS;
        if self.range != Some(number) {
            self.range = Some(number);
            self.known = false;
            return &self.loose;
        }
        if !self.known {
            self.known = true;
            let slow = f64::from_bits(number << RANGE_BITS);
            let fast = f64::from_bits((number + 1) << RANGE_BITS);
            for (bound, c) in self.tight.iter_mut().zip(motors) {
                *bound = (
                    c.motor.torque(fast) * (1.0 - ASIDE),
                    c.motor.torque(slow) * (1.0 + ASIDE),
                );
            }
        }
        &self.tight
    }
}
