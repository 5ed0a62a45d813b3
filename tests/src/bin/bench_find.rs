//! Times the search for parts in its corners: `cargo run --profile bench -p layshaft-tests --bin bench_find`.
//!
//! Microsteps multiply what is tried and not what is looked at: they are left out, so that each design counts once.

use std::f64::consts::SQRT_2;
use std::time::Instant;

use layshaft_core::find::{Candidate, Drive, Gear, Goal, Load, Search, Size, Space, Want};
use layshaft_core::motor::torque::Motor;

/// Combinations a second on one core that the search promises.
const BUDGET: f64 = 10e6;

/// As many of the best as the sheet lists.
const LISTED: usize = 10_000;

/// A corner: its name, how many drives, reductions and motors there are, how many prices, the target in mm of travel,
/// and the torque wanted in hand.
type Corner = (&'static str, [u32; 3], u32, (f64, f64), f64);

const CORNERS: [Corner; 7] = [
    (
        "all meet the target, one price",
        [300, 200, 50],
        1,
        (0.0, 1e9),
        0.01,
    ),
    (
        "all meet the target, each motor at its own price",
        [300, 200, 50],
        50,
        (0.0, 1e9),
        0.01,
    ),
    (
        "some meet the target, each motor at its own price",
        [300, 200, 50],
        50,
        (5.0, 60.0),
        1.5,
    ),
    (
        "none has the torque",
        [300, 200, 50],
        50,
        (0.0, 1e9),
        1000.0,
    ),
    ("none has the travel", [300, 200, 50], 50, (1e6, 1e9), 1.5),
    (
        "one motor, many drives",
        [3000, 1000, 1],
        1,
        (0.0, 1e9),
        0.01,
    ),
    (
        "a thousand motors, few drives",
        [60, 50, 1000],
        1000,
        (0.0, 1e9),
        0.01,
    ),
];

fn main() {
    println!(
        "| find | designs | found | best | million a second |\n| --- | --- | --- | --- | --- |"
    );
    let mut slowest = f64::INFINITY;
    for (name, counts, prices, travel, margin) in CORNERS {
        let space = space(counts, prices, travel, margin);
        let designs: f64 = counts.into_iter().map(f64::from).product();
        let mut least = f64::INFINITY;
        let (mut found, mut best) = (0, 0);
        for _ in 0..3 {
            let mut search = Search::new(space.clone(), LISTED);
            let start = Instant::now();
            while !search.advance(1_000_000) {}
            let listed = search.best().len();
            least = least.min(start.elapsed().as_secs_f64());
            (found, best) = (search.found(), search.unbeaten());
            assert!(u64::try_from(listed.min(LISTED)).is_ok_and(|n| n <= best));
        }
        let speed = designs / least;
        slowest = slowest.min(speed);
        println!(
            "| {name} | {designs} | {found} | {best} | {:.1} |",
            speed / 1e6
        );
    }
    let state = if slowest < BUDGET { "OVER" } else { "within" };
    println!("{state} the budget of {:.0} million a second", BUDGET / 1e6);
}

/// Sizes that share no common measure, so that every design differs from every other.
fn space(
    [drive_count, gear_count, motor_count]: [u32; 3],
    prices: u32,
    (from, to): (f64, f64),
    margin: f64,
) -> Space {
    let share = |i: u32, of: u32| f64::from(i) / f64::from(of);
    let drives = (0..drive_count)
        .map(|i| Drive {
            lead: Size::new(
                2.0 + 118.0 * share(i, drive_count) + 1e-3 * SQRT_2 * share(i * i % 97, 97),
                None,
            ),
            efficiency: 1.0,
        })
        .collect();
    let gears = (0..gear_count)
        .map(|i| Gear {
            ratio: Size::new(1.0 + 24.0 * share(i, gear_count), None),
            stages: u32::from(i > 0) + u32::from(i > gear_count / 2),
        })
        .collect();
    let motors = (0..motor_count)
        .map(|i| Candidate {
            motor: Motor {
                constant: (0.2 + 0.6 * share(i * 7 % motor_count, motor_count)) / (SQRT_2 * 1.2),
                pole_pairs: if i % 3 == 0 { 100.0 } else { 50.0 },
                peak: SQRT_2 * 1.2,
                resistance: 1.0 + 2.0 * share(i * 5 % motor_count, motor_count),
                inductance: 0.001 + 0.004 * share(i * 11 % motor_count, motor_count),
                volts: 24.0,
            },
            full_steps: if i % 3 == 0 { 400.0 } else { 200.0 },
            rotor_g_cm2: 30.0 + 60.0 * share(i * 13 % motor_count, motor_count),
            price: Some(5.0 + f64::from(i % prices)),
        })
        .collect();
    let load = Load {
        mass: 0.6,
        friction: 2.0,
        lift: 0.0,
        speed: 180.0,
        accel: 3000.0,
    };
    let goal = Goal {
        want: Want::TurnTravel,
        from,
        to,
        margin,
    };
    Space::new(drives, gears, motors, load, goal)
}
