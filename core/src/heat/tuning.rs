//! The first-order model with dead time, and the controller settings that follow from it.
//!
//! The model is `gain e^(-dead s)/(tau s + 1)`: full power for ever raises the temperature by `gain`. A controller's
//! output is a duty from 0 to 1, its gain in 1/K.

use core::f64::consts::PI;

/// A heater as its controller sees it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Model {
    /// Rise at full power for ever, K, above 0.
    pub gain_k: f64,
    /// Time constant, s, above 0.
    pub tau_s: f64,
    /// Dead time, s, not below 0.
    pub dead_s: f64,
}

/// Where a loop with a plain gain just keeps swinging.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Ultimate {
    /// The ultimate gain, 1/K.
    pub gain: f64,
    /// The ultimate period, s.
    pub period_s: f64,
}

/// Settings of a controller: `duty = k (e + integral of e/ti - td dT/dt)`.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Settings {
    /// Gain, 1/K.
    pub k: f64,
    /// Integral time, s; `None` without an integral.
    pub ti_s: Option<f64>,
    /// Derivative time, s.
    pub td_s: f64,
}

impl Model {
    /// The ultimate gain and period: `w dead + atan(w tau) = pi`, `Ku = sqrt(1 + (w tau)²)/gain`, `Pu = 2 pi/w`.
    ///
    /// `None` without a dead time: such a loop never swings.
    ///
    /// # Source
    /// Phase crossing of the model at -180°. The left side bends downwards, so that Newton's method from below closes in
    /// from below.
    pub fn ultimate(&self) -> Option<Ultimate> {
        let mut w = PI / 2.0 / self.dead_s;
        for _ in 0..60 {
            let wt = w * self.tau_s;
            let miss = PI - w * self.dead_s - libm::atan(wt);
            let step = miss / (self.dead_s + self.tau_s / (1.0 + wt * wt));
            w += step;
            if libm::fabs(step) <= 1e-15 * w {
                break;
            }
        }
        let ultimate = Ultimate {
            gain: libm::hypot(1.0, w * self.tau_s) / self.gain_k,
            period_s: 2.0 * PI / w,
        };
        (ultimate.gain.is_finite() && ultimate.period_s > 0.0).then_some(ultimate)
    }

    /// SIMC settings: `k = tau/(gain (closed + dead))`, `ti = min(tau, 4 (closed + dead))`, no derivative.
    ///
    /// `closed_s` is the time constant asked of the closed loop, s. `None` when it and the dead time are both 0.
    ///
    /// # Source
    /// S. Skogestad, "Simple analytic rules for model reduction and PID controller tuning", Journal of Process Control 13
    /// (2003), equations (23) and (24).
    pub fn simc(&self, closed_s: f64) -> Option<Settings> {
        let slowness = closed_s + self.dead_s;
        let k = self.tau_s / (self.gain_k * slowness);
        (k.is_finite() && slowness > 0.0).then(|| Settings {
            k,
            ti_s: Some(self.tau_s.min(4.0 * slowness)),
            td_s: 0.0,
        })
    }
}

impl Ultimate {
    /// From a relay test: `Ku = 4 d/(pi a)`.
    ///
    /// `duty_half` is half the swing of the duty, `kelvin_half` half that of the temperature, `period_s` that of both.
    ///
    /// # Source
    /// K. J. Åström, T. Hägglund, "Automatic tuning of simple regulators with specifications on phase and amplitude
    /// margins", Automatica 20 (1984): describing function of a relay.
    pub fn from_relay(duty_half: f64, kelvin_half: f64, period_s: f64) -> Self {
        Self {
            gain: 4.0 * duty_half / (PI * kelvin_half),
            period_s,
        }
    }

    /// Ziegler-Nichols settings: 0.6 Ku, Pu/2, Pu/8.
    ///
    /// # Source
    /// J. G. Ziegler, N. B. Nichols, "Optimum settings for automatic controllers", Transactions of the ASME 64 (1942).
    pub fn ziegler_nichols(&self) -> Settings {
        Settings {
            k: 0.6 * self.gain,
            ti_s: Some(self.period_s / 2.0),
            td_s: self.period_s / 8.0,
        }
    }

    /// Tyreus-Luyben settings: Ku/2.2, 2.2 Pu, Pu/6.3.
    ///
    /// # Source
    /// B. D. Tyreus, W. L. Luyben, "Tuning PI controllers for integrator/dead time processes", Industrial & Engineering
    /// Chemistry Research 31 (1992); the derivative as in W. L. Luyben's textbooks.
    pub fn tyreus_luyben(&self) -> Settings {
        Settings {
            k: self.gain / 2.2,
            ti_s: Some(2.2 * self.period_s),
            td_s: self.period_s / 6.3,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BED: Model = Model {
        gain_k: 180.0,
        tau_s: 400.0,
        dead_s: 12.0,
    };

    fn close(a: f64, b: f64) -> bool {
        libm::fabs(a - b) <= 1e-12 * libm::fabs(b)
    }

    #[test]
    fn at_the_ultimate_period_the_loop_turns_half_round_with_gain_one() {
        for dead_s in [0.01, 1.0, 12.0, 400.0, 10_000.0] {
            let model = Model { dead_s, ..BED };
            let ultimate = model.ultimate().expect("it has a dead time");
            let w = 2.0 * PI / ultimate.period_s;
            let phase = w * dead_s + libm::atan(w * model.tau_s);
            assert!(close(phase, PI), "{dead_s}: {phase}");
            let gain = ultimate.gain * model.gain_k / libm::hypot(1.0, w * model.tau_s);
            assert!(close(gain, 1.0), "{dead_s}: {gain}");
        }
        let model = Model { dead_s: 0.0, ..BED };
        assert_eq!(model.ultimate(), None);
    }

    #[test]
    fn pure_dead_time_swings_at_twice_itself() {
        let model = Model { tau_s: 1e-9, ..BED };
        let ultimate = model.ultimate().expect("it has a dead time");
        assert!(libm::fabs(ultimate.period_s - 24.0) < 1e-6);
        assert!(libm::fabs(ultimate.gain * 180.0 - 1.0) < 1e-6);
    }

    #[test]
    fn simc_takes_the_smaller_integral_time() {
        let slow = BED.simc(12.0).expect("settings");
        assert!(close(slow.k, 400.0 / (180.0 * 24.0)));
        assert_eq!(slow.ti_s, Some(96.0));
        let fast = Model { tau_s: 20.0, ..BED }.simc(12.0).expect("settings");
        assert_eq!(fast.ti_s, Some(20.0));
        assert_eq!(Model { dead_s: 0.0, ..BED }.simc(0.0), None);
        assert!(Model { dead_s: 0.0, ..BED }.simc(5.0).is_some());
    }

    #[test]
    fn the_rules_are_shares_of_the_ultimate_point() {
        let ultimate = Ultimate::from_relay(0.5, 4.0, 50.0);
        assert!(close(ultimate.gain, 0.5 / PI));
        let zn = ultimate.ziegler_nichols();
        assert!(close(zn.k, 0.3 / PI) && zn.ti_s == Some(25.0) && close(zn.td_s, 6.25));
        let tl = ultimate.tyreus_luyben();
        assert!(close(tl.k, 0.5 / PI / 2.2) && tl.ti_s.is_some_and(|ti| close(ti, 110.0)));
        assert!(close(tl.td_s, 50.0 / 6.3));
    }
}
