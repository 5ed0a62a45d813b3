//! What the checks of the whole machine say.

use crate::entry::unit::{CELSIUS, Measure, ONE, PER_S, W};
use crate::sheets::Check;

const fn check(
    id: &'static str,
    label: &'static str,
    measure: Measure,
    [within, near, over]: [&'static str; 3],
) -> Check {
    Check {
        id,
        label,
        measure,
        within,
        near,
        over,
    }
}

/// Their words; `{part}` is the part's name, `{names}` what else is named.
pub static CHECKS: &[Check] = &[
    check(
        "loads",
        "All loads of the machine against the supply",
        W,
        [
            "{part}: everything on at once takes {value} of the {limit} that it should carry.{names}",
            "{part}: everything on at once takes {value} of the {limit} that it should carry: little is left.{names}",
            "{part}: everything on at once takes {value}, more than the {limit} that it should carry.{names}",
        ],
    ),
    check(
        "step_rate",
        "Step rate of each axis against the controller",
        PER_S,
        [
            "{part} asks for {value}; the controller makes {limit} for each motor.",
            "{part} asks for {value}, close to the {limit} that the controller makes for each motor.",
            "{part} asks for {value}, more than the {limit} that the controller makes for each motor: fewer microsteps, or slower.{names}",
        ],
    ),
    check(
        "step_total",
        "Step rates of all axes against the controller",
        PER_S,
        [
            "All axes at once ask for {value}; the controller makes {limit}.",
            "All axes at once ask for {value}, close to the {limit} that the controller makes.",
            "All axes at once ask for {value}, more than the {limit} that the controller makes: fewer microsteps, or slower.",
        ],
    ),
    check(
        "steps_agree",
        "Steps per mm, the same in both sheets",
        ONE,
        [
            "",
            "",
            "{part}: the step rates are worked out with {value} steps per mm, its travel gives {limit}. One of them is wrong.",
        ],
    ),
    check(
        "sensor_range",
        "Sensor against the heater's limits",
        CELSIUS,
        [
            "{part}: the sensor is known up to {limit}, the heater is allowed {value}.",
            "{part}: the sensor is known from {limit} only, the heater starts at {value}: it cannot be told from a broken one there.",
            "{part}: the sensor is known up to {limit}, the heater is allowed {value}: beyond, nobody knows how hot it is.",
        ],
    ),
    check(
        "fuse",
        "Heater that fails on",
        CELSIUS,
        [
            "{part}: left on by a fault it reaches {value}; its thermal fuse opens before the {limit} it is allowed.",
            "{part}: left on by a fault it reaches {value}, close to the {limit} it is allowed, and has no thermal fuse that fits.",
            "{part}: left on by a fault it reaches {value}, over the {limit} it is allowed, and has no thermal fuse that opens in time.",
        ],
    ),
    check(
        "drop",
        "Lift axis without power",
        ONE,
        [
            "{part} stays where it is without power.",
            "{part} may sink without power: {names}",
            "{part} drops when the power goes: {names}",
        ],
    ),
    check(
        "mount",
        "Motor against its mount",
        CELSIUS,
        [
            "{part}: the motor settles at {value}; its mount stands {limit}.",
            "{part}: the motor settles at {value}, close to the {limit} that its mount stands.",
            "{part}: the motor gets hotter than the {limit} that its mount stands: it softens and lets go.",
        ],
    ),
    check(
        "switch",
        "Switch whose wire breaks",
        ONE,
        [
            "{part}: a broken wire reads as pressed, so the axis stops.",
            "",
            "{part}: a broken wire is not seen, and the axis runs into its end.",
        ],
    ),
    check(
        "unproven",
        "Proven on the bench",
        ONE,
        [
            "{part}: all {limit} of its main answers are proven.",
            "{part}: {value} of its {limit} main answers are proven.{names}",
            "",
        ],
    ),
];
