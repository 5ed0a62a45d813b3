//! The page of Layshaft.
mod before;
mod files;
mod keys;
mod notices;
mod offline;
mod route;
mod state;
mod storage;

use leptos::prelude::*;

fn main() {
    mount_to_body(|| view! { <p>"Layshaft"</p> });
}
