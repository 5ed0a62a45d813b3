//! `joint` drawn: the bracket with its two rows of screws and what pulls on them, and one screw cut through its head.

use layshaft_core::frame::bolt::SIZES;
use layshaft_core::sheets::Report;

use super::pen::{Anchor, Line, Pen, in_rect};
use super::{Drawing, entry_or, number, shown_or};

const WIDTH: f64 = 360.0;
/// The face between what carries and the bracket, and the bracket's outer face.
const FACE: (f64, f64) = (112.0, 124.0);
/// The upper and the lower row.
const ROWS: (f64, f64) = (66.0, 176.0);
/// The screw that is cut: its axis, the face under its head, and how wide a head is drawn.
const SCREW: (f64, f64) = (92.0, 268.0);
const HEAD: f64 = 76.0;

/// The bracket once it has rows; below it a head, once it and its hole are known.
pub fn draw(report: &Report) -> Option<Drawing> {
    number(report, "spacing")?;
    number(report, "screws")?;
    let mut pen = Pen::new(WIDTH);
    bracket(&mut pen, report);
    let cut = head(&mut pen, report).is_some();
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height: if cut { SCREW.1 + 62.0 } else { 222.0 },
        note: "The bracket is not to scale; head, hole and thread of the screw are. The row that the moment pulls at \
            carries all of it, about the row that it presses.",
    })
}

fn bracket(pen: &mut Pen, report: &Report) {
    let ((face, outer), (upper, lower)) = (FACE, ROWS);
    let (top, low) = (upper - 26.0, lower + 26.0);
    pen.ground((face, top), (face, low), (-9.0, 7.0));
    pen.rect(Line::Solid, (face, top), outer - face, low - top);
    let middle = f64::midpoint(upper, lower);
    let end = 214.0;
    pen.rect(Line::Solid, (outer, middle - 7.0), end - outer, 14.0);
    for y in [upper, lower] {
        pen.rect(Line::Thick, (outer, y - 9.0), 8.0, 18.0);
        for side in [-4.0, 4.0] {
            pen.line(Line::Thin, (face - 22.0, y + side), (face, y + side));
        }
        pen.line(Line::Chain, (face - 30.0, y), (outer + 16.0, y));
        pen.line(Line::Thin, (4.0, y), (face - 30.0, y));
    }
    pen.rise(12.0, (upper, lower), "");
    pen.words(
        Anchor::Start,
        (18.0, middle + 4.0),
        &entry_or(report, "spacing", ""),
    );
    let size = report.inputs.choice("size").to_uppercase();
    let name = [&size, " ", &report.inputs.choice("grade").to_uppercase()].concat();
    let each = [
        "each tightened to ",
        &shown_or(report, "preload", "a tension still to be worked out"),
    ]
    .concat();
    pen.say(
        Anchor::Start,
        (4.0, 14.0),
        &[
            "2 rows of ",
            &entry_or(report, "screws", ""),
            " × ",
            if size.is_empty() { "screws" } else { &name },
        ],
    );
    pen.words(Anchor::Start, (4.0, 29.0), &each);
    let pulled = [
        "pulled, ",
        &shown_or(report, "screw_load", "by the moment"),
        " more each",
    ]
    .concat();
    pen.pointer((outer + 12.0, upper), (outer + 34.0, upper));
    pen.words(Anchor::Start, (outer + 38.0, upper + 4.0), &pulled);
    pen.pointer((outer + 34.0, lower), (outer + 12.0, lower));
    pen.words(Anchor::Start, (outer + 38.0, lower + 4.0), "pressed");
    // The moment turns the far end down.
    pen.turn((end - 26.0, middle), 24.0, true);
    let beside = end + 6.0;
    pen.words(Anchor::Start, (beside, middle - 3.0), "moment");
    let moment = entry_or(report, "moment", "");
    pen.words(Anchor::Start, (beside, middle + 12.0), &moment);
    if number(report, "shear").is_some_and(|shear| shear > 0.0) {
        pen.pointer((face - 14.0, middle - 14.0), (face - 14.0, middle + 14.0));
        pen.say(
            Anchor::Start,
            (4.0, low + 18.0),
            &["shear ", &entry_or(report, "shear", ""), " along the faces"],
        );
    }
}

/// One screw, cut along its axis.
fn head(pen: &mut Pen, report: &Report) -> Option<()> {
    let (head, hole) = (number(report, "head")?, number(report, "hole")?);
    if hole >= head {
        return None;
    }
    let ((x, y), scale) = (SCREW, HEAD / head);
    let (half, gap) = (HEAD / 2.0, hole * scale / 2.0);
    let deep = 30.0;
    for (from, to) in [(x - half - 16.0, x - gap), (x + gap, x + half + 16.0)] {
        let area = ((from, y), (to, y + deep));
        pen.hatch((y - to, y + deep - from), &|c| in_rect(area, c), &|_| None);
        pen.rect(Line::Thick, area.0, to - from, deep);
    }
    pen.rect(Line::Solid, (x - half, y - 20.0), HEAD, 20.0);
    // The thread of the chosen size.
    let size = report.inputs.choice("size");
    if let Some((_, diameter, _)) = SIZES.iter().find(|(name, ..)| *name == size) {
        let radius = (diameter * scale / 2.0).min(half);
        pen.rect(Line::Thick, (x - radius, y), 2.0 * radius, deep + 6.0);
    }
    pen.line(Line::Chain, (x, y - 26.0), (x, y + deep + 12.0));
    pen.extensions((x - half, x + half), y - 20.0, y - 36.0);
    pen.dimension((x - half, x + half), y - 32.0, "");
    let side = x + half + 30.0;
    pen.say(
        Anchor::Start,
        (side, y - 28.0),
        &["head ⌀ ", &entry_or(report, "head", "")],
    );
    pen.extensions((x - gap, x + gap), y + deep, y + deep + 22.0);
    pen.dimension((x - gap, x + gap), y + deep + 18.0, "");
    pen.say(
        Anchor::Start,
        (side, y + deep + 22.0),
        &["hole ⌀ ", &entry_or(report, "hole", "")],
    );
    for x in [x - f64::midpoint(half, gap), x + f64::midpoint(half, gap)] {
        pen.pointer((x, y - 16.0), (x, y));
    }
    pen.say(
        Anchor::Start,
        (side, y + 4.0),
        &[
            "presses with ",
            &shown_or(report, "pressure", "its tension"),
        ],
    );
    Some(())
}

#[cfg(test)]
mod tests {
    use super::super::trial::{svg, with};

    const BRACKET: &[(&str, &str)] = &[
        ("size", "M5"),
        ("grade", "8.8"),
        ("torque", "4"),
        ("screws", "2"),
        ("spacing", "40"),
        ("moment", "6"),
        ("shear", "60"),
        ("head", "10"),
        ("hole", "5.5"),
        ("pressure_limit", "90"),
    ];

    fn of(more: &[(&str, &str)]) -> String {
        svg("joint", &with(BRACKET, more))
    }

    #[test]
    fn the_bracket_has_its_numbers() {
        let svg = of(&[]);
        for words in [
            "2 rows of 2 × M5 8.8",
            "each tightened to 4000\u{a0}N",
            "pulled, 75.00\u{a0}N more each",
            "6\u{a0}N·m",
            "shear 60",
            "head ⌀ 10",
            "hole ⌀ 5.5",
            "presses with 73.0",
        ] {
            assert!(svg.contains(words), "{words} in {svg}");
        }
        // Head, hole and thread to one scale: 76 units for 10 mm, so M5 is 38 wide.
        assert!(svg.contains("M730 2680 1110 2680 "), "{svg}");
    }

    #[test]
    fn what_is_missing_is_not_drawn() {
        assert!(svg("joint", &[]).is_empty());
        assert!(of(&[("spacing", "")]).is_empty());
        let bare = of(&[("torque", ""), ("head", "4"), ("shear", "")]);
        assert!(bare.contains("a tension still to be worked out"), "{bare}");
        assert!(
            !bare.contains("hole ⌀") && !bare.contains("shear"),
            "{bare}"
        );
    }

    #[test]
    fn extremes_stay_on_the_sheet() {
        for (head, hole) in [("1000", "0"), ("0.001", "0.0001"), ("999.999", "999.998")] {
            for spacing in ["1e4", "0.000001"] {
                for torque in ["1e4", "0.000001"] {
                    let entries = [
                        ("head", head),
                        ("hole", hole),
                        ("spacing", spacing),
                        ("torque", torque),
                        ("moment", "999999"),
                        ("shear", "0.000001"),
                        ("screws", "1000"),
                    ];
                    assert!(!of(&entries).is_empty(), "{entries:?}");
                }
            }
        }
    }
}
