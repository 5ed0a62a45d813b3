//! The first-order model nearest to a log.
//!
//! Rows are seconds, °C and duty; a row's duty holds until the next row. The model's answer to such a duty is exact
//! between its changes. A log begins at rest, with the heater off before the first row, at a level that is fitted; or, where
//! its first temperature is well away from ambient, on the way over that ambient, at a temperature that is fitted: after the
//! heater was off, or held that temperature, or, if the duty changes often enough to tell, after a duty that is fitted.
//!
//! # Source
//! Least squares by the method of Levenberg and Marquardt: D. W. Marquardt, "An algorithm for least-squares estimation of
//! nonlinear parameters", Journal of the Society for Industrial and Applied Mathematics 11 (1963). Standard errors from
//! the inverse of the normal matrix and the residuals' variance.

use super::relay;
use super::tuning::{Model, Ultimate};

/// One row: seconds, °C, duty from 0 to 1.
pub type Row = [f64; 3];

/// The fewest rows that a fit of four numbers is asked of.
pub const FEWEST: usize = 5;

/// The most that the standard errors of gain/tau and of the dead time may be, relative.
pub const MOST_UNSURE: f64 = 0.25;

/// A model with how sure it is.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Fit {
    /// The model.
    pub model: Model,
    /// The temperature at zero power, °C.
    pub level_c: f64,
    /// Root mean square of the residuals, K.
    pub rms_k: f64,
    /// Standard error of the gain, K.
    pub gain_se_k: f64,
    /// Standard error of the time constant, s.
    pub tau_se_s: f64,
    /// Standard error of the dead time, s.
    pub dead_se_s: f64,
    /// Standard error of gain/tau, relative.
    pub slope_se: f64,
    start: Start,
    /// What is fitted beside the model: the level at rest, or the first rise over ambient.
    first: f64,
    /// Gain times the duty before the first row, K; 0 at rest.
    before: f64,
}

/// Why a log carries no fit.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Cause {
    /// Fewer than [`FEWEST`] rows.
    TooFew {
        /// How many there are.
        rows: usize,
    },
    /// The heater is off throughout.
    Off,
    /// Nothing in the temperature follows the duty.
    NoAnswer,
    /// The temperature falls while the heater is on.
    GainNotPositive,
    /// A row whose reading jumps away from the rest; rows count from 1.
    Jump {
        /// The row after the jump.
        row: usize,
        /// How far, K.
        kelvin: f64,
    },
    /// Gain/tau is not known well enough.
    UnsureSlope {
        /// Its standard error, relative.
        error: f64,
    },
    /// The dead time is not known well enough.
    UnsureDead {
        /// The dead time, s.
        dead_s: f64,
        /// Its standard error, s.
        error_s: f64,
    },
}

/// What a log told, kept beside its rows so that it need not be fitted again.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Told {
    ambient_c: f64,
    /// The model nearest to the log, or why there is none.
    pub fit: Result<Fit, Cause>,
    /// The ultimate gain and period of a relay test.
    pub relay: Option<Ultimate>,
}

impl Told {
    /// Fits a log.
    pub fn by(rows: &[Row], ambient_c: f64) -> Self {
        Self {
            ambient_c,
            fit: fit(rows, ambient_c),
            relay: relay::ultimate(rows),
        }
    }

    /// Whether it stands for this ambient temperature too: a log that begins at rest tells the same at any.
    pub fn stands(&self, rows: &[Row], ambient_c: f64) -> bool {
        let same = libm::fabs(ambient_c - self.ambient_c) <= 0.0;
        let at_rest = |ambient| on_the_way(rows, ambient).is_none();
        same || (at_rest(ambient_c) && at_rest(self.ambient_c))
    }
}

/// How the log begins.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Start {
    /// At rest, off before the first row.
    Rest,
    /// On the way over this ambient, °C.
    Over(f64, Before),
}

/// What the heater did before a log that begins on the way.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Before {
    /// It was off.
    Off,
    /// It held the first temperature.
    Held,
    /// Anything: fitted.
    Free,
}

/// An answer of the model with a gain of 1, and its derivatives.
#[derive(Clone, Copy, Default)]
struct Wave {
    rise: f64,
    by_tau: f64,
    by_dead: f64,
}

impl Wave {
    /// After `span` under a duty, `factor` being `exp(-span/tau)`.
    fn advance(&mut self, duty: f64, span: f64, tau: f64, factor: f64) {
        let away = self.rise - duty;
        self.by_tau = (self.by_tau + away * span / (tau * tau)) * factor;
        self.by_dead *= factor;
        self.rise = duty + away * factor;
    }
}

/// The answers of the model at one row.
#[derive(Clone, Copy)]
struct Answer {
    /// To the log's duty, off before it.
    log: Wave,
    /// To full power before the log.
    before: Wave,
    /// What is left of the first rise.
    decay: f64,
    /// Its derivative by tau.
    decay_by_tau: f64,
}

/// Runs the model over the rows, and gives the answer at each.
fn run(rows: &[Row], tau: f64, dead: f64, each: &mut dyn FnMut(&Row, &Answer)) {
    let Some(&[began, ..]) = rows.first() else {
        return;
    };
    let mut answer = Answer {
        log: Wave::default(),
        before: Wave::default(),
        decay: 1.0,
        decay_by_tau: 0.0,
    };
    let (mut duty, mut past, mut now) = (0.0, 1.0, began);
    // Evenly spaced rows share their exponential.
    let (mut last, mut factor) = (0.0, 1.0);
    let mut advance = |answer: &mut Answer, duty: f64, past: f64, span: f64| {
        if libm::fabs(span - last) > 1e-13 * tau {
            (last, factor) = (span, libm::exp(-span / tau));
        }
        answer.log.advance(duty, span, tau, factor);
        answer.before.advance(past, span, tau, factor);
        answer.decay *= factor;
    };
    let mut changes = rows.iter().peekable();
    for row in rows {
        let [seconds, ..] = *row;
        while let Some(&&[change, _, next]) = changes.peek() {
            if change + dead > seconds {
                break;
            }
            changes.next();
            let swing = next - duty;
            if libm::fabs(swing) + past > 0.0 {
                advance(&mut answer, duty, past, (change + dead - now).max(0.0));
                now = now.max(change + dead);
                answer.log.by_dead -= swing / tau;
                answer.before.by_dead += past / tau;
                (duty, past) = (next, 0.0);
            }
        }
        advance(&mut answer, duty, past, seconds - now);
        now = seconds;
        answer.decay_by_tau = answer.decay * (seconds - began) / (tau * tau);
        each(row, &answer);
    }
}

/// How many numbers are fitted at the most.
const NUMBERS: usize = 5;

type Line = [f64; NUMBERS];
type Matrix = [Line; NUMBERS];

/// The numbers of a fit.
#[derive(Clone, Copy)]
struct Point {
    start: Start,
    /// Level at rest, or first rise over ambient.
    first: f64,
    gain: f64,
    tau: f64,
    dead: f64,
    /// Gain times the duty before the log.
    before: f64,
}

impl Point {
    /// Temperature, and its derivatives by the numbers, tau by its logarithm.
    fn at(&self, answer: &Answer) -> (f64, Line) {
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
    fn normal(&self, rows: &[Row]) -> (Matrix, Line, f64) {
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
    fn could_have_begun(&self) -> bool {
        !matches!(self.start, Start::Over(_, Before::Free))
            || (-0.2..=1.2).contains(&(self.before / self.gain))
    }

    fn moved(&self, [first, gain, log_tau, dead, before]: Line) -> Self {
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
    fn settle(mut self, rows: &[Row], rounds: u32) -> (Self, f64) {
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
fn solve(matrix: Matrix, right: Line, damping: f64) -> Option<Line> {
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

/// Rows that are looked through for a first guess.
const COARSE: usize = 400;

/// At most [`COARSE`] rows of a log, each with the mean duty until the next.
fn coarse(rows: &[Row], room: &mut [Row; COARSE]) -> usize {
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
fn search(rows: &[Row], start: Start) -> Option<(Point, f64)> {
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

/// The model nearest to a log.
///
/// Takes rows whose time does not fall, and the ambient temperature in °C for a log that begins on the way.
///
/// # Errors
/// A [`Cause`] that says why the log carries no fit.
///
/// # Source
/// As the module.
pub fn fit(rows: &[Row], ambient_c: f64) -> Result<Fit, Cause> {
    if rows.len() < FEWEST {
        return Err(Cause::TooFew { rows: rows.len() });
    }
    if rows.iter().all(|[_, _, duty]| *duty <= 0.0) {
        return Err(Cause::Off);
    }
    let mut room = [[0.0; 3]; COARSE];
    let count = coarse(rows, &mut room);
    let few = room.get(..count).unwrap_or_default();
    let rest = search(few, Start::Rest);
    let over = on_the_way(rows, ambient_c).and_then(|pasts| {
        let found = pasts
            .iter()
            .filter_map(|past| search(few, Start::Over(ambient_c, *past)));
        let likely = found.filter(|(point, _)| point.could_have_begun());
        likely.min_by(|a, b| a.1.total_cmp(&b.1))
    });
    let (point, _) = match (rest, over) {
        (Some(rest), Some(over)) if better(rest.1, over.1, few.len()) => rest,
        (_, Some(over)) => over,
        (rest, None) => rest.ok_or(Cause::NoAnswer)?,
    };
    let (point, squares) = point.settle(rows, 20);
    judge(rows, &point, squares)
}

/// A first temperature this far from ambient, as a share of all the log's rise, is one on the way.
///
/// Closer, a model with the freedom to begin anywhere would only fit what no model of one lag can.
const AWAY: f64 = 0.1;

/// Changes of the duty from which on it tells what was before the log.
const TELLING: usize = 4;

/// What may have been before a log that begins on the way; `None` when it begins at rest.
fn on_the_way(rows: &[Row], ambient_c: f64) -> Option<&'static [Before]> {
    let celsius = || rows.iter().map(|[_, celsius, _]| *celsius);
    let least = celsius().fold(ambient_c, f64::min);
    let most = celsius().fold(ambient_c, f64::max);
    let first = celsius().next()?;
    if libm::fabs(first - ambient_c) <= AWAY * (most - least) {
        return None;
    }
    let changes = rows.windows(2).filter(|pair| match pair {
        [[.., before], [.., after]] => libm::fabs(after - before) > 0.0,
        _ => false,
    });
    Some(if changes.count() < TELLING {
        &[Before::Off, Before::Held]
    } else {
        &[Before::Free]
    })
}

/// Whether the first is clearly nearer to the log than the second.
fn better(first: f64, second: f64, rows: usize) -> bool {
    let count = (0..rows).map(|_| 1.0).sum::<f64>();
    first < 0.8 * second && count * libm::log(second / first.max(f64::MIN_POSITIVE)) > 10.0
}

/// What the fitted numbers are worth.
fn judge(rows: &[Row], point: &Point, squares: f64) -> Result<Fit, Cause> {
    let count = (0..rows.len()).map(|_| 1.0).sum::<f64>();
    if let Some(cause) = jump(rows, point) {
        return Err(cause);
    }
    let (matrix, ..) = point.normal(rows);
    let free = match point.start {
        Start::Over(_, Before::Free) => 5.0,
        _ => 4.0,
    };
    let variance = squares / (count - free).max(1.0);
    let column = |unit: Line| solve(matrix, unit.map(|x| x * variance), 0.0);
    let (
        Some([_, gain_var, gain_tau, ..]),
        Some([_, _, tau_var, ..]),
        Some([_, _, _, dead_var, _]),
    ) = (
        column([0.0, 1.0, 0.0, 0.0, 0.0]),
        column([0.0, 0.0, 1.0, 0.0, 0.0]),
        column([0.0, 0.0, 0.0, 1.0, 0.0]),
    )
    else {
        return Err(Cause::NoAnswer);
    };
    let gain = point.gain;
    if gain <= 0.0 {
        // A fall within the noise is none.
        let mut fall = 0.0_f64;
        run(rows, point.tau, point.dead, &mut |_, answer| {
            fall = fall.max(libm::fabs(gain * answer.log.rise));
        });
        return Err(if fall * fall > 36.0 * variance {
            Cause::GainNotPositive
        } else {
            Cause::NoAnswer
        });
    }
    let slope_var = gain_var / (gain * gain) + tau_var - 2.0 * gain_tau / gain;
    let fit = Fit {
        model: Model {
            gain_k: gain,
            tau_s: point.tau,
            dead_s: point.dead,
        },
        level_c: match point.start {
            Start::Rest => point.first,
            Start::Over(ambient, _) => ambient,
        },
        rms_k: libm::sqrt(squares / count),
        gain_se_k: libm::sqrt(gain_var.max(0.0)),
        tau_se_s: point.tau * libm::sqrt(tau_var.max(0.0)),
        dead_se_s: libm::sqrt(dead_var.max(0.0)),
        slope_se: libm::sqrt(slope_var.max(0.0)),
        start: point.start,
        first: point.first,
        before: point.before,
    };
    if fit.slope_se.is_nan() || fit.slope_se > MOST_UNSURE {
        // A slope smaller than its own error is none.
        return Err(if fit.slope_se < 1.0 {
            Cause::UnsureSlope {
                error: fit.slope_se,
            }
        } else {
            Cause::NoAnswer
        });
    }
    if fit.dead_se_s.is_nan() || fit.dead_se_s > MOST_UNSURE * fit.model.dead_s {
        return Err(Cause::UnsureDead {
            dead_s: fit.model.dead_s,
            error_s: fit.dead_se_s,
        });
    }
    Ok(fit)
}

/// A jump from row to row is a drop-out from this on, K, and from this many times the mean step beside the model.
const JUMP_K: f64 = 10.0;
const JUMP_TIMES: f64 = 10.0;

/// The first large jump beside the model, if it is one of a sensor and not of noise.
fn jump(rows: &[Row], point: &Point) -> Option<Cause> {
    let steps = |each: &mut dyn FnMut(usize, f64)| {
        let (mut before, mut number) = (None, 0);
        run(rows, point.tau, point.dead, &mut |row, answer| {
            let [_, celsius, _] = *row;
            let miss = celsius - point.at(answer).0;
            number += 1;
            if let Some(before) = before.replace(miss) {
                each(number, miss - before);
            }
        });
    };
    let (mut most, mut sum, mut count) = (0.0_f64, 0.0, 0.0);
    steps(&mut |_, step| {
        most = most.max(libm::fabs(step));
        sum += libm::fabs(step);
        count += 1.0;
    });
    if most <= JUMP_K || most * count <= JUMP_TIMES * sum {
        return None;
    }
    let mut first = None;
    steps(&mut |row, kelvin| {
        if libm::fabs(kelvin) > most / 2.0 {
            first.get_or_insert(Cause::Jump { row, kelvin });
        }
    });
    first
}

impl Fit {
    /// Gives each row of a log with the model's temperature there, °C.
    ///
    /// # Source
    /// As the module.
    pub fn each(&self, rows: &[Row], each: &mut dyn FnMut(&Row, f64)) {
        let Model {
            gain_k,
            tau_s,
            dead_s,
        } = self.model;
        let point = Point {
            start: self.start,
            first: self.first,
            gain: gain_k,
            tau: tau_s,
            dead: dead_s,
            before: self.before,
        };
        run(rows, tau_s, dead_s, &mut |row, answer| {
            each(row, point.at(answer).0);
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::vec::Vec;

    const BED: Model = Model {
        gain_k: 180.0,
        tau_s: 400.0,
        dead_s: 12.0,
    };

    /// A noise of standard deviation 1, the same every time: the sum of twelve even ones less 6.
    struct Noise(u64);

    impl Noise {
        fn next(&mut self) -> f64 {
            let mut sum = -6.0;
            for _ in 0..12 {
                self.0 = self
                    .0
                    .wrapping_mul(6_364_136_223_846_793_005)
                    .wrapping_add(1_442_695_040_888_963_407);
                let bits = u32::try_from(self.0 >> 33).expect("31 bits");
                sum += f64::from(bits) / 2_147_483_648.0;
            }
            sum
        }
    }

    /// A log of a model in tiny steps of its own equation, with noise.
    fn log(
        model: Model,
        first_c: f64,
        step_s: f64,
        rows: usize,
        noise_k: f64,
        duty: &mut dyn FnMut(f64, f64) -> f64,
    ) -> Vec<Row> {
        let mut noise = Noise(7);
        let mut log: Vec<Row> = Vec::new();
        let mut rise = first_c - 25.0;
        let mut seconds = 0.0;
        for _ in 0..rows {
            let celsius = 25.0 + rise;
            let now = duty(seconds, celsius);
            log.push([seconds, celsius + noise_k * noise.next(), now]);
            // Exact between the delayed changes: both duties that act within this step.
            let acting = |t: f64| {
                let past = log.iter().rev().find(|[s, ..]| *s <= t + 1e-9);
                past.map_or(0.0, |[_, _, duty]| *duty)
            };
            let mut cuts: Vec<f64> = log
                .iter()
                .map(|[s, ..]| s + model.dead_s)
                .filter(|t| *t > seconds + 1e-9 && *t < seconds + step_s - 1e-9)
                .collect();
            cuts.push(seconds + step_s);
            let mut at = seconds;
            for cut in cuts {
                let to = model.gain_k * acting(at - model.dead_s);
                rise = to + (rise - to) * libm::exp(-(cut - at) / model.tau_s);
                at = cut;
            }
            seconds += step_s;
        }
        log
    }

    fn near(fit: &Fit, model: Model, tolerance: f64) {
        let off = |a: f64, b: f64| libm::fabs(a - b) <= tolerance * b;
        let found = fit.model;
        assert!(
            off(found.gain_k, model.gain_k)
                && off(found.tau_s, model.tau_s)
                && off(found.dead_s, model.dead_s),
            "{fit:?}, expected {model:?}"
        );
    }

    #[test]
    fn a_heat_up_without_noise_gives_its_model_back() {
        for model in [
            BED,
            Model {
                gain_k: 310.0,
                tau_s: 160.0,
                dead_s: 3.7,
            },
            Model {
                gain_k: 90.0,
                tau_s: 60.0,
                dead_s: 40.0,
            },
        ] {
            for first in [25.0, 18.0] {
                let from = Model { ..model };
                let log = log(from, 25.0, 2.0, 400, 0.0, &mut |_, _| 1.0);
                let moved: Vec<Row> = log
                    .iter()
                    .map(|[s, c, d]| [s + 7.0, c + first - 25.0, *d])
                    .collect();
                let fit = fit(&moved, 25.0).expect("a fit");
                near(&fit, model, 1e-6);
                assert!(fit.rms_k < 1e-6, "{fit:?}");
                assert!(libm::fabs(fit.level_c - first) < 1e-5);
            }
        }
    }

    #[test]
    fn noise_moves_a_fit_by_about_its_standard_errors() {
        let log = log(BED, 25.0, 1.0, 1200, 0.5, &mut |_, _| 1.0);
        let fit = fit(&log, 25.0).expect("a fit");
        assert!(libm::fabs(fit.rms_k - 0.5) < 0.03, "{fit:?}");
        for (found, expected, error) in [
            (fit.model.gain_k, 180.0, fit.gain_se_k),
            (fit.model.tau_s, 400.0, fit.tau_se_s),
            (fit.model.dead_s, 12.0, fit.dead_se_s),
        ] {
            assert!(libm::fabs(found - expected) < 3.0 * error, "{fit:?}");
        }
        near(&fit, BED, 0.02);
    }

    /// A relay about 100 °C.
    fn relay() -> impl FnMut(f64, f64) -> f64 {
        let mut on = true;
        move |_, celsius| {
            if celsius > 101.0 {
                on = false;
            } else if celsius < 99.0 {
                on = true;
            }
            f64::from(u8::from(on))
        }
    }

    #[test]
    fn a_relay_test_from_cold_and_from_hot() {
        let cold = log(BED, 25.0, 1.0, 1500, 0.2, &mut relay());
        near(&fit(&cold, 25.0).expect("a fit"), BED, 0.03);
        // On the way at 95 °C, ambient known.
        let hot = log(BED, 95.0, 1.0, 1500, 0.0, &mut relay());
        let fit = fit(&hot, 25.0).expect("a fit");
        assert!(matches!(fit.start, Start::Over(_, Before::Free)), "{fit:?}");
        near(&fit, BED, 0.02);
    }

    #[test]
    fn a_heat_up_from_warm_knows_its_ambient() {
        // Left to cool before, at 60 °C: the noise hides how it falls for twelve seconds.
        let off = log(BED, 60.0, 1.0, 600, 0.3, &mut |_, _| 1.0);
        near(&fit(&off, 25.0).expect("a fit"), BED, 0.05);
        // Held at 60 °C before: level until the dead time has passed.
        let held: Vec<Row> = log(BED, 25.0, 1.0, 600, 0.3, &mut |_, _| 1.0)
            .iter()
            .map(|[s, c, d]| [*s, 60.0 + (c - 25.0) * (180.0 - 35.0) / 180.0, *d])
            .collect();
        near(&fit(&held, 25.0).expect("a fit"), BED, 0.05);
    }

    #[test]
    fn a_duty_that_changes_in_every_row() {
        let mut noise = Noise(3);
        let log = log(BED, 25.0, 2.0, 900, 0.2, &mut |s, _| {
            let wave = 0.5 + 0.4 * libm::sin(s / 60.0);
            (wave + 0.1 * noise.next()).clamp(0.0, 1.0)
        });
        near(&fit(&log, 25.0).expect("a fit"), BED, 0.05);
    }

    #[test]
    fn twenty_thousand_rows_are_one_fit() {
        let log: Vec<Row> = (0..20_000_u16)
            .map(|i| {
                let s = 0.1 * f64::from(i);
                let rise = 180.0 * (1.0 - libm::exp(-(s - 12.0_f64).max(0.0) / 400.0));
                [s, libm::round((25.0 + rise) * 10.0) / 10.0, 1.0]
            })
            .collect();
        near(&fit(&log, 25.0).expect("a fit"), BED, 0.001);
    }

    #[test]
    fn what_carries_no_fit_says_why() {
        let heat_up = |noise, rows| log(BED, 25.0, 2.0, rows, noise, &mut |_, _| 1.0);
        assert_eq!(fit(&heat_up(0.0, 4), 25.0), Err(Cause::TooFew { rows: 4 }));
        let off = log(BED, 25.0, 2.0, 100, 0.1, &mut |_, _| 0.0);
        assert_eq!(fit(&off, 25.0), Err(Cause::Off));
        let flat: Vec<Row> = (0..100_u8).map(|i| [f64::from(i), 25.0, 1.0]).collect();
        assert!(fit(&flat, 25.0).is_err());
        let falling: Vec<Row> = heat_up(0.0, 300)
            .iter()
            .map(|[s, c, d]| [*s, 50.0 - c, *d])
            .collect();
        assert_eq!(fit(&falling, 25.0), Err(Cause::GainNotPositive));
        // 40 s of noise: the dead time is lost in it.
        assert!(matches!(
            fit(&heat_up(8.0, 20), 25.0),
            Err(Cause::UnsureSlope { .. }
                | Cause::UnsureDead { .. }
                | Cause::NoAnswer
                | Cause::GainNotPositive)
        ));
        let mut broken = heat_up(0.2, 300);
        for [_, celsius, _] in broken.iter_mut().skip(150).take(3) {
            *celsius = -14.0;
        }
        assert!(matches!(
            fit(&broken, 25.0),
            Err(Cause::Jump { row: 151, .. })
        ));
    }

    #[test]
    fn derivatives_are_those_of_differences() {
        let rows = log(BED, 60.0, 3.0, 200, 0.0, &mut relay());
        for start in [
            Start::Rest,
            Start::Over(25.0, Before::Off),
            Start::Over(25.0, Before::Held),
            Start::Over(25.0, Before::Free),
        ] {
            let point = Point {
                start,
                first: 30.0,
                gain: 170.0,
                tau: 380.0,
                dead: 11.3,
                before: 40.0,
            };
            let values = |point: &Point| -> Vec<(f64, Line)> {
                let mut all = Vec::new();
                run(&rows, point.tau, point.dead, &mut |_, answer| {
                    all.push(point.at(answer));
                });
                all
            };
            let middle = values(&point);
            for (i, unit) in [
                [1.0, 0.0, 0.0, 0.0, 0.0],
                [0.0, 1.0, 0.0, 0.0, 0.0],
                [0.0, 0.0, 1.0, 0.0, 0.0],
                [0.0, 0.0, 0.0, 1.0, 0.0],
                [0.0, 0.0, 0.0, 0.0, 1.0],
            ]
            .into_iter()
            .enumerate()
            {
                let h = 1e-5;
                let up = values(&point.moved(unit.map(|x| x * h)));
                let down = values(&point.moved(unit.map(|x| -x * h)));
                for ((m, u), d) in middle.iter().zip(&up).zip(&down) {
                    let difference = (u.0 - d.0) / (2.0 * h);
                    let slope: f64 = m.1.iter().zip(unit).map(|(slope, x)| slope * x).sum();
                    assert!(
                        libm::fabs(slope - difference) < 1e-5 * (1.0 + libm::fabs(difference)),
                        "{start:?} {i}: {slope} {difference}"
                    );
                }
            }
        }
    }
}
