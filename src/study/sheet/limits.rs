//! The parts of the sheet about outdoor limits, window contacts and setpoints that go back by the
//! clock (rules 15 to 17).

use super::bench::CADENCE;
use super::calls::{Hindrance, crosses, toward, until_running};
use super::outcome::Proven;
use super::step::{Deed, Part};
use super::writer::Writer;
use crate::control::{Direction, Key, Opening, OutdoorLimits, WindowDoes};
use crate::engine::{Model, ZoneIndex};
use crate::units::TemperatureUnit;

/// The outdoor limit that holds for a zone in a direction: its own or its outdoor unit's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Limit {
    /// The outdoor temperature from which the direction is not allowed, in the file's unit.
    at: f64,
    hysteresis: f64,
    /// From the limit to where the direction is allowed: -1 colder, 1 warmer.
    inward: f64,
    /// How near to a temperature the outdoor sensor is brought, in the file's unit.
    near: f64,
}

impl Limit {
    /// That of a zone, if it has one.
    pub(super) fn of(model: &Model, zone: ZoneIndex, direction: Direction) -> Option<Self> {
        let group = model.outdoor_units.iter().find(|group| group.zones.contains(&zone));
        let own = Some(model.zones[zone.get()].controls.outdoor_limits);
        let all = [own, group.map(|group| group.outdoor_limits)];
        let limits = all.into_iter().flatten();
        let inward = -direction.sign();
        let value = |limits: &OutdoorLimits| match direction {
            Direction::Heating => limits.heat_below,
            Direction::Cooling => limits.cool_above,
        };
        let found = limits.filter_map(|limits| Some((value(&limits)?, limits.hysteresis)));
        // The one that is met first on the way out.
        let (at, hysteresis) =
            found.max_by(|one, other| (inward * one.0).total_cmp(&(inward * other.0)))?;
        let near = match model.unit {
            TemperatureUnit::Celsius => 0.5,
            TemperatureUnit::Fahrenheit => 1.0,
        };
        Some(Self { at, hysteresis, inward, near })
    }

    /// So much inside the limit.
    fn inside(&self, by: f64) -> f64 {
        self.at + self.inward * by
    }

    /// Where the direction is allowed, whatever it was before.
    pub(super) fn allowed(&self) -> f64 {
        self.inside(self.hysteresis + self.near)
    }
}

/// Where outdoor air lets a zone heat and cool, whatever it might before.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Both {
    /// Anywhere: it has no limit.
    Anywhere,
    /// At this temperature, in the file's unit.
    At(f64),
    /// Nowhere.
    Nowhere,
}

impl Both {
    /// For a zone.
    pub(super) fn of(model: &Model, zone: ZoneIndex) -> Self {
        let [heats, cools] = Direction::BOTH.map(|direction| Limit::of(model, zone, direction));
        match (heats.map(|it| it.allowed()), cools.map(|it| it.allowed())) {
            (None, None) => Self::Anywhere,
            (Some(one), None) | (None, Some(one)) => Self::At(one),
            (Some(heats), Some(cools)) if heats >= cools => Self::At(heats.midpoint(cools)),
            (Some(_), Some(_)) => Self::Nowhere,
        }
    }
}

/// Makes sure of a call in a direction.
fn ensure_running(writer: &mut Writer<'_, '_>, zone: ZoneIndex, direction: Direction) -> bool {
    if until_running(writer, zone, direction) {
        return true;
    }
    let (more, _) = toward(direction);
    let keys = writer.keys(zone);
    let way = keys.shortest(writer.node(zone), |passing| {
        crosses(&keys, passing, more, direction, |stored| keys.starts(stored, direction))
    });
    let Some(way) = way else { return false };
    writer.walk(zone, &way, &[]);
    until_running(writer, zone, direction)
}

/// A call ends at the outdoor limit and comes back past the hysteresis, both by the outdoor sensor.
pub(super) fn outdoor(
    writer: &mut Writer<'_, '_>,
    zone: ZoneIndex,
    direction: Direction,
    limit: &Limit,
) -> Result<(), Hindrance> {
    let place = writer.primary(zone);
    if !ensure_running(writer, zone, direction) {
        return Err(Hindrance::Room(direction));
    }
    writer.part = Part::OutdoorLimit(direction);
    let reads = |by: f64| Deed::Outdoors(Some(limit.inside(by)));
    writer.perform(place, reads(limit.near), &[]);
    writer.perform(place, reads(0.0), &[Proven::OutdoorStops(direction)]);
    writer.settle(place);
    if limit.hysteresis > limit.near {
        writer.perform(place, reads(limit.hysteresis - limit.near), &[]);
    }
    writer.perform(place, reads(limit.hysteresis + limit.near), &[Proven::OutdoorAgain(direction)]);
    until_running(writer, zone, direction);
    Ok(())
}

/// What an open window does to a call, and its closing.
pub(super) fn window(
    writer: &mut Writer<'_, '_>,
    zone: ZoneIndex,
    direction: Direction,
) -> Result<(), Hindrance> {
    let contact = writer.model.zones[zone.get()].controls.window_contact;
    if contact.does == WindowDoes::Nothing {
        return Ok(());
    }
    if contact.acts_after > writer.longest_wait {
        return Err(Hindrance::Wait(contact.acts_after));
    }
    if !ensure_running(writer, zone, direction) {
        return Err(Hindrance::Room(direction));
    }
    writer.part = Part::Window;
    let place = writer.primary(zone);
    let acts = [Proven::WindowActs(direction)];
    if contact.acts_after < CADENCE {
        writer.perform(place, Deed::Window(Opening::Open), &acts);
    } else {
        writer.perform(place, Deed::Window(Opening::Open), &[]);
        writer.await_change_that(place, Some(&acts));
    }
    let stopped = writer.running(zone).is_none();
    if stopped {
        writer.settle(place);
    }
    writer.perform(place, Deed::Window(Opening::Closed), &[]);
    if stopped && until_running(writer, zone, direction) {
        Ok(())
    } else {
        Err(Hindrance::Room(direction))
    }
}

/// Setpoints that keys moved go back at a clock time.
pub(super) fn returns(writer: &mut Writer<'_, '_>, zone: ZoneIndex) {
    let Some(returns) = &writer.model.zones[zone.get()].controls.returns else { return };
    let Some(first) = returns.at.first() else { return };
    writer.part = Part::Returns;
    let place = writer.primary(zone);
    for key in [Key::Warmer, Key::Cooler, Key::Cooler] {
        let stored = writer.stored(zone).setpoints;
        if returns.to().into_iter().any(|(side, to)| stored.get(side) != to) {
            break;
        }
        writer.press_free(zone, key, &[]);
    }
    let before = writer.stored(zone).setpoints;
    if returns.to().into_iter().any(|(side, to)| before.get(side) != to) {
        writer.perform(place, Deed::Clock(*first), &[Proven::GoesBack]);
    }
}
