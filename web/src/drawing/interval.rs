//! A value with its interval on a line, against what is put up with: three marks that tell a verdict at a glance.

use layshaft_core::entry::write::write_shortest;

use super::pen::{Anchor, Line, Pen, magnified};

/// Where the line begins and ends.
const ENDS: (f64, f64) = (24.0, 336.0);

/// What is shown.
pub struct Interval<'a> {
    /// The value.
    pub value: f64,
    /// The half width of its interval.
    pub unsure: f64,
    /// The half width of the zone about 0 that is put up with; 0 for none.
    pub zone: f64,
    /// What is shown, above the line.
    pub name: &'a str,
    /// What the zone is.
    pub zone_name: &'a str,
}

/// Draws it from `y` down, and gives where it ends.
pub fn put(pen: &mut Pen, y: f64, of: &Interval) -> f64 {
    let (middle, line) = (f64::midpoint(ENDS.0, ENDS.1), y + 44.0);
    let most = (of.value.abs() + of.unsure).max(of.zone).max(1e-12);
    let scale = magnified(most, 0.95 * (ENDS.1 - middle));
    let at = |value: f64| middle + value * scale;
    pen.words(Anchor::Start, (4.0, y + 12.0), of.name);
    if of.zone > 0.0 {
        pen.rect(
            Line::Shade,
            (at(-of.zone), line - 16.0),
            2.0 * of.zone * scale,
            32.0,
        );
        pen.words(Anchor::Middle, (middle, line + 46.0), of.zone_name);
    }
    pen.line(Line::Thin, (ENDS.0, line), (ENDS.1, line));
    pen.line(Line::Chain, (middle, line - 18.0), (middle, line + 18.0));
    pen.words(Anchor::Middle, (middle, line + 32.0), "0");
    let (low, high) = (at(of.value - of.unsure), at(of.value + of.unsure));
    pen.line(Line::Curve, (low, line), (high, line));
    for end in [low, high] {
        pen.line(Line::Curve, (end, line - 7.0), (end, line + 7.0));
    }
    pen.circle(Line::Filled, (at(of.value), line), 3.5);
    // A scale: a round length of it, near a quarter of the line.
    let round = magnified(scale, 80.0);
    let long = round * scale;
    if long <= ENDS.1 - ENDS.0 {
        pen.dimension(
            (ENDS.1 - long, ENDS.1),
            line - 20.0,
            &write_shortest(round, 3),
        );
    }
    line + if of.zone > 0.0 { 52.0 } else { 38.0 }
}
