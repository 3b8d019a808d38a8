//! No circle between the modules of one folder: of two that import each other, neither can be read
//! or tested alone. References are followed through the `pub use` of a folder's `mod.rs` to where
//! a name is really from; what stands in `mod tests` does not count.

use std::collections::{BTreeMap, BTreeSet};

use super::{Source, sources};

/// The way to a module or to something in it, from the root of the crate.
type Way = Vec<String>;

/// Which modules of a folder each of them imports from.
type Folder = BTreeMap<String, BTreeSet<String>>;

impl Source {
    /// The module whose code the file holds.
    fn way(&self) -> Way {
        let name = self.name.trim_end_matches(".rs").trim_end_matches("/mod");
        name.split('/').map(str::to_owned).collect()
    }

    /// The code before its inline tests.
    fn own_code(&self) -> &str {
        self.code.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default()
    }
}

/// Everything that a list in braces names, each with the way before it.
fn expand(before: &[String], text: &str, found: &mut Vec<Way>) {
    let (mut depth, mut start) = (0_u32, 0);
    for (at, letter) in text.char_indices().chain([(text.len(), ',')]) {
        match letter {
            '{' => depth += 1,
            '}' => depth = depth.saturating_sub(1),
            ',' if depth == 0 => {
                follow(before, text[start..at].trim(), found);
                start = at + 1;
            }
            _ => {}
        }
    }
}

/// The names at the end of a path such as `a::b` or `a::{b, c::d}`.
fn follow(before: &[String], path: &str, found: &mut Vec<Way>) {
    let mut way = before.to_vec();
    let mut rest = path;
    loop {
        if let Some(list) = rest.strip_prefix('{') {
            let mut depth = 1_u32;
            let close = list.char_indices().find(|(_, letter)| {
                depth = match letter {
                    '{' => depth + 1,
                    '}' => depth - 1,
                    _ => depth,
                };
                depth == 0
            });
            expand(&way, &list[..close.map_or(list.len(), |(at, _)| at)], found);
            return;
        }
        let end = rest.find(|it: char| !it.is_alphanumeric() && it != '_').unwrap_or(rest.len());
        match &rest[..end] {
            "super" => drop(way.pop()),
            "" | "self" => {}
            part => way.push(part.to_owned()),
        }
        match rest[end..].strip_prefix("::") {
            Some(more) => rest = more,
            None => break,
        }
    }
    if way.len() > before.len() || path.starts_with("super") {
        found.push(way);
    }
}

/// Everything of this crate that a piece of code names in full.
fn named(module: &[String], code: &str) -> Vec<Way> {
    let mut found = Vec::new();
    let inside = |letter: char| letter.is_alphanumeric() || letter == '_' || letter == ':';
    for root in ["crate::", "super::", "self::"] {
        for (at, _) in code.match_indices(root) {
            if code[..at].chars().next_back().is_some_and(inside) {
                continue;
            }
            match root {
                "crate::" => follow(&[], &code[at + root.len()..], &mut found),
                _ => follow(module, &code[at..], &mut found),
            }
        }
    }
    found
}

/// What modules hand on of others: where each name is from.
fn exports(all: &[Source]) -> BTreeMap<Way, Way> {
    let mut from = BTreeMap::new();
    for source in all {
        let module = source.way();
        let uses = source.own_code().split(';').filter_map(|piece| {
            let (visibility, path) = piece.trim_start().split_once("use ")?;
            visibility.lines().last()?.trim_start().starts_with("pub").then_some(path)
        });
        for path in uses {
            let mut found = Vec::new();
            match path.strip_prefix("crate::") {
                Some(path) => follow(&[], path, &mut found),
                None => follow(&module, path, &mut found),
            }
            for way in found {
                let name = way.last().cloned().into_iter();
                from.insert(module.iter().cloned().chain(name).collect(), way);
            }
        }
    }
    from
}

/// The module in which something stands.
fn home(way: &[String], modules: &BTreeSet<Way>, exports: &BTreeMap<Way, Way>) -> Way {
    // A name is handed on through a few folders at most.
    let mut way = way.to_vec();
    for _ in 0..8 {
        let known = |length: &usize| modules.contains(&way[..*length]);
        let module = (1..=way.len()).rev().find(known).unwrap_or(0);
        match exports.get(&way[..way.len().min(module + 1)]) {
            Some(from) => way.clone_from(from),
            None => return way[..module].to_vec(),
        }
    }
    way
}

/// The imports between modules of one folder, by folder.
fn folders(all: &[Source]) -> BTreeMap<String, Folder> {
    let modules: BTreeSet<Way> = all.iter().map(Source::way).collect();
    let exports = exports(all);
    let mut folders: BTreeMap<String, Folder> = BTreeMap::new();
    for source in all.iter().filter(|it| !it.name.ends_with("tests.rs")) {
        let own = source.way();
        for way in named(&own, source.own_code()) {
            let other = home(&way, &modules, &exports);
            let both = own.iter().zip(&other).take_while(|(one, other)| one == other).count();
            if let (Some(one), Some(other)) = (own.get(both), other.get(both)) {
                let folder = folders.entry(own[..both].join("/")).or_default();
                folder.entry(one.clone()).or_default().insert(other.clone());
            }
        }
    }
    folders
}

/// Everything to which imports lead from a module.
fn reached<'f>(folder: &'f Folder, from: &str) -> BTreeSet<&'f str> {
    let mut reached = BTreeSet::new();
    let mut open = vec![from];
    while let Some(module) = open.pop() {
        for next in folder.get(module).into_iter().flatten() {
            if reached.insert(next.as_str()) {
                open.push(next);
            }
        }
    }
    reached
}

/// The sets of modules of a folder each of which leads to every other.
fn circles(folder: &Folder) -> BTreeSet<Vec<&str>> {
    let all: BTreeMap<&str, BTreeSet<&str>> =
        folder.keys().map(|module| (module.as_str(), reached(folder, module))).collect();
    let back = |one: &str, other: &str| all.get(other).is_some_and(|it| it.contains(one));
    all.iter()
        .map(|(module, leads)| leads.iter().copied().filter(|it| back(module, it)).collect())
        .filter(|circle: &Vec<&str>| circle.len() > 1)
        .collect()
}

#[test]
fn modules_of_a_folder_do_not_import_each_other() {
    let all = sources();
    let folders = folders(&all);
    let found: BTreeSet<(&str, Vec<&str>)> = folders
        .iter()
        .flat_map(|(name, folder)| circles(folder).into_iter().map(|it| (name.as_str(), it)))
        .collect();
    assert!(found.is_empty(), "modules that import each other: {found:#?}");
}

#[test]
fn circles_are_found_wherever_they_are_written() {
    let source = |name: &str, code: &str| Source { name: name.into(), code: code.into() };
    let all = [
        source("a/mod.rs", "mod b;\nmod c;\nmod d;\npub(crate) use b::{B, inner::Deep};\n"),
        source("a/b.rs", "use super::c::{C, other};\n"),
        source("a/c.rs", "fn f() { crate::a::B::new(); }\n"),
        source("a/d.rs", "use super::c::C;\n#[cfg(test)]\nmod tests {\n use super::*;\n}\n"),
        source("e/mod.rs", "use crate::{a::{B, d::D}, time};\n"),
    ];
    let folders = folders(&all);
    assert_eq!(circles(&folders["a"]).into_iter().collect::<Vec<_>>(), [vec!["b", "c"]]);
    assert_eq!(folders["a"]["d"].iter().collect::<Vec<_>>(), ["c"]);
    assert_eq!(folders[""]["e"].iter().collect::<Vec<_>>(), ["a"]);
    assert!(circles(&folders[""]).is_empty());
}
