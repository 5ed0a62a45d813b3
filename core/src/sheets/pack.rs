//! The declared tables as bytes, made while building and unpacked once while running.
//!
//! A table of [`Field`]s is mostly addresses of texts, which do not compress; packed, it is its texts one behind the other
//! with a byte here and there between them. The tables made up a quarter of the page's download before.
//!
//! Texts end in a zero byte. A number is the count of its leading bytes that are not all zero, then those bytes. Lists
//! begin with their length. [`Packer`] and [`Unpacker`] mirror each other, method by method.

use alloc::vec::Vec;

use super::declare::{
    Answer, Carried, Caution, Check, Choice, Field, Head, Kind, Limit, Limits, Scale, Sheet, Show,
    Subject, When,
};
use super::{Inputs, Outcome};
use crate::entry::unit::{MEASURES, Measure, ONE, position};

/// Room for the largest sheet.
const ROOM: usize = 1 << 15;

/// Bytes of a sheet, and how many of them count.
pub(super) type Packed = ([u8; ROOM], usize);

/// Everything a sheet declares except its function.
#[allow(
    long_running_const_eval,
    reason = "some thousand bytes a sheet, one by one"
)]
pub(super) const fn pack(sheet: &Sheet) -> Packed {
    let mut packer = Packer {
        bytes: [0; ROOM],
        length: 0,
    };
    packer.sheet(sheet);
    (packer.bytes, packer.length)
}

/// The bytes that count.
pub(super) const fn trim<const LENGTH: usize>(packed: &Packed) -> [u8; LENGTH] {
    let mut bytes = [0; LENGTH];
    bytes.copy_from_slice(packed.0.split_at(LENGTH).0);
    bytes
}

/// The sheet that was packed, with its function.
pub(super) fn unpack(bytes: &'static [u8], work: fn(&Inputs, &mut Outcome)) -> Sheet {
    Unpacker { bytes }.sheet(work)
}

const SUBJECTS: [Subject; 6] = Subject::ALL;

// Which bits of a field's flags say that something follows or holds.
const OPTIONAL: u8 = 1;
const TARGET: u8 = 1 << 1;
const LEAST: u8 = 1 << 2;
const MOST: u8 = 1 << 3;
const USUAL: u8 = 1 << 4;
const CARRIED: u8 = 1 << 5;
const LEAST_OPEN: u8 = 1 << 6;
const MOST_OPEN: u8 = 1 << 7;

// Of an answer's.
const HEADLINE: u8 = 1;
const ASIDE: u8 = 1 << 1;

struct Packer {
    bytes: [u8; ROOM],
    length: usize,
}

/// Each item of a list in turn: a `for` that a `const fn` can have.
macro_rules! each {
    ($packer:ident, $list:expr, $item:ident => $pack:expr) => {{
        let mut rest = $list;
        $packer.count(rest.len());
        while let [$item, tail @ ..] = rest {
            $pack;
            rest = tail;
        }
    }};
}

#[allow(
    clippy::indexing_slicing,
    reason = "runs while building: past the room, the build stops"
)]
impl Packer {
    const fn byte(&mut self, byte: u8) {
        self.bytes[self.length] = byte;
        self.length += 1;
    }

    const fn count(&mut self, count: usize) {
        assert!(count < 256, "a longer list than a byte can count");
        #[allow(clippy::cast_possible_truncation, reason = "just asked")]
        self.byte(count as u8);
    }

    const fn text(&mut self, text: &str) {
        let mut bytes = text.as_bytes();
        while let [byte, rest @ ..] = bytes {
            assert!(*byte != 0, "a text with a zero byte");
            self.byte(*byte);
            bytes = rest;
        }
        self.byte(0);
    }

    const fn number(&mut self, number: f64) {
        let bits = number.to_bits();
        let length = 8 - bits.trailing_zeros() as usize / 8;
        self.count(length);
        let bytes = bits.to_be_bytes();
        let mut rest = bytes.split_at(length).0;
        while let [byte, tail @ ..] = rest {
            self.byte(*byte);
            rest = tail;
        }
    }

    const fn measure(&mut self, measure: &Measure) {
        self.count(position(measure));
    }

    const fn when(&mut self, when: When) {
        each!(self, when, pair => {
            self.text(pair.0);
            each!(self, pair.1, accepted => self.text(accepted));
        });
    }

    const fn kind(&mut self, kind: &Kind) {
        match kind {
            Kind::Choice(choices) => {
                self.byte(0);
                each!(self, *choices, choice => {
                    self.text(choice.key);
                    self.text(choice.label);
                });
            }
            Kind::Number(measure) => {
                self.byte(1);
                self.measure(measure);
            }
            Kind::Either { measures, bare } => {
                self.byte(2);
                each!(self, *measures, measure => self.measure(measure));
                self.count(match bare {
                    Some(which) => *which + 1,
                    None => 0,
                });
            }
            Kind::Count => self.byte(3),
            Kind::PowerOfTwo => self.byte(4),
            Kind::Ratio => self.byte(5),
            Kind::Thread => self.byte(6),
            Kind::Word => self.byte(7),
            Kind::Rows(columns) => {
                self.byte(8);
                each!(self, *columns, column => self.field(column));
            }
            Kind::Log => self.byte(9),
        }
    }

    const fn bound(&mut self, bound: &Option<Limit>) {
        if let Some(limit) = bound {
            self.number(limit.value);
            self.text(limit.why);
        }
    }

    const fn field(&mut self, field: &Field) {
        self.text(field.key);
        self.text(field.label);
        self.text(field.default);
        self.text(field.help);
        let limits = &field.limits;
        let mut flags = 0;
        if field.optional {
            flags |= OPTIONAL;
        }
        if field.target {
            flags |= TARGET;
        }
        if let Some(limit) = &limits.least {
            flags |= LEAST | if limit.inclusive { 0 } else { LEAST_OPEN };
        }
        if let Some(limit) = &limits.most {
            flags |= MOST | if limit.inclusive { 0 } else { MOST_OPEN };
        }
        if limits.usual.is_some() {
            flags |= USUAL;
        }
        if field.carried.is_some() {
            flags |= CARRIED;
        }
        self.byte(flags);
        self.bound(&limits.least);
        self.bound(&limits.most);
        if let Some((low, high, why)) = limits.usual {
            self.number(low);
            self.number(high);
            self.text(why);
        }
        if let Some(carried) = field.carried {
            self.text(carried.sheet);
            self.text(carried.answer);
        }
        self.when(field.when);
        self.kind(&field.kind);
    }

    const fn heads(&mut self, heads: &[Head]) {
        each!(self, heads, head => {
            self.text(head.label);
            self.text(head.unit);
            self.show(&head.show);
        });
    }

    const fn show(&mut self, show: &Show) {
        let (tag, digits) = match show {
            Show::Significant(digits) => (0, *digits),
            Show::Fixed(digits) => (1, *digits),
            Show::Text => (2, 0),
            Show::List(digits) => (3, *digits),
            Show::Rows(_) => (4, 0),
            Show::Curve(_, Scale::Linear) => (5, 0),
            Show::Curve(_, Scale::Logarithmic) => (6, 0),
        };
        self.byte(tag);
        self.byte(digits);
        if let Show::Rows(heads) | Show::Curve(heads, _) = show {
            self.heads(heads);
        }
    }

    const fn answer(&mut self, answer: &Answer) {
        self.text(answer.key);
        self.text(answer.label);
        self.text(answer.formula);
        self.text(answer.source);
        self.byte(
            if answer.headline { HEADLINE } else { 0 } | if answer.aside { ASIDE } else { 0 },
        );
        self.measure(&answer.measure);
        self.show(&answer.show);
        self.when(answer.when);
    }

    const fn sheet(&mut self, sheet: &Sheet) {
        self.text(sheet.id);
        self.text(sheet.title);
        self.text(sheet.about);
        self.text(sheet.search);
        self.byte(sheet.subject as u8);
        each!(self, sheet.fields, field => self.field(field));
        each!(self, sheet.answers, answer => self.answer(answer));
        each!(self, sheet.checks, check => {
            self.text(check.id);
            self.text(check.label);
            self.measure(&check.measure);
            self.text(check.within);
            self.text(check.near);
            self.text(check.over);
        });
        each!(self, sheet.cautions, caution => {
            self.text(caution.id);
            self.text(caution.what);
            self.text(caution.first);
            self.byte(caution.always as u8);
        });
    }
}

/// Reads what [`Packer`] wrote. Its bytes come from there alone, so that a missing one is no case of its own: it reads
/// as nothing, and the tests hold every sheet to what it declares.
struct Unpacker {
    bytes: &'static [u8],
}

impl Unpacker {
    fn byte(&mut self) -> u8 {
        let Some((first, rest)) = self.bytes.split_first() else {
            return 0;
        };
        self.bytes = rest;
        *first
    }

    fn text(&mut self) -> &'static str {
        let end = self.bytes.iter().position(|byte| *byte == 0);
        let Some((text, rest)) = end.and_then(|end| self.bytes.split_at_checked(end)) else {
            return "";
        };
        self.bytes = rest.get(1..).unwrap_or_default();
        core::str::from_utf8(text).unwrap_or_default()
    }

    fn number(&mut self) -> f64 {
        let length = self.byte();
        let mut bits = 0;
        for place in 0..8 {
            bits = bits << 8 | u64::from(if place < length { self.byte() } else { 0 });
        }
        f64::from_bits(bits)
    }

    fn measure(&mut self) -> Measure {
        let place = usize::from(self.byte());
        MEASURES.get(place).copied().unwrap_or(ONE)
    }

    /// A list, which stays for as long as the program runs.
    fn list<T>(&mut self, mut item: impl FnMut(&mut Self) -> T) -> &'static [T] {
        let count = self.byte();
        let mut items = Vec::with_capacity(usize::from(count));
        for _ in 0..count {
            items.push(item(self));
        }
        items.leak()
    }

    fn texts(&mut self) -> &'static [&'static str] {
        self.list(Self::text)
    }

    fn when(&mut self) -> When {
        self.list(|bytes| (bytes.text(), bytes.texts()))
    }

    fn kind(&mut self) -> Kind {
        match self.byte() {
            0 => Kind::Choice(self.list(|bytes| Choice {
                key: bytes.text(),
                label: bytes.text(),
            })),
            1 => Kind::Number(self.measure()),
            2 => Kind::Either {
                measures: self.list(Self::measure),
                bare: usize::from(self.byte()).checked_sub(1),
            },
            3 => Kind::Count,
            4 => Kind::PowerOfTwo,
            5 => Kind::Ratio,
            6 => Kind::Thread,
            7 => Kind::Word,
            8 => Kind::Rows(self.fields()),
            _ => Kind::Log,
        }
    }

    fn fields(&mut self) -> &'static [Field] {
        self.list(Self::field)
    }

    fn bound(&mut self, there: bool, open: bool) -> Option<Limit> {
        there.then(|| Limit {
            value: self.number(),
            why: self.text(),
            inclusive: !open,
        })
    }

    fn field(&mut self) -> Field {
        let (key, label, default, help) = (self.text(), self.text(), self.text(), self.text());
        let flags = self.byte();
        let has = |bit| flags & bit != 0;
        let limits = Limits {
            least: self.bound(has(LEAST), has(LEAST_OPEN)),
            most: self.bound(has(MOST), has(MOST_OPEN)),
            usual: has(USUAL).then(|| (self.number(), self.number(), self.text())),
        };
        let carried = has(CARRIED).then(|| Carried {
            sheet: self.text(),
            answer: self.text(),
        });
        Field {
            key,
            label,
            default,
            help,
            limits,
            carried,
            optional: has(OPTIONAL),
            target: has(TARGET),
            when: self.when(),
            kind: self.kind(),
        }
    }

    fn heads(&mut self) -> &'static [Head] {
        self.list(|bytes| Head {
            label: bytes.text(),
            unit: bytes.text(),
            show: bytes.show(),
        })
    }

    fn show(&mut self) -> Show {
        let (tag, digits) = (self.byte(), self.byte());
        match tag {
            0 => Show::Significant(digits),
            1 => Show::Fixed(digits),
            2 => Show::Text,
            3 => Show::List(digits),
            4 => Show::Rows(self.heads()),
            5 => Show::Curve(self.heads(), Scale::Linear),
            _ => Show::Curve(self.heads(), Scale::Logarithmic),
        }
    }

    fn answer(&mut self) -> Answer {
        let (key, label, formula, source) = (self.text(), self.text(), self.text(), self.text());
        let flags = self.byte();
        Answer {
            key,
            label,
            formula,
            source,
            headline: flags & HEADLINE != 0,
            aside: flags & ASIDE != 0,
            measure: self.measure(),
            show: self.show(),
            when: self.when(),
        }
    }

    fn sheet(mut self, work: fn(&Inputs, &mut Outcome)) -> Sheet {
        Sheet {
            id: self.text(),
            title: self.text(),
            about: self.text(),
            search: self.text(),
            subject: SUBJECTS
                .get(usize::from(self.byte()))
                .copied()
                .unwrap_or(Subject::Motion),
            fields: self.fields(),
            answers: self.list(Self::answer),
            checks: self.list(|bytes| Check {
                id: bytes.text(),
                label: bytes.text(),
                measure: bytes.measure(),
                within: bytes.text(),
                near: bytes.text(),
                over: bytes.text(),
            }),
            cautions: self.list(|bytes| Caution {
                id: bytes.text(),
                what: bytes.text(),
                first: bytes.text(),
                always: bytes.byte() != 0,
            }),
            work,
        }
    }
}
