//! `switch`: limit-switch logic.

use alloc::string::String;

use super::declare::{Answer, Caution, Check, Field, Sheet, Subject, When, choice};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::entry::unit::V;
use crate::reach::switch::{Broken, Contact, Fault, Level, Wiring};

const CONTACT: When = &[("contact", &["no", "nc"])];

const SEEN: &[super::declare::Choice] = &[
    choice("high", "High"),
    choice("low", "Low"),
    choice("unsteady", "It wanders"),
];

const FIELDS: &[Field] = &[
    Field::choice(
        "contact",
        "Switch",
        &[
            choice("no", "Contact that closes when pressed (NO)"),
            choice("nc", "Contact that opens when pressed (NC)"),
            choice("sensor_low", "Electronic, drives low when pressed"),
            choice("sensor_high", "Electronic, drives high when pressed"),
        ],
    )
    .help("electronic: one that drives both levels; an open collector is NO to ground"),
    Field::choice(
        "pull",
        "Input is pulled",
        &[
            choice("up", "Up, to the supply"),
            choice("down", "Down, to ground"),
            choice("none", "Not at all"),
        ],
    )
    .help("by the controller's own resistor or one beside the plug"),
    Field::choice(
        "to",
        "Contact connects to",
        &[choice("ground", "Ground"), choice("supply", "The supply")],
    )
    .when(CONTACT),
    Field::number("supply_volts", "Supply of the switch", V)
        .optional()
        .above(0.0, "a supply has a voltage")
        .at_most(1000.0, "no switch is fed more"),
    Field::number("input_max", "Most the input stands", V)
        .optional()
        .above(0.0, "an input stands some voltage")
        .at_most(1000.0, "no input stands more")
        .help("by the controller's data sheet"),
    Field::choice("seen_released", "Seen with the switch released", SEEN)
        .optional()
        .help("what the controller or a meter shows"),
    Field::choice("seen_pressed", "Seen with the switch pressed", SEEN).optional(),
];

const ANSWERS: &[Answer] = &[
    Answer::text("level_released", "Level released").headline(),
    Answer::text("level_pressed", "Level pressed").headline(),
    Answer::text(
        "invert",
        "Invert, for a controller that takes high for pressed",
    )
    .headline(),
    Answer::text("broken_wire", "A broken wire looks like"),
    Answer::text("safe", "Safe when a wire breaks").headline(),
    Answer::text("advice", "Advice"),
    Answer::text("fault", "Likeliest fault"),
];

const CHECKS: &[Check] = &[Check {
    id: "input_max",
    label: "Supply against the input",
    measure: V,
    within: "The input stands {limit}; the switch brings it {value}.",
    near: "The switch brings the input {value}, close to the {limit} it stands: check the supply's tolerance.",
    over: "The switch brings {value} to an input that stands {limit}: it is destroyed at the first touch. Feed the switch from the input's own supply, or put a level converter between.",
}];

const CAUTIONS: &[Caution] = &[
    Caution::raised(
        "unsafe",
        "With a wire off or broken this switch is not seen: the axis runs into its end with the motor's full force.",
        "Before each first homing press the switch by hand and see it read; better wire it so that a broken wire stops the axis.",
    ),
    Caution::raised(
        "overvoltage",
        "More than the input stands destroys it, and often the controller with it.",
        "With the plug off the controller measure the voltage at the signal wire, released and pressed.",
    ),
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "switch",
    title: "Limit switch",
    about: "how a limit switch reads, whether to invert it, and what a broken wire does",
    search: "endstop limit switch normally open closed pull-up inductive optical hall homing invert",
    subject: Subject::Proof,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: CAUTIONS,
    work,
};

const fn word(level: Level) -> &'static str {
    match level {
        Level::High => "high",
        Level::Low => "low",
        Level::Unsteady => "unsteady",
    }
}

fn level(word: &str) -> Option<Level> {
    match word {
        "high" => Some(Level::High),
        "low" => Some(Level::Low),
        "unsteady" => Some(Level::Unsteady),
        _ => None,
    }
}

/// The switch as it is wired.
fn wiring(inputs: &Inputs) -> Option<Wiring> {
    let contact = match inputs.choice("contact") {
        "no" => Contact::NormallyOpen,
        "nc" => Contact::NormallyClosed,
        "sensor_low" => Contact::SensorLow,
        "sensor_high" => Contact::SensorHigh,
        _ => return None,
    };
    let electronic = matches!(contact, Contact::SensorLow | Contact::SensorHigh);
    Some(Wiring {
        contact,
        pull: match inputs.choice("pull") {
            "up" => Level::High,
            "down" => Level::Low,
            "none" => Level::Unsteady,
            _ => return None,
        },
        closed: match inputs.choice("to") {
            "supply" => Level::High,
            "ground" => Level::Low,
            _ if electronic => Level::Low,
            _ => return None,
        },
    })
}

fn work(inputs: &Inputs, out: &mut Outcome) {
    let Some(wiring) = wiring(inputs) else { return };
    out.put_text("level_released", word(wiring.released()));
    out.put_text("level_pressed", word(wiring.pressed()));
    if let Some(invert) = wiring.invert() {
        out.put_yes("invert", invert);
    }
    out.put_text(
        "broken_wire",
        match wiring.broken() {
            Broken::Pressed => "pressed",
            Broken::NotSeen => "not_seen",
            Broken::Unsteady => "unsteady",
        },
    );
    out.put_yes("safe", wiring.safe());
    if !wiring.safe() {
        out.caution("unsafe");
    }
    out.put_text("advice", advice(&wiring));
    let seen = |key| level(inputs.choice(key));
    if let Some(fault) = wiring.fault(seen("seen_released"), seen("seen_pressed")) {
        out.put_text("fault", words(fault, &wiring));
    }
    if wiring.electronic() || wiring.closed == Level::High {
        let (volts, most) = (inputs.num("supply_volts"), inputs.num("input_max"));
        out.check_at_most("input_max", volts, most);
        if volts.zip(most).is_some_and(|(volts, most)| volts > most) {
            out.caution("overvoltage");
        }
    }
}

/// What to do about this wiring.
fn advice(wiring: &Wiring) -> String {
    let first = match (wiring.contact, wiring.pull) {
        _ if wiring.dead() => {
            "A contact to the rail to which the input is pulled changes nothing: connect it to the other rail."
        }
        (Contact::NormallyOpen | Contact::NormallyClosed, Level::Unsteady) => {
            "The input floats while the contact is open: add a pull resistor to the rail that the contact does not connect to."
        }
        (Contact::NormallyOpen, _) => {
            "A broken wire is not seen: use the contact that opens when pressed (NC)."
        }
        (Contact::NormallyClosed, _) => {
            "A broken wire stops the axis, as it should. Press the switch by hand and see it read before the first homing."
        }
        (Contact::SensorLow, Level::Low) => {
            "A cut signal or supply wire reads as pressed, as it should. Press the switch by hand and see it read before the first homing."
        }
        (_, Level::Unsteady) => {
            "The input floats when the signal wire breaks: add a pull resistor toward the level of a pressed switch."
        }
        (Contact::SensorLow, _) => {
            "A broken signal wire is not seen: pull the input down, the level of a pressed switch."
        }
        (Contact::SensorHigh, Level::High) => {
            "A broken signal wire reads as pressed, but with its supply wire cut the sensor may hold the line low, which is not seen: take one that is low when pressed, with a pull-down, or a contact that opens."
        }
        (Contact::SensorHigh, _) => {
            "A broken wire is not seen: take one that is low when pressed, with a pull-down, or a contact that opens."
        }
    };
    first.into()
}

/// The fault in words.
const fn words(fault: Fault, wiring: &Wiring) -> &'static str {
    match fault {
        Fault::None => "None: it reads as this wiring should.",
        Fault::Reversed => {
            "It reads the other way round: the other contact (NO for NC) or the other kind of sensor is wired."
        }
        Fault::Open if wiring.electronic() => {
            "The input only sees its pull resistor: the signal wire is broken or in the wrong pin, or the sensor has no supply."
        }
        Fault::Open => {
            "The contact never closes: a broken wire, a plug in the wrong pin, or a lever that does not reach it."
        }
        Fault::Stuck => {
            "The contact never opens: it is stuck, its wires touch, or the plug bridges the wrong pins."
        }
        Fault::Floating => {
            "The input floats: nothing pulls it while the contact is open, the plug is loose, or ground is not connected."
        }
        Fault::AlwaysHigh if wiring.electronic() => {
            "Always high: the sensor does not switch, its signal wire touches the supply, or its ground wire is off."
        }
        Fault::AlwaysLow if wiring.electronic() => {
            "Always low: the sensor does not switch, its signal wire touches ground, or its supply wire is off."
        }
        Fault::AlwaysHigh => {
            "Always high, which neither the contact nor the pull can do: the signal wire touches the supply."
        }
        Fault::AlwaysLow => {
            "Always low, which neither the contact nor the pull can do: the signal wire touches ground."
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{faults, run, state, text};

    #[test]
    fn a_closed_contact_to_ground_with_a_pull_up_is_the_safe_one() {
        let report = run(
            "switch",
            &[("contact", "nc"), ("pull", "up"), ("to", "ground")],
        );
        let is = |key| text(&report, key);
        assert_eq!((is("level_released"), is("level_pressed")), ("low", "high"));
        assert_eq!(
            (is("invert"), is("broken_wire"), is("safe")),
            ("no", "pressed", "yes")
        );
        assert_eq!(is("fault"), "");
        assert!(report.cautions.is_empty());
    }

    #[test]
    fn a_contact_that_cannot_make_the_level_is_not_called_a_sensor() {
        let run = |contact| {
            let entries = [("contact", contact), ("pull", "up"), ("to", "supply")];
            let seen = [("seen_released", "low"), ("seen_pressed", "low")];
            run("switch", &[entries.as_slice(), &seen].concat())
        };
        let (contact, sensor) = (run("no"), run("sensor_low"));
        let fault = text(&contact, "fault");
        assert!(!fault.contains("sensor") && fault.contains("signal wire touches ground"));
        assert!(text(&sensor, "fault").contains("sensor"));
    }

    #[test]
    fn a_contact_to_its_own_rail_never_changes() {
        let report = run(
            "switch",
            &[("contact", "nc"), ("pull", "up"), ("to", "supply")],
        );
        let is = |key| text(&report, key);
        assert_eq!(
            (is("level_released"), is("level_pressed")),
            ("high", "high")
        );
        assert_eq!(
            (is("invert"), is("broken_wire"), is("safe")),
            ("", "not_seen", "no")
        );
        assert!(is("advice").contains("other rail"));
    }

    #[test]
    fn a_floating_input_is_named() {
        let report = run("switch", &[("pull", "none"), ("seen_pressed", "unsteady")]);
        assert_eq!(text(&report, "level_released"), "unsteady");
        assert!(text(&report, "advice").contains("floats"));
        assert!(text(&report, "fault").contains("floats"));
    }

    #[test]
    fn the_input_is_checked_only_where_the_supply_comes_to_it() {
        let volts = [("supply_volts", "5"), ("input_max", "3.6")];
        let with = |more: &[(&'static str, &'static str)]| {
            let entries: std::vec::Vec<_> = volts.iter().chain(more).copied().collect();
            run("switch", &entries)
        };
        assert_eq!(state(&with(&[("to", "ground")]), "input_max"), "");
        assert_eq!(
            state(&with(&[("to", "supply"), ("pull", "down")]), "input_max"),
            "over"
        );
        assert_eq!(
            state(&with(&[("contact", "sensor_high")]), "input_max"),
            "over"
        );
        let blank = run(
            "switch",
            &[("contact", "sensor_high"), ("supply_volts", "5")],
        );
        assert_eq!(state(&blank, "input_max"), "");
    }

    #[test]
    fn a_word_that_is_no_choice_is_refused() {
        assert_eq!(faults(&run("switch", &[("contact", "maybe")])), ["contact"]);
        assert_eq!(
            faults(&run("switch", &[("seen_pressed", "maybe")])),
            ["seen_pressed"]
        );
    }
}
