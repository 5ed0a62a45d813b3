//! The search itself, in slices as long as the caller likes.

use alloc::vec::Vec;

use super::bounds::Bounds;
use super::front::{Best, Front};
use super::lines::Lines;
use super::{Candidate, Design, Goal, Pair, Space, Want, at};

/// A search that has come as far as it has.
#[derive(Clone, Debug)]
pub struct Search {
    space: Space,
    classes: Vec<Class>,
    /// The reductions from the largest to the smallest: travel and full step rise along them.
    gears: Vec<u32>,
    /// What each drive and class of motors has still to go through, in the order of the drives.
    spans: Vec<Span>,
    /// The next full step of each of them.
    lines: Lines,
    front: Front,
    found: u64,
    looked: u64,
    done: bool,
}

/// Motors of one step angle: behind one drive and reduction they have one full step.
#[derive(Clone, Debug)]
struct Class {
    full_steps: f64,
    /// Those without a price first, then rising in price: what was met is no dearer than what comes.
    motors: Vec<Ranked>,
    bounds: Bounds,
}

/// A motor, where it stands in the list, and where its price stands.
#[derive(Clone, Debug)]
struct Ranked {
    candidate: Candidate,
    place: u32,
    column: usize,
}

/// A drive, a class of motors, and places in the order of the reductions.
#[derive(Clone, Copy, Debug)]
struct Span {
    drive: u32,
    class: u32,
    next: u32,
    end: u32,
}

/// A line that begins takes as long as so many designs.
const BEGIN: u64 = 8;

impl Search {
    /// A search that has not begun; it lists up to `limit` of the best, however many there are.
    pub fn new(space: Space, limit: usize) -> Self {
        let mut parts: Vec<u32> = space.gears.iter().map(|gear| 2 + gear.stages).collect();
        parts.sort_unstable();
        parts.dedup();
        // Adding 0 turns -0 into 0, which is the same price.
        let price = |candidate: &Candidate| candidate.price.map(|price| price + 0.0);
        let mut prices: Vec<f64> = space.motors.iter().filter_map(price).collect();
        prices.sort_unstable_by(f64::total_cmp);
        prices.dedup_by(|a, b| a.total_cmp(b).is_eq());
        let front = Front::new(parts, prices, limit);
        let mut ranked: Vec<Ranked> = (0u32..)
            .zip(&space.motors)
            .map(|(place, candidate)| Ranked {
                candidate: *candidate,
                place,
                column: front.column(price(candidate)),
            })
            .collect();
        ranked.sort_by(|a, b| {
            let steps = |motor: &Ranked| motor.candidate.full_steps;
            let steps = steps(a).total_cmp(&steps(b));
            steps.then(a.column.cmp(&b.column))
        });
        let same = |a: &Ranked, b: &Ranked| {
            let steps = |motor: &Ranked| motor.candidate.full_steps;
            steps(a).total_cmp(&steps(b)).is_eq()
        };
        let classes: Vec<Class> = ranked
            .chunk_by(same)
            .map(|motors| Class {
                full_steps: motors
                    .first()
                    .map_or(0.0, |motor| motor.candidate.full_steps),
                bounds: Bounds::new(motors.iter().map(|motor| &motor.candidate)),
                motors: motors.to_vec(),
            })
            .collect();
        let mut gears: Vec<u32> = (0u32..).zip(&space.gears).map(|(place, _)| place).collect();
        gears.sort_by(|a, b| match (at(&space.gears, *a), at(&space.gears, *b)) {
            (Some(a), Some(b)) => b.ratio.compare(a.ratio),
            _ => core::cmp::Ordering::Equal,
        });
        let lines = space.drives.len() * classes.len();
        Self {
            done: lines == 0 || gears.is_empty(),
            spans: Vec::with_capacity(lines),
            lines: Lines::new(lines),
            space,
            classes,
            gears,
            front,
            found: 0,
            looked: 0,
        }
    }

    /// How many designs were found so far.
    pub const fn found(&self) -> u64 {
        self.found
    }

    /// How many designs were looked at so far, or need no look: all of [`Space::designs`] in the end.
    pub const fn looked(&self) -> u64 {
        self.looked
    }

    /// How many designs were found so far that no other one beats, of those looked at and of those to come.
    pub const fn unbeaten(&self) -> u64 {
        self.front.count()
    }

    /// The full step in um up to which all is decided; `None` before the first.
    pub fn reached(&self) -> Option<f64> {
        self.front.reached()
    }

    /// Looks at `designs` more designs, or a few more than that; whether it is done.
    pub fn advance(&mut self, designs: u64) -> bool {
        let mut left = designs;
        while left > 0 && !self.done {
            let took = if self.spans.len() < self.space.drives.len() * self.classes.len() {
                self.begin();
                BEGIN
            } else {
                self.step()
            };
            left = left.saturating_sub(took);
        }
        self.done
    }

    /// Begins the next line: what lies short of the target and beyond it needs no look.
    fn begin(&mut self) {
        let line = u32::try_from(self.spans.len()).unwrap_or(u32::MAX);
        let classes = u32::try_from(self.classes.len()).unwrap_or(1).max(1);
        let (drive, class) = (line / classes, line % classes);
        let goal = self.space.goal;
        let place = |bound: &dyn Fn(f64) -> bool| {
            let place = self.gears.partition_point(|gear| {
                self.wanted(drive, class, *gear)
                    .is_some_and(|(wanted, _)| bound(wanted))
            });
            u32::try_from(place).unwrap_or(u32::MAX)
        };
        let span = Span {
            drive,
            class,
            next: place(&|wanted| goal.is_short(wanted)),
            end: place(&|wanted| goal.is_not_beyond(wanted)),
        };
        let all = u32::try_from(self.gears.len()).unwrap_or(u32::MAX);
        let within = span.end.saturating_sub(span.next);
        self.looked += u64::from(all - within) * self.row(class);
        self.spans.push(span);
        self.move_on(line, span);
    }

    /// Motors of a class.
    fn row(&self, class: u32) -> u64 {
        let class = at(&self.classes, class);
        class.map_or(0, |class| u64::try_from(class.motors.len()).unwrap_or(0))
    }

    /// What is wanted and the full step of a class of motors behind a drive and a reduction.
    fn wanted(&self, drive: u32, class: u32, gear: u32) -> Option<(f64, f64)> {
        let drive = at(&self.space.drives, drive)?;
        let gear = at(&self.space.gears, gear)?;
        let travel = drive.lead.over(gear.ratio);
        let full_step = super::full_step(travel, at(&self.classes, class)?.full_steps);
        Some(match self.space.goal.want {
            Want::TurnTravel => (travel, full_step),
            Want::FullStep => (full_step, full_step),
        })
    }

    /// Hands in the next full step of a line.
    fn move_on(&mut self, line: u32, span: Span) {
        let gear = at(&self.gears, span.next).filter(|_| span.next < span.end);
        let next = gear.and_then(|gear| self.wanted(span.drive, span.class, *gear));
        self.lines.put(line, next.map(|(_, full_step)| full_step));
    }

    /// Looks at the next drive and reduction; how many designs that was.
    fn step(&mut self) -> u64 {
        let Some((full_step, line)) = self.lines.first() else {
            self.front.settle();
            self.done = true;
            return 0;
        };
        let place = usize::try_from(line).unwrap_or(usize::MAX);
        let Some(span) = self.spans.get_mut(place) else {
            return 0;
        };
        let here = *span;
        span.next += 1;
        let on = *span;
        self.front.at(full_step);
        self.look(here);
        self.move_on(line, on);
        let row = self.row(here.class);
        self.looked += row;
        row
    }

    /// Looks at every motor of a class behind one drive and its next reduction.
    ///
    /// What is skipped is skipped by bounds that hold: a torque that the motor does not reach at a speed no higher; what was
    /// met at a smaller full step with more in hand than that torque could bring; and a motor behind the same drive and
    /// reduction that has more in hand at a price no higher, or none.
    fn look(&mut self, span: Span) {
        let Some(&gear_place) = at(&self.gears, span.next) else {
            return;
        };
        let class = usize::try_from(span.class).ok();
        let class = class.and_then(|class| self.classes.get_mut(class));
        let (Some(drive), Some(gear), Some(class)) = (
            at(&self.space.drives, span.drive),
            at(&self.space.gears, gear_place),
            class,
        ) else {
            return;
        };
        let pair = Pair::new(drive, gear, &self.space.load);
        let goal = self.space.goal;
        let row = self.front.row(2 + gear.stages);
        let candidates = class.motors.iter().map(|motor| &motor.candidate);
        let bounds = class.bounds.at(pair.shaft_speed, candidates);
        let mut top = f64::NEG_INFINITY;
        for (motor, &(least, most)) in class.motors.iter().zip(bounds) {
            let needed = pair.needed(&motor.candidate);
            let wanted = goal.least() * needed;
            if most < wanted || needed <= 0.0 {
                continue;
            }
            let hurdle = self.front.hurdle(row, motor.column);
            if least >= wanted && most < hurdle.max(top) * needed {
                self.found += 1;
                continue;
            }
            let in_hand = motor.candidate.motor.torque(pair.shaft_speed) / needed;
            if !meets(in_hand, &goal) {
                continue;
            }
            self.found += 1;
            if in_hand <= hurdle || in_hand < top {
                continue;
            }
            top = in_hand;
            let design = Design {
                drive: span.drive,
                gear: gear_place,
                motor: motor.place,
            };
            self.front.take(row, motor.column, in_hand, design);
        }
    }

    /// The designs that no other one beats, those with the finest full step if there are more than can be listed:
    /// falling torque in hand, then rising full step, parts and price, then as listed.
    ///
    /// In a search that is not done they are those of the full steps it has done with, and stay among the best.
    pub fn best(&self) -> Vec<Best> {
        self.front.best()
    }

    /// What is searched.
    pub const fn space(&self) -> &Space {
        &self.space
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
            lead: Size::new(lead, Fraction::from_whole(lead)),
            efficiency,
        });
        let gears = [(2, 0), (6, 1), (12, 2), (5, 1), (6, 2)].map(|(halves, stages)| Gear {
            ratio: size(f64::from(halves) / 2.0, i128::from(halves), 2),
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
        let load = Load {
            mass: 0.6,
            friction: 2.0,
            lift: 0.0,
            speed: 180.0,
            accel: 3000.0,
        };
        let goal = Goal {
            want,
            from,
            to,
            margin,
        };
        let drives = drives.chain(screws).collect();
        Space::new(drives, gears.into(), motors.collect(), load, goal)
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
                    if !space.goal.is_short(wanted)
                        && space.goal.is_not_beyond(wanted)
                        && meets(in_hand, &space.goal)
                    {
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

    fn agrees(space: Space, slice: u64, limit: usize) {
        let rows = plain(&space);
        let mut front: Vec<Design> = rows
            .iter()
            .filter(|row| !rows.iter().any(|other| beats(other, row)))
            .map(|row| row.0)
            .collect();
        let whole = |n: usize| u64::try_from(n).unwrap_or(0);
        let designs = space.designs();
        let mut search = Search::new(space.clone(), usize::MAX);
        let mut limited = Search::new(space, limit);
        let mut last = 0;
        front.sort_unstable();
        while !search.advance(slice) {
            assert!(search.looked() >= last && search.looked() <= designs);
            last = search.looked();
            assert_eq!(search.unbeaten(), whole(search.best().len()));
            // What a search has that is stopped here is the finest part of the whole, and no more is beaten of it.
            let so_far = search.best();
            assert!(
                so_far
                    .iter()
                    .all(|best| front.binary_search(&best.design).is_ok())
            );
        }
        assert_eq!(search.looked(), designs);
        assert_eq!(search.found(), whole(rows.len()));
        assert_eq!(search.unbeaten(), whole(front.len()));
        let best = search.best();
        let order = |a: &Best, b: &Best| {
            a.in_hand > b.in_hand || a.in_hand >= b.in_hand && a.full_step <= b.full_step
        };
        assert!(best.is_sorted_by(order));
        let measured = |best: &Best| {
            rows.contains(&(
                best.design,
                best.in_hand,
                best.full_step,
                best.parts,
                best.price,
            ))
        };
        assert!(best.iter().all(measured));
        // A short list has the finest full steps of the whole.
        limited.advance(u64::MAX);
        assert_eq!(limited.unbeaten(), whole(front.len()));
        let short = limited.best();
        assert_eq!(short.len(), best.len().min(limit));
        assert!(order_kept(&short, &best));
        let coarsest = short.iter().map(|best| best.full_step).fold(0.0, f64::max);
        let finer = best.iter().filter(|best| best.full_step < coarsest).count();
        assert!(finer <= short.len());
        let mut found: Vec<Design> = best.into_iter().map(|best| best.design).collect();
        found.sort_unstable();
        assert_eq!(found, front);
    }

    /// Whether a list is what is left of another one when some are struck out.
    fn order_kept(short: &[Best], long: &[Best]) -> bool {
        let mut rest = long.iter();
        short.iter().all(|best| rest.any(|other| other == best))
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
            slice in 1u64..3000,
            limit in 0usize..40,
            odd in any::<bool>(),
        ) {
            let (want, scale) = if travel { (Want::TurnTravel, 1.0) } else { (Want::FullStep, 4.0) };
            let mut space = space(&prices, margin, want, from * scale, (from + width) * scale);
            if odd {
                // A ratio that is no quotient of whole numbers, and twice a motor of a third step angle.
                space.gears.push(Gear { ratio: Size::new(SQRT_2, None), stages: 1 });
                let mut motor = space.motors.first().copied().expect("there is one");
                motor.full_steps = 48.0;
                motor.price = None;
                space.motors.extend([motor, motor]);
            }
            let Space { drives, gears, motors, load, goal } = space;
            agrees(Space::new(drives, gears, motors, load, goal), slice, limit);
        }
    }

    #[test]
    fn equal_designs_are_all_kept() {
        // 20 teeth of 3 mm and 30 of 2 mm travel the same, to the bit.
        let space = space(&[Some(12.0)], 0.5, Want::TurnTravel, 60.0, 60.0);
        let mut search = Search::new(space, usize::MAX);
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
        let mut search = Search::new(empty, 9);
        assert!(search.advance(1));
        assert_eq!((search.found(), search.best().len()), (0, 0));
    }
}
