//! Settings beside the candidates that would explain what was read: another order of modes, a mode
//! that is missing or there as well, a display in the other unit; and two settings at once.

use super::candidates::Candidates;
use super::explain::{changed, explanations};
use super::stated::Supposed;
use super::values::settings;
use super::work::Budget;
use super::{Explanation, Inferred, Value, contradictions};
use crate::control::{Mode, UnitModes};
use crate::settings::Value as Setting;
use crate::settings::controls::SHOWN_UNIT;
use crate::settings::unit::UNIT_MODES;
use crate::study::sheet_csv::{Record, ZoneRecord};
use crate::units::TemperatureUnit;

/// So many pairs of values are tried at most.
const MOST_PAIRS: usize = 40_000;
/// So many pairs are named.
const PAIRS_NAMED: usize = 12;

/// What explains everything that was read beside the candidates: single settings, and pairs of one
/// of them with a candidate.
pub(super) struct Others {
    /// Single settings.
    pub single: Vec<Explanation>,
    /// Pairs.
    pub pairs: Vec<[Explanation; 2]>,
}

/// Settings that are no candidates, with which everything agrees. `None` where the work is too much.
pub(super) fn others(
    zone: &ZoneRecord,
    stated: &Supposed,
    (record, may_follow): (&Record, bool),
    budget: &Budget,
) -> Option<Others> {
    let unit = record.unit;
    let mut all = Others { single: Vec::new(), pairs: Vec::new() };
    let shown = other_unit(zone, unit).map(|it| (SHOWN_UNIT.path, it));
    let modes = other_modes(zone).into_iter().map(|it| (UNIT_MODES.path, it));
    for (key, value) in modes.chain(shown) {
        let mut other = zone.clone();
        let text = value.to_string();
        match other.stated.iter_mut().find(|(known, _)| known == key) {
            Some((_, known)) => *known = text,
            None => other.stated.push((key.to_owned(), text)),
        }
        if key == UNIT_MODES.path && !Candidates::modes_admit(&other, may_follow, stated) {
            continue;
        }
        let candidates = Candidates::of(&other, unit, may_follow, budget)?;
        if !contradictions(&other, &candidates).is_empty() {
            continue;
        }
        let value = match value {
            Setting::Words(words) => Value::Words(words),
            value => Value::Word(value.to_string()),
        };
        let this = Explanation { key: key.to_owned(), value };
        if candidates.admits(stated) {
            all.single.push(this);
        } else if all.pairs.len() < PAIRS_NAMED {
            let settings = settings(record, &other, &candidates, Some(stated));
            let with = explanations(&candidates, stated, &other, &settings);
            all.pairs.extend(with.into_iter().map(|it| [this.clone(), it]));
        }
    }
    all.pairs.truncate(PAIRS_NAMED);
    Some(all)
}

/// The other unit of a display.
fn other_unit(zone: &ZoneRecord, unit: TemperatureUnit) -> Option<Setting> {
    let shown = zone.stated(SHOWN_UNIT.path)?;
    let other = if shown.eq_ignore_ascii_case("C") { "F" } else { "C" };
    let possible = zone.value(&SHOWN_UNIT, unit).is_some();
    possible.then(|| Setting::word(other))
}

/// The modes of the unit with one missing, one more, or two in each other's place.
fn other_modes(zone: &ZoneRecord) -> Vec<Setting> {
    let stated = zone.value(&UNIT_MODES, TemperatureUnit::Celsius);
    let Some(modes) = stated.and_then(|words| words.picks(&Mode::ALL, Mode::name)) else {
        return Vec::new();
    };
    let mut all: Vec<Vec<Mode>> = Vec::new();
    for at in 0..modes.len() {
        let mut fewer = modes.clone();
        fewer.remove(at);
        all.push(fewer);
        for other in at + 1..modes.len() {
            let mut swapped = modes.clone();
            swapped.swap(at, other);
            all.push(swapped);
        }
    }
    for mode in Mode::ALL.into_iter().filter(|mode| !modes.contains(mode)) {
        for at in 0..=modes.len() {
            let mut more = modes.clone();
            more.insert(at, mode);
            all.push(more);
        }
    }
    // Round and round: where the keys begin does not tell one order from another.
    let mut orders: Vec<Vec<Mode>> = Vec::new();
    all.retain(|modes| {
        let turned = |known: &Vec<Mode>| {
            known.len() == modes.len()
                && (0..modes.len()).any(|by| {
                    let mut turned = known.clone();
                    turned.rotate_left(by);
                    turned == *modes
                })
        };
        let new = !orders.iter().any(turned);
        orders.push(modes.clone());
        new
    });
    let possible = all.into_iter().filter(|modes| UnitModes::new(modes.clone()).is_some());
    possible.map(|modes| Setting::words(modes.into_iter().map(Mode::name))).collect()
}

/// Two settings other than stated that together would explain everything, where no single one does.
pub(super) fn pairs(
    candidates: &Candidates,
    stated: &Supposed,
    zone: &ZoneRecord,
    settings: &[Inferred],
) -> Vec<[Explanation; 2]> {
    let others: Vec<Explanation> = settings
        .iter()
        .flat_map(|setting| {
            let values =
                setting.consistent.iter().filter(|it| setting.stated.as_ref() != Some(*it));
            values.map(|value| Explanation { key: setting.key.clone(), value: value.clone() })
        })
        .collect();
    let mut all = Vec::new();
    let mut tried = 0;
    for (at, one) in others.iter().enumerate() {
        let Some(first) = changed(stated, zone, &one.key, &one.value) else { continue };
        for other in others[at + 1..].iter().filter(|other| other.key != one.key) {
            tried += 1;
            if tried > MOST_PAIRS || all.len() >= PAIRS_NAMED {
                return all;
            }
            let both = changed(&first, zone, &other.key, &other.value);
            if both.is_some_and(|it| candidates.admits(&it)) {
                all.push([one.clone(), other.clone()]);
            }
        }
    }
    all
}
