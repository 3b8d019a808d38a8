//! An outdoor unit that several zones share.

use super::defrost::{Defrost, DefrostCycle, Ice};
use super::share::{Ask, Given};
use super::supply::{ALL, Supply, Totals, Wanted, Way};
use super::tables::{CapacityTable, PartLoadTable};
use crate::direction::Direction;
use crate::time::{Instant, Seconds};

/// Electric heat that helps out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Backup {
    /// Capacity, W.
    pub capacity: f64,
    /// It may help below this outdoor temperature, degrees C.
    pub allowed_below: Option<f64>,
    /// It may help after the heat pump has fallen short for so long.
    pub after: Option<Seconds>,
}

/// An outdoor unit.
#[derive(Clone, Debug, PartialEq)]
pub struct OutdoorUnit {
    /// Whether it can heat some zones while it cools others.
    pub simultaneous: bool,
    /// Heating capacity and COP, if it heats.
    pub heating: Option<CapacityTable>,
    /// Cooling capacity and COP, if it cools.
    pub cooling: Option<CapacityTable>,
    /// COP factor against load ratio; 1 everywhere unless given.
    pub part_load: Option<PartLoadTable>,
    /// Lowest steady output as a part of the capacity; below it the compressor cycles.
    pub lowest_output: f64,
    /// Power that is drawn always, W.
    pub standby: f64,
    /// How long a reversal of the refrigerant circuit delivers nothing.
    pub reversal_time: Seconds,
    /// Shortest rest of the compressor.
    pub min_off: Seconds,
    /// It does not heat below this outdoor temperature, degrees C.
    pub heating_lockout: Option<f64>,
    /// It does not cool above this outdoor temperature, degrees C.
    pub cooling_lockout: Option<f64>,
    /// What defrosting takes, as a factor.
    pub defrost: Option<Defrost>,
    /// Spells of defrosting.
    pub defrost_cycle: Option<DefrostCycle>,
    /// Electric heat that helps out.
    pub backup: Option<Backup>,
}

/// What an outdoor unit remembers from step to step.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct OutdoorMemory {
    /// The direction last worked in, for reversals.
    last: Option<Direction>,
    reversing_until: Option<Instant>,
    short_since: Option<Instant>,
    ice: Ice,
    /// Heat delivered ahead of what was asked while cycling below the lowest output, J.
    ahead: f64,
    phase: Phase,
}

/// Whether the compressor runs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Phase {
    /// No zone calls.
    #[default]
    Idle,
    /// It runs.
    Running,
    /// It rests although somebody asks for a little, having delivered ahead.
    Resting {
        /// When it stopped.
        since: Instant,
    },
}

impl OutdoorUnit {
    /// Capacity in W and COP in a direction at an outdoor temperature, with lockouts and defrost.
    pub fn capacity(&self, direction: Direction, outdoor: f64) -> Option<(f64, f64)> {
        let (table, locked) = match direction {
            Direction::Heating => {
                (&self.heating, self.heating_lockout.is_some_and(|below| outdoor < below))
            }
            Direction::Cooling => {
                (&self.cooling, self.cooling_lockout.is_some_and(|above| outdoor > above))
            }
        };
        let (capacity, cop) = table.as_ref().filter(|_| !locked)?.at(outdoor);
        Some(match self.defrost {
            Some(defrost) if direction == Direction::Heating && defrost.is_on(outdoor) => {
                (capacity * defrost.capacity, cop * defrost.cop)
            }
            _ => (capacity, cop),
        })
    }

    /// Until when the compressor rests at least, where it rests although zones call for a little.
    pub fn rests_until(&self, memory: &OutdoorMemory) -> Option<Instant> {
        match memory.phase {
            Phase::Resting { since } => Some(since + self.min_off),
            Phase::Idle | Phase::Running => None,
        }
    }

    /// Serves what the zones ask for over the step of `step` that begins at `now`, at an outdoor
    /// temperature in degrees C. `given` has one place for each of `asks`.
    pub fn serve(
        &self,
        memory: &mut OutdoorMemory,
        asks: &[Option<Ask>],
        outdoor: f64,
        now: Instant,
        step: Seconds,
        given: &mut [Given],
    ) -> Totals {
        let wanted = Direction::BOTH.map(|direction| Wanted::of(asks, direction));
        let supply = self.supply(memory, wanted, outdoor, now, step);
        for (ask, given) in asks.iter().zip(given.iter_mut()) {
            *given = ask.map_or_else(Given::default, |ask| supply.give(&ask));
        }
        if let Some(part) = self.backup(memory, &supply, outdoor, now) {
            help_out(part, asks, given);
        }
        for (ask, given) in asks.iter().zip(given.iter_mut()) {
            given.full |= ask.is_some_and(|ask| given.heat < ALL * ask.delivered());
        }
        supply.totals
    }

    /// What it gives over the step of what zones ask for, heating and cooling.
    pub fn supply(
        &self,
        memory: &mut OutdoorMemory,
        wanted: [Wanted; 2],
        outdoor: f64,
        now: Instant,
        step: Seconds,
    ) -> Supply {
        let [heating, cooling] = Direction::BOTH;
        let mut ways =
            [self.way(heating, wanted[0], outdoor), self.way(cooling, wanted[1], outdoor)];
        let short = 1.0 - ways[heating as usize].fraction;
        let started = self.cycle(memory, &mut ways, now, step);
        let totals = totals(&ways);
        let alone: f64 = ways.iter().map(Way::power).sum();
        let shared_work = if alone > 0.0 { totals.work / alone } else { 1.0 };
        let reversing = self.reversing_part(memory, &ways, now, step);
        let warm = ways[heating as usize];
        let defrosting = self.defrost_cycle.map_or(0.0, |cycle| {
            cycle.part(&mut memory.ice, warm.share() > 0.0, outdoor, now, step)
        });
        // Heat out of the rooms' air for each watt that they ask for, mean over the step.
        let taken = self.defrost_cycle.map_or(0.0, |cycle| cycle.taken()) * defrosting;
        let taken = if taken > 0.0 { taken * warm.capacity / warm.asked } else { 0.0 };
        Supply {
            ways,
            shared_work,
            reversing,
            defrosting,
            taken,
            short: short + (1.0 - short) * defrosting,
            totals: Totals { started, reversing: reversing > 0.0, ..totals },
        }
    }

    /// One direction. Capacity and COP are looked up where somebody asks for it.
    fn way(&self, direction: Direction, wanted: Wanted, outdoor: f64) -> Way {
        let Wanted { share: asked, power } = wanted;
        if asked <= 0.0 {
            return Way::UNASKED;
        }
        let (capacity, cop) = self.capacity(direction, outdoor).unwrap_or((0.0, 1.0));
        let fraction = if asked > capacity { capacity / asked } else { 1.0 };
        let mut way = Way { asked, power: power / asked, capacity, cop, fraction };
        if let Some(part_load) = &self.part_load {
            way.cop *= part_load.at(way.ratio().max(self.lowest_output));
        }
        way
    }

    /// Below its lowest steady output the compressor runs at that output until it has delivered
    /// ahead what the zones ask for over its shortest rest, then rests until that is used up, and
    /// never shorter than `min_off`. So the zones get what they ask for on average, in bursts.
    /// True where it starts.
    fn cycle(
        &self,
        memory: &mut OutdoorMemory,
        ways: &mut [Way; 2],
        now: Instant,
        step: Seconds,
    ) -> bool {
        let asked: f64 = ways.iter().map(Way::share).sum();
        let ratio = ways.iter().map(Way::ratio).fold(0.0, f64::max);
        let seconds = step.get() as f64;
        let (was, little) = (memory.phase, ratio < self.lowest_output);
        if asked <= 0.0 {
            (memory.ahead, memory.phase) = (0.0, Phase::Idle);
            return false;
        }
        if let Phase::Resting { since } = was
            && (now.since(since) < self.min_off || (little && memory.ahead > 0.0))
        {
            memory.ahead -= asked * seconds;
            scale(ways, 0.0);
            return false;
        }
        memory.phase = Phase::Running;
        if little {
            let burst = self.lowest_output / ratio;
            scale(ways, burst);
            memory.ahead += asked * (burst - 1.0) * seconds;
            if memory.ahead >= asked * self.min_off.get() as f64 {
                memory.phase = Phase::Resting { since: now + step };
            }
        } else {
            memory.ahead = 0.0;
        }
        was != Phase::Running
    }

    /// The part of the step during which the circuit reverses and delivers nothing.
    fn reversing_part(
        &self,
        memory: &mut OutdoorMemory,
        ways: &[Way; 2],
        now: Instant,
        step: Seconds,
    ) -> f64 {
        if self.simultaneous {
            return 0.0;
        }
        let works = Direction::BOTH.into_iter().find(|way| ways[*way as usize].share() > 0.0);
        let Some(direction) = works else { return 0.0 };
        if memory.last == Some(direction.opposite()) {
            memory.reversing_until = Some(now + self.reversal_time);
        }
        memory.last = Some(direction);
        let left = memory.reversing_until.map_or(Seconds::ZERO, |until| until.since(now));
        (left.get() as f64 / step.get() as f64).min(1.0)
    }

    /// The part of each zone's share that backup heat makes up for, where it helps: below its outdoor
    /// temperature, after a shortfall of some time, and while defrosting.
    pub fn backup(
        &self,
        memory: &mut OutdoorMemory,
        supply: &Supply,
        outdoor: f64,
        now: Instant,
    ) -> Option<f64> {
        let missing = supply.missing();
        if missing <= 0.0 {
            memory.short_since = None;
            return None;
        }
        let since = *memory.short_since.get_or_insert(now);
        let backup = self.backup?;
        let allowed = backup.allowed_below.is_some_and(|below| outdoor < below)
            || backup.after.is_some_and(|after| now.since(since) >= after)
            || supply.defrosting > 0.0
            || self.defrost.is_some_and(|defrost| defrost.is_on(outdoor));
        allowed.then(|| (backup.capacity / missing).min(1.0) * supply.short)
    }
}

/// Adds backup heat of this part of each share.
fn help_out(part: f64, asks: &[Option<Ask>], given: &mut [Given]) {
    for (ask, given) in asks.iter().zip(given.iter_mut()) {
        if let Some(ask) = ask.filter(|ask| ask.direction == Direction::Heating) {
            given.backup = ask.share * part;
            given.heat += given.backup;
            given.served |= given.backup > 0.0;
        }
    }
}

fn scale(ways: &mut [Way; 2], factor: f64) {
    for way in ways {
        way.fraction *= factor;
    }
}

/// One compressor for both directions: its power is the larger of what each would need alone. What
/// one side gives off or takes up beyond what the other needs goes outdoors or comes from there, so
/// neither is cut for want of the other.
fn totals(ways: &[Way; 2]) -> Totals {
    let work = ways.iter().map(Way::power).fold(0.0, f64::max);
    let [warm, cold] = ways.map(|way| way.share());
    // What the zones do not take, the outdoor coil does.
    let condenser = warm.max(if cold > 0.0 { cold + work } else { 0.0 });
    let both = warm > 0.0 && cold > 0.0;
    Totals {
        condenser,
        evaporator: condenser - work,
        work,
        recovered: if both { cold.min(warm - work).max(0.0) } else { 0.0 },
        ..Totals::default()
    }
}
