//! Who of several people is in one zone, and what heat they give off.

use std::ops::Add;

use super::stay::Stay;
use crate::time::Instant;

/// The people of one zone over a period: how many there are, and their heat, from one change to
/// the next.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Crowd {
    changes: Vec<Presence>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Presence {
    at: Instant,
    count: u32,
    heat: BodyHeat,
}

/// Heat that people give off, W.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct BodyHeat {
    /// What warms the room.
    pub sensible: f64,
    /// What leaves as water vapour besides.
    pub latent: f64,
}

impl Add for BodyHeat {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        let (sensible, latent) = (self.sensible + other.sensible, self.latent + other.latent);
        Self { sensible, latent }
    }
}

impl Crowd {
    /// The crowd of people with these stays and their heat.
    pub fn of(people: &[(&[Stay], BodyHeat)]) -> Self {
        let stays = |of: &[Stay]| -> Vec<Stay> { of.to_vec() };
        let mut edges: Vec<(Instant, usize, bool)> = people
            .iter()
            .enumerate()
            .flat_map(|(who, (own, _))| {
                stays(own)
                    .into_iter()
                    .flat_map(move |it| [(it.from, who, true), (it.to, who, false)])
            })
            .collect();
        edges.sort_unstable();
        let mut there = vec![false; people.len()];
        let mut changes: Vec<Presence> = Vec::new();
        for (at, who, comes) in edges {
            there[who] = comes;
            let present = there.iter().zip(people).filter(|(there, _)| **there);
            // Added up anew in the order of the file, so that no rounding piles up.
            let nobody = (0, BodyHeat::default());
            let (count, heat) =
                present.fold(nobody, |sum, (_, (_, heat))| (sum.0 + 1, sum.1 + *heat));
            match changes.last_mut() {
                Some(last) if last.at == at => *last = Presence { at, count, heat },
                _ => changes.push(Presence { at, count, heat }),
            }
        }
        Self { changes }
    }

    /// Whether anybody ever is there.
    pub fn is_empty(&self) -> bool {
        self.changes.is_empty()
    }

    /// How many are there at an instant.
    pub fn count(&self, at: Instant) -> u32 {
        self.last_change(at).map_or(0, |change| change.count)
    }

    /// The heat they give off at an instant.
    pub fn heat(&self, at: Instant) -> BodyHeat {
        self.last_change(at).map_or(BodyHeat::default(), |change| change.heat)
    }

    /// The next instant at which somebody comes or goes.
    pub fn next_change(&self, after: Instant) -> Option<Instant> {
        let next = self.changes.partition_point(|change| change.at <= after);
        self.changes.get(next).map(|change| change.at)
    }

    /// When the last of them went, where nobody is there and somebody was.
    pub fn empty_since(&self, at: Instant) -> Option<Instant> {
        self.last_change(at).filter(|change| change.count == 0).map(|change| change.at)
    }

    fn last_change(&self, at: Instant) -> Option<&Presence> {
        let next = self.changes.partition_point(|change| change.at <= at);
        self.changes[..next].last()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stay(from: i64, to: i64) -> Stay {
        Stay { from: Instant::new(from), to: Instant::new(to), goes_home: true }
    }

    #[test]
    fn people_add_up_while_they_are_there() {
        let (ann, bo) = ([stay(10, 40), stay(60, 80)], [stay(20, 60)]);
        let heat = |sensible| BodyHeat { sensible, latent: sensible / 2.0 };
        let crowd = Crowd::of(&[(&ann, heat(70.0)), (&bo, heat(80.0))]);
        let at = |second| {
            let (at, count) = (Instant::new(second), crowd.count(Instant::new(second)));
            assert_eq!(crowd.heat(at).latent, crowd.heat(at).sensible / 2.0);
            (count, crowd.heat(at).sensible)
        };
        assert_eq!([at(9), at(10), at(20), at(40)], [(0, 0.0), (1, 70.0), (2, 150.0), (1, 80.0)]);
        assert_eq!([at(59), at(60), at(80)], [(1, 80.0), (1, 70.0), (0, 0.0)]);
        assert_eq!(crowd.next_change(Instant::new(20)), Some(Instant::new(40)));
        assert_eq!(crowd.next_change(Instant::new(80)), None);
        assert_eq!(crowd.empty_since(Instant::new(90)), Some(Instant::new(80)));
        assert_eq!(crowd.empty_since(Instant::new(70)), None);
        assert!(Crowd::default().is_empty() && Crowd::default().count(Instant::START) == 0);
    }
}
