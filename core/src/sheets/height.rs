//! `height`: nozzle, probe and bed on the way up.

use super::declare::{Answer, Caution, Field, Sheet, Subject};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::entry::unit::{CELSIUS, MM, PER_K, PERCENT, UM};
use crate::reach::height;

/// No bed is colder or hotter, C.
const COLDEST: f64 = -100.0;
const HOTTEST: f64 = 1000.0;

const FIELDS: &[Field] = &[
    Field::number("trigger", "Probe reading when it fires", MM)
        .at_least(-1e4, "no axis is that long")
        .at_most(1e4, "no axis is that long")
        .help("the axis' height at that moment, where 0 is the nozzle on the gauge; with its sign"),
    Field::number("gauge", "Thickness under the nozzle then", MM)
        .default("0")
        .at_least(0.0, "a gauge has a thickness")
        .at_most(1000.0, "no gauge is thicker")
        .help("paper is about 0.1 mm; a feeler gauge says its own"),
    Field::number("bed_cold", "Bed cold", CELSIUS)
        .at_least(COLDEST, "no workshop is colder")
        .at_most(HOTTEST, "no bed is hotter"),
    Field::number("bed_hot", "Bed hot", CELSIUS)
        .at_least(COLDEST, "no workshop is colder")
        .at_most(HOTTEST, "no bed is hotter"),
    Field::number("column", "Length that grows", MM)
        .at_least(0.0, "a length has a size")
        .at_most(1e5, "no column is longer")
        .help("between probe and bed, as far as it warms: bed, posts, brackets"),
    Field::number("expansion", "Expansion", PER_K)
        .default("23.1e-6")
        .at_least(-1e-2, "nothing shrinks more")
        .at_most(1e-2, "nothing grows more")
        .help("23.1 ppm/K for aluminium, 12 for steel, about 70 printed (common practice)"),
    Field::number("layer", "First layer", MM)
        .above(0.0, "a layer has a height")
        .at_most(100.0, "no layer is higher"),
    Field::number("full_step", "Full step of this axis", UM)
        .optional()
        .above(0.0, "a step moves the axis")
        .at_most(1e9, "no step is longer")
        .carried("travel", "full_step"),
];

const ANSWERS: &[Answer] = &[
    Answer::number(
        "probe_height",
        "Nozzle over the bed when the probe fires",
        MM,
    )
    .fixed(3)
    .headline()
    .formula("{trigger} + {gauge}", "Definition"),
    Answer::number("growth", "Growth over the warm-up", UM)
        .headline()
        .formula(
            "{column} × {expansion} × ({bed_hot} − {bed_cold})",
            "Definition of linear thermal expansion",
        ),
    Answer::number("growth_layers", "Growth, of the first layer", PERCENT)
        .significant(3)
        .formula("{growth} ÷ {layer}", "Definition"),
    Answer::text("first_layer_steps", "First layer is whole full steps").headline(),
];

const CAUTIONS: &[Caution] = &[
    Caution::raised(
        "fires_late",
        "By these signs the probe fires only when the nozzle is already in the bed: every probing drives it in.",
        "Check the sign of the reading; if it is right, set the probe lower or the nozzle higher before any probing.",
    ),
    Caution::always(
        "nozzle_into_bed",
        "A wrong sign or height drives the nozzle into the bed.",
        "Lower the first time by hand turns or single short moves, with a hand at the supply's switch.",
    ),
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "height",
    title: "Height",
    about: "the probe's height over the nozzle, and how far a warming bed comes up",
    search: "z offset probe nozzle first layer thermal expansion bed warm up",
    subject: Subject::Proof,
    fields: FIELDS,
    answers: ANSWERS,
    checks: &[],
    cautions: CAUTIONS,
    work,
};

fn work(inputs: &Inputs, out: &mut Outcome) {
    let gauge = inputs.num("gauge");
    let height = inputs.num("trigger").zip(gauge);
    out.put(
        "probe_height",
        height.map(|(trigger, gauge)| trigger + gauge),
    );
    if height.is_some_and(|(trigger, gauge)| trigger + gauge < 0.0) {
        out.caution("fires_late");
    }
    let layer_um = inputs.num("layer").map(|mm| mm * 1000.0);
    if let (Some(column), Some(expansion), Some(cold), Some(hot)) = (
        inputs.num("column"),
        inputs.num("expansion"),
        inputs.num("bed_cold"),
        inputs.num("bed_hot"),
    ) {
        let growth = height::growth_um(column, expansion, hot - cold);
        out.put("growth", growth);
        out.put(
            "growth_layers",
            layer_um.map(|layer| 100.0 * growth / layer),
        );
    }
    if let (Some(layer), Some(step)) = (layer_um, inputs.num("full_step")) {
        out.put_yes("first_layer_steps", height::whole_steps(layer, step));
    }
}

#[cfg(test)]
mod tests {
    use std::vec::Vec;

    use super::super::Report;
    use super::super::trial::{faults, number, run, text};

    #[test]
    fn the_trigger_plane_stands_off_by_reading_and_gauge() {
        let report = run("height", &[("trigger", "-1.85"), ("gauge", "0.1")]);
        assert!((number(&report, "probe_height") + 1.75).abs() < 1e-12);
        assert_eq!(report.number("growth"), None);
        let cautions = |report: &Report| {
            report
                .cautions
                .iter()
                .map(|caution| caution.id)
                .collect::<Vec<_>>()
        };
        assert_eq!(cautions(&report), ["fires_late", "nozzle_into_bed"]);
        let early = run("height", &[("trigger", "1.65"), ("gauge", "0.1")]);
        assert_eq!(cautions(&early), ["nozzle_into_bed"]);
    }

    #[test]
    fn a_bed_grows_into_the_first_layer() {
        let report = run(
            "height",
            &[
                ("bed_cold", "68 °F"),
                ("bed_hot", "80"),
                ("column", "30"),
                ("layer", "0.2"),
                ("full_step", "10"),
            ],
        );
        assert!((number(&report, "growth") - 30_000.0 * 23.1e-6 * 60.0).abs() < 1e-9);
        assert!((number(&report, "growth_layers") - 20.79).abs() < 1e-9);
        assert_eq!(text(&report, "first_layer_steps"), "yes");
    }

    #[test]
    fn a_layer_between_steps_is_said_and_a_bad_entry_kept_apart() {
        let report = run(
            "height",
            &[("layer", "0.2"), ("full_step", "12.5"), ("column", "-1")],
        );
        assert_eq!(text(&report, "first_layer_steps"), "yes");
        let between = run(
            "height",
            &[("layer", "0.21"), ("full_step", "12.5"), ("column", "-1")],
        );
        assert_eq!(text(&between, "first_layer_steps"), "no");
        assert_eq!(faults(&between), ["column"]);
    }
}
