//! Whether a zone was ready when somebody came, and which start would have made it so.
//!
//! A zone is ready where its sensor reads no more than half a kelvin past where a call in a
//! direction that it may have would start: a zone that only begins its next cycle is ready. For
//! each late morning the run is taken up again from the hours before: the stored setpoints are
//! made to work so much earlier, in steps of a quarter of an hour, until the shortest lead is
//! found with which the zone is ready. Zones that are late together start early together. A
//! longer lead is taken to be no worse than a shorter one.

use std::collections::VecDeque;

use crate::control::{Occupancy, ZoneLogic};
use crate::direction::Direction;
use crate::engine::{
    GroupView, Interval, IntervalObserver, LedgerRow, Model, Observer, Simulation, State, Together,
    ZoneIndex, ZoneInterval, ZoneView, start_from,
};
use crate::measures::MorningFigures;
use crate::time::{Instant, Seconds};
use crate::units::TemperatureUnit;

/// No longer lead is tried.
pub const LONGEST_LEAD: Seconds = Seconds::hours(12);
/// Leads are found to this.
pub const LEAD_STEP: Seconds = Seconds::minutes(15);
/// How far past the start of a call a zone may be and still counts as ready, K: common practice,
/// no source.
pub const READY_WITHIN: f64 = 0.5;
/// States are kept so far apart.
const APART: Seconds = Seconds::hours(1);

/// One morning of one zone: somebody comes after nobody has been there.
#[derive(Clone, Debug, PartialEq)]
pub struct Morning {
    /// Which zone.
    pub zone: ZoneIndex,
    /// When somebody comes.
    pub at: Instant,
    /// Whether the zone was ready.
    pub readiness: Readiness,
    /// What the sensor read.
    pub sensed: f64,
    /// Operative temperature, in the file's unit.
    pub operative: f64,
    /// The setpoints in force.
    pub heat: f64,
    /// The same for cooling.
    pub cool: f64,
    /// How long after that it was ready, if it was before everybody left.
    pub ready_after: Option<Seconds>,
}

/// Whether a zone was ready.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Readiness {
    /// It was.
    Ready,
    /// It was switched off, or in `fan`.
    Off,
    /// It was not, and would have been with the stored setpoints at work so much earlier.
    Late {
        /// The shortest lead that makes it; `None` where none within the search does.
        lead: Option<Seconds>,
    },
}

impl Morning {
    /// Degrees of the file's unit between the sensor's reading and the setpoints.
    pub fn missing(&self) -> f64 {
        (self.heat - self.sensed).max(self.sensed - self.cool).max(0.0)
    }
}

/// Watches a run for its mornings.
#[derive(Debug)]
pub(super) struct MorningWatch<'m> {
    model: &'m Model,
    /// Whether a zone is watched.
    watched: Vec<bool>,
    occupied: Vec<bool>,
    /// The zone's late morning that still waits for its readiness.
    waiting: Vec<Option<usize>>,
    mornings: Vec<Morning>,
    /// The late mornings of the step just made.
    late: Vec<usize>,
    /// Earlier states, oldest first.
    kept: VecDeque<State>,
    /// A simulation to take earlier states up with; made when it is first needed.
    again: Option<Simulation<'m>>,
    together: Together,
}

impl<'m> MorningWatch<'m> {
    /// A watch, where any zone has both a schedule and a setback that does something.
    pub(super) fn wanted(model: &'m Model) -> Option<Self> {
        let watched: Vec<bool> = model
            .zones
            .iter()
            .map(|zone| {
                let controls = &zone.controls;
                let scheduled = matches!(controls.occupancy, Occupancy::Schedule(_));
                scheduled && controls.setback.is_some()
            })
            .collect();
        let zones = model.zones.len();
        watched.contains(&true).then(|| Self {
            model,
            watched,
            occupied: vec![true; zones],
            waiting: vec![None; zones],
            mornings: Vec::new(),
            late: Vec::new(),
            kept: VecDeque::new(),
            again: None,
            together: Together::default(),
        })
    }

    /// Keeps the state before a step, once an hour.
    pub(super) fn keep(&mut self, simulation: &Simulation<'_>) {
        let now = simulation.state().now;
        if now.get() % APART.get() != 0 {
            return;
        }
        if self.kept.front().is_some_and(|first| now.since(first.now) >= LONGEST_LEAD) {
            self.kept.pop_front();
        }
        self.kept.push_back(simulation.state().clone());
    }

    /// Finds the leads of the mornings that were late in the step just made.
    pub(super) fn find_leads(&mut self) {
        if self.late.is_empty() {
            return;
        }
        let late = std::mem::take(&mut self.late);
        let at = self.mornings[late[0]].at;
        let Some(oldest) = self.kept.front() else { return };
        let again = self.again.take().unwrap_or_else(|| start_from(self.model, oldest.clone()));
        let reach = at.since(oldest.now).get().min(LONGEST_LEAD.get()) / LEAD_STEP.get();
        let zones: Vec<usize> = late.iter().map(|place| self.mornings[*place].zone.get()).collect();
        self.again = Some(again);
        let leads = self.shortest(at, &zones, reach);
        for (place, lead) in late.into_iter().zip(leads) {
            let lead = lead.map(|lead| Seconds::new(lead * LEAD_STEP.get()));
            self.mornings[place].readiness = Readiness::Late { lead };
        }
    }

    /// The shortest lead of each zone, in steps; all zones are tried at once.
    fn shortest(&mut self, at: Instant, zones: &[usize], reach: i64) -> Vec<Option<i64>> {
        let mut searches = vec![Search { too_short: 0, enough: None, reach }; zones.len()];
        while searches.iter().any(|search| !search.is_over()) {
            let leads: Vec<i64> = searches.iter().map(Search::next).collect();
            let ready = self.ready_with(at, zones, &leads);
            for ((search, lead), ready) in searches.iter_mut().zip(leads).zip(ready) {
                if !search.is_over() {
                    search.learn(lead, ready);
                }
            }
        }
        searches.into_iter().map(|search| search.enough).collect()
    }

    /// Which zones are ready at an instant with these leads, in steps.
    fn ready_with(&mut self, at: Instant, zones: &[usize], leads: &[i64]) -> Vec<bool> {
        let begins = |lead: &i64| at - Seconds::new(lead * LEAD_STEP.get());
        let first = leads.iter().map(begins).min().unwrap_or(at);
        let Some(state) = self.kept.iter().rev().find(|state| state.now <= first) else {
            return vec![false; zones.len()];
        };
        let Some(mut again) = self.again.take() else { return vec![false; zones.len()] };
        again.resume(state.clone());
        let mut early: Vec<(usize, Instant)> =
            zones.iter().copied().zip(leads.iter().map(begins)).collect();
        let mut probe = ReadyAt { at, ready: vec![false; self.model.zones.len()] };
        while again.state().now <= at {
            let next = early.iter().map(|(_, begins)| *begins).fold(at, Instant::min);
            again = self.together.pass(again, next);
            let now = again.state().now;
            if early.iter().any(|(_, begins)| *begins <= now) {
                let mut state = again.state().clone();
                for (zone, _) in early.iter().filter(|(_, begins)| *begins <= now) {
                    state.zones[*zone].presence.start_early(at);
                }
                early.retain(|(_, begins)| *begins > now);
                again.resume(state);
            }
            again.step(&mut probe);
        }
        self.again = Some(again);
        zones.iter().map(|zone| probe.ready[*zone]).collect()
    }

    /// All mornings of the run.
    pub(super) fn finish(self) -> Vec<Morning> {
        self.mornings
    }

    fn begin(&mut self, view: &ZoneView<'_>) {
        let readiness = if is_off(view) {
            Readiness::Off
        } else if is_ready(&view.into()) {
            Readiness::Ready
        } else {
            self.late.push(self.mornings.len());
            self.waiting[view.zone.get()] = Some(self.mornings.len());
            Readiness::Late { lead: None }
        };
        self.mornings.push(Morning {
            zone: view.zone,
            at: view.at,
            readiness,
            sensed: view.logic.sensed,
            operative: view.unit.from_celsius(view.operative()),
            heat: view.logic.working.heat,
            cool: view.logic.working.cool,
            ready_after: None,
        });
    }
}

/// The search for a lead: doubled until it is enough, since most are short, and then halved.
#[derive(Clone, Copy, Debug)]
struct Search {
    too_short: i64,
    enough: Option<i64>,
    reach: i64,
}

impl Search {
    fn is_over(&self) -> bool {
        match self.enough {
            Some(enough) => enough - self.too_short <= 1,
            None => self.too_short >= self.reach,
        }
    }

    /// The next lead to try; the best known where the search is over.
    fn next(&self) -> i64 {
        match self.enough {
            Some(enough) if self.is_over() => enough,
            Some(enough) => i64::midpoint(self.too_short, enough),
            None => (2 * self.too_short).clamp(1, self.reach.max(1)),
        }
    }

    const fn learn(&mut self, lead: i64, ready: bool) {
        if ready {
            self.enough = Some(lead);
        } else {
            self.too_short = lead;
        }
    }
}

/// Whether a zone can have no calls at all.
fn is_off(view: &ZoneView<'_>) -> bool {
    !view.logic.selection.is_awake()
}

/// What decides whether a zone is ready.
#[derive(Clone, Copy)]
struct Standing<'v> {
    logic: &'v ZoneLogic,
    sensed: f64,
    led: bool,
    unit: TemperatureUnit,
}

impl<'v> From<&ZoneView<'v>> for Standing<'v> {
    fn from(view: &ZoneView<'v>) -> Self {
        Self { logic: view.logic, sensed: view.logic.sensed, led: view.led, unit: view.unit }
    }
}

/// Whether the sensor reads what is near enough to the setpoints in each direction that the zone
/// may have.
fn is_ready(zone: &Standing<'_>) -> bool {
    let slack = zone.unit.difference_from_kelvin(READY_WITHIN);
    let (logic, at) = (zone.logic, zone.logic.working);
    let may = |direction: Direction| zone.led || logic.selection.allows(direction);
    let needs = |direction: Direction| {
        let nearer = zone.sensed + direction.sign() * slack;
        may(direction) && logic.thermostat.starts(direction, nearer, at)
    };
    logic.selection.is_awake() && !Direction::BOTH.into_iter().any(needs)
}

/// Nobody comes or goes in an interval, so that all there is to be seen is who becomes ready.
impl IntervalObserver for MorningWatch<'_> {
    type Memory = ();

    fn intervals(each: &mut [(&mut Self, Interval<'_>)], (): &mut ()) {
        for (watch, interval) in each {
            for zone in interval.zones() {
                watch.look_at(&zone, interval);
            }
        }
    }
}

impl MorningWatch<'_> {
    fn look_at(&mut self, zone: &ZoneInterval<'_>, interval: &Interval<'_>) {
        let Some(place) = self.waiting[zone.zone().get()] else { return };
        let unit = self.model.unit;
        let ready = (0..interval.steps()).find(|step| {
            let sensed = zone.sensed(*step);
            is_ready(&Standing { logic: zone.logic(), sensed, led: zone.is_led(), unit })
        });
        if let Some(step) = ready {
            let morning = &mut self.mornings[place];
            morning.ready_after = Some(interval.at(step).since(morning.at));
            self.waiting[zone.zone().get()] = None;
        }
    }
}

impl Observer for MorningWatch<'_> {
    fn zone(&mut self, view: &ZoneView<'_>) {
        let zone = view.zone.get();
        if !self.watched[zone] {
            return;
        }
        let occupied = view.state.presence.is_occupied();
        let before = std::mem::replace(&mut self.occupied[zone], occupied);
        if occupied && !before {
            self.begin(view);
        } else if !occupied {
            self.waiting[zone] = None;
        } else if let Some(place) = self.waiting[zone].filter(|_| is_ready(&view.into())) {
            self.mornings[place].ready_after = Some(view.at.since(self.mornings[place].at));
            self.waiting[zone] = None;
        }
    }

    fn group(&mut self, _: &GroupView<'_>) {}
    fn ledger(&mut self, _: LedgerRow) {}
    fn call_began(&mut self, _: ZoneIndex, _: Instant) {}
}

/// Sees which zones are ready at an instant.
struct ReadyAt {
    at: Instant,
    ready: Vec<bool>,
}

impl Observer for ReadyAt {
    fn zone(&mut self, view: &ZoneView<'_>) {
        if view.at == self.at {
            self.ready[view.zone.get()] = is_ready(&view.into());
        }
    }

    fn group(&mut self, _: &GroupView<'_>) {}
    fn ledger(&mut self, _: LedgerRow) {}
    fn call_began(&mut self, _: ZoneIndex, _: Instant) {}
}

/// The mornings of each zone that has any, counted.
pub(super) fn figures(model: &Model, mornings: &[Morning]) -> Vec<(String, MorningFigures)> {
    let mut counts = vec![MorningFigures::default(); model.zones.len()];
    for morning in mornings {
        let count = &mut counts[morning.zone.get()];
        count.mornings += 1;
        match morning.readiness {
            Readiness::Ready => count.ready += 1,
            Readiness::Off => count.off += 1,
            Readiness::Late { lead } => {
                count.late += 1;
                count.worst_missing = count.worst_missing.max(morning.missing());
                match lead {
                    None => count.late_whatever_the_start += 1,
                    Some(lead) => {
                        let longest = count.longest_lead_hours.unwrap_or(0.0).max(lead.in_hours());
                        count.longest_lead_hours = Some(longest);
                    }
                }
            }
        }
    }
    let zones = model.zones.iter().zip(counts);
    zones
        .filter(|(_, count)| count.mornings > 0)
        .map(|(zone, count)| (zone.id.clone(), count))
        .collect()
}
