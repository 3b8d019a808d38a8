//! Rule 9: whatever is sensed, selected and served.

use proptest::prelude::*;
use proptest::sample::select;
use setband::control::{
    Call, Differential, Direction, Mode, Selection, Thermostat, ThermostatState, WorkingSetpoints,
};
use setband::time::{Instant, Seconds};

/// One step: what is sensed, what is selected, whether the plant serves a call.
#[derive(Clone, Copy, Debug)]
struct Step {
    sensed: f64,
    selection: Selection,
    plant_serves: bool,
}

fn directions() -> impl Strategy<Value = Direction> {
    select(Direction::BOTH.to_vec())
}

prop_compose! {
    fn thermostats()(
        start in 0..8_i32, stop in 0..8_i32, delay in 0..20_i64, on in 0..12_i64, off in 0..8_i64,
    ) -> Thermostat {
        Thermostat {
            call_start: Differential {
                heating: f64::from(start) / 4.0,
                cooling: f64::from(start + 1) / 4.0,
            },
            call_stop: Differential::same(f64::from(stop) / 4.0),
            changeover_delay: Seconds::minutes(delay),
            min_on: Seconds::minutes(on),
            min_off: Seconds::minutes(off),
        }
    }
}

fn setpoints() -> impl Strategy<Value = WorkingSetpoints> {
    (36..48_i32, 0..8_i32).prop_map(|(heat, gap)| {
        WorkingSetpoints::new(f64::from(heat) / 2.0, f64::from(heat + gap) / 2.0)
    })
}

fn selections() -> impl Strategy<Value = Selection> {
    let modes = select(Mode::ALL.to_vec()).prop_map(Selection::On);
    prop_oneof![1 => Just(Selection::Off), 3 => Just(Selection::On(Mode::Auto)), 3 => modes]
}

/// Stretches of steps with one selection, so that timers have time to run.
fn days() -> impl Strategy<Value = Vec<Step>> {
    let sensed = (56..112_i32).prop_map(|quarters| f64::from(quarters) / 4.0);
    let moment = (sensed, prop::bool::weighted(0.8), 1..5_usize);
    let stretch = (selections(), prop::collection::vec(moment, 1..12));
    prop::collection::vec(stretch, 1..8).prop_map(|stretches| {
        let mut steps = Vec::new();
        for (selection, moments) in stretches {
            for (sensed, plant_serves, times) in moments {
                steps.extend(std::iter::repeat_n(Step { sensed, selection, plant_serves }, times));
            }
        }
        steps
    })
}

/// What the test remembers of a run, apart from the thermostat's own memory.
#[derive(Default)]
struct Log {
    call_ended: Option<Instant>,
    first_served: Option<Instant>,
    served_until: [Option<Instant>; 2],
    last_served: Option<Direction>,
}

fn passed(since: Option<Instant>, length: Seconds, now: Instant) -> bool {
    since.is_none_or(|since| now.since(since) >= length)
}

/// A thermostat with the settings and setpoints that it works under.
struct Zone {
    settings: Thermostat,
    at: WorkingSetpoints,
}

impl Zone {
    fn starts(&self, direction: Direction, step: &Step) -> bool {
        self.settings.starts(direction, step.sensed, self.at)
    }

    /// The call of the step before may end for these reasons only, and must end for them.
    fn must_end(
        &self,
        log: &Log,
        call: Direction,
        turned: Direction,
        step: &Step,
        now: Instant,
    ) -> bool {
        let taken = !step.selection.allows(call) || turned != call;
        let run = log.first_served.is_none_or(|since| now.since(since) >= self.settings.min_on);
        taken || run && self.settings.ends(call, step.sensed, self.at)
    }

    /// The direction that rule 9 asks for, given whether a call of the step before goes on.
    fn direction(
        &self,
        log: &Log,
        old: Direction,
        calls: bool,
        step: &Step,
        now: Instant,
    ) -> Direction {
        let Selection::On(mode) = step.selection else {
            return old;
        };
        let waited = passed(log.served_until[old as usize], self.settings.changeover_delay, now);
        let opposite = self.starts(old.opposite(), step) && !self.starts(old, step);
        match mode {
            Mode::Heat => Direction::Heating,
            Mode::Cool | Mode::Dry => Direction::Cooling,
            Mode::Auto if waited && opposite && !calls => old.opposite(),
            Mode::Auto | Mode::Fan => old,
        }
    }
}

fn check_step(
    zone: &Zone,
    log: &mut Log,
    before: &ThermostatState,
    after: &ThermostatState,
    step: &Step,
    now: Instant,
) -> Result<(), TestCaseError> {
    let (old_call, new_call) = (before.call().direction(), after.call().direction());
    // Never a call that mode, power or direction forbid.
    if let Some(direction) = new_call {
        prop_assert!(step.selection.allows(direction));
        prop_assert_eq!(direction, after.direction());
    }
    // A mode with one direction has it before its calls are looked at.
    let led = match step.selection {
        Selection::On(mode) => mode.only_direction().unwrap_or(before.direction()),
        Selection::Off => before.direction(),
    };
    let ended = old_call.is_some_and(|call| zone.must_end(log, call, led, step, now));
    let goes_on = old_call.is_some() && !ended;
    if ended {
        log.call_ended = Some(now);
        log.first_served = None;
    }
    prop_assert_eq!(after.direction(), zone.direction(log, before.direction(), goes_on, step, now));
    let starts = passed(log.call_ended, zone.settings.min_off, now)
        && step.selection.allows(after.direction())
        && zone.starts(after.direction(), step);
    prop_assert_eq!(new_call.is_some(), goes_on || starts);
    if goes_on {
        prop_assert_eq!(new_call, old_call);
    }
    Ok(())
}

fn serve(state: &mut ThermostatState, log: &mut Log, now: Instant) -> Result<(), TestCaseError> {
    let Some(direction) = state.call().direction() else {
        return Ok(());
    };
    let end = now + Seconds::minutes(1);
    let changeover = state.note_served(direction, now, end);
    prop_assert_eq!(changeover, log.last_served == Some(direction.opposite()));
    log.last_served = Some(direction);
    log.first_served.get_or_insert(now);
    log.served_until[direction as usize] = Some(end);
    let Call::On { served_since, .. } = state.call() else {
        return Err(TestCaseError::fail("a call that is served goes on"));
    };
    prop_assert_eq!(served_since, log.first_served);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, ..ProptestConfig::default() })]

    #[test]
    fn rule_9_holds_whatever_is_sensed_and_selected(
        settings in thermostats(),
        at in setpoints(),
        direction in directions(),
        steps in days(),
    ) {
        let zone = Zone { settings, at };
        let mut state = ThermostatState::new(direction);
        let mut log = Log::default();
        for (minute, step) in (0..).zip(&steps) {
            let now = Instant::new(minute * 60);
            let before = state;
            state.settle_own(&zone.settings, step.selection, step.sensed, zone.at, now);
            state.start_what_is_wanted(&zone.settings, step.selection, step.sensed, zone.at, now);
            check_step(&zone, &mut log, &before, &state, step, now)?;
            if step.plant_serves {
                serve(&mut state, &mut log, now)?;
            }
        }
    }

    #[test]
    fn rule_10_a_led_zone_calls_only_the_way_its_group_goes(
        settings in thermostats(),
        at in setpoints(),
        led in prop::collection::vec(directions(), 60),
        steps in days(),
    ) {
        let mut state = ThermostatState::new(Direction::Heating);
        let mut ended = None;
        for ((minute, step), direction) in (0..).zip(&steps).zip(led.iter().cycle()) {
            let now = Instant::new(minute * 60);
            let before = state.call().direction();
            state.settle_in(*direction, &settings, step.selection, step.sensed, at, now);
            state.start_what_is_wanted(&settings, step.selection, step.sensed, at, now);
            let call = state.call().direction();
            prop_assert_eq!(state.direction(), *direction);
            prop_assert!(call.is_none_or(|call| call == *direction && step.selection.allows(call)));
            // A call that changed its direction ended and started: `min_off` lies between.
            if before.is_some() && call != before {
                ended = Some(now);
            }
            if call.is_some() && call != before {
                prop_assert!(passed(ended, settings.min_off, now));
                prop_assert!(settings.starts(*direction, step.sensed, at));
            }
        }
    }
}
