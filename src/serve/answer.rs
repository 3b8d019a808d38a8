//! The answers to the page's requests: each reads what it needs, simulates, and forgets.

use axum::body::Bytes;
use axum::extract::State;
use axum::extract::rejection::BytesRejection;
use axum::http::StatusCode;
use axum::http::header::{CONTENT_TYPE, HeaderMap};
use axum::response::{IntoResponse, Response};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::json;

use super::state::Asked;
use super::trouble::Trouble;
use super::{Shared, Site, day as days, documents, lessons, puzzle};
use crate::report::explanation_json;
use crate::scenario::variant_names;
use crate::study;

/// The body of a request, if it came whole.
type Body = Result<Bytes, BytesRejection>;

const JSON: &str = "application/json";
const TEXT: &str = "text/plain; charset=utf-8";
/// Documents are handed over as text: the page saves them, and nothing of them runs here.
const DOCUMENT: &str = TEXT;

/// The scenario that is served, as it stands in its file now.
pub(super) async fn source(State(shared): State<Shared>) -> Response {
    in_turn(shared, |site| {
        let (name, text) = site.source()?;
        let variants = variant_names(&text);
        let reply = json!({
            "name": name,
            "text": text,
            "variants": variants,
            "has_file": site.file.is_some(),
        });
        Ok((JSON, reply.to_string()))
    })
    .await
}

/// The day: chart data, ledger, figures, settings and findings in one.
pub(super) async fn day(State(shared): State<Shared>, headers: HeaderMap, body: Body) -> Response {
    asked(shared, &headers, body, |site, asked: &Asked| {
        json_text(&days::day(asked, &site.companions)?)
    })
    .await
}

/// Why each zone does what it does at a time.
pub(super) async fn explain(
    State(shared): State<Shared>,
    headers: HeaderMap,
    body: Body,
) -> Response {
    asked(shared, &headers, body, |site, asked: &Asked| {
        let (_, study) = asked.study(&site.companions)?;
        let explanation = study::explain(&study.base, asked.instant()?);
        let text = explanation_json(&study.base, &explanation).map_err(Trouble::form)?;
        Ok((JSON, text))
    })
    .await
}

/// The scenario file with all changes in it.
pub(super) async fn file(State(shared): State<Shared>, headers: HeaderMap, body: Body) -> Response {
    asked(shared, &headers, body, |_, asked: &Asked| Ok((TEXT, asked.edited()?))).await
}

/// The report of the scenario with all changes, to be saved.
pub(super) async fn report(
    State(shared): State<Shared>,
    headers: HeaderMap,
    body: Body,
) -> Response {
    asked(shared, &headers, body, |site, asked: &Asked| {
        Ok((DOCUMENT, documents::report_page(asked, &site.companions)?))
    })
    .await
}

/// The test sheet of the scenario with all changes, to be saved.
pub(super) async fn sheet(
    State(shared): State<Shared>,
    headers: HeaderMap,
    body: Body,
) -> Response {
    asked(shared, &headers, body, |site, asked: &Asked| {
        Ok((DOCUMENT, documents::sheet_page(asked, &site.companions)?))
    })
    .await
}

/// All lessons.
pub(super) async fn lessons(State(shared): State<Shared>) -> Response {
    in_turn(shared, |_| json_text(&lessons::list()?)).await
}

/// A lesson by its id.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WhichLesson {
    id: String,
}

/// One lesson with its questions.
pub(super) async fn lesson(
    State(shared): State<Shared>,
    headers: HeaderMap,
    body: Body,
) -> Response {
    asked(shared, &headers, body, |_, which: &WhichLesson| json_text(&lessons::open(&which.id)?))
        .await
}

/// What learners chose, held against the run.
pub(super) async fn lesson_score(
    State(shared): State<Shared>,
    headers: HeaderMap,
    body: Body,
) -> Response {
    asked(shared, &headers, body, |_, answered| json_text(&lessons::score(answered)?)).await
}

/// The day of a puzzle.
pub(super) async fn puzzle(
    State(shared): State<Shared>,
    headers: HeaderMap,
    body: Body,
) -> Response {
    asked(shared, &headers, body, |_, played| json_text(&puzzle::show(played)?)).await
}

/// Whether an answer to a puzzle is right.
pub(super) async fn puzzle_answer(
    State(shared): State<Shared>,
    headers: HeaderMap,
    body: Body,
) -> Response {
    asked(shared, &headers, body, |_, guess| json_text(&puzzle::judge(guess))).await
}

fn json_text(reply: &impl Serialize) -> Result<(&'static str, String), Trouble> {
    Ok((JSON, serde_json::to_string(reply).map_err(Trouble::form)?))
}

pub(super) async fn nothing_here() -> Trouble {
    Trouble::Request(StatusCode::NOT_FOUND, "there is nothing at this address".into())
}

/// Reads what is asked and answers it in its turn.
pub(super) async fn asked<A: DeserializeOwned + Send + 'static>(
    shared: Shared,
    headers: &HeaderMap,
    body: Body,
    work: impl FnOnce(&Site, &A) -> Result<(&'static str, String), Trouble> + Send + 'static,
) -> Response {
    match read(headers, body) {
        Ok(asked) => in_turn(shared, move |site| work(site, &asked)).await,
        Err(trouble) => trouble.into_response(),
    }
}

fn read<A: DeserializeOwned>(headers: &HeaderMap, body: Body) -> Result<A, Trouble> {
    let kind = headers.get(CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    if kind.split(';').next().is_none_or(|kind| kind.trim() != JSON) {
        let message = format!("only {JSON} is taken here");
        return Err(Trouble::Request(StatusCode::UNSUPPORTED_MEDIA_TYPE, message));
    }
    let body = body.map_err(|rejection| {
        let message = match rejection.status() {
            StatusCode::PAYLOAD_TOO_LARGE => "the scenario is too large for a page".to_owned(),
            _ => "the request did not come whole".to_owned(),
        };
        Trouble::Request(rejection.status(), message)
    })?;
    serde_json::from_slice(&body)
        .map_err(|error| Trouble::bad(format!("the request cannot be read: {error}")))
}

/// Works on a thread of its own once it is this request's turn.
async fn in_turn(
    shared: Shared,
    work: impl FnOnce(&Site) -> Result<(&'static str, String), Trouble> + Send + 'static,
) -> Response {
    let Ok(turn) = shared.turns.acquire_owned().await else {
        return Trouble::form("the server is stopping").into_response();
    };
    let site = shared.site;
    // The turn goes with the work: a request that gives up waiting does not let another start
    // while its own simulation still runs.
    let done = tokio::task::spawn_blocking(move || {
        let _turn = turn;
        work(&site)
    });
    match done.await {
        Ok(Ok((kind, text))) => ([(CONTENT_TYPE, kind)], text).into_response(),
        Ok(Err(trouble)) => trouble.into_response(),
        Err(error) => Trouble::form(error).into_response(),
    }
}
