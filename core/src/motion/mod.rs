//! From motor turn to motion: travel per turn, steps per mm, and the digits they deserve.
//!
//! Lengths in millimetres, angles in degrees. On a rotary axis every millimetre below is a degree of the output.

pub mod belt;
pub mod gears;
pub mod homing;
pub mod load;
pub mod rate;
pub mod screw;

use core::f64::consts::PI;

/// Standard gravity, 9.80665 m/s2.
///
/// # Source
/// ISO 80000-3, from the 3rd General Conference on Weights and Measures (1901).
pub const GRAVITY: f64 = 9.80665;

/// The circumference a rack pinion's module makes of one tooth: pitch = pi * module.
///
/// `module_mm` above 0; the result is in mm.
///
/// # Source
/// ISO 54 and ISO 1122-1: definition of the module.
pub fn rack_pitch_mm(module_mm: f64) -> f64 {
    PI * module_mm
}

/// Travel of a smooth roller per turn: pi * diameter.
///
/// `diameter_mm` is the effective diameter, above 0; the result is in mm.
///
/// # Source
/// Circumference of a circle.
pub fn roller_travel_mm(diameter_mm: f64) -> f64 {
    PI * diameter_mm
}

/// Steps per mm: full steps per turn * microsteps per full step / travel per motor turn.
///
/// All above 0; the result is in 1/mm.
///
/// # Source
/// Definition.
pub fn steps_per_mm(full_steps: f64, micro: f64, travel_per_turn_mm: f64) -> f64 {
    full_steps * micro / travel_per_turn_mm
}

/// The fewest significant digits of `travel_per_turn` whose rounding moves the end of `span` by less than `tolerance`.
///
/// A controller set to the rounded travel t' runs the span s as s * t / t'; the end is off by s * |t / t' - 1|.
/// All three in the same unit and above 0. The result is 1 to 17.
///
/// # Source
/// Error propagation of a scale factor.
pub fn digits_needed(travel_per_turn: f64, span: f64, tolerance: f64) -> u8 {
    (1..17)
        .find(|&digits| {
            let rounded = round_significant(travel_per_turn, digits);
            rounded > 0.0 && span * (travel_per_turn / rounded - 1.0).abs() < tolerance
        })
        .unwrap_or(17)
}

/// Rounds to so many significant decimal digits, halves away from 0.
///
/// `value` above 0 and finite, `digits` 1 to 17. Exact decimals such as 1.25 are rounded as written, since the scaled
/// value is rounded to 15 digits before the halves are decided.
pub fn round_significant(value: f64, digits: u8) -> f64 {
    let exponent = libm::floor(libm::log10(value));
    let shift = f64::from(digits) - 1.0 - exponent;
    // Dividing by a whole power of ten loses less than multiplying by its inverse.
    if shift >= 0.0 {
        let scale = libm::exp10(shift);
        libm::round(value * scale) / scale
    } else {
        let scale = libm::exp10(-shift);
        libm::round(value / scale) * scale
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn twenty_teeth_of_two_millimetres_take_eighty_steps_per_mm() {
        // Common practice: 20 teeth x 2 mm = 40 mm, 1.8 degrees, 16 microsteps.
        assert!((steps_per_mm(200.0, 16.0, 40.0) - 80.0).abs() < 1e-12);
    }

    #[test]
    fn digits_grow_with_the_span() {
        assert_eq!(digits_needed(40.0, 300.0, 0.001), 1);
        // 39.9876 over 300 mm: 39.99 is off by 0.018 mm, 39.988 by 0.003 mm, 39.9876 exact.
        assert_eq!(digits_needed(39.9876, 300.0, 0.001), 6);
        assert_eq!(digits_needed(39.9876, 10.0, 0.001), 4);
    }

    #[test]
    fn rounding_keeps_so_many_digits() {
        for (value, digits, want) in [
            (39.9876, 4, 39.99),
            (0.012_345, 2, 0.012),
            (98765.4, 2, 99000.0),
            (1.0, 1, 1.0),
        ] {
            assert!((round_significant(value, digits) - want).abs() < 1e-12 * want);
        }
    }
}
