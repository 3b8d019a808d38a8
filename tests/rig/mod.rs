//! Models built in code: settings, presses, expected readings. Everything here is invented.

pub(crate) mod given;

pub(crate) use given::Given;

use std::sync::Arc;

use jiff::civil::date;
use setband::building::{Neighbour, ZoneIndex};
use setband::control::{
    ControllerIndex, Direction, GroupChange, GroupSettings, Key, ModePolicy, OwnerOff, Request,
    Role, SettingsChange, Sharing,
};
use setband::engine::{
    Action, Change, Doing, Entry, LedgerRow, Model, OutdoorGroup, StepRow, Zone,
};
use setband::plant::{CapacityPoint, CapacityTable, OutdoorUnit};
use setband::report::request_words;
use setband::study::{Finished, Keep, simulate};
use setband::time::{Instant, Period, Seconds};
use setband::units::TemperatureUnit;
use setband::weather::Weather;

/// The steps of most tests.
pub(crate) const MINUTE: Seconds = Seconds::minutes(1);

/// So many minutes after midnight of the first day.
pub(crate) const fn minute(minutes: i64) -> Instant {
    Instant::new(60 * minutes)
}

/// A model of these zones, each with a plant of its own, over one day in steps of a minute.
pub(crate) fn model(outdoor: f64, zones: Vec<Zone>) -> Model {
    Model {
        title: "rig".into(),
        variant: None,
        unit: TemperatureUnit::Celsius,
        period: period(1, MINUTE),
        seed: 1,
        weather: steady(outdoor),
        site: None,
        sky: setband::weather::Sky::default(),
        humidity: setband::engine::Humidity::Constant(50.0),
        zones,
        neighbours: Vec::new(),
        outdoor_units: Vec::new(),
        actions: Vec::new(),
        people: Vec::new(),
        log: None,
        tariff: None,
        almanac: std::sync::Arc::default(),
    }
}

/// So many days from Wednesday, 2025-04-16.
pub(crate) fn period(days: i64, step: Seconds) -> Period {
    Period::new(date(2025, 4, 16), days, step).expect("the test gives a step that divides a day")
}

/// The same outdoor temperature always.
pub(crate) fn steady(outdoor: f64) -> Weather {
    Weather::Hours(Box::new([outdoor; 24]))
}

/// A door between two zones.
pub(crate) fn door(one: usize, other: usize, conductance: f64) -> Neighbour {
    Neighbour { one: ZoneIndex::new(one), other: ZoneIndex::new(other), conductance }
}

/// Capacity and COP that no outdoor temperature changes.
pub(crate) fn flat(capacity: f64, cop: f64) -> CapacityTable {
    CapacityTable::new(vec![CapacityPoint { outdoor: 0.0, capacity, cop }]).expect("one point")
}

/// An outdoor unit with ample capacity, the COPs of [`Given`], and neither losses nor timers.
pub(crate) fn outdoor_unit() -> OutdoorUnit {
    OutdoorUnit {
        simultaneous: false,
        heating: Some(flat(1e6, 3.2)),
        cooling: Some(flat(1e6, 3.4)),
        part_load: None,
        lowest_output: 0.0,
        standby: 0.0,
        reversal_time: Seconds::ZERO,
        min_off: Seconds::ZERO,
        heating_lockout: None,
        cooling_lockout: None,
        defrost: None,
        defrost_cycle: None,
        backup: None,
    }
}

/// Puts all zones of a model on one outdoor unit.
pub(crate) fn grouped(mut model: Model, unit: OutdoorUnit, sharing: Sharing) -> Model {
    let settings = GroupSettings { sharing, min_off: unit.min_off };
    model.outdoor_units = vec![OutdoorGroup {
        id: "roof".into(),
        label: "Roof".into(),
        zones: (0..model.zones.len()).map(ZoneIndex::new).collect(),
        unit,
        settings,
        direction: Direction::Heating,
        outdoor_limits: setband::control::OutdoorLimits::NONE,
    }];
    model
}

/// The first zone decides and holds its direction while it is off.
pub(crate) fn owned() -> Sharing {
    Sharing::SingleMode {
        policy: ModePolicy::Owner,
        owner: 0,
        owner_off: OwnerOff::Hold,
        changeover_delay: Seconds::minutes(10),
    }
}

/// A policy without an owner.
pub(crate) fn by(policy: ModePolicy, changeover_delay: Seconds) -> Sharing {
    Sharing::SingleMode { policy, owner: 0, owner_off: OwnerOff::Hold, changeover_delay }
}

/// An occupant asks at the primary controller.
pub(crate) fn asks(at: Instant, zone: usize, request: Request) -> Action {
    acts(at, zone, Role::Occupant, Doing::Request(request))
}

/// An occupant presses a key.
pub(crate) fn presses(at: Instant, zone: usize, key: Key) -> Action {
    asks(at, zone, Request::Press(key))
}

/// A technician changes settings.
pub(crate) fn sets(
    at: Instant,
    zone: usize,
    zone_change: SettingsChange,
    group: GroupChange,
) -> Action {
    let change = Change { words: "new settings".into(), zone: zone_change, group };
    acts(at, zone, Role::Technician, Doing::Set(Arc::new(change)))
}

/// Anybody does anything.
pub(crate) fn acts(at: Instant, zone: usize, role: Role, what: Doing) -> Action {
    let controller = ControllerIndex::new(0);
    let by = "somebody".into();
    Action { at, place: Some(0), zone: ZoneIndex::new(zone), controller, by, role, what }
}

/// A finished run with all its rows.
pub(crate) fn run(model: &Model) -> Finished {
    simulate(model, Keep::Steps)
}

/// The rows of one zone.
pub(crate) fn rows_of(finished: &Finished, zone: usize) -> Vec<StepRow> {
    let rows: Vec<StepRow> =
        finished.rows.iter().filter(|row| row.zone.get() == zone).copied().collect();
    assert!(!rows.is_empty(), "a run without rows checks nothing");
    rows
}

/// The row of one zone at an instant.
pub(crate) fn row_at(finished: &Finished, zone: usize, at: Instant) -> StepRow {
    let found = finished.rows.iter().find(|row| row.at == at && row.zone.get() == zone);
    *found.expect("the run has a step then")
}

/// A ledger row in short: `08:40 desk heat 21.5: pushed`, `12:00 changeover`.
pub(crate) fn short(model: &Model, row: &LedgerRow) -> String {
    let clock = model.period.clock(row.at);
    match &row.entry {
        Entry::Request { what, outcome, .. } => {
            format!("{clock} {}: {}", request_words(what), outcome.name())
        }
        Entry::Event(kind) => format!("{clock} {}", kind.name()),
    }
}

/// The ledger of a run, each row in short.
pub(crate) fn ledger(model: &Model, finished: &Finished) -> Vec<String> {
    finished.ledger.iter().map(|row| short(model, row)).collect()
}
