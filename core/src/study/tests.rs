//! The studies against published examples and against themselves.

use alloc::vec::Vec;

use super::root::roots;
use super::solve::solve;
use super::sweep::sweep;
use super::tolerance::{spreads, written};
use crate::link;
use crate::sheets::{Report, State};

fn report(query: &str) -> Report {
    let opened = link::read(query);
    match opened.sheet {
        Some(sheet) => sheet.run(&opened.entries),
        None => panic!("no such sheet: {query}"),
    }
}

fn uncertainty(report: &Report, answer: &str) -> f64 {
    let spreads = spreads(report);
    spreads
        .iter()
        .find(|s| s.answer == answer)
        .map_or(f64::NAN, |s| s.uncertainty)
}

fn even(from: f64, to: f64) -> Vec<f64> {
    (0..=400)
        .map(|i| from + (to - from) * f64::from(i) / 400.0)
        .collect()
}

#[test]
fn brent_finds_the_roots_of_published_functions() {
    // G. E. Alefeld, F. A. Potra, Y. Shi, Algorithm 748, ACM TOMS 21 (1995), table I, problems 1 and 3 (a = -40, b = -1);
    // problem 3 has its root at 0. From memory.
    let sine = |x: f64| Some(libm::sin(x) - x / 2.0);
    let found = roots(
        &sine,
        &even(core::f64::consts::FRAC_PI_2, core::f64::consts::PI),
    );
    assert!(
        matches!(found.as_slice(), [x] if (x - 1.895_494_267_033_98).abs() < 1e-13),
        "{found:?}"
    );
    let steep = |x: f64| Some(-40.0 * x * libm::exp(-x));
    let found = roots(&steep, &even(-9.0, 31.0));
    assert!(
        matches!(found.as_slice(), [x] if x.abs() < 1e-12),
        "{found:?}"
    );
}

#[test]
fn all_roots_are_found_and_poles_are_none() {
    let cubic = |x: f64| Some((x - 1.0) * (x - 2.5) * (x + 3.0));
    assert_eq!(roots(&cubic, &even(-10.0, 10.5)).len(), 3);
    let pole = |x: f64| Some(1.0 / (x - 0.123));
    assert!(roots(&pole, &even(-1.0, 1.0)).is_empty());
    let gap = |x: f64| (x > 0.5).then_some(x - 0.7);
    assert_eq!(roots(&gap, &even(0.0, 1.0)).len(), 1);
}

#[test]
fn a_product_of_toleranced_entries_adds_relative_squares() {
    // GUM 5.1.6: for a product the relative variances add. 2 mm +- 1 %, 300 to either side of nothing else.
    let report = report("travel?pitch=2±1%&teeth=20&gears=3±0.05");
    let (pitch, gears): (f64, f64) = (0.01, 0.05 / 3.0);
    let want = 40.0 / 3.0 * libm::sqrt((pitch * pitch + gears * gears) / 3.0);
    let got = uncertainty(&report, "turn_travel");
    // The central difference of 1/x misses by the square of its step.
    assert!((got / want - 1.0).abs() < 1e-6, "{got} {want}");
}

#[test]
fn the_shares_name_the_entry_that_is_worth_measuring() {
    let report = report("travel?pitch=2±0.1%&teeth=20&gears=3±0.05");
    let spreads = spreads(&report);
    let shares = spreads
        .iter()
        .find(|s| s.answer == "turn_travel")
        .map(|s| s.shares.clone());
    assert!(
        matches!(shares.as_deref(), Some([("gears", most), ("pitch", least)]) if most + least > 0.999_999 && *most > 0.9),
        "{shares:?}"
    );
}

#[test]
fn a_bent_sheet_takes_the_monte_carlo() {
    // Near the holding torque the lag's slope grows without end; the first order alone would miss.
    let bent = report("microstep?turn_travel=40&hold_torque=0.4&load_torque=0.3±0.09");
    let found = spreads(&bent);
    let lag = found
        .iter()
        .find(|s| s.answer == "lag")
        .map(|s| (s.bent, s.uncertainty));
    // Second way: the exact variance of asin(load / hold) under the rectangular load, by Simpson's rule.
    let um = |load: f64| 40_000.0 / 360.0 * 1.8 / 90.0 * libm::asin(load / 0.4).to_degrees();
    let simpson = |f: &dyn Fn(f64) -> f64| {
        let n = 2000;
        let sum: f64 = (0..=n)
            .map(|i| {
                let weight = if i == 0 || i == n {
                    1.0
                } else if i % 2 == 1 {
                    4.0
                } else {
                    2.0
                };
                weight * f(0.21 + 0.18 * f64::from(i) / f64::from(n))
            })
            .sum();
        sum / (3.0 * f64::from(n))
    };
    let mean = simpson(&um);
    let exact = libm::sqrt(simpson(&|load| (um(load) - mean) * (um(load) - mean)));
    // 20,000 draws: the standard error of a standard deviation is about 0.5 %, so 2 % is four of them.
    assert!(
        lag.is_some_and(|(bent, u)| bent && (u / exact - 1.0).abs() < 0.02),
        "{lag:?} {exact}"
    );
    let straight = report("microstep?turn_travel=40&hold_torque=0.4±1%&load_torque=0.1");
    assert!(
        spreads(&straight)
            .iter()
            .all(|s| s.answer != "inc_torque" || !s.bent)
    );
}

#[test]
fn a_check_that_turns_inside_the_tolerance_is_near() {
    let state = |query| {
        report(query)
            .checks
            .iter()
            .find(|c| c.check.id == "mount")
            .map(|c| c.state)
    };
    assert_eq!(
        state("current?rated=1.5&resistance=1.6&set=1.2&supply=24&mount_limit=70"),
        Some(State::Over)
    );
    assert_eq!(
        state("current?rated=1.5±0.1&resistance=1.6&set=1.2&supply=24&mount_limit=70"),
        Some(State::Near)
    );
    assert_eq!(
        state("current?rated=1.5&resistance=1.6&set=1.2&supply=24&mount_limit=70±2"),
        Some(State::Near)
    );
}

#[test]
fn solving_gives_the_entry_back() {
    let base = report("current?rated=1.5&resistance=1.6&supply=24");
    let solution = solve(&base, "set", "motor_temp:60 °C");
    let values = solution.map(|s| (s.values, s.measure.unit.symbol));
    let mount = report("current?rated=1.5&resistance=1.6&supply=24&mount_limit=60")
        .number("mount_rms")
        .unwrap_or(0.0);
    assert!(
        matches!(&values, Ok((values, "A")) if matches!(values.as_slice(), [x] if (x / mount - 1.0).abs() < 1e-12)),
        "{values:?} {mount}"
    );
}

#[test]
fn counts_are_answered_with_the_parts_on_both_sides() {
    let solution = solve(&report("travel?pitch=2"), "teeth", "turn_travel:41.5");
    assert!(
        matches!(&solution, Ok(s) if s.values == [20.75] && s.nearest == [(21.0, 42.0), (20.0, 40.0)]),
        "{solution:?}"
    );
}

#[test]
fn what_cannot_be_had_is_said_in_words() {
    let none = solve(&report("travel?pitch=2"), "teeth", "turn_travel:900 m");
    assert!(
        matches!(&none, Ok(s) if s.values.is_empty() && s.words.contains("No value")),
        "{none:?}"
    );
    let base = report("travel?pitch=2&teeth=20");
    for (entry, wanted, key) in [
        ("tooth", "turn_travel:40", "solve"),
        ("drive", "turn_travel:40", "solve"),
        ("teeth", "speed:40", "for"),
        ("teeth", "exact:80", "for"),
        ("teeth", "turn_travel:forty", "for"),
        ("teeth", "turn_travel", "for"),
    ] {
        assert_eq!(
            solve(&base, entry, wanted).err().map(|r| r.key),
            Some(key),
            "{entry} {wanted}"
        );
    }
    let own = report("travel?pitch=2&steps_per_mm=80");
    assert_eq!(
        solve(&own, "teeth", "turn_travel:40").err().map(|r| r.key),
        Some("solve")
    );
}

#[test]
fn an_answer_that_stays_is_said_to_stay_also_where_it_is_the_wanted_one() {
    let report = report("travel?pitch=2&teeth=20&micro=16");
    let stays = solve(&report, "span", "steps_per_mm:80").expect("it can be asked");
    assert!(stays.values.is_empty() && stays.nearest.is_empty());
    assert_eq!(
        stays.words,
        "“Steps per mm” does not depend on “Length of the axis”: it stays 80\u{a0}1/mm."
    );
}

#[test]
fn a_count_that_is_met_but_for_rounding_is_whole() {
    // Found with random designs: 19.999999999999993 teeth.
    for hundredths in 170..190 {
        let report = report(&std::format!("travel?pitch=1.{hundredths}&teeth=20"));
        let microstep = report.number("microstep").expect("it is worked out");
        let wanted = std::format!("microstep:{microstep:e}");
        let solution = solve(&report, "teeth", &wanted).expect("it can be asked");
        assert_eq!(solution.values, [20.0], "{wanted}");
    }
}

#[test]
fn a_sweep_has_both_ends_and_every_count() {
    let base = report("travel?pitch=2&teeth=20");
    let counts = sweep(&base, "teeth:10:40", "turn_travel").map(|s| s.rows);
    assert!(
        matches!(&counts, Ok(rows) if rows.len() == 31 && rows.iter().all(|(z, y)| *y == Some(2.0 * z)))
    );
    let even = sweep(&base, "pitch:1:3 mm", "turn_travel").map(|s| s.rows);
    assert!(
        matches!(&even, Ok(rows) if rows.len() == 65 && rows.first() == Some(&(1.0, Some(20.0))) && rows.last() == Some(&(3.0, Some(60.0))))
    );
    let micro = sweep(&base, "micro:4:64", "steps_per_mm").map(|s| s.rows.len());
    assert_eq!(micro, Ok(5));
    for (range, of, key) in [
        ("teeth:10", "turn_travel", "sweep"),
        ("teeth:40:10", "turn_travel", "sweep"),
        ("teeth:1:9e8", "turn_travel", "sweep"),
        ("tooth:1:2", "turn_travel", "sweep"),
        ("teeth:1:2", "speed", "of"),
    ] {
        assert_eq!(
            sweep(&base, range, of).err().map(|r| r.key),
            Some(key),
            "{range} {of}"
        );
    }
}

#[test]
fn figures_are_written_with_the_digits_that_the_uncertainty_supports() {
    // The GUM's own example in 7.2.6: 10.057 62 ohm with 27 milliohm is written 10.058 ohm.
    let cases = [
        (10.057_62, 0.027, "10.058", "0.027"),
        (40.003_12, 0.1155, "40.00", "0.12"),
        (40.0, 0.0996, "40.00", "0.10"),
        (1234.6, 12.3, "1235", "12"),
        (98_765.0, 1234.0, "98800", "1200"),
        (-3.2, 0.994, "-3.20", "0.99"),
    ];
    for (value, uncertainty, want, with) in cases {
        assert_eq!(written(value, uncertainty), (want.into(), with.into()));
    }
}

#[test]
fn between_two_real_parts_the_words_name_both_with_what_each_gives() {
    // 2 mm a tooth: 41 mm lies midway between 20 and 21 teeth, so neither is nearer.
    let found =
        solve(&report("travel?pitch=2"), "teeth", "turn_travel:41").expect("it can be asked");
    for side in ["20 gives 40\u{a0}mm", "21 gives 42\u{a0}mm"] {
        assert!(found.words.contains(side), "{}", found.words);
    }
}

/// An axis whose parts are searched for: 2 motors, 3 reductions, and so many teeth of 2 and 3 mm.
fn search(teeth: &str, more: &str) -> Report {
    report(&std::format!(
        "find?from=20&to=60&speed=150&accel=3000&mass=0.5&friction=2&supply=24&drives=belt&teeth={teeth}&pitches=2,3&gears=1,60/20,60/20*34/17&micros=16,32&motors=small,1.8,0.26,1.2,2.1,2.8,38,9;large,0.9,0.44,1.5,2.4,4.1,68{more}"
    ))
}

#[test]
fn a_search_is_swept_and_every_row_is_what_the_sheet_finds() {
    let swept = sweep(&search("12..40", ""), "to:20:100", "found").expect("it can be asked");
    assert_eq!(swept.rows.len(), 65);
    for (to, found) in swept.rows {
        let whole = search("12..40", &std::format!("&to={to:e}"));
        assert!(found.is_some() && found == whole.number("found"), "{to}");
    }
}

#[test]
fn a_search_is_solved_and_a_stretch_of_values_that_give_it_is_said_with_its_ends() {
    let base = search("12..40", "");
    let now = base.number("found").expect("it is found");
    let wanted = std::format!("found:{now}");
    let solve = |entry: &str| solve(&base, entry, &wanted).expect("it can be asked");
    // So many designs are found up to 60 mm, and not one more until the next travel that there is: 62 mm.
    let to = solve("to");
    assert!(
        matches!(to.values.as_slice(), [to] if (60.0..62.0).contains(to)),
        "{to:?}"
    );
    // A little less or more friction puts no design out of reach.
    let friction = solve("friction");
    let &[low, high] = friction.values.as_slice() else {
        panic!("{friction:?}");
    };
    assert!(low < 2.0 && high >= 2.0, "{low} {high}");
    for end in [low, high] {
        let found = search("12..40", &std::format!("&friction={end:e}")).number("found");
        assert_eq!(found, Some(now), "{end}");
    }
    let words = &friction.words;
    assert!(
        words.starts_with("“Friction along the path” from ") && words.contains("\u{a0}N to "),
        "{words}"
    );
}

#[test]
fn a_search_too_long_for_a_study_is_said_at_solve_and_at_sweep_and_what_to_narrow() {
    // 2 pitches, 3 reductions, 2 motors: 1,666 pulleys are 19,992 designs, one more is 20,004.
    assert!(sweep(&search("1..1666", ""), "to:20:60", "found").is_ok());
    let long = search("1..1667", "");
    let refusals = [
        solve(&long, "to", "found:9").err(),
        sweep(&long, "to:20:60", "found").err(),
    ];
    for (refusal, key) in refusals.into_iter().zip(["solve", "sweep"]) {
        let refusal = refusal.expect("it is too long");
        assert_eq!(refusal.key, key);
        let words = refusal.message;
        assert!(
            words.contains("20004 designs; up to 20000") && words.ends_with("“Pulley teeth”."),
            "{words}"
        );
    }
    // How many are tried needs no search.
    assert!(sweep(&long, "to:20:60", "tried").is_ok());
}
