//! Homing: how far past a limit switch an axis runs, how well it repeats, and how hard it pushes.

use core::f64::consts::PI;

/// Path in mm from the switch's contact to standstill: v * delay + v^2 / (2 a).
///
/// `speed` in mm/s, `delay_s` from contact to the first braking step, `accel` in mm/s2, above 0.
///
/// # Source
/// Constant speed, then constant braking.
pub fn overrun_mm(speed: f64, delay_s: f64, accel: f64) -> f64 {
    speed * delay_s + speed * speed / (2.0 * accel)
}

/// Scatter in um (k = 2) of the position a switch is seen at: 2 * sqrt((v * poll)^2/12 + microstep^2/12).
///
/// `speed` of the last touch in mm/s, `poll_s` between two looks at the switch, `microstep_um`.
///
/// # Source
/// GUM (JCGM 100:2008) 4.3.7: two rectangular distributions, of full widths v * poll and one microstep.
pub fn scatter_um(speed: f64, poll_s: f64, microstep_um: f64) -> f64 {
    let path_um = 1000.0 * speed * poll_s;
    2.0 * libm::sqrt((path_um * path_um + microstep_um * microstep_um) / 12.0)
}

/// Force in N with which a motor's torque in N.m pushes an axis: 2 pi * torque / travel per turn.
///
/// `turn_travel_mm` above 0.
///
/// # Source
/// Work of one turn; losses left out.
pub fn push_force_n(torque: f64, turn_travel_mm: f64) -> f64 {
    2.0 * PI * torque / (turn_travel_mm / 1000.0)
}

/// Energy in J of a mass in kg at a speed in mm/s: m * v^2 / 2.
///
/// # Source
/// Kinetic energy.
pub fn impact_j(mass_kg: f64, speed: f64) -> f64 {
    let metres_per_s = speed / 1000.0;
    mass_kg * metres_per_s * metres_per_s / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_path_past_the_switch_is_the_area_under_the_speed() {
        // 40 mm/s for 2 ms, then 1 s / 25 of braking from 1000 mm/s2: 0.08 mm and 0.8 mm.
        assert!((overrun_mm(40.0, 0.002, 1000.0) - 0.88).abs() < 1e-15);
    }

    #[test]
    fn scatter_is_twice_the_standard_deviation_of_what_is_met() {
        // Second way: the moments of the sum of two even distributions on a fine grid.
        let (path, step, n) = (40.0, 12.5, 400);
        let (mut sum, mut squares) = (0.0, 0.0);
        for i in 0..n {
            for j in 0..n {
                let at = |k: i32, width: f64| (f64::from(k) + 0.5) / f64::from(n) * width;
                let x = at(i, path) + at(j, step);
                sum += x;
                squares += x * x;
            }
        }
        let count = f64::from(n) * f64::from(n);
        let sd = libm::sqrt(squares / count - (sum / count) * (sum / count));
        // The grid's own share is 1/n^2.
        assert!((scatter_um(40.0, 0.001, 12.5) / (2.0 * sd) - 1.0).abs() < 1e-5);
    }
}
