//! `supply`: power budget.

use alloc::borrow::Cow;
use alloc::string::String;
use alloc::vec;
use alloc::vec::Vec;

use super::declare::{Answer, Caution, Check, Field, Sheet, Subject, head};
use super::inputs::Inputs;
use super::outcome::{Cell, Outcome};
use crate::entry::unit::{A, PERCENT, V, W};
use crate::power::budget::{MOST_LOADS, first_fit, fits, full_sets};

const FIELDS: &[Field] = &[
    Field::rows(
        "loads",
        "Loads",
        &[
            Field::word("name", "Name"),
            Field::either_with_unit("load", "Power or current", &[W, A])
                .at_least(0.0, "a load takes power")
                .at_most(1e6, "no supply carries more"),
            Field::number("duty", "Duty", PERCENT)
                .at_least(0.0, "a share of the time")
                .at_most(100.0, "no load is on for longer than all the time")
                .help("share of the time it is on"),
        ],
    )
    .help(
        "each load with its power or current, as 40 W or 2 A, and the share of the time it is on",
    ),
    Field::number("volts", "Supply voltage", V)
        .above(0.0, "a supply has a voltage")
        .at_most(1e6, "no supply gives more")
        .usual(3.0, 60.0, "supplies of such machines"),
    Field::number("rated", "Rated current of the supply", A)
        .above(0.0, "a supply gives something")
        .at_most(1e6, "no supply gives more")
        .help("by its data sheet, at the temperature it will have"),
    Field::number("derate", "Share of the rating to use", PERCENT)
        .default("80")
        .above(0.0, "none of it would carry nothing")
        .at_most(100.0, "the rating is the most it gives")
        .help("supplies run longer and cooler below their rating; common practice is 80 %"),
];

const NAMES: &[super::declare::Head] = &[head("On together", "", 1)];
const SUM: &str = "Definition";

const ANSWERS: &[Answer] = &[
    Answer::number("total", "Everything on at once", W)
        .headline()
        .formula("sum of the loads; a load in A × {volts}", SUM),
    Answer::number("average", "Average power", W)
        .formula("sum of each load × its share of the time", SUM),
    Answer::number("amps", "Current with everything on", A).formula("{total} ÷ {volts}", SUM),
    Answer::number("used", "Used, of the derated supply", PERCENT)
        .significant(3)
        .headline()
        .formula(
            "{amps} ÷ ({rated} × {derate})",
            "Definition; derating is common practice",
        ),
    Answer::number("left", "Left over", W)
        .headline()
        .formula("{volts} × {rated} × {derate} − {total}", SUM),
    Answer::rows("sets", "What may be on together", NAMES),
    Answer::rows("staged", "In turn, one group at a time", NAMES),
    Answer::text("too_big", "Too big for this supply, even alone"),
];

const CHECKS: &[Check] = &[Check {
    id: "total",
    label: "All loads against the derated supply",
    measure: W,
    within: "All loads take {value} of the {limit} that the supply should carry.",
    near: "All loads take {value} of the {limit} that the supply should carry: little is left.",
    over: "All loads take {value}, more than the {limit} that the supply should carry. Heating in turn helps only if the controller keeps the groups from being on at once.",
}];

const CAUTIONS: &[Caution] = &[
    Caution::always(
        "mains",
        "The mains side of a supply kills, also for a while after it is unplugged.",
        "Leave mains wiring to a licensed electrician and the local code: earth the frame, fuse the inlet, cover the terminals.",
    ),
    Caution::always(
        "inrush",
        "Cold heaters, motors that start and charging capacitors take more than their rated power for a moment.",
        "Keep room for that; read the supply's data sheet for its peak rating, and measure the warm supply.",
    ),
    Caution::raised(
        "overloaded",
        "An overloaded supply overheats, or drops out and lets go of every axis at once.",
        "Fit a larger supply, or have the controller lock the groups against each other before all is switched on.",
    ),
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "supply",
    title: "Supply",
    about: "whether the supply carries everything at once, and if not, what may be on together",
    search: "psu power supply budget watts amps derating load staged heaters",
    subject: Subject::Power,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: CAUTIONS,
    work,
};

/// The most sets that are listed: nobody reads more.
const MOST_SETS: usize = 500;

/// One load of the list.
struct Load<'a> {
    name: &'a str,
    watts: f64,
    /// Share of the time, 0 to 1.
    duty: f64,
}

fn work(inputs: &Inputs, out: &mut Outcome) {
    let volts = inputs.num("volts");
    let Some(loads) = loads(inputs, volts) else {
        return;
    };
    let total: f64 = loads.iter().map(|load| load.watts).sum();
    out.put("total", total);
    out.put(
        "average",
        loads.iter().map(|load| load.watts * load.duty).sum::<f64>(),
    );
    out.put("amps", volts.map(|volts| total / volts));
    let (Some(volts), Some(rated), Some(derate)) =
        (volts, inputs.num("rated"), inputs.num("derate"))
    else {
        return;
    };
    let capacity = volts * rated * derate / 100.0;
    out.put("used", 100.0 * total / capacity);
    out.put("left", capacity - total);
    out.check_at_most("total", total, capacity);
    if !fits(total, capacity) {
        out.caution("overloaded");
    }
    share(out, &loads, capacity, fits(total, capacity));
}

/// The loads in watt; `None` while a load in ampere waits for the voltage.
fn loads<'a>(inputs: &'a Inputs, volts: Option<f64>) -> Option<Vec<Load<'a>>> {
    let rows = inputs.rows("loads")?.iter();
    rows.map(|row| {
        let watts = match row.either(1)? {
            (0, watts) => watts,
            (_, amps) => amps * volts?,
        };
        Some(Load {
            name: row.word(0)?,
            watts,
            duty: row.num(2)? / 100.0,
        })
    })
    .collect()
}

/// Which loads may be on together, and in which groups they take turns.
fn share(out: &mut Outcome, loads: &[Load], capacity: f64, all_fit: bool) {
    // Most first; equal ones as typed.
    let mut falling: Vec<(usize, f64)> = Vec::new();
    for (i, load) in loads.iter().enumerate() {
        let place = falling.partition_point(|(_, watts)| *watts >= load.watts);
        falling.insert(place, (i, load.watts));
    }
    let watts: Vec<f64> = falling.iter().map(|(_, watts)| *watts).collect();
    let name = |i: usize| loads.get(i).map_or("", |load| load.name);

    let (mut sums, mut sets): (Vec<f64>, Vec<Vec<Cell>>) = Default::default();
    full_sets(&watts, capacity, &mut |mask| {
        // The names in the order typed.
        let (mut sum, mut set) = (0.0, Vec::new());
        for i in 0..loads.len() {
            let on = |(bit, (j, _)): (usize, &(usize, f64))| *j == i && mask >> bit & 1 == 1;
            if falling.iter().enumerate().any(on) {
                sum += loads.get(i).map_or(0.0, |load| load.watts);
                set.push(named(name(i)));
            }
        }
        let place = sums.partition_point(|other| *other >= sum);
        sums.insert(place, sum);
        sets.insert(place, set);
        sets.len() <= MOST_SETS
    });
    if loads.len() > MOST_LOADS || sets.len() > MOST_SETS {
        out.warn(
            "loads",
            "Loads: so many can be combined in too many ways to list; join those that are always on together.",
        );
    } else if !sets.is_empty() {
        out.put_rows("sets", sets);
    }

    let (mut group, mut sums) = (vec![None; watts.len()], vec![0.0; watts.len()]);
    let groups = first_fit(&watts, capacity, &mut group, &mut sums);
    let mut staged = vec![Vec::new(); groups];
    let mut too_big = String::new();
    for ((i, _), group) in falling.iter().zip(group) {
        match group.and_then(|group| staged.get_mut(group)) {
            Some(row) => row.push(named(name(*i))),
            None => {
                if !too_big.is_empty() {
                    too_big.push_str(", ");
                }
                too_big.push_str(name(*i));
            }
        }
    }
    if !all_fit && groups > 0 {
        out.put_rows("staged", staged);
    }
    if !too_big.is_empty() {
        out.put_text("too_big", too_big);
    }
}

fn named(name: &str) -> Cell {
    Cell::Text(Cow::Owned(String::from(name)))
}

#[cfg(test)]
mod tests {
    use super::super::outcome::{Found, State};
    use super::super::report::Report;
    use super::*;

    fn run(loads: &str, volts: &str, rated: &str) -> Report {
        let pairs = [("loads", loads), ("volts", volts), ("rated", rated)];
        SHEET.run(&pairs.into_iter().collect())
    }

    /// Rows of names as one text: "bed fan|hot end".
    fn rows(report: &Report, key: &str) -> Option<String> {
        let Some(Found::Rows(rows)) = report.found(key) else {
            return None;
        };
        let name = |cell: &Cell| match cell {
            Cell::Text(text) => String::from(text.as_ref()),
            _ => panic!("a name"),
        };
        let rows: Vec<String> = rows
            .iter()
            .map(|row| row.iter().map(name).collect::<Vec<_>>().join(" "))
            .collect();
        Some(rows.join("|"))
    }

    const HEATERS: &str = "bed,200 W,40;hot,2 A,60;fan,0.2 A,100";

    #[test]
    fn watts_and_amperes_add_up() {
        let report = run(HEATERS, "24", "15");
        let is = |key, expected: f64| {
            let found = report.number(key);
            assert!(
                found.is_some_and(|x| (x - expected).abs() < 1e-9),
                "{key} {found:?}"
            );
        };
        is("total", 252.8);
        is("average", 80.0 + 28.8 + 4.8);
        is("amps", 252.8 / 24.0);
        is("used", 100.0 * 252.8 / 288.0);
        is("left", 35.2);
        assert_eq!(rows(&report, "sets").as_deref(), Some("bed hot fan"));
        assert_eq!(rows(&report, "staged"), None);
        assert!(report.found("too_big").is_none());
        assert!(report.checks.iter().all(|c| c.state == State::Near));
    }

    #[test]
    fn what_does_not_fit_at_once_is_staged() {
        // 192 W: bed and fan alone do not fit; 240 W: they do.
        let report = run(HEATERS, "24", "12.5");
        assert_eq!(rows(&report, "sets").as_deref(), Some("bed fan|hot fan"));
        assert_eq!(rows(&report, "staged").as_deref(), Some("bed fan|hot"));
        assert!(
            report
                .number("left")
                .is_some_and(|w| (w + 12.8).abs() < 1e-9)
        );
        assert!(report.checks.iter().all(|c| c.state == State::Over));
        assert!(report.cautions.iter().any(|c| c.id == "overloaded"));
    }

    #[test]
    fn a_load_too_big_alone_is_named_and_in_no_group() {
        let report = run(HEATERS, "24", "10");
        assert_eq!(rows(&report, "sets").as_deref(), Some("hot fan"));
        assert_eq!(rows(&report, "staged").as_deref(), Some("hot fan"));
        assert_eq!(report.found("too_big"), Some(&Found::Text("bed".into())));
        let report = run("bed,200 W,40", "24", "1");
        assert_eq!(rows(&report, "sets"), None);
        assert_eq!(rows(&report, "staged"), None);
    }

    #[test]
    fn many_loads_are_answered_but_not_combined() {
        let loads: Vec<String> = (0..30)
            .map(|i| alloc::format!("load {i},{} W,50", 10 + i))
            .collect();
        let report = run(&loads.join(";"), "24", "10");
        assert!(
            report
                .number("total")
                .is_some_and(|w| (w - 735.0).abs() < 1e-9)
        );
        assert_eq!(rows(&report, "sets"), None);
        assert!(rows(&report, "staged").is_some());
        assert!(report.warnings.iter().any(|w| w.field == "loads"));
    }

    #[test]
    fn bad_rows_and_a_supply_of_no_volts_are_told_so() {
        for loads in [
            "bed,200,40",
            "bed,200 W",
            "bed,200 W,140",
            "bed,-5 W,50",
            ",200 W,40",
            "bed,200 W,40,7",
        ] {
            let report = run(loads, "24", "10");
            assert!(
                report.problems.iter().all(|p| p.field == "loads"),
                "{loads}"
            );
            assert_eq!(report.problems.len(), 1, "{loads}");
        }
        let report = run(HEATERS, "0", "10");
        assert!(report.problems.iter().all(|p| p.field == "volts"));
        assert_eq!(report.number("total"), None);
        assert!(run("bed,200 W,40", "", "10").number("total").is_some());
    }
}
