//! The search: breadth first, so that the first way found to a state is a shortest one.

use super::Proof;
use super::table::Table;
use crate::control::{
    Claim, ControllerIndex, Key, LockableKey, Mode, Power, Request, Returns, Role, Settings,
    Standing, Stored, Verdict, judge,
};
use crate::direction::Direction;
use crate::engine::{Model, ZoneIndex};

/// How many states are found between two words of progress.
const TELL_EVERY: usize = 1 << 18;

/// One thing that happens to a zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Move {
    /// An occupant presses a key.
    Press {
        /// Which key.
        key: Key,
        /// At which controller.
        controller: ControllerIndex,
        /// The direction that the zone must have for it; `None` where it makes no difference.
        direction: Option<Direction>,
    },
    /// Nobody does anything until `auto_off` switches the zone off.
    AutoOff,
    /// Nobody does anything until the setpoints go back by the clock (rule 17).
    GoesBack,
}

/// A press at the start that is hard to undo.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WorstPress {
    /// The press.
    pub step: Move,
    /// What is stored after it.
    pub after: Stored,
    /// How many moves undo it at least; `None` where none do.
    pub undone_by: Option<u32>,
}

/// An occupant at the keys of one zone.
#[derive(Clone, Debug)]
pub struct Presser<'m> {
    settings: &'m Settings,
    start: Stored,
    follows: bool,
    auto_off: bool,
    returns: Option<&'m Returns>,
    /// The keys that lead anywhere, each at the first controller that leaves it free.
    free: Vec<(Key, ControllerIndex)>,
}

impl<'m> Presser<'m> {
    /// The occupant of a zone.
    pub fn new(model: &'m Model, zone: ZoneIndex) -> Self {
        let controls = &model.zones[zone.get()].controls;
        let follows = model.outdoor_units.iter().any(|group| {
            let place = group.zones.iter().position(|member| *member == zone);
            place.is_some_and(|place| group.settings.owner().is_some_and(|owner| owner != place))
        });
        Self {
            settings: &controls.settings,
            start: controls.start,
            follows,
            auto_off: controls.auto_off.is_some(),
            returns: controls.returns.as_ref(),
            free: free_keys(&controls.settings),
        }
    }

    /// Whether two zones have the same states: their keys, settings and starts are the same.
    pub(crate) fn is_like(&self, other: &Self) -> bool {
        self.settings == other.settings
            && self.start == other.start
            && self.follows == other.follows
            && self.auto_off == other.auto_off
            && self.returns == other.returns
    }

    /// What requests are judged by.
    pub const fn settings(&self) -> &'m Settings {
        self.settings
    }

    /// What is stored at the start.
    pub const fn start(&self) -> Stored {
        self.start
    }

    /// How the zone stands in a direction.
    pub const fn standing(&self, direction: Direction) -> Standing {
        if self.follows { Standing::Follower(direction) } else { Standing::Own(direction) }
    }

    /// Whether the direction decides what `warmer` and `cooler` move.
    pub(super) fn depends_on_direction(&self, stored: &Stored) -> bool {
        stored.power == Power::On
            && stored.mode != Mode::Fan
            && (self.follows || stored.mode == Mode::Auto)
    }

    /// What a press does.
    pub(super) fn press(&self, stored: &Stored, key: Key, direction: Direction) -> Verdict {
        let controller = self.free.iter().find(|(free, _)| *free == key);
        let controller = controller.map_or(ControllerIndex::new(0), |(_, controller)| *controller);
        let standing = self.standing(direction);
        judge(self.settings, stored, standing, Request::Press(key), Role::Occupant, controller)
    }

    /// Whether two states work alike: a follower that is not in `fan` follows, whatever mode it
    /// stores (rule 10).
    fn alike(&self, one: &Stored, other: &Stored) -> bool {
        let following = self.follows && one.mode != Mode::Fan && other.mode != Mode::Fan;
        let mode = if following { one.mode } else { other.mode };
        *one == Stored { mode, ..*other }
    }

    /// The keys that are not locked at every controller.
    pub(super) fn free(&self) -> &[(Key, ControllerIndex)] {
        &self.free
    }

    /// What is stored after a move.
    pub fn after(&self, stored: &Stored, step: Move) -> Stored {
        match step {
            Move::Press { key, direction, .. } => {
                self.press(stored, key, direction.unwrap_or(Direction::Heating)).after
            }
            Move::AutoOff => Stored { power: Power::Off, ..*stored },
            Move::GoesBack => self.gone_back(stored),
        }
    }

    /// What is stored once the setpoints have gone back: each as a request of the schedule.
    fn gone_back(&self, stored: &Stored) -> Stored {
        let asked = self.returns.into_iter().flat_map(Returns::to);
        asked.fold(*stored, |stored, (side, to)| {
            let request = Request::Setpoint(side, self.settings.grid.value(to));
            let standing = self.standing(Direction::Heating);
            let primary = self.settings.controllers.primary();
            judge(self.settings, &stored, standing, request, Role::Schedule, primary).after
        })
    }

    /// Calls with every move that changes something, and what it leads to.
    pub(super) fn moves(&self, stored: &Stored, mut take: impl FnMut(Move, Stored)) {
        let both = self.depends_on_direction(stored);
        for &(key, controller) in &self.free {
            if both && matches!(key, Key::Warmer | Key::Cooler) {
                for direction in Direction::BOTH {
                    let after = self.press(stored, key, direction).after;
                    if after != *stored {
                        let direction = Some(direction);
                        take(Move::Press { key, controller, direction }, after);
                    }
                }
            } else {
                let after = self.press(stored, key, Direction::Heating).after;
                if after != *stored {
                    take(Move::Press { key, controller, direction: None }, after);
                }
            }
        }
        if self.auto_off && stored.power == Power::On {
            take(Move::AutoOff, Stored { power: Power::Off, ..*stored });
        }
        let back = self.gone_back(stored);
        if back != *stored {
            take(Move::GoesBack, back);
        }
    }
}

/// What a key needs of the lock.
const fn needs(key: Key) -> LockableKey {
    Request::Press(key).needs()
}

fn free_keys(settings: &Settings) -> Vec<(Key, ControllerIndex)> {
    let at = |key: Key| settings.key_locks.iter().position(|locks| !locks.refuses(needs(key)));
    let free = |key: Key| Some((key, ControllerIndex::new(at(key)?)));
    Key::ALL.into_iter().filter_map(free).collect()
}

/// The states found, with how each was found first.
#[derive(Debug)]
pub(super) struct Explored {
    states: Vec<Stored>,
    /// From which state, and by which move.
    found_by: Vec<Option<(u32, Move)>>,
    /// Where the moves of each state lead: the ends of each one's part.
    ends: Vec<u32>,
    leads_to: Vec<u32>,
    is_complete: bool,
    /// For each claim the first state that breaks it.
    broken_at: Vec<Option<u32>>,
}

impl Explored {
    /// Explores from the start until nothing new is found, or too much.
    pub(super) fn from_start(
        presser: &Presser<'_>,
        claims: &[Claim],
        most: usize,
        progress: &mut dyn FnMut(usize),
    ) -> Self {
        let mut table = Table::new(&presser.settings().rules);
        let mut explored = Self {
            states: Vec::new(),
            found_by: Vec::new(),
            ends: Vec::new(),
            leads_to: Vec::new(),
            is_complete: true,
            broken_at: vec![None; claims.len()],
        };
        explored.add(presser, claims, &mut table, presser.start(), None);
        let mut at = 0;
        while let Some(stored) = explored.states.get(at).copied() {
            let from = u32::try_from(at).unwrap_or(u32::MAX);
            presser.moves(&stored, |step, after| {
                let known = table.get(&after);
                let to = known.or_else(|| {
                    if explored.states.len() >= most {
                        explored.is_complete = false;
                        return None;
                    }
                    let found = Some((from, step));
                    Some(explored.add(presser, claims, &mut table, after, found))
                });
                explored.leads_to.extend(to);
            });
            explored.ends.push(u32::try_from(explored.leads_to.len()).unwrap_or(u32::MAX));
            at += 1;
            if at % TELL_EVERY == 0 {
                progress(explored.states.len());
            }
        }
        explored
    }

    fn add(
        &mut self,
        presser: &Presser<'_>,
        claims: &[Claim],
        table: &mut Table,
        stored: Stored,
        found_by: Option<(u32, Move)>,
    ) -> u32 {
        let id = u32::try_from(self.states.len()).unwrap_or(u32::MAX);
        table.put(&stored, id);
        self.states.push(stored);
        self.found_by.push(found_by);
        for (claim, broken) in claims.iter().zip(&mut self.broken_at) {
            if broken.is_none() && !claim.holds(presser.settings().grid, &stored) {
                *broken = Some(id);
            }
        }
        id
    }

    pub(super) fn states(&self) -> &[Stored] {
        &self.states
    }

    pub(super) fn into_states(self) -> Vec<Stored> {
        self.states
    }

    pub(super) const fn is_complete(&self) -> bool {
        self.is_complete
    }

    /// What became of a claim.
    pub(super) fn proof(&self, claim: usize) -> Proof {
        match self.broken_at.get(claim).copied().flatten() {
            Some(state) => Proof::Broken(self.way_to(state)),
            None if self.is_complete => Proof::Holds,
            None => Proof::Undecided,
        }
    }

    /// The moves by which a state was found.
    fn way_to(&self, state: u32) -> Vec<Move> {
        let mut moves = Vec::new();
        let mut at = state;
        while let Some((before, step)) = self.found_by[at as usize] {
            moves.push(step);
            at = before;
        }
        moves.reverse();
        moves
    }

    /// Where the moves of a state lead.
    fn next(&self, state: usize) -> &[u32] {
        let from = if state == 0 { 0 } else { self.ends[state - 1] };
        &self.leads_to[from as usize..self.ends[state] as usize]
    }

    /// How many moves lead from each state back to the start, or to what works like it, at least;
    /// `None` where none do.
    fn ways_back(&self, presser: &Presser<'_>) -> Vec<Option<u32>> {
        let (offsets, backward) = self.reversed();
        let mut distance: Vec<Option<u32>> = vec![None; self.states.len()];
        let like_start = |at: &usize| presser.alike(&self.states[*at], &self.states[0]);
        let mut frontier: Vec<usize> = (0..self.states.len()).filter(like_start).collect();
        let mut steps = 0;
        for state in &frontier {
            distance[*state] = Some(0);
        }
        while !frontier.is_empty() {
            steps += 1;
            let mut next = Vec::new();
            for state in frontier {
                for &before in &backward[offsets[state] as usize..offsets[state + 1] as usize] {
                    let slot = &mut distance[before as usize];
                    if slot.is_none() {
                        *slot = Some(steps);
                        next.push(before as usize);
                    }
                }
            }
            frontier = next;
        }
        distance
    }

    /// From where moves lead to each state: the start of each one's part, and all of them.
    fn reversed(&self) -> (Vec<u32>, Vec<u32>) {
        let mut offsets = vec![0_u32; self.states.len() + 1];
        for to in &self.leads_to {
            offsets[*to as usize + 1] += 1;
        }
        for at in 1..offsets.len() {
            offsets[at] += offsets[at - 1];
        }
        let mut filled = offsets.clone();
        let mut backward = vec![0_u32; self.leads_to.len()];
        for state in 0..self.states.len() {
            for to in self.next(state) {
                let slot = &mut filled[*to as usize];
                backward[*slot as usize] = u32::try_from(state).unwrap_or(u32::MAX);
                *slot += 1;
            }
        }
        (offsets, backward)
    }

    /// How many states have no way back to the start.
    pub(super) fn no_way_back(&self, presser: &Presser<'_>) -> usize {
        self.ways_back(presser).iter().filter(|way| way.is_none()).count()
    }

    /// The press at the start that takes most presses to undo, or that none undo.
    pub(super) fn worst_press(&self, presser: &Presser<'_>) -> Option<WorstPress> {
        let back = self.ways_back(presser);
        let mut worst: Option<WorstPress> = None;
        let mut edges = self.next(0).iter();
        presser.moves(&presser.start(), |step, after| {
            let undone_by = edges.next().and_then(|to| back[*to as usize]);
            let harder = |than: &WorstPress| match (undone_by, than.undone_by) {
                (None, Some(_)) => true,
                (Some(one), Some(other)) => one > other,
                (_, None) => false,
            };
            if worst.as_ref().is_none_or(harder) {
                worst = Some(WorstPress { step, after, undone_by });
            }
        });
        worst
    }
}
