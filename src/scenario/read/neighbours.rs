//! Conductances between the air of two zones.

use std::collections::HashMap;

use crate::building::{Neighbour, ZoneIndex};
use crate::scenario::fault::Complaint;
use crate::scenario::fields::{Fields, number_of};
use crate::scenario::keys::{Kind, SPACE};
use crate::scenario::near::nearest;
use crate::scenario::shown::shortened;
use crate::scenario::tree::{Entry, Node};

/// The most zones that hang together, as the scenario format has it.
const MOST_TOGETHER: usize = 64;

/// Reads `space.neighbours` of every zone.
pub(super) fn read(file: &Fields) -> Vec<Neighbour> {
    let zones = file.node("zones").map_or(&[][..], Node::entries);
    let index: HashMap<&str, usize> =
        zones.iter().enumerate().map(|(place, entry)| (&*entry.key, place)).collect();
    let mut blocks = Blocks::new(zones.len());
    let mut first_at = HashMap::new();
    let mut neighbours = Vec::new();
    let all = file.path.key("zones");
    for (one, zone) in zones.iter().enumerate() {
        let list = zone.node.get("space").and_then(|space| space.get("neighbours"));
        let (zone_path, space) = (all.key(&zone.key), "space");
        let space_path = zone_path.key(space);
        let path = space_path.key("neighbours");
        for entry in list.map_or(&[][..], Node::entries) {
            let path = path.key(&entry.key);
            let complain = |complaint| file.checker.fault(entry.place, &path, || complaint);
            let Some(&other) = index.get(&*entry.key) else {
                file.checker.fault(entry.place, &path, || unknown_zone(&entry.key, zones));
                continue;
            };
            let pair = (one.min(other), one.max(other));
            if one == other {
                complain(
                    Complaint::new("neighbour", "a zone cannot be its own neighbour")
                        .help("name the zone on the other side"),
                );
            } else if let Some(line) = first_at.insert(pair, entry.place.line) {
                let message = format!("these two zones are neighbours already: line {line}");
                complain(Complaint::new("neighbour", message).help("give it once, at either end"));
            } else if blocks.join(one, other) > MOST_TOGETHER {
                complain(too_many_together());
                return neighbours;
            }
            neighbours.extend(conductance(file, entry).map(|conductance| Neighbour {
                one: ZoneIndex::new(one),
                other: ZoneIndex::new(other),
                conductance,
            }));
        }
    }
    neighbours
}

fn conductance(file: &Fields, entry: &Entry) -> Option<f64> {
    let Kind::ByName(kind) = SPACE.key("neighbours")?.kind else { return None };
    number_of(&entry.node, kind, file.checker.unit)
}

/// The complaint about a zone that the file does not have.
pub(super) fn unknown_zone(name: &str, zones: &[Entry]) -> Complaint {
    let near = nearest(name, zones.iter().map(|entry| &*entry.key));
    let remedy = near.map_or_else(
        || "add it under `zones`".to_owned(),
        |near| format!("the nearest zone is `{near}`"),
    );
    Complaint::new("unknown-zone", format!("there is no zone `{}`", shortened(name))).help(remedy)
}

fn too_many_together() -> Complaint {
    let message = format!("more than {MOST_TOGETHER} zones hang together by their neighbours");
    Complaint::new("too-large", message).help("leave out the weakest conductances")
}

/// Which zones hang together.
struct Blocks {
    above: Vec<usize>,
    size: Vec<usize>,
}

impl Blocks {
    fn new(count: usize) -> Self {
        Self { above: (0..count).collect(), size: vec![1; count] }
    }

    fn top(&mut self, mut zone: usize) -> usize {
        while self.above[zone] != zone {
            self.above[zone] = self.above[self.above[zone]];
            zone = self.above[zone];
        }
        zone
    }

    /// Joins the blocks of two zones and says how many zones they have together.
    fn join(&mut self, one: usize, other: usize) -> usize {
        let (one, other) = (self.top(one), self.top(other));
        if one == other {
            return self.size[one];
        }
        let (small, large) =
            if self.size[one] < self.size[other] { (one, other) } else { (other, one) };
        self.above[small] = large;
        self.size[large] += self.size[small];
        self.size[large]
    }
}
