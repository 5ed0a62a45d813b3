//! One straight beam: its section, how far it bends under a load, a spread load and its own weight, and how it swings.

use core::f64::consts::PI;

use super::guide::{rect_inertia, round_inertia};

/// What bending asks of a section.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Section {
    /// Second moment of area about the axis it bends over, mm⁴.
    pub inertia: f64,
    /// Area, mm².
    pub area: f64,
    /// From that axis to the outermost fibre, mm.
    pub half_height: f64,
}

impl Section {
    /// A solid rectangle bent over its height; `width` and `height` in mm, over 0.
    ///
    /// # Source
    /// Definition of the second moment of area.
    pub fn rect(width: f64, height: f64) -> Self {
        Self {
            inertia: rect_inertia(width, height),
            area: width * height,
            half_height: height / 2.0,
        }
    }

    /// A rectangular hollow section; `wall` in mm; `None` where the walls meet.
    ///
    /// # Source
    /// Definition: the outer rectangle less the inner one.
    pub fn box_tube(width: f64, height: f64, wall: f64) -> Option<Self> {
        let (inner_width, inner_height) = (width - 2.0 * wall, height - 2.0 * wall);
        if inner_width < 0.0 || inner_height < 0.0 {
            return None;
        }
        let (outer, inner) = (
            Self::rect(width, height),
            Self::rect(inner_width, inner_height),
        );
        Some(outer.without(inner))
    }

    /// A round bar; `diameter` in mm, over 0.
    ///
    /// # Source
    /// Definition of the second moment of area.
    pub fn round(diameter: f64) -> Self {
        Self {
            inertia: round_inertia(diameter),
            area: PI / 4.0 * diameter * diameter,
            half_height: diameter / 2.0,
        }
    }

    /// A round tube; `wall` in mm; `None` where the walls meet.
    ///
    /// # Source
    /// Definition: the outer circle less the inner one.
    pub fn tube(diameter: f64, wall: f64) -> Option<Self> {
        let bore = diameter - 2.0 * wall;
        (bore >= 0.0).then(|| Self::round(diameter).without(Self::round(bore)))
    }

    fn without(self, hole: Self) -> Self {
        Self {
            inertia: self.inertia - hole.inertia,
            area: self.area - hole.area,
            ..self
        }
    }
}

/// How a beam is held.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Support {
    /// Clamped at one end, loaded at the other.
    Cantilever,
    /// On a support at each end, loaded in the middle.
    Simple,
    /// Clamped at both ends, loaded in the middle.
    Fixed,
}

/// The coefficients of a beam of length 1 and stiffness 1 under a load of 1 (P) and a spread load of 1 (w).
struct Coefficients {
    /// Largest bending moment of P and of w.
    moment: (f64, f64),
    /// Deflection at the load, of P and of w.
    at_load: (f64, f64),
    /// Integral of the deflection over the length, of P and of w.
    area: (f64, f64),
    /// Integral of its square: of P², of 2 P w, of w².
    square: (f64, f64, f64),
}

const CANTILEVER: Coefficients = Coefficients {
    moment: (1.0, 1.0 / 2.0),
    at_load: (1.0 / 3.0, 1.0 / 8.0),
    area: (1.0 / 8.0, 1.0 / 20.0),
    square: (11.0 / 420.0, 59.0 / 5760.0, 13.0 / 3240.0),
};
const SIMPLE: Coefficients = Coefficients {
    moment: (1.0 / 4.0, 1.0 / 8.0),
    at_load: (1.0 / 48.0, 5.0 / 384.0),
    area: (5.0 / 384.0, 1.0 / 120.0),
    square: (17.0 / 80_640.0, 277.0 / 2_064_384.0, 31.0 / 362_880.0),
};
const FIXED: Coefficients = Coefficients {
    moment: (1.0 / 8.0, 1.0 / 12.0),
    at_load: (1.0 / 192.0, 1.0 / 384.0),
    area: (1.0 / 384.0, 1.0 / 720.0),
    square: (13.0 / 1_290_240.0, 163.0 / 30_965_760.0, 1.0 / 362_880.0),
};

/// A loaded beam.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Beam {
    /// How it is held.
    pub support: Support,
    /// Length between the supports, or from clamp to end, mm, over 0.
    pub span: f64,
    /// Bending stiffness E I, N·mm², over 0.
    pub stiffness: f64,
    /// Load at the end or in the middle, N, from 0.
    pub load: f64,
    /// Load spread over the length, its own weight included, N/mm, from 0.
    pub spread: f64,
}

impl Beam {
    const fn coefficients(&self) -> &'static Coefficients {
        match self.support {
            Support::Cantilever => &CANTILEVER,
            Support::Simple => &SIMPLE,
            Support::Fixed => &FIXED,
        }
    }

    /// The load and the whole spread load, N.
    fn loads(&self) -> (f64, f64) {
        (self.load, self.spread * self.span)
    }

    /// Deflection in mm at the end or in the middle, the largest of the beam.
    ///
    /// Cantilever P L³/3 + w L⁴/8, simple P L³/48 + 5 w L⁴/384, fixed P L³/192 + w L⁴/384, each over E I.
    ///
    /// # Source
    /// Handbook beam tables.
    pub fn deflection(&self) -> f64 {
        let (p, w) = self.loads();
        let (of_p, of_w) = self.coefficients().at_load;
        (p * of_p + w * of_w) * self.span * self.span * self.span / self.stiffness
    }

    /// Deflection in mm at `share` of the length, 0 to 1, from the clamp or the first support.
    ///
    /// # Source
    /// Handbook beam tables: the elastic lines of [`Beam::deflection`].
    pub fn deflection_at(&self, share: f64) -> f64 {
        let (p, w) = self.loads();
        // The lines on two supports hold up to the middle and are mirrored there.
        let half = self.support != Support::Cantilever && share > 0.5;
        let x = if half { 1.0 - share } else { share };
        let line = match self.support {
            Support::Cantilever => {
                p * x * x * (3.0 - x) / 6.0 + w * x * x * (6.0 - 4.0 * x + x * x) / 24.0
            }
            Support::Simple => {
                p * x * (3.0 - 4.0 * x * x) / 48.0 + w * x * (1.0 - 2.0 * x * x + x * x * x) / 24.0
            }
            Support::Fixed => {
                p * x * x * (3.0 - 4.0 * x) / 48.0 + w * x * x * (1.0 - x) * (1.0 - x) / 24.0
            }
        };
        line * self.span * self.span * self.span / self.stiffness
    }

    /// Largest bending moment in N·mm, at the clamp or, on two supports, in the middle.
    ///
    /// Cantilever P L + w L²/2, simple P L/4 + w L²/8, fixed P L/8 + w L²/12.
    ///
    /// # Source
    /// Handbook beam tables.
    pub fn moment(&self) -> f64 {
        let (p, w) = self.loads();
        let (of_p, of_w) = self.coefficients().moment;
        (p * of_p + w * of_w) * self.span
    }

    /// Frequency in Hz of the first mode, the loads being masses: sqrt(g sum(W y) / sum(W y²)) / (2 pi).
    ///
    /// y is the static deflection; the sums are integrals for the spread load. A little high, by under 2 %; not finite without load.
    ///
    /// # Source
    /// Rayleigh's quotient with the static deflection as the mode, textbooks of vibration.
    pub fn frequency(&self) -> f64 {
        let (p, w) = self.loads();
        let c = self.coefficients();
        let at_load = p * c.at_load.0 + w * c.at_load.1;
        let area = p * c.area.0 + w * c.area.1;
        let square = p * p * c.square.0 + 2.0 * p * w * c.square.1 + w * w * c.square.2;
        let first = p * at_load + w * area;
        let second = p * at_load * at_load + w * square;
        let scale = self.span * self.span * self.span / self.stiffness;
        libm::sqrt(super::GRAVITY * 1000.0 * first / (second * scale)) / (2.0 * PI)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SUPPORTS: [Support; 3] = [Support::Cantilever, Support::Simple, Support::Fixed];

    fn beam(support: Support, load: f64, spread: f64) -> Beam {
        Beam {
            support,
            span: 400.0,
            stiffness: 70e3 * 7000.0,
            load,
            spread,
        }
    }

    #[test]
    fn the_coefficients_are_the_sums_of_the_deflection_line() {
        for support in SUPPORTS {
            let beam = beam(support, 20.0, 0.05);
            let (p, w) = beam.loads();
            let end = if support == Support::Cantilever {
                1.0
            } else {
                0.5
            };
            let n = 20_000;
            let (mut area, mut square) = (0.0, 0.0);
            for i in 0..n {
                let y = beam.deflection_at((f64::from(i) + 0.5) / f64::from(n));
                area += y / f64::from(n);
                square += y * y / f64::from(n);
            }
            let y = beam.deflection_at(end);
            assert!((beam.deflection() / y - 1.0).abs() < 1e-12);
            let quotient = 9806.65 * (p * y + w * area) / (p * y * y + w * square);
            let frequency = libm::sqrt(quotient) / (2.0 * PI);
            assert!(
                (beam.frequency() / frequency - 1.0).abs() < 1e-7,
                "{support:?}"
            );
        }
    }

    #[test]
    fn without_spread_load_the_beam_is_one_mass_on_a_spring() {
        for support in SUPPORTS {
            let beam = beam(support, 20.0, 0.0);
            let alone = crate::frame::guide::sag_frequency(beam.deflection());
            assert!((beam.frequency() / alone - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn walls_that_meet_make_a_solid_and_no_more() {
        let solid = Section::round(10.0);
        assert_eq!(Section::tube(10.0, 5.0), Some(solid));
        assert_eq!(Section::tube(10.0, 5.01), None);
        assert_eq!(
            Section::box_tube(20.0, 10.0, 5.0),
            Some(Section::rect(20.0, 10.0))
        );
        assert_eq!(Section::box_tube(20.0, 10.0, 5.5), None);
        assert_eq!(Section::box_tube(10.0, 20.0, 5.5), None);
    }
}
