//! What a group leaves to its zones as long as it keeps its direction: many steps at once.

use super::group::{GroupSettings, GroupState, Sharing, ZoneLogic};
use super::lanes::{Opposite, ThermostatLanes};
use super::modes::Mode;
use super::thermostat::{Call, Selection, Thermostat, ThermostatState, WorkingSetpoints};
use crate::time::Instant;

/// What a zone's group leaves to it as long as both keep their directions.
#[derive(Clone, Copy, Debug)]
pub struct Keeping {
    /// What it may have calls for.
    pub(super) selection: Selection,
    /// Whether it is awake by its own mode and power.
    pub(super) is_awake: bool,
    /// Whether its mode gives it its direction.
    pub(super) decides: bool,
    /// Whether a call of it may wait to be served.
    pub(super) may_wait: bool,
    /// What it means that it wants the opposite direction.
    pub(super) opposite: Opposite,
}

impl Keeping {
    /// A zone in a group that keeps its direction, at a place among the members, starved or not, whose
    /// calls may have to wait for the plant or not; `None` where either might turn unasked.
    pub fn of(
        (group, settings): (&GroupState, &GroupSettings),
        place: usize,
        zone: &ZoneLogic,
        starved: bool,
        may_wait: bool,
    ) -> Option<Self> {
        let is_single = matches!(settings.sharing, Sharing::SingleMode { .. });
        let decides = !is_single || settings.owner() == Some(place);
        // Whoever decides may turn as soon as its delay is over.
        let is_auto = zone.selection == Selection::On(Mode::Auto);
        let is_by_policy = is_single && settings.owner().is_none();
        let may_turn = (decides && is_auto) || is_by_policy;
        let is_alike = !is_single || zone.state.direction() == group.direction();
        if !is_alike || (starved && may_turn) {
            return None;
        }
        let counts = if is_single { !group.is_stopped() } else { is_auto };
        Some(Self {
            selection: group.selection_of(settings, place, zone),
            is_awake: zone.selection.is_awake(),
            decides,
            may_wait,
            opposite: Opposite { counts, in_calls: is_by_policy, starved },
        })
    }
}

impl ThermostatState {
    /// How a zone goes on from `now` while it keeps its direction; `None` where it might not keep it
    /// even in the next step, or where its call waits to be served and must not.
    pub fn lane(
        &self,
        settings: &Thermostat,
        keeping: &Keeping,
        at: WorkingSetpoints,
        now: Instant,
    ) -> Option<ThermostatLanes> {
        let direction = self.direction();
        let Keeping { selection, is_awake, opposite, .. } = *keeping;
        if let Selection::On(mode) = selection
            && keeping.decides
            && mode.only_direction().is_some_and(|only| only != direction)
        {
            return None;
        }
        let turns = self.last_served() == Some(direction.opposite());
        if let Call::On { direction: called, served_since } = self.call() {
            let waits = served_since.is_none();
            let is_over =
                called != direction || !selection.allows(direction) || !at.permitted.has(direction);
            if is_over || waits && (turns || !keeping.may_wait) {
                return None;
            }
        }
        let mut thresholds = settings.thresholds(direction, at);
        if !is_awake {
            (thresholds.start, thresholds.opposite) = (f64::INFINITY, f64::NEG_INFINITY);
        }
        let mut calls = self.calls(settings, now);
        if !selection.allows(direction) {
            calls.rests_until = f64::INFINITY;
        }
        Some(ThermostatLanes {
            thresholds,
            calls,
            distance: settings.distance_to_end(direction, at),
            start_is_event: turns,
            opposite,
        })
    }
}
