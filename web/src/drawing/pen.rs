//! Draws SVG as text, with the lines of ISO 128: thick for outlines, thin for dimensions, chain for centre lines.
//!
//! A drawing is text made by a pure function of a sheet's report, so that it is tested without a browser.

use std::f64::consts::PI;

use layshaft_core::entry::write::write_shortest;

use crate::markup::Markup;

/// Tenths of a unit: coordinates are written as whole numbers.
const PER_UNIT: f64 = 10.0;

/// Half the width of an arrow's base and its length, in units: 15 degrees as ISO 129-1 draws it.
const ARROW: (f64, f64) = (1.4, 8.0);

/// About how wide a digit and another character of a drawing's words are, in units, in one of the wider typefaces.
const CHARACTER: (f64, f64) = (8.3, 7.6);

/// From one line of words to the next.
const LINE: f64 = 14.5;

/// From one line of hatching to the next, down.
const HATCH: f64 = 8.0;

/// The meaning of a line; the name is its class in the style sheet.
#[derive(Clone, Copy)]
pub enum Line {
    /// Visible outlines.
    Thick,
    /// Dimensions, leaders, hatching.
    Thin,
    /// Centre lines and pitch circles.
    Chain,
    /// Hidden edges.
    Dashed,
    /// What the eye should follow.
    Accent,
    /// The grid of a chart.
    Grid,
    /// The line of a chart.
    Curve,
    /// Thick outlines that hide what is behind them.
    Solid,
    /// Filled, without an outline.
    Filled,
    /// An area that lies behind.
    Shade,
    /// Where something that moves stands at the ends of its way: a chain of two dots.
    Extreme,
}

impl Line {
    const fn class(self) -> &'static str {
        match self {
            Self::Thick => "k",
            Self::Thin => "n",
            Self::Chain => "c",
            Self::Dashed => "d",
            Self::Accent => "a",
            Self::Grid => "g",
            Self::Curve => "v",
            Self::Solid => "s",
            Self::Filled => "f",
            Self::Shade => "b",
            Self::Extreme => "y",
        }
    }
}

/// Where a text stands about its point.
#[derive(Clone, Copy)]
pub enum Anchor {
    /// Begins there.
    Start,
    /// Is centred there.
    Middle,
    /// Ends there.
    End,
}

/// A drawing in the making.
pub struct Pen {
    out: Markup,
    width: f64,
}

impl Pen {
    /// An empty sheet of so many units.
    pub fn new(width: f64) -> Self {
        Self {
            out: Markup::default(),
            width,
        }
    }

    /// What was drawn: the content of an `svg` element.
    pub fn finish(self) -> String {
        self.out.finish()
    }

    /// A line through points, in units from the upper left.
    pub fn path(&mut self, line: Line, points: impl IntoIterator<Item = (f64, f64)>) {
        // Compiled again for each kind of points, so that the work is in what is not.
        self.begin(line);
        for point in points {
            self.to(point);
        }
        self.out.raw("\"/>");
    }

    #[inline(never)]
    fn begin(&mut self, line: Line) {
        self.out.raw("<path class=").raw(line.class()).raw(" d=\"M");
    }

    #[inline(never)]
    fn to(&mut self, (x, y): (f64, f64)) {
        self.out.int(tenths(x)).raw(" ").int(tenths(y)).raw(" ");
    }

    /// Points.
    pub fn dots(&mut self, points: Vec<(f64, f64)>) {
        self.out.raw("<path class=p d=\"");
        for (x, y) in points {
            self.out
                .raw("M")
                .int(tenths(x))
                .raw(" ")
                .int(tenths(y))
                .raw("h0");
        }
        self.out.raw("\"/>");
    }

    /// A straight line.
    pub fn line(&mut self, line: Line, from: (f64, f64), to: (f64, f64)) {
        self.path(line, [from, to]);
    }

    /// Many rings or squares as one path: a thousand elements would take the browser longer than the search that found
    /// them.
    pub fn rings(&mut self, square: bool, points: &[(f64, f64)]) {
        self.out
            .raw("<path class=")
            .raw(Line::Thin.class())
            .raw(" d=\"");
        for (x, y) in points {
            let left = if square { 2.5 } else { 3.0 };
            self.out
                .raw("M")
                .int(tenths(x - left))
                .raw(" ")
                .int(tenths(if square { y - left } else { *y }));
            self.out.raw(if square {
                "h50v50h-50z"
            } else {
                "a30 30 0 1 0 60 0a30 30 0 1 0-60 0"
            });
        }
        self.out.raw("\"/>");
    }

    /// A rectangle by its upper left corner, width and height.
    pub fn rect(&mut self, line: Line, (x, y): (f64, f64), width: f64, height: f64) {
        let (right, low) = (x + width, y + height);
        self.path(line, [(x, y), (right, y), (right, low), (x, low), (x, y)]);
    }

    /// A circle.
    pub fn circle(&mut self, line: Line, (x, y): (f64, f64), radius: f64) {
        self.out
            .raw("<circle class=")
            .raw(line.class())
            .raw(" cx=")
            .int(tenths(x));
        self.out
            .raw(" cy=")
            .int(tenths(y))
            .raw(" r=")
            .int(tenths(radius))
            .raw(" />");
    }

    /// Centre lines through a point.
    pub fn centre(&mut self, (x, y): (f64, f64), reach: f64) {
        self.line(Line::Chain, (x - reach, y), (x + reach, y));
        self.line(Line::Chain, (x, y - reach), (x, y + reach));
    }

    /// Words, kept inside the sheet's width.
    pub fn words(&mut self, anchor: Anchor, (x, y): (f64, f64), words: &str) {
        if words.is_empty() {
            return;
        }
        let long = self.width_of(words);
        let (place, low, high) = match anchor {
            Anchor::Start => ("start", 0.0, self.width - long),
            Anchor::Middle => ("middle", long / 2.0, self.width - long / 2.0),
            Anchor::End => ("end", long, self.width),
        };
        let x = x.min(high).max(low);
        self.out
            .raw("<text text-anchor=")
            .raw(place)
            .raw(" x=")
            .int(tenths(x))
            .raw(" y=")
            .int(tenths(y));
        self.out.raw(">").words(words).raw("</text>");
    }

    /// Words in several parts, as [`Pen::words`].
    pub fn say(&mut self, anchor: Anchor, at: (f64, f64), parts: &[&str]) {
        self.words(anchor, at, &parts.concat());
    }

    /// About how wide words are, in units.
    pub fn width_of(&self, words: &str) -> f64 {
        let (digit, other) = CHARACTER;
        let wide = |c: char| if c.is_ascii_digit() { digit } else { other };
        words.chars().map(wide).sum()
    }

    /// An arrowhead with its tip at a point; `along` leads back from there, as long as the head.
    fn arrow(&mut self, (x, y): (f64, f64), along: (f64, f64)) {
        let (half, long) = ARROW;
        let (across, down) = (along.1 * half / long, -along.0 * half / long);
        let (x2, y2) = (x + along.0, y + along.1);
        self.path(
            Line::Filled,
            [(x, y), (x2 + across, y2 + down), (x2 - across, y2 - down)],
        );
    }

    /// A thin line with an arrowhead at its end.
    pub fn pointer(&mut self, from: (f64, f64), to: (f64, f64)) {
        self.line(Line::Thin, from, to);
        let (x, y) = (from.0 - to.0, from.1 - to.1);
        let share = ARROW.1 / libm::sqrt(x * x + y * y).max(1e-9);
        self.arrow(to, (x * share, y * share));
    }

    /// An arrow over the top of something round that shows which way it turns.
    pub fn turn(&mut self, centre: (f64, f64), radius: f64, clockwise: bool) {
        let sense = if clockwise { 1.0 } else { -1.0 };
        // About as long on every radius.
        let half = (18.0 / radius).min(1.2);
        let at = |share: f64| polar(centre, radius, share * half * sense - PI / 2.0);
        self.path(Line::Thin, (-6..=6_i32).map(|i| at(f64::from(i) / 6.0)));
        let (tip, before) = (at(1.0), at(1.0 - ARROW.1 / radius / half));
        self.arrow(tip, (before.0 - tip.0, before.1 - tip.1));
    }

    /// What does not move: a thick line with hatching on the side that `way` leads to.
    pub fn ground(&mut self, from: (f64, f64), to: (f64, f64), way: (f64, f64)) {
        self.line(Line::Thick, from, to);
        for i in 0..=4_i32 {
            let share = f64::from(i) / 4.0;
            let (x, y) = (
                from.0 + share * (to.0 - from.0),
                from.1 + share * (to.1 - from.1),
            );
            self.line(Line::Thin, (x, y), (x + way.0, y + way.1));
        }
    }

    /// A support that lets what it holds at `at` turn; `way` is 1 below it and -1 above.
    pub fn pinned(&mut self, (x, y): (f64, f64), way: f64) {
        let far = y + 10.0 * way;
        self.path(
            Line::Solid,
            [(x, y), (x - 6.0, far), (x + 6.0, far), (x, y)],
        );
        self.ground((x - 10.0, far), (x + 10.0, far), (-4.0 * way, 5.0 * way));
    }

    /// A dimension line from `x1` to `x2` with its words above; what does not fit between stands outside.
    pub fn dimension(&mut self, (x1, x2): (f64, f64), y: f64, words: &str) {
        let (_, long) = ARROW;
        if x2 - x1 >= 2.6 * long {
            self.line(Line::Thin, (x1, y), (x2, y));
            self.arrow((x1, y), (long, 0.0));
            self.arrow((x2, y), (-long, 0.0));
        } else {
            self.line(Line::Thin, (x1 - 2.0 * long, y), (x2 + 2.0 * long, y));
            self.arrow((x1, y), (-long, 0.0));
            self.arrow((x2, y), (long, 0.0));
        }
        // Words much longer than the line stand behind it, where there is room.
        let (width, behind) = (self.width_of(words), x2 + 2.0 * long + 4.0);
        if width > x2 - x1 + 40.0 && behind + width <= self.width {
            self.words(Anchor::Start, (behind, y + 4.0), words);
        } else {
            self.words(Anchor::Middle, (f64::midpoint(x1, x2), y - 4.0), words);
        }
    }

    /// A dimension line upright from `y1` down to `y2`, its words behind it, or before it where there is no room.
    pub fn rise(&mut self, x: f64, (y1, y2): (f64, f64), words: &str) {
        let (_, long) = ARROW;
        // Arrows that do not fit between stand outside.
        let inside = if y2 - y1 >= 2.6 * long { 1.0 } else { -1.0 };
        let out = if inside < 0.0 { 2.0 * long } else { 0.0 };
        self.line(Line::Thin, (x, y1 - out), (x, y2 + out));
        self.arrow((x, y1), (0.0, inside * long));
        self.arrow((x, y2), (0.0, -inside * long));
        let y = f64::midpoint(y1, y2) + 4.0;
        if x + 6.0 + self.width_of(words) <= self.width {
            self.words(Anchor::Start, (x + 6.0, y), words);
        } else {
            self.words(Anchor::End, (x - 6.0, y), words);
        }
    }

    /// Upright dimension lines below each other, from above, with their words kept apart.
    pub fn rises(&mut self, x: f64, spans: &[(f64, f64, String)]) {
        let mut places: Vec<f64> = spans
            .iter()
            .map(|(top, low, _)| f64::midpoint(*top, *low) + 4.0)
            .collect();
        apart(&mut places);
        for ((top, low, words), y) in spans.iter().zip(places) {
            self.rise(x, (*top, *low), "");
            self.words(Anchor::Start, (x + 6.0, y), words);
        }
    }

    /// Thin lines at 45 degrees through what was cut, from one edge to the other in the places that `inside` gives:
    /// for each line y = x + c, where it enters and leaves.
    pub fn hatch(
        &mut self,
        (low, high): (f64, f64),
        inside: &dyn Fn(f64) -> Option<(f64, f64)>,
        hole: &dyn Fn(f64) -> Option<(f64, f64)>,
    ) {
        let mut c = low + HATCH / 2.0;
        while c < high {
            if let Some((from, to)) = inside(c) {
                let parts = match hole(c) {
                    Some((out, back)) => [(from, out), (back, to)],
                    None => [(from, to), (to, to)],
                };
                for (from, to) in parts {
                    if to - from > 0.5 {
                        self.line(Line::Thin, (from, from + c), (to, to + c));
                    }
                }
            }
            c += HATCH;
        }
    }

    /// The two thin lines that lead from the drawing to a dimension.
    pub fn extensions(&mut self, (x1, x2): (f64, f64), from: f64, to: f64) {
        for x in [x1, x2] {
            self.line(Line::Thin, (x, from), (x, to));
        }
    }
}

/// Moves lines of words that lie on one another apart, from their middle.
pub fn apart(places: &mut [f64]) {
    let before: f64 = places.iter().sum();
    let mut least = f64::NEG_INFINITY;
    for place in places.iter_mut() {
        *place = place.max(least);
        least = *place + LINE;
    }
    let after: f64 = places.iter().sum();
    // Half of the way back, so that the first is moved as well as the last.
    let (count, mut most) = (places.iter().map(|_| 1.0).sum::<f64>(), f64::INFINITY);
    let back = if count > 0.0 {
        (after - before) / count
    } else {
        0.0
    };
    for place in places.iter_mut().rev() {
        *place = (*place - back).min(most);
        most = *place - LINE;
    }
}

/// Where the line y = x + c enters and leaves a rectangle, by its upper left and lower right corner.
pub fn in_rect(
    ((left, top), (right, low)): ((f64, f64), (f64, f64)),
    c: f64,
) -> Option<(f64, f64)> {
    let (from, to) = (left.max(top - c), right.min(low - c));
    (to > from).then_some((from, to))
}

/// Points on a bent line.
const POINTS: i32 = 24;

/// A line through shares 0 to 1 of a length.
pub fn traced(at: impl Fn(f64) -> (f64, f64)) -> Vec<(f64, f64)> {
    (0..=POINTS)
        .map(|i| at(f64::from(i) / f64::from(POINTS)))
        .collect()
}

/// How far something bends and how much larger that is drawn: "sags 0.3 mm, drawn 50 times as far".
pub fn drawn_larger(bends: &str, far: &str, times: f64) -> String {
    let times = write_shortest(times, 3);
    [bends, far, ", drawn ", &times, " times as far"].concat()
}

/// A magnification in round numbers, 1, 2 or 5 with noughts, that draws a `size` not longer than `most`.
pub fn magnified(size: f64, most: f64) -> f64 {
    let (mut step, wish) = (1.0, most / size);
    if !(1e-18..1e18).contains(&wish) {
        // Too far for round numbers; what does not bend is drawn as it is.
        return if wish.is_finite() { wish } else { 1.0 };
    }
    while step > wish {
        step /= 10.0;
    }
    while step * 10.0 <= wish {
        step *= 10.0;
    }
    [5.0, 2.0]
        .into_iter()
        .map(|times| times * step)
        .find(|times| *times <= wish)
        .unwrap_or(step)
}

/// The point at an angle about a centre, clockwise from the right.
pub fn polar((x, y): (f64, f64), radius: f64, angle: f64) -> (f64, f64) {
    // One sine for both: cosine would bring its own code.
    (
        x + radius * libm::sin(angle + PI / 2.0),
        y + radius * libm::sin(angle),
    )
}

/// Units as whole tenths; far outside any sheet when the number is.
#[allow(
    clippy::cast_possible_truncation,
    reason = "a float that is out of range becomes the nearest whole number"
)]
pub fn tenths(units: f64) -> i32 {
    (units * PER_UNIT + if units < 0.0 { -0.5 } else { 0.5 }) as i32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn coordinates_are_whole_tenths() {
        let mut pen = Pen::new(360.0);
        pen.line(Line::Thick, (1.0, -2.5), (0.04, 1e300));
        assert_eq!(pen.finish(), "<path class=k d=\"M10 -25 0 2147483647 \"/>");
    }

    #[test]
    fn words_are_escaped_and_stay_on_the_sheet() {
        let mut pen = Pen::new(100.0);
        pen.words(Anchor::Middle, (0.0, 10.0), "a<b");
        assert_eq!(
            pen.finish(),
            "<text text-anchor=middle x=114 y=100>a&lt;b</text>"
        );
    }

    #[test]
    fn lines_of_words_are_moved_apart_and_keep_their_order() {
        for places in [[10.0, 40.0, 90.0], [10.0, 10.0, 10.0], [50.0, 52.0, 200.0]] {
            let mut moved = places;
            apart(&mut moved);
            let [a, b, c] = moved;
            assert!(b - a >= LINE - 1e-9 && c - b >= LINE - 1e-9, "{moved:?}");
        }
        let mut far = [10.0, 40.0];
        apart(&mut far);
        assert_eq!(far.map(tenths), [100, 400]);
    }

    #[test]
    fn a_magnification_is_a_round_number() {
        for (size, most, times) in [
            (0.13, 30.0, 200.0),
            (0.3, 30.0, 100.0),
            (80.0, 30.0, 0.2),
            (30.0, 30.0, 1.0),
            (0.0, 30.0, 1.0),
        ] {
            assert!(
                (magnified(size, most) - times).abs() < 1e-9 * times,
                "{size}"
            );
        }
    }

    #[test]
    fn hatching_leaves_the_hole_out() {
        let mut pen = Pen::new(100.0);
        pen.hatch((0.0, 8.0), &|_| Some((0.0, 40.0)), &|_| Some((10.0, 30.0)));
        let drawn = pen.finish();
        assert_eq!(
            drawn,
            "<path class=n d=\"M0 40 100 140 \"/><path class=n d=\"M300 340 400 440 \"/>"
        );
    }

    #[test]
    fn a_short_dimension_has_its_arrows_outside() {
        let drawn = |x2| {
            let mut pen = Pen::new(360.0);
            pen.dimension((100.0, x2), 50.0, "2 mm");
            pen.finish()
        };
        assert!(drawn(200.0).starts_with("<path class=n d=\"M1000 500 2000 500 \"/>"));
        assert!(drawn(104.0).starts_with("<path class=n d=\"M840 500 1200 500 \"/>"));
    }
}
