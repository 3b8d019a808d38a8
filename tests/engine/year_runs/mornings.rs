//! Mornings after a setback: who was ready, which start would have made it, and what an optimum
//! start learns from them.

use setband::control::{Occupancy, OptimumStart, Power, Request};
use setband::direction::Direction;
use setband::engine::{Entry, Event, Model, Nobody, start};
use setband::plant::UnitControl;
use setband::report::reason_words;
use setband::study::{Keep, LEAD_STEP, Morning, Readiness, simulate_season};
use setband::time::{ClockTime, DAY, DaySet, Instant, Seconds, Span};

use crate::rig::{Given, asks, minute, model, period};

/// Cold days in a room whose unit recovers slowly; open from 8:00 on.
fn cold(days: i64, outdoor: f64, optimum: Option<Seconds>, override_time: Seconds) -> Model {
    let clock = |text| ClockTime::parse(text).expect("a clock time");
    let open = Span::new(clock("08:00"), clock("18:00"), DaySet::EVERY).expect("not empty");
    let given = Given {
        occupancy: Occupancy::Schedule(vec![open]),
        setback: Some([5.0, 5.0, 10.0, 35.0]),
        optimum_start: optimum.map(|most| OptimumStart { most }),
        override_time,
        heating: 2600.0,
        control: UnitControl::proportional(0.25, 1.0),
        ..Given::default()
    };
    Model { period: period(days, Seconds::minutes(1)), ..model(outdoor, vec![given.zone("hall")]) }
}

fn mornings(model: &Model) -> Vec<Morning> {
    simulate_season(model, Keep::Nothing, &mut Nobody).1
}

#[test]
fn the_lead_that_is_named_makes_it_and_a_shorter_one_does_not() {
    let two_days = |actions| Model { actions, ..cold(2, -2.0, None, Seconds::hours(13)) };
    let found = mornings(&two_days(Vec::new()));
    let [_, second] = &found[..] else { panic!("two mornings: {found:?}") };
    let Readiness::Late { lead: Some(lead) } = second.readiness else {
        panic!("late, with a start that helps: {second:?}")
    };
    assert!(second.missing() > 0.5 && second.ready_after.is_some(), "{second:?}");
    // A caretaker who asks for what is stored already brings the stored setpoints back.
    let rises = |lead: Seconds| {
        let at = second.at - lead;
        let asks_again = asks(at, 0, Request::Setpoint(setband::control::Side::Heat, 20.0));
        mornings(&two_days(vec![asks_again]))[1].readiness
    };
    assert_eq!(rises(lead), Readiness::Ready);
    assert_ne!(rises(Seconds::new(lead.get() - LEAD_STEP.get())), Readiness::Ready);
}

#[test]
fn a_mild_morning_is_ready_and_a_hopeless_one_says_so() {
    let mild = mornings(&cold(2, 18.0, None, Seconds::hours(2)));
    assert_eq!(mild.len(), 2);
    assert!(mild.iter().all(|morning| morning.readiness == Readiness::Ready));
    let bitter = mornings(&cold(2, -60.0, None, Seconds::hours(2)));
    let hopeless = |it: &Morning| it.readiness == Readiness::Late { lead: None };
    assert!(bitter.iter().all(|it| hopeless(it) && it.ready_after.is_none()), "{bitter:?}");
}

#[test]
fn a_zone_that_is_off_is_neither_ready_nor_late() {
    let mut model = cold(2, -2.0, None, Seconds::hours(2));
    model.actions = vec![asks(minute(20 * 60), 0, Request::Power(Power::Off))];
    let found = mornings(&model);
    assert!(matches!(found[0].readiness, Readiness::Late { .. }));
    assert_eq!(found[1].readiness, Readiness::Off);
}

#[test]
fn an_optimum_start_is_ready_where_the_plain_setback_is_late() {
    let late = |found: &[Morning]| {
        found.iter().filter(|it| matches!(it.readiness, Readiness::Late { .. })).count()
    };
    let plain = mornings(&cold(14, -2.0, None, Seconds::hours(2)));
    let early = mornings(&cold(14, -2.0, Some(Seconds::hours(8)), Seconds::hours(2)));
    assert_eq!(late(&plain), 14);
    assert!(late(&early[4..]) == 0, "{early:?}");
}

#[test]
fn proportional_output_that_never_reaches_the_setpoint_does_not_start_hours_too_early() {
    // A strong unit in mild frost: proportional output settles between the setpoint and a throttling range below it.
    let mut model = cold(21, 2.0, Some(Seconds::hours(8)), Seconds::hours(2));
    model.zones[0].unit.heating.as_mut().expect("it heats").rated = 6000.0;
    let (finished, mornings) = simulate_season(&model, Keep::Nothing, &mut Nobody);
    let early = |row: &&setband::engine::LedgerRow| {
        matches!(row.entry, Entry::Event(Event::EarlyStart { .. }))
    };
    let last = finished.ledger.iter().rfind(early).expect("early starts").at;
    let lead = 8 * 3600 - last.second_of_day();
    // The shortest lead that makes the same zone ready without an optimum start.
    let mut plain = cold(3, 2.0, None, Seconds::hours(2));
    plain.zones[0].unit = model.zones[0].unit.clone();
    let needed = match self::mornings(&plain).last().expect("a morning").readiness {
        Readiness::Late { lead: Some(lead) } => lead,
        other => panic!("{other:?}"),
    };
    assert!(lead <= needed.get() + 2 * LEAD_STEP.get(), "{lead} s early, {needed} suffice");
    assert!(mornings[5..].iter().all(|it| it.readiness == Readiness::Ready), "{mornings:?}");
}

#[test]
fn an_optimum_start_begins_no_earlier_than_allowed_and_its_start_is_in_the_ledger() {
    let model = cold(5, -2.0, Some(Seconds::hours(2)), Seconds::hours(2));
    let (finished, _) = simulate_season(&model, Keep::Nothing, &mut Nobody);
    let starts: Vec<_> = finished
        .ledger
        .iter()
        .filter(|row| matches!(row.entry, Entry::Event(Event::EarlyStart { .. })))
        .collect();
    assert_eq!(starts.len(), 5);
    for row in starts {
        assert!((6 * 3600..8 * 3600).contains(&row.at.second_of_day()), "{row:?}");
        let reason = reason_words(&model, row);
        assert!(reason.starts_with("heating begins "), "{reason}");
    }
}

/// The rate that the zone believes in after so many days.
fn learned(model: &Model, days: i64) -> f64 {
    let (mut simulation, _) = start(model);
    while simulation.state().now < Instant::new(days * DAY) {
        simulation.step(&mut Nobody);
    }
    simulation.state().zones[0].recovery.rate(Direction::Heating)
}

#[test]
fn a_zone_switched_off_in_the_middle_of_its_recovery_learns_nothing_from_it() {
    let mut model = cold(2, -2.0, Some(Seconds::hours(8)), Seconds::hours(2));
    let untaught = 1.0;
    assert_ne!(learned(&model, 1), untaught, "an undisturbed morning teaches");
    let (finished, _) = simulate_season(&model, Keep::Steps, &mut Nobody);
    let starts = |row: &&setband::engine::LedgerRow| {
        matches!(row.entry, Entry::Event(Event::EarlyStart { .. }))
    };
    let begun = finished.ledger.iter().find(starts).expect("recovery begins").at;
    // Off a few minutes later, while much is still missing.
    let off = begun + Seconds::minutes(5);
    let then = finished.rows.iter().find(|row| row.at == off).expect("a row");
    assert!(then.sensed < 19.5, "{then:?}");
    let power = |at, power| asks(at, 0, Request::Power(power));
    model.actions = vec![power(off, Power::Off), power(minute(720), Power::On)];
    assert_eq!(learned(&model, 1), untaught);
    // The same where it comes on again before opening; the morning after teaches.
    model.actions[1].at = off + Seconds::minutes(20);
    assert_eq!(learned(&model, 1), untaught);
    assert_ne!(learned(&model, 2), untaught);
}
