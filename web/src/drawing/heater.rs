//! `heater` drawn: the way to the target full on, with the window in which a fault must show.

use layshaft_core::sheets::{Cell, Report};

use super::{Drawing, Marks, part_of};

/// What both curves have marked; `far` for the one that runs to the end.
fn marked(report: &Report, far: bool) -> Marks<'static> {
    let number = |key| report.inputs.num(key);
    let mut levels = Vec::new();
    levels.extend(number("target").map(|target| (target, "target")));
    levels.extend(number("max_allowed").map(|allowed| (allowed, "allowed at the most")));
    let window = || {
        let (warmup, window) = (report.number("warmup")?, report.number("fault_seconds")?);
        // The window is three dead times and twice the slowest honest rise, which ends at the target.
        let rise = (window - 3.0 * number("dead")?) / 2.0;
        Some((warmup - rise, warmup - rise + window, "fault window"))
    };
    Marks {
        levels,
        span: if far { None } else { window() },
        ..Marks::default()
    }
}

/// The levels on the whole curve.
pub fn marks(report: &Report, _answer: &str) -> Marks<'static> {
    marked(report, true)
}

/// The curve up to the target and the end of the window.
pub fn draw(report: &Report) -> Option<Drawing> {
    let marks = marked(report, false);
    let (_, end, _) = marks.span?;
    let until = 1.15 * end;
    part_of(
        report,
        &marks,
        "Full on. A reading that rises less than “Rise to wait for” within the window is a fault.",
        &|row| match row.first() {
            Some(Cell::Number(seconds)) if *seconds <= until => Some(row.to_vec()),
            _ => None,
        },
    )
}
