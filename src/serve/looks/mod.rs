//! What can be looked at in a day, in words: what lessons ask about and what puzzles tell of. Every
//! word comes from a run; nothing is claimed.

mod spells;

use serde::Deserialize;
use serde_json::{Map, Value as Json};

use super::trouble::Trouble;
use crate::control::{Outcome, Power, Request, Side};
use crate::direction::Direction;
use crate::engine::{Doing, Entry, Event, LedgerRow, StepRow, Zone, ZoneIndex};
use crate::report::{Run, one_digit, request_words, three_figures, times, unit_sign};
use crate::scenario::{Edit, Study, edit, read};
use crate::study::{Finished, Keep, simulate};
use crate::time::{ClockTime, DAY, Instant};
use spells::longest_wait;

/// A day that was simulated.
#[derive(Debug)]
pub(super) struct Day {
    study: Study,
    finished: Finished,
}

impl Day {
    /// Simulates a text.
    pub(super) fn of(text: &str, name: &str) -> Result<Self, Trouble> {
        let none = |_: &str| Err("rooms of lessons and puzzles name no files".to_owned());
        let study = read(text, name, &none)?;
        let finished = simulate(&study.base, Keep::Steps);
        Trouble::of_halt(finished.halt, &study.base)?;
        Ok(Self { study, finished })
    }

    /// All of it.
    pub(super) fn run(&self) -> Run<'_> {
        let Finished { summary, rows, ledger, .. } = &self.finished;
        Run { model: &self.study.base, rows, ledger, summary }
    }

    /// What has been before an instant.
    pub(super) fn before(&self, at: Instant) -> Run<'_> {
        let run = self.run();
        let rows = run.rows.partition_point(|row| row.at < at);
        let ledger = run.ledger.partition_point(|row| row.at < at);
        Run { rows: &run.rows[..rows], ledger: &run.ledger[..ledger], ..run }
    }

    /// What the run came to; it holds the steps of all its days.
    pub(super) const fn finished(&self) -> &Finished {
        &self.finished
    }

    /// What was read.
    pub(super) const fn study(&self) -> &Study {
        &self.study
    }

    /// The zone of a name.
    pub(super) fn zone(&self, id: &str) -> Option<ZoneIndex> {
        self.study.base.zone_named(id)
    }

    /// The row of an action; the last one where it asks several times.
    pub(super) fn row_of(&self, action: usize) -> Option<&LedgerRow> {
        let it = self.study.base.actions.iter().find(|it| it.place == Some(action))?;
        self.finished.ledger.iter().rfind(|row| {
            let asked = matches!(&row.entry, Entry::Request { asker, .. } if asker.by == it.by);
            asked && row.at == it.at && row.zone == it.zone
        })
    }

    /// The setpoints that a row leaves: `heat 20, cool 23`.
    fn pair(&self, row: &LedgerRow) -> String {
        let grid = self.study.base.zones[row.zone.get()].controls.settings.grid;
        let [heat, cool] = [Side::Heat, Side::Cool].map(|side| row.after.setpoints.get(side));
        format!("heat {}, cool {}", grid.show(heat), grid.show(cool))
    }

    fn ranks(row: &LedgerRow) -> [i64; 2] {
        [Side::Heat, Side::Cool].map(|side| row.after.setpoints.get(side).count().into())
    }

    fn rows_of(&self, zone: ZoneIndex) -> impl Iterator<Item = &StepRow> {
        self.finished.rows.iter().filter(move |row| row.zone == zone)
    }
}

/// New values at places of a text, as files of lessons and puzzles have them.
pub(super) type Places = Map<String, Json>;

/// A text with new values in it.
pub(super) fn with(text: &str, places: &Places) -> Result<String, Trouble> {
    let edits =
        places.iter().map(|(path, value)| Edit { path: path.clone(), value: value.clone() });
    Ok(edit(text, &edits.collect::<Vec<_>>())?)
}

/// A time of a day in a file of lessons: `08:40`.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(try_from = "String")]
pub(super) struct Clock(ClockTime);

impl Clock {
    /// That time of a day, counted from 0.
    pub(super) const fn on(self, day: i64) -> Instant {
        Instant::new(day * DAY + self.0.get())
    }
}

impl TryFrom<String> for Clock {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        ClockTime::parse(&text).map(Self).ok_or_else(|| format!("{text} is no time of a day"))
    }
}

/// Something to look at.
#[derive(Clone, Debug, Deserialize)]
#[serde(tag = "about", rename_all = "snake_case", deny_unknown_fields)]
pub(super) enum Look {
    /// Where both setpoints stand after an action of the file, counted from 0.
    Setpoints { action: usize },
    /// Where both setpoints of a zone stand when the run ends.
    AtTheEnd { zone: String },
    /// How the request of an action ends.
    Outcome { action: usize },
    /// How often the plant changes over.
    Changeovers,
    /// What the air of a zone is at a time.
    Air { zone: String, at: Clock },
    /// What its controller reads, and what a thermometer beside it does.
    Reading { zone: String, at: Clock },
    /// By how much the reading stands above the air while it is heated, and while nothing comes.
    Lift { zone: String },
    /// What a zone is given at a time.
    Given { zone: String, at: Clock },
    /// When the air of a zone comes up to a temperature.
    Reached { zone: String, above: f64, from: Clock },
    /// The lowest and highest air of a zone between two times.
    Swing { zone: String, from: Clock, to: Clock },
    /// The lowest air of a zone.
    Lowest { zone: String },
    /// How long a zone needs the direction that its outdoor unit does not have.
    Starved { zone: String },
    /// How long people in a zone are out of their comfort band.
    Outside { zone: String },
    /// The longest time on end that a zone stands past a setpoint and nothing comes.
    Wait { zone: String },
    /// When the power of a zone went off by itself.
    AutoOff { zone: String },
    /// Electricity of the whole run.
    Electricity,
}

/// What was seen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Told {
    /// Its place among others of its kind.
    pub(super) rank: [i64; 2],
    /// In few words, as a choice.
    pub(super) words: String,
    /// As a sentence.
    pub(super) sentence: String,
}

impl Told {
    fn new(rank: i64, words: impl Into<String>, sentence: impl Into<String>) -> Self {
        Self { rank: [rank, 0], words: words.into(), sentence: sentence.into() }
    }
}

impl Look {
    /// Looks at a day; `None` where it has nothing of the kind.
    pub(super) fn at(&self, day: &Day) -> Option<Told> {
        match self {
            Self::Setpoints { action } => setpoints(day, *action),
            Self::Outcome { action } => outcome(day, *action),
            Self::Changeovers => Some(changeovers(day)),
            Self::Electricity => Some(electricity(day)),
            Self::AtTheEnd { zone }
            | Self::Air { zone, .. }
            | Self::Reading { zone, .. }
            | Self::Lift { zone }
            | Self::Given { zone, .. }
            | Self::Reached { zone, .. }
            | Self::Swing { zone, .. }
            | Self::Lowest { zone }
            | Self::Starved { zone }
            | Self::Outside { zone }
            | Self::Wait { zone }
            | Self::AutoOff { zone } => self.of_zone(Place::new(day, zone)?),
        }
    }

    fn of_zone(&self, place: Place<'_>) -> Option<Told> {
        match self {
            Self::AtTheEnd { .. } => place.at_the_end(),
            Self::Air { at, .. } => place.air(at.on(0)),
            Self::Reading { at, .. } => place.reading(at.on(0)),
            Self::Lift { .. } => place.lift(),
            Self::Given { at, .. } => place.given(at.on(0)),
            Self::Reached { above, from, .. } => Some(place.reached(*above, from.on(0))),
            Self::Swing { from, to, .. } => place.swing(from.on(0), to.on(0)),
            Self::Lowest { .. } => place.lowest(),
            Self::Starved { .. } => Some(place.starved()),
            Self::Outside { .. } => Some(place.outside()),
            Self::Wait { .. } => Some(place.wait()),
            Self::AutoOff { .. } => Some(place.auto_off()),
            Self::Setpoints { .. }
            | Self::Outcome { .. }
            | Self::Changeovers
            | Self::Electricity => None,
        }
    }
}

/// Who asks for what, when and where.
pub(super) fn asks(day: &Day, row: &LedgerRow) -> String {
    let model = &day.study.base;
    let Entry::Request { asker, what, .. } = &row.entry else { return String::new() };
    let zone = super::settings::label(&model.zones[row.zone.get()]);
    let clock = model.period.clock(row.at);
    let what = match what {
        Doing::Request(Request::Press(key)) => format!("presses {}", key.name()),
        _ => format!("asks for {}", request_words(what)),
    };
    format!("{clock}, {zone}: {} {what}.", asker.by)
}

fn setpoints(day: &Day, action: usize) -> Option<Told> {
    let row = day.row_of(action)?;
    let words = day.pair(row);
    let sentence = format!("{} Then it stands at {words}.", asks(day, row));
    Some(Told { rank: Day::ranks(row), words, sentence })
}

fn outcome(day: &Day, action: usize) -> Option<Told> {
    let row = day.row_of(action)?;
    let Entry::Request { outcome, side, .. } = &row.entry else { return None };
    let words = match outcome {
        Outcome::Accepted => "it is done, and the other side stays",
        Outcome::Pushed => "it is done, and the other side moves",
        Outcome::Limited => "it is held short of what was asked",
        Outcome::Refused => "it is refused, and nothing moves",
        Outcome::NoEffect => "the key is dead, and nothing moves",
    };
    let grid = day.study.base.zones[row.zone.get()].controls.settings.grid;
    let stands = side.map_or_else(String::new, |side| {
        let [before, after] = [&row.before, &row.after].map(|it| it.setpoints.get(side));
        let name = side.name();
        if before == after {
            format!(", and {name} stays at {}", grid.show(after))
        } else {
            format!(", and {name} goes from {} to {}", grid.show(before), grid.show(after))
        }
    });
    let name = match outcome {
        Outcome::Accepted => "done as asked",
        Outcome::Pushed => "done, the other side pushed",
        Outcome::Limited => "held",
        Outcome::Refused => "refused",
        Outcome::NoEffect => "no effect",
    };
    let sentence = format!("{} The answer: {name}{stands}.", asks(day, row));
    Some(Told::new(*outcome as i64, words, sentence))
}

fn changeovers(day: &Day) -> Told {
    let number = day.finished.summary.group.changeovers;
    let words = if number == 0 { "never".into() } else { times(number) };
    let sentence = format!("Between heating and cooling it changed over {words}.");
    Told::new(i64::try_from(number).unwrap_or(i64::MAX), words, sentence)
}

fn electricity(day: &Day) -> Told {
    let kwh = day.finished.summary.energy.total_kwh;
    let words = format!("{} kWh", three_figures(kwh));
    Told::new(whole(kwh * 100.0), &words, format!("It took {words} of electricity."))
}

/// A zone of a day.
#[derive(Clone, Copy)]
struct Place<'d> {
    day: &'d Day,
    index: ZoneIndex,
    zone: &'d Zone,
}

impl<'d> Place<'d> {
    fn new(day: &'d Day, id: &str) -> Option<Self> {
        let index = day.zone(id)?;
        Some(Self { day, index, zone: day.study.base.zones.get(index.get())? })
    }

    fn label(self) -> String {
        super::settings::label(self.zone)
    }

    fn clock(self, at: Instant) -> String {
        self.day.study.base.period.clock(at)
    }

    fn degrees(self, value: f64) -> String {
        format!("{} {}", one_digit(value), unit_sign(self.day.study.base.unit))
    }

    fn row_at(self, at: Instant) -> Option<&'d StepRow> {
        self.day.rows_of(self.index).find(|row| row.at >= at)
    }

    fn at_the_end(self) -> Option<Told> {
        let row = self.day.finished.ledger.iter().rfind(|row| row.zone == self.index)?;
        let words = self.day.pair(row);
        let sentence = format!("{}: in the end it stands at {words}.", self.label());
        Some(Told { rank: Day::ranks(row), words, sentence })
    }

    fn air(self, at: Instant) -> Option<Told> {
        let row = self.row_at(at)?;
        let words = self.degrees(row.temperature);
        let [heat, cool] = [row.heat, row.cool].map(|it| self.degrees(it));
        let sentence = format!(
            "{}: at {} the air is at {words}, with heat at {heat} and cool at {cool}.",
            self.label(),
            self.clock(at)
        );
        Some(Told::new(tenths(row.temperature), words, sentence))
    }

    fn reading(self, at: Instant) -> Option<Told> {
        let row = self.row_at(at)?;
        let words = format!(
            "the controller reads {}, a thermometer in the room {}",
            self.degrees(row.sensed),
            self.degrees(row.temperature)
        );
        let sentence = format!("{}: at {} {words}.", self.label(), self.clock(at));
        Some(Told::new(tenths(row.sensed - row.temperature), words, sentence))
    }

    fn lift(self) -> Option<Told> {
        let mean = |is: fn(&StepRow) -> bool| {
            let apart = self.day.rows_of(self.index).filter(|row| is(row));
            let apart: Vec<f64> = apart.map(|row| row.sensed - row.temperature).collect();
            (!apart.is_empty()).then(|| apart.iter().sum::<f64>() / apart.len() as f64)
        };
        let heated = mean(|row| row.served == Some(Direction::Heating))?;
        let rests = mean(|row| row.served.is_none())?;
        let by = |value: f64| {
            let way = if value < 0.0 { "below" } else { "above" };
            format!("{} {way} the air", self.degrees(value.abs()))
        };
        let words = format!("{} while heat comes, {} at rest", by(heated), by(rests));
        let sentence = format!("{}: on the mean its controller reads {words}.", self.label());
        Some(Told::new(tenths(heated), words, sentence))
    }

    fn given(self, at: Instant) -> Option<Told> {
        let row = self.row_at(at)?;
        let (rank, words) = match (row.served, row.starved) {
            _ if row.power == Power::Off => (0, "it is switched off"),
            (Some(Direction::Heating), _) => (1, "it is heated"),
            (Some(Direction::Cooling), _) => (2, "it is cooled"),
            (None, true) => (3, "it waits for the other direction"),
            (None, false) => (4, "nothing comes"),
        };
        let [sensed, heat, cool] = [row.sensed, row.heat, row.cool].map(|it| self.degrees(it));
        let sentence = format!(
            "{}: at {} {words}. Its controller reads {sensed}, heat stands at {heat} and cool at {cool}.",
            self.label(),
            self.clock(at)
        );
        Some(Told::new(rank, words, sentence))
    }

    fn reached(self, above: f64, from: Instant) -> Told {
        let rows = self.day.rows_of(self.index).filter(|row| row.at >= from);
        let first = rows.into_iter().find(|row| row.temperature >= above).map(|row| row.at);
        let words =
            first.map_or_else(|| "not on this day".into(), |at| format!("at {}", self.clock(at)));
        let what = self.degrees(above);
        let sentence = format!("{}: the air comes up to {what} {words}.", self.label());
        Told::new(first.map_or(i64::MAX, Instant::get), words, sentence)
    }

    fn swing(self, from: Instant, to: Instant) -> Option<Told> {
        let rows = self.day.rows_of(self.index).filter(|row| row.at >= from && row.at < to);
        let air: Vec<f64> = rows.map(|row| row.temperature).collect();
        let low = air.iter().copied().min_by(f64::total_cmp)?;
        let high = air.iter().copied().max_by(f64::total_cmp)?;
        let words =
            format!("{} at the lowest, {} at the highest", self.degrees(low), self.degrees(high));
        let (label, from, to) = (self.label(), self.clock(from), self.clock(to));
        let sentence = format!("{label}: between {from} and {to} the air is at {words}.");
        Some(Told::new(tenths(high - low), words, sentence))
    }

    fn lowest(self) -> Option<Told> {
        let rows = self.day.rows_of(self.index);
        let row = rows.min_by(|a, b| a.temperature.total_cmp(&b.temperature))?;
        let words = self.degrees(row.temperature);
        let clock = self.clock(row.at);
        let sentence = format!("{}: the air falls to {words} at {clock}.", self.label());
        Some(Told::new(tenths(row.temperature), words, sentence))
    }

    fn hours(self, hours: f64, what: &str) -> Told {
        let words = format!("{} h", one_digit(hours));
        let sentence = format!("{}: {what} for {words}.", self.label());
        Told::new(tenths(hours), words, sentence)
    }

    fn starved(self) -> Told {
        let (_, figures) = &self.day.finished.summary.zones[self.index.get()];
        self.hours(figures.starved_hours, "it waits for the direction that it does not have")
    }

    fn outside(self) -> Told {
        let (_, figures) = &self.day.finished.summary.zones[self.index.get()];
        self.hours(figures.hours_outside_band, "people are out of their comfort band")
    }

    fn wait(self) -> Told {
        let step = self.day.study.base.period.step();
        let Some(wait) = longest_wait(self.day.rows_of(self.index), self.zone, step) else {
            let sentence = format!("{}: whatever is needed comes.", self.label());
            return Told::new(0, "not at all", sentence);
        };
        let hours = wait.length.in_hours();
        let words = format!("{} h", one_digit(hours));
        let (side, clock) = (wait.side.name(), self.clock(wait.from));
        let past = if wait.side == Side::Heat { "below" } else { "above" };
        let sentence = format!(
            "{}: from {clock} on its controller reads {past} {side} for {words} on end, and nothing comes.",
            self.label()
        );
        Told::new(tenths(hours), words, sentence)
    }

    fn auto_off(self) -> Told {
        let off = self.day.finished.ledger.iter().find(|row| {
            let by_itself = matches!(row.entry, Entry::Event(Event::AutoOff { .. }));
            row.zone == self.index && by_itself
        });
        let words = off.map_or_else(|| "never".into(), |row| format!("at {}", self.clock(row.at)));
        let sentence =
            format!("{}: switched off with nobody at the controller {words}.", self.label());
        Told::new(off.map_or(i64::MAX, |row| row.at.get()), words, sentence)
    }
}

fn tenths(value: f64) -> i64 {
    whole(value * 10.0)
}

/// The nearest whole number: ranks are compared, and nothing else.
#[expect(clippy::cast_possible_truncation, reason = "a cast saturates, and ranks are small")]
fn whole(value: f64) -> i64 {
    libm::round(value) as i64
}
