//! The import rule: which module may see which. A rule that nothing checks is a wish.
//!
//! ```text
//! units, time, direction, numbers, memo   see nothing
//! control | building | plant | weather    see only those; none sees another of the four
//! people                                  feel and press; see the four
//! log                                     readings of sites; sees modes and directions
//! engine                                  where all of them meet
//! measures                                see the engine
//! settings                                what a model can be set to; sees the engine's model
//! scenario                                builds the model; sees the settings and no results
//! study                                   runs models, measures them
//! reference                               words explained; runs nothing
//! report                                  results to bytes; reads studies, never files
//! facade                                  the short way in for other programs, over all of these
//! serve                                   the local page: sees everything but cli
//! cli                                     sees everything; nothing sees it but main
//! ```
//!
//! The setpoint logic, the rooms, the machines and the weather can so be read, tested and replaced
//! each by itself, and a fault in a result can be looked for in one direction only. Within each
//! folder imports run one way, too: see `circles`.

mod circles;

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use crate::sources::rust_files;

const BASE: &[&str] = &["units", "time", "direction", "moist_air", "numbers", "memo"];
const PARTS: &[&str] = &["control", "building", "plant", "weather"];

/// What each module may see besides itself and [`BASE`].
const MAY_SEE: &[(&str, &[&[&str]])] = &[
    ("control", &[]),
    ("building", &[]),
    ("plant", &[]),
    ("weather", &[]),
    ("people", &[PARTS]),
    ("log", &[&["control"]]),
    ("engine", &[PARTS, &["people", "log"]]),
    ("measures", &[PARTS, &["people", "engine"]]),
    ("settings", &[PARTS, &["people", "engine"]]),
    ("scenario", &[PARTS, &["people", "engine", "settings", "log"]]),
    ("study", &[PARTS, &["people", "engine", "log", "measures", "settings", "scenario"]]),
    ("reference", &[PARTS, &["people", "engine", "measures", "settings", "scenario", "study"]]),
    (
        "report",
        &[PARTS, &["people", "engine", "log", "measures", "settings", "study", "reference"]],
    ),
    ("facade", &[PARTS, OVER_RUNS]),
    ("serve", &[PARTS, OVER_RUNS]),
    ("cli", &[PARTS, OVER_RUNS, &["serve"]]),
];

/// What is made of runs and what makes them.
const OVER_RUNS: &[&str] = &[
    "people",
    "engine",
    "log",
    "measures",
    "settings",
    "scenario",
    "study",
    "reference",
    "report",
];

/// Where files, the clock and the environment may be touched, as the start of a path in `src`.
const MAY_TOUCH_THE_WORLD: &[&str] = &["cli/", "scenario/load.rs"];

struct Source {
    /// Its path in `src`, with `/` between the parts.
    name: String,
    /// Its code without comments.
    code: String,
}

impl Source {
    fn module(&self) -> &str {
        let first = self.name.split('/').next().unwrap_or_default();
        first.trim_end_matches(".rs")
    }

    /// How many modules deep the code of this file stands: 1 for `control/mod.rs`.
    fn depth(&self) -> usize {
        let parts = self.name.split('/').count();
        if self.name.ends_with("mod.rs") { parts - 1 } else { parts }
    }
}

fn sources() -> Vec<Source> {
    let without_comments = |(name, text): (String, String)| {
        let code = text.lines().filter(|line| !line.trim_start().starts_with("//"));
        Source { name, code: code.collect::<Vec<_>>().join("\n") }
    };
    let mut found: Vec<Source> = rust_files().into_iter().map(without_comments).collect();
    found.sort_by(|one, other| one.name.cmp(&other.name));
    found
}

/// The modules that a text names after `crate::`, also as `crate::{a::B, c}`.
fn seen(code: &str) -> BTreeSet<String> {
    let word = |text: &str| -> String {
        text.trim_start().chars().take_while(|it| it.is_alphanumeric() || *it == '_').collect()
    };
    let mut modules = BTreeSet::new();
    for rest in code.split("crate::").skip(1) {
        let Some(group) = rest.strip_prefix('{') else {
            modules.insert(word(rest));
            continue;
        };
        let mut depth = 0_i32;
        let mut start = true;
        for (at, letter) in group.char_indices() {
            if start && depth == 0 && !letter.is_whitespace() {
                modules.insert(word(&group[at..]));
                start = false;
            }
            match letter {
                '{' => depth += 1,
                '}' if depth == 0 => break,
                '}' => depth -= 1,
                ',' if depth == 0 => start = true,
                _ => {}
            }
        }
    }
    modules.remove("");
    modules
}

fn may_see(module: &str) -> Option<BTreeSet<&'static str>> {
    if BASE.contains(&module) {
        return Some(BTreeSet::new());
    }
    let (_, groups) = MAY_SEE.iter().find(|(name, _)| *name == module)?;
    Some(BASE.iter().chain(groups.iter().copied().flatten()).copied().collect())
}

#[test]
fn imports_run_one_way() {
    let mut breaches = Vec::new();
    for source in sources().iter().filter(|it| !["lib.rs", "main.rs"].contains(&&*it.name)) {
        let module = source.module();
        let Some(allowed) = may_see(module) else {
            breaches.push(format!("src/{}: `{module}` has no row in MAY_SEE", source.name));
            continue;
        };
        for other in seen(&source.code) {
            if other != module && !allowed.contains(&*other) {
                breaches.push(format!("src/{}: {module} may not see {other}", source.name));
            }
        }
    }
    assert!(breaches.is_empty(), "{breaches:#?}");
}

/// A chain of `super::` that climbs out of its module would slip through the test above.
#[test]
fn nothing_climbs_to_the_root_by_super() {
    for source in sources() {
        let mut parts = source.code.split("mod tests {");
        let own = parts.next().unwrap_or_default();
        for (code, depth) in [(own, source.depth())]
            .into_iter()
            .chain(parts.map(|tests| (tests, source.depth() + 1)))
        {
            assert!(
                !code.contains(&"super::".repeat(depth)),
                "src/{} climbs to the root by super; write crate:: instead",
                source.name
            );
        }
    }
}

/// `clippy.toml` bans the calls themselves; this holds the places where the ban is lifted.
#[test]
fn only_the_reader_and_the_command_line_touch_the_world() {
    let lifted = "clippy::disallowed_methods";
    for source in sources().iter().filter(|it| it.name != "lib.rs") {
        let may = MAY_TOUCH_THE_WORLD.iter().any(|start| source.name.starts_with(start));
        assert!(may || !source.code.contains(lifted), "src/{} lifts the ban", source.name);
    }
    let lib = sources().into_iter().find(|it| it.name == "lib.rs").expect("there is a lib.rs");
    assert!(lib.code.contains("#![warn(clippy::disallowed_methods)]"), "the ban stands");
}

/// A setting has one home: its entry in `settings`. Everything else asks the entry for its key, so
/// that no list of settings has to be kept by hand. Scenario texts are data and may name keys.
#[test]
fn the_key_of_a_setting_stands_in_its_entry_alone() {
    let entries: Vec<_> = setband::settings::of_zones()
        .iter()
        .chain(setband::settings::of_groups())
        .filter(|entry| entry.key.name.contains('_'))
        .collect();
    assert!(entries.len() > 25);
    let mut strays = Vec::new();
    for source in sources().iter().filter(|it| {
        it.module() != "settings" && !it.name.ends_with("tests.rs") && !it.name.contains("puzzle")
    }) {
        let code = source.code.split("mod tests {").next().unwrap_or_default();
        for entry in &entries {
            let ends = [format!("\"{}\"", entry.key.name), format!(".{}\"", entry.key.name)];
            if ends.iter().any(|end| code.contains(end)) {
                strays.push(format!("src/{} writes {} itself", source.name, entry.key.name));
            }
        }
    }
    assert!(strays.is_empty(), "{strays:#?}");
}

#[test]
fn files_stay_short_enough_to_be_read() {
    // Far above 400 lines nobody keeps a file in mind; comments count, too.
    const FAR_ABOVE: usize = 500;
    for source in sources() {
        let lines = source.code.lines().count();
        assert!(lines <= FAR_ABOVE, "src/{} has {lines} lines of code: split it", source.name);
    }
}

#[test]
fn the_reader_of_imports_reads_them() {
    let names = |code: &str| seen(code).into_iter().collect::<Vec<_>>().join(" ");
    assert_eq!(names("use crate::time::DAY; let x = crate::units::T;"), "time units");
    assert_eq!(names("use crate::{control::{A, B}, time, plant::C};"), "control plant time");
    assert_eq!(names("use std::fs;"), "");
}

/// The README's list of libraries is whole: each dependency of the manifest stands in it.
#[test]
fn the_readme_names_every_dependency() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let read = |name: &str| fs::read_to_string(root.join(name)).expect("it is there");
    let (manifest, readme) = (read("Cargo.toml"), read("README.md"));
    let list = readme.split("## Built with").nth(1).expect("the list");
    let words: BTreeSet<&str> =
        list.split(|letter: char| !(letter.is_alphanumeric() || "_-".contains(letter))).collect();
    let mut named = 0;
    let mut within = false;
    for line in manifest.lines() {
        if line.starts_with('[') {
            within = line == "[dependencies]" || line == "[dev-dependencies]";
        } else if let Some((name, _)) = line.split_once(" = ").filter(|_| within) {
            assert!(words.contains(name), "the README does not say what `{name}` is for");
            named += 1;
        }
    }
    assert!(named > 30, "only {named} dependencies were found");
}

/// Whoever reads the library's pages finds an example on the first one and on that of every module.
#[test]
fn every_public_module_has_an_example_that_runs() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let read = |path: &Path| fs::read_to_string(path).expect("it is there");
    let mut open = vec![(root.clone(), root.join("lib.rs"))];
    let (mut looked_at, mut without) = (0, Vec::new());
    while let Some((folder, file)) = open.pop() {
        let text = read(&file);
        let docs = text.lines().take_while(|line| line.starts_with("//!"));
        if !docs.into_iter().any(|line| line == "//! ```") {
            without.push(file.display().to_string());
        }
        looked_at += 1;
        let mut behind_a_feature = false;
        for line in text.lines() {
            if let Some(name) = line.strip_prefix("pub mod ").filter(|_| !behind_a_feature) {
                let name = name.trim_end_matches(';');
                let below = folder.join(name);
                let (flat, nested) = (folder.join(format!("{name}.rs")), below.join("mod.rs"));
                open.push((below, if flat.is_file() { flat } else { nested }));
            }
            behind_a_feature = line == "#[cfg(feature = \"cli\")]";
        }
    }
    assert!(without.is_empty(), "no example at the head of {without:#?}");
    assert!(looked_at > 20, "only {looked_at} modules were found");
}
