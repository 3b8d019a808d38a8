//! A scenario file whose values are changed over and over: its text is read once.

use std::fmt;
use std::sync::Arc;

use super::band;
use super::every_zone;
use super::fault::{Complaint, Faults, Sink};
use super::parse::parse;
use super::path::{PathStep, PathSteps};
use super::read::{Around, MOST_ACTIONS, model};
use super::rooms;
use super::shelf::Shelf;
use super::study::{split, spread, stem};
use super::tree::{Entry, Node, Place, Value};
use super::variants;
use crate::engine::Model;
use crate::weather::Almanac;

type Opener<T> = Box<dyn Fn(&str) -> Result<T, String> + Send + Sync>;

/// A path into the file with a new value, as variants have them, or `zones.*.band` with a width.
#[derive(Clone, Debug)]
pub struct Override {
    path: Arc<str>,
    node: Node,
}

impl Override {
    /// A change from its texts: `zones.*.controls.heat` and `21.5`.
    ///
    /// # Errors
    /// The value is not what a YAML file could have there; in words.
    pub fn new(path: &str, value: &str) -> Result<Self, String> {
        let sink = Sink::default();
        // The value stands where a file would have it, so that brackets and quotes mean the same.
        let root = parse(&format!("value: {value}"), &sink);
        let node = root.as_ref().and_then(|root| root.get("value"));
        let alone = root.as_ref().is_some_and(|root| root.entries().len() == 1);
        match node {
            Some(node) if sink.is_empty() && alone && !node.is_null() => {
                let mut node = node.clone();
                unplace(&mut node);
                Ok(Self { path: path.into(), node })
            }
            _ => Err(format!("`{value}` is no value that a scenario file could have")),
        }
    }

    /// The path that it changes.
    pub fn path(&self) -> &str {
        &self.path
    }
}

/// Places in the text of a value say nothing about the file.
fn unplace(node: &mut Node) {
    node.place = Place::default();
    match &mut node.value {
        Value::Scalar { .. } => {}
        Value::List(items) => items.iter_mut().for_each(unplace),
        Value::Block(entries) => {
            for entry in entries {
                entry.place = Place::default();
                unplace(&mut entry.node);
            }
        }
    }
}

/// Why changes make no model.
#[derive(Clone, Debug, PartialEq)]
pub enum Rejected {
    /// A path leads nowhere, whatever the value.
    Path {
        /// The path.
        path: String,
        /// What is wrong with it.
        message: String,
        /// What would be right.
        remedy: String,
    },
    /// The file with these values has faults.
    Faults(Faults),
}

impl fmt::Display for Rejected {
    /// One line that names the first fault.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Path { path, message, .. } => write!(f, "{path}: {message}"),
            Self::Faults(faults) => match faults.as_slice().first() {
                Some(first) if first.path.is_empty() => f.write_str(&first.message),
                Some(first) => write!(f, "{}: {}", first.path, first.message),
                None => f.write_str("the file has faults"),
            },
        }
    }
}

impl std::error::Error for Rejected {}

/// A scenario file, read as far as its values stay the same.
pub struct Template {
    name: String,
    text: String,
    variant: Option<String>,
    /// The paths that the variant sets.
    set: Vec<Box<str>>,
    root: Node,
    shelf: Shelf<Opener<Vec<u8>>>,
}

impl fmt::Debug for Template {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Template").field("name", &self.name).finish_non_exhaustive()
    }
}

impl Template {
    /// Reads the text of a scenario file, or of one of its variants. `name` is the file's name for
    /// messages; `open` opens a file that the scenario names.
    ///
    /// # Errors
    /// The text is no YAML, has no such variant, or the variant has paths that lead nowhere.
    pub fn read(
        text: &str,
        name: &str,
        open: Opener<String>,
        variant: Option<&str>,
    ) -> Result<Self, Faults> {
        let open = move |name: &str| open(name).map(String::into_bytes);
        Self::read_beside(text, name, Box::new(open), variant)
    }

    /// The same where files that the scenario names need not be text: packed logs and workbooks.
    ///
    /// # Errors
    /// As [`Self::read`].
    pub fn read_beside(
        text: &str,
        name: &str,
        open: Opener<Vec<u8>>,
        variant: Option<&str>,
    ) -> Result<Self, Faults> {
        Self::read_among(text, name, open, variant, &Arc::default())
    }

    /// The same where models of the file have been read before, with what they know of its weather.
    ///
    /// # Errors
    /// As [`Self::read`].
    pub fn read_among(
        text: &str,
        name: &str,
        open: Opener<Vec<u8>>,
        variant: Option<&str>,
        almanac: &Arc<Almanac>,
    ) -> Result<Self, Faults> {
        Self::read_in_rooms(text, name, open, variant, almanac, None)
    }

    /// The same with the rooms and units of another file instead of its own, before the variant is
    /// applied.
    ///
    /// # Errors
    /// As [`Self::read`]; and the other file lacks one of its zones.
    pub fn read_in_rooms(
        text: &str,
        name: &str,
        open: Opener<Vec<u8>>,
        variant: Option<&str>,
        almanac: &Arc<Almanac>,
        other: Option<&Self>,
    ) -> Result<Self, Faults> {
        let sink = Sink::default();
        let root = parse(text, &sink).filter(|_| sink.is_empty());
        let Some(root) = root else { return Err(sink.into_faults(name, text)) };
        let (mut written, variants) = split(root);
        spread(&mut written, &sink);
        if !sink.is_empty() {
            return Err(sink.into_faults(name, text));
        }
        if let Some(other) = other
            && let Err(missing) = rooms::take_over(&mut written, &other.root)
        {
            let message = format!("{} has no zone {}", other.name, missing.join(", "));
            let none = Complaint::new("unknown-zone", message);
            return Err(Faults::of_file(name, none.help("it has to be of the same building")));
        }
        let mut set = Vec::new();
        let root = match variant {
            None => Some(written),
            Some(wanted) => {
                let list = variants.as_ref().map_or(&[][..], |all| all.node.entries());
                let found = list.iter().find(|entry| *entry.key == *wanted);
                if found.is_none() {
                    let none = format!("the file has no variant `{wanted}`");
                    return Err(Faults::of_file(name, Complaint::new("unknown-variant", none)));
                }
                let paths = found.map_or(&[][..], |entry| entry.node.entries());
                set.extend(paths.iter().map(|entry| entry.key.clone()));
                found.and_then(|entry| variants::apply(&written, entry, &sink))
            }
        };
        let Some(root) = root else { return Err(sink.into_faults(name, text)) };
        let (name, text, variant) = (name.into(), text.into(), variant.map(str::to_owned));
        Ok(Self { name, text, variant, set, root, shelf: Shelf::new(open, Arc::clone(almanac)) })
    }

    /// The model of the file with these changes: plain paths first, in their order, then bands.
    ///
    /// # Errors
    /// A path leads nowhere, or the file with these values has faults.
    pub fn model(&self, changes: &[Override]) -> Result<Model, Rejected> {
        let mut root = self.root.clone();
        let (bands, plain): (Vec<_>, Vec<_>) =
            changes.iter().partition(|change| band::zone_of(&change.path).is_some());
        for change in plain {
            let entry = Entry::new(&change.path, Place::default(), change.node.clone());
            variants::set(&mut root, &entry)
                .map_err(|complaint| nowhere(&change.path, complaint))?;
        }
        every_zone::spread(&mut root).map_err(|it| self.refused(every_zone::KEY, it))?;
        for change in bands {
            if let Some(zone) = band::zone_of(&change.path) {
                band::widen(&mut root, zone, &change.node)
                    .map_err(|complaint| self.refused(&change.path, complaint))?;
            }
        }
        self.read_model(&root)
    }

    fn read_model(&self, root: &Node) -> Result<Model, Rejected> {
        let sink = Sink::default();
        let around = Around {
            title: stem(&self.name),
            variant: self.variant.as_deref(),
            beside: &self.shelf,
            most_actions: MOST_ACTIONS,
        };
        model(root, &around, &sink)
            .ok_or_else(|| Rejected::Faults(sink.into_faults(&self.name, &self.text)))
    }

    /// A band that cannot be set is a fault of the values; only its zone can lead nowhere.
    fn refused(&self, path: &str, complaint: Complaint) -> Rejected {
        if complaint.code == "unknown-path" {
            return nowhere(path, complaint);
        }
        let sink = Sink::default();
        sink.add(Place::default(), path.to_owned(), complaint);
        Rejected::Faults(sink.into_faults(&self.name, &self.text))
    }

    /// The text of the file, and of every other file that has been opened for it so far; of logs
    /// their length and checksum.
    pub fn texts(&self) -> Vec<Arc<str>> {
        std::iter::once(Arc::from(self.text.as_str())).chain(self.shelf.contents()).collect()
    }

    /// Whether the variant itself sets what stands at a path, or a part of it.
    pub fn is_set_by_variant(&self, path: &str) -> bool {
        let meets = |own: &str| {
            PathSteps::of(own).zip(PathSteps::of(path)).all(|(one, other)| {
                one == other || one == PathStep::Every || other == PathStep::Every
            })
        };
        self.set.iter().any(|own| meets(own))
    }

    /// Which variant of the file it is; `None` for the file as written.
    pub fn variant(&self) -> Option<&str> {
        self.variant.as_deref()
    }
}

fn nowhere(path: &str, complaint: Complaint) -> Rejected {
    let Complaint { message, remedy, .. } = complaint;
    Rejected::Path { path: path.to_owned(), message, remedy }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FILE: &str = "
period: {from: 2025-01-06, days: 2}
weather: {csv: log.csv, site: {latitude: 47, longitude: 9, utc_offset: 1}}
zones:
  den: {space: {floor: 20 m2, windows: [{area: 2 m2, u: 1.6, facing: south}]}, unit: {heating: 2 kW}, controls: {heat: 20, cool: 25}}
";

    /// Readings of two days, by the hour.
    fn log(of: &str) -> String {
        let row = |hour: u32| {
            let (day, hour) = (6 + hour / 24, hour % 24);
            format!("2025-01-{day:02}T{hour:02}:00,{},80,{of}\n", f64::from(hour) / 4.0)
        };
        "time,temperature,humidity,radiation\n".to_owned() + &(0..49).map(row).collect::<String>()
    }

    fn weather_of(template: &Template, changes: &[(&str, &str)]) -> Arc<crate::weather::Record> {
        let changes: Vec<Override> = changes
            .iter()
            .map(|(path, value)| Override::new(path, value).expect("right"))
            .collect();
        match template.model(&changes).expect("right").weather {
            crate::weather::Weather::Record(record) => record,
            _ => panic!("a file with humidity and radiation"),
        }
    }

    #[test]
    fn cases_have_their_weather_in_common_as_far_as_they_ask_the_same_of_it() {
        let open = Box::new(|_: &str| Ok(log("100")));
        let template = Template::read(FILE, "den.yaml", open, None).expect("right");
        let first = weather_of(&template, &[]);
        let alike = weather_of(&template, &[("zones.den.controls.heat", "21")]);
        assert!(Arc::ptr_eq(&first, &alike));
        for change in [
            ("weather.stamp", "start"),
            ("weather.humidity", "50"),
            ("weather.site.utc_offset", "2"),
            ("period.days", "1"),
        ] {
            let other = weather_of(&template, &[change]);
            assert_ne!(other, first, "{change:?}");
            let fresh = Box::new(|_: &str| Ok(log("100")));
            let fresh = Template::read(FILE, "den.yaml", fresh, None).expect("right");
            assert_eq!(other, weather_of(&fresh, &[change]), "{change:?}");
        }
    }

    #[test]
    fn a_file_that_has_changed_is_read_again() {
        let almanac = Arc::default();
        let mut seen = Vec::new();
        for of in ["100", "100", "200"] {
            let open = Box::new(move |_: &str| Ok(log(of).into_bytes()));
            let template =
                Template::read_among(FILE, "den.yaml", open, None, &almanac).expect("right");
            seen.push(weather_of(&template, &[]));
        }
        assert!(Arc::ptr_eq(&seen[0], &seen[1]));
        assert_ne!(seen[1], seen[2]);
    }

    /// What stands wrong beside a weather file is told as often as it is read.
    #[test]
    fn faults_are_found_every_time() {
        let open = Box::new(|_: &str| Ok(log("100").replace("T05:00,1.25", "T05:00,warm")));
        let template = Template::read(FILE, "den.yaml", open, None).expect("right");
        let faults = [(); 2].map(|()| template.model(&[]).expect_err("wrong").to_string());
        assert!(faults[0].contains("line 7"), "{}", faults[0]);
        assert_eq!(faults[0], faults[1]);
    }
}
