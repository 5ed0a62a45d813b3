//! Heater, thermal fuse and sensor identification against references outside this project.
//!
//! # Sources
//! - Boiling points: the saturation line of IAPWS-95 by the PyPI package iapws 1.5.5 (the reference equation; the code
//!   uses the industrial formulation), at pressures, and at geopotential altitudes with the pressures of the ICAO standard
//!   atmosphere by the PyPI package ambiance 1.3.1.
//! - Heater: the same equation stepped by `scipy.integrate.solve_ivp` (scipy 1.17.1, DOP853, rtol 1e-13), its ends by
//!   `scipy.optimize.brentq`.
//! - Thermistor tables: `drivers/hwmon/ntc_thermistor.c` of Linux 6.12 (Debian package linux-source-6.12), which takes them
//!   from the makers' data sheets (Murata; EPCOS).
//! - Platinum: table of IEC 60751, two decimals.
//! - Chi-square points: `scipy.stats.chi2.isf` (scipy 1.17.1).

use layshaft_core::heat::identify::tail;
use layshaft_tests::{number, report, words};

#[test]
fn water_boils_at_the_saturation_line() {
    for (hpa, celsius) in [
        (300.0, 69.095_174),
        (500.0, 81.316_893),
        (700.0, 89.931_734),
        (800.0, 93.485_536),
        (900.0, 96.687_148),
        (950.0, 98.178_394),
        (1000.0, 99.605_929),
        (1013.25, 99.974_296),
        (1050.0, 100.975_521),
        (1084.0, 101.876_324),
    ] {
        let found = number(&format!("identify?pressure={hpa}"), "boils");
        // IAPWS-IF97's own tolerance against IAPWS-95 is a few mK; here the lines are within 0.3.
        assert!((found - celsius).abs() < 3e-4, "{hpa}: {found}");
    }
}

#[test]
fn water_boils_lower_with_altitude() {
    for (metres, celsius) in [
        (-500.0, 101.634_25),
        (0.0, 99.974_30),
        (500.0, 98.312_54),
        (1000.0, 96.648_86),
        (1609.0, 94.619_74),
        (2000.0, 93.315_27),
        (3000.0, 89.972_51),
        (5000.0, 83.255_13),
        (8000.0, 73.081_06),
        (11_000.0, 62.755_24),
    ] {
        let found = number(&format!("identify?boil_altitude={metres}"), "boils");
        assert!((found - celsius).abs() < 1e-3, "{metres}: {found}");
    }
}

#[test]
fn tails_of_chi_square() {
    for (count, one, five, half) in [
        (
            1,
            6.634_896_601_021_217,
            3.841_458_820_694_128_5,
            0.454_936_423_119_572_4,
        ),
        (
            2,
            9.210_340_371_976_182,
            5.991_464_547_107_983,
            1.386_294_361_119_891,
        ),
        (
            3,
            11.344_866_730_144_368,
            7.814_727_903_251_178,
            2.365_973_884_375_337_7,
        ),
        (
            5,
            15.086_272_469_388_991,
            11.070_497_693_516_355,
            4.351_460_191_095_526,
        ),
        (
            8,
            20.090_235_029_663_233,
            15.507_313_055_865_454,
            7.344_121_497_701_794,
        ),
        (
            13,
            27.688_249_610_457_05,
            22.362_032_494_826_945,
            12.339_755_882_563_905,
        ),
        (
            21,
            38.932_172_683_516_07,
            32.670_573_340_917_315,
            20.337_227_563_547_934,
        ),
    ] {
        for (point, chance) in [(one, 0.01), (five, 0.05), (half, 0.5)] {
            let found = tail(point, count);
            assert!((found - chance).abs() < 1e-12, "{count} {point}: {found}");
        }
    }
}

/// Readings at 0, 25 and 100 °C of four makers' tables: the nearest of the built-in ones, which have R25 and beta only.
#[test]
fn makers_tables_are_told_apart() {
    let table = |at0: u32, at25: u32, at100: u32| {
        format!("identify?readings=0,{at0};25,{at25};boil,{at100}&pressure=1014.2&target=220")
    };
    let xh103 = table(27_219, 10_000, 974);
    assert_eq!(words(&xh103, "best"), "NTC 10k B 3435");
    let wb473 = table(158_214, 47_000, 2902);
    assert_eq!(words(&wb473, "best"), "NTC 47k B 4050");
    assert_eq!(words(&wb473, "verdict"), "named");
    // The table's own B25/100 is 4333, the nearest built in 4267; by its own figures it is named.
    let wf104 = table(357_012, 100_000, 5384);
    assert_eq!(words(&wf104, "best"), "NTC 100k B 4267");
    let own = format!("{wf104}&own=WF104,100k,4311");
    assert_eq!(words(&own, "best"), "WF104");
    // B25/100 of B57891S0103 is 3952.
    let b57891 = table(32_014, 10_000, 697);
    assert_eq!(words(&b57891, "best"), "NTC 10k B 3950");
}

#[test]
fn beta_of_a_makers_table_within_its_uncertainty() {
    // Least squares over three rows lies between the two-point betas: B0/25 and B25/100 of each table.
    for (at0, at25, at100, low, high) in [
        (27_219.0_f64, 10_000.0_f64, 974.0_f64, 3261.0, 3455.0),
        (357_012.0, 100_000.0, 5384.0, 4145.0, 4334.0),
    ] {
        let query = format!("identify?readings=0,{at0};25,{at25};100,{at100}");
        let found = number(&query, "fit_beta");
        assert!((low..high).contains(&found), "{found}");
        assert!((20.0..150.0).contains(&number(&query, "fit_beta_u")));
    }
}

#[test]
fn platinum_tables_are_told_apart() {
    // IEC 60751 at 0, 30 and 100 °C: 100.00, 111.67, 138.51 ohm for a Pt100.
    for (scale, name) in [(1.0, "Pt100"), (5.0, "Pt500"), (10.0, "Pt1000")] {
        let rows = [(0.0, 100.0), (30.0, 111.67), (100.0, 138.51)];
        let rows: Vec<String> = rows
            .iter()
            .map(|(c, ohm)| format!("{c},{},0.5", ohm * scale))
            .collect();
        let query = format!("identify?readings={}&meter=0.5&target=240", rows.join(";"));
        assert_eq!(words(&query, "best"), name);
        assert_eq!(words(&query, "verdict"), "named");
        let chi = &report(&query);
        let Some(layshaft_core::sheets::Found::Rows(ranked)) = chi.found("ranked") else {
            panic!("a ranking");
        };
        let first = ranked.first().and_then(|row| row.get(1));
        assert!(
            matches!(first, Some(layshaft_core::sheets::Cell::Number(chi)) if *chi < 1e-3),
            "{first:?}"
        );
    }
}

/// A heater, and what scipy found: steady_max, steady_max_high, warmup, fault_seconds, fault_peak.
const HEATERS: [(&str, [f64; 5]); 4] = [
    (
        "heater?volts=24&watts=40&mass=20&material=aluminium&area=30&film=12&emissivity=0.3&insulated=40&target=240&dead=6&noise=0.4",
        [
            686.380_272_904_335_8,
            746.228_734_315_347,
            104.591_317_190_333_26,
            20.568_937_973_738_564,
            70.200_794_904_464_94,
        ],
    ),
    (
        "heater?volts=24&volts_tol=5&watts=220&temp_coeff=0.0039&mass=500&material=aluminium&area=1104&film=9&emissivity=0.9&insulated=50&ambient=20&target=105&dead=15",
        [
            156.821_950_770_592_7,
            164.935_515_358_038_83,
            267.335_121_624_175_4,
            75.385_938_085_794_79,
            52.411_762_925_094_58,
        ],
    ),
    (
        "heater?volts=230&watts=350&temp_coeff=-0.0004&mass=900&material=glass&area=1800&film=11&emissivity=0.85&insulated=30&ambient=18&target=95&dead=20&noise=0.1",
        [
            161.188_153_797_380_83,
            184.442_578_890_240_64,
            221.100_075_465_039_03,
            68.068_150_575_225_16,
            46.930_250_685_538_134,
        ],
    ),
    (
        "heater?volts=12&volts_tol=20&watts=30&temp_coeff=0.001&heat_capacity=30&area=45&film=0&emissivity=0.95&ambient=60&target=180&dead=4&noise=1",
        [
            301.313_383_840_732_9,
            345.773_096_856_735_4,
            150.916_201_333_715_92,
            30.988_392_266_726_418,
            88.798_301_103_747,
        ],
    ),
];

#[test]
fn heaters_warm_as_a_general_solver_says() {
    let keys = [
        "steady_max",
        "steady_max_high",
        "warmup",
        "fault_seconds",
        "fault_peak",
    ];
    for (query, expected) in HEATERS {
        for (key, expected) in keys.iter().zip(expected) {
            let found = number(query, key);
            // What is left is the solver's own error.
            assert!(
                (found / expected - 1.0).abs() < 1e-10,
                "{query} {key}: {found}, expected {expected}"
            );
        }
    }
}

/// Integrating the power that goes in and the loss that goes out along the sheet's own curve leaves the heat stored.
#[test]
fn the_curve_keeps_the_energy_balance() {
    let query = HEATERS[0].0;
    let report = report(query);
    let Some(layshaft_core::sheets::Found::Rows(rows)) = report.found("curve") else {
        panic!("a curve");
    };
    let points: Vec<(f64, f64)> = rows
        .iter()
        .filter_map(|row| match row.as_slice() {
            [
                layshaft_core::sheets::Cell::Number(s),
                layshaft_core::sheets::Cell::Number(c),
            ] => Some((*s, *c)),
            _ => None,
        })
        .collect();
    let area = 30e-4 * 0.6;
    let loss = |c: f64| {
        let fourth = (c + 273.15).powi(4) - 298.15_f64.powi(4);
        area * (12.0 * (c - 25.0) + 0.3 * 5.670_374_419e-8 * fourth)
    };
    let (capacity, watts) = (0.02 * 897.0, 40.0);
    let slope = |c: f64| (watts - loss(c)) / capacity;
    let mut balance = 0.0;
    for pair in points.windows(2) {
        let [(s0, c0), (s1, c1)] = *pair else {
            continue;
        };
        let h = s1 - s0;
        // Simpson's rule, the middle by the cubic through both ends and slopes.
        let middle = (c0 + c1) / 2.0 + h / 8.0 * (slope(c0) - slope(c1));
        balance += h * watts - h / 6.0 * (loss(c0) + 4.0 * loss(middle) + loss(c1));
    }
    let last = points.last().map_or(0.0, |point| point.1);
    let stored = capacity * (last - 25.0);
    assert!((balance / stored - 1.0).abs() < 1e-5, "{balance} {stored}");
}

/// The fuse's two bounds are the ratings at which its checks turn.
#[test]
fn a_thermal_fuse_turns_at_its_bounds() {
    let query = "cutoff?normal_max=240&max_allowed=300&tolerance=6&offset=15&rise_rate=90&lag=12";
    let (least, most) = (number(query, "rating_min"), number(query, "rating_max"));
    assert!((least - 231.0).abs() < 1e-12 && (most - 261.0).abs() < 1e-12);
    let verdict = |rating: f64| words(&format!("{query}&rating={rating}"), "verdict");
    assert_eq!(verdict(least - 0.01), "no");
    assert_eq!(verdict(least), "yes");
    assert_eq!(verdict(most), "yes");
    assert_eq!(verdict(most + 0.01), "no");
}
