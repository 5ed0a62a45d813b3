//! The straight line through readings, one direction of approach or two.

use super::student::two_sided;

/// One reading.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Reading {
    /// What was asked for.
    pub x: f64,
    /// What was found.
    pub y: f64,
    /// Which of two directions it was approached in.
    pub second: bool,
}

/// The line y = slope x + offset, with an offset for each direction there is.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Line {
    /// Its slope.
    pub slope: f64,
    /// Its offset; with two directions the mean of both.
    pub offset: f64,
    /// Offset of the second direction less that of the first; `None` with one direction.
    pub apart: Option<f64>,
    /// Sum of the squared distances of the readings from it.
    pub squares: f64,
    /// How many readings there are more than numbers fitted.
    pub freedom: u32,
    /// Sum of the squared distances of the x from their direction's mean.
    spread: f64,
    /// Variance of the offset over that of one reading.
    offset_share: f64,
    /// Of the first direction and of the second.
    means: [Means; 2],
}

/// Mean and number of the readings of one direction.
#[derive(Clone, Copy, Default, PartialEq, Debug)]
struct Means {
    n: f64,
    x: f64,
    y: f64,
}

fn means(readings: &[Reading], second: bool) -> Means {
    let mut sum = Means::default();
    for reading in readings.iter().filter(|reading| reading.second == second) {
        sum.n += 1.0;
        sum.x += reading.x;
        sum.y += reading.y;
    }
    Means {
        n: sum.n,
        x: sum.x / sum.n,
        y: sum.y / sum.n,
    }
}

impl Line {
    /// The line of least squares; `None` when no direction has readings at two places.
    ///
    /// slope = sum((x - mean x)(y - mean y)) / sum((x - mean x)²), sums and means within each direction.
    ///
    /// # Source
    /// Simple linear regression, and analysis of covariance with one slope for two groups; textbooks of statistics.
    pub fn fit(readings: &[Reading]) -> Option<Self> {
        let (first, second) = (means(readings, false), means(readings, true));
        let (mut sxx, mut sxy, mut n) = (0.0, 0.0, 0u32);
        for reading in readings {
            let mean = if reading.second { second } else { first };
            let dx = reading.x - mean.x;
            sxx += dx * dx;
            sxy += dx * (reading.y - mean.y);
            n += 1;
        }
        if sxx <= 0.0 {
            return None;
        }
        let slope = sxy / sxx;
        let mut squares = 0.0;
        for reading in readings {
            let mean = if reading.second { second } else { first };
            let miss = reading.y - mean.y - slope * (reading.x - mean.x);
            squares += miss * miss;
        }
        let both = first.n > 0.0 && second.n > 0.0;
        let (x, y, shares, apart) = if both {
            let apart = second.y - first.y - slope * (second.x - first.x);
            (
                (first.x + second.x) / 2.0,
                (first.y + second.y) / 2.0,
                (1.0 / first.n + 1.0 / second.n) / 4.0,
                Some(apart),
            )
        } else {
            let only = if first.n > 0.0 { first } else { second };
            (only.x, only.y, 1.0 / only.n, None)
        };
        Some(Self {
            slope,
            offset: y - slope * x,
            apart,
            squares,
            freedom: n.saturating_sub(if both { 3 } else { 2 }),
            spread: sxx,
            offset_share: shares + x * x / sxx,
            means: [first, second],
        })
    }

    /// The line's own value at `x`, in the direction of a reading.
    pub fn at(&self, x: f64, second: bool) -> f64 {
        let half = self.apart.unwrap_or(0.0) / 2.0;
        self.slope * x + self.offset + if second { half } else { -half }
    }

    /// Standard deviation of a reading about the line; `None` without degrees of freedom.
    ///
    /// # Source
    /// sqrt(squares / freedom); textbooks of statistics.
    pub fn deviation(&self) -> Option<f64> {
        (self.freedom > 0).then(|| libm::sqrt(self.squares / f64::from(self.freedom)))
    }

    /// The reading that the others do not bear out, by its index: the one farthest off, when chance puts one of so many
    /// that far off their line in less than one case of twenty.
    ///
    /// `least` is the smallest deviation to count with, above 0: half a step of the display makes no reading suspect.
    /// `None` when none is, or when fewer than two degrees of freedom are left.
    ///
    /// # Source
    /// Externally studentized residual against Student's t with Bonferroni's correction; Cook and Weisberg, Residuals and
    /// Influence in Regression (1982), section 2.2.2 (from memory).
    pub fn outlier(&self, readings: &[Reading], least: f64) -> Option<usize> {
        let rest = self.freedom.checked_sub(1)?;
        let n = readings.iter().fold(0.0, |n, _| n + 1.0);
        let point = two_sided(1.0 - 0.05 / n, rest)?;
        let far = |reading: &Reading| {
            let [first, second] = self.means;
            let mean = if reading.second { second } else { first };
            let dx = reading.x - mean.x;
            let free = 1.0 - 1.0 / mean.n - dx * dx / self.spread;
            let miss = reading.y - self.at(reading.x, reading.second);
            // A reading that alone decides the line cannot be off it.
            if free < 1e-9 {
                return 0.0;
            }
            let others = (self.squares - miss * miss / free) / f64::from(rest);
            let deviation = libm::fmax(libm::sqrt(libm::fmax(others, 0.0)), least);
            miss.abs() / (deviation * libm::sqrt(free))
        };
        let all = readings.iter().map(far).enumerate();
        let (index, farthest) = all.max_by(|(_, a), (_, b)| a.total_cmp(b))?;
        (farthest > point).then_some(index)
    }

    /// Standard errors of slope and offset for readings that scatter by `deviation`.
    ///
    /// deviation / sqrt(Sxx), and deviation sqrt(1/n + mean² / Sxx) or its like for the mean of two offsets.
    ///
    /// # Source
    /// Simple linear regression; textbooks of statistics.
    pub fn errors(&self, deviation: f64) -> (f64, f64) {
        (
            deviation / libm::sqrt(self.spread),
            deviation * libm::sqrt(self.offset_share),
        )
    }
}

/// Standard deviation of a handful of values about their mean; `None` for fewer than two.
///
/// # Source
/// sqrt(sum((x - mean)²) / (n - 1)); GUM (JCGM 100:2008) 4.2.2.
pub fn standard_deviation(values: &[f64]) -> Option<f64> {
    let n = values.iter().fold(0.0, |n, _| n + 1.0);
    // Counted from the first value, so that equal ones scatter by exactly 0.
    let first = values.first()?;
    let mean = first + values.iter().map(|x| x - first).sum::<f64>() / n;
    let squares: f64 = values.iter().map(|x| (x - mean) * (x - mean)).sum();
    (n > 1.5).then(|| libm::sqrt(squares / (n - 1.0)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::vec::Vec;

    fn readings(rows: &[(f64, f64, bool)]) -> Vec<Reading> {
        rows.iter()
            .map(|&(x, y, second)| Reading { x, y, second })
            .collect()
    }

    #[test]
    fn a_perfect_line_is_found_without_scatter() {
        let line = Line::fit(&readings(&[
            (0.0, 0.5, false),
            (50.0, 50.25, false),
            (100.0, 100.0, false),
        ]));
        let line = line.expect("two places");
        assert!((line.slope - 0.995).abs() < 1e-14 && (line.offset - 0.5).abs() < 1e-12);
        assert_eq!((line.freedom, line.apart), (1, None));
        assert!(line.deviation().is_some_and(|s| s < 1e-12));
    }

    #[test]
    fn two_directions_share_the_slope_and_stand_apart() {
        let rows = [
            (0.0, 0.0, false),
            (50.0, 50.0, false),
            (100.0, 100.0, false),
            (100.0, 100.12, true),
            (60.0, 60.12, true),
        ];
        let line = Line::fit(&readings(&rows)).expect("two places");
        assert!((line.slope - 1.0).abs() < 1e-14);
        assert!(line.apart.is_some_and(|apart| (apart - 0.12).abs() < 1e-12));
        assert!((line.offset - 0.06).abs() < 1e-12);
        assert_eq!(line.freedom, 2);
        for (x, y, second) in rows {
            assert!((line.at(x, second) - y).abs() < 1e-12);
        }
    }

    #[test]
    fn a_reading_that_the_others_do_not_bear_out_is_found() {
        let scatter = [0.01, -0.02, 0.015, 0.0, -0.01, 0.005, 0.01, -0.01];
        let rows = |slip: f64| -> Vec<Reading> {
            let places = scatter.iter().zip(0..8_u32).map(|(miss, i)| Reading {
                x: 20.0 * f64::from(i),
                y: 20.0 * f64::from(i) + miss + if i == 5 { slip } else { 0.0 },
                second: i % 2 == 1,
            });
            places.collect()
        };
        let found = |readings: &[Reading], least| {
            Line::fit(readings).and_then(|line| line.outlier(readings, least))
        };
        assert_eq!(found(&rows(0.0), 0.003), None);
        assert_eq!(found(&rows(1.0), 0.003), Some(5));
        assert_eq!(found(&rows(-1.0), 0.003), Some(5));
        // The instrument is too coarse to tell, or too few are left.
        assert_eq!(found(&rows(1.0), 0.3), None);
        assert_eq!(found(rows(9.0).get(2..6).unwrap_or(&[]), 0.003), None);
        // The line of the others says the same: the distance from it over its standard deviation there.
        let (all, without) = (rows(0.1), |index: usize| -> Vec<Reading> {
            let mut rest = rows(0.1);
            rest.remove(index);
            rest
        });
        let line = Line::fit(&all).expect("many places");
        for (index, reading) in all.iter().enumerate() {
            let rest = without(index);
            let other = Line::fit(&rest).expect("many places");
            let [first, second] = other.means;
            let mean = if reading.second { second } else { first };
            let dx = reading.x - mean.x;
            let share = 1.0 + 1.0 / mean.n + dx * dx / other.spread;
            let expected = (reading.y - other.at(reading.x, reading.second)).abs()
                / (other.deviation().expect("freedom") * libm::sqrt(share));
            let only = Line {
                means: line.means,
                ..line
            };
            let far = |least: f64| only.outlier(&all, least);
            // Just below and above the point of 5 degrees less one, 1 - 0.05/8: only the farthest decides.
            let point = two_sided(1.0 - 0.05 / 8.0, 4).expect("freedom");
            if index == 5 {
                assert_eq!(far(1e-9).is_some(), expected > point, "{expected} {point}");
            } else {
                assert!(expected < point, "{index}: {expected}");
            }
        }
    }

    #[test]
    fn one_place_gives_no_line() {
        assert_eq!(Line::fit(&[]), None);
        assert_eq!(
            Line::fit(&readings(&[(10.0, 1.0, false), (10.0, 2.0, false)])),
            None
        );
        assert_eq!(
            Line::fit(&readings(&[(0.0, 0.0, false), (100.0, 100.0, true)])),
            None
        );
    }

    #[test]
    fn one_reading_does_not_scatter() {
        assert_eq!(standard_deviation(&[1.0]), None);
        assert!(
            standard_deviation(&[1.0, 3.0]).is_some_and(|s| (s - libm::sqrt(2.0)).abs() < 1e-15)
        );
    }
}
