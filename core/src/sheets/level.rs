//! `level`: a bed on screws.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::declare::{Answer, Field, Sheet, Subject, choice, head, places};
use super::inputs::{Inputs, Row};
use super::outcome::{Cell, Outcome};
use crate::entry::unit::{MM, MM_M, ONE, TURN};
use crate::entry::write::{write_fixed, write_shortest};
use crate::measure::line::standard_deviation;
use crate::measure::plane::Plane;
use crate::measure::student::t95;

/// Beyond this a place is a slip of the finger, mm.
const FAR: f64 = 1e6;
const TOO_FAR: &str = "no bed is that large";

const fn place(key: &'static str, label: &'static str) -> Field {
    Field::number(key, label, MM)
        .at_least(-FAR, TOO_FAR)
        .at_most(FAR, TOO_FAR)
}

const FIELDS: &[Field] = &[
    Field::rows(
        "probes",
        "Probed points",
        &[place("x", "X"), place("y", "Y"), place("z", "Z")],
    )
    .help("Z up: the height of the bed there; three points or more, not in a line"),
    Field::rows("screws", "Screws", &[place("x", "X"), place("y", "Y")])
        .help("in the same coordinates"),
    Field::number("pitch", "Pitch of the screws", MM)
        .above(0.0, "a turn moves the bed")
        .at_most(100.0, "no screw is that coarse")
        .help("0.5 for M3, 0.7 for M4"),
    Field::count("fixed", "Screw to leave alone")
        .optional()
        .at_least(1.0, "screws count from 1")
        .at_most(1e6, "no bed has more")
        .help("its number in the list above; blank turns all to their mean height"),
    Field::choice(
        "tighten",
        "Tightening a screw",
        &[
            choice("lowers", "lowers the bed, as with springs below it"),
            choice("raises", "raises the bed"),
        ],
    )
    .optional()
    .help("for which way to turn; try one screw"),
    Field::rows(
        "repeats",
        "One point probed again and again",
        &[place("z", "Z")],
    )
    .optional()
    .help("five times or more: how well the probe repeats"),
    Field::number("layer", "First layer", MM)
        .default("0.2")
        .above(0.0, "a layer has a height")
        .at_most(100.0, "no layer is higher"),
];

const PLANE: &str = "Plane of least squares, textbooks of statistics";

const ANSWERS: &[Answer] = &[
    Answer::number("tilt_x", "Tilt along X", MM_M).formula("slope of the plane in X", PLANE),
    Answer::number("tilt_y", "Tilt along Y", MM_M).formula("slope of the plane in Y", PLANE),
    Answer::list("turns", "Turns of each screw, above 0 raises the bed", TURN)
        .significant(2)
        .headline()
        .formula("{moves} ÷ {pitch}", "Definition"),
    Answer::list("moves", "Rise of the bed at each screw", MM)
        .significant(2)
        .formula("mean or fixed height less the plane's at the screw", PLANE),
    Answer::number("flatness", "Off the plane, peak to peak", MM)
        .fixed(3)
        .formula(
            "highest less lowest distance from the plane",
            "Peak to valley about the least-squares plane, ISO 12781-1",
        ),
    Answer::number("repeat_sd", "Scatter of the probe, standard deviation", MM)
        .significant(2)
        .formula("√(Σ (z − mean)² ÷ (n − 1))", "GUM (JCGM 100:2008) 4.2.2"),
    Answer::number("samples", "Readings to average at each point", ONE)
        .fixed(0)
        .formula(
            "(t × {repeat_sd} ÷ ({layer} ÷ 20))², rounded up",
            "Student's t, 95 %: the mean is then good to a twentieth of a layer",
        ),
    Answer::text("verdict", "Verdict").headline(),
    Answer::text("next", "Next"),
    Answer::rows(
        "todo",
        "What to do at each screw",
        &[
            places("Screw", "", 0),
            head("X", "mm", 5),
            head("Y", "mm", 5),
            places("Rise", "mm", 3),
            places("Turns", "", 2),
            head("Do", "", 4),
        ],
    ),
    Answer::rows(
        "points",
        "How far each point is off the plane",
        &[
            head("X", "mm", 5),
            head("Y", "mm", 5),
            places("Height", "mm", 3),
            places("Off the plane", "mm", 3),
        ],
    ),
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "level",
    title: "Level",
    about: "how far to turn each bed screw, what no screw removes, and how well the probe repeats",
    search: "bed levelling tramming screws probe plane tilt mesh flatness repeatability",
    subject: Subject::Proof,
    fields: FIELDS,
    answers: ANSWERS,
    checks: &[],
    cautions: &[],
    work,
};

fn work(inputs: &Inputs, out: &mut Outcome) {
    repeats(inputs, out);
    let Some(rows) = inputs.rows("probes") else {
        return;
    };
    let probe = |row: &Row| Some([row.num(0)?, row.num(1)?, row.num(2)?]);
    let probes: Vec<[f64; 3]> = rows.iter().filter_map(probe).collect();
    let Some(plane) = Plane::fit(&probes) else {
        out.problem(
            "probes",
            "Probed points: enter three points or more that are not in a line.",
        );
        return;
    };
    out.put("tilt_x", plane.tilt_x * 1000.0);
    out.put("tilt_y", plane.tilt_y * 1000.0);
    let flatness = plane.flatness(&probes);
    out.put("flatness", flatness);
    if out.wants_rows() {
        let off = |&[x, y, z]: &[f64; 3]| {
            let cells = [x, y, z, z - plane.at(x, y)];
            cells.map(Cell::Number).to_vec()
        };
        out.put_rows("points", probes.iter().map(off).collect());
    }
    let Some(moves) = moves(inputs, out, &plane) else {
        if !inputs.typed("screws") {
            out.put_text(
                "next",
                "List the screws: where each stands, in the coordinates of the points.",
            );
        }
        return;
    };
    let pitch = inputs.num("pitch");
    if let Some(pitch) = pitch {
        out.put_list("turns", moves.iter().map(|rise| rise / pitch).collect());
    }
    let layer = inputs.num("layer");
    let done = todo(inputs, out, &moves, layer.map_or(0.0, |layer| layer / 20.0));
    if let Some(layer) = layer {
        let most = moves.iter().map(|rise| rise.abs()).fold(0.0, libm::fmax);
        let verdict = verdict(most, flatness, layer / 2.0, probes.len());
        out.put_text("verdict", verdict);
        if out.wants_rows() {
            let next = next(verdict, &done, &probes, &plane);
            let average = out.number("samples").filter(|samples| *samples > 1.0);
            out.put_text(
                "next",
                match average {
                    Some(samples) => [
                        &next,
                        " Average ",
                        &write_fixed(samples, 0),
                        " readings at each point: the probe scatters.",
                    ]
                    .concat(),
                    None => next,
                },
            );
        }
    }
    out.put_list("moves", moves);
}

/// What to do at each screw, as a table; in words for the ones that are to be turned.
fn todo(inputs: &Inputs, out: &mut Outcome, moves: &[f64], least: f64) -> Vec<String> {
    let mut words = Vec::new();
    if !out.wants_rows() {
        return words;
    }
    let (pitch, tighten) = (inputs.num("pitch"), inputs.choice("tighten"));
    let fixed = inputs.count("fixed").map(f64::from);
    let (mut rows, mut number) = (Vec::new(), 0.0);
    for (row, rise) in inputs.rows("screws").unwrap_or_default().iter().zip(moves) {
        number += 1.0;
        let up = *rise > 0.0;
        let act = match tighten {
            _ if rise.abs() <= least || fixed == Some(number) => "leave",
            "lowers" | "raises" if up == (tighten == "raises") => "tighten",
            "lowers" | "raises" => "loosen",
            _ if up => "raise",
            _ => "lower",
        };
        if act != "leave" {
            let far = match pitch {
                Some(pitch) => write_fixed((rise / pitch).abs(), 2) + " turns",
                None => write_fixed(rise.abs(), 2) + " mm",
            };
            words.push(format!("{act} screw {} by {far}", write_fixed(number, 0)));
        }
        let place = |column| row.num(column).map_or(Cell::Blank, Cell::Number);
        rows.push(Vec::from([
            Cell::Number(number),
            place(0),
            place(1),
            Cell::Number(*rise),
            pitch.map_or(Cell::Blank, |pitch| Cell::Number(rise / pitch)),
            Cell::Text(act.into()),
        ]));
    }
    out.put_rows("todo", rows);
    words
}

/// By how much the bed is to rise at each screw.
fn moves(inputs: &Inputs, out: &mut Outcome, plane: &Plane) -> Option<Vec<f64>> {
    let height = |row: &Row| Some(plane.at(row.num(0)?, row.num(1)?));
    let heights: Vec<f64> = inputs.rows("screws")?.iter().filter_map(height).collect();
    let goal = if inputs.typed("fixed") {
        let number = inputs.count("fixed")?;
        let fixed = heights.iter().zip(1u32..).find(|(_, n)| *n == number);
        let Some((goal, _)) = fixed else {
            out.problem(
                "fixed",
                format!(
                    "Screw to leave alone: enter a number from 1 to {}, the screws listed.",
                    heights.len()
                ),
            );
            return None;
        };
        *goal
    } else {
        let count = heights.iter().fold(0.0, |n, _| n + 1.0);
        heights.iter().sum::<f64>() / count
    };
    Some(heights.iter().map(|height| goal - height).collect())
}

/// How well the probe repeats.
fn repeats(inputs: &Inputs, out: &mut Outcome) {
    let Some(rows) = inputs.rows("repeats") else {
        return;
    };
    let values: Vec<f64> = rows.iter().filter_map(|row| row.num(0)).collect();
    let Some(deviation) = standard_deviation(&values) else {
        out.warn(
            "repeats",
            "One point probed again and again: one reading does not scatter. Probe it twice or more.",
        );
        return;
    };
    out.put("repeat_sd", deviation);
    let freedom = u32::try_from(values.len()).unwrap_or(u32::MAX) - 1;
    if let (Some(t), Some(layer)) = (t95(freedom), inputs.num("layer")) {
        let ratio = t * deviation / (layer / 20.0);
        out.put("samples", libm::ceil(ratio * ratio));
    }
}

/// Three points lie in a plane whatever they are.
const SHAPED: usize = 4;

/// By the largest move and what the plane leaves over, both against half a layer.
const fn verdict(most: f64, flatness: f64, half_layer: f64, points: usize) -> &'static str {
    if most > half_layer {
        "turn"
    } else if flatness > half_layer {
        "bent"
    } else if points < SHAPED {
        "measure_more"
    } else {
        "level"
    }
}

/// More screws than these are left to the table.
const FEW: usize = 6;

/// What to do next.
fn next(verdict: &str, done: &[String], probes: &[[f64; 3]], plane: &Plane) -> String {
    let off = |&[x, y, z]: &[f64; 3]| z - plane.at(x, y);
    match verdict {
        "turn" if done.len() <= FEW => {
            let mut all = done.join(", ");
            // Every word of these begins with a plain letter.
            if let Some(first) = all.get_mut(..1) {
                first.make_ascii_uppercase();
            }
            all + "; then probe again: one round rarely does."
        }
        "turn" => "Turn the screws as listed, then probe again: one round rarely does.".to_string(),
        "bent" => {
            let far = probes.iter().max_by(|a, b| off(a).abs().total_cmp(&off(b).abs()));
            let &[x, y, _] = far.unwrap_or(&[0.0; 3]);
            let high = far.map_or(0.0, off);
            format!(
                "The screws are done; what is left is the bed's own shape. Probe X {} Y {} once more: it lies {} mm {} the plane. Then a flatter plate, or a height map in the controller.",
                write_shortest(x, 5),
                write_shortest(y, 5),
                write_fixed(high.abs(), 3),
                if high > 0.0 { "over" } else { "under" },
            )
        }
        "measure_more" => "Probe a fourth point or more: a plane goes through any three, so they say nothing of the bed's shape.".to_string(),
        _ => "Level enough for this layer. Probe once more with the bed hot.".to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{faults, number, run, text};
    use super::super::{Cell, Found, Report};
    use std::string::{String, ToString};
    use std::vec::Vec;

    /// z = 1 + 0.002 x - 0.001 y at four corners.
    const BED: &[(&str, &str)] = &[
        ("probes", "20,20,1.02;180,20,1.34;180,180,1.18;20,180,0.86"),
        ("screws", "0,0;200,0;100,200"),
        ("pitch", "0.5"),
    ];

    fn with(more: &[(&'static str, &'static str)]) -> Report {
        let mut entries = BED.to_vec();
        entries.retain(|(key, _)| more.iter().all(|(other, _)| other != key));
        entries.extend_from_slice(more);
        run("level", &entries)
    }

    fn list(report: &Report, key: &str) -> Vec<f64> {
        match report.found(key) {
            Some(Found::List(values)) => values.clone(),
            _ => Vec::new(),
        }
    }

    fn close(found: &[f64], expected: &[f64]) -> bool {
        found.len() == expected.len()
            && found
                .iter()
                .zip(expected)
                .all(|(a, b)| (a - b).abs() < 1e-12)
    }

    #[test]
    fn screws_go_to_their_mean_or_to_the_fixed_one() {
        let report = with(&[]);
        assert!((number(&report, "tilt_x") - 2.0).abs() < 1e-12);
        assert!((number(&report, "tilt_y") + 1.0).abs() < 1e-12);
        assert!(number(&report, "flatness") < 1e-12);
        // Heights 1, 1.4, 1: mean 1.1333.
        let third = 0.4 / 3.0;
        assert!(close(&list(&report, "moves"), &[third, third - 0.4, third]));
        assert!(close(
            &list(&report, "turns"),
            &[2.0 * third, 2.0 * (third - 0.4), 2.0 * third]
        ));
        assert!(close(
            &list(&with(&[("fixed", "2")]), "moves"),
            &[0.4, 0.0, 0.4]
        ));
        assert_eq!(text(&report, "verdict"), "turn");
        assert_eq!(
            text(&report, "next"),
            "Raise screw 1 by 0.27 turns, lower screw 2 by 0.53 turns, raise screw 3 by 0.27 turns; then probe again: one round rarely does."
        );
    }

    #[test]
    fn each_screw_is_tightened_loosened_or_left() {
        let acts = |tighten, fixed| -> Vec<String> {
            let report = with(&[("tighten", tighten), ("fixed", fixed)]);
            let Some(Found::Rows(rows)) = report.found("todo") else {
                panic!("the screws are listed")
            };
            let word = |row: &Vec<Cell>| match row.last() {
                Some(Cell::Text(word)) => word.to_string(),
                _ => String::new(),
            };
            rows.iter().map(word).collect()
        };
        assert_eq!(acts("lowers", ""), ["loosen", "tighten", "loosen"]);
        assert_eq!(acts("raises", ""), ["tighten", "loosen", "tighten"]);
        assert_eq!(acts("", "2"), ["raise", "leave", "raise"]);
    }

    #[test]
    fn the_verdict_tells_a_tilt_from_a_bent_bed_and_from_too_few_points() {
        let verdict = |probes| {
            let report = with(&[("probes", probes)]);
            (
                String::from(text(&report, "verdict")),
                String::from(text(&report, "next")),
            )
        };
        let (word, next) = verdict("0,0,0.1;200,0,-0.1;0,200,-0.1;200,200,0.1");
        assert_eq!(word, "bent");
        assert!(next.contains("it lies 0.100 mm"), "{next}");
        let (word, next) = verdict("0,0,0;200,0,0.01;0,200,0.02");
        assert_eq!(word, "measure_more");
        assert!(next.contains("fourth"), "{next}");
        assert_eq!(
            verdict("0,0,0;200,0,0.01;0,200,0.02;200,200,0.03").0,
            "level"
        );
        let none = with(&[("screws", "")]);
        assert!(text(&none, "next").starts_with("List the screws"));
        let noisy = with(&[("repeats", "0.01;0.03;0.02;0.02")]);
        assert!(
            text(&noisy, "next").ends_with("Average 7 readings at each point: the probe scatters."),
            "{}",
            text(&noisy, "next")
        );
    }

    #[test]
    fn a_screw_that_is_not_there_cannot_be_fixed() {
        let report = with(&[("fixed", "4")]);
        assert_eq!(faults(&report), ["fixed"]);
        assert!(list(&report, "moves").is_empty() && report.number("tilt_x").is_some());
        assert_eq!(faults(&with(&[("fixed", "0")])), ["fixed"]);
    }

    #[test]
    fn points_in_a_line_are_refused() {
        assert_eq!(
            faults(&with(&[("probes", "0,0,0;50,50,0.1;100,100,0.2")])),
            ["probes"]
        );
        assert_eq!(faults(&with(&[("probes", "0,0,0;50,50,0.1")])), ["probes"]);
    }

    #[test]
    fn repeats_tell_how_many_to_average() {
        let report = with(&[("repeats", "0.01;0.03;0.02;0.02")]);
        let sd = (2e-4_f64 / 3.0).sqrt();
        assert!((number(&report, "repeat_sd") - sd).abs() < 1e-15);
        // t of 3 degrees of freedom.
        let ratio = 3.182_446_305 * sd / 0.01;
        assert!((number(&report, "samples") - (ratio * ratio).ceil()).abs() < 1e-12);
        let once = with(&[("repeats", "0.01")]);
        assert!(once.number("repeat_sd").is_none() && once.problems.is_empty());
        assert!(
            once.warnings
                .iter()
                .any(|warning| warning.field == "repeats")
        );
    }
}
