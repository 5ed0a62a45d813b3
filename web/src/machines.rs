//! The pages of the saved machines: all of them, and one with its parts.

use layshaft_core::machine::{Machine, Part};
use layshaft_core::sheets::{ALL, Sheet};
use leptos::prelude::*;
use leptos::web_sys::HtmlInputElement;

use crate::names::{Name, NewName};
use crate::notices::{Action, Undo};
use crate::route::{Route, machine_href};
use crate::state::{Desk, Place, desk};
use crate::storage::{Aside, is_machine};

impl Desk {
    /// Every machine's id and name, by name; tracked.
    pub(crate) fn machine_names(self) -> Vec<(String, String)> {
        self.held.with(|all| {
            let machines = all.iter().filter(|held| is_machine(&held.id));
            let mut names: Vec<_> = machines.map(|held| (held.id.clone(), held.machine.name.clone())).collect();
            names.sort_by_key(|(_, name)| name.to_lowercase());
            names
        })
    }

    /// Adds a machine of this name with one part, and opens it.
    fn add_machine(self, name: &str) {
        let id = self.add(Machine { name: self.free_name(name), parts: Vec::new() });
        self.go(&Route::Machine(id));
    }

    /// Adds a machine like this one, and opens it.
    fn duplicate(self, id: &str) {
        if let Some(mut machine) = untrack(|| self.machine(id, |machine| machine.cloned())) {
            machine.name = self.free_name(&machine.name);
            self.tell(["This is the copy, “", &machine.name, "”."].concat(), None);
            let id = self.add(machine);
            self.replace(Route::Machine(id));
        }
    }

    /// Deletes a machine, with undo.
    fn delete(self, id: &str) {
        let Some(machine) = untrack(|| self.machine(id, |machine| machine.cloned())) else { return };
        self.remove(id);
        self.replace(Route::Machines);
        let text = ["“", &machine.name, "” is deleted."].concat();
        self.tell(text, Some(Action::Undo(vec![Undo::Record(id.into(), machine)])));
    }

    /// Deletes a record that could not be read, with undo.
    fn delete_aside(self, aside: Aside) {
        self.aside.update(|all| all.retain(|other| other.id != aside.id));
        self.remove(&aside.id);
        self.tell("The record that could not be read is deleted.", Some(Action::Undo(vec![Undo::Aside(aside)])));
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
            let text = ["“", &part.name, "” is deleted."].concat();
            self.tell(text, Some(Action::Undo(vec![Undo::Part(id.into(), at, part)])));
        }
    }

    /// Takes a sheet out of a part, with undo.
    fn delete_sheet(self, place: &Place, sheet: &'static Sheet) {
        let old = untrack(|| self.entries(place, sheet));
        self.edit_part(place, |part| part.sheets.retain(|(id, _)| id != sheet.id));
        let text = [sheet.title, " is taken out of this part."].concat();
        self.tell(text, Some(Action::Undo(vec![Undo::Entries(place.clone(), sheet, Some(old))])));
    }
}

/// All machines, what could not be read, and files.
#[component]
pub fn MachinesPage() -> impl IntoView {
    let desk = desk();
    let choose = move |event: leptos::ev::Event| {
        let input: HtmlInputElement = event_target(&event);
        if let Some(file) = input.files().and_then(|files| files.get(0)) {
            desk.import(file);
        }
        // So that the same file can be chosen again.
        input.set_value("");
    };
    view! {
        <header class="intro">
            <h1>"Machines"</h1>
            <p>"A machine keeps the sheets of its parts together: an axis, a hot end, the supply."</p>
        </header>
        <section>
            {move || machine_list(desk)}
            <NewName
                id="new-machine" label="New machine" example="Heron 160" action="Add machine"
                on_name=Callback::new(move |name: String| desk.add_machine(&name))
            />
        </section>
        {move || set_aside(desk)}
        <section>
            <h2>"Files"</h2>
            <p>
                "Machines are kept in this browser only. A file keeps them safe, and brings them to another device; \
                reading one never changes what is here."
            </p>
            <div class="acts">
                <button type="button" on:click=move |_| desk.export_all()>"Save all as a file"</button>
                <label class="file">
                    "Read a file"
                    <input id="machine-file" type="file" accept=".txt,text/plain" on:change=choose />
                </label>
            </div>
        </section>
    }
}

/// The saved machines, for the first page; nothing while there are none.
#[component]
pub fn SavedMachines() -> impl IntoView {
    let desk = desk();
    let any = Memo::new(move |_| !desk.machine_names().is_empty());
    move || any.get().then(|| view! { <section><h2>"Your machines"</h2>{move || machine_list(desk)}</section> })
}

fn machine_list(desk: Desk) -> AnyView {
    let names = desk.machine_names();
    if names.is_empty() {
        return view! { <p>"None yet. Fill in a sheet and save it to a machine, or begin with a name here."</p> }.into_any();
    }
    let row = |(id, name): (String, String)| {
        let parts = desk.machine(&id, |machine| machine.map(part_names)).unwrap_or_default();
        view! { <li><a class="machine" href=machine_href(&id)><b>{name}</b><small>{parts}</small></a></li> }
    };
    view! { <ul class="plain">{names.into_iter().map(row).collect_view()}</ul> }.into_any()
}

fn part_names(machine: &Machine) -> String {
    let names: Vec<&str> = machine.parts.iter().map(|part| part.name.as_str()).collect();
    if names.is_empty() { "no parts yet".into() } else { names.join(", ") }
}

/// Records that could not be read, each with its reason.
fn set_aside(desk: Desk) -> Option<AnyView> {
    let all = desk.aside.get();
    if all.is_empty() {
        return None;
    }
    let row = |aside: Aside| {
        let (file, gone) = (aside.clone(), aside.clone());
        view! {
            <li class="aside">
                <p>{aside.fault.message()}</p>
                <div class="acts">
                    <button type="button" on:click=move |_| desk.export_aside(&file)>"Save it as a file"</button>
                    <button type="button" on:click=move |_| desk.delete_aside(gone.clone())>"Delete it"</button>
                </div>
            </li>
        }
    };
    let view = view! {
        <section id="set-aside">
            <h2>"Set aside"</h2>
            <ul class="plain">{all.into_iter().map(row).collect_view()}</ul>
        </section>
    };
    Some(view.into_any())
}

/// One machine: its name, its parts with their sheets, and what can be done with it.
#[component]
pub fn MachinePage(
    /// The machine.
    id: String,
) -> impl IntoView {
    let desk = desk();
    let id = StoredValue::new(id);
    // Drawn again only when parts come or go: typing a name must not take the field away.
    let parts = Memo::new(move |_| id.with_value(|id| desk.machine(id, |machine| machine.map(|machine| machine.parts.len()))));
    move || match parts.get() {
        None => view! {
            <section>
                <p>"This machine is not in this browser: it was deleted, or saved on another device."</p>
                <p><a href="#machines">"All machines"</a></p>
            </section>
        }
        .into_any(),
        Some(count) => {
            let id = id.get_value();
            let add = {
                let id = id.clone();
                Callback::new(move |name: String| {
                    desk.edit(&id, |machine| machine.parts.push(Part { name, sheets: Vec::new() }));
                })
            };
            view! {
                <MachineHead id=id.clone() />
                <section>
                    <MachineName id=id.clone() />
                    <MachineActs id=id.clone() />
                </section>
                {(0..count).map(|part| view! { <PartSection place=Place::Part { machine: id.clone(), part } /> }).collect_view()}
                <section>
                    <NewName id="new-part" label="New part" example="X axis" action="Add part" on_name=add />
                </section>
            }
            .into_any()
        }
    }
}

/// The machine's name as the heading.
#[component]
fn MachineHead(id: String) -> impl IntoView {
    let desk = desk();
    let name = move || desk.machine(&id, |machine| machine.map(|machine| machine.name.clone()));
    view! { <header class="intro"><h1>{name}</h1></header> }
}

/// The name of one machine, to be changed.
#[component]
fn MachineName(id: String) -> impl IntoView {
    let desk = desk();
    let id = StoredValue::new(id);
    let read = Signal::derive(move || {
        let name = |id: &String| desk.machine(id, |machine| machine.map(|machine| machine.name.clone()));
        id.with_value(name).unwrap_or_default()
    });
    let write = Callback::new(move |name: String| desk.edit(&id.get_value(), |machine| machine.name = name));
    view! { <Name id="machine-name".into() label="Name of the machine" example="Heron 160" read=read write=write /> }
}

/// What can be done with a whole machine.
#[component]
fn MachineActs(id: String) -> impl IntoView {
    let desk = desk();
    let id = StoredValue::new(id);
    let on = move |act: fn(Desk, &str)| move |_| act(desk, &id.get_value());
    view! {
        <div class="acts">
            <button type="button" on:click=on(Desk::duplicate)>"Duplicate"</button>
            <button type="button" on:click=on(Desk::export)>"Save as a file"</button>
            <button type="button" on:click=on(Desk::delete)>"Delete machine"</button>
        </div>
    }
}

/// One part: its sheets with their headline answers, and what can be changed about it.
#[component]
fn PartSection(place: Place) -> impl IntoView {
    let desk = desk();
    let at = place.part();
    let place = StoredValue::new(place);
    let name = Signal::derive(move || {
        place.with_value(|place| desk.part(place, |part| part.map(|part| part.name.clone()))).unwrap_or_default()
    });
    let rename = Callback::new(move |name: String| desk.edit_part(&place.get_value(), |part| part.name = name));
    let copy = move |_| {
        desk.edit(place.get_value().id(), |machine| {
            if let Some(mut part) = machine.parts.get(at).cloned() {
                part.name += " (copy)";
                machine.parts.insert(at + 1, part);
            }
        });
    };
    let delete = move |_| desk.delete_part(place.get_value().id(), at);
    view! {
        <section class="part" data-part=at.to_string()>
            <h2>{move || name.get()}</h2>
            {move || place.with_value(|place| sheet_list(desk, place))}
            <details>
                <summary>"Add a sheet"</summary>
                {move || place.with_value(|place| missing_sheets(desk, place))}
            </details>
            <details>
                <summary>"Change this part"</summary>
                <Name
                    id=["part-name-", &at.to_string()].concat() label="Name of the part" example="X axis"
                    read=name write=rename
                />
                <div class="acts">
                    <button type="button" on:click=copy>"Duplicate part"</button>
                    <button type="button" on:click=delete>"Delete part"</button>
                </div>
            </details>
        </section>
    }
}

/// The sheets of a part, in the order of the list of sheets.
fn sheet_list(desk: Desk, place: &Place) -> AnyView {
    let (known, unknown) = desk.part(place, |part| {
        let Some(part) = part else { return (Vec::new(), 0) };
        let known: Vec<_> = ALL.iter().filter(|sheet| part.entries(sheet.id).is_some()).collect();
        let unknown = part.sheets.len() - known.len();
        (known.into_iter().map(|sheet| (*sheet, headline(part, sheet))).collect(), unknown)
    });
    if known.is_empty() && unknown == 0 {
        return view! { <p>"No sheets yet."</p> }.into_any();
    }
    let row = |(sheet, answers): (&'static Sheet, String)| {
        let here = place.clone();
        view! {
            <li class="in-part">
                <a class="machine" href=place.href(sheet)><b>{sheet.title}</b><small>{answers}</small></a>
                <button
                    type="button" aria-label=["Take out ", sheet.title].concat()
                    on:click=move |_| desk.delete_sheet(&here, sheet)
                >
                    "Take out"
                </button>
            </li>
        }
    };
    let more = (unknown > 0).then(|| view! { <li>"Sheets of a newer version are kept here too."</li> });
    view! { <ul class="plain">{known.into_iter().map(row).collect_view()}{more}</ul> }.into_any()
}

/// The headline answers of a sheet in one line, or that it still waits for entries.
fn headline(part: &Part, sheet: &'static Sheet) -> String {
    let report = part.report(sheet);
    let headlines = report.answers().filter(|(answer, _)| answer.headline);
    let shown: Vec<String> = headlines.filter_map(|(answer, _)| report.shown(answer)).collect();
    if shown.is_empty() { "waits for entries".into() } else { shown.join(", ") }
}

/// Links to the sheets that a part does not have.
fn missing_sheets(desk: Desk, place: &Place) -> AnyView {
    let missing = desk.part(place, |part| {
        let has = |sheet: &Sheet| part.is_some_and(|part| part.entries(sheet.id).is_some());
        ALL.iter().copied().filter(|sheet| !has(sheet)).collect::<Vec<_>>()
    });
    let row = |sheet: &'static Sheet| view! { <li><a class="machine" href=place.href(sheet)><b>{sheet.title}</b></a></li> };
    view! { <ul class="plain">{missing.into_iter().map(row).collect_view()}</ul> }.into_any()
}
