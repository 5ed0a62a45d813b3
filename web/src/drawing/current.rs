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
}

/// The scale, once the motor's temperature is known.
pub fn draw(report: &Report) -> Option<Drawing> {
    let ambient = report.inputs.num("ambient")?;
    let running = report.number("motor_temp")?;
    let marks: Vec<Mark> = [
        (Some(ambient), "ambient", 84.0),
        (report.number("hold_temp"), "holding", 100.0),
        (Some(running), "running", 40.0),
        (report.inputs.num("mount_limit"), "mount softens", 22.0),
    ]
    .into_iter()
    .filter_map(|(celsius, name, row)| {
        Some(Mark {
            celsius: celsius?,
            name,
            row,
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
        pen.words(Anchor::Middle, (x, mark.row), &words);
    }
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height: HEIGHT,
        note: "The motor's case, after about an hour; the winding inside is hotter.",
    })
}
