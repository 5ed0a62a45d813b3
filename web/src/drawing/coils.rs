//! `coils` drawn: the leads as far as they are known, and the two that the meter should touch next.

use std::f64::consts::PI;

use layshaft_core::entry::write::write_shortest;
use layshaft_core::sheets::{Cell, Found, Report};

use super::pen::{Anchor, Line, Pen};
use super::{Drawing, shown_or};

const WIDTH: f64 = 360.0;
/// Height of a row.
const ROW: f64 = 48.0;
/// Where the two ends of a coil stand.
const ENDS: (f64, f64) = (40.0, 220.0);

/// A row for each coil, one for leads that belong to none yet, and one for what to do next.
pub fn draw(report: &Report) -> Option<Drawing> {
    // Readings that contradict each other are told beside their entry.
    report
        .found("next_leads")
        .or_else(|| report.found("phases"))?;
    let mut pen = Pen::new(WIDTH);
    let mut y = 34.0;
    let readings = report.inputs.rows("pairs").unwrap_or_default();
    let mut placed = Vec::new();
    if let Some(Found::Rows(coils)) = report.found("phases") {
        for (coil, letter) in coils.iter().zip(["A", "B", "C", "D"]) {
            let leads: Vec<f64> = coil.iter().filter_map(number).collect();
            row(&mut pen, &leads, y);
            pen.say(Anchor::Start, (ENDS.1 + 24.0, y + 4.0), &["coil ", letter]);
            // What the meter showed from end to end, test leads and all.
            if let (Some(first), Some(last)) = (leads.first(), leads.last()) {
                for row in readings {
                    let (Some(a), Some(b), Some(ohm)) = (row.count(0), row.count(1), row.num(2))
                    else {
                        continue;
                    };
                    // Two leads of one coil: they are its ends when their sum is.
                    let (a, b) = (f64::from(a), f64::from(b));
                    if !differ(a + b, first + last) && (!differ(a, *first) || !differ(a, *last)) {
                        let ohm = write_shortest(ohm, 4);
                        pen.say(Anchor::Start, (ENDS.1 + 66.0, y + 4.0), &[&ohm, " Ω"]);
                    }
                }
            }
            placed.extend(leads);
            y += ROW;
        }
    }
    let mut x = ENDS.0;
    for row in readings {
        for lead in [row.count(0), row.count(1)].into_iter().flatten() {
            let lead = f64::from(lead);
            if placed.iter().all(|other| differ(lead, *other)) {
                placed.push(lead);
                terminal(&mut pen, (x, y), lead, Line::Dashed);
                x += 36.0;
            }
        }
    }
    if x > ENDS.0 {
        pen.words(Anchor::End, (WIDTH - 4.0, y + 4.0), "no partner yet");
        y += ROW;
    }
    if let Some(Found::List(next)) = report.found("next_leads") {
        let middle = f64::midpoint(ENDS.0, ENDS.1);
        pen.line(Line::Accent, (ENDS.0, y), (ENDS.1, y));
        pen.circle(Line::Solid, (middle, y), 14.0);
        pen.words(Anchor::Middle, (middle, y + 4.0), "Ω");
        for (lead, x) in next.iter().zip([ENDS.0, ENDS.1]) {
            terminal(&mut pen, (x, y), *lead, Line::Solid);
        }
        pen.words(Anchor::Start, (ENDS.1 + 24.0, y + 4.0), "read these next");
        y += ROW;
    } else if report.number("start_rms").is_some() {
        let x = ENDS.0 - 11.0;
        let start = shown_or(report, "start_rms", "");
        pen.say(
            Anchor::Start,
            (x, y),
            &["first current: ", &start, " RMS or less, for an hour"],
        );
        let rise = shown_or(report, "rise", "");
        let then = if rise.is_empty() {
            ["then power off, unplug, read a coil warm", ""]
        } else {
            ["its winding then rose by ", &rise]
        };
        pen.say(Anchor::Start, (x, y + 18.0), &then);
        y += ROW;
    }
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height: y - 16.0,
        note: "Connections only. Which end of a coil is its start shows when the motor turns.",
    })
}

fn number(cell: &Cell) -> Option<f64> {
    match cell {
        Cell::Number(x) => Some(*x),
        _ => None,
    }
}

/// Whether two whole numbers differ.
fn differ(a: f64, b: f64) -> bool {
    (a - b).abs() > 0.5
}

/// A lead's end with its number.
fn terminal(pen: &mut Pen, at: (f64, f64), lead: f64, line: Line) {
    pen.circle(line, at, 11.0);
    pen.words(Anchor::Middle, (at.0, at.1 + 4.0), &write_shortest(lead, 4));
}

/// Leads that are joined: a winding between the two ends of a coil, its tap in the middle.
fn row(pen: &mut Pen, leads: &[f64], y: f64) {
    let (from, to) = ENDS;
    match leads {
        [_, _] | [_, _, _] => {
            let winding = (0..=48_i32).map(|i| {
                let share = f64::from(i) / 48.0;
                let bow = libm::sin(6.0 * PI * share).abs();
                (from + 30.0 + (to - from - 60.0) * share, y - 9.0 * bow)
            });
            pen.path(
                Line::Thick,
                std::iter::once((from, y)).chain(winding).chain([(to, y)]),
            );
        }
        _ => pen.line(Line::Dashed, (from, y), (to, y)),
    }
    let last = leads.len().saturating_sub(1).max(1);
    for (lead, index) in leads.iter().zip(0_u32..) {
        let share = f64::from(index) / u32::try_from(last).map_or(1.0, f64::from);
        let x = from + (to - from) * share;
        // A tap is led out below its winding.
        let tap = leads.len() == 3 && index == 1;
        let at = if tap { (x, y + 22.0) } else { (x, y) };
        if tap {
            pen.line(Line::Thick, (x, y), at);
        }
        terminal(pen, at, *lead, Line::Solid);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use layshaft_core::sheets;

    fn drawn(pairs: &str) -> String {
        let sheet = sheets::find("coils").expect("it is listed");
        let entries = [("pairs", pairs), ("frame", "42"), ("depth", "40")];
        draw(&sheet.run(&entries.into_iter().collect())).map_or_else(String::new, |drawn| drawn.svg)
    }

    #[test]
    fn the_meter_is_led_from_the_first_reading_to_a_first_current() {
        // A motor of two coils, 1 with 3 and 2 with 4, read as the drawing says until it asks for no more.
        let mut pairs = String::new();
        let mut asked = Vec::new();
        for _ in 0..12 {
            let sheet = sheets::find("coils").expect("it is listed");
            let entries = [("pairs", pairs.as_str()), ("frame", "42"), ("depth", "40")];
            let report = sheet.run(&entries.into_iter().collect());
            let Some((a, b)) = report.found("next_leads").and_then(|found| match found {
                Found::List(next) => Some((*next.first()?, *next.last()?)),
                _ => None,
            }) else {
                break;
            };
            asked.push((a, b));
            let joined = !differ(a % 2.0, b % 2.0);
            let ohm = if joined { "2.8" } else { "" };
            pairs = [
                &pairs,
                ";",
                &write_shortest(a, 3),
                ",",
                &write_shortest(b, 3),
                ",",
                ohm,
            ]
            .concat();
            pairs = pairs.trim_start_matches(';').into();
        }
        assert!((3..=6).contains(&asked.len()), "{asked:?}");
        let svg = drawn(&pairs);
        assert!(svg.contains("first current: "), "{pairs}: {svg}");
        assert_eq!(svg.matches("2.8 Ω").count(), 2, "{pairs}: {svg}");
    }

    #[test]
    fn pairs_that_are_found_and_leads_that_are_not_are_told_apart() {
        let svg = drawn("1,2,;1,3,2.8");
        assert!(
            svg.contains("coil A<") && svg.contains("2.8 Ω") && svg.contains("no partner yet"),
            "{svg}"
        );
        // Six leads: the tap stands between its ends.
        let six = drawn("1,2,2;2,3,2;1,3,4;4,5,2;5,6,2;4,6,4;1,4,");
        assert_eq!(six.matches("<circle").count(), 6);
        assert!(six.contains("coil B<") && six.contains(">4 Ω"), "{six}");
        assert!(drawn("1,1,3").is_empty());
    }
}
