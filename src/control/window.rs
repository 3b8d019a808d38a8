//! Rule 16: a contact at the window, and what an open window does to the controls.

use crate::time::{Instant, Seconds};

/// What an open window does once its contact acts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum WindowDoes {
    /// Nothing: the contact only reports.
    #[default]
    Nothing,
    /// The zone counts as unoccupied, and no override passes that.
    Setback,
    /// The zone counts as switched off; the stored power stays.
    Off,
}

impl WindowDoes {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Off, Self::Setback, Self::Nothing];

    /// The word in a scenario file.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Nothing => "nothing",
            Self::Setback => "setback",
            Self::Off => "off",
        }
    }

    /// What the zone does, in words for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Nothing => "nothing follows",
            Self::Setback => "the zone counts as unoccupied",
            Self::Off => "the zone counts as switched off",
        }
    }
}

/// Where somebody moves a window.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Opening {
    /// It is opened.
    Open,
    /// It is closed.
    Closed,
}

impl Opening {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Open, Self::Closed];

    /// The word in a scenario file.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Closed => "closed",
        }
    }
}

/// A contact at a zone's windows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct WindowContact {
    /// How long a window has to be open before it acts.
    pub acts_after: Seconds,
    /// What it does then.
    pub does: WindowDoes,
}

/// A zone's windows, and since when they are open.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct WindowState {
    open_since: Option<Instant>,
    /// What the contact does at present.
    does: WindowDoes,
}

impl WindowState {
    /// Whether a window is open.
    pub const fn is_open(&self) -> bool {
        self.open_since.is_some()
    }

    /// Since when a window is open.
    pub const fn open_since(&self) -> Option<Instant> {
        self.open_since
    }

    /// Somebody opens a window; one that is open already stays so. True where that is a change.
    pub fn open(&mut self, at: Instant) -> bool {
        let opens = self.open_since.is_none();
        self.open_since.get_or_insert(at);
        opens
    }

    /// Somebody closes the windows. True where one was open.
    pub fn close(&mut self) -> bool {
        self.open_since.take().is_some()
    }

    /// When the contact begins to act, if a window is open and it does not act yet.
    pub fn acts_at(&self, contact: &WindowContact) -> Option<Instant> {
        let waits = contact.does != self.does;
        self.open_since.filter(|_| waits).map(|since| since + contact.acts_after)
    }

    /// Brings the contact up to date. True where it begins or ceases to act.
    pub fn note(&mut self, contact: &WindowContact, now: Instant) -> bool {
        let acts = self.open_since.is_some_and(|since| now >= since + contact.acts_after);
        let does = if acts { contact.does } else { WindowDoes::Nothing };
        std::mem::replace(&mut self.does, does) != does
    }

    /// What the open window does at present.
    pub const fn does(&self) -> WindowDoes {
        self.does
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const CONTACT: WindowContact =
        WindowContact { acts_after: Seconds::minutes(2), does: WindowDoes::Off };

    fn minute(number: i64) -> Instant {
        Instant::new(60 * number)
    }

    #[test]
    fn rule_16_a_contact_acts_once_the_window_has_been_open_long_enough() {
        let mut window = WindowState::default();
        assert!(window.open(minute(0)));
        assert_eq!(window.acts_at(&CONTACT), Some(minute(2)));
        assert!(!window.note(&CONTACT, minute(1)));
        assert_eq!(window.does(), WindowDoes::Nothing);
        assert!(window.note(&CONTACT, minute(2)));
        assert_eq!(window.does(), WindowDoes::Off);
        assert_eq!(window.acts_at(&CONTACT), None);
        assert!(!window.note(&CONTACT, minute(3)));
    }

    #[test]
    fn rule_16_it_ends_with_the_closing_of_the_window() {
        let mut window = WindowState::default();
        window.open(minute(0));
        window.note(&CONTACT, minute(2));
        assert!(window.close());
        assert!(window.note(&CONTACT, minute(10)));
        assert_eq!(window.does(), WindowDoes::Nothing);
        assert!(!window.close());
    }

    #[test]
    fn rule_16_opening_an_open_window_starts_no_clock_anew() {
        let mut window = WindowState::default();
        assert!(window.open(minute(0)));
        assert!(!window.open(minute(1)));
        assert!(window.note(&CONTACT, minute(2)));
    }

    #[test]
    fn rule_16_a_contact_that_does_nothing_tells_nothing() {
        let contact = WindowContact { does: WindowDoes::Nothing, ..CONTACT };
        let mut window = WindowState::default();
        window.open(minute(0));
        assert!(!window.note(&contact, minute(5)));
        assert!(window.is_open());
    }
}
