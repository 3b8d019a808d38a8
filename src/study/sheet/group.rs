//! The order of the parts: zone by zone; in a group the owner first, then its followers in each
//! direction that the owner can give them.

use super::calls::{self, Hindrance};
use super::limits::{self, Both, Limit};
use super::outcome::Proven;
use super::scope::Section;
use super::step::{Deed, Part};
use super::{Book, Deferred, keys, season};
use crate::control::{Direction, Key, Mode};
use crate::engine::{OutdoorSensor, ZoneIndex};

impl Book<'_, '_> {
    /// The zones of one outdoor unit.
    pub(super) fn write_group(&mut self, zones: &[ZoneIndex]) {
        let Some(first) = zones.first() else { return };
        let (_, _, owner) = self.writer.rig.simulation().group_of(first.get());
        let Some(owner) = owner else {
            for (place, zone) in zones.iter().enumerate() {
                self.write_zone(*zone, place == 0);
            }
            return;
        };
        self.write_zone(owner, true);
        let followers: Vec<ZoneIndex> =
            zones.iter().copied().filter(|zone| *zone != owner).collect();
        for zone in &followers {
            if self.scope.visits(*zone) {
                self.arrive(*zone);
                if self.scope.has(*zone, Section::Identity) {
                    self.restore(*zone);
                }
            }
        }
        let tested = |zone: &ZoneIndex| {
            self.scope.has(*zone, Section::Keys) || self.scope.has(*zone, Section::Calls)
        };
        let followers: Vec<ZoneIndex> = followers.into_iter().filter(tested).collect();
        let present = self.writer.node(owner).direction;
        let mut owner_shown = false;
        for direction in [present, present.opposite()] {
            if followers.is_empty() {
                break;
            }
            self.writer.part = Part::Owner;
            if !self.turn_group(owner, direction) {
                for zone in &followers {
                    self.defer(*zone, Part::Calls(direction), Hindrance::Keys);
                }
                continue;
            }
            for zone in &followers {
                if self.scope.has(*zone, Section::Keys) {
                    self.writer.part = Part::Keys;
                    keys::write(&mut self.writer, *zone, &self.wanted[zone.get()]);
                }
                if !self.scope.has(*zone, Section::Calls) {
                    self.restore(*zone);
                    continue;
                }
                self.allow_outdoors(*zone, direction);
                let called = self.calls(*zone, direction);
                if called && !owner_shown {
                    owner_shown = self.show_owner(owner, *zone, direction);
                }
                calls::switch(&mut self.writer, *zone, direction);
                self.leave_outdoors(*zone, direction);
                limits::returns(&mut self.writer, *zone);
                self.restore(*zone);
            }
        }
        self.restore(owner);
    }

    /// A zone that is not led, from its keys to its last timer.
    pub(super) fn write_zone(&mut self, zone: ZoneIndex, with_power_failure: bool) {
        let scope = self.scope;
        if !scope.visits(zone) {
            return;
        }
        self.arrive(zone);
        if scope.has(zone, Section::Keys) {
            self.writer.part = Part::Keys;
            keys::write(&mut self.writer, zone, &self.wanted[zone.get()]);
        }
        let mut failed = !(with_power_failure && scope.has(zone, Section::PowerReturn));
        let calling = [Section::Calls, Section::Unoccupied];
        let calling = calling.into_iter().any(|section| scope.has(zone, section));
        for direction in Direction::BOTH.into_iter().filter(|_| calling) {
            self.allow_outdoors(zone, direction);
            let called = self.calls(zone, direction);
            if called && !failed {
                calls::power_return(&mut self.writer, zone);
                failed = true;
            }
            calls::switch(&mut self.writer, zone, direction);
            self.leave_outdoors(zone, direction);
        }
        if scope.has(zone, Section::Changeover) {
            self.change_over(zone);
        }
        if calling {
            limits::returns(&mut self.writer, zone);
        }
        let off = scope.has(zone, Section::AutomaticOff);
        if let Err(why) = if off { calls::automatic_off(&mut self.writer, zone) } else { Ok(()) } {
            self.defer(zone, Part::AutomaticOff, why);
        }
        if !failed {
            calls::power_return(&mut self.writer, zone);
        }
        self.restore(zone);
    }

    fn calls(&mut self, zone: ZoneIndex, direction: Direction) -> bool {
        let unit = &self.writer.model.zones[zone.get()].unit;
        if unit.capacity(direction).is_none() {
            return false;
        }
        let season = season(self.writer.model, zone, direction);
        if self.conditions.outdoor.is_some_and(|outdoor| !season.allows(outdoor)) {
            self.defer(zone, Part::Calls(direction), Hindrance::Season(direction));
            return false;
        }
        if self.scope.has(zone, Section::Calls)
            && let Err(why) = calls::write(&mut self.writer, zone, direction)
        {
            self.defer(zone, Part::Calls(direction), why);
            return false;
        }
        if !self.scope.has(zone, Section::Unoccupied) {
            return true;
        }
        if let Err(why) = calls::unoccupied(&mut self.writer, zone, direction) {
            self.defer(zone, Part::Unoccupied, why);
        }
        if let Some(limit) = Limit::of(self.writer.model, zone, direction)
            && let Err(why) = limits::outdoor(&mut self.writer, zone, direction, &limit)
        {
            self.defer(zone, Part::OutdoorLimit(direction), why);
        }
        if let Err(why) = limits::window(&mut self.writer, zone, direction) {
            self.defer(zone, Part::Window, why);
        }
        true
    }

    /// Brings the outdoor sensor to where a direction is allowed, if it has a limit.
    fn allow_outdoors(&mut self, zone: ZoneIndex, direction: Direction) {
        let unit = &self.writer.model.zones[zone.get()].unit;
        let limit = Limit::of(self.writer.model, zone, direction);
        if let Some(limit) = limit.filter(|_| unit.capacity(direction).is_some()) {
            self.writer.part = Part::OutdoorLimit(direction);
            let place = self.writer.primary(zone);
            self.writer.perform(place, Deed::Outdoors(Some(limit.allowed())), &[]);
        }
    }

    /// Lets the outdoor sensor read as it is.
    fn leave_outdoors(&mut self, zone: ZoneIndex, direction: Direction) {
        if self.writer.rig.state().outdoor != OutdoorSensor::Ignored {
            self.writer.part = Part::OutdoorLimit(direction);
            let place = self.writer.primary(zone);
            self.writer.perform(place, Deed::Outdoors(None), &[]);
        }
    }

    fn change_over(&mut self, zone: ZoneIndex) {
        let model = self.writer.model;
        let has_auto = model.zones[zone.get()].controls.settings.modes.has(Mode::Auto);
        let keys = self.writer.keys(zone);
        let forbidden = Direction::BOTH.into_iter().find(|direction| {
            let season = season(model, zone, *direction);
            self.conditions.outdoor.is_some_and(|outdoor| !season.allows(outdoor))
        });
        if !has_auto || !keys.leads {
            return;
        }
        if let Some(direction) = forbidden {
            self.defer(zone, Part::Changeover, Hindrance::Season(direction));
            return;
        }
        match Both::of(model, zone) {
            Both::Anywhere => {}
            Both::At(reads) => {
                self.writer.part = Part::Changeover;
                let place = self.writer.primary(zone);
                self.writer.perform(place, Deed::Outdoors(Some(reads)), &[]);
            }
            Both::Nowhere => {
                self.defer(zone, Part::Changeover, Hindrance::OutdoorGap);
                return;
            }
        }
        // The delay is one setting for both ways, and one of them is often out of the keys' reach.
        let first = self.writer.node(zone).direction;
        let mut tries = [first, first.opposite()]
            .map(|from| calls::change_over(&mut self.writer, zone, from))
            .into_iter();
        if let Some(Err(why)) = tries.clone().all(|it| it.is_err()).then(|| tries.next()).flatten()
        {
            self.defer(zone, Part::Changeover, why);
        }
        self.leave_outdoors(zone, first);
    }

    fn turn_group(&mut self, owner: ZoneIndex, direction: Direction) -> bool {
        let here = self.writer.node(owner);
        if here.direction == direction {
            return true;
        }
        let keys = self.writer.keys(owner);
        let way = keys.shortest(here, |passing| passing.after.direction == direction);
        let Some(way) = way else { return false };
        self.writer.walk(owner, &way, &[]);
        self.writer.node(owner).direction == direction
    }

    /// What the owner does to a follower that calls: its power off, its turning away and back.
    fn show_owner(&mut self, owner: ZoneIndex, zone: ZoneIndex, direction: Direction) -> bool {
        if self.writer.running(zone).is_none() {
            return false;
        }
        self.writer.part = Part::Owner;
        let place = self.writer.primary(zone);
        if self.writer.rig.is_on(owner) && self.writer.press_free(owner, Key::Power, &[]) {
            self.writer.perform(place, Deed::Look, &[Proven::OwnerOff]);
            self.writer.press_free(owner, Key::Power, &[]);
            while self.writer.running(zone).is_none() && self.writer.await_change(place) {}
        }
        for way in [direction.opposite(), direction] {
            if self.turn_group(owner, way) {
                self.writer.perform(place, Deed::Look, &[Proven::OwnerTurns(way)]);
            }
        }
        true
    }

    fn defer(&mut self, zone: ZoneIndex, part: Part, why: Hindrance) {
        let deferred = Deferred { zone, part, why };
        if !self.deferred.contains(&deferred) {
            self.deferred.push(deferred);
        }
    }

    /// Sets a zone back to what the file starts it with.
    fn restore(&mut self, zone: ZoneIndex) {
        self.writer.part = Part::Restore;
        let start = self.writer.model.zones[zone.get()].controls.start;
        let requests = keys::restoring(&self.writer, zone, &start);
        if !requests.is_empty() {
            let place = self.writer.primary(zone);
            self.writer.perform(place, Deed::Restore { requests }, &[Proven::Restored]);
        }
    }
}
