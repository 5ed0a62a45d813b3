//! What other tabs of the same browser do to the records meanwhile.
//!
//! A tab that only looks takes over what another one wrote. What both wrote is kept twice, and so is what only this tab
//! has: a log too long to be stored.

use crate::dom::*;
use layshaft_core::machine::Machine;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{Event, StorageEvent};

use crate::files::loose_machine;
use crate::route::Route;
use crate::state::{Desk, Place};
use crate::storage::{
    Aside, Held, LOOSE_ID, get, have_loose_part, id_of, key_of, record_keys, set,
};
use crate::{keys, log};

impl Desk {
    /// Another tab's version of a record stays under its key; ours becomes a machine of its own.
    pub(crate) fn keep_both(self, ours: Held, theirs: String) -> bool {
        let old = ours.id;
        self.take(&old, Some(theirs));
        let (new, name) = self.add_from(&old, ours.machine, " (from this tab)");
        self.follow_to(&old, &new);
        let done = self.write(&new);
        self.tell(
            [
                "Another tab changed this too. Both are kept: what you typed here is now “",
                &name,
                "”.",
            ]
            .concat(),
            None,
        );
        done
    }

    /// The page of one record, if it is open, becomes that of another.
    fn follow_to(self, old: &str, new: &str) {
        let moved = self.route.with_untracked(|route| match route {
            Route::Sheet(place, sheet) if place.id() == old => Some(Route::Sheet(
                Place::Part {
                    machine: new.into(),
                    part: place.part(),
                },
                sheet,
            )),
            Route::Machine(id) if id == old => Some(Route::Machine(new.into())),
            _ => None,
        });
        if let Some(route) = moved {
            self.replace(route);
        }
    }

    /// Keeps another tab's version that this tab wrote over: of two that write in the same moment neither sees the other.
    fn keep_overwritten(self, id: &str, theirs: &str) {
        let now = get(&key_of(id));
        let lost = self.held.with_untracked(|all| {
            let held = all.iter().find(|held| held.id == id)?;
            let over = held.over.as_deref()?;
            (held.seen == now && now.as_deref() != Some(theirs) && over != theirs).then_some(())
        });
        if lost.is_some()
            && let Ok(machine) = Machine::read(theirs)
        {
            let (_, name) = self.add_from(id, machine, " (from another tab)");
            self.tell(
                [
                    "Another tab changed this too. Both are kept: its version is now “",
                    &name,
                    "”.",
                ]
                .concat(),
                None,
            );
        }
    }

    /// Adds a version of a record as a machine of its own; gives its id and its name.
    fn add_from(self, id: &str, mut machine: Machine, whence: &str) -> (String, String) {
        if id == LOOSE_ID {
            machine = loose_machine(machine);
        }
        machine.name += whence;
        let name = machine.name.clone();
        (self.add(machine), name)
    }

    /// Takes over what stands in the storage; the logs that only this tab has stay, in their places or in a machine of their
    /// own, to which the page then goes.
    fn take_beside_logs(self, id: &str, now: Option<String>) {
        let ours = self.held.with_untracked(|all| {
            let held = all.iter().find(|held| held.id == id)?;
            log::any_unsaved(&held.machine).then(|| held.clone())
        });
        let Some(ours) = ours else {
            return self.take(id, now);
        };
        let read = |text: &Option<String>| Machine::read(text.as_deref().unwrap_or("")).ok();
        let merged = read(&now)
            .zip(read(&ours.seen))
            .and_then(|(mut theirs, seen)| {
                log::keep(&mut theirs, &ours.machine, &seen).then_some(theirs)
            });
        match merged {
            Some(machine) => self.put_held(Held {
                machine,
                seen: now,
                over: None,
                ..ours
            }),
            None => {
                self.take(id, now);
                let (new, name) = self.add_from(id, ours.machine, " (from this tab)");
                self.follow_to(id, &new);
                self.tell(
                    [
                        "Another tab changed this. A log here was too long to be saved: it is now in “",
                        &name,
                        "”.",
                    ]
                    .concat(),
                    None,
                );
            }
        }
    }

    /// After the site's data was cleared, by a person, the browser or a neighbour on the host, what this tab holds is to be
    /// written anew; whether that was so. A machine that another tab deletes leaves the other keys.
    pub(crate) fn store_again(self) -> bool {
        let was_stored = || {
            self.held
                .with_untracked(|all| all.iter().any(|held| held.seen.is_some()))
        };
        if get(keys::PROBE).is_some() || !record_keys().is_empty() || !was_stored() {
            return false;
        }
        set(keys::PROBE, Some(""));
        self.aside.with_untracked(|all| {
            for aside in all {
                set(&key_of(&aside.id), Some(&aside.text));
            }
        });
        self.held.update_untracked(|all| {
            for held in all.iter_mut().filter(|held| held.seen.is_some()) {
                held.seen = None;
                held.over = None;
                held.dirty = true;
            }
        });
        self.tell(
            "This site's data was cleared in this browser. What this tab holds is stored again: delete on the machine's page \
            what is to go.",
            None,
        );
        true
    }

    /// Puts a record in the place of the one of its id.
    fn put_held(self, new: Held) {
        self.held.update(|all| {
            all.retain(|held| held.id != new.id);
            all.push(new);
        });
    }

    /// Takes over what stands in the storage under a record's key.
    fn take(self, id: &str, now: Option<String>) {
        self.aside
            .update(|aside| aside.retain(|aside| aside.id != id));
        let read = now.as_deref().map(Machine::read);
        if let (Some(Err(fault)), Some(text)) = (&read, &now) {
            let aside = Aside {
                id: id.into(),
                text: text.clone(),
                fault: *fault,
            };
            self.aside.update(|all| all.push(aside));
        }
        let (mut machine, seen) = match read {
            Some(Ok(machine)) => (machine, now),
            _ if id == LOOSE_ID => (Machine::default(), None),
            _ => return self.held.update(|all| all.retain(|held| held.id != id)),
        };
        if id == LOOSE_ID {
            have_loose_part(&mut machine);
        }
        self.put_held(Held {
            id: id.into(),
            machine,
            seen,
            over: None,
            dirty: false,
        });
    }

    /// Looks whether another tab changed a record.
    fn look_again(self, id: &str) {
        let now = get(&key_of(id));
        let known = self.held.with_untracked(|all| {
            all.iter().find(|held| held.id == id).map(|held| {
                // What was typed here and is not written yet meets the other version at its writing.
                held.dirty || held.seen == now
            })
        });
        let aside = self.aside.with_untracked(|all| {
            all.iter()
                .find(|aside| aside.id == id)
                .map(|aside| Some(&aside.text) == now.as_ref())
        });
        if known.or(aside).unwrap_or(now.is_none()) {
            return;
        }
        let old = self.part_shown(id);
        self.take_beside_logs(id, now);
        let open = self
            .route
            .with_untracked(|route| matches!(route, Route::Sheet(place, _) if place.id() == id));
        if open && old != self.part_shown(id) {
            // The part on the page went, or another took its number.
            let gone = untrack(|| self.machine(id, |machine| machine.is_none()));
            self.replace(if gone {
                Route::Machines
            } else {
                Route::Machine(id.into())
            });
            self.tell(
                "Another tab changed this machine; its parts are listed here as they are now.",
                None,
            );
        }
    }

    /// The name of the part on the page, if it is one of this machine.
    fn part_shown(self, id: &str) -> Option<String> {
        let Route::Sheet(place, _) = self.route.get_untracked() else {
            return None;
        };
        (place.id() == id)
            .then(|| untrack(|| self.names(&place)))
            .flatten()
            .map(|(_, part)| part)
    }

    /// Writes when the page is put away, and reads when another tab wrote.
    pub(crate) fn watch_storage(self) {
        let write = Closure::<dyn Fn()>::new(move || _ = self.save_now());
        self.timer
            .update_value(|timer| timer.call = Some(write.into_js_value().unchecked_into()));
        let put_away = move |_: Event| {
            if document().hidden() {
                self.save_now();
            } else {
                self.look_at_all();
            }
        };
        on_window("visibilitychange", put_away);
        on_window("pagehide", move |_| _ = self.save_now());
        // Also after the browser kept the page asleep: it heard nothing meanwhile.
        on_window("pageshow", move |_| self.look_at_all());
        on_window("storage", move |event| {
            let event: StorageEvent = event.unchecked_into();
            let key = event.key();
            match key.as_deref().map(id_of) {
                Some(Some(id)) => {
                    if let Some(theirs) = event.new_value() {
                        self.keep_overwritten(id, &theirs);
                    }
                    self.look_again(id);
                }
                Some(None) => {}
                None => self.look_at_all(),
            }
        });
    }

    fn look_at_all(self) {
        if self.store_again() {
            self.save_soon();
        }
        let mut ids: Vec<String> = record_keys()
            .iter()
            .filter_map(|key| id_of(key).map(Into::into))
            .collect();
        self.held
            .with_untracked(|held| ids.extend(held.iter().map(|held| held.id.clone())));
        self.aside
            .with_untracked(|aside| ids.extend(aside.iter().map(|aside| aside.id.clone())));
        for id in ids {
            self.look_again(&id);
        }
    }
}
