//! What the page holds while it is open: the machines, the loose sheets, where the person is, and what to tell them.
//!
//! Everything is in memory first and written down 300 ms later ([`crate::storage`]), so that the page works where
//! nothing can be saved.

use std::sync::Arc;

use crate::dom::*;
use layshaft_core::link;
use layshaft_core::machine::moving::START;
use layshaft_core::machine::{Machine, Part};
use layshaft_core::sheets::{Entries, Report, Sheet};

use crate::notices::{Action, Notices, Undo};
use crate::offline;
use crate::route::{self, Asked, Route};
use crate::slices::Slices;
use crate::storage::{self, Aside, Held, LOOSE_ID, Saving, Timer};

/// Where a sheet's entries live.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Place {
    /// In no machine.
    Loose,
    /// In a part of a saved machine.
    Part {
        /// The machine's id.
        machine: String,
        /// Which of its parts, from 0.
        part: usize,
    },
}

impl Place {
    /// The id of the record the entries are in.
    pub fn id(&self) -> &str {
        match self {
            Self::Loose => LOOSE_ID,
            Self::Part { machine, .. } => machine,
        }
    }

    /// Which part of that record.
    pub const fn part(&self) -> usize {
        match self {
            Self::Loose => 0,
            Self::Part { part, .. } => *part,
        }
    }

    /// The address of a sheet here, with the `#`.
    pub fn href(&self, sheet: &Sheet) -> String {
        match self {
            Self::Loose => ["#", sheet.id].concat(),
            Self::Part { machine, part } => {
                ["#m/", machine, "/", &part.to_string(), "/", sheet.id].concat()
            }
        }
    }
}

/// The page's state: signals only, made at the root, handed down.
#[derive(Clone, Copy)]
pub struct Desk {
    /// The page that is open.
    pub route: Signal<Route>,
    /// What is being told.
    pub notices: Signal<Notices>,
    /// How saving stands.
    pub saving: Signal<Saving>,
    /// Whether the page works with the server gone; `None` until that is known.
    pub works_offline: Signal<Option<bool>>,
    /// The loose sheets and every machine that could be read.
    pub(crate) held: Signal<Vec<Held>>,
    /// Records that could not be read.
    pub(crate) aside: Signal<Vec<Aside>>,
    /// Runs out when it is time to write.
    pub(crate) timer: StoredValue<Timer, LocalStorage>,
}

impl Desk {
    /// Loads what is stored, opens what the address asks for, and from then on follows address and storage.
    ///
    /// To be called once, at the root of the page.
    pub fn open() -> Self {
        let stored = storage::load();
        let desk = Self {
            route: Signal::new(Route::List),
            notices: Signal::new(Notices::default()),
            saving: Signal::new(stored.saving),
            works_offline: Signal::new(None),
            held: Signal::new(stored.held),
            aside: Signal::new(stored.aside),
            timer: StoredValue::new_local(Timer::default()),
        };
        desk.watch_storage();
        desk.watch_codes();
        offline::start(desk);
        let follow = move || {
            let fragment = location().hash().unwrap_or_default();
            desk.follow(fragment.strip_prefix('#').unwrap_or(""));
        };
        follow();
        if stored.saving == Saving::Off {
            desk.tell(
                "This browser saves nothing for this page. Everything works, but only until the page is closed: \
                copy the link of a sheet, or keep machines as files.",
                None,
            );
        }
        on_window("hashchange", move |_| follow());
        desk
    }

    fn follow(self, fragment: &str) {
        self.notices.update(Notices::turn_page);
        if fragment == "example" {
            return self.open_example();
        }
        match route::read(fragment) {
            // A part that is not there has nowhere to keep what is typed; its machine's page says so.
            Asked::Page(Route::Sheet(place, _)) if !untrack(|| self.has(&place)) => {
                self.replace(Route::Machine(place.id().into()));
            }
            Asked::Page(route) => {
                self.route.set(route);
                if let Some(key) = fragment.split('/').nth(4) {
                    begin_with(key);
                }
            }
            Asked::Link if fragment.starts_with(START) => self.open_machine(fragment),
            Asked::Link => self.open_link(fragment),
        }
    }

    /// Goes to a page.
    pub fn go(self, route: &Route) {
        _ = location().set_hash(&route.href());
    }

    /// Shows a page in place of the present one, without a step in the browser's history.
    pub(crate) fn replace(self, route: Route) {
        if let Ok(history) = window().history() {
            _ = history.replace_state_with_url(
                &wasm_bindgen::JsValue::NULL,
                "",
                Some(&route.href()),
            );
        }
        self.route.set(route);
    }

    /// Opens a link in the loose sheets; what was there before is kept aside.
    pub fn open_link(self, text: &str) {
        let opened = link::read(text);
        let Some(sheet) = opened.sheet else {
            self.route.set(Route::Unknown(text.into()));
            for fault in &opened.faults {
                self.tell(fault.message(), None);
            }
            return;
        };
        let place = Place::Loose;
        let mut entries = opened.entries;
        opened.asked.keep_in(&mut entries);
        // A design that is pinned here is held beside what the link brings.
        if opened.asked.pin.is_empty()
            && let Some(pin) = untrack(|| self.entries(&place, sheet)).get("pin")
        {
            entries.set("pin", pin);
        }
        self.keep_before(sheet, &entries);
        self.put(&place, sheet.id, entries);
        let route = Route::Sheet(place, sheet);
        // Where nothing is saved the link stays in the address, so that a reload opens it again.
        if self.save_now() {
            self.replace(route)
        } else {
            self.route.set(route)
        }
        for fault in &opened.faults {
            self.tell(fault.message(), None);
        }
    }

    /// The entries of a sheet; tracked.
    pub fn entries(self, place: &Place, sheet: &Sheet) -> Entries {
        self.part(place, |part| {
            part.and_then(|part| part.entries(sheet.id))
                .cloned()
                .unwrap_or_default()
        })
    }

    /// Keeps what was typed.
    pub fn set(self, place: &Place, sheet: &Sheet, key: &str, text: &str) {
        self.edit_part(place, |part| {
            let mut entries = part.entries(sheet.id).cloned().unwrap_or_default();
            entries.set(key, text);
            part.set(sheet.id, entries);
        });
    }

    /// Replaces all entries of a sheet.
    pub(crate) fn put(self, place: &Place, sheet: &str, entries: Entries) {
        let mut entries = Some(entries);
        self.edit_part(place, |part| {
            part.set(sheet, entries.take().unwrap_or_default())
        });
    }

    /// Clears a sheet, with undo.
    pub fn clear(self, place: &Place, sheet: &'static Sheet) {
        let old = untrack(|| self.entries(place, sheet));
        self.put(place, sheet.id, Entries::new());
        let text = [sheet.title, ": all entries are cleared."].concat();
        self.tell(
            text,
            Some(Action::Undo(vec![Undo::Entries(
                place.clone(),
                sheet,
                Some(old),
            )])),
        );
    }

    /// What the sheet says about its entries; worked out again whenever the machine's entries change, and when its work in
    /// slices is done.
    pub fn report(self, place: Place, sheet: &'static Sheet, slices: Slices) -> Memo<Arc<Report>> {
        Memo::new_with_compare(
            move |before: Option<&Arc<Report>>| {
                // What is done belongs to the entries as they are: any change of them begins anew.
                let done = slices.take();
                Arc::new(self.machine(place.id(), |machine| {
                    done.unwrap_or_else(|| report(machine, &place, sheet, before.map(Arc::as_ref)))
                }))
            },
            |_, _| true,
        )
    }

    /// The same report with all its work still to do.
    pub fn begun(self, place: &Place, sheet: &'static Sheet) -> Report {
        untrack(|| self.machine(place.id(), |machine| report(machine, place, sheet, None)))
    }

    /// Whether a place is there; tracked.
    fn has(self, place: &Place) -> bool {
        self.part(place, |part| part.is_some())
    }

    /// The names of machine and part, for the title block; `None` for the loose sheets; tracked.
    pub fn names(self, place: &Place) -> Option<(String, String)> {
        let Place::Part { machine, part } = place else {
            return None;
        };
        self.machine(machine, |machine| {
            let machine = machine?;
            Some((machine.name.clone(), machine.parts.get(*part)?.name.clone()))
        })
    }

    /// Reads a machine; tracked.
    pub(crate) fn machine<T>(self, id: &str, read: impl FnOnce(Option<&Machine>) -> T) -> T {
        self.held.with(|held| {
            read(
                held.iter()
                    .find(|held| held.id == id)
                    .map(|held| &held.machine),
            )
        })
    }

    /// Reads a part; tracked.
    pub(crate) fn part<T>(self, place: &Place, read: impl FnOnce(Option<&Part>) -> T) -> T {
        self.machine(place.id(), |machine| {
            read(machine.and_then(|machine| machine.parts.get(place.part())))
        })
    }

    /// Changes a machine, and has it written.
    pub(crate) fn edit(self, id: &str, change: impl FnOnce(&mut Machine)) {
        self.edit_quietly(id, change);
        self.held.notify();
    }

    /// The same without anything being drawn again.
    pub(crate) fn edit_quietly(self, id: &str, change: impl FnOnce(&mut Machine)) {
        self.held.update_untracked(|held| {
            if let Some(held) = held.iter_mut().find(|held| held.id == id) {
                change(&mut held.machine);
                held.dirty = true;
            }
        });
        self.save_soon();
    }

    /// Changes a part, and has it written.
    pub(crate) fn edit_part(self, place: &Place, change: impl FnOnce(&mut Part)) {
        self.edit(place.id(), |machine| {
            if let Some(part) = machine.parts.get_mut(place.part()) {
                change(part);
            }
        });
    }
}

/// Brings an entry or answer of the page that is about to be shown into sight, and gives it the focus.
fn begin_with(key: &str) {
    let ids = ["f-", "w-", "x-"].map(|before| [before, key].concat());
    let answer = ["[data-answer=\"", key, "\"]"].concat();
    after_paint(move || {
        let found = ids.iter().find_map(|id| element(id));
        let found = found.or_else(|| document().query_selector(&answer).ok().flatten());
        if let Some(found) = found {
            found.scroll_into_view();
            crate::stage::focus(&found);
        }
    });
}

fn report(
    machine: Option<&Machine>,
    place: &Place,
    sheet: &'static Sheet,
    before: Option<&Report>,
) -> Report {
    let part = place.part();
    match machine.filter(|machine| part < machine.parts.len()) {
        Some(machine) => machine.report_after(part, sheet, before),
        None => sheet.run(&Entries::new()),
    }
}

/// A name as it is kept: trimmed, without line ends or other control characters; `None` when empty.
pub fn tidy_name(text: &str) -> Option<String> {
    let text: String = text.chars().filter(|c| !c.is_control()).collect();
    let text = text.trim();
    (!text.is_empty()).then(|| text.into())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_trimmed_and_kept_as_text() {
        assert_eq!(tidy_name("  Heron 160 \n").as_deref(), Some("Heron 160"));
        assert_eq!(
            tidy_name("<script>alert(1)</script>").as_deref(),
            Some("<script>alert(1)</script>")
        );
        assert_eq!(tidy_name(" \t "), None);
    }
}
