//! Where the fit begins: a coarse search over time constants and dead times.

use super::Row;
use super::answer::run;
use super::point::{Before, Point, Start};

/// Rows that are looked through for a first guess.
pub(super) const COARSE: usize = 400;

/// At most [`COARSE`] rows of a log, each with the mean duty until the next.
pub(super) fn coarse(rows: &[Row], room: &mut [Row; COARSE]) -> usize {
    let block = rows.len().div_ceil(COARSE).max(1);
    let mut count = 0;
    for (place, chunk) in room.iter_mut().zip(rows.chunks(block)) {
        let Some(&[seconds, celsius, duty]) = chunk.first() else {
            break;
        };
        let (mut sum, mut now, mut held) = (0.0, seconds, duty);
        for &[time, _, duty] in chunk {
            sum += held * (time - now);
            (now, held) = (time, duty);
        }
        let mean = if now > seconds {
            sum / (now - seconds)
        } else {
            duty
        };
        *place = [seconds, celsius, mean];
        count += 1;
    }
    count
}

/// Steps of the first search, in each direction.
const STEPS: u32 = 14;

/// The best point that is reached from any of a row of dead times.
///
/// A dead time that is off by a whole swing of a relay test is a valley of its own, so that each is gone down from.
pub(super) fn search(rows: &[Row], start: Start) -> Option<(Point, f64)> {
    let settled = (0..STEPS).filter_map(|j| {
        let point = guess(rows, start, f64::from(j) / f64::from(STEPS - 1))?;
        Some(point.settle(rows, 15))
    });
    settled.min_by(|a, b| a.1.total_cmp(&b.1))
}

/// The best time constant of a row, level and gain by least squares; on the way the first duty is taken to have stood
/// before. `share` is 0 for no dead time, 1 for a third of the log.
fn guess(rows: &[Row], start: Start, share: f64) -> Option<Point> {
    let (&[began, base, duty], &[ended, ..]) = rows.first().zip(rows.last())?;
    let span = ended - began;
    let dead = span / 3.0 * share * share * share;
    let (mut best, mut least) = (None, f64::INFINITY);
    for i in 0..STEPS {
        // From a thousandth of the log to ten times its length.
        let tau = span * libm::pow(10.0, -3.0 + 4.0 * f64::from(i) / f64::from(STEPS - 1));
        let (mut cc, mut cr, mut rr) = (0.0, 0.0, 0.0);
        let (mut cy, mut ry, mut yy) = (0.0, 0.0, 0.0);
        run(rows, tau, dead, &mut |row, answer| {
            let [_, celsius, _] = *row;
            let rise = answer.log.rise;
            let (column, rise, y) = match start {
                Start::Rest => (1.0, rise, celsius - base),
                Start::Over(ambient, past) => {
                    let (decay, before) = (answer.decay, answer.before.rise);
                    let (column, rise) = match past {
                        Before::Off => (decay, rise),
                        Before::Held => (decay + before, rise),
                        Before::Free => (decay, rise + duty * before),
                    };
                    (column, rise, celsius - ambient)
                }
            };
            cc += column * column;
            cr += column * rise;
            rr += rise * rise;
            cy += column * y;
            ry += rise * y;
            yy += y * y;
        });
        let det = cc * rr - cr * cr;
        if det <= 1e-12 * cc * rr {
            continue;
        }
        let first = (cy * rr - ry * cr) / det;
        let gain = (ry * cc - cy * cr) / det;
        let squares = yy - first * cy - gain * ry;
        if squares < least {
            least = squares;
            let (over, before) = match start {
                Start::Rest => (base, 0.0),
                Start::Over(..) => (0.0, gain * duty),
            };
            best = Some(Point {
                start,
                before,
                first: first + over,
                gain,
                tau,
                dead,
            });
        }
    }
    best
}
