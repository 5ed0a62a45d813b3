use super::*;
use std::vec::Vec;

const BED: Model = Model {
    gain_k: 180.0,
    tau_s: 400.0,
    dead_s: 12.0,
};

/// A noise of standard deviation 1, the same every time: the sum of twelve even ones less 6.
struct Noise(u64);

impl Noise {
    fn next(&mut self) -> f64 {
        let mut sum = -6.0;
        for _ in 0..12 {
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            let bits = u32::try_from(self.0 >> 33).expect("31 bits");
            sum += f64::from(bits) / 2_147_483_648.0;
        }
        sum
    }
}

/// A log of a model in tiny steps of its own equation, with noise.
fn log(
    model: Model,
    first_c: f64,
    step_s: f64,
    rows: usize,
    noise_k: f64,
    duty: &mut dyn FnMut(f64, f64) -> f64,
) -> Vec<Row> {
    let mut noise = Noise(7);
    let mut log: Vec<Row> = Vec::new();
    let mut rise = first_c - 25.0;
    let mut seconds = 0.0;
    for _ in 0..rows {
        let celsius = 25.0 + rise;
        let now = duty(seconds, celsius);
        log.push([seconds, celsius + noise_k * noise.next(), now]);
        // Exact between the delayed changes: both duties that act within this step.
        let acting = |t: f64| {
            let past = log.iter().rev().find(|[s, ..]| *s <= t + 1e-9);
            past.map_or(0.0, |[_, _, duty]| *duty)
        };
        let mut cuts: Vec<f64> = log
            .iter()
            .map(|[s, ..]| s + model.dead_s)
            .filter(|t| *t > seconds + 1e-9 && *t < seconds + step_s - 1e-9)
            .collect();
        cuts.push(seconds + step_s);
        let mut at = seconds;
        for cut in cuts {
            let to = model.gain_k * acting(at - model.dead_s);
            rise = to + (rise - to) * libm::exp(-(cut - at) / model.tau_s);
            at = cut;
        }
        seconds += step_s;
    }
    log
}

fn near(fit: &Fit, model: Model, tolerance: f64) {
    let off = |a: f64, b: f64| libm::fabs(a - b) <= tolerance * b;
    let found = fit.model;
    assert!(
        off(found.gain_k, model.gain_k)
            && off(found.tau_s, model.tau_s)
            && off(found.dead_s, model.dead_s),
        "{fit:?}, expected {model:?}"
    );
}

#[test]
fn a_heat_up_without_noise_gives_its_model_back() {
    for model in [
        BED,
        Model {
            gain_k: 310.0,
            tau_s: 160.0,
            dead_s: 3.7,
        },
        Model {
            gain_k: 90.0,
            tau_s: 60.0,
            dead_s: 40.0,
        },
    ] {
        for first in [25.0, 18.0] {
            let from = Model { ..model };
            let log = log(from, 25.0, 2.0, 400, 0.0, &mut |_, _| 1.0);
            let moved: Vec<Row> = log
                .iter()
                .map(|[s, c, d]| [s + 7.0, c + first - 25.0, *d])
                .collect();
            let fit = fit(&moved, 25.0).expect("a fit");
            near(&fit, model, 1e-6);
            assert!(fit.rms_k < 1e-6, "{fit:?}");
            assert!(libm::fabs(fit.level_c - first) < 1e-5);
        }
    }
}

#[test]
fn noise_moves_a_fit_by_about_its_standard_errors() {
    let log = log(BED, 25.0, 1.0, 1200, 0.5, &mut |_, _| 1.0);
    let fit = fit(&log, 25.0).expect("a fit");
    assert!(libm::fabs(fit.rms_k - 0.5) < 0.03, "{fit:?}");
    for (found, expected, error) in [
        (fit.model.gain_k, 180.0, fit.gain_se_k),
        (fit.model.tau_s, 400.0, fit.tau_se_s),
        (fit.model.dead_s, 12.0, fit.dead_se_s),
    ] {
        assert!(libm::fabs(found - expected) < 3.0 * error, "{fit:?}");
    }
    near(&fit, BED, 0.02);
}

/// A relay about 100 °C.
fn relay() -> impl FnMut(f64, f64) -> f64 {
    let mut on = true;
    move |_, celsius| {
        if celsius > 101.0 {
            on = false;
        } else if celsius < 99.0 {
            on = true;
        }
        f64::from(u8::from(on))
    }
}

#[test]
fn a_relay_test_from_cold_and_from_hot() {
    let cold = log(BED, 25.0, 1.0, 1500, 0.2, &mut relay());
    near(&fit(&cold, 25.0).expect("a fit"), BED, 0.03);
    // On the way at 95 °C, ambient known.
    let hot = log(BED, 95.0, 1.0, 1500, 0.0, &mut relay());
    let fit = fit(&hot, 25.0).expect("a fit");
    assert!(matches!(fit.start, Start::Over(_, Before::Free)), "{fit:?}");
    near(&fit, BED, 0.02);
}

#[test]
fn a_heat_up_from_warm_knows_its_ambient() {
    // Left to cool before, at 60 °C: the noise hides how it falls for twelve seconds.
    let off = log(BED, 60.0, 1.0, 600, 0.3, &mut |_, _| 1.0);
    near(&fit(&off, 25.0).expect("a fit"), BED, 0.05);
    // Held at 60 °C before: level until the dead time has passed.
    let held: Vec<Row> = log(BED, 25.0, 1.0, 600, 0.3, &mut |_, _| 1.0)
        .iter()
        .map(|[s, c, d]| [*s, 60.0 + (c - 25.0) * (180.0 - 35.0) / 180.0, *d])
        .collect();
    near(&fit(&held, 25.0).expect("a fit"), BED, 0.05);
}

#[test]
fn a_duty_that_changes_in_every_row() {
    let mut noise = Noise(3);
    let log = log(BED, 25.0, 2.0, 900, 0.2, &mut |s, _| {
        let wave = 0.5 + 0.4 * libm::sin(s / 60.0);
        (wave + 0.1 * noise.next()).clamp(0.0, 1.0)
    });
    near(&fit(&log, 25.0).expect("a fit"), BED, 0.05);
}

#[test]
fn twenty_thousand_rows_are_one_fit() {
    let log: Vec<Row> = (0..20_000_u16)
        .map(|i| {
            let s = 0.1 * f64::from(i);
            let rise = 180.0 * (1.0 - libm::exp(-(s - 12.0_f64).max(0.0) / 400.0));
            [s, libm::round((25.0 + rise) * 10.0) / 10.0, 1.0]
        })
        .collect();
    near(&fit(&log, 25.0).expect("a fit"), BED, 0.001);
}

#[test]
fn what_carries_no_fit_says_why() {
    let heat_up = |noise, rows| log(BED, 25.0, 2.0, rows, noise, &mut |_, _| 1.0);
    assert_eq!(fit(&heat_up(0.0, 4), 25.0), Err(Cause::TooFew { rows: 4 }));
    let off = log(BED, 25.0, 2.0, 100, 0.1, &mut |_, _| 0.0);
    assert_eq!(fit(&off, 25.0), Err(Cause::Off));
    let flat: Vec<Row> = (0..100_u8).map(|i| [f64::from(i), 25.0, 1.0]).collect();
    assert!(fit(&flat, 25.0).is_err());
    let falling: Vec<Row> = heat_up(0.0, 300)
        .iter()
        .map(|[s, c, d]| [*s, 50.0 - c, *d])
        .collect();
    assert_eq!(fit(&falling, 25.0), Err(Cause::GainNotPositive));
    // 40 s of noise: the dead time is lost in it.
    assert!(matches!(
        fit(&heat_up(8.0, 20), 25.0),
        Err(Cause::UnsureSlope { .. }
            | Cause::UnsureDead { .. }
            | Cause::NoAnswer
            | Cause::GainNotPositive)
    ));
    let mut broken = heat_up(0.2, 300);
    for [_, celsius, _] in broken.iter_mut().skip(150).take(3) {
        *celsius = -14.0;
    }
    assert!(matches!(
        fit(&broken, 25.0),
        Err(Cause::Jump { row: 151, .. })
    ));
}

#[test]
fn derivatives_are_those_of_differences() {
    let rows = log(BED, 60.0, 3.0, 200, 0.0, &mut relay());
    for start in [
        Start::Rest,
        Start::Over(25.0, Before::Off),
        Start::Over(25.0, Before::Held),
        Start::Over(25.0, Before::Free),
    ] {
        let point = Point {
            start,
            first: 30.0,
            gain: 170.0,
            tau: 380.0,
            dead: 11.3,
            before: 40.0,
        };
        let values = |point: &Point| -> Vec<(f64, Line)> {
            let mut all = Vec::new();
            run(&rows, point.tau, point.dead, &mut |_, answer| {
                all.push(point.at(answer));
            });
            all
        };
        let middle = values(&point);
        for (i, unit) in [
            [1.0, 0.0, 0.0, 0.0, 0.0],
            [0.0, 1.0, 0.0, 0.0, 0.0],
            [0.0, 0.0, 1.0, 0.0, 0.0],
            [0.0, 0.0, 0.0, 1.0, 0.0],
            [0.0, 0.0, 0.0, 0.0, 1.0],
        ]
        .into_iter()
        .enumerate()
        {
            let h = 1e-5;
            let up = values(&point.moved(unit.map(|x| x * h)));
            let down = values(&point.moved(unit.map(|x| -x * h)));
            for ((m, u), d) in middle.iter().zip(&up).zip(&down) {
                let difference = (u.0 - d.0) / (2.0 * h);
                let slope: f64 = m.1.iter().zip(unit).map(|(slope, x)| slope * x).sum();
                assert!(
                    libm::fabs(slope - difference) < 1e-5 * (1.0 + libm::fabs(difference)),
                    "{start:?} {i}: {slope} {difference}"
                );
            }
        }
    }
}
