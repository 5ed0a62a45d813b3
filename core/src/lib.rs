//! The calculations of Layshaft, without a browser.
//!
//! Two floors. Below: formulas by subject, plain functions on `f64` that need no heap. Above, with the feature `alloc`:
//! entries as people type them, the sheets that join both, links and machine records.
//!
//! ```text
//! link or saved machine -> entries (text) -> parsed inputs -> formulas -> answers + checks -> view, link, record
//! ```

#![no_std]

#[cfg(feature = "alloc")]
extern crate alloc;
#[cfg(test)]
extern crate std;

pub mod bead;
pub mod exact;
pub mod fraction;
pub mod frame;
pub mod heat;
pub mod material;
pub mod measure;
pub mod motion;
pub mod motor;
pub mod power;
pub mod reach;
pub mod sensor;

#[cfg(feature = "alloc")]
pub mod entry;
#[cfg(feature = "alloc")]
pub mod find;
#[cfg(feature = "alloc")]
pub mod link;
#[cfg(feature = "alloc")]
pub mod machine;
#[cfg(feature = "alloc")]
pub mod sheets;
#[cfg(feature = "alloc")]
pub mod study;
