//! What the program is built from: licences, sources, duplicates and archived crates, from what cargo
//! says of the lock file. No network.

use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

use serde_json::Value;

/// Licences under which a package may be used here (SPDX identifiers).
const ALLOWED: &[&str] = &[
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Packages of which there are two versions or more, and why they cannot be one yet.
const TWICE: &[(&str, &str)] = &[
    ("getrandom", "ours is the newest; ahash in jsonschema, for tests alone, has older ones"),
    ("miniz_oxide", "png has the older one itself and the newer one through flate2"),
    ("num-bigint", "parquet has the newer one; the older one is in jsonschema, for tests alone"),
    ("r-efi", "comes with getrandom, for a system that this program is not for"),
    ("syn", "maud's macros have the older one; works while building and is in no program"),
];

/// Crates whose keepers have archived them or said that they stop, from memory of their front pages.
const ARCHIVED: &[&str] = &[
    "ansi_term",
    "atty",
    "dirs",
    "failure",
    "fxhash",
    "instant",
    "paste",
    "proc-macro-error",
    "serde_yaml",
    "serde_yml",
    "term_size",
    "yaml-rust",
];

/// Those of them that are in use, and why.
const ARCHIVED_IN_USE: &[(&str, &str)] = &[(
    "paste",
    "a macro that pulp uses while it is built: finished, without code in the program; it goes when \
     pulp lets go of it",
)];

fn metadata() -> Value {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version=1", "--locked"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("cargo runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("cargo writes JSON")
}

fn packages() -> Vec<Value> {
    metadata()["packages"].as_array().expect("a list of packages").clone()
}

fn text<'v>(package: &'v Value, key: &str) -> &'v str {
    package[key].as_str().unwrap_or_default()
}

/// Whether an expression of SPDX leaves a choice of allowed licences only. `/` is an older OR.
fn is_allowed(expression: &str) -> bool {
    let expression = expression.replace('/', " OR ");
    let (mut depth, mut start) = (0_i32, 0);
    let mut parts: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for word in [" OR ", " AND "] {
        let mut found = Vec::new();
        for (at, letter) in expression.char_indices() {
            depth += i32::from(letter == '(') - i32::from(letter == ')');
            if depth == 0 && expression[at..].starts_with(word) {
                found.push(expression[start..at].trim().to_owned());
                start = at + word.len();
            }
        }
        found.push(expression[start..].trim().to_owned());
        parts.insert(word, found);
        start = 0;
    }
    let (any, all) = (&parts[" OR "], &parts[" AND "]);
    if any.len() > 1 {
        return any.iter().any(|part| is_allowed(part));
    }
    if all.len() > 1 {
        return all.iter().all(|part| is_allowed(part));
    }
    let plain = expression.trim();
    match plain.strip_prefix('(').and_then(|inner| inner.strip_suffix(')')) {
        Some(inner) => is_allowed(inner),
        None => ALLOWED.contains(&plain),
    }
}

#[test]
fn licences_are_read_as_spdx_means_them() {
    for good in ["MIT", "MIT/GPL-3.0", "GPL-3.0 OR Zlib", "(MIT OR GPL-3.0) AND Unicode-3.0"] {
        assert!(is_allowed(good), "{good}");
    }
    for bad in ["GPL-3.0", "MIT AND GPL-3.0", "", "(GPL-3.0 OR LGPL-3.0) AND MIT"] {
        assert!(!is_allowed(bad), "{bad}");
    }
}

#[test]
fn every_package_may_be_used() {
    let packages = packages();
    assert!(packages.len() > 100);
    for package in &packages {
        let (name, licence) = (text(package, "name"), text(package, "license"));
        assert!(is_allowed(licence), "{name}: `{licence}` leaves no allowed choice");
    }
}

#[test]
fn every_package_comes_from_the_one_registry() {
    let registry = "registry+https://github.com/rust-lang/crates.io-index";
    for package in packages() {
        let source = text(&package, "source");
        let own = text(&package, "name") == "setband" && source.is_empty();
        assert!(own || source == registry, "{} comes from `{source}`", text(&package, "name"));
    }
}

#[test]
fn what_is_there_twice_is_known_and_explained() {
    let mut versions: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for package in packages() {
        let name = text(&package, "name").to_owned();
        versions.entry(name).or_default().insert(text(&package, "version").to_owned());
    }
    let twice: BTreeSet<&str> =
        versions.iter().filter(|(_, all)| all.len() > 1).map(|(name, _)| name.as_str()).collect();
    assert_eq!(twice, TWICE.iter().map(|(name, _)| *name).collect());
    assert!(TWICE.iter().all(|(_, why)| !why.is_empty()));
}

#[test]
fn archived_crates_are_out_or_explained() {
    let packages = packages();
    let archived: BTreeSet<&str> =
        packages.iter().map(|it| text(it, "name")).filter(|it| ARCHIVED.contains(it)).collect();
    assert_eq!(archived, ARCHIVED_IN_USE.iter().map(|(name, _)| *name).collect());
    assert!(ARCHIVED_IN_USE.iter().all(|(_, why)| !why.is_empty()));
}
