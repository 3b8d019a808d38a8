//! An outdoor unit that several zones share.

use super::defrost::{Defrost, DefrostCycle, Ice};
use super::share::{Ask, Given, POWER_WHILE_REVERSING, power_per_heat};
use super::tables::{CapacityTable, PartLoadTable};
use crate::direction::Direction;
use crate::time::{Instant, Seconds};

/// All, but for rounding.
const ALL: f64 = 1.0 - 1e-9;

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

/// What the whole unit did in one step, W.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Totals {
    /// Whether the compressor started in this step.
    pub started: bool,
    /// Whether the step is spent, at least in part, reversing.
    pub reversing: bool,
    /// Heat given off at the condenser.
    pub condenser: f64,
    /// Heat taken up at the evaporator.
    pub evaporator: f64,
    /// Compressor power at this output.
    pub work: f64,
    /// Heat moved from cooled zones to heated ones.
    pub recovered: f64,
}

/// What the heat pump does not give of what zones ask for when heating.
#[derive(Clone, Copy, Debug)]
struct Lack {
    /// The part of each zone's share.
    part: f64,
    /// Whether it defrosts.
    defrosting: bool,
}

/// One direction of a step: what is asked and what part of it can be given.
#[derive(Clone, Copy, Debug)]
struct Way {
    asked: f64,
    /// Electric power over that which goes with what is asked at the COP.
    power: f64,
    capacity: f64,
    cop: f64,
    fraction: f64,
}

impl Way {
    fn share(&self) -> f64 {
        self.asked * self.fraction
    }

    fn ratio(&self) -> f64 {
        if self.capacity > 0.0 { self.share() / self.capacity } else { 0.0 }
    }

    /// Compressor power that this direction would need alone.
    fn power(&self) -> f64 {
        if self.asked > 0.0 { self.share() * self.power / self.cop } else { 0.0 }
    }
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
        let mut ways = Direction::BOTH.map(|direction| self.way(direction, asks, outdoor));
        let short = 1.0 - ways[Direction::Heating as usize].fraction;
        let started = self.cycle(memory, &mut ways, now, step);
        let mut totals = totals(&ways);
        let alone: f64 = ways.iter().map(Way::power).sum();
        let shared_work = if alone > 0.0 { totals.work / alone } else { 1.0 };
        let reversing = self.reversing_part(memory, &ways, now, step);
        let heating = ways[Direction::Heating as usize];
        let defrosting = self.defrost_cycle.map_or(0.0, |cycle| {
            cycle.part(&mut memory.ice, heating.share() > 0.0, outdoor, now, step)
        });
        // Heat out of the rooms' air for each watt that they ask for, mean over the step.
        let taken = self.defrost_cycle.map_or(0.0, |cycle| cycle.taken()) * defrosting;
        let taken = if taken > 0.0 { taken * heating.capacity / heating.asked } else { 0.0 };
        for (ask, given) in asks.iter().zip(given.iter_mut()) {
            *given = ask.map_or_else(Given::default, |ask| {
                let way = &ways[ask.direction as usize];
                let share = ask.share * way.fraction;
                let (defrosting, taken) = match ask.direction {
                    Direction::Heating => (defrosting, ask.share * taken),
                    Direction::Cooling => (0.0, 0.0),
                };
                let lost = (1.0 - reversing) * (1.0 - defrosting);
                Given {
                    heat: share * ask.sensible * ask.rise * lost - taken,
                    compressor: share
                        * ask.power
                        * power_per_heat(way.cop)
                        * shared_work
                        * (1.0 - (1.0 - POWER_WHILE_REVERSING) * reversing),
                    backup: 0.0,
                    served: share > 0.0,
                    full: ask.full,
                }
            });
        }
        let short = short + (1.0 - short) * defrosting;
        let lack = Lack { part: short, defrosting: defrosting > 0.0 };
        self.help_out(memory, asks, lack, outdoor, now, given);
        for (ask, given) in asks.iter().zip(given.iter_mut()) {
            given.full |= ask.is_some_and(|ask| given.heat < ALL * ask.delivered());
        }
        totals.started = started;
        totals.reversing = reversing > 0.0;
        totals
    }

    fn way(&self, direction: Direction, asks: &[Option<Ask>], outdoor: f64) -> Way {
        let of_this_way = asks.iter().flatten().filter(|ask| ask.direction == direction);
        let asked: f64 = of_this_way.clone().map(|ask| ask.share).sum();
        let power: f64 = of_this_way.map(|ask| ask.share * ask.power).sum();
        let power = if asked > 0.0 { power / asked } else { 1.0 };
        let (capacity, cop) = self.capacity(direction, outdoor).unwrap_or((0.0, 1.0));
        let fraction = if asked > capacity { capacity / asked } else { 1.0 };
        let mut way = Way { asked, power, capacity, cop, fraction };
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

    /// Backup heat makes up for what the heat pump falls short of, `short` being the part of each
    /// zone's share that it does not give. It helps below its outdoor temperature, after a
    /// shortfall of some time, and while defrosting.
    fn help_out(
        &self,
        memory: &mut OutdoorMemory,
        asks: &[Option<Ask>],
        Lack { part: short, defrosting }: Lack,
        outdoor: f64,
        now: Instant,
        given: &mut [Given],
    ) {
        let heating = asks.iter().flatten().filter(|ask| ask.direction == Direction::Heating);
        let missing = heating.map(|ask| ask.share).sum::<f64>() * short;
        if missing <= 0.0 {
            memory.short_since = None;
            return;
        }
        let since = *memory.short_since.get_or_insert(now);
        let Some(backup) = self.backup else { return };
        let allowed = backup.allowed_below.is_some_and(|below| outdoor < below)
            || backup.after.is_some_and(|after| now.since(since) >= after)
            || defrosting
            || self.defrost.is_some_and(|defrost| defrost.is_on(outdoor));
        if !allowed {
            return;
        }
        let part = (backup.capacity / missing).min(1.0) * short;
        for (ask, given) in asks.iter().zip(given.iter_mut()) {
            if let Some(ask) = ask.filter(|ask| ask.direction == Direction::Heating) {
                given.backup = ask.share * part;
                given.heat += given.backup;
                given.served |= given.backup > 0.0;
            }
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
