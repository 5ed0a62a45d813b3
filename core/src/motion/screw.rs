//! Lead screws: the torque that raises and lowers, what locks by itself, whirl and buckling.
//!
//! Lengths in mm, forces in N. Torques come as an arm in mm: torque in N.mm over the force on the screw in N.

use core::f64::consts::{PI, SQRT_2};

/// A thread under load, with the friction of its flanks.
#[derive(Clone, Copy, Debug)]
pub struct PowerScrew {
    /// Travel in one turn, mm, above 0.
    pub lead_mm: f64,
    /// Mean diameter of the flanks that touch, mm, above 0.
    pub mean_diameter_mm: f64,
    /// Half angle of the thread form, degrees, 0 to under 90: 15 trapezoidal, 30 metric, 14.5 acme, 0 square.
    pub flank_deg: f64,
    /// Friction of the thread, from 0.
    pub mu: f64,
}

impl PowerScrew {
    /// Lead angle in degrees: atan(lead / (pi * mean diameter)).
    ///
    /// # Source
    /// Shigley's Mechanical Engineering Design, "The mechanics of power screws".
    pub fn lead_angle_deg(self) -> f64 {
        libm::atan2(self.lead_mm, PI * self.mean_diameter_mm).to_degrees()
    }

    /// Friction as the flank shows it along the screw: mu / cos(flank).
    fn wedged_mu(self) -> f64 {
        self.mu / libm::cos(self.flank_deg.to_radians())
    }

    /// Arm in mm of the torque that raises: dm/2 * (l + pi*f*dm*sec(a)) / (pi*dm - f*l*sec(a)), without a collar.
    ///
    /// `None` when the friction is so high, or the lead so steep, that no torque raises the load.
    ///
    /// # Source
    /// Shigley's Mechanical Engineering Design, "The mechanics of power screws": square thread, with the secant of the
    /// flank for other forms.
    pub fn raise_arm_mm(self) -> Option<f64> {
        let (around, f) = (PI * self.mean_diameter_mm, self.wedged_mu());
        let denominator = around - f * self.lead_mm;
        (denominator > 0.0)
            .then(|| self.mean_diameter_mm / 2.0 * (self.lead_mm + f * around) / denominator)
    }

    /// Arm in mm of the torque that lowers: dm/2 * (pi*f*dm*sec(a) - l) / (pi*dm + f*l*sec(a)), without a collar.
    ///
    /// Negative: the load drives the screw.
    ///
    /// # Source
    /// As [`PowerScrew::raise_arm_mm`].
    pub fn lower_arm_mm(self) -> f64 {
        let (around, f) = (PI * self.mean_diameter_mm, self.wedged_mu());
        self.mean_diameter_mm / 2.0 * (f * around - self.lead_mm) / (around + f * self.lead_mm)
    }

    /// Thread friction at which the screw just locks by itself: l * cos(a) / (pi * dm).
    ///
    /// # Source
    /// As [`PowerScrew::lower_arm_mm`], set to 0 and solved for the friction.
    pub fn locking_mu(self) -> f64 {
        self.lead_mm * libm::cos(self.flank_deg.to_radians()) / (PI * self.mean_diameter_mm)
    }
}

/// Arm in mm of the friction at a thrust collar: mu * mean diameter / 2.
///
/// # Source
/// Shigley's Mechanical Engineering Design, "The mechanics of power screws": collar at its mean diameter.
pub fn collar_arm_mm(mu: f64, mean_diameter_mm: f64) -> f64 {
    mu * mean_diameter_mm / 2.0
}

/// Efficiency of raising, 0 to 1: lead / (2 pi * arm), the arm with the collar's in it.
///
/// # Source
/// Work out over work in of one turn.
pub fn efficiency(lead_mm: f64, raise_arm_mm: f64) -> f64 {
    lead_mm / (2.0 * PI * raise_arm_mm)
}

/// How the two ends of a shaft are held.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Ends {
    /// First root beta*L of the bending vibration.
    pub whirl: f64,
    /// Effective length of a column over its length.
    pub effective_length: f64,
}

impl Ends {
    /// One end clamped, the other free.
    pub const FIXED_FREE: Self = Self::new(1.875, 2.0);
    /// Both ends held in place and free to tilt.
    pub const SIMPLE_SIMPLE: Self = Self::new(PI, 1.0);
    /// One end clamped, the other held in place and free to tilt.
    pub const FIXED_SIMPLE: Self = Self::new(3.927, 0.699);
    /// Both ends clamped.
    pub const FIXED_FIXED: Self = Self::new(4.730, 0.5);

    const fn new(whirl: f64, effective_length: f64) -> Self {
        Self {
            whirl,
            effective_length,
        }
    }
}

/// A round shaft between two supports.
#[derive(Clone, Copy, Debug)]
pub struct Shaft {
    /// Diameter that carries, the root of a thread, mm, above 0.
    pub diameter_mm: f64,
    /// Length between the supports, mm, above 0.
    pub length_mm: f64,
    /// How the ends are held.
    pub ends: Ends,
    /// Young's modulus, GPa, above 0.
    pub modulus_gpa: f64,
}

impl Shaft {
    /// First critical speed in rev/min: (beta/L)^2 * d/4 * sqrt(E/rho) * 60/(2 pi).
    ///
    /// `density` in kg/m3, above 0. A shaft whirls at its first bending frequency; sqrt(I/A) of a circle is d/4.
    ///
    /// # Source
    /// Bernoulli-Euler beam, first mode; Shigley's Mechanical Engineering Design, "Critical speeds for shafts".
    pub fn critical_rpm(self, density: f64) -> f64 {
        let wave = self.ends.whirl / (self.length_mm / 1000.0);
        let radians_per_s =
            wave * wave * self.diameter_mm / 4000.0 * libm::sqrt(self.modulus_gpa * 1e9 / density);
        radians_per_s * 60.0 / (2.0 * PI)
    }

    /// Load in N at which it buckles: Euler pi^2*E*A/S^2, or Johnson A*(Sy - (Sy*S/(2 pi))^2/E) when it is stout.
    ///
    /// S = effective length / (d/4); stout is S below sqrt(2 pi^2 E/Sy). `yield_mpa` above 0.
    ///
    /// # Source
    /// Shigley's Mechanical Engineering Design, "Long columns with central loading" and "Intermediate-length columns
    /// with central loading".
    pub fn buckling_n(self, yield_mpa: f64) -> f64 {
        let modulus_mpa = self.modulus_gpa * 1000.0;
        let area_mm2 = PI / 4.0 * self.diameter_mm * self.diameter_mm;
        let slenderness = self.slenderness();
        if slenderness >= transition_slenderness(self.modulus_gpa, yield_mpa) {
            PI * PI * modulus_mpa * area_mm2 / (slenderness * slenderness)
        } else {
            let bent = yield_mpa * slenderness / (2.0 * PI);
            area_mm2 * (yield_mpa - bent * bent / modulus_mpa)
        }
    }

    /// Effective length over the radius of gyration: K*L/(d/4).
    ///
    /// # Source
    /// As [`Shaft::buckling_n`].
    pub fn slenderness(self) -> f64 {
        self.ends.effective_length * self.length_mm / (self.diameter_mm / 4.0)
    }
}

/// The slenderness from which a column buckles by Euler: sqrt(2 pi^2 E/Sy), where half the yield strength is reached.
///
/// `modulus_gpa` and `yield_mpa` above 0.
///
/// # Source
/// As [`Shaft::buckling_n`].
pub fn transition_slenderness(modulus_gpa: f64, yield_mpa: f64) -> f64 {
    SQRT_2 * PI * libm::sqrt(modulus_gpa * 1000.0 / yield_mpa)
}

/// Mean diameter of a screw's thread in mm: d - p/2 of a trapezoidal or square one, d - 0.6495 p of a metric one.
///
/// # Source
/// ISO 2904 (d2 = d - P/2) and ISO 724 (d2 = d - 0.6495 P, the factor as printed).
pub fn mean_diameter_mm(metric: bool, diameter_mm: f64, pitch_mm: f64) -> f64 {
    diameter_mm - if metric { 0.6495 } else { 0.5 } * pitch_mm
}

/// Root diameter of a metric screw in mm: d - 1.2269 p.
///
/// # Source
/// ISO 898-1, d3 for the stress area, the factor as printed.
pub fn metric_root_mm(diameter_mm: f64, pitch_mm: f64) -> f64 {
    diameter_mm - 1.2269 * pitch_mm
}

/// Which whole numbers of full steps make a layer from `least_mm` to `most_mm`: first and last count.
///
/// Both ends count to within 1 nm. `full_step_mm` above 0; `None` when no whole number fits.
///
/// # Source
/// Definition.
pub fn whole_steps_within(full_step_mm: f64, least_mm: f64, most_mm: f64) -> Option<(f64, f64)> {
    let first = libm::fmax(libm::ceil((least_mm - NANOMETRE) / full_step_mm), 1.0);
    let last = libm::floor((most_mm + NANOMETRE) / full_step_mm);
    (first <= last).then_some((first, last))
}

const NANOMETRE: f64 = 1e-6;

/// A layer less the nearest whole number of full steps, from one step on; signed, mm.
///
/// `layer_mm` and `full_step_mm` above 0.
///
/// # Source
/// Definition.
pub fn layer_error_mm(layer_mm: f64, full_step_mm: f64) -> f64 {
    let steps = libm::fmax(libm::round(layer_mm / full_step_mm), 1.0);
    layer_mm - steps * full_step_mm
}

#[cfg(test)]
mod tests {
    use super::*;

    const JACK: PowerScrew = PowerScrew {
        lead_mm: 8.0,
        mean_diameter_mm: 30.0,
        flank_deg: 0.0,
        mu: 0.08,
    };

    #[test]
    fn torques_are_those_of_a_wedge() {
        // Second way: a wedge at the lead angle with the friction angle atan(f / cos a), T = F*dm/2*tan(angle).
        for (flank_deg, mu) in [(0.0, 0.08), (15.0, 0.15), (30.0, 0.2), (14.5, 0.01)] {
            let screw = PowerScrew {
                flank_deg,
                mu,
                ..JACK
            };
            let lead = screw.lead_angle_deg().to_radians();
            let friction = libm::atan(mu / libm::cos(flank_deg.to_radians()));
            let raise = screw.raise_arm_mm().unwrap_or(f64::NAN);
            assert!((raise - 15.0 * libm::tan(friction + lead)).abs() < 1e-12);
            assert!((screw.lower_arm_mm() - 15.0 * libm::tan(friction - lead)).abs() < 1e-12);
        }
    }

    #[test]
    fn no_torque_raises_when_lead_and_friction_angle_reach_a_right_angle() {
        let steep = |mu| PowerScrew {
            lead_mm: 30.0 * PI,
            mu,
            ..JACK
        };
        assert!(steep(0.999).raise_arm_mm().is_some());
        assert!(steep(1.0).raise_arm_mm().is_none());
    }

    #[test]
    fn it_just_locks_at_the_locking_friction() {
        let screw = PowerScrew {
            flank_deg: 15.0,
            ..JACK
        };
        let mu = screw.locking_mu();
        assert!(PowerScrew { mu, ..screw }.lower_arm_mm().abs() < 1e-14);
    }

    #[test]
    fn euler_and_johnson_meet_at_half_the_yield_strength() {
        let transition = transition_slenderness(205.0, 250.0);
        let shaft = |share: f64| Shaft {
            diameter_mm: 8.0,
            length_mm: transition * share * 2.0,
            ends: Ends::SIMPLE_SIMPLE,
            modulus_gpa: 205.0,
        };
        let half_yield = PI / 4.0 * 64.0 * 125.0;
        for share in [1.0 - 1e-9, 1.0 + 1e-9] {
            let load = shaft(share).buckling_n(250.0);
            assert!((load / half_yield - 1.0).abs() < 1e-8, "{load}");
        }
        // A short stub crushes at the yield strength.
        assert!((shaft(1e-6).buckling_n(250.0) / (2.0 * half_yield) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn layers_of_whole_steps_include_both_ends() {
        // Ten steps of 40 um are 0.4 mm, one is 0.04 mm, though neither is exact in binary.
        assert_eq!(whole_steps_within(0.04, 0.04, 0.40), Some((1.0, 10.0)));
        assert_eq!(whole_steps_within(0.039, 0.04, 0.40), Some((2.0, 10.0)));
        assert_eq!(whole_steps_within(0.5, 0.04, 0.40), None);
        assert!((layer_error_mm(0.25, 0.04) - 0.01).abs() < 1e-15);
        assert!((layer_error_mm(0.01, 0.04) + 0.03).abs() < 1e-15);
    }
}
