//! The figures of a sheet: its drawing, and each answer that has rows as a chart with the same data as a table.

use layshaft_core::entry::write::write_fixed;
use layshaft_core::sheets::declare::{Answer, Head, Show};
use layshaft_core::sheets::{Cell, Found, Report, Sheet, cell_shown, head_sign};
use leptos::prelude::*;
use web_sys::{Element, PointerEvent};

use crate::chart::{self, Chart};
use crate::drawing::{self, Line, Pen};
use crate::markup::Markup;
use crate::sheet::Page;
use crate::stage::{around, paint};

/// The answers that are charts, each with its row that is read; empty for the one at today's value.
#[derive(Clone, Copy)]
pub struct Figures {
    page: Page,
    read: StoredValue<Vec<(&'static Answer, RwSignal<Option<usize>>, RwSignal<bool>)>>,
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
            Show::Rows(_) => {
                out.raw("<section class=figure><h2 id=h-").raw(key).raw("></h2><div class=\"part table\" id=t-").raw(key).raw("></div></section>");
            }
            Show::Curve(..) => {
                out.raw("<section class=figure><h2 id=h-").raw(key).raw("></h2><figure><div class=\"drawing plot\" data-plot=").raw(key);
                out.raw("><div class=part id=p-").raw(key).raw("></div><div id=o-").raw(key).raw("></div></div><div id=s-").raw(key);
                out.raw("></div><p class=read id=r-").raw(key).raw("></p></figure><details data-table=").raw(key);
                out.raw("><summary>The same as a table</summary><div class=table id=t-").raw(key).raw("></div></details></section>");
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
            matches!(answer.show, Show::Rows(_) | Show::Curve(..)) && first(page.sheet, answer.key).is_some_and(|first| std::ptr::eq(first, *answer))
        });
        let read = figures.map(|answer| (answer, RwSignal::new(None), RwSignal::new(false))).collect();
        Self { page, read: StoredValue::new(read) }
    }

    /// Paints them from now on.
    pub fn start(self) {
        let page = self.page;
        if drawing::draws(page.sheet.id) {
            paint("drawing", move || page.report.with(|report| own(report)));
        }
        for (answer, chosen, open) in self.read.get_value() {
            let key = answer.key;
            let id = |part: &str| [part, key].concat();
            paint(id("h-"), move || page.report.with(|report| report.answer(key).map_or("", |answer| answer.label).into()));
            let table = move || page.report.with(|report| rows(report, key).map_or_else(String::new, |(heads, rows)| table(heads, rows)));
            if matches!(answer.show, Show::Rows(_)) {
                paint(id("t-"), table);
                continue;
            }
            paint(id("t-"), move || if open.get() { table() } else { String::new() });
            let drawn = Memo::new(move |_| page.report.with(|report| draw(report, key)));
            let last = Memo::new(move |_| drawn.with(|drawn| drawn.as_ref().map_or(0, |chart| chart.places.len().saturating_sub(1))));
            let at = Memo::new(move |_| {
                let here = |chart: &Chart| chart.nearest(chart.mark.unwrap_or(chart::WIDTH / 2.0));
                chosen.get().map_or_else(|| drawn.with(|drawn| drawn.as_ref().map_or(0, here)), |row: usize| row.min(last.get()))
            });
            paint(id("p-"), move || drawn.with(|drawn| drawn.as_ref().map_or_else(String::new, |chart| svg(&chart.svg, CHART, answer.label))));
            paint(id("o-"), move || drawn.with(|drawn| drawn.as_ref().map_or_else(String::new, |chart| cursor(chart, at.get()))));
            let reading = move || page.report.with(|report| read(report, key, at.get()));
            paint(id("r-"), reading);
            // Made anew only when the number of rows changes: a slider that is held must stay.
            paint(id("s-"), move || slider(key, last.get(), at.get_untracked()));
        }
    }

    /// Reads the chart of an answer at a row.
    pub fn choose(self, answer: &str, row: Option<usize>) {
        self.read.with_value(|all| {
            if let Some((_, chosen, _)) = all.iter().find(|(known, ..)| known.key == answer) {
                chosen.set(row);
            }
        });
    }

    /// Reads the chart under a finger.
    pub fn follow(self, from: &Element, event: &PointerEvent) {
        let Some(plot) = around(from, "[data-plot]") else { return };
        let key = plot.get_attribute("data-plot").unwrap_or_default();
        let frame = plot.get_bounding_client_rect();
        let x = (f64::from(event.client_x()) - frame.left()) / frame.width() * chart::WIDTH;
        let row = self.page.report.with_untracked(|report| draw(report, &key)).map(|chart| chart.nearest(x));
        self.choose(&key, row);
        let slider = document().get_element_by_id(&["x-", &key].concat());
        if let (Some(slider), Some(row)) = (slider, row) {
            wasm_bindgen::JsCast::unchecked_ref::<web_sys::HtmlInputElement>(&slider).set_value(&row.to_string());
        }
    }

    /// Notes that a table is opened or closed; a closed one is not made.
    pub fn toggle(self, details: &Element) {
        let key = details.get_attribute("data-table").unwrap_or_default();
        self.read.with_value(|all| {
            if let Some((.., open)) = all.iter().find(|(known, ..)| known.key == key) {
                open.set(details.has_attribute("open"));
            }
        });
    }
}

const CHART: (f64, f64) = (chart::WIDTH, chart::HEIGHT);

/// The sheet's own drawing.
fn own(report: &Report) -> String {
    let Some(drawn) = drawing::draw(report) else { return String::new() };
    let mut out = Markup::default();
    out.raw("<figcaption>").words(drawn.note).raw("</figcaption>");
    ["<div class=drawing>", &svg(&drawn.svg, (drawn.width, drawn.height), report.sheet.title), "</div>", &out.finish()].concat()
}

/// An `svg` element around a drawing; `label` is what those hear who cannot see it.
fn svg(content: &str, (width, height): (f64, f64), label: &str) -> String {
    let mut out = Markup::default();
    out.raw("<svg role=img viewBox=\"0 0 ").words(&write_fixed(width * 10.0, 0)).raw(" ").words(&write_fixed(height * 10.0, 0));
    out.raw("\" aria-label=\"").words(label).raw("\">");
    out.finish() + content + "</svg>"
}

/// The heads and rows of an answer, if it applies and has some.
fn rows<'a>(report: &'a Report, key: &str) -> Option<(&'static [Head], &'a [Vec<Cell>])> {
    match (report.answer(key)?.show, report.found(key)?) {
        (Show::Rows(heads) | Show::Curve(heads, _), Found::Rows(rows)) if !rows.is_empty() => Some((heads, rows)),
        _ => None,
    }
}

fn draw(report: &Report, key: &str) -> Option<Chart> {
    let (heads, rows) = rows(report, key)?;
    let Show::Curve(_, scale) = report.answer(key)?.show else { return None };
    chart::chart(heads, rows, scale, &drawing::marks(report, key))
}

/// A line across the chart and a ring on the curve, where it is read.
fn cursor(chart: &Chart, row: usize) -> String {
    let Some((x, y)) = chart.places.get(row).copied() else { return String::new() };
    let mut pen = Pen::new(chart::WIDTH);
    pen.line(Line::Dashed, (x, chart::TOP), (x, chart::BOTTOM));
    pen.circle(Line::Solid, (x, y), 4.0);
    svg(&pen.finish(), CHART, "").replacen("role=img", "class=cursor aria-hidden=true", 1)
}

fn slider(key: &'static str, last: usize, at: usize) -> String {
    if last == 0 {
        return String::new();
    }
    let mut out = Markup::default();
    out.raw("<input type=range min=0 aria-label=\"Read the chart\" aria-describedby=r-").raw(key).raw(" id=x-").raw(key);
    out.raw(" max=").words(&last.to_string()).raw(" value=").words(&at.to_string()).raw(">");
    out.finish()
}

/// One row in words: "Load torque: 0.1 N·m, Lag: 31.2 µm".
fn read(report: &Report, key: &str, row: usize) -> String {
    let mut out = Markup::default();
    let Some((heads, rows)) = rows(report, key) else { return out.finish() };
    for (column, (head, cell)) in heads.iter().zip(rows.get(row).into_iter().flatten()).enumerate() {
        out.raw(if column == 0 { "" } else { ", " }).words(head.label).raw(": <b>").words(&cell_shown(cell, Some(head)));
        out.raw("\u{a0}").words(head_sign(head)).raw("</b>");
    }
    out.finish()
}

/// Rows as a table.
fn table(heads: &[Head], rows: &[Vec<Cell>]) -> String {
    let mut out = Markup::default();
    out.raw("<table><thead><tr>");
    for head in heads {
        out.raw("<th scope=col>").words(&chart::name(head)).raw("</th>");
    }
    out.raw("</tr></thead><tbody>");
    for row in rows {
        out.raw("<tr>");
        for (column, cell) in row.iter().enumerate() {
            out.raw("<td>").words(&cell_shown(cell, heads.get(column))).raw("</td>");
        }
        out.raw("</tr>");
    }
    out.raw("</tbody></table>");
    out.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use layshaft_core::sheets;

    fn microstep() -> Report {
        let entries = [("turn_travel", "40"), ("hold_torque", "0.4"), ("load_torque", "0.2")];
        sheets::find("microstep").expect("it is listed").run(&entries.into_iter().collect())
    }

    #[test]
    fn the_table_holds_what_the_chart_shows() {
        let report = microstep();
        let chart = draw(&report, "curve").expect("it is drawn");
        let (heads, rows) = rows(&report, "curve").expect("it has rows");
        let html = table(heads, rows);
        assert_eq!(html.matches("<tr>").count(), chart.places.len() + 1);
        assert!(html.starts_with("<table><thead><tr><th scope=col>Load torque, N·m</th>"), "{html}");
    }

    #[test]
    fn the_chart_is_read_at_todays_load_first() {
        let report = microstep();
        let chart = draw(&report, "curve").expect("it is drawn");
        let row = chart.nearest(chart.mark.expect("the load is marked"));
        // Half the holding torque is a third of the way to a full step of 200 um: 90 degrees * asin(1/2).
        assert_eq!(read(&report, "curve", row), "Load torque: <b>0.200\u{a0}N·m</b>, Lag: <b>66.7\u{a0}µm</b>");
    }
}
