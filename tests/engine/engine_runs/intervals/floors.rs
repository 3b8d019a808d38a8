//! Floors of many rooms on outdoor units such as files have them unless they say otherwise: who
//! decides, how rooms differ, what stands in the way of calls.

use proptest::prelude::*;
use setband::building::Gain;
use setband::control::{
    Differential, Direction, GroupSettings, Key, ModePolicy, Occupancy, OutdoorLimits, OwnerOff,
    Power, Request, Sharing,
};
use setband::engine::{Model, OutdoorGroup, Zone, ZoneIndex};
use setband::plant::{CapacityPoint, CapacityTable, OutdoorUnit, StartUp};
use setband::time::{Instant, Seconds};
use setband::weather::Weather;

use super::models::span;
use crate::rig::{Given, asks, door, model, outdoor_unit, period, presses};

/// How a floor is run.
#[derive(Clone, Copy, Debug)]
struct Floor {
    /// Who decides: one of four policies, or a unit that heats and cools at once.
    policy: usize,
    owner: usize,
    owner_off: OwnerOff,
    /// Capacity of an outdoor unit over that of its rooms' units.
    size: f64,
    lowest_output: f64,
    min_off: Seconds,
    delay: Seconds,
    /// Outdoor limits: none, of the rooms, of the unit, of both.
    limits: usize,
    /// Whether there is a second outdoor unit, and doors between the rooms.
    halves: bool,
    doors: bool,
    /// Whether the rooms are warmed up first, which takes many days, or start as cold as given.
    warm_up: bool,
    /// When the owner is switched off and on again, and somebody presses, minutes.
    pressed: i64,
}

/// A room: gains, setpoints, its unit, what holds its calls.
#[derive(Clone, Copy, Debug)]
struct Room {
    gain: f64,
    from: i64,
    heat: i64,
    apart: i64,
    rated: f64,
    loss: f64,
    /// Which of the kinds of units, timers and settings it has.
    kind: usize,
}

fn floor() -> impl Strategy<Value = Floor> {
    let minutes = |all: &[i64]| {
        prop::sample::select(all.iter().map(|it| Seconds::minutes(*it)).collect::<Vec<_>>())
    };
    let policy = (0..6_usize, 0..40_usize, prop::sample::select(OwnerOff::ALL.to_vec()));
    // The default first: a shrunk case is as a file has it.
    let unit = (0.3..4.0_f64, prop::sample::select(vec![0.15, 0.4, 0.0]));
    let timers = (minutes(&[3, 10, 0]), minutes(&[20, 10, 0]));
    let seldom = || prop::bool::weighted(0.2);
    let rest = (0..8_usize, 0..1440_i64);
    (policy, unit, timers, rest, (seldom(), seldom(), seldom())).prop_map(
        |(
            (policy, owner, owner_off),
            (size, lowest_output),
            (min_off, delay),
            (limits, pressed),
            (halves, doors, warm_up),
        )| Floor {
            policy,
            owner,
            owner_off,
            size,
            lowest_output,
            min_off,
            delay,
            limits,
            halves,
            doors,
            warm_up,
            pressed,
        },
    )
}

fn room() -> impl Strategy<Value = Room> {
    let gains = (0.0..900.0_f64, 300..900_i64);
    let sets = (17..22_i64, 2..5_i64);
    (gains, sets, 800.0..4000.0_f64, 5.0..40.0_f64, 0..8_usize).prop_map(
        |((gain, from), (heat, apart), rated, loss, kind)| Room {
            gain,
            from,
            heat,
            apart,
            rated,
            loss,
            kind,
        },
    )
}

/// Floors of up to forty rooms on mild days, in steps of 1, 2 or 5 minutes.
pub(super) fn any_floor() -> impl Strategy<Value = Model> {
    let weather = (-6.0..24.0_f64, 2.0..12.0_f64);
    let step = prop::sample::select(vec![120, 60, 300]);
    (floor(), prop::collection::vec(room(), 1..=40), weather, step).prop_map(
        |(floor, rooms, (low, range), step)| {
            let zones: Vec<_> = rooms.iter().enumerate().map(|it| floor.zone(it)).collect();
            let mut model = model(low, zones);
            model.period = period(1, Seconds::new(step));
            // Coldest at four, warmest at four in the afternoon.
            let warmth = |hour: usize| 1.0 - (hour.abs_diff(16).min(12) as f64) / 12.0;
            let hours = std::array::from_fn(|hour| low + range * warmth(hour));
            model.weather = Weather::Hours(Box::new(hours));
            floor.put_into(model)
        },
    )
}

impl Floor {
    fn zone(&self, (number, room): (usize, &Room)) -> Zone {
        let mut given = Given {
            heat: room.heat as f64,
            cool: (room.heat + room.apart) as f64,
            heating: room.rated,
            cooling: room.rated,
            fan: 30.0,
            control: Given::MODULATING,
            ..Given::default()
        };
        (given.start_up, given.reversal_time) = (StartUp::USUAL, Seconds::minutes(3));
        given.sensor.lag = Seconds::minutes(4);
        given.sensor.resolution = 0.1;
        given.thermostat.call_start = Differential::same(0.3);
        given.thermostat.changeover_delay = Seconds::minutes(10);
        given.space.start = (!self.warm_up).then_some(19.0);
        given.space.opaque = room.loss;
        given.gains =
            vec![Gain { when: span(room.from, room.from + 480), power: room.gain, latent: 0.0 }];
        match room.kind {
            0 => given.start_up = StartUp { reach_lowest: Seconds::ZERO, ..StartUp::USUAL },
            1 => given.thermostat.min_on = Seconds::minutes(8),
            2 => given.thermostat.min_off = Seconds::minutes(5),
            3 => given.occupancy = Occupancy::Schedule(vec![span(room.from, room.from + 300)]),
            4 => given.auto_off = Some(Seconds::minutes(200)),
            5 if number > 0 => given.power = Power::Off,
            _ => {}
        }
        given.setback = (room.kind == 3).then_some([2.0, 2.0, 10.0, 35.0]);
        if matches!(self.limits, 1 | 3) {
            given.outdoor_limits = LIMITS;
        }
        given.zone(&format!("room {number}"))
    }

    fn put_into(self, mut model: Model) -> Model {
        let zones = model.zones.len();
        if self.doors {
            model.neighbours = (1..zones).map(|zone| door(zone - 1, zone, 20.0)).collect();
        }
        let half = if self.halves { zones.div_ceil(2) } else { zones };
        let all: Vec<usize> = (0..zones).collect();
        for (number, members) in all.chunks(half).enumerate() {
            let group = self.group(number, members, &model);
            model.outdoor_units.push(group);
        }
        let owner = self.owner % zones;
        model.actions = vec![
            presses(Instant::new(60 * self.pressed + 13), zones - 1, Key::Warmer),
            asks(Instant::new(60 * self.pressed + 25), owner, Request::Power(Power::Off)),
            asks(Instant::new(60 * self.pressed + 4000), owner, Request::Power(Power::On)),
        ];
        model
    }

    fn group(self, number: usize, members: &[usize], model: &Model) -> OutdoorGroup {
        let connected: f64 = members.iter().map(|it| model.zones[*it].unit.rated(HEATING)).sum();
        let capacity = self.size * connected;
        let point = |outdoor, capacity, cop| CapacityPoint { outdoor, capacity, cop };
        let heating = vec![point(-8.0, 0.75 * capacity, 2.4), point(8.0, capacity, 3.7)];
        let cooling = vec![point(20.0, capacity, 5.2), point(35.0, 0.85 * capacity, 3.6)];
        let sharing = match self.policy {
            5 => Sharing::Simultaneous,
            policy => Sharing::SingleMode {
                policy: ModePolicy::ALL[policy % 4],
                owner: self.owner % members.len(),
                owner_off: self.owner_off,
                changeover_delay: self.delay,
            },
        };
        OutdoorGroup {
            id: format!("roof {number}"),
            label: format!("Roof {number}"),
            zones: members.iter().copied().map(ZoneIndex::new).collect(),
            unit: OutdoorUnit {
                simultaneous: self.policy == 5,
                heating: CapacityTable::new(heating),
                cooling: CapacityTable::new(cooling),
                lowest_output: self.lowest_output,
                standby: 150.0,
                reversal_time: Seconds::minutes(3),
                min_off: self.min_off,
                ..outdoor_unit()
            },
            settings: GroupSettings { sharing, min_off: self.min_off },
            direction: HEATING,
            outdoor_limits: if matches!(self.limits, 2 | 3) { LIMITS } else { OutdoorLimits::NONE },
        }
    }
}

const HEATING: Direction = Direction::Heating;
const LIMITS: OutdoorLimits =
    OutdoorLimits { heat_below: Some(16.0), cool_above: Some(12.0), hysteresis: 1.0 };
