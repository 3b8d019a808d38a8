//! From YAML text to a tree with places. Goes on after a key that stands twice; a syntax error
//! ends the file.

use std::collections::HashMap;

use serde_yaml::granit_parser::{
    ErrorKind, Event, Parser, ScalarStyle, ScanError, Span, StructureStyle, options,
};

use super::fault::{Complaint, Sink};
use super::shown::shortened;
use super::tree::{Entry, Node, Place, Value, Written};

/// The most values that a file may hold once its aliases are followed: some hundred thousand
/// actions, and far more than any alias bomb may cost.
pub(super) const MOST_VALUES: usize = 3_000_000;

/// The most blocks and lists inside each other; the scenario format itself has six.
const DEEPEST: usize = 64;

/// Reads the one document of a text; `None` where a fault leaves nothing to go on with.
pub(super) fn parse(text: &str, sink: &Sink) -> Option<Node> {
    let whole = text.len();
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut builder = Builder::new(sink, whole - text.len());
    let options = options! { flow_nesting_limit: DEEPEST, block_nesting_limit: DEEPEST };
    for next in Parser::new_from_str_with_options(text, options) {
        let going_on = match next {
            Ok((event, span)) => builder.take(event, span),
            Err(error) => {
                builder.complain(place_of_error(&error), syntax(&error));
                return None;
            }
        };
        if !going_on {
            return None;
        }
    }
    if builder.root.is_none() {
        let nothing = Complaint::new("missing-key", "the file holds nothing")
            .help("begin with a starter file: `setband init`");
        builder.complain(Place { line: 1, column: 1, width: 1 }, nothing);
    }
    builder.root
}

fn syntax(error: &ScanError) -> Complaint {
    if matches!(error.kind(), ErrorKind::RecursionLimitExceeded) {
        return too_deep();
    }
    Complaint::new("yaml-syntax", format!("this is not YAML: {}", error.kind())).help(
        "look at indentation, colons, brackets and quotes here and just above; indent with \
         spaces, and put quotes around text that has `: ` or ` #` in it",
    )
}

fn too_deep() -> Complaint {
    let message = format!("blocks and lists stand more than {DEEPEST} deep in each other");
    Complaint::new("too-large", message)
        .help("nothing in a scenario is that deep: is a bracket or an alias out of place?")
}

fn place_of_error(error: &ScanError) -> Place {
    let marker = error.marker();
    place(marker.line(), marker.col(), 1)
}

fn place(line: usize, column_from_0: usize, width: usize) -> Place {
    let small = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
    Place {
        line: small(line),
        column: small(column_from_0).saturating_add(1),
        width: small(width.max(1)),
    }
}

fn place_of(span: Span) -> Place {
    let width = if span.start.line() == span.end.line() {
        span.end.col().saturating_sub(span.start.col())
    } else {
        1
    };
    place(span.start.line(), span.start.col(), width)
}

/// A list or block that is still open.
struct Unclosed {
    place: Place,
    anchor: usize,
    /// Ends, as long as it is open, with the last that stands in it.
    written: Written,
    kind: UnclosedKind,
}

enum UnclosedKind {
    List(Vec<Node>),
    Block {
        entries: Vec<Entry>,
        /// The keys that stood, with the line of each.
        seen: HashMap<Box<str>, u32>,
        next: Next,
    },
}

/// What comes next in a block.
enum Next {
    Key,
    ValueOf(Box<str>, Place, Written),
    /// The value of a key that cannot stand.
    Dropped,
}

struct Builder<'s> {
    sink: &'s Sink,
    /// Bytes of the file before the text that is parsed.
    skipped: usize,
    open: Vec<Unclosed>,
    anchors: HashMap<usize, Node>,
    values: usize,
    documents: usize,
    root: Option<Node>,
}

impl<'s> Builder<'s> {
    fn new(sink: &'s Sink, skipped: usize) -> Self {
        let (open, anchors) = (Vec::new(), HashMap::new());
        Self { sink, skipped, open, anchors, values: 0, documents: 0, root: None }
    }

    /// How something stands in the file that is no alias.
    fn written(&self, span: Span, anchor: usize, style: StructureStyle) -> Written {
        let bytes = span.byte_range().unwrap_or_default();
        Written {
            start: self.skipped + bytes.start,
            end: self.skipped + bytes.end,
            shared: anchor != 0,
            in_brackets: style == StructureStyle::Flow,
        }
    }

    fn complain(&self, place: Place, complaint: Complaint) {
        self.sink.add(place, String::new(), complaint);
    }

    /// Takes one event; false where the file must not be read further.
    fn take(&mut self, event: Event<'_>, span: Span) -> bool {
        let place = place_of(span);
        match event {
            Event::DocumentStart(..) => self.start_document(place),
            Event::Scalar(text, style, anchor, tag) => {
                let quoted = style != ScalarStyle::Plain;
                let value = Value::Scalar { text: text.into(), quoted };
                self.no_tag(tag.is_some(), place);
                let written = self.written(span, anchor, StructureStyle::Block);
                self.count(1, place) && self.put(Node { place, written, value }, anchor)
            }
            Event::SequenceStart(style, anchor, tag) => {
                self.no_tag(tag.is_some(), place);
                let written = self.written(span, anchor, style);
                self.open(Unclosed { place, anchor, written, kind: UnclosedKind::List(Vec::new()) })
            }
            Event::MappingStart(style, anchor, tag) => {
                self.no_tag(tag.is_some(), place);
                let written = self.written(span, anchor, style);
                let kind = UnclosedKind::Block {
                    entries: Vec::new(),
                    seen: HashMap::new(),
                    next: Next::Key,
                };
                self.open(Unclosed { place, anchor, written, kind })
            }
            Event::SequenceEnd | Event::MappingEnd => self.close(span),
            Event::Alias(anchor) => self.alias(anchor, span),
            _ => true,
        }
    }

    fn start_document(&mut self, place: Place) -> bool {
        self.documents += 1;
        if self.documents > 1 {
            let second = Complaint::new("yaml-syntax", "a second document begins here")
                .help("keep one study a file: take away this `---` and what follows");
            self.complain(place, second);
        }
        self.documents == 1
    }

    fn no_tag(&self, tagged: bool, place: Place) {
        if tagged {
            let tag = Complaint::new("yaml-tag", "tags such as `!name` have no meaning here")
                .help("take the tag away");
            self.complain(place, tag);
        }
    }

    fn open(&mut self, mut open: Unclosed) -> bool {
        let place = open.place;
        open.written.end = open.written.start;
        self.open.push(open);
        self.not_too_deep(0, place) && self.count(1, place)
    }

    fn not_too_deep(&self, below: usize, place: Place) -> bool {
        let fits = self.open.len() + below <= DEEPEST;
        if !fits {
            self.complain(place, too_deep());
        }
        fits
    }

    fn count(&mut self, more: usize, place: Place) -> bool {
        self.values = self.values.saturating_add(more);
        if self.values > MOST_VALUES {
            let message = format!("the file holds more than {MOST_VALUES} values");
            let large = Complaint::new("too-large", message)
                .help("repeat actions with `every` and `times`, and use fewer aliases");
            self.complain(place, large);
        }
        self.values <= MOST_VALUES
    }

    fn alias(&mut self, anchor: usize, span: Span) -> bool {
        let place = place_of(span);
        // An alias inside its own anchor finds nothing yet, so no tree can hold itself.
        let Some(node) = self.anchors.get(&anchor) else {
            let own = Complaint::new("yaml-syntax", "this alias stands inside what it names")
                .help("write the value out here");
            self.complain(place, own);
            return false;
        };
        let (size, height) = (node.size(), node.height());
        let fits = self.not_too_deep(height, place) && self.count(size, place);
        let Some(mut node) = fits.then(|| self.anchors.get(&anchor).cloned()).flatten() else {
            return false;
        };
        let here = self.written(span, anchor, StructureStyle::Block);
        node.written = Written { in_brackets: node.written.in_brackets, ..here };
        self.put(node, 0)
    }

    fn close(&mut self, span: Span) -> bool {
        let Some(Unclosed { place, anchor, mut written, kind }) = self.open.pop() else {
            return true;
        };
        if written.in_brackets {
            written.end = self.skipped + span.byte_range().unwrap_or_default().end;
        }
        let value = match kind {
            UnclosedKind::List(items) => Value::List(items),
            UnclosedKind::Block { entries, .. } => Value::Block(entries),
        };
        self.put(Node { place, written, value }, anchor)
    }

    /// Puts a finished value where it belongs.
    fn put(&mut self, node: Node, anchor: usize) -> bool {
        if anchor != 0 {
            if !self.count(node.size(), node.place) {
                return false;
            }
            self.anchors.insert(anchor, node.clone());
        }
        let sink = self.sink;
        if let Some(open) = self.open.last_mut() {
            open.written.end = open.written.end.max(node.written.end);
        }
        match self.open.last_mut().map(|open| &mut open.kind) {
            None => self.root = Some(node),
            Some(UnclosedKind::List(items)) => items.push(node),
            Some(UnclosedKind::Block { entries, seen, next }) => {
                match std::mem::replace(next, Next::Key) {
                    Next::Key => *next = new_key(&node, seen, sink),
                    Next::ValueOf(key, place, written) => {
                        entries.push(Entry { key, place, written, inherited: false, node });
                    }
                    Next::Dropped => {}
                }
            }
        }
        true
    }
}

/// Takes a value as a key; one that is none or stood before loses its value.
fn new_key(node: &Node, seen: &mut HashMap<Box<str>, u32>, sink: &Sink) -> Next {
    let complaint = match node.text().map(|text| (text, seen.get(text))) {
        Some((text, None)) => {
            seen.insert(text.into(), node.place.line);
            return Next::ValueOf(text.into(), node.place, node.written);
        }
        Some((text, Some(first))) => {
            let message = format!("`{}` stands twice: first on line {first}", shortened(text));
            Complaint::new("duplicate-key", message).help("keep one of the two")
        }
        None => {
            let message = format!("a key must be a word, not {}", node.describe());
            Complaint::new("wrong-kind", message).help("is a quote or a colon missing?")
        }
    };
    sink.add(node.place, String::new(), complaint);
    Next::Dropped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_value_knows_its_place() {
        let sink = Sink::default();
        let root = parse("\u{feff}a: 1\nblöck:\n  - {inner: \"two\"}\n", &sink).expect("YAML");
        let one = root.get("a").expect("there");
        assert_eq!(one.place, Place { line: 1, column: 4, width: 1 });
        assert!(matches!(&one.value, Value::Scalar { quoted: false, .. }));
        let Value::List(items) = &root.get("blöck").expect("there").value else {
            panic!("a list")
        };
        let entry = &items[0].entries()[0];
        assert_eq!(entry.place, Place { line: 3, column: 6, width: 5 });
        assert_eq!(entry.node.place, Place { line: 3, column: 13, width: 5 });
        assert!(matches!(&entry.node.value, Value::Scalar { quoted: true, .. }));
        assert!(sink.is_empty());
    }

    #[test]
    fn an_alias_has_the_value_and_the_place_of_its_anchor() {
        let sink = Sink::default();
        let root = parse("a: &x [1, 2]\nb: *x\n", &sink).expect("YAML");
        let alias = root.get("b").expect("there");
        assert_eq!((alias.size(), alias.height(), alias.place.line), (3, 1, 1));
    }
}
