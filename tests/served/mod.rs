//! The real program serving its page.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

/// A server of its own; ends when it is dropped.
pub(crate) struct Served {
    pub(crate) process: Child,
    /// `http://127.0.0.1:PORT/TOKEN/`
    pub(crate) address: String,
}

impl Served {
    /// Serves a file, or the starter and the lessons.
    pub(crate) fn start(file: Option<&Path>) -> Self {
        Self::with(file, &["--port", "0"])
    }

    /// The same with more arguments.
    pub(crate) fn with(file: Option<&Path>, more: &[&str]) -> Self {
        let mut process = Command::new(env!("CARGO_BIN_EXE_setband"))
            .arg("serve")
            .args(file)
            .arg("--no-open")
            .args(more)
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let out = process.stdout.take().expect("standard output is read");
        let mut address = String::new();
        BufReader::new(out).read_line(&mut address).expect("the address is printed");
        let address = address.trim().to_owned();
        assert!(address.starts_with("http://127.0.0.1:"), "{address}");
        Self { process, address }
    }

    /// Serves a shipped scenario.
    pub(crate) fn scenario(name: &str) -> Self {
        let scenarios = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
        Self::start(Some(&scenarios.join(format!("{name}.yaml"))))
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        // It may have ended already: then there is nothing to do.
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}
