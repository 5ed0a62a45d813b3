//! `mass`: what moves.

use super::declare::{Answer, Field, Sheet, Subject, When, choice};
use super::inputs::{Inputs, Row};
use super::outcome::Outcome;
use crate::entry::unit::{G, KG};

const CARRIED: When = &[("y_carries_x", &["yes"])];
const APART: When = &[("y_carries_x", &["no"])];

const FIELDS: &[Field] = &[
    Field::rows(
        "items",
        "Parts",
        &[
            Field::word("name", "Name").optional(),
            Field::number("mass", "Mass of each", G)
                .at_least(0.0, "a part weighs something or nothing")
                .at_most(1e9, "no part of such a machine weighs more"),
            Field::count("count", "Number").at_most(1e6, "no machine has more of a part"),
            Field::choice(
                "group",
                "Moves with",
                &[
                    choice("x", "X"),
                    choice("y", "Y"),
                    choice("z", "Z"),
                    choice("fixed", "Nothing, it stands"),
                ],
            ),
        ],
    )
    .help("weigh what you have; a motor that rides along counts too"),
    Field::choice(
        "y_carries_x",
        "Y carries X",
        &[
            choice("yes", "Yes, X rides on Y"),
            choice("no", "No, each on its own"),
        ],
    ),
];

const SUM: &str = "Sum of the parts";

const ANSWERS: &[Answer] = &[
    Answer::number("x", "Moved by X", KG)
        .headline()
        .formula("mass × pieces of the parts of X", SUM),
    Answer::number("y", "Moved by Y, X included", KG)
        .headline()
        .formula("sum of the parts of Y + {x}", SUM)
        .when(CARRIED),
    Answer::number("y", "Moved by Y", KG)
        .headline()
        .formula("mass × pieces of the parts of Y", SUM)
        .when(APART),
    Answer::number("z", "Moved by Z", KG)
        .headline()
        .formula("mass × pieces of the parts of Z", SUM),
    Answer::number("fixed", "Standing", KG).formula("mass × pieces of what stands", SUM),
    Answer::number("total", "Whole machine", KG).formula("each part once", SUM),
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "mass",
    title: "Masses",
    about: "what each axis moves, and what the machine weighs",
    search: "weight moving mass carriage gantry bed parts kilograms",
    subject: Subject::Frame,
    fields: FIELDS,
    answers: ANSWERS,
    checks: &[],
    cautions: &[],
    work,
};

fn work(inputs: &Inputs, out: &mut Outcome) {
    let Some(items) = inputs.rows("items") else {
        return;
    };
    let of = |group: &str| -> f64 {
        items
            .iter()
            .filter(|row| row.word(3) == Some(group))
            .filter_map(kilograms)
            .sum()
    };
    let (x, y, z, fixed) = (of("x"), of("y"), of("z"), of("fixed"));
    out.put("x", x);
    match inputs.choice("y_carries_x") {
        "yes" => out.put("y", y + x),
        "no" => out.put("y", y),
        _ => {}
    }
    out.put("z", z);
    out.put("fixed", fixed);
    out.put("total", x + y + z + fixed);
}

/// What a row weighs.
fn kilograms(row: &Row) -> Option<f64> {
    Some(row.num(1)? * row.num(2)? / 1000.0)
}

#[cfg(test)]
mod tests {
    use super::super::trial::{number, run};

    const ITEMS: &str =
        "hot end,180,1,x;carriage,60,1,x;motor,280,2,y;bed,900,1,z;frame,750,4,fixed";

    #[test]
    fn y_carries_x_unless_said_and_the_total_counts_once() {
        let riding = run("mass", &[("items", ITEMS)]);
        let apart = run("mass", &[("items", ITEMS), ("y_carries_x", "no")]);
        for (report, y) in [(&riding, 0.8), (&apart, 0.56)] {
            for (key, expected) in [
                ("x", 0.24),
                ("y", y),
                ("z", 0.9),
                ("fixed", 3.0),
                ("total", 4.7),
            ] {
                assert!((number(report, key) - expected).abs() < 1e-12, "{key}");
            }
        }
    }

    #[test]
    fn nothing_typed_gives_nothing_and_a_bad_row_its_message() {
        assert_eq!(run("mass", &[]).number("total"), None);
        let bad = run("mass", &[("items", "hot end,180,1,w")]);
        assert!(
            bad.problems
                .iter()
                .any(|p| p.field == "items" && p.message.contains("row 1"))
        );
    }
}
