//! Fits text into columns of a terminal, counted in cells as terminals show them.

use std::collections::BTreeMap;

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// How many cells a text takes.
pub(in crate::report) fn width(text: &str) -> usize {
    text.width()
}

/// A text without control characters: a label from a file must not steer the terminal.
pub(in crate::report) fn clean(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

/// Cuts a text to so many cells, with `…` for what is gone.
pub(in crate::report) fn truncate(text: &str, cells: usize) -> String {
    if width(text) <= cells {
        return text.to_owned();
    }
    let mut kept = head(text, cells.saturating_sub(1)).trim_end().to_owned();
    if cells > 0 {
        kept.push('…');
    }
    kept
}

/// Shortens names to so many cells each, so that no two unlike names become alike. `None` where no
/// way of cutting them keeps them apart.
pub(in crate::report) fn shortened(names: &[&str], cells: usize) -> Option<Vec<String>> {
    if names.iter().all(|name| width(name) <= cells) {
        return Some(names.iter().map(|name| (*name).to_owned()).collect());
    }
    // Names often differ at their ends; else more of the end, or less, may tell them apart.
    let ends = [cells / 3, cells / 2, cells * 2 / 3, 0];
    ends.into_iter().find_map(|end| {
        let mut whole: BTreeMap<String, &str> = BTreeMap::new();
        let short = names.iter().map(|name| {
            let short = squeezed(name, cells, end);
            let apart = *whole.entry(short.clone()).or_insert(name) == *name;
            apart.then_some(short)
        });
        short.collect()
    })
}

/// Shortens a text to so many cells, of which `end` hold its end.
fn squeezed(text: &str, cells: usize, end: usize) -> String {
    if width(text) <= cells || cells < 5 {
        return truncate(text, cells);
    }
    let end = tail(text, end);
    let start = head(text, cells - 1 - width(end)).trim_end();
    format!("{start}…{end}")
}

/// The ways of breaking a head in two: at blanks, behind `_`, and at soft hyphens, which then show.
pub(in crate::report) fn breaks(text: &str) -> Vec<(String, String)> {
    let plain = |text: &str| text.replace('\u{ad}', "");
    let halves = text.char_indices().filter_map(|(at, letter)| {
        let (above, below) = (&text[..at], &text[at + letter.len_utf8()..]);
        let hyphen = match letter {
            ' ' => "",
            '_' => "_",
            '\u{ad}' => "-",
            _ => return None,
        };
        let whole = !above.is_empty() && !below.is_empty();
        whole.then(|| (plain(above) + hyphen, plain(below)))
    });
    halves.collect()
}

/// The longest end of a text that takes at most so many cells.
fn tail(text: &str, cells: usize) -> &str {
    let mut taken = 0;
    let start = text.char_indices().rev().find_map(|(at, c)| {
        taken += c.width().unwrap_or(0);
        (taken > cells).then_some(at + c.len_utf8())
    });
    text[start.unwrap_or(0)..].trim_start()
}

/// Breaks a text into lines of at most so many cells, between words where it can.
pub(in crate::report) fn wrap(text: &str, cells: usize) -> Vec<String> {
    let cells = cells.max(1);
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let mut word = word;
        loop {
            let last = lines.last().map_or(0, |line| width(line));
            let gap = usize::from(last > 0);
            if last + gap + width(word) <= cells {
                if let Some(line) = lines.last_mut() {
                    line.push_str(if gap == 1 { " " } else { "" });
                    line.push_str(word);
                }
                break;
            }
            if last > 0 {
                lines.push(String::new());
                continue;
            }
            // A single word that is wider than the line: cut it, at least one character a line.
            let part = head(word, cells).len().max(word.chars().next().map_or(0, char::len_utf8));
            if let Some(line) = lines.last_mut() {
                line.push_str(&word[..part]);
            }
            word = &word[part..];
            if word.is_empty() {
                break;
            }
        }
    }
    lines
}

/// The longest beginning of a text that takes at most so many cells.
fn head(text: &str, cells: usize) -> &str {
    let mut taken = 0;
    let end = text.char_indices().find_map(|(at, c)| {
        taken += c.width().unwrap_or(0);
        (taken > cells).then_some(at)
    });
    &text[..end.unwrap_or(text.len())]
}

/// A paragraph in lines of at most so many cells, the first led by `lead`, the others indented
/// as far.
pub(in crate::report) fn hang(lead: &str, text: &str, cells: usize) -> String {
    let indent = width(lead);
    let mut out = String::new();
    for (place, line) in wrap(text, cells.saturating_sub(indent)).into_iter().enumerate() {
        if place == 0 {
            out.push_str(lead);
        } else {
            out.push_str(&" ".repeat(indent));
        }
        out.push_str(&line);
        out.push('\n');
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_between_words_and_inside_only_where_they_must() {
        assert_eq!(wrap("cool moved from 23 to 24", 10), ["cool moved", "from 23 to", "24"]);
        assert_eq!(wrap("abcdefgh ij", 3), ["abc", "def", "gh", "ij"]);
        assert_eq!(wrap("", 10), [""]);
    }

    #[test]
    fn widths_are_counted_in_cells() {
        assert_eq!(width("室温"), 4);
        assert_eq!(truncate("室温計", 5), "室温…");
        assert_eq!(truncate("Reading room", 8), "Reading…");
        assert_eq!(truncate("Reading", 8), "Reading");
    }

    #[test]
    fn names_are_cut_where_they_are_alike() {
        let cut = |names: &[&str], cells| shortened(names, cells);
        let wanted = vec!["Meeting…12".to_owned(), "Meeting…13".to_owned()];
        assert_eq!(cut(&["Meeting room 12", "Meeting room 13"], 10), Some(wanted));
        assert_eq!(cut(&["Hall", "Hall"], 3), Some(vec!["Ha…".into(), "Ha…".into()]));
        assert_eq!(cut(&["room north floor", "room south floor"], 5), None);
    }

    #[test]
    fn control_characters_do_not_reach_the_terminal() {
        assert_eq!(clean("a\u{1b}[31mb\n"), "a [31mb ");
    }
}
