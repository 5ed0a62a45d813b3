//! How far a temperature read through a divider can be trusted.
//!
//! Each half width of an entry becomes a term in kelvin, to first order: `|dT/dx| dx`. The entries are independent and
//! anywhere within their half widths (rectangular).
//!
//! # Source
//! JCGM 100:2008 (GUM): standard uncertainty of a rectangular distribution, u = half/sqrt 3, section 4.3.7, equation
//! (7); sensitivity coefficients, section 5.1.3; combination of independent terms, section 5.1.2, equation (10);
//! expanded uncertainty U = k u, section 6.2.1, equation (18), with k = 2, section 6.3.3.

use super::divider::Divider;
use super::{Curve, T25_K, finite, kelvin};

/// Half widths of what a reading rests on, each not below 0.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct HalfWidths {
    /// Of the sensor's resistance, in percent of it.
    pub resistance_percent: f64,
    /// Of beta, in percent of it; without effect on other curves.
    pub beta_percent: f64,
    /// Of the pull-up, in percent of it.
    pub pullup_percent: f64,
    /// Of the count.
    pub counts: f64,
}

/// What each half width does to the temperature, K, not below 0.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Terms {
    /// By the sensor's resistance.
    pub resistance_k: f64,
    /// By beta.
    pub beta_k: f64,
    /// By the pull-up.
    pub pullup_k: f64,
    /// By the count.
    pub count_k: f64,
}

impl Terms {
    /// The terms at a temperature.
    ///
    /// Takes °C and, where the sensor is read by one, its divider; without it the terms of pull-up and count are 0.
    /// `None` where the curve or the divider has no slope, and for a thermocouple.
    ///
    /// - resistance: `R p/100 / |dR/dT|`
    /// - beta: `T |1 - T/T25| p/100`, from `dT/dbeta = T^2 ln(R/r25)/beta^2` at a resistance that stays
    /// - pull-up: `(R + series) p/100 / |dR/dT|`
    /// - count: `counts / (dcount/dR |dR/dT|)`
    ///
    /// # Source
    /// JCGM 100:2008, section 5.1.3.
    pub fn at(
        celsius: f64,
        curve: &Curve,
        divider: Option<&Divider>,
        half: &HalfWidths,
    ) -> Option<Self> {
        let resistance_ohm = curve.resistance_ohm(celsius)?;
        let slope = libm::fabs(curve.slope_ohm_per_k(celsius)?);
        let mut terms = Self {
            resistance_k: finite(resistance_ohm * half.resistance_percent / 100.0 / slope)?,
            ..Self::default()
        };
        if let Curve::Beta { .. } = curve {
            let kelvin = kelvin(celsius)?;
            terms.beta_k =
                finite(kelvin * libm::fabs(1.0 - kelvin / T25_K) * half.beta_percent / 100.0)?;
        }
        if let Some(divider) = divider {
            let pullup_ohm = divider.pullup_ohm() * half.pullup_percent / 100.0;
            terms.pullup_k =
                finite(pullup_ohm * divider.ohm_per_pullup_ohm(resistance_ohm)? / slope)?;
            terms.count_k = finite(half.counts * per_count_k(celsius, curve, divider)?)?;
        }
        // Terms that are numbers may still have squares that are none.
        finite(terms.expanded_k() + terms.worst_k())?;
        Some(terms)
    }

    /// Each term, in the order of the fields.
    pub const fn each(&self) -> [f64; 4] {
        [self.resistance_k, self.beta_k, self.pullup_k, self.count_k]
    }

    /// Expanded uncertainty, K: `2 sqrt(sum term^2/3)`, about 95 % of readings are this close.
    ///
    /// # Source
    /// JCGM 100:2008, equations (7), (10) and (18), k = 2.
    pub fn expanded_k(&self) -> f64 {
        2.0 * libm::sqrt(self.each().iter().map(|term| term * term / 3.0).sum())
    }

    /// Worst case, K: the sum of the terms, all wrong the same way at once.
    ///
    /// # Source
    /// First order; bound of the sum by the triangle inequality.
    pub fn worst_k(&self) -> f64 {
        self.each().iter().sum()
    }
}

/// Temperature of one count, K, a magnitude: `1/(dcount/dR |dR/dT|)`.
///
/// Takes °C. `None` where the curve or the divider has no slope, and for a thermocouple.
///
/// # Source
/// Chain rule.
pub fn per_count_k(celsius: f64, curve: &Curve, divider: &Divider) -> Option<f64> {
    let per_ohm = divider.counts_per_ohm(curve.resistance_ohm(celsius)?)?;
    finite(1.0 / per_ohm / libm::fabs(curve.slope_ohm_per_k(celsius)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    const BED: Curve = Curve::Beta {
        r25: 100_000.0,
        beta: 3950.0,
    };
    const HALF: HalfWidths = HalfWidths {
        resistance_percent: 1.0,
        beta_percent: 1.0,
        pullup_percent: 1.0,
        counts: 1.0,
    };

    fn divider() -> Divider {
        Divider::new(4700.0, 100.0, 12, 3.3).expect("a divider")
    }

    #[test]
    fn a_rectangle_of_half_width_0_40_has_u_0_23() {
        // JCGM 100:2008, section 4.3.7, example 1 (copper, +-0.40e-6 1/K, u = 0.23e-6 1/K), from memory.
        let terms = Terms {
            count_k: 0.40,
            ..Terms::default()
        };
        assert!(libm::fabs(terms.expanded_k() / 2.0 - 0.23) < 0.005);
        assert!(libm::fabs(terms.worst_k() - 0.40) < 1e-15);
    }

    #[test]
    fn beta_has_no_part_at_25_and_the_whole_share_far_away() {
        let at = |celsius| Terms::at(celsius, &BED, None, &HALF).expect("terms");
        assert!(at(25.0).beta_k < 1e-12);
        // dT/dbeta by a difference, at the resistance of 200 °C.
        let ohm = BED.resistance_ohm(200.0).expect("ohm");
        let other = Curve::Beta {
            r25: 100_000.0,
            beta: 3950.0 * 1.000_01,
        };
        let moved = libm::fabs(other.temperature_c(ohm).expect("celsius") - 200.0);
        assert!(libm::fabs(at(200.0).beta_k - moved * 1000.0) < 1e-3 * at(200.0).beta_k);
        assert!(at(200.0).pullup_k == 0.0 && at(200.0).count_k == 0.0);
    }

    #[test]
    fn terms_are_what_moving_each_entry_does() {
        let (divider, celsius) = (divider(), 180.0);
        let terms = Terms::at(celsius, &BED, Some(&divider), &HALF).expect("terms");
        let ohm = BED.resistance_ohm(celsius).expect("ohm");
        let count = divider.count(ohm).expect("count");
        let moved = |ohm: f64| libm::fabs(BED.temperature_c(ohm).expect("celsius") - celsius);
        let other = Divider::new(4700.0 * 1.000_01, 100.0, 12, 3.3).expect("a divider");
        let by_pullup = moved(other.resistance_from_count(count).expect("ohm")) * 1000.0;
        assert!(libm::fabs(terms.pullup_k - by_pullup) < 1e-3 * by_pullup);
        let by_count = moved(divider.resistance_from_count(count + 0.001).expect("ohm")) * 1000.0;
        assert!(libm::fabs(terms.count_k - by_count) < 1e-3 * by_count);
        let by_ohm = moved(ohm * 1.000_01) * 1000.0;
        assert!(libm::fabs(terms.resistance_k - by_ohm) < 1e-3 * by_ohm);
        assert!(
            per_count_k(celsius, &BED, &divider)
                .is_some_and(|per| libm::fabs(per - terms.count_k) < 1e-15)
        );
    }

    #[test]
    fn terms_add_as_squares_and_at_worst_as_they_are() {
        let terms = Terms {
            resistance_k: 3.0,
            beta_k: 4.0,
            pullup_k: 12.0,
            count_k: 0.0,
        };
        assert!(libm::fabs(terms.expanded_k() - 2.0 * 13.0 / libm::sqrt(3.0)) < 1e-14);
        assert!(libm::fabs(terms.worst_k() - 19.0) < 1e-15);
    }

    #[test]
    fn no_curve_no_terms() {
        assert_eq!(Terms::at(100.0, &Curve::ThermocoupleK, None, &HALF), None);
        assert_eq!(Terms::at(-300.0, &BED, None, &HALF), None);
        assert_eq!(per_count_k(100.0, &Curve::ThermocoupleK, &divider()), None);
        assert_eq!(
            Terms::at(
                100.0,
                &BED,
                None,
                &HalfWidths {
                    resistance_percent: f64::NAN,
                    ..HALF
                }
            ),
            None
        );
    }
}
