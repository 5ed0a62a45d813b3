//! The figures of a sheet: its drawing, and each answer that has rows as a chart with the same data as a table.

use crate::dom::*;
use layshaft_core::entry::write::write_fixed;
use layshaft_core::sheets::declare::{Answer, Head, Show};
use layshaft_core::sheets::{Cell, Found, Report, Sheet, cell_shown, head_sign};
use wasm_bindgen::JsCast;
use web_sys::{Element, HtmlInputElement, PointerEvent};

use crate::chart::{self, Chart};
use crate::drawing::{self, Line, Marks, Pen};
use crate::markup::Markup;
use crate::sheet::Page;
use crate::stage::{around, fill, paint};

/// How one figure is looked at.
#[derive(Clone, Copy)]
struct Look {
    answer: &'static Answer,
    /// The row at which the chart is read; `None` for the one at today's value.
    row: Option<usize>,
    /// Whether the table is open.
    open: bool,
    /// How many rows of a list are shown.
    shown: usize,
}

/// A list is shown by so many rows at a time: a page with thousands of them stands still.
const ROWS: usize = 10;

/// The answers of a page that have rows, and how each is looked at.
#[derive(Clone, Copy)]
pub struct Figures {
    page: Page,
    looks: Signal<Vec<Look>>,
}

/// The markup that the figures of a sheet are painted into; one without content does not show.
pub fn frames(out: &mut Markup, sheet: &Sheet) {
    if drawing::draws(sheet.id) {
        out.raw("<section class=\"figure own\"><h2>Drawing</h2><figure class=part id=drawing></figure></section>");
    }
    for answer in sheet.answers {
        let key = answer.key;
        match answer.show {
            // Answers of one key under different choices share a frame.
            _ if first(sheet, key).is_none_or(|first| !std::ptr::eq(first, answer)) => {}
            Show::Rows(_) | Show::Curve(..) => {
                let scattered = drawing::scattered(sheet.id, key).is_some();
                let curve = matches!(answer.show, Show::Curve(..));
                out.raw(if scattered {
                    "<section class=\"figure own\"><h2 id=h-"
                } else {
                    "<section class=figure><h2 id=h-"
                });
                out.raw(key).raw("></h2>");
                if curve || scattered {
                    out.raw("<figure><div class=\"drawing plot\" data-plot=")
                        .raw(key);
                    out.raw("><div class=part id=p-")
                        .raw(key)
                        .raw("></div></div><div id=s-");
                    out.raw(key)
                        .raw("></div><p class=read id=r-")
                        .raw(key)
                        .raw("></p></figure>");
                }
                if curve {
                    out.raw("<details data-table=")
                        .raw(key)
                        .raw("><summary>The same as a table</summary>");
                }
                out.raw("<div class=\"part table\" tabindex=0 role=region aria-labelledby=h-")
                    .raw(key);
                out.raw(" id=t-").raw(key).raw("></div>");
                out.raw(if curve {
                    "</details></section>"
                } else {
                    "</section>"
                });
            }
            _ => {}
        }
    }
}

/// The first answer of this key.
fn first(sheet: &Sheet, key: &str) -> Option<&'static Answer> {
    sheet.answers.iter().find(|answer| answer.key == key)
}

impl Figures {
    /// Those of a page.
    pub fn of(page: Page) -> Self {
        let figures = page.sheet.answers.iter().filter(|answer| {
            matches!(answer.show, Show::Rows(_) | Show::Curve(..))
                && first(page.sheet, answer.key).is_some_and(|first| std::ptr::eq(first, *answer))
        });
        let looks = figures
            .map(|answer| Look {
                answer,
                row: None,
                open: false,
                shown: ROWS,
            })
            .collect();
        Self {
            page,
            looks: Signal::new(looks),
        }
    }

    fn look(self, key: &str) -> Option<Look> {
        self.looks
            .with(|looks| looks.iter().find(|look| look.answer.key == key).copied())
    }

    fn change(self, key: &str, change: impl Fn(&mut Look)) {
        self.looks.update(|looks| {
            looks
                .iter_mut()
                .filter(|look| look.answer.key == key)
                .for_each(change)
        });
    }

    /// Paints them from now on.
    pub fn start(self) {
        let report = self.page.report;
        if drawing::draws(self.page.sheet.id) {
            paint("drawing", move || report.with(|report| own(report)));
        }
        for Look { answer, .. } in self.looks.get_untracked() {
            let key = answer.key;
            let id = |part: &str| [part, key].concat();
            paint(id("h-"), move || {
                report.with(|report| report.answer(key).map_or("", |answer| answer.label).into())
            });
            let curve = matches!(answer.show, Show::Curve(..));
            let charted = curve || drawing::scattered(self.page.sheet.id, key).is_some();
            paint(id("t-"), move || {
                let look = self.look(key).filter(|look| !curve || look.open);
                report.with(|report| match rows(report, key).zip(look) {
                    Some(((heads, rows), look)) => {
                        let most = if curve { rows.len() } else { look.shown };
                        part_of_table(key, heads, rows, most)
                    }
                    None => String::new(),
                })
            });
            if charted {
                // Made anew only when the number of rows changes: a slider that is held must stay.
                paint(id("s-"), move || {
                    slider(
                        key,
                        report.with(|report| rows(report, key).map_or(0, |(_, rows)| rows.len())),
                    )
                });
                paint(id("p-"), move || self.plot(key));
            }
        }
    }

    /// The chart with its cursor; reads it there, too.
    fn plot(self, key: &str) -> String {
        let look = self.look(key);
        self.page.report.with(|report| {
            let pinned = self.page.pinned(report);
            let Some(chart) = draw(report, key, pinned.as_deref()) else {
                return String::new();
            };
            let last = chart.places.len().saturating_sub(1);
            let here = || chart.nearest(chart.mark.unwrap_or(chart::WIDTH / 2.0));
            let row = look
                .and_then(|look| look.row)
                .map_or_else(here, |row| row.min(last));
            fill(
                &["r-", key].concat(),
                &rows(report, key).map_or_else(String::new, |(heads, rows)| read(heads, rows, row)),
            );
            if let Some(slider) = element(&["x-", key].concat()) {
                slider
                    .unchecked_ref::<HtmlInputElement>()
                    .set_value(&row.to_string());
            }
            let label = report.answer(key).map_or("", |answer| answer.label);
            plot(&chart, row, label)
        })
    }

    /// Reads the chart of an answer at a row.
    pub fn choose(self, key: &str, row: Option<usize>) {
        self.change(key, |look| look.row = row);
    }

    /// Shows more rows of a list.
    pub fn more(self, key: &str) {
        self.change(key, |look| look.shown += ROWS);
    }

    /// Reads the chart under a finger.
    pub fn follow(self, from: &Element, event: &PointerEvent) {
        let Some(plot) = around(from, "[data-plot]") else {
            return;
        };
        let key = plot.get_attribute("data-plot").unwrap_or_default();
        let x = across(&plot, event);
        let flat = drawing::scattered(self.page.sheet.id, &key).is_some();
        let row = self
            .page
            .report
            .with_untracked(|report| draw(report, &key, None))
            .map(|chart| match flat {
                true => chart.nearest_to((x, down(&plot, event))),
                false => chart.nearest(x),
            });
        if row != untrack(|| self.look(&key)).and_then(|look| look.row) {
            self.choose(&key, row);
        }
    }

    /// Notes that a table is opened or closed; a closed one is not made.
    pub fn toggle(self, details: &Element) {
        if let Some(key) = details.get_attribute("data-table") {
            self.change(&key, |look| look.open = details.has_attribute("open"));
        }
    }
}

/// Where a finger is on a chart, across it.
pub fn across(plot: &Element, event: &PointerEvent) -> f64 {
    let frame = plot.get_bounding_client_rect();
    (f64::from(event.client_x()) - frame.left()) / frame.width() * chart::WIDTH
}

/// And down it.
fn down(plot: &Element, event: &PointerEvent) -> f64 {
    let frame = plot.get_bounding_client_rect();
    (f64::from(event.client_y()) - frame.top()) / frame.height() * chart::HEIGHT
}

const CHART: (f64, f64) = (chart::WIDTH, chart::HEIGHT);

/// The sheet's own drawing.
pub fn own(report: &Report) -> String {
    let Some(drawn) = drawing::draw(report) else {
        return String::new();
    };
    let mut out = Markup::default();
    out.raw("<figcaption>")
        .words(drawn.note)
        .raw("</figcaption>");
    [
        "<div class=drawing>",
        &svg(
            &drawn.svg,
            (drawn.width, drawn.height),
            &[report.sheet.title, &drawn.told()].concat(),
        ),
        "</div>",
        &out.finish(),
    ]
    .concat()
}

/// A chart that is read at a row.
pub fn plot(chart: &Chart, row: usize, label: &str) -> String {
    svg(
        &[chart.svg.as_str(), &cursor(chart, row)].concat(),
        CHART,
        label,
    )
}

/// An `svg` element around a drawing; `label`, with its letters escaped, is what those hear who cannot see it.
fn svg(content: &str, (width, height): (f64, f64), label: &str) -> String {
    let mut out = Markup::default();
    out.raw("<svg role=img viewBox=\"0 0 ")
        .words(&write_fixed(width * 10.0, 0))
        .raw(" ")
        .words(&write_fixed(height * 10.0, 0));
    [
        &out.finish(),
        "\" aria-label=\"",
        label,
        "\">",
        content,
        "</svg>",
    ]
    .concat()
}

/// The heads and rows of an answer, if it applies and has some.
fn rows<'a>(report: &'a Report, key: &str) -> Option<(&'static [Head], &'a [Vec<Cell>])> {
    match (report.answer(key)?.show, report.found(key)?) {
        (Show::Rows(heads) | Show::Curve(heads, _), Found::Rows(rows)) if !rows.is_empty() => {
            Some((heads, rows))
        }
        _ => None,
    }
}

/// A chart; behind a curve stands that of the pinned design, if it is another.
fn draw(report: &Report, key: &str, pinned: Option<&Report>) -> Option<Chart> {
    let (heads, rows) = rows(report, key)?;
    if let Some(columns) = drawing::scattered(report.sheet.id, key) {
        return chart::scatter(heads, rows, columns);
    }
    let Show::Curve(_, scale) = report.answer(key)?.show else {
        return None;
    };
    let behind = pinned
        .and_then(|pinned| self::rows(pinned, key))
        .filter(|(of, behind)| chart::same_axes(of, heads) && *behind != rows);
    let marks = Marks {
        behind: behind.map(|(_, rows)| rows),
        ..drawing::marks(report, key)
    };
    chart::chart(heads, rows, scale, &marks)
}

/// A line across the chart and a ring on the curve, where it is read.
fn cursor(chart: &Chart, row: usize) -> String {
    let Some((x, y)) = chart.places.get(row).copied() else {
        return String::new();
    };
    let mut pen = Pen::new(chart::WIDTH);
    pen.line(Line::Dashed, (x, chart::TOP), (x, chart::BOTTOM));
    pen.circle(Line::Solid, (x, y), 4.0);
    pen.finish()
}

/// The control that reads a chart row by row.
pub fn slider(key: &'static str, rows: usize) -> String {
    let mut out = Markup::default();
    if rows > 1 {
        out.raw("<input type=range min=0 aria-label=\"Read the chart\" aria-describedby=r-")
            .raw(key)
            .raw(" id=x-")
            .raw(key);
        out.raw(" max=").words(&(rows - 1).to_string()).raw(">");
    }
    out.finish()
}

/// One row in words: "Load torque: 0.1 N·m, Lag: 31.2 µm".
pub fn read(heads: &[Head], rows: &[Vec<Cell>], row: usize) -> String {
    let mut out = Markup::default();
    for (column, (head, cell)) in heads
        .iter()
        .zip(rows.get(row).into_iter().flatten())
        .enumerate()
    {
        if linked(cell).is_some() {
            continue;
        }
        out.raw(if column == 0 { "" } else { ", " })
            .words(head.label)
            .raw(": <b>");
        if *cell == Cell::Blank {
            out.raw("none</b>");
            continue;
        }
        out.words(&cell_shown(cell, Some(head)));
        let sign = head_sign(head);
        out.raw(if sign.is_empty() { "" } else { "\u{a0}" });
        out.words(sign).raw("</b>");
    }
    out.finish()
}

/// The first rows of a list, and a button for more.
fn part_of_table(key: &'static str, heads: &[Head], rows: &[Vec<Cell>], most: usize) -> String {
    let shown = rows.get(..most).unwrap_or(rows);
    let mut out = Markup::default();
    out.markup(&table(heads, shown));
    if shown.len() < rows.len() {
        out.raw("<button type=button class=add data-click=\"more ")
            .raw(key);
        out.raw("\">").words(&shown.len().to_string()).raw(" of ");
        out.words(&rows.len().to_string())
            .raw(" shown; more</button>");
    }
    out.finish()
}

/// The sheet that a cell opens, if it is a link's text.
pub fn linked(cell: &Cell) -> Option<&'static Sheet> {
    let Cell::Text(text) = cell else { return None };
    let (id, _) = text.split_once("?v=1&")?;
    layshaft_core::sheets::find(id)
}

/// Rows as a table; one with links is a stack of cards: what opens a row must be in sight with it.
pub fn table(heads: &[Head], rows: &[Vec<Cell>]) -> String {
    let mut out = Markup::default();
    let links = |row: &Vec<Cell>| row.iter().any(|cell| linked(cell).is_some());
    let cards = rows.first().is_some_and(links);
    out.raw(if cards {
        "<table class=cards><thead><tr>"
    } else {
        "<table><thead><tr>"
    });
    for head in heads {
        out.raw("<th scope=col>")
            .words(&chart::name(head))
            .raw("</th>");
    }
    out.raw("</tr></thead><tbody>");
    for row in rows {
        out.raw("<tr>");
        for (column, cell) in row.iter().enumerate() {
            // A row longer than its heads is a list, as of the loads that may be on together.
            let Some(head) = heads.get(column) else {
                out.raw(" + ").words(&cell_shown(cell, None));
                continue;
            };
            out.raw(if matches!(cell, Cell::Text(_)) {
                "<td class=w"
            } else {
                "<td"
            });
            if cards {
                out.raw(" data-l=\"").words(&chart::name(head)).raw("\"");
            }
            out.raw(">");
            match (linked(cell), cell) {
                (Some(sheet), Cell::Text(text)) => {
                    out.raw("<a href=\"#").words(text).raw("\">");
                    out.words(sheet.title).raw("</a>");
                }
                _ => _ = out.words(&cell_shown(cell, Some(head))),
            }
        }
    }
    out.raw("</tbody></table>");
    out.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use layshaft_core::sheets;
    use layshaft_core::sheets::declare::head;

    fn microstep() -> Report {
        let entries = [
            ("turn_travel", "40"),
            ("hold_torque", "0.4"),
            ("load_torque", "0.2"),
        ];
        sheets::find("microstep")
            .expect("it is listed")
            .run(&entries.into_iter().collect())
    }

    #[test]
    fn the_table_holds_what_the_chart_shows() {
        let report = microstep();
        let chart = draw(&report, "curve", None).expect("it is drawn");
        let (heads, rows) = rows(&report, "curve").expect("it has rows");
        let html = table(heads, rows);
        assert_eq!(html.matches("<tr>").count(), chart.places.len() + 1);
        assert!(
            html.starts_with("<table><thead><tr><th scope=col>Load torque, N·m</th>"),
            "{html}"
        );
    }

    #[test]
    fn a_long_list_is_shown_in_parts_and_a_link_opens_its_sheet() {
        let heads = &[head("Name", "", 3), head("Sheet", "", 3)];
        let text = |text: &str| Cell::Text(text.to_string().into());
        let row = vec![text("a<b"), text("travel?v=1&pitch=2&k=0000")];
        let rows: Vec<_> = (0..50).map(|_| row.clone()).collect();
        let html = part_of_table("best", heads, &rows, 20);
        assert_eq!(html.matches("<td").count(), 40);
        assert!(html.contains("a&lt;b"));
        assert!(
            html.contains("<a href=\"#travel?v=1&amp;pitch=2&amp;k=0000\">Travel"),
            "{html}"
        );
        assert!(
            html.ends_with("data-click=\"more best\">20 of 50 shown; more</button>"),
            "{html}"
        );
        assert!(!part_of_table("best", heads, &rows, 60).contains("<button"));
        // What only looks like a link is words.
        assert!(linked(&text("nothing?v=1&x=2")).is_none());
    }

    #[test]
    fn the_chart_is_read_at_todays_load_first() {
        let report = microstep();
        let chart = draw(&report, "curve", None).expect("it is drawn");
        let row = chart.nearest(chart.mark.expect("the load is marked"));
        // Half the holding torque is a third of the way to a full step of 200 um: 90 degrees * asin(1/2).
        assert_eq!(
            rows(&report, "curve")
                .map(|(heads, rows)| read(heads, rows, row))
                .as_deref(),
            Some("Load torque: <b>0.200\u{a0}N·m</b>, Lag: <b>66.7\u{a0}µm</b>")
        );
    }
}
