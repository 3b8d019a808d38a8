//! What is imposed on zones from outside, step by step, by whoever drives a run: heat beside all that
//! the model knows of, somebody's presence, and setpoints, mode and power that follow a record
//! instead of requests.
//!
//! It stays in force until something else is imposed. Sums of a meter know nothing of the heat. Such
//! runs are made step by step, see [`Simulation::step`].

use super::model::{Model, ZoneIndex};
use super::state::State;
use super::step::Simulation;
use crate::control::{Mode, Power, WorkingSetpoints};
use crate::direction::Direction;
use crate::time::Instant;

/// What is imposed on one zone. By default nothing is.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Imposed {
    /// Heat into air and mass besides, W.
    pub heat: [f64; 2],
    /// Whether somebody is there, whatever schedule, sensor and people say.
    pub occupied: Option<bool>,
    /// The heat setpoint in force, in the file's unit, whatever is stored.
    pub heat_setpoint: Option<f64>,
    /// The cool setpoint in force, likewise.
    pub cool_setpoint: Option<f64>,
    /// The mode.
    pub mode: Option<Mode>,
    /// The power.
    pub power: Option<Power>,
}

/// A simulation that begins at an instant in rooms with these temperatures of air and mass (degrees
/// C, zone by zone), without warm-up.
pub fn start_in(model: &Model, at: Instant, nodes: Vec<[f64; 2]>) -> Simulation<'_> {
    let mut simulation = Simulation::new(model, nodes);
    let state = State { now: at, ..simulation.state().clone() };
    simulation.resume(state);
    simulation
}

impl Simulation<'_> {
    /// Imposes something on a zone from the next step on.
    pub fn impose(&mut self, zone: ZoneIndex, imposed: Imposed) {
        if self.scratch.imposed.is_empty() {
            self.scratch.imposed = vec![Imposed::default(); self.plan.zones.len()];
        }
        self.scratch.imposed[zone.get()] = imposed;
    }

    /// People press and are seen, and give off no heat from now on: what is imposed has it already.
    pub fn leave_out_body_heat(&mut self) {
        self.scratch.drivers.count_people(false);
    }

    /// The unit of a zone runs already when the simulation begins.
    pub fn run_already(&mut self, zone: ZoneIndex, direction: Direction) {
        let (now, at) = (self.state.now, zone.get());
        self.state.logic[at].state.run_already(direction, now);
        self.state.zones[at].unit.lacking = 0.0;
        self.state.groups[self.plan.zones[at].group].state.turn_to(direction, now);
    }

    /// What is imposed on a zone.
    pub(super) fn imposed(&self, zone: usize) -> Option<&Imposed> {
        self.scratch.imposed.get(zone)
    }

    /// Takes over modes and powers, and has the clock's phase look at every zone.
    pub(super) fn take_over_imposed(&mut self, now: Instant) {
        if self.scratch.imposed.is_empty() {
            return;
        }
        for (state, imposed) in self.state.zones.iter_mut().zip(&self.scratch.imposed) {
            state.stored.mode = imposed.mode.unwrap_or(state.stored.mode);
            if let Some(power) = imposed.power {
                state.stored.power = power;
                // A record says by itself when power went off.
                state.on_since = None;
            }
        }
        self.scratch.wake_at = now;
    }
}

impl Imposed {
    /// The setpoints in force where these would be by themselves.
    pub(super) fn over(&self, working: WorkingSetpoints) -> WorkingSetpoints {
        WorkingSetpoints {
            heat: self.heat_setpoint.unwrap_or(working.heat),
            cool: self.cool_setpoint.unwrap_or(working.cool),
            ..working
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::{Nobody, Observer, ZoneView, run};
    use crate::scenario::read;
    use approx::assert_abs_diff_eq;

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
    struct Rows(Vec<crate::engine::StepRow>);

    impl Observer for Rows {
        fn zone(&mut self, view: &ZoneView<'_>) {
            self.0.push(view.row());
        }

        fn group(&mut self, _: &crate::engine::GroupView<'_>) {}
        fn ledger(&mut self, _: crate::engine::LedgerRow) {}
        fn call_began(&mut self, _: ZoneIndex, _: Instant) {}
    }

    /// Heat of nothing, and the start that a run has, change no bit of it.
    #[test]
    fn nothing_imposed_changes_nothing() {
        let model = model();
        let mut whole = Rows::default();
        run(&model, &mut whole);
        let (warm, _) = crate::engine::start(&model);
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
        let gamma = crate::building::ZonePropagator::new(
            &crate::building::Network::new(&model.zones[0].space, false),
            model.period.step(),
        )
        .gamma;
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
            fn group(&mut self, _: &crate::engine::GroupView<'_>) {}
            fn ledger(&mut self, _: crate::engine::LedgerRow) {}
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
}
