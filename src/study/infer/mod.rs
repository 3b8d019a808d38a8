//! From presses and readings at site: which settings agree with them.
//!
//! Every setting that a press can tell of is a candidate in every combination ([`candidates`]),
//! judged by the control module itself. What no combination explains is named and left out, never
//! averaged. Times are not looked at: what waits and power failures show stands on the sheet.

mod agree;
mod bits;
mod candidates;
mod facts;
mod families;
mod next;
mod read;
mod record;
mod stated;

pub use next::NextPress;
pub use read::read_record;
pub use record::{Done, Record, Row, Seen, TableFault, ZoneRecord};

use crate::control::{Grid, LockableKey, Mode, ModeSet, OnConflict, Ticks};
use crate::units::TemperatureUnit;
use candidates::{Candidates, Lockout, MODE, POWER, SETPOINT};
use families::{Ends, Family};
use stated::{Supposed, lock_key};

/// Limits beyond these are none that a controller has: common practice, no source. In C and F.
const EXTREMES: [[f64; 2]; 2] = [[5.0, 40.0], [40.0, 105.0]];

/// A value that a setting may have.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A temperature or a difference, in the file's unit.
    Number(f64),
    /// A word.
    Word(String),
    /// Several words, or none.
    Words(Vec<String>),
}

/// What is known of one setting.
#[derive(Clone, Debug, PartialEq)]
pub struct Inferred {
    /// Its key within the zone, such as `controls.min_deadband`.
    pub key: String,
    /// The values that agree with the readings.
    pub consistent: Vec<Value>,
    /// The value that the table states.
    pub stated: Option<Value>,
}

impl Inferred {
    /// Whether the stated value is among those that agree.
    pub fn agrees(&self) -> Option<bool> {
        self.stated.as_ref().map(|stated| self.consistent.contains(stated))
    }
}

/// A reading that differs from what the sheet expects.
#[derive(Clone, Debug, PartialEq)]
pub struct Failed {
    /// Its line.
    pub line: String,
    /// What was expected and what was read, in the fields that differ.
    pub expected: Seen,
    /// What was read.
    pub read: Seen,
}

/// One setting other than stated that would explain every reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Explanation {
    /// Its key.
    pub key: String,
    /// Its value.
    pub value: Value,
}

/// What is known of one zone.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneInference {
    /// The zone's id.
    pub id: String,
    /// How many presses could be used.
    pub presses: usize,
    /// Its settings.
    pub settings: Vec<Inferred>,
    /// Lines whose readings no settings explain together with the others.
    pub contradictions: Vec<String>,
    /// Lines that read otherwise than expected.
    pub failed: Vec<Failed>,
    /// Single settings that would explain all readings; empty where the stated ones do.
    pub explanations: Vec<Explanation>,
    /// Whether the settings as stated agree with every reading; `None` where not all are stated.
    pub as_stated: Option<bool>,
    /// The press that tells the remaining candidates apart best.
    pub next: Option<NextPress>,
}

/// Says which settings agree with a record, zone by zone.
pub fn infer(record: &Record) -> Vec<ZoneInference> {
    record.zones.iter().map(|zone| of_zone(record, zone)).collect()
}

fn of_zone(record: &Record, zone: &ZoneRecord) -> ZoneInference {
    let may_follow =
        record.zones.len() > 1 || zone.stated("mode_owner").is_some_and(|owner| owner != zone.id);
    let candidates = Candidates::of(zone, record.unit, may_follow);
    let supposed = Supposed::stated(zone, record.unit);
    let settings = settings(record, zone, &candidates, supposed.as_ref());
    let left_out = |at: &usize| candidates.left_out.has(*at);
    let contradictions = (0..candidates.facts.len()).filter(left_out);
    let line = |fact: usize| zone.rows[candidates.facts[fact].row].line.clone();
    let as_stated = supposed.as_ref().map(|it| candidates.admits(it));
    let explanations = match (&supposed, as_stated) {
        (Some(supposed), Some(false)) => explanations(&candidates, supposed, zone, &settings),
        _ => Vec::new(),
    };
    ZoneInference {
        id: zone.id.clone(),
        presses: candidates.facts.len(),
        contradictions: contradictions.map(line).collect(),
        failed: failed(zone),
        explanations,
        as_stated,
        next: next::next_press(&candidates, zone, record.unit),
        settings,
    }
}

/// The fields that were read otherwise than expected.
fn failed(zone: &ZoneRecord) -> Vec<Failed> {
    fn differ<T: PartialEq + Copy>(expected: &mut Option<T>, read: &mut Option<T>) {
        if expected.is_none() || read.is_none() || expected == read {
            (*expected, *read) = (None, None);
        }
    }
    let of_row = |row: &Row| {
        let (mut expected, mut read) = (row.expected, row.read);
        differ(&mut expected.heat, &mut read.heat);
        differ(&mut expected.cool, &mut read.cool);
        differ(&mut expected.mode, &mut read.mode);
        differ(&mut expected.power, &mut read.power);
        differ(&mut expected.running, &mut read.running);
        differ(&mut expected.refused, &mut read.refused);
        (!read.is_empty()).then(|| Failed { line: row.line.clone(), expected, read })
    };
    zone.rows.iter().filter_map(of_row).collect()
}

impl Candidates {
    /// The limits of a family that agree under a set of locks.
    fn agreeing<'e>(&self, ends: &'e [Ends], set: usize) -> Vec<&'e Ends> {
        ends.iter().filter(|ends| self.agrees(&ends.violates, SETPOINT, set)).collect()
    }

    /// Each family with each set of locks that agrees, and the limits that do.
    fn each_family(&self, mut take: impl FnMut(&Family, usize, &[&Ends], &[&Ends])) {
        for family in self.families.iter().filter(|it| self.modes_agree(it.follows)) {
            for set in self.lock_sets() {
                let upper = self.agreeing(&family.upper, set);
                let lower = self.agreeing(&family.lower, set);
                if !upper.is_empty() && !lower.is_empty() {
                    take(family, set, &upper, &lower);
                }
            }
        }
    }

    fn modes_agree(&self, follows: bool) -> bool {
        let lockouts = self.lockouts.iter().filter(|it| it.follows == follows);
        lockouts.clone().any(|it| self.lock_sets().any(|set| self.agrees(&it.violates, MODE, set)))
    }

    /// Whether some limits agree for a zone of its own, and for a follower.
    fn pairs_agree(&self) -> [bool; 2] {
        let mut agree = [false; 2];
        self.each_family(|family, _, _, _| agree[usize::from(family.follows)] = true);
        agree
    }

    /// The lockouts of those of which some limits agree.
    fn live_lockouts(&self) -> Vec<&Lockout> {
        let agree = self.pairs_agree();
        self.lockouts.iter().filter(|it| agree[usize::from(it.follows)]).collect()
    }

    /// Whether one whole set of settings agrees with everything that is not left out.
    fn admits(&self, it: &Supposed) -> bool {
        let modes = self.lockouts.iter().any(|lockout| {
            lockout.follows == it.follows
                && self
                    .modes
                    .as_slice()
                    .iter()
                    .all(|mode| lockout.locked.has(*mode) == it.locked.has(*mode))
                && self.agrees(&lockout.violates, MODE, it.locks[MODE])
        });
        modes
            && self.agrees(&self.power_violates, POWER, it.locks[POWER])
            && self.families.iter().any(|family| self.family_admits(family, it))
    }

    fn family_admits(&self, family: &Family, it: &Supposed) -> bool {
        let ticks = |value: f64| it.ticks(value);
        let [heat_low, heat_high, cool_low, cool_high] = it.limits.map(ticks);
        let (Some(deadband), Some(heat_low), Some(heat_high), Some(cool_low), Some(cool_high)) =
            (ticks(it.deadband), heat_low, heat_high, cool_low, cool_high)
        else {
            return false;
        };
        let alike = family.scale.grid == it.grid
            && (family.practice == it.practice || deadband == Ticks::ZERO)
            && family.deadband == deadband
            && family.follows == it.follows;
        // Beyond what was pressed for every limit is the same.
        let high = [heat_high.min(family.highest[0]), cool_high.min(family.highest[1])];
        let low = [heat_low.max(family.lowest[0]), cool_low.max(family.lowest[1])];
        let has = |ends: &[Ends], [heat, cool]: [Ticks; 2]| {
            ends.iter().any(|ends| {
                (ends.heat, ends.cool) == (heat, cool)
                    && self.agrees(&ends.violates, SETPOINT, it.locks[SETPOINT])
            })
        };
        alike && has(&family.upper, high) && has(&family.lower, low)
    }
}

/// Every setting with the values that agree.
fn settings(
    record: &Record,
    zone: &ZoneRecord,
    candidates: &Candidates,
    supposed: Option<&Supposed>,
) -> Vec<Inferred> {
    let mut steps: Vec<f64> = Vec::new();
    let mut deadbands: Vec<f64> = Vec::new();
    let mut practices: Vec<OnConflict> = Vec::new();
    let mut limits: [Vec<f64>; 4] = Default::default();
    let stated_limits = supposed.map(|it| it.limits);
    candidates.each_family(|family, _, upper, lower| {
        let grid = family.scale.grid;
        put(&mut steps, grid.step());
        put(&mut deadbands, grid.value(family.deadband));
        put(&mut practices, family.practice);
        for (side, [low, high]) in [(0, [0, 1]), (1, [2, 3])] {
            let of = |ends: &&Ends| if side == 0 { ends.heat } else { ends.cool };
            for value in upper.iter().map(of) {
                let top = value == family.highest[side];
                extend(
                    &mut limits[high],
                    grid,
                    value,
                    top.then_some(true),
                    record.unit,
                    stated_limits,
                );
            }
            for value in lower.iter().map(of) {
                let bottom = value == family.lowest[side];
                extend(
                    &mut limits[low],
                    grid,
                    value,
                    bottom.then_some(false),
                    record.unit,
                    stated_limits,
                );
            }
        }
    });
    let number = |values: Vec<f64>| sorted(values).into_iter().map(Value::Number).collect();
    let stated_number = |value: fn(&Supposed) -> f64| supposed.map(|it| Value::Number(value(it)));
    let [heat_low, heat_high, cool_low, cool_high] = limits;
    let mut all = vec![
        inferred("controls.setpoint_step", number(steps), stated_number(|it| it.grid.step())),
        inferred("controls.min_deadband", number(deadbands), stated_number(|it| it.deadband)),
        inferred("controls.limits.heat.low", number(heat_low), stated_number(|it| it.limits[0])),
        inferred("controls.limits.heat.high", number(heat_high), stated_number(|it| it.limits[1])),
        inferred("controls.limits.cool.low", number(cool_low), stated_number(|it| it.limits[2])),
        inferred("controls.limits.cool.high", number(cool_high), stated_number(|it| it.limits[3])),
        inferred(
            "controls.on_conflict",
            practices.into_iter().map(|it| Value::Word(it.name().into())).collect(),
            supposed.map(|it| Value::Word(it.practice.name().into())),
        ),
        lockouts(candidates, supposed),
    ];
    all.extend(key_locks(zone, candidates, supposed));
    all.push(owner(record, zone, candidates));
    all
}

fn inferred(key: &str, consistent: Vec<Value>, stated: Option<Value>) -> Inferred {
    Inferred { key: key.to_owned(), consistent, stated }
}

fn put<T: PartialEq>(list: &mut Vec<T>, value: T) {
    if !list.contains(&value) {
        list.push(value);
    }
}

fn sorted(mut values: Vec<f64>) -> Vec<f64> {
    values.sort_by(f64::total_cmp);
    values
}

/// Takes a limit in; where it stands for everything beyond, all that a controller may have.
fn extend(
    list: &mut Vec<f64>,
    grid: Grid,
    value: Ticks,
    upward: Option<bool>,
    unit: TemperatureUnit,
    stated: Option<[f64; 4]>,
) {
    put(list, grid.value(value));
    let Some(upward) = upward else { return };
    let [least, most] = EXTREMES[unit as usize];
    let stated = stated.map_or([least, most], |it| {
        [it.into_iter().fold(least, f64::min), it.into_iter().fold(most, f64::max)]
    });
    let mut at = value;
    loop {
        at = if upward { at + Ticks::ONE } else { at - Ticks::ONE };
        let value = grid.value(at);
        if value > stated[1] || value < stated[0] {
            return;
        }
        put(list, value);
    }
}

fn lockouts(candidates: &Candidates, supposed: Option<&Supposed>) -> Inferred {
    let words = |set: ModeSet| {
        let has = Mode::ALL.into_iter().filter(|mode| set.has(*mode));
        Value::Words(has.map(|mode| mode.name().to_owned()).collect())
    };
    let mut consistent = Vec::new();
    for lockout in candidates.live_lockouts() {
        if candidates.lock_sets().any(|set| candidates.agrees(&lockout.violates, MODE, set)) {
            put(&mut consistent, words(lockout.locked));
        }
    }
    inferred("controls.locked_modes", consistent, supposed.map(|it| words(it.locked)))
}

/// The locks of each controller: every set of keys that agrees.
fn key_locks(
    zone: &ZoneRecord,
    candidates: &Candidates,
    supposed: Option<&Supposed>,
) -> Vec<Inferred> {
    let names = [LockableKey::Setpoint, LockableKey::Mode, LockableKey::Power];
    let mut agree: [Vec<usize>; 3] = Default::default();
    candidates.each_family(|_, set, _, _| put(&mut agree[SETPOINT], set));
    let lockouts = candidates.live_lockouts();
    for set in candidates.lock_sets() {
        let modes = lockouts.iter().any(|it| candidates.agrees(&it.violates, MODE, set));
        if modes {
            put(&mut agree[MODE], set);
        }
        if candidates.agrees(&candidates.power_violates, POWER, set) {
            put(&mut agree[POWER], set);
        }
    }
    let of_controller = |(at, id): (usize, &String)| {
        let mut consistent = Vec::new();
        for choice in 0..8_usize {
            let fits = |group: usize| {
                let locked = choice >> group & 1 == 1;
                agree[group].iter().any(|set| (set >> at & 1 == 1) == locked)
            };
            if (0..3).all(fits) {
                consistent.push(locked_words(names, choice));
            }
        }
        let stated = supposed.map(|it| {
            let choice = (0..3).map(|group| (it.locks[group] >> at & 1) << group).sum();
            locked_words(names, choice)
        });
        Inferred { key: lock_key(id), consistent, stated }
    };
    zone.controllers.iter().enumerate().map(of_controller).collect()
}

fn locked_words(names: [LockableKey; 3], choice: usize) -> Value {
    let locked = (0..3).filter(|group| choice >> group & 1 == 1);
    Value::Words(locked.map(|group| names[group].name().to_owned()).collect())
}

/// Who may decide the mode: the zone itself, or another one that never contradicts what it does.
fn owner(record: &Record, zone: &ZoneRecord, candidates: &Candidates) -> Inferred {
    let mut consistent = Vec::new();
    let pairs = candidates.pairs_agree();
    let agrees = |follows: bool| candidates.modes_agree(follows) && pairs[usize::from(follows)];
    if agrees(false) {
        consistent.push(Value::Word(zone.id.clone()));
    }
    if agrees(true) {
        let others = record.zones.iter().filter(|other| other.id != zone.id);
        consistent.extend(others.map(|other| Value::Word(other.id.clone())));
        let stated = zone.stated("mode_owner").filter(|owner| *owner != zone.id);
        if let Some(owner) = stated {
            put(&mut consistent, Value::Word(owner.to_owned()));
        }
    }
    let stated = zone.stated("mode_owner").map(|owner| Value::Word(owner.to_owned()));
    inferred("mode_owner", consistent, stated)
}

/// Single settings other than stated under which everything agrees.
fn explanations(
    candidates: &Candidates,
    stated: &Supposed,
    zone: &ZoneRecord,
    settings: &[Inferred],
) -> Vec<Explanation> {
    let mut all = Vec::new();
    for setting in settings {
        for value in setting.consistent.iter().filter(|it| setting.stated.as_ref() != Some(*it)) {
            if changed(stated, zone, &setting.key, value).is_some_and(|it| candidates.admits(&it)) {
                all.push(Explanation { key: setting.key.clone(), value: value.clone() });
            }
        }
    }
    all
}

/// The stated settings with one of them changed.
fn changed(stated: &Supposed, zone: &ZoneRecord, key: &str, value: &Value) -> Option<Supposed> {
    let mut it = stated.clone();
    let limit = |key: &str| match key {
        "controls.limits.heat.low" => Some(0),
        "controls.limits.heat.high" => Some(1),
        "controls.limits.cool.low" => Some(2),
        "controls.limits.cool.high" => Some(3),
        _ => None,
    };
    match value {
        Value::Number(number) => match (limit(key), key) {
            (Some(at), _) => it.limits[at] = *number,
            (None, "controls.min_deadband") => it.deadband = *number,
            (None, _) => it.grid = Grid::new(it.grid.unit(), *number)?,
        },
        Value::Word(word) if key == "controls.on_conflict" => it.practice = stated::practice(word)?,
        Value::Word(word) => it.follows = *word != zone.id,
        Value::Words(words) if key == "controls.locked_modes" => {
            it.locked = ModeSet::of(&stated::modes(&words.join(" "))?);
        }
        Value::Words(words) => {
            let at = zone.controllers.iter().position(|id| lock_key(id) == key)?;
            let keys = [LockableKey::Setpoint, LockableKey::Mode, LockableKey::Power];
            for (group, key) in keys.iter().enumerate() {
                let locked = words.iter().any(|word| word == key.name());
                it.locks[group] = it.locks[group] & !(1 << at) | usize::from(locked) << at;
            }
        }
    }
    Some(it)
}
