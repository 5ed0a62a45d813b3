//! `cargo xtask screens`: pictures of the page, to be looked at and for the README.

use crate::test::browser_node;
use crate::tools::{at, run as call};
use crate::{Arguments, Outcome, site};

/// Builds the page and takes a picture of every view at every size, on paper and at night; with `--tour` those of the README.
pub fn run(arguments: &Arguments) -> Outcome {
    if !arguments.has("--no-build") {
        site::build(&site::PAGE, false)?;
    }
    let mut pictures = browser_node()?;
    pictures.arg(at("tests/browser/screens.mjs"));
    if arguments.has("--tour") {
        pictures.arg("--tour");
    }
    call(&mut pictures)
}
