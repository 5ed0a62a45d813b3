//! Times every sheet natively: `cargo run --release -p layshaft-tests --bin bench_native`.

use std::hint::black_box;
use std::time::{Duration, Instant};

use layshaft_core::link;
use layshaft_tests::samples::SAMPLES;

/// Parts of the machine of the budget; each has all sheets.
const PARTS: u32 = 8;

fn main() {
    let mut total = Duration::ZERO;
    println!("| sheet | µs |\n| --- | --- |");
    for sample in SAMPLES {
        let opened = link::read(sample);
        let Some(sheet) = opened.sheet else {
            println!("| {sample} | no such sheet |");
            continue;
        };
        let time = best(|| {
            black_box(sheet.run(black_box(&opened.entries)));
        });
        total += time;
        println!("| {} | {:.1} |", sheet.id, time.as_secs_f64() * 1e6);
    }
    println!(
        "| all, in {PARTS} parts | {:.1} |",
        (total * PARTS).as_secs_f64() * 1e6
    );
}

/// The shortest of many runs: what the work takes when nothing else does.
fn best(run: impl Fn()) -> Duration {
    (0..400)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed()
        })
        .min()
        .unwrap_or_default()
}
