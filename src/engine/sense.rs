//! Phase 2 of a step: what the sensors report, and the low limit that acts on it at once.

use super::observe::Observer;
use super::step::Simulation;
use super::trace::EventKind;
use crate::control::LowLimit;
use crate::time::Instant;

impl Simulation<'_> {
    /// Reads every zone's governing sensor.
    pub(super) fn read_sensors(&mut self, now: Instant, observer: &mut impl Observer) {
        for (zone, plan) in self.plan.zones.iter().enumerate() {
            let (state, air) = (&mut self.state.zones[zone], self.state.nodes[zone][0]);
            let body = plan.sensor.follow(state.lagged, air, state.served);
            state.lagged = Some(body);
            self.state.logic[zone].sensed = plan.sensor.report(body);
        }
        for at in 0..self.plan.low_limits.len() {
            let (zone, limit) = self.plan.low_limits[at];
            self.guard(zone, limit, now, observer);
        }
    }

    fn guard(&mut self, zone: usize, limit: LowLimit, now: Instant, observer: &mut impl Observer) {
        if self.state.zones[zone].dark_until.is_some() {
            return;
        }
        let (sensed, active) = (self.state.logic[zone].sensed, self.state.zones[zone].low_limit);
        if !active && sensed < limit.below {
            self.state.zones[zone].low_limit = true;
            let reason =
                format!("{} is below the low limit {}: it heats", shown(sensed), limit.below);
            self.event(zone, now, EventKind::LowLimitFrom, reason, observer);
        } else if active && sensed >= limit.until {
            self.state.zones[zone].low_limit = false;
            let reason =
                format!("{} is back at {}: what was selected works", shown(sensed), limit.until);
            self.event(zone, now, EventKind::LowLimitUntil, reason, observer);
        } else {
            return;
        }
        self.refresh(zone, now);
    }
}

/// A reading for people, in hundredths. Cut, not rounded: what is below a limit must read so.
fn shown(sensed: f64) -> f64 {
    (sensed * 100.0 + 1e-6).floor() / 100.0
}

#[cfg(test)]
mod tests {
    use super::shown;

    #[test]
    fn a_reading_just_below_a_limit_is_shown_below_it() {
        let texts = [4.991_796, 4.999_999, 4.9, 4.35, 6.0].map(|sensed| shown(sensed).to_string());
        assert_eq!(texts, ["4.99", "4.99", "4.9", "4.35", "6"]);
    }
}
