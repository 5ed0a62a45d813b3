//! Copying and sharing the link of a sheet.

use crate::dom::*;
use layshaft_core::link;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use wasm_bindgen_futures::spawn_local;
use web_sys::HtmlInputElement;

use crate::markup::Markup;
use crate::sheet::Page;
use crate::stage::fill;
use crate::study;

/// The buttons; the second one shows where the device has a share sheet.
pub const BUTTONS: &str = "<div class=acts><button type=button class=main id=copy data-click=copy-link>Copy link</button>\
    <button type=button id=share data-click=share>Share</button></div><div id=copied role=status></div>";

/// The address of the page itself, without what follows `#`.
pub fn site() -> String {
    let here = location().href().unwrap_or_default();
    here.split('#').next().unwrap_or_default().into()
}

/// The address that opens the sheet as it stands, for anybody.
fn address(page: Page) -> String {
    [
        &site(),
        "#",
        &page
            .report
            .with_untracked(|report| link::write_asking(report, &study::asked(report))),
    ]
    .concat()
}

/// Whether the browser's navigator has this: insecure pages and older phones lack some.
pub fn has(part: &str) -> bool {
    js_sys::Reflect::has(&window().navigator(), &JsValue::from_str(part)).unwrap_or(false)
}

/// Takes the share button away where there is nothing to share with.
pub fn start() {
    if !has("share") {
        _ = element("share").map(|button| button.remove());
    }
}

/// Copies the link, or shows it to be copied by hand where the browser does not let the page.
pub fn copy(page: Page) {
    give(
        address(page),
        "The link is copied. It opens this sheet with these entries.",
    );
}

/// Puts a text on the clipboard and says so, or shows it in `copied` to be copied by hand.
pub fn give(text: String, done: &'static str) {
    spawn_local(async move {
        let copied = has("clipboard")
            && JsFuture::from(window().navigator().clipboard().write_text(&text))
                .await
                .is_ok();
        let mut out = Markup::default();
        if copied {
            out.raw("<p>").raw(done).raw("</p>");
        } else {
            out.raw("<label for=link>Copy it from here:</label><textarea id=link readonly rows=2>")
                .words(&text)
                .raw("</textarea>");
        }
        fill("copied", &out.finish());
        if let Some(field) = element("link") {
            // A text area has the same methods.
            let field: &HtmlInputElement = field.unchecked_ref();
            _ = field.focus();
            field.select();
        }
    });
}

/// Hands the link to the phone's own share sheet.
pub fn share(page: Page) {
    let data = web_sys::ShareData::new();
    data.set_title(page.sheet.title);
    data.set_url(&address(page));
    let shared = JsFuture::from(window().navigator().share_with_data(&data));
    // The person may close the share sheet without choosing; that is no fault.
    spawn_local(async move { _ = shared.await });
}
