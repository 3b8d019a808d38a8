//! Setpoints, limits, deadband and step, changed.

use super::List;
use crate::control::{Grid, Limits, OnConflict, Range, SetpointRules, Settings, Side, Ticks};
use crate::engine::Zone;

impl List<'_> {
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

    pub(super) fn rules(&mut self, at: usize, zone: &Zone) {
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

    pub(super) fn start(&mut self, at: usize, zone: &Zone) {
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
