//! `flow` drawn: the line below the nozzle, cut across, and what it takes beside what the hot end melts.

use std::f64::consts::PI;

use layshaft_core::entry::write::write_significant;
use layshaft_core::sheets::Report;

use super::bars::{self, Bar};
use super::pen::{Anchor, Line, Pen, polar};
use super::{Drawing, entry_or, number, shown_or};

const WIDTH: f64 = 360.0;
/// Where the line lies, how wide the wider of line and nozzle is drawn, and how high a layer may be.
const BED: (f64, f64, f64) = (132.0, 150.0, 70.0);

/// The line once its section is known.
pub fn draw(report: &Report) -> Option<Drawing> {
    report.number("area")?;
    let (layer, width) = (number(report, "layer")?, number(report, "width")?);
    let nozzle = number(report, "nozzle")?;
    let (bed, wide, high) = BED;
    let scale = (wide / width.max(nozzle)).min(high / layer);
    let middle = WIDTH / 2.0 - 20.0;
    let (half, top, round) = (
        width * scale / 2.0,
        bed - layer * scale,
        layer * scale / 2.0,
    );
    let mut pen = Pen::new(WIDTH);
    pen.ground((middle - 110.0, bed), (middle + 110.0, bed), (-6.0, 6.0));
    // Two half circles, joined by its upper and lower side.
    let end = |centre: f64, from: f64| {
        (0..=12_i32).map(move |i| {
            polar(
                (centre, bed - round),
                round,
                from + PI * f64::from(i) / 12.0,
            )
        })
    };
    let mut outline: Vec<(f64, f64)> = end(middle + half - round, -PI / 2.0).collect();
    outline.extend(end(middle - half + round, PI / 2.0));
    outline.push((middle + half - round, top));
    pen.path(Line::Shade, outline.iter().copied());
    pen.path(Line::Thick, outline);
    let hole = nozzle * scale / 2.0;
    for side in [-1.0, 1.0] {
        let edge = middle + side * hole;
        pen.path(
            Line::Thick,
            [
                (edge, 30.0),
                (edge, top),
                (edge + side * 16.0, top),
                (edge + side * 34.0, 30.0),
            ],
        );
    }
    pen.line(Line::Chain, (middle, 22.0), (middle, bed + 8.0));
    pen.pointer((middle, 34.0), (middle, top - 4.0));
    pen.say(
        Anchor::Start,
        (4.0, 14.0),
        &["nozzle ", &entry_or(report, "nozzle", "")],
    );
    pen.say(
        Anchor::End,
        (WIDTH - 4.0, 14.0),
        &["section ", &shown_or(report, "area", "")],
    );
    pen.extensions((middle - half, middle + half), bed, bed + 24.0);
    pen.dimension((middle - half, middle + half), bed + 20.0, "");
    pen.say(
        Anchor::Middle,
        (middle, bed + 34.0),
        &["width ", &entry_or(report, "width", "")],
    );
    let side = middle + half.max(hole + 34.0) + 12.0;
    pen.extensions((middle, side), top, top);
    pen.rise(side, (top, bed), "");
    pen.say(
        Anchor::Start,
        (side + 6.0, f64::midpoint(top, bed) + 4.0),
        &["layer ", &entry_or(report, "layer", "")],
    );
    let mut low = bed + 44.0;
    if let Some(rate) = report.number("volume_rate") {
        let bar = |name: &str, amount: f64| Bar {
            name: name.into(),
            amount,
            figure: [&write_significant(amount, 3), "\u{a0}mm³/s"].concat(),
        };
        let mut bars = vec![bar("this line takes", rate)];
        bars.extend(number(report, "limit").map(|limit| bar("the hot end melts", limit)));
        let full = bars.iter().map(|bar| bar.amount).fold(1e-12, f64::max);
        low = bars::put(&mut pen, &bars, full, low);
    }
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height: low + 6.0,
        note: "Nozzle and line cut across, to one scale; the shape of the nozzle's face is not its own.",
    })
}

#[cfg(test)]
mod tests {
    use super::super::trial::{corners, svg, with};

    const BEAD: &[(&str, &str)] = &[
        ("nozzle", "0.4"),
        ("layer", "0.2"),
        ("width", "0.45"),
        ("speed", "80"),
        ("limit", "11"),
    ];

    fn of(more: &[(&str, &str)]) -> String {
        svg("flow", &with(BEAD, more))
    }

    #[test]
    fn the_section_is_to_scale_and_the_rate_stands_beside_the_limit() {
        let drawn = of(&[]);
        for words in [
            "nozzle 0.4",
            "width 0.45",
            "layer 0.2",
            "this line takes",
            "6.51\u{a0}mm³/s",
            "the hot end melts",
            "11.0\u{a0}mm³/s",
        ] {
            assert!(drawn.contains(words), "{words} in {drawn}");
        }
        let section = corners(&drawn, "b").into_iter().next().expect("a section");
        let span = |of: fn(&(f64, f64)) -> f64| {
            let (low, high) = section
                .iter()
                .map(of)
                .fold((f64::INFINITY, 0.0_f64), |(low, high), x| {
                    (low.min(x), high.max(x))
                });
            high - low
        };
        // Drawn 150 units wide, and as high as 0.2 is to 0.45.
        assert!(
            (span(|p| p.0) - 150.0).abs() < 0.2 && (span(|p| p.1) - 150.0 * 0.2 / 0.45).abs() < 0.2
        );
        assert!(!of(&[("limit", "")]).contains("melts"));
        assert!(!of(&[("speed", "")]).contains("takes"));
    }

    #[test]
    fn what_cannot_be_laid_is_not_drawn_and_extremes_stay_on_the_sheet() {
        assert!(of(&[("layer", "0.5")]).is_empty() && of(&[("width", "")]).is_empty());
        for (nozzle, layer, width) in [
            ("100", "100", "100"),
            ("0.000001", "0.000001", "100"),
            ("100", "0.000001", "0.000001"),
        ] {
            for speed in ["0", "1e5"] {
                let entries = [
                    ("nozzle", nozzle),
                    ("layer", layer),
                    ("width", width),
                    ("speed", speed),
                ];
                assert!(!of(&entries).is_empty(), "{entries:?}");
            }
        }
    }
}
