//! Sensor curves against makers' tables, IEC 60751 and ITS-90.
//!
//! # Sources
//! - Thermistor tables: `drivers/hwmon/ntc_thermistor.c` of Linux 6.12 (Debian package linux-source-6.12), whose
//!   comments name them as from the makers' data sheets (Murata; EPCOS).
//! - Their least-squares and three-point coefficients: computed once with mpmath 1.4.1 (PyPI) by the normal equations
//!   in 60 digits.
//! - Platinum: table of IEC 60751, two decimals; all digits from the PyPI package rtd-sensor 0.8.0.
//! - Type K: `type_k.tab` of NIST Standard Reference Database 60, as in the source archive of the PyPI package
//!   thermocouple-its90 1.0.2; all digits from that package, and the same from thermocouples_reference 0.20 (PyPI).

use layshaft_core::sensor::divider::Divider;
use layshaft_core::sensor::fit;
use layshaft_core::sensor::ntc::{Beta, Steinhart, beta_between_k};
use layshaft_core::sensor::platinum::Platinum;
use layshaft_core::sensor::thermocouple;

/// A table and what was computed of it outside this project.
struct Reference {
    name: &'static str,
    rows: &'static [(f64, f64)],
    /// a, b, c by least squares of 1/T over all rows.
    all: (f64, f64, f64),
    /// Largest error of that curve, K.
    all_error_k: f64,
    /// a, b, c through the rows at 0, 25 and 85 °C.
    three: (f64, f64, f64),
    /// B25/85 of the table.
    beta_25_85: f64,
    /// Largest error of the curve of R25 and B25/85 over all rows, K.
    beta_error_k: f64,
}

const REFERENCES: [Reference; 4] = [
    Reference {
        name: "WB473",
        rows: &WB473,
        all: (
            8.804_266_128_640_073e-4,
            2.205_351_050_156_427_2e-4,
            8.118_189_457_372_328e-8,
        ),
        all_error_k: 0.273_245_128_478,
        three: (
            8.856_157_796_475_345e-4,
            2.194_745_143_264_182_5e-4,
            8.619_422_306_306_404e-8,
        ),
        beta_25_85: 4_107.799_424_145_3,
        beta_error_k: 3.016_465_025_21,
    },
    Reference {
        name: "WF104",
        rows: &WF104,
        all: (
            8.387_013_431_920_374e-4,
            2.090_619_570_098_055_2e-4,
            7.103_878_763_335_805e-8,
        ),
        all_error_k: 0.195_720_545_493,
        three: (
            8.447_745_413_460_885e-4,
            2.080_220_012_226_606_8e-4,
            7.490_132_912_845_951e-8,
        ),
        beta_25_85: 4_310.730_274_935_48,
        beta_error_k: 3.160_643_447_21,
    },
    Reference {
        name: "XH103",
        rows: &XH103,
        all: (
            8.574_782_110_509_281e-4,
            2.568_106_286_612_057e-4,
            1.688_597_558_018_585e-7,
        ),
        all_error_k: 0.157_788_124_01,
        three: (
            8.893_719_408_750_623e-4,
            2.509_260_132_029_843e-4,
            1.965_022_988_925_919_8e-7,
        ),
        beta_25_85: 3_434.199_549_283_82,
        beta_error_k: 3.820_223_972_62,
    },
    Reference {
        name: "B57891",
        rows: &B57891,
        all: (
            1.127_282_129_050_003e-3,
            2.326_505_673_288_41e-4,
            1.061_816_630_757_848_8e-7,
        ),
        all_error_k: 0.361_465_594_68,
        three: (
            1.117_402_874_605_036_8e-3,
            2.340_768_042_072_761e-4,
            1.032_699_449_432_048_9e-7,
        ),
        beta_25_85: 3_928.302_705_897_93,
        beta_error_k: 4.395_569_613_82,
    },
];

/// Murata NCPxxWB473, 47 kohm: table `ncpXXwb473`.
#[rustfmt::skip] // One table row a line would be a page a table.
const WB473: [(f64, f64); 34] = [
    (-40.0, 1_747_920.0), (-35.0, 1_245_428.0), (-30.0, 898_485.0), (-25.0, 655_802.0),
    (-20.0, 483_954.0), (-15.0, 360_850.0), (-10.0, 271_697.0), (-5.0, 206_463.0), (0.0, 158_214.0),
    (5.0, 122_259.0), (10.0, 95_227.0), (15.0, 74_730.0), (20.0, 59_065.0), (25.0, 47_000.0),
    (30.0, 37_643.0), (35.0, 30_334.0), (40.0, 24_591.0), (45.0, 20_048.0), (50.0, 16_433.0),
    (55.0, 13_539.0), (60.0, 11_209.0), (65.0, 9_328.0), (70.0, 7_798.0), (75.0, 6_544.0),
    (80.0, 5_518.0), (85.0, 4_674.0), (90.0, 3_972.0), (95.0, 3_388.0), (100.0, 2_902.0),
    (105.0, 2_494.0), (110.0, 2_150.0), (115.0, 1_860.0), (120.0, 1_615.0), (125.0, 1_406.0),
];

/// Murata NCPxxWF104, 100 kohm: table `ncpXXwf104`.
#[rustfmt::skip] // One table row a line would be a page a table.
const WF104: [(f64, f64); 34] = [
    (-40.0, 4_397_119.0), (-35.0, 3_088_599.0), (-30.0, 2_197_225.0), (-25.0, 1_581_881.0),
    (-20.0, 1_151_037.0), (-15.0, 846_579.0), (-10.0, 628_988.0), (-5.0, 471_632.0),
    (0.0, 357_012.0), (5.0, 272_500.0), (10.0, 209_710.0), (15.0, 162_651.0), (20.0, 127_080.0),
    (25.0, 100_000.0), (30.0, 79_222.0), (35.0, 63_167.0), (40.0, 50_677.0), (45.0, 40_904.0),
    (50.0, 33_195.0), (55.0, 27_091.0), (60.0, 22_224.0), (65.0, 18_323.0), (70.0, 15_184.0),
    (75.0, 12_635.0), (80.0, 10_566.0), (85.0, 8_873.0), (90.0, 7_481.0), (95.0, 6_337.0),
    (100.0, 5_384.0), (105.0, 4_594.0), (110.0, 3_934.0), (115.0, 3_380.0), (120.0, 2_916.0),
    (125.0, 2_522.0),
];

/// Murata NCPxxXH103, 10 kohm: table `ncpXXxh103`.
#[rustfmt::skip] // One table row a line would be a page a table.
const XH103: [(f64, f64); 34] = [
    (-40.0, 195_652.0), (-35.0, 148_171.0), (-30.0, 113_347.0), (-25.0, 87_559.0),
    (-20.0, 68_237.0), (-15.0, 53_650.0), (-10.0, 42_506.0), (-5.0, 33_892.0), (0.0, 27_219.0),
    (5.0, 22_021.0), (10.0, 17_926.0), (15.0, 14_674.0), (20.0, 12_081.0), (25.0, 10_000.0),
    (30.0, 8_315.0), (35.0, 6_948.0), (40.0, 5_834.0), (45.0, 4_917.0), (50.0, 4_161.0),
    (55.0, 3_535.0), (60.0, 3_014.0), (65.0, 2_586.0), (70.0, 2_228.0), (75.0, 1_925.0),
    (80.0, 1_669.0), (85.0, 1_452.0), (90.0, 1_268.0), (95.0, 1_110.0), (100.0, 974.0),
    (105.0, 858.0), (110.0, 758.0), (115.0, 672.0), (120.0, 596.0), (125.0, 531.0),
];

/// EPCOS B57891S0103, 10 kohm: table `b57891s0103`.
#[rustfmt::skip] // One table row a line would be a page a table.
const B57891: [(f64, f64); 43] = [
    (-55.0, 878_900.0), (-50.0, 617_590.0), (-45.0, 439_340.0), (-40.0, 316_180.0),
    (-35.0, 230_060.0), (-30.0, 169_150.0), (-25.0, 125_550.0), (-20.0, 94_143.0),
    (-15.0, 71_172.0), (-10.0, 54_308.0), (-5.0, 41_505.0), (0.0, 32_014.0), (5.0, 25_011.0),
    (10.0, 19_691.0), (15.0, 15_618.0), (20.0, 12_474.0), (25.0, 10_000.0), (30.0, 8_080.0),
    (35.0, 6_569.0), (40.0, 5_372.0), (45.0, 4_424.0), (50.0, 3_661.0), (55.0, 3_039.0),
    (60.0, 2_536.0), (65.0, 2_128.0), (70.0, 1_794.0), (75.0, 1_518.0), (80.0, 1_290.0),
    (85.0, 1_100.0), (90.0, 942.0), (95.0, 809.0), (100.0, 697.0), (105.0, 604.0), (110.0, 525.0),
    (115.0, 457.0), (120.0, 400.0), (125.0, 351.0), (130.0, 308.0), (135.0, 272.0), (140.0, 240.0),
    (145.0, 213.0), (150.0, 189.0), (155.0, 168.0),
];

/// IEC 60751, Pt100, °C and ohm as printed, two decimals.
#[rustfmt::skip] // As above.
const PT100_TABLE: [(f64, f64); 10] = [
    (-200.0, 18.52), (-100.0, 60.26), (-50.0, 80.31), (0.0, 100.0), (50.0, 119.40), (100.0, 138.51), (200.0, 175.86),
    (400.0, 247.09), (600.0, 313.71), (850.0, 390.48),
];

/// rtd-sensor 0.8.0, `pt100.celsius_to_resistance` and `resistance_sensitivity_ohms_per_celsius`: °C, ohm, ohm/K.
const PT100_FULL: [(f64, f64, f64); 13] = [
    (-200.0, 18.520_079_999_999_997, 0.432_335_2),
    (-150.0, 39.723_184_374_999_995, 0.416_625_574_999_999_9),
    (-100.0, 60.255_840_000_000_006, 0.405_308_1),
    (-50.0, 80.306_281_875_000_01, 0.397_127_874_999_999_96),
    (-10.0, 96.085_878_987, 0.391_999_222_2),
    (-0.5, 99.804_570_557_245_11, 0.390_887_781_581_649_94),
    (0.5, 100.195_400_562_5, 0.390_772_250_000_000_04),
    (25.0, 109.734_656_25, 0.387_942_5),
    (100.0, 138.505_499_999_999_98, 0.379_28),
    (200.0, 175.856_000_000_000_02, 0.367_73),
    (400.0, 247.092, 0.344_630_000_000_000_05),
    (600.0, 313.708, 0.321_53),
    (850.0, 390.481_124_999_999_96, 0.292_655),
];

/// NIST SRD 60, `type_k.tab`, every 10 °C: °C, mV as printed, three decimals.
#[rustfmt::skip] // As above.
const TYPE_K_TABLE: [(f64, f64); 165] = [
    (-270.0, -6.458), (-260.0, -6.441), (-250.0, -6.404), (-240.0, -6.344), (-230.0, -6.262),
    (-220.0, -6.158), (-210.0, -6.035), (-200.0, -5.891), (-190.0, -5.730), (-180.0, -5.550),
    (-170.0, -5.354), (-160.0, -5.141), (-150.0, -4.913), (-140.0, -4.669), (-130.0, -4.411),
    (-120.0, -4.138), (-110.0, -3.852), (-100.0, -3.554), (-90.0, -3.243), (-80.0, -2.920),
    (-70.0, -2.587), (-60.0, -2.243), (-50.0, -1.889), (-40.0, -1.527), (-30.0, -1.156),
    (-20.0, -0.778), (-10.0, -0.392), (0.0, 0.000), (10.0, 0.397), (20.0, 0.798), (30.0, 1.203),
    (40.0, 1.612), (50.0, 2.023), (60.0, 2.436), (70.0, 2.851), (80.0, 3.267), (90.0, 3.682),
    (100.0, 4.096), (110.0, 4.509), (120.0, 4.920), (130.0, 5.328), (140.0, 5.735), (150.0, 6.138),
    (160.0, 6.540), (170.0, 6.941), (180.0, 7.340), (190.0, 7.739), (200.0, 8.138), (210.0, 8.539),
    (220.0, 8.940), (230.0, 9.343), (240.0, 9.747), (250.0, 10.153), (260.0, 10.561),
    (270.0, 10.971), (280.0, 11.382), (290.0, 11.795), (300.0, 12.209), (310.0, 12.624),
    (320.0, 13.040), (330.0, 13.457), (340.0, 13.874), (350.0, 14.293), (360.0, 14.713),
    (370.0, 15.133), (380.0, 15.554), (390.0, 15.975), (400.0, 16.397), (410.0, 16.820),
    (420.0, 17.243), (430.0, 17.667), (440.0, 18.091), (450.0, 18.516), (460.0, 18.941),
    (470.0, 19.366), (480.0, 19.792), (490.0, 20.218), (500.0, 20.644), (510.0, 21.071),
    (520.0, 21.497), (530.0, 21.924), (540.0, 22.350), (550.0, 22.776), (560.0, 23.203),
    (570.0, 23.629), (580.0, 24.055), (590.0, 24.480), (600.0, 24.905), (610.0, 25.330),
    (620.0, 25.755), (630.0, 26.179), (640.0, 26.602), (650.0, 27.025), (660.0, 27.447),
    (670.0, 27.869), (680.0, 28.289), (690.0, 28.710), (700.0, 29.129), (710.0, 29.548),
    (720.0, 29.965), (730.0, 30.382), (740.0, 30.798), (750.0, 31.213), (760.0, 31.628),
    (770.0, 32.041), (780.0, 32.453), (790.0, 32.865), (800.0, 33.275), (810.0, 33.685),
    (820.0, 34.093), (830.0, 34.501), (840.0, 34.908), (850.0, 35.313), (860.0, 35.718),
    (870.0, 36.121), (880.0, 36.524), (890.0, 36.925), (900.0, 37.326), (910.0, 37.725),
    (920.0, 38.124), (930.0, 38.522), (940.0, 38.918), (950.0, 39.314), (960.0, 39.708),
    (970.0, 40.101), (980.0, 40.494), (990.0, 40.885), (1000.0, 41.276), (1010.0, 41.665),
    (1020.0, 42.053), (1030.0, 42.440), (1040.0, 42.826), (1050.0, 43.211), (1060.0, 43.595),
    (1070.0, 43.978), (1080.0, 44.359), (1090.0, 44.740), (1100.0, 45.119), (1110.0, 45.497),
    (1120.0, 45.873), (1130.0, 46.249), (1140.0, 46.623), (1150.0, 46.995), (1160.0, 47.367),
    (1170.0, 47.737), (1180.0, 48.105), (1190.0, 48.473), (1200.0, 48.838), (1210.0, 49.202),
    (1220.0, 49.565), (1230.0, 49.926), (1240.0, 50.286), (1250.0, 50.644), (1260.0, 51.000),
    (1270.0, 51.355), (1280.0, 51.708), (1290.0, 52.060), (1300.0, 52.410), (1310.0, 52.759),
    (1320.0, 53.106), (1330.0, 53.451), (1340.0, 53.795), (1350.0, 54.138), (1360.0, 54.479),
    (1370.0, 54.819),
];

/// thermocouple-its90 1.0.2, `TypeK.emf` and `TypeK.seebeck`: °C, mV, mV/K.
const TYPE_K_FULL: [(f64, f64, f64); 20] = [
    (-270.0, -6.457_737_952_738_358, 7.349_425_801_892_254e-4),
    (-250.0, -6.403_606_395_114_634, 4.855_159_239_325_966_5e-3),
    (-200.0, -5.891_403_592_350_401, 0.015_258_551_349_000_15),
    (-150.0, -4.912_708_016_482_671, 0.023_622_300_766_072_177),
    (-100.0, -3.553_631_336_580_600_5, 0.030_493_849_073_340_008),
    (-50.0, -1.889_383_330_014_719_4, 0.035_804_114_128_920_35),
    (-1.0, -0.039_426_181_985_878_99, 0.039_401_917_138_409_64),
    (1.0, 0.039_474_471_147_125_92, 0.039_498_727_991_624_96),
    (25.0, 1.000_242_354_567_562_5, 0.040_517_722_826_147_57),
    (100.0, 4.096_230_218_723_254, 0.041_368_572_838_871_75),
    (127.0, 5.206_093_002_200_531, 0.040_803_501_829_685_236),
    (200.0, 8.138_473_326_486_949, 0.039_965_411_273_463_73),
    (250.0, 10.153_368_757_636_802, 0.040_709_509_521_915_41),
    (300.0, 12.208_565_529_996_957, 0.041_445_717_969_444_49),
    (400.0, 16.397_141_850_276_26, 0.042_240_544_350_928_83),
    (500.0, 20.644_286_390_043_515, 0.042_628_331_252_244_654),
    (700.0, 29.128_973_851_335_047, 0.041_898_006_200_940_315),
    (1_000.0, 41.275_606_456_313_95, 0.038_981_379_797_999_524),
    (1_200.0, 48.838_237_932_820_19, 0.036_493_716_357_983_71),
    (1_372.0, 54.886_364_025_304_395, 0.033_884_871_292_535_75),
];

fn assert_near(found: f64, wanted: f64, tolerance: f64, of: &str) {
    assert!(
        (found - wanted).abs() <= tolerance,
        "{of}: {found} is not {wanted} within {tolerance}"
    );
}

fn row(table: &[(f64, f64)], celsius: f64) -> (f64, f64) {
    *table
        .iter()
        .find(|(at, _)| (at - celsius).abs() < 1e-9)
        .expect("a row")
}

fn curve_of((a, b, c): (f64, f64, f64)) -> Steinhart {
    Steinhart { a, b, c }
}

fn assert_same_coefficients(found: Steinhart, wanted: (f64, f64, f64), relative: f64, of: &str) {
    for (found, wanted) in [
        (found.a, wanted.0),
        (found.b, wanted.1),
        (found.c, wanted.2),
    ] {
        assert_near(found, wanted, relative * wanted.abs(), of);
    }
}

#[test]
fn least_squares_of_makers_tables_has_the_coefficients_of_60_digits() {
    for table in &REFERENCES {
        let fit = fit::steinhart(table.rows).expect(table.name);
        // 1/T has a relative rounding of 1e-16; c takes it 1e3 times larger over this span of ln R.
        assert_same_coefficients(fit.curve, table.all, 1e-12, table.name);
        assert_near(fit.largest_error_k, table.all_error_k, 1e-8, table.name);
        assert!(fit.falls, "{}", table.name);
        for &(celsius, ohm) in table.rows {
            let found = fit.curve.temperature_c(ohm).expect(table.name);
            assert_near(found, celsius, table.all_error_k + 1e-8, table.name);
        }
    }
}

#[test]
fn three_points_of_makers_tables_have_the_coefficients_of_60_digits_and_meet_their_points() {
    for table in &REFERENCES {
        let points = [0.0, 25.0, 85.0].map(|celsius| row(table.rows, celsius));
        let fit = fit::steinhart(&points).expect(table.name);
        assert_same_coefficients(fit.curve, table.three, 1e-12, table.name);
        for (celsius, ohm) in points {
            assert_near(
                fit.curve.temperature_c(ohm).expect(table.name),
                celsius,
                1e-10,
                table.name,
            );
        }
    }
}

#[test]
fn points_close_together_keep_their_digits() {
    // Three readings within 0.2 K: coefficients and the temperature of 10034.955 ohm by mpmath 1.4.1, 60 digits.
    let narrow =
        fit::steinhart(&[(24.9, 10_045.0), (25.0, 10_000.0), (25.1, 9956.0)]).expect("a curve");
    let wanted = (
        -0.026_852_361_977_022_81,
        4.793_000_308_113_996_5e-3,
        -1.784_012_549_559_79e-5,
    );
    // c is a second difference over steps of 0.004 in ln R, which magnifies the rounding of 1/T by 1/0.004^2.
    assert_same_coefficients(narrow.curve, wanted, 1e-6, "narrow");
    assert_near(
        narrow
            .curve
            .temperature_c(10_045.0 * 0.999)
            .expect("celsius"),
        24.922_124_575_683_467,
        1e-9,
        "narrow",
    );

    // Two close, one far, and c below 0: as above.
    let lopsided =
        fit::steinhart(&[(20.0, 100_000.0), (20.5, 97_600.5), (250.0, 220.0)]).expect("a curve");
    let wanted = (
        5.536_270_475_349_149e-4,
        2.527_520_020_184_581e-4,
        -3.428_491_338_503_992e-8,
    );
    assert_same_coefficients(lopsided.curve, wanted, 1e-10, "lopsided");
    assert!(lopsided.falls);

    // Contradicting readings are averaged: as above.
    let rows = [
        (200.0, 500.0),
        (200.0, 510.0),
        (25.0, 100_000.0),
        (25.0, 99_000.0),
        (100.0, 6000.0),
    ];
    let averaged = fit::steinhart(&rows).expect("a curve");
    let wanted = (
        7.540_354_730_141_658e-4,
        2.152_943_058_995_021e-4,
        8.031_092_654_626_607e-8,
    );
    assert_same_coefficients(averaged.curve, wanted, 1e-11, "averaged");
    assert_near(
        averaged.largest_error_k,
        0.499_766_536_466,
        1e-9,
        "averaged",
    );
}

#[test]
fn beta_between_25_and_85_is_the_tables_and_the_makers() {
    for table in &REFERENCES {
        let (at_25, at_85) = (row(table.rows, 25.0), row(table.rows, 85.0));
        let beta = beta_between_k(at_25, at_85).expect(table.name);
        assert_near(beta, table.beta_25_85, 1e-9 * beta, table.name);
        let sensor = Beta { r25: at_25.1, beta };
        assert_near(
            sensor.temperature_c(at_25.1).expect("celsius"),
            25.0,
            1e-10,
            table.name,
        );
        assert_near(
            sensor.temperature_c(at_85.1).expect("celsius"),
            85.0,
            1e-10,
            table.name,
        );
        let errors = table
            .rows
            .iter()
            .map(|&(celsius, ohm)| (sensor.temperature_c(ohm).expect(table.name) - celsius).abs());
        assert_near(
            errors.fold(0.0, f64::max),
            table.beta_error_k,
            1e-8,
            table.name,
        );
    }
    // B25/85 printed on Murata's data sheets for these parts (NCP15WB473, NCP15WF104, NCP15XH103), from memory; the
    // tables' whole ohms at 85 °C leave 0.4 K.
    for (table, printed) in [
        (&WB473[..], 4108.0),
        (&WF104[..], 4311.0),
        (&XH103[..], 3434.0),
    ] {
        let beta = beta_between_k(row(table, 25.0), row(table, 85.0)).expect("beta");
        assert_near(beta, printed, 0.9, "printed beta");
    }
}

#[test]
fn platinum_has_the_table_of_iec_60751() {
    let sensor = Platinum { r0: 100.0 };
    for (celsius, ohm) in PT100_TABLE {
        let found = sensor.resistance_ohm(celsius).expect("ohm");
        // Half of the last place printed, and the rounding of 138.5055 kept apart from it.
        assert_near(found, ohm, 0.005 + 1e-9, "table");
        let slope = sensor.slope_ohm_per_k(celsius).expect("slope");
        assert_near(
            sensor.temperature_c(ohm).expect("celsius"),
            celsius,
            0.005_01 / slope,
            "table",
        );
    }
}

#[test]
fn platinum_has_all_digits_of_another_library() {
    for r0 in [100.0, 1000.0] {
        let sensor = Platinum { r0 };
        for (celsius, ohm, slope) in PT100_FULL {
            let scale = r0 / 100.0;
            assert_near(
                sensor.resistance_ohm(celsius).expect("ohm"),
                ohm * scale,
                1e-12 * r0,
                "ohm",
            );
            assert_near(
                sensor.slope_ohm_per_k(celsius).expect("slope"),
                slope * scale,
                1e-14 * r0,
                "slope",
            );
            assert_near(
                sensor.temperature_c(ohm * scale).expect("celsius"),
                celsius,
                1e-10,
                "celsius",
            );
        }
    }
}

#[test]
fn platinum_turns_back_over_all_of_both_ranges() {
    let sensor = Platinum { r0: 100.0 };
    for step in 0..=10_500 {
        let celsius = f64::from(step) / 10.0 - 200.0;
        let back = sensor
            .temperature_c(sensor.resistance_ohm(celsius).expect("ohm"))
            .expect("celsius");
        assert_near(back, celsius, 1e-10, "round trip");
    }
}

#[test]
fn type_k_has_the_table_of_nist() {
    for (celsius, printed) in TYPE_K_TABLE {
        assert_near(
            thermocouple::millivolts(celsius).expect("mV"),
            printed,
            0.000_5 + 1e-12,
            "table",
        );
        // -6.458 mV at the cold end is rounded beyond the range.
        if celsius > thermocouple::LIMITS_C.0 {
            let slope = thermocouple::slope_mv_per_k(celsius).expect("slope");
            // Half a printed place by the slope; where the curve is flattest the slope itself changes by a tenth.
            let tolerance = 0.000_5 / slope * if celsius < -250.0 { 1.2 } else { 1.01 };
            assert_near(
                thermocouple::temperature_c(printed).expect("celsius"),
                celsius,
                tolerance,
                "table",
            );
        }
    }
}

#[test]
fn type_k_has_all_digits_of_other_libraries() {
    for (celsius, millivolts, slope) in TYPE_K_FULL {
        assert_near(
            thermocouple::millivolts(celsius).expect("mV"),
            millivolts,
            2e-14 * (1.0 + millivolts.abs()),
            "mV",
        );
        assert_near(
            thermocouple::slope_mv_per_k(celsius).expect("slope"),
            slope,
            1e-14,
            "slope",
        );
        assert_near(
            thermocouple::temperature_c(millivolts).expect("celsius"),
            celsius,
            1e-9,
            "celsius",
        );
    }
    // Readme of thermocouple-its90 1.0.2: 4.096 mV at terminals of 25 °C are 124.3 °C.
    assert_near(
        thermocouple::hot_junction_c(4.096, 25.0).expect("celsius"),
        124.3,
        0.05,
        "cold junction",
    );
}

#[test]
fn type_k_rises_everywhere_and_turns_back() {
    let mut before = f64::NEG_INFINITY;
    for step in 0..=16_420 {
        let celsius = f64::from(step) / 10.0 - 270.0;
        let millivolts = thermocouple::millivolts(celsius).expect("mV");
        assert!(millivolts > before, "{celsius}");
        before = millivolts;
        assert_near(
            thermocouple::temperature_c(millivolts).expect("celsius"),
            celsius,
            1e-9,
            "round trip",
        );
        assert!(thermocouple::slope_mv_per_k(celsius).expect("slope") > 0.0);
    }
}

#[test]
fn makers_tables_read_through_their_curves_stay_within_the_error_of_the_curve() {
    for table in &REFERENCES {
        let divider = Divider::new(10_000.0, 0.0, 12, 3.3).expect("a divider");
        for &(celsius, ohm) in table.rows {
            let count = divider.count(ohm).expect("count");
            let back = divider.resistance_from_count(count).expect("ohm");
            let found = curve_of(table.all).temperature_c(back).expect("celsius");
            assert_near(found, celsius, table.all_error_k + 1e-8, table.name);
        }
    }
}
