//! Output files: written whole or not at all.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use super::failure::Failure;

/// A folder that was found writable before the long run began.
#[derive(Debug)]
pub(super) struct Folder {
    path: PathBuf,
    waiting: Vec<(String, NamedTempFile)>,
}

/// Where a file is written piece by piece.
pub(super) type Spool<'f> = io::BufWriter<&'f mut NamedTempFile>;

/// A file that is written and waits for its turn.
#[derive(Debug)]
pub(super) struct Spooled(String, NamedTempFile);

impl Folder {
    /// The folder at a path, made where it is missing.
    pub(super) fn prepare(path: PathBuf) -> Result<Self, Failure> {
        let failed = |why| Failure::Writing { path: path.clone(), why };
        fs::create_dir_all(&path).map_err(failed)?;
        NamedTempFile::new_in(&path).map_err(failed)?;
        Ok(Self { path, waiting: Vec::new() })
    }

    /// Takes a file in; it appears under its name with all others in [`Folder::finish`].
    pub(super) fn add(&mut self, name: &str, bytes: &[u8]) -> Result<(), Failure> {
        self.add_with(name, |file| file.write_all(bytes))
    }

    /// Takes a file in that is written piece by piece.
    pub(super) fn add_with(
        &mut self,
        name: &str,
        write: impl FnOnce(&mut Spool<'_>) -> io::Result<()>,
    ) -> Result<(), Failure> {
        let ((), file) = self.spool(name, write)?;
        self.take(file);
        Ok(())
    }

    /// Writes a file piece by piece under no name yet; [`Folder::take`] takes it in.
    pub(super) fn spool<T>(
        &self,
        name: &str,
        write: impl FnOnce(&mut Spool<'_>) -> io::Result<T>,
    ) -> Result<(T, Spooled), Failure> {
        let failed = |why| Failure::Writing { path: self.path.join(name), why };
        let mut file = NamedTempFile::new_in(&self.path).map_err(failed)?;
        let mut writer = io::BufWriter::new(&mut file);
        let made = write(&mut writer).map_err(failed)?;
        writer.flush().map_err(failed)?;
        drop(writer);
        Ok((made, Spooled(name.to_owned(), file)))
    }

    /// Takes a written file in, after those that are in already.
    pub(super) fn take(&mut self, Spooled(name, file): Spooled) {
        self.waiting.push((name, file));
    }

    /// Gives every file its name, and tells where they are.
    pub(super) fn finish(self) -> Result<Vec<String>, Failure> {
        let mut names = Vec::new();
        for (name, file) in self.waiting {
            let path = self.path.join(&name);
            make_readable(file.as_file())
                .map_err(|why| Failure::Writing { path: path.clone(), why })?;
            file.persist(&path)
                .map_err(|error| Failure::Writing { path: path.clone(), why: error.error })?;
            names.push(path.display().to_string());
        }
        Ok(names)
    }
}

/// Temporary files begin readable by their owner alone; outputs are for everybody.
#[cfg(unix)]
fn make_readable(file: &fs::File) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.set_permissions(fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn make_readable(_: &fs::File) -> io::Result<()> {
    Ok(())
}

/// Writes one file whole, or leaves what was there.
pub(super) fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let failed = |why| Failure::Writing { path: path.to_owned(), why };
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    let mut file = NamedTempFile::new_in(folder.unwrap_or(Path::new("."))).map_err(failed)?;
    file.write_all(bytes).map_err(failed)?;
    make_readable(file.as_file()).map_err(failed)?;
    file.persist(path).map_err(|error| failed(error.error))?;
    Ok(())
}
