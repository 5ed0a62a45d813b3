//! The figures of a sheet: its drawing, and each answer that has rows as a chart with the same data as a table.

use layshaft_core::sheets::declare::{Answer, Head, Show};
use layshaft_core::sheets::{Cell, Found, Report, cell_shown, head_sign};
use leptos::ev::PointerEvent;
use leptos::prelude::*;
use wasm_bindgen::JsCast;

use crate::chart::{self, Chart};
use crate::drawing;
use crate::markup::Markup;
use crate::sheet::Page;

/// An `svg` element around a drawing; `label` is what those hear who cannot see it.
fn svg(content: &str, (width, height): (f64, f64), label: &str) -> String {
    let size = |units: f64| layshaft_core::entry::write::write_fixed(units * 10.0, 0);
    let mut out = Markup::default();
    out.raw("<svg role=img viewBox=\"0 0 ").words(&size(width)).raw(" ").words(&size(height)).raw("\" aria-label=\"");
    out.words(label).raw("\">");
    out.finish() + content + "</svg>"
}

/// The sheet's own drawing, if it has one.
#[component]
pub fn DrawingFigure(page: Page) -> impl IntoView {
    let drawing = Memo::new(move |_| page.report.with(|report| drawing::draw(report)));
    let picture = move || {
        drawing.with(|drawing| {
            drawing.as_ref().map(|drawn| svg(&drawn.svg, (drawn.width, drawn.height), page.sheet.title))
        })
    };
    let note = move || drawing.with(|drawing| drawing.as_ref().map_or("", |drawn| drawn.note));
    view! {
        <section class="figure" hidden=move || drawing.with(Option::is_none)>
            <h2>"Drawing"</h2>
            <figure>
                <div class="drawing" inner_html=move || picture().unwrap_or_default()></div>
                <figcaption>{note}</figcaption>
            </figure>
        </section>
    }
}

/// One answer with rows: its chart, and its rows as a table.
#[component]
pub fn RowsFigure(page: Page, answer: &'static Answer) -> AnyView {
    let (heads, scale) = match answer.show {
        Show::Curve(heads, scale) => (heads, Some(scale)),
        Show::Rows(heads) => (heads, None),
        _ => return ().into_any(),
    };
    let there = Memo::new(move |_| page.report.with(|report| rows(report, answer).is_some()));
    let drawn = Memo::new(move |_| {
        page.report.with(|report| {
            let marks = drawing::marks(report, answer.key);
            chart::chart(heads, rows(report, answer)?, scale?, &marks)
        })
    });
    let open = RwSignal::new(false);
    let table = move || open.get().then(|| page.report.with(|report| table(heads, rows(report, answer).unwrap_or_default())));
    view! {
        <section class="figure" hidden=move || !there.get()>
            <h2>{answer.label}</h2>
            {scale.map(|_| view! { <Plot page=page answer=answer heads=heads drawn=drawn /> })}
            <details on:toggle=move |_| open.update(|open| *open = !*open)>
                <summary>{if scale.is_some() { "The same as a table" } else { "Table" }}</summary>
                <div class="table" inner_html=move || table().unwrap_or_default()></div>
            </details>
        </section>
    }
    .into_any()
}

/// The chart with a cursor, moved by a finger on it or by the slider below.
#[component]
fn Plot(page: Page, answer: &'static Answer, heads: &'static [Head], drawn: Memo<Option<Chart>>) -> impl IntoView {
    let cursor = RwSignal::new(None::<usize>);
    let last = move || drawn.with(|drawn| drawn.as_ref().map_or(0, |chart| chart.places.len().saturating_sub(1)));
    let at = move || cursor.get().map(|row| row.min(last()));
    let place = move || drawn.with(|drawn| drawn.as_ref()?.places.get(at()?).copied());
    let across = move || place().map(|(x, _)| percent(x / chart::WIDTH));
    let down = move || place().map(|(_, y)| percent(y / chart::HEIGHT));
    let reading = move || {
        at().map(|row| page.report.with(|report| rows(report, answer).and_then(|rows| rows.get(row)).map_or_else(String::new, |row| read(heads, row))))
    };
    let follow = move |event: PointerEvent| {
        if event.buttons() == 0 && event.pointer_type() == "mouse" && event.type_() != "pointermove" {
            return;
        }
        let Some(plot) = event.current_target().and_then(|target| target.dyn_into::<web_sys::Element>().ok()) else { return };
        let frame = plot.get_bounding_client_rect();
        let x = (f64::from(event.client_x()) - frame.left()) / frame.width() * chart::WIDTH;
        let distance = |(place, _): (f64, f64)| (place - x).abs();
        let nearest = drawn.with_untracked(|drawn| {
            let places = drawn.as_ref()?.places.iter().copied().enumerate();
            places.min_by(|(_, a), (_, b)| distance(*a).total_cmp(&distance(*b))).map(|(row, _)| row)
        });
        cursor.set(nearest);
    };
    view! {
        <figure>
            <div class="drawing plot" on:pointerdown=follow on:pointermove=follow>
                <div inner_html=move || drawn.with(|drawn| drawn.as_ref().map_or_else(String::new, |chart| {
                    svg(&chart.svg, (chart::WIDTH, chart::HEIGHT), answer.label)
                }))></div>
                <i class="cursor" style:left=across hidden=move || place().is_none()></i>
                <i class="dot" style:left=across style:top=down hidden=move || place().is_none()></i>
            </div>
            <input
                type="range"
                min="0"
                max=move || last().to_string()
                prop:value=move || at().unwrap_or(0).to_string()
                aria-label=[answer.label, ": read the chart"].concat()
                aria-valuetext=reading
                on:input=move |event| cursor.set(event_target_value(&event).parse().ok())
            />
            <p class="read">{move || reading().unwrap_or_else(|| "Touch the chart or move the slider to read it.".into())}</p>
        </figure>
    }
}

/// The rows of an answer, if it applies and has some.
fn rows<'a>(report: &'a Report, answer: &Answer) -> Option<&'a [Vec<Cell>]> {
    if !report.inputs.holds(answer.when) {
        return None;
    }
    match report.found(answer.key) {
        Some(Found::Rows(rows)) if !rows.is_empty() => Some(rows),
        _ => None,
    }
}

fn percent(share: f64) -> String {
    layshaft_core::entry::write::write_fixed(100.0 * share, 2) + "%"
}

/// One row in words: "Load torque 0.1 N·m, Lag 31.2 µm".
fn read(heads: &[Head], row: &[Cell]) -> String {
    let cells = heads.iter().zip(row).map(|(head, cell)| {
        [head.label, ": ", &cell_shown(cell, Some(head)), "\u{a0}", head_sign(head)].concat()
    });
    cells.collect::<Vec<_>>().join(", ")
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
