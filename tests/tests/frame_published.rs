//! Beams, guides and bolts against a finite-element model, a reference library, ISO tables and a machine-design text.
//!
//! # Sources
//! - Deflections and bending moments of beams, tilt of a rod under two opposite forces: computed once with
//!   `sympy.physics.continuum_mechanics.beam` of sympy 1.14.0 (PyPI) in exact fractions.
//! - Sag of rods and arms, first mode of loaded beams: a finite-element model of Euler-Bernoulli elements in this file.
//! - First modes of uniform beams: coefficients 1.8751, pi and 4.7300, as in every textbook of vibration; from memory.
//! - Stress areas and proof loads: tables of ISO 898-1; pitch diameters: ISO 724; both from memory.
//! - Torque of a tightened screw: Shigley's Mechanical Engineering Design, example of a 3/4 in-16 UNF bolt of SAE grade 5
//!   preloaded to 25 kip, K = 0.20: 3750 lbf in; from memory.

use core::f64::consts::PI;

use layshaft_core::entry::thread::read_thread;
use layshaft_core::frame::beam::{Beam, Section, Support};
use layshaft_core::frame::bolt;
use layshaft_core::frame::guide::{Ends, Guide, round_inertia};
use layshaft_core::link;
use layshaft_core::sheets::Report;

/// A sheet worked out from a link's text.
fn run(query: &str) -> Report {
    let opened = link::read(query);
    let report = opened.sheet.expect("a sheet").run(&opened.entries);
    assert!(report.problems.is_empty(), "{:?}", report.problems);
    report
}

fn number(report: &Report, key: &str) -> f64 {
    report.number(key).expect(key)
}

fn near(found: f64, expected: f64, share: f64) -> bool {
    (found - expected).abs() <= share * expected.abs()
}

#[test]
fn beams_bend_as_the_reference_library_says() {
    // Length 2.5, stiffness 1, load 7, spread load 1.5: deflection at the load, largest moment.
    let rows = [
        (Support::Cantilever, 43.782_552_083_333_336, 22.1875),
        (Support::Simple, 3.041_585_286_458_333_5, 5.546_875),
        (Support::Fixed, 0.722_249_348_958_333_4, 2.968_75),
    ];
    for (support, deflection, moment) in rows {
        let beam = Beam {
            support,
            span: 2.5,
            stiffness: 1.0,
            load: 7.0,
            spread: 1.5,
        };
        assert!(near(beam.deflection(), deflection, 1e-14), "{support:?}");
        assert!(near(beam.moment(), moment, 1e-14), "{support:?}");
    }
}

#[test]
fn a_pair_of_forces_tilts_a_rod_as_the_reference_library_says() {
    // Ends, lower bearing, spacing, length, tilt for a moment of 1 and a stiffness of 1.
    let rows = [
        (Ends::Simple, 20.0, 60.0, 300.0, 49.333_333_333_333_336),
        (Ends::Simple, 5.0, 75.0, 400.0, 84.020_833_333_333_33),
        (Ends::Simple, 150.0, 40.0, 350.0, 22.952_380_952_380_953),
        (Ends::Simple, 90.0, 120.0, 300.0, 9.0),
        (Ends::Simple, 200.0, 90.0, 300.0, 42.333_333_333_333_336),
        (Ends::Fixed, 20.0, 60.0, 300.0, 15.128_888_888_888_89),
        (Ends::Fixed, 5.0, 75.0, 400.0, 15.320_673_828_125),
        (Ends::Fixed, 150.0, 40.0, 350.0, 15.813_722_060_252_672),
        (Ends::Fixed, 90.0, 120.0, 300.0, 4.59),
        (Ends::Fixed, 200.0, 90.0, 300.0, 11.712_222_222_222_222),
    ];
    for (ends, position, spacing, length, tilt) in rows {
        let guide = Guide {
            length,
            spacing,
            stiffness: 1.0,
            ends,
        };
        assert!(
            near(guide.tilt(1.0, position), tilt, 1e-13),
            "{ends:?} {position}"
        );
    }
}

/// Straight Euler-Bernoulli elements in a row: at each node a deflection and a slope.
struct Elements {
    /// Where the nodes are, rising.
    nodes: Vec<f64>,
    /// Bending stiffness.
    stiffness: f64,
    /// Mass per length.
    mass: f64,
    /// Which of the numbers (two a node) are held at 0.
    held: Vec<usize>,
    /// A mass at a node.
    point: Option<(usize, f64)>,
}

// A matrix is written by its indices.
#[allow(clippy::indexing_slicing)]
impl Elements {
    /// Nodes at the given places and evenly between them.
    fn over(places: &[f64], pieces: u32, stiffness: f64) -> Self {
        let mut nodes = vec![places[0]];
        for pair in places.windows(2) {
            if pair[1] > pair[0] {
                nodes.extend(
                    (1..=pieces)
                        .map(|i| pair[0] + (pair[1] - pair[0]) * f64::from(i) / f64::from(pieces)),
                );
            }
        }
        Self {
            nodes,
            stiffness,
            mass: 0.0,
            held: Vec::new(),
            point: None,
        }
    }

    fn node(&self, place: f64) -> usize {
        let found = self.nodes.iter().position(|x| (x - place).abs() < 1e-9);
        found.expect("a node stands there")
    }

    fn hold(mut self, place: f64, clamped: bool) -> Self {
        let node = self.node(place);
        self.held.push(2 * node);
        if clamped {
            self.held.push(2 * node + 1);
        }
        self
    }

    /// Stiffness and mass matrix, the held numbers replaced by stiff springs of their own.
    fn matrices(&self) -> (Vec<Vec<f64>>, Vec<Vec<f64>>) {
        let size = 2 * self.nodes.len();
        let (mut k, mut m) = (vec![vec![0.0; size]; size], vec![vec![0.0; size]; size]);
        for (i, pair) in self.nodes.windows(2).enumerate() {
            let l = pair[1] - pair[0];
            let bending = [
                [12.0, 6.0 * l, -12.0, 6.0 * l],
                [6.0 * l, 4.0 * l * l, -6.0 * l, 2.0 * l * l],
                [-12.0, -6.0 * l, 12.0, -6.0 * l],
                [6.0 * l, 2.0 * l * l, -6.0 * l, 4.0 * l * l],
            ];
            let inertia = [
                [156.0, 22.0 * l, 54.0, -13.0 * l],
                [22.0 * l, 4.0 * l * l, 13.0 * l, -3.0 * l * l],
                [54.0, 13.0 * l, 156.0, -22.0 * l],
                [-13.0 * l, -3.0 * l * l, -22.0 * l, 4.0 * l * l],
            ];
            for a in 0..4 {
                for b in 0..4 {
                    k[2 * i + a][2 * i + b] += self.stiffness / (l * l * l) * bending[a][b];
                    m[2 * i + a][2 * i + b] += self.mass * l / 420.0 * inertia[a][b];
                }
            }
        }
        if let Some((node, mass)) = self.point {
            m[2 * node][2 * node] += mass;
        }
        for &held in &self.held {
            for other in 0..size {
                (
                    k[held][other],
                    k[other][held],
                    m[held][other],
                    m[other][held],
                ) = (0.0, 0.0, 0.0, 0.0);
            }
            k[held][held] = 1.0;
        }
        (k, m)
    }

    /// Deflections and slopes under forces at nodes.
    fn bend(&self, forces: &[(usize, f64)]) -> Vec<f64> {
        let (k, _) = self.matrices();
        let mut load = vec![0.0; k.len()];
        for &(node, force) in forces {
            load[2 * node] += force;
        }
        solve(k, load)
    }

    /// Angular frequency squared of the first mode, by inverse iteration.
    fn first_mode(&self) -> f64 {
        let (k, m) = self.matrices();
        let times = |x: &[f64]| -> Vec<f64> {
            m.iter()
                .map(|row| row.iter().zip(x).map(|(a, b)| a * b).sum())
                .collect()
        };
        let mut shape = vec![1.0; k.len()];
        let mut square = 0.0;
        for _ in 0..30 {
            let next = solve(k.clone(), times(&shape));
            let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
            let inertia = times(&next);
            square = dot(&next, &times(&shape)) / dot(&next, &inertia);
            let size = dot(&next, &inertia).sqrt();
            shape = next.iter().map(|x| x / size).collect();
        }
        square
    }
}

/// Gauss elimination with pivots.
#[allow(clippy::indexing_slicing)] // A matrix is written by its indices.
fn solve(mut a: Vec<Vec<f64>>, mut b: Vec<f64>) -> Vec<f64> {
    let n = b.len();
    for column in 0..n {
        let best = (column..n).max_by(|&i, &j| a[i][column].abs().total_cmp(&a[j][column].abs()));
        let best = best.expect("rows are left");
        a.swap(column, best);
        b.swap(column, best);
        for row in column + 1..n {
            let factor = a[row][column] / a[column][column];
            if factor != 0.0 {
                let pivot = a[column].clone();
                for (entry, above) in a[row].iter_mut().zip(pivot).skip(column) {
                    *entry -= factor * above;
                }
                b[row] -= factor * b[column];
            }
        }
    }
    for row in (0..n).rev() {
        let rest: f64 = (row + 1..n).map(|k| a[row][k] * b[k]).sum();
        b[row] = (b[row] - rest) / a[row][row];
    }
    b
}

/// The elements are exact for loads at nodes; what is left is the rounding of the elimination.
const ROUNDING: f64 = 1e-7;

#[test]
#[allow(clippy::indexing_slicing)] // Two numbers a node.
fn rods_and_arms_sag_as_finite_elements_do() {
    let (length, spacing, position, travel) = (320.0, 65.0, 15.0, 210.0);
    let (overhang, reach, weight) = (115.0, 225.0, 1.7 * 9.80665);
    for (ends, clamped) in [("simple", false), ("fixed", true)] {
        let report = run(&format!(
            "rods?layout=cantilever&rods=2&rod_diameter=8&rod_length=320&rod_ends={ends}&modulus=205&bearing_spacing=65&position=15&travel=210&bed_mass=1.5&print_mass=0.2&overhang=115&reach=225&arms=2&arm_width=15&arm_height=20&arm_modulus=69"
        ));
        let stiffness = 2.0 * 205e3 * round_inertia(8.0);
        let tilt = |lower: f64| {
            let upper = lower + spacing;
            let rods = Elements::over(&[0.0, lower, upper, length], 5, stiffness)
                .hold(0.0, clamped)
                .hold(length, clamped);
            let force = weight * overhang / spacing;
            let (low, high) = (rods.node(lower), rods.node(upper));
            let bent = rods.bend(&[(low, -force), (high, force)]);
            (bent[2 * high] - bent[2 * low]) / spacing
        };
        let sag_rods = tilt(position) * reach * 1000.0;
        assert!(
            near(number(&report, "sag_rods"), sag_rods, ROUNDING),
            "{ends}"
        );

        let arms = Elements::over(
            &[0.0, overhang, reach],
            5,
            2.0 * 69e3 * 15.0 * 8000.0 / 12.0,
        )
        .hold(0.0, true);
        let bent = arms.bend(&[(arms.node(overhang), weight)]);
        let sag_arms = bent[2 * arms.node(reach)] * 1000.0;
        assert!(
            near(number(&report, "sag_arms"), sag_arms, ROUNDING),
            "{ends}"
        );
        assert!(
            near(number(&report, "sag"), sag_rods + sag_arms, ROUNDING),
            "{ends}"
        );

        let tilts = (0..=140).map(|i| tilt(position + travel * f64::from(i) / 140.0));
        let high = tilts.clone().fold(0.0, f64::max);
        let low = tilts.fold(f64::INFINITY, f64::min);
        let change = (high - low) * reach * 1000.0;
        // 141 places stand beside the true extremes by up to 0.75 mm.
        assert!(
            near(number(&report, "sag_change_travel"), change, 1e-3),
            "{ends}"
        );

        let centre = tilt(position) * overhang + bent[2 * arms.node(overhang)];
        let frequency = (9806.65 / centre).sqrt() / (2.0 * PI);
        assert!(
            near(number(&report, "frequency"), frequency, ROUNDING),
            "{ends}"
        );
    }
}

#[test]
#[allow(clippy::indexing_slicing)] // Two numbers a node.
fn a_bed_held_at_both_ends_sags_as_finite_elements_do() {
    let report = run(
        "rods?layout=both_ends&rods=2&bed_mass=1.5&print_mass=0.2&overhang=115&reach=225&arms=3&arm_inertia=0.7&arm_modulus=69",
    );
    let arms = Elements::over(&[0.0, 115.0, 230.0], 5, 3.0 * 69e3 * 7000.0)
        .hold(0.0, false)
        .hold(230.0, false);
    let middle = arms.node(115.0);
    let bent = arms.bend(&[(middle, 1.7 * 9.80665)]);
    assert!(near(
        number(&report, "sag"),
        bent[2 * middle] * 1000.0,
        ROUNDING
    ));
    let whole = number(&report, "sag");
    assert!(near(
        number(&report, "sag_change_print"),
        whole * 0.2 / 1.7,
        1e-12
    ));
}

#[test]
fn the_first_mode_is_a_little_above_that_of_finite_elements() {
    for (support, clamped) in [
        (Support::Cantilever, [Some(true), None]),
        (Support::Simple, [Some(false); 2]),
        (Support::Fixed, [Some(true); 2]),
    ] {
        let middle = if support == Support::Cantilever {
            1.0
        } else {
            0.5
        };
        // Point load over the beam's whole weight.
        for ratio in [0.0, 0.1, 0.5, 1.0, 3.0, 20.0] {
            let beam = Beam {
                support,
                span: 1.0,
                stiffness: 1.0,
                load: ratio,
                spread: 1.0,
            };
            let mut model = Elements::over(&[0.0, 0.5, 1.0], 8, 1.0);
            for (place, clamped) in [0.0, 1.0].into_iter().zip(clamped) {
                if let Some(clamped) = clamped {
                    model = model.hold(place, clamped);
                }
            }
            // Weights over g are masses.
            model.mass = 1.0 / 9806.65;
            model.point = Some((model.node(middle), ratio / 9806.65));
            let modelled = model.first_mode().sqrt() / (2.0 * PI);
            let share = beam.frequency() / modelled;
            // Rayleigh's quotient is never below the first mode; the static line is close to its shape.
            assert!(
                (1.0 - 1e-6..1.02).contains(&share),
                "{support:?} {ratio}: {share}"
            );
        }
    }
}

#[test]
fn uniform_beams_swing_by_the_textbook_coefficients() {
    // Steel bar 10 x 10 mm of 400 mm under its own weight.
    let section = Section::rect(10.0, 10.0);
    let per_mm = 7.85e-6 * section.area;
    for (name, root) in [
        ("cantilever", 1.8751_f64),
        ("simple", PI),
        ("fixed", 4.7300),
    ] {
        let report = run(&format!(
            "beam?section=rect&width=10&height=10&modulus=205&density=7850&yield_strength=250&span=400&support={name}"
        ));
        // N/mm over g in mm/s²: tonnes a millimetre.
        let mass = per_mm / 1000.0;
        let frequency =
            root * root / (2.0 * PI) * (205e3 * section.inertia / mass).sqrt() / (400.0 * 400.0);
        let share = number(&report, "frequency") / frequency;
        assert!((1.0 - 1e-4..1.01).contains(&share), "{name}: {share}");
    }
}

/// Thread, pitch diameter d2 (ISO 724) in mm, nominal stress area (ISO 898-1) in mm².
const THREADS: [(&str, f64, f64); 7] = [
    ("M3", 2.675, 5.03),
    ("M3.5", 3.110, 6.78),
    ("M4", 3.545, 8.78),
    ("M5", 4.480, 14.2),
    ("M6", 5.350, 20.1),
    ("M7", 6.350, 28.9),
    ("M8", 7.188, 36.6),
];

#[test]
fn stress_areas_round_to_those_of_iso_898_1() {
    for (name, pitch_diameter, area) in THREADS {
        let thread = read_thread(name).expect(name);
        assert!(
            (thread.pitch_diameter_mm() - pitch_diameter).abs() <= 0.000_51,
            "{name}"
        );
        // The table has three significant digits.
        let step = if area < 10.0 { 0.01 } else { 0.1 };
        let found = bolt::stress_area(thread.diameter_mm, thread.pitch_mm);
        assert!(
            (found - area).abs() <= step / 2.0 * (1.0 + 1e-9),
            "{name}: {found}"
        );
        let report = run(&format!("joint?size={name}"));
        assert!(near(number(&report, "stress_area"), found, 1e-15), "{name}");
    }
}

#[test]
fn proof_loads_are_those_of_iso_898_1() {
    // Size, class, proof load in N; the table has three digits, of the area rounded and of
    // the load cut: up to 0.9 % low, 0.4 % high.
    let rows = [
        ("M3", "4.8", 1560.0),
        ("M3", "8.8", 2920.0),
        ("M4", "8.8", 5100.0),
        ("M5", "8.8", 8230.0),
        ("M6", "8.8", 11_600.0),
        ("M8", "8.8", 21_200.0),
        ("M5", "10.9", 11_800.0),
        ("M6", "10.9", 16_700.0),
        ("M8", "10.9", 30_400.0),
        ("M6", "12.9", 19_500.0),
        ("M8", "12.9", 35_500.0),
    ];
    for (size, grade, load) in rows {
        let report = run(&format!("joint?size={size}&grade={grade}&preload={load}"));
        let used = number(&report, "proof_used");
        assert!((99.0..100.5).contains(&used), "{size} {grade}: {used}");
    }
}

#[test]
fn a_tightened_screw_of_a_machine_design_text() {
    let (inch, pound) = (25.4, 4.448_221_615_260_5);
    let torque = 3750.0 * pound * inch / 1000.0;
    let tension = bolt::tension(torque, 0.20, 0.75 * inch);
    assert!(near(tension, 25_000.0 * pound, 1e-12));
}
