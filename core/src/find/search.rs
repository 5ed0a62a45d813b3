//! The search itself, in slices as long as the caller likes.

use alloc::vec::Vec;

use super::bounds::Bounds;
use super::front::{Best, Front, best};
use super::{Candidate, Design, Goal, Pair, Space, Want, at};

/// A search that has come as far as it has.
#[derive(Clone, Debug)]
pub struct Search {
    space: Space,
    bounds: Bounds,
    /// Those without a price first, then rising in price: what was met is no dearer than what comes.
    motors: Vec<Candidate>,
    /// Of each of these.
    ranks: Vec<Rank>,
    classes: Vec<Class>,
    /// Numbers of full steps of a turn, rising.
    steps: Vec<f64>,
    /// Behind one drive and reduction: the most in hand met so far at as many full steps or more.
    tops: Vec<f64>,
    fronts: Vec<Front>,
    /// The next drive and reduction.
    drive: u32,
    gear: u32,
    found: u64,
}

/// Where a motor belongs.
#[derive(Clone, Copy, Debug)]
struct Rank {
    /// Its place in the list.
    place: u32,
    class: usize,
}

/// Motors of one step angle and price: behind one drive and reduction they have one full step and one hurdle.
#[derive(Clone, Debug)]
struct Class {
    /// Place of the full steps of a turn.
    step: usize,
    price: Option<f64>,
    /// First of the fronts of its price; one for each number of stages follows.
    front: usize,
    /// Of the drive and reduction just looked at: the full step, `None` where it is not wanted.
    full_step: Option<f64>,
    /// And the torque in hand not to be beaten, once that was asked for.
    hurdle: Option<f64>,
}

impl Search {
    /// A search that has not begun.
    pub fn new(space: Space) -> Self {
        let mut stages: Vec<u32> = space.gears.iter().map(|gear| gear.stages).collect();
        stages.sort_unstable();
        stages.dedup();
        let mut steps: Vec<f64> = space.motors.iter().map(|motor| motor.full_steps).collect();
        steps.sort_unstable_by(f64::total_cmp);
        steps.dedup_by(|a, b| a.total_cmp(b).is_eq());
        let mut order: Vec<(u32, Candidate)> = (0u32..).zip(space.motors.iter().copied()).collect();
        let price = |candidate: &Candidate| candidate.price.unwrap_or(f64::NEG_INFINITY);
        order.sort_by(|(_, a), (_, b)| price(a).total_cmp(&price(b)));
        let mut fronts: Vec<Front> = Vec::new();
        let mut classes: Vec<Class> = Vec::new();
        let mut ranks = Vec::with_capacity(order.len());
        for (place, candidate) in &order {
            let Candidate {
                full_steps, price, ..
            } = *candidate;
            let step = steps.partition_point(|steps| *steps < full_steps);
            // Rising in price: the classes of this price are the last ones.
            let last = classes.iter().enumerate().rev();
            let mut last = last.take_while(|(_, class)| same(class.price, price));
            let front = last.clone().next().map(|(_, class)| class.front);
            let known = last.find(|(_, class)| class.step == step);
            let class = known.map(|(class, _)| class).unwrap_or_else(|| {
                let front = front.unwrap_or_else(|| {
                    // Motor and drive are two parts.
                    fronts.extend(stages.iter().map(|n| Front::new(2 + n, price)));
                    fronts.len() - stages.len()
                });
                classes.push(Class {
                    step,
                    price,
                    front,
                    full_step: None,
                    hurdle: None,
                });
                classes.len() - 1
            });
            ranks.push(Rank {
                place: *place,
                class,
            });
        }
        let motors: Vec<Candidate> = order.into_iter().map(|(_, motor)| motor).collect();
        Self {
            bounds: Bounds::new(&space, &motors),
            space,
            motors,
            ranks,
            classes,
            tops: steps.clone(),
            steps,
            fronts,
            drive: 0,
            gear: 0,
            found: 0,
        }
    }

    /// How many designs were found so far.
    pub const fn found(&self) -> u64 {
        self.found
    }

    /// How far it has come, 0 to 1.
    pub fn share(&self) -> f64 {
        let count = |n: usize| f64::from(u32::try_from(n.max(1)).unwrap_or(u32::MAX));
        let (drives, gears) = (
            count(self.space.drives.len()),
            count(self.space.gears.len()),
        );
        ((f64::from(self.drive) + f64::from(self.gear) / gears) / drives).min(1.0)
    }

    /// Looks at `designs` more designs, or a few more than that; whether it is done.
    pub fn advance(&mut self, designs: u64) -> bool {
        let row = u64::try_from(self.space.motors.len())
            .unwrap_or(u64::MAX)
            .max(1);
        let mut left = designs;
        while left > 0 {
            let Some(drive) = at(&self.space.drives, self.drive) else {
                break;
            };
            let Some(gear) = at(&self.space.gears, self.gear) else {
                (self.drive, self.gear) = (self.drive + 1, 0);
                continue;
            };
            let pair = Pair::new(drive, gear, &self.space.load);
            self.look(&pair, gear.stages);
            self.gear += 1;
            left = left.saturating_sub(row);
        }
        at(&self.space.drives, self.drive).is_none() || self.space.gears.is_empty()
    }

    /// Looks at every motor behind one drive and reduction.
    ///
    /// What is skipped is skipped by bounds that hold: a torque that the motor does not reach at a speed no higher; a
    /// front that already has more in hand than that torque could bring, at a full step no larger; and a motor behind the
    /// same drive and reduction that has more in hand at a full step no larger and a price no higher, or none.
    fn look(&mut self, pair: &Pair, stages: u32) {
        let goal = self.space.goal;
        if goal.want == Want::TurnTravel && !goal.holds(pair.turn_travel) {
            return;
        }
        let offset = self
            .fronts
            .iter()
            .position(|front| front.parts == 2 + stages);
        let offset = offset.unwrap_or(0);
        for class in &mut self.classes {
            let full_steps = self.steps.get(class.step).copied();
            let full_step = full_steps.map(|full_steps| pair.full_step(full_steps));
            let wanted = |step: &f64| goal.want == Want::TurnTravel || goal.holds(*step);
            class.full_step = full_step.filter(wanted);
            class.hurdle = None;
        }
        self.tops.fill(f64::NEG_INFINITY);
        let bounds = self.bounds.at(pair.shaft_speed, &self.motors);
        let motors = self.motors.iter().zip(bounds).zip(&self.ranks);
        for ((candidate, &(least, most)), rank) in motors {
            let Some(class) = self.classes.get_mut(rank.class) else {
                continue;
            };
            let needed = pair.needed(candidate);
            let wanted = goal.least() * needed;
            let Some(full_step) = class.full_step.filter(|_| most >= wanted && needed > 0.0) else {
                continue;
            };
            let top = self.tops.get(class.step).copied();
            let top = top.unwrap_or(f64::NEG_INFINITY);
            if least >= wanted && most < top * needed {
                self.found += 1;
                continue;
            }
            let fronts = &mut self.fronts;
            let hurdle = *class.hurdle.get_or_insert_with(|| {
                let front = fronts.get(class.front + offset);
                front.map_or(f64::NEG_INFINITY, |front| front.hurdle(full_step))
            });
            if least >= wanted && most < hurdle * needed {
                self.found += 1;
                continue;
            }
            let in_hand = candidate.motor.torque(pair.shaft_speed) / needed;
            if !meets(in_hand, &goal) {
                continue;
            }
            self.found += 1;
            if in_hand < hurdle || in_hand < top {
                continue;
            }
            for top in self.tops.iter_mut().take(class.step + 1) {
                *top = top.max(in_hand);
            }
            if let Some(front) = fronts.get_mut(class.front + offset) {
                let design = Design {
                    drive: self.drive,
                    gear: self.gear,
                    motor: rank.place,
                };
                front.take(full_step, in_hand, design);
            }
        }
    }

    /// The designs that no other one beats, of those looked at so far.
    pub fn best(&mut self) -> Vec<Best> {
        best(&mut self.fronts)
    }

    /// What is searched.
    pub const fn space(&self) -> &Space {
        &self.space
    }
}

/// Whether two prices are the same, or both unknown.
fn same(a: Option<f64>, b: Option<f64>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => a.total_cmp(&b).is_eq(),
        (None, None) => true,
        _ => false,
    }
}

/// Whether the torque in hand is a number and meets the margin.
fn meets(in_hand: f64, goal: &Goal) -> bool {
    in_hand.is_finite() && in_hand >= goal.least()
}

#[cfg(test)]
mod tests {
    use super::super::{Drive, Gear, Load, Size};
    use super::*;
    use crate::fraction::Fraction;
    use crate::motor::torque::Motor;
    use core::f64::consts::SQRT_2;
    use proptest::prelude::*;

    fn size(value: f64, n: i128, d: i128) -> Size {
        Size::new(value, Fraction::new(n, d))
    }

    fn space(prices: &[Option<f64>], margin: f64, want: Want, from: f64, to: f64) -> Space {
        let drives = (12..40).flat_map(|teeth: i32| {
            [2, 3, 5].map(|pitch: i32| Drive {
                lead: size(f64::from(teeth * pitch), i128::from(teeth * pitch), 1),
                efficiency: 1.0,
            })
        });
        let screws = [(2.0, 0.35), (8.0, 0.62)].map(|(lead, efficiency)| Drive {
            lead: Size::new(lead, None),
            efficiency,
        });
        let gears =
            [(1.0, 0), (3.0, 1), (6.0, 2), (2.5, 1), (3.0, 2)].map(|(ratio, stages)| Gear {
                ratio: Size::new(ratio, None),
                stages,
            });
        let motors = prices.iter().zip(0..).map(|(price, i)| {
            let size = f64::from(i % 4);
            Candidate {
                motor: Motor {
                    constant: (0.2 + 0.15 * size) / (SQRT_2 * 1.2),
                    pole_pairs: 50.0,
                    peak: SQRT_2 * 1.2,
                    resistance: 1.5 + size,
                    inductance: 0.002 + 0.0015 * size,
                    volts: 24.0,
                },
                full_steps: if i % 3 == 0 { 400.0 } else { 200.0 },
                rotor_g_cm2: 30.0 + 20.0 * size,
                price: *price,
            }
        });
        Space {
            drives: drives.chain(screws).collect(),
            gears: gears.into(),
            motors: motors.collect(),
            load: Load {
                mass: 0.6,
                friction: 2.0,
                lift: 0.0,
                speed: 180.0,
                accel: 3000.0,
            },
            goal: Goal {
                want,
                from,
                to,
                margin,
            },
        }
    }

    /// A design and its four measures.
    type Row = (Design, f64, f64, u32, Option<f64>);

    /// Every design that is found, one after the other.
    fn plain(space: &Space) -> Vec<Row> {
        let mut rows = Vec::new();
        for (drive, _) in (0u32..).zip(&space.drives) {
            for (gear, stages) in (0u32..).zip(space.gears.iter().map(|gear| gear.stages)) {
                for (motor, candidate) in (0u32..).zip(&space.motors) {
                    let design = Design { drive, gear, motor };
                    let Some((travel, full_step, in_hand)) = space.measures(design) else {
                        continue;
                    };
                    let wanted = match space.goal.want {
                        Want::TurnTravel => travel,
                        Want::FullStep => full_step,
                    };
                    if space.goal.holds(wanted) && meets(in_hand, &space.goal) {
                        rows.push((design, in_hand, full_step, 2 + stages, candidate.price));
                    }
                }
            }
        }
        rows
    }

    fn beats(a: &Row, b: &Row) -> bool {
        let prices = a.4.zip(b.4);
        let no_worse = a.1 >= b.1 && a.2 <= b.2 && a.3 <= b.3 && prices.is_none_or(|(a, b)| a <= b);
        let better = a.1 > b.1 || a.2 < b.2 || a.3 < b.3 || prices.is_some_and(|(a, b)| a < b);
        no_worse && better
    }

    fn agrees(space: Space, slice: u64) {
        let rows = plain(&space);
        let mut front: Vec<Design> = rows
            .iter()
            .filter(|row| !rows.iter().any(|other| beats(other, row)))
            .map(|row| row.0)
            .collect();
        let mut search = Search::new(space);
        let mut last = 0.0;
        while !search.advance(slice) {
            assert!(search.share() >= last && search.share() <= 1.0);
            last = search.share();
        }
        assert_eq!(search.found(), u64::try_from(rows.len()).unwrap_or(0));
        let best = search.best();
        let order = |a: &Best, b: &Best| {
            a.in_hand > b.in_hand || a.in_hand >= b.in_hand && a.full_step <= b.full_step
        };
        assert!(best.is_sorted_by(order));
        let mut found: Vec<Design> = best.into_iter().map(|best| best.design).collect();
        front.sort_unstable();
        found.sort_unstable();
        assert_eq!(found, front);
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn the_plain_loop_finds_the_same(
            prices in prop::collection::vec(prop::option::of((0u32..4).prop_map(|p| f64::from(p) * 5.0)), 1..7),
            margin in 0.3..4.0,
            travel in any::<bool>(),
            from in 1.0..60.0,
            width in 0.0..80.0,
            slice in 1u64..300,
        ) {
            let (want, scale) = if travel { (Want::TurnTravel, 1.0) } else { (Want::FullStep, 4.0) };
            agrees(space(&prices, margin, want, from * scale, (from + width) * scale), slice);
        }
    }

    #[test]
    fn equal_designs_are_all_kept() {
        // 20 teeth of 3 mm and 30 of 2 mm travel the same, to the bit.
        let space = space(&[Some(12.0)], 0.5, Want::TurnTravel, 60.0, 60.0);
        let mut search = Search::new(space);
        assert!(search.advance(u64::MAX));
        let best = search.best();
        // 12 teeth of 5 mm too; behind reductions the designs have more parts.
        assert_eq!(best.len(), 3);
        assert!(best.is_sorted_by_key(|best| best.design));
    }

    #[test]
    fn an_empty_list_is_done_at_once() {
        let mut empty = space(&[], 1.5, Want::TurnTravel, 0.0, 100.0);
        empty.gears.clear();
        let mut search = Search::new(empty);
        assert!(search.advance(1));
        assert_eq!((search.found(), search.best().len()), (0, 0));
    }
}
