//! Screws, columns, shafts, gear trains, strings and the torque of a motor against worked examples of textbooks, and beam
//! constants against a finite-element computation.
//!
//! # Sources
//! Inputs and results of the textbook examples are as in the FOSSEE Python Textbook Companions (FOSSEE, IIT Bombay),
//! commit d34b2ae, which recompute the books' examples and print them with their page numbers:
//! - T. H. Wentzell, Machine Design: examples 3.5 and 3.6 (pages 53, 55), 18.1 to 18.3 (pages 399 to 402).
//! - U. C. Jindal, Machine Design: example 16-1 (page 450).
//! - R. S. Khurmi and J. K. Gupta, Theory of Machines: examples 13.1, 13.7, 13.20 (pages 432, 444, 465).
//! - B. K. Sarkar, Theory of Machines: illustration 11.10 (page 296) for the share of a shaft's own weight.
//! - H. C. Verma, Concepts of Physics 1: examples 15.7 and 15.8 (pages 313, 317).
//! - A. E. Fitzgerald, C. Kingsley and S. D. Umans, Electric Machinery: example 11.10 (page 593).
//! - S. P. Burman, Special Electrical Machines: example 3.14 (page 196).
//!
//! Marked "from memory": Shigley's Mechanical Engineering Design, example 8-1, and thread diameters of ISO 724 and ISO
//! 2904.

use layshaft_core::motion::gears::{Form, Held, Stage};
use layshaft_core::motion::load::Axis;
use layshaft_core::motion::screw::{
    Ends, PowerScrew, Shaft, collar_arm_mm, efficiency, mean_diameter_mm, metric_root_mm,
    transition_slenderness,
};
use layshaft_core::motion::{GRAVITY, belt};
use layshaft_core::motor::torque::Motor;
use std::f64::consts::{PI, SQRT_2};

/// Within half of the last digit that the source prints.
fn printed(value: f64, source: f64, half: f64) {
    assert!((value - source).abs() <= half, "{value} for {source}");
}

const INCH: f64 = 25.4;
/// A pound-force in newtons.
const LBF: f64 = 4.448_221_615_260_5;
/// A pound-force per square inch in MPa.
const PSI: f64 = LBF / (INCH * INCH);

#[test]
fn square_screw_of_wentzell() {
    // Example 18.1: two screws share 5800 lb; 1.5 in over the thread, 1.208 in at its root, three threads an inch.
    let screw = PowerScrew {
        lead_mm: INCH / 3.0,
        mean_diameter_mm: (1.5 + 1.208) / 2.0 * INCH,
        flank_deg: 0.0,
        mu: 0.15,
    };
    let arm = screw.raise_arm_mm().unwrap_or(f64::NAN);
    printed(2900.0 * arm / INCH, 453.68, 0.005);
    // Example 18.2, the same screw: it prints the efficiency from its own, equal formula.
    printed(screw.lead_angle_deg(), 4.48, 0.005);
    printed(100.0 * efficiency(screw.lead_mm, arm), 33.91, 0.005);
    assert!(
        screw.mu > screw.locking_mu(),
        "the book finds it self-locking"
    );
}

#[test]
fn acme_screw_of_wentzell() {
    // Example 18.3: four threads an inch, pitch diameter 1.375 in, flanks at 14.5 degrees.
    let screw = PowerScrew {
        lead_mm: INCH / 4.0,
        mean_diameter_mm: 1.375 * INCH,
        flank_deg: 14.5,
        mu: 0.15,
    };
    printed(screw.lead_angle_deg(), 3.31, 0.005);
    let arm = screw.raise_arm_mm().unwrap_or(f64::NAN);
    printed(2900.0 * arm / INCH, 428.13, 0.005);
}

#[test]
fn square_screw_with_a_collar() {
    // Jindal, example 16-1: 30 mm, pitch 6 mm, 20 kN, collar of 8 and 16 mm radius.
    let screw = PowerScrew {
        lead_mm: 6.0,
        mean_diameter_mm: mean_diameter_mm(false, 30.0, 6.0),
        flank_deg: 0.0,
        mu: 0.2,
    };
    let arm = screw.raise_arm_mm().unwrap_or(f64::NAN) + collar_arm_mm(0.15, 24.0);
    printed(20_000.0 * arm / 1000.0, 110.148, 0.0005);

    // Shigley, example 8-1 (from memory): 32 mm, double thread of pitch 4 mm, 6.4 kN, collar 40 mm, all frictions 0.08.
    let screw = PowerScrew {
        lead_mm: 8.0,
        mean_diameter_mm: mean_diameter_mm(false, 32.0, 4.0),
        flank_deg: 0.0,
        mu: 0.08,
    };
    let collar = collar_arm_mm(0.08, 40.0);
    let raise = screw.raise_arm_mm().unwrap_or(f64::NAN) + collar;
    printed(6.4 * raise, 26.18, 0.005);
    printed(6.4 * (screw.lower_arm_mm() + collar), 9.77, 0.005);
    printed(efficiency(8.0, raise), 0.311, 0.0005);
}

#[test]
fn thread_diameters_of_the_standards() {
    // ISO 724 and ISO 898-1, three decimals; from memory.
    for (diameter, pitch, d2, d3) in [
        (5.0, 0.8, 4.480, 4.019),
        (6.0, 1.0, 5.350, 4.773),
        (8.0, 1.25, 7.188, 6.466),
        (10.0, 1.5, 9.026, 8.160),
        (12.0, 1.75, 10.863, 9.853),
    ] {
        // The factors have four decimals, so the printed thousandths may be off by one.
        printed(mean_diameter_mm(true, diameter, pitch), d2, 0.0007);
        printed(metric_root_mm(diameter, pitch), d3, 0.0007);
    }
    // ISO 2904, from memory: Tr8x1.5 7.25, Tr10x2 9, Tr12x3 10.5, Tr16x4 14.
    for (diameter, pitch, d2) in [
        (8.0, 1.5, 7.25),
        (10.0, 2.0, 9.0),
        (12.0, 3.0, 10.5),
        (16.0, 4.0, 14.0),
    ] {
        printed(mean_diameter_mm(false, diameter, pitch), d2, 1e-12);
    }
}

#[test]
fn columns_of_wentzell() {
    // Example 3.5: a rod of 5/8 in, 30 in long between pins, 30e6 psi, yield 42000 psi: Euler.
    let modulus_gpa = 30e6 * PSI / 1000.0;
    let rod = Shaft {
        diameter_mm: 0.625 * INCH,
        length_mm: 30.0 * INCH,
        ends: Ends::SIMPLE_SIMPLE,
        modulus_gpa,
    };
    printed(rod.slenderness(), 192.0, 0.005);
    printed(
        transition_slenderness(modulus_gpa, 42_000.0 * PSI),
        118.74,
        0.005,
    );
    printed(rod.buckling_n(42_000.0 * PSI) / LBF, 2464.16, 0.005);

    // Example 3.6: slenderness 67.08, area 2.26 in2, yield 36000 psi, half the load by Johnson. Stress at the same
    // slenderness does not depend on the section, so a round bar of that slenderness stands in for the book's profile.
    let slenderness = 39.0 / (0.764_f64 / 2.26).sqrt();
    let bar = Shaft {
        diameter_mm: 4.0,
        length_mm: slenderness,
        ..rod
    };
    printed(
        transition_slenderness(modulus_gpa, 36_000.0 * PSI),
        128.25,
        0.005,
    );
    let stress = bar.buckling_n(36_000.0 * PSI) / (4.0 * PI);
    printed(stress / PSI * 2.26 / 2.0, 35_116.52, 0.005);
}

#[test]
fn a_shaft_whirls_at_the_frequency_of_its_own_sag() {
    // Sarkar, illustrations 11.10 and 11.11: f = 0.4985/sqrt(sag/1.27) with the sag in m under the shaft's own weight, a
    // rounded form of the exact 0.5623 for a shaft between two bearings.
    let shaft = Shaft {
        diameter_mm: 30.0,
        length_mm: 800.0,
        ends: Ends::SIMPLE_SIMPLE,
        modulus_gpa: 200.0,
    };
    let density = 7850.0;
    let (area, inertia) = (PI / 4.0 * 0.03_f64.powi(2), PI / 64.0 * 0.03_f64.powi(4));
    let sag = 5.0 * density * area * GRAVITY * 0.8_f64.powi(4) / (384.0 * 200e9 * inertia);
    let rpm = 60.0 * 0.4985 / (sag / 1.27).sqrt();
    assert!((shaft.critical_rpm(density) / rpm - 1.0).abs() < 0.002);
}

/// Stiffness, mass and load matrices of a beam element of length h in displacement and slope at both ends.
///
/// Cubic shape functions: W. Weaver and P. R. Johnston, Structural Dynamics by Finite Elements; from memory.
fn element(h: f64) -> [[[f64; 4]; 4]; 3] {
    let h2 = h * h;
    let scale = |matrix: [[f64; 4]; 4], by: f64| matrix.map(|row| row.map(|x| x * by));
    [
        scale(
            [
                [12.0, 6.0 * h, -12.0, 6.0 * h],
                [6.0 * h, 4.0 * h2, -6.0 * h, 2.0 * h2],
                [-12.0, -6.0 * h, 12.0, -6.0 * h],
                [6.0 * h, 2.0 * h2, -6.0 * h, 4.0 * h2],
            ],
            1.0 / (h2 * h),
        ),
        scale(
            [
                [156.0, 22.0 * h, 54.0, -13.0 * h],
                [22.0 * h, 4.0 * h2, 13.0 * h, -3.0 * h2],
                [54.0, 13.0 * h, 156.0, -22.0 * h],
                [-13.0 * h, -3.0 * h2, -22.0 * h, 4.0 * h2],
            ],
            h / 420.0,
        ),
        scale(
            [
                [36.0, 3.0 * h, -36.0, 3.0 * h],
                [3.0 * h, 4.0 * h2, -3.0 * h, -h2],
                [-36.0, -3.0 * h, 36.0, -3.0 * h],
                [3.0 * h, -h2, -3.0 * h, 4.0 * h2],
            ],
            1.0 / (30.0 * h),
        ),
    ]
}

/// Smallest eigenvalues of a beam of unit length, stiffness and mass: of its vibration, and of its buckling.
#[allow(clippy::indexing_slicing)] // A matrix is put together by its indices.
fn beam_eigenvalues(held: [[bool; 2]; 2]) -> [f64; 2] {
    const ELEMENTS: usize = 16;
    const ALL: usize = 2 * ELEMENTS + 2;
    let parts = element(1.0 / ELEMENTS as f64);
    let mut whole = [(); 3].map(|()| vec![vec![0.0; ALL]; ALL]);
    for e in 0..ELEMENTS {
        for (matrix, part) in whole.iter_mut().zip(&parts) {
            for i in 0..4 {
                for j in 0..4 {
                    matrix[2 * e + i][2 * e + j] += part[i][j];
                }
            }
        }
    }
    let free: Vec<usize> = (0..ALL)
        .filter(|&i| match i {
            0 | 1 => !held[0][i],
            _ if i >= ALL - 2 => !held[1][i - (ALL - 2)],
            _ => true,
        })
        .collect();
    let [stiff, mass, load] = whole.map(|matrix| {
        free.iter()
            .map(|&i| free.iter().map(|&j| matrix[i][j]).collect::<Vec<f64>>())
            .collect::<Vec<_>>()
    });
    [mass, load].map(|other| {
        // Inverse iteration: K y = M x, the Rayleigh quotient tends to the smallest eigenvalue.
        let mut x = vec![1.0; free.len()];
        let mut value = 0.0;
        for _ in 0..60 {
            let right = times(&other, &x);
            x = solve(stiff.clone(), right);
            value = dot(&x, &times(&stiff, &x)) / dot(&x, &times(&other, &x));
            let size = dot(&x, &x).sqrt();
            x.iter_mut().for_each(|x| *x /= size);
        }
        value
    })
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn times(matrix: &[Vec<f64>], x: &[f64]) -> Vec<f64> {
    matrix.iter().map(|row| dot(row, x)).collect()
}

/// Gaussian elimination of a symmetric positive definite system.
#[allow(clippy::indexing_slicing)] // A matrix is eliminated by its indices.
fn solve(mut matrix: Vec<Vec<f64>>, mut right: Vec<f64>) -> Vec<f64> {
    let n = right.len();
    for k in 0..n {
        for i in k + 1..n {
            let factor = matrix[i][k] / matrix[k][k];
            let (above, below) = matrix.split_at_mut(i);
            for (x, pivot) in below[0].iter_mut().zip(&above[k]).skip(k) {
                *x -= factor * pivot;
            }
            right[i] -= factor * right[k];
        }
    }
    for k in (0..n).rev() {
        let rest: f64 = (k + 1..n).map(|j| matrix[k][j] * right[j]).sum();
        right[k] = (right[k] - rest) / matrix[k][k];
    }
    right
}

#[test]
fn coefficients_of_the_ends_by_finite_elements() {
    const FIXED: [bool; 2] = [true, true];
    const SIMPLE: [bool; 2] = [true, false];
    const FREE: [bool; 2] = [false, false];
    for (ends, held) in [
        (Ends::FIXED_FREE, [FIXED, FREE]),
        (Ends::SIMPLE_SIMPLE, [SIMPLE, SIMPLE]),
        (Ends::FIXED_SIMPLE, [FIXED, SIMPLE]),
        (Ends::FIXED_FIXED, [FIXED, FIXED]),
    ] {
        let [vibration, buckling] = beam_eigenvalues(held);
        // The coefficients have four digits.
        printed(ends.whirl, vibration.powf(0.25), 0.0005);
        printed(ends.effective_length, PI / buckling.sqrt(), 0.0005);

        // The same in full: a screw's root of 6.2 mm over 480 mm, steel.
        let (d, length, modulus, density) = (0.0062, 0.48, 205e9, 7850.0);
        let (area, inertia) = (PI / 4.0 * d * d, PI / 64.0 * d.powi(4));
        let shaft = Shaft {
            diameter_mm: d * 1000.0,
            length_mm: length * 1000.0,
            ends,
            modulus_gpa: modulus / 1e9,
        };
        let radians = (vibration * modulus * inertia / (density * area)).sqrt() / (length * length);
        assert!((shaft.critical_rpm(density) / (radians * 30.0 / PI) - 1.0).abs() < 5e-4);
        // Of a material that never yields, so that Euler rules.
        let newtons = buckling * modulus * inertia / (length * length);
        assert!((shaft.buckling_n(1e6) / newtons - 1.0).abs() < 2e-3);
    }
}

#[test]
fn trains_of_khurmi_and_gupta() {
    let stage = |form, first, second| Stage {
        form,
        first,
        second,
    };
    // Example 13.1: 975 rev/min through 20/50, 25/75, 26/65 makes 52.
    let ratio = [(20, 50), (25, 75), (26, 65)]
        .map(|(driver, driven)| stage(Form::Spur, driver, driven).ratio())
        .into_iter()
        .reduce(|a, b| a.times(b))
        .unwrap_or(layshaft_core::exact::Exact::whole(1));
    printed(975.0 / ratio.value, 52.0, 1e-12);
    assert_eq!(
        ratio.fraction.map(|f| f.to_string()).as_deref(),
        Some("75/4")
    );
    // Example 13.7: sun of 40, stationary ring of 90: the arm makes 0.308 turns for one.
    let planetary = stage(Form::Planetary(Held::Ring), 40, 90);
    printed(1.0 / planetary.ratio().value, 0.308, 0.0005);
    assert_eq!(planetary.reverses(), Some(false));
    // Example 13.20: sun of 16 and ring of 64 make five to one; 400 N.m holds the ring when 100 N.m turns the sun.
    let epicyclic = stage(Form::Planetary(Held::Ring), 16, 64);
    printed(epicyclic.ratio().value, 5.0, 1e-12);
    printed(100.0 * epicyclic.ratio().value - 100.0, 400.0, 1e-9);
    assert_eq!(epicyclic.planet_teeth(), Some(24.0));
}

#[test]
fn strings_of_verma() {
    // Example 15.7: 20 g over 50 cm, pulled by 1.6 kg with g = 10, 40 cm free: 25 Hz.
    printed(belt::frequency_hz(40.0, 400.0, 16.0), 25.0, 0.005);
    printed(belt::tension_n(40.0, 400.0, 25.0), 16.0, 0.005);
    // Example 15.8: a wire that sounds at 256 Hz with 21 cm sounds at 384 Hz with 14 cm.
    let tension = belt::tension_n(5.0, 210.0, 256.0);
    printed(belt::frequency_hz(5.0, 140.0, tension), 384.0, 1e-9);
}

#[test]
fn flux_weakening_of_fitzgerald() {
    // Example 11.10: a permanent-magnet motor of 220 V line to line, 3200 rev/min at no load, 1.75 mH, two poles, no
    // resistance. At 4000 rev/min and 65 % of the rated torque the q current is 48.2 A, the d current -66.1 A, 58 A RMS:
    // the voltage is at its limit. With that current as the limit, the q current is what the two discs leave.
    let volts = SQRT_2 * 220.0 / 3.0_f64.sqrt();
    let motor = Motor {
        constant: volts / (3200.0 * PI / 30.0),
        pole_pairs: 1.0,
        peak: 48.2_f64.hypot(66.1),
        resistance: 0.0,
        inductance: 1.75e-3,
        volts,
    };
    printed(motor.peak / SQRT_2, 58.0, 0.5);
    // Both currents are rounded to 0.05 A, and a d current that is off by so much moves the other about as far.
    printed(motor.quadrature_current(4000.0 * PI / 30.0), 48.2, 0.2);
    // Without field weakening nothing would be left: the back-EMF alone is over the voltage.
    assert!(motor.constant * 4000.0 * PI / 30.0 > volts);
}

#[test]
fn acceleration_of_burman() {
    // Example 3.14: 0.3 N.m on 4e-4 kg.m2, steps of 3 degrees: 1.432e4 steps/s2.
    let axis = Axis {
        turn_travel_mm: 120.0, // as many steps in a turn
        efficiency: 1.0,
        rotor_g_cm2: 4000.0,
        motors: 1.0,
    };
    let steps = axis.need(0.0, 0.0, 0.0).top_accel(0.3) * 1000.0;
    printed(steps / 1e4, 1.432, 0.0005);
}
