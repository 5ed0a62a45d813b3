//! `control` drawn: on-off and PID around the target, with the band.

use layshaft_core::sheets::{Cell, Found, Report};

use super::{Drawing, Marks, part_of};

/// Swings that are drawn.
const SWINGS: f64 = 8.0;

/// The band about the target.
fn band(report: &Report) -> Option<(f64, f64)> {
    let (target, band) = (report.inputs.num("target")?, report.inputs.num("band")?);
    Some((target - band / 2.0, target + band / 2.0))
}

/// The log as points, and where the target is.
pub fn marks(report: &Report, answer: &str) -> Marks<'static> {
    let target = report.inputs.num("target");
    let of_curve = answer == "curve";
    let levels = match answer {
        "curve" => target.map(|target| (target, "target")),
        "residuals" => Some((0.0, "")),
        _ => None,
    };
    Marks {
        points: !of_curve,
        levels: levels.into_iter().collect(),
        band: band(report).filter(|_| of_curve),
        ..Marks::default()
    }
}

/// How far each loop is from the target in a row.
fn off(row: &[Cell], target: f64) -> impl Iterator<Item = f64> {
    row.iter().skip(1).filter_map(move |cell| match cell {
        Cell::Number(celsius) => Some((celsius - target).abs()),
        _ => None,
    })
}

/// Some swings from the moment one of both comes near the target; what is farther off does not show.
pub fn draw(report: &Report) -> Option<Drawing> {
    let (low, high) = band(report)?;
    let target = f64::midpoint(low, high);
    let Found::Rows(rows) = report.found("curve")? else {
        return None;
    };
    // As far as the swings of the second half reach.
    let late = rows
        .iter()
        .skip(rows.len() / 2)
        .flat_map(|row| off(row, target));
    let near = 1.2 * late.fold((high - low).max(2.0), f64::max);
    let first = rows
        .iter()
        .find(|row| off(row, target).any(|kelvin| kelvin <= near))?;
    let Some(Cell::Number(begin)) = first.first() else {
        return None;
    };
    let until = report
        .number("pu")
        .map_or(f64::INFINITY, |period| begin + SWINGS * period);
    part_of(
        report,
        &marks(report, "curve"),
        "The beginning around the target, with the band of on-off control.",
        &|row| {
            let inside =
                matches!(row.first(), Some(Cell::Number(x)) if (*begin..=until).contains(x));
            let near = |cell: &Cell| match cell {
                Cell::Number(celsius) if (celsius - target).abs() > near => Cell::Blank,
                other => other.clone(),
            };
            let shown = row.iter().enumerate().map(|(column, cell)| match column {
                0 => cell.clone(),
                _ => near(cell),
            });
            inside.then(|| shown.collect())
        },
    )
}
