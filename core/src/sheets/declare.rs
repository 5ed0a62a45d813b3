//! What a sheet is made of: fields, answers, checks and cautions, all declared in `const` tables.
//!
//! Nothing here computes. The tables are read by the page, by links, by saved machines and by the tests, so that a new
//! sheet is one file and one line in the list of sheets. A key may stand several times in a table when a choice
//! changes its label, unit or formula: the entries' `when` then exclude each other.

use crate::entry::unit::{Measure, ONE};

use super::inputs::Inputs;
use super::outcome::Outcome;

/// Which choices must stand for a row of a table to apply: every pair of a choice field's key and its accepted choices.
pub type When = &'static [(&'static str, &'static [&'static str])];

/// Applies whatever is chosen.
pub const ALWAYS: When = &[];

/// The group a sheet is listed under.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Subject {
    /// From motor turn to motion.
    Motion,
    /// Motor current.
    Current,
    /// Sensors, heaters and their control.
    Heat,
    /// Supply and wires.
    Power,
    /// Guides, profiles and joints.
    Frame,
    /// Set-up and proof on the bench.
    Proof,
}

impl Subject {
    /// All subjects in the order in which they are listed.
    pub const ALL: [Self; 6] = [
        Self::Motion,
        Self::Current,
        Self::Heat,
        Self::Power,
        Self::Frame,
        Self::Proof,
    ];

    /// The heading people read.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Motion => "Motion",
            Self::Current => "Motor current",
            Self::Heat => "Heat",
            Self::Power => "Supply and wires",
            Self::Frame => "Frame",
            Self::Proof => "Set-up and proof",
        }
    }
}

/// One calculation: entries in, answers out.
#[derive(Debug)]
pub struct Sheet {
    /// The fixed id that links use.
    pub id: &'static str,
    /// The name people read: "Travel".
    pub title: &'static str,
    /// What it tells, in one line.
    pub about: &'static str,
    /// Other words a person may search it by, separated by spaces.
    pub search: &'static str,
    /// Where it is listed.
    pub subject: Subject,
    /// The entries, in the order of the page.
    pub fields: &'static [Field],
    /// The answers, in the order of the page.
    pub answers: &'static [Answer],
    /// The comparisons against a limit.
    pub checks: &'static [Check],
    /// What can hurt, and what to do first.
    pub cautions: &'static [Caution],
    /// The one pure function from parsed inputs to answers, checks and cautions.
    pub work: fn(&Inputs, &mut Outcome),
}

/// One option of a choice.
#[derive(Clone, Copy, Debug)]
pub struct Choice {
    /// The fixed key that links use.
    pub key: &'static str,
    /// The words people read.
    pub label: &'static str,
}

/// A short way to declare a [`Choice`].
pub const fn choice(key: &'static str, label: &'static str) -> Choice {
    Choice { key, label }
}

/// What a field's text is read as.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// One of a few words.
    Choice(&'static [Choice]),
    /// A quantity; a bare number is in the measure's unit.
    Number(Measure),
    /// A quantity of one of several dimensions told apart by its unit; `bare` is the one a bare number has, if any.
    Either {
        /// The dimensions, each with its unit.
        measures: &'static [Measure],
        /// Index of the measure that a bare number has; `None` refuses a bare number.
        bare: Option<usize>,
    },
    /// A whole number.
    Count,
    /// 1, 2, 4 ... 256.
    PowerOfTwo,
    /// A product of quotients, `60/20*34/17`.
    Ratio,
    /// An ISO 2901 or ISO 261 thread designation.
    Thread,
    /// Free text: a name.
    Word,
    /// Rows of cells, each column declared like a field.
    Rows(&'static [Field]),
    /// A heater's log: thousands of rows of seconds, °C and duty, pasted as they come.
    Log,
}

/// One bound of a field with its reason.
#[derive(Clone, Copy, Debug)]
pub struct Limit {
    /// The bound, in the field's unit.
    pub value: f64,
    /// Whether the bound itself is allowed.
    pub inclusive: bool,
    /// Why, as an ending of a sentence: "a pulley has teeth".
    pub why: &'static str,
}

/// The bounds of a field: outside the hard ones the entry is refused, outside the usual ones it is warned of.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Hard lower bound.
    pub least: Option<Limit>,
    /// Hard upper bound.
    pub most: Option<Limit>,
    /// Soft bounds: lowest, highest, reason.
    pub usual: Option<(f64, f64, &'static str)>,
}

/// Where a blank field takes its value from.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Carried {
    /// The other sheet's id.
    pub sheet: &'static str,
    /// The answer's key there.
    pub answer: &'static str,
}

/// One entry of a sheet.
#[derive(Clone, Copy, Debug)]
pub struct Field {
    /// The fixed key that links use.
    pub key: &'static str,
    /// The words people read, without the unit.
    pub label: &'static str,
    /// What its text is read as.
    pub kind: Kind,
    /// What a blank stands for; empty when a blank is absent.
    pub default: &'static str,
    /// Whether it may stay blank for good.
    pub optional: bool,
    /// Its bounds.
    pub limits: Limits,
    /// One line of help; may be empty.
    pub help: &'static str,
    /// Where a blank is carried from, within the same part of a machine.
    pub carried: Option<Carried>,
    /// Whether it asks for an answer, which the sheet then solves for itself.
    pub target: bool,
    /// The choices under which it applies.
    pub when: When,
}

impl Field {
    const fn new(key: &'static str, label: &'static str, kind: Kind) -> Self {
        Self {
            key,
            label,
            kind,
            default: "",
            optional: false,
            limits: Limits {
                least: None,
                most: None,
                usual: None,
            },
            help: "",
            carried: None,
            target: false,
            when: ALWAYS,
        }
    }

    /// One of `options`; the first is the default.
    pub const fn choice(
        key: &'static str,
        label: &'static str,
        options: &'static [Choice],
    ) -> Self {
        let mut field = Self::new(key, label, Kind::Choice(options));
        if let [first, ..] = options {
            field.default = first.key;
        }
        field
    }

    /// A quantity in `measure`.
    pub const fn number(key: &'static str, label: &'static str, measure: Measure) -> Self {
        Self::new(key, label, Kind::Number(measure))
    }

    /// A quantity of one of `measures`; a bare number is of the first.
    pub const fn either(
        key: &'static str,
        label: &'static str,
        measures: &'static [Measure],
    ) -> Self {
        Self::new(
            key,
            label,
            Kind::Either {
                measures,
                bare: Some(0),
            },
        )
    }

    /// A quantity of one of `measures` that must name its unit.
    pub const fn either_with_unit(
        key: &'static str,
        label: &'static str,
        measures: &'static [Measure],
    ) -> Self {
        Self::new(
            key,
            label,
            Kind::Either {
                measures,
                bare: None,
            },
        )
    }

    /// A whole number.
    pub const fn count(key: &'static str, label: &'static str) -> Self {
        Self::new(key, label, Kind::Count)
    }

    /// A number of microsteps.
    pub const fn power_of_two(key: &'static str, label: &'static str) -> Self {
        Self::new(key, label, Kind::PowerOfTwo)
    }

    /// A product of quotients.
    pub const fn ratio(key: &'static str, label: &'static str) -> Self {
        Self::new(key, label, Kind::Ratio)
    }

    /// A thread designation.
    pub const fn thread(key: &'static str, label: &'static str) -> Self {
        Self::new(key, label, Kind::Thread)
    }

    /// Free text.
    pub const fn word(key: &'static str, label: &'static str) -> Self {
        Self::new(key, label, Kind::Word)
    }

    /// Rows of cells.
    pub const fn rows(key: &'static str, label: &'static str, columns: &'static [Field]) -> Self {
        Self::new(key, label, Kind::Rows(columns))
    }

    /// A heater's log.
    pub const fn log(key: &'static str, label: &'static str) -> Self {
        Self::new(key, label, Kind::Log)
    }

    /// With a value that a blank stands for.
    pub const fn default(mut self, text: &'static str) -> Self {
        self.default = text;
        self
    }

    /// May stay blank; takes a choice's default away.
    pub const fn optional(mut self) -> Self {
        self.optional = true;
        self.default = "";
        self
    }

    /// Refused at and below `value`.
    pub const fn above(mut self, value: f64, why: &'static str) -> Self {
        self.limits.least = Some(Limit {
            value,
            inclusive: false,
            why,
        });
        self
    }

    /// Refused below `value`.
    pub const fn at_least(mut self, value: f64, why: &'static str) -> Self {
        self.limits.least = Some(Limit {
            value,
            inclusive: true,
            why,
        });
        self
    }

    /// Refused over `value`.
    pub const fn at_most(mut self, value: f64, why: &'static str) -> Self {
        self.limits.most = Some(Limit {
            value,
            inclusive: true,
            why,
        });
        self
    }

    /// Warned of outside `low..=high`.
    pub const fn usual(mut self, low: f64, high: f64, why: &'static str) -> Self {
        self.limits.usual = Some((low, high, why));
        self
    }

    /// With one line of help.
    pub const fn help(mut self, text: &'static str) -> Self {
        self.help = text;
        self
    }

    /// A blank takes the value of another sheet's answer in the same part.
    pub const fn carried(mut self, sheet: &'static str, answer: &'static str) -> Self {
        self.carried = Some(Carried { sheet, answer });
        self
    }

    /// Asks for an answer; the sheet solves for a blank entry by itself.
    pub const fn target(mut self) -> Self {
        self.target = true;
        self
    }

    /// Applies only under these choices.
    pub const fn when(mut self, when: When) -> Self {
        self.when = when;
        self
    }

    /// The measure a bare number has, if the field takes numbers with a unit.
    pub const fn measure(&self) -> Option<Measure> {
        match self.kind {
            Kind::Number(measure) => Some(measure),
            Kind::Either {
                measures: [first, ..],
                bare: Some(_),
            } => Some(*first),
            Kind::Ratio => Some(ONE),
            _ => None,
        }
    }
}

/// How an answer is written for people.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Show {
    /// So many significant digits.
    Significant(u8),
    /// So many decimals.
    Fixed(u8),
    /// Words.
    Text,
    /// A list of numbers, each with so many significant digits.
    List(u8),
    /// Rows under these column heads.
    Rows(&'static [Head]),
    /// Rows drawn as a line of the second column (and any further ones) over the first.
    Curve(&'static [Head], Scale),
}

/// The vertical scale of a curve.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Scale {
    /// Even divisions.
    Linear,
    /// Decades; for values above 0.
    Logarithmic,
}

/// A column of an answer that has rows.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Head {
    /// The words people read.
    pub label: &'static str,
    /// The unit's symbol.
    pub unit: &'static str,
    /// How its numbers are written.
    pub show: Show,
}

/// A short way to declare a [`Head`] with so many significant digits.
pub const fn head(label: &'static str, unit: &'static str, digits: u8) -> Head {
    let show = Show::Significant(digits);
    Head { label, unit, show }
}

/// A short way to declare a [`Head`] with so many decimals: for figures that mean nothing below a size, such as a
/// probability or a settled temperature.
pub const fn places(label: &'static str, unit: &'static str, decimals: u8) -> Head {
    let show = Show::Fixed(decimals);
    Head { label, unit, show }
}

/// One answer of a sheet, with how it is worked out.
#[derive(Clone, Copy, Debug)]
pub struct Answer {
    /// The fixed key.
    pub key: &'static str,
    /// The words people read.
    pub label: &'static str,
    /// Its unit.
    pub measure: Measure,
    /// How it is written.
    pub show: Show,
    /// Whether it stands at the top, always in sight.
    pub headline: bool,
    /// A step of the working that is not an answer of its own.
    pub aside: bool,
    /// The right side of its formula, with `{key}` for each entry or answer it uses; empty when there is none to show.
    pub formula: &'static str,
    /// Where the formula comes from: title and section, or "common practice", or "definition".
    pub source: &'static str,
    /// The choices under which this row applies.
    pub when: When,
}

impl Answer {
    const fn new(key: &'static str, label: &'static str, measure: Measure, show: Show) -> Self {
        Self {
            key,
            label,
            measure,
            show,
            headline: false,
            aside: false,
            formula: "",
            source: "",
            when: ALWAYS,
        }
    }

    /// A number in `measure`, shown with four significant digits unless said otherwise.
    pub const fn number(key: &'static str, label: &'static str, measure: Measure) -> Self {
        Self::new(key, label, measure, Show::Significant(4))
    }

    /// Words.
    pub const fn text(key: &'static str, label: &'static str) -> Self {
        Self::new(key, label, ONE, Show::Text)
    }

    /// A list of numbers.
    pub const fn list(key: &'static str, label: &'static str, measure: Measure) -> Self {
        Self::new(key, label, measure, Show::List(4))
    }

    /// Rows under `heads`.
    pub const fn rows(key: &'static str, label: &'static str, heads: &'static [Head]) -> Self {
        Self::new(key, label, ONE, Show::Rows(heads))
    }

    /// Rows that are drawn as a curve.
    pub const fn curve(
        key: &'static str,
        label: &'static str,
        heads: &'static [Head],
        scale: Scale,
    ) -> Self {
        Self::new(key, label, ONE, Show::Curve(heads, scale))
    }

    /// With so many significant digits.
    pub const fn significant(mut self, digits: u8) -> Self {
        self.show = Show::Significant(digits);
        self
    }

    /// With so many decimals.
    pub const fn fixed(mut self, decimals: u8) -> Self {
        self.show = Show::Fixed(decimals);
        self
    }

    /// At the top, always in sight.
    pub const fn headline(mut self) -> Self {
        self.headline = true;
        self
    }

    /// Whether it counts something: its digits are not those of a measurement, and no uncertainty supports them.
    pub fn is_count(&self) -> bool {
        self.show == Show::Fixed(0) && self.measure.unit.sign.is_empty()
    }

    /// A step of the working only.
    pub const fn aside(mut self) -> Self {
        self.aside = true;
        self
    }

    /// With the right side of its formula and where that comes from.
    pub const fn formula(mut self, formula: &'static str, source: &'static str) -> Self {
        self.formula = formula;
        self.source = source;
        self
    }

    /// Applies only under these choices.
    pub const fn when(mut self, when: When) -> Self {
        self.when = when;
        self
    }
}

/// One comparison against a limit, with its sentence in each state.
///
/// The sentences take `{value}`, `{limit}` and the key of any entry or answer.
#[derive(Clone, Copy, Debug)]
pub struct Check {
    /// The fixed id.
    pub id: &'static str,
    /// The words people read: what is compared.
    pub label: &'static str,
    /// The unit of value and limit.
    pub measure: Measure,
    /// Said while all is well.
    pub within: &'static str,
    /// Said close to the limit; also where it only warns.
    pub near: &'static str,
    /// Said over the limit.
    pub over: &'static str,
}

/// What can hurt someone, and what to do first.
#[derive(Clone, Copy, Debug)]
pub struct Caution {
    /// The id by which the sheet raises it.
    pub id: &'static str,
    /// What can happen.
    pub what: &'static str,
    /// What to do first.
    pub first: &'static str,
    /// Whether it always stands; else the sheet raises it.
    pub always: bool,
}

impl Caution {
    /// One that always stands on the sheet.
    pub const fn always(id: &'static str, what: &'static str, first: &'static str) -> Self {
        Self {
            id,
            what,
            first,
            always: true,
        }
    }

    /// One that the sheet raises when the numbers call for it.
    pub const fn raised(id: &'static str, what: &'static str, first: &'static str) -> Self {
        Self {
            id,
            what,
            first,
            always: false,
        }
    }
}
