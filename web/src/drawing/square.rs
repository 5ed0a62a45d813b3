//! `square` drawn: the parallelogram with its diagonals, its lean larger than life, and the skew on a line.

use std::f64::consts::PI;

use layshaft_core::entry::write::{write_shortest, write_significant};
use layshaft_core::sheets::Report;

use super::interval::{self, Interval};
use super::pen::{Anchor, Line, Pen, magnified, polar};
use super::{Drawing, entry_or, number, shown_or};

const WIDTH: f64 = 360.0;
/// The room for the figure.
const ROOM: (f64, f64) = (200.0, 150.0);
/// Its lower edge.
const LOW: f64 = 190.0;
/// How far it leans over at the most, a share of its height.
const LEAN: f64 = 0.25;

/// The figure once it closes.
pub fn draw(report: &Report) -> Option<Drawing> {
    let (side, other) = (number(report, "side")?, report.number("other_side")?);
    let shift = report.number("shift")?;
    let scale = (ROOM.0 / side).min(ROOM.1 / other);
    let (wide, high) = (side * scale, other * scale);
    let times = if shift.abs() > 0.0 {
        magnified(shift.abs() * scale, LEAN * high).max(1.0)
    } else {
        1.0
    };
    // Never more over than the room has, also where it leans by itself.
    let over = (shift * scale * times).clamp(-70.0, 70.0);
    let left = (WIDTH - wide) / 2.0;
    let (from, right) = ((left, LOW), (left + wide, LOW));
    let (far, last) = ((left + wide + over, LOW - high), (left + over, LOW - high));
    let mut pen = Pen::new(WIDTH);
    pen.path(
        Line::Chain,
        [from, (left, LOW - high), (left + wide, LOW - high), right],
    );
    pen.path(Line::Thick, [from, right, far, last, from]);
    pen.line(Line::Accent, from, far);
    pen.line(Line::Thin, right, last);
    pen.circle(Line::Filled, from, 3.0);
    pen.extensions((from.0, right.0), LOW, LOW + 26.0);
    pen.dimension(
        (from.0, right.0),
        LOW + 22.0,
        &["side ", &entry_or(report, "side", "")].concat(),
    );
    pen.say(
        Anchor::Start,
        (4.0, 14.0),
        &["1, thick: ", &entry_or(report, "diagonal_1", "")],
    );
    pen.say(
        Anchor::End,
        (WIDTH - 4.0, 14.0),
        &["2, thin: ", &entry_or(report, "diagonal_2", "")],
    );
    // The corner that both lengths start from.
    let lean = libm::atan2(high, over.abs().max(1e-9));
    let open = if over < 0.0 { PI - lean } else { lean };
    let arc = (0..=8_i32).map(|i| polar(from, 22.0, -open * f64::from(i) / 8.0));
    pen.path(Line::Thin, arc);
    let angle = report.number("angle")?;
    let corner = [&write_shortest(90.0 - angle, 6), "°"].concat();
    pen.words(Anchor::End, (left - 8.0, LOW - 4.0), &corner);
    pen.say(
        Anchor::Middle,
        (WIDTH / 2.0, 29.0),
        &[
            "stands over by ",
            &write_significant(shift, 3),
            " mm, drawn ",
            &write_shortest(times, 3),
            " times as far",
        ],
    );
    let mut end = LOW + 32.0;
    if let (Some(skew), Some(unsure)) = (report.number("skew"), report.number("skew_u")) {
        let name = [
            "skew ",
            &write_significant(skew, 2),
            " ± ",
            &shown_or(report, "skew_u", ""),
        ]
        .concat();
        let shown = Interval {
            value: skew,
            unsure,
            zone: 0.0,
            name: &name,
            zone_name: "",
        };
        end = interval::put(&mut pen, end, &shown);
    }
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height: end + 4.0,
        note: "Both sides to scale, the lean larger than life; square would be the chain line. Diagonal 1 and the side start at \
            the corner with the dot. An interval that spans 0 proves no skew.",
    })
}

#[cfg(test)]
mod tests {
    use super::super::trial::{corners, svg, with};

    const PIECE: &[(&str, &str)] = &[
        ("diagonal_1", "142"),
        ("diagonal_2", "140.8"),
        ("side", "100"),
        ("accuracy", "0.05"),
    ];

    fn of(more: &[(&str, &str)]) -> String {
        svg("square", &with(PIECE, more))
    }

    #[test]
    fn it_leans_the_way_the_long_diagonal_says() {
        let over = |svg: &str| {
            let outline = corners(svg, "k").into_iter().next().expect("an outline");
            match outline.as_slice() {
                [from, _, _, last, _] => last.0 - from.0,
                _ => panic!("four corners: {outline:?}"),
            }
        };
        let right = of(&[]);
        assert!(over(&right) > 5.0, "{right}");
        assert!(over(&of(&[("diagonal_1", "140.8"), ("diagonal_2", "142")])) < -5.0);
        assert!(over(&of(&[("diagonal_2", "142")])).abs() < 0.05);
        for words in [
            "drawn 20 times as far",
            "side 100",
            "1, thick: 142",
            "skew 0.85 ± ",
        ] {
            assert!(right.contains(words), "{words} in {right}");
        }
        assert!(!of(&[("accuracy", "")]).contains("skew"));
    }

    #[test]
    fn what_does_not_close_is_not_drawn_and_extremes_stay_on_the_sheet() {
        for more in [[("side", "150")], [("side", "")], [("diagonal_2", "x")]] {
            assert!(of(&more).is_empty(), "{more:?}");
        }
        for (d1, d2, side) in [
            ("1e6", "999999.999", "10"),
            ("1e6", "10", "499996"),
            ("0.002", "0.0019", "0.001"),
            ("100", "100", "99.99"),
        ] {
            let entries = [
                ("diagonal_1", d1),
                ("diagonal_2", d2),
                ("side", side),
                ("accuracy", "1e4"),
            ];
            assert!(!of(&entries).is_empty(), "{entries:?}");
        }
    }
}
