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
