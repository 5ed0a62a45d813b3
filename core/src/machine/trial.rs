//! What the tests of machines share: a machine from the lines of its record.

use std::format;

use super::Machine;
use crate::link::checksum;

/// The machine of these lines, as they stand in a record after its name.
pub(super) fn machine(lines: &str) -> Machine {
    let body = format!("layshaft machine 1\nname=Trial\n{}\n", lines.trim());
    match Machine::read(&format!("{body}k={}\n", checksum(&body))) {
        Ok(machine) => machine,
        Err(fault) => panic!("{}", fault.message()),
    }
}
