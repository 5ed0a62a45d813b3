//! A value that the page follows.
//!
//! Leptos' own signal is compiled anew for each type it holds, some 2 KB each; here the part that is followed is one
//! type for all, and the value lies beside it.

use reactive_graph::owner::{LocalStorage, StoredValue};
use reactive_graph::prelude::*;
use reactive_graph::signal::RwSignal;

/// A value; whoever reads it is run again when it changes.
///
/// It lives as long as what made it: the page's own for good, a sheet's until the page is turned.
pub struct Signal<T: 'static> {
    changed: RwSignal<()>,
    value: StoredValue<T, LocalStorage>,
}

impl<T> Clone for Signal<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for Signal<T> {}

impl<T> Signal<T> {
    /// With its first value.
    pub fn new(value: T) -> Self {
        Self {
            changed: RwSignal::new(()),
            value: StoredValue::new_local(value),
        }
    }

    /// Reads it, and is run again when it changes.
    pub fn with<R>(self, read: impl FnOnce(&T) -> R) -> R {
        self.changed.track();
        self.value.with_value(read)
    }

    /// Reads it.
    pub fn with_untracked<R>(self, read: impl FnOnce(&T) -> R) -> R {
        self.value.with_value(read)
    }

    /// Changes it without anything being run again.
    pub fn update_untracked(self, change: impl FnOnce(&mut T)) {
        self.value.update_value(change);
    }

    /// Changes it.
    pub fn update(self, change: impl FnOnce(&mut T)) {
        self.update_untracked(change);
        self.notify();
    }

    /// Gives it another value; one whose page was turned meanwhile stays as it is.
    pub fn set(self, value: T) {
        if self.value.try_set_value(value).is_none() {
            self.notify();
        }
    }

    /// Has everything that read it run again.
    pub fn notify(self) {
        self.changed.notify();
    }
}

impl<T: Clone> Signal<T> {
    /// Its value; whoever asks is run again when it changes.
    pub fn get(self) -> T {
        self.with(T::clone)
    }

    /// Its value.
    pub fn get_untracked(self) -> T {
        self.with_untracked(T::clone)
    }
}
