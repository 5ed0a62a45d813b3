//! The thermal fuse that opens when all else failed.

/// A thermal fuse in its place on a heated part.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Cutoff {
    /// Half width of the fuse's opening temperature, K.
    pub tolerance_k: f64,
    /// How much cooler its place is than the hottest spot, K.
    pub offset_k: f64,
    /// How fast the part warms fully on, K/min; below 0 counts as 0.
    pub rise_k_per_min: f64,
    /// How late the fuse follows its place, s.
    pub lag_s: f64,
}

impl Cutoff {
    /// How far the hottest spot rises while the fuse follows, K: `lag rise/60`.
    ///
    /// # Source
    /// Definition.
    pub fn run_on_k(&self) -> f64 {
        self.lag_s * self.rise_k_per_min.max(0.0) / 60.0
    }

    /// The lowest rating that stays closed in use, °C: `normal - offset + tolerance`.
    ///
    /// Takes what the part's hottest spot reaches in use, °C.
    ///
    /// # Source
    /// The fuse may open as low as its rating less the tolerance; its place is at the part's temperature less the offset.
    pub fn rating_min_c(&self, normal_max_c: f64) -> f64 {
        normal_max_c - self.offset_k + self.tolerance_k
    }

    /// The highest rating that opens in time, °C: `allowed - tolerance - offset - lag rise/60`.
    ///
    /// Takes what the part's hottest spot may reach, °C.
    ///
    /// # Source
    /// [`Cutoff::opens_at_c`] at the allowed temperature, solved for the rating.
    pub fn rating_max_c(&self, max_allowed_c: f64) -> f64 {
        max_allowed_c - self.tolerance_k - self.offset_k - self.run_on_k()
    }

    /// What the hottest spot has reached when a fuse of this rating has opened at the latest, °C:
    /// `rating + tolerance + offset + lag rise/60`.
    ///
    /// # Source
    /// The fuse may open as high as its rating plus the tolerance, and the hottest spot is ahead by offset and run-on.
    pub fn opens_at_c(&self, rating_c: f64) -> f64 {
        rating_c + self.tolerance_k + self.offset_k + self.run_on_k()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BED: Cutoff = Cutoff {
        tolerance_k: 5.0,
        offset_k: 8.0,
        rise_k_per_min: 12.0,
        lag_s: 20.0,
    };

    #[test]
    fn the_highest_rating_opens_just_at_what_is_allowed() {
        let most = BED.rating_max_c(150.0);
        assert!(libm::fabs(most - 133.0) < 1e-12);
        assert!(libm::fabs(BED.opens_at_c(most) - 150.0) < 1e-12);
        assert!(libm::fabs(BED.rating_min_c(110.0) - 107.0) < 1e-12);
    }

    #[test]
    fn a_part_that_cools_fully_on_does_not_make_the_fuse_early() {
        let cooling = Cutoff {
            rise_k_per_min: -12.0,
            ..BED
        };
        assert!(libm::fabs(cooling.run_on_k()) < 1e-15);
    }
}
