//! `cargo xtask test`: every step in the order of how soon it can fail.

use std::path::PathBuf;
use std::process::Command;
use std::time::Instant;

use crate::tools::{self, at, command, run as call, step};
use crate::wasm::{BARE_METAL, Compiler, WASM};
use crate::{Arguments, Outcome, site, size};

/// Name for `--only`, what it does, how.
type Step = (&'static str, &'static str, fn() -> Outcome);

const STEPS: &[Step] = &[
    ("format", "formatting", format),
    ("clippy", "clippy, with warnings as errors", clippy),
    ("native", "native tests", native),
    (
        "docs",
        "documentation of core, with warnings as errors",
        docs,
    ),
    (
        "bare-metal",
        "core on bare metal, with and without a heap",
        bare_metal,
    ),
    ("wasm", "WASM tests in a real browser", wasm),
    ("build", "release build of the page", build),
    ("e2e", "end-to-end tests of the built page", end_to_end),
    ("size", "download size against its budget", size::check),
];

/// `cargo xtask test`.
pub fn run(arguments: &Arguments) -> Outcome {
    let only = arguments
        .value("--only")
        .map(|names| names.split(',').collect::<Vec<_>>());
    if let Some(unknown) = only
        .iter()
        .flatten()
        .find(|name| !STEPS.iter().any(|step| step.0 == **name))
    {
        let names: Vec<_> = STEPS
            .iter()
            .map(|step| format!("  {:<12}{}", step.0, step.1))
            .collect();
        return Err(format!(
            "there is no step `{unknown}`; the steps are\n{}",
            names.join("\n")
        ));
    }
    let mut summary = Vec::new();
    let start = Instant::now();
    for (name, about, work) in STEPS
        .iter()
        .filter(|step| only.as_ref().is_none_or(|only| only.contains(&step.0)))
    {
        let begun = Instant::now();
        let outcome = step(about, work);
        summary.push(format!(
            "  {:<12}{:>7.1} s  {about}",
            name,
            begun.elapsed().as_secs_f64()
        ));
        if let Err(why) = outcome {
            println!(
                "\n{}\n{} passed, 1 failed",
                summary.join("\n"),
                summary.len() - 1
            );
            return Err(format!(
                "the step `{name}` failed: {why} Again: cargo xtask test --only {name}"
            ));
        }
    }
    println!(
        "\n{}\n  {:<12}{:>7.1} s",
        summary.join("\n"),
        "all",
        start.elapsed().as_secs_f64()
    );
    println!("{} passed, 0 failed", summary.len());
    Ok(())
}

fn cargo(words: &[&str]) -> Command {
    let mut cargo = command("cargo");
    cargo.args(words);
    cargo
}

fn format() -> Outcome {
    call(&mut cargo(&["fmt", "--all", "--check"]))
}

fn clippy() -> Outcome {
    call(&mut cargo(&[
        "clippy",
        "--workspace",
        "--all-targets",
        "--locked",
        "--quiet",
        "--",
        "--deny",
        "warnings",
    ]))
}

fn native() -> Outcome {
    // What the page works out without a browser is tested here too; the bare page has nothing to test.
    let nothing_to_test = ["--exclude", "layshaft-bare"];
    call(cargo(&["test", "--workspace", "--locked", "--quiet"]).args(nothing_to_test))
}

fn docs() -> Outcome {
    let mut cargo = cargo(&[
        "doc",
        "--package",
        "layshaft-core",
        "--no-deps",
        "--locked",
        "--quiet",
    ]);
    call(cargo.env("RUSTDOCFLAGS", "--deny warnings"))
}

fn bare_metal() -> Outcome {
    let compiler = Compiler::set_up(BARE_METAL)?;
    for features in [&["--no-default-features"][..], &[]] {
        let mut cargo = compiler.cargo("core,alloc")?;
        cargo.args([
            "build",
            "--package",
            "layshaft-core",
            "--lib",
            "--locked",
            "--quiet",
            "--target",
            BARE_METAL,
        ]);
        call(cargo.args(features))?;
    }
    Ok(())
}

fn wasm() -> Outcome {
    let compiler = Compiler::set_up(WASM)?;
    tools::wasm_bindgen()?;
    let browser = tools::browser()?;
    let mut cargo = compiler.cargo("std,panic_abort")?;
    cargo.args([
        "test",
        "--package",
        "layshaft-tests",
        "--test",
        "wasm",
        "--locked",
        "--target",
        WASM,
    ]);
    cargo.env(
        "CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUNNER",
        "wasm-bindgen-test-runner",
    );
    cargo.env(
        "WASM_BINDGEN_TEST_WEBDRIVER_JSON",
        at("tests/browser/webdriver.json"),
    );
    // Thousands of whole calculations, in the browser and natively: slow without any optimising.
    cargo
        .env("CARGO_PROFILE_DEV_OPT_LEVEL", "1")
        .env("CARGO_PROFILE_DEV_BUILD_OVERRIDE_OPT_LEVEL", "1")
        .env("WASM_BINDGEN_TEST_TIMEOUT", "300");
    // Another project's choice of driver would come before ours.
    cargo
        .env_remove("GECKODRIVER")
        .env("CHROMEDRIVER", browser.driver);
    call(&mut cargo)
}

fn build() -> Outcome {
    site::build(&site::PAGE, false)
}

fn end_to_end() -> Outcome {
    let mut tests = browser_tests()?;
    tests.sort();
    call(browser_node()?.arg("--test").args(tests))
}

/// Node, set up to drive a browser over the built page.
pub fn browser_node() -> Outcome<Command> {
    let browser = tools::browser()?;
    tools::browser_packages()?;
    let mut node = command("node");
    let me = std::env::current_exe().map_err(|error| error.to_string())?;
    node.env("CHROME", browser.chrome).env("LAYSHAFT_XTASK", me);
    Ok(node)
}

fn browser_tests() -> Outcome<Vec<PathBuf>> {
    let folder = at("tests/browser");
    let entries =
        std::fs::read_dir(&folder).map_err(|error| format!("{}: {error}.", folder.display()))?;
    let files = entries.flatten().map(|entry| entry.path());
    Ok(files
        .filter(|file| file.to_string_lossy().ends_with(".test.mjs"))
        .collect())
}
