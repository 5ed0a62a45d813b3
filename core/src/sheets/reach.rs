//! `reach`: homing position, limits, and what the nozzle and the probe can reach.

use alloc::format;

use super::declare::{Answer, Caution, Check, Field, Sheet, Subject, choice};
use super::inputs::Inputs;
use super::outcome::{Outcome, State};
use crate::entry::unit::MM;
use crate::entry::write::write_shortest;
use crate::reach::axis::{Home, Range, Track};

/// Beyond this a length is a slip of the finger, mm.
const FAR: f64 = 1e6;
const TOO_FAR: &str = "no such machine is that large";

/// Both axes have the same entries, answers and checks; their keys differ by the suffix.
macro_rules! both_axes {
    ($($x:literal $big:literal),*) => {
        const FIELDS: &[Field] = &[$(
            Field::choice(
                concat!("moves_", $x),
                concat!($big, ": what moves"),
                &[
                    choice("nozzle", "The nozzle, over a bed that stands"),
                    choice("bed", "The bed, under a nozzle that stands"),
                ],
            ),
            Field::number(concat!("frame_", $x), concat!($big, ": frame inside"), MM)
                .above(0.0, "a frame has a size")
                .at_most(FAR, TOO_FAR)
                .help("between the faces that the carriage runs between"),
            Field::number(concat!("body_", $x), concat!($big, ": carriage length"), MM)
                .at_least(0.0, "a carriage has a size")
                .at_most(FAR, TOO_FAR)
                .help("of what moves, along the axis"),
            Field::number(concat!("low_intrusion_", $x), concat!($big, ": in the way at the low end"), MM)
                .default("0")
                .at_least(0.0, "what stands in has a size")
                .at_most(FAR, TOO_FAR)
                .help("how far a switch, a motor, a clip reaches in from the frame"),
            Field::number(concat!("high_intrusion_", $x), concat!($big, ": in the way at the high end"), MM)
                .default("0")
                .at_least(0.0, "what stands in has a size")
                .at_most(FAR, TOO_FAR),
            Field::number(concat!("bed_", $x), concat!($big, ": bed"), MM)
                .above(0.0, "a bed has a size")
                .at_most(FAR, TOO_FAR),
            Field::number(concat!("bed_offset_", $x), concat!($big, ": frame's low face to the bed's low edge"), MM)
                .at_least(-FAR, TOO_FAR)
                .at_most(FAR, TOO_FAR)
                .when(&[(concat!("moves_", $x), &["nozzle"])]),
            Field::number(concat!("bed_offset_", $x), concat!($big, ": carriage's middle to the bed's low edge"), MM)
                .at_least(-FAR, TOO_FAR)
                .at_most(FAR, TOO_FAR)
                .help("below 0 for a bed that reaches to both sides of its carriage")
                .when(&[(concat!("moves_", $x), &["bed"])]),
            Field::number(concat!("nozzle_offset_", $x), concat!($big, ": carriage's middle to the nozzle"), MM)
                .default("0")
                .at_least(-FAR, TOO_FAR)
                .at_most(FAR, TOO_FAR)
                .help("above 0 toward the high end")
                .when(&[(concat!("moves_", $x), &["nozzle"])]),
            Field::number(concat!("nozzle_at_", $x), concat!($big, ": frame's low face to the nozzle"), MM)
                .at_least(-FAR, TOO_FAR)
                .at_most(FAR, TOO_FAR)
                .when(&[(concat!("moves_", $x), &["bed"])]),
            Field::choice(
                concat!("home_at_", $x),
                concat!($big, ": home is at"),
                &[
                    choice("low", "The bed's low end"),
                    choice("high", "The bed's high end"),
                ],
            ),
            Field::number(concat!("switch_gap_", $x), concat!($big, ": nozzle outside the bed when the switch closes"), MM)
                .optional()
                .at_least(-FAR, TOO_FAR)
                .at_most(FAR, TOO_FAR)
                .help("below 0 when it is over the bed then; blank for the end of the travel"),
            Field::number(concat!("probe_", $x), concat!($big, ": nozzle to the probe"), MM)
                .default("0")
                .at_least(-FAR, TOO_FAR)
                .at_most(FAR, TOO_FAR)
                .help("above 0 toward the high end"),
            Field::number(concat!("margin_", $x), concat!($big, ": margin at the far end"), MM)
                .default("0")
                .at_least(0.0, "a margin keeps away")
                .at_most(FAR, TOO_FAR),
        )*];

        const ANSWERS: &[Answer] = &[$(
            Answer::number(concat!("travel_", $x), concat!($big, ": travel"), MM).fixed(2)
                .formula(
                    concat!("{frame_", $x, "} − {low_intrusion_", $x, "} − {high_intrusion_", $x, "} − {body_", $x, "}"),
                    DEFINITION,
                ),
            Answer::number(concat!("lowest_", $x), concat!($big, ": lowest place of the nozzle"), MM).fixed(2)
                .formula(
                    concat!("{low_intrusion_", $x, "} + {body_", $x, "} ÷ 2 + {nozzle_offset_", $x, "} − {bed_offset_", $x, "}"),
                    DEFINITION,
                )
                .when(&[(concat!("moves_", $x), &["nozzle"])])
                .aside(),
            Answer::number(concat!("lowest_", $x), concat!($big, ": lowest place of the nozzle"), MM).fixed(2)
                .formula(
                    concat!("{nozzle_at_", $x, "} − ({frame_", $x, "} − {high_intrusion_", $x, "} − {body_", $x, "} ÷ 2) − {bed_offset_", $x, "}"),
                    DEFINITION,
                )
                .when(&[(concat!("moves_", $x), &["bed"])])
                .aside(),
            Answer::number(concat!("highest_", $x), concat!($big, ": highest place of the nozzle"), MM).fixed(2)
                .formula(concat!("{lowest_", $x, "} + {travel_", $x, "}"), DEFINITION)
                .aside(),
            Answer::number(concat!("home_position_", $x), concat!($big, ": home position"), MM).fixed(2).headline()
                .formula(concat!("0 less what the nozzle is outside the bed, or {lowest_", $x, "} without that"), DEFINITION)
                .when(&[(concat!("home_at_", $x), &["low"])]),
            Answer::number(concat!("home_position_", $x), concat!($big, ": home position"), MM).fixed(2).headline()
                .formula(concat!("{bed_", $x, "} and what the nozzle is outside it, or {highest_", $x, "} without that"), DEFINITION)
                .when(&[(concat!("home_at_", $x), &["high"])]),
            Answer::number(concat!("min_", $x), concat!($big, ": lowest position to allow"), MM).fixed(2)
                .formula(concat!("{home_position_", $x, "}"), DEFINITION)
                .when(&[(concat!("home_at_", $x), &["low"])]),
            Answer::number(concat!("min_", $x), concat!($big, ": lowest position to allow"), MM).fixed(2)
                .formula(
                    concat!("larger of {home_position_", $x, "} − {travel_", $x, "} and {lowest_", $x, "}, + {margin_", $x, "}"),
                    DEFINITION,
                )
                .when(&[(concat!("home_at_", $x), &["high"])]),
            Answer::number(concat!("max_", $x), concat!($big, ": highest position to allow"), MM).fixed(2)
                .formula(
                    concat!("smaller of {home_position_", $x, "} + {travel_", $x, "} and {highest_", $x, "}, − {margin_", $x, "}"),
                    DEFINITION,
                )
                .when(&[(concat!("home_at_", $x), &["low"])]),
            Answer::number(concat!("max_", $x), concat!($big, ": highest position to allow"), MM).fixed(2)
                .formula(concat!("{home_position_", $x, "}"), DEFINITION)
                .when(&[(concat!("home_at_", $x), &["high"])]),
            Answer::number(concat!("printable_", $x), concat!($big, ": printable"), MM).fixed(2)
                .headline()
                .formula(
                    concat!("the part of {bed_", $x, "} from {min_", $x, "} to {max_", $x, "}"),
                    DEFINITION,
                ),
            Answer::number(concat!("lost_low_", $x), concat!($big, ": lost at the low edge"), MM).fixed(2)
                .formula(concat!("the part of {bed_", $x, "} below {min_", $x, "}"), DEFINITION),
            Answer::number(concat!("lost_high_", $x), concat!($big, ": lost at the high edge"), MM).fixed(2)
                .formula(concat!("the part of {bed_", $x, "} above {max_", $x, "}"), DEFINITION),
            Answer::number(concat!("probe_min_", $x), concat!($big, ": probe reaches from"), MM).fixed(2)
                .formula(concat!("{min_", $x, "} + {probe_", $x, "}, kept on the bed"), DEFINITION),
            Answer::number(concat!("probe_max_", $x), concat!($big, ": probe reaches to"), MM).fixed(2)
                .formula(concat!("{max_", $x, "} + {probe_", $x, "}, kept on the bed"), DEFINITION),
        )*];

        const CHECKS: &[Check] = &[$(
            Check {
                id: concat!("home_position_", $x),
                label: concat!("Home of ", $big),
                measure: MM,
                within: "Home at {value} lies within what the axis reaches.",
                near: "",
                over: "Home at {value} lies beyond {limit}, where the axis ends: the carriage hits before the switch closes. Move the switch, or check the lengths.",
            },
        )*];

        const AXES: [Axis; 2] = [$(
            Axis {
                name: $big,
                moves: concat!("moves_", $x),
                frame: concat!("frame_", $x),
                body: concat!("body_", $x),
                low_intrusion: concat!("low_intrusion_", $x),
                high_intrusion: concat!("high_intrusion_", $x),
                bed: concat!("bed_", $x),
                bed_offset: concat!("bed_offset_", $x),
                nozzle_offset: concat!("nozzle_offset_", $x),
                nozzle_at: concat!("nozzle_at_", $x),
                home_at: concat!("home_at_", $x),
                switch_gap: concat!("switch_gap_", $x),
                probe: concat!("probe_", $x),
                margin: concat!("margin_", $x),
                travel: concat!("travel_", $x),
                lowest: concat!("lowest_", $x),
                highest: concat!("highest_", $x),
                home_position: concat!("home_position_", $x),
                min: concat!("min_", $x),
                max: concat!("max_", $x),
                printable: concat!("printable_", $x),
                lost_low: concat!("lost_low_", $x),
                lost_high: concat!("lost_high_", $x),
                probe_min: concat!("probe_min_", $x),
                probe_max: concat!("probe_max_", $x),
            },
        )*];
    };
}

const DEFINITION: &str = "Definition";

both_axes!("x" "X", "y" "Y");

const CAUTIONS: &[Caution] = &[Caution::always(
    "first_home",
    "An axis homed with wrong limits runs into its end with the motor's full force, and takes fingers with it.",
    "Before the first homing press each switch by hand and see it read; home slowly, with a hand at the supply's switch.",
)];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "reach",
    title: "Reach",
    about: "where home is, what limits to set, and what nozzle and probe reach of the bed",
    search: "homing position limits travel endstop limit switch bed size offset probe printable area",
    subject: Subject::Proof,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: CAUTIONS,
    work,
};

/// The keys of one axis.
struct Axis {
    name: &'static str,
    moves: &'static str,
    frame: &'static str,
    body: &'static str,
    low_intrusion: &'static str,
    high_intrusion: &'static str,
    bed: &'static str,
    bed_offset: &'static str,
    nozzle_offset: &'static str,
    nozzle_at: &'static str,
    home_at: &'static str,
    switch_gap: &'static str,
    probe: &'static str,
    margin: &'static str,
    travel: &'static str,
    lowest: &'static str,
    highest: &'static str,
    home_position: &'static str,
    min: &'static str,
    max: &'static str,
    printable: &'static str,
    lost_low: &'static str,
    lost_high: &'static str,
    probe_min: &'static str,
    probe_max: &'static str,
}

fn work(inputs: &Inputs, out: &mut Outcome) {
    for axis in &AXES {
        let track = axis.track(inputs, out);
        let bed = axis.bed(inputs, out);
        out.put(axis.travel, track.map(|track| track.travel()));
        if let Some(range) = track.and_then(|track| axis.range(inputs, &track)) {
            axis.limits(inputs, out, range, bed);
        }
    }
}

impl Axis {
    /// What runs between the frame's faces; refused when it does not fit.
    fn track(&self, inputs: &Inputs, out: &mut Outcome) -> Option<Track> {
        let track = Track {
            frame: inputs.num(self.frame)?,
            body: inputs.num(self.body)?,
            low_intrusion: inputs.num(self.low_intrusion)?,
            high_intrusion: inputs.num(self.high_intrusion)?,
        };
        let travel = track.travel();
        if travel >= 0.0 {
            return Some(track);
        }
        let room = travel + track.body;
        let fix = if room > 0.0 {
            format!("enter up to {} mm", write_shortest(room, 6))
        } else {
            "enter a larger frame, or less in the way".into()
        };
        out.problem(
            self.body,
            format!(
                "{}: carriage length: it does not fit into the frame; {fix}.",
                self.name
            ),
        );
        None
    }

    /// The bed; one that stands must fit into the frame.
    fn bed(&self, inputs: &Inputs, out: &mut Outcome) -> Option<f64> {
        let bed = inputs.num(self.bed)?;
        let Some(frame) = inputs.num(self.frame).filter(|frame| bed > *frame) else {
            return Some(bed);
        };
        let frame = write_shortest(frame, 6);
        if inputs.choice(self.moves) == "bed" {
            out.warn(
                self.bed,
                format!(
                    "{}: bed: it is longer than the frame of {frame} mm inside. Check the entry.",
                    self.name
                ),
            );
            return Some(bed);
        }
        out.problem(
            self.bed,
            format!("{}: bed: enter a length up to the frame's {frame} mm inside; a longer bed does not fit.", self.name),
        );
        None
    }

    /// Where the nozzle can be, in bed coordinates.
    fn range(&self, inputs: &Inputs, track: &Track) -> Option<Range> {
        let bed_offset = inputs.num(self.bed_offset)?;
        match inputs.choice(self.moves) {
            "nozzle" => Some(track.moving_nozzle(inputs.num(self.nozzle_offset)?, bed_offset)),
            "bed" => Some(track.moving_bed(inputs.num(self.nozzle_at)?, bed_offset)),
            _ => None,
        }
    }

    /// Home, limits and what they leave of the bed.
    fn limits(&self, inputs: &Inputs, out: &mut Outcome, range: Range, bed: Option<f64>) {
        out.put(self.lowest, range.lowest);
        out.put(self.highest, range.highest);
        let at = match inputs.choice(self.home_at) {
            "low" => Home::Low,
            "high" => Home::High,
            _ => return,
        };
        let home = match inputs.num(self.switch_gap) {
            // A low switch needs no bed to measure from.
            Some(gap) if at == Home::Low => Some(at.switched(0.0, gap)),
            Some(gap) => bed.map(|bed| at.switched(bed, gap)),
            None if inputs.typed(self.switch_gap) => None,
            None => Some(range.end(at)),
        };
        let Some(home) = home else { return };
        out.put(self.home_position, home);
        let end = if range.holds(home) {
            range.end(at)
        } else if home < range.lowest {
            range.lowest
        } else {
            range.highest
        };
        let state = if range.holds(home) {
            State::Within
        } else {
            State::Over
        };
        out.check(self.home_position, state, home, end);

        let Some(margin) = inputs.num(self.margin) else {
            return;
        };
        if margin > range.travel() {
            out.warn(
                self.margin,
                format!(
                    "{}: margin: it is more than the whole travel. Check the entry.",
                    self.name
                ),
            );
        }
        let limits = range.limits(at, home, margin);
        out.put(self.min, limits.min);
        out.put(self.max, limits.max);
        let Some(bed) = bed else { return };
        out.put(self.printable, limits.printable(bed));
        let (low, high) = limits.lost(bed);
        out.put(self.lost_low, low);
        out.put(self.lost_high, high);
        if let Some((from, to)) = inputs
            .num(self.probe)
            .and_then(|probe| limits.window(bed, probe))
        {
            out.put(self.probe_min, from);
            out.put(self.probe_max, to);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Report;
    use super::super::trial::{faults, number, run, state};

    /// A nozzle that moves in X, a bed that moves in Y.
    const MACHINE: &[(&str, &str)] = &[
        ("frame_x", "320"),
        ("body_x", "60"),
        ("low_intrusion_x", "10"),
        ("bed_x", "220"),
        ("bed_offset_x", "50"),
        ("nozzle_offset_x", "4"),
        ("switch_gap_x", "5"),
        ("probe_x", "-28"),
        ("margin_x", "1"),
        ("moves_y", "bed"),
        ("frame_y", "400"),
        ("body_y", "120"),
        ("bed_y", "220"),
        ("bed_offset_y", "-110"),
        ("nozzle_at_y", "190"),
        ("home_at_y", "high"),
    ];

    fn with(more: &[(&'static str, &'static str)]) -> Report {
        let mut entries = MACHINE.to_vec();
        entries.retain(|(key, _)| more.iter().all(|(other, _)| other != key));
        entries.extend_from_slice(more);
        run("reach", &entries)
    }

    fn holds(report: &Report, expected: &[(&str, f64)]) {
        for (key, value) in expected {
            assert!(
                (number(report, key) - value).abs() < 1e-9,
                "{key}: {:?}",
                report.number(key)
            );
        }
    }

    #[test]
    fn a_nozzle_that_moves_and_a_bed_that_moves() {
        let report = with(&[]);
        // X: middle from 40 to 290, nozzle 4 further, bed from 50: -6 to 244.
        holds(
            &report,
            &[
                ("travel_x", 250.0),
                ("home_position_x", -5.0),
                ("min_x", -5.0),
                ("max_x", 243.0),
                ("printable_x", 220.0),
                ("lost_low_x", 0.0),
                ("lost_high_x", 0.0),
                ("probe_min_x", 0.0),
                ("probe_max_x", 215.0),
            ],
        );
        // Y: middle from 60 to 340; nozzle over the bed from 190 - 340 + 110 to 190 - 60 + 110.
        holds(
            &report,
            &[
                ("travel_y", 280.0),
                ("home_position_y", 240.0),
                ("min_y", -40.0),
                ("max_y", 240.0),
                ("printable_y", 220.0),
                ("probe_max_y", 220.0),
            ],
        );
        assert_eq!(
            (
                state(&report, "home_position_x"),
                state(&report, "home_position_y")
            ),
            ("within", "within")
        );
    }

    #[test]
    fn a_short_axis_loses_a_strip() {
        let report = with(&[("nozzle_offset_x", "30"), ("switch_gap_x", "-20")]);
        // -6 + 26 = 20 to 270; the switch at 20; 1 kept at the far end.
        holds(
            &report,
            &[
                ("min_x", 20.0),
                ("max_x", 269.0),
                ("printable_x", 200.0),
                ("lost_low_x", 20.0),
            ],
        );
        let high = with(&[
            ("home_at_x", "high"),
            ("switch_gap_x", "-15"),
            ("margin_x", "3"),
        ]);
        holds(
            &high,
            &[
                ("home_position_x", 205.0),
                ("max_x", 205.0),
                ("min_x", -3.0),
                ("lost_high_x", 15.0),
            ],
        );
    }

    #[test]
    fn a_switch_outside_the_travel_is_over() {
        assert_eq!(
            state(&with(&[("switch_gap_x", "6")]), "home_position_x"),
            "within"
        );
        let out = with(&[("switch_gap_x", "6.1")]);
        assert_eq!(state(&out, "home_position_x"), "over");
        assert!(
            out.checks
                .iter()
                .any(|c| c.limit.is_some_and(|limit| (limit + 6.0).abs() < 1e-9))
        );
        let beyond = with(&[("home_at_x", "high"), ("switch_gap_x", "25")]);
        assert_eq!(state(&beyond, "home_position_x"), "over");
    }

    #[test]
    fn what_does_not_fit_is_refused_and_the_other_axis_stays() {
        let body = with(&[("body_x", "311")]);
        assert_eq!(faults(&body), ["body_x"]);
        assert!(body.number("travel_x").is_none() && body.number("travel_y").is_some());
        assert!(number(&with(&[("body_x", "310")]), "travel_x").abs() < 1e-9);
        let bed = with(&[("bed_x", "321")]);
        assert_eq!(faults(&bed), ["bed_x"]);
        assert!(bed.number("printable_x").is_none() && bed.number("min_x").is_some());
        // A bed that moves may overhang its rails: that is only unusual.
        let moving = with(&[("bed_y", "401")]);
        assert_eq!(faults(&moving), [""; 0]);
        assert!(moving.warnings.iter().any(|w| w.field == "bed_y"));
    }

    #[test]
    fn a_probe_that_never_comes_over_the_bed_has_no_window() {
        let report = with(&[("probe_x", "-250")]);
        assert_eq!(report.number("probe_min_x"), None);
        assert_eq!(report.number("probe_max_x"), None);
    }

    #[test]
    fn a_switch_gap_that_cannot_be_read_is_not_taken_for_none() {
        let report = with(&[("switch_gap_x", "five")]);
        assert_eq!(faults(&report), ["switch_gap_x"]);
        assert_eq!(report.number("home_position_x"), None);
    }
}
