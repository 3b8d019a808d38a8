//! Rules 1 to 8 and 13: whatever is asked, by whom and in whatever order.

use proptest::prelude::*;
use proptest::sample::{select, subsequence};
use setband::control::{
    ChangeOutcome, Controller, ControllerIndex, Controllers, Direction, Display, Grid, Key,
    KeyLocks, Limits, LockableKey, Mode, ModeSet, OnConflict, Outcome, Power, Range, Request, Role,
    SetpointRules, Settings, SettingsChange, Side, Standing, Stored, Ticks, UnitModes, Verdict,
    Words, judge,
};
use setband::units::TemperatureUnit::{Celsius, Fahrenheit};

/// One thing that happens to a zone.
#[derive(Clone, Debug)]
enum Happening {
    Asks { role: Role, controller: ControllerIndex, request: Request },
    Changes(SettingsChange),
    Stands(Standing),
}

fn grids() -> impl Strategy<Value = Grid> {
    let known =
        [(Celsius, 0.1), (Celsius, 0.5), (Celsius, 1.0), (Fahrenheit, 0.5), (Fahrenheit, 1.0)];
    select(known.to_vec()).prop_filter_map("a known step", |(unit, step)| Grid::new(unit, step))
}

fn ranges(lowest: std::ops::Range<i32>) -> impl Strategy<Value = Range> {
    (lowest, 0..25_i32)
        .prop_map(|(low, width)| Range { low: Ticks::new(low), high: Ticks::new(low + width) })
}

fn limits() -> impl Strategy<Value = Limits> {
    (ranges(20..45), ranges(20..60)).prop_map(|(heat, cool)| Limits { heat, cool })
}

fn deadbands() -> impl Strategy<Value = Ticks> {
    prop_oneof![1 => Just(0), 4 => 1..12_i32].prop_map(Ticks::new)
}

fn conflicts() -> impl Strategy<Value = OnConflict> {
    select(vec![OnConflict::Push, OnConflict::Hold, OnConflict::PushAndReturn])
}

fn rules() -> impl Strategy<Value = SetpointRules> {
    (limits(), deadbands(), conflicts())
        .prop_filter_map("some pair is legal", |(limits, gap, how)| {
            SetpointRules::new(limits, gap, how).ok()
        })
}

fn mode_sets() -> impl Strategy<Value = ModeSet> {
    subsequence(Mode::ALL.to_vec(), 0..=4).prop_map(|modes| ModeSet::of(&modes))
}

fn key_locks() -> impl Strategy<Value = KeyLocks> {
    (subsequence(LockableKey::ALL.to_vec(), 0..=4), any::<bool>())
        .prop_map(|(keys, in_force)| KeyLocks::new(&keys, in_force))
}

fn directions() -> impl Strategy<Value = Direction> {
    select(Direction::BOTH.to_vec())
}

fn standings() -> impl Strategy<Value = Standing> {
    (directions(), prop::bool::weighted(0.3)).prop_map(|(direction, follows)| {
        if follows { Standing::Follower(direction) } else { Standing::Own(direction) }
    })
}

fn controllers() -> Controllers {
    let named = |id: &str| Controller { id: id.into(), offset: 0.0, key_locks: KeyLocks::NONE };
    Controllers::new(vec![(named("desk"), true), (named("window"), false)]).expect("one is primary")
}

prop_compose! {
    fn settings()(
        grid in grids(),
        converts in prop::bool::weighted(0.2),
        modes in subsequence(Mode::ALL.to_vec(), 1..=5).prop_shuffle(),
        rules in rules(),
        locked_modes in mode_sets(),
        locks in [key_locks(), key_locks()],
    ) -> Settings {
        let other = if grid.unit() == Celsius { Fahrenheit } else { Celsius };
        Settings {
            grid,
            display: converts.then(|| Display::new(grid.unit(), other)).flatten(),
            modes: UnitModes::new(modes).expect("distinct and not empty"),
            controllers: controllers(),
            rules,
            locked_modes,
            key_locks: locks.to_vec(),
        }
    }
}

/// A legal start: two parts of the way through the ranges that are left.
fn start(settings: &Settings, parts: (f64, f64), mode: usize, power: Power) -> Stored {
    let rules = &settings.rules;
    let part = |range: Range, part: f64| {
        let width = f64::from((range.high - range.low).count());
        range.hold(range.low + Grid::new(Celsius, 1.0).expect("known step").nearest(width * part))
    };
    let heat = part(rules.range(Side::Heat), parts.0);
    let setpoints = if rules.is_single() {
        rules.start_single(Side::Heat, heat).expect("inside what both share")
    } else {
        let cool = rules.range(Side::Cool);
        let left = Range { low: cool.low.max(heat + rules.deadband()), high: cool.high };
        rules.start_dual(heat, part(left, parts.1)).expect("inside the ranges")
    };
    let modes = settings.modes.as_slice();
    Stored { setpoints, mode: modes[mode % modes.len()], power }
}

fn zones() -> impl Strategy<Value = (Settings, Stored)> {
    let power = select(vec![Power::On, Power::On, Power::Off]);
    (settings(), (0.0..=1.0, 0.0..=1.0), 0..5_usize, power).prop_map(
        |(settings, parts, mode, power)| {
            let stored = start(&settings, parts, mode, power);
            (settings, stored)
        },
    )
}

/// Requests; a setpoint is asked for in tenths of a degree and often lies between two ticks.
fn requests() -> impl Strategy<Value = Request> {
    let side = select(vec![Side::Heat, Side::Cool]);
    let asked = (side, prop_oneof![20..600_i32, -200..2000_i32]);
    prop_oneof![
        4 => asked.prop_map(|(side, tenths)| Request::Setpoint(side, f64::from(tenths) / 10.0)),
        4 => select(Key::ALL.to_vec()).prop_map(Request::Press),
        2 => select(Mode::ALL.to_vec()).prop_map(Request::Mode),
        1 => select(vec![Power::On, Power::Off]).prop_map(Request::Power),
    ]
}

fn places() -> impl Strategy<Value = ControllerIndex> {
    (0..2_usize).prop_map(ControllerIndex::new)
}

prop_compose! {
    fn changes()(
        deadband in prop::option::of(deadbands()),
        heat_limits in prop::option::of(ranges(20..45)),
        cool_limits in prop::option::of(ranges(20..60)),
        on_conflict in prop::option::of(conflicts()),
        locked_modes in prop::option::of(mode_sets()),
        key_locks in prop::collection::vec((places(), key_locks()), 0..2),
    ) -> SettingsChange {
        SettingsChange { deadband, heat_limits, cool_limits, on_conflict, locked_modes, key_locks }
    }
}

fn happenings() -> impl Strategy<Value = Vec<Happening>> {
    let roles = select(vec![Role::Occupant, Role::Occupant, Role::Technician, Role::Schedule]);
    let asks = (roles, places(), requests())
        .prop_map(|(role, controller, request)| Happening::Asks { role, controller, request });
    let one = prop_oneof![
        12 => asks,
        1 => changes().prop_map(Happening::Changes),
        1 => standings().prop_map(Happening::Stands),
    ];
    prop::collection::vec(one, 1..40)
}

/// Both setpoints lie in their ranges and stand apart by the deadband (rules 2 and 3).
fn is_legal(rules: &SetpointRules, stored: &Stored) -> bool {
    let pair = &stored.setpoints;
    let inside =
        [Side::Heat, Side::Cool].iter().all(|side| rules.range(*side).has(pair.get(*side)));
    let gap = pair.cool() - pair.heat();
    inside && if rules.is_single() { gap == Ticks::ZERO } else { gap >= rules.deadband() }
}

/// What was last asked of each side, kept by the test: heat, cool.
type Asked = [Ticks; 2];

fn present(stored: &Stored) -> Asked {
    [stored.setpoints.heat(), stored.setpoints.cool()]
}

/// The side and the tick that a setpoint request wants; `None` for every other request.
fn wanted(
    settings: &Settings,
    stored: &Stored,
    standing: Standing,
    request: Request,
) -> Option<(Side, Ticks)> {
    match request {
        Request::Setpoint(side, asked) => {
            let through = |display: Display| {
                let shown = display.reads(asked, settings.grid.unit());
                display.set(shown, settings.grid).stored
            };
            Some((side, settings.display.map_or_else(|| settings.grid.nearest(asked), through)))
        }
        Request::Press(key @ (Key::Warmer | Key::Cooler)) => {
            let step = if key == Key::Warmer { Ticks::ONE } else { -Ticks::ONE };
            stored.active(standing).map(|side| (side, stored.setpoints.get(side) + step))
        }
        _ => None,
    }
}

/// Where rule 3 puts the other side once `side` is at `value`.
fn other_side(
    rules: &SetpointRules,
    side: Side,
    value: Ticks,
    before: Asked,
    asked: Asked,
) -> Ticks {
    let from = if rules.on_conflict() == OnConflict::PushAndReturn { asked } else { before };
    match side {
        _ if rules.is_single() => value,
        Side::Heat => from[1].max(value + rules.deadband()),
        Side::Cool => from[0].min(value - rules.deadband()),
    }
}

/// What rules 3 and 13 say of a setpoint request that was heard.
fn check_setpoint(
    rules: &SetpointRules,
    (side, wanted): (Side, Ticks),
    before: &Stored,
    verdict: &Verdict,
    asked: Asked,
) -> Result<(), TestCaseError> {
    let after = &verdict.after.setpoints;
    let (value, other) = (after.get(side), after.get(side.other()));
    let other_moved = other != before.setpoints.get(side.other()) && !rules.is_single();
    prop_assert_eq!(other, other_side(rules, side, value, present(before), asked));
    match verdict.outcome {
        Outcome::Accepted => prop_assert!(value == wanted && !other_moved),
        Outcome::Pushed => prop_assert!(value == wanted && other_moved),
        Outcome::Limited => prop_assert!(value != wanted),
        Outcome::Refused | Outcome::NoEffect => prop_assert!(false, "it was heard"),
    }
    if rules.on_conflict() == OnConflict::Hold {
        prop_assert!(!other_moved);
    } else {
        // Nothing but the effective range stands against a request that may push.
        prop_assert_eq!(value, rules.range(side).hold(wanted));
    }
    Ok(())
}

/// One request: what every verdict must satisfy. Gives the asked values afterwards.
fn check_request(
    settings: &Settings,
    before: &Stored,
    standing: Standing,
    (role, controller, request): (Role, ControllerIndex, Request),
    asked: Asked,
) -> Result<(Verdict, Asked), TestCaseError> {
    let verdict = judge(settings, before, standing, request, role, controller);
    let words = Words { settings, owner: Some("hall") }.reason(&verdict);
    prop_assert!(!words.trim().is_empty());
    if matches!(verdict.outcome, Outcome::Refused | Outcome::NoEffect) {
        prop_assert_eq!(verdict.after, *before);
        return Ok((verdict, asked));
    }
    let locks = settings.key_locks[controller.get()];
    prop_assert!(role != Role::Occupant || !locks.refuses(request.needs()));
    let Some((side, tick)) = wanted(settings, before, standing, request) else {
        prop_assert_eq!(verdict.after.setpoints, before.setpoints);
        prop_assert!(settings.modes.has(verdict.after.mode));
        return Ok((verdict, asked));
    };
    check_setpoint(&settings.rules, (side, tick), before, &verdict, asked)?;
    prop_assert_eq!((verdict.after.mode, verdict.after.power), (before.mode, before.power));
    let mut asked = asked;
    asked[side as usize] = verdict.after.setpoints.get(side);
    Ok((verdict, asked))
}

/// A direct request made twice leaves what it left the first time.
fn check_repeat(
    settings: &Settings,
    standing: Standing,
    (role, controller, request): (Role, ControllerIndex, Request),
    first: &Verdict,
) -> Result<(), TestCaseError> {
    if matches!(request, Request::Press(_)) {
        return Ok(());
    }
    let again = judge(settings, &first.after, standing, request, role, controller);
    prop_assert_eq!(again.after, first.after);
    let expected = match first.outcome {
        Outcome::Pushed => Outcome::Accepted,
        outcome => outcome,
    };
    // A follower that came back from fan may not ask for its mode a second time.
    let came_back = matches!((standing, request), (Standing::Follower(_), Request::Mode(_)));
    prop_assert!(again.outcome == expected || came_back && again.outcome == Outcome::Refused);
    Ok(())
}

/// Rule 8.
fn check_change(
    change: &SettingsChange,
    settings: &mut Settings,
    stored: &mut Stored,
    standing: Standing,
) -> Result<(), TestCaseError> {
    let (settings_before, before) = (settings.clone(), *stored);
    let active = before.active_or_heat(standing);
    let outcome = change.apply(settings, stored, standing);
    let words = Words { settings, owner: None };
    let reason = words.change(change, outcome, &before.setpoints, &stored.setpoints);
    prop_assert!(!reason.trim().is_empty());
    if let ChangeOutcome::Refused(_) = outcome {
        prop_assert_eq!(&*settings, &settings_before);
        prop_assert_eq!(*stored, before);
        return Ok(());
    }
    let rules = &settings.rules;
    prop_assert!(is_legal(rules, stored));
    let moved = present(stored) != present(&before);
    prop_assert_eq!(outcome == ChangeOutcome::Pushed, moved);
    prop_assert!(!moved || !is_legal(rules, &before), "a legal pair stays");
    // The active side stands wherever the new ranges let it.
    if rules.range(active).has(before.setpoints.get(active)) {
        prop_assert_eq!(stored.setpoints.get(active), before.setpoints.get(active));
    }
    prop_assert_eq!((stored.mode, stored.power), (before.mode, before.power));
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, ..ProptestConfig::default() })]

    #[test]
    fn rules_1_to_8_hold_whatever_happens(
        (settings, stored) in zones(),
        standing in standings(),
        happenings in happenings(),
    ) {
        let (mut settings, mut stored, mut standing) = (settings, stored, standing);
        let mut asked = present(&stored);
        prop_assert!(is_legal(&settings.rules, &stored));
        for happening in happenings {
            match happening {
                Happening::Stands(other) => standing = other,
                Happening::Changes(change) => {
                    let before = settings.rules;
                    check_change(&change, &mut settings, &mut stored, standing)?;
                    if change.rules_after(&before).is_ok() {
                        asked = present(&stored);
                    }
                }
                Happening::Asks { role, controller, request } => {
                    let who = (role, controller, request);
                    let (verdict, then) = check_request(&settings, &stored, standing, who, asked)?;
                    check_repeat(&settings, standing, who, &verdict)?;
                    (stored, asked) = (verdict.after, then);
                    prop_assert!(is_legal(&settings.rules, &stored));
                }
            }
        }
    }

    #[test]
    fn the_settings_that_are_refused_leave_no_legal_pair(
        limits in limits(),
        deadband in deadbands(),
        how in conflicts(),
    ) {
        let legal = |heat: i32, cool: i32| {
            let (heat, cool) = (Ticks::new(heat), Ticks::new(cool));
            let gap = cool - heat;
            let apart = if deadband == Ticks::ZERO { gap == deadband } else { gap >= deadband };
            apart && limits.heat.has(heat) && limits.cool.has(cool)
        };
        // Every pair of the ticks that the limits above can name.
        let some = (20..70).any(|heat| (20..85).any(|cool| legal(heat, cool)));
        prop_assert_eq!(SetpointRules::new(limits, deadband, how).is_ok(), some);
    }
}
