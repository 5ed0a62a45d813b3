//! A whole machine as a link: `machine?v=1&d=...&k=1a2b`, and what came with one.
//!
//! `d` is the record without its first and last line, its texts raw, packed (`pack.rs`) and written as base64url without
//! padding (RFC 4648, section 5); `k` is the check over all that precedes, as in every link. A long link may travel in
//! several pieces, each a link of its own: `machine?v=1&p=2.3&d=9f3c...&k=1a2b` is the second of three; its `d` begins with
//! the check of the whole link, so that pieces of two machines do not make a third.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::{HEAD, Machine, RecordFault, SCHEMA, declared, pack};
use crate::link::{VERSION, checksum, without_log};
use crate::sheets::Kind;

const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";

/// What the link of a machine begins with, behind `#`.
pub const START: &str = "machine?";

/// What a link of a machine holds.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Moved {
    /// The machine.
    Whole(Machine),
    /// A piece of its link.
    Piece {
        /// Which one, from 1.
        number: usize,
        /// Of how many.
        of: usize,
        /// Its text.
        text: String,
    },
}

impl Machine {
    /// The link text of this machine, to go behind `#`; a log gives its place to what it told. `None` for a machine of more
    /// text than a link brings back.
    pub fn link(&self) -> Option<String> {
        let mut body = String::new();
        self.without_logs().body(&mut body, escape_raw);
        let packed = (body.len() < pack::LONGEST).then(|| pack::pack(&body))?;
        Some(sealed(&format!("{START}v={VERSION}&d={}", base64(&packed))))
    }

    /// This machine without its logs: what each told stands in the entries.
    fn without_logs(&self) -> Self {
        let mut machine = self.clone();
        for (from, to) in self.parts.iter().zip(&mut machine.parts) {
            for (id, entries) in &mut to.sheets {
                let Some(sheet) = declared(id) else { continue };
                let logs = |key: &str| entries.get(key).is_some();
                if sheet
                    .fields
                    .iter()
                    .any(|field| matches!(field.kind, Kind::Log) && logs(field.key))
                    && let Some(short) = without_log(&from.report(sheet))
                {
                    *entries = short;
                }
            }
        }
        machine
    }

    /// A link text in so many pieces of about this many characters.
    pub fn pieces(link: &str, length: usize) -> Vec<String> {
        let (data, whole) = link
            .split_once("&d=")
            .and_then(|(_, data)| data.split_once("&k="))
            .unwrap_or_default();
        let count = data.len().div_ceil(length.max(1)).max(1);
        let letters: Vec<char> = data.chars().collect();
        let pieces = letters
            .chunks(data.len().div_ceil(count).max(1))
            .map(String::from_iter);
        let numbered = (1_usize..).zip(pieces);
        numbered
            .map(|(at, piece)| {
                sealed(&format!(
                    "{START}v={VERSION}&p={at}.{count}&d={whole}{piece}"
                ))
            })
            .collect()
    }

    /// The link text of the texts of pieces that came together: one whose check does not fit if they are not of one machine.
    pub fn joined(pieces: &[String]) -> String {
        let (mut whole, mut data) = ("", String::new());
        for (check, piece) in pieces.iter().filter_map(|text| text.split_at_checked(4)) {
            whole = check;
            data.push_str(piece);
        }
        format!("{START}v={VERSION}&d={data}&k={whole}")
    }

    /// Reads a link text or a whole address.
    ///
    /// # Errors
    /// [`RecordFault`] when it is something else, of a newer version, or was cut or changed.
    pub fn read_link(text: &str) -> Result<Moved, RecordFault> {
        let text = text.trim();
        let text = text.rsplit_once('#').map_or(text, |(_, fragment)| fragment);
        let text = text.replace("&amp;", "&");
        let query = text.strip_prefix(START).ok_or(RecordFault::NotARecord)?;
        let value = |key: &str| {
            query
                .split('&')
                .find_map(|pair| pair.strip_prefix(key)?.strip_prefix('='))
        };
        let version: u32 = value("v")
            .and_then(|version| version.parse().ok())
            .ok_or(RecordFault::Damaged)?;
        if version.to_string() != VERSION {
            return Err(RecordFault::Newer(version));
        }
        // What a post put around the link is not part of it.
        let (before, check) = text.rsplit_once("&k=").ok_or(RecordFault::Damaged)?;
        let check: String = check
            .chars()
            .take_while(char::is_ascii_alphanumeric)
            .collect();
        if !checksum(before).eq_ignore_ascii_case(&check) {
            return Err(RecordFault::Damaged);
        }
        let data = value("d").ok_or(RecordFault::Damaged)?;
        if let Some(piece) = value("p") {
            let (number, of) = piece.split_once('.').ok_or(RecordFault::Damaged)?;
            let number_of = |text: &str| {
                text.parse()
                    .ok()
                    .filter(|n| (1..100).contains(n))
                    .ok_or(RecordFault::Damaged)
            };
            let (number, of) = (number_of(number)?, number_of(of)?);
            return Ok(Moved::Piece {
                number,
                of,
                text: data.to_string(),
            });
        }
        let packed = bytes(data).ok_or(RecordFault::Damaged)?;
        let body = pack::unpack(&packed).ok_or(RecordFault::Damaged)?;
        let record = format!("{HEAD}{SCHEMA}\n{body}");
        let check = checksum(&record);
        Self::read(&format!("{record}k={check}\n")).map(Moved::Whole)
    }
}

fn sealed(text: &str) -> String {
    format!("{text}&k={}", checksum(text))
}

/// As it is, but for what parts the pieces of a record.
fn escape_raw(out: &mut String, text: &str) {
    for c in text.chars() {
        if matches!(c, '%' | '&' | '=' | '?') || c.is_ascii_control() {
            crate::link::encode_into(out, c.encode_utf8(&mut [0; 4]));
        } else {
            out.push(c);
        }
    }
}

fn base64(bytes: &[u8]) -> String {
    let mut out = String::with_capacity(bytes.len() * 4 / 3 + 3);
    for three in bytes.chunks(3) {
        let at = |n: usize| three.get(n).map_or(0, |byte| usize::from(*byte));
        let all = at(0) << 16 | at(1) << 8 | at(2);
        for shift in [18, 12, 6, 0].iter().take(three.len() + 1) {
            out.push(
                LETTERS
                    .get(all >> shift & 63)
                    .map_or('A', |letter| char::from(*letter)),
            );
        }
    }
    out
}

fn bytes(text: &str) -> Option<Vec<u8>> {
    let (mut out, mut all, mut bits) = (Vec::new(), 0_u32, 0);
    for letter in text.bytes() {
        let value = (0_u32..)
            .zip(LETTERS)
            .find(|(_, other)| **other == letter)?
            .0;
        all = (all << 6 | value) & 0xFFFF;
        bits += 6;
        if bits >= 8 {
            bits -= 8;
            out.push(u8::try_from(all >> bits & 255).ok()?);
        }
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::machine::{example, trial::machine};
    use crate::sheets::Entries;

    #[test]
    fn base64url_is_that_of_the_standard() {
        // RFC 4648, section 10, without padding; "-" and "_" by section 5, table 2.
        for (plain, coded) in [
            ("", ""),
            ("f", "Zg"),
            ("fo", "Zm8"),
            ("foo", "Zm9v"),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(plain.as_bytes()), coded);
            assert_eq!(bytes(coded).as_deref(), Some(plain.as_bytes()));
        }
        assert_eq!(base64(&[0xfb, 0xff]), "-_8");
        assert_eq!(bytes("a+b"), None);
    }

    /// A machine that shares no figure with what the packing knows beforehand.
    fn wren() -> Machine {
        let mut wren = example::machine().expect("the record is whole");
        wren.name = "Wren 220 “é”".into();
        wren.parts.truncate(6);
        let mut number = 11_u32;
        for part in &mut wren.parts {
            part.name = format!("{} of mine", part.name);
            for (_, entries) in &mut part.sheets {
                let turned: Entries = entries
                    .iter()
                    .map(|(key, text)| {
                        let text: String = text
                            .chars()
                            .map(|c| {
                                number = number.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                                if c.is_ascii_digit() {
                                    char::from_digit(number >> 24 & 7, 10).unwrap_or(c)
                                } else {
                                    c
                                }
                            })
                            .collect();
                        (key, text)
                    })
                    .fold(Entries::new(), |mut all, (key, text)| {
                        all.set(key, &text);
                        all
                    });
                *entries = turned;
            }
        }
        wren
    }

    #[test]
    fn a_machine_of_six_parts_fits_a_link_of_2000_characters_and_comes_back() {
        let machine = wren();
        assert!(
            machine.parts.len() == 6
                && machine
                    .parts
                    .iter()
                    .map(|part| part.sheets.len())
                    .sum::<usize>()
                    > 30
        );
        let link = machine.link().expect("it is short");
        assert!(link.len() < 1700, "{} characters", link.len());
        assert_eq!(Machine::read_link(&link), Ok(Moved::Whole(machine.clone())));
        // Around it stands what posts put there.
        assert_eq!(
            Machine::read_link(&format!("https://example.org/x/#{link}).")),
            Ok(Moved::Whole(machine))
        );
        assert!(
            link.bytes()
                .all(|byte| byte.is_ascii_alphanumeric() || b"-_=&?.".contains(&byte))
        );
    }

    #[test]
    fn a_link_of_the_first_version_stays_readable() {
        // Written when the format was made; a change of the packing or of what it knows breaks it.
        let Ok(Moved::Whole(machine)) = Machine::read_link(FIRST) else {
            panic!("{}", wagtail().link().unwrap_or_default())
        };
        assert_eq!(machine, wagtail());
    }

    const FIRST: &str =
        "machine?v=1&d=G-XtcPSXkn6wq9WHkgJf13JHNWlI3IYo8qoJy4m0ifE77sPUUpLFLwh0QuPBpwQyHtn4&k=a90f";

    fn wagtail() -> Machine {
        machine(
            "part=X axis\ntravel?drive=belt&pitch=2&teeth=16&step=0.9&micro=32\ncurrent?rated=1.2&set=0.85&supply=24\npart=Oven <b>\nof_later?a=%26%0Ab",
        )
    }

    #[test]
    fn pieces_come_together_again() {
        let link = wren().link().expect("it is short");
        let pieces = Machine::pieces(&link, 400);
        assert!(pieces.len() > 2);
        let mut texts = Vec::new();
        for (at, piece) in (1..).zip(&pieces) {
            let Ok(Moved::Piece { number, of, text }) = Machine::read_link(piece) else {
                panic!("{piece}")
            };
            assert_eq!((number, of), (at, pieces.len()));
            texts.push(text);
        }
        assert_eq!(Machine::joined(&texts), link);
        // One piece of another machine among them.
        let other = Machine::pieces(&wagtail().link().expect("it is short"), 20);
        let Some(Ok(Moved::Piece { text, .. })) =
            other.first().map(|piece| Machine::read_link(piece))
        else {
            panic!("{other:?}")
        };
        for place in 0..texts.len() {
            let mut mixed = texts.clone();
            if let Some(one) = mixed.get_mut(place) {
                one.clone_from(&text);
            }
            assert_eq!(
                Machine::read_link(&Machine::joined(&mixed)),
                Err(RecordFault::Damaged)
            );
        }
    }

    #[test]
    fn a_cut_changed_foreign_or_newer_link_is_refused() {
        let link = wagtail().link().expect("it is short");
        for (text, fault) in [
            (
                link.get(..link.len() - 9).unwrap_or("").to_string(),
                RecordFault::Damaged,
            ),
            (link.replacen("d=", "d=A", 1), RecordFault::Damaged),
            (link.replace("v=1", "v=4"), RecordFault::Newer(4)),
            ("travel?v=1&pitch=2".to_string(), RecordFault::NotARecord),
            (sealed("machine?v=1&d=%%%"), RecordFault::Damaged),
            (sealed("machine?v=1&p=0.9&d=AAAA"), RecordFault::Damaged),
        ] {
            assert_eq!(Machine::read_link(&text), Err(fault), "{text}");
        }
    }

    #[test]
    fn a_machine_too_large_for_a_link_has_none() {
        let mut machine = wagtail();
        assert!(machine.link().is_some());
        machine.name = "x".repeat(pack::LONGEST);
        assert_eq!(machine.link(), None);
    }

    #[test]
    fn a_log_gives_its_place_to_what_it_told() {
        let rows: String = (0..400)
            .map(|s| {
                format!(
                    "{s},{:.2},1;",
                    20.0 + 60.0 * (1.0 - libm::exp(-f64::from((s - 5_i32).max(0)) / 90.0))
                )
            })
            .collect();
        let mut machine = machine("part=Bed");
        let mut entries = Entries::new();
        entries.set("log", &rows);
        if let Some(part) = machine.parts.first_mut() {
            part.set("control", entries);
        }
        let link = machine.link().expect("it is short");
        assert!(link.len() < 400, "{}", link.len());
        let Ok(Moved::Whole(read)) = Machine::read_link(&link) else {
            panic!("{link}")
        };
        let entries = read
            .parts
            .first()
            .and_then(|part| part.entries("control"))
            .cloned()
            .unwrap_or_default();
        assert!(
            entries.get("gain").is_some()
                && entries.get("tau").is_some()
                && entries.get("log").is_none()
        );
    }
}
