//! What a page asks for: a scenario, the changes made to it, and what to look at.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::drawing::Wanted;
use super::overview::RowsWanted;
use super::trouble::Trouble;
use crate::control::{Key, Role};
use crate::engine::{MOST_WARMUP_DAYS, Model, ZoneIndex};
use crate::scenario::{Companions, Edit, NewAction, Study, add_actions, edit, edit_as_variant};
use crate::time::{DAY, Instant};

/// The most changes and presses of one page.
const MOST_CHANGES: usize = 2000;
/// The most steps of zones that a page may ask for, warm-up at its longest included: some seconds.
const MOST_ZONE_STEPS: i64 = 12_000_000;

/// What a page asks for.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Asked {
    /// The scenario as it was before any change.
    text: String,
    /// Its name, for its title where the text gives none.
    #[serde(default)]
    name: String,
    /// Which of its variants the changes are made to.
    #[serde(default)]
    variant: Option<String>,
    /// New values, in the order in which they are written.
    #[serde(default)]
    pub(super) edits: Vec<PageEdit>,
    /// Keys pressed on the page.
    #[serde(default)]
    presses: Vec<Pressed>,
    /// Which day is shown, 0 for the first.
    #[serde(default)]
    pub(super) day: i64,
    /// Whose day is drawn; the first zone's without one.
    #[serde(default)]
    zone: Option<String>,
    /// How wide, px.
    #[serde(default)]
    pub(super) width: Option<u32>,
    /// Whether to draw where calls begin.
    #[serde(default)]
    thresholds: bool,
    /// How rows of all zones are wanted, if they are.
    #[serde(default)]
    pub(super) rows: Option<RowsWanted>,
    /// The changes and presses of the state that is pinned, if one is.
    #[serde(default)]
    pin: Option<Pinned>,
    /// At which second an explanation is asked for.
    #[serde(default)]
    pub(super) at: Option<i64>,
}

/// A state to compare with: the same scenario with other changes.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Pinned {
    #[serde(default)]
    variant: Option<String>,
    #[serde(default)]
    edits: Vec<PageEdit>,
    #[serde(default)]
    presses: Vec<Pressed>,
}

/// A new value at a place of the file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PageEdit {
    pub(super) path: String,
    pub(super) value: Value,
}

/// A key pressed on the page.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Pressed {
    /// Seconds from the first midnight as clocks show it; whole minutes.
    at: i64,
    zone: String,
    by: String,
    role: String,
    press: String,
}

impl Asked {
    /// The scenario's text with all changes in it.
    pub(super) fn edited(&self) -> Result<String, Trouble> {
        if self.edits.len() > MOST_CHANGES {
            return Err(Trouble::bad(format!("more than {MOST_CHANGES} changes are too many")));
        }
        let mut text = match &self.variant {
            Some(variant) => edit_as_variant(&self.text, variant)?,
            None => self.text.clone(),
        };
        let edits = self
            .edits
            .iter()
            .map(|change| Edit { path: change.path.clone(), value: change.value.clone() });
        text = edit(&text, &edits.collect::<Vec<_>>())?;
        pressed_into(&text, &self.presses)
    }

    /// The scenario read, and its text.
    pub(super) fn study(&self, companions: &Companions) -> Result<(String, Study), Trouble> {
        let text = self.edited()?;
        let name = if self.name.is_empty() { "scenario.yaml" } else { &self.name };
        let study = companions.read(&text, name)?;
        affordable(&study.base)?;
        if self.day < 0 || self.day >= study.base.period.days() {
            let days = study.base.period.days();
            return Err(Trouble::bad(format!("the scenario has days 1 to {days} only")));
        }
        Ok((text, study))
    }

    /// The zone that is looked at; the first where there is none of that name.
    pub(super) fn zone_in(&self, model: &Model) -> ZoneIndex {
        let named = self.zone.as_ref().and_then(|id| model.zone_named(id));
        named.unwrap_or(ZoneIndex::new(0))
    }

    /// The name and the text as they were before any change.
    pub(super) fn source(&self) -> (&str, &str) {
        (&self.name, &self.text)
    }

    /// Whether a state is pinned.
    pub(super) const fn is_pinned(&self) -> bool {
        self.pin.is_some()
    }

    /// The keys that were pressed on the page, in words.
    pub(super) fn pressed_words(&self) -> impl Iterator<Item = String> {
        self.presses.iter().map(|press| {
            let (day, minute) = (press.at / DAY + 1, press.at % DAY / 60);
            let clock = format!("{:02}:{:02}", minute / 60, minute % 60);
            format!(
                "{}: {} pressed by {} on day {day} at {clock}",
                press.zone, press.press, press.by
            )
        })
    }

    /// The same with other changes.
    pub(super) fn with_edits(&self, edits: Vec<PageEdit>) -> Self {
        Self { edits, ..self.clone() }
    }

    /// A variant as the file has it, the file itself where its name is empty, without any change.
    pub(super) fn variant_as_written(&self, variant: &str) -> Self {
        let variant = (!variant.is_empty()).then(|| variant.to_owned());
        Self { variant, edits: Vec::new(), presses: Vec::new(), pin: None, ..self.clone() }
    }

    /// The pinned state as one that could be asked for.
    pub(super) fn pinned(&self) -> Option<Self> {
        let Pinned { variant, edits, presses } = self.pin.clone()?;
        Some(Self { variant, edits, presses, pin: None, ..self.clone() })
    }

    /// What is to be drawn.
    pub(super) fn wanted(&self) -> Wanted<'_> {
        let zone = self.zone.as_deref();
        Wanted {
            zone,
            width: self.width,
            pinned: None,
            thresholds: self.thresholds,
            rows: self.rows.as_ref(),
        }
    }

    /// The instant to be explained.
    pub(super) fn instant(&self) -> Result<Instant, Trouble> {
        let at = self.at.filter(|at| *at >= 0).ok_or_else(|| Trouble::bad("no time is given"))?;
        Ok(Instant::new(at))
    }
}

/// A scenario's text with keys pressed in it.
pub(super) fn pressed_into(text: &str, presses: &[Pressed]) -> Result<String, Trouble> {
    if presses.len() > MOST_CHANGES {
        return Err(Trouble::bad(format!("more than {MOST_CHANGES} presses are too many")));
    }
    let actions: Vec<NewAction> = presses.iter().map(Pressed::action).collect::<Result<_, _>>()?;
    Ok(add_actions(text, &actions)?)
}

impl Pressed {
    #[cfg(test)]
    pub(super) fn new(at: i64, zone: &str, press: &str) -> Self {
        let (by, role) = (String::new(), Role::Occupant.name().to_owned());
        Self { at, zone: zone.to_owned(), by, role, press: press.to_owned() }
    }

    /// The press as an action of the file.
    fn action(&self) -> Result<NewAction, Trouble> {
        let known = Key::ALL.iter().any(|key| key.name() == self.press);
        let role = [Role::Occupant, Role::Technician, Role::Schedule]
            .into_iter()
            .find(|role| role.name() == self.role);
        let Some(role) = role.filter(|_| known && self.at >= 0) else {
            return Err(Trouble::bad("a press needs a key, a role and a time"));
        };
        let (day, minute) = (self.at / DAY, self.at % DAY / 60);
        let clock = format!("{:02}:{:02}", minute / 60, minute % 60);
        let at = if day == 0 { clock } else { format!("d{} {clock}", day + 1) };
        let mut action = vec![("at", json!(at)), ("zone", json!(self.zone))];
        if !self.by.trim().is_empty() {
            action.push(("by", json!(self.by.trim())));
        }
        if role != Role::Occupant {
            action.push(("role", json!(role.name())));
        }
        action.push(("press", json!(self.press)));
        Ok(action)
    }
}

/// Whether a page can wait for the simulation.
fn affordable(model: &Model) -> Result<(), Trouble> {
    let zones = i64::try_from(model.zones.len()).unwrap_or(i64::MAX);
    let days = model.period.days() + i64::from(MOST_WARMUP_DAYS);
    let steps = days.saturating_mul(model.period.steps_per_day()).saturating_mul(zones);
    // A person costs as much as a zone, but not in the warm-up.
    let people = i64::try_from(model.people.len()).unwrap_or(i64::MAX);
    let moments = model.period.days().saturating_mul(model.period.steps_per_day());
    if steps.saturating_add(moments.saturating_mul(people)) > MOST_ZONE_STEPS {
        return Err(Trouble::bad(
            "so many zones, people, days and steps are too many for a page that answers at once; shorten \
             the period, lengthen the step, or use `setband run`",
        ));
    }
    Ok(())
}
