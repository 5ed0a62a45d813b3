//! What the app says about working offline and about new versions; `offline.js` minds the service worker.

use crate::dom::*;
use web_sys::Event;

use crate::notices::Action;
use crate::stage::{fill, follow};
use crate::state::Desk;

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
        on_window(event, move |_| match &action {
            Some(action) => desk.tell(text, Some(action.clone())),
            None => desk.works_offline.set(true),
        });
    }
    follow(move || {
        let (said, words) = if desk.works_offline.get() {
            ("yes", "Works offline")
        } else {
            ("no", "")
        };
        fill("offline", words);
        _ = element("offline").map(|note| note.set_attribute("data-offline", said));
    });
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
