//! What stands around every page: the bar, the drawing frame, the title block, and the choice of the page.

use leptos::ev::KeyboardEvent;
use leptos::prelude::*;
use wasm_bindgen::JsCast;

use crate::keys;
use crate::list::ListPage;
use crate::machines::{MachinePage, MachinesPage};
use crate::notices::NoticeList;
use crate::offline::OfflineNote;
use crate::route::Route;
use crate::sheet::{self, Page, SheetPage};
use crate::state::Desk;
use crate::storage;

/// The whole page.
#[component]
pub fn App() -> impl IntoView {
    let desk = Desk::open();
    Effect::new(move |before: Option<()>| {
        let title = match desk.route.get() {
            Route::Sheet(_, sheet) => sheet.title,
            Route::Machines | Route::Machine(_) => "Machines",
            Route::List | Route::Unknown(_) => "Numbers for the printer you build",
        };
        document().set_title(&[title, " · Layshaft"].concat());
        // A page that is turned to is read from its top; the first one stays where the browser put it.
        if before.is_some() {
            window().scroll_to_with_x_and_y(0.0, 0.0);
            focus("main");
        }
    });
    view! {
        <Bar />
        <NoticeList />
        <main id="main" tabindex="-1">{move || page(desk)}</main>
        <footer class="foot">
            <span>"No request leaves this page. What you type stays on this device."</span>
            <OfflineNote />
        </footer>
    }
}

/// The page that the address asks for.
fn page(desk: Desk) -> AnyView {
    match desk.route.get() {
        Route::Sheet(place, sheet) => view! { <SheetPage desk=desk place=place sheet=sheet /> }.into_any(),
        Route::Machines => view! { <Frame><MachinesPage /></Frame> }.into_any(),
        Route::Machine(id) => view! { <Frame><MachinePage id=id /></Frame> }.into_any(),
        Route::List => view! { <ListPage desk=desk /> }.into_any(),
        Route::Unknown(fragment) => view! {
            <div class="notices">
                <p class="notice">"There is no page at #" {fragment} ". Here are the sheets."</p>
            </div>
            <ListPage desk=desk />
        }
        .into_any(),
    }
}

/// The bar above the sheet.
#[component]
fn Bar() -> impl IntoView {
    view! {
        <nav class="bar">
            <a class="mark" href="#">"Layshaft"</a>
            <a href="#">"Sheets"</a>
            <a href="#machines">"Machines"</a>
            <Theme />
        </nav>
    }
}

/// The themes, as the root element's `data-theme` and the storage name them.
const THEMES: [&str; 2] = ["paper", "night"];

/// The button that changes between paper and night; until it is used the device decides.
#[component]
fn Theme() -> impl IntoView {
    let root = || document().document_element();
    let night = RwSignal::new(match root().and_then(|root| root.get_attribute("data-theme")) {
        Some(theme) => theme == THEMES[1],
        None => window().match_media("(prefers-color-scheme:dark)").ok().flatten().is_some_and(|query| query.matches()),
    });
    let turn = move |_| {
        night.update(|night| *night = !*night);
        let theme = THEMES[usize::from(night.get_untracked())];
        if let Some(root) = root() {
            _ = root.set_attribute("data-theme", theme);
        }
        _ = storage::set(keys::THEME, Some(theme));
    };
    view! { <button type="button" class="theme" on:click=turn>{move || if night.get() { "Paper" } else { "Night" }}</button> }
}

/// A drawing sheet: trimmed edge, zones, frame.
#[component]
pub fn Frame(children: Children) -> impl IntoView {
    let zones = (1..=8).map(|zone| view! { <i>{zone}</i> }).collect_view();
    view! {
        <div class="trim">
            <div class="zones" aria-hidden="true">{zones}</div>
            <div class="frame">{children()}</div>
        </div>
    }
}

/// The title block, with the data fields of ISO 7200 that a calculation has.
#[component]
pub fn TitleBlock(title: &'static str, about: &'static str, page: Page) -> impl IntoView {
    let names = move || page.place.with_value(|place| page.desk.names(place));
    let machine = move || names().map_or_else(|| "none".into(), |(machine, _)| machine);
    let part = move || names().map_or_else(|| "none".into(), |(_, part)| part);
    let today = js_sys::Date::new_0().to_locale_date_string("sv", &wasm_bindgen::JsValue::UNDEFINED);
    view! {
        <header class="title">
            <div class="name"><h1>{title}</h1><p>{about}</p></div>
            <div><small>"Machine"</small><span>{machine}</span></div>
            <div><small>"Part"</small><span>{part}</span></div>
            <div><small>"Date"</small><span>{String::from(today)}</span></div>
            <div><small>"Sheet"</small><span>{sheet::number(page.sheet)}</span></div>
        </header>
    }
}

/// Gives the focus to the element of this id.
pub fn focus(id: &str) {
    let element = document().get_element_by_id(id).and_then(|element| element.dyn_into::<web_sys::HtmlElement>().ok());
    if let Some(element) = element {
        _ = element.focus();
    }
}

/// Gives the focus to the control after the one that a key was pressed in; whether there is one.
pub fn focus_next(event: &KeyboardEvent) -> bool {
    let Some(from) = event.target().and_then(|target| target.dyn_into::<web_sys::Element>().ok()) else { return false };
    if from.tag_name() == "BUTTON" {
        return false;
    }
    let Ok(controls) = document().query_selector_all(".entries input, .entries select") else { return false };
    let all = || (0..controls.length()).filter_map(|index| controls.get(index));
    let next = all().skip_while(|control| !control.is_same_node(Some(&from))).nth(1);
    let next = next.and_then(|next| next.dyn_into::<web_sys::HtmlElement>().ok());
    next.is_some_and(|next| next.focus().is_ok())
}
