//! The compiler for WebAssembly and bare metal: rustup's targets where they can be had, else Debian's packages.

use std::path::Path;
use std::process::Command;

use crate::Outcome;
use crate::tools::{apt, at, command, find, output, run, step, write};

/// The page's target.
pub const WASM: &str = "wasm32-unknown-unknown";
/// A microcontroller with floating point: there `core` must build without an operating system.
pub const BARE_METAL: &str = "thumbv7em-none-eabihf";

/// What Debian calls the compiler, cargo and the standard library's source that it builds browsers with.
const PACKAGES: [&str; 3] = ["rustc-web", "cargo-web", "rust-web-src"];
/// Where Debian puts them.
const RUSTC: &str = "/usr/bin/rustc";
const CARGO: &str = "/usr/bin/cargo";
/// Present once rustup was tried in vain, so that it is not asked before every build.
const RUSTUP_FAILED: &str = ".tools/no-rustup-targets";
/// Likewise for the standard library's source.
const SOURCE_FAILED: &str = ".tools/no-rustup-source";
/// `LAYSHAFT_COMPILER=distribution` takes Debian's compiler also where rustup has the targets.
const CHOICE: &str = "LAYSHAFT_COMPILER";

/// The standard library is built along, for size; both are not stable yet.
const SMALL: [(&str, &str); 4] = [
    ("RUSTC_BOOTSTRAP", "1"),
    ("CARGO_UNSTABLE_BUILD_STD", "std,panic_abort"),
    ("CARGO_UNSTABLE_BUILD_STD_FEATURES", "optimize_for_size"),
    (
        "CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUSTFLAGS",
        "-Zunstable-options -Cpanic=immediate-abort -Zlocation-detail=none -Zfmt-debug=none",
    ),
];

/// Which compiler builds for the targets above.
pub enum Compiler {
    /// The pinned toolchain, with the target's standard library from rustup.
    Rustup,
    /// Debian's compiler, which builds the standard library along and links by this program.
    Distribution { linker: String },
}

impl Compiler {
    /// Finds or sets up the compiler for a target.
    pub fn set_up(target: &str) -> Outcome<Self> {
        let asked = std::env::var(CHOICE).is_ok_and(|choice| choice == "distribution");
        if !asked && (rustup_has(target) || rustup_brings(target)) {
            return Ok(Self::Rustup);
        }
        if ![RUSTC, CARGO, "/usr/lib/rustlib/src/rust/library/std"]
            .iter()
            .all(|path| Path::new(path).exists())
        {
            apt(&PACKAGES)?;
        }
        let about = output(Command::new(RUSTC).arg("-vV")).unwrap_or_default();
        let llvm = about
            .lines()
            .find_map(|line| line.strip_prefix("LLVM version: "))
            .unwrap_or_default();
        let major = llvm.split('.').next().unwrap_or_default();
        let linker = format!("wasm-ld-{major}");
        if find(&[&linker]).is_none() {
            apt(&[&format!("lld-{major}")])?;
        }
        Ok(Self::Distribution { linker })
    }

    /// Makes a command build with this compiler, below `target/web` so that native builds stay as they are.
    pub fn prepare<'a>(
        &self,
        command: &'a mut Command,
        standard_library: &str,
    ) -> Outcome<&'a mut Command> {
        command.env("CARGO_TARGET_DIR", at("target/web"));
        if let Self::Distribution { linker } = self {
            // rustup puts its own cargo first on the path; this folder comes before it.
            let folder = at(".tools/distribution");
            std::fs::create_dir_all(&folder)
                .map_err(|error| format!("{}: {error}.", folder.display()))?;
            for (name, program) in [("rustc", RUSTC), ("cargo", CARGO)] {
                link(program, &folder.join(name))?;
            }
            let path = command
                .get_envs()
                .find(|(name, _)| *name == "PATH")
                .and_then(|(_, value)| value);
            let path = path.map(ToOwned::to_owned).unwrap_or_default();
            let path =
                std::env::join_paths(std::iter::once(folder).chain(std::env::split_paths(&path)));
            command
                .env("PATH", path.unwrap_or_default())
                .env("RUSTC", RUSTC)
                // Building the standard library is not stable yet.
                .env("RUSTC_BOOTSTRAP", "1")
                .env("CARGO_UNSTABLE_BUILD_STD", standard_library)
                .env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER", linker)
                // Points at the libraries of the compiler that runs us.
                .env_remove("LD_LIBRARY_PATH");
        }
        Ok(command)
    }

    /// Makes a release build take a standard library of its own: small sorts, and a panic that stops without words.
    ///
    /// The page says itself what a stop means (`web/fault.js`), so the words of a panic would be read by nobody. It needs
    /// the library's source; where rustup cannot bring that, the page is built with the library as it comes, some 30 KB
    /// larger.
    pub fn shrink(&self, command: &mut Command) {
        if matches!(self, Self::Rustup) && !rustup_has_source() {
            return;
        }
        command.envs(SMALL);
    }

    /// cargo, building with this compiler.
    pub fn cargo(&self, standard_library: &str) -> Outcome<Command> {
        let mut cargo = command("cargo");
        self.prepare(&mut cargo, standard_library)?;
        Ok(cargo)
    }
}

fn link(program: &str, place: &Path) -> Outcome {
    if place.exists() {
        return Ok(());
    }
    #[cfg(unix)]
    return std::os::unix::fs::symlink(program, place)
        .map_err(|error| format!("{}: {error}.", place.display()));
    #[cfg(not(unix))]
    Err(format!(
        "{program} is Debian's; this system needs rustup's targets."
    ))
}

/// Whether the pinned toolchain has the target's standard library.
fn rustup_has(target: &str) -> bool {
    let folder = output(command("rustc").args(["--print", "target-libdir", "--target", target]));
    folder.is_some_and(|folder| Path::new(&folder).is_dir())
}

/// Asks rustup for the target, once.
fn rustup_brings(target: &str) -> bool {
    let failed = at(RUSTUP_FAILED);
    if failed.exists() {
        return false;
    }
    let asked = step(&format!("rustup target add {target}"), || {
        run(command("rustup").args(["target", "add", target]))
    });
    if asked.is_err() {
        println!("rustup cannot bring it here; Debian's compiler is used instead.");
        let note = "rustup could not bring a target; delete this file to let it try again.\n";
        drop(std::fs::create_dir_all(at(".tools")).map(|()| write(&failed, note)));
    }
    asked.is_ok() && rustup_has(target)
}

/// Whether the pinned toolchain has the standard library's source; rustup is asked for it once.
fn rustup_has_source() -> bool {
    let root = output(command("rustc").args(["--print", "sysroot"])).unwrap_or_default();
    let source = Path::new(root.trim()).join("lib/rustlib/src/rust/library/std");
    let failed = at(SOURCE_FAILED);
    if source.is_dir() || failed.exists() {
        return source.is_dir();
    }
    let asked = step("rustup component add rust-src", || {
        run(command("rustup").args(["component", "add", "rust-src"]))
    });
    if asked.is_err() {
        println!("rustup cannot bring it here; the page is built some 30 KB larger.");
        let note = "rustup could not bring the source; delete this file to let it try again.\n";
        drop(std::fs::create_dir_all(at(".tools")).map(|()| write(&failed, note)));
    }
    source.is_dir()
}
