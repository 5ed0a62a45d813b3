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
    for (event, works) in [
        ("layshaft:works-offline", true),
        ("layshaft:needs-network", false),
    ] {
        on_window(event, move |_| desk.works_offline.set(Some(works)));
    }
    for (event, text) in [
        (
            "layshaft:new-version",
            "A new version of this page is ready.",
        ),
        (
            "layshaft:other-version",
            "A new version of this page runs in another tab.",
        ),
    ] {
        on_window(event, move |_| desk.tell(text, Some(Action::TakeOver)));
    }
    follow(move || {
        let (said, words) = match desk.works_offline.get() {
            Some(true) => ("yes", "Works offline"),
            Some(false) => ("no", "Needs a network: this browser has not kept the page"),
            None => ("no", ""),
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
