//! What a thermostat wants, what keeps it from it, and the earliest end of that.

use super::Moment;
use super::words::trimmed;
use crate::control::{Call, ModePolicy, Selection, Sharing, ZoneLogic};
use crate::direction::Direction;
use crate::engine::{Model, ZoneIndex};
use crate::time::Instant;

impl Moment {
    /// What the thermostat wants, what keeps it from it, and the earliest end of that.
    pub(super) fn call_and_timers(&self, model: &Model) -> (String, String, Option<Instant>) {
        let next_step = self.row.at + model.period.step();
        let clock = |at: Instant| model.period.clock(at);
        match self.logic.state.call() {
            Call::On { direction, served_since } => {
                let end = end_of_call(&self.logic, direction);
                let ends =
                    self.logic.thermostat.ends(direction, self.logic.sensed, self.logic.working);
                let held_until = served_since.unwrap_or(self.row.at) + self.logic.thermostat.min_on;
                let call = format!(
                    "{} since the sensor reached its start; ends at {end}",
                    direction.name()
                );
                let timers = if ends {
                    format!("satisfied, but held on until {} (min_on)", clock(held_until))
                } else if let Some((words, until)) = self.why_not_served(model) {
                    return (call, words, Some(until.unwrap_or(next_step).max(next_step)));
                } else if held_until > next_step {
                    format!("must run until {} (min_on)", clock(held_until))
                } else {
                    "none holds it".into()
                };
                (call, timers, Some(held_until.max(next_step)))
            }
            Call::Off { since } => self.no_call(model, since, next_step),
        }
    }

    fn no_call(
        &self,
        model: &Model,
        since: Option<Instant>,
        next_step: Instant,
    ) -> (String, String, Option<Instant>) {
        if let Some(owner) = self.owner_that_stops(model) {
            let label = &model.zones[owner.get()].label;
            let call = format!("none: the group is stopped, {label} is switched off");
            let wakes = model.actions.iter().find(|it| it.zone == owner && it.at > self.row.at);
            let timers = format!("it waits until {label} is switched on");
            return (call, timers, wakes.map(|action| action.at));
        }
        let clock = |at: Instant| model.period.clock(at);
        let (logic, direction) = (&self.logic, self.row.direction);
        let selection = self.selection_in_force(model);
        if !logic.selection.is_awake() {
            let wakes = self.next_by_clock(model);
            return ("none: power or mode allows none".into(), "none".into(), wakes);
        }
        let rest_until = since.map(|end| end + logic.thermostat.min_off);
        let rests = rest_until.filter(|end| *end > self.row.at);
        if selection.allows(direction) && logic.meets_start(direction) {
            let call = format!("none yet, though {} is wanted", direction.name());
            let (timers, end) = match (rests, self.group_rests_until()) {
                (Some(own), group) if group.is_none_or(|end| end <= own) => {
                    (format!("the unit rests until {} (min_off)", clock(own)), Some(own))
                }
                (_, Some(end)) => (
                    format!("the group's compressor rests until {} (its min_off)", clock(end)),
                    Some(end),
                ),
                _ => ("the compressor rests".into(), Some(next_step)),
            };
            return (call, timers, end);
        }
        let opposite = direction.opposite();
        if logic.meets_start(opposite) {
            return self.waits_for_turn(model, opposite, rests, next_step);
        }
        let call = format!("none: {}", between(logic, selection));
        let timers = rests.map_or_else(
            || "none runs".to_string(),
            |end| format!("the unit rests until {} (min_off)", clock(end)),
        );
        (call, timers, Some(rests.unwrap_or(next_step)))
    }

    /// What the zone may have calls for: a follower stored in any mode but `fan` goes with the
    /// group both ways.
    fn selection_in_force(&self, model: &Model) -> Selection {
        match self.owner_label(model) {
            Some(_) => self.logic.following(),
            None => self.logic.selection,
        }
    }

    /// Until when the compressor that the group shares rests, where it does.
    fn group_rests_until(&self) -> Option<Instant> {
        let memory = &self.group.as_ref()?.memory;
        let until = memory.state.any_served_until()? + memory.settings.min_off;
        (until > self.row.at).then_some(until)
    }

    /// Why a call is not served, and until when at least where that is known.
    pub(super) fn why_not_served(&self, model: &Model) -> Option<(String, Option<Instant>)> {
        let direction = self.row.call.filter(|_| self.row.served.is_none())?;
        let zone = self.row.zone;
        let group = model.outdoor_units.iter().find(|group| group.zones.contains(&zone))?;
        let memory = &self.group.as_ref()?.memory.outdoor;
        if let Some(end) = group.unit.rests_until(memory) {
            let clock = model.period.clock(end);
            let words = if end > self.row.at {
                format!(
                    "the compressor of {} rests until {clock} at least (its min_off): zones ask \
                     for less than its lowest output, and it has delivered ahead",
                    group.label
                )
            } else {
                format!(
                    "the compressor of {} rests: zones ask for less than its lowest output, and \
                     it has delivered ahead",
                    group.label
                )
            };
            return Some((words, Some(end)));
        }
        let outdoor = model.unit.to_celsius(self.row.outdoor);
        group.unit.capacity(direction, outdoor).is_none().then(|| {
            let letter = model.unit.letter();
            let words = format!(
                "{} gives no {} at {:.1} {letter} outdoors",
                group.label,
                direction.name(),
                self.row.outdoor
            );
            (words, None)
        })
    }

    /// The owner whose power off has stopped the whole group.
    fn owner_that_stops(&self, model: &Model) -> Option<ZoneIndex> {
        let group = self.group.as_ref().filter(|group| group.memory.state.is_stopped())?;
        self.owner_label(model)?;
        group.owner.as_ref().map(|(owner, _)| *owner)
    }

    /// The zone needs the opposite of its direction.
    fn waits_for_turn(
        &self,
        model: &Model,
        wanted: Direction,
        rests: Option<Instant>,
        next_step: Instant,
    ) -> (String, String, Option<Instant>) {
        let clock = |at: Instant| model.period.clock(at);
        let call = format!("none, though {} is needed", wanted.name());
        if let Some(owner) = self.owner_label(model) {
            return self.waits_for_owner(model, owner, wanted, next_step);
        }
        if !self.logic.selection.allows(wanted) {
            let timers = format!("none: the mode does not allow {}", wanted.name());
            return (call, timers, self.next_by_clock(model));
        }
        let delay = match self.group.as_ref().map(|group| group.memory.settings.sharing) {
            Some(Sharing::SingleMode { policy, changeover_delay, .. })
                if policy != ModePolicy::Owner =>
            {
                changeover_delay
            }
            _ => self.logic.thermostat.changeover_delay,
        };
        let turn = self.logic.state.served_until(wanted.opposite()).map(|end| end + delay);
        let turn = turn.filter(|at| *at > self.row.at);
        let earliest = turn.max(rests).unwrap_or(next_step);
        let timers = match (turn, rests) {
            (Some(turn), Some(rest)) => format!(
                "changeover not before {} (changeover_delay), no start before {} (min_off)",
                clock(turn),
                clock(rest)
            ),
            (Some(turn), None) => {
                format!("changeover not before {} (changeover_delay)", clock(turn))
            }
            (None, Some(rest)) => format!("no start before {} (min_off)", clock(rest)),
            (None, None) => "another zone's call holds the direction".into(),
        };
        (call, timers, Some(earliest))
    }

    /// The zone follows an owner that goes the other way.
    fn waits_for_owner(
        &self,
        model: &Model,
        owner: &str,
        wanted: Direction,
        next_step: Instant,
    ) -> (String, String, Option<Instant>) {
        let clock = |at: Instant| model.period.clock(at);
        let call = format!("none, though {} is needed", wanted.name());
        let Some((_, logic)) = self.group.as_ref().and_then(|group| group.owner.as_ref()) else {
            return (call, format!("it waits for {owner}"), Some(next_step));
        };
        let present = wanted.opposite();
        let waits = format!("it waits until {owner} turns the group to {}", wanted.name());
        if logic.state.call().direction() == Some(present) {
            let end = end_of_call(logic, present);
            let timers =
                format!("{waits}; {owner} calls for {} itself, until {end}", present.name());
            return (call, timers, Some(next_step));
        }
        let delay = logic.thermostat.changeover_delay;
        let turn = logic.state.served_until(present).map(|end| end + delay);
        if let Some(at) = turn.filter(|at| *at > next_step) {
            let timers = format!("{waits}, not before {} (changeover_delay)", clock(at));
            return (call, timers, Some(at));
        }
        let start = start_of_call(logic, wanted);
        let timers = format!("{waits}, which it does when it reads {start}");
        (call, timers, Some(next_step))
    }

    /// The next instant at which the clock alone may change power or setpoints.
    fn next_by_clock(&self, model: &Model) -> Option<Instant> {
        let zone = &model.zones[self.row.zone.get()];
        let action = model
            .actions
            .iter()
            .find(|action| action.zone == self.row.zone && action.at > self.row.at);
        let low_limit = zone.controls.low_limit.map(|_| self.row.at + model.period.step());
        [action.map(|action| action.at), low_limit].into_iter().flatten().min()
    }
}

/// At which reading a call ends.
fn end_of_call(logic: &ZoneLogic, direction: Direction) -> String {
    let (at, stop) = (logic.working, logic.thermostat.call_stop);
    match direction {
        Direction::Heating => format!("{} or above", trimmed(at.heat + stop.heating)),
        Direction::Cooling => format!("{} or below", trimmed(at.cool - stop.cooling)),
    }
}

/// Between which readings nothing happens.
fn between(logic: &ZoneLogic, selection: Selection) -> String {
    let heats = selection.allows(Direction::Heating);
    let cools = selection.allows(Direction::Cooling);
    let heating = format!("heating starts at {}", start_of_call(logic, Direction::Heating));
    let cooling = format!("cooling starts at {}", start_of_call(logic, Direction::Cooling));
    match (heats, cools) {
        (true, true) => format!("{heating}, {cooling}"),
        (true, false) => heating,
        (false, true) => cooling,
        (false, false) => "the mode allows none".into(),
    }
}

/// At which reading a call starts.
fn start_of_call(logic: &ZoneLogic, direction: Direction) -> String {
    let (at, start) = (logic.working, logic.thermostat.call_start);
    match direction {
        Direction::Heating => format!("{} or below", trimmed(at.heat - start.heating)),
        Direction::Cooling => format!("{} or above", trimmed(at.cool + start.cooling)),
    }
}
