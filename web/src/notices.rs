//! What the page tells a person besides answers: what happened to their work, and how to take it back.

use crate::dom::*;
use layshaft_core::machine::Part;
use layshaft_core::sheets::{Entries, Sheet};

use crate::markup::Markup;
use crate::offline;
use crate::panel::{button, panel};
use crate::route::Route;
use crate::rows::{Taken, put_back};
use crate::state::{Desk, Place};
use crate::storage::{Aside, LOOSE_ID};

/// One message.
#[derive(Clone, Debug)]
pub struct Notice {
    /// Which one it is, for the list on the page.
    pub id: usize,
    /// What is told.
    pub text: String,
    /// What can be done about it.
    pub action: Option<Action>,
}

/// What a notice offers.
#[derive(Clone, Debug)]
pub enum Action {
    /// To take something back.
    Undo(Vec<Undo>),
    /// To save everything as a file.
    ExportAll,
    /// To load the page in its new version.
    TakeOver,
}

/// One step of taking something back.
#[derive(Clone, Debug)]
pub enum Undo {
    /// A record that was removed, with its id.
    Record(String, layshaft_core::machine::Machine),
    /// A record that could not be read and was removed.
    Aside(Aside),
    /// A part that was removed from a machine, with its index.
    Part(String, usize, Part),
    /// A sheet's entries as they were; `None` when the part did not have the sheet.
    Entries(Place, &'static Sheet, Option<Entries>),
    /// A row that was taken out of an entry of this key.
    Row(Place, &'static Sheet, &'static str, Taken),
    /// A set of entries from before a link was opened, of a loose sheet.
    Before(&'static Sheet, Part),
}

/// All messages that are shown.
#[derive(Clone, Debug, Default)]
pub struct Notices {
    count: usize,
    list: Vec<Notice>,
}

impl Notices {
    /// Shows a message; the same words are not shown twice.
    fn add(&mut self, text: String, action: Option<Action>) {
        self.list.retain(|notice| notice.text != text);
        self.count = self.count.wrapping_add(1);
        self.list.push(Notice {
            id: self.count,
            text,
            action,
        });
    }

    /// Takes a message away.
    fn remove(&mut self, id: usize) -> Option<Notice> {
        let at = self.list.iter().position(|notice| notice.id == id)?;
        Some(self.list.remove(at))
    }

    /// On another page only what can still be acted on stays.
    pub(crate) fn turn_page(&mut self) {
        self.list.retain(|notice| notice.action.is_some());
    }
}

impl Action {
    /// The words on its button.
    const fn label(&self) -> &'static str {
        match self {
            Self::Undo(_) => "Undo",
            Self::ExportAll => "Save all as a file",
            Self::TakeOver => "Start the new version",
        }
    }
}

impl Desk {
    /// Tells the person something.
    pub fn tell(self, text: impl Into<String>, action: Option<Action>) {
        let text = text.into();
        self.notices.update(|notices| notices.add(text, action));
    }

    fn act(self, id: usize) {
        let mut notice = None;
        self.notices.update(|notices| notice = notices.remove(id));
        match notice.and_then(|notice| notice.action) {
            Some(Action::Undo(steps)) => steps.into_iter().for_each(|step| self.undo(step)),
            Some(Action::ExportAll) => self.export_all(),
            Some(Action::TakeOver) => offline::take_over(self),
            None => {}
        }
    }

    pub(crate) fn undo(self, step: Undo) {
        match step {
            Undo::Record(id, machine) => self.insert(&id, machine),
            Undo::Aside(aside) => self.put_aside_back(aside),
            Undo::Part(machine, at, part) => self.edit(&machine, |machine| {
                let at = at.min(machine.parts.len());
                machine.parts.insert(at, part);
            }),
            Undo::Entries(place, sheet, entries) => self.edit_part(&place, |part| match entries {
                Some(entries) => part.set(sheet.id, entries),
                None => part.sheets.retain(|(id, _)| id != sheet.id),
            }),
            Undo::Row(place, sheet, key, Taken { at, row }) => {
                let entries = untrack(|| self.entries(&place, sheet));
                let text = put_back(entries.get(key).unwrap_or(""), at, row);
                self.set(&place, sheet, key, &text);
            }
            Undo::Before(sheet, part) => self.push_before(sheet, part),
        }
    }
}

/// The text of all messages, and of the offer to bring back what a loose sheet held before a link was opened there.
fn text(notices: &Notices, before: bool) -> String {
    let mut out = Markup::default();
    for notice in &notices.list {
        let number = notice.id.to_string();
        out.raw("<div class=notice><p>")
            .words(&notice.text)
            .raw("</p><div class=acts>");
        if let Some(action) = &notice.action {
            button(&mut out, &["act ", &number].concat(), action.label());
        }
        button(&mut out, &["close ", &number].concat(), "Close");
        out.raw("</div></div>");
    }
    if before {
        out.raw("<div class=notice><p>A link was opened here. What stood in this sheet before is kept.</p><div class=acts>");
        button(&mut out, "bring-back", "Bring back what was here");
        button(&mut out, "forget", "Forget it");
        out.raw("</div></div>");
    }
    out.finish()
}

/// The messages, and what is kept aside for the loose sheet on the page; for the top of every page.
pub fn start(desk: Desk) {
    let sheet = move || match desk.route.get() {
        Route::Sheet(place, sheet) if place.id() == LOOSE_ID && desk.has_before(sheet) => {
            Some(sheet)
        }
        _ => None,
    };
    let text = move || {
        let before = sheet().is_some();
        desk.notices.with(|notices| text(notices, before))
    };
    panel("notices", text, move |act| {
        match (act.word.as_str(), untrack(sheet)) {
            ("act", _) => desk.act(act.number()),
            ("close", _) => desk
                .notices
                .update(|notices| _ = notices.remove(act.number())),
            ("bring-back", Some(sheet)) => desk.bring_back(sheet),
            ("forget", Some(sheet)) => desk.forget_before(sheet),
            _ => {}
        }
    });
}
