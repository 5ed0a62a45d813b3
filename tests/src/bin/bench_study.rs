//! Times the studies on every sheet: `cargo run --profile bench -p layshaft-tests --bin bench_study`.
//!
//! The sheets are filled in at random from their own limits with 1 % on each quantity; of some fillings the slowest counts.

use std::hint::black_box;
use std::time::{Duration, Instant};

use layshaft_core::sheets::{Outcome, Report, all};
use layshaft_tests::entries::random_entries;
use layshaft_tests::random::Random;

/// Evaluations of one Monte Carlo, and of one sweep of 200 points.
const DRAWS: f64 = 20_000.0;
const POINTS: f64 = 200.0;

fn main() {
    println!(
        "| sheet | one evaluation, µs | 20,000 draws, ms | sweep of 200 points, ms |\n| --- | --- | --- | --- |"
    );
    for sheet in all() {
        let mut random = Random::new(1);
        let slowest = (0..400)
            .map(|_| sheet.run(&random_entries(sheet, &mut random)))
            .filter(|report| report.problems.is_empty())
            .max_by_key(evaluation);
        let Some(report) = slowest else { continue };
        let once = evaluation(&report).as_secs_f64();
        println!(
            "| {} | {:.2} | {:.1} | {:.2} |",
            sheet.id,
            once * 1e6,
            once * DRAWS * 1e3,
            once * POINTS * 1e3
        );
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
