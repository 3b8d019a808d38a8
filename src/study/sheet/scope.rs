//! How much of each zone's test a sheet has, and which zones are so alike that one stands for all.

use std::collections::BTreeSet;

use crate::engine::{Model, Zone, ZoneIndex};

/// A section of a zone's test, which a sheet has or leaves out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Section {
    /// What the display shows before anything is pressed.
    Look,
    /// One press, so that nobody tests another zone's controller.
    Identity,
    /// Keys, limits, deadband, modes and locks.
    Keys,
    /// Calls in both directions and their timers; of an owner, what it does to others.
    Calls,
    /// What works while nobody is there.
    Unoccupied,
    /// From one direction to the other.
    Changeover,
    /// The zone switches itself off.
    AutomaticOff,
    /// Supply away and back.
    PowerReturn,
}

impl Section {
    /// Everything that a whole test has.
    pub const WHOLE: [Self; 7] = [
        Self::Look,
        Self::Keys,
        Self::Calls,
        Self::Unoccupied,
        Self::Changeover,
        Self::AutomaticOff,
        Self::PowerReturn,
    ];
}

/// Which sections a sheet has of each zone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Scope {
    zones: Vec<BTreeSet<Section>>,
    whole: bool,
}

impl Scope {
    /// The whole test of every zone.
    pub fn whole(model: &Model) -> Self {
        let zones = vec![Section::WHOLE.into_iter().collect(); model.zones.len()];
        Self { zones, whole: true }
    }

    /// Nothing yet.
    pub fn nothing(model: &Model) -> Self {
        Self { zones: vec![BTreeSet::new(); model.zones.len()], whole: false }
    }

    /// The whole test of these zones, of others nothing.
    pub fn of_zones(model: &Model, zones: &[ZoneIndex]) -> Self {
        let mut scope = Self::nothing(model);
        for zone in zones {
            scope.zones[zone.get()].extend(Section::WHOLE);
        }
        scope.whole = zones.len() == model.zones.len();
        scope
    }

    /// Of zones that are alike the whole test of the first, of the others what wiring may have mixed
    /// up: what they show, and one press.
    #[must_use]
    pub fn alike_once(mut self, model: &Model) -> Self {
        for class in classes(model) {
            let mut meant = class.iter().filter(|zone| !self.zones[zone.get()].is_empty());
            if meant.next().is_some() {
                let others: Vec<ZoneIndex> = meant.copied().collect();
                for zone in others {
                    self.zones[zone.get()] = [Section::Look, Section::Identity].into();
                    self.whole = false;
                }
            }
        }
        self
    }

    /// Whether it is the whole test of every zone.
    pub const fn is_whole(&self) -> bool {
        self.whole
    }

    /// Whether it has a section of a zone.
    pub fn has(&self, zone: ZoneIndex, section: Section) -> bool {
        self.zones[zone.get()].contains(&section)
    }

    /// Whether it has anything of a zone.
    pub fn visits(&self, zone: ZoneIndex) -> bool {
        !self.zones[zone.get()].is_empty()
    }

    /// The sections of a zone.
    pub fn sections(&self, zone: ZoneIndex) -> impl Iterator<Item = Section> {
        self.zones[zone.get()].iter().copied()
    }

    /// Adds a section of a zone.
    pub fn add(&mut self, zone: ZoneIndex, section: Section) {
        self.zones[zone.get()].insert(section);
    }
}

/// Zones that are alike, each in one class, in the order of the file: the same settings, unit and
/// place in their group.
pub fn classes(model: &Model) -> Vec<Vec<ZoneIndex>> {
    let mut all: Vec<Vec<ZoneIndex>> = Vec::new();
    for at in 0..model.zones.len() {
        let zone = ZoneIndex::new(at);
        let like = |class: &&mut Vec<ZoneIndex>| alike(model, class[0], zone);
        match all.iter_mut().find(like) {
            Some(class) => class.push(zone),
            None => all.push(vec![zone]),
        }
    }
    all
}

fn alike(model: &Model, one: ZoneIndex, other: ZoneIndex) -> bool {
    let place = |zone: ZoneIndex| {
        let mut groups = model.outdoor_units.iter();
        let group = groups.find(|group| group.zones.contains(&zone))?;
        let owner = group.settings.owner().map(|owner| group.zones[owner]);
        Some((group.settings, group.zones.len() > 1, owner == Some(zone)))
    };
    let unit = |zone: &Zone| (zone.unit.heating.is_some(), zone.unit.cooling.is_some());
    let zones = [one, other].map(|zone| &model.zones[zone.get()]);
    zones[0].controls == zones[1].controls
        && unit(zones[0]) == unit(zones[1])
        && place(one) == place(other)
}
