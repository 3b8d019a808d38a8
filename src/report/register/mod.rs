//! The register of a building: as a page, as tables, as text and for programs.

mod json;
#[cfg(feature = "pages")]
mod page;
mod tables;

pub use json::register_json;
#[cfg(feature = "pages")]
pub use page::register_page;
pub use tables::{REGISTER_COLUMNS, register_csv};

use super::figures::{count, date_in_words, day_and_month, listed};
use super::infer::failed_words;
use super::render::text::{self, Style, section};
use crate::settings::{self, ENDS};
use crate::study::register::{
    Day, Entry, Failure, HOURS, LEAST_DAYS, LEAST_HOURS, Need, Register, State, Waiting, Witnessed,
    weeks,
};
use crate::study::sheet_csv::REQUIREMENT;

/// What was shown on site counts for the day on which it was shown.
const CAUTION: &str = "A register says what was read on the days that it names, by people who signed for \
                       it; settings may have been changed since. The documents of the equipment, the \
                       sequence of operation and the authority having jurisdiction come first.";

/// A register with what goes with it.
#[derive(Clone, Copy, Debug)]
pub struct Registered<'a> {
    /// The register.
    pub register: &'a Register,
    /// Of what.
    pub title: &'a str,
    /// The name of a weather file and its days, each with 24 temperatures in degrees C.
    pub weather: Option<(&'a str, &'a [Day])>,
}

impl Registered<'_> {
    /// The register in a sentence.
    pub fn answer(&self) -> String {
        let entries = &self.register.entries;
        let of = |state: State| self.register.count(state);
        if entries.is_empty() {
            return "No paper says which settings its lines show.".into();
        }
        let asked = entries.iter().filter(|it| is_requirement(it)).count();
        let part = |number: usize, one: &str| (number > 0).then(|| count(number as u64, one));
        let whole = [part(entries.len() - asked, "setting"), part(asked, "requirement")];
        let whole: Vec<String> = whole.into_iter().flatten().collect();
        let (mended, fails) = (of(State::Mended), of(State::Fails));
        let owed = entries.iter().filter(|it| it.state.is_open()).count() - fails;
        let holds = of(State::Holds) + mended;
        let verb = |number: usize, one: &str, many: &str| {
            format!("{number} {}", if number == 1 { one } else { many })
        };
        let mended = match mended {
            0 => String::new(),
            some => format!(" ({some} after mending)"),
        };
        let parts = [
            Some(format!("{}{mended}", verb(holds, "was shown to hold", "were shown to hold"))),
            (fails > 0).then(|| verb(fails, "fails", "fail")),
            (owed > 0).then(|| verb(owed, "is owed", "are owed")),
            part(of(State::NotOnSite), "one")
                .map(|_| format!("{} no visit can show", of(State::NotOnSite))),
        ];
        let parts: Vec<String> = parts.into_iter().flatten().collect();
        format!("Of {} {}.", listed(&whole), listed(&parts))
    }

    /// What is owed, settings with the same reason together.
    pub(super) fn owed(&self) -> Vec<String> {
        let open = |it: &&Entry| it.state.is_open() && it.state != State::Fails;
        self.folded(open)
    }

    /// Entries in few lines: settings of the same zones for the same reason together.
    fn folded(&self, take: impl Fn(&&Entry) -> bool) -> Vec<String> {
        let mut by_name: Vec<(String, String, Vec<&str>)> = Vec::new();
        for it in self.register.entries.iter().filter(take) {
            let (name, why, zone) = (name_of(it), Self::why(it), it.zone());
            match by_name.iter_mut().find(|(known, reason, _)| *known == name && *reason == why) {
                Some((.., zones)) => zones.extend(zone),
                None => by_name.push((name, why, zone.into_iter().collect())),
            }
        }
        let mut by_reason: Vec<(String, Vec<&str>, Vec<String>)> = Vec::new();
        for (name, why, zones) in by_name {
            match by_reason.iter_mut().find(|(reason, all, _)| *reason == why && *all == zones) {
                Some((.., names)) => names.push(name),
                None => by_reason.push((why, zones, vec![name])),
            }
        }
        let words = |(why, zones, names): (String, Vec<&str>, Vec<String>)| {
            let whose =
                if zones.is_empty() { String::new() } else { format!("{}: ", listed(&zones)) };
            format!("{whose}{} ({why})", listed(&names))
        };
        by_reason.into_iter().map(words).collect()
    }

    /// Why an entry is not shown.
    fn why(entry: &Entry) -> String {
        match (entry.state, entry.why.as_str()) {
            (State::Owed, "") => "no line of it was read".into(),
            (_, why) => why.to_owned(),
        }
    }

    /// Each paper in a line: who, when, what came of it.
    pub(super) fn papers(&self) -> Vec<String> {
        tables::paper_lines(self.register)
    }

    /// What fails, with where it was seen.
    pub(super) fn failing(&self) -> Vec<String> {
        let failing = self.register.entries.iter().filter(|it| it.state == State::Fails);
        let words = |it: &Entry| {
            let seen = it.failed.as_ref().map_or_else(String::new, seen_words);
            let value = value_words(it);
            format!("{}{}{value} fails: {seen}.", place_of(it), name_of(it))
        };
        failing.map(words).collect()
    }

    /// What failed and was mended, and lines that fail and show no setting of their own.
    pub(super) fn mended(&self) -> Vec<String> {
        let entries = self.register.entries.iter().filter(|it| it.state == State::Mended);
        let words = |it: &Entry| {
            let seen = |at: &Option<Witnessed>| at.as_ref().map_or_else(String::new, seen_words);
            let value = value_words(it);
            let (failed, shown) = (seen(&it.failed), seen(&it.shown));
            format!(
                "{}{}{value} failed {failed}; it was shown to hold {shown}.",
                place_of(it),
                name_of(it)
            )
        };
        entries.map(words).collect()
    }

    /// Every line that failed, with what mended it.
    fn failures(&self) -> Vec<String> {
        self.register.failures.iter().map(failure_words).collect()
    }

    /// What has to wait, and when it is outside as it needs to be: alike ones together.
    pub(super) fn waiting(&self) -> Vec<String> {
        let mut all: Vec<(&Waiting, Vec<&str>)> = Vec::new();
        for it in &self.register.waiting {
            let alike = |other: &Waiting| {
                (&other.part.part, &other.part.need, &other.part.why)
                    == (&it.part.part, &it.part.need, &it.part.why)
            };
            match all.iter_mut().find(|(first, _)| alike(first)) {
                Some((_, zones)) => zones.push(&it.part.zone),
                None => all.push((it, vec![&it.part.zone])),
            }
        }
        let words = |(it, zones): (&Waiting, Vec<&str>)| {
            let when = match it.part.need {
                Need::Occupancy => "Needs occupancy: a day on which people come and go.".into(),
                Need::Outdoor { .. } | Need::Other => self.weeks_words(it),
            };
            let when = if when.is_empty() { String::new() } else { format!(" {when}") };
            format!("{}: {}: {}.{when}", listed(&zones), it.part.part, it.part.why)
        };
        all.into_iter().map(words).collect()
    }

    /// In which weeks it is outside as a part needs it; empty where weather has no part in it.
    fn weeks_words(&self, it: &Waiting) -> String {
        let (Some((name, days)), Need::Outdoor { .. }) = (self.weather, it.part.need) else {
            return String::new();
        };
        let all = weeks(&it.part.need, it.unit, days);
        let span = |it: &crate::study::register::Weeks| {
            format!("{} to {}", day_and_month(it.from), day_and_month(it.to))
        };
        let spans: Vec<String> = all.iter().map(span).collect();
        if spans.is_empty() {
            format!("No week of {name} suits.")
        } else {
            format!("Weeks of {name} that suit: {}.", listed(&spans))
        }
    }

    /// How weeks are chosen.
    fn weeks_rule() -> String {
        format!(
            "A week suits where on {LEAST_DAYS} of its 7 days at least {LEAST_HOURS} h between {:02}:00 and \
             {:02}:00 are as warm or cold outside as the test needs.",
            HOURS[0] - 1,
            HOURS[1]
        )
    }
}

fn is_requirement(entry: &Entry) -> bool {
    entry.subject.starts_with(REQUIREMENT)
}

/// What people call an entry.
fn name_of(entry: &Entry) -> String {
    if let Some(id) = entry.subject.strip_prefix(REQUIREMENT) {
        return format!("requirement {id}");
    }
    // The number of a controller in its list.
    let (before, rest) = entry.key().split_once('[').unwrap_or((entry.key(), ""));
    let (place, after) = rest.split_once(']').unwrap_or_default();
    let key = if after.is_empty() { before.to_owned() } else { format!("{before}[]{after}") };
    let whose = place.parse().map_or_else(
        |_| String::new(),
        |it: u32| format!(" of controller {}", it.saturating_add(1)),
    );
    let whole = settings::entry(&key).map(|it| it.setting.name.to_owned());
    let end = |key: &str| {
        let (key, end) = key.rsplit_once('.')?;
        let place = ENDS.iter().position(|known| *known == end)?;
        let entry = settings::entry(key)?;
        Some(format!("{}, {}", entry.setting.name, ["lowest", "highest"][place]))
    };
    let name = whole.or_else(|| end(&key)).unwrap_or_else(|| entry.key().to_owned());
    name + &whose
}

fn place_of(entry: &Entry) -> String {
    entry.zone().map_or_else(String::new, |zone| format!("{zone}: "))
}

fn value_words(entry: &Entry) -> String {
    if entry.value.is_empty() { String::new() } else { format!(" ({})", entry.value) }
}

/// `on 2 April 2026 by Mara (april.csv, line 12)`.
fn seen_words(it: &Witnessed) -> String {
    let by = if it.tester.is_empty() { String::new() } else { format!(" by {}", it.tester) };
    format!("on {}{by} ({})", date_in_words(it.date), source_words(it))
}

/// `april.csv, lines 12 and 14`.
fn source_words(it: &Witnessed) -> String {
    let is_line = it.lines.iter().all(|line| line.chars().all(|c| c.is_ascii_digit()));
    let word = match (is_line, it.lines.len()) {
        (false, _) => "",
        (true, 1) => "line ",
        (true, _) => "lines ",
    };
    format!("{}, {word}{}", it.paper, listed(&it.lines))
}

fn failure_words(it: &Failure) -> String {
    let by =
        if it.seen.tester.is_empty() { String::new() } else { format!(" by {}", it.seen.tester) };
    let after = match &it.mended {
        Some(mended) => format!("mended: shown {}", seen_words(mended)),
        None => "still to be mended".into(),
    };
    format!(
        "{}, {}, {}{by}: {} {}.",
        it.line.zone,
        it.seen.paper,
        date_in_words(it.seen.date),
        failed_words(&it.line.failed),
        super::headline::capitalised(&after)
    )
}

/// What `register` prints.
pub fn register_text(registered: &Registered<'_>, style: Style, files: &[String]) -> String {
    let mut out = String::new();
    text::strong(&mut out, style, &registered.answer());
    let list = |lines: &[String]| text::list(lines, style);
    section(&mut out, style, "Fails", &list(&registered.failing()));
    section(&mut out, style, "Owed", &list(&registered.owed()));
    section(&mut out, style, "Waits", &list(&registered.waiting()));
    section(&mut out, style, "Failed and mended", &list(&registered.mended()));
    section(&mut out, style, "Papers", &list(&tables::paper_lines(registered.register)));
    text::files(&mut out, style, files);
    out
}
