//! Finds, starts and ends a browser.

use std::env;
use std::ffi::OsString;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use serde_json::json;
use tempfile::TempDir;

use super::connection::Connection;
use super::page::Page;

/// Names under which the browser is installed.
const NAMES: [&str; 4] = ["chromium", "chromium-browser", "google-chrome", "chrome"];
/// A loaded machine may take this long to start it.
const PATIENCE: Duration = Duration::from_secs(60);

/// A browser without a window, with an empty profile of its own; ends when it is dropped.
pub(crate) struct Browser {
    process: Child,
    /// Deleted after the browser has ended.
    _profile: TempDir,
    port: u16,
    connection: Connection,
}

impl Browser {
    /// Starts one; `None` where the tests were built to go without.
    ///
    /// # Panics
    /// Where there is no browser, or it does not start.
    pub(crate) fn start() -> Option<Self> {
        if cfg!(feature = "no-browser") {
            skipped("the tests were built with the feature no-browser");
            return None;
        }
        let program = find().expect(
            "these tests need a browser: install chromium, or name one in SETBAND_BROWSER, or ignore \
             them with `cargo test --features no-browser`",
        );
        let profile = tempfile::tempdir().expect("a folder for the profile");
        let mut process = command(&program, profile.path()).spawn().expect("the browser starts");
        let (port, path) = wait_for_port(&mut process, profile.path());
        let connection = Connection::open(port, &path);
        Some(Self { process, _profile: profile, port, connection })
    }

    /// A page of its own, at an address.
    pub(crate) fn page(&mut self, address: &str) -> Page {
        let blank = json!({"url": "about:blank"});
        let target = self.connection.call("Target.createTarget", &blank);
        let id = target["targetId"].as_str().expect("a target");
        let connection = Connection::open(self.port, &format!("/devtools/page/{id}"));
        let mut page = Page::new(connection);
        page.go(address);
        page
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // Asked kindly it ends its own helpers, too, and lets go of the profile.
        self.connection.send("Browser.close", &json!({}));
        let asked = Instant::now();
        while asked.elapsed() < Duration::from_secs(5) {
            if !matches!(self.process.try_wait(), Ok(None)) {
                return;
            }
            sleep(Duration::from_millis(20));
        }
        // It may have ended in between: then there is nothing to do.
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// Says that the test under way was skipped, past the harness, which keeps to itself what tests
/// print that do not fail.
pub(crate) fn skipped(why: &str) {
    let thread = std::thread::current();
    let line = format!("skipped {}: {why}\n", thread.name().unwrap_or("a test"));
    // Where nothing can be written nobody reads it either.
    let _ = std::io::stderr().write_all(line.as_bytes());
}

fn find() -> Option<PathBuf> {
    if let Some(named) = env::var_os("SETBAND_BROWSER") {
        return Some(named.into());
    }
    let path: OsString = env::var_os("PATH")?;
    let folders: Vec<PathBuf> = env::split_paths(&path).collect();
    NAMES
        .iter()
        .flat_map(|name| folders.iter().map(move |folder| folder.join(name)))
        .find(|program| program.is_file())
}

fn command(program: &Path, profile: &Path) -> Command {
    let mut command = Command::new(program);
    command
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"])
        .args(["--disable-background-networking", "--disable-component-update", "--disable-sync"])
        // A small shared memory, as in many containers, must not end the page.
        .args(["--disable-dev-shm-usage", "--hide-scrollbars", "--remote-debugging-port=0"])
        .arg(format!("--user-data-dir={}", profile.display()))
        .arg("about:blank")
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    command
}

/// The browser writes the port that it took, and the path of its own socket, to a file.
fn wait_for_port(process: &mut Child, profile: &Path) -> (u16, String) {
    let started = Instant::now();
    while started.elapsed() < PATIENCE {
        let written = fs::read_to_string(profile.join("DevToolsActivePort")).unwrap_or_default();
        if let Some((port, path)) = written.split_once('\n') {
            return (port.trim().parse().expect("a port"), path.trim().to_owned());
        }
        if let Ok(Some(status)) = process.try_wait() {
            panic!("the browser ended at once: {status}");
        }
        sleep(Duration::from_millis(20));
    }
    panic!("the browser did not start within {PATIENCE:?}");
}
