//! Other runs of a case within what its bound was asked: any hours of weather, any part of the gains,
//! any presses of occupants, and starts at the edges of where zones may start.

use std::sync::Arc;

use setband::building::{Space, SpaceInput};
use setband::control::{ControllerIndex, Key, Mode, Opening, Power, Request, Role, Side};
use setband::engine::{Action, Doing, Model, ZoneIndex};
use setband::study::worst::{Question, Reached};
use setband::time::{DAY, Instant};
use setband::weather::Weather;

use super::super::draw::Draw;

/// Presses of a run, at most.
const MOST: usize = 24;

/// One of them.
pub(super) fn varied(
    draw: &mut Draw,
    number: usize,
    model: &Model,
    question: &Question,
    reached: &[Reached],
) -> Model {
    let mut other = model.clone();
    other.weather = Weather::Hours(Box::new(hours(draw, question)));
    for gain in other.zones.iter_mut().flat_map(|zone| &mut zone.gains) {
        gain.power *= *draw.one(&[0.0, 0.0, 1.0, 1.0, 0.4]);
    }
    if question.from.is_none() && number.is_multiple_of(3) {
        start_at_edges(draw, &mut other, reached);
    }
    let presses: Vec<Action> = (0..draw.below(MOST)).map(|_| press(draw, model)).collect();
    // What schedules and technicians do is known to the bound and stays.
    other.actions.retain(|action| action.role != Role::Occupant);
    other.actions.extend(presses);
    other.actions.sort_by_key(|action| action.at);
    other
}

/// Mostly at an end of the range, for hours.
fn hours(draw: &mut Draw, question: &Question) -> [f64; 24] {
    let (low, high) = (question.limits.coldest, question.limits.hottest);
    let holds = draw.below(8) + 1;
    let mut value = low;
    let mut all = [low; 24];
    for (hour, slot) in all.iter_mut().enumerate() {
        if hour % holds == 0 {
            value = match draw.below(5) {
                0 | 1 => low,
                2 | 3 => high,
                _ => draw.between(low, high),
            };
        }
        *slot = value;
    }
    all
}

fn start_at_edges(draw: &mut Draw, model: &mut Model, reached: &[Reached]) {
    for (zone, reached) in model.zones.iter_mut().zip(reached) {
        let Some((low, high)) = reached.starts else { continue };
        let start = Some(if draw.chance(50) { low } else { high });
        let input = SpaceInput { start, ..*zone.space.input() };
        zone.space = Space::new(input).expect("a space with another start");
    }
}

/// A press of an occupant somewhere, or a window where the case has one that opens.
fn press(draw: &mut Draw, model: &Model) -> Action {
    let zone = ZoneIndex::new(draw.below(model.zones.len()));
    let settings = &model.zones[zone.get()].controls.settings;
    let opens = model
        .actions
        .iter()
        .any(|action| action.zone == zone && matches!(action.what, Doing::Window(_)));
    let what = if opens && draw.chance(20) {
        Doing::Window(*draw.one(&Opening::ALL))
    } else {
        Doing::Request(request(draw, model, zone))
    };
    Action {
        at: Instant::new(60 * i64::try_from(draw.below(24 * 60)).expect("minutes") % DAY),
        place: None,
        zone,
        controller: ControllerIndex::new(draw.below(settings.key_locks.len())),
        by: Arc::from("somebody"),
        role: Role::Occupant,
        what,
    }
}

fn request(draw: &mut Draw, model: &Model, zone: ZoneIndex) -> Request {
    let settings = &model.zones[zone.get()].controls.settings;
    let side = *draw.one(&[Side::Heat, Side::Cool]);
    let range = settings.rules.range(side);
    let ends = [range.low, range.high].map(|ticks| settings.grid.value(ticks));
    match draw.below(8) {
        0 => Request::Power(Power::Off),
        1 => Request::Power(Power::On),
        2 | 3 => Request::Mode(*draw.one(&[Mode::Heat, Mode::Cool, Mode::Auto, Mode::Fan])),
        4 => Request::Press(*draw.one(&[Key::Warmer, Key::Cooler, Key::Mode, Key::Power])),
        5 => Request::Setpoint(side, draw.between(ends[0], ends[1])),
        _ => Request::Setpoint(side, *draw.one(&ends)),
    }
}
