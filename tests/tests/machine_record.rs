//! The build record read back by others: CSV by the `csv` crate (RFC 4180), Markdown by `pulldown-cmark` (CommonMark).
#![cfg(not(target_arch = "wasm32"))]

use layshaft_core::machine::{Machine, Record, example};
use pulldown_cmark::{Event, Options, Parser, Tag};

const SITE: &str = "https://example.org/layshaft/";

fn heron() -> Machine {
    match example::machine() {
        Ok(machine) => machine,
        Err(fault) => panic!("{}", fault.message()),
    }
}

fn record(machine: &Machine) -> Record {
    machine.record(&machine.work())
}

/// The example with a name that tries every mark of the formats.
fn hostile() -> Machine {
    let mut machine = heron();
    for part in &mut machine.parts {
        part.name += " =1,\"2\"\r\n<b>*x*_y_[z](http://x)`|&amp; ![i](j) ~~s~~ @who #1";
    }
    machine
}

#[test]
fn every_row_of_the_csv_has_every_column() {
    for machine in [heron(), hostile()] {
        let record = record(&machine);
        let text = record.csv(SITE);
        let mut reader = csv::ReaderBuilder::new().from_reader(text.as_bytes());
        let heads = reader
            .headers()
            .map(csv::StringRecord::len)
            .unwrap_or_default();
        assert_eq!(heads, 12);
        let rows: Vec<csv::StringRecord> = match reader.records().collect() {
            Ok(rows) => rows,
            Err(error) => panic!("{error}"),
        };
        let answers: usize = record
            .parts
            .iter()
            .flat_map(|part| &part.sheets)
            .map(|sheet| sheet.answers.len())
            .sum();
        let found = rows
            .iter()
            .filter(|row| row.get(2) == Some("answer"))
            .count();
        assert_eq!(found, answers);
        // Parts keep their names, but for the apostrophe before what a spreadsheet would work out.
        for part in &record.parts {
            assert!(
                rows.iter()
                    .any(|row| row.get(0) == Some(part.name.as_str())),
                "{}",
                part.name
            );
        }
        for row in rows.iter().filter(|row| row.get(2) == Some("answer")) {
            let value = row.get(6).unwrap_or_default();
            assert!(
                value.is_empty() || value.parse::<f64>().is_ok_and(f64::is_finite),
                "{value}"
            );
        }
    }
}

/// What CommonMark with the extensions of forums makes of the record: words, links and headings.
fn read(text: &str) -> (String, Vec<String>, usize) {
    let (mut words, mut links, mut headings) = (String::new(), Vec::new(), 0);
    for event in Parser::new_ext(
        text,
        Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH | Options::ENABLE_TASKLISTS,
    ) {
        match event {
            Event::Text(text) => words.push_str(&text),
            Event::Start(Tag::Link { dest_url, .. }) => links.push(dest_url.to_string()),
            Event::Start(Tag::Heading { .. }) => headings += 1,
            Event::Start(
                Tag::Image { .. } | Tag::Emphasis | Tag::Strikethrough | Tag::CodeBlock(_),
            ) => panic!("{event:?}"),
            Event::Html(html) | Event::InlineHtml(html) => panic!("{html}"),
            Event::Code(code) => panic!("{code}"),
            _ => {}
        }
    }
    (words, links, headings)
}

#[test]
fn the_markdown_shows_the_words_and_makes_no_markup_of_names() {
    for machine in [heron(), hostile()] {
        let record = record(&machine);
        let (words, links, headings) = read(&record.markdown(SITE));
        for part in &record.parts {
            // Line ends become spaces, which is what Markdown shows for them.
            let name: String = part
                .name
                .chars()
                .map(|c| if c.is_control() { ' ' } else { c })
                .collect();
            assert!(words.contains(&name), "{name}");
            for sheet in &part.sheets {
                let link = [SITE, "#", &sheet.link].concat();
                assert!(links.contains(&link), "{link}");
                for answer in &sheet.answers {
                    assert!(words.contains(answer.label), "{}", answer.label);
                }
            }
        }
        assert!(links.iter().all(|link| link.starts_with(SITE)));
        let sheets: usize = record.parts.iter().map(|part| part.sheets.len()).sum();
        assert_eq!(headings, 1 + 1 + record.parts.len() + sheets + 1 + 1 + 6);
    }
}
