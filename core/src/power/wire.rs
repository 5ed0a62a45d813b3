//! Copper conductors by IEC 60228 and by the American wire gauge, and blade fuses.
//!
//! # Source
//! Copper: IEC 60028, "International standard of resistance for copper". Gauge: ASTM B258, "Standard nominal diameters
//! and cross-sectional areas of AWG sizes of solid round wires". Metric conductors: IEC 60228, "Conductors of insulated
//! cables", Table 3. Fuses: ISO 8820-3, "Road vehicles, fuse-links with tabs (blade type)".

use core::f64::consts::PI;

/// Resistivity of annealed copper at 20 °C, ohm mm²/m.
///
/// # Source
/// IEC 60028: 1/58 ohm mm²/m; printed there as 0.017241.
pub const COPPER_OHM_MM2_M: f64 = 0.017_241;

/// Rise of copper's resistance per kelvin, of that at 20 °C.
///
/// # Source
/// IEC 60028: 0.00393 1/K at 20 °C.
pub const COPPER_PER_K: f64 = 0.003_93;

/// The lowest temperature for which the straight line of [`copper_factor`] is used, °C.
///
/// # Source
/// Common practice; the line itself would reach 0 ohm at -234.5 °C.
pub const COLDEST_C: f64 = -200.0;

/// Resistance of copper at a temperature over that at 20 °C: `1 + 0.00393 (t - 20)`.
///
/// Takes °C from [`COLDEST_C`]; above 0 there.
///
/// # Source
/// IEC 60028.
pub fn copper_factor(celsius: f64) -> f64 {
    1.0 + COPPER_PER_K * (celsius - 20.0)
}

/// Resistance of a metre of one copper conductor, ohm/m.
///
/// Takes mm² above 0 and °C from [`COLDEST_C`].
///
/// # Source
/// IEC 60028.
pub fn copper_ohm_per_m(area_mm2: f64, celsius: f64) -> f64 {
    COPPER_OHM_MM2_M * copper_factor(celsius) / area_mm2
}

/// The thickest gauge of the table, 4/0, as a number.
pub const THICKEST_AWG: f64 = -3.0;

/// The thinnest gauge of the table.
pub const THINNEST_AWG: f64 = 56.0;

/// Cross-section of a gauge in mm²: `pi/4 d^2`, `d = 0.127 * 92^((36 - n)/39)` mm, unrounded.
///
/// 0 is 1/0, -1 is 2/0, -2 is 3/0, -3 is 4/0.
///
/// # Source
/// ASTM B258, section on the law of the gauge: 39 equal steps from 0.005 in at 36 to 0.46 in at 4/0.
///
/// # Example
/// ```
/// use layshaft_core::power::wire::awg_area_mm2;
/// assert!((awg_area_mm2(18.0) - 0.823).abs() < 0.001);
/// ```
pub fn awg_area_mm2(gauge: f64) -> f64 {
    let diameter = 0.127 * libm::pow(92.0, (36.0 - gauge) / 39.0);
    PI / 4.0 * diameter * diameter
}

/// The thinnest whole gauge with at least this cross-section.
///
/// Takes mm² not below 0. `None` when even 4/0 is thinner.
///
/// # Source
/// [`awg_area_mm2`], solved for the gauge.
pub fn thinnest_awg(area_mm2: f64) -> Option<f64> {
    if area_mm2 <= 0.0 {
        return Some(THINNEST_AWG);
    }
    let diameter = libm::sqrt(area_mm2 * 4.0 / PI);
    let gauge = 36.0 - 39.0 * libm::log(diameter / 0.127) / libm::log(92.0);
    // A cross-section that is a gauge's own must find that gauge, whatever rounding did.
    let whole = libm::floor(gauge + 1e-9).min(THINNEST_AWG);
    (whole >= THICKEST_AWG).then_some(whole)
}

/// Metric cross-sections in mm² and the most that a metre of a flexible plain copper conductor may have at 20 °C,
/// in milliohm.
///
/// # Source
/// IEC 60228:2004, Table 3, class 5, plain wires (ohm/km).
pub const CLASS_5: [(f64, f64); 22] = [
    (0.5, 39.0),
    (0.75, 26.0),
    (1.0, 19.5),
    (1.5, 13.3),
    (2.5, 7.98),
    (4.0, 4.95),
    (6.0, 3.30),
    (10.0, 1.91),
    (16.0, 1.21),
    (25.0, 0.780),
    (35.0, 0.554),
    (50.0, 0.386),
    (70.0, 0.272),
    (95.0, 0.206),
    (120.0, 0.161),
    (150.0, 0.129),
    (185.0, 0.106),
    (240.0, 0.0801),
    (300.0, 0.0641),
    (400.0, 0.0486),
    (500.0, 0.0384),
    (630.0, 0.0287),
];

/// What two cross-sections may differ and still be the same size, relative.
const SAME: f64 = 1e-9;

/// The most that a metre of a class 5 conductor of this size may have at a temperature, ohm/m.
///
/// Takes mm² and °C. `None` for a cross-section that is no size of the table.
///
/// # Source
/// [`CLASS_5`] at 20 °C, and copper's rise with temperature by IEC 60028.
pub fn class_5_ohm_per_m(area_mm2: f64, celsius: f64) -> Option<f64> {
    CLASS_5
        .iter()
        .find(|(size, _)| libm::fabs(area_mm2 - size) <= SAME * size)
        .map(|(_, milliohm)| milliohm / 1000.0 * copper_factor(celsius))
}

/// The smallest metric size with at least this cross-section, mm².
///
/// `None` beyond 630 mm².
///
/// # Source
/// [`CLASS_5`].
pub fn smallest_size_mm2(area_mm2: f64) -> Option<f64> {
    CLASS_5
        .iter()
        .map(|(size, _)| *size)
        .find(|size| *size >= area_mm2 * (1.0 - SAME))
}

/// The cross-section at which two conductors lose no more than a voltage, mm²: `2 l rho(t) I/U`.
///
/// Takes A, m one way, °C, and the voltage that may be lost, V above 0.
///
/// # Source
/// Ohm's law, out and back.
pub fn area_for_drop_mm2(amps: f64, length_m: f64, celsius: f64, volts_lost: f64) -> f64 {
    2.0 * length_m * COPPER_OHM_MM2_M * copper_factor(celsius) * amps / volts_lost
}

/// Rated currents of blade fuses from 2 to 30 A.
///
/// # Source
/// ISO 8820-3, fuse-links of medium size (type C); from memory.
pub const BLADES_A: [f64; 10] = [2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0];

/// The highest rated voltage of a blade fuse, V.
///
/// # Source
/// ISO 8820-3, rated voltage; from memory.
pub const BLADE_MOST_V: f64 = 58.0;

/// The next blade fuse at or over 125 % of a current, A.
///
/// Takes A not below 0. `None` beyond the largest.
///
/// # Source
/// Ratings by ISO 8820-3; a continuous load at no more than 80 % of the fuse: common practice.
pub fn blade_fuse_a(amps: f64) -> Option<f64> {
    BLADES_A
        .iter()
        .copied()
        .find(|blade| *blade >= 1.25 * amps * (1.0 - SAME))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: f64, b: f64) -> bool {
        libm::fabs(a - b) <= 1e-12 * libm::fabs(b)
    }

    #[test]
    fn the_gauge_passes_through_the_two_diameters_that_define_it() {
        // ASTM B258: 36 is 0.005 in, 4/0 is 0.46 in.
        assert!(close(awg_area_mm2(36.0), PI / 4.0 * 0.127 * 0.127));
        assert!(close(awg_area_mm2(-3.0), PI / 4.0 * 11.684 * 11.684));
    }

    #[test]
    fn a_gauge_of_its_own_cross_section_is_found_again() {
        let mut gauge = THICKEST_AWG;
        while gauge <= THINNEST_AWG {
            let area = awg_area_mm2(gauge);
            assert_eq!(thinnest_awg(area), Some(gauge));
            // A little more takes the next thicker one.
            let thicker = (gauge > THICKEST_AWG).then_some(gauge - 1.0);
            assert_eq!(thinnest_awg(area * 1.000_01), thicker);
            gauge += 1.0;
        }
        assert_eq!(thinnest_awg(0.0), Some(THINNEST_AWG));
        assert_eq!(thinnest_awg(1e-9), Some(THINNEST_AWG));
    }

    #[test]
    fn sizes_rise_and_their_resistance_falls() {
        for pair in CLASS_5.windows(2) {
            let [(small, more), (large, less)] = pair else {
                continue;
            };
            assert!(small < large && more > less);
            // No class 5 conductor is better than its nominal copper, none over 20 % worse.
            let nominal = 1000.0 * copper_ohm_per_m(*small, 20.0);
            assert!((1.0..1.2).contains(&(more / nominal)), "{small}");
        }
    }

    #[test]
    fn a_size_is_kept_and_a_little_more_takes_the_next() {
        assert_eq!(smallest_size_mm2(0.75), Some(0.75));
        assert_eq!(smallest_size_mm2(0.750_001), Some(1.0));
        assert_eq!(smallest_size_mm2(0.0), Some(0.5));
        assert_eq!(smallest_size_mm2(631.0), None);
        assert_eq!(class_5_ohm_per_m(0.75, 20.0), Some(0.026));
        assert_eq!(class_5_ohm_per_m(0.8, 20.0), None);
    }

    #[test]
    fn copper_at_20_and_at_its_limit() {
        assert!(close(copper_ohm_per_m(1.0, 20.0), 0.017_241));
        assert!(close(copper_ohm_per_m(2.0, 70.0), 0.017_241 / 2.0 * 1.1965));
        assert!(copper_factor(COLDEST_C) > 0.0);
    }

    #[test]
    fn the_area_for_a_drop_loses_just_that() {
        let area = area_for_drop_mm2(10.0, 1.5, 60.0, 0.72);
        let lost = 10.0 * 2.0 * 1.5 * copper_ohm_per_m(area, 60.0);
        assert!(close(lost, 0.72));
    }

    #[test]
    fn a_fuse_at_125_percent_is_kept_and_over_it_the_next_is_taken() {
        assert_eq!(blade_fuse_a(8.0), Some(10.0));
        assert_eq!(blade_fuse_a(8.01), Some(15.0));
        assert_eq!(blade_fuse_a(0.0), Some(2.0));
        assert_eq!(blade_fuse_a(24.0), Some(30.0));
        assert_eq!(blade_fuse_a(24.1), None);
    }
}
