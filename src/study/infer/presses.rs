//! What the keys of a candidate do, held against what was read.

use super::facts::{FAR, Fact, Scale};
use crate::control::{
    ControllerIndex, Controllers, Direction, Grid, Key, KeyLocks, Limits, Mode, ModeSet,
    OnConflict, Outcome, Power, Range, Request, Role, SetpointRules, Setpoints, Settings, Side,
    Standing, Stored, Ticks, UnitModes, judge,
};
use crate::units::TemperatureUnit;

/// The controllers of a candidate, without locks: these are looked at apart.
pub(super) fn settings(
    scale: Scale,
    rules: SetpointRules,
    modes: &UnitModes,
    controllers: usize,
) -> Settings {
    Settings {
        grid: scale.grid,
        display: scale.display,
        modes: modes.clone(),
        controllers: Controllers::main(),
        rules,
        locked_modes: ModeSet::NONE,
        key_locks: vec![KeyLocks::NONE; controllers],
    }
}

/// How a zone may have stood to its group at a fact.
pub(super) fn standings(fact: &Fact, follows: bool) -> Vec<Standing> {
    let directions = match fact.direction {
        Some(direction) => vec![direction],
        None => Direction::BOTH.to_vec(),
    };
    let stand = |direction| {
        if follows { Standing::Follower(direction) } else { Standing::Own(direction) }
    };
    directions.into_iter().map(stand).collect()
}

/// Whether some remembered values explain what a press of warmer or cooler did.
pub(super) fn setpoint_agrees(
    fact: &Fact,
    remembered: &[Setpoints],
    settings: &Settings,
    scale: Scale,
    standing: Standing,
) -> bool {
    remembered.iter().any(|pair| {
        let start = Stored { setpoints: *pair, mode: fact.mode, power: fact.power };
        let (after, refused) = pressed(settings, start, standing, fact.key, fact.times);
        after_agrees(fact, &after, refused, scale)
    })
}

/// What several presses of a key at a controller without locks leave, and whether the last was
/// refused.
pub(super) fn pressed(
    settings: &Settings,
    start: Stored,
    standing: Standing,
    key: Key,
    times: u32,
) -> (Stored, bool) {
    let place = ControllerIndex::new(0);
    let mut stored = start;
    let mut refused = false;
    for _ in 0..times {
        let request = Request::Press(key);
        let verdict = judge(settings, &stored, standing, request, Role::Occupant, place);
        let unchanged = verdict.after == stored;
        stored = verdict.after;
        refused = verdict.outcome == Outcome::Refused;
        if unchanged {
            break;
        }
    }
    (stored, refused)
}

fn after_agrees(fact: &Fact, after: &Stored, refused: bool, scale: Scale) -> bool {
    let read = &fact.after;
    let is = |shown: Option<f64>, side: Side| {
        shown.is_none_or(|shown| (scale.shown(after.setpoints.get(side)) - shown).abs() < 1e-9)
    };
    read.refused.is_none_or(|read| read == refused)
        && is(read.heat, Side::Heat)
        && is(read.cool, Side::Cool)
        && read.mode.is_none_or(|mode| mode == after.mode)
        && read.power.is_none_or(|power| power == after.power)
}

/// Whether lockouts and owner explain what a mode key did. Setpoints do not enter.
pub(super) fn mode_agrees(fact: &Fact, modes: &UnitModes, locked: ModeSet, follows: bool) -> bool {
    let (mode, refused) = stepped(fact.mode, fact.power, fact.times, modes, locked, follows);
    let read = &fact.after;
    read.refused.is_none_or(|read| read == refused)
        && read.mode.is_none_or(|read| read == mode)
        && read.power.is_none_or(|power| power == fact.power)
        && read.heat.is_none_or(|heat| heat == fact.heat)
        && read.cool.is_none_or(|cool| cool == fact.cool)
}

/// Where the mode key leads, and whether its last press was refused.
pub(super) fn stepped(
    mode: Mode,
    power: Power,
    times: u32,
    modes: &UnitModes,
    locked: ModeSet,
    follows: bool,
) -> (Mode, bool) {
    let celsius = TemperatureUnit::Celsius;
    let wide = Range { low: -FAR, high: FAR };
    let limits = Limits { heat: wide, cool: wide };
    let parts = Grid::new(celsius, 1.0)
        .zip(SetpointRules::new(limits, Ticks::ONE, OnConflict::Push).ok())
        .and_then(|(grid, rules)| {
            Some((grid, rules, rules.start_dual(Ticks::ZERO, Ticks::ONE).ok()?))
        });
    let Some((grid, rules, setpoints)) = parts else { return (mode, false) };
    let scale = Scale { grid, display: None };
    let mut settings = settings(scale, rules, modes, 1);
    settings.locked_modes = locked;
    let standing = if follows {
        Standing::Follower(Direction::Heating)
    } else {
        Standing::Own(Direction::Heating)
    };
    let start = Stored { setpoints, mode, power };
    let (after, refused) = pressed(&settings, start, standing, Key::Mode, times);
    (after.mode, refused)
}

/// Whether the power key did what it does where nothing locks it.
pub(super) fn power_agrees(fact: &Fact) -> bool {
    let after = if fact.times % 2 == 1 { fact.power.toggled() } else { fact.power };
    let read = &fact.after;
    read.refused != Some(true)
        && read.power.is_none_or(|power| power == after)
        && read.mode.is_none_or(|mode| mode == fact.mode)
        && read.heat.is_none_or(|heat| heat == fact.heat)
        && read.cool.is_none_or(|cool| cool == fact.cool)
}
