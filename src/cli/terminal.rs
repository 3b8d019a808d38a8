//! Standard output and standard error, and what they take.

use std::borrow::Cow;
use std::io::{self, IsTerminal, Write};

use super::failure::Failure;
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

/// Whether the locale is the plain one of C, which has nothing but ASCII.
fn is_plain() -> bool {
    let set = |name: &&str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    let name = ["LC_ALL", "LC_CTYPE", "LANG"].into_iter().find(set);
    let locale = name.and_then(std::env::var_os);
    locale.is_some_and(|locale| locale == "C" || locale == "POSIX")
}

/// The text in ASCII, as near as it gets.
fn in_ascii(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            letter if letter.is_ascii() => plain.push(letter),
            '“' | '”' | '„' => plain.push('"'),
            '‘' | '’' => plain.push('\''),
            '−' | '–' | '—' => plain.push('-'),
            '×' => plain.push('x'),
            '·' | '•' => plain.push('.'),
            '²' => plain.push('2'),
            '³' => plain.push('3'),
            '…' => plain.push_str("..."),
            '→' => plain.push_str("->"),
            '±' => plain.push_str("+-"),
            '≥' => plain.push_str(">="),
            '≤' => plain.push_str("<="),
            '°' | '\u{a0}' => plain.push(' '),
            _ => plain.push('?'),
        }
    }
    plain
}

/// Prints to standard output for people: in ASCII where the locale has no more.
pub(super) fn print(text: &str) -> Result<(), Failure> {
    if is_plain() { print_as_it_is(&in_ascii(text)) } else { print_as_it_is(text) }
}

/// Prints to standard output. Somebody who stops reading early is no fault.
pub(super) fn print_as_it_is(text: &str) -> Result<(), Failure> {
    if text.is_empty() {
        return Ok(());
    }
    let mut out = io::stdout().lock();
    let ends = text.ends_with('\n');
    let written = out
        .write_all(text.as_bytes())
        .and_then(|()| if ends { Ok(()) } else { out.write_all(b"\n") })
        .and_then(|()| out.flush());
    arrived(written)
}

/// Whether what was written to standard output got there.
pub(super) fn arrived(written: io::Result<()>) -> Result<(), Failure> {
    match written.and_then(|()| io::stdout().flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(Failure::Lost(error)),
        _ => Ok(()),
    }
}

/// Prints to standard error. There is nobody left to tell where that fails.
pub(super) fn print_error(text: &str) {
    let text = if is_plain() { Cow::Owned(in_ascii(text)) } else { Cow::Borrowed(text) };
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ascii_says_the_same() {
        let text = "“hall”: 21.5 °C ± 0.5 … 20 m² → −3, é";
        assert_eq!(in_ascii(text), "\"hall\": 21.5  C +- 0.5 ... 20 m2 -> -3, ?");
    }
}
