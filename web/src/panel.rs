//! A part of a page that is text made by a pure function, with controls in it: the text says which word a control sends.
//!
//! `data-click="delete-part 2"` sends the word `delete-part` about `2` when it is clicked; `data-input`, `data-change` and
//! `data-submit` likewise. A page of such text costs a tenth of the bytes that a view of the same elements does.

use crate::dom::*;
use wasm_bindgen::JsCast;
use web_sys::{Element, Event, HtmlElement, HtmlFormElement, HtmlInputElement};

use crate::keys::LONGEST_NAME;
use crate::markup::Markup;
use crate::stage::{keep, listen};
use crate::state::tidy_name;

/// What a control sent.
pub struct Act {
    /// What is to be done.
    pub word: String,
    /// What with.
    pub about: String,
    /// The control.
    pub control: Element,
}

impl Act {
    fn of(event: &Event) -> Option<Self> {
        let attribute = ["data-", &event.type_()].concat();
        let target: Element = event.target()?.dyn_into().ok()?;
        let control = target.closest(&["[", &attribute, "]"].concat()).ok()??;
        let said = control.get_attribute(&attribute)?;
        if event.type_() == "submit" {
            event.prevent_default();
        }
        let (word, about) = said.split_once(' ').unwrap_or((&said, ""));
        Some(Self {
            word: word.into(),
            about: about.into(),
            control,
        })
    }

    /// The number it is about.
    pub fn number(&self) -> usize {
        self.about.parse().unwrap_or(usize::MAX)
    }

    /// The text of an input, or the choice of a list.
    pub fn value(&self) -> String {
        // A list has the same property.
        self.control.unchecked_ref::<HtmlInputElement>().value()
    }

    /// The name in an input; a blank or endless one gets its message.
    pub fn name(&self) -> Option<String> {
        name_in(self.control.unchecked_ref())
    }

    /// The name in an input of this id in a form that was sent; a blank or endless one gets its message and the focus.
    pub fn name_of(&self, id: &str) -> Option<String> {
        let input = self.control.query_selector(&["#", id].concat()).ok()??;
        let input: &HtmlInputElement = input.unchecked_ref();
        let name = name_in(input);
        if name.is_none() {
            _ = input.focus();
        }
        name
    }

    /// Empties a form that was taken.
    pub fn done(&self) {
        self.control.unchecked_ref::<HtmlFormElement>().reset();
    }
}

fn name_in(input: &HtmlInputElement) -> Option<String> {
    let name = tidy_name(&input.value());
    let length = name.as_ref().map_or(0, |name| name.chars().count());
    let name = name.filter(|_| length <= LONGEST_NAME);
    if let Some(message) = element(&["e-", &input.id()].concat()) {
        let said = if length == 0 {
            "data-blank"
        } else {
            "data-long"
        };
        let said = message.get_attribute(said).unwrap_or_default();
        message.set_text_content(Some(&said));
        _ = message.toggle_attribute_with_force("hidden", name.is_some());
    }
    _ = match name {
        Some(_) => input.remove_attribute("aria-invalid"),
        None => input.set_attribute("aria-invalid", "true"),
    };
    name
}

/// Keeps the element of this id showing a text, and hands on what its controls send, until the page is turned.
pub fn panel(id: &str, text: impl Fn() -> String + 'static, act: impl Fn(Act) + 'static) {
    raise(id, Box::new(text), Box::new(act));
}

fn raise(id: &str, text: Box<dyn Fn() -> String>, act: Box<dyn Fn(Act)>) {
    let Some(panel) = element(id) else { return };
    let panel: HtmlElement = panel.unchecked_into();
    let hear = move |event: Event| {
        if let Some(sent) = Act::of(&event) {
            act(sent);
        }
    };
    listen(
        &panel,
        &["click", "input", "change", "submit"],
        Box::new(hear),
    );
    let put = move |text: &str| {
        let within = document()
            .active_element()
            .filter(|element| panel.contains(Some(element)));
        let typed = typed(&panel);
        panel.set_inner_html(text);
        for (id, text) in typed {
            if let Some(input) = element(&id) {
                input.unchecked_ref::<HtmlInputElement>().set_value(&text);
            }
        }
        if let Some(focused) = within {
            focus_again(&panel, &focused.id());
        }
    };
    keep(text, Box::new(put));
}

/// What is typed into forms and not sent yet, by the inputs' ids: it outlives new text.
fn typed(panel: &HtmlElement) -> Vec<(String, String)> {
    let Ok(inputs) = panel.query_selector_all("form input") else {
        return Vec::new();
    };
    let inputs = (0..inputs.length()).filter_map(|index| inputs.get(index));
    inputs
        .map(JsCast::unchecked_into::<HtmlInputElement>)
        .map(|input| (input.id(), input.value()))
        .collect()
}

/// After new text the focus goes to the control that had it, else to the whole.
fn focus_again(panel: &HtmlElement, id: &str) {
    let same = element(id).filter(|_| !id.is_empty());
    _ = same
        .map_or_else(|| panel.clone(), JsCast::unchecked_into::<HtmlElement>)
        .focus();
}

/// A field for a name, with its message hidden until it is blank or endless: "Name of the part: enter a name, such as X axis."
pub struct NameField<'a> {
    /// The id of the input; the message's is this behind `e-`.
    pub id: &'a str,
    /// What it names.
    pub label: &'static str,
    /// An example for help and message.
    pub example: &'static str,
    /// What it sends while it is typed into.
    pub sends: &'a str,
    /// The text in it.
    pub name: &'a str,
}

impl NameField<'_> {
    /// Its markup.
    pub fn put(&self, out: &mut Markup) {
        out.raw("<label for=\"")
            .words(self.id)
            .raw("\">")
            .words(self.label)
            .raw("</label><input id=\"")
            .words(self.id);
        out.raw("\" autocomplete=off spellcheck=false aria-describedby=\"e-")
            .words(self.id);
        out.raw("\" placeholder=\"")
            .words(self.example)
            .raw("\" data-input=\"")
            .words(self.sends);
        out.raw("\" value=\"")
            .words(self.name)
            .raw("\"><p class=why hidden id=\"e-")
            .words(self.id)
            .raw("\" data-blank=\"");
        out.words(self.label)
            .raw(": enter a name, such as ")
            .words(self.example)
            .raw(".\" data-long=\"")
            .words(self.label)
            .raw(": enter at most 80 characters.\"></p>");
    }
}

/// A button that sends a word.
pub fn button(out: &mut Markup, sends: &str, label: &str) {
    out.raw("<button type=button data-click=\"")
        .words(sends)
        .raw("\">")
        .words(label)
        .raw("</button>");
}
