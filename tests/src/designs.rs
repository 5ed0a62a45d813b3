//! Complete designs of any sheet near those that are known to be whole, and typed quantities in any unit.

use layshaft_core::entry::unit::{Measure, Unit};
use layshaft_core::entry::write::write_shortest;
use layshaft_core::sheets::declare::Kind;
use layshaft_core::sheets::{Entries, Field, Report, Sheet, Value};

use crate::random::Random;

/// The measure in which a field's value stands, if it is a quantity.
pub fn measure(field: &Field, value: &Value) -> Option<Measure> {
    match (field.kind, value) {
        (Kind::Number(measure), Value::Number(_)) => Some(measure),
        (Kind::Either { measures, .. }, Value::Either(which, _)) => measures.get(*which).copied(),
        _ => None,
    }
}

/// The number of an entry: of a quantity, a ratio or a count.
pub fn number(value: &Value) -> Option<f64> {
    match value {
        Value::Number(number) | Value::Either(_, number) => Some(number.value),
        Value::Count(count) => Some(f64::from(*count)),
        _ => None,
    }
}

/// A value with its unit as a person may type it, to the last bit.
pub fn typed(value: f64, unit: &Unit) -> String {
    let text = write_shortest(value, 17);
    if unit.symbol.is_empty() {
        text
    } else {
        format!("{text} {}", unit.symbol)
    }
}

/// The same entries with one number put in the place of what stands there, in the unit that stands there.
pub fn with(report: &Report, key: &str, value: f64) -> Entries {
    let mut entries = report.entries.clone();
    let found = report.inputs.fields().find(|(field, ..)| field.key == key);
    let unit = found.and_then(|(field, _, old)| measure(field, old?));
    let text = match unit {
        Some(measure) => typed(value, measure.unit),
        None => write_shortest(value, 17),
    };
    entries.set(key, &text);
    entries
}

/// A design near a whole one: every quantity up to a fifth smaller or a quarter larger, so that no design is special by
/// the roundness of its numbers; nearer where these do not go together, and at last the whole one itself.
///
/// # Panics
/// When the whole one has problems: it would then be none.
pub fn near(sheet: &'static Sheet, whole: &Entries, random: &mut Random) -> Report {
    let start = sheet.run(whole);
    assert!(
        start.problems.is_empty(),
        "{}: {:?}",
        sheet.id,
        start.problems
    );
    for tries in 0..12 {
        let report = sheet.run(&varied(&start, 1.25_f64.powf(0.7_f64.powi(tries)), random));
        if report.problems.is_empty() {
            return report;
        }
    }
    start
}

/// The entries with every quantity divided or multiplied by up to `most`.
fn varied(report: &Report, most: f64, random: &mut Random) -> Entries {
    let mut entries = report.entries.clone();
    for (field, _, value) in report.inputs.fields() {
        let Some(value) = value else { continue };
        if let (Some(of), Some(number)) = (measure(field, value), number(value)) {
            let factor = most.powf(2.0 * random.unit() - 1.0);
            // Six digits, as a person types them at the most: platforms whose powers differ by a last place agree.
            let rounded = write_shortest(number * factor, 6);
            let symbol = of.unit.symbol;
            entries.set(field.key, format!("{rounded} {symbol}").trim_end());
        }
    }
    entries
}
