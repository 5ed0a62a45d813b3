//! The first page: what this is, the saved machines, the sheets by subject with a search.

use layshaft_core::sheets::{ALL, Sheet, Subject};
use leptos::prelude::*;

use crate::markup::Markup;
use crate::route::machine_href;
use crate::stage::{paint, stage, target, value};
use crate::state::{Desk, Place};
use crate::view;

/// Whether a sheet answers to every word typed.
fn matches(sheet: &Sheet, words: &str) -> bool {
    let text = [sheet.title, " ", sheet.about, " ", sheet.search, " ", sheet.subject.title()].concat().to_lowercase();
    words.to_lowercase().split_whitespace().all(|word| text.contains(word))
}

/// The page; `lost` is a fragment that led nowhere.
pub fn open(desk: Desk, lost: &str) -> AnyView {
    let words = RwSignal::new(String::new());
    let mut out = view::frame();
    out.raw(INTRO);
    if !lost.is_empty() {
        out.raw("<p class=why>There is no page at #").words(lost).raw(". Here are the sheets.</p>");
    }
    out.raw(
        "</header><div id=saved-machines></div><section><label class=find for=find>Find a sheet</label>\
        <input id=find type=search autocomplete=off autocapitalize=none spellcheck=false enterkeyhint=search></section>\
        <div id=sheets></div></div></div>",
    );
    let start = move || {
        paint("saved-machines", move || machines(&desk.machine_names()));
        paint("sheets", move || words.with(|words| sheets(words)));
    };
    let hear = move |event: web_sys::Event| {
        if let Some(find) = target(&event).filter(|from| from.id() == "find" && event.type_() == "input") {
            words.set(value(&find));
        }
    };
    stage(out.finish(), start, hear)
}

/// What the page is, in five seconds; the still page in `index.html` says the same.
const INTRO: &str = "<header class=intro><h1>Numbers for the printer you build</h1><p>Type what is printed on your belts, \
    screws, motors and sensors. Read the steps, currents and temperatures your machine needs, each with its working, its \
    source and what to do first where it can hurt.</p><p class=tie>Works without a network once opened. What you type stays \
    on this device.</p>";

/// The saved machines, if there are any.
fn machines(names: &[(String, String)]) -> String {
    let mut out = Markup::default();
    if names.is_empty() {
        return out.finish();
    }
    out.raw("<section class=group><h2>Your machines</h2><ul>");
    for (id, name) in names {
        out.raw("<li><a href=\"").words(&machine_href(id)).raw("\"><b>").words(name).raw("</b></a></li>");
    }
    out.raw("</ul></section>");
    out.finish()
}

/// The sheets that answer to the words, by subject.
fn sheets(words: &str) -> String {
    let mut out = Markup::default();
    for subject in Subject::ALL {
        let mut found = ALL.iter().filter(|sheet| sheet.subject == subject && matches(sheet, words)).peekable();
        if found.peek().is_none() {
            continue;
        }
        out.raw("<section class=group><h2>").words(subject.title()).raw("</h2><ul>");
        for sheet in found {
            out.raw("<li><a href=\"").words(&Place::Loose.href(sheet)).raw("\"><b>").words(sheet.title).raw("</b><span>");
            out.words(sheet.about).raw("</span></a></li>");
        }
        out.raw("</ul></section>");
    }
    let text = out.finish();
    if text.is_empty() {
        return "<section><p class=why>No sheet has these words. Try belt, screw, motor or thermistor.</p></section>".into();
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_search_finds_sheets_by_any_of_their_words() {
        let found = |words| ALL.iter().filter(|sheet| matches(sheet, words)).map(|sheet| sheet.id).collect::<Vec<_>>();
        assert_eq!(found("").len(), ALL.len());
        assert!(found("Thermistor").contains(&"sensor"));
        assert_eq!(found("steps per mm").first(), Some(&"travel"));
        assert!(found("vref").contains(&"current"));
        assert!(found("zebra").is_empty());
        assert!(sheets("zebra").contains("No sheet has these words"));
    }

    #[test]
    fn every_sheet_is_listed_once_with_its_link() {
        let text = sheets("");
        for sheet in ALL {
            assert_eq!(text.matches(&["href=\"#", sheet.id, "\""].concat()).count(), 1, "{}", sheet.id);
        }
    }
}
