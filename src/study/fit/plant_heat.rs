//! What a zone's unit gave, by what the log says of it.
//!
//! Its rated heat comes from the file: a log without a measured heat cannot tell it, since a room
//! twice as heavy with twice the gains and twice the plant has the same temperatures.

use super::grid::Grid;
use crate::control::Mode;
use crate::direction::Direction;
use crate::engine::Model;
use crate::log::{LogTime, Running, Sample};
use crate::plant::{IndoorUnit, Rise, UnitControl};
use crate::study::audit::Course;
use crate::study::quantile::quantile;

/// Heat of a zone's unit into the air, step by step.
#[derive(Clone, Debug, PartialEq)]
pub struct PlantHeat {
    /// By stage (one where there are none), W, negative while cooling: what the file's capacity
    /// gives, with the rise after a start and the fan's heat.
    pub by_stage: Vec<Vec<f64>>,
    /// Heat that it may have brought where nothing is known, W.
    pub unsure: Vec<f64>,
    /// The part of each step in which it ran.
    pub ran: Vec<f64>,
    /// Whether the log tells anything of it,
    pub is_known: bool,
    /// and that it ran at all.
    pub ever_ran: bool,
}

impl PlantHeat {
    /// All stages together, with a factor on each.
    pub fn total(&self, factors: &[f64]) -> Vec<f64> {
        let mut sum = vec![0.0; self.unsure.len()];
        for (stage, factor) in self.by_stage.iter().zip(factors) {
            sum.iter_mut().zip(stage).for_each(|(sum, heat)| *sum += factor * heat);
        }
        sum
    }
}

/// What a sample says of the unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum State {
    Unknown,
    Off,
    /// In a direction, at a stage, with this part of the rated capacity.
    On(Direction, usize, f64),
}

/// What each sample says of the unit of a course.
pub(super) fn states(course: &Course, unit: &IndoorUnit, by_power: Option<f64>) -> Vec<State> {
    let levels = levels(&course.samples);
    let mut states: Vec<State> = (0..course.samples.len())
        .map(|place| state(course, unit, &levels, by_power, place))
        .collect();
    // A power that rises before the stage is told belongs to the stage that follows.
    for place in (1..states.len()).rev() {
        if let (State::On(_, _, part), State::On(direction, stage, known)) =
            (states[place - 1], states[place])
            && part.is_nan()
        {
            states[place - 1] = State::On(direction, stage, known);
        }
    }
    for state in &mut states {
        if let State::On(direction, stage, part) = *state
            && part.is_nan()
        {
            *state = State::On(direction, stage, share(unit, stage));
        }
    }
    states
}

/// The outputs at which a log has a unit, where they are few; nothing where they are many.
fn levels(samples: &[Sample]) -> Vec<f64> {
    let mut found: Vec<f64> = Vec::new();
    for output in samples.iter().filter_map(|it| it.output).filter(|it| *it > 0.0) {
        if !found.iter().any(|it| (it - output).abs() < 1e-6) {
            found.push(output);
            if found.len() > 8 {
                return Vec::new();
            }
        }
    }
    found.sort_by(f64::total_cmp);
    found
}

fn state(
    course: &Course,
    unit: &IndoorUnit,
    levels: &[f64],
    by_power: Option<f64>,
    place: usize,
) -> State {
    let sample = &course.samples[place];
    let powered = by_power.and_then(|least| sample.electric_w.map(|power| power > least));
    let runs = powered.or_else(|| sample.runs());
    match runs {
        None if sample.power == Some(crate::control::Power::Off) => State::Off,
        None => State::Unknown,
        Some(false) => State::Off,
        Some(true) => {
            let Some(direction) = direction(course, unit, place) else { return State::Unknown };
            let (stage, part) = output(unit, levels, sample.output);
            State::On(direction, stage, part)
        }
    }
}

/// As recorded, else the one that the unit has, else the nearer setpoint's.
fn direction(course: &Course, unit: &IndoorUnit, place: usize) -> Option<Direction> {
    if matches!(course.samples[place].mode, Some(Mode::Fan)) {
        return None;
    }
    let only = match (&unit.heating, &unit.cooling) {
        (Some(_), None) => Some(Direction::Heating),
        (None, Some(_)) => Some(Direction::Cooling),
        _ => None,
    };
    if let Some(Running::In(direction)) = course.samples[place].running {
        return Some(direction);
    }
    only.or_else(|| course.direction(place)).or_else(|| towards_setpoint(&course.samples[place]))
}

/// Where the power tells that the unit runs, and the rows of running do not yet.
fn towards_setpoint(sample: &Sample) -> Option<Direction> {
    match (sample.mode, sample.heat, sample.cool) {
        (Some(Mode::Heat), ..) => Some(Direction::Heating),
        (Some(Mode::Cool | Mode::Dry), ..) => Some(Direction::Cooling),
        (_, heat, cool) => {
            heat.or(cool)?;
            // A setpoint that is not there is far away.
            let (heat, cool) = (heat.unwrap_or(-1e9), cool.unwrap_or(1e9));
            let below = sample.temperature? < f64::midpoint(heat, cool);
            Some(if below { Direction::Heating } else { Direction::Cooling })
        }
    }
}

/// The stage and the part of the rated capacity; not a number where the log does not tell yet.
fn output(unit: &IndoorUnit, levels: &[f64], output: Option<f64>) -> (usize, f64) {
    let UnitControl::Staged { stages } = unit.control else {
        return (0, output.unwrap_or(1.0).clamp(0.0, 1.0));
    };
    let last = stages.count() - 1;
    match output {
        None => (last, stages.share(last)),
        Some(output) if output <= 0.0 => (last, f64::NAN),
        Some(output) => {
            let apart = |stage: &usize| (stages.share(*stage) - output).abs();
            let nearest = (0..=last).min_by(|one, two| apart(one).total_cmp(&apart(two)));
            let rank = levels.iter().position(|it| (it - output).abs() < 1e-6);
            let by_rank = rank.filter(|_| levels.len() == last + 1);
            let stage = by_rank.or(nearest).unwrap_or(last);
            (stage, stages.share(stage))
        }
    }
}

fn share(unit: &IndoorUnit, stage: usize) -> f64 {
    match unit.control {
        UnitControl::Staged { stages } => stages.share(stage),
        UnitControl::Modulating { .. } | UnitControl::Ideal => 1.0,
    }
}

/// The electric power above which the unit of a log with one zone runs, W: half way up from what it
/// takes at rest, where the two lie clearly apart.
pub(super) fn running_power(courses: usize, samples: &[Sample]) -> Option<f64> {
    if courses != 1 {
        return None;
    }
    let mut power: Vec<f64> = samples.iter().filter_map(|it| it.electric_w).collect();
    if power.len() < 20 {
        return None;
    }
    power.sort_by(f64::total_cmp);
    let runs: Vec<f64> = samples
        .iter()
        .filter(|it| it.runs() == Some(true))
        .filter_map(|it| it.electric_w)
        .collect();
    let running = if runs.len() >= 10 {
        runs.iter().sum::<f64>() / runs.len() as f64
    } else {
        quantile(&power, 0.98)
    };
    let rest = quantile(&power, 0.02);
    (running > 3.0 * rest + 50.0).then_some(rest + 0.35 * (running - rest))
}

/// What the unit of a course gave over the steps of a grid.
pub(super) fn plant_heat(model: &Model, course: &Course, grid: &Grid, courses: usize) -> PlantHeat {
    let unit = &model.zones[course.place].unit;
    let by_power = running_power(courses, &course.samples);
    let states = states(course, unit, by_power);
    let stages = match unit.control {
        UnitControl::Staged { stages } => stages.count(),
        UnitControl::Modulating { .. } | UnitControl::Ideal => 1,
    };
    let mut given = vec![vec![0.0; grid.count]; stages];
    let mut known = vec![0.0; grid.count];
    let mut ran = vec![0.0; grid.count];
    for (place, state) in states.iter().enumerate() {
        let (from, to): (LogTime, LogTime) = (course.samples[place].at, course.end_of(place));
        grid.share_out(from, to, |step, part| match *state {
            State::Unknown => {}
            State::Off => known[step] += part,
            State::On(direction, stage, output) => {
                known[step] += part;
                ran[step] += part;
                let sign = if direction == Direction::Heating { 1.0 } else { -1.0 };
                given[stage][step] += part * output * sign * unit.rated(direction);
            }
        });
    }
    raise(unit, grid, &ran, &mut given);
    let is_known = states.iter().any(|state| *state != State::Unknown);
    let ever_ran = ran.iter().any(|part| *part > 0.0);
    let rated = unit.rated(Direction::Heating).max(unit.rated(Direction::Cooling));
    let doubt = |part: &f64| if is_known && *part < 0.5 { rated / 2.0 } else { 0.0 };
    PlantHeat {
        by_stage: given,
        unsure: known.iter().map(doubt).collect(),
        ran,
        is_known,
        ever_ran,
    }
}

/// The rise after each start, and the fan's heat.
fn raise(unit: &IndoorUnit, grid: &Grid, ran: &[f64], given: &mut [Vec<f64>]) {
    let rise = Rise::new(unit.start_up.time_constant, grid.step.get() as f64);
    let mut lacking = 1.0;
    for (step, part) in ran.iter().enumerate() {
        if *part <= 0.0 {
            lacking = 1.0;
            continue;
        }
        let delivered = rise.delivered(lacking);
        lacking = rise.after(lacking);
        for stage in given.iter_mut() {
            if stage[step] != 0.0 {
                stage[step] = stage[step] * delivered + unit.fan * part;
            }
        }
    }
}
