//! HTML and SVG as text: what only shows is made by pure functions and put into the page whole.
//!
//! Two doors, so that nothing typed becomes markup: [`Markup::raw`] takes only what stands in the source, and
//! [`Markup::words`] escapes.

use std::fmt::Write;

/// Markup in the making.
#[derive(Default)]
pub struct Markup(String);

impl Markup {
    /// Markup as it stands in the source.
    pub fn raw(&mut self, markup: &'static str) -> &mut Self {
        self.0.push_str(markup);
        self
    }

    /// Words for people, with what HTML would take for markup escaped; safe in quoted attributes too.
    pub fn words(&mut self, words: &str) -> &mut Self {
        for letter in words.chars() {
            match letter {
                '&' => self.0.push_str("&amp;"),
                '<' => self.0.push_str("&lt;"),
                '"' => self.0.push_str("&quot;"),
                other => self.0.push(other),
            }
        }
        self
    }

    /// Markup that was made by a function of this kind.
    pub fn markup(&mut self, markup: &str) -> &mut Self {
        self.0.push_str(markup);
        self
    }

    /// A whole number.
    pub fn int(&mut self, number: i32) -> &mut Self {
        let _ = write!(self.0, "{number}");
        self
    }

    /// What was written.
    pub fn finish(self) -> String {
        self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_never_become_markup() {
        let mut markup = Markup::default();
        markup
            .raw("<p title=\"")
            .words("a\" onclick=\"x")
            .raw("\">")
            .words("<b>&amp;")
            .raw("</p>");
        assert_eq!(
            markup.finish(),
            "<p title=\"a&quot; onclick=&quot;x\">&lt;b>&amp;amp;</p>"
        );
    }
}
