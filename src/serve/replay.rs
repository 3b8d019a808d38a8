//! The days of the file's log with the settings of the page: measured, as logged, and as they would
//! have been.

use serde::Serialize;

use super::drawing::PAGE_WIDTH;
use super::state::Asked;
use super::trouble::Trouble;
use super::words::sentence;
use crate::report::chart::replay_svg;
use crate::report::{Beside, Replayed};
use crate::scenario::Companions;
use crate::study::default_threads;
use crate::study::fit::draws::{DRAWS, Draws};
use crate::study::replay::{Asked as HowAsked, Templates, replay};

/// So many draws are enough for a page that somebody waits for; `setband replay` takes more.
const MOST_DRAWS: usize = 20;
/// What the settings of the file are called.
const AS_WRITTEN: &str = "as written";
/// What the settings of the page are called.
const PRESENT: &str = "present settings";

/// What came of it.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Replays {
    /// Whether the model follows the log.
    answer: String,
    /// What other settings change, in sentences.
    told: Vec<String>,
    /// The figures of the room that is looked at.
    beside: Beside,
    /// Over how many draws of what was fitted differences were taken.
    draws: usize,
    chart: String,
}

/// Replays the days of the log.
pub(super) fn replays(asked: &Asked, companions: &Companions) -> Result<Replays, Trouble> {
    let (text, study) = asked.study(companions)?;
    if study.base.log.is_none() {
        return Err(Trouble::bad("the file names no log"));
    }
    let (written, _) = asked.variant_as_written("").study(companions)?;
    let name = asked.source().0;
    let template = |text: &str| companions.template(text, name);
    let present = (text != written).then(|| template(&text)).transpose()?;
    let templates = Templates {
        logged: template(&written)?,
        variants: present.map(|it| (PRESENT.to_owned(), it)).into_iter().collect(),
    };
    let draws = draws(companions)?;
    let count = draws.as_ref().map_or(0, |it| it.rows.len().min(MOST_DRAWS));
    let as_fitted = || templates.days(&[]).map_err(|it| it.to_string());
    let draw = |number: usize| match &draws {
        Some(draws) => templates.drawn(draws, number, &[]),
        None => as_fitted(),
    };
    let best = as_fitted().map_err(Trouble::bad)?;
    let found = replay(&best, (count, &draw), &HowAsked::default(), default_threads());
    let mut found = found.map_err(|no| Trouble::bad(format!("{no}; {}", no.help())))?;
    if let Some(first) = found.variants.first_mut() {
        AS_WRITTEN.clone_into(&mut first.name);
    }
    let replayed = Replayed { model: &best.logged, found: &found };
    let span = replayed.span();
    let view = replayed.view(&best.logged.title, &span);
    Ok(Replays {
        answer: sentence(&replayed.answer()),
        told: replayed.variants().iter().map(|it| sentence(it)).collect(),
        beside: replayed.beside(asked.zone_in(&best.logged).get()),
        draws: found.draws,
        chart: replay_svg(&view, asked.width.unwrap_or(PAGE_WIDTH)).map_err(Trouble::form)?,
    })
}

/// The draws of a fit beside the file, if there are any.
fn draws(companions: &Companions) -> Result<Option<Draws>, Trouble> {
    let Ok(bytes) = companions.open(DRAWS) else { return Ok(None) };
    let text = String::from_utf8(bytes).map_err(|_| Trouble::bad("the draws are no text"))?;
    let draws = Draws::read(&text);
    draws.map(Some).map_err(|no| Trouble::bad(format!("{DRAWS}, line {}: {}", no.line, no.what)))
}
