//! Models of every kind that may be event-free: rooms, settings, plants, weather, people.

use std::sync::Arc;

use proptest::prelude::*;
use setband::building::{Gain, Ventilation};
use setband::control::{
    ControllerIndex, Differential, Key, LowLimit, Mode, ModePolicy, Occupancy, Opening,
    OutdoorLimits, OwnerOff, Power, Request, Role, Sensor, SensorPlace, Sharing, WindowContact,
    WindowDoes,
};
use setband::engine::{
    Action, DemandCharge, Doing, Humidity, Model, Rate, Tariff, Zone, ZoneIndex,
};
use setband::people::{
    Attendance, Away, BodyHeat, Complaining, Patience, Person, Switching, Taste, UsedKeys,
};
use setband::plant::{
    Backup, Capacity, CapacityPoint, CapacityTable, Cop, Curve, Defrost, DefrostCycle, FanRun,
    OutdoorUnit, PartLoadTable, Stages, StartUp, UnitControl,
};
use setband::time::{ClockTime, DaySet, Instant, Seconds, Span};
use setband::units::TemperatureUnit;
use setband::weather::{Reading, Record, Weather};

use crate::rig::{Given, acts, asks, by, door, flat, grouped, model, owned, presses};

/// On weekdays, between two minutes of the day.
pub(super) fn span(from: i64, to: i64) -> Span {
    let clock = |minutes: i64| ClockTime::new(60 * minutes).expect("within the day");
    Span::new(clock(from), clock(to), DaySet::WEEKDAYS).expect("not empty")
}

/// What a model has besides zones: prices, humidity, an outdoor unit.
#[derive(Clone, Copy, Debug)]
struct Surroundings {
    /// Which of the kinds of each.
    tariff: usize,
    humidity: usize,
    plant: usize,
    charges_demand: bool,
    /// Lowest output of an outdoor unit, as a part of its capacity.
    lowest_output: f64,
    machinery: usize,
    /// Whether there are doors between the zones.
    doors: bool,
}

fn surroundings() -> impl Strategy<Value = Surroundings> {
    // One kind in four follows water, and two in three groups are none of zones by themselves.
    let kinds = (0..4_usize, 0..4_usize, 0..15_usize, 0..8_usize);
    (kinds, any::<bool>(), 0.0..0.6_f64, any::<bool>()).prop_map(
        |((tariff, humidity, plant, machinery), charges_demand, lowest_output, doors)| {
            Surroundings {
                tariff,
                humidity,
                plant,
                charges_demand,
                lowest_output,
                machinery,
                doors,
            }
        },
    )
}

impl Surroundings {
    /// Puts them round the zones of a model, with these outdoor temperatures.
    fn put_into(self, mut model: Model, weather: [f64; 24]) -> Model {
        let rates = || Rate::Hourly(Box::new(weather.map(f64::abs)));
        let price = match self.tariff {
            0 => None,
            1 => Some(Rate::Flat(0.2)),
            2 => Some(rates()),
            _ => Some(Rate::Spans(vec![(span(395, 1147), 0.3), (Span::ALWAYS, 0.1)])),
        };
        let demand = DemandCharge { price: 4.0, when: span(487, 1200) };
        model.tariff = price.map(|price| Tariff {
            price,
            currency: "USD".into(),
            carbon: Some(rates()),
            demand: self.charges_demand.then_some(demand),
        });
        model.weather = match self.humidity {
            0 => Weather::Hours(Box::new(weather)),
            _ => recorded(&weather),
        };
        if self.humidity == 3 {
            model.humidity = Humidity::Followed { dew_point: None };
        }
        if self.doors {
            let zones = model.zones.len();
            model.neighbours = (1..zones).map(|zone| door(zone - 1, zone, 40.0)).collect();
        }
        let delay = Seconds::minutes(20);
        let sharing = match self.plant {
            5 | 6 => owned(),
            7 => by(ModePolicy::FirstCall, delay),
            8 => by(ModePolicy::Majority, delay),
            9 => by(ModePolicy::LargestError, delay),
            10 | 11 => Sharing::Simultaneous,
            12 => Sharing::SingleMode {
                policy: ModePolicy::Owner,
                owner: model.zones.len() - 1,
                owner_off: OwnerOff::Stop,
                changeover_delay: Seconds::ZERO,
            },
            _ => return model,
        };
        grouped(model, self.outdoor_unit(), sharing)
    }

    /// An outdoor unit, with more or less that it has to see to.
    fn outdoor_unit(self) -> OutdoorUnit {
        let has = |number: usize| self.machinery == number;
        let point = |outdoor, capacity, cop| CapacityPoint { outdoor, capacity, cop };
        let table = CapacityTable::new(vec![point(-5.0, 3500.0, 2.1), point(20.0, 9000.0, 4.2)]);
        let frost = Defrost { from: -2.0, to: 5.0, capacity: 0.8, cop: 0.9 };
        let backup = Backup {
            capacity: 1500.0,
            allowed_below: Some(0.0),
            after: Some(Seconds::minutes(40)),
        };
        let cycle = DefrostCycle {
            below: 4.0,
            above: -4.0,
            every: Seconds::minutes(50),
            lasts: Seconds::minutes(4),
            from_store: false,
        };
        OutdoorUnit {
            simultaneous: matches!(self.plant, 10 | 11),
            heating: if has(0) { table } else { Some(flat(9000.0, 3.2)) },
            cooling: if has(1) { None } else { Some(flat(8000.0, 3.4)) },
            part_load: PartLoadTable::new(vec![(0.2, 0.8), (0.6, 1.2), (1.0, 1.0)])
                .filter(|_| has(2) || has(0)),
            lowest_output: if has(3) { 0.0 } else { self.lowest_output },
            standby: 60.0,
            reversal_time: if has(4) { Seconds::ZERO } else { Seconds::minutes(3) },
            min_off: if has(5) { Seconds::ZERO } else { Seconds::minutes(5) },
            heating_lockout: has(2).then_some(-1.0),
            cooling_lockout: has(2).then_some(33.0),
            defrost: has(6).then_some(frost),
            defrost_cycle: has(7).then_some(cycle),
            backup: (has(6) || has(7) || has(0)).then_some(backup),
        }
    }
}

/// Three days of hourly readings, with water vapour.
fn recorded(weather: &[f64; 24]) -> Weather {
    let hours = weather.iter().cycle().take(73).enumerate();
    let temperatures: Vec<Reading> = hours
        .map(|(hour, temperature)| Reading {
            second: 3600.0 * hour as f64,
            temperature: *temperature,
        })
        .collect();
    let vapour = temperatures.iter().map(|it| 500.0 + 30.0 * it.temperature.abs()).collect();
    Weather::Record(Arc::new(Record { temperatures, vapour: Some(vapour), ..Record::default() }))
}

fn window(at: Instant, to: Opening) -> Action {
    acts(at, 0, Role::Occupant, Doing::Window(to))
}

/// A unit of any kind. Stages and integral action are in part of the cases alone.
fn any_control(kind: usize, part: f64, number: usize) -> UnitControl {
    match kind {
        0 => UnitControl::ON_OFF,
        1 => Given::MODULATING,
        3 if number > 0 => UnitControl::Staged {
            stages: Stages::new(&[0.5, 1.0], &[0.4, 1.0], part).expect("they rise to 1"),
        },
        4 if number > 0 => UnitControl::Modulating {
            turndown: 0.2,
            throttling_range: 1.0,
            integral_time: Some(600.0 + 1000.0 * part),
        },
        _ => UnitControl::proportional(part / 2.0, 0.5 + part),
    }
}

/// Outdoor limits, with or without one of cooling.
fn limits(degrees: impl Fn(f64) -> f64, hysteresis: f64, cools: bool) -> OutdoorLimits {
    let cool_above = cools.then(|| degrees(15.0));
    OutdoorLimits { heat_below: Some(degrees(20.0)), cool_above, hysteresis }
}

/// How units start, reverse, move air between calls, and what they take from the grid.
#[derive(Clone, Copy, Debug)]
struct Machine {
    fan_run: FanRun,
    time_constant: f64,
    reach_lowest: i64,
    reversal: i64,
    cop: usize,
}

fn machine() -> impl Strategy<Value = Machine> {
    let sample = FanRun::Sample { every: Seconds::minutes(10), lasts: Seconds::minutes(1) };
    let fans = vec![FanRun::Auto, FanRun::Continuous, FanRun::Low { power: 0.3 }, sample];
    let fan_run = prop::sample::select(fans);
    let time_constant = prop::sample::select(vec![0.0, 76.0, 40.0, 300.0]);
    let minutes = (prop::sample::select(vec![0, 0, 8]), prop::sample::select(vec![0, 3, 45]));
    (fan_run, time_constant, minutes, 0..3_usize).prop_map(
        |(fan_run, time_constant, (reach_lowest, reversal), cop)| Machine {
            fan_run,
            time_constant,
            reach_lowest,
            reversal,
            cop,
        },
    )
}

impl Machine {
    fn put_into(self, given: &mut Given) {
        let reach_lowest = Seconds::minutes(self.reach_lowest);
        given.fan_run = self.fan_run;
        given.start_up = StartUp { time_constant: self.time_constant, reach_lowest };
        given.reversal_time = Seconds::minutes(self.reversal);
    }

    /// Constant, usual, or by a table that turns at an outdoor temperature.
    fn put_cops_into(self, zone: &mut Zone, at: f64) {
        let table = Curve::new(vec![(-5.0, 2.0), (at, 4.0), (at + 9.0, 1.0)]).expect("it rises");
        let cops = match self.cop {
            0 => return,
            1 => [Cop::usual_heating(), Cop::usual_cooling()],
            _ => [Cop::Table(table), 3.0.into()],
        };
        let [heating, cooling] = cops;
        zone.unit.heating = zone.unit.heating.take().map(|it| Capacity { cop: heating, ..it });
        zone.unit.cooling = zone.unit.cooling.take().map(|it| Capacity { cop: cooling, ..it });
    }
}

/// Rooms, settings, plants, weather and people's presses of every kind that may be event-free.
pub(super) fn any_model() -> impl Strategy<Value = Model> {
    let zone = (
        (0..2_usize, 16..24_i32, 1..10_i32, prop::sample::select(Mode::ALL.to_vec())),
        (0..5_usize, 0.0..1.0_f64, 0..4_i64, 0..4_usize, 0..3_usize),
        (0.0..60.0_f64, 0.0..40.0_f64, 2e5..4e6_f64, 500.0..6000.0_f64, any::<bool>()),
        (0..1400_i64, 0.0..3000.0_f64, any::<bool>(), any::<bool>(), any::<bool>()),
        (0..1400_i64, 1..60_i64, -1.0..1.0_f64),
        machine(),
    );
    let zones = prop::collection::vec(zone, 1..6);
    let weather = prop::array::uniform24(-5.0..38.0_f64);
    let step = prop::sample::select(vec![20, 60, 300, 900]);
    let period = (step, 1..4_i64);
    let people = prop::collection::vec(anybody(), 0..4);
    let outside = (surroundings(), people);
    (zones, weather, period, any::<bool>(), 0..1440_i64, outside).prop_map(
        |(zones, weather, (step, days), fahrenheit, pressed, (surroundings, people))| {
            let unit =
                if fahrenheit { TemperatureUnit::Fahrenheit } else { TemperatureUnit::Celsius };
            let degrees = |celsius: f64| unit.from_celsius(celsius).round();
            let zones: Vec<_> = zones
                .iter()
                .enumerate()
                .map(|(number, (sets, plant, room, times, more, machine))| {
                    let mut given = Given {
                        unit,
                        setpoint_step: 1.0,
                        heat: degrees(f64::from(sets.1)),
                        cool: degrees(f64::from(sets.1)) + f64::from(sets.2.max(2)),
                        heat_limits: (degrees(10.0), degrees(30.0)),
                        cool_limits: (degrees(14.0), degrees(38.0)),
                        mode: sets.3,
                        power: if sets.0 == 0 || number == 0 { Power::On } else { Power::Off },
                        fan: 50.0 * plant.1,
                        heating: room.3,
                        cooling: room.3,
                        ..Given::default()
                    };
                    given.control = any_control(plant.0, plant.1, number);
                    machine.put_into(&mut given);
                    given.thermostat.call_start =
                        Differential { heating: 0.5 * plant.1, cooling: 0.3 };
                    given.thermostat.call_stop = Differential::same(0.1 * f64::from(sets.2));
                    given.thermostat.min_on = Seconds::minutes(plant.2);
                    given.thermostat.min_off = Seconds::minutes(3);
                    given.thermostat.changeover_delay = Seconds::minutes(5 * plant.2);
                    given.sensor = Sensor {
                        place: match plant.4 {
                            0 => SensorPlace::Room,
                            1 => SensorPlace::ReturnAir { heating: 0.5, cooling: -0.2 },
                            _ => SensorPlace::Controllers { offset: more.2 },
                        },
                        offset: 0.3 * plant.1,
                        lag: Seconds::minutes(plant.2),
                        resolution: [0.0, 0.1, 0.5, 0.3][if number == 0 { 1 } else { plant.3 }],
                    };
                    given.space.start = (room.4 && times.4).then_some(18.0);
                    given.space.opaque = room.0;
                    given.space.windows = room.1;
                    given.space.air_capacity = room.2;
                    let when = span(times.0, (times.0 + 300) % 1440);
                    given.space.ventilation = times.3.then_some(Ventilation { flow: 0.03, when });
                    given.gains = vec![Gain { when, power: times.1, latent: 0.0 }];
                    if room.4 {
                        given.occupancy =
                            Occupancy::Schedule(vec![span(more.0, (more.0 + 480) % 1440)]);
                        given.setback = Some([2.0, 2.0, degrees(10.0), degrees(35.0)]);
                    }
                    given.low_limit =
                        times.4.then(|| LowLimit { below: degrees(12.0), until: degrees(13.0) });
                    if plant.4 == 1 {
                        given.outdoor_limits = limits(degrees, plant.1, times.2);
                    }
                    given.window_contact = WindowContact {
                        acts_after: Seconds::minutes(plant.2),
                        does: WindowDoes::ALL[plant.4],
                    };
                    given.auto_off = (plant.3 == 3).then(|| Seconds::minutes(7 * more.1));
                    let mut zone = given.zone(&format!("zone {number}"));
                    machine.put_cops_into(&mut zone, room.0);
                    zone
                })
                .collect();
            let mut model = model(0.0, zones);
            model.unit = unit;
            model.period = crate::rig::period(days, Seconds::new(step));
            model.actions = vec![
                presses(Instant::new(60 * pressed + 13), 0, Key::Warmer),
                asks(Instant::new(60 * pressed + 25), 0, Request::Power(Power::Off)),
                asks(Instant::new(60 * pressed + 4000), 0, Request::Power(Power::On)),
                window(Instant::new(60 * pressed + 9000), Opening::Open),
                window(Instant::new(60 * pressed + 9900), Opening::Closed),
            ];
            for (number, mut person) in people.into_iter().enumerate() {
                person.name = format!("somebody {number}").into();
                person.zone = ZoneIndex::new(person.zone.get() % model.zones.len());
                model.people.push(person);
            }
            surroundings.put_into(model, weather)
        },
    )
}

/// Somebody of any taste and patience, at work or at home, who knows some of the keys.
fn anybody() -> impl Strategy<Value = Person> {
    let taste = (18.0..26.0_f64, 0.3..2.5_f64, prop::sample::select(vec![0.0, 1.5]));
    let presses = (1..4_u32, any::<bool>(), any::<bool>(), any::<bool>());
    let hours = (0..1000_i64, 60..900_i64, any::<bool>());
    (0..6_usize, taste, 2..60_i64, presses, hours).prop_map(
        |(zone, (prefers, tolerance, varies), minutes, presses, (from, long, restless))| {
            let sensation = Taste::USUAL.sensation.filter(|_| restless);
            let away = Away { every: Seconds::minutes(70), lasts: Seconds::minutes(11) };
            let switching =
                if presses.3 { Switching::Both { forgets: 0.3 } } else { Switching::Never };
            Person {
                zone: ZoneIndex::new(zone),
                name: "somebody".into(),
                shown: "somebody".into(),
                copy: 1,
                taste: Taste { prefers, spread: 0.5, varies, tolerance, sensation },
                patience: if restless {
                    Patience::Rate(60.0 / minutes as f64)
                } else {
                    Patience::About { mean: Seconds::minutes(minutes), spread: 0.5 }
                },
                attendance: Attendance {
                    spans: vec![span(from, (from + long) % 1440)],
                    arrival_spread: Seconds::minutes(minutes),
                    departure_spread: Seconds::ZERO,
                    absent: 0.0,
                    away: restless.then_some(away),
                },
                controller: ControllerIndex::new(0),
                keys: UsedKeys { setpoint: true, mode: presses.1, power: presses.2 },
                presses: presses.0,
                gives_up_after: presses.1.then_some(3),
                gives_up_rate: if presses.2 { 0.5 } else { 0.0 },
                switching,
                complaining: Complaining {
                    after: Seconds::minutes(minutes),
                    rate: 0.8,
                    kelvin_per_vote: 3.0,
                },
                heat: BodyHeat { sensible: 70.0, latent: 45.0 },
            }
        },
    )
}
