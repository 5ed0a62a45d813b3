//! The curves of sensors from their description, each both ways round.

/// 0 degrees C in kelvin.
pub(crate) const ZERO: f64 = 273.15;

/// A curve of resistance against temperature, both ways round.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Curve {
    /// 1/T = 1/298.15 + ln(R/R25)/beta.
    Beta(f64, f64),
    /// 1/T = a + b ln R + c (ln R)^3.
    Steinhart(f64, f64, f64),
    /// IEC 60751 of this R0.
    Platinum(f64),
}

impl Curve {
    pub(crate) fn celsius(self, ohms: f64) -> Option<f64> {
        let t = match self {
            Self::Beta(r25, beta) => beta / (ohms / (r25 * (-beta / 298.15).exp())).ln() - ZERO,
            Self::Steinhart(a, b, c) => {
                1.0 / (a + ohms.ln() * (b + c * ohms.ln() * ohms.ln())) - ZERO
            }
            Self::Platinum(_) => return between(-200.0, 850.0, |t| self.ohms(t) - ohms),
        };
        (t.is_finite() && t > -ZERO).then_some(t)
    }

    pub(crate) fn ohms(self, celsius: f64) -> f64 {
        let kelvin = celsius + ZERO;
        match self {
            Self::Beta(r25, beta) => r25 * (beta / kelvin - beta / 298.15).exp(),
            // ln R by halving: 1/T rises with ln R.
            Self::Steinhart(a, b, c) => {
                between(-40.0, 60.0, |l| a + b * l + c * l * l * l - 1.0 / kelvin)
                    .map_or(f64::NAN, f64::exp)
            }
            Self::Platinum(r0) => {
                // IEC 60751, clause 4.2; the coefficients from memory.
                let (a, b, c) = (3.9083e-3, -5.775e-7, -4.183e-12);
                let below = if celsius < 0.0 {
                    c * (celsius - 100.0) * celsius.powi(3)
                } else {
                    0.0
                };
                r0 * (1.0 + a * celsius + b * celsius * celsius + below)
            }
        }
    }

    /// Kelvins for each ohm: the slope by a difference, over steps so small that the curve is straight.
    pub(crate) fn slope(self, celsius: f64) -> f64 {
        // Richardson: the error of a central difference is even in the step, two steps cancel its first term.
        let by = |h: f64| (self.ohms(celsius + h) - self.ohms(celsius - h)) / (2.0 * h);
        let (one, two) = (by(0.01), by(0.02));
        3.0 / (4.0 * one - two)
    }
}

/// The zero of a rising function by halving.
pub(crate) fn between(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> Option<f64> {
    if f(low) > 0.0 || f(high) < 0.0 {
        return None;
    }
    for _ in 0..200 {
        let middle = low + (high - low) / 2.0;
        if f(middle) > 0.0 {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(low + (high - low) / 2.0)
}

/// E(t) in mV of type K: the ITS-90 reference functions as the NIST monograph 175 gives them; typed from memory.
pub(crate) fn type_k(t: f64) -> f64 {
    const BELOW: [f64; 11] = [
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
    const ABOVE: [f64; 10] = [
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
    let sum = |list: &[f64]| list.iter().rev().fold(0.0, |sum, c| sum * t + c);
    if t < 0.0 {
        sum(&BELOW)
    } else {
        sum(&ABOVE)
            + 0.118_597_600_000 * (-0.118_343_200_000e-3 * (t - 126.968_6) * (t - 126.968_6)).exp()
    }
}

pub(crate) fn coefficients(curve: Curve) -> (f64, f64, f64) {
    match curve {
        Curve::Beta(r25, beta) => (1.0 / 298.15 - r25.ln() / beta, 1.0 / beta, 0.0),
        Curve::Steinhart(a, b, c) => (a, b, c),
        Curve::Platinum(_) => (0.0, 0.0, 0.0),
    }
}

/// Least squares of 1/T on 1, ln R and (ln R)^3 by a QR decomposition (modified Gram-Schmidt, twice).
#[expect(
    clippy::indexing_slicing,
    reason = "three columns, as many as the arrays have"
)]
pub(crate) fn least_squares(points: &[(f64, f64)]) -> Curve {
    let n = points.len();
    let mut y: Vec<f64> = points.iter().map(|(t, _)| 1.0 / (t + ZERO)).collect();
    let columns: [Vec<f64>; 3] =
        [0, 1, 3].map(|power| points.iter().map(|(_, r)| r.ln().powi(power)).collect());
    let mut q: Vec<Vec<f64>> = Vec::new();
    let mut upper = [[0.0_f64; 3]; 3];
    for (j, column) in columns.iter().enumerate() {
        let mut v = column.clone();
        for _ in 0..2 {
            for (i, unit) in q.iter().enumerate() {
                let along: f64 = unit.iter().zip(&v).map(|(a, b)| a * b).sum();
                upper[i][j] += along;
                v.iter_mut().zip(unit).for_each(|(x, u)| *x -= along * u);
            }
        }
        let length = v.iter().map(|x| x * x).sum::<f64>().sqrt();
        upper[j][j] = length;
        q.push(v.iter().map(|x| x / length).collect());
    }
    let mut right = [0.0; 3];
    for (i, unit) in q.iter().enumerate() {
        right[i] = unit.iter().zip(&y).map(|(a, b)| a * b).sum();
        let along = right[i];
        y.iter_mut().zip(unit).for_each(|(x, u)| *x -= along * u);
    }
    assert_eq!(n, y.len());
    let c = right[2] / upper[2][2];
    let b = (right[1] - upper[1][2] * c) / upper[1][1];
    let a = (right[0] - upper[0][1] * b - upper[0][2] * c) / upper[0][0];
    Curve::Steinhart(a, b, c)
}
