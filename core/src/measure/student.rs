//! Student's t distribution, computed and not tabulated.

use core::f64::consts::FRAC_PI_2;

/// The share of a t distribution of `df` degrees of freedom, 1 or more, within ± sqrt(df) tan(angle).
///
/// `angle` in rad from 0 to pi/2; the result 0 to 1.
///
/// # Source
/// Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.3 (odd) and 26.7.4 (even).
fn share_within(angle: f64, df: u32) -> f64 {
    let (sin, cos) = (libm::sin(angle), libm::cos(angle));
    let cos2 = cos * cos;
    let odd = df % 2 == 1;
    // 1 + 1/2 cos² + 1·3/(2·4) cos⁴ + ... for even, cos (1 + 2/3 cos² + 2·4/(3·5) cos⁴ + ...) for odd.
    let (mut term, mut next) = if odd { (cos, 2.0) } else { (1.0, 1.0) };
    let mut sum = 0.0;
    for _ in 0..df / 2 {
        sum += term;
        term *= next / (next + 1.0) * cos2;
        next += 2.0;
    }
    if odd {
        (angle + sin * sum) / FRAC_PI_2
    } else {
        sin * sum
    }
}

/// Degrees of freedom from which the series in 1/df is as good as the sum, and far shorter.
const MANY: u32 = 1000;

/// The two-sided 95 % point of the normal distribution.
const Z: f64 = 1.959_963_984_540_054;

/// The two-sided 95 % point of Student's t: within ± this lie 95 % of the values.
///
/// `df` degrees of freedom; `None` for 0. 12.706 for 1, toward 1.95996 for many. Relative error under 1e-13.
///
/// ```
/// # use layshaft_core::measure::student::t95;
/// assert!((t95(10).unwrap() - 2.2281388520).abs() < 1e-9);
/// assert!(t95(0).is_none());
/// ```
///
/// # Source
/// Abramowitz and Stegun 26.7.3 and 26.7.4, solved by halving the interval; from 1000 on the series 26.7.5.
pub fn t95(df: u32) -> Option<f64> {
    if df >= MANY {
        let (z2, n) = (Z * Z, f64::from(df));
        let g1 = (z2 + 1.0) / 4.0;
        let g2 = ((5.0 * z2 + 16.0) * z2 + 3.0) / 96.0;
        let g3 = (((3.0 * z2 + 19.0) * z2 + 17.0) * z2 - 15.0) / 384.0;
        let g4 = ((((79.0 * z2 + 776.0) * z2 + 1482.0) * z2 - 1920.0) * z2 - 945.0) / 92_160.0;
        return Some(Z * (1.0 + (g1 + (g2 + (g3 + g4 / n) / n) / n) / n));
    }
    two_sided(0.95, df)
}

/// The two-sided point of Student's t for any share: within ± this lies that share of the values.
///
/// `share` 0 to 1, less than 1; `df` degrees of freedom; `None` for 0. The work grows with `df`.
///
/// # Source
/// Abramowitz and Stegun 26.7.3 and 26.7.4, solved by halving the interval.
pub fn two_sided(share: f64, df: u32) -> Option<f64> {
    if df == 0 {
        return None;
    }
    let (mut low, mut high) = (0.0, FRAC_PI_2);
    // 60 halvings leave nothing of the interval.
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if share_within(middle, df) < share {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(libm::sqrt(f64::from(df)) * libm::tan((low + high) / 2.0))
}

/// How many readings in place of `n` shrink the 95 % interval of a fit of `fitted` numbers to `share` of its width, when the
/// new ones scatter and lie as the old ones do.
///
/// The smallest m from `n` on with t(m - fitted)/sqrt(m) <= share t(n - fitted)/sqrt(n); `None` when that is more than a
/// thousand or `n` leaves no degree of freedom.
///
/// # Source
/// Half width t s/sqrt(n) of a mean, and of a slope over the same places again; textbooks of statistics.
pub fn readings_for(share: f64, n: u32, fitted: u32) -> Option<u32> {
    let width = |m: u32| Some(t95(m.checked_sub(fitted)?)? / libm::sqrt(f64::from(m)));
    let goal = share * width(n)?;
    let (mut few, mut enough) = (n.saturating_sub(1), MANY);
    if width(enough)? > goal {
        return None;
    }
    while enough - few > 1 {
        let middle = few + (enough - few) / 2;
        if width(middle)? > goal {
            few = middle;
        } else {
            enough = middle;
        }
    }
    Some(enough)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_and_two_degrees_have_closed_forms() {
        // tan(0.475 pi), and 0.95 sqrt(2 / (1 - 0.95²)).
        assert!(
            t95(1).is_some_and(
                |t| (t / libm::tan(0.475 * core::f64::consts::PI) - 1.0).abs() < 1e-13
            )
        );
        assert!(
            t95(2).is_some_and(
                |t| (t / (0.95 * libm::sqrt(2.0 / (1.0 - 0.9025))) - 1.0).abs() < 1e-13
            )
        );
    }

    #[test]
    fn other_shares_have_their_points() {
        // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2, upper points 0.995 and 0.999; to three decimals, from
        // memory.
        for (share, df, point) in [(0.99, 10, 3.169), (0.998, 5, 5.893), (0.9, 20, 1.725)] {
            assert!(
                two_sided(share, df).is_some_and(|t| (t - point).abs() < 5.1e-4),
                "{share} {df}"
            );
        }
        assert_eq!(two_sided(0.99, 0), None);
    }

    #[test]
    fn more_readings_halve_an_interval() {
        for (share, n, fitted) in [(0.5, 5, 2), (0.5, 30, 2), (0.9, 4, 3), (1.0, 7, 2)] {
            let width = |m: u32| t95(m - fitted).unwrap_or(0.0) / libm::sqrt(f64::from(m));
            let enough = readings_for(share, n, fitted).unwrap_or(0);
            assert!(width(enough) <= share * width(n), "{share} {n} {enough}");
            assert!(
                enough == n || width(enough - 1) > share * width(n),
                "{share} {n} {enough}"
            );
        }
        // Four times as many, nearly: t falls a little, too.
        assert_eq!(readings_for(0.5, 30, 2), Some(113));
        assert_eq!(readings_for(0.001, 5, 2), None);
        assert_eq!(readings_for(0.5, 2, 2), None);
    }

    #[test]
    fn many_degrees_come_down_to_the_normal_point() {
        let points = [5, 50, 500, 5000, 50_000].map(|df| t95(df).unwrap_or(0.0));
        assert!(points.is_sorted_by(|a, b| a > b));
        assert!(points.iter().all(|t| *t > 1.959_963_984));
        assert!(points.last().is_some_and(|t| t - 1.959_963_984 < 1e-4));
    }
}
