//! Any text as a saved machine: read or set aside without a panic; what is read is written and read again for good.
#![no_main]

use layshaft_core::machine::Machine;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    // As it is, and with a head and check digits that fit, so that the lines between are reached too.
    let machine = match Machine::read(text) {
        Ok(machine) => machine,
        Err(fault) => {
            assert!(!fault.message().is_empty());
            let mut pieces = text.split('\u{1}');
            let mut machine = Machine {
                name: pieces.next().unwrap_or("").into(),
                ..Machine::default()
            };
            for piece in pieces {
                let mut fields = piece.split('\u{2}');
                let mut part = layshaft_core::machine::Part {
                    name: fields.next().unwrap_or("").into(),
                    ..Default::default()
                };
                while let (Some(sheet), Some(key), Some(value)) =
                    (fields.next(), fields.next(), fields.next())
                {
                    // A sheet without an id is none: it has no line of its own.
                    if !sheet.is_empty() {
                        part.sheets
                            .push((sheet.into(), [(key, value)].into_iter().collect()));
                    }
                }
                machine.parts.push(part);
            }
            machine
        }
    };
    let written = machine.write();
    let again = Machine::read(&written).expect("what was written is read");
    assert_eq!(again, machine, "{written}");
});
