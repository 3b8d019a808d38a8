//! What is to be fitted, and how.

use super::problem::Size;
use crate::time::Seconds;

/// What may be fitted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Freed {
    /// A size of the room.
    Size(Size),
    /// Heat of people, lights and machines.
    Gains,
    /// The sun through the windows.
    Sun,
    /// Parts of capacity that stages below the last give.
    Stages,
    /// Power, and with it the COP.
    Power,
    /// Where calls begin and end.
    Thresholds,
    /// The sensor's lag.
    Lag,
}

impl Freed {
    /// All of them with their names.
    pub const ALL: [(&'static str, Self); 10] = [
        ("loss", Self::Size(Size::Loss)),
        ("air", Self::Size(Size::Air)),
        ("mass", Self::Size(Size::Mass)),
        ("coupling", Self::Size(Size::Coupling)),
        ("gains", Self::Gains),
        ("sun", Self::Sun),
        ("stages", Self::Stages),
        ("power", Self::Power),
        ("thresholds", Self::Thresholds),
        ("lag", Self::Lag),
    ];

    /// By its name.
    pub fn of(name: &str) -> Option<Self> {
        Self::ALL.iter().find(|it| it.0 == name).map(|it| it.1)
    }
}

/// How a zone is fitted.
#[derive(Clone, Debug, PartialEq)]
pub struct Options {
    /// What is fitted; nothing for all that the log can tell.
    pub free: Vec<Freed>,
    /// The length of the free runs that are held against persistence, h: 1, 6 or 24.
    pub horizon: u32,
    /// So much at the end is held out; a fifth of the log without it.
    pub hold_out: Option<Seconds>,
    /// How many draws are made.
    pub draws: usize,
    /// Their seed.
    pub seed: u64,
}

impl Default for Options {
    fn default() -> Self {
        Self { free: Vec::new(), horizon: 6, hold_out: None, draws: 200, seed: 1 }
    }
}

impl Options {
    /// Whether something is fitted.
    pub fn frees(&self, what: Freed) -> bool {
        self.free.is_empty() || self.free.contains(&what)
    }

    /// How much of a log of so many seconds is held out: never more than half.
    pub(super) fn held_out(&self, seconds: i64) -> Seconds {
        let wanted = self.hold_out.map_or(seconds / 5, Seconds::get);
        Seconds::new(wanted.clamp(0, seconds / 2))
    }
}
