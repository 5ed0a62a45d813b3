//! Which page the address's fragment asks for.

use layshaft_core::machine::declared;
use layshaft_core::sheets::{self, Sheet};

use crate::state::Place;

/// A page of the app.
#[derive(Clone, Debug)]
pub enum Route {
    /// `#`: the sheets by subject.
    List,
    /// `#travel` or `#m/ID/PART/travel`: one sheet.
    Sheet(Place, &'static Sheet),
    /// `#machines`: the saved machines.
    Machines,
    /// `#m/ID`: one machine.
    Machine(String),
    /// `#m/ID/record`: its build record.
    Record(String),
    /// `#sources`: every formula with its source.
    Sources,
    /// A fragment that names none of these.
    Unknown(String),
}

/// What a fragment, without its `#`, asks for.
pub enum Asked {
    /// A page.
    Page(Route),
    /// To open a link: entries follow.
    Link,
}

/// Reads a fragment, without its `#`.
pub fn read(fragment: &str) -> Asked {
    if fragment.contains('?') {
        return Asked::Link;
    }
    let mut steps = fragment.trim_end_matches('/').split('/');
    let steps = [
        steps.next(),
        steps.next(),
        steps.next(),
        steps.next(),
        steps.next(),
        steps.next(),
    ];
    let page = match steps {
        [Some(""), None, ..] => Some(Route::List),
        [Some("machines"), None, ..] => Some(Route::Machines),
        [Some("sources"), None, ..] => Some(Route::Sources),
        [Some("m"), Some(""), ..] => None,
        [Some("m"), Some(id), None, ..] => Some(Route::Machine(id.into())),
        [Some("m"), Some(id), Some("record"), None, ..] => Some(Route::Record(id.into())),
        // What stands behind the sheet is the entry to begin with.
        [Some("m"), Some(id), Some(part), Some(sheet), _, None] => in_part(id, part, sheet),
        [Some(id), None, ..] => sheets::find(id).map(|sheet| Route::Sheet(Place::Loose, sheet)),
        _ => None,
    };
    Asked::Page(page.unwrap_or_else(|| Route::Unknown(fragment.into())))
}

fn in_part(id: &str, part: &str, sheet: &str) -> Option<Route> {
    let place = Place::Part {
        machine: id.into(),
        part: part.parse().ok()?,
    };
    Some(Route::Sheet(place, declared(sheet)?))
}

impl Route {
    /// Its address for an `href`, with the `#`.
    pub fn href(&self) -> String {
        match self {
            Self::List => "#".into(),
            Self::Sheet(place, sheet) => place.href(sheet),
            Self::Machines => "#machines".into(),
            Self::Machine(id) => machine_href(id),
            Self::Record(id) => record_href(id),
            Self::Sources => "#sources".into(),
            Self::Unknown(fragment) => ["#", fragment].concat(),
        }
    }
}

/// The address of a machine's build record, with the `#`.
pub fn record_href(id: &str) -> String {
    ["#m/", id, "/record"].concat()
}

/// The address of an entry or answer in a machine, with the `#`.
pub fn entry_href(id: &str, place: layshaft_core::machine::Place) -> String {
    let part = place.part.to_string();
    ["#m/", id, "/", &part, "/", place.sheet, "/", place.key].concat()
}

/// The address of a machine's page, with the `#`.
pub fn machine_href(id: &str) -> String {
    ["#m/", id].concat()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page(fragment: &str) -> Route {
        match read(fragment) {
            Asked::Page(route) => route,
            Asked::Link => panic!("{fragment} is no link"),
        }
    }

    #[test]
    fn every_page_is_found_again_by_its_own_address() {
        for fragment in [
            "",
            "travel",
            "machines",
            "sources",
            "m/k3f",
            "m/k3f/0/travel",
            "m/k3f/0/part",
            "m/k3f/record",
            "nothing/here",
        ] {
            let href = page(fragment).href();
            assert_eq!(href.strip_prefix('#'), Some(fragment));
        }
    }

    #[test]
    fn fragments_that_lead_nowhere_are_unknown() {
        for fragment in [
            "nothing",
            "m",
            "m//0/travel",
            "m/a/b/travel",
            "m/a/0/nothing",
            "m/a/0/travel/x/y",
            "m/a/record/x",
            "machines/x",
            "travel/x",
        ] {
            assert!(matches!(page(fragment), Route::Unknown(_)), "{fragment}");
        }
    }

    #[test]
    fn a_question_mark_makes_a_link() {
        assert!(matches!(read("travel?v=1&pitch=2"), Asked::Link));
        assert!(matches!(read("nothing?"), Asked::Link));
    }
}
