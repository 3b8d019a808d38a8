//! Setpoints, limits, deadband and step: none of them can be written without a look at the others.

use crate::control::{
    Grid, Infeasible, Limits, Range, SetpointRules, Settings, Side, StartFault, Ticks,
};
use crate::engine::Zone;
use crate::settings::Value;

/// A temperature or a difference in steps, in the file's unit.
pub(crate) fn degrees(zone: &Zone, ticks: Ticks) -> Value {
    Value::Number(zone.controls.settings.grid.value(ticks))
}

/// A value in steps of the zone; `None` where it is no whole number of them.
pub(crate) fn ticks(zone: &Zone, value: &Value) -> Option<Ticks> {
    zone.controls.settings.grid.exact(value.number()?).ok()
}

/// A setpoint at the start.
pub(crate) fn start(zone: &Zone, side: Side) -> Value {
    degrees(zone, zone.controls.start.setpoints.get(side))
}

/// Writes a setpoint at the start.
pub(crate) fn set_start(zone: &mut Zone, side: Side, to: f64) -> Option<()> {
    let to = zone.controls.settings.grid.exact(to).ok()?;
    let (rules, pair) = (zone.controls.settings.rules, zone.controls.start.setpoints);
    let started = if rules.is_single() {
        rules.start_single(side, to)
    } else {
        let value = |of: Side| if of == side { to } else { pair.get(of) };
        rules.start_dual(value(Side::Heat), value(Side::Cool))
    };
    zone.controls.start.setpoints = started.ok()?;
    Some(())
}

/// The limits of a side.
pub(crate) fn limits(zone: &Zone, side: Side) -> Value {
    let (range, grid) = (zone.controls.settings.rules.written(side), zone.controls.settings.grid);
    Value::Span([grid.value(range.low), grid.value(range.high)])
}

/// Writes the limits of a side.
pub(crate) fn set_limits(zone: &mut Zone, side: Side, to: &Value) -> Option<()> {
    let Value::Span([low, high]) = to else { return None };
    let grid = zone.controls.settings.grid;
    let range = Range { low: grid.exact(*low).ok()?, high: grid.exact(*high).ok()? };
    let rules = zone.controls.settings.rules;
    let limits = match side {
        Side::Heat => Limits { heat: range, ..rules.limits() },
        Side::Cool => Limits { cool: range, ..rules.limits() },
    };
    set_rules(zone, SetpointRules::new(limits, rules.deadband(), rules.on_conflict()))
}

/// Writes rules under which the start still stands.
pub(crate) fn set_rules(zone: &mut Zone, rules: Result<SetpointRules, Infeasible>) -> Option<()> {
    let rules = rules.ok()?;
    let pair = zone.controls.start.setpoints;
    zone.controls.start.setpoints = started(&rules, pair.heat(), pair.cool()).ok()?;
    zone.controls.settings.rules = rules;
    Some(())
}

fn started(
    rules: &SetpointRules,
    heat: Ticks,
    cool: Ticks,
) -> Result<crate::control::Setpoints, StartFault> {
    if rules.is_single() {
        rules.start_single(Side::Heat, heat)
    } else {
        rules.start_dual(heat, cool)
    }
}

/// A zone whose controllers store other steps, where all of its values are such steps, too.
pub(crate) fn with_step(zone: &Zone, grid: Grid) -> Option<Zone> {
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
