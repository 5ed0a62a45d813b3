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
    let place = |amount: f64| ENDS.0 + (ENDS.1 - ENDS.0) * (amount / full).clamp(0.0, 1.0);
    let mut pen = Pen::new(WIDTH);
    let mut y = if limit.is_some() { 18.0 } else { 4.0 };
    for bar in bars {
        pen.words(Anchor::Start, (ENDS.0, y + 12.0), &bar.name);
        pen.words(Anchor::End, (ENDS.1, y + 12.0), &bar.figure);
        let end = place(bar.amount);
        let (top, low) = (y + 17.0, y + 17.0 + ROW.1);
        pen.path(
            Line::Filled,
            [(ENDS.0, top), (end, top), (end, low), (ENDS.0, low)],
        );
        pen.line(Line::Thin, (ENDS.0, low), (ENDS.1, low));
        y += ROW.0;
    }
    if let Some((limit, words)) = limit {
        let x = place(limit);
        pen.line(Line::Accent, (x, 16.0), (x, y));
        pen.words(Anchor::Middle, (x, 12.0), words);
    }
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height: y + 6.0,
        note,
    })
}
