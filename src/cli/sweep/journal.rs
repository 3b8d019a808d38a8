//! The journal's file: a line for each finished case, written before the next one begins.

use std::collections::BTreeMap;
use std::fs::{self, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use super::{Failure, call};
use crate::cli::disk::{self, Writing};
use crate::cli::terminal;
use crate::study::sweep::{CaseOutcome, Header, Journal, NoJournal, line_of, read_journal};

/// Its name in the folder of the sweep.
const NAME: &str = "sweep.journal";
/// A line survives the end of the program at once, and the end of the machine after this.
const SYNC_EVERY: Duration = Duration::from_secs(1);
/// So many damaged lines are named.
const NAMED: usize = 8;

/// What to do with what is there already.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Begin {
    /// Begin, but never lose a sweep that was broken off.
    New,
    /// Go on where there is something to go on with.
    Resume,
    /// Begin anew whatever is there.
    Restart,
}

/// An open journal.
#[derive(Debug)]
pub(super) struct JournalFile {
    path: PathBuf,
    file: Writing,
    synced: Instant,
    fault: Option<io::Error>,
}

impl JournalFile {
    /// Opens the journal of a folder, and reads what is done already.
    pub(super) fn open(
        folder: &Path,
        header: &Header,
        begin: Begin,
    ) -> Result<(Self, BTreeMap<usize, CaseOutcome>), Failure> {
        let path = folder.join(NAME);
        let failed = |why| Failure::Writing { path: path.clone(), why };
        let there = read(&path).map_err(failed)?;
        let known = match &there {
            Some(bytes) => kept(bytes, header, begin, &path)?,
            None => None,
        };
        if known.is_none() && there.is_some() {
            set_aside(&path, begin).map_err(failed)?;
        }
        let file = disk::append(&path).map_err(failed)?;
        if let Err(TryLockError::WouldBlock) = file.file().try_lock() {
            let what = format!("another sweep is writing {}", path.display());
            return Err(call(what, "wait for it, or name another folder with --out"));
        }
        let mut journal = Self { path: path.clone(), file, synced: Instant::now(), fault: None };
        let torn = there.is_some_and(|bytes| !bytes.ends_with(b"\n"));
        let first = match &known {
            // What a crash tore off stays a line of its own.
            Some(_) => {
                if torn {
                    "\n".into()
                } else {
                    String::new()
                }
            }
            None => header.line()?,
        };
        journal.file.write_all(first.as_bytes()).map_err(failed)?;
        journal.file.sync().map_err(failed)?;
        Ok((journal, known.unwrap_or_default()))
    }

    /// Notes a finished case; false where that failed, now or before.
    pub(super) fn note(&mut self, case: usize, outcome: &CaseOutcome) -> bool {
        if self.fault.is_none() {
            self.fault = self.write(&line_of(case, outcome)).err();
        }
        self.fault.is_none()
    }

    fn write(&mut self, line: &str) -> io::Result<()> {
        self.file.write_all(line.as_bytes())?;
        if self.synced.elapsed() >= SYNC_EVERY {
            self.file.sync()?;
            self.synced = Instant::now();
        }
        Ok(())
    }

    /// Tells what went wrong on the way, if anything.
    pub(super) fn close(self) -> Result<(), Failure> {
        let closed = self.fault.map_or_else(|| self.file.sync(), Err);
        closed.map_err(|why| Failure::Writing { path: self.path, why })
    }
}

/// What stands in a file; `None` where there is none, or nothing in it.
fn read(path: &Path) -> io::Result<Option<Vec<u8>>> {
    match fs::metadata(path) {
        Ok(about) if !about.is_file() => Err(io::Error::from(io::ErrorKind::IsADirectory)),
        Ok(_) => fs::read(path).map(|bytes| (!bytes.is_empty()).then_some(bytes)),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(error),
    }
}

/// Makes room for a new journal. That of a finished sweep has done its work and is kept until the
/// next; what was to be given up is kept for good all the same.
fn set_aside(path: &Path, begin: Begin) -> io::Result<()> {
    if begin == Begin::New {
        return disk::rename(path, &path.with_file_name(format!("{NAME}.before")));
    }
    let names = (1..).map(|number: u32| path.with_file_name(format!("{NAME}.{number}")));
    for aside in names {
        if fs::symlink_metadata(&aside).is_err() {
            terminal::print_error(&format!("the journal before is kept as {}", aside.display()));
            return disk::rename(path, &aside);
        }
    }
    Ok(())
}

/// The cases that are kept; `None` where the journal begins anew.
fn kept(
    bytes: &[u8],
    header: &Header,
    begin: Begin,
    path: &Path,
) -> Result<Option<BTreeMap<usize, CaseOutcome>>, Failure> {
    if begin == Begin::Restart {
        return Ok(None);
    }
    let journal = read_journal(bytes).map_err(|why| {
        let help = "nothing was changed. Name another folder with --out, or begin anew with \
                    --restart, which keeps this file under another name";
        call(in_words(path, &why), help)
    })?;
    let folder = path.parent().unwrap_or(path).display();
    if begin == Begin::Resume {
        let same =
            journal.header.fingerprint == header.fingerprint && journal.header.part == header.part;
        if !same {
            let other = other(&journal.header, header);
            return Err(call(
                format!("{folder} holds another sweep: {other}"),
                "give the same file, paths, draws, seed and share as before, or name another \
                 folder with --out",
            ));
        }
        tell_damaged(path, &journal.damaged, "their cases are run again");
        return Ok(Some(journal.cases));
    }
    let (done, all) = (journal.cases.len(), share(&journal));
    if done >= all {
        return Ok(None);
    }
    let there = format!("{folder} holds an unfinished sweep, {done} of {all} cases");
    Err(call(there, "add --resume to go on with it, or --restart to begin anew"))
}

/// Names lines that cannot be read.
fn tell_damaged(path: &Path, lines: &[usize], outcome: &str) {
    if lines.is_empty() {
        return;
    }
    let named: Vec<String> = lines.iter().take(NAMED).map(ToString::to_string).collect();
    let more = lines.len().saturating_sub(NAMED);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let (line, is) = if lines.len() == 1 { ("line", "is") } else { ("lines", "are") };
    let (named, path) = (named.join(", "), path.display());
    terminal::print_error(&format!("{path}: {line} {named}{more} {is} damaged; {outcome}"));
}

fn in_words(path: &Path, why: &NoJournal) -> String {
    let path = path.display();
    match why {
        NoJournal::Header => format!(
            "the first line of {path} is not that of a journal of this version: the file is \
             damaged, older, or none of a sweep"
        ),
        NoJournal::Contradiction { case, lines: [one, other] } => {
            format!("lines {one} and {other} of {path} contradict each other about case {case}")
        }
    }
}

/// How many cases the share has.
fn share(journal: &Journal) -> usize {
    journal.header.part.cases(journal.header.plan.cases()).len()
}

/// In what two sweeps differ.
fn other(there: &Header, wanted: &Header) -> &'static str {
    if there.version != wanted.version {
        "one of another version of this program"
    } else if there.plan.seed != wanted.plan.seed {
        "its seed is another"
    } else if there.plan.draws != wanted.plan.draws {
        "it has another number of draws"
    } else if there.plan != wanted.plan {
        "its paths or values are others"
    } else if there.part != wanted.part && there.fingerprint == wanted.fingerprint {
        "its share is another"
    } else {
        "the scenario, or a file that it names, is not the same"
    }
}

/// The journal of a folder.
pub(super) fn of_folder(folder: &Path) -> Result<Journal, Failure> {
    let path = folder.join(NAME);
    let help = "name folders that `setband sweep --part` has written";
    let bytes = read(&path)
        .map_err(|why| call(format!("{} cannot be read: {why}", path.display()), help))?
        .ok_or_else(|| call(format!("{} cannot be read: it is not there", path.display()), help))?;
    let journal = read_journal(&bytes)
        .map_err(|why| call(in_words(&path, &why), "run that share again, into another folder"))?;
    tell_damaged(&path, &journal.damaged, "their cases count as not done");
    Ok(journal)
}

#[cfg(test)]
mod tests;
