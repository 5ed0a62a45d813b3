//! Reading and writing quantities as people type them.
//!
//! ```text
//! typed text -> text: plain characters -> unit: the suffix -> product: numbers, × and ÷ -> number: value ± half width
//! ```
//!
//! A text is read whole or refused with a [`Cause`](cause::Cause); nothing is guessed, nothing panics, and no value is
//! ever NaN or infinite. There is one reader of numbers ([`number`]) and one writer ([`write`](mod@write)) in the whole
//! project, because the standard library's own cost 25 KB in the page.

pub mod cause;
pub mod log;
pub mod number;
mod product;
#[cfg(test)]
mod properties;
pub mod rows;
// One unit a line, to be read as a table.
#[rustfmt::skip]
mod table;
mod text;
pub mod thread;
pub mod unit;
pub mod write;
