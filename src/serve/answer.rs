//! The answers to the page's requests: what is asked is read within bounds and handed to a worker.

use std::time::Duration;

use axum::body::{Body, to_bytes};
use axum::extract::{Request, State};
use axum::http::StatusCode;
use axum::http::header::{CONNECTION, CONTENT_LENGTH, CONTENT_TYPE, HeaderMap, HeaderValue};
use axum::response::{IntoResponse, Response};
use tokio::sync::OwnedSemaphorePermit;
use tokio::time::timeout;

use super::Shared;
use super::connections::Engaged;
use super::tasks::{JSON, Reply, Task};
use super::trouble::Trouble;
use super::turns::busy;

/// The longest request, bytes: a long scenario with all its changes.
const LONGEST_REQUEST: usize = 2 << 20;
/// A request that is no longer is read whoever else asks, bytes.
const SHORT_REQUEST: usize = 64 << 10;
/// How long the body of a request may take to come.
const BODY_TIME: Duration = Duration::from_secs(5);

/// Reads what is asked and has it answered.
pub(super) async fn answer(State(shared): State<Shared>, task: Task, request: Request) -> Response {
    let engaged = request.extensions().get::<Engaged>().cloned();
    let asked =
        if task.asks_nothing() { Ok((Vec::new(), None)) } else { read(&shared, request).await };
    let (body, long) = match asked {
        Ok(asked) => asked,
        Err(trouble) => return closing(trouble.into_response()),
    };
    // From here on the connection is not one that keeps others out by waiting.
    let _engaged = engaged.as_ref().map(Engaged::begin);
    let reply = shared.turns.take(task, body).await;
    drop(long);
    match reply {
        Ok(Reply { status, kind, content }) => {
            let kind = HeaderValue::from_str(&kind).unwrap_or(HeaderValue::from_static(JSON));
            (status, [(CONTENT_TYPE, kind)], content).into_response()
        }
        Err(trouble) => trouble.into_response(),
    }
}

/// A body, and with a long one the leave to hold it.
type Long = Option<OwnedSemaphorePermit>;

async fn read(shared: &Shared, request: Request) -> Result<(Vec<u8>, Long), Trouble> {
    let headers = request.headers();
    let kind = headers.get(CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    if kind.split(';').next().is_none_or(|kind| kind.trim() != JSON) {
        let message = format!("only {JSON} is taken here");
        return Err(Trouble::Request(StatusCode::UNSUPPORTED_MEDIA_TYPE, message));
    }
    let length = length(headers);
    if length.is_some_and(|length| length > LONGEST_REQUEST) {
        return Err(too_large());
    }
    let is_short = length.is_some_and(|length| length <= SHORT_REQUEST);
    let long = if is_short {
        None
    } else {
        let leave = std::sync::Arc::clone(&shared.long_bodies).try_acquire_owned();
        Some(leave.map_err(|_| busy())?)
    };
    let body = whole(request.into_body(), length.unwrap_or(LONGEST_REQUEST)).await?;
    Ok((body, long))
}

fn length(headers: &HeaderMap) -> Option<usize> {
    headers.get(CONTENT_LENGTH)?.to_str().ok()?.parse().ok()
}

async fn whole(body: Body, most: usize) -> Result<Vec<u8>, Trouble> {
    match timeout(BODY_TIME, to_bytes(body, most)).await {
        Ok(Ok(bytes)) => Ok(bytes.into()),
        Ok(Err(_)) if most == LONGEST_REQUEST => Err(too_large()),
        Ok(Err(_)) => Err(Trouble::bad("the request did not come whole")),
        Err(_) => {
            let message = "the request took too long to come";
            Err(Trouble::Request(StatusCode::REQUEST_TIMEOUT, message.into()))
        }
    }
}

fn too_large() -> Trouble {
    let message = "the scenario is too large for a page";
    Trouble::Request(StatusCode::PAYLOAD_TOO_LARGE, message.into())
}

/// An answer after which nothing more is read.
fn closing(mut response: Response) -> Response {
    response.headers_mut().insert(CONNECTION, HeaderValue::from_static("close"));
    response
}

pub(super) async fn nothing_here() -> Trouble {
    Trouble::Request(StatusCode::NOT_FOUND, "there is nothing at this address".into())
}
