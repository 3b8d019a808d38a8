//! What energy codes demand of setpoints, with their clauses.

use super::Severity;

/// An energy code whose demands can be looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EnergyCode {
    /// ANSI/ASHRAE/IES Standard 90.1.
    Ashrae901,
    /// The International Energy Conservation Code.
    Iecc,
    /// California's Title 24, Part 6.
    Title24,
}

/// A number in degrees F with its clause.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Demand {
    pub(super) fahrenheit: f64,
    pub(super) clause: &'static str,
}

impl EnergyCode {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Ashrae901, Self::Iecc, Self::Title24];

    /// What people call it.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Ashrae901 => "ASHRAE 90.1",
            Self::Iecc => "the IECC",
            Self::Title24 => "California Title 24",
        }
    }

    /// The least gap between heating and cooling setpoint, degrees F of difference.
    pub(super) const fn deadband(self) -> Demand {
        let clause = match self {
            // Second-hand; the SI edition's 3 C is from memory.
            Self::Ashrae901 => "ANSI/ASHRAE/IES 90.1-2016, 6.4.3.1.2",
            Self::Iecc => "IECC-based state code, C403.4.1.2",
            Self::Title24 => "California Title 24 Part 6 (2013), 120.2(b)3",
        };
        Demand { fahrenheit: 5.0, clause }
    }

    /// How far heat must work lower and cool higher while nobody is there, degrees F of
    /// difference: only where the code puts it so.
    pub(super) const fn setback(self) -> Option<(Demand, Demand)> {
        match self {
            // Second-hand.
            Self::Ashrae901 => {
                let clause = "ANSI/ASHRAE/IES 90.1-2016, 6.4.3.3.2";
                Some((Demand { fahrenheit: 10.0, clause }, Demand { fahrenheit: 5.0, clause }))
            }
            Self::Iecc | Self::Title24 => None,
        }
    }

    /// Down to which heat and up to which cool setpoint unoccupied operation must be able to go.
    pub(super) const fn unoccupied_reach(self) -> Option<(Demand, Demand)> {
        match self {
            Self::Iecc => {
                let clause = "IECC (2015-based), C403.2.4.2.1";
                Some((Demand { fahrenheit: 55.0, clause }, Demand { fahrenheit: 85.0, clause }))
            }
            Self::Ashrae901 | Self::Title24 => None,
        }
    }

    /// Down to which heat and up to which cool setpoint the thermostat must be settable.
    pub(super) const fn settable_reach(self) -> Option<(Demand, Demand)> {
        match self {
            Self::Title24 => Some((
                Demand { fahrenheit: 55.0, clause: "California Title 24 Part 6 (2013), 120.2(b)1" },
                Demand { fahrenheit: 85.0, clause: "California Title 24 Part 6 (2013), 120.2(b)2" },
            )),
            Self::Ashrae901 | Self::Iecc => None,
        }
    }

    /// The longest override of unoccupied operation, hours.
    pub(super) const fn longest_override(self) -> Option<(i64, &'static str)> {
        match self {
            Self::Iecc => Some((2, "IECC-based New York code (2020), C403.4.2.2")),
            Self::Ashrae901 | Self::Title24 => None,
        }
    }
}

/// The codes to look at: the one chosen, or all.
pub(super) fn looked_at(chosen: Option<EnergyCode>) -> Vec<EnergyCode> {
    chosen.map_or_else(|| EnergyCode::ALL.to_vec(), |code| vec![code])
}

/// A code that was chosen is to be met; one that may not even apply is worth a note.
pub(super) const fn severity(chosen: Option<EnergyCode>) -> Severity {
    match chosen {
        Some(_) => Severity::Warning,
        None => Severity::Note,
    }
}
