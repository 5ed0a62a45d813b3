//! Frames: guides and a cantilevered bed, beams, bolted joints.
//!
//! Lengths in mm, forces in N, stresses and moduli in MPa (N/mm²), second moments of area in mm⁴, unless a name says else.

pub mod beam;
pub mod bolt;
pub mod guide;

/// Standard acceleration of free fall, m/s².
///
/// # Source
/// 3rd General Conference on Weights and Measures (1901).
pub const GRAVITY: f64 = 9.806_65;
