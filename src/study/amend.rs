//! Setpoints, limits and deadband moved by hand (rules 2, 3 and 8): what moves with one of them, or
//! what stands against it and how both could stand.
//!
//! ```
//! use setband::Scenario;
//! use setband::control::Side;
//! use setband::study::amend::{Amended, Wish, amend};
//!
//! let scenario = Scenario::parse(
//!     "period: {from: 2025-04-16}
//! weather: {design_day: {high: 18, range: 11}}
//! zones:
//!   hall: {space: {floor: 60 m2}, unit: {heating: 4 kW, cooling: 4 kW}, controls: {heat: 20, cool: 22}}
//! ",
//! )?;
//! let hall = &scenario.model().zones[0];
//! let Amended::Stands { moved, .. } = amend(hall, Wish::Setpoint(Side::Heat, 22.0)) else { panic!() };
//! assert_eq!(moved, ["Cool moved from 22 to 23: the deadband is at least 1."]);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use crate::control::{
    Bound, Grid, Infeasible, Limits, OnConflict, Range, SetpointRules, Setpoints, Side, Standing,
    Ticks,
};
use crate::engine::Zone;

/// The lower or the upper end of limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// The lowest setpoint.
    Lowest,
    /// The highest setpoint.
    Highest,
}

/// What is wanted of a zone, in the file's unit. Values between two steps count as the nearer one,
/// halves upward.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Wish {
    /// A setpoint at the start.
    Setpoint(Side, f64),
    /// One end of a side's limits.
    Limit(Side, End, f64),
    /// The minimum deadband.
    Deadband(f64),
}

/// Setpoints with the limits and the deadband that they keep.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settled {
    /// Limits and deadband.
    pub rules: SetpointRules,
    /// Both setpoints at the start.
    pub setpoints: Setpoints,
}

/// A way for a wish to stand: what else would be changed for it, in words.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// What would be done, for a button: `Set heat to 25 and its limits to 17 to 25`.
    pub words: String,
    /// What would then be so.
    pub settled: Settled,
}

/// What comes of a wish.
#[derive(Clone, Debug, PartialEq)]
pub enum Amended {
    /// It stands.
    Stands {
        /// What is then so.
        settled: Settled,
        /// A sentence for each value that moved with it.
        moved: Vec<String>,
    },
    /// Another setting stands against it.
    Against {
        /// Which one, in a sentence.
        why: String,
        /// What could be done, the nearest to the wish first. There is always one.
        ways: Vec<Way>,
    },
}

/// What a wish does to the settings of a zone.
pub fn amend(zone: &Zone, wish: Wish) -> Amended {
    let controls = &zone.controls;
    let settings = &controls.settings;
    let own = Standing::Own(controls.direction);
    let amending = Amending {
        grid: settings.grid,
        rules: settings.rules,
        present: controls.start.setpoints,
        active: controls.start.active_or_heat(own),
    };
    match wish {
        Wish::Setpoint(side, value) => amending.setpoint(side, settings.grid.nearest(value)),
        Wish::Limit(side, end, value) => amending.limit(side, end, settings.grid.nearest(value)),
        Wish::Deadband(value) => amending.deadband(settings.grid.nearest(value)),
    }
}

/// A zone whose settings are about to be changed.
#[derive(Clone, Copy, Debug)]
struct Amending {
    grid: Grid,
    rules: SetpointRules,
    present: Setpoints,
    active: Side,
}

impl Amending {
    fn setpoint(self, side: Side, to: Ticks) -> Amended {
        let name = side.name();
        let rules = practising(self.rules, OnConflict::Push);
        let moved = self.present.request(&rules, side, to);
        let there = Settled { rules: self.rules, setpoints: moved.setpoints };
        let Some(bound) = moved.held else {
            return Amended::Stands { settled: there, moved: self.moved(&there, Some(side)) };
        };
        let held = moved.setpoints.get(side);
        let nearest = Way {
            words: format!("Set {name} to {}, as near as they allow", self.grid.show(held)),
            settled: there,
        };
        let wider = self.widened(side, to).map(|settled| Way {
            words: format!(
                "Set {name} to {} and {}",
                self.grid.show(to),
                self.limits_words(&settled)
            ),
            settled,
        });
        let ways = wider.into_iter().chain([nearest]).collect();
        Amended::Against { why: self.why_held(side, to, bound), ways }
    }

    fn why_held(self, side: Side, to: Ticks, bound: Bound) -> String {
        let (name, other) = (side.name(), side.other());
        let (shown, limits) = (self.grid.show(to), self.range(self.rules.written(side)));
        match bound {
            Bound::Limit => {
                format!("The limits of {name} stand against {shown}: they are {limits}.")
            }
            Bound::OtherLimit | Bound::OtherSetpoint => format!(
                "The limits of {} stand against {name} {shown}: they are {}, and the deadband is at \
                 least {}.",
                other.name(),
                self.range(self.rules.written(other)),
                self.grid.show(self.rules.deadband())
            ),
        }
    }

    /// The limits wide enough for a setpoint, and the setpoint there.
    fn widened(self, side: Side, to: Ticks) -> Option<Settled> {
        let gap = self.rules.deadband();
        let beside = match side {
            Side::Heat => to + gap,
            Side::Cool => to - gap,
        };
        let mut limits = self.rules.limits();
        reach(limits_of(&mut limits, side), to);
        let other = limits_of(&mut limits, side.other());
        let must_reach = match side {
            Side::Heat => beside > other.high || self.rules.is_single(),
            Side::Cool => beside < other.low || self.rules.is_single(),
        };
        if must_reach {
            reach(other, beside);
        }
        let rules = SetpointRules::new(limits, gap, self.rules.on_conflict()).ok()?;
        let moved = self.present.request(&practising(rules, OnConflict::Push), side, to);
        moved.held.is_none().then_some(Settled { rules, setpoints: moved.setpoints })
    }

    fn limit(self, side: Side, end: End, to: Ticks) -> Amended {
        let mut limits = self.rules.limits();
        let range = limits_of(&mut limits, side);
        match end {
            End::Lowest => range.low = to,
            End::Highest => range.high = to,
        }
        if !range.is_empty() {
            return self.under(limits, self.rules.deadband(), Some((side, end)));
        }
        let (own, other, beyond, kept) = match end {
            End::Lowest => ("lowest", "highest", "above", range.high),
            End::Highest => ("highest", "lowest", "below", range.low),
        };
        let name = side.name();
        let why = format!(
            "The {own} {name} setpoint, {}, would lie {beyond} the {other}, {}.",
            self.grid.show(to),
            self.grid.show(kept)
        );
        let one_value = |value: Ticks| {
            let mut limits = self.rules.limits();
            *limits_of(&mut limits, side) = Range { low: value, high: value };
            let settled = match self.under(limits, self.rules.deadband(), Some((side, end))) {
                Amended::Stands { settled, .. } => settled,
                Amended::Against { ways, .. } => ways.into_iter().next()?.settled,
            };
            let words = format!("Let {name} be {} alone", self.grid.show(value));
            Some(Way { words: self.with_others(words, &settled, side), settled })
        };
        Amended::Against {
            why,
            ways: [one_value(to), one_value(kept)].into_iter().flatten().collect(),
        }
    }

    fn deadband(self, to: Ticks) -> Amended {
        self.under(self.rules.limits(), to.max(Ticks::ZERO), None)
    }

    /// Limits and a deadband put in force (rule 8); `asked` is the limit that was moved, where it was
    /// not the deadband.
    fn under(self, limits: Limits, deadband: Ticks, asked: Option<(Side, End)>) -> Amended {
        match SetpointRules::new(limits, deadband, self.rules.on_conflict()) {
            Ok(rules) => {
                let settled = self.settled(rules);
                Amended::Stands { settled, moved: self.moved(&settled, None) }
            }
            Err(why) => {
                let others = self.ways(limits, deadband, asked);
                Amended::Against { why: self.why_infeasible(why, limits, deadband), ways: others }
            }
        }
    }

    fn settled(self, rules: SetpointRules) -> Settled {
        Settled { rules, setpoints: self.present.under(&rules, self.active) }
    }

    /// What else could be changed so that limits and deadband leave room.
    fn ways(self, limits: Limits, deadband: Ticks, asked: Option<(Side, End)>) -> Vec<Way> {
        let on_conflict = self.rules.on_conflict();
        let mut ways = Vec::new();
        let mut offer = |limits: Limits, deadband: Ticks| {
            let Ok(rules) = SetpointRules::new(limits, deadband, on_conflict) else { return };
            let settled = self.settled(rules);
            let mut words = vec![self.limits_words(&settled)];
            if deadband != self.rules.deadband() {
                words.push(format!("the deadband to {}", self.grid.show(deadband)));
            }
            words.retain(|words| !words.is_empty());
            let words = words.join(" and ");
            let set = if words.starts_with("the deadband") { "Set " } else { "" };
            ways.push(Way { words: capital(&format!("{set}{words}")), settled });
        };
        // The limits of the side that was not asked about give way.
        let gives_way = |side: Side| asked.is_none_or(|(asked, _)| asked != side);
        for side in [Side::Cool, Side::Heat].into_iter().filter(|side| gives_way(*side)) {
            let mut wider = limits;
            let Limits { heat, cool } = limits;
            let single = deadband == Ticks::ZERO;
            match side {
                Side::Cool if single && heat.high < cool.low => wider.cool.low = heat.high,
                Side::Heat if single && heat.high < cool.low => wider.heat.high = cool.low,
                Side::Cool => reach(&mut wider.cool, heat.low + deadband),
                Side::Heat => reach(&mut wider.heat, cool.high - deadband),
            }
            offer(wider, deadband);
        }
        if asked.is_some() {
            let room = (limits.cool.high - limits.heat.low).max(Ticks::ONE);
            offer(limits, if deadband == Ticks::ZERO { Ticks::ONE } else { deadband.min(room) });
        }
        ways
    }

    fn why_infeasible(self, why: Infeasible, limits: Limits, deadband: Ticks) -> String {
        let (heat, cool) = (self.range(limits.heat), self.range(limits.cool));
        match why {
            Infeasible::NothingShared { .. } => format!(
                "With a deadband of 0 heat and cool are one value, and their limits, {heat} and \
                 {cool}, have none in common."
            ),
            _ => format!(
                "The limits of heat and cool leave too little room: from the lowest heat, {}, to the \
                 highest cool, {}, a deadband of {} does not fit.",
                self.grid.show(limits.heat.low),
                self.grid.show(limits.cool.high),
                self.grid.show(deadband)
            ),
        }
    }

    /// A sentence for each setpoint that moved unasked.
    fn moved(self, settled: &Settled, asked: Option<Side>) -> Vec<String> {
        let sides = [Side::Heat, Side::Cool].into_iter().filter(|side| Some(*side) != asked);
        sides.filter_map(|side| self.one_moved(settled, side)).collect()
    }

    fn one_moved(self, settled: &Settled, side: Side) -> Option<String> {
        let (from, to) = (self.present.get(side), settled.setpoints.get(side));
        if from == to {
            return None;
        }
        let limits = settled.rules.written(side);
        let because = if settled.rules.is_single() {
            "with a deadband of 0 both setpoints are one value".to_owned()
        } else if limits.has(from) {
            format!("the deadband is at least {}", self.grid.show(settled.rules.deadband()))
        } else {
            format!("its limits are {}", self.range(limits))
        };
        let (from, to) = (self.grid.show(from), self.grid.show(to));
        Some(format!("{} moved from {from} to {to}: {because}.", capital(side.name())))
    }

    /// `its limits to 17 to 25 and those of cool to 22 to 28`: what a way changes of the limits.
    fn limits_words(self, settled: &Settled) -> String {
        let changed = |side: &Side| settled.rules.written(*side) != self.rules.written(*side);
        let of = |side: Side| {
            format!("the limits of {} to {}", side.name(), self.range(settled.rules.written(side)))
        };
        let parts: Vec<String> =
            [Side::Heat, Side::Cool].into_iter().filter(changed).map(of).collect();
        if parts.is_empty() { String::new() } else { format!("set {}", parts.join(" and ")) }
    }

    fn with_others(self, words: String, settled: &Settled, asked: Side) -> String {
        let other = asked.other();
        if settled.rules.written(other) == self.rules.written(other) {
            return words;
        }
        let range = self.range(settled.rules.written(other));
        format!("{words}, and set the limits of {} to {range}", other.name())
    }

    fn range(self, range: Range) -> String {
        format!("{} to {}", self.grid.show(range.low), self.grid.show(range.high))
    }
}

/// The same rules under another practice.
fn practising(rules: SetpointRules, practice: OnConflict) -> SetpointRules {
    SetpointRules::new(rules.limits(), rules.deadband(), practice).unwrap_or(rules)
}

const fn limits_of(limits: &mut Limits, side: Side) -> &mut Range {
    match side {
        Side::Heat => &mut limits.heat,
        Side::Cool => &mut limits.cool,
    }
}

/// Widens a range as far as a value.
fn reach(range: &mut Range, value: Ticks) {
    range.low = range.low.min(value);
    range.high = range.high.max(value);
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests;
