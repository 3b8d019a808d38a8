//! Everything that `check` may find, by its code, with what it can bring about. Codes stay the same
//! for ever: requirements and scripts name them.

/// What a finding can bring about, the gravest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Consequence {
    /// Somebody, or water in pipes, may freeze.
    Freeze,
    /// Somebody waits for heating or cooling and does not get it.
    Starve,
    /// Energy or machines are wasted.
    Energy,
    /// It gets too warm or too cold, or keys do not do what they look like.
    Comfort,
    /// The record says something that counts for nothing.
    Paper,
}

impl Consequence {
    /// The word in outputs for programs.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Freeze => "freeze",
            Self::Starve => "starve",
            Self::Energy => "energy",
            Self::Comfort => "comfort",
            Self::Paper => "paper",
        }
    }

    /// What it means, for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Freeze => "somebody or something may freeze",
            Self::Starve => "somebody may wait for heating or cooling",
            Self::Energy => "energy may be wasted",
            Self::Comfort => "comfort may suffer, or keys mislead",
            Self::Paper => "only the record is wrong",
        }
    }
}

/// A finding that `check` knows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct KnownFinding {
    /// Its code: `lock-not-in-force`.
    pub code: &'static str,
    /// What it can bring about.
    pub consequence: Consequence,
}

impl KnownFinding {
    /// The finding of that code.
    pub fn named(code: &str) -> Option<&'static Self> {
        FINDINGS.iter().find(|known| known.code == code)
    }

    /// All codes.
    pub fn codes() -> impl Iterator<Item = &'static str> {
        FINDINGS.iter().map(|known| known.code)
    }
}

const fn of(code: &'static str, consequence: Consequence) -> KnownFinding {
    KnownFinding { code, consequence }
}

/// Every finding.
pub const FINDINGS: &[KnownFinding] = &[
    of("freeze-risk", Consequence::Freeze),
    of("frost-within-reach", Consequence::Freeze),
    of("low-limit-without-heating", Consequence::Freeze),
    of("capacity-out-of-line", Consequence::Starve),
    of("connected-capacity", Consequence::Starve),
    of("critical-room-in-group", Consequence::Starve),
    of("heating-stops-in-cold", Consequence::Starve),
    of("owner-can-be-switched-off", Consequence::Starve),
    of("owner-in-one-mode", Consequence::Starve),
    of("owner-lacks-direction", Consequence::Starve),
    of("owner-locked", Consequence::Starve),
    of("owner-odd-load", Consequence::Starve),
    of("owner-in-the-sun", Consequence::Starve),
    of("owner-sensor-error", Consequence::Starve),
    of("zone-without-outdoor-unit", Consequence::Energy),
    of("call-start-zero", Consequence::Energy),
    of("capacity-out-of-proportion", Consequence::Energy),
    of("deadband-below-code", Consequence::Energy),
    of("deadband-between-editions", Consequence::Energy),
    of("deadband-shows-less", Consequence::Energy),
    of("hysteresis-exceeds-deadband", Consequence::Energy),
    of("lock-not-in-force", Consequence::Energy),
    of("lock-on-one-controller", Consequence::Energy),
    of("low-limit-above-setback", Consequence::Energy),
    of("low-limit-overrules", Consequence::Energy),
    of("overshoot-exceeds-deadband", Consequence::Energy),
    of("override-above-code", Consequence::Energy),
    of("reach-below-code", Consequence::Energy),
    of("setback-below-code", Consequence::Energy),
    of("window-contact-without-setback", Consequence::Energy),
    of("setback-reversed", Consequence::Energy),
    of("setback-closes-band", Consequence::Energy),
    of("setback-cut", Consequence::Energy),
    of("setback-missing", Consequence::Energy),
    of("occupancy-never-in-period", Consequence::Comfort),
    of("occupancy-sensor-untouched", Consequence::Comfort),
    of("changeover-delay-overruled", Consequence::Comfort),
    of("clear-days-only", Consequence::Comfort),
    of("clothes-reversed", Consequence::Comfort),
    of("controllers-disagree", Consequence::Comfort),
    of("integral-faster-than-sensor", Consequence::Comfort),
    of("mode-key-idle", Consequence::Comfort),
    of("mode-locked-yet-done", Consequence::Comfort),
    of("nothing-to-select", Consequence::Comfort),
    of("outdoor-limits-gap", Consequence::Comfort),
    of("range-narrowed", Consequence::Comfort),
    of("schedule-altered", Consequence::Comfort),
    of("schedule-pushes", Consequence::Comfort),
    of("set-refused", Consequence::Comfort),
    of("setback-outside-limits", Consequence::Comfort),
    of("setpoint-fixed", Consequence::Comfort),
    of("value-creeps", Consequence::Comfort),
    of("values-creep", Consequence::Comfort),
    of("coil-without-water", Consequence::Paper),
    of("lock-without-keys", Consequence::Paper),
    of("lock-without-mode", Consequence::Paper),
    of("setback-idle", Consequence::Paper),
    of("setting-without-effect", Consequence::Paper),
    of("shade-without-effect", Consequence::Paper),
    of("sky-without-sun", Consequence::Paper),
    of("value-ignored", Consequence::Paper),
    of("window-contact-untouched", Consequence::Paper),
];
