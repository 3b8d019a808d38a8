use super::*;
use crate::control::{
    Differential, Keeping, Mode, Selection, Thermostat, ThermostatState, WorkingSetpoints,
};
use crate::direction::Direction;
use crate::numbers::{Kernel, run_simd};
use crate::time::{Instant, Seconds};
use proptest::prelude::*;

/// Settings, setpoints and a direction.
fn settings() -> impl Strategy<Value = (Thermostat, WorkingSetpoints, Direction)> {
    let times = (0..8_i64, 0..8_i64, 0..8_i64);
    (0..3_i32, -1..3_i32, 18..22_i32, -1..4_i32, times, any::<bool>()).prop_map(
        |(call_start, call_stop, heat, apart, (delay, on, off), heats)| {
            let thermostat = Thermostat {
                call_start: Differential {
                    heating: 0.5 * f64::from(call_start),
                    cooling: 0.5 * f64::from(2 - call_start),
                },
                call_stop: Differential::same(0.5 * f64::from(call_stop)),
                changeover_delay: Seconds::minutes(delay),
                min_on: Seconds::minutes(on),
                min_off: Seconds::minutes(off),
            };
            let heat = f64::from(heat);
            let at = WorkingSetpoints::new(heat, heat + f64::from(apart));
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

/// A zone with a plant of its own in a mode.
fn alone_in(mode: Mode) -> Keeping {
    let selection = Selection::On(mode);
    Keeping {
        selection,
        is_awake: selection.is_awake(),
        decides: true,
        may_wait: false,
        opposite: Opposite { counts: true, in_calls: false, starved: false },
    }
}

/// At least as many as any processor has lanes.
const THERMOSTATS: usize = 16;

/// Thermostats that go through temperatures side by side.
struct SideBySide<'t> {
    begun: &'t [ThermostatLanes; THERMOSTATS],
    sensed: &'t [[f64; THERMOSTATS]],
}

impl Kernel for SideBySide<'_> {
    /// For each, in which steps it has a call and in which it reports an event, the first step lowest.
    type Result = [[u64; THERMOSTATS]; 2];

    #[inline(always)]
    fn run<V: Number>(self, token: V::Token) -> Self::Result {
        let mut result = [[0; THERMOSTATS]; 2];
        for from in (0..THERMOSTATS).step_by(V::LANES) {
            let mut thermostats =
                ThermostatLanes::<V>::from_fn(token, |lane| &self.begun[from + lane]);
            let (mut on, mut event) = (V::no_bits(token), V::no_bits(token));
            for (step, temperatures) in self.sensed.iter().enumerate() {
                let sensed = V::load(token, &temperatures[from..]);
                let found = thermostats.step(sensed, sensed.splat(60.0 * step as f64));
                on = V::set_bit(on, found.on, step);
                event = V::set_bit(event, found.event, step);
            }
            V::store_bits(on, &mut result[0][from..]);
            V::store_bits(event, &mut result[1][from..]);
        }
        result
    }
}

proptest! {
    /// Thermostats side by side decide what each decides by itself, until one of them is reported;
    /// then it has something to do that is not done here. No event is missed.
    #[test]
    fn rule_9_thermostats_in_lanes_do_what_each_does_by_itself(
        of in prop::collection::vec(
            (settings(), prop::sample::select(Mode::ALL.to_vec())),
            THERMOSTATS,
        ),
        halves in prop::collection::vec(prop::collection::vec(30..50_i32, THERMOSTATS), 1..60),
    ) {
        let row = |halves: &Vec<i32>| std::array::from_fn(|lane| f64::from(halves[lane]) / 2.0);
        let sensed: Vec<[f64; THERMOSTATS]> = halves.iter().map(row).collect();
        let mut by_itself: [ThermostatState; THERMOSTATS] = std::array::from_fn(|lane| {
            let ((_, _, direction), mode) = &of[lane];
            ThermostatState::new(mode.only_direction().unwrap_or(*direction))
        });
        let begun: [ThermostatLanes; THERMOSTATS] = std::array::from_fn(|lane| {
            let ((settings, at, _), mode) = &of[lane];
            let begun = by_itself[lane].lane(settings, &alone_in(*mode), *at, Instant::START);
            begun.expect("nothing is in the way at first")
        });
        let [on, event] = run_simd(SideBySide { begun: &begun, sensed: &sensed });
        for lane in 0..THERMOSTATS {
            let ((settings, at, _), mode) = &of[lane];
            let event_free = sensed.len().min(event[lane].trailing_zeros() as usize);
            for (step, temperatures) in (0_i64..).zip(&sensed[..event_free]) {
                let now = Instant::new(60 * step);
                let mut next = by_itself[lane];
                let selection = Selection::On(*mode);
                let (alone, kept) =
                    alone(&mut next, (settings, *at), selection, temperatures[lane], now);
                prop_assert!(kept, "lane {lane}, step {step}: {next:?}");
                let on = on[lane] >> step & 1 == 1;
                prop_assert_eq!(on, alone);
                let before = by_itself[lane].call().direction().is_some();
                let mut noted = by_itself[lane];
                if before != on {
                    noted.note_call(now, on.then_some(Some(now)));
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
