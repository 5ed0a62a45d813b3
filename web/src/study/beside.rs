//! The rows of two designs beside each other: each that differs is a line, matched by its name where rows have names.

use layshaft_core::entry::rows::{split_rows, unescape_cell};
use layshaft_core::entry::unit::CELSIUS;
use layshaft_core::sheets::declare::Head;
use layshaft_core::sheets::{Cell, Field, Kind, cell_shown, head_sign, join_unit};

use super::compare::{differs, said};
use crate::figure::linked;

/// The most rows of one list that are shown.
const MOST: usize = 20;

/// One row as it is compared.
pub struct Row {
    /// What it is matched by; empty where rows have only their place.
    name: String,
    /// Its other cells as people read them.
    text: String,
    /// Its numbers by the column they stand in, with the text of each.
    numbers: Vec<Option<(f64, String)>>,
}

/// A row of which the designs differ, or one of which both have all the same.
pub struct Line {
    /// "Loads: Bed", "Points: row 3".
    pub label: String,
    /// The pinned, the present, and how they differ.
    pub cells: [String; 3],
}

/// The rows of an entry's text.
pub fn typed(columns: &[Field], text: &str) -> Vec<Row> {
    let named = matches!(
        columns,
        [
            Field {
                kind: Kind::Word,
                ..
            },
            ..
        ]
    );
    let rows = split_rows(text).map(|row| {
        let mut cells = row.map(unescape_cell).enumerate().map(|(at, cell)| {
            let cell = cell.trim();
            columns
                .get(at)
                .map_or(cell, |column| said(column, cell))
                .into()
        });
        let name = if named { cells.next() } else { None };
        Row {
            name: name.unwrap_or_default(),
            text: join(cells),
            numbers: Vec::new(),
        }
    });
    rows.filter(|row| !row.name.is_empty() || !row.text.is_empty())
        .collect()
}

/// The rows of an answer; where a row is a list of names it is there, or it is not.
pub fn found(heads: &[Head], rows: &[Vec<Cell>]) -> Vec<Row> {
    let shown = |(at, cell): (usize, &Cell)| {
        let head = heads.get(at);
        let text = cell_shown(cell, head);
        match (head, cell) {
            (Some(head), Cell::Number(_)) => join_unit(text, head_sign(head)),
            _ => text,
        }
    };
    let rows = rows.iter().map(|row| {
        if let [_] = heads
            && let Some(Cell::Text(_)) = row.first()
        {
            // In whatever order they stand.
            let mut names: Vec<_> = row.iter().map(|cell| cell_shown(cell, None)).collect();
            names.sort();
            return Row {
                name: names.join(" + "),
                text: "listed".into(),
                numbers: Vec::new(),
            };
        }
        let mut cells = row
            .iter()
            .enumerate()
            .filter(|(_, cell)| linked(cell).is_none());
        let named = matches!(row.first(), Some(Cell::Text(_)));
        let name = if named { cells.next().map(shown) } else { None };
        Row {
            name: name.unwrap_or_default(),
            text: join(cells.map(shown)),
            numbers: row
                .iter()
                .enumerate()
                .map(|(at, cell)| match cell {
                    Cell::Number(x) => Some((*x, shown((at, cell)))),
                    _ => None,
                })
                .collect(),
        }
    });
    rows.collect()
}

fn join(cells: impl Iterator<Item = String>) -> String {
    let cells = cells.filter(|cell| !cell.is_empty());
    cells.collect::<Vec<_>>().join(" · ")
}

/// The lines of a list called `label`; `heads` are those of an answer, empty for an entry.
pub fn lines(label: &str, heads: &[Head], old: Vec<Row>, new: Vec<Row>) -> Vec<Line> {
    let count = |rows: &[Row]| [&rows.len().to_string(), " rows"].concat();
    let counts = [count(&old), count(&new)];
    let mut lines = Vec::new();
    let (mut same, mut more) = (0_usize, 0_usize);
    let mut put = |place: usize, name: &str, old: Option<&Row>, new: Option<&Row>| {
        let differ = match (old, new) {
            (Some(old), Some(new)) if old.text == new.text => {
                same += 1;
                return;
            }
            (Some(old), Some(new))
                if heads.is_empty() || old.numbers.len() != new.numbers.len() =>
            {
                "changed".into()
            }
            (Some(old), Some(new)) => columns(heads, old, new),
            (None, _) => "only now".into(),
            (_, None) => "only pinned".into(),
        };
        if lines.len() >= MOST {
            more += 1;
            return;
        }
        let row = ["row ", &place.to_string()].concat();
        let text = |row: Option<&Row>| row.map_or_else(String::new, |row| row.text.clone());
        lines.push(Line {
            label: [label, ": ", if name.is_empty() { &row } else { name }].concat(),
            cells: [text(old), text(new), differ],
        });
    };
    // The pinned rows that are still to be matched.
    let mut left: Vec<Option<Row>> = old.into_iter().map(Some).collect();
    for (at, row) in new.iter().enumerate() {
        let place = if row.name.is_empty() {
            Some(at).filter(|at| matches!(left.get(*at), Some(Some(old)) if old.name.is_empty()))
        } else {
            left.iter()
                .position(|old| old.as_ref().is_some_and(|old| old.name == row.name))
        };
        let old = place.and_then(|place| left.get_mut(place)?.take());
        put(at + 1, &row.name, old.as_ref(), Some(row));
    }
    for (at, old) in left.iter().enumerate() {
        if let Some(old) = old {
            put(at + 1, &old.name, Some(old), None);
        }
    }
    if lines.is_empty() && same > 0 && !heads.is_empty() {
        let [old, new] = counts;
        lines.push(Line {
            label: label.into(),
            cells: [old, new, "same".into()],
        });
    } else if more > 0 {
        let words = [&more.to_string(), " more rows differ"].concat();
        lines.push(Line {
            label: label.into(),
            cells: [String::new(), String::new(), words],
        });
    }
    lines
}

/// "Height +0.5 mm, +10.0 %; Force -2 N, -4.0 %": the columns whose numbers differ.
fn columns(heads: &[Head], old: &Row, new: &Row) -> String {
    let pairs = old.numbers.iter().zip(&new.numbers).zip(heads);
    let parts = pairs.filter_map(|((old, new), head)| {
        let ((x, before), (y, after)) = (old.as_ref()?, new.as_ref()?);
        let by = differs(
            *x,
            *y,
            head.show,
            head_sign(head),
            head.unit != CELSIUS.unit.symbol,
        );
        (before != after).then(|| [head.label, " ", &by].concat())
    });
    let text = parts.collect::<Vec<_>>().join("; ");
    if text.is_empty() {
        "changed".into()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use layshaft_core::sheets::declare::head;

    const HEADS: &[Head] = &[
        head("Load", "", 3),
        head("Power", "W", 3),
        head("Wire", "", 3),
    ];

    fn row(name: &'static str, power: f64, wire: &'static str) -> Vec<Cell> {
        vec![
            Cell::Text(name.into()),
            Cell::Number(power),
            Cell::Text(wire.into()),
        ]
    }

    fn told(old: &[Vec<Cell>], new: &[Vec<Cell>]) -> Vec<String> {
        let lines = lines("Loads", HEADS, found(HEADS, old), found(HEADS, new));
        let tell = |line: Line| [line.label, line.cells.join(" | ")].join(" | ");
        lines.into_iter().map(tell).collect()
    }

    #[test]
    fn rows_are_matched_by_name_wherever_they_stand() {
        let old = [
            row("Bed", 200.0, "1.5"),
            row("Fan", 5.0, "0.2"),
            row("Fan", 5.0, "0.2"),
        ];
        let new = [
            row("Fan", 5.0, "0.2"),
            row("Light", 12.0, "0.2"),
            row("Bed", 220.0, "1.5"),
            row("Fan", 6.0, "0.2"),
        ];
        assert_eq!(
            told(&old, &new),
            [
                "Loads: Light |  | 12.0\u{a0}W · 0.2 | only now",
                "Loads: Bed | 200\u{a0}W · 1.5 | 220\u{a0}W · 1.5 | Power +20.0\u{a0}W, +10.0\u{a0}%",
                "Loads: Fan | 5.00\u{a0}W · 0.2 | 6.00\u{a0}W · 0.2 | Power +1.00\u{a0}W, +20.0\u{a0}%",
            ]
        );
        assert_eq!(told(&old, &old), ["Loads | 3 rows | 3 rows | same"]);
        assert_eq!(
            told(&old, &old[..2]),
            ["Loads: Fan | 5.00\u{a0}W · 0.2 |  | only pinned"]
        );
        assert_eq!(
            told(&old[..1], &[row("Bed", 200.0, "2.5")]),
            ["Loads: Bed | 200\u{a0}W · 1.5 | 200\u{a0}W · 2.5 | changed"]
        );
        assert!(told(&[], &[]).is_empty());
    }

    #[test]
    fn a_row_of_names_is_there_or_not() {
        let heads = &[head("On together", "", 3)];
        let names = |names: &[&'static str]| {
            names
                .iter()
                .map(|name| Cell::Text((*name).into()))
                .collect::<Vec<_>>()
        };
        let old = found(heads, &[names(&["Bed", "Fan"]), names(&["Bed", "Light"])]);
        let new = found(heads, &[names(&["Fan", "Bed"]), names(&["Bed"])]);
        let lines = lines("Sets", heads, old, new);
        let told = lines
            .iter()
            .map(|line| (line.label.as_str(), line.cells.join("|")));
        assert_eq!(
            told.collect::<Vec<_>>(),
            [
                ("Sets: Bed", "|listed|only now".into()),
                ("Sets: Bed + Light", "listed||only pinned".into())
            ]
        );
    }

    #[test]
    fn rows_without_a_name_are_matched_by_their_place_and_long_lists_are_cut() {
        let rows = |add: f64| {
            (0..30)
                .map(|i| vec![Cell::Number(f64::from(i) + add)])
                .collect::<Vec<_>>()
        };
        let told = told(&rows(0.0), &rows(1.0));
        assert_eq!(told.len(), MOST + 1);
        assert_eq!(
            told.first().map(String::as_str),
            Some("Loads: row 1 | 0.00 | 1.00 | Load +1.00")
        );
        assert_eq!(
            told.last().map(String::as_str),
            Some("Loads |  |  | 10 more rows differ")
        );
    }

    #[test]
    fn typed_rows_are_compared_as_they_are_read() {
        let columns = [Field::word("name", "Name"), Field::word("watts", "Power")];
        let [old, new] = ["Bed,200;Fan,5", "Fan, 5 ;Bed,220"].map(|text| typed(&columns, text));
        let lines = lines("Loads", &[], old, new);
        let [line] = lines.as_slice() else {
            panic!("{}", lines.len())
        };
        assert_eq!(
            (line.label.as_str(), line.cells.join("|").as_str()),
            ("Loads: Bed", "200|220|changed")
        );
    }
}
