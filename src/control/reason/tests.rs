use crate::control::changes::SettingsChange;
use crate::control::locks::{KeyLocks, LockableKey};
use crate::control::modes::{Mode, Power};
use crate::control::ranges::OnConflict;
use crate::control::request::{Key, Request, Standing};
use crate::control::rig::{Given, Rig};
use crate::direction::Direction;
use crate::units::TemperatureUnit::{Celsius, Fahrenheit};

fn heat(rig: &mut Rig, value: f64) -> &str {
    rig.heat(value);
    rig.reason()
}

fn cool(rig: &mut Rig, value: f64) -> &str {
    rig.cool(value);
    rig.reason()
}

fn press(rig: &mut Rig, key: Key) -> &str {
    rig.press(key);
    rig.reason()
}

fn mode(rig: &mut Rig, mode: Mode) -> &str {
    rig.mode(mode);
    rig.reason()
}

#[test]
fn rule_13_a_push_names_the_deadband() {
    let mut rig = Given { start: (20.0, 23.0), ..Given::default() }.rig();
    assert_eq!(heat(&mut rig, 22.0), "cool moved from 23 to 24: the minimum deadband is 2");
    assert_eq!(cool(&mut rig, 22.5), "heat moved from 22 to 20.5: the minimum deadband is 2");
    assert_eq!(
        cool(&mut rig, 22.1),
        "heat moved from 20.5 to 20: the minimum deadband is 2; 22.1 was rounded to 22, the \
         nearest step"
    );
}

#[test]
fn rule_13_an_accepted_request_says_what_moved_or_that_it_stood_so() {
    let mut rig = Given::default().rig();
    assert_eq!(heat(&mut rig, 21.0), "heat moved from 20 to 21");
    assert_eq!(heat(&mut rig, 21.0), "heat stood at 21 already");
    assert_eq!(
        heat(&mut rig, 21.3),
        "heat moved from 21 to 21.5; 21.3 was rounded to 21.5, the nearest step"
    );
    assert_eq!(press(&mut rig, Key::Cooler), "heat moved from 21.5 to 21");
}

#[test]
fn rule_13_a_limited_request_names_the_bound_with_its_numbers() {
    let mut rig = Given::default().rig();
    assert_eq!(heat(&mut rig, 25.0), "heat held at 22: its limits are 17 to 22");
    let low_ceiling = Given { cool_limits: (22.0, 23.0), start: (20.0, 22.0), ..Given::default() };
    assert_eq!(
        heat(&mut low_ceiling.rig(), 22.0),
        "heat held at 21: cool goes no higher than 23 and the minimum deadband is 2; cool moved \
         from 22 to 23: the minimum deadband is 2"
    );
    let high_floor =
        Given { heat_limits: (20.0, 22.0), cool_limits: (16.0, 28.0), ..Given::default() };
    assert_eq!(
        cool(&mut high_floor.rig(), 20.0),
        "cool held at 22: heat goes no lower than 20 and the minimum deadband is 2"
    );
    let hold = Given { on_conflict: OnConflict::Hold, start: (20.0, 23.0), ..Given::default() };
    assert_eq!(
        heat(&mut hold.rig(), 22.0),
        "heat held at 21: cool stays at 23 and the minimum deadband is 2"
    );
}

#[test]
fn rule_13_one_setpoint_is_called_that() {
    let single =
        Given { deadband: 0.0, cool_limits: (19.0, 28.0), start: (20.0, 20.0), ..Given::default() };
    let mut rig = single.rig();
    assert_eq!(cool(&mut rig, 21.0), "the one setpoint moved from 20 to 21");
    assert_eq!(cool(&mut rig, 21.0), "the one setpoint stood at 21 already");
    assert_eq!(cool(&mut rig, 25.0), "the one setpoint held at 22: the heat limits are 17 to 22");
    assert_eq!(heat(&mut rig, 15.0), "the one setpoint held at 19: the cool limits are 19 to 28");
    assert_eq!(heat(&mut rig, 25.0), "the one setpoint held at 22: the heat limits are 17 to 22");
}

#[test]
fn rule_13_a_return_names_where_it_goes_to() {
    let mut rig = Given { on_conflict: OnConflict::PushAndReturn, ..Given::default() }.rig();
    cool(&mut rig, 22.5);
    assert_eq!(heat(&mut rig, 22.0), "cool moved from 22.5 to 24: the minimum deadband is 2");
    assert_eq!(
        heat(&mut rig, 21.0),
        "cool returned from 24 to 23 on its way to 22.5, where it was last set: the minimum \
         deadband is 2"
    );
    assert_eq!(heat(&mut rig, 19.0), "cool returned from 23 to 22.5, where it was last set");
}

#[test]
fn rule_13_a_display_in_the_other_unit_is_named_where_it_changed_something() {
    let given = Given { shown: Fahrenheit, start: (20.0, 22.5), ..Given::default() };
    let mut rig = given.rig();
    assert_eq!(
        cool(&mut rig, 22.5),
        "cool moved from 22.5 to 23; 22.5 shows as 73 F, which is stored as 23"
    );
    assert_eq!(cool(&mut rig, 24.0), "cool moved from 23 to 24");
    let mut keys = Given { mode: Mode::Cool, ..given }.rig();
    assert_eq!(
        press(&mut keys, Key::Warmer),
        "cool moved from 22.5 to 23; the display still reads 73 F"
    );
    assert_eq!(press(&mut keys, Key::Warmer), "cool moved from 23 to 23.5; the display reads 74 F");
    let mut back = Given { shown: Celsius, mode: Mode::Cool, ..Given::fahrenheit() }.rig();
    assert_eq!(press(&mut back, Key::Warmer), "cool moved from 75 to 76; the display reads 24.5 C");
}

#[test]
fn rule_13_modes_and_power_say_what_they_became() {
    let mut rig = Given::default().rig();
    assert_eq!(mode(&mut rig, Mode::Cool), "mode set to cool");
    assert_eq!(mode(&mut rig, Mode::Cool), "the mode was cool already");
    assert_eq!(press(&mut rig, Key::Mode), "the mode key stepped to auto");
    assert_eq!(press(&mut rig, Key::Power), "the power key switched it off");
    rig.does(Request::Power(Power::Off));
    assert_eq!(rig.reason(), "it was off already");
    assert_eq!(press(&mut rig, Key::Mode), "this key does nothing while the power is off");
    assert_eq!(press(&mut rig, Key::Warmer), "this key does nothing while the power is off");
    rig.does(Request::Power(Power::On));
    assert_eq!(rig.reason(), "switched on");
    mode(&mut rig, Mode::Fan);
    assert_eq!(press(&mut rig, Key::Warmer), "warmer and cooler move nothing in fan");
}

#[test]
fn rule_13_a_dead_mode_key_says_why() {
    let one = Given { modes: &[Mode::Cool], mode: Mode::Cool, ..Given::default() };
    let nowhere = "the mode key has nowhere to go: ";
    let reason = press(&mut one.rig(), Key::Mode).to_owned();
    assert_eq!(reason, format!("{nowhere}the unit has only cool"));
    let locked = Given { modes: &[Mode::Cool, Mode::Dry], locked_modes: &[Mode::Dry], ..one };
    let reason = press(&mut locked.rig(), Key::Mode).to_owned();
    assert_eq!(reason, format!("{nowhere}every other mode is locked"));
}

#[test]
fn rule_13_a_refusal_names_the_lock_the_lockout_or_what_the_unit_lacks() {
    let mut locked =
        Given { desk_locks: KeyLocks::new(&LockableKey::ALL, true), ..Given::default() }.rig();
    let words = "the setpoint keys are locked for occupants at controller desk";
    assert_eq!(press(&mut locked, Key::Warmer), words);
    assert_eq!(heat(&mut locked, 21.0), words);
    let words = "the mode key is locked for occupants at controller desk";
    assert_eq!(mode(&mut locked, Mode::Cool), words);
    let words = "the power key is locked for occupants at controller desk";
    assert_eq!(press(&mut locked, Key::Power), words);
    let given = Given {
        modes: &[Mode::Heat, Mode::Auto, Mode::Cool],
        locked_modes: &[Mode::Cool],
        ..Given::default()
    };
    let words = "mode cool is locked; only a technician or a schedule can ask for it";
    assert_eq!(mode(&mut given.rig(), Mode::Cool), words);
    let words = "the unit has no mode dry; it has heat, auto, cool";
    assert_eq!(mode(&mut given.rig(), Mode::Dry), words);
}

#[test]
fn rule_10_a_follower_is_told_whom_it_follows() {
    let follower = Given { standing: Standing::Follower(Direction::Heating), ..Given::default() };
    let mut rig = follower.rig();
    rig.owner = Some("hall");
    let words = "the mode follows owner zone hall; only fan can be selected here";
    assert_eq!(mode(&mut rig, Mode::Cool), words);
    let mut locked = Given { locked_modes: &[Mode::Fan], ..follower }.rig();
    locked.owner = Some("hall");
    assert_eq!(mode(&mut locked, Mode::Cool), "the mode follows owner zone hall");
    let mut lacking = Given { modes: &[Mode::Heat, Mode::Auto], ..follower }.rig();
    lacking.owner = Some("hall");
    assert_eq!(
        press(&mut lacking, Key::Mode),
        "the unit has no mode fan; it has heat, auto, and the mode follows owner zone hall"
    );
}

fn change(rig: &mut Rig, change: &SettingsChange) -> String {
    rig.set(change);
    rig.reason().to_owned()
}

#[test]
fn rule_8_a_change_says_what_it_moved_and_why() {
    let mut rig = Given::default().rig();
    let none = SettingsChange::default();
    assert_eq!(change(&mut rig, &none), "in force; no setpoint had to move");
    let wide = SettingsChange { deadband: Some(rig.tick(5.0)), ..none.clone() };
    assert_eq!(change(&mut rig, &wide), "cool moved from 24 to 25: the minimum deadband is 5");
    let low = SettingsChange { cool_limits: Some(rig.range(20.0, 23.0)), ..none.clone() };
    assert_eq!(
        change(&mut rig, &low),
        "heat moved from 20 to 18: the minimum deadband is 5; cool moved from 25 to 23: its \
         limits are 20 to 23"
    );
    let single = SettingsChange { deadband: Some(rig.tick(0.0)), ..none };
    assert_eq!(
        change(&mut rig, &single),
        "heat moved from 18 to 20: one setpoint serves both, from 20 to 22; cool moved from 23 to \
         20: one setpoint serves both, from 20 to 22"
    );
}

#[test]
fn rule_8_a_refused_change_says_which_settings_contradict_each_other() {
    let mut rig = Given::default().rig();
    let none = SettingsChange::default();
    let wide = SettingsChange { deadband: Some(rig.tick(12.0)), ..none.clone() };
    assert_eq!(
        change(&mut rig, &wide),
        "nothing changed: from the lowest heat 17 to the highest cool 28 a minimum deadband of 12 \
         is 1 too much"
    );
    let below = SettingsChange { deadband: Some(rig.tick(-1.0)), ..none.clone() };
    assert_eq!(change(&mut rig, &below), "nothing changed: a minimum deadband of -1 is below 0");
    let crossed = SettingsChange { cool_limits: Some(rig.range(28.0, 24.0)), ..none.clone() };
    assert_eq!(
        change(&mut rig, &crossed),
        "nothing changed: the cool limits 28 to 24 are the wrong way round"
    );
    let apart = SettingsChange {
        deadband: Some(rig.tick(0.0)),
        cool_limits: Some(rig.range(23.5, 28.0)),
        ..none
    };
    assert_eq!(
        change(&mut rig, &apart),
        "nothing changed: with a minimum deadband of 0 one setpoint serves both, and the heat \
         limits 17 to 22 and the cool limits 23.5 to 28 miss each other by 1.5"
    );
}
