//! How long lines take: a stated model, so that a visit can be planned.

use super::step::{Deed, Step};
use crate::time::Seconds;

/// How long a tester takes for what, s. Common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pace {
    /// For a press.
    pub press: i64,
    /// For a reading.
    pub read: i64,
    /// For a walk to another zone.
    pub walk: i64,
}

impl Pace {
    /// Three seconds a press, five a reading, a minute a walk; timers as they are set.
    pub const USUAL: Self = Self { press: 3, read: 5, walk: 60 };

    /// What a line takes, without the walk to it.
    fn line(self, step: &Step) -> i64 {
        let deed = match &step.deed {
            Deed::Look | Deed::Leave | Deed::Return => 0,
            Deed::Window(_) | Deed::Outdoors(_) => self.press,
            // Setting a clock takes some presses, and the minute must pass.
            Deed::Clock(_) => 60 + 10 * self.press,
            Deed::Wait(time) | Deed::PowerFailure(time) => time.get(),
            Deed::Press { times, .. } => i64::from(*times) * self.press,
            Deed::Restore { requests } => {
                i64::try_from(requests.len()).unwrap_or(i64::MAX).saturating_mul(self.press)
            }
        };
        deed + self.read
    }

    /// What lines take one after the other, each zone's by itself, with the walks between zones.
    pub fn by_zone(self, steps: &[Step], zones: usize) -> Vec<Seconds> {
        let mut all = vec![0; zones];
        let mut at = None;
        for step in steps {
            let zone = step.place.zone;
            let walk = if at == Some(zone) { 0 } else { self.walk };
            all[zone.get()] += walk + self.line(step);
            at = Some(zone);
        }
        all.into_iter().map(Seconds::new).collect()
    }

    /// What lines take together.
    pub fn whole(self, steps: &[Step], zones: usize) -> Seconds {
        Seconds::new(self.by_zone(steps, zones).into_iter().map(Seconds::get).sum())
    }
}
