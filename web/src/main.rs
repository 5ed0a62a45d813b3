//! The page of Layshaft: draws the sheets that `layshaft_core` declares, keeps machines, works offline.
//!
//! Every page is text made by pure functions ([`markup`]); the signals of Leptos say which part of it to paint anew ([`stage`]).
mod answers;
mod before;
mod chart;
mod checks;
mod dom;
mod drawing;
mod field;
mod figure;
mod files;
mod keys;
mod list;
mod log;
mod machine_page;
mod machine_text;
mod machines;
mod markup;
mod moving;
mod notices;
mod offline;
mod panel;
mod proof;
mod record;
mod route;
mod rows;
mod save;
mod share;
mod sheet;
mod signal;
mod slices;
mod sources;
mod stage;
mod state;
mod storage;
mod study;
mod tabs;
mod tone;
#[cfg(test)]
mod trial;
mod view;
mod working;

use reactive_graph::owner::Owner;

fn main() {
    // Started once, so it cannot have been started before.
    _ = any_spawner::Executor::init_wasm_bindgen();
    let owner = Owner::new();
    // The still page of index.html makes way for the living one.
    owner.with(|| view::start("root"));
    // What it owns lives as long as the page does.
    std::mem::forget(owner);
}
