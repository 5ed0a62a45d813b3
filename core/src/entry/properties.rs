//! What holds for any text and any number.

extern crate std;

use std::format;
use std::string::String;
use std::vec::Vec;

use proptest::prelude::*;

use super::number::{Number, is_blank, read_count, read_either, read_number, read_ratio};
use super::product::{Extra, read_product};
use super::rows::{escape_cell, split_rows, unescape_cell};
use super::table::DIMENSIONS;
use super::thread::read_thread;
use super::unit::{A, AWG, MM, MM2, Measure, PERCENT};
use super::write::{write_fixed, write_shortest, write_significant};

/// What means something here, and some that does not.
#[rustfmt::skip] // a list
const PIECES: &[&str] = &[
    "0", "1", "9", "25", "4k7", ".", ",", "-", "+", "e", "E", "1e308", "1e-308", "/", "*", "±", "+-", "%",
    " ", "'", "\"", "mm", "in", "m", "k", "R", "M", "K", "°C", "°F", "ohm", "Ω", "N·m", "AWG", "1/mm",
    "Tr8x8(P2)", "x", "P", "LH", "(", ")", ";", "\u{2212}", "\u{feff}", "\u{a0}", "😀", "²", ":", "_", "nan",
    "inf", "%2C",
];

/// Text of the characters that mean something here, and some that do not.
fn likely_text() -> impl Strategy<Value = String> {
    prop::collection::vec(prop::sample::select(PIECES), 0..12).prop_map(|pieces| pieces.concat())
}

fn any_text() -> impl Strategy<Value = String> {
    prop_oneof![3 => likely_text(), 1 => any::<String>()]
}

/// A number that may be shown: finite, its half width over 0, its exact form the same number.
fn sound(number: Number) -> bool {
    number.value.is_finite()
        && number
            .half
            .is_none_or(|half| half > 0.0 && half.is_finite())
        && number
            .exact
            .is_none_or(|exact| exact.to_f64().to_bits() == number.value.to_bits())
        && (number.value != 0.0 || number.value.is_sign_positive())
}

/// Finite numbers of the sizes that machines have, and any other.
fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        any::<f64>().prop_filter("finite", |value| value.is_finite()),
        (-1e6..1e6f64),
        (any::<i32>(), -9i32..9).prop_map(|(n, power)| f64::from(n) * 10f64.powi(power)),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_read_or_refused_in_words(text in any_text(), dimension in 0..DIMENSIONS.len()) {
        let dimension = DIMENSIONS.get(dimension).expect("a dimension");
        for unit in dimension.units {
            match read_number(&text, Measure { dimension, unit }) {
                Ok(number) => prop_assert!(sound(number), "{number:?}"),
                Err(cause) => prop_assert!(cause.message("Label", "a number").starts_with("Label: ")),
            }
        }
        for measures in [[A, PERCENT], [AWG, MM2]] {
            for bare in [None, Some(0), Some(1)] {
                if let Ok((which, number)) = read_either(&text, &measures, bare) {
                    prop_assert!(which < 2 && sound(number));
                }
            }
        }
        if let Ok(number) = read_ratio(&text) {
            prop_assert!(sound(number));
        }
        if let Ok(count) = read_count(&text) {
            prop_assert!(count <= 4_000_000_000);
        }
        if let Ok(thread) = read_thread(&text) {
            prop_assert!(thread.pitch_mm > 0.0 && thread.lead_mm >= thread.pitch_mm);
            prop_assert!(thread.minor_diameter_mm() > 0.0 && thread.diameter_mm.is_finite());
        }
        for row in split_rows(&text) {
            for cell in row {
                unescape_cell(cell);
            }
        }
        is_blank(&text);
    }

    #[test]
    fn decimals_read_as_the_standard_library_reads_them(
        digits in 0u64..100_000_000_000_000_000, point in 0usize..18, power in -18i32..=18
    ) {
        let mut text = format!("{digits:018}");
        text.insert(point, '.');
        let text = format!("{text}e{power}");
        let expected: f64 = text.parse().expect("a number");
        let read = read_product(&text, Extra::None).expect("a number");
        prop_assert_eq!(read.float.to_bits(), expected.to_bits(), "{}", text);
    }

    #[test]
    fn thirty_eight_digits_are_still_rounded_once(digits in "[1-9][0-9]{0,37}", power in -38i32..=0) {
        let text = format!("{digits}e{power}");
        let expected: f64 = text.parse().expect("a number");
        let read = read_product(&text, Extra::None).expect("a number");
        prop_assert_eq!(read.float.to_bits(), expected.to_bits(), "{}", text);
    }

    #[test]
    fn any_other_decimal_is_a_few_units_off_at_most(digits in "[1-9][0-9]{0,59}(\\.[0-9]{1,60})?", power in -290i32..240) {
        let text = format!("{digits}e{power}");
        let expected: f64 = text.parse().expect("a number");
        if let Ok(read) = read_product(&text, Extra::None) {
            prop_assert!(read.float.to_bits().abs_diff(expected.to_bits()) <= 8, "{}", text);
        } else {
            prop_assert!(expected.abs() < 1e-299 || expected.is_infinite(), "{}", text);
        }
    }

    #[test]
    fn a_written_number_reads_back(value in any_number()) {
        let text = write_shortest(value, 17);
        let read = read_number(&text, MM);
        if value == 0.0 || (1e-21..1e38).contains(&value.abs()) {
            prop_assert_eq!(read.expect("a number").value.to_bits(), (value + 0.0).to_bits(), "{}", text);
        } else if let Ok(read) = read {
            prop_assert!((read.value / value - 1.0).abs() < 4e-15, "{}", text);
        } else {
            prop_assert!(value.abs() < 1e-299, "{}", text);
        }
        let fewest = format!("{value:e}");
        let count = |text: &str| text.split('e').next().unwrap_or("").trim_matches(['-', '0', '.']).replace(['.', '-'], "").trim_matches('0').len();
        if (1e-21..1e38).contains(&value.abs()) {
            prop_assert!(count(&text) <= count(&fewest).max(15), "{} {}", text, fewest);
        }
    }

    #[test]
    fn digits_agree_with_the_standard_library(value in any_number(), digits in 1u8..=17) {
        let places = usize::from(digits);
        if value.abs() < 1e14 {
            let expected = format!("{value:.places$}");
            let negative_zero = expected.starts_with('-') && !expected.contains(|c: char| ('1'..='9').contains(&c));
            let expected = if negative_zero { &expected[1..] } else { &expected[..] };
            prop_assert_eq!(write_fixed(value, digits), expected);
        }
        let expected = format!("{:.*e}", places - 1, value + 0.0);
        let power: i32 = expected.split('e').nth(1).and_then(|power| power.parse().ok()).expect("a power");
        let written = write_significant(value, digits);
        if (-4..7).contains(&power) {
            let wanted: Vec<char> = expected.split('e').next().unwrap_or("").chars().filter(char::is_ascii_digit).collect();
            let got: Vec<char> = written.chars().filter(char::is_ascii_digit).skip_while(|c| *c == '0' && value.abs() < 1.0 && value != 0.0).collect();
            prop_assert!(got.starts_with(&wanted), "{} {}", written, expected);
            prop_assert!(got.iter().skip(wanted.len()).all(|c| *c == '0'), "{} {}", written, expected);
        } else {
            prop_assert_eq!(written, expected);
        }
    }

    #[test]
    fn a_cell_holds_any_text(text in any_text(), other in likely_text()) {
        let row = format!("{},{};", escape_cell(&text), escape_cell(&other));
        let trimmed = |text: &str| String::from(text.trim_matches(super::text::is_blank_char));
        let cells: Vec<String> = split_rows(&row).flatten().map(unescape_cell).map(|cell| trimmed(&cell)).collect();
        prop_assert_eq!(cells, [trimmed(&text), trimmed(&other)]);
    }

    #[test]
    fn each_unit_reads_its_own_sign(value in -1e9..1e9f64, dimension in 0..DIMENSIONS.len()) {
        let dimension = DIMENSIONS.get(dimension).expect("a dimension");
        for unit in dimension.units {
            let sign = if unit.sign.contains(" per ") { unit.symbol } else { unit.sign };
            let text = format!("{} {sign}", write_shortest(value, 17));
            let number = read_number(&text, Measure { dimension, unit }).expect(&text);
            prop_assert_eq!(number.value.to_bits(), (value + 0.0).to_bits(), "{}", text);
        }
    }
}
