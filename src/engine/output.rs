//! Rule 18, between phases 3 and 4 of a step: which stages run, and what integral action adds.

use super::state::ZoneState;
use super::step::Simulation;
use crate::control::{Integration, Mode, Selection, Staging, Standing, ZoneLogic};
use crate::direction::Direction;
use crate::plant::{Drive, UnitControl};

impl Simulation<'_> {
    /// Takes stages and integrals of the zones that have them into the step.
    pub(super) fn enter_outputs(&mut self) {
        for at in 0..self.plan.outputs.len() {
            let zone = self.plan.outputs[at];
            if let Some(direction) = self.state.logic[zone].state.call().direction() {
                self.enter_output(zone, direction);
            }
        }
    }

    fn enter_output(&mut self, zone: usize, direction: Direction) {
        let dry = self.is_dry(zone);
        let logic = &self.state.logic[zone];
        let output = &mut self.state.zones[zone].output;
        match self.plan.model.zones[zone].unit.control {
            UnitControl::Staged { stages, .. } => {
                let staging = Staging::new(stages.count(), stages.step());
                let beyond = logic.beyond_start(direction);
                output.enter_stage(&staging, beyond, dry || logic.is_past_end(direction));
            }
            UnitControl::Modulating { integral_time: Some(_), .. } if dry => {
                output.integral_mut().hold();
            }
            UnitControl::Modulating { turndown, throttling_range, integral_time: Some(time) } => {
                let steps_per_time = self.plan.model.period.step().get() as f64 / time;
                let how = Integration { steps_per_time, throttling_range, turndown };
                output.integral_mut().enter(logic.distance_to_end(direction), &how);
            }
            UnitControl::Modulating { integral_time: None, .. } | UnitControl::Ideal => {}
        }
    }

    /// Whether a zone's own mode holds its unit at the lowest output.
    pub(super) fn is_dry(&self, zone: usize) -> bool {
        let (logic, plan) = (&self.state.logic[zone], &self.plan.zones[zone]);
        let standing = self.state.groups[plan.group].standing(plan.place, logic);
        logic.selection == Selection::On(Mode::Dry) && matches!(standing, Standing::Own(_))
    }
}

/// How a zone's controls drive its unit during a call. Past the end of a call the unit is held at
/// its lowest output, whatever the integral (rule 9).
pub(super) fn drive(logic: &ZoneLogic, state: &ZoneState, direction: Direction) -> Drive {
    let past_end = logic.is_past_end(direction);
    let integral = if past_end { 0.0 } else { state.output.integral() };
    Drive {
        distance: logic.distance_to_end(direction) + integral,
        stage: state.output.stage().place(),
    }
}
