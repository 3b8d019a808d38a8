//! The worst that can happen to a room: bounds that nothing passes, proved.
//!
//! # What is asked
//!
//! A run shows one night and what some people press on it. Here everything counts at once: any
//! presses at any time, any course of the outdoor air between two temperatures, any sun up to that
//! of a clear sky, any part of the gains. How cold and how warm can the air become?
//!
//! # Why there is an answer
//!
//! Heat goes from warm to cold through every wall. If two rooms are alike but for one node that is
//! warmer in one of them, or one flow that brings more heat, nothing ever becomes colder there. Such
//! a network is *cooperative* and its solutions are *monotone*: ordered starts and ordered inputs
//! give ordered courses (H. L. Smith, Monotone Dynamical Systems, AMS 1995, chapter 3; D. Angeli and
//! E. D. Sontag, Monotone control systems, IEEE Transactions on Automatic Control 48 (2003)
//! 1684-1698). So of all weathers the steadily coldest brings about the lowest temperatures, with no
//! sun, no gains, and neighbours as cold as they can be.
//!
//! Only the controller breaks the order: a colder room calls for heat. What it remembers is finite,
//! though (direction, call, timers), and is followed as a set (`calls`). For each memory the
//! temperatures of air, mass and sensor lie between bounds, and so do their differences, since a
//! sensor that lags tells how the air has gone (`bounds`). A step takes each memory and its bounds
//! to every memory that can follow: where a reading may or may not start a call, it goes both ways.
//! What comes to the same memory is joined. By induction over the steps everything that can be is
//! inside, so that nothing passes the least and the most of it.
//!
//! Sums are rounded outwards (`interval`); what a computed number is wrong by is added to the
//! bound that it helps to make.
//!
//! Three things keep what is inside small. The body of the sensor is divided into ranges, so that what
//! is known of the air is known for each reading. The mass is followed less what body and air tell of
//! it, so that it goes by the readings over hours and not by the coldest air of each moment. And a plant that may pause (its circuit reverses,
//! its compressor rests) brings anything from nothing to what it is asked for, by the reading, and no
//! more.
//!
//! # Where it starts
//!
//! Anywhere a zone can be that has been left to itself for long (`undisturbed`), or at the
//! temperature given; also where its file says that it starts.
//!
//! # How near the bound is
//!
//! The worst found (`search`) is a run that gets somewhere; between it and the bound nobody knows.
//! Over a day of shipped scenarios it is below a kelvin at most ends, and below three at all ends of
//! rooms with a plant of their own.
//! It is nearest where people may switch off or where a room is locked, and furthest where a
//! lagging sensor lets air swing past setpoints or windows may stand open, where zones share a plant
//! that gives more than is asked for in bursts, and where a group may be turned against a zone for days.
//!
//! # What it does not cover
//!
//! Broken equipment and refrigerant, doors, and the model itself: a room of two capacities is not a
//! room. What it cannot bound is refused ([`Refusal`]) and never bounded wrongly.
//!
//! ```
//! use setband::study::worst::{Limits, Question, bound};
//! use setband::time::Seconds;
//!
//! let text = "period: {from: 2025-01-14}
//! weather: {design_day: {high: 4, range: 8}}
//! zones:
//!   shed: {space: {floor: 20 m2}, unit: {heating: 2 kW, cooling: 2 kW}, controls: {heat: 18, cool: 24}}
//! ";
//! let no_files = |_: &str| Err("no files".to_owned());
//! let model = setband::scenario::read(text, "shed.yaml", &no_files)?.base;
//! let question = Question {
//!     limits: Limits { coldest: -5.0, hottest: 10.0 },
//!     lasts: Seconds::hours(2),
//!     any_window: false,
//!     outage: None,
//!     from: Some(18.0),
//! };
//! let reached = bound(&model, &question)?;
//! let (lowest, _) = reached[0].lowest();
//! assert!(-5.0 < lowest && lowest < 18.0);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod basis;
mod bounds;
mod calls;
mod follow;
mod heat;
mod interval;
mod light;
mod maps;
mod plan;
mod reading;
mod refuse;
mod region;
mod remedies;
mod room;
mod search;
mod selections;
mod sets;
mod tables;
#[cfg(test)]
mod tests;
mod timers;
mod undisturbed;

use crate::engine::{Model, ZoneIndex};
use crate::time::{DAY, Instant, Seconds};
use calls::Memory;
use follow::{Acting, Follow, Known, Moment};
use interval::Interval;
use plan::ZonePlan;
use sets::Sets;
use std::collections::VecDeque;

pub use refuse::Refusal;
pub use region::{Region, region};
pub use remedies::{Remedied, Remedy, remedies};
pub use search::{End, Found, Press, Source, find, find_in};

/// The range of the outdoor air, degrees C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// It is never colder.
    pub coldest: f64,
    /// It is never warmer.
    pub hottest: f64,
}

impl Limits {
    /// The lowest and the highest of a model's own weather, over its days.
    pub fn of_weather(model: &Model) -> Self {
        let period = &model.period;
        let step = period.step().get() as f64;
        let first = period.first();
        let mut course = crate::weather::Course::new(&model.weather, first);
        let mut around = [0.0; 2];
        let mut found = Self { coldest: f64::INFINITY, hottest: f64::NEG_INFINITY };
        for at in 0..period.days() * period.steps_per_day() {
            course.outdoors(at as f64 * step, step / 2.0, &mut around);
            for air in around {
                found.coldest = found.coldest.min(air);
                found.hottest = found.hottest.max(air);
            }
        }
        found
    }
}

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Question {
    /// The outdoor air.
    pub limits: Limits,
    /// Within which time from the file's first midnight.
    pub lasts: Seconds,
    /// Windows may be opened at any time, and not only where the file opens them.
    pub any_window: bool,
    /// The supply fails once for so long, at any time.
    pub outage: Option<Seconds>,
    /// Every zone starts with air and mass at this temperature, degrees C, and not anywhere where
    /// it can be by itself.
    pub from: Option<f64>,
}

/// The air of a zone, between bounds at each step, degrees C.
#[derive(Clone, Debug, PartialEq)]
pub struct Reached {
    /// Which zone.
    pub zone: ZoneIndex,
    /// Nothing is below this: at the start and after each step.
    pub least: Vec<f64>,
    /// Nothing is above this.
    pub most: Vec<f64>,
    /// The lowest and the highest temperature, degrees C, at which it may start with its air and its
    /// mass alike; `None` where they are never alike.
    pub starts: Option<(f64, f64)>,
}

impl Reached {
    /// The lowest that the air can be, and the first step after which it can be so within a tenth
    /// of a kelvin.
    pub fn lowest(&self) -> (f64, usize) {
        let lowest = self.least.iter().copied().fold(f64::INFINITY, f64::min);
        (lowest, first(&self.least, |air| air <= lowest + NEAR_IT))
    }

    /// The highest likewise.
    pub fn highest(&self) -> (f64, usize) {
        let highest = self.most.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        (highest, first(&self.most, |air| air >= highest - NEAR_IT))
    }
}

const NEAR_IT: f64 = 0.1;

fn first(of: &[f64], is: impl Fn(f64) -> bool) -> usize {
    of.iter().position(|air| is(*air)).unwrap_or(0)
}

/// What the method forgets, to see that the tests would notice: mutants of it. Nothing outside the
/// tests forgets anything.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[expect(clippy::struct_excessive_bools, reason = "each is a mutant of its own")]
struct Neglect {
    timer: bool,
    cooling: bool,
    neighbours: bool,
    sensor_offset: bool,
}

/// Bounds of the air of every zone.
///
/// # Errors
/// The model has something that cannot be bounded.
pub fn bound(model: &Model, question: &Question) -> Result<Vec<Reached>, Refusal> {
    bound_but(model, question, Neglect::default())
}

fn bound_but(
    model: &Model,
    question: &Question,
    neglect: Neglect,
) -> Result<Vec<Reached>, Refusal> {
    refuse::check(model, question)?;
    let step = model.period.step().get();
    let days = (question.lasts.get() + DAY - 1) / DAY;
    let period = model.period.over_days(days.max(1)).map_err(|_| Refusal::TooLong)?;
    let sun = light::clear(model, &period);
    let zones = (0..model.zones.len()).map(ZoneIndex::new);
    let plans: Vec<ZonePlan> =
        zones.map(|zone| ZonePlan::new(model, zone, question, neglect)).collect();
    let outdoors = Interval::between(question.limits.coldest, question.limits.hottest);
    let brightest: Vec<f64> =
        sun.iter().map(|sun| sun.iter().copied().fold(0.0, f64::max)).collect();
    let starts = plans.iter().filter_map(|plan| model.zones[plan.zone.get()].space.input().start);
    let everywhere = starts
        .chain(question.from)
        .fold(undisturbed::everywhere(model, &plans, outdoors, &brightest), |all, start| {
            all.hull(Interval::exactly(start))
        });
    let outage = question.outage.map_or(0, |lasts| (lasts.get() + step - 1) / step);
    let outage = usize::try_from(outage).unwrap_or(0);
    let mut follow = Follow::new(model, period, &plans, outdoors, everywhere, outage);
    let known = start(&mut follow, question, &sun);
    let starts: Vec<_> =
        known.iter().zip(&plans).map(|(it, plan)| it.before.alike(plan.basis())).collect();
    let steps = usize::try_from(question.lasts.get() / step).unwrap_or(0);
    let mut reached = go_through(&mut follow, known, &sun, steps);
    for (reached, starts) in reached.iter_mut().zip(starts) {
        reached.starts = starts;
    }
    Ok(reached)
}

/// What can be at the first midnight.
fn start(follow: &mut Follow<'_>, question: &Question, sun: &[Vec<f64>]) -> Vec<Known> {
    let per_day = usize::try_from(DAY / follow.step_length()).unwrap_or(0);
    let first_day: Vec<Vec<f64>> =
        sun.iter().map(|sun| sun.iter().take(per_day).copied().collect()).collect();
    let mut known = match question.from {
        Some(_) => follow.nothing(),
        None => undisturbed::undisturbed(follow, &first_day),
    };
    let width = follow.everywhere.high() - follow.everywhere.low();
    let left = undisturbed::left_by_warm_up(follow.model, width);
    for (zone, known) in known.iter_mut().enumerate() {
        let basis = follow.plans[zone].basis();
        let edges = &follow.plans[zone].edges[1];
        let given = follow.model.zones[zone].space.input().start;
        let mut sets = Sets::none(edges);
        for (memory, bounds) in known.before.iter() {
            sets.add(edges, memory, &bounds.widened(basis, left));
        }
        // Controllers start afresh, and sensors where the air is.
        let mut starts: Vec<bounds::Bounds> = Vec::new();
        if question.from.is_none() {
            let widened = known.before.iter().map(|(_, bounds)| bounds.widened(basis, left));
            starts.extend(widened.map(|bounds| bounds.read_air(basis)));
        }
        let points = question.from.or(given);
        starts.extend(points.map(|air| bounds::Bounds::anywhere(basis, air, air)));
        for turn in follow.start_turns(zone) {
            let call = follow.plans[zone].calls.rested();
            let fresh = follow.tables[zone].place(Memory { guarded: false, turn, call });
            for bounds in &starts {
                sets.add(edges, fresh, bounds);
            }
        }
        known.before = sets;
    }
    known
}

fn go_through(
    follow: &mut Follow<'_>,
    mut known: Vec<Known>,
    sun: &[Vec<f64>],
    steps: usize,
) -> Vec<Reached> {
    let none = |zone: usize| Reached {
        zone: ZoneIndex::new(zone),
        least: Vec::new(),
        most: Vec::new(),
        starts: None,
    };
    let mut all: Vec<Reached> = (0..known.len()).map(none).collect();
    let mut note = |known: &[Known]| {
        for (reached, known) in all.iter_mut().zip(known) {
            reached.least.push(known.air().low());
            reached.most.push(known.air().high());
        }
    };
    note(&known);
    for number in 0..steps {
        let at = Instant::new(i64::try_from(number).unwrap_or(0) * follow.step_length());
        let now = Moment {
            acting: Acting::Occupants,
            at: Some(at),
            number,
            on_days: None,
            masses_stand: false,
        };
        let here: Vec<f64> =
            sun.iter().map(|sun| sun.get(number).copied().unwrap_or(0.0)).collect();
        known = follow.step(now, &here, &known);
        note(&known);
    }
    all
}

impl Follow<'_> {
    /// Nothing can be.
    fn nothing(&self) -> Vec<Known> {
        let none = |plan: &ZonePlan| Known {
            before: Sets::none(&plan.edges[1]),
            dark: VecDeque::new(),
            after: Sets::none(&plan.edges[1]),
        };
        self.plans.iter().map(none).collect()
    }
}
