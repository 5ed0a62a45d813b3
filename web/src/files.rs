//! Machines as text files: saved for keeping or for another device, and read again.
//!
//! A file is one record behind the other. Reading one never writes over what is here: each comes in as a machine of its own.

use crate::dom::*;
use layshaft_core::machine::{Machine, RecordFault};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use wasm_bindgen_futures::spawn_local;
use web_sys::{Blob, File, HtmlAnchorElement, Url};

use crate::keys::{self, LONGEST_NAME};
use crate::state::{Desk, tidy_name};
use crate::storage::{Aside, LOOSE_ID, is_machine};

impl Desk {
    /// Saves one machine as a file.
    pub(crate) fn export(self, id: &str) {
        let record = untrack(|| {
            self.machine(id, |machine| {
                machine.map(|machine| (file_name(&machine.name), machine.write()))
            })
        });
        if let Some((name, text)) = record {
            self.save_file(&name, &text);
        }
    }

    /// Saves a record that could not be read as a file, as it is stored.
    pub(crate) fn export_aside(self, aside: &Aside) {
        self.save_file("layshaft-set-aside.txt", &aside.text);
    }

    /// Saves all machines, the loose sheets and the records that could not be read as one file.
    pub(crate) fn export_all(self) {
        let mut text = String::new();
        self.held.with_untracked(|all| {
            for held in all.iter().filter(|held| is_machine(&held.id)) {
                text += &held.machine.write();
            }
            let loose = all
                .iter()
                .find(|held| held.id == LOOSE_ID)
                .filter(|held| !is_blank(&held.machine));
            if let Some(held) = loose {
                text += &loose_machine(held.machine.clone()).write();
            }
        });
        self.aside.with_untracked(|all| {
            for aside in all {
                text += &aside.text;
                text.push('\n');
            }
        });
        self.save_file("layshaft-machines.txt", &text);
    }

    fn save_file(self, name: &str, text: &str) {
        if save_file(name, text).is_err() {
            self.tell(
                "The browser did not take the file. Copy the link of each sheet instead.",
                None,
            );
        }
    }

    /// Reads a file that the person chose.
    pub(crate) fn import(self, file: File) {
        if file.size() > keys::LARGEST_BACKUP {
            self.tell(
                "This file is larger than 20 MB: choose one that this page saved.",
                None,
            );
            return;
        }
        spawn_local(async move {
            match JsFuture::from(file.text())
                .await
                .ok()
                .and_then(|text| text.as_string())
            {
                Some(text) => self.import_text(&text),
                None => self.tell("The file could not be read: choose it again.", None),
            }
        });
    }

    fn import_text(self, text: &str) {
        let (mut count, mut fault) = (0_u32, None);
        for record in records(text) {
            match Machine::read(&record) {
                Ok(mut machine) => {
                    machine.name = self.free_name(&machine.name);
                    self.add(machine);
                    count += 1;
                }
                Err(why) => fault = Some(why),
            }
        }
        match count {
            0 => {}
            1 => self.tell("1 machine was read from the file.", None),
            _ => self.tell(
                [&count.to_string(), " machines were read from the file."].concat(),
                None,
            ),
        }
        let fault = fault.or((count == 0).then_some(RecordFault::NotARecord));
        if let Some(fault) = fault {
            self.tell(["In the file: ", import_message(fault)].concat(), None);
        }
    }

    /// A name that no machine has: this one, or with a number behind it.
    pub(crate) fn free_name(self, name: &str) -> String {
        let name = tidy_name(name).unwrap_or_else(|| "Machine".into());
        let taken = |name: &str| {
            self.held.with_untracked(|all| {
                all.iter()
                    .any(|held| is_machine(&held.id) && held.machine.name == name)
            })
        };
        let mut free = name.clone();
        let mut number = 2_u32;
        while taken(&free) {
            free = [&name, " (", &number.to_string(), ")"].concat();
            number += 1;
        }
        free
    }
}

/// The words for a file, where [`RecordFault::message`] has those for a stored machine.
const fn import_message(fault: RecordFault) -> &'static str {
    match fault {
        RecordFault::NotARecord => {
            "this is not a file of machines saved by Layshaft. Nothing here was changed."
        }
        RecordFault::Newer(_) => {
            "a machine was saved by a newer version. Reload the page to get it, then choose the file again."
        }
        RecordFault::Damaged => {
            "a machine's record was cut or changed on its way. Choose another copy of the file."
        }
    }
}

/// The loose sheets as a machine of that name.
pub(crate) fn loose_machine(mut machine: Machine) -> Machine {
    machine.name = "Loose sheets".into();
    for part in &mut machine.parts {
        part.name = "Sheets".into();
    }
    machine
}

/// Whether nothing was typed into any sheet.
fn is_blank(machine: &Machine) -> bool {
    machine
        .parts
        .iter()
        .flat_map(|part| &part.sheets)
        .all(|(_, entries)| entries.is_empty())
}

/// The records in a file; what precedes the first one is a record too, so that it is refused in words.
fn records(text: &str) -> Vec<String> {
    let mut records: Vec<String> = Vec::new();
    for line in text.trim_start_matches('\u{feff}').lines() {
        if records.is_empty() || line.starts_with(keys::RECORD_HEAD) {
            records.push(String::new());
        }
        if let Some(record) = records.last_mut() {
            record.push_str(line);
            record.push('\n');
        }
    }
    records
}

/// "layshaft-heron-160.txt": letters and digits only, whatever the machine is called.
fn file_name(name: &str) -> String {
    let mut file = String::from("layshaft");
    for word in name
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
    {
        file.push('-');
        file.extend(word.chars().map(|c| c.to_ascii_lowercase()));
    }
    // Longer ones are refused by file systems.
    file.chars()
        .take(LONGEST_NAME)
        .chain(".txt".chars())
        .collect()
}

fn save_file(name: &str, text: &str) -> Result<(), JsValue> {
    let blob = Blob::new_with_str_sequence(&js_sys::Array::of1(&text.into()))?;
    let address = Url::create_object_url_with_blob(&blob)?;
    let link: HtmlAnchorElement = document().create_element("a")?.unchecked_into();
    link.set_href(&address);
    link.set_download(name);
    link.click();
    // Not at once: some browsers start reading after the click is over.
    let revoked = after(60_000, move || _ = Url::revoke_object_url(&address));
    std::mem::forget(revoked);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_of_several_machines_comes_apart_again() {
        let machine = |name: &str| Machine {
            name: name.into(),
            parts: Vec::new(),
        };
        let (one, two) = (machine("Heron 160"), machine("layshaft machine 1"));
        let file = one.write() + "\r\n" + &two.write();
        let read: Vec<_> = records(&file)
            .iter()
            .map(|record| Machine::read(record))
            .collect();
        assert_eq!(read, [Ok(one), Ok(two)]);
        assert_eq!(records("").len(), 0);
        assert_eq!(
            Machine::read(&records("hello").concat()),
            Err(RecordFault::NotARecord)
        );
    }

    #[test]
    fn records_begin_as_the_reader_expects() {
        assert!(Machine::default().write().starts_with(keys::RECORD_HEAD));
    }

    #[test]
    fn a_file_name_is_made_of_letters_and_digits() {
        assert_eq!(
            file_name("Heron 160 / “Köln”"),
            "layshaft-heron-160-köln.txt"
        );
        assert_eq!(file_name("../<b>"), "layshaft-b.txt");
        assert_eq!(file_name("🦆"), "layshaft.txt");
    }
}
