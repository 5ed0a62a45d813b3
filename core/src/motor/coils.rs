//! A motor without papers: which leads belong to one coil, and a first current that cannot hurt.

use alloc::vec::Vec;

/// What a meter showed between two leads.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Reading {
    /// The two leads' numbers.
    pub leads: (u32, u32),
    /// Ohm between them, above 0; `None` when they are open.
    pub ohm: Option<f64>,
}

impl Reading {
    /// Whether it is between leads that are both among `leads`.
    fn is_within(&self, leads: &[u32]) -> bool {
        leads.contains(&self.leads.0) && leads.contains(&self.leads.1)
    }

    /// Half coils between its leads when `tap` is where they meet.
    fn halves(&self, tap: u32) -> f64 {
        if self.leads.0 == tap || self.leads.1 == tap {
            1.0
        } else {
            2.0
        }
    }
}

/// Leads that are joined by windings.
#[derive(Clone, PartialEq, Debug)]
pub struct Coil {
    /// Ascending; the tap of a coil with three leads stands between its ends.
    pub leads: Vec<u32>,
    /// Where three or five leads meet.
    pub tap: Option<u32>,
    /// Ohm end to end; of five leads from the common one to an end; `None` for other numbers of leads.
    pub ohm: Option<f64>,
}

/// Two leads that were read as open although windings join them.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct OpenYetJoined(pub u32, pub u32);

/// The coils that readings show, by smallest lead.
///
/// Leads with a resistance between them are of one coil. Where three or five leads are, the tap is the one from which
/// each other is one half coil away and all others two, by least squares over the readings.
///
/// # Errors
/// [`OpenYetJoined`] when a pair was read as open that other readings join.
///
/// # Source
/// Kirchhoff's laws on the windings of motors with 4, 5, 6 and 8 leads; common practice.
pub fn coils(readings: &[Reading]) -> Result<Vec<Coil>, OpenYetJoined> {
    let mut groups = Groups(Vec::new());
    for reading in readings.iter().filter(|reading| reading.ohm.is_some()) {
        groups.join(reading.leads);
    }
    for reading in readings.iter().filter(|reading| reading.ohm.is_none()) {
        let (a, b) = reading.leads;
        if groups.known(a).is_some() && groups.known(a) == groups.known(b) {
            return Err(OpenYetJoined(a, b));
        }
    }
    let mut coils = Vec::new();
    for group in groups.firsts() {
        let leads = groups.0.iter().filter(|lead| lead.1 == group);
        coils.push(coil(leads.map(|lead| lead.0).collect(), readings));
    }
    Ok(coils)
}

/// Leads, ascending, each with the smallest lead that it is joined with.
struct Groups(Vec<(u32, u32)>);

impl Groups {
    fn find(&self, lead: u32) -> Result<usize, usize> {
        self.0.binary_search_by_key(&lead, |lead| lead.0)
    }

    fn known(&self, lead: u32) -> Option<u32> {
        Some(self.0.get(self.find(lead).ok()?)?.1)
    }

    fn place(&mut self, lead: u32) -> u32 {
        if let Err(at) = self.find(lead) {
            self.0.insert(at, (lead, lead));
        }
        self.known(lead).unwrap_or(lead)
    }

    fn join(&mut self, (a, b): (u32, u32)) {
        let (a, b) = (self.place(a), self.place(b));
        for lead in &mut self.0 {
            if lead.1 == a.max(b) {
                lead.1 = a.min(b);
            }
        }
    }

    /// The smallest lead of each group, ascending.
    fn firsts(&self) -> impl Iterator<Item = u32> {
        let own = self.0.iter().filter(|(lead, group)| lead == group);
        own.map(|lead| lead.0)
    }
}

/// One coil of these leads, ascending.
fn coil(mut leads: Vec<u32>, readings: &[Reading]) -> Coil {
    let own: Vec<(Reading, f64)> = readings
        .iter()
        .filter(|reading| reading.is_within(&leads))
        .filter_map(|reading| Some((*reading, reading.ohm?)))
        .collect();
    let (tap, ohm) = match leads.as_slice() {
        [_, _] => (None, mean(own.iter().map(|(_, ohm)| *ohm))),
        [a, _, c] => {
            let tap = tap(&leads, &own);
            let between = |ends: f64| {
                let own = own.iter().filter(move |(reading, _)| {
                    tap.is_some_and(|tap| reading.halves(tap).total_cmp(&ends).is_eq())
                });
                own.map(|(_, ohm)| *ohm)
            };
            // Read between the ends, else the two halves one after the other.
            let ohm = mean(between(2.0)).or_else(|| mean(between(1.0)).map(|half| 2.0 * half));
            if let Some(tap) = tap {
                let ends = (*a, *c);
                let ends = match tap {
                    tap if tap == ends.0 => leads.get(1).map(|b| (*b, ends.1)),
                    tap if tap == ends.1 => leads.get(1).map(|b| (ends.0, *b)),
                    _ => Some(ends),
                };
                if let Some((low, high)) = ends {
                    leads = [low, tap, high].into();
                }
            }
            (tap, ohm)
        }
        [_, _, _, _, _] => {
            let tap = tap(&leads, &own);
            let halves = |reading: &Reading| tap.map_or(1.0, |tap| reading.halves(tap));
            (
                tap,
                mean(own.iter().map(|(reading, ohm)| ohm / halves(reading))),
            )
        }
        _ => (None, None),
    };
    Coil { leads, tap, ohm }
}

/// The lead from which the readings are best explained as half coils.
fn tap(leads: &[u32], own: &[(Reading, f64)]) -> Option<u32> {
    // Least squares of ohm = halves * half: what is left over is sum(ohm^2) - sum(halves * ohm)^2 / sum(halves^2), so
    // the largest of the last terms is the best.
    let explained = |tap: u32| {
        let (mut product, mut squares) = (0.0, 0.0);
        for (reading, ohm) in own {
            let halves = reading.halves(tap);
            product += halves * ohm;
            squares += halves * halves;
        }
        product * product / squares
    };
    leads
        .iter()
        .map(|lead| (*lead, explained(*lead)))
        .reduce(|best, next| if next.1 > best.1 { next } else { best })
        .map(|(lead, _)| lead)
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, count) = values.fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
    (count > 0.0).then(|| sum / count)
}

/// How many leads the motor has, of 4, 5, 6 and 8; `None` when its coils do not make such a motor.
///
/// # Source
/// As [`coils`].
pub fn wires(coils: &[Coil]) -> Option<u8> {
    let all = |leads: usize| coils.iter().all(|coil| coil.leads.len() == leads);
    match coils.len() {
        1 if all(5) => Some(5),
        2 if all(2) => Some(4),
        2 if all(3) => Some(6),
        4 if all(2) => Some(8),
        _ => None,
    }
}

/// The two leads to read next: the first two that may still be joined; `None` once every lead is placed.
///
/// `leads` is how many the motor has, numbered from 1; without it as many as a motor with those that were read has.
///
/// # Source
/// As [`coils`]; leads of one coil are joined, so that one open reading parts all leads of two coils.
pub fn next_reading(readings: &[Reading], leads: Option<u32>) -> Option<(u32, u32)> {
    let mut groups = Groups(Vec::new());
    for reading in readings {
        groups.place(reading.leads.0);
        groups.place(reading.leads.1);
        if reading.ohm.is_some() {
            groups.join(reading.leads);
        }
    }
    let highest = groups.0.last().map_or(0, |lead| lead.0);
    let count = [4, 5, 6, 8].into_iter().find(|count| *count >= highest);
    for lead in 1..=leads.or(count).unwrap_or(0).min(8) {
        groups.place(lead);
    }
    for a in groups.firsts() {
        for b in groups.firsts().filter(|b| *b > a) {
            let parted = readings.iter().any(|reading| {
                let of = (groups.known(reading.leads.0), groups.known(reading.leads.1));
                of == (Some(a), Some(b)) || of == (Some(b), Some(a))
            });
            if !parted {
                return Some((a, b));
            }
        }
    }
    None
}

/// The full steps of usual motors, degrees.
pub const USUAL_STEPS_DEG: [f64; 5] = [0.9, 1.8, 3.6, 7.5, 15.0];

/// The usual full step nearest to one in degrees.
///
/// # Source
/// Common practice.
pub fn nearest_step_deg(step_deg: f64) -> f64 {
    let [first, rest @ ..] = USUAL_STEPS_DEG;
    rest.into_iter().fold(first, |best, next| {
        if (next - step_deg).abs() < (best - step_deg).abs() {
            next
        } else {
            best
        }
    })
}

/// Surface in mm2 of a square motor: 2 * frame^2 + 4 * frame * depth.
///
/// # Source
/// Surface of a box.
pub fn surface_mm2(frame_mm: f64, depth_mm: f64) -> f64 {
    2.0 * frame_mm * frame_mm + 4.0 * frame_mm * depth_mm
}

/// A careful first current in A RMS: the one whose heat 2*I^2*R is 0.5 W per 1,000 mm2 of surface.
///
/// `ohm` of a phase at 25 C, above 0. A start, never a rating.
///
/// # Source
/// From memory: what a small motor's surface gives off at a rise of some tens of kelvin in still air.
pub fn start_rms(surface_mm2: f64, ohm: f64) -> f64 {
    libm::sqrt(START_W_PER_MM2 * surface_mm2 / (2.0 * ohm))
}

const START_W_PER_MM2: f64 = 0.5 / 1000.0;

#[cfg(test)]
mod tests {
    use super::*;

    fn readings(rows: &[(u32, u32, f64)]) -> Vec<Reading> {
        rows.iter()
            .map(|(a, b, ohm)| Reading {
                leads: (*a, *b),
                ohm: (*ohm > 0.0).then_some(*ohm),
            })
            .collect()
    }

    fn leads(rows: &[(u32, u32, f64)]) -> Vec<Vec<u32>> {
        let found = coils(&readings(rows)).unwrap_or_default();
        found.into_iter().map(|coil| coil.leads).collect()
    }

    #[test]
    fn four_leads_are_two_coils() {
        let rows = [(4, 2, 2.8), (1, 3, 2.6), (1, 2, 0.0), (1, 4, 0.0)];
        assert_eq!(leads(&rows), [[1, 3], [2, 4]]);
        assert_eq!(
            coils(&readings(&rows)).ok().and_then(|c| wires(&c)),
            Some(4)
        );
    }

    #[test]
    fn the_tap_is_found_from_any_two_readings_of_a_coil() {
        // Ends 1 and 3, tap 5, 4 ohm a half: every choice of two of the three readings.
        let all = [(1, 5, 4.0), (5, 3, 4.1), (3, 1, 8.1)];
        for left_out in 0..3 {
            let rows: Vec<_> = all
                .iter()
                .enumerate()
                .filter(|(i, _)| *i != left_out)
                .map(|(_, row)| *row)
                .collect();
            assert_eq!(leads(&rows), [[1, 5, 3]], "without {left_out}");
            let found = coils(&readings(&rows)).unwrap_or_default();
            let ohm = found.first().and_then(|coil| coil.ohm).unwrap_or(0.0);
            assert!((ohm - 8.1).abs() < 1e-12, "{ohm}");
        }
        // The tap as the smallest and as the largest lead.
        assert_eq!(leads(&[(1, 5, 4.0), (1, 3, 4.1), (3, 5, 8.1)]), [[3, 1, 5]]);
        assert_eq!(leads(&[(5, 1, 4.0), (5, 3, 4.1), (3, 1, 8.1)]), [[1, 5, 3]]);
    }

    #[test]
    fn five_leads_meet_in_one() {
        let star = [(1, 3, 50.0), (2, 3, 52.0), (4, 3, 51.0), (5, 3, 51.0)];
        let found = coils(&readings(&star)).unwrap_or_default();
        assert_eq!(wires(&found), Some(5));
        let Some(coil) = found.first() else {
            panic!("one coil");
        };
        assert_eq!((coil.tap, coil.leads.len()), (Some(3), 5));
        assert!(coil.ohm.is_some_and(|ohm| (ohm - 51.0).abs() < 1e-12));
        // Read along the ends only but for one pair.
        let chain = [(1, 2, 100.0), (2, 4, 101.0), (4, 5, 99.0), (3, 1, 50.0)];
        let found = coils(&readings(&chain)).unwrap_or_default();
        assert_eq!(found.first().and_then(|coil| coil.tap), Some(3));
    }

    #[test]
    fn an_open_pair_that_is_joined_is_told() {
        let rows = [(1, 2, 3.0), (2, 3, 3.0), (1, 3, 0.0)];
        assert_eq!(coils(&readings(&rows)), Err(OpenYetJoined(1, 3)));
    }

    #[test]
    fn every_motor_is_found_by_reading_what_is_asked() {
        // Which coil each lead belongs to, and how many half coils lie between two leads of a coil.
        for (group, most) in [
            (&[1, 2, 1, 2][..], 6),
            (&[1, 1, 2, 2], 6),
            (&[1, 2, 2, 1, 1, 2], 15),
            (&[1, 2, 3, 4, 4, 3, 2, 1], 28),
        ] {
            let of = |lead: u32| {
                usize::try_from(lead)
                    .ok()
                    .and_then(|i| group.get(i - 1))
                    .copied()
            };
            let mut rows: Vec<Reading> = Vec::new();
            let mut asked = 0;
            let leads = u32::try_from(group.len()).ok();
            while let Some((a, b)) = next_reading(&rows, leads) {
                asked += 1;
                assert!(asked <= most, "{group:?}: {rows:?}");
                let ohm = (of(a).is_some() && of(a) == of(b)).then_some(2.0);
                rows.push(Reading { leads: (a, b), ohm });
            }
            let found = coils(&rows).unwrap_or_default();
            assert_eq!(
                wires(&found).map(usize::from),
                Some(group.len()),
                "{group:?}: {rows:?}"
            );
        }
    }

    #[test]
    fn odd_groups_are_no_motor() {
        let rows = [(1, 2, 3.0), (2, 3, 3.0), (4, 5, 3.0)];
        assert_eq!(coils(&readings(&rows)).ok().and_then(|c| wires(&c)), None);
    }

    #[test]
    fn the_nearest_usual_step() {
        for (step, usual) in [
            (1.79, 1.8),
            (0.5, 0.9),
            (7.2, 7.5),
            (40.0, 15.0),
            (3.0, 3.6),
        ] {
            assert!((nearest_step_deg(step) - usual).abs() < 1e-12, "{step}");
        }
    }

    #[test]
    fn the_first_current_heats_half_a_watt_per_thousand_square_millimetres() {
        let surface = surface_mm2(42.0, 40.0);
        assert!((surface - 10_248.0).abs() < 1e-9);
        let rms = start_rms(surface, 2.8);
        assert!((2.0 * rms * rms * 2.8 - 5.124).abs() < 1e-12);
    }
}
