//! `travel` drawn: pulley, screw, pinion, roller or table with the numbers of today.
//!
//! Round parts are drawn to scale with the travel of one turn, which is their circumference; the teeth drawn are the
//! teeth typed. Until a number is typed, its name stands in its place.

use std::f64::consts::PI;

use layshaft_core::sheets::Report;

use super::pen::{Anchor, Line, Pen, polar};
use super::{Drawing, entry_or, number, shown_or};

const WIDTH: f64 = 360.0;
const HEIGHT: f64 = 176.0;
/// Radius of a pulley, pinion or roller.
const RADIUS: f64 = 34.0;
/// Where it turns.
const AXIS: (f64, f64) = (62.0, 70.0);
/// Where the other pulley turns.
const IDLER: f64 = 300.0;
/// Finer teeth than these are one line.
const FINEST_TOOTH: f64 = 3.4;

/// The drawing for the chosen drive.
pub fn draw(report: &Report) -> Option<Drawing> {
    let mut pen = Pen::new(WIDTH);
    let note = match report.inputs.choice("drive") {
        "belt" => belt(&mut pen, report),
        "screw" => screw(&mut pen, report),
        "rack" => rack(&mut pen, report),
        "roller" => roller(&mut pen, report),
        "rotary" => rotary(&mut pen, report),
        _ => return None,
    };
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height: HEIGHT,
        note,
    })
}

/// What is drawn where no count was typed yet.
fn teeth(report: &Report) -> f64 {
    let typed = report
        .inputs
        .num("teeth")
        .or_else(|| report.stand_in("teeth"));
    // Half a tooth, as a solved count may have, is drawn as the nearest whole one.
    libm::round(typed.unwrap_or(20.0)).clamp(1.0, 1e4)
}

/// The turns of the motor for one of the output.
fn ratio(report: &Report) -> f64 {
    report.number("ratio").unwrap_or(1.0)
}

/// A wheel of `count` teeth between two radii; a plain circle where the teeth are too fine to see.
fn wheel(pen: &mut Pen, centre: (f64, f64), count: f64, root: f64, tip: f64) {
    pen.centre(centre, RADIUS + 12.0);
    pen.circle(Line::Thick, centre, 5.0);
    if 2.0 * PI * RADIUS / count < FINEST_TOOTH {
        pen.circle(Line::Thick, centre, tip);
        return;
    }
    let step = 2.0 * PI / count;
    // A tooth in four corners, as shares of the pitch; the first tooth points to where belt and rack engage.
    let corners = [(-0.32, root), (-0.17, tip), (0.17, tip), (0.32, root)];
    let mut points = Vec::new();
    let mut angle = PI / 2.0;
    while angle < PI / 2.0 + 2.0 * PI - step / 2.0 {
        points.extend(corners.map(|(share, radius)| polar(centre, radius, angle + share * step)));
        angle += step;
    }
    points.extend(points.first().copied());
    pen.path(Line::Thick, points);
}

/// A row of teeth along x at height `y`, `depth` high towards negative y.
fn teeth_along(pen: &mut Pen, line: Line, (from, to): (f64, f64), pitch: f64, y: f64, depth: f64) {
    let mut points = vec![(from, y)];
    if pitch >= FINEST_TOOTH {
        let mut x = from;
        while x + pitch <= to {
            points.extend(
                [(0.25, 0.0), (0.36, depth), (0.64, depth), (0.75, 0.0)]
                    .map(|(share, high)| (x + share * pitch, y - high)),
            );
            x += pitch;
        }
    }
    points.push((to, y));
    pen.path(line, points);
}

/// The travel of one output turn from `x`, to the drawing's scale, and that of a motor turn when they differ.
fn turn(pen: &mut Pen, report: &Report, from: (f64, f64), length: f64, of: &str) {
    let (x, y) = from;
    let ratio = ratio(report);
    let geared = (ratio - 1.0).abs() > 1e-9;
    let travel = shown_or(report, "out_travel", "travel");
    pen.extensions(
        (x, x + length),
        y,
        HEIGHT - if geared { 32.0 } else { 10.0 },
    );
    let of = [&travel, " per turn of the ", of].concat();
    pen.dimension(
        (x, x + length),
        HEIGHT - if geared { 36.0 } else { 14.0 },
        &of,
    );
    if geared {
        let motor = [
            &shown_or(report, "turn_travel", "travel"),
            " per turn of the motor",
        ]
        .concat();
        let end = x + (length / ratio).clamp(0.5, WIDTH - x - 4.0);
        pen.extensions((end, end), HEIGHT - 32.0, HEIGHT - 4.0);
        pen.extensions((x, x), HEIGHT - 32.0, HEIGHT - 4.0);
        pen.dimension((x, end), HEIGHT - 8.0, &motor);
    }
}

fn belt(pen: &mut Pen, report: &Report) -> &'static str {
    let count = teeth(report);
    let pitch = 2.0 * PI * RADIUS / count;
    let depth = (0.3 * pitch).min(7.0);
    let (x, y) = AXIS;
    // The pitch line of a belt lies in its cords, outside the pulley's tips.
    let (back, tips) = (RADIUS + 2.5, RADIUS - 1.0);
    wheel(pen, AXIS, count, tips - depth, tips);
    wheel(pen, (IDLER, y), count, tips - depth, tips);
    for (centre, start) in [(x, PI / 2.0), (IDLER, -PI / 2.0)] {
        let arc = (0..=24_u32).map(|i| polar((centre, y), back, start + PI * f64::from(i) / 24.0));
        pen.path(Line::Thick, arc);
    }
    for (side, inward) in [(-1.0, -depth), (1.0, depth)] {
        pen.line(Line::Thick, (x, y + side * back), (IDLER, y + side * back));
        teeth_along(
            pen,
            Line::Thin,
            (x, IDLER),
            pitch,
            y + side * (RADIUS - 1.0),
            inward,
        );
    }
    pen.rect(Line::Solid, (128.0, y - back - 13.0), 44.0, 13.0);
    pen.words(Anchor::Middle, (150.0, y - back - 17.0), "carriage");
    let words = entry_or(report, "teeth", "teeth");
    pen.words(
        Anchor::Start,
        (4.0, 14.0),
        &if words == "teeth" {
            words
        } else {
            words + " teeth"
        },
    );
    pen.line(Line::Thin, (24.0, 18.0), polar(AXIS, tips, -2.2));
    let tooth = x + pitch * libm::round(160.0 / pitch);
    pen.extensions((tooth, tooth + pitch), y - back, 20.0);
    pen.dimension(
        (tooth, tooth + pitch),
        24.0,
        &entry_or(report, "pitch", "belt pitch"),
    );
    turn(pen, report, (x, y + back), 2.0 * PI * RADIUS, "pulley");
    "Pulley, teeth and travel are to one scale; the distance of the pulleys is not."
}

fn rack(pen: &mut Pen, report: &Report) -> &'static str {
    let count = teeth(report);
    let module = 2.0 * RADIUS / count;
    let pitch = PI * module;
    let (x, y) = AXIS;
    let line = y + RADIUS;
    // Addendum 1 and dedendum 1.25 modules, the usual rack.
    let (addendum, dedendum) = (module.min(9.0), (1.25 * module).min(11.0));
    wheel(pen, AXIS, count, RADIUS - dedendum, RADIUS + addendum);
    pen.circle(Line::Chain, AXIS, RADIUS);
    // The pinion's tooth at the bottom needs a gap of the rack below it.
    let first = x - pitch * libm::floor((x - 6.0) / pitch);
    teeth_along(
        pen,
        Line::Thick,
        (first, 352.0),
        pitch,
        line + dedendum,
        dedendum + addendum,
    );
    pen.line(
        Line::Thick,
        (first, line + dedendum + 12.0),
        (352.0, line + dedendum + 12.0),
    );
    pen.line(Line::Chain, (6.0, line), (352.0, line));
    let words = entry_or(report, "teeth", "teeth");
    pen.words(
        Anchor::Start,
        (118.0, 30.0),
        &if words == "teeth" {
            words
        } else {
            words + " teeth"
        },
    );
    pen.line(Line::Thin, (116.0, 32.0), polar(AXIS, RADIUS, -0.7));
    let tooth = first + pitch * (libm::round((230.0 - first) / pitch) + 0.5);
    let level = line - addendum - 16.0;
    pen.extensions((tooth, tooth + pitch), line - addendum, level - 4.0);
    pen.dimension(
        (tooth, tooth + pitch),
        level,
        &entry_or(report, "pitch", "rack pitch"),
    );
    turn(
        pen,
        report,
        (x, line + dedendum + 12.0),
        2.0 * PI * RADIUS,
        "pinion",
    );
    "Pinion, rack and travel are to one scale."
}

fn roller(pen: &mut Pen, report: &Report) -> &'static str {
    let (x, y) = AXIS;
    let line = y + RADIUS;
    pen.centre(AXIS, RADIUS + 12.0);
    pen.circle(Line::Thick, AXIS, RADIUS);
    pen.circle(Line::Thick, AXIS, 5.0);
    pen.rect(Line::Thick, (6.0, line), 346.0, 9.0);
    pen.words(
        Anchor::Start,
        (118.0, 44.0),
        &["⌀ ", &entry_or(report, "diameter", "effective diameter")].concat(),
    );
    pen.line(Line::Thin, (116.0, 46.0), polar(AXIS, RADIUS, -0.6));
    turn(pen, report, (x, line + 9.0), 2.0 * PI * RADIUS, "roller");
    "Roller and travel are to one scale."
}

/// A screw from the side: one start in the accent, so that the lead is seen beside the pitch.
fn screw(pen: &mut Pen, report: &Report) -> &'static str {
    let pitch_mm = number(report, "pitch").unwrap_or(2.0);
    let starts = libm::round(number(report, "starts").unwrap_or(1.0)).clamp(1.0, 100.0);
    let pitch = (150.0 / starts).min(26.0);
    let lead = pitch * starts;
    let (left, right, y) = (14.0, 346.0, 66.0);
    // A thread that states its diameter is drawn with it.
    let diameter_mm = report
        .inputs
        .thread("thread")
        .map(|thread| thread.diameter_mm);
    let radius = diameter_mm.map_or(24.0, |mm| (mm / pitch_mm * pitch / 2.0).clamp(8.0, 30.0));
    let depth = (0.5 * pitch).min(radius * 0.4);
    pen.line(Line::Chain, (4.0, y), (356.0, y));
    if pitch < FINEST_TOOTH {
        pen.rect(Line::Thick, (left, y - radius), right - left, 2.0 * radius);
    } else {
        // The far side of each turn meets this one half a lead further on.
        let shift = lead / 2.0 - pitch * libm::floor(lead / 2.0 / pitch);
        teeth_along(
            pen,
            Line::Thick,
            (left, right),
            pitch,
            y - radius + depth,
            depth,
        );
        teeth_along(
            pen,
            Line::Thick,
            (left + shift, right),
            pitch,
            y + radius - depth,
            -depth,
        );
        let mut index = 0.0;
        let mut x = left + pitch / 2.0;
        while x + lead / 2.0 < right {
            let first = libm::round(index - starts * libm::floor(index / starts)) < 0.5;
            let line = if first { Line::Accent } else { Line::Thin };
            pen.line(line, (x, y - radius), (x + lead / 2.0, y + radius));
            index += 1.0;
            x += pitch;
        }
    }
    for side in [y - radius - 13.0, y + radius + 3.0] {
        pen.rect(Line::Solid, (262.0, side), 52.0, 10.0);
    }
    pen.words(Anchor::Middle, (288.0, y - radius - 17.0), "nut");
    let crest = left + pitch / 2.0;
    let words = entry_or(report, "pitch", "pitch");
    pen.extensions((crest, crest + pitch), y - radius, 16.0);
    pen.dimension((crest, crest + pitch), 20.0, &words);
    turn(pen, report, (crest, y + radius), lead, "screw");
    "Pitch and lead are to one scale. One start is marked: it comes back after one lead."
}

fn rotary(pen: &mut Pen, report: &Report) -> &'static str {
    let centre = (92.0, 88.0);
    let radius = 64.0;
    pen.centre(centre, radius + 12.0);
    pen.circle(Line::Thick, centre, radius);
    pen.circle(Line::Thick, centre, 5.0);
    for index in 0..36_u32 {
        let angle = PI * f64::from(index) / 18.0;
        let inner = if index % 9 == 0 {
            radius - 9.0
        } else {
            radius - 4.0
        };
        pen.line(
            Line::Thin,
            polar(centre, inner, angle),
            polar(centre, radius, angle),
        );
    }
    if let Some(degrees) = report.number("turn_travel")
        && degrees < 360.0
    {
        let sweep = degrees / 180.0 * PI;
        let arc = (0..=48_u32).map(|i| polar(centre, radius - 14.0, -sweep * f64::from(i) / 48.0));
        pen.path(Line::Accent, arc);
        pen.line(Line::Thin, centre, polar(centre, radius, 0.0));
        pen.line(Line::Thin, centre, polar(centre, radius, -sweep));
    }
    for (row, (key, name, words)) in [
        ("turn_travel", "degrees", " per motor turn"),
        ("full_step", "degrees", " per full step"),
        ("microstep", "degrees", " per microstep"),
    ]
    .into_iter()
    .zip([62.0, 88.0, 114.0])
    .map(|(words, y)| (y, words))
    {
        pen.words(
            Anchor::Start,
            (176.0, row),
            &[&shown_or(report, key, name), words].concat(),
        );
    }
    "The marked arc is one turn of the motor, to scale."
}

#[cfg(test)]
mod tests {
    use super::*;
    use layshaft_core::sheets;

    fn drawn(entries: &[(&str, &str)]) -> String {
        let sheet = sheets::find("travel").expect("it is listed");
        draw(&sheet.run(&entries.iter().copied().collect()))
            .expect("it draws every drive")
            .svg
    }

    #[test]
    fn a_pulley_has_the_teeth_that_were_typed() {
        // Four corners a tooth, and the first once more to close; two wheels.
        for (teeth, corners) in [("20", 81), ("36", 145)] {
            let svg = drawn(&[("drive", "belt"), ("pitch", "2"), ("teeth", teeth)]);
            let pairs = svg.split("d=\"M").map(|path| {
                path.split('"')
                    .next()
                    .unwrap_or("")
                    .split_whitespace()
                    .count()
                    / 2
            });
            assert_eq!(
                pairs.filter(|pairs| *pairs == corners).count(),
                2,
                "{teeth}"
            );
        }
    }

    #[test]
    fn a_thread_designation_is_drawn_with_its_starts() {
        // Four starts of 2 mm: of the slanted lines every fourth is marked.
        let svg = drawn(&[("drive", "screw"), ("thread", "Tr8x8(P2)")]);
        let (marked, others) = (
            svg.matches("class=a").count(),
            svg.matches("class=n d=\"M").count(),
        );
        assert!(marked >= 2 && others > 2 * marked, "{marked} of {others}");
    }

    #[test]
    fn the_numbers_of_the_report_stand_in_the_drawing() {
        let svg = drawn(&[
            ("drive", "belt"),
            ("pitch", "2"),
            ("teeth", "20"),
            ("gears", "3"),
        ]);
        for words in [
            "40.000\u{a0}mm per turn of the pulley",
            "13.3333\u{a0}mm per turn of the motor",
            "20 teeth",
        ] {
            assert!(svg.contains(words), "{words} in {svg}");
        }
    }

    #[test]
    fn every_drive_draws_before_anything_is_typed_and_at_extremes() {
        for drive in ["belt", "screw", "rack", "roller", "rotary"] {
            assert!(!drawn(&[("drive", drive)]).is_empty());
            for (teeth, gears) in [("1", "1e6"), ("10000", "1e-6"), ("2", "1/1000")] {
                let entries = [
                    ("drive", drive),
                    ("pitch", "1e-9"),
                    ("teeth", teeth),
                    ("starts", "100"),
                    ("diameter", "10000"),
                    ("gears", gears),
                ];
                let svg = drawn(&entries);
                assert!(
                    svg.len() < 40_000 && !svg.contains("NaN"),
                    "{drive}: {}",
                    svg.len()
                );
            }
        }
    }
}
