//! What is known of a zone at one moment: for each memory of its thermostat and each range of its
//! sensor's body, bounds of its temperatures.

use super::basis::Basis;
use super::bounds::{AIR, BODY, Bounds, HELD};
use super::interval::Interval;

/// Bounds for each memory and each range of the body; `None` where that cannot be.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Sets {
    ranges: usize,
    slots: Vec<Option<Bounds>>,
}

impl Sets {
    /// Nothing can be yet. `edges` divide the body into ranges.
    pub(super) fn none(edges: &[f64]) -> Self {
        Self { ranges: edges.len() + 1, slots: Vec::new() }
    }

    /// Adds what may be, with a memory.
    pub(super) fn add(&mut self, edges: &[f64], memory: usize, bounds: &Bounds) {
        let needed = (memory + 1) * self.ranges;
        if self.slots.len() < needed {
            self.slots.resize(needed, None);
        }
        let first = edges.partition_point(|edge| *edge < bounds.least(BODY));
        let last = edges.partition_point(|edge| *edge < bounds.most(BODY));
        if first == last {
            return self.put(memory, first, bounds);
        }
        for range in first..=last {
            let low = if range == 0 { f64::NEG_INFINITY } else { edges[range - 1] };
            let high = edges.get(range).copied().unwrap_or(f64::INFINITY);
            if let Some(part) = bounds.within(BODY, low, high) {
                self.put(memory, range, &part);
            }
        }
    }

    fn put(&mut self, memory: usize, range: usize, bounds: &Bounds) {
        match &mut self.slots[memory * self.ranges + range] {
            Some(present) => present.join(bounds),
            empty @ None => *empty = Some(*bounds),
        }
    }

    /// All that can be: memories with bounds.
    pub(super) fn iter(&self) -> impl Iterator<Item = (usize, &Bounds)> {
        let all = self.slots.iter().enumerate();
        all.filter_map(|(at, bounds)| Some((at / self.ranges, bounds.as_ref()?)))
    }

    /// The memories that can be.
    pub(super) fn memories(&self) -> impl Iterator<Item = usize> {
        let all = self.slots.chunks(self.ranges.max(1)).enumerate();
        all.filter(|(_, ranges)| ranges.iter().any(Option::is_some)).map(|(memory, _)| memory)
    }

    /// Everything that can be, joined.
    pub(super) fn joined(&self) -> Option<Bounds> {
        let mut all = self.slots.iter().flatten();
        let mut joined = *all.next()?;
        all.for_each(|bounds| joined.join(bounds));
        Some(joined)
    }

    /// The least and the most of one temperature.
    pub(super) fn range(&self, which: usize) -> Interval {
        let all = self.slots.iter().flatten();
        let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), bounds| {
            (low.min(bounds.least(which)), high.max(bounds.most(which)))
        });
        Interval::between(low, high)
    }

    /// The lowest and the highest temperature that air, mass and body may have alike.
    pub(super) fn alike(&self, basis: Basis) -> Option<(f64, f64)> {
        let all = self.slots.iter().flatten().filter_map(|bounds| bounds.alike(basis));
        all.reduce(|all, it| (all.0.min(it.0), all.1.max(it.1)))
    }

    /// The air's.
    pub(super) fn air(&self) -> Interval {
        self.range(AIR)
    }

    /// The mass's.
    pub(super) fn mass(&self, basis: Basis) -> Interval {
        let all = self.slots.iter().flatten().map(|bounds| bounds.mass(basis));
        all.reduce(Interval::hull).unwrap_or(Interval::ZERO)
    }

    /// The same in a basis, where masses have been followed as they are.
    pub(super) fn based_on(&self, basis: Basis) -> Self {
        let based = |bounds: &Option<Bounds>| bounds.as_ref().map(|it| it.based_on(basis));
        Self { ranges: self.ranges, slots: self.slots.iter().map(based).collect() }
    }

    /// What is left where the mass, followed as it is, lies between two temperatures.
    pub(super) fn with_mass(&self, mass: Interval) -> Self {
        let left = |bounds: &Option<Bounds>| bounds.as_ref()?.within(HELD, mass.low(), mass.high());
        Self { ranges: self.ranges, slots: self.slots.iter().map(left).collect() }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.slots.iter().all(Option::is_none)
    }
}
