//! A small static server for one folder, as a host of project pages behaves: right types, gzip, one base path.

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Write};
use std::net::{TcpListener, TcpStream};
use std::path::Path;
use std::sync::Arc;

use crate::site::{self, files, is_hash};
use crate::size::gzip;
use crate::tools::at;
use crate::{Arguments, Outcome};

/// File ending, content type, whether it travels gzipped.
const TYPES: &[(&str, &str, bool)] = &[
    ("html", "text/html; charset=utf-8", true),
    ("css", "text/css; charset=utf-8", true),
    ("js", "text/javascript; charset=utf-8", true),
    ("wasm", "application/wasm", true),
    ("json", "application/json", true),
    ("webmanifest", "application/manifest+json", true),
    ("svg", "image/svg+xml", true),
    ("txt", "text/plain; charset=utf-8", true),
    ("lzma", "application/x-lzma", false),
    ("png", "image/png", false),
    ("ico", "image/x-icon", false),
];

/// The longest head of a request that is read.
const LONGEST_HEAD: u64 = 16 * 1024;

/// One file, ready to send.
struct Served {
    kind: &'static str,
    cache: &'static str,
    body: Vec<u8>,
    gzip: Option<Vec<u8>>,
}

/// A folder, read once: what is not in it cannot be asked for.
struct Folder {
    base: String,
    files: BTreeMap<String, Served>,
    log: bool,
}

/// What a request's address leads to.
#[derive(Debug, PartialEq)]
enum Target {
    /// A file by its path in the folder.
    File(String),
    /// The base path without its last `/`.
    AddSlash,
    Nothing,
}

/// `cargo xtask serve`.
pub fn run(arguments: &Arguments) -> Outcome {
    if !arguments.has("--no-build") && !arguments.has("--dist") {
        site::build(&site::PAGE, arguments.has("--quick"))?;
    }
    let port = arguments.value("--port").unwrap_or("8080");
    let port = port
        .parse()
        .map_err(|_| format!("`--port` is followed by a number up to 65535, not `{port}`."))?;
    let base = format!(
        "/{}/",
        arguments
            .value("--base")
            .unwrap_or_default()
            .trim_matches('/')
    )
    .replace("//", "/");
    let dist = at(arguments.value("--dist").unwrap_or(site::PAGE.dist));
    if arguments.has("--attached") {
        // A test that is cut short leaves no server behind.
        std::thread::spawn(|| {
            drop(std::io::copy(&mut std::io::stdin(), &mut std::io::sink()));
            std::process::exit(0);
        });
    }
    serve(&dist, port, base, arguments.has("--log"))
}

/// Serves a folder until the process ends.
fn serve(dist: &Path, port: u16, base: String, log: bool) -> Outcome {
    let files = files(dist)?
        .into_iter()
        .map(|(name, body)| (name.clone(), prepare(&name, body)))
        .collect();
    let folder = Arc::new(Folder { base, files, log });
    let refused =
        |error| format!("port {port} cannot be listened on: {error}. Choose another by `--port`.");
    let listener = TcpListener::bind(("127.0.0.1", port)).map_err(refused)?;
    let address = listener.local_addr().map_err(refused)?;
    println!(
        "Serving {} at http://{address}{} (Ctrl+C ends it)",
        dist.display(),
        folder.base
    );
    for stream in listener.incoming().flatten() {
        let folder = Arc::clone(&folder);
        // An error here is a browser that went away.
        std::thread::spawn(move || drop(converse(&stream, &folder)));
    }
    Ok(())
}

fn prepare(name: &str, body: Vec<u8>) -> Served {
    let ending = name.rsplit('.').next().unwrap_or_default();
    let known = TYPES.iter().find(|(known, ..)| *known == ending);
    let (kind, packed) = known.map_or(("application/octet-stream", false), |(_, kind, packed)| {
        (*kind, *packed)
    });
    let cache = match name {
        "sw.js" => "no-store",
        _ if hashed(name) => "public, max-age=31536000, immutable",
        _ => "no-cache",
    };
    Served {
        kind,
        cache,
        gzip: packed.then(|| gzip(&body)),
        body,
    }
}

/// Whether a name carries the hex digits that change with the content.
fn hashed(name: &str) -> bool {
    name.split(['-', '.', '_']).any(is_hash)
}

/// Answers the requests of one connection, one after the other.
fn converse(stream: &TcpStream, folder: &Folder) -> std::io::Result<()> {
    stream.set_nodelay(true)?;
    let mut reader = BufReader::new(stream);
    loop {
        let mut head = Vec::new();
        loop {
            let mut line = String::new();
            let room = LONGEST_HEAD
                .saturating_sub(head.iter().map(|line: &String| line.len() as u64).sum());
            if std::io::Read::take(&mut reader, room).read_line(&mut line)? == 0 {
                return Ok(());
            }
            if line.trim().is_empty() {
                break;
            }
            head.push(line);
        }
        answer(stream, folder, &head)?;
    }
}

/// Answers one request, given the lines of its head.
fn answer(mut stream: &TcpStream, folder: &Folder, head: &[String]) -> std::io::Result<()> {
    let mut words = head
        .first()
        .map(String::as_str)
        .unwrap_or_default()
        .split_whitespace();
    let (method, address) = (
        words.next().unwrap_or_default(),
        words.next().unwrap_or_default(),
    );
    let gzip_taken = head.iter().any(|line| {
        let line = line.to_ascii_lowercase();
        line.starts_with("accept-encoding:") && line.contains("gzip")
    });
    let target = target(&folder.base, address);
    let file = match &target {
        Target::File(name) => folder.files.get(name),
        _ => None,
    };
    let mut more = String::new();
    let (status, kind, body): (_, _, &[u8]) = match (method, &target, file) {
        ("GET" | "HEAD", _, Some(file)) => {
            more = format!("cache-control: {}\r\n", file.cache);
            match file.gzip.as_ref().filter(|_| gzip_taken) {
                Some(packed) => {
                    more += "content-encoding: gzip\r\nvary: accept-encoding\r\n";
                    ("200 OK", file.kind, packed)
                }
                None => ("200 OK", file.kind, &file.body),
            }
        }
        ("GET" | "HEAD", Target::AddSlash, _) => {
            more = format!("location: {}\r\n", folder.base);
            ("301 Moved Permanently", "text/plain", b"")
        }
        ("GET" | "HEAD", ..) => (
            "404 Not Found",
            "text/plain",
            b"There is no such file here.\n",
        ),
        _ => {
            more = "allow: GET, HEAD\r\nconnection: close\r\n".into();
            (
                "405 Method Not Allowed",
                "text/plain",
                b"Only GET and HEAD are answered here.\n",
            )
        }
    };
    if folder.log {
        println!(
            "{method} {address} {} {}",
            status.get(..3).unwrap_or_default(),
            body.len()
        );
    }
    let length = body.len();
    write!(
        stream,
        "HTTP/1.1 {status}\r\ncontent-type: {kind}\r\ncontent-length: {length}\r\nx-content-type-options: nosniff\r\n{more}\r\n"
    )?;
    if method != "HEAD" {
        stream.write_all(body)?;
    }
    stream.flush()
}

/// What an address, as the request's first line has it, leads to below a base path.
fn target(base: &str, address: &str) -> Target {
    let path = address.split(['?', '#']).next().unwrap_or_default();
    let Some(path) = percent_decode(path) else {
        return Target::Nothing;
    };
    if path.len() + 1 == base.len() && base.starts_with(&path) {
        return Target::AddSlash;
    }
    match path.strip_prefix(base) {
        Some(rest) if rest.is_empty() || rest.ends_with('/') => {
            Target::File(format!("{rest}index.html"))
        }
        Some(rest) => Target::File(rest.to_owned()),
        None => Target::Nothing,
    }
}

fn percent_decode(text: &str) -> Option<String> {
    let mut bytes = Vec::new();
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(match byte {
            b'%' => {
                let digits = [rest.next()?, rest.next()?];
                u8::from_str_radix(std::str::from_utf8(&digits).ok()?, 16).ok()?
            }
            _ => byte,
        });
    }
    String::from_utf8(bytes).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_lead_to_files_below_the_base_path_only() {
        let file = |name: &str| Target::File(name.into());
        for (base, address, wanted) in [
            ("/", "/", file("index.html")),
            ("/", "/a.js?v=1#x", file("a.js")),
            ("/", "/icons/a%20b.png", file("icons/a b.png")),
            ("/a/b/", "/a/b/", file("index.html")),
            ("/a/b/", "/a/b/x.wasm", file("x.wasm")),
            ("/a/b/", "/a/b", Target::AddSlash),
            ("/a/b/", "/x.wasm", Target::Nothing),
            ("/a/b/", "/a/bc", Target::Nothing),
            ("/", "/%zz", Target::Nothing),
            ("/", "/%ff", Target::Nothing),
            ("/", "", Target::AddSlash),
        ] {
            assert_eq!(target(base, address), wanted, "{address} below {base}");
        }
    }

    /// The folder is read once, so a path that climbs is a name that is not there.
    #[test]
    fn nothing_above_the_folder_is_served() {
        let dist = std::env::temp_dir().join(format!("layshaft-serve-{}", std::process::id()));
        std::fs::create_dir_all(dist.join("inner")).expect("a folder for the test");
        std::fs::write(dist.join("secret"), "s").expect("a file beside");
        std::fs::write(dist.join("inner/index.html"), "page").expect("a page");
        let files = files(&dist.join("inner")).expect("readable");
        std::fs::remove_dir_all(&dist).expect("cleared");
        assert_eq!(files.keys().collect::<Vec<_>>(), ["index.html"]);
        for climb in [
            "/../secret",
            "/%2e%2e/secret",
            "/..%2fsecret",
            "/./../secret",
            "//secret",
        ] {
            if let Target::File(name) = target("/", climb) {
                assert!(!files.contains_key(&name), "{climb}");
            }
        }
    }

    #[test]
    fn hashed_files_are_kept_and_the_rest_is_asked_for_again() {
        for (name, cache) in [
            ("sw.js", "no-store"),
            ("index.html", "no-cache"),
            ("manifest.webmanifest", "no-cache"),
            (
                "layshaft-web-0123456789abcdef_bg.wasm",
                "public, max-age=31536000, immutable",
            ),
            (
                "style-0123456789abcdef.css",
                "public, max-age=31536000, immutable",
            ),
            (
                "layshaft-web-123456789abcdef_bg.lzma",
                "public, max-age=31536000, immutable",
            ),
            ("icon-512.png", "no-cache"),
        ] {
            assert_eq!(prepare(name, Vec::new()).cache, cache, "{name}");
        }
        assert_eq!(prepare("a_bg.wasm", Vec::new()).kind, "application/wasm");
        assert_eq!(prepare("a", Vec::new()).kind, "application/octet-stream");
    }
}
