//! How machines reach the browser's storage and come back, with other tabs doing the same.
//!
//! Each record is one key, written whole. A tab remembers what it last saw under each key; when something else stands
//! there at the next writing, both are kept. Records that cannot be read are never written over.

use crate::dom::*;
use layshaft_core::machine::{Machine, Part, RecordFault};
use web_sys::Storage;

use crate::notices::Action;
use crate::state::Desk;
use crate::{keys, log};

/// The id of the record that holds the loose sheets.
pub const LOOSE_ID: &str = "";
/// What the ids of records with entries from before a link was opened begin with.
pub const BEFORE_ID: &str = "before/";

/// How saving stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Saving {
    /// All that was typed is stored.
    Saved,
    /// Stored in a moment.
    Soon,
    /// The storage refused; what was typed is in this tab only.
    Refused,
    /// There is no storage.
    Off,
}

/// A record in memory.
#[derive(Clone, Debug)]
pub struct Held {
    /// Its key, short: see [`key_of`].
    pub id: String,
    /// What it says.
    pub machine: Machine,
    /// The text that this tab last saw under its key.
    pub seen: Option<String>,
    /// What this tab's last writing wrote over, if that is what is seen; empty for nothing.
    pub over: Option<String>,
    /// Whether it changed since.
    pub dirty: bool,
}

/// A record that could not be read.
#[derive(Clone, Debug)]
pub struct Aside {
    /// Its key, short.
    pub id: String,
    /// Its text, as it is stored.
    pub text: String,
    /// Why it could not be read.
    pub fault: RecordFault,
}

/// What was found in the storage.
pub struct Stored {
    /// Whether anything can be stored.
    pub saving: Saving,
    /// What could be read; the loose sheets are always there.
    pub held: Vec<Held>,
    /// What could not.
    pub aside: Vec<Aside>,
}

/// The storage key of a record.
pub(crate) fn key_of(id: &str) -> String {
    match id {
        LOOSE_ID => keys::LOOSE.into(),
        _ if id.starts_with(BEFORE_ID) => [keys::PREFIX, id].concat(),
        _ => [keys::MACHINE, id].concat(),
    }
}

/// The record that a storage key belongs to; `None` for settings and for what is not ours.
pub(crate) fn id_of(key: &str) -> Option<&str> {
    match key {
        keys::LOOSE => Some(LOOSE_ID),
        _ if key.starts_with(keys::BEFORE) => key.strip_prefix(keys::PREFIX),
        _ => key.strip_prefix(keys::MACHINE),
    }
}

/// The browser's storage; `None` where it is blocked or absent.
fn storage() -> Option<Storage> {
    window().local_storage().ok().flatten()
}

/// The text under a key of ours.
pub fn get(key: &str) -> Option<String> {
    storage()?.get_item(key).ok().flatten()
}

/// Stores a text, or removes it when there is none; whether that was done.
pub fn set(key: &str, text: Option<&str>) -> bool {
    let Some(storage) = storage() else {
        return false;
    };
    let done = match text {
        Some(text) => storage.set_item(key, text),
        None => storage.remove_item(key),
    };
    done.is_ok()
}

/// The keys of our records.
pub(crate) fn record_keys() -> Vec<String> {
    let Some(storage) = storage() else {
        return Vec::new();
    };
    let count = storage.length().unwrap_or(0);
    let keys = (0..count).filter_map(|index| storage.key(index).ok().flatten());
    keys.filter(|key| id_of(key).is_some()).collect()
}

/// Reads all records.
pub fn load() -> Stored {
    let mut stored = Stored {
        saving: Saving::Saved,
        held: Vec::new(),
        aside: Vec::new(),
    };
    // A full storage refuses too, but has something in it.
    if !set(keys::PROBE, Some(""))
        && storage().is_none_or(|storage| storage.length().unwrap_or(0) == 0)
    {
        stored.saving = Saving::Off;
    }
    for key in record_keys() {
        let (Some(id), Some(text)) = (id_of(&key), get(&key)) else {
            continue;
        };
        match Machine::read(&text) {
            Ok(machine) => stored.held.push(Held {
                id: id.into(),
                machine,
                seen: Some(text),
                over: None,
                dirty: false,
            }),
            Err(fault) => stored.aside.push(Aside {
                id: id.into(),
                text,
                fault,
            }),
        }
    }
    free_loose_key(&mut stored);
    stored
}

/// Moves damaged loose sheets to a key of their own, so that the next ones can be stored. Those of a newer version stay:
/// another tab may be running it.
fn free_loose_key(stored: &mut Stored) {
    let damaged =
        |aside: &&mut Aside| aside.id == LOOSE_ID && !matches!(aside.fault, RecordFault::Newer(_));
    if let Some(aside) = stored.aside.iter_mut().find(damaged) {
        let id = new_id();
        if set(&key_of(&id), Some(&aside.text)) {
            set(keys::LOOSE, None);
            aside.id = id;
        }
    }
    if !stored.held.iter().any(|held| held.id == LOOSE_ID) {
        stored.held.push(Held {
            id: LOOSE_ID.into(),
            machine: Machine::default(),
            seen: None,
            over: None,
            dirty: false,
        });
    }
    for held in stored.held.iter_mut().filter(|held| held.id == LOOSE_ID) {
        have_loose_part(&mut held.machine);
    }
}

/// The loose sheets are one part, which is there also when nothing was typed yet.
pub(crate) fn have_loose_part(machine: &mut Machine) {
    if machine.parts.is_empty() {
        machine.parts.push(Part::default());
    }
}

/// An id that no record has.
pub fn new_id() -> String {
    loop {
        let text = js_sys::Number::from(js_sys::Math::random()).to_string_with_radix(36);
        let text = text.map(String::from).unwrap_or_default();
        if let Some(id) = text.get(2..10)
            && get(&key_of(id)).is_none()
        {
            return id.into();
        }
    }
}

impl Desk {
    /// Writes what changed, 300 ms after the last change.
    pub(crate) fn save_soon(self) {
        if self.saving.get_untracked() == Saving::Off {
            return;
        }
        self.show_saving(Saving::Soon);
        self.timer.update_value(|timer| timer.restart());
    }

    /// Writes what changed; whether all of it is stored.
    pub fn save_now(self) -> bool {
        if self.saving.get_untracked() == Saving::Off {
            return false;
        }
        self.store_again();
        let changed: Vec<String> = self.held.with_untracked(|held| {
            held.iter()
                .filter(|held| held.dirty)
                .map(|held| held.id.clone())
                .collect()
        });
        // Every one is tried, also after one was refused.
        let mut all = true;
        for id in &changed {
            all &= self.write(id);
        }
        self.show_saving(if all { Saving::Saved } else { Saving::Refused });
        all
    }

    fn show_saving(self, saving: Saving) {
        if self.saving.get_untracked() != saving {
            self.saving.set(saving);
        }
    }

    /// Writes one record, unless another tab wrote it meanwhile; whether what this tab has is stored.
    pub(crate) fn write(self, id: &str) -> bool {
        let Some(held) = self
            .held
            .with_untracked(|held| held.iter().find(|held| held.id == id).cloned())
        else {
            return true;
        };
        let (key, text) = (key_of(id), log::record(&held.machine));
        let now = get(&key);
        if now.is_some() && now != held.seen && now.as_ref() != Some(&text) {
            return self.keep_both(held, now.unwrap_or_default());
        }
        let done = set(&key, Some(&text));
        if done {
            self.mark(id, |held| {
                held.over = Some(now.unwrap_or_default());
                held.seen = Some(text);
                held.dirty = false;
            });
            if is_machine(id) {
                self.ask_to_persist();
            }
        } else {
            self.tell(
                "The browser's storage for this site is full. What you typed stays in this tab only: save it as a file \
                now, then delete what you no longer need.",
                Some(Action::ExportAll),
            );
        }
        done
    }

    /// Notes something about a record that is nothing to repaint for.
    fn mark(self, id: &str, change: impl FnOnce(&mut Held)) {
        self.held.update_untracked(|held| {
            if let Some(held) = held.iter_mut().find(|held| held.id == id) {
                change(held);
            }
        });
    }

    /// Adds a machine, to be written soon; gives its id.
    pub(crate) fn add(self, machine: Machine) -> String {
        let id = new_id();
        self.insert(&id, machine);
        id
    }

    /// Adds a record under an id that is free.
    pub(crate) fn insert(self, id: &str, machine: Machine) {
        self.held.update(|all| {
            all.push(Held {
                id: id.into(),
                machine,
                seen: None,
                over: None,
                dirty: true,
            })
        });
        self.save_soon();
    }

    /// Takes a record away, here and in the storage.
    pub(crate) fn remove(self, id: &str) {
        self.held.update(|all| all.retain(|held| held.id != id));
        set(&key_of(id), None);
    }

    /// Asks the browser not to drop what is stored; once.
    fn ask_to_persist(self) {
        let asked = self.timer.with_value(|timer| timer.persisted);
        if !asked {
            self.timer.update_value(|timer| timer.persisted = true);
            // Fails where the browser knows no such thing; it then keeps data as it likes.
            _ = window().navigator().storage().persist();
        }
    }

    /// Puts a record back that could not be read and was removed.
    pub(crate) fn put_aside_back(self, aside: Aside) {
        set(&key_of(&aside.id), Some(&aside.text));
        self.aside.update(|all| all.push(aside));
    }
}

/// The one timer of the page: restarted at each change, without a new closure.
#[derive(Default)]
pub struct Timer {
    /// What is called when it runs out.
    pub(crate) call: Option<js_sys::Function>,
    handle: i32,
    persisted: bool,
}

impl Timer {
    fn restart(&mut self) {
        let Some(call) = &self.call else { return };
        let window = window();
        window.clear_timeout_with_handle(self.handle);
        let started = window
            .set_timeout_with_callback_and_timeout_and_arguments_0(call, keys::WRITE_AFTER_MS);
        self.handle = started.unwrap_or(0);
    }
}

/// Whether a record is a machine that people saved.
pub fn is_machine(id: &str) -> bool {
    id != LOOSE_ID && !id.starts_with(BEFORE_ID)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_record_has_one_key_and_back() {
        for id in [LOOSE_ID, "k3f9x2ab", "before/travel"] {
            assert_eq!(id_of(&key_of(id)), Some(id));
        }
        for key in [keys::THEME, keys::PROBE, "other/machine/x", "layshaft"] {
            assert_eq!(id_of(key), None, "{key}");
        }
    }
}
