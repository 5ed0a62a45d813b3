//! Download sizes: gzip bytes of every file that the first visit transfers.

use std::io::Write;

use flate2::Compression;
use flate2::write::GzEncoder;

/// A file as a host sends it: gzip at its smallest.
pub fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
    // Writing to memory does not fail.
    drop(encoder.write_all(bytes));
    encoder.finish().unwrap_or_default()
}
