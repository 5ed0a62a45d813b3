//! The plane through probed points of a bed, and the turns that bring the bed level.

/// The plane z = height + tilt_x (x - x0) + tilt_y (y - y0).
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Plane {
    /// Slope in x; no unit.
    pub tilt_x: f64,
    /// Slope in y; no unit.
    pub tilt_y: f64,
    /// Where it has its mean height.
    centre: (f64, f64, f64),
}

impl Plane {
    /// The plane of least squares through points x, y, z; `None` for fewer than three or all in a line.
    ///
    /// # Source
    /// Normal equations of linear regression on two variables about the means; textbooks of statistics.
    pub fn fit(points: &[[f64; 3]]) -> Option<Self> {
        let n = points.iter().fold(0.0, |n, _| n + 1.0);
        let mut sums = [0.0; 3];
        for point in points {
            for (sum, value) in sums.iter_mut().zip(point) {
                *sum += value;
            }
        }
        let [x0, y0, z0] = sums.map(|sum| sum / n);
        let (mut sxx, mut sxy, mut syy, mut sxz, mut syz) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for &[x, y, z] in points {
            let (x, y, z) = (x - x0, y - y0, z - z0);
            sxx += x * x;
            sxy += x * y;
            syy += y * y;
            sxz += x * z;
            syz += y * z;
        }
        let det = sxx * syy - sxy * sxy;
        let size = (sxx + syy) * (sxx + syy);
        // Points within a millionth of their length of one line are in a line: less is rounding.
        if !(n > 2.5 && det > 1e-12 * size) {
            return None;
        }
        Some(Self {
            tilt_x: (syy * sxz - sxy * syz) / det,
            tilt_y: (sxx * syz - sxy * sxz) / det,
            centre: (x0, y0, z0),
        })
    }

    /// Height of the plane at x, y.
    pub fn at(&self, x: f64, y: f64) -> f64 {
        let (x0, y0, z0) = self.centre;
        z0 + self.tilt_x * (x - x0) + self.tilt_y * (y - y0)
    }

    /// Highest less lowest of the points off the plane: what no screw removes.
    ///
    /// # Source
    /// Definition; peak to valley about the least-squares reference plane, as in ISO 12781-1.
    pub fn flatness(&self, points: &[[f64; 3]]) -> f64 {
        let off = |&[x, y, z]: &[f64; 3]| z - self.at(x, y);
        let high = points.iter().map(off).fold(f64::NEG_INFINITY, libm::fmax);
        let low = points.iter().map(off).fold(f64::INFINITY, libm::fmin);
        high - low
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tilted_bed_is_found_by_its_tilt() {
        let z = |x: f64, y: f64| 1.0 + 0.002 * x - 0.001 * y;
        let points = [(10.0, 10.0), (190.0, 10.0), (100.0, 190.0), (30.0, 150.0)]
            .map(|(x, y)| [x, y, z(x, y)]);
        let plane = Plane::fit(&points).expect("not in a line");
        assert!((plane.tilt_x - 0.002).abs() < 1e-15 && (plane.tilt_y + 0.001).abs() < 1e-15);
        assert!((plane.at(0.0, 0.0) - 1.0).abs() < 1e-12);
        assert!(plane.flatness(&points) < 1e-12);
    }

    #[test]
    fn a_saddle_is_what_no_screw_removes() {
        let points = [
            [0.0, 0.0, 0.1],
            [100.0, 0.0, -0.1],
            [0.0, 100.0, -0.1],
            [100.0, 100.0, 0.1],
        ];
        let plane = Plane::fit(&points).expect("not in a line");
        assert!(plane.tilt_x.abs() < 1e-15 && plane.tilt_y.abs() < 1e-15);
        assert!((plane.flatness(&points) - 0.2).abs() < 1e-15);
    }

    #[test]
    fn points_in_a_line_hold_no_plane() {
        assert_eq!(Plane::fit(&[[0.0, 0.0, 0.0], [1.0, 1.0, 0.0]]), None);
        let line = [0.1, 0.2, 0.3, 0.7].map(|t: f64| [31.0 + 170.0 * t, 17.0 + 91.0 * t, t]);
        assert_eq!(Plane::fit(&line), None);
        assert_eq!(Plane::fit(&[[5.0, 5.0, 0.0]; 4]), None);
        let far = [[1e9, 0.0, 0.0], [1e9, 100.0, 0.0], [1e9 + 100.0, 50.0, 0.1]];
        assert!(Plane::fit(&far).is_some());
    }
}
