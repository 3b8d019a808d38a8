//! Questions about a run, with their choices and the answer that the run gives.

use serde::Deserialize;

use crate::control::{Outcome, Request, Side};
use crate::engine::{Doing, Entry, Event, LedgerRow, Model};
use crate::report::{reason_words, request_words};
use crate::scenario::Study;
use crate::study::{Finished, Keep, simulate};

/// The most choices of a question.
const MOST_CHOICES: usize = 5;
/// Waiting for less is not worth a name, h.
const LEAST_HOURS: f64 = 0.1;
/// Zones that wait at least so much of the longest wait are alike.
const ALIKE: f64 = 0.95;
/// Two uses of electricity that are closer than this are the same to a learner.
const SAME: f64 = 0.02;

/// What a question is about.
#[derive(Clone, Debug, Deserialize)]
#[serde(tag = "about", rename_all = "snake_case", deny_unknown_fields)]
pub(super) enum About {
    /// Where both setpoints stand after an action of the file, counted from 0.
    SetpointsAfter {
        /// Which action.
        action: usize,
    },
    /// Where both setpoints of the first zone stand when the run ends.
    SetpointsAtTheEnd,
    /// How the request of an action ends.
    Outcome {
        /// Which action.
        action: usize,
        /// Under which variant; the settings as written without one.
        #[serde(default)]
        variant: Option<String>,
    },
    /// How often the plant changes over.
    Changeovers,
    /// Which zone waits longest for the direction that it does not have.
    Starves,
    /// Whether the file as written or a variant takes more electricity.
    MoreElectricity {
        /// The variant.
        between: String,
    },
}

/// A question with its answer.
#[derive(Clone, Debug)]
pub(super) struct Question {
    pub(super) text: String,
    pub(super) choices: Vec<String>,
    /// The place of the right choice.
    pub(super) right: usize,
    pub(super) because: String,
    pub(super) row: Option<usize>,
}

/// A run that questions are asked about.
pub(super) struct Played<'s> {
    study: &'s Study,
    model: &'s Model,
    finished: Finished,
}

impl<'s> Played<'s> {
    /// Runs a scenario as written.
    pub(super) fn new(study: &'s Study) -> Self {
        Self::of_model(study, &study.base)
    }

    /// Runs a variant; `None` where there is no such variant.
    fn of_variant(&self, name: &str) -> Option<Self> {
        self.study.variant(name).ok().map(|model| Self::of_model(self.study, model))
    }

    fn of_model(study: &'s Study, model: &'s Model) -> Self {
        Self { study, model, finished: simulate(model, Keep::Nothing) }
    }

    /// The first ledger row of an action.
    fn row_of(&self, action: usize) -> Option<(usize, &LedgerRow)> {
        let it = self.model.actions.iter().find(|it| it.place == Some(action))?;
        self.finished.ledger.iter().enumerate().find(|(_, row)| {
            let asked = matches!(&row.entry, Entry::Request { asker, .. } if asker.by == it.by);
            asked && row.at == it.at && row.zone == it.zone
        })
    }

    fn clock(&self, row: &LedgerRow) -> String {
        self.model.period.clock(row.at)
    }

    fn label(&self, zone: usize) -> &str {
        let zone = &self.model.zones[zone];
        if zone.label.is_empty() { &zone.id } else { &zone.label }
    }

    /// Who asks for what, when and where.
    fn asks(&self, row: &LedgerRow) -> String {
        let Entry::Request { asker, what, .. } = &row.entry else { return String::new() };
        let zone = self.label(row.zone.get());
        let what = match what {
            Doing::Request(Request::Press(key)) => format!("presses {}", key.name()),
            _ => format!("asks for {}", request_words(what)),
        };
        format!("At {} the {} {what} ({zone}).", self.clock(row), asker.by)
    }

    /// The pair of setpoints a row leaves or finds, in ticks.
    fn pair(row: &LedgerRow, after: bool) -> (i32, i32) {
        let stored = if after { &row.after } else { &row.before };
        let side = |side| stored.setpoints.get(side).count();
        (side(Side::Heat), side(Side::Cool))
    }

    /// Pairs as choices, in rising order.
    fn pairs(&self, zone: usize, right: (i32, i32), others: &[(i32, i32)]) -> (Vec<String>, usize) {
        let grid = self.model.zones[zone].controls.settings.grid;
        let show = |count| grid.show(crate::control::Ticks::new(count)).to_string();
        let mut pairs = vec![right];
        for other in others {
            if !pairs.contains(other) && pairs.len() < MOST_CHOICES {
                pairs.push(*other);
            }
        }
        pairs.sort_unstable();
        let place = pairs.iter().position(|pair| *pair == right).unwrap_or_default();
        let words =
            |(heat, cool): &(i32, i32)| format!("heat {}, cool {}", show(*heat), show(*cool));
        (pairs.iter().map(words).collect(), place)
    }
}

/// A question about a run; `None` where the run has nothing of the kind.
pub(super) fn question(about: &About, run: &Played<'_>) -> Option<Question> {
    match about {
        About::SetpointsAfter { action } => setpoints_after(run, *action),
        About::SetpointsAtTheEnd => setpoints_at_the_end(run),
        About::Outcome { action, variant: None } => outcome(run, *action),
        About::Outcome { action, variant: Some(variant) } => outcome_under(run, *action, variant),
        About::Changeovers => Some(changeovers(run)),
        About::Starves => Some(starves(run)),
        About::MoreElectricity { between } => more_electricity(run, between),
    }
}

fn setpoints_after(run: &Played<'_>, action: usize) -> Option<Question> {
    let (place, row) = run.row_of(action)?;
    let Entry::Request { side, .. } = &row.entry else { return None };
    let (before, after) = (Played::pair(row, false), Played::pair(row, true));
    let deadband = run.model.zones[row.zone.get()].controls.settings.rules.deadband().count();
    // What one would see if the other stood still, if nothing moved, if both moved together, and
    // if the request stopped at the deadband.
    let moved = (after.0 - before.0, after.1 - before.1);
    let others = match side {
        Some(Side::Heat) => [
            (after.0, before.1),
            (before.0, before.1),
            (after.0, before.1 + moved.0),
            (before.1 - deadband, before.1),
            (after.0, after.0 + deadband),
            (after.0, after.1 + 2),
        ],
        Some(Side::Cool) | None => [
            (before.0, after.1),
            (before.0, before.1),
            (before.0 + moved.1, after.1),
            (before.0, before.0 + deadband),
            (after.1 - deadband, after.1),
            (after.0 - 2, after.1),
        ],
    };
    let (choices, right) = run.pairs(row.zone.get(), after, &others);
    let text = format!("{} Where do both setpoints stand after that?", run.asks(row));
    Some(Question { text, choices, right, because: reason_words(run.model, row), row: Some(place) })
}

fn setpoints_at_the_end(run: &Played<'_>) -> Option<Question> {
    let of_zone = |row: &&LedgerRow| row.zone.get() == 0;
    let first = run.finished.ledger.iter().find(of_zone)?;
    let last = run.finished.ledger.iter().rfind(of_zone)?;
    let (start, end) = (Played::pair(first, false), Played::pair(last, true));
    let others = [start, (end.0, start.1), (start.0 + 2, start.1 + 2), (end.0, end.1 - 2)];
    let (choices, right) = run.pairs(0, end, &others);
    let pushed: Vec<String> = run
        .finished
        .ledger
        .iter()
        .filter(|row| matches!(&row.entry, Entry::Request { outcome: Outcome::Pushed, .. }))
        .map(|row| run.clock(row))
        .collect();
    let because = match pushed.as_slice() {
        [] => "No request pushed the other setpoint.".to_owned(),
        all => format!(
            "The ledger has pushes at {}, and a push does not come back by itself unless the settings say so.",
            all.join(", ")
        ),
    };
    let text = "Where do both setpoints stand when the run ends?".to_owned();
    Some(Question { text, choices, right, because, row: None })
}

fn outcome(run: &Played<'_>, action: usize) -> Option<Question> {
    let (place, row) = run.row_of(action)?;
    let Entry::Request { outcome, .. } = &row.entry else { return None };
    let words = |outcome: &Outcome| match outcome {
        Outcome::Accepted => "it is done as asked",
        Outcome::Pushed => "it is done, and the other setpoint is pushed",
        Outcome::Limited => "it is held at a limit or at the deadband",
        Outcome::Refused => "it is refused, and nothing changes",
        Outcome::NoEffect => "the key has no effect",
    };
    let choices = Outcome::ALL.iter().map(|it| words(it).to_owned()).collect();
    let right = Outcome::ALL.iter().position(|it| it == outcome)?;
    let text = format!("{} How does that end?", run.asks(row));
    Some(Question { text, choices, right, because: reason_words(run.model, row), row: Some(place) })
}

/// The same request under a variant. The page plays the settings as written, so no row shows it.
fn outcome_under(run: &Played<'_>, action: usize, variant: &str) -> Option<Question> {
    let under = outcome(&run.of_variant(variant)?, action)?;
    let name = variant.replace('_', " ");
    let text = format!("Under the variant {name}: {}", under.text);
    let because = format!("Under the variant {name}: {}.", under.because);
    Some(Question { text, because, row: None, ..under })
}

fn changeovers(run: &Played<'_>) -> Question {
    let number = run.finished.summary.group.changeovers;
    let mut numbers = vec![number];
    for other in [0, number * 2 + 2, 1, number + 2, number.saturating_sub(2), number + 5] {
        if !numbers.contains(&other) && numbers.len() < MOST_CHOICES {
            numbers.push(other);
        }
    }
    numbers.sort_unstable();
    let right = numbers.iter().position(|it| *it == number).unwrap_or_default();
    let at: Vec<String> = run
        .finished
        .ledger
        .iter()
        .filter(|row| matches!(row.entry, Entry::Event(Event::Changeover { .. })))
        .take(MOST_CHOICES)
        .map(|row| run.clock(row))
        .collect();
    let because = match (at.len(), number) {
        (0, _) => "The ledger has no changeover.".to_owned(),
        (shown, all) if shown as u64 == all => format!("The ledger has them at {}.", at.join(", ")),
        (_, all) => format!("The ledger has {all} rows of them, the first at {}.", at.join(", ")),
    };
    let text = "How often does the plant change over between heating and cooling?".to_owned();
    let choices = numbers.iter().map(ToString::to_string).collect();
    Question { text, choices, right, because, row: None }
}

fn starves(run: &Played<'_>) -> Question {
    let hours: Vec<f64> =
        run.finished.summary.zones.iter().map(|(_, zone)| zone.starved_hours).collect();
    let most = hours.iter().copied().fold(0.0, f64::max);
    let longest: Vec<usize> = (0..hours.len())
        .filter(|zone| most >= LEAST_HOURS && hours[*zone] >= ALIKE * most)
        .collect();
    let mut choices: Vec<String> =
        (0..hours.len()).map(|zone| run.label(zone).to_owned()).collect();
    choices.push("none of them".to_owned());
    let right = match longest.as_slice() {
        [] => hours.len(),
        [only] => *only,
        several => {
            let names: Vec<&str> = several.iter().map(|zone| run.label(*zone)).collect();
            choices.push(format!("{}, about alike", names.join(" and ")));
            choices.len() - 1
        }
    };
    let row = run.finished.ledger.iter().position(|row| {
        let starved = matches!(row.entry, Entry::Event(Event::StarvedFrom { .. }));
        starved && longest.contains(&row.zone.get())
    });
    let each: Vec<String> =
        (0..hours.len()).map(|zone| format!("{} {:.1} h", run.label(zone), hours[zone])).collect();
    let because = format!("Hours of waiting: {}.", each.join(", "));
    let text = "Which zone waits longest for the direction that it does not have?".to_owned();
    Question { text, choices, right, because, row }
}

fn more_electricity(run: &Played<'_>, variant: &str) -> Option<Question> {
    let model = run.study.variant(variant).ok()?;
    let own = run.finished.summary.energy.total_kwh;
    let other = simulate(model, Keep::Nothing).summary.energy.total_kwh;
    let right =
        if (own - other).abs() <= SAME * own.max(other) { 2 } else { usize::from(other > own) };
    let choices = vec![
        "the settings as written".to_owned(),
        format!("the variant {}", variant.replace('_', " ")),
        "both the same, within a fiftieth".to_owned(),
    ];
    let because = format!("As written it takes {own:.1} kWh, the variant {other:.1} kWh.");
    let text = format!(
        "Which takes more electricity: the settings as written or the variant {}?",
        variant.replace('_', " ")
    );
    Some(Question { text, choices, right, because, row: None })
}
