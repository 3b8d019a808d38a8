//! What a file writes for all of its zones at once, under `every_zone`.
//!
//! It has the syntax of a zone. Blocks are joined key by key, at any depth; a value or a list that a
//! zone has of its own stands for the one here.

use super::fault::Complaint;
use super::tree::{Entry, Node, Value};

/// Its key.
pub(super) const KEY: &str = "every_zone";
/// The most values that may come of it in all zones together.
const MOST: usize = 1_000_000;

/// Lets every zone have what is written for all of them, below what it has of its own. What an
/// earlier call left in the zones is taken out first, so that it may be called after each change.
///
/// # Errors
/// It holds too much for so many zones; then they are left as they are.
pub(super) fn spread(root: &mut Node) -> Result<(), Complaint> {
    let Some(shared) = root.get(KEY).cloned() else { return Ok(()) };
    let Some(Value::Block(zones)) = root.get_mut("zones").map(|zones| &mut zones.value) else {
        return Ok(());
    };
    if shared.size().saturating_mul(zones.len()) > MOST {
        let message = format!("so much for each of {} zones is too much", zones.len());
        return Err(Complaint::new("too-large", message).help("split the file"));
    }
    for zone in zones {
        withdraw(&mut zone.node);
        join(&mut zone.node, &shared);
    }
    Ok(())
}

/// Takes out what was written for all zones.
fn withdraw(node: &mut Node) {
    let Value::Block(entries) = &mut node.value else { return };
    entries.retain_mut(|entry| {
        withdraw(&mut entry.node);
        // A block that came with others may have got keys of the zone's own since.
        let has_own = !entry.node.entries().is_empty();
        !entry.inherited || has_own
    });
}

/// Adds what a node lacks.
fn join(own: &mut Node, shared: &Node) {
    let Value::Block(offered) = &shared.value else { return };
    if own.is_null() {
        own.value = Value::Block(Vec::new());
    }
    let Value::Block(entries) = &mut own.value else { return };
    for offer in offered {
        match entries.iter_mut().find(|entry| entry.key == offer.key) {
            Some(entry) => join_below(&mut entry.node, &offer.node),
            None => entries.push(inherited(offer)),
        }
    }
}

/// The same below a zone: there a key that is written without a value is a slip and no empty block.
fn join_below(own: &mut Node, shared: &Node) {
    if !own.is_null() {
        join(own, shared);
    }
}

/// An entry as zones have it that have none of their own.
fn inherited(entry: &Entry) -> Entry {
    marked(entry, true)
}

/// An entry as a zone has it that has it of its own.
pub(super) fn owned(entry: &Entry) -> Entry {
    marked(entry, false)
}

fn marked(entry: &Entry, inherited: bool) -> Entry {
    let mut copy = entry.clone();
    if let Value::Block(entries) = &mut copy.node.value {
        for entry in entries {
            *entry = marked(entry, inherited);
        }
    }
    copy.inherited = inherited;
    copy
}

#[cfg(test)]
mod tests {
    use super::super::fault::Sink;
    use super::super::parse::parse;
    use super::*;

    fn spread_in(text: &str) -> Node {
        let mut root = parse(text, &Sink::default()).expect("YAML");
        spread(&mut root).expect("it is little");
        root
    }

    fn text<'n>(root: &'n Node, path: &[&str]) -> Option<&'n str> {
        path.iter().try_fold(root, |node, key| node.get(key))?.text()
    }

    #[test]
    fn blocks_are_joined_and_values_and_lists_stand_for_others() {
        let root = spread_in(
            "every_zone: {label: all, controls: {heat: 20, setback: {heat: 3, cool: 4}, \
             return_at: [1, 2]}}\nzones:\n  hall: {controls: {heat: 21, setback: {heat: 5}, \
             return_at: [3]}}\n  store:\n",
        );
        let at = |path: &[&str]| text(&root, path);
        assert_eq!(at(&["zones", "hall", "controls", "heat"]), Some("21"));
        assert_eq!(at(&["zones", "hall", "controls", "setback", "heat"]), Some("5"));
        assert_eq!(at(&["zones", "hall", "controls", "setback", "cool"]), Some("4"));
        assert_eq!(at(&["zones", "hall", "label"]), Some("all"));
        assert_eq!(at(&["zones", "store", "controls", "heat"]), Some("20"));
        let hall = root.get("zones").and_then(|zones| zones.get("hall")).expect("a zone");
        let returns = hall.get("controls").and_then(|it| it.get("return_at")).expect("a list");
        assert!(matches!(&returns.value, Value::List(items) if items.len() == 1));
    }

    #[test]
    fn spreading_again_follows_what_has_changed() {
        let mut root =
            spread_in("every_zone: {controls: {heat: 20, setback: {heat: 3}}}\nzones: {hall: {}}");
        let before = format!("{root:?}");
        spread(&mut root).expect("it is little");
        assert_eq!(format!("{root:?}"), before);
        *root.get_mut(KEY).expect("there") =
            parse("controls: {cool: 25}", &Sink::default()).expect("YAML");
        spread(&mut root).expect("it is little");
        assert_eq!(text(&root, &["zones", "hall", "controls", "cool"]), Some("25"));
        assert_eq!(text(&root, &["zones", "hall", "controls", "heat"]), None);
        let controls = root.get("zones").and_then(|it| it.get("hall")?.get("controls"));
        assert!(controls.is_some_and(|it| it.get("setback").is_none()));
    }

    #[test]
    fn what_would_be_too_much_is_refused() {
        let many = (0..1000).map(|zone| format!("z{zone}: {{}}")).collect::<Vec<_>>().join(", ");
        let gains = vec!["1"; 2000].join(", ");
        let text = format!("every_zone: {{gains: [{gains}]}}\nzones: {{{many}}}");
        let mut root = parse(&text, &Sink::default()).expect("YAML");
        assert_eq!(spread(&mut root).expect_err("2,000,000 values").code, "too-large");
        assert!(root.get("zones").is_some_and(|zones| zones.size() == 1001));
    }
}
