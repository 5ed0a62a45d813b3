//! The Steinhart-Hart curve through three measured points, or nearest to more.
//!
//! Least squares of 1/T on 1, ln R and (ln R)^3; with three points the curve passes through them.
//!
//! # Source
//! Å. Björck, "Solving linear least squares problems by Gram-Schmidt orthogonalization", BIT 7 (1967) 1-21: the
//! columns are made orthogonal one after the other, and the right-hand side with them.

use super::ntc::Steinhart;
use super::{kelvin, positive};

/// A curve fitted to points.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Fit {
    /// The fitted coefficients.
    pub curve: Steinhart,
    /// Largest difference between fitted and given temperature at a point, K, not below 0.
    pub largest_error_k: f64,
    /// Least and greatest temperature of the points, °C.
    pub span_c: (f64, f64),
    /// Whether the resistance falls as temperature rises over the whole span of the points, as it must.
    pub falls: bool,
}

/// Why points give no curve; rows count from 0.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Cause {
    /// Fewer than three points.
    TooFew {
        /// How many there are.
        points: usize,
    },
    /// A resistance that is not above 0 or not finite.
    Ohm {
        /// The row.
        row: usize,
        /// Its resistance.
        ohm: f64,
    },
    /// A temperature at or below absolute zero, or not finite.
    Cold {
        /// The row.
        row: usize,
        /// Its temperature, °C.
        celsius: f64,
    },
    /// Fewer than three different resistances: these two are the closest.
    Alike {
        /// One row.
        first: usize,
        /// A later row.
        second: usize,
    },
    /// The fitted 1/T is not above 0 at a point: the points are on no thermistor's curve.
    NoCurve {
        /// The row.
        row: usize,
    },
}

/// Least part of a column that must be left beside the columns before it, relative.
///
/// Rounding leaves 1e-15 when resistances are repeated; three resistances 1 ppm apart leave 1e-6.
const INDEPENDENT: f64 = 1e-9;

/// The Steinhart-Hart curve of points: exact for three, least squares of 1/T for more.
///
/// Takes rows of °C above absolute zero and ohm above 0.
///
/// # Errors
/// [`Cause`]: fewer than three points or different resistances, a resistance or temperature out of range.
///
/// # Source
/// As the module. With `d = ln R - mean(ln R) = ln R - m`, the columns 1, d and `d^2 (3 m + d)` span the same curves as
/// 1, ln R and (ln R)^3, and stay far apart when all resistances are close.
///
/// # Example
/// ```
/// use layshaft_core::sensor::fit::{Cause, steinhart};
/// let fit = steinhart(&[(0.0, 27_219.0), (25.0, 10_000.0), (100.0, 974.0)]).unwrap();
/// assert!(fit.falls && fit.largest_error_k < 1e-9);
/// assert_eq!(steinhart(&[(0.0, 27_219.0)]), Err(Cause::TooFew { points: 1 }));
/// ```
pub fn steinhart(points: &[(f64, f64)]) -> Result<Fit, Cause> {
    check(points)?;
    let rows = || {
        points
            .iter()
            .map(|&(celsius, ohm)| (libm::log(ohm), 1.0 / (celsius + super::ICE_POINT_K)))
    };
    let count = rows().map(|_| 1.0).sum::<f64>();
    let alike = || closest(points);

    let mean_log = rows().map(|(log, _)| log).sum::<f64>() / count;
    let mean_inverse = rows().map(|(_, inverse)| inverse).sum::<f64>() / count;
    // Second column.
    let first = |log: f64| log - mean_log;
    let first_square = rows().map(|(log, _)| first(log) * first(log)).sum::<f64>();
    let size = rows().map(|(log, _)| log * log).sum::<f64>();
    if first_square <= INDEPENDENT * INDEPENDENT * size {
        return Err(alike());
    }
    // Third column, less its part along the first two.
    let bent = |log: f64| first(log) * first(log) * (3.0 * mean_log + first(log));
    let bent_mean = rows().map(|(log, _)| bent(log)).sum::<f64>() / count;
    let along = rows()
        .map(|(log, _)| (bent(log) - bent_mean) * first(log))
        .sum::<f64>()
        / first_square;
    let second = |log: f64| bent(log) - bent_mean - along * first(log);
    let second_square = rows()
        .map(|(log, _)| second(log) * second(log))
        .sum::<f64>();
    let size = rows().map(|(log, _)| bent(log) * bent(log)).sum::<f64>();
    if second_square <= INDEPENDENT * INDEPENDENT * size {
        return Err(alike());
    }
    // The right-hand side, likewise.
    let tilt = rows()
        .map(|(log, inverse)| (inverse - mean_inverse) * first(log))
        .sum::<f64>()
        / first_square;
    let rest = |log: f64, inverse: f64| inverse - mean_inverse - tilt * first(log);
    let c = rows()
        .map(|(log, inverse)| rest(log, inverse) * second(log))
        .sum::<f64>()
        / second_square;

    // mean + tilt d + c (d^2 (3 m + d) - bent_mean - along d), sorted by powers of ln R, with
    // d^2 (3 m + d) = x^3 - 3 m^2 x + 2 m^3.
    let tilt = tilt - c * along;
    let curve = Steinhart {
        a: mean_inverse - c * bent_mean - tilt * mean_log
            + 2.0 * c * mean_log * mean_log * mean_log,
        b: tilt - 3.0 * c * mean_log * mean_log,
        c,
    };
    judge(curve, points)
}

/// Refuses what is no point.
fn check(points: &[(f64, f64)]) -> Result<(), Cause> {
    if points.len() < 3 {
        return Err(Cause::TooFew {
            points: points.len(),
        });
    }
    for (row, &(celsius, ohm)) in points.iter().enumerate() {
        kelvin(celsius).ok_or(Cause::Cold { row, celsius })?;
        positive(ohm).ok_or(Cause::Ohm { row, ohm })?;
    }
    Ok(())
}

/// What the curve is worth at its points.
fn judge(curve: Steinhart, points: &[(f64, f64)]) -> Result<Fit, Cause> {
    let mut fit = Fit {
        curve,
        largest_error_k: 0.0,
        span_c: (f64::INFINITY, f64::NEG_INFINITY),
        falls: true,
    };
    for (row, &(celsius, ohm)) in points.iter().enumerate() {
        let log = libm::log(ohm);
        let fitted =
            positive(curve.inverse_kelvin(log)).and_then(|inverse| super::celsius(1.0 / inverse));
        let error = libm::fabs(fitted.ok_or(Cause::NoCurve { row })? - celsius);
        fit.largest_error_k = fit.largest_error_k.max(error);
        fit.span_c = (fit.span_c.0.min(celsius), fit.span_c.1.max(celsius));
        // The falling stretch has no gaps, so that its ends and all between them fall if every point does.
        fit.falls &= curve.falls(log);
    }
    Ok(fit)
}

/// The two rows whose resistances are closest.
fn closest(points: &[(f64, f64)]) -> Cause {
    let mut least = f64::INFINITY;
    let (mut first, mut second) = (0, 1);
    for (row, &(_, ohm)) in points.iter().enumerate() {
        for (other, &(_, other_ohm)) in points.iter().enumerate().skip(row + 1) {
            let apart = libm::fabs(libm::log(ohm) - libm::log(other_ohm));
            if apart < least {
                (least, first, second) = (apart, row, other);
            }
        }
    }
    Cause::Alike { first, second }
}

#[cfg(test)]
mod tests {
    use super::*;

    const THREE: [(f64, f64); 3] = [(0.0, 27_219.0), (25.0, 10_000.0), (85.0, 1452.0)];

    #[test]
    fn three_points_are_met() {
        let fit = steinhart(&THREE).expect("a curve");
        assert!(fit.largest_error_k < 1e-9, "{fit:?}");
        assert!(fit.falls);
        assert!(fit.span_c == (0.0, 85.0));
    }

    #[test]
    fn order_of_rows_does_not_matter() {
        let [one, two, three] = THREE;
        let fit = steinhart(&THREE).expect("a curve").curve;
        let turned = steinhart(&[three, one, two]).expect("a curve").curve;
        assert!(libm::fabs(fit.c - turned.c) < 1e-12 * fit.c);
    }

    #[test]
    fn too_few_and_wrong_rows_are_named() {
        assert_eq!(steinhart(&[]), Err(Cause::TooFew { points: 0 }));
        let [one, two, _] = THREE;
        assert_eq!(steinhart(&[one, two]), Err(Cause::TooFew { points: 2 }));
        assert_eq!(
            steinhart(&[one, two, (85.0, 0.0)]),
            Err(Cause::Ohm { row: 2, ohm: 0.0 })
        );
        assert_eq!(
            steinhart(&[one, (25.0, -5.0), two]),
            Err(Cause::Ohm { row: 1, ohm: -5.0 })
        );
        assert_eq!(
            steinhart(&[(-273.15, 1e6), one, two]),
            Err(Cause::Cold {
                row: 0,
                celsius: -273.15
            })
        );
        assert!(matches!(
            steinhart(&[(f64::NAN, 1e6), one, two]),
            Err(Cause::Cold { row: 0, .. })
        ));
        assert!(matches!(
            steinhart(&[one, two, (85.0, f64::NAN)]),
            Err(Cause::Ohm { row: 2, .. })
        ));
    }

    #[test]
    fn repeated_resistances_are_named() {
        let [one, two, three] = THREE;
        assert_eq!(
            steinhart(&[one, two, (30.0, two.1)]),
            Err(Cause::Alike {
                first: 1,
                second: 2
            })
        );
        assert_eq!(
            steinhart(&[one, one, one, one]),
            Err(Cause::Alike {
                first: 0,
                second: 1
            })
        );
        assert_eq!(
            steinhart(&[one, two, one, two]),
            Err(Cause::Alike {
                first: 0,
                second: 2
            })
        );
        // A repeated reading beside three different ones is more data, not less.
        assert!(steinhart(&[one, two, two, three]).is_ok_and(|fit| fit.largest_error_k < 1e-9));
    }

    #[test]
    fn resistances_a_millionth_apart_still_give_their_curve() {
        let [one, _, three] = THREE;
        let twin = (24.999_98, 10_000.01);
        assert!(
            steinhart(&[one, (25.0, 10_000.0), twin, three])
                .is_ok_and(|fit| fit.largest_error_k < 1e-2)
        );
        assert!(
            steinhart(&[one, (25.0, 10_000.0), twin]).is_ok_and(|fit| fit.largest_error_k < 1e-9)
        );
    }

    #[test]
    fn a_rising_sensor_is_not_called_a_thermistor() {
        // Pt1000 by IEC 60751 at 0, 100 and 200 °C.
        let fit =
            steinhart(&[(0.0, 1000.0), (100.0, 1385.055), (200.0, 1758.56)]).expect("a curve");
        assert!(!fit.falls, "{fit:?}");
    }

    #[test]
    fn a_curve_that_turns_between_its_points_is_not_said_to_fall() {
        // The middle point is colder than the one of higher resistance.
        let fit =
            steinhart(&[(20.0, 12_000.0), (10.0, 11_000.0), (60.0, 2500.0)]).expect("a curve");
        assert!(!fit.falls, "{fit:?}");
    }
}
