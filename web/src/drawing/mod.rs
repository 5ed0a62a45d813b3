//! What a sheet draws beside its answers: one file named after the sheet, and one line here.

mod bars;
mod beam;
mod belt;
mod coils;
mod control;
mod current;
mod flow;
mod gears;
mod headroom;
mod heater;
mod height;
mod homing;
mod identify;
mod interval;
mod joint;
mod level;
mod mass;
mod microstep;
mod pen;
mod proof;
mod reach;
mod ringing;
mod rods;
mod screw;
mod sensor;
mod square;
mod supply;
mod switch;
mod travel;
#[cfg(test)]
mod trial;

pub use pen::{Anchor, Line, Pen, tenths};

use layshaft_core::entry::write::write_shortest;
use layshaft_core::sheets::{Cell, Found, declare::Show};
use layshaft_core::sheets::{Report, join_unit};

use crate::chart::{Columns, HEIGHT, WIDTH, chart};

/// A finished drawing.
#[derive(Clone, PartialEq)]
pub struct Drawing {
    /// The content of an `svg` element.
    pub svg: String,
    /// Width in units.
    pub width: f64,
    /// Height in units.
    pub height: f64,
    /// How it is meant: what is to scale and what is not.
    pub note: &'static str,
}

impl Drawing {
    /// The words in the drawing, one after the other, escaped as they stand there: for those who cannot see it.
    pub fn told(&self) -> String {
        self.svg
            .split("</text>")
            .filter_map(|part| part.rsplit_once("<text ")?.1.split_once('>'))
            .fold(String::new(), |told, (_, words)| {
                [told.as_str(), "; ", words].concat()
            })
    }
}

/// What a sheet adds to a curve that it declares.
#[derive(Clone, Default, PartialEq)]
pub struct Marks<'a> {
    /// A place on the horizontal axis with its name: today's load.
    pub at: Option<(f64, &'static str)>,
    /// A second such place with its name: where something ends.
    pub also: Option<(f64, &'static str)>,
    /// Two values at the first place with a dimension line and its words between them: what is in hand.
    pub gap: Option<(f64, f64, String)>,
    /// Heights with their names: a target, a limit.
    pub levels: Vec<(f64, &'static str)>,
    /// A shaded part of the vertical axis: the band of a controller.
    pub band: Option<(f64, f64)>,
    /// A shaded part of the horizontal axis with its name.
    pub span: Option<(f64, f64, &'static str)>,
    /// Whether the first line is drawn as the points that were measured.
    pub points: bool,
    /// Whether a second line shows where both axes are equal, and its name.
    pub equal: Option<&'static str>,
    /// Whether the horizontal axis has decades.
    pub decades: bool,
    /// The column of further points, drawn as rings; 0 for none.
    pub rings: usize,
    /// The column that is a limit; 0 for none.
    pub limit: usize,
    /// Where another design stands.
    pub pinned: Option<(f64, f64)>,
    /// The rows of another design, whose first line is drawn behind.
    pub behind: Option<&'a [Vec<Cell>]>,
}

/// The sheets that draw, by id.
const DRAWINGS: &[(&str, fn(&Report) -> Option<Drawing>)] = &[
    ("travel", travel::draw),
    ("current", current::draw),
    ("gears", gears::draw),
    ("screw", screw::draw),
    ("coils", coils::draw),
    ("belt", belt::draw),
    ("homing", homing::draw),
    ("identify", identify::draw),
    ("heater", heater::draw),
    ("control", control::draw),
    ("supply", supply::draw),
    ("mass", mass::draw),
    ("rods", rods::draw),
    ("beam", beam::draw),
    ("joint", joint::draw),
    ("reach", reach::draw),
    ("height", height::draw),
    ("switch", switch::draw),
    ("proof", proof::draw),
    ("square", square::draw),
    ("level", level::draw),
    ("ringing", ringing::draw),
    ("flow", flow::draw),
];

/// The sheets that mark their curves, by id; the second parameter is the answer's key.
const MARKS: &[(&str, fn(&Report, &str) -> Marks<'static>)] = &[
    ("microstep", microstep::marks),
    ("sensor", sensor::marks),
    ("headroom", headroom::marks),
    ("heater", heater::marks),
    ("control", control::marks),
    ("proof", proof::marks),
    ("ringing", ringing::marks),
];

/// The answers whose rows are drawn as points, by sheet and key.
const SCATTERED: &[(&str, &str, Columns)] = &[("find", "best", (5, 6, 7))];

/// Which columns of an answer's rows are drawn as points, if they are.
pub fn scattered(sheet: &str, key: &str) -> Option<Columns> {
    let same = |(of, answer, _): &&(&str, &str, Columns)| *of == sheet && *answer == key;
    SCATTERED.iter().find(same).map(|(.., columns)| *columns)
}

/// The drawing of a report's sheet, if it has one.
pub fn draw(report: &Report) -> Option<Drawing> {
    DRAWINGS
        .iter()
        .find(|(id, _)| *id == report.sheet.id)
        .and_then(|(_, draw)| draw(report))
}

/// Whether a sheet may draw.
pub fn draws(sheet: &str) -> bool {
    DRAWINGS.iter().any(|(id, _)| *id == sheet)
}

/// What a report's sheet marks on the curve of an answer.
pub fn marks(report: &Report, answer: &str) -> Marks<'static> {
    let marks = MARKS.iter().find(|(id, _)| *id == report.sheet.id);
    marks.map_or_else(Marks::default, |(_, marks)| marks(report, answer))
}

/// Part of a curve as the sheet's own drawing: the rows that `keep` gives.
fn part_of(
    report: &Report,
    marks: &Marks,
    note: &'static str,
    keep: &dyn Fn(&[Cell]) -> Option<Vec<Cell>>,
) -> Option<Drawing> {
    let (Show::Curve(heads, scale), Found::Rows(rows)) =
        (report.answer("curve")?.show, report.found("curve")?)
    else {
        return None;
    };
    let rows: Vec<Vec<Cell>> = rows.iter().filter_map(|row| keep(row)).collect();
    Some(Drawing {
        svg: chart(heads, &rows, scale, marks)?.svg,
        width: WIDTH,
        height: HEIGHT,
        note,
    })
}

/// An answer with its unit, or a name for it until it has a value.
fn shown_or(report: &Report, key: &str, name: &str) -> String {
    report
        .answer(key)
        .and_then(|answer| report.shown(answer))
        .unwrap_or_else(|| name.into())
}

/// The number of an entry: typed, or what stands in for a blank, as when it is solved for.
fn number(report: &Report, key: &str) -> Option<f64> {
    report.stand_in(key).or_else(|| report.inputs.num(key))
}

/// An entry's number with its unit, or a name for it until it has one.
fn entry_or(report: &Report, key: &str, name: &str) -> String {
    match (number(report, key), report.inputs.field(key)) {
        (Some(number), Some(field)) => join_unit(
            write_shortest(number, 6),
            field.measure().map_or("", |measure| measure.unit.sign),
        ),
        _ => name.into(),
    }
}
