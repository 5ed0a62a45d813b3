//! The calculations in a real browser's WebAssembly: `cargo xtask test --only wasm`.
#![cfg(target_arch = "wasm32")]

use layshaft_core::sheets::all;
use layshaft_tests::digest::{BLOCKS, digest};
use wasm_bindgen_test::{console_log, wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

/// What the same random calculations gave natively while these tests were built: digests by sheet and block. The build
/// script of this crate works them out.
const NATIVE: &[(&str, &[u64])] = include!(concat!(env!("OUT_DIR"), "/native.rs"));

/// IEEE 754-2019, 5.4.1: the square root is correctly rounded, so every platform gives the same bits.
#[wasm_bindgen_test]
fn the_maths_library_gives_the_bits_that_the_standard_demands() {
    assert_eq!(libm::sqrt(2.0).to_bits(), 0x3ff6_a09e_667f_3bcd);
}

#[wasm_bindgen_test]
fn every_sheet_gives_the_bits_that_it_gives_natively() {
    assert_eq!(NATIVE.len(), all().len());
    let mut differ = Vec::new();
    for (sheet, (id, native)) in all().iter().zip(NATIVE) {
        assert_eq!(sheet.id, *id);
        let here: Vec<u64> = (0..BLOCKS).map(|block| digest(sheet, block)).collect();
        for (block, (here, native)) in here.iter().zip(*native).enumerate() {
            if here != native {
                differ.push(format!("{id}, block {block}"));
            }
        }
    }
    console_log!("{} sheets, {BLOCKS} blocks each", all().len());
    assert!(differ.is_empty(), "other bits than natively: {differ:?}");
}
