//! Complete calculations of every sheet: those of the example machine, and what it has not.
//!
//! The numbers are the project's own scenario, nobody's product.

use layshaft_core::entry::unit::CELSIUS;
use layshaft_core::link;
use layshaft_core::machine::example;
use layshaft_core::sheets::declare::Kind;
use layshaft_core::sheets::{Entries, Field, Report};

/// Sheets that the example machine does not have, and other ways through those it has.
const MORE: &[&str] = &[
    "gears?stages=spur,17,51,98,5;worm,1,30,45,10;planetary,12,60,ring,97,3&torque_in=0.3&speed_in=200&inertia_in=54\
     &out_radius=20",
    "travel?drive=belt&pitch=2&teeth=20&gears=60/20&step=1.8&micro=16&span=180",
    "travel?drive=rotary&gears=60/20*34/17&step=1.8&micro=16",
    "coils?pairs=1,2,;1,3,2.8;2,4,2.7&lead=0.1&frame=42&depth=40&warm_ohm=3.2&turns_counted=200",
    "current?rated=1.5&resistance=1.6&inductance=2.8&motors=2&wiring=parallel&set=1.2&driver_limit=2.5&rds_on=0.17\
     &supply=24&ambient=35&mount_limit=75&setting=reference&gain=8&sense=0R1",
    "sensor?kind=beta&r25=100k&beta=3950&pullup=4k7&give=count&value=702&r_tol=1&beta_tol=1&dissipation=1.5\
     &as=beta&as_r25=100k&as_beta=4267",
    "sensor?kind=points&points=25,100k;150,1.77k;200,620;250,240&pullup=4k7&give=count&value=702&r_tol=1",
    "sensor?kind=thermocouple_k&give=voltage&value=8.1&cold=24",
    "control?method=pid&rule=simc&target=255&gain=420&tau=150&dead=6&ambient=25",
    "control?method=onoff&target=100&gain=180&tau=400&dead=12&ambient=25&band=2",
    "find?pitches=2,3&teeth=16..24&gears=1,2,3&micros=16,32&motors=one,1.8,0.4,1.5,2.1,3.2,54,14.5;\
     two,0.9,0.44,1.7,1.6,3.0,68,17&from=10&to=60&mass=0.5&speed=150&accel=2000&supply=24&margin=1.5",
];

/// A log of a heater as a person records it: 40 s off, then full on.
fn heat_up() -> String {
    let row = |i: u16| {
        let s = 2.0 * f64::from(i);
        let rise = 180.0 * (1.0 - (-(s - 52.0).max(0.0) / 400.0).exp());
        let on = u8::from(s >= 40.0);
        format!("{s},{:.2},{on}", 25.0 + rise)
    };
    (0..400).map(row).collect::<Vec<_>>().join("\n")
}

/// The link texts of complete calculations, at least one of every sheet, each with what it carries written out.
///
/// # Panics
/// When the example machine cannot be read.
pub fn samples() -> Vec<(&'static layshaft_core::sheets::Sheet, Entries)> {
    let machine = match example::machine() {
        Ok(machine) => machine,
        Err(fault) => panic!("{}", fault.message()),
    };
    let worked = machine.work();
    let links = worked.reports().map(|(_, report)| link::write(report));
    let mut samples: Vec<_> = links
        .chain(MORE.iter().map(ToString::to_string))
        .map(|text| {
            let opened = link::read(&text);
            assert!(opened.faults.is_empty(), "{text}: {:?}", opened.faults);
            match opened.sheet {
                Some(sheet) => (sheet, opened.entries),
                None => panic!("{text}: no sheet"),
            }
        })
        .collect();
    for (sheet, entries) in &mut samples.clone() {
        if sheet.id == "control" && entries.get("gain").is_some() {
            for key in ["gain", "tau", "dead", "ku", "pu"] {
                entries.set(key, "");
            }
            entries.set("log", &heat_up());
            samples.push((sheet, entries.clone()));
            break;
        }
    }
    samples
}

/// The same with a tolerance of `share` of it, such as "1 %", on every number that takes one, also in rows; of 1 K on a temperature.
pub fn toleranced(report: &Report, share: &str) -> Entries {
    let mut entries = report.entries.clone();
    for field in report.sheet.fields {
        let Some(text) = report.entries.get(field.key) else {
            continue;
        };
        if let Kind::Rows(columns) = field.kind {
            let rows: Vec<String> = text
                .split(';')
                .map(|row| {
                    let cells = row.split(',').zip(columns);
                    let cells: Vec<String> = cells
                        .map(|(cell, column)| with(column, cell, share))
                        .collect();
                    cells.join(",")
                })
                .collect();
            try_one(report, &mut entries, field, &rows.join(";"));
        } else {
            try_one(report, &mut entries, field, &with(field, text, share));
        }
    }
    entries
}

fn with(field: &Field, text: &str, share: &str) -> String {
    let takes = matches!(
        field.kind,
        Kind::Number(_) | Kind::Either { .. } | Kind::Ratio
    );
    let scale = field
        .measure()
        .is_some_and(|measure| measure.unit.is(CELSIUS.unit));
    if takes && !text.is_empty() && !text.contains('±') {
        format!("{text} ± {}", if scale { "1 K" } else { share })
    } else {
        text.to_string()
    }
}

/// Keeps an entry where the sheet takes it: per cent of 0 is refused, and what goes beyond a limit.
fn try_one(report: &Report, entries: &mut Entries, field: &Field, text: &str) {
    let mut tried = entries.clone();
    tried.set(field.key, text);
    if report.sheet.run(&tried).problems.len() <= report.problems.len() {
        *entries = tried;
    }
}
