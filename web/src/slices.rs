//! Work too long for one key press, done in slices while the page lives on: how far it is, and a button that ends it.

use layshaft_core::entry::write::write_fixed;
use layshaft_core::sheets::Report;

use crate::dom::*;
use crate::markup::Markup;
use crate::sheet::Page;
use crate::stage::{fill, follow};

/// Milliseconds of work before the page breathes: a good part of a frame, also on a slow phone.
const SLICE_MS: f64 = 8.0;
/// Steps between two looks at the clock.
const STEPS: u64 = 4_000;
/// Milliseconds between two signs of life.
const TELL_MS: f64 = 100.0;
/// Milliseconds after a change until the work begins: the key press is painted first, and the next one often follows.
const BEGIN_AFTER_MS: i32 = 80;

/// The still markup, hidden while nothing is at work.
pub const FRAME: &str = "<div class=work id=work hidden><progress id=work-bar aria-labelledby=work-told></progress><span id=work-told></span><button type=button data-click=stop>Stop</button></div><p class=note id=work-note></p>";

/// The work of a page.
#[derive(Clone, Copy)]
pub struct Slices {
    held: StoredValue<Held, LocalStorage>,
    /// The report whose work is done, for the page to show.
    done: Signal<Option<Report>>,
}

#[derive(Default)]
struct Held {
    timer: Option<Later>,
    report: Option<Report>,
    told: f64,
}

impl Slices {
    /// Nothing at work.
    pub fn new() -> Self {
        let slices = Self {
            held: StoredValue::new_local(Held::default()),
            done: Signal::new(None),
        };
        on_cleanup(move || slices.restart(None));
        slices
    }

    /// A report whose work is done, once; tracked.
    pub fn take(self) -> Option<Report> {
        self.done.with(|_| ());
        let mut taken = None;
        self.done.update_untracked(|done| taken = done.take());
        taken
    }

    /// Follows the report of a page: what it leaves is done, from the beginning after every change.
    pub fn start(self, page: Page) {
        follow(move || {
            let (progress, note) = page.report.with(|report| {
                let note = report.note().map(str::to_string);
                (report.progress(), note)
            });
            let mut out = Markup::default();
            out.words(&note.unwrap_or_default());
            fill("work-note", &out.finish());
            show(progress);
            let timer = progress.and(after(BEGIN_AFTER_MS, move || {
                let report = page
                    .place
                    .try_with_value(|place| page.desk.begun(place, page.sheet));
                self.held.update_value(|held| held.report = report);
                self.slice();
            }));
            self.restart(timer);
        });
    }

    fn restart(self, timer: Option<Later>) {
        // What was at work before is not worked at any more.
        drop(self.held.try_update_value(|held| {
            std::mem::replace(
                held,
                Held {
                    timer,
                    ..Held::default()
                },
            )
        }));
    }

    fn slice(self) {
        let mut over = None;
        self.held.update_value(|held| {
            let Some(report) = &mut held.report else {
                return;
            };
            if more_after_a_slice(&mut || report.advance(STEPS)) {
                let now = js_sys::Date::now();
                if now - held.told >= TELL_MS {
                    held.told = now;
                    show(report.progress());
                }
                held.timer = after(0, move || self.slice());
            } else {
                over = held.report.take();
            }
        });
        if over.is_some() {
            self.done.set(over);
        }
    }

    /// Ends the work early; what it found so far is shown.
    pub fn stop(self) {
        self.held.update_value(|held| {
            if let Some(report) = &mut held.report {
                report.stop();
            }
        });
    }
}

/// Takes steps while one says that more is left, for one slice at the most; whether more is left.
pub fn more_after_a_slice(step: &mut dyn FnMut() -> bool) -> bool {
    let start = js_sys::Date::now();
    while step() {
        if js_sys::Date::now() - start >= SLICE_MS {
            return true;
        }
    }
    false
}

/// Shows how far the work is; hides it when there is none.
fn show(progress: Option<(f64, f64)>) {
    let Some(work) = element("work") else { return };
    let Some((done, all)) = progress else {
        _ = work.set_attribute("hidden", "");
        return;
    };
    let (done, all) = (write_fixed(done, 0), write_fixed(all, 0));
    if let Some(bar) = element("work-bar") {
        _ = bar.set_attribute("max", &all);
        _ = bar.set_attribute("value", &done);
    }
    let mut told = Markup::default();
    told.words(&done).raw(" of ").words(&all).raw(" tried");
    fill("work-told", &told.finish());
    _ = work.remove_attribute("hidden");
}
