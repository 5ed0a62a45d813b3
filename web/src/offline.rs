//! What the app says about working offline and about new versions; `offline.js` minds the service worker.

use leptos::prelude::*;
use leptos::web_sys::Event;

use crate::notices::Action;
use crate::state::{Desk, desk};

fn send(event: &str) {
    if let Ok(event) = Event::new(event) {
        _ = window().dispatch_event(&event);
    }
}

/// Has the service worker registered, and listens to what becomes of it.
pub(crate) fn start(desk: Desk) {
    for (event, text, action) in [
        ("layshaft:works-offline", "", None),
        (
            "layshaft:new-version",
            "A new version of this page is ready.",
            Some(Action::TakeOver),
        ),
        (
            "layshaft:other-version",
            "A new version of this page runs in another tab.",
            Some(Action::TakeOver),
        ),
    ] {
        _ = window_event_listener_untyped(event, move |_| match &action {
            Some(action) => desk.tell(text, Some(action.clone())),
            None => desk.works_offline.set(true),
        });
    }
    send("layshaft:open");
}

/// Saves, then loads the page again in its newest version; not while that would lose something.
pub(crate) fn take_over(desk: Desk) {
    if desk.save_now() {
        send("layshaft:take-over");
    } else {
        desk.tell(
            "What you typed is in this tab only. Save it as a file, then close the page: the new version starts when you \
            open it again.",
            Some(Action::ExportAll),
        );
    }
}

/// "Works offline", once it does; for the foot of every page.
#[component]
pub fn OfflineNote() -> impl IntoView {
    let desk = desk();
    view! {
        <span class="offline" data-offline=move || if desk.works_offline.get() { "yes" } else { "no" }>
            {move || if desk.works_offline.get() { "Works offline" } else { "" }}
        </span>
    }
}
