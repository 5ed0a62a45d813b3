//! The designs that no other one beats in torque in hand, full step, parts and price at once.

use alloc::vec::Vec;
use core::cmp::Ordering;
use core::mem;

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

/// A design with the two measures that differ within a front.
#[derive(Clone, Copy, Debug)]
struct Point {
    full_step: f64,
    in_hand: f64,
    design: Design,
}

/// The best designs of equal parts and price: the fuller the step, the more in hand.
#[derive(Clone, Debug)]
pub(super) struct Front {
    pub parts: u32,
    pub price: Option<f64>,
    /// Rising in full step and torque in hand together; designs equal in both stand side by side.
    points: Vec<Point>,
    /// Taken, but not yet compared with all others: a long front is gone through once for many of them.
    fresh: Vec<Point>,
}

impl Front {
    pub fn new(parts: u32, price: Option<f64>) -> Self {
        Self {
            parts,
            price,
            points: Vec::new(),
            fresh: Vec::new(),
        }
    }

    /// The point with the most in hand of all with a full step up to this one.
    fn rival(&self, full_step: f64) -> Option<&Point> {
        let count = self
            .points
            .partition_point(|point| point.full_step <= full_step);
        self.points.get(count.checked_sub(1)?)
    }

    /// Torque in hand below which a design of this full step is beaten here.
    pub fn hurdle(&self, full_step: f64) -> f64 {
        self.rival(full_step)
            .map_or(f64::NEG_INFINITY, |rival| rival.in_hand)
    }

    /// Takes a design in; it may turn out to be beaten.
    pub fn take(&mut self, full_step: f64, in_hand: f64, design: Design) {
        self.fresh.push(Point {
            full_step,
            in_hand,
            design,
        });
        if self.fresh.len() > 100 + self.points.len() / 4 {
            self.settle();
        }
    }

    /// Keeps of all that was taken what is not beaten here.
    pub fn settle(&mut self) {
        let order = |a: &Point, b: &Point| {
            let steps = a.full_step.total_cmp(&b.full_step);
            steps.then(b.in_hand.total_cmp(&a.in_hand))
        };
        // Stable: equal designs stay in the order of the lists.
        self.fresh.sort_by(order);
        let old = mem::take(&mut self.points);
        self.points.reserve(old.len() + self.fresh.len());
        let mut fresh = self.fresh.drain(..).peekable();
        let mut keep = |point: Point| {
            let last = self.points.last();
            let equal =
                |last: &Point| point.in_hand >= last.in_hand && point.full_step <= last.full_step;
            if last.is_none_or(|last| point.in_hand > last.in_hand || equal(last)) {
                self.points.push(point);
            }
        };
        for point in old {
            while let Some(earlier) = fresh.next_if(|new| order(new, &point) == Ordering::Less) {
                keep(earlier);
            }
            keep(point);
        }
        fresh.for_each(keep);
    }

    /// Whether some design here is at least as good as a point of `other` in all that can be compared, and better in
    /// something.
    fn beats(&self, other: &Self, point: &Point) -> bool {
        let cheaper = match (self.price, other.price) {
            (Some(mine), Some(theirs)) => mine.total_cmp(&theirs),
            // A price that is not known is not compared.
            _ => Ordering::Equal,
        };
        if self.parts > other.parts || cheaper == Ordering::Greater {
            return false;
        }
        let better = self.parts < other.parts || cheaper == Ordering::Less;
        self.rival(point.full_step).is_some_and(|mine| {
            mine.in_hand > point.in_hand
                || (mine.in_hand >= point.in_hand && (better || mine.full_step < point.full_step))
        })
    }
}

/// The most in hand at every full step of several fronts, rising in both.
#[derive(Clone, Default)]
struct Stairs(Vec<(f64, f64)>);

impl Stairs {
    /// The most in hand at a full step up to this one.
    fn most(&self, full_step: f64) -> f64 {
        let count = self.0.partition_point(|(step, _)| *step <= full_step);
        let last = count.checked_sub(1).and_then(|last| self.0.get(last));
        last.map_or(f64::NEG_INFINITY, |(_, in_hand)| *in_hand)
    }

    /// Takes points in that rise in both.
    fn take(&mut self, points: &[Point]) {
        if points.is_empty() {
            return;
        }
        let old = mem::take(&mut self.0);
        let mut points = points
            .iter()
            .map(|point| (point.full_step, point.in_hand))
            .peekable();
        let mut keep = |stair: (f64, f64)| {
            if self.0.last().is_none_or(|last| stair.1 > last.1) {
                self.0.push(stair);
            }
        };
        for stair in old {
            while let Some(earlier) = points.next_if(|new| new.0 < stair.0) {
                keep(earlier);
            }
            keep(stair);
        }
        points.for_each(keep);
    }
}

/// What no design of any front beats: falling torque in hand, then rising full step, parts and price, then as listed.
///
/// A design without a price is beaten, and beats, by the other three measures alone. Among those with a price the fronts
/// are gone through rising in price and parts: each is held to the stairs of all before it that have no more parts.
pub(super) fn best(fronts: &mut [Front]) -> Vec<Best> {
    fronts.iter_mut().for_each(Front::settle);
    let mut parts: Vec<u32> = fronts.iter().map(|front| front.parts).collect();
    parts.sort_unstable();
    parts.dedup();
    let price = |price: Option<f64>| price.unwrap_or(f64::INFINITY);
    let mut order: Vec<&Front> = fronts.iter().collect();
    order.sort_by(|a, b| {
        let prices = price(a.price).total_cmp(&price(b.price));
        prices.then(a.parts.cmp(&b.parts))
    });
    let unpriced: Vec<&Front> = fronts
        .iter()
        .filter(|front| front.price.is_none())
        .collect();
    let mut stairs: Vec<Stairs> = parts.iter().map(|_| Stairs::default()).collect();
    let mut best = Vec::new();
    for front in order {
        let level = parts.partition_point(|parts| *parts < front.parts);
        let priced = front.price.is_some();
        let others = if priced { unpriced.as_slice() } else { &[] };
        let unbeaten = |point: &&Point| {
            if priced {
                let most = stairs
                    .get(level)
                    .map_or(f64::NEG_INFINITY, |stairs| stairs.most(point.full_step));
                // All on the stairs are cheaper or have fewer parts: as much in hand is enough to beat.
                most < point.in_hand && !others.iter().any(|other| other.beats(front, point))
            } else {
                !fronts.iter().any(|other| other.beats(front, point))
            }
        };
        best.extend(front.points.iter().filter(unbeaten).map(|point| Best {
            full_step: point.full_step,
            in_hand: point.in_hand,
            parts: front.parts,
            price: front.price,
            design: point.design,
        }));
        if priced {
            for stairs in stairs.iter_mut().skip(level) {
                stairs.take(&front.points);
            }
        }
    }
    best.sort_by(|a, b| {
        b.in_hand
            .total_cmp(&a.in_hand)
            .then(a.full_step.total_cmp(&b.full_step))
            .then(a.parts.cmp(&b.parts))
            .then(price(a.price).total_cmp(&price(b.price)))
            .then(a.design.cmp(&b.design))
    });
    best
}
