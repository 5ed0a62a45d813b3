//! Belts as strings and springs: tension from the tone of a span, and how far a carriage stretches them.

use core::f64::consts::PI;

/// Tension in N of a span that sounds at `hz`: 4 * mu * L^2 * f^2.
///
/// `mass_g_per_m` of this belt, `span_mm` between the points where it is held; all above 0.
///
/// # Source
/// Ideal string between fixed ends, first mode, f = sqrt(T/mu)/(2L): Kinsler, Frey, Coppens and Sanders, Fundamentals of
/// Acoustics, "Transverse motion: the vibrating string".
pub fn tension_n(mass_g_per_m: f64, span_mm: f64, hz: f64) -> f64 {
    let wave_m_per_s = 2.0 * span_mm / 1000.0 * hz;
    mass_g_per_m / 1000.0 * wave_m_per_s * wave_m_per_s
}

/// Frequency in Hz at which a span under `tension_n` sounds: sqrt(T / mu) / (2 L).
///
/// Units and source as [`tension_n`], of which it is the inverse.
pub fn frequency_hz(mass_g_per_m: f64, span_mm: f64, tension_n: f64) -> f64 {
    libm::sqrt(tension_n / (mass_g_per_m / 1000.0)) / (2.0 * span_mm / 1000.0)
}

/// Stiffness in N/mm that a carriage sees between two lengths of belt: k/left + k/right.
///
/// `stiffness_n` per unit strain; lengths in mm; all above 0. Both spans stay tight.
///
/// # Source
/// Two springs side by side; the belt's maker states the force per strain.
pub fn rate_n_per_mm(stiffness_n: f64, left_mm: f64, right_mm: f64) -> f64 {
    stiffness_n / left_mm + stiffness_n / right_mm
}

/// Frequency in Hz of a mass in kg on a spring in N/mm: sqrt(k / m) / (2 pi).
///
/// # Source
/// Harmonic oscillator.
pub fn resonance_hz(rate_n_per_mm: f64, mass_kg: f64) -> f64 {
    libm::sqrt(1000.0 * rate_n_per_mm / mass_kg) / (2.0 * PI)
}

/// Force in N by which one span loses and the other gains tension at most: F * longer / (left + right).
///
/// `force_n` accelerates the carriage; lengths in mm. The shorter span is stiffer and takes the larger share.
///
/// # Source
/// Two springs side by side share a force by their stiffness: the span of length a takes F * b/(a + b).
pub fn span_change_n(force_n: f64, left_mm: f64, right_mm: f64) -> f64 {
    force_n * libm::fmax(left_mm, right_mm) / (left_mm + right_mm)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn frequency_and_tension_are_inverse() {
        let tension = tension_n(8.4, 150.0, 88.0);
        assert!((frequency_hz(8.4, 150.0, tension) - 88.0).abs() < 1e-12);
    }

    #[test]
    fn shares_of_both_spans_make_the_force() {
        // The stretch of both spans is one: x = F / rate; each span gives stiffness * x / length.
        let (k, left, right, force) = (9000.0, 120.0, 700.0, 5.0);
        let stretch = force / rate_n_per_mm(k, left, right);
        let larger = k * stretch / left;
        assert!((span_change_n(force, left, right) - larger).abs() < 1e-12);
        assert!((larger + k * stretch / right - force).abs() < 1e-12);
    }
}
