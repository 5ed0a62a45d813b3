//! Units and dimensions: what a suffix stands for, and how a unit is shown.
//!
//! The table itself is in `table.rs`; each [`Measure`] here names one dimension and the unit in which a field or an
//! answer is kept. A symbol that the table does not hold stops the build.

use super::table;
use super::text::{folded, is_separator};
use crate::fraction::Fraction;

/// One unit of a dimension.
///
/// A value in the dimension's base is (typed + offset) * num / den; only temperatures have an offset.
#[derive(Debug)]
pub struct Unit {
    /// The ASCII name that links, scripts and answers use: "um", "N.m".
    pub symbol: &'static str,
    /// The name as people read it: "µm", "N·m".
    pub sign: &'static str,
    /// What people type, each once, a space between: separators, superscripts and mostly case are folded when reading.
    spellings: &'static str,
    /// Numerator of the unit in the dimension's base; whole where the unit is rational.
    num: f64,
    /// Denominator of the unit in the dimension's base; whole, over 0.
    den: f64,
    /// Added to a typed value before scaling, in hundredths so that it is whole.
    offset_hundredths: f64,
}

impl Unit {
    /// A unit of num/den of the dimension's base.
    pub(super) const fn new(
        symbol: &'static str,
        sign: &'static str,
        spellings: &'static str,
        num: f64,
        den: f64,
    ) -> Self {
        Self {
            symbol,
            sign,
            spellings,
            num,
            den,
            offset_hundredths: 0.0,
        }
    }

    /// With a zero that lies elsewhere: that many hundredths above the base's zero.
    pub(super) const fn offset_hundredths(mut self, hundredths: f64) -> Self {
        self.offset_hundredths = hundredths;
        self
    }

    /// Each of the texts that people type for it.
    pub fn spellings(&self) -> impl Iterator<Item = &'static str> {
        self.spellings.split_ascii_whitespace()
    }

    /// Whether both are the same unit of one dimension.
    pub fn is(&self, other: &Self) -> bool {
        core::ptr::eq(self, other) || self.symbol == other.symbol
    }

    /// The unit's size in the base as a fraction, if it is rational.
    fn size(&self) -> Option<Fraction> {
        Fraction::from_whole(self.num)?.div(Fraction::from_whole(self.den)?)
    }

    /// The offset as a fraction.
    fn offset(&self) -> Option<Fraction> {
        Fraction::from_whole(self.offset_hundredths)?.div(Fraction::from_int(100))
    }

    /// A value in this unit as a value in another of the same dimension; exact only in [`Unit::exactly_in`].
    ///
    /// (value + offset) * size / other size - other offset, within 3 roundings; the value itself when the unit is the
    /// same. May overflow to infinity.
    pub fn value_in(&self, value: f64, other: &Self) -> f64 {
        if self.is(other) {
            return value;
        }
        self.width_in(value + self.offset_hundredths / 100.0, other)
            - other.offset_hundredths / 100.0
    }

    /// A difference or width in this unit as one in another of the same dimension: without offsets.
    pub fn width_in(&self, width: f64, other: &Self) -> f64 {
        if self.is(other) {
            return width;
        }
        // One rounding in the factor where the units are rational.
        let factor = match self
            .size()
            .and_then(|size| Some(size.div(other.size()?)?.to_f64()))
        {
            Some(factor) => factor,
            None => self.num / self.den / (other.num / other.den),
        };
        width * factor
    }

    /// An exact value in this unit as an exact value in another of the same dimension.
    ///
    /// # Errors
    /// `None` when a unit is irrational (a radian in degrees) or a step outgrows the fraction's integers.
    pub fn exactly_in(&self, value: Fraction, other: &Self) -> Option<Fraction> {
        if self.is(other) {
            return Some(value);
        }
        value
            .add(self.offset()?)?
            .mul(self.size()?)?
            .div(other.size()?)?
            .sub(other.offset()?)
    }
}

/// What can be measured, with its units.
#[derive(Debug)]
pub struct Dimension {
    /// With its article, to stand after "enter": "a length".
    pub name: &'static str,
    /// What can be typed: "300, 30 cm or 0,3 m".
    pub example: &'static str,
    /// Its units, the base or most used first.
    pub units: &'static [Unit],
}

impl Dimension {
    /// Whether both are the same dimension.
    pub fn is(&self, other: &Self) -> bool {
        core::ptr::eq(self, other) || self.name == other.name
    }

    /// The unit that a text ends in, and what stands before it: the longest spelling in the table that leaves
    /// something before it.
    pub(super) fn strip<'a>(&self, text: &'a str) -> Option<(&'static Unit, &'a str)> {
        let mut before = ' ';
        for (start, c) in text.char_indices() {
            // A unit that begins with a digit, as 1/mm, stands after a space; else 11/mm would be 1 of them.
            let may_start = !is_separator(c) && (!c.is_ascii_digit() || before == ' ');
            before = c;
            if !may_start {
                continue;
            }
            let (rest, suffix) = text.split_at(start);
            if rest.trim_end().is_empty() {
                continue;
            }
            if let Some(unit) = self.named(suffix) {
                return Some((unit, rest));
            }
        }
        None
    }

    /// The unit that a whole text spells: as written, else with letters of the other case.
    ///
    /// A first letter m is never taken for M: milli and mega are nine powers of ten apart.
    pub(super) fn named(&self, text: &str) -> Option<&'static Unit> {
        let mut other_case = None;
        for unit in self.units {
            for spelling in unit.spellings() {
                match spells(text, spelling) {
                    Some(Case::Same) => return Some(unit),
                    Some(Case::Other) => other_case = other_case.or(Some(unit)),
                    None => {}
                }
            }
        }
        other_case
    }
}

/// How a text spells a unit.
enum Case {
    /// As the table does.
    Same,
    /// With letters of the other case.
    Other,
}

/// Whether a text is a unit's spelling, separators apart.
fn spells(text: &str, spelling: &str) -> Option<Case> {
    let (mut typed, mut listed) = (folded(text), folded(spelling));
    let (mut case, mut first) = (Case::Same, true);
    loop {
        match (typed.next(), listed.next()) {
            (None, None) => return Some(case),
            (Some(a), Some(b)) if a == b => {}
            (Some(a), Some(b))
                if a.eq_ignore_ascii_case(&b) && !(first && matches!(a, 'm' | 'M')) =>
            {
                case = Case::Other;
            }
            _ => return None,
        }
        first = false;
    }
}

/// A dimension with the unit in which a bare number is read and a value is kept.
#[derive(Clone, Copy, Debug)]
pub struct Measure {
    /// What is measured.
    pub dimension: &'static Dimension,
    /// The unit of a bare number, and of every value that was read.
    pub unit: &'static Unit,
}

/// A measure of the table's dimension in the unit of that symbol.
const fn measure(dimension: &'static Dimension, symbol: &str) -> Measure {
    let mut units = dimension.units;
    while let [unit, rest @ ..] = units {
        if same(unit.symbol.as_bytes(), symbol.as_bytes()) {
            return Measure { dimension, unit };
        }
        units = rest;
    }
    panic!("no unit of that symbol in the dimension") // only ever while building
}

/// Equality of texts that a `const` can ask for.
const fn same(mut a: &[u8], mut b: &[u8]) -> bool {
    while let ([x, a_rest @ ..], [y, b_rest @ ..]) = (a, b) {
        if *x != *y {
            return false;
        }
        (a, b) = (a_rest, b_rest);
    }
    a.is_empty() && b.is_empty()
}

/// Every measure below, in their order: [`position`] is the index here.
pub const MEASURES: &[Measure] = &[
    MM, UM, M, DEG, ARCMIN, TURN, MM_S, MM_S2, N, KG, G, N_M, G_CM2, A, V, MV, OHM, MH, CELSIUS,
    KELVIN, TEMP_DIFF, PERCENT, ONE, AWG, HZ, PER_S, PER_H, REV_MIN, REV_S, S, MS, HOUR, W, MW, J,
    MPA, GPA, HPA, KG_M3, G_CM3, G_M, N_MM, N_PER_M, N_M_RAD, N_M_MRAD, MM2, CM2, CM4, MM3_S, G_H,
    K_MIN, J_K, J_KGK, W_M2K, PER_K, PER_K_S, S_K, MW_K, W_K, K_W, W_CM2, W_M, MM_M, MM_100MM,
    PER_MM, PER_DEG, N_M_A,
];

/// The index of a measure in [`MEASURES`]; a measure that is not there stops the build.
pub const fn position(of: &Measure) -> usize {
    let (mut rest, mut position) = (MEASURES, 0);
    while let [measure, tail @ ..] = rest {
        if same(measure.unit.symbol.as_bytes(), of.unit.symbol.as_bytes())
            && same(
                measure.dimension.name.as_bytes(),
                of.dimension.name.as_bytes(),
            )
        {
            return position;
        }
        (rest, position) = (tail, position + 1);
    }
    panic!("a measure that is not in the list") // only ever while building
}

/// A length in millimetres.
pub const MM: Measure = measure(&table::LENGTH, "mm");
/// A length in micrometres.
pub const UM: Measure = measure(&table::LENGTH, "um");
/// A length in metres.
pub const M: Measure = measure(&table::LENGTH, "m");
/// An angle in degrees.
pub const DEG: Measure = measure(&table::ANGLE, "deg");
/// An angle in minutes of arc.
pub const ARCMIN: Measure = measure(&table::ANGLE, "arcmin");
/// An angle in whole turns.
pub const TURN: Measure = measure(&table::ANGLE, "turn");
/// A speed in millimetres per second.
pub const MM_S: Measure = measure(&table::SPEED, "mm/s");
/// An acceleration in millimetres per second squared.
pub const MM_S2: Measure = measure(&table::ACCELERATION, "mm/s2");
/// A force in newtons.
pub const N: Measure = measure(&table::FORCE, "N");
/// A mass in kilograms.
pub const KG: Measure = measure(&table::MASS, "kg");
/// A mass in grams.
pub const G: Measure = measure(&table::MASS, "g");
/// A torque in newton metres.
pub const N_M: Measure = measure(&table::TORQUE, "N.m");
/// A moment of inertia in gram square centimetres.
pub const G_CM2: Measure = measure(&table::INERTIA, "g.cm2");
/// A current in amperes.
pub const A: Measure = measure(&table::CURRENT, "A");
/// A voltage in volts.
pub const V: Measure = measure(&table::VOLTAGE, "V");
/// A voltage in millivolts.
pub const MV: Measure = measure(&table::VOLTAGE, "mV");
/// A resistance in ohms, IEC 60062 codes included.
pub const OHM: Measure = measure(&table::RESISTANCE, "ohm");
/// An inductance in millihenries.
pub const MH: Measure = measure(&table::INDUCTANCE, "mH");
/// A temperature in degrees Celsius.
pub const CELSIUS: Measure = measure(&table::TEMPERATURE, "C");
/// A temperature in kelvins.
pub const KELVIN: Measure = measure(&table::TEMPERATURE, "K");
/// A difference of temperatures in kelvins.
pub const TEMP_DIFF: Measure = measure(&table::TEMPERATURE_DIFFERENCE, "K");
/// A part of a hundred.
pub const PERCENT: Measure = measure(&table::PART, "%");
/// A number without a unit.
pub const ONE: Measure = measure(&table::NUMBER, "");
/// A conductor size by the American wire gauge.
pub const AWG: Measure = measure(&table::GAUGE, "AWG");
/// A frequency in hertz.
pub const HZ: Measure = measure(&table::RATE, "Hz");
/// A rate per second; steps per second too.
pub const PER_S: Measure = measure(&table::RATE, "1/s");
/// A rate per hour.
pub const PER_H: Measure = measure(&table::RATE, "1/h");
/// A rotational speed in revolutions per minute.
pub const REV_MIN: Measure = measure(&table::ROTATION, "rev/min");
/// A rotational speed in revolutions per second.
pub const REV_S: Measure = measure(&table::ROTATION, "rev/s");
/// A time in seconds.
pub const S: Measure = measure(&table::TIME, "s");
/// A time in milliseconds.
pub const MS: Measure = measure(&table::TIME, "ms");
/// A time in hours.
pub const HOUR: Measure = measure(&table::TIME, "h");
/// A power in watts.
pub const W: Measure = measure(&table::POWER, "W");
/// A power in milliwatts.
pub const MW: Measure = measure(&table::POWER, "mW");
/// An energy in joules.
pub const J: Measure = measure(&table::ENERGY, "J");
/// A stress or modulus in megapascals.
pub const MPA: Measure = measure(&table::PRESSURE, "MPa");
/// A modulus in gigapascals.
pub const GPA: Measure = measure(&table::PRESSURE, "GPa");
/// A pressure in hectopascals.
pub const HPA: Measure = measure(&table::PRESSURE, "hPa");
/// A density in kilograms per cubic metre.
pub const KG_M3: Measure = measure(&table::DENSITY, "kg/m3");
/// A density in grams per cubic centimetre.
pub const G_CM3: Measure = measure(&table::DENSITY, "g/cm3");
/// A mass per length in grams per metre.
pub const G_M: Measure = measure(&table::LINEAR_MASS, "g/m");
/// A stiffness in newtons per millimetre.
pub const N_MM: Measure = measure(&table::STIFFNESS, "N/mm");
/// A spread load in newtons per metre.
pub const N_PER_M: Measure = measure(&table::STIFFNESS, "N/m");
/// A tilting stiffness in newton metres per radian.
pub const N_M_RAD: Measure = measure(&table::TILT_STIFFNESS, "N.m/rad");
/// A tilting stiffness in newton metres per milliradian.
pub const N_M_MRAD: Measure = measure(&table::TILT_STIFFNESS, "N.m/mrad");
/// An area in square millimetres.
pub const MM2: Measure = measure(&table::AREA, "mm2");
/// An area in square centimetres.
pub const CM2: Measure = measure(&table::AREA, "cm2");
/// A second moment of area in centimetres to the fourth.
pub const CM4: Measure = measure(&table::SECOND_MOMENT, "cm4");
/// A volume rate in cubic millimetres per second.
pub const MM3_S: Measure = measure(&table::VOLUME_RATE, "mm3/s");
/// A mass rate in grams per hour.
pub const G_H: Measure = measure(&table::MASS_RATE, "g/h");
/// A change of temperature in kelvins per minute.
pub const K_MIN: Measure = measure(&table::TEMPERATURE_RATE, "K/min");
/// A heat capacity in joules per kelvin.
pub const J_K: Measure = measure(&table::HEAT_CAPACITY, "J/K");
/// A specific heat capacity in joules per kilogram kelvin.
pub const J_KGK: Measure = measure(&table::SPECIFIC_HEAT, "J/kgK");
/// A heat transfer coefficient in watts per square metre kelvin.
pub const W_M2K: Measure = measure(&table::FILM, "W/m2K");
/// A relative change per kelvin.
pub const PER_K: Measure = measure(&table::TEMPERATURE_COEFFICIENT, "1/K");
/// An integral gain per kelvin and second.
pub const PER_K_S: Measure = measure(&table::INTEGRAL_GAIN, "1/K/s");
/// A derivative gain in seconds per kelvin.
pub const S_K: Measure = measure(&table::DERIVATIVE_GAIN, "s/K");
/// A dissipation in milliwatts per kelvin.
pub const MW_K: Measure = measure(&table::DISSIPATION, "mW/K");
/// A heat conductance in watts per kelvin.
pub const W_K: Measure = measure(&table::DISSIPATION, "W/K");
/// A thermal resistance in kelvins per watt.
pub const K_W: Measure = measure(&table::THERMAL_RESISTANCE, "K/W");
/// A power per area in watts per square centimetre.
pub const W_CM2: Measure = measure(&table::POWER_DENSITY, "W/cm2");
/// A power per length in watts per metre.
pub const W_M: Measure = measure(&table::LINEAR_POWER, "W/m");
/// A tilt in millimetres per metre.
pub const MM_M: Measure = measure(&table::TILT, "mm/m");
/// A skew in millimetres per 100 mm.
pub const MM_100MM: Measure = measure(&table::TILT, "mm/100mm");
/// Steps per millimetre.
pub const PER_MM: Measure = measure(&table::PER_LENGTH, "1/mm");
/// Steps per degree.
pub const PER_DEG: Measure = measure(&table::PER_ANGLE, "1/deg");
/// A torque per current in newton metres per ampere.
pub const N_M_A: Measure = measure(&table::TORQUE_CONSTANT, "N.m/A");

/// Two measures are the same when both name the same unit of the same dimension.
impl PartialEq for Measure {
    fn eq(&self, other: &Self) -> bool {
        self.dimension.is(other.dimension) && self.unit.is(other.unit)
    }
}

/// The sign of the unit that answers name by `symbol`; the symbol itself when the table does not hold it.
///
/// ```
/// # use layshaft_core::entry::unit::unit_sign;
/// assert_eq!(unit_sign("um"), "µm");
/// assert_eq!(unit_sign("grams"), "grams");
/// ```
pub fn unit_sign(symbol: &str) -> &str {
    table::DIMENSIONS
        .iter()
        .flat_map(|dimension| dimension.units)
        .find(|unit| unit.symbol == symbol)
        .map_or(symbol, |unit| unit.sign)
}

#[cfg(test)]
mod tests {
    extern crate std;
    use std::collections::HashMap;
    use std::format;

    use super::super::number::{read_either, read_number};
    use super::*;

    fn all() -> impl Iterator<Item = (&'static Dimension, &'static Unit)> {
        table::DIMENSIONS
            .iter()
            .flat_map(|dimension| dimension.units.iter().map(move |unit| (*dimension, unit)))
    }

    #[test]
    fn names_and_symbols_are_used_once() {
        let mut names = HashMap::new();
        for dimension in table::DIMENSIONS {
            assert!(
                names.insert(dimension.name, ()).is_none(),
                "{}",
                dimension.name
            );
            let mut symbols = HashMap::new();
            for unit in dimension.units {
                assert!(symbols.insert(unit.symbol, ()).is_none(), "{}", unit.symbol);
                assert!(unit.symbol.is_ascii(), "{}", unit.symbol);
            }
        }
        let mut signs = HashMap::new();
        for (_, unit) in all() {
            let first = *signs.entry(unit.symbol).or_insert(unit.sign);
            assert_eq!(first, unit.sign, "{} has one sign", unit.symbol);
            assert_eq!(unit_sign(unit.symbol), unit.sign);
        }
    }

    /// A suffix typed after a number, as it reaches the table.
    fn typed(suffix: &str) -> std::string::String {
        super::super::text::plain(suffix)
            .expect(suffix)
            .into_owned()
    }

    #[test]
    fn symbol_sign_and_spellings_name_their_unit_and_no_other() {
        for (dimension, unit) in all().filter(|(_, unit)| !unit.symbol.is_empty()) {
            for spelling in [unit.symbol, unit.sign]
                .iter()
                .copied()
                .chain(unit.spellings())
            {
                // The sign in words is not typed: "mm per 100 mm".
                if spelling == "mm per 100 mm" {
                    continue;
                }
                let found = dimension.named(&typed(spelling)).map(|unit| unit.symbol);
                assert_eq!(found, Some(unit.symbol), "{spelling} of {}", dimension.name);
            }
            let mut seen = HashMap::new();
            for spelling in dimension.units.iter().flat_map(Unit::spellings) {
                let key: std::string::String = folded(spelling).collect();
                assert!(
                    seen.insert(key, ()).is_none(),
                    "{spelling} twice in {}",
                    dimension.name
                );
            }
        }
    }

    #[test]
    fn fields_of_two_dimensions_share_no_spelling() {
        for pair in [[A, PERCENT], [N, KG], [W, A], [AWG, MM2]] {
            for (which, measure) in pair.iter().enumerate() {
                for unit in measure.dimension.units {
                    let text = format!("5 {}", unit.sign);
                    let (found, _) = read_either(&text, &pair, None).expect(&text);
                    assert_eq!(found, which, "{text}");
                }
            }
        }
    }

    #[test]
    fn every_unit_converts_to_every_other_and_back() {
        for dimension in table::DIMENSIONS {
            for from in dimension.units {
                for to in dimension.units {
                    let there = from.value_in(37.5, to);
                    let back = to.value_in(there, from);
                    // Offsets cost digits of the kelvin, factors a rounding each.
                    assert!((back - 37.5).abs() < 1e-11, "{} {}", from.symbol, to.symbol);
                    let exact = Fraction::new(75, 2).and_then(|x| from.exactly_in(x, to));
                    if let Some(exact) = exact {
                        assert!(
                            (exact.to_f64() / there - 1.0).abs() < 1e-13,
                            "{} {}",
                            from.symbol,
                            to.symbol
                        );
                        assert_eq!(to.exactly_in(exact, from), Fraction::new(75, 2));
                    } else {
                        assert!(
                            [from, to].iter().any(|unit| unit.symbol.contains("rad")),
                            "{}",
                            from.symbol
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn every_example_reads_in_its_dimension() {
        for dimension in table::DIMENSIONS {
            let unit = dimension.units.first().expect("a unit");
            for example in dimension
                .example
                .split(", ")
                .flat_map(|part| part.split(" or "))
            {
                read_number(example, Measure { dimension, unit })
                    .unwrap_or_else(|cause| panic!("{example} of {}: {cause:?}", dimension.name));
            }
        }
    }
}
