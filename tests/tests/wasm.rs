//! The calculations in a real browser's WebAssembly: `cargo xtask test --only wasm`.
#![cfg(target_arch = "wasm32")]

use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

/// IEEE 754-2019, 5.4.1: the square root is correctly rounded, so every platform gives the same bits.
#[wasm_bindgen_test]
fn the_maths_library_gives_the_bits_that_the_standard_demands() {
    assert_eq!(libm::sqrt(2.0).to_bits(), 0x3ff6_a09e_667f_3bcd);
}
