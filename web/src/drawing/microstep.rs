//! `microstep` marks today's load on the curve of the lag, and the torque that one microstep adds.

use layshaft_core::sheets::Report;

use super::Marks;

/// Where the load stands, and where a single microstep would hold it.
pub fn marks(report: &Report, _answer: &str) -> Marks<'static> {
    let load = report
        .inputs
        .num("load_torque")
        .or_else(|| report.number("load_torque"));
    Marks {
        at: load.map(|load| (load, "your load")),
        also: report
            .number("inc_torque")
            .map(|torque| (torque, "one microstep")),
        ..Marks::default()
    }
}
