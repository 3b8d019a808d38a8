//! Setpoints, limits and deadband: rules 1 and 2.

use crate::control::{
    Grid, Infeasible, Limits, OnConflict, Range, SetpointRules, Setpoints, Side, StartFault, Ticks,
};
use crate::scenario::fault::Complaint;
use crate::scenario::fields::Fields;
use crate::scenario::shown::tidy;
use crate::settings::controls as key;

/// The grid of the controller.
pub(super) fn grid(fields: &Fields) -> Option<Grid> {
    let (step, unit) = (fields.number(key::SETPOINT_STEP.name)?, fields.checker.unit);
    let grid = Grid::new(unit, step);
    if grid.is_none() {
        let steps: Vec<String> = Grid::steps(unit).iter().map(|(size, _)| tidy(*size)).collect();
        let message = format!("no controller in {} has steps of {}", unit.letter(), tidy(step));
        let remedy = format!("known steps are {}", steps.join(", "));
        fields
            .fault(key::SETPOINT_STEP.name, Complaint::new("setpoint-step", message).help(remedy));
    }
    grid
}

/// A value that must be a whole number of steps (rule 1).
pub(super) fn ticks(fields: &Fields, key: &str, grid: Grid) -> Option<Ticks> {
    on_grid(fields, key, fields.number(key)?, grid)
}

fn on_grid(fields: &Fields, key: &str, value: f64, grid: Grid) -> Option<Ticks> {
    match grid.exact(value) {
        Ok(ticks) => Some(ticks),
        Err(off) => {
            let step = tidy(grid.step());
            let message = format!(
                "{} is no whole number of steps of {step} {}",
                tidy(value),
                grid.unit().letter()
            );
            let remedy =
                format!("the nearest values are {} and {}", tidy(off.below), tidy(off.above));
            fields.fault(key, Complaint::new("off-step", message).help(remedy));
            None
        }
    }
}

/// A lowest and a highest setpoint.
pub(super) fn range(fields: &Fields, key: &str, grid: Grid) -> Option<Range> {
    let (low, high) = fields.pair(key)?;
    let (low, high) = (on_grid(fields, key, low, grid), on_grid(fields, key, high, grid));
    Some(Range { low: low?, high: high? })
}

/// What a request does on a conflict.
pub(super) fn on_conflict(fields: &Fields) -> Option<OnConflict> {
    fields.pick(key::ON_CONFLICT.name, &OnConflict::ALL, OnConflict::name)
}

/// Limits and deadband that leave something (rule 2).
pub(super) fn rules(fields: &Fields, grid: Grid) -> Option<SetpointRules> {
    let written = fields.block_or_defaults(key::LIMITS_KEY.name);
    let deadband = ticks(fields, key::MIN_DEADBAND.name, grid);
    let written = written?;
    let (heat, cool) = (
        range(&written, key::LIMITS_HEAT.name, grid),
        range(&written, key::LIMITS_COOL.name, grid),
    );
    let (limits, deadband) = (Limits { heat: heat?, cool: cool? }, deadband?);
    match SetpointRules::new(limits, deadband, on_conflict(fields)?) {
        Ok(rules) => Some(rules),
        Err(why) => {
            let at = if fields.has(key::LIMITS_KEY.name) {
                key::LIMITS_KEY.name
            } else {
                key::MIN_DEADBAND.name
            };
            fields.fault(at, infeasible(why, limits, deadband, grid));
            None
        }
    }
}

fn infeasible(why: Infeasible, limits: Limits, deadband: Ticks, grid: Grid) -> Complaint {
    let Limits { heat, cool } = limits;
    let show = |ticks| grid.show(ticks);
    let (message, remedy) = match why {
        Infeasible::NegativeDeadband => {
            ("the deadband is below zero".into(), "give 0 or more".into())
        }
        Infeasible::Crossed(side) => {
            let Range { low, high } = if side == Side::Heat { heat } else { cool };
            (
                format!("the {} limits run from {} to {}", side.name(), show(low), show(high)),
                format!("write [{}, {}]", show(high), show(low)),
            )
        }
        Infeasible::Deadband { excess } => (
            format!(
                "heat is at least {} and cool at most {}, but min_deadband is {}",
                show(heat.low),
                show(cool.high),
                show(deadband)
            ),
            fits_again(limits, excess, grid, Some(deadband)),
        ),
        Infeasible::NothingShared { gap } if heat.low > cool.high => (
            format!(
                "with min_deadband 0 heat and cool are one value, but heat begins at {} and cool \
                 ends at {}",
                show(heat.low),
                show(cool.high)
            ),
            fits_again(limits, gap, grid, None),
        ),
        Infeasible::NothingShared { .. } => (
            format!(
                "with min_deadband 0 heat and cool are one value, but heat ends at {} and cool \
                 begins at {}",
                show(heat.high),
                show(cool.low)
            ),
            format!(
                "raise the highest heat to {}, or lower the lowest cool to {}, or give a \
                 min_deadband of {} or more",
                show(cool.low),
                show(heat.high),
                show(Ticks::ONE)
            ),
        ),
    };
    Complaint::new("infeasible", message).help(remedy)
}

/// The smallest edits that bring lowest heat and highest cool together again.
fn fits_again(limits: Limits, excess: Ticks, grid: Grid, deadband: Option<Ticks>) -> String {
    let show = |ticks| grid.show(ticks);
    let mut edits = vec![
        format!("lower the lowest heat to {}", show(limits.heat.low - excess)),
        format!("raise the highest cool to {}", show(limits.cool.high + excess)),
    ];
    // Taking the deadband down to nothing would make one setpoint of two: another thing.
    if let Some(less) =
        deadband.map(|deadband| deadband - excess).filter(|less| *less > Ticks::ZERO)
    {
        edits.insert(0, format!("lower min_deadband to {}", show(less)));
    }
    edits.join(", or ")
}

/// The written start values.
pub(super) fn written(fields: &Fields, grid: Grid) -> Option<(Ticks, Ticks)> {
    let (heat, cool) = (ticks(fields, key::HEAT.name, grid), ticks(fields, key::COOL.name, grid));
    Some((heat?, cool?))
}

/// The setpoints at the start, and the value that stands for nothing where both are one.
pub(super) fn start(
    fields: &Fields,
    rules: &SetpointRules,
    grid: Grid,
    active: Side,
    (heat, cool): (Ticks, Ticks),
) -> Option<(Setpoints, Option<(Side, f64)>)> {
    let of = |side| if side == Side::Heat { heat } else { cool };
    let started = if rules.is_single() {
        rules.start_single(active, of(active))
    } else {
        rules.start_dual(heat, cool)
    };
    match started {
        Ok(setpoints) => {
            let other = active.other();
            let ignored = rules.is_single() && heat != cool;
            Some((setpoints, ignored.then(|| (other, grid.value(of(other))))))
        }
        Err(fault) => {
            complain_of_start(fields, rules, grid, (heat, cool), fault);
            None
        }
    }
}

fn complain_of_start(
    fields: &Fields,
    rules: &SetpointRules,
    grid: Grid,
    (heat, cool): (Ticks, Ticks),
    fault: StartFault,
) {
    let show = |ticks| grid.show(ticks);
    match fault {
        StartFault::Outside { side, range } => {
            let value = if side == Side::Heat { heat } else { cool };
            fields.fault(side.name(), outside(rules, grid, side, value, range));
        }
        StartFault::TooClose { missing } => {
            let (low, high, least) = (show(heat), show(cool), show(rules.deadband()));
            let message = if cool < heat {
                format!("heat {low} starts above cool {high}")
            } else {
                let apart = show(cool - heat);
                format!("heat {low} and cool {high} start {apart} apart, min_deadband is {least}")
            };
            let mut edits = Vec::new();
            if rules.written(Side::Heat).has(heat - missing) {
                edits.push(format!("start heat at {}", show(heat - missing)));
            }
            if rules.written(Side::Cool).has(cool + missing) {
                edits.push(format!("start cool at {}", show(cool + missing)));
            }
            if cool > heat {
                edits.push(format!("lower min_deadband to {}", show(cool - heat)));
            }
            let remedy = edits.join(", or ");
            fields.fault(key::COOL.name, Complaint::new("start-too-close", message).help(remedy));
        }
    }
}

fn outside(rules: &SetpointRules, grid: Grid, side: Side, value: Ticks, range: Range) -> Complaint {
    let show = |ticks| grid.show(ticks);
    let span = if range.low == range.high {
        show(range.low).to_string()
    } else {
        format!("{} to {}", show(range.low), show(range.high))
    };
    let (name, shown) = (side.name(), show(value));
    let message = if rules.is_single() {
        format!(
            "with min_deadband 0 both setpoints start at {name} {shown}, and the limits of both \
             have only {span} in common"
        )
    } else {
        format!("{name} starts at {shown}, outside its limits of {span}")
    };
    let narrow = [Side::Heat, Side::Cool].into_iter().filter(|of| !rules.written(*of).has(value));
    let narrow = narrow.filter(|of| rules.is_single() || *of == side);
    let reach: Vec<String> =
        narrow.map(|of| format!("let limits.{} reach {shown}", of.name())).collect();
    let remedy = format!("start {name} within {span}, or {}", reach.join(" and "));
    Complaint::new("start-outside", message).help(remedy)
}
