//! `control`: on-off against PID, and tuning from a log.

use alloc::borrow::Cow;
use alloc::format;
use alloc::string::String;
use alloc::vec;
use alloc::vec::Vec;

use super::declare::{
    Answer, Caution, Check, Field, Scale, Sheet, Subject, When, choice, head, places,
};
use super::inputs::Inputs;
use super::outcome::{Cell, Outcome};
use crate::entry::unit::{CELSIUS, ONE, PER_H, PER_K, PER_K_S, PERCENT, S, S_K, TEMP_DIFF};
use crate::entry::write::write_significant;
use crate::exact::to_u32;
use crate::heat::closed_loop::{Figures, Rule, Run};
use crate::heat::record::{self, Cause, FEWEST, Fit, Told};
use crate::heat::tuning::{Model, Settings, Ultimate};

const SIMC: When = &[("rule", &["simc"])];
const SWINGS: When = &[("rule", &["ziegler_nichols", "tyreus_luyben"])];
const OWN: When = &[("rule", &["own"])];
const ON_OFF: When = &[("method", &["onoff"])];
const PID: When = &[("method", &["pid"])];

/// The temperatures people may ask for.
const COLDEST: f64 = -273.15;
const HOTTEST: f64 = 3000.0;

const FIELDS: &[Field] = &[
    Field::number("gain", "Rise at full power for ever", TEMP_DIFF)
        .above(0.0, "a heater warms")
        .at_most(1e6, "no heater rises more")
        .carried("heater", "gain")
        .help("the gain of the first-order model; or give a log"),
    Field::number("tau", "Time constant", S)
        .above(0.0, "every part takes its time")
        .at_most(1e9, "no heater is that slow")
        .carried("heater", "tau"),
    Field::number("dead", "Dead time", S)
        .at_least(0.0, "an effect follows its cause")
        .at_most(1e9, "no heater is that slow")
        .carried("heater", "dead")
        .help("from switching on to the first rise of the reading"),
    Field::log("log", "Log")
        .optional()
        .help("in place of the three: rows of seconds, °C and duty from 0 to 1, of a heat-up or a relay test; pasted as logged, or a file dropped here"),
    Field::number("target", "Target temperature", CELSIUS)
        .above(COLDEST, "nothing is colder")
        .at_most(HOTTEST, "no heater stands more"),
    Field::number("ambient", "Ambient temperature", CELSIUS)
        .default("25")
        .above(COLDEST, "nothing is colder")
        .at_most(HOTTEST, "no machine stands more"),
    Field::choice(
        "method",
        "Control",
        &[choice("onoff", "On-off"), choice("pid", "PID")],
    ),
    Field::number("band", "Band of on-off control, in all", TEMP_DIFF)
        .default("2")
        .at_least(0.0, "a band has a width")
        .at_most(HOTTEST, "more would be no control")
        .help("on below the target by half of it, off over it by half of it"),
    Field::choice(
        "rule",
        "PID settings",
        &[
            choice("simc", "SIMC: smooth"),
            choice("ziegler_nichols", "Ziegler-Nichols: fast, overshoots"),
            choice("tyreus_luyben", "Tyreus-Luyben: calm"),
            choice("own", "Own"),
        ],
    ),
    Field::number("closed_tau", "Time constant asked of the loop", S)
        .optional()
        .at_least(0.0, "a time has a size")
        .at_most(1e9, "no heater is that slow")
        .help("blank takes the dead time; more is calmer")
        .when(SIMC),
    Field::number("kp", "Own proportional gain", PER_K)
        .at_least(0.0, "a heater warms")
        .at_most(1e9, "no controller has more")
        .help("in units of the full output")
        .when(OWN),
    Field::number("ki", "Own integral gain", PER_K_S)
        .at_least(0.0, "a heater warms")
        .at_most(1e9, "no controller has more")
        .when(OWN),
    Field::number("kd", "Own derivative gain", S_K)
        .at_least(0.0, "a heater warms")
        .at_most(1e9, "no controller has more")
        .when(OWN),
    Field::number("period", "Time between decisions", S)
        .optional()
        .above(0.0, "a controller takes its time")
        .at_most(1e9, "no controller is that slow")
        .help("blank takes a tenth of the dead time"),
    Field::number("full_output", "Output that means full power", ONE)
        .default("1")
        .above(0.0, "full power is more than none")
        .at_most(1e9, "no controller counts further")
        .help("1, 100, 127 or 255, as your controller counts"),
    Field::number("ku", "Ultimate gain of a relay test", PER_K)
        .optional()
        .above(0.0, "a heater warms")
        .at_most(1e9, "no controller has more")
        .help("with the period below; blank takes the log's, else the model's")
        .when(SWINGS),
    Field::number("pu", "Ultimate period of a relay test", S)
        .optional()
        .above(0.0, "a swing takes its time")
        .at_most(1e9, "no heater is that slow")
        .when(SWINGS),
];

const SKOGESTAD: &str = "S. Skogestad, Simple analytic rules for model reduction and PID controller tuning, J. Process Control 13 (2003); Ziegler and Nichols, Trans. ASME 64 (1942); Tyreus and Luyben, Ind. Eng. Chem. Res. 31 (1992)";
const FIT: &str =
    "Least squares of the first-order model with dead time over the log (Marquardt 1963)";
const ERROR: &str = "Nonlinear least squares, covariance at the best fit: σ² (JᵀJ)⁻¹";
const PARALLEL: &str = "Parallel form of the controller";
const SIMULATION: &str =
    "Simulated from rest for 10 × (time constant + dead time), exact between decisions";
const PHASE: &str = "Phase crossing of the model at −180°; from a relay log 4 d ÷ (π a), Åström and Hägglund, Automatica 20 (1984)";

const OVERSHOOT: Answer = Answer::number("overshoot", "Overshoot", TEMP_DIFF)
    .significant(3)
    .formula("highest temperature less {target}, not below 0", SIMULATION);
const RIPPLE: Answer = Answer::number("ripple", "Ripple, peak to peak", TEMP_DIFF)
    .significant(3)
    .formula(
        "highest less lowest temperature of the last fifth",
        SIMULATION,
    );

const ANSWERS: &[Answer] = &[
    Answer::number("kp", "Proportional gain", PER_K)
        .headline()
        .formula("{k} × {full_output}", PARALLEL)
        .when(PID),
    Answer::number("ki", "Integral gain", PER_K_S)
        .headline()
        .formula("{k} ÷ {ti} × {full_output}", PARALLEL)
        .when(PID),
    Answer::number("kd", "Derivative gain", S_K)
        .headline()
        .formula("{k} × {td} × {full_output}", PARALLEL)
        .when(PID),
    OVERSHOOT.headline().when(ON_OFF),
    RIPPLE.headline().when(ON_OFF),
    OVERSHOOT.when(PID),
    RIPPLE.when(PID),
    Answer::number("settle", "Last time outside ± 1 K", S)
        .significant(3)
        .formula("last moment more than 1 K away from {target}", SIMULATION),
    Answer::number("switches", "Switching on, times an hour", PER_H)
        .significant(3)
        .formula(
            "3600 ÷ mean time between switching on, after the start-up",
            SIMULATION,
        )
        .when(ON_OFF),
    Answer::text("plainly", "Plainly"),
    Answer::rows(
        "compare",
        "Side by side",
        &[
            head("Control", "", 1),
            places("Overshoot", "K", 2),
            head("Settled at", "s", 3),
            places("Ripple", "K", 2),
            head("Starts", "1/h", 3),
        ],
    ),
    Answer::number("gain", "Gain of the log", TEMP_DIFF)
        .formula("rise at full power for ever", FIT),
    Answer::number("gain_error", "Its standard error", TEMP_DIFF)
        .significant(2)
        .formula("σ × √ of its element of (JᵀJ)⁻¹", ERROR),
    Answer::number("tau", "Time constant of the log", S)
        .formula("time constant of the nearest model", FIT),
    Answer::number("tau_error", "Its standard error", S)
        .significant(2)
        .formula("σ × √ of its element of (JᵀJ)⁻¹", ERROR),
    Answer::number("dead", "Dead time of the log", S)
        .formula("dead time of the nearest model", FIT),
    Answer::number("dead_error", "Its standard error", S)
        .significant(2)
        .formula("σ × √ of its element of (JᵀJ)⁻¹", ERROR),
    Answer::number(
        "slope_error",
        "Standard error of gain over time constant",
        PERCENT,
    )
    .significant(2)
    .formula("σ × √ of its element of (JᵀJ)⁻¹", ERROR),
    Answer::number("fit_error", "What the fit misses, RMS", TEMP_DIFF)
        .significant(2)
        .formula("root mean square of log less model", FIT),
    Answer::text("drawn", "Drawn below"),
    Answer::number("k", "Gain", PER_K).formula("by the chosen rule", SKOGESTAD),
    Answer::number("ti", "Integral time", S).formula("by the chosen rule", SKOGESTAD),
    Answer::number("td", "Derivative time", S).formula("by the chosen rule", SKOGESTAD),
    Answer::number("kp", "Proportional gain", PER_K)
        .formula("{k} × {full_output}", PARALLEL)
        .when(ON_OFF),
    Answer::number("ki", "Integral gain", PER_K_S)
        .formula("{k} ÷ {ti} × {full_output}", PARALLEL)
        .when(ON_OFF),
    Answer::number("kd", "Derivative gain", S_K)
        .formula("{k} × {td} × {full_output}", PARALLEL)
        .when(ON_OFF),
    Answer::number("ku", "Ultimate gain", PER_K).formula(
        "√(1 + (2π ÷ {pu} × {tau})²) ÷ {gain}, or by the relay log",
        PHASE,
    ),
    Answer::number("pu", "Ultimate period", S).formula(
        "2π ÷ the frequency where the model turns by 180°, or by the relay log",
        PHASE,
    ),
    Answer::curve(
        "curve",
        "PID and on-off",
        &[
            head("Time", "s", 4),
            head("PID", "C", 4),
            head("On-off", "C", 4),
        ],
        Scale::Linear,
    ),
    Answer::curve(
        "fit",
        "Log and fit",
        &[
            head("Time", "s", 4),
            head("Log", "C", 4),
            head("Fit", "C", 4),
        ],
        Scale::Linear,
    ),
    Answer::curve(
        "residuals",
        "Log less fit",
        &[head("Time", "s", 4), head("Residual", "K", 3)],
        Scale::Linear,
    ),
];

const CHECKS: &[Check] = &[Check {
    id: "reach",
    label: "Target within reach",
    measure: CELSIUS,
    within: "The target of {value} is well within the {limit} of full power.",
    near: "The target of {value} is close to the {limit} of full power: little is left to control with.",
    over: "Full power reaches {limit}; the target of {value} is never met.",
}];

const CAUTIONS: &[Caution] = &[
    Caution::always(
        "first_run",
        "Wrong settings, a loose sensor or a failed switch let the heater run away.",
        "Watch the first runs and every log you take, a hand on the mains switch, with an independent thermometer and thermal fuse.",
    ),
    Caution::always(
        "hot",
        "The parts stay hot enough to burn long after a test.",
        "Let them cool before touching them; keep what burns away from them.",
    ),
];

/// The sheet.
pub const SHEET: Sheet = Sheet {
    id: "control",
    title: "Heater control",
    about: "on-off against PID side by side, and settings from a log of the real heater",
    search: "pid tuning autotune hysteresis bang-bang on-off relay log fit dead time kp ki kd overshoot",
    subject: Subject::Heat,
    fields: FIELDS,
    answers: ANSWERS,
    checks: CHECKS,
    cautions: CAUTIONS,
    work,
};

/// Rows of a curve, about.
const CURVE_ROWS: f64 = 800.0;

/// The most decisions that are simulated; more would freeze the page.
const MOST_PERIODS: f64 = 400_000.0;

fn work(inputs: &Inputs, out: &mut Outcome) {
    let Some((model, relay)) = model(inputs, out) else {
        return;
    };
    let typed = inputs.num("ku").zip(inputs.num("pu"));
    let typed = typed.map(|(gain, period_s)| Ultimate { gain, period_s });
    let ultimate = typed.or(relay).or_else(|| model.ultimate());
    out.put("ku", ultimate.map(|u| u.gain));
    out.put("pu", ultimate.map(|u| u.period_s));
    let full = inputs.num("full_output");
    let settings = full.and_then(|full| settings(inputs, out, &model, ultimate, full));
    if let (Some(Settings { k, ti_s, td_s }), Some(full)) = (settings, full) {
        out.put("k", k);
        out.put("ti", ti_s);
        out.put("td", td_s);
        out.put("kp", k * full);
        out.put("ki", ti_s.map_or(0.0, |ti| k / ti * full));
        out.put("kd", k * td_s * full);
    }
    simulate(inputs, out, model, settings);
}

/// The model, as typed or by the log, and what the log's relay swings tell.
fn model(inputs: &Inputs, out: &mut Outcome) -> Option<(Model, Option<Ultimate>)> {
    if !inputs.typed("log") {
        let model = Model {
            gain_k: inputs.num("gain")?,
            tau_s: inputs.num("tau")?,
            dead_s: inputs.num("dead")?,
        };
        return Some((model, None));
    }
    if ["gain", "tau", "dead"].iter().any(|key| inputs.typed(key)) {
        out.problem(
            "log",
            "Log: give the log, or gain, time constant and dead time, not both.",
        );
        return None;
    }
    let (rows, ambient) = (inputs.log("log")?, inputs.num("ambient")?);
    let told = inputs
        .told
        .filter(|told| told.stands(rows, ambient))
        .unwrap_or_else(|| Told::by(rows, ambient));
    out.told = Some(told);
    match told.fit {
        Ok(fit) => {
            put_fit(out, &fit, rows);
            Some((fit.model, told.relay))
        }
        Err(cause) => {
            out.problem("log", refusal(cause));
            None
        }
    }
}

/// The fitted model, how sure it is, and what it looks like over the log.
fn put_fit(out: &mut Outcome, fit: &Fit, rows: &[record::Row]) {
    let Model {
        gain_k,
        tau_s,
        dead_s,
    } = fit.model;
    for (key, value) in [("gain", gain_k), ("tau", tau_s), ("dead", dead_s)] {
        out.put(key, value);
        out.stand_in(key, value);
    }
    out.put("gain_error", fit.gain_se_k);
    out.put("tau_error", fit.tau_se_s);
    out.put("dead_error", fit.dead_se_s);
    out.put("slope_error", 100.0 * fit.slope_se);
    out.put("fit_error", fit.rms_k);
    if !out.wants_rows() {
        return;
    }
    notes(out, rows);
    let stride = rows.len().div_ceil(400).max(1);
    if stride > 1 {
        out.put_text(
            "drawn",
            format!("every {stride}th row of the log, as it is; all rows are fitted"),
        );
    }
    let (mut lines, mut residuals) = (Vec::new(), Vec::new());
    let mut index = 0;
    fit.each(rows, &mut |&[seconds, celsius, _], fitted| {
        if index % stride == 0 {
            lines.push([seconds, celsius, fitted].map(Cell::number).into());
            residuals.push((seconds, celsius - fitted));
        }
        index += 1;
    });
    out.put_rows("fit", lines);
    out.put_pairs("residuals", residuals);
}

/// A row after so many mean spacings of the log is after a gap.
const GAP: f64 = 20.0;

/// What was taken for granted in a log.
fn notes(out: &mut Outcome, rows: &[record::Row]) {
    let ([Some(first), Some(last)], count) = ([rows.first(), rows.last()], rows.len()) else {
        return;
    };
    let [began, _, duty] = *first;
    if rows.iter().all(|[_, _, d]| libm::fabs(d - duty) <= 0.0) {
        out.warn(
            "log",
            "Log: the duty never changes; it is taken as switched on at the first row, from rest.",
        );
    }
    let spacing = (last[0] - began) / f64::from(u32::try_from(count).unwrap_or(u32::MAX));
    let gaps = rows.windows(2).enumerate();
    for (i, pair) in gaps {
        if let [[before, ..], [after, ..]] = pair
            && after - before > GAP * spacing
        {
            out.warn(
                "log",
                format!(
                    "Log, row {}: {} s without a reading; the duty is taken as held through them.",
                    i + 2,
                    write_significant(after - before, 3)
                ),
            );
            return;
        }
    }
}

/// Why a log carries no fit, and what to record instead.
fn refusal(cause: Cause) -> String {
    const AGAIN: &str = "Record again: from cold, a row a second, 20 s off, then full on until the rise clearly bends.";
    match cause {
        Cause::TooFew { rows } => {
            format!("Log: enter at least {FEWEST} rows; these are {rows}. {AGAIN}")
        }
        Cause::Off => format!("Log: the duty is 0 throughout, so nothing answers to it. {AGAIN}"),
        Cause::NoAnswer => format!("Log: nothing in the temperature follows the duty. {AGAIN}"),
        Cause::GainNotPositive => format!(
            "Log: the temperature falls while the heater is on; check the order of the columns. {AGAIN}"
        ),
        Cause::Jump { row, kelvin } => format!(
            "Log, row {row}: the reading jumps by {} K from the row before, as when a sensor drops out or comes back. Mend the connection, or leave such rows out.",
            write_significant(kelvin, 3)
        ),
        Cause::UnsureSlope { error } => format!(
            "Log: gain over time constant is only known to ± {} %, over the 25 % that a setting can stand. {AGAIN}",
            write_significant(100.0 * error, 2)
        ),
        Cause::UnsureDead { dead_s, error_s } => format!(
            "Log: the dead time of {} s is only known to ± {} s, over the 25 % that a setting can stand. Record with rows closer together around the switching on, and less noise.",
            write_significant(dead_s, 2),
            write_significant(error_s, 2)
        ),
    }
}

/// The controller's settings by the chosen rule.
fn settings(
    inputs: &Inputs,
    out: &mut Outcome,
    model: &Model,
    ultimate: Option<Ultimate>,
    full: f64,
) -> Option<Settings> {
    match inputs.choice("rule") {
        "simc" => {
            let closed = match inputs.typed("closed_tau") {
                true => inputs.num("closed_tau")?,
                false => model.dead_s,
            };
            out.stand_in("closed_tau", closed);
            let settings = model.simc(closed);
            if settings.is_none() {
                out.warn(
                    "closed_tau",
                    "Time constant asked of the loop: enter one over 0; without dead time the rule has no gain of its own.",
                );
            }
            settings
        }
        "ziegler_nichols" => ultimate.map(|ultimate| ultimate.ziegler_nichols()),
        "tyreus_luyben" => ultimate.map(|ultimate| ultimate.tyreus_luyben()),
        "own" => {
            let (kp, ki, kd) = (inputs.num("kp")?, inputs.num("ki")?, inputs.num("kd")?);
            // Without a proportional part the two times have no meaning, and the loop is left out.
            (kp > 0.0).then(|| Settings {
                k: kp / full,
                ti_s: (ki > 0.0).then(|| kp / ki),
                td_s: kd / kp,
            })
        }
        _ => None,
    }
}

/// Both loops, the chosen one's figures, and the curve.
fn simulate(inputs: &Inputs, out: &mut Outcome, model: Model, settings: Option<Settings>) {
    let (Some(target), Some(ambient)) = (inputs.num("target"), inputs.num("ambient")) else {
        return;
    };
    if target < ambient {
        out.problem(
            "target",
            "Target temperature: enter a temperature from ambient upwards; a heater does not cool.",
        );
        return;
    }
    out.check_at_most("reach", target, ambient + model.gain_k);
    let period = match inputs.typed("period") {
        true => inputs.num("period"),
        false if model.dead_s > 0.0 => Some(model.dead_s / 10.0),
        false => Some(model.tau_s / 1000.0),
    };
    let (Some(period_s), Some(band_k)) = (period, inputs.num("band")) else {
        return;
    };
    out.stand_in("period", period_s);
    let run = |rule| Run {
        model,
        rule,
        ambient_c: ambient,
        target_c: target,
        period_s,
    };
    let on_off = run(Rule::OnOff { band_k });
    let (Some(length), true) = (
        to_u32(on_off.dead_periods()).and_then(|n| usize::try_from(n).ok()),
        on_off.periods() <= MOST_PERIODS,
    ) else {
        out.warn(
            "period",
            format!(
                "Time between decisions: enter {} s or more; with less this run has too many decisions to simulate.",
                write_significant(on_off.seconds() / MOST_PERIODS * 1.01, 3)
            ),
        );
        return;
    };
    let mut memory = vec![0.0; length + 2];
    let by_settings = settings.map(|settings| run(Rule::Pid(settings)));
    let chosen = match inputs.choice("method") {
        "onoff" => Some(on_off),
        _ => by_settings,
    };
    if !out.wants_rows() {
        // Nobody looks at the curves, nor at the other method.
        if let Some(chosen) = chosen {
            put_figures(out, &chosen, &chosen.simulate(&mut memory, None));
        }
        return;
    }
    let stride = libm::ceil(on_off.periods() / CURVE_ROWS).max(1.0);
    let (by_switch, switch_rows) = simulated(&on_off, &mut memory, stride);
    let pid = by_settings.map(|run| simulated(&run, &mut memory, stride));
    let (by_pid, pid_rows) = match pid {
        Some((figures, rows)) => (Some(figures), rows),
        None => (None, Vec::new()),
    };
    let mut pid_rows = pid_rows.into_iter();
    let rows = switch_rows.into_iter().map(|(seconds, celsius)| {
        let pid = pid_rows.next().map(|(_, celsius)| celsius);
        [
            Cell::number(seconds),
            Cell::number(pid),
            Cell::number(celsius),
        ]
        .into()
    });
    out.put_rows("curve", rows.collect());

    let line = |name: &'static str, figures: &Figures, switches: Option<f64>| -> Vec<Cell> {
        [
            Cell::Text(Cow::Borrowed(name)),
            Cell::number(figures.overshoot_k),
            Cell::number(figures.settle_s),
            Cell::number(figures.ripple_k),
            Cell::number(switches),
        ]
        .into()
    };
    let mut compare = Vec::new();
    compare.push(line("On-off", &by_switch, by_switch.switches_per_h));
    compare.extend(by_pid.iter().map(|figures| line("PID", figures, None)));
    out.put_rows("compare", compare);

    let figures = match chosen.map(|run| run.rule) {
        Some(Rule::OnOff { .. }) => Some(by_switch),
        _ => by_pid,
    };
    if let Some((run, figures)) = chosen.zip(figures) {
        put_figures(out, &run, &figures);
    }
}

/// The figures of the chosen method.
fn put_figures(out: &mut Outcome, run: &Run, figures: &Figures) {
    if matches!(run.rule, Rule::OnOff { .. }) {
        out.put("switches", figures.switches_per_h);
    }
    out.put("overshoot", figures.overshoot_k);
    out.put("settle", figures.settle_s);
    out.put("ripple", figures.ripple_k);
    if figures.settle_s > 0.95 * run.seconds() {
        out.put_text(
            "plainly",
            format!(
                "In all {} s of the run it never stays within 1 K of the target.",
                write_significant(run.seconds(), 3)
            ),
        );
    }
}

/// A run's figures, and every so manieth of its rows.
fn simulated(run: &Run, memory: &mut [f64], stride: f64) -> (Figures, Vec<(f64, f64)>) {
    let mut rows = Vec::new();
    let mut left = 0.0;
    let mut note = |seconds, celsius| {
        if left <= 0.0 {
            rows.push((seconds, celsius));
            left = stride;
        }
        left -= 1.0;
    };
    let figures = run.simulate(memory, Some(&mut note));
    (figures, rows)
}

#[cfg(test)]
mod tests {
    use super::super::outcome::Found;
    use super::super::report::Report;
    use super::super::trial::{faults, number, state, text};
    use super::*;

    fn run(pairs: &[(&str, &str)]) -> Report {
        SHEET.run(&pairs.iter().copied().collect())
    }

    const BED: [(&str, &str); 4] = [
        ("gain", "180"),
        ("tau", "400"),
        ("dead", "12"),
        ("target", "100"),
    ];

    fn bed(more: &[(&str, &str)]) -> Report {
        let pairs: Vec<(&str, &str)> = BED.iter().chain(more).copied().collect();
        run(&pairs)
    }

    fn is(report: &Report, key: &str, expected: f64, tolerance: f64) {
        let found = number(report, key);
        assert!(
            (found - expected).abs() <= tolerance * expected.abs(),
            "{key}: {found}, expected {expected}"
        );
    }

    /// A heat-up of the bed: 40 s off, then full on.
    fn heat_up(step: f64, rows: u16, duty: &str) -> String {
        let rows: Vec<String> = (0..rows)
            .map(|i| {
                let s = step * f64::from(i);
                let rise = 180.0 * (1.0 - libm::exp(-(s - 52.0_f64).max(0.0) / 400.0));
                let on = if s < 40.0 { "0" } else { duty };
                format!("{s},{:.2},{on}", 25.0 + rise)
            })
            .collect();
        rows.join(";")
    }

    #[test]
    fn simc_settings_in_the_units_of_the_controller() {
        let report = bed(&[("method", "pid"), ("full_output", "255")]);
        let k = 400.0 / (180.0 * 24.0);
        is(&report, "k", k, 1e-14);
        is(&report, "ti", 96.0, 1e-14);
        is(&report, "td", 0.0, 0.0);
        is(&report, "kp", 255.0 * k, 1e-14);
        is(&report, "ki", 255.0 * k / 96.0, 1e-14);
        is(&report, "kd", 0.0, 0.0);
        assert!(number(&report, "ripple") < 0.01);
        assert!(report.found("switches").is_none());
        assert!(report.found("gain").is_none());
        assert_eq!(state(&report, "reach"), "within");
    }

    #[test]
    fn on_off_is_the_other_side_of_the_same_run() {
        let on_off = bed(&[]);
        assert!(number(&on_off, "overshoot") > 3.0 && number(&on_off, "ripple") > 7.0);
        assert!(number(&on_off, "switches") > 30.0);
        assert!(text(&on_off, "plainly").contains("never stays within 1 K"));
        let pid = bed(&[("method", "pid")]);
        assert_eq!(on_off.found("curve"), pid.found("curve"));
        assert_eq!(on_off.found("compare"), pid.found("compare"));
        let Some(Found::Rows(rows)) = pid.found("curve") else {
            panic!("a curve");
        };
        assert!((600..=801).contains(&rows.len()), "{}", rows.len());
    }

    #[test]
    fn no_dead_time_never_gives_infinity() {
        let none = [
            ("gain", "180"),
            ("tau", "400"),
            ("dead", "0"),
            ("target", "100"),
        ];
        for rule in ["simc", "ziegler_nichols", "tyreus_luyben"] {
            for method in ["pid", "onoff"] {
                let mut pairs = none.to_vec();
                pairs.extend([("rule", rule), ("method", method)]);
                let report = run(&pairs);
                for absent in ["ku", "pu", "k", "kp", "ki"] {
                    assert!(report.found(absent).is_none(), "{absent} {rule}");
                }
                assert!(faults(&report).is_empty());
                assert_eq!(report.found("ripple").is_some(), method == "onoff");
            }
        }
        let mut pairs = none.to_vec();
        pairs.extend([("closed_tau", "20"), ("method", "pid")]);
        let report = run(&pairs);
        is(&report, "k", 400.0 / (180.0 * 20.0), 1e-14);
        assert!(number(&report, "settle") > 0.0);
    }

    #[test]
    fn own_settings_come_back_as_typed() {
        let own = [("rule", "own"), ("method", "pid"), ("full_output", "100")];
        let mut more = own.to_vec();
        more.extend([("kp", "9"), ("ki", "0.1"), ("kd", "27")]);
        let report = bed(&more);
        is(&report, "kp", 9.0, 1e-14);
        is(&report, "ki", 0.1, 1e-14);
        is(&report, "kd", 27.0, 1e-14);
        is(&report, "k", 0.09, 1e-14);
        is(&report, "ti", 90.0, 1e-14);
        is(&report, "td", 3.0, 1e-14);
        let mut more = own.to_vec();
        more.extend([("kp", "9"), ("ki", "0"), ("kd", "0")]);
        let report = bed(&more);
        assert!(report.found("ti").is_none());
        is(&report, "ki", 0.0, 0.0);
        // A blank one is not 0.
        let mut more = own.to_vec();
        more.extend([("kp", "9"), ("ki", "0.1")]);
        let report = bed(&more);
        assert!(report.found("kp").is_none() && report.found("overshoot").is_none());
        assert!(report.found("curve").is_some());
    }

    #[test]
    fn a_log_gives_the_model_back() {
        let log = heat_up(2.0, 400, "1");
        let report = run(&[("log", &log), ("target", "100"), ("method", "pid")]);
        is(&report, "gain", 180.0, 1e-3);
        is(&report, "tau", 400.0, 1e-3);
        is(&report, "dead", 12.0, 1e-2);
        assert!(number(&report, "fit_error") < 0.01);
        is(&report, "k", 400.0 / (180.0 * 24.0), 1e-2);
        assert!(report.warnings.is_empty());
        for curve in ["fit", "residuals"] {
            assert!(matches!(report.found(curve), Some(Found::Rows(rows)) if rows.len() == 400));
        }
        // Half the power: the same model.
        let log = heat_up(2.0, 400, "0.5");
        is(&run(&[("log", &log)]), "gain", 360.0, 1e-3);
    }

    #[test]
    fn a_log_beside_a_model_is_refused_at_the_log() {
        let log = heat_up(2.0, 100, "1");
        assert_eq!(faults(&bed(&[("log", &log)])), ["log"]);
        assert_eq!(faults(&run(&[("log", &log), ("tau", "400")])), ["log"]);
    }

    #[test]
    fn a_log_that_carries_no_fit_is_told_so() {
        let log = heat_up(2.0, 400, "1");
        let backwards = format!("{log};5,30,1");
        let dropped = log.replace("200,80.67,1", "200,-14.00,1");
        assert!(dropped != log);
        let off = heat_up(2.0, 100, "0");
        let flat: Vec<String> = (0..100).map(|i| format!("{i},25,1")).collect();
        let flat = flat.join(";");
        for (log, word) in [
            ("0,25,1;1,25,1", "at least 5 rows"),
            (flat.as_str(), "Log: "),
            (backwards.as_str(), "backwards"),
            (off.as_str(), "0 throughout"),
            (dropped.as_str(), "row 101: the reading jumps by -94.7 K"),
            ("0,25,1;1,,1;2,26,1", "row 2"),
        ] {
            let report = run(&[("log", log), ("target", "100")]);
            assert_eq!(faults(&report), ["log"], "{word}");
            let message = report.problems.first().map_or("", |p| p.message.as_str());
            assert!(message.contains(word), "{message}");
            assert!(report.found("gain").is_none() && report.found("curve").is_none());
        }
    }

    #[test]
    fn a_gap_and_a_duty_that_never_changes_are_said() {
        let log = heat_up(2.0, 400, "1");
        let rows: Vec<&str> = log.split(';').collect();
        let gap: Vec<&str> = rows
            .iter()
            .enumerate()
            .filter(|(i, _)| !(200..230).contains(i))
            .map(|(_, row)| *row)
            .collect();
        let report = run(&[("log", &gap.join(";"))]);
        assert!(
            report
                .warnings
                .iter()
                .any(|w| w.message.contains("row 201: 62.0 s without"))
        );
        is(&report, "tau", 400.0, 1e-3);
        let on: Vec<&str> = rows.iter().skip(20).copied().collect();
        let report = run(&[("log", &on.join(";"))]);
        assert!(
            report
                .warnings
                .iter()
                .any(|w| w.message.contains("never changes"))
        );
        is(&report, "dead", 12.0, 1e-2);
    }

    #[test]
    fn a_target_below_ambient_or_out_of_reach_is_told_so() {
        let report = run(&[
            ("gain", "180"),
            ("tau", "400"),
            ("dead", "12"),
            ("target", "20"),
        ]);
        assert_eq!(faults(&report), ["target"]);
        assert!(report.found("curve").is_none() && report.found("ku").is_some());
        let report = run(&[
            ("gain", "60"),
            ("tau", "400"),
            ("dead", "12"),
            ("target", "100"),
        ]);
        assert_eq!(state(&report, "reach"), "over");
        assert!(report.found("switches").is_none());
    }

    #[test]
    fn too_many_decisions_are_refused_in_words() {
        let report = bed(&[("period", "1e-6")]);
        assert!(report.found("curve").is_none());
        assert!(report.warnings.iter().any(|w| w.field == "period"));
        assert!(report.found("kp").is_some());
    }
}
