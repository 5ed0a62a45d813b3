//! From typed text to parsed inputs: which fields apply, what each says, and what is wrong with it.

use alloc::format;
use alloc::string::String;
use alloc::sync::Arc;
use alloc::vec::Vec;

use super::declare::{Field, Kind, Limits, Sheet, When};
use super::entries::Entries;
use crate::entry::cause::Cause;
use crate::entry::log::read_log;
use crate::entry::number::{self, Number};
use crate::entry::rows::{split_rows, unescape_cell};
use crate::entry::thread::{self, Thread};
use crate::entry::unit::{Dimension, Measure, ONE};
use crate::entry::write::write_shortest;
use crate::exact::to_u32;
use crate::fraction::Fraction;
use crate::heat::record::Told;

/// What a text was read as.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// The key of the chosen option.
    Choice(&'static str),
    /// A quantity in the field's unit.
    Number(Number),
    /// A quantity and the index of its measure.
    Either(usize, Number),
    /// A whole number.
    Count(u32),
    /// A thread designation.
    Thread(Thread),
    /// Free text.
    Word(String),
    /// Rows of cells; a blank cell is `None`.
    Rows(Vec<Row>),
    /// A log: seconds, °C and duty of each row; copies share them.
    Log(Arc<Vec<[f64; 3]>>),
}

/// An earlier reading of the same sheet: its entries, and what they were read as.
pub(super) type Earlier<'a> = Option<(&'a Entries, &'a Inputs)>;

/// One row of a rows field.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    cells: Vec<Option<Value>>,
}

impl Row {
    /// The number in a column, in the column's unit.
    pub fn num(&self, column: usize) -> Option<f64> {
        self.cells.get(column)?.as_ref()?.as_f64()
    }

    /// The quantity in a column of several measures, with the index of its measure.
    pub fn either(&self, column: usize) -> Option<(usize, f64)> {
        match self.cells.get(column)?.as_ref()? {
            Value::Either(which, number) => Some((*which, number.value)),
            _ => None,
        }
    }

    /// The whole number in a column.
    pub fn count(&self, column: usize) -> Option<u32> {
        match self.cells.get(column)?.as_ref()? {
            Value::Count(n) => Some(*n),
            _ => None,
        }
    }

    /// The word or choice in a column.
    pub fn word(&self, column: usize) -> Option<&str> {
        match self.cells.get(column)?.as_ref()? {
            Value::Word(text) => Some(text),
            Value::Choice(key) => Some(key),
            _ => None,
        }
    }
}

impl Value {
    fn as_f64(&self) -> Option<f64> {
        match self {
            Self::Number(n) | Self::Either(_, n) => Some(n.value),
            Self::Count(n) => Some(f64::from(*n)),
            _ => None,
        }
    }
}

/// Where a field's value came from.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Origin {
    /// Nothing typed, nothing carried, no default.
    Blank,
    /// Typed.
    Typed,
    /// Carried from another sheet.
    Carried,
    /// The field's default.
    Default,
    /// Typed, but not readable: the field has a problem.
    Bad,
    /// The choices made leave this field out.
    LeftOut,
}

/// A message beside a field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The field's key.
    pub field: &'static str,
    /// What would be accepted.
    pub message: String,
}

/// Where one number stands among the entries of a sheet: a field, or a cell of a rows field.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Place {
    slot: usize,
    cell: Option<(usize, usize)>,
}

/// The parsed entries of one sheet.
#[derive(Clone, Debug)]
pub struct Inputs {
    sheet: &'static Sheet,
    slots: Vec<(Origin, Option<Value>)>,
    /// What the log told when it was last fitted.
    pub(crate) told: Option<Told>,
    /// What could not be read, in the order of the fields.
    pub problems: Vec<Problem>,
    /// What was read but is unusual.
    pub warnings: Vec<Problem>,
}

impl Inputs {
    /// Reads the entries of `sheet`; `carried` answers for blank fields that are carried from elsewhere.
    ///
    /// A log that is the same as earlier is not read again.
    pub(super) fn read(
        sheet: &'static Sheet,
        entries: &Entries,
        carried: &dyn Fn(&Field) -> Option<f64>,
        earlier: Earlier,
    ) -> Self {
        let mut inputs = Self {
            sheet,
            slots: Vec::with_capacity(sheet.fields.len()),
            told: None,
            problems: Vec::new(),
            warnings: Vec::new(),
        };
        for field in sheet.fields {
            let slot = inputs
                .same_log(field, entries, earlier)
                .unwrap_or_else(|| inputs.read_field(field, entries, carried));
            inputs.slots.push(slot);
        }
        inputs
    }

    /// A log as it was read earlier, if its text is still the same.
    fn same_log(
        &mut self,
        field: &Field,
        entries: &Entries,
        earlier: Earlier,
    ) -> Option<(Origin, Option<Value>)> {
        let (before, inputs) = earlier.filter(|_| matches!(field.kind, Kind::Log))?;
        let (Origin::Typed, log) = inputs.find(field.key)? else {
            return None;
        };
        (before.get(field.key) == entries.get(field.key)).then(|| {
            self.told = inputs.told;
            (Origin::Typed, log.cloned())
        })
    }

    /// One field; the fields before it are read already, so its `when` can be decided.
    fn read_field(
        &mut self,
        field: &'static Field,
        entries: &Entries,
        carried: &dyn Fn(&Field) -> Option<f64>,
    ) -> (Origin, Option<Value>) {
        if !self.holds(field.when) {
            return (Origin::LeftOut, None);
        }
        let typed = entries.get(field.key).unwrap_or("");
        let (origin, text) = if !number::is_blank(typed) {
            (Origin::Typed, typed)
        } else if let Some(value) = field.carried.and_then(|_| carried(field)) {
            let number = Number {
                value,
                half: None,
                exact: None,
            };
            return (Origin::Carried, Some(Value::Number(number)));
        } else if field.default.is_empty() {
            return (Origin::Blank, None);
        } else {
            (Origin::Default, field.default)
        };
        match read_value(field, text) {
            Ok(value) => {
                if let Some(message) = unusual(field, &value) {
                    self.warnings.push(Problem {
                        field: field.key,
                        message,
                    });
                }
                (origin, Some(value))
            }
            Err(message) => {
                self.problems.push(Problem {
                    field: field.key,
                    message,
                });
                (Origin::Bad, None)
            }
        }
    }

    /// Whether every choice that `when` asks for stands.
    pub fn holds(&self, when: When) -> bool {
        when.iter().all(|(key, accepted)| {
            matches!(self.find(key), Some((_, Some(Value::Choice(chosen)))) if accepted.contains(chosen))
        })
    }

    /// The applicable field of this key, if the fields read so far have one, with its slot.
    fn find(&self, key: &str) -> Option<(Origin, Option<&Value>)> {
        self.sheet
            .fields
            .iter()
            .zip(&self.slots)
            .find(|(field, (origin, _))| field.key == key && *origin != Origin::LeftOut)
            .map(|(_, (origin, value))| (*origin, value.as_ref()))
    }

    fn value(&self, key: &str) -> Option<&Value> {
        debug_assert!(
            self.sheet.fields.iter().any(|field| field.key == key),
            "{}: no field {key}",
            self.sheet.id
        );
        self.find(key)?.1
    }

    /// The sheet whose entries these are.
    pub const fn sheet(&self) -> &'static Sheet {
        self.sheet
    }

    /// The fields that apply under the choices made, each with where its value came from.
    pub fn fields(&self) -> impl Iterator<Item = (&'static Field, Origin, Option<&Value>)> {
        self.sheet
            .fields
            .iter()
            .zip(&self.slots)
            .filter(|(_, (origin, _))| *origin != Origin::LeftOut)
            .map(|(field, (origin, value))| (field, *origin, value.as_ref()))
    }

    /// The applicable field of this key.
    pub fn field(&self, key: &str) -> Option<&'static Field> {
        self.fields()
            .find(|(field, ..)| field.key == key)
            .map(|(field, ..)| field)
    }

    /// Where the value of `key` came from; `LeftOut` when no such field applies.
    pub fn origin(&self, key: &str) -> Origin {
        self.find(key).map_or(Origin::LeftOut, |(origin, _)| origin)
    }

    /// Whether something was typed for `key`, readable or not.
    pub fn typed(&self, key: &str) -> bool {
        matches!(self.origin(key), Origin::Typed | Origin::Bad)
    }

    /// The number of `key` in its field's unit; counts and powers of two too.
    pub fn num(&self, key: &str) -> Option<f64> {
        self.value(key)?.as_f64()
    }

    /// The number of `key` with its tolerance and its exact fraction.
    pub fn number(&self, key: &str) -> Option<Number> {
        match self.value(key)? {
            Value::Number(number) | Value::Either(_, number) => Some(*number),
            Value::Count(n) => Some(Number {
                value: f64::from(*n),
                half: None,
                exact: Some(Fraction::from_int(i128::from(*n))),
            }),
            _ => None,
        }
    }

    /// The number of `key` as an exact fraction, when it was typed as one.
    pub fn exact(&self, key: &str) -> Option<Fraction> {
        self.number(key)?.exact
    }

    /// The number of `key` in one of several measures, with the index of its measure.
    pub fn either(&self, key: &str) -> Option<(usize, f64)> {
        match self.value(key)? {
            Value::Either(which, number) => Some((*which, number.value)),
            _ => None,
        }
    }

    /// The whole number of `key`.
    pub fn count(&self, key: &str) -> Option<u32> {
        match self.value(key)? {
            Value::Count(n) => Some(*n),
            // A study put it there; between the whole numbers there is no count.
            Value::Number(number) => to_u32(number.value),
            _ => None,
        }
    }

    /// The place of a field that applies and takes a number; `None` for choices, threads, words and rows.
    pub fn place(&self, key: &str) -> Option<(Place, &'static Field)> {
        let mut fields = self.sheet.fields.iter().zip(&self.slots).enumerate();
        let (slot, (field, _)) = fields
            .find(|(_, (field, (origin, _)))| field.key == key && *origin != Origin::LeftOut)?;
        let numeric = matches!(
            field.kind,
            Kind::Number(_) | Kind::Either { .. } | Kind::Count | Kind::PowerOfTwo | Kind::Ratio
        );
        numeric.then_some((Place { slot, cell: None }, field))
    }

    /// The unit of the number that stands, or would stand, in a field's place.
    pub fn measure_at(&self, place: Place) -> Measure {
        let field = self.sheet.fields.get(place.slot);
        let which = match self.slots.get(place.slot) {
            Some((_, Some(Value::Either(which, _)))) => *which,
            _ => 0,
        };
        let either = match field.map(|field| field.kind) {
            Some(Kind::Either { measures, .. }) => measures.get(which).copied(),
            Some(Kind::Number(measure)) => Some(measure),
            _ => None,
        };
        either.unwrap_or(ONE)
    }

    /// Every number that was typed with a tolerance, with the field it belongs to and its half width.
    pub fn toleranced(&self) -> Vec<(Place, &'static Field, Number)> {
        let half = |value: &Value| match value {
            Value::Number(number) | Value::Either(_, number) if number.half.is_some() => {
                Some(*number)
            }
            _ => None,
        };
        let mut found = Vec::new();
        for (slot, (field, (_, value))) in self.sheet.fields.iter().zip(&self.slots).enumerate() {
            match value {
                Some(Value::Rows(rows)) => {
                    for (i, row) in rows.iter().enumerate() {
                        for (j, cell) in row.cells.iter().enumerate() {
                            if let Some(number) = cell.as_ref().and_then(half) {
                                let cell = Some((i, j));
                                found.push((Place { slot, cell }, field, number));
                            }
                        }
                    }
                }
                Some(value) => {
                    if let Some(number) = half(value) {
                        found.push((Place { slot, cell: None }, field, number));
                    }
                }
                None => {}
            }
        }
        found
    }

    /// Puts a number in a place as if it had been typed, in the unit that stands there; a blank takes the field's own.
    pub fn put(&mut self, place: Place, value: f64) {
        let number = Number {
            value,
            half: None,
            exact: None,
        };
        let Some((origin, slot)) = self.slots.get_mut(place.slot) else {
            return;
        };
        *origin = Origin::Typed;
        match (place.cell, slot) {
            (None, Some(Value::Either(_, old))) => *old = number,
            (None, slot) => {
                let either = self.sheet.fields.get(place.slot).map(|field| field.kind);
                *slot = Some(match either {
                    Some(Kind::Either { .. }) => Value::Either(0, number),
                    _ => Value::Number(number),
                });
            }
            (Some((i, j)), Some(Value::Rows(rows))) => {
                if let Some(Some(Value::Number(old) | Value::Either(_, old))) =
                    rows.get_mut(i).and_then(|row| row.cells.get_mut(j))
                {
                    *old = number;
                }
            }
            (Some(_), _) => {}
        }
    }

    /// The chosen option of `key`; empty when there is none.
    pub fn choice(&self, key: &str) -> &'static str {
        match self.value(key) {
            Some(Value::Choice(chosen)) => chosen,
            _ => "",
        }
    }

    /// The free text of `key`.
    pub fn text(&self, key: &str) -> Option<&str> {
        match self.value(key)? {
            Value::Word(text) => Some(text),
            _ => None,
        }
    }

    /// The thread of `key`.
    pub fn thread(&self, key: &str) -> Option<&Thread> {
        match self.value(key)? {
            Value::Thread(thread) => Some(thread),
            _ => None,
        }
    }

    /// The rows of the log of `key`: seconds, °C and duty.
    pub fn log(&self, key: &str) -> Option<&[[f64; 3]]> {
        match self.value(key)? {
            Value::Log(rows) => Some(rows),
            _ => None,
        }
    }

    /// The rows of `key`.
    pub fn rows(&self, key: &str) -> Option<&[Row]> {
        match self.value(key)? {
            Value::Rows(rows) => Some(rows),
            _ => None,
        }
    }
}

/// Reads one field's text; the error is the message for the person.
pub(super) fn read_value(field: &'static Field, text: &str) -> Result<Value, String> {
    let refuse = |cause: Cause| cause.message(field.label, &accepts(field));
    match field.kind {
        Kind::Choice(options) => {
            let wanted = text.trim();
            options
                .iter()
                .find(|option| option.key.eq_ignore_ascii_case(wanted))
                .map(|option| Value::Choice(option.key))
                .ok_or_else(|| format!("{}: enter {}.", field.label, accepts(field)))
        }
        Kind::Number(measure) => {
            let number = number::read_number(text, measure).map_err(refuse)?;
            wholly_within(field, &number)?;
            Ok(Value::Number(number))
        }
        Kind::Either { measures, bare } => {
            let (which, number) = number::read_either(text, measures, bare).map_err(refuse)?;
            wholly_within(field, &number)?;
            Ok(Value::Either(which, number))
        }
        Kind::Count => {
            let count = number::read_count(text).map_err(refuse)?;
            within(field, f64::from(count))?;
            Ok(Value::Count(count))
        }
        Kind::PowerOfTwo => {
            let count = number::read_count(text).map_err(refuse)?;
            if count.is_power_of_two() && count <= 256 {
                Ok(Value::Count(count))
            } else {
                Err(format!("{}: enter {}.", field.label, accepts(field)))
            }
        }
        Kind::Ratio => {
            let number = number::read_ratio(text).map_err(refuse)?;
            wholly_within(field, &number)?;
            Ok(Value::Number(number))
        }
        Kind::Thread => thread::read_thread(text).map(Value::Thread).map_err(refuse),
        Kind::Word => Ok(Value::Word(String::from(text.trim()))),
        Kind::Rows(columns) => read_rows(field, columns, text).map(Value::Rows),
        Kind::Log => read_log(text)
            .map(|rows| Value::Log(Arc::new(rows)))
            .map_err(|cause| cause.message(field.label)),
    }
}

/// The most rows that are read: more than anybody types or measures one by one.
pub const MOST_ROWS: usize = 1000;

/// Reads rows of cells; a message names the row.
fn read_rows(
    field: &'static Field,
    columns: &'static [Field],
    text: &str,
) -> Result<Vec<Row>, String> {
    let count = split_rows(text).count();
    if count > MOST_ROWS {
        return Err(format!(
            "{}: enter at most {MOST_ROWS} rows; there are {count}.",
            field.label
        ));
    }
    let mut rows = Vec::new();
    for (index, raw) in split_rows(text).enumerate() {
        let place = |message: String| format!("{}, row {}, {message}", field.label, index + 1);
        let mut texts = raw.into_iter();
        let mut cells = Vec::with_capacity(columns.len());
        for column in columns {
            let cell = unescape_cell(texts.next().unwrap_or(""));
            if number::is_blank(&cell) {
                if !column.optional {
                    let message = format!("{}: enter {}.", column.label, accepts(column));
                    return Err(place(message));
                }
                cells.push(None);
            } else {
                cells.push(Some(read_value(column, &cell).map_err(place)?));
            }
        }
        if texts.any(|cell| !number::is_blank(cell)) {
            let labels: Vec<&str> = columns.iter().map(|column| column.label).collect();
            return Err(format!(
                "{}, row {}: enter only {}; inside rows the decimal sign is a point, as 6.8k.",
                field.label,
                index + 1,
                labels.join(", ")
            ));
        }
        rows.push(Row { cells });
    }
    Ok(rows)
}

/// Refuses a quantity outside the hard limits, also where only its tolerance reaches beyond them.
fn wholly_within(field: &Field, number: &Number) -> Result<(), String> {
    within(field, number.value)?;
    let half = number.half.unwrap_or(0.0);
    [number.value - half, number.value + half]
        .into_iter()
        .try_for_each(|end| within(field, end))
        .map_err(|message| message + " The tolerance reaches beyond that: write a smaller one.")
}

/// Refuses a value outside the hard limits, with the reason.
fn within(field: &Field, value: f64) -> Result<(), String> {
    let Limits { least, most, .. } = field.limits;
    let number = |value: f64| number_in(field, value);
    if let Some(limit) = least
        && (value < limit.value || (value <= limit.value && !limit.inclusive))
    {
        let edge = if limit.inclusive {
            "from"
        } else {
            "greater than"
        };
        return Err(format!(
            "{}: enter {} {edge} {}: {}.",
            field.label,
            noun(field),
            number(limit.value),
            limit.why
        ));
    }
    if let Some(limit) = most
        && (value > limit.value || (value >= limit.value && !limit.inclusive))
    {
        return Err(format!(
            "{}: enter {} up to {}: {}.",
            field.label,
            noun(field),
            number(limit.value),
            limit.why
        ));
    }
    Ok(())
}

/// A number with the field's unit.
fn number_in(field: &Field, value: f64) -> String {
    let text = write_shortest(value, 12);
    match field.measure().map_or("", |measure| measure.unit.sign) {
        "" => text,
        sign => format!("{text} {sign}"),
    }
}

/// The warning for a value outside the usual range.
fn unusual(field: &Field, value: &Value) -> Option<String> {
    let (low, high, why) = field.limits.usual?;
    let value = value.as_f64()?;
    if (low..=high).contains(&value) {
        return None;
    }
    Some(format!(
        "{}: usual is {} to {} ({why}). Check the entry.",
        field.label,
        write_shortest(low, 12),
        number_in(field, high),
    ))
}

/// "a length", "a whole number".
fn noun(field: &Field) -> &'static str {
    match field.kind {
        Kind::Number(measure) => measure.dimension.name,
        Kind::Count | Kind::PowerOfTwo => "a whole number",
        _ => "a number",
    }
}

/// What a quantity's text may be, in words with the unit of a bare number and examples.
pub fn accepts_quantity(measure: Measure) -> String {
    let Dimension { name, example, .. } = measure.dimension;
    match measure.unit.sign {
        "" | "%" => format!("{name}, such as {example}"),
        sign => format!("{name} in {sign}, such as {example}"),
    }
}

/// What a field accepts, in words with an example.
pub fn accepts(field: &Field) -> String {
    match field.kind {
        Kind::Choice(options) => {
            let keys: Vec<&str> = options.iter().map(|option| option.key).collect();
            format!("one of {}", keys.join(", "))
        }
        Kind::Number(measure) => accepts_quantity(measure),
        Kind::Either { measures, .. } => {
            let words: Vec<String> = measures.iter().map(with_its_unit).collect();
            words.join(", or ")
        }
        Kind::Count => match (field.limits.least, field.limits.most) {
            // A short range says more than one example, which may lie outside it.
            (Some(least), Some(most)) if most.value <= 100.0 => format!(
                "a whole number from {} to {}",
                write_shortest(least.value, 12),
                write_shortest(most.value, 12)
            ),
            _ => String::from("a whole number, such as 20"),
        },
        Kind::PowerOfTwo => String::from("1, 2, 4, 8, 16, 32, 64, 128 or 256"),
        Kind::Ratio => String::from("a reduction, such as 3, 60/20 or 60/20*34/17"),
        Kind::Thread => String::from("a thread, such as Tr8x8(P2), Tr12x3 or M8"),
        Kind::Word => String::from("a name"),
        Kind::Rows(columns) => {
            let labels: Vec<&str> = columns.iter().map(|column| column.label).collect();
            format!("rows of {}", labels.join(", "))
        }
        Kind::Log => String::from("rows of seconds, °C and duty, such as 0, 25, 1"),
    }
}

/// "a current, such as 1.5 A": the first example with the unit that tells the measures of a field apart.
fn with_its_unit(measure: &Measure) -> String {
    let Dimension { name, example, .. } = measure.dimension;
    let first = example.split(", ").next().unwrap_or(example);
    if first.ends_with(|c: char| c.is_ascii_digit()) {
        format!("{name}, such as {first} {}", measure.unit.sign)
    } else {
        format!("{name}, such as {first}")
    }
}
