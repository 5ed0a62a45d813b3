//! Wire and supply against tables outside this project.
//!
//! # Sources
//! - Cross-sections and resistances of gauges: the PyPI package electricalwiresizes 0.1.31, table `dbConductorCuStd`
//!   (direct current, 75 °C, coated strands), whose documentation names the code's conductor properties as its origin.
//! - Diameters of gauges: ASTM B258, Table 1, in thousandths of an inch, from memory.
//! - Class 5 maxima: IEC 60228, Table 3, from memory, typed apart from the table under test.
//! - Blade fuses: ISO 8820-3, from memory.

use layshaft_core::sheets::{Cell, Found, Report, State};
use layshaft_tests::{number, report};

/// Gauge, ohm/km at 75 °C, mm².
const GAUGES: [(&str, f64, f64); 11] = [
    ("14", 10.7, 2.08),
    ("12", 6.73, 3.31),
    ("10", 4.226, 5.261),
    ("8", 2.653, 8.367),
    ("6", 1.671, 13.3),
    ("4", 1.053, 21.15),
    ("2", 0.661, 33.62),
    ("1/0", 0.415, 53.49),
    ("2/0", 0.329, 67.49),
    ("3/0", 0.261, 85.01),
    ("4/0", 0.205, 107.2),
];

#[test]
fn gauges_have_the_cross_sections_of_the_code_table() {
    for (gauge, _, area) in GAUGES {
        let found = number(&format!("wire?gauge={gauge} AWG"), "area");
        // The table has three to four digits, and 2/0 is printed 67.49 there, 67.43 elsewhere.
        assert!((found / area - 1.0).abs() < 2e-3, "{gauge}: {found}");
    }
}

#[test]
fn gauges_resist_a_little_less_than_coated_strands() {
    for (gauge, ohm_km, _) in GAUGES {
        let query = format!("wire?gauge={gauge} AWG&length=500&temp=75");
        let found = number(&query, "resistance");
        // Stranding adds 2 %, tin up to 5 % more.
        let more = ohm_km / found;
        assert!((1.0..1.08).contains(&more), "{gauge}: {found}, {more}");
    }
}

#[test]
fn gauges_have_the_diameters_of_the_standard() {
    for (gauge, thousandths) in [
        (0, 324.9),
        (8, 128.5),
        (10, 101.9),
        (12, 80.8),
        (14, 64.1),
        (16, 50.8),
        (18, 40.3),
        (20, 32.0),
        (22, 25.3),
        (24, 20.1),
        (26, 15.9),
        (28, 12.6),
        (30, 10.0),
        (36, 5.0),
        (40, 3.1),
    ] {
        let area = number(&format!("wire?gauge={gauge} AWG"), "area");
        let found = (4.0 * area / std::f64::consts::PI).sqrt() / 0.0254;
        // Printed to a tenth of a thousandth.
        assert!((found - thousandths).abs() <= 0.051, "{gauge}: {found}");
    }
}

#[test]
fn class_5_conductors_have_the_maxima_of_the_standard() {
    for (size, ohm_km) in [
        ("0.5", 39.0),
        ("0.75", 26.0),
        ("1", 19.5),
        ("1.5", 13.3),
        ("2.5", 7.98),
        ("4", 4.95),
        ("6", 3.30),
        ("10", 1.91),
        ("16", 1.21),
        ("25", 0.780),
        ("35", 0.554),
        ("50", 0.386),
    ] {
        let query = format!("wire?gauge={size} mm2&length=500");
        let found = number(&query, "resistance_max");
        assert!((found / ohm_km - 1.0).abs() < 1e-12, "{size}: {found}");
        // Warm by IEC 60228's own factor 254.5/(234.5 + t), within what its rounding leaves.
        let warm = number(&format!("{query}&temp=60"), "resistance_max");
        let factor = (234.5 + 60.0) / 254.5;
        assert!((warm / found / factor - 1.0).abs() < 1e-3, "{size}: {warm}");
    }
}

#[test]
fn fuses_step_through_the_ratings_of_the_standard() {
    let ratings = [2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0];
    let fuse = |amps: f64| number(&format!("wire?amps={amps}&volts=24"), "fuse");
    for pair in ratings.windows(2) {
        let [below, above] = pair else { continue };
        // A load of 80 % of a fuse keeps it, one of a little more takes the next.
        assert!((fuse(below * 0.8) - below).abs() < 1e-12);
        assert!((fuse(below * 0.801) - above).abs() < 1e-12);
    }
}

/// Every number of a small wire by hand: 2 × 2 m of 0.75 mm² at 5 A, 12 V and 50 °C.
#[test]
fn a_wire_by_hand() {
    let query = "wire?amps=5&volts=12&length=2&gauge=0.75 mm²&temp=50&drop_max=2";
    let ohm = 4.0 * 0.017_241 * (1.0 + 0.003_93 * 30.0) / 0.75;
    for (key, expected) in [
        ("resistance", ohm),
        ("drop", 5.0 * ohm),
        ("drop_pct", 500.0 * ohm / 12.0),
        ("heat", 25.0 * ohm / 4.0),
        // 0.24 V: 1.606 mm².
        ("gauge_min", 2.5),
        // 15 AWG has 1.65 mm², 16 has 1.31.
        ("awg_min", 15.0),
        ("fuse", 7.5),
    ] {
        let found = number(query, key);
        assert!((found / expected - 1.0).abs() < 1e-12, "{key}: {found}");
    }
}

fn names(report: &Report, key: &str) -> Vec<Vec<String>> {
    let Some(Found::Rows(rows)) = report.found(key) else {
        return Vec::new();
    };
    let cell = |cell: &Cell| match cell {
        Cell::Text(text) => text.to_string(),
        other => panic!("{other:?}"),
    };
    rows.iter()
        .map(|row| row.iter().map(cell).collect())
        .collect()
}

/// First fit decreasing on its textbook case (D. S. Johnson's; bins of 10, items 8 2 4 6 5 5 by size: three bins, from
/// memory): the groups are full, as 30 W are shared by supplies of 10.
#[test]
fn staging_is_first_fit_decreasing() {
    let query =
        "supply?loads=a,8 W,1;b,2 W,1;c,4 W,1;d,6 W,1;e,5 W,1;f,5 W,1&volts=10&rated=1&derate=100";
    let report = report(query);
    assert_eq!(
        names(&report, "staged"),
        [vec!["a", "b"], vec!["d", "c"], vec!["e", "f"]]
    );
    let sets = names(&report, "sets");
    // Pairs of a sum up to 10, none of which takes a third: a with b; b with c, d, e, f; c with d, e, f; e with f.
    assert_eq!(sets.len(), 9, "{sets:?}");
    // All full ones first, in the order typed.
    assert_eq!(sets.first(), Some(&vec!["a".to_string(), "b".to_string()]));
}

#[test]
fn the_total_is_over_from_the_derated_rating_on() {
    let state = |watts: f64| {
        let report = report(&format!("supply?loads=bed,{watts} W,50&volts=24&rated=10"));
        report.checks.first().map(|checked| checked.state)
    };
    assert_eq!(state(153.0), Some(State::Within));
    assert_eq!(state(153.6), Some(State::Near));
    assert_eq!(state(192.0), Some(State::Near));
    assert_eq!(state(192.1), Some(State::Over));
}
