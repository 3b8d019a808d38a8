//! The press that tells the remaining candidates apart best.

use std::collections::BTreeMap;

use super::EXTREMES;
use super::candidates::{Candidates, MODE, POWER};
use super::facts::Scale;
use super::family::{Ends, Family};
use super::presses::{pressed, settings, stepped};
use crate::control::{
    Direction, Key, Limits, Mode, OnConflict, Power, Range, SetpointRules, Side, Standing, Stored,
    Ticks,
};
use crate::study::sheet_csv::{Seen, ZoneRecord};
use crate::units::TemperatureUnit;

/// So many candidates stand for all that remain.
const SAMPLE: usize = 400;
/// How often a key may be pressed at once.
const TIMES: [u32; 6] = [1, 2, 4, 8, 16, 32];
/// A press that tells less than this is not worth it, bits.
const LEAST_BITS: f64 = 1e-6;

/// A press, with what it may show.
#[derive(Clone, Debug, PartialEq)]
pub struct NextPress {
    /// At which controller.
    pub controller: String,
    /// Which key.
    pub key: Key,
    /// How often.
    pub times: u32,
    /// How much it tells on average, bits.
    pub bits: f64,
    /// What may be read, with the part of the candidates that lead to it, the likeliest first.
    pub outcomes: Vec<(String, f64)>,
}

/// One remaining candidate, in the terms of a press.
struct Remaining {
    scale: Scale,
    rules: SetpointRules,
    follows: bool,
    setpoint_locks: usize,
}

/// The press from where the zone was read last that tells most; `None` where none tells anything,
/// or the last reading is not whole.
pub(super) fn next_press(
    candidates: &Candidates,
    zone: &ZoneRecord,
    unit: TemperatureUnit,
) -> Option<NextPress> {
    let last = zone.rows.iter().rev().find(|row| !row.read.is_empty())?.read;
    let remaining = remaining(candidates, unit);
    let mut best: Option<NextPress> = None;
    for at in 0..candidates.controllers {
        for key in Key::ALL {
            for times in TIMES {
                let mut shares: BTreeMap<String, f64> = BTreeMap::new();
                tally(candidates, &remaining, &last, at, key, times, &mut shares)?;
                let bits = entropy(&shares);
                if bits > best.as_ref().map_or(LEAST_BITS, |best| best.bits + 1e-9) {
                    let controller =
                        zone.controllers.get(at).cloned().unwrap_or_else(|| "main".to_owned());
                    let outcomes = sorted(shares);
                    best = Some(NextPress { controller, key, times, bits, outcomes });
                }
            }
        }
    }
    best
}

fn entropy(shares: &BTreeMap<String, f64>) -> f64 {
    let sum: f64 = shares.values().sum();
    shares
        .values()
        .map(|share| share / sum)
        .filter(|part| *part > 0.0)
        .map(|part| -part * libm::log2(part))
        .sum()
}

fn sorted(shares: BTreeMap<String, f64>) -> Vec<(String, f64)> {
    let sum: f64 = shares.values().sum();
    let mut all: Vec<(String, f64)> =
        shares.into_iter().map(|(text, share)| (text, share / sum)).collect();
    all.sort_by(|one, other| other.1.total_cmp(&one.1).then(one.0.cmp(&other.0)));
    all
}

/// Adds up what each candidate would show. `None` where the last reading is not whole.
fn tally(
    candidates: &Candidates,
    remaining: &[Remaining],
    last: &Seen,
    at: usize,
    key: Key,
    times: u32,
    shares: &mut BTreeMap<String, f64>,
) -> Option<()> {
    let (mode, power) = (last.mode?, last.power?);
    let mut put = |text: String, share: f64| *shares.entry(text).or_default() += share;
    let locked = |set: usize| set >> at & 1 == 1;
    match key {
        Key::Power => {
            for set in candidates.lock_sets() {
                if candidates.agrees(&candidates.power_violates, POWER, set) {
                    let odd = times % 2 == 1 && !locked(set);
                    let after = if odd { power.toggled() } else { power };
                    put(format!("power {}{}", after.name(), refused_words(locked(set))), 1.0);
                }
            }
        }
        Key::Mode => {
            for lockout in &candidates.lockouts {
                for set in candidates.lock_sets() {
                    if candidates.agrees(&lockout.violates, MODE, set) {
                        let (after, refused) = if locked(set) {
                            (mode, true)
                        } else {
                            let (modes, follows) = (&candidates.modes, lockout.follows);
                            stepped(mode, power, times, modes, lockout.locked, follows)
                        };
                        put(format!("{}{}", after.name(), refused_words(refused)), 1.0);
                    }
                }
            }
        }
        Key::Warmer | Key::Cooler => {
            for it in remaining {
                let text = if locked(it.setpoint_locks) {
                    Some(pair_words(last.heat?, last.cool?, true))
                } else {
                    moved(candidates, it, last, mode, power, key, times)
                };
                put(text?, 1.0);
            }
        }
    }
    Some(())
}

/// What a candidate shows after presses of warmer or cooler.
fn moved(
    candidates: &Candidates,
    it: &Remaining,
    last: &Seen,
    mode: Mode,
    power: Power,
    key: Key,
    times: u32,
) -> Option<String> {
    let (heat, cool) = (last.heat?, last.cool?);
    let start = |heat: Ticks, cool: Ticks| {
        if it.rules.is_single() {
            it.rules.start_single(Side::Heat, heat).ok()
        } else {
            it.rules.start_dual(heat, cool).ok()
        }
    };
    let setpoints = it
        .scale
        .stored(heat)
        .into_iter()
        .find_map(|heat| it.scale.stored(cool).into_iter().find_map(|cool| start(heat, cool)));
    // A candidate of which the last reading was left out cannot say.
    let Some(setpoints) = setpoints else { return Some(pair_words(heat, cool, false)) };
    let settings = settings(it.scale, it.rules, &candidates.modes, candidates.controllers);
    let direction = last.running.flatten().unwrap_or(Direction::Heating);
    let standing =
        if it.follows { Standing::Follower(direction) } else { Standing::Own(direction) };
    let (after, refused) =
        pressed(&settings, Stored { setpoints, mode, power }, standing, key, times);
    let shown = |side: Side| it.scale.shown(after.setpoints.get(side));
    Some(pair_words(shown(Side::Heat), shown(Side::Cool), refused))
}

fn pair_words(heat: f64, cool: f64, refused: bool) -> String {
    format!("heat {heat}, cool {cool}{}", refused_words(refused))
}

const fn refused_words(refused: bool) -> &'static str {
    if refused { ", refused" } else { "" }
}

/// Takes a family with a set of locks and the limits that agree under it.
type TakeFamily<'t> = dyn FnMut(&Family, usize, &[Ends], &[Ends]) + 't;

/// A sample of the remaining candidates, evenly over all.
fn remaining(candidates: &Candidates, unit: TemperatureUnit) -> Vec<Remaining> {
    let each = |take: &mut TakeFamily| {
        candidates.each_family(|family, set, upper, lower| {
            // Nothing of a single setpoint depends on the practice: one of them stands for all.
            if family.deadband > Ticks::ZERO || family.practice == OnConflict::Push {
                let upper = opened(family, upper, true, unit);
                let lower = opened(family, lower, false, unit);
                take(family, set, &upper, &lower);
            }
        });
    };
    let mut total = 0;
    each(&mut |_, _, upper, lower| total += upper.len() * lower.len());
    let stride = total.div_ceil(SAMPLE).max(1);
    let mut sample = Vec::new();
    // Pairs of limits are counted through all families; every stride-th is taken.
    let mut wait = 0;
    each(&mut |family, set, upper, lower| {
        let count = upper.len() * lower.len();
        let mut place = wait;
        while place < count {
            let (high, low) = (&upper[place / lower.len()], &lower[place % lower.len()]);
            let limits = Limits {
                heat: Range { low: low.heat, high: high.heat },
                cool: Range { low: low.cool, high: high.cool },
            };
            let rules = SetpointRules::new(limits, family.deadband, family.practice);
            sample.extend(rules.ok().map(|rules| Remaining {
                scale: family.scale,
                rules,
                follows: family.follows,
                setpoint_locks: set,
            }));
            place += stride;
        }
        wait = place - count;
    });
    sample
}

/// Limits of which one stands for everything beyond: a few of those beyond beside it.
fn opened(family: &Family, ends: &[Ends], upper: bool, unit: TemperatureUnit) -> Vec<Ends> {
    /// So many values stand for all beyond.
    const BEYOND: i32 = 4;
    let grid = family.scale.grid;
    let bound = grid.nearest(EXTREMES[unit as usize][usize::from(upper)]);
    let last = if upper { family.highest } else { family.lowest };
    let beyond = |value: Ticks, last: Ticks| -> Vec<Ticks> {
        let room = (bound - last).count();
        let open = value == last && if upper { room > 0 } else { room < 0 };
        let steps = if open { BEYOND } else { 0 };
        (0..=steps).map(|step| value + Ticks::new(room * step / BEYOND)).collect()
    };
    let mut all = Vec::new();
    for end in ends {
        for heat in beyond(end.heat, last[0]) {
            for cool in beyond(end.cool, last[1]) {
                all.push(Ends { heat, cool, sets: end.sets });
            }
        }
    }
    all
}
