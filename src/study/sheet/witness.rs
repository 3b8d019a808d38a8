//! The few lines that show requirements on site: for each the settings that it hangs on are found by
//! changing them one at a time, and the cheapest section of each zone is taken, up to the last line
//! that would notice one of these changes.

use std::collections::BTreeMap;

use super::pace::Pace;
use super::scope::{Scope, Section, classes};
use super::vary::{self, Variation, variations_of};
use super::{Conditions, Sheet, first_failure, lines_of};
use crate::control::Claim;
use crate::engine::{Model, ZoneIndex};
use crate::scenario::{Asked, Requirement};
use crate::study::reach::{Presser, Proof, prove};

/// Claims are tried again for each change, over no more states than this.
const MOST_STATES: usize = 200_000;

/// How a requirement is shown on site.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Shown {
    /// By these lines of the sheet, counted from 0.
    Lines(Vec<usize>),
    /// Not by presses, for this reason.
    Not(&'static str),
}

/// A sheet that shows requirements.
#[derive(Clone, Debug, PartialEq)]
pub struct Witness {
    /// Its lines.
    pub sheet: Sheet,
    /// How each requirement is shown, by its id, in the order of the file.
    pub requirements: Vec<(String, Shown)>,
}

/// The lines for some requirements of a model. `None` where a room's temperature is none.
pub fn witness(
    model: &Model,
    conditions: Conditions,
    requirements: &[&Requirement],
) -> Option<Witness> {
    let mut needed: BTreeMap<(usize, Section), Vec<(usize, Variation)>> = BTreeMap::new();
    let mut shown: Vec<(String, Shown)> = Vec::new();
    for (place, requirement) in requirements.iter().enumerate() {
        let state = match hangs_on(model, requirement) {
            Err(why) => Shown::Not(why),
            Ok(all) => {
                let found = cheapest(model, conditions, &all);
                let some = !found.is_empty();
                for (key, variations) in found {
                    let own = variations.into_iter().map(|it| (place, it));
                    needed.entry(key).or_default().extend(own);
                }
                if some {
                    Shown::Lines(Vec::new())
                } else {
                    Shown::Not("no keys in force and no wait on a sheet bring it out")
                }
            }
        };
        shown.push((requirement.id.clone(), state));
    }
    let mut sheet = lines_of(model, conditions, &Scope::nothing(model))?;
    for ((zone, section), variations) in needed {
        let mut scope = Scope::nothing(model);
        scope.add(ZoneIndex::new(zone), section);
        let part = lines_of(model, conditions, &scope)?;
        let begin = sheet.steps.len();
        let mut last = 0;
        for (place, variation) in &variations {
            let Some(line) = first_failure(&variation.model, &part.rooms, &part.steps) else {
                continue;
            };
            last = last.max(line);
            if let Shown::Lines(lines) = &mut shown[*place].1
                && !lines.contains(&(begin + line))
            {
                lines.push(begin + line);
            }
        }
        let restore = part.steps.iter().skip(last + 1).find(|it| it.part == super::Part::Restore);
        let restore = restore.cloned();
        sheet.steps.extend(part.steps.into_iter().take(last + 1));
        sheet.steps.extend(restore);
    }
    sheet.rehearse(model)?;
    sheet.in_turn = Pace::USUAL.whole(model, &sheet.steps);
    let places = sheet.keep_busy(model)?;
    for (_, state) in &mut shown {
        if let Shown::Lines(lines) = state {
            for line in lines.iter_mut() {
                *line = places[*line];
            }
            lines.sort_unstable();
        }
    }
    sheet.seen = vary::tried(model, &sheet.rooms, &sheet.steps).seen;
    Some(Witness { sheet, requirements: shown })
}

/// The changes of settings that would break a requirement, each in the first zone of its class.
fn hangs_on(
    model: &Model,
    requirement: &Requirement,
) -> Result<Vec<(ZoneIndex, Variation)>, &'static str> {
    let meant = |zone: &ZoneIndex| {
        let id = &model.zones[zone.get()].id;
        requirement.zones.is_empty() || requirement.zones.contains(id)
    };
    let firsts: Vec<ZoneIndex> = classes(model)
        .into_iter()
        .filter_map(|class| class.into_iter().find(|zone| meant(zone)))
        .collect();
    let all =
        |zone: ZoneIndex| variations_of(model, zone.get()).into_iter().map(move |it| (zone, it));
    match &requirement.asked {
        Asked::Setting { entry, .. } => {
            let path = entry.key.path;
            let of_zones = firsts.iter().flat_map(|zone| all(*zone));
            let groups = variations_of(model, model.zones.len()).into_iter();
            let groups = groups.filter_map(|it| Some((*firsts.first()?, it)));
            let found: Vec<_> =
                of_zones.chain(groups).filter(|(_, it)| it.entry.key.path == path).collect();
            if found.is_empty() { Err("no display shows this setting") } else { Ok(found) }
        }
        Asked::Claim(claim) => {
            let found = firsts.iter().flat_map(|zone| all(*zone));
            let found: Vec<_> =
                found.filter(|(zone, it)| breaks(model, &it.model, *zone, claim)).collect();
            if found.is_empty() { Err("no single setting would break it") } else { Ok(found) }
        }
        Asked::FindingAbsent(code) if code.starts_with("lock-") => Ok(firsts
            .iter()
            .flat_map(|zone| all(*zone))
            .filter(|(_, it)| it.entry.key.path.contains("lock"))
            .collect()),
        Asked::Figure { .. } => Err("a simulation shows it; no visit is long enough"),
        Asked::FindingAbsent(_) => Err("it is read from the settings record"),
        Asked::Contradictions(_) => Err("the log shows it"),
        Asked::Worst { .. } => Err("no visit shows the worst case"),
    }
}

/// Whether a change makes a claim hold otherwise than it does.
fn breaks(model: &Model, changed: &Model, zone: ZoneIndex, claim: &Claim) -> bool {
    let holds = |model: &Model| {
        matches!(prove(&Presser::new(model, zone), claim, MOST_STATES).1, Proof::Holds)
    };
    holds(model) != holds(changed)
}

type Needed = BTreeMap<(usize, Section), Vec<Variation>>;

/// For each zone the sections that notice the changes, the cheapest first until none more is noticed.
fn cheapest(model: &Model, conditions: Conditions, all: &[(ZoneIndex, Variation)]) -> Needed {
    let mut found: Needed = BTreeMap::new();
    let mut zones: Vec<ZoneIndex> = all.iter().map(|(zone, _)| *zone).collect();
    zones.dedup();
    for zone in zones {
        let mut sections: Vec<(i64, Section, Sheet)> = Vec::new();
        for section in Section::WHOLE {
            let mut scope = Scope::nothing(model);
            scope.add(zone, section);
            if let Some(sheet) = lines_of(model, conditions, &scope) {
                let price = Pace::USUAL.whole(model, &sheet.steps).get();
                sections.push((price, section, sheet));
            }
        }
        sections.sort_by_key(|(price, section, _)| (*price, *section));
        let mut open: Vec<&Variation> =
            all.iter().filter(|(own, _)| *own == zone).map(|(_, it)| it).collect();
        for (_, section, sheet) in sections {
            let notices =
                |it: &&Variation| first_failure(&it.model, &sheet.rooms, &sheet.steps).is_some();
            let (noticed, rest): (Vec<&Variation>, Vec<&Variation>) =
                open.into_iter().partition(notices);
            open = rest;
            if !noticed.is_empty() {
                found.insert((zone.get(), section), noticed.into_iter().cloned().collect());
            }
        }
    }
    found
}
