//! The head of the page as it is sent: the program is asked for first, and small scripts stand in the page itself.
//!
//! Behind a content security policy browsers do not look ahead: a file is asked for when its tag is reached, and at a script
//! with an address the reading stops for a whole round trip. So the links to the program stand right behind the policy, and
//! the scripts are written into the page, where the policy knows them by their hashes.

use std::path::Path;

use base64::Engine as _;
use base64::prelude::BASE64_STANDARD as BASE64;
use sha2::{Digest as _, Sha256};

use crate::Outcome;
use crate::tools::{read, write};

/// The beginning of the policy's tag.
const POLICY: &str = "<meta http-equiv=\"Content-Security-Policy\"";
/// Where the policy lists what may run.
const SCRIPTS: &str = "script-src 'self'";
/// How trunk writes a script that is no module.
const SCRIPT: &str = "<script src=\"./";
/// How trunk writes what the program consists of.
const PROGRAM: [&str; 2] = ["<link rel=\"preload\"", "<link rel=\"modulepreload\""];

/// Puts the head of a built page in order; a page without a policy stays as it is.
pub fn arrange(dist: &Path) -> Outcome {
    let page = dist.join("index.html");
    let html = read(&page)?;
    if !html.contains(POLICY) {
        return Ok(());
    }
    let mut inlined = Vec::new();
    let html = inline(&first(&html), |name| {
        inlined.push(dist.join(name));
        read(&dist.join(name))
    })?;
    write(&page, html)?;
    for file in inlined {
        std::fs::remove_file(&file).map_err(|error| format!("{}: {error}.", file.display()))?;
    }
    Ok(())
}

/// The page with the links to the program right behind the policy.
fn first(html: &str) -> String {
    let mut html = html.to_owned();
    let mut links = String::new();
    for start in PROGRAM {
        while let Some((before, link)) = html.split_once(start) {
            let (link, after) = link.split_once('>').unwrap_or((link, ""));
            links += &[start, link, ">"].concat();
            html = [before, after].concat();
        }
    }
    let end = html
        .find(POLICY)
        .and_then(|policy| Some(policy + html.get(policy..)?.find('>')? + 1));
    html.insert_str(end.unwrap_or(html.len()), &links);
    html
}

/// The page with its scripts in it, and their hashes in its policy; `file` reads one of them.
fn inline(html: &str, mut file: impl FnMut(&str) -> Outcome<String>) -> Outcome<String> {
    let mut out = String::new();
    let mut allowed = SCRIPTS.to_owned();
    let mut rest = html;
    while let Some((before, script)) = rest.split_once(SCRIPT) {
        let (name, after) = script
            .split_once("\"></script>")
            .ok_or("a script's tag has more than its address; trunk's output has changed.")?;
        let text = file(name)?;
        let text = text.trim();
        if text.contains("</script") || text.contains("<!--") {
            return Err(format!("{name} would end early within the page."));
        }
        allowed += &[" '", &integrity(text.as_bytes()), "'"].concat();
        out += &[before, "<script>", text, "</script>"].concat();
        rest = after;
    }
    out += rest;
    if !out.contains(SCRIPTS) {
        return Err(format!("the page's policy does not say {SCRIPTS}."));
    }
    Ok(out.replacen(SCRIPTS, &allowed, 1))
}

/// The hash of a file in the form of W3C Subresource Integrity, section 3.1, which policies use too.
pub fn integrity(body: &[u8]) -> String {
    format!("sha256-{}", BASE64.encode(Sha256::digest(body)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The empty string's digest: NIST, SHA-256 example values (from memory), in base64.
    #[test]
    fn a_file_is_known_by_its_sha_256() {
        let empty = "sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU=";
        assert_eq!(integrity(b""), empty);
    }

    const PAGE: &str = "<meta http-equiv=\"Content-Security-Policy\" content=\"script-src 'self' x\"><link rel=\"stylesheet\" href=\"a\"/>\
        <script src=\"./b.js\"></script><script type=\"module\" src=\"./c.js\"></script><link rel=\"modulepreload\" href=\"d\"><link rel=\"preload\" href=\"e\">";

    #[test]
    fn the_program_comes_first_and_scripts_stand_in_the_page() {
        let page = inline(&first(PAGE), |name| {
            assert_eq!(name, "b.js");
            Ok("\n".into())
        });
        let wanted = format!(
            "<meta http-equiv=\"Content-Security-Policy\" content=\"script-src 'self' '{}' x\"><link rel=\"preload\" href=\"e\">\
            <link rel=\"modulepreload\" href=\"d\"><link rel=\"stylesheet\" href=\"a\"/><script></script><script type=\"module\" src=\"./c.js\"></script>",
            integrity(b"")
        );
        assert_eq!(page, Ok(wanted));
    }

    #[test]
    fn what_would_end_a_script_early_is_refused() {
        assert!(inline(PAGE, |_| Ok("'</script>'".into())).is_err());
        assert!(inline("<script src=\"./b.js\" defer></script>", |_| Ok("".into())).is_err());
    }
}
