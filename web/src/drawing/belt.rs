//! `belt` drawn: the span that is plucked, on both belts of a pair, and their tensions side by side.

use std::f64::consts::PI;

use layshaft_core::sheets::Report;

use super::pen::{Anchor, Line, Pen};
use super::{Drawing, entry_or, shown_or};

const WIDTH: f64 = 360.0;
/// Where the belt leaves its wheels.
const ENDS: (f64, f64) = (40.0, 320.0);
const WHEEL: f64 = 15.0;
/// How long the bar of the highest tension is.
const BAR: f64 = 280.0;

/// The belt; the pair's other one stays dashed until it has a tone.
pub fn draw(report: &Report) -> Option<Drawing> {
    let mut pen = Pen::new(WIDTH);
    let tensions = [
        report
            .number("tension")
            .or_else(|| report.inputs.num("tension")),
        report.number("tension_b"),
    ];
    let limit = report.inputs.num("tension_max");
    let most = tensions
        .into_iter()
        .chain([limit])
        .flatten()
        .fold(0.0, f64::max);
    let other = report.inputs.num("frequency_b").is_some();
    let (left, right) = ENDS;
    let middle = f64::midpoint(left, right);
    pen.extensions(ENDS, 42.0, 16.0);
    pen.dimension(
        ENDS,
        20.0,
        &["span ", &entry_or(report, "span", "")].concat(),
    );
    for (index, (y, name, frequency, key)) in [
        (42.0, "this belt", "frequency", "tension"),
        (168.0, "the pair's other belt", "frequency_b", "tension_b"),
    ]
    .into_iter()
    .enumerate()
    {
        let known = index == 0 || other;
        let line = if known { Line::Thick } else { Line::Dashed };
        for x in [left, right] {
            pen.circle(line, (x, y + WHEEL), WHEEL);
            pen.centre((x, y + WHEEL), 5.0);
        }
        pen.line(line, (left, y), (right, y));
        pen.line(
            Line::Thin,
            (left, y + 2.0 * WHEEL),
            (right, y + 2.0 * WHEEL),
        );
        if known {
            // The first mode: the middle moves most.
            for side in [-8.0, 8.0] {
                let bow = (0..=24_i32).map(|i| {
                    let share = f64::from(i) / 24.0;
                    (
                        left + (right - left) * share,
                        y + side * libm::sin(PI * share),
                    )
                });
                pen.path(Line::Dashed, bow);
            }
        }
        let force = match key {
            "tension" => entry_or(report, key, key),
            _ => "tension".into(),
        };
        let words = [
            name,
            ": ",
            &shown_or(
                report,
                frequency,
                &entry_or(report, frequency, "not read yet"),
            ),
            ", ",
            &shown_or(report, key, &force),
        ];
        let words = if known { words.concat() } else { name.into() };
        pen.words(Anchor::Start, (left, y + 58.0), &words);
        if let Some(tension) = tensions
            .get(index)
            .copied()
            .flatten()
            .filter(|_| most > 0.0)
        {
            let long = BAR * tension / most;
            let (low, high) = (y + 66.0, y + 74.0);
            pen.path(
                Line::Filled,
                [
                    (left, low),
                    (left + long, low),
                    (left + long, high),
                    (left, high),
                ],
            );
            if let Some(limit) = limit {
                let x = left + BAR * limit / most;
                pen.line(Line::Accent, (x, low - 4.0), (x, high + 4.0));
            }
        }
    }
    pen.pointer((middle, 80.0), (middle, 46.0));
    pen.words(Anchor::End, (middle - 6.0, 66.0), "pluck the middle");
    pen.rect(Line::Solid, (middle + 22.0, 52.0), 40.0, 16.0);
    pen.circle(Line::Filled, (middle + 26.0, 60.0), 1.5);
    pen.words(Anchor::Start, (middle + 68.0, 65.0), "phone");
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height: 250.0,
        note: "The phone's microphone a finger's width off, touching nothing. Only the bars are to scale: tension, \
            the belt's highest as a mark.",
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use layshaft_core::sheets;

    fn drawn(entries: &[(&str, &str)]) -> String {
        let sheet = sheets::find("belt").expect("it is listed");
        draw(&sheet.run(&entries.iter().copied().collect()))
            .map_or_else(String::new, |drawn| drawn.svg)
    }

    /// Lengths of the bars, in tenths of a unit.
    fn bars(svg: &str) -> Vec<f64> {
        svg.split("<path class=f d=\"M")
            .skip(1)
            .map(|path| path.split('"').next().unwrap_or("").split_whitespace())
            // An arrowhead has three corners.
            .filter(|numbers| numbers.clone().count() == 8)
            .filter_map(|mut numbers| numbers.nth(2)?.parse().ok())
            .map(|right: f64| right - 400.0)
            .collect()
    }

    #[test]
    fn the_bars_of_a_pair_are_as_their_tensions() {
        let pair = [
            ("mass_per_m", "8"),
            ("span", "150"),
            ("frequency", "100"),
            ("frequency_b", "110"),
        ];
        let svg = drawn(&pair);
        let bars = bars(&svg);
        // Tension goes with the square of the frequency.
        assert!(
            matches!(bars.as_slice(), [this, other] if (other / this - 1.21).abs() < 0.002),
            "{bars:?}"
        );
        for words in [
            "span 150",
            "100\u{a0}Hz",
            "7.200\u{a0}N",
            "110\u{a0}Hz",
            "8.712\u{a0}N",
        ] {
            assert!(svg.contains(words), "{words} in {svg}");
        }
    }

    #[test]
    fn without_a_tone_there_is_no_bar_and_no_number() {
        let svg = drawn(&[]);
        assert!(bars(&svg).is_empty());
        assert!(
            svg.contains("this belt: not read yet, tension") && !svg.contains("NaN"),
            "{svg}"
        );
    }
}
