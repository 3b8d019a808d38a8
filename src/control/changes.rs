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
        let limits = Limits {
            heat: self.heat_limits.unwrap_or(rules.limits().heat),
            cool: self.cool_limits.unwrap_or(rules.limits().cool),
        };
        let deadband = self.deadband.unwrap_or(rules.deadband());
        SetpointRules::new(limits, deadband, self.on_conflict.unwrap_or(rules.on_conflict()))
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
