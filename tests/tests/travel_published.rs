//! Travel per turn against published threads, pulleys and racks.
//!
//! # Sources
//! All from memory:
//! - ISO 261, general purpose metric threads: coarse pitches.
//! - ISO 2901 and ISO 2904, metric trapezoidal threads: designations, pitches of the first choice.
//! - ISO 5294 (synchronous belt pulleys), ISO 5296 (XL and MXL): the pitch line's circumference is teeth times pitch;
//!   pitch diameters as the tables of the standard and of pulley makers' catalogues print them.
//! - ISO 54 modules with the rack pitches that makers print beside them.
//!
//! What is marked common practice is in no standard: numbers that builders of such machines meet every day.

use layshaft_tests::{number, report, words};

/// Half a unit of the last printed decimal, and a hair for its own rounding.
fn printed(value: f64, table: f64, decimals: i32) -> bool {
    (value - table).abs() <= 0.5001 * 10_f64.powi(-decimals)
}

/// ISO 2901 designation and its lead in mm.
const TRAPEZOIDAL: &[(&str, f64)] = &[
    ("Tr8x1.5", 1.5),
    ("Tr9x2", 2.0),
    ("Tr10x2", 2.0),
    ("Tr11x2", 2.0),
    ("Tr12x3", 3.0),
    ("Tr14x3", 3.0),
    ("Tr16x4", 4.0),
    ("Tr18x4", 4.0),
    ("Tr20x4", 4.0),
    ("Tr22x5", 5.0),
    ("Tr24x5", 5.0),
    ("Tr28x5", 5.0),
    ("Tr32x6", 6.0),
    ("Tr36x6", 6.0),
    ("Tr40x7", 7.0),
    // The standard's own example of several starts: lead 14, pitch 7.
    ("Tr40x14(P7)", 14.0),
    ("Tr40x14 P7", 14.0),
    // Common practice in such machines: four starts of 2 mm.
    ("Tr8x8(P2)", 8.0),
    ("Tr8x4(P2)", 4.0),
    ("Tr8x2", 2.0),
];

#[test]
fn trapezoidal_threads_move_by_their_lead() {
    for (designation, lead) in TRAPEZOIDAL {
        let query = format!("travel?drive=screw&thread={designation}");
        let found = number(&query, "out_travel");
        assert_eq!(found.to_bits(), lead.to_bits(), "{designation}");
    }
}

/// ISO 261: size and coarse pitch in mm.
const COARSE: &[(&str, f64)] = &[
    ("M3", 0.5),
    ("M4", 0.7),
    ("M5", 0.8),
    ("M6", 1.0),
    ("M8", 1.25),
    ("M10", 1.5),
    ("M12", 1.75),
    ("M14", 2.0),
    ("M16", 2.0),
    ("M18", 2.5),
    ("M20", 2.5),
    ("M22", 2.5),
    ("M24", 3.0),
    ("M27", 3.0),
    ("M30", 3.5),
    ("M36", 4.0),
];

#[test]
fn metric_threads_move_by_their_coarse_pitch() {
    for (size, pitch) in COARSE {
        let query = format!("travel?drive=screw&thread={size}");
        assert_eq!(
            number(&query, "out_travel").to_bits(),
            pitch.to_bits(),
            "{size}"
        );
    }
}

/// Belt profile, its pitch in mm, and pitch diameters in mm by number of teeth.
type Pulleys = (&'static str, &'static str, &'static [(u32, f64)]);

const PULLEYS: &[Pulleys] = &[
    (
        "2 mm pitch, round teeth",
        "2",
        &[
            (16, 10.19),
            (18, 11.46),
            (20, 12.73),
            (24, 15.28),
            (30, 19.10),
            (36, 22.92),
            (40, 25.46),
            (48, 30.56),
            (60, 38.20),
            (80, 50.93),
        ],
    ),
    (
        "T2.5",
        "2.5",
        &[
            (12, 9.55),
            (14, 11.14),
            (16, 12.73),
            (18, 14.32),
            (20, 15.92),
            (25, 19.89),
            (30, 23.87),
            (40, 31.83),
            (60, 47.75),
        ],
    ),
    (
        "T5",
        "5",
        &[
            (10, 15.92),
            (12, 19.10),
            (14, 22.28),
            (16, 25.46),
            (20, 31.83),
            (24, 38.20),
            (25, 39.79),
            (30, 47.75),
            (40, 63.66),
            (60, 95.49),
        ],
    ),
    (
        "HTD 3M",
        "3",
        &[
            (10, 9.55),
            (12, 11.46),
            (15, 14.32),
            (18, 17.19),
            (20, 19.10),
            (24, 22.92),
            (30, 28.65),
            (40, 38.20),
            (60, 57.30),
        ],
    ),
    (
        // ISO 5294, table of pitch diameters: XL, one fifth of an inch.
        "XL",
        "1/5 in",
        &[
            (10, 16.17),
            (11, 17.79),
            (12, 19.40),
            (14, 22.64),
            (15, 24.26),
            (16, 25.87),
            (18, 29.11),
            (20, 32.34),
            (24, 38.81),
            (30, 48.51),
        ],
    ),
    (
        "MXL",
        "0.08 in",
        &[
            (10, 6.47),
            (12, 7.76),
            (16, 10.35),
            (20, 12.94),
            (40, 25.87),
        ],
    ),
];

#[test]
fn pulleys_move_the_belt_by_their_pitch_circumference() {
    for (profile, pitch, pulleys) in PULLEYS {
        for (teeth, diameter) in *pulleys {
            let by_teeth = number(
                &format!("travel?drive=belt&pitch={pitch}&teeth={teeth}"),
                "out_travel",
            );
            let found = by_teeth / std::f64::consts::PI;
            assert!(
                printed(found, *diameter, 2),
                "{profile}, {teeth} teeth: pitch diameter {found}, not {diameter}"
            );
            // A smooth roller of that diameter moves as far, within what two decimals of the diameter leave.
            let by_roller = number(
                &format!("travel?drive=roller&diameter={diameter}"),
                "out_travel",
            );
            assert!(
                (by_roller - by_teeth).abs() <= 0.005_001 * std::f64::consts::PI,
                "{profile}, {teeth} teeth"
            );
        }
    }
}

#[test]
fn a_pulley_is_found_from_its_travel() {
    for (profile, pitch, pulleys) in PULLEYS {
        for (teeth, _) in *pulleys {
            let travel = number(
                &format!("travel?drive=belt&pitch={pitch}&teeth={teeth}"),
                "turn_travel",
            );
            let query = format!("travel?drive=belt&pitch={pitch}&turn_travel={travel}");
            assert_eq!(words(&query, "solved_key"), "teeth", "{profile}");
            assert_eq!(words(&query, "whole"), "yes", "{profile}, {teeth} teeth");
            assert!(
                (number(&query, "nearest") - f64::from(*teeth)).abs() < 0.5,
                "{profile}"
            );
        }
    }
}

/// Module in mm (ISO 54) and the pitch of its rack in mm, as makers print it.
#[expect(
    clippy::approx_constant,
    reason = "the table as printed, which the constants are held to"
)]
const RACKS: &[(&str, f64)] = &[
    ("0.5", 1.5708),
    ("0.8", 2.5133),
    ("1", 3.1416),
    ("1.25", 3.9270),
    ("1.5", 4.7124),
    ("2", 6.2832),
    ("3", 9.4248),
];

#[test]
fn racks_have_the_pitch_of_their_module() {
    for (module, pitch) in RACKS {
        let query = format!("travel?drive=rack&module={module}&teeth=1");
        let found = number(&query, "out_travel");
        assert!(
            printed(found, *pitch, 4),
            "module {module}: {found}, not {pitch}"
        );
    }
}

/// Common practice: query, steps per mm as builders write them down, and travel per turn in mm.
const EVERYDAY: &[(&str, &str, f64)] = &[
    ("drive=belt&pitch=2&teeth=20&step=1.8&micro=16", "80", 40.0),
    ("drive=belt&pitch=2&teeth=20&step=0.9&micro=16", "160", 40.0),
    ("drive=belt&pitch=2&teeth=16&step=1.8&micro=16", "100", 32.0),
    ("drive=belt&pitch=2&teeth=20&step=1.8&micro=32", "160", 40.0),
    (
        "drive=belt&pitch=2.5&teeth=16&step=1.8&micro=16",
        "80",
        40.0,
    ),
    (
        "drive=belt&pitch=2&teeth=15&step=1.8&micro=8",
        "160/3",
        30.0,
    ),
    ("drive=screw&thread=Tr8x8(P2)&micro=16", "400", 8.0),
    ("drive=screw&thread=Tr8x2&micro=16", "1600", 2.0),
    ("drive=screw&thread=M5&micro=16", "4000", 0.8),
    ("drive=screw&thread=M8&micro=16", "2560", 1.25),
    ("drive=screw&pitch=2&starts=4&micro=16", "400", 8.0),
    (
        "drive=belt&pitch=2&teeth=20&gears=3&micro=16",
        "240",
        40.0 / 3.0,
    ),
];

#[test]
fn everyday_axes_have_their_everyday_steps_per_mm() {
    for (entries, exact, travel) in EVERYDAY {
        let query = format!("travel?{entries}");
        assert_eq!(words(&query, "exact"), *exact, "{entries}");
        let found = number(&query, "turn_travel");
        // One rounding of a division is at most 2e-16 of the number.
        assert!(
            (found - travel).abs() <= 4e-16 * travel,
            "{entries}: {found}"
        );
    }
    // 1.8 and 0.9 degrees are 200 and 400 full steps.
    assert_eq!(
        number("travel?step=1.8", "full_steps").to_bits(),
        200_f64.to_bits()
    );
    assert_eq!(
        number("travel?step=0.9", "full_steps").to_bits(),
        400_f64.to_bits()
    );
}

#[test]
fn a_lead_that_is_no_multiple_of_its_pitch_is_refused() {
    // ISO 2901: the lead of a thread with several starts is their number times the pitch.
    for designation in ["Tr40x14(P6)", "Tr8x3(P2)", "Tr8x2(P8)"] {
        let report = report(&format!("travel?drive=screw&thread={designation}"));
        let fields: Vec<_> = report
            .problems
            .iter()
            .map(|problem| problem.field)
            .collect();
        assert_eq!(fields, ["thread"], "{designation}");
        assert!(report.number("out_travel").is_none());
    }
}
