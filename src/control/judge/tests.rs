use super::super::locks::LockableKey::{self, Mode as ModeKey, Power as PowerKey, Setpoint};
use super::super::rig::{DESK, Given, Rig, WINDOW};
use super::*;
use crate::direction::Direction::{self, Cooling, Heating};
use Key::{Cooler, Warmer};
use Role::{Occupant, Schedule, Technician};

fn own(mode: Mode, direction: Direction) -> Given {
    Given { mode, standing: Standing::Own(direction), ..Given::default() }
}

fn follower(mode: Mode, direction: Direction) -> Given {
    Given { mode, standing: Standing::Follower(direction), ..Given::default() }
}

fn locked(keys: &[LockableKey], in_force: bool) -> Given {
    Given { desk_locks: KeyLocks::new(keys, in_force), ..Given::default() }
}

#[test]
fn rule_4_a_press_moves_the_active_setpoint_by_one_tick() {
    for (given, warmer, then_cooler) in [
        (own(Mode::Heat, Cooling), "accepted 20.5/24", "accepted 20/24"),
        (own(Mode::Cool, Heating), "accepted 20/24.5", "accepted 20/24"),
        (own(Mode::Dry, Heating), "accepted 20/24.5", "accepted 20/24"),
        (own(Mode::Auto, Heating), "accepted 20.5/24", "accepted 20/24"),
        (own(Mode::Auto, Cooling), "accepted 20/24.5", "accepted 20/24"),
        (own(Mode::Fan, Heating), "no_effect 20/24", "no_effect 20/24"),
        (follower(Mode::Cool, Heating), "accepted 20.5/24", "accepted 20/24"),
        (follower(Mode::Heat, Cooling), "accepted 20/24.5", "accepted 20/24"),
        (follower(Mode::Dry, Heating), "accepted 20.5/24", "accepted 20/24"),
        (follower(Mode::Fan, Cooling), "no_effect 20/24", "no_effect 20/24"),
    ] {
        let mut rig = given.rig();
        let zone = format!("{:?} {:?}", given.mode, given.standing);
        assert_eq!(rig.press(Warmer), warmer, "{zone}");
        assert_eq!(rig.press(Cooler), then_cooler, "{zone}");
        let mut off = Given { power: Power::Off, ..given }.rig();
        assert_eq!(off.press(Warmer), "no_effect 20/24", "{zone}, off");
    }
}

#[test]
fn rule_4_a_press_pushes_and_is_limited_like_a_request() {
    let mut rig = Given { start: (21.0, 23.0), ..Given::default() }.rig();
    assert_eq!(rig.press(Warmer), "pushed 21.5/23.5");
    assert_eq!(rig.press(Warmer), "pushed 22/24");
    assert_eq!(rig.press(Warmer), "limited 22/24");
    assert_eq!(rig.press(Cooler), "accepted 21.5/24");
    let hold = Given { on_conflict: crate::control::OnConflict::Hold, ..Given::default() };
    let mut held = Given { start: (21.0, 23.0), ..hold }.rig();
    assert_eq!(held.press(Warmer), "limited 21/23");
}

#[test]
fn rule_3_a_press_starts_from_the_present_value_not_from_the_asked_one() {
    let returns = crate::control::OnConflict::PushAndReturn;
    let mut rig = Given { on_conflict: returns, ..own(Mode::Cool, Cooling) }.rig();
    assert_eq!(rig.heat(22.0), "accepted 22/24");
    assert_eq!(rig.cool(22.0), "pushed 20/22");
    rig.stored.mode = Mode::Heat;
    // 22 was asked of heat; the press goes from 20 to 20.5.
    assert_eq!(rig.press(Warmer), "pushed 20.5/22.5");
}

#[test]
fn rule_4_the_power_key_toggles_and_keeps_the_mode() {
    let mut rig = own(Mode::Dry, Cooling).rig();
    assert_eq!(rig.press(Key::Power), "accepted off");
    assert_eq!(rig.stored.mode, Mode::Dry);
    assert_eq!(rig.press(Key::Power), "accepted on");
    assert_eq!(rig.does(Request::Power(Power::On)), "accepted on");
    assert_eq!(rig.does(Request::Power(Power::Off)), "accepted off");
}

#[test]
fn rule_5_the_mode_key_goes_round_and_skips_what_is_locked_whoever_presses() {
    let given = Given { locked_modes: &[Mode::Cool, Mode::Fan], ..own(Mode::Heat, Heating) };
    for role in [Occupant, Technician, Schedule] {
        let mut rig = given.rig();
        let mut step = || rig.ask(role, DESK, Request::Press(Key::Mode));
        assert_eq!([step(), step(), step()], ["accepted auto", "accepted dry", "accepted heat"]);
    }
}

#[test]
fn rule_5_the_mode_key_does_nothing_with_the_power_off_or_nowhere_to_go() {
    let mut off = Given { power: Power::Off, ..Given::default() }.rig();
    assert_eq!(off.press(Key::Mode), "no_effect auto");
    let others = &[Mode::Heat, Mode::Cool, Mode::Dry, Mode::Fan];
    assert_eq!(
        Given { locked_modes: others, ..Given::default() }.rig().press(Key::Mode),
        "no_effect auto"
    );
    let mut only = Given { modes: &[Mode::Heat], ..own(Mode::Heat, Heating) }.rig();
    assert_eq!(only.press(Key::Mode), "no_effect heat");
}

#[test]
fn rule_5_a_locked_mode_is_refused_to_occupants_and_a_lacking_one_to_all() {
    let given = Given {
        modes: &[Mode::Heat, Mode::Auto, Mode::Cool],
        locked_modes: &[Mode::Cool],
        ..Given::default()
    };
    for (role, cool, dry) in [
        (Occupant, "refused auto", "refused auto"),
        (Technician, "accepted cool", "refused cool"),
        (Schedule, "accepted cool", "refused cool"),
    ] {
        let mut rig = given.rig();
        assert_eq!(rig.ask(role, DESK, Request::Mode(Mode::Cool)), cool, "{role:?}");
        assert_eq!(rig.ask(role, DESK, Request::Mode(Mode::Dry)), dry, "{role:?}");
    }
}

#[test]
fn rule_5_a_lockout_that_arrives_later_stays_until_the_next_mode_change() {
    let mut rig = Given { locked_modes: &[Mode::Dry], ..own(Mode::Dry, Cooling) }.rig();
    assert_eq!(rig.press(Warmer), "accepted 20/24.5");
    assert_eq!(rig.mode(Mode::Cool), "accepted cool");
    assert_eq!(rig.mode(Mode::Dry), "refused cool");
}

#[test]
fn rule_5_direct_requests_act_on_the_stored_values_with_the_power_off() {
    let off = Given { power: Power::Off, locked_modes: &[Mode::Fan], ..Given::default() };
    let mut rig = off.rig();
    assert_eq!(rig.heat(22.0), "accepted 22/24");
    assert_eq!(rig.cool(23.0), "pushed 21/23");
    assert_eq!(rig.cool(40.0), "limited 21/28");
    assert_eq!(rig.mode(Mode::Cool), "accepted cool");
    assert_eq!(rig.mode(Mode::Fan), "refused cool");
    assert_eq!(rig.stored.power, Power::Off);
}

#[test]
fn rule_6_a_lock_in_force_refuses_occupants_their_presses_and_direct_requests() {
    let mode = Request::Mode(Mode::Cool);
    let heat = Request::Setpoint(Side::Heat, 21.0);
    for (key, request) in [
        (Setpoint, Request::Press(Warmer)),
        (Setpoint, Request::Press(Cooler)),
        (Setpoint, heat),
        (ModeKey, Request::Press(Key::Mode)),
        (ModeKey, mode),
        (PowerKey, Request::Press(Key::Power)),
        (PowerKey, Request::Power(Power::Off)),
    ] {
        let outcome = |given: Given, role, at| {
            let rig = given.rig();
            judge(&rig.settings, &rig.stored, rig.standing, request, role, at).outcome
        };
        let lock = locked(&[key], true);
        assert_eq!(outcome(lock, Occupant, DESK), Outcome::Refused, "{request:?}");
        // Rule 7: the lock is this controller's, not the zone's.
        assert_eq!(outcome(lock, Occupant, WINDOW), Outcome::Accepted, "{request:?}");
        assert_eq!(outcome(lock, Technician, DESK), Outcome::Accepted, "{request:?}");
        assert_eq!(outcome(lock, Schedule, DESK), Outcome::Accepted, "{request:?}");
        // Saved and not in force.
        assert_eq!(outcome(locked(&[key], false), Occupant, DESK), Outcome::Accepted);
        let others: Vec<_> = LockableKey::ALL.into_iter().filter(|other| *other != key).collect();
        assert_eq!(outcome(locked(&others, true), Occupant, DESK), Outcome::Accepted);
    }
}

#[test]
fn rule_7_both_controllers_act_on_the_same_values_and_the_last_request_stands() {
    let mut rig = Given::default().rig();
    let heat = |value| Request::Setpoint(Side::Heat, value);
    assert_eq!(rig.ask(Occupant, DESK, heat(21.0)), "accepted 21/24");
    assert_eq!(rig.ask(Occupant, WINDOW, heat(19.0)), "accepted 19/24");
    assert_eq!(rig.ask(Occupant, WINDOW, Request::Press(Warmer)), "accepted 19.5/24");
    assert_eq!(rig.ask(Occupant, DESK, Request::Press(Key::Power)), "accepted off");
    assert_eq!(rig.ask(Occupant, WINDOW, Request::Press(Warmer)), "no_effect 19.5/24");
}

#[test]
fn rule_10_a_follower_may_select_fan_and_come_back_and_nothing_else() {
    let mut rig = follower(Mode::Auto, Heating).rig();
    for mode in [Mode::Heat, Mode::Cool, Mode::Auto, Mode::Dry] {
        for role in [Occupant, Technician, Schedule] {
            assert_eq!(rig.ask(role, DESK, Request::Mode(mode)), "refused auto", "{role:?}");
        }
    }
    assert_eq!(rig.mode(Mode::Fan), "accepted fan");
    assert_eq!(rig.mode(Mode::Fan), "accepted fan");
    assert_eq!(rig.mode(Mode::Dry), "accepted dry");
    assert_eq!(rig.mode(Mode::Cool), "refused dry");
}

#[test]
fn rule_10_a_followers_fan_and_the_way_back_obey_locks_and_the_unit() {
    let given = Given {
        modes: &[Mode::Cool, Mode::Heat, Mode::Auto],
        locked_modes: &[Mode::Cool],
        ..follower(Mode::Heat, Heating)
    };
    assert_eq!(given.rig().mode(Mode::Fan), "refused heat");
    let fan_locked = Given { locked_modes: &[Mode::Fan], ..follower(Mode::Heat, Heating) };
    assert_eq!(fan_locked.rig().mode(Mode::Fan), "refused heat");
    let by_technician = fan_locked.rig().ask(Technician, DESK, Request::Mode(Mode::Fan));
    assert_eq!(by_technician, "accepted fan");
    let back = Given { locked_modes: &[Mode::Cool], ..follower(Mode::Fan, Heating) };
    assert_eq!(back.rig().mode(Mode::Cool), "refused fan");
    assert_eq!(back.rig().mode(Mode::Heat), "accepted heat");
}

#[test]
fn rule_10_a_followers_mode_key_steps_to_fan_and_back_to_the_first_unlocked_mode() {
    let given = Given { locked_modes: &[Mode::Heat], ..follower(Mode::Auto, Cooling) };
    let mut rig = given.rig();
    assert_eq!(rig.press(Key::Mode), "accepted fan");
    assert_eq!(rig.press(Key::Mode), "accepted cool");
    assert_eq!(rig.press(Key::Mode), "accepted fan");
    let lacking = Given { modes: &[Mode::Heat, Mode::Auto], ..follower(Mode::Auto, Cooling) };
    assert_eq!(lacking.rig().press(Key::Mode), "refused auto");
    let locked = Given { locked_modes: &[Mode::Fan], ..follower(Mode::Auto, Cooling) };
    assert_eq!(locked.rig().press(Key::Mode), "refused auto");
    assert_eq!(locked.rig().ask(Technician, DESK, Request::Press(Key::Mode)), "refused auto");
    let others = &[Mode::Heat, Mode::Cool, Mode::Auto, Mode::Dry];
    let stuck = Given { locked_modes: others, ..follower(Mode::Fan, Cooling) };
    assert_eq!(stuck.rig().press(Key::Mode), "no_effect fan");
    let off = Given { power: Power::Off, ..follower(Mode::Auto, Cooling) };
    assert_eq!(off.rig().press(Key::Mode), "no_effect auto");
}

fn cause(given: Given, request: Request) -> Cause {
    let Rig { settings, stored, standing, .. } = given.rig();
    judge(&settings, &stored, standing, request, Occupant, DESK).cause
}

/// Everything stands against these requests; each line takes the first cause away.
#[test]
fn rule_13_the_first_cause_in_order_is_the_one_that_is_named() {
    let all = Given {
        desk_locks: KeyLocks::new(&LockableKey::ALL, true),
        power: Power::Off,
        modes: &[Mode::Heat, Mode::Auto],
        locked_modes: &[Mode::Fan, Mode::Cool],
        ..follower(Mode::Auto, Heating)
    };
    let (key, cool) = (Request::Press(Key::Mode), Request::Mode(Mode::Cool));
    assert_eq!(cause(all, key), Cause::KeyLocked(ModeKey, DESK));
    assert_eq!(cause(all, cool), Cause::KeyLocked(ModeKey, DESK));
    let unlocked = Given { desk_locks: KeyLocks::NONE, ..all };
    assert_eq!(cause(unlocked, key), Cause::PowerIsOff);
    // A direct request is no key: the follower comes next.
    assert_eq!(cause(unlocked, cool), Cause::FollowsOwner);
    let on = Given { power: Power::On, ..unlocked };
    assert_eq!(cause(on, key), Cause::Lacks(Mode::Fan));
    let lone = Given { standing: Standing::Own(Heating), ..on };
    assert_eq!(cause(lone, cool), Cause::Lacks(Mode::Cool));
    let able = Given { modes: &Mode::ALL, ..lone };
    assert_eq!(cause(able, cool), Cause::ModeLocked(Mode::Cool));
    // A press without an active setpoint, at a limit: the dead key is named, not the limit.
    let fan = Given { start: (22.0, 24.0), ..own(Mode::Fan, Heating) };
    assert_eq!(cause(fan, Request::Press(Warmer)), Cause::NothingActive);
    let off = Given { power: Power::Off, ..fan };
    assert_eq!(cause(off, Request::Press(Warmer)), Cause::PowerIsOff);
}
