//! A complete calculation of every sheet as a link, one a line: `cargo run -q -p layshaft-tests --bin sample_links`. The
//! pictures of `cargo xtask screens` and the tests of the page's look are taken of them.

use std::io::Write;

use layshaft_core::link;
use layshaft_core::sheets::all;
use layshaft_tests::samples::samples;

fn main() -> std::io::Result<()> {
    let samples = samples();
    let mut out = std::io::stdout().lock();
    for sheet in all() {
        for (_, entries) in samples.iter().filter(|(of, _)| of.id == sheet.id) {
            writeln!(out, "{}", link::write(&sheet.run(entries)))?;
        }
    }
    Ok(())
}
