//! The supply and what hangs on it: conductors, fuses, and which loads fit together.
//!
//! Currents in ampere, powers in watt, lengths of wire in metre one way, cross-sections in mm².

pub mod budget;
pub mod wire;
