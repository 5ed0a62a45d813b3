//! The first power-on order: what is disconnected, measured, set low, watched, and when to stop.
//!
//! General and careful, in this project's own words, common practice throughout; the machine's own figures stand in it. It
//! defers to local electrical codes, a licensed electrician for mains work, and each part's own data sheet.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use crate::entry::unit::{A, CELSIUS, Measure, OHM, S, TEMP_DIFF, V};
use crate::machine::{Machine, PartKind, Worked};
use crate::sheets::{Report, with_unit};

/// What a step belongs to, in the order of the work.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Stage {
    /// Everything unplugged.
    Disconnected,
    /// Measured without power.
    Measure,
    /// Limits that are set low first.
    SetLow,
    /// Power, one thing after the other.
    Power,
    /// What to watch.
    Watch,
    /// When to stop.
    Stop,
}

impl Stage {
    /// The heading people read.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Disconnected => "Before power: disconnected",
            Self::Measure => "Before power: measured",
            Self::SetLow => "Set low first",
            Self::Power => "Power, one thing after the other",
            Self::Watch => "Watch",
            Self::Stop => "Stop at once when",
        }
    }

    /// The word that scripts read.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Disconnected => "disconnected",
            Self::Measure => "measure",
            Self::SetLow => "set_low",
            Self::Power => "power",
            Self::Watch => "watch",
            Self::Stop => "stop",
        }
    }
}

/// What is said above the list.
pub const NOTE: &str = "General order, common practice. The local electrical code, a licensed electrician for all mains \
work, and each part's own data sheet go before it.";

/// One box to tick.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Step {
    /// What it belongs to.
    pub stage: Stage,
    /// What to do, or what to see.
    pub text: String,
}

/// What a machine must have for a general step to apply.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Needs {
    Nothing,
    Heater,
    Motor,
    Lift,
}

const GENERAL: &[(Stage, Needs, &str)] = &[
    (
        Stage::Disconnected,
        Needs::Nothing,
        "Mains plug out, and within reach of where you stand; nobody else at the machine.",
    ),
    (
        Stage::Disconnected,
        Needs::Nothing,
        "Mains side checked, earthed, fused and covered by someone licensed for it.",
    ),
    (
        Stage::Disconnected,
        Needs::Motor,
        "All motors unplugged from their drivers. A motor is plugged and unplugged only without power, the supply discharged.",
    ),
    (
        Stage::Disconnected,
        Needs::Heater,
        "All heaters unplugged, their sensors plugged in.",
    ),
    (
        Stage::Disconnected,
        Needs::Lift,
        "Lift axis propped, so that it cannot fall whatever the motor does.",
    ),
    (
        Stage::Measure,
        Needs::Nothing,
        "Frame to protective earth: continuous, far below 1 Ω.",
    ),
    (
        Stage::Measure,
        Needs::Nothing,
        "Supply's plus to minus, at the controller's plug: no short, and the right way round.",
    ),
    (
        Stage::Measure,
        Needs::Heater,
        "Each heater and sensor to its metal part: open, on the meter's highest range.",
    ),
    (
        Stage::Measure,
        Needs::Heater,
        "Each sensor pulled by hand: it stays in its place. A sensor that falls out lets its heater run on.",
    ),
    (
        Stage::Measure,
        Needs::Motor,
        "Each axis moved by hand from end to end: nothing binds, no wire is caught.",
    ),
    (
        Stage::SetLow,
        Needs::Heater,
        "Highest temperature of each heater: 60 °C, until its sensor is proven with a second thermometer.",
    ),
    (
        Stage::SetLow,
        Needs::Motor,
        "Speed and acceleration: a tenth of what is wanted.",
    ),
    (
        Stage::Power,
        Needs::Nothing,
        "Supply alone, nothing connected: voltage measured, then mains off.",
    ),
    (
        Stage::Power,
        Needs::Nothing,
        "Controller alone: it starts, nothing gets warm in five minutes.",
    ),
    (
        Stage::Power,
        Needs::Heater,
        "Sensors: all read room temperature; a warm finger moves the right one. Unplugged and shorted, each reads as a fault.",
    ),
    (
        Stage::Power,
        Needs::Motor,
        "Limit switches: pressed by hand and one wire off, each seen as it should be, before any axis moves.",
    ),
    (
        Stage::Power,
        Needs::Motor,
        "Power off, one motor in, power on: a move of 1 mm in the right direction, then the next motor.",
    ),
    (
        Stage::Power,
        Needs::Lift,
        "Power off with the lift axis up, a hand away from below it: it stays, or its prop stays in the plan.",
    ),
    (
        Stage::Power,
        Needs::Heater,
        "Power off, one heater in, power on: to 60 °C with a second thermometer beside its sensor, then the next heater.",
    ),
    (
        Stage::Watch,
        Needs::Nothing,
        "Smell, smoke, buzzing, a supply's fan that never rests; connectors and wires warm to the hand.",
    ),
    (
        Stage::Watch,
        Needs::Heater,
        "The second thermometer against the display, all the way up. The machine is never left alone while it heats.",
    ),
    (
        Stage::Watch,
        Needs::Motor,
        "Motors and drivers after ten minutes: too hot to hold means less current or more air.",
    ),
    (
        Stage::Stop,
        Needs::Nothing,
        "Anything smokes, sparks, smells burnt, or a fuse blows. Find out why before it is replaced, and never with a larger one.",
    ),
    (
        Stage::Stop,
        Needs::Heater,
        "A temperature that rises without being asked to, stands still while heating, or jumps.",
    ),
    (
        Stage::Stop,
        Needs::Heater,
        "The two thermometers differ by more than 10 °C.",
    ),
    (
        Stage::Stop,
        Needs::Motor,
        "An axis moves the wrong way, or does not stop at its switch.",
    ),
];

/// The general steps that this machine needs, each stage followed by the machine's own figures.
pub(super) fn steps(machine: &Machine, worked: &Worked) -> Vec<Step> {
    let is = |kind| machine.parts.iter().any(|part| part.kind() == kind);
    let has = |sheet: &str| worked.reports().any(|(_, report)| report.sheet.id == sheet);
    let lifts = worked.reports().any(|(_, report)| {
        report.sheet.id == "screw"
            || report.sheet.id == "headroom" && report.inputs.num("lift").is_some_and(|kg| kg > 0.0)
    });
    let mut steps: Vec<Step> = GENERAL
        .iter()
        .filter(|(_, needs, _)| match needs {
            Needs::Nothing => true,
            Needs::Heater => is(PartKind::Heater) || has("heater"),
            Needs::Motor => is(PartKind::Axis) || has("current"),
            Needs::Lift => lifts,
        })
        .map(|(stage, _, text)| Step {
            stage: *stage,
            text: (*text).to_string(),
        })
        .collect();
    for (part, report) in worked.reports() {
        let name = machine
            .parts
            .get(part)
            .map_or("", |part| part.name.as_str());
        own(&mut steps, name, report);
    }
    // Stable: the general ones stay before the machine's own.
    steps.sort_by_key(|step| step.stage);
    steps
}

/// What a sheet's figures add.
fn own(steps: &mut Vec<Step>, name: &str, report: &Report) {
    let entry = |key: &str| {
        report
            .inputs
            .field(key)
            .and_then(|_| report.inputs.num(key))
    };
    let number = |x: Option<f64>, measure: Measure| x.map(|x| with_unit(x, measure));
    let mut add = |stage, text: Option<String>| {
        steps.extend(text.map(|text| Step {
            stage,
            text: format!("{name}: {text}"),
        }))
    };
    match report.sheet.id {
        "supply" => {
            let volts = number(entry("volts"), V);
            add(
                Stage::Power,
                volts.map(|volts| format!("{volts} with nothing connected.")),
            );
        }
        "heater" => {
            let ohms = number(report.number("ohms"), OHM);
            add(
                Stage::Measure,
                ohms.map(|ohms| format!("heater {ohms} between its leads, cold.")),
            );
            let slowest = number(report.number("fault_seconds"), S)
                .zip(number(report.number("fault_rise"), TEMP_DIFF));
            add(
                Stage::Stop,
                slowest.map(|(seconds, rise)| {
                    format!("full on, and no rise by {rise} within {seconds}.")
                }),
            );
            let most = number(entry("max_allowed"), CELSIUS);
            add(
                Stage::Stop,
                most.map(|most| format!("more than {most}, by any thermometer.")),
            );
        }
        "sensor" => {
            let ohms = number(entry("r25"), OHM);
            add(
                Stage::Measure,
                ohms.map(|ohms| format!("sensor about {ohms} at 25 °C between its leads.")),
            );
        }
        "current" => {
            let ohms = number(entry("resistance"), OHM);
            add(
                Stage::Measure,
                ohms.map(|ohms| format!("each coil of the motor {ohms}, and open to the frame.")),
            );
            let half = number(report.number("motor_rms").map(|rms| rms / 2.0), A);
            add(
                Stage::SetLow,
                half.map(|half| format!("motor current {half} RMS, half of what it is to get.")),
            );
        }
        "cutoff" => {
            let rating = number(entry("rating"), CELSIUS);
            add(
                Stage::Measure,
                rating.map(|rating| {
                    format!("thermal fuse of {rating} in the heater's own line, continuous.")
                }),
            );
        }
        "wire" => {
            let fuse = number(report.number("fuse"), A);
            add(
                Stage::Measure,
                fuse.map(|fuse| format!("fuse of {fuse} or less in its line.")),
            );
        }
        _ => {}
    }
}
