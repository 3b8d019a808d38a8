//! Who should decide between heating and cooling for a group: every zone as owner and every
//! policy, under the same weather and actions, ranked.

use std::num::NonZeroUsize;

use super::parallel::in_parallel;
use super::simulate::{Finished, Keep, simulate};
use super::sweep::{FigureBound, Goal, Sense};
use crate::control::{ModePolicy, OwnerOff, Sharing};
use crate::engine::{Halt, Model, OutdoorGroup, ZoneIndex};
use crate::measures::{FIGURES, Summary};
use crate::time::Seconds;

/// Who decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decider {
    /// One zone, which the others follow.
    Owner(ZoneIndex),
    /// A policy without an owner.
    Policy(ModePolicy),
}

/// What came of one way to decide.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// Who decides.
    pub decider: Decider,
    /// Whether the file has it so.
    pub is_present: bool,
    /// The zone with the most degree-hours outside its comfort band; the one starved longest where
    /// none is outside.
    pub worst_zone: ZoneIndex,
    /// Degree-hours outside the comfort band of that zone, in the file's unit.
    pub worst_degree_hours: f64,
    /// Degree-hours outside the comfort band, summed over the zones, in the file's unit.
    pub degree_hours_outside_band: f64,
    /// Hours for which the zone was starved that was so longest.
    pub worst_starved_hours: f64,
    /// Mean over the zones of the group, hours.
    pub mean_starved_hours: f64,
    /// Electricity of the whole file, kWh.
    pub total_kwh: f64,
    /// Changes of the group's served direction.
    pub changeovers: u64,
    /// The figures of the whole file.
    pub summary: Summary,
    /// Why its run ended before its time; then none of its figures counts.
    pub halt: Option<Halt>,
    /// Whether it keeps the bounds that were asked for.
    pub keeps_bounds: bool,
    /// The place in the ranking of one that is no worse in any of the three figures, and better in
    /// one: see [`Candidate::figures`].
    pub dominated_by: Option<usize>,
}

impl Candidate {
    /// The figures by which choices are held against each other, in the digits that people read:
    /// degree-hours outside the band, of the worst zone or of all, in tenths; changeovers;
    /// electricity, kWh, in three figures.
    pub fn figures(&self, by: RankBy) -> [f64; 3] {
        let hours = match by {
            RankBy::Worst => self.worst_degree_hours,
            RankBy::Mean => self.degree_hours_outside_band,
        };
        let tenths = (hours * 10.0).round() / 10.0;
        [tenths, self.changeovers as f64, three_digits(self.total_kwh)]
    }
}

/// Three leading digits, as far as they stand after the point or before it.
fn three_digits(value: f64) -> f64 {
    let scale = match value.abs() {
        size if size < 0.999_5 => 1000.0,
        size if size < 9.995 => 100.0,
        size if size < 99.95 => 10.0,
        _ => 1.0,
    };
    (value * scale).round() / scale
}

/// All candidates of one group, best first.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnerRanking {
    /// The group's place among the model's outdoor units.
    pub group: usize,
    /// By what they are ranked where no figure was asked for, and held against each other.
    pub by: RankBy,
    /// Best first.
    pub candidates: Vec<Candidate>,
}

/// Whose degree-hours outside the band count first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RankBy {
    /// Those of the zone that fares worst.
    Worst,
    /// Those of all zones.
    Mean,
}

/// What is asked besides.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wanted {
    /// The figure of the whole file that ranks before all others.
    pub figure: Option<Goal>,
    /// Bounds on figures of the whole file.
    pub bounds: Vec<FigureBound>,
}

/// Ranks the candidates of every single-mode group of a model: those that keep the bounds first,
/// by the figure wanted, if one is; then by degree-hours outside the comfort band, then
/// changeovers, then electricity. Never by what another figure hides: a choice that another betters
/// in all three stands behind it.
pub fn rank_owners(
    model: &Model,
    by: RankBy,
    wanted: &Wanted,
    threads: NonZeroUsize,
) -> Vec<OwnerRanking> {
    let single =
        |group: &OutdoorGroup| matches!(group.settings.sharing, Sharing::SingleMode { .. });
    let groups = model.outdoor_units.iter().enumerate().filter(|(_, group)| single(group));
    groups.map(|(at, _)| rank(model, at, by, wanted, threads)).collect()
}

fn rank(
    model: &Model,
    group: usize,
    by: RankBy,
    wanted: &Wanted,
    threads: NonZeroUsize,
) -> OwnerRanking {
    let zones = model.outdoor_units[group].zones.iter().copied().map(Decider::Owner);
    let policies = ModePolicy::ALL.into_iter().filter(|policy| *policy != ModePolicy::Owner);
    let deciders: Vec<Decider> = zones.chain(policies.map(Decider::Policy)).collect();
    let mut candidates =
        in_parallel(&deciders, threads, |decider| try_out(model, group, *decider, wanted));
    let asked = |it: &Candidate| {
        wanted.figure.as_ref().map_or(0.0, |goal| {
            let value = goal.figure().of(&it.summary);
            match goal.sense {
                Sense::Minimise => value.unwrap_or(f64::INFINITY),
                Sense::Maximise => value.map_or(f64::INFINITY, |value| -value),
            }
        })
    };
    // A stable sort: where all figures are the same, file order stands.
    candidates.sort_by(|one, two| {
        let figures = one.figures(by).into_iter().zip(two.figures(by));
        let kept = two.keeps_bounds.cmp(&one.keeps_bounds);
        figures.fold(kept.then(asked(one).total_cmp(&asked(two))), |order, (one, two)| {
            order.then(one.total_cmp(&two))
        })
    });
    let figures: Vec<[f64; 3]> = candidates.iter().map(|it| it.figures(by)).collect();
    for (place, it) in candidates.iter_mut().enumerate() {
        it.dominated_by = figures.iter().position(|other| betters(other, &figures[place]));
    }
    OwnerRanking { group, by, candidates }
}

/// Whether some figures are nowhere worse than others, and somewhere better.
fn betters(one: &[f64; 3], other: &[f64; 3]) -> bool {
    one.iter().zip(other).all(|(one, other)| one <= other) && one != other
}

/// Simulates a model with one group decided in another way.
fn try_out(model: &Model, group: usize, decider: Decider, wanted: &Wanted) -> Candidate {
    let mut changed = model.clone();
    let present = model.outdoor_units[group].settings.sharing;
    let (sharing, is_present) = sharing_with(present, &model.outdoor_units[group], decider);
    changed.outdoor_units[group].settings.sharing = sharing;
    let Finished { summary, halt, .. } = simulate(&changed, Keep::Nothing);
    let keeps_bounds = wanted
        .bounds
        .iter()
        .all(|it| FIGURES[it.place()].of(&summary).is_some_and(|value| it.holds(value)));
    Candidate { is_present, halt, keeps_bounds, ..measured(model, group, decider, summary) }
}

/// How the outdoor unit is shared when `decider` decides, and whether it is so already.
fn sharing_with(present: Sharing, group: &OutdoorGroup, decider: Decider) -> (Sharing, bool) {
    let (policy, owner, owner_off, changeover_delay) = match present {
        Sharing::SingleMode { policy, owner, owner_off, changeover_delay } => {
            (policy, owner, owner_off, changeover_delay)
        }
        Sharing::Simultaneous => (ModePolicy::Owner, 0, OwnerOff::Hold, Seconds::ZERO),
    };
    let (new_policy, new_owner) = match decider {
        Decider::Policy(policy) => (policy, owner),
        Decider::Owner(zone) => {
            let place = group.zones.iter().position(|member| *member == zone);
            (ModePolicy::Owner, place.unwrap_or(owner))
        }
    };
    let same_owner = new_policy != ModePolicy::Owner || new_owner == owner;
    let sharing =
        Sharing::SingleMode { policy: new_policy, owner: new_owner, owner_off, changeover_delay };
    (sharing, new_policy == policy && same_owner)
}

fn measured(model: &Model, group: usize, decider: Decider, summary: Summary) -> Candidate {
    let members = &model.outdoor_units[group].zones;
    let figures = |zone: &ZoneIndex| &summary.zones[zone.get()].1;
    let key = |zone: &ZoneIndex| {
        let it = figures(zone);
        (it.degree_hours_outside_band, it.starved_hours)
    };
    let worst_zone = members
        .iter()
        .copied()
        .reduce(|worst, zone| if key(&zone) > key(&worst) { zone } else { worst });
    let worst_zone = worst_zone.unwrap_or(ZoneIndex::new(0));
    let starved = || members.iter().map(|zone| figures(zone).starved_hours);
    let outside = members.iter().map(|zone| figures(zone).degree_hours_outside_band).sum();
    Candidate {
        decider,
        is_present: false,
        worst_zone,
        worst_degree_hours: figures(&worst_zone).degree_hours_outside_band,
        degree_hours_outside_band: outside,
        worst_starved_hours: starved().fold(0.0, f64::max),
        mean_starved_hours: starved().sum::<f64>() / members.len() as f64,
        total_kwh: summary.energy.total_kwh,
        changeovers: summary.group.outdoor_units[group].1.changeovers,
        keeps_bounds: true,
        dominated_by: None,
        summary,
        halt: None,
    }
}
