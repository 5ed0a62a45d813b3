//! `cargo xtask screens`: pictures of the page, to be looked at and for the README.

use crate::test::browser_node;
use crate::tools::{at, run as call};
use crate::{Arguments, Outcome, site};

/// Builds the page, opens its sheets at a phone's and a desk's size, on paper and at night, and takes their pictures.
pub fn run(arguments: &Arguments) -> Outcome {
    if !arguments.has("--no-build") {
        site::build(&site::PAGE, false)?;
    }
    call(browser_node()?.arg(at("tests/browser/screens.mjs")))
}
