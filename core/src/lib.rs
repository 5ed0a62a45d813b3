//! The calculations of Layshaft, without a browser.
#![no_std]
#[cfg(feature = "alloc")]
extern crate alloc;
pub mod sensor;
