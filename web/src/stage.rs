//! A page made of markup that is alive: parts of it follow pure functions, and one listener hears what happens in it.
//!
//! A view of typed elements is compiled once per shape of elements; this is compiled once. The parts are still driven by
//! Leptos' signals: [`paint`] runs again only when a signal it read has changed, and touches the page only when its text
//! has.

use std::cell::RefCell;

use leptos::html::Div;
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{Element, Event, HtmlElement, HtmlInputElement};

/// What a page hears. Heard on the way down to the element, since some of these do not come up again.
const HEARD: [&str; 12] = [
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

/// Shows markup, then calls `start` once it is in the page, and `hear` for every event in it.
pub fn stage(
    markup: String,
    start: impl FnOnce() + 'static,
    hear: impl Fn(Event) + 'static,
) -> AnyView {
    raise(markup, Box::new(start), Closure::new(hear))
}

fn raise(markup: String, start: Box<dyn FnOnce()>, hear: Closure<dyn Fn(Event)>) -> AnyView {
    let root = NodeRef::<Div>::new();
    let listener = StoredValue::new_local((None::<Element>, hear));
    let start = StoredValue::new_local(Some(start));
    follow(move || {
        let Some(element) = root.get() else { return };
        listener.update_value(|(root, hear)| {
            for event in HEARD {
                _ = element.add_event_listener_with_callback_and_bool(
                    event,
                    hear.as_ref().unchecked_ref(),
                    true,
                );
            }
            *root = Some(element.into());
        });
        if let Some(Some(start)) = start.try_update_value(Option::take) {
            start();
        }
    });
    // An element that leaves the page with the focus in it still says so: nobody listens then.
    on_cleanup(move || {
        _ = listener.try_with_value(|(root, hear)| {
            for (root, event) in root
                .iter()
                .flat_map(|root| HEARD.map(|event| (root, event)))
            {
                _ = root.remove_event_listener_with_callback_and_bool(
                    event,
                    hear.as_ref().unchecked_ref(),
                    true,
                );
            }
        });
    });
    view! { <div node_ref=root inner_html=markup></div> }.into_any()
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
    let before = RefCell::new(None);
    follow(move || {
        let text = of();
        if before.borrow().as_ref() != Some(&text) {
            fill(&id, &text);
            before.replace(Some(text));
        }
    });
}

/// Puts markup into the element of this id.
pub fn fill(id: &str, markup: &str) {
    if let Some(element) = document().get_element_by_id(id) {
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
