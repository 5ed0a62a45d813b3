//! The log of a heater: seconds, degrees celsius and duty, as instruments and spreadsheets write them.
//!
//! Columns by comma, tab, semicolon or space; with or without a heading; the time in seconds or as a clock's hh:mm:ss,
//! with a date before it or not; decimal commas where no comma parts the columns. How a text is laid out is read from its
//! first row of numbers, and every other row must follow: a text that could mean two things is refused.
//!
//! A log has thousands of rows, so nothing is allocated for a cell.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use super::number::read_number;
use super::text::is_blank_char;
use super::unit::ONE;
use super::write::write_shortest;

/// Why a log was not read; rows of numbers count from 1, the heading left out.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum LogCause {
    /// No row that begins with a number.
    Empty,
    /// A row with more or fewer than three columns.
    Columns {
        /// The row.
        row: usize,
        /// How many it has.
        found: usize,
    },
    /// A cell that is blank or no number, as where a sensor dropped out.
    Cell {
        /// The row.
        row: usize,
        /// Which of the three.
        column: Column,
    },
    /// A value that cannot be.
    Outside {
        /// The row.
        row: usize,
        /// Which of the three.
        column: Column,
    },
    /// Decimal commas and decimal points in one text.
    Mixed {
        /// The row where the other one stands first.
        row: usize,
    },
    /// A time before the time of the row above.
    Backwards {
        /// The row.
        row: usize,
    },
}

/// A column of a log.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Column {
    /// Seconds, or hh:mm:ss.
    Time,
    /// Degrees celsius.
    Celsius,
    /// 0 to 1, or a percentage with its sign.
    Duty,
}

impl Column {
    /// What to enter there.
    const fn accepts(self) -> &'static str {
        match self {
            Self::Time => "a time in seconds, or as hh:mm:ss",
            Self::Celsius => "a temperature in °C; where the sensor dropped out, leave the row out",
            Self::Duty => "a duty from 0 to 1, or a percentage as 60 %",
        }
    }
}

impl LogCause {
    /// What to say beside the field.
    ///
    /// ```
    /// # use layshaft_core::entry::log::read_log;
    /// let cause = read_log("0,25,1;1,25.4").unwrap_err();
    /// assert_eq!(
    ///     cause.message("Log"),
    ///     "Log, row 2: enter three columns: seconds, °C, duty; this row has 2."
    /// );
    /// ```
    pub fn message(self, label: &str) -> String {
        match self {
            Self::Empty => {
                format!("{label}: enter rows of seconds, °C and duty, such as 0, 25, 1.")
            }
            Self::Columns { row, found } => format!(
                "{label}, row {row}: enter three columns: seconds, °C, duty; this row has {found}."
            ),
            Self::Cell { row, column } | Self::Outside { row, column } => {
                format!("{label}, row {row}: enter {}.", column.accepts())
            }
            Self::Mixed { row } => format!(
                "{label}, row {row}: write every number with a decimal point, or every number with a decimal comma."
            ),
            Self::Backwards { row } => format!(
                "{label}, row {row}: the time runs backwards here; enter rows as they followed each other, of one run only."
            ),
        }
    }
}

/// What parts the columns.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Layout {
    /// Commas; a semicolon ends a row as a line does. Decimal points only.
    Comma,
    /// One of these, each alone; decimal commas are read too.
    Sign(char),
    /// Any number of blanks; decimal commas are read too.
    Blanks,
}

impl Layout {
    /// The layout of a line.
    fn of(line: &str) -> Self {
        if line.contains('\t') {
            return Self::Sign('\t');
        }
        let commas = |text: &str| text.matches(',').count();
        let mut pieces = line.split(';').filter(|piece| !is_blank(piece));
        if line.contains(';') {
            // Rows on one line, or columns with decimal commas.
            return if pieces.next().is_some_and(|piece| commas(piece) >= 2) {
                Self::Comma
            } else {
                Self::Sign(';')
            };
        }
        // A blank inside a cell: blanks part the columns, and the commas are decimal.
        let clear = |cell: &str| !cell.trim().contains(char::is_whitespace);
        if commas(line) > 0 && after_date(line).split(',').all(clear) {
            Self::Comma
        } else {
            Self::Blanks
        }
    }

    fn ends_row(self, c: char) -> bool {
        matches!(c, '\n' | '\r') || (c == ';' && self == Self::Comma)
    }

    /// The cells of a row: the first three, and how many there are.
    fn cells(self, row: &str) -> ([&str; 3], usize) {
        let mut cells = [""; 3];
        let (mut place, mut count) = (0, 0);
        let mut put = |cell| {
            let cell = unquoted(cell);
            place += 1;
            match cells.get_mut(place - 1) {
                Some(kept) => *kept = cell,
                // A sign after the last cell opens no new one.
                None if cell.is_empty() => return,
                None => {}
            }
            count = place;
        };
        let row = after_date(row);
        let (sign, mut rest) = match self {
            Self::Comma => (',', Some(row)),
            Self::Sign(sign) => (sign, Some(row)),
            Self::Blanks => (' ', Some(trim(row))),
        };
        while let Some(row) = rest {
            let (cell, behind) = cut(row, &|c| {
                c == sign || (self == Self::Blanks && c.is_whitespace())
            });
            put(cell);
            rest = behind.map(|behind| match self {
                Self::Blanks => trim_start(behind),
                _ => behind,
            });
        }
        (cells, count)
    }
}

// A log is cut and trimmed in many places: each is compiled once.

/// What stands before the first character that ends it, and what behind it; `None` when nothing ends it.
#[inline(never)]
fn cut<'a>(text: &'a str, ends: &dyn Fn(char) -> bool) -> (&'a str, Option<&'a str>) {
    match text.char_indices().find(|(_, c)| ends(*c)) {
        Some((at, c)) => (
            text.get(..at).unwrap_or_default(),
            text.get(at + c.len_utf8()..),
        ),
        None => (text, None),
    }
}

#[inline(never)]
fn trim_start(text: &str) -> &str {
    text.trim_start_matches(is_blank_char)
}

#[inline(never)]
fn trim(text: &str) -> &str {
    trim_start(text).trim_end_matches(is_blank_char)
}

fn is_blank(text: &str) -> bool {
    trim_start(text).is_empty()
}

/// A cell without the quotes that spreadsheets put around it.
fn unquoted(cell: &str) -> &str {
    let cell = trim(cell);
    let inside = cell
        .strip_prefix('"')
        .and_then(|cell| cell.strip_suffix('"'));
    inside.map_or(cell, trim)
}

/// A row without the date before its clock time: 2024-05-31 or 2024-05-31T.
fn after_date(row: &str) -> &str {
    let row = trim_start(row);
    let bare = row.strip_prefix('"').unwrap_or(row);
    let date = bare.get(..10).unwrap_or_default().bytes();
    let is_date = date.len() == 10
        && date.enumerate().all(|(i, b)| match i {
            4 | 7 => b == b'-' || b == b'/',
            _ => b.is_ascii_digit(),
        });
    match bare.get(10..) {
        Some(rest) if is_date && rest.starts_with([' ', 'T']) => {
            trim_start(rest.get(1..).unwrap_or_default())
        }
        _ => row,
    }
}

/// Whether a row begins as numbers do.
fn begins_with_number(row: &str) -> bool {
    let row = trim_start(row);
    let row = trim_start(row.strip_prefix('"').unwrap_or(row));
    row.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.' | '\u{2212}'))
}

/// A number as it stands in a cell.
#[derive(Clone, Copy)]
struct Figure<'a> {
    text: &'a str,
    /// Whether its decimal sign is a comma.
    comma: bool,
    value: f64,
}

/// Reads a number without its unit; `comma` allows a decimal comma.
fn figure(cell: &str, comma: bool) -> Option<Figure<'_>> {
    let text = trim(cell);
    let value = short_decimal(text).or_else(|| {
        // Exponents, more than 15 digits, odd signs: the project's one reader.
        let plain = !text.contains(['*', '/', '±']);
        let read = plain.then(|| read_number(text, ONE))?;
        Some(read.ok()?.value)
    })?;
    let has_comma = text.contains(',');
    (!has_comma || comma).then_some(Figure {
        text,
        comma: has_comma,
        value,
    })
}

/// Powers of ten by which up to 15 digits are divided with one rounding.
const TENS: [f64; 16] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
];

/// A plain decimal of up to 15 digits, correctly rounded: both the digits and the power of ten are whole below 2^53.
fn short_decimal(text: &str) -> Option<f64> {
    let (negative, digits) = match text.as_bytes() {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        rest => (false, rest),
    };
    if digits.len() > 16 {
        return None;
    }
    let (mut whole, mut seen, mut point, mut places) = (0_u64, 0, false, 0_usize);
    for byte in digits {
        match byte {
            b'0'..=b'9' => {
                whole = whole * 10 + u64::from(byte - b'0');
                seen += 1;
                places += usize::from(point);
            }
            b'.' | b',' if !point => point = true,
            _ => return None,
        }
    }
    if seen == 0 || seen > 15 {
        return None;
    }
    let size = to_f64(whole) / TENS.get(places)?;
    Some(if negative { -size } else { size })
}

/// A whole number under 2^53 as it is.
fn to_f64(whole: u64) -> f64 {
    #[allow(
        clippy::cast_precision_loss,
        reason = "15 digits are under 2^53, and exact"
    )]
    let value = whole as f64;
    value
}

/// A time: seconds, or a clock's hours, minutes and seconds.
#[derive(Clone, Copy)]
enum Time<'a> {
    Seconds(Figure<'a>),
    /// Whole minutes of the clock in seconds, and the seconds.
    Clock(u32, Figure<'a>),
}

/// A day in seconds.
const DAY: u32 = 86_400;

fn time(cell: &str, comma: bool) -> Option<Time<'_>> {
    let Some((hours, rest)) = cell.split_once(':') else {
        return figure(cell, comma).map(Time::Seconds);
    };
    let (minutes, seconds) = rest.split_once(':')?;
    let part = |text: &str, most: u32| -> Option<u32> {
        let digits = (1..=3).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
        let number = digits.then(|| text.bytes().fold(0, |n, b| n * 10 + u32::from(b - b'0')))?;
        (number <= most).then_some(number)
    };
    let whole = part(trim(hours), 999)? * 3600 + part(minutes, 59)? * 60;
    // A zone's letter may follow.
    let seconds = figure(seconds.trim_end_matches('Z'), comma)?;
    (0.0..61.0)
        .contains(&seconds.value)
        .then_some(Time::Clock(whole, seconds))
}

/// A duty: 0 to 1, a percentage with its sign, on or off; with the factor by which its figure is divided.
fn duty(cell: &str, comma: bool) -> Option<(Figure<'_>, f64)> {
    let word = |text, value| Figure {
        text,
        comma: false,
        value,
    };
    if cell.eq_ignore_ascii_case("on") {
        return Some((word("1", 1.0), 1.0));
    }
    if cell.eq_ignore_ascii_case("off") {
        return Some((word("0", 0.0), 1.0));
    }
    match cell.strip_suffix('%') {
        Some(percent) => Some((figure(percent, comma)?, 100.0)),
        None => Some((figure(cell, comma)?, 1.0)),
    }
}

/// One row as it was read.
struct Read<'a> {
    time: Time<'a>,
    /// Days gone by since the first row, in seconds.
    days: f64,
    celsius: Figure<'a>,
    duty: (Figure<'a>, f64),
}

impl Read<'_> {
    fn values(&self) -> [f64; 3] {
        let seconds = match self.time {
            Time::Seconds(figure) => figure.value,
            Time::Clock(whole, figure) => f64::from(whole) + figure.value + self.days,
        };
        let (duty, over) = self.duty;
        [seconds, self.celsius.value, duty.value / over]
    }
}

/// Lower bound of a temperature, °C.
const COLDEST: f64 = -273.15;
/// Upper bound of a temperature, °C: what a full scale of a converter gives lies above it.
const HOTTEST: f64 = 5000.0;
/// Bound of a time, s: seconds since 1970 lie below it, milliseconds above.
const LATEST: f64 = 1e10;

/// Gives each row of a log to `each`.
fn scan<'a>(text: &'a str, each: &mut dyn FnMut(&Read<'a>)) -> Result<(), LogCause> {
    // Headings and remarks stand above the first row.
    let mut body = text;
    let first = loop {
        let (line, behind) = cut(body, &|c| matches!(c, '\n' | '\r'));
        if begins_with_number(line) {
            break line;
        }
        body = behind.ok_or(LogCause::Empty)?;
    };
    let layout = Layout::of(trim(first));
    let comma = layout != Layout::Comma;
    let (mut row, mut commas, mut points) = (0, false, false);
    let (mut days, mut before) = (0.0, f64::NEG_INFINITY);
    let mut rest = Some(body);
    while let Some(body) = rest {
        let raw;
        (raw, rest) = cut(body, &|c| layout.ends_row(c));
        let start = trim_start(raw);
        if start.is_empty() || start.starts_with('#') {
            continue;
        }
        row += 1;
        let ([first, second, third], found) = layout.cells(raw);
        if found != 3 {
            return Err(LogCause::Columns { row, found });
        }
        let cell = |column| LogCause::Cell { row, column };
        let mut read = Read {
            time: time(first, comma).ok_or(cell(Column::Time))?,
            days,
            celsius: figure(second, comma).ok_or(cell(Column::Celsius))?,
            duty: duty(third, comma).ok_or(cell(Column::Duty))?,
        };
        let (Time::Seconds(time) | Time::Clock(_, time)) = read.time;
        for figure in [time, read.celsius, read.duty.0] {
            commas |= figure.comma;
            points |= figure.text.contains('.');
        }
        if commas && points {
            return Err(LogCause::Mixed { row });
        }
        let mut values = read.values();
        // A clock that falls by more than half a day has passed midnight.
        if matches!(read.time, Time::Clock(..)) && values[0] < before - f64::from(DAY / 2) {
            days += f64::from(DAY);
            read.days = days;
            values = read.values();
        }
        let [seconds, celsius, duty] = values;
        for (column, can_be) in [
            (Column::Time, seconds.abs() <= LATEST),
            (Column::Celsius, celsius > COLDEST && celsius <= HOTTEST),
            (Column::Duty, (0.0..=1.0).contains(&duty)),
        ] {
            if !can_be {
                return Err(LogCause::Outside { row, column });
            }
        }
        if seconds < before {
            return Err(LogCause::Backwards { row });
        }
        before = seconds;
        each(&read);
    }
    Ok(())
}

/// Reads a log: rows of seconds, °C and duty from 0 to 1, the time never falling.
///
/// A clock's time is in seconds since midnight of the first row.
///
/// ```
/// # use layshaft_core::entry::log::read_log;
/// let pasted = "time;temperature;output\n0;21,5;100%\n0,5;21,6;100%\n";
/// assert_eq!(read_log(pasted).unwrap(), [[0.0, 21.5, 1.0], [0.5, 21.6, 1.0]]);
/// assert!(read_log("0,25,1\n-1,25,1").is_err());
/// ```
///
/// # Errors
/// A [`LogCause`] that says which row stands in the way, and what to enter.
pub fn read_log(text: &str) -> Result<Vec<[f64; 3]>, LogCause> {
    let mut rows = Vec::new();
    scan(text, &mut |read| rows.push(read.values()))?;
    Ok(rows)
}

/// A pasted log as plain rows: one a line, columns by comma, decimal points, seconds; each figure's digits as they were.
///
/// ```
/// # use layshaft_core::entry::log::normalise_log;
/// let pasted = "clock\ttemp\tduty\n09:59:59,5\t21,50\t0\n10:00:00,0\t21,55\t60%\n";
/// assert_eq!(normalise_log(pasted).unwrap(), "35999.5,21.50,0\n36000,21.55,0.6");
/// assert!(normalise_log("time,temperature,duty").is_err());
/// ```
///
/// # Errors
/// As [`read_log`].
pub fn normalise_log(text: &str) -> Result<String, LogCause> {
    let mut rows = String::with_capacity(text.len());
    scan(text, &mut |read| {
        if !rows.is_empty() {
            rows.push('\n');
        }
        let [seconds, _, duty] = read.values();
        match read.time {
            Time::Seconds(figure) => push_figure(&mut rows, figure),
            Time::Clock(..) => rows.push_str(&write_shortest(seconds, 15)),
        }
        rows.push(',');
        push_figure(&mut rows, read.celsius);
        rows.push(',');
        match read.duty {
            (figure, over) if over > 1.0 && figure.value != 0.0 => {
                rows.push_str(&write_shortest(duty, 15));
            }
            (figure, _) => push_figure(&mut rows, figure),
        }
    })?;
    Ok(rows)
}

/// A figure with a decimal point, its digits as they were.
fn push_figure(rows: &mut String, figure: Figure) {
    if short_decimal(figure.text).is_some() {
        rows.extend(figure.text.chars().map(|c| if c == ',' { '.' } else { c }));
    } else {
        rows.push_str(&write_shortest(figure.value, 17));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const PLAIN: [[f64; 3]; 3] = [[0.0, 25.0, 1.0], [0.5, 25.25, 1.0], [1.0, 26.0, 0.0]];

    #[test]
    fn one_log_in_every_dress() {
        for text in [
            "0,25,1;0.5,25.25,1;1,26,0",
            "0,25,1\n0.5,25.25,1\n1,26,0\n",
            "0, 25, 1\r\n0.5, 25.25, 1\r\n\r\n1, 26, 0\r\n",
            "0,25,1;\n0.5,25.25,1;\n1,26,0;\n",
            "0\t25\t1\n0.5\t25.25\t1\n1\t26\t0",
            "0\t25\t1\n0,5\t25,25\t1\n1\t26\t0",
            "0 25 1\n0.5  25.25 1\n 1 26 0",
            "0 25 1\n0,5 25,25 1\n1 26 0",
            "0;25;1\n0,5;25,25;1\n1;26;0",
            "0;25,00;1,0\n0,5;25,25;1,0\n1;26,00;0,0\n",
            "seconds,temperature,duty\n0,25,1\n0.5,25.25,1\n1,26,0",
            "# bed, 24 V\nTime (s);Temp;Out\n0;25;1\n0,5;25,25;1\n# off\n1;26;0",
            "\"t\",\"C\",\"on\"\n\"0\",\"25\",\"1\"\n\"0.5\",\"25.25\",\"1\"\n\"1\",\"26\",\"0\"",
            "0,25,100%\n0.5,25.25,100 %\n1,26,0%",
            "0,25,on\n0.5,25.25,ON\n1,26,off",
            "0,25,1,\n0.5,25.25,1,\n1,26,0,",
            "0\t25\t1\t\t\n0.5\t25.25\t1\t\n1\t26\t0",
            "+0,25.0e0,1\n5e-1,25.25,1\n1,26,0",
        ] {
            let read = read_log(text);
            assert_eq!(read.as_deref(), Ok(&PLAIN[..]), "{text:?}");
            // The plain rows of a text read back as the same.
            let plain = normalise_log(text).unwrap_or_default();
            assert_eq!(read_log(&plain).as_deref(), Ok(&PLAIN[..]), "{plain:?}");
        }
    }

    #[test]
    fn a_clock_is_read_past_midnight_and_with_its_date() {
        for text in [
            "23:59:59,25,1\n23:59:59.5,25.25,1\n00:00:00,26,0",
            "23:59:59;25;1\n23:59:59,5;25,25;1\n00:00:00;26;0",
            "23:59:59 25 1\n23:59:59,5 25,25 1\n00:00:00 26 0",
            "2024-05-31 23:59:59,25,1\n2024-05-31 23:59:59.5,25.25,1\n2024-06-01 00:00:00,26,0",
            "2024-05-31T23:59:59Z\t25\t1\n2024-05-31T23:59:59.5Z\t25.25\t1\n2024-06-01T00:00:00Z\t26\t0",
            "2024-05-31 23:59:59 25 1\n2024-05-31 23:59:59,5 25,25 1\n2024-06-01 00:00:00 26 0",
        ] {
            let from_start: Vec<[f64; 3]> = read_log(text)
                .unwrap_or_default()
                .iter()
                .map(|[s, c, d]| [s - 86_399.0, *c, *d])
                .collect();
            assert_eq!(from_start, PLAIN, "{text:?}");
        }
    }

    #[test]
    fn what_could_mean_two_things_or_nothing_is_refused() {
        use Column::{Celsius, Duty, Time};
        let cell = |row, column| LogCause::Cell { row, column };
        for (text, cause) in [
            ("", LogCause::Empty),
            ("time,temperature,duty", LogCause::Empty),
            ("0,25", LogCause::Columns { row: 1, found: 2 }),
            (
                "0,25;1,26;2,27;3,28",
                LogCause::Columns { row: 1, found: 4 },
            ),
            ("0,25,3,1,0", LogCause::Columns { row: 1, found: 5 }),
            ("0,25,1,210", LogCause::Columns { row: 1, found: 4 }),
            ("0,25,1;1,26", LogCause::Columns { row: 2, found: 2 }),
            ("0,25,1,210,", LogCause::Columns { row: 1, found: 4 }),
            ("0\t25\t1\t\t7", LogCause::Columns { row: 1, found: 5 }),
            ("0,25,1\n1,,1", cell(2, Celsius)),
            ("0,25,1\n1,nan,1", cell(2, Celsius)),
            ("0,25,1\n1,--,1", cell(2, Celsius)),
            ("0,25,1\n1,26,full", cell(2, Duty)),
            ("0,25,1\n1:05,26,1", cell(2, Time)),
            ("00:61:00,25,1", cell(1, Time)),
            ("0,25,1\nstop", LogCause::Columns { row: 2, found: 1 }),
            ("0,25*2,1", cell(1, Celsius)),
            ("0\t1,234.5\t1", cell(1, Celsius)),
            ("0;25,5;1\n1;25.5;1", LogCause::Mixed { row: 2 }),
            (
                "0,25,255",
                LogCause::Outside {
                    row: 1,
                    column: Duty,
                },
            ),
            (
                "0,25,-0.1",
                LogCause::Outside {
                    row: 1,
                    column: Duty,
                },
            ),
            (
                "0,-300,1",
                LogCause::Outside {
                    row: 1,
                    column: Celsius,
                },
            ),
            // What a converter of 15 bits gives where the sensor is off.
            (
                "0,25,1;1,32767,1",
                LogCause::Outside {
                    row: 2,
                    column: Celsius,
                },
            ),
            // Milliseconds since 1970, which would stretch every answer a thousand times.
            (
                "1700000000000,25,1",
                LogCause::Outside {
                    row: 1,
                    column: Time,
                },
            ),
            ("0,25,1;5,26,1;4,27,1", LogCause::Backwards { row: 3 }),
        ] {
            assert_eq!(read_log(text), Err(cause), "{text:?}");
            assert_eq!(normalise_log(text), Err(cause), "{text:?}");
            let message = cause.message("Log");
            assert!(
                message.starts_with("Log") && message.ends_with('.'),
                "{message}"
            );
        }
        // Rows of one time are a log faster than its clock.
        assert!(read_log("0,25,1;0,25,1;1,26,1").is_ok());
        // Seconds since 1970.
        assert!(read_log("1700000000.5,25,1").is_ok());
    }

    #[test]
    fn a_minus_of_any_keyboard_is_one() {
        assert_eq!(read_log("0,-5.5,1").as_deref(), Ok(&[[0.0, -5.5, 1.0]][..]));
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

        /// Any text is read or refused; what is read has finite numbers, and reads back from its plain rows.
        #[test]
        fn any_text_is_read_or_refused(text in "([0-9]{1,3}|[ \t,;:.%\"\n-]|on|off|1e9|2024-05-31|#|\u{2212}|a){0,40}") {
            let read = read_log(&text);
            let plain = normalise_log(&text);
            match (read, plain) {
                (Ok(rows), Ok(plain)) => {
                    prop_assert!(rows.iter().flatten().all(|x| x.is_finite()));
                    prop_assert_eq!(read_log(&plain), Ok(rows), "{}", plain);
                }
                (Err(cause), Err(other)) => {
                    prop_assert_eq!(cause, other);
                    prop_assert!(cause.message("Log").starts_with("Log"));
                }
                (read, plain) => prop_assert!(false, "{:?} {:?}", read, plain),
            }
        }
    }

    #[test]
    fn short_decimals_are_those_of_the_one_reader() {
        for text in [
            "0.1",
            "123.456",
            "-0.07",
            "99999999999999.9",
            "+1.",
            ".5",
            "7",
            "0,3",
        ] {
            let own = short_decimal(text).expect("short");
            let other = read_number(text, ONE).expect("a number").value;
            assert_eq!(own.to_bits(), (other + 0.0).to_bits(), "{text}");
        }
        for text in ["", ".", "-", "1e5", "1.2.3", "1234567890123456", "12a"] {
            assert_eq!(short_decimal(text), None, "{text}");
        }
    }
}
