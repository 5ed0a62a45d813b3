//! `microstep` marks today's load on the curve of the lag.

use layshaft_core::sheets::Report;

use super::Marks;

/// Where the load stands.
pub fn marks(report: &Report, _answer: &str) -> Marks {
    let load = report
        .inputs
        .num("load_torque")
        .or_else(|| report.number("load_torque"));
    Marks {
        at: load.map(|load| (load, "your load")),
        equal: None,
    }
}
