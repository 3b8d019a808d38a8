//! `setband serve`: the local page.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use clap::Args;

use super::failure::Failure;
use super::{CommandOutput, terminal};
use crate::serve::{Served, WorkerCommand, serve as run, work};

/// Arguments of `serve`.
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  setband serve scenarios/reading_room.yaml\n  setband \
                        serve\n\nThe page can be reached from this machine alone, and only \
                        under the address that is printed. It writes no \
                        files: what is changed on it can be downloaded. Ctrl-C ends it.")]
pub(super) struct ServeArguments {
    /// The scenario file; a starter scenario and the lessons without it
    pub(super) file: Option<PathBuf>,
    /// Which port to listen on; 0 takes a free one
    #[arg(long, value_name = "N", default_value_t = 0)]
    pub(super) port: u16,
    /// Do not open the page in a browser
    #[arg(long)]
    pub(super) no_open: bool,
    /// Which token stands in the address; for a server that takes the place of one that ended
    #[arg(long, value_name = "TOKEN", hide = true)]
    pub(super) token: Option<String>,
    /// Work for a page that is served: tasks on standard input, replies on standard output
    #[arg(long, hide = true)]
    pub(super) worker: bool,
}

pub(super) fn serve(arguments: &ServeArguments) -> Result<CommandOutput, Failure> {
    let file = arguments.file.as_deref();
    if arguments.worker {
        let site = file.map_or_else(Served::without_file, Served::of_known_file);
        // The server is gone: there is nobody left to work for.
        drop(work(&site, std::io::stdin(), std::io::stdout().lock()));
        return Ok(CommandOutput::with(String::new()));
    }
    if let Some(file) = file {
        Served::of_file(file)?;
    }
    let ready = |address: String| {
        drop(terminal::print(&address));
        if !arguments.no_open {
            open(&address);
        }
    };
    run(arguments.port, arguments.token.as_deref(), worker(file), ready).map_err(|why| {
        Failure::Call {
            what: format!("the page cannot be served: {why}"),
            help: "take another port with --port, or a free one with --port 0".into(),
        }
    })?;
    Ok(CommandOutput::with(String::new()))
}

/// How this program is started as a worker of the page.
fn worker(file: Option<&Path>) -> WorkerCommand {
    // The way to itself that also leads there after an update has put another in its place.
    let own = if cfg!(target_os = "linux") { Some("/proc/self/exe".into()) } else { None };
    let program = own.or_else(|| std::env::current_exe().ok()).unwrap_or_else(|| "setband".into());
    let mut arguments: Vec<OsString> = vec!["serve".into(), "--worker".into()];
    if let Some(file) = file {
        arguments.extend(["--".into(), file.into()]);
    }
    WorkerCommand { program, arguments }
}

/// Opens the page in the browser that the system prefers; where there is none, the address that
/// was printed has to do.
fn open(address: &str) {
    let (program, arguments): (&str, &[&str]) = if cfg!(target_os = "macos") {
        ("open", &[])
    } else if cfg!(windows) {
        ("rundll32", &["url.dll,FileProtocolHandler"])
    } else {
        ("xdg-open", &[])
    };
    let started = Command::new(program)
        .args(arguments)
        .arg(address)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    drop(started);
}
