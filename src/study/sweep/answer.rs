//! Everything that is said about a sweep, worked out once.

use super::cases::Results;
use super::front::{Front, front};
use super::goal::Goal;
use super::rank::{Ranking, rank};
use super::sensitivity::{Sensitivities, Sensitivity, Silent, sensitivities};

/// What a sweep says.
#[derive(Clone, Debug)]
pub struct SweepAnswer<'a> {
    /// The cases.
    pub results: &'a Results,
    /// What was asked.
    pub goal: &'a Goal,
    /// The settings, best first.
    pub ranking: Ranking,
    /// The trade-off front, by energy.
    pub front: Vec<Front>,
    /// On which paths the goal's figure hangs: those told from noise first, most first.
    pub sensitivities: Vec<Sensitivity>,
    /// The other paths, with the reason why they are not among these.
    pub silent: Vec<(usize, Silent)>,
    /// Whether draws differ at all in any figure, as far as they have been run.
    pub has_chance: bool,
}

impl<'a> SweepAnswer<'a> {
    /// What the cases done so far say.
    pub fn new(results: &'a Results, goal: &'a Goal) -> Self {
        let ranking = rank(results, goal);
        let front = front(&ranking);
        let Sensitivities { found: sensitivities, silent } = sensitivities(results, goal.place());
        let has_chance = ranking.settings.iter().any(|setting| {
            let mut figures = setting.figures.iter().flatten();
            figures.any(|it| it.deviation.is_some_and(|deviation| deviation > 0.0))
        });
        Self { results, goal, ranking, front, sensitivities, silent, has_chance }
    }

    /// Places on the front that are shown where there is no room for all: both ends, the best, and
    /// others evenly between.
    pub fn front_shown(&self) -> Vec<usize> {
        const MOST: usize = 12;
        let count = self.front.len();
        if count <= MOST {
            return (0..count).collect();
        }
        let mut shown: Vec<usize> = (0..MOST - 1).map(|it| it * (count - 1) / (MOST - 2)).collect();
        shown.extend(self.front.iter().position(|it| it.place == 0));
        shown.sort_unstable();
        shown.dedup();
        shown
    }

    /// The settings that could not be run, with the reason of the first draw that could not.
    pub fn unfit(&self) -> Vec<(usize, &str)> {
        let all = 0..self.results.settings.len();
        all.filter_map(|it| self.results.unfit(it).map(|why| (it, &**why))).collect()
    }
}
