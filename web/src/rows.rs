//! An entry of rows as a grid of cells: typed cell by cell, kept as one text.

use crate::dom::*;
use layshaft_core::entry::rows::{escape_cell, split_rows, unescape_cell};
use layshaft_core::sheets::{Field, Kind, MOST_ROWS, Report};
use wasm_bindgen::JsCast;
use web_sys::{Element, HtmlInputElement};

use crate::field::{BEHAVIOUR, caption, entry as entry_of, mode};
use crate::log;
use crate::markup::Markup;
use crate::stage::{all, around, fill, focus, value};

/// Rows that stand ready where nothing was typed.
const READY: usize = 3;

/// The cells of each row of a text.
fn read_rows(text: &str) -> Vec<Vec<String>> {
    split_rows(text)
        .map(|row| row.map(unescape_cell).collect())
        .collect()
}

/// The rows of a text, each with a cell for every column; more cells than columns stay in sight.
fn split(text: &str, columns: usize) -> Vec<Vec<String>> {
    let mut rows = read_rows(text);
    rows.resize(rows.len().max(READY), Vec::new());
    for row in &mut rows {
        row.resize(row.len().max(columns), String::new());
    }
    rows
}

/// The text of rows of cells; rows that are wholly blank are left out.
fn compose(rows: &[Vec<String>]) -> String {
    let rows = rows.iter().filter(|cells| filled(cells)).map(|cells| {
        cells
            .iter()
            .map(|cell| escape_cell(cell))
            .collect::<Vec<_>>()
            .join(",")
    });
    rows.collect::<Vec<_>>().join(";")
}

/// Whether a row has anything in it.
fn filled(cells: &[String]) -> bool {
    cells.iter().any(|cell| !cell.trim().is_empty())
}

/// A text with a row put back where it stood.
pub fn put_back(text: &str, at: usize, row: Vec<String>) -> String {
    let mut rows = read_rows(text);
    rows.insert(at.min(rows.len()), row);
    compose(&rows)
}

/// A row that was taken out of a list: where among the filled rows it stood, and its cells.
#[derive(Clone, Debug)]
pub struct Taken {
    /// How many filled rows stand before it.
    pub at: usize,
    /// Its cells.
    pub row: Vec<String>,
}

/// The most columns that stand beside each other.
const BESIDE: usize = 3;

/// Whether there are more rows than a grid shows: they stand as text, as a log does, and are too many to be read too.
pub fn is_endless(text: &str) -> bool {
    // A row has two characters at least.
    text.len() > 2 * MOST_ROWS && split_rows(text).nth(MOST_ROWS).is_some()
}

/// The grid of a rows field.
pub fn put(out: &mut Markup, field: &'static Field, columns: &[Field], text: &str) {
    if is_endless(text) {
        out.raw("<div class=log>");
        log::put_text(out, field.key, &log::shown(text));
        out.raw("</div>");
        return;
    }
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
    out.raw("</tbody></table><p class=tally><span id=c-")
        .raw(field.key)
        .raw(
            "></span></p><div class=pair><button type=button class=add data-click=add-row>Add a row</button><button type=button \
            class=add data-click=undo-row>Undo last row</button></div><div id=b-",
        )
        .raw(field.key)
        .raw("></div></div>");
}

/// The offer to put back a row that was taken out of the list of this key.
pub fn offer(key: &str, row: &[String]) {
    let mut out = Markup::default();
    out.raw("<button type=button class=add data-click=\"put-back ")
        .words(key)
        .raw("\">Put back ")
        .words(&row.join(" · "))
        .raw("</button>");
    fill(&["b-", key].concat(), &out.finish());
}

fn put_row(out: &mut Markup, columns: &[Field], cells: &[String]) {
    out.raw("<tr>");
    for (index, text) in cells.iter().enumerate() {
        let column = columns.get(index);
        let name = column.map_or_else(|| "One too many".into(), caption);
        out.raw("<td data-l=\"").words(&name).raw("\">");
        if let Some(Field {
            kind: Kind::Choice(options),
            optional,
            ..
        }) = column
        {
            out.raw(if *optional {
                "<select data-o aria-label=\""
            } else {
                "<select aria-label=\""
            })
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

/// A choice that may stay blank: it follows the row above, and is passed over on the way to the next cell.
fn follows(control: &Element) -> bool {
    control.has_attribute("data-o")
}

/// Puts a text into a control.
fn write(control: &Element, text: &str) {
    control.unchecked_ref::<HtmlInputElement>().set_value(text);
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
        let text = report.entries.get(field.key).unwrap_or("");
        let Some(grid) =
            element(&["f-", field.key].concat()).filter(|grid| grid.has_attribute("role"))
        else {
            continue;
        };
        if is_endless(text) {
            // Pasted: from now on they stand as text.
            if let Some(entry) = grid.parent_element() {
                entry.set_inner_html(&entry_of(report, field));
            }
            continue;
        }
        let tally = split_rows(text).count().to_string();
        let tally = [field.label, ": ", &tally].concat();
        let told = element(&["c-", field.key].concat());
        if let Some(told) = told.filter(|told| told.text_content().as_ref() != Some(&tally)) {
            told.set_text_content(Some(&tally));
        }
        if compose(&cells(&grid)) != compose(&split(text, columns.len())) {
            let mut out = Markup::default();
            for row in split(text, columns.len()) {
                put_row(&mut out, columns, &row);
            }
            if let Ok(Some(body)) = grid.query_selector("tbody") {
                let within = body.contains(document().active_element().as_deref());
                body.set_inner_html(&out.finish());
                // Whoever pasted into a cell goes on from the last one.
                if let Some(last) = all(&body, "tr").last().filter(|_| within) {
                    enter(last);
                }
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
    let row: Element = row.unchecked_into();
    for control in controls(&row) {
        write(&control, "");
    }
    enter(&row);
}

/// Goes to the first cell of a row.
fn enter(row: &Element) {
    if let Some(first) = controls(row).first() {
        go(first);
    }
}

/// Goes to a cell; what stands in it is ready to be typed over.
fn go(cell: &Element) {
    focus(cell);
    cell.dyn_ref::<HtmlInputElement>()
        .map(HtmlInputElement::select);
}

/// The first text typed into a row takes the row's blank choices from the row above: the direction of approach stays
/// until it is turned.
pub fn follow_above(from: &Element) {
    let Some(row) = around(from, "tr") else {
        return;
    };
    let cells = controls(&row);
    let fresh = cells
        .iter()
        .all(|cell| cell == from || value(cell).is_empty());
    if let Some(above) = row.previous_element_sibling().filter(|_| fresh) {
        for (cell, above) in cells.iter().zip(controls(&above)) {
            if follows(cell) && cell != from {
                write(cell, &value(&above));
            }
        }
    }
}

/// Empties the last filled row of the grid around an element and goes there; what stood in it.
pub fn undo(from: &Element) -> Option<Taken> {
    let grid = around(from, ".grid")?;
    let rows: Vec<Element> = all(&grid, "tbody tr");
    let texts = cells(&grid);
    let last = texts.iter().rposition(|cells| filled(cells))?;
    let (row, at) = (rows.get(last)?, filled_before(&texts, last));
    for control in controls(row) {
        write(&control, "");
    }
    enter(row);
    let row = texts.into_iter().nth(last)?;
    Some(Taken { at, row })
}

fn filled_before(rows: &[Vec<String>], at: usize) -> usize {
    rows.iter().take(at).filter(|cells| filled(cells)).count()
}

/// Removes the row around an element, or empties the only one; gives its grid, and what stood in it.
pub fn drop(from: &Element) -> Option<(Element, Option<Taken>)> {
    let (grid, row) = (around(from, ".grid")?, around(from, "tr")?);
    let (rows, texts) = (all(&grid, "tbody tr"), cells(&grid));
    let at = rows.iter().position(|other| *other == row)?;
    if rows.len() > 1 {
        row.remove();
    } else {
        for control in controls(&row) {
            write(&control, "");
        }
    }
    // The finger, and the focus, find the button of the row that came up, or of the last.
    let buttons = all(&grid, ".remove");
    if let Some(button) = buttons.get(at).or(buttons.last()) {
        focus(button);
    }
    let before = filled_before(&texts, at);
    let taken = texts
        .into_iter()
        .nth(at)
        .filter(|cells| filled(cells))
        .map(|row| Taken { at: before, row });
    Some((grid, taken))
}

/// From a cell goes to the next one: in its row, else the first of the next row, which is made where there is none.
///
/// # Errors
/// Behind which control to go on: `from` itself where it is no cell, the last of the list from a row left blank.
pub fn next(from: &Element) -> Result<(), Element> {
    let (Some(grid), Some(row)) = (around(from, ".grid"), around(from, "tr")) else {
        return Err(from.clone());
    };
    let cells = controls(&row);
    if cells.iter().all(|cell| value(cell).is_empty()) {
        return Err(controls(&grid).pop().unwrap_or(from.clone()));
    }
    let behind = cells.iter().skip_while(|cell| *cell != from).skip(1);
    if let Some(cell) = behind.into_iter().find(|cell| !follows(cell)) {
        go(cell);
    } else if let Some(next) = row.next_element_sibling() {
        enter(&next);
    } else {
        add(&grid);
    }
    Ok(())
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
    fn a_row_is_put_back_where_it_stood() {
        let row = || vec!["60".to_string(), "24,9k".into()];
        assert_eq!(
            put_back("25,100k;100,7k", 1, row()),
            "25,100k;60,24%2C9k;100,7k"
        );
        assert_eq!(put_back("", 3, row()), "60,24%2C9k");
    }

    #[test]
    fn an_optional_choice_is_passed_over_on_the_way_to_the_next_cell() {
        for (sheet, key, passed) in [("proof", "readings", 1), ("mass", "items", 0)] {
            let sheet = sheets::find(sheet).expect("it is listed");
            let field = sheet.fields.iter().find(|field| field.key == key);
            let Some(Field {
                kind: Kind::Rows(columns),
                ..
            }) = field
            else {
                panic!("{key} are rows")
            };
            let mut out = Markup::default();
            put_row(&mut out, columns, &vec![String::new(); columns.len()]);
            assert_eq!(out.finish().matches("data-o").count(), passed, "{key}");
        }
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
