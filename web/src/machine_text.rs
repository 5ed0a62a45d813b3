//! The text of the machine pages, made from the machines alone.

use layshaft_core::machine::{Machine, Part};
use layshaft_core::sheets::{self, Sheet};

use crate::markup::Markup;
use crate::panel::{NameField, button};
use crate::route::machine_href;
use crate::state::Place;
use crate::storage::{Aside, Held};

/// The page of all machines: `names` in the order in which they are listed.
pub fn all(names: &[(String, String)], held: &[Held], aside: &[Aside]) -> String {
    let mut out = Markup::default();
    out.raw("<header class=intro><h1>Machines</h1><p>A machine keeps the sheets of its parts together: an axis, a hot end, the supply.</p></header>");
    out.raw("<section>");
    if names.is_empty() {
        out.raw(
            "<p>None yet. Fill in a sheet and save it to a machine, or begin with a name here.</p>",
        );
    }
    out.raw("<ul class=plain>");
    for (id, name) in names {
        let parts = held
            .iter()
            .find(|held| held.id == *id)
            .map(|held| part_names(&held.machine));
        link(
            &mut out,
            &machine_href(id),
            name,
            &parts.unwrap_or_default(),
        );
        out.raw("</li>");
    }
    out.raw("</ul><form class=new data-submit=add-machine>");
    NameField {
        id: "new-machine",
        label: "New machine",
        example: "Heron 160",
        sends: "name",
        name: "",
    }
    .put(&mut out);
    out.raw("<button>Add machine</button></form></section>");
    set_aside(&mut out, aside);
    out.raw("<section><h2>Files</h2><p>Machines are kept in this browser only. A file keeps them safe and brings them to another device; \
        reading one changes nothing that is here.</p><div class=acts>");
    button(&mut out, "export-all", "Save all as a file");
    out.raw("<label class=file>Read a file<input id=machine-file type=file accept=\".txt,text/plain\" data-change=import></label></div></section>");
    out.finish()
}

/// The beginning of a list item that is a link with a second line.
fn link(out: &mut Markup, href: &str, title: &str, more: &str) {
    out.raw("<li><a class=machine href=\"")
        .words(href)
        .raw("\"><b>")
        .words(title)
        .raw("</b><span>")
        .words(more)
        .raw("</span></a>");
}

fn part_names(machine: &Machine) -> String {
    let names: Vec<&str> = machine
        .parts
        .iter()
        .map(|part| part.name.as_str())
        .collect();
    if names.is_empty() {
        "no parts yet".into()
    } else {
        names.join(", ")
    }
}

/// Records that could not be read, each with its reason.
fn set_aside(out: &mut Markup, aside: &[Aside]) {
    if aside.is_empty() {
        return;
    }
    out.raw("<section id=set-aside><h2>Set aside</h2><ul class=plain>");
    for aside in aside {
        out.raw("<li><p class=why>")
            .words(&aside.fault.message())
            .raw("</p><div class=acts>");
        button(
            out,
            &["export-aside ", &aside.id].concat(),
            "Save it as a file",
        );
        button(out, &["delete-aside ", &aside.id].concat(), "Delete it");
        out.raw("</div></li>");
    }
    out.raw("</ul></section>");
}

/// The page of one machine.
pub fn one(id: &str, machine: Option<&Machine>) -> String {
    let mut out = Markup::default();
    let Some(machine) = machine else {
        out.raw("<header class=intro><h1>No such machine</h1><p>It is not in this browser: it was deleted, or saved on another \
            device.</p><p><a href=#machines>All machines</a></p></header>");
        return out.finish();
    };
    out.raw("<header class=intro><p class=cap>Machine</p><h1 id=machine-title>")
        .words(&machine.name)
        .raw("</h1></header>");
    for (at, part) in machine.parts.iter().enumerate() {
        part_section(
            &mut out,
            Place::Part {
                machine: id.into(),
                part: at,
            },
            part,
        );
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
    out.raw(
        "<button>Add part</button></form></section><section><h2>This machine</h2><div class=new>",
    );
    let name = &machine.name;
    NameField {
        id: "machine-name",
        label: "Name of the machine",
        example: "Heron 160",
        sends: "name",
        name,
    }
    .put(&mut out);
    out.raw("<div class=acts>");
    button(&mut out, "copy", "Duplicate");
    button(&mut out, "export", "Save as a file");
    button(&mut out, "delete", "Delete machine");
    out.raw("</div></div></section>");
    out.finish()
}

/// One part: its sheets with their headline answers, in the order of the list of sheets, and what can be changed about it.
fn part_section(out: &mut Markup, place: Place, part: &Part) {
    let number = place.part().to_string();
    out.raw("<section data-part=")
        .words(&number)
        .raw("><h2 id=part-title-")
        .words(&number)
        .raw(">")
        .words(&part.name);
    out.raw("</h2><ul class=\"plain sheets\">");
    let (there, missing): (Vec<&Sheet>, Vec<&Sheet>) = sheets::all()
        .iter()
        .partition(|sheet| part.entries(sheet.id).is_some());
    for sheet in &there {
        link(out, &place.href(sheet), sheet.title, &headline(part, sheet));
        out.raw("<button type=button class=quiet data-click=\"take-out ")
            .words(&number)
            .raw(" ")
            .words(sheet.id);
        out.raw("\" aria-label=\"Delete ")
            .words(sheet.title)
            .raw("\">Delete</button></li>");
    }
    if part.sheets.len() > there.len() {
        out.raw("<li>Sheets of a newer version are kept here too.</li>");
    }
    out.raw("</ul><details><summary>Add a sheet</summary><ul class=plain>");
    for sheet in missing {
        link(out, &place.href(sheet), sheet.title, "");
        out.raw("</li>");
    }
    out.raw("</ul></details><details><summary>Change this part</summary><div class=new>");
    let (id, sends) = (
        ["part-name-", &number].concat(),
        ["part-name ", &number].concat(),
    );
    NameField {
        id: &id,
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

/// The headline answers of a sheet in one line, or that it still waits for entries.
fn headline(part: &Part, sheet: &Sheet) -> String {
    let Some(sheet) = layshaft_core::sheets::find(sheet.id) else {
        return String::new();
    };
    let report = part.report(sheet);
    let headlines = report.answers().filter(|(answer, _)| answer.headline);
    let shown: Vec<String> = headlines
        .filter_map(|(answer, _)| report.shown(answer))
        .collect();
    if shown.is_empty() {
        "waits for entries".into()
    } else {
        shown.join(", ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heron(name: &str) -> Machine {
        let travel = [("drive", "belt"), ("pitch", "2"), ("teeth", "20")]
            .into_iter()
            .collect();
        let part = Part {
            name: name.into(),
            sheets: vec![
                ("travel".into(), travel),
                ("later".into(), Default::default()),
            ],
        };
        Machine {
            name: name.into(),
            parts: vec![part],
        }
    }

    #[test]
    fn a_part_shows_its_headlines_and_what_it_does_not_know() {
        let text = one("k3f", Some(&heron("Heron 160")));
        // 2 mm of pitch times 20 teeth, definition.
        assert!(text.contains("40.0000\u{a0}mm"), "{text}");
        assert!(text.contains("href=\"#m/k3f/0/travel\""), "{text}");
        assert!(text.contains("Sheets of a newer version"), "{text}");
    }

    #[test]
    fn a_script_in_a_name_stays_text_everywhere() {
        let name = "\"><script>alert(1)</script>";
        let machine = heron(name);
        let held = Held {
            id: "k".into(),
            machine: machine.clone(),
            seen: None,
            over: None,
            dirty: false,
        };
        for text in [
            one("k", Some(&machine)),
            all(&[("k".into(), name.into())], &[held], &[]),
        ] {
            assert!(!text.contains("<script"), "{text}");
            assert!(text.contains("&quot;>&lt;script>"), "{text}");
        }
    }

    #[test]
    fn a_machine_that_is_not_there_is_said() {
        assert!(one("gone", None).contains("not in this browser"));
    }
}
