//! `headroom` marks on its curve: today's point, what is in hand there, and the speed where trust ends.

use layshaft_core::entry::write::write_significant;
use layshaft_core::sheets::Report;

use super::Marks;

/// Where the axis runs today.
pub fn marks(report: &Report, _answer: &str) -> Marks<'static> {
    let speed = report.inputs.num("speed");
    let torques = report
        .number("torque_needed")
        .zip(report.number("torque_available"));
    Marks {
        at: speed.map(|speed| (speed, "your speed")),
        also: report.number("trusted").map(|speed| (speed, "trust ends")),
        gap: torques.map(|(needed, available)| {
            let words = report
                .number("in_hand")
                .map_or_else(String::new, |in_hand| {
                    write_significant(in_hand, 3) + " × needed"
                });
            (needed, available, words)
        }),
        ..Marks::default()
    }
}
