//! Builds a page: trunk compiles and hashes, then its inline script becomes a file, scripts and styles
//! are minified, and the service worker gets its list.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use crate::tools::{self, at, command, page_tools, read, step, write};
use crate::wasm::{Compiler, WASM};
use crate::{Arguments, Outcome, head};

/// A folder with an `index.html` and a `Trunk.toml`.
pub struct Site {
    /// What it is called in messages.
    pub name: &'static str,
    /// The folder, below the workspace.
    pub folder: &'static str,
    /// Where trunk puts the page, below the workspace.
    pub dist: &'static str,
}

/// The page of Layshaft.
pub const PAGE: Site = Site {
    name: "the page",
    folder: ".",
    dist: "dist",
};
/// The bare counter that budgets are printed beside.
pub const BARE: Site = Site {
    name: "the bare Leptos page",
    folder: "tests/bare",
    dist: "target/bare",
};

/// What the page needs of the standard library, where it is built along.
const STANDARD_LIBRARY: &str = "std,panic_abort";

/// `cargo xtask build`.
pub fn run(arguments: &Arguments) -> Outcome {
    build(&PAGE, arguments.has("--quick"))
}

/// Builds a site; `quick` leaves out what makes it small.
pub fn build(site: &Site, quick: bool) -> Outcome {
    page_tools()?;
    let compiler = Compiler::set_up(WASM)?;
    // The standard library's own crates too, where it is built along.
    step("fetching the crates", || {
        let mut cargo = compiler.cargo(STANDARD_LIBRARY)?;
        if !quick {
            compiler.shrink(&mut cargo);
        }
        tools::run(cargo.args(["fetch", "--locked", "--quiet", "--target", WASM]))
    })?;
    let what = format!("building {} into {}", site.name, site.dist);
    step(&what, || {
        compile(site, &compiler, quick)?;
        let dist = at(site.dist);
        move_inline_script(&dist)?;
        let worker = at(site.folder).join("web").join(SERVICE_WORKER);
        if worker.exists() {
            write(&dist.join(SERVICE_WORKER), read(&worker)?)?;
        }
        if !quick {
            let unpacker = at(site.folder).join("web/unpack.js");
            if unpacker.exists() {
                pack(&dist, &unpacker)?;
            }
            minify(&dist)?;
        }
        head::arrange(&dist)?;
        fill_service_worker(&dist)
    })
}

/// Settings of a quick build: no optimisation across crates, none by wasm-opt, and what changed only.
const QUICK: [(&str, &str); 3] = [
    ("CARGO_PROFILE_DEV_OPT_LEVEL", "1"),
    ("CARGO_PROFILE_DEV_DEBUG", "0"),
    // Else Leptos prints its own advice to the console.
    ("CARGO_PROFILE_DEV_DEBUG_ASSERTIONS", "false"),
];

/// Lets trunk compile and put together the page.
fn compile(site: &Site, compiler: &Compiler, quick: bool) -> Outcome {
    let mut trunk = command("trunk");
    trunk
        .args(["build", "--offline"])
        .current_dir(at(site.folder));
    // `NO_COLOR=1`, as some machines set it, is not what trunk understands.
    trunk.env_remove("NO_COLOR");
    if quick {
        trunk.envs(QUICK);
    } else {
        // Names stay in the compiler's own file, for the table of what each dependency costs; wasm-opt drops them.
        trunk
            .arg("--release")
            .env("CARGO_PROFILE_RELEASE_STRIP", "none");
    }
    compiler.prepare(&mut trunk, STANDARD_LIBRARY)?;
    if !quick {
        compiler.shrink(&mut trunk);
    }
    tools::run(&mut trunk)
}

/// Moves trunk's inline start script into a file: the content security policy allows none inline.
fn move_inline_script(dist: &Path) -> Outcome {
    let page = dist.join("index.html");
    let html = read(&page)?;
    let Some((before, script, after)) = inline_script(&html) else {
        return Err(format!(
            "{} has no inline start script; trunk's output has changed.",
            page.display()
        ));
    };
    let name = format!("start-{:016x}.js", hash(script.as_bytes()));
    write(&dist.join(&name), script)?;
    let html = format!("{before}<script type=\"module\" src=\"./{name}\"></script>{after}");
    if inline_script(&html).is_some() {
        return Err(format!(
            "{} has a second inline script; put it into a file.",
            page.display()
        ));
    }
    write(&page, html)
}

/// The first script without an address: what precedes it, its text, what follows it.
fn inline_script(html: &str) -> Option<(&str, &str, &str)> {
    let mut from = 0;
    loop {
        let start = from + html.get(from..)?.find("<script")?;
        let open = start + html.get(start..)?.find('>')? + 1;
        let close = open + html.get(open..)?.find("</script>")?;
        from = close + "</script>".len();
        let tag = html.get(start..open)?;
        if !tag.contains(" src=") && !tag.contains("application/ld+json") {
            return Some((
                html.get(..start)?,
                html.get(open..close)?.trim(),
                html.get(from..)?,
            ));
        }
    }
}

/// Packs the program, and lets the start script unpack it: a sixth less than a host's gzip.
fn pack(dist: &Path, unpacker: &Path) -> Outcome {
    let files = files(dist)?;
    let named = |start: &str, end: &str| {
        let mut names = files.keys();
        let name = names.find(|name| name.starts_with(start) && name.ends_with(end));
        name.ok_or(format!("{} has no {start}*{end}.", dist.display()))
    };
    let (program, start) = (named("", PROGRAM)?, named("start-", ".js")?);
    let packed = program.replace(PROGRAM, PACKED);
    tools::run(
        command("node")
            .arg(at("xtask/npm/pack.mjs"))
            .args([dist.join(program), dist.join(&packed), at(".tools/npm")])
            .arg(unpacker),
    )?;
    let (page, script) = (dist.join("index.html"), dist.join(start));
    let starts = format!("module_or_path: './{program}'");
    let text = read(&script)?;
    if !text.contains(&starts) {
        return Err(format!(
            "{start} does not say {starts}; trunk's output has changed."
        ));
    }
    let unpacks = format!("module_or_path: fetch('./{packed}').then(opened)");
    let unpacker = read(unpacker)?.replace("export function", "function");
    // What the service worker keeps is unpacked already.
    let opened = "async function opened(answer) {\n  if (!answer.ok) throw new Error(`The program was not sent: ${answer.status}.`);\n  \
        if (answer.headers.get(\"content-type\") === \"application/wasm\") return answer;\n  \
        return unpacked(answer);\n}\n";
    let text = [&unpacker, opened, &text.replace(&starts, &unpacks)].concat();
    let worker = dist.join(SERVICE_WORKER);
    write(&worker, read(&worker)? + &unpacker)?;
    let renamed = format!("start-{:016x}.js", hash(text.as_bytes()));
    write(&dist.join(&renamed), text)?;
    let html = read(&page)?;
    write(
        &page,
        html.replace(start, &renamed)
            .replace(program, &packed)
            .replace(" type=\"application/wasm\"", ""),
    )?;
    for gone in [&script, &dist.join(program)] {
        std::fs::remove_file(gone).map_err(|error| format!("{}: {error}.", gone.display()))?;
    }
    Ok(())
}

/// What the name of the program ends in, as wasm-bindgen writes it and packed.
const PROGRAM: &str = "_bg.wasm";
const PACKED: &str = "_bg.lzma";

/// Makes the scripts and style sheets small, in place.
fn minify(dist: &Path) -> Outcome {
    let small = |name: &String| name.ends_with(".js") || name.ends_with(".css");
    let mut esbuild = command("esbuild");
    esbuild.args([
        "--minify",
        "--charset=utf8",
        "--legal-comments=none",
        "--log-level=warning",
    ]);
    esbuild
        .args(["--allow-overwrite", "--outdir=.", "--outbase=."])
        .current_dir(dist);
    tools::run(esbuild.args(files(dist)?.into_keys().filter(small)))
}

/// Fills in the service worker's list and version of all files beside it, if the site has one.
fn fill_service_worker(dist: &Path) -> Outcome {
    let files = files(dist)?;
    if !files.contains_key(SERVICE_WORKER) {
        return Ok(());
    }
    let (list, version) = precache(&files);
    let worker = read(&dist.join(SERVICE_WORKER))?;
    for placeholder in ["__VERSION__", "__FILES__"] {
        if !worker.contains(placeholder) {
            return Err(format!("{SERVICE_WORKER} has no {placeholder} to fill in."));
        }
    }
    let list = serde_json::to_string(&list).map_err(|error| error.to_string())?;
    write(
        &dist.join(SERVICE_WORKER),
        worker
            .replace("__VERSION__", &version)
            .replace("__FILES__", &list),
    )
}

/// The service worker: `web/sw.js`, at the root of the site so that it reaches all of it.
const SERVICE_WORKER: &str = "sw.js";

/// What the service worker keeps, with the digest of each, and a version that changes with any of it. The page is `./`,
/// since many hosts redirect `index.html`.
fn precache(files: &BTreeMap<String, Vec<u8>>) -> (Vec<(&str, String)>, String) {
    let kept = || files.iter().filter(|(name, _)| *name != SERVICE_WORKER);
    let list: Vec<_> = kept()
        .map(|(name, body)| match name.as_str() {
            "index.html" => ("./", head::integrity(body)),
            name => (name, head::integrity(body)),
        })
        .collect();
    let all: Vec<u8> = list
        .iter()
        .flat_map(|(name, digest)| [name.as_bytes(), &[0], digest.as_bytes(), &[0]].concat())
        .collect();
    let version = format!("{:016x}", hash(&all));
    (list, version)
}

/// Every file below a folder by its path in it, with `/` between the parts.
pub fn files(folder: &Path) -> Outcome<BTreeMap<String, Vec<u8>>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![(folder.to_path_buf(), String::new())];
    while let Some((here, prefix)) = folders.pop() {
        let unreadable = |error| format!("{} cannot be read: {error}.", here.display());
        for entry in std::fs::read_dir(&here).map_err(unreadable)? {
            let path: PathBuf = entry.map_err(unreadable)?.path();
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            // Trunk's stage and other hidden files are not part of the page.
            if name.starts_with('.') {
                continue;
            }
            let name = format!("{prefix}{name}");
            if path.is_dir() {
                folders.push((path, format!("{name}/")));
            } else {
                found.insert(name, std::fs::read(&path).map_err(unreadable)?);
            }
        }
    }
    Ok(found)
}

/// FNV-1a, 64 bits: enough to tell one build from another.
fn hash(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

/// Whether a part of a file's name is the hash of its content. Trunk writes 64 bits in hex without leading zeros, so that
/// one name in sixteen is shorter than the rest; eight digits still tell a hash from a word.
pub fn is_hash(part: &str) -> bool {
    (8..=16).contains(&part.len()) && part.bytes().all(|byte| byte.is_ascii_hexdigit())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_inline_script_is_found_behind_one_with_an_address() {
        let html = "<head><script src=\"a.js\"></script><script type=\"module\">\nimport x\n</script></head>";
        let (before, script, after) = inline_script(html).expect("there is one");
        assert_eq!(before, "<head><script src=\"a.js\"></script>");
        assert_eq!((script, after), ("import x", "</head>"));
        assert!(inline_script("<script src=\"a.js\"></script>").is_none());
        assert!(inline_script("<script>cut off").is_none());
    }

    #[test]
    fn the_precache_list_names_the_page_and_leaves_the_worker_out() {
        let files = |page: &str| {
            [("a-0.js", "x"), ("index.html", page), ("sw.js", "s")]
                .map(|(n, b)| (n.to_owned(), b.into()))
                .into()
        };
        let (one, two) = (files("page"), files("page, changed"));
        let names: Vec<_> = precache(&one).0.into_iter().map(|(name, _)| name).collect();
        assert_eq!(names, ["a-0.js", "./"]);
        assert_ne!(precache(&one).1, precache(&two).1);
    }

    /// Landon Curt Noll, "FNV Hash", test vectors (`test_fnv.c`: `fnv1a_64`), from memory.
    #[test]
    fn the_hash_is_fnv_1a() {
        assert_eq!(hash(b""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(hash(b"a"), 0xaf63_dc4c_8601_ec8c);
        assert_eq!(hash(b"foobar"), 0x8594_4171_f739_67e8);
    }
}
