//! Solving for what comes in standard sizes only.

use layshaft_core::link;
use layshaft_core::study::solve::{Solution, solve};

fn solved(query: &str, entry: &str, wanted: &str) -> Solution {
    let opened = link::read(query);
    let sheet = opened.sheet.expect("it is listed");
    let report = sheet.run(&opened.entries);
    assert!(report.problems.is_empty(), "{:?}", report.problems);
    solve(&report, entry, wanted).expect("it can be asked")
}

/// IEC 60228, class 5, has 1 and 1.5 mm² and nothing between; 0.017241 Ω·mm²/m is annealed copper at 20 °C (IEC 60028).
#[test]
fn a_wanted_drop_names_both_neighbouring_conductors_with_the_drop_of_each() {
    let solution = solved(
        "wire?amps=8&length=1.5&volts=24&temp=20&gauge=4 mm2",
        "gauge",
        "drop:0.3 V",
    );
    let drop = |area: f64| 8.0 * 2.0 * 1.5 * 0.017_241 / area;
    let [root] = solution.values.as_slice() else {
        panic!("{solution:?}");
    };
    // The sheet's constant and the one here are the same five digits.
    assert!((drop(*root) - 0.3).abs() < 1e-6, "{root}");
    let [(best, best_drop), (other, other_drop)] = solution.nearest.as_slice() else {
        panic!("{solution:?}");
    };
    assert!((best - 1.5).abs() < 1e-12 && (other - 1.0).abs() < 1e-12);
    assert!((best_drop - drop(1.5)).abs() < 1e-6, "{best_drop}");
    assert!((other_drop - drop(1.0)).abs() < 1e-6, "{other_drop}");
    assert!(
        solution.words.contains("of the real parts 1.5"),
        "{}",
        solution.words
    );
}

/// Without a size typed the unit is the gauge; ASTM B258: No. 36 is 0.005 in, No. 0000 is 0.46 in, 39 equal ratios between.
#[test]
fn a_blank_size_is_solved_in_gauges_the_thinner_and_the_thicker() {
    let solution = solved(
        "wire?amps=8&length=1.5&volts=24&temp=20",
        "gauge",
        "drop:0.3 V",
    );
    let drop = |gauge: i32| {
        let mm = 0.127 * 92_f64.powf(f64::from(36 - gauge) / 39.0);
        8.0 * 2.0 * 1.5 * 0.017_241 / (std::f64::consts::FRAC_PI_4 * mm * mm)
    };
    let [(best, best_drop), (other, other_drop)] = solution.nearest.as_slice() else {
        panic!("{solution:?}");
    };
    assert!((best - 16.0).abs() < 1e-12 && (other - 15.0).abs() < 1e-12);
    assert!((best_drop - drop(16)).abs() < 1e-6, "{best_drop}");
    assert!((other_drop - drop(15)).abs() < 1e-6, "{other_drop}");
}
