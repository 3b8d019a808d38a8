//! Where a path into the structure of a file stands in its text.

use super::keys::{Kind, ROOT};
use super::path::{PathStep, PathSteps};
use super::tree::{Node, Place};

/// Follows a path from the root of a file: the place of the value at its end, or of the nearest
/// value around it where it is left out. `None` where the format or the file has no such path.
pub(super) fn locate(root: &Node, path: &str) -> Option<Place> {
    if path.is_empty() {
        return Some(root.place);
    }
    let mut kind = ROOT;
    let (mut node, mut near) = (Some(root), root.place);
    let mut steps = PathSteps::of(path);
    loop {
        let left = steps.rest();
        let Some(step) = steps.next() else { return Some(near) };
        if matches!(kind, Kind::Changes) {
            // The keys of a variant are paths themselves.
            return node?.get(left).map(|value| value.place);
        }
        let inner = node.and_then(|node| node.below(step));
        // Names are the file's own, so one that is not written does not exist; neither does an
        // item, but for those of which the format says how many there are.
        let may_be_left_out = match step {
            PathStep::Key(_) => kind.block().is_some(),
            PathStep::Item(_) => kind.exactly().is_some() && node.is_none(),
            PathStep::Every => false,
        };
        if inner.is_none() && !may_be_left_out {
            return None;
        }
        near = inner.map_or(near, |node| node.place);
        match kind.below(step) {
            Some(below) => kind = below,
            // Words in a list have no kind of their own.
            None => return inner.filter(|_| steps.next().is_none()).map(|_| near),
        }
        node = inner;
    }
}
