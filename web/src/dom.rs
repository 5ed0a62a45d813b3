//! The browser's own things under short names, and the signals: what nearly every file of the page needs.

pub use reactive_graph::computed::Memo;
pub use reactive_graph::graph::untrack;
pub use reactive_graph::owner::{LocalStorage, StoredValue, on_cleanup};
pub use reactive_graph::prelude::*;

pub use crate::signal::Signal;

use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{Document, Element, Event, Location, Window};

/// The browser's window.
pub fn window() -> Window {
    js_sys::global().unchecked_into()
}

/// The page in it.
pub fn document() -> Document {
    // A window that runs a page has one.
    JsValue::from(window().document()).unchecked_into()
}

/// Its address.
pub fn location() -> Location {
    window().location()
}

/// The element of this id.
pub fn element(id: &str) -> Option<Element> {
    document().get_element_by_id(id)
}

/// Hears an event of the window for as long as the page is open.
pub fn on_window(event: &str, hear: impl Fn(Event) + 'static) {
    let hear = Closure::<dyn Fn(Event)>::new(hear);
    _ = window().add_event_listener_with_callback(event, hear.as_ref().unchecked_ref());
    hear.forget();
}

/// Something that is to be done later; not done any more once this is dropped.
pub struct Later {
    handle: i32,
    _call: Closure<dyn FnMut()>,
}

impl Drop for Later {
    fn drop(&mut self) {
        window().clear_timeout_with_handle(self.handle);
    }
}

/// Does something after so many milliseconds.
pub fn after(milliseconds: i32, call: impl FnOnce() + 'static) -> Option<Later> {
    let call = Closure::once(call);
    let handle = window()
        .set_timeout_with_callback_and_timeout_and_arguments_0(
            call.as_ref().unchecked_ref(),
            milliseconds,
        )
        .ok()?;
    Some(Later {
        handle,
        _call: call,
    })
}

/// Does something once the page as it stands now has been painted.
pub fn after_paint(call: impl FnOnce() + 'static) {
    let painted = Closure::once_into_js(move || {
        // A frame is painted when its callbacks are over.
        std::mem::forget(after(0, call));
    });
    _ = window().request_animation_frame(painted.unchecked_ref());
}
