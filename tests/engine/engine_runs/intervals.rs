//! Event-free intervals change no bit: what comes of a case that goes through them, alone or beside
//! others, is what making every step one by one brings.

mod floors;
mod models;

use proptest::prelude::*;
use setband::building::Gain;
use setband::control::GroupSettings;
use setband::engine::{
    Case, GroupView, Interval, IntervalObserver, LedgerRow, Model, Nobody, Observer, PersonView,
    State, Together, Zone, ZoneIndex, ZoneView, run_together, share, start, start_from,
};
use setband::measures::Meter;
use setband::plant::{Capacity, Cop, OutdoorUnit, PartLoadTable, StartUp};
use setband::report::summary_json;
use setband::study::{Keep, hourly, simulate};
use setband::time::{DAY, Instant, Seconds};
use setband::weather::Weather;

use crate::rig::{Given, door, flat, grouped, model, outdoor_unit, owned};
use floors::any_floor;
use models::{any_model, span};

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

/// The state that a model comes to unseen.
fn passed(model: &Model, until: Instant) -> State {
    let (simulation, _) = start(model);
    Together::default().pass(simulation, until).state().clone()
}

/// The same, step by step.
fn stepped(model: &Model, until: Instant) -> State {
    let (mut simulation, _) = start(model);
    while simulation.state().now < until && simulation.halt().is_none() {
        simulation.step(&mut Nobody);
    }
    simulation.state().clone()
}

/// The hours of a model, added up in intervals, are those of its steps.
fn assert_same_hours(model: &Model) {
    let steps = simulate(model, Keep::Steps).rows;
    let hours = hourly(&steps, model.zones.len(), model.period.step());
    let (found, hours) = (format!("{:?}", simulate(model, Keep::Hours).rows), format!("{hours:?}"));
    assert_eq!(found, hours);
}

/// How many random inputs are tried: `SETBAND_ROUNDS`, or a few.
fn rounds(few: u32) -> u32 {
    std::env::var("SETBAND_ROUNDS").ok().and_then(|rounds| rounds.parse().ok()).unwrap_or(few)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(rounds(12)))]

    #[test]
    fn side_by_side_is_what_step_by_step_is(
        models in prop::collection::vec(any_model(), 1..6),
    ) {
        for (model, (outcome, _)) in models.iter().zip(together(&models)) {
            prop_assert_eq!(step_by_step(model), outcome);
        }
        assert_same_hours(&models[0]);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(rounds(6)))]

    #[test]
    fn floors_side_by_side_are_what_step_by_step_is(
        models in prop::collection::vec(any_floor(), 1..3),
        until in 1..DAY,
    ) {
        assert_same_hours(&models[0]);
        let until = Instant::new(until);
        prop_assert_eq!(passed(&models[0], until), stepped(&models[0], until));
        for (model, (outcome, _)) in models.iter().zip(together(&models)) {
            prop_assert_eq!(step_by_step(model), outcome);
        }
    }
}

/// An office whose steps are mostly event-free.
fn office(heat: f64) -> Model {
    office_from(heat, None)
}

/// One that starts at a temperature, if one is given.
fn office_from(heat: f64, start: Option<f64>) -> Model {
    let mut given = Given { heat, control: Given::MODULATING, ..Given::default() };
    (given.start_up, given.reversal_time) = (StartUp::USUAL, Seconds::minutes(3));
    given.sensor.lag = Seconds::minutes(4);
    given.sensor.resolution = 0.1;
    given.space.start = start;
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

/// Offices on one outdoor unit that turns down as far as such units do, and rests.
fn floor_of(zones: usize, warmer: f64) -> Model {
    let zone = |number: usize| {
        let office = office_from(18.0 + warmer + 0.5 * (number % 4) as f64, Some(18.0));
        Zone { id: format!("office {number}"), ..office.zones[0].clone() }
    };
    let weather = office(20.0).weather;
    let mut model = model(0.0, (0..zones).map(zone).collect());
    model.weather = weather;
    let unit = OutdoorUnit {
        heating: Some(flat(3000.0 * zones as f64, 3.2)),
        cooling: Some(flat(3000.0 * zones as f64, 3.4)),
        part_load: PartLoadTable::new(vec![(0.2, 0.8), (0.6, 1.2), (1.0, 1.0)]),
        lowest_output: 0.2,
        standby: 60.0,
        reversal_time: Seconds::minutes(3),
        min_off: Seconds::minutes(3),
        ..outdoor_unit()
    };
    grouped(model, unit, owned())
}

#[test]
fn most_steps_of_a_group_are_event_free_alone_and_in_company() {
    let doors = |mut model: Model| {
        model.neighbours = (1..3).map(|zone| door(zone - 1, zone, 20.0)).collect();
        model
    };
    let models = [floor_of(3, 0.0), floor_of(3, 1.0), doors(floor_of(3, 0.5)), floor_of(9, 0.0)];
    for (model, (outcome, in_intervals)) in models.iter().zip(together(&models)) {
        assert!(in_intervals > 1000, "{in_intervals} of 1440");
        assert_eq!(outcome, step_by_step(model));
    }
}

/// A unit far too large for its rooms rests most of the time: calls begin and wait, after others that
/// were served in the same interval.
#[test]
fn a_call_that_waits_for_the_compressor_takes_no_service_of_the_call_before() {
    let mut large = floor_of(9, 0.5);
    for zone in &mut large.zones {
        zone.controls.thermostat.min_on = Seconds::minutes(6);
        zone.unit.start_up = StartUp { reach_lowest: Seconds::ZERO, ..StartUp::USUAL };
    }
    let unit = &mut large.outdoor_units[0].unit;
    (unit.heating, unit.lowest_output) = (Some(flat(90_000.0, 3.2)), 0.4);
    let (outcome, in_intervals) = together(std::slice::from_ref(&large)).remove(0);
    assert!(in_intervals > 500, "{in_intervals} of 1440");
    assert_eq!(outcome, step_by_step(&large));
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
