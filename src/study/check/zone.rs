//! A zone with what findings about it need.

use crate::control::{Role, SetpointRules, Settings, Standing, Stored, Ticks};
use crate::direction::Direction;
use crate::engine::{Action, Doing, Model, OutdoorGroup, Zone, ZoneIndex};
use crate::settings::Key;

/// Comparisons of temperatures forgive this much, degrees.
pub(super) const ROUNDING: f64 = 1e-9;

/// One zone of a model.
#[derive(Clone, Copy, Debug)]
pub(super) struct ZoneAt<'m> {
    pub(super) model: &'m Model,
    pub(super) zone: &'m Zone,
    at: usize,
}

impl<'m> ZoneAt<'m> {
    pub(super) fn new(model: &'m Model, at: usize) -> Self {
        Self { model, zone: &model.zones[at], at }
    }

    /// Its place in the model.
    pub(super) const fn place(&self) -> usize {
        self.at
    }

    /// The way to a key of its controls.
    pub(super) fn controls(&self, key: &str) -> String {
        format!("zones.{}.controls.{key}", self.zone.id)
    }

    /// The way to a setting of the zone.
    pub(super) fn of(&self, setting: &Key) -> String {
        self.path(setting.path)
    }

    /// The way to a key of the zone itself.
    pub(super) fn path(&self, key: &str) -> String {
        format!("zones.{}.{key}", self.zone.id)
    }

    pub(super) fn settings(&self) -> &'m Settings {
        &self.zone.controls.settings
    }

    pub(super) fn rules(&self) -> &'m SetpointRules {
        &self.settings().rules
    }

    pub(super) fn start(&self) -> Stored {
        self.zone.controls.start
    }

    /// A tick as people read it.
    pub(super) fn show(&self, ticks: Ticks) -> String {
        self.settings().grid.show(ticks).to_string()
    }

    /// A tick with its unit.
    pub(super) fn shown(&self, ticks: Ticks) -> String {
        format!("{} {}", self.show(ticks), self.model.unit.letter())
    }

    /// The smallest tick at or above a value.
    pub(super) fn at_least(&self, value: f64) -> Ticks {
        let grid = self.settings().grid;
        let nearest = grid.nearest(value);
        if grid.value(nearest) + ROUNDING < value { nearest + Ticks::ONE } else { nearest }
    }

    /// The largest tick at or below a value.
    pub(super) fn at_most(&self, value: f64) -> Ticks {
        -self.at_least(-value)
    }

    /// A difference in kelvin.
    pub(super) fn kelvin(&self, difference: Ticks) -> f64 {
        self.model.unit.difference_to_kelvin(self.settings().grid.value(difference))
    }

    /// Its outdoor unit, where it shares one, and its place among the zones there.
    pub(super) fn group(&self) -> Option<(&'m OutdoorGroup, usize)> {
        self.model.outdoor_units.iter().find_map(|group| {
            let place = group.zones.iter().position(|zone| zone.get() == self.at)?;
            Some((group, place))
        })
    }

    /// How the zone may stand to its group before the first step, once for each direction.
    pub(super) fn standings(&self) -> [Standing; 2] {
        let follows = self.follows();
        Direction::BOTH.map(|direction| {
            if follows { Standing::Follower(direction) } else { Standing::Own(direction) }
        })
    }

    /// Whether it follows an owner.
    pub(super) fn follows(&self) -> bool {
        self.group().is_some_and(|(group, place)| {
            group.settings.owner().is_some_and(|owner| owner != place)
        })
    }

    /// Whether it is the zone of that index.
    pub(super) fn is(&self, zone: ZoneIndex) -> bool {
        zone.get() == self.at
    }

    /// Whatever is done here, in the order of time.
    pub(super) fn actions(&self) -> impl Iterator<Item = &'m Action> {
        let zone = ZoneIndex::new(self.at);
        self.model.actions.iter().filter(move |action| action.zone == zone)
    }

    /// What schedules do here, in the order of time.
    pub(super) fn scheduled(&self) -> impl Iterator<Item = &'m Action> {
        let zone = ZoneIndex::new(self.at);
        let ours = move |action: &&Action| {
            action.zone == zone
                && action.role == Role::Schedule
                && matches!(action.what, Doing::Request(_))
        };
        self.model.actions.iter().filter(ours)
    }
}

/// Names in a row: `a`, `a and b`, `a, b and c`.
pub(crate) fn listed<T: AsRef<str>>(names: &[T]) -> String {
    match names {
        [] => String::new(),
        [only] => only.as_ref().to_owned(),
        [most @ .., last] => {
            let most: Vec<&str> = most.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", most.join(", "), last.as_ref())
        }
    }
}

/// A number with at most two decimals.
pub(super) fn tidy(value: f64) -> String {
    let text = format!("{value:.2}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" { "0".into() } else { short.to_owned() }
}
