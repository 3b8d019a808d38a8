//! A way through the states as actions of a scenario, and as a model that makes it happen.

use std::sync::Arc;

use super::explore::Move;
use crate::building::{Space, SpaceInput};
use crate::control::{
    ControllerIndex, Mode, ModePolicy, Occupancy, Power, Request, Returns, Role, SensorPlace,
    Sharing, UnitModes,
};
use crate::direction::Direction;
use crate::engine::{Action, Doing, Model, ZoneIndex};
use crate::plant::{StartUp, UnitControl};
use crate::time::{DAY, Instant, Period, Seconds};
use crate::weather::{Reading, Weather};

/// Between two presses, so that the room has time to ask for a direction.
const BETWEEN: Seconds = Seconds::minutes(10);
/// A plant that waits for calls, whatever the file's does.
const STEADY: UnitControl = UnitControl::proportional(1.0, 1.0);
/// Outdoor air that makes any room ask for a direction, degrees C: as far as a run goes on.
const EXTREMES: [f64; 2] = [-85.0, 145.0];

/// The presses of a way as actions, ten minutes apart. Where nobody is to press until `auto_off`
/// has worked, they wait for it.
pub fn replay_actions(model: &Model, zone: ZoneIndex, moves: &[Move]) -> Vec<Action> {
    let mut now = Instant::START;
    let mut on_since = Instant::START;
    let controls = &model.zones[zone.get()].controls;
    let mut is_on = controls.start.power == Power::On;
    let mut actions = Vec::new();
    for step in moves {
        now = now + BETWEEN;
        match *step {
            Move::AutoOff => {
                let off = on_since + controls.auto_off.unwrap_or(Seconds::ZERO);
                now = now.max(off);
                is_on = false;
            }
            Move::GoesBack => {
                for (side, to) in controls.returns.iter().flat_map(Returns::to) {
                    let value = controls.settings.grid.value(to);
                    let request = Request::Setpoint(side, value);
                    let primary = controls.settings.controllers.primary();
                    let asked = press(now, actions.len(), zone, primary, request);
                    let by = Arc::from(Role::Schedule.name());
                    actions.push(Action { by, role: Role::Schedule, ..asked });
                }
            }
            Move::Press { key, controller, .. } => {
                actions.push(press(now, actions.len(), zone, controller, Request::Press(key)));
                if key == crate::control::Key::Power {
                    is_on = !is_on;
                    on_since = if is_on { now } else { on_since };
                }
            }
        }
    }
    actions
}

fn press(
    at: Instant,
    place: usize,
    zone: ZoneIndex,
    controller: ControllerIndex,
    request: Request,
) -> Action {
    let what = Doing::Request(request);
    let by = Arc::from("occupant");
    Action { at, place: Some(place), zone, controller, by, role: Role::Occupant, what }
}

/// A model with the same controls in which a run makes the moves happen: rooms as light as air
/// under weather that asks for the direction which each press needs, nobody else at the keys.
/// `None` where no such model can be made, which a finite list of moves gives no reason for.
pub fn replay(model: &Model, zone: ZoneIndex, moves: &[Move]) -> Option<Model> {
    let actions = replay_actions(model, zone, moves);
    let last = actions.last().map_or(Instant::START, |action| action.at);
    let days = (last + BETWEEN).get() / DAY + 1;
    let mut replayed = model.clone();
    replayed.period = Period::new(model.period.first(), days, Seconds::minutes(1)).ok()?;
    replayed.weather = Weather::Readings(readings(moves, &actions).into());
    replayed.neighbours.clear();
    replayed.actions = actions;
    for (at, other) in replayed.zones.iter_mut().enumerate() {
        other.space = light_room()?;
        other.unit.control = STEADY;
        (other.unit.start_up, other.unit.reversal_time) = (StartUp::NONE, Seconds::ZERO);
        other.windows.clear();
        other.gains.clear();
        let controls = &mut other.controls;
        controls.low_limit = None;
        controls.occupancy = Occupancy::Always;
        controls.setback = None;
        controls.sensor.place = SensorPlace::Room;
        controls.sensor.offset = 0.0;
        controls.sensor.lag = Seconds::ZERO;
        controls.thermostat.changeover_delay = Seconds::ZERO;
        controls.thermostat.min_on = Seconds::ZERO;
        controls.thermostat.min_off = Seconds::ZERO;
        if at != zone.get() {
            controls.settings.modes = UnitModes::default();
            controls.start.mode = Mode::Auto;
            controls.start.power = Power::On;
            controls.auto_off = None;
        }
    }
    for group in &mut replayed.outdoor_units {
        group.settings.min_off = Seconds::ZERO;
        if let Sharing::SingleMode { policy, changeover_delay, .. } = &mut group.settings.sharing {
            *changeover_delay = Seconds::ZERO;
            if *policy != ModePolicy::Owner {
                *policy = ModePolicy::FirstCall;
            }
        }
    }
    Some(replayed)
}

/// A room whose air is outdoor air within seconds.
fn light_room() -> Option<Space> {
    Space::new(SpaceInput {
        floor: 1.0,
        height: 50.0,
        mass_area: 0.1,
        mass_capacity: 1.0,
        air_capacity: 1.0,
        opaque: 0.0,
        windows: 0.0,
        infiltration: 10_000.0,
        open_window: 0.0,
        ventilation: None,
        start: Some(20.0),
    })
    .ok()
}

/// Before each press that needs a direction, weather that asks for it.
fn readings(moves: &[Move], actions: &[Action]) -> Vec<Reading> {
    let needed = moves.iter().filter_map(|step| match step {
        Move::Press { direction, .. } => Some(*direction),
        Move::AutoOff | Move::GoesBack => None,
    });
    let mut all = Vec::new();
    for (direction, action) in needed.zip(actions) {
        let Some(direction) = direction else { continue };
        let temperature = match direction {
            Direction::Heating => EXTREMES[0],
            Direction::Cooling => EXTREMES[1],
        };
        let at = action.at.get() as f64;
        let begins = at - BETWEEN.get() as f64 + 60.0;
        all.extend([begins, at].map(|second| Reading { second, temperature }));
    }
    if all.is_empty() {
        all.push(Reading { second: 0.0, temperature: EXTREMES[0] });
    }
    all
}
