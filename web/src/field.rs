//! One entry: its label with the unit, its control by kind, where a blank comes from, its message.

use crate::dom::*;
use layshaft_core::entry::write::write_shortest;
use layshaft_core::sheets::declare::Choice;
use layshaft_core::sheets::{self, Field, Kind, Origin, Problem, Report, Value, join_unit};
use wasm_bindgen::JsCast;
use web_sys::{Element, HtmlInputElement, SelectionMode};

use crate::markup::Markup;
use crate::stage::around;
use crate::{log, rows};

/// Keeps phones from correcting what is typed.
pub const BEHAVIOUR: &str =
    " autocomplete=off autocapitalize=none autocorrect=off spellcheck=false enterkeyhint=next";

/// The label with its unit: "Belt pitch, mm".
pub fn caption(field: &Field) -> String {
    match units(field).as_str() {
        "" => field.label.into(),
        signs => [field.label, ",\u{a0}", signs].concat(),
    }
}

/// The signs of the units that a bare number may have: "A or %".
fn units(field: &Field) -> String {
    match field.kind {
        Kind::Number(measure) => measure.unit.sign.into(),
        Kind::Either { measures, .. } => measures
            .iter()
            .map(|measure| measure.unit.sign)
            .collect::<Vec<_>>()
            .join(" or "),
        _ => String::new(),
    }
}

/// Whether the control takes the whole width, below its label.
pub const fn is_wide(field: &Field) -> bool {
    matches!(field.kind, Kind::Choice(_) | Kind::Rows(_) | Kind::Log)
}

/// The phone keyboard of a field, as an attribute: a number pad where the sign, letters and codes are never needed.
///
/// The pad of some phones has no minus, slash or letter, so that the row of keys stands below it.
pub fn mode(field: &Field) -> &'static str {
    let positive = field.limits.least.is_some_and(|limit| limit.value >= 0.0);
    match field.kind {
        Kind::Count | Kind::PowerOfTwo => " inputmode=numeric",
        Kind::Ratio => DECIMAL,
        // Resistances are typed as codes: 4k7.
        Kind::Number(measure) if measure.unit.symbol == "ohm" => "",
        Kind::Number(_) | Kind::Either { .. } if positive => DECIMAL,
        _ => "",
    }
}

const DECIMAL: &str = " inputmode=decimal";

/// What the keys below the number pad type.
fn keys(field: &Field) -> Vec<&'static str> {
    let mut keys: Vec<&str> = match field.kind {
        Kind::Number(measure) => measure
            .dimension
            .units
            .iter()
            .map(|unit| unit.sign)
            .take(4)
            .collect(),
        Kind::Either { measures, .. } => measures.iter().map(|measure| measure.unit.sign).collect(),
        _ => vec!["×"],
    };
    keys.extend(["/", "±"]);
    keys.retain(|key| !key.is_empty());
    keys
}

/// What the report says about one entry.
#[derive(Clone, PartialEq, Default)]
pub struct Look {
    text: String,
    placeholder: String,
    note: String,
    message: String,
    warning: String,
    bad: bool,
}

impl Look {
    fn of(report: &Report, field: &'static Field, typing: &str) -> Self {
        let said = |list: &[Problem]| {
            let words: Vec<&str> = list
                .iter()
                .filter(|said| said.field == field.key)
                .map(|said| said.message.as_str())
                .collect();
            words.join(" ")
        };
        let mut look = Self {
            text: control_text(report, field),
            message: said(&report.problems),
            warning: said(&report.warnings),
            ..Self::default()
        };
        look.bad = !look.message.is_empty();
        if typing == field.key {
            look.message.clear();
        }
        let mut blank = |value, before: &[&str]| {
            let number = write_shortest(value, 6);
            look.note = before.concat()
                + &join_unit(
                    number.clone(),
                    field.measure().map_or("", |measure| measure.unit.sign),
                );
            look.placeholder = number;
        };
        let stand_in = report.stand_in(field.key);
        match (
            report.inputs.origin(field.key),
            report.inputs.num(field.key),
        ) {
            (Origin::Typed, _) => look.note = log::summary(report, field.key),
            (Origin::Bad, _) => {}
            (Origin::Carried, Some(value)) => {
                blank(value, &["from ", carrier(field).unwrap_or(""), ": "]);
            }
            _ if stand_in.is_some() => blank(stand_in.unwrap_or_default(), &["worked out: "]),
            (Origin::Default, _) => look.placeholder = field.default.into(),
            _ => {
                if let Some(carrier) = carrier(field) {
                    look.note = ["from ", carrier, ", once that has it"].concat();
                }
            }
        }
        look
    }

    /// Puts into the page what differs from before.
    fn refresh(&self, key: &str, before: Option<&Self>) {
        let part = |name: &str| element(&[name, key].concat());
        let differs = |text: fn(&Self) -> &String| before.map(text) != Some(text(self));
        let write = |name: &str, text: fn(&Self) -> &String| {
            if differs(text) {
                _ = part(name).map(|part| part.set_text_content(Some(text(self))));
            }
        };
        write("n-", |look| &look.note);
        write("e-", |look| &look.message);
        write("u-", |look| &look.warning);
        // A grid minds its own cells.
        let Some(control) = part("f-").filter(|control| !control.has_attribute("role")) else {
            return;
        };
        if differs(|look| &look.placeholder) {
            _ = control.set_attribute("placeholder", &self.placeholder);
        }
        if before.map(|look| look.bad) != Some(self.bad) {
            _ = if self.bad {
                control.set_attribute("aria-invalid", "true")
            } else {
                control.remove_attribute("aria-invalid")
            };
        }
        // What is being typed is never written back: only another hand, such as undo, makes them differ.
        let control: &HtmlInputElement = control.unchecked_ref();
        if differs(|look| &look.text) && control.value() != self.text {
            control.set_value(&self.text);
        }
    }
}

/// The title of the sheet that a blank is carried from; `None` where it is not on the page.
fn carrier(field: &Field) -> Option<&'static str> {
    let sheet = sheets::find(field.carried?.sheet)?;
    Some(sheet.title)
}

/// The text that a control shows for what was typed: a choice shows the option that was read.
fn control_text(report: &Report, field: &Field) -> String {
    let text = report.entries.get(field.key).unwrap_or("");
    let read = report
        .inputs
        .fields()
        .find(|(other, ..)| other.key == field.key);
    match (field.kind, read) {
        (Kind::Choice(_), Some((_, _, Some(Value::Choice(key))))) => (*key).into(),
        (Kind::Log, _) => log::shown(text),
        (Kind::Rows(_), _) if rows::is_endless(text) => log::shown(text),
        _ => text.into(),
    }
}

/// Whether a field is asked for under the choices made.
pub fn applies(report: &Report, field: &Field) -> bool {
    report
        .inputs
        .fields()
        .any(|(other, ..)| std::ptr::eq(other, field))
}

/// How every entry looked last, by the index of its field; nothing for one that did not apply.
pub type Looks = Vec<Option<Look>>;

/// Brings all entries up to date; the message of the entry that is being typed into waits.
pub fn refresh(report: &Report, typing: &str, looks: &mut Looks) {
    looks.resize(report.sheet.fields.len(), None);
    for (field, before) in report.sheet.fields.iter().zip(looks) {
        let now = applies(report, field).then(|| Look::of(report, field, typing));
        if let Some(now) = now.as_ref().filter(|now| Some(*now) != before.as_ref()) {
            now.refresh(field.key, before.as_ref());
        }
        *before = now;
    }
}

/// The markup of an entry.
pub fn entry(report: &Report, field: &'static Field) -> String {
    let look = Look::of(report, field, "");
    let mut out = Markup::default();
    let key = field.key;
    out.raw("<label id=l-")
        .raw(key)
        .raw(" for=f-")
        .raw(key)
        .raw(">")
        .words(field.label);
    let units = units(field);
    if !units.is_empty() {
        out.raw(",\u{a0}<span class=unit>")
            .words(&units)
            .raw("</span>");
    }
    if field.optional {
        out.raw(" <small>(optional)</small>");
    }
    out.raw("</label>");
    match field.kind {
        Kind::Rows(columns) => {
            let text = report.entries.get(key).unwrap_or("");
            rows::put(&mut out, field, columns, text);
        }
        Kind::Choice(options) => put_choice(&mut out, field, options, &look.text),
        Kind::Log => log::put(&mut out, key, &look.text),
        _ => {
            out.raw("<input").raw(BEHAVIOUR).raw(mode(field));
            put_names(&mut out, key);
            out.raw(" placeholder=\"")
                .words(&look.placeholder)
                .raw("\" value=\"")
                .words(&look.text)
                .raw("\">");
        }
    }
    out.raw("<div id=k-")
        .raw(key)
        .raw("></div><p class=help id=h-")
        .raw(key)
        .raw(">")
        .words(field.help);
    out.raw(" <span class=tie id=n-")
        .raw(key)
        .raw(">")
        .words(&look.note)
        .raw("</span></p><p class=why id=e-")
        .raw(key);
    out.raw(">")
        .words(&look.message)
        .raw("</p><p class=\"why soft\" id=u-")
        .raw(key)
        .raw(">")
        .words(&look.warning)
        .raw("</p>");
    out.finish()
}

/// The names by which label, help and message belong to a control.
pub fn put_names(out: &mut Markup, key: &'static str) {
    out.raw(" id=f-")
        .raw(key)
        .raw(" aria-describedby=\"h-")
        .raw(key)
        .raw(" e-")
        .raw(key)
        .raw("\"");
}

fn put_choice(out: &mut Markup, field: &Field, options: &[Choice], text: &str) {
    out.raw("<select");
    put_names(out, field.key);
    out.raw(">");
    if field.default.is_empty() {
        out.raw("<option value=\"\">–</option>");
    }
    for option in options {
        out.raw("<option value=")
            .raw(option.key)
            .raw(if option.key == text {
                " selected>"
            } else {
                ">"
            });
        out.words(option.label).raw("</option>");
    }
    out.raw("</select>");
}

/// Shows the keys that the number pad lacks, below an entry that has it.
pub fn show_keys(field: &Field) {
    let Some(place) = element(&["k-", field.key].concat()).filter(|_| mode(field) == DECIMAL)
    else {
        return;
    };
    let mut out = Markup::default();
    out.raw("<div class=keys>");
    for key in keys(field) {
        out.raw("<button type=button tabindex=-1 data-click=\"type ")
            .words(key)
            .raw("\">")
            .words(key)
            .raw("</button>");
    }
    out.raw("<button type=button tabindex=-1 data-click=letters>ABC</button></div>");
    place.set_inner_html(&out.finish());
}

/// Takes the keys below an entry away.
pub fn hide_keys(control: &Element) {
    let id = control.id().replacen('f', "k", 1);
    _ = element(&id).map(|place| place.set_inner_html(""));
}

/// The control above a key.
fn above(key: &Element) -> Option<HtmlInputElement> {
    around(key, ".entry")?
        .query_selector("input")
        .ok()??
        .dyn_into()
        .ok()
}

/// Types a sign where the caret is; gives the control's id and its text.
pub fn insert(key: &Element, sign: &str) -> Option<(String, String)> {
    let input = above(key)?;
    let length = u32::try_from(input.value().encode_utf16().count()).unwrap_or(u32::MAX);
    let caret = |place: Result<Option<u32>, _>| place.ok().flatten().unwrap_or(length);
    let (from, to) = (caret(input.selection_start()), caret(input.selection_end()));
    _ = input.set_range_text_with_start_and_end_and_selection_mode(
        sign,
        from,
        to,
        SelectionMode::End,
    );
    Some((input.id(), input.value()))
}

/// Brings the letters: phones change the keyboard when the focus comes back.
pub fn letters(key: &Element) {
    let Some(input) = above(key) else { return };
    _ = input.set_attribute("inputmode", "text");
    _ = input.blur();
    _ = input.focus();
}

#[cfg(test)]
mod tests {
    use super::*;

    fn field(sheet: &str, key: &str) -> &'static Field {
        let sheet = sheets::find(sheet).expect("it is listed");
        sheet
            .fields
            .iter()
            .find(|field| field.key == key)
            .expect("it is declared")
    }

    fn run(entries: &[(&str, &str)]) -> Report {
        sheets::find("travel")
            .expect("it is listed")
            .run(&entries.iter().copied().collect())
    }

    #[test]
    fn the_label_names_the_unit() {
        assert_eq!(caption(field("travel", "pitch")), "Belt pitch,\u{a0}mm");
        assert_eq!(caption(field("travel", "teeth")), "Pulley teeth");
        assert_eq!(
            caption(field("current", "set")),
            "Current of each motor,\u{a0}A or %"
        );
    }

    #[test]
    fn the_number_pad_comes_only_where_its_keys_suffice() {
        for (sheet, key, expected) in [
            ("travel", "pitch", DECIMAL),
            ("travel", "teeth", " inputmode=numeric"),
            ("travel", "gears", DECIMAL),
            ("travel", "thread", ""),
            ("current", "ambient", ""),
            ("current", "resistance", ""),
            ("current", "set", DECIMAL),
            ("sensor", "a", ""),
        ] {
            assert_eq!(mode(field(sheet, key)), expected, "{sheet} {key}");
        }
    }

    #[test]
    fn a_blank_says_where_its_value_comes_from() {
        let look =
            |entries: &[(&str, &str)], key| Look::of(&run(entries), field("travel", key), "");
        assert_eq!(look(&[], "step").placeholder, "1.8");
        let solved = look(&[("pitch", "2"), ("turn_travel", "40")], "teeth");
        assert_eq!(
            (solved.placeholder.as_str(), solved.note.as_str()),
            ("20", "worked out: 20")
        );
        assert!(
            look(&[("pitch", "x")], "pitch")
                .message
                .starts_with("Belt pitch: ")
        );
        let microstep = sheets::find("microstep").expect("it is listed");
        let carried = microstep.run_carried(&[].into_iter().collect(), &|_| Some(40.0));
        assert_eq!(
            Look::of(&carried, field("microstep", "turn_travel"), "").note,
            "from Travel: 40\u{a0}mm"
        );
    }

    #[test]
    fn typed_text_stays_text() {
        let html = entry(&run(&[("pitch", "\"><script>")]), field("travel", "pitch"));
        assert!(html.contains("value=\"&quot;>&lt;script>\""), "{html}");
    }
}
