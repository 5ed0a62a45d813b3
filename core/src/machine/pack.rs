//! A text about machines in few bytes, for links: a seventh to a quarter of its length.
//!
//! Each bit is guessed from what stood before it, in eight ways, and only the surprise is written. The ways begin with what
//! [`PRIMER`] taught them, a whole machine, so that the names of sheets, entries and choices cost next to nothing. Whole
//! numbers throughout: every platform reads what any other wrote.
//!
//! # Source
//! Context mixing in the logistic domain and a binary arithmetic coder: M. Mahoney, "Data Compression Explained", sections
//! 3.2 and 4.3; from memory.

use alloc::string::String;
use alloc::vec;
use alloc::vec::Vec;

/// What the model knows before it begins. It is part of the format: another text makes every old link unreadable.
pub(super) const PRIMER: &str = include_str!("packed/v1.txt");

/// The longest text that is unpacked, bytes: a link that claims more is no machine's.
pub(super) const LONGEST: usize = 200_000;

/// The ways to guess, and the sets of weights, one for each number of ways that have an opinion.
const WAYS: usize = 8;
const SETS: usize = WAYS + 1;
/// How many bits of a hash choose a slot.
const SLOT_BITS: u32 = 19;

/// The logistic function at steps of 128 from -2048, of 4096.
///
/// # Source
/// 4096/(1 + exp(-x/256)), rounded, kept off 0 and 4096.
const CURVE: [i32; 33] = [
    1, 2, 4, 6, 10, 17, 28, 45, 74, 120, 194, 311, 488, 747, 1102, 1546, 2048, 2550, 2994, 3349,
    3608, 3785, 3902, 3976, 4022, 4051, 4068, 4079, 4086, 4090, 4092, 4094, 4095,
];

/// The probability of a 1, of 4096, for its place `x` on the logistic scale.
fn squash(x: i32) -> i32 {
    let x = (x + 2048).clamp(0, 4095);
    let at = usize::try_from(x >> 7).unwrap_or(0);
    let of = |at: usize| CURVE.get(at).copied().unwrap_or(4095);
    of(at) + (((of(at + 1) - of(at)) * (x & 127)) >> 7)
}

/// What guesses the next bit.
struct Model {
    /// Probability of a 1 in the upper 22 bits, how often it was asked in the lower 10, by hashed context.
    slots: Vec<u32>,
    weights: [[i32; WAYS]; SETS],
    /// The place on the logistic scale by probability: the inverse of [`squash`].
    stretch: Vec<i32>,
    text: Vec<u8>,
    /// Where each hash of five bytes was last seen.
    seen: Vec<usize>,
    /// Where the text that now repeats stands, and how long it has.
    matched: (usize, u32),
    /// The hash of each context, of the key that is written, and of the one before.
    contexts: [u32; WAYS],
    word: u32,
    key: u32,
    last: u32,
    /// The bits of this byte so far, behind a 1.
    partial: u32,
    at: [usize; WAYS],
    inputs: [i32; WAYS],
    set: usize,
    guess: i32,
}

fn hash(a: u32, b: u32) -> u32 {
    let mixed = (a ^ b.rotate_left(13)).wrapping_mul(0x9E37_79B1);
    mixed ^ mixed >> 15
}

fn place(hash: u32, bits: u32) -> usize {
    usize::try_from(hash.wrapping_mul(0x85EB_CA6B) >> (32 - bits)).unwrap_or(0)
}

impl Model {
    fn new() -> Self {
        let mut stretch = vec![2047; 4096];
        let mut from = 0;
        for x in -2048..2048 {
            let to = usize::try_from(squash(x)).unwrap_or(0);
            for p in stretch.iter_mut().take(to + 1).skip(from) {
                *p = x;
            }
            from = from.max(to + 1);
        }
        let mut model = Self {
            slots: vec![1 << 31; 1 << SLOT_BITS],
            weights: [[24_000; WAYS]; SETS],
            stretch,
            text: Vec::new(),
            seen: vec![0; 1 << 14],
            matched: (0, 0),
            contexts: [0; WAYS],
            word: 0,
            key: 0,
            last: 0,
            partial: 1,
            at: [0; WAYS],
            inputs: [0; WAYS],
            set: 0,
            guess: 2048,
        };
        model.turn();
        model.look();
        for byte in PRIMER.bytes() {
            for shift in (0..8).rev() {
                model.learn(byte >> shift & 1);
            }
        }
        model
    }

    /// Asks every way for the next bit.
    fn look(&mut self) {
        let (mut sum, mut opinions) = (0_i64, 0);
        let ways = self.contexts.iter().zip(&mut self.at).zip(&mut self.inputs);
        for ((context, at), input) in ways {
            *at = place(hash(*context, self.partial), SLOT_BITS);
            let slot = self.slots.get(*at).copied().unwrap_or(1 << 31);
            let p = usize::try_from(slot >> 20).unwrap_or(0);
            let known = slot & 1023 > 0;
            opinions += usize::from(known);
            *input = self.stretch.get(p).copied().filter(|_| known).unwrap_or(0);
        }
        self.set = opinions;
        for (input, weight) in self
            .inputs
            .iter()
            .zip(self.weights.get(opinions).into_iter().flatten())
        {
            sum += i64::from(*input) * i64::from(*weight);
        }
        let x = i32::try_from(sum >> 16).unwrap_or(2047).clamp(-2047, 2047);
        self.guess = squash(x).clamp(1, 4095);
    }

    /// Takes the bit as it was, and guesses the next.
    fn learn(&mut self, bit: u8) {
        let wanted = if bit == 1 { 4095 } else { 0 };
        let error = wanted - self.guess;
        for (weight, input) in self
            .weights
            .get_mut(self.set)
            .into_iter()
            .flatten()
            .zip(&self.inputs)
        {
            *weight += (input * error * 6) >> 10;
        }
        for at in &self.at {
            let Some(slot) = self.slots.get_mut(*at) else {
                continue;
            };
            let (p, count) = (i64::from(*slot >> 10), i64::from(*slot & 1023));
            let target = if bit == 1 { (1 << 22) - 1 } else { 0 };
            let p = p + (target - p) * 2 / (2 * count + 3);
            let count = (count + 1).min(60);
            *slot = u32::try_from((p << 10) | count).unwrap_or(1 << 31);
        }
        self.partial = self.partial << 1 | u32::from(bit);
        if self.partial >= 256 {
            self.text
                .push(u8::try_from(self.partial & 255).unwrap_or(0));
            self.partial = 1;
            self.turn();
        }
        self.look();
    }

    /// Takes the byte that was finished into every context.
    fn turn(&mut self) {
        let back = |n: usize| {
            self.text
                .len()
                .checked_sub(n)
                .and_then(|at| self.text.get(at))
                .copied()
                .unwrap_or(0)
        };
        let last = back(1);
        match last {
            b'=' => self.key = self.word,
            b'&' | b'?' => self.last = self.key,
            b'\n' => (self.last, self.key) = (0, 0),
            _ => {}
        }
        self.word = match last {
            b'&' | b'?' | b'=' | b'\n' | b',' | b';' | b' ' => u32::from(last),
            _ => hash(self.word, u32::from(last)),
        };
        let mut order = [0_u32; 7];
        let mut run = 0;
        for (length, hashed) in (1..).zip(order.iter_mut().skip(1)) {
            run = hash(run, u32::from(back(length)) + 256);
            *hashed = run;
        }
        let [_, one, two, three, four, five, six] = order;
        // What stood behind the same five bytes is likely to stand here.
        let seen = place(five, 14);
        let (at, length) = self.matched;
        self.matched = match self.text.get(at) {
            Some(byte) if length > 0 && *byte == last => (at + 1, length + 1),
            _ => self
                .seen
                .get(seen)
                .map_or((0, 0), |at| (*at, u32::from(*at > 0))),
        };
        if let Some(seen) = self.seen.get_mut(seen) {
            *seen = self.text.len();
        }
        let (at, length) = self.matched;
        let next = self.text.get(at).copied().unwrap_or(0);
        let matched = if length > 0 {
            hash(u32::from(next), length.min(24))
        } else {
            0
        };
        self.contexts = [
            one,
            two,
            three,
            four,
            six,
            hash(self.key, self.word),
            hash(self.last, self.word).wrapping_add(7),
            matched.wrapping_add(77),
        ];
    }
}

/// The binary arithmetic coder's interval.
struct Interval {
    low: u32,
    high: u32,
}

impl Interval {
    const WHOLE: Self = Self {
        low: 0,
        high: u32::MAX,
    };

    /// Where the part of a 1 ends.
    fn cut(&self, guess: i32) -> u32 {
        self.low + ((self.high - self.low) >> 12) * u32::try_from(guess).unwrap_or(2048)
    }

    fn take(&mut self, cut: u32, one: bool) {
        if one {
            self.high = cut
        } else {
            self.low = cut + 1
        }
    }

    /// The first byte, once it is settled.
    fn settled(&mut self) -> Option<u8> {
        let same = (self.low ^ self.high) >> 24 == 0;
        same.then(|| {
            let byte = u8::try_from(self.high >> 24).unwrap_or(0);
            (self.low, self.high) = (self.low << 8, self.high << 8 | 255);
            byte
        })
    }
}

/// Packs a text without zero bytes.
pub(super) fn pack(text: &str) -> Vec<u8> {
    let (mut model, mut interval, mut packed) = (Model::new(), Interval::WHOLE, Vec::new());
    for byte in text.bytes().chain([0]) {
        for shift in (0..8).rev() {
            let bit = byte >> shift & 1;
            let cut = interval.cut(model.guess);
            interval.take(cut, bit == 1);
            model.learn(bit);
            while let Some(byte) = interval.settled() {
                packed.push(byte);
            }
        }
    }
    // Zeros follow the last byte when it is read: one byte inside the interval is enough, unless it begins with a zero.
    packed.push(u8::try_from(interval.high >> 24).unwrap_or(0));
    packed
}

/// Unpacks a text; `None` for bytes that are none, or too long a one.
pub(super) fn unpack(packed: &[u8]) -> Option<String> {
    let (mut model, mut interval) = (Model::new(), Interval::WHOLE);
    let primed = model.text.len();
    let mut bytes = packed.iter().copied().chain(core::iter::repeat(0));
    let mut next = || u32::from(bytes.next().unwrap_or(0));
    let mut code = 0;
    for _ in 0..4 {
        code = code << 8 | next();
    }
    while model.text.len() < primed + LONGEST {
        for _ in 0..8 {
            let cut = interval.cut(model.guess);
            let one = code <= cut;
            interval.take(cut, one);
            model.learn(u8::from(one));
            while interval.settled().is_some() {
                code = code << 8 | next();
            }
        }
        if model.text.last() == Some(&0) {
            model.text.pop();
            return String::from_utf8(model.text.split_off(primed)).ok();
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_text_comes_back() {
        for text in [
            "",
            "a",
            "Köln 🦆 \u{7f}",
            "\n\n&&==??",
            &"x".repeat(10_000),
            PRIMER,
        ] {
            let packed = pack(text);
            assert_eq!(unpack(&packed).as_deref(), Some(text));
            assert!(text.len() < 1000 || packed.len() < 60, "{}", packed.len());
        }
    }

    #[test]
    fn bytes_that_are_no_text_end_in_time() {
        for seed in 0..4_u8 {
            let noise: Vec<u8> = (0..400_u32)
                .map(|i| {
                    u8::try_from(i.wrapping_mul(7919 + u32::from(seed)) >> 3 & 255).unwrap_or(0)
                })
                .collect();
            if let Some(text) = unpack(&noise) {
                assert!(text.len() <= LONGEST);
            }
        }
        assert!(unpack(&[]).is_none_or(|text| text.len() < LONGEST));
    }
}
