//! How long lines take: a stated model, so that a visit can be planned.

use super::plants::plants;
use super::step::{Deed, Step};
use crate::engine::Model;
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
    pub(super) fn line(self, step: &Step) -> i64 {
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

    /// What lines take in their order, each zone's by itself, with the walks between zones. A wait takes
    /// what is left of it once the tester is there ([`since`](super::since)).
    pub fn by_zone(self, model: &Model, steps: &[Step]) -> Vec<Seconds> {
        let mut all = vec![0; model.zones.len()];
        for (step, [took, _]) in steps.iter().zip(self.clocked(model, steps)) {
            all[step.place.zone.get()] += took;
        }
        all.into_iter().map(Seconds::new).collect()
    }

    /// What lines take together.
    pub fn whole(self, model: &Model, steps: &[Step]) -> Seconds {
        Seconds::new(self.clocked(model, steps).iter().map(|[took, _]| took).sum())
    }

    /// How much of it somebody waits with nothing to do.
    pub fn waiting(self, model: &Model, steps: &[Step]) -> Seconds {
        Seconds::new(self.clocked(model, steps).iter().map(|[_, idle]| idle).sum())
    }

    /// What each line takes with the walk to it, and how much of it is idle, s.
    fn clocked(self, model: &Model, steps: &[Step]) -> Vec<[i64; 2]> {
        let plants = plants(model);
        let mut done: Vec<Option<i64>> = vec![None; plants.len()];
        let (mut now, mut at) = (0, None);
        let mut all = Vec::with_capacity(steps.len());
        for step in steps {
            let (zone, begin) = (step.place.zone, now);
            now += if at == Some(zone) { 0 } else { self.walk };
            let last = &mut done[plants[zone.get()]];
            let idle = match step.deed {
                Deed::Wait(time) => last.map_or(time.get(), |it| (it + time.get() - now).max(0)),
                Deed::PowerFailure(time) => time.get(),
                _ => 0,
            };
            now += match step.deed {
                Deed::Wait(_) => idle + self.read,
                _ => self.line(step),
            };
            (*last, at) = (Some(now), Some(zone));
            all.push([now - begin, idle]);
        }
        all
    }
}
