//! What the rows of a zone say: presses between two readings, each of which a setting has to
//! agree with.

use std::collections::{HashMap, HashSet};

use super::EXTREMES;
use super::ways::SIDES;
use super::work::Budget;
use crate::control::{
    Direction, Display, Grid, Key, Mode, OnConflict, Power, SetpointRules, Setpoints, Side, Ticks,
};
use crate::settings::controls::SHOWN_UNIT;
use crate::study::sheet_csv::{Done, Seen, ZoneRecord};
use crate::units::TemperatureUnit;

/// Far beyond every limit.
pub(super) const FAR: Ticks = Ticks::new(10_000);

/// One press, or several of one key, between two readings.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Fact {
    /// Which row.
    pub row: usize,
    /// At which controller.
    pub controller: usize,
    pub key: Key,
    pub times: u32,
    /// What was read before.
    pub heat: f64,
    pub cool: f64,
    pub mode: Mode,
    pub power: Power,
    /// The direction that the zone then had for certain.
    pub direction: Option<Direction>,
    /// What was read after.
    pub after: Seen,
}

impl Fact {
    /// What makes presses alike: all but their place, with numbers bit by bit.
    pub(super) fn likeness(&self) -> impl Eq + std::hash::Hash + use<> {
        let after = &self.after;
        let bits = |number: Option<f64>| number.map(f64::to_bits);
        (
            (self.key, self.times, self.heat.to_bits(), self.cool.to_bits(), self.mode, self.power),
            (self.direction, bits(after.heat), bits(after.cool), after.mode, after.power),
            (after.running, after.refused),
        )
    }

    pub(super) const fn moves_setpoint(&self) -> bool {
        matches!(self.key, Key::Warmer | Key::Cooler)
    }

    /// Whether a display that changed nothing and refused is what was read.
    pub(super) fn is_as_locked(&self) -> bool {
        let after = &self.after;
        after.refused != Some(false)
            && after.heat.is_none_or(|heat| heat == self.heat)
            && after.cool.is_none_or(|cool| cool == self.cool)
            && after.mode.is_none_or(|mode| mode == self.mode)
            && after.power.is_none_or(|power| power == self.power)
    }
}

/// The presses of a zone of which everything before is known and something after.
pub(super) fn facts(zone: &ZoneRecord) -> Vec<Fact> {
    let mut before: Option<Seen> = None;
    let mut all = Vec::new();
    for (at, row) in zone.rows.iter().enumerate() {
        if let (Done::Pressed(key, times), Some(seen)) = (row.done, before)
            && let (Some(heat), Some(cool), Some(mode), Some(power)) =
                (seen.heat, seen.cool, seen.mode, seen.power)
            && !row.read.is_empty()
        {
            all.push(Fact {
                row: at,
                controller: row.controller,
                key,
                times,
                heat,
                cool,
                mode,
                power,
                direction: seen.running.flatten(),
                after: row.read,
            });
        }
        before = (!row.read.is_empty()).then_some(row.read);
    }
    all
}

/// What a display reads, and what it may have come from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Scale {
    pub grid: Grid,
    pub display: Option<Display>,
}

impl Scale {
    /// What is displayed for a stored value.
    pub(super) fn shown(&self, ticks: Ticks) -> f64 {
        let value = self.grid.value(ticks);
        self.display
            .map_or(value, |display| display.grid().value(display.reads(value, self.grid.unit())))
    }

    /// The stored values that are displayed so.
    pub(super) fn stored(&self, shown: f64) -> Vec<Ticks> {
        match self.display {
            None => self.grid.exact(shown).into_iter().collect(),
            Some(display) => {
                let celsius = display.grid().unit().to_celsius(shown);
                let near = self.grid.nearest(self.grid.unit().from_celsius(celsius));
                let around = (-12..=12).map(|step| near + Ticks::new(step));
                around.filter(|ticks| (self.shown(*ticks) - shown).abs() < 1e-9).collect()
            }
        }
    }
}

/// What may be remembered before each fact under one practice and deadband, whatever the limits:
/// every reading is taken as it is, and `push_and_return` remembers what was pressed for. Facts are
/// asked for in the order of their rows.
pub(super) struct Memory<'z> {
    zone: &'z ZoneRecord,
    scale: Scale,
    wide: SetpointRules,
    /// The next row that is looked at.
    row: usize,
    present: Vec<Setpoints>,
    known: Option<(f64, f64)>,
    /// The sets that were met, and the number of each.
    sets: Vec<Vec<Setpoints>>,
    numbers: HashMap<Vec<Setpoints>, usize>,
}

impl<'z> Memory<'z> {
    pub(super) fn new(zone: &'z ZoneRecord, scale: Scale, wide: SetpointRules) -> Self {
        Self {
            zone,
            scale,
            wide,
            row: 0,
            present: Vec::new(),
            known: None,
            sets: Vec::new(),
            numbers: HashMap::new(),
        }
    }

    /// The number of the set that may be remembered before a row. `None` where the work is too much.
    pub(super) fn before(&mut self, row: usize, budget: &Budget) -> Option<usize> {
        while self.row < row {
            budget.spend(1 + 2 * self.present.len()).then_some(())?;
            self.take(self.row);
            self.row += 1;
        }
        if let Some(number) = self.numbers.get(&self.present) {
            return Some(*number);
        }
        let number = self.sets.len();
        self.sets.push(self.present.clone());
        self.numbers.insert(self.present.clone(), number);
        Some(number)
    }

    /// The set of that number.
    pub(super) fn set(&self, number: usize) -> &[Setpoints] {
        &self.sets[number]
    }

    /// Whether nothing but what is displayed is remembered in it.
    pub(super) fn is_as_read(&self, number: usize) -> bool {
        let as_read = |it: &Setpoints| SIDES.iter().all(|side| it.asked(*side) == it.get(*side));
        self.sets[number].iter().all(as_read)
    }

    /// The pairs of such values, each side asked for as it stands.
    pub(super) fn pairs(&self, heats: &[Ticks], cools: &[Ticks]) -> Vec<Setpoints> {
        let wide = &self.wide;
        let mut all = Vec::new();
        for &heat in heats {
            for &cool in cools {
                let pair = if wide.is_single() {
                    (heat == cool).then(|| wide.start_single(Side::Heat, heat).ok()).flatten()
                } else {
                    wide.start_dual(heat, cool).ok()
                };
                all.extend(pair);
            }
        }
        all
    }

    fn displayed(&self, heat: f64, cool: f64) -> Vec<Setpoints> {
        self.pairs(&self.scale.stored(heat), &self.scale.stored(cool))
    }

    /// Goes on to what may be remembered after a row.
    fn take(&mut self, at: usize) {
        let row = &self.zone.rows[at];
        let (Some(heat), Some(cool)) = (row.read.heat, row.read.cool) else {
            // What was not read may have become anything, unless nothing was done.
            if !matches!(row.done, Done::Looked | Done::Nothing) {
                (self.present, self.known) = (Vec::new(), None);
            }
            return;
        };
        let pairs = self.displayed(heat, cool);
        self.present = match row.done {
            Done::Set => pairs,
            Done::Pressed(key, _) => {
                self.next(&pairs, (heat, cool), matches!(key, Key::Warmer | Key::Cooler))
            }
            Done::Looked | Done::Nothing => self.next(&pairs, (heat, cool), false),
        };
        self.known = Some((heat, cool));
    }

    /// What may be remembered with one of these pairs on the display.
    fn next(&self, pairs: &[Setpoints], read: (f64, f64), pressed: bool) -> Vec<Setpoints> {
        let same = self.known == Some(read);
        let mut next: Vec<Setpoints> = Vec::new();
        for pair in pairs {
            for before in &self.present {
                if same && before.heat() == pair.heat() && before.cool() == pair.cool() {
                    next.push(*before);
                }
                if pressed {
                    let of = |side| pressed_for(pair, before, side, &self.wide);
                    next.extend(SIDES.into_iter().filter_map(of));
                }
            }
        }
        if next.is_empty() { self.every_memory(pairs) } else { without_twins(next) }
    }

    /// Everything that may be remembered with one of these pairs on the display.
    fn every_memory(&self, pairs: &[Setpoints]) -> Vec<Setpoints> {
        let grid = self.scale.grid;
        let [least, most] = EXTREMES[grid.unit() as usize];
        // No side was ever pushed further than from one extreme to the other.
        let furthest = grid.nearest(most - least).count();
        let mut all = pairs.to_vec();
        for pair in pairs {
            for step in 1..=furthest {
                let heat = pair.heat() + Ticks::new(step);
                let cool = pair.cool() - Ticks::new(step);
                all.extend(pair.pushed_from(&self.wide, Side::Heat, heat));
                all.extend(pair.pushed_from(&self.wide, Side::Cool, cool));
            }
        }
        all
    }
}

/// Each value once, in the order of their first.
fn without_twins(list: Vec<Setpoints>) -> Vec<Setpoints> {
    let mut met = HashSet::with_capacity(list.len());
    list.into_iter().filter(|it| met.insert(*it)).collect()
}

/// What is remembered when a pair was reached by a press for one side: that side stands where it
/// was asked for, the other was asked for what it was before.
fn pressed_for(
    pair: &Setpoints,
    before: &Setpoints,
    side: Side,
    wide: &SetpointRules,
) -> Option<Setpoints> {
    if wide.on_conflict() != OnConflict::PushAndReturn || wide.is_single() {
        return Some(*pair);
    }
    let other = side.other();
    let asked = before.asked(other);
    if asked == pair.get(other) { Some(*pair) } else { pair.pushed_from(wide, other, asked) }
}

/// What a controller of this unit may store, with its display.
pub(super) fn scales(zone: &ZoneRecord, unit: TemperatureUnit) -> impl Iterator<Item = Scale> {
    let display = display(zone, unit);
    let grids = Grid::steps(unit).iter().filter_map(move |&(step, _)| Grid::new(unit, step));
    grids.map(move |grid| Scale { grid, display })
}

fn display(zone: &ZoneRecord, unit: TemperatureUnit) -> Option<Display> {
    let both = [TemperatureUnit::Celsius, TemperatureUnit::Fahrenheit];
    let shown = zone.value(&SHOWN_UNIT, unit)?.pick(&both, TemperatureUnit::letter)?;
    Display::new(unit, shown)
}
