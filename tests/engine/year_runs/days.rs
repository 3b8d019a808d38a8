//! A year is the sum of its days where each starts from the state that the last one left.

use approx::assert_relative_eq;
use proptest::prelude::*;
use setband::control::{Occupancy, OptimumStart, Request, Side};
use setband::engine::{Model, start, start_from};
use setband::measures::{Meter, MonthMeter, Summary};
use setband::time::{ClockTime, DAY, DaySet, Instant, Seconds, Span};
use setband::weather::Weather;

use crate::rig::{Given, asks, minute, model, period};

fn office(days: i64, swing: f64, optimum: bool) -> Model {
    let clock = |text| ClockTime::parse(text).expect("a clock time");
    let open = Span::new(clock("08:00"), clock("17:30"), DaySet::WEEKDAYS).expect("not empty");
    let given = Given {
        occupancy: Occupancy::Schedule(vec![open]),
        setback: Some([3.0, 3.0, 10.0, 35.0]),
        optimum_start: optimum.then_some(OptimumStart { most: Seconds::hours(3) }),
        ..Given::default()
    };
    let mut hours = [0.0; 24];
    for (hour, value) in hours.iter_mut().enumerate() {
        let angle = (hour as f64 - 15.0) / 24.0 * std::f64::consts::TAU;
        *value = 14.0 + swing * libm::cos(angle);
    }
    let warmer = asks(minute(3 * 1440 + 605), 0, Request::Setpoint(Side::Heat, 21.0));
    Model {
        period: period(days, Seconds::minutes(5)),
        weather: Weather::Hours(Box::new(hours)),
        actions: vec![warmer],
        ..model(0.0, vec![given.zone("hall"), Given::default().zone("store")])
    }
}

/// Energy in and out, hours served, of a summary.
fn sums(summary: &Summary) -> [f64; 5] {
    let energy = &summary.energy;
    [
        energy.heat_delivered_kwh,
        energy.heat_removed_kwh,
        energy.total_kwh,
        summary.zones.iter().map(|(_, zone)| zone.served_hours).sum(),
        summary.zones.iter().map(|(_, zone)| zone.hours_outside_band).sum(),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]

    #[test]
    fn a_run_is_the_sum_of_its_days(
        days in 4_i64..9, swing in 2.0_f64..12.0, optimum in any::<bool>(),
    ) {
        let model = office(days, swing, optimum);
        let (mut whole, _) = start(&model);
        let mut state = whole.state().clone();
        let mut meter = Meter::new(&model);
        while whole.state().now < model.period.end() {
            whole.step(&mut meter);
        }
        let mut by_days = [0.0; 5];
        for day in 1..=days {
            let mut one = start_from(&model, state);
            let mut meter = Meter::new(&model);
            while one.state().now < Instant::new(day * DAY) {
                one.step(&mut meter);
            }
            let day = sums(&meter.summary(0));
            by_days.iter_mut().zip(day).for_each(|(sum, value)| *sum += value);
            state = one.state().clone();
        }
        // Nothing but the state is carried on, so the last states are the same to the last bit.
        prop_assert_eq!(&state, whole.state());
        for (together, one) in by_days.into_iter().zip(sums(&meter.summary(0))) {
            assert_relative_eq!(together, one, max_relative = 1e-9, epsilon = 1e-9);
        }
    }
}

#[test]
fn a_run_is_the_sum_of_its_months() {
    let model = office(80, 9.0, true);
    let (mut meter, mut months) = (Meter::new(&model), MonthMeter::new(&model));
    let (mut simulation, _) = start(&model);
    while simulation.state().now < model.period.end() {
        simulation.step(&mut (&mut meter, &mut months));
    }
    let (whole, months) = (meter.summary(0), months.months());
    let names: Vec<String> = months.iter().map(|month| month.month.to_string()).collect();
    // From 16 April on 80 days reach into July.
    assert_eq!(names, ["2025-04", "2025-05", "2025-06", "2025-07"]);
    let hours: Vec<f64> = months.iter().map(|month| month.hours).collect();
    assert_eq!(hours, [15.0 * 24.0, 31.0 * 24.0, 30.0 * 24.0, 4.0 * 24.0]);
    let total =
        |value: fn(&setband::measures::MonthFigures) -> f64| months.iter().map(value).sum::<f64>();
    assert_relative_eq!(
        total(|it| it.energy.total_kwh),
        whole.energy.total_kwh,
        max_relative = 1e-9
    );
    let served =
        total(|it| it.zones.iter().map(|(_, zone)| zone.heating_hours + zone.cooling_hours).sum());
    let wanted: f64 = whole.zones.iter().map(|(_, zone)| zone.served_hours).sum();
    assert_relative_eq!(served, wanted, epsilon = 1e-6);
    let electric = total(|it| it.zones.iter().map(|(_, zone)| zone.electric_kwh).sum());
    assert_relative_eq!(electric, whole.energy.total_kwh, max_relative = 1e-9);
    let changeovers: u64 = months.iter().map(|month| month.changeovers).sum();
    assert_eq!(changeovers, whole.group.changeovers);
}
