//! Torque of a step motor over its speed: what the driver's current and the supply's voltage leave of it.
//!
//! The motor is a two-phase synchronous machine without saliency, its phases in sinusoidal current. In the rotor's axes
//! (d along the magnet, q across) only the q current makes torque; the current may not leave a disc of the set amplitude,
//! and the voltage R*i + w*L x i + E may not leave a disc of the supply's. Left out: mid-band resonance, iron loss,
//! saturation.

/// A motor with its driver's current and its share of the supply.
#[derive(Clone, Copy, Debug)]
pub struct Motor {
    /// Torque per ampere of q current in N.m/A, and back-EMF per rad/s in V; above 0.
    pub constant: f64,
    /// Pole pairs, 90 degrees / full step; above 0.
    pub pole_pairs: f64,
    /// Amplitude of the phase current, A, from 0.
    pub peak: f64,
    /// Resistance of a phase, ohm, from 0.
    pub resistance: f64,
    /// Inductance of a phase, H, from 0.
    pub inductance: f64,
    /// Voltage that a phase can be given, V, from 0.
    pub volts: f64,
}

impl Motor {
    /// The largest torque in N.m at a speed in rad/s, never below 0; falls or stays as the speed rises.
    ///
    /// K times the largest q current inside both discs. A linear goal over two discs is reached at the top of one of
    /// them, if that lies in the other, else where the circles cross.
    ///
    /// # Source
    /// Voltage equations of the synchronous machine in rotor axes; current and voltage limits as in texts on field
    /// weakening, such as Novotny and Lipo, Vector Control and Dynamics of AC Drives.
    pub fn torque(self, radians_per_s: f64) -> f64 {
        self.constant * self.quadrature_current(radians_per_s)
    }

    /// The largest q current in A at a speed in rad/s.
    ///
    /// Source as [`Motor::torque`].
    pub fn quadrature_current(self, radians_per_s: f64) -> f64 {
        let emf = self.constant * radians_per_s;
        let reactance = self.pole_pairs * radians_per_s * self.inductance;
        let (r, x, peak) = (self.resistance, reactance, self.peak);
        // Top of the current's disc: all of the current across the magnet.
        if square(x * peak) + square(r * peak + emf) <= square(self.volts) {
            return peak;
        }
        let z = libm::sqrt(square(r) + square(x));
        // The voltage's disc, as currents: centre at `away` against the magnet, (-x, -r)/z, and this radius.
        let (away, radius) = (emf / z, self.volts / z);
        let (top_d, top_q) = (-away * x / z, radius - away * r / z);
        if square(top_d) + square(top_q) <= square(peak) {
            return libm::fmax(top_q, 0.0);
        }
        if away > peak + radius {
            return 0.0; // The discs do not meet.
        }
        if away <= 0.0 {
            return libm::fmin(peak, radius);
        }
        // The circles cross at `along` the line of the centres and `across` to both sides; where they only touch, rounding
        // may not leave the circle.
        let along = (square(peak) + (away - radius) * (away + radius)) / (2.0 * away);
        let along = libm::fmax(-peak, libm::fmin(along, peak));
        let across = libm::sqrt((peak - along) * (peak + along));
        libm::fmax((across * x - along * r) / z, 0.0)
    }

    /// The highest speed in rad/s at which all of the set current can be across the magnet; 0 when it never fits.
    ///
    /// (w*L*I)^2 + (R*I + K*wm)^2 = U^2 with w = p*wm, solved for wm.
    ///
    /// # Source
    /// As [`Motor::torque`].
    pub fn corner_speed(self) -> f64 {
        let spare = square(self.volts) - square(self.resistance * self.peak);
        let squared = square(self.pole_pairs * self.inductance * self.peak) + square(self.constant);
        let linear = self.resistance * self.peak * self.constant;
        if spare <= 0.0 {
            return 0.0;
        }
        spare / (linear + libm::sqrt(square(linear) + squared * spare))
    }

    /// The highest speed in rad/s at which it still gives `torque` N.m; `None` when not even at rest.
    ///
    /// Bisection between the corner speed and one that is too fast, which the falling torque allows; not finite for a
    /// torque of 0 or less.
    ///
    /// # Source
    /// [`Motor::torque`].
    pub fn top_speed(self, torque: f64) -> Option<f64> {
        if self.torque(0.0) < torque {
            return None;
        }
        if torque <= 0.0 {
            return Some(f64::INFINITY);
        }
        let corner = self.corner_speed();
        let mut good = if self.torque(corner) < torque {
            0.0
        } else {
            corner
        };
        // Without inductance nothing is left from here on; with it field weakening may go further.
        let mut bad = libm::fmax(2.0 * corner, 2.0 * self.volts / self.constant);
        while self.torque(bad) >= torque {
            good = bad;
            bad *= 2.0;
            if !bad.is_finite() {
                return Some(bad);
            }
        }
        loop {
            let middle = good + (bad - good) / 2.0;
            if middle <= good || middle >= bad {
                return Some(good);
            }
            if self.torque(middle) < torque {
                bad = middle;
            } else {
                good = middle;
            }
        }
    }
}

fn square(x: f64) -> f64 {
    x * x
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 0.4 N.m at 1.5 A RMS, 1.8 degrees, 1.6 ohm, 3 mH, on 24 V.
    const MOTOR: Motor = Motor {
        constant: 0.4 / (core::f64::consts::SQRT_2 * 1.5),
        pole_pairs: 50.0,
        peak: core::f64::consts::SQRT_2 * 1.5,
        resistance: 1.6,
        inductance: 0.003,
        volts: 24.0,
    };

    #[test]
    fn slow_it_gives_the_holding_torque() {
        assert!((MOTOR.torque(0.0) - 0.4).abs() < 1e-15);
        let corner = MOTOR.corner_speed();
        assert!((MOTOR.torque(corner * (1.0 - 1e-12)) - 0.4).abs() < 1e-15);
        assert!(MOTOR.torque(corner * 1.001) < 0.4);
    }

    #[test]
    fn the_torque_holds_at_the_corner_itself_whatever_rounding_does() {
        // Without inductance both discs touch in one point there; of these two motors nothing was left of the torque.
        for (constant, peak, resistance, inductance, volts) in [
            (
                0.602_526_854_809_186_9,
                0.539_315_551_863_490_6,
                5.081_724_814_432_617,
                0.0,
                21.318_195_041_163_694,
            ),
            (
                0.729_396_912_413_742_8,
                2.510_277_179_043_914_2,
                9.010_036_903_344_773,
                1.468_736_517_249_451_7e-10,
                43.504_051_009_216_26,
            ),
        ] {
            let motor = Motor {
                constant,
                pole_pairs: 50.0,
                peak,
                resistance,
                inductance,
                volts,
            };
            let current = motor.quadrature_current(motor.corner_speed());
            assert!((current / peak - 1.0).abs() < 1e-9, "{current} of {peak}");
        }
        for i in 1..400 {
            // A supply of just the standstill voltage.
            let resistance = 0.01 * f64::from(i);
            let motor = Motor {
                resistance,
                volts: MOTOR.peak * resistance,
                ..MOTOR
            };
            assert!((motor.torque(0.0) - 0.4).abs() < 1e-9, "{motor:?}");
        }
    }

    #[test]
    fn a_supply_below_the_standstill_voltage_gives_what_ohm_allows() {
        let weak = Motor {
            volts: 2.0,
            ..MOTOR
        };
        assert!((weak.quadrature_current(0.0) - 2.0 / 1.6).abs() < 1e-15);
        assert!(weak.corner_speed().abs() < 1e-300);
        assert!(weak.top_speed(0.4).is_none());
        let fast = weak.top_speed(0.1).unwrap_or(f64::NAN);
        assert!((weak.torque(fast) - 0.1).abs() < 1e-12);
    }

    #[test]
    fn without_inductance_the_back_emf_alone_takes_the_voltage() {
        let plain = Motor {
            inductance: 0.0,
            ..MOTOR
        };
        // iq = (U - K*wm)/R past the corner.
        let speed = (24.0 - 1.6 * 1.0) / plain.constant;
        assert!((plain.quadrature_current(speed) - 1.0).abs() < 1e-12);
        assert!(plain.torque(24.1 / plain.constant) <= 0.0);
        let top = plain.top_speed(plain.constant).unwrap_or(f64::NAN);
        assert!((top / speed - 1.0).abs() < 1e-14);
    }

    #[test]
    fn without_resistance_and_inductance_it_is_all_or_nothing() {
        let ideal = Motor {
            inductance: 0.0,
            resistance: 0.0,
            ..MOTOR
        };
        let edge = 24.0 / ideal.constant;
        assert!((ideal.torque(edge * (1.0 - 1e-12)) - 0.4).abs() < 1e-15);
        assert!(ideal.torque(edge * (1.0 + 1e-12)) <= 0.0);
        let top = ideal.top_speed(0.3).unwrap_or(f64::NAN);
        assert!((top / edge - 1.0).abs() < 1e-14);
    }

    #[test]
    fn field_weakening_carries_on_where_the_back_emf_alone_exceeds_the_supply() {
        // Short-circuit current K/(p*L) below the set current: torque falls as 1/speed and never ends.
        let weak_magnet = Motor {
            resistance: 0.0,
            constant: 0.1,
            ..MOTOR
        };
        let fast = 100.0 * weak_magnet.volts / weak_magnet.constant;
        let (torque, twice) = (weak_magnet.torque(fast), weak_magnet.torque(2.0 * fast));
        assert!(torque > 0.0 && (torque / twice - 2.0).abs() < 1e-9);
        let top = weak_magnet.top_speed(torque).unwrap_or(f64::NAN);
        assert!((top / fast - 1.0).abs() < 1e-12);
    }

    #[test]
    fn torque_falls_or_stays_as_the_speed_rises() {
        for (resistance, inductance, volts) in [
            (1.6, 0.003, 24.0),
            (0.0, 0.003, 24.0),
            (30.0, 0.03, 12.0),
            (1.6, 0.0, 24.0),
            (8.0, 0.2, 12.0),
        ] {
            let motor = Motor {
                resistance,
                inductance,
                volts,
                ..MOTOR
            };
            let mut last = f64::INFINITY;
            for i in 0..20_000 {
                let torque = motor.torque(f64::from(i) / 10.0);
                assert!(torque <= last * (1.0 + 1e-14), "{motor:?} at {i}");
                last = torque;
            }
        }
    }
}
