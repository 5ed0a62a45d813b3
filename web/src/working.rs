//! The working of a report as markup, line by line, and its cautions.

use layshaft_core::sheets::Report;
use layshaft_core::sheets::declare::Subject;

use crate::markup::Markup;

/// Formula in words, numbers put in, result, source; one block for each step.
pub fn working(report: &Report) -> String {
    let mut out = Markup::default();
    for step in report.working() {
        out.raw("<div class=step><b>")
            .words(step.label)
            .raw("</b><p>= ")
            .words(&step.formula)
            .raw("</p>");
        if !step.numbers.is_empty() {
            out.raw("<p>= ").words(&step.numbers).raw("</p>");
        }
        out.raw("<p>= <b>")
            .words(&step.result)
            .raw("</b> <cite>")
            .words(step.source)
            .raw("</cite></p></div>");
    }
    out.finish()
}

/// What can happen, and what to do first.
pub fn cautions(report: &Report) -> String {
    let mut out = Markup::default();
    for caution in &report.cautions {
        out.raw("<div class=caution><svg viewBox=\"0 0 26 26\" aria-hidden=true><path d=\"M13 2.5l11.5 20.5H1.5zM13 10v7M13 18.5v2\"/></svg>");
        out.raw("<div><b>")
            .words(caution.what)
            .raw("</b><p>")
            .words(caution.first)
            .raw("</p></div></div>");
    }
    out.finish()
}

/// In one line above the entries: what can happen to who goes on without reading, where there is heat or mains power.
pub fn before(report: &Report) -> String {
    let mut out = Markup::default();
    if let (Subject::Heat | Subject::Power, Some(first)) = (
        report.sheet.subject,
        report.cautions.iter().find(|caution| caution.always),
    ) {
        out.raw("<button type=button data-click=cautions><b>Before power:</b> ")
            .words(first.what)
            .raw(" <u>What to do first</u></button>");
    }
    out.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use layshaft_core::sheets;

    #[test]
    fn each_step_has_formula_numbers_result_and_source() {
        let entries = [("pitch", "2"), ("teeth", "20")].into_iter().collect();
        let html = working(&sheets::find("travel").expect("it is listed").run(&entries));
        let first = "<p>= belt pitch × pulley teeth</p><p>= 2\u{a0}mm × 20</p><p>= <b>40.000\u{a0}mm</b> <cite>ISO 5288";
        assert!(html.contains(first), "{html}");
    }
}
