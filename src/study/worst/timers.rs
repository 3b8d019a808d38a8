//! Timers as counts: how long a call or a rest has lasted, as a range of steps.

/// Timers of a zone in steps, and in what units its memory counts them.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Timers {
    /// Steps to a unit.
    pub(super) unit: i64,
    pub(super) min_on: i64,
    pub(super) min_off: i64,
    pub(super) changeover_delay: i64,
    /// Counts of rest and of service beyond which nothing changes, in units.
    pub(super) off_cap: u8,
    pub(super) on_cap: u8,
    /// A start may wait for others' compressor for so many steps.
    pub(super) waits: u8,
    /// The plant may give nothing for so many steps after a start,
    pub(super) idle_at_start: u8,
    /// and for so many whenever little was asked for.
    pub(super) idle_after_little: u8,
    /// Whether a call may go without service, so that no timer of it is sure.
    pub(super) shares: bool,
    /// Whether the plant may give nothing in any step of a call that people may end as well: then
    /// pauses of such calls are not counted.
    pub(super) may_pause: bool,
}

impl Timers {
    /// The least steps that a count stands for.
    pub(super) const fn least(&self, age: u8) -> i64 {
        if age == 0 { 0 } else { (age as i64 - 1) * self.unit + 1 }
    }

    /// The most, for a count below its cap.
    pub(super) const fn most(&self, age: u8) -> i64 {
        if age == 0 { self.unit - 1 } else { age as i64 * self.unit }
    }

    /// Counts of so many steps at least end here.
    pub(super) fn cap(&self, steps: i64) -> u8 {
        let units = if steps <= 0 { 0 } else { (steps - 1 + self.unit - 1) / self.unit + 1 };
        u8::try_from(units).unwrap_or(u8::MAX)
    }

    /// Whether a rest of that count may have lasted so many steps.
    pub(super) const fn off_may_be(&self, age: u8, steps: i64) -> bool {
        age >= self.off_cap || self.most(age) >= steps
    }

    /// Whether it has for sure.
    pub(super) const fn off_is(&self, age: u8, steps: i64) -> bool {
        self.least(age) >= steps
    }
}
