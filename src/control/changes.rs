//! Rule 8: settings that a technician changes while the zone runs.

use super::locks::{ControllerIndex, KeyLocks};
use super::modes::ModeSet;
use super::ranges::{Infeasible, Limits, OnConflict, Range, SetpointRules};
use super::request::{Settings, Standing, Stored};
use super::ticks::Ticks;

/// New values for some of a zone's settings; what is `None` stays.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct SettingsChange {
    /// The minimum deadband.
    pub deadband: Option<Ticks>,
    /// Limits of the heat setpoint.
    pub heat_limits: Option<Range>,
    /// Limits of the cool setpoint.
    pub cool_limits: Option<Range>,
    /// What happens where the deadband stands against a request.
    pub on_conflict: Option<OnConflict>,
    /// Modes that occupants may not select.
    pub locked_modes: Option<ModeSet>,
    /// New locks of controllers.
    pub key_locks: Vec<(ControllerIndex, KeyLocks)>,
}

/// What a change of settings did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ChangeOutcome {
    /// The settings are in force; no setpoint moved.
    Accepted,
    /// The settings are in force; at least one setpoint moved.
    Pushed,
    /// Nothing changed: under the new settings no pair of setpoints would be legal.
    Refused(Infeasible),
}

impl SettingsChange {
    /// The setpoint rules as they would be after the change.
    ///
    /// # Errors
    /// No pair of setpoints would be legal.
    pub fn rules_after(&self, rules: &SetpointRules) -> Result<SetpointRules, Infeasible> {
        let deadband = self.deadband.unwrap_or(rules.deadband());
        let on_conflict = self.on_conflict.unwrap_or(rules.on_conflict());
        SetpointRules::new(self.limits_after(rules), deadband, on_conflict)
    }

    /// The limits as the change would have them, feasible or not.
    pub(super) fn limits_after(&self, rules: &SetpointRules) -> Limits {
        Limits {
            heat: self.heat_limits.unwrap_or(rules.limits().heat),
            cool: self.cool_limits.unwrap_or(rules.limits().cool),
        }
    }

    /// Puts the change in force and brings the setpoints under it, or refuses it whole.
    pub fn apply(
        &self,
        settings: &mut Settings,
        stored: &mut Stored,
        standing: Standing,
    ) -> ChangeOutcome {
        let rules = match self.rules_after(&settings.rules) {
            Ok(rules) => rules,
            Err(why) => return ChangeOutcome::Refused(why),
        };
        settings.rules = rules;
        settings.locked_modes = self.locked_modes.unwrap_or(settings.locked_modes);
        for (controller, locks) in &self.key_locks {
            if let Some(slot) = settings.key_locks.get_mut(controller.get()) {
                *slot = *locks;
            }
        }
        let before = stored.setpoints;
        stored.setpoints = before.under(&rules, stored.active_or_heat(standing));
        let stayed =
            before.heat() == stored.setpoints.heat() && before.cool() == stored.setpoints.cool();
        if stayed { ChangeOutcome::Accepted } else { ChangeOutcome::Pushed }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::control::locks::LockableKey;
    use crate::control::modes::{Mode, Power};
    use crate::control::rig::{DESK, Given, Rig, WINDOW};
    use crate::direction::Direction;

    fn limits(rig: &Rig, heat: Option<(f64, f64)>, cool: Option<(f64, f64)>) -> SettingsChange {
        let range = |(low, high)| rig.range(low, high);
        SettingsChange {
            heat_limits: heat.map(range),
            cool_limits: cool.map(range),
            ..SettingsChange::default()
        }
    }

    fn deadband(rig: &Rig, value: f64) -> SettingsChange {
        SettingsChange { deadband: Some(rig.tick(value)), ..SettingsChange::default() }
    }

    const COOLING: Standing = Standing::Own(Direction::Cooling);

    #[test]
    fn rule_8a_setpoints_are_held_in_their_new_limits() {
        let mut rig = Given::default().rig();
        let narrower = limits(&rig, Some((18.0, 19.5)), Some((25.0, 26.0)));
        assert_eq!(rig.set(&narrower), "pushed 19.5/25");
        let wider = limits(&rig, Some((10.0, 30.0)), Some((16.0, 35.0)));
        assert_eq!(rig.set(&wider), "accepted 19.5/25");
    }

    #[test]
    fn rule_8b_the_active_side_keeps_its_value_and_pushes_the_other() {
        for (given, reading) in [
            (Given::default(), "pushed 20/25"),
            (Given { standing: COOLING, ..Given::default() }, "pushed 19/24"),
            (Given { mode: Mode::Dry, ..Given::default() }, "pushed 19/24"),
            (Given { mode: Mode::Heat, standing: COOLING, ..Given::default() }, "pushed 20/25"),
            // Where nothing is active, heat counts as active.
            (Given { mode: Mode::Fan, standing: COOLING, ..Given::default() }, "pushed 20/25"),
            (Given { power: Power::Off, standing: COOLING, ..Given::default() }, "pushed 20/25"),
        ] {
            let mut rig = given.rig();
            let wider = deadband(&rig, 5.0);
            assert_eq!(rig.set(&wider), reading, "{:?} {:?}", given.mode, given.power);
        }
    }

    #[test]
    fn rule_8c_where_the_push_meets_a_limit_the_active_side_gives_way() {
        let mut heating = Given::default().rig();
        let wide = deadband(&heating, 9.0);
        assert_eq!(heating.set(&wide), "pushed 19/28");
        let mut cooling = Given { standing: COOLING, ..Given::default() }.rig();
        assert_eq!(cooling.set(&wide), "pushed 17/26");
        // (a) and (b) in one: cool is held at 23, heat then has to leave 22.
        let mut both = Given { start: (22.0, 26.0), ..Given::default() }.rig();
        let low = limits(&both, None, Some((20.0, 23.0)));
        assert_eq!(both.set(&low), "pushed 21/23");
    }

    #[test]
    fn rule_8_without_a_deadband_both_take_the_active_value_held_in_what_they_share() {
        for (standing, reading) in
            [(Standing::Own(Direction::Heating), "pushed 20/20"), (COOLING, "pushed 22/22")]
        {
            let given = Given { standing, cool_limits: (19.0, 28.0), ..Given::default() };
            let mut rig = given.rig();
            let none = deadband(&rig, 0.0);
            assert_eq!(rig.set(&none), reading);
        }
    }

    #[test]
    fn rule_8_from_one_setpoint_to_two_the_active_side_stands() {
        let single = Given {
            deadband: 0.0,
            cool_limits: (19.0, 28.0),
            start: (21.0, 21.0),
            ..Given::default()
        };
        let mut heating = single.rig();
        let two = deadband(&heating, 2.0);
        assert_eq!(heating.set(&two), "pushed 21/23");
        let mut cooling = Given { standing: COOLING, ..single }.rig();
        assert_eq!(cooling.set(&two), "pushed 19/21");
    }

    #[test]
    fn rule_8_a_change_that_leaves_no_pair_is_refused_whole() {
        let mut rig = Given::default().rig();
        let before = rig.settings.clone();
        let change = SettingsChange {
            deadband: Some(rig.tick(12.0)),
            on_conflict: Some(OnConflict::Hold),
            locked_modes: Some(ModeSet::of(&[Mode::Cool])),
            key_locks: vec![(DESK, KeyLocks::new(&[LockableKey::Mode], true))],
            ..SettingsChange::default()
        };
        assert_eq!(rig.set(&change), "refused 20/24");
        assert_eq!(rig.settings, before);
        // The same limits would do with a smaller deadband: both are judged together.
        let mended = SettingsChange { deadband: Some(rig.tick(11.0)), ..change };
        assert_eq!(rig.set(&mended), "pushed 17/28");
        assert_eq!(rig.settings.rules.on_conflict(), OnConflict::Hold);
        assert!(rig.settings.locked_modes.has(Mode::Cool));
        assert!(rig.settings.key_locks[0].refuses(LockableKey::Mode));
        assert!(!rig.settings.key_locks[1].refuses(LockableKey::Mode));
    }

    #[test]
    fn rule_8_asked_values_become_the_present_ones() {
        let given = Given { on_conflict: OnConflict::PushAndReturn, ..Given::default() };
        let mut rig = given.rig();
        assert_eq!(rig.cool(22.0), "accepted 20/22");
        assert_eq!(rig.heat(22.0), "pushed 22/24");
        assert_eq!(rig.set(&SettingsChange::default()), "accepted 22/24");
        assert_eq!(rig.heat(20.0), "accepted 20/24");
    }

    #[test]
    fn rule_8_a_lock_that_arrives_at_one_controller_leaves_the_other_alone() {
        let mut rig = Given::default().rig();
        let lock = KeyLocks::new(&[LockableKey::Power], true);
        let change = SettingsChange { key_locks: vec![(WINDOW, lock)], ..Default::default() };
        assert_eq!(rig.set(&change), "accepted 20/24");
        assert_eq!(rig.settings.key_locks, [KeyLocks::NONE, lock]);
    }
}
