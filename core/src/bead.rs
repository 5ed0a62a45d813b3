//! The bead of filament that a nozzle lays.

use core::f64::consts::PI;

/// Cross-section of a bead in mm²: a rectangle with round ends, (w - h) h + pi h² / 4.
///
/// `width` and `layer` in mm, `layer` not over `width`.
///
/// # Source
/// Definition; the rounded shape is common practice.
pub fn area(width: f64, layer: f64) -> f64 {
    (width - layer) * layer + PI / 4.0 * layer * layer
}

/// Speed in mm/s of filament of `diameter` mm that brings `volume_rate` mm³/s.
///
/// # Source
/// Conservation of volume.
pub fn feed(volume_rate: f64, diameter: f64) -> f64 {
    volume_rate / (PI / 4.0 * diameter * diameter)
}

/// Mass rate in g/h of `volume_rate` mm³/s at `density` g/cm³.
///
/// # Source
/// Definition.
pub fn grams_per_hour(volume_rate: f64, density: f64) -> f64 {
    volume_rate * density * 3.6
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bead_as_high_as_wide_is_round() {
        assert!((area(0.4, 0.4) - PI * 0.04).abs() < 1e-15);
        assert!((area(0.5, 0.2) - (0.06 + PI * 0.01)).abs() < 1e-15);
    }

    #[test]
    fn what_goes_in_comes_out() {
        // 2.405 mm² of filament at 2 mm/s.
        let rate = PI / 4.0 * 1.75 * 1.75 * 2.0;
        assert!((feed(rate, 1.75) - 2.0).abs() < 1e-12);
        // 10 mm³/s of 1.25 g/cm³: 12.5 mg/s.
        assert!((grams_per_hour(10.0, 1.25) - 45.0).abs() < 1e-12);
    }
}
