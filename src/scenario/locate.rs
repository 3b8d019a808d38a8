//! Where a path into the structure of a file stands in its text.

use super::keys::Kind;
use super::tree::{Node, Place, Value};

/// Follows a path from a node of a kind, written or left out: the place of the value at its end, or
/// of the nearest value around it where it is left out. `None` where the format or the file has no
/// such path.
pub(super) fn locate(node: Option<&Node>, near: Place, kind: &Kind, path: &str) -> Option<Place> {
    let near = node.map_or(near, |node| node.place);
    if path.is_empty() {
        return Some(near);
    }
    let (step, rest) = split(path)?;
    match (kind, step) {
        (Kind::Block(block), Step::Key(name)) => {
            let inner = node.and_then(|node| node.get(name));
            locate(inner, near, &block.key(name)?.kind, rest)
        }
        // Names are the file's own, so one that is not written does not exist.
        (Kind::ByName(inner), Step::Key(name)) => locate(Some(node?.get(name)?), near, inner, rest),
        (Kind::OneOrMore(inner), Step::Key(_)) => locate(node, near, inner, path),
        (Kind::Exactly(..), Step::Item(_)) if node.is_none() => Some(near),
        (
            Kind::ListOf(inner) | Kind::OneOrMore(inner) | Kind::Exactly(_, inner),
            Step::Item(at),
        ) => locate(Some(item(node?, at)?), near, inner, rest),
        (Kind::Words(..), Step::Item(at)) => item(node?, at).map(|item| item.place),
        (Kind::Either(kinds), _) => kinds.iter().find_map(|kind| locate(node, near, kind, path)),
        // The keys of a variant are paths themselves.
        (Kind::Changes, _) => node?.get(path.trim_start_matches('.')).map(|value| value.place),
        _ => None,
    }
}

enum Step<'p> {
    Key(&'p str),
    Item(usize),
}

/// The first step of a path and what comes after it; `None` where it is no path.
fn split(path: &str) -> Option<(Step<'_>, &str)> {
    if let Some(rest) = path.strip_prefix('[') {
        let (number, rest) = rest.split_once(']')?;
        return Some((Step::Item(number.parse().ok()?), rest));
    }
    let path = path.strip_prefix('.').unwrap_or(path);
    let end = path.find(['.', '[']).unwrap_or(path.len());
    let (key, rest) = path.split_at(end);
    (!key.is_empty()).then_some((Step::Key(key), rest))
}

fn item(node: &Node, at: usize) -> Option<&Node> {
    match &node.value {
        Value::List(items) => items.get(at),
        Value::Scalar { .. } | Value::Block(_) => None,
    }
}
