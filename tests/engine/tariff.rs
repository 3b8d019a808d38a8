//! Tariffs against bills worked by hand. The plant is a fan of 2 kW that schedules switch, so that
//! every kWh is known beforehand: the room needs neither heating nor cooling.

use approx::assert_relative_eq;
use setband::engine::Model;
use setband::measures::{Summary, shared_demand};
use setband::scenario::{Faults, read};
use setband::study::{Keep, simulate};

fn file(period: &str, actions: &str, tariff: &str) -> String {
    format!(
        "period: {{{period}}}\nweather: {{hours: [{}]}}\nzones:\n  shed:\n    space: {{floor: 40 m2, opaque: \
         500 W/K, start: 20}}\n    unit: {{heating: 1 kW, cooling: 1 kW, fan: 2 kW, fan_run: \
         continuous}}\n    controls: {{heat: 12, cool: 34, power: off}}\nactions:\n{actions}tariff: \
         {tariff}\n",
        ["20"; 24].join(", ")
    )
}

fn reads(text: &str) -> Result<Model, Faults> {
    read(text, "shed.yaml", &|_| Err("no files here".into())).map(|study| study.base)
}

fn summary(period: &str, actions: &str, tariff: &str) -> Summary {
    let model = reads(&file(period, actions, tariff)).unwrap_or_else(|faults| panic!("{faults}"));
    simulate(&model, Keep::Nothing).summary
}

/// On from 06:00 to 20:10 every day: 14 h 10 min of 2 kW, 28.333 kWh a day.
const ON_BY_DAY: &str = "  - {every: day, at: \"06:00\", zone: shed, role: schedule, power: on}\n  \
                         - {every: day, at: \"20:10\", zone: shed, role: schedule, power: off}\n";

#[test]
fn a_bill_by_hours_and_days_is_what_a_hand_works_out() {
    // 2025-04-17 is a Thursday: two working days and a weekend.
    let tariff = "{currency: crowns, price: [{from: \"07:00\", to: \"19:00\", days: [mon, tue, wed, \
                  thu, fri], price: 0.30}, {from: \"22:00\", to: \"07:00\", price: 0.10}, {price: \
                  0.20}]}";
    let summary = summary("from: 2025-04-17, days: 4", ON_BY_DAY, tariff);
    // A working day: 06 to 07 at 0.10, 07 to 19 at 0.30, 19 to 20:10 at 0.20, each hour 2 kWh.
    let working = 2.0 * 0.10 + 24.0 * 0.30 + 7.0 / 3.0 * 0.20;
    // At the weekend: 06 to 07 at 0.10, 07 to 20:10 at 0.20.
    let weekend = 2.0 * 0.10 + (26.0 + 1.0 / 3.0) * 0.20;
    let bill = summary.bill.as_ref().expect("a tariff");
    assert_relative_eq!(summary.energy.total_kwh, 4.0 * (28.0 + 1.0 / 3.0), epsilon = 1e-9);
    assert_relative_eq!(bill.energy, 2.0 * working + 2.0 * weekend, epsilon = 1e-9);
    assert_eq!((bill.demand, bill.currency.as_str()), (0.0, "crowns"));
    assert_relative_eq!(summary.energy.cost.expect("a tariff"), bill.energy);
    assert_eq!(summary.energy.carbon_kg, None);
}

#[test]
fn demand_is_the_highest_quarter_of_an_hour_of_each_month() {
    // Seven minutes of 2 kW from 09:10 on: 5 min fall into the quarter of 09:00, 2 min into the next.
    let short = "  - {every: [wed], at: \"09:10\", zone: shed, role: schedule, power: on}\n  - \
                 {every: [wed], at: \"09:17\", zone: shed, role: schedule, power: off}\n  - {at: \"d2 \
                 12:00\", zone: shed, role: schedule, power: on}\n  - {at: \"d2 13:00\", zone: shed, \
                 role: schedule, power: off}\n";
    // 2025-04-30 is a Wednesday, the last day of April; d2 is 1 May.
    let tariff = "{price: 0.25, demand: {price: 9}}";
    let summary = summary("from: 2025-04-30, days: 2", short, tariff);
    let bill = summary.bill.as_ref().expect("a tariff");
    let months: Vec<&str> = bill.peaks.iter().map(|peak| peak.month.as_str()).collect();
    assert_eq!(months, ["2025-04", "2025-05"]);
    let april = 2.0 * 5.0 / 15.0;
    assert_relative_eq!(bill.peaks[0].kw, april, epsilon = 1e-9);
    assert_relative_eq!(bill.peaks[1].kw, 2.0, epsilon = 1e-9);
    // One of the 30 days of April, and one of the 31 of May.
    assert_relative_eq!(bill.demand, 9.0 * (april / 30.0 + 2.0 / 31.0), epsilon = 1e-9);
    assert_relative_eq!(summary.energy.peak_kw, 2.0, epsilon = 1e-9);
    let energy = (2.0 * 7.0 / 60.0 + 2.0) * 0.25;
    assert_relative_eq!(bill.energy, energy, epsilon = 1e-9);
    assert_relative_eq!(summary.energy.cost.expect("a tariff"), energy + bill.demand);
}

#[test]
fn a_part_of_a_month_bears_its_days_share_of_the_demand_charge_and_says_so() {
    let tariff = "{price: 0.2, demand: {price: 10}}";
    let charge = |period: &str| {
        let bill = summary(period, ON_BY_DAY, tariff).bill.expect("a tariff");
        (bill.demand, bill.peaks.iter().map(|it| (it.days, it.days_of_month)).collect::<Vec<_>>())
    };
    // 2 kW at 10 a kW: 20 a month.
    let (whole, days) = charge("from: 2025-04-01, days: 30");
    assert_relative_eq!(whole, 20.0, epsilon = 1e-9);
    assert_eq!(days, [(30, 30)]);
    let (week, days) = charge("from: 2025-04-07, days: 7");
    assert_relative_eq!(week, 20.0 * 7.0 / 30.0, epsilon = 1e-9);
    assert_eq!(days, [(7, 30)]);
    let (turn, days) = charge("from: 2025-04-24, days: 40");
    assert_relative_eq!(turn, 20.0 * (7.0 / 30.0 + 1.0 + 2.0 / 30.0), epsilon = 1e-9);
    assert_eq!(days, [(7, 30), (31, 31), (2, 30)]);
    let model = |period: &str| reads(&file(period, ON_BY_DAY, tariff)).expect("a file");
    assert_eq!(shared_demand(&model("from: 2025-04-01, days: 30")), None);
    assert_eq!(shared_demand(&model("from: 2025-04-24, days: 40")), Some((9, 60)));
    assert_eq!(shared_demand(&model("from: 2025-01-01, days: 365")), None);
}

#[test]
fn demand_is_billed_to_the_month_that_clocks_show() {
    // On from 00:15 to 00:45 by the clocks of 1 July: standard time is still in June.
    let actions = "  - {at: \"d2 00:15\", zone: shed, role: schedule, power: on}\n  - {at: \"d2 \
                   00:45\", zone: shed, role: schedule, power: off}\n";
    let clocks = "{price: 0.2, demand: {price: 9}}\ncalendar: {daylight_saving: {from: 2025-03-30, \
                  to: 2025-10-26}}";
    let peaks =
        |clocks| summary("from: 2025-06-30, days: 2", actions, clocks).bill.map(|it| it.peaks);
    let peaks = peaks(clocks).expect("a tariff");
    let charged: Vec<(&str, f64)> = peaks.iter().map(|it| (it.month.as_str(), it.kw)).collect();
    assert_eq!(charged, [("2025-06", 0.0), ("2025-07", 2.0)]);
}

#[test]
fn demand_counts_only_in_its_hours() {
    let tariff = "{price: 0.2, demand: {price: 10, from: \"20:00\", to: \"22:00\"}}";
    let summary = summary("from: 2025-04-17", ON_BY_DAY, tariff);
    let bill = summary.bill.expect("a tariff");
    // Of the quarters after 20:00 only the first ten minutes of one have power.
    assert_relative_eq!(bill.peaks[0].kw, 2.0 * 10.0 / 15.0, epsilon = 1e-9);
    assert_relative_eq!(summary.energy.peak_kw, 2.0, epsilon = 1e-9);
}

#[test]
fn steps_longer_than_a_quarter_give_the_same_bill() {
    let tariff =
        "{price: [{from: \"07:30\", to: \"08:00\", price: 1}, {price: 0}], demand: {price: 10}}";
    let actions = "  - {at: \"07:00\", zone: shed, role: schedule, power: on}\n  - {at: \"09:00\", zone: \
                   shed, role: schedule, power: off}\n";
    for step in ["60 s", "10 min", "20 min", "1 h"] {
        let bill = summary(&format!("from: 2025-04-17, step: {step}"), actions, tariff).bill;
        let bill = bill.expect("a tariff");
        assert_relative_eq!(bill.energy, 1.0, epsilon = 1e-9);
        // One day of April.
        assert_relative_eq!(bill.demand, 20.0 / 30.0, epsilon = 1e-9);
    }
}

#[test]
fn carbon_goes_by_the_hour() {
    let mut hours = vec!["0.2 kg/kWh"; 24];
    hours[6] = "500 g/kWh";
    let tariff = format!("{{price: 0.2, carbon: [{}]}}", hours.join(", "));
    let carbon = summary("from: 2025-04-17", ON_BY_DAY, &tariff).energy.carbon_kg;
    let rest = 26.0 + 1.0 / 3.0;
    assert_relative_eq!(carbon.expect("given"), 2.0 * 0.5 + rest * 0.2, epsilon = 1e-9);
}

#[test]
fn prices_that_leave_a_gap_are_a_fault_that_names_it() {
    let tariff = "{price: [{days: [mon, tue, wed, thu, fri], price: 0.3}]}";
    let faults = reads(&file("from: 2025-04-17", ON_BY_DAY, tariff)).expect_err("a gap");
    assert_eq!((faults.count(), faults.as_slice()[0].code), (1, "gap"));
    assert!(faults.to_string().contains("no price holds on sat at 00:00"), "{faults}");
    assert!(faults.to_string().contains("tariff.price"), "{faults}");
}

#[test]
fn faults_in_price_lists_are_found_where_they_stand() {
    let code = |price: &str| {
        let text = file("from: 2025-04-17", ON_BY_DAY, &format!("{{price: {price}}}"));
        let faults = reads(&text).expect_err("wrong");
        (faults.as_slice()[0].code, faults.as_slice()[0].path.clone())
    };
    assert_eq!(code("[{cost: 0.2}]").0, "missing-key");
    let from = code("[{price: 0.2, form: \"08:00\"}, {price: 0.1}]");
    assert_eq!(from, ("unknown-key", "tariff.price[0].form".to_owned()));
    let same = code("[{price: 0.2, from: \"08:00\", to: \"08:00\"}, {price: 0.1}]");
    assert_eq!(same.0, "empty-span");
    assert_eq!(code("[0.1, 0.2]").0, "wrong-kind");
    assert_eq!(code("[]").0, "wrong-kind");
    assert_eq!(code("cheap").0, "wrong-kind");
}
