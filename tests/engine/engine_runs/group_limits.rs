//! Rule 15 in groups, at random: limits of zones and of their outdoor unit, every way to share it, any
//! course of the outdoor air.

use std::cell::Cell;

use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use setband::control::{Direction, ModePolicy, OutdoorLimits, Sharing};
use setband::engine::{Model, StepRow};
use setband::time::Seconds;
use setband::weather::Weather;

use crate::rig::{Given, by, grouped, model, outdoor_unit, owned, rows_of, run};

/// Comparisons allow for rounding by so much (rule 9).
const ROUNDING: f64 = 1e-9;

/// A zone: where it begins, its heat setpoint, its own limits.
type Room = (f64, f64, OutdoorLimits);

fn any_limits() -> impl Strategy<Value = OutdoorLimits> {
    let limit = || prop::option::of((0_u32..30).prop_map(|half| 5.0 + 0.5 * f64::from(half)));
    (limit(), limit(), 0_u32..6).prop_map(|(heat_below, cool_above, half)| OutdoorLimits {
        heat_below,
        cool_above,
        hysteresis: 0.5 * f64::from(half),
    })
}

/// A day that swings about a mean, its warmest hour anywhere.
fn any_weather() -> impl Strategy<Value = Weather> {
    (5_u32..22, 2_u32..14, 0_usize..24).prop_map(|(mean, swing, warmest)| {
        let hour = |hour: usize| {
            let away = (hour + 24 - warmest) % 24;
            let away = away.min(24 - away) as f64;
            f64::from(mean) + f64::from(swing) * (1.0 - away / 6.0)
        };
        Weather::Hours(Box::new(std::array::from_fn(hour)))
    })
}

fn any_sharing() -> impl Strategy<Value = Sharing> {
    prop::sample::select(vec![
        owned(),
        by(ModePolicy::FirstCall, Seconds::minutes(10)),
        by(ModePolicy::Majority, Seconds::ZERO),
        by(ModePolicy::LargestError, Seconds::minutes(10)),
        Sharing::Simultaneous,
    ])
}

fn any_rooms() -> impl Strategy<Value = Vec<Room>> {
    let room = (16_u32..28, 18_u32..23, any_limits())
        .prop_map(|(start, heat, limits)| (f64::from(start), f64::from(heat), limits));
    prop::collection::vec(room, 2..4)
}

fn built(rooms: &[Room], unit: OutdoorLimits, sharing: Sharing, weather: Weather) -> Model {
    let zones = rooms.iter().zip(["one", "two", "three"]).map(|((start, heat, limits), id)| {
        let mut given = Given { heat: *heat, cool: heat + 2.0, ..Given::default() };
        given.outdoor_limits = *limits;
        given.space.start = Some(*start);
        given.zone(id)
    });
    let mut machine = outdoor_unit();
    machine.simultaneous = sharing == Sharing::Simultaneous;
    let mut model = grouped(model(10.0, zones.collect()), machine, sharing);
    model.weather = weather;
    model.outdoor_units[0].outdoor_limits = unit;
    model
}

/// Whether limits allow a direction, step by step, told again from the words of the rule.
struct Allowed {
    limits: OutdoorLimits,
    before: Option<[bool; 2]>,
}

impl Allowed {
    const fn new(limits: OutdoorLimits) -> Self {
        Self { limits, before: None }
    }

    /// At the next step: heating, cooling.
    fn at(&mut self, outdoor: f64) -> [bool; 2] {
        let [heated, cooled] = self.before.unwrap_or([true, true]);
        let heating = self.limits.heat_below.is_none_or(|limit| {
            let limit = if heated { limit } else { limit - self.limits.hysteresis };
            outdoor < limit - ROUNDING
        });
        let cooling = self.limits.cool_above.is_none_or(|limit| {
            let limit = if cooled { limit } else { limit + self.limits.hysteresis };
            outdoor > limit + ROUNDING
        });
        self.before = Some([heating, cooling]);
        [heating, cooling]
    }
}

/// Which directions each zone may have in each step: those that neither its own limits nor the
/// unit's forbid.
fn allowed(model: &Model, steps: usize) -> Vec<Vec<[bool; 2]>> {
    let first = model.period.first();
    let mut unit = Allowed::new(model.outdoor_units[0].outdoor_limits);
    let mut own: Vec<Allowed> =
        model.zones.iter().map(|zone| Allowed::new(zone.controls.outdoor_limits)).collect();
    let step = model.period.step().get() as f64;
    let at = |place: usize| model.weather.outdoor(first, place as f64 * step);
    (0..steps)
        .map(|place| {
            let outdoor = at(place);
            let of_unit = unit.at(outdoor);
            let both = |own: [bool; 2]| [own[0] && of_unit[0], own[1] && of_unit[1]];
            own.iter_mut().map(|own| both(own.at(outdoor))).collect()
        })
        .collect()
}

/// What the rows of a run must be; how many steps a limit kept from a call that was wanted.
fn hold(model: &Model) -> Result<u64, TestCaseError> {
    let finished = run(model);
    let rows: Vec<Vec<StepRow>> =
        (0..model.zones.len()).map(|zone| rows_of(&finished, zone)).collect();
    let steps = rows[0].len();
    let may = allowed(model, steps);
    let sharing = model.outdoor_units[0].settings.sharing;
    let mut kept = 0;
    for at in 0..steps {
        for (zone, rows) in rows.iter().enumerate() {
            let (row, may) = (&rows[at], may[at][zone]);
            let has = |direction: Direction| may[direction as usize];
            for direction in [row.call, row.served].into_iter().flatten() {
                prop_assert!(has(direction), "{zone} {at}: {row:?}");
            }
            // Nobody starves for what a limit forbids.
            prop_assert!(!row.starved || has(row.direction.opposite()), "{zone} {at}: {row:?}");
            let heat = row.heat - 0.5;
            kept += u64::from(!has(Direction::Heating) && row.sensed < heat);
        }
        let (Sharing::SingleMode { policy, .. }, Some(before)) = (sharing, at.checked_sub(1))
        else {
            continue;
        };
        let direction = rows[0][at].direction;
        prop_assert!(rows.iter().all(|rows| rows[at].direction == direction), "{at}");
        if direction != rows[0][before].direction {
            // Somebody must want it whom no limit forbids it; under an owner that is the owner.
            let wanting = if policy == ModePolicy::Owner { 1 } else { rows.len() };
            let any = may[at][..wanting].iter().any(|may| may[direction as usize]);
            prop_assert!(any, "{at}: {direction:?} is in nobody's limits");
        }
    }
    Ok(kept)
}

#[test]
fn rule_15_no_group_turns_calls_or_starves_against_its_limits() {
    let cases = std::env::var("SETBAND_ROUNDS").ok().and_then(|it| it.parse().ok()).unwrap_or(24);
    let mut runner = TestRunner::new(Config { cases, ..Config::default() });
    let kept = Cell::new(0);
    let inputs = (any_rooms(), any_limits(), any_sharing(), any_weather());
    let held = runner.run(&inputs, |(rooms, unit, sharing, weather)| {
        let model = built(&rooms, unit, sharing, weather);
        kept.set(kept.get() + hold(&model)?);
        Ok(())
    });
    held.unwrap_or_else(|fault| panic!("{fault}"));
    assert!(kept.get() > 1000, "limits stood against hardly anybody: {} steps", kept.get());
}
