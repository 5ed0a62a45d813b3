//! The build record of a machine: all that is known of it on one page, for the wall and for strangers who will check it.

use crate::dom::*;
use layshaft_core::entry::write::write_fixed;
use layshaft_core::machine::record::{PartRecord, SheetRecord, Step};
use layshaft_core::machine::{Machine, Record, declared};
use layshaft_core::sheets::{State, join_unit};
use wasm_bindgen::JsCast;

use crate::markup::Markup;
use crate::panel::{Act, button, panel};
use crate::route::{entry_href, machine_href};
use crate::state::Desk;
use crate::{checks, figure, machine_text, share};

/// Where the ticked boxes are kept, in the entries of the title block: the codes of the steps, so that a step whose figures
/// have changed is no longer ticked.
const TICKED: &str = "ticked";

/// Longer words than this, in bytes, are a sentence and need room.
const LONG: usize = 24;

/// Begins the page.
pub fn open(desk: Desk, id: String) {
    let shown = id.clone();
    let text = move || {
        desk.machine(&shown, |machine| {
            machine.map_or_else(machine_text::missing, |machine| page(&shown, machine))
        })
    };
    panel("panel", text, move |act| done(desk, &id, &act));
}

fn done(desk: Desk, id: &str, act: &Act) {
    let copy = |of: fn(&Record, &str) -> String, said| {
        let text = untrack(|| {
            desk.machine(id, |machine| {
                machine.map(|machine| of(&machine.record(&machine.work()), &share::site()))
            })
        });
        _ = text.map(|text| share::give(text, said));
    };
    match act.word.as_str() {
        "print" => _ = window().print(),
        "markdown" => copy(Record::markdown, "The record is copied as Markdown."),
        "bbcode" => copy(Record::bbcode, "The record is copied as BBCode."),
        "csv" => copy(Record::csv, "The record is copied as CSV."),
        "json" => copy(Record::json, "The record is copied as JSON."),
        "tick" => {
            let on = act
                .control
                .unchecked_ref::<web_sys::HtmlInputElement>()
                .checked();
            desk.edit(id, |machine| tick(machine, &act.about, on));
        }
        _ => {}
    }
}

/// The code of a step: FNV-1a, 32 bits, over its words.
fn code(step: &Step) -> String {
    let bytes = step.stage.word().bytes().chain(step.text.bytes());
    let code = bytes.fold(0x811c_9dc5_u32, |code, byte| {
        (code ^ u32::from(byte)).wrapping_mul(0x0100_0193)
    });
    format!("{code:08x}")
}

fn ticked(machine: &Machine) -> Vec<String> {
    let kept = machine
        .title()
        .and_then(|title| title.get(TICKED))
        .unwrap_or("");
    kept.split(';')
        .filter(|code| !code.is_empty())
        .map(String::from)
        .collect()
}

fn tick(machine: &mut Machine, code: &str, on: bool) {
    let mut codes = ticked(machine);
    codes.retain(|other| other != code);
    if on {
        codes.push(code.into());
    }
    let mut entries = machine.title().cloned().unwrap_or_default();
    entries.set(TICKED, &codes.join(";"));
    machine.set_title(entries);
}

/// The whole page.
fn page(id: &str, machine: &Machine) -> String {
    let worked = machine.work();
    let record = machine.record(&worked);
    let mut out = Markup::default();
    out.raw("<div class=record><header class=intro><div><p class=cap>Build record</p><h1>")
        .words(&record.name)
        .raw("</h1>");
    out.raw("<dl class=block>");
    for (label, text) in &record.title {
        out.raw("<div><dt>")
            .raw(label)
            .raw("</dt><dd>")
            .words(text)
            .raw("</dd></div>");
    }
    out.raw("</dl><p class=\"leads unprinted\"><a href=\"")
        .words(&machine_href(id))
        .raw("\">The machine</a> ");
    let holder = machine
        .parts
        .iter()
        .position(|part| part.entries("title").is_some())
        .unwrap_or(0);
    if !machine.parts.is_empty() {
        let place = layshaft_core::machine::Place {
            part: holder,
            sheet: "title",
            key: "owner",
        };
        out.raw("<a href=\"")
            .words(&entry_href(id, place))
            .raw("\">Fill in the title block</a>");
    }
    out.raw("</p><div class=\"acts unprinted\">");
    for (sends, label) in [
        ("print", "Print"),
        ("markdown", "Copy as Markdown"),
        ("bbcode", "Copy as BBCode"),
        ("csv", "Copy as CSV"),
        ("json", "Copy as JSON"),
    ] {
        button(&mut out, sends, label);
    }
    out.raw("</div><div id=copied role=status></div></div></header>");
    out.raw("<section><h2>Checks of the whole machine</h2>");
    for made in &record.checks {
        checks::begin(&mut out, made);
        out.raw("</div></div>");
    }
    out.raw("</section>");
    first_power(&mut out, machine, &record);
    for (at, part) in record.parts.iter().enumerate() {
        put_part(&mut out, id, machine, &record, at, part);
    }
    parts_list(&mut out, &record);
    out.raw("</div>");
    out.finish()
}

/// The boxes to tick, stage by stage.
fn first_power(out: &mut Markup, machine: &Machine, record: &Record) {
    out.raw("<section id=first-power><h2>First power-on</h2><p>")
        .raw(layshaft_core::machine::record::NOTE)
        .raw("</p>");
    let done = ticked(machine);
    for steps in record.first_power.chunk_by(|a, b| a.stage == b.stage) {
        let Some(first) = steps.first() else { continue };
        out.raw("<h3>").raw(first.stage.title()).raw("</h3>");
        for step in steps {
            let code = code(step);
            out.raw("<label class=tick><input type=checkbox id=t-")
                .words(&code)
                .raw(" data-change=\"tick ")
                .words(&code);
            out.raw(if done.contains(&code) {
                "\" checked><span>"
            } else {
                "\"><span>"
            });
            out.words(&step.text).raw("</span></label>");
        }
    }
    out.raw("</section>");
}

fn put_part(
    out: &mut Markup,
    id: &str,
    machine: &Machine,
    record: &Record,
    at: usize,
    part: &PartRecord,
) {
    out.raw("<section class=of-part><h2>")
        .words(&part.name)
        .raw(" · ")
        .raw(part.kind.label())
        .raw("</h2>");
    for sheet in &part.sheets {
        let place = layshaft_core::machine::Place {
            part: at,
            sheet: sheet.id,
            key: "",
        };
        out.raw("<article data-sheet=\"")
            .words(&at.to_string())
            .raw("/")
            .raw(sheet.id)
            .raw("\"><h3><a href=\"")
            .words(entry_href(id, place).trim_end_matches('/'))
            .raw("\">")
            .raw(sheet.title)
            .raw("</a></h3>");
        put_sheet(out, record, sheet);
        if let Some(declared) = declared(sheet.id).filter(|sheet| crate::drawing::draws(sheet.id)) {
            let drawn = figure::own(&machine.report_after(at, declared, None));
            out.raw("<figure>").markup(&drawn).raw("</figure>");
        }
        out.raw("</article>");
    }
    out.raw("</section>");
}

fn put_sheet(out: &mut Markup, record: &Record, sheet: &SheetRecord) {
    out.raw("<div class=lists><table class=facts><thead><tr><th scope=col>Answer<th scope=col>Value<th scope=col>Origin</tr></thead><tbody>");
    for answer in &sheet.answers {
        out.raw(if answer.headline {
            "<tr class=main><td>"
        } else {
            "<tr><td>"
        })
        .raw(answer.label);
        // A sentence has the width of both columns.
        let (value, origin) = if answer.value.is_none() && answer.text.len() > LONG {
            ("</td><td colspan=2>", " <small>")
        } else {
            ("</td><td>", "</td><td>")
        };
        out.raw(value)
            .words(&answer.shown())
            .raw(origin)
            .words(&answer.obtained())
            .raw("</td></tr>");
    }
    out.raw("</tbody></table><table class=facts><thead><tr><th scope=col>Entry<th scope=col>Value<th scope=col>Origin</tr></thead><tbody>");
    for entry in &sheet.entries {
        out.raw("<tr><td>")
            .raw(entry.label)
            .raw("</td><td>")
            .words(&entry.shown());
        out.raw("</td><td>")
            .words(&record.origin(entry))
            .raw("</td></tr>");
    }
    out.raw("</tbody></table></div>");
    for made in &sheet.checks {
        out.raw("<p><b>").raw(match made.state {
            State::Within => "Within: ",
            State::Near => "Near: ",
            State::Over => "Over: ",
        });
        out.raw("</b>").words(&made.text).raw("</p>");
    }
    for problem in &sheet.problems {
        out.raw("<p class=why>").words(problem).raw("</p>");
    }
    for caution in &sheet.cautions {
        out.raw("<p class=heed><b>Caution: ")
            .raw(caution.what)
            .raw("</b> ")
            .raw(caution.first)
            .raw("</p>");
    }
}

fn parts_list(out: &mut Markup, record: &Record) {
    if record.list.items.is_empty() {
        return;
    }
    out.raw("<section><h2>Parts list</h2><table class=facts><thead><tr><th scope=col>Item<th scope=col>Cost<th scope=col>For, figures from</tr></thead><tbody>");
    for (part, item) in &record.list.items {
        let part = record
            .parts
            .get(*part)
            .map_or("", |part| part.name.as_str());
        out.raw("<tr><td>")
            .words(&item.count.to_string())
            .raw(" × ")
            .words(&item.name)
            .raw("</td><td>");
        out.words(
            &item
                .cost()
                .map_or_else(|| "–".into(), |cost| write_fixed(cost, 2)),
        )
        .raw("</td><td>")
        .words(part);
        out.raw(if item.from.is_empty() { "" } else { ", " })
            .raw(item.from_label())
            .raw("</td></tr>");
    }
    out.raw("</tbody></table><p><b>Together ")
        .words(&join_unit(
            write_fixed(record.list.cost, 2),
            &record.currency,
        ))
        .raw("</b></p></section>");
}

#[cfg(test)]
mod tests {
    use super::*;
    use layshaft_core::machine::example;

    #[test]
    fn the_record_has_every_answer_caution_and_a_drawing_and_keeps_its_ticks() {
        let mut machine = example::machine().expect("the record is whole");
        let record = machine.record(&machine.work());
        let html = page("k", &machine);
        let answers = record
            .parts
            .iter()
            .flat_map(|part| &part.sheets)
            .map(|sheet| sheet.answers.len())
            .sum::<usize>();
        assert_eq!(
            html.matches("<tr><td>").count() + html.matches("<tr class=main>").count(),
            answers
                + record
                    .parts
                    .iter()
                    .flat_map(|part| &part.sheets)
                    .map(|sheet| sheet.entries.len())
                    .sum::<usize>()
                + record.list.items.len()
        );
        assert!(
            html.contains("<svg role=img")
                && html.contains("Caution: ")
                && html.contains("H160-01")
        );
        let codes: Vec<String> = record.first_power.iter().map(code).collect();
        let mut apart = codes.clone();
        apart.sort();
        apart.dedup();
        assert_eq!(apart.len(), codes.len(), "every box has a code of its own");
        tick(&mut machine, codes.first().expect("there are steps"), true);
        assert_eq!(page("k", &machine).matches(" checked>").count(), 1);
        assert_eq!(
            machine.title().and_then(|title| title.get("number")),
            Some("H160-01")
        );
        tick(&mut machine, codes.first().expect("there are steps"), false);
        assert!(!page("k", &machine).contains(" checked>"));
    }

    #[test]
    fn a_script_in_a_name_stays_text_in_the_record() {
        let mut machine = example::machine().expect("the record is whole");
        machine.name = "<script>1</script>".into();
        for part in &mut machine.parts {
            part.name = "<img src=x>".into();
        }
        let html = page("\"><b>", &machine);
        assert!(!html.contains("<script") && !html.contains("<img") && !html.contains("\"><b>/"));
    }
}
