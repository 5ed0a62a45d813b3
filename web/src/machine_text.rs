//! The text of the machine pages, made from the machines alone.

use layshaft_core::machine::Machine;

use crate::markup::Markup;
use crate::panel::{NameField, button};
use crate::route::machine_href;
use crate::storage::{Aside, Held};

/// The page of all machines: `names` in the order in which they are listed; `scans` where the browser reads codes.
pub fn all(names: &[(String, String)], held: &[Held], aside: &[Aside], scans: bool) -> String {
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
    out.raw("<label class=file>Read a file<input id=machine-file type=file accept=\".txt,text/plain\" data-change=import></label>");
    if scans {
        button(&mut out, "scan", "Read a code with the camera");
    }
    out.raw("</div><div id=scan></div></section>");
    out.finish()
}

/// The beginning of a list item that is a link with a second line.
pub fn link(out: &mut Markup, href: &str, title: &str, more: &str) {
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

/// The page of a machine that is not there.
pub fn missing() -> String {
    "<header class=intro><h1>No such machine</h1><p>It is not in this browser: it was deleted, or saved on another \
        device.</p><p><a href=#machines>All machines</a></p></header>"
        .into()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::machine_page;
    use layshaft_core::machine::Part;

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
        let text = machine_page::one("k3f", &heron("Heron 160"), None);
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
            machine_page::one("k", &machine, None),
            all(&[("k".into(), name.into())], &[held], &[], true),
        ] {
            assert!(!text.contains("<script"), "{text}");
            assert!(text.contains("&quot;>&lt;script>"), "{text}");
        }
    }

    #[test]
    fn a_machine_that_is_not_there_is_said() {
        assert!(missing().contains("not in this browser"));
    }
}
