//! `rate`: what the controller must deliver.

use alloc::string::String;
use alloc::vec::Vec;

use super::declare::{Answer, Check, Field, Sheet, Subject, When, choice, head};
use super::inputs::{Inputs, Row};
use super::outcome::{Cell, Outcome};
use crate::entry::unit::{MM_S, ONE, PER_MM, PER_S, PERCENT};
use crate::motion::rate;

const SEPARATE: When = &[("layout", &["separate"])];
const CROSSED: When = &[("layout", &["crossed"])];

const AXES: &[Field] = &[
    Field::word("name", "Axis"),
    Field::number("steps_per_mm", "Steps per mm", PER_MM)
        .above(0.0, "a machine steps")
        .at_most(1e9, "no controller steps that fine"),
    Field::number("speed", "Highest speed", MM_S)
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e6, "no axis moves faster"),
];

const FIELDS: &[Field] = &[
    Field::rows("axes", "Axes", AXES)
        .help("name, steps per mm, highest speed; with crossed belts the two belts come first"),
    Field::choice(
        "layout",
        "Belts",
        &[
            choice("separate", "Each axis on its own motor"),
            choice("crossed", "Two crossed belts move X and Y (CoreXY)"),
        ],
    ),
    Field::number("limit", "Step rate of the controller, all motors", PER_S)
        .optional()
        .above(0.0, "a controller steps")
        .at_most(1e12, "no controller steps faster")
        .help("what it makes in sum"),
    Field::number(
        "limit_each",
        "Step rate of the controller, each motor",
        PER_S,
    )
    .optional()
    .above(0.0, "a controller steps")
    .at_most(1e12, "no controller steps faster"),
];

const ANSWERS: &[Answer] = &[
    Answer::rows(
        "rates",
        "Highest step rate of each motor",
        &[head("Axis", "", 4), head("Step rate", "1/s", 5)],
    ),
    Answer::number("total", "Highest step rate of all together", PER_S)
        .significant(5)
        .headline()
        .formula("sum over {axes} of speed × steps per mm", "Definition")
        .when(SEPARATE),
    Answer::number("total", "Highest step rate of all together", PER_S)
        .significant(5)
        .headline()
        .formula(
            "path speed × √(2 × (a² + b²)) with the steps per mm a and b of the two belts (2 × speed × a when equal), and speed × steps per mm of the other {axes}",
            "Kinematics of crossed belts: v × (dx + dy) and v × (dx − dy)",
        )
        .when(CROSSED),
    Answer::number("used", "Share of the controller's step rate", PERCENT)
        .headline()
        .formula("{total} ÷ {limit}", "Definition"),
    Answer::number("fit_micro_factor", "Microsteps may change by a factor of", ONE)
        .significant(6)
        .formula("largest power of two within the limits", "Definition"),
];

const CHECKS: &[Check] = &[
    Check {
        id: "limit",
        label: "All motors together",
        measure: PER_S,
        within: "All motors together ask for {value}; the controller makes {limit}.",
        near: "All motors together ask for {value} of the controller's {limit}: little is left.",
        over: "All motors together ask for {value}; the controller makes only {limit}: fewer microsteps, or slower.",
    },
    Check {
        id: "limit_each",
        label: "The fastest motor",
        measure: PER_S,
        within: "The fastest motor asks for {value}; the controller makes {limit}.",
        near: "The fastest motor asks for {value} of the controller's {limit}: little is left.",
        over: "The fastest motor asks for {value}; the controller makes only {limit}: fewer microsteps, or slower.",
    },
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "rate",
    title: "Step rate",
    about: "the steps per second that the controller must make, each motor and all together",
    search: "step rate pulse frequency controller limit microsteps speed crossed belts",
    subject: Subject::Motion,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: &[],
    work,
};

/// One row of the axes.
struct Axis {
    name: String,
    steps_per_mm: f64,
    speed: f64,
}

fn axis(row: &Row) -> Option<Axis> {
    Some(Axis {
        name: String::from(row.word(0)?),
        steps_per_mm: row.num(1)?,
        speed: row.num(2)?,
    })
}

fn work(inputs: &Inputs, out: &mut Outcome) {
    let Some(rows) = inputs.rows("axes") else {
        return;
    };
    let axes: Vec<Axis> = rows.iter().filter_map(axis).collect();
    let alone = |axis: &Axis| axis.speed * axis.steps_per_mm;
    let (mut rates, mut total) = (Vec::with_capacity(axes.len()), 0.0);
    let mut others = axes.as_slice();
    match (inputs.choice("layout"), axes.as_slice()) {
        ("crossed", [a, b, rest @ ..]) => {
            let speed = libm::fmax(a.speed, b.speed);
            for belt in [a, b] {
                rates.push(rate::crossed_motor_rate(speed, belt.steps_per_mm));
            }
            total += rate::crossed_pair_rate(speed, a.steps_per_mm, b.steps_per_mm);
            others = rest;
        }
        ("crossed", _) => {
            out.problem(
                "axes",
                "Axes: enter both belts as the first two rows; crossed belts work as a pair.",
            );
            return;
        }
        ("separate", [_, ..]) => {}
        _ => return,
    }
    rates.extend(others.iter().map(alone));
    total += others.iter().map(alone).sum::<f64>();

    let rows = axes
        .iter()
        .zip(&rates)
        .map(|(axis, rate)| [Cell::Text(axis.name.clone().into()), Cell::number(*rate)].into());
    out.put_rows("rates", rows.collect());
    out.put("total", total);
    let fastest = rates.iter().copied().fold(0.0, libm::fmax);
    let (limit, limit_each) = (inputs.num("limit"), inputs.num("limit_each"));
    out.put("used", limit.map(|limit| 100.0 * total / limit));
    let pairs = [(total, limit), (fastest, limit_each)];
    let pairs = pairs
        .into_iter()
        .filter_map(|(rate, limit)| Some((rate, limit?)));
    out.put("fit_micro_factor", rate::fitting_factor(pairs));
    out.check_at_most("limit", total, limit);
    out.check_at_most("limit_each", fastest, limit_each);
}

#[cfg(test)]
mod tests {
    use super::super::trial::{faults, number, run, state};

    #[test]
    fn separate_axes_add_up() {
        let report = run("rate", &[("axes", "X,80,200;Z,400,10"), ("limit", "25000")]);
        assert!((number(&report, "total") - 20_000.0).abs() < 1e-9);
        assert!((number(&report, "used") - 80.0).abs() < 1e-12);
        assert_eq!(state(&report, "limit"), "near");
        assert!((number(&report, "fit_micro_factor") - 1.0).abs() < 1e-12);
        assert_eq!(state(&report, "limit_each"), "");
    }

    #[test]
    fn crossed_belts_run_as_a_pair() {
        let entries = [
            ("axes", "A,80,150;B,80,200;Z,400,10"),
            ("layout", "crossed"),
            ("limit_each", "20000"),
        ];
        let report = run("rate", &entries);
        assert!((number(&report, "total") - 36_000.0).abs() < 1e-9);
        // One belt's motor reaches sqrt 2 * 16000.
        assert_eq!(state(&report, "limit_each"), "over");
        assert!((number(&report, "fit_micro_factor") - 0.5).abs() < 1e-12);
        let one = run("rate", &[("axes", "A,80,150"), ("layout", "crossed")]);
        assert_eq!(faults(&one), ["axes"]);
    }

    #[test]
    fn a_row_without_speed_is_named() {
        assert_eq!(faults(&run("rate", &[("axes", "X,80,200;Y,80")])), ["axes"]);
        assert!(faults(&run("rate", &[])).is_empty());
    }
}
