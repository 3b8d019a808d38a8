//! What to do, what is read and what it proves, in plain words.

use super::super::figures::{setpoint, unit_sign};
use super::super::run::label;
use super::Sheeted;
use crate::control::{
    Direction, Key, LockableKey, Mode, Opening, OverrideUntil, OwnerOff, Power, Request, Sharing,
    Side,
};
use crate::engine::{Zone, ZoneIndex};
use crate::study::sheet::{Deed, Deferred, Effect, Hindrance, Part, Proven, Step, season};
use crate::time::Seconds;

/// `2 min 30 s`, `1 h`.
pub(super) fn time_words(time: Seconds) -> String {
    let (hours, minutes, seconds) = (time.get() / 3600, time.get() / 60 % 60, time.get() % 60);
    let part = |count: i64, unit: &str| (count > 0).then(|| format!("{count} {unit}"));
    let parts: Vec<String> = [part(hours, "h"), part(minutes, "min"), part(seconds, "s")]
        .into_iter()
        .flatten()
        .collect();
    if parts.is_empty() { "0 s".into() } else { parts.join(" ") }
}

impl Sheeted<'_> {
    /// What a line proves, or where it leads.
    pub(super) fn proof(&self, step: &Step) -> String {
        let all: Vec<String> =
            step.proves.iter().map(|item| self.proven(step.place.zone, *item)).collect();
        let mut text = all.join("; ");
        if let Some(first) = text.get(..1) {
            let first = first.to_uppercase();
            text.replace_range(..1, &first);
        }
        text
    }

    /// One outcome.
    pub(super) fn proven(&self, zone: ZoneIndex, item: Proven) -> String {
        let it = self.zone(zone);
        let settings = &it.controls.settings;
        let (rules, grid) = (&settings.rules, settings.grid);
        let thermostat = &it.controls.thermostat;
        match item {
            Proven::Active(mode, side) => {
                format!("warmer and cooler move {} in {}", side.name(), mode.name())
            }
            Proven::Effect { side, up, effect } => {
                let gap = grid.show(rules.deadband());
                effect_words(it, side, up, effect, &gap.to_string())
            }
            Proven::Kept(side) => {
                format!("{} stays where it was pushed, with room to return", side.name())
            }
            Proven::Steps(from, to) => {
                format!("the mode key leads from {} to {}", from.name(), to.name())
            }
            Proven::NoOtherMode(mode) => {
                format!("from {} the mode key leads nowhere", mode.name())
            }
            Proven::NoFan => "this zone follows the owner's mode, and fan is not to be had".into(),
            Proven::Switched(power) => format!("the power key switches it {}", power.name()),
            Proven::IdleWhenOff(key) => format!("{} does nothing with the power off", key.name()),
            Proven::IdleInFan(key) => format!("{} does nothing in fan", key.name()),
            Proven::Locked(key, at) => {
                format!("{} locked at controller {}", lock_words(key), self.controller(zone, at))
            }
            Proven::Free(key, at) => {
                format!("{} free at controller {}", lock_words(key), self.controller(zone, at))
            }
            Proven::AsFound => "what is stored is what the record says".into(),
            Proven::CallStarts(direction) => format!(
                "a {} call starts {} {} the setpoint and not before",
                direction.name(),
                degrees(thermostat.call_start.of(direction), self),
                if direction == Direction::Heating { "below" } else { "above" }
            ),
            Proven::CallEnds(direction) => format!(
                "a {} call ends {} past the setpoint and not before",
                direction.name(),
                degrees(thermostat.call_stop.of(direction), self)
            ),
            Proven::LeastRun(direction) => format!(
                "a {} call is kept on for its least time of {}",
                direction.name(),
                time_words(thermostat.min_on)
            ),
            Proven::Rest(direction) => format!(
                "{} waits for the rest of {}",
                direction.name(),
                time_words(self.rest(zone))
            ),
            Proven::TurnsTo(direction) => {
                format!("it turns to {} once the changeover delay has passed", direction.name())
            }
            Proven::PowerTakesCall(direction) => {
                format!("power off ends a {} call at once", direction.name())
            }
            Proven::PowerReturn => {
                "after a power failure setpoints, mode and power are as stored, and timers start \
                 anew"
                    .into()
            }
            Proven::AutomaticOff => format!(
                "the zone goes off by itself {} after it came on",
                it.controls.auto_off.map(time_words).unwrap_or_default()
            ),
            Proven::Setback(direction) => format!(
                "the {} setback is as deep as it is set: one step less and the call went on",
                direction.name()
            ),
            Proven::Override(direction) => format!(
                "a press while nobody is there brings the stored setpoints back ({})",
                direction.name()
            ),
            Proven::OverrideEnds(_)
            | Proven::OutdoorStops(_)
            | Proven::OutdoorAgain(_)
            | Proven::WindowActs(_)
            | Proven::GoesBack => from_outside(it, item),
            Proven::OwnerTurns(direction) => format!(
                "the owner turns the group to {}, and this zone goes with it",
                direction.name()
            ),
            Proven::OwnerOff => self.owner_off(zone),
            Proven::Here => {
                "this controller is this zone's: its display moves and its unit answers, no other"
                    .into()
            }
            Proven::Restored => "settings are left as recorded".into(),
        }
    }

    fn owner_off(&self, zone: ZoneIndex) -> String {
        let group = self.model.outdoor_units.iter().find(|group| group.zones.contains(&zone));
        let stops = group.is_some_and(|group| {
            let stop = OwnerOff::Stop;
            matches!(group.settings.sharing, Sharing::SingleMode { owner_off, .. } if owner_off == stop)
        });
        if stops {
            "the owner's power off stops the whole group".into()
        } else {
            "with the owner's power off the group keeps its direction and goes on".into()
        }
    }

    /// The longest rest that a call of a zone may have to wait for.
    fn rest(&self, zone: ZoneIndex) -> Seconds {
        let own = self.zone(zone).controls.thermostat.min_off;
        let group = self.model.outdoor_units.iter().find(|group| group.zones.contains(&zone));
        group.map_or(own, |group| own.max(group.settings.min_off))
    }

    /// What a controller is called.
    pub(super) fn controller(&self, zone: ZoneIndex, at: usize) -> String {
        let controllers = &self.zone(zone).controls.settings.controllers;
        controllers.id(crate::control::ControllerIndex::new(at)).to_owned()
    }

    /// An outcome that no line shows, and why.
    pub(super) fn missing(&self, zone: ZoneIndex, item: Proven) -> String {
        let room = setpoint(self.sheet.rooms[zone.get()]);
        let unit = unit_sign(self.model.unit);
        let why = match item {
            Proven::Effect { side, .. } | Proven::Active(_, side) => format!(
                "the keys in force move {} only while the zone has that direction, to which it \
                 does not turn with the room at {room} {unit}; another --room may bring it about",
                side.name()
            ),
            _ => "the presses that lead there turn out otherwise at this room temperature".into(),
        };
        let name = label(self.zone(zone));
        format!("{name}: {}; {why}.", self.proven(zone, item))
    }

    /// What has to wait, and why.
    pub(super) fn deferred(&self, deferred: &Deferred) -> String {
        let zone = label(self.zone(deferred.zone));
        let what = part_words(deferred.part);
        format!("{zone}, {what}: {}.", self.hindrance(deferred.zone, deferred.why))
    }

    pub(super) fn hindrance(&self, zone: ZoneIndex, why: Hindrance) -> String {
        let unit = unit_sign(self.model.unit);
        let room = setpoint(self.sheet.rooms[zone.get()]);
        match why {
            Hindrance::Room(direction) => format!(
                "with the room at {room} {unit} no keys bring the {} setpoint across it; make the \
                 sheet again with --room when the room reads otherwise, or test the sensor with a \
                 source of known temperature",
                direction.side().name()
            ),
            Hindrance::Season(direction) => {
                let season = season(self.model, zone, direction);
                let from = season.lowest.map(|value| format!("from {} {unit}", setpoint(value)));
                let to = season.highest.map(|value| format!("up to {} {unit}", setpoint(value)));
                let span: Vec<String> = [from, to].into_iter().flatten().collect();
                format!(
                    "{} is not run for a test at this outdoor temperature; come back when it is {} \
                     outside",
                    direction.name(),
                    span.join(" ")
                )
            }
            Hindrance::Wait(time) => format!(
                "it takes {}, longer than the longest wait; --longest-wait allows it",
                time_words(time)
            ),
            Hindrance::Keys => "no keys that an occupant has lead there".into(),
            Hindrance::Midnight => {
                "the override ends at midnight; press in the evening and read in the morning".into()
            }
            Hindrance::OutdoorGap => {
                "its outdoor limits allow no temperature at which it heats and \
                 cools; come back on a day that passes both limits"
                    .into()
            }
        }
    }
}

/// What to do.
pub(super) fn deed_words(step: &Step) -> String {
    match &step.deed {
        Deed::Look => "Read the display".into(),
        Deed::Wait(time) => format!("Wait {}", time_words(*time)),
        Deed::Press { key, times: 1 } => format!("Press {}", key.name()),
        Deed::Press { key, times } => format!("Press {} {times} times", key.name()),
        Deed::PowerFailure(time) => format!(
            "Switch the supply off at the isolator, on again after {}; read 10 s later",
            time_words(*time)
        ),
        Deed::Leave => "Make the controls see nobody (clock outside the hours of occupancy, or \
                        sensor covered for its hold time)"
            .into(),
        Deed::Return => "Make the controls see somebody again".into(),
        Deed::Window(Opening::Open) => "Open a window, or its contact".into(),
        Deed::Window(Opening::Closed) => "Close the window, or its contact".into(),
        Deed::Outdoors(Some(reads)) => format!(
            "Make the outdoor sensor read {} (warm or cool it, or put a resistor in its place); \
             where that cannot be done, leave this part for a day when it is so outside",
            setpoint(*reads)
        ),
        Deed::Outdoors(None) => "Let the outdoor sensor read as it is".into(),
        Deed::Clock(time) => format!(
            "Set the controller's clock to a minute before {time}, wait until it has passed, and set \
             it right again"
        ),
        Deed::Restore { requests } => {
            let mut words: Vec<String> = Vec::new();
            for request in requests {
                let word = request_words(*request);
                if !words.contains(&word) {
                    words.push(word);
                }
            }
            format!("As technician set back: {}", words.join(", "))
        }
    }
}

/// The name of a part.
pub(super) fn part_words(part: Part) -> String {
    match part {
        Part::AsFound => "as found".into(),
        Part::Keys => "keys, limits, modes and locks".into(),
        Part::Calls(direction) => format!("{} calls and timers", direction.name()),
        Part::Changeover => "changeover".into(),
        Part::Unoccupied => "setback and override".into(),
        Part::AutomaticOff => "automatic off".into(),
        Part::OutdoorLimit(direction) => format!("outdoor limit of {}", direction.name()),
        Part::Window => "open window".into(),
        Part::Returns => "setpoints that go back".into(),
        Part::PowerReturn => "power failure".into(),
        Part::Owner => "owner of the group".into(),
        Part::Restore => "left as recorded".into(),
    }
}

/// What the running light says.
pub(super) fn running_words(running: Option<Direction>) -> &'static str {
    match running {
        Some(direction) => direction.name(),
        None => "not running",
    }
}

fn degrees(value: f64, sheeted: &Sheeted<'_>) -> String {
    format!("{} {}", setpoint(value), unit_sign(sheeted.model.unit))
}

const fn lock_words(key: LockableKey) -> &'static str {
    match key {
        LockableKey::Setpoint => "warmer and cooler are",
        LockableKey::Mode => "the mode key is",
        LockableKey::Fan => "the fan key is",
        LockableKey::Power => "the power key is",
    }
}

fn request_words(request: Request) -> String {
    match request {
        Request::Power(Power::On) => "power on".into(),
        Request::Power(Power::Off) => "power off".into(),
        Request::Mode(Mode::Fan) => "mode fan".into(),
        Request::Mode(mode) => format!("mode {}", mode.name()),
        Request::Setpoint(side, value) => format!("{} {}", side.name(), setpoint(value)),
        Request::Press(key) => format!("press {}", Key::name(key)),
    }
}

fn effect_words(zone: &Zone, side: Side, up: bool, effect: Effect, gap: &str) -> String {
    let settings = &zone.controls.settings;
    let (rules, grid) = (&settings.rules, settings.grid);
    let (name, other) = (side.name(), side.other().name());
    let way = if up { "up" } else { "down" };
    let end = |of: Side| {
        let range = rules.written(of);
        grid.show(if up { range.high } else { range.low }).to_string()
    };
    if rules.is_single() {
        return match effect {
            Effect::MovesAlone | Effect::Pushes | Effect::LetsReturn => {
                format!("heat and cool move {way} together as one setpoint")
            }
            Effect::AtLimit => format!("the one setpoint stops at the {name} limit {}", end(side)),
            Effect::AtOtherLimit | Effect::AtOtherSetpoint => {
                format!("the one setpoint stops at the {other} limit {}", end(side.other()))
            }
        };
    }
    match effect {
        Effect::MovesAlone => format!(
            "{name} moves {way} by {} and {other} stays where it is",
            grid.show(crate::control::Ticks::ONE)
        ),
        Effect::Pushes => format!("{name} going {way} pushes {other}: the deadband is {gap}"),
        Effect::LetsReturn => format!("{name} going {way} lets {other} return where it was set"),
        Effect::AtLimit => format!("{name} stops at its limit {}", end(side)),
        Effect::AtOtherLimit => format!(
            "{name} stops where {other} meets its limit {} and the deadband {gap} is between them",
            end(side.other())
        ),
        Effect::AtOtherSetpoint => {
            format!("{name} stops at the deadband {gap}, and {other} does not move")
        }
    }
}

/// What is proven of overrides, outdoor limits, window contacts and setpoints that go back.
fn from_outside(zone: &Zone, item: Proven) -> String {
    let controls = &zone.controls;
    match item {
        Proven::OutdoorStops(direction) => {
            format!("{} stops at its outdoor limit and not before", direction.name())
        }
        Proven::OutdoorAgain(direction) => format!(
            "{} comes back past the hysteresis of its outdoor limit and not before",
            direction.name()
        ),
        Proven::WindowActs(direction) => format!(
            "a window open for {} ends a {} call: {}",
            time_words(controls.window_contact.acts_after),
            direction.name(),
            controls.window_contact.does.words()
        ),
        Proven::OverrideEnds(_) if controls.override_until == OverrideUntil::Change => {
            "the override ends when somebody next comes or goes".into()
        }
        Proven::OverrideEnds(_) => {
            format!("the override ends after {}", time_words(controls.override_time))
        }
        _ => "the setpoints go back by the clock".into(),
    }
}
