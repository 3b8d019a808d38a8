//! Which setting is best, and how sure that is.

use super::cases::Results;
use super::estimate::{Estimate, estimate_within, paired_difference};
use super::goal::{FigureBound, Goal, Sense};
use crate::measures::FIGURES;

/// Whether the bounds are kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meets {
    /// All over the interval: with 95 % confidence, and never with certainty.
    Throughout,
    /// By the mean, but not all over the interval.
    Probably,
    /// Not by the mean.
    No,
}

/// A setting with what its draws say.
#[derive(Clone, Debug)]
pub struct Scored {
    /// Which setting.
    pub setting: usize,
    /// What its draws say about each figure, in the order of [`FIGURES`]; `None` where a figure
    /// has no value.
    pub figures: Vec<Option<Estimate>>,
    /// Whether it keeps the bounds.
    pub meets: Meets,
}

impl Scored {
    /// The mean of a figure.
    pub fn mean(&self, figure: usize) -> Option<f64> {
        self.figures[figure].map(|it| it.mean)
    }
}

/// The settings that could be run, ranked.
#[derive(Clone, Debug)]
pub struct Ranking {
    /// Those that keep the bounds, best first; then the others, best first.
    pub settings: Vec<Scored>,
    /// How many keep the bounds.
    pub keeping: usize,
    /// By how much each is worse than the first, draw by draw; in the order of `settings`.
    pub behind: Vec<Option<Estimate>>,
}

impl Ranking {
    /// The best that keeps the bounds.
    pub fn best(&self) -> Option<&Scored> {
        self.settings[..self.keeping].first()
    }

    /// How many others that keep the bounds cannot be told from the best by their draws.
    pub fn as_good(&self) -> usize {
        let others = self.behind[..self.keeping].iter().skip(1).flatten();
        others.filter(|it| !it.is_not_zero()).count()
    }
}

/// Ranks what has been run so far.
pub fn rank(results: &Results, goal: &Goal) -> Ranking {
    let fit = results.fit_settings();
    let bounds: Vec<Option<f64>> =
        (0..FIGURES.len()).map(|figure| results.bound(&fit, figure)).collect();
    let score = |setting: usize| -> Scored {
        let figures: Vec<Option<Estimate>> = (0..FIGURES.len())
            .map(|figure| {
                let draws = results.by_draw(setting, figure);
                estimate_within(&draws.into_iter().flatten().collect::<Vec<f64>>(), bounds[figure])
            })
            .collect();
        let meets = goal.bounds.iter().map(|bound| meets(bound, figures[bound.place()]));
        let meets = meets.fold(Meets::Throughout, |all, one| match (all, one) {
            (Meets::No, _) | (_, Meets::No) => Meets::No,
            (Meets::Probably, _) | (_, Meets::Probably) => Meets::Probably,
            _ => Meets::Throughout,
        });
        Scored { setting, figures, meets }
    };
    let mut settings: Vec<Scored> = fit.iter().copied().map(score).collect();
    let key = |it: &Scored| {
        let value = it.mean(goal.place()).unwrap_or(f64::INFINITY);
        let signed = if goal.sense == Sense::Maximise { -value } else { value };
        (it.meets == Meets::No, signed, ties(it), it.setting)
    };
    settings.sort_by(|one, two| {
        let (one, two) = (key(one), key(two));
        let ties = one.2.iter().zip(&two.2).map(|(one, two)| one.total_cmp(two));
        let ties = ties.fold(std::cmp::Ordering::Equal, std::cmp::Ordering::then);
        one.0.cmp(&two.0).then(one.1.total_cmp(&two.1)).then(ties).then(one.3.cmp(&two.3))
    });
    let keeping = settings.iter().filter(|it| it.meets != Meets::No).count();
    let behind = behind(results, goal, &settings);
    Ranking { settings, keeping, behind }
}

/// Where the figure is the same, these decide.
fn ties(scored: &Scored) -> [f64; 3] {
    ["degree_hours_outside_band", "changeovers", "total_kwh"].map(|key| {
        let place = FIGURES.iter().position(|figure| figure.key == key);
        place.and_then(|place| scored.mean(place)).unwrap_or(f64::INFINITY)
    })
}

fn meets(bound: &FigureBound, estimate: Option<Estimate>) -> Meets {
    let Some(it) = estimate else { return Meets::No };
    let ends = it.interval.unwrap_or([it.mean; 2]);
    match (bound.holds(it.mean), ends.into_iter().all(|end| bound.holds(end))) {
        (false, _) => Meets::No,
        (true, false) => Meets::Probably,
        (true, true) => Meets::Throughout,
    }
}

fn behind(results: &Results, goal: &Goal, settings: &[Scored]) -> Vec<Option<Estimate>> {
    let Some(first) = settings.first() else { return Vec::new() };
    let best = results.by_draw(first.setting, goal.place());
    let difference = |it: &Scored| {
        let own = results.by_draw(it.setting, goal.place());
        match goal.sense {
            Sense::Minimise => paired_difference(&best, &own),
            Sense::Maximise => paired_difference(&own, &best),
        }
    };
    settings.iter().map(difference).collect()
}
