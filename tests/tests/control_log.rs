//! Logs as people paste them, and the fit against an independent least-squares fit.
//!
//! # Sources
//! The three logs in `control_logs/` were made with numpy 2.4.6 (seed 2024) and scipy 1.17.1: `heat_up.csv` a first-order
//! plant (180 K, 260 s, 9.3 s) with noise of 0.3 K; `hot_end.csv` two lumps with radiation, so that no first-order model fits
//! it; `relay.csv` a relay test of a first-order plant (310 K, 140 s, 6 s). Each was fitted by
//! `scipy.optimize.least_squares` with the answer as a sum of delayed exponentials, the standard errors from a numerical
//! Jacobian.

use layshaft_core::entry::log::{normalise_log, read_log};
use layshaft_core::link;
use layshaft_core::sheets::{Entries, Report, find};

const HEAT_UP: &str = include_str!("control_logs/heat_up.csv");
const HOT_END: &str = include_str!("control_logs/hot_end.csv");
const RELAY: &str = include_str!("control_logs/relay.csv");

/// The sheet with a log as it was pasted.
fn pasted(log: &str) -> Report {
    let entries: Entries = [("log", log), ("target", "150")].into_iter().collect();
    find("control").expect("the sheet").run(&entries)
}

fn holds(report: &Report, expected: &[(&str, f64)], tolerance: f64) {
    assert!(report.problems.is_empty(), "{:?}", report.problems);
    for (key, expected) in expected {
        let found = report.number(key);
        assert!(
            found.is_some_and(|x| (x / expected - 1.0).abs() < tolerance),
            "{key}: {found:?}, expected {expected}"
        );
    }
}

#[test]
fn fits_are_those_of_a_general_solver() {
    // To seven digits: where both stop.
    holds(
        &pasted(HEAT_UP),
        &[
            ("gain", 179.484_106_754_904_36),
            ("tau", 258.968_233_111_294_3),
            ("dead", 9.579_741_403_772_966),
            ("fit_error", 0.292_852_380_213_962_37),
            ("gain_error", 0.310_103_636_102_399),
            ("tau_error", 0.824_151_718_946_905_2),
            ("dead_error", 0.154_767_653_462_689_42),
            ("slope_error", 0.162_919_377_893_440_97),
        ],
        1e-6,
    );
    holds(
        &pasted(HOT_END),
        &[
            ("gain", 427.474_679_406_679),
            ("tau", 149.159_565_435_440_4),
            ("dead", 19.720_160_217_297_13),
            ("fit_error", 3.497_412_801_911_968_6),
            ("gain_error", 1.690_301_562_298_319),
            ("tau_error", 1.188_901_864_747_894_4),
            ("dead_error", 0.619_734_633_391_466_2),
        ],
        1e-6,
    );
    holds(
        &pasted(RELAY),
        &[
            ("gain", 309.962_177_004_839_25),
            ("tau", 139.977_003_704_773_7),
            ("dead", 6.003_600_201_360_192),
            ("fit_error", 0.106_210_681_768_959_84),
            ("gain_error", 0.039_906_188_590_888_576),
            ("tau_error", 0.023_266_509_587_049_285),
            ("dead_error", 0.005_314_435_322_156_996),
        ],
        1e-6,
    );
}

#[test]
fn a_relay_log_gives_its_own_swings() {
    // Switched on again at 138, 168 ... 405 s; the nine swings' peak to peak as numpy's ptp gives them.
    let swings = [16.5, 16.3, 16.4, 16.5, 15.4, 15.2, 16.3, 16.6, 16.3];
    let mean = swings.iter().sum::<f64>() / 9.0;
    let report = pasted(RELAY);
    holds(
        &report,
        &[
            ("pu", (405.0 - 138.0) / 9.0),
            ("ku", 4.0 * 0.5 / (std::f64::consts::PI * mean / 2.0)),
        ],
        1e-12,
    );
}

/// A log in another dress: its rows through `row`, joined by `end`, under `heading`.
fn dressed(heading: &str, end: &str, row: impl Fn(&[&str]) -> String) -> String {
    let rows: Vec<String> = HEAT_UP
        .lines()
        .map(|line| row(&line.split(',').collect::<Vec<_>>()))
        .collect();
    format!("{heading}{}{end}", rows.join(end))
}

fn clock(seconds: &str) -> String {
    let s: u32 = seconds.parse().expect("whole seconds");
    let s = s + 23 * 3600 + 57 * 60;
    format!("{:02}:{:02}:{:02}", s / 3600 % 24, s / 60 % 60, s % 60)
}

#[test]
fn every_dress_of_a_log_is_the_same_log() {
    let plain = read_log(HEAT_UP).expect("a log");
    assert_eq!(plain.len(), 200);
    let comma = |text: &str| text.replace('.', ",");
    let texts = [
        dressed("", ";", |row| row.join(",")),
        dressed("time,temperature,duty\n", "\r\n", |row| row.join(", ")),
        dressed("t/s\tC\tduty\n", "\n", |row| row.join("\t")),
        dressed("", "\n", |row| row.join(" ")),
        dressed("", "\n", |row| format!("   {}   ", row.join("    "))),
        dressed("Zeit;Temperatur;Leistung\r\n", "\r\n", |row| {
            comma(&row.join(";"))
        }),
        dressed("", "\n", |row| comma(&row.join("\t"))),
        dressed("", "\n", |row| comma(&row.join(" "))),
        dressed("# bed\n# 24 V\ntime,C,on\n", "\n", |row| match row {
            [s, c, d] => format!(
                "\"{s}\",\"{c}\",\"{}\"",
                if *d == "1" { "on" } else { "off" }
            ),
            _ => String::new(),
        }),
        dressed("", "\n", |row| match row {
            [s, c, d] => format!("{s},{c},{}%", if *d == "1" { "100" } else { "0" }),
            _ => String::new(),
        }),
    ];
    for text in &texts {
        assert_eq!(
            read_log(text).as_ref(),
            Ok(&plain),
            "{}",
            text.get(..60).unwrap_or("")
        );
        let rows = normalise_log(text).expect("a log");
        assert_eq!(read_log(&rows).as_ref(), Ok(&plain));
        // Plain rows are their own plain rows.
        assert_eq!(normalise_log(&rows).as_ref(), Ok(&rows));
    }
}

#[test]
fn a_clock_that_passes_midnight_fits_the_same() {
    let by_clock = |sign: &str, comma: bool, date: bool| {
        dressed("clock;C;duty\n", "\n", |row| match row {
            [s, c, d] => {
                let c = if comma {
                    c.replace('.', ",")
                } else {
                    (*c).into()
                };
                let day = match (date, s.parse::<u32>()) {
                    (true, Ok(s)) if s < 180 => "2026-02-28 ",
                    (true, _) => "2026-03-01 ",
                    _ => "",
                };
                [&format!("{day}{}", clock(s)), &c, *d].join(sign)
            }
            _ => String::new(),
        })
    };
    let expected = pasted(HEAT_UP);
    for text in [
        by_clock(",", false, false),
        by_clock("\t", true, false),
        by_clock(";", true, true),
        by_clock(" ", false, true),
    ] {
        let report = pasted(&text);
        for key in ["gain", "tau", "dead"] {
            let (found, expected) = (report.number(key), expected.number(key));
            assert!(
                found
                    .zip(expected)
                    .is_some_and(|(a, b)| (a / b - 1.0).abs() < 1e-9),
                "{key}: {found:?} {expected:?} {:?}",
                report.problems
            );
        }
    }
}

#[test]
fn bad_logs_are_refused_in_words_and_stay_as_typed() {
    let lines: Vec<&str> = HEAT_UP.lines().collect();
    let with = |index: usize, row: &str| {
        let mut lines = lines.clone();
        if let Some(line) = lines.get_mut(index) {
            *line = row;
        }
        lines.join("\n")
    };
    let turned: Vec<&str> = lines.iter().rev().copied().collect();
    let two: Vec<&str> = lines.iter().take(2).copied().collect();
    let short: Vec<&str> = lines.iter().take(16).copied().collect();
    let flat = HEAT_UP
        .lines()
        .enumerate()
        .map(|(i, _)| format!("{i},21.4,1\n"))
        .collect::<String>();
    let percent = HEAT_UP.replace(",1\n", ",100\n");
    for (log, word) in [
        (two.join("\n"), "at least 5 rows"),
        (turned.join("\n"), "row 2: the time runs backwards"),
        (with(80, "160,,1"), "row 81: enter a temperature"),
        (with(80, "160,nan,1"), "row 81: enter a temperature"),
        (with(80, "160,999,1"), "row 81: the reading jumps"),
        (with(80, "160,-20,1"), "row 81: the reading jumps"),
        (with(80, "160,85.1"), "row 81: enter three columns"),
        (with(80, "160;85,1;1"), "row 81: "),
        (percent, "a duty from 0 to 1"),
        (flat, "Record again"),
        (short.join("\n"), "Record"),
        ("no log at all".into(), "enter rows of seconds"),
    ] {
        let report = pasted(&log);
        assert_eq!(report.entries.get("log"), Some(log.as_str()));
        let fields: Vec<&str> = report.problems.iter().map(|p| p.field).collect();
        assert_eq!(fields, ["log"], "{word}");
        let message = report.problems.first().map_or("", |p| p.message.as_str());
        assert!(
            message.starts_with("Log") && message.contains(word),
            "{message}"
        );
        assert!(report.number("gain").is_none());
    }
}

/// The entries of a sheet with more beside the log.
fn with(report: &Report, more: &[(&str, &str)]) -> Entries {
    let mut entries = report.entries.clone();
    for (key, text) in more {
        entries.set(key, text);
    }
    entries
}

/// A link must not carry thousands of rows, and yet open with the same settings: those of the model, and of the swings.
#[test]
fn a_link_carries_what_the_log_told_in_its_place() {
    for (log, rule) in [
        (HEAT_UP, "simc"),
        (HOT_END, "simc"),
        (RELAY, "simc"),
        (RELAY, "tyreus_luyben"),
    ] {
        let entries = with(&pasted(log), &[("method", "pid"), ("rule", rule)]);
        let report = find("control").expect("listed").run(&entries);
        let text = link::write(&report);
        assert!(text.len() < 400 && !text.contains("log="), "{text}");
        let opened = link::read(&text);
        assert!(opened.faults.is_empty(), "{:?}", opened.faults);
        let other = opened.sheet.expect("named").run(&opened.entries);
        assert!(other.problems.is_empty(), "{:?}", other.problems);
        for key in ["kp", "ki", "kd", "k", "ti", "td"] {
            match (report.number(key), other.number(key)) {
                // Twelve digits are carried.
                (Some(a), Some(b)) => assert!((a - b).abs() <= 1e-10 * a.abs(), "{key}: {a}, {b}"),
                (a, b) => assert_eq!(a, b, "{key}"),
            }
        }
    }
}

/// A log that tells nothing is in the link while it is short, so that others can see why; a long one is not.
#[test]
fn a_link_carries_a_short_log_that_is_refused() {
    let flat = |rows: usize| {
        let rows = (0..rows).map(|i| format!("{i},25,1\n"));
        rows.collect::<String>()
    };
    assert!(link::write(&pasted(&flat(20))).contains("&log=0,25,1"));
    assert!(!link::write(&pasted(&flat(200))).contains("log="));
}

/// The page works the sheet out at each key press: what the log tells is not found again then.
#[test]
fn an_earlier_report_spares_reading_and_fitting_and_changes_no_answer() {
    let sheet = find("control").expect("listed");
    let first = pasted(RELAY);
    for more in [
        &[("target", "151")][..],
        &[("ambient", "21")],
        // On the way over another ambient temperature it tells something else.
        &[("ambient", "90")],
        &[("log", HEAT_UP)],
        &[("log", "0,25,1;1,25,1")],
        &[("log", "0,25,1;1,x,1")],
        &[("log", ""), ("gain", "200"), ("tau", "100"), ("dead", "5")],
    ] {
        let entries = with(&first, more);
        let after = sheet.run_after(&entries, &|_| None, Some(&first));
        let anew = sheet.run(&entries);
        assert_eq!(after.problems, anew.problems, "{more:?}");
        assert_eq!(after.warnings, anew.warnings, "{more:?}");
        for answer in sheet.answers {
            assert_eq!(
                after.found(answer.key),
                anew.found(answer.key),
                "{more:?} {}",
                answer.key
            );
        }
    }
    let rows = |report: &Report| report.inputs.log("log").map(<[_]>::as_ptr);
    let after = sheet.run_after(&with(&first, &[("target", "151")]), &|_| None, Some(&first));
    assert_eq!(rows(&after), rows(&first), "the rows are shared");
}

/// A thermometer that only shows its noise was told to be a heater that cools, and its owner to change the columns.
#[test]
fn a_flat_log_says_that_nothing_answers_with_noise_and_without() {
    for swing in [0, 1, 3] {
        let row = |i: usize| format!("{i},22.{},{}\n", i * 7 % 11 * swing, u8::from(i > 20));
        let problems = pasted(&(0..600).map(row).collect::<String>()).problems;
        let said = problems.first().map(|problem| problem.message.as_str());
        assert!(
            said.is_some_and(
                |said| said.starts_with("Log: nothing in the temperature follows")
                    || said.contains("only known to")
            ),
            "{said:?}"
        );
    }
}
