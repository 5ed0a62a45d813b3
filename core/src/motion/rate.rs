//! Step rates that a controller must deliver at once.

use core::f64::consts::SQRT_2;

/// Largest step rate of one belt motor of a crossed pair in 1/s: sqrt(2) * v * steps per mm, at 45 degrees.
///
/// `speed` of the path in mm/s. The belts run at v * (dx + dy) and v * (dx - dy).
///
/// # Source
/// Kinematics of two crossed belts; largest value of cos + sin.
pub fn crossed_motor_rate(speed: f64, steps_per_mm: f64) -> f64 {
    SQRT_2 * speed * steps_per_mm
}

/// Largest rate of both belt motors together in 1/s: v * sqrt(2 * (a^2 + b^2)) with the steps per mm a and b.
///
/// For equal belts 2 * v * a, along an axis. `speed` of the path in mm/s.
///
/// # Source
/// Kinematics of two crossed belts: the largest of a*|cos + sin| + b*|cos - sin| over all directions.
pub fn crossed_pair_rate(speed: f64, a: f64, b: f64) -> f64 {
    SQRT_2 * speed * libm::hypot(a, b)
}

/// The largest power of two by which every rate may grow and still keep each `(rate, limit)` pair.
///
/// Rates from 0, limits above 0; `None` when no rate bounds it.
///
/// # Source
/// Definition.
pub fn fitting_factor(rates: impl IntoIterator<Item = (f64, f64)>) -> Option<f64> {
    let room = rates
        .into_iter()
        .filter(|(rate, _)| *rate > 0.0)
        .map(|(rate, limit)| limit / rate)
        .fold(f64::INFINITY, libm::fmin);
    if !room.is_finite() || room <= 0.0 {
        return None;
    }
    // frexp gives room = m * 2^e with m in 0.5..1; a rate that meets its limit but for rounding fits.
    let (_, exponent) = libm::frexp(room * (1.0 + 1e-12));
    Some(libm::ldexp(1.0, exponent - 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_direction_asks_for_more() {
        let (v, a, b) = (200.0, 80.0, 100.0);
        let (mut one, mut both) = (0.0, 0.0);
        for i in 0..3600 {
            let (y, x) = libm::sincos(f64::from(i) / 1800.0 * core::f64::consts::PI);
            let (left, right) = (a * v * (x + y).abs(), b * v * (x - y).abs());
            one = libm::fmax(one, left);
            both = libm::fmax(both, left + right);
        }
        // The grid of 0.1 degree misses the top by at most 4e-7 of it.
        assert!((one / crossed_motor_rate(v, a) - 1.0).abs() < 4e-7);
        assert!((both / crossed_pair_rate(v, a, b) - 1.0).abs() < 4e-7);
    }

    #[test]
    fn the_factor_is_the_largest_that_fits() {
        assert_eq!(fitting_factor([(1000.0, 4000.0)]), Some(4.0));
        assert_eq!(fitting_factor([(1000.0, 3999.0)]), Some(2.0));
        assert_eq!(
            fitting_factor([(1000.0, 4000.0), (900.0, 300.0)]),
            Some(0.25)
        );
        assert_eq!(fitting_factor([(0.0, 300.0)]), None);
        // 0.1 * 3 is a little over 0.3 in binary.
        assert_eq!(fitting_factor([(0.1 * 3.0, 0.3)]), Some(1.0));
    }
}
