//! Two designs side by side: what is typed differently, every answer of both, and what each costs.

use layshaft_core::entry::number::read_number;
use layshaft_core::entry::unit::{CELSIUS, KELVIN, ONE};
use layshaft_core::entry::write::{write_fixed, write_shortest};
use layshaft_core::link::{self, COST};
use layshaft_core::sheets::declare::Show;
use layshaft_core::sheets::{
    Answer, Entries, Field, Found, Kind, Origin, Report, accepts_quantity, figure, join_unit,
};

use super::beside::{self, Line};
use crate::markup::Markup;

/// The buttons, and below them the table of both designs when one is pinned.
pub fn table(now: &Report, pinned: Option<&Report>) -> String {
    let mut out = Markup::default();
    let button = |out: &mut Markup, word: &'static str, label: &'static str| {
        out.raw("<button type=button data-click=").raw(word);
        out.raw(">").raw(label).raw("</button>");
    };
    out.raw("<div class=acts>");
    let Some(pinned) = pinned else {
        button(&mut out, "pin", "Pin this design");
        out.raw("</div><p class=help>It stays beside whatever you change next.</p>");
        return out.finish();
    };
    button(&mut out, "pin", "Pin this one instead");
    button(&mut out, "swap", "Swap");
    button(&mut out, "unpin", "Unpin");
    out.raw("</div><div class=table tabindex=0 role=region aria-label=\"Two designs\"><table class=both><thead><tr><th scope=col>Pinned<th scope=col>Now<th scope=col>Difference</tr></thead>");
    entries(&mut out, now, pinned);
    // Curves are drawn one behind the other, above.
    let written = |answer: &&Answer| !matches!(answer.show, Show::Curve(..));
    for answer in now.sheet.answers.iter().filter(written) {
        answers(&mut out, answer, now, pinned);
    }
    out.raw("</table></div>");
    out.finish()
}

/// One line: what it is, the pinned, the present, how they differ.
fn line(out: &mut Markup, key: &str, label: &str, cells: [&str; 3]) {
    out.raw("<tbody data-both=").words(key);
    out.raw("><tr><th colspan=3 scope=rowgroup>").words(label);
    out.raw("</th></tr><tr>");
    for cell in cells {
        out.raw("<td>")
            .words(if cell.is_empty() { "–" } else { cell });
        out.raw("</td>");
    }
    out.raw("</tr></tbody>");
}

/// Every entry that differs, and the cost.
fn entries(out: &mut Markup, now: &Report, pinned: &Report) {
    // Both with their defaults written out, also those of a pin that somebody wrote by hand.
    let [old, new] =
        [pinned, now].map(|report| link::unpinned(report.sheet, &link::pinned(report)));
    let mut before = "";
    for field in now.sheet.fields {
        let key = field.key;
        let (old, new) = (old.get(key).unwrap_or(""), new.get(key).unwrap_or(""));
        // A key that stands twice in the declaration is one entry.
        if old != new && before != key {
            let label = now.inputs.field(key).unwrap_or(field).label;
            if let Kind::Rows(columns) = field.kind {
                let [old, new] = [old, new].map(|text| beside::typed(columns, text));
                lines(out, key, &beside::lines(label, &[], old, new));
            } else {
                let (old, new) = (said(field, old), said(field, new));
                line(out, key, label, [old, new, "changed"]);
            }
        }
        before = key;
    }
    let texts = [pinned, now].map(|report| report.entries.get(COST).unwrap_or(""));
    if texts.iter().any(|text| !text.is_empty()) {
        let costs = [pinned, now].map(cost);
        let shown = costs.map(|cost| cost.map_or_else(String::new, |cost| write_shortest(cost, 9)));
        let difference = match costs {
            [Some(old), Some(new)] => changed(old, new, write_shortest(new - old, 9), true),
            _ => String::new(),
        };
        let [old, new] = &shown;
        line(out, COST, "Cost", [old, new, &difference]);
    }
}

/// The rows of a list that differ.
fn lines(out: &mut Markup, key: &str, lines: &[Line]) {
    for Line { label, cells } in lines {
        line(out, key, label, cells.each_ref().map(String::as_str));
    }
}

/// An entry as people read it: the label of a choice; of a log only that there is one.
pub(super) fn said<'a>(field: &Field, text: &'a str) -> &'a str {
    match field.kind {
        Kind::Choice(options) => options
            .iter()
            .find(|option| option.key == text)
            .map_or(text, |option| option.label),
        Kind::Log if !text.is_empty() => "rows",
        _ => text,
    }
}

/// The typed cost; `None` without one that can be read.
pub fn cost(report: &Report) -> Option<f64> {
    let text = report.entries.get(COST)?;
    read_number(text, ONE).ok().map(|cost| cost.value)
}

/// What is wrong with the typed cost.
pub fn cost_message(report: &Report) -> String {
    let mut out = Markup::default();
    if let Some(text) = report.entries.get(COST)
        && let Err(cause) = read_number(text, ONE)
    {
        out.words(&cause.message("Cost", &accepts_quantity(ONE)));
    }
    out.finish()
}

/// One answer of both designs, if one of them has it.
fn answers(out: &mut Markup, answer: &'static Answer, now: &Report, pinned: &Report) {
    let key = answer.key;
    let of = |report: &Report| report.answer(key).filter(|answer| !answer.aside);
    let (old, new) = (of(pinned), of(now));
    // A key may stand several times, under choices that exclude each other.
    if ![new, new.is_none().then_some(old).flatten()]
        .iter()
        .flatten()
        .any(|own| std::ptr::eq(*own, answer))
    {
        return;
    }
    if let Show::Rows(heads) = answer.show {
        let rows = |report: &Report| match report.found(key) {
            Some(Found::Rows(rows)) => beside::found(heads, rows),
            _ => Vec::new(),
        };
        lines(
            out,
            key,
            &beside::lines(answer.label, heads, rows(pinned), rows(now)),
        );
        return;
    }
    let shown = |report: &Report, answer: Option<&'static Answer>| {
        answer
            .and_then(|answer| report.shown(answer))
            .unwrap_or_default()
    };
    let (a, b) = (shown(pinned, old), shown(now, new));
    if a.is_empty() && b.is_empty() {
        return;
    }
    let unit = now.measure(answer).unit;
    let alike = old.is_some_and(|old| pinned.measure(old).unit.is(unit));
    // A per cent of a temperature depends on where its zero is.
    let part = !unit.is(CELSIUS.unit) && !unit.is(KELVIN.unit);
    let one = |x: f64, y: f64| differs(x, y, answer.show, unit.sign, part);
    let difference = match (pinned.found(key), now.found(key)) {
        // What reads the same is the same.
        _ if a == b => "same".into(),
        (Some(Found::Number(x)), Some(Found::Number(y))) if alike => one(*x, *y),
        (Some(Found::List(x)), Some(Found::List(y))) if alike && x.len() == y.len() => {
            let each = x.iter().zip(y).map(|(x, y)| one(*x, *y));
            each.collect::<Vec<_>>().join("; ")
        }
        _ => String::new(),
    };
    line(out, key, answer.label, [&a, &b, &difference]);
}

/// "+2 mm, +5.0 %", without the per cent if not in `part`, or "same" where both read the same.
pub(super) fn differs(old: f64, new: f64, show: Show, sign: &str, part: bool) -> String {
    if figure(old, show) == figure(new, show) {
        return "same".into();
    }
    let by = join_unit(figure(new - old, show), sign);
    changed(old, new, by, part)
}

/// The difference with its sign, and in per cent of the old.
fn changed(old: f64, new: f64, by: String, part: bool) -> String {
    if old.total_cmp(&new).is_eq() {
        return "same".into();
    }
    let sign = if new > old { "+" } else { "" };
    let mut text = [sign, &by].concat();
    if part && old != 0.0 {
        let percent = write_fixed((new - old) / old.abs() * 100.0, 1);
        text = [&text, ", ", sign, &percent, "\u{a0}%"].concat();
    }
    text
}

/// The entries of the pinned design, with the present one pinned in its place.
///
/// What stands at its default or would be carried anyway is left blank again, so that it goes on following.
pub fn swapped(now: &Report) -> Entries {
    let sheet = now.sheet;
    let present = link::pinned(now);
    let complete = link::unpinned(sheet, &present);
    let mut entries = link::unpinned(sheet, now.entries.get("pin").unwrap_or(""));
    for field in sheet.fields {
        let text = entries.get(field.key);
        let carried = now.inputs.origin(field.key) == Origin::Carried;
        let follows = carried && text == complete.get(field.key);
        let usual = field.carried.is_none() && text == Some(field.default);
        // A choice shows what is chosen either way.
        if follows || usual && !matches!(field.kind, Kind::Choice(_)) {
            entries.set(field.key, "");
        }
    }
    for key in ["solve", "for", "sweep", "of"] {
        entries.set(key, now.entries.get(key).unwrap_or(""));
    }
    entries.set("pin", &present);
    entries
}

#[cfg(test)]
mod tests {
    use super::*;
    use layshaft_core::sheets;

    fn travel(entries: &[(&str, &str)]) -> Report {
        sheets::find("travel")
            .expect("it is listed")
            .run(&entries.iter().copied().collect())
    }

    #[test]
    fn every_answer_has_both_values_the_difference_and_per_cent() {
        let pinned = travel(&[("pitch", "2"), ("teeth", "20"), ("cost", "12.50")]);
        let now = travel(&[("pitch", "2"), ("teeth", "16"), ("cost", "9")]);
        let html = table(&now, Some(&pinned));
        for row in [
            "data-both=teeth><tr><th colspan=3 scope=rowgroup>Pulley teeth</th></tr><tr><td>20</td><td>16</td><td>changed</td>",
            "<td>12.5</td><td>9</td><td>-3.5, -28.0\u{a0}%</td>",
            "<td>40.0000\u{a0}mm</td><td>32.0000\u{a0}mm</td><td>-8.0000\u{a0}mm, -20.0\u{a0}%</td>",
        ] {
            assert!(html.contains(row), "{row}\n{html}");
        }
        assert!(!html.contains("data-both=pitch"), "{html}");
    }

    #[test]
    fn rows_are_compared_one_by_one_and_lists_of_numbers_too() {
        let supply = |loads| {
            let entries = [("loads", loads), ("volts", "24"), ("rated", "350")];
            sheets::find("supply")
                .expect("it is listed")
                .run(&entries.into_iter().collect())
        };
        let html = table(
            &supply("Bed,220 W,100;Fan,5 W,100"),
            Some(&supply("Fan,5 W,100;Bed,200 W,100")),
        );
        assert!(
            html.contains(
                ">Loads: Bed</th></tr><tr><td>200 W · 100</td><td>220 W · 100</td><td>changed</td>"
            ),
            "{html}"
        );
        assert!(!html.contains("Loads: Fan"), "{html}");
        assert_eq!(
            differs(2.0, 2.5, Show::Fixed(1), "mm", true),
            "+0.5\u{a0}mm, +25.0\u{a0}%"
        );
        assert_eq!(differs(2.0, 2.01, Show::Fixed(1), "mm", true), "same");
        assert_eq!(
            differs(20.0, 25.0, Show::Fixed(1), "°C", false),
            "+5.0\u{a0}°C"
        );
    }

    #[test]
    fn swapping_twice_is_nothing_but_the_pin() {
        let first = [("pitch", "2"), ("teeth", "20")];
        let pin = link::pinned(&travel(&[("pitch", "3"), ("teeth", "16"), ("cost", "7")]));
        let mut entries: Entries = first.into_iter().collect();
        entries.set("pin", &pin);
        let sheet = sheets::find("travel").expect("it is listed");
        let once = swapped(&sheet.run(&entries));
        assert_eq!(once.get("pitch"), Some("3"));
        assert_eq!(once.get("cost"), Some("7"));
        assert_eq!(once.get("step"), None, "a default goes on being one");
        let twice = swapped(&sheet.run(&once));
        assert_eq!(
            (twice.get("pitch"), twice.get("teeth")),
            (Some("2"), Some("20"))
        );
        assert_eq!(twice.get("pin"), Some(pin.as_str()));
    }

    #[test]
    fn a_cost_that_cannot_be_read_is_said() {
        let report = travel(&[("cost", "cheap")]);
        assert!(cost_message(&report).starts_with("Cost: enter a number"));
        assert!(cost_message(&travel(&[])).is_empty());
    }
}
