//! `heater`: power, warm-up, limits.

use super::declare::{Answer, Caution, Check, Field, Scale, Sheet, Subject, choice, head};
use super::inputs::Inputs;
use super::outcome::{Outcome, State};
use crate::entry::unit::{
    A, CELSIUS, CM2, G, J_K, K_MIN, OHM, ONE, PER_K, PERCENT, S, TEMP_DIFF, V, W, W_CM2, W_M2K,
};
use crate::heat::heater::{End, Heater, Path, STEFAN_BOLTZMANN};

/// The temperatures people may ask for.
const COLDEST: f64 = -273.15;
const HOTTEST: f64 = 3000.0;

/// Specific heat capacities, J/(kg K).
///
/// # Source
/// The values of the contract's table, in reach of what handbooks give at 25 °C; common practice.
const MATERIALS: [(&str, f64); 5] = [
    ("aluminium", 897.0),
    ("brass", 380.0),
    ("copper", 385.0),
    ("steel", 490.0),
    ("glass", 840.0),
];

const FIELDS: &[Field] = &[
    Field::number("volts", "Supply voltage", V)
        .above(0.0, "a supply has a voltage")
        .at_most(1e6, "no supply gives more")
        .usual(5.0, 250.0, "heaters of such machines"),
    Field::number("volts_tol", "Supply may be higher by", PERCENT)
        .default("10")
        .at_least(0.0, "a tolerance is a half width")
        .at_most(100.0, "more would be another supply")
        .help("supplies can be trimmed up, and mains varies"),
    Field::number("watts", "Power at 20 °C", W)
        .above(0.0, "a heater heats")
        .at_most(1e6, "no such heater takes more")
        .usual(1.0, 3000.0, "heaters of such machines")
        .help("at this voltage; or give the resistance"),
    Field::number("ohms", "Resistance at 20 °C", OHM)
        .above(0.0, "a heater resists")
        .at_most(1e9, "no heater resists more")
        .help("in place of the power"),
    Field::number(
        "temp_coeff",
        "Temperature coefficient of the resistance",
        PER_K,
    )
    .default("0")
    .at_least(-0.1, "no element falls faster")
    .at_most(1.0, "no element rises faster")
    .help("0 for cartridges of resistance wire, 0.0039 1/K for copper tracks"),
    Field::number("mass", "Mass of what is heated", G)
        .above(0.0, "a part has a mass")
        .at_most(1e7, "no such part is heavier")
        .help("with its material; or give the heat capacity"),
    Field::choice(
        "material",
        "Material of what is heated",
        &[
            choice("aluminium", "Aluminium, 897 J/(kg·K)"),
            choice("brass", "Brass, 380 J/(kg·K)"),
            choice("copper", "Copper, 385 J/(kg·K)"),
            choice("steel", "Steel, 490 J/(kg·K)"),
            choice("glass", "Glass, 840 J/(kg·K)"),
        ],
    )
    .optional(),
    Field::number("heat_capacity", "Heat capacity", J_K)
        .above(0.0, "a part takes heat up")
        .at_most(1e9, "no such part takes more up")
        .help("in place of mass and material, for parts of several materials"),
    Field::number("area", "Surface", CM2)
        .above(0.0, "a part has a surface")
        .at_most(1e8, "no such part is larger"),
    Field::number("film", "Film coefficient", W_M2K)
        .default("10")
        .at_least(0.0, "a warm part loses heat")
        .at_most(1e5, "no cooling takes more")
        .usual(2.0, 200.0, "still air takes 5 to 10, a fan 20 to 100")
        .help("still air 5 to 10, a fan 20 to 100; common practice"),
    Field::number("emissivity", "Emissivity", ONE)
        .default("0")
        .at_least(0.0, "a share of a black body")
        .at_most(1.0, "a share of a black body")
        .help("0 leaves radiation out; bright metal 0.05 to 0.1, painted or glass 0.9"),
    Field::number("insulated", "Insulated share of the surface", PERCENT)
        .default("0")
        .at_least(0.0, "a share of the surface")
        .at_most(100.0, "a share of the surface"),
    Field::number("ambient", "Ambient temperature", CELSIUS)
        .default("25")
        .above(COLDEST, "nothing is colder")
        .at_most(HOTTEST, "no machine stands more")
        .help("inside the enclosure, if there is one"),
    Field::number("target", "Target temperature", CELSIUS)
        .above(COLDEST, "nothing is colder")
        .at_most(HOTTEST, "no heater stands more"),
    Field::number("max_allowed", "Highest temperature allowed", CELSIUS)
        .above(COLDEST, "nothing is colder")
        .at_most(HOTTEST, "no part stands more")
        .help("where the first thing nearby is damaged, by its data sheet"),
    Field::number("dead", "Dead time", S)
        .default("10")
        .at_least(0.0, "an effect follows its cause")
        .at_most(1e6, "no heater is that slow")
        .help("from switching on to the first rise of the reading"),
    Field::number("noise", "Noise of the reading", TEMP_DIFF)
        .default("0.5")
        .at_least(0.0, "a noise has a size")
        .at_most(HOTTEST, "more would be no reading"),
];

const BY_WATTS: &str = "Joule's law at 20 °C";
const BALANCE: &str = "Energy balance of one lump: C dT/dt = power − film × area × (T − ambient) − emissivity × σ × area × (T⁴ − ambient⁴)";
const FIRST_ORDER: &str = "First-order expansion of the balance at the target";
const PRACTICE: &str = "Common practice";

const ANSWERS: &[Answer] = &[
    Answer::number(
        "steady_max_high",
        "Failed on, it reaches at the highest voltage",
        CELSIUS,
    )
    .fixed(0)
    .headline()
    .formula(
        "the temperature where the loss is the power at {volts} × (100 % + {volts_tol})",
        BALANCE,
    ),
    Answer::number("steady_max", "Full on, it reaches", CELSIUS)
        .fixed(0)
        .formula(
            "the temperature where the loss is the power at {volts}",
            BALANCE,
        ),
    Answer::number("warmup", "Warm-up", S)
        .significant(3)
        .headline()
        .formula(
            "time in which the lump of {capacity} gets from {ambient} to {target}",
            BALANCE,
        ),
    Answer::number("hold_duty", "Duty that holds the target", PERCENT)
        .significant(3)
        .headline()
        .formula("loss at {target} ÷ power at {target}", BALANCE),
    Answer::number("amps", "Current, cold", A).formula("{watts} ÷ {volts}", "Joule's law"),
    Answer::number("ohms", "Resistance at 20 °C", OHM).formula("{volts}² ÷ {watts}", BY_WATTS),
    Answer::number("watts", "Power, cold", W).formula("{volts}² ÷ {ohms}", BY_WATTS),
    Answer::number("capacity", "Heat capacity", J_K)
        .formula("mass × specific heat of the material", "Definition")
        .aside(),
    Answer::number("watts_per_cm2", "Power per surface", W_CM2)
        .significant(3)
        .formula("{watts} ÷ {area}", "Definition"),
    Answer::number("overrun", "Rise full on at the target", K_MIN)
        .significant(3)
        .formula("(power − loss at {target}) ÷ {capacity}", BALANCE),
    Answer::number("fault_rise", "Rise to wait for", TEMP_DIFF)
        .significant(2)
        .formula("the larger of 6 × {noise} and 1 K", PRACTICE),
    Answer::number("fault_seconds", "Time to wait for it", S)
        .significant(3)
        .formula(
            "3 × {dead} + 2 × time of the last {fault_rise} below {target} full on",
            PRACTICE,
        ),
    Answer::number(
        "fault_peak",
        "Reached by then with the sensor out of its place",
        CELSIUS,
    )
    .fixed(0)
    .formula(
        "temperature {fault_seconds} after {ambient}, full on",
        BALANCE,
    ),
    Answer::number("gain", "Gain of the first-order model", TEMP_DIFF)
        .significant(3)
        .formula("power ÷ slope of the balance at {target}", FIRST_ORDER),
    Answer::number("tau", "Time constant of the first-order model", S)
        .significant(3)
        .formula("{capacity} ÷ slope of the balance at {target}", FIRST_ORDER),
    Answer::number("dead", "Dead time", S).aside(),
    Answer::text("plainly", "Plainly"),
    Answer::curve(
        "curve",
        "Warm-up full on",
        &[head("Time", "s", 4), head("Temperature", "C", 4)],
        Scale::Linear,
    ),
];

const CHECKS: &[Check] = &[
    Check {
        id: "reach",
        label: "Target within reach",
        measure: CELSIUS,
        within: "The target of {value} is well within what the heater reaches.",
        near: "The target of {value} is close to the {limit} that the heater reaches: a draught or a low supply keeps it from getting there.",
        over: "The heater reaches {limit} and never gets to {value}.",
    },
    Check {
        id: "max_allowed",
        label: "Failed on",
        measure: CELSIUS,
        within: "Failed on at the highest voltage it reaches {value}, below the {limit} allowed.",
        near: "Failed on at the highest voltage it reaches {value}, close to the {limit} allowed.",
        over: "A switch that fails on overheats it beyond the {limit} allowed: it needs an independent thermal fuse.",
    },
    Check {
        id: "fault_peak",
        label: "Fault window",
        measure: CELSIUS,
        within: "With the sensor out of its place it reaches {value} before the fault is seen, below the {limit} allowed.",
        near: "With the sensor out of its place it reaches {value} before the fault is seen, close to the {limit} allowed.",
        over: "With the sensor out of its place it reaches {value} before the fault is seen; only {limit} is allowed.",
    },
];

const CAUTIONS: &[Caution] = &[
    Caution::raised(
        "overheats",
        "When its switch fails on, this heater passes what is allowed: it can set fire to what is near.",
        "Fit a thermal fuse that is independent of the controller before the first heat-up, or a weaker heater; see the thermal fuse sheet.",
    ),
    Caution::always(
        "first_heat",
        "A loose sensor or a failed switch lets a heater run away; its parts stay hot enough to burn long after.",
        "Watch the first heat-up, keep it low, with an independent thermometer and thermal fuse; let it cool before touching it.",
    ),
    Caution::always(
        "mains",
        "A mains heater makes every metal part of the machine deadly when its insulation fails.",
        "Leave it to a licensed electrician and the local code: earth, residual-current device, fuse; the part's data sheet is the limit.",
    ),
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "heater",
    title: "Heater",
    about: "how fast it warms, how hot it gets when its switch fails on, and how soon a fault must be seen",
    search: "hot end bed cartridge silicone warm-up power runaway steady temperature failed on fault",
    subject: Subject::Heat,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: CAUTIONS,
    work,
};

/// Divisions of the curve.
const CURVE_ROWS: u32 = 60;

fn work(inputs: &Inputs, out: &mut Outcome) {
    out.put("dead", inputs.num("dead"));
    let watts = element(inputs, out);
    let capacity = capacity(inputs, out);
    let (target, allowed) = (target(inputs, out), inputs.num("max_allowed"));
    let area = inputs.num("area");
    let density = watts.zip(area).map(|(watts, area)| watts / area);
    out.put("watts_per_cm2", density);
    let fault_rise = inputs.num("noise").map(|noise| (6.0 * noise).max(1.0));
    out.put("fault_rise", fault_rise);
    let Some(heater) = watts.and_then(|watts| heater(inputs, out, watts)) else {
        return;
    };

    ends(inputs, out, &heater, target, allowed);
    let reached = target.filter(|&target| match heater.end() {
        End::Settles(settled) => target < settled,
        End::Rises => true,
    });
    let slope = reached.and_then(|target| heater.conductance_w_k(target));
    if target.is_some() && reached.is_none() {
        out.put_text("warmup", "never");
    }
    if let Some(target) = reached {
        out.put("hold_duty", 100.0 * heater.hold_share(target));
        out.put("gain", slope.map(|slope| heater.power_w(target) / slope));
    }
    let Some(capacity) = capacity else { return };
    out.put("tau", slope.map(|slope| capacity / slope));
    let path = heater.path(capacity);
    if let Some(target) = target {
        let net = heater.power_w(target) - heater.loss_w(target);
        out.put("overrun", 60.0 * net / capacity);
        if reached.is_some() {
            out.put("warmup", path.seconds(heater.ambient_c, target));
        }
        fault(inputs, out, &path, target, fault_rise);
    }
    out.check_at_most("fault_peak", out.number("fault_peak"), allowed);
    let until = [target, allowed].into_iter().flatten();
    let until = until.fold(heater.ambient_c + 100.0, f64::max);
    out.put_pairs("curve", path.curve(until, CURVE_ROWS));
}

/// Current, resistance and power of the element cold; the power is the answer.
fn element(inputs: &Inputs, out: &mut Outcome) -> Option<f64> {
    if inputs.typed("watts") && inputs.typed("ohms") {
        out.problem(
            "ohms",
            "Resistance at 20 °C: give the power or the resistance, not both.",
        );
        return None;
    }
    let volts = inputs.num("volts");
    let with_volts =
        |f: fn(f64, f64) -> f64, other: Option<f64>| volts.zip(other).map(|(v, x)| f(v, x));
    let (watts, ohms, amps) = match (inputs.num("watts"), inputs.num("ohms")) {
        (Some(watts), _) => {
            let watts = Some(watts);
            let ohms = with_volts(|volts, watts| volts * volts / watts, watts);
            (watts, ohms, with_volts(|volts, watts| watts / volts, watts))
        }
        (None, ohms) => {
            let watts = with_volts(|volts, ohms| volts * volts / ohms, ohms);
            (watts, ohms, with_volts(|volts, ohms| volts / ohms, ohms))
        }
    };
    out.put("watts", watts);
    out.put("ohms", ohms);
    out.put("amps", amps);
    watts
}

/// The heat capacity in J/K, as given or of mass and material.
fn capacity(inputs: &Inputs, out: &mut Outcome) -> Option<f64> {
    if inputs.typed("mass") && inputs.typed("heat_capacity") {
        out.problem(
            "heat_capacity",
            "Heat capacity: give the mass or the heat capacity, not both.",
        );
        return None;
    }
    let chosen = inputs.choice("material");
    if inputs.typed("mass") && chosen.is_empty() {
        out.warn(
            "material",
            "Material of what is heated: choose it, for the warm-up needs the heat that the mass holds.",
        );
    }
    let capacity = inputs.num("heat_capacity").or_else(|| {
        let (_, specific) = MATERIALS.iter().find(|(key, _)| *key == chosen)?;
        Some(inputs.num("mass")? / 1000.0 * specific)
    });
    out.put("capacity", capacity);
    capacity
}

/// The target, unless it is below ambient.
fn target(inputs: &Inputs, out: &mut Outcome) -> Option<f64> {
    let target = inputs.num("target")?;
    if inputs
        .num("ambient")
        .is_some_and(|ambient| target < ambient)
    {
        out.problem(
            "target",
            "Target temperature: enter a temperature from ambient upwards; a heater does not cool.",
        );
        return None;
    }
    Some(target)
}

fn heater(inputs: &Inputs, out: &mut Outcome, watts: f64) -> Option<Heater> {
    let open = 1.0 - inputs.num("insulated")? / 100.0;
    let area_m2 = inputs.num("area")? * 1e-4 * open;
    let heater = Heater {
        watts_20: watts,
        temp_coeff: inputs.num("temp_coeff")?,
        film_w_k: inputs.num("film")? * area_m2,
        radiation_w_k4: inputs.num("emissivity")? * STEFAN_BOLTZMANN * area_m2,
        ambient_c: inputs.num("ambient")?,
    };
    if !heater.conducts() {
        out.problem(
            "temp_coeff",
            "Temperature coefficient of the resistance: enter a smaller one; with this one no resistance would be left at ambient.",
        );
        return None;
    }
    Some(heater)
}

/// Where it ends at the nominal and at the highest voltage.
fn ends(
    inputs: &Inputs,
    out: &mut Outcome,
    heater: &Heater,
    target: Option<f64>,
    allowed: Option<f64>,
) {
    match heater.end() {
        End::Settles(settled) => {
            out.put("steady_max", settled);
            out.check_at_most("reach", target, settled);
        }
        End::Rises => {
            out.put_text(
                "plainly",
                "Full on, nothing here stops the temperature: it rises until something melts, burns or opens.",
            );
            if target.is_some() {
                out.check("reach", State::Within, target, None);
            }
        }
    }
    let Some(percent) = inputs.num("volts_tol") else {
        return;
    };
    let more = 1.0 + percent / 100.0;
    let high = Heater {
        watts_20: heater.watts_20 * more * more,
        ..*heater
    };
    match high.end() {
        End::Settles(settled) => {
            out.put("steady_max_high", settled);
            out.check_at_most("max_allowed", settled, allowed);
            if allowed.is_some_and(|allowed| settled > allowed) {
                out.caution("overheats");
            }
        }
        // It passes whatever is allowed, at no temperature of its own.
        End::Rises => {
            if allowed.is_some() {
                out.check("max_allowed", State::Over, None, allowed);
            }
            out.caution("overheats");
        }
    }
}

/// The window in which a fault must be seen, and what is reached by then.
fn fault(inputs: &Inputs, out: &mut Outcome, path: &Path, target: f64, fault_rise: Option<f64>) {
    let (Some(dead), Some(rise)) = (inputs.num("dead"), fault_rise) else {
        return;
    };
    // From below ambient too, where a large noise puts the start: there the surroundings help to warm it.
    let last = path.seconds(target - rise, target);
    let seconds = last.map(|last| 3.0 * dead + 2.0 * last);
    out.put("fault_seconds", seconds);
    out.put("fault_peak", seconds.and_then(|s| path.after_c(s)));
}

#[cfg(test)]
mod tests {
    use super::super::outcome::Found;
    use super::super::report::Report;
    use super::super::trial::{faults, number, state, text};
    use super::*;
    use alloc::vec::Vec;

    fn run(pairs: &[(&str, &str)]) -> Report {
        SHEET.run(&pairs.iter().copied().collect())
    }

    /// A 24 V bed: 200 W, 3 mm of aluminium 235 mm square, insulated below.
    const BED: [(&str, &str); 8] = [
        ("volts", "24"),
        ("watts", "200"),
        ("mass", "447"),
        ("material", "aluminium"),
        ("area", "1104"),
        ("insulated", "50"),
        ("target", "100"),
        ("max_allowed", "150"),
    ];

    fn bed(key: &str, value: &str) -> Report {
        let mut pairs = BED.to_vec();
        match pairs.iter_mut().find(|(k, _)| *k == key) {
            Some(pair) => pair.1 = value,
            None => pairs.push((
                SHEET
                    .fields
                    .iter()
                    .map(|f| f.key)
                    .find(|k| *k == key)
                    .expect("a field"),
                value,
            )),
        }
        SHEET.run(&pairs.into_iter().collect())
    }

    fn is(report: &Report, key: &str, expected: f64) {
        let found = number(report, key);
        assert!(
            (found - expected).abs() <= 1e-11 * expected.abs(),
            "{key}: {found}, expected {expected}"
        );
    }

    #[test]
    fn a_bed_by_film_alone_is_the_exponential() {
        let report = run(&BED);
        let (g, c) = (10.0 * 0.1104 * 0.5, 0.447 * 897.0);
        is(&report, "amps", 200.0 / 24.0);
        is(&report, "ohms", 2.88);
        is(&report, "steady_max", 25.0 + 200.0 / g);
        is(&report, "steady_max_high", 25.0 + 242.0 / g);
        is(
            &report,
            "warmup",
            -c / g * libm::log(1.0 - 75.0 * g / 200.0),
        );
        is(&report, "hold_duty", 75.0 * g / 2.0);
        is(&report, "watts_per_cm2", 200.0 / 1104.0);
        is(&report, "overrun", 60.0 * (200.0 - 75.0 * g) / c);
        is(&report, "gain", 200.0 / g);
        is(&report, "tau", c / g);
        is(&report, "fault_rise", 3.0);
        let last = c / g * libm::log((200.0 - 72.0 * g) / (200.0 - 75.0 * g));
        is(&report, "fault_seconds", 30.0 + 2.0 * last);
        is(
            &report,
            "fault_peak",
            25.0 + 200.0 / g * (1.0 - libm::exp(-(30.0 + 2.0 * last) * g / c)),
        );
        assert_eq!(state(&report, "reach"), "within");
        assert_eq!(state(&report, "max_allowed"), "over");
        assert_eq!(state(&report, "fault_peak"), "within");
        assert!(report.cautions.iter().any(|c| c.id == "overheats"));
    }

    #[test]
    fn a_heater_that_never_gets_there_says_never() {
        let report = bed("target", "400");
        assert_eq!(text(&report, "warmup"), "never");
        for absent in ["hold_duty", "fault_seconds", "fault_peak", "gain", "tau"] {
            assert!(report.found(absent).is_none(), "{absent}");
        }
        assert!(number(&report, "overrun") < 0.0);
        assert_eq!(state(&report, "reach"), "over");
        assert!(faults(&report).is_empty());
    }

    #[test]
    fn a_target_below_ambient_is_told_so() {
        let report = bed("target", "20");
        assert_eq!(faults(&report), ["target"]);
        assert!(report.found("warmup").is_none());
        assert!(report.found("steady_max").is_some());
        let report = bed("target", "25");
        assert!(faults(&report).is_empty());
        is(&report, "warmup", 0.0);
    }

    #[test]
    fn both_sides_of_an_or_are_refused_at_the_second() {
        assert_eq!(faults(&bed("ohms", "3")), ["ohms"]);
        assert_eq!(faults(&bed("heat_capacity", "400")), ["heat_capacity"]);
        let by_ohms: Vec<(&str, &str)> = BED
            .iter()
            .map(|pair| {
                if pair.0 == "watts" {
                    ("ohms", "2.88")
                } else {
                    *pair
                }
            })
            .collect();
        is(&run(&by_ohms), "warmup", number(&run(&BED), "warmup"));
    }

    #[test]
    fn full_insulation_has_no_end_and_says_so() {
        let report = bed("insulated", "100");
        assert!(report.found("steady_max").is_none());
        assert_eq!(state(&report, "max_allowed"), "over");
        assert_eq!(state(&report, "reach"), "within");
        is(&report, "warmup", 0.447 * 897.0 * 75.0 / 200.0);
        is(&report, "hold_duty", 0.0);
        assert!(report.found("gain").is_none());
    }

    #[test]
    fn blanks_leave_the_rest_standing() {
        let report = run(&[("volts", "24"), ("ohms", "14.4")]);
        is(&report, "watts", 40.0);
        assert!(report.found("steady_max").is_none());
        let report = bed("material", "");
        assert!(report.found("warmup").is_none() && report.found("gain").is_some());
        assert!(faults(&report).is_empty());
        let warned: Vec<_> = report
            .warnings
            .iter()
            .map(|warning| warning.field)
            .collect();
        assert_eq!(warned, ["material"]);
        assert_eq!(faults(&bed("temp_coeff", "-0.1")), Vec::<&str>::new());
        let mut pairs = BED.to_vec();
        pairs.extend([("temp_coeff", "0.1"), ("ambient", "0")]);
        assert_eq!(faults(&run(&pairs)), ["temp_coeff"]);
    }

    #[test]
    fn the_curve_begins_at_ambient_and_passes_the_target() {
        let report = run(&BED);
        let Some(Found::Rows(rows)) = report.found("curve") else {
            panic!("a curve");
        };
        assert_eq!(rows.len(), 61);
    }
}
