//! What an axis asks of each of its motors, and how much they have in hand.
//!
//! Torques in N.m per motor, masses in kg, forces in N; speeds of motors in rad/s.

use core::f64::consts::{FRAC_1_SQRT_2, FRAC_PI_2, FRAC_PI_4, PI, SQRT_2};

use super::GRAVITY;
use crate::motor::torque::Motor;

/// How an axis hangs on its motors.
#[derive(Clone, Copy, Debug)]
pub struct Axis {
    /// Travel per motor turn, mm, above 0.
    pub turn_travel_mm: f64,
    /// Share of the motor's work that reaches the axis, above 0 to 1.
    pub efficiency: f64,
    /// Inertia of one rotor, g.cm2, from 0.
    pub rotor_g_cm2: f64,
    /// Motors that share the load, from 1.
    pub motors: f64,
}

/// Torque that one motor must give: a fixed part and one that grows with the acceleration.
#[derive(Clone, Copy, Debug)]
pub struct Need {
    /// Against friction and gravity, N.m.
    pub fixed: f64,
    /// Per m/s2 of acceleration, N.m.s2/m.
    pub per_accel: f64,
}

impl Axis {
    /// The need of one motor that moves `mass`, against `friction` N and the weight of `lift`.
    ///
    /// T = (m*a + friction + lift*g)/motors * travel/(2 pi*eff) + J*a*2 pi/travel.
    ///
    /// # Source
    /// Newton's law at the axis, moved to the shaft by the work of one turn; the rotor's own inertia without losses.
    pub fn need(self, mass: f64, friction: f64, lift: f64) -> Need {
        let arm = self.arm_m();
        let share = arm / (self.efficiency * self.motors);
        Need {
            fixed: (friction + lift * GRAVITY) * share,
            per_accel: mass * share + self.rotor_g_cm2 * G_CM2 / arm,
        }
    }

    /// Inertia of the load over that of the rotors: mass * (travel / 2 pi)^2 / rotor / motors.
    ///
    /// Not finite without a rotor.
    ///
    /// # Source
    /// Equal kinetic energy.
    pub fn inertia_ratio(self, mass: f64) -> f64 {
        let arm = self.arm_m();
        mass * arm * arm / (self.rotor_g_cm2 * G_CM2) / self.motors
    }

    /// Motor speed in rad/s at a speed of the axis in mm/s.
    ///
    /// # Source
    /// Definition of the travel per turn.
    pub fn shaft_speed(self, speed: f64) -> f64 {
        speed / 1000.0 / self.arm_m()
    }

    /// Speed of the axis in mm/s at a motor speed in rad/s.
    ///
    /// # Source
    /// Definition of the travel per turn.
    pub fn axis_speed(self, radians_per_s: f64) -> f64 {
        radians_per_s * self.arm_m() * 1000.0
    }

    /// Travel per radian of the motor, m.
    fn arm_m(self) -> f64 {
        self.turn_travel_mm / 1000.0 / (2.0 * PI)
    }
}

/// A gram square centimetre in kg.m2.
const G_CM2: f64 = 1e-7;

impl Need {
    /// The torque in N.m at an acceleration in m/s2.
    pub fn torque(self, accel: f64) -> f64 {
        self.fixed + self.per_accel * accel
    }

    /// The highest acceleration in m/s2 that `torque` N.m allows: 0 when even rest takes more, not finite when none
    /// takes any.
    ///
    /// # Source
    /// [`Need::torque`], solved for the acceleration.
    pub fn top_accel(self, torque: f64) -> f64 {
        if torque < self.fixed {
            return 0.0;
        }
        if self.per_accel > 0.0 {
            (torque - self.fixed) / self.per_accel
        } else {
            f64::INFINITY
        }
    }

    /// What both of a pair's motors need together where their parts add up at 45 degrees.
    fn diagonal(self, other: Self) -> Self {
        Self {
            fixed: (self.fixed + other.fixed) * FRAC_1_SQRT_2,
            per_accel: (self.per_accel + other.per_accel) * FRAC_1_SQRT_2,
        }
    }
}

/// The highest speed in rad/s with `margin` times the need in hand: 0 when that is never met, `None` when nothing is needed.
///
/// # Source
/// [`Motor::top_speed`].
pub fn top_speed(motor: Motor, needed: f64, margin: f64) -> Option<f64> {
    (needed > 0.0).then(|| motor.top_speed(needed * margin).unwrap_or(0.0))
}

/// A direction in which two crossed belts move.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Direction {
    /// Along X: both motors turn alike.
    X,
    /// Along Y: both motors turn alike, one of them backwards.
    Y,
    /// At 45 degrees: one motor does it all.
    Diagonal,
}

/// What the faster motor of two crossed belts needs along X and along Y.
///
/// In a direction at an angle from X that motor needs x*cos + y*sin and runs at (cos + sin) times the shaft speed of the
/// path; the other needs |x*cos - y*sin| at |cos - sin|, which is nowhere worse than the worse of X and Y.
#[derive(Clone, Copy, Debug)]
pub struct Crossed {
    /// Along X, where each motor moves half of what X carries.
    pub x: Need,
    /// Along Y, likewise.
    pub y: Need,
}

impl Crossed {
    /// The needs of an axis with `mass_x` and `mass_y` behind two crossed belts: each motor's force is (Fx ± Fy)/2.
    ///
    /// # Source
    /// Kinematics of two crossed belts: belts run at v*(dx + dy) and v*(dx - dy), hence by virtual work the forces.
    pub fn new(axis: Axis, mass_x: f64, mass_y: f64, friction: f64) -> Self {
        let along = |mass: f64| axis.need(mass / 2.0, friction / 2.0, 0.0);
        Self {
            x: along(mass_x),
            y: along(mass_y),
        }
    }

    /// The need in a direction, and how much faster than along an axis its motor runs.
    pub fn need(self, direction: Direction) -> (Need, f64) {
        match direction {
            Direction::X => (self.x, 1.0),
            Direction::Y => (self.y, 1.0),
            Direction::Diagonal => (self.x.diagonal(self.y), SQRT_2),
        }
    }

    /// Available over needed in a direction; `None` where nothing is needed.
    ///
    /// `shaft_speed` of the path in rad/s, `accel` in m/s2.
    ///
    /// # Source
    /// [`Motor::torque`] over [`Need::torque`].
    pub fn in_hand(
        self,
        motor: Motor,
        shaft_speed: f64,
        accel: f64,
        direction: Direction,
    ) -> Option<f64> {
        let (need, faster) = self.need(direction);
        let needed = need.torque(accel);
        (needed > 0.0).then(|| motor.torque(shaft_speed * faster) / needed)
    }

    /// The direction with the least in hand, the first of equals; `None` when nothing is needed in any.
    ///
    /// # Source
    /// [`Crossed::in_hand`] in the three directions.
    pub fn worst(self, motor: Motor, shaft_speed: f64, accel: f64) -> Option<Direction> {
        DIRECTIONS
            .into_iter()
            .filter_map(|direction| {
                let in_hand = self.in_hand(motor, shaft_speed, accel, direction)?;
                Some((direction, in_hand))
            })
            .reduce(|least, next| if next.1 < least.1 { next } else { least })
            .map(|(direction, _)| direction)
    }

    /// The highest path speed as a shaft speed in rad/s, good along X, Y and the diagonal; `None` when nothing is needed.
    ///
    /// # Source
    /// [`top_speed`] in the three directions.
    pub fn top_speed(self, motor: Motor, accel: f64, margin: f64) -> Option<f64> {
        DIRECTIONS
            .into_iter()
            .filter_map(|direction| {
                let (need, faster) = self.need(direction);
                top_speed(motor, need.torque(accel), margin).map(|speed| speed / faster)
            })
            .reduce(libm::fmin)
    }

    /// The highest acceleration in m/s2 good along X, Y and the diagonal; 0 when the margin is never met.
    ///
    /// # Source
    /// [`Need::top_accel`] in the three directions.
    pub fn top_accel(self, motor: Motor, shaft_speed: f64, margin: f64) -> f64 {
        DIRECTIONS
            .into_iter()
            .map(|direction| {
                let (need, faster) = self.need(direction);
                need.top_accel(motor.torque(shaft_speed * faster) / margin)
            })
            .fold(f64::INFINITY, libm::fmin)
    }

    /// The direction from X in degrees, 0 to 90, with the least in hand, and how much; `None` when nothing is needed.
    ///
    /// Between the diagonal, where the motor is fastest, and the direction of the largest need the two pull against each
    /// other; outside, both get better. There it scans and closes in on each dip, both ends included.
    ///
    /// # Source
    /// As [`Crossed::in_hand`], over the angle; golden section.
    pub fn least_in_hand(self, motor: Motor, shaft_speed: f64, accel: f64) -> Option<(f64, f64)> {
        let (x, y) = (self.x.torque(accel), self.y.torque(accel));
        if x <= 0.0 && y <= 0.0 {
            return None;
        }
        let in_hand = |angle: f64| {
            let (sin, cos) = libm::sincos(angle);
            motor.torque(shaft_speed * (cos + sin)) / (x * cos + y * sin)
        };
        let heaviest = libm::atan2(y, x).clamp(0.0, FRAC_PI_2);
        let at = |i: u32| FRAC_PI_4 + (heaviest - FRAC_PI_4) * (f64::from(i) / f64::from(SCAN));
        let mut best = (FRAC_PI_4, in_hand(FRAC_PI_4));
        let mut keep = |angle: f64, value: f64| {
            if value < best.1 {
                best = (angle, value);
            }
        };
        let (mut before, mut here) = (f64::INFINITY, in_hand(at(0)));
        for i in 0..=SCAN {
            let after = if i < SCAN {
                in_hand(at(i + 1))
            } else {
                f64::INFINITY
            };
            keep(at(i), here);
            if here <= before && here <= after && before + after > 2.0 * here {
                let (low, high) = (at(i.saturating_sub(1)), at((i + 1).min(SCAN)));
                let angle = golden_section(in_hand, low, high);
                keep(angle, in_hand(angle));
            }
            (before, here) = (here, after);
        }
        Some((best.0.to_degrees(), best.1))
    }
}

/// The three directions that are compared first, in the order in which equals are named.
const DIRECTIONS: [Direction; 3] = [Direction::X, Direction::Y, Direction::Diagonal];

/// Steps of the scan, under 1.5 degrees each.
const SCAN: u32 = 32;

/// Where a function with one dip between `a` and `b` is least, to what rounding lets it see.
///
/// # Source
/// Golden section search: Press et al., Numerical Recipes, "Golden section search in one dimension".
fn golden_section(f: impl Fn(f64) -> f64, mut a: f64, mut b: f64) -> f64 {
    const INNER: f64 = 0.618_033_988_749_894_8;
    let (mut c, mut d) = (b - INNER * (b - a), a + INNER * (b - a));
    let (mut at_c, mut at_d) = (f(c), f(d));
    // From 0.05 rad to 1e-9 rad.
    for _ in 0..38 {
        if at_c < at_d {
            (b, d, at_d) = (d, c, at_c);
            c = b - INNER * (b - a);
            at_c = f(c);
        } else {
            (a, c, at_c) = (c, d, at_d);
            d = a + INNER * (b - a);
            at_d = f(d);
        }
    }
    a + (b - a) / 2.0
}
