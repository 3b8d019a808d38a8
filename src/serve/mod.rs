//! The local page: settings are moved, and the day is redrawn at once.
//!
//! The server keeps nothing between requests: each brings the scenario and all changes to it and
//! takes the day away, so that users cannot disturb each other. It listens on this machine alone, and
//! answers only those who know its token and pages that it has handed out itself (`guard`). Nothing
//! is worked out in its own process: `worker` does that, in its turn (`turns`), and what takes too
//! long, or whose client has gone, is ended with its process. Connections, heads, bodies and those
//! who wait are bounded (`connections`, `answer`, `turns`).
mod amend;
mod answer;
mod assets;
mod bundle;
mod compare;
mod connections;
mod day;
mod documents;
mod drawing;
mod figures;
mod guard;
mod help;
mod lessons;
mod looks;
mod night;
mod overview;
mod puzzle;
mod replay;
mod rows;
mod settings;
mod site;
mod state;
mod tasks;
mod trouble;
mod turns;
mod words;
mod worker;

use std::fmt::Write as _;
use std::io;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::{Request, State};
use axum::routing::{get, post};
use tokio::sync::Semaphore;

use crate::scenario::{Companions, Faults, load_text, starter};
use crate::study::default_threads;
use crate::units::TemperatureUnit;
use tasks::Task;
use turns::Turns;

pub use worker::{WorkerCommand, work};

/// So many long requests are held at the same time.
const MOST_LONG_BODIES: usize = 12;
/// How long what still runs is waited for at the end.
const LAST_WAIT: Duration = Duration::from_millis(200);

/// What is served: a scenario file, or a starter where none is given.
#[derive(Clone, Debug)]
pub struct Served {
    file: Option<PathBuf>,
    companions: Companions,
}

impl Served {
    /// Serves a scenario file. A file with faults is served as well: the page shows them.
    ///
    /// # Errors
    /// The file is not there or not to be read.
    pub fn of_file(file: &Path) -> Result<Self, Faults> {
        load_text(file)?;
        Ok(Self::of_known_file(file))
    }

    /// Serves a scenario file that was there when the server began.
    pub fn of_known_file(file: &Path) -> Self {
        let companions = Companions::beside(file).unwrap_or_default();
        Self { file: Some(file.to_owned()), companions }
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
    turns: Arc<Turns>,
    /// Leaves to hold a long request.
    long_bodies: Arc<Semaphore>,
}

/// Serves on this machine alone until Ctrl-C. `ready` hears the address once it is open: it holds a
/// token, so that other users of the machine are not served. A server that takes the place of one
/// that ended may have its `token`, so that pages of that one go on.
///
/// # Errors
/// The port is taken or not allowed, the system has no random numbers, or a token is given that is
/// short or no plain word.
pub fn serve(
    port: u16,
    given: Option<&str>,
    workers: WorkerCommand,
    ready: impl FnOnce(String),
) -> io::Result<()> {
    let token = match given {
        Some(token) if is_token(token) => token.to_owned(),
        Some(_) => {
            let short = "a token has 32 or more letters and digits, as in the address of a page";
            return Err(io::Error::new(io::ErrorKind::InvalidInput, short));
        }
        None => token()?,
    };
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build()?;
    let served = runtime.block_on(async {
        let listener = tokio::net::TcpListener::bind((Ipv4Addr::LOCALHOST, port)).await?;
        let address: SocketAddr = listener.local_addr()?;
        let turns = Arc::new(Turns::new(default_threads().get(), workers));
        let long_bodies = Arc::new(Semaphore::new(MOST_LONG_BODIES));
        let routes = routes(Shared { turns, long_bodies }, address.port(), &token);
        let server = tokio::spawn(connections::serve(listener, routes));
        ready(format!("http://{address}/{token}/"));
        let stopped = tokio::signal::ctrl_c().await;
        server.abort();
        stopped
    });
    // Workers end with what is still being worked on.
    runtime.shutdown_timeout(LAST_WAIT);
    served
}

/// Whether a word can be one that nobody guesses.
fn is_token(word: &str) -> bool {
    word.len() >= 32 && word.chars().all(|letter| letter.is_ascii_alphanumeric())
}

/// A word that nobody can guess.
fn token() -> io::Result<String> {
    let mut bytes = [0_u8; 16];
    getrandom::fill(&mut bytes).map_err(io::Error::other)?;
    let mut token = String::with_capacity(2 * bytes.len());
    for byte in bytes {
        // Writing to a string does not fail.
        let _ = write!(token, "{byte:02x}");
    }
    Ok(token)
}

fn routes(shared: Shared, port: u16, token: &str) -> Router {
    let mut router = assets::routes(token);
    for (task, address) in Task::ALL {
        let answer =
            move |state: State<Shared>, request: Request| answer::answer(state, task, request);
        let method = if task.asks_nothing() { get(answer) } else { post(answer) };
        router = router.route(&format!("/{token}{address}"), method);
    }
    router
        .fallback(answer::nothing_here)
        .with_state(shared)
        .layer(axum::middleware::from_fn(move |request, next| guard::guard(port, request, next)))
}
