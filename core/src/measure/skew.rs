//! Skew of a parallelogram from its diagonals and one side.

/// A parallelogram as it was measured, mm.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Parallelogram {
    /// The diagonal that starts at the side's first corner.
    pub diagonal_1: f64,
    /// The other diagonal.
    pub diagonal_2: f64,
    /// One side.
    pub side: f64,
}

/// What follows from it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Skew {
    /// The other side, mm.
    pub other_side: f64,
    /// By how many degrees the corner is less than square.
    pub angle_deg: f64,
    /// 100 tan(angle): mm per 100 mm.
    pub skew: f64,
    /// By how much the skew changes with each length: diagonal 1, diagonal 2, side; per 100 mm of mm each.
    slopes: [f64; 3],
}

impl Parallelogram {
    /// Its skew; `None` when the lengths close no parallelogram.
    ///
    /// other = sqrt((d1² + d2²)/2 - side²); sin(angle) = (d1² - d2²) / (4 side other).
    ///
    /// # Source
    /// Parallelogram law; law of cosines for both diagonals.
    pub fn skew(self) -> Option<Skew> {
        let Self {
            diagonal_1: d1,
            diagonal_2: d2,
            side,
        } = self;
        let other2 = (d1 * d1 + d2 * d2) / 2.0 - side * side;
        // In two steps, so that equal diagonals give an exact 0 and nearly equal ones lose nothing.
        let difference = (d1 - d2) * (d1 + d2);
        let other = libm::sqrt(other2);
        let sin = difference / (4.0 * side * other);
        if !(other2 > 0.0 && sin.abs() < 1.0) {
            return None;
        }
        let cos2 = (1.0 - sin) * (1.0 + sin);
        let cos = libm::sqrt(cos2);
        let per_sin = 100.0 / (cos2 * cos);
        let along = |d: f64| d / (2.0 * side * other);
        let through = |d: f64| sin * d / (2.0 * other2);
        Some(Skew {
            other_side: other,
            angle_deg: libm::asin(sin).to_degrees(),
            skew: 100.0 * sin / cos,
            slopes: [
                per_sin * (along(d1) - through(d1)),
                per_sin * (-along(d2) - through(d2)),
                per_sin * sin * (side / other2 - 1.0 / side),
            ],
        })
    }
}

impl Skew {
    /// Expanded uncertainty (k = 2) of the skew for lengths good to ± `accuracy` mm each.
    ///
    /// # Source
    /// GUM (JCGM 100:2008) 5.1.2 with rectangular half widths (4.3.7), independent.
    pub fn uncertainty(&self, accuracy: f64) -> f64 {
        let squares: f64 = self.slopes.iter().map(|slope| slope * slope).sum();
        2.0 * accuracy * libm::sqrt(squares / 3.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn measured(side: f64, other: f64, lean_deg: f64) -> Parallelogram {
        let lean = lean_deg.to_radians();
        let (rise, run) = (other * libm::cos(lean), other * libm::sin(lean));
        Parallelogram {
            diagonal_1: libm::hypot(side + run, rise),
            diagonal_2: libm::hypot(side - run, rise),
            side,
        }
    }

    #[test]
    fn a_leaning_frame_gives_its_lean_back() {
        for lean in [-40.0, -0.3, 0.0, 0.3, 2.0, 60.0] {
            let skew = measured(100.0, 140.0, lean).skew().expect("closes");
            assert!((skew.angle_deg - lean).abs() < 1e-11, "{lean}");
            assert!((skew.other_side - 140.0).abs() < 1e-9);
            assert!((skew.skew - 100.0 * libm::tan(lean.to_radians())).abs() < 1e-10);
        }
    }

    #[test]
    fn the_slopes_are_those_of_small_changes() {
        let at = |d1, d2, s| {
            let p = Parallelogram {
                diagonal_1: 141.9 + d1,
                diagonal_2: 140.8 + d2,
                side: 99.5 + s,
            };
            p.skew().expect("closes")
        };
        let h = 1e-5;
        let steps = [
            (at(h, 0.0, 0.0).skew - at(-h, 0.0, 0.0).skew) / (2.0 * h),
            (at(0.0, h, 0.0).skew - at(0.0, -h, 0.0).skew) / (2.0 * h),
            (at(0.0, 0.0, h).skew - at(0.0, 0.0, -h).skew) / (2.0 * h),
        ];
        for (slope, step) in at(0.0, 0.0, 0.0).slopes.iter().zip(steps) {
            assert!((slope - step).abs() < 1e-7, "{slope} {step}");
        }
    }

    #[test]
    fn lengths_that_close_nothing_are_refused() {
        let close = |diagonal_1, diagonal_2, side| {
            Parallelogram {
                diagonal_1,
                diagonal_2,
                side,
            }
            .skew()
        };
        assert_eq!(close(100.0, 100.0, 100.0), None);
        assert_eq!(close(100.0, 100.0, 120.0), None);
        assert_eq!(close(200.0, 100.0, 50.0), None);
        assert_eq!(close(200.0, 100.0, 49.0), None);
        assert!(close(200.0, 100.0, 50.1).is_some());
    }
}
