//! Output files: all files of a run or none, of one run alone, and nothing of anybody else touched.
//!
//! A folder of outputs has a folder `.setband` for what only this program needs:
//!
//! | there | is |
//! | --- | --- |
//! | `COMMAND.lock` | held by the command that writes here, so that two of one kind do not mix |
//! | `new-COMMAND/` | its files until they are whole |
//! | `files.json` | which files of the folder are ours, by whom, and how they looked ([`manifest`]) |
//! | `change.json`, `old/` | files that are being exchanged ([`exchange`]) |

mod exchange;
mod manifest;
#[cfg(test)]
mod tests;

use std::fs::{self, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use super::disk::{self, Writing};
use super::failure::Failure;
use super::interrupt::{self, Unfinished};
use exchange::Home;

/// A folder that was found writable before the long run began, locked for one command.
#[derive(Debug)]
pub(super) struct Folder {
    path: PathBuf,
    home: Home,
    command: &'static str,
    /// Where files wait until all are whole.
    staging: PathBuf,
    waiting: Vec<String>,
    _unfinished: Unfinished,
    _lock: Writing,
}

/// Where a file is written piece by piece.
pub(super) type Spool = io::BufWriter<Writing>;

/// A file that is written and waits for its turn.
#[derive(Debug)]
pub(super) struct Spooled(String);

impl Folder {
    /// The folder at a path, made where it is missing, for the files of a command.
    pub(super) fn prepare(path: PathBuf, command: &'static str) -> Result<Self, Failure> {
        let failed = |why| Failure::Writing { path: path.clone(), why };
        let home = Home::of(&path);
        disk::make_folder(home.path()).map_err(failed)?;
        let lock = disk::append(&home.lock(command)).map_err(failed)?;
        // Where a file system has no locks there is nobody to wait for, as far as can be known.
        if let Err(TryLockError::WouldBlock) = lock.file().try_lock() {
            return Err(Failure::Call {
                what: format!("another `setband {command}` is writing into {}", path.display()),
                help: "wait for it, or name another folder with --out".into(),
            });
        }
        home.tidy_up(command).map_err(failed)?;
        let staging = home.staging(command);
        let unfinished = Unfinished::folder(&staging);
        disk::make_folder(&staging).map_err(failed)?;
        let waiting = Vec::new();
        Ok(Self { path, home, command, staging, waiting, _unfinished: unfinished, _lock: lock })
    }

    /// Takes a file in; it appears under its name with all others in [`Folder::finish`].
    pub(super) fn add(&mut self, name: &str, bytes: &[u8]) -> Result<(), Failure> {
        let ((), file) = self.spool(name, |file| file.write_all(bytes))?;
        self.take(file);
        Ok(())
    }

    /// Writes a file piece by piece under no name yet; [`Folder::take`] takes it in.
    pub(super) fn spool<T>(
        &self,
        name: &str,
        write: impl FnOnce(&mut Spool) -> io::Result<T>,
    ) -> Result<(T, Spooled), Failure> {
        let failed = |why| Failure::Writing { path: self.path.join(name), why };
        let mut writer =
            io::BufWriter::new(disk::create(&self.staging.join(name)).map_err(failed)?);
        let made = write(&mut writer).map_err(failed)?;
        writer.flush().map_err(failed)?;
        Ok((made, Spooled(name.to_owned())))
    }

    /// Takes a written file in, after those that are in already.
    pub(super) fn take(&mut self, Spooled(name): Spooled) {
        self.waiting.push(name);
    }

    /// Gives every file its name, removes what this command left here before and does not any
    /// more, and tells where the files are. On a failure everything is as it was.
    pub(super) fn finish(self) -> Result<Vec<String>, Failure> {
        self.home.exchange(self.command, &self.waiting)?;
        Ok(self.waiting.iter().map(|name| self.path.join(name).display().to_string()).collect())
    }
}

/// What was not finished is not kept.
impl Drop for Folder {
    fn drop(&mut self) {
        // What cannot be removed now is removed by the next run; so is what an exchange that was cut
        // off still needs.
        if !self.home.is_under_way() {
            drop(disk::remove_folder(&self.staging));
        }
    }
}

/// Writes one file whole, or leaves what was there.
pub(super) fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let failed = |why| Failure::Writing { path: path.to_owned(), why };
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    let mut file = whole_in(folder.unwrap_or(Path::new("."))).map_err(failed)?;
    file.write_all(bytes).map_err(failed)?;
    let _whole = interrupt::not_now();
    file.persist(path).map_err(|error| failed(error.error))?;
    Ok(())
}

/// A file without a name of its own yet, for whom the user's mask lets.
fn whole_in(folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    // The name in the library's message is one that nobody has given.
    builder.tempfile_in(folder).map_err(|error| io::Error::from(error.kind()))
}
