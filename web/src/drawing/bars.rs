//! Amounts as bars below each other, each with its name above it and its figure behind.

use super::Drawing;
use super::pen::{Anchor, Line, Pen};

const WIDTH: f64 = 360.0;
/// From one bar to the next, and how high a bar is.
const ROW: (f64, f64) = (34.0, 10.0);
/// The most bars that are drawn.
const MOST: usize = 8;
/// Where bars begin and end.
const ENDS: (f64, f64) = (8.0, 352.0);

/// One bar.
pub struct Bar {
    pub name: String,
    pub amount: f64,
    pub figure: String,
}

/// The bars on one scale from 0, with a line at a limit if there is one.
pub fn draw(
    bars: &[Bar],
    limit: Option<(f64, &str)>,
    full: f64,
    note: &'static str,
) -> Option<Drawing> {
    let bars = bars.get(..bars.len().min(MOST))?;
    if bars.is_empty() {
        return None;
    }
    let mut pen = Pen::new(WIDTH);
    let top = if limit.is_some() { 18.0 } else { 4.0 };
    for (bar, y) in bars.iter().zip(rows(top)) {
        put_bar(&mut pen, bar, full, y);
    }
    let y = top + ROW.0 * bars.iter().map(|_| 1.0).sum::<f64>();
    // Above the bars and behind the figures.
    if let Some((limit, words)) = limit {
        let x = place(limit, full);
        pen.line(Line::Accent, (x, 16.0), (x, y));
        pen.words(Anchor::Middle, (x, 12.0), words);
    }
    for (bar, y) in bars.iter().zip(rows(top)) {
        put_words(&mut pen, bar, y, limit.map(|(limit, _)| place(limit, full)));
    }
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height: y + 6.0,
        note,
    })
}

/// The end of a bar.
fn place(amount: f64, full: f64) -> f64 {
    ENDS.0 + (ENDS.1 - ENDS.0) * (amount / full).clamp(0.0, 1.0)
}

/// Where each bar's row begins, from `top` down.
fn rows(top: f64) -> impl Iterator<Item = f64> {
    std::iter::successors(Some(top), |y| Some(y + ROW.0))
}

fn put_bar(pen: &mut Pen, bar: &Bar, full: f64, y: f64) {
    let end = place(bar.amount, full);
    let (top, low) = (y + 17.0, y + 17.0 + ROW.1);
    pen.path(
        Line::Filled,
        [(ENDS.0, top), (end, top), (end, low), (ENDS.0, low)],
    );
    pen.line(Line::Thin, (ENDS.0, low), (ENDS.1, low));
}

/// The name and the figure, which makes way for an upright line.
fn put_words(pen: &mut Pen, bar: &Bar, y: f64, line: Option<f64>) {
    pen.words(Anchor::Start, (ENDS.0, y + 12.0), &bar.name);
    let begin = ENDS.1 - pen.width_of(&bar.figure) - 4.0;
    let end = line.filter(|x| *x > begin).map_or(ENDS.1, |x| x - 5.0);
    pen.words(Anchor::End, (end, y + 12.0), &bar.figure);
}

/// The bars from `y` down, the longest for `full`; where they end.
pub fn put(pen: &mut Pen, bars: &[Bar], full: f64, mut y: f64) -> f64 {
    for bar in bars {
        put_words(pen, bar, y, None);
        put_bar(pen, bar, full, y);
        y += ROW.0;
    }
    y
}
