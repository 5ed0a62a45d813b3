//! The designs that no other one beats in torque in hand, full step, parts and price at once.
//!
//! Designs come in the order of their full step. One is beaten from before when as much in hand was met with no more parts
//! and at no higher price; a price that is not known is not compared. Those of equal full step are held against each other
//! once all of them have come.

use alloc::vec;
use alloc::vec::Vec;

use super::Design;

/// A design that no other one beats.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Best {
    /// Full step, um.
    pub full_step: f64,
    /// Available over needed torque.
    pub in_hand: f64,
    /// Motor, drive and reduction stages.
    pub parts: u32,
    /// What it costs, if that is known.
    pub price: Option<f64>,
    /// Its places in the lists.
    pub design: Design,
}

/// One number of parts at one price.
#[derive(Clone, Copy, Debug)]
struct Cell {
    /// The most in hand with no more parts and, where the price is known, a known price no higher; at smaller full steps.
    most: f64,
    /// The most in hand of this cell at the full step that is looked at.
    now: f64,
    /// How many designs have it.
    ties: u64,
}

/// All cells: a row for each number of parts, rising, the first column without a price, then prices rising.
#[derive(Clone, Debug)]
pub(super) struct Front {
    parts: Vec<u32>,
    prices: Vec<f64>,
    cells: Vec<Cell>,
    /// The full step that is looked at.
    full_step: f64,
    /// The one before it.
    settled: f64,
    /// The cells met there, and whether they are still unbeaten.
    met: Vec<(usize, bool)>,
    /// The designs with the most in hand of their cells, as many as can be listed.
    waiting: Vec<(usize, Design)>,
    limit: usize,
    count: u64,
    listed: Vec<Best>,
}

impl Front {
    /// For these numbers of parts and these prices, both rising; lists up to `limit` designs.
    pub fn new(parts: Vec<u32>, prices: Vec<f64>, limit: usize) -> Self {
        let none = Cell {
            most: f64::NEG_INFINITY,
            now: f64::NEG_INFINITY,
            ties: 0,
        };
        Self {
            cells: vec![none; parts.len() * (prices.len() + 1)],
            parts,
            prices,
            full_step: f64::NEG_INFINITY,
            settled: f64::NEG_INFINITY,
            met: Vec::new(),
            waiting: Vec::new(),
            limit,
            count: 0,
            listed: Vec::new(),
        }
    }

    /// The row of a number of parts.
    pub fn row(&self, parts: u32) -> usize {
        self.parts.partition_point(|known| *known < parts)
    }

    /// The column of a price.
    pub fn column(&self, price: Option<f64>) -> usize {
        price.map_or(0, |price| {
            1 + self.prices.partition_point(|known| *known < price)
        })
    }

    const fn columns(&self) -> usize {
        self.prices.len() + 1
    }

    fn most(&self, row: usize, column: usize) -> f64 {
        let cell = self.cells.get(row * self.columns() + column);
        cell.map_or(f64::NEG_INFINITY, |cell| cell.most)
    }

    /// As much in hand, or less, is beaten by what was met at smaller full steps, in all that can be compared.
    ///
    /// What has no price is held here to the others without one alone: it may yet beat what is cheaper than its rival.
    pub fn hurdle(&self, row: usize, column: usize) -> f64 {
        self.most(row, 0).max(self.most(row, column))
    }

    /// Begins with a full step, no smaller than the one before.
    pub fn at(&mut self, full_step: f64) {
        if full_step > self.full_step {
            self.settle();
            (self.settled, self.full_step) = (self.full_step, full_step);
        }
    }

    /// Takes a design in at the present full step.
    pub fn take(&mut self, row: usize, column: usize, in_hand: f64, design: Design) {
        let place = row * self.columns() + column;
        let Some(cell) = self.cells.get_mut(place) else {
            return;
        };
        if in_hand < cell.now {
            return;
        }
        if in_hand > cell.now {
            if cell.ties == 0 {
                self.met.push((place, false));
            } else {
                self.waiting.retain(|(other, _)| *other != place);
            }
            (cell.now, cell.ties) = (in_hand, 0);
        }
        cell.ties += 1;
        if usize::try_from(cell.ties).is_ok_and(|ties| ties <= self.limit) {
            self.waiting.push((place, design));
        }
    }

    /// Decides about the designs of the present full step: all of them have come.
    pub fn settle(&mut self) {
        let mut met = core::mem::take(&mut self.met);
        for (place, unbeaten) in &mut met {
            let (row, column) = (*place / self.columns(), *place % self.columns());
            let before = if column == 0 {
                // A price that is not known is compared with none.
                self.hurdle(row, self.prices.len())
            } else {
                self.hurdle(row, column)
            };
            *unbeaten = self.now(*place).0 > before;
        }
        for (place, _) in &met {
            let (now, _) = self.now(*place);
            self.raise(*place / self.columns(), *place % self.columns(), now);
        }
        for (place, unbeaten) in &met {
            let (row, column) = (*place / self.columns(), *place % self.columns());
            let (now, ties) = self.now(*place);
            if *unbeaten && !self.beaten(row, column, now) {
                self.count += ties;
                self.list(*place, row, column, now);
            }
        }
        for (place, _) in met.drain(..) {
            if let Some(cell) = self.cells.get_mut(place) {
                (cell.now, cell.ties) = (f64::NEG_INFINITY, 0);
            }
        }
        self.waiting.clear();
        self.met = met;
    }

    fn now(&self, place: usize) -> (f64, u64) {
        let cell = self.cells.get(place);
        cell.map_or((f64::NEG_INFINITY, 0), |cell| (cell.now, cell.ties))
    }

    /// Whether something of the same full step, or before, has more in hand, or as much with fewer parts or at a lower price.
    fn beaten(&self, row: usize, column: usize, now: f64) -> bool {
        let last = self.prices.len();
        let most = |row| {
            let priced = if column == 0 { last } else { column };
            self.hurdle(row, priced)
        };
        let cheaper = || column > 1 && self.most(row, column - 1) >= now;
        most(row) > now || row.checked_sub(1).is_some_and(|row| most(row) >= now) || cheaper()
    }

    /// Notes this much in hand in a cell, and in all with more parts or a higher price.
    fn raise(&mut self, row: usize, column: usize, in_hand: f64) {
        let columns = self.columns();
        let end = if column == 0 { 1 } else { columns };
        for cells in self.cells.chunks_mut(columns).skip(row) {
            let mut raised = false;
            for cell in cells.iter_mut().take(end).skip(column) {
                if cell.most >= in_hand {
                    break;
                }
                cell.most = in_hand;
                raised = true;
            }
            if !raised {
                break;
            }
        }
    }

    fn list(&mut self, place: usize, row: usize, column: usize, in_hand: f64) {
        let room = self.limit.saturating_sub(self.listed.len());
        let here = self.waiting.iter().filter(|(other, _)| *other == place);
        let best = here.take(room).map(|(_, design)| Best {
            full_step: self.full_step,
            in_hand,
            parts: self.parts.get(row).copied().unwrap_or(0),
            price: column
                .checked_sub(1)
                .and_then(|column| self.prices.get(column).copied()),
            design: *design,
        });
        self.listed.extend(best);
    }

    /// The last full step that is settled.
    pub fn reached(&self) -> Option<f64> {
        (self.settled > f64::NEG_INFINITY).then_some(self.settled)
    }

    /// How many designs nothing beats, of the full steps that are settled.
    pub const fn count(&self) -> u64 {
        self.count
    }

    /// Those with the finest full step: falling torque in hand, then rising full step, parts and price, then as listed.
    pub fn best(&self) -> Vec<Best> {
        let mut best = self.listed.clone();
        let price = |best: &Best| best.price.unwrap_or(f64::INFINITY);
        best.sort_unstable_by(|a, b| {
            b.in_hand
                .total_cmp(&a.in_hand)
                .then(a.full_step.total_cmp(&b.full_step))
                .then(a.parts.cmp(&b.parts))
                .then(price(a).total_cmp(&price(b)))
                .then(a.design.cmp(&b.design))
        });
        best
    }
}
