//! `current`: the current budget of motors on one supply, and the setting of their driver.

use alloc::format;
use alloc::string::String;
use core::f64::consts::SQRT_2;

use super::declare::{Answer, Caution, Check, Field, Sheet, Subject, When, choice};
use super::inputs::Inputs;
use super::outcome::{Outcome, State};
use crate::entry::unit::{A, CELSIUS, MH, OHM, ONE, PERCENT, TEMP_DIFF, V, W};
use crate::motor::{self, Cooling};

const REFERENCE: When = &[("setting", &["reference"])];
const SCALE: When = &[("setting", &["scale"])];
const SET: When = &[("setting", &["reference", "scale"])];
const PARALLEL: When = &[("wiring", &["parallel"])];
const SERIES: When = &[("wiring", &["series"])];
const OWN_DRIVER: When = &[("wiring", &["own_driver"])];
const ONE_DRIVER: When = &[("wiring", &["single", "parallel", "series"])];
const ONE_EACH: When = &[("wiring", &["single", "own_driver"])];
const NOT_PARALLEL: When = &[("wiring", &["single", "series", "own_driver"])];
const RATED_RMS: When = &[("rated_as", &["rms"])];
const RATED_PEAK: When = &[("rated_as", &["peak"])];

const FIELDS: &[Field] = &[
    Field::number("rated", "Rated current of a phase", A)
        .above(0.0, "a motor takes current")
        .at_most(1000.0, "no step motor takes more")
        .usual(0.1, 10.0, "step motors of such machines")
        .help("on the motor's label or data sheet"),
    Field::choice(
        "rated_as",
        "Rated as",
        &[
            choice("rms", "RMS, as most data sheets mean it"),
            choice("peak", "Peak of the sine"),
        ],
    ),
    Field::number("resistance", "Resistance of a phase at 25 °C", OHM)
        .above(0.0, "a winding resists")
        .at_most(1e6, "no winding resists more"),
    Field::number("inductance", "Inductance of a phase", MH)
        .optional()
        .above(0.0, "a winding has inductance")
        .at_most(1e6, "no winding has more"),
    Field::count("motors", "Motors of this axis")
        .default("1")
        .at_least(1.0, "an axis has a motor")
        .at_most(4.0, "this sheet takes up to four"),
    Field::choice(
        "wiring",
        "Wiring",
        &[
            choice("single", "One motor, one driver"),
            choice("parallel", "In parallel on one driver"),
            choice("series", "In series on one driver"),
            choice("own_driver", "Each on a driver of its own"),
        ],
    ),
    Field::either("set", "Current of each motor", &[A, PERCENT])
        .above(0.0, "a motor needs current to move")
        .at_most(1e4, "no step motor takes more")
        .help("RMS in A, or % of the rated RMS current"),
    Field::number("hold", "Holding current, of running", PERCENT)
        .default("60")
        .at_least(0.0, "off is the least")
        .at_most(100.0, "running is the most"),
    Field::number("driver_limit", "Driver's limit, RMS", A)
        .optional()
        .above(0.0, "a driver gives current")
        .at_most(1e4, "no driver gives more")
        .help("with the cooling it really has"),
    Field::number("rds_on", "On-resistance of one driver switch", OHM)
        .optional()
        .at_least(0.0, "a switch resists or not")
        .at_most(1000.0, "no switch resists more")
        .help("by the driver's data sheet, for its heat"),
    Field::number("supply", "Supply", V)
        .above(0.0, "a supply has a voltage")
        .at_most(1000.0, "no step motor driver takes more"),
    Field::number("ambient", "Ambient", CELSIUS)
        .default("25")
        .at_least(-100.0, "no workshop is colder")
        .at_most(200.0, "no enclosure is hotter")
        .help("of the air around the motor, so of the enclosure"),
    Field::number("rise_rated", "Rise at rated current", TEMP_DIFF)
        .default("80")
        .above(0.0, "a motor under current warms up")
        .at_most(500.0, "no winding survives more")
        .help("both phases; 80 K is what data sheets state"),
    Field::number("mount_limit", "Mount softens at", CELSIUS)
        .optional()
        .at_least(-100.0, "no mount softens colder")
        .at_most(1000.0, "no mount stands more")
        .help("of a printed mount: where its plastic softens"),
    Field::choice(
        "setting",
        "Driver is set by",
        &[
            choice("none", "Not asked here"),
            choice("reference", "A reference voltage"),
            choice("scale", "A step of a current register"),
        ],
    ),
    Field::number("gain", "Gain of the sense amplifier", ONE)
        .above(0.0, "an amplifier amplifies")
        .at_most(1e6, "no driver amplifies more")
        .help("by the data sheet: peak current = reference ÷ (gain × sense resistor)")
        .when(REFERENCE),
    Field::number("full_scale", "Full-scale sense voltage", V)
        .above(0.0, "a sense voltage is measured")
        .at_most(100.0, "no driver senses more")
        .help("by the data sheet, for the range chosen")
        .when(SCALE),
    Field::number("sense", "Sense resistor", OHM)
        .above(0.0, "a sense resistor resists")
        .at_most(1000.0, "no sense resistor resists more")
        .help("printed on it: R100 or 0R11 is in ohms")
        .when(SET),
    Field::number("sense_internal", "Resistance inside the driver", OHM)
        .default("0")
        .at_least(0.0, "a lead resists or not")
        .at_most(1000.0, "no lead resists more")
        .help("in series with the sense resistor, by the data sheet")
        .when(SCALE),
    Field::count("scale_steps", "Steps of the register")
        .default("32")
        .at_least(1.0, "a register has a step")
        .at_most(65_536.0, "no register has more")
        .when(SCALE),
];

const SINE: &str = "RMS value of a sine";
const JOULE: &str = "Joule's law, both phases";
const COPPER: &str = "IEC 60034-1, copper by resistance: (235 + T) ÷ 260";
const BALANCE: &str =
    "Heat balance with copper by IEC 60034-1; share = (current ÷ rated)² × rise ÷ (260 + rise)";
const WIRING: &str = "Kirchhoff's laws";
const BY_SHEET: &str = "Relation of the driver's data sheet";

const ANSWERS: &[Answer] = &[
    Answer::number("rated_rms", "Rated RMS current", A)
        .formula("{rated}", "As typed")
        .aside()
        .when(RATED_RMS),
    Answer::number("rated_rms", "Rated RMS current", A)
        .formula("{rated} ÷ √2", SINE)
        .aside()
        .when(RATED_PEAK),
    Answer::number("motor_rms", "Motor current, RMS", A).headline().formula("{set}, of {rated_rms} where it is a percentage", "As typed"),
    Answer::number("motor_peak", "Motor current, peak", A).formula("{motor_rms} × √2", SINE),
    Answer::number("driver_rms", "Driver current, RMS", A)
        .formula("{motors} × {motor_rms}", WIRING)
        .when(PARALLEL),
    Answer::number("driver_rms", "Driver current, RMS", A)
        .formula("{motor_rms}", WIRING)
        .when(NOT_PARALLEL),
    Answer::number("driver_peak", "Driver current, peak", A).formula("{driver_rms} × √2", SINE),
    Answer::number("drivers", "Drivers", ONE).fixed(0).formula("one for each of {motors} motors", WIRING).when(OWN_DRIVER),
    Answer::number("drivers", "Drivers", ONE).fixed(0).formula("one for all", WIRING).when(ONE_DRIVER),
    Answer::number(
        "driver_resistance",
        "Resistance that a driver sees at 25 °C",
        OHM,
    )
    .formula("{resistance} ÷ {motors}", WIRING)
    .when(PARALLEL),
    Answer::number(
        "driver_resistance",
        "Resistance that a driver sees at 25 °C",
        OHM,
    )
    .formula("{resistance} × {motors}", WIRING)
    .when(SERIES),
    Answer::number(
        "driver_resistance",
        "Resistance that a driver sees at 25 °C",
        OHM,
    )
    .formula("{resistance}", WIRING)
    .when(ONE_EACH),
    Answer::number("driver_inductance", "Inductance that a driver sees", MH).formula("{inductance} ÷ {motors}", WIRING).when(PARALLEL),
    Answer::number("driver_inductance", "Inductance that a driver sees", MH).formula("{inductance} × {motors}", WIRING).when(SERIES),
    Answer::number("driver_inductance", "Inductance that a driver sees", MH).formula("{inductance}", WIRING).when(ONE_EACH),

    Answer::number("loop_share", "Share of heat fed back", ONE)
        .formula(
            "({motor_rms} ÷ {rated_rms})² × {rise_rated} ÷ (260 + {rise_rated})",
            BALANCE,
        )
        .aside(),
    Answer::number("motor_temp", "Motor settles at", CELSIUS)
        .fixed(1)
        .headline()
        .formula(
            "({ambient} + 235 × {loop_share}) ÷ (1 − {loop_share})",
            BALANCE,
        ),
    Answer::number("heat", "Heat of each motor", W).formula(
        "2 × {motor_rms}² × {resistance} × (235 + {motor_temp}) ÷ 260",
        JOULE,
    ),
    Answer::number("volts_needed", "Voltage needed at standstill", V).formula(
        "{driver_peak} × {driver_resistance} × (235 + {motor_temp}) ÷ 260",
        COPPER,
    ),
    Answer::number("hold_rms", "Holding current, RMS", A)
        .formula("{motor_rms} × {hold}", "Definition"),
    Answer::number("hold_temp", "Motor settles at, holding", CELSIUS).fixed(1).formula("as while running, with {hold_rms}", BALANCE),
    Answer::number("torque_fraction", "Torque, of the rated", PERCENT).formula(
        "{motor_rms} ÷ {rated_rms}",
        "Torque in proportion to the current, common practice below saturation",
    ),
    Answer::number(
        "mount_rms",
        "Current that brings the motor to the mount's limit, RMS",
        A,
    )
    .formula("{rated_rms} × √(({mount_limit} − {ambient}) ÷ (235 + {mount_limit}) × (260 + {rise_rated}) ÷ {rise_rated})", BALANCE),
    Answer::number("vref", "Reference voltage", V)
        .headline()
        .formula("{driver_peak} × {gain} × {sense}", BY_SHEET)
        .when(REFERENCE),
    Answer::number("scale", "Register step", ONE)
        .fixed(0)
        .headline()
        .formula("highest step that gives no more than {driver_rms}", BY_SHEET)
        .when(SCALE),
    Answer::number("set_actual", "Current that this step gives, RMS", A)
        .formula(
            "({scale} + 1) ÷ {scale_steps} × {full_scale} ÷ ({sense} + {sense_internal}) ÷ √2",
            BY_SHEET,
        )
        .when(SCALE),
    Answer::number("sense_heat", "Heat of each sense resistor", W)
        .formula("{driver_rms}² × {sense}", "Joule's law")
        .when(SET),
    Answer::number("driver_heat", "Heat of each driver", W).formula(
        "4 × {driver_rms}² × {rds_on}",
        "Joule's law over two bridges; switching losses left out",
    ),
    Answer::number("supply_current", "Supply current at standstill", A).formula(
        "({motors} × {heat} + {drivers} × {driver_heat}) ÷ {supply}",
        "Energy balance",
    ),
];

const CHECKS: &[Check] = &[
    Check {
        id: "driver_limit",
        label: "Driver current",
        measure: A,
        within: "The driver gives {value} of its {limit}.",
        near: "The driver gives {value} of its {limit}: give it air.",
        over: "The driver would have to give {value}; its limit is {limit}.",
    },
    Check {
        id: "mount",
        label: "Motor against its mount",
        measure: CELSIUS,
        within: "The motor settles at {value}, below the mount's {limit}.",
        near: "The motor settles at {value}; the mount softens at {limit}, and creeps before.",
        over: "The motor gets hotter than the mount's limit of {limit}: it softens and lets go.",
    },
    Check {
        id: "volts",
        label: "Voltage at standstill",
        measure: V,
        within: "Standstill needs {value} of the supply's {limit}.",
        near: "Standstill needs {value} of the supply's {limit}: little is left for speed.",
        over: "The supply of {limit} cannot drive the set current through the warm winding.",
    },
    Check {
        id: "clamped",
        label: "Range of the register",
        measure: A,
        within: "The register reaches {value}.",
        near: "The register's lowest step gives more than the {value} asked for: the motor runs hotter than set.",
        over: "The register ends below the {value} asked for: the motor gets less than set.",
    },
    Check {
        id: "parallel",
        label: "Motors in parallel",
        measure: ONE,
        within: "No motors in parallel.",
        near: "Motors in parallel share the current unevenly; with one unplugged the other gets all of it.",
        over: "",
    },
];

const CAUTIONS: &[Caution] = &[
    Caution::always(
        "set_first",
        "A current set too high overheats motor, driver and mount within minutes.",
        "With the power off, set the current before the first move; start low and feel the motor for an hour.",
    ),
    Caution::always(
        "unplug",
        "A motor unplugged under power kills its driver and can burn fingers with an arc.",
        "Switch the supply off and wait for it to run down before touching a motor lead.",
    ),
    Caution::raised(
        "parallel",
        "Motors in parallel share unevenly, and one unplugged leaves the other with all of the current.",
        "Secure both plugs, power off; better is a driver for each motor.",
    ),
    Caution::raised(
        "runaway",
        "At this current the winding's resistance rises faster than the heat leaves: the motor burns.",
        "Do not run it at this current; the part's data sheet is the limit.",
    ),
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "current",
    title: "Motor current",
    about: "what to set the driver to, how warm the motor gets, and whether the supply can drive it",
    search: "driver vref reference voltage sense resistor rms peak heat temperature parallel series stepper",
    subject: Subject::Current,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: CAUTIONS,
    work,
};

fn work(inputs: &Inputs, out: &mut Outcome) {
    let rated_rms = inputs
        .num("rated")
        .and_then(|rated| match inputs.choice("rated_as") {
            "rms" => Some(rated),
            "peak" => Some(motor::rms_from_peak(rated)),
            _ => None,
        });
    out.put("rated_rms", rated_rms);
    let motor_rms = match inputs.either("set") {
        Some((0, amps)) => Some(amps),
        Some((_, percent)) => rated_rms.map(|rated| rated * percent / 100.0),
        None => None,
    };
    out.put("motor_rms", motor_rms);
    out.put("motor_peak", motor_rms.map(motor::peak_from_rms));
    out.put(
        "torque_fraction",
        motor_rms
            .zip(rated_rms)
            .map(|(rms, rated)| 100.0 * rms / rated),
    );
    let hold_rms = motor_rms
        .zip(inputs.num("hold"))
        .map(|(rms, percent)| rms * percent / 100.0);
    out.put("hold_rms", hold_rms);

    let wired = Wired::read(inputs, out);
    let driver_rms = wired.zip(motor_rms).map(|(wired, rms)| rms * wired.current);
    out.put("driver_rms", driver_rms);
    out.put("driver_peak", driver_rms.map(motor::peak_from_rms));
    out.put("drivers", wired.map(|wired| wired.drivers));
    let ohms = wired
        .zip(inputs.num("resistance"))
        .map(|(wired, ohm)| ohm * wired.impedance);
    out.put("driver_resistance", ohms);
    let inductance = wired.zip(inputs.num("inductance"));
    out.put(
        "driver_inductance",
        inductance.map(|(wired, mh)| mh * wired.impedance),
    );
    out.check_at_most("driver_limit", driver_rms, inputs.num("driver_limit"));

    let warmth = warmth(inputs, out, rated_rms, motor_rms, hold_rms);
    voltage(inputs, out, warmth, driver_rms, ohms);
    setting(inputs, out, driver_rms);
    heat(inputs, out, warmth, wired, motor_rms, driver_rms);
}

/// How the wiring multiplies what one motor takes and shows.
#[derive(Clone, Copy)]
struct Wired {
    motors: f64,
    drivers: f64,
    /// Current of a driver over the current of one motor.
    current: f64,
    /// Resistance and inductance that a driver sees over those of one phase.
    impedance: f64,
}

impl Wired {
    fn read(inputs: &Inputs, out: &mut Outcome) -> Option<Self> {
        let motors = inputs.num("motors")?;
        let (drivers, current, impedance) = match inputs.choice("wiring") {
            "single" if motors > 1.0 => {
                out.problem(
                    "wiring",
                    format!(
                        "Wiring: choose parallel, series or a driver for each; one driver drives only one of {motors_text} motors.",
                        motors_text = whole(motors)
                    ),
                );
                return None;
            }
            "single" => (1.0, 1.0, 1.0),
            "parallel" => (1.0, motors, 1.0 / motors),
            "series" => (1.0, 1.0, motors),
            "own_driver" => (motors, 1.0, 1.0),
            _ => return None,
        };
        if inputs.choice("wiring") == "parallel" && motors > 1.0 {
            out.check("parallel", State::Near, None, None);
            out.caution("parallel");
        }
        Some(Self {
            motors,
            drivers,
            current,
            impedance,
        })
    }
}

/// How warm the motor gets.
#[derive(Clone, Copy)]
enum Warmth {
    /// An entry is missing.
    Unknown,
    /// It settles at so many C.
    Settles(f64),
    /// It does not settle.
    RunsAway,
}

fn warmth(
    inputs: &Inputs,
    out: &mut Outcome,
    rated_rms: Option<f64>,
    motor_rms: Option<f64>,
    hold_rms: Option<f64>,
) -> Warmth {
    let (Some(rated_rms), Some(rise_rated), Some(ambient)) =
        (rated_rms, inputs.num("rise_rated"), inputs.num("ambient"))
    else {
        return Warmth::Unknown;
    };
    let cooling = Cooling {
        rated_rms,
        rise_rated,
    };
    let limit = inputs.num("mount_limit");
    out.put(
        "mount_rms",
        limit.and_then(|limit| cooling.rms_for_temperature(limit, ambient)),
    );
    out.put(
        "hold_temp",
        hold_rms.and_then(|rms| cooling.temperature_c(rms, ambient)),
    );
    let Some(rms) = motor_rms else {
        return Warmth::Unknown;
    };
    out.put("loop_share", cooling.loop_share(rms));
    match cooling.temperature_c(rms, ambient) {
        Some(settled) => {
            out.put("motor_temp", settled);
            out.check_at_most("mount", settled, limit);
            Warmth::Settles(settled)
        }
        None => {
            out.caution("runaway");
            if limit.is_some() {
                out.check("mount", State::Over, None, limit);
            }
            Warmth::RunsAway
        }
    }
}

/// The voltage that drives the peak current through the warm winding at standstill.
fn voltage(
    inputs: &Inputs,
    out: &mut Outcome,
    warmth: Warmth,
    driver_rms: Option<f64>,
    ohms: Option<f64>,
) {
    let supply = inputs.num("supply");
    match warmth {
        Warmth::Unknown => {}
        Warmth::RunsAway => {
            if supply.is_some() {
                out.check("volts", State::Over, None, supply);
            }
        }
        Warmth::Settles(celsius) => {
            let volts = driver_rms.zip(ohms).map(|(rms, ohms)| {
                motor::peak_from_rms(rms) * ohms * motor::copper_factor(celsius)
            });
            out.put("volts_needed", volts);
            out.check_at_most("volts", volts, supply);
        }
    }
}

/// The driver's reference voltage or register step.
fn setting(inputs: &Inputs, out: &mut Outcome, driver_rms: Option<f64>) {
    let way = inputs.choice("setting");
    if !matches!(way, "reference" | "scale") {
        return;
    }
    let (Some(rms), Some(sense)) = (driver_rms, inputs.num("sense")) else {
        return;
    };
    out.put("sense_heat", rms * rms * sense);
    if way == "reference" {
        out.put(
            "vref",
            inputs
                .num("gain")
                .map(|gain| motor::peak_from_rms(rms) * gain * sense),
        );
        return;
    }
    let (Some(full_scale), Some(internal), Some(steps)) = (
        inputs.num("full_scale"),
        inputs.num("sense_internal"),
        inputs.num("scale_steps"),
    ) else {
        return;
    };
    let register = motor::Register {
        full_scale_rms: full_scale / (sense + internal) / SQRT_2,
        steps,
    };
    let step = register.step_for(rms);
    out.put("scale", step);
    out.put("set_actual", register.rms(step));
    let (least, most) = (register.rms(0.0), register.rms(steps - 1.0));
    if rms > most * (1.0 + motor::REGISTER_GUARD) {
        out.check("clamped", State::Over, rms, most);
    } else if rms < least * (1.0 - motor::REGISTER_GUARD) {
        out.check("clamped", State::Near, rms, least);
    } else {
        out.check("clamped", State::Within, rms, most);
    }
}

/// The heat of motors and drivers, and what it takes from the supply.
fn heat(
    inputs: &Inputs,
    out: &mut Outcome,
    warmth: Warmth,
    wired: Option<Wired>,
    motor_rms: Option<f64>,
    driver_rms: Option<f64>,
) {
    let driver_heat = driver_rms
        .zip(inputs.num("rds_on"))
        .map(|(rms, ohm)| motor::driver_heat_w(rms, ohm));
    out.put("driver_heat", driver_heat);
    let Warmth::Settles(celsius) = warmth else {
        return;
    };
    let motor_heat = motor_rms
        .zip(inputs.num("resistance"))
        .map(|(rms, ohm)| motor::copper_heat_w(rms, ohm * motor::copper_factor(celsius)));
    out.put("heat", motor_heat);
    if let (Some(wired), Some(motor), Some(driver), Some(supply)) =
        (wired, motor_heat, driver_heat, inputs.num("supply"))
    {
        out.put(
            "supply_current",
            (wired.motors * motor + wired.drivers * driver) / supply,
        );
    }
}

/// A whole number as text.
fn whole(n: f64) -> String {
    crate::entry::write::write_shortest(n, 6)
}
