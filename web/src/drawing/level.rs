//! `level` drawn: the bed from above with its points and how far they are off the plane, and what to do at each screw.

use layshaft_core::entry::write::write_fixed;
use layshaft_core::sheets::{Cell, Found, Report};

use super::Drawing;
use super::pen::{Anchor, Line, Pen};

const WIDTH: f64 = 360.0;
/// The room for the bed: left, top, width, height.
const ROOM: (f64, f64, f64, f64) = (62.0, 50.0, 236.0, 190.0);
/// More points than these stand without their figures, and more screws are left to the table.
const MOST: (usize, usize) = (16, 9);

/// The numbers of a table.
fn table<'a>(report: &'a Report, key: &str) -> &'a [Vec<Cell>] {
    match report.found(key) {
        Some(Found::Rows(rows)) => rows,
        _ => &[],
    }
}

fn at(row: &[Cell], column: usize) -> Option<f64> {
    match row.get(column) {
        Some(Cell::Number(x)) => Some(*x),
        _ => None,
    }
}

/// A figure with its sign.
fn signed(value: f64, decimals: u8) -> String {
    let figure = write_fixed(value, decimals);
    if figure.starts_with('-') {
        figure
    } else {
        ["+", &figure].concat()
    }
}

/// The bed once a plane goes through its points.
pub fn draw(report: &Report) -> Option<Drawing> {
    let (points, screws) = (table(report, "points"), table(report, "todo"));
    let screws = screws.get(..screws.len().min(MOST.1))?;
    let places: Vec<(f64, f64)> = points
        .iter()
        .filter_map(|row| at(row, 0).zip(at(row, 1)))
        .chain(screws.iter().filter_map(|row| at(row, 1).zip(at(row, 2))))
        .collect();
    let first = places.first()?;
    let (mut low, mut high) = (*first, *first);
    for (x, y) in &places {
        low = (low.0.min(*x), low.1.min(*y));
        high = (high.0.max(*x), high.1.max(*y));
    }
    let (wide, deep) = (high.0 - low.0, high.1 - low.1);
    let scale = (ROOM.2 / wide).min(ROOM.3 / deep);
    let left = ROOM.0 + (ROOM.2 - wide * scale) / 2.0;
    let bottom = ROOM.1 + deep * scale;
    let place = |x: f64, y: f64| (left + (x - low.0) * scale, bottom - (y - low.1) * scale);
    let mut pen = Pen::new(WIDTH);
    pen.rect(
        Line::Thick,
        (left - 52.0, ROOM.1 - 34.0),
        wide * scale + 104.0,
        deep * scale + 68.0,
    );
    // Words that would lie on others are left to the table.
    let mut taken: Vec<(f64, f64, f64)> = Vec::new();
    let mut say = |pen: &mut Pen, (x, y): (f64, f64), words: &str| {
        let half = pen.width_of(words) / 2.0;
        let x = x.clamp(half, WIDTH - half);
        let free = taken
            .iter()
            .all(|(other, line, its)| (other - x).abs() >= half + its || (line - y).abs() >= 11.0);
        if free {
            taken.push((x, y, half));
            pen.words(Anchor::Middle, (x, y), words);
        }
    };
    for row in screws {
        let (x, y) = place(at(row, 1)?, at(row, 2)?);
        let rise = at(row, 3)?;
        let Some(Cell::Text(act)) = row.get(5) else {
            return None;
        };
        pen.circle(Line::Solid, (x, y), 8.0);
        say(&mut pen, (x, y + 4.0), &write_fixed(at(row, 0)?, 0));
        match act.as_ref() {
            "leave" => {}
            "tighten" | "loosen" => pen.turn((x, y), 15.0, act == "tighten"),
            _ if rise > 0.0 => pen.pointer((x + 14.0, y + 8.0), (x + 14.0, y - 14.0)),
            _ => pen.pointer((x + 14.0, y - 8.0), (x + 14.0, y + 14.0)),
        }
        let far = match at(row, 4) {
            Some(turns) => write_fixed(turns.abs(), 2) + " turn",
            None => write_fixed(rise.abs(), 2) + " mm",
        };
        let words = if act == "leave" {
            act.to_string()
        } else {
            [act.as_ref(), " ", &far].concat()
        };
        say(&mut pen, (x, y + 22.0), &words);
    }
    let few = points.len() <= MOST.0;
    for row in points {
        let (x, y) = place(at(row, 0)?, at(row, 1)?);
        pen.dots(vec![(x, y)]);
        if few {
            say(&mut pen, (x, y - 20.0), &signed(at(row, 3)?, 3));
        }
    }
    let low = bottom + 48.0;
    pen.say(
        Anchor::Middle,
        (WIDTH / 2.0, low + 4.0),
        &[
            "points off the plane in mm, ",
            &write_fixed(report.number("flatness")?, 3),
            " in all",
        ],
    );
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height: low + 10.0,
        note: "From above, to scale, X to the right, Y upward. A straight arrow up raises the bed at its screw; a bent one shows the turn as seen \
            from the screw's head, right-hand thread. What does not fit stands in the tables.",
    })
}

#[cfg(test)]
mod tests {
    use super::super::trial::{drawn, svg, with};

    const BED: &[(&str, &str)] = &[
        ("probes", "20,20,1.02;180,20,1.34;180,180,1.18;20,180,0.86"),
        ("screws", "0,0;200,0;100,200"),
        ("pitch", "0.5"),
    ];

    fn of(more: &[(&str, &str)]) -> String {
        svg("level", &with(BED, more))
    }

    #[test]
    fn each_screw_has_its_turn_and_direction() {
        let plain = of(&[]);
        for words in [
            "raise 0.27 turn",
            "lower 0.53 turn",
            "0.000 in all",
            ">1</text>",
        ] {
            assert!(plain.contains(words), "{words} in {plain}");
        }
        let tightened = of(&[("tighten", "lowers")]);
        assert!(tightened.contains("loosen 0.27 turn") && tightened.contains("tighten 0.53 turn"));
        assert!(of(&[("fixed", "2")]).contains(">leave</text>"));
        assert!(of(&[("pitch", "")]).contains("lower 0.27 mm"));
        // The points alone, where no screws are listed.
        let bare = of(&[("screws", "")]);
        assert!(!bare.is_empty() && !bare.contains("raise"));
    }

    #[test]
    fn what_holds_no_plane_is_not_drawn_and_extremes_stay_on_the_sheet() {
        for probes in ["", "0,0,0;50,50,0.1;100,100,0.2", "0,0,0;1,1,1"] {
            assert!(of(&[("probes", probes)]).is_empty(), "{probes}");
        }
        let many: Vec<String> = (0..400)
            .map(|i| format!("{},{},{}", i % 20, i / 20, i % 3))
            .collect();
        for probes in [
            "-1e6,-1e6,1e6;1e6,1e6,-1e6;1e6,-1e6,0;5,5,5",
            "0,0,0;0.001,0,0;0,0.001,0",
            "0,0,0;1e6,0,0;0,0.01,0;1,0.01,5",
            &many.join(";"),
        ] {
            for screws in ["0,0;1e6,-1e6;0,0", "5,5"] {
                drawn(
                    "level",
                    &with(BED, &[("probes", probes), ("screws", screws)]),
                );
            }
        }
    }
}
