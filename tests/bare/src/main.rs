//! A counter: the least that a Leptos page weighs.
use leptos::prelude::*;

fn main() {
    mount_to_body(|| {
        let (count, set_count) = signal(0);
        view! { <button on:click=move |_| *set_count.write() += 1>{count}</button> }
    });
    // Tells the measurements, as the page of Layshaft does, that it can be used.
    if let Some(root) = document().document_element() {
        drop(root.set_attribute("data-ready", "1"));
    }
}
