//! Heaters: what they reach, how they are controlled, and what stops them.
//!
//! Temperatures in degrees celsius where a name ends in `_c`, differences in kelvin where it ends in `_k`; times in
//! seconds, powers in watt.

pub mod closed_loop;
pub mod cutoff;
pub mod heater;
pub mod identify;
pub mod quadrature;
pub mod record;
pub mod relay;
pub mod tuning;
pub mod water;
