//! The outdoor unit: what it gives for what is asked.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use proptest::prelude::*;
use setband::control::{Direction, Key, Mode, Sharing};
use setband::engine::{GroupView, LedgerRow, Observer, ZoneIndex, ZoneView, run as run_watched};
use setband::plant::{
    Ask, Backup, CapacityPoint, CapacityTable, Defrost, DefrostCycle, Given as Got, OutdoorMemory,
    OutdoorUnit, PartLoadTable, Totals,
};
use setband::time::{Instant, Seconds};
use setband::weather::Weather;

use crate::rig::{
    Given, MINUTE, flat, grouped, minute, model, outdoor_unit, owned, presses, row_at, rows_of, run,
};

const ROUNDING: f64 = 1e-9;

fn ask(direction: Direction, share: f64) -> Ask {
    Ask { direction, share, sensible: 1.0, rise: 1.0, power: 1.0, full: false }
}

/// An outdoor unit on the bench: asked step by step.
struct Bench {
    unit: OutdoorUnit,
    memory: OutdoorMemory,
    now: Instant,
    step: Seconds,
    outdoor: f64,
}

impl Bench {
    fn of(unit: OutdoorUnit) -> Self {
        let memory = OutdoorMemory::default();
        Self { unit, memory, now: minute(0), step: MINUTE, outdoor: 7.0 }
    }

    fn asked(&mut self, asks: &[Option<Ask>]) -> (Vec<Got>, Totals) {
        let mut given = vec![Got::default(); asks.len()];
        let (unit, memory) = (&self.unit, &mut self.memory);
        let totals = unit.serve(memory, asks, self.outdoor, self.now, self.step, &mut given);
        self.now = self.now + self.step;
        (given, totals)
    }

    /// Heat and compressor power for one zone that heats.
    fn heats(&mut self, share: f64) -> Got {
        self.asked(&[Some(ask(Direction::Heating, share))]).0[0]
    }
}

#[test]
fn capacity_is_shared_by_the_same_fraction() {
    let mut bench = Bench::of(OutdoorUnit { heating: Some(flat(3000.0, 3.0)), ..outdoor_unit() });
    let asks =
        [4000.0, 0.0, 2000.0].map(|share| (share > 0.0).then(|| ask(Direction::Heating, share)));
    let (given, totals) = bench.asked(&asks);
    let heat: Vec<f64> = given.iter().map(|given| given.heat).collect();
    assert_abs_diff_eq!(heat[..], [2000.0, 0.0, 1000.0][..], epsilon = ROUNDING);
    assert_abs_diff_eq!(given[0].compressor, 2000.0 / 3.0, epsilon = ROUNDING);
    assert_abs_diff_eq!(totals.condenser, 3000.0, epsilon = ROUNDING);
    assert_abs_diff_eq!(totals.evaporator, 2000.0, epsilon = ROUNDING);
    assert!(!given[1].served);
}

#[test]
fn tables_are_read_at_the_middle_of_the_step_and_held_beyond_their_ends() {
    let table = |points: &[(f64, f64, f64)]| {
        let point =
            |it: &(f64, f64, f64)| CapacityPoint { outdoor: it.0, capacity: it.1, cop: it.2 };
        CapacityTable::new(points.iter().map(point).collect())
    };
    let unit = OutdoorUnit {
        heating: table(&[(-8.0, 1800.0, 2.4), (8.0, 3400.0, 3.7)]),
        ..outdoor_unit()
    };
    let mut given = Given { heating: 9000.0, ..Given::default() };
    given.space.windows = 100.0;
    let mut model = grouped(model(0.0, vec![given.zone("room")]), unit, owned());
    let hours =
        std::array::from_fn(|hour| if hour < 12 { -14.0 + 2.0 * hour as f64 } else { 10.0 });
    model.weather = Weather::Hours(Box::new(hours));
    let finished = run(&model);
    let mut checked = 0;
    for row in rows_of(&finished, 0).iter().filter(|row| row.served.is_some()) {
        let middle = model.weather.outdoor(model.period.first(), row.at.get() as f64 + 30.0);
        let part = ((middle + 8.0) / 16.0).clamp(0.0, 1.0);
        let (capacity, cop) = (1800.0 + 1600.0 * part, 2.4 + 1.3 * part);
        assert_relative_eq!(row.heat_w, capacity, max_relative = ROUNDING);
        assert_relative_eq!(row.electric_w, capacity / cop, max_relative = ROUNDING);
        checked += 1;
    }
    assert!(checked > 600, "{checked}");
}

#[test]
fn a_reversal_delivers_nothing_and_draws_three_tenths_of_the_power() {
    let unit = OutdoorUnit { reversal_time: Seconds::minutes(3), ..outdoor_unit() };
    let mut bench = Bench::of(unit.clone());
    // The first start reverses nothing.
    assert_eq!(bench.heats(3200.0).heat, 3200.0);
    let mut cools = || bench.asked(&[Some(ask(Direction::Cooling, 3400.0))]).0[0];
    for _ in 0..3 {
        let given = cools();
        assert!(given.served);
        assert_abs_diff_eq!(given.heat, 0.0, epsilon = ROUNDING);
        assert_abs_diff_eq!(given.compressor, 300.0, epsilon = ROUNDING);
    }
    assert_eq!((cools().heat, cools().compressor), (3400.0, 1000.0));

    // A step that the reversal covers in part is shared by time.
    let mut bench = Bench { step: Seconds::minutes(2), ..Bench::of(unit) };
    bench.heats(3200.0);
    let mut cools = || bench.asked(&[Some(ask(Direction::Cooling, 3400.0))]).0[0];
    cools();
    let half = cools();
    assert_abs_diff_eq!(half.heat, 1700.0, epsilon = ROUNDING);
    assert_abs_diff_eq!(half.compressor, 650.0, epsilon = ROUNDING);
    assert_eq!(cools().heat, 3400.0);
}

#[test]
fn a_reversing_step_counts_as_served_and_is_a_changeover() {
    let unit = OutdoorUnit { reversal_time: Seconds::minutes(3), ..outdoor_unit() };
    let mut given = Given { mode: Mode::Heat, heat: 24.0, cool: 26.0, ..Given::default() };
    given.modes = vec![Mode::Heat, Mode::Cool];
    given.space.mass_capacity = 1e6;
    let mut model = grouped(model(31.0, vec![given.zone("room")]), unit, owned());
    // The room stands at 20 and is heated; later it is warmer than 26.5 and is cooled.
    model.actions = vec![presses(minute(1200), 0, Key::Mode)];
    let finished = run(&model);
    let first = rows_of(&finished, 0)
        .into_iter()
        .find(|row| row.served == Some(Direction::Cooling))
        .expect("it is hot outdoors");
    for later in 0..3 {
        let row = row_at(&finished, 0, first.at + Seconds::minutes(later));
        assert_eq!((row.served, row.heat_w), (Some(Direction::Cooling), 0.0));
        assert_relative_eq!(row.electric_w, 0.3 * 3500.0 / 3.4, max_relative = ROUNDING);
    }
    let row = row_at(&finished, 0, first.at + Seconds::minutes(3));
    assert_eq!(row.heat_w, -3500.0);
    assert_eq!(finished.summary.group.changeovers, 1);
}

#[test]
fn lockouts_take_a_direction_away_beyond_their_temperature() {
    let unit =
        OutdoorUnit { heating_lockout: Some(-20.0), cooling_lockout: Some(43.0), ..outdoor_unit() };
    for (direction, outdoor, works) in [
        (Direction::Heating, -20.1, false),
        (Direction::Heating, -20.0, true),
        (Direction::Cooling, 43.0, true),
        (Direction::Cooling, 43.1, false),
        (Direction::Heating, 43.1, true),
    ] {
        let mut bench = Bench { outdoor, ..Bench::of(unit.clone()) };
        let given = bench.asked(&[Some(ask(direction, 1000.0))]).0[0];
        assert_eq!((given.served, given.heat > 0.0), (works, works), "{direction:?} {outdoor}");
        assert_eq!(given.compressor > 0.0, works);
    }
}

fn with_backup(allowed_below: Option<f64>, after: Option<Seconds>) -> OutdoorUnit {
    OutdoorUnit {
        heating: Some(flat(3000.0, 3.0)),
        backup: Some(Backup { capacity: 1500.0, allowed_below, after }),
        ..outdoor_unit()
    }
}

#[test]
fn backup_helps_below_its_temperature_and_only_with_what_is_missing() {
    let mut bench = Bench { outdoor: -6.0, ..Bench::of(with_backup(Some(-5.0), None)) };
    // The heat pump meets the load: no backup however cold.
    assert_eq!(bench.heats(3000.0).backup, 0.0);
    let given = bench.heats(4000.0);
    assert_abs_diff_eq!(given.backup, 1000.0, epsilon = ROUNDING);
    assert_abs_diff_eq!(given.heat, 4000.0, epsilon = ROUNDING);
    assert_abs_diff_eq!(given.compressor, 1000.0, epsilon = ROUNDING);
    // It has a capacity, too.
    assert_abs_diff_eq!(bench.heats(9000.0).heat, 4500.0, epsilon = ROUNDING);
    bench.outdoor = -5.0;
    assert_eq!(bench.heats(4000.0).backup, 0.0);
}

#[test]
fn backup_helps_after_a_shortfall_of_its_time_and_counts_anew_after_relief() {
    let mut bench = Bench::of(with_backup(None, Some(Seconds::minutes(30))));
    let mut helped = |share: f64, minutes: usize| -> Vec<bool> {
        (0..minutes).map(|_| bench.heats(share).backup > 0.0).collect()
    };
    let first = helped(4000.0, 32);
    assert!(first[..30].iter().all(|helped| !helped) && first[30] && first[31]);
    assert!(!helped(2000.0, 1)[0]);
    assert!(helped(4000.0, 30).iter().all(|helped| !helped));
    assert!(helped(4000.0, 1)[0]);
}

#[test]
fn defrost_takes_its_share_and_backup_may_make_up_for_it() {
    let defrost = Some(Defrost { from: -5.0, to: 5.0, capacity: 0.8, cop: 0.75 });
    let unit = OutdoorUnit { defrost, ..with_backup(Some(-15.0), None) };
    let mut bench = Bench { outdoor: 2.0, ..Bench::of(unit) };
    let given = bench.heats(3000.0);
    assert_abs_diff_eq!(given.compressor, 2400.0 / (3.0 * 0.75), epsilon = ROUNDING);
    assert_abs_diff_eq!(given.backup, 600.0, epsilon = ROUNDING);
    // What is left meets the load: no backup in defrost either.
    assert_eq!(bench.heats(2000.0).backup, 0.0);
    bench.outdoor = 5.1;
    assert_eq!(bench.heats(3000.0).backup, 0.0);
    assert_abs_diff_eq!(bench.heats(3000.0).compressor, 1000.0, epsilon = ROUNDING);
}

/// By hand: after an hour of heating at 0 C the unit defrosts for four minutes. It heats nothing,
/// takes half of its 10 kW out of the rooms in proportion to what they ask for, and draws what it drew.
#[test]
fn spells_of_defrosting_take_heat_out_of_the_rooms_that_run() {
    let cycle = DefrostCycle {
        below: 5.0,
        above: -10.0,
        every: Seconds::minutes(60),
        lasts: Seconds::minutes(4),
        from_store: false,
    };
    let unit = OutdoorUnit {
        heating: Some(flat(10_000.0, 4.0)),
        defrost_cycle: Some(cycle),
        ..outdoor_unit()
    };
    let asks = [Some(ask(Direction::Heating, 3000.0)), Some(ask(Direction::Heating, 1000.0))];
    let mut bench = Bench { outdoor: 0.0, ..Bench::of(unit.clone()) };
    for minute in 0..128 {
        let (given, _) = bench.asked(&asks);
        let defrosts = (60..64).contains(&minute) || (124..128).contains(&minute);
        let expected = if defrosts { [-3750.0, -1250.0] } else { [3000.0, 1000.0] };
        assert_eq!([given[0].heat, given[1].heat], expected, "{minute}");
        assert_abs_diff_eq!(given[0].compressor, 750.0, epsilon = ROUNDING);
    }
    // From a store the rooms lose nothing; in air too dry or too warm no ice forms.
    let stored = DefrostCycle { from_store: true, ..cycle };
    let stored = OutdoorUnit { defrost_cycle: Some(stored), ..unit.clone() };
    let mut bench = Bench { outdoor: 0.0, ..Bench::of(stored) };
    let heats: Vec<f64> = (0..64).map(|_| bench.asked(&asks).0[0].heat).collect();
    assert_eq!((heats[59], heats[60], heats[63]), (3000.0, 0.0, 0.0));
    for outdoor in [5.1, -10.1] {
        let mut bench = Bench { outdoor, ..Bench::of(unit.clone()) };
        assert!((0..200).all(|_| bench.asked(&asks).0[0].heat == 3000.0));
    }
}

#[test]
fn where_the_heat_pump_is_locked_out_backup_covers_what_it_may() {
    let unit = OutdoorUnit { heating_lockout: Some(-20.0), ..with_backup(Some(-5.0), None) };
    let mut bench = Bench { outdoor: -25.0, ..Bench::of(unit) };
    let given = bench.heats(4000.0);
    assert!(given.served);
    assert_eq!((given.heat, given.backup, given.compressor), (1500.0, 1500.0, 0.0));
}

#[test]
fn below_its_lowest_output_the_compressor_cycles_and_gives_what_is_asked_on_average() {
    for (step, asked) in [(1, 500.0), (1, 130.0), (5, 700.0), (10, 333.0)] {
        let unit = OutdoorUnit {
            heating: Some(flat(10_000.0, 3.0)),
            lowest_output: 0.2,
            min_off: Seconds::minutes(3),
            ..outdoor_unit()
        };
        let mut bench = Bench { step: Seconds::minutes(step), ..Bench::of(unit) };
        let steps = 20_000 / step;
        let (mut heat, mut starts, mut begun) = (0.0, 0, 0);
        let (mut rest, mut rests, mut ran) = (0, Vec::new(), false);
        for _ in 0..steps {
            let (given, totals) = bench.asked(&[Some(ask(Direction::Heating, asked))]);
            let given = given[0];
            heat += given.heat;
            starts += i32::from(totals.started);
            begun += i32::from(given.served && !ran);
            ran = given.served;
            if ran {
                assert_abs_diff_eq!(given.heat, 2000.0, epsilon = ROUNDING);
                if rest > 0 {
                    rests.push(rest);
                }
                rest = 0;
            } else {
                assert_eq!(given.compressor, 0.0);
                rest += step;
            }
        }
        // Off by no more than one burst and its rest over two weeks.
        assert_relative_eq!(
            heat / f64::from(i32::try_from(steps).expect("few")),
            asked,
            max_relative = 0.003
        );
        assert_eq!(starts, begun);
        assert!(
            rests.len() > 100 && rests.iter().all(|rest| *rest >= 3),
            "{asked} {}",
            rests.len()
        );
    }
}

#[test]
fn a_compressor_that_rests_rests_out_even_when_more_is_asked() {
    let unit = OutdoorUnit {
        heating: Some(flat(10_000.0, 3.0)),
        lowest_output: 0.2,
        min_off: Seconds::minutes(3),
        ..outdoor_unit()
    };
    let mut bench = Bench::of(unit);
    while bench.heats(500.0).served {}
    // One minute of the rest is over.
    let later: Vec<bool> = (0..3).map(|_| bench.heats(8000.0).served).collect();
    assert_eq!(later, [false, false, true]);
}

#[test]
fn the_part_load_factor_is_read_at_the_load_ratio_of_the_whole_unit() {
    let unit = OutdoorUnit {
        heating: Some(flat(4000.0, 4.0)),
        part_load: PartLoadTable::new(vec![(0.25, 0.8), (0.75, 1.2), (1.0, 1.0)]),
        ..outdoor_unit()
    };
    let mut bench = Bench::of(unit);
    for (share, factor) in [(500.0, 0.8), (2000.0, 1.0), (3000.0, 1.2), (4000.0, 1.0)] {
        let given = bench.heats(share);
        assert_relative_eq!(given.compressor, share / (4.0 * factor), max_relative = ROUNDING);
    }
}

#[test]
fn standby_is_drawn_always_and_shared_by_the_zones() {
    let unit = OutdoorUnit { standby: 40.0, ..outdoor_unit() };
    let zones = vec![Given::default().zone("one"), Given::default().zone("two")];
    let finished = run(&grouped(model(22.0, zones), unit, owned()));
    assert!(finished.rows.iter().all(|row| row.electric_w == 20.0));
    assert_relative_eq!(finished.summary.energy.standby_kwh, 0.96, max_relative = ROUNDING);
    assert_relative_eq!(finished.summary.energy.total_kwh, 0.96, max_relative = ROUNDING);
}

proptest! {
    #[test]
    fn condenser_is_evaporator_and_work_whatever_is_asked(
        shares in prop::collection::vec((0.0..6000.0, any::<bool>()), 1..8),
        capacities in (2000.0..20_000.0, 2000.0..20_000.0),
        cops in (1.5..6.0, 1.5..6.0),
    ) {
        let unit = OutdoorUnit {
            simultaneous: true,
            heating: Some(flat(capacities.0, cops.0)),
            cooling: Some(flat(capacities.1, cops.1)),
            ..outdoor_unit()
        };
        let way = |heats| if heats { Direction::Heating } else { Direction::Cooling };
        let asks: Vec<Option<Ask>> =
            shares.iter().map(|(share, heats)| Some(ask(way(*heats), *share))).collect();
        let (given, totals) = Bench::of(unit).asked(&asks);
        let sum = |direction| -> f64 {
            let of_way = asks.iter().zip(&given);
            let of_way = of_way.filter(|(ask, _)| ask.is_some_and(|ask| ask.direction == direction));
            of_way.map(|(_, given)| given.heat).sum()
        };
        let (warm, cold) = (sum(Direction::Heating), sum(Direction::Cooling));
        let work: f64 = given.iter().map(|given| given.compressor).sum();
        let close = |one: f64, other: f64| (one - other).abs() < 1e-6;
        prop_assert!(close(totals.condenser, totals.evaporator + totals.work));
        prop_assert!(close(totals.work, work));
        // The compressor works for the side that needs more of it.
        prop_assert!(close(work, (warm / cops.0).max(cold / cops.1)));
        // Zones get no more than passes through the coils, and no more than the tables allow.
        prop_assert!(warm <= totals.condenser + 1e-6 && cold <= totals.evaporator + 1e-6);
        prop_assert!(warm <= capacities.0 + 1e-6 && cold <= capacities.1 + 1e-6);
        // One of the coils indoors takes all that passes: the outdoor coil does one thing.
        prop_assert!(close(warm, totals.condenser) || close(cold, totals.evaporator));
        prop_assert!(totals.recovered <= warm.min(cold) + 1e-6);
        for direction in Direction::BOTH {
            let fractions: Vec<f64> = asks
                .iter()
                .zip(&given)
                .filter_map(|(ask, given)| Some((ask.filter(|ask| ask.direction == direction)?, given)))
                .filter(|(ask, _)| ask.share > 1.0)
                .map(|(ask, given)| given.heat / ask.share)
                .collect();
            prop_assert!(fractions.windows(2).all(|two| (two[0] - two[1]).abs() < 1e-9));
        }
    }
}

/// By hand: at COPs of 4 and 3.2 heating 8 kW alone needs 2 kW and cooling 8 kW 2.5 kW. Both are
/// given whole with 2.5 kW: 10.5 kW are given off, 8 kW of them into rooms and the rest outdoors; 5.5 kW
/// are moved from room to room as far as the heating goes (8 kW less the work).
#[test]
fn heating_leaves_cooling_whole() {
    let unit = OutdoorUnit {
        simultaneous: true,
        heating: Some(flat(12_000.0, 4.0)),
        cooling: Some(flat(12_000.0, 3.2)),
        ..outdoor_unit()
    };
    let asks = [Some(ask(Direction::Heating, 8000.0)), Some(ask(Direction::Cooling, 8000.0))];
    let (given, totals) = Bench::of(unit.clone()).asked(&asks);
    let heats: Vec<f64> = given.iter().map(|given| given.heat).collect();
    assert_eq!(heats, [8000.0, 8000.0]);
    assert_abs_diff_eq!(totals.work, 2500.0, epsilon = 1e-9);
    assert_abs_diff_eq!(totals.condenser, 10_500.0, epsilon = 1e-9);
    assert_abs_diff_eq!(totals.recovered, 5500.0, epsilon = 1e-9);
    // A little cooling beside much heating: the rest of the heat comes from outdoors.
    let asks = [Some(ask(Direction::Heating, 8000.0)), Some(ask(Direction::Cooling, 1000.0))];
    let (given, totals) = Bench::of(unit).asked(&asks);
    assert_eq!((given[0].heat, given[1].heat), (8000.0, 1000.0));
    assert_abs_diff_eq!(totals.evaporator, 6000.0, epsilon = 1e-9);
}

/// Adds up what the outdoor unit and the zones of a simultaneous group do.
#[derive(Default)]
struct Exchange {
    recovered: f64,
    both: usize,
}

impl Observer for Exchange {
    fn zone(&mut self, _: &ZoneView<'_>) {}
    fn group(&mut self, view: &GroupView<'_>) {
        let totals = view.totals;
        let compressor: f64 = view.powers.iter().map(|power| power.given.compressor).sum();
        assert_abs_diff_eq!(compressor, totals.work, epsilon = 1e-6);
        assert_abs_diff_eq!(totals.condenser, totals.evaporator + totals.work, epsilon = 1e-6);
        let serves = |way| view.powers.iter().any(|power| power.served == Some(way));
        self.both += usize::from(serves(Direction::Heating) && serves(Direction::Cooling));
        self.recovered += totals.recovered;
    }
    fn ledger(&mut self, _: LedgerRow) {}
    fn call_began(&mut self, _: ZoneIndex, _: Instant) {}
}

#[test]
fn a_simultaneous_group_moves_heat_from_the_warm_to_the_cold_and_starves_nobody() {
    let room = |start: f64, gain: f64| {
        let mut given = Given { control: Given::MODULATING, ..Given::default() };
        given.space.start = Some(start);
        let when = setband::time::Span::ALWAYS;
        given.gains = vec![setband::building::Gain { when, power: gain, latent: 0.0 }];
        given
    };
    let zones = vec![room(18.0, 0.0).zone("north"), room(26.0, 2500.0).zone("south")];
    let unit = OutdoorUnit { simultaneous: true, ..outdoor_unit() };
    let model = grouped(model(4.0, zones), unit, Sharing::Simultaneous);
    let mut exchange = Exchange::default();
    run_watched(&model, &mut exchange);
    assert!(exchange.both > 100 && exchange.recovered > 0.0);
    let finished = run(&model);
    assert!(finished.rows.iter().all(|row| !row.starved));
    assert_eq!(finished.summary.group.changeovers, 0);
}
