//! The page of Layshaft.
use leptos::prelude::*;

fn main() {
    mount_to_body(|| view! { <p>"Layshaft"</p> });
}
