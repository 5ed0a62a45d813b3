//! `rods` drawn: guides, bearings, arms and bed from the side, bent as far as a stated magnification shows it, and the
//! stiffer choices as bars.

use layshaft_core::entry::write::{write_shortest, write_significant};
use layshaft_core::frame::beam::{Beam, Support};
use layshaft_core::frame::guide::{Ends, Guide, arm_deflection};
use layshaft_core::sheets::{Cell, Found, Report};

use super::bars::{self, Bar};
use super::pen::{Anchor, Line, Pen, drawn_larger, magnified, traced};
use super::{Drawing, entry_or, number, shown_or};

const WIDTH: f64 = 360.0;
/// Where the rods stand, across.
const AXIS: f64 = 142.0;
/// Upper and lower end of the rods at the most.
const TALL: (f64, f64) = (62.0, 268.0);
/// How far out the bed may reach.
const OUT: f64 = 336.0;
/// How far the far edge may be bent.
const BENT: f64 = 44.0;
/// How far a rod may be bent.
const BOW: f64 = 20.0;
/// Half a bearing's height and width, and how thick the bed is drawn.
const BEARING: (f64, f64) = (7.0, 8.0);
const BED: f64 = 7.0;

/// The side view once the bed's place is known; bent once the sag is.
pub fn draw(report: &Report) -> Option<Drawing> {
    let mut pen = Pen::new(WIDTH);
    let height = if report.inputs.choice("layout") == "both_ends" {
        bridge(&mut pen, report)?
    } else {
        let low = cantilever(&mut pen, report)?;
        choices(&mut pen, report, low)
    };
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height,
        note: "Lengths are to one scale, the bending to another; bearings, bed and thicknesses are not to scale. \
            Dashed: without the load.",
    })
}

/// By how much the bending is drawn larger, in words.
fn said(pen: &mut Pen, y: f64, sag: Option<String>, times: f64) {
    let words = match sag {
        Some(sag) => drawn_larger("sags ", &sag, times),
        None => "straight: masses, rods or arms are still missing".into(),
    };
    pen.words(Anchor::Start, (4.0, y), &words);
}

/// A bed on guides at one side; where the picture ends.
fn cantilever(pen: &mut Pen, report: &Report) -> Option<f64> {
    let spacing = number(report, "bearing_spacing")?;
    let (overhang, reach) = (number(report, "overhang")?, number(report, "reach")?);
    if reach < overhang {
        return None;
    }
    let (position, length) = (number(report, "position"), number(report, "rod_length"));
    // A rail by its data sheet needs no length: it goes on at both ends.
    let (low, long) = match (position, length) {
        (Some(position), Some(length)) if position + spacing <= length => (position, length),
        (Some(_), Some(_)) => return None,
        _ => (0.5 * spacing, 2.0 * spacing),
    };
    let known = position.is_some() && length.is_some();
    let travel =
        number(report, "travel").filter(|_| known && report.number("sag_change_travel").is_some());
    let travel = travel.unwrap_or(0.0);
    let (top, base) = TALL;
    let scale = ((OUT - AXIS) / reach).min((base - top) / long);
    let height = |mm: f64| base - mm * scale;
    let out = |mm: f64| AXIS + mm * scale;
    let upper = low + spacing;

    let sag = report.number("sag").map(|um| um / 1000.0);
    let share = |key| report.number(key).unwrap_or(0.0) / 1000.0;
    let (tilt_rods, tilt_clearance) = (share("tilt_rods"), share("tilt_clearance"));
    let bent = sag.is_some();

    // The rods, bent by the pair of forces so that the bearings lean by what the sheet says.
    let guide = Guide {
        length: long,
        spacing,
        stiffness: 1.0,
        ends: if report.inputs.choice("rod_ends") == "fixed" {
            Ends::Fixed
        } else {
            Ends::Simple
        },
    };
    let rail = report.inputs.typed("tilt_stiffness");
    let unit = guide.tilt(1.0, low);
    let pushed = |at: f64| {
        if rail || !bent || unit <= 0.0 {
            0.0
        } else {
            guide.deflection(1.0, low, at) * tilt_rods / unit
        }
    };
    // Neither the far edge nor a rod's bow leaves its part of the sheet.
    let bow = traced(|share| (pushed(share * long).abs(), 0.0));
    let bow = bow.into_iter().map(|(bow, _)| bow).fold(0.0, f64::max);
    let times = sag.map_or(1.0, |sag| {
        magnified(sag.max(bow * BENT / BOW) * scale, BENT)
    });
    let enlarged = times * scale;
    pen.line(
        Line::Chain,
        (AXIS, height(long) - 14.0),
        (AXIS, height(0.0) + 14.0),
    );
    pen.path(
        Line::Thick,
        traced(|share| (AXIS + pushed(share * long) * enlarged, height(share * long))),
    );
    for (at, way) in [(long, -1.0), (0.0, 1.0)] {
        support(pen, (AXIS, height(at)), way, known, guide.ends);
    }
    // Where the bed goes.
    if travel > 0.0 {
        let y = height(upper + travel);
        pen.rect(
            Line::Extreme,
            (AXIS - BEARING.1, y - BEARING.0),
            2.0 * BEARING.1,
            2.0 * BEARING.0,
        );
        pen.line(Line::Extreme, (AXIS, y), (out(reach), y));
    }
    // The carriage that joins both bearings, before them.
    let place = |at: f64| (AXIS + pushed(at) * enlarged, height(at));
    let (foot, head) = (place(low), place(upper));
    let face = |(x, y): (f64, f64)| (x + BEARING.1, y);
    pen.line(Line::Thick, face(foot), face(head));
    for (x, y) in [foot, head] {
        let (half, wide) = BEARING;
        pen.rect(Line::Solid, (x - wide, y - half), 2.0 * wide, 2.0 * half);
    }

    // Arms from the upper bearing; the carriage leans by rods and clearance, the arms bend on their way.
    let root = height(upper);
    let arms = share("sag_arms");
    let end = arm_deflection(1.0, 1.0, overhang, reach);
    let down = |at: f64| {
        if !bent {
            return 0.0;
        }
        // Maxwell: what a load at the bed's centre does here, one here does there.
        let shape = if at > 0.0 {
            arm_deflection(1.0, 1.0, at.min(overhang), at.max(overhang))
        } else {
            0.0
        };
        let line = if end > 0.0 { arms * shape / end } else { 0.0 };
        ((tilt_rods + tilt_clearance) * at + line) * enlarged
    };
    if bent {
        pen.line(Line::Dashed, (AXIS, root), (out(reach), root));
    }
    let arm = traced(|share| (out(share * reach), root + down(share * reach)));
    pen.path(Line::Thick, arm);
    let first = (2.0 * overhang - reach).max(0.0);
    let mut plate = traced(|share| {
        let at = first + share * (reach - first);
        (out(at), root + down(at) - 2.0)
    });
    let above: Vec<(f64, f64)> = plate.iter().rev().map(|(x, y)| (*x, y - BED)).collect();
    plate.extend(above);
    plate.extend(plate.first().copied());
    pen.path(Line::Solid, plate);
    let (edge, weight) = (root + down(reach), root + down(overhang) - 2.0 - BED);
    pen.pointer((out(overhang), weight - 24.0), (out(overhang), weight));
    if bent {
        pen.line(Line::Thin, (out(reach), root), (out(reach) + 14.0, root));
        pen.line(Line::Thin, (out(reach), edge), (out(reach) + 14.0, edge));
        pen.rise(out(reach) + 9.0, (root, edge), "");
    }

    // Dimensions: beside the rods, and below everything.
    let line = |key, name: &str| [name, &entry_or(report, key, "")].concat();
    let mut spans = vec![(
        height(upper),
        height(low),
        line("bearing_spacing", "apart "),
    )];
    if known {
        spans.push((height(low), height(0.0), line("position", "foot ")));
        if travel > 0.0 {
            spans.insert(
                0,
                (
                    height(upper + travel),
                    height(upper),
                    line("travel", "travel "),
                ),
            );
        }
        pen.rise(8.0, (height(long), height(0.0)), "");
        pen.words(Anchor::Start, (4.0, 30.0), &line("rod_length", "rods "));
        for y in [height(long), height(0.0)] {
            pen.line(Line::Thin, (4.0, y), (AXIS, y));
        }
    }
    for (top, ..) in &spans {
        pen.line(Line::Thin, (34.0, *top), (AXIS, *top));
    }
    pen.rises(38.0, &spans);
    let under = base + 30.0;
    pen.extensions(
        (out(overhang), out(reach)),
        root.max(edge) + 4.0,
        under + 30.0,
    );
    pen.line(Line::Thin, (AXIS, base + 16.0), (AXIS, under + 30.0));
    pen.dimension((AXIS, out(overhang)), under, "");
    pen.dimension((AXIS, out(reach)), under + 26.0, "");
    pen.words(
        Anchor::Start,
        (4.0, under + 4.0),
        &line("overhang", "centre "),
    );
    pen.words(Anchor::Start, (4.0, under + 30.0), &line("reach", "edge "));
    said(pen, 14.0, sag.map(|_| shown_or(report, "sag", "")), times);
    Some(under + 40.0)
}

/// The end of a rod: clamped, held, or only broken off.
fn support(pen: &mut Pen, (x, y): (f64, f64), way: f64, known: bool, ends: Ends) {
    if !known {
        return pen.line(Line::Thin, (x - 8.0, y + 3.0), (x + 8.0, y - 3.0));
    }
    if ends == Ends::Fixed {
        return pen.ground((x - 12.0, y), (x + 12.0, y), (-5.0 * way, 6.0 * way));
    }
    pen.pinned((x, y), way);
}

/// A bed between guides at both sides, from the front; where the picture ends.
fn bridge(pen: &mut Pen, report: &Report) -> Option<f64> {
    let overhang = number(report, "overhang")?;
    let sag = report.number("sag").map(|um| um / 1000.0);
    let (left, right, y) = (60.0, 300.0, 90.0);
    let scale = (right - left) / (2.0 * overhang);
    let times = sag.map_or(1.0, |sag| magnified(sag * scale, BENT));
    let shape = Beam {
        support: Support::Simple,
        span: 1.0,
        stiffness: 1.0,
        load: 1.0,
        spread: 0.0,
    };
    let most = sag.unwrap_or(0.0) * scale * times;
    let down = |share: f64| most * shape.deflection_at(share) / shape.deflection();
    for x in [left, right] {
        pen.line(Line::Thick, (x, y - 50.0), (x, y + 70.0));
        pen.rect(
            Line::Solid,
            (x - BEARING.1, y - BEARING.0),
            2.0 * BEARING.1,
            2.0 * BEARING.0,
        );
    }
    pen.line(Line::Dashed, (left, y), (right, y));
    pen.path(
        Line::Thick,
        traced(|share| (left + share * (right - left), y + down(share))),
    );
    let middle = f64::midpoint(left, right);
    pen.pointer((middle, y - 30.0), (middle, y + most - 3.0));
    if sag.is_some() {
        pen.rise(middle + 26.0, (y, y + most), "");
    }
    pen.extensions((left, middle), y + 70.0, y + 96.0);
    pen.dimension(
        (left, middle),
        y + 92.0,
        &["to the centre ", &entry_or(report, "overhang", "")].concat(),
    );
    said(pen, 14.0, sag.map(|_| shown_or(report, "sag", "")), times);
    Some(y + 104.0)
}

/// Today's sag and that of each stiffer choice, with the price that was given; where the bars end.
fn choices(pen: &mut Pen, report: &Report, from: f64) -> f64 {
    let Some(Found::Rows(rows)) = report.found("compare") else {
        return from;
    };
    let price = |name: &Cell| {
        let Some(Found::Rows(priced)) = report.found("compare_price") else {
            return None;
        };
        let row = priced.iter().find(|row| row.first() == Some(name))?;
        match row.get(1) {
            Some(Cell::Number(price)) => Some(write_shortest(*price, 6)),
            _ => None,
        }
    };
    let mut bars = vec![Bar {
        name: "as it is".into(),
        amount: 1.0,
        figure: shown_or(report, "sag", ""),
    }];
    bars.extend(rows.iter().filter_map(|row| {
        match row.as_slice() {
            [name @ Cell::Text(text), Cell::Number(ratio)] => Some(Bar {
                name: text.to_string(),
                amount: *ratio,
                figure: [
                    &write_significant(100.0 * ratio, 2),
                    "\u{a0}% of the sag",
                    &price(name).map_or_else(String::new, |price| [" for ", &price].concat()),
                ]
                .concat(),
            }),
            _ => None,
        }
    }));
    if bars.len() < 2 {
        return from;
    }
    let full = bars.iter().map(|bar| bar.amount).fold(1.0, f64::max);
    bars::put(pen, &bars, full, from + 6.0) + 4.0
}

#[cfg(test)]
mod tests {
    use super::super::trial::{corners, svg, with};

    const PLAIN: &[(&str, &str)] = &[
        ("rods", "2"),
        ("rod_diameter", "10"),
        ("rod_length", "350"),
        ("bearing_spacing", "70"),
        ("position", "20"),
        ("travel", "180"),
        ("bed_mass", "1.2"),
        ("print_mass", "0.2"),
        ("overhang", "120"),
        ("reach", "230"),
        ("arms", "2"),
        ("arm_width", "20"),
        ("arm_height", "20"),
        ("arm_modulus", "69"),
    ];

    fn of(more: &[(&str, &str)]) -> String {
        svg("rods", &with(PLAIN, more))
    }

    #[test]
    fn the_far_edge_hangs_by_the_stated_magnification() {
        for more in [
            &[][..],
            &[("clearance", "30")],
            &[("rod_ends", "fixed")],
            &[("bed_mass", "30")],
        ] {
            let svg = of(more);
            let text = svg
                .split("drawn ")
                .nth(1)
                .and_then(|rest| rest.split(' ').next());
            let times: f64 = text
                .and_then(|text| text.parse().ok())
                .expect("it is stated");
            let sheet = layshaft_core::sheets::find("rods").expect("it is listed");
            let report = sheet.run(&with(PLAIN, more).into_iter().collect());
            let sag = report.number("sag").expect("it sags") / 1000.0;
            // Behind the rod, its two supports and the carriage.
            let thick = corners(&svg, "k");
            let arm = thick.get(4).expect("an arm");
            let (first, last) = (arm.first().expect("a root"), arm.last().expect("an end"));
            // Along the arm 230 mm are drawn; across it the sag by the magnification.
            let scale = (last.0 - first.0) / 230.0;
            let hang = (last.1 - first.1) / scale / times;
            assert!((hang / sag - 1.0).abs() < 0.02, "{more:?}: {hang} {sag}");
        }
    }

    #[test]
    fn the_rods_bend_to_both_sides_and_a_rail_does_not() {
        let across = |more: &[(&str, &str)]| {
            let thick = corners(&of(more), "k");
            let rod = thick.first().expect("a rod");
            let low = rod.iter().map(|(x, _)| *x).fold(f64::INFINITY, f64::min);
            let high = rod.iter().map(|(x, _)| *x).fold(0.0, f64::max);
            high - low
        };
        assert!(across(&[]) > 0.5);
        assert!(across(&[("tilt_stiffness", "0.5")]) < 0.05);
    }

    #[test]
    fn choices_are_bars_with_the_price_that_was_given() {
        let svg = of(&[("price_rods", "18.5")]);
        for words in [
            "as it is",
            "bearings 140 mm apart",
            "rods of 12 mm",
            "supports at both ends",
        ] {
            assert!(svg.contains(words), "{words} in {svg}");
        }
        assert_eq!(svg.matches(" for 18.5").count(), 1, "{svg}");
    }

    #[test]
    fn what_is_missing_is_said_and_what_cannot_be_is_not_drawn() {
        assert!(svg("rods", &[]).is_empty());
        assert!(
            of(&[("bed_mass", "")]).contains("straight: masses, rods or arms are still missing")
        );
        for more in [("position", "300"), ("reach", "100"), ("overhang", "x")] {
            assert!(of(&[more]).is_empty(), "{more:?}");
        }
        let both = of(&[("layout", "both_ends")]);
        assert!(
            both.contains("to the centre 120") && both.contains("times as far"),
            "{both}"
        );
    }

    #[test]
    fn extremes_stay_on_the_sheet() {
        for (length, spacing, position) in [
            ("1e5", "0.001", "0"),
            ("100000", "99999", "0.5"),
            ("0.02", "0.01", "0.001"),
        ] {
            for (overhang, reach) in [
                ("1e-6", "1e5"),
                ("99999.5", "99999.9"),
                ("0.000001", "0.000002"),
            ] {
                for layout in ["cantilever", "both_ends"] {
                    let entries = [
                        ("rod_length", length),
                        ("bearing_spacing", spacing),
                        ("position", position),
                        ("travel", "0"),
                        ("overhang", overhang),
                        ("reach", reach),
                        ("layout", layout),
                        ("price_ends", "123456789"),
                    ];
                    assert!(!of(&entries).is_empty(), "{entries:?}");
                }
            }
        }
    }
}
