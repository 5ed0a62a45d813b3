//! An entry of rows as a grid of cells: typed cell by cell, kept as one text.

use crate::dom::*;
use layshaft_core::entry::rows::{escape_cell, split_rows, unescape_cell};
use layshaft_core::sheets::{Field, Kind, Report};
use web_sys::Element;

use crate::field::{BEHAVIOUR, caption, mode};
use crate::markup::Markup;
use crate::stage::{all, around, focus, value};

/// Rows that stand ready where nothing was typed.
const READY: usize = 3;

/// The rows of a text, each with a cell for every column; more cells than columns stay in sight.
fn split(text: &str, columns: usize) -> Vec<Vec<String>> {
    let mut rows: Vec<Vec<String>> = split_rows(text)
        .map(|row| row.map(unescape_cell).collect())
        .collect();
    rows.resize(rows.len().max(READY), Vec::new());
    for row in &mut rows {
        row.resize(row.len().max(columns), String::new());
    }
    rows
}

/// The text of rows of cells; rows that are wholly blank are left out.
fn compose(rows: &[Vec<String>]) -> String {
    let rows = rows
        .iter()
        .filter(|cells| cells.iter().any(|cell| !cell.trim().is_empty()));
    let rows = rows.map(|cells| {
        cells
            .iter()
            .map(|cell| escape_cell(cell))
            .collect::<Vec<_>>()
            .join(",")
    });
    rows.collect::<Vec<_>>().join(";")
}

/// The most columns that stand beside each other.
const BESIDE: usize = 3;

/// The grid of a rows field.
pub fn put(out: &mut Markup, field: &Field, columns: &[Field], text: &str) {
    // Side by side only so many are wide enough to be read; more of them stand in each row under each other.
    out.raw(if columns.len() > BESIDE {
        "<div class=\"grid many\" role=group tabindex=-1 id=f-"
    } else {
        "<div class=grid role=group tabindex=-1 id=f-"
    })
    .raw(field.key)
    .raw(" aria-labelledby=l-")
    .raw(field.key);
    out.raw("><table><thead><tr>");
    for column in columns {
        out.raw("<th scope=col>")
            .words(&caption(column))
            .raw("</th>");
    }
    out.raw("<td></td></tr></thead><tbody>");
    for row in split(text, columns.len()) {
        put_row(out, columns, &row);
    }
    out.raw(
        "</tbody></table><button type=button class=add data-click=add-row>Add a row</button></div>",
    );
}

fn put_row(out: &mut Markup, columns: &[Field], cells: &[String]) {
    out.raw("<tr>");
    for (index, text) in cells.iter().enumerate() {
        let column = columns.get(index);
        let name = column.map_or_else(|| "One too many".into(), caption);
        out.raw("<td data-l=\"").words(&name).raw("\">");
        if let Some(Field {
            kind: Kind::Choice(options),
            ..
        }) = column
        {
            out.raw("<select aria-label=\"")
                .words(&name)
                .raw("\"><option value=\"\"></option>");
            for option in *options {
                out.raw("<option value=")
                    .raw(option.key)
                    .raw(if option.key == text {
                        " selected>"
                    } else {
                        ">"
                    });
                out.words(option.label).raw("</option>");
            }
            out.raw("</select></td>");
        } else {
            out.raw("<input aria-label=\"")
                .words(&name)
                .raw("\" value=\"")
                .words(text)
                .raw("\"")
                .raw(BEHAVIOUR);
            out.raw(column.map_or("", mode)).raw("></td>");
        }
    }
    out.raw("<td><button type=button class=remove data-click=drop-row aria-label=\"Remove this row\">×</button></td></tr>");
}

/// The cells of a grid as they stand in the page.
fn cells(grid: &Element) -> Vec<Vec<String>> {
    all(grid, "tbody tr")
        .iter()
        .map(|row| controls(row).iter().map(value).collect())
        .collect()
}

fn controls(row: &Element) -> Vec<Element> {
    all(row, "input, select")
}

/// The id and the text of the grid around an element.
pub fn read(from: &Element) -> Option<(String, String)> {
    let grid = around(from, ".grid")?;
    Some((grid.id(), compose(&cells(&grid))))
}

/// The id and the text of the grid around a cell once lines from a table or a log are pasted there; `None` when the
/// text is a plain cell's.
pub fn paste(from: &Element, text: &str) -> Option<(String, String)> {
    let (id, before) = read(from)?;
    Some((id, pasted(&before, text)?))
}

/// Rows and, behind them, those of a pasted text with its columns by tabs or semicolons, its lines by line ends.
fn pasted(before: &str, text: &str) -> Option<String> {
    if !text.contains(['\n', '\t']) {
        return None;
    }
    // With tabs or semicolons between the cells a comma is a decimal sign.
    let between: &[char] = if text.contains('\t') {
        &['\t']
    } else if text.contains(';') {
        &[';']
    } else {
        &[',']
    };
    let rows = text
        .lines()
        .map(|line| line.split(between).map(|cell| cell.trim().into()).collect());
    let rows: Vec<Vec<String>> = rows.collect();
    let added = compose(&rows);
    Some(if before.is_empty() {
        added
    } else {
        [before, ";", &added].concat()
    })
}

/// Shows what another hand changed, as undo does; the text as it was typed here stays.
pub fn refresh(report: &Report) {
    for (field, ..) in report.inputs.fields() {
        let Kind::Rows(columns) = field.kind else {
            continue;
        };
        let Some(grid) = element(&["f-", field.key].concat()) else {
            continue;
        };
        let text = report.entries.get(field.key).unwrap_or("");
        if compose(&cells(&grid)) != compose(&split(text, columns.len())) {
            let mut out = Markup::default();
            for row in split(text, columns.len()) {
                put_row(&mut out, columns, &row);
            }
            if let Ok(Some(body)) = grid.query_selector("tbody") {
                body.set_inner_html(&out.finish());
            }
        }
    }
}

/// Adds a blank row to the grid around an element, and goes to its first cell.
pub fn add(from: &Element) {
    let Some(grid) = around(from, ".grid") else {
        return;
    };
    let rows = all(&grid, "tbody tr");
    let Some(last) = rows.last() else { return };
    let Ok(row) = last.clone_node_with_deep(true) else {
        return;
    };
    _ = last.parent_node().map(|body| body.append_child(&row));
    let row: Element = wasm_bindgen::JsCast::unchecked_into(row);
    for control in controls(&row) {
        wasm_bindgen::JsCast::unchecked_ref::<web_sys::HtmlInputElement>(&control).set_value("");
    }
    if let Some(first) = controls(&row).first() {
        focus(first);
    }
}

/// Removes the row around an element, or empties the last one; gives its grid.
pub fn drop(from: &Element) -> Option<Element> {
    let (grid, row) = (around(from, ".grid")?, around(from, "tr")?);
    if all(&grid, "tbody tr").len() > 1 {
        row.remove();
    } else {
        for control in controls(&row) {
            wasm_bindgen::JsCast::unchecked_ref::<web_sys::HtmlInputElement>(&control)
                .set_value("");
        }
    }
    focus(&grid);
    Some(grid)
}

/// From a cell goes to the same column of the next row, which is made where there is none; whether `from` was a cell.
pub fn next(from: &Element) -> bool {
    let (Some(grid), Some(row)) = (around(from, ".grid"), around(from, "tr")) else {
        return false;
    };
    let Some(column) = controls(&row).iter().position(|control| control == from) else {
        return false;
    };
    if row.next_element_sibling().is_none() {
        add(&grid);
    }
    if let Some(next) = row.next_element_sibling()
        && let Some(cell) = controls(&next).get(column)
    {
        focus(cell);
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;
    use layshaft_core::sheets;

    #[test]
    fn cells_become_one_text_and_blank_rows_none() {
        let rows = [
            vec!["25".to_string(), "100k".into()],
            vec![String::new(), " ".into()],
            vec!["60".into(), String::new()],
        ];
        assert_eq!(compose(&rows), "25,100k;60,");
    }

    #[test]
    fn separators_inside_a_cell_are_kept() {
        let rows = vec![vec!["25,5; or 26".to_string(), "10 %".into()]];
        assert_eq!(split(&compose(&rows), 2).first(), rows.first());
    }

    #[test]
    fn a_table_or_a_log_is_pasted_whole() {
        assert_eq!(
            pasted("", "25\t100k\n60\t24,9k\n").as_deref(),
            Some("25,100k;60,24%2C9k")
        );
        assert_eq!(
            pasted("0,1", "25;100k\r\n\r\n60;24k").as_deref(),
            Some("0,1;25,100k;60,24k")
        );
        assert_eq!(pasted("", "0,25\n1,26").as_deref(), Some("0,25;1,26"));
        assert_eq!(pasted("0,1", "24,9k"), None);
    }

    #[test]
    fn cells_beyond_the_columns_stay_in_sight() {
        assert_eq!(split("25,100k,7", 2).first().map(Vec::len), Some(3));
        assert_eq!(
            split("", 2),
            vec![vec![String::new(), String::new()]; READY]
        );
    }

    #[test]
    fn every_cell_is_named_after_its_column() {
        let sheet = sheets::find("sensor").expect("it is listed");
        let field = sheet
            .fields
            .iter()
            .find(|field| field.key == "points")
            .expect("it is declared");
        let Kind::Rows(columns) = field.kind else {
            panic!("points are rows")
        };
        let mut out = Markup::default();
        put(&mut out, field, columns, "25,\"100k\"");
        let html = out.finish();
        assert!(
            html.contains("<input aria-label=\"Temperature,\u{a0}°C\" value=\"25\""),
            "{html}"
        );
        assert!(
            html.contains("<input aria-label=\"Resistance,\u{a0}Ω\" value=\"&quot;100k&quot;\""),
            "{html}"
        );
    }
}
