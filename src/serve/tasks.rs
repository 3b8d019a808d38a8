//! What workers do: each task reads what it needs, simulates, and forgets.

use axum::http::StatusCode;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::json;

use super::state::Asked;
use super::trouble::Trouble;
use super::{
    Served, amend, bundle, compare, day as days, documents, help, lessons, night, puzzle, replay,
    site as of_site,
};
use crate::report::explanation_json;
use crate::scenario::variant_names;
use crate::study;

pub(super) const JSON: &str = "application/json";
const TEXT: &str = "text/plain; charset=utf-8";
/// Documents are handed over as text: the page saves them, and nothing of them runs here.
const DOCUMENT: &str = TEXT;

/// What a page may ask for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Task {
    /// The scenario that is served, as it stands in its file now.
    Source,
    /// The day: chart data, ledger, figures, settings and findings in one.
    Day,
    /// What a setting that was moved changes besides.
    Amend,
    /// What would help.
    Help,
    /// The pinned state and the present one held against each other.
    Compare,
    /// The same as a page to be saved.
    Comparison,
    /// The page as one file, to be saved.
    Bundle,
    /// What the log of the file says.
    Log,
    /// The days of the log with the present settings.
    Replay,
    /// Why somebody was cold or hot.
    Complaint,
    /// Why each zone does what it does at a time.
    Explain,
    /// What the specification in the file asks, reviewed.
    Requirements,
    /// The worst that can happen to a room.
    Night,
    /// The scenario file with all changes in it.
    File,
    /// The report of the scenario with all changes, to be saved.
    Report,
    /// The test sheet of the scenario with all changes, to be saved.
    Sheet,
    /// All lessons.
    Lessons,
    /// A step of a lesson with its question.
    Lesson,
    /// What a learner chose, held against the run.
    LessonScore,
    /// The day of a puzzle.
    Puzzle,
    /// Whether an answer to a puzzle is right.
    PuzzleAnswer,
}

impl Task {
    /// Each with its address.
    pub(super) const ALL: [(Self, &str); 21] = [
        (Self::Source, "/api/source"),
        (Self::Day, "/api/day"),
        (Self::Amend, "/api/amend"),
        (Self::Help, "/api/help"),
        (Self::Compare, "/api/compare"),
        (Self::Comparison, "/api/comparison"),
        (Self::Bundle, "/api/bundle"),
        (Self::Log, "/api/log"),
        (Self::Replay, "/api/replay"),
        (Self::Complaint, "/api/complaint"),
        (Self::Explain, "/api/explain"),
        (Self::Requirements, "/api/requirements"),
        (Self::Night, "/api/night"),
        (Self::File, "/api/file"),
        (Self::Report, "/api/report"),
        (Self::Sheet, "/api/sheet"),
        (Self::Lessons, "/api/lessons"),
        (Self::Lesson, "/api/lesson"),
        (Self::LessonScore, "/api/lesson/score"),
        (Self::Puzzle, "/api/puzzle"),
        (Self::PuzzleAnswer, "/api/puzzle/answer"),
    ];

    /// Whether it needs nothing to be said with it.
    pub(super) const fn asks_nothing(self) -> bool {
        matches!(self, Self::Source | Self::Lessons)
    }
}

/// A reply: its status, the kind of its content, and its content.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Reply {
    pub(super) status: StatusCode,
    pub(super) kind: String,
    pub(super) content: Vec<u8>,
}

type Made = Result<(&'static str, String), Trouble>;

/// Does a task.
pub(super) fn answer(site: &Served, task: Task, body: &[u8]) -> Reply {
    match made(site, task, body) {
        Ok((kind, text)) => {
            Reply { status: StatusCode::OK, kind: kind.into(), content: text.into_bytes() }
        }
        Err(trouble) => {
            let (status, body) = trouble.parts();
            Reply { status, kind: JSON.into(), content: body.to_string().into_bytes() }
        }
    }
}

fn made(site: &Served, task: Task, body: &[u8]) -> Made {
    match task {
        Task::Source => source(site),
        Task::Day => json_text(&days::day(&read::<Asked>(body)?, &site.companions)?),
        Task::Amend => json_text(&amend::amend(&read(body)?, &site.companions)?),
        Task::Help => json_text(&help::help(&read(body)?, &site.companions)?),
        Task::Compare => json_text(&compare::sides(&read(body)?, &site.companions)?),
        Task::Comparison => Ok((DOCUMENT, compare::page(&read(body)?, &site.companions)?)),
        Task::Bundle => Ok((DOCUMENT, bundle::pack(&read(body)?, &site.companions)?)),
        Task::Log => json_text(&of_site::logged(&read(body)?, &site.companions)?),
        Task::Replay => json_text(&replay::replays(&read(body)?, &site.companions)?),
        Task::Complaint => json_text(&of_site::because(&read(body)?, &site.companions)?),
        Task::Explain => explain(site, &read(body)?),
        Task::Requirements => json_text(&documents::requirements(&read(body)?, &site.companions)?),
        Task::Night => json_text(&night::night(&read(body)?, &site.companions)?),
        Task::File => Ok((TEXT, read::<Asked>(body)?.edited()?)),
        Task::Report => Ok((DOCUMENT, documents::report_page(&read(body)?, &site.companions)?)),
        Task::Sheet => Ok((DOCUMENT, documents::sheet_page(&read(body)?, &site.companions)?)),
        Task::Lessons => json_text(&lessons::list()?),
        Task::Lesson => json_text(&lessons::pose(&read(body)?)?),
        Task::LessonScore => json_text(&lessons::reveal(&read(body)?)?),
        Task::Puzzle => json_text(&puzzle::show(&read(body)?)?),
        Task::PuzzleAnswer => json_text(&puzzle::judge(&read(body)?)?),
    }
}

fn source(site: &Served) -> Made {
    let (name, text) = site.source()?;
    let is_saved_page = [".html", ".htm"].iter().any(|end| name.to_lowercase().ends_with(end));
    let (name, text, state) = if is_saved_page {
        let missing =
            "no page was saved in this file: only those that were saved as one file go on";
        let kept = bundle::unpack(&text).ok_or_else(|| Trouble::bad(missing))?;
        (kept.name, kept.text, Some(kept.state))
    } else {
        (name, text, None)
    };
    let variants = variant_names(&text);
    let reply = json!({
        "name": name,
        "text": text,
        "variants": variants,
        "has_file": site.file.is_some(),
        "state": state,
    });
    Ok((JSON, reply.to_string()))
}

fn explain(site: &Served, asked: &Asked) -> Made {
    let (_, study) = asked.study(&site.companions)?;
    let explanation = study::explain(&study.base, asked.instant()?);
    let text = explanation_json(&study.base, &explanation).map_err(Trouble::form)?;
    Ok((JSON, text))
}

fn read<A: DeserializeOwned>(body: &[u8]) -> Result<A, Trouble> {
    serde_json::from_slice(body)
        .map_err(|error| Trouble::bad(format!("the request cannot be read: {error}")))
}

fn json_text(reply: &impl Serialize) -> Made {
    Ok((JSON, serde_json::to_string(reply).map_err(Trouble::form)?))
}
