//! The studies against examples that standards, papers and another library publish.
//!
//! A study works on any sheet, so these declare small ones: a few entries, one answer, the published formula.

use layshaft_core::entry::unit::ONE;
use layshaft_core::link;
use layshaft_core::sheets::{Answer, Entries, Field, Inputs, Outcome, Report, Sheet, Subject};
use layshaft_core::study::solve::solve;
use layshaft_core::study::sweep::sweep;
use layshaft_core::study::tolerance::{Study, spreads, written};

/// A sheet of these entries whose one answer is `y`.
const fn sheet(fields: &'static [Field], work: fn(&Inputs, &mut Outcome)) -> Sheet {
    const Y: &[Answer] = &[Answer::number("y", "Answer", ONE)];
    Sheet {
        id: "example",
        title: "Example",
        about: "",
        search: "",
        subject: Subject::Proof,
        fields,
        answers: Y,
        checks: &[],
        cautions: &[],
        work,
    }
}

const fn entry(key: &'static str) -> Field {
    Field::number(key, "Entry", ONE)
}

/// A report on entries that are given by their value and standard uncertainty.
fn uncertain(sheet: &'static Sheet, entries: &[(&'static str, f64, f64)]) -> Report {
    let mut typed = Entries::new();
    for (key, value, u) in entries {
        // What is typed is the half width of an even spread: u sqrt(3).
        typed.set(key, &format!("{value} ± {}", u * 3_f64.sqrt()));
    }
    let report = sheet.run(&typed);
    assert!(report.problems.is_empty(), "{:?}", report.problems);
    report
}

/// The uncertainty of `y`: by the first order, and as it stands in the end.
fn uncertainties(report: &Report) -> (f64, f64) {
    let of = |spreads: &[layshaft_core::study::tolerance::Spread]| {
        spreads
            .first()
            .map_or(f64::NAN, |spread| spread.uncertainty)
    };
    (of(&Study::begin(report).spreads), of(&spreads(report)))
}

static END_GAUGE: Sheet = sheet(
    const {
        &[
            entry("standard"),
            entry("difference"),
            entry("alpha"),
            entry("delta_alpha"),
            entry("theta"),
            entry("delta_theta"),
        ]
    },
    |inputs, out| {
        let x = |key| inputs.num(key).unwrap_or(f64::NAN);
        let (length, theta) = (x("standard"), x("theta"));
        let expansion = x("delta_alpha") * theta + x("alpha") * x("delta_theta");
        out.put("y", length + x("difference") - length * expansion);
    },
);

#[test]
fn the_end_gauge_of_the_gum() {
    // JCGM 100:2008, H.1, table H.1: l_S = 50 000 623 nm, u 25 nm; d = 215 nm, u 9.7 nm; alpha_S = 11.5e-6 /K, u 1.2e-6;
    // delta alpha = 0, u 0.58e-6; theta = -0.1 K, u 0.41 K; delta theta = 0, u 0.029 K. u_c = 32 nm (H.1.4).
    let report = uncertain(
        &END_GAUGE,
        &[
            ("standard", 50_000_623.0, 25.0),
            ("difference", 215.0, 9.7),
            ("alpha", 11.5e-6, 1.2e-6),
            ("delta_alpha", 0.0, 0.58e-6),
            ("theta", -0.1, 0.41),
            ("delta_theta", 0.0, 0.029),
        ],
    );
    let (first, _) = uncertainties(&report);
    assert_eq!(
        written(50_000_838.0, first),
        ("50000838".into(), "32".into())
    );
    // The standard's own length is what weighs most, then its temperature difference: 25^2 and 16.6^2 of 31.7^2 nm^2.
    let shares = spreads(&report).first().map(|spread| spread.shares.clone());
    let shares = shares.unwrap_or_default();
    assert!(
        matches!(shares.as_slice(), [("standard", a), ("delta_theta", b), ..] if (a - 0.62).abs() < 0.01 && (b - 0.27).abs() < 0.01),
        "{shares:?}"
    );
}

static SUM: Sheet = sheet(
    const { &[entry("a"), entry("b"), entry("c"), entry("d")] },
    |inputs, out| {
        let x = |key| inputs.num(key).unwrap_or(f64::NAN);
        out.put("y", x("a") + x("b") + x("c") + x("d"));
    },
);

#[test]
fn the_additive_model_of_supplement_1() {
    // JCGM 101:2008, 9.2.3: four even spreads of unit standard deviation, u(y) = 2.0; 9.2.4: one of them ten times as wide,
    // u(y) = 10.1.
    let same = uncertain(
        &SUM,
        &[
            ("a", 0.0, 1.0),
            ("b", 0.0, 1.0),
            ("c", 0.0, 1.0),
            ("d", 0.0, 1.0),
        ],
    );
    let (first, last) = uncertainties(&same);
    assert!(
        (first - 2.0).abs() < 1e-9 && (last - 2.0).abs() < 1e-9,
        "{first} {last}"
    );
    let wide = uncertain(
        &SUM,
        &[
            ("a", 0.0, 1.0),
            ("b", 0.0, 1.0),
            ("c", 0.0, 1.0),
            ("d", 0.0, 10.0),
        ],
    );
    let (_, last) = uncertainties(&wide);
    assert_eq!(written(0.0, last).1, "10");
    assert!((last - 10.1).abs() < 0.05, "{last}");
}

static MASS: Sheet = sheet(
    const {
        &[
            entry("reference"),
            entry("added"),
            entry("air"),
            entry("weight"),
            entry("reference_density"),
        ]
    },
    |inputs, out| {
        let x = |key| inputs.num(key).unwrap_or(f64::NAN);
        let buoyancy = (x("air") - 1.2) * (1.0 / x("weight") - 1.0 / x("reference_density"));
        out.put(
            "y",
            (x("reference") + x("added")) * (1.0 + buoyancy) - 100_000.0,
        );
    },
);

#[test]
fn the_mass_calibration_of_supplement_1() {
    // JCGM 101:2008, 9.3.2 table 4 (in mg and kg/m^3; the even spreads as half widths): air 1.20 +- 0.10, weight 8000 +- 1000,
    // reference 8000 +- 50; table 5: u by the first order 0.0539 mg, by the Monte Carlo 0.0754 mg.
    let sqrt3 = 3_f64.sqrt();
    let report = uncertain(
        &MASS,
        &[
            ("reference", 100_000.0, 0.050),
            ("added", 1.234, 0.020),
            ("air", 1.2, 0.1 / sqrt3),
            ("weight", 8000.0, 1000.0 / sqrt3),
            ("reference_density", 8000.0, 50.0 / sqrt3),
        ],
    );
    let (first, last) = uncertainties(&report);
    assert!((first - 0.0539).abs() < 0.000_05, "{first}");
    // The standard error of a deviation of 20,000 draws is half a per cent; the product stretches it: 2 %.
    assert!((last / 0.0754 - 1.0).abs() < 0.02, "{last}");
    assert!(
        spreads(&report)
            .iter()
            .all(|spread| spread.bent && !spread.waits)
    );
}

#[test]
fn draws_are_the_same_however_they_are_sliced() {
    let report = uncertain(
        &MASS,
        &[
            ("reference", 100_000.0, 0.050),
            ("added", 1.234, 0.020),
            ("air", 1.2, 0.05),
            ("weight", 8000.0, 577.0),
            ("reference_density", 8000.0, 29.0),
        ],
    );
    let mut study = Study::begin(&report);
    assert!(study.waits() && study.spreads.iter().all(|spread| spread.waits));
    let mut slices = 0;
    while study.draw(77) {
        slices += 1;
    }
    assert_eq!(slices, 20_000 / 77);
    assert_eq!(study.spreads, spreads(&report));
}

/// Figures of another library: the link, the answer, its value and standard uncertainty.
///
/// Computed once with the package `uncertainties` 3.2.3 from PyPI, whose derivatives are exact, from the formulas
/// 20 p / g, 200 * 16 / (20 p / g) and 1 / (1 / 298.15 + ln(R / R25) / B) - 273.15, each ± as half / sqrt(3).
const UNCERTAINTIES: [(&str, &str, f64, f64); 3] = [
    (
        "travel?pitch=2 ± 0.01&teeth=20&gears=3 ± 0.05",
        "turn_travel",
        13.333_333_333_333_334,
        0.133_949_194_963_149_08,
    ),
    (
        "travel?pitch=2 ± 0.01&teeth=20&gears=3 ± 0.05",
        "steps_per_mm",
        240.0,
        2.411_085_509_336_683,
    ),
    (
        "sensor?r25=100k ± 1k&beta=3950 ± 39.5&pullup=4k7&value=560 ± 2",
        "temperature",
        216.719_241_433_707_9,
        1.856_402_019_384_410_2,
    ),
];

#[test]
fn another_library_has_the_same_figures() {
    for (query, key, value, u) in UNCERTAINTIES {
        let report = layshaft_tests::report(query);
        let got = report.number(key).unwrap_or(f64::NAN);
        assert!((got / value - 1.0).abs() < 1e-12, "{query}: {got}");
        let spreads = spreads(&report);
        let spread = spreads.iter().find(|spread| spread.answer == key);
        let got = spread.map_or(f64::NAN, |spread| spread.uncertainty);
        // The central difference over a 64th of the half width misses by the square of that step.
        assert!((got / u - 1.0).abs() < 1e-6, "{query}: {got} against {u}");
    }
}

/// A test function of root finders: its entry's limits, the function, its roots there.
type Function = (&'static [Field], fn(f64) -> f64, &'static [f64]);

/// G. E. Alefeld, F. A. Potra, Y. Shi, Algorithm 748: Enclosing Zeros of Continuous Functions, ACM TOMS 21 (1995) 327-344,
/// table I; the functions from memory, the roots worked out again to 30 digits with mpmath's `findroot`.
const FUNCTIONS: [Function; 9] = [
    // Problem 1, a little around its pi/2 .. pi.
    (
        &[entry("x")
            .at_least(1.5, "it begins there")
            .at_most(3.2, "it ends there")],
        |x| x.sin() - x / 2.0,
        &[1.895_494_267_033_981],
    ),
    // Problem 2: poles at 1, 4 and 9, a root between two of them each.
    (
        &[entry("x")
            .above(1.0, "a pole")
            .at_most(8.9, "it ends there")],
        |x| {
            (1..=20)
                .map(f64::from)
                .map(|i| -2.0 * (2.0 * i - 5.0).powi(2) / (x - i * i).powi(3))
                .sum()
        },
        &[3.022_915_347_273_057, 6.683_753_560_808_078],
    ),
    // Problem 3 with a = -40, b = -1.
    (
        &[entry("x")
            .at_least(-9.0, "it begins there")
            .at_most(31.0, "it ends there")],
        |x| -40.0 * x * (-x).exp(),
        &[0.0],
    ),
    // 2 x e^-n - 2 e^-nx + 1 with n = 1 and 20.
    (
        UNIT,
        |x| 2.0 * x * (-1_f64).exp() - 2.0 * (-x).exp() + 1.0,
        &[0.422_477_709_641_236_7],
    ),
    (
        UNIT,
        |x| 2.0 * x * (-20_f64).exp() - 2.0 * (-20.0 * x).exp() + 1.0,
        &[0.034_657_359_020_853_85],
    ),
    // x^2 - (1 - x)^n with n = 5 and 20.
    (
        UNIT,
        |x| x * x - (1.0 - x).powi(5),
        &[0.345_954_815_848_242],
    ),
    (
        UNIT,
        |x| x * x - (1.0 - x).powi(20),
        &[0.164_920_957_276_440_96],
    ),
    // e^-nx (x - 1) + x^n with n = 1 and 5.
    (
        UNIT,
        |x| (-x).exp() * (x - 1.0) + x,
        &[0.401_058_137_541_547_04],
    ),
    (
        UNIT,
        |x| (-5.0 * x).exp() * (x - 1.0) + x.powi(5),
        &[0.516_153_518_757_933_6],
    ),
];

const UNIT: &[Field] = &[entry("x")
    .at_least(0.0, "it begins there")
    .at_most(1.0, "it ends there")];

/// One sheet for each of the functions: a sheet's function takes no parameter but its entries.
macro_rules! sheets {
    ($($index:literal)*) => {
        [$({
            static SHEET: Sheet = sheet(FUNCTIONS[$index].0, |inputs, out| {
                out.put("y", inputs.num("x").map(FUNCTIONS[$index].1));
            });
            &SHEET
        }),*]
    };
}

#[test]
fn the_published_functions_of_root_finders_are_solved() {
    let sheets: [&'static Sheet; 9] = sheets!(0 1 2 3 4 5 6 7 8);
    for (sheet, (_, _, roots)) in sheets.into_iter().zip(FUNCTIONS) {
        let found = solve(&sheet.run(&Entries::new()), "x", "y:0").map(|solution| solution.values);
        let found = found.unwrap_or_default();
        let close = found.len() == roots.len()
            && found
                .iter()
                .zip(roots)
                .all(|(x, root)| (x - root).abs() <= 1e-14 + 4.0 * f64::EPSILON * root.abs());
        assert!(close, "{found:?} against {roots:?}");
    }
}

#[test]
fn a_sweep_is_the_sheet_at_each_value() {
    // Half a sine wave, and nothing where there is no root.
    static ROOT: Sheet = sheet(const { &[entry("x")] }, |inputs, out| {
        out.put("y", inputs.num("x").map(f64::sqrt));
    });
    let swept = sweep(&ROOT.run(&Entries::new()), "x:-1:1", "y").map(|swept| swept.rows);
    let rows = swept.unwrap_or_default();
    assert_eq!(rows.len(), 65);
    for (x, y) in rows {
        assert_eq!(
            y.map(f64::to_bits),
            (x >= 0.0).then(|| x.sqrt().to_bits()),
            "{x}"
        );
    }
}

#[test]
fn a_pinned_design_goes_into_a_link_and_comes_back() {
    let pinned = layshaft_tests::report("travel?pitch=3&teeth=16&cost=12.50");
    let report = layshaft_tests::report("travel?pitch=2&teeth=20&cost=9");
    let asked = link::Asked {
        solve: "teeth".into(),
        wanted: "turn_travel:41.5".into(),
        sweep: "pitch:1:4".into(),
        of: "turn_travel".into(),
        pin: link::pinned(&pinned),
    };
    let opened = link::read(&link::write_asking(&report, &asked));
    assert!(opened.faults.is_empty(), "{:?}", opened.faults);
    assert_eq!(opened.asked, asked);
    let mut entries = opened.entries;
    asked.keep_in(&mut entries);
    assert_eq!(link::Asked::kept_in(&entries), asked);
    let back = link::unpinned(pinned.sheet, &asked.pin);
    assert_eq!(
        (back.get("pitch"), back.get("cost")),
        (Some("3"), Some("12.50"))
    );
    assert_eq!(pinned.sheet.run(&back).number("turn_travel"), Some(48.0));
    // What is asked by halves is not asked.
    for half in [
        ("teeth", "turn_travel:", "pitch::4", "turn_travel"),
        ("", "turn_travel:4", "pitch:1:", ""),
    ] {
        let asked = link::Asked {
            solve: half.0.into(),
            wanted: half.1.into(),
            sweep: half.2.into(),
            of: half.3.into(),
            pin: String::new(),
        };
        assert_eq!(asked.whole(), link::Asked::default());
    }
}

/// What cannot be, and the words for it, at which key.
const REFUSED: [(&str, &str, &str); 11] = [
    (
        "travel?pitch=2 ± 3&teeth=20",
        "pitch",
        "The tolerance reaches beyond that: write a smaller one.",
    ),
    (
        "travel?pitch=2 ± 0&teeth=20",
        "pitch",
        "write a tolerance above 0",
    ),
    (
        "travel?pitch=2 ± -1&teeth=20",
        "pitch",
        "write a tolerance above 0",
    ),
    (
        "travel?pitch=2 ± 0 %&teeth=20",
        "pitch",
        "write a tolerance above 0",
    ),
    (
        "microstep?turn_travel=40&hold_torque=0.4&load_torque=0 ± 1 %",
        "load_torque",
        "write a tolerance above 0",
    ),
    (
        "current?rated=1.5&ambient=0 ± 1 %",
        "ambient",
        "write the tolerance in kelvins",
    ),
    ("travel?drive=belt ± 1&pitch=2", "drive", "enter one of"),
    (
        "travel?pitch=2&teeth=20 ± 1",
        "teeth",
        "write it without a tolerance",
    ),
    (
        "travel?pitch=2&micro=16 ± 1",
        "micro",
        "write it without a tolerance",
    ),
    (
        "travel?pitch=2 ± 1 ± 2&teeth=20",
        "pitch",
        "write one tolerance",
    ),
    (
        "travel?pitch=2 ± x&teeth=20",
        "pitch",
        "write a number after the ±",
    ),
];

#[test]
fn a_tolerance_that_cannot_be_is_refused_in_words() {
    for (query, key, words) in REFUSED {
        let report = layshaft_tests::report(query);
        let said = report.problems.iter().find(|problem| problem.field == key);
        let said = said.map_or("", |problem| problem.message.as_str());
        assert!(said.contains(words), "{query}: {said}");
        assert!(spreads(&report).is_empty(), "{query}");
    }
}

#[test]
fn what_is_out_of_reach_is_said_with_the_nearest() {
    let words = |query: &str, entry, wanted| {
        let solution = solve(&layshaft_tests::report(query), entry, wanted);
        solution.map_or_else(|refusal| refusal.message, |solution| solution.words)
    };
    for (query, entry, wanted, expected) in [
        (
            "travel?pitch=2",
            "teeth",
            "turn_travel:0.5 mm",
            "No value of “Pulley teeth” gives",
        ),
        (
            "travel?pitch=2&teeth=20",
            "span",
            "turn_travel:4",
            "does not depend on “Length of the axis”",
        ),
        (
            "travel?drive=belt",
            "pitch",
            "turn_travel:4",
            "has no value at all",
        ),
        (
            "travel?pitch=2",
            "tooth",
            "turn_travel:4",
            "Entry “tooth”: enter one of",
        ),
        (
            "travel?pitch=2",
            "drive",
            "turn_travel:4",
            "Entry “drive”: enter one of",
        ),
        (
            "travel?pitch=2",
            "teeth",
            "speed:4",
            "Answer “speed”: enter one of",
        ),
        ("travel?pitch=2", "teeth", "turn_travel:", "enter a length"),
    ] {
        let said = words(query, entry, wanted);
        assert!(said.contains(expected), "{query} {entry} {wanted}: {said}");
    }
}

#[test]
fn resistors_go_to_the_sizes_that_are_made() {
    // IEC 60063, series E24, has 2.7 and 3.0.
    let nearest = |query: &str, entry, wanted| {
        let solution = solve(&layshaft_tests::report(query), entry, wanted);
        let mut parts: Vec<f64> = solution.map_or_else(
            |_| Vec::new(),
            |solution| solution.nearest.iter().map(|(part, _)| *part).collect(),
        );
        parts.sort_by(f64::total_cmp);
        parts
    };
    let sensor = "sensor?r25=100k&beta=3950&give=count&value=702";
    assert_eq!(
        nearest(sensor, "pullup", "temperature:215"),
        [2700.0, 3000.0]
    );
}
