//! An entry of rows as a grid of cells: typed cell by cell, kept as one text.

use layshaft_core::entry::rows::{escape_cell, split_rows, unescape_cell};
use layshaft_core::sheets::{Field, Kind};
use leptos::ev::{Event, KeyboardEvent, MouseEvent};
use leptos::prelude::*;

use crate::field::{caption, mode, uncorrected};
use crate::sheet::Page;

/// Rows that stand ready where nothing was typed.
const READY: usize = 3;

/// One row: an id that stays with it, and its texts.
#[derive(Clone)]
struct Line {
    id: u32,
    cells: Vec<String>,
}

/// What the grid holds while it is edited.
#[derive(Clone, Copy)]
struct Grid {
    page: Page,
    field: &'static Field,
    columns: &'static [Field],
    lines: StoredValue<Vec<Line>>,
    ids: RwSignal<Vec<u32>>,
    /// The text as this grid last wrote it: any other comes from outside, as by undo.
    written: StoredValue<String>,
}

impl Grid {
    /// Takes the text of the entry apart.
    fn read(self, text: &str) {
        let mut lines: Vec<Line> = Vec::new();
        for (id, row) in (0..).zip(split_rows(text)) {
            let mut cells: Vec<String> = row.map(unescape_cell).collect();
            // More cells than columns are kept in sight: the message says what is wrong with them.
            cells.resize(cells.len().max(self.columns.len()), String::new());
            lines.push(Line { id, cells });
        }
        self.written.set_value(text.into());
        self.lines.set_value(lines);
        while self.lines.with_value(Vec::len) < READY {
            self.push();
        }
        self.show();
    }

    /// Has the rows drawn that there are.
    fn show(self) {
        self.ids.set(self.lines.with_value(|lines| lines.iter().map(|line| line.id).collect()));
    }

    fn push(self) -> u32 {
        let mut id = 0;
        self.lines.update_value(|lines| {
            id = lines.iter().map(|line| line.id + 1).max().unwrap_or(0);
            lines.push(Line { id, cells: vec![String::new(); self.columns.len()] });
        });
        id
    }

    /// Keeps the cells as the entry's text.
    fn write(self) {
        let text = self.lines.with_value(|lines| compose(lines.iter().map(|line| line.cells.as_slice())));
        self.written.set_value(text.clone());
        self.page.typed(self.field.key, &text);
    }

    fn set(self, id: u32, column: usize, text: String) {
        self.lines.update_value(|lines| {
            let line = lines.iter_mut().find(|line| line.id == id);
            if let Some(cell) = line.and_then(|line| line.cells.get_mut(column)) {
                *cell = text;
            }
        });
        self.write();
    }

    fn remove(self, id: u32) {
        self.lines.update_value(|lines| lines.retain(|line| line.id != id));
        self.show();
        self.write();
    }

    /// Goes to the same column of the next row, which is made where there is none.
    fn next(self, id: u32, column: usize) {
        let next = self.lines.with_value(|lines| {
            let at = lines.iter().position(|line| line.id == id)?;
            Some(lines.get(at + 1)?.id)
        });
        let next = next.unwrap_or_else(|| {
            let id = self.push();
            self.show();
            id
        });
        let cell = cell_id(self.field, next, column);
        // The new row is in the page after the signals have run.
        request_animation_frame(move || crate::view::focus(&cell));
    }
}

/// The text of rows of cells; rows that are wholly blank are left out.
fn compose<'a>(rows: impl Iterator<Item = &'a [String]>) -> String {
    let rows = rows.filter(|cells| cells.iter().any(|cell| !cell.trim().is_empty()));
    let rows = rows.map(|cells| cells.iter().map(|cell| escape_cell(cell)).collect::<Vec<_>>().join(","));
    rows.collect::<Vec<_>>().join(";")
}

fn cell_id(field: &Field, line: u32, column: usize) -> String {
    ["c-", field.key, "-", &line.to_string(), "-", &column.to_string()].concat()
}

/// The grid of a rows field.
pub fn rows(page: Page, field: &'static Field, columns: &'static [Field]) -> AnyView {
    let grid = Grid {
        page,
        field,
        columns,
        lines: StoredValue::new(Vec::new()),
        ids: RwSignal::new(Vec::new()),
        written: StoredValue::new(String::new()),
    };
    grid.read(&page.text_untracked(field.key));
    // What another hand changed, as undo does, is taken apart anew.
    Effect::new(move || {
        let text = page.text(field.key);
        if grid.written.with_value(|written| *written != text) {
            grid.read(&text);
        }
    });
    let add = move |_| {
        let id = grid.push();
        grid.show();
        let cell = cell_id(field, id, 0);
        request_animation_frame(move || crate::view::focus(&cell));
    };
    view! {
        <div class="grid" id=["f-", field.key].concat() role="group" aria-label=field.label>
            <table>
                <thead>
                    <tr>
                        {columns.iter().map(|column| view! { <th scope="col">{caption(column)}</th> }).collect_view()}
                        <th></th>
                    </tr>
                </thead>
                <tbody>
                    <For each=move || grid.ids.get() key=|id| *id children=move |id| line(grid, id) />
                </tbody>
            </table>
            <button type="button" class="add" on:click=add>"Add a row"</button>
        </div>
    }
    .into_any()
}

fn line(grid: Grid, id: u32) -> AnyView {
    let cells = grid.lines.with_value(|lines| lines.iter().find(|line| line.id == id).map(|line| line.cells.clone()));
    let cells = cells.unwrap_or_default().into_iter().enumerate().map(|(column, text)| cell(grid, id, column, text));
    view! {
        <tr>
            {cells.collect_view()}
            <td>
                <button type="button" class="remove" aria-label="Remove this row" on:click=move |_: MouseEvent| grid.remove(id)>"×"</button>
            </td>
        </tr>
    }
    .into_any()
}

/// One cell; its name is the column's.
fn cell(grid: Grid, line: u32, column: usize, text: String) -> AnyView {
    let field = grid.columns.get(column);
    let name = field.map_or_else(|| "One too many".into(), caption);
    let id = cell_id(grid.field, line, column);
    let typed = move |event: Event| grid.set(line, column, event_target_value(&event));
    if let Some(Field { kind: Kind::Choice(options), .. }) = field {
        let options = options.iter().map(|option| {
            view! { <option value=option.key selected=option.key == text>{option.label}</option> }
        });
        return view! {
            <td><select id=id aria-label=name on:input=typed><option value=""></option>{options.collect_view()}</select></td>
        }
        .into_any();
    }
    let key = move |event: KeyboardEvent| {
        if event.key() == "Enter" {
            event.prevent_default();
            event.stop_propagation();
            grid.next(line, column);
        }
    };
    view! {
        <td>
            <input
                id=id
                aria-label=name
                inputmode=field.and_then(mode)
                autocomplete="off"
                autocapitalize="none"
                {..uncorrected()}
                spellcheck="false"
                enterkeyhint="next"
                value=text
                on:input=typed
                on:keydown=key
            />
        </td>
    }
    .into_any()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_become_one_text_and_blank_rows_none() {
        let rows = [vec!["25".to_string(), "100k".into()], vec![String::new(), " ".into()], vec!["60".into(), String::new()]];
        assert_eq!(compose(rows.iter().map(Vec::as_slice)), "25,100k;60,");
    }

    #[test]
    fn separators_inside_a_cell_are_kept() {
        let rows = [vec!["25,5; or 26".to_string(), "10 %".into()]];
        let text = compose(rows.iter().map(Vec::as_slice));
        let back: Vec<Vec<String>> = split_rows(&text).map(|row| row.map(unescape_cell).collect()).collect();
        assert_eq!(back, rows);
    }
}
