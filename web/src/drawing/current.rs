//! `current` drawn: ambient, holding, running and the mount's limit on one scale of temperature.

use layshaft_core::entry::write::write_fixed;
use layshaft_core::sheets::Report;

use super::Drawing;
use super::pen::{Anchor, Line, Pen};

const WIDTH: f64 = 360.0;
const HEIGHT: f64 = 118.0;
/// The ends of the scale on the sheet.
const SCALE: (f64, f64) = (14.0, 346.0);
/// The bar's upper edge and its height.
const BAR: (f64, f64) = (52.0, 12.0);

/// A temperature with its name, and whether its name stands above the bar.
struct Mark {
    celsius: f64,
    name: &'static str,
    row: f64,
    anchor: Anchor,
}

/// The scale, once the motor's temperature is known.
pub fn draw(report: &Report) -> Option<Drawing> {
    let ambient = report.inputs.num("ambient")?;
    let running = report.number("motor_temp")?;
    let limit = report.inputs.num("mount_limit");
    // The two above the bar stand to either side of each other.
    let (run, soft) = if limit.is_some_and(|limit| limit < running) {
        (Anchor::Start, Anchor::End)
    } else {
        (Anchor::End, Anchor::Start)
    };
    let marks: Vec<Mark> = [
        (Some(ambient), "ambient", 84.0, Anchor::Middle),
        (report.number("hold_temp"), "holding", 100.0, Anchor::Middle),
        (Some(running), "running", 40.0, run),
        (limit, "mount softens", 22.0, soft),
    ]
    .into_iter()
    .filter_map(|(celsius, name, row, anchor)| {
        Some(Mark {
            celsius: celsius?,
            name,
            row,
            anchor,
        })
    })
    .collect();

    let least = marks.iter().map(|mark| mark.celsius).fold(0.0, f64::min);
    let most = marks.iter().map(|mark| mark.celsius).fold(100.0, f64::max);
    let place = |celsius: f64| SCALE.0 + (SCALE.1 - SCALE.0) * (celsius - least) / (most - least);
    let mut pen = Pen::new(WIDTH);
    let (top, high) = BAR;
    // Inside the pipe of a thermometer: filled from ambient to where the motor settles.
    let (cool, warm) = (place(ambient.min(running)), place(running.max(ambient)));
    pen.path(
        Line::Filled,
        [
            (cool, top),
            (warm, top),
            (warm, top + high),
            (cool, top + high),
        ],
    );
    pen.rect(Line::Thick, (SCALE.0, top), SCALE.1 - SCALE.0, high);
    for mark in marks {
        let x = place(mark.celsius);
        let above = mark.row < top;
        let (near, far) = if above {
            (top + high, mark.row + 3.0)
        } else {
            (top, mark.row - 10.0)
        };
        pen.line(
            if mark.name == "mount softens" {
                Line::Accent
            } else {
                Line::Thin
            },
            (x, near),
            (x, far),
        );
        let words = [mark.name, " ", &write_fixed(mark.celsius, 0), " °C"].concat();
        let beside = match mark.anchor {
            Anchor::Start => 4.0,
            Anchor::Middle => 0.0,
            Anchor::End => -4.0,
        };
        pen.words(mark.anchor, (x + beside, mark.row), &words);
    }
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height: HEIGHT,
        note: "The motor's case, after about an hour; the winding inside is hotter.",
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use layshaft_core::sheets;

    #[test]
    fn the_scale_names_every_temperature_it_knows() {
        let entries = [
            ("rated", "1.5"),
            ("resistance", "2.2"),
            ("set", "1.5"),
            ("supply", "24"),
            ("mount_limit", "60"),
        ];
        let report = sheets::find("current")
            .expect("it is listed")
            .run(&entries.into_iter().collect());
        let svg = draw(&report).expect("the temperature is known").svg;
        // Rated current warms by the 80 K that data sheets state.
        for words in [
            "ambient 25 °C",
            "running 105 °C",
            "mount softens 60 °C",
            "holding ",
        ] {
            assert!(svg.contains(words), "{words} in {svg}");
        }
        assert!(
            draw(
                &sheets::find("current")
                    .expect("it is listed")
                    .run(&[].into_iter().collect())
            )
            .is_none()
        );
    }
}
