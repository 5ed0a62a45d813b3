//! What each dependency costs: the bytes of every function in the compiled page, added up by the crate that its
//! name begins with. A generic function counts for the crate that defines it, whoever asked for it.

use std::collections::BTreeMap;

/// Crates that come and go together, under the name of the dependency that brings them.
const FAMILIES: &[(&str, &[&str])] = &[
    (
        "leptos",
        &[
            "tachys",
            "reactive_graph",
            "leptos_dom",
            "leptos_server",
            "leptos_config",
            "any_spawner",
            "or_poisoned",
            "hydration_context",
            "either_of",
            "next_tuple",
            "oco_ref",
            "throw_error",
            "server_fn",
            "send_wrapper",
            "slotmap",
            "guardian",
            "futures",
            "futures_core",
            "futures_util",
            "futures_channel",
            "futures_task",
            "futures_executor",
            "rustc_hash",
            "reactive_stores",
            "const_str_slice_concat",
            "drain_filter_polyfill",
            "erased",
            "linear_map",
            "wasm_split_helpers",
            "indexmap",
            "paste",
            "async_lock",
            "event_listener",
            "pin_project_lite",
            "slab",
            "once_cell",
            "percent_encoding",
            "html_escape",
            "utf8_width",
            "parking",
        ],
    ),
    (
        "wasm-bindgen",
        &[
            "wasm_bindgen",
            "js_sys",
            "web_sys",
            "wasm_bindgen_futures",
            "console_error_panic_hook",
            "gloo_utils",
        ],
    ),
    (
        "Rust's own library",
        &[
            "core",
            "__rustc",
            "alloc",
            "std",
            "dlmalloc",
            "compiler_builtins",
            "rustc_demangle",
            "hashbrown",
            "panic_abort",
            "memchr",
        ],
    ),
];

/// Bytes of a WebAssembly module by what they are for, largest first: crates' code, then `data` and the rest.
pub fn by_crate(module: &[u8]) -> Option<Vec<(String, usize)>> {
    let mut imported = 0;
    let mut bodies = Vec::new();
    let mut names = BTreeMap::new();
    let mut sums: BTreeMap<String, usize> = BTreeMap::new();
    let mut reader = Reader(module.strip_prefix(b"\0asm\x01\0\0\0")?);
    while let Some(id) = reader.byte() {
        let mut section = Reader(reader.counted()?);
        let length = section.0.len();
        match id {
            0 if section.counted()? == b"name" => names = function_names(section)?,
            0 => {}
            2 => imported = imported_functions(section)?,
            10 => {
                for _ in 0..section.number()? {
                    bodies.push(section.counted()?.len());
                }
            }
            11 => *sums.entry("texts and tables".into()).or_default() += length,
            _ => {
                *sums
                    .entry("types, imports, tables of functions".into())
                    .or_default() += length
            }
        }
    }
    for (index, body) in bodies.into_iter().enumerate() {
        let name = names
            .get(&(imported + index))
            .map(String::as_str)
            .unwrap_or_default();
        *sums.entry(family(&owner(name)).into()).or_default() += body;
    }
    let mut sums: Vec<_> = sums.into_iter().collect();
    sums.sort_by_key(|(_, bytes)| std::cmp::Reverse(*bytes));
    Some(sums)
}

/// The dependency that a crate belongs to.
fn family(name: &str) -> &str {
    let family = FAMILIES
        .iter()
        .find(|(family, members)| *family == name || members.contains(&name));
    family.map_or(name, |(family, _)| family)
}

/// The crate that a symbol's name begins with.
fn owner(symbol: &str) -> String {
    let name = format!("{:#}", rustc_demangle::demangle(symbol));
    let name = name
        .strip_prefix("core::ptr::drop_in_place<")
        .unwrap_or(&name);
    // `<&mut dyn a::B as c::D>::e` is a's; `<T as c::D>::e` is c's.
    for start in [Some(name), name.split_once(" as ").map(|(_, rest)| rest)]
        .into_iter()
        .flatten()
    {
        let mut path = start.trim_start_matches(['<', '&', '*', '[', '(']);
        for word in ["mut ", "const ", "dyn ", "impl "] {
            path = path.strip_prefix(word).unwrap_or(path);
        }
        if let Some((first, _)) = path.split_once("::")
            && !first.is_empty()
            && first
                .bytes()
                .all(|byte| byte.is_ascii_alphanumeric() || byte == b'_')
        {
            return first.to_owned();
        }
    }
    "without a crate's name".into()
}

/// The name section's function names, by the function's index.
fn function_names(mut section: Reader) -> Option<BTreeMap<usize, String>> {
    let mut names = BTreeMap::new();
    while let Some(id) = section.byte() {
        let mut part = Reader(section.counted()?);
        if id == 1 {
            for _ in 0..part.number()? {
                let index = part.number()?;
                names.insert(index, String::from_utf8_lossy(part.counted()?).into_owned());
            }
        }
    }
    Some(names)
}

/// How many functions a module imports: they come first in the count.
fn imported_functions(mut section: Reader) -> Option<usize> {
    let mut functions = 0;
    for _ in 0..section.number()? {
        section.counted()?;
        section.counted()?;
        match section.byte()? {
            0 => {
                section.number()?;
                functions += 1;
            }
            // A table, its element type first, and a memory: limits, with a maximum if the flag says so.
            kind @ (1 | 2) => {
                if kind == 1 {
                    section.byte()?;
                }
                let flag = section.byte()?;
                section.number()?;
                if flag & 1 == 1 {
                    section.number()?;
                }
            }
            // A global or a tag: two bytes.
            _ => {
                section.byte()?;
                section.number()?;
            }
        }
    }
    Some(functions)
}

/// Reads WebAssembly's binary format (WebAssembly Core Specification 2.0, chapter 5).
struct Reader<'a>(&'a [u8]);

impl<'a> Reader<'a> {
    fn byte(&mut self) -> Option<u8> {
        let (first, rest) = self.0.split_first()?;
        self.0 = rest;
        Some(*first)
    }

    /// An unsigned LEB128 number (5.2.2).
    fn number(&mut self) -> Option<usize> {
        let mut value = 0;
        for shift in (0..35).step_by(7) {
            let byte = self.byte()?;
            value |= usize::from(byte & 0x7f) << shift;
            if byte < 0x80 {
                return Some(value);
            }
        }
        None
    }

    /// Bytes that their number precedes.
    fn counted(&mut self) -> Option<&'a [u8]> {
        let length = self.number()?;
        let (bytes, rest) = self.0.split_at_checked(length)?;
        self.0 = rest;
        Some(bytes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// WebAssembly Core Specification 2.0, 5.2.2: the encodings of 3 in one and in two bytes. 624,485 is the
    /// worked example of DWARF 4, appendix C (from memory).
    #[test]
    fn numbers_are_read_as_leb128() {
        for (bytes, value) in [
            (&[3_u8][..], Some(3)),
            (&[0x83, 0], Some(3)),
            (&[0xe5, 0x8e, 0x26], Some(624_485)),
        ] {
            assert_eq!(Reader(bytes).number(), value);
        }
        assert_eq!(Reader(&[0x80]).number(), None);
        assert_eq!(Reader(&[0x80; 9]).number(), None);
    }

    #[test]
    fn symbols_belong_to_the_crate_they_begin_with() {
        for (symbol, wanted) in [
            (
                "_ZN13layshaft_core6motion6travel17h0123456789abcdefE",
                "layshaft_core",
            ),
            ("_RNvCs1234_7mycrate3foo", "mycrate"),
            (
                "_ZN4core3ptr42drop_in_place$LT$alloc..string..String$GT$17h0123456789abcdefE",
                "alloc",
            ),
            (
                "_ZN60_$LT$tachys..html..Element$u20$as$u20$core..clone..Clone$GT$5clone17h0123456789abcdefE",
                "tachys",
            ),
            (
                "_ZN50_$LT$T$u20$as$u20$core..convert..Into$LT$U$GT$$GT$4into17h0123456789abcdefE",
                "core",
            ),
            ("__wbindgen_malloc", "without a crate's name"),
        ] {
            assert_eq!(owner(symbol), wanted, "{symbol}");
        }
        assert_eq!(family("tachys"), "leptos");
        assert_eq!(family("layshaft_core"), "layshaft_core");
    }

    /// One import, two functions of 3 and 4 bytes, their names, and 5 bytes of data.
    #[test]
    fn a_module_is_added_up() {
        let mut module = b"\0asm\x01\0\0\0".to_vec();
        let mut section = |id: u8, body: &[u8]| {
            module.extend([id, u8::try_from(body.len()).expect("short")]);
            module.extend(body);
        };
        section(2, b"\x01\x01a\x01b\x00\x00");
        section(10, &[2, 3, 0, 1, 0x0b, 4, 0, 1, 1, 0x0b]);
        section(11, &[0, 1, 2, 3, 4]);
        section(0, b"\x04name\x01\x0f\x02\x01\x05a::bb\x02\x05c::dd");
        let parts = by_crate(&module).expect("well formed");
        let size = |name: &str| parts.iter().find(|part| part.0 == name).map(|part| part.1);
        assert_eq!(
            (size("a"), size("c"), size("texts and tables")),
            (Some(3), Some(4), Some(5))
        );
        assert!(by_crate(b"not a module").is_none());
        assert!(by_crate(module.get(..20).expect("long")).is_none());
    }
}
