//! The real program, started in a folder.

use std::path::Path;
use std::process::{Command, Output};

/// Runs it and expects it to succeed.
pub(crate) fn setband(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_setband"));
    let output = command.current_dir(folder).args(arguments).output().expect("the program runs");
    let error = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(0), "{arguments:?}: {error}");
    output
}
