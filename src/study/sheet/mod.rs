//! A functional test sheet for site: what to press, what must then be read, and what that proves.
//!
//! The lines come from the controls themselves: a planner looks for the shortest presses that
//! bring about each outcome of the rules which occupants can bring about ([`reach`] finds them
//! all), in the judgement of the control module, and a bench runs the same controls through every
//! press and every wait and notes what they show. Rooms count as steady while the sheet is worked
//! through, as they are when somebody commissions them.
//!
//! [`reach`]: crate::study::reach
//!
//! ```
//! use setband::Scenario;
//! use setband::study::sheet::{Conditions, sheet};
//!
//! let scenario = Scenario::parse(
//!     "period: {from: 2025-04-16}
//! weather: {design_day: {high: 18, range: 11}}
//! zones:
//!   hall: {space: {floor: 60 m2}, unit: {heating: 4 kW, cooling: 4 kW}, controls: {heat: 20, cool: 24}}
//! ",
//! )?;
//! let sheet = sheet(scenario.model(), Conditions::default()).expect("something can be tested");
//! assert!(!sheet.steps.is_empty());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod bench;
mod calls;
mod choose;
mod group;
mod keys;
mod limits;
mod order;
mod outcome;
mod pace;
mod path;
mod plants;
mod rooms;
mod scope;
mod step;
mod vary;
mod witness;
mod writer;

use std::collections::HashSet;

pub use crate::scenario::Requirement;
pub use bench::{Bench, Rig};
pub use calls::Hindrance;
pub use choose::{Choice, Item, Problem, choose, weight};
pub use outcome::{Effect, Proven};
pub use pace::Pace;
pub use plants::since;
pub use rooms::{SEASON, Season, season};
pub use scope::{Scope, Section, classes};
pub use step::{Deed, Part, Place, Reading, Step};
pub use vary::{Seen, Unseen, Variation, variations};
pub use witness::{Shown, Witness, witness};

use crate::control::Key;
use crate::engine::{Model, ZoneIndex};
use crate::time::Seconds;
use writer::Writer;

/// How the sheet is to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// What every room reads at the time, in the file's unit; for each zone what lets most be
    /// tested where it is not known.
    pub room: Option<f64>,
    /// Outdoor air at the time, in the file's unit, if it is known.
    pub outdoor: Option<f64>,
    /// No wait is longer.
    pub longest_wait: Seconds,
}

impl Default for Conditions {
    fn default() -> Self {
        Self { room: None, outdoor: None, longest_wait: Seconds::hours(3) }
    }
}

/// A part of a zone's test that has to wait for another day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Deferred {
    /// Which zone.
    pub zone: ZoneIndex,
    /// Which part.
    pub part: Part,
    /// Why.
    pub why: Hindrance,
}

/// A test sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// What each room is to read, in the file's unit.
    pub rooms: Vec<f64>,
    /// Under which conditions.
    pub conditions: Conditions,
    /// The lines, in order.
    pub steps: Vec<Step>,
    /// What they would take one zone after the other, by the usual [`Pace`].
    pub in_turn: Seconds,
    /// What has to wait.
    pub deferred: Vec<Deferred>,
    /// How many outcomes of presses occupants can bring about, over all zones.
    pub reachable: usize,
    /// Those among them that no line shows.
    pub missing: Vec<(ZoneIndex, Proven)>,
    /// Settings with the lines that show them.
    pub seen: Vec<Seen>,
    /// Changes of settings that no line would show.
    pub unseen: Vec<Unseen>,
    /// How many changes of settings were tried.
    pub varied: usize,
}

/// Writes the sheet of a model, and tries which changes of settings it would catch. `None` where a
/// room's temperature is none.
pub fn sheet(model: &Model, conditions: Conditions) -> Option<Sheet> {
    sheet_of(model, conditions, &Scope::whole(model))
}

/// The same of a part of the whole test.
pub fn sheet_of(model: &Model, conditions: Conditions, scope: &Scope) -> Option<Sheet> {
    let mut sheet = lines_of(model, conditions, scope)?;
    let tried = vary::tried(model, &sheet.rooms, &sheet.steps);
    (sheet.seen, sheet.unseen, sheet.varied) = (tried.seen, tried.unseen, tried.count);
    Some(sheet)
}

/// Writes the lines alone: no change of settings is tried. `None` where a room's temperature is
/// none.
pub fn lines(model: &Model, conditions: Conditions) -> Option<Sheet> {
    lines_of(model, conditions, &Scope::whole(model))
}

/// The same of a part of the whole test.
pub fn lines_of(model: &Model, conditions: Conditions, scope: &Scope) -> Option<Sheet> {
    let rooms = rooms::rooms(model, conditions.room);
    let bench = Bench::new(model, &rooms)?;
    let mut book = Book {
        writer: Writer {
            model,
            rig: bench.rig(),
            steps: Vec::new(),
            proven: HashSet::new(),
            part: Part::AsFound,
            longest_wait: conditions.longest_wait,
        },
        conditions,
        scope,
        wanted: Vec::new(),
        deferred: Vec::new(),
    };
    book.write();
    let Book { writer, wanted, deferred, .. } = book;
    let (steps, proven) = (writer.steps, writer.proven);
    let in_turn = Pace::USUAL.whole(model, &steps);
    let reachable = wanted.iter().map(HashSet::len).sum();
    let mut missing: Vec<(ZoneIndex, Proven)> = Vec::new();
    for (at, wanted) in wanted.iter().enumerate() {
        let zone = ZoneIndex::new(at);
        missing.extend(wanted.iter().map(|item| (zone, *item)).filter(|it| !proven.contains(it)));
    }
    missing.sort_by_key(|(zone, item)| (zone.get(), format!("{item:?}")));
    let (seen, unseen, varied) = (Vec::new(), Vec::new(), 0);
    let mut sheet = Sheet {
        rooms,
        conditions,
        steps,
        in_turn,
        deferred,
        reachable,
        missing,
        seen,
        unseen,
        varied,
    };
    sheet.keep_busy(model)?;
    Some(sheet)
}

/// Does a sheet's lines on a model's bench and tells the first line that reads otherwise.
pub fn first_failure(model: &Model, rooms: &[f64], steps: &[Step]) -> Option<usize> {
    let bench = Bench::new(model, rooms)?;
    let mut rig = bench.rig();
    steps.iter().position(|step| !step.agrees(&rig.perform(step.place, &step.deed)))
}

/// A sheet in the making, with what is wanted of it.
struct Book<'b, 'm> {
    writer: Writer<'b, 'm>,
    conditions: Conditions,
    /// What of the whole test it has.
    scope: &'b Scope,
    /// Zone by zone the outcomes that presses can have.
    wanted: Vec<HashSet<Proven>>,
    deferred: Vec<Deferred>,
}

impl Sheet {
    /// Puts the lines into the order that keeps waits busy; the new place of each line. `None` where a
    /// room's temperature is none.
    fn keep_busy(&mut self, model: &Model) -> Option<Vec<usize>> {
        let order = order::busy(model, &self.rooms, &self.steps);
        let mut places = vec![0; order.len()];
        if order.is_sorted() {
            return Some(order);
        }
        for (to, from) in order.iter().enumerate() {
            places[*from] = to;
        }
        self.steps = order.iter().map(|at| self.steps[*at].clone()).collect();
        self.rehearse(model)?;
        Some(places)
    }

    /// Does the lines anew, one after the other, and expects what is read then: lines of several
    /// parts may stand one behind the other that were made apart. `None` where a room's temperature
    /// is none.
    fn rehearse(&mut self, model: &Model) -> Option<()> {
        let bench = Bench::new(model, &self.rooms)?;
        let mut rig = bench.rig();
        for step in &mut self.steps {
            step.expected = rig.perform(step.place, &step.deed);
        }
        Some(())
    }
}

impl Book<'_, '_> {
    fn write(&mut self) {
        let model = self.writer.model;
        for at in 0..model.zones.len() {
            let zone = ZoneIndex::new(at);
            // A whole sheet begins with what all displays show; a short one walks to each zone once.
            if self.scope.is_whole() {
                self.look(zone);
            }
            let keys = self.scope.has(zone, Section::Keys);
            let wanted = if keys { self.wanted_in(zone) } else { HashSet::new() };
            self.wanted.push(wanted);
        }
        let groups: Vec<&[ZoneIndex]> =
            model.outdoor_units.iter().map(|group| &group.zones[..]).collect();
        for zones in &groups {
            self.write_group(zones);
        }
        let grouped = |zone: &ZoneIndex| groups.iter().any(|zones| zones.contains(zone));
        for zone in (0..model.zones.len()).map(ZoneIndex::new).filter(|zone| !grouped(zone)) {
            self.write_zone(zone, true);
        }
    }

    /// What a zone's display shows before anything is pressed there.
    fn look(&mut self, zone: ZoneIndex) {
        self.writer.part = Part::AsFound;
        let place = self.writer.primary(zone);
        self.writer.perform(place, Deed::Look, &[Proven::AsFound]);
    }

    /// Begins the visit to a zone in a short sheet: what it shows, and one press. Where nothing was
    /// done yet a look comes first in any case: until then no sensor has been read, and nobody can plan
    /// presses that bring a setpoint across the room's temperature.
    fn arrive(&mut self, zone: ZoneIndex) {
        let begins = self.scope.has(zone, Section::Look) || self.writer.steps.is_empty();
        if !self.scope.is_whole() && begins {
            self.look(zone);
        }
        if self.scope.has(zone, Section::Identity) {
            self.writer.part = Part::Keys;
            let order = [Key::Warmer, Key::Cooler, Key::Mode, Key::Power];
            let _ = order.into_iter().any(|key| self.writer.press_free(zone, key, &[Proven::Here]));
        }
    }

    /// Zones that are set alike can bring about the same.
    fn wanted_in(&self, zone: ZoneIndex) -> HashSet<Proven> {
        let model = self.writer.model;
        let controls = &model.zones[zone.get()].controls;
        let keys = self.writer.keys(zone);
        let alike = (0..self.wanted.len()).find(|at| {
            let other = &model.zones[*at].controls;
            self.scope.has(ZoneIndex::new(*at), Section::Keys)
                && other.settings == controls.settings
                && other.start == controls.start
                && other.auto_off.is_some() == controls.auto_off.is_some()
                && self.writer.keys(ZoneIndex::new(*at)).follows == keys.follows
        });
        match alike {
            Some(at) => self.wanted[at].clone(),
            None => keys::reachable(model, zone, &keys),
        }
    }
}
