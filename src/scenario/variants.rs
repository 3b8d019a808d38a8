//! Variants: paths into the file with new values, `*` for every zone.

use super::fault::{Complaint, Sink};
use super::keys::{FILE, Kind};
use super::near::nearest;
use super::path::Path;
use super::scalar::{bad_name, is_name};
use super::tree::{Entry, Node, Place, Value, shortened};

/// Checks what holds for all variants together: that they are a block, with proper names.
pub(super) fn check_list(variants: &Entry, sink: &Sink) {
    let path = Path::ROOT.key("variants");
    if !matches!(variants.node.value, Value::Block(_)) {
        let found = variants.node.describe();
        let list =
            Complaint::new("wrong-kind", format!("a block of variants is wanted, not {found}"))
                .help(
                    "write `name: {path: value}`, as in `wide: {zones.*.controls.min_deadband: 3}`",
                );
        sink.add(variants.node.place, path.to_string(), list);
    }
    for entry in variants.node.entries().iter().filter(|entry| !is_name(&entry.key)) {
        sink.add(entry.place, path.key(&entry.key).to_string(), bad_name(&entry.key));
    }
}

/// The file with the changes of one variant; `None` where one cannot be made.
pub(super) fn apply(root: &Node, variant: &Entry, sink: &Sink) -> Option<Node> {
    let all = Path::ROOT.key("variants");
    let path = all.key(&variant.key);
    if !matches!(variant.node.value, Value::Block(_)) {
        let found = variant.node.describe();
        let message = format!("a block of paths with new values is wanted, not {found}");
        let kind = Complaint::new("wrong-kind", message)
            .help("write paths with values, as in `zones.*.controls.min_deadband: 3`");
        sink.add(variant.node.place, path.to_string(), kind);
        return None;
    }
    let mut changed = root.clone();
    for change in variant.node.entries() {
        let parts: Vec<&str> = change.key.split('.').collect();
        if let Err(complaint) = set(&mut changed, &Kind::Block(FILE), &parts, change) {
            sink.add(change.place, path.key(&change.key).to_string(), complaint);
        }
    }
    sink.is_empty().then_some(changed)
}

/// Follows a path and puts the value where it ends. Blocks that the file leaves out are made.
pub(super) fn set(
    node: &mut Node,
    kind: &Kind,
    parts: &[&str],
    change: &Entry,
) -> Result<(), Complaint> {
    let Some((part, rest)) = parts.split_first() else {
        node.clone_from(&change.node);
        return Ok(());
    };
    let shown = describe(&node.value);
    match (kind, &mut node.value) {
        (Kind::OneOrMore(inner), Value::Block(_)) => {
            let below = if *part == "*" { rest } else { parts };
            set(node, inner, below, change)
        }
        (Kind::OneOrMore(inner) | Kind::ListOf(inner), Value::List(items)) if *part == "*" => {
            items.iter_mut().try_for_each(|item| set(item, inner, rest, change))
        }
        (Kind::Either(kinds), Value::Block(_)) if kinds.iter().any(Kind::is_block) => {
            let inner = kinds.iter().find(|kind| kind.is_block()).unwrap_or(kind);
            set(node, inner, parts, change)
        }
        (Kind::Block(block), Value::Block(entries)) => {
            let key = block.key(part).filter(|_| *part != "variants").ok_or_else(|| {
                let names = block.names().filter(|name| *name != "variants");
                unknown(part, block.name, nearest(part, names))
            })?;
            set(find_or_make(entries, part, change.place), &key.kind, rest, change)
        }
        (Kind::ByName(inner), Value::Block(entries)) if *part == "*" => {
            for entry in entries {
                set(&mut entry.node, inner, rest, change)?;
            }
            Ok(())
        }
        (Kind::ByName(inner), Value::Block(entries)) => {
            let known = entries.iter().any(|entry| *entry.key == **part);
            if !known && matches!(inner, Kind::Block(_)) {
                let names = entries.iter().map(|entry| &*entry.key);
                return Err(unknown(part, "the file", nearest(part, names)));
            }
            set(find_or_make(entries, part, change.place), inner, rest, change)
        }
        _ => {
            let message =
                format!("the path cannot go on to `{}`: {shown} is before it", shortened(part));
            Err(Complaint::new("unknown-path", message)
                .help("end the path here, and give the new value as a whole"))
        }
    }
}

const fn describe(value: &Value) -> &'static str {
    match value {
        Value::Scalar { .. } => "a single value",
        Value::List(_) => "a list",
        Value::Block(_) => "a block",
    }
}

fn find_or_make<'n>(entries: &'n mut Vec<Entry>, name: &str, place: Place) -> &'n mut Node {
    let found = entries.iter().position(|entry| &*entry.key == name);
    let at = found.unwrap_or_else(|| {
        let node = Node { place, value: Value::Block(Vec::new()) };
        entries.push(Entry { key: name.into(), place, node });
        entries.len() - 1
    });
    &mut entries[at].node
}

fn unknown(part: &str, whole: &str, near: Option<&str>) -> Complaint {
    let remedy = near.map_or_else(String::new, |near| format!("the nearest is `{near}`"));
    let message = format!("this path leads nowhere: `{}` is not in `{whole}`", shortened(part));
    Complaint::new("unknown-path", message.replace("`the file`", "the file")).help(remedy)
}
