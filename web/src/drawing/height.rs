//! `height` drawn: nozzle and probe at the moment the probe fires, and the first layer's gap before and after the warm-up.

use layshaft_core::sheets::Report;

use super::pen::{Anchor, Line, Pen};
use super::{Drawing, entry_or, number, shown_or};

const WIDTH: f64 = 360.0;
/// Where the nozzle and the probe stand.
const NOZZLE: f64 = 150.0;
const PROBE: f64 = 214.0;
/// The most that a height is drawn.
const MOST: f64 = 60.0;
/// The most full steps that are drawn.
const STEPS: f64 = 40.0;

/// Each part as soon as it is known.
pub fn draw(report: &Report) -> Option<Drawing> {
    let mut pen = Pen::new(WIDTH);
    let mut height = 0.0;
    if let Some(off) = report.number("probe_height") {
        height = firing(&mut pen, report, off);
    }
    if let (Some(growth), Some(layer)) = (report.number("growth"), number(report, "layer")) {
        height = warming(&mut pen, report, growth, layer * 1000.0, height);
    }
    (height > 0.0).then(|| Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height,
        note: "Heights are to scale, each picture to its own; nozzle and probe are not.",
    })
}

/// A nozzle with its tip at a point.
fn nozzle(pen: &mut Pen, line: Line, (x, y): (f64, f64)) {
    pen.path(
        line,
        [
            (x - 3.0, y),
            (x + 3.0, y),
            (x + 12.0, y - 14.0),
            (x + 12.0, y - 30.0),
            (x - 12.0, y - 30.0),
            (x - 12.0, y - 14.0),
            (x - 3.0, y),
        ],
    );
}

fn bed(pen: &mut Pen, y: f64, from: f64, to: f64) {
    pen.ground((from, y), (to, y), (-6.0, 7.0));
}

/// The moment the probe fires: the bed lies in its trigger plane.
fn firing(pen: &mut Pen, report: &Report, off: f64) -> f64 {
    let gauge = number(report, "gauge").unwrap_or(0.0);
    let most = off.abs().max(gauge).max((off - gauge).abs());
    let scale = if most > 0.0 { MOST / most } else { 0.0 };
    // Room for a nozzle above the highest tip.
    let level = 58.0 + scale * off.max(gauge).max(0.0);
    let (tip, zero) = (level - scale * off, level - scale * gauge);
    bed(pen, level, 104.0, 240.0);
    pen.line(Line::Chain, (10.0, level), (296.0, level));
    // Where 0 is: the nozzle on the gauge.
    nozzle(pen, Line::Dashed, (NOZZLE - 28.0, zero));
    pen.line(Line::Thin, (10.0, zero), (NOZZLE - 28.0, zero));
    nozzle(pen, Line::Solid, (NOZZLE, tip));
    pen.rect(Line::Solid, (PROBE - 7.0, level - 44.0), 14.0, 44.0);
    pen.words(Anchor::Start, (PROBE + 11.0, level - 26.0), "probe");
    pen.line(Line::Thin, (NOZZLE, tip), (262.0, tip));
    let ordered = |a: f64, b: f64| (a.min(b), a.max(b));
    let (top, low) = ordered(tip, level);
    pen.rise(256.0, (top, low), "");
    let words = [
        "the tip ",
        &shown_or(report, "probe_height", ""),
        if off < 0.0 { " below" } else { " above" },
    ];
    pen.words(Anchor::End, (WIDTH - 2.0, 14.0), "when the probe fires");
    pen.words(
        Anchor::End,
        (WIDTH - 2.0, level + 24.0),
        &words.concat().replace('-', ""),
    );
    pen.words(Anchor::End, (WIDTH - 2.0, level - 4.0), "bed");
    pen.say(
        Anchor::Start,
        (4.0, 14.0),
        &["gauge ", &entry_or(report, "gauge", "")],
    );
    if gauge > 0.0 {
        pen.rise(18.0, (zero, level), "");
    }
    pen.words(Anchor::Start, (4.0, level + 24.0), "dashed: on the gauge");
    // A tip below the bed reaches under its words.
    (level + 34.0).max(tip + 10.0)
}

/// The first layer's gap over the cold bed, and how far the hot one comes up.
fn warming(pen: &mut Pen, report: &Report, growth: f64, layer: f64, from: f64) -> f64 {
    let scale = MOST / growth.abs().max(layer);
    let cold = from + 64.0 + MOST;
    let (tip, hot) = (cold - layer * scale, cold - growth * scale);
    bed(pen, cold, 104.0, 240.0);
    nozzle(pen, Line::Solid, (NOZZLE, tip));
    pen.line(Line::Accent, (104.0, hot), (240.0, hot));
    pen.line(Line::Thin, (40.0, tip), (NOZZLE, tip));
    pen.line(Line::Thin, (40.0, cold), (104.0, cold));
    pen.rise(60.0, (tip, cold), "");
    pen.say(
        Anchor::Start,
        (4.0, from + 14.0),
        &["first layer ", &entry_or(report, "layer", "")],
    );
    pen.line(Line::Thin, (240.0, hot), (272.0, hot));
    pen.line(Line::Thin, (240.0, cold), (272.0, cold));
    pen.rise(264.0, (hot.min(cold), hot.max(cold)), "");
    let words = [
        if growth < 0.0 { "hot, " } else { "hot, up " },
        &shown_or(report, "growth", ""),
    ];
    pen.words(Anchor::End, (WIDTH - 2.0, from + 14.0), &words.concat());
    if let Some(step) = number(report, "full_step")
        && step * STEPS >= layer
    {
        let mut height = step;
        while height <= layer * (1.0 + 1e-9) {
            let y = cold - height * scale;
            pen.line(Line::Thin, (86.0, y), (98.0, y));
            height += step;
        }
        pen.words(Anchor::Start, (4.0, cold + 26.0), "ticks: full steps");
    }
    // A bed that shrinks goes below.
    cold.max(hot) + 34.0
}

#[cfg(test)]
mod tests {
    use super::super::trial::{drawn, svg};

    const WARM: [(&str, &str); 4] = [
        ("bed_cold", "20"),
        ("bed_hot", "80"),
        ("column", "30"),
        ("layer", "0.2"),
    ];

    #[test]
    fn each_part_comes_as_soon_as_it_is_known() {
        assert!(svg("height", &[]).is_empty());
        let probe = [("trigger", "1.65"), ("gauge", "0.1")];
        let one = drawn("height", &probe).map_or(0.0, |drawn| drawn.height);
        let both = drawn("height", &[probe.as_slice(), &WARM].concat());
        let both = both.map_or(0.0, |drawn| drawn.height);
        assert!(one > 100.0 && both > one + 100.0, "{one} {both}");
        let svg = svg("height", &probe);
        assert!(svg.contains("the tip 1.750\u{a0}mm above"), "{svg}");
    }

    #[test]
    fn a_probe_that_fires_too_late_is_drawn_with_the_nozzle_in_the_bed() {
        let svg = svg("height", &[("trigger", "-1.85")]);
        assert!(svg.contains("the tip 1.850\u{a0}mm below"), "{svg}");
    }

    #[test]
    fn growth_and_layer_are_to_one_scale_and_steps_are_counted() {
        let of = |step: &str| {
            let steps = [("full_step", step)];
            svg("height", &[WARM.as_slice(), &steps].concat())
        };
        assert!(of("50").contains("hot, up 41.58"));
        let ticks = |svg: &str| svg.matches("<path class=n d=\"M860 ").count();
        assert_eq!(
            [of("50"), of("200"), of("300"), of("0.001")].map(|svg| ticks(&svg)),
            [4, 1, 0, 0]
        );
    }

    #[test]
    fn extremes_stay_on_the_sheet() {
        for trigger in ["0", "1e-6", "9999", "-9999", "-1e-6"] {
            for gauge in ["0", "1e-6", "1000"] {
                for (column, layer) in [("0", "0.2"), ("99999", "1e-6"), ("1e-6", "100")] {
                    let entries = [
                        ("trigger", trigger),
                        ("gauge", gauge),
                        ("bed_cold", "80"),
                        ("bed_hot", "-20"),
                        ("column", column),
                        ("layer", layer),
                        ("full_step", "10"),
                    ];
                    assert!(!svg("height", &entries).is_empty(), "{entries:?}");
                }
            }
        }
    }
}
