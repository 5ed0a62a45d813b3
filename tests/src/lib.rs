//! Shared readers for the tests in `tests/`.

pub mod random;
