//! What the meter adds up in every step: formulas for one zone (one lane, `f64`) or for several side
//! by side, each in its lane.

use crate::numbers::Number;

/// Lowest, highest and sum of a temperature, degrees C.
#[derive(Clone, Copy, Debug)]
pub(super) struct Extent<T = f64> {
    pub(super) lowest: T,
    pub(super) highest: T,
    pub(super) sum: T,
}

impl Extent {
    /// Of no temperature at all.
    pub(super) const NOTHING: Self =
        Self { lowest: f64::INFINITY, highest: f64::NEG_INFINITY, sum: 0.0 };
}

impl<V: Number> Extent<V> {
    /// Adds a temperature in the lanes where it counts.
    #[inline(always)]
    fn add(&mut self, value: V, counts: V::Mask) {
        self.lowest = V::select(counts, self.lowest.min(value), self.lowest);
        self.highest = V::select(counts, self.highest.max(value), self.highest);
        self.sum = V::select(counts, self.sum + value, self.sum);
    }
}

/// Sums of a zone over steps in which its plant works in one direction at most.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sums<T = f64> {
    pub(super) air: Extent<T>,
    /// Operative temperature while occupied.
    pub(super) operative: Extent<T>,
    /// K outside the comfort band, summed over occupied steps.
    pub(super) outside_degrees: T,
    /// Power of the compressor, summed over steps, W.
    pub(super) compressor: T,
    /// Heat that the plant gives or takes, summed over steps, W.
    pub(super) moved: T,
    /// Power of the fan, summed over steps, W.
    pub(super) fan: T,
    /// Part of the outdoor unit's standby power, summed over steps, W.
    pub(super) standby: T,
    /// All electric power, summed over the steps of the present span of the bill, W.
    pub(super) power: T,
    /// Heat that the plant gives or takes in the present bin of opposed heat, J.
    pub(super) heat: T,
}

/// What zones do in a step.
pub(super) struct ZoneStep<V: Number> {
    /// Where the step counts.
    pub(super) counts: V::Mask,
    /// Where a new span of the bill begins.
    pub(super) new_span: V::Mask,
    /// Where a new bin of opposed heat begins.
    pub(super) new_bin: V::Mask,
    /// Air temperature, degrees C.
    pub(super) air: V,
    /// Power of the compressor, W.
    pub(super) compressor: V,
    /// Heat that the plant gives or takes, W.
    pub(super) heat: V,
    /// Power of the fan, W.
    pub(super) fan: V,
    /// Part of the outdoor unit's standby power, W.
    pub(super) standby: V,
    /// All electric power, W.
    pub(super) electric: V,
    /// Length of the step, s.
    pub(super) seconds: V,
}

/// A comfort band, degrees C.
#[derive(Clone, Copy, Debug)]
pub(super) struct Band<V> {
    pub(super) low: V,
    pub(super) high: V,
}

/// Where an operative temperature misses the comfort band.
pub(super) struct Outside<V: Number> {
    /// Where it lies outside.
    pub(super) outside: V::Mask,
    /// Where it lies below.
    pub(super) cold: V::Mask,
}

impl<V: Number> Sums<V> {
    /// Adds a step.
    #[inline(always)]
    pub(super) fn add(&mut self, step: &ZoneStep<V>) {
        let (counts, nothing) = (step.counts, step.air.splat(0.0));
        self.air.add(step.air, counts);
        self.moved = V::select(counts, self.moved + step.heat, self.moved);
        self.compressor = V::select(counts, self.compressor + step.compressor, self.compressor);
        self.fan = V::select(counts, self.fan + step.fan, self.fan);
        self.standby = V::select(counts, self.standby + step.standby, self.standby);
        self.power = V::select(step.new_span, nothing, self.power) + step.electric;
        self.heat = V::select(step.new_bin, nothing, self.heat) + step.heat * step.seconds;
    }

    /// Adds the comfort of a step in the lanes that are occupied, with the operative temperature in
    /// degrees C.
    #[inline(always)]
    pub(super) fn add_comfort(
        &mut self,
        operative: V,
        band: Band<V>,
        occupied: V::Mask,
    ) -> Outside<V> {
        self.operative.add(operative, occupied);
        let nothing = operative.splat(0.0);
        let below = band.low - operative;
        let degrees = below.max(operative - band.high);
        let outside = occupied & !nothing.ge(degrees);
        let sum = self.outside_degrees + degrees;
        self.outside_degrees = V::select(outside, sum, self.outside_degrees);
        Outside { outside, cold: !nothing.ge(below) }
    }
}
