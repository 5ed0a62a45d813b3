//! Materials of machines and filaments: round figures, common practice of data sheets.

/// What a material weighs and stands.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Material {
    /// The key that links use.
    pub key: &'static str,
    /// Density, kg/m³.
    pub density: f64,
    /// Young's modulus, GPa.
    pub modulus: f64,
    /// Yield strength, MPa; of printed parts the tensile strength across no layer.
    pub yield_strength: f64,
    /// Whether it is printed: then creep, layers and heat lower the figures.
    pub printed: bool,
}

const fn metal(key: &'static str, density: f64, modulus: f64, yield_strength: f64) -> Material {
    Material {
        key,
        density,
        modulus,
        yield_strength,
        printed: false,
    }
}

const fn printed(key: &'static str, density: f64, modulus: f64, yield_strength: f64) -> Material {
    Material {
        key,
        density,
        modulus,
        yield_strength,
        printed: true,
    }
}

/// The materials that a name stands for; figures are common practice, rounded: the part's data sheet goes before.
pub const MATERIALS: [Material; 11] = [
    metal("steel", 7850.0, 205.0, 250.0),
    metal("stainless", 7900.0, 195.0, 200.0),
    metal("aluminium", 2700.0, 69.0, 150.0),
    metal("brass", 8500.0, 100.0, 200.0),
    printed("pla", 1240.0, 3.0, 40.0),
    printed("petg", 1270.0, 2.0, 40.0),
    printed("abs", 1040.0, 2.0, 35.0),
    printed("asa", 1070.0, 2.0, 35.0),
    printed("pc", 1200.0, 2.2, 50.0),
    printed("pa", 1140.0, 1.5, 40.0),
    printed("tpu", 1210.0, 0.05, 20.0),
];

/// The material of a key.
pub fn find(key: &str) -> Option<&'static Material> {
    MATERIALS.iter().find(|material| material.key == key)
}
