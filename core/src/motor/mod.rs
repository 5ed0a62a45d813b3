//! The two-phase step motor: what a microstep holds, and how warm the current makes it.
//!
//! Currents are RMS of one phase unless a name says peak; torques in N.m; temperatures in degrees celsius.

#[cfg(feature = "alloc")]
pub mod coils;
pub mod torque;

use core::f64::consts::{PI, SQRT_2};

/// Share of the holding torque that one microstep of deflection gives: sin(90 degrees / micro).
///
/// `micro` from 1; the result is 0 to 1.
///
/// # Source
/// Torque of a two-phase motor over its electrical angle, T = T_hold * sin(p * theta); common practice in step motor
/// application notes under "incremental torque per microstep".
pub fn incremental_fraction(micro: f64) -> f64 {
    libm::sin(PI / 2.0 / micro)
}

/// Angle in degrees of the shaft by which the rotor lags under a load: step / 90 degrees * asin(load / hold).
///
/// `step_deg` full step; both torques in the same unit. `None` when the load reaches the holding torque: steps are lost.
///
/// # Source
/// As [`incremental_fraction`], solved for the angle; a full step is 90 electrical degrees.
pub fn lag_angle_deg(step_deg: f64, load: f64, hold: f64) -> Option<f64> {
    if load >= hold {
        return None;
    }
    Some(step_deg / 90.0 * libm::asin(load / hold).to_degrees())
}

/// Stiffness of the axis at rest in N/mm: hold * (90 / step) * (2 pi / travel)^2.
///
/// `hold` in N.m, `step_deg` full step in degrees, `turn_travel_mm` travel per motor turn; all above 0.
///
/// # Source
/// Slope at rest of T = T_hold * sin(p * theta) with p = 90 / step pole pairs, moved to the axis by the travel per turn.
pub fn rest_stiffness_n_per_mm(hold: f64, step_deg: f64, turn_travel_mm: f64) -> f64 {
    let radians_per_mm = 2.0 * PI / turn_travel_mm;
    // N.m/rad to N.mm/rad: 1000.
    hold * 1000.0 * (90.0 / step_deg) * radians_per_mm * radians_per_mm
}

/// The largest power of two up to 256 whose microstep still holds more than `load`.
///
/// Both torques in the same unit; `None` when even a full step does not.
///
/// # Source
/// [`incremental_fraction`].
pub fn useful_micro(load: f64, hold: f64) -> Option<f64> {
    MICROSTEPS
        .iter()
        .rev()
        .copied()
        .find(|&micro| hold * incremental_fraction(micro) > load)
}

/// The largest power of two up to 256 at which `full_step_rate` * micro stays within `limit`, both in 1/s.
///
/// `None` when even full steps come too fast.
///
/// # Source
/// Definition.
pub fn fitting_micro(full_step_rate: f64, limit: f64) -> Option<f64> {
    MICROSTEPS
        .iter()
        .rev()
        .copied()
        .find(|&micro| full_step_rate * micro <= limit)
}

/// Torque per ampere of amplitude in N.m/A: hold / (sqrt(2) * rated); as many V per rad/s of back-EMF.
///
/// `hold` in N.m with both phases at `rated_rms` A; both above 0. Both phases at I RMS turn with an amplitude of sqrt(2) I.
///
/// # Source
/// Two-phase synchronous machine with sinusoidal currents: torque = K * quadrature current, back-EMF = K * speed.
pub fn torque_constant(hold: f64, rated_rms: f64) -> f64 {
    hold / (SQRT_2 * rated_rms)
}

/// The microsteps per full step that drivers offer.
pub const MICROSTEPS: [f64; 9] = [1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 64.0, 128.0, 256.0];

/// Peak of a sinusoidal phase current: sqrt(2) * RMS.
///
/// # Source
/// Definition of the RMS value of a sine.
pub fn peak_from_rms(rms: f64) -> f64 {
    SQRT_2 * rms
}

/// RMS of a sinusoidal phase current: peak / sqrt(2).
///
/// # Source
/// Definition of the RMS value of a sine.
pub fn rms_from_peak(peak: f64) -> f64 {
    peak / SQRT_2
}

/// Resistance of copper at `celsius` over its resistance at 25 C: (235 + T) / 260.
///
/// `celsius` above -235; no unit.
///
/// # Source
/// IEC 60034-1, temperature rise by resistance: k = 235 for copper.
pub fn copper_factor(celsius: f64) -> f64 {
    (COPPER_K + celsius) / (COPPER_K + 25.0)
}

/// Rise in K of a winding over `ambient_c`, from its warm over its cold resistance: (ratio - 1) * (235 + ambient).
///
/// The cold resistance at `ambient_c`, above -235.
///
/// # Source
/// IEC 60034-1, temperature rise by resistance, at an unchanged ambient.
pub fn rise_by_resistance(ratio: f64, ambient_c: f64) -> f64 {
    (ratio - 1.0) * (COPPER_K + ambient_c)
}

/// Reciprocal of copper's temperature coefficient at 0 C, in kelvin.
const COPPER_K: f64 = 235.0;

/// What a motor's rating says about its cooling.
#[derive(Clone, Copy, Debug)]
pub struct Cooling {
    /// Rated current of a phase, A RMS, above 0.
    pub rated_rms: f64,
    /// Rise of the motor over ambient at rated current in both phases, K, above 0.
    pub rise_rated: f64,
}

impl Cooling {
    /// Share of the heat that the rising resistance feeds back: thermal resistance times the slope of the heat.
    ///
    /// With Rth = rise / (2 * rated^2 * R(25 + rise)) and heat 2 * I^2 * R(T), R's value cancels:
    /// (I / rated)^2 * rise / (260 + rise). From 0; at 1 and over the motor runs away. `rms` in A.
    ///
    /// # Source
    /// Heat balance with IEC 60034-1 copper.
    pub fn loop_share(self, rms: f64) -> f64 {
        let share = rms / self.rated_rms;
        share * share * self.rise_rated / (COPPER_K + 25.0 + self.rise_rated)
    }

    /// Temperature in C at which the motor settles with `rms` A in both phases, its resistance rising as it warms.
    ///
    /// `None` when the resistance rises faster than the heat leaves: no settled temperature.
    ///
    /// # Source
    /// Heat balance T = ambient + Rth * 2 * I^2 * R(T) with IEC 60034-1 copper, solved for T.
    pub fn temperature_c(self, rms: f64, ambient_c: f64) -> Option<f64> {
        let gain = self.loop_share(rms);
        (gain < 1.0).then(|| (ambient_c + COPPER_K * gain) / (1.0 - gain))
    }

    /// Current in A RMS of both phases that brings the motor to `limit_c`; `None` at or below ambient.
    ///
    /// # Source
    /// [`Cooling::temperature_c`] solved for the current.
    pub fn rms_for_temperature(self, limit_c: f64, ambient_c: f64) -> Option<f64> {
        let gain = (limit_c - ambient_c) / (COPPER_K + limit_c);
        let per_rated = self.loop_share(self.rated_rms);
        (gain > 0.0).then(|| self.rated_rms * libm::sqrt(gain / per_rated))
    }
}

/// A driver's current register: step n of `steps` gives (n + 1) / steps of the full scale.
#[derive(Clone, Copy, Debug)]
pub struct Register {
    /// Current in A RMS of the last step.
    pub full_scale_rms: f64,
    /// How many steps there are, from 1.
    pub steps: f64,
}

/// Rounding that still counts as the step itself, as a share of a step.
pub const REGISTER_GUARD: f64 = 1e-9;

impl Register {
    /// The highest step that gives no more than `rms` A, kept within the register: 0 to steps - 1.
    ///
    /// # Source
    /// The relation of such drivers' data sheets, solved for the step and floored.
    pub fn step_for(self, rms: f64) -> f64 {
        let step = libm::floor(rms / self.full_scale_rms * self.steps - 1.0 + REGISTER_GUARD);
        step.clamp(0.0, self.steps - 1.0)
    }

    /// Current in A RMS that `step` gives: (step + 1) / steps * full scale.
    ///
    /// # Source
    /// The relation of such drivers' data sheets.
    pub fn rms(self, step: f64) -> f64 {
        (step + 1.0) / self.steps * self.full_scale_rms
    }
}

/// Heat of both phases in W: 2 * I^2 * R.
///
/// `rms` in A per phase, `ohm` per phase at temperature.
///
/// # Source
/// Joule's law.
pub fn copper_heat_w(rms: f64, ohm: f64) -> f64 {
    2.0 * rms * rms * ohm
}

/// Heat of one driver in W: 4 * I^2 * Rds(on).
///
/// `rms` in A per phase, `ohm` of one switch: each of the two phases passes through two switches.
///
/// # Source
/// Joule's law over the two bridges; switching losses left out (common practice for an estimate).
pub fn driver_heat_w(rms: f64, ohm: f64) -> f64 {
    4.0 * rms * rms * ohm
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: f64, b: f64) -> bool {
        (a - b).abs() <= 1e-12 * b.abs()
    }

    #[test]
    fn rated_current_gives_the_rated_rise_at_any_ambient_of_25() {
        let cooling = Cooling {
            rated_rms: 1.2,
            rise_rated: 80.0,
        };
        let settled = cooling.temperature_c(1.2, 25.0);
        assert!(settled.is_some_and(|t| close(t, 105.0)));
    }

    #[test]
    fn the_current_for_a_temperature_brings_that_temperature() {
        let cooling = Cooling {
            rated_rms: 1.5,
            rise_rated: 75.0,
        };
        let rms = cooling.rms_for_temperature(60.0, 22.0).unwrap_or(0.0);
        let settled = cooling.temperature_c(rms, 22.0);
        assert!(settled.is_some_and(|t| close(t, 60.0)));
        assert!(cooling.rms_for_temperature(20.0, 22.0).is_none());
    }

    #[test]
    fn more_than_twice_the_rated_current_runs_away() {
        let cooling = Cooling {
            rated_rms: 1.0,
            rise_rated: 80.0,
        };
        // (I / rated)^2 = 340 / 80 is the edge.
        assert!(cooling.temperature_c(2.06, 25.0).is_some());
        assert!(cooling.temperature_c(2.07, 25.0).is_none());
    }

    #[test]
    fn the_lag_reaches_a_full_step_at_the_holding_torque() {
        let lag = lag_angle_deg(1.8, 0.4 * (1.0 - 1e-15), 0.4);
        assert!(lag.is_some_and(|angle| (angle - 1.8).abs() < 1e-6));
        assert!(lag_angle_deg(1.8, 0.4, 0.4).is_none());
    }

    #[test]
    fn stiffness_is_the_slope_of_load_over_lag() {
        let (hold, step, travel) = (0.4, 1.8, 40.0);
        let load = 1e-6;
        let angle = lag_angle_deg(step, load, hold).unwrap_or(f64::NAN);
        let lag_mm = angle / 360.0 * travel;
        let force_n = load * 2.0 * PI / (travel / 1000.0);
        let slope = force_n / lag_mm;
        let stiffness = rest_stiffness_n_per_mm(hold, step, travel);
        assert!((slope / stiffness - 1.0).abs() < 1e-9);
    }
}
