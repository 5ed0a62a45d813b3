//! What the tolerances do: the uncertainty of each answer, and which entry is worth measuring better.

use std::sync::Arc;

use layshaft_core::entry::write::write_fixed;
use layshaft_core::sheets::Report;
use layshaft_core::study::tolerance::{Spread, Study};
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

use crate::dom::*;
use crate::markup::Markup;
use crate::slices::more_after_a_slice;

/// Draws between two looks at the clock.
const BATCH: u32 = 100;

/// The study of the report on the page, drawn on while nobody types.
#[derive(Clone, Copy)]
pub struct Spreads {
    held: StoredValue<Option<(Arc<Report>, Study)>, LocalStorage>,
    running: StoredValue<bool>,
    /// Told when the draws are done.
    drawn: Signal<()>,
}

impl Spreads {
    /// Nothing yet.
    pub fn new() -> Self {
        Self {
            held: StoredValue::new_local(None),
            running: StoredValue::new(false),
            drawn: Signal::new(()),
        }
    }

    /// What is known of a report's spreads, first order at once; tracked, since draws may follow.
    pub fn of(self, report: &Arc<Report>, write: &dyn Fn(&[Spread]) -> String) -> String {
        self.drawn.get();
        self.held.update_value(|held| {
            if held
                .as_ref()
                .is_none_or(|(known, _)| !Arc::ptr_eq(known, report))
            {
                *held = Some((report.clone(), Study::begin(report)));
            }
        });
        self.go_on();
        self.held.with_value(|held| {
            write(
                held.as_ref()
                    .map_or(&[], |(_, study)| study.spreads.as_slice()),
            )
        })
    }

    /// Draws in slices, one timer at a time, until nothing is left.
    fn go_on(self) {
        let waits = self
            .held
            .with_value(|held| held.as_ref().is_some_and(|(_, study)| study.waits()));
        if waits && !self.running.get_value() {
            self.running.set_value(true);
            self.later();
        }
    }

    fn later(self) {
        let call = Closure::once_into_js(move || self.slice());
        _ = window().set_timeout_with_callback_and_timeout_and_arguments_0(call.unchecked_ref(), 0);
    }

    fn slice(self) {
        // A page that was turned has nothing to draw for.
        let Some(more) = self.held.try_update_value(|held| {
            let Some((_, study)) = held else { return false };
            more_after_a_slice(&mut || study.draw(BATCH))
        }) else {
            return;
        };
        if more {
            self.later();
        } else {
            self.running.set_value(false);
            self.drawn.notify();
        }
    }
}

/// Which entry is worth measuring better, and how the figures came about; nothing without a tolerance.
pub fn shares(report: &Report, spreads: &[Spread]) -> String {
    let mut out = Markup::default();
    // Answers that share alike stand together.
    let mut groups: Vec<(String, Vec<&'static str>)> = Vec::new();
    let mut bent = Vec::new();
    for spread in spreads.iter().filter(|spread| spread.uncertainty > 0.0) {
        let Some(answer) = report.answer(spread.answer) else {
            continue;
        };
        let label = answer.label;
        let rows = rows(report, spread);
        match groups.iter_mut().find(|(known, _)| *known == rows) {
            Some((_, labels)) => labels.push(label),
            None => groups.push((rows, vec![label])),
        }
        if spread.bent {
            bent.push(label);
        }
    }
    if groups.is_empty() {
        return out.finish();
    }
    let mut text = String::new();
    for (rows, labels) in groups {
        let mut head = Markup::default();
        head.raw("<table class=shares><caption>")
            .words(&labels.join(", "));
        text += &head.finish();
        text += "</caption><tbody>";
        text += &rows;
        text += "</tbody></table>";
    }
    out.raw("<p class=help>± beside an answer is its standard uncertainty (k = 1). What you typed after ± counts as an even spread, each entry independent of the others.");
    if !bent.is_empty() {
        out.raw(" The sheet is bent within the tolerance, so 20,000 seeded draws stand in for the first order for: ");
        out.words(&bent.join(", ")).raw(".");
    }
    out.raw("</p>");
    text + &out.finish()
}

/// The shares of one answer, largest first.
fn rows(report: &Report, spread: &Spread) -> String {
    let mut out = Markup::default();
    for (key, share) in &spread.shares {
        let label = report.inputs.field(key).map_or(*key, |field| field.label);
        out.raw("<tr><th scope=row>").words(label);
        out.raw("</th><td><svg class=share viewBox=\"0 0 100 10\" preserveAspectRatio=none aria-hidden=true><rect height=10 width=");
        out.words(&write_fixed(share * 100.0, 0));
        out.raw(" /></svg></td><td>")
            .words(&write_fixed(share * 100.0, 0))
            .raw("\u{a0}%</td></tr>");
    }
    out.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use layshaft_core::sheets;
    use layshaft_core::study::tolerance::spreads;

    fn shown(entries: &[(&str, &str)]) -> String {
        let report = sheets::find("travel")
            .expect("it is listed")
            .run(&entries.iter().copied().collect());
        shares(&report, &spreads(&report))
    }

    #[test]
    fn the_entry_that_matters_most_stands_first() {
        // Relative half widths of 1 % and 2 %: the variances are as 1 to 4.
        let html = shown(&[("pitch", "2 ± 1 %"), ("teeth", "20"), ("gears", "3 ± 2 %")]);
        let at = |words: &str| html.find(words).expect(words);
        assert!(at(">Reduction") < at(">Belt pitch"), "{html}");
        assert!(
            html.contains("80\u{a0}%") && html.contains("20\u{a0}%"),
            "{html}"
        );
        assert!(html.contains("independent"), "{html}");
    }

    #[test]
    fn without_a_tolerance_nothing_is_said() {
        assert!(shown(&[("pitch", "2"), ("teeth", "20")]).is_empty());
    }
}
