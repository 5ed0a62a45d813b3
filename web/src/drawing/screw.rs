//! `screw` drawn: the thread to its scale, with one start marked, and the shaft on its supports, to another.

use std::f64::consts::PI;

use layshaft_core::sheets::Report;

use super::pen::{Anchor, Line, Pen};
use super::{Drawing, entry_or, number, shown_or};

const WIDTH: f64 = 360.0;
/// The thread's ends, and its axis.
const THREAD: (f64, f64, f64) = (14.0, 252.0, 92.0);
/// The largest radius drawn.
const RADIUS: f64 = 52.0;
/// Finer threads than these are drawn as ISO 6410 draws them: crests thick, roots thin.
const FINEST: f64 = 4.0;
/// The shaft's ends, and its axis.
const SHAFT: (f64, f64, f64) = (44.0, 316.0, 222.0);

/// The thread once its sizes are known; below it the shaft, once it has a length.
pub fn draw(report: &Report) -> Option<Drawing> {
    let root = report.number("root_diameter")?;
    let diameter = number(report, "diameter")?;
    let mut pen = Pen::new(WIDTH);
    thread(&mut pen, report, diameter, root)?;
    let length = number(report, "length");
    if let Some(length) = length {
        shaft(&mut pen, report, length, root);
    }
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height: if length.is_some() { 282.0 } else { 178.0 },
        note: "The thread is to one scale, the shaft to another. The marked start comes back after one lead.",
    })
}

fn thread(pen: &mut Pen, report: &Report, diameter: f64, root: f64) -> Option<()> {
    let (pitch_mm, lead_mm) = (number(report, "pitch")?, report.number("lead")?);
    let (left, right, y) = THREAD;
    let scale =
        (2.0 * RADIUS / diameter).min((right - left) / (1.25 * lead_mm).max(2.5 * pitch_mm));
    let (crest, core) = (diameter / 2.0 * scale, root / 2.0 * scale);
    let (pitch, lead) = (pitch_mm * scale, lead_mm * scale);
    pen.line(Line::Chain, (4.0, y), (right + 10.0, y));
    let first = left + pitch / 2.0;
    // On the pitch diameter a ridge is as wide as a gap; from there its flanks lean by their half angle.
    let shape = report
        .number("mean_diameter")
        .zip(number(report, "flank"))
        .map(|(mean, flank)| {
            let flank = flank.to_radians();
            let lean = libm::sin(flank) / libm::sin(PI / 2.0 - flank);
            let half = |radius: f64| pitch / 4.0 - (radius - mean / 2.0 * scale) * lean;
            (half(crest), half(core))
        });
    match shape {
        Some((top, base)) if pitch >= FINEST && top >= 0.0 && base <= pitch / 2.0 => {
            let left_hand = report
                .inputs
                .thread("thread")
                .is_some_and(|thread| thread.left_hand);
            let shift = if left_hand { -lead / 2.0 } else { lead / 2.0 };
            // Both outlines, the lower one half a turn on.
            for (side, from) in [(-1.0, first), (1.0, first + shift)] {
                let mut x = from - pitch * libm::floor((from - left) / pitch);
                let mut points = vec![(left, y + side * core)];
                while x + base <= right {
                    if x - base >= left {
                        points.extend([
                            (x - base, y + side * core),
                            (x - top, y + side * crest),
                            (x + top, y + side * crest),
                            (x + base, y + side * core),
                        ]);
                    }
                    x += pitch;
                }
                points.push((right, y + side * core));
                pen.path(Line::Thick, points);
            }
            let (mut x, mut index) = (first, 0.0);
            let starts = libm::round(lead / pitch);
            while x < right {
                let marked = index - starts * libm::floor(index / starts) < 0.5;
                if (left..=right).contains(&(x + shift)) {
                    let line = if marked { Line::Accent } else { Line::Thin };
                    pen.line(line, (x, y - crest), (x + shift, y + crest));
                }
                x += pitch;
                index += 1.0;
            }
        }
        _ => {
            for (line, radius) in [(Line::Thick, crest), (Line::Thin, core)] {
                pen.line(line, (left, y - radius), (right, y - radius));
                pen.line(line, (left, y + radius), (right, y + radius));
            }
        }
    }
    pen.extensions((first, first + pitch), y - crest, 22.0);
    pen.dimension(
        (first, first + pitch),
        26.0,
        &entry_or(report, "pitch", "pitch"),
    );
    pen.extensions((first, first + lead), y + crest, y + crest + 24.0);
    pen.dimension(
        (first, first + lead),
        y + crest + 20.0,
        &["lead ", &shown_or(report, "lead", "")].concat(),
    );
    // Diameters beyond the thread's end.
    for (radius, x, words) in [
        (
            core,
            right + 16.0,
            shown_or(report, "root_diameter", "root"),
        ),
        (
            crest,
            right + 30.0,
            entry_or(report, "diameter", "diameter"),
        ),
    ] {
        for side in [-radius, radius] {
            pen.line(Line::Thin, (right, y + side), (x + 4.0, y + side));
        }
        pen.rise(x, (y - radius, y + radius), "");
        let (at, words) = if radius < crest {
            (y + 16.0, words)
        } else {
            (y - 4.0, words)
        };
        pen.say(Anchor::Start, (right + 36.0, at), &["⌀ ", &words]);
    }
    pen.say(
        Anchor::Start,
        (right + 36.0, y - RADIUS - 14.0),
        &["flank ", &entry_or(report, "flank", "")],
    );
    Some(())
}

/// The shaft between its supports, to scale in length and core.
fn shaft(pen: &mut Pen, report: &Report, length: f64, root: f64) {
    let (left, most, y) = SHAFT;
    let scale = ((most - left) / length).min(36.0 / root);
    let (right, half) = (left + length * scale, root / 2.0 * scale);
    let ends = report.inputs.choice("ends");
    let (first, last) = ends.split_once('-').unwrap_or((ends, ""));
    pen.line(Line::Chain, (left - 24.0, y), (right + 24.0, y));
    pen.rect(Line::Solid, (left, y - half), right - left, 2.0 * half);
    for (end, x, out) in [(first, left, -1.0), (last, right, 1.0)] {
        match end {
            // Clamped: it may neither move nor lean.
            "fixed" => pen.ground(
                (x, y - half - 12.0),
                (x, y + half + 12.0),
                (out * 6.0, -5.0),
            ),
            // In one bearing: it may lean.
            "simple" => {
                let low = y + half + 12.0;
                pen.path(
                    Line::Thick,
                    [(x, y + half), (x - 7.0, low), (x + 7.0, low), (x, y + half)],
                );
                pen.ground((x - 11.0, low), (x + 11.0, low), (-4.0, 5.0));
            }
            _ => {}
        }
        let name = match end {
            "fixed" => "clamped",
            "simple" => "bearing",
            _ => "free",
        };
        pen.words(Anchor::Middle, (x, y - half - 18.0), name);
    }
    let low = y + half + 36.0;
    pen.extensions((left, right), y + half, low + 4.0);
    pen.dimension((left, right), low, &entry_or(report, "length", "length"));
}

#[cfg(test)]
mod tests {
    use super::super::trial::corners;
    use super::*;
    use layshaft_core::sheets;

    fn drawn(entries: &[(&str, &str)]) -> String {
        let sheet = sheets::find("screw").expect("it is listed");
        draw(&sheet.run(&entries.iter().copied().collect()))
            .map_or_else(String::new, |drawn| drawn.svg)
    }

    #[test]
    fn the_flank_leans_by_its_half_angle() {
        // ISO 2904: 15 degrees; ISO 68-1: 30 degrees; square: upright.
        for (entries, degrees) in [
            (&[("thread", "Tr8x8(P2)")][..], 15.0_f64),
            (&[("thread", "M8")], 30.0),
            (&[("diameter", "10"), ("pitch", "3"), ("flank", "0")], 0.0),
        ] {
            let thick = corners(&drawn(entries), "k");
            // The upper outline.
            let corners = thick.first().expect("an outline");
            let flank = corners.get(1).zip(corners.get(2));
            let lean = flank.map_or(f64::NAN, |(root, crest)| {
                ((crest.0 - root.0) / (root.1 - crest.1))
                    .atan()
                    .to_degrees()
            });
            assert!((lean - degrees).abs() < 1.5, "{entries:?}: {lean}");
            // A tooth repeats after one pitch, in the diameter's scale.
            let pitch = corners
                .get(1)
                .zip(corners.get(5))
                .map_or(0.0, |(a, b)| b.0 - a.0);
            let scale = RADIUS * 2.0;
            let share = match entries {
                [("thread", "Tr8x8(P2)")] => 2.0 / 8.0,
                [("thread", "M8")] => 1.25 / 8.0,
                _ => 3.0 / 10.0,
            };
            assert!(pitch <= scale * share + 0.2, "{entries:?}: {pitch}");
        }
    }

    #[test]
    fn a_left_hand_thread_leans_the_other_way() {
        let lean = |thread| {
            let lines = corners(&drawn(&[("thread", thread)]), "a");
            let line = lines.first().map_or(&[][..], Vec::as_slice);
            match line {
                [(top, _), (low, _), ..] => low - top,
                _ => 0.0,
            }
        };
        assert!(lean("Tr8x8(P2)") > 0.0 && lean("Tr8x8(P2)LH") < 0.0);
    }

    #[test]
    fn the_supports_are_those_chosen() {
        let ends = |ends: &str| {
            let entries = [("thread", "Tr8x2"), ("length", "300"), ("ends", ends)];
            let svg = drawn(&entries);
            ["clamped", "bearing", "free"].map(|name| svg.matches(name).count())
        };
        assert_eq!(ends("fixed-free"), [1, 0, 1]);
        assert_eq!(ends("simple-simple"), [0, 2, 0]);
        assert_eq!(ends("fixed-simple"), [1, 1, 0]);
        assert_eq!(ends("fixed-fixed"), [2, 0, 0]);
    }

    #[test]
    fn what_is_too_fine_or_flat_is_drawn_plain_and_what_is_unknown_not_at_all() {
        assert!(drawn(&[]).is_empty());
        assert!(drawn(&[("diameter", "8"), ("pitch", "x")]).is_empty());
        for entries in [
            [("diameter", "1000"), ("pitch", "0.001"), ("length", "1")],
            [("diameter", "8"), ("pitch", "2"), ("flank", "80")],
            [("diameter", "8"), ("pitch", "2"), ("starts", "100")],
        ] {
            let svg = drawn(&entries);
            assert!(
                svg.len() < 20_000 && !svg.contains("NaN") && !svg.contains("2147483647"),
                "{entries:?}: {svg}"
            );
        }
    }
}
