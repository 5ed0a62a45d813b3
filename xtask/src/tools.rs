//! The tools that the commands need: found, or installed once into `.tools/`, each at its pinned version.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Once;
use std::time::Instant;

use crate::Outcome;

/// The folder of the workspace.
pub fn root() -> PathBuf {
    let here =
        std::env::var_os("CARGO_MANIFEST_DIR").unwrap_or_else(|| env!("CARGO_MANIFEST_DIR").into());
    PathBuf::from(here)
        .parent()
        .map(Path::to_path_buf)
        .unwrap_or_default()
}

/// A path below the workspace.
pub fn at(path: &str) -> PathBuf {
    root().join(path)
}

/// Runs one step, and says what it is and how long it took.
pub fn step<T>(what: &str, work: impl FnOnce() -> Outcome<T>) -> Outcome<T> {
    println!("== {what}");
    let start = Instant::now();
    let outcome = work();
    let state = if outcome.is_ok() { "done" } else { "FAILED" };
    println!(
        "== {what}: {state} in {:.1} s",
        start.elapsed().as_secs_f64()
    );
    outcome
}

/// A program to run in the workspace, with the tools of `.tools/` found first.
pub fn command(program: &str) -> Command {
    let mut path = vec![at(".tools/bin"), at(".tools/npm/node_modules/.bin")];
    path.extend(std::env::split_paths(
        &std::env::var_os("PATH").unwrap_or_default(),
    ));
    let mut command = Command::new(program);
    command
        .current_dir(root())
        .env("PATH", std::env::join_paths(path).unwrap_or_default());
    // `cargo xtask` is itself run by cargo: what cargo told us is not meant for the cargo that we run.
    for name in ["CARGO", "RUSTC"] {
        command.env_remove(name);
    }
    command
}

/// Runs a program to its end.
pub fn run(command: &mut Command) -> Outcome {
    let name = command.get_program().to_string_lossy().into_owned();
    match command.stdin(Stdio::null()).status() {
        Ok(status) if status.success() => Ok(()),
        Ok(status) => Err(format!("`{name}` ended with {status}.")),
        Err(error) => Err(format!("`{name}` does not start: {error}.")),
    }
}

/// What a program prints, or nothing if it is not there or fails; what it complains about is dropped unless the
/// command says where it goes.
pub fn output(command: &mut Command) -> Option<String> {
    let output = command.stdin(Stdio::null()).output().ok()?;
    output
        .status
        .success()
        .then(|| String::from_utf8_lossy(&output.stdout).trim().to_owned())
}

/// The first of these programs on the path, by full address.
pub fn find(names: &[&str]) -> Option<PathBuf> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let folders: Vec<PathBuf> = std::env::split_paths(&path).collect();
    names.iter().find_map(|name| {
        folders
            .iter()
            .map(|folder| folder.join(name))
            .find(|file| file.is_file())
    })
}

/// Installs packages of Debian or of a system made from it.
pub fn apt(packages: &[&str]) -> Outcome {
    static FRESH: Once = Once::new();
    let list = packages.join(" ");
    if find(&["apt-get"]).is_none() {
        return Err(format!(
            "there is no apt-get here; install what Debian calls `{list}` by hand, then try again."
        ));
    }
    let administrator = output(Command::new("id").arg("-u")).as_deref() == Some("0");
    let apt_get = |words: &[&str]| {
        let mut command = command(if administrator { "apt-get" } else { "sudo" });
        if !administrator {
            command.arg("apt-get");
        }
        run(command
            .args(words)
            .env("DEBIAN_FRONTEND", "noninteractive")
            .stdout(Stdio::null()))
    };
    step(&format!("apt-get install {list}"), || {
        FRESH.call_once(|| drop(apt_get(&["update"])));
        apt_get(&[&["install", "-y", "--no-install-recommends"], packages].concat())
            .map_err(|why| format!("{why} Install `{list}` by hand, then try again."))
    })
}

/// The version that `Trunk.toml` pins for a tool.
fn pinned(tool: &str) -> Outcome<String> {
    let text = read(&at("Trunk.toml"))?;
    text.lines()
        .filter_map(|line| line.split_once('='))
        .find(|(name, _)| name.trim() == tool)
        .map(|(_, value)| value.trim().trim_matches('"').to_owned())
        .ok_or(format!("Trunk.toml names no version of {tool}."))
}

/// Trunk itself is not in its own list of tools.
const TRUNK: &str = "0.21.14";

/// A command that cargo installs into `.tools/bin`.
fn cargo_install(name: &str, binary: &str, version: &str, options: &[&str]) -> Outcome {
    let file = at(".tools/bin").join(binary);
    if output(Command::new(file).arg("--version")).is_some_and(|text| text.contains(version)) {
        return Ok(());
    }
    step(
        &format!("installing {name} {version} into .tools (about two minutes)"),
        || {
            let mut cargo = command("cargo");
            cargo.args([
                "install",
                name,
                "--version",
                version,
                "--no-default-features",
                "--root",
                ".tools",
            ]);
            // The tools run for a second each: what counts is how soon they are there.
            cargo
                .env("CARGO_PROFILE_RELEASE_OPT_LEVEL", "0")
                .env("CARGO_PROFILE_RELEASE_LTO", "off");
            run(cargo
                .env("CARGO_PROFILE_RELEASE_CODEGEN_UNITS", "256")
                .args(options))
        },
    )
}

/// Node and npm: wasm-opt and the browser's driver come as npm packages.
pub fn node() -> Outcome {
    let missing: Vec<&str> = [("node", "nodejs"), ("npm", "npm")]
        .into_iter()
        .filter(|(program, _)| find(&[program]).is_none())
        .map(|(_, package)| package)
        .collect();
    if missing.is_empty() {
        Ok(())
    } else {
        apt(&missing)
    }
}

/// wasm-bindgen, for the page and for the tests in the browser.
pub fn wasm_bindgen() -> Outcome {
    cargo_install(
        "wasm-bindgen-cli",
        "wasm-bindgen",
        &pinned("wasm_bindgen")?,
        &[],
    )
}

/// All that turns the crate into a page: trunk, wasm-bindgen, and from npm wasm-opt and esbuild.
pub fn page_tools() -> Outcome {
    wasm_bindgen()?;
    cargo_install(
        "trunk",
        "trunk",
        TRUNK,
        &["--locked", "--features", "rustls"],
    )?;
    npm_packages("xtask/npm", ".tools/npm")
}

/// Installs the npm packages that a folder's `package-lock.json` pins, into that folder or another.
fn npm_packages(from: &str, into: &str) -> Outcome {
    node()?;
    let (from, folder) = (at(from), at(into));
    let wanted = read(&from.join("package-lock.json"))?;
    let stamp = folder.join("node_modules/.installed");
    if std::fs::read_to_string(&stamp).is_ok_and(|there| there == wanted) {
        return Ok(());
    }
    step(&format!("installing npm packages into {into}"), || {
        if from != folder {
            std::fs::create_dir_all(&folder).map_err(|error| format!("{into}: {error}."))?;
            write(&folder.join("package-lock.json"), &wanted)?;
            write(
                &folder.join("package.json"),
                read(&from.join("package.json"))?,
            )?;
        }
        run(command("npm")
            .args(["ci", "--ignore-scripts", "--no-audit", "--no-fund"])
            .current_dir(&folder))?;
        write(&stamp, wanted)
    })
}

/// The browser that the tests drive, and the program that drives it for the WASM tests.
pub struct Browser {
    /// Chromium or Chrome.
    pub chrome: OsString,
    /// chromedriver of the same version.
    pub driver: OsString,
}

/// Finds the browser (`CHROME` and `CHROMEDRIVER` come first) or installs it.
pub fn browser() -> Outcome<Browser> {
    const CHROME: &[&str] = &[
        "chromium",
        "chromium-browser",
        "google-chrome",
        "google-chrome-stable",
        "chrome",
    ];
    let found = |variable: &str, names: &[&str]| {
        std::env::var_os(variable).or_else(|| find(names).map(Into::into))
    };
    let look = || {
        Some(Browser {
            chrome: found("CHROME", CHROME)?,
            driver: found("CHROMEDRIVER", &["chromedriver"])?,
        })
    };
    if let Some(browser) = look() {
        return Ok(browser);
    }
    apt(&["chromium", "chromium-driver"]).map_err(|why| {
        format!("Chromium and chromedriver are needed: {why} CHROME and CHROMEDRIVER may name them where they are not on the path.")
    })?;
    look().ok_or(
        "Chromium was installed but is not on the path; name it in CHROME and CHROMEDRIVER.".into(),
    )
}

/// The npm packages of the browser tests, as `package-lock.json` pins them.
pub fn browser_packages() -> Outcome {
    npm_packages("tests/browser", "tests/browser")
}

/// Reads a text file.
pub fn read(file: &Path) -> Outcome<String> {
    std::fs::read_to_string(file)
        .map_err(|error| format!("{} cannot be read: {error}.", file.display()))
}

/// Writes a file.
pub fn write(file: &Path, text: impl AsRef<[u8]>) -> Outcome {
    std::fs::write(file, text)
        .map_err(|error| format!("{} cannot be written: {error}.", file.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Trunk refuses tools of another version, and wasm-bindgen's command a crate of another.
    #[test]
    fn the_pinned_tools_are_of_the_versions_in_the_lock_files() {
        let version = pinned("wasm_bindgen").expect("named");
        let lock = read(&at("Cargo.lock")).expect("readable");
        assert!(lock.contains(&format!(
            "name = \"wasm-bindgen\"\nversion = \"{version}\"\n"
        )));
        let version = pinned("wasm_opt").expect("named").replace("version_", "");
        let lock = read(&at("xtask/npm/package-lock.json")).expect("readable");
        assert!(lock.contains(&format!("\"binaryen\": \"{version}.0.0\"")));
    }

    #[test]
    fn what_is_not_on_the_path_is_not_found() {
        assert!(find(&["a program that nobody has", "cargo"]).is_some());
        assert!(find(&["a program that nobody has"]).is_none());
    }
}
