//! `travel` from its description.

use std::f64::consts::PI;

use layshaft_tests::random::Random;

use crate::{Case, Query, Typed, Unit, Wrong, reduce, settle, typed, wrong};

const MM: &[Unit] = &[
    ("mm", 1, 1),
    ("cm", 10, 1),
    ("in", 254, 10),
    ("um", 1, 1000),
    ("µm", 1, 1000),
];

/// A factor of the travel: a quotient, and a power of pi.
#[derive(Clone, Copy)]
struct Factor {
    ratio: (i128, i128),
    pi: i32,
}

impl Factor {
    const ONE: Self = Self {
        ratio: (1, 1),
        pi: 0,
    };

    fn whole(n: u32) -> Self {
        Self {
            ratio: (i128::from(n), 1),
            pi: 0,
        }
    }

    fn times(self, other: Self) -> Self {
        let ratio = reduce(self.ratio.0 * other.ratio.0, self.ratio.1 * other.ratio.1);
        Self {
            ratio,
            pi: self.pi + other.pi,
        }
    }

    fn over(self, other: Self) -> Self {
        self.times(Self {
            ratio: (other.ratio.1, other.ratio.0),
            pi: -other.pi,
        })
    }

    fn value(self) -> f64 {
        self.ratio.0 as f64 / self.ratio.1 as f64 * PI.powi(self.pi)
    }
}

impl From<&Typed> for Factor {
    fn from(typed: &Typed) -> Self {
        Self {
            ratio: typed.ratio,
            pi: 0,
        }
    }
}

/// A reduction as people type it.
fn gears(random: &mut Random) -> (String, Factor) {
    match random.below(4) {
        0 => {
            let n = random.whole(1, 20);
            (n.to_string(), Factor::whole(n))
        }
        1 => {
            let number = typed(random, 0.2, 60.0, &[]);
            (number.text.clone(), Factor::from(&number))
        }
        _ => {
            let mut text = String::new();
            let mut product = Factor::ONE;
            for stage in 0..random.whole(1, 3) {
                let (driven, driver) = (random.whole(8, 90), random.whole(8, 40));
                text += &format!("{}{driven}/{driver}", if stage == 0 { "" } else { "*" });
                product = product
                    .times(Factor::whole(driven))
                    .over(Factor::whole(driver));
            }
            (text, product)
        }
    }
}

/// What stands in the entries of one drive.
struct Drive {
    kind: &'static str,
    /// Key and value of each factor of the travel per output turn; the value of the one left blank is its true one.
    factors: Vec<(&'static str, Typed)>,
    out: Factor,
}

fn count(n: u32) -> Typed {
    Typed {
        text: n.to_string(),
        value: f64::from(n),
        ratio: (i128::from(n), 1),
    }
}

fn drive(random: &mut Random) -> Drive {
    let kind = random.pick(&["belt", "screw", "rack", "roller", "rotary"]);
    let (factors, out) = match kind {
        "belt" | "rack" => {
            let length = typed(random, 0.5, 20.0, MM);
            let teeth = count(random.whole(6, 120));
            let pitch_key = if kind == "rack" && random.chance(50) {
                "module"
            } else {
                "pitch"
            };
            let pitch = Factor {
                pi: i32::from(pitch_key == "module"),
                ..Factor::from(&length)
            };
            let out = pitch.times(Factor::from(&teeth));
            (vec![(pitch_key, length), ("teeth", teeth)], out)
        }
        "screw" => {
            let pitch = typed(random, 0.3, 12.0, MM);
            let starts = count(random.whole(1, 6));
            let out = Factor::from(&pitch).times(Factor::from(&starts));
            (vec![("pitch", pitch), ("starts", starts)], out)
        }
        "roller" => {
            let diameter = typed(random, 3.0, 60.0, MM);
            let out = Factor {
                pi: 1,
                ..Factor::from(&diameter)
            };
            (vec![("diameter", diameter)], out)
        }
        _ => (Vec::new(), Factor::whole(360)),
    };
    Drive { kind, factors, out }
}

/// Full steps per turn, by the angle or by their number.
fn steps(random: &mut Random, query: &mut Query) -> Factor {
    match random.below(3) {
        0 => {
            let n = random.pick(&[20, 24, 48, 96, 200, 400, 513]);
            query.with("steps", n.to_string());
            Factor::whole(n)
        }
        1 => Factor::whole(200),
        _ => {
            let (text, ratio) = random.pick(&[
                ("1.8", (18, 10)),
                ("0,9", (9, 10)),
                ("7.5 °", (75, 10)),
                ("3.75 deg", (375, 100)),
                ("360/400", (9, 10)),
            ]);
            query.with("step", text);
            Factor::whole(360).over(Factor { ratio, pi: 0 })
        }
    }
}

/// How far the end of `span` moves when the travel is written with `digits` digits.
fn moves(travel: f64, span: f64, digits: usize) -> f64 {
    let written: f64 = format!("{travel:.*e}", digits - 1)
        .parse()
        .unwrap_or(f64::NAN);
    span * (written - travel).abs() / travel
}

#[test]
fn travel_as_the_contract_says() {
    let mut random = Random::new(2904);
    let mut faults = Vec::new();
    let cases = 800;
    for _ in 0..cases {
        one(&mut random, &mut faults);
    }
    settle(cases, &faults);
}

fn one(random: &mut Random, faults: &mut Vec<String>) {
    let drive = drive(random);
    let solving = random.chance(40);
    let mut query = Query::new("travel");
    query.with("drive", drive.kind);
    let blank = if solving && random.chance(75) && !drive.factors.is_empty() {
        Some(random.below(drive.factors.len()))
    } else {
        None
    };
    for (i, (key, value)) in drive.factors.iter().enumerate() {
        if blank != Some(i) {
            query.with(key, &value.text);
        }
    }
    // With a blank among the drive's own entries the reduction is known; else it is what a target asks for.
    let (gear_text, ratio) = gears(random);
    let typed_gears = if solving {
        blank.is_some() && random.chance(60)
    } else {
        random.chance(60)
    };
    let mut ratio = if typed_gears { ratio } else { Factor::ONE };
    if typed_gears {
        query.with("gears", gear_text);
    }
    let steps = steps(random, &mut query);
    let micro = random.pick(&[1, 2, 4, 8, 16, 32, 64, 128, 256]);
    let micro = if random.chance(70) {
        query.with("micro", micro.to_string());
        micro
    } else {
        16
    };
    let span = if random.chance(50) {
        let span = typed(random, 20.0, 900.0, &[]);
        query.with("span", &span.text);
        span.value
    } else {
        300.0
    };
    let pulses = steps.times(Factor::whole(micro));
    let mut out = drive.out;
    let mut solved = None;
    if solving {
        // A target close to what the drive truly does, so that the solution is a part one could buy.
        let near = out.over(ratio).value() * (0.7 + 0.6 * random.unit());
        let by_steps = random.chance(50);
        let asked = if by_steps {
            let target = typed(
                random,
                pulses.value() / near,
                1.001 * pulses.value() / near,
                &[],
            );
            query.with("steps_per_mm", &target.text);
            pulses.over(Factor::from(&target))
        } else {
            let target = if random.chance(30) {
                // The very travel, so that whole numbers of teeth and starts come out.
                let exact = drive.out.over(ratio);
                Typed {
                    text: format!("{}/{}", exact.ratio.0, exact.ratio.1),
                    value: exact.value(),
                    ratio: exact.ratio,
                }
            } else {
                typed(random, near, 1.001 * near, &[])
            };
            query.with("turn_travel", &target.text);
            Factor::from(&target)
        };
        match blank.and_then(|i| drive.factors.get(i)) {
            Some((key, value)) => {
                let others = drive.out.over(Factor::from(value));
                // The pi of a module or a diameter stays among the others.
                let wanted = asked.times(ratio).over(others).value();
                let exact = (others.pi == 0).then(|| asked.times(ratio).over(others));
                // A rack whose pitch and module are both blank is asked for its pitch.
                let (key, wanted) = if *key == "module" {
                    ("pitch", wanted * PI)
                } else {
                    (*key, wanted)
                };
                solved = Some((key, wanted, exact));
                out = asked.times(ratio);
            }
            None => {
                let wanted = out.value() / asked.value();
                solved = Some(("gears", wanted, None));
                ratio = out.over(asked);
            }
        }
    }
    let travel = out.over(ratio);
    let mut case = Case::new(&query, faults);
    case.errors(&[]);
    case.number("ratio", ratio.value());
    case.number("out_travel", out.value());
    case.number("turn_travel", travel.value());
    case.number("full_steps", steps.value());
    let small = if drive.kind == "rotary" { 1.0 } else { 1000.0 };
    case.number("full_step", small * travel.value() / steps.value());
    case.number(
        "microstep",
        small * travel.value() / steps.value() / f64::from(micro),
    );
    case.number("full_steps_per_mm", steps.value() / travel.value());
    case.number("steps_per_mm", pulses.value() / travel.value());
    let per_mm = pulses.over(travel);
    let text = if per_mm.ratio.1 == 1 {
        per_mm.ratio.0.to_string()
    } else {
        format!("{}/{}", per_mm.ratio.0, per_mm.ratio.1)
    };
    let irrational = drive.out.pi != 0;
    if !irrational {
        case.text("exact", Some(&text));
    } else if !solving {
        case.text("exact", None);
    }
    let digits = (1..=17).find(|&digits| moves(travel.value(), span, digits) < 0.001);
    // Where the movement is within a millionth of 1 um, either count of digits is right.
    let unsure = (1..=17).any(|digits| (moves(travel.value(), span, digits) - 0.001).abs() < 1e-9);
    if !unsure {
        case.number("digits", digits.map(|n| n as f64));
    }
    let Some((key, wanted, exact)) = solved else {
        case.text("solved_key", None);
        case.number("solved", None);
        return;
    };
    case.text("solved_key", Some(key));
    case.number("solved", wanted);
    if key == "teeth" || key == "starts" {
        let whole = exact.is_some_and(|exact| exact.ratio.1 == 1);
        // A target behind pi is never a whole number of teeth.
        case.text("whole", Some(if whole { "yes" } else { "no" }));
        if (wanted.fract() - 0.5).abs() > 1e-9 {
            case.number("nearest", wanted.round());
            let error = 100.0 * (wanted.round() - wanted) / wanted;
            if whole {
                case.number("nearest_error", 0.0);
            } else {
                // A difference of near numbers: what rounding leaves is a share of the number, not of the difference.
                case.number_within("nearest_error", error, 1e-9_f64.max(1e-11 / error.abs()));
            }
        }
    } else {
        case.text("whole", None);
        case.number("nearest", None);
        case.number("nearest_error", None);
    }
}

#[test]
fn threads_set_pitch_and_starts() {
    let mut faults = Vec::new();
    // Designation, lead, pitch: ISO 2901 for Tr, coarse pitches of ISO 261 for M.
    for (text, lead) in [
        ("Tr8x8(P2)", 8.0),
        ("Tr8x8 P2", 8.0),
        ("tr8×8(p2)", 8.0),
        ("Tr10x2", 2.0),
        ("Tr12x3", 3.0),
        ("Tr16x8P4", 8.0),
        ("M3", 0.5),
        ("M4", 0.7),
        ("M5", 0.8),
        ("M6", 1.0),
        ("M8", 1.25),
        ("M10", 1.5),
        ("M12", 1.75),
        ("M16", 2.0),
        ("M20", 2.5),
        ("M8x1", 1.0),
    ] {
        let mut query = Query::new("travel");
        query.with("drive", "screw").with("thread", text);
        let mut case = Case::new(&query, &mut faults);
        case.errors(&[]);
        case.number("out_travel", lead);
        case.number("steps_per_mm", 3200.0 / lead);
    }
    settle(16, &faults);
}

#[test]
fn what_contradicts_is_said_at_the_second() {
    let list: &[Wrong] = &[
        (
            &[
                ("pitch", "2"),
                ("teeth", "20"),
                ("step", "1.8"),
                ("steps", "200"),
            ],
            &["steps"],
        ),
        (
            &[
                ("drive", "rack"),
                ("pitch", "2"),
                ("module", "1"),
                ("teeth", "20"),
            ],
            &["module"],
        ),
        (&[("drive", "screw"), ("thread", "Tr8x3(P2)")], &["thread"]),
        (&[("drive", "screw"), ("thread", "wood screw")], &["thread"]),
        (
            &[
                ("pitch", "2"),
                ("steps_per_mm", "80"),
                ("turn_travel", "40"),
            ],
            &["turn_travel"],
        ),
        (&[("steps_per_mm", "80")], &["steps_per_mm"]),
        (&[("turn_travel", "40")], &["turn_travel"]),
        (
            &[
                ("pitch", "2"),
                ("teeth", "20"),
                ("gears", "2"),
                ("steps_per_mm", "80"),
            ],
            &["steps_per_mm"],
        ),
        (
            &[
                ("pitch", "2"),
                ("teeth", "20"),
                ("gears", "2"),
                ("turn_travel", "40"),
            ],
            &["turn_travel"],
        ),
        (
            &[("pitch", "2"), ("teeth", "20"), ("micro", "12")],
            &["micro"],
        ),
        (
            &[("pitch", "2"), ("teeth", "20"), ("micro", "512")],
            &["micro"],
        ),
        (
            &[("pitch", "2"), ("teeth", "20"), ("micro", "0")],
            &["micro"],
        ),
        (&[("drive", "chain")], &["drive"]),
        (&[("pitch", "0"), ("teeth", "20")], &["pitch"]),
        (&[("pitch", "-2"), ("teeth", "20")], &["pitch"]),
        (&[("pitch", "2"), ("teeth", "0")], &["teeth"]),
        (&[("pitch", "2"), ("teeth", "20.5")], &["teeth"]),
        (
            &[("pitch", "2"), ("teeth", "20"), ("gears", "60/0")],
            &["gears"],
        ),
        (&[("pitch", "2"), ("teeth", "20"), ("step", "0")], &["step"]),
    ];
    wrong("travel", list);
}

#[test]
fn a_blank_is_no_error_and_takes_only_its_own_answers_away() {
    let mut faults = Vec::new();
    for (drive, key, text) in [
        ("belt", "pitch", "2"),
        ("belt", "teeth", "20"),
        ("rack", "module", "1"),
        ("roller", "micro", "8"),
        ("screw", "starts", "4"),
    ] {
        let mut query = Query::new("travel");
        query.with("drive", drive).with(key, text);
        let mut case = Case::new(&query, &mut faults);
        case.errors(&[]);
        case.number("full_steps", 200.0);
        case.number("ratio", 1.0);
        for absent in [
            "out_travel",
            "turn_travel",
            "full_step",
            "microstep",
            "steps_per_mm",
            "digits",
            "solved",
        ] {
            case.number(absent, None);
        }
        case.text("exact", None);
    }
    settle(5, &faults);
}
