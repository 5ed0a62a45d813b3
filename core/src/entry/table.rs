//! The table of units.
//!
//! # Source
//! Factors: NIST Special Publication 811 (2008), Appendix B.8 and B.9; those marked exact there are exact here: the inch
//! 25.4 mm, the pound 0.45359237 kg, the kilogram-force 9.80665 N, hence the pound-force 4.4482216152605 N. The millimetre
//! of mercury 133.322387415 Pa (conventional) is from memory.

use super::unit::{Dimension, Unit};

/// The pound-force, 4.4482216152605 N, times 10^13: whole, so that what follows from it stays exact.
const LBF_E13: f64 = 44_482_216_152_605.0;

/// A unit of num/den of its dimension's base.
const fn unit(
    symbol: &'static str,
    sign: &'static str,
    spellings: &'static [&'static str],
    num: f64,
    den: f64,
) -> Unit {
    Unit::new(symbol, sign, spellings, num, den)
}

/// A length. Base mm.
pub(super) static LENGTH: Dimension = Dimension {
    name: "a length",
    example: "300, 30 cm or 0,3 m",
    units: &[
        unit(
            "mm",
            "mm",
            &[
                "mm",
                "MM",
                "millimetre",
                "millimetres",
                "millimeter",
                "millimeters",
            ],
            1.0,
            1.0,
        ),
        unit(
            "um",
            "µm",
            &[
                "um",
                "micron",
                "microns",
                "micrometre",
                "micrometres",
                "micrometer",
                "micrometers",
            ],
            1.0,
            1e3,
        ),
        unit(
            "cm",
            "cm",
            &[
                "cm",
                "centimetre",
                "centimetres",
                "centimeter",
                "centimeters",
            ],
            10.0,
            1.0,
        ),
        unit(
            "m",
            "m",
            &["m", "metre", "metres", "meter", "meters"],
            1e3,
            1.0,
        ),
        unit(
            "in",
            "in",
            &["in", "inch", "inches", "\"", "''"],
            254.0,
            10.0,
        ),
        unit("ft", "ft", &["ft", "foot", "feet", "'"], 3048.0, 10.0),
        unit("thou", "thou", &["thou", "mil", "mils"], 254.0, 1e4),
    ],
};

/// An angle. Base degree; the radian is 180/pi.
pub(super) static ANGLE: Dimension = Dimension {
    name: "an angle",
    example: "1.8, 1/2 or 54 arcmin",
    units: &[
        unit("deg", "°", &["deg", "°", "degree", "degrees"], 1.0, 1.0),
        unit("arcmin", "arcmin", &["arcmin", "'"], 1.0, 60.0),
        unit("arcsec", "arcsec", &["arcsec", "\"", "''"], 1.0, 3600.0),
        unit(
            "rad",
            "rad",
            &["rad", "radian", "radians"],
            57.295_779_513_082_32,
            1.0,
        ),
        unit("mrad", "mrad", &["mrad"], 57.295_779_513_082_32, 1e3),
        unit("turn", "turn", &["turn", "turns", "rev"], 360.0, 1.0),
    ],
};

/// A speed. Base mm/s.
pub(super) static SPEED: Dimension = Dimension {
    name: "a speed",
    example: "100, 6 m/min or 0,1 m/s",
    units: &[
        unit("mm/s", "mm/s", &["mm/s", "mm/sec", "MM/S"], 1.0, 1.0),
        unit("mm/min", "mm/min", &["mm/min"], 1.0, 60.0),
        unit("cm/s", "cm/s", &["cm/s"], 10.0, 1.0),
        unit("m/s", "m/s", &["m/s", "m/sec"], 1e3, 1.0),
        unit("m/min", "m/min", &["m/min"], 1e3, 60.0),
        unit("in/s", "in/s", &["in/s", "ips", "\"/s"], 254.0, 10.0),
        unit(
            "in/min",
            "in/min",
            &["in/min", "ipm", "\"/min"],
            254.0,
            600.0,
        ),
    ],
};

/// An acceleration. Base mm/s²; g is standard gravity, 9.80665 m/s².
pub(super) static ACCELERATION: Dimension = Dimension {
    name: "an acceleration",
    example: "3000, 3 m/s² or 0,3 g",
    units: &[
        unit("mm/s2", "mm/s²", &["mm/s2", "mm/s/s"], 1.0, 1.0),
        unit("cm/s2", "cm/s²", &["cm/s2"], 10.0, 1.0),
        unit("m/s2", "m/s²", &["m/s2", "m/s/s"], 1e3, 1.0),
        unit("g", "g", &["g"], 980_665.0, 100.0),
        unit("in/s2", "in/s²", &["in/s2"], 254.0, 10.0),
    ],
};

/// A force. Base newton.
pub(super) static FORCE: Dimension = Dimension {
    name: "a force",
    example: "40, 4 kgf or 0,04 kN",
    units: &[
        unit("N", "N", &["N", "newton", "newtons"], 1.0, 1.0),
        unit("kN", "kN", &["kN"], 1e3, 1.0),
        unit("mN", "mN", &["mN"], 1.0, 1e3),
        unit("kgf", "kgf", &["kgf", "kp"], 980_665.0, 1e5),
        unit("gf", "gf", &["gf"], 980_665.0, 1e8),
        unit("lbf", "lbf", &["lbf"], LBF_E13, 1e13),
        unit("ozf", "ozf", &["ozf"], LBF_E13, 16e13),
    ],
};

/// A mass. Base gram.
pub(super) static MASS: Dimension = Dimension {
    name: "a mass",
    example: "0.4 kg, 400 g or 0,9 lb",
    units: &[
        unit(
            "kg",
            "kg",
            &["kg", "kilogram", "kilograms", "kilo"],
            1e3,
            1.0,
        ),
        unit(
            "g",
            "g",
            &["g", "gram", "grams", "gramme", "grammes"],
            1.0,
            1.0,
        ),
        unit("mg", "mg", &["mg"], 1.0, 1e3),
        unit("lb", "lb", &["lb", "lbs"], 45_359_237.0, 1e5),
        unit("oz", "oz", &["oz"], 45_359_237.0, 16e5),
    ],
};

/// A torque. Base newton metre; the pound-force inch is 0.0254 * 4.4482216152605 N·m.
pub(super) static TORQUE: Dimension = Dimension {
    name: "a torque",
    example: "0.4, 40 N·cm or 4,1 kgf·cm",
    units: &[
        unit("N.m", "N·m", &["Nm"], 1.0, 1.0),
        unit("N.cm", "N·cm", &["Ncm"], 1.0, 100.0),
        unit("N.mm", "N·mm", &["Nmm"], 1.0, 1e3),
        unit("mN.m", "mN·m", &["mNm"], 1.0, 1e3),
        unit("kgf.m", "kgf·m", &["kgfm", "kgm", "kpm"], 980_665.0, 1e5),
        unit(
            "kgf.cm",
            "kgf·cm",
            &["kgfcm", "kgcm", "kpcm"],
            980_665.0,
            1e7,
        ),
        unit("gf.cm", "gf·cm", &["gfcm", "gcm"], 980_665.0, 1e10),
        unit(
            "ozf.in",
            "ozf·in",
            &["ozfin", "ozin", "inoz", "inozf"],
            1_129_848_290_276_167.0,
            16e16,
        ),
        unit(
            "lbf.in",
            "lbf·in",
            &["lbfin", "lbin", "inlb", "inlbf"],
            1_129_848_290_276_167.0,
            1e16,
        ),
        unit(
            "lbf.ft",
            "lbf·ft",
            &["lbfft", "lbft", "ftlb", "ftlbf"],
            3_389_544_870_828_501.0,
            25e14,
        ),
    ],
};

/// A moment of inertia. Base gram square centimetre.
pub(super) static INERTIA: Dimension = Dimension {
    name: "a moment of inertia",
    example: "54, 5.4e-6 kg·m² or 0,054 kg·cm²",
    units: &[
        unit("g.cm2", "g·cm²", &["gcm2"], 1.0, 1.0),
        unit("kg.cm2", "kg·cm²", &["kgcm2"], 1e3, 1.0),
        unit("kg.m2", "kg·m²", &["kgm2"], 1e7, 1.0),
        unit("g.mm2", "g·mm²", &["gmm2"], 1.0, 100.0),
        unit("kg.mm2", "kg·mm²", &["kgmm2"], 10.0, 1.0),
        unit(
            "oz.in2",
            "oz·in²",
            &["ozin2"],
            45_359_237.0 * 64_516.0,
            16e9,
        ),
    ],
};

/// A current. Base ampere.
pub(super) static CURRENT: Dimension = Dimension {
    name: "a current",
    example: "1.5, 1,5 A or 1500 mA",
    units: &[
        unit(
            "A",
            "A",
            &["A", "amp", "amps", "ampere", "amperes"],
            1.0,
            1.0,
        ),
        unit("mA", "mA", &["mA"], 1.0, 1e3),
        unit("uA", "µA", &["uA"], 1.0, 1e6),
    ],
};

/// A voltage. Base volt.
pub(super) static VOLTAGE: Dimension = Dimension {
    name: "a voltage",
    example: "24, 3,3 V or 800 mV",
    units: &[
        unit("V", "V", &["V", "volt", "volts"], 1.0, 1.0),
        unit("mV", "mV", &["mV"], 1.0, 1e3),
        unit("uV", "µV", &["uV"], 1.0, 1e6),
        unit("kV", "kV", &["kV"], 1e3, 1.0),
    ],
};

/// A resistance. Base ohm; the codes of IEC 60062 are read by the numbers.
pub(super) static RESISTANCE: Dimension = Dimension {
    name: "a resistance",
    example: "4700, 4k7, 4,7 kΩ or 0R11",
    units: &[
        unit("ohm", "Ω", &["ohm", "ohms"], 1.0, 1.0),
        unit(
            "mohm",
            "mΩ",
            &["mohm", "mohms", "milliohm", "milliohms"],
            1.0,
            1e3,
        ),
        unit("kohm", "kΩ", &["kohm", "kohms"], 1e3, 1.0),
        unit("Mohm", "MΩ", &["Mohm", "Mohms"], 1e6, 1.0),
    ],
};

/// An inductance. Base millihenry.
pub(super) static INDUCTANCE: Dimension = Dimension {
    name: "an inductance",
    example: "2.8, 2,8 mH or 2800 µH",
    units: &[
        unit("mH", "mH", &["mH"], 1.0, 1.0),
        unit("uH", "µH", &["uH"], 1.0, 1e3),
        unit("H", "H", &["H", "henry"], 1e3, 1.0),
    ],
};

/// A temperature. Base kelvin: t/°C + 273.15, and (t/°F + 459.67) * 5/9.
pub(super) static TEMPERATURE: Dimension = Dimension {
    name: "a temperature",
    example: "210, 68 °F or 293 K",
    units: &[
        unit("C", "°C", &["C", "degC", "°C", "celsius"], 1.0, 1.0).offset_hundredths(27_315.0),
        unit("K", "K", &["K", "kelvin"], 1.0, 1.0),
        unit("F", "°F", &["F", "degF", "°F", "fahrenheit"], 5.0, 9.0).offset_hundredths(45_967.0),
    ],
};

/// A difference of temperatures. Base kelvin, without offsets.
pub(super) static TEMPERATURE_DIFFERENCE: Dimension = Dimension {
    name: "a difference of temperatures",
    example: "2, 0,5 K or 9 °F",
    units: &[
        unit("K", "K", &["K", "kelvin", "C", "degC", "°C"], 1.0, 1.0),
        unit("F", "°F", &["F", "degF", "°F"], 5.0, 9.0),
    ],
};

/// A percentage. Base per cent.
pub(super) static PART: Dimension = Dimension {
    name: "a percentage",
    example: "60, 60 % or 2,5",
    units: &[
        unit("%", "%", &["%", "percent", "pct"], 1.0, 1.0),
        unit("ppm", "ppm", &["ppm"], 1.0, 1e4),
    ],
};

/// A number. A number without a unit.
pub(super) static NUMBER: Dimension = Dimension {
    name: "a number",
    example: "0.15, 0,15 or 3/20",
    units: &[unit("", "", &[], 1.0, 1.0)],
};

/// A wire gauge. The American wire gauge, a number and not a size.
pub(super) static GAUGE: Dimension = Dimension {
    name: "a wire gauge",
    example: "18 AWG",
    units: &[unit("AWG", "AWG", &["AWG", "ga", "gauge"], 1.0, 1.0)],
};

/// A rate. Base per second.
pub(super) static RATE: Dimension = Dimension {
    name: "a rate",
    example: "500, 0,5 kHz or 30000 1/min",
    units: &[
        unit(
            "1/s",
            "1/s",
            &["1/s", "/s", "s-1", "steps/s", "step/s", "steps/sec"],
            1.0,
            1.0,
        ),
        unit("Hz", "Hz", &["Hz", "hertz"], 1.0, 1.0),
        unit("kHz", "kHz", &["kHz"], 1e3, 1.0),
        unit("MHz", "MHz", &["MHz"], 1e6, 1.0),
        unit("1/min", "1/min", &["1/min", "/min"], 1.0, 60.0),
        unit("1/h", "1/h", &["1/h", "/h"], 1.0, 3600.0),
    ],
};

/// A rotational speed. Base rev/min; the radian per second is 30/pi.
pub(super) static ROTATION: Dimension = Dimension {
    name: "a rotational speed",
    example: "300, 300 rpm or 5 rev/s",
    units: &[
        unit(
            "rev/min",
            "rev/min",
            &[
                "rev/min",
                "rpm",
                "r/min",
                "turns/min",
                "1/min",
                "/min",
                "min-1",
            ],
            1.0,
            1.0,
        ),
        unit(
            "rev/s",
            "rev/s",
            &["rev/s", "rps", "r/s", "turn/s", "turns/s", "1/s", "/s"],
            60.0,
            1.0,
        ),
        unit("deg/s", "°/s", &["deg/s", "°/s"], 1.0, 6.0),
        unit("rad/s", "rad/s", &["rad/s"], 9.549_296_585_513_72, 1.0),
    ],
};

/// A time. Base second.
pub(super) static TIME: Dimension = Dimension {
    name: "a time",
    example: "10, 0,5 s or 2 min",
    units: &[
        unit("s", "s", &["s", "sec", "second", "seconds"], 1.0, 1.0),
        unit("ms", "ms", &["ms", "msec"], 1.0, 1e3),
        unit("us", "µs", &["us"], 1.0, 1e6),
        unit(
            "min",
            "min",
            &["min", "mins", "minute", "minutes"],
            60.0,
            1.0,
        ),
        unit("h", "h", &["h", "hr", "hour", "hours"], 3600.0, 1.0),
    ],
};

/// A power. Base watt.
pub(super) static POWER: Dimension = Dimension {
    name: "a power",
    example: "40, 40 W or 0,04 kW",
    units: &[
        unit("W", "W", &["W", "watt", "watts"], 1.0, 1.0),
        unit("mW", "mW", &["mW"], 1.0, 1e3),
        unit("kW", "kW", &["kW"], 1e3, 1.0),
    ],
};

/// An energy. Base joule.
pub(super) static ENERGY: Dimension = Dimension {
    name: "an energy",
    example: "2, 0,5 J or 500 mJ",
    units: &[
        unit("J", "J", &["J", "joule", "joules", "Nm", "Ws"], 1.0, 1.0),
        unit("mJ", "mJ", &["mJ"], 1.0, 1e3),
        unit("kJ", "kJ", &["kJ"], 1e3, 1.0),
        unit("Wh", "Wh", &["Wh"], 3600.0, 1.0),
    ],
};

/// A pressure or stress. Base pascal.
pub(super) static PRESSURE: Dimension = Dimension {
    name: "a pressure or stress",
    example: "205 GPa, 250 N/mm² or 1013,25 hPa",
    units: &[
        unit("MPa", "MPa", &["MPa", "N/mm2"], 1e6, 1.0),
        unit("GPa", "GPa", &["GPa", "kN/mm2"], 1e9, 1.0),
        unit("hPa", "hPa", &["hPa", "mbar"], 100.0, 1.0),
        unit("kPa", "kPa", &["kPa"], 1e3, 1.0),
        unit("Pa", "Pa", &["Pa", "N/m2"], 1.0, 1.0),
        unit("bar", "bar", &["bar"], 1e5, 1.0),
        unit("psi", "psi", &["psi", "lbf/in2"], LBF_E13, 6_451_600_000.0),
        unit("mmHg", "mmHg", &["mmHg", "torr"], 133_322_387_415.0, 1e9),
        unit("inHg", "inHg", &["inHg"], 133_322_387_415.0 * 254.0, 1e10),
    ],
};

/// A density. Base kg/m³.
pub(super) static DENSITY: Dimension = Dimension {
    name: "a density",
    example: "7850 kg/m³, 1.24 g/cm³ or 2,7 kg/l",
    units: &[
        unit("kg/m3", "kg/m³", &["kg/m3"], 1.0, 1.0),
        unit("g/cm3", "g/cm³", &["g/cm3", "g/cc", "g/ml"], 1e3, 1.0),
        unit("kg/l", "kg/l", &["kg/l", "kg/dm3"], 1e3, 1.0),
    ],
};

/// A mass per length. Base g/m.
pub(super) static LINEAR_MASS: Dimension = Dimension {
    name: "a mass per length",
    example: "8, 8 g/m or 0,008 kg/m",
    units: &[
        unit("g/m", "g/m", &["g/m"], 1.0, 1.0),
        unit("kg/m", "kg/m", &["kg/m"], 1e3, 1.0),
        unit("g/cm", "g/cm", &["g/cm"], 100.0, 1.0),
        unit("mg/mm", "mg/mm", &["mg/mm"], 1.0, 1.0),
    ],
};

/// A force per length. Base N/mm.
pub(super) static STIFFNESS: Dimension = Dimension {
    name: "a force per length",
    example: "20 N/mm, 20000 N/m or 0,02 N/µm",
    units: &[
        unit("N/mm", "N/mm", &["N/mm", "kN/m"], 1.0, 1.0),
        unit("N/m", "N/m", &["N/m"], 1.0, 1e3),
        unit("N/um", "N/µm", &["N/um", "kN/mm"], 1e3, 1.0),
        unit("N/cm", "N/cm", &["N/cm"], 1.0, 10.0),
        unit("lbf/in", "lbf/in", &["lbf/in", "lb/in"], LBF_E13, 254e12),
    ],
};

/// A tilting stiffness. Base N·m/mrad.
pub(super) static TILT_STIFFNESS: Dimension = Dimension {
    name: "a tilting stiffness",
    example: "0.5 N·m/mrad or 500 N·m/rad",
    units: &[
        unit("N.m/mrad", "N·m/mrad", &["Nm/mrad", "kNm/rad"], 1.0, 1.0),
        unit("N.m/rad", "N·m/rad", &["Nm/rad"], 1.0, 1e3),
    ],
};

/// An area. Base mm².
pub(super) static AREA: Dimension = Dimension {
    name: "an area",
    example: "0.75 mm², 60 cm² or 0,006 m²",
    units: &[
        unit("mm2", "mm²", &["mm2", "sqmm"], 1.0, 1.0),
        unit("cm2", "cm²", &["cm2", "sqcm"], 100.0, 1.0),
        unit("m2", "m²", &["m2", "sqm"], 1e6, 1.0),
        unit("in2", "in²", &["in2", "sqin"], 64_516.0, 100.0),
    ],
};

/// A second moment of area. Base mm⁴.
pub(super) static SECOND_MOMENT: Dimension = Dimension {
    name: "a second moment of area",
    example: "0.7, 0,7 cm⁴ or 7000 mm⁴",
    units: &[
        unit("cm4", "cm⁴", &["cm4"], 1e4, 1.0),
        unit("mm4", "mm⁴", &["mm4"], 1.0, 1.0),
        unit("m4", "m⁴", &["m4"], 1e12, 1.0),
        unit("in4", "in⁴", &["in4"], 4_162_314_256.0, 1e4),
    ],
};

/// A volume rate. Base mm³/s.
pub(super) static VOLUME_RATE: Dimension = Dimension {
    name: "a volume rate",
    example: "11, 11 mm³/s or 0,66 ml/min",
    units: &[
        unit("mm3/s", "mm³/s", &["mm3/s", "ul/s"], 1.0, 1.0),
        unit("mm3/min", "mm³/min", &["mm3/min", "ul/min"], 1.0, 60.0),
        unit(
            "ml/min",
            "ml/min",
            &["ml/min", "cm3/min", "cc/min"],
            1e3,
            60.0,
        ),
        unit("cm3/s", "cm³/s", &["cm3/s", "ml/s", "cc/s"], 1e3, 1.0),
    ],
};

/// A mass rate. Base g/h.
pub(super) static MASS_RATE: Dimension = Dimension {
    name: "a mass rate",
    example: "50, 50 g/h or 0,05 kg/h",
    units: &[
        unit("g/h", "g/h", &["g/h", "g/hr"], 1.0, 1.0),
        unit("kg/h", "kg/h", &["kg/h", "kg/hr"], 1e3, 1.0),
        unit("g/s", "g/s", &["g/s"], 3600.0, 1.0),
        unit("g/min", "g/min", &["g/min"], 60.0, 1.0),
    ],
};

/// A change of temperature with time. Base K/min.
pub(super) static TEMPERATURE_RATE: Dimension = Dimension {
    name: "a change of temperature with time",
    example: "60, 1 K/s or 108 °F/min",
    units: &[
        unit(
            "K/min",
            "K/min",
            &["K/min", "C/min", "degC/min", "°C/min"],
            1.0,
            1.0,
        ),
        unit("K/s", "K/s", &["K/s", "C/s", "degC/s", "°C/s"], 60.0, 1.0),
        unit("K/h", "K/h", &["K/h", "C/h", "degC/h", "°C/h"], 1.0, 60.0),
        unit(
            "F/min",
            "°F/min",
            &["F/min", "degF/min", "°F/min"],
            5.0,
            9.0,
        ),
    ],
};

/// A heat capacity. Base J/K.
pub(super) static HEAT_CAPACITY: Dimension = Dimension {
    name: "a heat capacity",
    example: "12, 12 J/K or 0,012 kJ/K",
    units: &[
        unit(
            "J/K",
            "J/K",
            &["J/K", "J/C", "J/degC", "J/°C", "Ws/K"],
            1.0,
            1.0,
        ),
        unit(
            "kJ/K",
            "kJ/K",
            &["kJ/K", "kJ/C", "kJ/degC", "kJ/°C"],
            1e3,
            1.0,
        ),
    ],
};

/// A specific heat capacity. Base J/(kg·K).
pub(super) static SPECIFIC_HEAT: Dimension = Dimension {
    name: "a specific heat capacity",
    example: "897, 0,897 J/gK or 0,897 kJ/kgK",
    units: &[
        unit(
            "J/kgK",
            "J/(kg·K)",
            &["J/kgK", "J/kg/K", "J/kgC", "J/kg°C"],
            1.0,
            1.0,
        ),
        unit(
            "kJ/kgK",
            "kJ/(kg·K)",
            &["kJ/kgK", "kJ/kg/K", "kJ/kgC", "kJ/kg°C"],
            1e3,
            1.0,
        ),
        unit(
            "J/gK",
            "J/(g·K)",
            &["J/gK", "J/g/K", "J/gC", "J/g°C"],
            1e3,
            1.0,
        ),
    ],
};

/// A heat transfer coefficient. Base W/(m²·K).
pub(super) static FILM: Dimension = Dimension {
    name: "a heat transfer coefficient",
    example: "10, 10 W/m²K or 0,001 W/cm²K",
    units: &[
        unit(
            "W/m2K",
            "W/(m²·K)",
            &["W/m2K", "W/m2/K", "W/m2C", "W/m2°C"],
            1.0,
            1.0,
        ),
        unit(
            "W/cm2K",
            "W/(cm²·K)",
            &["W/cm2K", "W/cm2/K", "W/cm2C", "W/cm2°C"],
            1e4,
            1.0,
        ),
    ],
};

/// A change per kelvin. Base 1/K.
pub(super) static TEMPERATURE_COEFFICIENT: Dimension = Dimension {
    name: "a change per kelvin",
    example: "0.0039, 0,39 %/K or 23.1 ppm/K",
    units: &[
        unit(
            "1/K",
            "1/K",
            &["1/K", "/K", "K-1", "1/C", "/C", "1/°C", "/°C"],
            1.0,
            1.0,
        ),
        unit("%/K", "%/K", &["%/K", "%/C", "%/°C"], 1.0, 100.0),
        unit(
            "ppm/K",
            "ppm/K",
            &["ppm/K", "ppm/C", "ppm/°C", "um/mK", "um/m/K"],
            1.0,
            1e6,
        ),
        unit("1/F", "1/°F", &["1/F", "/F", "1/°F", "/°F"], 9.0, 5.0),
    ],
};

/// A heat flow per kelvin. Base mW/K.
pub(super) static DISSIPATION: Dimension = Dimension {
    name: "a heat flow per kelvin",
    example: "2, 2 mW/K or 0,002 W/K",
    units: &[
        unit(
            "mW/K",
            "mW/K",
            &["mW/K", "mW/C", "mW/degC", "mW/°C"],
            1.0,
            1.0,
        ),
        unit("W/K", "W/K", &["W/K", "W/C", "W/degC", "W/°C"], 1e3, 1.0),
    ],
};

/// A thermal resistance. Base K/W.
pub(super) static THERMAL_RESISTANCE: Dimension = Dimension {
    name: "a thermal resistance",
    example: "6, 6 K/W or 6 °C/W",
    units: &[
        unit("K/W", "K/W", &["K/W", "C/W", "degC/W", "°C/W"], 1.0, 1.0),
        unit(
            "K/mW",
            "K/mW",
            &["K/mW", "C/mW", "degC/mW", "°C/mW"],
            1e3,
            1.0,
        ),
    ],
};

/// A power per area. Base W/cm².
pub(super) static POWER_DENSITY: Dimension = Dimension {
    name: "a power per area",
    example: "0.4, 0,4 W/cm² or 4000 W/m²",
    units: &[
        unit("W/cm2", "W/cm²", &["W/cm2"], 1.0, 1.0),
        unit("W/mm2", "W/mm²", &["W/mm2"], 100.0, 1.0),
        unit("W/m2", "W/m²", &["W/m2"], 1.0, 1e4),
        unit("W/in2", "W/in²", &["W/in2"], 1e4, 64_516.0),
    ],
};

/// A power per length. Base W/m.
pub(super) static LINEAR_POWER: Dimension = Dimension {
    name: "a power per length",
    example: "5, 5 W/m or 500 mW/m",
    units: &[
        unit("W/m", "W/m", &["W/m"], 1.0, 1.0),
        unit("mW/m", "mW/m", &["mW/m"], 1.0, 1e3),
    ],
};

/// A tilt. Base mm/m.
pub(super) static TILT: Dimension = Dimension {
    name: "a tilt",
    example: "0.5, 0,5 mm/m or 500 µm/m",
    units: &[
        unit("mm/m", "mm/m", &["mm/m"], 1.0, 1.0),
        unit("um/m", "µm/m", &["um/m"], 1.0, 1e3),
        unit("mm/100mm", "mm per 100 mm", &["mm/100mm"], 10.0, 1.0),
    ],
};

/// A number per length. Base 1/mm.
pub(super) static PER_LENGTH: Dimension = Dimension {
    name: "a number per length",
    example: "80, 80 steps/mm or 80000 1/m",
    units: &[
        unit(
            "1/mm",
            "1/mm",
            &["1/mm", "/mm", "mm-1", "steps/mm", "step/mm"],
            1.0,
            1.0,
        ),
        unit("1/cm", "1/cm", &["1/cm", "/cm", "steps/cm"], 1.0, 10.0),
        unit("1/m", "1/m", &["1/m", "/m", "steps/m"], 1.0, 1e3),
        unit("1/in", "1/in", &["1/in", "/in", "steps/in"], 10.0, 254.0),
    ],
};

/// A number per angle. Base 1/°.
pub(super) static PER_ANGLE: Dimension = Dimension {
    name: "a number per angle",
    example: "17.8, 17,8 steps/° or 6400 steps/rev",
    units: &[
        unit(
            "1/deg",
            "1/°",
            &[
                "1/deg",
                "/deg",
                "1/°",
                "/°",
                "steps/deg",
                "step/deg",
                "steps/°",
            ],
            1.0,
            1.0,
        ),
        unit(
            "1/rev",
            "1/rev",
            &[
                "1/rev",
                "/rev",
                "1/turn",
                "/turn",
                "steps/rev",
                "steps/turn",
            ],
            1.0,
            360.0,
        ),
        unit(
            "1/rad",
            "1/rad",
            &["1/rad", "/rad"],
            0.017_453_292_519_943_295,
            1.0,
        ),
    ],
};

/// A torque per current. Base N·m/A.
pub(super) static TORQUE_CONSTANT: Dimension = Dimension {
    name: "a torque per current",
    example: "0.2, 0,2 N·m/A or 20 N·cm/A",
    units: &[
        unit("N.m/A", "N·m/A", &["Nm/A"], 1.0, 1.0),
        unit("N.cm/A", "N·cm/A", &["Ncm/A"], 1.0, 100.0),
        unit("mN.m/A", "mN·m/A", &["mNm/A"], 1.0, 1e3),
    ],
};

/// Every dimension.
pub(super) static DIMENSIONS: &[&Dimension] = &[
    &LENGTH,
    &ANGLE,
    &SPEED,
    &ACCELERATION,
    &FORCE,
    &MASS,
    &TORQUE,
    &INERTIA,
    &CURRENT,
    &VOLTAGE,
    &RESISTANCE,
    &INDUCTANCE,
    &TEMPERATURE,
    &TEMPERATURE_DIFFERENCE,
    &PART,
    &NUMBER,
    &GAUGE,
    &RATE,
    &ROTATION,
    &TIME,
    &POWER,
    &ENERGY,
    &PRESSURE,
    &DENSITY,
    &LINEAR_MASS,
    &STIFFNESS,
    &TILT_STIFFNESS,
    &AREA,
    &SECOND_MOMENT,
    &VOLUME_RATE,
    &MASS_RATE,
    &TEMPERATURE_RATE,
    &HEAT_CAPACITY,
    &SPECIFIC_HEAT,
    &FILM,
    &TEMPERATURE_COEFFICIENT,
    &DISSIPATION,
    &THERMAL_RESISTANCE,
    &POWER_DENSITY,
    &LINEAR_POWER,
    &TILT,
    &PER_LENGTH,
    &PER_ANGLE,
    &TORQUE_CONSTANT,
];
