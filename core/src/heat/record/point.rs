//! The numbers of a fit, and the way from a guess down to the nearest least sum of squares.

use super::Row;
use super::answer::{Answer, run};

/// How the log begins.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) enum Start {
    /// At rest, off before the first row.
    Rest,
    /// On the way over this ambient, °C.
    Over(f64, Before),
}

/// What the heater did before a log that begins on the way.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) enum Before {
    /// It was off.
    Off,
    /// It held the first temperature.
    Held,
    /// Anything: fitted.
    Free,
}

/// How many numbers are fitted at the most.
pub(super) const NUMBERS: usize = 5;

pub(super) type Line = [f64; NUMBERS];
pub(super) type Matrix = [Line; NUMBERS];

/// The numbers of a fit.
#[derive(Clone, Copy)]
pub(super) struct Point {
    pub(super) start: Start,
    /// Level at rest, or first rise over ambient.
    pub(super) first: f64,
    pub(super) gain: f64,
    pub(super) tau: f64,
    pub(super) dead: f64,
    /// Gain times the duty before the log.
    pub(super) before: f64,
}

impl Point {
    /// Temperature, and its derivatives by the numbers, tau by its logarithm.
    pub(super) fn at(&self, answer: &Answer) -> (f64, Line) {
        let Answer {
            log,
            before,
            decay,
            decay_by_tau,
        } = *answer;
        let tau = self.tau;
        match self.start {
            Start::Rest => (
                self.first + self.gain * log.rise,
                [
                    1.0,
                    log.rise,
                    self.gain * log.by_tau * tau,
                    self.gain * log.by_dead,
                    0.0,
                ],
            ),
            Start::Over(ambient, past) => {
                let (power, with_first, alone) = match past {
                    Before::Off => (0.0, decay, 0.0),
                    Before::Held => (self.first, decay + before.rise, 0.0),
                    Before::Free => (self.before, decay, before.rise),
                };
                let by_tau =
                    self.gain * log.by_tau + self.first * decay_by_tau + power * before.by_tau;
                (
                    ambient + self.first * decay + self.gain * log.rise + power * before.rise,
                    [
                        with_first,
                        log.rise,
                        by_tau * tau,
                        self.gain * log.by_dead + power * before.by_dead,
                        alone,
                    ],
                )
            }
        }
    }

    /// Sum of the squared residuals.
    fn squares(&self, rows: &[Row]) -> f64 {
        let mut sum = 0.0;
        run(rows, self.tau, self.dead, &mut |row, answer| {
            let [_, celsius, _] = *row;
            let miss = celsius - self.at(answer).0;
            sum += miss * miss;
        });
        sum
    }

    /// Normal matrix, right side and sum of the squared residuals.
    pub(super) fn normal(&self, rows: &[Row]) -> (Matrix, Line, f64) {
        let (mut matrix, mut right, mut sum) = ([[0.0; NUMBERS]; NUMBERS], [0.0; NUMBERS], 0.0);
        run(rows, self.tau, self.dead, &mut |row, answer| {
            let [_, celsius, _] = *row;
            let (model, slopes) = self.at(answer);
            let miss = celsius - model;
            sum += miss * miss;
            for ((line, right), slope) in matrix.iter_mut().zip(&mut right).zip(slopes) {
                *right += slope * miss;
                for (place, other) in line.iter_mut().zip(slopes) {
                    *place += slope * other;
                }
            }
        });
        (matrix, right, sum)
    }

    /// Whether the duty before the log is one, give or take what a fit may.
    pub(super) fn could_have_begun(&self) -> bool {
        !matches!(self.start, Start::Over(_, Before::Free))
            || (-0.2..=1.2).contains(&(self.before / self.gain))
    }

    pub(super) fn moved(&self, [first, gain, log_tau, dead, before]: Line) -> Self {
        Self {
            start: self.start,
            first: self.first + first,
            gain: self.gain + gain,
            // A step of more than a factor e is a leap in the dark.
            tau: self.tau * libm::exp(log_tau.clamp(-1.0, 1.0)),
            dead: (self.dead + dead).max(0.0),
            before: self.before + before,
        }
    }

    /// Climbs down to the nearest least sum of squares.
    pub(super) fn settle(mut self, rows: &[Row], rounds: u32) -> (Self, f64) {
        let mut damping = 1e-3;
        let mut least = f64::INFINITY;
        for _ in 0..rounds {
            let (matrix, right, sum) = self.normal(rows);
            least = sum;
            let mut better = None;
            while damping < 1e12 {
                let Some(step) = solve(matrix, right, damping) else {
                    damping *= 10.0;
                    continue;
                };
                let next = self.moved(step);
                let squares = next.squares(rows);
                if squares < sum {
                    better = Some((next, squares));
                    damping = (damping / 10.0).max(1e-12);
                    break;
                }
                damping *= 10.0;
            }
            let Some((next, squares)) = better else { break };
            self = next;
            least = squares;
            // What is left to gain is rounding.
            if sum - squares <= 1e-12 * sum {
                break;
            }
        }
        (self, least)
    }
}

/// The step of a normal matrix with its diagonal raised by a share; `None` when nothing tells two numbers apart.
///
/// A number that nothing depends on stays as it is.
#[allow(
    clippy::indexing_slicing,
    reason = "every index is a loop's own, below the arrays' length"
)]
pub(super) fn solve(matrix: Matrix, right: Line, damping: f64) -> Option<Line> {
    let (mut m, mut x) = (matrix, right);
    for (i, line) in m.iter_mut().enumerate() {
        line[i] = if line[i] > 0.0 {
            line[i] * (1.0 + damping)
        } else {
            1.0
        };
    }
    let diagonal = m;
    for i in 0..NUMBERS {
        // The matrix is positive definite: its own diagonal is a good pivot.
        if m[i][i].is_nan() || m[i][i] <= 1e-14 * diagonal[i][i] {
            return None;
        }
        for j in i + 1..NUMBERS {
            let factor = m[j][i] / m[i][i];
            let pivot = m[i];
            for (place, above) in m[j].iter_mut().zip(pivot).skip(i) {
                *place -= factor * above;
            }
            x[j] -= factor * x[i];
        }
    }
    for i in (0..NUMBERS).rev() {
        for j in i + 1..NUMBERS {
            x[i] -= m[i][j] * x[j];
        }
        x[i] /= m[i][i];
    }
    x.iter().all(|x| x.is_finite()).then_some(x)
}
