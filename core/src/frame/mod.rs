//! Frames: guides and a cantilevered bed, beams, bolted joints.
//!
//! Lengths in mm, forces in N, stresses and moduli in MPa (N/mm²), second moments of area in mm⁴, unless a name says else.

pub mod beam;
pub mod bolt;
pub mod guide;

pub use crate::motion::GRAVITY;
