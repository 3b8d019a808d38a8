//! What it would cost to lock the system out of heating or of cooling, month by month.
//!
//! Each month is simulated twice more from the state in which the run entered it, once without
//! any heating and once without any cooling. This is the system locked out, not a selection taken
//! from an occupant (rule 5): `auto` cannot heat either, and no low limit guards.

use crate::control::Mode;
use crate::direction::Direction;
use crate::engine::{Model, Simulation, State, start_from};
use crate::measures::{LawfulMeter, LockCost, LockMonth, Unlawful};
use crate::time::{DAY, Instant, Month};

/// Whether any zone has lawful temperatures.
pub(super) fn is_wanted(model: &Model) -> bool {
    model.zones.iter().any(|zone| zone.comfort.lawful.is_some())
}

/// How the run entered each month, and what it counted in those before.
pub(super) struct MonthStarts<'m> {
    model: &'m Model,
    states: Vec<State>,
    as_is: Vec<Vec<Unlawful>>,
}

impl<'m> MonthStarts<'m> {
    pub(super) const fn new(model: &'m Model) -> Self {
        Self { model, states: Vec::new(), as_is: Vec::new() }
    }

    /// Keeps the state where a month begins, and starts its count anew.
    pub(super) fn keep(
        &mut self,
        simulation: &Simulation<'_>,
        counting: &mut Option<LawfulMeter<'m>>,
    ) {
        let state = simulation.state();
        let now = state.now;
        let begins = now.second_of_day() == 0 && self.model.period.date(now.day()).day() == 1;
        if !begins && now > Instant::START {
            return;
        }
        if let Some(before) = counting.replace(LawfulMeter::new(self.model))
            && now > Instant::START
        {
            self.as_is.push(before.counted());
        }
        self.states.push(state.clone());
    }

    /// The calendar, with what was counted in the last month.
    pub(super) fn calendar(mut self, last: Option<LawfulMeter<'_>>) -> Vec<LockMonth> {
        self.as_is.extend(last.map(|last| last.counted()));
        let locked = Direction::BOTH.map(|direction| without(self.model, direction));
        let months = self.states.iter().zip(&self.as_is);
        months.map(|(state, as_is)| self.month(state, as_is, &locked)).collect()
    }

    fn month(&self, state: &State, as_is: &[Unlawful], locked: &[Model; 2]) -> LockMonth {
        let first = self.model.period.date(state.now.day());
        let days = i64::from(first.days_in_month()) - i64::from(first.day()) + 1;
        let end = Instant::new((state.now.day() + days) * DAY).min(self.model.period.end());
        let [heating, cooling] = [Direction::Heating, Direction::Cooling];
        let without_heating =
            counted(&locked[heating as usize], locked_out(self.model, state, heating), end);
        let without_cooling =
            counted(&locked[cooling as usize], locked_out(self.model, state, cooling), end);
        let zones = self.model.zones.iter().enumerate();
        let asked = zones.filter(|(_, zone)| zone.comfort.lawful.is_some());
        LockMonth {
            month: Month::of(first),
            zones: asked
                .map(|(at, zone)| {
                    let cost = LockCost {
                        as_is: as_is[at],
                        without_heating: without_heating[at],
                        without_cooling: without_cooling[at],
                    };
                    (zone.id.clone(), cost)
                })
                .collect(),
        }
    }
}

/// Runs a model from a state to an instant and counts.
fn counted(model: &Model, state: State, end: Instant) -> Vec<Unlawful> {
    let mut meter = LawfulMeter::new(model);
    let mut simulation = start_from(model, state);
    while simulation.state().now < end {
        simulation.step(&mut meter);
    }
    meter.counted()
}

/// The model without anything that could serve a direction.
fn without(model: &Model, direction: Direction) -> Model {
    let mut locked = model.clone();
    for zone in &mut locked.zones {
        match direction {
            Direction::Heating => {
                zone.unit.heating = None;
                zone.controls.low_limit = None;
            }
            Direction::Cooling => zone.unit.cooling = None,
        }
    }
    for group in &mut locked.outdoor_units {
        match direction {
            Direction::Heating => {
                group.unit.heating = None;
                group.unit.backup = None;
            }
            Direction::Cooling => group.unit.cooling = None,
        }
    }
    locked
}

/// A state in which no zone's own mode asks for a direction: `auto` works in the other alone, and
/// a mode of nothing else rests. Followers keep theirs, since their owner's counts.
fn locked_out(model: &Model, state: &State, direction: Direction) -> State {
    let mut state = state.clone();
    let mut follows = vec![false; model.zones.len()];
    for (group, memory) in model.outdoor_units.iter().zip(&state.groups) {
        if let Some(owner) = memory.settings.owner() {
            for (place, zone) in group.zones.iter().enumerate() {
                follows[zone.get()] = place != owner;
            }
        }
    }
    for (zone, follows) in state.zones.iter_mut().zip(follows) {
        zone.low_limit &= direction == Direction::Cooling;
        if !follows {
            zone.stored.mode = other_mode(zone.stored.mode, direction);
        }
    }
    state
}

const fn other_mode(mode: Mode, locked: Direction) -> Mode {
    match (locked, mode) {
        (Direction::Heating, Mode::Auto) => Mode::Cool,
        (Direction::Cooling, Mode::Auto) => Mode::Heat,
        (Direction::Heating, Mode::Heat) | (Direction::Cooling, Mode::Cool | Mode::Dry) => {
            Mode::Fan
        }
        (_, mode) => mode,
    }
}
