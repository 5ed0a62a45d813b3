//! Units held to references outside the project.

use layshaft_core::entry::number::read_number;
use layshaft_core::entry::unit::{
    CELSIUS, CM4, DEG, G, G_CM2, G_CM3, HPA, KELVIN, MM, MM_S, MM_S2, MM2, MM3_S, MPA, Measure, N,
    N_M, N_MM, N_PER_M, PER_DEG, PER_MM, REV_MIN, TEMP_DIFF, W_CM2,
};

fn value(text: &str, measure: Measure) -> f64 {
    read_number(text, measure)
        .unwrap_or_else(|cause| panic!("{text}: {cause:?}"))
        .value
}

/// One of each unit in the unit of the measure, by the Python package Pint 0.25.3 (its default registry) worked with 40
/// decimal digits and rounded once to a float.
const PINT: &[(Measure, &str, f64)] = &[
    (MM, "in", 25.4),
    (MM, "ft", 304.8),
    (MM, "thou", 0.0254),
    (DEG, "arcmin", 0.016_666_666_666_666_666),
    (DEG, "rad", 57.295_779_513_082_32),
    (MM_S, "in/min", 0.423_333_333_333_333_34),
    (MM_S, "m/min", 16.666_666_666_666_668),
    (MM_S2, "g", 9806.65),
    (N, "kgf", 9.806_65),
    (N, "lbf", 4.448_221_615_260_5),
    (G, "lb", 453.592_37),
    (G, "oz", 28.349_523_125),
    (N_M, "ozf.in", 0.007_061_551_814_226_043_5),
    (N_M, "lbf.in", 0.112_984_829_027_616_7),
    (N_M, "lbf.ft", 1.355_817_948_331_400_3),
    (N_M, "kgf.cm", 0.098_066_5),
    (G_CM2, "oz.in2", 182.899_783_393_25),
    (G_CM2, "kg.m2", 10_000_000.0),
    (TEMP_DIFF, "F", 0.555_555_555_555_555_6),
    (REV_MIN, "rad/s", 9.549_296_585_513_72),
    (REV_MIN, "deg/s", 0.166_666_666_666_666_66),
    (MPA, "psi", 0.006_894_757_293_168_362),
    (MPA, "bar", 0.1),
    (HPA, "mmHg", 1.333_223_874_15),
    (HPA, "inHg", 33.863_886_403_41),
    (N_MM, "lbf/in", 0.175_126_835_246_476_38),
    (MM2, "in2", 645.16),
    (CM4, "in4", 41.623_142_56),
    (W_CM2, "W/in2", 0.155_000_310_000_62),
    (MM3_S, "ml/min", 16.666_666_666_666_668),
    (PER_MM, "1/in", 0.039_370_078_740_157_48),
    (PER_DEG, "1/rad", 0.017_453_292_519_943_295),
    (G_CM3, "kg/l", 1.0),
];

#[test]
fn factors_agree_with_pint_to_the_last_bit() {
    for (measure, unit, expected) in PINT {
        let read = value(&format!("1 {unit}"), *measure);
        assert_eq!(
            read.to_bits(),
            expected.to_bits(),
            "1 {unit} is {read}, not {expected}"
        );
    }
}

/// NIST Special Publication 811 (2008), Appendix B.8: factors to seven digits, as printed there; digits from memory.
const NIST: &[(Measure, &str, f64)] = &[
    (N, "kgf", 9.806_650),
    (N, "lbf", 4.448_222),
    (N, "ozf", 2.780_139e-1),
    (N_M, "kgf.m", 9.806_650),
    (N_M, "ozf.in", 7.061_552e-3),
    (N_M, "lbf.in", 1.129_848e-1),
    (N_M, "lbf.ft", 1.355_818),
    (G, "lb", 453.592_4),
    (G, "oz", 28.349_52),
    (HPA, "psi", 68.947_57),
    (HPA, "inHg", 33.863_89),
    (HPA, "mmHg", 1.333_224),
    (N_PER_M, "lbf/in", 175.126_8),
];

#[test]
fn factors_agree_with_the_seven_digits_of_nist() {
    for (measure, unit, expected) in NIST {
        let read = value(&format!("1 {unit}"), *measure);
        // Half a unit of the seventh digit, which is 5e-7 of a number that begins with 1.
        assert!(
            (read / expected - 1.0).abs() <= 5e-7,
            "1 {unit} is {read}, not {expected}"
        );
    }
}

#[test]
fn temperatures_by_definition() {
    // NIST SP 811, Appendix B.8: t/°C = (t/°F - 32)/1.8 and T/K = t/°C + 273.15, exact. Fixed points: water freezes at
    // 32 °F and boils at 212 °F by the scale's definition; both scales meet at -40; absolute zero is -459.67 °F.
    for (text, celsius) in [
        ("32 °F", 0.0),
        ("212 °F", 100.0),
        ("-40 °F", -40.0),
        ("-459.67 °F", -273.15),
        ("0 K", -273.15),
        ("273.16 K", 0.01),
    ] {
        assert_eq!(
            value(text, CELSIUS).to_bits(),
            f64::to_bits(celsius),
            "{text}"
        );
    }
    assert_eq!(value("0 °C", KELVIN).to_bits(), 273.15f64.to_bits());
}
