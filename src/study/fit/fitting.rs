//! What a search has found for a stretch of a log, and whom it is for.

use super::changes::Numbers;
use super::electricity::Electricity;
use super::options::{Freed, Options};
use super::problem::{GainOf, Size};
use super::search::{Found, Spread, Structure};
use crate::engine::Model;

/// Whom an answer is for.
pub(super) struct Tells<'a> {
    pub model: &'a Model,
    pub zone: usize,
    pub options: &'a Options,
}

/// The search's result for a stretch of a log.
pub(super) struct Fitting<'a> {
    pub found: Found<'a>,
    pub spread: Spread,
    pub structure: (Structure, Option<f64>),
    /// Sizes and gains that the log does not tell.
    pub untold: (Vec<Size>, Vec<GainOf>),
    /// Sizes that stay as they are since nothing sets their scale.
    pub scaleless: Vec<Size>,
}

impl Fitting<'_> {
    /// Sizes in which the fitted room differs from the file's.
    pub(super) fn sizes(&self) -> Vec<Size> {
        let mut sizes = self.found.problem.free.clone();
        if self.structure.0 == Structure::OneCapacity {
            sizes.push(Size::Mass);
        }
        sizes
    }

    /// Sizes that may be other than they were found: all that are fitted, told or not.
    pub(super) fn unsure_sizes(&self, options: &Options) -> Vec<Size> {
        let single = self.structure.0 == Structure::OneCapacity;
        let is_there = |size: &Size| !(single && matches!(size, Size::Mass | Size::Coupling));
        let still = self.standing_still(options);
        let free = |size: &Size| {
            options.frees(Freed::Size(*size)) && is_there(size) && !still.contains(size)
        };
        Size::ALL.into_iter().filter(free).collect()
    }

    /// Sizes of which the log says nothing since its temperature stands still.
    pub(super) fn standing_still(&self, options: &Options) -> Vec<Size> {
        let still = self.scaleless.iter().copied();
        still.filter(|size| *size != Size::Loss && options.frees(Freed::Size(*size))).collect()
    }

    /// The numbers that were found.
    pub(super) fn numbers(&self, besides: Option<&Electricity>) -> Numbers {
        let own = self.found.problem.gains.iter().zip(&self.found.choice.gains);
        Numbers {
            room: self.found.choice.room,
            gains: own.map(|(gain, value)| (gain.of, *value)).collect(),
            running: besides.map(|it| it.running.value),
        }
    }
}
