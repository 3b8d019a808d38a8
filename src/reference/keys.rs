//! The keys of the scenario file, from the table that the reader checks against.

use super::shipped::SHIPPED;
use super::{Class, Entry};
use crate::scenario::{ListedKey, WrittenKey, listed_keys, written_keys};
use crate::settings::controls::{OVERRIDE_UNTIL, RETURN_AT};
use crate::settings::{Governs, Key};

pub(super) fn entries() -> Vec<Entry> {
    let written: Vec<(&'static str, &'static str, Vec<WrittenKey>)> =
        SHIPPED.iter().map(|it| (it.file, it.text, written_keys(it.text))).collect();
    listed_keys().iter().map(|key| entry(key, &written)).collect()
}

fn entry(listed: &ListedKey, written: &[(&'static str, &'static str, Vec<WrittenKey>)]) -> Entry {
    let key = listed.key;
    let mut entry = Entry::new(Class::Key, key.name, key.doc);
    entry.path = listed.paths.first().cloned();
    entry = entry.fact("takes", listed.takes().trim_end_matches(','));
    if let Some((range, source)) = listed.range() {
        entry = entry.fact("range", format!("{range} ({source})"));
    }
    entry = entry.fact("default", listed.default());
    if let Some(setting) = &key.setting {
        entry = entry.fact("called", setting.name).fact("rule", rule(key, setting.governs));
    }
    if let [_, others @ ..] = listed.paths.as_slice()
        && !others.is_empty()
    {
        entry = entry.fact("also at", others.join(", "));
    }
    let place = written.iter().find_map(|(file, text, keys)| {
        let at = keys.iter().find(|it| it.block == listed.block.name && it.name == key.name)?;
        Some((*file, *text, at.line))
    });
    let line = place.and_then(|(_, text, line)| line_of(text, line, key.name));
    entry.example = line.or_else(|| listed.example());
    entry.shown_in = place.map(|(file, _, line)| (file, Some(line)));
    entry
}

/// The line of a file where a key stands, from the key on, without its comment, where that is short
/// enough to read.
fn line_of(text: &str, line: u32, key: &str) -> Option<String> {
    const LONGEST: usize = 90;
    let line = text.lines().nth(usize::try_from(line).ok()?.checked_sub(1)?)?;
    let line = line.split(" #").next().unwrap_or(line).trim();
    let shown = line.trim_start_matches("- ");
    let is_whole = shown.contains(&format!("{key}:")) && !shown.ends_with(':');
    (is_whole && shown.chars().count() <= LONGEST).then(|| shown.to_owned())
}

/// Settings that have a rule of their own, by the beginning of their path within the controls.
const RULES_BY_KEY: &[(&str, &str)] = &[
    ("outdoor_limits", "control rule 15: outdoor limits"),
    ("window_contact", "control rule 16: window contact"),
    (OVERRIDE_UNTIL.name, "control rule 17: overrides and returns"),
    (RETURN_AT.name, "control rule 17: overrides and returns"),
    ("return_to", "control rule 17: overrides and returns"),
];

/// The rule of control that a setting belongs to, as they are numbered in the module `control`.
fn rule(key: &Key, governs: Governs) -> &'static str {
    let within = key.within_controls();
    let of_rule = RULES_BY_KEY.iter().find(|(start, _)| within.starts_with(start));
    if let Some((_, rule)) = of_rule {
        return rule;
    }
    match governs {
        Governs::Keys => "control rules 2 to 6: setpoints, limits, deadband, modes, locks",
        Governs::Start => "control rule 2: where a zone starts",
        Governs::Calls => "control rule 9: calls",
        Governs::Changeover => "control rules 9 and 10: changeovers",
        Governs::Sensing => "control rules 7 and 9: what is read where",
        Governs::Absence => "control rule 11: occupancy",
        Governs::AutomaticOff => "control rule 9: power that goes off by itself",
        Governs::Frost => "control rule 9: the low limit",
        Governs::Sharing => "control rule 10: groups",
        Governs::Plant => "physics of the plant",
    }
}
