//! The settings of a study as a record in plain words: what a technician hands over to a client,
//! and where two studies differ. Pages and workbooks take it from here.

mod assumptions;
mod group;
mod outdoors;
mod plain;
mod spans;
mod zone;

pub use assumptions::assumptions;

use crate::engine::Model;
use crate::report::figures::listed as in_a_row;
use crate::settings::{self, Subject};

/// The settings of one zone or outdoor unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SettingsBlock {
    /// What people call the zone or the outdoor unit.
    pub subject: String,
    /// Its settings, always in the same order.
    pub settings: Vec<Setting>,
}

/// One setting, for every model of the record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Setting {
    /// What people call it.
    pub name: &'static str,
    /// What it is in each model, in their order; `None` where that model has no such zone or unit.
    pub values: Vec<Option<String>>,
}

impl Setting {
    /// Whether the models differ in it.
    pub fn differs(&self) -> bool {
        self.values.windows(2).any(|pair| pair[0] != pair[1])
    }
}

/// A name and its value in one model.
type Line = (&'static str, String);

/// The settings of one or more models side by side: a block for each zone in file order, then one
/// for each outdoor unit. Zones and units of the same id belong together.
pub fn settings_record(models: &[&Model]) -> Vec<SettingsBlock> {
    let mut blocks = Blocks { models: models.len(), all: Vec::new() };
    let of_zones = plain::told(models, settings::of_zones(), &zone::LINES);
    let of_groups = plain::told(models, settings::of_groups(), &group::LINES);
    for (place, model) in models.iter().enumerate() {
        for (index, zone) in model.zones.iter().enumerate() {
            let key = format!("zone {}", zone.id);
            let mut lines = zone::lines(model, index);
            lines.extend(plain::lines(&of_zones, model, Subject::Zone(index)));
            blocks.add(place, &key, crate::report::run::label(zone), lines);
        }
    }
    for (place, model) in models.iter().enumerate() {
        for (index, group) in model.outdoor_units.iter().enumerate() {
            let key = format!("unit {}", group.id);
            let label = if group.label.is_empty() { &group.id } else { &group.label };
            let mut lines = group::lines(model, group);
            lines.extend(plain::lines(&of_groups, model, Subject::Group(index)));
            blocks.add(place, &key, &unit_subject(label), lines);
        }
    }
    blocks.all.into_iter().map(|(_, block)| block).collect()
}

fn unit_subject(label: &str) -> String {
    match label.replace('_', " ").trim() {
        "outdoor unit" | "" => "Outdoor unit".into(),
        other => format!("Outdoor unit {other}"),
    }
}

/// Blocks under a key that tells them apart.
struct Blocks {
    models: usize,
    all: Vec<(String, SettingsBlock)>,
}

impl Blocks {
    /// Puts the lines of one model into the block of that key, which is made where it is new.
    fn add(&mut self, model: usize, key: &str, subject: &str, lines: Vec<Line>) {
        let known = self.all.iter().position(|(other, _)| other == key);
        let at = known.unwrap_or_else(|| {
            let block = SettingsBlock { subject: subject.to_owned(), settings: Vec::new() };
            self.all.push((key.to_owned(), block));
            self.all.len() - 1
        });
        let settings = &mut self.all[at].1.settings;
        for (name, value) in lines {
            let known = settings.iter().position(|setting| setting.name == name);
            let place = known.unwrap_or_else(|| {
                settings.push(Setting { name, values: vec![None; self.models] });
                settings.len() - 1
            });
            settings[place].values[model] = Some(value);
        }
    }
}

/// `heat`, `heat and cool`, `heat, cool and dry`; `none` where there is nothing.
fn listed<S: AsRef<str>>(words: &[S]) -> String {
    if words.is_empty() { "none".into() } else { in_a_row(words) }
}
