//! Where a zone may be that has been left to itself: the range of everything that can be long after
//! anybody touched it, under any weather, sun and gains.
//!
//! It is found from outside. No temperature leaves the range between the balance of full cooling in
//! the coldest weather and that of full heating in the hottest; all that can be lies in there, with
//! any memory. Every step keeps all that can be, so that what is left after any number of steps
//! still has it. Masses are slow: first they are held, the air comes to its range within hours,
//! and they come to the range that belongs to it; then everything goes on together, day by day.

use super::basis::Basis;
use super::bounds::Bounds;
use super::calls::Memory;
use super::follow::{Acting, Follow, Known, Moment};
use super::interval::Interval;
use super::plan::ZonePlan;
use super::room::Room;
use super::sets::Sets;
use crate::building::{HeatGains, Network, ZonePropagator};
use crate::direction::Direction;
use crate::engine::{MOST_WARMUP_DAYS, Model, POSSIBLE, REPEATS_WITHIN, ZoneIndex};
use crate::time::{DAY, Instant, Seconds};

/// Ranges that change by less than this are taken as they are, K.
const CLOSE: f64 = 0.01;
/// The air is given so long to come to its range.
const LONGEST_SETTLING: Seconds = Seconds::hours(6);
/// So often the masses take the range that belongs to the air's.
const MOST_ROUNDS: usize = 40;
/// Days that all go on together, at most: what is left to come falls by half or so on each.
const MOST_DAYS: usize = 12;

/// No temperature of any zone leaves this range: that of the balance of each zone alone, which no
/// neighbour can drive it beyond, since the outermost zone has only milder ones around it.
pub(super) fn everywhere(
    model: &Model,
    plans: &[ZonePlan],
    outdoors: Interval,
    sun: &[f64],
) -> Interval {
    let mut all = outdoors;
    for (plan, sun) in plans.iter().zip(sun) {
        let space = &model.zones[plan.zone.get()].space;
        let strongest = |direction: Direction| {
            plan.unit.rated(direction).max(plan.share[direction as usize].burst)
        };
        for air in &plan.airs {
            let network = Network::at(space, *air);
            let coldest = network.flows(outdoors.low(), HeatGains::default());
            let gains = HeatGains { internal: plan.internal.high(), solar: *sun };
            let hottest = network.flows(outdoors.high(), gains);
            let low =
                balance(&network, [coldest.air - strongest(Direction::Cooling), coldest.mass]);
            let heat = strongest(Direction::Heating) + plan.unit.fan;
            let high = balance(&network, [hottest.air + heat, hottest.mass]);
            all = all.hull(low).hull(high);
        }
    }
    // A sensor's place may be warmer than any air.
    let warmer = plans.iter().flat_map(|plan| plan.calls.reading.stratification);
    let warmest = warmer.fold(0.0_f64, |most, kelvins| most.max(kelvins.abs()));
    all = all + Interval::between(-warmest, warmest);
    // A run ends where it leaves what is possible.
    let inside = |value: f64| value.clamp(*POSSIBLE.start(), *POSSIBLE.end());
    Interval::between(inside(all.low() - CLOSE), inside(all.high() + CLOSE))
}

/// The temperatures at which air and mass stay under steady flows; everything where there are none.
fn balance(network: &Network, flows: [f64; 2]) -> Interval {
    let step = ZonePropagator::new(network, Seconds::hours(1));
    let [[a, b], [c, d]] = step.phi;
    let ends = [0, 1].map(|node| step.gamma[node][0] * flows[0] + step.gamma[node][1] * flows[1]);
    let determinant = (1.0 - a) * (1.0 - d) - b * c;
    if determinant < 1e-12 {
        return Interval::between(*POSSIBLE.start(), *POSSIBLE.end());
    }
    let air = ((1.0 - d) * ends[0] + b * ends[1]) / determinant;
    let mass = (c * ends[0] + (1.0 - a) * ends[1]) / determinant;
    Interval::between(air, mass)
}

/// What can be at a midnight long after anybody touched anything. `sun` is the most that each step
/// of a day brings into each zone, W.
pub(super) fn undisturbed(follow: &mut Follow<'_>, sun: &[Vec<f64>]) -> Vec<Known> {
    let everywhere = follow.everywhere;
    let mut known: Vec<Known> = (0..follow.plans.len())
        .map(|zone| {
            let edges = &follow.plans[zone].edges[0];
            let mut sets = Sets::none(edges);
            let all = Bounds::anywhere(Basis::PLAIN, everywhere.low(), everywhere.high());
            for memory in follow.memories(zone) {
                sets.add(edges, memory, &all);
            }
            Known { before: sets, dark: std::collections::VecDeque::new(), after: Sets::default() }
        })
        .collect();
    let steps = |time: Seconds| usize::try_from(time.get() / follow.step_length()).unwrap_or(1);
    let (settling, check) = (steps(LONGEST_SETTLING), steps(Seconds::minutes(20)).max(1));
    let most: Vec<f64> = sun.iter().map(|sun| sun.iter().copied().fold(0.0, f64::max)).collect();
    for _ in 0..MOST_ROUNDS {
        let mut last = airs(&known);
        for number in 0..settling {
            let now = Moment {
                acting: Acting::Nobody,
                at: None,
                number,
                on_days: None,
                masses_stand: true,
            };
            known = follow.step(now, &most, &known);
            if number % check == check - 1 {
                let present = airs(&known);
                if nearly_same(&last, &present) {
                    break;
                }
                last = present;
            }
        }
        let before: Vec<Interval> = known.iter().map(|it| it.before.mass(Basis::PLAIN)).collect();
        for (zone, it) in known.iter_mut().enumerate() {
            let (air, mass) = (it.before.air(), it.before.mass(Basis::PLAIN));
            let mass = follow.mass_range(zone, (air, mass), &sun[zone]);
            it.before = it.before.with_mass(mass);
        }
        let after: Vec<Interval> = known.iter().map(|it| it.before.mass(Basis::PLAIN)).collect();
        if nearly_same(&before, &after) {
            break;
        }
    }
    for (plan, it) in follow.plans.iter().zip(&mut known) {
        it.before = it.before.based_on(plan.basis());
    }
    go_on_by_days(follow, sun, known)
}

/// Days on which masses move, until a day changes nothing any more.
fn go_on_by_days(follow: &mut Follow<'_>, sun: &[Vec<f64>], mut known: Vec<Known>) -> Vec<Known> {
    let per_day = usize::try_from(DAY / follow.step_length()).unwrap_or(1);
    let plans = follow.plans;
    let ranges = |known: &[Known]| -> Vec<Interval> {
        let zones = known.iter().zip(plans);
        zones.flat_map(|(it, plan)| [it.before.mass(plan.basis()), it.before.air()]).collect()
    };
    for _ in 0..MOST_DAYS {
        let last = ranges(&known);
        for number in 0..per_day {
            let at = Instant::new(i64::try_from(number).unwrap_or(0) * follow.step_length());
            let now = Moment {
                acting: Acting::Nobody,
                at: None,
                number,
                on_days: Some(at),
                masses_stand: false,
            };
            let here: Vec<f64> =
                sun.iter().map(|sun| sun.get(number).copied().unwrap_or(0.0)).collect();
            known = follow.step(now, &here, &known);
        }
        if nearly_same(&last, &ranges(&known)) {
            break;
        }
    }
    known
}

fn airs(known: &[Known]) -> Vec<Interval> {
    known.iter().map(|it| it.before.air()).collect()
}

fn nearly_same(one: &[Interval], other: &[Interval]) -> bool {
    one.iter().zip(other).all(|(one, other)| {
        (one.low() - other.low()).abs() < CLOSE && (one.high() - other.high()).abs() < CLOSE
    })
}

/// How far from its periodic state the first day of a run may begin, K, where no temperature leaves a
/// range of so many kelvins. Each warm-up day leaves at most a part of what it began with: the slowest
/// room's by itself (neighbours only make it fall faster: conductances between rooms are dissipative).
/// They end once daily means repeat, which leaves the rest of a series; twice that, since a mean says
/// less than the worst instant. Or they end as the last of them does.
pub(super) fn left_by_warm_up(model: &Model, kelvins: f64) -> f64 {
    let kept = model.zones.iter().map(|zone| {
        let day = ZonePropagator::new(&Network::new(&zone.space, false), Seconds::new(DAY));
        // The largest sum of a row of a matrix without negative entries is at least its spectral radius.
        day.phi.iter().map(|row| row[0] + row[1]).fold(0.0, f64::max)
    });
    let kept = kept.fold(0.0, f64::max).min(1.0);
    let repeated = 2.0 * REPEATS_WITHIN * kept / (1.0 - kept);
    let last = (0..MOST_WARMUP_DAYS).fold(kelvins, |left, _| left * kept);
    repeated.max(last).min(kelvins)
}

impl Follow<'_> {
    pub(super) fn step_length(&self) -> i64 {
        self.model.period.step().get()
    }

    /// A fresh start of a zone, and every memory that can come about from it while nobody acts.
    pub(super) fn memories(&mut self, zone: usize) -> Vec<usize> {
        let plan = &self.plans[zone];
        let mut in_force = Vec::new();
        for ticks in [true, false] {
            in_force.push(self.everything_in_force(zone, ticks));
        }
        let mut found = Vec::new();
        for turn in self.start_turns(zone) {
            let fresh = Memory { guarded: false, turn, call: plan.calls.rested() };
            let fresh = self.tables[zone].place(fresh);
            for place in self.tables[zone].closure(fresh, &in_force) {
                if !found.contains(&place) {
                    found.push(place);
                }
            }
        }
        found
    }

    /// The range that a mass comes to in the end where air and mass stay in ranges and the sun shines
    /// at most so much, day after day.
    fn mass_range(&self, zone: usize, (air, mass): (Interval, Interval), sun: &[f64]) -> Interval {
        let plan = &self.plans[zone];
        let brightest = sun.iter().copied().fold(0.0, f64::max);
        let ranges = plan.rooms.iter().map(|room| {
            let all = air.hull(mass).hull(self.outdoors());
            let air = self.beyond(air, room.within_step(all, plan.internal, brightest));
            self.mass_of(room, air, plan.internal, sun)
        });
        ranges.reduce(Interval::hull).unwrap_or(self.everywhere)
    }

    fn mass_of(&self, room: &Room, air: Interval, internal: Interval, sun: &[f64]) -> Interval {
        let balance = &room.mass;
        let sum = balance.to_air + balance.to_outdoors;
        let steady = |air: f64, outdoors: f64, heat: f64| {
            (balance.to_air * air + balance.to_outdoors * outdoors + heat) / sum
        };
        let low =
            steady(air.low(), self.outdoors().low(), room.internal[1].high() * internal.low());
        let heat = room.internal[1].high() * internal.high();
        let high = steady(air.high(), self.outdoors().high(), heat);
        // What the sun adds: each step keeps a part of what was there and takes up its own.
        let keeps = libm::exp(-balance.per_step);
        let per_watt = (1.0 - keeps) / sum * room.solar[1].high();
        let day = |start: f64| {
            sun.iter().fold((start, start), |(value, most), sun| {
                let value = value * keeps + per_watt * sun;
                (value, most.max(value))
            })
        };
        let at_rest = day(0.0).0 / (1.0 - libm::exp(-balance.per_step * sun.len() as f64));
        let added = if sun.is_empty() { 0.0 } else { day(at_rest).1 };
        Interval::between(low - CLOSE, high + added + CLOSE)
    }

    /// Which way a zone may point at the start.
    pub(super) fn start_turns(&self, zone: usize) -> Vec<Direction> {
        let controls = &self.model.zones[zone].controls;
        let own = controls.start.mode.only_direction().unwrap_or(controls.direction);
        let grouped = self
            .model
            .outdoor_units
            .iter()
            .any(|group| group.zones.contains(&ZoneIndex::new(zone)));
        if grouped { Direction::BOTH.to_vec() } else { vec![own] }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::worst::tests::model_of;

    /// A room of light walls forgets within days; one that loses next to nothing forgets nothing in all
    /// warm-up days, and may then begin anywhere.
    #[test]
    fn what_warm_up_days_leave_is_little_unless_a_room_loses_next_to_nothing() {
        let room = |opaque: &str| {
            model_of(&format!(
                "period: {{from: 2025-01-14}}\nweather: {{design_day: {{high: 5, range: 7}}}}\nzones:\n  \
                 shop: {{space: {{floor: 60 m2, mass: light, opaque: {opaque}, infiltration: 0 /h}}, unit: \
                 {{heating: 4 kW}}, controls: {{heat: 20, cool: 25}}}}\n"
            ))
        };
        let quick = left_by_warm_up(&room("90 W/K"), 30.0);
        assert!(0.0 < quick && quick < 0.05, "{quick}");
        let slow = left_by_warm_up(&room("0.01 W/K"), 30.0);
        assert!(29.0 < slow && slow <= 30.0, "{slow}");
    }
}
