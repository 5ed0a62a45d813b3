//! The answers of a report as markup: the headline drawn as dimensions, the others as a list.

use layshaft_core::sheets::declare::{Answer, Show};
use layshaft_core::sheets::{Found, Report, State, figure};

use layshaft_core::study::tolerance::{Spread, written};

use crate::markup::Markup;

/// More characters than these make a headline smaller, so that it fits a phone.
const LONG: [(usize, &str); 2] = [(12, " long longer"), (9, " long")];
/// Words longer than these stand below their label.
const WORDY: usize = 18;

/// The headline answers, drawn as dimensions.
pub fn headline(report: &Report, spreads: &[Spread]) -> String {
    let mut out = Markup::default();
    for (answer, found) in report.answers().filter(|(answer, _)| answer.headline) {
        let (value, sign, spread) = value(report, answer, found, spreads);
        out.raw("<div class=\"dim");
        // The unit is set smaller.
        let length = value.chars().count() + sign.chars().count().div_ceil(2);
        out.raw(
            LONG.iter()
                .find(|(most, _)| length > *most)
                .map_or("", |(_, class)| class),
        );
        out.raw("\"><span class=cap>")
            .words(answer.label)
            .raw("</span><b data-answer=")
            .raw(answer.key)
            .raw(">");
        put(&mut out, &value, sign).raw("</b>");
        if !spread.is_empty() {
            out.raw("<span class=pm data-spread=")
                .raw(answer.key)
                .raw(">± ");
            put(&mut out, &spread, sign).raw("</span>");
        }
        if value.is_empty() {
            out.raw("<small class=tie>")
                .words(&waits(report, answer))
                .raw("</small>");
        }
        out.raw("<i class=line></i></div>");
    }
    out.finish()
}

/// What must be in sight beside the headline: raised cautions and checks that are over.
pub fn alarms(report: &Report) -> String {
    let mut out = Markup::default();
    let raised = report
        .cautions
        .iter()
        .filter(|caution| !caution.always)
        .map(|caution| ("Danger: ", caution.what));
    let over = report
        .checks
        .iter()
        .filter(|checked| checked.state == State::Over)
        .map(|checked| ("Over: ", checked.check.label));
    for (word, what) in raised.chain(over) {
        out.raw("<p><svg viewBox=\"0 0 26 26\" aria-hidden=true>")
            .raw(crate::checks::OVER);
        out.raw("</svg><span><b>")
            .raw(word)
            .raw("</b>")
            .words(what)
            .raw("</span></p>");
    }
    out.finish()
}

/// All answers but the headline and those that are drawn as figures.
pub fn list(report: &Report, spreads: &[Spread]) -> String {
    let mut out = Markup::default();
    for (answer, found) in report
        .answers()
        .filter(|(answer, _)| !answer.headline && !is_figure(answer))
    {
        let (value, sign, spread) = value(report, answer, found, spreads);
        let waits = if value.is_empty() {
            waits(report, answer)
        } else {
            String::new()
        };
        // What nothing asks for, such as the entry solved for, is not there.
        if value.is_empty() && waits.is_empty() {
            continue;
        }
        out.raw("<div class=\"row");
        if value.chars().count() > WORDY {
            out.raw(" wordy");
        }
        out.raw("\"><dt>").words(answer.label);
        if !waits.is_empty() {
            out.raw("<small class=tie>").words(&waits).raw("</small>");
        }
        out.raw("</dt><dd data-answer=").raw(answer.key).raw(">");
        put(&mut out, &value, if spread.is_empty() { sign } else { "" }).raw("</dd>");
        if !spread.is_empty() {
            out.raw("<dd class=pm data-spread=")
                .raw(answer.key)
                .raw(">± ");
            put(&mut out, &spread, sign).raw("</dd>");
        }
        out.raw("</div>");
    }
    out.finish()
}

/// What is read aloud after a pause: the headline, and what is over.
pub fn spoken(report: &Report) -> String {
    let mut out = Markup::default();
    for (answer, _) in report.answers().filter(|(answer, _)| answer.headline) {
        let value = report.shown(answer);
        out.words(answer.label)
            .raw(": ")
            .words(value.as_deref().unwrap_or("blank"))
            .raw(". ");
    }
    for checked in report
        .checks
        .iter()
        .filter(|checked| checked.state == State::Over)
    {
        out.raw("Over: ").words(checked.check.label).raw(". ");
    }
    out.finish()
}

/// Whether an answer is drawn or tabled rather than written.
pub const fn is_figure(answer: &Answer) -> bool {
    matches!(answer.show, Show::Rows(_) | Show::Curve(..))
}

/// An answer's value, its unit's sign and its uncertainty as people read them; empty without a value, and where no entry
/// has a tolerance.
fn value(
    report: &Report,
    answer: &Answer,
    found: Option<&Found>,
    spreads: &[Spread],
) -> (String, &'static str, String) {
    let (value, sign) = match found {
        Some(Found::Number(x)) => {
            let sign = report.measure(answer).unit.sign;
            let spread = spreads
                .iter()
                .find(|spread| spread.answer == answer.key && spread.uncertainty > 0.0);
            if let Some(spread) = spread {
                let (value, uncertainty) = written(*x, spread.uncertainty);
                // What the draws will say is not known yet.
                let known = if spread.waits {
                    "…".into()
                } else {
                    uncertainty
                };
                return (value, sign, known);
            }
            (figure(*x, answer.show), sign)
        }
        // The name of an entry is shown as the words that label it.
        Some(Found::Text(text)) => (
            report
                .inputs
                .field(text)
                .map_or_else(|| report.shown(answer), |field| Some(field.label.into()))
                .unwrap_or_default(),
            "",
        ),
        Some(Found::List(_)) => (report.shown(answer).unwrap_or_default(), ""),
        Some(Found::Rows(_)) | None => (String::new(), ""),
    };
    (value, sign, String::new())
}

fn put<'a>(out: &'a mut Markup, value: &str, sign: &str) -> &'a mut Markup {
    out.words(value);
    if !value.is_empty() && !sign.is_empty() {
        out.raw("<i>");
        if sign != "°" {
            out.raw("\u{a0}");
        }
        out.words(sign).raw("</i>");
    }
    out
}

/// "waits for: Belt pitch, Pulley teeth"; empty when the answer does not say what it needs.
fn waits(report: &Report, answer: &Answer) -> String {
    let labels = report.waits_for(answer);
    if labels.is_empty() {
        String::new()
    } else {
        ["waits for: ", &labels.join(", ")].concat()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trial::report;

    #[test]
    fn a_headline_without_its_entries_says_what_it_waits_for() {
        let waiting = headline(&report("travel", &[("pitch", "2")]), &[]);
        assert!(
            waiting.contains("<b data-answer=turn_travel></b><small class=tie>waits for: "),
            "{waiting}"
        );
        let found = headline(&report("travel", &[("pitch", "2"), ("teeth", "20")]), &[]);
        assert!(
            found.contains("<b data-answer=turn_travel>40.0000<i>\u{a0}mm</i></b>"),
            "{found}"
        );
    }

    #[test]
    fn solved_answers_are_listed_only_while_solving() {
        let plain = list(&report("travel", &[("pitch", "2"), ("teeth", "20")]), &[]);
        assert!(!plain.contains("data-answer=solved"));
        let solving = list(
            &report("travel", &[("pitch", "2"), ("turn_travel", "40")]),
            &[],
        );
        assert!(
            solving.contains("<dd data-answer=solved>20.000000</dd>"),
            "{solving}"
        );
        assert!(
            solving.contains("<dd data-answer=solved_key>Pulley teeth</dd>"),
            "{solving}"
        );
    }

    #[test]
    fn a_figure_is_no_row() {
        let entries = [("turn_travel", "40"), ("hold_torque", "0.4")];
        assert!(!list(&report("microstep", &entries), &[]).contains("data-answer=curve"));
    }

    #[test]
    fn a_tolerance_gives_each_answer_its_uncertainty_and_its_digits() {
        let report = report("travel", &[("pitch", "2 ± 0.01"), ("teeth", "20")]);
        let spreads = layshaft_core::study::tolerance::spreads(&report);
        // 20 * 0.01 / sqrt(3) = 0.1155 mm; GUM 7.2.6: two digits, and the value to the last of them.
        let html = headline(&report, &spreads);
        assert!(
            html.contains(
                "<b data-answer=turn_travel>40.00<i>\u{a0}mm</i></b><span class=pm data-spread=turn_travel>± 0.12<i>"
            ),
            "{html}"
        );
        let html = list(&report, &spreads);
        assert!(
            !html.contains("data-spread=full_steps>"),
            "a count has none: {html}"
        );
    }
}
