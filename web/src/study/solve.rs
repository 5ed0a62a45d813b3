//! What solving found, as markup.

use layshaft_core::entry::unit::Measure;
use layshaft_core::entry::write::write_shortest;
use layshaft_core::link::Asked;
use layshaft_core::sheets::{Kind, Report, join_unit};
use layshaft_core::study::solve::Solution;

use crate::markup::Markup;

/// The finding in words, and a button for each value and each real part.
pub fn found(report: &Report, asked: &Asked, solution: &Solution) -> String {
    let mut out = Markup::default();
    out.raw("<p>").words(&solution.words).raw("</p>");
    let key = asked.wanted.split(':').next().unwrap_or("");
    let answer = report.answer(key).map(|answer| report.measure(answer));
    out.raw("<ul class=\"plain sheets\">");
    let whole = matches!(solution.field.kind, Kind::Count | Kind::PowerOfTwo);
    // What is no whole number cannot be typed into a count.
    for &value in solution.values.iter().filter(|_| !whole) {
        line(&mut out, solution, value, None);
    }
    for &(part, gives) in &solution.nearest {
        let gives = answer.map(|measure| amount(gives, measure));
        line(&mut out, solution, part, gives);
    }
    out.raw("</ul>");
    out.finish()
}

fn line(out: &mut Markup, solution: &Solution, value: f64, gives: Option<String>) {
    let shown = amount(value, solution.measure);
    out.raw("<li><span>").words(&shown);
    match &gives {
        Some(gives) => out.raw(" gives ").words(gives),
        None => out.raw(" gives it"),
    };
    // All twelve digits, and the unit that tells one of several measures.
    let mut typed = write_shortest(value, 12);
    let symbol = solution.measure.unit.symbol;
    if !symbol.is_empty() {
        typed += " ";
        typed += symbol;
    }
    out.raw("</span><button type=button data-click=\"root ")
        .words(&typed);
    out.raw("\">Take ").words(&shown).raw("</button></li>");
}

fn amount(value: f64, measure: Measure) -> String {
    join_unit(write_shortest(value, 6), measure.unit.sign)
}

#[cfg(test)]
mod tests {
    use super::*;
    use layshaft_core::link;

    fn answered(link: &str) -> String {
        let opened = link::read(link);
        let sheet = opened.sheet.expect("it is listed");
        let (report, asked) = (sheet.run(&opened.entries), opened.asked);
        match layshaft_core::study::solve::solve(&report, &asked.solve, &asked.wanted) {
            Ok(solution) => found(&report, &asked, &solution),
            Err(refusal) => crate::study::refused(&refusal),
        }
    }

    #[test]
    fn real_parts_on_both_sides_can_be_taken_and_broken_teeth_cannot() {
        let html = answered("travel?pitch=2&solve=teeth&for=turn_travel:41.5");
        for part in ["root 21\">", "root 20\">", "21 gives 42\u{a0}mm"] {
            assert!(html.contains(part), "{html}");
        }
        assert!(!html.contains("root 20.75"), "{html}");
    }

    #[test]
    fn what_cannot_be_asked_is_said_in_words() {
        let html = answered("travel?pitch=2&solve=tooth&for=turn_travel:40");
        assert!(
            html.starts_with("<p class=why>Entry “tooth”: enter one of "),
            "{html}"
        );
        let html = answered("travel?pitch=2&teeth=20&solve=pitch&for=turn_travel:far");
        assert!(
            html.starts_with("<p class=why>Travel per motor turn: enter a length"),
            "{html}"
        );
    }
}
