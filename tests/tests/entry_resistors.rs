//! Resistor codes held to IEC 60062.

use layshaft_core::entry::number::read_number;
use layshaft_core::entry::unit::OHM;

/// IEC 60062, letter and digit code for resistance values: the standard's own row of examples; from memory.
const EXAMPLES: &[(&str, f64)] = &[
    ("R10", 0.1),
    ("R15", 0.15),
    ("R332", 0.332),
    ("1R0", 1.0),
    ("1R5", 1.5),
    ("3R32", 3.32),
    ("10R", 10.0),
    ("33R2", 33.2),
    ("59R04", 59.04),
    ("590R4", 590.4),
    ("100R", 100.0),
    ("332R", 332.0),
    ("1K0", 1e3),
    ("1K5", 1.5e3),
    ("3K32", 3.32e3),
    ("5K904", 5.904e3),
    ("10K", 10e3),
    ("33K2", 33.2e3),
    ("59K04", 59.04e3),
    ("100K", 100e3),
    ("332K", 332e3),
    ("1M0", 1e6),
    ("3M32", 3.32e6),
    ("10M", 10e6),
    ("33M2", 33.2e6),
    ("1G0", 1e9),
    ("10G", 10e9),
];

#[test]
fn the_examples_of_the_standard() {
    for (code, ohms) in EXAMPLES {
        for text in [
            String::from(*code),
            format!("{code} Ω"),
            format!("{code}ohm"),
        ] {
            let read = read_number(&text, OHM).unwrap_or_else(|cause| panic!("{text}: {cause:?}"));
            assert_eq!(read.value.to_bits(), ohms.to_bits(), "{text}");
        }
    }
}
