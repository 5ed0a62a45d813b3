//! Thread designations and diameters held to the ISO standards.

use layshaft_core::entry::thread::{Series, minor_diameter_mm, pitch_diameter_mm, read_thread};

/// ISO 261: coarse pitch of the common sizes, in mm; from memory.
const COARSE: &[(&str, f64)] = &[
    ("M3", 0.5),
    ("M3.5", 0.6),
    ("M4", 0.7),
    ("M5", 0.8),
    ("M6", 1.0),
    ("M7", 1.0),
    ("M8", 1.25),
    ("M10", 1.5),
    ("M12", 1.75),
    ("M14", 2.0),
    ("M16", 2.0),
    ("M20", 2.5),
    ("M24", 3.0),
];

#[test]
fn coarse_pitches() {
    for (size, pitch) in COARSE {
        let thread = read_thread(size).unwrap_or_else(|cause| panic!("{size}: {cause:?}"));
        assert_eq!(thread.series, Series::Metric);
        assert_eq!(thread.pitch_mm.to_bits(), pitch.to_bits(), "{size}");
        assert_eq!(thread.lead_mm.to_bits(), pitch.to_bits(), "{size}");
    }
}

/// ISO 898-1, nominal stress area of coarse threads in mm2, to three figures as printed; from memory. It follows from
/// the diameter and both d2 and d3, and so judges the pitch and both formulas at once.
const STRESS_AREA: &[(&str, f64)] = &[
    ("M3", 5.03),
    ("M3.5", 6.78),
    ("M4", 8.78),
    ("M5", 14.2),
    ("M6", 20.1),
    ("M7", 28.9),
    ("M8", 36.6),
    ("M10", 58.0),
    ("M12", 84.3),
    ("M14", 115.0),
    ("M16", 157.0),
    ("M18", 192.0),
    ("M20", 245.0),
    ("M22", 303.0),
    ("M24", 353.0),
    ("M27", 459.0),
    ("M30", 561.0),
    ("M33", 694.0),
    ("M36", 817.0),
    ("M39", 976.0),
];

#[test]
fn stress_areas_of_coarse_threads() {
    for (size, area) in STRESS_AREA {
        let thread = read_thread(size).unwrap_or_else(|cause| panic!("{size}: {cause:?}"));
        let mean = (thread.pitch_diameter_mm() + thread.minor_diameter_mm()) / 2.0;
        let found = std::f64::consts::FRAC_PI_4 * mean * mean;
        // One unit of the third figure: the standard cuts some of the larger areas where it rounds others.
        let unit = 10f64.powf(area.log10().floor() - 2.0);
        assert!((found - area).abs() <= unit, "{size}: {found}, not {area}");
    }
}

/// ISO 724: pitch diameter d2 of coarse threads in mm, to the micrometre as printed; from memory.
const PITCH_DIAMETER: &[(f64, f64, f64)] = &[
    (3.0, 0.5, 2.675),
    (4.0, 0.7, 3.545),
    (5.0, 0.8, 4.480),
    (6.0, 1.0, 5.350),
    (8.0, 1.25, 7.188),
    (10.0, 1.5, 9.026),
    (12.0, 1.75, 10.863),
];

#[test]
fn pitch_diameters_of_metric_threads() {
    for (diameter, pitch, d2) in PITCH_DIAMETER {
        let found = pitch_diameter_mm(Series::Metric, *diameter, *pitch);
        assert!(
            (found - d2).abs() <= 0.000_501,
            "M{diameter}x{pitch}: {found}, not {d2}"
        );
    }
}

/// ISO 2904: designation, pitch diameter d2 and minor diameter d3 of the external thread in mm; from memory.
const TRAPEZOIDAL: &[(&str, f64, f64)] = &[
    ("Tr8x1.5", 7.25, 6.2),
    ("Tr10x2", 9.0, 7.5),
    ("Tr12x3", 10.5, 8.5),
    ("Tr14x3", 12.5, 10.5),
    ("Tr16x4", 14.0, 11.5),
    ("Tr20x4", 18.0, 15.5),
    ("Tr24x5", 21.5, 18.5),
    ("Tr28x5", 25.5, 22.5),
    ("Tr30x6", 27.0, 23.0),
    ("Tr36x6", 33.0, 29.0),
    ("Tr40x7", 36.5, 32.0),
    ("Tr50x8", 46.0, 41.0),
    ("Tr60x9", 55.5, 50.0),
];

#[test]
fn diameters_of_trapezoidal_threads() {
    for (designation, d2, d3) in TRAPEZOIDAL {
        let thread =
            read_thread(designation).unwrap_or_else(|cause| panic!("{designation}: {cause:?}"));
        assert!(
            (thread.pitch_diameter_mm() - d2).abs() < 1e-12,
            "{designation}"
        );
        assert!(
            (thread.minor_diameter_mm() - d3).abs() < 1e-12,
            "{designation}"
        );
    }
}

#[test]
fn several_starts_as_iso_2901_writes_them() {
    // ISO 2901, clause on designation: Tr 40 x 14 (P7) LH is two starts of pitch 7, left hand; from memory.
    let thread = read_thread("Tr 40 × 14 (P7) LH").expect("the standard's example");
    assert_eq!((thread.starts, thread.left_hand), (2, true));
    assert!((thread.lead_mm - 14.0).abs() < 1e-12 && (thread.pitch_mm - 7.0).abs() < 1e-12);
    assert!((minor_diameter_mm(Series::Trapezoidal, 40.0, 7.0) - 32.0).abs() < 1e-12);
}
