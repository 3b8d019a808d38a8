//! Requests, events and their reasons in words. The ledger carries them typed; here is the one
//! place that words them, for every medium.

use super::headline::capitalised;
use super::run::label;
use crate::control::{Key, Opening, Outcome, Request, WindowDoes, Words};
use crate::engine::{Doing, Entry, Event, LedgerRow, Model, Why};
use crate::people::PersonIndex;
use crate::time::Instant;

/// What was asked, in the words of a scenario file: `press warmer`, `heat 21.5`, `mode cool`,
/// `set min_deadband 3`, `power_failure 20 min`.
pub fn request_words(what: &Doing) -> String {
    match what {
        Doing::Request(Request::Power(power)) => format!("power {}", power.name()),
        Doing::Request(Request::Mode(mode)) => format!("mode {}", mode.name()),
        Doing::Request(Request::Setpoint(side, value)) => format!("{} {value}", side.name()),
        Doing::Request(Request::Press(key)) => format!("press {}", key.name()),
        Doing::Set(change) => format!("set {}", change.words),
        Doing::Window(to) => format!("window {}", to.name()),
        Doing::PowerFailure(lasts) => format!("power_failure {lasts}"),
    }
}

/// What was asked, as people say it: `Warmer key`, `Heat setpoint 21.5`.
pub fn request_in_full(what: &Doing) -> String {
    match what {
        Doing::Request(Request::Press(key)) => format!("{} key", capitalised(key.name())),
        Doing::Request(Request::Setpoint(side, value)) => {
            format!("{} setpoint {value}", capitalised(side.name()))
        }
        Doing::Set(change) => {
            let words = without_punctuation(&change.words);
            format!("Settings: {}", words.replace("min deadband", "minimum deadband"))
        }
        Doing::Request(_) | Doing::Window(_) | Doing::PowerFailure(_) => {
            capitalised(&without_punctuation(&request_words(what)))
        }
    }
}

fn without_punctuation(words: &str) -> String {
    let kept = words.chars().filter(|c| !matches!(c, '{' | '}' | '[' | ']' | '"'));
    kept.map(|c| if c == '_' { ' ' } else { c }).collect()
}

/// What was asked, as short as it can be said beside a mark: `warmer`, `mode key`, `heat 21.5`.
pub fn request_in_short(what: &Doing) -> String {
    match what {
        Doing::Request(Request::Press(key @ (Key::Warmer | Key::Cooler))) => key.name().to_owned(),
        Doing::Request(Request::Press(key)) => format!("{} key", key.name()),
        _ => request_words(what),
    }
}

/// The same, with how it ended where it was not done as asked.
pub(super) fn ended_in_short(what: &Doing, outcome: Outcome) -> String {
    let short = request_in_short(what);
    match outcome {
        Outcome::Accepted | Outcome::Pushed => short,
        Outcome::Limited => format!("{short}, limited"),
        Outcome::Refused => format!("{short}, refused"),
        Outcome::NoEffect => format!("{short}, no effect"),
    }
}

/// Why a request ended as it did or an event happened (rule 13). Empty for a change whose row is
/// not a change of settings, which no run writes.
pub fn reason_words(model: &Model, row: &LedgerRow) -> String {
    match &row.entry {
        Entry::Request { what, why, .. } => why_words(model, row, what, why),
        Entry::Event(event) => event_words(model, row.at, *event),
    }
}

fn why_words(model: &Model, row: &LedgerRow, what: &Doing, why: &Why) -> String {
    let clock = |at: &Instant| model.period.clock(*at);
    match why {
        Why::Judged { verdict, settings, owner } => {
            let owner = owner.and_then(|owner| model.zones.get(owner.get()));
            Words { settings, owner: owner.map(label) }.reason(verdict)
        }
        Why::Changed { outcome, settings } => {
            let Doing::Set(change) = what else { return String::new() };
            let (before, after) = (&row.before.setpoints, &row.after.setpoints);
            Words { settings, owner: None }.change(&change.zone, *outcome, before, after)
        }
        Why::Window { to: Opening::Open, changes: true } => {
            "outdoor air comes in until it is closed".into()
        }
        Why::Window { to: Opening::Closed, changes: true } => {
            "outdoor air no longer comes in".into()
        }
        Why::Window { to, changes: false } => format!("the window is {} already", to.name()),
        Why::Dark { until } => {
            format!("the controller is dark: the power has failed until {}", clock(until))
        }
        Why::Fails { until, others } => {
            let whole = match others {
                0 => String::new(),
                1 => "; the other zone on its outdoor unit is dark, too".into(),
                _ => format!("; the {others} other zones on its outdoor unit are dark, too"),
            };
            format!("no power until {}{whole}", clock(until))
        }
    }
}

fn event_words(model: &Model, at: Instant, event: Event) -> String {
    let unit = model.unit;
    match event {
        Event::Changeover { to } => format!("{} after {}", to.name(), to.opposite().name()),
        Event::StarvedFrom { needs } => {
            format!("needs {} since {}", needs.name(), model.period.clock(at))
        }
        Event::StarvedUntil => "no longer needs what its group does not do".into(),
        Event::UnoccupiedFrom { setback: true } => "the setback works".into(),
        Event::UnoccupiedFrom { setback: false } => {
            "there is no setback, so the stored setpoints go on working".into()
        }
        Event::UnoccupiedUntil => "the stored setpoints work".into(),
        Event::EarlyStart { plan, lead } => format!(
            "{} begins {lead} before somebody comes: {:.1} degrees are missing, and {:.1} an hour \
             are expected",
            plan.direction.name(),
            plan.missing,
            plan.rate
        ),
        Event::LowLimitFrom { sensed, below } => {
            format!("{} is below the low limit {below}: it heats", cut(sensed))
        }
        Event::LowLimitUntil { sensed, until } => {
            format!("{} is back at {until}: what was selected works", cut(sensed))
        }
        Event::AutoOff { after } => format!("the power goes off {after} after it came on"),
        Event::WindowFrom { does, after } => {
            let what = match does {
                WindowDoes::Off => "the zone counts as switched off",
                WindowDoes::Setback => "the zone counts as unoccupied",
                WindowDoes::Nothing => "nothing follows",
            };
            format!("a window has been open for {after}: {what} until it is closed")
        }
        Event::WindowUntil => "the window is closed: what was selected works".into(),
        Event::PowerBack => {
            "what was stored works again; timers start anew, and min_off runs".into()
        }
        Event::Complaint { person, feels, lasted, felt, prefers } => format!(
            "{} complains: {} for {lasted}, {:.1} felt where {:.1} would be right",
            name_of(model, person),
            feels.words(),
            unit.from_celsius(felt),
            unit.from_celsius(prefers),
        ),
        Event::GivesUp { person, feels, presses } => {
            let count = if presses == 1 { "1 press".into() } else { format!("{presses} presses") };
            let (name, feels) = (name_of(model, person), feels.words());
            format!("{name} gives up, still {feels}: {count} without effect")
        }
    }
}

fn name_of(model: &Model, person: PersonIndex) -> &str {
    model.people.get(person.get()).map_or("somebody", |person| &*person.shown)
}

/// A reading for people, in hundredths. Cut, not rounded: what is below a limit must read so.
fn cut(sensed: f64) -> f64 {
    (sensed * 100.0 + 1e-6).floor() / 100.0
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::control::{GroupChange, Mode, Power, SettingsChange, Side};
    use crate::engine::Change;
    use crate::time::Seconds;

    fn set(words: &str) -> Doing {
        Doing::Set(Arc::new(Change {
            words: words.to_owned(),
            zone: SettingsChange::default(),
            group: GroupChange::default(),
        }))
    }

    #[test]
    fn requests_are_said_as_files_as_people_and_as_marks_say_them() {
        let all = [
            (Doing::Request(Request::Press(Key::Warmer)), ["press warmer", "Warmer key", "warmer"]),
            (Doing::Request(Request::Press(Key::Mode)), ["press mode", "Mode key", "mode key"]),
            (
                Doing::Request(Request::Setpoint(Side::Heat, 21.5)),
                ["heat 21.5", "Heat setpoint 21.5", "heat 21.5"],
            ),
            (Doing::Request(Request::Mode(Mode::Cool)), ["mode cool", "Mode cool", "mode cool"]),
            (Doing::Request(Request::Power(Power::Off)), ["power off", "Power off", "power off"]),
            (
                set("min_deadband 3"),
                ["set min_deadband 3", "Settings: minimum deadband 3", "set min_deadband 3"],
            ),
            (
                set("{mode_policy: first_call}"),
                [
                    "set {mode_policy: first_call}",
                    "Settings: mode policy: first call",
                    "set {mode_policy: first_call}",
                ],
            ),
            (
                Doing::PowerFailure(Seconds::minutes(20)),
                ["power_failure 20 min", "Power failure 20 min", "power_failure 20 min"],
            ),
        ];
        for (what, words) in all {
            assert_eq!(
                [request_words(&what), request_in_full(&what), request_in_short(&what)],
                words
            );
        }
    }

    #[test]
    fn a_reading_just_below_a_limit_is_shown_below_it() {
        let texts = [4.991_796, 4.999_999, 4.9, 4.35, 6.0].map(|sensed| cut(sensed).to_string());
        assert_eq!(texts, ["4.99", "4.99", "4.9", "4.35", "6"]);
    }
}
