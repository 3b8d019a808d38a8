//! Where random presses take the band.

use super::*;

fn distribution(spread: &Spread) -> BTreeMap<i64, f64> {
    let key = |value: f64| format!("{:.0}", value * 10.0).parse().expect("a number");
    spread.distribution.iter().map(|(value, part)| (key(*value), *part)).collect()
}

/// The pairs after so many presses, each of four alike: every one of the sequences, counted by
/// where it has led so far (4^100 of them at last).
fn after_presses(model: &Model, presses: u32) -> HashMap<Setpoints, f64> {
    let controls = &model.zones[0].controls;
    let rules = &controls.settings.rules;
    let mut now = HashMap::from([(controls.start.setpoints, 1.0)]);
    for _ in 0..presses {
        let mut next: HashMap<Setpoints, f64> = HashMap::new();
        for (pair, part) in now {
            for (side, step) in
                [(Side::Heat, 1), (Side::Heat, -1), (Side::Cool, 1), (Side::Cool, -1)]
            {
                let to = pair.request(rules, side, pair.get(side) + Ticks::new(step)).setpoints;
                *next.entry(to).or_default() += part / 4.0;
            }
        }
        now = next;
    }
    now
}

#[test]
fn the_ratchet_after_1_10_and_100_presses_is_that_of_all_sequences() {
    for practice in ["push", "hold", "push_and_return"] {
        let model = zone(
            &format!(
                "heat: 20, cool: 22, setpoint_step: 1, min_deadband: 1, on_conflict: {practice}, limits: \
                 {{heat: [19, 22], cool: [20, 23]}}"
            ),
            "",
        );
        let reach = reached(&model, &[]);
        let presses: Vec<u64> = reach.ratchet.after.iter().map(|it| u64::from(it.0)).collect();
        assert_eq!(presses, [1, 10, 100]);
        for (presses, drift) in &reach.ratchet.after {
            let mut gaps: BTreeMap<i64, f64> = BTreeMap::new();
            for (pair, part) in after_presses(&model, *presses) {
                let gap = i64::from((pair.cool() - pair.heat()).count()) * 10;
                *gaps.entry(gap).or_default() += part;
            }
            let found = distribution(&drift.gap);
            assert_eq!(found.keys().collect::<Vec<_>>(), gaps.keys().collect::<Vec<_>>());
            for (gap, part) in &gaps {
                assert_relative_eq!(found[gap], part, max_relative = 1e-12);
            }
        }
        // So many presses that where it began no longer matters.
        let long: f64 = after_presses(&model, 4000)
            .into_iter()
            .map(|(pair, part)| part * f64::from((pair.cool() - pair.heat()).count()))
            .sum();
        let stationary = reach.ratchet.stationary.expect("few pairs").gap.mean;
        assert_relative_eq!(stationary, long, max_relative = 1e-9);
    }
}

/// Derived: under `hold` every press that moves has its opposite, so in the long run all pairs
/// are alike; so are the values of a single setpoint.
#[test]
fn in_the_long_run_pairs_are_alike_where_nothing_is_pushed() {
    let model = zone(
        "heat: 20, cool: 24, min_deadband: 2, on_conflict: hold, limits: {heat: [18, 23], cool: [20, \
         25]}",
        "",
    );
    let reach = reached(&model, &[]);
    assert_eq!(reach.pairs.len(), reach.legal_pairs);
    let gap = |pair: &(setband::control::Ticks, setband::control::Ticks)| {
        f64::from((pair.1 - pair.0).count()) / 2.0
    };
    let mean = reach.pairs.iter().map(gap).sum::<f64>() / reach.pairs.len() as f64;
    let found = reach.ratchet.stationary.expect("few pairs");
    assert_relative_eq!(found.gap.mean, mean, max_relative = 1e-9);
    let single =
        zone("heat: 20, cool: 20, min_deadband: 0, limits: {heat: [18, 24], cool: [16, 22]}", "");
    let found = reached(&single, &[]).ratchet.stationary.expect("few values");
    assert_relative_eq!(found.heat.mean, 20.0, max_relative = 1e-9);
    assert_eq!(found.heat.distribution.len(), 9);
}

/// Derived: under `push`, too, each press along the deadband has its opposite, so that in the long
/// run all pairs are alike; but pushes get there sooner.
#[test]
fn pushing_ends_where_holding_ends_and_gets_there_sooner() {
    let ratchet = |practice: &str| {
        let model = zone(
            &format!(
                "heat: 20, cool: 22, min_deadband: 2, on_conflict: {practice}, limits: {{heat: [17, \
                 23], cool: [20, 27]}}"
            ),
            "",
        );
        reached(&model, &[]).ratchet
    };
    let (push, hold) = (ratchet("push"), ratchet("hold"));
    let long = |ratchet: &Ratchet| ratchet.stationary.as_ref().expect("few pairs").gap.mean;
    assert_relative_eq!(long(&push), long(&hold), max_relative = 1e-9);
    let spread = |ratchet: &Ratchet| ratchet.after[1].1.heat.distribution.len();
    assert!(spread(&push) > spread(&hold), "{} {}", spread(&push), spread(&hold));
}

/// A heat-only zone: cool is pushed to the highest heat plus the deadband and stays there.
#[test]
fn a_side_that_nobody_can_press_stays_where_it_was_pushed() {
    let model = zone(
        "heat: 20, cool: 22, min_deadband: 2, mode: heat, limits: {heat: [18, 24], cool: [20, 28]}",
        ", modes: [heat]",
    );
    let found = reached(&model, &[]).ratchet.stationary.expect("few pairs");
    let stays: f64 =
        found.cool.distribution.iter().filter(|(cool, _)| *cool == 26.0).map(|it| it.1).sum();
    assert_relative_eq!(stays, 1.0, epsilon = 1e-9);
    assert_relative_eq!(found.heat.mean, 21.0, epsilon = 1e-9);
}
