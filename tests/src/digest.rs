//! Everything that calculations say, as a few numbers: two platforms that agree on them agree on every bit.
//!
//! Of every sheet: random entries, good and bad, in blocks; and whole designs, with what the studies make of them.

use layshaft_core::link;
use layshaft_core::sheets::{Cell, Found, Origin, Report, Sheet, all};
use layshaft_core::study::solve::solve;
use layshaft_core::study::sweep::sweep;
use layshaft_core::study::tolerance::Study;

use crate::designs::{near, number, typed, with};
use crate::entries::random_entries;
use crate::random::Random;
use crate::samples::{samples, toleranced};

/// Blocks of random calculations of each sheet, so that a disagreement can be told to a block.
const BLOCKS: u32 = 10;
/// Calculations of each block.
const CASES: u32 = 25;
/// Designs near each of the whole ones.
const DESIGNS: u32 = 4;
/// The Monte Carlo is drawn to its end; it is as long for every design, so that one of each kind has to do.
const DRAWN: u32 = 1;

/// What one part of the calculations said.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Line {
    /// The sheet.
    pub sheet: &'static str,
    /// Which part of its calculations.
    pub part: String,
    /// How many numbers are in the digest.
    pub numbers: u32,
    /// The digest.
    pub digest: u64,
}

/// All that is compared, the same list on every platform.
pub fn digests() -> Vec<Line> {
    let blocks = all()
        .iter()
        .flat_map(|sheet| (0..BLOCKS).map(move |block| random(sheet, block)));
    let mut lines: Vec<Line> = blocks.collect();
    let mut chance = Random::new(0x6269_7473);
    for (at, (sheet, whole)) in samples().iter().enumerate() {
        for design in 0..DESIGNS {
            let report = near(sheet, whole, &mut chance);
            let mut say = |part: &str, hash: Fnv| {
                lines.push(hash.line(sheet, format!("whole {at}, design {design}, {part}")));
            };
            let mut hash = Fnv::new();
            hash.report(&report);
            say("answers", hash);
            if design < DRAWN {
                say("tolerances", tolerances(&report));
            }
            // A log is fitted anew at each of hundreds of looks.
            if whole.get("log").is_some() {
                continue;
            }
            if let Some((entry, value, answer)) = question(&report, &mut chance) {
                say("solved", solved(&report, entry, answer));
                say("swept", swept(&report, entry, value, answer));
            }
        }
    }
    lines
}

/// FNV-1a, 64 bits, and how many numbers went in.
///
/// # Source
/// Fowler, Noll, Vo, "The FNV Non-Cryptographic Hash Algorithm" (IETF RFC 9923); constants from memory.
struct Fnv(u64, u32);

impl Fnv {
    const fn new() -> Self {
        Self(0xcbf2_9ce4_8422_2325, 0)
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
        self.1 += 1;
    }

    fn perhaps(&mut self, number: Option<f64>) {
        match number {
            Some(number) => self.number(number),
            None => self.bytes(&[0xfd]),
        }
    }

    fn cell(&mut self, cell: &Cell) {
        match cell {
            Cell::Number(x) => self.number(*x),
            Cell::Text(text) => self.text(text),
            Cell::Blank => self.bytes(&[0xfe]),
        }
    }

    /// All that a report says: answers by their bits, and as people read them; checks, messages, working and link.
    fn report(&mut self, report: &Report) {
        for (answer, found) in report.answers() {
            self.text(answer.key);
            match found {
                Some(Found::Number(x)) => self.number(*x),
                Some(Found::Text(text)) => self.text(text),
                Some(Found::List(list)) => list.iter().for_each(|x| self.number(*x)),
                Some(Found::Rows(rows)) => rows.iter().flatten().for_each(|cell| self.cell(cell)),
                None => self.bytes(&[0xfd]),
            }
            self.text(&report.shown(answer).unwrap_or_default());
        }
        for checked in &report.checks {
            self.text(checked.check.id);
            self.text(checked.state.word());
            self.text(&checked.text);
            self.perhaps(checked.value);
            self.perhaps(checked.limit);
        }
        for problem in report.problems.iter().chain(&report.warnings) {
            self.text(&problem.message);
        }
        for step in report.working() {
            self.text(&step.numbers);
            self.text(&step.result);
        }
        self.text(&link::write(report));
    }

    const fn line(self, sheet: &Sheet, part: String) -> Line {
        Line {
            sheet: sheet.id,
            part,
            numbers: self.1,
            digest: self.0,
        }
    }
}

/// One block of random calculations of a sheet.
fn random(sheet: &'static Sheet, block: u32) -> Line {
    let mut random = Random::new(u64::from(block) << 32 | 0x4c61);
    let mut hash = Fnv::new();
    for _ in 0..CASES {
        hash.report(&sheet.run(&random_entries(sheet, &mut random)));
    }
    hash.line(sheet, format!("random block {block}"))
}

/// What tolerances of 1 % make of every answer, with the shares of the entries, drawn to the end where the sheet is bent.
fn tolerances(report: &Report) -> Fnv {
    let mut hash = Fnv::new();
    let mut study = Study::begin(&report.sheet.run(&toleranced(report, "1 %")));
    while study.draw(1000) {}
    for spread in &study.spreads {
        hash.text(spread.answer);
        hash.number(spread.uncertainty);
        hash.bytes(&[u8::from(spread.bent)]);
        for (entry, share) in &spread.shares {
            hash.text(entry);
            hash.number(*share);
        }
    }
    hash
}

/// An entry that was typed, its value, and an answer that follows it.
fn question(report: &Report, random: &mut Random) -> Option<(&'static str, f64, &'static str)> {
    let typed = |(field, origin, value): (&'static layshaft_core::sheets::Field, _, _)| {
        let asked = origin == Origin::Typed && report.inputs.place(field.key).is_some();
        Some((field.key, number(value?)?)).filter(|_| asked)
    };
    let entries: Vec<_> = report.inputs.fields().filter_map(typed).collect();
    let mut pairs = Vec::new();
    for (entry, value) in entries {
        let moved = report.sheet.run(&with(report, entry, value * 1.01));
        let follows = |key: &&str| moved.number(key) != report.number(key);
        let answers = report.answers().map(|(answer, _)| answer);
        let numbers = answers
            .filter(|answer| !answer.aside && report.number(answer.key).is_some())
            .map(|answer| answer.key);
        pairs.extend(numbers.filter(follows).map(|answer| (entry, value, answer)));
    }
    pairs.get(random.below(pairs.len())).copied()
}

/// Every value of an entry that gives an answer 1 % above the one that stands.
fn solved(report: &Report, entry: &str, answer: &str) -> Fnv {
    let mut hash = Fnv::new();
    let unit = report
        .answer(answer)
        .map(|answer| report.measure(answer).unit);
    let wanted = report.number(answer).unwrap_or(0.0) * 1.01;
    let text = unit.map_or_else(String::new, |unit| typed(wanted, unit));
    match solve(report, entry, &format!("{answer}:{text}")) {
        Ok(solution) => {
            solution.values.iter().for_each(|x| hash.number(*x));
            for (part, y) in &solution.nearest {
                hash.number(*part);
                hash.number(*y);
            }
            hash.text(&solution.words);
        }
        Err(refusal) => hash.text(&refusal.message),
    }
    hash
}

/// An answer over an entry, from half to twice the value that stands.
fn swept(report: &Report, entry: &str, value: f64, answer: &str) -> Fnv {
    let mut hash = Fnv::new();
    let (from, to) = (value.abs() * 0.5, value.abs() * 2.0 + 1.0);
    match sweep(report, &format!("{entry}:{from}:{to}"), answer) {
        Ok(swept) => {
            for (x, y) in &swept.rows {
                hash.number(*x);
                hash.perhaps(*y);
            }
            swept.limits.iter().for_each(|limit| hash.perhaps(*limit));
        }
        Err(refusal) => hash.text(&refusal.message),
    }
    hash
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_one_bit_of_a_number_changes_the_digest() {
        let digest = |bits: u64| {
            let mut hash = Fnv::new();
            hash.number(f64::from_bits(bits));
            hash.number(1.0);
            hash.0
        };
        let bits = 23.4_f64.to_bits();
        for bit in 0..64 {
            assert_ne!(digest(bits), digest(bits ^ 1 << bit), "{bit}");
        }
    }

    /// Sheets with less to compare: words in and words out; lists in, of which no cell is solved for; lists out; a search.
    const LESS: [(&str, [bool; 3]); 4] = [
        ("switch", [false, false, false]),
        ("mass", [true, true, false]),
        ("level", [true, true, false]),
        ("find", [true, false, true]),
    ];

    #[test]
    fn every_sheet_and_study_is_in_the_digests_with_numbers() {
        let lines = digests();
        for sheet in all() {
            let numbers = |part: &str| {
                let of = lines.iter().filter(|line| line.sheet == sheet.id);
                of.filter(|line| line.part.ends_with(part))
                    .map(|line| line.numbers)
                    .sum::<u32>()
            };
            let found = [numbers("answers"), numbers("tolerances"), numbers("swept")];
            let less = LESS.iter().find(|(id, _)| *id == sheet.id);
            let wanted = less.map_or([true; 3], |(_, wanted)| *wanted);
            let enough = [found[0] >= 12, found[1] >= 10, found[2] >= 100];
            assert_eq!(enough, wanted, "{}: {found:?}", sheet.id);
        }
    }
}
