//! The local page: settings are moved, and the day is redrawn at once.
//!
//! The server is thin over the engine and keeps nothing between requests: each brings the scenario
//! and all changes to it and takes the day away, so that users cannot disturb each other. It
//! listens on this machine alone, and answers only pages that it has handed out itself (`guard`).
mod answer;
mod assets;
mod day;
mod documents;
mod figures;
mod guard;
mod lessons;
mod puzzle;
mod settings;
mod state;
mod trouble;

use std::io;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::http::StatusCode;
use axum::routing::{get, post};
use tokio::sync::Semaphore;
use tower_http::limit::RequestBodyLimitLayer;
use tower_http::timeout::TimeoutLayer;

use crate::scenario::{Companions, Faults, load_text, starter};
use crate::study::default_threads;
use crate::units::TemperatureUnit;

/// The longest request, bytes: a long scenario with all its changes.
const LONGEST_REQUEST: usize = 2 << 20;
/// How long a request may take.
const PATIENCE: Duration = Duration::from_secs(20);

/// What is served: a scenario file, or a starter where none is given.
#[derive(Clone, Debug)]
pub struct Site {
    file: Option<PathBuf>,
    companions: Companions,
}

impl Site {
    /// Serves a scenario file. A file with faults is served as well: the page shows them.
    ///
    /// # Errors
    /// The file is not there or not to be read.
    pub fn of_file(file: &Path) -> Result<Self, Faults> {
        load_text(file)?;
        let companions = Companions::beside(file).unwrap_or_default();
        Ok(Self { file: Some(file.to_owned()), companions })
    }

    /// Serves a starter scenario and the lessons.
    pub fn without_file() -> Self {
        Self { file: None, companions: Companions::default() }
    }

    /// The name and the present text of what is served.
    fn source(&self) -> Result<(String, String), Faults> {
        match &self.file {
            Some(file) => {
                let name = file.file_name().unwrap_or(file.as_os_str()).to_string_lossy();
                Ok((name.into_owned(), load_text(file)?))
            }
            None => Ok(("starter.yaml".into(), starter(TemperatureUnit::Celsius).into())),
        }
    }
}

/// What all requests share.
#[derive(Clone, Debug)]
struct Shared {
    site: Arc<Site>,
    /// Where the server listens; other hosts and origins are refused.
    port: u16,
    /// How many simulations run at the same time; the others wait.
    turns: Arc<Semaphore>,
}

/// Serves on this machine alone until Ctrl-C. `ready` hears the address once it is open.
///
/// # Errors
/// The port is taken or not allowed.
pub fn serve(site: Site, port: u16, ready: impl FnOnce(SocketAddr)) -> io::Result<()> {
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build()?;
    let served = runtime.block_on(async {
        let listener = tokio::net::TcpListener::bind((Ipv4Addr::LOCALHOST, port)).await?;
        let address = listener.local_addr()?;
        let turns = Arc::new(Semaphore::new(default_threads().get()));
        let shared = Shared { site: Arc::new(site), port: address.port(), turns };
        let server = tokio::spawn(async move { axum::serve(listener, routes(shared)).await });
        ready(address);
        let stopped = tokio::signal::ctrl_c().await;
        server.abort();
        stopped
    });
    // Whatever is still being simulated is not waited for.
    runtime.shutdown_background();
    served
}

fn routes(shared: Shared) -> Router {
    let guarded = shared.clone();
    assets::routes()
        .route("/api/source", get(answer::source))
        .route("/api/day", post(answer::day))
        .route("/api/explain", post(answer::explain))
        .route("/api/file", post(answer::file))
        .route("/api/report", post(answer::report))
        .route("/api/sheet", post(answer::sheet))
        .route("/api/lessons", get(answer::lessons))
        .route("/api/lesson", post(answer::lesson))
        .route("/api/lesson/score", post(answer::lesson_score))
        .route("/api/puzzle", post(answer::puzzle))
        .route("/api/puzzle/answer", post(answer::puzzle_answer))
        .fallback(answer::nothing_here)
        .with_state(shared)
        .layer(RequestBodyLimitLayer::new(LONGEST_REQUEST))
        .layer(TimeoutLayer::with_status_code(StatusCode::GATEWAY_TIMEOUT, PATIENCE))
        .layer(axum::middleware::from_fn(move |request, next| {
            guard::guard(guarded.port, request, next)
        }))
}
