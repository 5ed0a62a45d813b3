//! A line chart of an answer that has rows, as SVG text: the further columns over the first.

use layshaft_core::entry::write::write_shortest;
use layshaft_core::sheets::declare::{Head, Scale};
use layshaft_core::sheets::{Cell, head_sign};

use crate::drawing::{Anchor, Line, Marks, Pen, tenths};

/// Width of the drawing, in units.
pub const WIDTH: f64 = 360.0;
/// Height of the drawing, in units.
pub const HEIGHT: f64 = 218.0;
/// The plot's left, top, right and bottom edge.
const PLOT: (f64, f64, f64, f64) = (56.0, TOP, 346.0, BOTTOM);
/// The upper edge of the plot.
pub const TOP: f64 = 30.0;
/// Its lower edge.
pub const BOTTOM: f64 = 180.0;

/// A drawn chart.
#[derive(Clone, PartialEq)]
pub struct Chart {
    /// The content of an `svg` element.
    pub svg: String,
    /// Where each row stands on the sheet: across, and down for the first line.
    pub places: Vec<(f64, f64)>,
    /// Where today's value is marked, across.
    pub mark: Option<f64>,
}

impl Chart {
    /// The row that stands nearest to a place across the sheet.
    pub fn nearest(&self, x: f64) -> usize {
        let distance = |(place, _): (f64, f64)| (place - x).abs();
        let rows = self.places.iter().copied().enumerate();
        rows.min_by(|(_, a), (_, b)| distance(*a).total_cmp(&distance(*b)))
            .map_or(0, |(row, _)| row)
    }

    /// The row that stands nearest to a place on the sheet.
    pub fn nearest_to(&self, (x, y): (f64, f64)) -> usize {
        let distance = |(across, down): (f64, f64)| libm::hypot(across - x, down - y);
        let rows = self.places.iter().copied().enumerate();
        rows.min_by(|(_, a), (_, b)| distance(*a).total_cmp(&distance(*b)))
            .map_or(0, |(row, _)| row)
    }
}

/// Which columns of an answer's rows make a chart of points: across, up, and what kind of point.
pub type Columns = (usize, usize, usize);

/// How many kinds of points are told apart; further ones look like the last.
const KINDS: usize = 3;

/// Decades are shown where an axis spans more than this.
const WIDE: f64 = 20.0;

/// Draws each row as a point; `None` when there are none.
pub fn scatter(heads: &[Head], rows: &[Vec<Cell>], columns: Columns) -> Option<Chart> {
    let (x, y, kind) = columns;
    let (left, top, right, bottom) = PLOT;
    let axis = |column: usize, ends: (f64, f64)| {
        let values = || rows.iter().filter_map(|row| number(row, column));
        let (low, high) = values().fold((f64::INFINITY, 0.0_f64), |(low, high), value| {
            (low.min(value), high.max(value))
        });
        Axis::over(values(), low > 0.0 && high > WIDE * low, ends)
    };
    let (across, down) = (axis(x, (left, right))?, axis(y, (bottom, top))?);
    let mut kinds: Vec<f64> = rows.iter().filter_map(|row| number(row, kind)).collect();
    kinds.sort_by(f64::total_cmp);
    kinds.dedup_by(|a, b| a.total_cmp(b).is_eq());
    let mut pen = Pen::new(WIDTH);
    axes(&mut pen, &across, &down);
    pen.words(Anchor::Start, (2.0, 12.0), &name(heads.get(y)?));
    pen.words(Anchor::End, (right, HEIGHT - 4.0), &name(heads.get(x)?));
    let mut places = Vec::with_capacity(rows.len());
    // What stands on the same spot is drawn once.
    let mut drawn: Vec<(i32, i32, usize)> = Vec::new();
    for row in rows {
        let at = |column, axis: &Axis| number(row, column).and_then(|value| axis.place(value));
        let place = (
            at(x, &across).unwrap_or(left),
            at(y, &down).unwrap_or(bottom),
        );
        places.push(place);
        let of = number(row, kind).unwrap_or(0.0);
        let of = kinds.partition_point(|known| *known < of).min(KINDS - 1);
        drawn.push((tenths(place.0) / 10, tenths(place.1) / 10, of));
    }
    drawn.sort_unstable();
    drawn.dedup();
    for of in 0..KINDS {
        let places = drawn.iter().filter(|(.., kind)| *kind == of);
        let middle = |(x, y, _): &(i32, i32, usize)| (f64::from(*x) + 0.5, f64::from(*y) + 0.5);
        points(&mut pen, of, places.map(middle).collect());
    }
    // The kinds, from the right.
    let label = heads.get(kind)?.label;
    let mut end = right;
    let shown = kinds.iter().take(KINDS).enumerate().rev();
    for (of, kind) in shown.filter(|_| kinds.len() > 1) {
        let more = if of + 1 == KINDS && kinds.len() > KINDS {
            "+"
        } else {
            ""
        };
        let words = [write_shortest(*kind, 3).as_str(), more].concat();
        pen.words(Anchor::End, (end, 12.0), &words);
        end -= pen.width_of(&words) + 8.0;
        points(&mut pen, of, vec![(end, 8.0)]);
        end -= 12.0;
    }
    if kinds.len() > 1 {
        pen.words(Anchor::End, (end, 12.0), &[label, ":"].concat());
    }
    Some(Chart {
        svg: pen.finish(),
        places,
        mark: None,
    })
}

/// Points of a kind: dots, rings, squares.
fn points(pen: &mut Pen, kind: usize, places: Vec<(f64, f64)>) {
    match kind {
        _ if places.is_empty() => {}
        0 => pen.dots(places),
        _ => pen.rings(kind > 1, &places),
    }
}

/// The frame of a chart with its round values.
fn axes(pen: &mut Pen, across: &Axis, down: &Axis) {
    let (left, top, right, bottom) = PLOT;
    for tick in down.ticks() {
        if let Some(y) = down.place(tick) {
            pen.line(Line::Grid, (left, y), (right, y));
            pen.words(Anchor::End, (left - 6.0, y + 4.0), &write_shortest(tick, 6));
        }
    }
    for tick in across.ticks() {
        if let Some(x) = across.place(tick) {
            pen.line(Line::Grid, (x, top), (x, bottom));
            pen.words(Anchor::Middle, (x, bottom + 15.0), &write_shortest(tick, 6));
        }
    }
    pen.path(Line::Thick, [(left, top), (left, bottom), (right, bottom)]);
}

/// One axis: from value to place on the sheet.
struct Axis {
    low: f64,
    high: f64,
    from: f64,
    to: f64,
    logarithmic: bool,
}

impl Axis {
    /// An axis over all values, with a little air where the scale is linear; `None` without values.
    fn over(
        values: impl Iterator<Item = f64>,
        logarithmic: bool,
        (from, to): (f64, f64),
    ) -> Option<Self> {
        let mut ends: Option<(f64, f64)> = None;
        for value in values
            .map(|value| if logarithmic { libm::log(value) } else { value })
            .filter(|x| x.is_finite())
        {
            ends = Some(ends.map_or((value, value), |(low, high)| {
                (low.min(value), high.max(value))
            }));
        }
        let (low, high) = ends?;
        // A flat line lies in the middle of its axis.
        let air = if high > low {
            0.0
        } else {
            (low.abs() * 0.1).max(1.0)
        };
        Some(Self {
            low: low - air,
            high: high + air,
            from,
            to,
            logarithmic,
        })
    }

    fn place(&self, value: f64) -> Option<f64> {
        let value = if self.logarithmic {
            libm::log(value)
        } else {
            value
        };
        let share = (value - self.low) / (self.high - self.low);
        (-0.001..=1.001)
            .contains(&share)
            .then_some(self.from + share * (self.to - self.from))
    }

    /// Round values along the axis: whole decades, or steps of 1, 2 or 5.
    fn ticks(&self) -> Vec<f64> {
        let mut ticks = Vec::new();
        if self.logarithmic {
            let (low, high) = (libm::exp(self.low), libm::exp(self.high));
            let mut decade = power_of_ten(low);
            // Half a decade or so has no whole one inside: its 1, 2 and 5 are shown then.
            let few = high / low < 100.0;
            while decade <= high && ticks.len() < 40 {
                let shares: &[f64] = if few { &[1.0, 2.0, 5.0] } else { &[1.0] };
                ticks.extend(
                    shares
                        .iter()
                        .map(|share| share * decade)
                        .filter(|x| (low..=high * 1.000_001).contains(x)),
                );
                decade *= 10.0;
            }
        } else {
            let step = round_step((self.high - self.low) / 5.0);
            let mut index = libm::ceil(self.low / step - 1e-6);
            while index * step <= self.high + step * 1e-6 && ticks.len() < 40 {
                ticks.push(index * step);
                index += 1.0;
            }
        }
        ticks
    }
}

/// The largest power of ten at or below a number above 0.
fn power_of_ten(value: f64) -> f64 {
    let mut power = 1.0;
    while power > value && power > 1e-300 {
        power /= 10.0;
    }
    while power * 10.0 <= value {
        power *= 10.0;
    }
    power
}

/// The smallest of 1, 2, 5 and 10 times a power of ten that is no less than `least`.
fn round_step(least: f64) -> f64 {
    let power = power_of_ten(least);
    [1.0, 2.0, 5.0]
        .into_iter()
        .map(|share| share * power)
        .find(|step| *step >= least)
        .unwrap_or(10.0 * power)
}

/// A head as the axis names it: "Load torque, N·m".
pub fn name(head: &Head) -> String {
    match head_sign(head) {
        "" => head.label.into(),
        sign => [head.label, ", ", sign].concat(),
    }
}

fn number(row: &[Cell], column: usize) -> Option<f64> {
    match row.get(column) {
        Some(Cell::Number(x)) => Some(*x),
        _ => None,
    }
}

/// Draws rows of numbers; `None` when there are fewer than two.
pub fn chart(heads: &[Head], rows: &[Vec<Cell>], scale: Scale, marks: &Marks) -> Option<Chart> {
    let (first, second) = (heads.first()?, heads.get(1)?);
    let (left, top, right, bottom) = PLOT;
    let xs = || rows.iter().filter_map(|row| number(row, 0));
    xs().nth(1)?;
    let ys = rows
        .iter()
        .flat_map(|row| (1..heads.len()).filter_map(|column| number(row, column)));
    let equal = xs().filter(|_| marks.equal.is_some());
    let across = Axis::over(xs(), marks.decades, (left, right))?;
    let levels = marks.levels.iter().map(|(level, _)| *level);
    // Another design is drawn where it stands between the ends.
    let pinned = marks.pinned.filter(|(x, _)| across.place(*x).is_some());
    // So is the curve of another design, on an axis that holds both.
    let value = |row: &Vec<Cell>| {
        let x = number(row, 0).and_then(|x| across.place(x));
        x.zip(number(row, 1))
    };
    let behind: Vec<_> = marks.behind.into_iter().flatten().map(value).collect();
    let ys = ys.chain(behind.iter().flatten().map(|(_, y)| *y));
    let ys = ys.chain(equal).chain(levels).chain(pinned.map(|(_, y)| y));
    let down = Axis::over(ys, scale == Scale::Logarithmic, (bottom, top))?;

    let mut pen = Pen::new(WIDTH);
    axes(&mut pen, &across, &down);
    if heads.len() > 2 {
        pen.words(Anchor::Start, (2.0, 12.0), head_sign(second));
        legend(&mut pen, heads, marks);
    } else {
        pen.words(Anchor::Start, (2.0, 12.0), &name(second));
    }
    shade(&mut pen, &across, &down, marks);
    pen.words(Anchor::End, (right, HEIGHT - 4.0), &name(first));
    if let Some(words) = marks.equal {
        let line = xs().filter_map(|x| Some((across.place(x)?, down.place(x)?)));
        pen.path(Line::Dashed, line);
        pen.words(Anchor::End, (right, top - 6.0), words);
    }
    put_behind(&mut pen, &down, &behind);
    for column in 1..heads.len() {
        // What has no value is a gap: the line ends before it and begins again behind it.
        let mut run = Vec::new();
        for row in rows {
            let place = number(row, 0)
                .and_then(|x| across.place(x))
                .zip(number(row, column).and_then(|y| down.place(y)));
            match place {
                Some(place) => run.push(place),
                None => put_series(&mut pen, marks, column, std::mem::take(&mut run)),
            }
        }
        put_series(&mut pen, marks, column, run);
    }
    // The second name stands below the first.
    let mut upright = |mark: Option<(f64, &str)>, line: Line, down: f64| {
        let (x, words) = mark.and_then(|(x, words)| Some((across.place(x)?, words)))?;
        pen.line(line, (x, top), (x, bottom));
        let (anchor, beside) = beside(x);
        pen.words(anchor, (beside, top + down), words);
        Some(x)
    };
    upright(marks.also, Line::Dashed, 28.0);
    let mark = upright(marks.at, Line::Accent, 12.0);
    if let (Some(x), Some((from, to, words))) = (mark, &marks.gap)
        && let (Some(from), Some(to)) = (down.place(*from), down.place(*to))
    {
        pen.rise(x, (from.min(to), from.max(to)), words);
        for y in [from, to] {
            pen.circle(Line::Filled, (x, y), 2.5);
        }
    }
    if let Some((x, y)) = pinned.and_then(|(x, y)| across.place(x).zip(down.place(y))) {
        pen.rect(Line::Solid, (x - 4.0, y - 4.0), 8.0, 8.0);
        pen.words(Anchor::Middle, (x, y - 9.0), "pinned");
    }
    let places = rows
        .iter()
        .map(|row| {
            let place =
                |column, axis: &Axis| number(row, column).and_then(|value| axis.place(value));
            (
                place(0, &across).unwrap_or(left),
                place(1, &down).unwrap_or(bottom),
            )
        })
        .collect();
    Some(Chart {
        svg: pen.finish(),
        places,
        mark,
    })
}

/// Whether rows with these heads can stand on the same axes.
pub fn same_axes(one: &[Head], other: &[Head]) -> bool {
    let axes = |heads: &[Head]| -> Vec<_> {
        let both = heads.iter().take(2);
        both.map(|head| (head.label, head.unit)).collect()
    };
    axes(one) == axes(other)
}

/// Draws the curve of another design where it has values, each with its place across, and names it.
fn put_behind(pen: &mut Pen, down: &Axis, values: &[Option<(f64, f64)>]) {
    let place = |value: &Option<(f64, f64)>| value.and_then(|(x, y)| Some((x, down.place(y)?)));
    let places: Vec<_> = values.iter().map(place).collect();
    for run in places.split(Option::is_none).filter(|run| run.len() > 1) {
        pen.path(Line::Extreme, run.iter().flatten().copied());
    }
    if places.iter().flatten().nth(1).is_some() {
        let y = HEIGHT - 8.0;
        pen.line(Line::Extreme, (2.0, y), (26.0, y));
        pen.words(Anchor::Start, (30.0, y + 4.0), "pinned");
    }
}

/// Draws a column: measured points, the line the eye should follow, or a thin one.
fn put_series(pen: &mut Pen, marks: &Marks, column: usize, places: Vec<(f64, f64)>) {
    match (marks.points, column) {
        _ if places.is_empty() => {}
        (true, 1) => pen.dots(places),
        _ if column == marks.rings => places
            .into_iter()
            .for_each(|one| pen.circle(Line::Solid, one, 3.0)),
        // Between two gaps.
        _ if places.len() == 1 => places
            .into_iter()
            .for_each(|one| pen.circle(Line::Curve, one, 1.5)),
        _ if column == marks.limit => pen.path(Line::Dashed, places),
        (false, 1) | (true, 2) => pen.path(Line::Curve, places),
        _ => pen.path(Line::Thin, places),
    }
}

/// The names of several columns, each behind a piece of its line, from the right.
fn legend(pen: &mut Pen, heads: &[Head], marks: &Marks) {
    let mut x = PLOT.2;
    let named = heads.iter().enumerate().skip(1).rev();
    for (column, head) in named.filter(|(_, head)| !head.label.is_empty()) {
        pen.words(Anchor::End, (x, 12.0), head.label);
        // Room for letters wider than most.
        x -= pen.width_of(head.label) + 11.0;
        let points = (marks.points && column == 1) || column == marks.rings;
        let from = if points { x } else { x - 16.0 };
        put_series(pen, marks, column, vec![(from, 8.0), (x, 8.0)]);
        x -= 28.0;
    }
}

/// What is shaded, and the heights that have names.
fn shade(pen: &mut Pen, across: &Axis, down: &Axis, marks: &Marks) {
    let (left, top, right, bottom) = PLOT;
    if let Some((low, high)) = marks.band
        && let Some((y, end)) = down.place(high).zip(down.place(low))
    {
        // Also a narrow one is seen.
        pen.rect(Line::Shade, (left, y - 0.5), right - left, end - y + 1.0);
    }
    if let Some((from, to, words)) = marks.span
        && let Some(x) = across.place(from)
    {
        let end = across.place(to).unwrap_or(right);
        pen.rect(Line::Shade, (x, top), end - x, bottom - top);
        let (anchor, beside) = beside(x);
        pen.words(anchor, (beside, bottom - 6.0), words);
    }
    // The names stand at either end in turn, so that close ones are read.
    let ends = [(Anchor::End, right), (Anchor::Start, left + 4.0)];
    for ((level, words), (anchor, x)) in marks.levels.iter().zip(ends.into_iter().cycle()) {
        if let Some(y) = down.place(*level) {
            pen.line(Line::Dashed, (left, y), (right, y));
            pen.words(anchor, (x, y - 3.0), words);
        }
    }
}

/// Where words stand beside an upright line: on its side with more room.
fn beside(x: f64) -> (Anchor, f64) {
    if x > (PLOT.0 + PLOT.2) / 2.0 {
        (Anchor::End, x - 5.0)
    } else {
        (Anchor::Start, x + 5.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use layshaft_core::sheets::declare::head;

    const HEADS: &[Head] = &[head("Load", "N.m", 3), head("Lag", "um", 3)];

    fn rows(pairs: &[(f64, f64)]) -> Vec<Vec<Cell>> {
        pairs
            .iter()
            .map(|(x, y)| vec![Cell::Number(*x), Cell::Number(*y)])
            .collect()
    }

    #[test]
    fn rows_stand_where_their_numbers_put_them() {
        let drawn = chart(
            HEADS,
            &rows(&[(0.0, 0.0), (5.0, 50.0), (10.0, 100.0)]),
            Scale::Linear,
            &Marks::default(),
        );
        let (left, top, right, bottom) = PLOT;
        let places = drawn.expect("it draws").places;
        let middle = (f64::midpoint(left, right), f64::midpoint(top, bottom));
        assert_eq!(places, [(left, bottom), middle, (right, top)]);
    }

    #[test]
    fn points_stand_where_their_numbers_put_them_and_kinds_look_different() {
        let heads = &[
            head("Step", "um", 3),
            head("In hand", "", 3),
            head("Parts", "", 2),
        ];
        let row = |x, y, kind| vec![Cell::Number(x), Cell::Number(y), Cell::Number(kind)];
        let rows = [
            row(0.0, 1.0, 2.0),
            row(5.0, 2.0, 3.0),
            row(10.0, 3.0, 6.0),
            row(10.0, 3.0, 7.0),
        ];
        let drawn = scatter(heads, &rows, (0, 1, 2)).expect("it draws");
        let (left, top, right, bottom) = PLOT;
        let middle = (f64::midpoint(left, right), f64::midpoint(top, bottom));
        assert_eq!(
            drawn.places,
            [(left, bottom), middle, (right, top), (right, top)]
        );
        assert_eq!(drawn.nearest_to((right - 9.0, top + 9.0)), 2);
        // Dots, rings and squares, and one of each beside its name; the two that stand together are drawn once.
        assert_eq!(drawn.svg.matches("<path class=p").count(), 2);
        assert_eq!(drawn.svg.matches("h50v50h-50z").count(), 2);
        assert_eq!(drawn.svg.matches("a30 30 0 1 0 60 0a").count(), 2);
        for words in [">2</text>", ">3</text>", ">6+</text>", ">Parts:</text>"] {
            assert!(drawn.svg.contains(words), "{words}: {}", drawn.svg);
        }
        assert!(scatter(heads, &[], (0, 1, 2)).is_none());
    }

    #[test]
    fn ticks_are_round_numbers_inside_the_axis() {
        let ticks = |low: f64, high: f64, logarithmic| {
            let axis = Axis::over([low, high].into_iter(), logarithmic, (0.0, 1.0))
                .expect("it has values");
            axis.ticks()
                .iter()
                .map(|tick| write_shortest(*tick, 6))
                .collect::<Vec<_>>()
                .join(" ")
        };
        assert_eq!(ticks(0.0, 300.0, false), "0 100 200 300");
        assert_eq!(ticks(-0.3, 0.45, false), "-0.2 0 0.2 0.4");
        assert_eq!(ticks(41.0, 330_000.0, true), "100 1000 10000 100000");
        assert_eq!(ticks(90.0, 600.0, true), "100 200 500");
    }

    #[test]
    fn a_gap_is_never_drawn_as_a_line() {
        let drawn = |gaps: &[f64]| {
            let rows: Vec<Vec<Cell>> = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0]
                .into_iter()
                .map(|x| {
                    let gap = gaps.contains(&x);
                    vec![
                        Cell::Number(x),
                        if gap { Cell::Blank } else { Cell::Number(x) },
                    ]
                })
                .collect();
            chart(HEADS, &rows, Scale::Linear, &Marks::default())
                .expect("it draws")
                .svg
        };
        assert_eq!(drawn(&[3.0, 6.0]).matches("<path class=v").count(), 2);
        // A value between two gaps is a dot.
        assert_eq!(drawn(&[3.0, 5.0]).matches("<circle class=v").count(), 2);
    }

    #[test]
    fn a_limit_is_dashed_and_another_design_is_marked() {
        let heads = &[
            head("Load", "N.m", 3),
            head("Lag", "um", 3),
            head("Limit", "um", 3),
        ];
        let rows: Vec<Vec<Cell>> = [1.0, 10.0, 100.0]
            .into_iter()
            .map(|x| vec![Cell::Number(x), Cell::Number(x), Cell::Number(50.0)])
            .collect();
        let marks = Marks {
            decades: true,
            limit: 2,
            pinned: Some((10.0, 120.0)),
            ..Marks::default()
        };
        let drawn = chart(heads, &rows, Scale::Linear, &marks).expect("it draws");
        // The line, and a piece of it beside its name.
        assert_eq!(drawn.svg.matches("<path class=d").count(), 2);
        assert!(drawn.svg.contains(">Limit</text>") && drawn.svg.contains(">pinned</text>"));
        let (left, _, right, _) = PLOT;
        let middle = drawn.places.get(1).map_or(0.0, |(x, _)| *x);
        assert!(
            (middle - f64::midpoint(left, right)).abs() < 1e-9,
            "decades are even"
        );
    }

    #[test]
    fn another_curve_is_drawn_behind_with_its_gaps() {
        let mut behind = rows(&[
            (0.0, 3.0),
            (4.0, 6.0),
            (5.0, 0.0),
            (6.0, 300.0),
            (10.0, 300.0),
            (40.0, 1.0),
        ]);
        if let Some(cell) = behind.get_mut(2).and_then(|row| row.get_mut(1)) {
            *cell = Cell::Blank;
        }
        let marks = Marks {
            behind: Some(&behind),
            ..Marks::default()
        };
        let drawn = chart(
            HEADS,
            &rows(&[(0.0, 0.0), (10.0, 100.0)]),
            Scale::Linear,
            &marks,
        )
        .expect("it draws");
        // Two runs of it, what lies beyond the axis left out, and a piece beside its name.
        assert_eq!(
            drawn.svg.matches("<path class=y").count(),
            3,
            "{}",
            drawn.svg
        );
        assert!(drawn.svg.contains(">pinned</text>") && drawn.svg.contains(">300</text>"));
        assert!(
            drawn.svg.find("class=y") < drawn.svg.find("class=v"),
            "behind"
        );
    }

    #[test]
    fn what_cannot_be_drawn_is_not() {
        for pairs in [&[] as &[(f64, f64)], &[(1.0, 1.0)]] {
            assert!(chart(HEADS, &rows(pairs), Scale::Linear, &Marks::default()).is_none());
        }
        // A logarithm of nothing or less has no place; the rest of the line stays.
        let drawn = chart(
            HEADS,
            &rows(&[(0.0, 0.0), (1.0, -3.0), (2.0, 5.0)]),
            Scale::Logarithmic,
            &Marks::default(),
        );
        assert!(drawn.is_some_and(|chart| !chart.svg.contains("NaN")));
    }
}
