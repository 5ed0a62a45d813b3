//! The frequency meter of the `belt` sheet: what a plucked span sounds like, while the person asks for it.
//!
//! `listen.js` minds the microphone; the fundamental is found by [`layshaft_core::measure::tone`]. What is shown is what
//! is taken into an entry.

use js_sys::{Float32Array, Reflect};
use layshaft_core::entry::write::{write_fixed, write_significant};
use layshaft_core::measure::tone;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{Element, Event};

use crate::dom::{element, on_cleanup, window};
use crate::stage::{self, all, fill};

/// The sheet that has the meter.
pub const SHEET: &str = "belt";

/// The meter's section: its buttons stay while what is heard changes.
pub const FRAME: &str = "<section class=hear id=hear><h2>Frequency meter</h2><p class=help>Listens only while you ask; nothing is recorded or sent. \
    Motors off, pluck the middle of the span with the microphone a finger's width away.</p>\
    <div class=acts><button type=button id=listen data-click=listen>Listen</button></div>\
    <p><b id=hz></b> <span id=hear-say role=status></span></p><progress id=loud max=80 value=0 aria-label=\"Level\"></progress>\
    <div class=acts><button type=button data-click=\"take frequency\" disabled>Take it for this belt</button>\
    <button type=button data-click=\"take frequency_b\" disabled>Take it for the other belt</button></div></section>";

/// A tone that is less like itself than this is not shown.
const CLEAR: f64 = 0.6;

fn send(event: &str) {
    if let Ok(event) = Event::new(event) {
        _ = window().dispatch_event(&event);
    }
}

/// Hears what the microphone gives until the page is turned, which closes it.
pub fn start() {
    if let Some(part) = element("hear") {
        let events = &["layshaft:sound", "layshaft:silent"];
        stage::listen(&part, events, Box::new(|event| hear(&event)));
    }
    on_cleanup(|| send("layshaft:hush"));
}

fn get(event: &Event, name: &str) -> JsValue {
    Reflect::get(event, &JsValue::from_str(name)).unwrap_or_default()
}

fn say(words: &str) {
    if let Some(say) = element("hear-say") {
        say.set_text_content(Some(words));
    }
}

fn level(share: f64) {
    if let Some(loud) = element("loud") {
        _ = loud.set_attribute("value", &write_fixed(share, 0));
    }
}

/// Begins to listen, or ends it.
pub fn listen(button: &Element) {
    if button.text_content().as_deref() == Some("Stop") {
        send("layshaft:hush");
    } else {
        fill("listen", "Stop");
        say("Pluck now.");
        send("layshaft:listen");
    }
}

fn hear(event: &Event) {
    if let Some(why) = get(event, "why").as_string() {
        fill("listen", "Listen");
        level(0.0);
        say(&why);
    }
    let (Some(rate), Ok(samples)) = (
        get(event, "rate").as_f64(),
        get(event, "samples").dyn_into::<Float32Array>(),
    ) else {
        return;
    };
    let mut samples = samples.to_vec();
    // From the faintest of 80 dB to full scale.
    level(80.0 + 20.0 / std::f64::consts::LN_10 * libm::log(tone::level(&samples).max(1e-4)));
    let by = tone::thinning(rate);
    let heard = tone::tone(
        tone::thin(&mut samples, by),
        rate / f64::from(u32::try_from(by).unwrap_or(1)),
    );
    // The last clear tone stays: a span sounds for a moment only.
    if let Some(heard) = heard.filter(|heard| heard.likeness >= CLEAR) {
        fill(
            "hz",
            &[&write_significant(heard.hz, 4), "\u{a0}Hz"].concat(),
        );
        say("");
        for button in element("hear")
            .iter()
            .flat_map(|hear| all(hear, "[disabled]"))
        {
            _ = button.remove_attribute("disabled");
        }
    }
}

/// The number that is shown, as an entry takes it.
pub fn shown() -> Option<String> {
    let text = element("hz")?.text_content()?;
    let (number, _) = text.split_once('\u{a0}')?;
    Some(number.into())
}
