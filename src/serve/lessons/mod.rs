//! Predict, then reveal: lessons of `scenarios/lessons/`, built into the program.
//!
//! A lesson goes through a room of `scenarios/` in steps. Each shows what is known up to some time,
//! mostly a press, and asks for one thing. Every answer is what a run shows: the right one as things
//! are, each other one as they would have to be for it to come so.

mod premises;

use serde::{Deserialize, Serialize};

use super::drawing::PAGE_WIDTH;
use super::looks::{Clock, Day, Look, Places, Told, asks, with};
use super::trouble::Trouble;
use crate::engine::ZoneIndex;
use crate::report::chart::{Beside, zone_svg};
use crate::report::{Run, reason_words};
use crate::scenario::variant_names;
use crate::time::Instant;
use premises::{Premises, Strip, premises, strips};

macro_rules! lessons {
    ($($id:literal in $room:literal),* $(,)?) => {
        &[$((
            $id,
            include_str!(concat!("../../../scenarios/lessons/", $id, ".yaml")),
            include_str!(concat!("../../../scenarios/", $room, ".yaml")),
            concat!($room, ".yaml"),
        )),*]
    };
}

/// Id, lesson, room and the room's file of each, in the order in which they build on each other.
const LESSONS: &[(&str, &str, &str, &str)] = lessons![
    "who_gives_way" in "reading_room",
    "no_deadband" in "one_setpoint",
    "the_ratchet" in "ratchet",
    "locked_or_not" in "saved_lock",
    "who_decides" in "weavers_yard_wrong_owner",
    "setback_and_morning" in "late_setback",
    "return_air" in "return_air",
    "limits_that_starve" in "capped_packing_room",
    "the_worst_night" in "frost_guard",
];

/// A lesson as its file has it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Lesson {
    title: String,
    /// What it is about, before anything is asked.
    teaches: String,
    /// What is to be remembered, at its end.
    learned: String,
    /// What to try in the room afterwards.
    try_it: String,
    steps: Vec<Step>,
}

/// A step as its file has it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Step {
    /// What has to be known beside the chart.
    premise: String,
    /// The action of the room that is asked about, counted from 0.
    press: Option<usize>,
    /// Up to which time the day is shown; up to the press without one.
    until: Option<Clock>,
    /// Which room is drawn; the first without one.
    zone: Option<String>,
    /// What is otherwise than in the room's file.
    #[serde(default)]
    with: Places,
    /// What was seen before, computed as everything is.
    #[serde(default)]
    known: Vec<Known>,
    question: String,
    ask: Look,
    otherwise: Vec<Otherwise>,
    because: String,
}

/// What another run shows, told before it is asked.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Known {
    /// What it is of.
    words: String,
    set: Places,
    ask: Look,
}

/// What would have to be otherwise for another answer.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Otherwise {
    /// In words, after "It would come so".
    #[serde(rename = "if")]
    condition: String,
    set: Places,
}

/// A lesson in a list.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Listed {
    id: &'static str,
    title: String,
    teaches: String,
    steps: usize,
}

/// What a page asks of a lesson.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Wanted {
    id: String,
    #[serde(default)]
    step: usize,
    /// How wide a chart may be, px.
    #[serde(default)]
    width: Option<u32>,
}

/// What a learner chose.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Answered {
    id: String,
    step: usize,
    /// The place of the choice; nothing where none was made.
    #[serde(default)]
    chosen: Option<usize>,
    /// Whose run is drawn beside the right one; that of the choice without one.
    #[serde(default)]
    beside: Option<usize>,
    #[serde(default)]
    width: Option<u32>,
}

/// A step of a lesson before it is answered.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Posed {
    title: String,
    teaches: String,
    /// The file of the room, and its text.
    name: &'static str,
    text: &'static str,
    /// Its variants.
    variants: Vec<String>,
    step: usize,
    of: usize,
    premise: String,
    premises: Premises,
    /// Who asks for what; nothing where nobody does.
    asks: String,
    question: String,
    chart: String,
    /// The other rooms of the house, in small.
    strips: Vec<Strip>,
    choices: Vec<String>,
}

/// What came of an answer.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Revealed {
    right: bool,
    /// The right choice.
    place: usize,
    answer: String,
    because: String,
    chart: String,
    strips: Vec<Strip>,
    /// What would have to be otherwise for the choices, the right one without anything.
    conditions: Vec<Option<String>>,
    /// The run that has another choice come true.
    beside: Option<ComesTrue>,
    /// What is to be remembered, at the end.
    learned: Option<String>,
    try_it: String,
}

/// A run that has another choice come true.
#[derive(Clone, Debug, Serialize)]
struct ComesTrue {
    place: usize,
    answer: String,
    condition: String,
    chart: String,
}

/// All lessons.
pub(super) fn list() -> Result<Vec<Listed>, Trouble> {
    let listed = |(id, text, ..): &(&'static str, &str, &str, &str)| {
        let Lesson { title, teaches, steps, .. } = parse(text)?;
        Ok(Listed { id, title, teaches, steps: steps.len() })
    };
    LESSONS.iter().map(listed).collect()
}

/// A step with its question.
pub(super) fn pose(wanted: &Wanted) -> Result<Posed, Trouble> {
    let asked = Asked::new(&wanted.id, wanted.step)?;
    let day = &asked.right;
    let until = asked.until()?;
    let shown = day.before(until);
    let whole = day.run();
    let beside = Beside { thresholds: true, ahead: Some(&whole), ..Beside::default() };
    let width = wanted.width.unwrap_or(PAGE_WIDTH);
    let chart = zone_svg(&shown, asked.zone, Some(until.day()), width, beside);
    let row = asked.step.press.and_then(|press| day.row_of(press));
    Ok(Posed {
        step: wanted.step,
        of: asked.lesson.steps.len(),
        premises: asked.premises(&shown, until.day())?,
        asks: row.map_or_else(String::new, |row| asks(day, row)),
        chart: chart.map_err(Trouble::form)?,
        strips: strips(&shown, until.day(), width)?,
        choices: asked.choices.iter().map(|choice| choice.told.words.clone()).collect(),
        title: asked.lesson.title,
        teaches: asked.lesson.teaches,
        name: asked.name,
        text: asked.text,
        variants: variant_names(asked.text),
        premise: asked.step.premise,
        question: asked.step.question,
    })
}

/// Holds a choice against the run.
pub(super) fn reveal(answered: &Answered) -> Result<Revealed, Trouble> {
    let asked = Asked::new(&answered.id, answered.step)?;
    let place = asked.place();
    let right = answered.chosen == Some(place);
    let beside = answered.beside.or(answered.chosen);
    let other = beside.and_then(|at| {
        let choice = asked.choices.get(at)?;
        Some((at, choice, choice.otherwise.as_ref()?))
    });
    let width = answered.width.unwrap_or(PAGE_WIDTH);
    let day = asked.until()?.day();
    let own = asked.right.run();
    let others = other.map(|(.., supposed)| supposed.day.run());
    let drawn = |run, scale| {
        let beside = Beside { thresholds: true, scale, ..Beside::default() };
        zone_svg(run, asked.zone, Some(day), width, beside).map_err(Trouble::form)
    };
    let comes_true = match (other, &others) {
        (Some((place, choice, supposed)), Some(run)) => Some(ComesTrue {
            place,
            answer: choice.told.words.clone(),
            condition: supposed.condition.clone(),
            chart: drawn(run, Some(&own))?,
        }),
        _ => None,
    };
    let last = answered.step + 1 == asked.lesson.steps.len();
    let condition = |choice: &Choice| choice.otherwise.as_ref().map(|it| it.condition.clone());
    Ok(Revealed {
        right,
        place,
        answer: asked.choices[place].told.words.clone(),
        because: asked.because(),
        chart: drawn(&own, others.as_ref())?,
        strips: strips(&own, day, width)?,
        conditions: asked.choices.iter().map(condition).collect(),
        beside: comes_true,
        learned: last.then_some(asked.lesson.learned),
        try_it: asked.lesson.try_it,
    })
}

/// A choice: what a run shows, and what had to be otherwise for it.
#[derive(Debug)]
struct Choice {
    told: Told,
    otherwise: Option<Supposed>,
}

/// What would have to be otherwise, and the run in which it is.
#[derive(Debug)]
struct Supposed {
    condition: String,
    day: Day,
}

/// A step with its run and its choices.
struct Asked {
    lesson: Lesson,
    step: Step,
    name: &'static str,
    text: &'static str,
    zone: ZoneIndex,
    right: Day,
    choices: Vec<Choice>,
}

impl Asked {
    fn new(id: &str, step: usize) -> Result<Self, Trouble> {
        let known = LESSONS.iter().find(|(known, ..)| *known == id);
        let (_, lesson, text, name) =
            *known.ok_or_else(|| Trouble::bad("there is no such lesson"))?;
        let lesson = parse(lesson)?;
        let step = lesson.steps.get(step).cloned();
        let step = step.ok_or_else(|| Trouble::bad("the lesson has no such step"))?;
        let right = Day::of(&with(text, &step.with)?, name)?;
        let misfit = || Trouble::form("a question does not fit its room");
        let zone = step.zone.as_ref().map_or(Some(ZoneIndex::new(0)), |id| right.zone(id));
        let told = step.ask.at(&right).ok_or_else(misfit)?;
        let mut asked = Self {
            zone: zone.ok_or_else(misfit)?,
            choices: vec![Choice { told, otherwise: None }],
            lesson,
            name,
            text,
            right,
            step,
        };
        for Otherwise { condition, set } in &asked.step.otherwise {
            let day = asked.day_with(set)?;
            let told = asked.step.ask.at(&day).ok_or_else(misfit)?;
            let supposed = Supposed { condition: condition.clone(), day };
            asked.choices.push(Choice { told, otherwise: Some(supposed) });
        }
        asked.choices.sort_by_key(|choice| choice.told.rank);
        Ok(asked)
    }

    /// The run of the step with new values.
    fn day_with(&self, places: &Places) -> Result<Day, Trouble> {
        Day::of(&with(&with(self.text, &self.step.with)?, places)?, self.name)
    }

    /// What is known before it is asked.
    fn premises(&self, shown: &Run<'_>, day: i64) -> Result<Premises, Trouble> {
        let mut all = premises(shown, &self.right.run(), self.zone, day);
        for Known { words, set, ask } in &self.step.known {
            let told = ask.at(&self.day_with(set)?);
            let told = told.ok_or_else(|| Trouble::form("what is known does not fit its room"))?;
            all.push((words.clone().into(), told.words));
        }
        Ok(all)
    }

    /// Where the right choice stands.
    fn place(&self) -> usize {
        self.choices.iter().position(|choice| choice.otherwise.is_none()).unwrap_or_default()
    }

    /// Up to when the day is shown before it is asked.
    fn until(&self) -> Result<Instant, Trouble> {
        let press = self.step.press.map(|press| self.right.row_of(press));
        match (press, self.step.until) {
            (Some(Some(row)), None) => Ok(row.at),
            (Some(Some(row)), Some(clock)) => Ok(clock.on(row.at.day())),
            (None, Some(clock)) => Ok(clock.on(0)),
            _ => Err(Trouble::form("a step of a lesson says neither a press nor a time")),
        }
    }

    /// Why: what the ledger says of the press, and what it comes from.
    fn because(&self) -> String {
        let row = self.step.press.and_then(|press| self.right.row_of(press));
        let ledger = row.map(|row| reason_words(&self.right.study().base, row));
        match ledger {
            Some(why) if !why.is_empty() => {
                format!("In the ledger: {why}. {}", self.step.because)
            }
            _ => self.step.because.clone(),
        }
    }
}

fn parse(text: &str) -> Result<Lesson, Trouble> {
    serde_yaml::from_str(text).map_err(Trouble::form)
}

#[cfg(test)]
mod tests;
