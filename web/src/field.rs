//! One entry: its label with the unit, its control by kind, where a blank comes from, its message.

use layshaft_core::entry::write::write_shortest;
use layshaft_core::sheets::declare::Choice;
use layshaft_core::sheets::{self, Field, Kind, Origin, Problem, Report, Value, join_unit};
use leptos::attr::Attribute;
use leptos::attr::custom::custom_attribute;
use leptos::ev::PointerEvent;
use leptos::prelude::*;
use wasm_bindgen::JsCast;

use crate::rows;
use crate::sheet::Page;

/// The label with its unit: "Belt pitch, mm".
pub fn caption(field: &Field) -> String {
    match units(field).as_slice() {
        [] | [""] => field.label.into(),
        signs => [field.label, ", ", &signs.join(" or ")].concat(),
    }
}

/// The signs of the units that a bare number may have.
fn units(field: &Field) -> Vec<&'static str> {
    match field.kind {
        Kind::Number(measure) => vec![measure.unit.sign],
        Kind::Either { measures, .. } => measures.iter().map(|measure| measure.unit.sign).collect(),
        _ => Vec::new(),
    }
}

/// The phone keyboard of a field: a number pad where the sign, letters and codes are never needed.
///
/// The pad of some phones has no minus, slash or letter, so that the row of keys stands beside it.
pub fn mode(field: &Field) -> Option<&'static str> {
    let positive = field.limits.least.is_some_and(|limit| limit.value >= 0.0);
    match field.kind {
        Kind::Count | Kind::PowerOfTwo => Some("numeric"),
        Kind::Ratio => Some("decimal"),
        // Resistances are typed as codes: 4k7.
        Kind::Number(measure) if measure.unit.symbol == "ohm" => None,
        Kind::Number(_) | Kind::Either { .. } if positive => Some("decimal"),
        _ => None,
    }
}

/// What the keys beside the number pad type.
fn keys(field: &Field) -> Vec<&'static str> {
    let mut keys = match field.kind {
        Kind::Number(measure) => measure.dimension.units.iter().map(|unit| unit.sign).filter(|sign| !sign.is_empty()).take(4).collect(),
        Kind::Either { .. } => units(field),
        _ => vec!["×"],
    };
    keys.extend(["/", "±"]);
    keys
}

/// What the report says about one entry.
#[derive(Clone, PartialEq, Default)]
struct Look {
    placeholder: String,
    note: String,
    message: String,
    warning: String,
}

impl Look {
    fn of(report: &Report, field: &'static Field) -> Self {
        let said = |list: &[Problem]| {
            let words: Vec<&str> = list.iter().filter(|said| said.field == field.key).map(|said| said.message.as_str()).collect();
            words.join(" ")
        };
        let mut look = Self { message: said(&report.problems), warning: said(&report.warnings), ..Self::default() };
        let number = |value| join_unit(write_shortest(value, 6), field.measure().map_or("", |measure| measure.unit.sign));
        match (report.inputs.origin(field.key), report.inputs.num(field.key)) {
            (Origin::Typed | Origin::Bad, _) => {}
            (origin, value) if origin != Origin::Carried && report.stand_in(field.key).is_some() => {
                let value = report.stand_in(field.key).or(value).unwrap_or_default();
                look.placeholder = write_shortest(value, 6);
                look.note = ["worked out: ", &number(value)].concat();
            }
            (Origin::Carried, Some(value)) => {
                look.placeholder = write_shortest(value, 6);
                look.note = ["from ", carrier(field), ": ", &number(value)].concat();
            }
            (Origin::Default, _) => look.placeholder = field.default.into(),
            _ if field.carried.is_some() => look.note = ["from ", carrier(field), ", once that has it"].concat(),
            _ => {}
        }
        look
    }
}

/// The title of the sheet that a blank is carried from.
fn carrier(field: &Field) -> &'static str {
    field.carried.and_then(|carried| sheets::find(carried.sheet)).map_or("", |sheet| sheet.title)
}

/// The text that a control shows for what was typed: a choice shows the option that was read.
pub fn control_text(report: &Report, field: &Field) -> String {
    let chosen = report.inputs.fields().find(|(other, ..)| other.key == field.key);
    match (field.kind, chosen) {
        (Kind::Choice(_), Some((_, _, Some(Value::Choice(key))))) => (*key).into(),
        _ => report.entries.get(field.key).unwrap_or("").into(),
    }
}

/// One entry while it applies.
pub fn entry(page: Page, field: &'static Field) -> AnyView {
    let key = field.key;
    let look = Memo::new(move |_| page.report.with(|report| Look::of(report, field)));
    let message = move || {
        let waits = page.typing.get() == key;
        look.with(|look| if waits { String::new() } else { look.message.clone() })
    };
    let control = match field.kind {
        Kind::Choice(options) => choice(page, field, options),
        Kind::Rows(columns) => rows::rows(page, field, columns),
        _ => text(page, field, look),
    };
    let wide = matches!(field.kind, Kind::Choice(_) | Kind::Rows(_));
    let label = match units(field).as_slice() {
        [] | [""] => None,
        signs => Some(view! { ", "<span class="unit">{signs.join(" or ")}</span> }),
    };
    let optional = field.optional.then(|| view! { <small>" (optional)"</small> });
    view! {
        <div class=if wide { "entry wide" } else { "entry" }>
            <label for=["f-", key].concat()>{field.label}{label}{optional}</label>
            {control}
            <p class="help" id=["h-", key].concat()>{field.help}" "<span class="tie">{move || look.with(|look| look.note.clone())}</span></p>
            <p class="why" id=["e-", key].concat()>{message}</p>
            <p class="why soft">{move || look.with(|look| look.warning.clone())}</p>
        </div>
    }
    .into_any()
}

/// Keeps phones from correcting what is typed; an attribute of theirs that the HTML standard took up late.
pub fn uncorrected() -> impl Attribute {
    custom_attribute("autocorrect", "off")
}

fn described(key: &str) -> String {
    ["h-", key, " e-", key].concat()
}

fn choice(page: Page, field: &'static Field, options: &'static [Choice]) -> AnyView {
    let text = page.report.with_untracked(|report| control_text(report, field));
    let none = field.default.is_empty().then(|| view! { <option value="">"–"</option> });
    let options = options.iter().map(|option| {
        view! { <option value=option.key selected=option.key == text>{option.label}</option> }
    });
    view! {
        <select id=["f-", field.key].concat() aria-describedby=described(field.key)>{none}{options.collect_view()}</select>
    }
    .into_any()
}

fn text(page: Page, field: &'static Field, look: Memo<Look>) -> AnyView {
    let key = field.key;
    let mode = mode(field);
    let text = page.report.with_untracked(|report| control_text(report, field));
    let beside = move || (mode == Some("decimal") && page.focused.get() == key).then(|| key_row(page, field));
    view! {
        <input
            id=["f-", key].concat()
            inputmode=mode
            autocomplete="off"
            autocapitalize="none"
            {..uncorrected()}
            spellcheck="false"
            enterkeyhint="next"
            value=text
            placeholder=move || look.with(|look| look.placeholder.clone())
            aria-describedby=described(key)
            aria-invalid=move || look.with(|look| !look.message.is_empty()).then_some("true")
        />
        {beside}
    }
    .into_any()
}

/// Keys that a number pad lacks; the focus, and with it the keyboard, stays where it is.
fn key_row(page: Page, field: &'static Field) -> AnyView {
    let control = move || document().get_element_by_id(&["f-", field.key].concat())?.dyn_into::<web_sys::HtmlInputElement>().ok();
    let put = move |sign: &'static str| {
        let Some(input) = control() else { return };
        let length = u32::try_from(input.value().encode_utf16().count()).unwrap_or(u32::MAX);
        let caret = |place: Result<Option<u32>, _>| place.ok().flatten().unwrap_or(length);
        let (from, to) = (caret(input.selection_start()), caret(input.selection_end()));
        _ = input.set_range_text_with_start_and_end_and_selection_mode(sign, from, to, web_sys::SelectionMode::End);
        page.typed(field.key, &input.value());
    };
    let letters = move |_| {
        let Some(input) = control() else { return };
        // Phones change the keyboard when the focus comes back.
        _ = input.set_attribute("inputmode", "text");
        _ = input.blur();
        _ = input.focus();
    };
    let keys = keys(field).into_iter().map(|sign| view! { <button type="button" tabindex="-1" on:click=move |_| put(sign)>{sign}</button> });
    view! {
        <div class="keys" on:pointerdown=|event: PointerEvent| event.prevent_default()>
            {keys.collect_view()}
            <button type="button" tabindex="-1" on:click=letters>"ABC"</button>
        </div>
    }
    .into_any()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn field(sheet: &str, key: &str) -> &'static Field {
        let sheet = sheets::find(sheet).expect("it is listed");
        sheet.fields.iter().find(|field| field.key == key).expect("it is declared")
    }

    #[test]
    fn the_label_names_the_unit() {
        assert_eq!(caption(field("travel", "pitch")), "Belt pitch, mm");
        assert_eq!(caption(field("travel", "teeth")), "Pulley teeth");
        assert_eq!(caption(field("current", "set")), "Current of each motor, A or %");
    }

    #[test]
    fn the_number_pad_comes_only_where_its_keys_suffice() {
        for (sheet, key, expected) in [
            ("travel", "pitch", Some("decimal")),
            ("travel", "teeth", Some("numeric")),
            ("travel", "gears", Some("decimal")),
            ("travel", "thread", None),
            ("current", "ambient", None),
            ("current", "resistance", None),
            ("current", "set", Some("decimal")),
            ("sensor", "a", None),
        ] {
            assert_eq!(mode(field(sheet, key)), expected, "{sheet} {key}");
        }
    }

    #[test]
    fn a_blank_says_where_its_value_comes_from() {
        let travel = sheets::find("travel").expect("it is listed");
        let look = |entries: &[(&str, &str)], key| {
            Look::of(&travel.run(&entries.iter().copied().collect()), field("travel", key))
        };
        assert_eq!(look(&[], "step").placeholder, "1.8");
        let solved = look(&[("pitch", "2"), ("turn_travel", "40")], "teeth");
        assert_eq!((solved.placeholder.as_str(), solved.note.as_str()), ("20", "worked out: 20"));
        assert!(look(&[("pitch", "x")], "pitch").message.starts_with("Belt pitch: "));
        let microstep = sheets::find("microstep").expect("it is listed");
        let carried = microstep.run_carried(&[].into_iter().collect(), &|_| Some(40.0));
        assert_eq!(Look::of(&carried, field("microstep", "turn_travel")).note, "from Travel: 40\u{a0}mm");
    }
}
