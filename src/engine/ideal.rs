//! The ideal plant: exactly the heat that brings the air to the setpoint at the end of the step.
//!
//! Zones with ideal plants that are coupled depend on each other within the step; the heat of
//! each is found in turn until none changes any more. What one watt does to its own air outweighs
//! what it does to all neighbours' together, so this converges.

use super::observe::Observer;
use super::step::Simulation;
use crate::direction::Direction;
use crate::plant::Given;
use crate::time::Instant;

/// Rounds of the search; a room or a few coupled rooms need a handful.
const MOST_ROUNDS: usize = 200;
/// The search ends where no heat changes by more than this, W.
const CLOSE_ENOUGH: f64 = 1e-9;
/// All of a capacity, but for rounding.
const ALL: f64 = 1.0 - 1e-9;

/// What an ideal plant does in a step.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Ideal {
    served: Option<Direction>,
    /// Heat given or taken, W.
    heat: f64,
    /// All heat into the air that comes with it, W.
    into_air: f64,
}

impl Simulation<'_> {
    /// Serves the zones with ideal plants, after all others.
    pub(super) fn serve_ideally(&mut self, now: Instant, observer: &mut impl Observer) {
        if !self.plan.has_ideal {
            return;
        }
        let zones: Vec<usize> =
            (0..self.plan.zones.len()).filter(|&zone| self.plan.zones[zone].ideal).collect();
        for &zone in &zones {
            self.power(zone, Given::default(), 0.0);
        }
        let free = self.free_air();
        let mut found = vec![Ideal::default(); zones.len()];
        for _ in 0..MOST_ROUNDS {
            let mut change: f64 = 0.0;
            for at in 0..zones.len() {
                let others = zones.iter().zip(&found).enumerate().filter(|(other, _)| *other != at);
                let warmed: f64 = others
                    .map(|(_, (&other, ideal))| ideal.into_air * self.response(zones[at], other))
                    .sum();
                let next = self.ideal(zones[at], free[zones[at]] + warmed);
                change = change.max((next.into_air - found[at].into_air).abs());
                found[at] = next;
            }
            if change <= CLOSE_ENOUGH {
                break;
            }
        }
        for (zone, ideal) in zones.into_iter().zip(found) {
            self.give(zone, ideal, now, observer);
        }
    }

    /// What the plant of a zone does whose air would end the step at `free` degrees C.
    fn ideal(&self, zone: usize, free: f64) -> Ideal {
        let (logic, model) = (&self.state.logic[zone], self.plan.model);
        let unit = &model.zones[zone].unit;
        let response = self.response(zone, zone);
        let fan = unit.fan * (1.0 - self.fan_between_calls(zone));
        let missing = |setpoint: f64| (model.unit.to_celsius(setpoint) - free) / response;
        let (heat, cool) = (missing(logic.working.heat), missing(logic.working.cool));
        let (direction, needed) = if heat > fan + CLOSE_ENOUGH {
            (Direction::Heating, heat - fan)
        } else if cool < -CLOSE_ENOUGH {
            (Direction::Cooling, fan - cool)
        } else {
            return Ideal::default();
        };
        let heat = needed.min(unit.rated(direction));
        if heat <= 0.0 || !logic.selection.allows(direction) {
            return Ideal::default();
        }
        let into_air = direction.sign() * heat + fan;
        Ideal { served: Some(direction), heat, into_air }
    }

    fn give(&mut self, zone: usize, ideal: Ideal, now: Instant, observer: &mut impl Observer) {
        let logic = &mut self.state.logic[zone];
        if logic.state.call_ideally(logic.selection, ideal.served, now) {
            observer.call_began(Self::index(zone), now);
        }
        let direction = logic.state.direction();
        self.state.groups[self.plan.zones[zone].group].state.turn_to(direction, now);
        let given = ideal.served.map_or_else(Given::default, |direction| {
            let all = ideal.heat / self.sensible_share(zone, direction);
            let compressor = all * self.per_heat(zone, direction);
            let full = ideal.heat >= ALL * self.plan.model.zones[zone].unit.rated(direction);
            Given { heat: ideal.heat, compressor, backup: 0.0, served: true, full }
        });
        self.power(zone, given, 0.0);
    }
}
