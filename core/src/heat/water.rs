//! Where water boils: the one fixed point in a kitchen beside melting ice.

/// Pressure at sea level in the standard atmosphere, hPa.
///
/// # Source
/// ISO 2533, "Standard atmosphere", p0 = 101 325 Pa.
pub const SEA_LEVEL_HPA: f64 = 1013.25;

/// Pressures for which [`boiling_c`] holds, hPa: the triple point to the critical point.
///
/// # Source
/// IAPWS-IF97, section 8.2, range of validity.
pub const LIMITS_HPA: (f64, f64) = (6.112_13, 220_640.0);

/// Altitudes for which [`standard_hpa`] holds, m.
///
/// # Source
/// ISO 2533: the layer from 0 to 11,000 m; its formula holds a little below sea level too.
pub const LIMITS_M: (f64, f64) = (-2000.0, 11_000.0);

/// Pressure at an altitude, hPa: `1013.25 (1 - 0.0065 H/288.15)^5.25588`.
///
/// Takes geopotential metres within [`LIMITS_M`].
///
/// # Source
/// ISO 2533, the troposphere: 288.15 K, -6.5 K/km, g = 9.80665 m/s², R = 287.05287 J/(kg K); the exponent is
/// g/(0.0065 R).
pub fn standard_hpa(altitude_m: f64) -> f64 {
    const EXPONENT: f64 = 9.806_65 / (0.006_5 * 287.052_87);
    SEA_LEVEL_HPA * libm::pow(1.0 - 0.006_5 * altitude_m / 288.15, EXPONENT)
}

/// Coefficients n1 to n10 of the saturation line.
///
/// # Source
/// IAPWS-IF97, Table 34.
const N: [f64; 10] = [
    1_167.052_145_276_7,
    -724_213.167_032_06,
    -17.073_846_940_092,
    12_020.824_702_47,
    -3_232_555.032_233_3,
    14.915_108_613_53,
    -4_823.265_736_159_1,
    405_113.405_420_57,
    -0.238_555_575_678_49,
    650.175_348_447_98,
];

/// Temperature at which water boils, °C.
///
/// Takes hPa within [`LIMITS_HPA`]; the formula's line is within 1 mK of the reference equation around 1000 hPa.
///
/// # Source
/// IAPWS-IF97, "Release on the Industrial Formulation 1997", equation (31), the backward equation of region 4.
///
/// # Example
/// ```
/// use layshaft_core::heat::water::boiling_c;
/// assert!((boiling_c(1013.25) - 99.974).abs() < 0.001);
/// ```
pub fn boiling_c(pressure_hpa: f64) -> f64 {
    let [n1, n2, n3, n4, n5, n6, n7, n8, n9, n10] = N;
    let beta = libm::sqrt(libm::sqrt(pressure_hpa / 1e4));
    let e = beta * beta + n3 * beta + n6;
    let f = n1 * beta * beta + n4 * beta + n7;
    let g = n2 * beta * beta + n5 * beta + n8;
    let d = 2.0 * g / (-f - libm::sqrt(f * f - 4.0 * e * g));
    let sum = n10 + d;
    (sum - libm::sqrt(sum * sum - 4.0 * (n9 + n10 * d))) / 2.0 - 273.15
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_release_checks_its_own_equation() {
        // IAPWS-IF97, Table 36: 0.1, 1 and 10 MPa; all nine digits.
        for (hpa, kelvin) in [(1e3, 372.755_919), (1e4, 453.035_632), (1e5, 584.149_488)] {
            let found = boiling_c(hpa) + 273.15;
            assert!(libm::fabs(found - kelvin) < 5e-7, "{hpa}: {found}");
        }
    }

    #[test]
    fn the_ends_are_the_triple_and_the_critical_point() {
        assert!(libm::fabs(boiling_c(LIMITS_HPA.0)) < 1e-3);
        assert!(libm::fabs(boiling_c(LIMITS_HPA.1) - 373.946) < 1e-3);
    }

    #[test]
    fn the_standard_atmosphere_at_its_ends() {
        // ISO 2533, Table 1 (from memory): 226.32 hPa at 11,000 m, 1013.25 hPa at 0.
        assert!(libm::fabs(standard_hpa(0.0) - SEA_LEVEL_HPA) < 1e-12);
        assert!(libm::fabs(standard_hpa(11_000.0) - 226.32) < 0.005);
    }
}
