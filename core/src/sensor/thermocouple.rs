//! Thermocouples of type K: the reference polynomials of ITS-90, and their numerical inverse.
//!
//! `E = sum c_i t^i`, from 0 °C up plus `a0 exp(a1 (t - a2)^2)`; E in mV against a junction at 0 °C, t in °C.
//! The printed coefficients leave a step of 2e-9 mV at 0 °C, where E is 0 here.
//!
//! # Source
//! G. W. Burns et al., "Temperature-Electromotive Force Reference Functions and Tables for the Letter-Designated
//! Thermocouple Types Based on the ITS-90", NIST Monograph 175 (1993); NIST Standard Reference Database 60, type K.

/// Range of the reference function, °C. Source: NIST SRD 60, type K.
pub const LIMITS_C: (f64, f64) = (-270.0, 1372.0);

/// Coefficients from -270 to 0 °C, of t^0 and up, mV. Source: NIST SRD 60, type K.
const COLD: [f64; 11] = [
    0.0,
    0.394_501_280_250e-1,
    0.236_223_735_980e-4,
    -0.328_589_067_840e-6,
    -0.499_048_287_770e-8,
    -0.675_090_591_730e-10,
    -0.574_103_274_280e-12,
    -0.310_888_728_940e-14,
    -0.104_516_093_650e-16,
    -0.198_892_668_780e-19,
    -0.163_226_974_860e-22,
];

/// Coefficients from 0 to 1372 °C, of t^0 and up, mV. Source: NIST SRD 60, type K.
const HOT: [f64; 10] = [
    -0.176_004_136_860e-1,
    0.389_212_049_750e-1,
    0.185_587_700_320e-4,
    -0.994_575_928_740e-7,
    0.318_409_457_190e-9,
    -0.560_728_448_890e-12,
    0.560_750_590_590e-15,
    -0.320_207_200_030e-18,
    0.971_511_471_520e-22,
    -0.121_047_212_750e-25,
];

/// a0 mV, a1 1/K^2, a2 °C of the exponential from 0 to 1372 °C. Source: NIST SRD 60, type K.
const BUMP: (f64, f64, f64) = (0.118_597_6, -0.118_343_2e-3, 0.126_968_6e3);

/// Voltage of a type K thermocouple against a junction at 0 °C.
///
/// Takes °C within [`LIMITS_C`], gives mV; `None` beyond.
///
/// # Source
/// NIST SRD 60, type K, as the module.
///
/// # Example
/// ```
/// use layshaft_core::sensor::thermocouple::millivolts;
/// assert!((millivolts(100.0).unwrap() - 4.096).abs() < 0.0005);
/// assert_eq!(millivolts(1400.0), None);
/// ```
pub fn millivolts(celsius: f64) -> Option<f64> {
    evaluate(celsius).map(|(millivolts, _)| millivolts)
}

/// Slope dE/dT of a type K thermocouple, its Seebeck coefficient, above 0.
///
/// Takes °C within [`LIMITS_C`], gives mV/K; `None` beyond.
///
/// # Source
/// Derivative of the reference function.
pub fn slope_mv_per_k(celsius: f64) -> Option<f64> {
    evaluate(celsius).map(|(_, slope)| slope)
}

/// Temperature of the hot junction, to 1e-9 K, from the voltage against a junction at 0 °C.
///
/// Takes mV, -6.458 to 54.886, gives °C; `None` beyond.
///
/// # Source
/// The reference function, inverted by Newton's method held between two sides that enclose the root.
///
/// # Example
/// ```
/// use layshaft_core::sensor::thermocouple::temperature_c;
/// assert!((temperature_c(8.138).unwrap() - 200.0).abs() < 0.02);
/// assert_eq!(temperature_c(60.0), None);
/// ```
pub fn temperature_c(millivolts: f64) -> Option<f64> {
    let (mut low, mut high) = if millivolts <= 0.0 {
        (LIMITS_C.0, 0.0)
    } else {
        (0.0, LIMITS_C.1)
    };
    let inside = evaluate(low)?.0 <= millivolts && millivolts <= evaluate(high)?.0;
    inside.then_some(())?;
    let mut celsius = 0.5 * (low + high);
    for _ in 0..100 {
        let (here, slope) = evaluate(celsius)?;
        if here > millivolts {
            high = celsius;
        } else {
            low = celsius;
        }
        let newton = celsius - (here - millivolts) / slope;
        let next = if low <= newton && newton <= high {
            newton
        } else {
            0.5 * (low + high)
        };
        let step = libm::fabs(next - celsius);
        celsius = next;
        if step < 1e-11 {
            break;
        }
    }
    Some(celsius)
}

/// Voltage at the terminals, with the cold junction at its own temperature: `E(hot) - E(cold)`.
///
/// Takes °C within [`LIMITS_C`], gives mV.
///
/// # Source
/// Law of intermediate temperatures, common practice.
pub fn terminal_mv(hot_c: f64, cold_c: f64) -> Option<f64> {
    Some(millivolts(hot_c)? - millivolts(cold_c)?)
}

/// Temperature of the hot junction from the voltage at the terminals: the inverse of `E(hot) = U + E(cold)`.
///
/// Takes mV and °C, gives °C; `None` where either end leaves the range.
///
/// # Source
/// As [`terminal_mv`].
pub fn hot_junction_c(terminal_mv: f64, cold_c: f64) -> Option<f64> {
    temperature_c(terminal_mv + millivolts(cold_c)?)
}

/// Voltage in mV and slope in mV/K.
fn evaluate(celsius: f64) -> Option<(f64, f64)> {
    if !(LIMITS_C.0 <= celsius && celsius <= LIMITS_C.1) {
        return None;
    }
    if celsius <= 0.0 {
        return Some(polynomial(&COLD, celsius));
    }
    let (value, slope) = polynomial(&HOT, celsius);
    let (a0, a1, a2) = BUMP;
    let away = celsius - a2;
    let bump = a0 * libm::exp(a1 * away * away);
    Some((value + bump, slope + 2.0 * a1 * away * bump))
}

/// Value and derivative by Horner's rule.
fn polynomial(coefficients: &[f64], at: f64) -> (f64, f64) {
    coefficients
        .iter()
        .rev()
        .fold((0.0, 0.0), |(value, slope), &next| {
            (value * at + next, slope * at + value)
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_two_ranges_meet_at_zero() {
        assert_eq!(millivolts(0.0), Some(0.0));
        // The printed coefficients leave a step of 2e-9 mV, 5e-8 K.
        let above = millivolts(f64::MIN_POSITIVE).expect("in range");
        assert!(libm::fabs(above) < 3e-9, "{above}");
        let (below, above) = (
            slope_mv_per_k(0.0).expect("slope"),
            slope_mv_per_k(1e-9).expect("slope"),
        );
        assert!(libm::fabs(below - above) < 1e-6, "{below} {above}");
    }

    #[test]
    fn both_ends_of_the_range_are_in_it() {
        for end in [LIMITS_C.0, LIMITS_C.1] {
            let millivolts = millivolts(end).expect("in range");
            assert!(temperature_c(millivolts).is_some_and(|found| libm::fabs(found - end) < 1e-9));
        }
        for beyond in [-270.001, 1372.001, f64::NAN, f64::INFINITY] {
            assert_eq!(millivolts(beyond), None);
            assert_eq!(slope_mv_per_k(beyond), None);
        }
        for beyond in [-6.4578, 54.8864, f64::NAN, f64::NEG_INFINITY] {
            assert_eq!(temperature_c(beyond), None);
        }
    }

    #[test]
    fn the_cold_junction_is_added_back() {
        let shown = terminal_mv(200.0, 25.0).expect("in range");
        assert!(libm::fabs(shown - (8.138 - 1.000)) < 0.001);
        assert!(hot_junction_c(shown, 25.0).is_some_and(|hot| libm::fabs(hot - 200.0) < 1e-9));
        assert_eq!(terminal_mv(200.0, 25.0).map(|mv| mv > 0.0), Some(true));
        assert_eq!(terminal_mv(1400.0, 25.0), None);
        assert_eq!(hot_junction_c(54.886, 25.0), None);
        assert_eq!(hot_junction_c(1.0, f64::NAN), None);
    }
}
