//! Exact rational numbers, for answers that a rounded number would spoil: 160/3 steps per mm.
//!
//! A fraction is n/d in lowest terms with d over 0. Both are `i128`; whatever no longer fits is `None`, never a wrapped
//! number, so that a caller falls back to `f64` and says "about".

use core::fmt;

/// An exact rational number in lowest terms, its denominator over 0.
///
/// ```
/// use layshaft_core::fraction::Fraction;
/// let steps_per_mm = Fraction::new(3200, 60).unwrap();
/// assert_eq!((steps_per_mm.numerator(), steps_per_mm.denominator()), (160, 3));
/// assert_eq!(steps_per_mm.to_string(), "160/3");
/// assert_eq!(Fraction::new(1, 0), None); // no number
/// ```
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Fraction {
    numerator: i128,
    denominator: i128,
}

// Checked, so they cannot be the operators: each may be `None`.
#[allow(clippy::should_implement_trait)]
impl Fraction {
    /// Zero.
    pub const ZERO: Self = Self::from_int(0);
    /// One.
    pub const ONE: Self = Self::from_int(1);

    /// The fraction n/d in lowest terms.
    ///
    /// # Errors
    /// `None` when d is 0, or when a sign cannot be moved off `i128::MIN`.
    pub fn new(n: i128, d: i128) -> Option<Self> {
        let divisor = i128::try_from(gcd(n.unsigned_abs(), d.unsigned_abs())).ok()?;
        let (n, d) = (n.checked_div(divisor)?, d.checked_div(divisor)?);
        match d {
            0 => None,
            1.. => Some(Self {
                numerator: n,
                denominator: d,
            }),
            _ => Some(Self {
                numerator: n.checked_neg()?,
                denominator: d.checked_neg()?,
            }),
        }
    }

    /// The whole number n.
    pub const fn from_int(n: i128) -> Self {
        Self {
            numerator: n,
            denominator: 1,
        }
    }

    /// The whole number that a `f64` holds.
    ///
    /// # Errors
    /// `None` when the value is not whole, not finite, or not under 2^126.
    pub fn from_whole(value: f64) -> Option<Self> {
        let bits = value.to_bits();
        let exponent = i64::try_from(bits >> 52 & 0x7ff).ok()? - 1075;
        let mantissa = i128::from(bits & ((1 << 52) - 1) | 1 << 52);
        let size = match exponent {
            _ if bits << 1 == 0 => 0,
            0..=73 => mantissa << exponent,
            -52..0 if mantissa.trailing_zeros() >= u32::try_from(-exponent).ok()? => {
                mantissa >> -exponent
            }
            _ => return None,
        };
        Some(Self {
            numerator: if value < 0.0 { -size } else { size },
            denominator: 1,
        })
    }

    /// The numerator, which carries the sign.
    pub const fn numerator(self) -> i128 {
        self.numerator
    }

    /// The denominator, over 0.
    pub const fn denominator(self) -> i128 {
        self.denominator
    }

    /// Whether it is a whole number.
    pub const fn is_whole(self) -> bool {
        self.denominator == 1
    }

    /// self * other.
    ///
    /// # Errors
    /// `None` when the product in lowest terms does not fit.
    pub fn mul(self, other: Self) -> Option<Self> {
        // Reduced crosswise first, so that nothing overflows that fits in the end.
        let a = Self::new(self.numerator, other.denominator)?;
        let b = Self::new(other.numerator, self.denominator)?;
        Some(Self {
            numerator: a.numerator.checked_mul(b.numerator)?,
            denominator: a.denominator.checked_mul(b.denominator)?,
        })
    }

    /// self / other.
    ///
    /// # Errors
    /// `None` when `other` is 0 or the quotient does not fit.
    pub fn div(self, other: Self) -> Option<Self> {
        self.mul(other.recip()?)
    }

    /// self + other.
    ///
    /// # Errors
    /// `None` when a step of the sum does not fit.
    pub fn add(self, other: Self) -> Option<Self> {
        let shared = Self::new(self.denominator, other.denominator)?;
        let left = self.numerator.checked_mul(shared.denominator)?;
        let right = other.numerator.checked_mul(shared.numerator)?;
        Self::new(
            left.checked_add(right)?,
            self.denominator.checked_mul(shared.denominator)?,
        )
    }

    /// self - other.
    ///
    /// # Errors
    /// `None` when a step of the difference does not fit.
    pub fn sub(self, other: Self) -> Option<Self> {
        self.add(Self {
            numerator: other.numerator.checked_neg()?,
            denominator: other.denominator,
        })
    }

    /// 1 / self.
    ///
    /// # Errors
    /// `None` for 0.
    pub fn recip(self) -> Option<Self> {
        Self::new(self.denominator, self.numerator)
    }

    /// The nearest `f64`, ties to even: correctly rounded for every fraction.
    ///
    /// ```
    /// # use layshaft_core::fraction::Fraction;
    /// assert_eq!(Fraction::new(160, 3).unwrap().to_f64(), 160.0 / 3.0);
    /// ```
    pub fn to_f64(self) -> f64 {
        let size = quotient(
            self.numerator.unsigned_abs(),
            self.denominator.unsigned_abs(),
        );
        if self.numerator < 0 { -size } else { size }
    }
}

impl fmt::Display for Fraction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.numerator < 0 {
            f.write_str("-")?;
        }
        write_digits(f, self.numerator.unsigned_abs())?;
        if self.denominator == 1 {
            return Ok(());
        }
        f.write_str("/")?;
        write_digits(f, self.denominator.unsigned_abs())
    }
}

/// Decimal digits without core's formatting of 128-bit numbers, which is large in the page.
fn write_digits(f: &mut fmt::Formatter<'_>, mut n: u128) -> fmt::Result {
    let mut digits = [0u8; 39]; // 2^127 has 39
    let mut used = 0;
    for slot in digits.iter_mut().rev() {
        *slot = u8::try_from(n % 10).unwrap_or_default() + b'0';
        used += 1;
        n /= 10;
        if n == 0 {
            break;
        }
    }
    for digit in digits.iter().skip(digits.len() - used) {
        fmt::Write::write_char(f, char::from(*digit))?;
    }
    Ok(())
}

/// Greatest common divisor; of 0 and 0 it is 0.
fn gcd(mut a: u128, mut b: u128) -> u128 {
    // Numbers that people type fit in 64 bits, where a remainder is one instruction.
    if let (Ok(mut a), Ok(mut b)) = (u64::try_from(a), u64::try_from(b)) {
        while b != 0 {
            (a, b) = (b, a % b);
        }
        return u128::from(a);
    }
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

/// n/d as the nearest `f64`, ties to even, for n up to 2^127 and d from 1 to under 2^127.
pub(crate) fn quotient(n: u128, d: u128) -> f64 {
    if n == 0 {
        return 0.0;
    }
    if n >> 127 == 1 {
        return 2.0 * quotient(n >> 1, d);
    }
    if let (Ok(n), Ok(d)) = (u32::try_from(n), u32::try_from(d)) {
        return f64::from(n) / f64::from(d);
    }
    // Both with their highest bit at 2^126, so that doubling stays in range; then long division, bit by bit.
    let (n_zeros, d_zeros) = (n.leading_zeros().max(1), d.leading_zeros().max(1));
    let mut rest = n << (n_zeros - 1);
    let d = d << (d_zeros - 1);
    let mut exponent = 1023 + u64::from(d_zeros) - u64::from(n_zeros);
    if rest < d {
        rest <<= 1;
        exponent -= 1;
    }
    // 53 bits of mantissa and one to round by.
    let mut bits = 0u64;
    for _ in 0..54 {
        bits <<= 1;
        if rest >= d {
            rest -= d;
            bits |= 1;
        }
        rest <<= 1;
    }
    let (half, mantissa) = (bits & 1, bits >> 1);
    let up = half & (u64::from(rest != 0) | mantissa & 1);
    // The mantissa's own highest bit adds 1 to the exponent field, and so does a carry out of rounding.
    f64::from_bits(((exponent - 1) << 52) + mantissa + up)
}

#[cfg(test)]
// Equal to the bit is what is claimed.
#[allow(clippy::float_cmp)]
mod tests {
    extern crate std;
    use std::string::ToString;

    use super::*;
    use proptest::prelude::*;

    fn f(n: i128, d: i128) -> Fraction {
        Fraction::new(n, d).expect("a fraction")
    }

    #[test]
    fn lowest_terms_with_the_sign_above() {
        assert_eq!(f(-6, -4), f(3, 2));
        assert_eq!((f(6, -4).numerator(), f(6, -4).denominator()), (-3, 2));
        assert_eq!(f(0, -5), Fraction::ZERO);
        assert!(f(40, 2).is_whole() && !f(1, 2).is_whole());
        assert_eq!(Fraction::new(0, 0), None);
        assert_eq!(f(-160, 3).to_string(), "-160/3");
        assert_eq!(
            Fraction::from_int(i128::MAX).to_string(),
            i128::MAX.to_string()
        );
        assert_eq!(Fraction::ZERO.to_string(), "0");
    }

    #[test]
    fn what_no_longer_fits_is_none() {
        let most = Fraction::from_int(i128::MAX);
        assert_eq!(most.mul(f(2, 1)), None);
        assert_eq!(most.mul(f(2, 1)).and_then(|x| x.div(f(2, 1))), None);
        assert_eq!(most.mul(f(1, i128::MAX)), Some(Fraction::ONE));
        assert_eq!(most.add(Fraction::ONE), None);
        assert_eq!(f(1, i128::MAX).add(f(1, i128::MAX - 1)), None);
        assert_eq!(Fraction::ZERO.recip(), None);
        assert_eq!(Fraction::ONE.div(Fraction::ZERO), None);
        assert_eq!(Fraction::new(i128::MIN, -1), None);
        assert_eq!(Fraction::from_int(i128::MIN).to_f64(), -(2f64.powi(127)));
        assert_eq!(Fraction::new(i128::MIN, i128::MIN), None);
        assert_eq!(Fraction::ZERO.sub(Fraction::from_int(i128::MIN)), None);
    }

    #[test]
    fn whole_floats() {
        assert_eq!(Fraction::from_whole(0.0), Some(Fraction::ZERO));
        assert_eq!(Fraction::from_whole(-0.0), Some(Fraction::ZERO));
        assert_eq!(Fraction::from_whole(-3.0), Some(f(-3, 1)));
        assert_eq!(
            Fraction::from_whole(44_482_216_152_605.0),
            Some(f(44_482_216_152_605, 1))
        );
        assert_eq!(Fraction::from_whole(2f64.powi(125)), Some(f(1 << 125, 1)));
        assert_eq!(Fraction::from_whole(2f64.powi(127)), None);
        for not_whole in [0.5, -2.5, 1e-300, 5e-324, f64::NAN, f64::INFINITY] {
            assert_eq!(Fraction::from_whole(not_whole), None, "{not_whole}");
        }
    }

    #[test]
    fn ties_go_to_even() {
        // 2^53 + 1 lies between two floats, 2^53 + 3 too.
        assert_eq!(f((1 << 53) + 1, 1).to_f64(), 9_007_199_254_740_992.0);
        assert_eq!(f((1 << 53) + 3, 1).to_f64(), 9_007_199_254_740_996.0);
        // Rounding carries into the next power of two.
        assert_eq!(f((1 << 60) - 1, 1).to_f64(), 2f64.powi(60));
    }

    proptest! {
        #[test]
        fn halves_of_whole_floats_agree_with_ieee_division(n in -(1i64 << 53)..1 << 53, d in 1i64..1 << 53) {
            // Both are exact as f64, so IEEE 754 division rounds the true quotient once.
            #[allow(clippy::cast_precision_loss)]
            let expected = n as f64 / d as f64;
            prop_assert_eq!(f(n.into(), d.into()).to_f64().to_bits(), (expected + 0.0).to_bits());
        }

        #[test]
        fn whole_numbers_agree_with_the_compiler(n in any::<i128>()) {
            #[allow(clippy::cast_precision_loss)]
            let expected = n as f64;
            prop_assert_eq!(Fraction::from_int(n).to_f64().to_bits(), expected.to_bits());
        }

        #[test]
        fn sums_and_products_undo(a in any::<i64>(), b in 1i64.., c in any::<i32>(), d in 1i32..) {
            let (x, y) = (f(a.into(), b.into()), f(c.into(), d.into()));
            prop_assert_eq!(x.add(y).and_then(|sum| sum.sub(y)), Some(x));
            if c != 0 {
                prop_assert_eq!(x.mul(y).and_then(|product| product.div(y)), Some(x));
            }
        }

        #[test]
        fn anything_reduces_or_is_none(n in any::<i128>(), d in any::<i128>()) {
            if let Some(x) = Fraction::new(n, d) {
                prop_assert!(x.denominator() > 0);
                prop_assert!(gcd(x.numerator().unsigned_abs(), x.denominator().unsigned_abs()) == 1 || n == 0);
                prop_assert!(x.to_f64().is_finite());
            }
        }
    }
}
