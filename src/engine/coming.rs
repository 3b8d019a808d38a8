//! When a schedule has somebody come next (rule 11).

use crate::time::{DAY, Instant, Period, Seconds, Span};

/// No schedule is searched further ahead for when somebody comes.
const SEARCH: Seconds = Seconds::new(8 * DAY);

/// When somebody comes next, as far as the schedule has been searched.
#[derive(Clone, Copy, Debug)]
pub(super) struct Coming {
    /// When; `None` where nobody comes as far as the search went.
    at: Option<Instant>,
    /// What is written here holds before this.
    valid_until: Instant,
}

impl Coming {
    /// Nothing has been searched.
    pub(super) const UNKNOWN: Self = Self { at: None, valid_until: Instant::new(i64::MIN) };

    /// When somebody comes, seen from an instant at which nobody is there.
    pub(super) fn seek(
        &mut self,
        spans: &[Span],
        period: &Period,
        now: Instant,
    ) -> Option<Instant> {
        if now >= self.valid_until {
            self.at = next_start(spans, period, now);
            self.valid_until = self.at.unwrap_or(now + Seconds::new(DAY));
        }
        self.at
    }
}

/// The next instant at which a span holds, after one at which none does.
fn next_start(spans: &[Span], period: &Period, now: Instant) -> Option<Instant> {
    let mut at = now;
    while at < now + SEARCH {
        at = period.next_on_clocks(at, spans.iter().flat_map(|span| [span.from(), span.to()]));
        if spans.iter().any(|span| span.contains(period, at)) {
            return Some(at);
        }
    }
    None
}
