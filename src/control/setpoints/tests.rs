use super::super::modes::Mode;
use super::super::rig::{Given, Rig};
use super::*;
use crate::units::TemperatureUnit::{Celsius, Fahrenheit};
use Side::{Cool, Heat};

fn wants(rig: &mut Rig, side: Side, value: f64) -> String {
    match side {
        Heat => rig.heat(value),
        Cool => rig.cool(value),
    }
}

/// Each request with the reading that must follow it.
fn reads(rig: &mut Rig, steps: &[(Side, f64, &str)]) {
    for (number, (side, value, reading)) in steps.iter().enumerate() {
        let request = format!("request {}: {} {value}", number + 1, side.name());
        assert_eq!(wants(rig, *side, *value), *reading, "{request}");
    }
}

fn given(on_conflict: OnConflict) -> Given {
    Given { on_conflict, ..Given::default() }
}

#[test]
fn rule_3_push_moves_the_other_side_and_leaves_it_there() {
    let mut rig = given(OnConflict::Push).rig();
    reads(
        &mut rig,
        &[
            (Heat, 21.5, "accepted 21.5/24"),
            (Cool, 23.0, "pushed 21/23"),
            (Heat, 22.0, "pushed 22/24"),
            // The band never tracks back, not even after an earlier push.
            (Heat, 19.0, "accepted 19/24"),
            (Cool, 26.0, "accepted 19/26"),
            (Heat, 19.0, "accepted 19/26"),
        ],
    );
}

#[test]
fn rule_3_a_push_never_leaves_the_limits_of_the_other_side() {
    let narrow = Given { cool_limits: (22.0, 23.5), start: (20.0, 23.0), ..Given::default() };
    reads(
        &mut narrow.rig(),
        &[
            (Heat, 22.0, "limited 21.5/23.5"),
            (Heat, 30.0, "limited 21.5/23.5"),
            (Cool, 5.0, "limited 20/22"),
            (Heat, 5.0, "limited 17/22"),
        ],
    );
}

#[test]
fn rule_3_hold_never_moves_the_other_side() {
    let mut rig = given(OnConflict::Hold).rig();
    reads(
        &mut rig,
        &[
            (Cool, 22.0, "accepted 20/22"),
            (Heat, 21.0, "limited 20/22"),
            (Heat, 18.0, "accepted 18/22"),
            (Heat, 22.0, "limited 20/22"),
            (Cool, 30.0, "limited 20/28"),
            (Heat, 25.0, "limited 22/28"),
            (Cool, 22.0, "limited 22/24"),
        ],
    );
}

#[test]
fn rule_3_push_and_return_returns_as_far_as_the_deadband_lets_it() {
    let mut rig = given(OnConflict::PushAndReturn).rig();
    reads(
        &mut rig,
        &[
            (Cool, 22.5, "accepted 20/22.5"),
            (Heat, 22.0, "pushed 22/24"),
            (Heat, 21.0, "pushed 21/23"),
            (Heat, 20.0, "pushed 20/22.5"),
            (Heat, 19.0, "accepted 19/22.5"),
            (Heat, 22.0, "pushed 22/24"),
            // The other side asks: what was asked of heat is 22, and it keeps that in mind.
            (Cool, 23.0, "pushed 21/23"),
            (Cool, 26.0, "pushed 22/26"),
        ],
    );
}

#[test]
fn rule_3_push_and_return_keeps_in_mind_what_the_limits_let_through() {
    let mut rig = given(OnConflict::PushAndReturn).rig();
    reads(
        &mut rig,
        &[
            (Cool, 35.0, "limited 20/28"),
            (Cool, 22.0, "accepted 20/22"),
            (Heat, 30.0, "limited 22/24"),
            (Cool, 22.0, "pushed 20/22"),
            (Cool, 30.0, "limited 22/28"),
        ],
    );
}

#[test]
fn rule_3_one_setpoint_takes_requests_for_either_side_and_pushes_nothing() {
    for on_conflict in [OnConflict::Push, OnConflict::Hold, OnConflict::PushAndReturn] {
        let single = Given {
            on_conflict,
            deadband: 0.0,
            cool_limits: (19.0, 28.0),
            start: (20.0, 20.0),
            ..Given::default()
        };
        reads(
            &mut single.rig(),
            &[
                (Heat, 21.0, "accepted 21/21"),
                (Cool, 20.5, "accepted 20.5/20.5"),
                (Cool, 26.0, "limited 22/22"),
                (Heat, 17.0, "limited 19/19"),
                (Cool, 19.0, "accepted 19/19"),
            ],
        );
    }
}

#[test]
fn rule_1_what_is_asked_is_rounded_before_anything_else() {
    let mut rig = Given::default().rig();
    reads(
        &mut rig,
        &[
            (Heat, 21.25, "accepted 21.5/24"),
            (Heat, 21.24, "accepted 21/24"),
            (Cool, 22.74, "pushed 20.5/22.5"),
            (Heat, 22.2, "pushed 22/24"),
            (Heat, 22.25, "limited 22/24"),
        ],
    );
    reads(&mut Given::fahrenheit().rig(), &[(Heat, 69.5, "accepted 70/75")]);
}

/// What held a request back, with heat and cool at the start of a zone in `push` or `hold`.
fn held_by(given: Given, side: Side, wanted: f64) -> Option<Bound> {
    let rig = given.rig();
    rig.stored.setpoints.request(&rig.settings.rules, side, rig.tick(wanted)).held
}

#[test]
fn rule_13_what_held_a_request_is_the_bound_that_it_ran_against() {
    assert_eq!(held_by(Given::default(), Heat, 25.0), Some(Bound::Limit));
    assert_eq!(held_by(Given::default(), Heat, 22.0), None);
    let hold = Given { on_conflict: OnConflict::Hold, start: (20.0, 22.0), ..Given::default() };
    assert_eq!(held_by(hold, Heat, 21.0), Some(Bound::OtherSetpoint));
    let far = Given { cool_limits: (22.0, 23.0), start: (20.0, 23.0), ..Given::default() };
    assert_eq!(held_by(far, Heat, 22.0), Some(Bound::OtherLimit));
}

#[test]
fn rule_13_a_side_pinned_at_its_low_limit_is_not_held_from_above_by_that_limit() {
    // Pinned by the other setpoint.
    let hold = Given {
        heat_limits: (20.0, 22.0),
        on_conflict: OnConflict::Hold,
        start: (20.0, 22.0),
        ..Given::default()
    };
    assert_eq!(held_by(hold, Heat, 21.0), Some(Bound::OtherSetpoint));
    // Pinned by the other side's limit: one pair is legal.
    let one_pair = Given {
        heat_limits: (20.0, 22.0),
        cool_limits: (18.0, 22.0),
        start: (20.0, 22.0),
        ..Given::default()
    };
    assert_eq!(held_by(one_pair, Heat, 21.0), Some(Bound::OtherLimit));
    assert_eq!(held_by(one_pair, Heat, 19.0), Some(Bound::Limit));
    assert_eq!(held_by(one_pair, Cool, 21.0), Some(Bound::OtherLimit));
    // With one setpoint and one shared value.
    let shared = Given { deadband: 0.0, start: (22.0, 22.0), ..Given::default() };
    assert_eq!(held_by(shared, Cool, 25.0), Some(Bound::OtherLimit));
    assert_eq!(held_by(shared, Cool, 20.0), Some(Bound::Limit));
    assert_eq!(held_by(shared, Heat, 25.0), Some(Bound::Limit));
}

#[test]
fn rule_3_holds_in_both_units_and_every_step() {
    for (unit, step) in
        [(Celsius, 0.1), (Celsius, 0.5), (Celsius, 1.0), (Fahrenheit, 0.5), (Fahrenheit, 1.0)]
    {
        let mut rig = Given {
            unit,
            step,
            shown: unit,
            heat_limits: (60.0, 70.0),
            cool_limits: (65.0, 80.0),
            start: (65.0, 75.0),
            mode: Mode::Heat,
            ..Given::default()
        }
        .rig();
        reads(
            &mut rig,
            &[
                (Heat, 70.0, "accepted 70/75"),
                (Cool, 71.0, "pushed 69/71"),
                (Cool, 65.0, "pushed 63/65"),
            ],
        );
    }
}
