//! Entering names of machines and parts: one that is there, or a new one.

use leptos::ev::SubmitEvent;
use leptos::html::Input;
use leptos::prelude::*;

use crate::state::tidy_name;

/// What is wrong with a blank name: "Name of the machine: enter a name, such as Heron 160."
pub fn blank_message(label: &str, example: &str) -> String {
    [label, ": enter a name, such as ", example, "."].concat()
}

/// A name that is there, kept while it is typed; a blank one is not taken.
#[component]
pub fn Name(
    /// The id of the input; the message's is this behind `e-`.
    id: String,
    /// What it names.
    label: &'static str,
    /// An example for the message.
    example: &'static str,
    /// The name as it is kept.
    read: Signal<String>,
    /// Keeps a name.
    write: Callback<String>,
) -> impl IntoView {
    let input = NodeRef::<Input>::new();
    let blank = RwSignal::new(false);
    let message_id = ["e-", &id].concat();
    // What is typed is left as it is while it means the kept name; another tab may change that.
    let shown = move || {
        let name = read.get();
        let typed = input.get_untracked().map(|input| input.value());
        typed.filter(|typed| tidy_name(typed).as_ref() == Some(&name)).unwrap_or(name)
    };
    let typed = move |event| {
        let name = tidy_name(&event_target_value(&event));
        blank.set(name.is_none());
        if let Some(name) = name {
            write.run(name);
        }
    };
    view! {
        <div class="name">
            <label for=id.clone()>{label}</label>
            <input
                node_ref=input id=id type="text" autocomplete="off" spellcheck="false"
                prop:value=shown
                aria-invalid=move || blank.get().then_some("true")
                aria-describedby=message_id.clone()
                on:input=typed
            />
            <p class="why" id=message_id hidden=move || !blank.get()>{blank_message(label, example)}</p>
        </div>
    }
}

/// A new name with the button that adds what it names.
#[component]
pub fn NewName(
    /// The id of the input; the message's is this behind `e-`.
    id: &'static str,
    /// What it names.
    label: &'static str,
    /// An example for help and message.
    example: &'static str,
    /// The words on the button.
    action: &'static str,
    /// Takes the name.
    on_name: Callback<String>,
) -> impl IntoView {
    let input = NodeRef::<Input>::new();
    let blank = RwSignal::new(false);
    let message_id = ["e-", id].concat();
    let submit = move |event: SubmitEvent| {
        event.prevent_default();
        let Some(input) = input.get_untracked() else { return };
        let name = tidy_name(&input.value());
        blank.set(name.is_none());
        if let Some(name) = name {
            input.set_value("");
            on_name.run(name);
        }
    };
    view! {
        <form class="name" on:submit=submit>
            <label for=id>{label}<small>{["such as ", example].concat()}</small></label>
            <input
                node_ref=input id=id type="text" autocomplete="off" spellcheck="false"
                aria-invalid=move || blank.get().then_some("true")
                aria-describedby=message_id.clone()
                on:input=move |_| blank.set(false)
            />
            <button type="submit">{action}</button>
            <p class="why" id=message_id hidden=move || !blank.get()>{blank_message(label, example)}</p>
        </form>
    }
}
