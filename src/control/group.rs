//! Rule 10: zones on one outdoor unit, and who decides between heating and cooling.

use super::modes::Mode;
use super::thermostat::{Call, Selection, Thermostat, ThermostatState, WorkingSetpoints};
use crate::direction::Direction;
use crate::time::{Instant, Seconds};

/// Who decides the direction of a single-mode group.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ModePolicy {
    /// One zone does; the others follow.
    Owner,
    /// The zone that calls first.
    FirstCall,
    /// The larger rated capacity among the zones that want each direction.
    Majority,
    /// The zone furthest outside its setpoints.
    LargestError,
}

impl ModePolicy {
    /// All policies.
    pub const ALL: [Self; 4] = [Self::Owner, Self::FirstCall, Self::Majority, Self::LargestError];

    /// The word in a scenario file.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Owner => "owner",
            Self::FirstCall => "first_call",
            Self::Majority => "majority",
            Self::LargestError => "largest_error",
        }
    }
}

/// How a group decides, in words.
pub const fn policy_words(policy: ModePolicy) -> &'static str {
    match policy {
        ModePolicy::Owner => "one zone decides",
        ModePolicy::FirstCall => "the zone that calls first decides",
        ModePolicy::Majority => "the larger demand decides",
        ModePolicy::LargestError => "the zone furthest outside its setpoints decides",
    }
}

/// What the group does when its owner is switched off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum OwnerOff {
    /// It keeps the last direction.
    Hold,
    /// It stops.
    Stop,
}

impl OwnerOff {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Hold, Self::Stop];

    /// The word in a scenario file.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Hold => "hold",
            Self::Stop => "stop",
        }
    }

    /// What it does, in a few words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Hold => "the group keeps its last direction",
            Self::Stop => "the whole group stops",
        }
    }
}

/// How the zones of a group share one outdoor unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sharing {
    /// The outdoor unit heats or cools, one at a time.
    SingleMode {
        /// Who decides which.
        policy: ModePolicy,
        /// The owner zone, as its place among the members.
        owner: usize,
        /// What happens when it is switched off.
        owner_off: OwnerOff,
        /// Least time between service in one direction and a change, for the policies without
        /// an owner.
        changeover_delay: Seconds,
    },
    /// The outdoor unit heats some zones and cools others at the same time.
    Simultaneous,
}

/// The settings of a group.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GroupSettings {
    /// How the outdoor unit is shared.
    pub sharing: Sharing,
    /// Once no zone is served, none starts before this has passed.
    pub min_off: Seconds,
}

impl GroupSettings {
    /// A zone with a plant of its own: a group of one that owns its mode, without a compressor
    /// timer besides the unit's own.
    pub const LONE: Self = Self {
        sharing: Sharing::SingleMode {
            policy: ModePolicy::Owner,
            owner: 0,
            owner_off: OwnerOff::Hold,
            changeover_delay: Seconds::ZERO,
        },
        min_off: Seconds::ZERO,
    };

    /// The owner's place among the members, where an owner decides.
    pub const fn owner(&self) -> Option<usize> {
        match self.sharing {
            Sharing::SingleMode { policy: ModePolicy::Owner, owner, .. } => Some(owner),
            Sharing::SingleMode { .. } | Sharing::Simultaneous => None,
        }
    }
}

/// New values for some of a group's settings (rule 8); what is `None` stays.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct GroupChange {
    /// Who decides the direction.
    pub policy: Option<ModePolicy>,
    /// The owner zone, as its place among the members.
    pub owner: Option<usize>,
}

impl GroupChange {
    /// Whether it changes nothing.
    pub const fn is_empty(&self) -> bool {
        self.policy.is_none() && self.owner.is_none()
    }

    /// Puts the change in force. A simultaneous unit has neither policy nor owner.
    pub fn apply(&self, settings: &mut GroupSettings) {
        if let Sharing::SingleMode { policy, owner, .. } = &mut settings.sharing {
            *policy = self.policy.unwrap_or(*policy);
            *owner = self.owner.unwrap_or(*owner);
        }
    }
}

/// What the decision of a step needs to know of one zone, and the memory that it changes.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneLogic {
    /// How it decides.
    pub thermostat: Thermostat,
    /// What it remembers.
    pub state: ThermostatState,
    /// Its mode and power as they are in force.
    pub selection: Selection,
    /// What its sensor reports, in the file's unit.
    pub sensed: f64,
    /// Its setpoints in force.
    pub working: WorkingSetpoints,
    /// Rated capacity for heating and cooling, W.
    pub rated: [f64; 2],
}

impl ZoneLogic {
    /// Whether it meets the start condition of a direction.
    pub fn meets_start(&self, direction: Direction) -> bool {
        self.thermostat.starts(direction, self.sensed, self.working)
    }

    /// Whether a call in a direction is satisfied.
    pub fn is_past_end(&self, direction: Direction) -> bool {
        self.thermostat.ends(direction, self.sensed, self.working)
    }

    /// How far it lies beyond where a call in a direction starts, in the file's unit.
    pub fn beyond_start(&self, direction: Direction) -> f64 {
        self.thermostat.beyond_start(direction, self.sensed, self.working)
    }

    /// How far it lies from where a call in a direction would end, in the file's unit.
    pub fn distance_to_end(&self, direction: Direction) -> f64 {
        let distance = self.thermostat.distance_to_end(direction, self.working);
        distance.of(-direction.sign() * self.sensed)
    }

    /// Whether its own mode allows a direction and it has a call there or would start one.
    fn wants(&self, direction: Direction) -> bool {
        self.selection.allows(direction)
            && (self.state.call().direction() == Some(direction) || self.meets_start(direction))
    }

    /// How far it lies outside its setpoint in a direction, in the file's unit.
    fn error(&self, direction: Direction) -> f64 {
        match direction {
            Direction::Heating => self.working.heat - self.sensed,
            Direction::Cooling => self.sensed - self.working.cool,
        }
    }

    fn settle_own(&mut self, now: Instant) {
        let Self { thermostat, state, selection, sensed, working, .. } = self;
        state.settle_own(thermostat, *selection, *sensed, *working, now);
    }

    fn settle_in(&mut self, direction: Direction, selection: Selection, now: Instant) {
        let Self { thermostat, state, sensed, working, .. } = self;
        state.settle_in(direction, thermostat, selection, *sensed, *working, now);
    }

    fn start(&mut self, selection: Selection, now: Instant) -> bool {
        let Self { thermostat, state, sensed, working, .. } = self;
        state.start_what_is_wanted(thermostat, selection, *sensed, *working, now)
    }

    /// What a follower may have calls for: power and `fan` are its own, the direction is not.
    pub const fn following(&self) -> Selection {
        match self.selection {
            Selection::Off | Selection::On(Mode::Fan) => self.selection,
            Selection::On(_) => Selection::On(Mode::Auto),
        }
    }
}

/// What a group remembers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GroupState {
    direction: Direction,
    stopped: bool,
    turned_at: Option<Instant>,
    served_until: [Option<Instant>; 2],
}

impl GroupState {
    /// Before the first step.
    pub const fn new(direction: Direction) -> Self {
        Self { direction, stopped: false, turned_at: None, served_until: [None; 2] }
    }

    /// The direction of a single-mode group.
    pub const fn direction(&self) -> Direction {
        self.direction
    }

    /// Whether the owner's power off has stopped the group.
    pub const fn is_stopped(&self) -> bool {
        self.stopped
    }

    /// When service in a direction last ended.
    pub const fn served_until(&self, direction: Direction) -> Option<Instant> {
        self.served_until[direction as usize]
    }

    /// When service in any direction last ended.
    pub fn any_served_until(&self) -> Option<Instant> {
        self.served_until.into_iter().flatten().max()
    }

    /// Notes that a step that ends at `end` was served in a direction.
    pub fn note_served(&mut self, direction: Direction, end: Instant) {
        self.served_until[direction as usize] = Some(end);
    }

    /// After a power failure: timers start anew, and the compressor rests.
    pub fn restart(&mut self, now: Instant) {
        self.served_until = self.served_until.map(|until| until.map(|_| now));
    }

    /// Decides calls and directions of one step (rule 12, phase 3). `members` are the places of
    /// the group's zones in `zones`; `began` is told each place at which a call begins.
    pub fn decide(
        &mut self,
        settings: &GroupSettings,
        members: &[usize],
        zones: &mut [ZoneLogic],
        now: Instant,
        mut began: impl FnMut(usize),
    ) {
        match settings.sharing {
            Sharing::Simultaneous => {
                for &at in members {
                    zones[at].settle_own(now);
                }
            }
            Sharing::SingleMode { policy: ModePolicy::Owner, owner, owner_off, .. } => {
                self.follow_owner(members, zones, owner, owner_off, now);
            }
            Sharing::SingleMode { policy, changeover_delay, .. } => {
                self.settle_all(members, zones, now);
                self.turn_by_policy(policy, changeover_delay, members, zones, now);
                self.settle_all(members, zones, now);
            }
        }
        if !self.has_rested(settings.min_off, members, zones, now) {
            return;
        }
        for (place, &at) in members.iter().enumerate() {
            let selection = self.selection_of(settings, place, &zones[at]);
            if zones[at].start(selection, now) {
                began(at);
            }
        }
    }

    /// The owner settles first; everybody else does so in its direction.
    fn follow_owner(
        &mut self,
        members: &[usize],
        zones: &mut [ZoneLogic],
        owner: usize,
        owner_off: OwnerOff,
        now: Instant,
    ) {
        let at = members[owner];
        zones[at].settle_own(now);
        self.stopped = owner_off == OwnerOff::Stop && zones[at].selection == Selection::Off;
        self.turn_to(zones[at].state.direction(), now);
        for (_, &at) in members.iter().enumerate().filter(|(place, _)| *place != owner) {
            let selection = if self.stopped { Selection::Off } else { zones[at].following() };
            zones[at].settle_in(self.direction, selection, now);
        }
    }

    fn settle_all(&self, members: &[usize], zones: &mut [ZoneLogic], now: Instant) {
        for &at in members {
            let selection = zones[at].selection;
            zones[at].settle_in(self.direction, selection, now);
        }
    }

    /// Takes over a direction that has been decided.
    pub fn turn_to(&mut self, direction: Direction, now: Instant) {
        if self.direction != direction {
            self.direction = direction;
            self.turned_at = Some(now);
        }
    }

    fn turn_by_policy(
        &mut self,
        policy: ModePolicy,
        delay: Seconds,
        members: &[usize],
        zones: &[ZoneLogic],
        now: Instant,
    ) {
        let present = self.direction;
        let passed = |since: Option<Instant>| since.is_none_or(|then| now.since(then) >= delay);
        let wanted = match policy {
            ModePolicy::Owner => None,
            ModePolicy::FirstCall => passed(self.served_until(present))
                .then(|| first_caller(present, members, zones))
                .flatten(),
            ModePolicy::Majority => {
                passed(self.turned_at).then(|| majority(members, zones)).flatten()
            }
            ModePolicy::LargestError => {
                passed(self.turned_at).then(|| furthest_outside(present, members, zones)).flatten()
            }
        };
        self.turn_to(wanted.unwrap_or(present), now);
    }

    /// Whether the compressor may start: a zone's call goes on, or it has stood long enough.
    fn has_rested(
        &self,
        min_off: Seconds,
        members: &[usize],
        zones: &[ZoneLogic],
        now: Instant,
    ) -> bool {
        if min_off == Seconds::ZERO {
            return true;
        }
        let Some(until) = self.any_served_until() else { return true };
        let goes_on =
            |at: &usize| matches!(zones[*at].state.call(), Call::On { served_since: Some(_), .. });
        now.since(until) >= min_off || (until == now && members.iter().any(goes_on))
    }

    /// What the zone at a place among the members may have calls for.
    pub(super) fn selection_of(
        &self,
        settings: &GroupSettings,
        place: usize,
        zone: &ZoneLogic,
    ) -> Selection {
        match settings.owner() {
            Some(owner) if place != owner && self.stopped => Selection::Off,
            Some(owner) if place != owner => zone.following(),
            _ => zone.selection,
        }
    }

    /// Whether a zone is starved: it has power, is not in `fan`, has no call, and meets the start
    /// condition of the direction opposite to the group's.
    pub fn starves(&self, settings: &GroupSettings, zone: &ZoneLogic) -> bool {
        let single = matches!(settings.sharing, Sharing::SingleMode { .. });
        let awake = zone.selection.is_awake();
        single
            && !self.stopped
            && awake
            && zone.state.call().direction().is_none()
            && zone.meets_start(self.direction.opposite())
    }
}

/// Who calls first sets the direction: while a call goes on in the present one nobody does, else
/// the first zone in file order that would start a call.
fn first_caller(present: Direction, members: &[usize], zones: &[ZoneLogic]) -> Option<Direction> {
    let calling = |at: &usize| zones[*at].state.call().direction() == Some(present);
    if members.iter().any(calling) {
        return None;
    }
    members.iter().find_map(|&at| {
        [present, present.opposite()].into_iter().find(|&direction| zones[at].wants(direction))
    })
}

fn majority(members: &[usize], zones: &[ZoneLogic]) -> Option<Direction> {
    let sum = |direction: Direction| -> f64 {
        let wanting = members.iter().filter(|&&at| zones[at].wants(direction));
        wanting.map(|&at| zones[at].rated[direction as usize]).sum()
    };
    let (heating, cooling) = (sum(Direction::Heating), sum(Direction::Cooling));
    if heating > cooling {
        Some(Direction::Heating)
    } else if cooling > heating {
        Some(Direction::Cooling)
    } else {
        None
    }
}

/// The direction of the zone furthest outside; a tie keeps the present one.
fn furthest_outside(
    present: Direction,
    members: &[usize],
    zones: &[ZoneLogic],
) -> Option<Direction> {
    let worst = |direction: Direction| {
        let wanting = members.iter().filter(|&&at| zones[at].wants(direction));
        wanting.map(|&at| zones[at].error(direction)).reduce(f64::max)
    };
    let opposite = present.opposite();
    match (worst(present), worst(opposite)) {
        (Some(here), Some(there)) if there > here => Some(opposite),
        (None, Some(_)) => Some(opposite),
        _ => None,
    }
}
