//! What is imposed on zones step by step.

use approx::assert_abs_diff_eq;
use setband::building::{Network, ZonePropagator};
use setband::control::{Direction, Mode, Power};
use setband::engine::{
    GroupView, Imposed, LedgerRow, Model, Nobody, Observer, StepRow, ZoneIndex, ZoneView, run,
    start, start_in,
};
use setband::scenario::read;
use setband::time::Instant;

const FILE: &str = "period: {from: 2025-04-16}\nweather: {design_day: {high: 18, range: 11}}\nzones:\n  \
                    hall: {space: {floor: 60 m2}, unit: {heating: 4 kW, cooling: 4 kW}, controls: {heat: \
                    20, cool: 24, occupancy: {from: \"08:00\", to: \"18:00\"}, setback: {heat: 3}}}\n  \
                    loft: {space: {floor: 40 m2}, unit: {heating: 4 kW, cooling: 4 kW}, controls: {heat: \
                    20, cool: 24}}\n";

fn model() -> Model {
    read(FILE, "two.yaml", &|_| Err(String::new())).expect("a scenario").base
}

fn zone(at: usize) -> ZoneIndex {
    ZoneIndex::new(at)
}

#[derive(Default)]
struct Rows(Vec<StepRow>);

impl Observer for Rows {
    fn zone(&mut self, view: &ZoneView<'_>) {
        self.0.push(view.row());
    }

    fn group(&mut self, _: &GroupView<'_>) {}
    fn ledger(&mut self, _: LedgerRow) {}
    fn call_began(&mut self, _: ZoneIndex, _: Instant) {}
}

/// Heat of nothing, and the start that a run has, change no bit of it.
#[test]
fn nothing_imposed_changes_nothing() {
    let model = model();
    let mut whole = Rows::default();
    run(&model, &mut whole);
    let (warm, _) = start(&model);
    let mut simulation = start_in(&model, Instant::START, warm.state().nodes.clone());
    let mut rows = Rows::default();
    for step in 0..1440 {
        simulation.impose(zone(step % 2), Imposed::default());
        simulation.step(&mut rows);
    }
    assert_eq!(whole.0, rows.0);
}

/// With everything at rest, a watt into the air raises it by what the exact step says.
#[test]
fn heat_goes_into_air_and_mass_of_its_zone_alone() {
    let model = model();
    let begin = || start_in(&model, Instant::START, vec![[21.0; 2]; 2]);
    let (mut with, mut without) = (begin(), begin());
    with.impose(zone(0), Imposed { heat: [300.0, 50.0], ..Imposed::default() });
    with.step(&mut Nobody);
    without.step(&mut Nobody);
    let gamma =
        ZonePropagator::new(&Network::new(&model.zones[0].space, false), model.period.step()).gamma;
    let rise = |node: usize| with.state().nodes[0][node] - without.state().nodes[0][node];
    assert_abs_diff_eq!(rise(0), 300.0 * gamma[0][0] + 50.0 * gamma[0][1], epsilon = 1e-9);
    assert_abs_diff_eq!(rise(1), 300.0 * gamma[1][0] + 50.0 * gamma[1][1], epsilon = 1e-9);
    assert_eq!(with.state().nodes[1], without.state().nodes[1]);
}

#[test]
fn setpoints_mode_power_and_presence_follow_what_is_imposed() {
    let model = model();
    let mut simulation = start_in(&model, Instant::new(3600), vec![[21.0; 2]; 2]);
    let imposed = Imposed {
        heat_setpoint: Some(22.3),
        mode: Some(Mode::Heat),
        power: Some(Power::On),
        occupied: Some(true),
        ..Imposed::default()
    };
    simulation.impose(zone(0), imposed);
    let mut rows = Rows::default();
    simulation.step(&mut rows);
    // At one in the night the setback would be in force, and nobody there.
    let hall = rows.0[0];
    assert_eq!((hall.at, hall.heat, hall.cool), (Instant::new(3600), 22.3, 24.0));
    assert!(hall.occupied && hall.mode == Mode::Heat);
    assert_eq!(hall.served, Some(Direction::Heating));
    assert_eq!((rows.0[1].heat, rows.0[1].served), (20.0, None));
    simulation.impose(zone(0), Imposed { power: Some(Power::Off), ..imposed });
    simulation.step(&mut rows);
    assert_eq!((rows.0[2].power, rows.0[2].served), (Power::Off, None));
}

#[test]
fn a_unit_that_runs_already_goes_on_and_begins_no_call() {
    #[derive(Default)]
    struct Calls(usize);
    impl Observer for Calls {
        fn zone(&mut self, view: &ZoneView<'_>) {
            assert!(view.zone.get() == 1 || view.power.served.is_some());
        }
        fn group(&mut self, _: &GroupView<'_>) {}
        fn ledger(&mut self, _: LedgerRow) {}
        fn call_began(&mut self, _: ZoneIndex, _: Instant) {
            self.0 += 1;
        }
    }
    let model = model();
    // Below the heat setpoint, and not so far that a call would start.
    let mut simulation = start_in(&model, Instant::new(9 * 3600), vec![[19.9; 2]; 2]);
    simulation.run_already(zone(0), Direction::Heating);
    let mut calls = Calls::default();
    simulation.step(&mut calls);
    assert_eq!(calls.0, 0);
}
