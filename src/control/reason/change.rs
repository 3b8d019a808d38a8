//! Rule 13 for settings that were changed while running (rule 8).

use super::Words;
use crate::control::changes::{ChangeOutcome, SettingsChange};
use crate::control::ranges::{Infeasible, Side};
use crate::control::setpoints::Setpoints;

impl Words<'_> {
    /// The reason of a change of settings. The words stand under the settings as they are after
    /// it, which for a refused change are those from before.
    pub fn change(
        &self,
        change: &SettingsChange,
        outcome: ChangeOutcome,
        before: &Setpoints,
        after: &Setpoints,
    ) -> String {
        match outcome {
            ChangeOutcome::Accepted => "in force; no setpoint had to move".into(),
            ChangeOutcome::Pushed => self.moved_by_change(before, after),
            ChangeOutcome::Refused(why) => self.refused_change(change, why),
        }
    }

    fn moved_by_change(&self, before: &Setpoints, after: &Setpoints) -> String {
        let parts = [Side::Heat, Side::Cool]
            .into_iter()
            .filter(|side| before.get(*side) != after.get(*side))
            .map(|side| self.side_moved_by_change(side, before, after));
        parts.collect::<Vec<_>>().join("; ")
    }

    fn side_moved_by_change(&self, side: Side, before: &Setpoints, after: &Setpoints) -> String {
        let rules = &self.settings.rules;
        let limits = rules.written(side);
        let (from, to) = (before.get(side), after.get(side));
        let mut causes = Vec::new();
        if rules.is_single() {
            let shared = self.range(rules.range(side));
            causes.push(format!("one setpoint serves both, from {shared}"));
        } else {
            if !limits.has(from) {
                causes.push(format!("its limits are {}", self.range(limits)));
            }
            if limits.hold(from) != to {
                causes.push(format!("the minimum deadband is {}", self.show(rules.deadband())));
            }
        }
        let (name, causes) = (side.name(), causes.join(" and "));
        format!("{name} moved from {} to {}: {causes}", self.show(from), self.show(to))
    }

    fn refused_change(&self, change: &SettingsChange, why: Infeasible) -> String {
        let limits = change.limits_after(&self.settings.rules);
        let deadband = self.show(change.deadband.unwrap_or(self.settings.rules.deadband()));
        let (heat, cool) = (self.range(limits.heat), self.range(limits.cool));
        match why {
            Infeasible::NegativeDeadband => {
                format!("nothing changed: a minimum deadband of {deadband} is below 0")
            }
            Infeasible::Crossed(side) => {
                let range = match side {
                    Side::Heat => heat,
                    Side::Cool => cool,
                };
                format!(
                    "nothing changed: the {} limits {range} are the wrong way round",
                    side.name()
                )
            }
            Infeasible::Deadband { excess } => format!(
                "nothing changed: from the lowest heat {} to the highest cool {} a minimum \
                 deadband of {deadband} is {} too much",
                self.show(limits.heat.low),
                self.show(limits.cool.high),
                self.show(excess)
            ),
            Infeasible::NothingShared { gap } => format!(
                "nothing changed: with a minimum deadband of 0 one setpoint serves both, and the \
                 heat limits {heat} and the cool limits {cool} miss each other by {}",
                self.show(gap)
            ),
        }
    }
}
