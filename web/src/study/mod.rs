//! The four studies on the page of any sheet: tolerances beside the answers, and below them solve, sweep and compare.
//!
//! What is asked is kept among the sheet's entries under the link's own keys, so that it is saved, undone, linked and
//! brought back as entries are. The page is a function of the report; nothing here knows a sheet.

mod beside;
pub mod compare;
mod solve;
mod spread;
mod sweep;

use std::sync::Arc;

use layshaft_core::link::{self, Asked, COST};
use layshaft_core::sheets::{Entries, Report};
use layshaft_core::study::solve::{self as ask, Refusal, Solving};
use layshaft_core::study::sweep::Sweeping;
use wasm_bindgen::JsCast;
use web_sys::{Element, HtmlInputElement, PointerEvent};

use crate::dom::*;
use crate::field::BEHAVIOUR;
use crate::figure;
use crate::markup::Markup;
use crate::notices::{Action, Undo};
use crate::sheet::Page;
use crate::slices::more_after_a_slice;
use crate::stage::{around, fill, follow, value};

pub use spread::{Spreads, shares};

/// Milliseconds after a change until the studies follow: the answers are painted first.
const FOLLOW_AFTER_MS: i32 = 60;

/// The controls: what each is called in the page.
const SOLVE: &str = "q-solve";
const FOR: &str = "q-for";
const VALUE: &str = "q-value";
const SWEEP: &str = "q-sweep";
const FROM: &str = "q-from";
const TO: &str = "q-to";
const OF: &str = "q-of";
const PRICE: &str = "q-cost";

/// The studies of an open sheet.
#[derive(Clone, Copy)]
pub struct Studies {
    page: Page,
    held: StoredValue<Held, LocalStorage>,
}

/// What is asked of a report and not answered yet.
struct Turning {
    report: Arc<Report>,
    asked: Asked,
    solving: Option<Solving>,
    sweeping: Option<Sweeping>,
}

/// What is kept between two looks.
#[derive(Default)]
struct Held {
    timer: Option<Later>,
    turning: Option<Turning>,
    /// What was written last into the parts of the page, by their ids.
    written: Vec<(&'static str, String)>,
    /// The sweep that is drawn, and the row it is read at.
    swept: Option<sweep::Drawn>,
    row: Option<usize>,
}

/// The still markup: everything below the answers that turns a sheet round.
pub fn frame(out: &mut Markup) {
    out.raw("<section><h2>Worth measuring better</h2><div class=part id=shares></div></section>");
    out.raw("<section class=turn><details id=turn><summary>Turn it by hand <small>solve, sweep, compare</small></summary>");
    out.raw("<h3>Which entry gives it?</h3><div class=ask>");
    list(out, SOLVE, "Solve for");
    list(out, FOR, "so that");
    input(out, VALUE, "is", "solved");
    out.raw("</div><div id=solved role=status></div><h3>How does it change?</h3><div class=ask>");
    list(out, OF, "Draw");
    list(out, SWEEP, "over");
    input(out, FROM, "from", "swept");
    input(out, TO, "to", "swept");
    out.raw("</div><div id=swept role=status></div><div id=sweeping hidden><figure><div class=\"drawing plot\" data-plot=swept><div id=p-swept></div></div><div id=s-swept></div><p class=read id=r-swept></p></figure>");
    out.raw("<details id=d-swept><summary>The sweep as a table</summary><div class=table tabindex=0 role=region aria-label=\"The sweep as a table\" id=t-swept></div></details></div>");
    out.raw("<h3>Two designs side by side</h3><div class=ask>");
    input(out, PRICE, "Cost of this design, if you like", "e-cost");
    out.raw("</div><p class=why id=e-cost></p><div id=compared></div></details></section>");
}

fn list(out: &mut Markup, id: &'static str, label: &'static str) {
    out.raw("<label for=").raw(id).raw(">").raw(label);
    out.raw("</label><select id=").raw(id).raw("></select>");
}

fn input(out: &mut Markup, id: &'static str, label: &'static str, said: &'static str) {
    out.raw("<label for=").raw(id).raw(">").raw(label);
    out.raw("</label><input").raw(BEHAVIOUR).raw(" id=").raw(id);
    out.raw(" aria-describedby=").raw(said).raw(">");
}

/// What a sheet's link asks beside its entries, as it is drawn: ends that were left blank are written out.
pub fn asked(report: &Report) -> Asked {
    let mut asked = Asked::kept_in(&report.entries);
    asked.sweep = sweep::range(report, &asked.sweep).join(":");
    asked.whole()
}

impl Studies {
    /// Those of a page.
    pub fn of(page: Page) -> Self {
        let studies = Self {
            page,
            held: StoredValue::new_local(Held::default()),
        };
        on_cleanup(move || studies.wait(None));
        studies
    }

    /// Follows the report from now on; what a link or an earlier visit asks is open at once.
    pub fn start(self) {
        let asks = self
            .page
            .report
            .with_untracked(|report| asked(report) != Asked::default());
        if asks && let Some(turn) = element("turn") {
            _ = turn.set_attribute("open", "");
        }
        follow(move || {
            self.page.report.track();
            self.wait(after(FOLLOW_AFTER_MS, move || self.work()));
        });
    }

    fn wait(self, timer: Option<Later>) {
        // What waited before is not waited for any more.
        drop(
            self.held
                .try_update_value(|held| std::mem::replace(&mut held.timer, timer)),
        );
    }

    /// Brings everything up to date, if it is open.
    fn work(self) {
        let open = element("turn").is_some_and(|turn| turn.has_attribute("open"));
        let Some(report) = self.page.report.try_get_untracked().filter(|_| open) else {
            return;
        };
        let asked = Asked::kept_in(&report.entries);
        self.offer(&report, &asked);
        let pinned = self.page.pinned(&report);
        self.write("e-cost", compare::cost_message(&report));
        self.write("compared", compare::table(&report, pinned.as_deref()));
        // What cannot be asked is said at once, the others follow in slices.
        let whole = asked.clone().whole();
        let solving =
            (!whole.solve.is_empty()).then(|| Solving::begin(&report, &whole.solve, &whole.wanted));
        let range = sweep::range(&report, &asked.sweep).join(":");
        let sweeping =
            (!asked.sweep.is_empty()).then(|| Sweeping::begin(&report, &range, &asked.of));
        let turning = Turning {
            solving: self.begun("solved", solving),
            sweeping: self.begun("swept", sweeping),
            asked: whole,
            report,
        };
        if turning.sweeping.is_none() {
            self.draw(None);
        }
        self.held.update_value(|held| held.turning = Some(turning));
        self.wait(after(0, move || self.slice()));
    }

    /// What was begun; what is not asked or refused leaves its words, or none.
    fn begun<T>(self, id: &'static str, asked: Option<Result<T, Refusal>>) -> Option<T> {
        match asked {
            Some(Ok(begun)) => return Some(begun),
            Some(Err(refusal)) => self.write(id, refused(&refusal)),
            None => self.write(id, String::new()),
        }
        None
    }

    /// Goes on for as long as a frame allows, and later with what is left; a change of the entries begins anew.
    fn slice(self) {
        let Some(Some(mut turning)) = self.held.try_update_value(|held| held.turning.take()) else {
            return;
        };
        let mut more = false;
        more_after_a_slice(&mut || {
            let Turning {
                solving, sweeping, ..
            } = &mut turning;
            let left = solving.as_mut().is_some_and(|work| work.advance(1))
                || sweeping.as_mut().is_some_and(|work| work.advance(1));
            more |= left;
            left
        });
        // What was found is drawn in a slice of its own.
        if more {
            self.held.update_value(|held| held.turning = Some(turning));
            self.wait(after(0, move || self.slice()));
            return;
        }
        let Turning {
            report,
            asked,
            solving,
            sweeping,
        } = turning;
        if let Some(solving) = solving {
            self.write("solved", solve::found(&report, &asked, &solving.finish()));
        }
        if let Some(sweeping) = sweeping {
            let pinned = self.page.pinned(&report);
            let (drawn, words) = sweep::draw(&report, pinned.as_deref(), &sweeping.swept);
            self.write("swept", words);
            self.draw(drawn);
        }
    }

    /// Writes a part of the page that is not as it should be.
    fn write(self, id: &'static str, text: String) {
        let news = self.held.try_update_value(|held| {
            match held.written.iter_mut().find(|(known, _)| *known == id) {
                Some((_, before)) if *before == text => false,
                Some((_, before)) => {
                    before.clone_from(&text);
                    true
                }
                None => {
                    held.written.push((id, text.clone()));
                    true
                }
            }
        });
        if news == Some(true) {
            fill(id, &text);
        }
    }

    /// Offers what can be asked under the choices made, and shows what is asked.
    fn offer(self, report: &Report, asked: &Asked) {
        let mut entries = Markup::default();
        entries.raw("<option value=\"\">choose an entry</option>");
        for field in ask::entries(&report.inputs) {
            option(&mut entries, field.key, &crate::field::caption(field));
        }
        let mut answers = Markup::default();
        for answer in ask::answers(report) {
            option(&mut answers, answer.key, answer.label);
        }
        let (entries, answers) = (entries.finish(), answers.finish());
        for (id, options) in [
            (SOLVE, &entries),
            (SWEEP, &entries),
            (FOR, &answers),
            (OF, &answers),
        ] {
            self.write(id, options.clone());
        }
        let first = ask::answers(report)
            .find(|answer| answer.headline)
            .map_or("", |answer| answer.key);
        let (answer, wanted) = asked.wanted.split_once(':').unwrap_or((first, ""));
        let mut range = asked.sweep.splitn(3, ':');
        let mut part = || range.next().unwrap_or("");
        let (swept, from, to) = (part(), part(), part());
        let of = if asked.of.is_empty() {
            first
        } else {
            &asked.of
        };
        let shown = [
            (SOLVE, asked.solve.as_str()),
            (FOR, answer),
            (VALUE, wanted),
            (SWEEP, swept),
            (OF, of),
            (FROM, from),
            (TO, to),
            (PRICE, report.entries.get(COST).unwrap_or("")),
        ];
        for (id, text) in shown {
            if let Some(control) = control(id)
                && control.value() != text
            {
                control.set_value(text);
            }
        }
        let [_, from, to] = sweep::range(report, &[swept, "::"].concat());
        for (id, blank) in [(FROM, from), (TO, to)] {
            if let Some(control) = control(id) {
                control.set_placeholder(&blank);
            }
        }
    }

    /// Shows a sweep, or none.
    fn draw(self, drawn: Option<sweep::Drawn>) {
        let hidden = drawn.is_none();
        if let Some(sweeping) = element("sweeping") {
            _ = sweeping.toggle_attribute_with_force("hidden", hidden);
        }
        self.held.update_value(|held| held.swept = drawn);
        self.read_sweep();
    }

    /// Shows the sweep at the row it is read at.
    fn read_sweep(self) {
        let parts = self.held.try_update_value(|held| {
            let drawn = held.swept.as_ref()?;
            let last = drawn.rows.len().saturating_sub(1);
            let row = held.row.unwrap_or(drawn.today).min(last);
            let open = element("d-swept").is_some_and(|details| details.has_attribute("open"));
            Some((
                row,
                figure::slider("swept", drawn.rows.len()),
                figure::plot(&drawn.chart, row, drawn.label()),
                figure::read(&drawn.heads, &drawn.rows, row),
                if open {
                    figure::table(&drawn.heads, &drawn.rows)
                } else {
                    String::new()
                },
            ))
        });
        let Some(Some((row, slider, plot, read, table))) = parts else {
            return;
        };
        self.write("s-swept", slider);
        self.write("p-swept", plot);
        self.write("r-swept", read);
        self.write("t-swept", table);
        if let Some(slider) = control("x-swept") {
            slider.set_value(&row.to_string());
        }
    }

    fn read_at(self, row: Option<usize>) {
        self.held.update_value(|held| held.row = row);
        self.read_sweep();
    }

    /// Reads the sweep under a finger.
    pub fn follow(self, from: &Element, event: &PointerEvent) {
        let Some(plot) = around(from, "[data-plot=swept]") else {
            return;
        };
        let x = figure::across(&plot, event);
        let row = self
            .held
            .with_value(|held| held.swept.as_ref().map(|drawn| drawn.chart.nearest(x)));
        self.read_at(row);
    }

    /// Opens what was closed.
    pub fn toggle(self, details: &Element) {
        match details.id().as_str() {
            "turn" => self.work(),
            "d-swept" => self.read_sweep(),
            _ => {}
        }
    }

    /// Keeps what was asked in one of the controls; whether it was one.
    pub fn input(self, from: &Element) -> bool {
        let id = from.id();
        if id == "x-swept" {
            self.read_at(value(from).parse().ok());
            return true;
        }
        if !id.starts_with("q-") {
            return false;
        }
        let text = |id| control(id).map_or_else(String::new, |control| control.value());
        let (solve, sweep) = (text(SOLVE), text(SWEEP));
        let mut entries = self.entries();
        // Nothing is kept of what nobody asked.
        let mut keep = |key, asked: bool, parts: &[&str]| {
            entries.set(
                key,
                if asked { parts.concat() } else { String::new() }.as_str(),
            );
        };
        keep("solve", true, &[&solve]);
        keep(
            "for",
            !solve.is_empty() || !text(VALUE).is_empty(),
            &[&text(FOR), ":", &text(VALUE)],
        );
        keep(
            "sweep",
            !sweep.is_empty(),
            &[&sweep, ":", &text(FROM), ":", &text(TO)],
        );
        keep("of", !sweep.is_empty(), &[&text(OF)]);
        keep(COST, true, &[&text(PRICE)]);
        // Another entry is looked at where it stands.
        if id == SWEEP {
            self.held.update_value(|held| held.row = None);
        }
        self.put(entries);
        true
    }

    /// Does what a button asks for.
    pub fn click(self, word: &str, about: &str) {
        let now = self.page.report.get_untracked();
        let before = self.entries();
        let mut entries = before.clone();
        let done = match word {
            "root" => {
                entries.set(before.get("solve").unwrap_or(""), about);
                ""
            }
            "pin" => {
                entries.set("pin", &link::pinned(&now));
                "Pinned as it stands. Change entries, and both designs are shown."
            }
            "unpin" => {
                entries.set("pin", "");
                "The pinned design is let go."
            }
            _ => {
                entries = compare::swapped(&now);
                "Swapped: the pinned design is on the sheet, the other one is pinned."
            }
        };
        self.put(entries);
        if !done.is_empty() {
            let undo = self.page.place.with_value(|place| {
                vec![Undo::Entries(place.clone(), self.page.sheet, Some(before))]
            });
            self.page.desk.tell(
                [self.page.sheet.title, ": ", done].concat(),
                Some(Action::Undo(undo)),
            );
        }
    }

    fn entries(self) -> Entries {
        self.page
            .report
            .with_untracked(|report| report.entries.clone())
    }

    fn put(self, entries: Entries) {
        let (desk, sheet) = (self.page.desk, self.page.sheet);
        self.page
            .place
            .with_value(|place| desk.put(place, sheet.id, entries));
    }
}

/// Why something cannot be asked.
fn refused(refusal: &Refusal) -> String {
    let mut out = Markup::default();
    out.raw("<p class=why>").words(&refusal.message).raw("</p>");
    out.finish()
}

fn control(id: &str) -> Option<HtmlInputElement> {
    // A list has the same property; its placeholder is nothing it shows.
    element(id).map(JsCast::unchecked_into)
}

fn option(out: &mut Markup, key: &'static str, label: &str) {
    out.raw("<option value=").raw(key).raw(">");
    out.words(label).raw("</option>");
}
