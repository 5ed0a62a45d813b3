//! Proof on the bench: lines and planes through readings, how far they can be trusted, skew and ringing.

pub mod line;
pub mod plane;
pub mod ringing;
pub mod skew;
pub mod student;
