//! Works out natively what the WebAssembly tests must find in the browser, bit for bit: see `tests/wasm.rs`.
//!
//! A build script runs on the machine that builds, whatever is built for. The numbers are made anew with every change of
//! `core`, so there is nothing to regenerate by hand.

#[path = "src/designs.rs"]
mod designs;
#[path = "src/digest.rs"]
mod digest;
#[path = "src/entries.rs"]
mod entries;
#[path = "src/random.rs"]
#[allow(dead_code, reason = "the tests use more of it than the digests do")]
mod random;
#[path = "src/samples.rs"]
mod samples;

use std::fmt::Write;
use std::path::Path;

fn main() -> std::io::Result<()> {
    println!("cargo:rerun-if-changed=build.rs");
    println!("cargo:rerun-if-changed=src");
    let variable = |name: &str| std::env::var(name).unwrap_or_default();
    if variable("CARGO_CFG_TARGET_ARCH") != "wasm32" {
        return Ok(());
    }
    let mut text = String::from("&[\n");
    for line in digest::digests() {
        // A String takes all that is written into it.
        let _ = writeln!(
            text,
            "    ({:?}, {:?}, {}, {}),",
            line.sheet, line.part, line.numbers, line.digest
        );
    }
    text.push_str("]\n");
    std::fs::write(Path::new(&variable("OUT_DIR")).join("native.rs"), text)
}
