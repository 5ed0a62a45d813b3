//! Typed text made plain: one character for each meaning, whatever keyboard it came from.

use alloc::borrow::Cow;
use alloc::string::String;

use super::cause::Cause;

/// The longest text that is read, in characters; an entry is a number, not a page.
pub(super) const LONGEST: usize = 200;

/// Whether a character shows nothing: marks of writing direction, joiners, byte order, variation.
fn is_invisible(c: char) -> bool {
    matches!(c,
        '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}'
        | '\u{2060}'..='\u{2064}' | '\u{2066}'..='\u{206f}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}')
}

/// Whether a character is blank.
pub(super) fn is_blank_char(c: char) -> bool {
    c.is_whitespace() || is_invisible(c)
}

/// The one plain spelling of a character that several look like; empty for one that stands for itself.
fn plain_form(c: char) -> &'static str {
    match c {
        '\u{2010}'..='\u{2015}' | '\u{2212}' | '\u{207b}' | '\u{fe63}' | '\u{ff0d}' => "-",
        '\u{ff0b}' => "+",
        '×' | '·' | '⋅' | '∙' | '•' | '∗' | '✕' | '✖' => "*",
        '÷' | '∕' | '⁄' => "/",
        '“' | '”' | '„' | '‟' | '″' | '＂' => "\"",
        '‘' | '’' | '‚' | '‛' | '′' | '´' | '`' => "'",
        'µ' | 'μ' => "u",
        'Ω' | '\u{2126}' => "ohm",
        '\u{212a}' => "K",
        'º' | '˚' => "°",
        '℃' => "°C",
        '℉' => "°F",
        // With the caret, so that 10² is not read as 102.
        '²' => "^2",
        '³' => "^3",
        '⁴' => "^4",
        '¹' => "^1",
        c if c.is_whitespace() => " ",
        _ => "",
    }
}

/// A typed text with look-alikes replaced, invisible marks dropped, and the spaces at both ends gone.
///
/// # Errors
/// [`Cause::TooLong`] over 200 characters, [`Cause::Empty`] when nothing can be seen.
pub(super) fn plain(text: &str) -> Result<Cow<'_, str>, Cause> {
    // `nth` looks no further than it must, however long the text is.
    if text.len() > LONGEST && text.chars().nth(LONGEST).is_some() {
        return Err(Cause::TooLong);
    }
    // What a desk keyboard types is plain already.
    if text.bytes().all(|b| matches!(b, b' '..=b'~') && b != b'`') {
        let text = text.trim_matches(' ');
        return if text.is_empty() {
            Err(Cause::Empty)
        } else {
            Ok(Cow::Borrowed(text))
        };
    }
    let mut out = String::with_capacity(text.len());
    for c in text.trim_matches(is_blank_char).chars() {
        match plain_form(c) {
            "" if is_invisible(c) => {}
            "" => out.push(c),
            form => out.push_str(form),
        }
    }
    if out.is_empty() {
        Err(Cause::Empty)
    } else {
        Ok(Cow::Owned(out))
    }
}

/// Whether a character only separates the parts of a unit: `N.m`, `N*m`, `N m` and `Nm` are one.
pub(super) fn is_separator(c: char) -> bool {
    matches!(c, ' ' | '.' | '*' | '-' | '^' | '(' | ')')
}

/// A unit's characters without what only separates them.
pub(super) fn folded(unit: &str) -> impl Iterator<Item = char> {
    unit.chars().filter(|c| !is_separator(*c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn look_alikes_become_one_character() {
        for (typed, expected) in [
            ("\u{2212}5", "-5"),
            ("\u{2013}5", "-5"),
            ("1\u{2044}2", "1/2"),
            ("2×3·4", "2*3*4"),
            ("1/16\u{201d}", "1/16\""),
            ("5\u{2032}", "5'"),
            ("5 \u{b5}m", "5 um"),
            ("5 \u{3bc}m", "5 um"),
            ("5 \u{3a9}", "5 ohm"),
            ("5 k\u{2126}", "5 kohm"),
            ("20 ℃", "20 °C"),
            ("20 ºC", "20 °C"),
            ("293 \u{212a}", "293 K"),
            ("3 mm\u{b2}", "3 mm^2"),
            ("1\u{202f}234", "1 234"),
            ("\u{a0}\u{2003} 5\u{3000}", "5"),
            ("\u{feff}5\u{200b}\u{200e}0\u{2069}", "50"),
        ] {
            assert_eq!(plain(typed).expect(typed), expected, "{typed}");
        }
    }

    #[test]
    fn a_raised_two_is_no_digit() {
        assert_eq!(plain("10²").expect("text"), "10^2");
    }

    #[test]
    fn nothing_and_too_much_are_refused() {
        for blank in ["", "   ", "\u{200b}\u{feff}", "\u{a0}\t\n"] {
            assert!(matches!(plain(blank), Err(Cause::Empty)), "{blank:?}");
        }
        assert!(plain(&"1".repeat(LONGEST)).is_ok());
        assert!(matches!(
            plain(&"1".repeat(LONGEST + 1)),
            Err(Cause::TooLong)
        ));
        assert!(matches!(plain(&"9".repeat(10_000)), Err(Cause::TooLong)));
    }
}
