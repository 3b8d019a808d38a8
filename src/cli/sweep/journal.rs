//! The journal's file: a line for each finished case, written before the next one begins.

use std::collections::BTreeMap;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use super::{Failure, call};
use crate::study::sweep::{Header, Journal, Outcome, line_of, read_journal};

/// Its name in the folder of the sweep.
const NAME: &str = "sweep.journal";
/// A line survives the end of the program at once, and the end of the machine after this.
const SYNC_EVERY: Duration = Duration::from_secs(1);

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
    file: File,
    synced: Instant,
    fault: Option<io::Error>,
}

impl JournalFile {
    /// Opens the journal of a folder, and reads what is done already.
    pub(super) fn open(
        folder: &Path,
        header: &Header,
        begin: Begin,
    ) -> Result<(Self, BTreeMap<usize, Outcome>), Failure> {
        let path = folder.join(NAME);
        let failed = |why| Failure::Writing { path: path.clone(), why };
        let file = OpenOptions::new().create(true).append(true).open(&path).map_err(failed)?;
        if let Err(TryLockError::WouldBlock) = file.try_lock() {
            let what = format!("another sweep is writing {}", path.display());
            return Err(call(what, "wait for it, or name another folder with --out"));
        }
        let text = fs::read_to_string(&path).unwrap_or_default();
        let known = kept(&text, header, begin, folder)?;
        let journal = Self { path: path.clone(), file, synced: Instant::now(), fault: None };
        let mut journal = journal;
        let first = if known.is_some() {
            // What a crash tore off stays a line of its own.
            if text.ends_with('\n') { String::new() } else { "\n".into() }
        } else {
            journal.file.set_len(0).map_err(failed)?;
            header.line()?
        };
        journal.file.write_all(first.as_bytes()).map_err(failed)?;
        journal.file.sync_data().map_err(failed)?;
        Ok((journal, known.unwrap_or_default()))
    }

    /// Notes a finished case; false where that failed, now or before.
    pub(super) fn note(&mut self, case: usize, outcome: &Outcome) -> bool {
        if self.fault.is_none() {
            self.fault = self.write(&line_of(case, outcome)).err();
        }
        self.fault.is_none()
    }

    fn write(&mut self, line: &str) -> io::Result<()> {
        self.file.write_all(line.as_bytes())?;
        if self.synced.elapsed() >= SYNC_EVERY {
            self.file.sync_data()?;
            self.synced = Instant::now();
        }
        Ok(())
    }

    /// Tells what went wrong on the way, if anything.
    pub(super) fn close(self) -> Result<(), Failure> {
        let closed = self.fault.map_or_else(|| self.file.sync_data(), Err);
        closed.map_err(|why| Failure::Writing { path: self.path, why })
    }
}

/// The cases that are kept; `None` where the journal begins anew.
fn kept(
    text: &str,
    header: &Header,
    begin: Begin,
    folder: &Path,
) -> Result<Option<BTreeMap<usize, Outcome>>, Failure> {
    let journal = read_journal(text);
    match (begin, journal) {
        (Begin::Restart, _) | (Begin::New | Begin::Resume, None) => Ok(None),
        (Begin::Resume, Some(journal)) => {
            let same = journal.header.fingerprint == header.fingerprint
                && journal.header.part == header.part;
            same.then_some(Some(journal.cases)).ok_or_else(|| {
                call(
                    format!(
                        "{} holds another sweep: {}",
                        folder.display(),
                        other(&journal.header, header)
                    ),
                    "give the same file, paths, draws, seed and share as before, or name another \
                     folder with --out",
                )
            })
        }
        (Begin::New, Some(journal)) => {
            let (done, all) = (journal.cases.len(), share(&journal));
            if done >= all {
                return Ok(None);
            }
            let there =
                format!("{} holds an unfinished sweep, {done} of {all} cases", folder.display());
            Err(call(there, "add --resume to go on with it, or --restart to lose it"))
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
    let text = fs::read_to_string(&path).map_err(|why| {
        call(
            format!("{} cannot be read: {why}", path.display()),
            "name folders that `setband sweep --part` has written",
        )
    })?;
    read_journal(&text).ok_or_else(|| {
        call(format!("{} is no journal of a sweep", path.display()), "run that share again")
    })
}
