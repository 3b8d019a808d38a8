//! The calls with which files are written, in one thin layer: tests let each of them fail in turn.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

#[cfg(test)]
pub(super) mod trial;

/// Where a test may let a call fail.
#[cfg(not(test))]
#[expect(clippy::unnecessary_wraps, reason = "tests have one that fails")]
const fn before(_: &Path) -> io::Result<()> {
    Ok(())
}

#[cfg(test)]
use trial::before;

/// Makes a folder and those above it, where they are missing.
pub(super) fn make_folder(path: &Path) -> io::Result<()> {
    before(path)?;
    fs::create_dir_all(path)
}

/// Opens a file of our own for writing, empty.
pub(super) fn create(path: &Path) -> io::Result<Writing> {
    before(path)?;
    Ok(Writing { file: File::create(path)?, path: path.to_owned() })
}

/// Opens a file for lines behind those that it has.
pub(super) fn append(path: &Path) -> io::Result<Writing> {
    before(path)?;
    let file = OpenOptions::new().create(true).append(true).open(path)?;
    Ok(Writing { file, path: path.to_owned() })
}

/// Gives a file another name; what had that name is gone.
pub(super) fn rename(from: &Path, to: &Path) -> io::Result<()> {
    before(to)?;
    fs::rename(from, to)
}

/// Removes a file.
pub(super) fn remove(path: &Path) -> io::Result<()> {
    before(path)?;
    fs::remove_file(path)
}

/// Removes a folder of our own with all in it.
pub(super) fn remove_folder(path: &Path) -> io::Result<()> {
    before(path)?;
    fs::remove_dir_all(path)
}

/// A file that is being written.
#[derive(Debug)]
pub(super) struct Writing {
    file: File,
    path: PathBuf,
}

impl Writing {
    /// Waits until the machine may end without losing what was written.
    pub(super) fn sync(&self) -> io::Result<()> {
        before(&self.path)?;
        self.file.sync_data()
    }

    /// The file itself, to be locked.
    pub(super) const fn file(&self) -> &File {
        &self.file
    }
}

impl Write for Writing {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if let Err(error) = before(&self.path) {
            // What fails in the middle has written the first half.
            self.file.write_all(&bytes[..bytes.len() / 2])?;
            return Err(error);
        }
        self.file.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}
