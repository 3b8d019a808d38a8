//! The results of the cases of a sweep.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::plan::SweepPlan;
use crate::engine::Model;
use crate::measures::{FIGURES, Figure, FigureUnit, ImplausibleAir, Summary, shared_demand};
use crate::units::TemperatureUnit;

/// The result of one case: its figures, or why its settings do not fit.
#[derive(Clone, Debug, PartialEq)]
pub enum CaseOutcome {
    /// It ran.
    Ran {
        /// Its figures, in the order of [`FIGURES`]; not a number where it has none.
        figures: Box<[f64]>,
        /// Air that is hardly that of a building, where there was any.
        implausible: Option<ImplausibleZone>,
    },
    /// Why it could not be run.
    Unfit(Arc<str>),
}

/// The first zone of a case whose air was hardly that of a building.
#[derive(Clone, Debug, PartialEq)]
pub struct ImplausibleZone {
    /// Its name in the file.
    pub zone: Arc<str>,
    /// How cold or warm it came to be, in the file's unit.
    pub air: f64,
}

impl CaseOutcome {
    /// A run with these figures and nothing to warn of.
    pub fn ran(figures: impl Into<Box<[f64]>>) -> Self {
        Self::Ran { figures: figures.into(), implausible: None }
    }

    /// The figures of a run of a model.
    pub(super) fn of(model: &Model, summary: &Summary) -> Self {
        // Adding zero turns -0 into 0.
        let value = |figure: &Figure| figure.of(summary).map_or(f64::NAN, |value| value + 0.0);
        let implausible = ImplausibleAir::of(summary, model.unit).map(|it| ImplausibleZone {
            zone: Arc::from(model.zones[it.zone.get()].id.as_str()),
            air: it.air,
        });
        Self::Ran { figures: FIGURES.iter().map(value).collect(), implausible }
    }

    /// A figure, by its place among [`FIGURES`]; `None` where the case has none.
    pub fn figure(&self, place: usize) -> Option<f64> {
        match self {
            Self::Ran { figures, .. } => figures.get(place).copied().filter(|it| !it.is_nan()),
            Self::Unfit(_) => None,
        }
    }

    /// The air to be warned of.
    pub const fn implausible(&self) -> Option<&ImplausibleZone> {
        match self {
            Self::Ran { implausible, .. } => implausible.as_ref(),
            Self::Unfit(_) => None,
        }
    }

    /// The same, down to the last bit.
    pub fn is_same(&self, other: &Self) -> bool {
        match (self, other) {
            (
                Self::Ran { figures: one, implausible: far },
                Self::Ran { figures: two, implausible: as_far },
            ) => {
                let bits = |all: &[f64]| all.iter().map(|it| it.to_bits()).collect::<Vec<_>>();
                bits(one) == bits(two) && far == as_far
            }
            (Self::Unfit(one), Self::Unfit(two)) => one == two,
            _ => false,
        }
    }
}

/// What a reader of the results must know about the file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct About {
    /// What the study is called.
    pub title: String,
    /// Which variant of the file; `None` for the file as written.
    pub variant: Option<String>,
    /// Whether the file is in Fahrenheit.
    pub fahrenheit: bool,
    /// The tariff's currency; empty without one.
    pub currency: String,
    /// How many days each case simulates.
    pub days: i64,
    /// How many zones it has.
    #[serde(default)]
    pub zones: usize,
    /// How many people it has, who decide by chance.
    #[serde(default)]
    pub people: usize,
    /// By which days demand charges are shared out; see [`shared_demand`].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shared_demand: Option<(i64, i64)>,
}

impl About {
    /// What there is to know about a model.
    pub fn of(model: &Model) -> Self {
        Self {
            title: model.title.clone(),
            variant: model.variant.clone(),
            fahrenheit: model.unit == TemperatureUnit::Fahrenheit,
            currency: model.tariff.as_ref().map_or_else(String::new, |it| it.currency.clone()),
            days: model.period.days(),
            zones: model.zones.len(),
            people: model.people.len(),
            shared_demand: shared_demand(model),
        }
    }

    /// The file's unit.
    pub const fn unit(&self) -> TemperatureUnit {
        if self.fahrenheit { TemperatureUnit::Fahrenheit } else { TemperatureUnit::Celsius }
    }
}

/// A sweep with what has come of it so far.
#[derive(Clone, Debug)]
pub struct Results {
    /// What it was to do.
    pub plan: SweepPlan,
    /// About the file.
    pub about: About,
    /// The values of each setting, in the order of the plan's axes.
    pub settings: Vec<Vec<String>>,
    outcomes: Vec<Option<CaseOutcome>>,
}

impl Results {
    /// A sweep of which nothing is done.
    pub fn new(plan: SweepPlan, about: About) -> Self {
        let outcomes = vec![None; plan.cases()];
        Self { settings: plan.all_settings(), plan, about, outcomes }
    }

    /// Takes in what came of a case; false where the case is none of this sweep, or something else
    /// came of it before.
    pub fn put(&mut self, case: usize, outcome: CaseOutcome) -> bool {
        match self.outcomes.get_mut(case) {
            None => false,
            Some(Some(before)) => before.is_same(&outcome),
            Some(empty) => {
                *empty = Some(outcome);
                true
            }
        }
    }

    /// The result of a case; `None` where it has not been run.
    pub fn outcome(&self, case: usize) -> Option<&CaseOutcome> {
        self.outcomes.get(case)?.as_ref()
    }

    /// How many cases are done.
    pub fn done(&self) -> usize {
        self.outcomes.iter().flatten().count()
    }

    /// Whether every case is done.
    pub fn is_complete(&self) -> bool {
        self.outcomes.iter().all(Option::is_some)
    }

    /// A figure of every draw of a setting, by draw; `None` where a draw has none.
    pub fn by_draw(&self, setting: usize, figure: usize) -> Vec<Option<f64>> {
        let case = |draw| self.outcome(self.plan.case(setting, draw));
        (0..self.plan.draws).map(|draw| case(draw)?.figure(figure)).collect()
    }

    /// The cases with air that is hardly that of a building, with their settings, in their order.
    pub fn implausible(&self) -> impl Iterator<Item = (usize, &ImplausibleZone)> {
        let cases = (0..self.plan.cases()).map(|case| (self.plan.split(case).0, case));
        cases.filter_map(|(setting, case)| Some((setting, self.outcome(case)?.implausible()?)))
    }

    /// The first reason for which a draw of a setting could not be run.
    pub fn unfit(&self, setting: usize) -> Option<&Arc<str>> {
        (0..self.plan.draws).find_map(|draw| match self.outcome(self.plan.case(setting, draw)) {
            Some(CaseOutcome::Unfit(why)) => Some(why),
            _ => None,
        })
    }

    /// The settings that ran at least one draw and could run every draw so far.
    pub fn fit_settings(&self) -> Vec<usize> {
        let ran = |setting: usize| {
            let mut outcomes =
                (0..self.plan.draws).filter_map(|it| self.outcome(self.plan.case(setting, it)));
            let first = outcomes.next();
            first.is_some_and(|it| matches!(it, CaseOutcome::Ran { .. }))
                && outcomes.all(|it| matches!(it, CaseOutcome::Ran { .. }))
        };
        (0..self.settings.len()).filter(|setting| ran(*setting)).collect()
    }

    /// Whether anything may happen by chance: something varies from draw to draw, or there are
    /// people.
    pub fn may_differ(&self) -> bool {
        !self.plan.varied.is_empty() || self.about.people > 0
    }

    /// What a figure hardly exceeds in one draw; `None` where nothing happens by chance or nothing
    /// is known. Where it was met at all that is three times the most that was; else hours cannot
    /// exceed those of all zones or people, degree-hours are taken for no more than 10 K all the
    /// time, and counts for no more than one in ten minutes each (our assumptions).
    pub(super) fn bound(&self, fit: &[usize], figure: usize) -> Option<f64> {
        const BEYOND_WHAT_WAS_MET: f64 = 3.0;
        /// K.
        const FURTHEST: f64 = 10.0;
        const COUNTS_AN_HOUR: f64 = 6.0;
        if !self.may_differ() {
            return None;
        }
        let each = self.about.zones.max(self.about.people).max(1);
        let hours = self.about.days as f64 * 24.0 * each as f64;
        let at_all = match FIGURES[figure].unit {
            FigureUnit::Hours => Some(hours),
            FigureUnit::DegreeHours => {
                Some(hours * FURTHEST * if self.about.fahrenheit { 1.8 } else { 1.0 })
            }
            FigureUnit::Count => Some(hours * COUNTS_AN_HOUR),
            FigureUnit::Percent => Some(100.0),
            FigureUnit::Energy | FigureUnit::Power | FigureUnit::Money | FigureUnit::Mass => None,
        };
        let all = fit.iter().flat_map(|setting| self.by_draw(*setting, figure));
        let most = all.flatten().fold(0.0, f64::max);
        let beyond = (most > 0.0).then_some(BEYOND_WHAT_WAS_MET * most);
        match (at_all, beyond) {
            (Some(at_all), Some(beyond)) => Some(at_all.min(beyond)),
            (one, other) => other.or(one),
        }
    }

    /// What people call each path: its last two words, or as many as no other path ends with.
    pub fn names(&self) -> Vec<String> {
        let paths: Vec<&str> =
            self.plan.axes.iter().chain(&self.plan.varied).map(|it| it.path.as_str()).collect();
        short_names(&paths)
    }

    /// A setting in words: `band 3, heat 21`.
    pub fn setting_words(&self, setting: usize) -> String {
        let names = self.names();
        let values = self.settings.get(setting).map_or(&[][..], Vec::as_slice);
        if values.is_empty() {
            return "the file as written".into();
        }
        let words = names.iter().zip(values).map(|(name, value)| format!("{name} {value}"));
        words.collect::<Vec<_>>().join(", ")
    }
}

/// Words of a path that say where a value stands and not what it is.
const PLACES: [&str; 6] = ["zones", "*", "controls", "space", "unit", "weather"];

fn short_names(paths: &[&str]) -> Vec<String> {
    let words: Vec<Vec<&str>> = paths
        .iter()
        .map(|path| {
            let all: Vec<&str> = path.split('.').collect();
            let told: Vec<&str> =
                all.iter().copied().filter(|word| !PLACES.contains(word)).collect();
            if told.is_empty() { all } else { told }
        })
        .collect();
    let ending = |words: &[&str], count: usize| {
        words[words.len().saturating_sub(count)..].join(" ").replace('_', " ")
    };
    let name = |(place, own): (usize, &Vec<&str>)| {
        let unlike = |count: usize| {
            let others = words.iter().enumerate().filter(|(other, _)| *other != place);
            others.into_iter().all(|(_, other)| ending(other, count) != ending(own, count))
        };
        let enough = (2.min(own.len())..=own.len()).find(|count| unlike(*count));
        enough.map_or_else(|| paths[place].to_owned(), |count| ending(own, count))
    };
    words.iter().enumerate().map(name).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_as_short_as_they_can_be_told_apart() {
        let names = short_names(&[
            "zones.*.band",
            "zones.hall.controls.heat",
            "zones.attic.controls.heat",
            "zones.hall.controls.min_deadband",
            "seed",
        ]);
        assert_eq!(names, ["band", "hall heat", "attic heat", "hall min deadband", "seed"]);
        assert_eq!(short_names(&["zones.*.gains.power"]), ["gains power"]);
        assert_eq!(
            short_names(&["zones.*.controls.heat", "zones.*.unit.heat"]),
            ["zones.*.controls.heat", "zones.*.unit.heat"]
        );
    }
}
