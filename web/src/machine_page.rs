//! The page of one machine: what it is made of, what breaks anywhere in it, what it costs, what is left to prove.
//!
//! Text made from the machine alone; every check, carried value and open answer leads to the entry that decides it.

use layshaft_core::entry::write::{write_fixed, write_significant};
use layshaft_core::link::unpinned;
use layshaft_core::machine::{
    Item, Machine, MachineCheck, Part, Place as At, Trust, Worked, label,
};
use layshaft_core::sheets::{self, Report, Sheet, State, join_unit};

use crate::checks;
use crate::machine_text::link;
use crate::markup::Markup;
use crate::panel::{NameField, button};
use crate::route::{entry_href, record_href};
use crate::state::Place;
use crate::study::compare::cost;

/// The check of what was proven.
const UNPROVEN: &str = "unproven";
/// How many entries a check leads to.
const MOST_LEADS: usize = 6;

/// Whether a sheet stands only in machines: it has no link and no studies.
pub fn is_own(sheet: &Sheet) -> bool {
    sheets::find(sheet.id).is_none()
}

/// The page; `twin` is the machine whose name this one's continues, as a copy's does.
pub fn one(id: &str, machine: &Machine, twin: Option<&Machine>) -> String {
    let worked = machine.work();
    let mut out = Markup::default();
    out.raw("<header class=intro><div><p class=cap>Machine</p><h1 id=machine-title>")
        .words(&machine.name)
        .raw("</h1><p>")
        .words(
            &[
                &counted(machine.parts.len(), "part"),
                ", ",
                &counted(worked.reports().count(), "sheet"),
                &money(machine),
                &over(&worked.checks(machine)),
            ]
            .concat(),
        )
        .raw("</p><div class=acts><a class=go href=\"")
        .words(&record_href(id))
        .raw("\">Build record</a></div></div></header>");
    if let Some(twin) = twin {
        differences(&mut out, machine, twin);
    }
    machine_checks(&mut out, id, machine, &worked);
    for (at, part) in machine.parts.iter().enumerate() {
        part_section(&mut out, id, at, part, machine, &worked);
    }
    out.raw("<section><form class=new data-submit=add-part>");
    NameField {
        id: "new-part",
        label: "New part",
        example: "X axis",
        sends: "new-part",
        name: "",
    }
    .put(&mut out);
    out.raw("<button>Add part</button></form></section>");
    carried(&mut out, id, machine, &worked);
    parts_list(&mut out, id, machine);
    alternatives(&mut out, id, machine, &worked);
    to_prove(&mut out, id, machine, &worked);
    out.raw("<section><h2>Move it</h2><p class=help>A copy of this machine on another device, or for somebody else. Nothing there is replaced.</p><div class=acts>");
    button(&mut out, "copy-link", "Copy link");
    button(&mut out, "show-code", "Show as a code");
    button(&mut out, "export", "Save as a file");
    out.raw("</div><div id=copied role=status></div><div id=code></div></section><section><h2>This machine</h2><div class=new>");
    NameField {
        id: "machine-name",
        label: "Name of the machine",
        example: "Heron 160",
        sends: "name",
        name: &machine.name,
    }
    .put(&mut out);
    out.raw("<div class=acts>");
    button(&mut out, "copy", "Duplicate");
    button(&mut out, "delete", "Delete machine");
    out.raw("</div></div></section>");
    out.finish()
}

/// "1 part", "6 parts".
fn counted(count: usize, what: &str) -> String {
    let many = if count == 1 { "" } else { "s" };
    [count.to_string().as_str(), " ", what, many].concat()
}

fn currency(machine: &Machine) -> &str {
    machine
        .title()
        .and_then(|title| title.get("currency"))
        .unwrap_or("")
        .trim()
}

/// A sum with the machine's currency.
fn priced(machine: &Machine, sum: f64) -> String {
    join_unit(write_fixed(sum, 2), currency(machine))
}

fn money(machine: &Machine) -> String {
    let list = machine.parts_list();
    if list.items.is_empty() {
        return String::new();
    }
    [", ", &priced(machine, list.cost)].concat()
}

/// ", 7 checks over their limits".
fn over(checks: &[MachineCheck]) -> String {
    let over = checks.iter().filter(|made| made.state == State::Over);
    match over.count() {
        0 => String::new(),
        count => [", ", &counted(count, "check"), " over the limit"].concat(),
    }
}

fn name(machine: &Machine, part: usize) -> &str {
    machine
        .parts
        .get(part)
        .map_or("", |part| part.name.as_str())
}

/// "X axis, Travel".
fn whereabouts(machine: &Machine, at: At) -> String {
    let title = layshaft_core::machine::declared(at.sheet).map_or(at.sheet, |sheet| sheet.title);
    [name(machine, at.part), ", ", title].concat()
}

/// A link to an entry or answer.
pub fn lead(out: &mut Markup, id: &str, at: At, words: &[&str]) {
    out.raw("<a href=\"").words(&entry_href(id, at)).raw("\">");
    for word in words {
        out.words(word);
    }
    out.raw("</a>");
}

/// What the other machine has that this one has not.
fn differences(out: &mut Markup, machine: &Machine, twin: &Machine) {
    let all = machine.differences(twin);
    out.raw("<section id=differences><h2>Beside ")
        .words(&twin.name)
        .raw("</h2>");
    if all.is_empty() {
        out.raw("<p>Both are the same in every part, sheet and entry.</p></section>");
        return;
    }
    out.raw("<details open><summary>")
        .words(&counted(all.len(), "difference"));
    out.raw("</summary><div class=table tabindex=0 role=region aria-label=Differences><table class=both><thead><tr><th scope=col>Here<th scope=col>There</tr></thead>");
    for difference in &all {
        out.raw("<tbody><tr><th colspan=2 scope=rowgroup>")
            .words(&difference.label())
            .raw("</th></tr><tr>");
        for text in [&difference.here, &difference.there] {
            out.raw("<td>")
                .words(text.as_deref().unwrap_or("–"))
                .raw("</td>");
        }
        out.raw("</tr></tbody>");
    }
    out.raw("</table></div></details></section>");
}

/// The checks of the whole machine: what is over first, what is within folded away.
fn machine_checks(out: &mut Markup, id: &str, machine: &Machine, worked: &Worked) {
    // What was never proven has a section of its own.
    let mut all = worked.checks(machine);
    all.retain(|made| made.check.id != UNPROVEN);
    out.raw("<section id=machine-checks><h2>Checks of the whole machine</h2>");
    if all.is_empty() {
        out.raw(
            "<p>None yet: they come with the sheets of axes, heaters, switches and the supply.</p>",
        );
    }
    let within = all
        .iter()
        .filter(|made| made.state == State::Within)
        .count();
    for state in [State::Over, State::Near, State::Within] {
        if state == State::Within && within > 0 {
            out.raw("<details><summary>")
                .words(&within.to_string())
                .raw(" within their limits</summary>");
        }
        for made in all.iter().filter(|made| made.state == state) {
            checks::begin(out, made);
            out.raw("<p class=leads>");
            for place in made.places.iter().take(MOST_LEADS) {
                lead(
                    out,
                    id,
                    *place,
                    &[name(machine, place.part), ": ", label(*place)],
                );
                out.raw(" ");
            }
            out.raw("</p></div></div>");
        }
        if state == State::Within && within > 0 {
            out.raw("</details>");
        }
    }
    out.raw("</section>");
}

/// One part: its sheets with their headline answers and what is over in them, and what can be changed about it.
fn part_section(
    out: &mut Markup,
    id: &str,
    at: usize,
    part: &Part,
    machine: &Machine,
    worked: &Worked,
) {
    let number = at.to_string();
    let place = Place::Part {
        machine: id.into(),
        part: at,
    };
    out.raw("<section data-part=")
        .words(&number)
        .raw("><h2 id=part-title-")
        .words(&number)
        .raw(">")
        .words(&part.name);
    out.raw("</h2><p class=help>").words(part.kind().label());
    let cost = machine.parts_list().cost_of(at);
    if cost > 0.0 {
        out.raw(", ").words(&priced(machine, cost));
    }
    out.raw("</p><ul class=\"plain sheets\">");
    let (there, missing): (Vec<&Sheet>, Vec<&Sheet>) = sheets::all()
        .iter()
        .partition(|sheet| part.entries(sheet.id).is_some());
    for sheet in &there {
        let report = worked.report(at, sheet.id);
        link(
            out,
            &place.href(sheet),
            sheet.title,
            &report.map_or_else(String::new, headline),
        );
        out.raw("<button type=button class=quiet data-click=\"take-out ")
            .words(&number)
            .raw(" ")
            .words(sheet.id);
        out.raw("\" aria-label=\"Delete ")
            .words(sheet.title)
            .raw("\">Delete</button></li>");
    }
    let known = |id: &String| layshaft_core::machine::declared(id).is_some();
    if part.sheets.iter().any(|(id, _)| !known(id)) {
        out.raw("<li>Sheets of a newer version are kept here too.</li>");
    }
    out.raw("</ul>");
    for untied in worked.untied.iter().filter(|untied| untied.to.part == at) {
        out.raw("<p class=why>")
            .words(&untied.message(machine))
            .raw(" ");
        lead(out, id, untied.to, &["Go there"]);
        out.raw("</p>");
    }
    out.raw("<p class=leads>");
    let own = At {
        part: at,
        sheet: "part",
        key: "items",
    };
    lead(out, id, own, &["Parts list and proof of ", &part.name]);
    out.raw("</p><details><summary>Add a sheet</summary><ul class=plain>");
    for sheet in missing {
        link(out, &place.href(sheet), sheet.title, "");
        out.raw("</li>");
    }
    out.raw("</ul></details><details><summary>Change this part</summary><div class=new>");
    let (input, sends) = (
        ["part-name-", &number].concat(),
        ["part-name ", &number].concat(),
    );
    NameField {
        id: &input,
        label: "Name of the part",
        example: "X axis",
        sends: &sends,
        name: &part.name,
    }
    .put(out);
    out.raw("<div class=acts>");
    button(out, &["copy-part ", &number].concat(), "Duplicate part");
    button(out, &["delete-part ", &number].concat(), "Delete part");
    out.raw("</div></div></details></section>");
}

/// The headline answers of a sheet in one line with what is over in it, or that it still waits for entries.
fn headline(report: &Report) -> String {
    let headlines = report.answers().filter(|(answer, _)| answer.headline);
    let shown: Vec<String> = headlines
        .filter_map(|(answer, _)| Some([answer.label, ": ", &report.shown(answer)?].concat()))
        .collect();
    let mut line = if shown.is_empty() {
        "waits for entries".into()
    } else {
        shown.join("; ")
    };
    for made in report
        .checks
        .iter()
        .filter(|made| made.state == State::Over)
    {
        line.push_str(". Over: ");
        line.push_str(made.check.label);
    }
    if !report.problems.is_empty() {
        line.push_str(". An entry cannot be read");
    }
    line
}

/// Where each blank entry that is carried comes from.
fn carried(out: &mut Markup, id: &str, machine: &Machine, worked: &Worked) {
    if worked.ties.is_empty() {
        return;
    }
    out.raw("<section id=carried><h2>Carried from sheet to sheet</h2><details><summary>");
    out.words(&counted(worked.ties.len(), "value"))
        .raw("</summary><ul class=plain>");
    for tie in &worked.ties {
        let report = worked.report(tie.from.part, tie.from.sheet);
        let value = report.and_then(|report| {
            let unit = report.measure(report.answer(tie.from.key)?).unit.sign;
            Some(join_unit(
                write_significant(report.number(tie.from.key)?, 6),
                unit,
            ))
        });
        out.raw("<li>");
        lead(
            out,
            id,
            tie.to,
            &[&whereabouts(machine, tie.to), ": ", label(tie.to)],
        );
        out.raw(" <b>")
            .words(&value.unwrap_or_default())
            .raw("</b> from ");
        lead(
            out,
            id,
            tie.from,
            &[&whereabouts(machine, tie.from), ": ", label(tie.from)],
        );
        out.raw("</li>");
    }
    out.raw("</ul></details></section>");
}

/// Every item with its cost, the cost of each part and of all.
fn parts_list(out: &mut Markup, id: &str, machine: &Machine) {
    let list = machine.parts_list();
    out.raw("<section id=parts-list><h2>Parts list</h2>");
    if list.items.is_empty() {
        out.raw("<p>Nothing yet: each part has a list of what it is made of, with prices.</p></section>");
        return;
    }
    out.raw("<div class=table tabindex=0 role=region aria-label=\"Parts list\"><table>");
    out.raw("<thead><tr><th scope=col>Name<th scope=col>Number<th scope=col>Each<th scope=col>Cost</tr></thead>");
    for (at, part) in machine.parts.iter().enumerate() {
        let own: Vec<&Item> = list
            .items
            .iter()
            .filter(|(of, _)| *of == at)
            .map(|(_, item)| item)
            .collect();
        if own.is_empty() {
            continue;
        }
        out.raw("<tbody><tr><th colspan=3 scope=rowgroup>");
        lead(
            out,
            id,
            At {
                part: at,
                sheet: "part",
                key: "items",
            },
            &[&part.name],
        );
        out.raw("</th><td><b>")
            .words(&write_fixed(list.cost_of(at), 2))
            .raw("</b></td></tr>");
        for item in own {
            let money = |x: Option<f64>| x.map_or_else(|| "–".into(), |x| write_fixed(x, 2));
            out.raw("<tr><td>")
                .words(&item.name)
                .raw(" <small>")
                .words(item.from_label())
                .raw("</small></td>");
            for cell in [
                &item.count.to_string(),
                &money(item.price),
                &money(item.cost()),
            ] {
                out.raw("<td>").words(cell).raw("</td>");
            }
            out.raw("</tr>");
        }
        out.raw("</tbody>");
    }
    out.raw("</table></div><p><b id=total>Together ")
        .words(&priced(machine, list.cost))
        .raw("</b>");
    if list.guessed > 0.0 {
        out.raw(", of which ")
            .words(&priced(machine, list.guessed))
            .raw(" with guessed figures");
    }
    if list.unpriced > 0 {
        out.raw("; ")
            .words(&counted(list.unpriced, "item"))
            .raw(" without a price");
    }
    out.raw(".</p></section>");
}

/// What the designs pinned beside today's cost and gain.
fn alternatives(out: &mut Markup, id: &str, machine: &Machine, worked: &Worked) {
    let mut more = 0.0;
    let mut any = false;
    for (part, report) in worked.reports() {
        let Some(pin) = report.entries.get("pin") else {
            continue;
        };
        let pinned = report.sheet.run(&unpinned(report.sheet, pin));
        if !any {
            out.raw("<section id=alternatives><h2>Pinned alternatives</h2><ul class=plain>");
        }
        any = true;
        let at = At {
            part,
            sheet: report.sheet.id,
            key: "",
        };
        out.raw("<li>");
        lead(out, id, at, &[&whereabouts(machine, at)]);
        if let (Some(now), Some(then)) = (cost(report), cost(&pinned)) {
            more += then - now;
            out.raw(": costs ")
                .words(&priced(machine, then))
                .raw(" instead of ")
                .words(&priced(machine, now));
        }
        for (answer, _) in report.answers().filter(|(answer, _)| answer.headline) {
            if let (Some(now), Some(then)) = (report.shown(answer), pinned.shown(answer)) {
                out.raw("; ")
                    .words(answer.label)
                    .raw(" ")
                    .words(&then)
                    .raw(" instead of ")
                    .words(&now);
            }
        }
        out.raw("</li>");
    }
    if any {
        out.raw("</ul><p><b>With all of them ")
            .words(&priced(machine, machine.parts_list().cost + more))
            .raw("</b></p></section>");
    }
}

/// How much of each part is proven on the bench, and its main answers that nobody proved yet.
fn to_prove(out: &mut Markup, id: &str, machine: &Machine, worked: &Worked) {
    let mut all = worked.checks(machine);
    all.retain(|made| made.check.id == UNPROVEN);
    if all.is_empty() {
        return;
    }
    out.raw("<section id=to-prove><h2>Left to prove on the bench</h2>");
    for made in &all {
        checks::begin(out, made);
        if made.state != State::Within {
            out.raw("<details><summary>")
                .words(&counted(made.places.len(), "answer"));
            out.raw(" to prove</summary><ul class=plain>");
            for at in &made.places {
                unproven(out, id, *at, machine, worked);
            }
            out.raw("</ul></details>");
        }
        out.raw("</div></div>");
    }
    out.raw("</section>");
}

/// One answer that is to be proven, and how it was obtained so far.
fn unproven(out: &mut Markup, id: &str, at: At, machine: &Machine, worked: &Worked) {
    let mark = machine
        .parts
        .get(at.part)
        .and_then(|part| part.mark(at.sheet, at.key));
    let shown = worked
        .report(at.part, at.sheet)
        .and_then(|report| report.shown(report.answer(at.key)?));
    let title = layshaft_core::machine::declared(at.sheet).map_or(at.sheet, |sheet| sheet.title);
    out.raw("<li>");
    lead(out, id, at, &[title, ": ", label(at)]);
    out.raw(" ")
        .words(&shown.unwrap_or_default())
        .raw(" <small>");
    let trust = mark.map_or(Trust::WorkedOut, |mark| mark.trust);
    // One that is proven and still here has changed since.
    out.words(if trust == Trust::Proven {
        "changed since it was proven"
    } else {
        trust.label()
    })
    .raw("</small></li>");
}
