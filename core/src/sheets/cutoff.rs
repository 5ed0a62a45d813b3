//! `cutoff`: the fuse that works when all else failed.

use super::declare::{Answer, Caution, Check, Field, Sheet, Subject};
use super::inputs::Inputs;
use super::outcome::{Outcome, State};
use crate::entry::unit::{A, CELSIUS, K_MIN, S, TEMP_DIFF, V};
use crate::heat::cutoff::Cutoff;

/// The temperatures people may ask for.
const COLDEST: f64 = -273.15;
const HOTTEST: f64 = 3000.0;

const FIELDS: &[Field] = &[
    Field::number("normal_max", "Highest temperature in use", CELSIUS)
        .at_least(COLDEST, "nothing is colder")
        .at_most(HOTTEST, "no part stands more")
        .help("what the part reaches at its hottest spot, overshoot included"),
    Field::number("max_allowed", "Highest temperature allowed", CELSIUS)
        .at_least(COLDEST, "nothing is colder")
        .at_most(HOTTEST, "no part stands more")
        .help("where the first thing nearby is damaged, by its data sheet"),
    Field::number("rating", "Rating of the fuse", CELSIUS)
        .optional()
        .at_least(COLDEST, "nothing is colder")
        .at_most(HOTTEST, "no fuse stands more")
        .help("the opening temperature printed on it"),
    Field::number("tolerance", "Tolerance of the fuse, ±", TEMP_DIFF)
        .default("5")
        .at_least(0.0, "a tolerance is a half width")
        .at_most(HOTTEST, "more would be no fuse")
        .help("by its data sheet"),
    Field::number("offset", "Cooler at the fuse by", TEMP_DIFF)
        .default("0")
        .at_least(-HOTTEST, "no part has such differences")
        .at_most(HOTTEST, "no part has such differences")
        .help("how much cooler its place is than the hottest spot"),
    Field::number("rise_rate", "Rise fully on", K_MIN)
        .default("0")
        .at_least(0.0, "a heater that is on does not cool")
        .at_most(1e6, "no heater is faster")
        .carried("heater", "overrun")
        .help("how fast the part warms when its switch has failed on"),
    Field::number("lag", "Lag of the fuse", S)
        .default("0")
        .at_least(0.0, "a fuse follows, it does not lead")
        .at_most(1e6, "no fuse is that late")
        .help("how late it follows its place"),
    Field::number("amps", "Current through the fuse", A)
        .optional()
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e6, "no heater takes more"),
    Field::number("volts", "Voltage the fuse interrupts", V)
        .optional()
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e6, "no heater takes more"),
    Field::number("amps_rated", "Current rating of the fuse", A)
        .optional()
        .above(0.0, "a fuse carries something")
        .at_most(1e6, "no fuse carries more"),
    Field::number("volts_rated", "Voltage rating of the fuse", V)
        .optional()
        .above(0.0, "a fuse interrupts something")
        .at_most(1e6, "no fuse interrupts more")
        .help("of the same kind, direct or alternating"),
];

const PLACE: &str = "Definition: worst case of tolerance, place and lag";

const ANSWERS: &[Answer] = &[
    Answer::number(
        "opens_at",
        "Hottest spot when it has opened, at the latest",
        CELSIUS,
    )
    .fixed(1)
    .headline()
    .formula(
        "{rating} + {tolerance} + {offset} + {lag} × {rise_rate} ÷ (60 s ÷ min)",
        PLACE,
    ),
    Answer::text("verdict", "This fuse will do").headline(),
    Answer::number(
        "rating_min",
        "Lowest rating that stays closed in use",
        CELSIUS,
    )
    .fixed(1)
    .headline()
    .formula("{normal_max} − {offset} + {tolerance}", PLACE),
    Answer::number("rating_max", "Highest rating that opens in time", CELSIUS)
        .fixed(1)
        .headline()
        .formula(
            "{max_allowed} − {tolerance} − {offset} − {lag} × {rise_rate} ÷ (60 s ÷ min)",
            PLACE,
        ),
    Answer::text("possible", "A rating in this place can do"),
    Answer::text("plainly", "Plainly"),
];

const CHECKS: &[Check] = &[
    Check {
        id: "early",
        label: "Opens too early",
        measure: CELSIUS,
        within: "The rating of {limit} leaves room over the {value} that use needs.",
        near: "The rating of {limit} is within 10 K of the {value} that use needs: an overshoot can open it.",
        over: "Use needs a rating of {value}; this fuse of {limit} opens in normal work.",
    },
    Check {
        id: "late",
        label: "Opens too late",
        measure: CELSIUS,
        within: "The hottest spot reaches {value} at the most, below the {limit} allowed.",
        near: "The hottest spot reaches {value} at the most, within 10 K of the {limit} allowed.",
        over: "The hottest spot reaches {value} before the fuse has opened; only {limit} is allowed.",
    },
    Check {
        id: "amps",
        label: "Current through the fuse",
        measure: A,
        within: "{value} of the fuse's {limit}.",
        near: "{value} of the fuse's {limit}: its own heat makes it open early.",
        over: "{value} is over the fuse's {limit}: its contacts weld or it opens early.",
    },
    Check {
        id: "volts",
        label: "Voltage at the fuse",
        measure: V,
        within: "{value} of the fuse's {limit}.",
        near: "{value} of the fuse's {limit}.",
        over: "{value} is over the fuse's {limit}: the arc may not go out when it opens.",
    },
];

const CAUTIONS: &[Caution] = &[
    Caution::always(
        "independent",
        "A cut-off that the controller switches fails with the controller.",
        "Wire it in series with the heater itself, clamped to the heated part, with nothing in between that could keep it closed.",
    ),
    Caution::always(
        "crimped",
        "Solder's heat opens or spoils a thermal fuse, and solder lets go when it works.",
        "Crimp it (common practice), sleeve it against shorts, and follow its data sheet; at mains voltage leave it to a licensed electrician and the local code.",
    ),
    Caution::raised(
        "impossible",
        "In this place no rating both stays closed in use and opens in time.",
        "Move the fuse closer to the hottest spot, choose a faster or closer one, or a weaker heater.",
    ),
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "cutoff",
    title: "Thermal fuse",
    about: "which rating stays closed in use and still opens before anything is damaged",
    search: "thermal fuse cutoff cut-off overheating protection tco safety fire",
    subject: Subject::Heat,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: CAUTIONS,
    work,
};

/// Closer to a limit than this counts as near, K.
const NEAR_K: f64 = 10.0;

/// Rounding of sums of such temperatures, K: what is equal on paper is equal here.
const ROUNDING_K: f64 = 1e-9;

fn work(inputs: &Inputs, out: &mut Outcome) {
    let rating = inputs.num("rating");
    let (normal, allowed) = (inputs.num("normal_max"), inputs.num("max_allowed"));
    if let (Some(tolerance_k), Some(offset_k), Some(rise_k_per_min), Some(lag_s)) = (
        inputs.num("tolerance"),
        inputs.num("offset"),
        inputs.num("rise_rate"),
        inputs.num("lag"),
    ) {
        let cutoff = Cutoff {
            tolerance_k,
            offset_k,
            rise_k_per_min,
            lag_s,
        };
        let least = normal.map(|normal| cutoff.rating_min_c(normal));
        let most = allowed.map(|allowed| cutoff.rating_max_c(allowed));
        let opens = rating.map(|rating| cutoff.opens_at_c(rating));
        out.put("rating_min", least);
        out.put("rating_max", most);
        out.put("opens_at", opens);
        check_within(out, "early", least, rating);
        check_within(out, "late", opens, allowed);
        if let (Some(least), Some(most)) = (least, most) {
            judge(out, least, most, rating);
        }
    }
    out.check_at_most("amps", inputs.num("amps"), inputs.num("amps_rated"));
    out.check_at_most("volts", inputs.num("volts"), inputs.num("volts_rated"));
}

/// Whether this rating, or any, will do.
fn judge(out: &mut Outcome, least: f64, most: f64, rating: Option<f64>) {
    let possible = least <= most + ROUNDING_K;
    out.put_yes("possible", possible);
    if let Some(rating) = rating {
        let fits = least <= rating + ROUNDING_K && rating <= most + ROUNDING_K;
        out.put_yes("verdict", fits);
    }
    if !possible {
        out.caution("impossible");
        out.put_text(
            "plainly",
            "No rating can do here: what stays closed in use opens too late. Move the fuse closer to the hottest spot.",
        );
    }
}

/// `value` must not exceed `limit`; near within 10 K.
fn check_within(out: &mut Outcome, id: &'static str, value: Option<f64>, limit: Option<f64>) {
    if let (Some(value), Some(limit)) = (value, limit) {
        let state = if value > limit + ROUNDING_K {
            State::Over
        } else if value >= limit - NEAR_K - ROUNDING_K {
            State::Near
        } else {
            State::Within
        };
        out.check(id, state, value, limit);
    }
}

#[cfg(test)]
mod tests {
    use super::super::outcome::Found;
    use super::super::report::Report;
    use super::*;

    fn run(pairs: &[(&str, &str)]) -> Report {
        SHEET.run(&pairs.iter().copied().collect())
    }

    fn state(report: &Report, id: &str) -> Option<State> {
        let mut checks = report.checks.iter();
        checks.find(|c| c.check.id == id).map(|c| c.state)
    }

    fn text<'a>(report: &'a Report, key: &str) -> Option<&'a str> {
        match report.found(key) {
            Some(Found::Text(text)) => Some(text),
            _ => None,
        }
    }

    /// A bed of 110 °C in use that may reach 150 °C.
    fn bed(rating: &str) -> Report {
        run(&[
            ("normal_max", "110"),
            ("max_allowed", "150"),
            ("rating", rating),
            ("offset", "8"),
            ("rise_rate", "12"),
            ("lag", "20"),
        ])
    }

    #[test]
    fn ratings_between_the_two_bounds_will_do() {
        for (rating, verdict, early, late) in [
            ("106", "no", State::Over, State::Within),
            ("107", "yes", State::Near, State::Within),
            ("117", "yes", State::Near, State::Within),
            ("118", "yes", State::Within, State::Within),
            ("122.9", "yes", State::Within, State::Within),
            ("123", "yes", State::Within, State::Near),
            ("133", "yes", State::Within, State::Near),
            ("134", "no", State::Within, State::Over),
        ] {
            let report = bed(rating);
            assert_eq!(text(&report, "verdict"), Some(verdict), "{rating}");
            assert_eq!(state(&report, "early"), Some(early), "{rating}");
            assert_eq!(state(&report, "late"), Some(late), "{rating}");
            assert_eq!(text(&report, "possible"), Some("yes"));
        }
        assert!(
            bed("130")
                .number("opens_at")
                .is_some_and(|c| (c - 147.0).abs() < 1e-9)
        );
    }

    #[test]
    fn a_place_too_far_away_has_no_rating() {
        let report = run(&[("normal_max", "110"), ("max_allowed", "115")]);
        assert_eq!(text(&report, "possible"), Some("no"));
        assert_eq!(text(&report, "verdict"), None);
        assert!(report.cautions.iter().any(|c| c.id == "impossible"));
    }

    #[test]
    fn blanks_leave_the_rest_standing() {
        let report = run(&[("max_allowed", "150"), ("rating", "140")]);
        assert_eq!(report.number("rating_min"), None);
        assert!(
            report
                .number("rating_max")
                .is_some_and(|c| (c - 145.0).abs() < 1e-9)
        );
        assert_eq!(state(&report, "early"), None);
        assert_eq!(state(&report, "late"), Some(State::Near));
        assert_eq!(text(&report, "verdict"), None);
        assert!(report.problems.is_empty());
    }

    #[test]
    fn current_and_voltage_are_held_to_the_rating() {
        let report = run(&[
            ("amps", "8"),
            ("amps_rated", "10"),
            ("volts", "24"),
            ("volts_rated", "16"),
        ]);
        assert_eq!(state(&report, "amps"), Some(State::Near));
        assert_eq!(state(&report, "volts"), Some(State::Over));
        assert!(run(&[("amps", "8")]).checks.is_empty());
    }

    #[test]
    fn differences_take_fahrenheit_without_its_zero() {
        let report = run(&[("normal_max", "110"), ("tolerance", "9 °F")]);
        assert!(
            report
                .number("rating_min")
                .is_some_and(|c| (c - 115.0).abs() < 1e-9)
        );
    }
}
