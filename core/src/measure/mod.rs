//! Proof on the bench: lines and planes through readings, how far they can be trusted, skew, ringing and tones.

pub mod line;
pub mod plane;
pub mod ringing;
pub mod skew;
pub mod student;
pub mod tone;
