//! The frequency of a plucked string from samples of its sound.
//!
//! A periodic sound is most like itself one period later. The likeness of the sound to itself `lag` samples later,
//! 2 * sum(x\[i\] * x\[i+lag\]) / sum(x\[i\]^2 + x\[i+lag\]^2), is 1 for a lag of whole periods and does not mind which
//! harmonic is the loudest, nor whether the fundamental itself is heard at all.
//!
//! # Source
//! McLeod and Wyvill, "A smarter way to find pitch", Proc. Int. Computer Music Conf. 2005: the normalised square
//! difference, and the first of its high peaks. De Cheveigné and Kawahara, "YIN, a fundamental frequency estimator for
//! speech and music", J. Acoust. Soc. Am. 111 (2002) 1917: difference function and interpolation by a parabola. Here the
//! parabola is fitted to a share of the peak by least squares, and again at multiples of the period, where an error
//! counts for less.

/// What was heard.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Tone {
    /// Fundamental frequency in Hz.
    pub hz: f64,
    /// How alike one period is to the next, up to 1: near 1 a clean tone, below 0.5 mostly noise.
    pub likeness: f64,
}

/// The lowest and the highest frequency that is looked for, in Hz.
pub const RANGE_HZ: (f64, f64) = (18.0, 800.0);

/// Most lags that are kept.
const LAGS: usize = 1024;
/// Below this likeness nothing is told from noise.
const LEAST_LIKENESS: f64 = 0.4;
/// The first peak within this much of the highest is the period, the rest its multiples.
const SHARE: f64 = 0.1;
/// Likeness that even a clean peak lacks between two samples, or while the sound dies away.
const SLACK: f64 = 0.004;

/// Averages every `by` samples into one, in place; gives what is left. A sum of neighbours lets low tones pass.
pub fn thin(samples: &mut [f32], by: usize) -> &mut [f32] {
    let by = by.max(1);
    let count = samples.len() / by;
    for i in 0..count {
        let sum: f32 = samples.iter().skip(i * by).take(by).sum();
        if let Some(place) = samples.get_mut(i) {
            *place = sum;
        }
    }
    samples.get_mut(..count).unwrap_or_default()
}

/// By how much samples at a rate in Hz may be thinned: to about 12 kHz.
pub fn thinning(rate_hz: f64) -> usize {
    whole(rate_hz / 12_000.0 + 0.5).clamp(1, 64)
}

/// The effective size of samples, 0 for silence to about 0.7 for a full tone.
pub fn level(samples: &[f32]) -> f64 {
    let (sum, count) = samples.iter().fold((0.0, 0.0), |(sum, count), sample| {
        (sum + f64::from(*sample) * f64::from(*sample), count + 1.0)
    });
    if count > 0.0 {
        libm::sqrt(sum / count)
    } else {
        0.0
    }
}

/// The fundamental of a tone within [`RANGE_HZ`]; `None` where there is none.
///
/// `samples` at a rate in Hz, best about 12 kHz ([`thin`]) and a third of a second: five periods at the least.
///
/// # Source
/// As this module.
pub fn tone(samples: &[f32], rate_hz: f64) -> Option<Tone> {
    let (lowest, highest) = RANGE_HZ;
    // A little past the longest period, to see its peak from both sides.
    let most = whole(1.1 * rate_hz / lowest)
        .min(samples.len() / 3)
        .min(LAGS - 1);
    let least = whole(rate_hz / highest).max(2);
    let mut curve = [0.0; LAGS];
    likeness(samples, curve.get_mut(..=most)?);
    let curve = curve.get(..=most)?;

    // The peak of each stretch above 0, but for the one around lag 0.
    let mut peaks = [(0_usize, 0.0_f64); 64];
    let (mut count, mut first, mut above) = (0, true, false);
    for (lag, like) in curve.iter().copied().enumerate() {
        if like <= 0.0 {
            (first, above) = (false, false);
        } else if !first && lag >= least {
            if !above && count < peaks.len() {
                count += 1;
            }
            above = true;
            let like = between(curve, lag).unwrap_or(like);
            if let Some(peak) = count.checked_sub(1).and_then(|at| peaks.get_mut(at))
                && like > peak.1
            {
                *peak = (lag, like);
            }
        }
    }
    let peaks = peaks.get(..count)?;
    let best = peaks.iter().map(|peak| peak.1).fold(0.0, f64::max);
    if best < LEAST_LIKENESS {
        return None;
    }
    // A clean sound tells its period from a strong harmonic by the last percent; noise blurs that.
    let enough = best - (1.0 - best).min(SHARE * best) - SLACK;
    let (lag, like) = *peaks.iter().find(|peak| peak.1 >= enough)?;

    let mut period = vertex(curve, float(lag), float(lag))?;
    let mut times = 1.0;
    // Twice as many periods on, half the error.
    while let Some(next) = vertex(curve, 2.0 * times * period, period) {
        times *= 2.0;
        period = next / times;
    }
    Some(Tone {
        hz: rate_hz / period,
        likeness: like.min(1.0),
    })
}

/// The top of the parabola through a lag's likeness and its neighbours': a peak seldom stands on a sample.
fn between(curve: &[f64], lag: usize) -> Option<f64> {
    let [a, b, c] = curve.get(lag.checked_sub(1)?..lag + 2)? else {
        return None;
    };
    let (slope, curvature) = ((c - a) / 2.0, a - 2.0 * b + c);
    (a <= b && c <= b && curvature < 0.0).then(|| (b - slope * slope / (2.0 * curvature)).min(1.0))
}

/// How alike samples are to themselves at each lag, -1 to 1; 0 in silence.
fn likeness(samples: &[f32], curve: &mut [f64]) {
    let square = |at: Option<usize>| {
        let sample = at.and_then(|at| samples.get(at)).copied();
        sample.map_or(0.0, |x| f64::from(x) * f64::from(x))
    };
    // The squares of all that is compared: each lag loses one sample at either end.
    let mut power = 2.0
        * samples
            .iter()
            .fold(0.0, |sum, x| sum + f64::from(*x) * f64::from(*x));
    for (lag, place) in curve.iter_mut().enumerate() {
        if lag > 0 {
            power -= square(Some(lag - 1)) + square(samples.len().checked_sub(lag));
        }
        let later = samples.get(lag..).unwrap_or_default();
        let mut product = 0.0;
        for (a, b) in samples.iter().zip(later) {
            product += a * b;
        }
        *place = if power > 1e-9 {
            2.0 * f64::from(product) / power
        } else {
            0.0
        };
    }
}

/// The top near a lag of the peak whose neighbours lie `period` away: the vertex of a parabola through it, by least
/// squares; `None` where there is no top.
fn vertex(curve: &[f64], near: f64, period: f64) -> Option<f64> {
    let half = whole(period / 12.0).max(1);
    let mut centre = whole(near + 0.5);
    let mut found = None;
    // The fit is without bias only when it is centred: a peak is alike to both sides.
    for _ in 0..4 {
        let peak = curve.get(centre.checked_sub(half)?..=centre + half)?;
        let (mut sums, mut count) = ([0.0; 5], 0.0);
        for (i, y) in peak.iter().copied().enumerate() {
            let x = float(i) - float(half);
            for (sum, term) in sums
                .iter_mut()
                .zip([x * x, x * x * x * x, y, x * y, x * x * y])
            {
                *sum += term;
            }
            count += 1.0;
        }
        let [x2, x4, y, xy, x2y] = sums;
        // y = a + b x + c x^2 over x alike to both sides.
        let curvature = (count * x2y - x2 * y) / (count * x4 - x2 * x2);
        if curvature >= 0.0 {
            return found;
        }
        let off = -xy / x2 / (2.0 * curvature);
        let off = off.clamp(-float(half), float(half));
        found = Some(float(centre) + off);
        if off.abs() <= 0.5 {
            break;
        }
        centre = whole(float(centre) + off + 0.5);
    }
    found
}

/// The whole part of a number from 0 to 65,535, counted out by halves: a lag.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "what is out of range becomes the nearest number"
)]
fn whole(x: f64) -> usize {
    usize::from(x as u16)
}

fn float(lag: usize) -> f64 {
    u32::try_from(lag).map_or(0.0, f64::from)
}

#[cfg(test)]
mod tests {
    use std::vec::Vec;

    use super::*;

    /// Samples of harmonics, each an amplitude, that die away to 1/e in `decay` s, with white noise.
    struct Sound<'a> {
        hz: f64,
        harmonics: &'a [f64],
        decay: f64,
        noise: f64,
    }

    impl Sound<'_> {
        #[allow(
            clippy::cast_possible_truncation,
            reason = "a sample has 16 bits, which f32 holds exactly"
        )]
        fn samples(&self, rate: f64, seed: u64) -> Vec<f32> {
            let mut random = seed;
            // Uniform -1 to 1: xorshift.
            let mut next = || {
                random ^= random << 13;
                random ^= random >> 7;
                random ^= random << 17;
                f64::from(u32::try_from(random >> 32).unwrap_or(0)) / f64::from(u32::MAX) * 2.0
                    - 1.0
            };
            (0..16_384_u32)
                .map(|i| {
                    let t = f64::from(i) / rate;
                    let turn = core::f64::consts::TAU * self.hz * t;
                    let clean: f64 = (1_u32..)
                        .zip(self.harmonics)
                        .map(|(n, amplitude)| {
                            // Each at a phase of its own.
                            amplitude * libm::sin(f64::from(n) * turn + f64::from(n * n))
                        })
                        .sum();
                    let noise: f64 = (0..3).map(|_| next()).sum();
                    let value = clean * libm::exp(-t / self.decay) + self.noise * noise;
                    // As a sound card gives it: 0.02 of full scale, 16 bits.
                    (libm::round(value * 0.02 * 32_768.0) / 32_768.0) as f32
                })
                .collect()
        }

        fn heard(&self, rate: f64, seed: u64) -> Option<Tone> {
            let mut samples = self.samples(rate, seed);
            let by = thinning(rate);
            tone(thin(&mut samples, by), rate / float(by))
        }
    }

    /// The frequencies of spans from a slack long one to a short tight one, and odd ones between.
    const HZ: [f64; 12] = [
        20.0, 27.3, 41.7, 55.0, 60.0, 88.1, 110.0, 146.8, 201.3, 288.8, 377.7, 500.0,
    ];
    const RATES: [f64; 2] = [44_100.0, 48_000.0];

    /// Within 0.5 %, the accuracy that a tension within 1 % needs.
    #[track_caller]
    fn check(harmonics: &[f64], decay: f64, noise: f64) -> f64 {
        let mut worst = 0.0_f64;
        // Each frequency at one of the rates, and without noise every seed sounds the same.
        for (hz, rate) in HZ.into_iter().zip(RATES.into_iter().cycle()) {
            for seed in [88, 12_345]
                .into_iter()
                .take(if noise > 0.0 { 2 } else { 1 })
            {
                let sound = Sound {
                    hz,
                    harmonics,
                    decay,
                    noise,
                };
                let heard = sound.heard(rate, seed).map_or(0.0, |tone| tone.hz);
                let error = (heard / hz - 1.0).abs();
                assert!(
                    error < 0.005,
                    "{hz} Hz at {rate} seed {seed}: heard {heard}"
                );
                worst = worst.max(error);
            }
        }
        worst
    }

    #[test]
    fn a_pure_tone() {
        check(&[1.0], 1e9, 0.0);
    }

    #[test]
    fn a_plucked_string_that_dies_away() {
        // Plucked in the middle: odd harmonics, falling with the square.
        check(&[1.0, 0.0, 0.111, 0.0, 0.04], 0.15, 0.0);
        check(&[1.0, 0.5, 0.33, 0.25, 0.2, 0.17], 0.08, 0.0);
    }

    #[test]
    fn harmonics_stronger_than_the_fundamental() {
        check(&[0.25, 1.0, 0.6, 0.3], 0.4, 0.0);
        check(&[0.2, 0.1, 1.0, 0.1, 0.5], 0.4, 0.0);
        check(&[0.3, 1.0, 1.0, 1.0, 1.0, 0.5], 0.4, 0.02);
    }

    #[test]
    fn a_fundamental_that_the_microphone_does_not_hear() {
        check(&[0.0, 1.0, 0.7, 0.4], 0.4, 0.0);
        check(&[0.0, 0.0, 1.0, 0.8, 0.6], 0.4, 0.0);
    }

    #[test]
    fn white_noise_over_a_string() {
        // Three uniform numbers of 1: variance 1. The string's power is about half its first amplitude squared.
        for (decibels, noise) in [(20.0, 0.0707), (10.0, 0.2236), (6.0, 0.354), (0.0, 0.707)] {
            let worst = check(&[1.0, 0.4, 0.2], 1e9, noise);
            assert!(worst < 0.005, "{decibels} dB: {worst}");
        }
    }

    #[test]
    fn noise_alone_and_silence_are_no_tone() {
        for seed in 1..10 {
            let noise = Sound {
                hz: 1.0,
                harmonics: &[],
                decay: 1.0,
                noise: 1.0,
            };
            assert_eq!(noise.heard(48_000.0, seed), None, "{seed}");
        }
        assert_eq!(tone(&[0.0; 4096], 12_000.0), None);
        assert_eq!(tone(&[0.5; 4096], 12_000.0), None);
        assert_eq!(tone(&[], 12_000.0), None);
        assert_eq!(tone(&[f32::NAN; 4096], 12_000.0), None);
    }

    #[test]
    fn thinning_keeps_about_12_khz() {
        assert_eq!(
            [8_000.0, 16_000.0, 44_100.0, 48_000.0, 96_000.0].map(thinning),
            [1, 1, 4, 4, 8]
        );
        let mut samples = [1.0, 3.0, 5.0, 7.0, 9.0];
        assert_eq!(thin(&mut samples, 2), [4.0, 12.0]);
        assert!(level(&[0.5, -0.5]) > 0.49 && level(&[]) < 1e-9);
    }
}
