//! The search through all families of candidates for those that the fewest presses speak against.

use std::rc::Rc;

use super::bits::Bits;
use super::counts::Counts;
use super::facts::{Fact, Scale};
use super::family::{Ends, Family};
use super::spread::{Pair, Spans, Spread};
use super::trial::{Locks, Press, Trial};
use super::ways::Ways;
use super::work::Budget;
use crate::control::{Key, OnConflict, Ticks, UnitModes};
use crate::study::sheet_csv::ZoneRecord;

const KEYS: [Key; 2] = [Key::Warmer, Key::Cooler];

/// What the readings of a zone span, scale by scale, with or without those of one row.
pub(super) struct Look(Vec<Option<Spread>>);

/// One family, by what it is.
#[derive(Clone, Copy, Debug)]
pub(super) struct Kind {
    pub follows: bool,
    scale: usize,
    ways: Ways,
}

/// The candidates of a family that the fewest presses speak against.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fewest {
    pub kind: Kind,
    pub count: u32,
    /// The locked controllers, a bit each.
    set: usize,
    upper: [i32; 2],
    lower: [i32; 2],
}

/// What a look through all families came to.
pub(super) struct Found {
    /// The fewest where the zone decides for itself, and where it follows.
    pub best: [Option<Fewest>; 2],
    /// The families, in their order, with at least so many presses that do not agree.
    at_least: Vec<(Kind, u32)>,
}

/// Everything that families of candidates are held against.
pub(super) struct Search<'z> {
    pub zone: &'z ZoneRecord,
    pub facts: &'z [Fact],
    pub classes: &'z [usize],
    pub scales: &'z [Scale],
    /// Whether candidates that follow an owner are looked at, too.
    pub may_follow: bool,
    pub modes: &'z UnitModes,
    pub controllers: usize,
    pub locks: Locks<'z>,
    pub budget: &'z Budget,
}

impl<'z> Search<'z> {
    pub(super) fn look(&self, without: Option<usize>) -> Look {
        let of = |scale: &Scale| Spread::of(self.zone, self.facts, *scale, without);
        Look(self.scales.iter().map(of).collect())
    }

    /// All families that some look leaves, in the order in which the first of equals wins.
    fn kinds(&self, looks: &[&Look]) -> Vec<Kind> {
        let mut all = Vec::new();
        let follows: &[bool] = if self.may_follow { &[false, true] } else { &[false] };
        for &follows in follows {
            for scale in 0..self.scales.len() {
                let spreads = looks.iter().filter_map(|look| look.0[scale].as_ref());
                let gap = spreads.map(Spread::gap).max().map_or(-1, Ticks::count);
                for deadband in (0..=gap).map(Ticks::new) {
                    let has = |look: &&Look| {
                        look.0[scale].as_ref().is_some_and(|spread| spread.has(deadband))
                    };
                    if looks.iter().any(has) {
                        all.extend(OnConflict::ALL.map(|practice| Kind {
                            follows,
                            scale,
                            ways: Ways { deadband, practice },
                        }));
                    }
                }
            }
        }
        all
    }

    fn trial(&self, kind: Kind, spans: Spans) -> Option<Trial<'z>> {
        Trial::new(
            self.zone,
            (self.facts, self.classes),
            (self.scales[kind.scale], kind.follows, spans),
            (self.modes, self.controllers),
            self.budget,
        )
    }

    /// What families of a kind's scale are tried on, if not `present` already.
    fn tried_on(&self, present: &mut Option<Course<'z>>, kind: Kind, looks: &[&Look]) {
        let same = |it: &Course| (it.kind.follows, it.kind.scale) == (kind.follows, kind.scale);
        if !present.as_ref().is_some_and(same) {
            let spans = looks.iter().filter_map(|look| look.0[kind.scale].as_ref()?.spans());
            let spans = spans.reduce(|all, own| all.and(&own));
            *present = spans.and_then(|spans| {
                Some(Course { kind, spans, trial: self.trial(kind, spans)?, clear: None })
            });
        }
    }

    /// Searches all families, once for all looks. `None` where the work is too much.
    pub(super) fn fewest(&self, looks: &[&Look]) -> Option<Vec<Found>> {
        let none = || Found { best: [None; 2], at_least: Vec::new() };
        let mut found: Vec<Found> = looks.iter().map(|_| none()).collect();
        let mut course = None;
        for kind in self.kinds(looks) {
            self.tried_on(&mut course, kind, looks);
            let Some(course) = &mut course else { continue };
            let place = usize::from(kind.follows);
            let most = |found: &Found| found.best[place].map_or(u32::MAX, |it| it.count);
            let worst = found.iter().map(most).max().unwrap_or(u32::MAX);
            let held = course.held(kind.ways, worst, &self.locks, |_| true);
            for (look, found) in looks.iter().zip(&mut found) {
                let spread = look.0[kind.scale].as_ref();
                let Some(spread) = spread.filter(|it| it.has(kind.ways.deadband)) else { continue };
                let Some(held) = &held else {
                    found.at_least.push((kind, worst.saturating_add(1)));
                    continue;
                };
                let Some(fewest) = held.fewest(spread, kind, self.budget) else { continue };
                found.at_least.push((kind, fewest.count));
                let best = &mut found.best[place];
                if best.is_none_or(|best| fewest.count < best.count) {
                    *best = Some(fewest);
                }
            }
            if self.budget.is_spent() {
                return None;
            }
        }
        Some(found)
    }

    /// The presses that speak against one candidate.
    pub(super) fn against(&self, look: &Look, fewest: &Fewest) -> Option<Bits> {
        let presses = self.presses(look, fewest.kind)?;
        let mut against = vec![false; self.facts.len()];
        for press in presses.iter() {
            let ends = if press.key == Key::Warmer { fewest.upper } else { fewest.lower };
            let locked = self.locks.locked(press.fact, fewest.set);
            against[press.fact] = !locked.unwrap_or_else(|| press.agrees(ends));
        }
        Some(Bits::of(self.facts.len(), |at| against[at]))
    }

    fn presses(&self, look: &Look, kind: Kind) -> Option<Rc<Vec<Press>>> {
        let spans = look.0[kind.scale].as_ref()?.spans()?;
        self.trial(kind, spans)?.presses(kind.ways, u32::MAX, &self.locks)
    }

    /// The families of a look with the candidates that agree with every press but those left out.
    /// `None` where the work is too much.
    pub(super) fn agreeing(
        &self,
        look: &Look,
        found: &Found,
        left_out: &Bits,
    ) -> Option<Vec<Family>> {
        let mut families = Vec::new();
        let mut course = None;
        let allowed = left_out.count();
        for &(kind, at_least) in &found.at_least {
            let Some(spread) = look.0[kind.scale].as_ref().filter(|_| at_least <= allowed) else {
                continue;
            };
            self.tried_on(&mut course, kind, &[look]);
            let Some(course) = &mut course else { continue };
            let held = course.held(kind.ways, allowed, &self.locks, |fact| !left_out.has(fact));
            if self.budget.is_spent() {
                return None;
            }
            let scale = self.scales[kind.scale];
            families.extend(held.and_then(|held| held.family(spread, kind, scale)));
        }
        Some(families)
    }
}

/// The families of one scale, one after the other.
struct Course<'z> {
    kind: Kind,
    spans: Spans,
    trial: Trial<'z>,
    /// What the families have in common whose presses come nowhere near the other side.
    clear: Option<Rc<Held>>,
}

impl Course<'_> {
    /// The presses of a family that `counts` holds for, which is the same for all families. `None`
    /// where more than `most` agree with no limits, or the work is too much.
    fn held(
        &mut self,
        ways: Ways,
        most: u32,
        locks: &Locks,
        counts: impl Fn(usize) -> bool,
    ) -> Option<Rc<Held>> {
        let is_clear = self.trial.is_clear(ways);
        if is_clear && let Some(held) = &self.clear {
            return Some(Rc::clone(held));
        }
        let presses = self.trial.presses(ways, most, locks)?;
        let held = Rc::new(Held::new(&presses, self.spans, locks, counts));
        if is_clear {
            self.clear = Some(Rc::clone(&held));
        }
        Some(held)
    }
}

/// The presses of one family, counted for each set of locks.
struct Held {
    /// For each set the presses that speak against its locks.
    locked: Vec<u32>,
    /// For each set the presses at other controllers, key by key.
    free: Vec<[Counts; 2]>,
}

impl Held {
    fn new(presses: &[Press], spans: Spans, locks: &Locks, counts: impl Fn(usize) -> bool) -> Self {
        let sets = 0..locks.at.len();
        let against = |set: usize| {
            let against =
                |press: &&Press| counts(press.fact) && locks.locked(press.fact, set) == Some(false);
            u32::try_from(presses.iter().filter(against).count()).unwrap_or(u32::MAX)
        };
        let free = |set: usize| {
            let free = |fact: usize| counts(fact) && locks.locked(fact, set).is_none();
            KEYS.map(|key| Counts::of(presses, key, spans.of(key), free))
        };
        Self { locked: sets.clone().map(against).collect(), free: sets.map(free).collect() }
    }

    /// The candidates that the fewest presses speak against. `None` where there are none.
    fn fewest(&self, spread: &Spread, kind: Kind, budget: &Budget) -> Option<Fewest> {
        let [upper, lower] = KEYS.map(|key| spread.pairs(key, kind.ways));
        let (upper, lower) = (upper?, lower?);
        budget.spend((upper.len() + lower.len()) * self.free.len() / 8).then_some(())?;
        let of_set = |set: usize| {
            let least = |pairs: &[Pair], key: usize| {
                let counts = &self.free[set][key];
                let each = pairs.iter().map(|pair| (counts.at(pair.limits), pair.limits));
                each.min_by_key(|(count, _)| *count)
            };
            let (above, upper) = least(&upper, 0)?;
            let (below, lower) = least(&lower, 1)?;
            let count = self.locked[set] + above + below;
            Some(Fewest { kind, count, set, upper, lower })
        };
        (0..self.free.len()).filter_map(of_set).min_by_key(|it| it.count)
    }

    /// The family with the limits that agree with everything; `None` where there are none.
    fn family(&self, spread: &Spread, kind: Kind, scale: Scale) -> Option<Family> {
        let Ways { deadband, practice } = kind.ways;
        let ends = |key: usize| -> Option<Vec<Ends>> {
            let pairs = spread.pairs(KEYS[key], kind.ways)?;
            let agree = pairs.into_iter().filter_map(|pair| {
                let agrees = |set: &usize| {
                    self.locked[*set] == 0 && self.free[*set][key].at(pair.limits) == 0
                };
                let sets = (0..self.free.len()).filter(agrees).fold(0, |all, set| all | 1 << set);
                let [heat, cool] = pair.ends;
                (sets != 0).then_some(Ends { heat, cool, sets })
            });
            Some(agree.collect())
        };
        let (upper, lower) = (ends(0)?, ends(1)?);
        let sets = |ends: &[Ends]| ends.iter().fold(0, |all, it| all | it.sets);
        (sets(&upper) & sets(&lower) != 0).then(|| Family {
            scale,
            practice,
            deadband,
            follows: kind.follows,
            upper,
            lower,
            highest: spread.highest(deadband),
            lowest: spread.lowest(deadband),
        })
    }
}
