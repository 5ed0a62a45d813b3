//! What stands around every page: the bar, the drawing frame, the title block, and the choice of the page.

use std::cell::Cell;

use crate::dom::*;
use layshaft_core::sheets::all;
use wasm_bindgen::JsValue;

use crate::markup::Markup;
use crate::route::Route;
use crate::sheet::Page;
use crate::stage::{Stage, fill, focus, follow, stage, target};
use crate::state::Desk;
use crate::{keys, list, machines, notices, record, sheet, sources, storage};

/// What stands around every page; the elements that are filled later have ids.
const SHELL: &str = "<div id=bar></div><div class=notices role=status><div id=notices tabindex=-1></div></div>\
    <main id=main tabindex=-1></main><footer class=foot>No request leaves this page. What you type stays on this device. \
    <a href=#sources>Sources of the formulas</a> <span class=offline id=offline data-offline=no></span></footer>";

/// Begins the whole page in the element of this id.
pub fn start(root: &str) {
    fill(root, SHELL);
    let desk = Desk::open();
    stage(bar(), || {}, |event| turn_theme(&event)).show("bar");
    notices::start(desk);
    let first = Cell::new(true);
    follow(move || {
        let title = match desk.route.get() {
            Route::Sheet(_, sheet) => sheet.title,
            Route::Machines | Route::Machine(_) => "Machines",
            Route::Record(_) => "Build record",
            Route::Sources => "Sources",
            Route::List | Route::Unknown(_) => "Numbers for the printer you build",
        };
        document().set_title(&[title, " · Layshaft"].concat());
        // A page that is turned to is read from its top; the first one stays where the browser put it.
        if !first.replace(false) {
            window().scroll_to_with_x_and_y(0.0, 0.0);
            _ = element("main").map(|main| focus(&main));
        }
    });
    follow(move || {
        let route = desk.route.get();
        untrack(|| page(desk, route).show("main"));
        // What the page follows has been painted by then.
        follow(|| {
            let page = document().document_element();
            _ = page.map(|page| page.set_attribute("data-ready", "1"));
        });
    });
}

/// The page that the address asks for.
fn page(desk: Desk, route: Route) -> Stage {
    match route {
        Route::Sheet(place, sheet) => sheet::open(desk, place, sheet),
        Route::List => list::open(desk, ""),
        Route::Unknown(fragment) => list::open(desk, &fragment),
        Route::Sources => framed(|| fill("panel", &sources::page())),
        Route::Machines => framed(move || machines::all(desk)),
        Route::Machine(id) => framed(move || machines::one(desk, id)),
        Route::Record(id) => framed(move || record::open(desk, id)),
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

/// A drawing sheet around a panel, which `start` raises in the element `panel`.
fn framed(start: impl FnOnce() + 'static) -> Stage {
    let mut out = frame();
    out.raw("<div id=panel tabindex=-1></div></div></div>");
    stage(out.finish(), start, |_| {})
}

/// The title block of a sheet, with the data fields of ISO 7200 that a calculation has.
pub fn title_block(out: &mut Markup, page: Page) {
    let sheet = page.sheet;
    let today = js_sys::Date::new_0().to_locale_date_string("sv", &JsValue::UNDEFINED);
    let number = all().iter().position(|other| other.id == sheet.id);
    out.raw("<header class=title><div class=name><h1>")
        .words(sheet.title)
        .raw("</h1><p>")
        .words(sheet.about)
        .raw("</p></div>");
    out.raw("<div class=names id=names></div><div><small>Date</small><span>")
        .words(&String::from(today));
    out.raw("</span></div>");
    if let Some(number) = number {
        out.raw("<div><small>Sheet</small><span>")
            .words(&(number + 1).to_string())
            .raw(" / ")
            .words(&all().len().to_string())
            .raw("</span></div>");
    }
    out.raw("</header>");
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
