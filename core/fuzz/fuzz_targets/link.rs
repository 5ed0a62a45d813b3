//! Any text behind a page's `#`: opened without a panic, worked out without NaN, and written again for good.
#![no_main]

use layshaft_core::link;
use layshaft_core::sheets::{Cell, Found};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let opened = link::read(text);
    for fault in &opened.faults {
        assert!(!fault.message().is_empty() && fault.message().chars().count() < 300);
    }
    let Some(sheet) = opened.sheet else {
        assert!(opened.faults.iter().any(link::Fault::is_error));
        return;
    };
    let report = sheet.run(&opened.entries);
    for (answer, found) in report.answers() {
        match found {
            Some(Found::Number(x)) => assert!(x.is_finite(), "{}", answer.key),
            Some(Found::List(list)) => {
                assert!(list.iter().all(|x| x.is_finite()), "{}", answer.key)
            }
            Some(Found::Rows(rows)) => {
                let finite = |cell: &Cell| !matches!(cell, Cell::Number(x) if !x.is_finite());
                assert!(rows.iter().flatten().all(finite), "{}", answer.key);
            }
            _ => {}
        }
        report.shown(answer);
    }
    report.working();
    // What is written is read without a fault but for keys that are not the sheet's, and is then written the same.
    let written = link::write_asking(&report, &opened.asked);
    let again = link::read(&written);
    let kept = |fault: &link::Fault| matches!(fault, link::Fault::UnknownKey(_));
    assert!(
        again.faults.iter().all(kept),
        "{written}: {:?}",
        again.faults
    );
    assert_eq!(again.asked, opened.asked, "{written}");
    let rewritten = link::write_asking(&sheet.run(&again.entries), &again.asked);
    assert_eq!(rewritten, written);
});
