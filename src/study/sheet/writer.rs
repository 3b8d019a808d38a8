//! Writes a sheet line by line: does each thing on the bench and notes what is read there.

use std::collections::HashSet;

use super::bench::{CADENCE, Rig};
use super::outcome::{Proven, proven};
use super::path::{Keys, Node, Press};
use super::step::{Deed, Part, Place, Reading, Step};
use crate::control::{Call, ControllerIndex, Direction, Key, Sharing, Standing, Stored};
use crate::engine::{Model, ZoneIndex};
use crate::time::Seconds;

/// A reading is taken so long before and after a timer should run out, at least and at most:
/// common practice, no source.
const LEAD: [i64; 2] = [30, 120];

/// A sheet in the making.
pub(super) struct Writer<'b, 'm> {
    pub model: &'m Model,
    pub rig: Rig<'b>,
    pub steps: Vec<Step>,
    pub proven: HashSet<(ZoneIndex, Proven)>,
    pub part: Part,
    /// No wait on the sheet is longer.
    pub longest_wait: Seconds,
}

impl<'m> Writer<'_, 'm> {
    /// The keys of a zone as things stand.
    pub(super) fn keys(&self, zone: ZoneIndex) -> Keys<'m> {
        let controls = &self.model.zones[zone.get()].controls;
        let (group, place, owner) = self.rig.simulation().group_of(zone.get());
        let logic = &self.rig.state().logic[zone.get()];
        let now = self.rig.state().now;
        let delay = controls.thermostat.changeover_delay;
        let may_turn = Direction::BOTH.map(|direction| {
            logic.state.served_until(direction).is_none_or(|end| now.since(end) >= delay)
        });
        let simultaneous = matches!(group.settings.sharing, Sharing::Simultaneous);
        Keys {
            settings: &controls.settings,
            thermostat: &controls.thermostat,
            sensed: self.rig.sensed(zone),
            follows: matches!(group.standing(place, logic), Standing::Follower(_)),
            leads: simultaneous || owner == Some(zone),
            may_turn,
        }
    }

    /// Where a zone stands.
    pub(super) fn node(&self, zone: ZoneIndex) -> Node {
        let (group, place, _) = self.rig.simulation().group_of(zone.get());
        let logic = &self.rig.state().logic[zone.get()];
        let (Standing::Own(direction) | Standing::Follower(direction)) =
            group.standing(place, logic);
        Node { stored: self.stored(zone), direction }
    }

    pub(super) fn stored(&self, zone: ZoneIndex) -> Stored {
        self.rig.state().zones[zone.get()].stored
    }

    /// The controller that an action means which names none.
    pub(super) fn primary(&self, zone: ZoneIndex) -> Place {
        let controllers = &self.model.zones[zone.get()].controls.settings.controllers;
        Place { zone, controller: controllers.primary() }
    }

    /// Does something and writes the line.
    pub(super) fn perform(&mut self, place: Place, deed: Deed, proves: &[Proven]) -> Reading {
        // A wait is reckoned from now here, and counts from the last line of its plant.
        let deed = match deed {
            Deed::Wait(time) => {
                Deed::Wait(Seconds::new(time.get() + self.rig.since_last(place.zone).get()))
            }
            deed => deed,
        };
        let expected = self.rig.perform(place, &deed);
        let mut new = Vec::new();
        for item in proves {
            if self.proven.insert((place.zone, *item)) {
                new.push(*item);
            }
        }
        self.steps.push(Step { place, deed, expected, proves: new, part: self.part });
        expected
    }

    /// Presses one key some times and writes one line.
    fn press(&mut self, zone: ZoneIndex, press: Press, times: u32, more: &[Proven]) -> Reading {
        let keys = self.keys(zone);
        let mut node = self.node(zone);
        let mut shown: Vec<Proven> = Vec::new();
        for _ in 0..times {
            let (verdict, after) = keys.press(&node, press);
            let place = press.controller.get();
            shown.extend(proven(&node.stored, press.key, place, &verdict).into_iter().flatten());
            node.stored = after.stored;
        }
        shown.extend(more);
        let place = Place { zone, controller: press.controller };
        self.perform(place, Deed::Press { key: press.key, times }, &shown)
    }

    /// Goes a way of presses: equal ones in one line, the last on a line of its own. What the
    /// last line reads, and what it proves besides.
    pub(super) fn walk(
        &mut self,
        zone: ZoneIndex,
        way: &[Press],
        more: &[Proven],
    ) -> Option<Reading> {
        let (last, travel) = way.split_last()?;
        let mut at = 0;
        while at < travel.len() {
            let same = self.alike(zone, &travel[at..]);
            self.press(zone, travel[at], u32::try_from(same).unwrap_or(u32::MAX), &[]);
            at += same;
        }
        Some(self.press(zone, *last, 1, more))
    }

    /// How many of the next presses go into one line: equal ones, up to one that turns the direction. The
    /// controls turn between lines, and not between presses of one line.
    fn alike(&self, zone: ZoneIndex, way: &[Press]) -> usize {
        let (keys, mut node) = (self.keys(zone), self.node(zone));
        let mut count = 0;
        for press in way.iter().take_while(|press| **press == way[0]) {
            let (_, after) = keys.press(&node, *press);
            count += 1;
            if after.direction != node.direction {
                break;
            }
            node = after;
        }
        count
    }

    /// Everything of a way but its last press.
    pub(super) fn approach(&mut self, zone: ZoneIndex, way: &[Press]) {
        let travel = &way[..way.len().saturating_sub(1)];
        self.walk(zone, travel, &[]);
    }

    /// The call that a zone has.
    pub(super) fn running(&self, zone: ZoneIndex) -> Option<Direction> {
        self.rig.reading(zone).running
    }

    /// Waits for what only time changes: reads a little before it should happen and a little
    /// after. True where something does within the longest wait.
    pub(super) fn await_change(&mut self, place: Place) -> bool {
        self.await_change_that(place, None)
    }

    /// The same, where it is known what it proves.
    pub(super) fn await_change_that(&mut self, place: Place, proves: Option<&[Proven]>) -> bool {
        let moment = self.rig.moment();
        let shown = self.rig.reading(place.zone);
        let direction = self.node(place.zone).direction;
        let most = self.longest_wait.get() / CADENCE.get();
        let mut steps = 0;
        let changed = (1..=most).any(|step| {
            steps = step;
            self.rig.perform(place, &Deed::Look);
            self.rig.reading(place.zone) != shown
        });
        let after = self.rig.reading(place.zone);
        let turned = self.node(place.zone).direction != direction;
        self.rig.resume(moment);
        if !changed {
            return false;
        }
        let proves = proves.map_or_else(|| cause_of(&shown, &after, turned), <[Proven]>::to_vec);
        let lead = (steps * CADENCE.get() / 4).clamp(LEAD[0], LEAD[1]) / CADENCE.get();
        let wait = |steps: i64| Deed::Wait(Seconds::new(steps * CADENCE.get()));
        if steps > 2 * lead {
            self.perform(place, wait(steps - lead), &[]);
            self.perform(place, wait(2 * lead), &proves);
        } else {
            self.perform(place, wait(steps + lead), &proves);
        }
        true
    }

    /// Waits until no timer stands in the way any more, where one does.
    pub(super) fn settle(&mut self, place: Place) {
        let (group, ..) = self.rig.simulation().group_of(place.zone.get());
        let thermostat = &self.model.zones[place.zone.get()].controls.thermostat;
        // Only where nobody leads does a call of the group's other direction have to wait.
        let delay = match group.settings.sharing {
            Sharing::SingleMode { changeover_delay, .. } if group.settings.owner().is_none() => {
                changeover_delay
            }
            Sharing::SingleMode { .. } | Sharing::Simultaneous => Seconds::ZERO,
        };
        let timers = [thermostat.min_off, delay, group.settings.min_off];
        let longest = timers.into_iter().map(Seconds::get).max().unwrap_or(0);
        let now = self.rig.state().now;
        let logic = &self.rig.state().logic[place.zone.get()];
        let ended = match logic.state.call() {
            Call::Off { since } => since,
            Call::On { .. } => Some(now),
        };
        let group_ended = group.state.any_served_until();
        let since =
            [ended, group_ended].into_iter().flatten().map(|end| now.since(end).get()).min();
        let left = longest - since.unwrap_or(longest);
        if left > 0 {
            let wait = (left / CADENCE.get() + 2) * CADENCE.get();
            self.perform(place, Deed::Wait(Seconds::new(wait)), &[]);
        }
    }

    /// The first controller at which occupants may press a key.
    pub(super) fn free_press(&self, zone: ZoneIndex, key: Key) -> Option<Press> {
        let settings = &self.model.zones[zone.get()].controls.settings;
        let needs = crate::control::Request::Press(key).needs();
        let at = settings.key_locks.iter().position(|locks| !locks.refuses(needs))?;
        Some(Press { key, controller: ControllerIndex::new(at) })
    }

    /// Presses a key once, where occupants may.
    pub(super) fn press_free(&mut self, zone: ZoneIndex, key: Key, more: &[Proven]) -> bool {
        let press = self.free_press(zone, key);
        press.is_some_and(|press| {
            self.press(zone, press, 1, more);
            true
        })
    }
}

/// What a change that came by itself proves.
fn cause_of(before: &Reading, after: &Reading, turned: bool) -> Vec<Proven> {
    if before.power != after.power {
        return vec![Proven::AutomaticOff];
    }
    match (before.running, after.running) {
        (_, Some(direction)) if turned => vec![Proven::TurnsTo(direction)],
        (None, Some(direction)) => vec![Proven::Rest(direction)],
        (Some(direction), None) => vec![Proven::LeastRun(direction)],
        _ => Vec::new(),
    }
}
