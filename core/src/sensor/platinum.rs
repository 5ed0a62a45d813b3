//! Industrial platinum resistors (Pt100, Pt1000): the Callendar-Van Dusen equation.
//!
//! From 0 °C up `R = r0 (1 + A t + B t^2)`, below `R = r0 (1 + A t + B t^2 + C (t - 100) t^3)`, t in °C.
//!
//! # Source
//! IEC 60751:2022, "Industrial platinum resistance thermometers and platinum temperature sensors", the
//! temperature/resistance relationships (the same equations and coefficients as in the edition of 2008).

use super::{celsius, finite, kelvin, positive};

/// Coefficient of t, 1/K. Source: IEC 60751, temperature/resistance relationships.
pub const A: f64 = 3.9083e-3;
/// Coefficient of t^2, 1/K^2. Source: IEC 60751, temperature/resistance relationships.
pub const B: f64 = -5.775e-7;
/// Coefficient of (t - 100 °C) t^3 below 0 °C, 1/K^4. Source: IEC 60751, temperature/resistance relationships.
pub const C: f64 = -4.183e-12;
/// Range of the equation, °C. Source: IEC 60751, temperature/resistance relationships.
pub const LIMITS_C: (f64, f64) = (-200.0, 850.0);

/// A platinum resistor.
///
/// # Example
/// ```
/// use layshaft_core::sensor::platinum::Platinum;
/// let sensor = Platinum { r0: 100.0 };
/// assert!((sensor.resistance_ohm(100.0).unwrap() - 138.51).abs() < 0.005);
/// assert_eq!(sensor.resistance_ohm(-250.0), None);
/// ```
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Platinum {
    /// Resistance at 0 °C, ohm, above 0.
    pub r0: f64,
}

impl Platinum {
    /// Resistance at a temperature, by the equation of the module.
    ///
    /// Takes °C, gives ohm. Published for [`LIMITS_C`]; evaluated beyond while the resistance is above 0 and rises with
    /// temperature, -242 to 3383 °C; else `None`.
    ///
    /// # Source
    /// IEC 60751, temperature/resistance relationships.
    pub fn resistance_ohm(&self, celsius: f64) -> Option<f64> {
        kelvin(celsius)?;
        positive(slope(celsius))?;
        positive(positive(self.r0)? * (1.0 + rise(celsius)))
    }

    /// Temperature at a resistance, to 1e-10 K.
    ///
    /// Takes ohm above 0, gives °C. `None` above the resistance where the equation turns, 7.6 r0.
    ///
    /// # Source
    /// IEC 60751, temperature/resistance relationships; from r0 up the root of the quadratic, below it Newton's method.
    pub fn temperature_c(&self, resistance_ohm: f64) -> Option<f64> {
        let rise_wanted = (positive(resistance_ohm)? - positive(self.r0)?) / self.r0;
        let root = A * A + 4.0 * B * rise_wanted;
        if root < 0.0 {
            return None;
        }
        // 2c/(b + root) instead of (root - b)/2a: no difference of nearly equal numbers around 0 °C.
        let mut celsius_now = 2.0 * rise_wanted / (A + libm::sqrt(root));
        if celsius_now < 0.0 {
            // The curve is concave and rising: from the second step on Newton comes from one side and cannot miss.
            for _ in 0..8 {
                celsius_now -= (rise(celsius_now) - rise_wanted) / slope(celsius_now);
            }
        }
        celsius(celsius_now + super::ICE_POINT_K)?;
        Some(celsius_now)
    }

    /// Slope dR/dT, above 0: `r0 (A + 2 B t)`, below 0 °C `r0 (A + 2 B t + C (4 t^3 - 300 t^2))`.
    ///
    /// Takes °C as [`Platinum::resistance_ohm`], gives ohm/K.
    ///
    /// # Source
    /// Derivative of IEC 60751, temperature/resistance relationships.
    pub fn slope_ohm_per_k(&self, celsius: f64) -> Option<f64> {
        self.resistance_ohm(celsius)?;
        finite(self.r0 * slope(celsius))
    }
}

/// R/r0 - 1.
fn rise(celsius: f64) -> f64 {
    let cold = if celsius < 0.0 {
        C * (celsius - 100.0) * celsius
    } else {
        0.0
    };
    celsius * (A + celsius * (B + cold))
}

/// d(R/r0)/dT.
fn slope(celsius: f64) -> f64 {
    let cold = if celsius < 0.0 {
        C * (4.0 * celsius - 300.0) * celsius
    } else {
        0.0
    };
    A + celsius * (2.0 * B + cold)
}

#[cfg(test)]
mod tests {
    use super::*;

    const PT100: Platinum = Platinum { r0: 100.0 };

    #[test]
    fn zero_is_met_exactly_from_both_sides() {
        assert_eq!(PT100.resistance_ohm(0.0), Some(100.0));
        assert_eq!(PT100.temperature_c(100.0), Some(0.0));
        for celsius in [-1e-9, 1e-9] {
            let ohm = PT100.resistance_ohm(celsius).expect("ohm");
            assert!(libm::fabs(ohm - 100.0 - 0.39083 * celsius) < 1e-13);
        }
    }

    #[test]
    fn beyond_the_published_range_it_answers_while_ohms_are_positive_and_rising() {
        assert!(PT100.resistance_ohm(-242.0).is_some());
        assert_eq!(PT100.resistance_ohm(-242.1), None);
        assert!(PT100.resistance_ohm(3383.0).is_some());
        assert_eq!(PT100.resistance_ohm(3384.0), None);
        let turn = 100.0 * (1.0 - A * A / (4.0 * B));
        assert!(PT100.temperature_c(turn * 0.999_999).is_some());
        assert_eq!(PT100.temperature_c(turn * 1.000_001), None);
        let coldest = PT100.temperature_c(1e-9).expect("a temperature");
        assert!(-242.1 < coldest && coldest < -242.0);
    }

    #[test]
    fn what_is_no_resistor_has_no_answer() {
        for r0 in [0.0, -100.0, f64::NAN, f64::INFINITY] {
            assert_eq!(Platinum { r0 }.resistance_ohm(20.0), None);
            assert_eq!(Platinum { r0 }.temperature_c(110.0), None);
            assert_eq!(Platinum { r0 }.slope_ohm_per_k(20.0), None);
        }
        for ohm in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(PT100.temperature_c(ohm), None);
        }
        for celsius in [-273.15, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert_eq!(PT100.resistance_ohm(celsius), None);
        }
    }
}
