//! The objective of a sweep: the figure to make small or large, and bounds to be kept.

use serde::{Deserialize, Serialize};

use crate::measures::{FIGURES, Figure};
use crate::units::parse_number;

/// Whether a figure is better small or large.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Sense {
    /// Better small.
    Minimise,
    /// Better large.
    Maximise,
}

/// A bound on the mean of a figure.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FigureBound {
    /// The figure's key.
    pub figure: String,
    /// Whether it is a most; a least otherwise.
    pub at_most: bool,
    /// The bound.
    pub limit: f64,
}

/// The objective of a sweep: a figure to make small or large, and bounds.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Goal {
    /// The key of the figure that ranks.
    pub figure: String,
    /// Whether it is better small or large.
    pub sense: Sense,
    /// Bounds to be kept.
    pub bounds: Vec<FigureBound>,
}

/// Why a text is no goal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum GoalFault {
    /// No figure has this key.
    UnknownFigure(String),
    /// The bound is not `KEY=NUMBER`.
    NoBound(String),
}

impl Goal {
    /// A goal from its words: the figure to make small or large, and the bounds as `KEY=NUMBER`.
    ///
    /// # Errors
    /// A figure is not known, or a bound is none.
    pub fn new(
        figure: &str,
        sense: Sense,
        at_most: &[String],
        at_least: &[String],
    ) -> Result<Self, GoalFault> {
        place_of(figure).ok_or_else(|| GoalFault::UnknownFigure(figure.to_owned()))?;
        let most = at_most.iter().map(|text| bound(text, true));
        let least = at_least.iter().map(|text| bound(text, false));
        let bounds = most.chain(least).collect::<Result<_, _>>()?;
        Ok(Self { figure: figure.to_owned(), sense, bounds })
    }

    /// The place of its figure in [`FIGURES`].
    pub fn place(&self) -> usize {
        place_of(&self.figure).unwrap_or(0)
    }

    /// Its figure.
    pub fn figure(&self) -> &'static Figure {
        &FIGURES[self.place()]
    }
}

impl FigureBound {
    /// The place of its figure in [`FIGURES`].
    pub fn place(&self) -> usize {
        place_of(&self.figure).unwrap_or(0)
    }

    /// Whether a value keeps it.
    pub fn holds(&self, value: f64) -> bool {
        if self.at_most { value <= self.limit } else { value >= self.limit }
    }
}

fn bound(text: &str, at_most: bool) -> Result<FigureBound, GoalFault> {
    let parts = text.split_once('=').map(|(key, limit)| (key.trim(), limit.trim()));
    let (key, limit) = parts.ok_or_else(|| GoalFault::NoBound(text.to_owned()))?;
    let limit = parse_number(limit).ok_or_else(|| GoalFault::NoBound(text.to_owned()))?;
    place_of(key).ok_or_else(|| GoalFault::UnknownFigure(key.to_owned()))?;
    Ok(FigureBound { figure: key.to_owned(), at_most, limit })
}

fn place_of(key: &str) -> Option<usize> {
    FIGURES.iter().position(|figure| figure.key == key)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn goals_are_figures_and_bounds() {
        let most = ["starved_hours=1".to_owned()];
        let goal = Goal::new("cost", Sense::Minimise, &most, &[]).expect("a goal");
        assert_eq!(goal.figure().key, "cost");
        assert!(goal.bounds[0].holds(1.0) && !goal.bounds[0].holds(1.1));
        let fault = |figure: &str, most: &str| {
            Goal::new(figure, Sense::Minimise, &[most.to_owned()], &[]).expect_err("a fault")
        };
        assert_eq!(fault("coast", "cost=1"), GoalFault::UnknownFigure("coast".into()));
        assert_eq!(fault("cost", "cost"), GoalFault::NoBound("cost".into()));
        assert_eq!(fault("cost", "cost=low"), GoalFault::NoBound("cost=low".into()));
    }
}
