//! The first page: what this is, the saved machines, the sheets by subject with a search.

use layshaft_core::sheets::{Sheet, Subject, all};

use crate::markup::Markup;
use crate::route::machine_href;
use crate::stage::{Stage, fill, paint, stage, target, value};
use crate::state::{Desk, Place};
use crate::view;

/// Whether a sheet answers to every word typed.
fn matches(sheet: &Sheet, words: &str) -> bool {
    let text = [
        sheet.title,
        " ",
        sheet.about,
        " ",
        sheet.search,
        " ",
        sheet.subject.title(),
    ]
    .concat()
    .to_ascii_lowercase();
    words
        .to_ascii_lowercase()
        .split_whitespace()
        .all(|word| text.contains(word))
}

/// The page; `lost` is a fragment that led nowhere.
pub fn open(desk: Desk, lost: &str) -> Stage {
    let mut out = view::frame();
    out.raw(INTRO);
    if !lost.is_empty() {
        out.raw("<p class=why>There is no page at #")
            .words(lost)
            .raw(". Here are the sheets.</p>");
    }
    out.raw(
        "<p><a href=#example>Open the example machine</a>, complete and with mistakes to find.</p></div>").raw(COVER).raw("</header><div id=saved-machines></div><section><label class=find for=find>Find a sheet</label>\
        <input id=find type=search autocomplete=off autocapitalize=none spellcheck=false enterkeyhint=search></section>\
        <div id=sheets>",
    );
    let text = [&out.finish(), &sheets(""), "</div></div></div>"].concat();
    let start = move || paint("saved-machines", move || machines(&desk.machine_names()));
    let hear = move |event: web_sys::Event| {
        if let Some(find) =
            target(&event).filter(|from| from.id() == "find" && event.type_() == "input")
        {
            fill("sheets", &sheets(&value(&find)));
        }
    };
    stage(text, start, hear)
}

/// What the page is, in five seconds; the still page in `index.html` says the same.
const INTRO: &str = "<header class=intro><div><h1>Numbers for the printer you build</h1><p>Type what is printed on your belts, \
    screws, motors and sensors. Read the steps, currents and temperatures your machine needs, each with its working, its \
    source and what to do first where it can hurt.</p><p class=tie>Works without a network once opened. What you type stays \
    on this device.</p>";

/// A layshaft in section, to scale: 20 teeth drive 60, and on the same shaft 17 drive 34.
const COVER: &str = "<svg class=cover viewBox=\"0 0 2500 1700\" aria-hidden=true><path class=c d=\"M20 520H2470M200 \
    1160H1900\"/><path class=n d=\"M240 410h110v60h-110zM240 410l110 60M240 470l110-60M240 570h110v60h-110zM240 \
    630l110-60M240 570l110 60M1800 410h110v60h-110zM1800 410l110 60M1800 470l110-60M1800 570h110v60h-110zM1800 \
    630l110-60M1800 570l110 60M330 1050h110v60h-110zM330 1050l110 60M330 1110l110-60M330 1210h110v60h-110zM330 \
    1270l110-60M330 1210l110 60M1660 1050h110v60h-110zM1660 1050l110 60M1660 1110l110-60M1660 \
    1210h110v60h-110zM1660 1270l110-60M1660 1210l110 60\"/><path class=k d=\"M90 480h410v80h-410zM500 \
    360h160v320h-160zM660 480h60v80h-60zM1300 480h80v80h-80zM1380 93h160v854h-160zM1540 \
    480h860v80h-860z\"/><path class=a d=\"M270 1120h230v80h-230zM500 680h160v960h-160zM660 \
    1120h720v80h-720zM1380 947h160v426h-160zM1540 1120h290v80h-290z\"/><text x=680 y=430>20</text><text x=680 \
    y=1600>60</text><text x=1240 y=1360>17</text><text x=1560 y=160>34</text><text x=1290 y=1560>60/20 × 34/17 = \
    6</text></svg>";

/// What a person who is here for the first time may have come with, and the sheet that answers it.
const QUESTIONS: [(&str, &str); 4] = [
    ("travel", "How far does a turn of the motor move the axis?"),
    ("current", "What current may the motor have?"),
    ("identify", "Which temperature sensor is this?"),
    ("supply", "Does the supply carry everything at once?"),
];

/// The saved machines; where there is none yet, questions to begin with.
fn machines(names: &[(String, String)]) -> String {
    let mut out = Markup::default();
    if names.is_empty() {
        out.raw("<section class=group><h2>Begin with a question</h2><ul>");
        for (sheet, question) in QUESTIONS {
            out.raw("<li><a href=#")
                .raw(sheet)
                .raw("><b>")
                .words(question);
            out.raw("</b></a></li>");
        }
        out.raw("</ul></section>");
        return out.finish();
    }
    out.raw("<section class=group><h2>Your machines</h2><ul>");
    for (id, name) in names {
        out.raw("<li><a href=\"")
            .words(&machine_href(id))
            .raw("\"><b>")
            .words(name)
            .raw("</b></a></li>");
    }
    out.raw("</ul></section>");
    out.finish()
}

/// The sheets that answer to the words, by subject.
fn sheets(words: &str) -> String {
    let mut out = Markup::default();
    for subject in Subject::ALL {
        let mut found = all()
            .iter()
            .filter(|sheet| sheet.subject == subject && matches(sheet, words))
            .peekable();
        if found.peek().is_none() {
            continue;
        }
        out.raw("<section class=group><h2>")
            .words(subject.title())
            .raw("</h2><ul>");
        for sheet in found {
            out.raw("<li><a href=\"")
                .words(&Place::Loose.href(sheet))
                .raw("\"><b>")
                .words(sheet.title)
                .raw("</b><span>");
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
        let found = |words| {
            all()
                .iter()
                .filter(|sheet| matches(sheet, words))
                .map(|sheet| sheet.id)
                .collect::<Vec<_>>()
        };
        assert_eq!(found("").len(), all().len());
        assert!(found("Thermistor").contains(&"sensor"));
        assert_eq!(found("steps per mm").first(), Some(&"travel"));
        assert!(found("vref").contains(&"current"));
        assert!(found("zebra").is_empty());
        assert!(sheets("zebra").contains("No sheet has these words"));
    }

    #[test]
    fn every_sheet_is_listed_once_with_its_link() {
        let text = sheets("");
        for sheet in all() {
            assert_eq!(
                text.matches(&["href=\"#", sheet.id, "\""].concat()).count(),
                1,
                "{}",
                sheet.id
            );
        }
    }
}
