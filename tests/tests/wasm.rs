//! The calculations in a real browser's WebAssembly: `cargo xtask test --only wasm`.
#![cfg(target_arch = "wasm32")]

use layshaft_tests::digest::digests;
use wasm_bindgen_test::{console_log, wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

/// What the same calculations gave natively while these tests were built: sheet, part, how many numbers, and their digest.
/// The build script of this crate works them out.
const NATIVE: &[(&str, &str, u32, u64)] = include!(concat!(env!("OUT_DIR"), "/native.rs"));

/// IEEE 754-2019, 5.4.1: the square root is correctly rounded, so every platform gives the same bits.
#[wasm_bindgen_test]
fn the_maths_library_gives_the_bits_that_the_standard_demands() {
    assert_eq!(libm::sqrt(2.0).to_bits(), 0x3ff6_a09e_667f_3bcd);
}

#[wasm_bindgen_test]
fn every_sheet_and_study_gives_the_bits_that_it_gives_natively() {
    let here = digests();
    let numbers: u32 = here.iter().map(|line| line.numbers).sum();
    console_log!("{} digests of {numbers} numbers", here.len());
    let differ: Vec<String> = here
        .iter()
        .zip(NATIVE)
        .filter(|(line, native)| {
            let line = (line.sheet, line.part.as_str(), line.numbers, line.digest);
            line != **native
        })
        .map(|(line, _)| format!("{}: {}", line.sheet, line.part))
        .collect();
    assert_eq!(here.len(), NATIVE.len());
    assert!(differ.is_empty(), "other bits than natively: {differ:#?}");
}
