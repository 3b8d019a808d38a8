//! Each call fails in turn, for a moment or for good: what was noted is there afterwards.

use std::fs;
use std::path::Path;

use super::{Begin, JournalFile, NAME};
use crate::cli::disk::trial::{After, failing};
use crate::cli::failure::Failure;
use crate::measures::FIGURES;
use crate::study::sweep::{CaseOutcome, Header};

fn outcome(case: usize) -> CaseOutcome {
    CaseOutcome::ran(vec![case as f64; FIGURES.len()])
}

/// Runs what is left of so many cases. Which of them were noted before something failed.
fn sweep(folder: &Path, begin: Begin, cases: usize) -> (Vec<usize>, Result<(), Failure>) {
    let (mut journal, known) = match JournalFile::open(folder, &Header::sample(1), begin) {
        Ok(opened) => opened,
        Err(failure) => return (Vec::new(), Err(failure)),
    };
    let mut noted = Vec::new();
    for case in (0..cases).filter(|case| !known.contains_key(case)) {
        if !journal.note(case, &outcome(case)) {
            break;
        }
        noted.push(case);
    }
    (noted, journal.close())
}

fn known(folder: &Path) -> Vec<usize> {
    let (_, known) =
        JournalFile::open(folder, &Header::sample(1), Begin::Resume).expect("to be resumed");
    assert!(known.iter().all(|(case, found)| found.is_same(&outcome(*case))));
    known.into_keys().collect()
}

#[test]
fn whatever_call_fails_what_was_noted_is_there() {
    for after in [After::Well, After::Dead] {
        let mut calls = 0;
        loop {
            let folder = tempfile::tempdir().expect("a folder");
            let path = folder.path();
            let work = || sweep(path, Begin::New, 8);
            let ((noted, done), failed) = failing(path, calls, after, work);
            if !failed {
                done.expect("nothing was in the way");
                break;
            }
            done.expect_err("somebody is told");
            // A first line that was torn off holds nothing: that journal is begun anew by hand.
            let whole = JournalFile::open(path, &Header::sample(1), Begin::Resume).is_ok();
            if whole {
                assert_eq!(known(path), noted, "call {calls}, {after:?}");
                sweep(path, Begin::Resume, 8).1.expect("it goes on");
            } else {
                assert!(noted.is_empty(), "call {calls}, {after:?}");
                sweep(path, Begin::Restart, 8).1.expect("it begins anew");
            }
            assert_eq!(known(path).len(), 8, "call {calls}, {after:?}");
            calls += 1;
        }
        assert!(calls > 10, "only {calls} calls were let fail");
    }
}

/// Cut anywhere, a journal gives back every line that was whole; cut in its first line it is
/// refused and left as it is.
#[test]
fn a_journal_that_is_cut_anywhere_goes_on_and_loses_no_whole_line() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path();
    sweep(path, Begin::New, 4).1.expect("run");
    let whole = fs::read(path.join(NAME)).expect("a journal");
    let ends: Vec<usize> = (0..whole.len()).filter(|at| whole[*at] == b'\n').collect();
    for cut in (0..=whole.len()).step_by(7) {
        fs::write(path.join(NAME), &whole[..cut]).expect("cut");
        if (1..ends[0]).contains(&cut) {
            sweep(path, Begin::Resume, 4).1.expect_err("refused");
            sweep(path, Begin::New, 4).1.expect_err("refused");
            assert_eq!(fs::read(path.join(NAME)).expect("there"), &whole[..cut]);
            continue;
        }
        let lines = ends.iter().filter(|end| **end <= cut).count().saturating_sub(1);
        let (noted, done) = sweep(path, Begin::Resume, 4);
        done.expect("it goes on");
        assert_eq!(noted.len(), 4 - lines, "cut at {cut}");
        assert_eq!(known(path), [0, 1, 2, 3], "cut at {cut}");
    }
}

/// Nothing that this run has not written is cut short, whatever it is.
#[test]
fn no_file_of_others_is_ever_emptied() {
    let folder = tempfile::tempdir().expect("a folder");
    let (path, file) = (folder.path(), folder.path().join(NAME));
    let texts: [&[u8]; 4] = [b"a letter", b"\xff\xfe", b"sweep {} 0\nran 1", b"\0"];
    for text in texts {
        for begin in [Begin::New, Begin::Resume] {
            fs::write(&file, text).expect("written");
            let refused = sweep(path, begin, 4).1.expect_err("refused").to_string();
            assert!(refused.contains("is not that of a journal"), "{refused}");
            assert!(refused.contains("nothing was changed"), "{refused}");
            assert_eq!(fs::read(&file).expect("there"), text);
        }
    }
    sweep(path, Begin::Restart, 4).1.expect("begun anew");
    assert_eq!(fs::read(path.join(format!("{NAME}.1"))).expect("kept"), texts[3]);
    // Of another study, and finished: its tables give way, its journal is kept.
    let other =
        JournalFile::open(path, &Header::sample(2), Begin::Resume).expect_err("another study");
    assert!(other.to_string().contains("holds another sweep: its seed is another"), "{other}");
}
