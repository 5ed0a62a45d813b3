//! What stands around every page: the bar, the drawing frame, the title block, and the choice of the page.

use std::cell::Cell;

use layshaft_core::sheets::all;
use leptos::prelude::*;
use wasm_bindgen::JsValue;

use crate::machines::{MachinePage, MachinesPage};
use crate::markup::Markup;
use crate::notices::NoticeList;
use crate::offline::OfflineNote;
use crate::route::Route;
use crate::sheet::Page;
use crate::stage::{fill, focus, follow, stage, target};
use crate::state::Desk;
use crate::{keys, list, sheet, storage};

/// The whole page.
#[component]
pub fn App() -> impl IntoView {
    let desk = Desk::open();
    let first = Cell::new(true);
    follow(move || {
        let title = match desk.route.get() {
            Route::Sheet(_, sheet) => sheet.title,
            Route::Machines | Route::Machine(_) => "Machines",
            Route::List | Route::Unknown(_) => "Numbers for the printer you build",
        };
        document().set_title(&[title, " · Layshaft"].concat());
        // A page that is turned to is read from its top; the first one stays where the browser put it.
        if !first.replace(false) {
            window().scroll_to_with_x_and_y(0.0, 0.0);
            _ = document()
                .get_element_by_id("main")
                .map(|main| focus(&main));
        }
    });
    view! {
        {stage(bar(), || {}, |event| turn_theme(&event))}
        <NoticeList />
        <main id="main" tabindex="-1">{move || page(desk)}</main>
        <footer class="foot">"No request leaves this page. What you type stays on this device. "<OfflineNote /></footer>
    }
}

/// The page that the address asks for.
fn page(desk: Desk) -> AnyView {
    match desk.route.get() {
        Route::Sheet(place, sheet) => sheet::open(desk, place, sheet),
        Route::List => list::open(desk, ""),
        Route::Unknown(fragment) => list::open(desk, &fragment),
        Route::Machines => framed(view! { <MachinesPage /> }.into_any()),
        Route::Machine(id) => framed(view! { <MachinePage id=id /> }.into_any()),
    }
}

/// The bar above the sheet.
fn bar() -> String {
    let mut out = Markup::default();
    out.raw("<nav class=bar><a class=mark href=\"#\">Layshaft</a><a href=\"#\">Sheets</a><a href=\"#machines\">Machines</a>");
    out.raw("<button type=button id=theme>")
        .raw(other_theme().0)
        .raw("</button></nav>");
    out.finish()
}

/// The theme that is not shown, as its button and as `data-theme` name it; until it is chosen the device decides.
fn other_theme() -> (&'static str, &'static str) {
    let night = match document()
        .document_element()
        .and_then(|root| root.get_attribute("data-theme"))
    {
        Some(theme) => theme == "night",
        None => window()
            .match_media("(prefers-color-scheme:dark)")
            .ok()
            .flatten()
            .is_some_and(|query| query.matches()),
    };
    if night {
        ("Paper", "paper")
    } else {
        ("Night", "night")
    }
}

/// Changes between paper and night when the button was clicked.
fn turn_theme(event: &web_sys::Event) {
    if event.type_() != "click" || target(event).is_none_or(|button| button.id() != "theme") {
        return;
    }
    let theme = other_theme().1;
    _ = document()
        .document_element()
        .map(|root| root.set_attribute("data-theme", theme));
    storage::set(keys::THEME, Some(theme));
    fill("theme", other_theme().0);
}

/// The beginning of a drawing sheet, trimmed edge, zones and frame: two elements are left open.
pub fn frame() -> Markup {
    let mut out = Markup::default();
    out.raw("<div class=trim>")
        .raw(ZONES)
        .raw("<div class=frame>");
    out
}

/// The zones along the upper edge, as ISO 5457 numbers them.
const ZONES: &str = "<div class=zones aria-hidden=true><i>1</i><i>2</i><i>3</i><i>4</i><i>5</i><i>6</i><i>7</i><i>8</i></div>";

/// A drawing sheet around a page that is a view.
fn framed(page: AnyView) -> AnyView {
    view! { <div class="trim"><div class="frame">{page}</div></div> }.into_any()
}

/// The title block of a sheet, with the data fields of ISO 7200 that a calculation has.
pub fn title_block(out: &mut Markup, page: Page) {
    let sheet = page.sheet;
    let today = js_sys::Date::new_0().to_locale_date_string("sv", &JsValue::UNDEFINED);
    let number = all()
        .iter()
        .position(|other| other.id == sheet.id)
        .map_or(0, |at| at + 1);
    out.raw("<header class=title><div class=name><h1>")
        .words(sheet.title)
        .raw("</h1><p>")
        .words(sheet.about)
        .raw("</p></div>");
    out.raw("<div class=names id=names></div><div><small>Date</small><span>")
        .words(&String::from(today));
    out.raw("</span></div><div><small>Sheet</small><span>")
        .words(&number.to_string())
        .raw(" / ")
        .words(&all().len().to_string());
    out.raw("</span></div></header>");
}

/// The fields of machine and part.
pub fn names(page: Page) -> String {
    let mut out = Markup::default();
    let names = page
        .place
        .with_value(|place| page.desk.names(place))
        .unwrap_or_else(|| ("none".into(), "none".into()));
    out.raw("<div><small>Machine</small><span>")
        .words(&names.0)
        .raw("</span></div>");
    out.raw("<div><small>Part</small><span>")
        .words(&names.1)
        .raw("</span></div>");
    out.finish()
}
