//! `sensor` from its description.

use layshaft_core::sheets::{Found, State};
use layshaft_tests::random::Random;

use crate::curves::{Curve, ZERO, between, coefficients, least_squares, type_k};
use crate::{Case, Query, TOLERANCE, Unit, Wrong, close, settle, typed, wrong};

const OHM: &[Unit] = &[
    ("ohm", 1, 1),
    ("Ω", 1, 1),
    ("k", 1000, 1),
    ("kohm", 1000, 1),
];

/// A Steinhart-Hart curve near that of a real thermistor: its three numbers as typed.
fn steinhart(random: &mut Random) -> ([String; 3], Curve) {
    let (ln_r25, beta) = (
        (1e3 * 200_f64.powf(random.unit())).ln(),
        3000.0 + 1500.0 * random.unit(),
    );
    let c = 2e-7 * random.unit();
    let b = 1.0 / beta - 3.0 * c * ln_r25 * ln_r25 * 0.3;
    let a = 1.0 / 298.15 - b * ln_r25 - c * ln_r25.powi(3);
    let texts = [a, b, c].map(|x| format!("{x:.6e}"));
    let [a, b, c] = texts
        .clone()
        .map(|text| text.parse::<f64>().unwrap_or(f64::NAN));
    (texts, Curve::Steinhart(a, b, c))
}

/// The curve of random entries, written into the query.
fn curve(random: &mut Random, query: &mut Query) -> Curve {
    match random.below(4) {
        0 | 1 => {
            let (r25, beta) = (
                typed(random, 1e3, 500e3, OHM),
                typed(random, 2500.0, 5000.0, &[("K", 1, 1)]),
            );
            query
                .with("kind", "beta")
                .with("r25", &r25.text)
                .with("beta", &beta.text);
            Curve::Beta(r25.value, beta.value)
        }
        2 => {
            let ([a, b, c], curve) = steinhart(random);
            query
                .with("kind", "steinhart")
                .with("a", a)
                .with("b", b)
                .with("c", c);
            curve
        }
        _ => {
            let r0 = random.pick(&[100.0, 500.0, 1000.0]);
            query.with("kind", "platinum").with("r0", r0.to_string());
            Curve::Platinum(r0)
        }
    }
}

/// The divider and its errors.
#[derive(Clone, Copy)]
struct Divider {
    pullup: f64,
    series: f64,
    most: f64,
    reference: f64,
    r_tol: f64,
    beta_tol: f64,
    pullup_tol: f64,
    count_err: f64,
}

impl Divider {
    fn count(&self, ohms: f64) -> f64 {
        self.most * (ohms + self.series) / (ohms + self.series + self.pullup)
    }

    fn ohms(&self, count: f64) -> f64 {
        self.pullup / (self.most / count - 1.0) - self.series
    }

    /// Kelvins for one count at this temperature.
    fn per_count(&self, curve: Curve, celsius: f64) -> f64 {
        let whole = curve.ohms(celsius) + self.series + self.pullup;
        (curve.slope(celsius) * whole * whole / (self.most * self.pullup)).abs()
    }

    /// Each source's share of the error, in kelvin: half widths.
    fn terms(&self, curve: Curve, celsius: f64) -> [f64; 4] {
        let (ohms, slope) = (curve.ohms(celsius), curve.slope(celsius));
        let beta = match curve {
            // T = 1/(1/T25 + ln(R/R25)/beta), changed by a small share of beta to either side.
            Curve::Beta(r25, beta) => {
                let t = |share: f64| {
                    Curve::Beta(r25, beta * (1.0 + share))
                        .celsius(ohms)
                        .unwrap_or(f64::NAN)
                };
                let by = |h: f64| (t(h) - t(-h)) / (2.0 * h);
                (4.0 * by(1e-4) - by(2e-4)) / 3.0 * self.beta_tol / 100.0
            }
            _ => 0.0,
        };
        [
            slope * ohms * self.r_tol / 100.0,
            beta,
            slope * (ohms + self.series) * self.pullup_tol / 100.0,
            self.per_count(curve, celsius) * self.count_err,
        ]
    }

    fn uncertainty(&self, curve: Curve, celsius: f64) -> f64 {
        let squares: f64 = self
            .terms(curve, celsius)
            .iter()
            .map(|term| term * term / 3.0)
            .sum();
        2.0 * squares.sqrt()
    }
}

/// Differences stand in for derivatives here, so these answers agree to fewer digits.
const BY_DIFFERENCE: f64 = 1e-7;

fn divider(random: &mut Random, query: &mut Query, near: f64) -> Divider {
    let pullup = typed(random, near * 0.05, near * 3.0, OHM);
    query.with("pullup", &pullup.text);
    let maybe = |query: &mut Query,
                 random: &mut Random,
                 key: &str,
                 least: f64,
                 most: f64,
                 unit: &'static str,
                 default: f64| {
        if random.chance(50) {
            return default;
        }
        let number = typed(random, least, most, &[(unit, 1, 1)]);
        query.with(key, &number.text);
        number.value
    };
    let series = maybe(
        query,
        random,
        "series",
        near * 0.001,
        near * 0.1,
        "ohm",
        0.0,
    );
    let bits = if random.chance(50) {
        12
    } else {
        random.whole(8, 16)
    };
    query.with("bits", bits.to_string());
    Divider {
        pullup: pullup.value,
        series,
        most: f64::from((1_u32 << bits) - 1),
        reference: maybe(query, random, "reference", 1.8, 5.0, "V", 3.3),
        r_tol: maybe(query, random, "r_tol", 0.1, 10.0, "%", 0.0),
        beta_tol: 0.0,
        pullup_tol: maybe(query, random, "pullup_tol", 0.05, 5.0, "%", 1.0),
        count_err: maybe(query, random, "count_err", 0.5, 20.0, "", 1.0),
    }
}

#[test]
fn sensor_as_the_contract_says() {
    let mut random = Random::new(60_751);
    let mut faults = Vec::new();
    let cases = 800;
    for _ in 0..cases {
        one(&mut random, &mut faults);
    }
    settle(cases, &faults);
}

fn one(random: &mut Random, faults: &mut Vec<String>) {
    let mut query = Query::new("sensor");
    let curve = curve(random, &mut query);
    let celsius = -20.0 + 300.0 * random.unit();
    let ohms = curve.ohms(celsius);
    let mut divider = divider(random, &mut query, ohms);
    if matches!(curve, Curve::Beta(..)) && random.chance(60) {
        let tol = typed(random, 0.2, 3.0, &[("%", 1, 1)]);
        query.with("beta_tol", &tol.text);
        divider.beta_tol = tol.value;
    }
    let give = random.pick(&["resistance", "temperature", "count", "voltage"]);
    query.with("give", give);
    // What is given, typed to six digits; the truth follows what was typed.
    let given = |x: f64| {
        let text = format!("{x:.6e}");
        let value: f64 = text.parse().unwrap_or(f64::NAN);
        (text, value)
    };
    let (text, ohms) = match give {
        "resistance" => given(ohms),
        "temperature" => {
            let (text, value) = given(celsius);
            (text, curve.ohms(value))
        }
        "count" => {
            let (text, value) = given(divider.count(ohms));
            (text, divider.ohms(value))
        }
        _ => {
            let (text, value) = given(divider.count(ohms) / divider.most * divider.reference);
            (text, divider.ohms(value / divider.reference * divider.most))
        }
    };
    query.with("value", text);
    let dissipation = random
        .chance(50)
        .then(|| typed(random, 0.5, 8.0, &[("mW/K", 1, 1)]));
    if let Some(dissipation) = &dissipation {
        query.with("dissipation", &dissipation.text);
    }
    let low = random.whole(0, 60);
    let high = low + random.whole(7, 240);
    if random.chance(50) {
        query
            .with("low", low.to_string())
            .with("high", high.to_string());
    } else {
        query.with("low", "0").with("high", "300");
    }
    let second = if random.chance(50) {
        if random.chance(60) {
            let (r25, beta) = (
                typed(random, 1e3, 500e3, OHM),
                typed(random, 2500.0, 5000.0, &[]),
            );
            query
                .with("as", "beta")
                .with("as_r25", &r25.text)
                .with("as_beta", &beta.text);
            Some(Curve::Beta(r25.value, beta.value))
        } else {
            let ([a, b, c], curve) = steinhart(random);
            query
                .with("as", "steinhart")
                .with("as_a", a)
                .with("as_b", b)
                .with("as_c", c);
            Some(curve)
        }
    } else {
        None
    };

    let Some(celsius) = curve.celsius(ohms) else {
        return;
    };
    let mut case = Case::new(&query, faults);
    case.errors(&[]);
    // Celsius near 0 is a small difference of kelvins: the tolerance is one of kelvins.
    case.number_within(
        "temperature",
        celsius,
        TOLERANCE * (1.0 + ZERO / celsius.abs()),
    );
    // A given temperature becomes ohms through an exponential, which makes ten times the rounding of it.
    case.number_within("resistance", ohms, 10.0 * TOLERANCE);
    case.number("count", divider.count(ohms));
    case.number_within(
        "per_count",
        divider.per_count(curve, celsius),
        BY_DIFFERENCE,
    );
    case.number_within(
        "uncertainty",
        divider.uncertainty(curve, celsius),
        BY_DIFFERENCE,
    );
    case.number_within(
        "worst",
        divider
            .terms(curve, celsius)
            .iter()
            .map(|x| x.abs())
            .sum::<f64>(),
        BY_DIFFERENCE,
    );
    let milliwatts =
        1e3 * ohms * (divider.reference / (ohms + divider.series + divider.pullup)).powi(2);
    case.number("self_heat", milliwatts);
    case.number(
        "self_heat_rise",
        dissipation.map(|dissipation| milliwatts / dissipation.value),
    );
    if let Curve::Platinum(_) = curve {
        for key in ["a", "b", "c"] {
            case.number(key, None);
        }
    } else {
        let (a, b, c) = coefficients(curve);
        case.number("a", a);
        case.number("b", b);
        case.number("c", c);
        let beta = (curve.ohms(25.0) / curve.ohms(85.0)).ln() / (1.0 / 298.15 - 1.0 / 358.15);
        case.number("beta_25_85", beta);
    }
    case.number("fit_error", None);
    case.number("millivolts", None);
    for (key, count) in [("open_reads", divider.most - 1.0), ("short_reads", 1.0)] {
        let ohms = divider.ohms(count);
        match (ohms > 0.0).then(|| curve.celsius(ohms)).flatten() {
            Some(celsius) => case.number_within(
                key,
                celsius,
                10.0 * TOLERANCE * (1.0 + ZERO / celsius.abs()),
            ),
            None => case.some_text(key),
        }
    }
    case.check(
        "outside",
        match curve {
            Curve::Platinum(_) => Some(State::Within),
            _ => None,
        },
    );
    table(&mut case, curve);
    case.curve("curve", BY_DIFFERENCE, |celsius| {
        divider.uncertainty(curve, celsius)
    });
    match second {
        Some(second) => {
            let reads = second.celsius(ohms);
            let share = |x: f64| 10.0 * TOLERANCE * (1.0 + ZERO / x.abs());
            case.number_within("reads", reads, reads.map_or(TOLERANCE, share));
            let error = reads.map(|reads| reads - celsius);
            case.number_within("reads_error", error, error.map_or(TOLERANCE, share));
            for (truth, shown) in case.pairs("curve_as") {
                let Some(want) = second.celsius(curve.ohms(truth)) else {
                    continue;
                };
                if !close(shown + ZERO, want + ZERO, 10.0 * TOLERANCE) {
                    case.fault(format!(
                        "curve_as: at {truth} {shown}, and by the contract {want}"
                    ));
                    break;
                }
            }
            assert!(case.found("curve_as").is_some(), "no curve_as");
        }
        None => {
            case.number("reads", None);
            case.number("reads_error", None);
            assert!(
                case.found("curve_as").is_none(),
                "curve_as without a second curve"
            );
        }
    }
}

/// Every 5 C from low, and high itself; each with the curve's ohms.
fn table(case: &mut Case, curve: Curve) {
    let (low, high) = (
        case.report.inputs.num("low").unwrap_or(0.0),
        case.report.inputs.num("high").unwrap_or(300.0),
    );
    let rows = case.pairs("table");
    let mut want = Vec::new();
    let mut t = low;
    while t < high {
        want.push(t);
        t += 5.0;
    }
    want.push(high);
    let fits = rows.len() == want.len()
        && rows.iter().zip(&want).all(|((t, ohms), want)| {
            close(*t, *want, TOLERANCE) && close(*ohms, curve.ohms(*want), 10.0 * TOLERANCE)
        });
    if !fits {
        case.fault(format!("table: {rows:?}"));
    }
}

#[test]
fn points_make_a_curve() {
    let mut random = Random::new(1968);
    let mut faults = Vec::new();
    for _ in 0..300 {
        // Readings of a thermistor that is nearly a beta one, with errors of a few tenths of a kelvin.
        let (_, truth) = steinhart(&mut random);
        let count = if random.chance(50) {
            3
        } else {
            random.whole(4, 9)
        };
        let mut points: Vec<(f64, f64)> = Vec::new();
        let mut text = String::new();
        for i in 0..count {
            let t = (f64::from(i) * 200.0 / f64::from(count) + 20.0 * random.unit()).round();
            let ohms = truth.ohms(t + 0.4 * random.unit());
            let written = format!("{ohms:.4e}");
            points.push((t, written.parse().unwrap_or(f64::NAN)));
            text += &format!("{}{t},{written}", if i == 0 { "" } else { ";" });
        }
        let fit = least_squares(&points);
        let mut query = Query::new("sensor");
        let at = truth.ohms(60.0).round();
        query
            .with("kind", "points")
            .with("points", text)
            .with("pullup", "4k7")
            .with("give", "resistance")
            .with("value", at.to_string());
        let mut case = Case::new(&query, &mut faults);
        case.errors(&[]);
        let Curve::Steinhart(a, b, c) = fit else {
            return;
        };
        // Both ways lose digits to the closeness of 1, ln R and (ln R)^3; the temperature keeps them.
        case.number_within("a", a, 1e-6);
        case.number_within("b", b, 1e-6);
        case.number_within("c", c, 1e-4);
        let want = fit.celsius(at);
        case.number_within(
            "temperature",
            want,
            want.map_or(0.0, |t| TOLERANCE * (1.0 + ZERO / t)),
        );
        let largest = points
            .iter()
            .filter_map(|(t, r)| Some((fit.celsius(*r)? - t).abs()))
            .fold(0.0, f64::max);
        if count > 3 {
            case.number_within("fit_error", largest, 1e-6);
        } else if !matches!(case.found("fit_error"), Some(Found::Number(x)) if x < 1e-6) {
            case.fault(format!(
                "fit_error: {:?} with three points",
                case.found("fit_error")
            ));
        }
        let (least, most) = (
            points.first().map_or(0.0, |p| p.0),
            points.last().map_or(0.0, |p| p.0),
        );
        let outside = want.is_some_and(|t| t < least || t > most);
        case.check(
            "outside",
            Some(if outside { State::Over } else { State::Within }),
        );
    }
    settle(300, &faults);
}

#[test]
fn type_k_both_ways() {
    let mut random = Random::new(175);
    let mut faults = Vec::new();
    for _ in 0..300 {
        let cold = (60.0 * random.unit()).round();
        // Not 0 C: there the two polynomials meet with a step of 2e-9 mV, and either is right.
        let celsius = (-200.0 + 1500.0 * random.unit()).floor() + 0.5;
        let mut query = Query::new("sensor");
        query
            .with("kind", "thermocouple_k")
            .with("cold", cold.to_string());
        let millivolts = type_k(celsius) - type_k(cold);
        if random.chance(50) {
            query
                .with("give", "temperature")
                .with("value", celsius.to_string());
            let mut case = Case::new(&query, &mut faults);
            case.errors(&[]);
            case.number("temperature", celsius);
            case.number_within(
                "millivolts",
                millivolts,
                1e-9 + 1e-12 / millivolts.abs().max(1e-6),
            );
            case.check("outside", Some(State::Within));
        } else {
            let text = format!("{millivolts:.4}");
            let given: f64 = text.parse().unwrap_or(f64::NAN);
            query.with("give", "voltage").with(
                "value",
                if random.chance(50) {
                    format!("{text} mV")
                } else {
                    text
                },
            );
            let want = between(-270.0, 1372.0, |t| type_k(t) - type_k(cold) - given);
            let mut case = Case::new(&query, &mut faults);
            case.errors(&[]);
            // Near 0 C a reading may be taken from either polynomial.
            if want.is_some_and(|t| t.abs() > 0.01) {
                case.number_within(
                    "temperature",
                    want,
                    want.map_or(0.0, |t| TOLERANCE * (1.0 + ZERO / t.abs())),
                );
            }
            case.number_within("millivolts", given, 1e-9 + 1e-12 / given.abs().max(1e-6));
        }
    }
    settle(300, &faults);
}

#[test]
fn what_is_outside_the_curve_is_over() {
    let mut faults = Vec::new();
    for (kind, value, state) in [
        ("platinum", "-201", State::Over),
        ("platinum", "-200", State::Within),
        ("platinum", "850", State::Within),
        ("platinum", "851", State::Over),
        ("thermocouple_k", "-271", State::Over),
        ("thermocouple_k", "-270", State::Within),
        ("thermocouple_k", "1372", State::Within),
        ("thermocouple_k", "1373", State::Over),
    ] {
        let mut query = Query::new("sensor");
        query
            .with("kind", kind)
            .with("pullup", "1k")
            .with("give", "temperature")
            .with("value", value);
        Case::new(&query, &mut faults).check("outside", Some(state));
    }
    settle(8, &faults);
}

#[test]
fn what_is_wrong_in_sensor_is_said_at_its_field() {
    let list: &[Wrong] = &[
        (
            &[("kind", "points"), ("points", "25,100k;50,36k")],
            &["points"],
        ),
        (
            &[("kind", "points"), ("points", "25,100k;50;100,6.8k")],
            &["points"],
        ),
        (
            &[("kind", "points"), ("points", "25,100k;50,36k;100,6.8k,1")],
            &["points"],
        ),
        (
            &[("kind", "points"), ("points", "25,100k;50,zero;100,6.8k")],
            &["points"],
        ),
        (&[("kind", "rtd")], &["kind"]),
        (&[("r25", "-100k")], &["r25"]),
        (&[("r25", "100 V")], &["r25"]),
        (&[("beta", "0")], &["beta"]),
        (&[("bits", "12.5")], &["bits"]),
        (&[("pullup", "0")], &["pullup"]),
        (&[("give", "guess")], &["give"]),
    ];
    wrong("sensor", list);
}
