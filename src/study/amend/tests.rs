use proptest::prelude::*;

use super::*;
use crate::engine::Model;
use crate::scenario::read;

fn model(controls: &str) -> Model {
    let text = format!(
        "period: {{from: 2025-04-16}}\nweather: {{design_day: {{high: 18, range: 11}}}}\nzones:\n  hall: \
         {{space: {{floor: 60 m2}}, unit: {{heating: 4 kW, cooling: 4 kW}}, controls: {{{controls}}}}}\n"
    );
    read(&text, "hall.yaml", &|_| Err(String::new())).unwrap_or_else(|it| panic!("{it}")).base
}

/// What comes of a wish, in short: setpoints, limits and deadband with what moved, or why not with
/// each way.
fn told(controls: &str, wish: Wish) -> String {
    let zone = &model(controls).zones[0];
    let grid = zone.controls.settings.grid;
    let short = |settled: &Settled| {
        let (rules, pair) = (settled.rules, settled.setpoints);
        let range = |side| {
            let Range { low, high } = rules.written(side);
            format!("{}..{}", grid.show(low), grid.show(high))
        };
        let (heat, cool) = (grid.show(pair.heat()), grid.show(pair.cool()));
        let gap = grid.show(rules.deadband());
        format!("{heat}/{cool} in {} {} by {gap}", range(Side::Heat), range(Side::Cool))
    };
    match amend(zone, wish) {
        Amended::Stands { settled, moved } => [vec![short(&settled)], moved].concat().join("\n"),
        Amended::Against { why, ways } => {
            let ways = ways.iter().map(|way| format!("{} -> {}", way.words, short(&way.settled)));
            std::iter::once(why).chain(ways).collect::<Vec<_>>().join("\n")
        }
    }
}

const PLAIN: &str = "heat: 20, cool: 24, min_deadband: 2, limits: {heat: [17, 24], cool: [19, 28]}";

#[test]
fn a_setpoint_pushes_the_other_and_says_so() {
    for (wish, expected) in [
        (Wish::Setpoint(Side::Heat, 21.0), "21/24 in 17..24 19..28 by 2"),
        (
            Wish::Setpoint(Side::Heat, 23.0),
            "23/25 in 17..24 19..28 by 2\nCool moved from 24 to 25: the deadband is at least 2.",
        ),
        (Wish::Setpoint(Side::Cool, 20.3), "20.5/24 in 17..24 19..28 by 2"),
    ] {
        let expected = match wish {
            Wish::Setpoint(Side::Cool, _) => {
                "18.5/20.5 in 17..24 19..28 by 2\nHeat moved from 20 to 18.5: the deadband is at \
                 least 2."
            }
            _ => expected,
        };
        assert_eq!(told(PLAIN, wish), expected, "{wish:?}");
    }
    let held = "heat: 20, cool: 24, min_deadband: 2, on_conflict: hold";
    let told = told(held, Wish::Setpoint(Side::Heat, 23.0));
    assert!(told.starts_with("23/25 "), "start values are set by hand, not by a key: {told}");
}

#[test]
fn limits_that_stand_against_a_setpoint_are_named_and_can_be_widened() {
    assert_eq!(
        told(PLAIN, Wish::Setpoint(Side::Heat, 25.0)),
        "The limits of heat stand against 25: they are 17 to 24.\nSet heat to 25 and set the limits \
         of heat to 17 to 25 -> 25/27 in 17..25 19..28 by 2\nSet heat to 24, as near as they allow \
         -> 24/26 in 17..24 19..28 by 2"
    );
    assert_eq!(
        told(PLAIN, Wish::Setpoint(Side::Heat, 30.0)),
        "The limits of heat stand against 30: they are 17 to 24.\nSet heat to 30 and set the limits \
         of heat to 17 to 30 and the limits of cool to 19 to 32 -> 30/32 in 17..30 19..32 by 2\nSet \
         heat to 24, as near as they allow -> 24/26 in 17..24 19..28 by 2"
    );
}

#[test]
fn a_limit_moves_what_lies_outside_it() {
    assert_eq!(
        told(PLAIN, Wish::Limit(Side::Cool, End::Lowest, 26.0)),
        "20/26 in 17..24 26..28 by 2\nCool moved from 24 to 26: its limits are 26 to 28."
    );
    let crossed = told(PLAIN, Wish::Limit(Side::Cool, End::Lowest, 29.0));
    assert!(crossed.starts_with("The lowest cool setpoint, 29, would lie above the highest, 28."));
    assert!(crossed.contains("\nLet cool be 29 alone -> 20/29 in 17..24 29..29 by 2"), "{crossed}");
}

#[test]
fn a_deadband_without_room_says_which_limits_stand_against_it() {
    assert_eq!(
        told(PLAIN, Wish::Deadband(12.0)),
        "The limits of heat and cool leave too little room: from the lowest heat, 17, to the highest \
         cool, 28, a deadband of 12 does not fit.\nSet the limits of cool to 19 to 29 and the \
         deadband to 12 -> 17/29 in 17..24 19..29 by 12\nSet the limits of heat to 16 to 24 and the \
         deadband to 12 -> 16/28 in 16..24 19..28 by 12"
    );
    assert_eq!(
        told(PLAIN, Wish::Deadband(0.0)),
        "20/20 in 17..24 19..28 by 0\nCool moved from 24 to 20: with a deadband of 0 both setpoints \
         are one value."
    );
    let apart = "heat: 20, cool: 26, min_deadband: 2, limits: {heat: [17, 22], cool: [24, 28]}";
    assert_eq!(
        told(apart, Wish::Deadband(0.0)),
        "With a deadband of 0 heat and cool are one value, and their limits, 17 to 22 and 24 to 28, \
         have none in common.\nSet the limits of cool to 22 to 28 and the deadband to 0 -> 22/22 in \
         17..22 22..28 by 0\nSet the limits of heat to 17 to 24 and the deadband to 0 -> 24/24 in \
         17..24 24..28 by 0"
    );
}

fn wishes() -> impl Strategy<Value = Wish> {
    let side = prop_oneof![Just(Side::Heat), Just(Side::Cool)];
    let end = prop_oneof![Just(End::Lowest), Just(End::Highest)];
    prop_oneof![
        (side.clone(), 5.0..40.0).prop_map(|(side, to)| Wish::Setpoint(side, to)),
        (side, end, 5.0..40.0).prop_map(|(side, end, to)| Wish::Limit(side, end, to)),
        (-1.0..20.0).prop_map(Wish::Deadband),
    ]
}

/// Whether the start keeps the rules.
fn stands(settled: &Settled) -> bool {
    let (rules, pair) = (settled.rules, settled.setpoints);
    if rules.is_single() {
        pair.heat() == pair.cool() && rules.start_single(Side::Heat, pair.heat()).is_ok()
    } else {
        rules.start_dual(pair.heat(), pair.cool()).is_ok()
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever is wished, one after the other: it stands, or there is a way that does.
    #[test]
    fn no_wish_ends_in_a_dead_end(all in prop::collection::vec((wishes(), any::<bool>()), 1..12)) {
        let mut zone = model(PLAIN).zones.remove(0);
        for (wish, last) in all {
            let settled = match amend(&zone, wish) {
                Amended::Stands { settled, .. } => settled,
                Amended::Against { why, ways } => {
                    prop_assert!(!ways.is_empty() && why.ends_with('.'), "{wish:?}: {why}");
                    for way in &ways {
                        prop_assert!(stands(&way.settled), "{wish:?}: {way:?}");
                    }
                    let at = if last { ways.len() - 1 } else { 0 };
                    ways[at].settled
                }
            };
            prop_assert!(stands(&settled), "{wish:?}: {settled:?}");
            zone.controls.settings.rules = settled.rules;
            zone.controls.start.setpoints = settled.setpoints;
        }
    }
}
