//! Every setting of a zone with the values that agree with what was read.

use std::collections::BTreeSet;

use super::candidates::{Candidates, MODE, POWER, SETPOINT};
use super::family::Ends;
use super::stated::{Supposed, limit_keys};
use super::{EXTREMES, Inferred, Value};
use crate::control::{Grid, LockableKey, Mode, ModeSet, OnConflict, Ticks};
use crate::settings::controls::{LOCKED_MODES, MIN_DEADBAND, ON_CONFLICT, SETPOINT_STEP};
use crate::study::sheet_csv::{MODE_OWNER, lock_key};
use crate::study::sheet_csv::{Record, ZoneRecord};
use crate::units::TemperatureUnit;

/// Every setting with the values that agree.
pub(super) fn settings(
    record: &Record,
    zone: &ZoneRecord,
    candidates: &Candidates,
    supposed: Option<&Supposed>,
) -> Vec<Inferred> {
    let mut steps: Vec<f64> = Vec::new();
    let mut deadbands: Vec<f64> = Vec::new();
    let mut practices: Vec<OnConflict> = Vec::new();
    let mut limits: [Vec<f64>; 4] = Default::default();
    let stated_limits = supposed.map(|it| it.limits);
    candidates.each_family(|family, _, upper, lower| {
        let grid = family.scale.grid;
        put(&mut steps, grid.step());
        put(&mut deadbands, grid.value(family.deadband));
        put(&mut practices, family.practice);
        for (side, [low, high]) in [(0, [0, 1]), (1, [2, 3])] {
            let of = |ends: &Ends| if side == 0 { ends.heat } else { ends.cool };
            let each = |ends: &[Ends]| ends.iter().map(of).collect::<BTreeSet<Ticks>>();
            for value in each(upper) {
                let top = value == family.highest[side];
                extend(
                    &mut limits[high],
                    grid,
                    value,
                    top.then_some(true),
                    record.unit,
                    stated_limits,
                );
            }
            for value in each(lower) {
                let bottom = value == family.lowest[side];
                extend(
                    &mut limits[low],
                    grid,
                    value,
                    bottom.then_some(false),
                    record.unit,
                    stated_limits,
                );
            }
        }
    });
    let number = |values: Vec<f64>| sorted(values).into_iter().map(Value::Number).collect();
    let stated_number = |value: fn(&Supposed) -> f64| supposed.map(|it| Value::Number(value(it)));
    let mut all = vec![
        inferred(SETPOINT_STEP.path, number(steps), stated_number(|it| it.grid.step())),
        inferred(MIN_DEADBAND.path, number(deadbands), stated_number(|it| it.deadband)),
    ];
    for (at, (key, values)) in limit_keys().iter().zip(limits).enumerate() {
        all.push(inferred(key, number(values), stated_limits.map(|it| Value::Number(it[at]))));
    }
    all.push(inferred(
        ON_CONFLICT.path,
        practices.into_iter().map(|it| Value::Word(it.name().into())).collect(),
        supposed.map(|it| Value::Word(it.practice.name().into())),
    ));
    all.push(lockouts(candidates, supposed));
    all.extend(key_locks(zone, candidates, supposed));
    all.push(owner(record, zone, candidates));
    all
}

fn inferred(key: &str, consistent: Vec<Value>, stated: Option<Value>) -> Inferred {
    Inferred { key: key.to_owned(), consistent, stated }
}

fn put<T: PartialEq>(list: &mut Vec<T>, value: T) {
    if !list.contains(&value) {
        list.push(value);
    }
}

fn sorted(mut values: Vec<f64>) -> Vec<f64> {
    values.sort_by(f64::total_cmp);
    values
}

/// Takes a limit in; where it stands for everything beyond, all that a controller may have.
fn extend(
    list: &mut Vec<f64>,
    grid: Grid,
    value: Ticks,
    upward: Option<bool>,
    unit: TemperatureUnit,
    stated: Option<[f64; 4]>,
) {
    put(list, grid.value(value));
    let Some(upward) = upward else { return };
    let [least, most] = EXTREMES[unit as usize];
    let stated = stated.map_or([least, most], |it| {
        [it.into_iter().fold(least, f64::min), it.into_iter().fold(most, f64::max)]
    });
    let mut at = value;
    loop {
        at = if upward { at + Ticks::ONE } else { at - Ticks::ONE };
        let value = grid.value(at);
        if value > stated[1] || value < stated[0] {
            return;
        }
        put(list, value);
    }
}

fn lockouts(candidates: &Candidates, supposed: Option<&Supposed>) -> Inferred {
    let words = |set: ModeSet| {
        let has = Mode::ALL.into_iter().filter(|mode| set.has(*mode));
        Value::Words(has.map(|mode| mode.name().to_owned()).collect())
    };
    let mut consistent = Vec::new();
    for lockout in candidates.lockouts.iter().filter(|it| candidates.pairs_agree(it.follows)) {
        if candidates.lock_sets().any(|set| candidates.agrees(&lockout.violates, MODE, set)) {
            put(&mut consistent, words(lockout.locked));
        }
    }
    inferred(LOCKED_MODES.path, consistent, supposed.map(|it| words(it.locked)))
}

/// The locks of each controller: every set of keys that agrees.
fn key_locks(
    zone: &ZoneRecord,
    candidates: &Candidates,
    supposed: Option<&Supposed>,
) -> Vec<Inferred> {
    let names = [LockableKey::Setpoint, LockableKey::Mode, LockableKey::Power];
    let mut agree: [Vec<usize>; 3] = Default::default();
    candidates.each_family(|_, set, _, _| put(&mut agree[SETPOINT], set));
    for set in candidates.lock_sets() {
        let modes = candidates.lockouts.iter().any(|it| {
            candidates.pairs_agree(it.follows) && candidates.agrees(&it.violates, MODE, set)
        });
        if modes {
            put(&mut agree[MODE], set);
        }
        if candidates.agrees(&candidates.power_violates, POWER, set) {
            put(&mut agree[POWER], set);
        }
    }
    let of_controller = |(at, id): (usize, &String)| {
        let mut consistent = Vec::new();
        for choice in 0..8_usize {
            let fits = |group: usize| {
                let locked = choice >> group & 1 == 1;
                agree[group].iter().any(|set| (set >> at & 1 == 1) == locked)
            };
            if (0..3).all(fits) {
                consistent.push(locked_words(names, choice));
            }
        }
        let stated = supposed.map(|it| {
            let choice = (0..3).map(|group| (it.locks[group] >> at & 1) << group).sum();
            locked_words(names, choice)
        });
        Inferred { key: lock_key(id), consistent, stated }
    };
    zone.controllers.iter().enumerate().map(of_controller).collect()
}

fn locked_words(names: [LockableKey; 3], choice: usize) -> Value {
    let locked = (0..3).filter(|group| choice >> group & 1 == 1);
    Value::Words(locked.map(|group| names[group].name().to_owned()).collect())
}

/// Who may decide the mode: the zone itself, or another one that never contradicts what it does.
fn owner(record: &Record, zone: &ZoneRecord, candidates: &Candidates) -> Inferred {
    let mut consistent = Vec::new();
    let agrees = |follows: bool| candidates.modes_agree(follows) && candidates.pairs_agree(follows);
    if agrees(false) {
        consistent.push(Value::Word(zone.id.clone()));
    }
    if agrees(true) {
        let others = record.zones.iter().filter(|other| other.id != zone.id);
        consistent.extend(others.map(|other| Value::Word(other.id.clone())));
        let stated = zone.stated(MODE_OWNER).filter(|owner| *owner != zone.id);
        if let Some(owner) = stated {
            put(&mut consistent, Value::Word(owner.to_owned()));
        }
    }
    let stated = zone.stated(MODE_OWNER).map(|owner| Value::Word(owner.to_owned()));
    inferred(MODE_OWNER, consistent, stated)
}
