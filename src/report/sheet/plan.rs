//! What a sheet takes by the clock, and what a short one leaves out, in words.

use super::words::{deed_words, time_words};
use super::{SheetPlan, Sheeted};
use crate::report::figures::{count, listed};
use crate::report::run::label;
use crate::study::sheet::{Deed, Pace, Section, Shown, since};
use crate::time::Seconds;

const fn section_words(section: Section) -> &'static str {
    match section {
        Section::Look => "what is shown as found",
        Section::Identity => "which controller is whose",
        Section::Keys => "keys, limits, modes and locks",
        Section::Calls => "calls and timers",
        Section::Unoccupied => "setback and override",
        Section::Changeover => "changeover",
        Section::AutomaticOff => "automatic off",
        Section::PowerReturn => "power failure",
    }
}

impl Sheeted<'_> {
    /// About how long it takes, by the stated pace, in whole minutes.
    pub(super) fn duration(&self) -> Seconds {
        let all = Pace::USUAL.whole(self.model, &self.sheet.steps).get();
        Seconds::minutes((all + 59) / 60)
    }

    /// The time of each zone that takes any.
    pub(super) fn times(&self) -> Vec<String> {
        let times = Pace::USUAL.by_zone(self.model, &self.sheet.steps);
        let zones = self.model.zones.iter().zip(times).filter(|(_, time)| time.get() > 0);
        let minutes = |time: Seconds| Seconds::minutes((time.get() + 59) / 60);
        zones
            .map(|(zone, time)| format!("{}: {}", label(zone), time_words(minutes(time))))
            .collect()
    }

    /// What the order saves, where it saves anything.
    pub(super) fn order_words(&self) -> Option<String> {
        let time = Pace::USUAL.whole(self.model, &self.sheet.steps);
        let minutes = |time: Seconds| time_words(Seconds::minutes((time.get() + 59) / 60));
        (time < self.sheet.in_turn).then(|| {
            format!(
                "Some waits are spent on other zones: one zone after the other it would take {}. Keep to \
                 the order of the lines, and note the time, or start the timer, where a line says so.",
                minutes(self.sheet.in_turn)
            )
        })
    }

    /// Since which line a line waits during which others are done.
    pub(super) fn meanwhile(&self, at: usize) -> Option<usize> {
        let waits = matches!(self.sheet.steps[at].deed, Deed::Wait(_));
        let since = || since(self.model, &self.sheet.steps, at);
        if waits { since().filter(|it| it + 1 < at) } else { None }
    }

    /// What to do in a line.
    pub(super) fn deed_words(&self, at: usize) -> String {
        let step = &self.sheet.steps[at];
        match (&step.deed, self.meanwhile(at)) {
            (Deed::Wait(time), Some(since)) => {
                format!("Read {} after line {}", time_words(*time), since + 1)
            }
            _ => deed_words(step),
        }
    }

    /// The line that is read later than the one behind it, and how much later, where a line begins such
    /// a wait.
    pub(super) fn begins(&self, at: usize) -> Option<(usize, Seconds)> {
        let steps = &self.sheet.steps;
        let waits = |line: &usize| self.meanwhile(*line) == Some(at);
        let line = (at + 2..steps.len()).find(waits)?;
        let Deed::Wait(time) = steps[line].deed else { return None };
        Some((line, time))
    }

    /// How times are reckoned.
    pub(super) fn pace_words() -> String {
        let Pace { press, read, walk } = Pace::USUAL;
        format!(
            "Reckoned with {press} s a press, {read} s a reading, {walk} s to another zone, and timers \
             as they are set."
        )
    }

    /// What the choice shows, and how good it is.
    pub(super) fn choice_words(&self) -> Option<String> {
        let (within, choice) = self.plan.choice.as_ref()?;
        let best = if choice.is_best {
            "no other choice shows more".to_owned()
        } else {
            format!("no choice shows more than {:.0} %", choice.bound * 100.0)
        };
        Some(format!(
            "Chosen for {}: it shows {:.0} % of what the settings of these zones can show, weighted by \
             what they can do (frost and who decides 4; keys, calls and changeover 3; sensors, absence \
             and automatic off 2; what is found at the start 1); {best}.",
            time_words(*within),
            choice.shown * 100.0
        ))
    }

    /// What is left out, by section with its zones.
    pub(super) fn left_out_words(&self) -> Vec<String> {
        let mut all: Vec<(Section, Vec<&str>)> = Vec::new();
        for (zone, section) in &self.plan.left_out {
            let name = label(self.zone(*zone));
            match all.iter_mut().find(|(known, _)| known == section) {
                Some((_, names)) => names.push(name),
                None => all.push((*section, vec![name])),
            }
        }
        let words = |(section, names): (Section, Vec<&str>)| {
            format!("{}: {}", section_words(section), listed(&names))
        };
        all.into_iter().map(words).collect()
    }

    /// How each requirement is shown.
    pub(super) fn witness_words(&self) -> Vec<String> {
        let SheetPlan { witness: Some(all), .. } = self.plan else { return Vec::new() };
        let words = |(id, shown): &(String, Shown)| match shown {
            Shown::Lines(lines) => {
                let lines: Vec<String> = lines.iter().map(|line| (line + 1).to_string()).collect();
                let word = if lines.len() == 1 { "line" } else { "lines" };
                format!("{id}: {word} {}", listed(&lines))
            }
            Shown::Not(why) => format!("{id}: not shown here; {why}"),
        };
        all.iter().map(words).collect()
    }

    /// The sheet in a sentence.
    pub(super) fn answer(&self) -> String {
        format!(
            "{}, about {} of which {} are waiting.",
            count(self.sheet.steps.len() as u64, "line"),
            time_words(self.duration()),
            time_words(Seconds::minutes((self.waiting().get() + 30) / 60))
        )
    }
}
