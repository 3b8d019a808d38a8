//! The controls of a model on a bench: rooms whose temperature stands still, machines that always
//! serve, so that what controllers show depends on keys, settings and time alone.

use std::sync::Arc;

use super::plants::plants;
use super::step::{Deed, Place, Reading};
use crate::building::{Space, SpaceInput};
use crate::control::{Occupancy, Outcome, Power, Request, Role, Side};
use crate::engine::{
    Action, Doing, Entry, GroupView, LedgerRow, Model, Observer, OutdoorSensor, Simulation, State,
    ZoneIndex, ZoneView, start,
};
use crate::plant::{StartUp, UnitControl};
use crate::time::{ClockTime, Instant, Period, Seconds};
use crate::weather::{Reading as AirReading, Weather};

/// One press and a look at the display: common practice, no source.
pub(super) const CADENCE: Seconds = Seconds::new(10);
/// Machines deliver this part of what they are rated for: enough to count as served, too little
/// to warm a room.
const FAINT: f64 = 1e-9;

/// Two copies of a model on the bench: somebody is there, and nobody is.
#[derive(Clone, Debug)]
pub struct Bench {
    present: Model,
    absent: Model,
}

impl Bench {
    /// Puts the controls of a model on the bench, in rooms that read so (in the file's unit).
    /// `None` where a room's temperature is none.
    pub fn new(model: &Model, rooms: &[f64]) -> Option<Self> {
        let mut present = model.clone();
        present.period = Period::new(model.period.first(), 1, CADENCE).ok()?;
        let first = model.unit.to_celsius(rooms.first().copied().unwrap_or(20.0));
        let outdoor = AirReading { second: 0.0, temperature: first };
        present.weather = Weather::Readings([outdoor].into());
        present.neighbours.clear();
        present.actions.clear();
        // Only the tester presses.
        present.people.clear();
        for (zone, room) in present.zones.iter_mut().zip(rooms) {
            zone.space = still_room(model.unit.to_celsius(*room))?;
            zone.windows.clear();
            zone.gains.clear();
            zone.unit.control = UnitControl::proportional(1.0, 1.0);
            (zone.unit.start_up, zone.unit.reversal_time) = (StartUp::NONE, Seconds::ZERO);
            zone.unit.fan *= FAINT;
            for capacity in [&mut zone.unit.heating, &mut zone.unit.cooling].into_iter().flatten() {
                capacity.rated *= FAINT;
            }
            zone.controls.occupancy = Occupancy::Always;
        }
        for group in &mut present.outdoor_units {
            group.unit.lowest_output = 0.0;
            group.unit.reversal_time = Seconds::ZERO;
            group.unit.heating_lockout = None;
            group.unit.cooling_lockout = None;
            group.unit.backup = None;
        }
        let mut absent = present.clone();
        for (zone, real) in absent.zones.iter_mut().zip(&model.zones) {
            if real.controls.occupancy != Occupancy::Always {
                zone.controls.occupancy = Occupancy::Schedule(Vec::new());
            }
        }
        Some(Self { present, absent })
    }

    /// The controls as the file starts them.
    pub fn rig(&self) -> Rig<'_> {
        let (mut present, _) = start(&self.present);
        let (absent, _) = start(&self.absent);
        let mut state = present.state().clone();
        // No outdoor limit stands in the way, unless a line brings its sensor there.
        state.outdoor = OutdoorSensor::Ignored;
        present.resume(state.clone());
        let pristine = absent;
        let (plants, done) = (plants(&self.present), vec![None; self.present.zones.len()]);
        Rig { present, absent: pristine, nobody: false, start: state, plants, done }
    }
}

/// A room that keeps its temperature, degrees C.
fn still_room(start: f64) -> Option<Space> {
    Space::new(SpaceInput {
        floor: 1.0,
        height: 1.0,
        mass_area: 1.0,
        mass_capacity: 1e12,
        air_capacity: 1e12,
        opaque: 0.0,
        windows: 0.0,
        infiltration: 1e-9,
        open_window: 0.0,
        ventilation: None,
        start: Some(start),
    })
    .ok()
}

/// Controls under test.
#[derive(Clone, Debug)]
pub struct Rig<'m> {
    present: Simulation<'m>,
    absent: Simulation<'m>,
    nobody: bool,
    start: State,
    /// The plant of each zone.
    plants: Vec<usize>,
    /// When the last line of each plant was done.
    done: Vec<Option<Instant>>,
}

/// What controls remember, and what was done when.
pub(super) type Moment = (bool, State, Vec<Option<Instant>>);

impl<'m> Rig<'m> {
    /// Begins anew.
    pub fn reset(&mut self) {
        self.nobody = false;
        self.done.fill(None);
        self.present.resume(self.start.clone());
    }

    /// What the controls remember.
    pub fn state(&self) -> &State {
        self.simulation().state()
    }

    /// The state, to come back to with [`Rig::resume`].
    pub(super) fn moment(&self) -> Moment {
        (self.nobody, self.state().clone(), self.done.clone())
    }

    /// Goes back to a moment.
    pub(super) fn resume(&mut self, (nobody, state, done): Moment) {
        (self.nobody, self.done) = (nobody, done);
        self.running().resume(state);
    }

    /// The controls as they run now.
    pub fn simulation(&self) -> &Simulation<'m> {
        if self.nobody { &self.absent } else { &self.present }
    }

    fn running(&mut self) -> &mut Simulation<'m> {
        if self.nobody { &mut self.absent } else { &mut self.present }
    }

    fn set_nobody(&mut self, nobody: bool) {
        if self.nobody != nobody {
            let state = self.state().clone();
            self.nobody = nobody;
            self.running().resume(state);
        }
    }

    /// Does something, and reads what the controller then shows.
    pub fn perform(&mut self, place: Place, deed: &Deed) -> Reading {
        let mut refused = None;
        match deed {
            Deed::Look => self.idle(CADENCE),
            Deed::Wait(time) => {
                let left = time.get() - self.since_last(place.zone).get();
                self.idle(Seconds::new(left.max(0)));
            }
            Deed::Press { key, times } => {
                let press =
                    self.action(place, Role::Occupant, Doing::Request(Request::Press(*key)));
                refused = self.act(&vec![press; *times as usize]);
            }
            Deed::Restore { requests } => {
                let all = requests
                    .iter()
                    .map(|request| self.action(place, Role::Technician, Doing::Request(*request)));
                let all: Vec<Action> = all.collect();
                refused = self.act(&all);
            }
            Deed::PowerFailure(lasts) => {
                let failure = self.action(place, Role::Technician, Doing::PowerFailure(*lasts));
                self.act(&[failure]);
                self.idle(Seconds::new(lasts.get() + CADENCE.get()));
            }
            Deed::Leave | Deed::Return => {
                self.set_nobody(*deed == Deed::Leave);
                self.idle(CADENCE);
            }
            Deed::Window(to) => {
                let moved = self.action(place, Role::Occupant, Doing::Window(*to));
                self.act(&[moved]);
            }
            Deed::Outdoors(reads) => {
                let mut state = self.state().clone();
                state.outdoor = reads.map_or(OutdoorSensor::Ignored, OutdoorSensor::Reads);
                self.running().resume(state);
                self.idle(CADENCE);
            }
            Deed::Clock(time) => {
                let asked = self.asked_at(place, *time);
                self.act(&asked);
            }
        }
        self.done[self.plants[place.zone.get()]] = Some(self.state().now);
        Reading { refused, ..self.reading(place.zone) }
    }

    /// How long ago the last line of a zone's plant was done; nothing where none was.
    pub(super) fn since_last(&self, zone: ZoneIndex) -> Seconds {
        let now = self.state().now;
        self.done[self.plants[zone.get()]].map_or(Seconds::ZERO, |done| now.since(done))
    }

    /// Lets time pass in which nothing is done and nothing is read.
    pub(super) fn pass(&mut self, time: Seconds) {
        self.idle(time);
    }

    /// What the controllers of a zone show.
    pub fn reading(&self, zone: ZoneIndex) -> Reading {
        let state = &self.state().zones[zone.get()];
        let settings = &state.settings;
        let shown = |side: Side| {
            let value = settings.grid.value(state.stored.setpoints.get(side));
            settings.display.map_or(value, |display| {
                display.grid().value(display.reads(value, settings.grid.unit()))
            })
        };
        Reading {
            heat: shown(Side::Heat),
            cool: shown(Side::Cool),
            mode: state.stored.mode,
            power: state.stored.power,
            running: self.state().logic[zone.get()].state.call().direction(),
            refused: None,
        }
    }

    /// What a zone's sensor reported last, in the file's unit.
    pub(super) fn sensed(&self, zone: ZoneIndex) -> f64 {
        self.state().logic[zone.get()].sensed
    }

    fn action(&self, place: Place, role: Role, what: Doing) -> Action {
        Action {
            at: self.state().now,
            place: None,
            zone: place.zone,
            controller: place.controller,
            by: Arc::from("tester"),
            role,
            what,
        }
    }

    /// What the schedule asks for in a zone at a clock time.
    fn asked_at(&self, place: Place, time: ClockTime) -> Vec<Action> {
        let controls = &self.simulation().model().zones[place.zone.get()].controls;
        let Some(returns) = controls.returns.as_ref().filter(|it| it.at.contains(&time)) else {
            return Vec::new();
        };
        let grid = controls.settings.grid;
        let ask = |(side, to)| Doing::Request(Request::Setpoint(side, grid.value(to)));
        let asked = returns.to().into_iter().map(ask);
        asked.map(|what| self.action(place, Role::Schedule, what)).collect()
    }

    /// One step in which these are done; whether the last of them was refused.
    fn act(&mut self, actions: &[Action]) -> Option<bool> {
        let mut last = LastOutcome::default();
        self.running().step_with(actions, &mut last);
        last.0.map(|outcome| outcome == Outcome::Refused)
    }

    fn idle(&mut self, time: Seconds) {
        for _ in 0..time.get() / CADENCE.get() {
            self.running().step_with(&[], &mut LastOutcome::default());
        }
    }

    /// Whether a zone is switched on.
    pub(super) fn is_on(&self, zone: ZoneIndex) -> bool {
        self.state().zones[zone.get()].stored.power == Power::On
    }
}

/// Hears how the last request of a step ended.
#[derive(Default)]
struct LastOutcome(Option<Outcome>);

impl Observer for LastOutcome {
    fn zone(&mut self, _: &ZoneView<'_>) {}
    fn group(&mut self, _: &GroupView<'_>) {}
    fn ledger(&mut self, row: LedgerRow) {
        if let Entry::Request { outcome, .. } = row.entry {
            self.0 = Some(outcome);
        }
    }
    fn call_began(&mut self, _: ZoneIndex, _: crate::time::Instant) {}
}
