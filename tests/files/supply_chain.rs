//! The oldest compiler that the program names can build all that it is made of, by what cargo says of the
//! lock file. Licences, sources, duplicates and bans are held to `.ci/deny.toml` by `.ci/supply-chain`.

use std::collections::BTreeSet;
use std::process::Command;

use serde_json::Value;

fn packages() -> Vec<Value> {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version=1", "--locked"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("cargo runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let metadata: Value = serde_json::from_slice(&output.stdout).expect("cargo writes JSON");
    metadata["packages"].as_array().expect("a list of packages").clone()
}

/// A version of the compiler: `1.89` and `1.89.0` are the same.
fn compiler(text: &str) -> [u32; 3] {
    let mut parts = text.split('.').map(|part| part.parse().expect("a number"));
    std::array::from_fn(|_| parts.next().unwrap_or(0))
}

#[test]
fn no_package_asks_for_a_newer_compiler_than_ours() {
    assert!(compiler("1.89") == compiler("1.89.0") && compiler("1.100") > compiler("1.89.1"));
    let ours = compiler(env!("CARGO_PKG_RUST_VERSION"));
    let (mut told, mut newer) = (0, Vec::new());
    for package in packages() {
        if let Some(asked) = package["rust_version"].as_str() {
            told += 1;
            if compiler(asked) > ours {
                newer.push(format!("{} {} asks for {asked}", package["name"], package["version"]));
            }
        }
    }
    assert!(told > 100, "only {told} packages say what they ask for");
    assert_eq!(newer, [""; 0]);
}

/// The names of all that a build takes.
fn built(features: &[&str]) -> BTreeSet<String> {
    let output = Command::new(env!("CARGO"))
        .args(["tree", "--locked", "--edges=normal,build", "--prefix=none", "--format={lib}"])
        .args(features)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("cargo runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).expect("text");
    text.lines().map(|line| line.trim_end_matches(" (*)").to_owned()).collect()
}

#[test]
fn the_library_alone_takes_no_server_nothing_that_draws_and_no_workbooks() {
    const HEAVY: [&str; 8] =
        ["axum", "hyper", "tokio", "clap", "resvg", "rust_xlsxwriter", "calamine", "parquet"];
    const DRAWING: [&str; 3] = ["plotters", "dejavu", "maud"];
    let (library, program) = (built(&["--no-default-features"]), built(&[]));
    let pages = built(&["--no-default-features", "--features=pages"]);
    for name in HEAVY {
        assert!(program.contains(name) && !pages.contains(name), "{name}");
    }
    for name in DRAWING {
        assert!(pages.contains(name) && !library.contains(name), "{name}");
    }
    assert!(library.len() <= 62, "the library alone takes {} crates", library.len());
}
