//! `proof` drawn: how far each reading is off what was asked, the line through them with what its slope leaves unsure,
//! and the verdict on a line.

use layshaft_core::entry::write::{write_shortest, write_significant};
use layshaft_core::sheets::declare::{Head, Scale, head};
use layshaft_core::sheets::{Cell, Found, Report};

use super::interval::{self, Interval};
use super::pen::{Anchor, Pen};
use super::{Drawing, Marks, number};
use crate::chart::{HEIGHT, WIDTH, chart};

/// Readings going up, the line, what its slope leaves unsure on both sides, readings going down and their line.
const HEADS: &[Head] = &[
    head("Asked", "mm", 5),
    head("up", "mm", 3),
    head("line", "mm", 3),
    head("95 %", "mm", 3),
    head("", "mm", 3),
    head("down", "mm", 3),
    head("", "mm", 3),
];
const UP: usize = 1;
const DOWN: usize = 5;

/// Residuals are points about zero.
pub fn marks(_report: &Report, _answer: &str) -> Marks<'static> {
    Marks {
        points: true,
        levels: vec![(0.0, "on the line")],
        ..Marks::default()
    }
}

/// A row of the chart: a place, and one or two of the columns.
fn row(x: f64, cells: &[(usize, f64)]) -> Vec<Cell> {
    let mut row = vec![Cell::Blank; HEADS.len()];
    for (column, value) in [(0, x)].iter().chain(cells) {
        if let Some(cell) = row.get_mut(*column) {
            *cell = Cell::Number(*value);
        }
    }
    row
}

/// The readings, once a line goes through them.
pub fn draw(report: &Report) -> Option<Drawing> {
    let scale = report.number("scale")?;
    let Found::Rows(curve) = report.found("curve")? else {
        return None;
    };
    let both = report.number("backlash").is_some();
    let mut rows = Vec::new();
    let mut sums = (0.0, 0.0);
    // Where the line of each direction crosses 0, off what was asked.
    let mut offsets = [None; 2];
    let mut ends: Option<(f64, f64)> = None;
    for (reading, miss) in report.inputs.rows("readings")?.iter().zip(curve) {
        let (x, off) = (reading.num(0)?, reading.num(1)? - reading.num(0)?);
        let Some(Cell::Number(miss)) = miss.get(1) else {
            return None;
        };
        let down = both && reading.word(2) == Some("minus");
        rows.push(row(x, &[(if down { DOWN } else { UP }, off)]));
        *offsets.get_mut(usize::from(down))? = Some(off - miss - (scale - 1.0) * x);
        sums = (sums.0 + x, sums.1 + 1.0);
        ends = Some(ends.map_or((x, x), |(low, high)| (low.min(x), high.max(x))));
    }
    let ((low, high), middle) = (ends?, sums.0 / sums.1);
    for x in [low, high] {
        let mut cells = Vec::new();
        let at = |offset: f64| (scale - 1.0) * x + offset;
        if let [Some(up), _] = offsets {
            cells.push((2, at(up)));
            if let Some(unsure) = report.number("scale_u") {
                cells.push((3, at(up) - unsure * (x - middle)));
                cells.push((4, at(up) + unsure * (x - middle)));
            }
        }
        if let [_, Some(down)] = offsets {
            cells.push((6, at(down)));
        }
        rows.push(row(x, &cells));
    }
    let again = report.number("outlier").and_then(|number| {
        let mut count = 0.0;
        let outlier = report.inputs.rows("readings")?.iter().find(|_| {
            count += 1.0;
            count > number - 0.5
        })?;
        Some((outlier.num(0)?, "take again"))
    });
    let marks = Marks {
        points: true,
        rings: DOWN,
        also: again,
        levels: vec![(0.0, "as asked")],
        ..Marks::default()
    };
    // One direction has no second kind of point to name.
    let heads = HEADS.get(..if both { HEADS.len() } else { DOWN })?;
    let plot = chart(heads, &rows, Scale::Linear, &marks)?.svg;
    let mut pen = Pen::new(WIDTH);
    pen.say(Anchor::Start, (2.0, HEIGHT - 4.0), &["off by, ", "mm"]);
    let low = verdict(&mut pen, report, scale).unwrap_or(HEIGHT + 4.0);
    Some(Drawing {
        svg: plot + &pen.finish(),
        width: WIDTH,
        height: low,
        note: "Above, measured less asked at each place, larger than life; what the slope leaves unsure opens from the middle. \
            Below, the error over the length, with its 95 % interval.",
    })
}

/// The error over the length that counts, against what is put up with, and the new steps.
fn verdict(pen: &mut Pen, report: &Report, scale: f64) -> Option<f64> {
    let (unsure, span, zone) = (
        report.number("scale_u")?,
        number(report, "span")?,
        number(report, "tolerance")?,
    );
    let (error, half) = ((scale - 1.0) * span, unsure * span);
    let (error_words, half_words) = (write_significant(error, 2), write_significant(half, 2));
    let name = [
        "over ",
        &write_shortest(span, 5),
        " mm: ",
        &error_words,
        " ± ",
        &half_words,
        " mm",
    ]
    .concat();
    let zone_name = ["put up with: ± ", &write_shortest(zone, 3), " mm"].concat();
    let shown = Interval {
        value: error,
        unsure: half,
        zone,
        name: &name,
        zone_name: &zone_name,
    };
    let mut low = interval::put(pen, HEIGHT + 12.0, &shown);
    for (new, now, sign) in [
        ("corrected_steps_per_mm", "steps_per_mm", " per mm"),
        ("corrected_turn_travel", "turn_travel", " mm a turn"),
    ] {
        let half = [new, "_u"].concat();
        if let (Some(new), Some(now), Some(half)) = (
            report.number(new),
            number(report, now),
            report.number(&half),
        ) {
            low += 16.0;
            let words = [
                "now ",
                &write_shortest(now, 6),
                ", by this ",
                &write_significant(new, 6),
                " ± ",
                &write_significant(half, 2),
                sign,
            ];
            pen.say(Anchor::Start, (4.0, low - 4.0), &words);
        }
    }
    Some(low + 2.0)
}

#[cfg(test)]
mod tests {
    use super::super::trial::{drawn, svg, with};

    const AXIS: &[(&str, &str)] = &[
        (
            "readings",
            "0,0.01;50,49.82;100,99.60;150,149.43;200,199.21",
        ),
        ("resolution", "0.01"),
        ("accuracy", "0.03"),
        ("steps_per_mm", "80"),
    ];

    fn of(more: &[(&str, &str)]) -> String {
        svg("proof", &with(AXIS, more))
    }

    #[test]
    fn the_verdict_stands_on_a_line_with_its_interval() {
        let drawn = of(&[]);
        for words in [
            "over 100 mm: -0.40 ± 0.0",
            "put up with: ± 0.1 mm",
            "now 80, by this 80.3197 ± 0.029 per mm",
            "as asked",
            "95 %",
        ] {
            assert!(drawn.contains(words), "{words} in {drawn}");
        }
        assert_eq!(
            drawn.matches("<path class=p").count(),
            2,
            "readings, and their sample"
        );
        // Without an instrument there is no interval.
        let bare = of(&[("accuracy", "")]);
        assert!(
            !bare.contains("put up with") && bare.contains("as asked"),
            "{bare}"
        );
    }

    #[test]
    fn both_directions_have_points_and_lines_of_their_own() {
        let rows =
            "0,0,plus;100,100,plus;200,200.02,plus;200,200.17,minus;100,100.13,minus;0,0.15,minus";
        let drawn = of(&[("readings", rows)]);
        assert!(drawn.contains(">down</text>"));
        // Three readings and two in the legend.
        assert_eq!(drawn.matches("<circle class=s").count(), 5);
        assert!(!of(&[]).contains(">down</text>"));
    }

    #[test]
    fn a_reading_to_take_again_is_marked() {
        let slipped =
            "0,0.01;25,25.01;50,50.02;75,75.01;100,100.2;125,125.01;150,150.03;200,200.02";
        assert!(of(&[("readings", slipped)]).contains("take again"));
        assert!(!of(&[]).contains("take again"));
    }

    #[test]
    fn one_place_is_not_drawn_and_extremes_stay_on_the_sheet() {
        for rows in ["", "100,99", "100,99;100,99.1", "0,x;1,1"] {
            assert!(of(&[("readings", rows)]).is_empty(), "{rows}");
        }
        for rows in [
            "-1e6,1e6;1e6,-1e6;0,3",
            "0,0;0.000001,0.000001;0.000002,0.000002",
            "0,1e6;1,1e6;2,1e6",
        ] {
            for tolerance in ["0", "1e6"] {
                assert!(
                    drawn(
                        "proof",
                        &with(AXIS, &[("readings", rows), ("tolerance", tolerance)])
                    )
                    .is_some()
                );
            }
        }
    }
}
