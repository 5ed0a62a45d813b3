//! Temperature sensors: curves between temperature and resistance or voltage, the divider that reads them, and the
//! uncertainty of the reading.
//!
//! Temperatures are degrees celsius wherever a name ends in `_c`, kelvin or a difference in kelvin where it ends in
//! `_k`; every function here takes and returns celsius at its boundary. A function returns `None` where its formula has
//! no answer; no function returns NaN or an infinity.

pub mod divider;
pub mod fit;
pub mod ntc;
pub mod platinum;
pub mod thermocouple;
pub mod uncertainty;

use ntc::{Beta, Steinhart};
use platinum::Platinum;

/// The ice point, 0 °C, in kelvin.
///
/// # Source
/// BIPM, The International System of Units (SI Brochure), 9th edition, section 2.3.1, "The kelvin".
pub const ICE_POINT_K: f64 = 273.15;

/// 25 °C in kelvin, the reference temperature of r25 and beta.
///
/// # Source
/// Common practice of thermistor data sheets.
pub const T25_K: f64 = 298.15;

/// The curve of a sensor.
///
/// # Example
/// ```
/// use layshaft_core::sensor::Curve;
/// let bed = Curve::Beta { r25: 100_000.0, beta: 3950.0 };
/// let hot = bed.temperature_c(100_000.0 / 20.0).expect("positive ohms");
/// assert!((hot - 112.1).abs() < 0.1);
/// assert_eq!(bed.temperature_c(-1.0), None);
/// ```
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Curve {
    /// A thermistor by its resistance at 25 °C and beta.
    Beta {
        /// Resistance at 25 °C, ohm, above 0.
        r25: f64,
        /// Beta, kelvin, above 0.
        beta: f64,
    },
    /// A thermistor by its Steinhart-Hart coefficients, for 1/T in 1/K and R in ohm.
    Steinhart {
        /// Coefficient of 1, in 1/K.
        a: f64,
        /// Coefficient of ln R, in 1/K.
        b: f64,
        /// Coefficient of (ln R)^3, in 1/K.
        c: f64,
    },
    /// An industrial platinum resistor by its resistance at 0 °C.
    Platinum {
        /// Resistance at 0 °C, ohm, above 0: 100 for Pt100, 1000 for Pt1000.
        r0: f64,
    },
    /// A type K thermocouple, which has a voltage and no resistance: see [`thermocouple`].
    ThermocoupleK,
}

impl Curve {
    /// Temperature at a resistance.
    ///
    /// Takes ohm above 0, gives °C. `None` where the curve has no temperature there, and for a thermocouple.
    ///
    /// # Source
    /// See [`Beta::temperature_c`], [`Steinhart::temperature_c`], [`Platinum::temperature_c`].
    pub fn temperature_c(&self, resistance_ohm: f64) -> Option<f64> {
        match *self {
            Self::Beta { r25, beta } => Beta { r25, beta }.temperature_c(resistance_ohm),
            Self::Steinhart { a, b, c } => Steinhart { a, b, c }.temperature_c(resistance_ohm),
            Self::Platinum { r0 } => Platinum { r0 }.temperature_c(resistance_ohm),
            Self::ThermocoupleK => None,
        }
    }

    /// Resistance at a temperature.
    ///
    /// Takes °C above absolute zero, gives ohm. `None` where the curve has no resistance there, and for a thermocouple.
    ///
    /// # Source
    /// See [`Beta::resistance_ohm`], [`Steinhart::resistance_ohm`], [`Platinum::resistance_ohm`].
    pub fn resistance_ohm(&self, celsius: f64) -> Option<f64> {
        match *self {
            Self::Beta { r25, beta } => Beta { r25, beta }.resistance_ohm(celsius),
            Self::Steinhart { a, b, c } => Steinhart { a, b, c }.resistance_ohm(celsius),
            Self::Platinum { r0 } => Platinum { r0 }.resistance_ohm(celsius),
            Self::ThermocoupleK => None,
        }
    }

    /// Slope dR/dT at a temperature, below 0 for a thermistor.
    ///
    /// Takes °C, gives ohm/K. `None` where the curve has no resistance there, and for a thermocouple.
    ///
    /// # Source
    /// See [`Beta::slope_ohm_per_k`], [`Steinhart::slope_ohm_per_k`], [`Platinum::slope_ohm_per_k`].
    pub fn slope_ohm_per_k(&self, celsius: f64) -> Option<f64> {
        match *self {
            Self::Beta { r25, beta } => Beta { r25, beta }.slope_ohm_per_k(celsius),
            Self::Steinhart { a, b, c } => Steinhart { a, b, c }.slope_ohm_per_k(celsius),
            Self::Platinum { r0 } => Platinum { r0 }.slope_ohm_per_k(celsius),
            Self::ThermocoupleK => None,
        }
    }

    /// Least and greatest temperature for which the curve is published, °C.
    ///
    /// `None` for a thermistor: its limits stand in its data sheet, or are those of the points its curve was fitted to.
    ///
    /// # Source
    /// IEC 60751, temperature/resistance relationships; NIST ITS-90 thermocouple database (SRD 60), type K.
    pub const fn limits_c(&self) -> Option<(f64, f64)> {
        match self {
            Self::Beta { .. } | Self::Steinhart { .. } => None,
            Self::Platinum { .. } => Some(platinum::LIMITS_C),
            Self::ThermocoupleK => Some(thermocouple::LIMITS_C),
        }
    }
}

/// Kelvin of a celsius temperature above absolute zero.
pub(crate) fn kelvin(celsius: f64) -> Option<f64> {
    positive(celsius + ICE_POINT_K)
}

/// Celsius of a kelvin temperature above absolute zero.
pub(crate) fn celsius(kelvin: f64) -> Option<f64> {
    positive(kelvin).map(|kelvin| kelvin - ICE_POINT_K)
}

/// The number, if it is finite and above 0.
pub(crate) fn positive(number: f64) -> Option<f64> {
    (number > 0.0 && number.is_finite()).then_some(number)
}

/// The number, if it is finite.
pub(crate) fn finite(number: f64) -> Option<f64> {
    number.is_finite().then_some(number)
}
