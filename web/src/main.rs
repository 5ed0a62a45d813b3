//! The page of Layshaft: draws the sheets that `layshaft_core` declares, keeps machines, works offline.
//!
//! What is typed into is a Leptos view; what only shows is text made by pure functions of a report ([`markup`]).
mod answers;
mod before;
mod chart;
mod checks;
mod drawing;
mod field;
mod figure;
mod files;
mod keys;
mod list;
mod log;
mod machine_text;
mod machines;
mod markup;
mod notices;
mod offline;
mod panel;
mod route;
mod rows;
mod save;
mod share;
mod sheet;
mod stage;
mod state;
mod storage;
mod view;
mod working;

use leptos::mount::mount_to;
use leptos::prelude::*;
use wasm_bindgen::JsCast;

fn main() {
    // The still page of index.html makes way for the living one.
    let root = document()
        .get_element_by_id("root")
        .and_then(|root| root.dyn_into::<web_sys::HtmlElement>().ok());
    let Some(root) = root else { return };
    root.set_inner_html("");
    mount_to(root, || view! { <view::App /> }).forget();
    if let Some(page) = document().document_element() {
        _ = page.set_attribute("data-ready", "1");
    }
}
