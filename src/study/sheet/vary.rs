//! Settings changed one at a time: which changes would the lines of a sheet show?

use super::first_failure;
use super::step::Step;
use crate::control::{
    Display, Grid, KeyLocks, Limits, LockableKey, Mode, ModePolicy, ModeSet, OnConflict, OwnerOff,
    Range, SetpointRules, Settings, Sharing, Side, Ticks, UnitModes,
};
use crate::engine::{Model, Zone};
use crate::study::parallel::{default_threads, in_parallel};
use crate::time::Seconds;
use crate::units::TemperatureUnit;

/// Timers are changed by doubling them, and by at least so much.
const LEAST_TIME: Seconds = Seconds::minutes(10);

/// A model with one setting changed.
#[derive(Clone, Debug)]
pub struct Variation {
    /// Where the setting stands in the file.
    pub path: String,
    /// What it became.
    pub to: String,
    /// The changed model.
    pub model: Model,
}

/// A change that no line of the sheet shows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unseen {
    /// Where the setting stands in the file.
    pub path: String,
    /// What it would have become.
    pub to: String,
}

/// The changes that none of the lines shows, and how many were tried.
pub(super) fn unseen(model: &Model, rooms: &[f64], steps: &[Step]) -> (Vec<Unseen>, usize) {
    let mut tried = 0;
    let mut unseen = Vec::new();
    // A zone at a time: every change holds a whole model.
    for at in 0..=model.zones.len() {
        let all = variations_of(model, at);
        let hidden = in_parallel(&all, default_threads(), |variation| {
            first_failure(&variation.model, rooms, steps).is_none()
        });
        tried += all.len();
        let hidden = all.into_iter().zip(hidden).filter(|(_, hidden)| *hidden);
        unseen.extend(hidden.map(|(it, _)| Unseen { path: it.path, to: it.to }));
    }
    (unseen, tried)
}

/// Every setting of every zone and group, changed in each way that is one step away or one word.
pub fn variations(model: &Model) -> Vec<Variation> {
    (0..=model.zones.len()).flat_map(|at| variations_of(model, at)).collect()
}

/// The changes of one zone; those of the groups under the place after the last zone.
fn variations_of(model: &Model, at: usize) -> Vec<Variation> {
    let mut list = List { model, all: Vec::new() };
    if let Some(zone) = model.zones.get(at) {
        list.rules(at, zone);
        list.start(at, zone);
        list.modes(at, zone);
        list.locks(at, zone);
        list.thermostat(at, zone);
        list.sensing(at, zone);
        list.absence(at, zone);
    } else {
        (0..model.outdoor_units.len()).for_each(|unit| list.group(unit));
    }
    list.all
}

struct List<'m> {
    model: &'m Model,
    all: Vec<Variation>,
}

impl List<'_> {
    /// Takes a changed zone in.
    fn zone(&mut self, at: usize, key: &str, to: String, change: impl FnOnce(&mut Zone)) {
        let mut model = self.model.clone();
        change(&mut model.zones[at]);
        let path = format!("zones.{}.{key}", self.model.zones[at].id);
        self.all.push(Variation { path, to, model });
    }

    /// Takes changed settings of a zone in, where the start still stands under them.
    fn settings(&mut self, at: usize, key: &str, to: String, rules: Option<SetpointRules>) {
        let zone = &self.model.zones[at];
        let Some(rules) = rules else { return };
        let pair = zone.controls.start.setpoints;
        let start = if rules.is_single() {
            rules.start_single(Side::Heat, pair.heat())
        } else {
            rules.start_dual(pair.heat(), pair.cool())
        };
        let Ok(start) = start else { return };
        self.zone(at, key, to, |zone| {
            zone.controls.settings.rules = rules;
            zone.controls.start.setpoints = start;
        });
    }

    fn rules(&mut self, at: usize, zone: &Zone) {
        let settings = &zone.controls.settings;
        let (rules, grid) = (settings.rules, settings.grid);
        let (limits, gap) = (rules.limits(), rules.deadband());
        let practice = rules.on_conflict();
        let show = |ticks: Ticks| grid.value(ticks).to_string();
        for step in [Ticks::ONE, -Ticks::ONE] {
            let rules = SetpointRules::new(limits, gap + step, practice).ok();
            self.settings(at, "controls.min_deadband", show(gap + step), rules);
            for (side, high) in
                [(Side::Heat, false), (Side::Heat, true), (Side::Cool, false), (Side::Cool, true)]
            {
                let changed = moved(limits, side, high, step);
                let end = if high { changed.high } else { changed.low };
                let limits = match side {
                    Side::Heat => Limits { heat: changed, ..limits },
                    Side::Cool => Limits { cool: changed, ..limits },
                };
                let key = format!(
                    "controls.limits.{}.{}",
                    side.name(),
                    if high { "high" } else { "low" }
                );
                self.settings(at, &key, show(end), SetpointRules::new(limits, gap, practice).ok());
            }
        }
        for other in [OnConflict::Push, OnConflict::Hold, OnConflict::PushAndReturn] {
            if other != practice {
                let rules = SetpointRules::new(limits, gap, other).ok();
                self.settings(at, "controls.on_conflict", other.name().into(), rules);
            }
        }
        for &(step, _) in Grid::steps(grid.unit()) {
            let other = Grid::new(grid.unit(), step).filter(|other| *other != grid);
            if let Some(changed) = other.and_then(|other| regridded(zone, other)) {
                self.zone(at, "controls.setpoint_step", step.to_string(), |zone| *zone = changed);
            }
        }
    }

    fn start(&mut self, at: usize, zone: &Zone) {
        let start = zone.controls.start;
        let other = start.power.toggled();
        self.zone(at, "controls.power", other.name().into(), |zone| {
            zone.controls.start.power = other;
        });
        let settings = &zone.controls.settings;
        for &mode in settings.modes.as_slice().iter().filter(|mode| **mode != start.mode) {
            self.zone(at, "controls.mode", mode.name().into(), |zone| {
                zone.controls.start.mode = mode;
            });
        }
        let turned = zone.controls.direction.opposite();
        self.zone(at, "controls.direction", turned.name().into(), |zone| {
            zone.controls.direction = turned;
        });
        let (rules, pair) = (settings.rules, start.setpoints);
        for step in [Ticks::ONE, -Ticks::ONE] {
            for side in [Side::Heat, Side::Cool] {
                let value = |of: Side| if of == side { pair.get(of) + step } else { pair.get(of) };
                let moved = if rules.is_single() {
                    rules.start_single(side, pair.get(side) + step)
                } else {
                    rules.start_dual(value(Side::Heat), value(Side::Cool))
                };
                let Ok(moved) = moved else { continue };
                let key = format!("controls.{}", side.name());
                let to = settings.grid.value(moved.get(side)).to_string();
                self.zone(at, &key, to, |zone| zone.controls.start.setpoints = moved);
            }
        }
    }

    fn modes(&mut self, at: usize, zone: &Zone) {
        let settings = &zone.controls.settings;
        let has = settings.modes.as_slice();
        for &mode in has.iter().filter(|mode| **mode != zone.controls.start.mode) {
            let locked: Vec<Mode> = Mode::ALL
                .into_iter()
                .filter(|each| settings.locked_modes.has(*each) != (*each == mode))
                .collect();
            self.zone(at, "controls.locked_modes", listed(&locked), |zone| {
                zone.controls.settings.locked_modes = ModeSet::of(&locked);
            });
            let fewer: Vec<Mode> = has.iter().copied().filter(|each| *each != mode).collect();
            self.unit_modes(at, &fewer);
        }
        if has.len() > 2 {
            let mut swapped = has.to_vec();
            swapped.swap(0, 1);
            self.unit_modes(at, &swapped);
        }
    }

    fn unit_modes(&mut self, at: usize, modes: &[Mode]) {
        if let Some(unit_modes) = UnitModes::new(modes.to_vec()) {
            self.zone(at, "unit.modes", listed(modes), |zone| {
                zone.controls.settings.modes = unit_modes;
            });
        }
    }

    fn locks(&mut self, at: usize, zone: &Zone) {
        let settings = &zone.controls.settings;
        for (place, locks) in settings.key_locks.iter().enumerate() {
            let path = format!("controls.controllers[{place}].key_locks");
            for key in LockableKey::ALL {
                let keys: Vec<LockableKey> = LockableKey::ALL
                    .into_iter()
                    .filter(|each| locks.names(*each) != (*each == key))
                    .collect();
                let in_force = locks.is_in_force() || locks.keys().next().is_none();
                let words: Vec<&str> = keys.iter().map(|key| key.name()).collect();
                self.locked(at, &format!("{path}.keys"), words.join(" "), place, &keys, in_force);
            }
            let keys: Vec<LockableKey> = locks.keys().collect();
            if !keys.is_empty() {
                let turned = !locks.is_in_force();
                let key = format!("{path}.in_force");
                self.locked(at, &key, turned.to_string(), place, &keys, turned);
            }
        }
    }

    fn locked(
        &mut self,
        at: usize,
        key: &str,
        to: String,
        place: usize,
        keys: &[LockableKey],
        in_force: bool,
    ) {
        let locks = KeyLocks::new(keys, in_force);
        self.zone(at, key, to, |zone| zone.controls.settings.key_locks[place] = locks);
    }

    fn thermostat(&mut self, at: usize, zone: &Zone) {
        let thermostat = zone.controls.thermostat;
        let step = zone.controls.settings.grid.step();
        let start = thermostat.call_start + step;
        self.zone(at, "controls.call_start", start.to_string(), |zone| {
            zone.controls.thermostat.call_start = start;
        });
        let stop = thermostat.call_stop + step;
        self.zone(at, "controls.call_stop", stop.to_string(), |zone| {
            zone.controls.thermostat.call_stop = stop;
        });
        let delay = longer(thermostat.changeover_delay);
        self.zone(at, "controls.changeover_delay", delay.to_string(), |zone| {
            zone.controls.thermostat.changeover_delay = delay;
        });
        let on = longer(thermostat.min_on);
        self.zone(at, "unit.min_on", on.to_string(), |zone| zone.controls.thermostat.min_on = on);
        let off = longer(thermostat.min_off);
        self.zone(at, "unit.min_off", off.to_string(), |zone| {
            zone.controls.thermostat.min_off = off;
        });
        if let Some(limit) = zone.controls.low_limit {
            let below = limit.below + 1.0;
            self.zone(at, "controls.low_limit", below.to_string(), |zone| {
                let moved = crate::control::LowLimit { below, until: limit.until + 1.0 };
                zone.controls.low_limit = Some(moved);
            });
        }
        if let Some(after) = zone.controls.auto_off {
            let after = longer(after);
            self.zone(at, "controls.auto_off", after.to_string(), |zone| {
                zone.controls.auto_off = Some(after);
            });
        }
    }

    fn sensing(&mut self, at: usize, zone: &Zone) {
        let sensor = zone.controls.sensor;
        let offset = sensor.offset + zone.controls.settings.grid.step();
        self.zone(at, "controls.sensor.offset", offset.to_string(), |zone| {
            zone.controls.sensor.offset = offset;
        });
        let lag = longer(sensor.lag);
        self.zone(at, "controls.sensor.lag", lag.to_string(), |zone| {
            zone.controls.sensor.lag = lag;
        });
        let stored = zone.controls.settings.grid.unit();
        let other = match stored {
            TemperatureUnit::Celsius => TemperatureUnit::Fahrenheit,
            TemperatureUnit::Fahrenheit => TemperatureUnit::Celsius,
        };
        let shown = if zone.controls.settings.display.is_some() { stored } else { other };
        self.zone(at, "controls.shown_unit", shown.letter().into(), |zone| {
            zone.controls.settings.display = Display::new(stored, shown);
        });
    }

    fn absence(&mut self, at: usize, zone: &Zone) {
        let grid = zone.controls.settings.grid;
        let Some(setback) = zone.controls.setback else { return };
        let show = |ticks: Ticks| grid.value(ticks).to_string();
        let heat = setback.heat + Ticks::ONE;
        self.zone(at, "controls.setback.heat", show(heat), |zone| {
            zone.controls.setback = Some(crate::control::Setback { heat, ..setback });
        });
        let cool = setback.cool + Ticks::ONE;
        self.zone(at, "controls.setback.cool", show(cool), |zone| {
            zone.controls.setback = Some(crate::control::Setback { cool, ..setback });
        });
        let heat_low = setback.heat_low + Ticks::ONE;
        self.zone(at, "controls.setback.heat_low", show(heat_low), |zone| {
            zone.controls.setback = Some(crate::control::Setback { heat_low, ..setback });
        });
        let cool_high = setback.cool_high - Ticks::ONE;
        self.zone(at, "controls.setback.cool_high", show(cool_high), |zone| {
            zone.controls.setback = Some(crate::control::Setback { cool_high, ..setback });
        });
        let time = longer(zone.controls.override_time);
        self.zone(at, "controls.setback.override_time", time.to_string(), |zone| {
            zone.controls.override_time = time;
        });
    }

    fn group(&mut self, at: usize) {
        let group = &self.model.outdoor_units[at];
        let rest = longer(group.settings.min_off);
        self.unit(at, "min_off", rest.to_string(), |settings| settings.min_off = rest);
        let Sharing::SingleMode { policy, owner, owner_off, changeover_delay } =
            group.settings.sharing
        else {
            return;
        };
        let single = |policy, owner, owner_off, changeover_delay| Sharing::SingleMode {
            policy,
            owner,
            owner_off,
            changeover_delay,
        };
        for other in ModePolicy::ALL.into_iter().filter(|other| *other != policy) {
            self.unit(at, "mode_policy", other.name().into(), |settings| {
                settings.sharing = single(other, owner, owner_off, changeover_delay);
            });
        }
        for (other, zone) in group.zones.iter().enumerate().filter(|(other, _)| *other != owner) {
            let id = self.model.zones[zone.get()].id.clone();
            self.unit(at, "owner", id, |settings| {
                settings.sharing = single(policy, other, owner_off, changeover_delay);
            });
        }
        let other = match owner_off {
            OwnerOff::Hold => OwnerOff::Stop,
            OwnerOff::Stop => OwnerOff::Hold,
        };
        self.unit(at, "owner_off", other.name().into(), |settings| {
            settings.sharing = single(policy, owner, other, changeover_delay);
        });
        let delay = longer(changeover_delay);
        self.unit(at, "changeover_delay", delay.to_string(), |settings| {
            settings.sharing = single(policy, owner, owner_off, delay);
        });
        self.unit(at, "simultaneous", "true".into(), |settings| {
            settings.sharing = Sharing::Simultaneous;
        });
    }

    fn unit(
        &mut self,
        at: usize,
        key: &str,
        to: String,
        change: impl FnOnce(&mut crate::control::GroupSettings),
    ) {
        let mut model = self.model.clone();
        change(&mut model.outdoor_units[at].settings);
        let path = format!("{}.{key}", self.model.outdoor_units[at].id);
        self.all.push(Variation { path, to, model });
    }
}

fn moved(limits: Limits, side: Side, high: bool, step: Ticks) -> Range {
    let range = match side {
        Side::Heat => limits.heat,
        Side::Cool => limits.cool,
    };
    if high {
        Range { high: range.high + step, ..range }
    } else {
        Range { low: range.low + step, ..range }
    }
}

fn longer(time: Seconds) -> Seconds {
    Seconds::new(time.get() + time.get().max(LEAST_TIME.get()))
}

fn listed(modes: &[Mode]) -> String {
    modes.iter().map(|mode| mode.name()).collect::<Vec<_>>().join(" ")
}

/// A zone whose controllers store other steps, where all of its values are such steps, too.
fn regridded(zone: &Zone, grid: Grid) -> Option<Zone> {
    let settings = &zone.controls.settings;
    let tick = |ticks: Ticks| grid.exact(settings.grid.value(ticks)).ok();
    let range = |range: Range| Some(Range { low: tick(range.low)?, high: tick(range.high)? });
    let limits = settings.rules.limits();
    let limits = Limits { heat: range(limits.heat)?, cool: range(limits.cool)? };
    let gap = tick(settings.rules.deadband())?;
    let rules = SetpointRules::new(limits, gap, settings.rules.on_conflict()).ok()?;
    let pair = zone.controls.start.setpoints;
    let start = if rules.is_single() {
        rules.start_single(Side::Heat, tick(pair.heat())?).ok()?
    } else {
        rules.start_dual(tick(pair.heat())?, tick(pair.cool())?).ok()?
    };
    let mut changed = zone.clone();
    changed.controls.settings = Settings { grid, rules, ..settings.clone() };
    changed.controls.start.setpoints = start;
    if let Some(setback) = &mut changed.controls.setback {
        setback.heat = tick(setback.heat)?;
        setback.cool = tick(setback.cool)?;
        setback.heat_low = tick(setback.heat_low)?;
        setback.cool_high = tick(setback.cool_high)?;
    }
    Some(changed)
}
