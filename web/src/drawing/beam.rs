//! `beam` drawn: the section as it is cut, and the beam on its supports, bent as far as a stated magnification shows it.

use layshaft_core::frame::beam::{Beam, Support};
use layshaft_core::sheets::Report;

use super::pen::{Anchor, Line, Pen, drawn_larger, in_rect, magnified, traced};
use super::{Drawing, entry_or, number, shown_or};

const WIDTH: f64 = 360.0;
/// The section's middle, and the most of it that is drawn.
const MIDDLE: (f64, f64) = (92.0, 92.0);
const SIZE: f64 = 110.0;
/// The beam's ends and its height on the sheet.
const ENDS: (f64, f64) = (54.0, 304.0);
const LEVEL: f64 = 238.0;
/// How far the beam may be bent.
const BENT: f64 = 40.0;

/// The section once its sizes are known; below it the beam, once it has a length.
pub fn draw(report: &Report) -> Option<Drawing> {
    report.number("section_inertia")?;
    let mut pen = Pen::new(WIDTH);
    section(&mut pen, report)?;
    let span = number(report, "span");
    if let Some(span) = span {
        side(&mut pen, report, span);
    }
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height: if span.is_some() { LEVEL + 112.0 } else { 184.0 },
        note: "The section is to scale; the chain line is its neutral axis, where bending neither pulls nor presses. \
            The beam's length and its bending each have a scale of their own.",
    })
}

/// The section, cut across the beam.
fn section(pen: &mut Pen, report: &Report) -> Option<()> {
    let kind = report.inputs.choice("section");
    let round = matches!(kind, "round" | "tube");
    let (x, y) = MIDDLE;
    let own = kind == "own";
    let (width, height) = match kind {
        "own" => (1.0, 1.0),
        _ if round => {
            let diameter = number(report, "diameter")?;
            (diameter, diameter)
        }
        _ => (number(report, "width")?, number(report, "height")?),
    };
    let scale = SIZE / width.max(height);
    let (half_width, half_height) = (width * scale / 2.0, height * scale / 2.0);
    let wall = if matches!(kind, "box" | "tube") {
        number(report, "wall")? * scale
    } else {
        half_width.max(half_height)
    };
    let (left, top) = (x - half_width, y - half_height);
    let (inner_width, inner_height) = (half_width - wall, half_height - wall);
    let hollow = inner_width > 0.0 && inner_height > 0.0;
    if own {
        pen.rect(Line::Dashed, (left, top), SIZE, SIZE);
        pen.words(Anchor::Middle, (x, y - 26.0), "its data sheet");
        pen.words(Anchor::Middle, (x, y - 13.0), "has the shape");
    } else if round {
        let chord = |radius: f64| {
            move |c: f64| {
                // Where y = x + c enters and leaves the circle.
                let off = (x + c - y) / 2.0;
                let half = radius * radius / 2.0 - off * off;
                (half > 0.0).then(|| (x - off - libm::sqrt(half), x - off + libm::sqrt(half)))
            }
        };
        pen.hatch(
            (y - x - 1.5 * SIZE, y - x + 1.5 * SIZE),
            &chord(half_width),
            &chord(inner_width.max(0.0)),
        );
        pen.circle(Line::Thick, MIDDLE, half_width);
        if hollow {
            pen.circle(Line::Thick, MIDDLE, inner_width);
        }
    } else {
        let hole = (
            (x - inner_width, y - inner_height),
            (x + inner_width, y + inner_height),
        );
        pen.hatch(
            (y - x - 1.5 * SIZE, y - x + 1.5 * SIZE),
            &|c| in_rect(((left, top), (x + half_width, y + half_height)), c),
            &|c| if hollow { in_rect(hole, c) } else { None },
        );
        pen.rect(
            Line::Thick,
            (left, top),
            2.0 * half_width,
            2.0 * half_height,
        );
        if hollow {
            pen.rect(
                Line::Thick,
                (hole.0.0, hole.0.1),
                2.0 * inner_width,
                2.0 * inner_height,
            );
        }
    }
    let right = x + half_width;
    pen.line(Line::Chain, (left - 12.0, y), (WIDTH - 4.0, y));
    pen.words(Anchor::End, (WIDTH - 2.0, y - 4.0), "neutral axis");
    // The height is dimensioned behind the section, the width below it.
    let side = right + 20.0;
    let words = |key, name: &str| [name, &entry_or(report, key, "")].concat();
    let (high, what) = if own {
        ((top, y), words("half_height", "half height "))
    } else if round {
        ((top, y + half_height), words("diameter", "⌀ "))
    } else {
        ((top, y + half_height), words("height", "height "))
    };
    for y in [high.0, high.1] {
        pen.line(Line::Thin, (right, y), (side + 4.0, y));
    }
    pen.rise(side, high, "");
    pen.words(Anchor::Start, (side + 8.0, y + 22.0), &what);
    if !own && !round {
        let low = y + half_height;
        pen.extensions((left, right), low, low + 22.0);
        pen.dimension((left, right), low + 18.0, "");
        pen.words(Anchor::Middle, (x, low + 32.0), &words("width", "width "));
    }
    if matches!(kind, "box" | "tube") {
        pen.words(
            Anchor::Start,
            (side + 8.0, y + 37.0),
            &words("wall", "wall "),
        );
    }
    pen.say(
        Anchor::Start,
        (4.0, 14.0),
        &["second moment ", &shown_or(report, "section_inertia", "")],
    );
    Some(())
}

/// The beam from the side.
fn side(pen: &mut Pen, report: &Report, span: f64) {
    let ((left, right), y) = (ENDS, LEVEL);
    let held = report.inputs.choice("support");
    let support = match held {
        "simple" => Support::Simple,
        "fixed" => Support::Fixed,
        _ => Support::Cantilever,
    };
    let scale = (right - left) / span;
    let deflection = report.number("deflection").map(|um| um / 1000.0);
    let times = deflection.map_or(1.0, |mm| magnified(mm * scale, BENT));
    let most = deflection.unwrap_or(0.0) * scale * times;
    let load = number(report, "load").unwrap_or(0.0);
    let spread = report.number("spread_all").unwrap_or(0.0);
    // Only the shape counts; a beam without any load is straight.
    let beam = Beam {
        support,
        span: 1.0,
        stiffness: 1.0,
        load,
        spread: spread / 1000.0 * span,
    };
    let whole = beam.deflection();
    let down = |share: f64| {
        if whole > 0.0 {
            most * beam.deflection_at(share) / whole
        } else {
            0.0
        }
    };
    let at = if support == Support::Cantilever {
        1.0
    } else {
        0.5
    };
    let (place, middle) = (left + at * (right - left), f64::midpoint(left, right));
    pen.line(Line::Dashed, (left, y), (right, y));
    pen.path(
        Line::Thick,
        traced(|share| (left + share * (right - left), y + down(share))),
    );
    match support {
        Support::Simple => {
            for x in [left, right] {
                pen.pinned((x, y), 1.0);
            }
        }
        _ => {
            pen.ground((left, y - 16.0), (left, y + 16.0), (-7.0, 5.0));
            if support == Support::Fixed {
                pen.ground((right, y - 16.0), (right, y + 16.0), (7.0, 5.0));
            }
        }
    }
    if spread > 0.0 {
        pen.line(Line::Thin, (left, y - 16.0), (right, y - 16.0));
        for i in 0..=10_i32 {
            let x = left + (right - left) * f64::from(i) / 10.0;
            pen.pointer((x, y - 16.0), (x, y - 3.0));
        }
        pen.say(
            Anchor::Middle,
            (middle, y + 72.0),
            &[
                "own weight and spread load ",
                &shown_or(report, "spread_all", ""),
            ],
        );
    }
    if load > 0.0 {
        pen.pointer((place, y - 52.0), (place, y + most - 2.0));
        let words = ["load ", &entry_or(report, "load", "")].concat();
        pen.words(Anchor::End, (place - 6.0, y - 40.0), &words);
    }
    let low = y + 98.0;
    pen.extensions((left, right), y + 18.0, low + 4.0);
    pen.dimension(
        (left, right),
        low,
        &["free length ", &entry_or(report, "span", "")].concat(),
    );
    if deflection.is_some() {
        pen.line(Line::Thin, (place, y), (place + 22.0, y));
        pen.line(Line::Thin, (place, y + most), (place + 22.0, y + most));
        pen.rise(place + 18.0, (y, y + most), "");
        let said = drawn_larger("bends ", &shown_or(report, "deflection", ""), times);
        pen.words(Anchor::Middle, (middle, y + 58.0), &said);
    } else {
        pen.words(
            Anchor::Middle,
            (middle, y + 58.0),
            "not bent yet: material or sizes are missing",
        );
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{svg, with};

    const ARM: &[(&str, &str)] = &[
        ("section", "box"),
        ("width", "20"),
        ("height", "30"),
        ("wall", "2"),
        ("material", "aluminium"),
        ("span", "250"),
        ("load", "15"),
    ];

    fn of(more: &[(&str, &str)]) -> String {
        svg("beam", &with(ARM, more))
    }

    #[test]
    fn the_section_has_its_sizes_and_its_hole() {
        let svg = of(&[]);
        for words in [
            "width 20",
            "height 30",
            "wall 2",
            "neutral axis",
            "free length 250",
            "load 15",
            "times as far",
        ] {
            assert!(svg.contains(words), "{words} in {svg}");
        }
        // The inner outline is 16 by 26 where the outer is 20 by 30, drawn 110 high: 110 / 30 units a millimetre.
        assert!(
            svg.contains("M627 443 1213 443 1213 1397 627 1397 627 443 "),
            "{svg}"
        );
        let solid = of(&[("section", "rect"), ("wall", "")]);
        assert!(
            !solid.contains("M627 443") && !solid.contains("wall"),
            "{solid}"
        );
    }

    #[test]
    fn each_kind_of_section_and_support_is_drawn() {
        for (kind, more) in [
            ("tube", &[("diameter", "16"), ("wall", "1")][..]),
            ("round", &[("diameter", "8")]),
            ("own", &[("inertia", "0.7"), ("half_height", "10")]),
        ] {
            for support in ["cantilever", "simple", "fixed"] {
                let entries = [&[("section", kind), ("support", support)], more].concat();
                assert!(!of(&entries).is_empty(), "{entries:?}");
            }
        }
        assert!(
            of(&[("section", "tube"), ("diameter", "16")])
                .matches("<circle class=k")
                .count()
                == 2
        );
    }

    #[test]
    fn what_is_not_known_is_not_drawn() {
        assert!(svg("beam", &[]).is_empty());
        assert!(of(&[("wall", "20")]).is_empty());
        let bare = of(&[("material", "")]);
        assert!(
            bare.contains("not bent yet") && !bare.contains("times as far"),
            "{bare}"
        );
        assert!(!of(&[("span", "")]).contains("free length"));
    }

    #[test]
    fn extremes_stay_on_the_sheet() {
        for (width, height, wall) in [
            ("1e4", "0.01", "0.001"),
            ("0.000001", "10000", "1e-7"),
            ("9999.99", "9999.99", "4999"),
        ] {
            for (span, load) in [("1e-6", "1e9"), ("999999", "0.000001"), ("250", "0")] {
                for support in ["cantilever", "simple"] {
                    let entries = [
                        ("width", width),
                        ("height", height),
                        ("wall", wall),
                        ("span", span),
                        ("load", load),
                        ("support", support),
                        ("spread", "123456"),
                    ];
                    assert!(!of(&entries).is_empty(), "{entries:?}");
                }
            }
        }
    }
}
