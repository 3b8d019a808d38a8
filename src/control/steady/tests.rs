use super::*;
use crate::number::Four;
use crate::time::Seconds;
use proptest::prelude::*;

/// Settings, setpoints and a direction.
fn settings() -> impl Strategy<Value = (Thermostat, WorkingSetpoints, Direction)> {
    let times = (0..8_i64, 0..8_i64, 0..8_i64);
    (0..3_i32, -1..3_i32, 18..22_i32, -1..4_i32, times, any::<bool>()).prop_map(
        |(call_start, call_stop, heat, apart, (delay, on, off), heats)| {
            let thermostat = Thermostat {
                call_start: 0.5 * f64::from(call_start),
                call_stop: 0.5 * f64::from(call_stop),
                changeover_delay: Seconds::minutes(delay),
                min_on: Seconds::minutes(on),
                min_off: Seconds::minutes(off),
            };
            let heat = f64::from(heat);
            let at = WorkingSetpoints { heat, cool: heat + f64::from(apart) };
            (thermostat, at, if heats { Direction::Heating } else { Direction::Cooling })
        },
    )
}

/// One step of a thermostat by itself, as a zone with a plant of its own makes it: whether it has
/// a call, and whether it kept its direction, was not starved and told no changeover.
fn alone(
    state: &mut ThermostatState,
    (settings, at): (&Thermostat, WorkingSetpoints),
    selection: Selection,
    sensed: f64,
    now: Instant,
) -> (bool, bool) {
    let (direction, had) = (state.direction(), state.call().direction().is_some());
    state.settle_own(settings, selection, sensed, at, now);
    let ended = had && state.call().direction().is_none();
    let started = state.start_what_is_wanted(settings, selection, sensed, at, now);
    let on = state.call().direction().is_some();
    let turned = on && state.note_served(state.direction(), now, now + Seconds::minutes(1));
    let awake = !matches!(selection, Selection::Off | Selection::On(Mode::Fan));
    let starved = awake && !on && settings.starts(direction.opposite(), sensed, at);
    let lost = state.direction() != direction || (ended && started) || turned || starved;
    (on, !lost)
}

proptest! {
    /// Four thermostats side by side decide what each decides by itself, until one of them is
    /// reported; then it has something to do that is not done here. Nothing is missed.
    #[test]
    fn rule_9_steady_thermostats_do_what_each_does_by_itself(
        of in prop::array::uniform4((settings(), prop::sample::select(Mode::ALL.to_vec()))),
        sensed in prop::collection::vec(prop::array::uniform4(30..50_i32), 1..60),
    ) {
        let mut by_itself = of.map(|((_, _, direction), mode)| {
            ThermostatState::new(mode.only_direction().unwrap_or(direction))
        });
        let begin = |lane: usize| {
            let ((settings, at, _), mode) = &of[lane];
            by_itself[lane].steady(settings, Selection::On(*mode), *at, Instant::START)
        };
        let begun = [0, 1, 2, 3].map(|lane| begin(lane).expect("nothing is in the way at first"));
        let mut side_by_side = SteadySideBySide::<Four>::new(|lane| &begun[lane]);
        let mut steady = [true; 4];
        for (step, temperatures) in (0_i64..).zip(&sensed) {
            let now = Instant::new(60 * step);
            let temperatures = temperatures.map(|half| f64::from(half) / 2.0);
            let time = Four::splat(60.0 * step as f64);
            let found = side_by_side.step(Four::new(temperatures), time);
            for lane in 0..4 {
                let ((settings, at, _), mode) = &of[lane];
                let mut next = by_itself[lane];
                let selection = Selection::On(*mode);
                let (on, kept) =
                    alone(&mut next, (settings, *at), selection, temperatures[lane], now);
                steady[lane] &= Four::bits(found.unsteady) >> lane & 1 == 0;
                if steady[lane] {
                    prop_assert!(kept, "lane {lane}, step {step}: {next:?}");
                    prop_assert_eq!(Four::bits(found.on) >> lane & 1 == 1, on);
                    let before = by_itself[lane].call().direction().is_some();
                    let mut noted = by_itself[lane];
                    if before != on {
                        noted.note_steady(on, now);
                    }
                    if on {
                        noted.note_served(noted.direction(), now, now + Seconds::minutes(1));
                    }
                    prop_assert_eq!(noted, next);
                    by_itself[lane] = next;
                }
            }
        }
    }
}
