//! `cargo xtask bench`: the budgets, beside a bare Leptos counter that is built the same way.

use std::collections::BTreeMap;

use serde_json::Value;

use crate::site::{BARE, PAGE, Site, is_hash};
use crate::tools::{at, command, output, run as call, step};
use crate::wasm::WASM;
use crate::{Arguments, Outcome, parts, site, size, test};

/// A part of the bench: its name for `--only`, and how it is measured.
type Part = (&'static str, fn() -> Outcome);

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
    PARTS
        .iter()
        .filter(|(name, _)| chosen(name))
        .try_for_each(|(_, measure)| measure())
}

/// gzip bytes of every file of the first visit, for both pages.
fn sizes() -> Outcome {
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
    let total = size::total(&ours);
    rows.push(("everything".into(), [total, size::total(&bare)]));
    println!(
        "\n{:<44}{:>12}{:>12}",
        "first visit, gzip bytes", "page", "bare page"
    );
    for (name, [ours, bare]) in rows {
        println!("{name:<44}{ours:>12}{bare:>12}");
    }
    let state = if total > size::GOAL { "over" } else { "within" };
    println!("{state} the goal of {} (limit {})", size::GOAL, size::LIMIT);
    Ok(())
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
fn dependencies() -> Outcome {
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
    Ok(())
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
fn page() -> Outcome {
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
    Ok(())
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

/// The benchmarks of `core`, compiled for speed: the machine's sheets, the studies of each sheet, the search for parts.
fn native() -> Outcome {
    for name in ["bench_native", "bench_study", "bench_find"] {
        let mut cargo = command("cargo");
        cargo.args(["run", "--quiet", "--profile", "bench"]);
        cargo.args(["--package", "layshaft-tests", "--bin", name]);
        step(name, || call(&mut cargo))?;
    }
    Ok(())
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
    fn the_median_is_the_middle() {
        assert_eq!(median(&[3.0, 1.0, 2.0]), Some(2.0));
        assert_eq!(median(&[4.0, 1.0, 2.0, 3.0]), Some(2.5));
        assert_eq!(median(&[]), None);
    }
}
