//! The checks of a report as markup: a shape, a word, a number and a bar, never colour alone.

use layshaft_core::sheets::{Checked, Report, State};

use crate::markup::Markup;

/// The shape of a check that is within: a tick in a circle.
const WITHIN: &str = "<circle cx=13 cy=13 r=10 /><path d=\"M8 13.5l3.5 3.5 7-8\"/>";
/// The shape of one that is near: an open diamond with a mark.
const NEAR: &str = "<path d=\"M13 2l11 11-11 11L2 13zM13 8v6M13 16.5v2\"/>";
/// The shape of one that is over: a filled triangle with a mark.
pub const OVER: &str =
    "<path class=f d=\"M13 2l11.5 21H1.5z\"/><path class=x d=\"M13 9v7M13 18.5v2.2\"/>";

/// Widths of the bar, in its own units; the limit stands at this share of it, or left of it when the value is beyond.
const BAR: f64 = 1000.0;
const LIMIT_AT: f64 = 0.8;

/// Every check that was made.
pub fn checks(report: &Report) -> String {
    let mut out = Markup::default();
    for checked in &report.checks {
        begin(&mut out, checked);
        out.raw("</div></div>");
    }
    out.finish()
}

/// One check that was made; two elements are left open.
pub fn begin(out: &mut Markup, checked: &Checked) {
    let (shape, word) = match checked.state {
        State::Within => (WITHIN, "Within"),
        State::Near => (NEAR, "Near"),
        State::Over => (OVER, "Over"),
    };
    out.raw("<div class=check data-check=")
        .raw(checked.check.id)
        .raw(" data-state=")
        .raw(checked.state.word());
    out.raw("><svg viewBox=\"0 0 26 26\" aria-hidden=true>")
        .raw(shape)
        .raw("</svg><div><b>");
    out.raw(word)
        .raw(": ")
        .words(checked.check.label)
        .raw("</b><p>")
        .words(&checked.text)
        .raw("</p>");
    if let (Some(value), Some(limit)) = (checked.value, checked.limit) {
        bar(out, value, limit);
    }
}

/// The value as a bar and the limit as a mark across it, both from 0; nothing where one is negative.
fn bar(out: &mut Markup, value: f64, limit: f64) {
    if value < 0.0 || limit <= 0.0 {
        return;
    }
    let full = (limit / LIMIT_AT).max(value / 0.96);
    let width = |x: f64| whole(BAR * x / full);
    out.raw("<svg class=bar viewBox=\"0 0 1000 10\" preserveAspectRatio=none aria-hidden=true><rect height=10 width=");
    out.int(width(value))
        .raw(" /><path d=\"M")
        .int(width(limit))
        .raw("-3V13\"/></svg>");
}

#[allow(
    clippy::cast_possible_truncation,
    reason = "a share of 1000 fits; what does not becomes the nearest number"
)]
fn whole(x: f64) -> i32 {
    x as i32
}

#[cfg(test)]
mod tests {
    use super::*;
    use layshaft_core::sheets;

    fn drawn(load: &str) -> String {
        let entries = [
            ("turn_travel", "40"),
            ("hold_torque", "0.4"),
            ("load_torque", load),
        ];
        checks(
            &sheets::find("microstep")
                .expect("it is listed")
                .run(&entries.into_iter().collect()),
        )
    }

    #[test]
    fn each_state_has_its_own_shape_and_word() {
        for (load, state, word, shape) in [
            ("0.1", "within", "Within: ", WITHIN),
            ("0.35", "near", "Near: ", NEAR),
            ("0.5", "over", "Over: ", OVER),
        ] {
            let html = drawn(load);
            assert!(
                html.contains(&["data-check=load data-state=", state, ">"].concat()),
                "{html}"
            );
            assert!(html.contains(word) && html.contains(shape), "{html}");
        }
    }

    #[test]
    fn the_bar_keeps_to_its_width() {
        assert!(drawn("0.1").contains("width=200 /><path d=\"M800-3"));
        assert!(drawn("400").contains("width=960 /><path d=\"M0-3"));
    }
}
