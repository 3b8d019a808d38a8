//! What people in a room are told: short sentences, from the settings and the rules alone.

use crate::control::{Key, LockableKey, Mode, Occupancy, Power, Request, Side};
use crate::direction::Direction;
use crate::engine::{Model, Zone, ZoneIndex};
use crate::report::figures::{listed, setpoint, unit_sign};
use crate::report::run::label;
use crate::time::Seconds;

/// A question that people in a room have, with the answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    /// The question.
    pub question: &'static str,
    /// The answer, sentence by sentence.
    pub answer: Vec<String>,
}

/// Everything that the people in a zone are told.
pub fn for_people(model: &Model, zone: ZoneIndex) -> Vec<Told> {
    let it = &model.zones[zone.get()];
    let mut all = vec![
        Told { question: "What do the keys do?", answer: keys(it) },
        Told { question: "How far can I go?", answer: how_far(model, it) },
        Told { question: "Why does it not start at once?", answer: waits(it) },
        Told { question: "What happens when we are out?", answer: away(model, it) },
        Told { question: "Who picks heat or cold?", answer: who(model, zone) },
    ];
    all.retain(|told| !told.answer.is_empty());
    all
}

/// Whether an occupant may use a key at some controller.
fn is_free(zone: &Zone, key: Key) -> bool {
    let needs = Request::Press(key).needs();
    zone.controls.settings.key_locks.iter().any(|locks| !locks.refuses(needs))
}

fn keys(zone: &Zone) -> Vec<String> {
    let settings = &zone.controls.settings;
    let step = setpoint(settings.grid.step());
    let mut all = Vec::new();
    if is_free(zone, Key::Warmer) {
        all.push(format!("Press warmer, and the set point goes up by {step}."));
        all.push(format!("Press cooler, and it goes down by {step}."));
    } else {
        all.push("The warmer and cooler keys are locked.".into());
    }
    let modes = settings.modes.as_slice();
    let selectable: Vec<&str> = modes
        .iter()
        .filter(|mode| !settings.locked_modes.has(**mode))
        .map(|mode| mode.name())
        .collect();
    if !is_free(zone, Key::Mode) {
        all.push("The mode key is locked.".into());
    } else if selectable.len() > 1 {
        all.push(format!("The mode key goes round: {}.", selectable.join(", ")));
    }
    if is_free(zone, Key::Power) {
        all.push("The power key turns it on and off.".into());
    } else {
        all.push("The power key is locked.".into());
    }
    let one_locked = settings.key_locks.len() > 1
        && LockableKey::ALL.into_iter().any(|key| {
            let locked = settings.key_locks.iter().filter(|locks| locks.refuses(key)).count();
            locked == 1
        });
    if one_locked {
        all.push("There are two boxes with keys. On one of them some keys are locked.".into());
    }
    all
}

fn how_far(model: &Model, zone: &Zone) -> Vec<String> {
    let settings = &zone.controls.settings;
    if !is_free(zone, Key::Warmer) {
        return Vec::new();
    }
    let unit = unit_sign(model.unit);
    let range = |side: Side| {
        let range = settings.rules.range(side);
        [range.low, range.high].map(|ticks| setpoint(settings.grid.value(ticks)))
    };
    let mut all = Vec::new();
    if settings.rules.is_single() {
        let [low, high] = range(Side::Heat);
        all.push(format!("You can set it from {low} to {high} {unit}."));
        return all;
    }
    for (side, word) in [(Side::Heat, "heat"), (Side::Cool, "cold")] {
        let direction = if side == Side::Heat { Direction::Heating } else { Direction::Cooling };
        if zone.unit.capacity(direction).is_some() {
            let [low, high] = range(side);
            all.push(format!("For {word} you can set it from {low} to {high} {unit}."));
        }
    }
    let gap = setpoint(settings.grid.value(settings.rules.deadband()));
    all.push(format!("The two set points stay {gap} degrees apart."));
    all.push("If you bring them too close, the rest is done for you: one may stop or move.".into());
    all
}

fn waits(zone: &Zone) -> Vec<String> {
    let rest = zone.controls.thermostat.min_off;
    let mut all = Vec::new();
    if rest > Seconds::ZERO {
        all.push(format!("After a stop the unit must rest for {rest}."));
    }
    let turns = zone.controls.settings.modes.has(Mode::Auto)
        && Direction::BOTH.into_iter().all(|it| zone.unit.capacity(it).is_some());
    let delay = zone.controls.thermostat.changeover_delay;
    if turns && delay > Seconds::ZERO {
        all.push(format!("From heat to cold, or back, it waits at least {delay}."));
    }
    all
}

fn away(model: &Model, zone: &Zone) -> Vec<String> {
    let controls = &zone.controls;
    let unit = unit_sign(model.unit);
    let mut all = Vec::new();
    if let (Some(setback), true) = (&controls.setback, controls.occupancy != Occupancy::Always) {
        let (heat, cool) = setback.working(&controls.start.setpoints);
        let show = |ticks| setpoint(controls.settings.grid.value(ticks));
        all.push(format!(
            "When nobody is due, heat works at {} and cold at {} {unit}.",
            show(heat),
            show(cool)
        ));
        all.push("Press a key if you stay late. Then your own set points work for a while.".into());
    }
    if let Some(after) = controls.auto_off {
        all.push(format!("It turns itself off {after} after it was turned on."));
    }
    if let Some(limit) = controls.low_limit {
        all.push(format!(
            "If the room falls below {} {unit}, it heats by itself.",
            setpoint(limit.below)
        ));
    }
    if all.is_empty() && controls.start.power == Power::On {
        all.push("Nothing. It works by day and by night in the same way.".into());
    }
    all
}

fn who(model: &Model, zone: ZoneIndex) -> Vec<String> {
    let group = model.outdoor_units.iter().find(|group| group.zones.contains(&zone));
    let Some(group) = group.filter(|group| group.zones.len() > 1) else {
        return vec!["This room does, by its own mode.".into()];
    };
    if group.unit.simultaneous {
        return vec!["This room does. Other rooms may do the other at the same time.".into()];
    }
    let others: Vec<&str> = group
        .zones
        .iter()
        .filter(|at| **at != zone)
        .map(|at| label(&model.zones[at.get()]))
        .collect();
    let mut all = vec![format!("One unit serves this room and {}.", listed(&others))];
    all.push("It can heat or cool, but not both at once.".into());
    match group.settings.owner().map(|owner| group.zones[owner]) {
        Some(owner) if owner == zone => all.push("This room picks for all of them.".into()),
        Some(owner) => {
            let name = label(&model.zones[owner.get()]);
            all.push(format!("{name} picks. If it picks the other way, this room must wait."));
        }
        None => all.push("The rooms pick by what they need. At times this room must wait.".into()),
    }
    all
}
