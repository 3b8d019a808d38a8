use super::*;
use crate::time::Seconds;
use jiff::civil::date;
use std::fmt::Write as _;
use std::iter;

const CELSIUS: TemperatureUnit = TemperatureUnit::Celsius;

fn faults(text: &str) -> Vec<String> {
    let faults = Logged::read(text, CELSIUS).expect_err("something is wrong");
    let words = |fault: &FileFault| format!("{}:{} {}", fault.line, fault.column, fault.what);
    faults.as_slice().iter().map(words).collect()
}

#[test]
fn every_fault_of_a_file_is_found_at_once() {
    let text = "time,temperature,radiation\n2025-01-01T00:00,cold,5\n2025-01-01,3,x\n\n\
                2025-01-01T02:00,1,0\n2025-01-01T01:00,1,0\n2025-01-01T03:00,99\n";
    assert_eq!(
        faults(text),
        [
            "2:18 `cold` is no temperature",
            "3:1 `2025-01-01` is no time",
            "3:14 `x` is no global radiation",
            "6:1 its time is not after the row before",
            "7:20 this row has 2 columns, and the header 3",
        ]
    );
    assert_eq!(faults("")[0], "1:1 the weather file has no rows");
    assert_eq!(faults("gusts,gusts\n").len(), 4);
    let alone = faults("time,temperature,beam\n2025-01-01T00:00,1,5\n");
    assert_eq!(alone, ["1:18 `beam` alone does not say what falls on a wall"]);
}

#[test]
fn humidity_and_radiation_come_with_the_temperatures() {
    let head = "radiation,time,humidity,temperature".to_owned();
    let rows = (0..24).map(|hour| format!("{},2025-06-21 {hour:02}:00,50,{hour}", hour * 10));
    let text = iter::once(head).chain(rows).collect::<Vec<_>>().join("\n");
    let logged = Logged::read(&text, CELSIUS).expect("right");
    let period = Period::new(date(2025, 6, 21), 1, Seconds::minutes(1)).expect("a period");
    let weather = logged.weather(&period, None, Stamp::End, None).expect("covered");
    let record = weather.record().expect("more than temperatures");
    let spells = record.light.as_ref().expect("radiation");
    assert_eq!((spells[5].from, spells[5].to), (4.0 * 3600.0, 5.0 * 3600.0));
    assert_eq!(spells[5].light, Light::Global(50.0));
    let mut course = Course::new(&weather, period.first());
    let half = 0.5 * crate::moist_air::over_water(10.0);
    let found = course.vapour(10.0 * 3600.0).expect("humidity");
    assert!((found - half).abs() < 1e-9, "{found}");
    assert_eq!(course.outdoor(10.5 * 3600.0), 10.5);
}

#[test]
fn the_stamp_says_which_time_a_mean_is_about() {
    let head = "time,temperature,beam,diffuse,dew_point,wind".to_owned();
    let rows = (0..24).map(|hour| format!("2025-06-21 {hour:02}:00,20,{hour},7,12,3"));
    let text = iter::once(head).chain(rows).collect::<Vec<_>>().join("\n");
    let logged = Logged::read(&text, CELSIUS).expect("right");
    for (stamp, from) in [(Stamp::Start, 5.0), (Stamp::Middle, 4.5), (Stamp::End, 4.0)] {
        let (first, spells) = logged.light(stamp).expect("radiation");
        assert_eq!(first, date(2025, 6, 21));
        let light = Light::Split { beam: 5.0, diffuse: 7.0 };
        let (from, to) = (from * 3600.0, (from + 1.0) * 3600.0);
        assert_eq!(spells[5], Spell { from, to, light }, "{stamp:?}");
        assert!(spells.windows(2).all(|pair| pair[0].to == pair[1].from), "{stamp:?}");
    }
    assert_eq!(logged.mean(Quantity::Wind), Some(3.0));
    assert_eq!(logged.mean(Quantity::Global), None);
    let period = Period::new(date(2025, 6, 21), 1, Seconds::minutes(1)).expect("a period");
    let weather = logged.weather(&period, None, Stamp::Middle, None).expect("covered");
    let found = Course::new(&weather, period.first()).vapour(3600.0).expect("a dew point");
    assert_eq!(found.to_bits(), crate::moist_air::over_water(12.0).to_bits());
    let fahrenheit = "time,temperature,dew_point\n2025-06-21 00:00,68,50\n";
    let logged = Logged::read(fahrenheit, TemperatureUnit::Fahrenheit).expect("right");
    assert_eq!(logged.mean(Quantity::DewPoint), Some(10.0));
}

/// Hourly rows of three days without those from 10:00 to 19:00 of the second.
fn with_a_hole() -> Logged {
    let mut text = String::from("time,temperature,radiation\n");
    for hour in (0..72_i32).filter(|hour| !(34..43).contains(hour)) {
        let (day, of_day) = (hour / 24 + 1, hour % 24);
        let _ = writeln!(text, "2025-01-0{day}T{of_day:02}:00,{},{}", hour - 20, 10 * hour);
    }
    Logged::read(&text, CELSIUS).expect("right")
}

#[test]
fn a_gap_is_told_and_nothing_is_put_there_unasked() {
    let logged = with_a_hole();
    let [gap] = logged.gaps()[..] else { panic!("{:?}", logged.gaps()) };
    let times = (gap.from.to_string(), gap.to.to_string());
    assert_eq!(times, ("2025-01-02T09:00:00".into(), "2025-01-02T19:00:00".into()));
    assert_eq!((gap.line, gap.seconds), (36, 36_000.0));
    let days: Vec<Date> = logged.days().iter().map(|(date, _)| *date).collect();
    assert_eq!(days, [date(2025, 1, 1), date(2025, 1, 3)]);
    let period =
        |day, days| Period::new(date(2025, 1, day), days, Seconds::minutes(10)).expect("a period");
    let refused = logged.weather(&period(1, 3), None, Stamp::End, None).expect_err("refused");
    assert_eq!(refused, Uncovered::Gaps(vec![gap]));
    let elsewhere = logged.weather(&period(3, 1), None, Stamp::End, None).expect("not touched");
    assert!(elsewhere.record().is_some_and(|record| record.gaps.is_empty()));
    assert_eq!(logged.weather(&period(1, 4), None, Stamp::End, None), Err(Uncovered::Ends));
}

#[test]
fn what_is_put_into_a_gap_is_what_was_asked_for() {
    let period = Period::new(date(2025, 1, 1), 3, Seconds::minutes(10)).expect("a period");
    let with = |fill| with_a_hole().weather(&period, None, Stamp::End, Some(fill)).expect("filled");
    let (held, straight) = (with(Fill::Hold), with(Fill::Straight));
    let at = |weather: &Weather, hour: f64| weather.outdoor(period.first(), hour * 3600.0);
    assert_eq!(
        [33.0, 38.0, 42.0, 42.5, 43.0].map(|it| at(&held, it)),
        [13.0, 13.0, 13.0, 18.0, 23.0]
    );
    let line = [33.0, 38.0, 42.0, 43.0].map(|it| at(&straight, it));
    assert_eq!(line, [13.0, 18.0, 22.0, 23.0]);
    let lights = |weather: &Weather| {
        let record = weather.record().expect("radiation");
        assert_eq!(record.gaps.len(), 1);
        record.light.as_ref().expect("radiation")[34..36]
            .iter()
            .map(|spell| (spell.to - spell.from, spell.light))
            .collect::<Vec<_>>()
    };
    let own = (3600.0, Light::Global(430.0));
    assert_eq!(lights(&held), [(32_400.0, Light::Global(330.0)), own]);
    assert_eq!(lights(&straight), [(32_400.0, Light::Global(380.0)), own]);
}

#[test]
fn rows_every_six_hours_leave_gaps_however_regular_they_are() {
    let rows = (0..5).map(|row| format!("2025-01-0{}T{:02}:00,1", row / 4 + 1, row % 4 * 6));
    let text = iter::once("time,temperature".to_owned()).chain(rows).collect::<Vec<_>>();
    let logged = Logged::read(&text.join("\n"), CELSIUS).expect("right");
    assert_eq!(logged.gaps().len(), 4);
}

#[test]
fn whole_days_are_read_at_their_hours() {
    let mut lines = vec!["time,temperature".to_owned(), "2025-01-01T20:00,-5".to_owned()];
    for day in 2..=3 {
        lines
            .extend((0..24).map(|hour| format!("2025-01-0{day}T{hour:02}:00,{}", day * 10 + hour)));
    }
    let text = lines.join("\n");
    let days = Logged::read(&text, CELSIUS).expect("right").days();
    let dates: Vec<Date> = days.iter().map(|(date, _)| *date).collect();
    assert_eq!(dates, [date(2025, 1, 2), date(2025, 1, 3)]);
    assert_eq!((days[0].1[0], days[0].1[23], days[1].1[22]), (21.0, 30.0, 53.0));
}
