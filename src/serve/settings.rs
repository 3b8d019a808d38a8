//! The settings of zones and outdoor units as controls of a form: each with its place in the file,
//! its present value, and what it may become. Which settings there are, how a form asks for them and
//! what it says of them stands in the table of settings.

mod group;
pub(super) mod place;

use serde::Serialize;
use serde_json::{Value as Json, json};

use crate::control::{Controller, LockableKey, Occupancy, Side};
use crate::engine::{Model, Zone};
use crate::scenario::is_written;
use crate::settings::controls::{
    CONTROLLER_ID, CONTROLLER_LOCKS, CONTROLLER_OFFSET, CONTROLLER_PRIMARY, CONTROLLERS,
    KEYS_LOCKED, LOCK_IN_FORCE,
};
use crate::settings::{self, Begins, Control, Ends, Entry, Form, Section as Part, Subject, Value};
use crate::units::TemperatureUnit;

pub(super) use group::GroupForm;
use place::{is_removable, place};

/// A zone with its settings.
#[derive(Clone, Debug, Serialize)]
pub(super) struct ZoneForm {
    id: String,
    label: String,
    sections: Vec<Section>,
}

impl ZoneForm {
    /// Takes the settings away.
    pub(super) fn hold_back(&mut self) {
        self.sections.clear();
    }
}

/// Settings that belong together.
#[derive(Clone, Debug, Serialize)]
struct Section {
    title: &'static str,
    fields: Vec<Field>,
}

/// One setting.
#[derive(Clone, Debug, Serialize)]
struct Field {
    /// Where it stands in the file.
    path: String,
    /// Its way from its zone or outdoor unit: the same for all of them.
    key: &'static str,
    label: &'static str,
    /// What it does, in one sentence.
    help: &'static str,
    /// `null` where there is none.
    value: Json,
    /// Of what there may be none of: the value with which it begins where it is added.
    #[serde(skip_serializing_if = "Option::is_none")]
    begins: Option<Json>,
    /// Whether it can be taken away.
    removable: bool,
    #[serde(flatten)]
    kind: Kind,
}

/// What a setting may become.
#[derive(Clone, Debug, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
enum Kind {
    /// A number.
    Number { min: f64, max: f64, step: f64, unit: String },
    /// Minutes, written with their unit.
    Minutes { min: f64, max: f64, step: f64 },
    /// The lowest and the highest of something.
    Span { min: f64, max: f64, step: f64, unit: String },
    /// One of some words.
    Choice { options: Vec<(&'static str, &'static str)> },
    /// Any of some words.
    Several { options: Vec<(&'static str, &'static str)> },
    /// Words or numbers, one behind the other.
    List,
    /// Keys that are locked, and whether the lock is in force.
    Locks { options: Vec<(&'static str, &'static str)> },
}

/// The forms of all zones and of all outdoor units.
pub(super) fn forms(text: &str, model: &Model) -> (Vec<ZoneForm>, Vec<GroupForm>) {
    let zones = model.zones.iter().enumerate();
    let zones = zones.map(|(at, zone)| FormOf { text, model, zone, at }.whole());
    (zones.collect(), group::forms(model))
}

/// What people call a zone.
pub(super) fn label(zone: &Zone) -> String {
    if zone.label.is_empty() { zone.id.clone() } else { zone.label.clone() }
}

/// Where the locks of a zone's primary controller stand in a text, and whether they need a whole
/// list of controllers there.
pub(super) fn locks_field(text: &str, model: &Model, at: usize) -> (String, bool) {
    FormOf { text, model, zone: &model.zones[at], at }.locks_path()
}

/// The controllers of a zone as a list of the file, with other locks of the primary one.
pub(super) fn controllers_with(zone: &Zone, locks: &Json) -> Json {
    let controllers = &zone.controls.settings.controllers;
    let one = |(at, it): (usize, &Controller)| {
        let primary = at == controllers.primary().get();
        let mut entry = json!({ CONTROLLER_ID.name: it.id, CONTROLLER_PRIMARY.name: primary });
        if it.offset != 0.0 {
            entry[CONTROLLER_OFFSET.name] = json!(it.offset);
        }
        let keys: Vec<&str> = it.key_locks.keys().map(LockableKey::name).collect();
        if primary {
            entry[CONTROLLER_LOCKS.name] = locks.clone();
        } else if !keys.is_empty() {
            let force = it.key_locks.is_in_force();
            entry[CONTROLLER_LOCKS.name] =
                json!({ KEYS_LOCKED.name: keys, LOCK_IN_FORCE.name: force });
        }
        entry
    };
    controllers.as_slice().iter().enumerate().map(one).collect()
}

/// A zone whose form is being made.
#[derive(Clone, Copy, Debug)]
struct FormOf<'a> {
    text: &'a str,
    model: &'a Model,
    zone: &'a Zone,
    at: usize,
}

impl FormOf<'_> {
    fn whole(self) -> ZoneForm {
        let shown = |part: &Part| *part != Part::Absence || self.may_be_empty();
        let sections = Part::OF_ZONE.into_iter().filter(shown).map(|part| {
            let fields = settings::of_zones().iter().filter_map(|entry| match entry.setting.form {
                Form::Asked(section, control) if section == part => self.field(*entry, control),
                _ => None,
            });
            Section { title: part.title(), fields: fields.collect() }
        });
        ZoneForm { id: self.zone.id.clone(), label: label(self.zone), sections: sections.collect() }
    }

    /// Whether the controls may see nobody.
    fn may_be_empty(self) -> bool {
        let controls = &self.zone.controls;
        controls.setback.is_some() || controls.occupancy != Occupancy::Always
    }

    fn field(self, entry: Entry, control: Control) -> Option<Field> {
        if let Control::Locks = control {
            return Some(self.key_locks(entry));
        }
        let subject = Subject::Zone(self.at);
        let value = entry.get(self.model, subject);
        let (control, begins) = apart(control);
        // What is not there has no number that a slider could begin from.
        let unasked = matches!(control, Control::Fine(_) | Control::Minutes(_)) && begins.is_none();
        if value == Value::Nothing && unasked {
            return None;
        }
        let kind = self.kind(control, &value)?;
        let shown = match control {
            Control::Listed(of) => json!(of(self.zone)),
            _ => json_of(&value),
        };
        let path = place(entry, self.model, subject);
        Field::new(entry, path, shown, kind).with_or_without(entry, begins, self.model, subject)
    }

    /// What a setting may become; `None` where the form has no word for its present value.
    fn kind(self, control: Control, value: &Value) -> Option<Kind> {
        let unit = || format!("°{}", self.model.unit.letter());
        let step = self.zone.controls.settings.grid.step();
        let modes = self.zone.controls.settings.modes.as_slice();
        let named = || modes.iter().map(|mode| (mode.name(), mode.name())).collect();
        Some(match control {
            Control::WithinLimits(side) => {
                let [min, max] = self.limits(side);
                Kind::Number { min, max, step, unit: unit() }
            }
            Control::Steps(ends) => {
                let [min, max] = of_unit(ends, self.model.unit);
                Kind::Number { min, max, step, unit: unit() }
            }
            Control::Span(ends) => {
                let [min, max] = of_unit(ends, self.model.unit);
                Kind::Span { min, max, step, unit: unit() }
            }
            Control::Fine(ends) => Kind::fine(ends, self.model.unit),
            Control::Listed(_) => Kind::List,
            Control::Minutes(max) => Kind::Minutes { min: 0.0, max, step: 1.0 },
            Control::Choice(options) => choice(options, value)?,
            Control::OneMode => Kind::Choice { options: named() },
            Control::SomeModes => Kind::Several { options: named() },
            Control::Locks | Control::Member | Control::Optional(..) => return None,
        })
    }

    fn limits(self, side: Side) -> [f64; 2] {
        let settings = &self.zone.controls.settings;
        let range = settings.rules.written(side);
        [settings.grid.value(range.low), settings.grid.value(range.high)]
    }

    /// The key locks of the primary controller, with whether they are in force.
    fn key_locks(self, entry: Entry) -> Field {
        let controllers = &self.zone.controls.settings.controllers;
        let primary = controllers.primary();
        let locks = controllers.as_slice().get(primary.get()).map(|it| it.key_locks);
        let keys: Vec<&str> =
            locks.iter().flat_map(|locks| locks.keys()).map(LockableKey::name).collect();
        let in_force = locks.is_none_or(|locks| keys.is_empty() || locks.is_in_force());
        let options = LockableKey::ALL.iter().map(|key| (key.name(), key.name())).collect();
        let value = json!({ KEYS_LOCKED.name: keys, LOCK_IN_FORCE.name: in_force });
        Field::new(entry, self.locks_path().0, value, Kind::Locks { options })
    }

    /// Where the locks of the primary controller stand, and whether they do so by a whole list of
    /// controllers that must be written first: the zone has none of its own, or the one of all zones.
    fn locks_path(self) -> (String, bool) {
        let own = format!("zones.{}.{}", self.zone.id, CONTROLLERS.path);
        let whole_list = !is_written(self.text, &own);
        let path = if whole_list {
            CONTROLLERS.path.to_owned()
        } else {
            let primary = self.zone.controls.settings.controllers.primary();
            CONTROLLER_LOCKS.path.replace("[]", &format!("[{}]", primary.get()))
        };
        (format!("zones.{}.{path}", self.zone.id), whole_list)
    }
}

/// A control, and how it begins where there may be none.
pub(super) const fn apart(control: Control) -> (Control, Option<Begins>) {
    match control {
        Control::Optional(inner, begins) => (*inner, Some(begins)),
        other => (other, None),
    }
}

/// The ends in the file's unit.
const fn of_unit([celsius, fahrenheit]: Ends, unit: TemperatureUnit) -> [f64; 2] {
    match unit {
        TemperatureUnit::Celsius => celsius,
        TemperatureUnit::Fahrenheit => fahrenheit,
    }
}

impl Kind {
    /// A number in fine steps.
    fn fine(ends: Ends, unit: TemperatureUnit) -> Self {
        let [min, max] = of_unit(ends, unit);
        let step = if unit == TemperatureUnit::Fahrenheit { 0.2 } else { 0.1 };
        Self::Number { min, max, step, unit: format!("°{}", unit.letter()) }
    }
}

impl Field {
    fn new(entry: Entry, path: String, value: Json, kind: Kind) -> Self {
        Self {
            path,
            key: entry.key.path,
            label: entry.setting.name,
            help: entry.key.doc,
            value,
            begins: None,
            removable: false,
            kind,
        }
    }

    /// With what it begins where there is none of it; no field at all where there can be none.
    fn with_or_without(
        mut self,
        entry: Entry,
        begins: Option<Begins>,
        model: &Model,
        subject: Subject,
    ) -> Option<Self> {
        let Some(begins) = begins else { return Some(self) };
        let begins = begins(model, subject);
        if entry.get(model, subject) == Value::Nothing {
            begins.as_ref()?;
            self.value = Json::Null;
        }
        self.begins = begins.as_ref().map(json_of);
        self.removable = is_removable(entry);
        Some(self)
    }
}

/// A choice of words that has the present one.
fn choice(options: &[(&'static str, &'static str)], value: &Value) -> Option<Kind> {
    let Value::Word(present) = value else { return None };
    let known = options.iter().any(|(word, _)| word == present);
    known.then(|| Kind::Choice { options: options.to_vec() })
}

/// A value as the page holds it: times in minutes, nothing as 0.
fn json_of(value: &Value) -> Json {
    match value {
        Value::Nothing => json!(0.0),
        Value::Number(number) => json!(number),
        Value::Time(time) => json!(time.get() as f64 / 60.0),
        Value::Flag(flag) => json!(flag),
        Value::Word(word) => json!(word),
        Value::Words(words) => json!(words),
        Value::Span(span) => json!(span),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whatever the table asks for stands in the form of a zone or an outdoor unit that has it.
    #[test]
    fn the_form_asks_for_every_setting_that_the_table_asks_for() {
        let text = "period: {from: 2025-04-16}
weather: {design_day: {high: 18, range: 11}}
outdoor_units:
  one:
    zones: [hall]
    heating: [{outdoor: 7, capacity: 9 kW, cop: 3.5}]
    cooling: [{outdoor: 35, capacity: 9 kW, cop: 3.5}]
  two:
    zones: [attic]
    mode_policy: majority
    heating: [{outdoor: 7, capacity: 9 kW, cop: 3.5}]
    cooling: [{outdoor: 35, capacity: 9 kW, cop: 3.5}]
zones:
  hall:
    space: {floor: 60 m2}
    unit: {heating: 4 kW, cooling: 4 kW}
    controls: {heat: 20, cool: 24, setback: {heat: 2}, occupancy: {from: \"08:00\", to: \"18:00\"},
      outdoor_limits: {heat_below: 18, cool_above: 12}, window_contact: {does: off},
      return_at: [\"12:00\"], return_to: {heat: 20}}
  attic:
    space: {floor: 20 m2}
    unit: {heating: 2 kW, cooling: 2 kW, control: staged, stages: [0.6, 1]}
    controls: {heat: 19.5, cool: 24, call_start: {heating: 0.5, cooling: 1}, call_stop: {cooling: 0.3}}
";
        let open = |_: &str| Err("no files here".to_owned());
        let study = crate::scenario::read(text, "hall.yaml", &open);
        let model = study.unwrap_or_else(|faults| panic!("{faults}")).base;
        let (zones, groups) = forms(text, &model);
        let sections = zones.iter().flat_map(|zone| &zone.sections);
        let of_zones = sections.flat_map(|section| &section.fields);
        let of_groups = groups.iter().flat_map(|group| &group.fields);
        let labels: Vec<&str> = of_zones.chain(of_groups).map(|field| field.label).collect();
        let all = settings::of_zones().iter().chain(settings::of_groups());
        for entry in all {
            match entry.setting.form {
                // The owner is chosen where the zones are shown.
                Form::Asked(_, Control::Member) => assert!(!groups[0].owner_path().is_empty()),
                Form::Asked(..) => {
                    assert!(labels.contains(&entry.setting.name), "{}", entry.key.path);
                }
                Form::Left(_) => {
                    assert!(!labels.contains(&entry.setting.name), "{}", entry.key.path);
                }
            }
        }
    }
}
