//! A YAML text as pieces that know from which byte to which byte they stand.

use serde_yaml::granit_parser::{Event, Parser, Span, StructureStyle, options};

/// The most blocks and lists inside each other, as in the reader of scenarios.
const DEEPEST: usize = 64;

/// A value and where it stands.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    /// The first byte.
    pub(super) start: usize,
    /// The byte after the last; of lines with dashes or keys, after the last value in them.
    pub(super) end: usize,
    /// Whether an anchor or an alias makes it stand in several places.
    pub(super) shared: bool,
    pub(super) what: What,
}

/// What a piece is.
#[derive(Clone, Debug)]
pub(super) enum What {
    Scalar,
    List { in_brackets: bool, items: Vec<Piece> },
    Block { in_brackets: bool, entries: Vec<Entry> },
}

/// A key with its value.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    pub(super) key: String,
    /// Where the key begins.
    pub(super) start: usize,
    /// The byte after the key.
    pub(super) key_end: usize,
    pub(super) value: Piece,
}

impl Piece {
    /// Whether nothing is written where it stands.
    pub(super) const fn is_empty(&self) -> bool {
        self.start == self.end
    }

    /// The entry of a key.
    pub(super) fn entry(&self, key: &str) -> Option<&Entry> {
        match &self.what {
            What::Block { entries, .. } => entries.iter().find(|entry| entry.key == key),
            What::Scalar | What::List { .. } => None,
        }
    }

    /// The value as it can stand in brackets, on one line.
    pub(super) fn on_one_line(&self, text: &str) -> String {
        match &self.what {
            What::Scalar => {
                let written = &text[self.start..self.end];
                if written.contains('\n') {
                    serde_json::Value::from(
                        written.split_whitespace().collect::<Vec<_>>().join(" "),
                    )
                    .to_string()
                } else {
                    written.to_owned()
                }
            }
            What::List { items, .. } => {
                let items: Vec<String> = items.iter().map(|item| item.on_one_line(text)).collect();
                format!("[{}]", items.join(", "))
            }
            What::Block { entries, .. } => {
                let entries: Vec<String> = entries
                    .iter()
                    .map(|entry| {
                        let key = &text[entry.start..entry.key_end];
                        format!("{key}: {}", entry.value.on_one_line(text))
                    })
                    .collect();
                format!("{{{}}}", entries.join(", "))
            }
        }
    }
}

/// The one document of a text in pieces; `None` where it is no YAML, or no block of keys.
pub(super) fn pieces(text: &str) -> Option<Piece> {
    let skipped = text.len() - text.strip_prefix('\u{feff}').unwrap_or(text).len();
    let letters = text[skipped..].char_indices().map(|(at, _)| at + skipped);
    let bytes: Vec<usize> = letters.chain([text.len()]).collect();
    let mut builder = Builder { bytes, open: Vec::new(), root: None };
    let options = options! { flow_nesting_limit: DEEPEST, block_nesting_limit: DEEPEST };
    for next in Parser::new_from_str_with_options(&text[skipped..], options) {
        let (event, span) = next.ok()?;
        builder.take(&event, span)?;
    }
    builder.root
}

/// A list or block that is still open.
struct Open {
    start: usize,
    shared: bool,
    in_brackets: bool,
    list: Option<Vec<Piece>>,
    entries: Vec<Entry>,
    key: Option<(String, usize, usize)>,
}

struct Builder {
    /// At which byte each letter begins.
    bytes: Vec<usize>,
    open: Vec<Open>,
    root: Option<Piece>,
}

impl Builder {
    /// Takes one event; `None` where the text cannot be edited.
    fn take(&mut self, event: &Event<'_>, span: Span) -> Option<()> {
        let start = *self.bytes.get(span.start.index())?;
        let end = *self.bytes.get(span.end.index())?;
        match event {
            Event::Scalar(text, _, anchor, _) => {
                // A value that is left out is reported with the text `~` and no width.
                let piece = Piece { start, end, shared: *anchor != 0, what: What::Scalar };
                self.put(piece, Some(text))
            }
            Event::Alias(_) => {
                self.put(Piece { start, end, shared: true, what: What::Scalar }, None)
            }
            Event::SequenceStart(style, anchor, _) => {
                self.open(start, *anchor, *style == StructureStyle::Flow, Some(Vec::new()));
                Some(())
            }
            Event::MappingStart(style, anchor, _) => {
                self.open(start, *anchor, *style == StructureStyle::Flow, None);
                Some(())
            }
            Event::SequenceEnd | Event::MappingEnd => self.close(end),
            _ => Some(()),
        }
    }

    fn open(&mut self, start: usize, anchor: usize, in_brackets: bool, list: Option<Vec<Piece>>) {
        let shared = anchor != 0;
        self.open.push(Open { start, shared, in_brackets, list, entries: Vec::new(), key: None });
    }

    fn close(&mut self, end: usize) -> Option<()> {
        let Open { start, shared, in_brackets, list, entries, .. } = self.open.pop()?;
        let last = match &list {
            Some(items) => items.last().map(|item| item.end),
            None => entries.last().map(|entry| entry.value.end.max(entry.key_end)),
        };
        let end = if in_brackets { end } else { last.unwrap_or(start) };
        let what = match list {
            Some(items) => What::List { in_brackets, items },
            None => What::Block { in_brackets, entries },
        };
        self.put(Piece { start, end, shared, what }, None)
    }

    /// Puts a finished value where it belongs; `text` is what a scalar says.
    fn put(&mut self, piece: Piece, text: Option<&str>) -> Option<()> {
        match self.open.last_mut() {
            None => self.root = Some(piece),
            Some(Open { list: Some(items), .. }) => items.push(piece),
            Some(Open { entries, key, .. }) => match key.take() {
                None => *key = Some((text?.to_owned(), piece.start, piece.end)),
                Some((key, start, key_end)) => {
                    entries.push(Entry { key, start, key_end, value: piece });
                }
            },
        }
        Some(())
    }
}
