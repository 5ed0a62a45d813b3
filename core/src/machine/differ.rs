//! What one machine has that another has not: for a copy that came in beside the machine of the same name.

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::{Machine, Part, declared};

/// One difference.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Difference {
    /// The part's name.
    pub part: String,
    /// The sheet's id; empty when the whole part is new or gone.
    pub sheet: String,
    /// The entry's key; empty when the whole sheet is new or gone.
    pub key: String,
    /// As it stands in this machine; `None` where it has none.
    pub here: Option<String>,
    /// As it stands in the other.
    pub there: Option<String>,
}

impl Difference {
    /// What it is about, in words: "X axis, Travel, Belt pitch".
    pub fn label(&self) -> String {
        let mut label = self.part.clone();
        if !self.sheet.is_empty() {
            let sheet = declared(&self.sheet);
            let field =
                sheet.and_then(|sheet| sheet.fields.iter().find(|field| field.key == self.key));
            label.push_str(", ");
            label.push_str(sheet.map_or(&self.sheet, |sheet| sheet.title));
            if !self.key.is_empty() {
                label.push_str(", ");
                label.push_str(field.map_or(&self.key, |field| field.label));
            }
        }
        label
    }
}

impl Machine {
    /// Every difference to another machine, in the order of this one's parts, then what only the other has.
    ///
    /// Parts are the same when they have the same name; of several with one name the first matches the first.
    pub fn differences(&self, other: &Self) -> Vec<Difference> {
        let mut all = Vec::new();
        let mut rest: Vec<&Part> = other.parts.iter().collect();
        for part in &self.parts {
            let there = rest
                .iter()
                .position(|other| other.name == part.name)
                .map(|at| rest.remove(at));
            match there {
                Some(there) => sheets(&mut all, part, there),
                None => push(&mut all, [&part.name, "", ""], [Some("a part"), None]),
            }
        }
        for part in rest {
            push(&mut all, [&part.name, "", ""], [None, Some("a part")]);
        }
        all
    }
}

fn push(
    all: &mut Vec<Difference>,
    [part, sheet, key]: [&str; 3],
    [here, there]: [Option<&str>; 2],
) {
    all.push(Difference {
        part: part.to_string(),
        sheet: sheet.to_string(),
        key: key.to_string(),
        here: here.map(str::to_string),
        there: there.map(str::to_string),
    });
}

fn sheets(all: &mut Vec<Difference>, here: &Part, there: &Part) {
    for (id, entries) in &here.sheets {
        match there.entries(id) {
            Some(other) => {
                for (key, text) in entries
                    .iter()
                    .filter(|(key, text)| other.get(key) != Some(text))
                {
                    push(all, [&here.name, id, key], [Some(text), other.get(key)]);
                }
                for (key, text) in other.iter().filter(|(key, _)| entries.get(key).is_none()) {
                    push(all, [&here.name, id, key], [None, Some(text)]);
                }
            }
            None => push(all, [&here.name, id, ""], [Some("a sheet"), None]),
        }
    }
    for (id, _) in there
        .sheets
        .iter()
        .filter(|(id, _)| here.entries(id).is_none())
    {
        push(all, [&here.name, id, ""], [None, Some("a sheet")]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::machine::trial::machine;

    #[test]
    fn what_is_new_gone_or_changed_is_listed_once() {
        let here = machine(
            "part=X axis\ntravel?pitch=2&teeth=20\nrate?limit=5\npart=Z\npart=Z\nscrew?load=2",
        );
        let there =
            machine("part=X axis\ntravel?pitch=2&teeth=16&step=0.9\npart=Z\nbeam?span=3\npart=Bed");
        let found: Vec<(String, Option<String>, Option<String>)> = here
            .differences(&there)
            .into_iter()
            .map(|difference| (difference.label(), difference.here, difference.there))
            .collect();
        let some = |text: &str| Some(text.to_string());
        assert_eq!(
            found,
            [
                (
                    "X axis, Travel, Pulley teeth".to_string(),
                    some("20"),
                    some("16")
                ),
                ("X axis, Travel, Full step".to_string(), None, some("0.9")),
                ("X axis, Step rate".to_string(), some("a sheet"), None),
                ("Z, Beam".to_string(), None, some("a sheet")),
                ("Z".to_string(), some("a part"), None),
                ("Bed".to_string(), None, some("a part")),
            ]
        );
        assert!(here.differences(&here).is_empty());
    }
}
