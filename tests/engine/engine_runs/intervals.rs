//! Event-free intervals change no bit: what comes of a case that goes through them, alone or beside
//! others, is what making every step one by one brings.

use std::sync::Arc;

use proptest::prelude::*;
use setband::building::{Gain, Ventilation};
use setband::control::{
    Differential, GroupSettings, Key, LowLimit, Mode, ModePolicy, Occupancy, Opening,
    OutdoorLimits, Power, Request, Role, Sensor, SensorPlace, Sharing, WindowContact, WindowDoes,
};
use setband::engine::{
    Action, Case, DemandCharge, Doing, GroupView, Humidity, Interval, IntervalObserver, LedgerRow,
    Model, Observer, PersonView, Rate, State, Tariff, Zone, ZoneIndex, ZoneView, run_together,
    share, start, start_from,
};
use setband::measures::Meter;
use setband::plant::{Capacity, Cop, Curve, FanRun, OutdoorUnit, Stages, StartUp, UnitControl};
use setband::report::summary_json;
use setband::time::{ClockTime, DAY, DaySet, Instant, Seconds, Span};
use setband::units::TemperatureUnit;
use setband::weather::{Reading, Record, Weather};

use crate::rig::{Given, acts, asks, by, flat, grouped, model, outdoor_unit, owned, presses};

/// A meter that notes how many steps came to it in intervals, and the ledger.
struct Watched<'m> {
    meter: Meter<'m>,
    in_intervals: usize,
    ledger: Vec<LedgerRow>,
}

impl<'m> Watched<'m> {
    fn new(model: &'m Model) -> Self {
        Self { meter: Meter::new(model), in_intervals: 0, ledger: Vec::new() }
    }

    fn outcome(&self, days: u32) -> String {
        let figures = summary_json(&self.meter.summary(days)).expect("a summary");
        format!("{figures}{:#?}", self.ledger)
    }
}

impl Observer for Watched<'_> {
    fn zone(&mut self, view: &ZoneView<'_>) {
        self.meter.zone(view);
    }
    fn group(&mut self, view: &GroupView<'_>) {
        self.meter.group(view);
    }
    fn ledger(&mut self, row: LedgerRow) {
        self.meter.ledger(row.clone());
        self.ledger.push(row);
    }
    fn call_began(&mut self, zone: ZoneIndex, at: Instant) {
        self.meter.call_began(zone, at);
    }
    fn person(&mut self, view: &PersonView) {
        self.meter.person(view);
    }
    fn person_pressed(
        &mut self,
        person: setband::people::PersonIndex,
        outcome: setband::control::Outcome,
    ) {
        self.meter.person_pressed(person, outcome);
    }
}

impl IntervalObserver for Watched<'_> {
    type Memory = <Meter<'static> as IntervalObserver>::Memory;

    fn intervals(each: &mut [(&mut Self, Interval<'_>)], memory: &mut Self::Memory) {
        for (watched, interval) in &mut *each {
            watched.in_intervals += interval.steps();
        }
        let mut meters: Vec<_> =
            each.iter_mut().map(|(it, interval)| (&mut it.meter, *interval)).collect();
        Meter::intervals(&mut meters, memory);
    }
}

/// Every step one by one: figures, ledger and the state at the end.
fn step_by_step(model: &Model) -> String {
    let (mut simulation, days) = start(model);
    let mut watched = Watched::new(model);
    while simulation.state().now < model.period.end() && simulation.halt().is_none() {
        simulation.step(&mut watched);
    }
    simulation.end(&mut watched);
    assert_eq!(watched.in_intervals, 0);
    watched.outcome(days)
}

/// Cases side by side: what came of each, and how many of its steps were in intervals.
fn together(models: &[Model]) -> Vec<(String, usize)> {
    let mut cases: Vec<_> = models.iter().map(|it| Case::new(it, Watched::new(it))).collect();
    share(&mut cases);
    run_together(&mut cases);
    let outcome = |case: Case<'_, Watched<'_>>| {
        let (watched, days) = case.finish();
        (watched.outcome(days), watched.in_intervals)
    };
    cases.into_iter().map(outcome).collect()
}

fn span(from: i64, to: i64) -> Span {
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
}

fn surroundings() -> impl Strategy<Value = Surroundings> {
    (0..4_usize, 0..4_usize, 0..8_usize, any::<bool>(), 0.0..0.6_f64).prop_map(
        |(tariff, humidity, plant, charges_demand, lowest_output)| Surroundings {
            tariff,
            humidity,
            plant,
            charges_demand,
            lowest_output,
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
        let unit = OutdoorUnit {
            simultaneous: self.plant == 7,
            heating: Some(flat(9000.0, 3.2)),
            cooling: Some(flat(8000.0, 3.4)),
            lowest_output: self.lowest_output,
            standby: 60.0,
            reversal_time: Seconds::minutes(3),
            min_off: Seconds::minutes(5),
            ..outdoor_unit()
        };
        match self.plant {
            5 => grouped(model, unit, owned()),
            6 => grouped(model, unit, by(ModePolicy::FirstCall, Seconds::minutes(20))),
            7 => grouped(model, unit, Sharing::Simultaneous),
            _ => model,
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
fn any_model() -> impl Strategy<Value = Model> {
    let zone = (
        (0..2_usize, 16..24_i32, 1..10_i32, prop::sample::select(Mode::ALL.to_vec())),
        (0..5_usize, 0.0..1.0_f64, 0..4_i64, 0..4_usize, 0..3_usize),
        (0.0..60.0_f64, 0.0..40.0_f64, 2e5..4e6_f64, 500.0..6000.0_f64, any::<bool>()),
        (0..1400_i64, 0.0..3000.0_f64, any::<bool>(), any::<bool>(), any::<bool>()),
        (0..1400_i64, 1..60_i64, -1.0..1.0_f64),
        machine(),
    );
    let zones = prop::collection::vec(zone, 1..4);
    let weather = prop::array::uniform24(-5.0..38.0_f64);
    let step = prop::sample::select(vec![20, 60, 300, 900]);
    let period = (step, 1..4_i64);
    (zones, weather, period, any::<bool>(), 0..1440_i64, surroundings()).prop_map(
        |(zones, weather, (step, days), fahrenheit, pressed, surroundings)| {
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
            surroundings.put_into(model, weather)
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    #[test]
    fn side_by_side_is_what_step_by_step_is(
        models in prop::collection::vec(any_model(), 1..8),
    ) {
        for (model, (outcome, _)) in models.iter().zip(together(&models)) {
            prop_assert_eq!(step_by_step(model), outcome);
        }
    }
}

/// An office whose steps are mostly event-free.
fn office(heat: f64) -> Model {
    let mut given = Given { heat, control: Given::MODULATING, ..Given::default() };
    (given.start_up, given.reversal_time) = (StartUp::USUAL, Seconds::minutes(3));
    given.sensor.lag = Seconds::minutes(4);
    given.sensor.resolution = 0.1;
    given.space.start = None;
    given.gains = vec![Gain { when: span(540, 1020), power: 700.0, latent: 0.0 }];
    let mut zone = given.zone("office");
    zone.unit.heating = Some(Capacity { rated: given.heating, cop: Cop::usual_heating() });
    let mut model = model(0.0, vec![zone]);
    model.weather = Weather::Hours(Box::new(std::array::from_fn(|hour| (hour as f64 - 6.0).abs())));
    model
}

#[test]
fn most_steps_of_an_office_are_event_free_alone_and_in_company() {
    let models: Vec<Model> = (0..13).map(|number| office(16.0 + f64::from(number) / 2.0)).collect();
    for count in [1, 3, 8, 13] {
        for (place, (outcome, in_intervals)) in together(&models[..count]).iter().enumerate() {
            assert!(*in_intervals > 1000, "{count}, {place}: {in_intervals} of 1440");
            assert_eq!(*outcome, step_by_step(&models[place]));
        }
    }
}

#[test]
fn a_warm_up_in_intervals_leaves_what_one_step_by_step_leaves() {
    let model = office(20.0);
    let (simulation, days) = start(&model);
    let fresh = |nodes| State::fresh(&model, &[(GroupSettings::LONE, vec![0])], nodes);
    let mut nodes = vec![[22.0; 2]];
    let mut before = [f64::NAN; 2];
    for day in 1.. {
        let mut sums = [0.0; 2];
        let mut warming = start_from(&model, fresh(nodes));
        while warming.state().now < Instant::new(DAY) {
            warming.step(&mut Watched::new(&model));
            let [air, mass] = warming.state().nodes[0];
            sums = [sums[0] + air, sums[1] + mass];
        }
        nodes = warming.state().nodes.clone();
        let means = sums.map(|sum| sum / 1440.0);
        if (0..2).all(|node| f64::abs(means[node] - before[node]) <= 0.01) {
            assert_eq!(day, days);
            break;
        }
        before = means;
    }
    assert!(days > 2);
    assert_eq!(*simulation.state(), fresh(nodes));
}
