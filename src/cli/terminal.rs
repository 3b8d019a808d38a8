//! Standard output and standard error, and what they take.

use std::io::{self, IsTerminal, Write};

use crate::report::Style;

/// The narrowest width that tables are made for.
const NARROWEST: usize = 40;
/// Lines longer than this are hard to read, however wide the terminal.
const WIDEST: usize = 120;

/// What standard output takes: colour only on a terminal, and not where `NO_COLOR` is set.
pub(super) fn style() -> Style {
    let out = io::stdout();
    let plain = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty())
        || std::env::var_os("TERM").is_some_and(|term| term == "dumb");
    let width = terminal_size::terminal_size_of(&out).map(|(width, _)| usize::from(width.0));
    Style {
        color: out.is_terminal() && !plain,
        width: width.unwrap_or(80).clamp(NARROWEST, WIDEST),
    }
}

/// Prints to standard output. Somebody who stops reading early is no fault.
pub(super) fn print(text: &str) {
    if text.is_empty() {
        return;
    }
    let mut out = io::stdout().lock();
    let ends = text.ends_with('\n');
    let written = out
        .write_all(text.as_bytes())
        .and_then(|()| if ends { Ok(()) } else { out.write_all(b"\n") })
        .and_then(|()| out.flush());
    if let Err(error) = written
        && error.kind() != io::ErrorKind::BrokenPipe
    {
        print_error(&format!("error: standard output cannot be written: {error}"));
    }
}

/// Prints to standard error. There is nobody left to tell where that fails.
pub(super) fn print_error(text: &str) {
    let mut out = io::stderr().lock();
    let _ = writeln!(out, "{text}");
}

/// Shows on standard error how far a long command has come, in one line that is written over;
/// an empty text takes it away. Nothing where standard error is no terminal.
pub(super) fn progress(text: &str) {
    const WIDTH: usize = 60;
    let mut out = io::stderr().lock();
    if out.is_terminal() {
        let _ = write!(out, "\r{text:<WIDTH$}{}", if text.is_empty() { "\r" } else { "" });
        let _ = out.flush();
    }
}
