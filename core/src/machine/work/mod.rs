//! A machine worked out whole: each sheet once, its blank entries carried along the ties that the sheets declare.
//!
//! A blank entry takes its value from the same part's other sheet. Where the part does not have that sheet, it takes it from
//! the one part of the machine whose sheet has that answer; where several do, nothing is carried and the reason is kept.
//! Axes and heater zones each have quantities of their own: none of them follows another one. A list of the whole machine's
//! masses tells apart what X, Y and Z move, and an axis takes the one of its name.
//! A sheet is worked out when the first entry asks for it, so the order is that of the ties; an entry that would in the
//! end follow itself is left blank, and the circle is kept by name.

use alloc::boxed::Box;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;
use core::cell::RefCell;

use super::{Machine, Part, PartKind, declared};
use crate::sheets::{self, Carried, Entries, Field, Found, Report, Sheet};

/// One entry of a sheet of a part.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Place {
    /// The part's place in the machine.
    pub part: usize,
    /// The sheet's id.
    pub sheet: &'static str,
    /// The entry's key, or an answer's.
    pub key: &'static str,
}

/// A tie that was followed: a blank entry and the answer that stands in it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Tie {
    /// The blank entry.
    pub to: Place,
    /// The answer it follows.
    pub from: Place,
}

/// A blank entry that is carried from nowhere although it could be.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Untied {
    /// The blank entry.
    pub to: Place,
    /// Why.
    pub why: Why,
}

/// Why a blank entry was not carried.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Why {
    /// Several parts have the answer.
    Several(Vec<usize>),
    /// The answer is of another dimension: a rotary axis answers in degrees what others answer in mm.
    OtherUnit(usize),
    /// The masses of the machine are told apart by axis, and the part's name says none.
    NoAxis(usize),
    /// The entries follow each other round, the last the first.
    Circle(Vec<Place>),
}

impl Untied {
    /// The message for the person.
    pub fn message(&self, machine: &Machine) -> String {
        let name = |part: usize| {
            machine
                .parts
                .get(part)
                .map_or("", |part| part.name.as_str())
        };
        let label = label(self.to);
        match &self.why {
            Why::Several(parts) => {
                let names: Vec<&str> = parts.iter().map(|part| name(*part)).collect();
                format!(
                    "{label}: {} have a value for it, so it is carried from none. Enter it here.",
                    names.join(" and ")
                )
            }
            Why::OtherUnit(part) => {
                format!(
                    "{label}: {} answers it in another unit, so it is not carried. Enter it here.",
                    name(*part)
                )
            }
            Why::NoAxis(part) => {
                format!(
                    "{label}: {} tells apart what X, Y and Z move. Name this part after its axis, or enter it here.",
                    name(*part)
                )
            }
            Why::Circle(places) => {
                let titles = places.iter().filter_map(|place| {
                    Some(format!(
                        "{} of {}",
                        declared(place.sheet)?.title,
                        name(place.part)
                    ))
                });
                let titles: Vec<String> = titles.collect();
                format!(
                    "{label}: {} follow each other in a circle. Enter it here.",
                    titles.join(", ")
                )
            }
        }
    }
}

/// The label of an entry or answer; its key where it has none.
pub fn label(place: Place) -> &'static str {
    let Some(sheet) = declared(place.sheet) else {
        return place.key;
    };
    let answer = sheet
        .answers
        .iter()
        .find(|answer| answer.key == place.key)
        .map(|answer| answer.label);
    // A target asks for the answer of its own key, which is what is meant then.
    let field = sheet
        .fields
        .iter()
        .find(|field| field.key == place.key && !(field.target && answer.is_some()));
    field
        .map(|field| field.label)
        .or(answer)
        .unwrap_or(place.key)
}

/// All sheets of a machine, worked out.
#[derive(Debug, Default)]
pub struct Worked {
    reports: Vec<(usize, Box<Report>)>,
    /// The ties that were followed.
    pub ties: Vec<Tie>,
    /// The blank entries that could not be carried, with the reason.
    pub untied: Vec<Untied>,
}

impl Worked {
    /// Every report with the place of its part, in the order of the machine.
    pub fn reports(&self) -> impl Iterator<Item = (usize, &Report)> {
        self.reports
            .iter()
            .map(|(part, report)| (*part, report.as_ref()))
    }

    /// The reports on the sheets of one part.
    pub fn of(&self, part: usize) -> impl Iterator<Item = &Report> {
        self.reports()
            .filter(move |(of, _)| *of == part)
            .map(|(_, report)| report)
    }

    /// The report on a sheet of a part; `None` when the part does not have it.
    pub fn report(&self, part: usize, sheet: &str) -> Option<&Report> {
        self.of(part).find(|report| report.sheet.id == sheet)
    }

    /// The number of an answer, in its declared unit.
    pub fn number(&self, part: usize, sheet: &str, answer: &str) -> Option<f64> {
        self.report(part, sheet)?.number(answer)
    }

    /// The words of an answer.
    pub fn word(&self, part: usize, sheet: &str, answer: &str) -> Option<&str> {
        match self.report(part, sheet)?.found(answer)? {
            Found::Text(text) => Some(text),
            _ => None,
        }
    }

    /// The answer that an entry follows.
    pub fn tie(&self, part: usize, sheet: &str, field: &str) -> Option<Place> {
        let to = |tie: &&Tie| tie.to.part == part && tie.to.sheet == sheet && tie.to.key == field;
        self.ties.iter().find(to).map(|tie| tie.from)
    }
}

impl Machine {
    /// Works out every sheet of every part, each once, without their curves.
    ///
    /// The sheets that stand only in machines are not among them: [`Part::items`] and [`Part::marks`] read those.
    pub fn work(&self) -> Worked {
        let run = Run::new(&self.parts, sheets::find);
        run.all();
        run.into_worked()
    }

    /// Works out one sheet of a part, whether the part has it or not, and those that its blank entries follow.
    pub fn work_sheet(&self, part: usize, sheet: &'static Sheet) -> Worked {
        let mut run = Run::new(&self.parts, declared);
        run.one(part, sheet, &Sheet::run_carried);
        run.into_worked()
    }

    /// What one sheet of a part says, its blank entries carried from the whole machine, sparing what an earlier report on
    /// it tells already.
    pub fn report_after(
        &self,
        part: usize,
        sheet: &'static Sheet,
        earlier: Option<&Report>,
    ) -> Report {
        report_after(&self.parts, part, sheet, earlier)
    }
}

impl Part {
    /// Works a sheet out, its blank entries carried from this part's other sheets.
    pub fn report(&self, sheet: &'static Sheet) -> Report {
        let mut report = self.report_after(sheet, None);
        while report.advance(u64::MAX) {}
        report
    }

    /// The same, sparing what an earlier report on this sheet tells already; long work is left to [`Report::advance`].
    pub fn report_after(&self, sheet: &'static Sheet, earlier: Option<&Report>) -> Report {
        report_after(core::slice::from_ref(self), 0, sheet, earlier)
    }
}

fn report_after(
    parts: &[Part],
    part: usize,
    sheet: &'static Sheet,
    earlier: Option<&Report>,
) -> Report {
    let mut run = Run::new(parts, declared);
    let node = run.one(part, sheet, &|sheet, entries, carried| {
        sheet.run_after(entries, carried, earlier)
    });
    let slot = run.slots.into_inner().into_iter().nth(node);
    let report = slot.and_then(Slot::report);
    report.map_or_else(|| sheet.run(&Entries::new()), |report| *report)
}

/// One sheet of a part that is to be worked out.
struct Node<'a> {
    part: usize,
    sheet: &'static Sheet,
    entries: &'a Entries,
    /// Whether its part is an axis or a heater zone, whose quantities are its own.
    apart: bool,
}

/// How a sheet is worked out: whole, or without its curves.
type Work<'a> = &'a dyn Fn(&'static Sheet, &Entries, &dyn Fn(&Field) -> Option<f64>) -> Report;

/// How far a sheet has come.
enum Slot {
    Waiting,
    Doing,
    Done(Box<Report>),
}

impl Slot {
    fn report(self) -> Option<Box<Report>> {
        match self {
            Self::Done(report) => Some(report),
            _ => None,
        }
    }
}

/// The ties met on the way.
#[derive(Default)]
struct Trail {
    /// The entries that are being followed now, from the first sheet asked for to the one at work.
    path: Vec<Place>,
    /// The entries that stand in a circle.
    circles: Vec<Place>,
    ties: Vec<Tie>,
    untied: Vec<Untied>,
}

/// A machine while it is worked out.
struct Run<'a> {
    parts: &'a [Part],
    nodes: Vec<Node<'a>>,
    slots: RefCell<Vec<Slot>>,
    trail: RefCell<Trail>,
}

/// Whether a part is an axis or a heater zone.
fn apart(part: &Part) -> bool {
    matches!(part.kind(), PartKind::Axis | PartKind::Heater)
}

/// The entries of a sheet that a part does not have.
static BLANK: Entries = Entries::new();

impl<'a> Run<'a> {
    /// `find` knows the sheets; others are left as they are.
    fn new(parts: &'a [Part], find: fn(&str) -> Option<&'static Sheet>) -> Self {
        let mut nodes: Vec<Node<'a>> =
            Vec::with_capacity(parts.iter().map(|part| part.sheets.len()).sum());
        for (part, all) in parts.iter().enumerate() {
            let first = nodes.len();
            let apart = apart(all);
            for (id, entries) in &all.sheets {
                let Some(sheet) = find(id) else { continue };
                // A sheet that stands twice counts once, as `Part::entries` takes it.
                if !nodes
                    .iter()
                    .skip(first)
                    .any(|node| node.sheet.id == sheet.id)
                {
                    nodes.push(Node {
                        part,
                        sheet,
                        entries,
                        apart,
                    });
                }
            }
        }
        let slots = nodes.iter().map(|_| Slot::Waiting).collect();
        Self {
            parts,
            nodes,
            slots: RefCell::new(slots),
            trail: RefCell::default(),
        }
    }

    fn all(&self) {
        for node in 0..self.nodes.len() {
            self.finish(node, &Sheet::run_numbers);
        }
    }

    /// Works one sheet out, and gives its node.
    fn one(&mut self, part: usize, sheet: &'static Sheet, work: Work) -> usize {
        let there = self
            .nodes
            .iter()
            .position(|node| node.part == part && node.sheet.id == sheet.id);
        let node = there.unwrap_or_else(|| {
            self.nodes.push(Node {
                part,
                sheet,
                entries: &BLANK,
                apart: self.parts.get(part).is_some_and(apart),
            });
            self.slots.get_mut().push(Slot::Waiting);
            self.nodes.len() - 1
        });
        self.finish(node, work);
        node
    }

    fn into_worked(self) -> Worked {
        let Trail { ties, untied, .. } = self.trail.into_inner();
        let slots = self.slots.into_inner();
        let done = self.nodes.iter().zip(slots);
        let reports = done
            .filter_map(|(node, slot)| Some((node.part, slot.report()?)))
            .collect();
        Worked {
            reports,
            ties,
            untied,
        }
    }

    fn set(&self, node: usize, state: Slot) {
        if let Some(slot) = self.slots.borrow_mut().get_mut(node) {
            *slot = state;
        }
    }

    /// Works a sheet out unless that is done or under way.
    fn finish(&self, at: usize, work: Work) {
        let waits = matches!(self.slots.borrow().get(at), Some(Slot::Waiting));
        if let Some(node) = self.nodes.get(at).filter(|_| waits) {
            self.set(at, Slot::Doing);
            let carried = |field: &Field| self.carried(node, field);
            let report = work(node.sheet, node.entries, &carried);
            self.set(at, Slot::Done(Box::new(report)));
        }
    }

    /// The value that a blank field of a sheet follows, in the field's unit.
    fn carried(&self, node: &Node, field: &Field) -> Option<f64> {
        let tie = field.carried?;
        let to = Place {
            part: node.part,
            sheet: node.sheet.id,
            key: field.key,
        };
        let nodes = || self.nodes.iter().enumerate();
        // Asked for the part first: a number is sooner compared than a name.
        let own = |other: &Node| other.part == node.part && other.sheet.id == tie.sheet;
        if let Some((source, _)) = nodes().find(|(_, other)| own(other)) {
            let (from, value) = self.follow(to, source, tie.answer, field)?;
            return self.tied(to, from, value);
        }
        let elsewhere = nodes()
            .filter(|(_, other)| other.sheet.id == tie.sheet && !(other.apart && node.apart));
        let with_value = elsewhere.filter_map(|(source, other)| {
            let answer = match self.of_axis(node.part, tie) {
                Some(answer) => answer,
                None => return self.untied(to, Why::NoAxis(other.part)),
            };
            let followed = self.follow(to, source, answer, field)?;
            // A list that has nothing of this axis does not say that it weighs nothing.
            (answer == tie.answer || followed.1 > 0.0).then_some(followed)
        });
        let found: Vec<(Place, f64)> = with_value.collect();
        match *found.as_slice() {
            [] => None,
            [(from, value)] => self.tied(to, from, value),
            _ => {
                let parts = found.iter().map(|(from, _)| from.part).collect();
                self.untied(to, Why::Several(parts))
            }
        }
    }

    /// The answer of another part's sheet that an entry of this part follows: of the masses of a whole machine, those that
    /// this part's axis moves.
    fn of_axis(&self, part: usize, tie: Carried) -> Option<&'static str> {
        if (tie.sheet, tie.answer) != ("mass", "total") {
            return Some(tie.answer);
        }
        let name = self.parts.get(part)?.name.to_ascii_lowercase();
        let mut words = name.split(|c: char| !c.is_ascii_alphanumeric());
        words.find_map(|word| {
            let word = word.trim_end_matches("axis");
            let word = word.trim_end_matches(|c: char| c.is_ascii_digit());
            ["x", "y", "z"].into_iter().find(|axis| *axis == word)
        })
    }

    /// The value of an answer of the sheet of `source`, for the field of `to`, and its place.
    fn follow(
        &self,
        to: Place,
        source: usize,
        answer: &'static str,
        field: &Field,
    ) -> Option<(Place, f64)> {
        let node = self.nodes.get(source)?;
        if matches!(self.slots.borrow().get(source)?, Slot::Doing) {
            return self.circle(to, node);
        }
        self.trail.borrow_mut().path.push(to);
        self.finish(source, &Sheet::run_numbers);
        self.trail.borrow_mut().path.pop();
        if self.trail.borrow().circles.contains(&to) {
            return None;
        }
        let slots = self.slots.borrow();
        let Some(Slot::Done(report)) = slots.get(source) else {
            return None;
        };
        let value = report.number(answer)?;
        let unit = report.measure(report.answer(answer)?).unit;
        if unit.symbol != field.measure()?.unit.symbol {
            return self.untied(to, Why::OtherUnit(node.part));
        }
        let from = Place {
            part: node.part,
            sheet: node.sheet.id,
            key: answer,
        };
        Some((from, value))
    }

    fn tied(&self, to: Place, from: Place, value: f64) -> Option<f64> {
        let mut trail = self.trail.borrow_mut();
        trail.untied.retain(|other| other.to != to);
        trail.ties.push(Tie { to, from });
        Some(value)
    }

    fn untied<T>(&self, to: Place, why: Why) -> Option<T> {
        let untied = &mut self.trail.borrow_mut().untied;
        untied.retain(|other| other.to != to);
        untied.push(Untied { to, why });
        None
    }

    /// Keeps the circle that ends with `to`: no entry of it is carried, wherever the work began.
    fn circle<T>(&self, to: Place, first: &Node) -> Option<T> {
        let mut trail = self.trail.borrow_mut();
        let start = trail
            .path
            .iter()
            .position(|place| place.part == first.part && place.sheet == first.sheet.id);
        let mut round: Vec<Place> = trail
            .path
            .iter()
            .skip(start.unwrap_or(0))
            .copied()
            .collect();
        round.push(to);
        trail.circles.extend_from_slice(&round);
        let new = round.iter().map(|to| Untied {
            to: *to,
            why: Why::Circle(round.clone()),
        });
        trail.untied.extend(new);
        None
    }
}

#[cfg(test)]
mod tests;
