//! On a sheet of a machine: where its blanks come from in other parts, and how each answer was obtained.

use crate::dom::*;
use layshaft_core::machine::{Mark, PART, Trust, label};
use layshaft_core::sheets::Report;
use wasm_bindgen::JsValue;

use crate::answers::is_figure;
use crate::machine_page::{is_own, lead};
use crate::markup::Markup;
use crate::notices::{Action, Undo};
use crate::panel::{Act, button, panel};
use crate::sheet::Page;
use crate::stage::value;
use crate::state::Place;

const TRUSTS: [Trust; 4] = [
    Trust::Proven,
    Trust::Measured,
    Trust::DataSheet,
    Trust::WorkedOut,
];

/// Begins the panel, on sheets of machines.
pub fn start(page: Page) {
    if element("proof").is_some() && !is_own(page.sheet) {
        panel("proof", move || text(page), move |act| done(page, &act));
    }
}

fn text(page: Page) -> String {
    let mut out = Markup::default();
    let place = page.place.get_value();
    let report = page.report.get();
    let (id, at) = (place.id(), place.part());
    page.desk.machine(id, |machine| {
        let Some(machine) = machine.filter(|machine| at < machine.parts.len()) else {
            return;
        };
        let worked = machine.work_sheet(at, page.sheet);
        let own =
            |place: layshaft_core::machine::Place| place.part == at && place.sheet == page.sheet.id;
        let ties: Vec<_> = worked.ties.iter().filter(|tie| own(tie.to)).collect();
        if !ties.is_empty() {
            out.raw("<h2>Carried</h2><ul class=plain>");
            for tie in ties {
                let part = machine
                    .parts
                    .get(tie.from.part)
                    .map_or("", |part| part.name.as_str());
                out.raw("<li>").words(label(tie.to)).raw(" from ");
                lead(&mut out, id, tie.from, &[part, ": ", label(tie.from)]);
                out.raw("</li>");
            }
            out.raw("</ul>");
        }
        for untied in worked.untied.iter().filter(|untied| own(untied.to)) {
            out.raw("<p class=why>")
                .words(&untied.message(machine))
                .raw("</p>");
        }
        out.raw("<h2>Bench proof</h2><ul class=plain id=marks>");
        let marks = machine
            .parts
            .get(at)
            .map(layshaft_core::machine::Part::marks)
            .unwrap_or_default();
        for mark in marks.iter().filter(|mark| mark.sheet == page.sheet.id) {
            put_mark(&mut out, &report, mark);
        }
        out.raw("</ul>");
    });
    form(&mut out, &report);
    out.finish()
}

fn put_mark(out: &mut Markup, report: &Report, mark: &Mark) {
    let label = report
        .answer(&mark.answer)
        .map_or(mark.answer.as_str(), |answer| answer.label);
    out.raw("<li><b>")
        .words(label)
        .raw(" ")
        .words(&mark.value)
        .raw("</b>: ")
        .words(mark.trust.label());
    for more in [&mark.date, &mark.note] {
        if !more.is_empty() {
            out.raw(", ").words(more);
        }
    }
    if mark.is_stale(report) {
        out.raw("<p class=why>It has changed since: prove it again.</p>");
    }
    button(
        out,
        &["unmark ", &mark.answer].concat(),
        "Take this mark off",
    );
    out.raw("</li>");
}

/// The form for a mark.
fn form(out: &mut Markup, report: &Report) {
    let answers = || {
        report
            .answers()
            .filter(|(answer, found)| found.is_some() && !is_figure(answer))
    };
    if answers().next().is_none() {
        out.raw("<p class=help>An answer can be marked once it has a value.</p>");
        return;
    }
    out.raw("<form class=new data-submit=mark><label for=mark-answer>Answer</label><select id=mark-answer>");
    for headline in [true, false] {
        for (answer, _) in answers().filter(|(answer, _)| answer.headline == headline) {
            out.raw("<option value=")
                .raw(answer.key)
                .raw(">")
                .words(answer.label)
                .raw("</option>");
        }
    }
    out.raw("</select><label for=mark-how>How it was obtained</label><select id=mark-how>");
    for trust in TRUSTS {
        out.raw("<option value=")
            .raw(trust.word())
            .raw(">")
            .raw(trust.label())
            .raw("</option>");
    }
    out.raw("</select><label for=mark-date>Date</label><input id=mark-date type=date value=");
    out.words(&String::from(
        js_sys::Date::new_0().to_locale_date_string("sv", &JsValue::UNDEFINED),
    ));
    out.raw("><label for=mark-note>Note</label><input id=mark-note autocomplete=off placeholder=\"dial gauge over 150 mm\"><button>Mark it</button></form>");
}

fn done(page: Page, act: &Act) {
    let place = page.place.get_value();
    let before = untrack(|| page.desk.entries(&place, &PART));
    let undo = || {
        Some(Action::Undo(vec![Undo::Entries(
            place.clone(),
            &PART,
            Some(before.clone()),
        )]))
    };
    match act.word.as_str() {
        "mark" => {
            let typed = |id: &str| element(id).map(|input| value(&input)).unwrap_or_default();
            let (answer, how) = (typed("mark-answer"), typed("mark-how"));
            let mark = page.report.with_untracked(|report| {
                let declared = report.answer(&answer)?;
                Some(Mark {
                    sheet: page.sheet.id.into(),
                    answer: answer.clone(),
                    trust: TRUSTS.into_iter().find(|trust| trust.word() == how)?,
                    value: report.shown(declared).unwrap_or_default(),
                    date: typed("mark-date"),
                    note: typed("mark-note").trim().into(),
                })
            });
            if let Some(mark) = mark {
                act.done();
                edit(page, &place, |part| part.set_mark(&mark));
                page.desk.tell("The answer is marked.", undo());
            }
        }
        "unmark" => {
            edit(page, &place, |part| part.unmark(page.sheet.id, &act.about));
            page.desk.tell("The mark is taken off.", undo());
        }
        _ => {}
    }
}

fn edit(page: Page, place: &Place, change: impl FnOnce(&mut layshaft_core::machine::Part)) {
    page.desk.edit_part(place, change);
}
