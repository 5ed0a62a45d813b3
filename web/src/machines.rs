//! The pages of the saved machines: all of them, and one with its parts.

use crate::dom::*;
use layshaft_core::machine::{Machine, Part};
use layshaft_core::sheets::{self, Sheet};
use wasm_bindgen::JsCast;
use web_sys::HtmlInputElement;

use crate::notices::{Action, Undo};
use crate::panel::{Act, panel};
use crate::route::Route;
use crate::state::{Desk, Place};
use crate::storage::{Aside, is_machine};
use crate::{machine_page, machine_text, moving, share};

impl Desk {
    /// Every machine's id and name, by name; tracked.
    pub(crate) fn machine_names(self) -> Vec<(String, String)> {
        let mut names: Vec<_> = self.held.with(|all| {
            let machines = all.iter().filter(|held| is_machine(&held.id));
            machines
                .map(|held| (held.id.clone(), held.machine.name.clone()))
                .collect()
        });
        names.sort_unstable_by_key(|(_, name)| name.to_ascii_lowercase());
        names
    }

    /// Adds a machine, and opens its page.
    fn add_and_open(self, mut machine: Machine) {
        machine.name = self.free_name(&machine.name);
        let id = self.add(machine);
        self.go(&Route::Machine(id));
    }

    /// Deletes a machine, with undo.
    fn delete(self, id: &str) {
        let Some(machine) = untrack(|| self.machine(id, |machine| machine.cloned())) else {
            return;
        };
        self.remove(id);
        self.replace(Route::Machines);
        self.deleted(&machine.name, Undo::Record(id.into(), machine.clone()));
    }

    /// Deletes a record that could not be read, with undo.
    fn delete_aside(self, aside: Aside) {
        self.aside
            .update(|all| all.retain(|other| other.id != aside.id));
        self.remove(&aside.id);
        self.deleted("The record that could not be read", Undo::Aside(aside));
    }

    /// Takes a part out of a machine, with undo.
    fn delete_part(self, id: &str, at: usize) {
        let mut gone = None;
        self.edit(id, |machine| {
            if at < machine.parts.len() {
                gone = Some(machine.parts.remove(at));
            }
        });
        if let Some(part) = gone {
            self.deleted(&part.name, Undo::Part(id.into(), at, part.clone()));
        }
    }

    /// Puts a copy of a part behind it.
    fn copy_part(self, id: &str, at: usize) {
        self.edit(id, |machine| {
            if let Some(mut part) = machine.parts.get(at).cloned() {
                part.name += " (copy)";
                machine.parts.insert(at + 1, part);
            }
        });
    }

    /// Takes a sheet out of a part, with undo.
    fn delete_sheet(self, place: Place, sheet: &'static Sheet) {
        let old = untrack(|| self.entries(&place, sheet));
        self.edit_part(&place, |part| part.sheets.retain(|(id, _)| id != sheet.id));
        self.deleted(sheet.title, Undo::Entries(place, sheet, Some(old)));
    }

    fn deleted(self, what: &str, undo: Undo) {
        self.tell(
            [what, " is deleted."].concat(),
            Some(Action::Undo(vec![undo])),
        );
    }

    /// Keeps a name while it is typed, and shows it in the heading; nothing else is drawn again.
    fn rename(self, id: &str, heading: &str, name: String, part: Option<usize>) {
        if let Some(heading) = element(heading) {
            heading.set_text_content(Some(&name));
        }
        self.edit_quietly(id, |machine| match part {
            None => machine.name = name,
            Some(at) => {
                if let Some(part) = machine.parts.get_mut(at) {
                    part.name = name;
                }
            }
        });
    }

    /// Does what a control of the page of all machines sends.
    fn act_on_machines(self, act: &Act) {
        let aside = || {
            self.aside
                .with_untracked(|all| all.iter().find(|aside| aside.id == act.about).cloned())
        };
        match act.word.as_str() {
            "add-machine" => {
                if let Some(name) = act.name_of("new-machine") {
                    self.add_and_open(Machine {
                        name,
                        parts: Vec::new(),
                    });
                }
            }
            "name" => _ = act.name(),
            "export-all" => self.export_all(),
            "scan" => moving::scan(),
            "export-aside" => _ = aside().map(|aside| self.export_aside(&aside)),
            "delete-aside" => _ = aside().map(|aside| self.delete_aside(aside)),
            "import" => {
                let input: &HtmlInputElement = act.control.unchecked_ref();
                if let Some(file) = input.files().and_then(|files| files.get(0)) {
                    self.import(file);
                }
                // So that the same file can be chosen again.
                input.set_value("");
            }
            _ => {}
        }
    }

    /// Does what a control of a machine's page sends.
    fn act_on_machine(self, id: &str, act: &Act) {
        match act.word.as_str() {
            "name" => {
                if let Some(name) = act.name() {
                    self.rename(id, "machine-title", name, None);
                }
            }
            "part-name" => {
                if let Some(name) = act.name() {
                    self.rename(
                        id,
                        &["part-title-", &act.about].concat(),
                        name,
                        Some(act.number()),
                    );
                }
            }
            "new-part" => _ = act.name(),
            "add-part" => {
                if let Some(name) = act.name_of("new-part") {
                    act.done();
                    self.edit(id, |machine| {
                        machine.parts.push(Part {
                            name,
                            sheets: Vec::new(),
                        })
                    });
                }
            }
            "copy" => {
                if let Some(machine) = untrack(|| self.machine(id, |machine| machine.cloned())) {
                    self.add_and_open(machine);
                }
            }
            "copy-link" | "show-code" => match self.machine_address(id) {
                None => self.tell(
                    "The machine holds too much for a link: save it as a file.",
                    None,
                ),
                Some(link) if act.word == "copy-link" => {
                    share::give(link, "The link is copied. It opens this machine as a copy.");
                }
                Some(link) => moving::show(&link, act.about.parse().unwrap_or(0)),
            },
            "export" => self.export(id),
            "delete" => self.delete(id),
            "copy-part" => self.copy_part(id, act.number()),
            "delete-part" => self.delete_part(id, act.number()),
            "take-out" => {
                let (part, sheet) = act.about.split_once(' ').unwrap_or_default();
                if let (Ok(part), Some(sheet)) = (part.parse(), sheets::find(sheet)) {
                    self.delete_sheet(
                        Place::Part {
                            machine: id.into(),
                            part,
                        },
                        sheet,
                    );
                }
            }
            _ => {}
        }
    }
}

/// Begins the list of machines.
pub fn all(desk: Desk) {
    let scans = moving::can_scan();
    let text = move || {
        desk.held.with(|held| {
            desk.aside
                .with(|aside| machine_text::all(&desk.machine_names(), held, aside, scans))
        })
    };
    panel("panel", text, move |act| desk.act_on_machines(&act));
}

/// Begins the page of one machine.
pub fn one(desk: Desk, id: String) {
    let shown = id.clone();
    let text = move || {
        desk.machine(&shown, |machine| match machine {
            Some(machine) => {
                let twin = desk.twin(&shown, &machine.name);
                machine_page::one(&shown, machine, twin.as_ref())
            }
            None => machine_text::missing(),
        })
    };
    panel("panel", text, move |act| desk.act_on_machine(&id, &act));
}
