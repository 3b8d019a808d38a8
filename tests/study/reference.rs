//! Words explained: every key, code, outcome, event and figure has an entry, and each entry is of
//! something that the program says.

use std::collections::BTreeSet;
use std::path::Path;

use setband::control::Outcome;
use setband::engine::{Entry as Row, Event};
use setband::measures::FIGURES;
use setband::reference::{Class, Entry, SHIPPED, all, look_up};
use setband::scenario::listed_keys;
use setband::study::{Keep, audit, simulate, why};

use crate::{shipped, sources};

fn words(class: Class) -> BTreeSet<String> {
    all().into_iter().filter(|it| it.class == class).map(|it| it.word).collect()
}

/// The sources without their unit tests.
fn sources() -> Vec<(String, String)> {
    let mut found = sources::rust_files();
    found.retain(|(name, _)| !name.ends_with("tests.rs"));
    for (_, text) in &mut found {
        if let Some(at) = text.find("#[cfg(test)]\nmod tests {") {
            text.truncate(at);
        }
    }
    found
}

/// The codes that follow a call in the sources: the first text with nothing but lower-case letters
/// and hyphens within its next characters.
fn codes_after(call: &str, hyphens: bool) -> BTreeSet<String> {
    const WITHIN: usize = 400;
    let is_code = |text: &str| {
        let letters = text.bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'-');
        !text.is_empty() && letters && (!hyphens || text.contains('-'))
    };
    let mut codes = BTreeSet::new();
    for (name, code) in sources() {
        for (at, _) in code.match_indices(call) {
            let rest: String = code[at + call.len()..].chars().take(WITHIN).collect();
            if rest.starts_with("code") {
                continue;
            }
            let found = rest.split('"').skip(1).step_by(2).find(|text| is_code(text));
            // The reader's own stop, which is counted and not shown, has an empty code.
            if rest.starts_with("\"\"") {
                continue;
            }
            let code = found.unwrap_or_else(|| panic!("{name}: no code after {call}"));
            codes.insert(code.to_owned());
        }
    }
    codes
}

/// The texts of the sources under a folder that look like codes.
fn hyphened(folder: &str) -> BTreeSet<String> {
    let is_code = |text: &&str| {
        let letters = text.bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'-');
        letters && text.contains('-') && !text.starts_with('-') && !text.ends_with('-')
    };
    let mut codes = BTreeSet::new();
    for (_, code) in sources().iter().filter(|(name, _)| name.starts_with(folder)) {
        for line in code.lines().filter(|line| !line.trim_start().starts_with("//")) {
            codes.extend(line.split('"').skip(1).step_by(2).filter(is_code).map(str::to_owned));
        }
    }
    codes
}

#[test]
fn every_key_has_an_entry() {
    let keys: Vec<Entry> = all().into_iter().filter(|it| it.class == Class::Key).collect();
    assert_eq!(keys.len(), listed_keys().len());
    assert!(keys.len() > 200, "only {} keys", keys.len());
    let paths: BTreeSet<&str> = keys.iter().filter_map(|it| it.path.as_deref()).collect();
    assert_eq!(paths.len(), keys.len(), "ways to keys are unlike each other");
    for path in ["period.from", "zones.*.controls.min_deadband", "actions[].at", "tariff.price"] {
        assert!(paths.contains(path), "{path}");
    }
    for key in &keys {
        let has =
            |name: &str| key.facts.iter().any(|(fact, text)| *fact == name && !text.is_empty());
        assert!(!key.what.is_empty() && has("takes") && has("default"), "{key:?}");
    }
}

#[test]
fn examples_of_keys_stand_where_they_are_said_to() {
    let shown = |entry: &&Entry| entry.class == Class::Key && entry.shown_in.is_some();
    let all = all();
    assert!(all.iter().filter(shown).count() > 90);
    for entry in all.iter().filter(shown) {
        let (file, line) = entry.shown_in.expect("filtered");
        let text = SHIPPED.iter().find(|it| it.file == file).expect("it is shipped").text;
        let line = text.lines().nth(line.expect("a key has a line") as usize - 1);
        assert!(line.is_some_and(|line| line.contains(&format!("{}:", entry.word))), "{entry:?}");
    }
}

#[test]
fn every_code_of_a_fault_has_an_entry_and_every_entry_a_fault() {
    let said = codes_after("Complaint::new(", false);
    assert!(said.len() > 50);
    assert_eq!(words(Class::Fault), said);
}

#[test]
fn every_code_of_a_finding_has_an_entry_and_every_entry_a_finding() {
    let told = words(Class::Finding);
    let mut said = BTreeSet::new();
    for call in ["Finding::note(", "Finding::warning(", "Finding::new("] {
        said.extend(codes_after(call, true));
    }
    let missing: Vec<_> = said.difference(&told).collect();
    assert!(
        missing.is_empty(),
        "findings without an entry in src/reference/findings.rs: {missing:?}"
    );
    let in_check: BTreeSet<String> = hyphened("study/check/")
        .into_iter()
        .filter(|code| !words(Class::Fault).contains(code))
        .collect();
    let missing: Vec<_> = in_check.difference(&told).collect();
    assert!(missing.is_empty(), "texts like codes without an entry: {missing:?}");
    let idle: Vec<_> =
        told.iter().filter(|it| !in_check.contains(*it) && !said.contains(*it)).collect();
    assert!(idle.is_empty(), "entries of findings that nothing finds: {idle:?}");
}

#[test]
fn every_code_of_audit_and_why_has_an_entry_and_every_entry_a_code() {
    let of = |codes: &[&str]| codes.iter().map(|&code| code.to_owned()).collect::<BTreeSet<_>>();
    assert_eq!(words(Class::LogFinding), of(&audit::CODES));
    assert_eq!(words(Class::Cause), of(&why::CODES));
    // What the sources say is no other code.
    for (folder, known) in [("study/audit/", &audit::CODES[..]), ("study/why/", &why::CODES)] {
        let mut said = BTreeSet::new();
        for (_, code) in sources().iter().filter(|(name, _)| name.starts_with(folder)) {
            let texts = code.split('"').skip(1).step_by(2).filter(|it| known.contains(it));
            said.extend(texts.map(str::to_owned));
        }
        assert_eq!(said, of(known), "{folder}");
    }
}

#[test]
fn every_outcome_event_and_figure_has_an_entry() {
    let outcomes: BTreeSet<String> =
        Outcome::ALL.iter().map(|outcome| outcome.name().to_owned()).collect();
    assert_eq!(words(Class::Outcome), outcomes);
    let figures: BTreeSet<String> = FIGURES.iter().map(|figure| figure.key.to_owned()).collect();
    assert_eq!(words(Class::Figure), figures);
    assert!(all().iter().all(|entry| !entry.what.is_empty()));

    // The names of events stand in one match.
    let (_, code) = sources()
        .into_iter()
        .find(|(name, _)| name == "engine/trace.rs")
        .expect("the ledger's types");
    let names = code.split("pub const fn name(self)").nth(1).expect("the names of events");
    let names = names.split("\n    }\n").next().unwrap_or_default();
    let events: BTreeSet<String> = names.split('"').skip(1).step_by(2).map(str::to_owned).collect();
    assert!(events.contains(Event::StarvedUntil.name()));
    assert_eq!(words(Class::Event), events);
}

#[test]
fn scenarios_show_the_outcomes_events_and_figures_that_they_are_said_to_show() {
    let wanted = |class| matches!(class, Class::Outcome | Class::Event | Class::Figure);
    let entries: Vec<Entry> =
        all().into_iter().filter(|it| wanted(it.class) && it.shown_in.is_some()).collect();
    let files: BTreeSet<&str> =
        entries.iter().filter_map(|it| it.shown_in).map(|(file, _)| file).collect();
    for file in files {
        let stem = Path::new(file).file_stem().expect("a name").to_string_lossy();
        let finished = simulate(&shipped::study(&stem).base, Keep::Nothing);
        for entry in entries.iter().filter(|it| it.shown_in.is_some_and(|it| it.0 == file)) {
            let shown = match entry.class {
                Class::Figure => FIGURES
                    .iter()
                    .find(|figure| figure.key == entry.word)
                    .and_then(|figure| figure.of(&finished.summary))
                    .is_some_and(|value| value > 0.0),
                _ => finished.ledger.iter().any(|row| match &row.entry {
                    Row::Request { outcome, .. } => outcome.name() == entry.word,
                    Row::Event(event) => event.name() == entry.word,
                }),
            };
            assert!(shown, "{file} does not show {}", entry.word);
        }
    }
}

#[test]
fn all_shipped_scenarios_are_at_hand() {
    let listed: BTreeSet<String> = SHIPPED
        .iter()
        .map(|it| it.file.trim_start_matches("scenarios/").trim_end_matches(".yaml").to_owned())
        .collect();
    assert_eq!(listed, shipped::stems().into_iter().collect());
}

#[test]
fn words_are_found_by_name_by_path_and_nearly() {
    let classes = |word: &str| -> Vec<Class> {
        look_up(word).entries.iter().map(|entry| entry.class).collect()
    };
    assert_eq!(classes("changeovers"), [Class::Figure]);
    assert_eq!(classes("limited"), [Class::Outcome, Class::Figure]);
    assert_eq!(classes("lock-not-in-force"), [Class::Finding]);
    assert_eq!(classes("Deadband"), [Class::Term, Class::Cause]);
    assert_eq!(classes("zones.hall.controls.min_deadband"), [Class::Key]);
    assert_eq!(classes("controls.heat"), [Class::Key]);
    assert_eq!(classes("actions[2].at"), [Class::Key]);
    assert!(classes("from").len() > 3, "several blocks have it");
    let near = look_up("lock-not-in-forse").near;
    assert_eq!(near.first().map(String::as_str), Some("lock-not-in-force"));
    assert_eq!(look_up("").entries.len(), 0);
}

#[test]
fn places_on_the_page_are_unlike_each_other() {
    let anchors: Vec<String> = all().iter().map(Entry::anchor).collect();
    let mut seen = BTreeSet::new();
    let twice: Vec<&String> = anchors.iter().filter(|it| !seen.insert(*it)).collect();
    assert!(twice.is_empty(), "{twice:?}");
}
