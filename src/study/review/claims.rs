//! Requirements about what occupants can bring about: every state is looked at.

use super::{Conformity, CounterExample, Evidence, Requirement, Shown, Worst, zones_of};
use crate::control::Claim;
use crate::engine::{Model, ZoneIndex};
use crate::settings::Value;
use crate::study::reach::{Presser, Proof, prove};

/// What a claim comes to in one zone.
struct InZone {
    states: usize,
    proof: Proof,
}

/// Holds a claim against every state of every zone that is meant. Zones that are set alike have the
/// same states, and are looked at once.
pub(super) fn review(
    model: &Model,
    requirement: &Requirement,
    claim: &Claim,
    most_states: usize,
) -> Shown {
    let mut states = 0;
    let mut known: Vec<(Presser<'_>, InZone)> = Vec::new();
    let mut broken: Option<(ZoneIndex, usize)> = None;
    let mut undecided = None;
    for zone in zones_of(model, requirement) {
        let presser = Presser::new(model, zone);
        let found = known.iter().position(|(other, _)| other.is_like(&presser));
        let at = found.unwrap_or_else(|| {
            let (states, proof) = prove(&presser, claim, most_states);
            known.push((presser, InZone { states, proof }));
            known.len() - 1
        });
        let InZone { states: own, proof } = &known[at].1;
        states += if found.is_some() { 0 } else { *own };
        match proof {
            Proof::Holds => {}
            Proof::Undecided => undecided = undecided.or(Some(zone)),
            Proof::Broken(moves) => {
                let fewest = broken.is_none_or(|(_, other): (_, usize)| {
                    let Proof::Broken(other) = &known[other].1.proof else { return true };
                    moves.len() < other.len()
                });
                if fewest {
                    broken = Some((zone, at));
                }
            }
        }
    }
    if let Some((zone, at)) = broken {
        let moves = match &known[at].1.proof {
            Proof::Broken(moves) => moves.clone(),
            Proof::Holds | Proof::Undecided => Vec::new(),
        };
        let stored = moves
            .iter()
            .fold(known[at].0.start(), |stored, step| known[at].0.after(&stored, *step));
        let grid = known[at].0.settings().grid;
        let pair = &stored.setpoints;
        let value = Value::Span([grid.value(pair.heat()), grid.value(pair.cool())]);
        return Shown {
            verdict: Conformity::Fails,
            by: Evidence::Proof(states),
            worst: Some(Worst { zone: Some(zone), value, margin: None }),
            counter: Some(CounterExample::Moves { zone, moves }),
        };
    }
    if let Some(zone) = undecided {
        return Shown::nothing(format!(
            "{} has more than {} states, and none of those looked at breaks it",
            model.zones[zone.get()].label,
            most_states
        ));
    }
    Shown { verdict: Conformity::Holds, by: Evidence::Proof(states), worst: None, counter: None }
}
