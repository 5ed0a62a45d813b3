//! What the tests of drawings share: a sheet drawn from its entries, and whether every word can be read.

use layshaft_core::sheets;

use super::{Drawing, draw};

/// The drawing of a sheet, if there is one.
pub fn drawn(sheet: &str, entries: &[(&str, &str)]) -> Option<Drawing> {
    let sheet = sheets::find(sheet).expect("it is listed");
    let drawn = draw(&sheet.run(&entries.iter().copied().collect()));
    if let Some(drawing) = &drawn {
        legible(drawing, &line(entries));
    }
    drawn
}

/// Its svg; empty without a drawing.
pub fn svg(sheet: &str, entries: &[(&str, &str)]) -> String {
    drawn(sheet, entries).map_or_else(String::new, |drawn| drawn.svg)
}

/// Entries with some in the place of others.
pub fn with<'a>(
    plain: &[(&'a str, &'a str)],
    more: &[(&'a str, &'a str)],
) -> Vec<(&'a str, &'a str)> {
    let mut entries = plain.to_vec();
    entries.retain(|(key, _)| more.iter().all(|(other, _)| other != key));
    entries.extend_from_slice(more);
    entries
}

/// Entries as a link writes them.
fn line(entries: &[(&str, &str)]) -> String {
    let pairs = entries.iter().map(|(key, text)| [key, "=", text].concat());
    pairs.collect::<Vec<_>>().join("&")
}

/// Every number of a drawing: the corners of its lines and circles.
pub fn numbers(svg: &str) -> Vec<f64> {
    svg.split('<')
        .filter(|tag| !tag.starts_with('/'))
        .flat_map(|tag| {
            tag.split('>')
                .next()
                .unwrap_or("")
                .split(|c: char| !c.is_ascii_digit() && c != '-')
                .filter_map(|number| number.parse::<f64>().ok())
                .collect::<Vec<_>>()
        })
        .collect()
}

/// The corners of each path of a class, in units.
pub fn corners(svg: &str, class: &str) -> Vec<Vec<(f64, f64)>> {
    let start = ["<path class=", class, " d=\"M"].concat();
    let paths = svg.split(start.as_str()).skip(1);
    let corners = paths.map(|path| {
        let numbers: Vec<f64> = path
            .split('"')
            .next()
            .unwrap_or("")
            .split_whitespace()
            .filter_map(|number| number.parse::<f64>().ok().map(|tenths| tenths / 10.0))
            .collect();
        let pairs = numbers.chunks_exact(2);
        pairs
            .filter_map(|pair| Some((*pair.first()?, *pair.last()?)))
            .collect()
    });
    corners.collect()
}

/// Left, top, right and bottom of each text, and its words, in units.
fn boxes(svg: &str) -> Vec<([f64; 4], String)> {
    let texts = svg.split("<text ").skip(1).filter_map(|text| {
        let (tag, rest) = text.split_once('>')?;
        let words = rest.split("</text>").next()?;
        let shown = words.replace("&lt;", "<").replace("&amp;", "&");
        let value = |name: &str| -> Option<f64> {
            let after = tag.split(name).nth(1)?;
            Some(after.split(' ').next()?.parse::<f64>().ok()? / 10.0)
        };
        let (x, y) = (value(" x=")?, value(" y=")?);
        let long = 6.0 * shown.chars().map(|_| 1.0).sum::<f64>();
        let left = match tag.split(' ').next()? {
            "text-anchor=middle" => x - long / 2.0,
            "text-anchor=end" => x - long,
            _ => x,
        };
        Some(([left, y - 8.0, left + long, y + 2.0], shown))
    });
    texts.collect()
}

/// Refuses words outside the frame or on one another, and corners far outside it.
pub fn legible(drawing: &Drawing, what: &str) {
    let svg = &drawing.svg;
    assert!(
        !svg.contains("NaN") && !svg.contains("inf"),
        "{what}: {svg}"
    );
    let far = numbers(svg)
        .into_iter()
        .find(|x| x.abs() > 20.0 * drawing.width.max(drawing.height));
    assert_eq!(far, None, "{what}: far outside in {svg}");
    let boxes = boxes(svg);
    for (index, ([left, top, right, low], words)) in boxes.iter().enumerate() {
        assert!(
            *left >= -0.5
                && *right <= drawing.width + 0.5
                && *top >= -0.5
                && *low <= drawing.height,
            "{what}: “{words}” leaves the frame: {left} {top} {right} {low}"
        );
        for ([l, t, r, b], other) in boxes.iter().skip(index + 1) {
            let apart = r <= left || right <= l || b <= top || low <= t;
            assert!(apart, "{what}: “{words}” lies on “{other}”");
        }
    }
}
