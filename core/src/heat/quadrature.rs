//! Integrals of smooth functions, to nearly the last digit.

/// Nodes on 0..1 and weights of the ten-point rule on -1..1, each standing for its mirror image too.
///
/// # Source
/// Gauss-Legendre; NIST Digital Library of Mathematical Functions, Table 3.5.2 (n = 10).
const TEN: [(f64, f64); 5] = [
    (0.148_874_338_981_631_2, 0.295_524_224_714_752_9),
    (0.433_395_394_129_247_2, 0.269_266_719_309_996_4),
    (0.679_409_568_299_024_4, 0.219_086_362_515_982_04),
    (0.865_063_366_688_984_5, 0.149_451_349_150_580_6),
    (0.973_906_528_517_171_7, 0.066_671_344_308_688_14),
];

/// Intervals that are halved at the most: where rounding itself is larger than what two halves may differ by, halving
/// would go on for ever, and the page would stand still.
const MOST_HALVED: u16 = 1000;

/// What two halves may differ from the whole, relative to the whole integral.
const ROUNDING: f64 = 1e-13;

/// Integral of `f` from `a` to `b` by ten points: exact for polynomials of degree 19.
///
/// # Source
/// Gauss-Legendre quadrature, NIST DLMF 3.5(v).
pub fn ten_points(f: &dyn Fn(f64) -> f64, a: f64, b: f64) -> f64 {
    let (middle, half) = ((a + b) / 2.0, (b - a) / 2.0);
    let pairs = TEN.iter().map(|(node, weight)| {
        let away = node * half;
        weight * (f(middle - away) + f(middle + away))
    });
    half * pairs.sum::<f64>()
}

/// Integral of `f` from `a` to `b`, halved wherever ten points do not agree with twice ten.
///
/// `f` keeps its sign between `a` and `b`; the result is within about 1e-13 of its size.
///
/// # Source
/// Adaptive bisection of [`ten_points`].
///
/// # Example
/// ```
/// use layshaft_core::heat::quadrature::integral;
/// let log = integral(&|x| 1.0 / x, 1.0, 1000.0);
/// assert!((log - 6.907_755_278_982_137).abs() < 1e-11);
/// ```
pub fn integral(f: &dyn Fn(f64) -> f64, a: f64, b: f64) -> f64 {
    let whole = ten_points(f, a, b);
    halved(f, a, b, whole, ROUNDING * libm::fabs(whole), &mut {
        MOST_HALVED
    })
}

fn halved(
    f: &dyn Fn(f64) -> f64,
    a: f64,
    b: f64,
    whole: f64,
    small: f64,
    left_over: &mut u16,
) -> f64 {
    let middle = (a + b) / 2.0;
    let (left, right) = (ten_points(f, a, middle), ten_points(f, middle, b));
    let sum = left + right;
    // A sum that is not finite ends here too, and is dropped where it is put.
    let far = libm::fabs(sum - whole) > small;
    if !far || *left_over == 0 || middle <= a.min(b) || middle >= a.max(b) {
        return sum;
    }
    *left_over -= 1;
    halved(f, a, middle, left, small, left_over) + halved(f, middle, b, right, small, left_over)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn polynomials_of_degree_19_are_exact() {
        for power in 0..20 {
            let f = |x: f64| libm::pow(x, f64::from(power));
            let found = ten_points(&f, 0.0, 1.0);
            let expected = 1.0 / f64::from(power + 1);
            assert!(libm::fabs(found - expected) < 1e-15, "{power}");
        }
    }

    #[test]
    fn steep_functions_are_met_to_their_last_digits() {
        let exp = integral(&libm::exp, 0.0, 40.0);
        assert!(libm::fabs(exp / (libm::exp(40.0) - 1.0) - 1.0) < 1e-13);
        let root = integral(&|x| 1.0 / libm::sqrt(x), 1e-6, 1.0);
        assert!(libm::fabs(root - 2.0 * (1.0 - 1e-3)) < 1e-12);
        // Noise larger than what may differ ends by itself, soon.
        let asked = core::cell::Cell::new(0_u32);
        let noisy = |x: f64| {
            asked.set(asked.get() + 1);
            1.0 + 1e-9 * libm::sin(1e12 * x)
        };
        assert!(libm::fabs(integral(&noisy, 0.0, 1.0) - 1.0) < 1e-8);
        assert!(asked.get() < 50_000, "{}", asked.get());
        // Backwards it is the same with the other sign.
        let back = integral(&libm::exp, 1.0, 0.0);
        assert!(libm::fabs(back + core::f64::consts::E - 1.0) < 1e-14);
    }
}
