//! The page of sources: every formula of every sheet in words, and where it comes from.

use layshaft_core::sheets::{Subject, all, cited};

use crate::markup::Markup;
use crate::state::Place;

/// The page.
pub fn page() -> String {
    let mut out = Markup::default();
    out.raw(
        "<header class=intro><div><h1>Sources</h1><p>Every formula behind the answers, and where it comes from. The part’s own \
        data sheet overrules them. A reader who finds one wrong helps everybody by saying so.</p></div></header>",
    );
    for subject in Subject::ALL {
        for sheet in all().iter().filter(|sheet| sheet.subject == subject) {
            out.raw("<section class=sources><h2><a href=\"")
                .words(&Place::Loose.href(sheet))
                .raw("\">")
                .words(sheet.title)
                .raw("</a></h2>");
            for one in cited(sheet) {
                out.raw("<div class=step><b>").words(one.label).raw("</b>");
                if !one.choice.is_empty() {
                    out.raw(" <small>").words(&one.choice).raw("</small>");
                }
                out.raw("<p>= ")
                    .words(&one.formula)
                    .raw("</p><p><cite>")
                    .words(one.source)
                    .raw("</cite></p></div>");
            }
            out.raw("</section>");
        }
    }
    out.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sheet_has_its_formulas_with_their_sources() {
        let text = page();
        let formulas: usize = all().iter().map(|sheet| cited(sheet).len()).sum();
        assert_eq!(text.matches("<cite>").count(), formulas);
        assert!(formulas > 200, "{formulas}");
        assert!(text.contains("<b>Travel per output turn</b> <small>Toothed belt</small><p>= belt pitch × pulley teeth</p>"));
    }
}
