//! Why a text was not read, and what to say beside its field.

use alloc::string::String;

use super::unit::Dimension;

/// Why a text was not read.
#[derive(Clone, Copy, Debug)]
pub enum Cause {
    /// Nothing but blanks.
    Empty,
    /// Over 200 characters.
    TooLong,
    /// Something that is not part of a number.
    Letters {
        /// The first such character.
        at: char,
    },
    /// The text ends where a number must follow.
    Unfinished,
    /// A number followed by something that is no unit of what is asked for.
    UnknownUnit {
        /// What is asked for; `None` when it may be one of several.
        dimension: Option<&'static Dimension>,
    },
    /// Milli or mega ohms: a lone m after a resistance.
    MilliOrMega,
    /// Digits in groups.
    GroupSeparator,
    /// A whole number and a fraction side by side, as 1 1/2.
    Mixed,
    /// A divisor that is 0.
    DivideByZero,
    /// Beyond the largest number there is.
    TooLarge,
    /// Not 0, and yet closer to it than any number that is worked with.
    TooSmall,
    /// Not whole.
    NotWhole,
    /// Under 0.
    Negative,
    /// A bare number where only the unit tells what is meant.
    NeedsUnit,
    /// More than one ±.
    SeveralTolerances,
    /// A tolerance of 0 or less.
    ToleranceNotPositive,
    /// Something after ± that is no number.
    ToleranceUnreadable,
    /// A per cent tolerance of a temperature.
    TolerancePercentOfTemperature,
    /// A ± where there can be none.
    ToleranceNotTaken,
    /// No thread designation.
    NotAThread,
    /// A trapezoidal thread without its pitch.
    ThreadNeedsPitch,
    /// A metric size that has no coarse pitch of its own.
    UnknownCoarse,
    /// A lead that is no multiple of its pitch.
    LeadNotMultiple,
    /// A thread so deep that no core is left.
    NoCore {
        /// Whether the second number is likely to be the lead of a thread with several starts.
        lead_likely: bool,
    },
}

impl Cause {
    /// What to say beside the field: its label, what to enter, and why.
    ///
    /// `accepts` is what can be entered, as "a length in mm, such as 12.5, 1,25 cm or 1/2 in".
    ///
    /// ```
    /// # use layshaft_core::entry::cause::Cause;
    /// let accepts = "a length in mm, such as 12.5, 1,25 cm or 1/2 in";
    /// assert_eq!(
    ///     Cause::Empty.message("Length of the axis", accepts),
    ///     "Length of the axis: enter a length in mm, such as 12.5, 1,25 cm or 1/2 in."
    /// );
    /// ```
    pub fn message(&self, label: &str, accepts: &str) -> String {
        let mut text = String::from(label);
        text.push_str(": ");
        if let Some(instead) = self.instead() {
            text.push_str(instead);
            text.push('.');
            return text;
        }
        text.push_str("enter ");
        text.push_str(accepts);
        match self {
            Self::Letters { at } => {
                text.push_str("; “");
                text.push(*at);
                text.push_str("” is not part of a number");
            }
            Self::UnknownUnit { dimension } => {
                push_units(&mut text, *dimension);
            }
            _ => text.push_str(self.why()),
        }
        text.push('.');
        text
    }

    /// The whole advice, where repeating what the field accepts would not help.
    const fn instead(&self) -> Option<&'static str> {
        Some(match self {
            Self::GroupSeparator => {
                "write 1234.5: groups of digits are not read, since 1,234 could mean two things"
            }
            Self::Mixed => "write 1 1/2 as 3/2 or 1.5",
            Self::MilliOrMega => "write 4 mohm or 4M: a lone m could mean either",
            Self::DivideByZero => "write a divisor other than 0, as 60/20",
            Self::SeveralTolerances => "write one tolerance, as 0.8 ± 0.05",
            Self::ToleranceNotPositive => {
                "write a tolerance above 0 after the ±, as 0.8 ± 0.05, or the value without one"
            }
            Self::ToleranceUnreadable => {
                "write a number after the ±, as 0.8 ± 0.05 or 100 ± 1 %, or the value without one"
            }
            Self::TolerancePercentOfTemperature => {
                "write the tolerance in kelvins, as 210 ± 2 K: a percentage of a temperature depends on its zero"
            }
            Self::ToleranceNotTaken => "write it without a tolerance, as 20 in place of 20 ± 1",
            Self::ThreadNeedsPitch => "write the pitch too, as Tr8x2 or Tr8x8(P2)",
            Self::UnknownCoarse => {
                "write the pitch too, as M8x1: this size has no coarse pitch in ISO 261"
            }
            Self::LeadNotMultiple => {
                "write a lead that is a whole number of pitches, as Tr8x8(P2): four starts of 2 mm"
            }
            Self::NoCore { lead_likely: true } => {
                "write the pitch too, as Tr8x8(P2): with a pitch of that size no core would be left"
            }
            Self::NoCore { lead_likely: false } => {
                "write a smaller pitch, as Tr8x2: with this one no core would be left"
            }
            _ => return None,
        })
    }

    /// The reason, after what the field accepts.
    const fn why(&self) -> &'static str {
        match self {
            Self::TooLong => "; this text has over 200 characters",
            Self::Unfinished => "; a number is missing at the end",
            Self::TooLarge => "; this number is too large to work with",
            Self::TooSmall => "; this number is too close to 0 to work with",
            Self::NotWhole => "; this number is not whole",
            Self::Negative => "; this number is under 0",
            Self::NeedsUnit => " with its unit: a bare number could mean several things",
            _ => "",
        }
    }
}

/// Adds which units there are.
fn push_units(text: &mut String, dimension: Option<&'static Dimension>) {
    let mut signs = dimension
        .map_or(&[][..], |dimension| dimension.units)
        .iter()
        .map(|unit| unit.sign)
        .filter(|sign| !sign.is_empty());
    match signs.next() {
        Some(first) => {
            text.push_str("; the units read here are ");
            text.push_str(first);
            for sign in signs {
                text.push_str(", ");
                text.push_str(sign);
            }
        }
        None if dimension.is_some() => text.push_str(", without a unit"),
        None => text.push_str("; this unit is not one of them"),
    }
}

#[cfg(test)]
mod tests {
    use super::super::number::{read_either, read_number};
    use super::super::unit::{AWG, MM, MM2, ONE};
    use super::*;

    const ACCEPTS: &str = "a length in mm, such as 12.5, 1,25 cm or 1/2 in";

    #[test]
    fn each_message_repeats_the_label_and_says_what_to_enter() {
        for (text, expected) in [
            (
                "",
                "Span: enter a length in mm, such as 12.5, 1,25 cm or 1/2 in.",
            ),
            (
                "x5",
                "Span: enter a length in mm, such as 12.5, 1,25 cm or 1/2 in; “x” is not part of a number.",
            ),
            (
                "5/",
                "Span: enter a length in mm, such as 12.5, 1,25 cm or 1/2 in; a number is missing at the end.",
            ),
            (
                "5 A",
                "Span: enter a length in mm, such as 12.5, 1,25 cm or 1/2 in; the units read here are mm, µm, cm, m, in, ft, thou.",
            ),
            (
                "1,234.5",
                "Span: write 1234.5: groups of digits are not read, since 1,234 could mean two things.",
            ),
            (
                "1e999",
                "Span: enter a length in mm, such as 12.5, 1,25 cm or 1/2 in; this number is too large to work with.",
            ),
            (
                "5 ± 0",
                "Span: write a tolerance above 0 after the ±, as 0.8 ± 0.05, or the value without one.",
            ),
        ] {
            let cause = read_number(text, MM).expect_err(text);
            assert_eq!(cause.message("Span", ACCEPTS), expected, "{text}");
        }
        let cause = read_number("5 mm", ONE).expect_err("a unit");
        assert_eq!(
            cause.message("Friction", "a number"),
            "Friction: enter a number, without a unit."
        );
        let either = |text| read_either(text, &[AWG, MM2], None).expect_err(text);
        assert_eq!(
            either("18").message("Gauge", "18 AWG or 0.75 mm²"),
            "Gauge: enter 18 AWG or 0.75 mm² with its unit: a bare number could mean several things."
        );
        assert_eq!(
            either("18 V").message("Gauge", "18 AWG or 0.75 mm²"),
            "Gauge: enter 18 AWG or 0.75 mm²; this unit is not one of them."
        );
    }

    #[test]
    fn no_message_scolds_or_begs() {
        use Cause::*;
        for cause in [
            Empty,
            TooLong,
            Letters { at: 'x' },
            Unfinished,
            UnknownUnit { dimension: None },
            MilliOrMega,
            GroupSeparator,
            Mixed,
            DivideByZero,
            TooLarge,
            TooSmall,
            NotWhole,
            Negative,
            NeedsUnit,
            SeveralTolerances,
            ToleranceNotPositive,
            ToleranceUnreadable,
            TolerancePercentOfTemperature,
            ToleranceNotTaken,
            NotAThread,
            ThreadNeedsPitch,
            UnknownCoarse,
            LeadNotMultiple,
            NoCore { lead_likely: true },
            NoCore { lead_likely: false },
        ] {
            let text = cause.message("Span", ACCEPTS);
            assert!(
                text.starts_with("Span: enter ") || text.starts_with("Span: write "),
                "{text}"
            );
            assert!(text.ends_with('.') && !text.contains(".."), "{text}");
            for word in ["invalid", "please", "Please", "error", "illegal"] {
                assert!(!text.contains(word), "{text}");
            }
        }
    }
}
