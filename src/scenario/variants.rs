//! Variants: paths into the file with new values, `*` for every zone.

use super::every_zone;
use super::fault::{Complaint, Sink};
use super::keys::{Kind, ROOT};
use super::near::nearest;
use super::path::{Path, PathStep, PathSteps};
use super::scalar::{bad_name, is_name};
use super::shown::shortened;
use super::tree::{Entry, Node, Place, Value};

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
        if let Err(complaint) = set(&mut changed, change) {
            sink.add(change.place, path.key(&change.key).to_string(), complaint);
        }
    }
    if let Err(complaint) = every_zone::spread(&mut changed) {
        sink.add(variant.place, path.to_string(), complaint);
    }
    sink.is_empty().then_some(changed)
}

/// Follows the path that a change has for its key, and puts its value where the path ends. Blocks
/// that the file leaves out are made.
pub(super) fn set(root: &mut Node, change: &Entry) -> Result<(), Complaint> {
    set_below(root, ROOT, PathSteps::of(&change.key), change)
}

fn set_below(
    node: &mut Node,
    kind: &Kind,
    mut steps: PathSteps<'_>,
    change: &Entry,
) -> Result<(), Complaint> {
    let before = steps.rest();
    let Some(step) = steps.next() else {
        node.clone_from(&change.node);
        return Ok(());
    };
    if let (Kind::OneOrMore(inner), Value::Block(_), PathStep::Every) = (kind, &node.value, step) {
        // One that stands for a list of one.
        return set_below(node, inner, steps, change);
    }
    let shown = describe(&node.value);
    match (&mut node.value, step, kind.below(step)) {
        (Value::Block(entries), PathStep::Every, Some(below)) => entries
            .iter_mut()
            .try_for_each(|entry| set_below(&mut entry.node, below, steps.clone(), change)),
        (Value::List(items), PathStep::Every, Some(below)) => {
            items.iter_mut().try_for_each(|item| set_below(item, below, steps.clone(), change))
        }
        (Value::List(items), PathStep::Item(at), Some(below)) => match items.get_mut(at) {
            Some(item) => set_below(item, below, steps, change),
            None => Err(unknown(&format!("[{at}]"), "the file", None)),
        },
        (Value::Block(entries), PathStep::Key(name), below) => {
            let below = may_stand(kind, below, name, entries, before)?;
            let entry = find_or_make(entries, name, change.place);
            // A list, or the last value on the way, is the zone's own from here on.
            let is_way = matches!(entry.node.value, Value::Block(_)) && !steps.rest().is_empty();
            entry.inherited &= is_way;
            set_below(&mut entry.node, below, steps, change)
        }
        _ => Err(too_far(before, shown)),
    }
}

/// The kind of the value under a name of a block, where the path may go on to it.
fn may_stand(
    kind: &Kind,
    below: Option<&'static Kind>,
    name: &str,
    entries: &[Entry],
    before: &str,
) -> Result<&'static Kind, Complaint> {
    if let Some(block) = kind.block() {
        return below.filter(|_| name != "variants").ok_or_else(|| {
            let names = block.names().filter(|name| *name != "variants");
            unknown(name, block.name, nearest(name, names))
        });
    }
    let below = below.ok_or_else(|| too_far(before, "a block"))?;
    let known = entries.iter().any(|entry| *entry.key == *name);
    if !known && matches!(below, Kind::Block(_)) {
        let names = entries.iter().map(|entry| &*entry.key);
        return Err(unknown(name, "the file", nearest(name, names)));
    }
    Ok(below)
}

fn too_far(rest: &str, shown: &str) -> Complaint {
    let part = rest.split('.').next().unwrap_or_default();
    let message = format!("the path cannot go on to `{}`: {shown} is before it", shortened(part));
    Complaint::new("unknown-path", message)
        .help("end the path here, and give the new value as a whole")
}

const fn describe(value: &Value) -> &'static str {
    match value {
        Value::Scalar { .. } => "a single value",
        Value::List(_) => "a list",
        Value::Block(_) => "a block",
    }
}

fn find_or_make<'n>(entries: &'n mut Vec<Entry>, name: &str, place: Place) -> &'n mut Entry {
    let found = entries.iter().position(|entry| &*entry.key == name);
    let at = found.unwrap_or_else(|| {
        entries.push(Entry::new(name, place, Node::new(place, Value::Block(Vec::new()))));
        entries.len() - 1
    });
    &mut entries[at]
}

fn unknown(part: &str, whole: &str, near: Option<&str>) -> Complaint {
    let remedy = near.map_or_else(
        || "add it to the file, or take the path out".to_owned(),
        |near| format!("the nearest is `{near}`"),
    );
    let message = format!("this path leads nowhere: `{}` is not in `{whole}`", shortened(part));
    Complaint::new("unknown-path", message.replace("`the file`", "the file")).help(remedy)
}
