//! A heater under on-off or PID control, simulated from rest.
//!
//! The controller looks and decides every period; between its decisions the first-order model has an exact solution, so
//! that the only steps are the controller's own.

use super::tuning::{Model, Settings};

/// How the duty is decided.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Rule {
    /// Full on below the target by half the band, off over it by half the band.
    OnOff {
        /// The whole band, K.
        band_k: f64,
    },
    /// Proportional, integral and derivative, the derivative on the measurement.
    Pid(Settings),
}

/// What to simulate.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Run {
    /// The heater.
    pub model: Model,
    /// The controller.
    pub rule: Rule,
    /// Ambient, where it starts, °C.
    pub ambient_c: f64,
    /// Target, °C.
    pub target_c: f64,
    /// Time between decisions, s, above 0.
    pub period_s: f64,
}

/// What a run came to.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Figures {
    /// Highest temperature over the target, K, not below 0.
    pub overshoot_k: f64,
    /// The last moment more than 1 K away from the target, s.
    pub settle_s: f64,
    /// Peak to peak over the last fifth, K.
    pub ripple_k: f64,
    /// Times switched on in an hour, after the first switching off; `None` for fewer than two.
    pub switches_per_h: Option<f64>,
}

/// Further from the target than this is not settled, K.
const SETTLED_K: f64 = 1.0;

/// A dead time this close to a whole number of periods is one.
const WHOLE: f64 = 1e-9;

impl Run {
    /// How long is simulated, s: `10 (tau + dead)`.
    ///
    /// # Source
    /// Convention of this project.
    pub fn seconds(&self) -> f64 {
        10.0 * (self.model.tau_s + self.model.dead_s)
    }

    /// How many periods that is.
    ///
    /// # Source
    /// Definition.
    pub fn periods(&self) -> f64 {
        libm::floor(self.seconds() / self.period_s + WHOLE)
    }

    /// Whole periods of the dead time.
    ///
    /// # Source
    /// Definition.
    pub fn dead_periods(&self) -> f64 {
        libm::floor(self.model.dead_s / self.period_s + WHOLE)
    }

    /// Simulates; gives seconds and °C at each decision to `each`, if anybody asks.
    ///
    /// `memory` is room for the duties still on their way: [`Run::dead_periods`] and 2 more.
    ///
    /// The integral starts at 0 and steps before the output; the step is undone when the output it gives is clamped and
    /// the error would push it further.
    ///
    /// # Source
    /// Exact solution of the model for a duty that holds between two moments; conditional integration: K. J. Åström,
    /// T. Hägglund, "PID Controllers: Theory, Design, and Tuning" (1995), section 3.5 (from memory).
    pub fn simulate(
        &self,
        memory: &mut [f64],
        mut each: Option<&mut dyn FnMut(f64, f64)>,
    ) -> Figures {
        let Model {
            gain_k,
            tau_s,
            dead_s,
        } = self.model;
        let late = (dead_s - self.dead_periods() * self.period_s).max(0.0);
        let late = if late < WHOLE * self.period_s {
            0.0
        } else {
            late
        };
        let first = libm::exp(-late / tau_s);
        let second = libm::exp(-(self.period_s - late) / tau_s);
        let mut controller = Controller::new(self);
        let mut watch = Watch::new(self);
        memory.fill(0.0);
        let length = memory.len().max(1);
        let mut place = 0;
        let (mut rise, mut count, periods) = (0.0, 0.0, self.periods());
        loop {
            let (seconds, celsius) = (count * self.period_s, self.ambient_c + rise);
            watch.sees(seconds, celsius);
            if let Some(each) = &mut each {
                each(seconds, celsius);
            }
            if count >= periods {
                return watch.figures();
            }
            let duty = controller.decides(celsius);
            watch.decides(seconds, duty);
            // The oldest two duties act now, one until the dead time's odd part has passed, one after it.
            if let Some(slot) = memory.get_mut(place) {
                *slot = duty;
            }
            // Without a division: a run has thousands of decisions.
            let ahead = |steps: usize| match place + steps {
                place if place < length => place,
                beyond => beyond - length,
            };
            let at = |steps: usize| memory.get(ahead(steps)).copied().unwrap_or(duty);
            let (before, after) = (gain_k * at(1), gain_k * at(2));
            if late > 0.0 {
                rise = before + (rise - before) * first;
                watch.peaks(seconds + late, self.ambient_c + rise);
            }
            rise = after + (rise - after) * second;
            place = ahead(1);
            count += 1.0;
        }
    }
}

/// The controller between two decisions.
struct Controller {
    rule: Rule,
    target: f64,
    /// Share of the error that the integral gains in a period, and of its change that the derivative answers.
    per_period: f64,
    per_change: f64,
    integral: f64,
    last: Option<f64>,
    on: bool,
}

impl Controller {
    fn new(run: &Run) -> Self {
        let (per_period, per_change) = match run.rule {
            Rule::OnOff { .. } => (0.0, 0.0),
            Rule::Pid(Settings { k, ti_s, td_s }) => (
                ti_s.map_or(0.0, |ti| k / ti * run.period_s),
                k * td_s / run.period_s,
            ),
        };
        Self {
            rule: run.rule,
            target: run.target_c,
            per_period,
            per_change,
            integral: 0.0,
            last: None,
            on: false,
        }
    }

    /// The duty, 0 to 1, for a measured temperature.
    fn decides(&mut self, celsius: f64) -> f64 {
        let error = self.target - celsius;
        match self.rule {
            Rule::OnOff { band_k } => {
                if error > band_k / 2.0 {
                    self.on = true;
                } else if error < -band_k / 2.0 {
                    self.on = false;
                }
                f64::from(u8::from(self.on))
            }
            Rule::Pid(Settings { k, .. }) => {
                let step = self.per_period * error;
                let change = celsius - self.last.unwrap_or(celsius);
                self.last = Some(celsius);
                let output = k * error + self.integral + step - self.per_change * change;
                let further = (output > 1.0 && step > 0.0) || (output < 0.0 && step < 0.0);
                if !further {
                    self.integral += step;
                }
                output.clamp(0.0, 1.0)
            }
        }
    }
}

/// What is noted while a run goes on.
struct Watch {
    target: f64,
    late: f64,
    highest: f64,
    settle: f64,
    least: f64,
    most: f64,
    on: bool,
    was_on: bool,
    switched: f64,
    first_on: f64,
    last_on: f64,
}

impl Watch {
    fn new(run: &Run) -> Self {
        Self {
            target: run.target_c,
            late: 0.8 * run.seconds() * (1.0 - WHOLE),
            highest: f64::NEG_INFINITY,
            settle: 0.0,
            least: f64::INFINITY,
            most: f64::NEG_INFINITY,
            on: false,
            was_on: false,
            switched: 0.0,
            first_on: 0.0,
            last_on: 0.0,
        }
    }

    fn sees(&mut self, seconds: f64, celsius: f64) {
        if libm::fabs(celsius - self.target) > SETTLED_K {
            self.settle = seconds;
        }
        self.peaks(seconds, celsius);
    }

    /// The temperature turns only where the acting duty changes.
    fn peaks(&mut self, seconds: f64, celsius: f64) {
        self.highest = self.highest.max(celsius);
        if seconds >= self.late {
            self.least = self.least.min(celsius);
            self.most = self.most.max(celsius);
        }
    }

    fn decides(&mut self, seconds: f64, duty: f64) {
        let on = duty > 0.5;
        if !on && self.on {
            self.was_on = true;
        } else if on && !self.on && self.was_on {
            if self.switched <= 0.0 {
                self.first_on = seconds;
            }
            self.switched += 1.0;
            self.last_on = seconds;
        }
        self.on = on;
    }

    fn figures(&self) -> Figures {
        let cycles = self.switched - 1.0;
        Figures {
            overshoot_k: tidy(self.highest - self.target),
            settle_s: self.settle,
            ripple_k: tidy(self.most - self.least),
            switches_per_h: (cycles > 0.0)
                .then(|| 3600.0 * cycles / (self.last_on - self.first_on)),
        }
    }
}

/// A difference of temperatures; what only rounding left of it is 0.
fn tidy(kelvin: f64) -> f64 {
    if kelvin > 1e-9 { kelvin } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::vec;
    use std::vec::Vec;

    const BED: Model = Model {
        gain_k: 180.0,
        tau_s: 400.0,
        dead_s: 12.0,
    };

    fn run(rule: Rule, period_s: f64) -> Run {
        Run {
            model: BED,
            rule,
            ambient_c: 25.0,
            target_c: 100.0,
            period_s,
        }
    }

    fn simulate(run: &Run) -> (Figures, Vec<(f64, f64)>) {
        let mut rows = Vec::new();
        let length = crate::exact::to_u32(run.dead_periods()).expect("few") as usize + 2;
        let figures = run.simulate(&mut vec![0.0; length], Some(&mut |s, c| rows.push((s, c))));
        (figures, rows)
    }

    /// A gain so small that the output never clamps is a plain step response while the first reading is still on its way.
    #[test]
    fn nothing_moves_before_the_dead_time_and_then_exponentially() {
        for period in [1.2, 1.0, 5.0, 7.3, 12.0, 50.0] {
            let settings = Settings {
                k: 1.0,
                ti_s: None,
                td_s: 0.0,
            };
            let (_, rows) = simulate(&run(Rule::Pid(settings), period));
            for (seconds, celsius) in rows {
                // Full on until 74 K over ambient.
                let expected = 180.0 * (1.0 - libm::exp(-(seconds - 12.0).max(0.0) / 400.0));
                if expected < 74.0 {
                    assert!(
                        libm::fabs(celsius - 25.0 - expected) < 1e-9,
                        "{period} {seconds}"
                    );
                }
            }
        }
    }

    #[test]
    fn a_plain_gain_rests_where_it_must() {
        // e = 75/(1 + k gain): proportional control leaves an error.
        let settings = Settings {
            k: 0.01,
            ti_s: None,
            td_s: 0.0,
        };
        let (figures, rows) = simulate(&run(Rule::Pid(settings), 1.2));
        let last = rows.last().expect("rows").1;
        assert!(libm::fabs(100.0 - last - 75.0 / 2.8) < 1e-3, "{last}");
        assert!(figures.overshoot_k <= 0.0 && figures.ripple_k < 1e-2);
        assert!(libm::fabs(figures.settle_s - 4120.0) < 1.3);
    }

    #[test]
    fn an_integral_takes_the_error_away() {
        let settings = BED.simc(12.0).expect("settings");
        let (figures, rows) = simulate(&run(Rule::Pid(settings), 1.2));
        let last = rows.last().expect("rows").1;
        assert!(libm::fabs(last - 100.0) < 1e-3, "{last}");
        assert!(
            figures.settle_s > 200.0 && figures.settle_s < 1000.0,
            "{figures:?}"
        );
        assert!(figures.ripple_k < 1e-3);
        assert_eq!(rows.len(), 3434);
    }

    #[test]
    fn on_off_swings_as_the_dead_time_makes_it() {
        // With decisions all the time each swing overruns the band by one dead time at the slope there.
        let (figures, _) = simulate(&run(Rule::OnOff { band_k: 2.0 }, 0.01));
        let after = |rise: f64, to: f64| to + (rise - to) * libm::exp(-12.0 / 400.0);
        let (top, bottom) = (after(76.0, 180.0), after(74.0, 0.0));
        assert!(libm::fabs(figures.overshoot_k - (top - 75.0)) < 0.01);
        assert!(libm::fabs(figures.ripple_k - (top - bottom)) < 0.02);
        // From bottom to 76 K on, from top to 74 K off, and a dead time each.
        let up = 400.0 * libm::log((180.0 - bottom) / (180.0 - 76.0));
        let down = 400.0 * libm::log(top / 74.0);
        let period = up + down + 24.0;
        let per_hour = figures.switches_per_h.expect("it switches");
        assert!(libm::fabs(per_hour - 3600.0 / period) < 0.02, "{per_hour}");
    }

    #[test]
    fn a_heater_that_never_gets_there_never_switches() {
        let far = Run {
            target_c: 300.0,
            ..run(Rule::OnOff { band_k: 2.0 }, 1.2)
        };
        let (figures, rows) = simulate(&far);
        assert_eq!(figures.switches_per_h, None);
        assert!(figures.overshoot_k <= 0.0);
        assert!(rows.last().is_some_and(|row| row.1 < 205.0));
    }

    #[test]
    fn a_clamped_output_freezes_the_integral() {
        // A strong integral would wind up for hundreds of seconds; frozen, it overshoots by little.
        let settings = Settings {
            k: 0.05,
            ti_s: Some(48.0),
            td_s: 0.0,
        };
        let mut controller = Controller::new(&run(Rule::Pid(settings), 1.0));
        for _ in 0..100 {
            assert!(controller.decides(25.0) >= 1.0);
        }
        assert!(controller.integral.abs() < 1e-15);
        // At 5 K: 0.25 + 0.0052, free to integrate.
        let duty = controller.decides(95.0);
        assert!(libm::fabs(duty - 0.25 - 0.05 / 48.0 * 5.0) < 1e-15);
        assert!(controller.integral > 0.0);
        // Over the target the lower end freezes alike.
        let before = controller.integral;
        assert!(controller.decides(130.0) <= 0.0);
        assert!((controller.integral - before).abs() < 1e-15);
    }

    #[test]
    fn the_derivative_looks_at_the_measurement() {
        let settings = Settings {
            k: 0.01,
            ti_s: None,
            td_s: 20.0,
        };
        let mut controller = Controller::new(&run(Rule::Pid(settings), 2.0));
        assert!(libm::fabs(controller.decides(50.0) - 0.5) < 1e-15);
        // Half a kelvin a second: 0.01 × (49 - 20 × 0.5).
        assert!(libm::fabs(controller.decides(51.0) - 0.39) < 1e-15);
    }
}
