//! The exchange of the files of one run for those of the next.
//!
//! First everything is written that needs space: the new files, who will own what (`files.next`),
//! and what is to come (`change.json`). Then names change and nothing else: every file that goes
//! moves to `old/`, every new one to its name. What fails in the middle is undone, under the name
//! `undo.json`. What is cut off in the middle is carried to its end by whoever comes next.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::manifest::{Manifest, Ours, Stamp, is_plain};
use crate::cli::disk::{self, Writing};
use crate::cli::failure::Failure;
use crate::cli::interrupt;

/// How the folder of a command's unfinished files begins.
const STAGING: &str = "new-";

/// The folder of what only this program needs, in a folder of outputs.
#[derive(Clone, Debug)]
pub(super) struct Home {
    outputs: PathBuf,
    path: PathBuf,
}

/// An exchange under way.
#[derive(Clone, Debug, Serialize, Deserialize)]
struct Exchange {
    command: String,
    /// The names of the new files.
    new: Vec<String>,
    /// What goes and is not replaced, as it looked when it was written.
    stale: BTreeMap<String, Stamp>,
    /// The new names that something had before.
    replaced: BTreeSet<String>,
}

impl Exchange {
    /// The names of all files that may go.
    fn going(&self) -> impl Iterator<Item = &String> {
        self.replaced.iter().chain(self.stale.keys())
    }
}

fn is_there(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok()
}

impl Home {
    pub(super) fn of(outputs: &Path) -> Self {
        Self { outputs: outputs.to_owned(), path: outputs.join(".setband") }
    }

    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    /// The file that a command locks while it writes here.
    pub(super) fn lock(&self, command: &str) -> PathBuf {
        self.path.join(format!("{command}.lock"))
    }

    pub(super) fn staging(&self, command: &str) -> PathBuf {
        self.path.join(format!("{STAGING}{command}"))
    }

    fn own(&self, name: &str) -> PathBuf {
        self.path.join(name)
    }

    /// Whether an exchange waits to be carried to its end.
    pub(super) fn is_under_way(&self) -> bool {
        is_there(&self.own("change.json")) || is_there(&self.own("undo.json"))
    }

    /// Ends what runs before have left unfinished: an exchange that was cut off is carried to its
    /// end, files that never became whole are removed. `command` is locked by the caller.
    pub(super) fn tidy_up(&self, command: &str) -> io::Result<()> {
        let _alone = self.alone()?;
        self.end_exchange()?;
        for entry in fs::read_dir(&self.path)? {
            let entry = entry?;
            let name = entry.file_name();
            let Some(owner) = name.to_str().and_then(|name| name.strip_prefix(STAGING)) else {
                continue;
            };
            // Another command may be at work.
            let lock = disk::append(&self.lock(owner))?;
            if owner == command || lock.file().try_lock().is_ok() {
                disk::remove_folder(&entry.path())?;
            }
        }
        Ok(())
    }

    /// Waits until no other command exchanges files here.
    fn alone(&self) -> io::Result<Writing> {
        let lock = disk::append(&self.own("exchange.lock"))?;
        // Where a file system has no locks there is nobody to wait for, as far as can be known.
        drop(lock.file().lock());
        Ok(lock)
    }

    /// Puts the staged files of a command in the place of those that it left before.
    pub(super) fn exchange(&self, command: &str, new: &[String]) -> Result<(), Failure> {
        let failed = |why| Failure::Writing { path: self.outputs.clone(), why };
        let _whole = interrupt::not_now();
        let _alone = self.alone().map_err(failed)?;
        self.end_exchange().map_err(failed)?;
        self.find_blocked(new)?;
        let change = self.begin(command, new).map_err(failed)?;
        if let Err((path, why)) = self.make(&change) {
            self.undo(&change);
            return Err(Failure::Writing { path, why });
        }
        self.forget("change.json");
        Ok(())
    }

    /// A name that is taken by something else than a file stops all.
    fn find_blocked(&self, new: &[String]) -> Result<(), Failure> {
        let blocked = |path: &PathBuf| fs::metadata(path).is_ok_and(|it| !it.is_file());
        match new.iter().map(|name| self.outputs.join(name)).find(blocked) {
            Some(path) => {
                Err(Failure::Writing { path, why: io::Error::from(io::ErrorKind::IsADirectory) })
            }
            None => Ok(()),
        }
    }

    /// Writes down what is to come.
    fn begin(&self, command: &str, new: &[String]) -> io::Result<Exchange> {
        let mut manifest = Manifest::read(&self.own("files.json"));
        let stale = manifest.stale(command, new);
        let had = |name: &&String| is_there(&self.outputs.join(name));
        let replaced = new.iter().filter(had).cloned().collect();
        manifest.files.retain(|name, _| !stale.contains_key(name));
        let staging = self.staging(command);
        for name in new {
            if let Some(stamp) = Stamp::of(&staging.join(name)) {
                manifest.files.insert(name.clone(), Ours { by: command.into(), stamp });
            }
        }
        let old = self.own("old");
        if is_there(&old) {
            disk::remove_folder(&old)?;
        }
        disk::make_folder(&old)?;
        self.write_json("files.next", &manifest)?;
        let change = Exchange { command: command.into(), new: new.to_vec(), stale, replaced };
        self.write_json("change.draft", &change)?;
        disk::rename(&self.own("change.draft"), &self.own("change.json"))?;
        Ok(change)
    }

    /// Moves old files away and new ones to their names; what failed, where.
    fn make(&self, change: &Exchange) -> Result<(), (PathBuf, io::Error)> {
        for name in change.going() {
            let path = self.outputs.join(name);
            let is_ours = |stamp: &Stamp| Stamp::of(&path).as_ref() == Some(stamp);
            if change.stale.get(name).is_none_or(is_ours) {
                let old = self.own("old").join(name);
                disk::rename(&path, &old).map_err(|why| (path, why))?;
            }
        }
        for name in &change.new {
            let (path, staged) =
                (self.outputs.join(name), self.staging(&change.command).join(name));
            disk::rename(&staged, &path).map_err(|why| (path, why))?;
        }
        let manifest = self.own("files.json");
        disk::rename(&self.own("files.next"), &manifest).map_err(|why| (manifest, why))
    }

    /// Puts everything back. What does not work of it is done by the next run.
    fn undo(&self, change: &Exchange) {
        let marked = disk::rename(&self.own("change.json"), &self.own("undo.json"));
        if marked.is_ok() && self.put_back(change).is_ok() {
            self.forget("undo.json");
        }
    }

    fn put_back(&self, change: &Exchange) -> io::Result<()> {
        for name in &change.new {
            let path = self.outputs.join(name);
            let was_moved = !is_there(&self.staging(&change.command).join(name));
            if was_moved && !change.replaced.contains(name) && is_there(&path) {
                disk::remove(&path)?;
            }
        }
        for name in change.going() {
            let old = self.own("old").join(name);
            if is_there(&old) {
                disk::rename(&old, &self.outputs.join(name))?;
            }
        }
        Ok(())
    }

    /// Carries an exchange that was cut off to its end, be it forwards or back.
    fn end_exchange(&self) -> io::Result<()> {
        if let Some(change) = self.read_change("undo.json") {
            self.put_back(&change)?;
        } else if let Some(change) = self.read_change("change.json") {
            self.go_on(&change)?;
        }
        self.forget("undo.json");
        self.forget("change.json");
        Ok(())
    }

    /// What was under way; `None` also where it is not to be read, as nobody wrote it in halves.
    fn read_change(&self, name: &str) -> Option<Exchange> {
        let change: Exchange = serde_json::from_slice(&fs::read(self.own(name)).ok()?).ok()?;
        let plain = change.new.iter().chain(change.going()).all(|name| is_plain(name));
        (plain && is_plain(&change.command)).then_some(change)
    }

    fn go_on(&self, change: &Exchange) -> io::Result<()> {
        for name in &change.new {
            let staged = self.staging(&change.command).join(name);
            if is_there(&staged) {
                disk::rename(&staged, &self.outputs.join(name))?;
            }
        }
        for (name, stamp) in &change.stale {
            let path = self.outputs.join(name);
            if Stamp::of(&path).as_ref() == Some(stamp) {
                disk::remove(&path)?;
            }
        }
        let next = self.own("files.next");
        if is_there(&next) { disk::rename(&next, &self.own("files.json")) } else { Ok(()) }
    }

    /// Nothing is under way any more. What cannot be removed now is looked at again by the next
    /// run, which finds nothing left to do.
    fn forget(&self, name: &str) {
        if is_there(&self.own(name)) && disk::remove(&self.own(name)).is_ok() {
            drop(disk::remove_folder(&self.own("old")));
        }
    }

    fn write_json(&self, name: &str, value: &impl Serialize) -> io::Result<()> {
        let text = serde_json::to_vec(value).map_err(io::Error::other)?;
        let mut file = disk::create(&self.own(name))?;
        file.write_all(&text)?;
        file.sync()
    }
}
