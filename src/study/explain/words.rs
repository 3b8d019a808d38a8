//! The chain of causes in words, but for call and timers.

use super::{Line, Moment, ZoneExplanation};
use crate::control::{Mode, Power, SensorPlace, Standing, mode_words};
use crate::engine::Model;
use crate::time::Instant;

impl Moment {
    pub(super) fn explain(&self, model: &Model, next_change: Option<Instant>) -> ZoneExplanation {
        let mut lines = vec![
            line("power", self.power(model)),
            line("mode", self.mode(model)),
            line("lockout", self.lockout()),
            line("setpoints", self.setpoints(model)),
            line("sensor", self.sensor(model)),
        ];
        let (call, timers, earliest) = self.call_and_timers(model);
        lines.push(line("call", call));
        lines.push(line("timers", timers));
        lines.push(line("plant", self.plant(model)));
        let clock = |at: Instant| model.period.clock(at);
        let until = match next_change {
            Some(change) => format!("in this run it changes at {}", clock(change)),
            None => "in this run it stays so to the end".into(),
        };
        let may = earliest.map_or_else(
            || "; nothing but a request can change it".to_string(),
            |at| format!("; the earliest it may change is {}", clock(at)),
        );
        lines.push(line("until", format!("{until}{may}")));
        ZoneExplanation {
            zone: self.row.zone,
            answer: self.answer(model),
            lines,
            earliest_change: earliest,
            next_change,
        }
    }

    fn answer(&self, model: &Model) -> String {
        let label = &model.zones[self.row.zone.get()].label;
        let doing = match (self.row.served, self.row.call) {
            (Some(direction), _) => format!("is {}", direction.name()),
            (None, Some(direction)) => {
                format!("calls for {} and is not served", direction.name())
            }
            (None, None) if self.row.starved => format!(
                "waits: it needs {}, which it may not have now",
                self.row.direction.opposite().name()
            ),
            (None, None) => "neither heats nor cools".into(),
        };
        format!("{label} {doing}.")
    }

    fn power(&self, model: &Model) -> String {
        let controls = &model.zones[self.row.zone.get()].controls;
        let off_at = controls.auto_off.zip(self.state.on_since).map(|(after, since)| since + after);
        if let Some(until) = self.state.dark_until {
            return format!("it has failed until {}", model.period.clock(until));
        }
        match (self.row.power, self.state.low_limit, off_at) {
            (Power::Off, false, _) => "off: no call can exist".into(),
            (Power::Off, true, _) => "off, but the low limit counts it as on".into(),
            (Power::On, _, Some(at)) => {
                format!("on; it goes off by itself at {}", model.period.clock(at))
            }
            (Power::On, _, None) => "on".into(),
        }
    }

    fn mode(&self, model: &Model) -> String {
        if self.state.low_limit {
            return "the low limit heats, whatever was selected".into();
        }
        let mode = mode_words(self.row.mode);
        let name = self.row.mode.name();
        match self.owner_label(model) {
            Some(owner) if self.row.mode != Mode::Fan => format!(
                "stored {name}, but the zone follows {owner}: the group is {}",
                self.row.direction.name()
            ),
            _ if self.row.mode == Mode::Auto => {
                format!("{name}: {mode}; its direction is {}", self.row.direction.name())
            }
            _ => format!("{name}: {mode}"),
        }
    }

    /// The label of the owner zone, where the zone follows one.
    pub(super) fn owner_label<'m>(&self, model: &'m Model) -> Option<&'m str> {
        let group = self.group.as_ref()?;
        let owner = group.owner.as_ref().map(|(owner, _)| *owner)?;
        match group.memory.standing(group.place, &self.logic) {
            Standing::Follower(_) => Some(model.zones[owner.get()].label.as_str()),
            Standing::Own(_) => None,
        }
    }

    fn lockout(&self) -> String {
        let settings = &self.state.settings;
        let locked: Vec<&str> = Mode::ALL
            .into_iter()
            .filter(|mode| settings.locked_modes.has(*mode))
            .map(Mode::name)
            .collect();
        if locked.is_empty() {
            "no mode is locked".into()
        } else {
            format!("occupants may not select {}", locked.join(", "))
        }
    }

    fn setpoints(&self, model: &Model) -> String {
        let (heat, cool) = (self.row.heat, self.row.cool);
        let over = self.state.presence.override_until().filter(|end| *end > self.row.at);
        let why = match (self.row.occupied, over) {
            (true, _) => "occupied".to_string(),
            (false, Some(end)) => {
                format!("unoccupied, overridden until {}", model.period.clock(end))
            }
            (false, None) => "unoccupied: the setback works".into(),
        };
        format!("heat {heat}, cool {cool} ({why})")
    }

    fn sensor(&self, model: &Model) -> String {
        let letter = model.unit.letter();
        let place = match model.zones[self.row.zone.get()].controls.sensor.place {
            SensorPlace::Room => "in the room",
            SensorPlace::ReturnAir { .. } => "in the return air",
            SensorPlace::Controllers { .. } => "at the controllers",
        };
        format!(
            "reads {} {letter} {place}; the room's air is at {:.1} {letter}",
            trimmed(self.row.sensed),
            self.row.temperature
        )
    }

    fn plant(&self, model: &Model) -> String {
        let row = &self.row;
        let kilowatts = |watts: f64| format!("{:.2} kW", watts.abs() / 1000.0);
        match (row.served, row.call) {
            (Some(direction), _) => format!(
                "{} with {} for {} of electricity",
                direction.name(),
                kilowatts(row.heat_w),
                kilowatts(row.electric_w)
            ),
            (None, Some(_)) => match self.why_not_served(model) {
                Some((words, _)) => format!("gives nothing although there is a call: {words}"),
                None => "gives nothing although there is a call".into(),
            },
            (None, None) if row.electric_w > 0.0 => {
                format!("only fan or standby, {}", kilowatts(row.electric_w))
            }
            (None, None) => "rests".into(),
        }
    }
}

fn line(about: &'static str, words: String) -> Line {
    Line { about, words }
}

/// A temperature with at most two decimals.
pub(super) fn trimmed(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}
