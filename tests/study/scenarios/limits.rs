//! Scenarios about outdoor limits, window contacts and setpoints that go back by the clock.

use setband::control::{Direction, Opening, Role};
use setband::engine::{Doing, Entry};

use super::{at, events, run};

#[test]
fn an_open_window_is_not_heated_and_the_room_has_its_heat_back() {
    let day = run("open_window", None);
    assert_eq!((events(&day, "window from"), events(&day, "window until")), (2, 2));
    let open =
        |from: i64, to: i64| day.rows.iter().filter(move |it| (from..to).contains(&it.at.get()));
    let minutes = |hour: i64, minute: i64| 60 * (60 * hour + minute);
    // Off from two minutes after it opens until it is closed, but for the low limit late at night.
    assert!(open(minutes(9, 2), minutes(9, 45)).all(|row| row.served.is_none()));
    assert!(open(minutes(9, 45), minutes(9, 50)).any(|row| row.served.is_some()));
    assert!(events(&day, "low limit from") > 0);
    let heated = open(minutes(20, 32), minutes(23, 0)).filter(|row| row.served.is_some());
    assert!(heated.into_iter().all(|row| row.sensed < 11.0));
    // What the guest pressed meanwhile was taken.
    assert!((at(&day, 9, 50).heat - 21.5).abs() < 1e-9);
    let [no_contact, set_back] =
        ["no_contact", "set_back"].map(|name| run("open_window", Some(name)));
    let energy = |day: &setband::study::Finished| day.summary.energy.heating_kwh;
    assert!(energy(&day) < energy(&set_back) && energy(&set_back) < energy(&no_contact));
    assert!(energy(&day) < 0.75 * energy(&no_contact));
    assert_eq!(events(&no_contact, "window from"), 0);
}

#[test]
fn a_wing_neither_heats_nor_cools_between_its_outdoor_limits() {
    let [days, unlimited] = [None, Some("unlimited")].map(|name| run("school_wing", name));
    let served = |finished: &setband::study::Finished, direction, low: f64, high: f64| {
        let rows = finished.rows.iter().filter(|row| row.served == Some(direction));
        rows.filter(|row| (low..high).contains(&row.outdoor)).count()
    };
    assert_eq!(served(&days, Direction::Heating, 15.0, 50.0), 0);
    assert_eq!(served(&days, Direction::Cooling, -50.0, 18.0), 0);
    assert!(served(&days, Direction::Heating, -50.0, 15.0) > 0);
    assert!(served(&days, Direction::Cooling, 18.0, 50.0) > 0);
    assert!(served(&unlimited, Direction::Heating, 15.0, 50.0) > 0);
    let starved = |finished: &setband::study::Finished| -> f64 {
        finished.summary.zones.iter().map(|(_, zone)| zone.starved_hours).sum()
    };
    assert!(starved(&days) < 0.05 && starved(&unlimited) > 0.5);
    assert!(days.summary.group.changeovers < unlimited.summary.group.changeovers);
}

#[test]
fn setpoints_go_back_at_noon_as_requests_of_the_schedule() {
    let days = run("school_wing", None);
    let asked = days.ledger.iter().filter_map(|row| match &row.entry {
        Entry::Request { asker, what: Doing::Request(_), .. } if asker.role == Role::Schedule => {
            Some(row.at.to_string())
        }
        _ => None,
    });
    let asked: Vec<String> = asked.collect();
    // Twice a day, two setpoints, three rooms, two days.
    assert_eq!(asked.len(), 24);
    assert!(asked.iter().all(|time| time.ends_with("12:30") || time.ends_with("18:00")));
    let heat = |name, hour: i64, minute: i64| {
        let found = run("school_wing", name);
        found
            .rows
            .iter()
            .find(|row| row.zone.get() == 0 && row.at.get() == 60 * (60 * hour + minute))
            .map(|row| (row.heat, row.cool))
            .expect("a row")
    };
    let (moved, kept) = (heat(None, 12, 29), heat(Some("at_night_only"), 12, 30));
    assert_ne!(moved, (20.0, 24.0));
    assert_eq!(moved, kept);
    assert_eq!(heat(None, 12, 30), (20.0, 24.0));
}

#[test]
fn limits_and_windows_among_32_rooms() {
    let rooms = "dyehouse_32_rooms";
    let [plain, limited, aired] =
        [None, Some("outdoor_limits"), Some("open_windows")].map(|name| run(rooms, name));
    let starved = |finished: &setband::study::Finished| -> Vec<f64> {
        finished.summary.zones.iter().map(|(_, zone)| zone.starved_hours).collect()
    };
    assert!(starved(&plain).iter().sum::<f64>() > 5.0);
    assert!(starved(&limited).iter().all(|hours| *hours <= 0.0));
    // No room is any cooler for it.
    let warmest = |finished: &setband::study::Finished| {
        finished.rows.iter().map(|row| row.temperature).fold(f64::MIN, f64::max)
    };
    assert!((warmest(&limited) - warmest(&plain)).abs() < 1e-9);
    let opened = aired.ledger.iter().filter(|row| {
        matches!(row.entry, Entry::Request { what: Doing::Window(Opening::Open), .. })
    });
    assert_eq!(opened.count(), 2);
    assert_eq!((events(&aired, "window from"), events(&aired, "window until")), (2, 2));
    assert!(starved(&aired).iter().sum::<f64>() < 0.5 * starved(&plain).iter().sum::<f64>());
}
