//! Numbers, and products and quotients of them: `12,5`, `1/2`, `60/20*34/17`, `4k7`.

use super::cause::Cause;
use crate::fraction::{Fraction, quotient};

/// A number as it is worked with, and exactly where it fits.
#[derive(Clone, Copy, Debug)]
pub(super) struct Value {
    /// The number; correctly rounded from `exact` where that is known.
    pub float: f64,
    /// The number as a fraction.
    pub exact: Option<Fraction>,
    /// Whether a code letter of IEC 60062 stood in it, so that it is in ohms.
    pub coded: bool,
}

/// What else may stand in a product.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Extra {
    /// Nothing.
    None,
    /// Code letters of IEC 60062.
    Codes,
    /// A colon that divides, as in 3:1.
    Colon,
}

/// The smallest magnitude beside 0 that is worked with: safely over where `f64` loses digits.
const SMALLEST: f64 = 1e-300;

impl Value {
    /// A value made from its exact form, or from a float when there is none.
    ///
    /// # Errors
    /// [`Cause::TooLarge`] and [`Cause::TooSmall`] beyond what is worked with.
    pub fn new(float: f64, exact: Option<Fraction>, coded: bool) -> Result<Self, Cause> {
        let float = match exact {
            Some(fraction) => fraction.to_f64(),
            None if !float.is_finite() => return Err(Cause::TooLarge),
            None if float.abs() < SMALLEST => return Err(Cause::TooSmall),
            None => float,
        };
        Ok(Self {
            float,
            exact,
            coded,
        })
    }

    fn times(self, other: Self, divide: bool) -> Result<Self, Cause> {
        let coded = self.coded || other.coded;
        if divide {
            if other.float == 0.0 {
                return Err(Cause::DivideByZero);
            }
            let exact = self.exact.zip(other.exact).and_then(|(a, b)| a.div(b));
            return Self::nonzero(self, self.float / other.float, exact, coded);
        }
        let exact = self.exact.zip(other.exact).and_then(|(a, b)| a.mul(b));
        if other.float == 0.0 {
            return Ok(Self { coded, ..other });
        }
        Self::nonzero(self, self.float * other.float, exact, coded)
    }

    /// The outcome, or the first factor again when it is 0, however the rest overflows.
    fn nonzero(
        first: Self,
        float: f64,
        exact: Option<Fraction>,
        coded: bool,
    ) -> Result<Self, Cause> {
        if first.float == 0.0 {
            return Ok(Self { coded, ..first });
        }
        Self::new(float, exact, coded)
    }
}

/// Reads a whole text as numbers joined by `*` and `/`.
///
/// # Errors
/// A [`Cause`] that names what stood in the way.
pub(super) fn read_product(text: &str, extra: Extra) -> Result<Value, Cause> {
    let mut rest = text.trim_start();
    let mut total: Option<Value> = None;
    let mut divide = false;
    loop {
        let (value, after) = read_number(rest, extra)?;
        let value = match total {
            None => value,
            Some(total) => total.times(value, divide)?,
        };
        total = Some(value);
        rest = after.trim_start();
        let mut chars = rest.chars();
        divide = match chars.next() {
            None => return Ok(value),
            Some('*') => false,
            Some('/') => true,
            Some(':') if extra == Extra::Colon => true,
            Some('m')
                if extra == Extra::Codes
                    && (chars.as_str().is_empty() || starts_with_digit(chars.as_str())) =>
            {
                return Err(Cause::MilliOrMega);
            }
            Some(c) if c.is_alphabetic() || matches!(c, '%' | '‰' | '°' | '\'' | '"') => {
                return Err(Cause::UnknownUnit { dimension: None });
            }
            Some(at) => return Err(Cause::Letters { at }),
        };
        rest = chars.as_str().trim_start();
        if rest.is_empty() {
            return Err(Cause::Unfinished);
        }
    }
}

/// The power of ten of a code letter of IEC 60062, and whether the letter is one.
///
/// # Source
/// IEC 60062, "Marking codes for resistors and capacitors", letter code for resistance; from memory. Small letters
/// are taken too, but for l, which looks like a 1, and m, which could mean either.
const fn code_power(c: char) -> Option<i32> {
    Some(match c {
        'L' => -3,
        'R' | 'r' => 0,
        'K' | 'k' => 3,
        'M' => 6,
        'G' | 'g' => 9,
        _ => return None,
    })
}

/// Digits as they are read: digits * 10^power.
struct Decimal {
    /// Up to 38 digits.
    digits: u128,
    /// The power of ten of the last digit in `digits`.
    power: i32,
    /// Whether digits were left out, beyond the 38th.
    cut: bool,
}

/// 10^38: the largest power of ten under 2^127.
const MOST: u128 = 10u128.pow(38);

impl Decimal {
    fn push(&mut self, digit: u32, fractional: bool) {
        let place = self.digits.wrapping_mul(10).wrapping_add(u128::from(digit));
        if self.digits < MOST / 10 {
            self.digits = place;
            self.power -= i32::from(fractional);
        } else {
            self.cut |= digit != 0;
            self.power += i32::from(!fractional);
        }
    }

    /// The number, correctly rounded for up to 38 digits that end between the 38th place after the point and the
    /// highest under 2^127; within 8 units of the last place beyond.
    fn value(&self, negative: bool, coded: bool) -> Result<Value, Cause> {
        let size = self.power.unsigned_abs();
        let kept = match 10u128.checked_pow(size).filter(|scale| *scale <= MOST) {
            _ if self.digits == 0 => Some(Fraction::ZERO),
            Some(scale) if self.power < 0 => fraction(self.digits, scale),
            Some(scale) => self
                .digits
                .checked_mul(scale)
                .and_then(|digits| fraction(digits, 1)),
            None => None,
        };
        let kept = match kept {
            Some(size) if negative => Fraction::ZERO.sub(size),
            kept => kept,
        };
        let float = match kept {
            Some(fraction) => fraction.to_f64(),
            None => {
                let size = scaled(quotient(self.digits, 1), self.power);
                if negative { -size } else { size }
            }
        };
        Value::new(float, kept.filter(|_| !self.cut), coded)
    }
}

fn fraction(n: u128, d: u128) -> Option<Fraction> {
    Fraction::new(i128::try_from(n).ok()?, i128::try_from(d).ok()?)
}

/// value * 10^power in steps of 10^22, the largest power of ten that `f64` holds exactly.
fn scaled(mut value: f64, power: i32) -> f64 {
    let mut left = power.unsigned_abs();
    while left > 0 && value.is_finite() && value > SMALLEST {
        let step = left.min(22);
        let mut scale = 1.0;
        for _ in 0..step {
            scale *= 10.0;
        }
        if power < 0 {
            value /= scale;
        } else {
            value *= scale;
        }
        left -= step;
    }
    value
}

/// Reads one number from the start of a text, and gives what follows.
fn read_number(text: &str, extra: Extra) -> Result<(Value, &str), Cause> {
    let start = text
        .strip_prefix('-')
        .or_else(|| text.strip_prefix('+'))
        .unwrap_or(text)
        .trim_start();
    let mut decimal = Decimal {
        digits: 0,
        power: 0,
        cut: false,
    };
    let (mut seen, mut point, mut code) = (false, false, None);
    let mut rest = start;
    while let Some((c, after)) = split_first(rest) {
        let digit_next = starts_with_digit(after);
        let code_here = match code {
            None if extra == Extra::Codes => code_power(c),
            _ => None,
        };
        match c {
            '0'..='9' => {
                decimal.push(c.to_digit(10).unwrap_or_default(), point);
                seen = true;
            }
            '.' | ',' if code.is_some() => return Err(Cause::Letters { at: c }),
            '.' | ',' if point => return Err(Cause::GroupSeparator),
            '.' | ',' => point = true,
            '\'' | '_' if seen && digit_next => return Err(Cause::GroupSeparator),
            ' ' if seen && starts_with_digit(after.trim_start()) => {
                let beyond = after.trim_start().trim_start_matches(is_digit).trim_start();
                return Err(if beyond.starts_with('/') && !point {
                    Cause::Mixed
                } else {
                    Cause::GroupSeparator
                });
            }
            'e' | 'E' if seen && code.is_none() => {
                let Some((power, after)) = read_exponent(after) else {
                    break;
                };
                decimal.power += power;
                rest = after;
                break;
            }
            // `100 k`: the letter after a space ends the number.
            ' ' if seen && extra == Extra::Codes && code.is_none() => {
                let Some((letter, beyond)) = split_first(after.trim_start()) else {
                    break;
                };
                let Some(power) = code_power(letter).filter(|_| !starts_with_digit(beyond)) else {
                    break;
                };
                code = Some(power);
                rest = beyond;
                break;
            }
            _ if code_here.is_some() && digit_next => {
                if point {
                    return Err(Cause::Letters { at: c });
                }
                (code, point) = (code_here, true);
            }
            _ if code_here.is_some() && seen => {
                (code, rest) = (code_here, after);
                break;
            }
            _ => break,
        }
        rest = after;
    }
    if !seen {
        return Err(match start.chars().next() {
            Some(at) => Cause::Letters { at },
            None => Cause::Unfinished,
        });
    }
    decimal.power += code.unwrap_or(0);
    let value = decimal.value(text.starts_with('-'), code.is_some())?;
    Ok((value, rest))
}

fn split_first(text: &str) -> Option<(char, &str)> {
    let mut chars = text.chars();
    Some((chars.next()?, chars.as_str()))
}

const fn is_digit(c: char) -> bool {
    c.is_ascii_digit()
}

fn starts_with_digit(text: &str) -> bool {
    text.starts_with(is_digit)
}

/// The power after an e, held within +-9999, and what follows; `None` when no digit is there.
fn read_exponent(text: &str) -> Option<(i32, &str)> {
    let unsigned = text
        .strip_prefix('-')
        .or_else(|| text.strip_prefix('+'))
        .unwrap_or(text);
    let rest = unsigned.trim_start_matches(is_digit);
    let digits = unsigned.strip_suffix(rest).filter(|d| !d.is_empty())?;
    let mut size = 0i32;
    for c in digits.chars() {
        size = (size * 10 + i32::try_from(c.to_digit(10)?).ok()?).min(9999);
    }
    Some((if text.starts_with('-') { -size } else { size }, rest))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &str) -> f64 {
        read_product(text, Extra::None).expect(text).float
    }

    fn cause(text: &str, extra: Extra) -> Cause {
        read_product(text, extra).expect_err(text)
    }

    #[test]
    fn numbers_as_people_type_them() {
        for (text, expected) in [
            ("12.5", 12.5),
            ("12,5", 12.5),
            ("1,234", 1.234),
            (".5", 0.5),
            ("5.", 5.0),
            ("+3", 3.0),
            ("- 3", -3.0),
            ("1e3", 1000.0),
            ("1,5E-3", 0.0015),
            ("007", 7.0),
            ("1/2", 0.5),
            ("60/20*34/17", 6.0),
            (" 60 / 20 * 34 / 17 ", 6.0),
            ("-1/-4", 0.25),
            ("1/3*3", 1.0),
            ("0*1e300*1e300", 0.0),
            ("0/7", 0.0),
        ] {
            assert_eq!(value(text).to_bits(), f64::to_bits(expected), "{text}");
        }
    }

    #[test]
    fn minus_nothing_is_nothing() {
        for text in ["-0", "-0.0", "0/-3", "-0e999"] {
            assert_eq!(value(text).to_bits(), 0, "{text}");
        }
    }

    #[test]
    fn groups_of_digits_are_not_guessed() {
        for text in [
            "1,234.5",
            "1.234,5",
            "1 234",
            "1'234",
            "1_234",
            "1.234.567",
            "1,234,567",
            "1 234 567,8",
        ] {
            assert!(
                matches!(cause(text, Extra::None), Cause::GroupSeparator),
                "{text}"
            );
        }
        assert!(matches!(cause("1 1/2", Extra::None), Cause::Mixed));
    }

    #[test]
    fn each_refusal_has_its_cause() {
        use Cause::{DivideByZero, Letters, TooLarge, TooSmall, Unfinished, UnknownUnit};
        for text in ["60/", "60*", "-", "", "+ "] {
            assert!(matches!(cause(text, Extra::None), Unfinished), "{text}");
        }
        for text in [
            "nan", "inf", "/2", ".", ",", "--3", "e5", "x", "60//2", "😀", "'5",
        ] {
            assert!(matches!(cause(text, Extra::None), Letters { .. }), "{text}");
        }
        for text in ["5 mm", "5e", "5ee3", "0x10", "3:1x", "4k7", "5\""] {
            let extra = if text.contains(':') {
                Extra::Colon
            } else {
                Extra::None
            };
            assert!(matches!(cause(text, extra), UnknownUnit { .. }), "{text}");
        }
        for text in ["1/0", "1/0.0", "1/(0)", "0/0"] {
            assert!(
                matches!(cause(text, Extra::None), DivideByZero | Letters { .. }),
                "{text}"
            );
        }
        for text in ["1e999", "-1e309", "1e200*1e200", "1e99999999999999999999"] {
            assert!(matches!(cause(text, Extra::None), TooLarge), "{text}");
        }
        for text in ["1e-999", "1e-301", "1e-200/1e200"] {
            assert!(matches!(cause(text, Extra::None), TooSmall), "{text}");
        }
        assert!(matches!(cause("3:1", Extra::None), Letters { at: ':' }));
    }

    #[test]
    fn fractions_stay_exact_while_they_fit() {
        let ratio = read_product("60/20*34/17", Extra::None).expect("a ratio");
        assert_eq!(ratio.exact, Some(Fraction::from_int(6)));
        let third = read_product("1/3", Extra::None).expect("a third");
        assert_eq!(third.exact, Fraction::new(1, 3));
        assert_eq!(
            read_product("1e60", Extra::None).expect("large").exact,
            None
        );
        let many = "1".repeat(39);
        assert_eq!(
            read_product(&many, Extra::None).expect("39 digits").exact,
            None
        );
        // 38 digits and zeros beyond are still exact.
        let zeros = alloc::format!("0.{}{}", "1".repeat(37), "0".repeat(20));
        assert!(
            read_product(&zeros, Extra::None)
                .expect("zeros")
                .exact
                .is_some()
        );
    }

    #[test]
    fn code_letters_multiply_and_mark_the_point() {
        for (text, expected) in [
            ("4k7", 4700.0),
            ("4K7", 4700.0),
            ("0R11", 0.11),
            ("R11", 0.11),
            ("R010", 0.01),
            ("4R7", 4.7),
            ("100R", 100.0),
            ("100k", 100_000.0),
            ("100 k", 100_000.0),
            ("4.7k", 4700.0),
            ("4,7 k", 4700.0),
            ("1M5", 1_500_000.0),
            ("2M2", 2_200_000.0),
            ("1G", 1e9),
            ("4L7", 0.0047),
            ("47", 47.0),
            ("100k/2", 50_000.0),
        ] {
            let read = read_product(text, Extra::Codes).expect(text);
            assert_eq!(read.float.to_bits(), f64::to_bits(expected), "{text}");
            assert_eq!(read.coded, text != "47", "{text}");
        }
        for text in ["47m", "47 m", "4m7"] {
            assert!(
                matches!(cause(text, Extra::Codes), Cause::MilliOrMega),
                "{text}"
            );
        }
        for text in ["4.7k3", "4k7k", "4k7.3", "k", "4l7", "4k 7", "47E"] {
            read_product(text, Extra::Codes).expect_err(text);
        }
    }
}
