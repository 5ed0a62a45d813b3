//! `gears`: a gear train.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::declare::{Answer, Check, Choice, Field, Sheet, Subject, choice, head};
use super::inputs::{Inputs, Row, Value, read_value};
use super::outcome::{Cell, Outcome, State};
use crate::entry::unit::{ARCMIN, G_CM2, MM, N_M, ONE, PERCENT, REV_MIN};
use crate::exact::Exact;
use crate::motion::gears::{Form, Held, Stage, UNDERCUT_TEETH};

const FORMS: &[Choice] = &[
    choice("spur", "Spur gears: driver, driven"),
    choice("internal", "Inside a ring: pinion, ring"),
    choice("belt", "Belt or chain: driver, driven"),
    choice("worm", "Worm: starts, wheel"),
    choice("planetary", "Planetary: sun, ring, member held"),
];

const HELD: Field = Field::choice(
    "held",
    "Member held",
    &[
        choice("ring", "Ring: in at the sun, out at the carrier"),
        choice("carrier", "Carrier: in at the sun, out at the ring"),
        choice("sun", "Sun: in at the ring, out at the carrier"),
    ],
);
const EFFICIENCY: Field = Field::number("efficiency", "Efficiency", PERCENT)
    .above(0.0, "a stage passes something on")
    .at_most(100.0, "no stage adds power");
const BACKLASH: Field = Field::number("backlash", "Backlash", ARCMIN)
    .at_least(0.0, "the size counts, not the sense")
    .at_most(21_600.0, "a turn has no more");

/// The columns after the counts shift by one for a planetary stage, so the sheet reads them itself.
const STAGES: &[Field] = &[
    Field::choice("form", "Kind of stage", FORMS),
    Field::count("first", "Driver, pinion, sun or starts")
        .at_least(1.0, "a wheel has teeth")
        .at_most(10_000.0, "no wheel has more"),
    Field::count("second", "Driven, ring or wheel")
        .at_least(1.0, "a wheel has teeth")
        .at_most(10_000.0, "no wheel has more"),
    Field::word("third", "Member held, or efficiency in %").optional(),
    Field::word("fourth", "Efficiency in %, or backlash in arcmin").optional(),
    Field::word("fifth", "Backlash in arcmin of a planetary stage").optional(),
];

const FIELDS: &[Field] = &[
    Field::rows("stages", "Stages", STAGES)
        .help("from the motor on; efficiency blank counts as 100 %, backlash at that stage's output blank as 0"),
    Field::count("planets", "Planets")
        .default("3")
        .at_least(1.0, "a planetary stage has planets")
        .at_most(100.0, "no stage has more")
        .help("of each planetary stage, evenly spaced"),
    Field::number("torque_in", "Torque in", N_M)
        .optional()
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e6, "no motor gives more"),
    Field::number("speed_in", "Speed in", REV_MIN)
        .optional()
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e7, "no motor turns faster"),
    Field::number("inertia_in", "Inertia of the motor's rotor", G_CM2)
        .optional()
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e9, "no rotor has more"),
    Field::number("out_radius", "Radius of the output", MM)
        .optional()
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e5, "no wheel is larger")
        .help("of the pulley or arm, for what the backlash is worth there"),
];

const TRAIN: &str = "Shigley's Mechanical Engineering Design, gear trains: product of the stages, planetary by Willis' equation";

const ANSWERS: &[Answer] = &[
    Answer::number("ratio", "Reduction", ONE)
        .significant(6)
        .headline()
        .formula(
            "product over {stages}: driven ÷ driver; planetary 1 + R ÷ S, R ÷ S or 1 + S ÷ R",
            TRAIN,
        ),
    Answer::text("exact", "Exactly, as a fraction"),
    Answer::text("direction", "Output turns").headline(),
    Answer::number("efficiency", "Efficiency", PERCENT)
        .formula("product over {stages}", "Definition"),
    Answer::text("assumed", "Assumed"),
    Answer::number("torque_out", "Torque out", N_M).formula(
        "{torque_in} × {ratio} × {efficiency}",
        "Power in less losses is power out",
    ),
    Answer::number("speed_out", "Speed out", REV_MIN)
        .formula("{speed_in} ÷ {ratio}", "Definition of the reduction"),
    Answer::number(
        "inertia_out",
        "Rotor's inertia as the output feels it",
        G_CM2,
    )
    .formula("{inertia_in} × {ratio}²", "Equal kinetic energy"),
    Answer::number("backlash_out", "Backlash at the output", ARCMIN).formula(
        "sum over {stages} of the backlash ÷ the ratio of all later stages",
        "An angle passes a stage divided by its ratio",
    ),
    Answer::number(
        "backlash_travel",
        "Backlash at the radius of the output",
        MM,
    )
    .formula(
        "{backlash_out} × {out_radius} (in radians)",
        "Arc of an angle",
    ),
    Answer::rows(
        "train",
        "Stage by stage",
        &[
            head("Stage", "", 4),
            head("Ratio", "", 6),
            head("Ratio so far", "", 6),
            head("Turns", "", 4),
            head("Efficiency", "%", 4),
            head("Backlash at the train's output", "arcmin", 4),
        ],
    ),
];

const CHECKS: &[Check] = &[
    Check {
        id: "assembly",
        label: "Planets fit",
        measure: ONE,
        within: "The planets mesh evenly spaced: ring less sun is even, ring plus sun divides by the planets.",
        near: "",
        over: "The planets do not go in: ring less sun must be even, and ring plus sun must divide by the {planets} planets.",
    },
    Check {
        id: "undercut",
        label: "Fewest teeth",
        measure: ONE,
        within: "The smallest gear has {value} teeth: no undercut from {limit} on at 20°.",
        near: "",
        over: "The smallest gear has {value} teeth: below {limit} at 20° its teeth are undercut and weak, unless the profile is shifted.",
    },
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "gears",
    title: "Gear train",
    about: "ratio, direction, torque, speed, inertia and backlash of a train of gears, belts, worms and planetary stages",
    search: "gearbox reduction planetary epicyclic sun ring carrier worm backlash efficiency spur pinion belt drive ratio",
    subject: Subject::Motion,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: &[],
    work,
};

/// A stage with its losses.
struct Read {
    stage: Stage,
    name: &'static str,
    efficiency: Option<f64>,
    backlash: Option<f64>,
}

fn work(inputs: &Inputs, out: &mut Outcome) {
    let Some(rows) = inputs.rows("stages") else {
        return;
    };
    let mut train = Vec::with_capacity(rows.len());
    for (i, row) in rows.iter().enumerate() {
        match read(row) {
            Ok(stage) => train.push(stage),
            Err(message) => {
                out.problem("stages", format!("Stages, row {}: {message}", i + 1));
                return;
            }
        }
    }
    if train.is_empty() {
        return;
    }
    let ratio = train.iter().fold(Exact::whole(1), |ratio, read| {
        ratio.times(read.stage.ratio())
    });
    out.put("ratio", ratio.value);
    if let Some(fraction) = ratio.fraction {
        out.put_text("exact", fraction.to_string());
    }
    let reversed = train
        .iter()
        .try_fold(false, |turned, read| Some(turned ^ read.stage.reverses()?));
    if let Some(reversed) = reversed {
        out.put_text("direction", turns(reversed));
    }
    let efficiency = train
        .iter()
        .filter_map(|read| read.efficiency)
        .fold(100.0, |all, percent| all * percent / 100.0);
    out.put("efficiency", efficiency);
    say_assumed(out, &train);

    let ratio = ratio.value;
    let torque = inputs.num("torque_in");
    out.put(
        "torque_out",
        torque.map(|torque| torque * ratio * efficiency / 100.0),
    );
    out.put(
        "speed_out",
        inputs.num("speed_in").map(|speed| speed / ratio),
    );
    out.put(
        "inertia_out",
        inputs
            .num("inertia_in")
            .map(|inertia| inertia * ratio * ratio),
    );
    let backlash = put_train(out, &train, ratio);
    out.put("backlash_out", backlash);
    out.put(
        "backlash_travel",
        inputs
            .num("out_radius")
            .map(|radius| (backlash / 60.0).to_radians() * radius),
    );
    checks(inputs, out, &train);
}

/// The word for a sense of rotation.
const fn turns(reversed: bool) -> &'static str {
    if reversed { "reversed" } else { "same" }
}

/// One row of the stages; the error is the message for the person.
fn read(row: &Row) -> Result<Read, String> {
    let key = row.word(0).unwrap_or_default();
    let name = FORMS.iter().find(|form| form.key == key);
    let name = name.map_or("", |form| form.key);
    let (form, losses) = match name {
        "spur" => (Form::Spur, 3),
        "internal" => (Form::Internal, 3),
        "belt" => (Form::Belt, 3),
        "worm" => (Form::Worm, 3),
        _ => (Form::Planetary(held(row)?), 4),
    };
    let stage = Stage {
        form,
        first: row.count(1).unwrap_or(1),
        second: row.count(2).unwrap_or(1),
    };
    if stage.is_ringed() && stage.second <= stage.first {
        return Err(format!(
            "enter a ring of more than {} teeth: it goes around the other.",
            stage.first
        ));
    }
    if losses == 3 && row.word(5).is_some() {
        return Err(String::from(
            "enter efficiency and backlash after the two counts; only a planetary stage names a member held.",
        ));
    }
    Ok(Read {
        stage,
        name,
        efficiency: loss(row, losses, &EFFICIENCY)?,
        backlash: loss(row, losses + 1, &BACKLASH)?,
    })
}

/// The member that a planetary stage's row says is held.
fn held(row: &Row) -> Result<Held, String> {
    match read_value(&HELD, row.word(3).unwrap_or_default())? {
        Value::Choice("carrier") => Ok(Held::Carrier),
        Value::Choice("sun") => Ok(Held::Sun),
        _ => Ok(Held::Ring),
    }
}

/// A number in a column whose meaning depends on the kind of stage.
fn loss(row: &Row, column: usize, field: &'static Field) -> Result<Option<f64>, String> {
    match row.word(column).map(|text| read_value(field, text)) {
        Some(Ok(Value::Number(number))) => Ok(Some(number.value)),
        Some(Err(message)) => Err(message),
        _ => Ok(None),
    }
}

/// Says which stages were taken to be without loss or play.
fn say_assumed(out: &mut Outcome, train: &[Read]) {
    let stages = |missing: fn(&Read) -> bool| {
        let mut list = String::new();
        for (i, _) in train.iter().enumerate().filter(|(_, read)| missing(read)) {
            if !list.is_empty() {
                list.push_str(", ");
            }
            list.push_str(&(i + 1).to_string());
        }
        list
    };
    let mut text = String::new();
    let lossless = stages(|read| read.efficiency.is_none());
    if !lossless.is_empty() {
        text = format!(
            "no efficiency given for stage {lossless}: counted as 100 %, a real one loses some"
        );
    }
    let tight = stages(|read| read.backlash.is_none());
    if !tight.is_empty() {
        if !text.is_empty() {
            text.push_str("; ");
        }
        text.push_str(&format!(
            "no backlash given for stage {tight}: counted as 0"
        ));
    }
    if !text.is_empty() {
        out.put_text("assumed", text);
    }
}

/// Puts the rows of the train, and gives its backlash at the output in arcmin.
fn put_train(out: &mut Outcome, train: &[Read], ratio: f64) -> f64 {
    let (mut so_far, mut backlash, mut reversed) = (Exact::whole(1), 0.0, Some(false));
    let mut rows = Vec::with_capacity(train.len());
    for read in train {
        let own = read.stage.ratio();
        so_far = so_far.times(own);
        reversed = reversed
            .zip(read.stage.reverses())
            .map(|(before, turned)| before ^ turned);
        // What later stages divide by is the whole ratio over that of the stages so far.
        let play = read.backlash.unwrap_or(0.0) * so_far.value / ratio;
        backlash += play;
        rows.push(
            [
                Cell::Text(read.name.into()),
                Cell::number(own.value),
                Cell::number(so_far.value),
                reversed.map_or(Cell::Blank, |reversed| Cell::Text(turns(reversed).into())),
                Cell::number(read.efficiency),
                Cell::number(play),
            ]
            .into(),
        );
    }
    out.put_rows("train", rows);
    backlash
}

/// Whether the planets go in, and whether the teeth are strong.
fn checks(inputs: &Inputs, out: &mut Outcome, train: &[Read]) {
    let state = |good| if good { State::Within } else { State::Over };
    if let Some(planets) = inputs.count("planets") {
        let assembles = train
            .iter()
            .filter_map(|read| read.stage.assembles(planets))
            .reduce(|all, fits| all && fits);
        if let Some(fits) = assembles {
            out.check("assembly", state(fits), None, None);
        }
    }
    let fewest = train
        .iter()
        .filter_map(|read| read.stage.fewest_teeth())
        .reduce(libm::fmin);
    if let Some(teeth) = fewest {
        out.check(
            "undercut",
            state(teeth >= UNDERCUT_TEETH),
            teeth,
            UNDERCUT_TEETH,
        );
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{faults, number, run, state, text};

    #[test]
    fn a_train_multiplies_and_reverses() {
        let entries = [
            ("stages", "spur,20,60,97,6;internal,16,48,95;belt,20,50"),
            ("torque_in", "0.4"),
            ("out_radius", "10"),
        ];
        let report = run("gears", &entries);
        assert_eq!(text(&report, "exact"), "45/2");
        assert_eq!(text(&report, "direction"), "reversed");
        assert!((number(&report, "torque_out") - 0.4 * 22.5 * 0.97 * 0.95).abs() < 1e-12);
        // 6 arcmin behind the first stage are 6 / 7.5 at the output.
        assert!((number(&report, "backlash_out") - 0.8).abs() < 1e-12);
        let arc = (0.8_f64 / 60.0).to_radians() * 10.0;
        assert!((number(&report, "backlash_travel") - arc).abs() < 1e-15);
        assert!(text(&report, "assumed").contains("stage 3: counted as 100 %"));
    }

    #[test]
    fn a_worm_has_no_direction() {
        let report = run("gears", &[("stages", "worm,2,40;spur,20,40")]);
        assert_eq!(text(&report, "direction"), "");
        assert!((number(&report, "ratio") - 40.0).abs() < 1e-12);
    }

    #[test]
    fn planets_and_small_gears_are_checked() {
        let check = |stages: &str, id: &str| {
            let report = run("gears", &[("stages", stages)]);
            alloc::string::String::from(state(&report, id))
        };
        assert_eq!(check("planetary,18,72,ring", "assembly"), "within");
        assert_eq!(check("planetary,20,80,ring", "assembly"), "over");
        assert_eq!(check("spur,20,40", "assembly"), "");
        assert_eq!(check("spur,16,40", "undercut"), "over");
        assert_eq!(check("spur,17,40", "undercut"), "within");
        assert_eq!(check("internal,20,30", "undercut"), "within");
        // Planets of (50 - 20) / 2 teeth.
        assert_eq!(check("planetary,20,50,sun", "undercut"), "over");
        assert_eq!(check("belt,12,40;worm,1,30", "undercut"), "");
    }

    #[test]
    fn rows_that_make_no_stage_are_refused() {
        for stages in [
            "spur,20",
            "spur,0,40",
            "planetary,20,80",
            "planetary,20,80,nobody",
            "planetary,20,20,ring",
            "internal,30,20",
            "spur,20,40,120",
            "spur,20,40,97,-1",
            "spur,20,40,97,5,5",
            "planetary,20,80,ring,97,5,5",
            "cone,20,40",
        ] {
            assert_eq!(
                faults(&run("gears", &[("stages", stages)])),
                ["stages"],
                "{stages}"
            );
        }
    }
}
