//! What holds of every run, whatever the file.

use std::collections::BTreeSet;

use setband::control::Outcome;
use setband::engine::{Entry, Model, POSSIBLE};
use setband::study::{Finished, Keep, simulate};
use setband::time::{Period, Seconds};

/// So many steps of zones are worth a simulation here.
const MOST_STEPS: i64 = 150_000;

/// The model in steps of a quarter of an hour, where its own are too many.
fn shortened(model: &Model) -> Option<Model> {
    let steps = |period: &Period| {
        let zones = i64::try_from(model.zones.len() + model.people.len()).expect("a count");
        (period.days() + 60) * period.steps_per_day() * zones
    };
    if steps(&model.period) <= MOST_STEPS {
        return Some(model.clone());
    }
    let period = model.period.in_steps_of(Seconds::minutes(15)).ok()?;
    (steps(&period) <= MOST_STEPS).then(|| Model { period, ..model.clone() })
}

/// Runs a model, if it is not too large, and holds the run to what must be so.
pub(crate) fn hold(model: &Model) {
    let Some(model) = &shortened(model) else { return };
    let finished = simulate(model, Keep::Steps);
    if finished.halt.is_some() {
        return;
    }
    rows(model, &finished);
    setpoints(model, &finished);
    requests(model, &finished);
    energy(&finished);
    directions(model, &finished);
}

/// A row for each zone and step, in order, with numbers that can be.
fn rows(model: &Model, finished: &Finished) {
    let steps = model.period.days() * model.period.steps_per_day();
    let zones = model.zones.len();
    assert_eq!(finished.rows.len(), usize::try_from(steps).expect("a count") * zones);
    for (at, row) in finished.rows.iter().enumerate() {
        assert_eq!(row.zone.get(), at % zones, "row {at}");
        let air = model.unit.to_celsius(row.temperature);
        assert!(POSSIBLE.contains(&air), "{air} C in row {at}");
        for value in
            [row.outdoor, row.operative, row.sensed, row.heat, row.cool, row.heat_w, row.electric_w]
        {
            assert!(value.is_finite(), "{row:?}");
        }
        assert!(row.electric_w >= 0.0, "{row:?}");
        assert!(row.heat <= row.cool, "heat works above cool: {row:?}");
    }
}

/// Stored setpoints keep the minimum deadband, and their limits wherever a change of settings has
/// not moved them.
fn setpoints(model: &Model, finished: &Finished) {
    for row in &finished.ledger {
        let settings = &model.zones[row.zone.get()].controls.settings;
        let changed = model.actions.iter().any(|action| {
            action.zone == row.zone && matches!(action.what, setband::engine::Doing::Set(_))
        });
        if changed {
            continue;
        }
        let (rules, after) = (&settings.rules, &row.after.setpoints);
        assert!(after.cool() - after.heat() >= rules.deadband(), "{row:?}");
        for side in [setband::control::Side::Heat, setband::control::Side::Cool] {
            let range = rules.range(side);
            let value = after.get(side);
            let begun = model.zones[row.zone.get()].controls.start.setpoints.get(side);
            let inside = range.low <= value && value <= range.high;
            assert!(inside || value == begun, "{side:?} is {value:?}: {row:?}");
        }
    }
}

/// Every action has its row, and what was refused changes nothing.
fn requests(model: &Model, finished: &Finished) {
    let mut told = 0;
    for row in &finished.ledger {
        let Entry::Request { asker, outcome, .. } = &row.entry else { continue };
        let by_people = model.people.iter().any(|person| person.shown == asker.by);
        told += usize::from(!by_people);
        if *outcome == Outcome::Refused {
            assert_eq!(row.before, row.after, "{row:?}");
        }
    }
    let named: BTreeSet<_> = model.people.iter().map(|it| &it.shown).collect();
    let asked = model.actions.iter().filter(|action| !named.contains(&action.by)).count();
    if model.people.is_empty() {
        assert_eq!(told, asked, "requests and their rows");
    }
}

/// Electricity is what its uses add up to, and none of it is less than nothing.
fn energy(finished: &Finished) {
    let energy = &finished.summary.energy;
    let uses = [
        energy.heating_kwh,
        energy.cooling_kwh,
        energy.fan_kwh,
        energy.backup_kwh,
        energy.standby_kwh,
    ];
    assert!(uses.iter().all(|kwh| kwh.is_finite() && *kwh >= 0.0), "{energy:?}");
    let sum: f64 = uses.iter().sum();
    assert!((sum - energy.total_kwh).abs() <= 1e-6 * (1.0 + sum), "{energy:?}");
    assert!(energy.heat_delivered_kwh >= 0.0 && energy.heat_removed_kwh >= 0.0, "{energy:?}");
}

/// Zones of a group that shares one direction never heat and cool in the same step.
fn directions(model: &Model, finished: &Finished) {
    let zones = model.zones.len();
    for group in &model.outdoor_units {
        if group.settings.sharing == setband::control::Sharing::Simultaneous {
            continue;
        }
        for step in finished.rows.chunks(zones) {
            let mut served: Vec<_> =
                group.zones.iter().filter_map(|zone| step[zone.get()].served).collect();
            served.dedup();
            assert!(served.len() <= 1, "{:?}: {served:?}", step[0].at);
        }
    }
}
