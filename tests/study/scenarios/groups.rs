//! The shipped scenarios of zones on one outdoor unit: each lesson is held to what the run shows,
//! with its counter-case. The numbers are the claims of the scenarios' own comments.

use std::num::NonZeroUsize;

use super::shipped;
use setband::control::{Mode, ModePolicy, Outcome, Request};
use setband::direction::Direction;
use setband::engine::{Doing, Entry, Model, StepRow, ZoneIndex};
use setband::report::{Style, explanation_text, owners_text, reason_words};
use setband::study::sweep::{FigureBound, Goal, Sense};
use setband::study::{
    Candidate, Decider, Finished, Keep, RankBy, Wanted, default_threads, explain, rank_owners,
    simulate,
};
use setband::time::{Instant, Seconds};

fn model(stem: &str, variant: Option<&str>) -> Model {
    shipped::model(&shipped::study(stem), variant)
}

fn run(stem: &str, variant: Option<&str>) -> Finished {
    simulate(&model(stem, variant), Keep::Steps)
}

fn starved(finished: &Finished, zone: usize) -> f64 {
    finished.summary.zones[zone].1.starved_hours
}

const LOOM_ROOM: usize = 0;
const SHOWROOM: usize = 1;
const OFFICE: usize = 2;

#[test]
fn the_wrong_owner_starves_two_zones_for_hours_and_a_better_one_neither() {
    let wrong = run("weavers_yard_wrong_owner", None);
    assert!(starved(&wrong, SHOWROOM) > 8.0 && starved(&wrong, OFFICE) > 8.0);
    assert!(starved(&wrong, LOOM_ROOM) < 0.01);
    let better = run("weavers_yard_better_owner", None);
    assert!(starved(&better, SHOWROOM) < 0.01 && starved(&better, OFFICE) < 0.01);
    assert!(starved(&better, LOOM_ROOM) < 6.0);
    // What the loom room has to bear stays within what its people find comfortable.
    assert!(better.summary.zones[LOOM_ROOM].1.hours_outside_band < 0.01);
}

#[test]
fn a_cap_in_the_room_that_decides_keeps_others_waiting_until_evening() {
    const PACKING_ROOM: usize = 0;
    let capped = run("capped_packing_room", None);
    let wider = run("capped_packing_room", Some("wider"));
    let other = run("capped_packing_room", Some("office_decides"));
    let heats_again = |finished: &Finished| {
        let is = |row: &&setband::engine::LedgerRow| {
            let to = Direction::Heating;
            row.entry == Entry::Event(setband::engine::Event::Changeover { to })
        };
        finished.ledger.iter().find(is).expect("a changeover to heating").at
    };
    assert!(heats_again(&capped) > Instant::new(18 * 3600));
    assert!(heats_again(&wider) < Instant::new(15 * 3600));
    for zone in [1, 2] {
        assert!(starved(&capped, zone) > starved(&wider, zone) + 2.0, "zone {zone}");
        assert!(starved(&other, zone) < 0.01, "zone {zone}");
    }
    assert!(starved(&capped, PACKING_ROOM) < 0.01 && starved(&other, PACKING_ROOM) > 2.0);
    // The packer is held at the cap, and the clerk moves the wrong setpoint.
    let by = |name: &str| {
        let asked = |row: &&setband::engine::LedgerRow| matches!(&row.entry, Entry::Request { asker, .. } if &*asker.by == name);
        capped.ledger.iter().find(asked).expect("a request")
    };
    assert!(matches!(&by("packer").entry, Entry::Request { outcome: Outcome::Limited, .. }));
    let clerk = by("clerk");
    assert!(matches!(
        &clerk.entry,
        Entry::Request { side: Some(setband::control::Side::Cool), outcome: Outcome::Accepted, .. }
    ));
}

#[test]
fn a_follower_that_asks_for_a_mode_is_refused_with_the_owner_named() {
    let wrong = run("weavers_yard_wrong_owner", None);
    let refused = wrong.ledger.iter().find(|row| {
        matches!(&row.entry, Entry::Request { what, outcome: Outcome::Refused, .. }
            if *what == Doing::Request(Request::Mode(Mode::Heat)))
    });
    let reason = reason_words(&model("weavers_yard_wrong_owner", None), refused.expect("a row"));
    assert!(reason.contains("Loom room"), "{reason}");
}

#[test]
fn nobody_is_served_against_the_owner() {
    for stem in ["weavers_yard_wrong_owner", "weavers_yard_better_owner"] {
        let model = model(stem, None);
        let owner = model.outdoor_units[0].settings.owner().expect("an owner decides");
        let finished = simulate(&model, Keep::Steps);
        for step in finished.rows.chunks(model.zones.len()) {
            let direction = step[owner].direction;
            let against = |served: Option<Direction>| served.is_some_and(|it| it != direction);
            assert!(!step.iter().any(|row| against(row.served)), "{stem} {:?}", step[0].at);
        }
    }
}

/// Physics, second edition: neither side of a simultaneous unit is cut for want of the other.
#[test]
fn a_clinic_heats_and_cools_with_eight_kilowatts_each_and_nobody_waits() {
    let (rooms, store) = (run("clinic_both_ways", None), run("clinic_both_ways", Some("store")));
    let both = |step: &[StepRow]| {
        let heat: Vec<f64> = step.iter().map(|row| row.heat_w).collect();
        heat.iter().any(|it| *it >= 8000.0) && heat.iter().any(|it| *it <= -8000.0)
    };
    assert!(rooms.rows.chunks(3).any(both));
    for finished in [&rooms, &store] {
        let energy = &finished.summary.energy;
        assert!(finished.summary.zones.iter().all(|(_, zone)| zone.starved_hours == 0.0));
        assert!(energy.heat_recovered_kwh > 0.3 * energy.heat_delivered_kwh);
    }
    // Spells of defrosting take their heat out of the wards, or from a store.
    let taken = |finished: &Finished| {
        let wards = finished.rows.iter().filter(|row| row.zone.get() == 0);
        wards.filter(|row| row.heat_w < 0.0).count()
    };
    assert!(taken(&rooms) >= 4 && taken(&store) == 0);
    let electricity = [&store, &rooms].map(|it| it.summary.energy.total_kwh);
    assert!(electricity[0] < electricity[1], "{electricity:?}");
}

#[test]
fn an_owner_switched_off_stops_the_group_or_leaves_it_its_direction() {
    let evening = Instant::new(17 * 3600 + 60);
    let served_late = |finished: &Finished| {
        let office = ZoneIndex::new(OFFICE);
        finished
            .rows
            .iter()
            .any(|row| row.zone == office && row.at > evening && row.served.is_some())
    };
    let stop = run("weavers_yard_owner_off", None);
    assert!(!served_late(&stop));
    let late_starved = stop.rows.iter().filter(|row| row.at > evening).any(|row| row.starved);
    assert!(!late_starved, "a stopped group starves nobody");
    assert!(served_late(&run("weavers_yard_owner_off", Some("hold"))));
}

#[test]
fn a_stopped_group_is_explained_by_its_owner() {
    let model = model("weavers_yard_owner_off", None);
    let text =
        explanation_text(&model, &explain(&model, Instant::new(20 * 3600)), Style::default());
    assert!(text.contains("the group is stopped, Loom room is switched off"), "{text}");
}

#[test]
fn a_waiting_follower_is_explained_by_what_its_owner_does() {
    let model = model("weavers_yard_wrong_owner", None);
    let text = explanation_text(
        &model,
        &explain(&model, Instant::new(14 * 3600 + 1800)),
        Style::default(),
    );
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("At 14:30 Office waits: it needs heating"), "{words}");
    assert!(words.contains("it waits until Loom room turns the group to heating"), "{words}");
    assert!(words.contains("Loom room calls for cooling itself, until 22 or below"), "{words}");
}

#[test]
fn a_call_that_meets_a_resting_compressor_is_explained_by_its_rest() {
    let mut model = model("weavers_yard_better_owner", None);
    // Rooms ask for less than the unit's lowest output: it delivers ahead and rests.
    let unit = &mut model.outdoor_units[0].unit;
    (unit.lowest_output, unit.min_off) = (0.95, Seconds::minutes(2));
    let finished = simulate(&model, Keep::Steps);
    let unserved = finished.rows.iter().find(|row| row.call.is_some() && row.served.is_none());
    let at = unserved.expect("a call meets the rest").at;
    let text = explanation_text(&model, &explain(&model, at), Style::default());
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("timers the compressor of Unit in the yard rests until"), "{words}");
    assert!(words.contains("gives nothing although there is a call: the compressor of"), "{words}");
    assert!(!words.contains("timers none holds it plant gives nothing"), "{words}");
}

#[test]
fn a_follower_stored_in_heat_tells_both_starts_while_the_group_cools() {
    let model = model("weavers_yard_wrong_owner", None);
    let finished = simulate(&model, Keep::Steps);
    // A follower in `heat` that needs nothing.
    let idle = finished
        .rows
        .iter()
        .find(|row| row.zone != ZoneIndex::new(LOOM_ROOM) && !row.starved && row.call.is_none());
    let idle = idle.expect("a follower rests").zone;
    let mut stored = model.clone();
    stored.zones[idle.get()].controls.start.mode = Mode::Heat;
    let at =
        finished.rows.iter().find(|row| row.zone == idle && !row.starved && row.call.is_none());
    let explanation = explain(&stored, at.expect("a row").at);
    let call = &explanation.zones[idle.get()].lines.iter().find(|line| line.about == "call");
    let words = &call.expect("a line").words;
    assert!(words.contains("heating starts at") && words.contains("cooling starts at"), "{words}");
}

#[test]
fn a_simultaneous_unit_starves_nobody_and_moves_heat_between_rooms() {
    let both = run("weavers_yard_simultaneous", None);
    assert!((0..3).all(|zone| starved(&both, zone) == 0.0));
    let energy = &both.summary.energy;
    assert!(energy.heat_removed_kwh > 1.0 && energy.heat_delivered_kwh > 10.0);
    assert!(energy.heat_recovered_kwh > 0.1, "{}", energy.heat_recovered_kwh);
    let one = run("weavers_yard_simultaneous", Some("single_mode"));
    assert_eq!(one.summary.energy.heat_recovered_kwh, 0.0);
    assert!(starved(&one, OFFICE) > 8.0);
}

#[test]
fn owners_ranks_every_zone_and_every_policy_and_says_the_answer_first() {
    let model = model("weavers_yard_wrong_owner", None);
    let rankings = rank_owners(&model, RankBy::Worst, &Wanted::default(), default_threads());
    let [ranking] = rankings.as_slice() else { panic!("one group") };
    assert_eq!(ranking.candidates.len(), 3 + 3);
    let figures: Vec<[f64; 3]> =
        ranking.candidates.iter().map(|it| it.figures(RankBy::Worst)).collect();
    assert!(figures.is_sorted(), "{figures:?}");
    let present: Vec<Decider> =
        ranking.candidates.iter().filter(|it| it.is_present).map(|it| it.decider).collect();
    assert_eq!(present, [Decider::Owner(ZoneIndex::new(LOOM_ROOM))]);
    let owners: Vec<Decider> = ranking
        .candidates
        .iter()
        .map(|it| it.decider)
        .filter(|decider| matches!(decider, Decider::Owner(_)))
        .collect();
    assert_eq!(*owners.last().expect("owners"), Decider::Owner(ZoneIndex::new(LOOM_ROOM)));
    let answer = owners_text(&model, &rankings, Style::default(), &[]);
    assert!(answer.starts_with("Best decided by "), "{answer}");
    let alone = rank_owners(&model, RankBy::Worst, &Wanted::default(), NonZeroUsize::MIN);
    assert_eq!(alone, rankings, "on any number of threads");
    let by_mean = rank_owners(&model, RankBy::Mean, &Wanted::default(), default_threads());
    let mean: Vec<[f64; 3]> =
        by_mean[0].candidates.iter().map(|it| it.figures(RankBy::Mean)).collect();
    assert!(mean.is_sorted(), "{mean:?}");
    // The figures of the file as it stands are those of a plain run.
    let run = simulate(&model, Keep::Nothing).summary;
    let now = ranking.candidates.iter().find(|it| it.is_present).expect("present");
    assert_eq!(now.total_kwh, run.energy.total_kwh);
    assert!(
        ranking.candidates.iter().any(|it| it.decider == Decider::Policy(ModePolicy::Majority))
    );
}

/// Nothing that another betters in every figure that the answer names may win or stand unmarked.
#[test]
fn owners_marks_what_is_bettered_keeps_bounds_and_says_what_is_given_up() {
    for name in ["weavers_yard_wrong_owner", "dyehouse_32_rooms"] {
        let model = model(name, None);
        let all = rank_owners(&model, RankBy::Worst, &Wanted::default(), default_threads());
        let candidates = &all[0].candidates;
        let worse = |one: &Candidate, than: &Candidate| {
            than.worst_degree_hours <= one.worst_degree_hours - 0.1
                && than.changeovers < one.changeovers
                && than.total_kwh <= one.total_kwh * 0.99
        };
        assert!(candidates.iter().all(|other| !worse(&candidates[0], other)), "{name}");
        for one in candidates {
            let is_worse = candidates.iter().any(|other| worse(one, other));
            assert!(!is_worse || one.dominated_by.is_some(), "{name}: {one:?}");
        }
        let fewest = candidates.iter().map(|it| it.changeovers).min().expect("candidates");
        let answer = owners_text(&model, &all, Style::default(), &[]).replace('\n', " ");
        let gives_up = candidates[0].changeovers > fewest;
        assert_eq!(answer.contains("least changeovers with"), gives_up, "{answer}");
        // What is asked for goes first: a bound, and a figure.
        let bound =
            FigureBound { figure: "changeovers".into(), at_most: true, limit: fewest as f64 };
        let bounds = Wanted { bounds: vec![bound], ..Wanted::default() };
        let bounded = &rank_owners(&model, RankBy::Worst, &bounds, default_threads())[0];
        assert!(bounded.candidates[0].keeps_bounds);
        assert_eq!(bounded.candidates[0].changeovers, fewest);
        let energy = Goal::new("total_kwh", Sense::Minimise, &[], &[]).expect("a goal");
        let wanted = Wanted { figure: Some(energy), ..Wanted::default() };
        let by_energy = &rank_owners(&model, RankBy::Worst, &wanted, default_threads())[0];
        let energies: Vec<f64> = by_energy.candidates.iter().map(|it| it.total_kwh).collect();
        assert!(energies.is_sorted(), "{energies:?}");
    }
}

#[test]
fn thirty_two_rooms_share_one_unit() {
    let rooms = run("dyehouse_32_rooms", None);
    assert_eq!(rooms.summary.zones.len(), 32);
    let waiting = (0..32).filter(|&zone| starved(&rooms, zone) > 1.0).count();
    assert!((1..=8).contains(&waiting), "the warm studios on the upper floors: {waiting}");
    let (_, unit) = &rooms.summary.group.outdoor_units[0];
    assert!(unit.compressor_starts > 0 && unit.connected_heating_ratio.is_some());
}
