//! Any text as a machine's link, and any machine as a link and in pieces: refused in words, or the same machine comes back.
#![no_main]

use layshaft_core::machine::{Machine, Moved};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: (u8, &str)| {
    let (length, text) = data;
    let machine = match Machine::read_link(text) {
        Ok(Moved::Whole(machine)) => machine,
        Ok(Moved::Piece { number, of, .. }) => {
            assert!((1..100).contains(&number) && (1..100).contains(&of));
            return;
        }
        Err(fault) => {
            assert!(!fault.message().is_empty());
            // As a record without its check, so that the packing is reached.
            let mut machine = Machine {
                name: text.chars().filter(|c| !c.is_control()).collect(),
                ..Machine::default()
            };
            let mut part = layshaft_core::machine::Part::default();
            part.set("travel", [("pitch", text)].into_iter().collect());
            machine.parts.push(part);
            machine
        }
    };
    let link = machine.link().expect("it is short");
    let Ok(Moved::Whole(again)) = Machine::read_link(&link) else {
        panic!("{link}")
    };
    assert_eq!(again.link().as_ref(), Some(&link));
    let texts: Vec<String> = Machine::pieces(&link, usize::from(length))
        .iter()
        .map(|piece| match Machine::read_link(piece) {
            Ok(Moved::Piece { text, .. }) => text,
            _ => String::new(),
        })
        .collect();
    if texts.len() < 100 {
        assert_eq!(Machine::joined(&texts), link);
    }
});
