//! Where something stands in a file that has been read.

use super::study::Study;
use super::tree::{Node, Place};

impl Study {
    /// Line and column, both from 1, of what a path leads to: `zones.hall.controls.heat`,
    /// `actions[2].at`. Where the file leaves it out, of the innermost block around it; `None`
    /// where not even the first part is there.
    pub fn place(&self, path: &str) -> Option<(u32, u32)> {
        let mut node = self.root();
        let mut found: Option<Place> = None;
        for part in path.split('.') {
            let (key, items) = part.split_once('[').unwrap_or((part, ""));
            let Some(entry) = node.entries().iter().find(|entry| &*entry.key == key) else { break };
            (found, node) = (Some(entry.place), &entry.node);
            for item in items.split('[').filter(|item| !item.is_empty()) {
                let Some(inner) = item_of(node, item) else { break };
                (found, node) = (Some(inner.place), inner);
            }
        }
        found.map(|place| (place.line, place.column))
    }
}

/// The item that `2]` names.
fn item_of<'n>(node: &'n Node, item: &str) -> Option<&'n Node> {
    let place: usize = item.strip_suffix(']')?.parse().ok()?;
    node.items().get(place)
}

#[cfg(test)]
mod tests {
    use crate::scenario::read;

    #[test]
    fn paths_find_their_place_or_the_block_around_it() {
        let text = "\
period: {from: 2025-04-16}
weather: {design_day: {high: 18, range: 11}}
zones:
  hall:
    space: {floor: 40 m2}
    unit: {heating: 3 kW, cooling: 3 kW}
    controls:
      heat: 20
      cool: 24
actions:
  - {at: \"08:00\", zone: hall, heat: 21}
  - {at: \"09:00\", zone: hall, cool: 25}
";
        let study = read(text, "hall.yaml", &|_| Err(String::new())).expect("a sound file");
        for (path, place) in [
            ("zones.hall.controls.heat", Some((8, 7))),
            ("zones.hall.controls.limits.heat", Some((7, 5))),
            ("zones.hall.unit.heating", Some((6, 12))),
            ("actions[1]", Some((12, 5))),
            ("actions[1].cool", Some((12, 31))),
            ("actions[7].cool", Some((10, 1))),
            ("nowhere", None),
        ] {
            assert_eq!(study.place(path), place, "{path}");
        }
    }
}
