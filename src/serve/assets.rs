//! The page's own files, built into the program.

use std::sync::LazyLock;

use axum::Router;
use axum::http::header::CONTENT_TYPE;
use axum::routing::get;

use super::Shared;
use crate::reference;
use crate::report::{REFERENCE_CSS, reference_page};

const HTML: &str = "text/html; charset=utf-8";
const CSS: &str = "text/css; charset=utf-8";
const SCRIPT: &str = "text/javascript; charset=utf-8";
const SVG: &str = "image/svg+xml";

/// Address, kind and content of each.
const ASSETS: &[(&str, &str, &str)] = &[
    ("/", HTML, include_str!("assets/page.html")),
    ("/page.css", CSS, include_str!("assets/page.css")),
    ("/overview.css", CSS, include_str!("assets/overview.css")),
    ("/chart.css", CSS, include_str!("assets/chart.css")),
    ("/lessons.css", CSS, include_str!("assets/lessons.css")),
    ("/reference.css", CSS, REFERENCE_CSS),
    ("/icon.svg", SVG, include_str!("assets/icon.svg")),
    ("/page.js", SCRIPT, include_str!("assets/page.js")),
    ("/server.js", SCRIPT, include_str!("assets/server.js")),
    ("/state.js", SCRIPT, include_str!("assets/state.js")),
    ("/dom.js", SCRIPT, include_str!("assets/dom.js")),
    ("/words.js", SCRIPT, include_str!("assets/words.js")),
    ("/overlay.js", SCRIPT, include_str!("assets/overlay.js")),
    ("/amend.js", SCRIPT, include_str!("assets/amend.js")),
    ("/rows.js", SCRIPT, include_str!("assets/rows.js")),
    ("/compare.js", SCRIPT, include_str!("assets/compare.js")),
    ("/handover.js", SCRIPT, include_str!("assets/handover.js")),
    ("/handles.js", SCRIPT, include_str!("assets/handles.js")),
    ("/site.js", SCRIPT, include_str!("assets/site.js")),
    ("/calendar.js", SCRIPT, include_str!("assets/calendar.js")),
    ("/help.js", SCRIPT, include_str!("assets/help.js")),
    ("/zones.js", SCRIPT, include_str!("assets/zones.js")),
    ("/panel.js", SCRIPT, include_str!("assets/panel.js")),
    ("/settings.js", SCRIPT, include_str!("assets/settings.js")),
    ("/ledger.js", SCRIPT, include_str!("assets/ledger.js")),
    ("/figures.js", SCRIPT, include_str!("assets/figures.js")),
    ("/requirements.js", SCRIPT, include_str!("assets/requirements.js")),
    ("/night.js", SCRIPT, include_str!("assets/night.js")),
    ("/moment.js", SCRIPT, include_str!("assets/moment.js")),
    ("/lessons.js", SCRIPT, include_str!("assets/lessons.js")),
    ("/trying.js", SCRIPT, include_str!("assets/trying.js")),
    ("/fault.js", SCRIPT, include_str!("assets/fault.js")),
];

/// Words explained: the same page for everybody, made when somebody first asks for it.
static REFERENCE: LazyLock<String> =
    LazyLock::new(|| reference_page(&reference::all(), Some("reference.css")));

/// A route for each, behind the token.
pub(super) fn routes(token: &str) -> Router<Shared> {
    let reference = get(|| async { ([(CONTENT_TYPE, HTML)], REFERENCE.as_str()) });
    let router = Router::new().route(&format!("/{token}/reference.html"), reference);
    ASSETS.iter().fold(router, |router, (address, kind, content)| {
        router.route(
            &format!("/{token}{address}"),
            get(move || async move { ([(CONTENT_TYPE, *kind)], *content) }),
        )
    })
}
