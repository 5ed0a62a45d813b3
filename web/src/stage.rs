//! A page made of markup that is alive: parts of it follow pure functions, and one listener hears what happens in it.
//!
//! A view of typed elements is compiled once per shape of elements; this is compiled once. The parts are still driven by
//! Leptos' signals: [`paint`] runs again only when a signal it read has changed, and touches the page only when its text
//! has.

use std::cell::RefCell;

use reactive_graph::effect::Effect;
use send_wrapper::SendWrapper;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{Element, Event, HtmlElement, HtmlInputElement};

use crate::dom::{element, on_cleanup};

/// What a page hears. Heard on the way down to the element, since some of these do not come up again.
const HEARD: &[&str] = &[
    "input",
    "change",
    "dragover",
    "drop",
    "click",
    "paste",
    "focusin",
    "focusout",
    "keydown",
    "pointerdown",
    "pointermove",
    "toggle",
];

/// A page before it is shown.
pub struct Stage {
    markup: String,
    start: Box<dyn FnOnce()>,
    hear: Box<dyn Fn(Event)>,
}

/// A page of this markup: `start` is called once it is in sight, and `hear` for every event in it.
pub fn stage(
    markup: String,
    start: impl FnOnce() + 'static,
    hear: impl Fn(Event) + 'static,
) -> Stage {
    Stage {
        markup,
        start: Box::new(start),
        hear: Box::new(hear),
    }
}

impl Stage {
    /// Shows it in the element of this id, until whoever shows it is run again.
    pub fn show(self, place: &str) {
        fill(place, "<div></div>");
        let page = element(place).and_then(|place| place.first_element_child());
        let Some(page) = page else { return };
        page.set_inner_html(&self.markup);
        listen(&page, HEARD, self.hear);
        (self.start)();
    }
}

/// Hears these events in an element until the page is turned.
pub fn listen(within: &Element, events: &'static [&'static str], hear: Box<dyn Fn(Event)>) {
    let hear = Closure::wrap(hear);
    let call = || hear.as_ref().unchecked_ref();
    for event in events {
        _ = within.add_event_listener_with_callback_and_bool(event, call(), true);
    }
    // An element that leaves the page with the focus in it still says so: nobody listens then.
    let held = SendWrapper::new((within.clone(), hear));
    on_cleanup(move || {
        let (within, hear) = &*held;
        for event in events {
            let hear = hear.as_ref().unchecked_ref();
            _ = within.remove_event_listener_with_callback_and_bool(event, hear, true);
        }
    });
}

/// Does something now, and again whenever a signal that it read has changed, until the page is turned.
pub fn follow(act: impl Fn() + 'static) {
    // Boxed, so that the machinery of an effect is compiled once.
    let act: Box<dyn Fn()> = Box::new(act);
    Effect::new(act);
}

/// Keeps the inside of the element of this id equal to what `of` writes, until the page is turned.
pub fn paint(id: impl Into<String>, of: impl Fn() -> String + 'static) {
    let id = id.into();
    keep(Box::new(of), Box::new(move |text| fill(&id, text)));
}

/// Hands `put` what `of` writes, and again whenever that has changed, until the page is turned.
pub fn keep(of: Box<dyn Fn() -> String>, put: Box<dyn Fn(&str)>) {
    let before = RefCell::new(None);
    follow(move || {
        let text = of();
        if before.borrow().as_ref() != Some(&text) {
            put(&text);
            before.replace(Some(text));
        }
    });
}

/// Puts markup into the element of this id.
pub fn fill(id: &str, markup: &str) {
    if let Some(element) = element(id) {
        element.set_inner_html(markup);
    }
}

/// The element that an event came from.
pub fn target(event: &Event) -> Option<Element> {
    event.target()?.dyn_into().ok()
}

/// The nearest element around `element`, or itself, that a selector fits.
pub fn around(element: &Element, selector: &str) -> Option<Element> {
    element.closest(selector).ok().flatten()
}

/// The text of an input or list.
pub fn value(control: &Element) -> String {
    // A list has the same property.
    control.unchecked_ref::<HtmlInputElement>().value()
}

/// All elements inside `within` that a selector fits.
pub fn all(within: &Element, selector: &str) -> Vec<Element> {
    let Ok(found) = within.query_selector_all(selector) else {
        return Vec::new();
    };
    (0..found.length())
        .filter_map(|index| found.get(index))
        .map(JsCast::unchecked_into)
        .collect()
}

/// Gives an element the focus.
pub fn focus(element: &Element) {
    _ = element.unchecked_ref::<HtmlElement>().focus();
}
