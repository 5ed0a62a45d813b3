//! Set-up: what an axis reaches, how the bed grows on the way up, how a limit switch reads.

pub mod axis;
pub mod height;
pub mod switch;
