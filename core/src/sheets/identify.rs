//! `identify`: which sensor is this?

use alloc::borrow::Cow;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use super::declare::{Answer, Caution, Field, Sheet, Subject, head, places};
use super::inputs::Inputs;
use super::outcome::{Cell, Outcome};
use crate::entry::number::read_number;
use crate::entry::unit::{CELSIUS, HPA, M, OHM, ONE, PERCENT, TEMP_DIFF};
use crate::entry::write::{write_fixed, write_significant};
use crate::heat::identify::{
    BUILT_IN, Candidate, Reading, best_reading_c, chi_square, fit_beta, tail,
};
use crate::heat::water::{LIMITS_HPA, LIMITS_M, SEA_LEVEL_HPA, boiling_c, standard_hpa};
use crate::sensor::{Curve, fit};

/// The temperatures people may ask for.
const COLDEST: f64 = -273.15;
const HOTTEST: f64 = 3000.0;

const FIELDS: &[Field] = &[
    Field::rows(
        "readings",
        "Readings",
        &[
            Field::word("at", "Bath, °C"),
            Field::number("ohm", "Resistance", OHM)
                .above(0.0, "a sensor resists")
                .at_most(1e12, "no sensor resists more"),
            Field::number("error", "Error, ±", TEMP_DIFF)
                .optional()
                .at_least(0.0, "an error is a half width")
                .at_most(HOTTEST, "more would be no reading"),
        ],
    )
    .help("a temperature in °C, ice for melting ice, boil for boiling water; the resistance; the error in kelvin, else 1"),
    Field::number("meter", "Error of the meter, ±", PERCENT)
        .default("1")
        .at_least(0.0, "an error is a half width")
        .at_most(100.0, "more would be no meter")
        .help("of the reading, by the meter's data sheet"),
    Field::number("lead", "Resistance of the test leads", OHM)
        .default("0")
        .at_least(0.0, "leads resist or are not there")
        .at_most(1e9, "no lead resists more")
        .help("hold the tips together and read it; it matters for a Pt100"),
    Field::number("pressure", "Air pressure where you stand", HPA)
        .optional()
        .at_least(LIMITS_HPA.0, "water does not boil below its triple point")
        .at_most(LIMITS_HPA.1, "water has no boiling point over its critical one")
        .usual(500.0, 1085.0, "air pressures on Earth; not reduced to sea level")
        .help("not reduced to sea level, as weather reports are; or give the altitude"),
    Field::number("boil_altitude", "Altitude where you stand", M)
        .optional()
        .at_least(LIMITS_M.0, "nobody boils water lower")
        .at_most(LIMITS_M.1, "the standard atmosphere's formula ends there")
        .help("in place of the pressure"),
    Field::number("target", "Temperature where it will be used", CELSIUS)
        .above(COLDEST, "nothing is colder")
        .at_most(HOTTEST, "no sensor stands more"),
    Field::rows(
        "own",
        "Own candidates",
        &[
            Field::word("name", "Name"),
            Field::number("r25", "Resistance at 25 °C", OHM)
                .above(0.0, "a sensor resists")
                .at_most(1e12, "no thermistor resists more"),
            Field::number("beta", "Beta", TEMP_DIFF)
                .above(0.0, "a thermistor's resistance falls as it warms")
                .at_most(1e5, "no thermistor has more"),
        ],
    )
    .optional()
    .help("thermistors beside the built-in ones"),
];

const CHI: &str = "Chi-square of ln R; half widths ÷ √3 by the GUM (JCGM 100:2008), 4.3.7";
const LINE: &str = "Least squares of ln R over 1/T, weighted by each reading's uncertainty; k = 2";
const STEINHART_HART: &str = "J. S. Steinhart and S. R. Hart, Calibration curves for thermistors, Deep-Sea Research 15 (1968); least squares";

const ANSWERS: &[Answer] = &[
    Answer::text("best", "Most likely").headline(),
    Answer::text("verdict", "Verdict").headline(),
    Answer::number("next", "Next reading worth taking, at", CELSIUS)
        .fixed(0)
        .headline()
        .formula(
            "where from 0 to 100 °C the two best differ most for the errors of a reading",
            CHI,
        ),
    Answer::text("why", "Why, and what to do next"),
    Answer::number("boils", "Water boils here at", CELSIUS)
        .fixed(2)
        .formula(
            "saturation temperature of water at {pressure}",
            "IAPWS-IF97, equation (31); altitude by ISO 2533",
        ),
    Answer::rows(
        "ranked",
        "Candidates",
        &[
            head("Candidate", "", 1),
            head("Chi-square", "", 3),
            places("Probability", "", 3),
        ],
    ),
    Answer::rows(
        "at_target",
        "True temperature when set for the most likely",
        &[head("If it is", "", 1), head("True temperature", "C", 4)],
    ),
    Answer::number("spread", "Spread at the target", TEMP_DIFF)
        .significant(2)
        .formula("largest less smallest true temperature", "Definition"),
    Answer::number("fit_beta", "Beta of the readings", TEMP_DIFF)
        .significant(4)
        .formula("slope of ln R over 1/T", LINE),
    Answer::number("fit_beta_u", "Its uncertainty, ± (k = 2)", TEMP_DIFF)
        .significant(2)
        .formula("2 × standard uncertainty of the slope", LINE),
    Answer::number("fit_a", "Steinhart-Hart A of the readings", ONE)
        .significant(9)
        .formula(
            "1/T = A + B ln R + C (ln R)³ through or nearest to the readings",
            STEINHART_HART,
        ),
    Answer::number("fit_b", "Steinhart-Hart B of the readings", ONE)
        .significant(9)
        .formula("B of the same curve", STEINHART_HART),
    Answer::number("fit_c", "Steinhart-Hart C of the readings", ONE)
        .significant(9)
        .formula("C of the same curve", STEINHART_HART),
];

const CAUTIONS: &[Caution] = &[
    Caution::always(
        "room",
        "Room temperature alone is no proof: sensors that agree there can be 30 K apart at a hot end.",
        "Take a reading in ice water and one in boiling water before any heater is switched on.",
    ),
    Caution::always(
        "first_heat",
        "A sensor taken for another lets the heater run hotter than shown.",
        "Watch the first heat-up, limit it to 100 °C, compare with an independent thermometer; fit an independent thermal fuse.",
    ),
    Caution::always(
        "water",
        "Boiling water scalds, and water in a plug or a meter shorts it.",
        "Unplug the sensor from the machine, seal it in a thin bag or sleeve, hold it clear of the kettle's element.",
    ),
    Caution::raised(
        "open",
        "No candidate fits: whatever is set now would show a wrong temperature.",
        "Do not heat with this sensor; take more readings, or replace it with one that has a data sheet.",
    ),
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "identify",
    title: "Which sensor is this?",
    about: "a meter, a cup of ice water and a kettle tell which sensor it is, and what a wrong guess would cost",
    search: "unknown thermistor ntc pt100 pt1000 measure ice boiling identify beta",
    subject: Subject::Heat,
    fields: FIELDS,
    answers: ANSWERS,
    checks: &[],
    cautions: CAUTIONS,
    work,
};

/// More than this probability makes a candidate plausible.
const PLAUSIBLE: f64 = 0.05;

/// A best candidate that true readings would miss by so much less often than this does not fit.
const UNLIKELY: f64 = 0.01;

/// The error of a reading that names none, and of the one to come, K.
const USUAL_ERROR_K: f64 = 1.0;

/// A candidate with how well it fits.
struct Ranked<'a> {
    candidate: Candidate<'a>,
    chi_square: f64,
    probability: f64,
}

/// What is said before there is a reading.
const BEGIN: &str = "Begin in melting ice, stirred, once the meter stands still; then in boiling water; then at room temperature beside a thermometer. Each reading is a row.";

fn work(inputs: &Inputs, out: &mut Outcome) {
    let boils = boils(inputs, out);
    out.put("boils", boils);
    let Some(readings) = readings(inputs, out, boils) else {
        if !inputs.typed("readings") {
            out.put_text("why", BEGIN);
        }
        return;
    };
    let Some(meter) = inputs.num("meter").map(|percent| percent / 100.0) else {
        return;
    };
    fitted(out, &readings, meter);
    if meter <= 0.0 && readings.iter().any(|reading| reading.error_k <= 0.0) {
        out.problem(
            "meter",
            "Error of the meter: enter more than 0; without any error nothing can be told apart.",
        );
        return;
    }
    let own = own(inputs);
    let ranked = ranked(&readings, meter, own);
    let Some(best) = ranked.first() else { return };

    out.put_text("best", String::from(best.candidate.name));
    out.put_rows("ranked", ranked.iter().map(row).collect());
    let next = ranked.get(1).and_then(|second| {
        best_reading_c(
            &best.candidate.curve,
            &second.candidate.curve,
            meter,
            USUAL_ERROR_K,
        )
    });
    out.put("next", next);
    let plausible: Vec<&Ranked> = ranked
        .iter()
        .filter(|ranked| ranked.probability > PLAUSIBLE)
        .collect();
    if let Some(target) = inputs.num("target") {
        at_target(out, &best.candidate.curve, &plausible, target);
    }
    verdict(out, &readings, &plausible, best, next);
}

fn row(ranked: &Ranked) -> Vec<Cell> {
    [
        Cell::Text(Cow::Owned(String::from(ranked.candidate.name))),
        Cell::number(ranked.chi_square),
        Cell::number(ranked.probability),
    ]
    .into()
}

/// Where water boils, by pressure or altitude, else at sea level.
fn boils(inputs: &Inputs, out: &mut Outcome) -> Option<f64> {
    if inputs.typed("pressure") && inputs.typed("boil_altitude") {
        out.problem(
            "boil_altitude",
            "Altitude where you stand: give the pressure or the altitude, not both.",
        );
        return None;
    }
    // A pressure or altitude that cannot be read is not sea level.
    let pressure = match (inputs.typed("pressure"), inputs.typed("boil_altitude")) {
        (true, _) => inputs.num("pressure")?,
        (_, true) => standard_hpa(inputs.num("boil_altitude")?),
        _ => SEA_LEVEL_HPA,
    };
    out.stand_in("pressure", pressure);
    Some(boiling_c(pressure))
}

/// The readings with their temperatures; `None` when there are none, or one cannot be used.
fn readings(inputs: &Inputs, out: &mut Outcome, boils: Option<f64>) -> Option<Vec<Reading>> {
    let lead = inputs.num("lead")?;
    let mut readings = Vec::new();
    let mut at_sea_level = false;
    for (index, row) in inputs.rows("readings")?.iter().enumerate() {
        let place = format!("Readings, row {}", index + 1);
        let text = row.word(0)?.trim();
        let celsius = if text.eq_ignore_ascii_case("ice") {
            0.0
        } else if text.eq_ignore_ascii_case("boil") {
            at_sea_level = true;
            boils?
        } else {
            match read_number(text, CELSIUS) {
                Ok(number) if number.value > COLDEST && number.value <= HOTTEST => number.value,
                _ => {
                    out.problem(
                        "readings",
                        format!("{place}: Temperature: enter a temperature in °C, such as 21.5, or ice or boil."),
                    );
                    return None;
                }
            }
        };
        let ohm = row.num(1)? - lead;
        if ohm <= 0.0 {
            out.problem(
                "lead",
                format!(
                    "Resistance of the test leads: enter less than the reading of row {}.",
                    index + 1
                ),
            );
            return None;
        }
        readings.push(Reading {
            celsius,
            error_k: row.num(2).unwrap_or(USUAL_ERROR_K),
            ohm,
        });
    }
    let typed = inputs.typed("pressure") || inputs.typed("boil_altitude");
    if at_sea_level && !typed {
        out.warn(
            "pressure",
            "Air pressure where you stand: blank is taken as 1013.25 hPa. At 1,000 m water boils 3.3 K lower.",
        );
    }
    (!readings.is_empty()).then_some(readings)
}

/// Beta and Steinhart-Hart coefficients of the readings themselves.
fn fitted(out: &mut Outcome, readings: &[Reading], meter: f64) {
    if let Some(line) = fit_beta(readings, meter) {
        out.put("fit_beta", line.beta_k);
        out.put("fit_beta_u", line.beta_u_k);
    }
    let points: Vec<(f64, f64)> = readings.iter().map(|r| (r.celsius, r.ohm)).collect();
    if let Ok(fit) = fit::steinhart(&points) {
        out.put("fit_a", fit.curve.a);
        out.put("fit_b", fit.curve.b);
        out.put("fit_c", fit.curve.c);
    }
}

/// The candidates that were typed.
fn own(inputs: &Inputs) -> Vec<Candidate<'_>> {
    let rows = inputs.rows("own").unwrap_or_default().iter();
    rows.filter_map(|row| {
        Some(Candidate {
            name: row.word(0)?,
            curve: Curve::Beta {
                r25: row.num(1)?,
                beta: row.num(2)?,
            },
        })
    })
    .collect()
}

/// Every candidate that has a resistance at each reading, the likeliest first.
fn ranked<'a>(readings: &[Reading], meter: f64, own: Vec<Candidate<'a>>) -> Vec<Ranked<'a>> {
    let mut ranked: Vec<Ranked> = Vec::new();
    for candidate in BUILT_IN.into_iter().chain(own) {
        if let Some(chi_square) = chi_square(readings, meter, &candidate.curve) {
            let place = ranked.partition_point(|other| other.chi_square <= chi_square);
            let probability = 0.0;
            ranked.insert(
                place,
                Ranked {
                    candidate,
                    chi_square,
                    probability,
                },
            );
        }
    }
    let least = ranked.first().map_or(0.0, |best| best.chi_square);
    let likelihood = |chi_square: f64| libm::exp(-(chi_square - least) / 2.0);
    let sum: f64 = ranked.iter().map(|r| likelihood(r.chi_square)).sum();
    for ranked in &mut ranked {
        ranked.probability = likelihood(ranked.chi_square) / sum;
    }
    ranked
}

/// What each plausible candidate would truly be at when the controller, set for the best, shows the target.
fn at_target(out: &mut Outcome, best: &Curve, plausible: &[&Ranked], target: f64) {
    let Some(ohm) = best.resistance_ohm(target) else {
        return;
    };
    let (mut rows, mut low, mut high) = (Vec::new(), f64::INFINITY, f64::NEG_INFINITY);
    for ranked in plausible {
        // The best one shows the truth, without the rounding of there and back.
        let truth = if ranked.candidate.curve == *best {
            Some(target)
        } else {
            ranked.candidate.curve.temperature_c(ohm)
        };
        if let Some(truth) = truth {
            (low, high) = (low.min(truth), high.max(truth));
        }
        rows.push(
            [
                Cell::Text(Cow::Owned(String::from(ranked.candidate.name))),
                Cell::number(truth),
            ]
            .into(),
        );
    }
    out.put_rows("at_target", rows);
    out.put("spread", high - low);
}

/// Named, several or none, and why.
fn verdict(
    out: &mut Outcome,
    readings: &[Reading],
    plausible: &[&Ranked],
    best: &Ranked,
    next: Option<f64>,
) {
    let name = best.candidate.name;
    let chi = write_significant(best.chi_square, 3);
    let next = next.map_or(String::new(), |celsius| {
        format!(" Next, take a reading at {} °C.", write_fixed(celsius, 0))
    });
    let (verdict, why) = if tail(best.chi_square, readings.len()) < UNLIKELY {
        out.caution("open");
        let advice = contradiction(readings).unwrap_or_else(|| misfit(readings).into());
        (
            "none",
            format!(
                "Even the nearest, {name}, misses the readings by more than their errors allow (chi-square {chi}). {advice}"
            ),
        )
    } else if readings.len() < 2 {
        (
            "several",
            format!(
                "One reading names no sensor, however well {name} fits it: others can pass through the same point.{next}"
            ),
        )
    } else if plausible.len() > 1 {
        let names: Vec<&str> = plausible.iter().map(|r| r.candidate.name).collect();
        (
            "several",
            format!("The readings do not tell apart {}.{next}", names.join(", ")),
        )
    } else {
        (
            "named",
            format!(
                "{name} fits the readings (chi-square {chi}), and no other candidate is over 5 %."
            ),
        )
    };
    out.put_text("verdict", verdict);
    out.put_text("why", why);
}

/// What to do when no candidate fits.
fn misfit(readings: &[Reading]) -> &'static str {
    if readings.iter().all(|reading| reading.ohm < 50.0) {
        "A few ohms are a thermocouple, a heater or a short, no thermistor: the sensor sheet takes a thermocouple's voltage."
    } else {
        "Check each reading, the unit of the resistance and the test leads; if they hold, type the part's own figures as a candidate."
    }
}

/// Two readings of nearly one temperature and clearly two resistances, or a resistance that rises and falls.
fn contradiction(readings: &[Reading]) -> Option<String> {
    let mut order: Vec<(usize, &Reading)> = Vec::new();
    for (number, reading) in (1..).zip(readings) {
        let place = order.partition_point(|(_, other)| other.celsius <= reading.celsius);
        order.insert(place, (number, reading));
    }
    // No sensor of the kind changes by more than 8 % a kelvin, nor can a reading be off by more than twice its error.
    let slack = |a: &Reading, b: &Reading| {
        0.05 + 0.08 * (libm::fabs(a.celsius - b.celsius) + a.error_k + b.error_k)
    };
    let mut before: Option<(usize, f64)> = None;
    for pair in order.windows(2) {
        if let [(i, a), (j, b)] = pair {
            let change = libm::log(b.ohm / a.ohm);
            if libm::fabs(change) > slack(a, b) {
                return Some(format!(
                    "Rows {i} and {j} contradict each other: no sensor changes so much between them. Take both again."
                ));
            }
            if let Some((first, other)) = before
                && change * other < 0.0
                && libm::fabs(change).min(libm::fabs(other)) > 0.05
            {
                return Some(format!(
                    "Between rows {first} and {j} the resistance turns back, which no sensor's does. Take them again."
                ));
            }
            before = Some((*i, change));
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::super::outcome::Found;
    use super::super::report::Report;
    use super::super::trial::{faults, number, text};
    use super::*;

    fn run(pairs: &[(&str, &str)]) -> Report {
        SHEET.run(&pairs.iter().copied().collect())
    }

    fn readings(rows: &str) -> Report {
        run(&[("readings", rows), ("target", "200")])
    }

    fn rows<'a>(report: &'a Report, key: &str) -> &'a [Vec<Cell>] {
        match report.found(key) {
            Some(Found::Rows(rows)) => rows,
            _ => &[],
        }
    }

    fn first(report: &Report, key: &str) -> (String, Vec<f64>) {
        let row = rows(report, key).first().expect("a row");
        let name = match row.first() {
            Some(Cell::Text(text)) => String::from(text.as_ref()),
            _ => String::new(),
        };
        let numbers = row.iter().filter_map(|cell| match cell {
            Cell::Number(x) => Some(*x),
            _ => None,
        });
        (name, numbers.collect())
    }

    #[test]
    fn ice_and_kettle_name_a_100k_bead() {
        let report = readings("ice,336600;boil,6980");
        assert_eq!(text(&report, "verdict"), "named");
        assert_eq!(text(&report, "best"), "NTC 100k B 3950");
        let (name, numbers) = first(&report, "ranked");
        assert_eq!(name, "NTC 100k B 3950");
        assert!(numbers.get(1).is_some_and(|p| *p > 0.95));
        assert!((number(&report, "boils") - 99.974).abs() < 1e-3);
        assert!((number(&report, "fit_beta") - 3950.0).abs() < 60.0);
        assert!(number(&report, "spread").abs() < 1e-12);
        // The page says what the boiling point was taken for.
        assert!(report.warnings.iter().any(|w| w.field == "pressure"));
    }

    #[test]
    fn a_pt1000_is_told_with_its_leads_taken_off() {
        let pairs = [
            ("readings", "ice,1000.4,0.5;boil,1385.3,0.5"),
            ("lead", "0.4"),
            ("pressure", "1013.25"),
        ];
        let report = run(&pairs);
        assert_eq!(text(&report, "verdict"), "named");
        assert_eq!(text(&report, "best"), "Pt1000");
        assert!(report.warnings.is_empty());
        // Without a target the rest stands.
        assert!(report.found("at_target").is_none() && report.found("spread").is_none());
    }

    #[test]
    fn one_reading_never_names() {
        let report = readings("ice,1000");
        assert_eq!(text(&report, "best"), "Pt1000");
        assert_eq!(text(&report, "verdict"), "several");
        assert!(report.found("fit_beta").is_none());
    }

    #[test]
    fn room_temperature_leaves_several_and_asks_for_the_kettle() {
        let report = readings("25,100k;26,95700");
        assert_eq!(text(&report, "verdict"), "several");
        assert!((number(&report, "next") - 100.0).abs() < 1e-12);
        assert!(number(&report, "spread") > 5.0);
        assert!(rows(&report, "at_target").len() >= 3);
    }

    #[test]
    fn readings_that_contradict_each_other_are_told_so() {
        let report = readings("25,100k;25,50k");
        assert_eq!(text(&report, "verdict"), "none");
        assert!(text(&report, "why").contains("Rows 1 and 2 contradict"));
        assert!(report.cautions.iter().any(|c| c.id == "open"));
        let report = readings("0,10k;25,20k;50,10k");
        assert!(text(&report, "why").contains("turns back"));
    }

    #[test]
    fn an_own_candidate_takes_part() {
        let pairs = [("readings", "ice,69k;boil,1500"), ("own", "mine,22k,3900")];
        let report = run(&pairs);
        assert_eq!(text(&report, "best"), "mine");
        assert_eq!(rows(&report, "ranked").len(), BUILT_IN.len() + 1);
    }

    #[test]
    fn three_readings_give_steinhart_hart() {
        let report = readings("ice,336600;25,100k;boil,6980");
        for key in ["fit_a", "fit_b", "fit_c"] {
            assert!(report.number(key).is_some());
        }
        assert!(readings("ice,336600;boil,6980").found("fit_a").is_none());
    }

    #[test]
    fn messages_stand_where_the_mistake_is() {
        assert_eq!(faults(&readings("warm,100k")), ["readings"]);
        assert_eq!(faults(&readings("25")), ["readings"]);
        assert_eq!(faults(&readings("25,0")), ["readings"]);
        assert_eq!(
            faults(&run(&[("readings", "25,5"), ("lead", "6")])),
            ["lead"]
        );
        let both = [("pressure", "900"), ("boil_altitude", "1000")];
        assert_eq!(faults(&run(&both)), ["boil_altitude"]);
        assert_eq!(
            faults(&run(&[("readings", "25,5,0"), ("meter", "0")])),
            ["meter"]
        );
        assert!(faults(&readings("")).is_empty());
    }

    #[test]
    fn water_boils_lower_up_high() {
        let report = run(&[("boil_altitude", "1000")]);
        assert!((number(&report, "boils") - 96.64).abs() < 0.02);
        let report = run(&[("pressure", "898.75")]);
        assert!((number(&report, "boils") - 96.64).abs() < 0.02);
    }
}
