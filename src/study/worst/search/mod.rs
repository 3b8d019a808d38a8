//! The worst found: a run that comes near the bound, written out as a scenario.
//!
//! What the bound takes for granted points to it: the steady extreme of weather, sun and gains, or a
//! turn from the other one, and each state of the controls that presses can reach and that brings
//! least (or most) heat. All of them are tried at all zones and at each (`levers`). From the best for
//! each zone a climb goes on (`climb`): a sensor lags, so that whoever heats a room and then cools it
//! as fast as it goes takes its air past every setpoint, and which minutes are worst for it only
//! trying tells. The last hours are gone through in another way as well (`swings`). Rooms start where
//! they are by themselves, and at the edge of the range that the bound has for that.

mod climb;
mod levers;
mod stage;
mod swings;

use super::{Question, Reached};
use crate::engine::{Action, Doing, Model, ZoneIndex};
use crate::scenario::add_actions;
use crate::time::{Instant, Seconds};
use climb::Climb;
use levers::Move;
use stage::Stage;

/// A file as it was read, with what opens the files that it names.
#[derive(Clone, Copy)]
pub struct Source<'a> {
    /// Its text.
    pub text: &'a str,
    /// Its name, for messages.
    pub name: &'a str,
    /// Which of its variants is meant.
    pub variant: Option<&'a str>,
    /// Opens a file that it names.
    pub open: &'a dyn Fn(&str) -> Result<Vec<u8>, String>,
}

/// Which end of the air's range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// The lowest.
    Lowest,
    /// The highest.
    Highest,
}

impl End {
    /// Both.
    pub const BOTH: [Self; 2] = [Self::Lowest, Self::Highest];

    /// `lowest` or `highest`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Lowest => "lowest",
            Self::Highest => "highest",
        }
    }

    /// Whether one temperature is worse than another.
    pub(super) fn is_worse(self, one: f64, other: f64) -> bool {
        match self {
            Self::Lowest => one < other,
            Self::Highest => one > other,
        }
    }
}

/// One thing that occupants do in a run that was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Press {
    /// When.
    pub at: Instant,
    /// In which zone.
    pub zone: ZoneIndex,
    /// At which controller, by its id.
    pub controller: String,
    /// What is asked for.
    pub what: Doing,
}

/// The worst run that was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The zone's air at its worst, degrees C.
    pub air: f64,
    /// How long it takes, to within a tenth of a kelvin.
    pub after: Seconds,
    /// What occupants do for it.
    pub presses: Vec<Press>,
    /// The zone's air at the start of each step, degrees C.
    pub course: Vec<f64>,
    /// The scenario: `run` shows the same.
    pub scenario: String,
}

/// Where a zone does worst so far: on which stage, by which moves.
#[derive(Clone, Debug)]
struct Best {
    stage: usize,
    moves: Vec<Move>,
    air: f64,
}

/// So many of what is tried from the start are gone on from in the last hours.
const MOST_BEGINNINGS: usize = 24;

/// The worst runs found: for each zone, where the file's text could be written as one. `reached` are
/// the bounds, which say where zones may start.
pub fn find(
    source: &Source<'_>,
    model: &Model,
    question: &Question,
    reached: &[Reached],
    end: End,
) -> Vec<Option<Found>> {
    let tried = Tried::new(source, model, question, reached, end);
    (0..tried.best.len()).map(|zone| tried.climbed(zone)).collect()
}

/// What [`find`] has for one zone, without the climbs for the others.
pub fn find_in(
    zone: ZoneIndex,
    source: &Source<'_>,
    model: &Model,
    question: &Question,
    reached: &[Reached],
    end: End,
) -> Option<Found> {
    Tried::new(source, model, question, reached, end).climbed(zone.get())
}

/// What single levers come to, at the start: from it climbs go on.
struct Tried<'q> {
    question: &'q Question,
    end: End,
    stages: Vec<Stage>,
    /// Zone by zone.
    best: Vec<Option<Best>>,
}

impl<'q> Tried<'q> {
    fn new(
        source: &Source<'_>,
        model: &Model,
        question: &'q Question,
        reached: &[Reached],
        end: End,
    ) -> Self {
        let stages = Stage::all(source, model, question, reached, end);
        let mut best: Vec<Option<Best>> = vec![None; model.zones.len()];
        for (place, stage) in stages.iter().enumerate() {
            let mut climb = Climb::new(stage, question, end);
            for moves in levers::candidates(stage, question, end) {
                let courses = climb.courses(&moves);
                for (best, course) in best.iter_mut().zip(courses) {
                    let air = worst_of(&course, end).0;
                    if best.as_ref().is_none_or(|it| end.is_worse(air, it.air)) {
                        *best = Some(Best { stage: place, moves: moves.clone(), air });
                    }
                }
            }
        }
        Self { question, end, stages, best }
    }

    /// Where a climb for a zone gets from what is best for it.
    fn climbed(&self, zone: usize) -> Option<Found> {
        let Self { question, end, .. } = *self;
        let zones = self.best.len();
        let best = self.best[zone].as_ref()?;
        let stage = &self.stages[best.stage];
        let mut climb = Climb::new(stage, question, end);
        let mut moves = climb.on(zone, best.moves.clone(), zones);
        let mut begin = levers::candidates(stage, question, end);
        begin.truncate(MOST_BEGINNINGS);
        begin.push(moves.clone());
        if let Some(swings) = climb.swings(zone, &begin) {
            let swings = climb.on(zone, swings, zones);
            let [one, other] = [&moves, &swings].map(|it| climb.worst(zone, it));
            moves = if end.is_worse(other, one) { swings } else { moves };
        }
        found(stage, &mut climb, zone, &moves)
    }
}

/// The run of a zone's moves, written.
fn found(stage: &Stage, climb: &mut Climb<'_>, zone: usize, moves: &[Move]) -> Option<Found> {
    let actions = climb.needed(zone, moves);
    let course = climb.courses_of(&actions).swap_remove(zone);
    let (air, after) = worst_of(&course, climb.end);
    let lines = actions.iter().map(|it| levers::line(&stage.model, it)).collect::<Vec<_>>();
    let scenario = add_actions(&stage.text, &lines).ok()?;
    let step = stage.model.period.step().get();
    let after = Seconds::new(i64::try_from(after).unwrap_or(0) * step);
    let presses = actions.iter().map(|it| press(&stage.model, it)).collect();
    Some(Found { air, after, presses, course, scenario })
}

fn press(model: &Model, action: &Action) -> Press {
    let controllers = &model.zones[action.zone.get()].controls.settings.controllers;
    Press {
        at: action.at,
        zone: action.zone,
        controller: controllers.id(action.controller).to_owned(),
        what: action.what.clone(),
    }
}

/// The worst of a course, and the step after which it is there to within a tenth of a kelvin.
fn worst_of(course: &[f64], end: End) -> (f64, usize) {
    let worst =
        course.iter().copied().reduce(|one, it| if end.is_worse(it, one) { it } else { one });
    let worst = worst.unwrap_or(f64::NAN);
    let near = |air: &f64| (air - worst).abs() <= super::NEAR_IT;
    (worst, course.iter().position(near).unwrap_or(0))
}
