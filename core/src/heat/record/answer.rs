//! What the model answers to a log, row by row, with its derivatives.

use super::Row;

/// An answer of the model with a gain of 1, and its derivatives.
#[derive(Clone, Copy, Default)]
pub(super) struct Wave {
    pub(super) rise: f64,
    pub(super) by_tau: f64,
    pub(super) by_dead: f64,
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
pub(super) struct Answer {
    /// To the log's duty, off before it.
    pub(super) log: Wave,
    /// To full power before the log.
    pub(super) before: Wave,
    /// What is left of the first rise.
    pub(super) decay: f64,
    /// Its derivative by tau.
    pub(super) decay_by_tau: f64,
}

/// Runs the model over the rows, and gives the answer at each.
pub(super) fn run(rows: &[Row], tau: f64, dead: f64, each: &mut dyn FnMut(&Row, &Answer)) {
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
