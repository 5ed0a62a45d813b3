//! Links of random calculations, one a line: `cargo run -q -p layshaft-tests --bin random_links -- 100` for 100 of each
//! sheet. The tests of what forum software makes of links read them.

use std::io::Write;

use layshaft_core::link;
use layshaft_core::sheets::all;
use layshaft_tests::entries::random_entries;
use layshaft_tests::random::Random;

fn main() -> std::io::Result<()> {
    let each = std::env::args()
        .nth(1)
        .and_then(|text| text.parse().ok())
        .unwrap_or(1);
    let mut random = Random::new(7);
    let mut out = std::io::stdout().lock();
    for _ in 0..each {
        for sheet in all() {
            let report = sheet.run(&random_entries(sheet, &mut random));
            writeln!(out, "{}", link::write(&report))?;
        }
    }
    Ok(())
}
