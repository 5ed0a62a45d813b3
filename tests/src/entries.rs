//! Random entries of any sheet, drawn from its declaration.

use layshaft_core::sheets::declare::Kind;
use layshaft_core::sheets::{Entries, Field, Sheet};

use crate::random::Random;

/// Texts with every kind of character that could be in the way of a link, a record or a reader.
const ODD: &[&str] = &[
    "1e999",
    "-0",
    "NaN",
    "1/0",
    "zwanzig (20)",
    "a|b'c\"d<e>f",
    "80 %",
    "%2C%",
    "25 °C",
    "4,7 kΩ ± 1 %",
    "a_b*c~d~e`f",
    "&amp;&copy;&",
    "[x](y)",
    "#hash?a=b&c=d",
    "🙂 \u{202e}12",
    "10²·µm",
    "end.",
    "end,;:!?",
    "__end__",
    "end=",
    "-",
    "+5",
    "https://example.org/",
    "line\nbreak",
    "[/url][b]",
];

/// Entries for a sheet: most of them readable and within their limits, one in twenty odd, some blank.
pub fn random_entries(sheet: &Sheet, random: &mut Random) -> Entries {
    let mut entries = Entries::new();
    // Choices first: the fields that they leave out are typed too, as a person's earlier entries would be.
    for field in sheet.fields {
        if random.chance(75) && entries.get(field.key).is_none() {
            let text = if random.chance(5) {
                random.pick(ODD).to_string()
            } else {
                text(field, random)
            };
            entries.set(field.key, &text);
        }
    }
    entries
}

/// A readable text for one field.
fn text(field: &Field, random: &mut Random) -> String {
    match field.kind {
        Kind::Choice(options) => {
            let keys: Vec<&str> = options.iter().map(|option| option.key).collect();
            random.pick(&keys).to_string()
        }
        Kind::Number(measure) => {
            let number = number(field, random);
            let sign = measure.unit.symbol;
            if sign.is_empty() || random.chance(60) {
                number
            } else {
                format!("{number} {sign}")
            }
        }
        Kind::Either { measures, .. } => {
            let which = random.below(measures.len());
            let symbol = measures
                .get(which)
                .map_or("", |measure| measure.unit.symbol);
            format!("{} {symbol}", number(field, random))
        }
        Kind::Count => {
            let least = field.limits.least.map_or(1.0, |limit| limit.value);
            let most = field.limits.most.map_or(200.0, |limit| limit.value);
            let span = (most - least).clamp(0.0, 200.0);
            format!("{:.0}", least + (span * random.unit()).floor())
        }
        Kind::PowerOfTwo => (1_u32 << random.below(9)).to_string(),
        Kind::Ratio => format!("{}/{}", random.whole(8, 90), random.whole(8, 40)),
        Kind::Thread => random
            .pick(&["Tr8x8(P2)", "Tr8x8 P2", "Tr12x3", "M5", "M8", "M8x1"])
            .to_string(),
        Kind::Word => random.pick(&["left", "X axis", "hot end"]).to_string(),
        Kind::Rows(columns) => {
            let rows: Vec<String> = (0..random.whole(2, 7))
                .map(|_| {
                    let cells: Vec<String> = columns
                        .iter()
                        .map(|column| text(column, random).replace(',', "."))
                        .collect();
                    cells.join(",")
                })
                .collect();
            rows.join(";")
        }
        Kind::Log => {
            // A heater switched on, near enough to a first-order one for a fit to find something.
            let (gain, tau) = (100.0 + 300.0 * random.unit(), 30.0 + 200.0 * random.unit());
            let rows: Vec<String> = (0..random.whole(3, 60))
                .map(|i| {
                    let time = f64::from(i) * 5.0;
                    let warm = gain * (1.0 - (-time / tau).exp()) + random.unit();
                    format!("{time},{:.1},1", 25.0 + warm)
                })
                .collect();
            rows.join("\n")
        }
    }
}

/// A number of a few digits, within the usual range where there is one, evenly over its magnitudes.
///
/// `powf` may differ by a last place between platforms, which moves the few digits in one of some 10^10 cases.
fn number(field: &Field, random: &mut Random) -> String {
    let limits = field.limits;
    let least = limits.least.map_or(0.01, |limit| limit.value);
    let most = limits.most.map_or(1e4, |limit| limit.value);
    let (low, high) = limits
        .usual
        .map_or((least, most.min(1e6)), |(low, high, _)| (low, high));
    let low = if low > 0.0 { low } else { high.abs() * 1e-3 };
    let value = low * (high / low).abs().powf(random.unit());
    let digits = usize::from(value < 10.0) * 3 + usize::from(value < 1000.0);
    let text = format!("{value:.digits$}");
    if random.chance(10) {
        text.replace('.', ",")
    } else {
        text
    }
}
