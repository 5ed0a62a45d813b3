//! `ringing` drawn: the wall with its ripples, how they die out, and what one wave is in millimetres and in time.

use std::f64::consts::PI;

use layshaft_core::entry::write::write_significant;
use layshaft_core::sheets::{Cell, Found, Report};

use super::pen::{Anchor, Line, Pen, traced};
use super::{Drawing, Marks, entry_or, number, shown_or};

const WIDTH: f64 = 360.0;
/// The corner, the end of the ripples, the wall's line, and how high the first ripple is drawn.
const WALL: (f64, f64, f64, f64) = (40.0, 340.0, 66.0, 26.0);
/// More waves than these cannot be told apart.
const MOST: f64 = 40.0;

/// Heights are points beside their fit.
pub fn marks(_report: &Report, _answer: &str) -> Marks<'static> {
    Marks {
        points: true,
        ..Marks::default()
    }
}

/// The wall once its frequency is known.
pub fn draw(report: &Report) -> Option<Drawing> {
    report.number("frequency")?;
    let (waves, distance, speed) = (
        number(report, "waves")?,
        number(report, "distance")?,
        number(report, "speed")?,
    );
    let (from, end, line, high) = WALL;
    let shown = waves.min(MOST);
    let mut fit: Vec<f64> = match report.found("curve") {
        Some(Found::Rows(rows)) => rows
            .iter()
            .filter_map(|row| match row.get(2) {
                Some(Cell::Number(height)) => Some(*height),
                _ => None,
            })
            .collect(),
        _ => Vec::new(),
    };
    // Behind the last height they go on falling as the fitted ones do.
    let mut count = fit.iter().map(|_| 1.0).sum::<f64>();
    while let [.., before, last] = *fit.as_slice()
        && count <= shown
    {
        fit.push(last * last / before);
        count += 1.0;
    }
    let most = fit.iter().copied().fold(0.0, f64::max);
    // The height at a wave: between the fitted ones, the last behind them.
    let height = |wave: f64| -> f64 {
        let mut before = 0.0;
        let mut found = None;
        let mut last = most;
        for fitted in &fit {
            if found.is_none() && wave <= before {
                found = Some(last + (fitted - last) * (wave - before + 1.0).clamp(0.0, 1.0));
            }
            last = *fitted;
            before += 1.0;
        }
        if most > 0.0 {
            found.unwrap_or(last) / most
        } else {
            1.0
        }
    };
    let mut pen = Pen::new(WIDTH);
    pen.path(
        Line::Thick,
        [(from, line + 56.0), (from, line), (from, line)],
    );
    // A wave at a time, so that each keeps its shape.
    let mut wave = 0.0;
    while wave < shown {
        let length = (shown - wave).min(1.0);
        let begin = wave;
        let at = |share: f64| {
            let along = begin + share * length;
            (
                from + (end - from) * along / shown,
                line - high * height(along) * libm::sin(PI * (2.0 * along + 0.5)),
            )
        };
        pen.path(Line::Curve, traced(at));
        wave += 1.0;
    }
    if !fit.is_empty() {
        for side in [-1.0, 1.0] {
            pen.path(
                Line::Dashed,
                traced(|share| {
                    (
                        from + (end - from) * share,
                        line + side * high * height(share * shown),
                    )
                }),
            );
        }
    }
    let one = from + (end - from) / shown;
    pen.extensions((from, end), line + 30.0, line + 72.0);
    pen.dimension(
        (from, end),
        line + 68.0,
        &[
            &entry_or(report, "waves", ""),
            " waves over ",
            &entry_or(report, "distance", ""),
        ]
        .concat(),
    );
    pen.extensions((one, one), line + 30.0, line + 46.0);
    pen.dimension((from, one), line + 42.0, "");
    let words = [
        "one: ",
        &write_significant(distance / waves, 3),
        " mm, ",
        &write_significant(1000.0 * distance / waves / speed, 3),
        " ms",
    ];
    pen.say(
        Anchor::Start,
        ((one + 24.0).max(from + 60.0), line + 46.0),
        &words,
    );
    pen.pointer((from, 18.0), (from + 46.0, 18.0));
    pen.say(
        Anchor::Start,
        (from + 52.0, 22.0),
        &[
            "at ",
            &entry_or(report, "speed", ""),
            ": ",
            &shown_or(report, "frequency", ""),
        ],
    );
    pen.words(
        Anchor::Start,
        (4.0, line + 90.0),
        if fit.is_empty() {
            "drawn without dying out: no heights are given"
        } else {
            "dashed: the fitted fall of the heights"
        },
    );
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height: line + 98.0,
        note: "The wall from above, after the corner; ripples far higher than they are, and as many as can be told apart.",
    })
}

#[cfg(test)]
mod tests {
    use super::super::trial::{svg, with};

    const RIPPLES: &[(&str, &str)] = &[("waves", "6"), ("distance", "15"), ("speed", "100")];

    fn of(more: &[(&str, &str)]) -> String {
        svg("ringing", &with(RIPPLES, more))
    }

    #[test]
    fn the_ripples_have_their_length_and_frequency_and_die_out() {
        let even = of(&[]);
        for words in [
            "6 waves over 15\u{a0}mm",
            "one: 2.50 mm, 25.0 ms",
            "at 100\u{a0}mm/s: 40",
            "no heights",
        ] {
            assert!(even.contains(words), "{words} in {even}");
        }
        assert_eq!(even.matches("<path class=v").count(), 6);
        assert!(!even.contains("<path class=d"));
        let dying = of(&[("amplitudes", "0.4;0.2;0.1;0.05")]);
        assert_eq!(dying.matches("<path class=d").count(), 2);
        assert!(dying.contains("fitted fall"));
    }

    #[test]
    fn extremes_stay_on_the_sheet() {
        assert!(of(&[("waves", "")]).is_empty());
        for waves in ["1", "1000000"] {
            for distance in ["0.000001", "1e6"] {
                for amplitudes in ["", "1", "1e4;0.000001", "1;1;1"] {
                    let entries = [
                        ("waves", waves),
                        ("distance", distance),
                        ("amplitudes", amplitudes),
                    ];
                    assert!(!of(&entries).is_empty(), "{entries:?}");
                }
            }
        }
    }
}
