//! What a person typed into one sheet, exactly as typed.

use alloc::string::String;
use alloc::vec::Vec;

/// The typed texts of one sheet by field key, in the order in which they came.
///
/// Keys that the sheet does not know are kept too: they may come from a newer version.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Entries {
    pairs: Vec<(String, String)>,
}

impl Entries {
    /// No entries.
    pub const fn new() -> Self {
        Self { pairs: Vec::new() }
    }

    /// The text typed for `key`; `None` when nothing was typed.
    pub fn get(&self, key: &str) -> Option<&str> {
        self.pairs
            .iter()
            .find(|(k, _)| k == key)
            .map(|(_, text)| text.as_str())
    }

    /// Keeps `text` for `key`; an empty text is kept as nothing typed.
    pub fn set(&mut self, key: &str, text: &str) {
        match self.pairs.iter_mut().find(|(k, _)| k == key) {
            Some((_, old)) => *old = String::from(text),
            None if text.is_empty() => {}
            None => self.pairs.push((String::from(key), String::from(text))),
        }
        self.pairs.retain(|(_, text)| !text.is_empty());
    }

    /// Every pair of key and text.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &str)> {
        self.pairs
            .iter()
            .map(|(key, text)| (key.as_str(), text.as_str()))
    }

    /// Whether nothing was typed.
    pub fn is_empty(&self) -> bool {
        self.pairs.is_empty()
    }
}

impl<'a> FromIterator<(&'a str, &'a str)> for Entries {
    fn from_iter<I: IntoIterator<Item = (&'a str, &'a str)>>(pairs: I) -> Self {
        let mut entries = Self::new();
        for (key, text) in pairs {
            entries.set(key, text);
        }
        entries
    }
}
