//! Changes that are taken back: alone, or with those that cannot stand without them.

use super::super::settings::locks_field;
use super::super::settings::place::places;
use super::super::state::PageEdit;
use super::super::trouble::Trouble;
use super::{Amendment, Moved, setting, whose};
use crate::engine::Model;
use crate::scenario::Companions;
use crate::settings::controls::{
    COOL, HEAT, KEYS_LOCKED, LIMITS_COOL, LIMITS_HEAT, LOCKED_MODES, MIN_DEADBAND, MODE,
};
use crate::settings::{Key, Subject};

/// Settings of a zone that hold each other.
const TOGETHER: [&Key; 7] =
    [&HEAT, &COOL, &LIMITS_HEAT, &LIMITS_COOL, &MIN_DEADBAND, &MODE, &LOCKED_MODES];

/// The page without the changes of a setting.
pub(super) fn taken_back(
    moved: &Moved,
    text: &str,
    model: &Model,
    companions: &Companions,
) -> Result<Amendment, Trouble> {
    let (mut own, mut names, mut beside) = (Vec::new(), Vec::new(), Vec::new());
    for name in &moved.of {
        let unknown = || Trouble::bad("there is no such setting");
        let (entry, subject) = setting(model, &moved.key, name).ok_or_else(unknown)?;
        match subject {
            Subject::Zone(at) if entry.key.path == KEYS_LOCKED.path => {
                own.push(locks_field(text, model, at).0);
            }
            _ => own.extend(places(entry, model, subject)),
        }
        names.push(whose(model, subject));
        beside.extend(TOGETHER.map(|key| format!("zones.{name}.{}", key.path)));
    }
    let without = |paths: &[&[String]]| -> Vec<PageEdit> {
        let is_one = |edit: &PageEdit, path: &String| {
            edit.path
                .strip_prefix(path)
                .is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
        };
        let kept = |edit: &&PageEdit| !paths.iter().any(|it| it.iter().any(|it| is_one(edit, it)));
        moved.asked.edits.iter().filter(kept).cloned().collect()
    };
    let alone = without(&[&own]);
    if moved.asked.with_edits(alone.clone()).study(companions).is_ok() {
        return Ok(Amendment { edits: alone, said: Vec::new(), against: None });
    }
    let edits = without(&[&own, &beside]);
    moved.asked.with_edits(edits.clone()).study(companions)?;
    let whose = match names.as_slice() {
        [one] => one.clone(),
        many => format!("{} rooms", many.len()),
    };
    let said = format!("Setpoints, limits, deadband and modes of {whose} went back with it.");
    Ok(Amendment { edits, said: vec![said], against: None })
}
