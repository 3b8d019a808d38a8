//! Taking values out of a block that has been checked: what is wrong was reported then, and is
//! `None` here; what is left out is its default.

use super::conform::Checker;
use super::fault::Complaint;
use super::keys::{Block, Key, Kind};
use super::path::Path;
use super::scalar::{self, Scalar};
use super::tree::{Node, Place, Value};
use crate::time::{ClockTime, DaySet, Seconds, Span, Weekday};
use crate::units::TemperatureUnit;

/// What a reader makes of a key: `None` where it is wrong, which has been reported.
pub(super) type Checked<T> = Option<T>;

/// A block with its keys, its place and the way to it.
pub(super) struct Fields<'a> {
    pub(super) checker: Checker<'a>,
    pub(super) path: Path<'a>,
    pub(super) place: Place,
    block: &'static Block,
    node: Option<&'a Node>,
}

impl<'a> Fields<'a> {
    pub(super) const fn new(
        checker: Checker<'a>,
        block: &'static Block,
        node: &'a Node,
        path: Path<'a>,
    ) -> Self {
        Self { checker, path, place: node.place, block, node: Some(node) }
    }

    /// The value written at a key of the block; none where it says so.
    pub(super) fn node(&self, key: &str) -> Option<&'a Node> {
        let known = self.block.key(key);
        debug_assert!(
            known.is_some(),
            "`{key}` is read in `{}`, whose table of keys has no such key",
            self.block.name
        );
        let written = self.node.and_then(|node| node.get(key));
        written.filter(|node| !(node.says_none() && known.is_some_and(Key::takes_none)))
    }

    /// The block as it is written.
    pub(super) const fn written(&self) -> Option<&'a Node> {
        self.node
    }

    /// Whether something is written at a key.
    pub(super) fn has(&self, key: &str) -> bool {
        self.node(key).is_some()
    }

    /// What is read at a key that may be left out: `Some(None)` where it is, `None` where it is
    /// wrong.
    pub(super) fn optional<T>(
        &self,
        key: &str,
        read: impl FnOnce(&Self, &str) -> Option<T>,
    ) -> Checked<Option<T>> {
        if self.has(key) { read(self, key).map(Some) } else { Some(None) }
    }

    /// Where a key's value stands; the block's place where it is left out.
    pub(super) fn place_of(&self, key: &str) -> Place {
        self.node(key).map_or(self.place, |node| node.place)
    }

    /// Notes a fault at a key.
    pub(super) fn fault(&self, key: &str, complaint: Complaint) {
        self.checker.fault(self.place_of(key), &self.path.key(key), || complaint);
    }

    /// Notes a fault at a key that takes some work to explain.
    pub(super) fn fault_with(&self, key: &str, complaint: impl FnOnce() -> Complaint) {
        self.checker.fault(self.place_of(key), &self.path.key(key), complaint);
    }

    /// Notes a fault of the block as a whole.
    pub(super) fn fault_here(&self, complaint: Complaint) {
        self.checker.fault(self.place, &self.path, || complaint);
    }

    /// Reads what is written at a key, or its default.
    fn with<T>(
        &self,
        key: &str,
        read: impl FnOnce(&Node, &'static Kind) -> Option<T>,
    ) -> Option<T> {
        let known = self.block.key(key)?;
        if let Some(node) = self.node(key) {
            return read(node, &known.kind);
        }
        let text = known.need.default_text(self.checker.unit)?;
        read(&default_node(text), &known.kind)
    }

    fn scalar<T>(&self, key: &str, take: impl FnOnce(Scalar) -> Option<T>) -> Option<T> {
        let unit = self.checker.unit;
        self.with(key, |node, kind| scalar::read(node, kind, unit).ok().and_then(take))
    }

    /// A number, or a size in its base unit.
    pub(super) fn number(&self, key: &str) -> Option<f64> {
        self.scalar(key, |scalar| match scalar {
            Scalar::Number(value) => Some(value),
            _ => None,
        })
    }

    /// A whole number.
    pub(super) fn whole(&self, key: &str) -> Option<u64> {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "every range of whole numbers begins at 0 or 1 and ends within 2^53"
        )]
        self.number(key).map(|value| value as u64)
    }

    /// A length of time.
    pub(super) fn seconds(&self, key: &str) -> Option<Seconds> {
        self.scalar(key, |scalar| match scalar {
            Scalar::Duration(seconds) => Some(seconds),
            _ => None,
        })
    }

    /// `true` or `on`.
    pub(super) fn flag(&self, key: &str) -> Option<bool> {
        self.scalar(key, |scalar| match scalar {
            Scalar::Flag(flag) => Some(flag),
            _ => None,
        })
    }

    /// A scalar as it was read.
    pub(super) fn read(&self, key: &str) -> Option<Scalar<'a>> {
        let known = self.block.key(key)?;
        scalar::read(self.node(key)?, &known.kind, self.checker.unit).ok()
    }

    /// A text, a name or a word.
    pub(super) fn text(&self, key: &str) -> Option<String> {
        self.scalar(key, |scalar| match scalar {
            Scalar::Text(text) => Some(text.to_owned()),
            _ => None,
        })
    }

    /// One of some things that have a name.
    pub(super) fn pick<T: Copy>(
        &self,
        key: &str,
        all: &[T],
        name: impl Fn(T) -> &'static str,
    ) -> Option<T> {
        self.scalar(key, |scalar| match scalar {
            Scalar::Text(text) => all.iter().copied().find(|item| name(*item) == text),
            _ => None,
        })
    }

    /// Several of some things that have a name; `None` too where the key is left out.
    pub(super) fn picks<T: Copy>(
        &self,
        key: &str,
        all: &[T],
        name: impl Fn(T) -> &'static str,
    ) -> Option<Vec<T>> {
        let Value::List(items) = &self.node(key)?.value else { return None };
        let find = |item: &Node| {
            let text = item.text()?;
            all.iter().copied().find(|one| name(*one) == text)
        };
        items.iter().map(find).collect()
    }

    /// A list of numbers.
    pub(super) fn numbers(&self, key: &str) -> Option<Vec<f64>> {
        let unit = self.checker.unit;
        self.with(key, |node, kind| {
            let (Value::List(items), Some((count, inner))) = (&node.value, kind.exactly()) else {
                return None;
            };
            let numbers: Vec<f64> =
                items.iter().filter_map(|item| number_of(item, inner, unit)).collect();
            (numbers.len() == count && items.len() == count).then_some(numbers)
        })
    }

    /// A list of two numbers.
    pub(super) fn pair(&self, key: &str) -> Option<(f64, f64)> {
        match self.numbers(key)?[..] {
            [one, other] => Some((one, other)),
            _ => None,
        }
    }

    /// A block that is written.
    pub(super) fn block<'p>(&'p self, key: &'p str) -> Option<Fields<'p>> {
        let block = self.block.key(key)?.kind.block()?;
        let node = self.node(key)?;
        matches!(node.value, Value::Block(_))
            .then(|| Fields::new(self.checker, block, node, self.path.key(key)))
    }

    /// A block of which every key has a default: where it is left out, all of these.
    pub(super) fn block_or_defaults<'p>(&'p self, key: &'p str) -> Option<Fields<'p>> {
        if self.has(key) {
            return self.block(key);
        }
        let Kind::Block(block) = self.block.key(key)?.kind else { return None };
        let (checker, place, path) = (self.checker, self.place, self.path.key(key));
        Some(Fields { checker, path, place, block, node: None })
    }

    /// Calls with each block of a list, or with the one that stands there.
    pub(super) fn each(&self, key: &str, mut take: impl FnMut(Fields<'_>)) {
        let (inner, one_will_do) = match self.block.key(key).map(|known| &known.kind) {
            Some(Kind::OneOrMore(inner)) => (Some(*inner), true),
            Some(kind) => (kind.list_of(), false),
            None => return,
        };
        let Some(block) = inner.and_then(Kind::block) else { return };
        let path = self.path.key(key);
        match self.node(key).map(|node| (node, &node.value)) {
            Some((node, Value::Block(_))) if one_will_do => {
                take(Fields::new(self.checker, block, node, path));
            }
            Some((_, Value::List(items))) => {
                for (place, item) in items.iter().enumerate() {
                    if matches!(item.value, Value::Block(_)) {
                        take(Fields::new(self.checker, block, item, path.item(place)));
                    }
                }
            }
            _ => {}
        }
    }

    /// Calls with each block of a block of names.
    pub(super) fn each_named(&self, key: &str, mut take: impl FnMut(&str, Fields<'_>)) {
        let Some(Kind::ByName(Kind::Block(block))) = self.block.key(key).map(|known| &known.kind)
        else {
            return;
        };
        let path = self.path.key(key);
        for entry in self.node(key).map_or(&[][..], Node::entries) {
            if matches!(entry.node.value, Value::Block(_)) {
                let path = path.key(&entry.key);
                take(&entry.key, Fields::new(self.checker, block, &entry.node, path));
            }
        }
    }

    /// The items of a list; `None` where none is written.
    pub(super) fn items(&self, key: &str) -> Option<&'a [Node]> {
        match &self.node(key)?.value {
            Value::List(items) => Some(items),
            Value::Scalar { .. } | Value::Block(_) => None,
        }
    }

    /// A daily span from the keys `from`, `to` and `days`; a fault where it is empty.
    pub(super) fn span(&self) -> Option<Span> {
        let (from, to) = (self.clock("from")?, self.clock("to")?);
        let days = if self.has("days") {
            DaySet::of(&self.picks("days", &Weekday::ALL, Weekday::short)?)
        } else {
            DaySet::EVERY
        };
        let span = Span::new(from, to, days);
        if span.is_none() {
            let same = Complaint::new("empty-span", format!("a span from {from} to {to} is empty"))
                .help("for a whole day write from \"00:00\" to \"24:00\"");
            self.fault(if self.has("to") { "to" } else { "from" }, same);
        }
        span
    }

    /// A list of numbers, of any length.
    pub(super) fn numbers_in_list(&self, key: &str) -> Option<Vec<f64>> {
        let (unit, inner) = (self.checker.unit, self.block.key(key)?.kind.list_of()?);
        self.items(key)?.iter().map(|item| number_of(item, inner, unit)).collect()
    }

    /// A list of clock times.
    pub(super) fn clocks(&self, key: &str) -> Option<Vec<ClockTime>> {
        let unit = self.checker.unit;
        let clock = |item: &Node| match scalar::read(item, &Kind::Clock, unit) {
            Ok(Scalar::Clock(clock)) => Some(clock),
            _ => None,
        };
        self.items(key)?.iter().map(clock).collect()
    }

    fn clock(&self, key: &str) -> Option<ClockTime> {
        self.scalar(key, |scalar| match scalar {
            Scalar::Clock(clock) => Some(clock),
            _ => None,
        })
    }
}

/// A number of a kind; `None` where it is none.
pub(super) fn number_of(node: &Node, kind: &Kind, unit: TemperatureUnit) -> Option<f64> {
    match scalar::read(node, kind, unit) {
        Ok(Scalar::Number(value)) => Some(value),
        _ => None,
    }
}

/// A default of the table as a value of a file: a scalar, or a list in brackets.
pub(super) fn default_node(text: &str) -> Node {
    let node = |value| Node::new(Place::default(), value);
    let scalar = |text: &str| node(Value::Scalar { text: text.into(), quoted: text.is_empty() });
    match text.strip_prefix('[').and_then(|rest| rest.strip_suffix(']')) {
        Some(items) => {
            node(Value::List(items.split(',').map(|item| scalar(item.trim())).collect()))
        }
        None => scalar(text),
    }
}
