//! The steady swings of a relay test in a log.

use super::record::Row;
use super::tuning::Ultimate;

/// Whole swings that must look alike.
const FEWEST: u32 = 2;

/// What swings that look alike may differ by, in size and in length, relative.
const ALIKE: f64 = 0.15;

/// A duty this close to its least or most, as a share of the swing, is there.
const LEVEL: f64 = 0.05;

/// One whole swing, from one switching on to the next.
#[derive(Clone, Copy)]
struct Swing {
    began: f64,
    seconds: f64,
    kelvin: f64,
}

/// Gives each whole swing of a log whose duty is at one of two levels, but for the first, which is the heat-up.
fn swings(rows: &[Row], low: f64, high: f64, each: &mut dyn FnMut(Swing)) {
    let middle = (low + high) / 2.0;
    let mut on = false;
    let mut began: Option<f64> = None;
    let (mut whole, mut least, mut most) = (0_u32, f64::INFINITY, f64::NEG_INFINITY);
    for &[seconds, celsius, duty] in rows {
        let now_on = duty > middle;
        if now_on && !on {
            if let Some(began) = began {
                whole += 1;
                if whole > 1 {
                    each(Swing {
                        began,
                        seconds: seconds - began,
                        kelvin: most - least,
                    });
                }
            }
            began = Some(seconds);
            (least, most) = (f64::INFINITY, f64::NEG_INFINITY);
        }
        on = now_on;
        (least, most) = (least.min(celsius), most.max(celsius));
    }
}

/// The ultimate gain and period by the steady swings of a log: `Ku = 4 d/(pi a)`.
///
/// `None` when the log is no relay test: its duty has more than two levels, or fewer than two whole swings after the
/// heat-up are like the last one. Of those that are, the means count.
///
/// # Source
/// [`Ultimate::from_relay`].
pub fn ultimate(rows: &[Row]) -> Option<Ultimate> {
    let duties = || rows.iter().map(|[_, _, duty]| *duty);
    let (low, high) = duties().fold((1.0_f64, 0.0_f64), |(low, high), duty| {
        (low.min(duty), high.max(duty))
    });
    let slack = LEVEL * (high - low);
    let two = duties().all(|duty| duty - low <= slack || high - duty <= slack);
    if !two || high <= low {
        return None;
    }
    let mut last: Option<Swing> = None;
    swings(rows, low, high, &mut |swing| last = Some(swing));
    let last = last?;
    // Steady is what is like the last one, without a break before it.
    let alike = |swing: &Swing| {
        let near = |a: f64, b: f64| libm::fabs(a - b) <= ALIKE * b;
        near(swing.kelvin, last.kelvin) && near(swing.seconds, last.seconds)
    };
    let (mut count, mut number) = (0_u32, 0.0);
    let (mut kelvin, mut from, mut until) = (0.0, 0.0, 0.0);
    swings(rows, low, high, &mut |swing| {
        if !alike(&swing) {
            (count, number, kelvin) = (0, 0.0, 0.0);
            return;
        }
        if count == 0 {
            from = swing.began;
        }
        count += 1;
        number += 1.0;
        kelvin += swing.kelvin;
        until = swing.began + swing.seconds;
    });
    if count < FEWEST || kelvin <= 0.0 || until <= from {
        return None;
    }
    Some(Ultimate::from_relay(
        (high - low) / 2.0,
        kelvin / number / 2.0,
        (until - from) / number,
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use core::f64::consts::PI;
    use std::vec::Vec;

    /// A heat-up of 100 s, then a triangle of 4 K and 40 s about 200 °C, on while it is to rise.
    fn test(rows: u16, high: f64) -> Vec<Row> {
        (0..rows)
            .map(|i| {
                let s = f64::from(i);
                if s < 100.0 {
                    return [s, 25.0 + 1.75 * s, high];
                }
                let phase = (s - 100.0) % 40.0;
                let away = libm::fabs(phase - 20.0) / 20.0;
                [s, 198.0 + 4.0 * away, if phase < 20.0 { 0.2 } else { high }]
            })
            .collect()
    }

    #[test]
    fn a_triangle_gives_its_own_period_and_height() {
        let found = ultimate(&test(500, 0.8)).expect("a relay test");
        assert!(libm::fabs(found.period_s - 40.0) < 1e-12);
        assert!(libm::fabs(found.gain - 4.0 * 0.3 / (PI * 2.0)) < 1e-12);
    }

    #[test]
    fn a_heat_up_or_a_few_swings_are_no_relay_test() {
        assert_eq!(ultimate(&test(100, 1.0)), None);
        assert_eq!(ultimate(&test(200, 1.0)), None);
        assert!(ultimate(&test(280, 1.0)).is_some());
        assert_eq!(ultimate(&[]), None);
    }

    #[test]
    fn a_duty_of_many_levels_is_no_relay() {
        let mut rows = test(500, 1.0);
        for [_, _, duty] in rows.iter_mut().skip(300).take(5) {
            *duty = 0.5;
        }
        assert_eq!(ultimate(&rows), None);
    }

    #[test]
    fn swings_that_still_grow_are_left_out() {
        let mut rows = test(500, 1.0);
        // The first two swings are twice as high.
        for [_, celsius, _] in rows.iter_mut().skip(100).take(80) {
            *celsius = 200.0 + 2.0 * (*celsius - 200.0);
        }
        let found = ultimate(&rows).expect("a relay test");
        assert!(
            libm::fabs(found.gain - 4.0 * 0.4 / (PI * 2.0)) < 1e-12,
            "{found:?}"
        );
    }
}
