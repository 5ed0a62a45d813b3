//! Where a function of one entry takes a wanted value: scan, bracket, Brent.

use alloc::vec::Vec;

/// All roots of `f` on `low..=high`, rising; parts where `f` is `None` have none.
///
/// The interval is scanned at `grid`, which must rise and include both ends, and every change of sign is closed in on. A
/// change of sign across a jump or a pole is no root: there the function does not shrink with its bracket.
///
/// # Source
/// R. P. Brent, Algorithms for Minimization without Derivatives (1973), chapter 4.
#[cfg(test)]
pub fn roots(f: &dyn Fn(f64) -> Option<f64>, grid: &[f64]) -> Vec<f64> {
    let mut scan = Scan::default();
    for &x in grid {
        scan.step(f, x);
    }
    scan.roots
}

/// A search for roots at work, point by point of a rising grid.
#[derive(Clone, Debug, Default)]
pub struct Scan {
    /// Those found so far, rising.
    pub roots: Vec<f64>,
    /// Every point looked at, with the function's value where it has one.
    pub seen: Vec<(f64, Option<f64>)>,
}

impl Scan {
    /// Looks at the next point, and closes in on the root that lies before it.
    pub fn step(&mut self, f: &dyn Fn(f64) -> Option<f64>, x: f64) {
        let here = f(x).filter(|y| y.is_finite());
        let before = self.seen.last().copied();
        self.seen.push((x, here));
        let Some(y) = here else { return };
        let root = match before {
            _ if y == 0.0 => Some(x),
            Some((x0, Some(y0))) if y0 != 0.0 && (y0 < 0.0) != (y < 0.0) => {
                brent(f, (x0, y0), (x, y))
            }
            _ => None,
        };
        if let Some(x) = root {
            let known = self.roots.last();
            if !known.is_some_and(|last| (last - x).abs() <= 1e-9 * x.abs()) {
                self.roots.push(x);
            }
        }
    }
}

/// The root between two points of opposite sign, to the last bits; `None` when the sign changes across a jump.
fn brent(f: &dyn Fn(f64) -> Option<f64>, start: (f64, f64), end: (f64, f64)) -> Option<f64> {
    let scale = start.1.abs().max(end.1.abs());
    let (mut a, mut b) = (start, end);
    // c is the bracket's other end, b the best so far.
    let mut c = a;
    let (mut step, mut last) = (b.0 - a.0, b.0 - a.0);
    for _ in 0..200 {
        if (b.1 < 0.0) == (c.1 < 0.0) {
            c = a;
            step = b.0 - a.0;
            last = step;
        }
        if c.1.abs() < b.1.abs() {
            (a, b, c) = (b, c, b);
        }
        let tolerance = 2.0 * f64::EPSILON * b.0.abs();
        let half = 0.5 * (c.0 - b.0);
        if b.1 == 0.0 || half.abs() <= tolerance {
            // Across a jump both sides stay away from 0.
            let closed = b.1.abs() <= 1e-6 * scale;
            return closed.then_some(b.0);
        }
        if last.abs() >= tolerance && a.1.abs() > b.1.abs() {
            let s = b.1 / a.1;
            let (mut p, mut q) = if a.0.total_cmp(&c.0).is_eq() {
                (2.0 * half * s, 1.0 - s)
            } else {
                let (q, r) = (a.1 / c.1, b.1 / c.1);
                (
                    s * (2.0 * half * q * (q - r) - (b.0 - a.0) * (r - 1.0)),
                    (q - 1.0) * (r - 1.0) * (s - 1.0),
                )
            };
            if p > 0.0 {
                q = -q;
            } else {
                p = -p;
            }
            if 2.0 * p < (3.0 * half * q - (tolerance * q).abs()).min((last * q).abs()) {
                last = step;
                step = p / q;
            } else {
                step = half;
                last = half;
            }
        } else {
            step = half;
            last = half;
        }
        a = b;
        let x = if step.abs() > tolerance {
            b.0 + step
        } else {
            b.0 + tolerance.copysign(half)
        };
        b = (x, f(x).filter(|y| y.is_finite())?);
    }
    None
}
