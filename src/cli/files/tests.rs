//! Each call fails in turn, for a moment or for good: afterwards all files are those of one run.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use super::Folder;
use crate::cli::disk::trial::{After, failing};
use crate::cli::failure::Failure;

/// The files of a folder that are for people.
fn files(folder: &Path) -> BTreeMap<String, String> {
    let entries = fs::read_dir(folder).expect("a folder").map(|entry| entry.expect("an entry"));
    entries
        .filter(|entry| entry.file_name() != ".setband")
        .map(|entry| {
            let text = fs::read_to_string(entry.path()).expect("a text");
            (entry.file_name().into_string().expect("a name"), text)
        })
        .collect()
}

fn write(folder: &Path, command: &'static str, texts: &[(&str, &str)]) -> Result<(), Failure> {
    let mut folder = Folder::prepare(folder.to_owned(), command)?;
    for (name, text) in texts {
        folder.add(name, text.as_bytes())?;
    }
    folder.finish().map(|_| ())
}

fn texts(pairs: &[(&str, &str)]) -> BTreeMap<String, String> {
    pairs.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned())).collect()
}

const FOREIGN: (&str, &str) = ("notes.txt", "mine");
const BEFORE: [(&str, &str); 3] = [("a.csv", "old a"), ("b.csv", "old b"), ("c.csv", "old c")];
const AFTER: [(&str, &str); 3] = [("b.csv", "new b"), ("c.csv", "new c"), ("d.csv", "new d")];

fn with_foreign(pairs: &[(&str, &str)]) -> BTreeMap<String, String> {
    texts(&[pairs, &[FOREIGN]].concat())
}

/// A folder with a run's files and one that is nobody's business.
fn prepared() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join(FOREIGN.0), FOREIGN.1).expect("written");
    write(folder.path(), "run", &BEFORE).expect("written");
    folder
}

#[test]
fn every_call_that_fails_leaves_all_files_of_one_run() {
    for after in [After::Well, After::Dead] {
        let mut calls = 0;
        loop {
            let folder = prepared();
            let path = folder.path();
            let (done, failed) = failing(path, calls, after, || write(path, "run", &AFTER));
            if !failed {
                done.expect("nothing was in the way");
                break;
            }
            let found = files(path);
            let (old, new) = (with_foreign(&BEFORE), with_foreign(&AFTER));
            match done {
                Ok(()) => assert_eq!(found, new, "call {calls}, {after:?}"),
                Err(_) if after == After::Well => assert_eq!(found, old, "call {calls}"),
                // Cut off in the middle; the next command carries it to its end.
                Err(_) => {}
            }
            write(path, "sheet", &[]).expect("nothing is in the way any more");
            let found = files(path);
            assert!(found == old || found == new, "call {calls}, {after:?}: {found:?}");
            write(path, "run", &AFTER).expect("and everything goes on");
            assert_eq!(files(path), new, "call {calls}, {after:?}");
            let own = fs::read_dir(path.join(".setband")).expect("ours");
            let own: Vec<_> = own.map(|it| it.expect("ours").file_name()).collect();
            let left = own.iter().any(|name| {
                let name = name.to_string_lossy();
                name.starts_with("new-") || name == "old" || name.starts_with("change")
            });
            assert!(!left, "call {calls}, {after:?}: {own:?}");
            calls += 1;
        }
        assert!(calls > 25, "only {calls} calls were let fail");
    }
}

#[test]
fn what_a_run_no_longer_writes_goes_and_nothing_of_others() {
    let folder = prepared();
    let path = folder.path();
    write(path, "compare", &[("e.csv", "compared")]).expect("written");
    fs::write(path.join("c.csv"), "filled in by hand").expect("written");
    write(path, "run", &AFTER[..1]).expect("written");
    let expected = [AFTER[0], ("c.csv", "filled in by hand"), ("e.csv", "compared"), FOREIGN];
    assert_eq!(files(path), texts(&expected));
}

#[test]
fn one_blocked_name_stops_all_files() {
    let folder = prepared();
    let path = folder.path();
    fs::create_dir(path.join("d.csv")).expect("made");
    let refused = write(path, "run", &AFTER).expect_err("a folder is in the way").to_string();
    assert!(refused.contains("d.csv") && refused.contains("in the way"), "{refused}");
    fs::remove_dir(path.join("d.csv")).expect("removed");
    assert_eq!(files(path), with_foreign(&BEFORE));
}

#[test]
fn two_of_one_command_do_not_mix_and_others_may_work_beside_them() {
    let folder = prepared();
    let path = folder.path().to_owned();
    let first = Folder::prepare(path.clone(), "run").expect("free");
    let refused = Folder::prepare(path.clone(), "run").expect_err("taken").to_string();
    assert!(refused.contains("another `setband run` is writing"), "{refused}");
    write(&path, "sheet", &[("sheet.csv", "lines")]).expect("another command");
    drop(first);
    write(&path, "run", &AFTER).expect("free again");
}

#[test]
fn files_of_a_run_that_was_killed_are_removed_by_the_next() {
    let folder = prepared();
    let left = folder.path().join(".setband/new-run");
    fs::create_dir(&left).expect("made");
    fs::write(left.join("steps.csv"), "half").expect("written");
    write(folder.path(), "sheet", &[]).expect("written");
    assert!(!left.exists());
}

/// Names in a manifest that somebody has written lead nowhere else.
#[test]
fn a_manifest_does_not_lead_out_of_its_folder() {
    let folder = tempfile::tempdir().expect("a folder");
    let (outside, inside) = (folder.path().join("outside.csv"), folder.path().join("in"));
    fs::write(&outside, "precious").expect("written");
    write(&inside, "run", &BEFORE).expect("written");
    let manifest = inside.join(".setband/files.json");
    let text = fs::read_to_string(&manifest).expect("a manifest");
    fs::write(&manifest, text.replace("a.csv", "../outside.csv")).expect("written");
    write(&inside, "run", &AFTER).expect("written");
    assert!(outside.exists());
}
