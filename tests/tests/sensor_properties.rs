//! Sensor formulas by a second way: other methods for the same root, the way there and back, and a Monte Carlo.
//!
//! Seeded, so that a failure comes back.

use layshaft_core::sensor::divider::Divider;
use layshaft_core::sensor::fit;
use layshaft_core::sensor::ntc::Steinhart;
use layshaft_core::sensor::thermocouple;
use layshaft_core::sensor::uncertainty::{HalfWidths, Terms};
use layshaft_core::sensor::{Curve, ICE_POINT_K, T25_K};

/// SplitMix64: G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014.
struct Random(u64);

impl Random {
    /// Evenly between 0 and 1, 32 bits.
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut word = self.0;
        word = (word ^ (word >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        word = (word ^ (word >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        let upper = u32::try_from((word ^ (word >> 31)) >> 32).expect("32 bits");
        (f64::from(upper) + 0.5) / 4_294_967_296.0
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
}

fn assert_near(found: f64, wanted: f64, tolerance: f64, of: &str) {
    assert!(
        (found - wanted).abs() <= tolerance,
        "{of}: {found} is not {wanted} within {tolerance}"
    );
}

fn assert_same_coefficients(found: Steinhart, wanted: (f64, f64, f64), relative: f64, of: &str) {
    for (found, wanted) in [
        (found.a, wanted.0),
        (found.b, wanted.1),
        (found.c, wanted.2),
    ] {
        assert_near(found, wanted, relative * wanted.abs(), of);
    }
}

#[test]
fn three_points_by_the_textbook_formula_are_the_same_curve() {
    // c = ((g3 - g2)/(L3 - L2))/(L1 + L2 + L3), g = (Y - Y1)/(L - L1); b = g2 - c (L1^2 + L1 L2 + L2^2);
    // a = Y1 - (b + L1^2 c) L1. Divided differences of the equation; common practice, from memory.
    let mut random = Random(3);
    for _ in 0..10_000 {
        let true_curve = Steinhart {
            a: random.between(5e-4, 1.5e-3),
            b: random.between(1.5e-4, 3e-4),
            c: random.between(5e-8, 3e-7),
        };
        let points = [(-10.0, 20.0), (30.0, 60.0), (80.0, 200.0)].map(|(low, high)| {
            let celsius = random.between(low, high);
            (celsius, true_curve.resistance_ohm(celsius).expect("ohm"))
        });
        let [(l1, y1), (l2, y2), (l3, y3)] =
            points.map(|(celsius, ohm)| (ohm.ln(), 1.0 / (celsius + ICE_POINT_K)));
        let (g2, g3) = ((y2 - y1) / (l2 - l1), (y3 - y1) / (l3 - l1));
        let c = (g3 - g2) / (l3 - l2) / (l1 + l2 + l3);
        let b = g2 - c * (l1 * l1 + l1 * l2 + l2 * l2);
        let fit = fit::steinhart(&points).expect("a curve");
        // The textbook's differences over spans of 10 K lose four digits.
        assert_near(fit.curve.c, c, 1e-8 * true_curve.c, "c by the textbook");
        assert_near(fit.curve.b, b, 1e-8 * true_curve.b, "b by the textbook");
        assert_same_coefficients(
            fit.curve,
            (true_curve.a, true_curve.b, true_curve.c),
            1e-8,
            "the curve of the points",
        );
        assert!(fit.falls && fit.largest_error_k < 1e-9);
    }
}

/// ln R by halving the interval: the second way beside closed form and Newton.
fn log_by_halving(curve: Steinhart, celsius: f64, mut low: f64, mut high: f64) -> Option<f64> {
    let excess =
        |x: f64| curve.a + curve.b * x + curve.c * x * x * x - 1.0 / (celsius + ICE_POINT_K);
    if excess(low) > 0.0 || excess(high) < 0.0 {
        return None;
    }
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if excess(middle) > 0.0 {
            high = middle
        } else {
            low = middle
        }
    }
    Some(0.5 * (low + high))
}

#[test]
fn closed_form_newton_and_halving_agree_over_random_coefficients() {
    let mut random = Random(1);
    let mut solved = [0, 0, 0, 0];
    for turn in 0..40_000_u32 {
        let kind = turn % 4;
        let mut curve = Steinhart {
            a: random.between(2e-4, 2e-3),
            b: random.between(5e-5, 4e-4),
            c: random.between(0.0, 5e-7),
        };
        match kind {
            0 => {}
            // From 1e-7 down to where c no longer counts, and past that.
            1 => curve.c = 10_f64.powf(random.between(-320.0, -7.0)),
            2 => curve.c = -random.between(0.0, 2e-7),
            _ => (curve.b, curve.c) = (-random.between(0.0, 2e-4), random.between(1e-6, 5e-6)),
        }
        let celsius = random.between(-50.0, 350.0);
        let turning = (-curve.b / (3.0 * curve.c)).max(0.0).sqrt();
        let (low, high) = match kind {
            0 | 1 => (-400.0, 400.0),
            2 => (-turning, turning),
            _ => (turning, 400.0),
        };
        let wanted = log_by_halving(curve, celsius, low, high);
        let found = curve.resistance_ohm(celsius).map(f64::ln);
        // Near a turning point the root is as good as the square root of the rounding; left to the next test.
        let steep = |x: f64| (curve.b + 3.0 * curve.c * x * x) > 1e-2 * curve.b.abs();
        if let Some(wanted) = wanted.filter(|&x| steep(x)) {
            let found = found.unwrap_or_else(|| panic!("{curve:?} at {celsius}"));
            // ln(exp(x)) itself rounds to 1e-16 at values around 1, hence the constant.
            assert_near(
                found,
                wanted,
                1e-12 * (1.0 + wanted.abs()),
                &format!("{curve:?} at {celsius}"),
            );
            if let Some(count) = solved.get_mut(usize::try_from(kind).expect("small")) {
                *count += 1;
            }
        } else if wanted.is_none() {
            assert!(found.is_none(), "{curve:?} at {celsius}: {found:?}");
        }
    }
    assert!(solved.iter().all(|&count| count > 2000), "{solved:?}");
}

#[test]
fn c_below_zero_is_the_middle_root_by_vietes_cosines() {
    // Viete: for 4 c^3/27 of the right sign, x = -2 r sin(asin(g)/3), r = sqrt(b/(3 |c|)).
    let mut random = Random(2);
    let mut checked = 0;
    for _ in 0..10_000 {
        let curve = Steinhart {
            a: random.between(2e-4, 2e-3),
            b: random.between(1e-4, 4e-4),
            c: -random.between(1e-9, 2e-7),
        };
        let celsius = random.between(-50.0, 350.0);
        let r = (curve.b / (-3.0 * curve.c)).sqrt();
        let g = 1.5 * (curve.a - 1.0 / (celsius + ICE_POINT_K)) / (curve.b * r);
        if g.abs() < 0.999 {
            let wanted = -2.0 * r * (g.asin() / 3.0).sin();
            let found = curve.resistance_ohm(celsius).expect("ohm").ln();
            assert_near(
                found,
                wanted,
                1e-11 * (1.0 + wanted.abs()),
                &format!("{curve:?} at {celsius}"),
            );
            checked += 1;
        } else if g.abs() > 1.0 + 1e-9 {
            assert_eq!(
                curve.resistance_ohm(celsius),
                None,
                "{curve:?} at {celsius}"
            );
        }
    }
    assert!(checked > 5000, "{checked}");
}

#[test]
fn temperature_to_resistance_and_back_is_the_same_temperature() {
    let mut random = Random(4);
    let mut answered = 0;
    for turn in 0..30_000_u32 {
        let curve = match turn % 3 {
            0 => Curve::Beta {
                r25: 10_f64.powf(random.between(1.0, 6.0)),
                beta: random.between(1500.0, 6000.0),
            },
            1 => Curve::Steinhart {
                a: random.between(2e-4, 2e-3),
                b: random.between(1e-4, 4e-4),
                c: random.between(-2e-8, 5e-7),
            },
            _ => Curve::Platinum {
                r0: 10_f64.powf(random.between(0.0, 4.0)),
            },
        };
        let (low, high) = curve.limits_c().unwrap_or((-60.0, 400.0));
        let celsius = random.between(low, high);
        let Some(ohm) = curve.resistance_ohm(celsius) else {
            continue;
        };
        answered += 1;
        let back = curve.temperature_c(ohm).expect("the way back");
        // Platinum is promised to 1e-10 K. A thermistor's exp and log carry 1e-16 of ln R into T.
        assert_near(back, celsius, 1e-10, &format!("{curve:?}"));
        let slope = curve.slope_ohm_per_k(celsius).expect("a slope");
        let step = 1e-3;
        let ohm_at = |celsius| curve.resistance_ohm(celsius).expect("ohm");
        if low + step < celsius && celsius < high - step && celsius.abs() > step {
            let quotient = (ohm_at(celsius + step) - ohm_at(celsius - step)) / (2.0 * step);
            // Second-order central difference: rounding 1e-13 R/step, third derivative below 1e-3 of the slope per K^2.
            assert_near(
                slope,
                quotient,
                2e-7 * slope.abs() + 1e-12 * ohm / step,
                &format!("{curve:?} at {celsius}"),
            );
        }
        let falls = !matches!(curve, Curve::Platinum { .. });
        assert!(falls == (slope < 0.0), "{curve:?} at {celsius}");
    }
    assert!(answered > 29_000, "{answered}");
}

#[test]
fn no_entry_gives_a_number_that_is_none() {
    let odd = [
        0.0,
        -0.0,
        1.0,
        -1.0,
        1e-308,
        1e308,
        -1e308,
        5e-324,
        1e-20,
        1e20,
        -1e-7,
        1e-3,
        f64::MAX,
        f64::MIN,
        f64::NAN,
        f64::INFINITY,
        f64::NEG_INFINITY,
        -273.15,
        25.0,
        850.0,
    ];
    let sound = |answer: Option<f64>, of: &str| {
        assert!(answer.is_none_or(f64::is_finite), "{of}: {answer:?}")
    };
    for a in odd {
        for b in odd {
            for c in odd {
                for at in [25.0, 1e-300, 1e300, -273.149_999_999, 12_345.0] {
                    for curve in [
                        Curve::Beta { r25: a, beta: b },
                        Curve::Steinhart { a, b, c },
                        Curve::Platinum { r0: a },
                    ] {
                        let of = format!("{curve:?} at {at}");
                        sound(curve.temperature_c(at), &of);
                        sound(curve.resistance_ohm(at), &of);
                        sound(curve.slope_ohm_per_k(at), &of);
                        let divider = Divider::new(4700.0, 0.0, 12, 3.3).expect("a divider");
                        let half = HalfWidths {
                            resistance_percent: 1.0,
                            beta_percent: 1.0,
                            pullup_percent: 1.0,
                            counts: 1.0,
                        };
                        if let Some(terms) = Terms::at(at, &curve, Some(&divider), &half) {
                            sound(Some(terms.expanded_k()), &of);
                            sound(Some(terms.worst_k()), &of);
                        }
                    }
                }
                if let Ok(divider) = Divider::new(a, b, 12, c) {
                    for at in odd {
                        sound(divider.count(at), "count");
                        sound(divider.voltage_v(at), "volts");
                        sound(divider.counts_per_ohm(at), "slope");
                        sound(divider.ohm_per_pullup_ohm(at), "pull-up");
                        sound(divider.sensor_power_w(at), "power");
                        sound(divider.resistance_from_count(at).ok(), "ohm of count");
                        sound(divider.resistance_from_voltage(at).ok(), "ohm of volts");
                    }
                }
                if let Ok(fit) = fit::steinhart(&[(a, b), (b, c), (c, a), (25.0, 1e4)]) {
                    sound(Some(fit.largest_error_k), "fit");
                    for coefficient in [fit.curve.a, fit.curve.b, fit.curve.c] {
                        sound(Some(coefficient), "fit");
                    }
                }
            }
        }
        sound(thermocouple::millivolts(a), "millivolts");
        sound(thermocouple::temperature_c(a), "temperature");
    }
}

/// A reading as it happens: what is shown when sensor, pull-up and converter are each off by their own share (-1 to 1)
/// of the half widths, less the true temperature.
fn shown_less_true(curve: &Curve, celsius: f64, half: &HalfWidths, shares: [f64; 4]) -> f64 {
    const PULLUP: f64 = 4700.0;
    const SERIES: f64 = 120.0;
    let [by_ohm, by_beta, by_pullup, by_count] = shares;
    let sensor = match *curve {
        Curve::Beta { r25, beta } => {
            let beta = beta * (1.0 + by_beta * half.beta_percent / 100.0);
            r25 * (beta * (1.0 / (celsius + ICE_POINT_K) - 1.0 / T25_K)).exp()
        }
        _ => curve.resistance_ohm(celsius).expect("ohm"),
    } * (1.0 + by_ohm * half.resistance_percent / 100.0);
    let pullup = PULLUP * (1.0 + by_pullup * half.pullup_percent / 100.0);
    let count = 4095.0 * (sensor + SERIES) / (sensor + SERIES + pullup) + by_count * half.counts;
    let believed = PULLUP * count / (4095.0 - count) - SERIES;
    curve.temperature_c(believed).expect("celsius") - celsius
}

#[test]
fn uncertainty_is_that_of_a_monte_carlo() {
    const DRAWS: u32 = 200_000;
    let divider = Divider::new(4700.0, 120.0, 12, 3.3).expect("a divider");
    // Small enough for first order: the next order is below 0.2 % of the whole in each case.
    let half = HalfWidths {
        resistance_percent: 0.5,
        beta_percent: 0.3,
        pullup_percent: 0.5,
        counts: 0.5,
    };
    let mut random = Random(5);
    for (curve, celsius) in [
        (
            Curve::Beta {
                r25: 100_000.0,
                beta: 3950.0,
            },
            60.0,
        ),
        (
            Curve::Beta {
                r25: 100_000.0,
                beta: 3950.0,
            },
            180.0,
        ),
        (
            Curve::Steinhart {
                a: 8.387e-4,
                b: 2.0906e-4,
                c: 7.1039e-8,
            },
            110.0,
        ),
        (Curve::Platinum { r0: 1000.0 }, 250.0),
        (Curve::Platinum { r0: 1000.0 }, -40.0),
    ] {
        let terms = Terms::at(celsius, &curve, Some(&divider), &half).expect("terms");
        let (mut sum, mut squares, mut farthest) = (0.0, 0.0, 0.0_f64);
        for _ in 0..DRAWS {
            let shares = [(); 4].map(|()| random.between(-1.0, 1.0));
            let off = shown_less_true(&curve, celsius, &half, shares);
            sum += off;
            squares += off * off;
            farthest = farthest.max(off.abs());
        }
        let count = f64::from(DRAWS);
        let deviation = (squares / count - (sum / count).powi(2)).sqrt();
        // The deviation of a sample of n has a standard error below 1/sqrt(2 n) = 0.16 % (less than normal: rectangles
        // have no tails); four of them, and 0.2 % for the second order.
        let of = format!("{curve:?} at {celsius}");
        assert_near(
            terms.expanded_k() / 2.0,
            deviation,
            (4.0 * 0.001_6 + 0.002) * deviation,
            &of,
        );
        assert!(
            farthest <= terms.worst_k() * 1.02,
            "{of}: {farthest} of {}",
            terms.worst_k()
        );
        // Worst case: the farthest of the sixteen corners.
        let corners = (0..16_u32).map(|corner| {
            let shares = [1, 2, 4, 8].map(|bit| if corner & bit == 0 { -1.0 } else { 1.0 });
            shown_less_true(&curve, celsius, &half, shares).abs()
        });
        assert_near(
            corners.fold(0.0, f64::max),
            terms.worst_k(),
            0.02 * terms.worst_k(),
            &of,
        );
    }
}
