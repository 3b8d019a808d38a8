//! What a run shows to its observers: meters, recorders, charts that are drawn as it goes on.

use super::model::ZoneIndex;
use super::state::{State, ZoneState};
use super::trace::{LedgerRow, StepRow};
use crate::building::{Network, Water, operative};
use crate::control::{Call, Outcome, Selection, ZoneLogic};
use crate::direction::Direction;
use crate::moist_air::relative_humidity;
use crate::people::{Feels, PersonIndex};
use crate::plant::{Given, Totals};
use crate::time::Instant;
use crate::units::TemperatureUnit;

/// Is shown every step and every event of a run.
pub trait Observer {
    /// One zone at one step.
    fn zone(&mut self, view: &ZoneView<'_>);

    /// One group at one step, after its zones have been decided and served.
    fn group(&mut self, view: &GroupView<'_>);

    /// One row of the ledger.
    fn ledger(&mut self, row: LedgerRow);

    /// A call begins in a zone.
    fn call_began(&mut self, zone: ZoneIndex, at: Instant);

    /// One person who is present at one step, after they have decided.
    fn person(&mut self, _: &PersonView) {}

    /// A person has pressed a key, with this outcome; the ledger's row comes before.
    fn person_pressed(&mut self, _: PersonIndex, _: Outcome) {}
}

/// An observer that ignores everything: for warm-up days.
#[derive(Clone, Copy, Debug)]
pub struct Nobody;

impl Observer for Nobody {
    fn zone(&mut self, _: &ZoneView<'_>) {}
    fn group(&mut self, _: &GroupView<'_>) {}
    fn ledger(&mut self, _: LedgerRow) {}
    fn call_began(&mut self, _: ZoneIndex, _: Instant) {}
}

/// An observer that may be missing.
impl<O: Observer> Observer for Option<O> {
    fn zone(&mut self, view: &ZoneView<'_>) {
        if let Some(observer) = self {
            observer.zone(view);
        }
    }

    fn group(&mut self, view: &GroupView<'_>) {
        if let Some(observer) = self {
            observer.group(view);
        }
    }

    fn ledger(&mut self, row: LedgerRow) {
        if let Some(observer) = self {
            observer.ledger(row);
        }
    }

    fn call_began(&mut self, zone: ZoneIndex, at: Instant) {
        if let Some(observer) = self {
            observer.call_began(zone, at);
        }
    }
}

/// Two observers of the same run.
impl<A: Observer, B: Observer> Observer for (&mut A, &mut B) {
    fn zone(&mut self, view: &ZoneView<'_>) {
        self.0.zone(view);
        self.1.zone(view);
    }

    fn group(&mut self, view: &GroupView<'_>) {
        self.0.group(view);
        self.1.group(view);
    }

    fn ledger(&mut self, row: LedgerRow) {
        self.0.ledger(row.clone());
        self.1.ledger(row);
    }

    fn call_began(&mut self, zone: ZoneIndex, at: Instant) {
        self.0.call_began(zone, at);
        self.1.call_began(zone, at);
    }

    fn person(&mut self, view: &PersonView) {
        self.0.person(view);
        self.1.person(view);
    }

    fn person_pressed(&mut self, person: PersonIndex, outcome: Outcome) {
        self.0.person_pressed(person, outcome);
        self.1.person_pressed(person, outcome);
    }
}

/// What a zone's plant does over one step, means in W.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ZonePower {
    /// What the plant gives.
    pub given: Given,
    /// The direction in which it is given.
    pub served: Option<Direction>,
    /// Fan power, which ends as heat in the air.
    pub fan: f64,
    /// The zone's share of the outdoor unit's standby power.
    pub standby: f64,
    /// Whether the zone is starved.
    pub starved: bool,
    /// Whether its refrigerant circuit reverses during the step.
    pub reversing: bool,
}

impl ZonePower {
    /// Heat from the plant into the zone, negative out of it, without the fan's.
    pub fn heat(&self) -> f64 {
        match self.served {
            Some(direction) => direction.sign() * self.given.heat,
            None => 0.0,
        }
    }

    /// All heat into the air from plant and fan.
    pub fn into_air(&self) -> f64 {
        self.heat() + self.fan
    }

    /// All electric power of the zone's share.
    pub fn electric(&self) -> f64 {
        self.given.compressor + self.given.backup + self.fan + self.standby
    }
}

/// One zone at one step, with temperatures as they are at its start.
#[derive(Clone, Copy, Debug)]
pub struct ZoneView<'a> {
    /// Start of the step.
    pub at: Instant,
    /// Which zone.
    pub zone: ZoneIndex,
    /// The file's unit.
    pub unit: TemperatureUnit,
    /// Its controllers.
    pub state: &'a ZoneState,
    /// Its thermostat.
    pub logic: &'a ZoneLogic,
    /// Its network.
    pub network: &'a Network,
    /// Air and mass, degrees C.
    pub nodes: [f64; 2],
    /// Outdoor air at the start of the step, degrees C.
    pub outdoor: f64,
    /// Pressure of water vapour in its air at the start of the step, Pa: followed, or that of the
    /// outdoor air where the weather says so.
    pub vapour: Option<f64>,
    /// Where the water in its air goes over the step, where it is followed.
    pub water: Option<Water>,
    /// Heat gains at the surfaces, W.
    pub surface_gain: f64,
    /// What its plant does over the step.
    pub power: &'a ZonePower,
    /// Whether its group decides its direction, and not the zone itself.
    pub led: bool,
}

impl ZoneView<'_> {
    /// Mean temperature of the surfaces, degrees C.
    pub fn surface(&self) -> f64 {
        self.network.surface_temperature(self.nodes, self.outdoor, self.surface_gain)
    }

    /// Operative temperature, degrees C.
    pub fn operative(&self) -> f64 {
        operative(self.nodes[0], self.surface())
    }

    /// The row that is recorded.
    pub fn row(&self) -> StepRow {
        let unit = self.unit;
        StepRow {
            at: self.at,
            zone: self.zone,
            outdoor: unit.from_celsius(self.outdoor),
            temperature: unit.from_celsius(self.nodes[0]),
            mass_temperature: unit.from_celsius(self.nodes[1]),
            operative: unit.from_celsius(self.operative()),
            sensed: self.logic.sensed,
            heat: self.logic.working.heat,
            cool: self.logic.working.cool,
            mode: self.state.stored.mode,
            power: self.state.stored.power,
            occupied: self.state.presence.is_occupied(),
            direction: self.logic.state.direction(),
            call: self.logic.state.call().direction(),
            served: self.power.served,
            starved: self.power.starved,
            heat_w: self.power.heat(),
            electric_w: self.power.electric(),
            humidity: self.relative_humidity(),
        }
    }

    /// Relative humidity of its air, percent, where its water is followed.
    pub fn relative_humidity(&self) -> Option<f64> {
        let vapour = self.vapour.filter(|_| self.water.is_some())?;
        Some(relative_humidity(self.nodes[0], vapour))
    }

    /// Whether the zone may have calls at all.
    pub fn is_awake(&self) -> bool {
        self.logic.selection != Selection::Off
    }

    /// The thermostat's demand.
    pub fn call(&self) -> Call {
        self.logic.state.call()
    }
}

/// One person who is present at one step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PersonView {
    /// Start of the step.
    pub at: Instant,
    /// Who.
    pub person: PersonIndex,
    /// What is wrong with the temperature for them, if anything is.
    pub feels: Option<Feels>,
    /// Whether they complain at this step.
    pub has_complained: bool,
    /// Whether they give up pressing at this step.
    pub has_given_up: bool,
}

/// One group at one step.
#[derive(Clone, Copy, Debug)]
pub struct GroupView<'a> {
    /// Start of the step.
    pub at: Instant,
    /// Which group: first those on outdoor units, then zones with a plant of their own.
    pub group: usize,
    /// Its zones.
    pub members: &'a [usize],
    /// The state of the world.
    pub state: &'a State,
    /// What each zone's plant does, by zone.
    pub powers: &'a [ZonePower],
    /// What the outdoor unit does.
    pub totals: &'a Totals,
    /// Whether the served direction of the group changed.
    pub changed_over: bool,
}
