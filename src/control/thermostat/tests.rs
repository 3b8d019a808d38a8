use super::*;
use Direction::{Cooling, Heating};

const AUTO: Selection = Selection::On(Mode::Auto);

/// A thermostat that decides once a minute and whose calls are served at once, unless a test
/// says otherwise.
struct Bench {
    settings: Thermostat,
    at: WorkingSetpoints,
    selection: Selection,
    state: ThermostatState,
    plant_serves: bool,
    changeovers: u32,
}

/// The settings that rule 9 has by default, with heat 20 and cool 24, in `auto`, heating.
fn bench() -> Bench {
    Bench {
        settings: Thermostat {
            call_start: Differential::same(0.5),
            call_stop: Differential::same(0.0),
            changeover_delay: Seconds::minutes(10),
            min_on: Seconds::ZERO,
            min_off: Seconds::minutes(3),
        },
        at: WorkingSetpoints::new(20.0, 24.0),
        selection: AUTO,
        state: ThermostatState::new(Heating),
        plant_serves: true,
        changeovers: 0,
    }
}

fn minute(number: i64) -> Instant {
    Instant::new(number * 60)
}

impl Bench {
    /// The zone decides by itself; reads `heating`, `cooling`, or `none heating` for no call and
    /// the direction that the zone has.
    fn at(&mut self, number: i64, sensed: f64) -> &'static str {
        let (settings, now) = (&self.settings, minute(number));
        self.state.settle_own(settings, self.selection, sensed, self.at, now);
        self.state.start_what_is_wanted(settings, self.selection, sensed, self.at, now);
        self.serve(number)
    }

    /// The group decides on the direction.
    fn led(&mut self, number: i64, direction: Direction, sensed: f64) -> &'static str {
        let now = minute(number);
        let settings = &self.settings;
        self.state.settle_in(direction, settings, self.selection, sensed, self.at, now);
        self.state.start_what_is_wanted(settings, self.selection, sensed, self.at, now);
        self.serve(number)
    }

    fn serve(&mut self, number: i64) -> &'static str {
        match (self.state.call().direction(), self.state.direction()) {
            (Some(direction), _) => {
                if self.plant_serves {
                    let (now, end) = (minute(number), minute(number + 1));
                    self.changeovers += u32::from(self.state.note_served(direction, now, end));
                }
                direction.name()
            }
            (None, Heating) => "none heating",
            (None, Cooling) => "none cooling",
        }
    }
}

#[test]
fn rule_9_calls_start_and_end_on_their_thresholds() {
    let Bench { settings, at, .. } = bench();
    let settings = Thermostat { call_stop: Differential::same(0.25), ..settings };
    for (sensed, starts) in [(19.5, true), (19.51, false), (19.0, true)] {
        assert_eq!(settings.starts(Heating, sensed, at), starts, "{sensed}");
    }
    for (sensed, starts) in [(24.5, true), (24.49, false), (25.0, true)] {
        assert_eq!(settings.starts(Cooling, sensed, at), starts, "{sensed}");
    }
    for (sensed, ends) in [(20.25, true), (20.24, false), (23.0, true)] {
        assert_eq!(settings.ends(Heating, sensed, at), ends, "{sensed}");
    }
    for (sensed, ends) in [(23.75, true), (23.76, false), (21.0, true)] {
        assert_eq!(settings.ends(Cooling, sensed, at), ends, "{sensed}");
    }
}

#[test]
fn rule_9_comparisons_forgive_a_billionth_and_no_more() {
    let Bench { settings, at, .. } = bench();
    let (within, beyond) = (9e-10, 1.2e-9);
    assert!(settings.starts(Heating, 19.5 + within, at));
    assert!(!settings.starts(Heating, 19.5 + beyond, at));
    assert!(settings.starts(Cooling, 24.5 - within, at));
    assert!(!settings.starts(Cooling, 24.5 - beyond, at));
    assert!(settings.ends(Heating, 20.0 - within, at));
    assert!(!settings.ends(Heating, 20.0 - beyond, at));
    assert!(settings.ends(Cooling, 24.0 + within, at));
    assert!(!settings.ends(Cooling, 24.0 + beyond, at));
}

#[test]
fn rule_9_hysteresis_keeps_a_call_until_its_end() {
    let mut zone = bench();
    assert_eq!(zone.at(0, 19.6), "none heating");
    assert_eq!(zone.at(1, 19.5), "heating");
    assert_eq!(zone.at(2, 19.9), "heating");
    assert_eq!(zone.at(3, 20.0), "none heating");
    assert_eq!(zone.at(9, 19.6), "none heating");
}

#[test]
fn rule_9_after_a_call_none_starts_before_min_off() {
    let mut zone = bench();
    assert_eq!(zone.at(0, 19.0), "heating");
    assert_eq!(zone.at(5, 20.0), "none heating");
    assert_eq!(zone.at(6, 19.0), "none heating");
    assert_eq!(zone.at(7, 19.0), "none heating");
    assert_eq!(zone.at(8, 19.0), "heating");
}

#[test]
fn rule_9_a_served_call_goes_on_for_min_on() {
    let mut zone = bench();
    zone.settings.min_on = Seconds::minutes(6);
    zone.plant_serves = false;
    assert_eq!(zone.at(0, 19.0), "heating");
    // The clock starts with the first step served, not with the call.
    zone.plant_serves = true;
    assert_eq!(zone.at(2, 19.0), "heating");
    assert_eq!(zone.at(3, 25.0), "heating");
    assert_eq!(zone.at(7, 25.0), "heating");
    assert_eq!(zone.at(8, 25.0), "none heating");
}

#[test]
fn rule_9_a_call_never_served_may_end_within_min_on() {
    let mut zone = bench();
    zone.settings.min_on = Seconds::minutes(6);
    zone.plant_serves = false;
    assert_eq!(zone.at(0, 19.0), "heating");
    assert_eq!(zone.at(1, 20.0), "none heating");
}

#[test]
fn rule_9_power_mode_and_group_take_a_call_away_within_min_on() {
    for selection in [Selection::Off, Selection::On(Mode::Fan)] {
        let mut zone = bench();
        zone.settings.min_on = Seconds::minutes(6);
        assert_eq!(zone.at(0, 19.0), "heating");
        zone.selection = selection;
        assert_eq!(zone.at(1, 19.0), "none heating", "{selection:?}");
        // `min_off` runs however the call ended.
        zone.selection = AUTO;
        assert_eq!(zone.at(3, 19.0), "none heating");
        assert_eq!(zone.at(4, 19.0), "heating");
    }
    let mut led = bench();
    led.settings.min_on = Seconds::minutes(6);
    assert_eq!(led.led(0, Heating, 19.0), "heating");
    assert_eq!(led.led(1, Cooling, 19.0), "none cooling");
}

#[test]
fn rule_9_heat_and_cool_know_no_changeover_delay_but_the_compressor_timers() {
    let mut zone = bench();
    zone.selection = Selection::On(Mode::Heat);
    assert_eq!(zone.at(0, 19.0), "heating");
    zone.selection = Selection::On(Mode::Cool);
    assert_eq!(zone.at(1, 26.0), "none cooling");
    assert_eq!(zone.at(3, 26.0), "none cooling");
    assert_eq!(zone.at(4, 26.0), "cooling");
    assert_eq!(zone.changeovers, 1);
}

#[test]
fn rule_9_heat_never_cools_and_cool_and_dry_never_heat() {
    for (mode, cold, hot) in [
        (Mode::Heat, "heating", "none heating"),
        (Mode::Cool, "none cooling", "cooling"),
        (Mode::Dry, "none cooling", "cooling"),
        (Mode::Fan, "none heating", "none heating"),
    ] {
        for (sensed, reading) in [(10.0, cold), (35.0, hot)] {
            let mut zone = bench();
            zone.selection = Selection::On(mode);
            assert_eq!(zone.at(0, sensed), reading, "{mode:?} at {sensed}");
        }
    }
}

#[test]
fn rule_9_fan_and_off_keep_the_direction_that_auto_then_starts_from() {
    for rest in [Selection::Off, Selection::On(Mode::Fan)] {
        let mut zone = bench();
        zone.selection = Selection::On(Mode::Dry);
        assert_eq!(zone.at(0, 22.0), "none cooling");
        zone.selection = rest;
        assert_eq!(zone.at(1, 10.0), "none cooling", "{rest:?}");
        zone.selection = AUTO;
        assert_eq!(zone.at(2, 22.0), "none cooling", "{rest:?}");
    }
    // The stored mode counts for nothing while the power is off.
    let mut zone = bench();
    zone.selection = Selection::Off;
    assert_eq!(zone.at(0, 30.0), "none heating");
}

#[test]
fn rule_9_auto_waits_from_the_end_of_the_last_step_served() {
    let mut zone = bench();
    for number in 0..5 {
        assert_eq!(zone.at(number, 19.0), "heating");
    }
    // Service ended at minute 5; the call outlives it by three minutes.
    zone.plant_serves = false;
    assert_eq!(zone.at(7, 19.0), "heating");
    assert_eq!(zone.at(8, 25.0), "none heating");
    zone.plant_serves = true;
    assert_eq!(zone.at(14, 25.0), "none heating");
    assert_eq!(zone.at(15, 25.0), "cooling");
    assert_eq!(zone.changeovers, 1);
}

#[test]
fn rule_9_auto_that_was_never_served_turns_at_once() {
    assert_eq!(bench().at(0, 25.0), "cooling");
    // Served in the other direction only, by mode: no delay counts from that.
    let mut zone = bench();
    zone.selection = Selection::On(Mode::Cool);
    assert_eq!(zone.at(0, 25.0), "cooling");
    zone.selection = Selection::On(Mode::Heat);
    assert_eq!(zone.at(1, 22.0), "none heating");
    zone.selection = AUTO;
    assert_eq!(zone.at(4, 25.0), "cooling");
}

#[test]
fn rule_9_the_direction_may_turn_before_min_off_lets_a_call_start() {
    let mut zone = bench();
    zone.settings.changeover_delay = Seconds::ZERO;
    assert_eq!(zone.at(0, 19.0), "heating");
    assert_eq!(zone.at(1, 25.0), "none cooling");
    assert_eq!(zone.at(3, 25.0), "none cooling");
    assert_eq!(zone.at(4, 25.0), "cooling");
}

#[test]
fn rule_9_a_call_may_end_and_the_opposite_one_start_in_the_same_step() {
    let mut zone = bench();
    zone.settings.changeover_delay = Seconds::ZERO;
    zone.settings.min_off = Seconds::ZERO;
    zone.at = WorkingSetpoints::new(21.0, 21.0);
    // With no deadband only the hysteresis lies between the two: the zone swings.
    let swings = [(20.5, "heating"), (21.5, "cooling"), (20.5, "heating"), (20.9, "heating")];
    for (number, (sensed, reading)) in (0..).zip(swings) {
        assert_eq!(zone.at(number, sensed), reading, "minute {number}");
    }
    assert_eq!(zone.changeovers, 2);
}

#[test]
fn rule_9_auto_keeps_its_direction_while_its_own_start_condition_holds() {
    let mut zone = bench();
    zone.settings.call_start = Differential::same(0.0);
    zone.at = WorkingSetpoints::new(21.0, 21.0);
    zone.settings.changeover_delay = Seconds::ZERO;
    // Both conditions hold at 21.
    assert_eq!(zone.at(0, 21.0), "heating");
    assert_eq!(zone.at(1, 21.0), "none heating");
}

#[test]
fn rule_9_min_on_holds_the_direction_of_auto_as_well() {
    let mut zone = bench();
    zone.settings.min_on = Seconds::minutes(6);
    zone.settings.min_off = Seconds::ZERO;
    zone.settings.changeover_delay = Seconds::ZERO;
    assert_eq!(zone.at(0, 19.0), "heating");
    assert_eq!(zone.at(5, 25.0), "heating");
    assert_eq!(zone.at(6, 25.0), "cooling");
}

#[test]
fn rule_10_a_follower_turns_with_its_group_and_has_no_delay_of_its_own() {
    let mut zone = bench();
    assert_eq!(zone.led(0, Heating, 19.0), "heating");
    assert_eq!(zone.led(1, Cooling, 25.0), "none cooling");
    assert_eq!(zone.led(4, Cooling, 25.0), "cooling");
    assert_eq!(zone.led(5, Heating, 25.0), "none heating");
    zone.selection = Selection::On(Mode::Fan);
    assert_eq!(zone.led(9, Heating, 10.0), "none heating");
}

#[test]
fn rule_10_a_zone_in_heat_has_no_call_while_its_group_cools() {
    let mut zone = bench();
    zone.selection = Selection::On(Mode::Heat);
    assert_eq!(zone.led(0, Cooling, 10.0), "none cooling");
    assert_eq!(zone.led(1, Cooling, 30.0), "none cooling");
    assert_eq!(zone.led(2, Heating, 10.0), "heating");
}

#[test]
fn rule_9_a_changeover_is_a_step_served_the_other_way_than_the_last_served_one() {
    let mut state = ThermostatState::new(Heating);
    let mut served =
        |direction, number| state.note_served(direction, minute(number), minute(number + 1));
    let order = [Cooling, Cooling, Heating, Heating, Cooling];
    let counted: Vec<bool> =
        (0..).zip(order).map(|(at, direction)| served(direction, at)).collect();
    assert_eq!(counted, [false, false, true, false, true]);
    assert_eq!(state.served_until(Cooling), Some(minute(5)));
    assert_eq!(state.served_until(Heating), Some(minute(4)));
}

#[test]
fn the_distance_to_the_end_of_a_call_has_the_sign_of_the_demand() {
    let Bench { settings, at, .. } = bench();
    let settings = Thermostat { call_stop: Differential::same(0.25), ..settings };
    for (direction, sensed, distance) in [
        (Heating, 19.0, 1.25),
        (Heating, 20.5, -0.25),
        (Cooling, 25.0, 1.25),
        (Cooling, 23.5, -0.25),
    ] {
        approx::assert_relative_eq!(
            settings.distance_to_end(direction, at).of(-direction.sign() * sensed),
            distance
        );
    }
}
