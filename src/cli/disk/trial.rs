//! Calls that fail on purpose, below one folder.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// How it goes on after the call that fails.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::cli) enum After {
    /// As if nothing had been: a moment without space.
    Well,
    /// Nothing works any more: the program was killed there.
    Dead,
}

#[derive(Debug)]
struct Trial {
    folder: PathBuf,
    /// So many calls are let through first.
    left: usize,
    after: After,
    failed: bool,
}

/// Tests run side by side, each in a folder of its own.
static TRIALS: Mutex<Vec<Trial>> = Mutex::new(Vec::new());

fn trials() -> std::sync::MutexGuard<'static, Vec<Trial>> {
    TRIALS.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
}

/// Lets the call after `left` others below a folder fail, while `work` runs. Whether it came to
/// that.
pub(in crate::cli) fn failing<T>(
    folder: &Path,
    left: usize,
    after: After,
    work: impl FnOnce() -> T,
) -> (T, bool) {
    trials().push(Trial { folder: folder.to_owned(), left, after, failed: false });
    let done = work();
    let mut trials = trials();
    let at = trials.iter().position(|trial| trial.folder == folder).expect("it was put there");
    let failed = trials.swap_remove(at).failed;
    (done, failed)
}

pub(super) fn before(path: &Path) -> io::Result<()> {
    let mut trials = trials();
    let Some(trial) = trials.iter_mut().find(|trial| path.starts_with(&trial.folder)) else {
        return Ok(());
    };
    if trial.left > 0 {
        trial.left -= 1;
        return Ok(());
    }
    if trial.failed && trial.after == After::Well {
        return Ok(());
    }
    trial.failed = true;
    Err(io::Error::from(io::ErrorKind::StorageFull))
}
