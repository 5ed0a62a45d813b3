//! Where a function of one entry takes a wanted value: scan, bracket, Brent.

use alloc::vec::Vec;

/// All roots of `f` on a grid, which must rise and include both ends; parts where `f` is `None` have none.
#[cfg(test)]
pub fn roots(f: &dyn Fn(f64) -> Option<f64>, grid: &[f64]) -> Vec<f64> {
    let mut scan = Scan::default();
    while let Some(x) = scan.next(grid) {
        scan.take(x, f(x));
    }
    scan.roots
}

/// A search for roots at work, one look at the function at a time: the caller may leave off after each.
///
/// A rising grid is scanned, and every change of sign is closed in on. A change of sign across a jump or a pole is no root:
/// there the function does not shrink with its bracket.
#[derive(Clone, Debug, Default)]
pub struct Scan {
    /// Those found so far, rising; of neighbours on the grid that are all roots, the first and the last.
    pub roots: Vec<f64>,
    /// Whether a root and the one before it are the ends of such a stretch, for each root.
    pub stretches: Vec<bool>,
    /// Every point of the grid looked at, with the function's value where it has one.
    pub seen: Vec<(f64, Option<f64>)>,
    closing: Option<Bracket>,
}

impl Scan {
    /// Where to look next; `None` when nothing is left.
    pub fn next(&self, grid: &[f64]) -> Option<f64> {
        match &self.closing {
            Some(bracket) => Some(bracket.at),
            None => grid.get(self.seen.len()).copied(),
        }
    }

    /// Takes the function's value where [`Scan::next`] said.
    pub fn take(&mut self, x: f64, y: Option<f64>) {
        let y = y.filter(|y| y.is_finite());
        if let Some(mut bracket) = self.closing.take() {
            // What has no value inside its bracket has no root there.
            let Some(y) = y else { return };
            bracket.b = (x, y);
            return self.close(bracket);
        }
        let before = self.seen.last().copied();
        self.seen.push((x, y));
        let Some(y) = y else { return };
        match before {
            _ if y == 0.0 => {
                let goes_on = matches!(before, Some((_, Some(0.0))));
                self.root(x, goes_on);
            }
            Some((x0, Some(y0))) if y0 != 0.0 && (y0 < 0.0) != (y < 0.0) => {
                self.close(Bracket::new((x0, y0), (x, y)));
            }
            _ => {}
        }
    }

    /// Goes on closing in: another look is needed, or it has ended.
    fn close(&mut self, mut bracket: Bracket) {
        match bracket.aim() {
            Aim::Look => self.closing = Some(bracket),
            Aim::Root(x) => self.root(x, false),
            Aim::Nothing => {}
        }
    }

    fn root(&mut self, x: f64, goes_on: bool) {
        let known = self.roots.last();
        if known.is_some_and(|last| (last - x).abs() <= 1e-9 * x.abs()) {
            return;
        }
        // The stretch that is there is drawn out.
        if goes_on && self.stretches.last() == Some(&true) {
            self.roots.pop();
            self.stretches.pop();
        }
        self.roots.push(x);
        self.stretches.push(goes_on);
    }
}

/// Closing in on the root between two points of opposite sign, to the last bits.
///
/// # Source
/// R. P. Brent, Algorithms for Minimization without Derivatives (1973), chapter 4.
#[derive(Clone, Debug)]
struct Bracket {
    a: (f64, f64),
    /// The best so far.
    b: (f64, f64),
    /// The bracket's other end.
    c: (f64, f64),
    step: f64,
    last: f64,
    scale: f64,
    /// Where to look next.
    at: f64,
    left: u32,
}

/// What closing in asks for.
enum Aim {
    /// The value at the bracket's `at`.
    Look,
    /// Nothing more: here it is.
    Root(f64),
    /// Nothing more: the sign changes across a jump.
    Nothing,
}

impl Bracket {
    fn new(start: (f64, f64), end: (f64, f64)) -> Self {
        Self {
            a: start,
            b: end,
            c: start,
            step: end.0 - start.0,
            last: end.0 - start.0,
            scale: start.1.abs().max(end.1.abs()),
            at: end.0,
            left: 200,
        }
    }

    fn aim(&mut self) -> Aim {
        if self.left == 0 {
            return Aim::Nothing;
        }
        self.left -= 1;
        let Self { a, b, c, .. } = self;
        if (b.1 < 0.0) == (c.1 < 0.0) {
            *c = *a;
            self.step = b.0 - a.0;
            self.last = self.step;
        }
        if c.1.abs() < b.1.abs() {
            (*a, *b, *c) = (*b, *c, *b);
        }
        let tolerance = 2.0 * f64::EPSILON * b.0.abs();
        let half = 0.5 * (c.0 - b.0);
        if b.1 == 0.0 || half.abs() <= tolerance {
            // Across a jump both sides stay away from 0.
            return if b.1.abs() <= 1e-6 * self.scale {
                Aim::Root(b.0)
            } else {
                Aim::Nothing
            };
        }
        let halved = (half, half);
        (self.last, self.step) = if self.last.abs() >= tolerance && a.1.abs() > b.1.abs() {
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
            if 2.0 * p < (3.0 * half * q - (tolerance * q).abs()).min((self.last * q).abs()) {
                (self.step, p / q)
            } else {
                halved
            }
        } else {
            halved
        };
        *a = *b;
        self.at = if self.step.abs() > tolerance {
            b.0 + self.step
        } else {
            b.0 + tolerance.copysign(half)
        };
        Aim::Look
    }
}
