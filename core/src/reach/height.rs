//! Nozzle, probe and bed on the way up.

/// How much a column grows between two temperatures, in um: length · expansion · rise.
///
/// `column` in mm, `expansion` in 1/K, `rise` in K, negative for cooling.
///
/// # Source
/// Definition of the coefficient of linear thermal expansion.
pub fn growth_um(column: f64, expansion: f64, rise: f64) -> f64 {
    column * 1000.0 * expansion * rise
}

/// Whether a layer is a whole number of steps, one at least, to within a nanometre; both in um, over 0.
///
/// # Source
/// Definition.
pub fn whole_steps(layer_um: f64, step_um: f64) -> bool {
    let steps = libm::round(layer_um / step_um);
    steps >= 1.0 && (layer_um - steps * step_um).abs() <= NANOMETRE_UM
}

/// A nanometre in um, and the rounding of a layer of a few hundred um.
const NANOMETRE_UM: f64 = 1e-3 + 1e-12;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn aluminium_grows_by_its_coefficient() {
        // 10 mm of aluminium over 100 K at 23.1e-6.
        assert!((growth_um(10.0, 23.1e-6, 100.0) - 23.1).abs() < 1e-12);
    }

    #[test]
    fn a_nanometre_off_is_whole_and_more_is_not() {
        assert!(whole_steps(200.0, 10.0));
        assert!(whole_steps(200.001, 10.0));
        assert!(!whole_steps(200.0011, 10.0));
        assert!(!whole_steps(0.0005, 10.0));
        // 0.3 mm of 100 um: rounding in the last place does not count.
        assert!(whole_steps(0.3 * 1000.0, 100.0));
    }
}
