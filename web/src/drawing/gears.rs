//! `gears` drawn stage by stage as ISO 2203 draws gears: tips thick, pitch circles as chain lines.
//!
//! Within a stage the pitch circles are in proportion to the teeth; stages are not to one scale, since modules are not
//! asked for. Arrows tell the sense of each shaft, as long as it is known: a worm ends that.

use std::f64::consts::PI;

use layshaft_core::entry::write::write_shortest;
use layshaft_core::sheets::{Cell, Found, Report, Row};

use super::Drawing;
use super::pen::{Anchor, Line, Pen, polar};

const WIDTH: f64 = 360.0;
/// Height of a stage.
const STAGE: f64 = 132.0;
/// Where the wheels of a stage may stand: left, right, and how far from their axis up or down.
const ROOM: (f64, f64, f64) = (104.0, 350.0, 46.0);
/// More stages than these stay in the table.
const MOST: usize = 8;

/// The whole train, once it has been read.
pub fn draw(report: &Report) -> Option<Drawing> {
    let Found::Rows(train) = report.found("train")? else {
        return None;
    };
    let mut pen = Pen::new(WIDTH);
    // The motor's shaft turns with the clock.
    let (mut y, mut turns) = (66.0, Some(true));
    for (index, (row, told)) in report.inputs.rows("stages")?.iter().zip(train).enumerate() {
        if index == MOST {
            break;
        }
        let after = match told.get(3) {
            Some(Cell::Text(word)) => Some(word == "same"),
            _ => None,
        };
        let stage = Stage {
            first: f64::from(row.count(1)?),
            second: f64::from(row.count(2)?),
            y,
            turns: (turns, after),
        };
        let mut lines = vec![
            [&write_shortest(count(index + 1), 3), "  ", row.word(0)?].concat(),
            match told.get(1) {
                Some(Cell::Number(ratio)) => write_shortest(*ratio, 6) + " : 1",
                _ => String::new(),
            },
        ];
        match row.word(0)? {
            "internal" => stage.internal(&mut pen),
            "belt" => stage.belt(&mut pen),
            "worm" => stage.worm(&mut pen),
            "planetary" => {
                lines.push(stage.planetary(&mut pen, row, report.inputs.count("planets")))
            }
            _ => stage.spur(&mut pen),
        }
        for (line, down) in lines.iter().zip([-10.0, 6.0, 22.0]) {
            pen.words(Anchor::Start, (4.0, y + down), line);
        }
        turns = after;
        y += STAGE;
    }
    let mut whole = ["all: ", &write_shortest(report.number("ratio")?, 6), " : 1"].concat();
    if let Some(Found::Text(exact)) = report.found("exact")
        && exact.contains('/')
    {
        whole = [&whole, ", exactly ", exact.as_ref()].concat();
    }
    y -= STAGE / 2.0;
    pen.line(Line::Thin, (4.0, y), (WIDTH - 4.0, y));
    pen.words(Anchor::Start, (4.0, y + 18.0), &whole);
    if train.len() > MOST {
        pen.words(Anchor::End, (WIDTH - 4.0, y + 18.0), "first 8 stages");
    }
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height: y + 26.0,
        note: "Pitch circles are to scale within a stage; pulleys' distance, worms and stages to each other are not. \
            Arrows: the motor turns clockwise.",
    })
}

fn count(number: usize) -> f64 {
    u32::try_from(number).map_or(0.0, f64::from)
}

/// One stage: its counts, its axis on the sheet, and how its input and output turn.
struct Stage {
    first: f64,
    second: f64,
    y: f64,
    turns: (Option<bool>, Option<bool>),
}

/// What stands below a wheel of so many teeth.
fn teeth(pen: &mut Pen, (x, y): (f64, f64), teeth: f64) {
    pen.words(
        Anchor::Middle,
        (x, y + ROOM.2 + 17.0),
        &write_shortest(teeth, 6),
    );
}

impl Stage {
    /// A wheel by its pitch radius; `outward` is 1 where its teeth stand outside, -1 inside.
    fn wheel(&self, pen: &mut Pen, x: f64, radius: f64, teeth: f64, outward: f64) {
        let at = (x, self.y);
        pen.circle(Line::Chain, at, radius);
        // The tips stand one module, 2 r / z, off the pitch circle.
        pen.circle(
            Line::Thick,
            at,
            (radius + outward * 2.0 * radius / teeth).max(0.0),
        );
    }

    fn arrow(&self, pen: &mut Pen, x: f64, radius: f64, turns: Option<bool>) {
        if let Some(clockwise) = turns {
            pen.turn((x, self.y), radius, clockwise);
        }
    }

    /// Radii of both wheels when the sum of `count` tooth numbers fills the room, as far as the height allows.
    fn radii(&self, across: f64) -> (f64, f64) {
        let scale = (ROOM.2 / self.first.max(self.second)).min((ROOM.1 - ROOM.0) / 2.0 / across);
        (self.first * scale, self.second * scale)
    }

    fn spur(&self, pen: &mut Pen) {
        let (a, b) = self.radii(self.first + self.second);
        let middle = f64::midpoint(ROOM.0, ROOM.1);
        let (x1, x2) = (middle - b, middle + a);
        self.pair(pen, (x1, a), (x2, b));
        self.wheel(pen, x1, a, self.first, 1.0);
        self.wheel(pen, x2, b, self.second, 1.0);
    }

    /// Centre lines, arrows and counts of two wheels side by side.
    fn pair(&self, pen: &mut Pen, (x1, a): (f64, f64), (x2, b): (f64, f64)) {
        for (x, radius, count, turns) in [
            (x1, a, self.first, self.turns.0),
            (x2, b, self.second, self.turns.1),
        ] {
            pen.centre((x, self.y), 5.0);
            self.arrow(pen, x, radius + 9.0, turns);
            teeth(pen, (x, self.y), count);
        }
    }

    fn belt(&self, pen: &mut Pen) {
        let (a, b) = self.radii(self.first + self.second);
        let (x1, x2) = (ROOM.0 + 50.0, ROOM.1 - 50.0);
        self.pair(pen, (x1, a), (x2, b));
        pen.circle(Line::Thick, (x1, self.y), a);
        pen.circle(Line::Thick, (x2, self.y), b);
        // The tangents of both circles: their common normal leans by (a - b) over the distance.
        let lean = (a - b) / (x2 - x1);
        let up = libm::sqrt(1.0 - lean * lean);
        for side in [-up, up] {
            let at = |x: f64, radius: f64| (x + radius * lean, self.y + radius * side);
            pen.line(Line::Thick, at(x1, a), at(x2, b));
        }
    }

    fn internal(&self, pen: &mut Pen) {
        let (a, b) = self.radii(self.second);
        let x = f64::midpoint(ROOM.0, ROOM.1);
        let inner = x + b - a;
        self.wheel(pen, x, b, self.second, -1.0);
        self.wheel(pen, inner, a, self.first, 1.0);
        pen.centre((x, self.y), 5.0);
        pen.centre((inner, self.y), 5.0);
        self.arrow(pen, x, b + 9.0, self.turns.1);
        self.arrow(pen, inner, (a - 5.0).max(5.0), self.turns.0);
        pen.say(
            Anchor::Middle,
            (x, self.y + ROOM.2 + 17.0),
            &[
                "pinion ",
                &write_shortest(self.first, 6),
                ", ring ",
                &write_shortest(self.second, 6),
            ],
        );
    }

    /// A worm over its wheel; the worm's own diameter is not asked for.
    fn worm(&self, pen: &mut Pen) {
        let (x, radius) = (f64::midpoint(ROOM.0, ROOM.1), 34.0);
        let (y, half) = (self.y + 10.0, 34.0);
        pen.circle(Line::Chain, (x, y), radius);
        pen.circle(Line::Thick, (x, y), radius + 2.0 * radius / self.second);
        pen.centre((x, y), 5.0);
        let top = y - radius - 20.0;
        pen.rect(Line::Solid, (x - half, top), 2.0 * half, 18.0);
        // One start after the other, each a pitch of the wheel on.
        let pitch = 2.0 * PI * radius / self.second;
        let mut at = -half;
        while pitch > 3.0 && at + pitch * self.first / 2.0 < half {
            pen.line(
                Line::Thin,
                (x + at, top),
                (x + at + pitch * self.first / 2.0, top + 18.0),
            );
            at += pitch;
        }
        pen.say(
            Anchor::Start,
            (x + half + 8.0, top + 13.0),
            &["starts ", &write_shortest(self.first, 6)],
        );
        pen.say(
            Anchor::Start,
            (x + half + 8.0, y + 4.0),
            &["wheel ", &write_shortest(self.second, 6)],
        );
    }

    /// Sun, planets and ring; the words say what is held.
    fn planetary(&self, pen: &mut Pen, row: &Row, planets: Option<u32>) -> String {
        let (sun, ring) = self.radii(self.second);
        let x = f64::midpoint(ROOM.0, ROOM.1);
        let at = (x, self.y);
        self.wheel(pen, x, sun, self.first, 1.0);
        self.wheel(pen, x, ring, self.second, -1.0);
        pen.centre(at, 4.0);
        let (carrier, planet) = (f64::midpoint(sun, ring), (ring - sun) / 2.0);
        let planets = planets.unwrap_or_default();
        for i in 0..planets {
            // A gap stands at the top: the arrows are there.
            let angle = (f64::from(i) + 0.5) / f64::from(planets) * 2.0 * PI - PI / 2.0;
            pen.circle(Line::Thin, polar(at, carrier, angle), planet);
        }
        let (input, output) = self.turns;
        let held = row.word(3).unwrap_or("ring");
        let [on_sun, on_carrier, on_ring] = match held {
            "carrier" => [input, None, output],
            "sun" => [None, output, input],
            _ => [input, output, None],
        };
        self.arrow(pen, x, sun + 5.0, on_sun);
        self.arrow(pen, x, carrier, on_carrier);
        self.arrow(pen, x, ring + 9.0, on_ring);
        if held != "carrier" {
            // The hatching holds the ring from outside, the sun at its middle.
            let low = if held == "sun" { sun / 2.0 } else { ring + 3.0 };
            pen.ground(
                (x - 12.0, self.y + low),
                (x + 12.0, self.y + low),
                (-4.0, 5.0),
            );
        }
        for (down, name, count) in [(-20.0, "ring ", self.second), (0.0, "sun ", self.first)] {
            pen.say(
                Anchor::Start,
                (x + ring + 22.0, self.y + down),
                &[name, &write_shortest(count, 6)],
            );
        }
        pen.say(
            Anchor::Start,
            (x + ring + 22.0, self.y + 20.0),
            &["planets ", &write_shortest(f64::from(planets), 3)],
        );
        [held, " held"].concat()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use layshaft_core::sheets;

    fn drawn(entries: &[(&str, &str)]) -> Option<Drawing> {
        let sheet = sheets::find("gears").expect("it is listed");
        draw(&sheet.run(&entries.iter().copied().collect()))
    }

    /// Radii of the pitch circles, in the order drawn.
    fn pitch_radii(svg: &str) -> Vec<f64> {
        svg.split("<circle class=c")
            .skip(1)
            .filter_map(|rest| rest.split(" r=").nth(1)?.split(' ').next()?.parse().ok())
            .collect()
    }

    #[test]
    fn pitch_circles_are_in_proportion_to_the_teeth() {
        for stages in [
            "spur,20,60",
            "spur,17,23",
            "internal,18,54",
            "planetary,18,72,ring",
        ] {
            let mut counts: Vec<f64> = stages
                .split(',')
                .filter_map(|cell| cell.parse().ok())
                .collect();
            let mut radii = pitch_radii(&drawn(&[("stages", stages)]).expect("it is read").svg);
            let ratio = |sizes: &mut Vec<f64>| {
                sizes.sort_by(f64::total_cmp);
                sizes
                    .last()
                    .zip(sizes.first())
                    .map_or(0.0, |(large, small)| large / small)
            };
            // Coordinates are tenths of a unit.
            let (drawn, typed) = (ratio(&mut radii), ratio(&mut counts));
            assert!((drawn / typed - 1.0).abs() < 0.01, "{stages}: {drawn}");
        }
    }

    #[test]
    fn a_train_names_its_teeth_and_its_exact_fraction() {
        let svg = drawn(&[("stages", "spur,20,60;belt,16,40")])
            .expect("it is read")
            .svg;
        for words in [
            ">20<",
            ">60<",
            ">16<",
            ">40<",
            "exactly 15/2",
            "3 : 1",
            "2.5 : 1",
        ] {
            assert!(svg.contains(words), "{words} in {svg}");
        }
    }

    #[test]
    fn a_worm_ends_the_arrows() {
        let arrows = |stages| {
            drawn(&[("stages", stages)]).map_or(0, |drawn| drawn.svg.matches("class=f").count())
        };
        assert_eq!(arrows("spur,20,40;spur,20,40"), 4);
        // The worm itself has none, and nothing behind it.
        assert_eq!(arrows("spur,20,40;worm,2,40;spur,20,40"), 2);
        // Held members have none.
        assert_eq!(arrows("planetary,18,72,sun"), 2);
    }

    #[test]
    fn nothing_is_drawn_of_what_cannot_be_read_and_extremes_stay_finite() {
        assert!(drawn(&[]).is_none());
        assert!(drawn(&[("stages", "planetary,72,18,ring")]).is_none());
        for stages in [
            "spur,1,10000",
            "belt,10000,1",
            "worm,1,10000",
            "planetary,1,10000,carrier",
            "internal,9999,10000",
        ] {
            let svg = drawn(&[("stages", stages), ("planets", "100")])
                .expect("it is read")
                .svg;
            assert!(
                svg.len() < 20_000 && !svg.contains("2147483647") && !svg.contains("NaN"),
                "{svg}"
            );
        }
        let many = ["spur,20,40"; 12].join(";");
        assert!(
            drawn(&[("stages", many.as_str())])
                .is_some_and(|drawn| drawn.svg.contains("first 8 stages"))
        );
    }
}
