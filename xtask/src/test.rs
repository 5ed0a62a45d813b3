//! Soon.
use crate::{Arguments, Outcome};
pub fn run(_: &Arguments) -> Outcome {
    Ok(())
}
