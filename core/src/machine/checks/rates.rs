//! The step rates of all axes against the controller.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use super::{Bench, Place, alike, choice, entry};
use crate::sheets::{Report, State, at_most};

impl<'a> Bench<'a> {
    /// The step rates that the axes' own sheets ask for, against each controller.
    pub(super) fn step_rates(&mut self) {
        let controller = self.with("rate").next();
        let axes = self.axes(controller.map(|(_, report)| report));
        let limit_of = |key| controller.and_then(|(_, report)| entry(report, key));
        let place = |key| {
            controller.map(|(part, _)| Place {
                part,
                sheet: "rate",
                key,
            })
        };
        let (each, total) = (limit_of("limit_each"), limit_of("limit"));
        let limited = axes.iter().filter_map(|axis| {
            let own = axis.own_limit.unwrap_or(f64::INFINITY);
            let limit = own.min(each.unwrap_or(f64::INFINITY));
            (limit.is_finite() && axis.part.is_some()).then_some((axis, limit))
        });
        let mut limited: Vec<(&Axis, f64)> = limited.collect();
        limited.sort_by(|(a, most), (b, other)| (b.rate / other).total_cmp(&(a.rate / most)));
        if let Some((worst, limit)) = limited.first() {
            let others = limited
                .iter()
                .skip(1)
                .filter(|(axis, limit)| at_most(axis.rate, *limit) == State::Over);
            let others: Vec<&str> = others.map(|(axis, _)| axis.name).collect();
            let names = if others.is_empty() {
                String::new()
            } else {
                format!(" So do {}.", others.join(", "))
            };
            let mut places = worst.places();
            places.extend(place("limit_each"));
            self.at_most(
                "step_rate",
                worst.part.unwrap_or(0),
                worst.rate,
                *limit,
                &names,
                places,
            );
        }
        if let (Some(total), Some((part, _))) = (total, controller) {
            let sum: f64 = axes.iter().map(|axis| axis.in_sum).sum();
            if !axes.is_empty() {
                let mut places: Vec<Place> = axes.iter().flat_map(Axis::places).collect();
                places.extend(place("limit"));
                self.at_most("step_total", part, sum, total, "", places);
            }
        }
        for axis in &axes {
            if let (Some(part), Some(listed)) = (axis.part, axis.listed)
                && (listed - axis.steps_per_mm).abs() > AGREE * axis.steps_per_mm
            {
                let mut places = axis.places();
                places.splice(0..0, place("axes"));
                self.found(
                    "steps_agree",
                    part,
                    (State::Over, Some(listed), Some(axis.steps_per_mm)),
                    "",
                    places,
                );
            }
        }
    }

    /// The axes by their own sheets, then those that only the controller's list knows.
    fn axes(&self, controller: Option<&'a Report>) -> Vec<Axis<'a>> {
        let rows = controller
            .and_then(|report| report.inputs.rows("axes"))
            .unwrap_or(&[]);
        let mut rows: Vec<(&str, f64, f64)> = rows
            .iter()
            .filter_map(|row| Some((row.word(0)?, row.num(1)?, row.num(2)?)))
            .collect();
        let crossed_list = controller.is_some_and(|report| choice(report, "layout") == "crossed");
        let crossed = |part| {
            self.worked
                .report(part, "headroom")
                .is_some_and(|report| choice(report, "layout") == "crossed")
        };
        let pair = self
            .with("travel")
            .filter(|(part, _)| crossed(*part))
            .count();
        let mut axes = Vec::new();
        for (part, report) in self.with("travel") {
            let Some(steps_per_mm) = report.number("steps_per_mm") else {
                continue;
            };
            let name = self.name(part);
            let row = rows
                .iter()
                .position(|(row, ..)| alike(row, name))
                .map(|at| rows.remove(at));
            let own = SPEEDS
                .iter()
                .filter_map(|sheet| entry(self.worked.report(part, sheet)?, "speed"));
            let Some(speed) = own.chain(row.map(|(.., speed)| speed)).reduce(f64::max) else {
                continue;
            };
            let straight = steps_per_mm * speed;
            // Crossed belts: one motor reaches √2 times the path speed at 45 degrees, both together twice along an axis.
            let (rate, in_sum) = match (crossed(part), pair) {
                (false, _) => (straight, straight),
                (true, 1) => (straight * core::f64::consts::SQRT_2, straight * 2.0),
                (true, _) => (straight * core::f64::consts::SQRT_2, straight),
            };
            axes.push(Axis {
                name,
                part: Some(part),
                steps_per_mm,
                rate,
                in_sum,
                own_limit: self
                    .worked
                    .report(part, "microstep")
                    .and_then(|report| entry(report, "step_limit")),
                listed: row.map(|(_, steps, _)| steps),
            });
        }
        // Belts of a crossed list are no axes of their own when a part stands for both.
        let belts = if crossed_list && pair > 0 { 2 } else { 0 };
        let others = rows.iter().skip(belts.min(rows.len()));
        axes.extend(others.map(|(name, steps_per_mm, speed)| Axis {
            name,
            part: None,
            steps_per_mm: *steps_per_mm,
            rate: steps_per_mm * speed,
            in_sum: steps_per_mm * speed,
            own_limit: None,
            listed: None,
        }));
        axes
    }
}

/// Sheets in which an axis says how fast it shall go.
const SPEEDS: [&str; 4] = ["headroom", "microstep", "screw", "homing"];

/// Two figures that differ by less are the same one, rounded.
const AGREE: f64 = 1e-3;

/// An axis and the steps it asks for.
struct Axis<'a> {
    name: &'a str,
    /// `None` for one that only the controller's list knows.
    part: Option<usize>,
    steps_per_mm: f64,
    /// Highest rate of one motor, 1/s.
    rate: f64,
    /// What it adds when all move at once, 1/s.
    in_sum: f64,
    /// The rate that the controller can give this axis, by the axis' own sheet.
    own_limit: Option<f64>,
    /// Steps per mm by the controller's list.
    listed: Option<f64>,
}

impl Axis<'_> {
    fn places(&self) -> Vec<Place> {
        let place = |(sheet, key)| self.part.map(|part| Place { part, sheet, key });
        [("travel", "steps_per_mm"), ("headroom", "speed")]
            .into_iter()
            .filter_map(place)
            .collect()
    }
}
