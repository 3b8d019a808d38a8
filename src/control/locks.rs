//! Rules 6 and 7: the controllers of a zone and the keys that are locked on them.

/// Something that an occupant can press or ask for, as locks name it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LockableKey {
    /// Warmer, cooler, and any request for a setpoint.
    Setpoint,
    /// The mode key and any request for a mode.
    Mode,
    /// Fan speed: kept for the record, since no request touches it.
    Fan,
    /// The power key and any request for on or off.
    Power,
}

impl LockableKey {
    /// All keys that a lock can name.
    pub const ALL: [Self; 4] = [Self::Setpoint, Self::Mode, Self::Fan, Self::Power];

    /// The word in a scenario file.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Setpoint => "setpoint",
            Self::Mode => "mode",
            Self::Fan => "fan",
            Self::Power => "power",
        }
    }
}

/// The lock of one controller: which keys, and whether it is in force. A lock that is saved and
/// not in force does nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct KeyLocks {
    keys: u8,
    in_force: bool,
}

impl KeyLocks {
    /// No key locked.
    pub const NONE: Self = Self { keys: 0, in_force: false };

    /// A lock of these keys.
    pub fn new(keys: &[LockableKey], in_force: bool) -> Self {
        Self { keys: keys.iter().fold(0, |set, key| set | 1 << *key as u8), in_force }
    }

    /// Whether the lock names that key, in force or not.
    pub const fn names(self, key: LockableKey) -> bool {
        self.keys & (1 << key as u8) != 0
    }

    /// Whether the lock is in force.
    pub const fn is_in_force(self) -> bool {
        self.in_force
    }

    /// Whether the lock refuses occupants that key.
    pub const fn refuses(self, key: LockableKey) -> bool {
        self.in_force && self.names(key)
    }

    /// The keys that the lock names.
    pub fn keys(self) -> impl Iterator<Item = LockableKey> {
        LockableKey::ALL.into_iter().filter(move |key| self.names(*key))
    }
}

/// Which controller of a zone: its place in the zone's list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct ControllerIndex(usize);

impl ControllerIndex {
    /// The controller at a place in the zone's list.
    pub const fn new(place: usize) -> Self {
        Self(place)
    }

    /// Its place in the zone's list.
    pub const fn get(self) -> usize {
        self.0
    }
}

/// One controller of a zone.
#[derive(Clone, Debug, PartialEq)]
pub struct Controller {
    /// Its name in the file.
    pub id: String,
    /// What its own sensor reads too much, in the file's unit.
    pub offset: f64,
    /// The lock it starts with.
    pub key_locks: KeyLocks,
}

/// The one or two controllers of a zone, exactly one of them primary (rule 7).
#[derive(Clone, Debug, PartialEq)]
pub struct Controllers {
    all: Vec<Controller>,
    primary: ControllerIndex,
}

/// Why a list of controllers cannot serve a zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ControllersFault {
    /// There is none, or there are more than two.
    Count(usize),
    /// None or both are primary.
    Primaries(usize),
    /// Both have one name.
    SameId,
}

impl Controllers {
    /// Takes each controller with whether it is primary.
    ///
    /// # Errors
    /// Says what is wrong with the list: see [`ControllersFault`].
    pub fn new(list: Vec<(Controller, bool)>) -> Result<Self, ControllersFault> {
        if !(1..=2).contains(&list.len()) {
            return Err(ControllersFault::Count(list.len()));
        }
        if list.len() == 2 && list[0].0.id == list[1].0.id {
            return Err(ControllersFault::SameId);
        }
        let primaries = list.iter().filter(|(_, primary)| *primary).count();
        match (primaries, list.iter().position(|(_, primary)| *primary)) {
            (1, Some(place)) => Ok(Self {
                all: list.into_iter().map(|(controller, _)| controller).collect(),
                primary: ControllerIndex(place),
            }),
            _ => Err(ControllersFault::Primaries(primaries)),
        }
    }

    /// The one controller `main` that a zone has unless its file says otherwise.
    pub fn main() -> Self {
        let main = Controller { id: "main".into(), offset: 0.0, key_locks: KeyLocks::NONE };
        Self { all: vec![main], primary: ControllerIndex(0) }
    }

    /// All of them, in file order.
    pub fn as_slice(&self) -> &[Controller] {
        &self.all
    }

    /// The primary one, which stands where an action names none.
    pub const fn primary(&self) -> ControllerIndex {
        self.primary
    }

    /// The controller of that name.
    pub fn find(&self, id: &str) -> Option<ControllerIndex> {
        self.all.iter().position(|controller| controller.id == id).map(ControllerIndex)
    }

    /// The name of a controller; empty where the zone has no such controller.
    pub fn id(&self, index: ControllerIndex) -> &str {
        self.all.get(index.0).map_or("", |controller| &controller.id)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named(id: &str) -> Controller {
        Controller { id: id.into(), offset: 0.0, key_locks: KeyLocks::NONE }
    }

    #[test]
    fn rule_6_a_lock_that_is_not_in_force_refuses_nothing() {
        let saved = KeyLocks::new(&[LockableKey::Mode], false);
        assert!(saved.names(LockableKey::Mode) && !saved.refuses(LockableKey::Mode));
        let in_force = KeyLocks::new(&[LockableKey::Mode], true);
        assert!(in_force.refuses(LockableKey::Mode) && !in_force.refuses(LockableKey::Power));
        assert_eq!(in_force.keys().collect::<Vec<_>>(), [LockableKey::Mode]);
    }

    #[test]
    fn rule_7_exactly_one_controller_is_primary() {
        let both = |one, two| Controllers::new(vec![(named("desk"), one), (named("door"), two)]);
        assert_eq!(both(false, true).map(|c| c.primary().get()), Ok(1));
        assert_eq!(both(true, true), Err(ControllersFault::Primaries(2)));
        assert_eq!(both(false, false), Err(ControllersFault::Primaries(0)));
        assert_eq!(Controllers::new(vec![]), Err(ControllersFault::Count(0)));
        let three = vec![(named("a"), true), (named("b"), false), (named("c"), false)];
        assert_eq!(Controllers::new(three), Err(ControllersFault::Count(3)));
        let twice = Controllers::new(vec![(named("a"), true), (named("a"), false)]);
        assert_eq!(twice, Err(ControllersFault::SameId));
    }

    #[test]
    fn rule_7_a_zone_has_one_primary_controller_unless_the_file_says_otherwise() {
        let main = Controllers::main();
        assert_eq!((main.as_slice().len(), main.id(main.primary())), (1, "main"));
        assert_eq!(main.find("main"), Some(main.primary()));
        assert_eq!(main.find("window"), None);
        assert_eq!(main.id(ControllerIndex::new(7)), "");
    }
}
