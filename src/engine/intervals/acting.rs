//! What acts on zones side by side: outdoor air and gains.

use super::lane::Lane;
use crate::numbers::Number;

/// What acts on the zones in the lanes of one vector.
pub(super) struct Acting<'l, V: Number> {
    token: V::Token,
    lanes: &'l [&'l Lane<'l>],
    nothing: V,
    /// Zones of one case have the outdoor air in common, and those of cases under one weather.
    same_outdoors: bool,
    gains: Gains<V>,
}

/// How gains differ from step to step and from lane to lane. The same zones of several cases have
/// them in common, so that most vectors have one or two kinds.
enum Gains<V: Number> {
    /// In no step: internal and solar, W.
    Steady([V; 2]),
    /// The same in all lanes.
    Alike,
    /// Those of a lane, where the mask is set, and of the first.
    Two(usize, V::Mask),
    /// Each its own.
    Each,
}

impl<V: Number> Gains<V> {
    #[inline(always)]
    fn new(token: V::Token, lanes: &[&Lane<'_>], steps: usize) -> Self {
        let is_steady = |lane: &&Lane<'_>| lane.drivers[0].steady >= steps.min(lane.drivers.len());
        if lanes.iter().all(is_steady) {
            let each = |of: usize| V::from_fn(token, |at| lanes[at].gains(0)[of]);
            return Self::Steady([each(0), each(1)]);
        }
        let alike = |one: &Lane<'_>, other: &Lane<'_>| std::ptr::eq(one.drivers, other.drivers);
        let Some(other) = lanes.iter().position(|lane| !alike(lane, lanes[0])) else {
            return Self::Alike;
        };
        let second = lanes[other];
        if lanes.iter().any(|lane| !alike(lane, lanes[0]) && !alike(lane, second)) {
            return Self::Each;
        }
        Self::Two(other, V::mask_from_fn(token, |at| alike(lanes[at], second)))
    }
}

impl<'l, V: Number> Acting<'l, V> {
    /// What acts over so many steps.
    #[inline(always)]
    pub(super) fn new(token: V::Token, lanes: &'l [&'l Lane<'l>], steps: usize) -> Self {
        let outdoors = lanes[0].outdoors;
        let same_outdoors = lanes.iter().all(|lane| std::ptr::eq(lane.outdoors, outdoors));
        let (nothing, gains) = (V::from_fn(token, |_| 0.0), Gains::new(token, lanes, steps));
        Self { token, lanes, nothing, same_outdoors, gains }
    }

    /// Outdoor air at the start and in the middle of a step, degrees C.
    #[inline(always)]
    pub(super) fn outdoor(&self, step: usize) -> [V; 2] {
        if self.same_outdoors {
            return self.in_all(self.lanes[0].outdoor(step));
        }
        let each = |of: usize| V::from_fn(self.token, |at| self.lanes[at].outdoor(step)[of]);
        [each(0), each(1)]
    }

    /// Internal and solar gains over a step, W.
    #[inline(always)]
    pub(super) fn gains(&self, step: usize) -> [V; 2] {
        match self.gains {
            Gains::Steady(gains) => gains,
            Gains::Alike => self.in_all(self.lanes[0].gains(step)),
            Gains::Two(lane, is_other) => {
                let one = self.in_all(self.lanes[0].gains(step));
                let other = self.in_all(self.lanes[lane].gains(step));
                [V::select(is_other, other[0], one[0]), V::select(is_other, other[1], one[1])]
            }
            Gains::Each => {
                let each = |of: usize| V::from_fn(self.token, |at| self.lanes[at].gains(step)[of]);
                [each(0), each(1)]
            }
        }
    }

    #[inline(always)]
    fn in_all(&self, [one, other]: [f64; 2]) -> [V; 2] {
        [self.nothing.splat(one), self.nothing.splat(other)]
    }
}
