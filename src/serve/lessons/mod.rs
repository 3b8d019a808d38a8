//! Predict, then reveal: lessons of `scenarios/lessons/`, built into the program.
//!
//! A lesson names a scenario and what to ask about it. Questions, choices and answers are all
//! worked out from a run of the scenario.

mod questions;

use serde::{Deserialize, Serialize};

use super::trouble::Trouble;
use crate::scenario::{Study, read};
use questions::{About, Question, question};

/// Id, lesson and scenario of each.
const LESSONS: &[(&str, &str, &str)] = &[
    (
        "who_gives_way",
        include_str!("../../../scenarios/lessons/who_gives_way.yaml"),
        include_str!("../../../scenarios/reading_room.yaml"),
    ),
    (
        "one_or_two_setpoints",
        include_str!("../../../scenarios/lessons/one_or_two_setpoints.yaml"),
        include_str!("../../../scenarios/one_setpoint.yaml"),
    ),
    (
        "who_starves",
        include_str!("../../../scenarios/lessons/who_starves.yaml"),
        include_str!("../../../scenarios/weavers_yard_wrong_owner.yaml"),
    ),
    (
        "the_ratchet",
        include_str!("../../../scenarios/lessons/the_ratchet.yaml"),
        include_str!("../../../scenarios/ratchet.yaml"),
    ),
    (
        "locked_or_not",
        include_str!("../../../scenarios/lessons/locked_or_not.yaml"),
        include_str!("../../../scenarios/saved_lock.yaml"),
    ),
];

/// A lesson as its file has it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Lesson {
    title: String,
    /// The stem of a scenario file.
    scenario: String,
    teaches: String,
    questions: Vec<About>,
}

/// A lesson in a list.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Listed {
    id: &'static str,
    title: String,
    teaches: String,
}

/// A lesson before it is played.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Opened {
    title: String,
    teaches: String,
    name: String,
    text: &'static str,
    questions: Vec<Posed>,
}

/// A question without its answer.
#[derive(Clone, Debug, Serialize)]
struct Posed {
    text: String,
    choices: Vec<String>,
}

/// What learners chose.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Answered {
    id: String,
    /// For each question the place of the choice; `null` where none was made.
    #[serde(default)]
    answers: Vec<Option<usize>>,
}

/// What was right, and why.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Scored {
    score: usize,
    of: usize,
    results: Vec<Marked>,
}

/// One question, answered.
#[derive(Clone, Debug, Serialize)]
struct Marked {
    right: bool,
    answer: String,
    because: String,
    /// The ledger row that shows it, where one does.
    row: Option<usize>,
}

/// All lessons.
pub(super) fn list() -> Result<Vec<Listed>, Trouble> {
    LESSONS
        .iter()
        .map(|(id, text, _)| {
            let lesson = parse(text)?;
            Ok(Listed { id, title: lesson.title, teaches: lesson.teaches })
        })
        .collect()
}

/// A lesson with its questions.
pub(super) fn open(id: &str) -> Result<Opened, Trouble> {
    let (lesson, text, questions) = prepared(id)?;
    let posed = questions.into_iter().map(|it| Posed { text: it.text, choices: it.choices });
    Ok(Opened {
        title: lesson.title,
        teaches: lesson.teaches,
        name: format!("{}.yaml", lesson.scenario),
        text,
        questions: posed.collect(),
    })
}

/// Holds what learners chose against the run.
pub(super) fn score(answered: &Answered) -> Result<Scored, Trouble> {
    let (_, _, questions) = prepared(&answered.id)?;
    let of = questions.len();
    let results: Vec<Marked> = questions
        .into_iter()
        .enumerate()
        .map(|(place, mut question)| Marked {
            right: answered.answers.get(place) == Some(&Some(question.right)),
            answer: question.choices.swap_remove(question.right),
            because: question.because,
            row: question.row,
        })
        .collect();
    let score = results.iter().filter(|result| result.right).count();
    Ok(Scored { score, of, results })
}

fn parse(text: &str) -> Result<Lesson, Trouble> {
    serde_yaml::from_str(text).map_err(Trouble::form)
}

fn prepared(id: &str) -> Result<(Lesson, &'static str, Vec<Question>), Trouble> {
    let known = LESSONS.iter().find(|(known, ..)| *known == id);
    let (_, lesson, text) = known.ok_or_else(|| Trouble::bad("there is no such lesson"))?;
    let lesson = parse(lesson)?;
    let study = study(&lesson.scenario, text)?;
    let run = questions::Played::new(&study);
    let questions = lesson.questions.iter().map(|about| question(about, &run));
    let questions = questions.collect::<Option<Vec<_>>>();
    let questions =
        questions.ok_or_else(|| Trouble::form("a question does not fit its scenario"))?;
    Ok((lesson, text, questions))
}

fn study(stem: &str, text: &str) -> Result<Study, Trouble> {
    let none = |_: &str| Err("a lesson names no files".to_owned());
    Ok(read(text, &format!("{stem}.yaml"), &none)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_lesson_can_be_played_to_a_full_score_and_to_none() {
        assert_eq!(list().expect("lessons").len(), LESSONS.len());
        for (id, ..) in LESSONS {
            let (_, _, questions) = prepared(id).expect("a lesson");
            for question in &questions {
                assert!(question.choices.len() >= 3, "{id}: {question:?}");
                let mut apart = question.choices.clone();
                apart.sort();
                apart.dedup();
                assert_eq!(apart.len(), question.choices.len(), "{id}: {question:?}");
                assert!(!question.because.is_empty(), "{id}: {question:?}");
            }
            let right = questions.iter().map(|question| Some(question.right)).collect();
            let all = score(&Answered { id: (*id).into(), answers: right }).expect("a score");
            assert_eq!((all.score, all.of), (questions.len(), questions.len()), "{id}");
            let none = score(&Answered { id: (*id).into(), answers: vec![] }).expect("a score");
            assert_eq!(none.score, 0, "{id}");
        }
    }

    #[test]
    fn an_unknown_lesson_is_refused() {
        assert!(open("no such").is_err());
    }
}
