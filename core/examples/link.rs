//! The complete link of a calculation, to go behind `#` in the page's address.
//!
//! ```text
//! cargo run -q -p layshaft-core --example link -- 'travel?pitch=2&teeth=20'
//! cargo run -q -p layshaft-core --example link -- -      # one query a line, one link a line
//! ```
//!
//! It takes the text that `answer` takes. Defaults are written out and check digits put at the end, so that the link opens
//! the same calculation in every later version. A query without a known sheet has a blank line; the exit code is then 2.

use std::io::{BufRead, Write};
use std::process::ExitCode;

use layshaft_core::link;

fn main() -> ExitCode {
    let query = std::env::args().nth(1);
    match query.as_deref() {
        None => {
            eprintln!("usage: link 'sheet?key=value&key=value', or link - for one query a line");
            ExitCode::from(2)
        }
        Some("-") => match each_line() {
            Ok(code) => code,
            Err(error) => {
                eprintln!("link: {error}");
                ExitCode::FAILURE
            }
        },
        Some(query) => {
            let text = whole(query);
            println!("{text}");
            exit(!text.is_empty())
        }
    }
}

fn exit(good: bool) -> ExitCode {
    if good {
        ExitCode::SUCCESS
    } else {
        ExitCode::from(2)
    }
}

/// Writes a link for each line of the standard input.
fn each_line() -> std::io::Result<ExitCode> {
    let mut all_good = true;
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let text = whole(&line?);
        writeln!(out, "{text}")?;
        all_good &= !text.is_empty();
    }
    Ok(exit(all_good))
}

/// The link text of a query; empty when there is no such sheet.
fn whole(query: &str) -> String {
    let opened = link::read(query);
    opened.sheet.map_or_else(String::new, |sheet| {
        link::write_asking(&sheet.run(&opened.entries), &opened.asked)
    })
}
