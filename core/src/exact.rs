//! A number that stays an exact fraction for as long as everything it is made of is one.

use crate::fraction::Fraction;

/// A value, and the same as a fraction when it is known exactly.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Exact {
    /// The value; the correctly rounded fraction where there is one.
    pub value: f64,
    /// The value as a fraction; `None` once a factor was irrational or the fraction outgrew its integers.
    pub fraction: Option<Fraction>,
}

impl Exact {
    /// A value with its fraction, if it has one.
    pub fn new(value: f64, fraction: Option<Fraction>) -> Self {
        Self {
            value: fraction.map_or(value, Fraction::to_f64),
            fraction,
        }
    }

    /// A whole number.
    pub fn whole(n: u32) -> Self {
        Self::new(f64::from(n), Some(Fraction::from_int(i128::from(n))))
    }

    /// A value that no fraction tells.
    pub const fn inexact(value: f64) -> Self {
        Self {
            value,
            fraction: None,
        }
    }

    /// The product.
    pub fn times(self, other: Self) -> Self {
        let fraction = self.fraction.zip(other.fraction);
        Self::new(
            self.value * other.value,
            fraction.and_then(|(a, b)| a.mul(b)),
        )
    }

    /// The quotient; not finite when `other` is 0.
    pub fn over(self, other: Self) -> Self {
        let fraction = self.fraction.zip(other.fraction);
        Self::new(
            self.value / other.value,
            fraction.and_then(|(a, b)| a.div(b)),
        )
    }

    /// Whether it is a whole number; to 1e-9 of its size where no fraction tells.
    pub fn is_whole(self) -> bool {
        match self.fraction {
            Some(fraction) => fraction.is_whole(),
            None => (self.value - libm::round(self.value)).abs() <= 1e-9 * self.value.abs(),
        }
    }
}

/// The whole number that `value` is, from 0 to the largest `u32`; `None` between the whole numbers and outside.
pub fn to_u32(value: f64) -> Option<u32> {
    let whole = (0.0..=f64::from(u32::MAX)).contains(&value) && libm::floor(value) >= value;
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole and within the range, both just looked at"
    )]
    whole.then_some(value as u32)
}
