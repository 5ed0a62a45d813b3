//! Every formula of a sheet in words, with its source: what the page of sources lists, whatever is entered.

use alloc::string::String;
use alloc::vec::Vec;

use super::declare::{Answer, Kind, Sheet, When};
use super::report::{fill, in_sentence};

/// A formula as it is declared.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Cited {
    /// What it gives.
    pub label: &'static str,
    /// The labels of the choices under which it stands, such as "Toothed belt"; empty when it always does.
    pub choice: String,
    /// Its right side in words.
    pub formula: String,
    /// Title and section, or "common practice", or "definition".
    pub source: &'static str,
}

/// All formulas of a sheet in the order of its working.
///
/// ```
/// # use layshaft_core::sheets::{cited, find};
/// let all = cited(find("belt").unwrap());
/// assert_eq!(all[0].formula, "4 × mass of the belt per metre × (span that is plucked × frequency of the span)²");
/// assert!(find("no such sheet").is_none());
/// ```
pub fn cited(sheet: &Sheet) -> Vec<Cited> {
    let formulas = sheet
        .answers
        .iter()
        .filter(|answer| !answer.formula.is_empty());
    formulas
        .filter_map(|answer| {
            Some(Cited {
                label: answer.label,
                choice: choices(sheet, answer.when),
                formula: fill(answer.formula, |key| {
                    label(sheet, answer, key).map(in_sentence)
                })?,
                source: answer.source,
            })
        })
        .collect()
}

/// The label of an entry or answer beside `answer`: where a key stands several times, that which stands under its choices.
fn label(sheet: &Sheet, answer: &Answer, key: &str) -> Option<&'static str> {
    let fields = sheet
        .fields
        .iter()
        .map(|field| (field.key, field.label, field.when));
    let answers = sheet
        .answers
        .iter()
        .map(|other| (other.key, other.label, other.when));
    fields
        .chain(answers)
        .find(|(other, _, when)| *other == key && together(answer.when, when))
        .map(|(_, label, _)| label)
}

/// Whether both may stand at once.
fn together(one: When, other: When) -> bool {
    one.iter().all(|(key, accepted)| {
        let others = other.iter().filter(|(other, _)| other == key);
        others
            .map(|(_, words)| words)
            .all(|words| words.iter().any(|word| accepted.contains(word)))
    })
}

/// "Toothed belt" or "Toothed belt, Chain; Once": the words a person chose.
fn choices(sheet: &Sheet, when: When) -> String {
    let mut text = String::new();
    for (key, accepted) in when {
        let choices = sheet.fields.iter().find_map(|field| match field.kind {
            Kind::Choice(choices) if field.key == *key => Some(choices),
            _ => None,
        });
        let chosen = choices.unwrap_or_default().iter();
        let chosen = chosen.filter(|choice| accepted.contains(&choice.key));
        for (at, choice) in chosen.enumerate() {
            match (at, text.is_empty()) {
                (_, true) => {}
                (0, false) => text.push_str("; "),
                _ => text.push_str(", "),
            }
            text.push_str(choice.label);
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::all;

    #[test]
    fn every_formula_is_in_words_and_has_a_source() {
        for sheet in all() {
            let formulas = sheet
                .answers
                .iter()
                .filter(|answer| !answer.formula.is_empty());
            let cited = cited(sheet);
            assert_eq!(cited.len(), formulas.count(), "{}", sheet.id);
            for one in &cited {
                assert!(
                    !one.source.is_empty() && !one.formula.contains(['{', '}']),
                    "{one:?}"
                );
            }
        }
    }

    #[test]
    fn a_key_that_stands_several_times_has_the_label_of_its_choice() {
        let cited = cited(crate::sheets::find("travel").expect("it is listed"));
        for (choice, formula) in [
            ("Toothed belt", "belt pitch × pulley teeth"),
            ("Rack and pinion", "rack pitch × pinion teeth"),
        ] {
            let fits = |one: &Cited| one.choice == choice && one.formula == formula;
            assert!(cited.iter().any(fits), "{choice}: {cited:?}");
        }
    }
}
