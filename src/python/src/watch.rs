//! Long work without the interpreter's lock, with progress and Ctrl-C.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::thread;
use std::time::Duration;

use pyo3::prelude::*;

/// How often Python is asked whether somebody wants to stop.
const LOOK: Duration = Duration::from_millis(50);

/// What work and those who wait for it share.
#[derive(Debug, Default)]
pub(crate) struct Watch {
    /// Set once somebody wants to stop.
    pub(crate) stop: AtomicBool,
    /// How much is done.
    pub(crate) done: AtomicUsize,
    /// Of how much; 0 where that is not known.
    pub(crate) of: AtomicUsize,
}

impl Watch {
    /// Notes how much is done, of how much; whether to go on.
    pub(crate) fn note(&self, done: usize, of: usize) -> bool {
        self.of.store(of, Ordering::Relaxed);
        self.done.fetch_max(done, Ordering::Relaxed);
        !self.stop.load(Ordering::Relaxed)
    }

    /// Notes what part is done, from 0 to 1; whether to go on.
    pub(crate) fn note_part(&self, part: f64) -> bool {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a part of one, in percent"
        )]
        self.note((part * 100.0) as usize, 100)
    }

    /// Notes that nothing is left to be done.
    pub(crate) fn note_end(&self) {
        self.done.store(self.of.load(Ordering::Relaxed), Ordering::Relaxed);
    }
}

/// Does the work while Python runs on, and tells how far it is.
pub(crate) fn watched<T: Send>(
    py: Python<'_>,
    progress: Option<Py<PyAny>>,
    work: impl FnOnce(&Watch) -> T + Send,
) -> PyResult<T> {
    let watch = Watch::default();
    py.detach(|| {
        thread::scope(|scope| {
            let (sender, receiver) = channel();
            let shared = &watch;
            let worker = scope.spawn(move || {
                // Who does not wait any more needs no result.
                let _ = sender.send(work(shared));
            });
            let result = loop {
                match receiver.recv_timeout(LOOK) {
                    Ok(result) => break Ok(result),
                    Err(RecvTimeoutError::Timeout) => {
                        let looked = Python::attach(|py| {
                            py.check_signals()?;
                            tell(py, progress.as_ref(), shared)
                        });
                        if let Err(stopped) = looked {
                            shared.stop.store(true, Ordering::Relaxed);
                            break Err(stopped);
                        }
                    }
                    // The worker panicked, which joining it passes on.
                    Err(RecvTimeoutError::Disconnected) => {
                        break Err(crate::error::run_error(
                            &"the computation broke down; please report this",
                        ));
                    }
                }
            };
            if let Err(panic) = worker.join() {
                std::panic::resume_unwind(panic);
            }
            if result.is_ok() {
                Python::attach(|py| finish(py, progress.as_ref(), shared))?;
            }
            result
        })
    })
}

fn tell(py: Python<'_>, progress: Option<&Py<PyAny>>, watch: &Watch) -> PyResult<()> {
    let Some(progress) = progress.map(|it| it.bind(py)) else { return Ok(()) };
    let (done, of) = (watch.done.load(Ordering::Relaxed), watch.of.load(Ordering::Relaxed));
    if of == 0 || progress.is_none() {
        return Ok(());
    }
    if progress.is_callable() {
        progress.call1((done, of))?;
    } else if progress.is_truthy()? {
        print(py, &format!("\rsetband: {done} of {of}"))?;
    }
    Ok(())
}

/// Prints where Python prints errors, which a notebook shows.
fn print(py: Python<'_>, words: &str) -> PyResult<()> {
    let errors = py.import("sys")?.getattr("stderr")?;
    errors.call_method1("write", (words,))?;
    errors.call_method0("flush")?;
    Ok(())
}

fn finish(py: Python<'_>, progress: Option<&Py<PyAny>>, watch: &Watch) -> PyResult<()> {
    tell(py, progress, watch)?;
    if let Some(progress) = progress.map(|it| it.bind(py))
        && !progress.is_callable()
        && progress.is_truthy()?
    {
        print(py, "\n")?;
    }
    Ok(())
}
