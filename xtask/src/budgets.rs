//! The table of budgets in `README.md`, which `cargo xtask bench` keeps: a figure that nobody writes by hand is true.

use crate::Outcome;
use crate::tools::{at, read, write};

/// One budget: what is measured, how it came out, on the bare page too where that means something, and what it should be.
pub struct Budget {
    /// What is measured, with its conditions.
    pub what: &'static str,
    /// The page's figure with its unit.
    pub page: String,
    /// The bare page's figure with its unit, or nothing.
    pub bare: String,
    /// The budget with its unit.
    pub budget: String,
    /// Whether it is kept; nothing where a person has to judge.
    pub kept: Option<bool>,
}

const START: &str = "<!-- budgets: kept by `cargo xtask bench` -->\n";
const END: &str = "<!-- end of budgets -->";

/// Writes the table into `README.md`, in place of the one that stands there.
pub fn keep(budgets: &[Budget]) -> Outcome {
    let file = at("README.md");
    write(&file, replaced(&read(&file)?, &table(budgets))?)
}

fn table(budgets: &[Budget]) -> String {
    let mut table =
        "| what, as last measured | the page | a bare page | budget |\n| --- | --- | --- | --- |\n"
            .to_owned();
    for Budget {
        what,
        page,
        bare,
        budget,
        kept,
    } in budgets
    {
        let state = match kept {
            Some(false) => ", **over**",
            _ => "",
        };
        table += &format!("| {what} | {page}{state} | {bare} | {budget} |\n");
    }
    table
}

fn replaced(text: &str, table: &str) -> Outcome<String> {
    let (before, rest) = text
        .split_once(START)
        .ok_or("README.md has no place for the budgets.")?;
    let (_, after) = rest
        .split_once(END)
        .ok_or("README.md does not say where the budgets end.")?;
    Ok(format!("{before}{START}{table}{END}{after}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_replaced_and_nothing_else() {
        let budget = |page: &str, kept| Budget {
            what: "key press",
            page: page.into(),
            bare: "14 ms".into(),
            budget: "32 ms".into(),
            kept,
        };
        let text = format!("above\n{START}old\n{END}\nbelow\n");
        let once =
            replaced(&text, &table(&[budget("55 ms", Some(false))])).expect("both marks stand");
        assert_eq!(
            once,
            format!(
                "above\n{START}| what, as last measured | the page | a bare page | budget |\n| --- | --- | --- | --- |\n\
                 | key press | 55 ms, **over** | 14 ms | 32 ms |\n{END}\nbelow\n"
            )
        );
        let again =
            replaced(&once, &table(&[budget("30 ms", Some(true))])).expect("both marks stand");
        assert!(again.contains("| 30 ms | 14 ms |") && !again.contains("over"));
        assert!(replaced("no marks", "").is_err());
    }

    #[test]
    fn the_readme_has_a_place_for_it() {
        let text = read(&at("README.md")).expect("readable");
        assert!(replaced(&text, "").is_ok());
    }
}
