//! Who should decide between heating and cooling for a group: every zone as owner and every
//! policy, under the same weather and actions, ranked.

use super::simulate::{Keep, simulate};
use crate::control::{ModePolicy, OwnerOff, Sharing};
use crate::engine::{Model, OutdoorGroup, ZoneIndex};
use crate::measures::Summary;
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
    /// The zone that was starved longest; the one longest outside its comfort band where none was.
    pub worst_zone: ZoneIndex,
    /// Hours for which that zone was starved.
    pub worst_starved_hours: f64,
    /// Mean over the zones of the group, hours.
    pub mean_starved_hours: f64,
    /// Degree-hours outside the comfort band, summed over the zones, in the file's unit.
    pub degree_hours_outside_band: f64,
    /// Electricity of the whole file, kWh.
    pub total_kwh: f64,
    /// Changes of the group's served direction.
    pub changeovers: u64,
}

/// All candidates of one group, best first.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranking {
    /// The group's place among the model's outdoor units.
    pub group: usize,
    /// Best first.
    pub candidates: Vec<Candidate>,
}

/// By what candidates are ranked first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RankBy {
    /// By the zone that fares worst.
    Worst,
    /// By the mean over the zones.
    Mean,
}

/// Ranks the candidates of every single-mode group of a model.
pub fn rank_owners(model: &Model, by: RankBy) -> Vec<Ranking> {
    let single =
        |group: &OutdoorGroup| matches!(group.settings.sharing, Sharing::SingleMode { .. });
    let groups = model.outdoor_units.iter().enumerate().filter(|(_, group)| single(group));
    groups.map(|(at, _)| rank(model, at, by)).collect()
}

fn rank(model: &Model, group: usize, by: RankBy) -> Ranking {
    let zones = model.outdoor_units[group].zones.iter().copied().map(Decider::Owner);
    let policies = ModePolicy::ALL.into_iter().filter(|policy| *policy != ModePolicy::Owner);
    let deciders = zones.chain(policies.map(Decider::Policy));
    let mut candidates: Vec<Candidate> =
        deciders.map(|decider| try_out(model, group, decider)).collect();
    // A stable sort: where all figures are the same, file order stands.
    candidates.sort_by(|one, two| {
        let figures = |it: &Candidate| match by {
            RankBy::Worst => [it.worst_starved_hours, it.mean_starved_hours],
            RankBy::Mean => [it.mean_starved_hours, it.worst_starved_hours],
        };
        let rest = |it: &Candidate| [it.degree_hours_outside_band, it.total_kwh];
        let all = |it: &Candidate| figures(it).into_iter().chain(rest(it)).collect::<Vec<_>>();
        all(one)
            .iter()
            .zip(all(two))
            .fold(std::cmp::Ordering::Equal, |order, (one, two)| order.then(one.total_cmp(&two)))
    });
    Ranking { group, candidates }
}

/// Simulates a model with one group decided in another way.
fn try_out(model: &Model, group: usize, decider: Decider) -> Candidate {
    let mut changed = model.clone();
    let present = model.outdoor_units[group].settings.sharing;
    let (sharing, is_present) = sharing_with(present, &model.outdoor_units[group], decider);
    changed.outdoor_units[group].settings.sharing = sharing;
    let summary = simulate(&changed, Keep::Nothing).summary;
    measured(model, group, decider, is_present, &summary)
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

fn measured(
    model: &Model,
    group: usize,
    decider: Decider,
    is_present: bool,
    summary: &Summary,
) -> Candidate {
    let members = &model.outdoor_units[group].zones;
    let figures = |zone: &ZoneIndex| &summary.zones[zone.get()].1;
    let key = |zone: &ZoneIndex| (figures(zone).starved_hours, figures(zone).hours_outside_band);
    let worst_zone = members
        .iter()
        .copied()
        .reduce(|worst, zone| if key(&zone) > key(&worst) { zone } else { worst });
    let worst_zone = worst_zone.unwrap_or(ZoneIndex::new(0));
    let starved: f64 = members.iter().map(|zone| figures(zone).starved_hours).sum();
    let outside = members.iter().map(|zone| figures(zone).degree_hours_outside_band).sum();
    Candidate {
        decider,
        is_present,
        worst_zone,
        worst_starved_hours: figures(&worst_zone).starved_hours,
        mean_starved_hours: starved / members.len() as f64,
        degree_hours_outside_band: outside,
        total_kwh: summary.energy.total_kwh,
        changeovers: summary.group.outdoor_units[group].1.changeovers,
    }
}
