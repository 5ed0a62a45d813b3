//! Tuning rules and the simulated loop against papers, textbooks and a general control library.
//!
//! # Sources
//! - SIMC: S. Skogestad, "Simple analytic rules for model reduction and PID controller tuning", J. Process Control 13
//!   (2003), examples E1 and E2 after the half rule, from memory.
//! - Ultimate-cycle settings: D. E. Seborg, T. F. Edgar, D. A. Mellichamp, "Process Dynamics and Control", example of
//!   continuous cycling with 4 exp(-3.5 s)/(7 s + 1), from memory.
//! - Ultimate points: `control.margin` of the PyPI package control 0.10.2 on 3,001 points of each frequency response.
//! - Loops: `control.forced_response` of the same package, for the sampled plant (zero-order hold, whole periods of dead
//!   time), a controller whose integral steps before its output, and the derivative on the measurement. The duty stays
//!   between 0 and 1 in each.

use layshaft_core::sheets::{Cell, Found};
use layshaft_tests::{number, report};

fn near(query: &str, key: &str, expected: f64, tolerance: f64) {
    let found = number(query, key);
    assert!(
        (found - expected).abs() <= tolerance * expected.abs(),
        "{query} {key}: {found}, expected {expected}"
    );
}

#[test]
fn simc_on_its_papers_examples() {
    // E1: 1/((s + 1)(0.2 s + 1)) is 1, 1.1, 0.1 by the half rule; Kc = 5.5, Ti = 0.8.
    let e1 = "control?gain=1&tau=1.1&dead=0.1&rule=simc";
    near(e1, "k", 5.5, 1e-12);
    near(e1, "ti", 0.8, 1e-12);
    // E2: 1, 2.5, 1.47; Kc = 0.85, Ti = 2.5, as printed.
    let e2 = "control?gain=1&tau=2.5&dead=1.47&rule=simc";
    near(e2, "k", 0.85, 1e-3);
    near(e2, "ti", 2.5, 1e-12);
    // A slower loop as asked.
    near(&format!("{e1}&closed_tau=0.45"), "k", 2.0, 1e-12);
}

#[test]
fn ultimate_cycle_settings_of_a_textbook() {
    // Ku 0.95, Pu 12; Ziegler-Nichols 0.57, 6.0, 1.5; Tyreus-Luyben 0.43, 26.4, 1.9: printed to two digits.
    let query = "control?gain=4&tau=7&dead=3.5";
    near(query, "ku", 0.95, 0.005);
    near(query, "pu", 12.0, 0.005);
    let zn = format!("{query}&rule=ziegler_nichols");
    near(&zn, "k", 0.57, 0.01);
    near(&zn, "ti", 6.0, 0.01);
    near(&zn, "td", 1.5, 0.01);
    let tl = format!("{query}&rule=tyreus_luyben");
    near(&tl, "k", 0.43, 0.01);
    near(&tl, "ti", 26.4, 0.01);
    near(&tl, "td", 1.9, 0.01);
}

#[test]
fn ultimate_points_of_a_control_library() {
    for (gain, tau, dead, ku, pu) in [
        (
            4.0,
            7.0,
            3.5,
            0.951_720_716_206_471_9,
            11.973_854_984_307_59,
        ),
        (
            180.0,
            400.0,
            12.0,
            0.294_435_005_390_863_6,
            47.430_230_517_420_16,
        ),
        (
            300.0,
            150.0,
            5.0,
            0.159_208_376_549_859_64,
            19.736_910_293_855_733,
        ),
        (
            1.0,
            1.0,
            1.0,
            2.261_826_334_114_651_6,
            3.097_060_274_592_301_3,
        ),
        (
            250.0,
            20.0,
            60.0,
            0.005_169_171_312_274_332,
            153.520_273_900_272_63,
        ),
    ] {
        let query = format!("control?gain={gain}&tau={tau}&dead={dead}");
        // The library takes the crossing from its grid.
        near(&query, "ku", ku, 1e-6);
        near(&query, "pu", pu, 1e-6);
    }
}

/// A loop of the library: its entries, overshoot, settle, ripple, and rows of seconds and K over ambient.
struct Loop {
    query: &'static str,
    overshoot: f64,
    settle: f64,
    ripple: f64,
    rows: &'static [(f64, f64)],
}

const LOOPS: [Loop; 3] = [
    Loop {
        query: "control?gain=120&tau=60&dead=20&target=45&method=pid&rule=own&kp=0.02&ki=0.02/60&kd=0&period=2",
        overshoot: 6.961_239_786_579_373,
        settle: 140.0,
        ripple: 6.143_018_742_577_055e-5,
        rows: &[
            (100.0, 19.529_998_790_860_88),
            (200.0, 20.110_538_079_603_312),
            (300.0, 20.034_035_646_129_595),
            (400.0, 20.006_284_691_799_582),
            (500.0, 20.000_934_253_433_545),
            (800.0, 20.000_000_953_469_026),
        ],
    },
    Loop {
        query: "control?gain=300&tau=150&dead=5&target=33&method=pid&rule=own&kp=0.03&ki=0.0005&kd=0.12&period=0.5",
        overshoot: 0.946_221_410_459_283_9,
        settle: 28.5,
        ripple: 0.0,
        rows: &[(1550.0, 8.0)],
    },
    Loop {
        query: "control?gain=250&tau=40&dead=60&target=75&method=pid&rule=own&kp=0.003&ki=0.003/80&kd=0&period=6",
        overshoot: 5.710_541_498_057_552,
        settle: 528.0,
        ripple: 0.076_455_424_766_997_74,
        rows: &[
            (120.0, 43.756_481_115_653_93),
            (246.0, 43.334_455_212_301_8),
            (372.0, 50.116_114_004_023_835),
            (498.0, 48.813_647_915_769_23),
            (744.0, 49.821_018_218_112_705),
            (996.0, 49.976_011_911_412_07),
        ],
    },
];

#[test]
fn loops_of_a_control_library() {
    for expected in &LOOPS {
        let Loop { query, .. } = expected;
        for (key, expected) in [
            ("overshoot", expected.overshoot),
            ("settle", expected.settle),
            ("ripple", expected.ripple),
        ] {
            let found = number(query, key);
            assert!(
                (found - expected).abs() < 1e-9,
                "{query} {key}: {found}, expected {expected}"
            );
        }
        let report = report(query);
        let Some(Found::Rows(rows)) = report.found("curve") else {
            panic!("{query}: a curve");
        };
        let pid: Vec<(f64, f64)> = rows
            .iter()
            .filter_map(|row| match row.as_slice() {
                [Cell::Number(s), Cell::Number(c), _] => Some((*s, *c)),
                _ => None,
            })
            .collect();
        let mut compared = 0;
        for (seconds, rise) in expected.rows {
            // Of a long run the curve keeps every so manieth row only.
            if let Some((_, found)) = pid.iter().find(|(s, _)| (s - seconds).abs() < 1e-6) {
                assert!(
                    (found - 25.0 - rise).abs() < 1e-8,
                    "{query} {seconds}: {found}"
                );
                compared += 1;
            }
        }
        assert!(compared > 0 || expected.rows.len() == 1, "{query}");
    }
}

/// The relay relation on the model itself: an on-off loop without a band swings near Ku and Pu of the same model.
#[test]
fn a_relay_swings_near_the_ultimate_point() {
    // The describing function leaves out all but the first harmonic: within a fifth for a first-order lag (common
    // practice).
    let query = "control?gain=300&tau=150&dead=5&target=175&band=0&period=0.05";
    let swing = number(query, "ripple") / 2.0;
    let ku = 4.0 * 0.5 / (std::f64::consts::PI * swing);
    let exact = number(query, "ku");
    assert!((ku / exact - 1.0).abs() < 0.3, "{ku} {exact}");
    let per_hour = number(query, "switches");
    let pu = number(query, "pu");
    assert!(
        (3600.0 / per_hour / pu - 1.0).abs() < 0.1,
        "{per_hour} {pu}"
    );
}
