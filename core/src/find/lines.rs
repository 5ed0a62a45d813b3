//! Many lines of rising numbers, read as one.

use alloc::vec;
use alloc::vec::Vec;

/// The next number of each line, as a tournament: whoever lost against a better one waits at the node where it lost.
///
/// A line that moves on plays again from its own place up: as many comparisons as the number of lines has binary digits.
///
/// # Source
/// Knuth, The Art of Computer Programming, volume 3, 5.4.1, tree of losers; from memory.
#[derive(Clone, Debug)]
pub(super) struct Lines {
    /// The winner, then the losers; 0 for a place that nobody has come to yet.
    nodes: Vec<(u64, u32)>,
}

impl Lines {
    /// So many lines, none of which has come to its place yet.
    pub fn new(count: usize) -> Self {
        Self {
            nodes: vec![(0, 0); count],
        }
    }

    /// Gives a line its next number, from 0; `None` when it has no more.
    pub fn put(&mut self, line: u32, next: Option<f64>) {
        // The bits of numbers from 0 rise with them.
        let key = next.map_or(u64::MAX, |next| next.to_bits() + 1);
        let mut winner = (key, line);
        let place = usize::try_from(line).unwrap_or(usize::MAX);
        let mut node = place.saturating_add(self.nodes.len()) / 2;
        while node > 0
            && let Some(loser) = self.nodes.get_mut(node)
        {
            let met = *loser;
            let lost = met.0 < winner.0;
            *loser = if lost { winner } else { met };
            winner = if lost { met } else { winner };
            node /= 2;
        }
        if let Some(first) = self.nodes.first_mut() {
            *first = winner;
        }
    }

    /// The least number and its line, once all have come; `None` at the end of all.
    pub fn first(&self) -> Option<(f64, u32)> {
        let (key, line) = *self.nodes.first()?;
        (key < u64::MAX).then(|| (f64::from_bits(key.saturating_sub(1)), line))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn all_numbers_come_in_order(mut lines in prop::collection::vec(prop::collection::vec(0.0..9.0, 0..6), 0..20)) {
            for line in &mut lines {
                line.push(3.0);
                line.sort_by(f64::total_cmp);
            }
            let mut sorted: Vec<f64> = lines.concat();
            sorted.sort_by(f64::total_cmp);
            let mut left: Vec<_> = lines.into_iter().map(Vec::into_iter).collect();
            let mut tree = Lines::new(left.len());
            for (line, numbers) in (0u32..).zip(&mut left) {
                tree.put(line, numbers.next());
            }
            let mut met = Vec::new();
            while let Some((number, line)) = tree.first() {
                met.push(number);
                let place = usize::try_from(line).unwrap_or(0);
                tree.put(line, left.get_mut(place).and_then(Iterator::next));
            }
            prop_assert_eq!(met, sorted);
        }
    }
}
