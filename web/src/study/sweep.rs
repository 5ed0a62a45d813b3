//! The sweep that is asked for, drawn.

use layshaft_core::entry::write::write_shortest;
use layshaft_core::sheets::declare::{Head, Scale, head};
use layshaft_core::sheets::{Cell, Kind, Report};
use layshaft_core::study::sweep::Sweep;

use crate::chart::{Chart, chart};
use crate::drawing::Marks;
use crate::markup::Markup;

/// A sweep as it is shown.
pub struct Drawn {
    /// The chart.
    pub chart: Chart,
    /// Entry, answer, and the limit of its check where there is one.
    pub heads: Vec<Head>,
    /// The rows of the chart and of the table.
    pub rows: Vec<Vec<Cell>>,
    /// The row at today's value.
    pub today: usize,
}

impl Drawn {
    /// What those hear who cannot see it.
    pub fn label(&self) -> &'static str {
        self.heads.get(1).map_or("", |head| head.label)
    }
}

/// `ENTRY:FROM:TO` in its parts, with the ends that are blank written out: half and twice today's value, within the limits.
pub fn range(report: &Report, asked: &str) -> [String; 3] {
    let mut parts = asked.splitn(3, ':').map(str::trim);
    let mut part = || parts.next().unwrap_or("");
    let (key, from, to) = (part(), part(), part());
    let [low, high] = usual(report, key);
    let end = |typed: &str, usual: f64| {
        if typed.is_empty() && !key.is_empty() {
            write_shortest(usual, 4)
        } else {
            typed.into()
        }
    };
    [key.into(), end(from, low), end(to, high)]
}

/// Where an entry is looked at unless it is said.
fn usual(report: &Report, key: &str) -> [f64; 2] {
    let Some((place, field)) = report.inputs.place(key) else {
        return [0.0, 1.0];
    };
    let today = report.stand_in(key).or_else(|| report.inputs.num(key));
    let [low, high] = match (field.kind, today, field.limits.usual) {
        (Kind::PowerOfTwo, ..) => [1.0, 256.0],
        (_, Some(today), _) if today != 0.0 => {
            // What comes in decades is looked at over two of them.
            let wide = if report.inputs.measure_at(place).unit.symbol == "ohm" {
                10.0
            } else {
                2.0
            };
            let (a, b) = (today / wide, today * wide);
            [a.min(b), a.max(b)]
        }
        (_, _, Some((low, high, _))) => [low, high],
        _ => [1.0, 10.0],
    };
    let whole = matches!(field.kind, Kind::Count);
    let tidy = |x: f64, round: fn(f64) -> f64| if whole { round(x) } else { x };
    [
        tidy(low, libm::ceil).max(
            field
                .limits
                .least
                .map_or(f64::NEG_INFINITY, |limit| limit.value),
        ),
        tidy(high, libm::floor).min(field.limits.most.map_or(f64::INFINITY, |limit| limit.value)),
    ]
}

/// A sweep as it is shown, or why it is not.
pub fn draw(report: &Report, pinned: Option<&Report>, swept: &Sweep) -> (Option<Drawn>, String) {
    let mut out = Markup::default();
    let key = swept.field.key;
    let unit = swept.answer_measure.unit.symbol;
    let mut heads = vec![
        head(swept.field.label, swept.entry_measure.unit.symbol, 6),
        head(swept.answer.label, unit, 5),
    ];
    if swept.check.is_some() {
        heads.push(head("Limit", unit, 5));
    }
    let rows: Vec<Vec<Cell>> = swept
        .rows
        .iter()
        .zip(&swept.limits)
        .map(|(&(x, y), &limit)| {
            let mut row = vec![Cell::Number(x), Cell::number(y)];
            if swept.check.is_some() {
                row.push(Cell::number(limit));
            }
            row
        })
        .collect();
    let value = |report: &Report| report.stand_in(key).or_else(|| report.inputs.num(key));
    let today = value(report);
    let marks = Marks {
        at: today.map(|x| (x, "today")),
        decades: swept.logarithmic,
        limit: swept.check.map_or(0, |_| 2),
        pinned: pinned.and_then(|pinned| value(pinned).zip(pinned.number(swept.answer.key))),
        ..Marks::default()
    };
    let Some(chart) = chart(&heads, &rows, Scale::Linear, &marks)
        .filter(|_| swept.rows.iter().any(|(_, y)| y.is_some()))
    else {
        out.raw("<p class=why>").words(swept.answer.label);
        out.raw(" has no value between these ends; fill in the other entries first, or choose other ends.</p>");
        return (None, out.finish());
    };
    if swept.rows.iter().any(|(_, y)| y.is_none()) {
        out.raw("<p class=tie>Where the line is broken there is no answer.</p>");
    }
    let near = chart.mark.map_or(0, |x| chart.nearest(x));
    let drawn = Drawn {
        chart,
        heads,
        rows,
        today: near,
    };
    (Some(drawn), out.finish())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trial::report;
    use layshaft_core::study::sweep::sweep;

    fn drawn(report: &Report, pinned: Option<&Report>) -> (Option<Drawn>, String) {
        let range = range(report, report.entries.get("sweep").unwrap_or("")).join(":");
        let of = report.entries.get("of").unwrap_or("");
        draw(
            report,
            pinned,
            &sweep(report, &range, of).expect("it is asked well"),
        )
    }

    #[test]
    fn blank_ends_are_half_and_twice_todays_value() {
        let travel = report("travel", &[("pitch", "2"), ("teeth", "21")]);
        assert_eq!(range(&travel, "pitch::"), ["pitch", "1", "4"]);
        assert_eq!(range(&travel, "teeth::"), ["teeth", "11", "42"]);
        assert_eq!(range(&travel, "micro::"), ["micro", "1", "256"]);
        assert_eq!(range(&travel, "pitch:1.5:3"), ["pitch", "1.5", "3"]);
        assert_eq!(range(&travel, ""), ["", "", ""]);
    }

    #[test]
    fn a_sweep_has_today_the_limit_and_the_other_design() {
        let entries = |load| {
            [
                ("turn_travel", "40"),
                ("hold_torque", "0.4"),
                ("load_torque", load),
                ("sweep", "load_torque:0.05:0.6"),
                ("of", "lag"),
            ]
        };
        let pinned = report("microstep", &entries("0.3"));
        let (drawn, words) = drawn(&report("microstep", &entries("0.1")), Some(&pinned));
        let drawn = drawn.expect("it is drawn");
        // Beyond the holding torque there is no lag.
        assert!(words.contains("no answer"), "{words}");
        for mark in [">today</text>", ">pinned</text>"] {
            assert!(drawn.chart.svg.contains(mark), "{}", drawn.chart.svg);
        }
        assert_eq!(drawn.rows.len(), 65);
    }

    #[test]
    fn an_answer_that_a_check_compares_has_its_limit_drawn() {
        let entries = [
            ("rated", "1.5"),
            ("resistance", "1.6"),
            ("supply", "24"),
            ("set", "1"),
            ("mount_limit", "60"),
            ("sweep", "set::"),
            ("of", "motor_temp"),
        ];
        let (drawn, words) = drawn(&report("current", &entries), None);
        let drawn = drawn.expect(&words);
        assert!(
            drawn.chart.svg.contains(">Limit</text>"),
            "{}",
            drawn.chart.svg
        );
        assert_eq!(drawn.heads.len(), 3);
    }
}
