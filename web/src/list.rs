//! The first page: what this is, the saved machines, the sheets by subject with a search.

use layshaft_core::sheets::{ALL, Sheet, Subject};
use leptos::prelude::*;

use crate::route::machine_href;
use crate::state::{Desk, Place};
use crate::view::Frame;

/// Whether a sheet answers to every word typed.
fn matches(sheet: &Sheet, words: &str) -> bool {
    let text = [sheet.title, " ", sheet.about, " ", sheet.search, " ", sheet.subject.title()].concat().to_lowercase();
    words.to_lowercase().split_whitespace().all(|word| text.contains(word))
}

/// The list of sheets.
#[component]
pub fn ListPage(desk: Desk) -> impl IntoView {
    let words = RwSignal::new(String::new());
    let none = move || words.with(|words| !ALL.iter().any(|sheet| matches(sheet, words)));
    view! {
        <Frame>
            <header class="intro">
                <h1>"Numbers for the printer you build"</h1>
                <p>
                    "Type what is printed on your belts, screws, motors and sensors. Read the steps, currents and temperatures \
                    your machine needs, each with its working, its source and what to do first where it can hurt."
                </p>
                <p class="tie">"Works without a network once opened. What you type stays on this device."</p>
            </header>
            {move || saved(desk)}
            <section>
                <label class="find" for="find">"Find a sheet"</label>
                <input
                    id="find"
                    type="search"
                    autocomplete="off"
                    autocapitalize="none"
                    spellcheck="false"
                    enterkeyhint="search"
                    on:input=move |event| words.set(event_target_value(&event))
                />
                <p class="why" hidden=move || !none()>"No sheet has these words. Try belt, screw, motor or thermistor."</p>
            </section>
            {Subject::ALL.into_iter().map(|subject| group(subject, words)).collect_view()}
        </Frame>
    }
}

/// The saved machines, if there are any.
fn saved(desk: Desk) -> Option<AnyView> {
    let names = desk.machine_names();
    if names.is_empty() {
        return None;
    }
    let rows = names.into_iter().map(|(id, name)| view! { <li><a href=machine_href(&id)><b>{name}</b></a></li> });
    let view = view! {
        <section class="group">
            <h2>"Your machines"</h2>
            <ul>{rows.collect_view()}</ul>
        </section>
    };
    Some(view.into_any())
}

/// The sheets of one subject that answer to the words.
fn group(subject: Subject, words: RwSignal<String>) -> AnyView {
    let found = move || {
        let sheets = ALL.iter().filter(move |sheet| sheet.subject == subject);
        words.with(|words| sheets.filter(|sheet| matches(sheet, words)).copied().collect::<Vec<_>>())
    };
    let rows = move || {
        let rows = found().into_iter().map(|sheet| {
            view! {
                <li>
                    <a href=Place::Loose.href(sheet)>
                        <b>{sheet.title}</b>
                        <span>{sheet.about}</span>
                    </a>
                </li>
            }
        });
        rows.collect_view()
    };
    view! {
        <section class="group" hidden=move || found().is_empty()>
            <h2>{subject.title()}</h2>
            <ul>{rows}</ul>
        </section>
    }
    .into_any()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_search_finds_sheets_by_any_of_their_words() {
        let found = |words| ALL.iter().filter(|sheet| matches(sheet, words)).map(|sheet| sheet.id).collect::<Vec<_>>();
        assert_eq!(found("").len(), ALL.len());
        assert_eq!(found("Thermistor"), ["sensor"]);
        assert_eq!(found("steps mm"), ["travel"]);
        assert_eq!(found("vref"), ["current"]);
        assert!(found("zebra").is_empty());
    }
}
