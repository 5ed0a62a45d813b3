//! Ringing: what ripples beside an edge say about the machine's first resonance.

use core::f64::consts::PI;

/// Frequency in Hz of `waves` ripples over `distance` mm printed at `speed` mm/s.
///
/// # Source
/// Definition.
pub fn frequency(waves: f64, distance: f64, speed: f64) -> f64 {
    speed * waves / distance
}

/// Stiffness in N/mm of what swings `mass` kg at `frequency` Hz: m (2 pi f)².
///
/// # Source
/// One mass on a spring.
pub fn stiffness(mass: f64, frequency: f64) -> f64 {
    let turn = 2.0 * PI * frequency;
    mass * turn * turn / 1000.0
}

/// Acceleration in mm/s² at which something that swings at `frequency` Hz bows by `bow` mm: bow (2 pi f)².
///
/// # Source
/// One mass on a spring under a steady acceleration: m a = k x.
pub fn acceleration_for(bow: f64, frequency: f64) -> f64 {
    let turn = 2.0 * PI * frequency;
    bow * turn * turn
}

/// Logarithmic decrement of ripple heights, one for each wave, all over 0: minus the slope of ln height over the wave's number.
///
/// `None` for fewer than two.
///
/// # Source
/// Logarithmic decrement, textbooks of vibration; over several waves by least squares.
pub fn decrement(heights: impl Iterator<Item = f64> + Clone) -> Option<f64> {
    let n = heights.clone().fold(0.0, |n, _| n + 1.0);
    if n < 1.5 {
        return None;
    }
    let middle = (n - 1.0) / 2.0;
    let (mut wave, mut sxx, mut sxy) = (-middle, 0.0, 0.0);
    for height in heights {
        sxx += wave * wave;
        sxy += wave * libm::log(height);
        wave += 1.0;
    }
    Some(-sxy / sxx)
}

/// Standard error of [`decrement`] for heights that scatter about their fall; `None` for fewer than three.
///
/// sqrt(sum of squared distances of ln height from the line / (n - 2) / Sxx).
///
/// # Source
/// Simple linear regression; textbooks of statistics.
pub fn decrement_error(heights: impl Iterator<Item = f64> + Clone) -> Option<f64> {
    let fall = decrement(heights.clone())?;
    let n = heights.clone().fold(0.0, |n, _| n + 1.0);
    let (mean, middle) = (mean_log(heights.clone(), n), (n - 1.0) / 2.0);
    let (mut wave, mut sxx, mut squares) = (-middle, 0.0, 0.0);
    for height in heights {
        let miss = libm::log(height) - mean + fall * wave;
        sxx += wave * wave;
        squares += miss * miss;
        wave += 1.0;
    }
    (n > 2.5).then(|| libm::sqrt(squares / (n - 2.0) / sxx))
}

/// The fitted height of each wave: exp(mean of ln height - decrement times the wave's distance from the middle one).
///
/// # Source
/// As [`decrement`].
pub fn envelope(heights: impl Iterator<Item = f64> + Clone) -> Option<impl Iterator<Item = f64>> {
    let fall = decrement(heights.clone())?;
    let n = heights.clone().fold(0.0, |n, _| n + 1.0);
    let (mean, middle) = (mean_log(heights.clone(), n), (n - 1.0) / 2.0);
    let mut wave = -1.0 - middle;
    Some(heights.map(move |_| {
        wave += 1.0;
        libm::exp(mean - fall * wave)
    }))
}

fn mean_log(heights: impl Iterator<Item = f64>, n: f64) -> f64 {
    heights.map(libm::log).sum::<f64>() / n
}

/// Damping ratio of a logarithmic decrement: d / sqrt(4 pi² + d²).
///
/// # Source
/// Logarithmic decrement, textbooks of vibration.
pub fn damping_ratio(decrement: f64) -> f64 {
    decrement / libm::sqrt(4.0 * PI * PI + decrement * decrement)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_damped_swing_gives_its_ratio_back() {
        let ratio: f64 = 0.08;
        let per_wave = 2.0 * PI * ratio / libm::sqrt(1.0 - ratio * ratio);
        let heights = (0..6).map(|i| 0.2 * libm::exp(-per_wave * f64::from(i)));
        let found = decrement(heights).map(damping_ratio);
        assert!(found.is_some_and(|found| (found / ratio - 1.0).abs() < 1e-12));
        assert_eq!(decrement([0.1].into_iter()), None);
        let heights = (0..6).map(|i| 0.2 * libm::exp(-per_wave * f64::from(i)));
        let fitted = envelope(heights.clone()).expect("several heights");
        assert!(
            heights
                .clone()
                .zip(fitted)
                .all(|(a, b)| (a / b - 1.0).abs() < 1e-12)
        );
        assert!(decrement_error(heights).is_some_and(|error| error < 1e-12));
        assert_eq!(decrement_error([0.2, 0.1].into_iter()), None);
    }

    #[test]
    fn a_kilogram_at_fifty_hertz_is_held_by_a_hundred_newtons_a_millimetre() {
        assert!((stiffness(1.0, 50.0) - 98.696).abs() < 1e-3);
        assert!((acceleration_for(0.05, 50.0) - 4934.8).abs() < 0.1);
        assert!((frequency(5.0, 10.0, 60.0) - 30.0).abs() < 1e-12);
    }
}
