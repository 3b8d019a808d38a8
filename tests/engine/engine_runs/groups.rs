//! Rule 10 through the engine: who decides between heating and cooling, and what that means.

use proptest::prelude::*;
use setband::building::Gain;
use setband::control::{
    Differential, Direction, GroupChange, Key, Mode, ModePolicy, OwnerOff, Power, Request,
    SettingsChange, Sharing,
};
use setband::engine::{Action, Model, StepRow, Zone};
use setband::plant::{OutdoorUnit, StartUp, UnitControl};
use setband::report::steps_csv;
use setband::study::Finished;
use setband::time::{ClockTime, DaySet, Seconds, Span};
use setband::weather::Weather;

use crate::rig::{
    Given, MINUTE, asks, by, flat, grouped, minute, model, outdoor_unit, owned, period, presses,
    row_at, rows_of, run, sets,
};

/// A zone that begins at a temperature, with a band from 20 to 24.
fn at(start: f64) -> Given {
    let mut given = Given::default();
    given.space.start = Some(start);
    given
}

/// A cold zone, a warm zone and one between, on one outdoor unit.
fn mixed(sharing: Sharing) -> Model {
    let zones = vec![at(22.0).zone("hall"), at(17.0).zone("north"), at(28.0).zone("south")];
    grouped(model(14.0, zones), outdoor_unit(), sharing)
}

fn directions(finished: &Finished, at: i64) -> Vec<Direction> {
    (0..3).map(|zone| row_at(finished, zone, minute(at)).direction).collect()
}

#[test]
fn an_owner_that_never_calls_holds_the_direction_and_who_needs_the_other_starves() {
    let mut zones = mixed(owned()).zones;
    zones[0] = Given { heat: 12.0, cool: 34.0, ..at(22.0) }.zone("hall");
    let finished = run(&grouped(model(14.0, zones), outdoor_unit(), owned()));
    assert_eq!(finished.summary.group.changeovers, 0);
    assert!(finished.rows.iter().all(|row| row.direction == Direction::Heating));
    assert!(finished.rows.iter().all(|row| row.served != Some(Direction::Cooling)));
    assert!(row_at(&finished, 1, minute(0)).served.is_some());
    assert!(row_at(&finished, 2, minute(0)).starved);
    assert!(finished.summary.zones[2].1.starved_hours > 0.5);
}

#[test]
fn an_owner_in_fan_or_off_holds_the_last_direction() {
    for act in [asks(minute(5), 0, Request::Mode(Mode::Fan)), presses(minute(5), 0, Key::Power)] {
        let mut model = mixed(owned());
        model.zones[0] = Given { mode: Mode::Cool, ..at(23.0) }.zone("hall");
        model.actions = vec![act];
        let finished = run(&model);
        for at in [0, 4, 5, 60] {
            assert_eq!(directions(&finished, at), [Direction::Cooling; 3]);
        }
        // The others go on; only the owner has no call.
        assert!(row_at(&finished, 2, minute(6)).served.is_some());
        assert!(row_at(&finished, 1, minute(6)).starved);
        assert!(row_at(&finished, 0, minute(6)).call.is_none());
    }
}

#[test]
fn an_owner_off_stops_a_group_that_is_to_stop_and_nobody_counts_as_starved() {
    let stop = Sharing::SingleMode {
        policy: ModePolicy::Owner,
        owner: 0,
        owner_off: OwnerOff::Stop,
        changeover_delay: Seconds::ZERO,
    };
    let mut model = mixed(stop);
    model.actions = vec![
        presses(minute(5), 0, Key::Power),
        presses(minute(90), 0, Key::Power),
        asks(minute(120), 0, Request::Mode(Mode::Fan)),
    ];
    let finished = run(&model);
    let off = |row: &&StepRow| minute(5) <= row.at && row.at < minute(90);
    assert!(row_at(&finished, 1, minute(4)).served.is_some());
    assert!(row_at(&finished, 2, minute(4)).starved);
    for row in finished.rows.iter().filter(off) {
        assert!(row.call.is_none() && row.served.is_none() && !row.starved, "{row:?}");
    }
    assert!(row_at(&finished, 1, minute(90)).served.is_some());
    // `fan` does not stop it.
    let later = finished.rows.iter().filter(|row| row.at >= minute(120));
    assert!(later.filter(|row| row.served.is_some()).count() > 10);
}

#[test]
fn the_owners_own_delay_counts_for_its_group() {
    let mut owner = Given { deadband: 0.0, heat: 21.0, cool: 21.0, ..at(21.0) };
    // Each call goes a degree past the setpoint, where the room stays for longer than the delay.
    owner.thermostat.call_start = Differential::same(0.1);
    owner.thermostat.call_stop = Differential::same(1.0);
    owner.space.air_capacity = 4e6;
    owner.thermostat.changeover_delay = Seconds::minutes(30);
    let zones = vec![owner.zone("cell"), at(19.0).zone("room")];
    // The group's own delay, of ten minutes, is for the other policies.
    let finished = run(&grouped(model(17.0, zones), outdoor_unit(), owned()));
    let rows = rows_of(&finished, 0);
    let turns: Vec<usize> =
        (1..rows.len()).filter(|at| rows[*at].direction != rows[at - 1].direction).collect();
    assert!(turns.len() > 4, "{turns:?}");
    for turn in turns {
        let old = rows[turn].direction.opposite();
        let last = rows[..turn].iter().rev().find(|row| row.served == Some(old));
        if let Some(last) = last {
            assert!(rows[turn].at.since(last.at + MINUTE) >= Seconds::minutes(30));
        }
    }
}

#[test]
fn a_follower_in_dry_is_not_held_at_turndown_and_its_mode_does_not_matter() {
    for mode in [Mode::Heat, Mode::Cool, Mode::Dry, Mode::Auto] {
        let owner = Given { mode: Mode::Cool, ..at(30.0) };
        let follower = Given { mode, control: Given::MODULATING, ..at(30.0) };
        let zones = vec![owner.zone("hall"), follower.zone("room")];
        let finished = run(&grouped(model(28.0, zones), outdoor_unit(), owned()));
        let first = row_at(&finished, 1, minute(0));
        assert_eq!((first.served, first.heat_w), (Some(Direction::Cooling), -3500.0), "{mode:?}");
    }
}

#[test]
fn by_first_call_the_earliest_in_the_file_decides_between_two_at_once() {
    let sharing = by(ModePolicy::FirstCall, Seconds::minutes(10));
    let finished = run(&mixed(sharing));
    // North, which wants heating, stands before south.
    assert_eq!(directions(&finished, 0), [Direction::Heating; 3]);
    let mut model = mixed(sharing);
    model.zones.swap(1, 2);
    let finished = run(&model);
    assert_eq!(directions(&finished, 0), [Direction::Cooling; 3]);
    assert!(row_at(&finished, 2, minute(0)).starved);
}

#[test]
fn by_majority_the_larger_rated_capacity_decides_and_a_tie_keeps_the_direction() {
    let group = |heating: [f64; 3], cooling: [f64; 3]| {
        let zones = [17.0, 17.0, 28.0].into_iter().zip(["one", "two", "three"]).enumerate();
        let zones = zones.map(|(zone, (start, id))| {
            let sizes = (heating[zone], cooling[zone]);
            Given { heating: sizes.0, cooling: sizes.1, ..at(start) }.zone(id)
        });
        let sharing = by(ModePolicy::Majority, Seconds::minutes(10));
        let finished = run(&grouped(model(14.0, zones.collect()), outdoor_unit(), sharing));
        row_at(&finished, 0, minute(0)).direction
    };
    assert_eq!(group([1500.0; 3], [4000.0; 3]), Direction::Cooling);
    assert_eq!(group([2500.0; 3], [4000.0; 3]), Direction::Heating);
    assert_eq!(group([2000.0; 3], [4000.0; 3]), Direction::Heating);
}

#[test]
fn by_largest_error_the_zone_furthest_outside_decides() {
    for (cold, warm, expected) in
        [(17.0, 26.5, Direction::Heating), (18.0, 26.5, Direction::Cooling)]
    {
        let zones = vec![at(22.0).zone("hall"), at(cold).zone("north"), at(warm).zone("south")];
        let sharing = by(ModePolicy::LargestError, Seconds::minutes(10));
        let finished = run(&grouped(model(14.0, zones), outdoor_unit(), sharing));
        assert_eq!(row_at(&finished, 0, minute(0)).direction, expected);
    }
}

#[test]
fn once_nobody_is_served_nobody_starts_before_the_compressor_has_rested() {
    let mut unit = outdoor_unit();
    unit.min_off = Seconds::minutes(12);
    let zones = vec![at(19.0).zone("one"), Given { heat: 21.0, ..at(19.0) }.zone("two")];
    let finished = run(&grouped(model(-8.0, zones), unit, owned()));
    assert_rests(&finished, Seconds::minutes(12));
    let starts: u64 = finished.summary.zones.iter().map(|(_, zone)| zone.unit_starts).sum();
    assert!(starts > 10, "{starts}");
}

/// Between two spells in which anybody is served at least so long passes.
fn assert_rests(finished: &Finished, least: Seconds) {
    let mut last_end = None;
    for row in finished.rows.iter().filter(|row| row.served.is_some()) {
        if let Some(end) = last_end
            && row.at > end
        {
            assert!(row.at.since(end) >= least, "{row:?}");
        }
        last_end = Some(row.at + MINUTE);
    }
}

#[test]
fn a_technician_hands_the_group_to_another_owner() {
    let mut model = mixed(owned());
    model.zones[2] = Given { mode: Mode::Cool, ..at(28.0) }.zone("south");
    let hand = GroupChange { owner: Some(2), ..GroupChange::default() };
    let policy = GroupChange { policy: Some(ModePolicy::LargestError), owner: None };
    model.actions = vec![
        sets(minute(20), 0, SettingsChange::default(), hand),
        asks(minute(25), 0, Request::Mode(Mode::Cool)),
        sets(minute(30), 0, SettingsChange::default(), policy),
        asks(minute(35), 0, Request::Mode(Mode::Cool)),
    ];
    let finished = run(&model);
    assert_eq!(directions(&finished, 19), [Direction::Heating; 3]);
    assert_eq!(directions(&finished, 20), [Direction::Cooling; 3]);
    let outcomes = crate::rig::ledger(&model, &finished);
    assert!(outcomes.contains(&"00:25 mode cool: refused".to_string()), "{outcomes:?}");
    assert!(outcomes.contains(&"00:35 mode cool: accepted".to_string()), "{outcomes:?}");
}

/// One zone, alone or with an outdoor unit to itself that has its capacity, COP and timers.
fn alone_and_grouped(given: &Given) -> [Model; 2] {
    let mut lone = given.clone();
    lone.thermostat.min_off = Seconds::minutes(3);
    let weather = Weather::DesignDay { high: 27.0, range: 14.0, site: None };
    let actions = vec![
        asks(minute(420), 0, Request::Setpoint(setband::control::Side::Heat, 22.0)),
        presses(minute(800), 0, Key::Cooler),
        presses(minute(900), 0, Key::Mode),
        presses(minute(1300), 0, Key::Power),
    ];
    let day = |zone: Zone| Model {
        weather: weather.clone(),
        period: period(2, MINUTE),
        actions: actions.clone(),
        ..model(0.0, vec![zone])
    };
    let unit = OutdoorUnit {
        heating: Some(flat(given.heating, 3.2)),
        cooling: Some(flat(given.cooling, 3.4)),
        min_off: Seconds::minutes(3),
        reversal_time: given.reversal_time,
        ..outdoor_unit()
    };
    [day(lone.zone("room")), grouped(day(given.zone("room")), unit, owned())]
}

fn afternoon() -> Span {
    let clock = |text| ClockTime::parse(text).expect("a clock time");
    Span::new(clock("12:00"), clock("18:00"), DaySet::EVERY).expect("not empty")
}

#[test]
fn a_group_of_one_is_the_zone_alone_to_the_last_byte() {
    for control in [UnitControl::ON_OFF, Given::MODULATING] {
        let mut given = Given { control, fan: 60.0, heat: 21.0, cool: 23.0, ..at(19.0) };
        (given.start_up, given.reversal_time) = (StartUp::USUAL, Seconds::minutes(3));
        given.space.mass_capacity = 1e6;
        given.gains = vec![Gain { when: afternoon(), power: 1200.0, latent: 0.0 }];
        given.thermostat.changeover_delay = Seconds::minutes(10);
        let [alone, grouped] = alone_and_grouped(&given).map(|model| {
            let finished = run(&model);
            assert!(finished.summary.zones[0].1.changeovers > 0);
            steps_csv(&model, &finished.rows).expect("a vector takes everything")
        });
        assert!(alone.len() > 100_000);
        assert!(alone == grouped, "the files differ");
    }
}

/// Three zones of any temperature and band, any policy, any actions.
fn any_group() -> impl Strategy<Value = Model> {
    let zone = (14.0..32.0, 17_i32..24, 0_i32..5, 0.0..40.0_f64, prop::bool::ANY);
    let policies = prop::sample::select(ModePolicy::ALL.to_vec());
    (
        prop::collection::vec(zone, 3),
        policies,
        0_usize..3,
        prop::sample::select(vec![OwnerOff::Hold, OwnerOff::Stop]),
        prop::sample::select(vec![0_i64, 10, 25]),
        prop::collection::vec(any_action(), 0..10),
        (5.0..35.0, 5.0..20.0),
    )
        .prop_map(|(zones, policy, owner, owner_off, delay, mut actions, (high, range))| {
            let zones = zones.into_iter().zip(["one", "two", "three"]);
            let zones = zones.map(|((start, heat, apart, windows, modulating), id)| {
                let mut given = at(start);
                (given.heat, given.cool) = (f64::from(heat), f64::from(heat + apart));
                given.deadband = f64::from(apart);
                given.space.windows = windows;
                given.space.mass_capacity = 2e6;
                given.thermostat.changeover_delay = Seconds::minutes(delay);
                if modulating {
                    given.control = Given::MODULATING;
                }
                given.zone(id)
            });
            let changeover_delay = Seconds::minutes(delay);
            let sharing = Sharing::SingleMode { policy, owner, owner_off, changeover_delay };
            let mut unit = outdoor_unit();
            unit.min_off = Seconds::minutes(3);
            unit.reversal_time = Seconds::minutes(3);
            let mut model = grouped(model(0.0, zones.collect()), unit, sharing);
            model.weather = Weather::DesignDay { high, range, site: None };
            actions.sort_by_key(|action: &Action| action.at);
            model.actions = actions;
            model
        })
}

fn any_action() -> impl Strategy<Value = Action> {
    let request = prop_oneof![
        prop::sample::select(Mode::ALL.to_vec()).prop_map(Request::Mode),
        prop::sample::select(Key::ALL.to_vec()).prop_map(Request::Press),
    ];
    (0_i64..1440, 0_usize..3, request)
        .prop_map(|(at, zone, request)| asks(minute(at), zone, request))
}

/// Whether the row's sensor meets the start condition of a direction, half a degree outside.
fn meets(row: &StepRow, direction: Direction) -> bool {
    match direction {
        Direction::Heating => row.sensed <= row.heat - 0.5 + 1e-9,
        Direction::Cooling => row.sensed >= row.cool + 0.5 - 1e-9,
    }
}

fn awake(row: &StepRow) -> bool {
    row.power == Power::On && row.mode != Mode::Fan
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn a_single_mode_group_serves_one_direction_and_starves_by_definition(model in any_group()) {
        let finished = run(&model);
        let settings = model.outdoor_units[0].settings;
        let Sharing::SingleMode { policy, owner, owner_off, .. } = settings.sharing else {
            unreachable!("every case is single-mode")
        };
        let mut last_served: Option<Direction> = None;
        let mut changeovers = 0;
        for rows in finished.rows.chunks_exact(3) {
            let direction = rows[owner].direction;
            let stopped = policy == ModePolicy::Owner
                && owner_off == OwnerOff::Stop
                && rows[owner].power == Power::Off;
            for (zone, row) in rows.iter().enumerate() {
                prop_assert_eq!(row.direction, direction);
                prop_assert!(row.served.is_none_or(|served| served == direction));
                // The outdoor unit has capacity for all, so whoever calls is served.
                prop_assert_eq!(row.served, row.call);
                let decides = policy != ModePolicy::Owner || zone == owner;
                if !awake(row) || stopped || (decides && !row.mode.allows(direction)) {
                    prop_assert!(row.call.is_none(), "{:?}", row);
                }
                let starved = awake(row)
                    && !stopped
                    && row.call.is_none()
                    && meets(row, direction.opposite());
                prop_assert_eq!(row.starved, starved, "{:?}", row);
            }
            if rows.iter().any(|row| row.served.is_some()) {
                changeovers += u64::from(last_served == Some(direction.opposite()));
                last_served = Some(direction);
            }
        }
        prop_assert_eq!(finished.summary.group.changeovers, changeovers);
        assert_rests(&finished, Seconds::minutes(3));
    }

    #[test]
    fn without_an_owner_a_wanted_direction_gets_its_turn(model in any_group()) {
        let mut model = model;
        model.actions.clear();
        let Sharing::SingleMode { policy, changeover_delay, .. } =
            &mut model.outdoor_units[0].settings.sharing
        else {
            unreachable!("every case is single-mode")
        };
        if *policy == ModePolicy::Owner {
            *policy = ModePolicy::FirstCall;
        }
        // The group's delay, the compressor's rest, and the step in which it is noticed.
        let patience = changeover_delay.get() / 60 + 3 + 1;
        let finished = run(&model);
        let steps: Vec<&[StepRow]> = finished.rows.chunks_exact(3).collect();
        let mut waiting = 0;
        for rows in steps {
            let present = rows[0].direction;
            let nobody_calls = rows.iter().all(|row| row.call.is_none());
            let wanted = rows.iter().any(|row| meets(row, present.opposite()));
            waiting = if nobody_calls && wanted { waiting + 1 } else { 0 };
            prop_assert!(waiting <= patience, "{:?}", rows);
        }
    }
}
