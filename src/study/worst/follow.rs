//! Bounds followed step by step: all zones together, since each is what its neighbours have beyond
//! a wall, and since one may lead the others.

use std::collections::VecDeque;

use super::basis::Basis;
use super::bounds::{AIR, Bounds};
use super::calls::{Call, InForce, Memory};
use super::heat::Piece;
use super::interval::Interval;
use super::maps::{Around, Drive, Map};
use super::plan::{Lead, ZonePlan};
use super::room::Room;
use super::sets::Sets;
use super::tables::{Stage, Tables};
use crate::building::{AirChange, is_ventilated};
use crate::control::{Mode, Occupancy, OwnerOff, WindowDoes};
use crate::direction::Direction;
use crate::engine::Model;
use crate::time::{DaySet, Instant, Period};

/// So often the air of zones over a step is worked out from that of their neighbours.
const NEARER: usize = 2;

/// Who acts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Acting {
    /// Nobody but what the file has.
    Nobody,
    /// Occupants, too.
    Occupants,
}

/// What a step takes for granted.
#[derive(Clone, Copy, Debug)]
pub(super) struct Moment {
    pub(super) acting: Acting,
    /// When it begins; `None` where that is open, so that any schedule may be anywhere.
    pub(super) at: Option<Instant>,
    /// The step's number, for timers that count in larger units.
    pub(super) number: usize,
    /// When it begins on a day like the first, where `at` is open.
    pub(super) on_days: Option<Instant>,
    /// Whether the masses are held where they are.
    pub(super) masses_stand: bool,
}

/// What is known of one zone: as long as no supply has failed, while it fails (by how many steps it
/// has), and after.
#[derive(Clone, Debug)]
pub(super) struct Known {
    pub(super) before: Sets,
    pub(super) dark: VecDeque<Option<Bounds>>,
    pub(super) after: Sets,
}

impl Known {
    pub(super) fn air(&self) -> Interval {
        let dark =
            self.dark.iter().flatten().map(|it| Interval::between(it.least(AIR), it.most(AIR)));
        let mut all = self.before.air();
        for range in dark {
            all = all.hull(range);
        }
        if self.after.is_empty() { all } else { all.hull(self.after.air()) }
    }
}

/// All zones.
#[derive(Debug)]
pub(super) struct Follow<'p> {
    pub(super) model: &'p Model,
    period: Period,
    pub(super) plans: &'p [ZonePlan],
    pub(super) tables: Vec<Tables<'p>>,
    /// For each zone its steps in each state of its air change, then the same with its mass at rest.
    stages: Vec<Vec<Stage>>,
    /// Zones that lead come first.
    order: Vec<usize>,
    outdoors: Interval,
    /// Beyond these no temperature goes, degrees C.
    pub(super) everywhere: Interval,
    /// How long a supply failure lasts, in steps; none where that is 0.
    outage: usize,
}

impl<'p> Follow<'p> {
    pub(super) fn new(
        model: &'p Model,
        period: Period,
        plans: &'p [ZonePlan],
        outdoors: Interval,
        everywhere: Interval,
        outage: usize,
    ) -> Self {
        let step = period.step();
        let follows = |zone: &usize| matches!(plans[*zone].lead, Lead::Owner { .. });
        let mut order: Vec<usize> = (0..plans.len()).filter(|zone| !follows(zone)).collect();
        order.extend((0..plans.len()).filter(follows));
        Self {
            model,
            period,
            plans,
            tables: plans.iter().map(|plan| Tables::new(plan, step)).collect(),
            stages: plans.iter().map(stages).collect(),
            order,
            outdoors,
            everywhere,
            outage,
        }
    }

    /// One step of all zones. `sun` is the most that it brings into each, W.
    pub(super) fn step(&mut self, now: Moment, sun: &[f64], known: &[Known]) -> Vec<Known> {
        let airs = self.over_the_step(now, sun, known);
        let mut after: Vec<Option<Known>> = known.iter().map(|_| None).collect();
        for zone in self.order.clone() {
            let led = self.led(zone, now, &after);
            let in_force = [self.in_force(zone, now, led)];
            let around = self.around(zone, sun[zone], &airs);
            let chosen = self.chosen(zone, now);
            let phase = now.acting as usize;
            let stages = &self.stages[zone];
            let tables = &mut self.tables[zone];
            let mut next = Known {
                before: tables.step(
                    stages,
                    &chosen,
                    &in_force,
                    &around,
                    (phase, &known[zone].before),
                ),
                dark: VecDeque::new(),
                after: Sets::default(),
            };
            if self.outage > 0 && now.acting == Acting::Occupants {
                next.after =
                    tables.step(stages, &chosen, &in_force, &around, (phase, &known[zone].after));
                self.darken(zone, &chosen, &around, &known[zone], &mut next);
            }
            after[zone] = Some(next);
        }
        after.into_iter().flatten().collect()
    }

    /// Goes through a step without power: from anything that can be one may fail, and one that has
    /// lasted its time ends.
    fn darken(
        &mut self,
        zone: usize,
        chosen: &[usize],
        around: &Around,
        known: &Known,
        next: &mut Known,
    ) {
        let plan = &self.plans[zone];
        let fan = if plan.fan_alone { plan.unit.fan } else { 0.0 };
        let reading = plan.calls.reading;
        let mut through = |bounds: &Bounds| {
            let mut all: Option<Bounds> = None;
            for &stage in chosen {
                let stage = &self.stages[zone][stage];
                let piece = Piece::anywhere(0.0, fan);
                let warmer = Interval::between(0.0, reading.stratification[0])
                    .hull(Interval::between(0.0, reading.stratification[1]));
                let map = Map::new(&stage.room, &reading, &piece, warmer, 0);
                if let Some(end) = map.apply(bounds, &stage.drive.most(around)) {
                    match &mut all {
                        Some(all) => all.join(&end),
                        None => all = Some(end),
                    }
                }
            }
            all
        };
        next.dark = known.dark.iter().map(|it| it.as_ref().and_then(&mut through)).collect();
        next.dark.push_front(known.before.joined().as_ref().and_then(&mut through));
        // One that is asked for within a step is shorter by what has passed of it. The step at which
        // the power returns counts as one without where a rest begins then.
        let rests = plan.calls.timers.min_off > 0 || plan.calls.timers.waits > 0;
        let longest = self.outage + usize::from(rests);
        if next.after.is_empty() {
            next.after = Sets::none(&plan.edges[1]);
        }
        for ended in next.dark.iter().skip(self.outage.saturating_sub(2)).flatten() {
            for turn in Direction::BOTH {
                let memory = Memory { guarded: false, turn, call: Call::Off { age: 0, waited: 0 } };
                let place = self.tables[zone].place(memory);
                next.after.add(&plan.edges[1], place, ended);
            }
        }
        next.dark.truncate(longest.saturating_sub(1));
    }

    /// What may be in force at a zone.
    fn in_force(&self, zone: usize, now: Moment, led: Option<([bool; 2], bool)>) -> InForce {
        let plan = &self.plans[zone];
        let phase = &plan.phases[now.acting as usize];
        let (heat_to, cool_to) = self.working(zone, now);
        let selections = &phase.selections;
        let unit = usize::try_from(plan.calls.timers.unit).unwrap_or(1).max(1);
        let mut in_force = InForce {
            idle: false,
            heat: false,
            cool: false,
            auto: false,
            heat_to,
            cool_to,
            led: led.map(|(directions, _)| directions),
            permits: plan.permits,
            ticks: now.number.is_multiple_of(unit),
        };
        in_force.select(&selections.modes, selections.on, selections.off);
        if now.acting == Acting::Occupants && plan.windows == Some(WindowDoes::Off) {
            in_force.idle = true;
        }
        if matches!(plan.lead, Lead::Owner { .. }) {
            let works = selections.modes.iter().any(|mode| *mode != Mode::Fan);
            (in_force.heat, in_force.cool) = (false, false);
            in_force.auto = selections.on && works;
            in_force.idle |= led.is_some_and(|(_, may_stop)| may_stop);
        }
        in_force
    }

    /// The same with everything that others may bring about.
    pub(super) fn everything_in_force(&self, zone: usize, ticks: bool) -> InForce {
        let led = match self.plans[zone].lead {
            Lead::Own => None,
            Lead::Group(directions) => Some((directions, false)),
            Lead::Owner { off, .. } => Some(([true; 2], off == OwnerOff::Stop)),
        };
        let now = Moment {
            acting: Acting::Nobody,
            at: None,
            number: 0,
            on_days: None,
            masses_stand: false,
        };
        InForce { ticks, ..self.in_force(zone, now, led) }
    }

    /// The range of the outdoor air.
    pub(super) const fn outdoors(&self) -> Interval {
        self.outdoors
    }

    /// The working setpoints: stored, set back, or either.
    fn working(&self, zone: usize, now: Moment) -> (Interval, Interval) {
        let plan = &self.plans[zone];
        let phase = &plan.phases[now.acting as usize];
        let Some(set_back) = phase.set_back else { return phase.stored };
        let controls = &self.model.zones[zone].controls;
        let either = (phase.stored.0.hull(set_back.0), phase.stored.1.hull(set_back.1));
        if now.acting == Acting::Occupants && plan.windows == Some(WindowDoes::Setback) {
            return either;
        }
        match (&controls.occupancy, now.at) {
            (Occupancy::Always, _) => phase.stored,
            (Occupancy::Schedule(spans), Some(at)) => {
                let there = spans.iter().any(|span| span.contains(&self.period, at));
                let early = controls.optimum_start.is_some();
                match there {
                    true => phase.stored,
                    false if phase.selections.may_override || early => either,
                    false => set_back,
                }
            }
            (Occupancy::Schedule(_), None) | (Occupancy::Sensor { .. } | Occupancy::People, _) => {
                either
            }
        }
    }

    /// The directions that others may give a zone, and whether they may stop it.
    fn led(&self, zone: usize, now: Moment, after: &[Option<Known>]) -> Option<([bool; 2], bool)> {
        match self.plans[zone].lead {
            Lead::Own => None,
            Lead::Group(directions) => Some((directions, false)),
            Lead::Owner { zone: owner, off } => {
                let mut directions = [false; 2];
                if let Some(known) = &after[owner] {
                    for place in known.before.memories().chain(known.after.memories()) {
                        directions[self.tables[owner].memory(place).turn as usize] = true;
                    }
                }
                let phase = &self.plans[owner].phases[now.acting as usize];
                let stops = off == OwnerOff::Stop && phase.selections.off;
                Some((directions, stops))
            }
        }
    }

    /// In which of its states the air change may be, as places of stages.
    fn chosen(&self, zone: usize, now: Moment) -> Vec<usize> {
        let airs = &self.plans[zone].airs;
        let offset = if now.masses_stand { airs.len() } else { 0 };
        let space = &self.model.zones[zone].space;
        // What comes every day alike is known wherever the time of day is.
        let when = space.input().ventilation.map(|it| it.when);
        let on_days = now.on_days.filter(|_| when.is_none_or(|when| when.days() == DaySet::EVERY));
        let ventilated = now.at.or(on_days).map(|at| {
            let middle = Instant::new(at.get() + self.period.step().get() / 2);
            is_ventilated(space, &self.period, middle)
        });
        // Windows stay closed until somebody acts.
        let may = |air: &AirChange| {
            ventilated.is_none_or(|it| it == air.ventilation)
                && (!air.window || now.acting == Acting::Occupants)
        };
        let all = airs.iter().enumerate().filter(|(_, air)| may(air));
        all.map(|(place, _)| offset + place).collect()
    }

    fn around(&self, zone: usize, sun: f64, airs: &[Interval]) -> Around {
        let plan = &self.plans[zone];
        let next_door = plan.rooms[0].neighbours.iter();
        Around {
            outdoors: self.outdoors,
            internal: plan.internal,
            solar: Interval::between(0.0, sun),
            neighbours: next_door.map(|(other, _)| airs[*other]).collect(),
        }
    }

    /// The air of every zone that has neighbours, over the whole step: between what it can be at its
    /// start and at its end, and so far beyond as it can go within it. For its end its own neighbours
    /// count as anywhere at first, then as what came of that.
    fn over_the_step(&self, now: Moment, sun: &[f64], known: &[Known]) -> Vec<Interval> {
        let mut airs = vec![self.everywhere; self.plans.len()];
        for _ in 0..NEARER {
            airs = (0..self.plans.len())
                .map(|zone| self.air_over_the_step((zone, now), sun[zone], &known[zone], &airs))
                .collect();
        }
        airs
    }

    /// The same of one zone, whose neighbours' air lies in these ranges meanwhile.
    fn air_over_the_step(
        &self,
        (zone, now): (usize, Moment),
        sun: f64,
        known: &Known,
        airs: &[Interval],
    ) -> Interval {
        let plan = &self.plans[zone];
        let start = known.air();
        let Some(room) = plan.rooms.first().filter(|room| !room.neighbours.is_empty()) else {
            return start;
        };
        if plan.neglect.neighbours {
            return Interval::exactly(start.middle());
        }
        let around = self.around(zone, sun, airs);
        let strongest = Piece::anywhere(
            -plan.unit.rated(Direction::Cooling).max(plan.share[1].burst),
            plan.unit.rated(Direction::Heating).max(plan.share[0].burst) + plan.unit.fan,
        );
        let sets = [known.before.joined(), known.after.joined()].into_iter().flatten();
        let sets: Vec<Bounds> = sets.chain(known.dark.iter().flatten().copied()).collect();
        let mut all = start;
        let from = if now.masses_stand { plan.rooms.len() } else { 0 };
        for stage in &self.stages[zone][from..from + plan.rooms.len()] {
            let map = Map::new(&stage.room, &plan.calls.reading, &strongest, Interval::ZERO, 0);
            let drive = stage.drive.most(&around);
            for end in sets.iter().filter_map(|bounds| map.apply(bounds, &drive)) {
                all = all.hull(Interval::between(end.least(AIR), end.most(AIR)));
            }
        }
        let basis = if now.masses_stand { Basis::PLAIN } else { plan.basis() };
        let masses = sets.iter().map(|it| it.mass(basis));
        let next_door = room.neighbours.iter().map(|(other, _)| airs[*other]);
        let hull = masses.chain(next_door).fold(all.hull(self.outdoors), Interval::hull);
        let beyond = plan.rooms.iter().map(|room| room.within_step(hull, plan.internal, sun));
        self.beyond(all, beyond.fold(0.0, f64::max))
    }

    /// A range and so much beyond each of its ends, but nowhere where no temperature goes.
    pub(super) fn beyond(&self, range: Interval, kelvins: f64) -> Interval {
        let (low, high) = (range.low() - kelvins, range.high() + kelvins);
        let inside = |value: f64| value.clamp(self.everywhere.low(), self.everywhere.high());
        Interval::between(inside(low).next_down(), inside(high).next_up())
    }
}

/// The steps of a zone's rooms, and the same with their masses at rest.
fn stages(plan: &ZonePlan) -> Vec<Stage> {
    let stage = |room: Room| {
        let drive = Drive::new(&room, &plan.calls.reading);
        Stage { room, drive }
    };
    let still = |room: &Room| Room {
        phi: [room.phi[0], [Interval::ZERO, Interval::exactly(1.0)]],
        gamma: [room.gamma[0], [Interval::ZERO; 2]],
        basis: Basis::PLAIN,
        ..room.clone()
    };
    let moving = plan.rooms.iter().cloned().map(stage);
    moving.chain(plan.rooms.iter().map(still).map(stage)).collect()
}
