//! One axis of the plan: where the nozzle can go over the bed, from the machine's own faces.
//!
//! All lengths in mm. Positions are bed coordinates: 0 at the bed's low edge.

/// The nozzle's range over the bed.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Range {
    /// Lowest position the nozzle can have.
    pub lowest: f64,
    /// Highest position the nozzle can have; not below `lowest`.
    pub highest: f64,
}

/// An axis along which something of some length moves between two faces.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Track {
    /// Between the frame's faces, over 0.
    pub frame: f64,
    /// Length of the moving part, from 0.
    pub body: f64,
    /// What stands in at the low face, from 0.
    pub low_intrusion: f64,
    /// What stands in at the high face, from 0.
    pub high_intrusion: f64,
}

impl Track {
    /// How far the part moves; under 0 when it does not fit.
    ///
    /// # Source
    /// Definition.
    pub fn travel(&self) -> f64 {
        self.frame - self.low_intrusion - self.high_intrusion - self.body
    }

    /// Lowest and highest place of the part's middle, from the frame's low face.
    fn middle(&self) -> (f64, f64) {
        (
            self.low_intrusion + self.body / 2.0,
            self.frame - self.high_intrusion - self.body / 2.0,
        )
    }

    /// The nozzle's range when the part carries it: middle + `nozzle_offset` - `bed_offset`.
    ///
    /// `bed_offset` from the frame's low face to the bed's low edge.
    ///
    /// # Source
    /// Definition.
    pub fn moving_nozzle(&self, nozzle_offset: f64, bed_offset: f64) -> Range {
        let (low, high) = self.middle();
        Range {
            lowest: low + nozzle_offset - bed_offset,
            highest: high + nozzle_offset - bed_offset,
        }
    }

    /// The nozzle's range when the part carries the bed: `nozzle_at` - middle - `bed_offset`.
    ///
    /// `nozzle_at` from the frame's low face; `bed_offset` from the part's middle to the bed's low edge.
    ///
    /// # Source
    /// Definition.
    pub fn moving_bed(&self, nozzle_at: f64, bed_offset: f64) -> Range {
        let (low, high) = self.middle();
        Range {
            lowest: nozzle_at - high - bed_offset,
            highest: nozzle_at - low - bed_offset,
        }
    }
}

/// The end at which an axis finds its home.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Home {
    /// The low end.
    Low,
    /// The high end.
    High,
}

impl Home {
    /// Where the nozzle stands when a switch closes with it `gap` outside a bed of `bed`.
    ///
    /// # Source
    /// Definition.
    pub fn switched(self, bed: f64, gap: f64) -> f64 {
        match self {
            Self::Low => -gap,
            Self::High => bed + gap,
        }
    }
}

/// The limits of an axis once it has been homed.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Limits {
    /// Lowest position to allow.
    pub min: f64,
    /// Highest position to allow.
    pub max: f64,
}

impl Range {
    /// How far the nozzle goes.
    pub fn travel(&self) -> f64 {
        self.highest - self.lowest
    }

    /// The end of the range on the homing side.
    pub fn end(&self, at: Home) -> f64 {
        match at {
            Home::Low => self.lowest,
            Home::High => self.highest,
        }
    }

    /// The limits when the axis homes at `home`, `margin` kept at the far end.
    ///
    /// # Source
    /// Definition: the travel counted from the switch, and never beyond the range.
    pub fn limits(&self, at: Home, home: f64, margin: f64) -> Limits {
        match at {
            Home::Low => Limits {
                min: home,
                max: libm::fmin(home + self.travel(), self.highest) - margin,
            },
            Home::High => Limits {
                min: libm::fmax(home - self.travel(), self.lowest) + margin,
                max: home,
            },
        }
    }

    /// Whether the nozzle can be at `position`.
    pub fn holds(&self, position: f64) -> bool {
        // A nanometre is rounding, not distance.
        (self.lowest - 1e-6..=self.highest + 1e-6).contains(&position)
    }
}

impl Limits {
    /// How much of a bed of `bed` lies within the limits.
    ///
    /// # Source
    /// Definition.
    pub fn printable(&self, bed: f64) -> f64 {
        self.window(bed, 0.0).map_or(0.0, |(low, high)| high - low)
    }

    /// The strips of the bed below and above the limits.
    ///
    /// # Source
    /// Definition.
    pub fn lost(&self, bed: f64) -> (f64, f64) {
        (self.min.clamp(0.0, bed), (bed - self.max).clamp(0.0, bed))
    }

    /// From where to where on the bed something `offset` from the nozzle comes; `None` when it never does.
    ///
    /// # Source
    /// Definition.
    pub fn window(&self, bed: f64, offset: f64) -> Option<(f64, f64)> {
        let low = libm::fmax(self.min + offset, 0.0);
        let high = libm::fmin(self.max + offset, bed);
        (low <= high).then_some((low, high))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A frame of 300 with a carriage of 60 and a plate of 10 in the high corner.
    const TRACK: Track = Track {
        frame: 300.0,
        body: 60.0,
        low_intrusion: 0.0,
        high_intrusion: 10.0,
    };

    #[test]
    fn a_carriage_reaches_what_its_faces_leave() {
        // Middle 30..260; the nozzle 5 mm above it; the bed begins at 40.
        let range = TRACK.moving_nozzle(5.0, 40.0);
        assert_eq!(
            range,
            Range {
                lowest: -5.0,
                highest: 225.0
            }
        );
        assert!((range.travel() - TRACK.travel()).abs() < 1e-12);
    }

    #[test]
    fn a_bed_that_moves_up_brings_the_nozzle_to_its_low_edge() {
        // Middle 30..260, nozzle at 150, bed from 110 below its middle: 150 - 260 + 110 and 150 - 30 + 110.
        let range = TRACK.moving_bed(150.0, -110.0);
        assert_eq!(
            range,
            Range {
                lowest: 0.0,
                highest: 230.0
            }
        );
    }

    #[test]
    fn limits_count_from_the_switch_and_stay_in_the_range() {
        let range = Range {
            lowest: -12.0,
            highest: 210.0,
        };
        let early = range.limits(Home::Low, Home::Low.switched(200.0, 8.0), 1.0);
        assert_eq!(
            early,
            Limits {
                min: -8.0,
                max: 209.0
            }
        );
        assert_eq!(early.lost(200.0), (0.0, 0.0));
        let high = range.limits(Home::High, Home::High.switched(200.0, -5.0), 2.0);
        assert_eq!(
            high,
            Limits {
                min: -10.0,
                max: 195.0
            }
        );
        assert_eq!(high.lost(200.0), (0.0, 5.0));
        assert!((high.printable(200.0) - 195.0).abs() < 1e-12);
    }

    #[test]
    fn a_probe_beside_the_nozzle_misses_a_strip_or_all() {
        let limits = Limits {
            min: 0.0,
            max: 190.0,
        };
        assert_eq!(limits.window(200.0, -30.0), Some((0.0, 160.0)));
        assert_eq!(limits.window(200.0, 25.0), Some((25.0, 200.0)));
        assert_eq!(limits.window(200.0, 201.0), None);
    }

    #[test]
    fn limits_the_wrong_way_round_print_nothing() {
        let limits = Limits {
            min: 120.0,
            max: 80.0,
        };
        assert!(limits.printable(200.0).abs() < 1e-12);
        assert_eq!(limits.window(200.0, 0.0), None);
    }
}
