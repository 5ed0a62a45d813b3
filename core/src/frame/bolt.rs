//! A bracket held by two rows of screws: what they are tightened to, and what a moment and a shear leave of it.

use core::f64::consts::PI;

/// Depth of the metric thread over its pitch, H = sqrt(3)/2.
const H: f64 = 0.866_025_403_784_438_6;

/// Stress area of a metric thread in mm²: pi/4 ((d2 + d3) / 2)², unrounded.
///
/// d2 = d - 3/4 H, d3 = d - 17/12 H; `diameter` and `pitch` in mm, over 0.
///
/// # Source
/// ISO 898-1, nominal stress area of the thread, with d2 of ISO 724.
pub fn stress_area(diameter: f64, pitch: f64) -> f64 {
    let mean = diameter - (3.0 / 4.0 + 17.0 / 12.0) / 2.0 * H * pitch;
    PI / 4.0 * mean * mean
}

/// Tension in N of a screw tightened with `torque` N·m: T / (K d).
///
/// `nut_factor` K, over 0, has no unit; `diameter` in mm, over 0.
///
/// # Source
/// Short form of the torque and tension relation in machine design texts; K = 0.2 for dry steel is common practice.
pub fn tension(torque: f64, nut_factor: f64, diameter: f64) -> f64 {
    torque * 1000.0 / (nut_factor * diameter)
}

/// What `moment` N·m adds to each screw of the pulled row in N: M / (spacing · screws).
///
/// `spacing` between the rows in mm, `screws` in each row, both over 0.
///
/// # Source
/// Balance of moments about the pressed row.
pub fn screw_load(moment: f64, spacing: f64, screws: f64) -> f64 {
    moment * 1000.0 / (spacing * screws)
}

/// Pressure in MPa under a head of `head` mm over a hole of `hole` mm: P / (pi/4 (head² - hole²)).
///
/// `hole` below `head`.
///
/// # Source
/// Definition.
pub fn head_pressure(tension: f64, head: f64, hole: f64) -> f64 {
    tension / (PI / 4.0 * (head * head - hole * hole))
}

/// Sizes M3 to M8: key, nominal diameter and coarse pitch in mm.
///
/// # Source
/// ISO 261, coarse pitch series; from memory.
pub const SIZES: [(&str, f64, f64); 7] = [
    ("m3", 3.0, 0.5),
    ("m3.5", 3.5, 0.6),
    ("m4", 4.0, 0.7),
    ("m5", 5.0, 0.8),
    ("m6", 6.0, 1.0),
    ("m7", 7.0, 1.0),
    ("m8", 8.0, 1.25),
];

/// Property classes: key and the stress in MPa up to which a screw is proven.
///
/// # Source
/// ISO 898-1, nominal stress under proof load up to M16; A2-70: 0.2 % proof strength by ISO 3506-1; from memory.
pub const GRADES: [(&str, f64); 5] = [
    ("4.8", 310.0),
    ("8.8", 580.0),
    ("10.9", 830.0),
    ("12.9", 970.0),
    ("a2-70", 450.0),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_moment_is_carried_by_one_row() {
        // 12 N·m on two screws 60 mm above their counterparts: 100 N each.
        assert!((screw_load(12.0, 60.0, 2.0) - 100.0).abs() < 1e-12);
    }

    #[test]
    fn the_pressure_is_that_of_a_ring() {
        let ring = PI / 4.0 * (8.5 * 8.5 - 5.5 * 5.5);
        assert!((head_pressure(ring * 40.0, 8.5, 5.5) - 40.0).abs() < 1e-12);
    }

    #[test]
    fn a_screw_of_torque_over_diameter_is_tight() {
        assert!((tension(5.0, 0.2, 5.0) - 5000.0).abs() < 1e-9);
    }
}
