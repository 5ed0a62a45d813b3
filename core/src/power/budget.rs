//! Which loads a supply carries together.
//!
//! Loads are powers in watt, most first; a set is a mask whose bit i stands for load i.

/// The most loads whose sets are looked through: a million masks at the worst.
pub const MOST_LOADS: usize = 20;

/// Powers add up with rounding; this share over the capacity still fits.
const ROUNDING: f64 = 1e-12;

/// Whether a power fits into a capacity.
///
/// # Source
/// Definition; a sum that equals the capacity fits, whatever rounding did to it.
pub fn fits(watts: f64, capacity: f64) -> bool {
    watts <= capacity + ROUNDING * libm::fabs(capacity)
}

/// Gives each set of loads that fits and takes no further load to `found`, until that answers false.
///
/// `watts` falling, not below 0, at most [`MOST_LOADS`]; the empty set is not given.
///
/// # Source
/// Every set is tried, but for those that a larger one is sure to hold.
pub fn full_sets(watts: &[f64], capacity: f64, found: &mut dyn FnMut(u32) -> bool) {
    if watts.len() <= MOST_LOADS {
        let search = Search { watts, capacity };
        search.from(0, 0, 0.0, f64::INFINITY, found);
    }
}

struct Search<'a> {
    watts: &'a [f64],
    capacity: f64,
}

impl Search<'_> {
    /// Decides on load `next` and those after it; `left_out` is the smallest load left out so far.
    fn from(
        &self,
        next: usize,
        mask: u32,
        sum: f64,
        left_out: f64,
        found: &mut dyn FnMut(u32) -> bool,
    ) -> bool {
        let Some((&load, rest)) = self.watts.get(next..).and_then(<[f64]>::split_first) else {
            let full = !fits(sum + left_out, self.capacity);
            return mask == 0 || !full || found(mask);
        };
        // Even with all that is left the smallest left out would still go in: a larger set holds this one.
        if fits(
            sum + load + rest.iter().sum::<f64>() + left_out,
            self.capacity,
        ) {
            return true;
        }
        if fits(sum + load, self.capacity)
            && !self.from(next + 1, mask | 1 << next, sum + load, left_out, found)
        {
            return false;
        }
        self.from(next + 1, mask, sum, left_out.min(load), found)
    }
}

/// The group of each load when each goes, in the order given, into the first group that still takes it.
///
/// `group[i]` is filled with the group of load i, `None` for a load too big alone; `sums` is room for the groups' powers.
/// Returns the number of groups. All three slices have the same length.
///
/// # Source
/// First fit; with the loads falling, "first fit decreasing" of D. S. Johnson, "Near-optimal bin packing algorithms"
/// (1973), which needs at most 11/9 of the fewest groups and 1 more (from memory).
pub fn first_fit(
    watts: &[f64],
    capacity: f64,
    group: &mut [Option<usize>],
    sums: &mut [f64],
) -> usize {
    let mut groups = 0;
    for (load, place) in watts.iter().zip(group.iter_mut()) {
        *place = None;
        if !fits(*load, capacity) {
            continue;
        }
        let room = sums
            .iter()
            .take(groups)
            .position(|sum| fits(sum + load, capacity));
        let at = room.unwrap_or(groups);
        if let Some(sum) = sums.get_mut(at) {
            *sum = if at == groups { *load } else { *sum + load };
            groups = groups.max(at + 1);
            *place = Some(at);
        }
    }
    groups
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::vec::Vec;

    fn sets(watts: &[f64], capacity: f64) -> Vec<u32> {
        let mut all = Vec::new();
        full_sets(watts, capacity, &mut |mask| {
            all.push(mask);
            true
        });
        all.sort_unstable();
        all
    }

    /// By looking at every mask.
    fn sets_the_long_way(watts: &[f64], capacity: f64) -> Vec<u32> {
        let sum = |mask: u32| -> f64 {
            let on = watts.iter().enumerate().filter(|(i, _)| mask >> i & 1 == 1);
            on.map(|(_, w)| w).sum()
        };
        let takes_more = |mask: u32| {
            (0..watts.len()).any(|i| mask >> i & 1 == 0 && fits(sum(mask | 1 << i), capacity))
        };
        (1..1 << watts.len())
            .filter(|&mask| fits(sum(mask), capacity) && !takes_more(mask))
            .collect()
    }

    #[test]
    fn sets_are_those_of_the_long_way() {
        let loads: [&[f64]; 6] = [
            &[200.0, 40.0, 40.0, 25.0, 6.0],
            &[300.0, 5.0],
            &[100.0, 100.0, 100.0],
            &[10.0],
            &[9.0, 8.0, 7.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0, 0.0, 0.0],
            &[],
        ];
        for watts in loads {
            for capacity in [0.0, 4.0, 10.0, 15.0, 100.0, 240.0, 250.0, 305.0, 1000.0] {
                assert_eq!(
                    sets(watts, capacity),
                    sets_the_long_way(watts, capacity),
                    "{watts:?} {capacity}"
                );
            }
        }
    }

    #[test]
    fn a_search_ends_when_told() {
        let mut seen = 0;
        full_sets(&[1.0; 18], 9.0, &mut |_| {
            seen += 1;
            seen < 100
        });
        assert_eq!(seen, 100);
        full_sets(&[1.0; 21], 9.0, &mut |_| panic!("too many to try"));
    }

    #[test]
    fn each_load_goes_into_the_first_group_that_takes_it() {
        let watts = [500.0, 200.0, 150.0, 100.0, 60.0];
        let (mut group, mut sums) = ([None; 5], [0.0; 5]);
        let groups = first_fit(&watts, 300.0, &mut group, &mut sums);
        assert_eq!(groups, 2);
        assert_eq!(group, [None, Some(0), Some(1), Some(0), Some(1)]);
    }

    #[test]
    fn tenths_that_add_up_to_the_capacity_fit() {
        assert!(fits(0.1 + 0.2, 0.3));
        assert!(!fits(0.300_001, 0.3));
    }
}
