//! `reach` drawn: the plan of frame, bed, what nozzle and probe reach of it, what is lost, and the home switches.

use layshaft_core::entry::write::write_shortest;
use layshaft_core::sheets::{Report, State, join_unit};

use super::pen::{Anchor, Line, Pen, in_rect};
use super::{Drawing, number};

const WIDTH: f64 = 360.0;
/// The part of the sheet that the plan may fill: left, top, right, bottom.
const PLAN: (f64, f64, f64, f64) = (12.0, 30.0, 280.0, 280.0);
/// A switch's side.
const SWITCH: f64 = 8.0;

/// One axis of the plan, from the frame's low face.
struct Axis {
    frame: f64,
    /// The bed's low edge and its length; of a bed that moves in the middle of its way.
    bed: (f64, f64),
    /// The bed's low edge at both ends of its way, if it moves.
    ends: Option<(f64, f64)>,
    /// What the nozzle reaches.
    reach: (f64, f64),
    /// What the nozzle reaches of the bed.
    prints: Option<(f64, f64)>,
    probe: Option<(f64, f64)>,
    home: f64,
    /// Home lies beyond what the axis reaches.
    beyond: bool,
    /// The switch is at the frame's high face.
    high: bool,
    intrusions: (f64, f64),
}

impl Axis {
    fn read(report: &Report, name: &str) -> Option<Self> {
        let key = |part: &str| [part, "_", name].concat();
        let entry = |part: &str| number(report, &key(part));
        let answer = |part: &str| report.number(&key(part));
        let (frame, bed) = (entry("frame")?, entry("bed")?);
        let (min, max, home) = (answer("min")?, answer("max")?, answer("home_position")?);
        let moves = report.inputs.choice(&key("moves")) == "bed";
        // Over a bed that moves the nozzle stands; where its place on the bed is p, the bed begins p below it.
        let low = if moves {
            entry("nozzle_at")? - f64::midpoint(min, max)
        } else {
            entry("bed_offset")?
        };
        let ends = if moves {
            let nozzle = entry("nozzle_at")?;
            Some((nozzle - max, nozzle - min))
        } else {
            None
        };
        let pair = |from: Option<f64>, to: Option<f64>| Some((low + from?, low + to?));
        let id = key("home_position");
        Some(Self {
            frame,
            bed: (low, bed),
            ends,
            reach: (low + min, low + max),
            prints: Some(answer("printable")?)
                .filter(|long| *long > 0.0)
                .and_then(|long| {
                    let from = low + answer("lost_low")?;
                    Some((from, from + long))
                }),
            probe: pair(answer("probe_min"), answer("probe_max")),
            home: low + home,
            beyond: report
                .checks
                .iter()
                .any(|checked| checked.check.id == id && checked.state == State::Over),
            // A bed comes to the frame's high face when the nozzle comes to its low edge.
            high: (report.inputs.choice(&key("home_at")) == "high") != moves,
            intrusions: (
                entry("low_intrusion").unwrap_or(0.0),
                entry("high_intrusion").unwrap_or(0.0),
            ),
        })
    }

    /// Everything on the axis that is drawn.
    fn extent(&self) -> (f64, f64) {
        let (low, long) = self.bed;
        let (first, last) = self.ends.unwrap_or((low, low));
        let places = [
            0.0,
            self.frame,
            low,
            low + long,
            first,
            last + long,
            self.reach.0,
            self.reach.1,
            self.home,
        ];
        places
            .into_iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), place| {
                (low.min(place), high.max(place))
            })
    }
}

/// A length as short as it can be written.
fn length(mm: Option<f64>) -> String {
    join_unit(write_shortest(mm.unwrap_or(0.0), 6), "mm")
}

/// The plan, once both axes are known.
pub fn draw(report: &Report) -> Option<Drawing> {
    let (x, y) = (Axis::read(report, "x")?, Axis::read(report, "y")?);
    let mut pen = Pen::new(WIDTH);
    let ((x_low, x_high), (y_low, y_high)) = (x.extent(), y.extent());
    let (left, top, right, low) = PLAN;
    let scale = ((right - left) / (x_high - x_low)).min((low - top) / (y_high - y_low));
    let low = top + (y_high - y_low) * scale;
    let across = |mm: f64| left + (mm - x_low) * scale;
    let down = |mm: f64| low - (mm - y_low) * scale;
    // A rectangle between two places on each axis: its upper left and lower right corner.
    let area = |(x1, x2): (f64, f64), (y1, y2): (f64, f64)| {
        ((across(x1), down(y2)), (across(x2), down(y1)))
    };
    let put = |pen: &mut Pen, line: Line, ((x1, y1), (x2, y2)): ((f64, f64), (f64, f64))| {
        pen.rect(line, (x1, y1), x2 - x1, y2 - y1);
    };
    let whole = |axis: &Axis, from: f64| (from, from + axis.bed.1);
    let (bed_x, bed_y) = (whole(&x, x.bed.0), whole(&y, y.bed.0));

    let inside = area((0.0, x.frame), (0.0, y.frame));
    put(&mut pen, Line::Thick, inside);
    for (axis, of_x) in [(&x, true), (&y, false)] {
        let other = if of_x { y.frame } else { x.frame };
        let part = (0.35 * other, 0.65 * other);
        let (first, last) = axis.intrusions;
        for (from, to) in [(0.0, first), (axis.frame - last, axis.frame)] {
            if to > from {
                let spot = if of_x {
                    area((from, to), part)
                } else {
                    area(part, (from, to))
                };
                put(&mut pen, Line::Thin, spot);
            }
        }
        if let Some((first, last)) = axis.ends {
            for from in [first, last] {
                let end = whole(axis, from);
                put(
                    &mut pen,
                    Line::Extreme,
                    if of_x {
                        area(end, bed_y)
                    } else {
                        area(bed_x, end)
                    },
                );
            }
        }
    }
    let bed = area(bed_x, bed_y);
    let printed = x.prints.zip(y.prints).map(|(x, y)| area(x, y));
    pen.hatch(
        (bed.0.1 - bed.1.0, bed.1.1 - bed.0.0),
        &|c| in_rect(bed, c),
        &|c| printed.and_then(|printed| in_rect(printed, c)),
    );
    if x.reach.0 <= x.reach.1 && y.reach.0 <= y.reach.1 {
        put(&mut pen, Line::Shade, area(x.reach, y.reach));
    }
    put(&mut pen, Line::Thick, bed);
    let probe = x.probe.zip(y.probe);
    if let Some((x, y)) = probe {
        put(&mut pen, Line::Dashed, area(x, y));
    }
    // The switches, each at the face to which the axis runs home.
    let half = SWITCH / 2.0;
    for (axis, of_x) in [(&x, true), (&y, false)] {
        let face = if axis.high {
            axis.frame - axis.intrusions.1
        } else {
            axis.intrusions.0
        };
        let place = if of_x {
            (across(face), down(y.frame / 2.0))
        } else {
            (across(x.frame / 2.0), down(face))
        };
        let (px, py) = place;
        pen.path(
            Line::Filled,
            [
                (px - half, py - half),
                (px + half, py - half),
                (px + half, py + half),
                (px - half, py + half),
            ],
        );
    }
    let home = (across(x.home), down(y.home));
    let line = if x.beyond || y.beyond {
        Line::Accent
    } else {
        Line::Thick
    };
    pen.circle(line, home, 5.0);
    pen.centre(home, 9.0);

    // What is printed is dimensioned, what is lost is written below.
    let under = low.max(home.1) + 26.0;
    if let (Some((x1, x2)), Some((y1, y2))) = (x.prints, y.prints) {
        pen.extensions((across(x1), across(x2)), down(y1), under + 4.0);
        let words = ["X ", &length(report.number("printable_x"))].concat();
        pen.dimension((across(x1), across(x2)), under, &words);
        let side = right.min(across(x_high)) + 14.0;
        for place in [y1, y2] {
            pen.line(
                Line::Thin,
                (across(x2), down(place)),
                (side + 4.0, down(place)),
            );
        }
        pen.rise(
            side,
            (down(y2), down(y1)),
            &["Y ", &length(report.number("printable_y"))].concat(),
        );
    }
    let frame = |mm: f64| write_shortest(mm, 6);
    pen.say(
        Anchor::Start,
        (4.0, 14.0),
        &[
            "frame ",
            &frame(x.frame),
            " × ",
            &join_unit(frame(y.frame), "mm"),
        ],
    );
    let mut at = under + 20.0;
    for name in ["x", "y"] {
        let shown = |part: &str| length(report.number(&[part, "_", name].concat()));
        pen.say(
            Anchor::Start,
            (4.0, at),
            &[
                if name == "x" {
                    "X prints "
                } else {
                    "Y prints "
                },
                &shown("printable"),
                ", lost: low ",
                &shown("lost_low"),
                ", high ",
                &shown("lost_high"),
            ],
        );
        at += 15.0;
    }
    let homes = [
        "home at X ",
        &length(report.number("home_position_x")),
        ", Y ",
        &length(report.number("home_position_y")),
    ];
    pen.words(Anchor::Start, (4.0, at), &homes.concat());
    if x.beyond || y.beyond {
        at += 15.0;
        pen.words(
            Anchor::Start,
            (4.0, at),
            "home lies where the axis does not come",
        );
    }
    if probe.is_none() {
        at += 15.0;
        pen.words(
            Anchor::Start,
            (4.0, at),
            "the probe never comes over the bed",
        );
    }
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height: at + 10.0,
        note: "From above, to scale. Shaded: the nozzle comes there. Hatched: lost. Dashed: the probe comes there. \
            Ring: the nozzle at home. Filled squares: home switches. Chain lines: the ends of a moving bed's way.",
    })
}

#[cfg(test)]
mod tests {
    use super::super::trial::{corners, svg, with};

    /// A nozzle that moves in X, a bed that moves in Y.
    const MACHINE: &[(&str, &str)] = &[
        ("frame_x", "320"),
        ("body_x", "60"),
        ("low_intrusion_x", "10"),
        ("bed_x", "220"),
        ("bed_offset_x", "50"),
        ("nozzle_offset_x", "4"),
        ("switch_gap_x", "5"),
        ("probe_x", "-28"),
        ("margin_x", "1"),
        ("moves_y", "bed"),
        ("frame_y", "400"),
        ("body_y", "120"),
        ("bed_y", "220"),
        ("bed_offset_y", "-110"),
        ("nozzle_at_y", "190"),
        ("home_at_y", "high"),
    ];

    fn of(more: &[(&str, &str)]) -> String {
        svg("reach", &with(MACHINE, more))
    }

    /// Left, top, right and bottom of each rectangle of a class, in units.
    fn rects(svg: &str, class: &str) -> Vec<[f64; 4]> {
        let paths = corners(svg, class).into_iter();
        let found = paths.filter_map(|path| match path.as_slice() {
            [(l, t), _, (r, b), _, ..] => Some([*l, *t, *r, *b]),
            _ => None,
        });
        found.collect()
    }

    #[test]
    fn frame_bed_reach_and_probe_are_to_one_scale() {
        let svg = of(&[]);
        let plain = rects(&svg, "k");
        let [frame, bed] = [plain.first(), plain.get(1)].map(|rect| *rect.expect("a rectangle"));
        let scale = (frame[2] - frame[0]) / 320.0;
        let near = |found: f64, mm: f64| (found - mm * scale).abs() < 0.25;
        assert!(near(frame[3] - frame[1], 400.0));
        assert!(near(bed[2] - bed[0], 220.0) && near(bed[0] - frame[0], 50.0));
        // The nozzle from -5 to 243 on the bed in X, from -40 to 240 in Y.
        let reach = *rects(&svg, "b").first().expect("it is shaded");
        assert!(near(reach[0] - bed[0], -5.0) && near(reach[2] - bed[0], 243.0));
        assert!(near(bed[3] - reach[3], -40.0) && near(bed[3] - reach[1], 240.0));
        // The probe from 0 to 215 in X.
        let probe = *rects(&svg, "d").first().expect("it is dashed");
        assert!(near(probe[0] - bed[0], 0.0) && near(probe[2] - bed[0], 215.0));
        for words in ["frame 320 × 400\u{a0}mm", "X prints 220", "home at X -5"] {
            assert!(svg.contains(words), "{words} in {svg}");
        }
    }

    #[test]
    fn a_bed_that_moves_is_drawn_at_both_ends_of_its_way_and_its_switch_at_the_other_face() {
        let svg = of(&[]);
        let plain = rects(&svg, "k");
        let frame = *plain.first().expect("a frame");
        let scale = (frame[2] - frame[0]) / 320.0;
        let ends = rects(&svg, "y");
        // Its middle from 60 to 340: its low edge from -50 to 230 in the frame.
        let lows: Vec<f64> = ends.iter().map(|end| (frame[3] - end[3]) / scale).collect();
        assert!(
            matches!(lows.as_slice(), [a, b] if (a + 50.0).abs() < 0.5 && (b - 230.0).abs() < 0.5),
            "{lows:?}"
        );
        // Home at the bed's high end: the bed stands low, so does its switch.
        let switches = |svg: &str| -> Vec<[f64; 4]> {
            let filled = rects(svg, "f").into_iter();
            filled
                .filter(|r| (r[2] - r[0] - 8.0).abs() < 0.11 && (r[3] - r[1] - 8.0).abs() < 0.11)
                .collect()
        };
        let of_y = |svg: &str| {
            switches(svg)
                .get(1)
                .map_or(0.0, |rect| (rect[1] + rect[3]) / 2.0)
        };
        assert!((of_y(&svg) - frame[3]).abs() < 0.3);
        assert!(of_y(&of(&[("home_at_y", "low")])) < frame[3] - 100.0);
        assert!(
            rects(
                &of(&[
                    ("moves_y", "nozzle"),
                    ("bed_offset_y", "90"),
                    ("nozzle_at_y", "")
                ]),
                "y"
            )
            .is_empty()
        );
    }

    #[test]
    fn what_is_lost_is_hatched_and_a_home_out_of_reach_marked() {
        let hatching = |more: &[(&str, &str)]| of(more).matches("<path class=n").count();
        let lost = [("nozzle_offset_x", "40"), ("switch_gap_x", "-30")];
        assert!(hatching(&lost) > hatching(&[]) + 5);
        assert!(of(&lost).contains("lost: low 30"));
        assert!(!of(&[]).contains("class=a"));
        let beyond = of(&[("switch_gap_x", "9")]);
        assert!(beyond.contains("<circle class=a") && beyond.contains("does not come"));
        assert!(of(&[("probe_x", "-250")]).contains("the probe never comes over the bed"));
    }

    #[test]
    fn half_a_plan_is_no_plan() {
        assert!(svg("reach", &[]).is_empty());
        for more in [
            ("frame_y", ""),
            ("bed_x", "321"),
            ("body_y", "401"),
            ("switch_gap_x", "five"),
        ] {
            assert!(of(&[more]).is_empty(), "{more:?}");
        }
    }

    #[test]
    fn extremes_stay_on_the_sheet() {
        for (frame, bed) in [("1e6", "999999"), ("1e-6", "1e-6"), ("0.5", "0.000123456")] {
            for (gap, probe) in [("", "0"), ("999999", "-123456"), ("-0.000001", "1e-6")] {
                let entries = [
                    ("frame_x", frame),
                    ("body_x", "0"),
                    ("low_intrusion_x", "0"),
                    ("bed_x", bed),
                    ("bed_offset_x", "0"),
                    ("switch_gap_x", gap),
                    ("probe_x", probe),
                    ("margin_x", "123456"),
                ];
                assert!(!of(&entries).is_empty(), "{entries:?}");
            }
        }
    }
}
