//! A heater as one lump of heat capacity: how fast it warms, and where it ends.
//!
//! `C dT/dt = U²/(R20 (1 + a (T - 20))) - h A (T - Ta) - e s A (T⁴ - Ta⁴)`, T in kelvin where it stands to the fourth
//! power.
//!
//! Time is an integral over temperature, which needs no steps. With Ts the temperature where power and loss are equal,
//! both differ from their value there by a multiple of `Ts - T`, so that `C dT/dt = (Ts - T) q(T)` with a q that has no
//! difference of nearly equal numbers in it:
//! `q = h A + e s A (Ts + T)(Ts² + T²) + U² a/(R20 f(T) f(Ts))`, `f = 1 + a (T - 20)`. Over `u = -ln(Ts - T)` the time is the
//! integral of `C/q`, nearly constant; where nothing but film and constant power is there it is constant, and the answer
//! is the exponential.

use super::quadrature::{integral, ten_points};

/// The Stefan-Boltzmann constant, W/(m² K⁴).
///
/// # Source
/// CODATA 2018: 5.670374419e-8, exact in the SI of 2019.
pub const STEFAN_BOLTZMANN: f64 = 5.670_374_419e-8;

/// 0 °C in kelvin.
const ICE: f64 = 273.15;

/// A lump that is heated from within and cooled by film and radiation.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Heater {
    /// Power at 20 °C, W, above 0.
    pub watts_20: f64,
    /// Rise of its resistance per kelvin, of that at 20 °C.
    pub temp_coeff: f64,
    /// Film coefficient times area, W/K, not below 0.
    pub film_w_k: f64,
    /// Emissivity times the Stefan-Boltzmann constant times area, W/K⁴, not below 0.
    pub radiation_w_k4: f64,
    /// Ambient temperature, °C.
    pub ambient_c: f64,
}

/// Where a heater at full power ends.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum End {
    /// It settles at so many °C.
    Settles(f64),
    /// It rises until something else gives.
    Rises,
}

impl Heater {
    /// Resistance over that at 20 °C.
    fn factor(&self, celsius: f64) -> f64 {
        1.0 + self.temp_coeff * (celsius - 20.0)
    }

    /// Whether the element has a resistance at ambient, without which nothing here holds.
    ///
    /// # Source
    /// `1 + a (Ta - 20)` above 0.
    pub fn conducts(&self) -> bool {
        self.factor(self.ambient_c) > 0.0
    }

    /// Power at a temperature, W: `P20/(1 + a (T - 20))`.
    ///
    /// # Source
    /// Joule's law at a fixed voltage, resistance linear in temperature.
    pub fn power_w(&self, celsius: f64) -> f64 {
        self.watts_20 / self.factor(celsius)
    }

    /// Loss at a temperature, W: `h A (T - Ta) + e s A (T⁴ - Ta⁴)`.
    ///
    /// # Source
    /// Newton's law of cooling; Stefan-Boltzmann law for a grey body in large surroundings.
    pub fn loss_w(&self, celsius: f64) -> f64 {
        (celsius - self.ambient_c) * self.loss_slope_between(celsius, self.ambient_c)
    }

    /// Difference of the losses at two temperatures over the difference of the temperatures, W/K.
    fn loss_slope_between(&self, a: f64, b: f64) -> f64 {
        let (a, b) = (a + ICE, b + ICE);
        self.film_w_k + self.radiation_w_k4 * (a + b) * (a * a + b * b)
    }

    /// Full power less loss, W.
    fn net_w(&self, celsius: f64) -> f64 {
        self.power_w(celsius) - self.loss_w(celsius)
    }

    /// `(Ts - T) q(T)` is the net power; this is q, W/K.
    fn pull_w_k(&self, settled: f64, celsius: f64) -> f64 {
        let fall = self.watts_20 * self.temp_coeff / self.factor(celsius) / self.factor(settled);
        self.loss_slope_between(settled, celsius) + fall
    }

    /// The temperature over which the element has no resistance left: only with a coefficient below 0.
    fn last_c(&self) -> f64 {
        if self.temp_coeff < 0.0 {
            20.0 - 1.0 / self.temp_coeff
        } else {
            f64::INFINITY
        }
    }

    /// Where it ends at full power from ambient: the lowest temperature over ambient where the loss is the power.
    ///
    /// # Source
    /// Balance of power and loss. With a coefficient not below 0 the net power falls with temperature, so that there is
    /// one such place at most. Below 0, loss times resistance rises to one peak and falls again (its logarithm is
    /// concave): a peak under the power at 20 °C is never crossed.
    pub fn end(&self) -> End {
        let rising = |celsius: f64| self.watts_20 - self.loss_w(celsius) * self.factor(celsius);
        let high = if self.temp_coeff >= 0.0 {
            // Each loss alone bounds the temperature from above.
            let most = self.power_w(self.ambient_c);
            let by_film = self.ambient_c + most / self.film_w_k;
            let ambient_k = self.ambient_c + ICE;
            let fourth = most / self.radiation_w_k4 + libm::pow(ambient_k, 4.0);
            let by_radiation = libm::sqrt(libm::sqrt(fourth)) - ICE;
            by_film.min(by_radiation)
        } else {
            peak(self.ambient_c, self.last_c(), &|celsius| -rising(celsius))
        };
        if !high.is_finite() || rising(high) > 1e-12 * self.watts_20 {
            return End::Rises;
        }
        End::Settles(root(self.ambient_c, high, &rising))
    }

    /// The path of the temperature at full power, for a heat capacity in J/K.
    pub fn path(&self, capacity_j_k: f64) -> Path {
        Path {
            heater: *self,
            end: self.end(),
            capacity: capacity_j_k,
        }
    }

    /// Share of the time that holds a temperature: loss over full power.
    ///
    /// # Source
    /// Energy balance at rest.
    pub fn hold_share(&self, celsius: f64) -> f64 {
        self.loss_w(celsius) / self.power_w(celsius)
    }

    /// Slope of the loss less that of the held power, W/K: `h A + 4 e s A T³ + hold P a/(1 + a (T - 20))`.
    ///
    /// Power over this is the gain of the first-order model at that temperature, heat capacity over this its time
    /// constant. `None` where it is not above 0: the temperature runs away there.
    ///
    /// # Source
    /// First-order expansion of the balance about the held temperature.
    pub fn conductance_w_k(&self, celsius: f64) -> Option<f64> {
        let power_slope = -self.power_w(celsius) * self.temp_coeff / self.factor(celsius);
        let slope =
            self.loss_slope_between(celsius, celsius) - self.hold_share(celsius) * power_slope;
        (slope > 0.0 && slope.is_finite()).then_some(slope)
    }
}

/// How a heater warms at full power.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Path {
    heater: Heater,
    /// Where it ends.
    pub end: End,
    capacity: f64,
}

impl Path {
    /// Seconds from one temperature up to another, both in °C; `None` when it never gets there.
    ///
    /// # Source
    /// As the module; the integrals to about 1e-12 of their size.
    pub fn seconds(&self, from: f64, to: f64) -> Option<f64> {
        if from <= -ICE {
            return None;
        }
        let seconds = match self.end {
            End::Settles(settled) if to < settled => {
                let u = libm::log((settled - from) / (settled - to));
                integral(&self.per_u(settled, from), 0.0, u)
            }
            End::Rises if to < self.heater.last_c() => integral(&self.per_kelvin(), from, to),
            _ => return None,
        };
        seconds.is_finite().then_some(seconds)
    }

    /// Seconds per unit of u, which is 0 at `from`.
    fn per_u(&self, settled: f64, from: f64) -> impl Fn(f64) -> f64 {
        let path = *self;
        move |u: f64| {
            let celsius = settled - (settled - from) * libm::exp(-u);
            path.capacity / path.heater.pull_w_k(settled, celsius)
        }
    }

    /// Seconds per kelvin.
    fn per_kelvin(&self) -> impl Fn(f64) -> f64 {
        let path = *self;
        move |celsius: f64| path.capacity / path.heater.net_w(celsius)
    }

    /// Temperature so many seconds after ambient, °C; `None` when the element has no resistance left by then.
    ///
    /// # Source
    /// [`Path::seconds`] solved for the temperature by Newton's method; the time over u or temperature bends one way,
    /// so that the steps close in on the root from one side.
    pub fn after_c(&self, seconds: f64) -> Option<f64> {
        let (ambient, last) = (self.heater.ambient_c, self.heater.last_c());
        match self.end {
            End::Settles(settled) => {
                let u = invert(&self.per_u(settled, ambient), 0.0, f64::INFINITY, seconds)?;
                Some(settled - (settled - ambient) * libm::exp(-u))
            }
            End::Rises => invert(&self.per_kelvin(), ambient, last, seconds),
        }
    }

    /// Rows of seconds and °C from ambient until `until_c` and nearly its end have passed, `rows` not below 1.
    ///
    /// # Source
    /// [`Path::seconds`] in growing steps of u, so that the way to the target has many.
    pub fn curve(&self, until_c: f64, rows: u32) -> impl Iterator<Item = (f64, f64)> {
        let path = *self;
        let ambient = path.heater.ambient_c;
        let last = match path.end {
            // 99 % of the way at least.
            End::Settles(settled) if until_c < settled => {
                libm::log((settled - ambient) / (settled - until_c) * 1.25).max(4.6)
            }
            End::Settles(_) => 4.6,
            End::Rises => until_c.min(path.heater.last_c()) - ambient,
        };
        let at = move |i: u32| {
            let share = f64::from(i) / f64::from(rows);
            last * share * share
        };
        let mut seconds = 0.0;
        (0..=rows).map(move |i| {
            let before = at(i.saturating_sub(1));
            match path.end {
                End::Settles(settled) => {
                    seconds += ten_points(&path.per_u(settled, ambient), before, at(i));
                    (seconds, settled - (settled - ambient) * libm::exp(-at(i)))
                }
                End::Rises => {
                    seconds += ten_points(&path.per_kelvin(), ambient + before, ambient + at(i));
                    (seconds, ambient + at(i))
                }
            }
        })
    }
}

/// The x over `start` and under `last` up to which the integral of `f` from `start` is `area`; `f` above 0.
fn invert(f: &dyn Fn(f64) -> f64, start: f64, last: f64, area: f64) -> Option<f64> {
    if last.is_finite() && area >= integral(f, start, last) {
        return None;
    }
    let (mut x, mut sum) = (start, 0.0);
    for _ in 0..60 {
        let step = (area - sum) / f(x);
        let next = if x + step < last {
            x + step
        } else {
            // Beyond the last place: half the way there.
            (x + last) / 2.0
        };
        if !next.is_finite() {
            return None;
        }
        let done = libm::fabs(next - x) <= 1e-13 * libm::fabs(next - start);
        sum += integral(f, x, next);
        x = next;
        if done {
            return Some(x);
        }
    }
    None
}

/// Where `f`, above 0 at `low` and not above 0 at `high`, crosses 0 last digit by last digit.
fn root(low: f64, high: f64, f: &dyn Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (low, high);
    // Each halving gives a bit; 2,000 would use up any f64.
    for _ in 0..200 {
        let middle = low + (high - low) / 2.0;
        if middle <= low || middle >= high {
            break;
        }
        if f(middle) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}

/// Where `f` is highest between `low` and `high`; it has one peak there.
///
/// # Source
/// Golden section search, J. Kiefer, "Sequential minimax search for a maximum" (1953).
fn peak(low: f64, high: f64, f: &dyn Fn(f64) -> f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_895;
    let (mut low, mut high) = (low, high);
    for _ in 0..100 {
        let width = GOLDEN * (high - low);
        let (left, right) = (high - width, low + width);
        if f(left) < f(right) {
            low = left;
        } else {
            high = right;
        }
    }
    low + (high - low) / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A 40 W hot end: film and radiation, constant resistance.
    const HOT_END: Heater = Heater {
        watts_20: 40.0,
        temp_coeff: 0.0,
        film_w_k: 0.06,
        radiation_w_k4: 0.6 * STEFAN_BOLTZMANN * 0.003,
        ambient_c: 25.0,
    };
    const CAPACITY: f64 = 14.0;

    fn bed() -> Heater {
        Heater {
            watts_20: 200.0,
            temp_coeff: 0.0,
            film_w_k: 1.2,
            radiation_w_k4: 0.0,
            ambient_c: 20.0,
        }
    }

    fn settled(heater: &Heater) -> f64 {
        match heater.end() {
            End::Settles(celsius) => celsius,
            End::Rises => panic!("it settles"),
        }
    }

    fn close(found: f64, expected: f64, tolerance: f64) {
        assert!(
            libm::fabs(found - expected) <= tolerance * libm::fabs(expected),
            "{found}, expected {expected}"
        );
    }

    /// The same equation stepped by the classical Runge-Kutta method, with the heat put in and lost on the way.
    struct Stepped {
        celsius: f64,
        heat_in: f64,
        heat_out: f64,
    }

    fn stepped(heater: &Heater, capacity: f64, seconds: f64, steps: u32) -> Stepped {
        let h = seconds / f64::from(steps);
        let rate = |t: f64| (heater.power_w(t) - heater.loss_w(t)) / capacity;
        let mut s = Stepped {
            celsius: heater.ambient_c,
            heat_in: 0.0,
            heat_out: 0.0,
        };
        for _ in 0..steps {
            let t = s.celsius;
            let k1 = rate(t);
            let k2 = rate(t + h / 2.0 * k1);
            let k3 = rate(t + h / 2.0 * k2);
            let k4 = rate(t + h * k3);
            let next = t + h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
            // Simpson's rule with the middle by the cubic through both ends and slopes.
            let middle = (t + next) / 2.0 + h / 8.0 * (rate(t) - rate(next));
            let simpson = |f: &dyn Fn(f64) -> f64| h / 6.0 * (f(t) + 4.0 * f(middle) + f(next));
            s.heat_in += simpson(&|t| heater.power_w(t));
            s.heat_out += simpson(&|t| heater.loss_w(t));
            s.celsius = next;
        }
        s
    }

    #[test]
    fn film_alone_is_the_exponential() {
        let (bed, capacity) = (bed(), 600.0);
        close(settled(&bed), 20.0 + 200.0 / 1.2, 1e-15);
        let (path, tau) = (bed.path(capacity), capacity / 1.2);
        let exact = |to: f64| -tau * libm::log(1.0 - (to - 20.0) * 1.2 / 200.0);
        for to in [20.0, 60.0, 110.0, 180.0, 186.66] {
            let found = path.seconds(20.0, to);
            assert!(
                found.is_some_and(|s| libm::fabs(s - exact(to)) <= 1e-11 * (1.0 + exact(to))),
                "{to}: {found:?}"
            );
        }
        for seconds in [0.0, 1.0, 100.0, 1000.0, 20_000.0] {
            let exact = 20.0 + 200.0 / 1.2 * (1.0 - libm::exp(-seconds / tau));
            let found = path.after_c(seconds).expect("it settles");
            close(found, exact, 1e-13);
        }
        assert_eq!(path.seconds(20.0, 186.67), None);
    }

    #[test]
    fn a_rising_resistance_without_loss_is_a_square_root() {
        // C (1 + a (T - 20)) dT = P20 dt from 20 °C: x + a x²/2 = P20 t/C.
        let heater = Heater {
            temp_coeff: 0.004,
            film_w_k: 0.0,
            ..bed()
        };
        assert_eq!(heater.end(), End::Rises);
        let path = heater.path(600.0);
        let exact = |x: f64| 3.0 * (x + 0.002 * x * x);
        let found = path.seconds(20.0, 220.0);
        assert!(found.is_some_and(|s| libm::fabs(s - exact(200.0)) < 1e-9));
        let found = path.after_c(exact(500.0));
        assert!(found.is_some_and(|t| libm::fabs(t - 520.0) < 1e-9));
    }

    #[test]
    fn radiation_alone_meets_its_exact_solution() {
        // e s A (Ts⁴ - T⁴) = C dT/dt: t = C/(4 e s A Ts³) [ln((Ts + T)/(Ts - T)) + 2 atan(T/Ts)] from T0.
        let heater = Heater {
            film_w_k: 0.0,
            ..HOT_END
        };
        let ts = settled(&heater) + ICE;
        close(
            libm::pow(ts, 4.0),
            40.0 / heater.radiation_w_k4 + libm::pow(298.15, 4.0),
            1e-14,
        );
        let scale = CAPACITY / (4.0 * heater.radiation_w_k4 * ts * ts * ts);
        let part = |t: f64| libm::log((ts + t) / (ts - t)) + 2.0 * libm::atan(t / ts);
        let path = heater.path(CAPACITY);
        for to in [26.0, 200.0, 500.0, settled(&heater) - 1e-3] {
            let exact = scale * (part(to + ICE) - part(298.15));
            close(path.seconds(25.0, to).expect("below its end"), exact, 2e-12);
        }
    }

    #[test]
    fn all_together_meet_the_stepped_equation_and_its_energy_balance() {
        for temp_coeff in [-0.0005, 0.0, 0.0009, 0.004] {
            let heater = Heater {
                temp_coeff,
                ..HOT_END
            };
            let path = heater.path(CAPACITY);
            let seconds = path.seconds(25.0, 240.0).expect("240 °C is in reach");
            let stepped = stepped(&heater, CAPACITY, seconds, 4000);
            close(stepped.celsius, 240.0, 1e-11);
            let stored = CAPACITY * (stepped.celsius - 25.0);
            close(stepped.heat_in - stepped.heat_out, stored, 1e-10);
            let back = path.after_c(seconds).expect("on its path");
            close(back, 240.0, 1e-12);
        }
    }

    #[test]
    fn where_it_ends_power_is_loss() {
        for temp_coeff in [-0.0005, 0.0, 0.004] {
            let heater = Heater {
                temp_coeff,
                ..HOT_END
            };
            let end = settled(&heater);
            close(heater.loss_w(end), heater.power_w(end), 1e-13);
            assert!(heater.net_w(end - 1e-6) > 0.0);
        }
    }

    #[test]
    fn a_falling_resistance_can_run_away() {
        // Loss times resistance peaks at h/(4 |a|) (1 - |a| (Ta - 20))²: 300 W for this bed at -0.001 1/K.
        let at = |watts_20| Heater {
            watts_20,
            temp_coeff: -0.001,
            ..bed()
        };
        assert_eq!(at(300.1).end(), End::Rises);
        // The lower of the two roots of 1.2 x (1 - 0.001 x) = 299.9.
        let x = 500.0 * (1.0 - libm::sqrt(1.0 - 4.0 * 0.001 * 299.9 / 1.2));
        close(settled(&at(299.9)), 20.0 + x, 1e-12);
        let path = at(300.1).path(600.0);
        assert!(path.seconds(20.0, 1019.0).is_some());
        assert_eq!(path.seconds(20.0, 1020.0), None);
        assert_eq!(path.after_c(1e9), None);
        let seconds = path.seconds(20.0, 900.0).expect("before its end");
        close(path.after_c(seconds).expect("before its end"), 900.0, 1e-9);
    }

    #[test]
    fn an_element_without_resistance_at_ambient_is_seen() {
        let heater = |temp_coeff, ambient_c| Heater {
            temp_coeff,
            ambient_c,
            ..bed()
        };
        assert!(heater(0.004, -200.0).conducts());
        assert!(!heater(0.004, -230.1).conducts());
        assert!(!heater(-0.01, 120.0).conducts());
    }

    #[test]
    fn the_first_order_model_is_the_slope_of_the_full_one() {
        let heater = Heater {
            temp_coeff: 0.002,
            ..HOT_END
        };
        let (at, duty) = (200.0, heater.hold_share(200.0));
        let net = |t: f64| duty * heater.power_w(t) - heater.loss_w(t);
        let slope = (net(at - 1e-3) - net(at + 1e-3)) / 2e-3;
        close(heater.conductance_w_k(at).expect("stable"), slope, 1e-7);
        let falling = Heater {
            temp_coeff: -0.02,
            film_w_k: 0.001,
            ..bed()
        };
        assert_eq!(falling.conductance_w_k(60.0), None);
    }

    #[test]
    fn the_curve_passes_through_its_own_times() {
        let path = HOT_END.path(CAPACITY);
        let mut last = -1.0;
        for (seconds, celsius) in path.curve(240.0, 50) {
            let exact = path.seconds(25.0, celsius).expect("below its end");
            assert!(
                libm::fabs(seconds - exact) < 1e-9 * (1.0 + exact),
                "{celsius}"
            );
            assert!(seconds > last);
            last = seconds;
        }
    }
}
