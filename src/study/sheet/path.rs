//! The shortest way of presses from where a zone stands to a press that shows something.

use std::collections::HashSet;

use crate::control::{
    ControllerIndex, Direction, Key, Mode, Power, Request, Role, Settings, Standing, Stored,
    Thermostat, Verdict, WorkingSetpoints, judge,
};

/// More states than this are not searched.
const MOST_NODES: usize = 2_000_000;

/// What the way of presses goes through: what is stored, and the direction of the zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) struct Node {
    pub stored: Stored,
    pub direction: Direction,
}

/// One press.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Press {
    pub key: Key,
    pub controller: ControllerIndex,
}

/// A press on the way, with what it does.
#[derive(Clone, Copy, Debug)]
pub(super) struct Passing<'a> {
    pub before: &'a Node,
    pub press: Press,
    pub verdict: &'a Verdict,
    pub after: &'a Node,
}

/// The keys of a zone and what they do, as the control module judges them.
#[derive(Clone, Debug)]
pub(super) struct Keys<'s> {
    pub settings: &'s Settings,
    pub thermostat: &'s Thermostat,
    /// What the sensor reports, in the file's unit.
    pub sensed: f64,
    /// Whether the zone follows an owner.
    pub follows: bool,
    /// Whether the zone's own mode gives it its direction.
    pub leads: bool,
    /// Whether `auto` may turn without a delay from each direction now.
    pub may_turn: [bool; 2],
}

impl Keys<'_> {
    pub(super) const fn standing(&self, direction: Direction) -> Standing {
        if self.follows { Standing::Follower(direction) } else { Standing::Own(direction) }
    }

    /// The stored setpoints as the thermostat gets them.
    pub(super) fn working(&self, stored: &Stored) -> WorkingSetpoints {
        let grid = self.settings.grid;
        WorkingSetpoints::new(
            grid.value(stored.setpoints.heat()),
            grid.value(stored.setpoints.cool()),
        )
    }

    /// Whether a call in a direction would start with what is stored.
    pub(super) fn starts(&self, stored: &Stored, direction: Direction) -> bool {
        self.thermostat.starts(direction, self.sensed, self.working(stored))
    }

    /// Whether a call in a direction would end with what is stored.
    pub(super) fn ends(&self, stored: &Stored, direction: Direction) -> bool {
        self.thermostat.ends(direction, self.sensed, self.working(stored))
    }

    /// What a press does, to what is stored and to the direction a step later.
    pub(super) fn press(&self, node: &Node, press: Press) -> (Verdict, Node) {
        let standing = self.standing(node.direction);
        let request = Request::Press(press.key);
        let role = Role::Occupant;
        let verdict = judge(self.settings, &node.stored, standing, request, role, press.controller);
        let direction = self.direction_after(&verdict.after, node.direction);
        (verdict, Node { stored: verdict.after, direction })
    }

    fn direction_after(&self, stored: &Stored, direction: Direction) -> Direction {
        if !self.leads || stored.power == Power::Off {
            return direction;
        }
        if let Some(only) = stored.mode.only_direction() {
            return only;
        }
        let turns = stored.mode == Mode::Auto
            && self.may_turn[direction as usize]
            && !self.starts(stored, direction)
            && self.starts(stored, direction.opposite());
        if turns { direction.opposite() } else { direction }
    }

    /// Every key at every controller.
    pub(super) fn all(&self) -> impl Iterator<Item = Press> {
        let controllers = self.settings.key_locks.len();
        Key::ALL.into_iter().flat_map(move |key| {
            (0..controllers).map(move |at| Press { key, controller: ControllerIndex::new(at) })
        })
    }

    /// Whether a press is at the first controller that leaves its key free: others lead nowhere
    /// else.
    fn is_first_free(&self, press: Press) -> bool {
        let needs = Request::Press(press.key).needs();
        let first = self.settings.key_locks.iter().position(|locks| !locks.refuses(needs));
        first == Some(press.controller.get())
    }

    /// The fewest presses that end with one of which `goal` is true; `None` where none do.
    pub(super) fn shortest(
        &self,
        from: Node,
        mut goal: impl FnMut(&Passing<'_>) -> bool,
    ) -> Option<Vec<Press>> {
        let mut found: Vec<(Node, usize, Option<Press>)> = vec![(from, 0, None)];
        let mut known: HashSet<Node> = HashSet::from([from]);
        let mut at = 0;
        while let Some((node, ..)) = found.get(at).copied() {
            for press in self.all() {
                let (verdict, after) = self.press(&node, press);
                let passing = Passing { before: &node, press, verdict: &verdict, after: &after };
                if goal(&passing) {
                    return Some(way(&found, at, press));
                }
                let travels = after != node && self.is_first_free(press);
                if travels && found.len() < MOST_NODES && known.insert(after) {
                    found.push((after, at, Some(press)));
                }
            }
            at += 1;
        }
        None
    }
}

fn way(found: &[(Node, usize, Option<Press>)], mut at: usize, last: Press) -> Vec<Press> {
    let mut presses = vec![last];
    while let Some((_, before, Some(press))) = found.get(at) {
        presses.push(*press);
        at = *before;
    }
    presses.reverse();
    presses
}
