//! A counter: the least that a Leptos page weighs.
use leptos::prelude::*;

fn main() {
    mount_to_body(|| {
        let (count, set_count) = signal(0);
        view! { <button on:click=move |_| *set_count.write() += 1>{count}</button> }
    });
}
