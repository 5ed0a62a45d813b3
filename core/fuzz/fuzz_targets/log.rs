//! Any text as a heater's log: refused in words, or read; what is read is written plainly and read again the same.
#![no_main]

use layshaft_core::entry::log::{normalise_log, read_log};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let rows = match read_log(text) {
        Ok(rows) => rows,
        Err(cause) => {
            assert!(cause.message("Log").starts_with("Log"));
            assert_eq!(normalise_log(text), Err(cause));
            return;
        }
    };
    assert!(!rows.is_empty());
    for [seconds, celsius, duty] in &rows {
        assert!(seconds.is_finite() && celsius.is_finite() && (0.0..=1.0).contains(duty));
    }
    assert!(rows.windows(2).all(|two| two[0][0] <= two[1][0]));
    let plain = normalise_log(text).expect("what is read is written");
    let again = read_log(&plain).expect("what was written is read");
    // A clock's seconds and a percentage are written with 15 digits, a power of ten beyond 1e-21 to within a rounding.
    let same = |(one, other): (&f64, &f64)| (one - other).abs() <= 1e-14 * one.abs();
    assert_eq!(again.len(), rows.len());
    assert!(again.as_flattened().iter().zip(rows.as_flattened()).all(same), "{plain}");
});
