//! `reach`: against random pressing by hand, its proofs replayed through whole runs, its ratchet
//! against enumeration and closed forms.

#![expect(clippy::float_cmp, reason = "values on a grid are exact")]

mod ratchet;

use std::collections::{BTreeMap, HashMap, HashSet};
use std::process::{Command, Output};

use approx::assert_relative_eq;
use proptest::prelude::*;
use proptest::sample::{select, subsequence};
use setband::control::{
    ControllerIndex, Direction, Key, Request, Role, Setpoints, Settings, Side, Standing, Stored,
    Ticks, judge,
};
use setband::engine::{Entry, Model, ZoneIndex};
use setband::scenario::read;
use setband::study::reach::{
    Claim, MOST_STATES, Move, Presser, Proof, Ratchet, Reach, Spread, explore, replay,
};
use setband::study::{Keep, simulate};

const HALL: ZoneIndex = ZoneIndex::new(0);

fn model(text: &str) -> Model {
    read(text, "reach.yaml", &|_| Err("no files here".into()))
        .unwrap_or_else(|faults| panic!("{faults}\n{text}"))
        .base
}

/// One zone with these controls, in C, and these keys of its unit.
fn zone(controls: &str, unit: &str) -> Model {
    model(&format!(
        "period: {{from: 2025-04-16}}\nweather: {{design_day: {{high: 18, range: 11}}}}\nzones:\n  \
         hall:\n    space: {{floor: 60 m2}}\n    unit: {{heating: 6 kW, cooling: 5 kW{unit}}}\n    \
         controls: {{{controls}}}\n"
    ))
}

/// An owner and a follower on one outdoor unit; the follower is the zone `hall`.
fn follower(controls: &str) -> Model {
    model(&format!(
        "period: {{from: 2025-04-16}}\nweather: {{design_day: {{high: 18, range: 11}}}}\n\
         outdoor_unit:\n  owner: foyer\n  heating: [{{outdoor: 8, capacity: 9 kW, cop: 3.5}}]\n  \
         cooling: [{{outdoor: 30, capacity: 9 kW, cop: 3.5}}]\nzones:\n  hall:\n    space: {{floor: \
         60 m2}}\n    unit: {{heating: 6 kW, cooling: 5 kW}}\n    controls: {{{controls}}}\n  \
         foyer:\n    space: {{floor: 20 m2}}\n    unit: {{heating: 3 kW, cooling: 3 kW}}\n    \
         controls: {{heat: 20, cool: 24}}\n"
    ))
}

fn reached(model: &Model, claims: &[&str]) -> Reach {
    let claims: Vec<Claim> =
        claims.iter().map(|text| Claim::parse(text).expect("a claim")).collect();
    explore(model, HALL, &claims, MOST_STATES, &mut |_| {})
}

/// Presses keys at random, knowing only the rules, and returns every state met.
fn press_at_random(
    settings: &Settings,
    start: Stored,
    standing: fn(Direction) -> Standing,
    presses: u32,
) -> HashSet<Stored> {
    let mut random = 0x2545_F491_4F6C_DD1D_u64;
    let mut choose = |among: usize| {
        random ^= random << 13;
        random ^= random >> 7;
        random ^= random << 17;
        usize::try_from(random >> 33).expect("31 bits") % among
    };
    let mut met = HashSet::from([start]);
    let mut list = vec![start];
    let mut stored = start;
    for press in 0..presses {
        // What cannot be undone would hide the rest: go on from somewhere else now and then.
        if press % 5 == 0 {
            stored = list[choose(list.len())];
        }
        let key = Key::ALL[choose(4)];
        let controller = ControllerIndex::new(choose(settings.controllers.as_slice().len()));
        let standing = standing(Direction::BOTH[choose(2)]);
        let request = Request::Press(key);
        stored = judge(settings, &stored, standing, request, Role::Occupant, controller).after;
        if met.insert(stored) {
            list.push(stored);
        }
    }
    met
}

fn pairs(states: &HashSet<Stored>) -> Vec<(i32, i32)> {
    let pair = |stored: &Stored| (stored.setpoints.heat().count(), stored.setpoints.cool().count());
    let mut all: Vec<(i32, i32)> =
        states.iter().map(pair).collect::<HashSet<_>>().into_iter().collect();
    all.sort_unstable();
    all
}

fn found_pairs(reach: &Reach) -> Vec<(i32, i32)> {
    reach.pairs.iter().map(|(heat, cool)| (heat.count(), cool.count())).collect()
}

/// Controls with few states: heat 19 to 21, cool 21 to 23, any practice, locks and lockouts.
fn small_controls() -> impl Strategy<Value = (String, String)> {
    let deadbands = select(vec!["0", "1", "2", "3"]);
    let practices = select(vec!["push", "hold", "push_and_return"]);
    let modes = subsequence(vec!["heat", "cool", "auto", "dry", "fan"], 1..=3);
    let keys = subsequence(vec!["setpoint", "mode", "power"], 0..=2);
    let fixed = (any::<bool>(), any::<bool>(), any::<bool>());
    (deadbands, practices, modes, keys, fixed).prop_map(|(gap, practice, modes, keys, fixed)| {
        let (off, in_force, second) = fixed;
        let door = if second { ", {id: door}" } else { "" };
        let controls = format!(
            "heat: 21, cool: {}, setpoint_step: 1, min_deadband: {gap}, on_conflict: {practice}, limits: {{heat: [19, 21], cool: [20, 24]}}, power: {}, controllers: [{{id: main, primary: true, key_locks: \
             {{keys: [{}], in_force: {in_force}}}}}{door}]",
            if gap == "0" { "21" } else { "24" },
            if off { "off" } else { "on" },
            keys.join(", ")
        );
        (controls, format!(", modes: [{}]", modes.join(", ")))
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Random pressing never leaves what `reach` found, and on few states it finds all of it.
    #[test]
    fn random_presses_reach_all_of_it_and_nothing_else((controls, unit) in small_controls()) {
        let model = zone(&controls, &unit);
        let settings = &model.zones[0].controls.settings;
        let start = model.zones[0].controls.start;
        let met = press_at_random(settings, start, Standing::Own, 60_000);
        let reach = reached(&model, &[]);
        prop_assert_eq!(met.len(), reach.states);
        prop_assert_eq!(pairs(&met), found_pairs(&reach));
    }
}

#[test]
fn a_follower_reaches_what_random_presses_in_both_directions_reach() {
    for practice in ["push", "hold", "push_and_return"] {
        let model = follower(&format!(
            "heat: 20, cool: 22, min_deadband: 1, on_conflict: {practice}, limits: {{heat: [19, 21], \
             cool: [20, 22]}}, locked_modes: [heat]"
        ));
        let controls = &model.zones[0].controls;
        let met = press_at_random(&controls.settings, controls.start, Standing::Follower, 200_000);
        let reach = reached(&model, &[]);
        assert_eq!((met.len(), pairs(&met)), (reach.states, found_pairs(&reach)), "{practice}");
        // From following a mode key leads to fan, and from there to the first free mode.
        let modes: Vec<&str> = reach.modes.iter().map(|mode| mode.mode.name()).collect();
        assert_eq!(modes, ["cool", "auto", "fan"]);
    }
}

#[test]
fn wide_limits_are_never_left_by_random_presses() {
    let model = zone("heat: 20, cool: 24, min_deadband: 2, setpoint_step: 0.5", "");
    let controls = &model.zones[0].controls;
    let met = press_at_random(&controls.settings, controls.start, Standing::Own, 100_000);
    let reach = reached(&model, &[]);
    let found: HashSet<(i32, i32)> = found_pairs(&reach).into_iter().collect();
    assert!(pairs(&met).iter().all(|pair| found.contains(pair)));
    assert!(met.len() <= reach.states && reach.is_complete);
}

/// What is stored in the hall after each of its rows in the ledger of a run.
fn stored_in_run(model: &Model) -> Vec<Stored> {
    let finished = simulate(model, Keep::Nothing);
    let ours = finished.ledger.iter().filter(|row| row.zone == HALL);
    let kept = ours.filter(|row| {
        matches!(&row.entry, Entry::Request { .. })
            || matches!(&row.entry, Entry::Event(kind) if kind.name() == "auto off")
    });
    kept.map(|row| row.after).collect()
}

/// Checks that a claim is broken, replays the counter-example through a whole run, and returns its
/// length.
fn broken_and_replayed(model: &Model, claim: &str) -> usize {
    let reach = reached(model, &[claim]);
    let Proof::Broken(moves) = &reach.proofs[0] else { panic!("{claim}: {:?}", reach.proofs) };
    let parsed = Claim::parse(claim).expect("a claim");
    let grid = model.zones[0].controls.settings.grid;
    let replayed = replay(model, HALL, moves).expect("a finite list");
    let stored = stored_in_run(&replayed);
    assert_eq!(stored.len(), moves.len(), "{claim}: one row a move");
    let last = stored.last().copied().unwrap_or(replayed.zones[0].controls.start);
    assert!(!parsed.holds(grid, &last), "{claim}: the run ends at {last:?}");
    for before in stored.iter().rev().skip(1) {
        assert!(parsed.holds(grid, before), "{claim}: broken before the last press");
    }
    // The search and the run agree on every state in between, too.
    let presser = Presser::new(model, HALL);
    let mut here = presser.start();
    for (step, there) in moves.iter().zip(&stored) {
        here = presser.after(&here, *step);
        assert_eq!(here, *there, "{claim}: {step:?}");
    }
    moves.len()
}

#[test]
fn counter_examples_are_shortest_and_replay_through_a_run() {
    let file = "heat: 20, cool: 24, min_deadband: 2, limits: {heat: [17, 23], cool: [21, 28]}";
    let auto = zone(file, "");
    // (claim, presses): from 20/24 in auto; cool goes down tick by tick while it cools.
    for (claim, presses) in [
        ("cool >= 23", 3),
        ("heat <= 22", 5),
        ("cool - heat <= 4", 1),
        // Two moves apart are needed on each side of a gap that ends below 3.
        ("cool - heat >= 3", 3),
        // Heat down to 17 is six presses, cool up to 28 is eight.
        ("cool - heat < 11", 14),
        ("power = on", 1),
        ("mode != cool", 4),
        ("mode = auto and power = on", 1),
        ("heat != 20 or cool != 24", 0),
        // Heat pushed away by cool at its lowest, and no return: 24 to 21 pushes heat to 19.
        ("heat >= 19.5 or cool > 21", 6),
    ] {
        assert_eq!(broken_and_replayed(&auto, claim), presses, "{claim}");
    }
    let heating = zone(&format!("{file}, mode: heat"), ", modes: [heat, cool]");
    assert_eq!(broken_and_replayed(&heating, "cool >= 23"), 1 + 3);
    let group =
        follower("heat: 20, cool: 24, min_deadband: 2, limits: {heat: [17, 23], cool: [21, 28]}");
    assert_eq!(broken_and_replayed(&group, "cool >= 22 or heat <= 18"), 5);
    assert_eq!(broken_and_replayed(&group, "mode = auto"), 1);
}

#[test]
fn time_may_switch_a_zone_off_and_then_a_locked_power_key_leaves_no_way_back() {
    let controls = "heat: 20, cool: 24, auto_off: 9 h, controllers: [{id: main, primary: true, \
                    key_locks: {keys: [power], in_force: true}}]";
    let locked = zone(controls, "");
    assert_eq!(broken_and_replayed(&locked, "power = on"), 1);
    let reach = reached(&locked, &[]);
    // Every state with the power off: as many as with it on.
    assert_eq!(2 * reach.no_way_back, reach.states);
    assert_eq!(broken_and_replayed(&locked, "power = on or heat > 19.5"), 2);
    let twice = zone("heat: 20, cool: 24, auto_off: 9 h", "");
    assert_eq!(broken_and_replayed(&twice, "power = on"), 1);
}

#[test]
fn what_holds_is_proved() {
    let model = zone(
        "heat: 20, cool: 24, min_deadband: 2, limits: {heat: [17, 23], cool: [21, 28]}, locked_modes: \
         [fan], controllers: [{id: main, primary: true, key_locks: {keys: [power], in_force: true}}]",
        "",
    );
    let claims = [
        "cool - heat >= 2",
        "heat >= 17 and heat <= 23 and cool >= 21 and cool <= 28",
        "power = on",
        "mode != fan",
        "not (heat = 23 and cool < 25)",
    ];
    assert!(reached(&model, &claims).proofs.iter().all(|proof| *proof == Proof::Holds));
}

/// Where nobody may press a setpoint, the clock alone moves them (rule 17); an open window moves
/// nothing that is stored.
#[test]
fn setpoints_that_go_back_by_the_clock_are_a_move_and_windows_are_none() {
    let locked =
        "controllers: [{id: main, primary: true, key_locks: {keys: [setpoint], in_force: true}}]";
    let plain = format!("heat: 20, cool: 24, min_deadband: 2, {locked}");
    let returns = "return_at: [\"18:00\"], return_to: {heat: 23}";
    let window = "window_contact: {does: off}";
    let claims = ["cool <= 24", "heat <= 23 and cool <= 25"];
    let still = reached(&zone(&format!("{plain}, {window}"), ""), &claims);
    assert_eq!(still.pairs.len(), 1);
    assert!(still.proofs.iter().all(|proof| *proof == Proof::Holds));
    let model = zone(&format!("{plain}, {returns}"), "");
    let moved = reached(&model, &claims);
    // Heat 23 pushes cool to 25, and nothing brings it back.
    assert_eq!(moved.pairs.len(), 2);
    assert_eq!(moved.proofs, [Proof::Broken(vec![Move::GoesBack]), Proof::Holds]);
    let run = replay(&model, HALL, &[Move::GoesBack]).expect("it can be replayed");
    let finished = simulate(&run, Keep::Steps);
    let last = finished.rows.last().expect("rows");
    assert_eq!((last.heat, last.cool), (23.0, 25.0));
}

#[test]
fn nothing_is_proved_where_not_all_was_looked_at() {
    let model = zone("heat: 20, cool: 24", "");
    let claim = Claim::parse("heat >= 10").expect("a claim");
    let reach = explore(&model, HALL, &[claim], 100, &mut |_| {});
    assert!(!reach.is_complete);
    assert_eq!((reach.states, &reach.proofs[0]), (100, &Proof::Undecided));
}

#[test]
fn keys_that_do_nothing_are_counted_at_every_controller() {
    // One mode, one pair, the power key locked at one of two controllers.
    let model = zone(
        "heat: 20, cool: 24, limits: {heat: [20, 20], cool: [24, 24]}, controllers: [{id: a, primary: \
         true, key_locks: {keys: [power], in_force: true}}, {id: b}]",
        ", modes: [heat]",
    );
    let reach = reached(&model, &[]);
    assert_eq!(reach.states, 2);
    let of = |key: Key| *reach.keys.iter().find(|effect| effect.key == key).expect("all keys");
    // Two states and two controllers: four presses. With the power on warmer runs into its limit.
    let warmer = of(Key::Warmer);
    assert_eq!((warmer.presses, warmer.idle, warmer.limited, warmer.refused), (4, 4, 2, 0));
    let power = of(Key::Power);
    assert_eq!((power.presses, power.idle, power.refused), (4, 2, 2));
    assert_eq!(of(Key::Mode).idle, 4);
}

#[test]
fn the_worst_press_is_the_one_that_is_hardest_to_undo() {
    // In heat alone: a push moves cool for ever.
    let model = zone(
        "heat: 20, cool: 22, min_deadband: 2, mode: heat, controllers: [{id: main, primary: true, \
         key_locks: {keys: [power], in_force: true}}]",
        ", modes: [heat]",
    );
    let worst = reached(&model, &[]).worst.expect("there are presses");
    let expected =
        Move::Press { key: Key::Warmer, controller: ControllerIndex::new(0), direction: None };
    assert_eq!((worst.step, worst.undone_by), (expected, None));
}

/// From fan a follower returns to following: the mode that it then stores is another, and works
/// no other way.
#[test]
fn a_follower_that_leaves_fan_is_where_it_was() {
    let locks = "controllers: [{id: main, primary: true, key_locks: {keys: [setpoint, power], in_force: true}}]";
    for mode in ["auto", "cool", "fan"] {
        let reach = reached(&follower(&format!("heat: 20, cool: 24, mode: {mode}, {locks}")), &[]);
        let worst = reach.worst.expect("the mode key leads somewhere");
        assert_eq!((reach.no_way_back, worst.undone_by), (0, Some(1)), "{mode}: {worst:?}");
    }
    // In a zone of its own the mode key has to go round.
    let own = zone(&format!("heat: 20, cool: 24, mode: auto, {locks}"), "");
    assert_eq!(reached(&own, &[]).worst.expect("a press").undone_by, Some(4));
}

fn cli(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_setband")).args(arguments).output().expect("it starts")
}

#[test]
fn the_command_proves_draws_and_tells_by_its_exit_code() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("hall.yaml");
    let text = "period: {from: 2025-04-16}\nweather: {design_day: {high: 18, range: 11}}\nzones:\n  \
                hall:\n    space: {floor: 60 m2}\n    unit: {heating: 6 kW, cooling: 5 kW}\n    \
                controls: {heat: 20, cool: 24, min_deadband: 2, limits: {heat: [17, 23], cool: [21, \
                28]}}\n";
    std::fs::write(&file, text).expect("written");
    let (file, out) = (file.display().to_string(), folder.path().join("out"));
    let out = out.display().to_string();
    for (claim, exit) in [("cool >= 21", 0), ("cool >= 23", 1), ("cool >=", 2)] {
        let done = cli(&["reach", &file, "--out", &out, "--prove", claim]);
        assert_eq!(done.status.code(), Some(exit), "{claim}");
    }
    let done = cli(&["reach", &file, "--out", &out, "--json", "--prove", "cool >= 23"]);
    let value: serde_json::Value = serde_json::from_slice(&done.stdout).expect("JSON");
    let hall = &value["zones"]["hall"];
    assert_eq!(hall["cool"], serde_json::json!({ "low": 21.0, "high": 28.0 }));
    assert_eq!(hall["heat"], serde_json::json!({ "low": 17.0, "high": 23.0 }));
    // Pairs with a gap of at least 2: counted by hand, heat by heat: 13 columns of 15 values less
    // what the deadband takes above heat 19.
    let legal: usize = (34..=46).map(|heat: usize| 56 + 1 - (heat + 4).max(42)).sum();
    assert_eq!(hall["pairs"].as_array().map(Vec::len), Some(legal));
    assert_eq!(hall["states"].as_u64(), Some(legal as u64 * 10));
    let proof = &value["proofs"][0];
    assert_eq!((&proof["claim"], &proof["holds"]), (&"cool >= 23".into(), &false.into()));
    assert_eq!(proof["presses"].as_array().map(Vec::len), Some(3));
    assert_eq!(proof["presses"][0]["press"], "cooler");
    let picture = std::fs::read_to_string(folder.path().join("out/reach_hall.svg")).expect("drawn");
    assert!(picture.contains("class=\"reachable\"") && picture.contains("cool setpoint"));
    assert!(
        std::fs::metadata(folder.path().join("out/reach_hall.png")).is_ok_and(|it| it.len() > 1000)
    );
    assert_eq!(cli(&["reach", &file, "--out", &out, "--zone", "hal"]).status.code(), Some(2));
}
