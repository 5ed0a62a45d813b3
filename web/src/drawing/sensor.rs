//! `sensor` marks the converted temperature on its curves, and where a controller would show the truth.

use layshaft_core::sheets::Report;

use super::Marks;

/// Where the converted value stands.
pub fn marks(report: &Report, answer: &str) -> Marks<'static> {
    Marks {
        at: report
            .number("temperature")
            .map(|celsius| (celsius, "your value")),
        equal: (answer == "curve_as").then_some("shown = true"),
        ..Marks::default()
    }
}
