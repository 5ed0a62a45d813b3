//! The page of any sheet, drawn from its declaration.

use std::cell::{Cell, RefCell};
use std::sync::Arc;

use crate::dom::*;
use layshaft_core::link;
use layshaft_core::sheets::{Field, Kind, Report, Sheet};
use layshaft_core::study::tolerance::Spread;
use wasm_bindgen::JsCast;
use web_sys::{ClipboardEvent, Element, Event, KeyboardEvent};

use crate::figure::Figures;
use crate::notices::Undo;
use crate::slices::{self, Slices};
use crate::stage::{Stage, all, around, fill, focus, follow, paint, stage, target, value};
use crate::state::{Desk, Place};
use crate::study::{self, Spreads, Studies};
use crate::{
    answers, checks, field, figure, keys, log, proof, rows, save, share, tone, view, working,
};

/// One open sheet: what its parts share.
#[derive(Clone, Copy)]
pub struct Page {
    /// The page's state.
    pub desk: Desk,
    /// Where the entries live.
    pub place: StoredValue<Place, LocalStorage>,
    /// The sheet.
    pub sheet: &'static Sheet,
    /// What it says about its entries.
    pub report: Memo<Arc<Report>>,
    /// The entry that is being typed into: its message waits. Empty for none.
    pub typing: Signal<&'static str>,
    pause: StoredValue<Option<Later>, LocalStorage>,
    /// Puts the last row that was taken out of a list back.
    taken: StoredValue<Option<Undo>, LocalStorage>,
    /// The pinned design, by its text.
    pinned: StoredValue<Option<(String, Arc<Report>)>, LocalStorage>,
    slices: Slices,
}

/// The page of a sheet, whose entries live at `place`.
pub fn open(desk: Desk, place: Place, sheet: &'static Sheet) -> Stage {
    let slices = Slices::new();
    let page = Page {
        desk,
        report: desk.report(place.clone(), sheet, slices),
        place: StoredValue::new_local(place),
        sheet,
        typing: Signal::new(""),
        pause: StoredValue::new_local(None),
        taken: StoredValue::new_local(None),
        pinned: StoredValue::new_local(None),
        slices,
    };
    on_cleanup(move || page.wait(None));
    let (figures, studies) = (Figures::of(page), Studies::of(page));
    stage(
        skeleton(page),
        move || page.start(figures, studies),
        move |event| page.hear(figures, studies, &event),
    )
}

/// A part of the page that follows the report: its id, and what writes it.
const PARTS: [(&str, fn(&Report) -> String); 5] = [
    ("before", working::before),
    ("alarms", answers::alarms),
    ("checks", checks::checks),
    ("working", working::working),
    ("cautions", working::cautions),
];

/// A part that follows the tolerances too.
const SPREAD: [(&str, fn(&Report, &[Spread]) -> String); 3] = [
    ("headline", answers::headline),
    ("answers", answers::list),
    ("shares", study::shares),
];

/// The still markup of the page; the parts with an id are painted.
fn skeleton(page: Page) -> String {
    let mut out = view::frame();
    view::title_block(&mut out, page);
    out.raw("<div class=head><div class=dims id=headline></div><div class=alarms id=alarms></div>");
    out.raw(slices::FRAME)
        .raw("</div><div class=before id=before></div>");
    out.raw("<p class=aloud role=status aria-atomic=true id=aloud></p>");
    out.raw("<div class=body><section class=entries><h2>Entries</h2>");
    for (index, field) in (0..).zip(page.sheet.fields) {
        out.raw(if field::is_wide(field) {
            "<div class=\"entry wide\" id=w-"
        } else {
            "<div class=entry id=w-"
        });
        out.int(index).raw("></div>");
    }
    out.raw("</section><div class=results>");
    if page.sheet.id == tone::SHEET {
        out.raw(tone::FRAME);
    }
    out.raw("<section><h2>Answers</h2><dl class=part id=answers></dl></section>");
    let own = crate::machine_page::is_own(page.sheet);
    if !own {
        study::frame(&mut out);
    }
    figure::frames(&mut out, page.sheet);
    for (title, id) in [
        ("Checks", "checks"),
        ("Working", "working"),
        ("Before power", "cautions"),
    ] {
        out.raw("<section><h2>")
            .raw(title)
            .raw("</h2><div class=part id=")
            .raw(id)
            .raw("></div></section>");
    }
    if !own && page.place.with_value(|place| *place != Place::Loose) {
        out.raw("<section><div id=proof></div></section>");
    }
    out.raw("</div><section class=keep><h2>Keep and show</h2>")
        .raw(if own { "" } else { share::BUTTONS })
        .raw("<div id=keep></div></section></div></div></div>");
    out.finish()
}

impl Page {
    /// The design that is pinned beside a report's, worked out once.
    pub fn pinned(self, report: &Report) -> Option<Arc<Report>> {
        let text = report.entries.get("pin").unwrap_or("");
        self.pinned.try_update_value(|held| {
            if text.is_empty() {
                *held = None;
            } else if held.as_ref().is_none_or(|(known, _)| known != text) {
                let entries = link::unpinned(report.sheet, text);
                *held = Some((text.into(), Arc::new(report.sheet.run(&entries))));
            }
            held.as_ref().map(|(_, pinned)| pinned.clone())
        })?
    }

    /// Brings the markup to life.
    fn start(self, figures: Figures, studies: Studies) {
        let spreads = Spreads::new();
        for (id, of) in SPREAD {
            paint(id, move || {
                let report = self.report.get();
                spreads.of(&report, &|spreads| of(&report, spreads))
            });
        }
        for (id, of) in PARTS {
            paint(id, move || self.report.with(|report| of(report)));
        }
        paint("names", move || view::names(self));
        for (index, field) in self.sheet.fields.iter().enumerate() {
            let (id, shown) = (["w-", &index.to_string()].concat(), Cell::new(false));
            follow(move || {
                self.report.with(|report| {
                    let applies = field::applies(report, field);
                    // Painted when it begins to apply: what is typed into it later must not be drawn over.
                    if shown.replace(applies) != applies {
                        fill(
                            &id,
                            &if applies {
                                field::entry(report, field)
                            } else {
                                String::new()
                            },
                        );
                    }
                });
            });
        }
        let looks = RefCell::default();
        follow(move || {
            self.report.with(|report| {
                field::refresh(report, self.typing.get(), &mut looks.borrow_mut());
                rows::refresh(report);
            });
        });
        follow(move || self.report.with(log::know));
        self.slices.start(self);
        figures.start();
        if self.sheet.id == tone::SHEET {
            tone::start();
        }
        if element("turn").is_some() {
            studies.start();
        }
        proof::start(self);
        share::start();
        save::start(self.desk, self.place.get_value(), self.sheet);
    }

    /// Does what an event in the page asks for.
    fn hear(self, figures: Figures, studies: Studies, event: &Event) {
        let Some(from) = target(event) else { return };
        let log = around(&from, ".log").and_then(|_| {
            let rows = self.endless_rows(&from);
            rows.or_else(|| log::field(self.sheet.fields))
        });
        if let Some(field) = log {
            let before = self.report.with_untracked(|report| {
                let text = report.entries.get(field.key);
                log::given(event, &from, text.unwrap_or_default())
            });
            if let Some(given) = before {
                log::take(field.key, given, move |text| self.logged(field.key, &text));
                return;
            }
        }
        match event.type_().as_str() {
            "input" if studies.input(&from) => {}
            "input" => match (self.entry_of(&from), from.id().strip_prefix("x-")) {
                (Some(field), _) => self.typed(field.key, &value(&from)),
                (None, Some(answer)) => figures.choose(answer, value(&from).parse().ok()),
                _ => {
                    rows::follow_above(&from);
                    self.cells_changed(&from);
                }
            },
            "click" => self.click(figures, studies, &from),
            "paste" => {
                let data = event.unchecked_ref::<ClipboardEvent>().clipboard_data();
                let text = data
                    .and_then(|data| data.get_data("text").ok())
                    .unwrap_or_default();
                if let Some((id, text)) = rows::paste(&from, &text) {
                    event.prevent_default();
                    self.typed_by_id(&id, &text);
                }
            }
            "focusin" => {
                if let Some(field) = self.entry_of(&from) {
                    field::show_keys(field);
                }
            }
            "focusout" => {
                self.typing.set("");
                if self.entry_of(&from).is_some() {
                    field::hide_keys(&from);
                }
            }
            "keydown"
                if event.unchecked_ref::<KeyboardEvent>().key() == "Enter"
                    && rows::next(&from).map_or_else(|behind| next_entry(&behind), |()| true) =>
            {
                event.prevent_default();
            }
            // The focus stays in the entry, and with it the phone's keyboard.
            "pointerdown" if around(&from, ".keys").is_some() => event.prevent_default(),
            "pointerdown" | "pointermove" => {
                figures.follow(&from, event.unchecked_ref());
                studies.follow(&from, event.unchecked_ref());
            }
            "toggle" => {
                figures.toggle(&from);
                studies.toggle(&from);
            }
            _ => {}
        }
    }

    fn click(self, figures: Figures, studies: Studies, from: &Element) {
        let Some(button) = around(from, "[data-click]") else {
            return;
        };
        let said = button.get_attribute("data-click").unwrap_or_default();
        match said.split_once(' ').unwrap_or((&said, "")) {
            ("copy-link", _) => share::copy(self),
            ("share", _) => share::share(self),
            ("add-row", _) => rows::add(&button),
            ("drop-row", _) => {
                if let Some((grid, taken)) = rows::drop(&button) {
                    self.cells_changed(&grid);
                    self.took(&grid, taken);
                }
            }
            ("undo-row", _) => {
                let taken = rows::undo(&button);
                self.cells_changed(&button);
                self.took(&button, taken);
            }
            ("put-back", key) => {
                if let Some(undo) = self.taken.try_update_value(Option::take).flatten() {
                    self.desk.undo(undo);
                }
                _ = element(&["f-", key].concat()).map(|grid| focus(&grid));
                fill(&["b-", key].concat(), "");
            }
            ("stop", _) => self.slices.stop(),
            ("more", key) => figures.more(key),
            ("listen", _) => tone::listen(&button),
            ("take", key) => {
                if let Some(text) = tone::shown() {
                    self.typed_by_id(key, &text);
                }
            }
            ("cautions", _) => {
                _ = element("cautions").map(|part| part.scroll_into_view());
            }
            ("letters", _) => field::letters(&button),
            (word @ ("root" | "pin" | "unpin" | "swap"), about) => studies.click(word, about),
            ("type", sign) => {
                if let Some((key, text)) = field::insert(&button, sign) {
                    self.typed_by_id(&key, &text);
                }
            }
            _ => {}
        }
    }

    /// The field of rows that stands in this text area, being too many for a grid.
    fn endless_rows(self, control: &Element) -> Option<&'static Field> {
        let id = control.id();
        let fields = self.sheet.fields.iter();
        let mut rows = fields.filter(|field| matches!(field.kind, Kind::Rows(_)));
        rows.find(|field| id.strip_prefix("f-") == Some(field.key))
    }

    /// The field whose control this is.
    fn entry_of(self, control: &Element) -> Option<&'static Field> {
        let id = control.id();
        let key = id.strip_prefix("f-")?;
        self.sheet
            .fields
            .iter()
            .find(|field| field.key == key && !matches!(field.kind, Kind::Rows(_)))
    }

    /// Keeps the cells of the grid that `from` stands in.
    fn cells_changed(self, from: &Element) {
        if let Some((id, text)) = rows::read(from) {
            self.typed_by_id(&id, &text);
        }
    }

    /// Offers to put back what was taken out of the list around `from`.
    fn took(self, from: &Element, taken: Option<rows::Taken>) {
        let (Some(taken), Some(grid)) = (taken, around(from, ".grid")) else {
            return;
        };
        let id = grid.id();
        let key = id.strip_prefix("f-").unwrap_or(&id);
        let Some(field) = self.sheet.fields.iter().find(|field| field.key == key) else {
            return;
        };
        // One at a time: the last that was taken.
        for other in self.sheet.fields {
            fill(&["b-", other.key].concat(), "");
        }
        rows::offer(key, &taken.row);
        let place = self.place.get_value();
        let undo = Undo::Row(place, self.sheet, field.key, taken);
        self.taken.set_value(Some(undo));
    }

    fn typed_by_id(self, id: &str, text: &str) {
        let key = id.strip_prefix("f-").unwrap_or(id);
        if let Some(field) = self.sheet.fields.iter().find(|field| field.key == key) {
            self.typed(field.key, text);
        }
    }

    /// Keeps a log, and says what was read of it.
    fn logged(self, key: &'static str, text: &str) {
        // The page may have been turned while it was read.
        if self.report.try_get_untracked().is_some() {
            self.typed(key, text);
            log::tell(
                key,
                &self
                    .report
                    .with_untracked(|report| log::summary(report, key)),
            );
        }
    }

    /// Keeps what was typed; a message that was not there yet waits for a pause.
    fn typed(self, key: &'static str, text: &str) {
        let told = self
            .report
            .with_untracked(|report| report.problems.iter().any(|problem| problem.field == key));
        if !told || self.typing.get_untracked() == key {
            self.typing.set(key);
        }
        self.place
            .with_value(|place| self.desk.set(place, self.sheet, key, text));
        self.wait(after(keys::TELL_AFTER_MS, move || {
            self.typing.set("");
            self.wait(after(
                keys::SPEAK_AFTER_MS - keys::TELL_AFTER_MS,
                move || {
                    if let Some(spoken) = self
                        .report
                        .try_with_untracked(|report| answers::spoken(report))
                    {
                        fill("aloud", &spoken);
                    }
                },
            ));
        }));
    }

    /// Replaces the timer that runs.
    fn wait(self, timer: Option<Later>) {
        // What waited before is not waited for any more.
        drop(
            self.pause
                .try_update_value(|pause| std::mem::replace(pause, timer)),
        );
    }
}

/// Gives the focus to the control behind this one; whether there is one.
fn next_entry(from: &Element) -> bool {
    let controls = around(from, ".entries")
        .map(|entries| all(&entries, "input:not([type=file]), select, textarea"))
        .unwrap_or_default();
    let next = controls
        .iter()
        .skip_while(|control| *control != from)
        .nth(1);
    if let Some(next) = next {
        focus(next);
        // The text is ready to be typed over, as it is when a tab key comes to it.
        next.dyn_ref::<web_sys::HtmlInputElement>()
            .map(web_sys::HtmlInputElement::select);
    }
    next.is_some()
}
