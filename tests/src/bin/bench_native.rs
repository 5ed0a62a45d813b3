//! Times the whole example machine and each of its sheets: `cargo run --profile bench -p layshaft-tests --bin bench_native`.

use std::hint::black_box;
use std::time::{Duration, Instant};

use layshaft_core::machine::example;

fn main() {
    let machine = match example::machine() {
        Ok(machine) => machine,
        Err(fault) => {
            println!("{}", fault.message());
            return;
        }
    };
    let worked = machine.work();
    println!("| sheet | µs |\n| --- | --- |");
    for (part, report) in worked.reports() {
        let carried = |field: &_| carried(&worked, part, report, field);
        let time = best(|| {
            black_box(
                report
                    .sheet
                    .run_carried(black_box(&report.entries), &carried),
            );
        });
        println!(
            "| {}, {} | {} |",
            machine.parts.get(part).map_or("", |part| &part.name),
            report.sheet.id,
            micros(time)
        );
    }
    let whole = best(|| {
        black_box(black_box(&machine).work());
    });
    let (parts, sheets) = (machine.parts.len(), worked.reports().count());
    println!(
        "| the whole machine: {parts} parts, {sheets} sheets | {} |",
        micros(whole)
    );
}

fn carried(
    worked: &layshaft_core::machine::Worked,
    part: usize,
    report: &layshaft_core::sheets::Report,
    field: &layshaft_core::sheets::Field,
) -> Option<f64> {
    let from = worked.tie(part, report.sheet.id, field.key)?;
    worked.number(from.part, from.sheet, from.key)
}

fn micros(time: Duration) -> String {
    format!("{:.1}", time.as_secs_f64() * 1e6)
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
