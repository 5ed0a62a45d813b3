//! Numbers with their unit and tolerance, as people type them: `0,3 in`, `1/16 in`, `100k ± 1 %`, `68 °F`.

use super::cause::Cause;
use super::product::{Extra, Value, read_product};
use super::text::{is_blank_char, plain};
use super::unit::{AWG, KELVIN, Measure, OHM, ONE, PERCENT, Unit};
use crate::fraction::Fraction;

/// A number that was read, in the unit of its measure; never NaN or infinite.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Number {
    /// The value.
    pub value: f64,
    /// The half width of a typed ±, over 0.
    pub half: Option<f64>,
    /// The value exactly, when it is rational and its fraction fits.
    pub exact: Option<Fraction>,
}

/// Whether a text holds nothing but spaces and marks that do not show.
pub fn is_blank(text: &str) -> bool {
    text.chars().all(is_blank_char)
}

/// Reads a quantity; a bare number is in the measure's unit.
///
/// The value is correctly rounded from what was typed, also through a change of unit, wherever the exact fraction fits
/// 127 bits: `1 in` in mm is 25.4 and nothing else.
///
/// ```
/// # use layshaft_core::entry::number::read_number;
/// # use layshaft_core::entry::unit::{MM, OHM};
/// assert_eq!(read_number("1/16 in", MM).unwrap().value, 1.5875);
/// let pullup = read_number("4k7 ± 1 %", OHM).unwrap();
/// assert_eq!((pullup.value, pullup.half), (4700.0, Some(47.0)));
/// assert!(read_number("1,234.5", MM).is_err());
/// ```
///
/// # Errors
/// A [`Cause`] that says what to enter instead.
pub fn read_number(text: &str, measure: Measure) -> Result<Number, Cause> {
    read_either(text, &[measure], Some(0)).map(|(_, number)| number)
}

/// Reads a quantity of one of several measures, and tells which; a bare number is of the one numbered `bare`.
///
/// # Errors
/// A [`Cause`]; [`Cause::NeedsUnit`] for a bare number when `bare` is `None`.
pub fn read_either(
    text: &str,
    measures: &[Measure],
    bare: Option<usize>,
) -> Result<(usize, Number), Cause> {
    let codes = measures.iter().any(|m| m.dimension.is(OHM.dimension));
    read(
        text,
        measures,
        bare,
        if codes { Extra::Codes } else { Extra::None },
    )
}

/// Reads a whole number from 0 to 4,000,000,000; `20.0` and `40/2` are whole too.
///
/// # Errors
/// A [`Cause`]: [`Cause::NotWhole`], [`Cause::Negative`], [`Cause::TooLarge`], or whatever stood in a number's way.
pub fn read_count(text: &str) -> Result<u32, Cause> {
    let (_, number) = read(text, &[ONE], Some(0), Extra::None)?;
    if number.half.is_some() {
        return Err(Cause::ToleranceNotTaken);
    }
    if number.value < 0.0 {
        return Err(Cause::Negative);
    }
    if number.value > f64::from(MOST_COUNT) {
        return Err(Cause::TooLarge);
    }
    let whole = number.exact.filter(|exact| exact.is_whole());
    whole
        .and_then(|exact| u32::try_from(exact.numerator()).ok())
        .ok_or(Cause::NotWhole)
}

/// The largest whole number that is read.
const MOST_COUNT: u32 = 4_000_000_000;

/// Reads a product of quotients without a unit; 3:1 is 3.
///
/// ```
/// # use layshaft_core::entry::number::read_ratio;
/// assert_eq!(read_ratio("60/20*34/17").unwrap().value, 6.0);
/// assert!(read_ratio("60/0").is_err());
/// ```
///
/// # Errors
/// A [`Cause`]; [`Cause::DivideByZero`] for a divisor of 0.
pub fn read_ratio(text: &str) -> Result<Number, Cause> {
    read(text, &[ONE], Some(0), Extra::Colon).map(|(_, number)| number)
}

/// The one reader behind them all.
fn read(
    text: &str,
    measures: &[Measure],
    bare: Option<usize>,
    extra: Extra,
) -> Result<(usize, Number), Cause> {
    let text = plain(text)?;
    let (value_text, tolerance_text) = split_tolerance(&text)?;
    let own = strip(value_text, measures);
    // `20 ± 0.1 mm`: a unit at the end is that of both. A per cent there is of the value, unless per cent is the unit.
    let shared = tolerance_text
        .filter(|tolerance| {
            !tolerance.ends_with('%') || matches!(measures, [only] if is_part(only))
        })
        .and_then(|tolerance| strip(tolerance, measures));
    let number = own.map_or(value_text, |found| found.before);
    let value = read_product(number, extra).map_err(|cause| match (cause, measures) {
        (Cause::UnknownUnit { .. }, [only]) => Cause::UnknownUnit {
            dimension: Some(only.dimension),
        },
        (cause, _) => cause,
    })?;
    // Asked only now: a number that cannot be read is told so first.
    let which = own
        .or(shared)
        .map(|found| found.which)
        .or(bare)
        .ok_or(Cause::NeedsUnit)?;
    let measure = *measures.get(which).ok_or(Cause::NeedsUnit)?;
    let unit = match (own, shared) {
        // A code letter is a unit of its own, beside which only the ohm may stand.
        (Some(own), _) if value.coded && !own.unit.is(OHM.unit) => {
            return Err(Cause::UnknownUnit {
                dimension: Some(measure.dimension),
            });
        }
        _ if value.coded => OHM.unit,
        (Some(own), _) => own.unit,
        // `200 ± 2 K` in degrees Celsius: kelvins are those of the difference.
        (None, Some(shared)) if !(is_temperature(&measure) && shared.unit.is(KELVIN.unit)) => {
            shared.unit
        }
        _ => measure.unit,
    };
    let exact = value
        .exact
        .and_then(|exact| unit.exactly_in(exact, measure.unit));
    let converted = Value::new(unit.value_in(value.float, measure.unit), exact, false)?;
    let half = match tolerance_text {
        Some(tolerance) => Some(read_half(
            tolerance,
            &measure,
            unit,
            converted.float,
            extra,
        )?),
        None => None,
    };
    let number = Number {
        value: converted.float,
        half,
        exact,
    };
    Ok((which, number))
}

/// The half width after a ±, in the measure's unit.
fn read_half(
    text: &str,
    measure: &Measure,
    value_unit: &Unit,
    value: f64,
    extra: Extra,
) -> Result<f64, Cause> {
    let read = |text| {
        let size = read_product(text, extra).map_err(|cause| match cause {
            Cause::TooLarge | Cause::TooSmall => cause,
            _ => Cause::ToleranceUnreadable,
        })?;
        if size.float > 0.0 {
            Ok(size)
        } else {
            Err(Cause::ToleranceNotPositive)
        }
    };
    let half = match text.strip_suffix('%') {
        Some(_) if is_temperature(measure) => return Err(Cause::TolerancePercentOfTemperature),
        Some(percent) if !is_part(measure) => value.abs() / 100.0 * read(percent)?.float,
        _ => {
            let own = strip(text, &[*measure]);
            let size = read(own.map_or(text, |found| found.before))?;
            let unit = match own {
                _ if size.coded => OHM.unit,
                Some(own) => own.unit,
                None => value_unit,
            };
            unit.width_in(size.float, measure.unit)
        }
    };
    if !half.is_finite() {
        Err(Cause::TooLarge)
    } else if half > 0.0 {
        Ok(half)
    } else {
        Err(Cause::ToleranceNotPositive)
    }
}

/// The marks of a tolerance.
const MARKS: [&str; 3] = ["±", "+/-", "+-"];

/// A text before and after its one ±.
fn split_tolerance(text: &str) -> Result<(&str, Option<&str>), Cause> {
    let Some((value, tolerance)) = MARKS.iter().find_map(|mark| text.split_once(mark)) else {
        return Ok((text, None));
    };
    if MARKS
        .iter()
        .any(|mark| value.contains(mark) || tolerance.contains(mark))
    {
        return Err(Cause::SeveralTolerances);
    }
    if value.trim().is_empty() {
        return Err(Cause::Empty);
    }
    Ok((value.trim_end(), Some(tolerance.trim_start())))
}

/// A unit at the end of a text.
#[derive(Clone, Copy)]
struct Found<'a> {
    /// Which measure has it.
    which: usize,
    /// The unit.
    unit: &'static Unit,
    /// What stands before it.
    before: &'a str,
}

/// The longest unit of any of the measures at the end of a text.
fn strip<'a>(text: &'a str, measures: &[Measure]) -> Option<Found<'a>> {
    let found = measures.iter().enumerate().filter_map(|(which, measure)| {
        let (unit, before) = match text.get(..3) {
            // A wire gauge is written before its number as well.
            Some(start)
                if start.eq_ignore_ascii_case("AWG") && measure.dimension.is(AWG.dimension) =>
            {
                (AWG.unit, text.get(3..)?)
            }
            _ => measure.dimension.strip(text)?,
        };
        Some(Found {
            which,
            unit,
            before,
        })
    });
    found.min_by_key(|found| found.before.len())
}

fn is_temperature(measure: &Measure) -> bool {
    measure.dimension.is(KELVIN.dimension)
}

fn is_part(measure: &Measure) -> bool {
    measure.dimension.is(PERCENT.dimension)
}
