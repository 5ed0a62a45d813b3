//! The voltage divider that reads a sensor: a pull-up from the reference to the node, from the node the sensor to
//! ground, with a resistor between node and sensor where there is one.
//!
//! `count = (2^bits - 1) (R + series)/(R + series + pullup)`, not rounded.
//!
//! # Source
//! Ohm's law; the converter's full scale, 2^bits - 1 at the reference, is common practice.

use super::positive;

/// A divider and the converter that reads it.
///
/// # Example
/// ```
/// use layshaft_core::sensor::divider::{Cause, Divider};
/// let divider = Divider::new(4700.0, 0.0, 12, 3.3).unwrap();
/// assert_eq!(divider.count(4700.0), Some(2047.5));
/// assert_eq!(divider.resistance_from_count(4095.0), Err(Cause::Open { most: 4095.0 }));
/// ```
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Divider {
    pullup_ohm: f64,
    series_ohm: f64,
    full_count: f64,
    reference_v: f64,
}

/// Why a divider, or a reading of it, has no answer.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Cause {
    /// The pull-up is not above 0 ohm.
    Pullup,
    /// The resistor between node and sensor is below 0 ohm.
    Series,
    /// The converter has no bits, or more than 32.
    Bits,
    /// The reference is not above 0 V.
    Reference,
    /// The reading leaves the sensor no positive ohms: it must be above `least`.
    Short {
        /// The reading with the sensor shorted, in the unit given.
        least: f64,
    },
    /// The reading is at or above the reference: it must be below `most`.
    Open {
        /// The reading with the sensor unplugged, in the unit given.
        most: f64,
    },
}

impl Divider {
    /// A divider of a pull-up above 0 ohm, a series resistor not below 0 ohm, a converter of 1 to 32 bits and a
    /// reference above 0 V.
    ///
    /// # Errors
    /// [`Cause`] names the one that is out of range.
    pub fn new(
        pullup_ohm: f64,
        series_ohm: f64,
        bits: u32,
        reference_v: f64,
    ) -> Result<Self, Cause> {
        positive(pullup_ohm).ok_or(Cause::Pullup)?;
        if !(0.0..f64::INFINITY).contains(&series_ohm) {
            return Err(Cause::Series);
        }
        // 2^bits - 1 as a run of set bits.
        let full = 32_u32
            .checked_sub(bits)
            .and_then(|unused| u32::MAX.checked_shr(unused))
            .ok_or(Cause::Bits)?;
        positive(reference_v).ok_or(Cause::Reference)?;
        Ok(Self {
            pullup_ohm,
            series_ohm,
            full_count: f64::from(full),
            reference_v,
        })
    }

    /// The pull-up, ohm.
    pub const fn pullup_ohm(&self) -> f64 {
        self.pullup_ohm
    }

    /// Count at full scale, 2^bits - 1: what the converter shows with the sensor unplugged.
    pub const fn full_count(&self) -> f64 {
        self.full_count
    }

    /// Count at a resistance, not rounded: `full (R + series)/(R + series + pullup)`.
    ///
    /// Takes ohm not below 0.
    ///
    /// # Source
    /// As the module.
    pub fn count(&self, resistance_ohm: f64) -> Option<f64> {
        Some(self.full_count * self.share(resistance_ohm)?)
    }

    /// Voltage of the node at a resistance: `reference (R + series)/(R + series + pullup)`.
    ///
    /// Takes ohm not below 0, gives V.
    ///
    /// # Source
    /// As the module.
    pub fn voltage_v(&self, resistance_ohm: f64) -> Option<f64> {
        Some(self.reference_v * self.share(resistance_ohm)?)
    }

    /// Resistance of the sensor at a count, whole or not: `pullup count/(full - count) - series`.
    ///
    /// Gives ohm above 0.
    ///
    /// # Errors
    /// [`Cause::Short`] and [`Cause::Open`] with the counts between which there is an answer.
    ///
    /// # Source
    /// As the module, solved for R.
    pub fn resistance_from_count(&self, count: f64) -> Result<f64, Cause> {
        self.resistance(count, self.full_count)
    }

    /// Resistance of the sensor at a node voltage: `pullup U/(reference - U) - series`.
    ///
    /// Takes V, gives ohm above 0.
    ///
    /// # Errors
    /// [`Cause::Short`] and [`Cause::Open`] with the voltages between which there is an answer.
    ///
    /// # Source
    /// As the module, solved for R.
    pub fn resistance_from_voltage(&self, voltage_v: f64) -> Result<f64, Cause> {
        self.resistance(voltage_v, self.reference_v)
    }

    /// Slope dcount/dR: `full pullup/(R + series + pullup)^2`, above 0.
    ///
    /// Takes ohm not below 0, gives counts per ohm.
    ///
    /// # Source
    /// Derivative of [`Divider::count`].
    pub fn counts_per_ohm(&self, resistance_ohm: f64) -> Option<f64> {
        let loop_ohm = self.loop_ohm(resistance_ohm)?;
        positive(self.full_count * (self.pullup_ohm / loop_ohm) / loop_ohm)
    }

    /// Slope dR/dpullup at a count that stays: `(R + series)/pullup`.
    ///
    /// Takes ohm not below 0, gives ohm of the sensor per ohm of the pull-up.
    ///
    /// # Source
    /// Derivative of [`Divider::resistance_from_count`].
    pub fn ohm_per_pullup_ohm(&self, resistance_ohm: f64) -> Option<f64> {
        self.loop_ohm(resistance_ohm)?;
        super::finite((resistance_ohm + self.series_ohm) / self.pullup_ohm)
    }

    /// Power turned into heat in the sensor: `R (reference/(R + series + pullup))^2`.
    ///
    /// Takes ohm not below 0, gives W.
    ///
    /// # Source
    /// Joule's law.
    pub fn sensor_power_w(&self, resistance_ohm: f64) -> Option<f64> {
        let amps = self.reference_v / self.loop_ohm(resistance_ohm)?;
        super::finite(resistance_ohm * amps * amps)
    }

    /// Resistance from reference to ground.
    fn loop_ohm(&self, resistance_ohm: f64) -> Option<f64> {
        if !(0.0..f64::INFINITY).contains(&resistance_ohm) {
            return None;
        }
        positive(resistance_ohm + self.series_ohm + self.pullup_ohm)
    }

    /// Part of the reference that stands at the node.
    fn share(&self, resistance_ohm: f64) -> Option<f64> {
        Some((resistance_ohm + self.series_ohm) / self.loop_ohm(resistance_ohm)?)
    }

    /// Resistance where a reading stands in a full scale of the same unit.
    fn resistance(&self, reading: f64, full: f64) -> Result<f64, Cause> {
        if reading.is_nan() || reading >= full {
            return Err(Cause::Open { most: full });
        }
        let short = Cause::Short {
            least: full * self.series_ohm / (self.series_ohm + self.pullup_ohm),
        };
        positive(self.pullup_ohm * (reading / (full - reading)) - self.series_ohm).ok_or(short)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn divider(series_ohm: f64) -> Divider {
        Divider::new(4700.0, series_ohm, 10, 5.0).expect("a divider")
    }

    #[test]
    fn equal_resistors_halve_the_reference() {
        let divider = divider(0.0);
        assert_eq!(divider.count(4700.0), Some(511.5));
        assert_eq!(divider.voltage_v(4700.0), Some(2.5));
        // 2.5 V across 4700 ohm.
        assert!(
            divider
                .sensor_power_w(4700.0)
                .is_some_and(|watts| libm::fabs(watts - 6.25 / 4700.0) < 1e-18)
        );
    }

    #[test]
    fn count_and_voltage_lead_back_to_the_resistance() {
        for series in [0.0, 330.0] {
            let divider = divider(series);
            for ohm in [1.0, 100.0, 4700.0, 1e6] {
                let count = divider.count(ohm).expect("count");
                let volts = divider.voltage_v(ohm).expect("volts");
                for found in [
                    divider.resistance_from_count(count),
                    divider.resistance_from_voltage(volts),
                ] {
                    assert!(
                        found.is_ok_and(|found| libm::fabs(found - ohm)
                            < 1e-9 * (ohm + 330.0 + ohm * ohm / 4700.0))
                    );
                }
                let quotient =
                    (divider.count(ohm * 1.000_01).expect("count") - count) / (ohm * 1e-5);
                let slope = divider.counts_per_ohm(ohm).expect("slope");
                assert!(libm::fabs(slope - quotient) < 2e-5 * slope);
            }
        }
    }

    #[test]
    fn readings_at_the_rails_name_the_rail() {
        let divider = divider(300.0);
        let least = 1023.0 * 300.0 / 5000.0;
        assert_eq!(
            divider.resistance_from_count(least - 1e-9),
            Err(Cause::Short { least })
        );
        assert!(divider.resistance_from_count(least + 1e-9).is_ok());
        assert_eq!(
            divider.resistance_from_count(1023.0),
            Err(Cause::Open { most: 1023.0 })
        );
        assert!(divider.resistance_from_count(1022.999).is_ok());
        assert_eq!(
            divider.resistance_from_voltage(5.0),
            Err(Cause::Open { most: 5.0 })
        );
        assert!(matches!(
            divider.resistance_from_voltage(0.0),
            Err(Cause::Short { .. })
        ));
        for odd in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert!(divider.resistance_from_count(odd).is_err());
        }
        assert_eq!(divider.count(-1.0), None);
        assert_eq!(divider.count(f64::NAN), None);
        assert_eq!(divider.count(f64::INFINITY), None);
        assert!(
            divider
                .count(0.0)
                .is_some_and(|count| libm::fabs(count - least) < 1e-12)
        );
    }

    #[test]
    fn each_part_of_the_circuit_has_its_limits() {
        let new = Divider::new;
        for pullup in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(new(pullup, 0.0, 12, 3.3), Err(Cause::Pullup));
        }
        for series in [-1e-9, f64::NAN, f64::INFINITY] {
            assert_eq!(new(4700.0, series, 12, 3.3), Err(Cause::Series));
        }
        assert_eq!(new(4700.0, 0.0, 0, 3.3), Err(Cause::Bits));
        assert_eq!(new(4700.0, 0.0, 33, 3.3), Err(Cause::Bits));
        assert_eq!(
            new(4700.0, 0.0, 1, 3.3).map(|divider| divider.full_count()),
            Ok(1.0)
        );
        assert_eq!(
            new(4700.0, 0.0, 32, 3.3).map(|divider| divider.full_count()),
            Ok(4_294_967_295.0)
        );
        for reference in [0.0, -3.3, f64::NAN] {
            assert_eq!(new(4700.0, 0.0, 12, reference), Err(Cause::Reference));
        }
    }
}
