//! Which sensor fits a few readings: candidates, chi-square, and the reading that would tell more.
//!
//! Each reading is a temperature with its error and a resistance with the meter's; both are half widths of a rectangle,
//! so that their standard uncertainty is a root-three part. A candidate's misses, each over its own standard uncertainty,
//! add up to chi-square.

use crate::sensor::Curve;
use crate::sensor::T25_K;

/// A sensor that may be it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Candidate<'a> {
    /// What it is: "NTC 100k B 3950".
    pub name: &'a str,
    /// Its curve.
    pub curve: Curve,
}

/// A thermistor by R25 and beta.
const fn ntc(name: &'static str, r25: f64, beta: f64) -> Candidate<'static> {
    Candidate {
        name,
        curve: Curve::Beta { r25, beta },
    }
}

/// A platinum sensor by R0.
const fn platinum(name: &'static str, r0: f64) -> Candidate<'static> {
    Candidate {
        name,
        curve: Curve::Platinum { r0 },
    }
}

/// The sensors that such machines are built with.
///
/// # Source
/// Platinum: IEC 60751. Thermistors: R25 and beta as makers' data sheets give them; from memory unless said. 100k 3950
/// and 10k 3950: glass beads of many makers, common practice. 100k 4092: EPCOS B57560G1104 (B25/100). 100k 4267: Semitec
/// 104GT-2 (B25/85). 10k 3435: Semitec 103AT-2 (B25/85), and Murata NCP15XH103, whose B25/50 is 3380. 47k 4050: Murata
/// NCP15WB473 (B25/50). 4k7 3977: Vishay NTCLE100E3472 (B25/85). 50k 3950 and 5k 3470: glass beads, common practice.
pub const BUILT_IN: [Candidate<'static>; 12] = [
    ntc("NTC 100k B 3950", 100e3, 3950.0),
    ntc("NTC 100k B 4092", 100e3, 4092.0),
    ntc("NTC 100k B 4267", 100e3, 4267.0),
    ntc("NTC 50k B 3950", 50e3, 3950.0),
    ntc("NTC 47k B 4050", 47e3, 4050.0),
    ntc("NTC 10k B 3435", 10e3, 3435.0),
    ntc("NTC 10k B 3950", 10e3, 3950.0),
    ntc("NTC 5k B 3470", 5e3, 3470.0),
    ntc("NTC 4k7 B 3977", 4.7e3, 3977.0),
    platinum("Pt1000", 1000.0),
    platinum("Pt500", 500.0),
    platinum("Pt100", 100.0),
];

/// One reading.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Reading {
    /// Temperature, °C.
    pub celsius: f64,
    /// Half width of its error, K.
    pub error_k: f64,
    /// Resistance without the test leads, ohm, above 0.
    pub ohm: f64,
}

/// Standard uncertainty of ln R: `sqrt((meter/sqrt 3)² + (slope error/sqrt 3)²)`.
///
/// `meter` is the meter's half width as a share of the reading, `slope` d(ln R)/dT in 1/K, `error_k` in K.
///
/// # Source
/// GUM (JCGM 100:2008), 4.3.7 and 5.1.2: rectangular half widths, first order.
pub fn log_uncertainty(meter: f64, slope: f64, error_k: f64) -> f64 {
    let by_temperature = slope * error_k;
    libm::sqrt((meter * meter + by_temperature * by_temperature) / 3.0)
}

/// ln R and its slope in 1/K of a curve.
fn log_and_slope(curve: &Curve, celsius: f64) -> Option<(f64, f64)> {
    let ohm = curve.resistance_ohm(celsius)?;
    Some((libm::log(ohm), curve.slope_ohm_per_k(celsius)? / ohm))
}

/// Sum of the squared misses of a curve, each over its standard uncertainty.
///
/// `meter` as a share. `None` where the curve has no resistance at a reading, or no error is given at all.
///
/// # Source
/// Definition of chi-square.
pub fn chi_square(readings: &[Reading], meter: f64, curve: &Curve) -> Option<f64> {
    let mut sum = 0.0;
    for reading in readings {
        let (log, slope) = log_and_slope(curve, reading.celsius)?;
        let miss = (libm::log(reading.ohm) - log) / log_uncertainty(meter, slope, reading.error_k);
        sum += miss * miss;
    }
    sum.is_finite().then_some(sum)
}

/// Chance that chi-square of `count` true readings is at least so large.
///
/// # Source
/// The upper tail of the chi-square distribution, 1 - P(count/2, chi2/2), by the series of the incomplete gamma function
/// (NIST DLMF 8.7.1 and 8.2.4).
pub fn tail(chi_square: f64, count: usize) -> f64 {
    let (mut a, mut gamma) = (0.5, SQRT_PI / 2.0);
    // Gamma(count/2 + 1), from Gamma(3/2) or Gamma(2) upwards.
    if count.is_multiple_of(2) {
        (a, gamma) = (1.0, 1.0);
    }
    let half = (0..count).map(|_| 0.5).sum::<f64>();
    while a + 0.75 < half {
        a += 1.0;
        gamma *= a;
    }
    let x = chi_square / 2.0;
    // Far out the series would only add up to 1 less rounding.
    if x > 20.0 * half + 100.0 {
        return 0.0;
    }
    let (mut term, mut sum, mut k) = (1.0, 1.0, a);
    while term > 1e-17 * sum {
        k += 1.0;
        term *= x / k;
        sum += term;
    }
    1.0 - libm::exp(a * libm::log(x.max(f64::MIN_POSITIVE)) - x) / gamma * sum
}

/// The square root of pi, Gamma(1/2).
const SQRT_PI: f64 = 1.772_453_850_905_516;

/// R25 and beta nearest to the readings.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct BetaFit {
    /// Beta, K; below 0 for a sensor whose resistance rises.
    pub beta_k: f64,
    /// Its expanded uncertainty, K, k = 2.
    pub beta_u_k: f64,
    /// Resistance at 25 °C, ohm.
    pub r25_ohm: f64,
}

/// The least-squares line of ln R over 1/T, each reading weighted by its uncertainty.
///
/// `meter` as a share. `None` for fewer than two different temperatures, or no error given at all.
///
/// # Source
/// Weighted least squares; uncertainty by the GUM (JCGM 100:2008), 5.1.2, of the slope; the weights' own slope is that
/// of the line, found by repeating.
pub fn fit_beta(readings: &[Reading], meter: f64) -> Option<BetaFit> {
    let x = |reading: &Reading| 1.0 / (reading.celsius + 273.15) - 1.0 / T25_K;
    let mut beta = 0.0;
    let mut fit = None;
    // The weights change little with beta: a dozen rounds settle every digit.
    for _ in 0..12 {
        let (mut w_sum, mut x_sum, mut y_sum) = (0.0, 0.0, 0.0);
        let weight = |reading: &Reading| {
            let kelvin = reading.celsius + 273.15;
            let u = log_uncertainty(meter, beta / kelvin / kelvin, reading.error_k);
            1.0 / (u * u)
        };
        for reading in readings {
            let w = if fit.is_none() { 1.0 } else { weight(reading) };
            w_sum += w;
            x_sum += w * x(reading);
            y_sum += w * libm::log(reading.ohm);
        }
        let (x_mean, y_mean) = (x_sum / w_sum, y_sum / w_sum);
        let (mut xx, mut xy, mut size) = (0.0, 0.0, 0.0);
        for reading in readings {
            let w = if fit.is_none() { 1.0 } else { weight(reading) };
            let away = x(reading) - x_mean;
            xx += w * away * away;
            xy += w * away * (libm::log(reading.ohm) - y_mean);
            size += w * 1e-10;
        }
        // Temperatures a thousandth of a kelvin apart tell nothing of a slope: 1e-5 of 1/T each.
        if !(xx.is_finite() && xx > size * 1e-6) {
            return None;
        }
        beta = xy / xx;
        fit = Some(BetaFit {
            beta_k: beta,
            beta_u_k: 2.0 / libm::sqrt(xx),
            r25_ohm: libm::exp(y_mean - beta * x_mean),
        });
    }
    fit.filter(|fit| fit.beta_k.is_finite() && fit.beta_u_k.is_finite())
}

/// The temperature from 0 to 100 °C, in whole degrees, at which two curves are furthest apart for a reading's errors.
///
/// `meter` as a share, `error_k` of the reading to come. `None` when the curves are the same there.
///
/// # Source
/// The largest chi-square that one curve's true reading would have by the other.
pub fn best_reading_c(first: &Curve, second: &Curve, meter: f64, error_k: f64) -> Option<f64> {
    let mut best = None;
    let mut most = 1e-6;
    for degrees in 0..=100_u8 {
        let celsius = f64::from(degrees);
        let apart = log_and_slope(first, celsius)
            .zip(log_and_slope(second, celsius))
            .map(|((a, slope), (b, _))| libm::fabs(a - b) / log_uncertainty(meter, slope, error_k));
        if let Some(apart) = apart
            && apart > most
        {
            (most, best) = (apart, Some(celsius));
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::vec::Vec;

    fn readings(curve: &Curve, at: &[f64]) -> Vec<Reading> {
        at.iter()
            .map(|&celsius| Reading {
                celsius,
                error_k: 1.0,
                ohm: curve.resistance_ohm(celsius).expect("on its curve"),
            })
            .collect()
    }

    #[test]
    fn each_candidate_is_the_best_for_its_own_readings() {
        for (i, own) in BUILT_IN.iter().enumerate() {
            let readings = readings(&own.curve, &[0.0, 100.0]);
            for (j, other) in BUILT_IN.iter().enumerate() {
                let chi = chi_square(&readings, 0.01, &other.curve).expect("both have one");
                assert_eq!(chi < 1e-20, i == j, "{} by {}", own.name, other.name);
            }
        }
    }

    #[test]
    fn a_miss_of_one_standard_uncertainty_is_one() {
        let curve = Curve::Beta {
            r25: 100e3,
            beta: 3950.0,
        };
        let slope = 3950.0 / (298.15 * 298.15);
        let u = libm::sqrt(1e-4 / 3.0 + slope * slope / 3.0);
        let reading = Reading {
            celsius: 25.0,
            error_k: 1.0,
            ohm: 100e3 * libm::exp(u),
        };
        let chi = chi_square(&[reading], 0.01, &curve).expect("one");
        assert!(libm::fabs(chi - 1.0) < 1e-12);
        // Without any error nothing can be told.
        let exact = Reading {
            error_k: 0.0,
            ..reading
        };
        assert_eq!(chi_square(&[exact], 0.0, &curve), None);
    }

    #[test]
    fn tails_are_those_of_the_tables() {
        // Upper 1 % and 5 % points; M. Abramowitz, I. Stegun, Handbook of Mathematical Functions, Table 26.8.
        for (count, one, five) in [
            (1, 6.634_90, 3.841_46),
            (2, 9.210_34, 5.991_47),
            (3, 11.344_9, 7.814_73),
            (4, 13.276_7, 9.487_73),
            (10, 23.209_3, 18.307_0),
            (30, 50.892_2, 43.773_0),
        ] {
            assert!(libm::fabs(tail(one, count) - 0.01) < 1e-6, "{count}");
            assert!(libm::fabs(tail(five, count) - 0.05) < 1e-6, "{count}");
        }
        assert!(tail(0.0, 3) > 1.0 - 1e-12);
        assert!(tail(1e9, 3) < 1e-12 && tail(250.0, 1) < 1e-12);
    }

    #[test]
    fn beta_comes_back_from_its_own_readings() {
        let curve = Curve::Beta {
            r25: 10e3,
            beta: 3435.0,
        };
        let fit = fit_beta(&readings(&curve, &[0.0, 20.0, 100.0]), 0.01).expect("a fit");
        assert!(libm::fabs(fit.beta_k - 3435.0) < 1e-8);
        assert!(libm::fabs(fit.r25_ohm - 10e3) < 1e-8);
        let one = readings(&curve, &[20.0, 20.0]);
        assert_eq!(fit_beta(&one, 0.01), None);
        assert_eq!(fit_beta(&[], 0.01), None);
    }

    #[test]
    fn the_uncertainty_of_beta_by_hand() {
        // Two readings: u(beta)² = (u1² + u2²)/(x1 - x2)².
        let curve = Curve::Beta {
            r25: 100e3,
            beta: 3950.0,
        };
        let two = readings(&curve, &[0.0, 100.0]);
        let fit = fit_beta(&two, 0.02).expect("a fit");
        let u = |kelvin: f64| log_uncertainty(0.02, 3950.0 / kelvin / kelvin, 1.0);
        let apart = 1.0 / 273.15 - 1.0 / 373.15;
        let expected = 2.0 * libm::sqrt(u(273.15) * u(273.15) + u(373.15) * u(373.15)) / apart;
        assert!(libm::fabs(fit.beta_u_k - expected) < 1e-9 * expected);
    }

    #[test]
    fn equal_curves_need_no_reading() {
        let [first, second, ..] = BUILT_IN;
        let next = best_reading_c(&first.curve, &second.curve, 0.01, 1.0);
        assert_eq!(next, Some(100.0));
        assert_eq!(best_reading_c(&first.curve, &first.curve, 0.01, 1.0), None);
    }
}
