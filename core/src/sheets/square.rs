//! `square`: skew from diagonals.

use alloc::format;
use alloc::string::String;

use super::declare::{Answer, Field, Sheet, Subject};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::entry::unit::{DEG, MM, MM_100MM};
use crate::entry::write::{write_shortest, write_significant};
use crate::measure::skew::Parallelogram;

const FIELDS: &[Field] = &[
    Field::number("diagonal_1", "Diagonal from the side's corner", MM)
        .above(0.0, "a diagonal has a length")
        .at_most(1e6, "no frame is that large"),
    Field::number("diagonal_2", "Other diagonal", MM)
        .above(0.0, "a diagonal has a length")
        .at_most(1e6, "no frame is that large"),
    Field::number("side", "Side from the same corner", MM)
        .above(0.0, "a side has a length")
        .at_most(1e6, "no frame is that large")
        .help("of a printed test piece or of the frame itself"),
    Field::number("accuracy", "Accuracy of each length, ±", MM)
        .at_least(0.0, "an accuracy is a half width")
        .at_most(1e4, "no instrument is that bad")
        .help("0.03 mm for most calipers, 0.5 mm for a tape (common practice)"),
];

const ANSWERS: &[Answer] = &[
    Answer::number("other_side", "Other side", MM)
        .significant(6)
        .formula(
            "√(({diagonal_1}² + {diagonal_2}²) ÷ 2 − {side}²)",
            "Parallelogram law",
        ),
    Answer::number("angle", "Corner less than square by", DEG)
        .significant(3)
        .formula(
            "asin(({diagonal_1}² − {diagonal_2}²) ÷ (4 × {side} × {other_side}))",
            "Law of cosines for both diagonals",
        ),
    Answer::number("skew", "Skew", MM_100MM)
        .significant(3)
        .headline()
        .formula("100 × tan({angle})", "Definition"),
    Answer::number("skew_u", "Uncertainty of the skew, ± (k = 2)", MM_100MM)
        .significant(2)
        .formula(
            "2 × √(sum of (slope × {accuracy} ÷ √3)² over the three lengths)",
            "GUM (JCGM 100:2008) 5.1.2, rectangular half widths by 4.3.7",
        ),
    Answer::text("verdict", "Verdict").headline(),
    Answer::number("shift", "Far side stands over by", MM)
        .significant(3)
        .formula("{other_side} × sin({angle})", "Definition"),
    Answer::text("why", "Why"),
    Answer::text("next", "Next"),
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "square",
    title: "Square",
    about: "is a frame or a print square, from its diagonals and one side",
    search: "skew squareness diagonal orthogonal parallelogram frame racking",
    subject: Subject::Proof,
    fields: FIELDS,
    answers: ANSWERS,
    checks: &[],
    cautions: &[],
    work,
};

/// Uncertainty in mm per 100 mm up to which a frame may be called square; common practice.
const GOOD_ENOUGH: f64 = 0.1;

fn work(inputs: &Inputs, out: &mut Outcome) {
    let (Some(diagonal_1), Some(diagonal_2), Some(side)) = (
        inputs.num("diagonal_1"),
        inputs.num("diagonal_2"),
        inputs.num("side"),
    ) else {
        return;
    };
    let measured = Parallelogram {
        diagonal_1,
        diagonal_2,
        side,
    };
    let Some(skew) = measured.skew() else {
        let half = |sum: f64| write_shortest(sum.abs() / 2.0, 6);
        out.problem(
            "side",
            format!(
                "Side from the same corner: these lengths close no parallelogram; enter more than {} and less than {} mm, or measure the diagonals again.",
                half(diagonal_1 - diagonal_2),
                half(diagonal_1 + diagonal_2),
            ),
        );
        return;
    };
    out.put("other_side", skew.other_side);
    out.put("angle", skew.angle_deg);
    out.put("skew", skew.skew);
    out.put(
        "shift",
        skew.other_side * libm::sin(skew.angle_deg.to_radians()),
    );
    let Some(accuracy) = inputs.num("accuracy") else {
        out.put_text(
            "next",
            "Enter the accuracy of each length: without it nothing tells a skew from an error of reading.",
        );
        return;
    };
    let uncertainty = skew.uncertainty(accuracy);
    out.put("skew_u", uncertainty);
    let size = skew.skew.abs();
    let verdict = if size > uncertainty {
        "skewed"
    } else if uncertainty <= GOOD_ENOUGH {
        "square"
    } else {
        "measure_more"
    };
    out.put_text("verdict", verdict);
    if !out.wants_rows() {
        return;
    }
    out.put_text(
        "why",
        format!(
            "The skew of {} ± {} mm per 100 mm {}",
            write_significant(size, 2),
            write_significant(uncertainty, 2),
            match verdict {
                "skewed" => "is more than the lengths leave unsure.",
                "square" => "lies within what was measured, and that was measured closely enough.",
                _ => "lies within what was measured, but that was measured too coarsely to call it square.",
            },
        ),
    );
    let next = match verdict {
        "skewed" => format!(
            "Loosen, push the ends of diagonal {} together, tighten, and measure all three again.",
            if skew.skew > 0.0 { "1" } else { "2" },
        ),
        "square" => String::from("Leave it: the lengths agree within what was measured."),
        _ => {
            let times = uncertainty / libm::fmax(size, GOOD_ENOUGH);
            format!(
                "Measure a piece {} times as large, or read each length to ± {} mm: the skew hides in the accuracy.",
                write_significant(times, 2),
                write_significant(accuracy / times, 2),
            )
        }
    };
    out.put_text("next", next);
}

#[cfg(test)]
mod tests {
    use super::super::Report;
    use super::super::trial::{faults, number, run, text};

    fn frame(diagonal_1: &str, diagonal_2: &str, side: &str, accuracy: &str) -> Report {
        run(
            "square",
            &[
                ("diagonal_1", diagonal_1),
                ("diagonal_2", diagonal_2),
                ("side", side),
                ("accuracy", accuracy),
            ],
        )
    }

    #[test]
    fn three_four_five_is_square() {
        let report = frame("500", "500", "300", "0.2");
        assert!((number(&report, "other_side") - 400.0).abs() < 1e-9);
        assert!(number(&report, "angle").abs() < 1e-15);
        assert_eq!(text(&report, "verdict"), "square");
    }

    #[test]
    fn a_long_first_diagonal_is_a_sharp_corner() {
        let report = frame("142", "140.8", "100", "0.05");
        assert!(number(&report, "angle") > 0.0);
        assert_eq!(text(&report, "verdict"), "skewed");
        let other = frame("140.8", "142", "100", "0.05");
        assert!((number(&report, "skew") + number(&other, "skew")).abs() < 1e-12);
    }

    #[test]
    fn a_coarse_instrument_on_a_small_piece_proves_nothing() {
        assert_eq!(
            text(&frame("142", "141.8", "100", "0.5"), "verdict"),
            "measure_more"
        );
        assert_eq!(
            text(
                &run(
                    "square",
                    &[
                        ("diagonal_1", "142"),
                        ("diagonal_2", "141.8"),
                        ("side", "100")
                    ]
                ),
                "verdict"
            ),
            ""
        );
    }

    #[test]
    fn what_is_unsure_says_how_much_closer_to_measure() {
        let report = frame("142", "141.8", "100", "0.5");
        let next = text(&report, "next");
        let figure = |before: &str| -> f64 {
            let rest = next
                .split(before)
                .nth(1)
                .and_then(|rest| rest.split(' ').next());
            rest.and_then(|word| word.parse().ok()).expect(before)
        };
        assert!(
            (figure("a piece ") - number(&report, "skew_u") / number(&report, "skew")).abs() < 0.1,
            "{next}"
        );
        // Read a little closer than that it is told from square.
        let closer = std::format!("{}", figure("± ") * 0.95);
        assert_eq!(
            text(&frame("142", "141.8", "100", &closer), "verdict"),
            "skewed"
        );
        assert!(text(&frame("142", "140.8", "100", "0.05"), "next").contains("diagonal 1"));
        assert!(text(&frame("140.8", "142", "100", "0.05"), "next").contains("diagonal 2"));
    }

    #[test]
    fn the_far_side_stands_over_as_the_diagonals_say() {
        // 3-4-5 leant by 10 mm: (300 + 10)² + 400², (300 - 10)² + 400², side 300.
        let lean = |far: f64| std::format!("{}", libm::hypot(far, 400.0));
        let report = frame(&lean(310.0), &lean(290.0), "300", "0.2");
        assert!((number(&report, "shift") - 10.0).abs() < 1e-6);
        assert!((number(&report, "skew") - 2.5).abs() < 1e-6);
    }

    #[test]
    fn lengths_that_close_nothing_are_refused() {
        assert_eq!(faults(&frame("100", "100", "120", "0.1")), ["side"]);
        assert_eq!(faults(&frame("200", "100", "40", "0.1")), ["side"]);
    }
}
