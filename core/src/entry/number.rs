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
    let thick = own
        .filter(|found| found.unit.is(AWG.unit))
        .and_then(|_| thick_gauge(number));
    let value = match thick {
        Some(gauge) => Ok(gauge),
        None => read_product(number, extra),
    };
    let value = value.map_err(|cause| match (cause, measures) {
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

/// A wire gauge thicker than 0, written with its noughts: 00 and 2/0 are -1, 0000 and 4/0 are -3.
///
/// # Source
/// ASTM B258, designation of the sizes over 0; from memory.
fn thick_gauge(text: &str) -> Option<Value> {
    let text = text.trim();
    let noughts = match text.strip_suffix("/0").map(str::as_bytes) {
        Some([digit @ b'1'..=b'4']) => i128::from(digit - b'0'),
        Some(_) => return None,
        None if !text.is_empty() && text.len() <= 4 && text.bytes().all(|b| b == b'0') => {
            i128::try_from(text.len()).ok()?
        }
        None => return None,
    };
    Value::new(0.0, Some(Fraction::from_int(1 - noughts)), false).ok()
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
    // Most numbers have none, and a machine reads hundreds of them at each key press.
    if !text.bytes().any(|b| b == b'+' || !b.is_ascii()) {
        return Ok((text, None));
    }
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
    // Every unit has a letter or a sign of its own.
    if text
        .bytes()
        .all(|b| b.is_ascii_digit() || b" */.,-+:".contains(&b))
    {
        return None;
    }
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

#[cfg(test)]
mod tests {
    use super::super::unit::*;
    use super::*;

    /// The value and half width in the measure's unit, to the bit.
    fn reads(text: &str, measure: Measure, value: f64, half: Option<f64>) {
        let number = read_number(text, measure).unwrap_or_else(|cause| panic!("{text}: {cause:?}"));
        assert_eq!(
            number.value.to_bits(),
            value.to_bits(),
            "{text}: {number:?}"
        );
        assert_eq!(
            number.half.map(f64::to_bits),
            half.map(f64::to_bits),
            "{text}: {number:?}"
        );
    }

    fn refused(text: &str, measure: Measure) -> Cause {
        read_number(text, measure).expect_err(text)
    }

    #[test]
    fn a_suffix_is_converted_without_a_rounding_too_many() {
        for (text, measure, expected) in [
            ("300", MM, 300.0),
            ("30 cm", MM, 300.0),
            ("0,3 m", MM, 300.0),
            ("1 in", MM, 25.4),
            ("1/16 in", MM, 1.5875),
            ("0,3 in", MM, 7.62),
            ("1/16\u{201d}", MM, 1.5875),
            ("5'", MM, 1524.0),
            ("3''", MM, 76.2),
            ("25 MM", MM, 25.0),
            ("25.mm", MM, 25.0),
            ("1e3m", MM, 1e6),
            ("100 µm", MM, 0.1),
            ("100", UM, 100.0),
            ("0.1 mm", UM, 100.0),
            ("40 N.cm", N_M, 0.4),
            ("40 Ncm", N_M, 0.4),
            ("40 N·cm", N_M, 0.4),
            ("40 N*cm", N_M, 0.4),
            ("40 N-cm", N_M, 0.4),
            ("40 N cm", N_M, 0.4),
            ("400 mNm", N_M, 0.4),
            ("0.4 Nm", N_M, 0.4),
            ("0.4 nm", N_M, 0.4),
            ("1 kg-cm", N_M, 0.098_066_5),
            ("54 g·cm²", G_CM2, 54.0),
            ("5.4e-6 kg.m^2", G_CM2, 54.0),
            ("1500 mA", A, 1.5),
            ("2800 uH", MH, 2.8),
            ("68 °F", CELSIUS, 20.0),
            ("68F", CELSIUS, 20.0),
            ("-40 degF", CELSIUS, -40.0),
            ("293,15 K", CELSIUS, 20.0),
            ("20 ºC", CELSIUS, 20.0),
            ("25", KELVIN, 25.0),
            ("25 C", KELVIN, 298.15),
            ("9 °F", TEMP_DIFF, 5.0),
            ("80 C", TEMP_DIFF, 80.0),
            ("300 RPM", REV_MIN, 300.0),
            ("5 rev/s", REV_MIN, 300.0),
            ("80 1/mm", PER_MM, 80.0),
            ("80 steps/mm", PER_MM, 80.0),
            ("80/mm", PER_MM, 80.0),
            ("1/mm", PER_MM, 1.0),
            ("1/2 1/mm", PER_MM, 0.5),
            ("11/mm", PER_MM, 11.0),
            ("100 kHz", PER_S, 100_000.0),
            ("3000 1/min", PER_S, 50.0),
            ("10 W/(m²·K)", W_M2K, 10.0),
            ("10 W/m2K", W_M2K, 10.0),
            ("23.1e-6", PER_K, 23.1e-6),
            ("23.1 ppm/K", PER_K, 23.1e-6),
            ("0,39 %/K", PER_K, 0.0039),
            ("250 N/mm²", MPA, 250.0),
            ("2 bar", MPA, 0.2),
            ("1013,25 mbar", HPA, 1013.25),
            ("60 percent", PERCENT, 60.0),
            ("18 AWG", AWG, 18.0),
            ("AWG 18", AWG, 18.0),
            ("awg18", AWG, 18.0),
            ("0 AWG", AWG, 0.0),
            ("1/0 AWG", AWG, 0.0),
            ("00 AWG", AWG, -1.0),
            ("AWG 2/0", AWG, -1.0),
            ("0000AWG", AWG, -3.0),
            ("4/0 AWG", AWG, -3.0),
            ("4k7", OHM, 4700.0),
            ("4k7 ohm", OHM, 4700.0),
            ("4,7 kΩ", OHM, 4700.0),
            ("4.7 kohms", OHM, 4700.0),
            ("110 mΩ", OHM, 0.11),
            ("2.2 MOhm", OHM, 2.2e6),
            ("100 OHM", OHM, 100.0),
        ] {
            reads(text, measure, expected, None);
        }
    }

    #[test]
    fn milli_is_never_taken_for_mega() {
        for (text, measure) in [
            ("5 MA", A),
            ("5 MV", V),
            ("5 MN", N),
            ("5 mpa", MPA),
            ("5 MH", MH),
            ("5 Mw", W),
        ] {
            assert!(
                matches!(refused(text, measure), Cause::UnknownUnit { .. }),
                "{text}"
            );
        }
        assert!(matches!(refused("47m", OHM), Cause::MilliOrMega));
        reads("47 mohm", OHM, 0.047, None);
        reads("47 Mohm", OHM, 47e6, None);
    }

    #[test]
    fn a_tolerance_is_a_half_width_in_the_same_unit() {
        for (text, measure, value, half) in [
            ("0.8±0.05", MM, 0.8, 0.05),
            ("0.8 +- 0.05", MM, 0.8, 0.05),
            ("0.8 +/- 0,05 mm", MM, 0.8, 0.05),
            ("30 cm ± 1", MM, 300.0, 10.0),
            ("30 ± 1 cm", MM, 300.0, 10.0),
            ("30 cm ± 1 mm", MM, 300.0, 1.0),
            ("-4 ± 25 %", MM, -4.0, 1.0),
            ("100k ± 1 %", OHM, 100_000.0, 1000.0),
            ("100k ± 1k", OHM, 100_000.0, 1000.0),
            ("100k ± 100", OHM, 100_000.0, 100.0),
            ("100k ± 1 kohm", OHM, 100_000.0, 1000.0),
            ("4.7 kohm ± 0.1", OHM, 4700.0, 100.0),
            ("210 ± 2", CELSIUS, 210.0, 2.0),
            ("210 ± 2 K", CELSIUS, 210.0, 2.0),
            ("210 ± 2 °C", CELSIUS, 210.0, 2.0),
            ("68 °F ± 9", CELSIUS, 20.0, 5.0),
            ("68 ± 9 °F", CELSIUS, 20.0, 5.0),
            ("293.15 K ± 1", CELSIUS, 20.0, 1.0),
            ("20 ± 1", PERCENT, 20.0, 1.0),
            // In per cent of a per cent nobody counts: points.
            ("20 % ± 1 %", PERCENT, 20.0, 1.0),
            ("20 ± 1 %", PERCENT, 20.0, 1.0),
            ("8 ± 1/2", ONE, 8.0, 0.5),
        ] {
            reads(text, measure, value, Some(half));
        }
    }

    #[test]
    fn a_tolerance_that_is_none_says_so() {
        use Cause::{
            Empty, SeveralTolerances, ToleranceNotPositive, TolerancePercentOfTemperature,
            ToleranceUnreadable, TooLarge,
        };
        assert!(matches!(refused("5 ± 0", MM), ToleranceNotPositive));
        assert!(matches!(refused("5 ± -1", MM), ToleranceNotPositive));
        assert!(matches!(refused("0 ± 1 %", MM), ToleranceNotPositive));
        assert!(matches!(refused("5 ±", MM), ToleranceUnreadable));
        assert!(matches!(refused("5 ± %", MM), ToleranceUnreadable));
        assert!(matches!(refused("5 ± mm", MM), ToleranceUnreadable));
        assert!(matches!(refused("5 ± 1 A", MM), ToleranceUnreadable));
        assert!(matches!(refused("5 ± 1 ± 2", MM), SeveralTolerances));
        assert!(matches!(refused("± 1", MM), Empty));
        assert!(matches!(
            refused("210 ± 1 %", CELSIUS),
            TolerancePercentOfTemperature
        ));
        assert!(matches!(refused("5 ± 1e308 m", MM), TooLarge));
    }

    #[test]
    fn beyond_what_is_worked_with() {
        assert!(matches!(refused("1e308 m", MM), Cause::TooLarge));
        assert!(matches!(refused("1e-300 um", MM), Cause::TooSmall));
        // Beyond 38 places a few units of the last one are lost, nothing more.
        let large = read_number("1e305 m", MM).expect("in range").value;
        assert!((large / 1e308 - 1.0).abs() < 1e-15);
        assert!(matches!(refused("NaN", MM), Cause::Letters { at: 'N' }));
        assert!(matches!(
            refused("5 furlong", MM),
            Cause::UnknownUnit { dimension: Some(_) }
        ));
        assert!(matches!(refused("mm", MM), Cause::Letters { at: 'm' }));
        assert!(matches!(
            refused("5 kohm k", OHM),
            Cause::UnknownUnit { .. }
        ));
        assert!(matches!(
            refused("4k7 kohm", OHM),
            Cause::UnknownUnit { .. }
        ));
    }

    #[test]
    fn the_suffix_tells_which_of_several() {
        let either = |text: &str, measures: &[Measure], bare, which, value: f64| {
            let (found, number) = read_either(text, measures, bare).expect(text);
            assert_eq!(
                (found, number.value.to_bits()),
                (which, value.to_bits()),
                "{text}"
            );
        };
        either("1.2", &[A, PERCENT], Some(0), 0, 1.2);
        either("1200 mA", &[A, PERCENT], Some(0), 0, 1.2);
        either("80 %", &[A, PERCENT], Some(0), 1, 80.0);
        either("1.2 ± 5 %", &[A, PERCENT], Some(0), 0, 1.2);
        either("5 kg", &[N, KG], Some(0), 1, 5.0);
        either("5 kgf", &[N, KG], Some(0), 0, 49.033_25);
        either("18 AWG", &[AWG, MM2], None, 0, 18.0);
        either("0,75 mm²", &[AWG, MM2], None, 1, 0.75);
        either("0.75 ± 0.02 mm2", &[AWG, MM2], None, 1, 0.75);
        assert!(matches!(
            read_either("18", &[AWG, MM2], None),
            Err(Cause::NeedsUnit)
        ));
        assert!(matches!(
            read_either("18 V", &[AWG, MM2], None),
            Err(Cause::UnknownUnit { dimension: None })
        ));
        assert!(matches!(
            read_either("x", &[AWG, MM2], None),
            Err(Cause::Letters { at: 'x' })
        ));
        assert!(matches!(
            read_either("1", &[], Some(0)),
            Err(Cause::NeedsUnit)
        ));
        let (_, drawn) = read_either("80 % ± 5 %", &[A, PERCENT], Some(0)).expect("points");
        assert_eq!(drawn.half, Some(5.0));
    }

    #[test]
    fn counts_are_whole() {
        for (text, expected) in [
            ("20", 20),
            ("20.0", 20),
            ("40/2", 20),
            ("0", 0),
            ("1e3", 1000),
            ("4000000000", MOST_COUNT),
        ] {
            assert_eq!(read_count(text).expect(text), expected, "{text}");
        }
        assert!(matches!(read_count("20.5"), Err(Cause::NotWhole)));
        assert!(matches!(read_count("1/3"), Err(Cause::NotWhole)));
        assert!(matches!(
            read_count("0.99999999999999999999999999999999999999999"),
            Err(Cause::NotWhole)
        ));
        assert!(matches!(read_count("-1"), Err(Cause::Negative)));
        assert!(matches!(read_count("4000000001"), Err(Cause::TooLarge)));
        assert!(matches!(
            read_count("20 mm"),
            Err(Cause::UnknownUnit { .. })
        ));
        assert!(matches!(
            read_count("20 ± 1"),
            Err(Cause::ToleranceNotTaken)
        ));
    }

    #[test]
    fn ratios_take_a_colon() {
        let ratio = read_ratio("3:1").expect("a ratio");
        assert_eq!(ratio.exact, Some(Fraction::from_int(3)));
        assert_eq!(
            read_ratio("60/20×34÷17").expect("a ratio").exact,
            Some(Fraction::from_int(6))
        );
        assert!(matches!(read_ratio("60/20/0"), Err(Cause::DivideByZero)));
        read_ratio("3 mm").expect_err("no unit");
    }

    #[test]
    fn exact_follows_the_unit() {
        let exact = |text: &str, measure| read_number(text, measure).expect(text).exact;
        assert_eq!(exact("1/3 in", MM), Fraction::new(127, 15));
        assert_eq!(exact("1.8", DEG), Fraction::new(9, 5));
        assert_eq!(exact("1 turn", DEG), Some(Fraction::from_int(360)));
        assert_eq!(exact("1 rad", DEG), None);
        assert_eq!(exact("68 °F", CELSIUS), Some(Fraction::from_int(20)));
        assert_eq!(exact("4k7", OHM), Some(Fraction::from_int(4700)));
    }
}
