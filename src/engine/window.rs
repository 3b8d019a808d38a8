//! Rule 16: windows that people open and close, and the contacts that act on them.

use super::observe::Observer;
use super::requests::{Answer, Asking};
use super::step::Simulation;
use super::trace::{Event, Why};
use crate::control::{Opening, Outcome, WindowDoes};
use crate::time::Instant;

impl Simulation<'_> {
    /// Somebody opens or closes a window.
    pub(super) fn move_window(&mut self, asking: &Asking, to: Opening) -> Answer {
        let window = &mut self.state.zones[asking.zone.get()].window;
        let changes = match to {
            Opening::Open => window.open(asking.at),
            Opening::Closed => window.close(),
        };
        let outcome = if changes { Outcome::Accepted } else { Outcome::NoEffect };
        Answer { outcome, side: None, why: Why::Window { to, changes } }
    }

    /// Brings a zone's window contact up to date, and tells where it begins or ceases to act.
    pub(super) fn note_window(&mut self, zone: usize, now: Instant, observer: &mut impl Observer) {
        let contact = &self.plan.model.zones[zone].controls.window_contact;
        let state = &mut self.state.zones[zone];
        if !state.window.note(contact, now) {
            return;
        }
        let event = match state.window.does() {
            WindowDoes::Nothing => Event::WindowUntil,
            does => Event::WindowFrom { does, after: contact.acts_after },
        };
        self.event(zone, now, event, observer);
    }
}
