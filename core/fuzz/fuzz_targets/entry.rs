//! Any text in any field: read whole and sound, or refused in words.
#![no_main]

use layshaft_core::entry::number::{Number, is_blank, read_count, read_either, read_number, read_ratio};
use layshaft_core::entry::rows::{escape_cell, split_rows, unescape_cell};
use layshaft_core::entry::thread::read_thread;
use layshaft_core::entry::unit::*;
use layshaft_core::entry::write::{write_fixed, write_shortest, write_significant};
use libfuzzer_sys::fuzz_target;

const MEASURES: &[Measure] = &[
    MM, UM, DEG, MM_S, MM_S2, N, KG, N_M, G_CM2, A, V, OHM, MH, CELSIUS, KELVIN, TEMP_DIFF, PERCENT, ONE, AWG, PER_S,
    REV_MIN, S, W, J, MPA, KG_M3, G_M, N_MM, N_M_MRAD, MM2, CM4, MM3_S, G_H, K_MIN, J_K, J_KGK, W_M2K, PER_K, MW_K, K_W,
    W_CM2, W_M, MM_M, PER_MM, PER_DEG, N_M_A,
];

/// What every number that was read must be, and that it survives being written.
fn check(number: Number) {
    assert!(number.value.is_finite());
    assert!(number.value != 0.0 || number.value.is_sign_positive());
    if let Some(half) = number.half {
        assert!(half > 0.0 && half.is_finite());
    }
    if let Some(exact) = number.exact {
        assert_eq!(exact.to_f64().to_bits(), number.value.to_bits());
    }
    for digits in [0, 1, 7, 17, 255] {
        assert!(!write_significant(number.value, digits).is_empty());
        assert!(!write_fixed(number.value, digits).is_empty());
    }
    let text = write_shortest(number.value, 17);
    if number.value == 0.0 || (1e-21..1e38).contains(&number.value.abs()) {
        let again = read_number(&text, ONE).expect("what was written is read");
        assert_eq!(again.value.to_bits(), number.value.to_bits(), "{text}");
    }
}

fuzz_target!(|data: (u8, &str)| {
    let (pick, text) = data;
    let measure = MEASURES[usize::from(pick) % MEASURES.len()];
    match read_number(text, measure) {
        Ok(number) => check(number),
        Err(cause) => assert!(cause.message("Label", "a number").starts_with("Label: ")),
    }
    for measures in [[A, PERCENT], [N, KG], [W, A], [AWG, MM2]] {
        for bare in [None, Some(0)] {
            if let Ok((which, number)) = read_either(text, &measures, bare) {
                assert!(which < 2);
                check(number);
            }
        }
    }
    if let Ok(number) = read_ratio(text) {
        check(number);
    }
    if let Ok(count) = read_count(text) {
        assert!(count <= 4_000_000_000);
    }
    if let Ok(thread) = read_thread(text) {
        assert!(thread.diameter_mm.is_finite() && thread.minor_diameter_mm() > 0.0);
        assert!(thread.pitch_mm > 0.0 && thread.lead_mm >= thread.pitch_mm && thread.starts > 0);
    }
    for cell in split_rows(text).flatten() {
        unescape_cell(cell);
    }
    assert_eq!(unescape_cell(&escape_cell(text)), text);
    is_blank(text);
});
