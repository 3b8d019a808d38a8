//! `setband serve`: the local page.

use std::path::PathBuf;
use std::process::{Command, Stdio};

use clap::Args;

use super::failure::Failure;
use super::{Done, terminal};
use crate::serve::{Site, serve as run};

/// Arguments of `serve`.
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  setband serve scenarios/reading_room.yaml\n  setband \
                        serve\n\nThe page can be reached from this machine alone. It writes no \
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
}

pub(super) fn serve(arguments: &ServeArguments) -> Result<Done, Failure> {
    let site = match &arguments.file {
        Some(file) => Site::of_file(file)?,
        None => Site::without_file(),
    };
    let ready = |address: std::net::SocketAddr| {
        let address = format!("http://{address}/");
        terminal::print(&address);
        if !arguments.no_open {
            open(&address);
        }
    };
    run(site, arguments.port, ready).map_err(|why| Failure::Call {
        what: format!("the page cannot be served: {why}"),
        help: "take another port with --port, or a free one with --port 0".into(),
    })?;
    Ok(Done::with(String::new()))
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
