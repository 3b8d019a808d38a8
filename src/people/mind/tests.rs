use std::sync::Arc;

use super::*;
use crate::building::ZoneIndex;
use crate::control::Controllers;
use crate::people::{
    Attendance, BodyHeat, Complaining, Patience, Person, Switching, Taste, UsedKeys,
};
use crate::time::{Period, Span};
use jiff::civil::date;
use proptest::prelude::*;

const MINUTE: Seconds = Seconds::minutes(1);

/// Likes 21 give or take 1, presses every 20 minutes, never complains.
fn somebody() -> Person {
    Person {
        zone: ZoneIndex::new(0),
        name: Arc::from("ann"),
        shown: Arc::from("ann"),
        copy: 1,
        taste: Taste { prefers: 21.0, spread: 0.0, varies: 0.0, tolerance: 1.0, sensation: None },
        patience: Patience::About { mean: Seconds::minutes(20), spread: 0.0 },
        attendance: Attendance {
            spans: vec![Span::ALWAYS],
            arrival_spread: Seconds::ZERO,
            departure_spread: Seconds::ZERO,
            absent: 0.0,
            away: None,
        },
        controller: Controllers::main().primary(),
        keys: UsedKeys { setpoint: true, mode: false, power: false },
        presses: 1,
        gives_up_after: Some(3),
        gives_up_rate: 0.0,
        switching: Switching::Never,
        complaining: Complaining { after: Seconds::ZERO, rate: 0.0, kelvin_per_vote: 3.0 },
        heat: BodyHeat::default(),
    }
}

/// A room and a controller that somebody stands before.
struct Room<'p> {
    who: Occupant<'p>,
    state: PersonState,
    senses: Senses,
    /// Whether the controller shows a change after a press.
    answers: bool,
}

impl<'p> Room<'p> {
    fn of(person: &'p Person) -> Self {
        let period = Period::new(date(2025, 4, 16), 2, MINUTE).expect("valid");
        let senses = Senses {
            now: Instant::START,
            step: MINUTE,
            operative: 21.0,
            mode: Mode::Auto,
            modes: 5,
            power: Power::On,
            follows: false,
            served: None,
        };
        let who = Occupant::new(person, "hall", 1, &period);
        Self { who, state: PersonState::START, senses, answers: true }
    }

    /// What is done over so many minutes at a temperature, each with its minute.
    fn minutes(&mut self, count: i64, operative: f64) -> Vec<(i64, Intent)> {
        let mut done = Vec::new();
        self.senses.operative = operative;
        for _ in 0..count {
            self.state.attend(&self.who, self.senses.now);
            while let Some(intent) = self.state.decide(&self.who, &self.senses) {
                done.push((self.senses.now.get() / 60, intent));
                if let Intent::Press(_) = intent {
                    self.state.learn(&self.who, &self.senses, self.answers);
                }
            }
            self.senses.now = self.senses.now + MINUTE;
        }
        done
    }
}

const WARMER: Intent = Intent::Press(Key::Warmer);
const COOLER: Intent = Intent::Press(Key::Cooler);

#[test]
fn comfort_is_left_alone_and_discomfort_borne_for_the_patience() {
    let person = somebody();
    let mut room = Room::of(&person);
    assert_eq!(room.minutes(60, 20.0), []);
    assert_eq!(room.minutes(60, 22.0), []);
    assert_eq!(room.minutes(20, 19.9), []);
    // Comfort in between starts the patience anew.
    assert_eq!(room.minutes(1, 20.0), []);
    assert_eq!(room.minutes(21, 19.9), [(161, WARMER)]);
    assert_eq!(room.minutes(21, 22.1), [(182, COOLER)]);
}

#[test]
fn presses_come_in_rows_as_many_as_written() {
    let person = Person { presses: 3, ..somebody() };
    let mut room = Room::of(&person);
    assert_eq!(room.minutes(21, 18.0), [(20, WARMER); 3]);
    // A controller that shows nothing is pressed once.
    room.answers = false;
    assert_eq!(room.minutes(20, 18.9), [(40, WARMER)]);
}

#[test]
fn after_so_many_presses_without_effect_somebody_gives_up_until_comfortable() {
    let person = somebody();
    let mut room = Room::of(&person);
    room.answers = false;
    let gives_up = Intent::GiveUp(Feels::TooCold, 3);
    let done = room.minutes(300, 18.0);
    assert_eq!(done, [(20, WARMER), (40, WARMER), (60, WARMER), (80, gives_up)]);
    assert_eq!(room.minutes(1, 21.0), []);
    assert_eq!(room.minutes(21, 18.0), [(321, WARMER)]);
}

#[test]
fn a_press_that_shows_and_moves_no_room_is_without_effect_too() {
    let person = somebody();
    let mut room = Room::of(&person);
    let gives_up = Intent::GiveUp(Feels::TooCold, 3);
    let done = room.minutes(300, 18.0);
    assert_eq!(done, [(20, WARMER), (40, WARMER), (60, WARMER), (80, gives_up)]);
    // A room that follows keeps somebody pressing.
    let mut room = Room::of(&person);
    let mut pressed = 0;
    for minute in 0..200_u32 {
        pressed += room.minutes(1, 15.0 + 0.02 * f64::from(minute)).len();
    }
    assert_eq!(pressed, 9);
}

#[test]
fn the_mode_key_is_pressed_until_the_mode_can_help() {
    let keys = UsedKeys { setpoint: true, mode: true, power: false };
    let person = Person { keys, ..somebody() };
    let mut room = Room::of(&person);
    room.senses.mode = Mode::Heat;
    assert_eq!(room.minutes(21, 18.0), [(20, WARMER)]);
    room.state = PersonState::START;
    let mut pressed = Vec::new();
    room.senses.operative = 24.0;
    for _ in 0..30 {
        room.state.attend(&room.who, room.senses.now);
        while let Some(Intent::Press(key)) = room.state.decide(&room.who, &room.senses) {
            pressed.push(key);
            room.senses.mode = if room.senses.mode == Mode::Heat { Mode::Fan } else { Mode::Cool };
            room.state.learn(&room.who, &room.senses, true);
        }
        room.senses.now = room.senses.now + MINUTE;
    }
    assert_eq!((pressed, room.senses.mode), (vec![Key::Mode; 2], Mode::Cool));
    // A follower's stored mode is not what works.
    room.senses.follows = true;
    assert_eq!(room.minutes(21, 18.0).last().map(|(_, intent)| *intent), Some(WARMER));
}

#[test]
fn a_unit_that_is_off_is_switched_on_and_one_that_works_against_somebody_off() {
    let keys = UsedKeys { setpoint: true, mode: false, power: true };
    let person = Person { keys, gives_up_after: Some(1), ..somebody() };
    let mut room = Room::of(&person);
    room.senses.power = Power::Off;
    assert_eq!(room.minutes(21, 18.0), [(20, Intent::Press(Key::Power))]);
    let mut room = Room::of(&person);
    room.senses.served = Some(Direction::Heating);
    let done = room.minutes(42, 25.0);
    assert_eq!(done, [(20, COOLER), (40, Intent::Press(Key::Power))]);
    // Without a plant that works against them there is nothing to switch off.
    let mut room = Room::of(&person);
    let done = room.minutes(42, 25.0);
    assert_eq!(done, [(20, COOLER), (40, Intent::GiveUp(Feels::TooWarm, 1))]);
}

#[test]
fn somebody_left_uncomfortable_complains_once_a_day_and_only_after_a_while() {
    let complaining = Complaining { after: Seconds::hours(1), rate: 1000.0, kelvin_per_vote: 3.0 };
    let keys = UsedKeys { setpoint: false, mode: false, power: false };
    let person = Person { keys, complaining, ..somebody() };
    let mut room = Room::of(&person);
    let done = room.minutes(2 * 1440, 15.0);
    let hour = Seconds::hours(1);
    assert_eq!(done[0], (60, Intent::Complain(Feels::TooCold, hour)));
    assert_eq!(done[1], (1440, Intent::Complain(Feels::TooCold, Seconds::hours(24))));
    assert_eq!(done.len(), 2);
}

/// Over many people the share that has complained after an hour is the one the rate gives.
#[test]
fn complaints_come_at_the_rate_that_is_stated() {
    let complaining = Complaining { after: Seconds::ZERO, rate: 1.0, kelvin_per_vote: 3.0 };
    // 6 K from what is preferred are two votes.
    let expected = complaining.probability(2.0, Seconds::hours(1));
    let count = 2000_u32;
    let complained = (1..=count).filter(|copy| {
        let person = Person { complaining, copy: *copy, ..somebody() };
        let mut room = Room::of(&person);
        room.minutes(60, 15.0).iter().any(|(_, it)| matches!(it, Intent::Complain(..)))
    });
    let share = complained.count() as f64 / f64::from(count);
    // Five standard errors of a binomial share.
    let error = 5.0 * (expected * (1.0 - expected) / f64::from(count)).sqrt();
    assert!((share - expected).abs() < error, "{share} against {expected}");
}

proptest! {
    /// Whatever the room does: nobody acts while comfortable or away, and waits last as long as
    /// the spread allows.
    #[test]
    fn nobody_presses_before_their_patience_is_over(
        temperatures in prop::collection::vec(17.0..25.0_f64, 1..40),
        spread in 0.0..1.0_f64,
        seed in 0_u32..100,
        answers: bool,
    ) {
        let patience = Patience::About { mean: Seconds::minutes(10), spread };
        let person = Person { patience, copy: seed, ..somebody() };
        let mut room = Room::of(&person);
        room.answers = answers;
        let mut last_press = i64::MIN / 2;
        let shortest = 10.0 * (1.0 - spread) - 0.02;
        for temperature in temperatures {
            for (minute, intent) in room.minutes(7, temperature) {
                prop_assert!(room.who.feels(Instant::START, temperature).is_some());
                if let Intent::Press(key) = intent {
                    prop_assert_eq!(key == Key::Warmer, temperature < 21.0);
                    prop_assert!((minute - last_press) as f64 >= shortest);
                    last_press = minute;
                }
            }
        }
    }
}
