//! Times the studies on every sheet: `cargo run --profile bench -p layshaft-tests --bin bench_study`.
//!
//! Each sheet is taken as the samples and random fillings have it, with 1 % on every quantity; of these the slowest counts.

use std::hint::black_box;
use std::time::{Duration, Instant};

use layshaft_core::sheets::{Outcome, Report, all};
use layshaft_tests::entries::random_entries;
use layshaft_tests::random::Random;
use layshaft_tests::samples::{samples, toleranced};

/// Evaluations of one Monte Carlo, and of one sweep of 200 points.
const DRAWS: f64 = 20_000.0;
const POINTS: f64 = 200.0;

fn main() {
    println!(
        "| sheet | one evaluation, µs | 20,000 draws, ms | sweep of 200 points, ms |\n| --- | --- | --- | --- |"
    );
    let samples = samples();
    for sheet in all() {
        let mut random = Random::new(1);
        let own = samples.iter().filter(|(of, _)| of.id == sheet.id);
        let own: Vec<Report> = own.map(|(_, entries)| sheet.run(entries)).collect();
        let own = own.iter().map(|report| {
            if !report.problems.is_empty() {
                eprintln!("{}: {:?}", sheet.id, report.problems);
            }
            sheet.run(&toleranced(report, "1 %"))
        });
        let log = |report: &Report| report.inputs.typed("log");
        let (logs, own): (Vec<Report>, Vec<Report>) = own
            .partition(|report| sheet.fields.iter().any(|field| field.key == "log") && log(report));
        let random = (0..200)
            .map(|_| sheet.run(&random_entries(sheet, &mut random)))
            .filter(|report| {
                report.problems.is_empty() && !sheet.fields.iter().any(|field| field.key == "log")
            });
        for (name, slowest) in [
            ("", own.into_iter().chain(random).max_by_key(evaluation)),
            (" with a log", logs.into_iter().max_by_key(evaluation)),
        ] {
            let Some(report) = slowest else { continue };
            let once = evaluation(&report).as_secs_f64();
            println!(
                "| {}{name} | {:.2} | {:.1} | {:.2} |",
                sheet.id,
                once * 1e6,
                once * DRAWS * 1e3,
                once * POINTS * 1e3
            );
            if std::env::args().any(|arg| arg == sheet.id) {
                println!("{:.900}", format!("{:?}", report.entries));
                let start = Instant::now();
                while start.elapsed().as_secs() < 3 {
                    evaluation(&report);
                }
            }
        }
    }
}

/// The shortest of some runs of one evaluation.
fn evaluation(report: &Report) -> Duration {
    let mut outcome = Outcome::for_numbers();
    (0..10)
        .map(|_| {
            let start = Instant::now();
            outcome.clear();
            (report.sheet.work)(black_box(&report.inputs), &mut outcome);
            start.elapsed()
        })
        .min()
        .unwrap_or_default()
}
