//! Upright guide rods that carry a bed beside them: how far they bend, and the bed's arms with them.
//!
//! The bed's weight beside the rods is a moment that two bearings, one above the other, put on each rod as a pair of equal
//! and opposite forces. The rod is a beam between its supports; the carriage tilts by the difference of its deflections
//! at the two bearings over their spacing.

use core::f64::consts::PI;

/// How a rod is held at both ends.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Ends {
    /// Held in place, free to turn.
    Simple,
    /// Clamped: neither moves nor turns.
    Fixed,
}

/// Guide rods that share a carriage's moment.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Guide {
    /// Length between the supports, mm, over 0.
    pub length: f64,
    /// Middle of the lower bearing to middle of the upper one, mm, over 0.
    pub spacing: f64,
    /// Bending stiffness E I of all rods together, N·mm², over 0.
    pub stiffness: f64,
    /// How the rods are held.
    pub ends: Ends,
}

impl Guide {
    /// Whether both bearings are on the rods with the lower one `position` mm above the lower support.
    pub fn holds(&self, position: f64) -> bool {
        // An upper bearing at the very end is on the rod, whatever the last digit of the sum says.
        position + self.spacing <= self.length * (1.0 + 1e-12)
    }

    /// Tilt of the carriage in rad under `moment` N·mm with the lower bearing `position` mm above the lower support.
    ///
    /// With h half of the length that the bearings leave free, m their middle's distance from the rod's middle and
    /// k = h² + 3 m²: M k / (3 E I L) for simple ends, M k (2 L h - k) / (3 E I L³) for fixed ones. `position` from 0 to
    /// length - spacing.
    ///
    /// # Source
    /// Deflections of a beam under a single load at any point, simply supported (P b x (L² - b² - x²) / (6 E I L)) and
    /// clamped (P b² x² (3 a L - x (3 a + b)) / (6 E I L³)), as in every handbook's beam tables, summed for the pair.
    pub fn tilt(&self, moment: f64, position: f64) -> f64 {
        let middle = position - self.half_free();
        moment / self.stiffness * self.shape(self.spread(middle * middle))
    }

    /// Smallest and largest tilt in rad while the lower bearing goes from `from` up to `to` mm above the lower support.
    ///
    /// # Source
    /// [`Guide::tilt`]: its extremes over k lie at the ends of the range and, for fixed ends, at k = L h.
    pub fn tilt_range(&self, moment: f64, from: f64, to: f64) -> (f64, f64) {
        let half = self.half_free();
        let (low, high) = (from - half, to - half);
        let (low2, high2) = (low * low, high * high);
        let nearest = if low < 0.0 && high > 0.0 {
            0.0
        } else {
            libm::fmin(low2, high2)
        };
        let near = self.spread(nearest);
        let far = self.spread(libm::fmax(low2, high2));
        let (a, b) = (self.shape(near), self.shape(far));
        let peak = self.length * half;
        let top = match self.ends {
            Ends::Fixed if near < peak && peak < far => self.shape(peak),
            _ => libm::fmax(a, b),
        };
        let scale = moment / self.stiffness;
        (scale * libm::fmin(a, b), scale * top)
    }

    /// Deflection in mm of the rods `at` mm above the lower support, toward where the upper bearing pushes them.
    ///
    /// `moment` in N·mm; `position` and `at` as in [`Guide::tilt`], `at` up to the length.
    ///
    /// # Source
    /// [`Guide::tilt`]: the same two deflections at any place.
    pub fn deflection(&self, moment: f64, position: f64, at: f64) -> f64 {
        let force = moment / self.spacing;
        self.under(force, position + self.spacing, at) - self.under(force, position, at)
    }

    /// Deflection in mm at `at` mm under one force `load` mm above the lower support.
    fn under(&self, force: f64, load: f64, at: f64) -> f64 {
        let length = self.length;
        // Beyond the load the rod is looked at from its other end.
        let (a, x) = if at > load {
            (length - load, length - at)
        } else {
            (load, at)
        };
        let b = length - a;
        let bent = match self.ends {
            Ends::Simple => b * x * (length * length - b * b - x * x) / length,
            Ends::Fixed => {
                b * b * x * x * (3.0 * a * length - x * (3.0 * a + b)) / (length * length * length)
            }
        };
        force * bent / (6.0 * self.stiffness)
    }

    /// Half of the length that the bearings leave free, mm.
    fn half_free(&self) -> f64 {
        (self.length - self.spacing) / 2.0
    }

    /// k of [`Guide::tilt`], mm², from the square of the middle's distance.
    fn spread(&self, middle2: f64) -> f64 {
        let half = self.half_free();
        half * half + 3.0 * middle2
    }

    /// Tilt for a moment over stiffness of 1, mm.
    fn shape(&self, k: f64) -> f64 {
        let length = self.length;
        match self.ends {
            Ends::Simple => k / (3.0 * length),
            Ends::Fixed => {
                k * (2.0 * length * self.half_free() - k) / (3.0 * length * length * length)
            }
        }
    }
}

/// Second moment of area of a round bar in mm⁴: pi d⁴ / 64; `diameter` in mm.
///
/// # Source
/// Definition, integrated over a circle.
pub fn round_inertia(diameter: f64) -> f64 {
    let d2 = diameter * diameter;
    PI / 64.0 * d2 * d2
}

/// Second moment of area of a solid rectangle in mm⁴ about its level axis: w h³ / 12; `width` and `height` in mm.
///
/// # Source
/// Definition, integrated over a rectangle.
pub fn rect_inertia(width: f64, height: f64) -> f64 {
    width * height * height * height / 12.0
}

/// Deflection in mm at `to` mm from the clamp of an arm that `load` N bends at `at` mm: P a² (3 x - a) / (6 E I).
///
/// `stiffness` E I in N·mm², over 0; `to` not below `at`.
///
/// # Source
/// Cantilever with a single load, beyond the load a straight line; handbook beam tables.
pub fn arm_deflection(load: f64, stiffness: f64, at: f64, to: f64) -> f64 {
    load * at * at * (3.0 * to - at) / (6.0 * stiffness)
}

/// Deflection in mm at the middle of a beam of `span` mm on two supports: P L³ / (48 E I).
///
/// `stiffness` E I in N·mm², over 0.
///
/// # Source
/// Simply supported beam with a load in the middle; handbook beam tables.
pub fn middle_deflection(load: f64, stiffness: f64, span: f64) -> f64 {
    load * span * span * span / (48.0 * stiffness)
}

/// Frequency in Hz of a mass that its own weight bends by `sag` mm: sqrt(g / sag) / (2 pi).
///
/// `sag` elastic, over 0; for 0 the result is infinite.
///
/// # Source
/// One mass on a spring: sag = m g / k.
pub fn sag_frequency(sag: f64) -> f64 {
    libm::sqrt(super::GRAVITY * 1000.0 / sag) / (2.0 * PI)
}

/// Sizes of ground rods that are easily bought, mm; common practice.
pub const ROD_SIZES: [f64; 8] = [6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 30.0];

/// The next size of [`ROD_SIZES`] over `diameter` mm.
pub fn thicker_rod(diameter: f64) -> Option<f64> {
    ROD_SIZES
        .into_iter()
        .find(|size| *size > diameter * (1.0 + 1e-9))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn guide(ends: Ends) -> Guide {
        Guide {
            length: 300.0,
            spacing: 55.0,
            stiffness: 2.0 * 205e3 * round_inertia(8.0),
            ends,
        }
    }

    /// Deflection at `x` of a load of 1 at `a` over a stiffness of 1, straight from the beam tables.
    fn table(ends: Ends, length: f64, x: f64, a: f64) -> f64 {
        let (x, a) = if x <= a {
            (x, a)
        } else {
            (length - x, length - a)
        };
        let b = length - a;
        match ends {
            Ends::Simple => b * x * (length * length - b * b - x * x) / (6.0 * length),
            Ends::Fixed => {
                b * b * x * x * (3.0 * a * length - x * (3.0 * a + b))
                    / (6.0 * length * length * length)
            }
        }
    }

    #[test]
    fn the_bent_line_is_that_of_the_tables_and_leans_by_the_tilt() {
        for ends in [Ends::Simple, Ends::Fixed] {
            let guide = guide(ends);
            let (moment, position) = (7000.0, 40.0);
            let upper = position + guide.spacing;
            for at in [0.0, 25.0, 40.0, 70.0, 95.0, 210.0, 300.0] {
                let expected = moment / guide.spacing / guide.stiffness
                    * (table(ends, guide.length, at, upper)
                        - table(ends, guide.length, at, position));
                let bent = guide.deflection(moment, position, at);
                assert!((bent - expected).abs() < 1e-12, "{ends:?} {at}");
            }
            let at = |place| guide.deflection(moment, position, place);
            let lean = (at(upper) - at(position)) / guide.spacing;
            assert!(
                (lean / guide.tilt(moment, position) - 1.0).abs() < 1e-9,
                "{ends:?}"
            );
        }
    }

    #[test]
    fn the_tilt_is_the_sum_of_both_bearings_table_values() {
        for ends in [Ends::Simple, Ends::Fixed] {
            let guide = guide(ends);
            for position in [0.0, 20.0, 122.5, 200.0, 245.0] {
                let upper = position + guide.spacing;
                let at = |x, a| table(ends, guide.length, x, a);
                let force = 7000.0 / guide.spacing;
                let rise = at(upper, upper) - at(upper, position);
                let fall = at(position, upper) - at(position, position);
                let summed = force * (rise - fall) / guide.spacing / guide.stiffness;
                assert!(
                    (guide.tilt(7000.0, position) / summed - 1.0).abs() < 1e-10,
                    "{ends:?} {position}"
                );
            }
        }
    }

    #[test]
    fn no_position_in_the_range_tilts_more_or_less() {
        for ends in [Ends::Simple, Ends::Fixed] {
            for spacing in [20.0, 55.0, 140.0, 200.0] {
                let guide = Guide {
                    spacing,
                    ..guide(ends)
                };
                let free = guide.length - spacing;
                for (from, to) in [(0.0, 1.0), (0.1, 0.4), (0.3, 0.9), (0.6, 1.0), (0.5, 0.5)] {
                    let (from, to) = (from * free, to * free);
                    let (least, most) = guide.tilt_range(1e4, from, to);
                    let tilts = (0..=1000)
                        .map(|i| guide.tilt(1e4, from + (to - from) * f64::from(i) / 1000.0));
                    let low = tilts.clone().fold(f64::INFINITY, f64::min);
                    let high = tilts.fold(0.0, f64::max);
                    let scale = 1e-5 * most;
                    assert!(
                        (low - least).abs() <= scale && least <= low * (1.0 + 1e-12),
                        "{ends:?} {spacing} {from}"
                    );
                    assert!(
                        (high - most).abs() <= scale && most >= high * (1.0 - 1e-12),
                        "{ends:?} {spacing} {from}"
                    );
                }
            }
        }
    }

    #[test]
    fn an_arm_loaded_at_its_end_bends_by_the_table_value() {
        // P L³ / 3 E I at the load, P L² / 2 E I per length beyond it.
        assert!((arm_deflection(30.0, 6e6, 100.0, 100.0) - 30.0 * 1e6 / (3.0 * 6e6)).abs() < 1e-12);
        let beyond =
            arm_deflection(30.0, 6e6, 100.0, 180.0) - arm_deflection(30.0, 6e6, 100.0, 100.0);
        assert!((beyond - 30.0 * 1e4 / (2.0 * 6e6) * 80.0).abs() < 1e-12);
    }

    #[test]
    fn the_upper_bearing_may_reach_the_end_and_not_pass_it() {
        let guide = guide(Ends::Simple);
        assert!(guide.holds(245.0));
        assert!(!guide.holds(245.001));
        let exact = Guide {
            length: 0.3,
            spacing: 0.2,
            ..guide
        };
        assert!(exact.holds(0.1));
    }

    #[test]
    fn the_next_rod_is_thicker() {
        assert_eq!(thicker_rod(8.0), Some(10.0));
        assert_eq!(thicker_rod(9.5), Some(10.0));
        assert_eq!(thicker_rod(30.0), None);
    }

    #[test]
    fn a_tenth_of_a_millimetre_swings_at_fifty_hertz() {
        // g = 4 pi² f² sag, so 0.1 mm gives 49.84 Hz.
        assert!((sag_frequency(0.1) - 49.84).abs() < 0.01);
    }
}
