//! Copying and sharing the link of a sheet.

use layshaft_core::link;
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::JsFuture;

use crate::sheet::Page;

/// How copying went.
#[derive(Clone, PartialEq)]
enum Copied {
    /// Nothing copied yet.
    Not,
    /// The link is in the clipboard.
    Done,
    /// The browser does not let the page write there; the person copies it from a field.
    ByHand(String),
}

/// The address that opens the sheet as it stands, for anybody.
fn address(page: Page) -> String {
    let here = location().href().unwrap_or_default();
    let here = here.split('#').next().unwrap_or_default();
    [here, "#", &page.report.with_untracked(|report| link::write(report))].concat()
}

/// Whether the browser's navigator has this call: insecure pages and older phones lack some.
fn has(call: &str) -> bool {
    js_sys::Reflect::has(&window().navigator(), &JsValue::from_str(call)).unwrap_or(false)
}

/// The buttons, and what became of the click.
#[component]
pub fn ShareButtons(page: Page) -> impl IntoView {
    let copied = RwSignal::new(Copied::Not);
    let copy = move |_| {
        let link = address(page);
        spawn_local(async move {
            let done = has("clipboard") && JsFuture::from(window().navigator().clipboard().write_text(&link)).await.is_ok();
            copied.try_set(if done { Copied::Done } else { Copied::ByHand(link) });
        });
    };
    let share = move |_| {
        let data = web_sys::ShareData::new();
        data.set_title(page.sheet.title);
        data.set_url(&address(page));
        // The person may close the share sheet without choosing; that is no fault.
        let shared = JsFuture::from(window().navigator().share_with_data(&data));
        spawn_local(async move { _ = shared.await });
    };
    view! {
        <div class="acts">
            <button type="button" class="main" id="copy" on:click=copy>"Copy link"</button>
            {has("share").then(|| view! { <button type="button" on:click=share>"Share"</button> })}
        </div>
        <div role="status">
            {move || match copied.get() {
                Copied::Not => None,
                Copied::Done => Some(view! { <p class="done">"The link is copied. It opens this sheet with these entries."</p> }.into_any()),
                Copied::ByHand(link) => Some(by_hand(link)),
            }}
        </div>
    }
}

/// A field to copy the link from, selected.
fn by_hand(link: String) -> AnyView {
    let field = NodeRef::<leptos::html::Input>::new();
    field.on_load(|field| {
        _ = field.focus();
        field.select();
    });
    view! {
        <label class="done" for="link">"Copy the link from here:"</label>
        <input id="link" class="link" readonly node_ref=field value=link />
    }
    .into_any()
}
