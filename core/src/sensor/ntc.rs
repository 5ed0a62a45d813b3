//! Thermistors whose resistance falls as they warm (NTC): the beta equation and the Steinhart-Hart equation.
//!
//! Beta: `1/T = 1/T25 + ln(R/r25)/beta`. Steinhart-Hart: `1/T = a + b ln R + c (ln R)^3`. T in kelvin, R in ohm. The
//! beta equation is Steinhart-Hart with `c = 0`.
//!
//! # Source
//! J. S. Steinhart, S. R. Hart, "Calibration curves for thermistors", Deep Sea Research 15 (1968) 497-503. The beta
//! equation: IEC 60539-1, "B-value".

use super::{T25_K, celsius, finite, kelvin, positive};

/// A thermistor by the beta equation.
///
/// # Example
/// ```
/// use layshaft_core::sensor::ntc::Beta;
/// let sensor = Beta { r25: 10_000.0, beta: 3435.0 };
/// assert!((sensor.temperature_c(10_000.0).unwrap() - 25.0).abs() < 1e-12);
/// assert_eq!(sensor.temperature_c(0.0), None);
/// ```
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Beta {
    /// Resistance at 25 °C, ohm, above 0.
    pub r25: f64,
    /// Beta, kelvin, above 0.
    pub beta: f64,
}

impl Beta {
    /// Temperature at a resistance: `1/T = 1/T25 + ln(R/r25)/beta`.
    ///
    /// Takes ohm above 0, gives °C. `None` where 1/T is not above 0, or r25 or beta is not.
    ///
    /// # Source
    /// IEC 60539-1, definition of the B-value, solved for T.
    pub fn temperature_c(&self, resistance_ohm: f64) -> Option<f64> {
        let ratio = positive(positive(resistance_ohm)? / positive(self.r25)?)?;
        let inverse = 1.0 / T25_K + libm::log(ratio) / positive(self.beta)?;
        celsius(1.0 / positive(inverse)?)
    }

    /// Resistance at a temperature: `R = r25 exp(beta (1/T - 1/T25))`.
    ///
    /// Takes °C above absolute zero, gives ohm. `None` where the resistance is too large or small for a number.
    ///
    /// # Source
    /// IEC 60539-1, definition of the B-value.
    pub fn resistance_ohm(&self, celsius: f64) -> Option<f64> {
        let exponent = positive(self.beta)? * (1.0 / kelvin(celsius)? - 1.0 / T25_K);
        positive(positive(self.r25)? * libm::exp(exponent))
    }

    /// Relative slope `d(ln R)/dT = -beta/T^2`, the temperature coefficient, below 0.
    ///
    /// Takes °C, gives 1/K; times 100 it is % per K.
    ///
    /// # Source
    /// Derivative of [`Beta::resistance_ohm`].
    pub fn relative_slope_per_k(&self, celsius: f64) -> Option<f64> {
        let kelvin = kelvin(celsius)?;
        finite(-positive(self.beta)? / kelvin / kelvin)
    }

    /// Slope `dR/dT = -R beta/T^2`, below 0.
    ///
    /// Takes °C, gives ohm/K.
    ///
    /// # Source
    /// Derivative of [`Beta::resistance_ohm`].
    pub fn slope_ohm_per_k(&self, celsius: f64) -> Option<f64> {
        finite(self.resistance_ohm(celsius)? * self.relative_slope_per_k(celsius)?)
    }

    /// The same curve as Steinhart-Hart coefficients: `a = 1/T25 - ln(r25)/beta`, `b = 1/beta`, `c = 0`.
    ///
    /// `None` where r25 or beta is not above 0.
    ///
    /// # Source
    /// The beta equation, sorted by powers of ln R.
    pub fn steinhart(&self) -> Option<Steinhart> {
        let b = positive(1.0 / positive(self.beta)?)?;
        let a = 1.0 / T25_K - libm::log(positive(self.r25)?) * b;
        Some(Steinhart { a, b, c: 0.0 })
    }
}

/// Beta between two temperatures: `beta = ln(R1/R2)/(1/T1 - 1/T2)`.
///
/// Takes two pairs of °C and ohm above 0, gives kelvin: 25 and 85 °C give B25/85. Below 0 where the resistance rises
/// with temperature. `None` for equal temperatures.
///
/// # Source
/// IEC 60539-1, definition of the B-value.
pub fn beta_between_k(first: (f64, f64), second: (f64, f64)) -> Option<f64> {
    let (first_c, first_ohm) = first;
    let (second_c, second_ohm) = second;
    let (first_k, second_k) = (kelvin(first_c)?, kelvin(second_c)?);
    let fall = libm::log(positive(first_ohm)?) - libm::log(positive(second_ohm)?);
    // 1/T1 - 1/T2 = (T2 - T1)/(T1 T2), which does not lose digits when the temperatures are close.
    finite(fall / (second_c - first_c) * first_k * second_k)
}

/// A thermistor by the Steinhart-Hart equation.
///
/// Any coefficients may stand here; where they make no falling curve the functions answer `None`. Only one stretch of
/// the curve is used, on which the resistance falls as temperature rises ([`Steinhart::falls_at`]).
///
/// # Example
/// ```
/// use layshaft_core::sensor::ntc::Steinhart;
/// let sensor = Steinhart { a: 1.0e-3, b: 2.4e-4, c: 1.5e-7 };
/// let ohm = sensor.resistance_ohm(200.0).unwrap();
/// assert!((sensor.temperature_c(ohm).unwrap() - 200.0).abs() < 1e-9);
/// assert_eq!(Steinhart { a: 1.0e-3, b: -2.4e-4, c: 0.0 }.resistance_ohm(200.0), None);
/// ```
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Steinhart {
    /// Coefficient of 1, in 1/K.
    pub a: f64,
    /// Coefficient of ln R, in 1/K.
    pub b: f64,
    /// Coefficient of (ln R)^3, in 1/K.
    pub c: f64,
}

impl Steinhart {
    /// Temperature at a resistance: `1/T = a + b ln R + c (ln R)^3`.
    ///
    /// Takes ohm above 0, gives °C. `None` where 1/T is not above 0, or the curve does not fall there.
    ///
    /// # Source
    /// Steinhart and Hart 1968, the equation without its square term.
    pub fn temperature_c(&self, resistance_ohm: f64) -> Option<f64> {
        let log = libm::log(positive(resistance_ohm)?);
        self.falls(log).then_some(())?;
        celsius(1.0 / positive(self.inverse_kelvin(log))?)
    }

    /// Resistance at a temperature: the root in ln R of `c x^3 + b x + a - 1/T = 0`.
    ///
    /// Takes °C above absolute zero, gives ohm. `None` where no resistance on the falling stretch has that temperature.
    ///
    /// # Source
    /// Cardano's formula for one real root, written without differences of nearly equal numbers; Newton's method where
    /// b or c is below 0.
    pub fn resistance_ohm(&self, celsius: f64) -> Option<f64> {
        positive(libm::exp(self.log_ohm(celsius)?))
    }

    /// Relative slope `d(ln R)/dT = -1/(T^2 (b + 3 c (ln R)^2))`, the temperature coefficient, below 0.
    ///
    /// Takes °C, gives 1/K; times 100 it is % per K.
    ///
    /// # Source
    /// Derivative of the Steinhart-Hart equation.
    pub fn relative_slope_per_k(&self, celsius: f64) -> Option<f64> {
        let kelvin = kelvin(celsius)?;
        let steepness = positive(self.steepness(self.log_ohm(celsius)?))?;
        finite(-1.0 / kelvin / kelvin / steepness)
    }

    /// Slope `dR/dT = R d(ln R)/dT`, below 0.
    ///
    /// Takes °C, gives ohm/K.
    ///
    /// # Source
    /// Derivative of the Steinhart-Hart equation.
    pub fn slope_ohm_per_k(&self, celsius: f64) -> Option<f64> {
        finite(self.resistance_ohm(celsius)? * self.relative_slope_per_k(celsius)?)
    }

    /// Whether the resistance falls with temperature at this resistance and everywhere between it and any other for
    /// which this is true.
    ///
    /// Takes ohm; false for ohm not above 0.
    ///
    /// # Source
    /// Sign of `d(1/T)/d(ln R) = b + 3 c (ln R)^2`. With c below 0 the stretch around 1 ohm is meant, with b below 0 the
    /// one of higher resistance.
    pub fn falls_at(&self, resistance_ohm: f64) -> bool {
        positive(resistance_ohm).is_some_and(|ohm| self.falls(libm::log(ohm)))
    }

    /// 1/T at ln R, of any sign.
    pub(super) fn inverse_kelvin(&self, log: f64) -> f64 {
        self.a + log * (self.b + self.c * log * log)
    }

    /// d(1/T)/d(ln R).
    fn steepness(&self, log: f64) -> f64 {
        self.b + 3.0 * self.c * log * log
    }

    /// Whether ln R lies on the falling stretch in use.
    pub(super) fn falls(&self, log: f64) -> bool {
        positive(self.steepness(log)).is_some() && (self.b >= 0.0 || log > 0.0)
    }

    /// ln R at a temperature.
    fn log_ohm(&self, celsius: f64) -> Option<f64> {
        let inverse = 1.0 / kelvin(celsius)?;
        let log = if self.b > 0.0 && self.c >= 0.0 {
            self.cardano(inverse)
        } else {
            self.newton(inverse)?
        };
        (log.is_finite() && self.falls(log)).then_some(log)
    }

    /// The one real root for b above 0 and c not below 0.
    ///
    /// With `x = X/s`, `s = sqrt(3 c/b)`, the cubic is `X^3 + 3 X + 2 g = 0`, `g = 1.5 s (a - 1/T)/b`, and Cardano gives
    /// `|X| = u - 1/u`, `u = cbrt(|g| + sqrt(g^2 + 1))`. As `u^3 - 1/u^3 = 2 |g|`, that difference is
    /// `2 |g|/(u^2 + 1 + 1/u^2)`: no digits are lost, and c = 0 needs no case of its own.
    fn cardano(&self, inverse: f64) -> f64 {
        let linear = (inverse - self.a) / self.b;
        let g = 1.5 * libm::sqrt(3.0 * self.c / self.b) * libm::fabs(linear);
        let u = libm::cbrt(g + libm::sqrt(g * g + 1.0));
        3.0 * linear / (u * u + 1.0 + 1.0 / (u * u))
    }

    /// The root on the falling stretch when b or c is not above 0.
    ///
    /// Starts where the curve bends away from the root, so that every step goes towards it and none beyond it.
    fn newton(&self, inverse: f64) -> Option<f64> {
        let mut log = if self.b > 0.0 {
            (inverse - self.a) / self.b
        } else if self.c > 0.0 {
            // x = sqrt|p| + cbrt|q| makes x^3 + p x + q not negative: above the root.
            libm::sqrt(-self.b / self.c) + libm::cbrt(libm::fabs((self.a - inverse) / self.c))
        } else {
            return None;
        };
        // At a turning point the root is double and each step only halves the error: 60 halvings use up an f64.
        for _ in 0..60 {
            let step = (self.inverse_kelvin(log) - inverse) / positive(self.steepness(log))?;
            log -= step;
            if libm::fabs(step) <= 1e-15 * libm::fabs(log) {
                break;
            }
        }
        // Where there is no root the steps lead nowhere; rounding leaves 1e-15 of the largest term.
        let rest = libm::fabs(self.inverse_kelvin(log) - inverse);
        let size = inverse + libm::fabs(self.a) + libm::fabs(self.b * log);
        (rest <= 1e-12 * size).then_some(log)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HALL: Steinhart = Steinhart {
        a: 8.574_782_110_509_28e-4,
        b: 2.568_106_286_612_06e-4,
        c: 1.688_597_558_018_58e-7,
    };

    fn near(found: Option<f64>, wanted: f64, tolerance: f64) {
        let found = found.expect("an answer");
        assert!(
            libm::fabs(found - wanted) <= tolerance,
            "{found} is not {wanted}"
        );
    }

    #[test]
    fn beta_has_r25_at_25_and_its_ratio_elsewhere() {
        let sensor = Beta {
            r25: 100_000.0,
            beta: 3950.0,
        };
        near(sensor.resistance_ohm(25.0), 100_000.0, 1e-9);
        near(sensor.temperature_c(100_000.0), 25.0, 1e-12);
        // ln(R) = beta/T + const: from 25 to 85 °C, R falls by exp(3950 * (1/298.15 - 1/358.15)).
        near(
            sensor.resistance_ohm(85.0),
            100_000.0 / libm::exp(3950.0 * 60.0 / (298.15 * 358.15)),
            1e-6,
        );
        near(
            sensor.relative_slope_per_k(25.0),
            -3950.0 / (298.15 * 298.15),
            1e-15,
        );
        near(
            beta_between_k(
                (25.0, 100_000.0),
                (85.0, sensor.resistance_ohm(85.0).expect("ohm")),
            ),
            3950.0,
            1e-9,
        );
    }

    #[test]
    fn beta_refuses_what_is_no_thermistor() {
        let sensor = Beta {
            r25: 100_000.0,
            beta: 3950.0,
        };
        for ohm in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(sensor.temperature_c(ohm), None);
        }
        for celsius in [-273.15, -300.0, f64::NAN, f64::INFINITY] {
            assert_eq!(sensor.resistance_ohm(celsius), None);
            assert_eq!(sensor.slope_ohm_per_k(celsius), None);
        }
        for broken in [
            Beta {
                r25: 0.0,
                beta: 3950.0,
            },
            Beta {
                r25: 1e5,
                beta: 0.0,
            },
            Beta {
                r25: 1e5,
                beta: -1.0,
            },
        ] {
            assert_eq!(broken.temperature_c(1000.0), None);
            assert_eq!(broken.resistance_ohm(50.0), None);
            assert_eq!(broken.steinhart(), None);
        }
        // exp overflows near absolute zero, and 1/T passes 0 at r25 exp(-beta/T25): both sides.
        assert_eq!(sensor.resistance_ohm(-270.0), None);
        let least = 100_000.0 * libm::exp(-3950.0 / T25_K);
        assert!(sensor.temperature_c(least * 1.0001).is_some());
        assert_eq!(sensor.temperature_c(least * 0.9999), None);
        assert_eq!(beta_between_k((25.0, 1e5), (25.0, 9e4)), None);
        assert_eq!(beta_between_k((25.0, 1e5), (85.0, 0.0)), None);
    }

    #[test]
    fn beta_as_steinhart_is_the_same_curve() {
        let sensor = Beta {
            r25: 10_000.0,
            beta: 3435.0,
        };
        let same = sensor.steinhart().expect("coefficients");
        for celsius in [-40.0, 0.0, 25.0, 100.0, 300.0] {
            let ohm = sensor.resistance_ohm(celsius).expect("ohm");
            near(same.resistance_ohm(celsius), ohm, 1e-12 * ohm);
            near(same.temperature_c(ohm), celsius, 1e-10);
            let slope = sensor.slope_ohm_per_k(celsius).expect("slope");
            near(same.slope_ohm_per_k(celsius), slope, -1e-12 * slope);
        }
    }

    #[test]
    fn slope_is_the_difference_quotient() {
        for celsius in [-30.0, 25.0, 150.0] {
            let ohm = |at| HALL.resistance_ohm(at).expect("ohm");
            // Central difference over 2 mK: its error is 1e-6 K^2 of the third derivative, 1e-9 of the slope.
            let quotient = (ohm(celsius + 1e-3) - ohm(celsius - 1e-3)) / 2e-3;
            near(
                HALL.slope_ohm_per_k(celsius),
                quotient,
                1e-7 * libm::fabs(quotient),
            );
        }
    }

    #[test]
    fn c_below_zero_is_used_up_to_where_the_curve_turns() {
        let bent = Steinhart {
            a: 5.5e-4,
            b: 2.5e-4,
            c: -3.4e-8,
        };
        let turn = libm::exp(libm::sqrt(bent.b / (3.0 * -bent.c)));
        assert!(bent.falls_at(turn * 0.999_999) && !bent.falls_at(turn * 1.000_001));
        assert!(bent.falls_at(1.0 / turn * 1.000_001) && !bent.falls_at(1.0 / turn * 0.999_999));
        let coldest = bent.temperature_c(turn * 0.999).expect("before the turn");
        near(bent.resistance_ohm(coldest), turn * 0.999, 1e-6 * turn);
        assert_eq!(bent.temperature_c(turn * 1.001), None);
        assert_eq!(bent.resistance_ohm(coldest - 0.1), None);
        near(
            bent.temperature_c(bent.resistance_ohm(200.0).expect("ohm")),
            200.0,
            1e-9,
        );
    }

    #[test]
    fn b_below_zero_is_used_above_its_turn() {
        let bent = Steinhart {
            a: 2.0e-3,
            b: -1.0e-4,
            c: 3.0e-6,
        };
        let turn = libm::exp(libm::sqrt(1.0e-4 / 9.0e-6));
        assert!(
            bent.falls_at(turn * 1.001) && !bent.falls_at(turn * 0.999) && !bent.falls_at(1e-6)
        );
        near(
            bent.temperature_c(bent.resistance_ohm(25.0).expect("ohm")),
            25.0,
            1e-9,
        );
        // 1/T is least at the turn: nothing is hotter.
        let hottest = bent.temperature_c(turn * 1.000_01).expect("above the turn");
        assert_eq!(bent.resistance_ohm(hottest + 1.0), None);
    }

    #[test]
    fn coefficients_without_a_falling_curve_have_no_answer() {
        for (a, b, c) in [
            (1e-3, 0.0, 0.0),
            (1e-3, -2e-4, 0.0),
            (1e-3, -2e-4, -1e-7),
            (1e-3, 0.0, -1e-7),
            (f64::NAN, 2e-4, 1e-7),
            (1e-3, f64::INFINITY, 1e-7),
            (1e-3, 2e-4, f64::NAN),
        ] {
            let none = Steinhart { a, b, c };
            assert_eq!(none.resistance_ohm(25.0), None, "{none:?}");
            assert_eq!(none.temperature_c(10_000.0), None, "{none:?}");
            assert_eq!(none.slope_ohm_per_k(25.0), None, "{none:?}");
        }
        assert_eq!(HALL.resistance_ohm(-273.15), None);
        assert_eq!(HALL.temperature_c(0.0), None);
        // 1/T passes 0 at a very low resistance.
        assert_eq!(Steinhart { c: 0.0, ..HALL }.temperature_c(0.01), None);
    }
}
