//! `switch` drawn: the circuit of contact, pull and input, and below it the level released, pressed and with a wire broken.

use layshaft_core::sheets::{Found, Report};

use super::pen::{Anchor, Line, Pen};
use super::{Drawing, entry_or};

const WIDTH: f64 = 360.0;
/// The supply's rail, the signal wire and ground, from above.
const RAILS: (f64, f64, f64) = (24.0, 90.0, 156.0);
/// Where the input, the pull resistor, the break and the switch stand.
const AT: (f64, f64, f64, f64) = (70.0, 112.0, 172.0, 256.0);
/// Where a level is high and low.
const LEVELS: (f64, f64) = (214.0, 250.0);
/// Where the columns of levels begin, and how wide they are.
const COLUMNS: ([f64; 3], f64) = ([40.0, 140.0, 250.0], 100.0);

fn text<'a>(report: &'a Report, key: &str) -> &'a str {
    match report.found(key) {
        Some(Found::Text(text)) => text,
        _ => "",
    }
}

/// The circuit and its levels.
pub fn draw(report: &Report) -> Option<Drawing> {
    let (released, pressed) = (
        text(report, "level_released"),
        text(report, "level_pressed"),
    );
    let broken = text(report, "broken_wire");
    if released.is_empty() || pressed.is_empty() {
        return None;
    }
    let mut pen = Pen::new(WIDTH);
    circuit(&mut pen, report);
    let names = ["released", "pressed", "wire broken"];
    let after_break = match broken {
        "pressed" => pressed,
        "unsteady" => broken,
        _ => released,
    };
    let seen = [
        report.inputs.choice("seen_released"),
        report.inputs.choice("seen_pressed"),
        "",
    ];
    let (high, low) = LEVELS;
    for (name, y) in [("high", high), ("low", low)] {
        pen.words(Anchor::Start, (4.0, y + 4.0), name);
        pen.line(Line::Grid, (36.0, y), (WIDTH, y));
    }
    let places = |level: &str| match level {
        "high" => Some(high),
        "low" => Some(low),
        _ => None,
    };
    let levels = [released, pressed, after_break];
    for (((name, left), level), seen) in names.into_iter().zip(COLUMNS.0).zip(levels).zip(seen) {
        let right = left + COLUMNS.1;
        let middle = f64::midpoint(left, right);
        pen.words(Anchor::Middle, (middle, high - 18.0), name);
        match places(level) {
            Some(y) => pen.line(Line::Curve, (left, y), (right, y)),
            // It wanders between both.
            None => pen.path(
                Line::Curve,
                (0..=10_i32).map(|i| {
                    let y = if i % 2 == 0 { high + 4.0 } else { low - 4.0 };
                    (left + COLUMNS.1 * f64::from(i) / 10.0, y)
                }),
            ),
        }
        if !seen.is_empty() {
            let y = places(seen).unwrap_or(f64::midpoint(high, low));
            let line = if seen == level {
                Line::Filled
            } else {
                Line::Solid
            };
            pen.circle(line, (middle, y), 5.0);
        }
    }
    if released != pressed
        && let (Some(a), Some(b)) = (places(released), places(pressed))
    {
        let x = COLUMNS.0.get(1).copied().unwrap_or(0.0);
        pen.line(Line::Curve, (x, a), (x, b));
    }
    let words = match (broken, released == pressed) {
        (_, true) => "pressing changes nothing: the switch is never seen",
        ("pressed", _) => "a broken wire reads as pressed: the axis stops",
        ("unsteady", _) => "a broken wire reads as anything",
        _ => "a broken wire reads as released: the axis runs on",
    };
    pen.words(Anchor::Start, (4.0, low + 26.0), words);
    let mut height = low + 34.0;
    if seen.iter().any(|seen| !seen.is_empty()) {
        height += 16.0;
        pen.words(
            Anchor::Start,
            (4.0, low + 42.0),
            "dot: what was seen, hollow where it should not be",
        );
    }
    Some(Drawing {
        svg: pen.finish(),
        width: WIDTH,
        height,
        note: "The switch is drawn released. The cross is where a wire breaks first: in the cable between the switch and the controller.",
    })
}

fn circuit(pen: &mut Pen, report: &Report) {
    let (supply, signal, ground) = RAILS;
    let (input, pull, breaks, switch) = AT;
    for (y, words) in [
        (
            supply,
            ["supply ", &entry_or(report, "supply_volts", "")].concat(),
        ),
        (ground, "ground".into()),
    ] {
        pen.line(Line::Thin, (40.0, y), (320.0, y));
        pen.words(Anchor::Start, (4.0, y - 6.0), &words);
    }
    pen.rect(Line::Solid, (4.0, signal - 18.0), input - 4.0, 36.0);
    pen.words(
        Anchor::Middle,
        (f64::midpoint(4.0, input), signal + 4.0),
        "input",
    );
    pen.line(Line::Thick, (input, signal), (switch, signal));
    let rail = match report.inputs.choice("pull") {
        "up" => Some((supply, "pull-up")),
        "down" => Some((ground, "pull-down")),
        _ => None,
    };
    if let Some((rail, name)) = rail {
        let middle = f64::midpoint(signal, rail);
        pen.line(Line::Thick, (pull, signal), (pull, rail));
        pen.rect(Line::Solid, (pull - 6.0, middle - 16.0), 12.0, 32.0);
        pen.circle(Line::Filled, (pull, signal), 2.5);
        pen.circle(Line::Filled, (pull, rail), 2.5);
        pen.words(Anchor::Start, (pull + 12.0, middle + 4.0), name);
    } else {
        pen.words(Anchor::Start, (input + 6.0, signal - 24.0), "no pull");
    }
    for side in [-1.0, 1.0] {
        pen.line(
            Line::Accent,
            (breaks - 5.0, signal - 5.0 * side),
            (breaks + 5.0, signal + 5.0 * side),
        );
    }
    let contact = report.inputs.choice("contact");
    if matches!(contact, "sensor_low" | "sensor_high") {
        let words = if contact == "sensor_low" {
            "drives low"
        } else {
            "drives high"
        };
        pen.line(Line::Thick, (switch, supply), (switch, ground));
        pen.rect(Line::Solid, (switch - 40.0, signal - 24.0), 80.0, 48.0);
        pen.words(Anchor::Middle, (switch, signal - 4.0), words);
        pen.words(Anchor::Middle, (switch, signal + 12.0), "pressed");
        for y in [supply, ground] {
            pen.circle(Line::Filled, (switch, y), 2.5);
        }
        return;
    }
    let rail = if report.inputs.choice("to") == "supply" {
        supply
    } else {
        ground
    };
    // From the signal to the rail; the blade turns about its end at the rail.
    let way = if rail > signal { 1.0 } else { -1.0 };
    let (near, far) = (signal + 20.0 * way, signal + 46.0 * way);
    pen.line(Line::Thick, (switch, signal), (switch, near));
    pen.line(Line::Thick, (switch, far), (switch, rail));
    pen.circle(Line::Filled, (switch, rail), 2.5);
    let name = if contact == "nc" {
        // It rests against the end of the fixed contact.
        pen.line(Line::Thick, (switch, near), (switch + 9.0, near));
        pen.line(Line::Thick, (switch, far), (switch + 7.0, near - 5.0 * way));
        "NC: opens"
    } else {
        pen.line(
            Line::Thick,
            (switch, far),
            (switch - 14.0, near + 2.0 * way),
        );
        "NO: closes"
    };
    let y = f64::midpoint(near, far);
    pen.words(Anchor::Start, (switch + 14.0, y - 2.0), name);
    pen.words(Anchor::Start, (switch + 14.0, y + 12.0), "when pressed");
}

#[cfg(test)]
mod tests {
    use super::super::trial::{corners, svg};
    use super::LEVELS;

    /// The heights of the drawn levels, in units; 0 for one that wanders.
    fn levels(entries: &[(&str, &str)]) -> Vec<f64> {
        let curves = corners(&svg("switch", entries), "v").into_iter();
        let found = curves.filter_map(|curve| match curve.as_slice() {
            // The step from one level to the other.
            [(from, _), (to, _)] if (to - from).abs() < 0.05 => None,
            [(_, from), (_, to)] if (to - from).abs() < 0.05 => Some(*from),
            _ => Some(0.0),
        });
        found.collect()
    }

    #[test]
    fn every_circuit_has_its_levels() {
        let (high, low) = LEVELS;
        for (contact, pull, to, expected) in [
            ("nc", "up", "ground", [low, high, high]),
            ("no", "up", "ground", [high, low, high]),
            ("no", "down", "supply", [low, high, low]),
            ("nc", "down", "supply", [high, low, low]),
            ("no", "none", "ground", [0.0, low, 0.0]),
            ("nc", "up", "supply", [high, high, high]),
            ("sensor_low", "down", "", [high, low, low]),
            ("sensor_high", "none", "", [low, high, 0.0]),
        ] {
            let mut entries = vec![("contact", contact), ("pull", pull)];
            if !to.is_empty() {
                entries.push(("to", to));
            }
            assert_eq!(levels(&entries), expected, "{entries:?}");
        }
    }

    #[test]
    fn what_a_break_does_is_said_and_what_was_seen_is_marked() {
        let of = |entries: &[(&str, &str)]| svg("switch", entries);
        let safe = [("contact", "nc"), ("pull", "up"), ("to", "ground")];
        assert!(of(&safe).contains("reads as pressed: the axis stops"));
        assert!(of(&[]).contains("reads as released: the axis runs on"));
        assert!(of(&[("pull", "none")]).contains("reads as anything"));
        assert!(!of(&safe).contains("what was seen"));
        let seen = [safe.as_slice(), &[("seen_pressed", "low")]].concat();
        // Low where high should be: a hollow ring.
        assert!(of(&seen).contains("<circle class=s cx=1900 cy=2500"));
        let right = [safe.as_slice(), &[("seen_pressed", "high")]].concat();
        assert!(of(&right).contains("<circle class=f cx=1900 cy=2140"));
    }

    #[test]
    fn long_numbers_stay_on_the_sheet() {
        for volts in ["0.000001", "999.999", "24"] {
            assert!(!svg("switch", &[("supply_volts", volts)]).is_empty());
        }
        assert!(svg("switch", &[("contact", "maybe")]).is_empty());
    }
}
