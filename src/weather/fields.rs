//! A line of a table, cut at its commas; each field knows where it stands.

use super::fault::{FileFault, FileFaults};

/// How many characters of a field a message repeats.
const SHOWN: usize = 24;
/// What comes behind so many commas is one field, however long: no layout has as many.
const MOST_FIELDS: usize = 1000;

/// A line of a table.
#[derive(Clone, Debug)]
pub(super) struct Row<'t> {
    /// Line, from 1.
    pub(super) line: usize,
    text: &'t str,
    /// Where each field begins and ends in the text, bytes.
    spans: Vec<(usize, usize)>,
}

impl<'t> Row<'t> {
    /// Cuts a line; commas between double quotes do not count. No table has more fields than those
    /// of which it knows the places.
    pub(super) fn new(line: usize, text: &'t str) -> Self {
        let (mut spans, mut start, mut quoted) = (Vec::new(), 0, false);
        for (at, byte) in text.bytes().enumerate() {
            match byte {
                b'"' => quoted = !quoted,
                b',' if !quoted && spans.len() < MOST_FIELDS => {
                    spans.push((start, at));
                    start = at + 1;
                }
                _ => {}
            }
        }
        spans.push((start, text.len()));
        Self { line, text, spans }
    }

    /// How many fields it has.
    pub(super) fn len(&self) -> usize {
        self.spans.len()
    }

    /// A field without blanks and quotes around it; empty where there is none.
    pub(super) fn field(&self, place: usize) -> &'t str {
        let Some(&(start, end)) = self.spans.get(place) else { return "" };
        let field = self.text[start..end].trim();
        let inside = field.strip_prefix('"').and_then(|it| it.strip_suffix('"'));
        inside.unwrap_or(field).trim()
    }

    /// All fields.
    pub(super) fn fields(&self) -> impl Iterator<Item = &'t str> {
        (0..self.len()).map(|place| self.field(place))
    }

    /// A fault at a field; at the end of the line where there is none.
    pub(super) fn fault(&self, place: usize, what: String, remedy: &str) -> FileFault {
        let end = self.text.len();
        let (start, end) = self.spans.get(place).copied().unwrap_or((end, end));
        let blanks = self.text[start..end].len() - self.text[start..end].trim_start().len();
        let column = 1 + self.text[..start + blanks].chars().count();
        let width = self.text[start..end].trim().chars().count().max(1);
        FileFault { line: self.line, column, width, what, remedy: remedy.into() }
    }
}

/// A field for a message: short, and without what a terminal would take for commands.
pub(super) fn shown(field: &str) -> String {
    let visible = |letter: char| if letter.is_control() { ' ' } else { letter };
    let start: String = field.chars().take(SHOWN).map(visible).collect();
    if field.chars().count() > SHOWN { format!("{start}...") } else { start }
}

/// Tells of bytes that no text holds: a copy that was broken off leaves them.
pub(super) fn find_nul(text: &str, faults: &mut FileFaults) {
    let Some(at) = text.find('\0') else { return };
    let before = &text[..at];
    let line = 1 + before.matches('\n').count();
    let column = 1 + before[before.rfind('\n').map_or(0, |it| it + 1)..].chars().count();
    let count = text.matches('\0').count();
    let what = format!("the file holds NUL bytes, {count} in all");
    let remedy = "it was not copied whole: fetch it again".to_owned();
    faults.add(|| FileFault { line, column, width: 1, what, remedy });
}

/// The lines of a text that hold anything, numbered from 1, without a byte order mark.
pub(super) fn lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    (1..).zip(text.lines()).filter(|(_, line)| !line.trim().is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_are_cut_at_commas_outside_quotes_and_know_their_place() {
        let row = Row::new(7, "723,\"Town, north\", é ,x");
        assert_eq!(row.fields().collect::<Vec<_>>(), ["723", "Town, north", "é", "x"]);
        let fault = row.fault(3, "what".into(), "help");
        assert_eq!((fault.line, fault.column, fault.width), (7, 23, 1));
        assert_eq!(row.fault(9, String::new(), "").column, 24);
        assert_eq!(row.field(9), "");
    }

    #[test]
    fn a_line_of_commas_takes_no_more_places_than_a_table_has_columns() {
        let row = ",".repeat(100_000);
        assert_eq!(Row::new(1, &row).len(), MOST_FIELDS + 1);
    }

    #[test]
    fn messages_repeat_little_and_nothing_dangerous() {
        assert_eq!(shown("a\u{1b}[31m"), "a [31m");
        assert_eq!(shown(&"9".repeat(30)), format!("{}...", "9".repeat(24)));
    }
}
