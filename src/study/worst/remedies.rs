//! What would help: changes of the settings, each bounded in the same way.

use super::search::End;
use super::{Question, Reached, Refusal, bound};
use crate::control::{KeyLocks, LockableKey, LowLimit};
use crate::engine::Model;

/// The low limit that is tried where nothing else is asked, degrees C.
const USUAL_LOW_LIMIT: f64 = 12.0;

/// A change of the settings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Remedy {
    /// The power key is locked at every controller.
    LockPower,
    /// The mode key is locked at every controller.
    LockMode,
    /// Power and mode are.
    LockPowerAndMode,
    /// Power, mode and setpoints are.
    LockAll,
    /// Zones have this low limit, in the file's unit.
    LowLimit(f64),
    /// The power key is locked, and zones have this low limit.
    LockPowerWithLowLimit(f64),
}

impl Remedy {
    /// What there is to try.
    fn all(end: End, low_limit: f64) -> Vec<Self> {
        let mut all = vec![Self::LockPower, Self::LockMode, Self::LockPowerAndMode, Self::LockAll];
        if end == End::Lowest {
            all.extend([Self::LowLimit(low_limit), Self::LockPowerWithLowLimit(low_limit)]);
        }
        all
    }

    const fn locks(self) -> &'static [LockableKey] {
        match self {
            Self::LockPower | Self::LockPowerWithLowLimit(_) => &[LockableKey::Power],
            Self::LockMode => &[LockableKey::Mode],
            Self::LockPowerAndMode => &[LockableKey::Power, LockableKey::Mode],
            Self::LockAll => &[LockableKey::Power, LockableKey::Mode, LockableKey::Setpoint],
            Self::LowLimit(_) => &[],
        }
    }

    const fn low_limit(self) -> Option<f64> {
        match self {
            Self::LowLimit(below) | Self::LockPowerWithLowLimit(below) => Some(below),
            Self::LockPower | Self::LockMode | Self::LockPowerAndMode | Self::LockAll => None,
        }
    }

    /// The model with the change at every zone; `None` where it changes nothing.
    fn applied(self, model: &Model) -> Option<Model> {
        let mut changed = model.clone();
        let unit = model.unit;
        for zone in &mut changed.zones {
            for locks in &mut zone.controls.settings.key_locks {
                let locked = |key: &LockableKey| locks.refuses(*key) || self.locks().contains(key);
                if self.locks().iter().any(|key| !locks.refuses(*key)) {
                    let keys: Vec<LockableKey> =
                        LockableKey::ALL.into_iter().filter(locked).collect();
                    *locks = KeyLocks::new(&keys, true);
                }
            }
            if let Some(below) = self.low_limit()
                && zone.unit.heating.is_some()
                && zone.controls.low_limit.is_none_or(|limit| limit.below < below)
            {
                zone.controls.low_limit = Some(LowLimit::new(below, unit));
            }
        }
        let same = |(one, other): (&crate::engine::Zone, &crate::engine::Zone)| {
            one.controls.settings == other.controls.settings
                && one.controls.low_limit == other.controls.low_limit
        };
        let changes = !model.zones.iter().zip(&changed.zones).all(same);
        changes.then_some(changed)
    }
}

/// A remedy with what it comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Remedied {
    /// The change.
    pub remedy: Remedy,
    /// Bounds of the air of every zone after it.
    pub reached: Vec<Reached>,
}

/// Every remedy, bounded. The low limit to try is what the room is to keep, in the file's unit, and
/// a usual one where nothing is asked.
///
/// # Errors
/// The model has something that cannot be bounded.
pub fn remedies(
    model: &Model,
    question: &Question,
    end: End,
    at_least: Option<f64>,
) -> Result<Vec<Remedied>, Refusal> {
    let low_limit = at_least.unwrap_or_else(|| model.unit.from_celsius(USUAL_LOW_LIMIT).round());
    let all = Remedy::all(end, low_limit).into_iter();
    let bounded = |remedy: Remedy| {
        let changed = remedy.applied(model)?;
        Some(bound(&changed, question).map(|reached| Remedied { remedy, reached }))
    };
    all.filter_map(bounded).collect()
}
