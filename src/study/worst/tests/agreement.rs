//! The controller's settings that are followed are those of `reach`, so that both commands agree.

use super::cases::Case;
use super::model_of;
use crate::control::{Mode, Role};
use crate::engine::{Model, ZoneIndex};
use crate::study::reach::explore;
use crate::study::worst::selections::Selections;

/// Zones with more states are left out: exploring them takes long.
const MOST_STATES: usize = 20_000;

/// Shipped scenarios with locks, limits, groups and modes of several kinds.
const SHIPPED: [(&str, &str); 6] = [
    ("frost_guard", include_str!("../../../../scenarios/frost_guard.yaml")),
    ("joinery_pipes", include_str!("../../../../scenarios/joinery_pipes.yaml")),
    ("locked_heat", include_str!("../../../../scenarios/locked_heat.yaml")),
    ("one_setpoint", include_str!("../../../../scenarios/one_setpoint.yaml")),
    ("saved_lock", include_str!("../../../../scenarios/saved_lock.yaml")),
    (
        "weavers_yard_wrong_owner",
        include_str!("../../../../scenarios/weavers_yard_wrong_owner.yaml"),
    ),
];

/// Of a model's zones how many were held against `reach`, and in how many both ends of both setpoints
/// were the same.
fn agree(name: &str, model: &Model) -> (usize, usize) {
    let (mut held, mut same) = (0, 0);
    for zone in (0..model.zones.len()).map(ZoneIndex::new) {
        let reach = explore(model, zone, &[], MOST_STATES, &mut |_| {});
        if !reach.is_complete {
            continue;
        }
        held += 1;
        let selections = Selections::with_presses(model, zone);
        let grid = model.zones[zone.get()].controls.settings.grid;
        for (heat, cool) in &reach.pairs {
            let (heat, cool) = (grid.value(*heat), grid.value(*cool));
            let inside = selections.heat.has(heat) && selections.cool.has(cool);
            assert!(inside, "{name}: {heat} and {cool} are reached, but not in {selections:?}");
        }
        for mode in &reach.modes {
            assert!(selections.modes.contains(&mode.mode), "{name}: {mode:?} {selections:?}");
        }
        // Others may ask for more, and a controller that is never in `auto` reaches by pressing less
        // than an app may ask for.
        let others = model.actions.iter().any(|it| it.zone == zone && it.role != Role::Occupant);
        let turns = reach.modes.iter().any(|it| it.mode == Mode::Auto);
        let ends =
            |of: fn(&(crate::control::Ticks, crate::control::Ticks)) -> crate::control::Ticks| {
                let all = || reach.pairs.iter().map(of);
                [all().min(), all().max()].map(|it| grid.value(it.expect("a pair")))
            };
        let [heat, cool] = [ends(|pair| pair.0), ends(|pair| pair.1)];
        let found = [selections.heat, selections.cool].map(|it| [it.low(), it.high()]);
        if !others && turns && found == [heat, cool] {
            same += 1;
        }
    }
    (held, same)
}

#[test]
fn shipped_scenarios_have_the_setpoints_and_modes_that_reach_finds() {
    let (mut held, mut same) = (0, 0);
    for (name, text) in SHIPPED {
        let (here, alike) = agree(name, &model_of(text));
        (held, same) = (held + here, same + alike);
    }
    assert!(held >= 5, "{held} zones only");
    assert!(same * 2 >= held, "{same} of {held} zones have the same ends");
}

#[test]
fn random_files_have_the_setpoints_and_modes_that_reach_finds() {
    let held: usize = (0..40)
        .map(|seed| {
            let case = Case::new(seed);
            agree(&format!("seed {seed}"), &model_of(&case.text)).0
        })
        .sum();
    assert!(held >= 30, "{held} zones only");
}
