//! Shared readers for the tests in `tests/`.
