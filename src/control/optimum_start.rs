//! Optimum start (rule 11): the stored setpoints begin to work so long before somebody comes that
//! the zone is ready then, and how long that takes is learned from day to day.
//!
//! The method is the simplest that adapts: a rate of recovery for heating and one for cooling, in
//! degrees an hour. Recovery begins when what is missing, divided by the rate, is as long as the
//! time that is left. A zone is ready within `call_start` of its setpoint: proportional output
//! never brings it further. At the end the rate moves halfway to the one just seen. A recovery in which
//! the zone was switched off, in another mode, starved or given other setpoints teaches nothing.

use super::thermostat::WorkingSetpoints;
use crate::direction::Direction;
use crate::time::{Instant, Seconds};

/// How early recovery may begin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OptimumStart {
    /// At most so long before somebody comes.
    pub most: Seconds,
}

/// The rate before anything is learned, K/h: the slow end of what is usual on a design day
/// (common practice, no source).
pub const FIRST_RATE: f64 = 1.0;
/// The slowest rate that is believed, as a part of the first: below it nothing would be planned
/// that the longest allowed start does not cover.
const SLOWEST: f64 = 0.05;
/// How far the rate moves to what was seen.
const WEIGHT: f64 = 0.5;
/// Shorter recoveries say little about the rate.
const SHORTEST_LESSON: Seconds = Seconds::minutes(10);

/// What a zone has learned about its recovery, and the one under way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Recovery {
    /// Degrees of the file's unit an hour: heating, cooling.
    rates: [f64; 2],
    slowest: f64,
    under_way: Option<UnderWay>,
}

/// A recovery under way.
#[derive(Clone, Copy, Debug, PartialEq)]
struct UnderWay {
    direction: Direction,
    since: Instant,
    /// When somebody comes.
    until: Instant,
    /// What the sensor read at its start.
    from: f64,
    /// What the sensor must read for the zone to be ready.
    to: f64,
}

/// A recovery that ought to begin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RecoveryPlan {
    /// Heating or cooling.
    pub direction: Direction,
    /// How many degrees of the file's unit are missing.
    pub missing: f64,
    /// Degrees an hour that it counts on.
    pub rate: f64,
}

impl Recovery {
    /// Before anything is learned. `degree` is one kelvin in the file's unit.
    pub fn new(degree: f64) -> Self {
        let first = FIRST_RATE * degree;
        Self { rates: [first; 2], slowest: SLOWEST * first, under_way: None }
    }

    /// Degrees an hour that a direction is believed to bring.
    pub const fn rate(&self, direction: Direction) -> f64 {
        self.rates[direction as usize]
    }

    /// Whether a recovery is under way.
    pub const fn is_under_way(&self) -> bool {
        self.under_way.is_some()
    }

    /// The recovery that must begin now for the zone to be ready at `until`, if it is time.
    /// `ready` is what the sensor must read then (within `call_start` of the setpoints that will
    /// work), `sensed` what it reads.
    pub fn due(
        &self,
        optimum: OptimumStart,
        now: Instant,
        until: Instant,
        sensed: f64,
        ready: WorkingSetpoints,
    ) -> Option<RecoveryPlan> {
        let left = until.since(now);
        if self.under_way.is_some() || left > optimum.most || now >= until {
            return None;
        }
        let (direction, missing) = missing(sensed, ready)?;
        let rate = self.rate(direction);
        let takes = missing / rate * 3600.0;
        (takes >= left.get() as f64).then_some(RecoveryPlan { direction, missing, rate })
    }

    /// A planned recovery begins.
    pub fn begin(&mut self, plan: RecoveryPlan, now: Instant, until: Instant, sensed: f64) {
        let RecoveryPlan { direction, missing, .. } = plan;
        let to = sensed + direction.sign() * missing;
        self.under_way = Some(UnderWay { direction, since: now, until, from: sensed, to });
    }

    /// One more step of a recovery: `undisturbed` says whether the zone could have had what it
    /// needed in its direction. At its end, or where somebody comes, it teaches its rate.
    pub fn note(
        &mut self,
        now: Instant,
        sensed: f64,
        ready: WorkingSetpoints,
        undisturbed: impl FnOnce(Direction) -> bool,
    ) {
        let Some(under_way) = self.under_way else { return };
        let UnderWay { direction, since, until, from, to } = under_way;
        let aim = match direction {
            Direction::Heating => ready.heat,
            Direction::Cooling => ready.cool,
        };
        if !undisturbed(direction) || (aim - to).abs() > super::rounding::ROUNDING {
            self.forget();
            return;
        }
        let gained = direction.sign() * (sensed - from);
        let reached = direction.sign() * (sensed - to) >= 0.0;
        if !reached && now < until {
            return;
        }
        self.under_way = None;
        let took = now.since(since);
        let rate = &mut self.rates[direction as usize];
        // What is reached sooner says little about the rate, but that it is no slower than this.
        let counted = took.get().max(SHORTEST_LESSON.get());
        let seen = (gained / Seconds::new(counted).in_hours()).max(self.slowest);
        if took >= SHORTEST_LESSON || seen > *rate {
            *rate += WEIGHT * (seen - *rate);
        }
    }

    /// What is under way teaches nothing.
    pub const fn forget(&mut self) {
        self.under_way = None;
    }
}

/// In which direction a zone must move to be ready, and how far.
fn missing(sensed: f64, ready: WorkingSetpoints) -> Option<(Direction, f64)> {
    let (cold, warm) = (ready.heat - sensed, sensed - ready.cool);
    if cold > 0.0 {
        Some((Direction::Heating, cold))
    } else if warm > 0.0 {
        Some((Direction::Cooling, warm))
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const STORED: WorkingSetpoints = WorkingSetpoints::new(20.0, 24.0);
    const OPENS: Instant = Instant::new(8 * 3600);
    const THREE_HOURS: OptimumStart = OptimumStart { most: Seconds::hours(3) };

    fn clock(hours: i64, minutes: i64) -> Instant {
        Instant::new(hours * 3600 + minutes * 60)
    }

    /// When a recovery begins for a zone that stays at a temperature until then.
    fn begins(recovery: &Recovery, sensed: f64) -> Option<Instant> {
        let minutes = (0..8 * 60).map(|minute| clock(0, minute));
        minutes
            .into_iter()
            .find(|now| recovery.due(THREE_HOURS, *now, OPENS, sensed, STORED).is_some())
    }

    /// One morning: from `sensed` at so many degrees an hour, until ready or opening.
    fn morning(recovery: &mut Recovery, from: f64, truly: f64, disturbed: bool) {
        let start = begins(recovery, from).expect("it begins");
        let plan = recovery.due(THREE_HOURS, start, OPENS, from, STORED).expect("due");
        recovery.begin(plan, start, OPENS, from);
        let mut now = start;
        while recovery.is_under_way() {
            now = now + Seconds::minutes(1);
            let sensed = from + truly * now.since(start).in_hours();
            recovery.note(now, sensed, STORED, |_| !disturbed);
        }
    }

    #[test]
    fn recovery_begins_as_early_as_the_rate_says_and_never_earlier_than_allowed() {
        let recovery = Recovery::new(1.0);
        assert_eq!(begins(&recovery, 18.5), Some(clock(6, 30)));
        assert_eq!(begins(&recovery, 12.0), Some(clock(5, 0)));
        assert_eq!(begins(&recovery, 26.0), Some(clock(6, 0)));
        assert_eq!(begins(&recovery, 22.0), None);
    }

    #[test]
    fn the_lead_comes_to_what_the_zone_needs() {
        for truly in [0.8, 1.7, 4.0] {
            let mut recovery = Recovery::new(1.0);
            for _ in 0..12 {
                morning(&mut recovery, 18.0, truly, false);
            }
            assert_relative_eq!(recovery.rate(Direction::Heating), truly, epsilon = 0.06);
            assert_relative_eq!(recovery.rate(Direction::Cooling), FIRST_RATE);
        }
    }

    #[test]
    fn a_recovery_that_was_disturbed_teaches_nothing() {
        let mut recovery = Recovery::new(1.0);
        morning(&mut recovery, 18.0, 0.0, true);
        assert_eq!(recovery, Recovery::new(1.0));
        // Nor does one whose setpoint somebody moves.
        let plan = recovery.due(THREE_HOURS, clock(7, 0), OPENS, 18.0, STORED).expect("due");
        recovery.begin(plan, clock(7, 0), OPENS, 18.0);
        let moved = WorkingSetpoints::new(21.0, 24.0);
        recovery.note(clock(7, 30), 18.5, moved, |_| true);
        assert_eq!(recovery, Recovery::new(1.0));
    }

    #[test]
    fn a_zone_that_does_not_warm_at_all_starts_as_early_as_it_may() {
        let mut recovery = Recovery::new(1.0);
        for _ in 0..20 {
            morning(&mut recovery, 18.0, -0.1, false);
        }
        assert!(recovery.rate(Direction::Heating) > 0.0);
        assert_eq!(begins(&recovery, 19.0), Some(clock(5, 0)));
    }
}
