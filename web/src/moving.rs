//! A machine on its way: opened from a link, shown as a code, read from one by the camera.

use std::cell::RefCell;

use crate::dom::*;
use layshaft_core::machine::{Machine, Moved, RecordFault, example};
use qrcodegen::{QrCode, QrCodeEcc};
use wasm_bindgen::JsValue;

use crate::markup::Markup;
use crate::panel::button;
use crate::route::Route;
use crate::share::site;
use crate::stage::fill;
use crate::state::Desk;
use crate::storage::is_machine;

/// The longest link that one code holds: more makes its squares too small for a phone held by hand.
const LONGEST_CODE: usize = 1000;
/// How much of a longer link each of several codes holds.
const PIECE: usize = 400;

thread_local! {
    /// The pieces of a link that came so far.
    static PIECES: RefCell<Vec<Option<String>>> = const { RefCell::new(Vec::new()) };
}

impl Desk {
    /// The address that opens a machine, for anybody.
    pub(crate) fn machine_address(self, id: &str) -> Option<String> {
        let link = untrack(|| self.machine(id, |machine| machine.and_then(Machine::link)))?;
        Some([&site(), "#", &link].concat())
    }

    /// The machine whose name that of `id` continues: "Heron 160" beside "Heron 160 (2)"; tracked.
    pub(crate) fn twin(self, id: &str, name: &str) -> Option<Machine> {
        let (name, _) = name.rsplit_once(" (").filter(|_| name.ends_with(')'))?;
        self.held.with(|all| {
            let twin = all
                .iter()
                .find(|held| is_machine(&held.id) && held.id != id && held.machine.name == name);
            twin.map(|held| held.machine.clone())
        })
    }

    /// Opens the example.
    pub(crate) fn open_example(self) {
        if let Ok(machine) = example::machine() {
            self.bring(machine, "#example");
        }
    }

    /// Opens the link of a machine, or keeps a piece of one until the others come.
    pub(crate) fn open_machine(self, text: &str) {
        match Machine::read_link(text) {
            Ok(Moved::Whole(machine)) => self.bring(machine, text),
            Ok(Moved::Piece { number, of, text }) => {
                self.replace(Route::Machines);
                self.piece(number, of, text);
            }
            Err(fault) => {
                self.replace(Route::Machines);
                self.tell(message(fault), None);
            }
        }
    }

    fn piece(self, number: usize, of: usize, text: String) {
        let whole = PIECES.with_borrow_mut(|pieces| {
            // What a piece begins with tells whose it is.
            let other = |piece: &Option<String>| {
                piece
                    .as_ref()
                    .is_some_and(|piece| piece.get(..4) != text.get(..4))
            };
            if pieces.len() != of || pieces.iter().any(other) {
                *pieces = vec![None; of];
            }
            if let Some(place) = pieces.get_mut(number - 1) {
                *place = Some(text);
            }
            let all: Option<Vec<String>> = pieces.iter().cloned().collect();
            let left = pieces.iter().filter(|piece| piece.is_none()).count();
            if all.is_some() {
                pieces.clear();
            }
            all.ok_or(left)
        });
        match whole {
            Ok(pieces) => {
                hush();
                self.open_machine(&Machine::joined(&pieces));
            }
            Err(left) => {
                let words = [
                    "Code ",
                    &number.to_string(),
                    " of ",
                    &of.to_string(),
                    " is read; ",
                    &left.to_string(),
                    " to go. Read the next one.",
                ]
                .concat();
                fill("seen", &words);
                self.tell(words, None);
            }
        }
    }

    /// Takes a machine in as a copy: nothing that is here is replaced, and one that is here already is only shown.
    fn bring(self, mut machine: Machine, from: &str) {
        let same = untrack(|| {
            self.held.with(|all| {
                let same = all
                    .iter()
                    .find(|held| is_machine(&held.id) && held.machine.parts == machine.parts);
                same.map(|held| (held.id.clone(), held.machine.name.clone()))
            })
        });
        if let Some((id, name)) = same {
            self.replace(Route::Machine(id));
            self.tell(
                [&name, " is here already, the same in every entry."].concat(),
                None,
            );
            return;
        }
        let asked = machine.name.clone();
        machine.name = self.free_name(&machine.name);
        let name = machine.name.clone();
        let id = self.add(machine);
        let route = Route::Machine(id);
        // Where nothing is saved the link stays in the address, so that a reload opens it again.
        if self.save_now() || from.is_empty() {
            self.replace(route);
        } else {
            self.route.set(route);
        }
        if name == asked {
            self.tell([&name, " is now kept in this browser."].concat(), None);
        } else {
            self.tell(
                [
                    "It came in as “",
                    &name,
                    "”, since there is one of that name; below is how they differ.",
                ]
                .concat(),
                None,
            );
        }
    }

    /// Hears what the camera reads.
    pub(crate) fn watch_codes(self) {
        on_window("layshaft:code", move |event| {
            let text = js_sys::Reflect::get(&event, &JsValue::from_str("text"));
            let text = text
                .ok()
                .and_then(|text| text.as_string())
                .unwrap_or_default();
            match Machine::read_link(&text) {
                Ok(Moved::Piece { number, of, text }) => self.piece(number, of, text),
                Ok(Moved::Whole(machine)) => {
                    hush();
                    self.bring(machine, "");
                }
                Err(_) => fill("seen", "This code holds no machine of Layshaft."),
            }
        });
    }
}

const fn message(fault: RecordFault) -> &'static str {
    match fault {
        RecordFault::NotARecord => "This is no link of a machine.",
        RecordFault::Newer(_) => {
            "The link was made by a newer version. Reload the page to get it, then open the link again."
        }
        RecordFault::Damaged => {
            "The machine's link was cut or changed on its way: its check digits do not fit. Ask for it again, or for the machine as a file. Nothing here was changed."
        }
    }
}

/// Whether the browser reads codes by itself.
pub fn can_scan() -> bool {
    js_sys::Reflect::has(&js_sys::global(), &JsValue::from_str("BarcodeDetector")).unwrap_or(false)
}

/// Opens the camera, on the page of all machines.
pub fn scan() {
    fill(
        "scan",
        "<video id=camera muted playsinline></video><p id=seen role=status>Hold the code into the picture.</p>",
    );
    send("layshaft:scan");
}

fn hush() {
    send("layshaft:blind");
    fill("scan", "");
}

fn send(what: &str) {
    if let Ok(event) = web_sys::Event::new(what) {
        _ = window().dispatch_event(&event);
    }
}

/// Shows the link of a machine as codes, the one of this number first.
pub fn show(address: &str, number: usize) {
    let Some((site, link)) = address.split_once('#') else {
        return;
    };
    let pieces = if address.len() <= LONGEST_CODE {
        vec![link.into()]
    } else {
        Machine::pieces(link, PIECE)
    };
    let Some(piece) = pieces.get(number) else {
        return;
    };
    let mut out = Markup::default();
    out.raw("<figure class=code>");
    match code(&[site, "#", piece].concat()) {
        Some(svg) => _ = out.markup(&svg),
        None => _ = out.raw("<p class=why>The machine is too large for a code: send its file.</p>"),
    }
    out.raw("<figcaption>Open it with the camera of the phone.");
    if pieces.len() > 1 {
        out.raw(" Code ")
            .words(&(number + 1).to_string())
            .raw(" of ")
            .words(&pieces.len().to_string());
        out.raw(": on the phone, open Machines here and press “Read a code with the camera”.");
    }
    out.raw("</figcaption></figure>");
    if pieces.len() > 1 {
        out.raw("<div class=acts>");
        button(
            &mut out,
            &["show-code ", &((number + 1) % pieces.len()).to_string()].concat(),
            "Next code",
        );
        out.raw("</div>");
    }
    fill("code", &out.finish());
}

/// A text as a QR code (ISO/IEC 18004), black on white with its quiet zone of four squares.
fn code(text: &str) -> Option<String> {
    let code = QrCode::encode_text(text, QrCodeEcc::Low).ok()?;
    let size = code.size();
    let mut out = Markup::default();
    out.raw("<svg role=img aria-label=\"The machine's link as a QR code\" shape-rendering=crispEdges viewBox=\"-4 -4 ");
    out.int(size + 8)
        .raw(" ")
        .int(size + 8)
        .raw("\"><path class=blank d=\"M-4-4h")
        .int(size + 8)
        .raw("v")
        .int(size + 8);
    out.raw("h-")
        .int(size + 8)
        .raw("z\"/><path class=dark d=\"");
    for y in 0..size {
        let mut x = 0;
        while x < size {
            let from = x;
            while code.get_module(x, y) {
                x += 1;
            }
            if x > from {
                out.raw("M")
                    .int(from)
                    .raw(" ")
                    .int(y)
                    .raw("h")
                    .int(x - from)
                    .raw("v1h-")
                    .int(x - from)
                    .raw("z");
            }
            x += 1;
        }
    }
    out.raw("\"/></svg>");
    Some(out.finish())
}
