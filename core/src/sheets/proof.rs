//! `proof`: did it measure up?

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use super::declare::{Answer, Field, Scale, Sheet, Subject, choice, head};
use super::inputs::{Inputs, Row};
use super::outcome::Outcome;
use crate::entry::unit::{MM, ONE, PER_MM};
use crate::entry::write::{write_shortest, write_significant};
use crate::measure::line::{Line, Reading};
use crate::measure::student::{readings_for, t95};

const FIELDS: &[Field] = &[
    Field::rows(
        "readings",
        "Readings",
        &[
            Field::number("commanded", "Asked", MM)
                .at_least(-1e6, "no axis is that long")
                .at_most(1e6, "no axis is that long"),
            Field::number("measured", "Found", MM)
                .at_least(-1e6, "no axis is that long")
                .at_most(1e6, "no axis is that long"),
            Field::choice(
                "direction",
                "Going",
                &[
                    choice("plus", "up"),
                    choice("minus", "down"),
                ],
            )
            .optional(),
        ],
    )
    .help("five places or more over the whole axis; approach some going up, some going down to see the backlash"),
    Field::number("resolution", "One step of the display", MM)
        .at_least(0.0, "a display has steps or is read without")
        .at_most(100.0, "no instrument is that coarse")
        .help("0.01 mm for most calipers, 1 mm for a ruler"),
    Field::number("accuracy", "Accuracy of the instrument, ±", MM)
        .at_least(0.0, "an accuracy is a half width")
        .at_most(100.0, "no instrument is that bad")
        .help("by its data sheet; 0.03 mm for most calipers (common practice)"),
    Field::number("steps_per_mm", "Steps per mm now", PER_MM)
        .above(0.0, "a machine steps")
        .at_most(1e9, "no controller steps that fine")
        .carried("travel", "steps_per_mm"),
    Field::number("turn_travel", "Travel per motor turn now", MM)
        .above(0.0, "a turn moves the axis")
        .at_most(1e6, "no turn moves an axis that far")
        .carried("travel", "turn_travel")
        .help("in place of the steps"),
    Field::number("tolerance", "Error to put up with", MM)
        .default("0.1")
        .at_least(0.0, "an error has a size")
        .at_most(1e6, "no axis is that long"),
    Field::number("span", "Over a length of", MM)
        .default("100")
        .above(0.0, "an error builds up over a length")
        .at_most(1e6, "no axis is that long"),
    Field::choice(
        "drive",
        "Drive",
        &[
            choice("belt", "Toothed belt"),
            choice("screw", "Lead screw"),
            choice("roller", "Roller, as for filament"),
        ],
    )
    .optional(),
];

const REGRESSION: &str = "Linear regression by least squares, textbooks of statistics; one slope, an offset for each direction";
const QUOTIENT: &str = "GUM (JCGM 100:2008) 5.1.2";
const GUM: &str =
    "GUM (JCGM 100:2008): Student's t for the scatter (G.3), rectangular accuracy (4.3.7), 95 %";

const ANSWERS: &[Answer] = &[
    Answer::number("scale", "Measured over asked", ONE)
        .significant(6)
        .headline()
        .formula("slope of measured over asked", REGRESSION),
    Answer::number("scale_u", "Uncertainty of that, ± (95 %)", ONE)
        .significant(2)
        .headline()
        .formula(
            "√((t × standard error)² + (1.96 × √2 × {accuracy} ÷ √3 ÷ range asked)²)",
            GUM,
        ),
    Answer::number("offset", "Offset", MM).fixed(3).formula(
        "intercept; with both directions the mean of both",
        REGRESSION,
    ),
    Answer::number("offset_u", "Uncertainty of the offset, ± (95 %)", MM)
        .significant(2)
        .formula("√((t × standard error)² + (1.96 × {accuracy} ÷ √3)²)", GUM),
    Answer::text("verdict", "Verdict").headline(),
    Answer::number("corrected_steps_per_mm", "Steps per mm, corrected", PER_MM)
        .significant(7)
        .headline()
        .formula("{steps_per_mm} ÷ {scale}", "Definition"),
    Answer::number(
        "corrected_steps_per_mm_u",
        "Uncertainty of the corrected steps, ± (95 %)",
        PER_MM,
    )
    .significant(2)
    .formula("{corrected_steps_per_mm} × {scale_u} ÷ {scale}", QUOTIENT),
    Answer::number(
        "corrected_turn_travel",
        "Travel per motor turn, corrected",
        MM,
    )
    .significant(7)
    .formula("{turn_travel} × {scale}", "Definition"),
    Answer::number(
        "corrected_turn_travel_u",
        "Uncertainty of the corrected travel, ± (95 %)",
        MM,
    )
    .significant(2)
    .formula("{turn_travel} × {scale_u}", QUOTIENT),
    Answer::number("backlash", "Backlash", MM).fixed(3).formula(
        "distance between the offsets of both directions",
        REGRESSION,
    ),
    Answer::number("outlier", "Reading to take again", ONE)
        .fixed(0)
        .formula(
            "the one farthest off, where chance explains it in under 1 of 20 cases",
            "Externally studentized residual, Bonferroni's correction; Cook and Weisberg (1982), 2.2.2, from memory",
        ),
    Answer::text("why", "Why"),
    Answer::text("next", "Next"),
    Answer::curve(
        "curve",
        "What the line does not explain",
        &[head("Asked", "mm", 5), head("Off the line", "mm", 3)],
        Scale::Linear,
    ),
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "proof",
    title: "Proof",
    about: "did the axis move as far as it was told, and is a correction proven",
    search: "calibrate calibration steps per mm measure caliper backlash verify test uncertainty",
    subject: Subject::Proof,
    fields: FIELDS,
    answers: ANSWERS,
    checks: &[],
    cautions: &[],
    work,
};

/// Factor of a normal distribution for 95 %.
const NORMAL_95: f64 = 1.96;

/// How sure slope and offset are, half widths for 95 %.
struct Sure {
    /// t times the standard errors of slope and offset.
    scatter: (f64, f64),
    /// 1.96 times the standard uncertainties from the instrument.
    instrument: (f64, f64),
    /// From the first place asked to the last.
    range: f64,
    /// The least that a reading scatters.
    least: f64,
}

impl Sure {
    /// `None` without degrees of freedom or while the instrument is not described.
    fn of(line: &Line, readings: &[Reading], inputs: &Inputs) -> Option<Self> {
        let t = t95(line.freedom)?;
        let resolution = inputs.num("resolution")?;
        let accuracy = inputs.num("accuracy")?;
        let least = resolution / libm::sqrt(12.0);
        let deviation = libm::fmax(line.deviation()?, least);
        let (slope, offset) = line.errors(deviation);
        let places = readings.iter().map(|reading| reading.x);
        let high = places.clone().fold(f64::NEG_INFINITY, libm::fmax);
        let low = places.fold(f64::INFINITY, libm::fmin);
        let rectangular = accuracy / libm::sqrt(3.0);
        Some(Self {
            scatter: (t * slope, t * offset),
            instrument: (
                NORMAL_95 * core::f64::consts::SQRT_2 * rectangular / (high - low),
                NORMAL_95 * rectangular,
            ),
            range: high - low,
            // Lengths of metres are written to a millionth of a millimetre at best.
            least: libm::fmax(least, 1e-6),
        })
    }

    fn scale(&self) -> f64 {
        libm::hypot(self.scatter.0, self.instrument.0)
    }

    fn offset(&self) -> f64 {
        libm::hypot(self.scatter.1, self.instrument.1)
    }
}

/// What to do about the scale.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Verdict {
    Change,
    Leave,
    MeasureMore,
}

impl Verdict {
    const fn word(self) -> &'static str {
        match self {
            Self::Change => "change",
            Self::Leave => "leave",
            Self::MeasureMore => "measure_more",
        }
    }

    /// From the error and its uncertainty over the span, and what is put up with.
    fn of(error: f64, uncertainty: f64, tolerance: f64) -> Self {
        if error - uncertainty > tolerance {
            Self::Change
        } else if error + uncertainty < tolerance {
            Self::Leave
        } else {
            Self::MeasureMore
        }
    }
}

fn work(inputs: &Inputs, out: &mut Outcome) {
    if inputs.typed("steps_per_mm") && inputs.typed("turn_travel") {
        out.problem(
            "turn_travel",
            "Travel per motor turn now: give the steps or the travel, not both.",
        );
    }
    let Some(readings) = readings(inputs, out) else {
        return;
    };
    let Some(line) = Line::fit(&readings) else {
        out.warn(
            "readings",
            "Readings: one place tells nothing about the scale. Measure at two places or more, in each direction.",
        );
        return;
    };
    let scale = line.slope;
    out.put("scale", scale);
    out.put("offset", line.offset);
    out.put("backlash", line.apart.map(f64::abs));
    corrected(inputs, out, scale);
    let residual = |reading: &Reading| reading.y - line.at(reading.x, reading.second);
    out.put_pairs("curve", readings.iter().map(|r| (r.x, residual(r))));

    let (Some(tolerance), Some(span)) = (inputs.num("tolerance"), inputs.num("span")) else {
        return;
    };
    if line.freedom == 0 {
        out.put_text("verdict", Verdict::MeasureMore.word());
        out.put_text(
            "why",
            "A line through so few readings fits whatever they are: nothing tells how far they scatter.",
        );
        out.put_text(
            "next",
            "Measure at three places more, spread over the whole axis.",
        );
        return;
    }
    let Some(sure) = Sure::of(&line, &readings, inputs) else {
        out.put_text(
            "next",
            "Enter one step of the display and the accuracy of the instrument: without them nothing tells how far to trust the scale.",
        );
        return;
    };
    out.put("scale_u", sure.scale());
    out.put("offset_u", sure.offset());
    if scale > 0.0 {
        let steps = out.number("corrected_steps_per_mm");
        out.put(
            "corrected_steps_per_mm_u",
            steps.map(|steps| steps * sure.scale() / scale),
        );
        let travel = out.number("corrected_turn_travel");
        out.put(
            "corrected_turn_travel_u",
            travel.map(|travel| travel * sure.scale() / scale),
        );
    }
    let (error, uncertainty) = ((scale - 1.0).abs() * span, sure.scale() * span);
    let verdict = Verdict::of(error, uncertainty, tolerance);
    out.put_text("verdict", verdict.word());
    if !out.wants_rows() {
        return;
    }
    out.put_text("why", why(error, uncertainty, tolerance, span));
    let again = line.outlier(&readings, sure.least);
    let again = again.and_then(|index| {
        let reading = readings.get(index)?;
        out.put("outlier", f64::from(u32::try_from(index + 1).ok()?));
        Some(format!(
            "Take the reading at {} mm again first: it lies {} mm off the line, farther than the others explain. ",
            write_shortest(reading.x, 6),
            write_significant(residual(reading).abs(), 2),
        ))
    });
    let next = match verdict {
        Verdict::MeasureMore => more(&sure, &line, &readings, (error - tolerance).abs() / span),
        _ => String::from(next(verdict, inputs.choice("drive"))),
    };
    out.put_text("next", again.unwrap_or_default() + &next);
}

/// The readings; `None` when there are none, or when only some of them say how they were approached.
fn readings(inputs: &Inputs, out: &mut Outcome) -> Option<Vec<Reading>> {
    let rows = inputs.rows("readings")?;
    let direction = |row: &Row| row.word(2).map(|word| word == "minus");
    let has = |wanted: Option<bool>| rows.iter().any(|row| direction(row) == wanted);
    let both = has(Some(false)) && has(Some(true));
    if both && has(None) {
        out.problem(
            "readings",
            "Readings: say up or down in every row, or in none.",
        );
        return None;
    }
    let reading = |row: &Row| {
        Some(Reading {
            x: row.num(0)?,
            y: row.num(1)?,
            second: both && direction(row) == Some(true),
        })
    };
    rows.iter().map(reading).collect()
}

/// What to set in place of today's steps or travel; an axis that runs backward has no such number.
fn corrected(inputs: &Inputs, out: &mut Outcome, scale: f64) {
    if scale <= 0.0 {
        out.warn(
            "readings",
            "Readings: measured falls as asked rises. Check the direction of the axis.",
        );
        return;
    }
    let both = inputs.typed("steps_per_mm") && inputs.typed("turn_travel");
    let steps = inputs.num("steps_per_mm");
    out.put("corrected_steps_per_mm", steps.map(|steps| steps / scale));
    let travel = inputs.num("turn_travel").filter(|_| !both);
    out.put("corrected_turn_travel", travel.map(|travel| travel * scale));
}

/// The numbers behind the verdict.
fn why(error: f64, uncertainty: f64, tolerance: f64, span: f64) -> String {
    let mm = |value: f64| write_significant(value, 2);
    format!(
        "Over {} mm the axis is off by {} ± {} mm; {} mm is put up with.",
        write_shortest(span, 5),
        mm(error),
        mm(uncertainty),
        write_shortest(tolerance, 3),
    )
}

/// What to do next about a scale that is known well enough.
const fn next(verdict: Verdict, drive: &str) -> &'static str {
    match (verdict, drive.as_bytes()) {
        (Verdict::Change, b"roller") => {
            "Correct it: the effective diameter of a roller is known only by measuring. Then measure once more."
        }
        (Verdict::Change, b"belt") => {
            "Question it first: a belt moves by whole teeth. Count the pulley's teeth twice, check the belt's pitch, the pulley's screw and the motor's step angle; correct only what is left."
        }
        (Verdict::Change, b"screw") => {
            "Question it first: a screw's lead is cut closer than this. Check pitch and starts, the coupling and the motor's step angle; correct only what is left."
        }
        (Verdict::Change, _) => {
            "Find the cause first: teeth, pitch, starts, step angle or slip. A roller may simply be corrected."
        }
        _ => "Leave it: a change would follow the instrument, not the machine.",
    }
}

/// A distance that no such machine has, in ranges measured so far.
const TOO_LONG: f64 = 20.0;

/// What to measure next, when the slope must be known to within `need` for a verdict.
fn more(sure: &Sure, line: &Line, readings: &[Reading], need: f64) -> String {
    let n = u32::try_from(readings.len()).unwrap_or(u32::MAX);
    let left = need * need - sure.instrument.0 * sure.instrument.0;
    let enough = (left > 0.0)
        .then(|| readings_for(libm::sqrt(left) / sure.scatter.0, n, n - line.freedom))
        .flatten();
    let longer = sure.scale() / need;
    match enough {
        Some(enough) => format!(
            "Take about {} more readings, spread over the whole axis like these: their scatter hides the answer.",
            enough.saturating_sub(n).max(1),
        ),
        None if longer < TOO_LONG => format!(
            "Measure over {} mm or more in place of {}, or with an instrument that much better: its accuracy hides the answer.",
            write_significant(sure.range * longer, 2),
            write_shortest(sure.range, 5),
        ),
        None => String::from(
            "The error lies so close to what is put up with that no measuring will tell: leave it, or change what is put up with.",
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{faults, number, run, text};
    use super::super::{Found, Report};

    const SHORT: &[(&str, &str)] = &[
        (
            "readings",
            "0,0.01;50,49.82;100,99.60;150,149.43;200,199.21",
        ),
        ("resolution", "0.01"),
        ("accuracy", "0.03"),
        ("steps_per_mm", "80"),
    ];

    fn with(more: &[(&'static str, &'static str)]) -> Report {
        let mut entries = SHORT.to_vec();
        entries.retain(|(key, _)| more.iter().all(|(other, _)| other != key));
        entries.extend_from_slice(more);
        run("proof", &entries)
    }

    #[test]
    fn a_short_axis_is_corrected_by_what_was_measured() {
        let report = with(&[]);
        let scale = number(&report, "scale");
        assert!((scale - 0.996).abs() < 2e-4);
        assert!((number(&report, "corrected_steps_per_mm") - 80.0 / scale).abs() < 1e-12);
        assert_eq!(report.number("corrected_turn_travel"), None);
        assert_eq!(text(&report, "verdict"), "change");
        assert!(text(&report, "next").contains("cause"));
        assert!(matches!(report.found("curve"), Some(Found::Rows(rows)) if rows.len() == 5));
        let travel = with(&[("steps_per_mm", ""), ("turn_travel", "40")]);
        assert!((number(&travel, "corrected_turn_travel") - 40.0 * scale).abs() < 1e-12);
    }

    #[test]
    fn the_verdict_follows_the_tolerance() {
        // Off by 0.4 mm in 100, known to 0.04.
        let verdict = |tolerance| {
            let report = with(&[("tolerance", tolerance)]);
            String::from(text(&report, "verdict"))
        };
        assert_eq!(
            (
                verdict("0.3").as_str(),
                verdict("0.4").as_str(),
                verdict("0.5").as_str()
            ),
            ("change", "measure_more", "leave")
        );
    }

    use std::string::String;
    use std::vec::Vec;

    #[test]
    fn both_directions_show_the_backlash() {
        let report = with(&[(
            "readings",
            "0,0,plus;100,100,plus;200,200.02,plus;200,200.17,minus;100,100.13,minus;0,0.15,minus",
        )]);
        assert!((number(&report, "backlash") - 0.143_333).abs() < 1e-5);
        let first = with(&[("readings", "0,0,plus;100,100,plus;200,200.02,plus")]);
        assert_eq!(first.number("backlash"), None);
        assert_eq!(
            faults(&with(&[("readings", "0,0,plus;100,100;200,200,minus")])),
            ["readings"]
        );
    }

    #[test]
    fn too_few_readings_give_no_uncertainty() {
        for rows in ["0,0;100,99.5", "0,0,plus;100,99.5,plus;50,50,minus"] {
            let report = with(&[("readings", rows)]);
            assert!(
                report.number("scale").is_some() && report.number("scale_u").is_none(),
                "{rows}"
            );
            assert_eq!(text(&report, "verdict"), "measure_more");
        }
        for rows in ["100,99", "100,99;100,99.1", "0,0,plus;100,100,minus"] {
            let report = with(&[("readings", rows)]);
            assert!(report.answers().all(|(_, found)| found.is_none()), "{rows}");
            assert!(!report.warnings.is_empty() && report.problems.is_empty());
        }
    }

    #[test]
    fn what_is_unsure_says_how_much_more_to_measure() {
        // A scale of 1.000 1 and less than a tenth put up with: 0.03 mm over 100 mm hide it, from the instrument.
        let short = with(&[
            ("readings", "0,0;25,25.004;50,50.01;75,75.006;100,100.012"),
            ("tolerance", "0.04"),
        ]);
        assert_eq!(text(&short, "verdict"), "measure_more");
        assert!(
            text(&short, "next").contains("mm or more in place of 100"),
            "{}",
            text(&short, "next")
        );
        // As many readings as it asks for, lying and scattering alike, decide.
        let rows = ["0,0.1", "50,49.9", "100,100.15", "150,149.9", "200,200.1"];
        let many = |times: usize| {
            let rows = rows.iter().cycle().take(rows.len() * times);
            let rows: Vec<&str> = rows.copied().collect();
            let entries = [
                ("readings", &*rows.join(";")),
                ("resolution", "0.01"),
                ("accuracy", "0.001"),
                ("tolerance", "0.2"),
            ];
            run("proof", &entries)
        };
        let first = many(1);
        assert_eq!(text(&first, "verdict"), "measure_more");
        let next = text(&first, "next");
        let asked = next
            .strip_prefix("Take about ")
            .and_then(|rest| rest.split(' ').next());
        let asked: usize = asked
            .and_then(|word| word.parse().ok())
            .expect("it says how many");
        assert!(asked > 0 && asked < 40, "{next}");
        assert_eq!(
            text(&many(1 + asked.div_ceil(rows.len())), "verdict"),
            "leave"
        );
        let hopeless = with(&[("tolerance", "0.39")]);
        assert!(
            text(&hopeless, "next").contains("no measuring")
                || text(&hopeless, "next").contains("more")
        );
    }

    #[test]
    fn a_slip_of_the_finger_is_named() {
        let slipped = with(&[(
            "readings",
            "0,0.01;25,25.01;50,50.02;75,75.01;100,100.2;125,125.01;150,150.03;200,200.02",
        )]);
        assert!((number(&slipped, "outlier") - 5.0).abs() < 1e-12);
        assert!(
            text(&slipped, "next")
                .starts_with("Take the reading at 100 mm again first: it lies 0.1"),
            "{}",
            text(&slipped, "next")
        );
        assert_eq!(with(&[]).number("outlier"), None);
    }

    #[test]
    fn the_corrected_number_is_as_sure_as_the_scale() {
        let steps = with(&[]);
        let share = number(&steps, "scale_u") / number(&steps, "scale");
        let found = number(&steps, "corrected_steps_per_mm_u");
        assert!((found / number(&steps, "corrected_steps_per_mm") / share - 1.0).abs() < 1e-12);
        let travel = with(&[("steps_per_mm", ""), ("turn_travel", "40")]);
        assert!(
            (number(&travel, "corrected_turn_travel_u") / 40.0 / number(&travel, "scale_u") - 1.0)
                .abs()
                < 1e-12
        );
        let blank = with(&[("accuracy", "")]);
        assert_eq!(blank.number("corrected_steps_per_mm_u"), None);
        assert!(text(&blank, "next").starts_with("Enter one step"));
    }

    #[test]
    fn an_instrument_that_is_not_described_gives_no_verdict() {
        let report = with(&[("accuracy", "")]);
        assert!(report.number("scale").is_some() && report.number("scale_u").is_none());
        assert_eq!(text(&report, "verdict"), "");
    }

    #[test]
    fn the_display_limits_what_a_perfect_line_can_tell() {
        let rows = "0,0;100,100;200,200;300,300";
        let fine = with(&[("readings", rows), ("accuracy", "0")]);
        // t of 2 degrees of freedom, 0.01 over sqrt 12, Sxx 50 000.
        let expected = 4.302_652_729_911 * 0.01 / 12.0_f64.sqrt() / 50_000.0_f64.sqrt();
        assert!((number(&fine, "scale_u") / expected - 1.0).abs() < 1e-9);
        let coarse = with(&[
            ("readings", rows),
            ("resolution", "0"),
            ("accuracy", "0.03"),
        ]);
        let expected = 1.96 * 2.0_f64.sqrt() * 0.03 / 3.0_f64.sqrt() / 300.0;
        assert!((number(&coarse, "scale_u") / expected - 1.0).abs() < 1e-12);
        assert!((number(&coarse, "offset_u") / (1.96 * 0.03 / 3.0_f64.sqrt()) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_belt_and_a_screw_are_questioned_and_a_roller_is_not() {
        for (drive, word) in [
            ("belt", "teeth"),
            ("screw", "lead"),
            ("roller", "Correct it"),
        ] {
            assert!(
                text(&with(&[("drive", drive)]), "next").contains(word),
                "{drive}"
            );
        }
    }

    #[test]
    fn steps_and_travel_are_not_both_given_and_an_axis_runs_forward() {
        let both = with(&[("turn_travel", "40")]);
        assert_eq!(faults(&both), ["turn_travel"]);
        assert!(both.number("corrected_turn_travel").is_none());
        let backward = with(&[("readings", "0,0;50,-50;100,-100")]);
        assert_eq!(backward.number("corrected_steps_per_mm"), None);
        assert!(
            backward
                .warnings
                .iter()
                .any(|warning| warning.field == "readings")
        );
    }
}
