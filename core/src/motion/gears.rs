//! Gear trains, stage by stage: ratio, sense of rotation, and whether the teeth fit together.

use crate::exact::Exact;

/// The member of a planetary stage that does not turn.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Held {
    /// In at the sun, out at the carrier.
    Ring,
    /// In at the sun, out at the ring.
    Carrier,
    /// In at the ring, out at the carrier.
    Sun,
}

/// How a stage turns one count of teeth into the other.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Form {
    /// Driver and driven gear with outside teeth.
    Spur,
    /// A pinion inside a ring.
    Internal,
    /// Two pulleys or chain wheels.
    Belt,
    /// A worm of so many starts and its wheel.
    Worm,
    /// Sun and ring with planets between them.
    Planetary(Held),
}

/// One stage of a train, its counts from 1.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Stage {
    /// Its form.
    pub form: Form,
    /// Teeth of driver, pinion or sun; starts of a worm.
    pub first: u32,
    /// Teeth of driven gear, ring or wheel.
    pub second: u32,
}

/// Teeth below which a full-depth gear of 20 degrees is undercut when it is generated.
///
/// # Source
/// 2 / sin^2(20 degrees) = 17.1, in practice 17: Shigley's Mechanical Engineering Design, "Interference".
pub const UNDERCUT_TEETH: f64 = 17.0;

impl Stage {
    /// Turns of its input per turn of its output, without sign.
    ///
    /// driven/driver, ring/pinion, wheel/starts; planetary 1 + R/S with the ring held, R/S with the carrier held,
    /// 1 + S/R with the sun held.
    ///
    /// # Source
    /// Willis' equation (turns relative to the carrier): Shigley's Mechanical Engineering Design, "Gear trains".
    pub fn ratio(self) -> Exact {
        let (first, second) = (Exact::whole(self.first), Exact::whole(self.second));
        let sum = Exact::whole(self.first.saturating_add(self.second));
        match self.form {
            Form::Planetary(Held::Ring) => sum.over(first),
            Form::Planetary(Held::Sun) => sum.over(second),
            _ => second.over(first),
        }
    }

    /// Whether its output turns the other way; `None` for a worm, whose shafts cross.
    ///
    /// # Source
    /// As [`Stage::ratio`].
    pub fn reverses(self) -> Option<bool> {
        match self.form {
            Form::Worm => None,
            Form::Spur | Form::Planetary(Held::Carrier) => Some(true),
            _ => Some(false),
        }
    }

    /// Whether the first member must be smaller than the second, in which it turns.
    pub fn is_ringed(self) -> bool {
        matches!(self.form, Form::Internal | Form::Planetary(_))
    }

    /// Teeth of each planet of a planetary stage: (R - S) / 2.
    ///
    /// # Source
    /// Sun, two planets and ring on one line through the centre, all of one module.
    pub fn planet_teeth(self) -> Option<f64> {
        matches!(self.form, Form::Planetary(_))
            .then(|| (f64::from(self.second) - f64::from(self.first)) / 2.0)
    }

    /// Whether `planets` evenly spaced planets go in: (R - S) even and (R + S) / planets whole; `None` without planets.
    ///
    /// # Source
    /// Assembly of evenly spaced planets, in machine-design texts under planetary trains; common practice.
    pub fn assembles(self, planets: u32) -> Option<bool> {
        matches!(self.form, Form::Planetary(_)).then(|| {
            let sum = self.first.saturating_add(self.second);
            // R - S is even when R + S is.
            sum.is_multiple_of(2) && sum.is_multiple_of(planets)
        })
    }

    /// The fewest teeth of its gears that can be undercut; `None` for belts, worms and rings.
    ///
    /// # Source
    /// As [`UNDERCUT_TEETH`]; worms and inside teeth follow other rules.
    pub fn fewest_teeth(self) -> Option<f64> {
        let (first, second) = (f64::from(self.first), f64::from(self.second));
        match self.form {
            Form::Spur => Some(libm::fmin(first, second)),
            Form::Internal => Some(first),
            Form::Planetary(_) => self.planet_teeth().map(|planet| libm::fmin(first, planet)),
            Form::Belt | Form::Worm => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn stage(form: Form, first: u32, second: u32) -> Stage {
        Stage {
            form,
            first,
            second,
        }
    }

    #[test]
    fn planetary_ratios_follow_willis() {
        // Second way: speeds relative to the carrier, (ws - wc)/(wr - wc) = -R/S, with the held member at 0.
        let (s, r) = (20.0, 80.0);
        for held in [Held::Ring, Held::Carrier, Held::Sun] {
            let out = 1.0 / stage(Form::Planetary(held), 20, 80).ratio().value;
            let (sun, ring, carrier) = match held {
                Held::Ring => (1.0, 0.0, out),
                Held::Carrier => (1.0, -out, 0.0),
                Held::Sun => (0.0, 1.0, out),
            };
            let willis = (sun - carrier) * s + (ring - carrier) * r;
            assert!(willis.abs() < 1e-12, "{held:?}");
        }
    }

    #[test]
    fn planets_fit_only_when_both_counts_divide() {
        let planetary = |s, r| stage(Form::Planetary(Held::Ring), s, r);
        assert_eq!(planetary(20, 80).assembles(4), Some(true));
        assert_eq!(planetary(20, 80).assembles(3), Some(false));
        assert_eq!(planetary(20, 81).assembles(1), Some(false));
        assert_eq!(planetary(20, 80).planet_teeth(), Some(30.0));
        assert_eq!(stage(Form::Spur, 20, 80).assembles(3), None);
    }

    #[test]
    fn only_gears_with_outside_teeth_are_counted_for_undercut() {
        assert_eq!(stage(Form::Spur, 60, 12).fewest_teeth(), Some(12.0));
        assert_eq!(stage(Form::Internal, 16, 12).fewest_teeth(), Some(16.0));
        assert_eq!(
            stage(Form::Planetary(Held::Sun), 20, 50).fewest_teeth(),
            Some(15.0)
        );
        assert_eq!(stage(Form::Worm, 1, 40).fewest_teeth(), None);
        assert_eq!(stage(Form::Belt, 12, 40).fewest_teeth(), None);
    }
}
