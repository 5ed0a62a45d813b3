//! Rows and columns in one text: rows by `;` or line, columns by `,`.

use alloc::string::String;

use super::text::is_blank_char;

/// The characters that a cell holds only as an escape, each with it.
const ESCAPES: [(char, &str); 5] = [
    ('%', "%25"),
    (',', "%2C"),
    (';', "%3B"),
    ('\n', "%0A"),
    ('\r', "%0D"),
];

/// The rows of a text, each an iterator of its cells; blank rows are skipped and cells trimmed.
///
/// ```
/// # use layshaft_core::entry::rows::split_rows;
/// let rows: Vec<Vec<&str>> = split_rows("spur,20,60; ;belt, 16,").map(Iterator::collect).collect();
/// assert_eq!(rows, [vec!["spur", "20", "60"], vec!["belt", "16", ""]]);
/// ```
pub fn split_rows(text: &str) -> impl Iterator<Item = impl Iterator<Item = &str>> {
    text.split([';', '\n', '\r'])
        .filter(|row| !row.chars().all(is_blank_char))
        .map(|row| row.split(',').map(|cell| cell.trim_matches(is_blank_char)))
}

/// A cell's text with `%2C`, `%3B`, `%25`, `%0A` and `%0D` as the characters they stand for; any other % stays.
pub fn unescape_cell(cell: &str) -> String {
    if !cell.contains('%') {
        return String::from(cell);
    }
    let mut text = String::with_capacity(cell.len());
    let mut rest = cell;
    while let Some(c) = rest.chars().next() {
        let escape = ESCAPES.iter().find(|(_, escape)| {
            rest.get(..escape.len())
                .is_some_and(|start| start.eq_ignore_ascii_case(escape))
        });
        let (plain, length) = escape.map_or((c, c.len_utf8()), |(plain, e)| (*plain, e.len()));
        text.push(plain);
        rest = rest.get(length..).unwrap_or_default();
    }
    text
}

/// A text as a cell that reads back as the same text, spaces at its ends apart.
///
/// ```
/// # use layshaft_core::entry::rows::{escape_cell, unescape_cell};
/// assert_eq!(escape_cell("bed, 60 %"), "bed%2C 60 %25");
/// assert_eq!(unescape_cell("bed%2C 60 %"), "bed, 60 %");
/// ```
pub fn escape_cell(text: &str) -> String {
    let mut cell = String::with_capacity(text.len());
    for c in text.chars() {
        match ESCAPES.iter().find(|(plain, _)| *plain == c) {
            Some((_, escape)) => cell.push_str(escape),
            None => cell.push(c),
        }
    }
    cell
}

#[cfg(test)]
mod tests {
    use super::*;
    use alloc::vec::Vec;

    fn cells(text: &str) -> Vec<Vec<&str>> {
        split_rows(text).map(Iterator::collect).collect()
    }

    #[test]
    fn rows_end_at_semicolons_and_lines() {
        let expected = [["a", "1"], ["b", "2"]];
        for text in [
            "a,1;b,2",
            "a,1\nb,2",
            "a,1\r\nb,2\r\n",
            " a , 1 ;; b,2 ; \u{200b}",
        ] {
            assert_eq!(cells(text), expected, "{text}");
        }
        assert!(cells("").is_empty() && cells(" ;\n; ").is_empty());
    }

    #[test]
    fn empty_cells_keep_their_place() {
        assert_eq!(cells("a,,3"), [["a", "", "3"]]);
        assert_eq!(cells(",,"), [["", "", ""]]);
    }

    #[test]
    fn escapes_are_read_and_a_lone_per_cent_stays() {
        assert_eq!(unescape_cell("60 %"), "60 %");
        assert_eq!(unescape_cell("%2c%3b%25"), ",;%");
        assert_eq!(unescape_cell("%252C"), "%2C");
        assert_eq!(unescape_cell("%2Ω%"), "%2Ω%");
        assert_eq!(escape_cell("a;b\nc"), "a%3Bb%0Ac");
    }
}
