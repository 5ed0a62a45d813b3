//! Everything that random calculations say, as a few numbers: two platforms that agree on them agree on every bit.

use layshaft_core::link;
use layshaft_core::sheets::{Cell, Found, Sheet};

use crate::entries::random_entries;
use crate::random::Random;

/// Calculations of each sheet, in blocks, so that a disagreement can be told to a block of a sheet.
pub const BLOCKS: u32 = 10;
const CASES: u32 = 25;

/// FNV-1a, 64 bits.
///
/// # Source
/// Fowler, Noll, Vo, "The FNV Non-Cryptographic Hash Algorithm" (IETF RFC 9923); constants from memory.
struct Fnv(u64);

impl Fnv {
    const fn new() -> Self {
        Self(0xcbf2_9ce4_8422_2325)
    }

    fn bytes(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 ^= u64::from(*byte);
            self.0 = self.0.wrapping_mul(0x0000_0100_0000_01b3);
        }
    }

    /// A text and its end.
    fn text(&mut self, text: &str) {
        self.bytes(text.as_bytes());
        self.bytes(&[0xff]);
    }

    fn number(&mut self, number: f64) {
        self.bytes(&number.to_bits().to_le_bytes());
    }

    fn cell(&mut self, cell: &Cell) {
        match cell {
            Cell::Number(x) => self.number(*x),
            Cell::Text(text) => self.text(text),
            Cell::Blank => self.bytes(&[0xfe]),
        }
    }
}

/// The digest of one block of random calculations of a sheet: answers by their bits, and as people read them; checks,
/// messages, working and link.
pub fn digest(sheet: &'static Sheet, block: u32) -> u64 {
    let mut random = Random::new(u64::from(block) << 32 | 0x4c61);
    let mut hash = Fnv::new();
    for _ in 0..CASES {
        let report = sheet.run(&random_entries(sheet, &mut random));
        for (answer, found) in report.answers() {
            hash.text(answer.key);
            match found {
                Some(Found::Number(x)) => hash.number(*x),
                Some(Found::Text(text)) => hash.text(text),
                Some(Found::List(list)) => list.iter().for_each(|x| hash.number(*x)),
                Some(Found::Rows(rows)) => rows.iter().flatten().for_each(|cell| hash.cell(cell)),
                None => hash.bytes(&[0xfd]),
            }
            hash.text(&report.shown(answer).unwrap_or_default());
        }
        for checked in &report.checks {
            hash.text(checked.check.id);
            hash.text(checked.state.word());
            hash.text(&checked.text);
            hash.number(checked.value.unwrap_or(-1.0));
            hash.number(checked.limit.unwrap_or(-1.0));
        }
        for problem in report.problems.iter().chain(&report.warnings) {
            hash.text(&problem.message);
        }
        for step in report.working() {
            hash.text(&step.numbers);
            hash.text(&step.result);
        }
        hash.text(&link::write(&report));
    }
    hash.0
}
