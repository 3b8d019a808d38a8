//! A file read: the model as written and one for each variant.

use std::sync::Arc;

use super::every_zone;
use super::fault::{Complaint, Faults, Sink};
use super::locate::locate;
use super::near::nearest;
use super::parse::parse;
use super::path::PathSteps;
use super::read::{Around, MOST_ACTIONS, model, requirements};
use super::requirement::Requirement;
use super::shelf::{Beside, Shelf};
use super::tree::{Entry, Node, Value};
use super::variants;
use crate::engine::Model;
use crate::weather::Almanac;

/// The most values that a file may ask to be read, each variant counted with all that it reads
/// again.
const MOST_READ: usize = 6_000_000;
/// The most actions of the file and all its variants together.
const MOST_ACTIONS_TOGETHER: usize = 4_000_000;

/// A scenario file, read.
#[derive(Clone, Debug)]
pub struct Study {
    /// The file as written.
    pub base: Model,
    /// Its variants in file order. One with faults does not stop the others.
    pub variants: Vec<(String, Result<Model, Faults>)>,
    /// What its specification asks.
    pub requirements: Vec<Requirement>,
    structural: Option<Faults>,
    /// The file as it stands, for places; the parser bounds how much it holds.
    written: Arc<Node>,
    /// Its text, to be written anew with other weather.
    text: Arc<str>,
}

/// Why a variant cannot be run.
#[derive(Clone, Debug, PartialEq)]
pub enum VariantFault<'a> {
    /// The file has none of that name.
    Unknown {
        /// The nearest name that it has.
        nearest: Option<&'a str>,
    },
    /// It has faults.
    Faulty(&'a Faults),
}

impl Study {
    /// The variant of that name.
    ///
    /// # Errors
    /// The file has no such variant, or the variant has faults.
    pub fn variant(&self, name: &str) -> Result<&Model, VariantFault<'_>> {
        let names = || self.variants.iter().map(|(name, _)| name.as_str());
        match self.variants.iter().find(|(known, _)| known == name) {
            None => Err(VariantFault::Unknown { nearest: nearest(name, names()) }),
            Some((_, Err(faults))) => Err(VariantFault::Faulty(faults)),
            Some((_, Ok(model))) => Ok(model),
        }
    }

    /// The text of the file as written.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Where a path such as `zones.hall.controls.heat` or `actions[2].at` stands in the text of the
    /// file as written: line and column of its value, from 1. Where the value is left out, those of
    /// the nearest block around it; `None` where neither the format nor the file has such a path.
    pub fn place(&self, path: &str) -> Option<(u32, u32)> {
        let place = locate(&self.written, path)?;
        Some((place.line, place.column))
    }

    /// Whether the file as written has something at a path such as `zones.hall.controls.heat`.
    pub fn has(&self, path: &str) -> bool {
        PathSteps::of(path).try_fold(&*self.written, Node::below).is_some()
    }

    /// What is wrong with variants as they are written, whatever they are applied to: paths that
    /// lead nowhere, and variants that are no set of paths.
    pub const fn structural_faults(&self) -> Option<&Faults> {
        self.structural.as_ref()
    }
}

/// Reads the text of a scenario file. `name` is the file's name for messages, and its stem the
/// title where the file gives none; `open` opens a file that the scenario names.
///
/// # Errors
/// Everything wrong with the file as written, variants' paths included.
pub fn read(
    text: &str,
    name: &str,
    open: &dyn Fn(&str) -> Result<String, String>,
) -> Result<Study, Faults> {
    read_beside(text, name, &|name| open(name).map(String::into_bytes))
}

/// The same where files that the scenario names need not be text: packed logs and workbooks.
///
/// # Errors
/// Everything wrong with the file as written, variants' paths included.
pub fn read_beside(
    text: &str,
    name: &str,
    open: &dyn Fn(&str) -> Result<Vec<u8>, String>,
) -> Result<Study, Faults> {
    read_among(text, name, open, &Arc::default())
}

/// The same for who reads again and again, with what earlier reading has shown of weather files.
///
/// # Errors
/// Everything wrong with the file as written, variants' paths included.
pub(super) fn read_among(
    text: &str,
    name: &str,
    open: &dyn Fn(&str) -> Result<Vec<u8>, String>,
    almanac: &Arc<Almanac>,
) -> Result<Study, Faults> {
    let sink = Sink::default();
    let Some(root) = parse(text, &sink) else { return Err(sink.into_faults(name, text)) };
    let shelf = Shelf::new(open, Arc::clone(almanac));
    let reader = Reader { text, name, beside: &shelf };
    let (mut root, variants) = split(root);
    spread(&mut root, &sink);
    let base = reader.model(&root, None, MOST_ACTIONS, &sink);
    let names = variants.as_ref().map_or(&[][..], |entry| entry.node.entries());
    let names: Vec<&str> = names.iter().map(|entry| &*entry.key).collect();
    let requirements = requirements(&root, &names, &sink);
    let structural = Sink::default();
    let list = variants.as_ref().map_or(&[][..], |node| node.node.entries());
    if let Some(entry) = variants.as_ref() {
        variants::check_list(entry, &structural);
    }
    let affordable = root.size().saturating_mul(list.len() + 1) <= MOST_READ;
    if let Some(entry) = variants.as_ref().filter(|_| !affordable) {
        let many = Complaint::new("too-large", "so many variants of so long a file are too many")
            .help("split the file, or keep fewer variants");
        structural.add(entry.place, "variants".into(), many);
    }
    let mut read = Vec::new();
    let mut actions_left = MOST_ACTIONS_TOGETHER;
    for entry in list.iter().filter(|_| affordable) {
        let own = Sink::default();
        let changed = variants::apply(&root, entry, &own);
        structural.absorb(&own);
        if base.is_some() {
            let model = reader.variant(changed, entry, actions_left.min(MOST_ACTIONS), own);
            let used = model.as_ref().map_or(0, |model| model.actions.len());
            actions_left = actions_left.saturating_sub(used);
            read.push((entry.key.to_string(), model));
        }
    }
    match base {
        Some(base) if affordable && sink.is_empty() => {
            let structural = (!structural.is_empty()).then(|| structural.into_faults(name, text));
            let written = Arc::new(join(root, variants));
            Ok(Study { base, variants: read, requirements, structural, written, text: text.into() })
        }
        _ => {
            sink.absorb(&structural);
            Err(sink.into_faults(name, text))
        }
    }
}

/// Takes the variants out of a file: what is left is what they apply to.
pub(super) fn split(mut root: Node) -> (Node, Option<Entry>) {
    let variants = match &mut root.value {
        Value::Block(entries) => {
            let place = entries.iter().position(|entry| &*entry.key == "variants");
            place.map(|place| entries.remove(place))
        }
        _ => None,
    };
    (root, variants)
}

/// Lets every zone have what the file writes for all of them.
pub(super) fn spread(root: &mut Node, sink: &Sink) {
    let place = root.entry(every_zone::KEY).map(|entry| entry.place).unwrap_or_default();
    if let Err(complaint) = every_zone::spread(root) {
        sink.add(place, every_zone::KEY.into(), complaint);
    }
}

/// The file with its variants again.
fn join(mut root: Node, variants: Option<Entry>) -> Node {
    if let Value::Block(entries) = &mut root.value {
        entries.extend(variants);
    }
    root
}

struct Reader<'a> {
    text: &'a str,
    name: &'a str,
    /// Every variant names the same files.
    beside: &'a dyn Beside,
}

impl Reader<'_> {
    fn model(&self, root: &Node, variant: Option<&str>, most: usize, sink: &Sink) -> Option<Model> {
        let beside = self.beside;
        let around = Around { title: stem(self.name), variant, beside, most_actions: most };
        model(root, &around, sink)
    }

    /// Reads a changed tree; its faults are the variant's.
    fn variant(
        &self,
        changed: Option<Node>,
        entry: &Entry,
        most: usize,
        sink: Sink,
    ) -> Result<Model, Faults> {
        let model = changed.and_then(|root| self.model(&root, Some(&entry.key), most, &sink));
        model.ok_or_else(|| {
            sink.gather(entry.place.line..=entry.node.last_line(), entry.place);
            sink.into_faults(self.name, self.text)
        })
    }
}

/// A file's name without folder and extension.
pub(super) fn stem(name: &str) -> &str {
    let last = name.rsplit(['/', '\\']).next().unwrap_or(name);
    match last.rsplit_once('.') {
        Some((stem, _)) if !stem.is_empty() => stem,
        _ => last,
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_stem_is_what_people_call_the_file() {
        for (name, stem) in
            [("rooms/attic.yaml", "attic"), ("attic.v2.yaml", "attic.v2"), (".yaml", ".yaml")]
        {
            assert_eq!(super::stem(name), stem);
        }
    }
}
