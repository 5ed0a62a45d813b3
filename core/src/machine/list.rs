//! The parts list of a whole machine, and what it costs.

use alloc::vec::Vec;

use super::{Item, Machine};

/// Every item of every part with its sums.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct PartsList {
    /// The items, each with the place of its part, in the order of the parts.
    pub items: Vec<(usize, Item)>,
    /// How many pieces.
    pub pieces: u64,
    /// What the items with a price cost together.
    pub cost: f64,
    /// The share of the cost whose figures are guessed.
    pub guessed: f64,
    /// How many items have no price.
    pub unpriced: usize,
}

impl Machine {
    /// The parts list: every item with its count, price and where its figures came from, and the total cost.
    ///
    /// The prices are in one currency, which the title block names. A row that cannot be read leaves its whole part out:
    /// the part's own page says what is wrong with it.
    pub fn parts_list(&self) -> PartsList {
        let mut list = PartsList::default();
        for (part, all) in self.parts.iter().enumerate() {
            for item in all.items() {
                let cost = item.cost();
                list.pieces += u64::from(item.count);
                list.cost += cost.unwrap_or(0.0);
                list.guessed += cost.filter(|_| item.from == "guessed").unwrap_or(0.0);
                list.unpriced += usize::from(cost.is_none());
                list.items.push((part, item));
            }
        }
        list
    }
}

impl PartsList {
    /// What the items of one part cost.
    pub fn cost_of(&self, part: usize) -> f64 {
        let own = self.items.iter().filter(|(of, _)| *of == part);
        own.filter_map(|(_, item)| item.cost()).sum()
    }
}

#[cfg(test)]
mod tests {
    use crate::machine::{example, trial::machine};

    #[test]
    fn counts_and_prices_add_up() {
        let list = machine(
            "part=X\npart?items=motor,1,14.5,data_sheet;belt,2,4,guessed;odd,3\npart=Y\npart?items=motor,1,15.5",
        )
        .parts_list();
        assert_eq!((list.items.len(), list.pieces, list.unpriced), (4, 7, 1));
        for (found, expected) in [
            (list.cost, 38.0),
            (list.guessed, 8.0),
            (list.cost_of(0), 22.5),
            (list.cost_of(2), 0.0),
        ] {
            assert!((found - expected).abs() < 1e-9, "{found} {expected}");
        }
    }

    #[test]
    fn the_example_costs_what_its_items_cost() {
        let machine = example::machine().expect("the record is whole");
        let list = machine.parts_list();
        let by_part: f64 = (0..machine.parts.len())
            .map(|part| list.cost_of(part))
            .sum();
        assert!(
            list.cost > 300.0 && (list.cost - by_part).abs() < 1e-9,
            "{}",
            list.cost
        );
        assert!(list.items.len() > 20 && list.unpriced == 0);
    }
}
