//! What was asked of the unit: the setpoint itself, who moved it, and what holds it there.

use super::look::{CLOSE, Look};
use super::scene::shown;
use super::{CauseFound as Cause, Felt};
use crate::control::OnConflict;
use crate::direction::Direction;
use crate::log::LogTime;

/// A setpoint that was moved within so long may be why, s.
const RECENT: i64 = 24 * 3600;
/// Moves the same way within so long of each other are one, s.
const ONE_MOVE: i64 = 30 * 60;
/// A request and the row that shows what it did are no further apart, s.
const SAME_TIME: i64 = 300;

impl Look<'_> {
    /// The setpoint lies outside the band, or asks for nothing in a room that does: who moved it, or what
    /// holds it there. Where the sensor is why the air is outside, only the first is a cause as well.
    pub(super) fn setpoint(&self, sensor_explains: bool) -> Option<Cause> {
        let setpoint = self.setpoint_at(self.place)?;
        let (low, high) = self.scene.band;
        let beyond = match self.felt {
            Felt::Cold => setpoint < low,
            Felt::Hot => setpoint > high,
        };
        let idle = !self.is_called(self.place) && !self.is_served();
        let asks_nothing = idle && self.is_outside() && !sensor_explains;
        if !beyond && !asks_nothing {
            return None;
        }
        let first = self.first(|place| self.setpoint_at(place) == Some(setpoint));
        let since = self.time_of(first);
        let side = self.needs.side().name();
        let reading = format!("{side} {}", shown(setpoint));
        if let Some((code, message)) = self.held(setpoint) {
            return Some(Cause::new(code, since, reading, message));
        }
        if let Some((since, before)) = self.moved_from(first, setpoint) {
            let message = format!(
                "{} had moved its {side} setpoint from {} to {}",
                self.who(since),
                shown(before),
                shown(setpoint)
            );
            return Some(Cause::new("moved_by", since, reading, message));
        }
        let message =
            format!("its {side} setpoint stood at {}, which asked for no more", shown(setpoint));
        Some(Cause::new("setpoint", since, reading, message))
    }

    /// When a setpoint began to be moved away from what was wanted, and from where: several moves the
    /// same way soon after each other are one.
    fn moved_from(&self, first: usize, setpoint: f64) -> Option<(LogTime, f64)> {
        let mut found = None;
        let (mut first, mut value) = (first, setpoint);
        while first > 0 && !self.scene.samples[first].after_gap {
            let Some(before) = self.setpoint_at(first - 1) else { break };
            let away = (before - value) * self.needs.sign() > CLOSE;
            let soon =
                found.is_none_or(|(at, _): (LogTime, f64)| at - self.time_of(first) <= ONE_MOVE);
            if !away || !soon || self.at_time() - self.time_of(first) > RECENT {
                break;
            }
            found = Some((self.time_of(first), before));
            value = before;
            let earlier = self.moved_to(first - 1)?;
            first = earlier.first(|place| earlier.setpoint_at(place) == Some(before));
        }
        found
    }

    /// Who changed a setpoint at a time.
    fn who(&self, since: LogTime) -> &str {
        let near = self.scene.by.iter().find(|(at, _)| (*at - since).abs() <= SAME_TIME);
        near.map_or("somebody", |(_, by)| by.as_str())
    }

    /// A limit or the deadband at which the setpoint stands, on the side on which more was wanted.
    fn held(&self, setpoint: f64) -> Option<(&'static str, String)> {
        let settings = &self.scene.controls.settings;
        let side = self.needs.side();
        let range = settings.rules.written(side);
        let limit = match self.needs {
            Direction::Heating => range.high,
            Direction::Cooling => range.low,
        };
        let half = settings.grid.step() / 2.0;
        let limit = settings.grid.value(limit);
        if (setpoint - limit).abs() < half {
            let words =
                format!("its {} setpoint stood at its limit of {}", side.name(), shown(limit));
            return Some(("limit", words));
        }
        let (heat, cool) = self.now.heat.zip(self.now.cool)?;
        let deadband = settings.grid.value(settings.rules.deadband());
        let hold = settings.rules.on_conflict() == OnConflict::Hold;
        let at_deadband = (cool - heat - deadband).abs() < half;
        (at_deadband && hold && deadband > 0.0).then(|| {
            let words = format!(
                "its {} setpoint stood at the deadband of {} to the other, which does not give way",
                side.name(),
                shown(deadband)
            );
            ("deadband", words)
        })
    }
}
