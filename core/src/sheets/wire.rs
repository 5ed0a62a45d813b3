//! `wire`: conductor, drop, fuse.

use super::declare::{Answer, Caution, Check, Field, Sheet, Subject};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::entry::unit::{A, AWG, CELSIUS, M, MM2, OHM, PERCENT, V, W_M};
use crate::power::wire::{
    BLADE_MOST_V, COLDEST_C, THICKEST_AWG, THINNEST_AWG, area_for_drop_mm2, awg_area_mm2,
    blade_fuse_a, class_5_ohm_per_m, copper_ohm_per_m, smallest_size_mm2, thinnest_awg,
};

const FIELDS: &[Field] = &[
    Field::number("amps", "Current", A)
        .at_least(0.0, "the size counts, not the sense")
        .at_most(1e6, "no conductor carries more")
        .usual(0.01, 60.0, "conductors of such machines")
        .help("the most that flows for longer than a moment"),
    Field::number("volts", "Supply voltage", V)
        .above(0.0, "a supply has a voltage")
        .at_most(1e6, "no supply gives more")
        .usual(3.0, 250.0, "supplies of such machines"),
    Field::number("length", "Length one way", M)
        .at_least(0.0, "a length has a size")
        .at_most(1e5, "no machine is that far from its supply")
        .help("from the supply to the load; the way back is counted here"),
    Field::either_with_unit("gauge", "Conductor size", &[AWG, MM2])
        .help("18 AWG or 0.75 mm², with the unit"),
    Field::number("temp", "Conductor temperature", CELSIUS)
        .default("20")
        .at_least(COLDEST_C, "copper's straight line ends there")
        .at_most(1084.0, "copper melts")
        .usual(-40.0, 105.0, "insulation of such machines")
        .help("warm copper resists more"),
    Field::number("drop_max", "Drop that may be lost", PERCENT)
        .default("3")
        .above(0.0, "every conductor loses something")
        .at_most(100.0, "there is no more to lose"),
    Field::number("ampacity", "Ampacity by the local code", A)
        .optional()
        .above(0.0, "a conductor carries something")
        .at_most(1e6, "no conductor carries more")
        .help("from your code's table for this insulation, bundle and temperature; Layshaft has none of its own"),
    Field::number("supply_rating", "Current rating of the supply", A)
        .optional()
        .above(0.0, "a supply gives something")
        .at_most(1e6, "no supply gives more"),
];

const COPPER: &str =
    "IEC 60028: 0.017241 Ω·mm²/m at 20 °C, 0.00393 1/K; nominal cross-section, out and back";
const GAUGE_LAW: &str = "ASTM B258, law of the gauge; unrounded";
const CLASS_5: &str = "IEC 60228, Table 3, class 5, plain copper; IEC 60028 for the temperature";

const ANSWERS: &[Answer] = &[
    Answer::number("area", "Cross-section", MM2)
        .significant(4)
        .formula(
            "{gauge}, where a gauge n has π ÷ 4 × (0.127 mm × 92^((36 − n) ÷ 39))²",
            GAUGE_LAW,
        ),
    Answer::number("resistance", "Resistance, both ways", OHM)
        .significant(4)
        .formula(
            "2 × {length} × 0.017241 × (1 + 0.00393 × ({temp} − 20 °C)) ÷ {area}",
            COPPER,
        ),
    Answer::number("resistance_max", "Resistance at the most, both ways", OHM)
        .significant(4)
        .formula(
            "2 × {length} × the standard's most for {gauge} × (1 + 0.00393 × ({temp} − 20 °C))",
            CLASS_5,
        ),
    Answer::number("drop", "Voltage drop", V)
        .significant(3)
        .headline()
        .formula("{amps} × {resistance}", "Ohm's law"),
    Answer::number("drop_pct", "Voltage drop, of the supply", PERCENT)
        .significant(3)
        .headline()
        .formula("{drop} ÷ {volts}", "Definition"),
    Answer::number("heat", "Heat of a metre of one conductor", W_M)
        .significant(3)
        .formula(
            "{amps}² × 0.017241 × (1 + 0.00393 × ({temp} − 20 °C)) ÷ {area}",
            "Joule's law",
        ),
    Answer::number("gauge_min", "Smallest metric size, by the drop alone", MM2)
        .significant(3)
        .formula(
            "the next IEC 60228 size over 2 × {length} × 0.017241 × (1 + 0.00393 × ({temp} − 20 °C)) × {amps} ÷ ({drop_max} × {volts})",
            "IEC 60228, Table 3; Ohm's law",
        ),
    Answer::number("awg_min", "Thinnest gauge, by the drop alone", AWG)
        .fixed(0)
        .formula(
            "the next thicker gauge over 2 × {length} × 0.017241 × (1 + 0.00393 × ({temp} − 20 °C)) × {amps} ÷ ({drop_max} × {volts})",
            GAUGE_LAW,
        ),
    Answer::number("fuse", "Blade fuse", A)
        .significant(2)
        .headline()
        .formula(
            "the next value over 125 % × {amps} of 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30 A",
            "ISO 8820-3, up to 58 V; 125 % of a continuous current is common practice",
        ),
    Answer::text("plainly", "Plainly"),
];

const CHECKS: &[Check] = &[
    Check {
        id: "drop",
        label: "Voltage drop against what may be lost",
        measure: PERCENT,
        within: "{value} of the voltage is lost; {limit} may be.",
        near: "{value} of the voltage is lost, close to the {limit} that may be.",
        over: "{value} of the voltage is lost; only {limit} may be.",
    },
    Check {
        id: "ampacity",
        label: "Current or fuse against the ampacity",
        measure: A,
        within: "The larger of current and fuse, {value}, is within the {limit} the code allows.",
        near: "The larger of current and fuse, {value}, is close to the {limit} the code allows.",
        over: "The larger of current and fuse, {value}, is over the {limit} the code allows: the wire can burn before the fuse opens.",
    },
    Check {
        id: "supply_rating",
        label: "Fuse against the supply",
        measure: A,
        within: "The supply's {limit} opens a fuse of {value}.",
        near: "The supply's {limit} opens a fuse of {value} slowly.",
        over: "A fuse of {value} never blows on a supply of {limit}: the wire heats instead.",
    },
];

const CAUTIONS: &[Caution] = &[
    Caution::always(
        "ampacity",
        "A conductor that is fine by its voltage drop can still burn: how much it may carry depends on insulation, bundle and room.",
        "Take the ampacity from your local code's table, and fuse below it, at the supply's end of the wire.",
    ),
    Caution::always(
        "mains",
        "Mains wiring kills and burns houses.",
        "Leave it to a licensed electrician and the local code; unplug, and wait for the supply to run down, before touching a wire.",
    ),
    Caution::raised(
        "no_blade",
        "No blade fuse suits this current or voltage: a fuse of a lower voltage rating can keep its arc burning.",
        "Use a fuse or breaker rated for this voltage, direct current and fault current, by its data sheet.",
    ),
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "wire",
    title: "Wire and fuse",
    about: "what a conductor loses, how thick it must be for that, and the fuse that protects it",
    search: "cable conductor awg gauge mm2 cross-section voltage drop blade fuse ampacity iec 60228",
    subject: Subject::Power,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: CAUTIONS,
    work,
};

fn work(inputs: &Inputs, out: &mut Outcome) {
    let (amps, volts) = (inputs.num("amps"), inputs.num("volts"));
    let (length, celsius) = (inputs.num("length"), inputs.num("temp"));
    let area = area(inputs, out);
    out.put("area", area);

    let metre = area
        .zip(celsius)
        .map(|(area, celsius)| copper_ohm_per_m(area, celsius));
    let both_ways = |metre: Option<f64>| metre.zip(length).map(|(metre, l)| 2.0 * l * metre);
    let ohm = both_ways(metre);
    out.put("resistance", ohm);
    if let Some((1, size)) = inputs.either("gauge") {
        let most = celsius.and_then(|celsius| class_5_ohm_per_m(size, celsius));
        out.put("resistance_max", both_ways(most));
    }
    let drop = amps.zip(ohm).map(|(amps, ohm)| amps * ohm);
    out.put("drop", drop);
    let percent = drop.zip(volts).map(|(drop, volts)| 100.0 * drop / volts);
    out.put("drop_pct", percent);
    out.check_at_most("drop", percent, inputs.num("drop_max"));
    let heat = amps.zip(metre).map(|(amps, metre)| amps * amps * metre);
    out.put("heat", heat);

    if let (Some(amps), Some(volts), Some(length), Some(celsius), Some(percent)) =
        (amps, volts, length, celsius, inputs.num("drop_max"))
    {
        let least = area_for_drop_mm2(amps, length, celsius, volts * percent / 100.0);
        out.put("gauge_min", smallest_size_mm2(least));
        out.put("awg_min", thinnest_awg(least));
        out.put_text(
            "plainly",
            "The smallest sizes are by the drop alone: what the insulation stands is for the local code's ampacity.",
        );
    }
    fuse(inputs, out, amps, volts);
}

/// The cross-section in mm², a gauge's by its law.
fn area(inputs: &Inputs, out: &mut Outcome) -> Option<f64> {
    match inputs.either("gauge")? {
        (0, gauge) if (THICKEST_AWG..=THINNEST_AWG).contains(&gauge) => Some(awg_area_mm2(gauge)),
        (1, area) if area > 0.0 => Some(area),
        (which, _) => {
            let words = match which {
                0 => "Conductor size: enter a gauge from 4/0 to 56 AWG.",
                _ => "Conductor size: enter a cross-section greater than 0 mm².",
            };
            out.problem("gauge", words);
            None
        }
    }
}

/// The blade fuse, and what it is held to.
fn fuse(inputs: &Inputs, out: &mut Outcome, amps: Option<f64>, volts: Option<f64>) {
    let fuse = amps
        .zip(volts)
        .filter(|(_, volts)| *volts <= BLADE_MOST_V)
        .and_then(|(amps, _)| blade_fuse_a(amps));
    out.put("fuse", fuse);
    if amps.is_some() && volts.is_some() && fuse.is_none() {
        out.caution("no_blade");
    }
    let larger = amps.map(|amps| fuse.map_or(amps, |fuse| fuse.max(amps)));
    out.check_at_most("ampacity", larger, inputs.num("ampacity"));
    out.check_at_most("supply_rating", fuse, inputs.num("supply_rating"));
}

#[cfg(test)]
mod tests {
    use super::super::outcome::State;
    use super::super::report::Report;
    use super::*;

    fn run(pairs: &[(&str, &str)]) -> Report {
        SHEET.run(&pairs.iter().copied().collect())
    }

    fn state(report: &Report, id: &str) -> Option<State> {
        let mut checks = report.checks.iter();
        checks.find(|c| c.check.id == id).map(|c| c.state)
    }

    fn is(report: &Report, key: &str, expected: f64) {
        let found = report.number(key);
        assert!(
            found.is_some_and(|x| (x - expected).abs() <= 1e-12 * expected.abs()),
            "{key}: {found:?}, expected {expected}"
        );
    }

    const BED: [(&str, &str); 4] = [
        ("amps", "10"),
        ("volts", "24"),
        ("length", "1.5"),
        ("gauge", "1.5 mm2"),
    ];

    #[test]
    fn a_bed_on_three_metres_of_copper() {
        let report = run(&BED);
        is(&report, "area", 1.5);
        is(&report, "resistance", 0.034_482);
        is(&report, "resistance_max", 0.0399);
        is(&report, "drop", 0.344_82);
        is(&report, "drop_pct", 34.482 / 24.0);
        is(&report, "heat", 100.0 * 0.017_241 / 1.5);
        // 0.72 V may be lost: 0.7184 mm² will do.
        is(&report, "gauge_min", 0.75);
        is(&report, "awg_min", 18.0);
        is(&report, "fuse", 15.0);
    }

    #[test]
    fn a_gauge_has_no_class_5_figure_and_a_bare_number_is_refused() {
        let with = |gauge| {
            let mut pairs = BED;
            pairs[3].1 = gauge;
            run(&pairs)
        };
        let report = with("18 AWG");
        assert!(report.problems.is_empty());
        assert_eq!(report.number("resistance_max"), None);
        assert_eq!(with("0.8 mm2").number("resistance_max"), None);
        for bad in ["18", "0 mm2", "57 AWG", "-4 AWG"] {
            let report = with(bad);
            assert_eq!(report.problems.len(), 1, "{bad}");
            assert!(report.problems.iter().all(|p| p.field == "gauge"), "{bad}");
            assert_eq!(report.number("drop"), None, "{bad}");
            // What needs no size is answered all the same.
            assert!(report.number("gauge_min").is_some(), "{bad}");
        }
    }

    #[test]
    fn a_fuse_ends_at_30_a_and_58_v() {
        let with = |amps, volts| run(&[("amps", amps), ("volts", volts)]).number("fuse");
        assert_eq!(with("24", "58"), Some(30.0));
        assert_eq!(with("24.1", "58"), None);
        assert_eq!(with("24", "58.1"), None);
        assert_eq!(with("2.4", "12"), Some(3.0));
        assert!(
            run(&[("amps", "30"), ("volts", "24")])
                .cautions
                .iter()
                .any(|c| c.id == "no_blade")
        );
    }

    #[test]
    fn ampacity_holds_the_larger_of_current_and_fuse() {
        let with = |ampacity, supply| {
            let mut pairs = BED.to_vec();
            pairs.push(("ampacity", ampacity));
            pairs.push(("supply_rating", supply));
            run(&pairs)
        };
        // 10 A take a fuse of 15 A.
        let report = with("14", "14.6");
        assert_eq!(state(&report, "ampacity"), Some(State::Over));
        assert_eq!(state(&report, "supply_rating"), Some(State::Over));
        let report = with("15", "18");
        assert_eq!(state(&report, "ampacity"), Some(State::Near));
        assert_eq!(state(&report, "supply_rating"), Some(State::Near));
        assert_eq!(state(&with("19", "19"), "ampacity"), Some(State::Within));
        assert_eq!(state(&run(&BED), "ampacity"), None);
        // Without a fuse it is the current.
        let report = run(&[("amps", "10"), ("volts", "230"), ("ampacity", "11")]);
        assert_eq!(state(&report, "ampacity"), Some(State::Near));
    }

    #[test]
    fn a_supply_of_no_volts_is_told_so() {
        let report = run(&[("amps", "10"), ("volts", "0")]);
        assert!(report.problems.iter().all(|p| p.field == "volts"));
        assert_eq!(report.problems.len(), 1);
    }
}
