//! Saving a loose sheet into a part of a machine; a sheet inside a machine saves itself.

use crate::dom::*;
use layshaft_core::machine::{Machine, Part};
use layshaft_core::sheets::{Entries, Sheet};

use crate::markup::Markup;
use crate::notices::{Action, Undo};
use crate::panel::{Act, NameField, button, panel};
use crate::route::{Route, machine_href};
use crate::state::{Desk, Place};
use crate::storage::Saving;

/// A machine or part to save into.
enum Target {
    /// One that is there: its id or number.
    There(String),
    /// A new one of this name.
    New(String),
}

impl Desk {
    /// Saves a loose sheet, with the sheets that its blanks are carried from, and goes there.
    fn save_into(self, sheet: &'static Sheet, machine: Target, part: Target) {
        let id = match machine {
            Target::There(id) => id,
            Target::New(name) => self.add(Machine {
                name: self.free_name(&name),
                parts: Vec::new(),
            }),
        };
        let mut at = 0;
        self.edit(&id, |machine| {
            at = match part {
                Target::There(at) => at.parse().unwrap_or(usize::MAX),
                Target::New(name) => {
                    machine.parts.push(Part {
                        name,
                        sheets: Vec::new(),
                    });
                    machine.parts.len() - 1
                }
            };
        });
        let place = Place::Part {
            machine: id,
            part: at,
        };
        let old = untrack(|| {
            self.part(&place, |part| {
                part.and_then(|part| part.entries(sheet.id)).cloned()
            })
        });
        for (sheet, entries) in self.with_sources(sheet, &place) {
            self.put(&place, sheet, entries);
        }
        let names = untrack(|| self.names(&place));
        self.save_now();
        if let (Some(old), Some((machine, part))) = (old, names) {
            let text = [sheet.title, " in ", &machine, ", ", &part, " is replaced."].concat();
            self.tell(
                text,
                Some(Action::Undo(vec![Undo::Entries(
                    place.clone(),
                    sheet,
                    Some(old),
                )])),
            );
        }
        self.go(&Route::Sheet(place, sheet));
    }

    /// The entries of a loose sheet, and of the sheets its blanks follow as far as the part lacks them.
    fn with_sources(self, sheet: &'static Sheet, place: &Place) -> Vec<(&'static str, Entries)> {
        let loose = |id: &str| {
            untrack(|| {
                self.part(&Place::Loose, |part| {
                    part.and_then(|part| part.entries(id)).cloned()
                })
            })
        };
        let lacks = |id: &str| {
            untrack(|| {
                self.part(place, |part| {
                    part.is_none_or(|part| part.entries(id).is_none())
                })
            })
        };
        let entries = loose(sheet.id).unwrap_or_default();
        let mut all = Vec::new();
        for field in sheet.fields {
            let Some(tie) = field.carried.filter(|_| entries.get(field.key).is_none()) else {
                continue;
            };
            if lacks(tie.sheet)
                && !all.iter().any(|(id, _)| *id == tie.sheet)
                && let Some(source) = loose(tie.sheet)
            {
                all.push((tie.sheet, source));
            }
        }
        all.push((sheet.id, entries));
        all
    }
}

/// What is chosen in the form; empty means a new one.
#[derive(Clone, Default)]
struct Chosen {
    /// The machine's id.
    machine: String,
    /// The part's number.
    part: String,
}

/// Begins the panel for keeping a sheet, in the element `keep`.
pub fn start(desk: Desk, place: Place, sheet: &'static Sheet) {
    let form = Signal::new(None);
    let here = place.clone();
    let text = move || form.with(|form| text(desk, &here, sheet, form.as_ref()));
    let act = move |act: Act| match act.word.as_str() {
        "clear" => desk.clear(&place, sheet),
        "open" if untrack(|| form.with(Option::is_none)) => {
            let first = untrack(|| desk.machine_names()).into_iter().next();
            form.set(Some(Chosen {
                machine: first.map(|(id, _)| id).unwrap_or_default(),
                part: String::new(),
            }));
        }
        "machine" => form.set(Some(Chosen {
            machine: act.value(),
            part: String::new(),
        })),
        "part" => form.update(|form| _ = form.as_mut().map(|form| form.part = act.value())),
        "name" => _ = act.name(),
        "save" => {
            let Some(chosen) = form.get_untracked() else {
                return;
            };
            let target = |id: String, input| {
                if id.is_empty() {
                    act.name_of(input).map(Target::New)
                } else {
                    Some(Target::There(id))
                }
            };
            // Both are asked for, so that both messages show.
            let (part, machine) = (
                target(chosen.part, "save-part-name"),
                target(chosen.machine, "save-machine-name"),
            );
            if let (Some(machine), Some(part)) = (machine, part) {
                form.set(None);
                desk.save_into(sheet, machine, part);
            }
        }
        _ => form.set(None),
    };
    panel("keep", text, act);
}

/// "Saved in Heron 160, X axis", or the button and the form.
fn text(desk: Desk, place: &Place, sheet: &Sheet, form: Option<&Chosen>) -> String {
    let mut out = Markup::default();
    if let Some((machine, part)) = desk.names(place) {
        let lost = matches!(desk.saving.get(), Saving::Refused | Saving::Off);
        out.raw("<p id=saved>").raw(if lost {
            "Not saved, in this tab only: "
        } else {
            "Saved in "
        });
        out.raw("<a href=\"")
            .words(&machine_href(place.id()))
            .raw("\">")
            .words(&machine)
            .raw("</a>, ")
            .words(&part)
            .raw("</p>");
    }
    out.raw("<div class=acts>");
    if *place == Place::Loose {
        out.raw("<button type=button id=save data-click=open aria-expanded=")
            .raw(if form.is_some() { "true" } else { "false" });
        out.raw(">Save to a machine</button>");
    }
    button(&mut out, "clear", "Clear entries");
    out.raw("</div>");
    if let Some(chosen) = form {
        put_form(&mut out, desk, sheet, chosen);
    }
    out.finish()
}

fn put_form(out: &mut Markup, desk: Desk, sheet: &Sheet, chosen: &Chosen) {
    out.raw("<form class=new data-submit=save><label for=save-machine>Machine</label><select id=save-machine data-change=machine>");
    options(out, &desk.machine_names(), "A new machine", &chosen.machine);
    out.raw("</select>");
    if chosen.machine.is_empty() {
        NameField {
            id: "save-machine-name",
            label: "Name of the machine",
            example: "Heron 160",
            sends: "name",
            name: "",
        }
        .put(out);
    }
    let parts: Vec<(String, String)> = desk.machine(&chosen.machine, |machine| {
        // The empty id is that of the loose sheets elsewhere; here it means a machine to come.
        let machine = machine.filter(|_| !chosen.machine.is_empty());
        let parts = machine
            .map(|machine| machine.parts.as_slice())
            .unwrap_or_default();
        parts
            .iter()
            .enumerate()
            .map(|(at, part)| (at.to_string(), part.name.clone()))
            .collect()
    });
    out.raw("<label for=save-part>Part</label><select id=save-part data-change=part>");
    options(out, &parts, "A new part", &chosen.part);
    out.raw("</select>");
    match chosen.part.parse() {
        Err(_) => NameField {
            id: "save-part-name",
            label: "Name of the part",
            example: "X axis",
            sends: "name",
            name: "",
        }
        .put(out),
        Ok(part) => {
            let place = Place::Part {
                machine: chosen.machine.clone(),
                part,
            };
            if desk.part(&place, |part| {
                part.is_some_and(|part| part.entries(sheet.id).is_some())
            }) {
                out.raw("<p>This part has ")
                    .words(sheet.title)
                    .raw(" already. Saving replaces it; that can be undone.</p>");
            }
        }
    }
    out.raw("<div class=acts><button class=main>Save</button>");
    button(out, "cancel", "Cancel");
    out.raw("</div></form>");
}

/// The options of a list, the last one for something new.
fn options(out: &mut Markup, all: &[(String, String)], new: &'static str, chosen: &str) {
    let mut option = |id: &str, name: &str| {
        out.raw("<option value=\"")
            .words(id)
            .raw(if id == chosen { "\" selected>" } else { "\">" })
            .words(name)
            .raw("</option>");
    };
    for (id, name) in all {
        option(id, name);
    }
    option("", new);
}
