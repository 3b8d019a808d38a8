//! What happens when somebody ends the program: Ctrl-C, or the system asks it to end.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, Once, PoisonError};
use std::thread;

use super::terminal;

/// The usual exit codes of programs that were ended by Ctrl-C and by a request of the system.
const BY_CTRL_C: i32 = 130;
const BY_REQUEST: i32 = 143;

/// Folders with unfinished files, removed when the program is ended.
static UNFINISHED: Mutex<BTreeSet<PathBuf>> = Mutex::new(BTreeSet::new());
/// Held while files are exchanged, which must not be cut in two.
static EXCHANGE: Mutex<()> = Mutex::new(());
/// Who wants to be asked to stop before the program ends.
static WISH: Mutex<Option<Arc<AtomicBool>>> = Mutex::new(None);
static LISTENING: Once = Once::new();

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A folder with unfinished files, removed should the program be ended before this is dropped.
#[derive(Debug)]
pub(super) struct Unfinished(PathBuf);

impl Unfinished {
    pub(super) fn folder(path: &Path) -> Self {
        locked(&UNFINISHED).insert(path.to_owned());
        listen();
        Self(path.to_owned())
    }
}

impl Drop for Unfinished {
    fn drop(&mut self) {
        locked(&UNFINISHED).remove(&self.0);
    }
}

/// As long as it is held the program is not ended, but for a kill.
pub(super) fn not_now() -> MutexGuard<'static, ()> {
    locked(&EXCHANGE)
}

/// Set at the first wish to end the program; only the second one ends it.
pub(super) fn wish_to_stop() -> Arc<AtomicBool> {
    let wish = Arc::new(AtomicBool::new(false));
    *locked(&WISH) = Some(Arc::clone(&wish));
    listen();
    wish
}

/// Begins to listen. Where signals cannot be heard they end the program as always, and the next
/// run tidies up.
fn listen() {
    LISTENING.call_once(|| {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
        let Ok(runtime) = runtime else { return };
        let listener = thread::Builder::new().name("signals".into());
        drop(listener.spawn(move || runtime.block_on(hear())));
    });
}

/// Answers every signal that asks the program to end.
#[cfg(unix)]
async fn hear() {
    use tokio::signal::unix::{SignalKind, signal};
    if let Ok(mut terminate) = signal(SignalKind::terminate()) {
        tokio::spawn(async move {
            while terminate.recv().await.is_some() {
                answer(BY_REQUEST);
            }
        });
    }
    hear_ctrl_c().await;
}

#[cfg(not(unix))]
async fn hear() {
    hear_ctrl_c().await;
}

async fn hear_ctrl_c() {
    while tokio::signal::ctrl_c().await.is_ok() {
        answer(BY_CTRL_C);
    }
}

fn answer(code: i32) {
    let wish = locked(&WISH).clone();
    if let Some(wish) = wish
        && !wish.swap(true, Ordering::Relaxed)
    {
        terminal::print_error("stopping after the running cases; once more stops at once");
        return;
    }
    let _whole = not_now();
    for folder in &*locked(&UNFINISHED) {
        // What cannot be removed now is removed by the next run.
        drop(fs::remove_dir_all(folder));
    }
    process::exit(code);
}
