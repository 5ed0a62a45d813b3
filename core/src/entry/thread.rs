//! Thread designations: `Tr8x8(P2)`, `Tr 12 x 3 LH`, `M8`, `M8x1`.
//!
//! # Source
//! Trapezoidal: ISO 2901 (designation: nominal diameter x lead, pitch in brackets after P when there are several starts, LH
//! for left hand, tolerance class after a dash) and ISO 2904 (d3 = d - P - 2 ac). Metric: ISO 261 (coarse pitches), ISO 724
//! (d2 = d - 3H/4) and ISO 898-1 (d3 = d - 17H/12), with H = sqrt(3)/2 P. The figures are from memory.

use alloc::string::String;

use super::cause::Cause;
use super::product::{Extra, Value, read_product};
use super::text::plain;
use crate::fraction::Fraction;

/// The family of a thread.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Series {
    /// Trapezoidal, flanks at 15 degrees: designation Tr.
    Trapezoidal,
    /// ISO metric, flanks at 30 degrees: designation M.
    Metric,
}

/// A thread as its designation tells it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Thread {
    /// The family.
    pub series: Series,
    /// Nominal (outer) diameter in mm, over 0.
    pub diameter_mm: f64,
    /// From one flank to the next of its kind, in mm, over 0.
    pub pitch_mm: f64,
    /// Travel in one turn in mm: pitch times starts.
    pub lead_mm: f64,
    /// Threads side by side, 1 or more.
    pub starts: u32,
    /// Whether it is a left-hand thread.
    pub left_hand: bool,
    /// The pitch exactly.
    pub exact_pitch: Option<Fraction>,
    /// The lead exactly.
    pub exact_lead: Option<Fraction>,
}

impl Thread {
    /// The diameter at the root of the screw's thread in mm, over 0: d3 of ISO 2904 or ISO 898-1.
    pub fn minor_diameter_mm(&self) -> f64 {
        minor_diameter_mm(self.series, self.diameter_mm, self.pitch_mm)
    }

    /// The pitch diameter d2 in mm: d - P/2 (ISO 2904) or d - 0.6495 P (ISO 724).
    pub fn pitch_diameter_mm(&self) -> f64 {
        pitch_diameter_mm(self.series, self.diameter_mm, self.pitch_mm)
    }
}

/// The crest clearance ac of a trapezoidal thread in mm, for its pitch in mm, over 0.
///
/// # Source
/// ISO 2904, table of basic dimensions: 0.15 for pitch 1.5, 0.25 for 2 to 5, 0.5 for 6 to 12, 1 for 14 to 44; from memory.
/// Pitches between take the row of the next smaller one.
pub fn crest_clearance_mm(pitch_mm: f64) -> f64 {
    match pitch_mm {
        ..2.0 => 0.15,
        ..6.0 => 0.25,
        ..14.0 => 0.5,
        _ => 1.0,
    }
}

/// The height H of the metric thread's triangle over its pitch: sqrt(3)/2.
const H: f64 = 0.866_025_403_784_438_6;

/// The root diameter d3 of a screw in mm; 0 or less when no core would be left.
///
/// Trapezoidal: d - P - 2 ac. Metric: d - 17/12 H = d - 1.2269 P.
///
/// ```
/// # use layshaft_core::entry::thread::{Series, minor_diameter_mm};
/// assert_eq!(minor_diameter_mm(Series::Trapezoidal, 12.0, 3.0), 8.5);
/// ```
///
/// # Source
/// ISO 2904 and ISO 898-1.
pub fn minor_diameter_mm(series: Series, diameter_mm: f64, pitch_mm: f64) -> f64 {
    match series {
        Series::Trapezoidal => diameter_mm - pitch_mm - 2.0 * crest_clearance_mm(pitch_mm),
        Series::Metric => diameter_mm - 17.0 / 12.0 * H * pitch_mm,
    }
}

/// The pitch diameter d2 of a screw in mm.
///
/// Trapezoidal: d - P/2. Metric: d - 3/4 H = d - 0.6495 P.
///
/// # Source
/// ISO 2904 and ISO 724.
pub fn pitch_diameter_mm(series: Series, diameter_mm: f64, pitch_mm: f64) -> f64 {
    match series {
        Series::Trapezoidal => diameter_mm - 0.5 * pitch_mm,
        Series::Metric => diameter_mm - 0.75 * H * pitch_mm,
    }
}

/// Coarse pitches of ISO 261: nominal diameter in tenths of a millimetre, pitch in hundredths; from memory.
#[rustfmt::skip] // a table
const COARSE: [(u16, u16); 40] = [
    (10, 25), (11, 25), (12, 25), (14, 30), (16, 35), (18, 35), (20, 40), (22, 45),
    (25, 45), (30, 50), (35, 60), (40, 70), (45, 75), (50, 80), (60, 100), (70, 100),
    (80, 125), (90, 125), (100, 150), (110, 150), (120, 175), (140, 200), (160, 200), (180, 250),
    (200, 250), (220, 250), (240, 300), (270, 300), (300, 350), (330, 350), (360, 400), (390, 400),
    (420, 450), (450, 450), (480, 500), (520, 500), (560, 550), (600, 550), (640, 600), (680, 600),
];

/// The coarse pitch of a metric diameter, exactly.
fn coarse_pitch(diameter: Fraction) -> Option<Fraction> {
    COARSE.iter().find_map(|(tenths, hundredths)| {
        let listed = Fraction::new(i128::from(*tenths), 10)?;
        (listed == diameter).then_some(Fraction::new(i128::from(*hundredths), 100)?)
    })
}

/// Reads a thread designation; small and capital letters, spaces and signs of multiplication as people type them.
///
/// A tolerance class after a dash is taken and not used. `Tr8x8 P2`, `Tr8x8(P2)` and `Tr8×8(P2)-7e LH` are one thread.
///
/// ```
/// # use layshaft_core::entry::thread::read_thread;
/// let thread = read_thread("Tr8x8(P2)").unwrap();
/// assert_eq!((thread.lead_mm, thread.pitch_mm, thread.starts), (8.0, 2.0, 4));
/// assert_eq!(read_thread("M8").unwrap().pitch_mm, 1.25);
/// assert!(read_thread("Tr8x8").is_err()); // which pitch?
/// ```
///
/// # Errors
/// [`Cause::NotAThread`], [`Cause::ThreadNeedsPitch`], [`Cause::UnknownCoarse`], [`Cause::LeadNotMultiple`],
/// [`Cause::NoCore`], [`Cause::TooLarge`] for more starts than can be counted, [`Cause::Empty`] or [`Cause::TooLong`].
pub fn read_thread(text: &str) -> Result<Thread, Cause> {
    let mut text: String = plain(text)?
        .chars()
        .filter(|c| !matches!(c, '(' | ')'))
        .map(|c| {
            if c == '*' {
                'X'
            } else {
                c.to_ascii_uppercase()
            }
        })
        .collect();
    let left_hand = take_end(&mut text, "LH");
    if let Some(dash) = text.find('-') {
        text.truncate(dash);
    }
    let left_hand = take_end(&mut text, "LH") || left_hand;
    let (series, sizes) = if let Some(sizes) = text.strip_prefix("TR") {
        (Series::Trapezoidal, sizes)
    } else if let Some(sizes) = text.strip_prefix('M') {
        (Series::Metric, sizes)
    } else {
        return Err(Cause::NotAThread);
    };
    let (diameter, rest) = match sizes.split_once('X') {
        Some((diameter, rest)) => (diameter, Some(rest.trim_start())),
        None => (sizes, None),
    };
    let diameter = read_size(diameter)?;
    let (lead, pitch) = match (rest, series) {
        // ISO 965-1 writes several starts of a metric thread as Ph3P1.5.
        (Some(rest), _) => match rest.strip_prefix("PH").unwrap_or(rest).split_once('P') {
            Some((lead, pitch)) => (read_size(lead)?, read_size(pitch)?),
            None => {
                let pitch = read_size(rest)?;
                (pitch, pitch)
            }
        },
        (None, Series::Trapezoidal) => return Err(Cause::ThreadNeedsPitch),
        (None, Series::Metric) => {
            let pitch = coarse_pitch(diameter).ok_or(Cause::UnknownCoarse)?;
            (pitch, pitch)
        }
    };
    let starts = lead
        .div(pitch)
        .filter(|starts| starts.is_whole())
        .ok_or(Cause::LeadNotMultiple)?;
    let thread = Thread {
        series,
        diameter_mm: diameter.to_f64(),
        pitch_mm: pitch.to_f64(),
        lead_mm: lead.to_f64(),
        starts: u32::try_from(starts.numerator()).map_err(|_| Cause::TooLarge)?,
        left_hand,
        exact_pitch: Some(pitch),
        exact_lead: Some(lead),
    };
    if thread.minor_diameter_mm() > 0.0 {
        return Ok(thread);
    }
    Err(Cause::NoCore {
        lead_likely: series == Series::Trapezoidal && lead == pitch,
    })
}

/// Takes an ending and the spaces before it away, and tells whether it was there.
fn take_end(text: &mut String, ending: &str) -> bool {
    let rest = text.trim_end().strip_suffix(ending).map(str::len);
    if let Some(length) = rest {
        text.truncate(length);
    }
    rest.is_some()
}

/// A size in mm, over 0 and exact.
fn read_size(text: &str) -> Result<Fraction, Cause> {
    let Value { exact, .. } = read_product(text, Extra::None).map_err(|_| Cause::NotAThread)?;
    exact
        .filter(|size| size.numerator() > 0)
        .ok_or(Cause::NotAThread)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_thread_has_many_spellings() {
        for text in [
            "Tr8x8(P2)",
            "Tr8x8 (P2)",
            "Tr8x8 P2",
            "TR8X8P2",
            "tr 8 x 8 p2",
            "Tr8×8(P2)",
            "Tr8*8(P2)",
            "Tr8x8(P2)-7e",
            "Tr 8,0 x 8.0 (P 2) - 7e",
            "\u{200b}Tr8x8(P2) ",
        ] {
            let thread = read_thread(text).unwrap_or_else(|cause| panic!("{text}: {cause:?}"));
            assert_eq!(thread.series, Series::Trapezoidal, "{text}");
            assert_eq!(
                (
                    thread.diameter_mm,
                    thread.lead_mm,
                    thread.pitch_mm,
                    thread.starts,
                    thread.left_hand
                ),
                (8.0, 8.0, 2.0, 4, false),
                "{text}"
            );
        }
        for text in [
            "Tr12x3LH",
            "Tr 12 x 3 LH",
            "Tr12x3 LH-7e",
            "Tr12x3-7e LH",
            "tr12x3-lh",
        ] {
            let thread = read_thread(text).unwrap_or_else(|cause| panic!("{text}: {cause:?}"));
            assert!(thread.left_hand && thread.starts == 1, "{text}");
        }
        let metric = read_thread("M16xPh3P1.5-6H").expect("two starts");
        assert_eq!(
            (metric.lead_mm, metric.pitch_mm, metric.starts),
            (3.0, 1.5, 2)
        );
        assert_eq!(metric.exact_pitch, Fraction::new(3, 2));
    }

    #[test]
    fn each_refusal_has_its_cause() {
        let refused = |text: &str| read_thread(text).expect_err(text);
        for text in [
            "x", "8x8", "Tr", "M", "Trx2", "M8x", "M8x-1", "Tr8x8x8", "Tr8x2(P)", "M0", "M8 1",
            "M1 0", "Tr8x0", "nan",
        ] {
            assert!(
                matches!(refused(text), Cause::NotAThread),
                "{text}: {:?}",
                refused(text)
            );
        }
        assert!(matches!(refused("Tr8"), Cause::ThreadNeedsPitch));
        assert!(matches!(refused("M7.3"), Cause::UnknownCoarse));
        assert!(matches!(refused("Tr8x7(P2)"), Cause::LeadNotMultiple));
        assert!(matches!(refused("Tr8x1(P2)"), Cause::LeadNotMultiple));
        assert!(matches!(
            refused("Tr8x8"),
            Cause::NoCore { lead_likely: true }
        ));
        assert!(matches!(
            refused("Tr8x16(P8)"),
            Cause::NoCore { lead_likely: false }
        ));
        assert!(matches!(
            refused("M8x7"),
            Cause::NoCore { lead_likely: false }
        ));
        assert!(matches!(refused(""), Cause::Empty));
    }
}
