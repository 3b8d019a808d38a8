//! How far a sweep is, and whether somebody wants it to stop.

use std::io::{self, IsTerminal};
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::Failure;
use crate::cli::interrupt;

/// The bar, and the wish to stop.
#[derive(Debug)]
pub(super) struct Watch {
    bar: ProgressBar,
    stop: Arc<AtomicBool>,
}

impl Watch {
    /// A watch over so many cases; the bar shows on a terminal alone.
    pub(super) fn new(cases: usize, quiet: bool) -> Result<Self, Failure> {
        let shown = !quiet && io::stderr().is_terminal();
        let target =
            if shown { ProgressDrawTarget::stderr() } else { ProgressDrawTarget::hidden() };
        let bar = ProgressBar::with_draw_target(Some(cases as u64), target);
        let style = ProgressStyle::with_template("{wide_bar} {pos} of {len} cases, {eta} left")
            .map_err(|fault| Failure::Form(fault.to_string()))?;
        bar.set_style(style);
        Ok(Self { bar, stop: interrupt::wish_to_stop() })
    }

    /// Set once the sweep is to stop.
    pub(super) fn stop(&self) -> &AtomicBool {
        &self.stop
    }

    /// One more case is finished.
    pub(super) fn one_more(&self) {
        self.bar.inc(1);
    }

    /// Takes the bar away.
    pub(super) fn finish(&self) {
        self.bar.finish_and_clear();
    }
}
