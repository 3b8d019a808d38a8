//! Warm-up: the first day over and over until it repeats itself.

use super::interval::{Interval, IntervalObserver};
use crate::building::ZoneIndex;
use crate::engine::model::{Model, Zone};
use crate::engine::observe::{GroupView, Observer, ZoneView};
use crate::engine::state::State;
use crate::engine::step::Simulation;
use crate::engine::trace::LedgerRow;
use crate::time::{DAY, Instant};

/// The first day is repeated at most so often in search of the periodic state.
pub const MOST_WARMUP_DAYS: u32 = 60;
/// The periodic state is found where daily means of air and mass repeat within this, K.
pub const REPEATS_WITHIN: f64 = 0.01;

/// The rooms at the first step: what warm-up days leave. They know no people and no chance, so
/// models that differ in actions and seed alone have the same.
#[derive(Clone, Debug, PartialEq)]
pub struct WarmStart {
    state: State,
    /// How many warm-up days it took.
    pub days: u32,
}

impl WarmStart {
    /// What so many warm-up days left.
    pub(in crate::engine) const fn new(state: State, days: u32) -> Self {
        Self { state, days }
    }

    /// A simulation of a model at its first step, in these rooms.
    pub(super) fn simulation<'m>(&self, model: &'m Model) -> Simulation<'m> {
        Simulation::from_state(model, self.state.clone())
    }
}

/// The search for the periodic state: the first day over and over, without actions and people,
/// until its means repeat.
#[derive(Clone, Debug)]
pub(super) struct WarmUp {
    /// How many days are over.
    days: u32,
    /// The means of the day before: air and mass of each zone.
    before: Option<Vec<[f64; 2]>>,
    /// The day under way.
    pub(super) day: DaySums,
}

/// Air and mass of each zone, added up over the ends of a day's steps, degrees C.
#[derive(Clone, Debug)]
pub(super) struct DaySums(Vec<[f64; 2]>);

impl WarmUp {
    /// A simulation of a model, and the warm-up that it begins with unless every zone has its
    /// start.
    pub(super) fn begin(model: &Model) -> (Simulation<'_>, Option<Self>) {
        let zones = &model.zones;
        let start = |zone: &Zone| zone.space.input().start;
        let nodes = zones.iter().map(|it| [start(it).unwrap_or_else(|| first_guess(model, it)); 2]);
        let mut simulation = Simulation::new(model, nodes.collect());
        if zones.iter().all(|zone| start(zone).is_some()) {
            return (simulation, None);
        }
        simulation.scratch.act(false);
        let day = DaySums(vec![[0.0; 2]; zones.len()]);
        (simulation, Some(Self { days: 0, before: None, day }))
    }

    /// At the end of a day: leaves the controllers as the file has them and the rooms as the day
    /// left them. Returns how many days it took once the periodic state is found.
    pub(super) fn end_day(&mut self, simulation: &mut Simulation<'_>) -> Option<u32> {
        if simulation.state.now < Instant::new(DAY) {
            return None;
        }
        self.days += 1;
        let means = self.day.means(simulation);
        let repeats = self.before.as_ref().is_some_and(|before| {
            let differences = means.iter().zip(before);
            differences
                .flat_map(|(now, then)| [now[0] - then[0], now[1] - then[1]])
                .all(|difference| difference.abs() <= REPEATS_WITHIN)
        });
        self.before = Some(means);
        simulation.begin_again();
        if !repeats && self.days < MOST_WARMUP_DAYS {
            return None;
        }
        simulation.scratch.act(true);
        Some(self.days)
    }
}

impl DaySums {
    /// The means of the day that ends; the sums begin anew.
    fn means(&mut self, simulation: &Simulation<'_>) -> Vec<[f64; 2]> {
        let steps = simulation.model().period.steps_per_day() as f64;
        for (zone, nodes) in simulation.state.nodes.iter().enumerate() {
            self.add(zone, *nodes);
        }
        let zones = self.0.len();
        let sums = std::mem::replace(&mut self.0, vec![[0.0; 2]; zones]);
        sums.into_iter().map(|sum| sum.map(|value| value / steps)).collect()
    }

    fn add(&mut self, zone: usize, [air, mass]: [f64; 2]) {
        self.0[zone][0] += air;
        self.0[zone][1] += mass;
    }
}

/// The end of a step is the start of the next: only the day's first start is no end.
impl Observer for DaySums {
    fn zone(&mut self, view: &ZoneView<'_>) {
        if view.at > Instant::START {
            self.add(view.zone.get(), view.nodes);
        }
    }

    fn group(&mut self, _: &GroupView<'_>) {}
    fn ledger(&mut self, _: LedgerRow) {}
    fn call_began(&mut self, _: ZoneIndex, _: Instant) {}
}

impl IntervalObserver for DaySums {
    type Memory = ();

    fn intervals(each: &mut [(&mut Self, Interval<'_>)], (): &mut ()) {
        for (sums, interval) in each {
            let first = usize::from(interval.from() == Instant::START);
            for zone in interval.zones() {
                for nodes in zone.nodes().skip(first) {
                    sums.add(zone.zone().get(), nodes);
                }
            }
        }
    }
}

/// Halfway between the setpoints: where the search for the periodic state begins, degrees C.
fn first_guess(model: &Model, zone: &Zone) -> f64 {
    let (grid, pair) = (zone.controls.settings.grid, &zone.controls.start.setpoints);
    model.unit.to_celsius(grid.value(pair.heat()).midpoint(grid.value(pair.cool())))
}

impl Simulation<'_> {
    /// Back to midnight of the first day, with the controllers as the file has them and the rooms
    /// as they are.
    fn begin_again(&mut self) {
        let nodes = std::mem::take(&mut self.state.nodes);
        let water = std::mem::take(&mut self.state.water);
        let members = self.plan.group_members();
        self.resume(State { water, ..State::fresh(self.plan.model, &members, nodes) });
    }
}
