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
const fn u(
    symbol: &'static str,
    sign: &'static str,
    spellings: &'static str,
    num: f64,
    den: f64,
) -> Unit {
    Unit::new(symbol, sign, spellings, num, den)
}

/// A dimension by its name with article, what can be typed, and its units.
const fn dimension(name: &'static str, example: &'static str, units: &'static [Unit]) -> Dimension {
    Dimension { name, example, units }
}

/// A length. Base mm.
pub(super) static LENGTH: Dimension = dimension("a length", "12.5, 1,25 cm or 1/2 in", &[
    u("mm", "mm", "mm MM millimetre millimetres millimeter millimeters", 1.0, 1.0),
    u("um", "µm", "um micron microns micrometre micrometres micrometer micrometers", 1.0, 1e3),
    u("cm", "cm", "cm centimetre centimetres centimeter centimeters", 10.0, 1.0),
    u("m", "m", "m metre metres meter meters", 1e3, 1.0),
    u("in", "in", "in inch inches \" ''", 254.0, 10.0),
    u("ft", "ft", "ft foot feet '", 3048.0, 10.0),
    u("thou", "thou", "thou mil mils", 254.0, 1e4),
]);

/// An angle. Base degree; the radian is 180/pi.
pub(super) static ANGLE: Dimension = dimension("an angle", "1.8, 1/2 or 54 arcmin", &[
    u("deg", "°", "deg ° degree degrees", 1.0, 1.0),
    u("arcmin", "arcmin", "arcmin '", 1.0, 60.0),
    u("arcsec", "arcsec", "arcsec \" ''", 1.0, 3600.0),
    u("rad", "rad", "rad radian radians", 57.295_779_513_082_32, 1.0),
    u("mrad", "mrad", "mrad", 57.295_779_513_082_32, 1e3),
    u("turn", "turn", "turn turns rev", 360.0, 1.0),
]);

/// A speed. Base mm/s.
pub(super) static SPEED: Dimension = dimension("a speed", "100, 6 m/min or 0,1 m/s", &[
    u("mm/s", "mm/s", "mm/s mm/sec MM/S", 1.0, 1.0),
    u("mm/min", "mm/min", "mm/min", 1.0, 60.0),
    u("cm/s", "cm/s", "cm/s", 10.0, 1.0),
    u("m/s", "m/s", "m/s m/sec", 1e3, 1.0),
    u("m/min", "m/min", "m/min", 1e3, 60.0),
    u("in/s", "in/s", "in/s ips \"/s", 254.0, 10.0),
    u("in/min", "in/min", "in/min ipm \"/min", 254.0, 600.0),
]);

/// An acceleration. Base mm/s²; g is standard gravity, 9.80665 m/s².
pub(super) static ACCELERATION: Dimension = dimension("an acceleration", "3000, 3 m/s² or 0,3 g", &[
    u("mm/s2", "mm/s²", "mm/s2 mm/s/s", 1.0, 1.0),
    u("cm/s2", "cm/s²", "cm/s2", 10.0, 1.0),
    u("m/s2", "m/s²", "m/s2 m/s/s", 1e3, 1.0),
    u("g", "g", "g", 980_665.0, 100.0),
    u("in/s2", "in/s²", "in/s2", 254.0, 10.0),
]);

/// A force. Base newton.
pub(super) static FORCE: Dimension = dimension("a force", "40, 4 kgf or 0,04 kN", &[
    u("N", "N", "N newton newtons", 1.0, 1.0),
    u("kN", "kN", "kN", 1e3, 1.0),
    u("mN", "mN", "mN", 1.0, 1e3),
    u("kgf", "kgf", "kgf kp", 980_665.0, 1e5),
    u("gf", "gf", "gf", 980_665.0, 1e8),
    u("lbf", "lbf", "lbf", LBF_E13, 1e13),
    u("ozf", "ozf", "ozf", LBF_E13, 16e13),
]);

/// A mass. Base gram.
pub(super) static MASS: Dimension = dimension("a mass", "0.4 kg, 400 g or 0,9 lb", &[
    u("kg", "kg", "kg kilogram kilograms kilo", 1e3, 1.0),
    u("g", "g", "g gram grams gramme grammes", 1.0, 1.0),
    u("mg", "mg", "mg", 1.0, 1e3),
    u("lb", "lb", "lb lbs", 45_359_237.0, 1e5),
    u("oz", "oz", "oz", 45_359_237.0, 16e5),
]);

/// A torque. Base newton metre; the pound-force inch is 0.0254 * 4.4482216152605 N·m.
pub(super) static TORQUE: Dimension = dimension("a torque", "0.4, 40 N·cm or 4,1 kgf·cm", &[
    u("N.m", "N·m", "Nm", 1.0, 1.0),
    u("N.cm", "N·cm", "Ncm", 1.0, 100.0),
    u("N.mm", "N·mm", "Nmm", 1.0, 1e3),
    u("mN.m", "mN·m", "mNm", 1.0, 1e3),
    u("kgf.m", "kgf·m", "kgfm kgm kpm", 980_665.0, 1e5),
    u("kgf.cm", "kgf·cm", "kgfcm kgcm kpcm", 980_665.0, 1e7),
    u("gf.cm", "gf·cm", "gfcm gcm", 980_665.0, 1e10),
    u("ozf.in", "ozf·in", "ozfin ozin inoz inozf", 1_129_848_290_276_167.0, 16e16),
    u("lbf.in", "lbf·in", "lbfin lbin inlb inlbf", 1_129_848_290_276_167.0, 1e16),
    u("lbf.ft", "lbf·ft", "lbfft lbft ftlb ftlbf", 3_389_544_870_828_501.0, 25e14),
]);

/// A moment of inertia. Base gram square centimetre.
pub(super) static INERTIA: Dimension = dimension("a moment of inertia", "54, 5.4e-6 kg·m² or 0,054 kg·cm²", &[
    u("g.cm2", "g·cm²", "gcm2", 1.0, 1.0),
    u("kg.cm2", "kg·cm²", "kgcm2", 1e3, 1.0),
    u("kg.m2", "kg·m²", "kgm2", 1e7, 1.0),
    u("g.mm2", "g·mm²", "gmm2", 1.0, 100.0),
    u("kg.mm2", "kg·mm²", "kgmm2", 10.0, 1.0),
    u("oz.in2", "oz·in²", "ozin2", 45_359_237.0 * 64_516.0, 16e9),
]);

/// A current. Base ampere.
pub(super) static CURRENT: Dimension = dimension("a current", "1.5, 1,5 A or 1500 mA", &[
    u("A", "A", "A amp amps ampere amperes", 1.0, 1.0),
    u("mA", "mA", "mA", 1.0, 1e3),
    u("uA", "µA", "uA", 1.0, 1e6),
]);

/// A voltage. Base volt.
pub(super) static VOLTAGE: Dimension = dimension("a voltage", "24, 3,3 V or 800 mV", &[
    u("V", "V", "V volt volts", 1.0, 1.0),
    u("mV", "mV", "mV", 1.0, 1e3),
    u("uV", "µV", "uV", 1.0, 1e6),
    u("kV", "kV", "kV", 1e3, 1.0),
]);

/// A resistance. Base ohm; the codes of IEC 60062 are read by the numbers.
pub(super) static RESISTANCE: Dimension = dimension("a resistance", "4700, 4k7, 4,7 kΩ or 0R11", &[
    u("ohm", "Ω", "ohm ohms", 1.0, 1.0),
    u("mohm", "mΩ", "mohm mohms milliohm milliohms", 1.0, 1e3),
    u("kohm", "kΩ", "kohm kohms", 1e3, 1.0),
    u("Mohm", "MΩ", "Mohm Mohms", 1e6, 1.0),
]);

/// An inductance. Base millihenry.
pub(super) static INDUCTANCE: Dimension = dimension("an inductance", "2.8, 2,8 mH or 2800 µH", &[
    u("mH", "mH", "mH", 1.0, 1.0),
    u("uH", "µH", "uH", 1.0, 1e3),
    u("H", "H", "H henry", 1e3, 1.0),
]);

/// A temperature. Base kelvin: t/°C + 273.15, and (t/°F + 459.67) * 5/9.
pub(super) static TEMPERATURE: Dimension = dimension("a temperature", "25, 77 °F or 298.15 K", &[
    u("C", "°C", "C degC °C celsius", 1.0, 1.0).offset_hundredths(27_315.0),
    u("K", "K", "K kelvin", 1.0, 1.0),
    u("F", "°F", "F degF °F fahrenheit", 5.0, 9.0).offset_hundredths(45_967.0),
]);

/// A difference of temperatures. Base kelvin, without offsets.
pub(super) static TEMPERATURE_DIFFERENCE: Dimension = dimension("a difference of temperatures", "2, 0,5 K or 9 °F", &[
    u("K", "K", "K kelvin C degC °C", 1.0, 1.0),
    u("F", "°F", "F degF °F", 5.0, 9.0),
]);

/// A percentage. Base per cent.
pub(super) static PART: Dimension = dimension("a percentage", "60, 60 % or 2,5", &[
    u("%", "%", "% percent pct", 1.0, 1.0),
    u("ppm", "ppm", "ppm", 1.0, 1e4),
]);

/// A number. A number without a unit.
pub(super) static NUMBER: Dimension = dimension("a number", "0.15, 0,15 or 3/20", &[u("", "", "", 1.0, 1.0)]);

/// A wire gauge. The American wire gauge, a number and not a size.
pub(super) static GAUGE: Dimension = dimension("a wire gauge", "18 AWG", &[
    u("AWG", "AWG", "AWG ga gauge", 1.0, 1.0),
]);

/// A rate. Base per second.
pub(super) static RATE: Dimension = dimension("a rate", "500, 0,5 kHz or 30000 1/min", &[
    u("1/s", "1/s", "1/s /s s-1 steps/s step/s steps/sec", 1.0, 1.0),
    u("Hz", "Hz", "Hz hertz", 1.0, 1.0),
    u("kHz", "kHz", "kHz", 1e3, 1.0),
    u("MHz", "MHz", "MHz", 1e6, 1.0),
    u("1/min", "1/min", "1/min /min", 1.0, 60.0),
    u("1/h", "1/h", "1/h /h", 1.0, 3600.0),
]);

/// A rotational speed. Base rev/min; the radian per second is 30/pi.
pub(super) static ROTATION: Dimension = dimension("a rotational speed", "300, 300 rpm or 5 rev/s", &[
    u("rev/min", "rev/min", "rev/min rpm r/min turns/min 1/min /min min-1", 1.0, 1.0),
    u("rev/s", "rev/s", "rev/s rps r/s turn/s turns/s 1/s /s", 60.0, 1.0),
    u("deg/s", "°/s", "deg/s °/s", 1.0, 6.0),
    u("rad/s", "rad/s", "rad/s", 9.549_296_585_513_72, 1.0),
]);

/// A time. Base second.
pub(super) static TIME: Dimension = dimension("a time", "10, 0,5 s or 2 min", &[
    u("s", "s", "s sec second seconds", 1.0, 1.0),
    u("ms", "ms", "ms msec", 1.0, 1e3),
    u("us", "µs", "us", 1.0, 1e6),
    u("min", "min", "min mins minute minutes", 60.0, 1.0),
    u("h", "h", "h hr hour hours", 3600.0, 1.0),
]);

/// A power. Base watt.
pub(super) static POWER: Dimension = dimension("a power", "40, 40 W or 0,04 kW", &[
    u("W", "W", "W watt watts", 1.0, 1.0),
    u("mW", "mW", "mW", 1.0, 1e3),
    u("kW", "kW", "kW", 1e3, 1.0),
]);

/// An energy. Base joule.
pub(super) static ENERGY: Dimension = dimension("an energy", "2, 0,5 J or 500 mJ", &[
    u("J", "J", "J joule joules Nm Ws", 1.0, 1.0),
    u("mJ", "mJ", "mJ", 1.0, 1e3),
    u("kJ", "kJ", "kJ", 1e3, 1.0),
    u("Wh", "Wh", "Wh", 3600.0, 1.0),
]);

/// A pressure or stress. Base pascal.
pub(super) static PRESSURE: Dimension = dimension("a pressure or stress", "205 GPa, 250 N/mm² or 1013,25 hPa", &[
    u("MPa", "MPa", "MPa N/mm2", 1e6, 1.0),
    u("GPa", "GPa", "GPa kN/mm2", 1e9, 1.0),
    u("hPa", "hPa", "hPa mbar", 100.0, 1.0),
    u("kPa", "kPa", "kPa", 1e3, 1.0),
    u("Pa", "Pa", "Pa N/m2", 1.0, 1.0),
    u("bar", "bar", "bar", 1e5, 1.0),
    u("psi", "psi", "psi lbf/in2", LBF_E13, 6_451_600_000.0),
    u("mmHg", "mmHg", "mmHg torr", 133_322_387_415.0, 1e9),
    u("inHg", "inHg", "inHg", 133_322_387_415.0 * 254.0, 1e10),
]);

/// A density. Base kg/m³.
pub(super) static DENSITY: Dimension = dimension("a density", "7850 kg/m³, 1.24 g/cm³ or 2,7 kg/l", &[
    u("kg/m3", "kg/m³", "kg/m3", 1.0, 1.0),
    u("g/cm3", "g/cm³", "g/cm3 g/cc g/ml", 1e3, 1.0),
    u("kg/l", "kg/l", "kg/l kg/dm3", 1e3, 1.0),
]);

/// A mass per length. Base g/m.
pub(super) static LINEAR_MASS: Dimension = dimension("a mass per length", "8, 8 g/m or 0,008 kg/m", &[
    u("g/m", "g/m", "g/m", 1.0, 1.0),
    u("kg/m", "kg/m", "kg/m", 1e3, 1.0),
    u("g/cm", "g/cm", "g/cm", 100.0, 1.0),
    u("mg/mm", "mg/mm", "mg/mm", 1.0, 1.0),
]);

/// A force per length. Base N/mm.
pub(super) static STIFFNESS: Dimension = dimension("a force per length", "20 N/mm, 20000 N/m or 0,02 N/µm", &[
    u("N/mm", "N/mm", "N/mm kN/m", 1.0, 1.0),
    u("N/m", "N/m", "N/m", 1.0, 1e3),
    u("N/um", "N/µm", "N/um kN/mm", 1e3, 1.0),
    u("N/cm", "N/cm", "N/cm", 1.0, 10.0),
    u("lbf/in", "lbf/in", "lbf/in lb/in", LBF_E13, 254e12),
]);

/// A tilting stiffness. Base N·m/mrad.
pub(super) static TILT_STIFFNESS: Dimension = dimension("a tilting stiffness", "0.5 N·m/mrad or 500 N·m/rad", &[
    u("N.m/mrad", "N·m/mrad", "Nm/mrad kNm/rad", 1.0, 1.0),
    u("N.m/rad", "N·m/rad", "Nm/rad", 1.0, 1e3),
]);

/// An area. Base mm².
pub(super) static AREA: Dimension = dimension("an area", "0.75 mm², 60 cm² or 0,006 m²", &[
    u("mm2", "mm²", "mm2 sqmm", 1.0, 1.0),
    u("cm2", "cm²", "cm2 sqcm", 100.0, 1.0),
    u("m2", "m²", "m2 sqm", 1e6, 1.0),
    u("in2", "in²", "in2 sqin", 64_516.0, 100.0),
]);

/// A second moment of area. Base mm⁴.
pub(super) static SECOND_MOMENT: Dimension = dimension("a second moment of area", "0.7, 0,7 cm⁴ or 7000 mm⁴", &[
    u("cm4", "cm⁴", "cm4", 1e4, 1.0),
    u("mm4", "mm⁴", "mm4", 1.0, 1.0),
    u("m4", "m⁴", "m4", 1e12, 1.0),
    u("in4", "in⁴", "in4", 4_162_314_256.0, 1e4),
]);

/// A volume rate. Base mm³/s.
pub(super) static VOLUME_RATE: Dimension = dimension("a volume rate", "11, 11 mm³/s or 0,66 ml/min", &[
    u("mm3/s", "mm³/s", "mm3/s ul/s", 1.0, 1.0),
    u("mm3/min", "mm³/min", "mm3/min ul/min", 1.0, 60.0),
    u("ml/min", "ml/min", "ml/min cm3/min cc/min", 1e3, 60.0),
    u("cm3/s", "cm³/s", "cm3/s ml/s cc/s", 1e3, 1.0),
]);

/// A mass rate. Base g/h.
pub(super) static MASS_RATE: Dimension = dimension("a mass rate", "50, 50 g/h or 0,05 kg/h", &[
    u("g/h", "g/h", "g/h g/hr", 1.0, 1.0),
    u("kg/h", "kg/h", "kg/h kg/hr", 1e3, 1.0),
    u("g/s", "g/s", "g/s", 3600.0, 1.0),
    u("g/min", "g/min", "g/min", 60.0, 1.0),
]);

/// A change of temperature with time. Base K/min.
pub(super) static TEMPERATURE_RATE: Dimension = dimension("a change of temperature with time", "60, 1 K/s or 108 °F/min", &[
    u("K/min", "K/min", "K/min C/min degC/min °C/min", 1.0, 1.0),
    u("K/s", "K/s", "K/s C/s degC/s °C/s", 60.0, 1.0),
    u("K/h", "K/h", "K/h C/h degC/h °C/h", 1.0, 60.0),
    u("F/min", "°F/min", "F/min degF/min °F/min", 5.0, 9.0),
]);

/// A heat capacity. Base J/K.
pub(super) static HEAT_CAPACITY: Dimension = dimension("a heat capacity", "12, 12 J/K or 0,012 kJ/K", &[
    u("J/K", "J/K", "J/K J/C J/degC J/°C Ws/K", 1.0, 1.0),
    u("kJ/K", "kJ/K", "kJ/K kJ/C kJ/degC kJ/°C", 1e3, 1.0),
]);

/// A specific heat capacity. Base J/(kg·K).
pub(super) static SPECIFIC_HEAT: Dimension = dimension("a specific heat capacity", "897, 0,897 J/gK or 0,897 kJ/kgK", &[
    u("J/kgK", "J/(kg·K)", "J/kgK J/kg/K J/kgC J/kg°C", 1.0, 1.0),
    u("kJ/kgK", "kJ/(kg·K)", "kJ/kgK kJ/kg/K kJ/kgC kJ/kg°C", 1e3, 1.0),
    u("J/gK", "J/(g·K)", "J/gK J/g/K J/gC J/g°C", 1e3, 1.0),
]);

/// A heat transfer coefficient. Base W/(m²·K).
pub(super) static FILM: Dimension = dimension("a heat transfer coefficient", "10, 10 W/m²K or 0,001 W/cm²K", &[
    u("W/m2K", "W/(m²·K)", "W/m2K W/m2/K W/m2C W/m2°C", 1.0, 1.0),
    u("W/cm2K", "W/(cm²·K)", "W/cm2K W/cm2/K W/cm2C W/cm2°C", 1e4, 1.0),
]);

/// A change per kelvin. Base 1/K.
pub(super) static TEMPERATURE_COEFFICIENT: Dimension = dimension("a change per kelvin", "0.0039, 0,39 %/K or 23.1 ppm/K", &[
    u("1/K", "1/K", "1/K /K K-1 1/C /C 1/°C /°C", 1.0, 1.0),
    u("%/K", "%/K", "%/K %/C %/°C", 1.0, 100.0),
    u("ppm/K", "ppm/K", "ppm/K ppm/C ppm/°C um/mK um/m/K", 1.0, 1e6),
    u("1/F", "1/°F", "1/F /F 1/°F /°F", 9.0, 5.0),
]);

/// An integral gain: a duty per kelvin and second. Base 1/(K·s).
pub(super) static INTEGRAL_GAIN: Dimension = dimension("an integral gain", "0.0004 or 0,4 1/K/ks", &[
    u("1/K/s", "1/(K·s)", "1/Ks 1/K/s /K/s 1/sK", 1.0, 1.0),
    u("1/K/ks", "1/(K·ks)", "1/Kks 1/K/ks /K/ks", 1.0, 1e3),
]);

/// A derivative gain: a duty for a kelvin per second. Base s/K.
pub(super) static DERIVATIVE_GAIN: Dimension = dimension("a derivative gain", "0.2 or 0,2 s/K", &[
    u("s/K", "s/K", "s/K s/C s/°C", 1.0, 1.0),
]);

/// A heat flow per kelvin. Base mW/K.
pub(super) static DISSIPATION: Dimension = dimension("a heat flow per kelvin", "2, 2 mW/K or 0,002 W/K", &[
    u("mW/K", "mW/K", "mW/K mW/C mW/degC mW/°C", 1.0, 1.0),
    u("W/K", "W/K", "W/K W/C W/degC W/°C", 1e3, 1.0),
]);

/// A thermal resistance. Base K/W.
pub(super) static THERMAL_RESISTANCE: Dimension = dimension("a thermal resistance", "6, 6 K/W or 6 °C/W", &[
    u("K/W", "K/W", "K/W C/W degC/W °C/W", 1.0, 1.0),
    u("K/mW", "K/mW", "K/mW C/mW degC/mW °C/mW", 1e3, 1.0),
]);

/// A power per area. Base W/cm².
pub(super) static POWER_DENSITY: Dimension = dimension("a power per area", "0.4, 0,4 W/cm² or 4000 W/m²", &[
    u("W/cm2", "W/cm²", "W/cm2", 1.0, 1.0),
    u("W/mm2", "W/mm²", "W/mm2", 100.0, 1.0),
    u("W/m2", "W/m²", "W/m2", 1.0, 1e4),
    u("W/in2", "W/in²", "W/in2", 1e4, 64_516.0),
]);

/// A power per length. Base W/m.
pub(super) static LINEAR_POWER: Dimension = dimension("a power per length", "5, 5 W/m or 500 mW/m", &[
    u("W/m", "W/m", "W/m", 1.0, 1.0),
    u("mW/m", "mW/m", "mW/m", 1.0, 1e3),
]);

/// A tilt. Base mm/m.
pub(super) static TILT: Dimension = dimension("a tilt", "0.5, 0,5 mm/m or 500 µm/m", &[
    u("mm/m", "mm/m", "mm/m", 1.0, 1.0),
    u("um/m", "µm/m", "um/m", 1.0, 1e3),
    u("mm/100mm", "mm per 100 mm", "mm/100mm", 10.0, 1.0),
]);

/// A number per length. Base 1/mm.
pub(super) static PER_LENGTH: Dimension = dimension("a number per length", "80, 80 steps/mm or 80000 1/m", &[
    u("1/mm", "1/mm", "1/mm /mm mm-1 steps/mm step/mm", 1.0, 1.0),
    u("1/cm", "1/cm", "1/cm /cm steps/cm", 1.0, 10.0),
    u("1/m", "1/m", "1/m /m steps/m", 1.0, 1e3),
    u("1/in", "1/in", "1/in /in steps/in", 10.0, 254.0),
]);

/// A number per angle. Base 1/°.
pub(super) static PER_ANGLE: Dimension = dimension("a number per angle", "17.8, 17,8 steps/° or 6400 steps/rev", &[
    u("1/deg", "1/°", "1/deg /deg 1/° /° steps/deg step/deg steps/°", 1.0, 1.0),
    u("1/rev", "1/rev", "1/rev /rev 1/turn /turn steps/rev steps/turn", 1.0, 360.0),
    u("1/rad", "1/rad", "1/rad /rad", 0.017_453_292_519_943_295, 1.0),
]);

/// A torque per current. Base N·m/A.
pub(super) static TORQUE_CONSTANT: Dimension = dimension("a torque per current", "0.2, 0,2 N·m/A or 20 N·cm/A", &[
    u("N.m/A", "N·m/A", "Nm/A", 1.0, 1.0),
    u("N.cm/A", "N·cm/A", "Ncm/A", 1.0, 100.0),
    u("mN.m/A", "mN·m/A", "mNm/A", 1.0, 1e3),
]);

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
    &INTEGRAL_GAIN,
    &DERIVATIVE_GAIN,
    &DISSIPATION,
    &THERMAL_RESISTANCE,
    &POWER_DENSITY,
    &LINEAR_POWER,
    &TILT,
    &PER_LENGTH,
    &PER_ANGLE,
    &TORQUE_CONSTANT,
];
