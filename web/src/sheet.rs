//! The page of any sheet, drawn from its declaration.

use std::sync::Arc;
use std::time::Duration;

use layshaft_core::sheets::{self, Kind, Report, Sheet};
use leptos::ev::{Event, FocusEvent, KeyboardEvent};
use leptos::leptos_dom::helpers::TimeoutHandle;
use leptos::prelude::*;
use wasm_bindgen::{JsCast, JsValue};

use crate::figure::{DrawingFigure, RowsFigure};
use crate::save::SavePanel;
use crate::share::ShareButtons;
use crate::state::{Desk, Place};
use crate::view::{Frame, TitleBlock};
use crate::{answers, checks, drawing, field, keys, working};

/// One open sheet: what its parts share.
#[derive(Clone, Copy)]
pub struct Page {
    /// The page's state.
    pub desk: Desk,
    /// Where the entries live.
    pub place: StoredValue<Place>,
    /// The sheet.
    pub sheet: &'static Sheet,
    /// What it says about its entries.
    pub report: Memo<Arc<Report>>,
    /// The entry that is being typed into: its message waits. Empty for none.
    pub typing: RwSignal<&'static str>,
    /// The entry that has the focus. Empty for none.
    pub focused: RwSignal<&'static str>,
    /// What is read aloud.
    spoken: RwSignal<String>,
    pause: StoredValue<Option<TimeoutHandle>>,
}

impl Page {
    fn open(desk: Desk, place: Place, sheet: &'static Sheet) -> Self {
        let page = Self {
            desk,
            report: desk.report(place.clone(), sheet),
            place: StoredValue::new(place),
            sheet,
            typing: RwSignal::new(""),
            focused: RwSignal::new(""),
            spoken: RwSignal::new(String::new()),
            pause: StoredValue::new(None),
        };
        on_cleanup(move || page.wait(None));
        page
    }

    /// The text typed for an entry; tracked.
    pub fn text(self, key: &str) -> String {
        self.place.with_value(|place| self.desk.entry(place, self.sheet, key))
    }

    /// The text typed for an entry.
    pub fn text_untracked(self, key: &str) -> String {
        untrack(move || self.text(key))
    }

    /// Keeps what was typed; a message that was not there yet waits for a pause.
    pub fn typed(self, key: &'static str, text: &str) {
        let told = self.report.with_untracked(|report| report.problems.iter().any(|problem| problem.field == key));
        if !told || self.typing.get_untracked() == key {
            self.typing.set(key);
        }
        self.place.with_value(|place| self.desk.set(place, self.sheet, key, text));
        self.wait(after(keys::TELL_AFTER_MS, move || {
            _ = self.typing.try_set("");
            self.wait(after(keys::SPEAK_AFTER_MS - keys::TELL_AFTER_MS, move || {
                if let Some(spoken) = self.report.try_with_untracked(|report| answers::spoken(report)) {
                    _ = self.spoken.try_set(spoken);
                }
            }));
        }));
    }

    /// Replaces the timer that runs.
    fn wait(self, timer: Option<TimeoutHandle>) {
        if let Some(Some(old)) = self.pause.try_update_value(|pause| std::mem::replace(pause, timer)) {
            old.clear();
        }
    }

    /// The key of the entry whose control an event came from.
    fn key_of(self, event: &Event) -> Option<&'static str> {
        let id = event.target()?.dyn_into::<web_sys::Element>().ok()?.id();
        let key = id.strip_prefix("f-")?;
        self.sheet.fields.iter().map(|field| field.key).find(|known| *known == key)
    }

    /// Shows in the controls what another hand changed, as undo does; what is being typed is never rewritten.
    fn sync(self) {
        self.report.with(|report| {
            for (field, ..) in report.inputs.fields().filter(|(field, ..)| !matches!(field.kind, Kind::Rows(_))) {
                let Some(control) = document().get_element_by_id(&["f-", field.key].concat()) else { continue };
                let name = JsValue::from_str("value");
                let text = field::control_text(report, field);
                let shown = js_sys::Reflect::get(&control, &name).ok().and_then(|shown| shown.as_string());
                if shown.as_ref() != Some(&text) {
                    _ = js_sys::Reflect::set(&control, &name, &JsValue::from_str(&text));
                }
            }
        });
    }
}

fn after(milliseconds: u64, call: impl FnOnce() + 'static) -> Option<TimeoutHandle> {
    set_timeout_with_handle(call, Duration::from_millis(milliseconds)).ok()
}

/// One sheet with all that belongs to it.
#[component]
pub fn SheetPage(desk: Desk, place: Place, sheet: &'static Sheet) -> impl IntoView {
    let save = place.clone();
    let page = Page::open(desk, place, sheet);
    Effect::new(move || page.sync());
    let answers = sheet.answers.iter().filter(|answer| answers::is_figure(answer));
    view! {
        <Frame>
            <TitleBlock title=sheet.title about=sheet.about page=page />
            <div class="head">
                <Shown page=page class="dims" of=answers::headline />
                <Shown page=page class="alarms" of=answers::alarms />
            </div>
            <p class="aloud" role="status" aria-atomic="true">{move || page.spoken.get()}</p>
            <div class="body">
                <EntryList page=page />
                <div class="results">
                    {drawing::draws(sheet.id).then(|| view! { <DrawingFigure page=page /> })}
                    <Part page=page title="Answers" of=answers::list />
                    {answers.map(|answer| view! { <RowsFigure page=page answer=answer /> }).collect_view()}
                    <Part page=page title="Checks" of=checks::checks />
                    <Part page=page title="Working" of=working::working />
                    <Part page=page title="Before power" of=working::cautions />
                </div>
                <section class="keep">
                    <h2>"Keep and show"</h2>
                    <ShareButtons page=page />
                    <SavePanel place=save sheet=sheet />
                </section>
            </div>
        </Frame>
    }
}

/// The entries that apply.
#[component]
fn EntryList(page: Page) -> impl IntoView {
    let typed = move |event: Event| {
        if let Some(key) = page.key_of(&event) {
            page.typed(key, &event_target_value(&event));
        }
    };
    let focus = move |event: FocusEvent| page.focused.set(page.key_of(&event).unwrap_or(""));
    let blur = move |_| {
        page.focused.set("");
        page.typing.set("");
    };
    let enter = |event: KeyboardEvent| {
        if event.key() == "Enter" && crate::view::focus_next(&event) {
            event.prevent_default();
        }
    };
    let entries = page.sheet.fields.iter().map(|field| {
        let applies = Memo::new(move |_| {
            page.report.with(|report| report.inputs.fields().any(|(other, ..)| std::ptr::eq(other, field)))
        });
        move || applies.get().then(|| field::entry(page, field))
    });
    view! {
        <section class="entries" on:input=typed on:focusin=focus on:focusout=blur on:keydown=enter>
            <h2>"Entries"</h2>
            {entries.collect_view()}
        </section>
    }
}

/// What a pure function of the report writes, put into the page whenever it differs.
#[component]
fn Shown(page: Page, class: &'static str, of: fn(&Report) -> String) -> AnyView {
    let text = Memo::new(move |_| page.report.with(|report| of(report)));
    view! { <div class=class inner_html=move || text.get()></div> }.into_any()
}

/// The same as a part of the page with a heading; hidden while there is nothing in it.
#[component]
fn Part(page: Page, title: &'static str, of: fn(&Report) -> String) -> AnyView {
    let text = Memo::new(move |_| page.report.with(|report| of(report)));
    view! {
        <section hidden=move || text.with(String::is_empty)>
            <h2>{title}</h2>
            <div inner_html=move || text.get()></div>
        </section>
    }
    .into_any()
}

/// Which of how many sheets, as the title block numbers them: "1 / 4".
pub fn number(sheet: &Sheet) -> String {
    let at = sheets::ALL.iter().position(|other| other.id == sheet.id).map_or(0, |at| at + 1);
    [&at.to_string(), " / ", &sheets::ALL.len().to_string()].concat()
}
