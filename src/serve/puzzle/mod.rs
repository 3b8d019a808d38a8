//! Find the fault: sound settings with one fault put in, chosen by a seed.
//!
//! What a technician on site would see is shown: the day, the requests and how they ended, what
//! keys do. Settings, findings and reasons are held back until the answer. What people say and what
//! questions find is read off the day; nothing is claimed.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde::{Deserialize, Serialize};

use super::day::{Reply, of_run};
use super::drawing::{PAGE_WIDTH, Wanted};
use super::looks::{Day, Look, Places, with};
use super::state::{Pressed, pressed_into};
use super::trouble::Trouble;
use crate::engine::ZoneIndex;
use crate::report::chart::{Beside, zone_svg};
use crate::report::settings_record;

/// So many presses cost nothing.
const FREE_PRESSES: usize = 3;
/// What a first right answer is worth.
const FULL_SCORE: usize = 10;
/// What a wrong answer takes away.
const WRONG_COSTS: usize = 3;
/// What a question takes away.
const QUESTION_COSTS: usize = 1;

/// Each building with its faults.
const BUILDINGS: &[(&str, &str)] = &[
    (
        include_str!("../../../scenarios/puzzles/hall.yaml"),
        include_str!("../../../scenarios/puzzles/hall_faults.yaml"),
    ),
    (
        include_str!("../../../scenarios/puzzles/yard.yaml"),
        include_str!("../../../scenarios/puzzles/yard_faults.yaml"),
    ),
];

/// A sound scenario, what may be wrong in it, and what can be asked about it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Building {
    #[serde(skip)]
    text: &'static str,
    questions: Vec<Question>,
    faults: Vec<Planted>,
}

/// Something that can be found out, and costs points.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Question {
    id: String,
    words: String,
    look: Look,
}

/// One fault.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Planted {
    id: String,
    /// What it is, as a choice.
    label: String,
    /// What people notice of it.
    sign: Look,
    set: Places,
    /// How it can be told from others.
    because: String,
}

/// What a player has done so far.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Played {
    seed: u64,
    #[serde(default)]
    presses: Vec<Pressed>,
    /// The questions that were asked.
    #[serde(default)]
    asked: Vec<String>,
    /// Whose day is drawn; the first zone's without one.
    #[serde(default)]
    zone: Option<String>,
    /// How wide, px.
    #[serde(default)]
    width: Option<u32>,
}

/// A player's answer.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Answered {
    seed: u64,
    /// The id of a fault; giving up without one.
    guess: Option<String>,
    #[serde(default)]
    presses: Vec<Pressed>,
    /// How many questions were asked.
    #[serde(default)]
    asked: usize,
    /// How many answers were wrong before.
    #[serde(default)]
    wrong: usize,
    /// Whose day is drawn; the first zone's without one.
    #[serde(default)]
    zone: Option<String>,
    #[serde(default)]
    width: Option<u32>,
}

/// A day with a fault in it.
#[derive(Clone, Debug, Serialize)]
pub(super) struct PuzzleDay {
    #[serde(flatten)]
    day: Reply,
    /// What the people there say.
    complaint: String,
    choices: Vec<Choice>,
    questions: Vec<Asking>,
}

#[derive(Clone, Debug, Serialize)]
struct Choice {
    id: String,
    label: String,
}

/// A question, with what was found where it was asked.
#[derive(Clone, Debug, Serialize)]
struct Asking {
    id: String,
    words: String,
    found: Option<String>,
}

/// Whether an answer is right, and then what the fault is.
#[derive(Clone, Debug, Serialize)]
pub(super) struct PuzzleVerdict {
    right: bool,
    score: usize,
    of: usize,
    /// The fault, once it is found or given up.
    fault: Option<Revealed>,
    /// What a wrong guess would have shown.
    instead: Option<Instead>,
}

#[derive(Clone, Debug, Serialize)]
struct Revealed {
    label: String,
    because: String,
    /// What is set, and what it is where nothing is wrong.
    settings: Vec<String>,
}

/// The day as it had been with another fault.
#[derive(Clone, Debug, Serialize)]
struct Instead {
    label: String,
    /// What had been seen.
    then: String,
    /// What is seen.
    now: String,
    chart: String,
}

fn buildings() -> Result<Vec<Building>, Trouble> {
    let one = |(text, faults): &(&'static str, &str)| {
        let building: Building = serde_yaml::from_str(faults).map_err(Trouble::form)?;
        Ok(Building { text, ..building })
    };
    BUILDINGS.iter().map(one).collect()
}

/// The building and the fault of a seed: each fault is as likely as every other.
fn chosen(seed: u64) -> Result<(Building, Planted), Trouble> {
    let mut all = Vec::new();
    for building in buildings()? {
        let faults = building.faults.clone();
        all.extend(faults.into_iter().map(|fault| (building.clone(), fault)));
    }
    let place = ChaCha8Rng::seed_from_u64(seed).random_range(0..all.len());
    Ok(all.swap_remove(place))
}

/// The day of a building with a fault in it and with the keys that were pressed.
fn simulated(building: &Building, set: &Places, presses: &[Pressed]) -> Result<Day, Trouble> {
    Day::of(&pressed_into(&with(building.text, set)?, presses)?, "puzzle.yaml")
}

fn seen(look: &Look, day: &Day) -> Result<String, Trouble> {
    let told = look.at(day).ok_or_else(|| Trouble::form("a question does not fit its building"))?;
    Ok(told.sentence)
}

/// The day as a player sees it.
pub(super) fn show(played: &Played) -> Result<PuzzleDay, Trouble> {
    let (building, fault) = chosen(played.seed)?;
    let unpressed = || simulated(&building, &fault.set, &[]);
    let before = (!played.presses.is_empty()).then(unpressed).transpose()?;
    let day = simulated(&building, &fault.set, &played.presses)?;
    let wanted = Wanted { zone: played.zone.as_deref(), width: played.width, ..Wanted::default() };
    let study = day.study();
    let mut reply = of_run(study.text(), study, day.finished(), None, 0, wanted)?;
    reply.hold_back();
    let asking = |question: Question| {
        let was_asked = played.asked.contains(&question.id);
        let found = was_asked.then(|| seen(&question.look, &day)).transpose()?;
        Ok(Asking { id: question.id, words: question.words, found })
    };
    let choice = |fault: Planted| Choice { id: fault.id, label: fault.label };
    Ok(PuzzleDay {
        day: reply,
        complaint: seen(&fault.sign, before.as_ref().unwrap_or(&day))?,
        choices: building.faults.into_iter().map(choice).collect(),
        questions: building.questions.into_iter().map(asking).collect::<Result<_, Trouble>>()?,
    })
}

/// Judges an answer.
pub(super) fn judge(guess: &Answered) -> Result<PuzzleVerdict, Trouble> {
    let (building, fault) = chosen(guess.seed)?;
    let right = guess.guess.as_ref() == Some(&fault.id);
    let lost = guess
        .wrong
        .saturating_mul(WRONG_COSTS)
        .saturating_add(guess.asked.saturating_mul(QUESTION_COSTS))
        .saturating_add(guess.presses.len().saturating_sub(FREE_PRESSES));
    let score = if right { FULL_SCORE.saturating_sub(lost) } else { 0 };
    let open = right || guess.guess.is_none();
    let other = building.faults.iter().find(|other| guess.guess.as_ref() == Some(&other.id));
    let instead = match other {
        Some(other) if !right => instead(&building, &fault, other, guess)?,
        _ => None,
    };
    let revealed = open.then(|| revealed(&building, &fault)).transpose()?;
    Ok(PuzzleVerdict { right, score, of: FULL_SCORE, fault: revealed, instead })
}

/// What is wrong in words, beside what it is where nothing is.
fn revealed(building: &Building, fault: &Planted) -> Result<Revealed, Trouble> {
    let [sound, day] =
        [simulated(building, &Places::new(), &[])?, simulated(building, &fault.set, &[])?];
    let record = settings_record(&[&sound.study().base, &day.study().base]);
    let mut settings = Vec::new();
    for block in &record {
        for setting in block.settings.iter().filter(|setting| setting.differs()) {
            let of = |place: usize| setting.values[place].as_deref().unwrap_or("nothing");
            settings.push(format!(
                "{}, {}: {}; before: {}",
                block.subject,
                setting.name,
                of(1),
                of(0)
            ));
        }
    }
    let Planted { label, because, .. } = fault.clone();
    Ok(Revealed { label, because, settings })
}

/// What speaks against a guess: the first thing that had been otherwise, what is noticed of that
/// fault before anything else.
fn instead(
    building: &Building,
    fault: &Planted,
    other: &Planted,
    guess: &Answered,
) -> Result<Option<Instead>, Trouble> {
    let now = simulated(building, &fault.set, &guess.presses)?;
    let then = simulated(building, &other.set, &guess.presses)?;
    let looks = [&other.sign, &fault.sign];
    let questions = building.questions.iter().map(|question| &question.look);
    let mut found = looks.into_iter().chain(questions).filter_map(|look| {
        let (then, now) = (look.at(&then)?, look.at(&now)?);
        (then.words != now.words).then_some((then.sentence, now.sentence))
    });
    let Some((words, own)) = found.next() else { return Ok(None) };
    let zone = guess.zone.as_deref().and_then(|id| now.zone(id)).unwrap_or(ZoneIndex::new(0));
    let own_run = now.run();
    let beside = Beside { scale: Some(&own_run), ..Beside::default() };
    let width = guess.width.unwrap_or(PAGE_WIDTH);
    let chart = zone_svg(&then.run(), zone, Some(0), width, beside).map_err(Trouble::form)?;
    Ok(Some(Instead { label: other.label.clone(), then: words, now: own, chart }))
}

#[cfg(test)]
mod tests;
