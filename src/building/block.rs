//! Blocks: zones whose air is coupled, directly or through others, and which must therefore be
//! stepped together.

use super::space::{Neighbour, ZoneIndex};

/// Zones that belong together, in file order. A zone without neighbours is a block of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    zones: Vec<ZoneIndex>,
    couplings: Vec<Coupling>,
}

/// A conductance between the air of two zones of a block.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coupling {
    /// Place of one zone within the block.
    pub one: usize,
    /// Place of the other.
    pub other: usize,
    /// W/K.
    pub conductance: f64,
}

impl Block {
    /// Its zones, in file order.
    pub fn zones(&self) -> &[ZoneIndex] {
        &self.zones
    }

    /// What couples them.
    pub fn couplings(&self) -> &[Coupling] {
        &self.couplings
    }
}

impl Coupling {
    /// Heat that goes from one zone to the other at these air temperatures, W.
    pub fn heat(&self, one: f64, other: f64) -> f64 {
        self.conductance * (one - other)
    }
}

/// The blocks that `zones` zones fall into, ordered by their first zones. A neighbour that names
/// a zone past the last is left out, and so is a zone's conductance to itself.
pub fn blocks(zones: usize, neighbours: &[Neighbour]) -> Vec<Block> {
    let mut label: Vec<usize> = (0..zones).collect();
    let inside =
        |it: &&Neighbour| it.one.get() < zones && it.other.get() < zones && it.one != it.other;
    for neighbour in neighbours.iter().filter(inside) {
        let (one, other) = (label[neighbour.one.get()], label[neighbour.other.get()]);
        let (keep, replace) = (one.min(other), one.max(other));
        for label in label.iter_mut().filter(|label| **label == replace) {
            *label = keep;
        }
    }
    (0..zones)
        .filter(|&zone| label[zone] == zone)
        .map(|first| {
            let members = (0..zones).filter(|&zone| label[zone] == first);
            let zones: Vec<ZoneIndex> = members.map(ZoneIndex::new).collect();
            let couplings = couplings(&zones, neighbours);
            Block { zones, couplings }
        })
        .collect()
}

fn couplings(zones: &[ZoneIndex], neighbours: &[Neighbour]) -> Vec<Coupling> {
    let place = |zone| zones.binary_search(&zone).ok();
    neighbours
        .iter()
        .filter(|it| it.one != it.other)
        .filter_map(|it| {
            let (one, other) = (place(it.one)?, place(it.other)?);
            Some(Coupling { one, other, conductance: it.conductance })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn neighbour(one: usize, other: usize) -> Neighbour {
        Neighbour { one: ZoneIndex::new(one), other: ZoneIndex::new(other), conductance: 25.0 }
    }

    fn places(blocks: &[Block]) -> Vec<Vec<usize>> {
        blocks.iter().map(|block| block.zones().iter().map(|zone| zone.get()).collect()).collect()
    }

    #[test]
    fn zones_without_neighbours_stand_alone() {
        assert_eq!(places(&blocks(3, &[])), [[0], [1], [2]]);
    }

    #[test]
    fn a_chain_is_one_block_whatever_its_order() {
        let found = blocks(5, &[neighbour(4, 2), neighbour(0, 3), neighbour(2, 0)]);
        assert_eq!(places(&found), [vec![0, 2, 3, 4], vec![1]]);
        let expected = Coupling { one: 3, other: 1, conductance: 25.0 };
        assert_eq!(found[0].couplings()[0], expected);
    }

    #[test]
    fn a_neighbour_that_is_no_other_zone_couples_nothing() {
        let found = blocks(2, &[neighbour(0, 2), neighbour(1, 1)]);
        assert_eq!(places(&found), [[0], [1]]);
        assert!(found.iter().all(|block| block.couplings().is_empty()));
    }
}
