//! A setting moved on the page, in one room or in many: which values of the file change with it, or
//! what stands against it and which buttons lead on.

mod back;
mod modes;
mod optional;
mod plain;
mod setpoints;

use serde::{Deserialize, Serialize};
use serde_json::Value as Json;

use super::settings::place::place;
use super::settings::{apart, controllers_with, label, locks_field};
use super::state::{Asked, PageEdit};
use super::trouble::Trouble;
use crate::engine::Model;
use crate::scenario::Companions;
use crate::settings::controls::KEYS_LOCKED;
use crate::settings::{self, Access, Begins, Control, Entry, Form, Subject, Value};

/// So many rooms are named in a sentence; of more it says how many.
const MOST_NAMED: usize = 3;

/// What somebody moved.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Moved {
    /// The page as it was before.
    asked: Asked,
    /// Which setting, by its way from its zone or outdoor unit.
    key: String,
    /// Whose: zones, or outdoor units, by their names in the file.
    of: Vec<String>,
    /// Of two ends which one: 0 for the lowest, 1 for the highest.
    #[serde(default)]
    end: Option<usize>,
    /// What it is to be; `null` where changes are taken back.
    value: Json,
}

/// What comes of it.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Amendment {
    /// All changes of the page, with it; those from before where something stands against it.
    edits: Vec<PageEdit>,
    /// What moved besides, in sentences.
    said: Vec<String>,
    against: Option<Against>,
}

/// What stands against it.
#[derive(Clone, Debug, Serialize)]
struct Against {
    why: String,
    ways: Vec<Way>,
}

/// A button.
#[derive(Clone, Debug, Serialize)]
struct Way {
    words: String,
    /// All changes of the page once it is pressed.
    edits: Vec<PageEdit>,
}

/// New values at places of the file.
type Changes = Vec<PageEdit>;

/// A room, what stands against a move there, and the ways on.
type Refusal<'a> = (&'a String, &'a String, &'a Vec<(String, Changes)>);

/// What a move does in one room.
enum Done {
    /// It stands, and these sentences say what else moved.
    Stands(Changes, Vec<String>),
    /// Something stands against it, and these ways lead on.
    Against(String, Vec<(String, Changes)>),
    /// The room has no such setting.
    Lacks,
}

/// A setting of one room that is moved.
struct Move<'a> {
    model: &'a Model,
    entry: Entry,
    control: Control,
    /// How it begins where there may be none of it.
    begins: Option<Begins>,
    subject: Subject,
    end: usize,
    value: &'a Json,
}

/// Works out what a move does.
pub(super) fn amend(moved: &Moved, companions: &Companions) -> Result<Amendment, Trouble> {
    let (text, study) = moved.asked.study(companions)?;
    let model = &study.base;
    if moved.value.is_null() {
        return back::taken_back(moved, &text, model, companions);
    }
    let unknown = || Trouble::bad("there is no such setting");
    let mut rooms = Vec::new();
    for name in &moved.of {
        let (entry, subject) = setting(model, &moved.key, name).ok_or_else(unknown)?;
        let Form::Asked(_, control) = entry.setting.form else { return Err(unknown()) };
        let end = moved.end.unwrap_or(0);
        let (control, begins) = apart(control);
        let one = Move { model, entry, control, begins, subject, end, value: &moved.value };
        rooms.push((whose(model, subject), one.done(&text)?));
    }
    let outcome = Effects { before: &moved.asked, rooms };
    let amendment = outcome.amendment();
    let checked = moved.asked.with_edits(amendment.edits.clone());
    match checked.study(companions) {
        Err(Trouble::Faults(faults)) => {
            let fault = faults.as_slice().first();
            let why =
                fault.map_or_else(String::new, |fault| super::words::sentence(&fault.message));
            Ok(outcome.stays(why))
        }
        Err(trouble) => Err(trouble),
        Ok(_) => Ok(amendment.sound(&moved.asked, companions)),
    }
}

/// The setting of that way, and who goes by this name and has it.
fn setting(model: &Model, key: &str, name: &str) -> Option<(Entry, Subject)> {
    let mut entries = settings::of_zones().iter().chain(settings::of_groups());
    entries.find_map(|entry| {
        (entry.key.path == key).then_some(())?;
        Some((*entry, subject(model, entry, name)?))
    })
}

/// Who goes by this name and has this setting.
fn subject(model: &Model, entry: &Entry, name: &str) -> Option<Subject> {
    match entry.setting.access {
        Access::Group { .. } => {
            let at = model.outdoor_units.iter().position(|unit| unit.id == name)?;
            Some(Subject::Group(at))
        }
        _ => Some(Subject::Zone(model.zone_named(name)?.get())),
    }
}

/// What people call it.
fn whose(model: &Model, subject: Subject) -> String {
    match subject {
        Subject::Zone(at) | Subject::Controller(at, _) => label(&model.zones[at]),
        Subject::Group(at) => {
            let unit = &model.outdoor_units[at];
            if unit.label.is_empty() { unit.id.clone() } else { unit.label.clone() }
        }
    }
}

impl Move<'_> {
    fn done(&self, text: &str) -> Result<Done, Trouble> {
        if let (Control::Locks, Subject::Zone(at)) = (self.control, self.subject) {
            debug_assert_eq!(self.entry.key.path, KEYS_LOCKED.path);
            let (path, whole_list) = locks_field(text, self.model, at);
            let value = if whole_list {
                controllers_with(&self.model.zones[at], self.value)
            } else {
                self.value.clone()
            };
            return Ok(Done::Stands(vec![PageEdit { path, value }], Vec::new()));
        }
        if let Some(done) = optional::done(self)? {
            return Ok(done);
        }
        if let Some(done) = setpoints::done(self)? {
            return Ok(done);
        }
        if let Some(done) = modes::done(self)? {
            return Ok(done);
        }
        plain::done(self)
    }

    /// The change of the setting itself.
    fn change(&self, value: Json) -> PageEdit {
        PageEdit { path: self.place(), value }
    }

    /// Where it is written.
    fn place(&self) -> String {
        place(self.entry, self.model, self.subject)
    }

    /// Its present value.
    fn present(&self) -> Value {
        self.entry.get(self.model, self.subject)
    }

    fn number(&self) -> Result<f64, Trouble> {
        self.value.as_f64().ok_or_else(|| Trouble::bad("a number is wanted here"))
    }
}

/// What a move does in all rooms that it is made for.
struct Effects<'a> {
    before: &'a Asked,
    rooms: Vec<(String, Done)>,
}

impl Effects<'_> {
    fn amendment(&self) -> Amendment {
        let against = self.against();
        let edits = match against {
            Some(_) => self.before.edits.clone(),
            None => self.merged(|_| None),
        };
        Amendment { edits, said: self.said(), against }
    }

    /// Nothing is changed, for a reason that only reading the whole file brought out.
    fn stays(&self, why: String) -> Amendment {
        let edits = self.before.edits.clone();
        let ways = vec![Way { words: "Leave it as it was".into(), edits: edits.clone() }];
        Amendment { edits, said: Vec::new(), against: Some(Against { why, ways }) }
    }

    /// The changes from before with those of every room; where something stands against it, those of
    /// one of its ways, or none.
    fn merged(&self, way: impl Fn(&[(String, Changes)]) -> Option<usize>) -> Changes {
        let mut all = self.before.edits.clone();
        for (_, done) in &self.rooms {
            match done {
                Done::Stands(changes, _) => merge(&mut all, changes),
                Done::Against(_, ways) => {
                    if let Some((_, changes)) = way(ways).and_then(|at| ways.get(at)) {
                        merge(&mut all, changes);
                    }
                }
                Done::Lacks => {}
            }
        }
        all
    }

    fn said(&self) -> Vec<String> {
        let several = self.rooms.len() > 1;
        let moved = self.rooms.iter().filter_map(|(name, done)| match done {
            Done::Stands(_, moved) if !moved.is_empty() => Some((name, moved.join(" "))),
            _ => None,
        });
        let mut said: Vec<String> = moved
            .map(|(name, words)| if several { format!("{name}: {words}") } else { words })
            .collect();
        if said.len() > MOST_NAMED {
            let more = said.len() - MOST_NAMED;
            said.truncate(MOST_NAMED);
            said.push(format!("The same kind of thing in {more} more rooms."));
        }
        let lacking = self.rooms.iter().filter(|(_, done)| matches!(done, Done::Lacks)).count();
        if lacking > 0 {
            said.push(format!("{lacking} of {} have no such setting.", self.rooms.len()));
        }
        said
    }

    fn against(&self) -> Option<Against> {
        let all: Vec<Refusal<'_>> = self
            .rooms
            .iter()
            .filter_map(|(name, done)| match done {
                Done::Against(why, ways) => Some((name, why, ways)),
                _ => None,
            })
            .collect();
        let (name, why, ways) = all.first()?;
        if self.rooms.len() == 1 {
            let ways = ways.iter().enumerate().map(|(at, (words, _))| Way {
                words: words.clone(),
                edits: self.merged(|_| Some(at)),
            });
            return Some(Against { why: (*why).clone(), ways: ways.collect() });
        }
        let (count, rooms) = (all.len(), self.rooms.len());
        let why = format!("In {count} of {rooms} rooms something stands against it. {name}: {why}");
        let first = ways.first().map_or("", |(words, _)| words.as_str());
        let mut ways = vec![Way {
            words: format!("Change what stands against it, too, there: {first}"),
            edits: self.merged(|_| Some(0)),
        }];
        if count < rooms {
            let words = format!("Only where nothing stands against it, in {} rooms", rooms - count);
            ways.push(Way { words, edits: self.merged(|_| None) });
        }
        Some(Against { why, ways })
    }
}

impl Amendment {
    /// Without the ways that the file could not hold: values beyond what any controller takes.
    fn sound(mut self, before: &Asked, companions: &Companions) -> Self {
        if let Some(against) = &mut self.against {
            let sound = |way: &Way| before.with_edits(way.edits.clone()).study(companions).is_ok();
            against.ways.retain(sound);
            if against.ways.is_empty() {
                let edits = before.edits.clone();
                against.ways.push(Way { words: "Leave it as it was".into(), edits });
            }
        }
        self
    }
}

/// Puts changes into others; one of the same place takes its place, and one of a whole that of its
/// parts.
pub(super) fn merge(all: &mut Changes, changes: &[PageEdit]) {
    for change in changes {
        let below = |edit: &PageEdit| {
            edit.path.strip_prefix(&change.path).is_some_and(|rest| rest.starts_with('.'))
        };
        all.retain(|edit| !below(edit));
        match all.iter_mut().find(|edit| edit.path == change.path) {
            Some(edit) => edit.value = change.value.clone(),
            None => all.push(change.clone()),
        }
    }
}

#[cfg(test)]
mod tests;
