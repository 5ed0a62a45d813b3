//! `cargo xtask bench`: the budgets, beside a bare Leptos counter that is built the same way. A whole run writes them into
//! `README.md`.

use std::collections::BTreeMap;

use serde_json::Value;

use crate::budgets::{Budget, keep};
use crate::site::{BARE, PAGE, Site, is_hash};
use crate::tools::{at, command, output, run as call, step};
use crate::wasm::WASM;
use crate::{Arguments, Outcome, parts, site, size, test};

/// A part of the bench: its name for `--only`, and how it is measured.
type Part = (&'static str, fn() -> Outcome<Vec<Budget>>);

const PARTS: [Part; 4] = [
    ("size", sizes),
    ("parts", dependencies),
    ("page", page),
    ("native", native),
];

/// A budget of the page: what is measured, in milliseconds at most, and where its runs are in the measurements.
const TIMES: [(&str, f64, &str); 3] = [
    (
        "first visit to usable, 4x CPU slowdown, 1.6 Mbit/s, 150 ms",
        2000.0,
        "/first",
    ),
    (
        "offline revisit to usable, 4x CPU slowdown",
        600.0,
        "/offline",
    ),
    (
        "key press to painted answer, p95, 4x CPU slowdown",
        32.0,
        "/keys/p95",
    ),
];

/// `cargo xtask bench`.
pub fn run(arguments: &Arguments) -> Outcome {
    let only = arguments
        .value("--only")
        .map(|names| names.split(',').collect::<Vec<_>>());
    let chosen = |name: &str| only.as_ref().is_none_or(|only| only.contains(&name));
    if PARTS
        .iter()
        .any(|(name, _)| *name != "native" && chosen(name))
    {
        site::build(&PAGE, false)?;
        site::build(&BARE, false)?;
    }
    let mut budgets = Vec::new();
    for (_, measure) in PARTS.iter().filter(|(name, _)| chosen(name)) {
        budgets.extend(measure()?);
    }
    if only.is_none() {
        keep(&budgets)?;
        println!("README.md has these figures now.");
    }
    Ok(())
}

/// gzip bytes of every file of the first visit, for both pages.
fn sizes() -> Outcome<Vec<Budget>> {
    let (ours, bare) = (size::first_visit(&PAGE)?, size::first_visit(&BARE)?);
    let mut rows: BTreeMap<String, [usize; 2]> = BTreeMap::new();
    for (column, files) in [&ours, &bare].into_iter().enumerate() {
        for (name, _, packed) in files {
            if let Some(cell) = rows.entry(without_hash(name)).or_default().get_mut(column) {
                *cell += packed;
            }
        }
    }
    let mut rows: Vec<_> = rows.into_iter().collect();
    rows.sort_by_key(|(_, cells)| std::cmp::Reverse(*cells));
    let [total, bare] = [size::total(&ours), size::total(&bare)];
    rows.push(("everything".into(), [total, bare]));
    println!(
        "\n{:<44}{:>12}{:>12}",
        "first visit, gzip bytes", "page", "bare page"
    );
    for (name, [ours, bare]) in rows {
        println!("{name:<44}{ours:>12}{bare:>12}");
    }
    let state = if total > size::GOAL { "over" } else { "within" };
    println!("{state} the goal of {} (limit {})", size::GOAL, size::LIMIT);
    let kilobytes = |bytes: usize| {
        format!(
            "{:.1} KB",
            f64::from(u32::try_from(bytes).unwrap_or(u32::MAX)) / 1e3
        )
    };
    Ok(vec![Budget {
        what: "everything the first visit transfers (the program packed by LZMA, the rest gzip)",
        page: kilobytes(total),
        bare: kilobytes(bare),
        budget: format!(
            "goal {} KB; a test fails above {}",
            size::GOAL / 1000,
            size::LIMIT / 1000
        ),
        kept: Some(total <= size::GOAL),
    }])
}

/// A file's name without the hash of its content and without the crate's name, so that both pages line up.
fn without_hash(name: &str) -> String {
    let (stem, end) = name.split_at(name.find(['.', '_']).unwrap_or(name.len()));
    let stem = stem
        .split('-')
        .filter(|part| !is_hash(part))
        .collect::<Vec<_>>()
        .join("-");
    stem.replace("layshaft-web", "program")
        .replace("layshaft-bare", "program")
        + end
}

/// What each dependency costs.
fn dependencies() -> Outcome<Vec<Budget>> {
    for (site, name) in [(&PAGE, "layshaft-web"), (&BARE, "layshaft-bare")] {
        let module = with_names(name)?;
        let parts = parts::by_crate(&module).ok_or(format!("{name} has no names of functions."))?;
        let total: usize = parts.iter().map(|(_, bytes)| bytes).sum();
        let files = size::first_visit(site)?;
        let packed: usize = files
            .iter()
            .filter(|file| file.0.contains("_bg."))
            .map(|file| file.2)
            .sum();
        println!(
            "\n{:<44}{:>12}{:>12}",
            format!("{}: what costs what", site.name),
            "compiled",
            "gzip, about"
        );
        for (name, bytes) in &parts {
            println!("{name:<44}{bytes:>12}{:>12}", bytes * packed / total);
        }
        println!("{:<44}{total:>12}{packed:>12}", "all");
    }
    Ok(Vec::new())
}

/// The program of a page as it is sent, but with the names of its functions: the compiler's output goes through
/// the same two tools again, told to keep them.
fn with_names(name: &str) -> Outcome<Vec<u8>> {
    let folder = at("target/parts");
    let compiled = at(&format!("target/web/{WASM}/release/{name}.wasm"));
    let mut bindgen = command("wasm-bindgen");
    call(
        bindgen
            .args([
                "--target",
                "web",
                "--no-typescript",
                "--no-demangle",
                "--out-dir",
            ])
            .arg(&folder)
            .arg(compiled),
    )?;
    let file = folder.join(format!("{name}_bg.wasm"));
    call(
        command("wasm-opt")
            .args(["-Os", "--debuginfo", "-o"])
            .args([&file, &file]),
    )?;
    std::fs::read(&file).map_err(|error| format!("{}: {error}.", file.display()))
}

/// Times and memory in a real browser, for both pages.
fn page() -> Outcome<Vec<Budget>> {
    let measure = |site: &Site, path: &str, selector: &str| {
        step(&format!("measuring {} in a browser", site.name), || {
            let mut node = test::browser_node()?;
            node.args(["tests/browser/measure.mjs", site.dist, path, selector])
                .stderr(std::process::Stdio::inherit());
            let text = output(&mut node).ok_or("the measurements ended early.")?;
            serde_json::from_str::<Value>(&text)
                .map_err(|error| format!("unreadable measurements: {error}."))
        })
    };
    let ours = measure(
        &PAGE,
        "#travel",
        "main input:not([type=checkbox]):not([type=radio]):not([type=search])",
    )?;
    let bare = measure(&BARE, "", "button")?;
    println!(
        "\n{:<60}{:>10}{:>10}{:>10}",
        "medians, ms", "page", "bare", "budget"
    );
    let mut budgets = Vec::new();
    for (what, budget, place) in TIMES {
        let [ours, bare] = [&ours, &bare].map(|all| median(&numbers(all.pointer(place))));
        let state = if ours.is_some_and(|ours| ours > budget) {
            "  OVER"
        } else {
            ""
        };
        println!(
            "{what:<60}{:>10}{:>10}{budget:>10.0}{state}",
            shown(ours),
            shown(bare)
        );
        budgets.push(Budget {
            what,
            page: format!("{} ms", shown(ours)),
            bare: bare.map_or(String::new(), |_| format!("{} ms", shown(bare))),
            budget: format!("{budget:.0} ms"),
            kept: ours.map(|ours| ours <= budget),
        });
    }
    println!(
        "keys that changed nothing on the page: {}",
        ours.pointer("/keys/unanswered").unwrap_or(&Value::Null)
    );
    println!(
        "\n{:<24}{:>12}{:>12}{:>12}{:>12}",
        "memory after edits", "JS heap", "WASM", "nodes", "listeners"
    );
    for (name, all) in [("page", &ours), ("bare page", &bare)] {
        for sample in all
            .pointer("/memory")
            .and_then(Value::as_array)
            .into_iter()
            .flatten()
        {
            let cell = |key: &str| sample.get(key).and_then(Value::as_f64).unwrap_or_default();
            let label = format!("{name}, {}", cell("edits"));
            let (heap, wasm) = (cell("heap") / 1e3, cell("wasm") / 1e3);
            println!(
                "{label:<24}{heap:>9.0} KB{wasm:>9.0} KB{:>12}{:>12}",
                cell("nodes"),
                cell("listeners")
            );
        }
    }
    transfers(&ours);
    budgets.push(Budget {
        what: "JS heap after 200, 600 and 1,000 edits",
        page: heaps(&ours),
        bare: heaps(&bare),
        budget: "no growth trend".into(),
        kept: None,
    });
    Ok(budgets)
}

/// The memory samples of a page in one line.
fn heaps(all: &Value) -> String {
    let samples = all.pointer("/memory").and_then(Value::as_array);
    let heaps: Vec<_> = samples
        .into_iter()
        .flatten()
        .filter_map(|sample| sample.get("heap").and_then(Value::as_f64))
        .map(|bytes| format!("{:.0}", bytes / 1e3))
        .collect();
    heaps.join(", ") + " KB"
}

/// What the server sent during one first visit, and what it was asked for more than once.
fn transfers(all: &Value) {
    let mut asked: BTreeMap<&str, (usize, f64)> = BTreeMap::new();
    for request in all
        .pointer("/requests")
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
    {
        let path = request
            .get("path")
            .and_then(Value::as_str)
            .unwrap_or_default();
        let entry = asked.entry(path).or_default();
        entry.0 += 1;
        entry.1 += request
            .get("bytes")
            .and_then(Value::as_f64)
            .unwrap_or_default();
    }
    let bytes: f64 = asked.values().map(|(_, bytes)| bytes).sum();
    println!(
        "\nfirst visit on the wire: {} files, {bytes:.0} bytes",
        asked.len()
    );
    for (path, (times, bytes)) in asked.iter().filter(|(_, (times, _))| *times > 1) {
        println!("  asked for {times} times: {path}, {bytes:.0} bytes together");
    }
}

/// The benchmarks of `core`, compiled for speed: the machine's sheets, the studies of each sheet, the search for parts. Each
/// prints a table; the budgets read the last column of it.
fn native() -> Outcome<Vec<Budget>> {
    let run = |name: &str| {
        let mut cargo = command("cargo");
        cargo.args(["run", "--quiet", "--profile", "bench"]);
        cargo.args(["--package", "layshaft-tests", "--bin", name]);
        step(name, || {
            let text = output(&mut cargo).ok_or(format!("{name} ended early."))?;
            println!("{text}");
            Ok(text)
        })
    };
    let machine = last_column(&run("bench_native")?, "the whole machine");
    run("bench_study")?;
    let slowest = last_column(&run("bench_find")?, "")
        .into_iter()
        .min_by(f64::total_cmp);
    Ok(vec![
        Budget {
            what: "a machine of 8 parts with all sheets worked out anew, native",
            page: machine
                .first()
                .map_or("-".into(), |us| format!("{us:.1} µs")),
            bare: String::new(),
            budget: "200 µs".into(),
            kept: machine.first().map(|us| *us <= 200.0),
        },
        Budget {
            what: "`find`, native, one core, slowest of seven kinds of search",
            page: slowest.map_or("-".into(), |rate| format!("{rate:.1} million/s")),
            bare: String::new(),
            budget: "10 million/s".into(),
            kept: slowest.map(|rate| rate >= 10.0),
        },
    ])
}

/// The numbers in the last column of a printed table, of the rows whose first cell begins with `start`.
fn last_column(table: &str, start: &str) -> Vec<f64> {
    let rows = table
        .lines()
        .filter_map(|line| line.strip_prefix("| ")?.strip_suffix(" |"));
    rows.filter(|row| row.starts_with(start))
        .filter_map(|row| row.rsplit(" | ").next()?.parse().ok())
        .collect()
}

fn numbers(value: Option<&Value>) -> Vec<f64> {
    value
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
        .filter_map(Value::as_f64)
        .collect()
}

/// The middle value, or the mean of the two in the middle.
fn median(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let upper = *sorted.get(sorted.len() / 2)?;
    let lower = *sorted.get(sorted.len().checked_sub(1)? / 2)?;
    Some(f64::midpoint(lower, upper))
}

fn shown(value: Option<f64>) -> String {
    value.map_or("-".into(), |value| format!("{value:.0}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_line_up_without_their_hashes() {
        for (name, wanted) in [
            ("layshaft-web-0123456789abcdef_bg.wasm", "program_bg.wasm"),
            ("layshaft-bare-0123456789abcdef.js", "program.js"),
            ("start-0123456789abcdef.js", "start.js"),
            ("icon-192.png", "icon-192.png"),
            ("sw.js", "sw.js"),
        ] {
            assert_eq!(without_hash(name), wanted);
        }
    }

    #[test]
    fn a_printed_table_is_read_by_its_last_column() {
        let table = "| find | tried | million a second |\n| --- | --- | --- |\n| none | 30 | 284.7 |\n| one | 30 | 13.7 |\nwithin";
        assert_eq!(last_column(table, ""), [284.7, 13.7]);
        assert_eq!(last_column(table, "one"), [13.7]);
    }

    #[test]
    fn the_median_is_the_middle() {
        assert_eq!(median(&[3.0, 1.0, 2.0]), Some(2.0));
        assert_eq!(median(&[4.0, 1.0, 2.0, 3.0]), Some(2.5));
        assert_eq!(median(&[]), None);
    }
}
