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

mod answer;
mod point;
mod search;
#[cfg(test)]
mod tests;

use answer::run;
use point::{Before, Line, Point, Start, solve};
use search::{COARSE, coarse, search};

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
