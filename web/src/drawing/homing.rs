//! `homing` drawn: how far the axis runs past the contact of its switch, to scale with what the switch allows.

use layshaft_core::sheets::Report;

use super::pen::{Anchor, Line, Pen};
use super::{Drawing, entry_or, shown_or};

const WIDTH: f64 = 360.0;
/// Where the switch closes, and where the longest path past it ends.
const PATH: (f64, f64) = (120.0, 310.0);
/// The carriage's edges.
const CARRIAGE: (f64, f64) = (52.0, 92.0);

/// The path, once it is known.
pub fn draw(report: &Report) -> Option<Drawing> {
    let overrun = report.number("overrun")?;
    let allowed = report.inputs.num("overtravel");
    let most = overrun.max(allowed.unwrap_or(0.0));
    if most <= 0.0 {
        return None;
    }
    let mut pen = Pen::new(WIDTH);
    let (contact, end) = PATH;
    let place = |mm: f64| contact + (end - contact) * mm / most;
    let (top, low) = CARRIAGE;
    let stop = place(overrun);
    pen.line(Line::Thin, (4.0, low + 6.0), (WIDTH - 4.0, low + 6.0));
    // Where it is when the switch closes, and where it stands.
    pen.rect(Line::Dashed, (contact - 96.0, top), 96.0, low - top);
    pen.rect(Line::Thick, (stop - 96.0, top), 96.0, low - top);
    pen.words(Anchor::Middle, (contact - 48.0, top - 6.0), "at contact");
    pen.pointer((contact - 66.0, top + 20.0), (contact - 26.0, top + 20.0));
    if let Some(allowed) = allowed {
        let body = place(allowed);
        // A body that the carriage runs into is marked.
        let line = if overrun > allowed {
            Line::Accent
        } else {
            Line::Thick
        };
        pen.rect(line, (body, top + 6.0), 34.0, low - top - 12.0);
        pen.words(Anchor::Middle, (body + 17.0, top - 6.0), "switch");
        pen.extensions((contact, body), low, low + 56.0);
        pen.dimension(
            (contact, body),
            low + 52.0,
            &["allows ", &entry_or(report, "overtravel", "")].concat(),
        );
    }
    pen.extensions((contact, stop), low, low + 28.0);
    pen.dimension(
        (contact, stop),
        low + 24.0,
        &["runs on ", &shown_or(report, "overrun", "")].concat(),
    );
    pen.say(
        Anchor::Start,
        (4.0, 20.0),
        &[
            "blocked, it pushes with ",
            &shown_or(report, "push_force", "a force still to be worked out"),
        ],
    );
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height: if allowed.is_some() {
            low + 64.0
        } else {
            low + 36.0
        },
        note: "The path past the contact and what the switch allows are to one scale; carriage and switch are not.",
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use layshaft_core::sheets;

    fn drawn(overtravel: &str) -> String {
        let sheet = sheets::find("homing").expect("it is listed");
        // 40 mm/s * 2 ms and 0.8 mm of braking: 0.88 mm.
        let entries = [
            ("speed", "40"),
            ("accel", "1000"),
            ("overtravel", overtravel),
        ];
        draw(&sheet.run(&entries.into_iter().collect())).map_or_else(String::new, |drawn| drawn.svg)
    }

    #[test]
    fn a_switch_that_allows_too_little_is_run_into() {
        for (allowed, hit) in [("0.5", true), ("1.5", false)] {
            let svg = drawn(allowed);
            assert_eq!(svg.contains("class=a"), hit, "{svg}");
            assert!(svg.contains("runs on 0.8800\u{a0}mm"), "{svg}");
        }
        assert!(!drawn("").contains("switch<"));
    }

    #[test]
    fn nothing_is_drawn_without_a_path() {
        let sheet = sheets::find("homing").expect("it is listed");
        for speed in ["", "0", "x"] {
            let entries = [("speed", speed), ("accel", "1000")];
            assert!(
                draw(&sheet.run(&entries.into_iter().collect())).is_none(),
                "{speed}"
            );
        }
    }
}
