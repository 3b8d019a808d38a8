//! What is worked out once before a run: networks, propagators, sensors, groups.

use std::collections::HashMap;

use super::model::{Model, OutdoorGroup, Zone};
use super::sensor::SensorPlan;
use super::sun::SunPlan;
use crate::building::{
    AirChange, Block, BlockPropagator, Network, ZonePropagator, blocks, window_exchange,
};
use crate::control::{GroupSettings, LowLimit, OptimumStart};
use crate::direction::Direction;
use crate::people::{BodyHeat, Crowd, Occupant, Person, Stay};
use crate::plant::{Capacity, Cop, Rise, UnitControl, power_per_heat};

/// How many zones step side by side; no company may be larger.
pub const LANES: usize = 32;

/// Everything about a model that a run needs and never changes.
#[derive(Clone, Debug)]
pub(super) struct Plan<'m> {
    /// The model itself.
    pub model: &'m Model,
    /// Each zone, worked out.
    pub zones: Vec<ZonePlan>,
    /// Groups: first those on outdoor units, then zones with a plant of their own.
    pub groups: Vec<GroupPlan<'m>>,
    /// Zones that must be stepped together.
    pub blocks: Vec<BlockPlan>,
    /// Whether any zone has an ideal plant.
    pub has_ideal: bool,
    /// Whether steps may be event-free: no zone has what changes from step to step by rules of its
    /// own.
    pub(super) may_be_event_free: bool,
    /// Zones that have to do with each other within a step, by an outdoor unit or by walls: each in
    /// one of these.
    pub(super) companies: Vec<Vec<usize>>,
    /// Whether any zone or outdoor unit has outdoor limits.
    pub has_outdoor_limits: bool,
    /// The zones whose units have stages or integral action.
    pub outputs: Vec<usize>,
    /// COPs that change with outdoor temperature, of zones with plants of their own, each once.
    pub(super) curves: Vec<&'m Cop>,
    /// The zones with a low limit, and what it is.
    pub low_limits: Vec<(usize, LowLimit)>,
    /// The zones with an optimum start.
    pub(super) early_zones: Vec<(usize, OptimumStart)>,
    /// People on the days of this study.
    pub people: Vec<Occupant<'m>>,
    /// Who is in each zone.
    pub crowds: Vec<Crowd>,
    /// The sun's way and what it shines on, where it comes in.
    pub(super) sun: Option<SunPlan<'m>>,
}

/// One zone, worked out.
#[derive(Clone, Debug)]
pub(super) struct ZonePlan {
    /// The network at each air change.
    networks: [Network; AirChange::ALL.len()],
    /// Its steps at each air change, as if it stood alone.
    propagators: [ZonePropagator; AirChange::ALL.len()],
    /// What an open window adds to the conductance between air and outdoors, W/K.
    pub window_exchange: f64,
    /// Its governing sensor.
    pub sensor: SensorPlan,
    /// How its units rise to their output.
    pub rise: Rise,
    /// Electric power for a watt of heat of a plant of its own: heating, cooling.
    pub per_heat: [PerHeat; 2],
    /// Its group, and its place among the members.
    pub group: usize,
    /// Its place among the members of its group.
    pub place: usize,
    /// Its block.
    pub block: usize,
    /// Whether its plant is ideal, which only one of its own can be.
    pub ideal: bool,
}

/// Electric power of a compressor for a watt of heat.
#[derive(Clone, Copy, Debug)]
pub(super) enum PerHeat {
    /// Always the same.
    Constant(f64),
    /// By the curve at this place in the plan.
    Curve(usize),
}

/// One group, worked out.
#[derive(Clone, Debug)]
pub(super) struct GroupPlan<'m> {
    /// Its zones.
    pub members: Vec<usize>,
    /// How it starts.
    pub settings: GroupSettings,
    /// Its outdoor unit; `None` for a zone with a plant of its own.
    pub outdoor: Option<&'m OutdoorGroup>,
    /// Whether it is one zone with an ideal plant.
    pub ideal: bool,
}

impl ZonePlan {
    /// The network at an air change.
    pub(super) fn network(&self, air: AirChange) -> &Network {
        &self.networks[air.place()]
    }

    /// The step at an air change, as if the zone stood alone.
    pub(super) fn propagator(&self, air: AirChange) -> &ZonePropagator {
        &self.propagators[air.place()]
    }
}

/// The air changes of the zones of a block: two bits for each, the first zone lowest.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub(super) struct AirChanges(u128);

impl AirChanges {
    /// With the air change of the zone at a place in its block.
    #[must_use]
    pub(super) fn with(self, place: usize, air: AirChange) -> Self {
        Self(self.0 | (air.place() as u128) << (2 * place))
    }

    /// The air change of the zone at a place in its block.
    fn of(self, place: usize) -> AirChange {
        AirChange::ALL[(self.0 >> (2 * place) & 0b11) as usize]
    }
}

/// Zones that must be stepped together.
#[derive(Clone, Debug)]
pub(super) struct BlockPlan {
    /// Which zones, with what couples them.
    pub block: Block,
    /// For coupled zones: the step of each pattern of air changes met so far.
    pub propagators: HashMap<AirChanges, BlockPropagator>,
}

impl<'m> Plan<'m> {
    /// Works a model out.
    pub(super) fn new(model: &'m Model) -> Self {
        let groups = group_plans(model);
        let found = blocks(model.zones.len(), &model.neighbours);
        let mut place_of = vec![(0, 0); model.zones.len()];
        for (group, plan) in groups.iter().enumerate() {
            for (place, &zone) in plan.members.iter().enumerate() {
                place_of[zone] = (group, place);
            }
        }
        let mut block_of = vec![0; model.zones.len()];
        for (at, block) in found.iter().enumerate() {
            for zone in block.zones() {
                block_of[zone.get()] = at;
            }
        }
        let people = occupants(model);
        let companies = companies(model.zones.len(), &groups, &found);
        let may_be_event_free = may_be_event_free(model, &companies);
        let mut curves = Vec::new();
        let zones: Vec<ZonePlan> = model
            .zones
            .iter()
            .enumerate()
            .map(|(at, zone)| {
                let own = groups[place_of[at].0].outdoor.is_none();
                let per_heat = Direction::BOTH
                    .map(|it| per_heat(zone.unit.capacity(it).filter(|_| own), &mut curves));
                let networks = AirChange::ALL.map(|air| Network::at(&zone.space, air));
                ZonePlan {
                    propagators: networks.map(|it| ZonePropagator::new(&it, model.period.step())),
                    networks,
                    window_exchange: window_exchange(&zone.space),
                    sensor: SensorPlan::new(zone, model),
                    rise: Rise::new(
                        zone.unit.start_up.time_constant,
                        model.period.step().get() as f64,
                    ),
                    per_heat,
                    group: place_of[at].0,
                    place: place_of[at].1,
                    block: block_of[at],
                    ideal: groups[place_of[at].0].ideal,
                }
            })
            .collect();
        Self {
            model,
            zones,
            curves,
            sun: SunPlan::new(model),
            has_outdoor_limits: has_outdoor_limits(model),
            outputs: with_output_memory(model),
            low_limits: low_limits(model),
            early_zones: early_zones(model),
            crowds: crowds(model, &people),
            people,
            has_ideal: groups.iter().any(|group| group.ideal),
            may_be_event_free,
            companies,
            groups,
            blocks: found
                .into_iter()
                .map(|block| BlockPlan { block, propagators: HashMap::new() })
                .collect(),
        }
    }

    /// Groups as the state needs them: settings and members.
    pub(super) fn group_members(&self) -> Vec<(GroupSettings, Vec<usize>)> {
        self.groups.iter().map(|group| (group.settings, group.members.clone())).collect()
    }

    /// The step of a coupled block at the air changes of its zones.
    pub(super) fn block_propagator(&mut self, block: usize, air: AirChanges) -> &BlockPropagator {
        let Self { model, zones, blocks, .. } = self;
        let BlockPlan { block, propagators } = &mut blocks[block];
        propagators.entry(air).or_insert_with(|| {
            let networks: Vec<Network> = block
                .zones()
                .iter()
                .enumerate()
                .map(|(place, zone)| *zones[zone.get()].network(air.of(place)))
                .collect();
            BlockPropagator::new(&networks, block.couplings(), model.period.step())
        })
    }
}

/// Power for heat of a plant of a zone's own, whose curve is added to those there are.
fn per_heat<'m>(capacity: Option<&'m Capacity>, curves: &mut Vec<&'m Cop>) -> PerHeat {
    match capacity.map(|capacity| &capacity.cop) {
        None => PerHeat::Constant(1.0),
        Some(Cop::Constant(cop)) => PerHeat::Constant(power_per_heat(*cop)),
        Some(curve) => {
            let known = curves.iter().position(|it| *it == curve);
            PerHeat::Curve(known.unwrap_or_else(|| {
                curves.push(curve);
                curves.len() - 1
            }))
        }
    }
}

fn occupants<'m>(model: &'m Model) -> Vec<Occupant<'m>> {
    let occupant = |person: &'m Person| {
        let zone = &model.zones[person.zone.get()].id;
        Occupant::new(person, zone, model.seed, &model.period)
    };
    model.people.iter().map(occupant).collect()
}

fn crowds(model: &Model, people: &[Occupant<'_>]) -> Vec<Crowd> {
    let crowd = |zone: usize| {
        let own = people.iter().filter(|it| it.person.zone.get() == zone);
        let own: Vec<(&[Stay], BodyHeat)> = own.map(|it| (it.stays(), it.person.heat)).collect();
        Crowd::of(&own)
    };
    (0..model.zones.len()).map(crowd).collect()
}

fn low_limits(model: &Model) -> Vec<(usize, LowLimit)> {
    // A unit that cannot heat does nothing about it.
    let zones = model.zones.iter().enumerate().filter(|(_, zone)| zone.unit.heating.is_some());
    zones.filter_map(|(at, zone)| Some((at, zone.controls.low_limit?))).collect()
}

fn with_output_memory(model: &Model) -> Vec<usize> {
    (0..model.zones.len()).filter(|zone| model.zones[*zone].unit.control.has_memory()).collect()
}

fn has_outdoor_limits(model: &Model) -> bool {
    model.zones.iter().any(|zone| !zone.controls.outdoor_limits.is_none())
        || model.outdoor_units.iter().any(|unit| !unit.outdoor_limits.is_none())
}

fn early_zones(model: &Model) -> Vec<(usize, OptimumStart)> {
    let zones = model.zones.iter().enumerate();
    zones.filter_map(|(at, zone)| Some((at, zone.controls.optimum_start?))).collect()
}

/// The companies that groups and blocks make of zones, ordered by their first zones.
fn companies(zones: usize, groups: &[GroupPlan<'_>], blocks: &[Block]) -> Vec<Vec<usize>> {
    let of_groups = groups.iter().map(|group| group.members.clone());
    let of_blocks = blocks.iter().map(|block| block.zones().iter().map(|it| it.get()).collect());
    let mut label: Vec<usize> = (0..zones).collect();
    for bond in of_groups.chain(of_blocks) {
        let bond: Vec<usize> = bond;
        let keep = bond.iter().map(|zone| label[*zone]).min().unwrap_or(0);
        let replaced: Vec<usize> = bond.iter().map(|zone| label[*zone]).collect();
        label.iter_mut().filter(|it| replaced.contains(it)).for_each(|it| *it = keep);
    }
    let of = |first: usize| (0..zones).filter(|zone| label[*zone] == first).collect();
    (0..zones).filter(|zone| label[*zone] == *zone).map(of).collect()
}

fn may_be_event_free(model: &Model, companies: &[Vec<usize>]) -> bool {
    let plain = |zone: &Zone| {
        let coarse = SensorPlan::new(zone, model).is_coarse();
        let steady = !coarse && zone.unit.fan_run.is_steady();
        zone.controls.optimum_start.is_none() && steady && !is_ideal(zone)
    };
    !model.humidity.is_followed()
        && companies.iter().all(|company| company.len() <= LANES)
        && model.zones.iter().all(plain)
}

fn is_ideal(zone: &Zone) -> bool {
    zone.unit.control == UnitControl::Ideal
}

fn group_plans(model: &Model) -> Vec<GroupPlan<'_>> {
    let mut alone = vec![true; model.zones.len()];
    let mut groups: Vec<GroupPlan<'_>> = model
        .outdoor_units
        .iter()
        .map(|group| {
            let members: Vec<usize> = group.zones.iter().map(|zone| zone.get()).collect();
            for &member in &members {
                alone[member] = false;
            }
            GroupPlan { members, settings: group.settings, outdoor: Some(group), ideal: false }
        })
        .collect();
    let lone = alone.iter().enumerate().filter(|(_, alone)| **alone);
    groups.extend(lone.map(|(zone, _)| GroupPlan {
        members: vec![zone],
        settings: GroupSettings::LONE,
        outdoor: None,
        ideal: is_ideal(&model.zones[zone]),
    }));
    groups
}
