//! The torque of the two discs, the tops and the worst direction, against searches that know nothing of discs.
//!
//! # Sources
//! - Load angle: the terminal voltage U of a synchronous machine leads the back-EMF by the load angle delta; the currents
//!   follow from the two voltage equations v_d = R*i_d - w*L*i_q, v_q = R*i_q + w*L*i_d + E with v = U*(-sin, cos)(delta)
//!   (any text on synchronous machines, such as Fitzgerald, Kingsley and Umans, Electric Machinery).
//! - Crossed belts: forces and speeds in each direction as the belts' kinematics give them, both motors, all round.

use layshaft_core::motion::load::{Axis, Crossed, top_speed};
use layshaft_core::motor::torque::Motor;
use std::f64::consts::{PI, SQRT_2};

/// Motors from weak to strong magnets, thin to thick wire, on supplies from too low to high.
fn motors() -> Vec<Motor> {
    let mut motors = Vec::new();
    for (hold, rated, resistance, inductance_mh) in [
        (0.40, 1.5, 1.6, 3.0),
        (0.13, 1.0, 3.3, 3.6),
        (0.26, 0.4, 30.0, 37.0),
        (1.89, 2.8, 1.13, 5.4),
        (0.09, 2.0, 0.4, 8.0),
        (0.40, 1.5, 0.0, 3.0),
    ] {
        for (share, volts) in [(1.0, 24.0), (0.5, 12.0), (1.2, 48.0), (1.0, 3.0)] {
            motors.push(Motor {
                constant: hold / (SQRT_2 * rated),
                pole_pairs: 50.0,
                peak: SQRT_2 * rated * share,
                resistance,
                inductance: inductance_mh / 1000.0,
                volts,
            });
        }
    }
    motors
}

/// The q current at a terminal voltage and load angle; `None` where the current leaves its limit.
fn at_load_angle(motor: Motor, wm: f64, volts: f64, delta: f64) -> Option<f64> {
    let (r, x, emf) = (
        motor.resistance,
        motor.pole_pairs * wm * motor.inductance,
        motor.constant * wm,
    );
    let (v_d, v_q) = (-volts * delta.sin(), volts * delta.cos() - emf);
    let z2 = r * r + x * x;
    let (i_d, i_q) = ((r * v_d + x * v_q) / z2, (r * v_q - x * v_d) / z2);
    (i_d.hypot(i_q) <= motor.peak * (1.0 + 1e-12)).then_some(i_q)
}

/// The largest q current over all load angles and all terminal voltages up to the supply's: for each angle the voltages
/// that keep the current's limit are an interval, and the q current is linear in the voltage, so its end decides.
fn brute(motor: Motor, wm: f64) -> f64 {
    let best_at = |delta: f64| {
        // The largest voltage whose current fits, if any: |i|^2 is a parabola in U, searched by its own samples.
        let mut best = f64::NEG_INFINITY;
        let inside = |volts: f64| at_load_angle(motor, wm, volts, delta);
        let n = 40;
        let mut last: Option<f64> = None;
        for k in 0..=n {
            let volts = motor.volts * f64::from(k) / f64::from(n);
            let here = inside(volts);
            if let Some(i_q) = here {
                best = best.max(i_q);
            }
            // Where it goes in or out, close in on the edge.
            if k > 0 && here.is_some() != last.is_some() {
                let (mut fits, mut not) = (volts, volts - motor.volts / f64::from(n));
                if here.is_none() {
                    (fits, not) = (not, fits);
                }
                for _ in 0..60 {
                    let middle = (fits + not) / 2.0;
                    if inside(middle).is_some() {
                        fits = middle;
                    } else {
                        not = middle;
                    }
                }
                best = best.max(inside(fits).unwrap_or(f64::NEG_INFINITY));
            }
            last = here;
        }
        best
    };
    // All angles, then ever closer around the best.
    let (mut centre, mut width) = (0.0, PI);
    let mut best = f64::NEG_INFINITY;
    for _ in 0..14 {
        let n = 40;
        let mut at = centre;
        for k in -n..=n {
            let delta = centre + width * f64::from(k) / f64::from(n);
            let value = best_at(delta);
            if value > best {
                (best, at) = (value, delta);
            }
        }
        centre = at;
        width /= 8.0;
    }
    best.max(0.0)
}

#[test]
fn two_discs_agree_with_a_search_over_the_load_angle() {
    let (mut compared, mut worst) = (0, 0.0_f64);
    for motor in motors() {
        let base = motor.volts / motor.constant;
        for share in [0.02, 0.1, 0.3, 0.6, 0.9, 1.1, 1.6, 3.0] {
            let wm = base * share;
            let (exact, searched) = (motor.quadrature_current(wm), brute(motor, wm));
            // The search can only fall short, and only by its last interval of angle.
            let off = (exact - searched) / motor.peak;
            assert!(
                off > -1e-9,
                "search finds more: {motor:?} at {wm}: {exact} {searched}"
            );
            assert!(
                off < 1e-5,
                "search finds less: {motor:?} at {wm}: {exact} {searched}"
            );
            worst = worst.max(off.abs());
            compared += 1;
        }
    }
    println!("{compared} points, search off by at most {worst:.1e} of the set current");
    assert_eq!(compared, 192);
}

/// Needed torque of both motors in a direction, straight from the belts' kinematics.
fn needs(axis: Axis, mass: (f64, f64), friction: f64, accel: f64, angle: f64) -> [f64; 2] {
    let (dx, dy) = (angle.cos(), angle.sin());
    let (fx, fy) = (
        mass.0 * accel * dx + friction * dx,
        mass.1 * accel * dy + friction * dy,
    );
    let arm = axis.turn_travel_mm / 1000.0 / (2.0 * PI);
    let inertia = axis.rotor_g_cm2 * 1e-7;
    [(fx + fy, dx + dy), (fx - fy, dx - dy)].map(|(force, turn)| {
        (force / 2.0 / axis.motors * arm / axis.efficiency + inertia * accel * turn / arm).abs()
    })
}

#[test]
fn the_worst_direction_is_the_worst_of_all_round() {
    let axis = Axis {
        turn_travel_mm: 40.0,
        efficiency: 0.9,
        rotor_g_cm2: 54.0,
        motors: 1.0,
    };
    let mut inner = 0;
    for motor in motors() {
        for (mass, friction) in [
            ((0.3, 0.7), 2.0),
            ((0.5, 0.5), 0.0),
            ((2.0, 0.1), 1.0),
            ((0.0, 3.0), 0.0),
        ] {
            for share in [0.05, 0.3, 0.5, 0.7, 1.0, 1.5] {
                let accel = 4.0;
                let shaft = share * motor.volts / motor.constant;
                let pair = Crossed::new(axis, mass.0, mass.1, friction);
                let Some((angle, least)) = pair.least_in_hand(motor, shaft, accel) else {
                    panic!("something is needed");
                };
                let in_hand = |angle: f64| {
                    let needed = needs(axis, mass, friction, accel, angle);
                    let turn = [angle.cos() + angle.sin(), angle.cos() - angle.sin()];
                    turn.into_iter()
                        .zip(needed)
                        .map(|(turn, needed)| motor.torque(shaft * turn.abs()) / needed)
                        .fold(f64::INFINITY, f64::min)
                };
                let at = in_hand(angle.to_radians());
                assert!(
                    (at - least).abs() <= 1e-12 * least,
                    "{motor:?} {mass:?} {share}: {at} {least}"
                );
                // 6,000 directions all round, none worse.
                let round = (0..6_000)
                    .map(|k| in_hand(f64::from(k) / 6_000.0 * 2.0 * PI))
                    .fold(f64::INFINITY, f64::min);
                assert!(
                    least <= round * (1.0 + 1e-12),
                    "{motor:?} {mass:?} {share}: {least} {round}"
                );
                let heaviest = pair
                    .y
                    .torque(accel)
                    .atan2(pair.x.torque(accel))
                    .to_degrees();
                inner += u32::from((angle - 45.0).abs() > 0.01 && (angle - heaviest).abs() > 0.01);
            }
        }
    }
    println!("{inner} dips inside the interval");
    assert!(inner > 20, "{inner}");
}

#[test]
fn tops_are_where_the_margin_is_just_met() {
    let axis = Axis {
        turn_travel_mm: 40.0,
        efficiency: 0.9,
        rotor_g_cm2: 54.0,
        motors: 1.0,
    };
    let need = axis.need(0.6, 1.5, 0.2);
    let mut met = 0;
    for motor in motors() {
        let needed = need.torque(3.0);
        let Some(top) = top_speed(motor, needed, 1.5) else {
            panic!("something is needed");
        };
        if top > 0.0 {
            let torque = |factor: f64| motor.torque(top * factor) / needed;
            assert!(
                torque(1.0 - 1e-9) >= 1.5 && torque(1.0 + 1e-9) < 1.5,
                "{motor:?}: {top}"
            );
            met += 1;
        } else {
            assert!(motor.torque(1e-9) / needed < 1.5);
        }
        // No faster speed meets it again: the torque only falls.
        for k in 1..4000 {
            assert!(
                motor.torque(top + 0.5 * f64::from(k)) / needed < 1.5,
                "{motor:?}"
            );
        }
        let speed = 0.4 * motor.volts / motor.constant;
        let accel = need.top_accel(motor.torque(speed) / 1.5);
        if accel > 0.0 {
            let in_hand = |factor: f64| motor.torque(speed) / need.torque(accel * factor);
            assert!(in_hand(1.0 - 1e-9) > 1.5 && in_hand(1.0 + 1e-9) < 1.5);
        }

        let pair = Crossed::new(axis, 0.3, 0.9, 1.0);
        let least = |shaft: f64, accel: f64| {
            [0.0_f64, 90.0, 45.0]
                .map(|angle| {
                    let angle = angle.to_radians();
                    let needed = needs(axis, (0.3, 0.9), 1.0, accel, angle);
                    let turn = [angle.cos() + angle.sin(), angle.cos() - angle.sin()];
                    turn.into_iter()
                        .zip(needed)
                        .map(|(turn, needed)| motor.torque(shaft * turn.abs()) / needed)
                        .fold(f64::INFINITY, f64::min)
                })
                .into_iter()
                .fold(f64::INFINITY, f64::min)
        };
        let top = pair.top_speed(motor, 3.0, 1.5).unwrap_or(f64::NAN);
        if top > 0.0 {
            assert!(
                least(top * (1.0 - 1e-9), 3.0) >= 1.5 - 1e-12
                    && least(top * (1.0 + 1e-9), 3.0) < 1.5
            );
            met += 1;
        }
        let accel = pair.top_accel(motor, speed, 1.5);
        if accel > 0.0 {
            assert!(
                least(speed, accel * (1.0 - 1e-9)) > 1.5
                    && least(speed, accel * (1.0 + 1e-9)) < 1.5
            );
            met += 1;
        }
    }
    assert!(met > 30, "{met}");
}
