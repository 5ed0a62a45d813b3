//! `coils`: a motor without papers.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use super::declare::{Answer, Caution, Field, Sheet, Subject, head};
use super::inputs::Inputs;
use super::outcome::{Cell, Found, Outcome};
use crate::entry::unit::{A, CELSIUS, DEG, MM, MM2, OHM, ONE, TEMP_DIFF};
use crate::entry::write::write_significant;
use crate::motor;
use crate::motor::coils::{self, Coil, OpenYetJoined, Reading};

const PAIRS: &[Field] = &[
    Field::count("a", "Lead").at_most(1000.0, "no motor has that many leads"),
    Field::count("b", "Other lead").at_most(1000.0, "no motor has that many leads"),
    Field::number("ohm", "Resistance between them", OHM)
        .optional()
        .above(
            0.0,
            "leads that are joined resist; leave an open pair blank",
        )
        .at_most(1e6, "no winding resists more: leave an open pair blank"),
];

const FIELDS: &[Field] = &[
    Field::count("leads", "Leads of the motor")
        .optional()
        .at_least(4.0, "two coils have four")
        .at_most(8.0, "four windings have eight")
        .help("4, 5, 6 or 8; number them from 1"),
    Field::rows("pairs", "Readings between leads", PAIRS)
        .help("motor unplugged; number the leads, then lead, other lead, ohm; leave the ohm of an open pair blank"),
    Field::number("lead", "Resistance of the test leads", OHM)
        .default("0")
        .at_least(0.0, "a lead resists or not")
        .at_most(1000.0, "no test lead resists more")
        .help("what the meter shows with its tips together"),
    Field::number("turns_counted", "Full steps counted for a whole turn", ONE)
        .optional()
        .above(0.0, "a turn takes steps")
        .at_most(1e6, "no motor has more")
        .help("with a mark on the shaft; or use a mechanism below"),
    Field::number("step_travel", "Travel of 200 full steps", MM)
        .optional()
        .above(0.0, "steps move the mechanism")
        .at_most(1e6, "no mechanism moves that far")
        .help("in place of counting: of a mechanism whose travel per motor turn is known"),
    Field::number("turn_travel", "Travel per motor turn of that mechanism", MM)
        .optional()
        .above(0.0, "a turn moves the mechanism")
        .at_most(1e6, "no turn moves a mechanism that far"),
    Field::number("frame", "Face width", MM)
        .above(0.0, "a motor has a size")
        .at_most(1000.0, "no step motor is wider")
        .usual(8.0, 130.0, "step motors of such machines"),
    Field::number("depth", "Depth of the body", MM)
        .above(0.0, "a motor has a size")
        .at_most(1000.0, "no step motor is longer")
        .usual(5.0, 200.0, "step motors of such machines")
        .help("without shaft and connector"),
    Field::number("warm_ohm", "Resistance of one phase when warm", OHM)
        .optional()
        .above(0.0, "a winding resists")
        .at_most(1e6, "no winding resists more")
        .help("after an hour's running: power off, unplug, read at once"),
    Field::number("ambient", "Ambient", CELSIUS)
        .default("25")
        .at_least(-100.0, "no workshop is colder")
        .at_most(200.0, "no workshop is hotter")
        .help("at which the other readings were taken, the motor long unused"),
];

const COPPER: &str = "IEC 60034-1: rise by resistance, copper 235";

const ANSWERS: &[Answer] = &[
    Answer::text("next", "What to do next"),
    Answer::list("next_leads", "Leads to read next", ONE)
        .significant(0)
        .aside(),
    Answer::text("read_next", "Leads to read next").headline(),
    Answer::rows(
        "phases",
        "Leads of each coil, a centre tap in the middle",
        &[
            head("Lead", "", 0),
            head("Lead", "", 0),
            head("Lead", "", 0),
            head("Lead", "", 0),
            head("Lead", "", 0),
        ],
    ),
    Answer::number("wires", "Leads of the motor", ONE)
        .fixed(0)
        .formula("counted from the coils found", "Kirchhoff's laws"),
    Answer::text("advice", "How to wire it"),
    Answer::number("cold", "Mean of the coils at ambient", OHM)
        .formula(
            "mean of {pairs} less {lead}, end to end",
            "Kirchhoff's laws",
        )
        .aside(),
    Answer::number("resistance", "Resistance of a phase at 25 °C", OHM)
        .headline()
        .formula("{cold} × 260 ÷ (235 + {ambient})", COPPER),
    Answer::number("step", "Full step", DEG)
        .significant(5)
        .formula(
            "360° ÷ {turns_counted}, or 360° × {step_travel} ÷ 200 ÷ {turn_travel}",
            "Definition",
        ),
    Answer::number("step_nearest", "Nearest usual full step", DEG)
        .significant(3)
        .formula(
            "nearest to {step} of 0.9°, 1.8°, 3.6°, 7.5°, 15°",
            "Common practice",
        ),
    Answer::number("surface", "Surface of the body", MM2)
        .formula("2 × {frame}² + 4 × {frame} × {depth}", "Surface of a box")
        .aside(),
    Answer::number(
        "start_rms",
        "A careful first current, RMS: a start, never a rating",
        A,
    )
    .significant(2)
    .headline()
    .formula(
        "√(0.5 W ÷ 1000 mm² × {surface} ÷ (2 × {resistance}))",
        "From memory: heat that a small motor's surface gives off in still air",
    ),
    Answer::text("watch", "What to watch"),
    Answer::number("rise", "Rise of the winding", TEMP_DIFF).formula(
        "(({warm_ohm} − {lead}) ÷ {cold} − 1) × (235 + {ambient})",
        COPPER,
    ),
    Answer::text("cool", "Below 80 °C, as far as the winding tells"),
];

const CAUTIONS: &[Caution] = &[
    Caution::always(
        "first_current",
        "A motor without papers can overheat, burn fingers and melt its mount at a current that looks harmless.",
        "Start with the current shown or less, touch it after ten minutes and after an hour, and stop where it gets too hot to hold.",
    ),
    Caution::always(
        "unplug",
        "A motor unplugged under power kills its driver, and one that is turned by hand drives voltage back into it.",
        "Read the leads with the motor unplugged from everything; switch the supply off before plugging it in again.",
    ),
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "coils",
    title: "Motor without papers",
    about: "which leads make a coil, the resistance, the full step, and a careful first current",
    search: "unknown stepper motor identify leads wires coils phases bipolar unipolar centre tap resistance meter colour first current",
    subject: Subject::Current,
    fields: FIELDS,
    answers: ANSWERS,
    checks: &[],
    cautions: CAUTIONS,
    work,
};

/// A surface that is still cool enough: common practice.
const COOL_C: f64 = 80.0;
/// Coils of one motor that differ by more than this share of their mean are not alike.
const ALIKE: f64 = 0.1;

fn work(inputs: &Inputs, out: &mut Outcome) {
    step(inputs, out);
    let cold = windings(inputs, out);
    out.put("cold", cold);
    let ambient = inputs.num("ambient");
    let resistance = cold
        .zip(ambient)
        .map(|(ohm, ambient)| ohm / motor::copper_factor(ambient));
    out.put("resistance", resistance);

    let surface = inputs
        .num("frame")
        .zip(inputs.num("depth"))
        .map(|(frame, depth)| coils::surface_mm2(frame, depth));
    out.put("surface", surface);
    let start = surface
        .zip(resistance)
        .map(|(surface, ohm)| coils::start_rms(surface, ohm));
    out.put("start_rms", start);
    if start.is_some() {
        out.put_text(
            "watch",
            "start at or below this current, feel the motor after ten minutes and after an hour, read the warm phase, and raise it by a tenth at a time while it stays below 80 °C and its mount stays hard",
        );
    }

    let warm = warm_ohm(inputs, out);
    if let (Some(warm), Some(cold), Some(ambient)) = (warm, cold, ambient) {
        let rise = motor::rise_by_resistance(warm / cold, ambient);
        out.put("rise", rise);
        out.put_yes("cool", ambient + rise < COOL_C);
    }
    if out.problems.is_empty() {
        next(inputs, out, start);
    }
}

/// What a person with a meter does next, from the first reading to a current that is known to stay cool.
fn next(inputs: &Inputs, out: &mut Outcome, start: Option<f64>) {
    let cool = match (inputs.num("ambient"), out.number("rise")) {
        (Some(ambient), Some(rise)) => Some(ambient + rise < COOL_C),
        _ => None,
    };
    let pair = out.answers.iter().find_map(|(key, found)| match found {
        Found::List(pair) if *key == "next_leads" => Some(pair.as_slice()),
        _ => None,
    });
    let wires = out.number("wires");
    let text = if let Some([a, b]) = pair {
        format!(
            "With the motor unplugged from everything, read lead {} against lead {}; where the meter shows open, leave the ohm blank.",
            write_significant(*a, 0),
            write_significant(*b, 0)
        )
    } else if wires.is_none() {
        "Read every pair of leads again: these readings make no motor of 4, 5, 6 or 8 leads.".into()
    } else if wires.is_some_and(|wires| (wires - 5.0).abs() < 0.5) {
        "Look for a driver for unipolar motors, or another motor: a driver for two coils cannot turn this one.".into()
    } else {
        match (start, cool) {
            (None, _) => "Measure the face and the depth of the body: they set a first current.".into(),
            (Some(start), None) => format!(
                "Set the driver to {} A RMS or less with the power off, plug the motor in, and let it run. Feel it after ten minutes and after an hour; then switch off, unplug, and read one phase warm at once.",
                write_significant(start, 2)
            ),
            (_, Some(true)) => "It stays cool enough at what you set: raise the current by a tenth and run it for another hour, while its mount stays hard.".into(),
            (_, Some(false)) => "Too warm at what you set: lower the current by a fifth, let the motor cool, and run it for another hour.".into(),
        }
    };
    out.put_text("next", text);
}

/// The full step, counted or by a mechanism.
fn step(inputs: &Inputs, out: &mut Outcome) {
    if inputs.typed("turns_counted") && inputs.typed("step_travel") {
        out.problem(
            "step_travel",
            "Travel of 200 full steps: give the steps of a turn or the travel, not both.",
        );
        return;
    }
    let by_travel = inputs
        .num("step_travel")
        .zip(inputs.num("turn_travel"))
        .map(|(travel, turn)| 360.0 * travel / (200.0 * turn));
    let step = match inputs.num("turns_counted") {
        Some(steps) => Some(360.0 / steps),
        None => by_travel,
    };
    out.put("step", step);
    out.put("step_nearest", step.map(coils::nearest_step_deg));
}

/// Finds the coils and says how to wire them; the mean resistance of a phase at ambient.
fn windings(inputs: &Inputs, out: &mut Outcome) -> Option<f64> {
    let lead = inputs.num("lead")?;
    // Nothing read yet is where a person begins; rows that cannot be read are not.
    let rows = match inputs.rows("pairs") {
        Some(rows) => rows,
        None if inputs.typed("pairs") => return None,
        None => &[],
    };
    let mut readings = Vec::with_capacity(rows.len());
    for (i, row) in rows.iter().enumerate() {
        let (a, b) = (row.count(0)?, row.count(1)?);
        if a == b {
            out.problem(
                "pairs",
                format!(
                    "Readings between leads, row {}: enter two different leads.",
                    i + 1
                ),
            );
            return None;
        }
        let ohm = row.num(2).map(|ohm| ohm - lead);
        if ohm.is_some_and(|ohm| ohm <= 0.0) {
            out.problem(
                "pairs",
                format!(
                    "Readings between leads, row {}: enter more than the test leads alone have.",
                    i + 1
                ),
            );
            return None;
        }
        readings.push(Reading { leads: (a, b), ohm });
    }
    let found = match coils::coils(&readings) {
        Ok(found) => found,
        Err(OpenYetJoined(a, b)) => {
            out.problem(
                "pairs",
                format!("Readings between leads: {a} and {b} are read as open, but other readings join them; read them again."),
            );
            return None;
        }
    };
    if let Some((a, b)) = coils::next_reading(&readings, inputs.count("leads")) {
        out.put_list("next_leads", [f64::from(a), f64::from(b)].into());
        out.put_text("read_next", format!("{a} and {b}"));
    } else {
        out.put_text("read_next", "all read");
    }
    if found.is_empty() {
        return None;
    }
    let wires = coils::wires(&found);
    out.put("wires", wires.map(f64::from));
    let cells = |coil: &Coil| {
        coil.leads
            .iter()
            .map(|lead| Cell::number(f64::from(*lead)))
            .collect()
    };
    out.put_rows("phases", found.iter().map(cells).collect());
    let ohms: Option<Vec<f64>> = found.iter().map(|coil| coil.ohm).collect();
    let alike_leads = found
        .windows(2)
        .all(|pair| matches!(pair, [a, b] if a.leads.len() == b.leads.len()));
    let mean = ohms
        .as_ref()
        .filter(|_| alike_leads)
        .map(|ohms| ohms.iter().sum::<f64>() / ohms.iter().map(|_| 1.0).sum::<f64>());
    out.put_text("advice", advice(wires, &found, mean));
    mean
}

/// What to do with these coils.
fn advice(wires: Option<u8>, found: &[Coil], mean: Option<f64>) -> String {
    let mut text = String::from(match wires {
        Some(4) => {
            "Two coils: each to one output pair of the driver. Swapping the two leads of one coil reverses the motor."
        }
        Some(5) => {
            "All windings share one lead: not for a two-coil driver. It takes a unipolar driver, the common lead to its supply."
        }
        Some(6) => {
            "Two coils with a centre tap: drive each end to end and insulate the tap, or tap to one end for more speed at less torque. Current figures of such motors are often for half a coil: end to end takes 0.7 of it."
        }
        Some(8) => {
            "Four windings: two in series or in parallel make a phase. Which two belong together, and their sense, is still to be found: a wrong pair hums without torque; then swap the leads of one winding."
        }
        _ => {
            "These readings do not make a motor of 4, 5, 6 or 8 leads yet: read every pair of leads, open ones too."
        }
    });
    if let Some(tap) = found
        .iter()
        .find_map(|coil| coil.tap)
        .filter(|_| wires == Some(5))
    {
        text.push_str(&format!(" The common lead is {tap}."));
    }
    let odd = mean.and_then(|mean| {
        let off = |coil: &&Coil| {
            coil.ohm
                .is_some_and(|ohm| (ohm - mean).abs() > ALIKE * mean)
        };
        found.iter().find(off)?.ohm
    });
    if let (Some(ohm), Some(mean)) = (odd, mean) {
        text.push_str(&format!(
            " The coils are not alike: one has {} Ω against a mean of {} Ω. Read again; turns may be shorted.",
            write_significant(ohm, 3),
            write_significant(mean, 3)
        ));
    }
    text
}

/// The warm phase without the test leads.
fn warm_ohm(inputs: &Inputs, out: &mut Outcome) -> Option<f64> {
    let ohm = inputs.num("warm_ohm")? - inputs.num("lead")?;
    if ohm <= 0.0 {
        out.problem(
            "warm_ohm",
            "Resistance of one phase when warm: enter more than the test leads alone have.",
        );
        return None;
    }
    Some(ohm)
}

#[cfg(test)]
mod tests {
    use super::super::trial::{faults, number, run, text};

    const TWO: &str = "1,3,2.9;2,4,2.7;1,2,";

    #[test]
    fn test_leads_come_off_every_reading_and_copper_goes_to_25_degrees() {
        let report = run(
            "coils",
            &[
                ("pairs", TWO),
                ("lead", "0.1"),
                ("ambient", "20"),
                ("warm_ohm", "3.4"),
            ],
        );
        // Mean 2.7 ohm at 20 C.
        assert!((number(&report, "resistance") - 2.7 * 260.0 / 255.0).abs() < 1e-12);
        let rise = (3.3 / 2.7 - 1.0) * 255.0;
        assert!((number(&report, "rise") - rise).abs() < 1e-9);
        assert_eq!(text(&report, "cool"), "yes");
    }

    #[test]
    fn what_cannot_be_a_reading_is_refused_at_the_readings() {
        for pairs in ["1,1,3", "1,2,0", "1,2,-3", "1,2,3;2,3,3;1,3,"] {
            assert_eq!(
                faults(&run("coils", &[("pairs", pairs)])),
                ["pairs"],
                "{pairs}"
            );
        }
        let report = run("coils", &[("pairs", "1,2,0.1"), ("lead", "0.1")]);
        assert_eq!(faults(&report), ["pairs"]);
        let report = run("coils", &[("warm_ohm", "0.1"), ("lead", "0.1")]);
        assert_eq!(faults(&report), ["warm_ohm"]);
    }

    #[test]
    fn the_step_is_counted_or_by_a_mechanism() {
        let counted = run("coils", &[("turns_counted", "48")]);
        assert!((number(&counted, "step") - 7.5).abs() < 1e-12);
        let moved = run("coils", &[("step_travel", "4"), ("turn_travel", "8")]);
        assert!((number(&moved, "step") - 0.9).abs() < 1e-12);
        let both = run("coils", &[("turns_counted", "48"), ("step_travel", "4")]);
        assert_eq!(faults(&both), ["step_travel"]);
        assert_eq!(both.number("step"), None);
    }

    #[test]
    fn unlike_coils_and_unfinished_readings_are_said() {
        let report = run("coils", &[("pairs", "1,2,3;3,4,4")]);
        assert!(text(&report, "advice").contains("not alike"));
        let report = run("coils", &[("pairs", "1,2,3;3,4,3;4,5,3")]);
        assert!(text(&report, "advice").contains("every pair"));
        assert_eq!(report.number("wires"), None);
        assert_eq!(report.number("resistance"), None);
    }
}
