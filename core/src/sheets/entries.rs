//! What a person typed into one sheet, exactly as typed.

use alloc::string::String;
use alloc::sync::Arc;
use alloc::vec::Vec;

/// The typed texts of one sheet by field key, in the order in which they came.
///
/// Keys that the sheet does not know are kept too: they may come from a newer version. A copy shares the texts until one
/// of both changes: every report keeps its entries.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Entries {
    pairs: Option<Arc<Vec<(String, String)>>>,
}

impl Entries {
    /// No entries.
    pub const fn new() -> Self {
        Self { pairs: None }
    }

    /// The text typed for `key`; `None` when nothing was typed.
    pub fn get(&self, key: &str) -> Option<&str> {
        self.iter().find(|(k, _)| *k == key).map(|(_, text)| text)
    }

    /// Keeps `text` for `key`; an empty text is kept as nothing typed.
    pub fn set(&mut self, key: &str, text: &str) {
        let pairs = Arc::make_mut(self.pairs.get_or_insert_default());
        match pairs.iter_mut().find(|(k, _)| k == key) {
            Some((_, old)) if !text.is_empty() => *old = String::from(text),
            Some(_) => pairs.retain(|(k, _)| k != key),
            None if text.is_empty() => {}
            None => pairs.push((String::from(key), String::from(text))),
        }
        if pairs.is_empty() {
            self.pairs = None;
        }
    }

    /// Every pair of key and text.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &str)> {
        let pairs = self.pairs.as_deref().map_or(&[][..], Vec::as_slice);
        pairs
            .iter()
            .map(|(key, text)| (key.as_str(), text.as_str()))
    }

    /// Whether nothing was typed.
    pub fn is_empty(&self) -> bool {
        self.pairs.is_none()
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
