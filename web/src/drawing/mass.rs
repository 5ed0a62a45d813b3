//! `mass` drawn: the heaviest parts first, as shares of the whole machine.

use layshaft_core::entry::write::{write_shortest, write_significant};
use layshaft_core::sheets::Report;

use super::Drawing;
use super::bars::{self, Bar};

/// How long a name may be beside its figure.
const LONGEST: usize = 28;

/// The bars, once something has a mass.
pub fn draw(report: &Report) -> Option<Drawing> {
    let total = report.number("total").filter(|total| *total > 0.0)?;
    let mut bars: Vec<Bar> = report
        .inputs
        .rows("items")?
        .iter()
        .filter_map(|row| {
            let count = row.num(2)?;
            let kilograms = row.num(1)? * count / 1000.0;
            let mut name: String = row.word(0).unwrap_or("").chars().take(LONGEST).collect();
            if name.is_empty() {
                name = "part".into();
            }
            if count > 1.0 {
                name = [&write_shortest(count, 5), " × ", &name].concat();
            }
            Some(Bar {
                name,
                amount: kilograms,
                figure: [
                    &write_significant(kilograms, 3),
                    "\u{a0}kg, ",
                    &write_significant(100.0 * kilograms / total, 2),
                    "\u{a0}%",
                ]
                .concat(),
            })
        })
        .collect();
    bars.sort_by(|a, b| b.amount.total_cmp(&a.amount));
    let full = bars.first()?.amount;
    bars::draw(
        &bars,
        None,
        full,
        "The heaviest first, with their share of the whole machine. To move faster, start with what X and Y carry.",
    )
}

#[cfg(test)]
mod tests {
    use super::super::trial::svg;

    #[test]
    fn the_heaviest_stand_first_with_their_shares() {
        let items = "hot end,180,1,x;bed,900,1,z;frame,750,4,fixed;motor,280,2,y";
        let svg = svg("mass", &[("items", items)]);
        let place = |words: &str| svg.find(words).expect(words);
        assert!(place("4 × frame") < place("bed") && place("bed") < place("2 × motor"));
        // 3 kg of 4.64 kg.
        assert!(svg.contains("3.00\u{a0}kg, 65\u{a0}%"), "{svg}");
    }

    #[test]
    fn nothing_weighed_is_not_drawn_and_many_parts_stay_on_the_sheet() {
        for items in ["", "bed,0,1,z", "bed,900,1,w"] {
            assert!(svg("mass", &[("items", items)]).is_empty(), "{items}");
        }
        let name = "a plate with a very long name that goes on and on";
        let many: Vec<String> = (1..=20)
            .map(|i| [name, ",", &i.to_string(), "e7,1000000,x"].concat())
            .collect();
        assert!(!svg("mass", &[("items", &many.join(";"))]).is_empty());
    }
}
