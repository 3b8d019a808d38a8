//! Why is it doing this now, and until when: the chain of causes at one instant.

use crate::control::{
    Call, Mode, Power, Selection, SensorPlace, Sharing, Standing, ThermostatState, ZoneLogic,
};
use crate::direction::Direction;
use crate::engine::{
    GroupMemory, GroupView, LedgerRow, Model, Observer, Simulation, StepRow, ZoneIndex, ZoneState,
    ZoneView, start,
};
use crate::time::Instant;

/// What every zone does at an instant, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Explanation {
    /// The step that was looked at.
    pub at: Instant,
    /// Zone by zone.
    pub zones: Vec<ZoneExplanation>,
}

/// What one zone does at an instant, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneExplanation {
    /// Which zone.
    pub zone: ZoneIndex,
    /// The answer as a sentence.
    pub answer: String,
    /// The chain of causes.
    pub lines: Vec<Line>,
    /// The earliest instant at which what it does may change.
    pub earliest_change: Option<Instant>,
    /// When it does change in this run, if it does before the end.
    pub next_change: Option<Instant>,
}

/// One link of the chain.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// What it is about: power, mode, lockout, call, timers, sensor.
    pub about: &'static str,
    /// What is so.
    pub words: String,
}

/// Explains the step in which `at` lies; an instant beyond the period gives its last step.
pub fn explain(model: &Model, at: Instant) -> Explanation {
    let step = model.period.step();
    let last = model.period.end() - step;
    let at = Instant::new(at.min(last).get() / step.get() * step.get());
    let (mut simulation, _) = start(model);
    let mut probe = Probe { at, moments: Vec::new(), changed: Vec::new() };
    while simulation.state().now < model.period.end() && !probe.is_done(model) {
        let before = (simulation.state().now == at).then(|| simulation.state().clone());
        simulation.step(&mut probe);
        if before.is_some() {
            probe.keep_groups(&simulation);
        }
    }
    let zones = probe
        .moments
        .iter()
        .zip(&probe.changed)
        .map(|(moment, changed)| moment.explain(model, *changed))
        .collect();
    Explanation { at, zones }
}

/// Keeps what the zones were at one instant, and when each next does something else.
struct Probe {
    at: Instant,
    moments: Vec<Moment>,
    changed: Vec<Option<Instant>>,
}

/// One zone at the instant in question.
#[derive(Clone, Debug)]
struct Moment {
    row: StepRow,
    state: ZoneState,
    logic: ZoneLogic,
    group: Option<(GroupMemory, usize, Option<ZoneIndex>)>,
}

impl Observer for Probe {
    fn zone(&mut self, view: &ZoneView<'_>) {
        let place = view.zone.get();
        if view.at == self.at {
            self.moments.push(Moment {
                row: view.row(),
                state: view.state.clone(),
                logic: view.logic.clone(),
                group: None,
            });
            self.changed.push(None);
        } else if view.at > self.at && self.changed[place].is_none() {
            let then = &self.moments[place].row;
            let differs = (then.call, then.served, then.power, then.mode)
                != (
                    view.call().direction(),
                    view.power.served,
                    view.state.stored.power,
                    view.state.stored.mode,
                );
            self.changed[place] = differs.then_some(view.at);
        }
    }

    fn group(&mut self, _: &GroupView<'_>) {}
    fn ledger(&mut self, _: LedgerRow) {}
    fn call_began(&mut self, _: ZoneIndex, _: Instant) {}
}

impl Probe {
    fn is_done(&self, model: &Model) -> bool {
        self.changed.len() == model.zones.len() && self.changed.iter().all(Option::is_some)
    }

    fn keep_groups(&mut self, simulation: &Simulation<'_>) {
        for (zone, moment) in self.moments.iter_mut().enumerate() {
            let (group, place, owner) = simulation.group_of(zone);
            moment.group = Some((group.clone(), place, owner));
        }
    }
}

impl Moment {
    fn explain(&self, model: &Model, next_change: Option<Instant>) -> ZoneExplanation {
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
        lines.push(line("plant", self.plant()));
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
        let mode = crate::control::mode_words(self.row.mode);
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
    fn owner_label<'m>(&self, model: &'m Model) -> Option<&'m str> {
        let (group, place, owner) = self.group.as_ref()?;
        match group.standing(*place, &self.logic) {
            Standing::Follower(_) => owner.map(|owner| model.zones[owner.get()].label.as_str()),
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

    /// What the thermostat wants, what keeps it from it, and the earliest end of that.
    fn call_and_timers(&self, model: &Model) -> (String, String, Option<Instant>) {
        let next_step = self.row.at + model.period.step();
        let clock = |at: Instant| model.period.clock(at);
        match self.logic.state.call() {
            Call::On { direction, served_since } => {
                let end = end_of_call(&self.logic, direction);
                let ends =
                    self.logic.thermostat.ends(direction, self.logic.sensed, self.logic.working);
                let held_until = served_since.unwrap_or(self.row.at) + self.logic.thermostat.min_on;
                let call =
                    format!("{} since the sensor reached its start; ends {end}", direction.name());
                let timers = if ends {
                    format!("satisfied, but held on until {} (min_on)", clock(held_until))
                } else if held_until > next_step {
                    format!("must run until {} (min_on)", clock(held_until))
                } else {
                    "none holds it".into()
                };
                (call, timers, Some(held_until.max(next_step)))
            }
            Call::Off { since } => self.no_call(model, since, next_step),
        }
    }

    fn no_call(
        &self,
        model: &Model,
        since: Option<Instant>,
        next_step: Instant,
    ) -> (String, String, Option<Instant>) {
        let clock = |at: Instant| model.period.clock(at);
        let (logic, direction) = (&self.logic, self.row.direction);
        if matches!(logic.selection, Selection::Off | Selection::On(Mode::Fan)) {
            let wakes = self.next_by_clock(model);
            return ("none: power or mode allows none".into(), "none".into(), wakes);
        }
        let rest_until = since.map(|end| end + logic.thermostat.min_off);
        let rests = rest_until.filter(|end| *end > self.row.at);
        if logic.selection.allows(direction) && logic.meets_start(direction) {
            let call = format!("none yet, though {} is wanted", direction.name());
            return match rests {
                Some(end) => {
                    (call, format!("the unit rests until {} (min_off)", clock(end)), Some(end))
                }
                None => (call, "the compressor rests".into(), Some(next_step)),
            };
        }
        let opposite = direction.opposite();
        if logic.meets_start(opposite) {
            return self.waits_for_turn(model, opposite, rests, next_step);
        }
        let call = format!("none: {}", between(logic, direction));
        let timers = rests.map_or_else(
            || "none runs".to_string(),
            |end| format!("the unit rests until {} (min_off)", clock(end)),
        );
        (call, timers, Some(rests.unwrap_or(next_step)))
    }

    /// The zone needs the opposite of its direction.
    fn waits_for_turn(
        &self,
        model: &Model,
        wanted: Direction,
        rests: Option<Instant>,
        next_step: Instant,
    ) -> (String, String, Option<Instant>) {
        let clock = |at: Instant| model.period.clock(at);
        let call = format!("none, though {} is needed", wanted.name());
        if let Some(owner) = self.owner_label(model) {
            let timers = format!("it waits until {owner} turns the group to {}", wanted.name());
            return (
                call,
                timers,
                self.next_turn_of_group().map(|at| at.max(next_step)).or(Some(next_step)),
            );
        }
        if !self.logic.selection.allows(wanted) {
            let timers = format!("none: the mode does not allow {}", wanted.name());
            return (call, timers, self.next_by_clock(model));
        }
        let delay = match self.group.as_ref().map(|(group, ..)| group.settings.sharing) {
            Some(Sharing::SingleMode { policy, changeover_delay, .. })
                if policy != crate::control::ModePolicy::Owner =>
            {
                changeover_delay
            }
            _ => self.logic.thermostat.changeover_delay,
        };
        let turn = served_until(&self.logic.state, wanted.opposite()).map(|end| end + delay);
        let turn = turn.filter(|at| *at > self.row.at);
        let earliest = turn.max(rests).unwrap_or(next_step);
        let timers = match (turn, rests) {
            (Some(turn), Some(rest)) => format!(
                "changeover not before {} (changeover_delay), no start before {} (min_off)",
                clock(turn),
                clock(rest)
            ),
            (Some(turn), None) => {
                format!("changeover not before {} (changeover_delay)", clock(turn))
            }
            (None, Some(rest)) => format!("no start before {} (min_off)", clock(rest)),
            (None, None) => "another zone's call holds the direction".into(),
        };
        (call, timers, Some(earliest))
    }

    fn next_turn_of_group(&self) -> Option<Instant> {
        let (group, ..) = self.group.as_ref()?;
        let end = group.state.served_until(group.state.direction())?;
        Some(end + self.logic.thermostat.changeover_delay)
    }

    /// The next instant at which the clock alone may change power or setpoints.
    fn next_by_clock(&self, model: &Model) -> Option<Instant> {
        let zone = &model.zones[self.row.zone.get()];
        let action = model
            .actions
            .iter()
            .find(|action| action.zone == self.row.zone && action.at > self.row.at);
        let low_limit = zone.controls.low_limit.map(|_| self.row.at + model.period.step());
        [action.map(|action| action.at), low_limit].into_iter().flatten().min()
    }

    fn plant(&self) -> String {
        let row = &self.row;
        let kilowatts = |watts: f64| format!("{:.2} kW", watts.abs() / 1000.0);
        match (row.served, row.call) {
            (Some(direction), _) => format!(
                "{} with {} for {} of electricity",
                direction.name(),
                kilowatts(row.heat_w),
                kilowatts(row.electric_w)
            ),
            (None, Some(_)) => "gives nothing although there is a call".into(),
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

fn served_until(state: &ThermostatState, direction: Direction) -> Option<Instant> {
    state.served_until(direction)
}

/// At which reading a call ends.
fn end_of_call(logic: &ZoneLogic, direction: Direction) -> String {
    let (at, stop) = (logic.working, logic.thermostat.call_stop);
    match direction {
        Direction::Heating => format!("at {} or above", trimmed(at.heat + stop)),
        Direction::Cooling => format!("at {} or below", trimmed(at.cool - stop)),
    }
}

/// Between which readings nothing happens.
fn between(logic: &ZoneLogic, direction: Direction) -> String {
    let (at, start) = (logic.working, logic.thermostat.call_start);
    let heats = logic.selection.allows(Direction::Heating);
    let cools = logic.selection.allows(Direction::Cooling);
    let heating = format!("heating starts at {} or below", trimmed(at.heat - start));
    let cooling = format!("cooling starts at {} or above", trimmed(at.cool + start));
    match (heats, cools, direction) {
        (true, true, _) => format!("{heating}, {cooling}"),
        (true, false, _) => heating,
        (false, true, _) => cooling,
        (false, false, _) => "the mode allows none".into(),
    }
}

/// A temperature with at most two decimals.
fn trimmed(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}
