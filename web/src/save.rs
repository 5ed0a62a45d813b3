//! Saving a loose sheet into a part of a machine; a sheet inside a machine saves itself.

use layshaft_core::machine::{Machine, Part};
use layshaft_core::sheets::{Entries, Sheet};
use leptos::ev::SubmitEvent;
use leptos::html::Input;
use leptos::prelude::*;

use crate::names::blank_message;
use crate::notices::{Action, Undo};
use crate::route::{Route, machine_href};
use crate::state::{Desk, Place, desk, tidy_name};
use crate::storage::Saving;

/// A machine or part to save into.
#[derive(Clone, PartialEq, Eq)]
enum Target<T> {
    /// One that is there.
    There(T),
    /// A new one of this name.
    New(String),
}

impl Desk {
    /// The names of a machine's parts; tracked.
    fn part_names(self, id: &str) -> Vec<String> {
        let names = |machine: &Machine| machine.parts.iter().map(|part| part.name.clone()).collect();
        self.machine(id, |machine| machine.map(names)).unwrap_or_default()
    }

    /// Saves a loose sheet, with the sheets that its blanks are carried from, and goes there.
    fn save_into(self, sheet: &'static Sheet, machine: Target<String>, part: Target<usize>) {
        let id = match machine {
            Target::There(id) => id,
            Target::New(name) => self.add(Machine { name: self.free_name(&name), parts: Vec::new() }),
        };
        let mut at = 0;
        self.edit(&id, |machine| {
            at = match part {
                Target::There(at) => at,
                Target::New(name) => {
                    machine.parts.push(Part { name, sheets: Vec::new() });
                    machine.parts.len() - 1
                }
            };
        });
        let place = Place::Part { machine: id, part: at };
        let old = untrack(|| self.part(&place, |part| part.and_then(|part| part.entries(sheet.id)).cloned()));
        for (sheet, entries) in self.with_sources(sheet, &place) {
            self.put(&place, sheet, entries);
        }
        let names = untrack(|| self.names(&place));
        self.save_now();
        if let (Some(old), Some((machine, part))) = (old, names) {
            let text = [sheet.title, " in ", &machine, ", ", &part, " is replaced."].concat();
            self.tell(text, Some(Action::Undo(vec![Undo::Entries(place.clone(), sheet, Some(old))])));
        }
        self.go(&Route::Sheet(place, sheet));
    }

    /// The entries of a loose sheet, and of the sheets its blanks follow as far as the part lacks them.
    fn with_sources(self, sheet: &'static Sheet, place: &Place) -> Vec<(&'static str, Entries)> {
        let loose = |id: &str| untrack(|| self.part(&Place::Loose, |part| part.and_then(|part| part.entries(id)).cloned()));
        let lacks = |id: &str| untrack(|| self.part(place, |part| part.is_none_or(|part| part.entries(id).is_none())));
        let entries = loose(sheet.id).unwrap_or_default();
        let mut all = Vec::new();
        for field in sheet.fields {
            let Some(tie) = field.carried.filter(|_| entries.get(field.key).is_none()) else { continue };
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

/// Where the sheet is saved, or the way to save it; for the sheet page.
#[component]
pub fn SavePanel(
    /// Where the sheet's entries live.
    place: Place,
    /// The sheet.
    sheet: &'static Sheet,
) -> impl IntoView {
    let desk = desk();
    let loose = place == Place::Loose;
    let (here, open) = (place.clone(), RwSignal::new(false));
    view! {
        {(!loose).then(|| view! { <SavedIn place=place /> })}
        <div class="acts">
            {loose.then(|| view! {
                <button
                    type="button" id="save" aria-expanded=move || open.get().to_string()
                    on:click=move |_| open.update(|open| *open = !*open)
                >
                    "Save to a machine"
                </button>
            })}
            <button type="button" id="clear" on:click=move |_| desk.clear(&here, sheet)>"Clear entries"</button>
        </div>
        {move || open.get().then(|| view! { <SaveForm sheet=sheet open=open /> })}
    }
}

/// "Saved in Heron 160, X axis".
#[component]
fn SavedIn(place: Place) -> impl IntoView {
    let desk = desk();
    let href = machine_href(place.id());
    let name = move |first| {
        let names = desk.names(&place).unwrap_or_default();
        if first { names.0 } else { names.1 }
    };
    let (machine, part) = (name.clone(), name);
    let words = move || match desk.saving.get() {
        Saving::Saved | Saving::Soon => "Saved in ",
        Saving::Refused | Saving::Off => "Not saved, only in this tab: ",
    };
    view! {
        <p class="saved" id="saved">{words}<a href=href>{move || machine(true)}</a>", "{move || part(false)}</p>
    }
}

/// Chooses machine and part, each one that is there or a new one.
#[component]
fn SaveForm(
    /// The sheet.
    sheet: &'static Sheet,
    /// Closes this when set to false.
    open: RwSignal<bool>,
) -> impl IntoView {
    let desk = desk();
    // The first option of each list is the one that stands, as a list shows it before anyone chose.
    let machines = untrack(|| desk.machine_names());
    let machine = RwSignal::new(machines.first().map(|(id, _)| id.clone()).unwrap_or_default());
    let part = RwSignal::new(String::new());
    let (new_machine, new_part) = (NewTarget::new("save-machine-name"), NewTarget::new("save-part-name"));
    let replaces = move || {
        let place = Place::Part { machine: machine.get(), part: part.get().parse().ok()? };
        let has = desk.part(&place, |part| part.is_some_and(|part| part.entries(sheet.id).is_some()));
        has.then(|| view! { <p>"This part has " {sheet.title} " already. Saving replaces it; that can be undone."</p> })
    };
    let submit = move |event: SubmitEvent| {
        event.prevent_default();
        let into_machine = match machine.get_untracked() {
            id if id.is_empty() => new_machine.name().map(Target::New),
            id => Some(Target::There(id)),
        };
        let into_part = match part.get_untracked().parse() {
            Ok(at) => Some(Target::There(at)),
            Err(_) => new_part.name().map(Target::New),
        };
        if let (Some(machine), Some(part)) = (into_machine, into_part) {
            open.set(false);
            desk.save_into(sheet, machine, part);
        }
    };
    let choose_machine = move |event| {
        machine.set(event_target_value(&event));
        part.set(String::new());
    };
    let option = |(id, name): (String, String)| view! { <option value=id>{name}</option> };
    let parts = move || {
        let names = desk.part_names(&machine.get()).into_iter().enumerate();
        names.map(|(at, name)| option((at.to_string(), name))).collect_view()
    };
    view! {
        <form class="save" on:submit=submit>
            <div class="name">
                <label for="save-machine">"Machine"</label>
                <select id="save-machine" on:change=choose_machine>
                    {machines.into_iter().map(option).collect_view()}
                    <option value="">"A new machine"</option>
                </select>
            </div>
            {move || machine.get().is_empty().then(|| new_machine.view("Name of the machine", "Heron 160"))}
            <div class="name">
                <label for="save-part">"Part"</label>
                <select id="save-part" prop:value=move || part.get() on:change=move |event| part.set(event_target_value(&event))>
                    <option value="">"A new part"</option>
                    {parts}
                </select>
            </div>
            {move || part.get().is_empty().then(|| new_part.view("Name of the part", "X axis"))}
            {replaces}
            <div class="acts">
                <button type="submit">"Save"</button>
                <button type="button" on:click=move |_| open.set(false)>"Cancel"</button>
            </div>
        </form>
    }
}

/// The field for the name of a new machine or part.
#[derive(Clone, Copy)]
struct NewTarget {
    id: &'static str,
    input: NodeRef<Input>,
    blank: RwSignal<bool>,
}

impl NewTarget {
    fn new(id: &'static str) -> Self {
        Self { id, input: NodeRef::new(), blank: RwSignal::new(false) }
    }

    /// The name that was typed; a blank one gets its message.
    fn name(self) -> Option<String> {
        let name = self.input.get_untracked().and_then(|input| tidy_name(&input.value()));
        self.blank.set(name.is_none());
        name
    }

    fn view(self, label: &'static str, example: &str) -> AnyView {
        let message_id = ["e-", self.id].concat();
        view! {
            <div class="name">
                <label for=self.id>{label}</label>
                <input
                    node_ref=self.input id=self.id type="text" autocomplete="off" spellcheck="false"
                    aria-invalid=move || self.blank.get().then_some("true")
                    aria-describedby=message_id.clone()
                    on:input=move |_| self.blank.set(false)
                />
                <p class="why" id=message_id hidden=move || !self.blank.get()>{blank_message(label, example)}</p>
            </div>
        }
        .into_any()
    }
}
