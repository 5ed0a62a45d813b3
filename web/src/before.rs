//! What a loose sheet held before a link was opened there: kept, also over a reload, until it is brought back or let go.
//!
//! One record per sheet, its parts a stack. Each part has the entries that were there under the sheet's id, and those of
//! the link under [`LINKED`]: a link that was only looked at is not kept when the next one is opened.

use crate::dom::*;
use layshaft_core::machine::{Machine, Part};
use layshaft_core::sheets::{Entries, Sheet};

use crate::notices::{Action, Undo};
use crate::state::{Desk, Place};
use crate::storage::BEFORE_ID;

const LINKED: &str = "linked";

fn id_of(sheet: &Sheet) -> String {
    [BEFORE_ID, sheet.id].concat()
}

impl Desk {
    /// Keeps the entries of a loose sheet aside, as `linked` ones are about to take their place.
    pub(crate) fn keep_before(self, sheet: &'static Sheet, linked: &Entries) {
        let now = untrack(|| self.entries(&Place::Loose, sheet));
        if now.is_empty() || now == *linked {
            return;
        }
        let id = id_of(sheet);
        let only_looked_at = untrack(|| {
            self.machine(&id, |machine| {
                machine?
                    .parts
                    .last()?
                    .entries(LINKED)
                    .map(|last| *last == now)
            })
        });
        if only_looked_at == Some(true) {
            let linked = linked.clone();
            self.edit(&id, |machine| {
                if let Some(part) = machine.parts.last_mut() {
                    part.set(LINKED, linked);
                }
            });
        } else {
            let sheets = vec![(sheet.id.into(), now), (LINKED.into(), linked.clone())];
            self.push_before(
                sheet,
                Part {
                    name: String::new(),
                    sheets,
                },
            );
        }
    }

    /// Puts a set of entries onto the stack of a sheet.
    pub(crate) fn push_before(self, sheet: &'static Sheet, part: Part) {
        let id = id_of(sheet);
        if self.has_before(sheet) {
            self.edit(&id, |machine| machine.parts.push(part));
        } else {
            self.insert(
                &id,
                Machine {
                    name: sheet.title.into(),
                    parts: vec![part],
                },
            );
        }
    }

    /// Whether something is kept aside for a sheet; tracked.
    pub(crate) fn has_before(self, sheet: &Sheet) -> bool {
        self.machine(&id_of(sheet), |machine| machine.is_some())
    }

    /// Takes the last set of entries off the stack of a sheet.
    fn pop_before(self, sheet: &Sheet) -> Option<Part> {
        let id = id_of(sheet);
        let mut popped = None;
        self.edit(&id, |machine| popped = machine.parts.pop());
        if untrack(|| {
            self.machine(&id, |machine| {
                machine.is_some_and(|machine| machine.parts.is_empty())
            })
        }) {
            self.remove(&id);
        }
        popped
    }

    /// Puts back what a loose sheet held before a link was opened, with undo.
    pub(crate) fn bring_back(self, sheet: &'static Sheet) {
        let Some(part) = self.pop_before(sheet) else {
            return;
        };
        let place = Place::Loose;
        let linked = untrack(|| self.entries(&place, sheet));
        self.put(
            &place,
            sheet.id,
            part.entries(sheet.id).cloned().unwrap_or_default(),
        );
        let undo = vec![
            Undo::Entries(place, sheet, Some(linked)),
            Undo::Before(sheet, part),
        ];
        self.tell(
            [sheet.title, ": what was here before the link is back."].concat(),
            Some(Action::Undo(undo)),
        );
    }

    /// Lets go of what a loose sheet held before a link was opened, with undo.
    pub(crate) fn forget_before(self, sheet: &'static Sheet) {
        if let Some(part) = self.pop_before(sheet) {
            let text = [sheet.title, ": what was here before the link is forgotten."].concat();
            self.tell(text, Some(Action::Undo(vec![Undo::Before(sheet, part)])));
        }
    }
}
