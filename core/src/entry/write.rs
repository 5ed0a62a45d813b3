//! The one writer of numbers: exact decimal digits, rounded half to even, without the standard library's formatting.
//!
//! What is not finite is written as an empty text: a blank, which every reader takes for "no value".
//!
//! # Source
//! Rounding: ISO 80000-1, Annex B, rule A (half to the even digit); from memory. Digits: every `f64` is m * 2^e with whole
//! m and e; for negative e it is m * 5^-e / 10^-e, so its digits are those of one whole number.

use alloc::string::String;
use alloc::vec::Vec;
use core::ops::Range;

use super::product::{Extra, read_product};

/// Writes a number with so many significant digits, 1 to 17, trailing zeros kept.
///
/// Sizes under 1e-4 and from 1e7 on are written as 1.20e-7. With 0 digits it is [`write_shortest`]: for counts.
///
/// ```
/// # use layshaft_core::entry::write::write_significant;
/// assert_eq!(write_significant(12.5, 4), "12.50");
/// assert_eq!(write_significant(123_456.0, 4), "123500");
/// assert_eq!(write_significant(0.000_000_12, 2), "1.2e-7");
/// assert_eq!(write_significant(12.0, 0), "12");
/// assert_eq!(write_significant(f64::NAN, 4), "");
/// ```
pub fn write_significant(value: f64, digits: u8) -> String {
    if digits == 0 {
        return write_shortest(value, 17);
    }
    let digits = usize::from(digits.min(17));
    Decimal::of(value).map_or_else(String::new, |mut decimal| {
        decimal.round(digits);
        decimal.digits.resize(digits, 0);
        decimal.write(-4..7)
    })
}

/// Writes a number with so many decimals, up to 17; sizes from 1e15 on as [`write_shortest`] does with 17 digits.
///
/// ```
/// # use layshaft_core::entry::write::write_fixed;
/// assert_eq!(write_fixed(2.5, 2), "2.50");
/// assert_eq!(write_fixed(0.125, 2), "0.12"); // half to even
/// assert_eq!(write_fixed(-0.001, 2), "0.00");
/// ```
pub fn write_fixed(value: f64, decimals: u8) -> String {
    let Some(mut decimal) = Decimal::of(value).filter(|decimal| decimal.point <= 15) else {
        return write_shortest(value, 17);
    };
    let decimals = i32::from(decimals.min(17));
    match usize::try_from(decimal.point + decimals) {
        Ok(digits) => decimal.round(digits),
        Err(_) => decimal.digits.clear(),
    }
    if decimal.digits.is_empty() {
        decimal.point = 1;
    }
    // Rounding up may have added a digit before the point.
    let digits = usize::try_from(decimal.point + decimals).unwrap_or_default();
    decimal.digits.resize(digits, 0);
    decimal.write(i32::MIN..16)
}

/// Writes a number with the fewest digits that read back as the same `f64`, at most `max_digits`, 1 to 17.
///
/// Without trailing zeros; sizes under 1e-5 and from 1e15 on are written as 1.2e-7. With 17 digits every size from
/// 1e-21 to 1e38, where the reader rounds correctly, reads back the same.
///
/// ```
/// # use layshaft_core::entry::write::write_shortest;
/// assert_eq!(write_shortest(0.1, 17), "0.1");
/// assert_eq!(write_shortest(0.1 + 0.2, 17), "0.30000000000000004");
/// assert_eq!(write_shortest(1.0 / 3.0, 6), "0.333333");
/// ```
pub fn write_shortest(value: f64, max_digits: u8) -> String {
    let Some(decimal) = Decimal::of(value) else {
        return String::new();
    };
    let max = usize::from(max_digits.clamp(1, 17));
    let mut text = String::new();
    // A decimal of up to 15 digits is what rounding its `f64` to 15 digits gives, with zeros after it.
    for digits in max.min(15)..=max {
        let mut decimal = Decimal {
            digits: decimal.digits.clone(),
            ..decimal
        };
        decimal.round(digits);
        while decimal.digits.last() == Some(&0) {
            decimal.digits.pop();
        }
        if decimal.digits.is_empty() {
            decimal.digits.push(0);
        }
        text = decimal.write(-5..15);
        if read_product(&text, Extra::None)
            .is_ok_and(|read| read.float.to_bits() == (value + 0.0).to_bits())
        {
            break;
        }
    }
    text
}

/// Exact decimal digits of a number.
struct Decimal {
    /// Whether it is under 0.
    negative: bool,
    /// Its digits, 0 to 9, the first not 0; none for 0.
    digits: Vec<u8>,
    /// How many of the digits stand before the point; 0 or less for zeros after the point.
    point: i32,
}

/// Nine decimal digits a limb: its digits need no division by anything but this.
const LIMB: u64 = 1_000_000_000;

impl Decimal {
    /// All digits of a number; `None` when it is not finite.
    fn of(value: f64) -> Option<Self> {
        if !value.is_finite() {
            return None;
        }
        let bits = value.to_bits();
        let field = i32::try_from(bits >> 52 & 0x7ff).ok()?;
        let fraction = bits & ((1 << 52) - 1);
        // value = mantissa * 2^exponent; subnormal numbers have no hidden bit.
        let mantissa = if field == 0 {
            fraction
        } else {
            fraction | 1 << 52
        };
        let zeros = mantissa.trailing_zeros() % 64;
        let exponent = field.max(1) - 1075 + i32::try_from(zeros).ok()?;
        let mantissa = mantissa >> zeros;

        let mut limbs = Vec::with_capacity(8);
        limbs.push(mantissa % LIMB);
        limbs.push(mantissa / LIMB);
        // 2^29 and 5^12 are under a limb.
        let (base, most) = if exponent < 0 { (5u64, 12) } else { (2, 29) };
        let mut left = exponent.unsigned_abs();
        while left > 0 {
            let step = left.min(most);
            multiply(&mut limbs, base.pow(step));
            left -= step;
        }

        let mut digits = Vec::with_capacity(limbs.len() * 9);
        for limb in limbs.iter().rev() {
            let mut scale = LIMB / 10;
            while scale > 0 {
                digits.push(u8::try_from(limb / scale % 10).ok()?);
                scale /= 10;
            }
        }
        let leading = digits.iter().take_while(|digit| **digit == 0).count();
        digits.drain(..leading);
        let point = if digits.is_empty() {
            1
        } else {
            i32::try_from(digits.len()).ok()? + exponent.min(0)
        };
        Some(Self {
            negative: value < 0.0,
            digits,
            point,
        })
    }

    /// Keeps so many digits, rounded half to even.
    fn round(&mut self, keep: usize) {
        let (Some(next), last) = (self.digits.get(keep).copied(), keep.checked_sub(1)) else {
            return;
        };
        let odd = last
            .and_then(|last| self.digits.get(last))
            .map_or(0, |d| d & 1);
        let beyond = self.digits.iter().skip(keep + 1).any(|digit| *digit != 0);
        let mut up = next > 5 || next == 5 && (beyond || odd == 1);
        self.digits.truncate(keep);
        for digit in self.digits.iter_mut().rev() {
            if !up {
                break;
            }
            up = *digit == 9;
            *digit = if up { 0 } else { *digit + 1 };
        }
        if up {
            self.digits.insert(0, 1);
            self.point += 1;
        }
    }

    /// The text: plain while the first digit's power of ten is in the range, else with a power of ten.
    fn write(&self, plain: Range<i32>) -> String {
        let mut text = String::with_capacity(self.digits.len() + 8);
        if self.negative && self.digits.iter().any(|digit| *digit != 0) {
            text.push('-');
        }
        let power = self.point - 1;
        let point = if plain.contains(&power) {
            self.point
        } else {
            1
        };
        if point <= 0 {
            text.push_str("0.");
            for _ in point..0 {
                text.push('0');
            }
        }
        let mut place = 0;
        for digit in &self.digits {
            if place == point && point > 0 {
                text.push('.');
            }
            text.push(char::from(b'0' + digit));
            place += 1;
        }
        for _ in place..point {
            text.push('0');
        }
        if !plain.contains(&power) {
            text.push('e');
            push_whole(&mut text, power);
        }
        text
    }
}

/// Multiplies a number in limbs, the lowest first.
fn multiply(limbs: &mut Vec<u64>, factor: u64) {
    let mut carry = 0;
    for limb in limbs.iter_mut() {
        let product = *limb * factor + carry;
        *limb = product % LIMB;
        carry = product / LIMB;
    }
    if carry > 0 {
        limbs.push(carry);
    }
}

/// Adds a whole number of up to three digits.
fn push_whole(text: &mut String, value: i32) {
    if value < 0 {
        text.push('-');
    }
    let size = value.unsigned_abs();
    let mut scale = match size {
        0..10 => 1,
        10..100 => 10,
        _ => 100,
    };
    while scale > 0 {
        text.extend(char::from_digit(size / scale % 10, 10));
        scale /= 10;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn significant_digits_keep_their_zeros() {
        for (value, digits, expected) in [
            (0.0, 4, "0.000"),
            (-0.0, 1, "0"),
            (12.5, 4, "12.50"),
            (12.5, 2, "12"), // half to even
            (13.5, 2, "14"),
            (9.996, 3, "10.0"),
            (99.96, 3, "100"),
            (999_999.6, 6, "1000000"), // one digit more, still in the plain range
            (0.000_123_45, 3, "0.000123"),
            (0.000_099_96, 3, "0.000100"),
            (0.000_012, 2, "1.2e-5"),
            (-1.5e-7, 2, "-1.5e-7"),
            (1e7, 3, "1.00e7"),
            (1e100, 1, "1e100"),
            (123_456.0, 2, "120000"),
            (5e-324, 3, "4.94e-324"),
            (f64::MAX, 5, "1.7977e308"),
        ] {
            // The row of six digits rounds up to seven before the point, still within the plain range.
            assert_eq!(
                write_significant(value, digits),
                expected,
                "{value} to {digits}"
            );
        }
    }

    #[test]
    fn decimals_keep_their_zeros() {
        for (value, decimals, expected) in [
            (0.0, 2, "0.00"),
            (0.0, 0, "0"),
            (2.5, 0, "2"),
            (3.5, 0, "4"),
            (0.5, 0, "0"),
            (0.51, 0, "1"),
            (0.006, 2, "0.01"),
            (0.004, 2, "0.00"),
            (-0.004, 2, "0.00"),
            (1e-300, 2, "0.00"),
            (99.999, 2, "100.00"),
            (-99.999, 2, "-100.00"),
            (1234.5, 1, "1234.5"),
            (1e14, 1, "100000000000000.0"),
            (1e15, 1, "1e15"),
        ] {
            assert_eq!(
                write_fixed(value, decimals),
                expected,
                "{value} to {decimals}"
            );
        }
    }

    #[test]
    fn the_shortest_text_has_no_spare_digit() {
        for (value, max, expected) in [
            (0.0, 17, "0"),
            (-0.0, 17, "0"),
            (40.0, 17, "40"),
            (0.1, 17, "0.1"),
            (25.4, 6, "25.4"),
            (1.0 / 3.0, 17, "0.3333333333333333"),
            (0.1 + 0.2, 17, "0.30000000000000004"),
            (0.1 + 0.2, 16, "0.3"),
            (2.0 / 3.0, 3, "0.667"),
            (23.1e-6, 17, "0.0000231"),
            (1e-6, 17, "1e-6"),
            (-1.25e-9, 17, "-1.25e-9"),
            (123_456_789.0, 17, "123456789"),
            (1e21, 17, "1e21"),
            (999_999.5, 6, "1000000"),
        ] {
            assert_eq!(write_shortest(value, max), expected, "{value} to {max}");
        }
    }

    #[test]
    fn what_is_no_number_is_written_blank() {
        for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert_eq!(write_significant(value, 4), "");
            assert_eq!(write_fixed(value, 2), "");
            assert_eq!(write_shortest(value, 17), "");
        }
    }
}
