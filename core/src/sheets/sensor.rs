//! `sensor`: convert, and know the error.

use alloc::borrow::Cow;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use super::declare::{Answer, Caution, Check, Field, Scale, Sheet, Subject, When, choice, head};
use super::inputs::{Inputs, Origin};
use super::outcome::{Outcome, State};
use crate::entry::unit::{CELSIUS, MV, MW, MW_K, OHM, ONE, PERCENT, TEMP_DIFF, V};
use crate::entry::write::{write_fixed, write_shortest};
use crate::sensor::divider::{Cause as DividerCause, Divider};
use crate::sensor::fit::{self, Cause as FitCause, Fit};
use crate::sensor::ntc::{Beta, beta_between_k};
use crate::sensor::uncertainty::{HalfWidths, Terms, per_count_k};
use crate::sensor::{Curve, thermocouple};

const BETA: When = &[("kind", &["beta"])];
const STEINHART: When = &[("kind", &["steinhart"])];
const POINTS: When = &[("kind", &["points"])];
const PLATINUM: When = &[("kind", &["platinum"])];
const THERMOCOUPLE: When = &[("kind", &["thermocouple_k"])];
const THERMISTOR: When = &[("kind", &["beta", "steinhart", "points"])];
const RESISTIVE: When = &[("kind", RESISTIVE_KINDS)];
const RESISTIVE_KINDS: &[&str] = &["beta", "steinhart", "points", "platinum"];
const BY_RESISTANCE: When = &[("give", &["resistance"])];
const BY_COUNT: When = &[("give", &["count"])];
const BY_VOLTAGE: When = &[("give", &["voltage"]), ("kind", RESISTIVE_KINDS)];
const BETA_BY_TEMPERATURE: When = &[("kind", &["beta"]), ("give", &["temperature"])];
const STEINHART_BY_TEMPERATURE: When = &[
    ("kind", &["steinhart", "points"]),
    ("give", &["temperature"]),
];
const PLATINUM_BY_TEMPERATURE: When = &[("kind", &["platinum"]), ("give", &["temperature"])];
const AS: When = &[("as", &["beta", "steinhart"])];
const AS_BETA: When = &[("as", &["beta"])];
const AS_STEINHART: When = &[("as", &["steinhart"])];

/// The temperatures people may ask for; curves end earlier and say so.
const COLDEST: f64 = -273.15;
const HOTTEST: f64 = 3000.0;

const FIELDS: &[Field] = &[
    Field::choice(
        "kind",
        "Sensor",
        &[
            choice("beta", "Thermistor by R25 and beta"),
            choice("steinhart", "Thermistor by Steinhart-Hart"),
            choice("points", "Thermistor by measured points"),
            choice("platinum", "Platinum (Pt100, Pt1000)"),
            choice("thermocouple_k", "Thermocouple type K"),
        ],
    ),
    Field::number("r25", "Resistance at 25 °C", OHM)
        .above(0.0, "a sensor resists")
        .at_most(1e12, "no thermistor resists more")
        .help("100k, 4k7 or 10 kΩ")
        .when(BETA),
    Field::number("beta", "Beta", TEMP_DIFF)
        .above(0.0, "a thermistor's resistance falls as it warms")
        .at_most(1e5, "no thermistor has more")
        .usual(2500.0, 5500.0, "thermistors of such machines")
        .help("by the data sheet, usually for 25 and 85 °C")
        .when(BETA),
    Field::number("a", "Coefficient A", ONE)
        .help("1/T = A + B ln R + C (ln R)³, T in kelvin, R in ohm")
        .when(STEINHART),
    Field::number("b", "Coefficient B", ONE).when(STEINHART),
    Field::number("c", "Coefficient C", ONE).when(STEINHART),
    Field::rows(
        "points",
        "Measured points",
        &[
            Field::number("celsius", "Temperature", CELSIUS)
                .above(COLDEST, "nothing is colder")
                .at_most(HOTTEST, "no thermistor stands more"),
            Field::number("ohm", "Resistance", OHM)
                .above(0.0, "a sensor resists")
                .at_most(1e12, "no thermistor resists more"),
        ],
    )
    .help("three give the curve, more the nearest one")
    .when(POINTS),
    Field::number("r0", "Resistance at 0 °C", OHM)
        .default("100")
        .above(0.0, "a sensor resists")
        .at_most(1e9, "no platinum sensor resists more")
        .help("100 for a Pt100, 1k for a Pt1000")
        .when(PLATINUM),
    Field::number("cold", "Cold junction", CELSIUS)
        .default("25")
        .at_least(-270.0, "the type K table begins there")
        .at_most(1372.0, "the type K table ends there")
        .help("where the thermocouple's wires meet copper")
        .when(THERMOCOUPLE),
    Field::number("pullup", "Pull-up resistor", OHM)
        .above(0.0, "a pull-up resists")
        .at_most(1e12, "no pull-up resists more")
        .help("from the reference to the node; the sensor goes to ground")
        .when(RESISTIVE),
    Field::number("series", "Series resistor", OHM)
        .default("0")
        .at_least(0.0, "a resistor resists or is not there")
        .at_most(1e12, "no resistor resists more")
        .help("between the node and the sensor")
        .when(RESISTIVE),
    Field::count("bits", "Bits of the converter")
        .default("12")
        .at_least(2.0, "fewer tell nothing")
        .at_most(32.0, "no converter has more")
        .when(RESISTIVE),
    Field::number("reference", "Reference voltage", V)
        .default("3.3")
        .above(0.0, "a reference has a voltage")
        .at_most(1000.0, "no converter stands more")
        .when(RESISTIVE),
    Field::choice(
        "give",
        "Convert from",
        &[
            choice("resistance", "Resistance"),
            choice("temperature", "Temperature"),
            choice("count", "Count of the converter"),
            choice("voltage", "Voltage at the node"),
        ],
    )
    .when(RESISTIVE),
    Field::choice(
        "give",
        "Convert from",
        &[
            choice("temperature", "Temperature"),
            choice("voltage", "Thermocouple voltage"),
        ],
    )
    .when(THERMOCOUPLE),
    Field::number("value", "Resistance to convert", OHM)
        .above(0.0, "a sensor resists")
        .at_most(1e15, "nothing resists more")
        .when(&[("give", &["resistance"])]),
    Field::number("value", "Temperature to convert", CELSIUS)
        .above(COLDEST, "nothing is colder")
        .at_most(HOTTEST, "no sensor stands more")
        .when(&[("give", &["temperature"])]),
    Field::number("value", "Count to convert", ONE)
        .at_least(0.0, "a converter counts from 0")
        .at_most(4_294_967_295.0, "no converter counts further")
        .when(&[("give", &["count"])]),
    Field::number("value", "Voltage to convert", V)
        .at_least(0.0, "the node lies between ground and reference")
        .at_most(1000.0, "no converter stands more")
        .when(&[("give", &["voltage"]), ("kind", RESISTIVE_KINDS)]),
    Field::number("value", "Thermocouple voltage to convert", MV)
        .at_least(-1000.0, "no thermocouple gives more")
        .at_most(1000.0, "no thermocouple gives more")
        .help("between its wires at the cold junction")
        .when(&[("give", &["voltage"]), ("kind", &["thermocouple_k"])]),
    Field::number("r_tol", "Tolerance of the sensor's resistance, ±", PERCENT)
        .optional()
        .at_least(0.0, "a tolerance is a half width")
        .at_most(100.0, "more would be no sensor")
        .when(RESISTIVE),
    Field::number("beta_tol", "Tolerance of beta, ±", PERCENT)
        .optional()
        .at_least(0.0, "a tolerance is a half width")
        .at_most(100.0, "more would be no sensor")
        .when(BETA),
    Field::number("pullup_tol", "Tolerance of the pull-up, ±", PERCENT)
        .default("1")
        .at_least(0.0, "a tolerance is a half width")
        .at_most(100.0, "more would be no resistor")
        .when(RESISTIVE),
    Field::number("count_err", "Error of the count, ±", ONE)
        .default("1")
        .at_least(0.0, "an error is a half width")
        .at_most(1e9, "no converter is that far off")
        .when(RESISTIVE),
    Field::number("dissipation", "Dissipation factor", MW_K)
        .optional()
        .above(0.0, "a sensor sheds heat")
        .at_most(1e9, "no sensor sheds more")
        .help("by the data sheet, for the self-heating")
        .when(RESISTIVE),
    Field::number("low", "Table from", CELSIUS)
        .default("0")
        .above(COLDEST, "nothing is colder")
        .at_most(HOTTEST, "no sensor stands more"),
    Field::number("high", "Table to", CELSIUS)
        .default("300")
        .above(COLDEST, "nothing is colder")
        .at_most(HOTTEST, "no sensor stands more"),
    Field::choice(
        "as",
        "Controller is set for",
        &[
            choice("beta", "R25 and beta"),
            choice("steinhart", "Steinhart-Hart"),
        ],
    )
    .optional()
    .help("a second curve: what would the controller show?")
    .when(RESISTIVE),
    Field::number("as_r25", "Its resistance at 25 °C", OHM)
        .above(0.0, "a sensor resists")
        .at_most(1e12, "no thermistor resists more")
        .when(AS_BETA),
    Field::number("as_beta", "Its beta", TEMP_DIFF)
        .above(0.0, "a thermistor's resistance falls as it warms")
        .at_most(1e5, "no thermistor has more")
        .when(AS_BETA),
    Field::number("as_a", "Its coefficient A", ONE).when(AS_STEINHART),
    Field::number("as_b", "Its coefficient B", ONE).when(AS_STEINHART),
    Field::number("as_c", "Its coefficient C", ONE).when(AS_STEINHART),
];

const STEINHART_HART: &str = "J. S. Steinhart and S. R. Hart, Calibration curves for thermistors, Deep-Sea Research 15 (1968)";
const BETA_MODEL: &str = "Beta model of a thermistor: 1/T = 1/298.15 K + ln(R ÷ R25) ÷ beta; common practice of data sheets";
const IEC_60751: &str = "IEC 60751, resistance of platinum, both ranges";
const ITS_90: &str =
    "ITS-90 reference function of type K (NIST Monograph 175), inverted numerically";
const GUM: &str = "GUM (JCGM 100:2008) 5.1.2, rectangular half widths by 4.3.7, k = 2";
const DIVIDER: &str = "Voltage divider";

const ANSWERS: &[Answer] = &[
    Answer::number("temperature", "Temperature", CELSIUS)
        .fixed(2)
        .headline()
        .formula("1 ÷ (1 ÷ 298.15 + ln({resistance} ÷ {r25}) ÷ {beta}) − 273.15", BETA_MODEL)
        .when(BETA),
    Answer::number("temperature", "Temperature", CELSIUS)
        .fixed(2)
        .headline()
        .formula("1 ÷ ({a} + {b} × ln({resistance}) + {c} × ln({resistance})³) − 273.15", STEINHART_HART)
        .when(&[("kind", &["steinhart", "points"])]),
    Answer::number("temperature", "Temperature", CELSIUS)
        .fixed(2)
        .headline()
        .formula("the temperature at which {r0} × (1 + 3.9083e-3 T − 5.775e-7 T²), below 0 °C − 4.183e-12 (T − 100) T³ more, is {resistance}", IEC_60751)
        .when(PLATINUM),
    Answer::number("temperature", "Temperature", CELSIUS)
        .fixed(2)
        .headline()
        .formula("the temperature at which E(T) is {millivolts} + E({cold})", ITS_90)
        .when(THERMOCOUPLE),
    Answer::number("resistance", "Resistance", OHM).significant(6).formula("{value}", "As typed").when(BY_RESISTANCE),
    Answer::number("resistance", "Resistance", OHM).significant(6).formula("({pullup} × x ÷ (1 − x)) − {series}, x = {value} ÷ (2^{bits} − 1)", DIVIDER).when(BY_COUNT),
    Answer::number("resistance", "Resistance", OHM).significant(6).formula("({pullup} × x ÷ (1 − x)) − {series}, x = {value} ÷ {reference}", DIVIDER).when(BY_VOLTAGE),
    Answer::number("resistance", "Resistance", OHM).significant(6).formula("{r25} × exp({beta} × (1 ÷ ({value} + 273.15) − 1 ÷ 298.15))", BETA_MODEL).when(BETA_BY_TEMPERATURE),
    Answer::number("resistance", "Resistance", OHM).significant(6).formula("the resistance at which the sensor's curve is at {value}", STEINHART_HART).when(STEINHART_BY_TEMPERATURE),
    Answer::number("resistance", "Resistance", OHM).significant(6).formula("{r0} × (1 + 3.9083e-3 T − 5.775e-7 T²), below 0 °C − 4.183e-12 (T − 100) T³ more, at {value}", IEC_60751).when(PLATINUM_BY_TEMPERATURE),
    Answer::number("millivolts", "Thermocouple voltage", MV)
        .fixed(3)
        .formula("E({temperature}) − E({cold})", ITS_90)
        .when(THERMOCOUPLE),
    Answer::number("count", "Count", ONE)
        .fixed(1)
        .formula("(2^{bits} − 1) × ({resistance} + {series}) ÷ ({resistance} + {series} + {pullup})", DIVIDER)
        .when(RESISTIVE),
    Answer::number("voltage", "Voltage at the node", V)
        .formula("{reference} × ({resistance} + {series}) ÷ ({resistance} + {series} + {pullup})", DIVIDER)
        .when(RESISTIVE),
    Answer::number("per_count", "One count is", TEMP_DIFF).significant(3).formula("1 ÷ (counts an ohm × ohms a kelvin) at {temperature}", "Chain rule, slopes of divider and curve").when(RESISTIVE),
    Answer::number("uncertainty", "Uncertainty, ± (k = 2)", TEMP_DIFF)
        .significant(2)
        .headline()
        .formula("2 × √(sum of (each term ÷ √3)²)", GUM)
        .when(RESISTIVE),
    Answer::number("worst", "Worst case, ±", TEMP_DIFF)
        .significant(2)
        .formula("sum of the terms", "Sum of absolute terms")
        .when(RESISTIVE),
    Answer::number("a", "Steinhart-Hart A", ONE).significant(9).formula("1 ÷ 298.15 − ln({r25}) ÷ {beta}", BETA_MODEL).when(BETA),
    Answer::number("a", "Steinhart-Hart A", ONE).significant(9).formula("as typed", "As typed").when(STEINHART),
    Answer::number("a", "Steinhart-Hart A", ONE).significant(9).formula("1/T = A + B ln R + C (ln R)³ through or nearest to the points", STEINHART_HART).when(POINTS),
    Answer::number("b", "Steinhart-Hart B", ONE).significant(9).formula("1 ÷ {beta}", BETA_MODEL).when(BETA),
    Answer::number("b", "Steinhart-Hart B", ONE).significant(9).formula("as typed", "As typed").when(STEINHART),
    Answer::number("b", "Steinhart-Hart B", ONE).significant(9).formula("1/T = A + B ln R + C (ln R)³ through or nearest to the points", STEINHART_HART).when(POINTS),
    Answer::number("c", "Steinhart-Hart C", ONE).significant(9).formula("0 in the beta model", BETA_MODEL).when(BETA),
    Answer::number("c", "Steinhart-Hart C", ONE).significant(9).formula("as typed", "As typed").when(STEINHART),
    Answer::number("c", "Steinhart-Hart C", ONE).significant(9).formula("1/T = A + B ln R + C (ln R)³ through or nearest to the points", STEINHART_HART).when(POINTS),
    Answer::number("beta_25_85", "Beta between 25 and 85 °C", TEMP_DIFF)
        .significant(5)
        .formula("ln(R25 ÷ R85) ÷ (1 ÷ 298.15 − 1 ÷ 358.15)", BETA_MODEL)
        .when(THERMISTOR),
    Answer::number("fit_error", "Largest miss of the fitted curve", TEMP_DIFF).significant(2).formula("largest of curve less point", STEINHART_HART).when(POINTS),
    Answer::number("self_heat", "Heat in the sensor", MW)
        .significant(3)
        .formula("({reference} ÷ ({resistance} + {series} + {pullup}))² × {resistance}", "Joule's law")
        .when(RESISTIVE),
    Answer::number("self_heat_rise", "It reads high by self-heating", TEMP_DIFF)
        .significant(2)
        .formula("{self_heat} ÷ {dissipation}", "Definition of the dissipation factor")
        .when(RESISTIVE),
    Answer::number("open_reads", "Shown with the sensor unplugged", CELSIUS).fixed(0).formula("the curve one count inside the upper rail", DIVIDER).when(RESISTIVE),
    Answer::number("short_reads", "Shown with the sensor shorted", CELSIUS).fixed(0).formula("the curve one count inside the lower rail", DIVIDER).when(RESISTIVE),
    Answer::number("reads", "The controller shows", CELSIUS).fixed(1).headline().formula("temperature at which the curve it is set for has {resistance}", STEINHART_HART).when(AS),
    Answer::number("reads_error", "Error of what it shows", TEMP_DIFF)
        .fixed(1)
        .formula("{reads} − {temperature}", "Definition")
        .when(AS),
    Answer::curve(
        "curve",
        "Uncertainty over temperature",
        &[head("Temperature", "C", 4), head("Uncertainty", "K", 3)],
        Scale::Linear,
    )
    .when(RESISTIVE),
    Answer::curve(
        "curve_as",
        "What the controller shows",
        &[head("True temperature", "C", 4), head("Shown", "C", 4)],
        Scale::Linear,
    )
    .when(AS),
    Answer::curve(
        "table",
        "Resistance over temperature",
        &[head("Temperature", "C", 4), head("Resistance", "ohm", 5)],
        Scale::Logarithmic,
    )
    .when(THERMISTOR),
    Answer::curve(
        "table",
        "Resistance over temperature",
        &[head("Temperature", "C", 4), head("Resistance", "ohm", 6)],
        Scale::Linear,
    )
    .when(PLATINUM),
    Answer::curve(
        "table",
        "Voltage over temperature",
        &[head("Temperature", "C", 4), head("Voltage", "mV", 5)],
        Scale::Linear,
    )
    .when(THERMOCOUPLE),
];

const CHECKS: &[Check] = &[Check {
    id: "outside",
    label: "Range of the curve",
    measure: CELSIUS,
    within: "{value} lies within what the curve is known for.",
    near: "",
    over: "{value} lies beyond {limit}, the end of what the curve is known for: the number is a guess there.",
}];

const CAUTIONS: &[Caution] = &[
    Caution::raised(
        "reads_low",
        "The controller would show less than the true temperature: the heater runs hotter than shown, and can burn.",
        "Do not heat with this setting; set the sensor's own curve and check it with a second thermometer.",
    ),
    Caution::always(
        "first_heat",
        "A wrong curve, a loose sensor or a short lets the heater run away.",
        "Watch the first heat-up, keep it low, compare with an independent thermometer; fit an independent thermal fuse.",
    ),
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "sensor",
    title: "Temperature sensor",
    about: "resistance, count and temperature of a sensor, with the error they carry",
    search: "thermistor ntc pt100 pt1000 rtd thermocouple beta steinhart hart pull-up adc table curve uncertainty",
    subject: Subject::Heat,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: CAUTIONS,
    work,
};

/// A sensor's curve with the range it is known for.
#[derive(Clone, Copy)]
struct Known {
    curve: Curve,
    limits: Option<(f64, f64)>,
}

fn work(inputs: &Inputs, out: &mut Outcome) {
    let known = known(inputs, out);
    let span = span(inputs, out);
    let Some(known) = known else { return };
    let divider = divider(inputs);
    if matches!(known.curve, Curve::ThermocoupleK) {
        thermocouple(inputs, out, known, span);
        return;
    }
    let curve = known.curve;
    let half = HalfWidths {
        resistance_percent: inputs.num("r_tol").unwrap_or(0.0),
        beta_percent: match inputs.choice("kind") {
            "beta" => inputs.num("beta_tol").unwrap_or(0.0),
            _ => 0.0,
        },
        pullup_percent: inputs.num("pullup_tol").unwrap_or(0.0),
        counts: inputs.num("count_err").unwrap_or(0.0),
    };
    // A tolerance that cannot be read is not one of nothing.
    let toleranced = !["r_tol", "beta_tol", "pullup_tol", "count_err"]
        .iter()
        .any(|key| inputs.origin(key) == Origin::Bad);
    let other = second_curve(inputs);

    if let Some((celsius, ohm)) = converted(inputs, out, &curve, divider.as_ref()) {
        out.put("temperature", celsius);
        out.put("resistance", ohm);
        check_range(out, known, celsius);
        if let Some(divider) = &divider {
            out.put("count", divider.count(ohm));
            out.put("voltage", divider.voltage_v(ohm));
            out.put("per_count", per_count_k(celsius, &curve, divider));
            let heat = divider.sensor_power_w(ohm).map(|watts| 1000.0 * watts);
            out.put("self_heat", heat);
            let rise = heat
                .zip(inputs.num("dissipation"))
                .map(|(heat, factor)| heat / factor);
            out.put("self_heat_rise", rise);
            if toleranced && let Some(terms) = Terms::at(celsius, &curve, Some(divider), &half) {
                out.put("uncertainty", terms.expanded_k());
                out.put("worst", terms.worst_k());
            }
        }
        if let Some(reads) = other.and_then(|other| other.temperature_c(ohm)) {
            out.put("reads", reads);
            out.put("reads_error", reads - celsius);
            if reads - celsius < -READS_LOW_K {
                out.caution("reads_low");
            }
        }
    }
    if let Some(divider) = &divider {
        put_rail(
            out,
            "open_reads",
            known,
            divider.resistance_from_count(divider.full_count() - 1.0),
        );
        put_rail(
            out,
            "short_reads",
            known,
            divider.resistance_from_count(1.0),
        );
    }
    if let Some(span) = span {
        out.put_pairs(
            "table",
            span.filter_map(|t| Some((t, curve.resistance_ohm(inside(known, t)?)?))),
        );
        if toleranced && divider.is_some() {
            let at = |t| Terms::at(inside(known, t)?, &curve, divider.as_ref(), &half);
            out.put_pairs("curve", span.filter_map(|t| Some((t, at(t)?.expanded_k()))));
        }
        if let Some(other) = other {
            let shown = |t| other.temperature_c(curve.resistance_ohm(inside(known, t)?)?);
            out.put_pairs("curve_as", span.filter_map(|t| Some((t, shown(t)?))));
        }
    }
}

/// A controller that shows this much less than the truth is a danger, not a rounding.
const READS_LOW_K: f64 = 0.1;

/// Divisions of table and curves.
const TABLE_STEP_K: f64 = 5.0;

/// The temperatures of table and curves: every 5 C from `low`, and `high`.
#[derive(Clone, Copy)]
struct Span {
    low: f64,
    high: f64,
}

impl Span {
    fn filter_map<T>(self, row: impl Fn(f64) -> Option<T>) -> impl Iterator<Item = T> {
        let rows = (0_u32..)
            .map(move |i| self.low + TABLE_STEP_K * f64::from(i))
            .take_while(move |t| *t < self.high - 1e-9)
            .chain([self.high]);
        rows.filter_map(row)
    }
}

fn span(inputs: &Inputs, out: &mut Outcome) -> Option<Span> {
    let (low, high) = (inputs.num("low")?, inputs.num("high")?);
    if high <= low {
        out.problem(
            "high",
            format!(
                "Table to: enter a temperature above {} °C, where the table begins.",
                write_shortest(low, 6)
            ),
        );
        return None;
    }
    Some(Span { low, high })
}

/// The chosen sensor's curve.
fn known(inputs: &Inputs, out: &mut Outcome) -> Option<Known> {
    let curve = match inputs.choice("kind") {
        "beta" => Curve::Beta {
            r25: inputs.num("r25")?,
            beta: inputs.num("beta")?,
        },
        "steinhart" => Curve::Steinhart {
            a: inputs.num("a")?,
            b: inputs.num("b")?,
            c: inputs.num("c")?,
        },
        "points" => {
            let fit = fitted(inputs, out)?;
            out.put("fit_error", fit.largest_error_k);
            let curve = Curve::Steinhart {
                a: fit.curve.a,
                b: fit.curve.b,
                c: fit.curve.c,
            };
            put_coefficients(out, &curve);
            return Some(Known {
                curve,
                limits: Some(fit.span_c),
            });
        }
        "platinum" => Curve::Platinum {
            r0: inputs.num("r0")?,
        },
        "thermocouple_k" => Curve::ThermocoupleK,
        _ => return None,
    };
    put_coefficients(out, &curve);
    Some(Known {
        curve,
        limits: curve.limits_c(),
    })
}

/// The Steinhart-Hart coefficients of a thermistor's curve, and its beta.
fn put_coefficients(out: &mut Outcome, curve: &Curve) {
    let steinhart = match *curve {
        Curve::Beta { r25, beta } => Beta { r25, beta }.steinhart().map(|s| (s.a, s.b, s.c)),
        Curve::Steinhart { a, b, c } => Some((a, b, c)),
        Curve::Platinum { .. } | Curve::ThermocoupleK => return,
    };
    out.put("a", steinhart.map(|(a, ..)| a));
    out.put("b", steinhart.map(|(_, b, _)| b));
    out.put("c", steinhart.map(|(.., c)| c));
    let at = |celsius| Some((celsius, curve.resistance_ohm(celsius)?));
    let beta = at(25.0)
        .zip(at(85.0))
        .and_then(|(first, second)| beta_between_k(first, second));
    out.put("beta_25_85", beta);
}

/// The curve through the measured points, or nearest to them.
fn fitted(inputs: &Inputs, out: &mut Outcome) -> Option<Fit> {
    let rows = inputs.rows("points")?;
    let points: Vec<(f64, f64)> = rows
        .iter()
        .filter_map(|row| Some((row.num(0)?, row.num(1)?)))
        .collect();
    match fit::steinhart(&points) {
        Ok(fit) => {
            if !fit.falls {
                out.warn(
                    "points",
                    "Measured points: the curve through them turns back on itself. Check the rows.",
                );
            }
            Some(fit)
        }
        Err(cause) => {
            let words: Cow<'static, str> = match cause {
                FitCause::TooFew { .. } => {
                    "enter at least three rows of temperature and resistance, such as 25 °C and 100k".into()
                }
                FitCause::Ohm { row, .. } => {
                    format!("row {}: enter a resistance above 0", row + 1).into()
                }
                FitCause::Cold { row, .. } => {
                    format!("row {}: enter a temperature above absolute zero", row + 1).into()
                }
                FitCause::Alike { first, second } => format!(
                    "enter readings further apart; rows {} and {} say nearly the same",
                    first + 1,
                    second + 1
                )
                .into(),
                FitCause::NoCurve { row } => format!(
                    "enter row {} again; no curve of this kind passes near it",
                    row + 1
                )
                .into(),
            };
            out.problem("points", format!("Measured points: {words}."));
            None
        }
    }
}

/// The divider, when all its parts are known.
fn divider(inputs: &Inputs) -> Option<Divider> {
    let divider = Divider::new(
        inputs.num("pullup")?,
        inputs.num("series")?,
        inputs.count("bits")?,
        inputs.num("reference")?,
    );
    divider.ok()
}

/// The curve that the controller is set for.
fn second_curve(inputs: &Inputs) -> Option<Curve> {
    match inputs.choice("as") {
        "beta" => Some(Curve::Beta {
            r25: inputs.num("as_r25")?,
            beta: inputs.num("as_beta")?,
        }),
        "steinhart" => Some(Curve::Steinhart {
            a: inputs.num("as_a")?,
            b: inputs.num("as_b")?,
            c: inputs.num("as_c")?,
        }),
        _ => None,
    }
}

/// Temperature in C and resistance in ohm of what was given.
fn converted(
    inputs: &Inputs,
    out: &mut Outcome,
    curve: &Curve,
    divider: Option<&Divider>,
) -> Option<(f64, f64)> {
    let value = inputs.num("value")?;
    let label = inputs.field("value").map_or("", |field| field.label);
    let ohm = match inputs.choice("give") {
        "temperature" => {
            let ohm = curve.resistance_ohm(value);
            if ohm.is_none() {
                out.problem(
                    "value",
                    format!("{label}: enter a temperature on the sensor's curve; it has no resistance there."),
                );
            }
            return Some((value, ohm?));
        }
        "resistance" => Ok(value),
        "count" => divider?.resistance_from_count(value),
        "voltage" => divider?.resistance_from_voltage(value),
        _ => return None,
    };
    match ohm {
        Ok(ohm) => {
            let celsius = curve.temperature_c(ohm);
            if celsius.is_none() {
                out.problem(
                    "value",
                    format!("{label}: enter what the sensor can give; its curve has no temperature there."),
                );
            }
            Some((celsius?, ohm))
        }
        Err(cause) => {
            let words = match cause {
                DividerCause::Short { least } => format!(
                    "more than {}; the sensor reads as shorted",
                    write_shortest(least, 6)
                ),
                DividerCause::Open { most } => format!(
                    "less than {}; the sensor reads as unplugged",
                    write_shortest(most, 6)
                ),
                _ => String::from("a value between the rails"),
            };
            out.problem("value", format!("{label}: enter {words}."));
            None
        }
    }
}

/// What the controller shows one count inside a rail: a temperature, or words where the curve ends before.
fn put_rail(out: &mut Outcome, key: &'static str, known: Known, ohm: Result<f64, DividerCause>) {
    let Ok(ohm) = ohm else {
        out.put_text(
            key,
            "nothing: no positive ohms are left beside the series resistor",
        );
        return;
    };
    match known
        .curve
        .temperature_c(ohm)
        .and_then(|celsius| inside(known, celsius))
    {
        Some(celsius) => out.put(key, celsius),
        None => out.put_text(key, "nothing: the curve ends before"),
    }
}

/// The temperature, if the curve's formula is known there.
///
/// Measured points bound what is known, not the formula through them.
fn inside(known: Known, celsius: f64) -> Option<f64> {
    let ends = match known.curve {
        Curve::Platinum { .. } | Curve::ThermocoupleK => known.limits,
        Curve::Beta { .. } | Curve::Steinhart { .. } => None,
    };
    ends.is_none_or(|(low, high)| (low..=high).contains(&celsius))
        .then_some(celsius)
}

fn check_range(out: &mut Outcome, known: Known, celsius: f64) {
    if let Some((low, high)) = known.limits {
        let (state, limit) = if celsius < low {
            (State::Over, low)
        } else if celsius > high {
            (State::Over, high)
        } else {
            (State::Within, high)
        };
        out.check("outside", state, celsius, limit);
    }
}

/// A thermocouple has a voltage of its own, and no divider.
fn thermocouple(inputs: &Inputs, out: &mut Outcome, known: Known, span: Option<Span>) {
    let cold = inputs.num("cold");
    if let (Some(value), Some(cold)) = (inputs.num("value"), cold) {
        let celsius = match inputs.choice("give") {
            "temperature" => Some(value),
            "voltage" => {
                let celsius = thermocouple::hot_junction_c(value, cold);
                if celsius.is_none() {
                    let (low, high) = thermocouple::LIMITS_C;
                    let edge = |t| {
                        thermocouple::terminal_mv(t, cold)
                            .map_or(String::new(), |mv| write_fixed(mv, 3))
                    };
                    out.problem(
                        "value",
                        format!(
                            "Thermocouple voltage to convert: enter {} to {} mV, which is what type K gives with this cold junction.",
                            edge(low),
                            edge(high)
                        ),
                    );
                }
                celsius
            }
            _ => None,
        };
        if let Some(celsius) = celsius {
            out.put("temperature", celsius);
            check_range(out, known, celsius);
            out.put("millivolts", thermocouple::terminal_mv(celsius, cold));
        }
    }
    if let (Some(span), Some(cold)) = (span, cold) {
        out.put_pairs(
            "table",
            span.filter_map(|t| Some((t, thermocouple::terminal_mv(t, cold)?))),
        );
    }
}
