use super::*;
use crate::time::Seconds;
use approx::assert_abs_diff_eq;
use jiff::civil::date;

/// Of values near 30.
const ROUNDING: f64 = 1e-12;

/// A made-up year: on day `d` (from 0) at hour `h` (1 to 24) `value(d, h)` degrees.
fn file(value: impl Fn(usize, usize) -> String) -> String {
    let mut text = String::from(
        "1,\"Nowhere, north\",NN,1.0,45.0,15.0,200\nDate (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),\
         GHI source,DNI (W/m^2),DHI (W/m^2),Dry-bulb (C),Dew-point (C),RHum (%)\n",
    );
    for day in 0..365 {
        let on = date(2023, 1, 1)
            .saturating_add(jiff::Span::new().days(i64::try_from(day).expect("small")));
        for hour in 1..=24 {
            let noon = if hour == 12 { "300,A,400,100" } else { "0,A,0,0" };
            let air = value(day, hour);
            let year = 1970 + day % 31;
            let stamp = format!("{:02}/{:02}/{year},{hour:02}:00", on.month(), on.day());
            text.extend([stamp.as_str(), ",", noon, ",", &air, ",5,50\n"]);
        }
    }
    text
}

fn plain(day: usize, hour: usize) -> String {
    format!("{}", day as f64 / 10.0 + hour as f64 / 100.0)
}

fn year(text: &str) -> TypicalYear {
    TypicalYear::read(text).unwrap_or_else(|faults| panic!("{faults:?}"))
}

fn period(first: Date, days: i64) -> Period {
    Period::new(first, days, Seconds::minutes(1)).expect("a period")
}

fn temperature(weather: &Weather, first: Date, hour: f64) -> f64 {
    weather.outdoor(first, hour * 3600.0)
}

#[test]
fn a_span_reads_the_rows_of_its_dates_whatever_the_year() {
    let year = year(&file(plain));
    let first = date(2031, 3, 10);
    let weather = year.weather(Pick::Dates, &period(first, 3), None);
    // 10 March is day 68 from 0; its midnight is the row 24:00 of day 67.
    assert_abs_diff_eq!(temperature(&weather, first, 0.0), 6.7 + 0.24, epsilon = ROUNDING);
    assert_abs_diff_eq!(temperature(&weather, first, 1.0), 6.8 + 0.01, epsilon = ROUNDING);
    assert_abs_diff_eq!(temperature(&weather, first, 1.5), 6.8 + 0.015, epsilon = ROUNDING);
    assert_abs_diff_eq!(temperature(&weather, first, 72.0), 7.0 + 0.24, epsilon = ROUNDING);
}

#[test]
fn a_day_is_repeated_round_midnight() {
    let year = year(&file(plain));
    let first = date(2031, 3, 10);
    let weather = year.weather(Pick::Day(7, 1), &period(first, 3), None);
    for day in 0..3 {
        let start = f64::from(day) * 24.0;
        assert_abs_diff_eq!(temperature(&weather, first, start), 18.1 + 0.24, epsilon = ROUNDING);
        assert_abs_diff_eq!(
            temperature(&weather, first, start + 6.0),
            18.1 + 0.06,
            epsilon = ROUNDING
        );
    }
}

#[test]
fn years_wrap_and_leap_days_are_the_day_before() {
    let year = year(&file(plain));
    let new_year = date(2025, 1, 1);
    let weather = year.weather(Pick::Dates, &period(new_year, 365), None);
    assert_abs_diff_eq!(temperature(&weather, new_year, 0.0), 36.4 + 0.24, epsilon = ROUNDING);
    let february = date(2028, 2, 28);
    let weather = year.weather(Pick::Dates, &period(february, 3), None);
    for (day, expected) in [(0.0, 5.8), (1.0, 5.8), (2.0, 5.9)] {
        let at = temperature(&weather, february, day * 24.0 + 12.0);
        assert_abs_diff_eq!(at, expected + 0.12, epsilon = ROUNDING);
    }
}

#[test]
fn another_clock_meets_the_same_weather_at_its_own_time() {
    let year = year(&file(plain));
    let first = date(2025, 3, 10);
    let summer_time = Site { utc_offset: 2.0, ..year.station().site };
    let weather = year.weather(Pick::Dates, &period(first, 1), Some(summer_time));
    assert_abs_diff_eq!(temperature(&weather, first, 2.0), 6.8 + 0.01, epsilon = ROUNDING);
    assert_abs_diff_eq!(temperature(&weather, first, 24.0), 6.8 + 0.23, epsilon = ROUNDING);
}

#[test]
fn gaps_are_filled_and_counted() {
    let missing = |day: usize, hour: usize| match (day, hour) {
        (10, 5..=7) => "-9900".into(),
        (364, 24) | (0, 1) => String::new(),
        _ => plain(day, hour),
    };
    let year = year(&file(missing));
    let filled = year.filled();
    assert_eq!(filled.len(), 1);
    assert_eq!((filled[0].quantity, filled[0].hours, filled[0].longest), (Quantity::DryBulb, 5, 3));
    assert_eq!(filled[0].first_line, 3);
    let days: Vec<_> = year.days().collect();
    assert_abs_diff_eq!(days[10].1[5], 1.0 + 0.06, epsilon = ROUNDING);
    // From 36.4 + 0.23 to 0.02 in three steps round New Year.
    assert_abs_diff_eq!(days[0].1[0], 36.63 + 2.0 / 3.0 * (0.02 - 36.63), epsilon = ROUNDING);
}

#[test]
fn radiation_is_filled_from_the_days_around() {
    let text = file(plain);
    let lost = text.replacen("300,A,400,100,0.12", "-9900,A,-9900,-9900,0.12", 1);
    assert_ne!(text, lost);
    let year = year(&lost);
    assert_eq!(year.hours[11].light, Light::Split { beam: 400.0, diffuse: 100.0 });
    assert_eq!(year.filled().len(), 3);
    // With global radiation there that is what counts.
    let lost = text.replacen("300,A,400,100,0.12", "300,A,-9900,-9900,0.12", 1);
    assert_eq!(TypicalYear::read(&lost).expect("read").hours[11].light, Light::Global(300.0));
}

fn faults(text: &str) -> Vec<String> {
    let faults = TypicalYear::read(text).expect_err("something is wrong");
    let words = |fault: &super::super::fault::FileFault| {
        format!("{}:{} {}", fault.line, fault.column, fault.what)
    };
    faults.as_slice().iter().map(words).collect()
}

#[test]
fn every_fault_is_found_at_once_with_its_place() {
    let text = file(plain);
    let mut lines: Vec<&str> = text.lines().collect();
    lines[3] = "01/01/1970,02:00,0,A,0,0,cold,5,150";
    lines[4] = "01/01/1970,03:00,0,A,0";
    lines[5] = "13/01/1970,04:00,0,A,0,0,1,5,50";
    let removed = lines.split_off(lines.len() - 24);
    lines.remove(99);
    assert_eq!(removed.len(), 24);
    assert_eq!(
        faults(&lines.join("\n")),
        [
            "4:26 `cold` is no dry-bulb temperature",
            "4:33 relative humidity of 150 % cannot be right",
            "5:23 this row has 5 columns, and the header 9",
            "6:1 `13/01/1970 04:00` is no stamp",
            "7:1 the row of 01/01 04:00 is missing before this one",
            "100:1 the row of 01/05 02:00 is missing before this one",
            "8737:1 the file ends here, before 12/31 01:00: 24 of 8760 rows are missing",
        ]
    );
}

#[test]
fn what_has_not_the_layout_is_told_so() {
    for text in ["", "time,temperature\n2025-01-01T00:00,3\n", "a\nb\nc\n"] {
        assert_eq!(YearLayout::of(text), None);
        let found = faults(text);
        assert!(found.iter().any(|it| it.contains("no file in the TMY3 layout")), "{found:?}");
    }
    assert_eq!(YearLayout::of(&file(plain)), Some(YearLayout::Tmy3));
}

#[test]
fn a_station_off_the_globe_is_a_fault() {
    let text = file(plain).replacen(",1.0,45.0,15.0,", ",x,95.0,15.0,", 1);
    let found = faults(&text);
    assert_eq!(found.len(), 2);
    assert!(found[0].starts_with("1:23 `x` is no time zone"), "{found:?}");
}

#[test]
fn a_year_with_a_29_february_uses_it() {
    let mut text = String::new();
    for line in file(plain).lines() {
        text += line;
        text += "\n";
        if line.starts_with("02/28") {
            // The rows of the 28th come first, then those of the 29th, with 20 degrees.
            if line.contains(",24:00,") {
                text.extend(
                    (1..=24).map(|hour| format!("02/29/1972,{hour:02}:00,0,A,0,0,20,5,50\n")),
                );
            }
        }
    }
    let year = year(&text);
    assert_eq!(year.days().count(), 366);
    let first = date(2028, 2, 29);
    let weather = year.weather(Pick::Dates, &period(first, 1), None);
    assert_abs_diff_eq!(temperature(&weather, first, 12.0), 20.0, epsilon = ROUNDING);
}

#[test]
fn jumps_and_odd_column_counts_are_noted() {
    let jump = |day: usize, hour: usize| {
        if (day, hour) == (3, 4) { "30".into() } else { plain(day, hour) }
    };
    let year = year(&file(jump));
    let notices = year.notices();
    assert!(notices.contains(&Notice::Columns(9)));
    let jumps = notices.iter().filter(|it| matches!(it, Notice::Jump { .. })).count();
    assert_eq!(jumps, 2, "{notices:?}");
}

/// The same year in the EPW layout.
fn epw(value: impl Fn(usize, usize) -> String) -> String {
    let mut text = String::from(
        "LOCATION,Nowhere,NN,XXX,made up,1,45.0,15.0,1.0,200\nDESIGN CONDITIONS,0\nTYPICAL/EXTREME \
         PERIODS,0\nGROUND TEMPERATURES,0\nHOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\nCOMMENTS 1,\nCOMMENTS \
         2,\nDATA PERIODS,1,1,Data,Sunday,1/1,12/31\n",
    );
    for day in 0..365 {
        let on = date(2023, 1, 1)
            .saturating_add(jiff::Span::new().days(i64::try_from(day).expect("small")));
        for hour in 1..=24 {
            let noon = if hour == 12 { "300,400,100" } else { "0,0,0" };
            let (year, month, day_of_month) = (1970 + day % 31, on.month(), on.day());
            let air = value(day, hour);
            let row = format!(
                "{year},{month},{day_of_month},{hour},0,?9,{air},5.0,50,99000,0,0,0,{noon},0,0,0,0,280,3.1\n"
            );
            text.push_str(&row);
        }
    }
    text
}

/// The same year as the means of hours, stamped in their middle.
fn nsrdb(zone: &str, value: impl Fn(usize, usize) -> String) -> String {
    let mut text = format!(
        "Source,Location ID,City,State,Country,Latitude,Longitude,Time Zone,Elevation,Local Time \
         Zone\nmade up,7,-,-,-,45.0,15.0,{zone},200,1\nYear,Month,Day,Hour,Minute,DHI,DNI,GHI,Dew \
         Point,Temperature,Relative Humidity,Wind Speed,,,\n"
    );
    for day in 0..365 {
        let on = date(2023, 1, 1)
            .saturating_add(jiff::Span::new().days(i64::try_from(day).expect("small")));
        for hour in 0..24 {
            let noon = if hour == 11 { "100,400,300" } else { "0,0,0" };
            let (month, day_of_month) = (on.month(), on.day());
            let air = value(day, hour);
            let row = format!("2019,{month},{day_of_month},{hour},30,{noon},5.0,{air},50,3.1\n");
            text.push_str(&row);
        }
    }
    text
}

#[test]
fn an_epw_file_is_the_same_year_as_a_tmy3_file() {
    let (one, other) = (year(&epw(plain)), year(&file(plain)));
    assert_eq!((one.layout(), other.layout()), (YearLayout::Epw, YearLayout::Tmy3));
    assert_eq!(one.station().site, other.station().site);
    assert_eq!(one.station().region, "NN, XXX");
    assert_eq!(one.days().collect::<Vec<_>>(), other.days().collect::<Vec<_>>());
    assert_eq!(one.light(), other.light());
    assert_abs_diff_eq!(one.mean(Quantity::Wind).expect("some"), 3.1, epsilon = ROUNDING);
    assert_abs_diff_eq!(one.mean(Quantity::Global).expect("some"), 12.5, epsilon = ROUNDING);
    let lost =
        epw(|day, hour| if (day, hour) == (9, 3) { "99.9".into() } else { plain(day, hour) });
    let lost = year(&lost);
    assert_eq!(lost.filled()[0].hours, 1);
    assert_eq!(lost.filled()[0].first_line, 8 + 9 * 24 + 3);
}

#[test]
fn an_epw_file_of_quarter_hours_or_short_rows_is_told_so() {
    let quarters = epw(plain).replacen("PERIODS,1,1,Data", "PERIODS,1,4,Data", 1);
    assert_eq!(faults(&quarters), ["8:16 the file has `4` rows an hour"]);
    let short = epw(plain).replacen("1970,1,1,1,0,", "1970,1,1,1,30,", 1);
    assert_eq!(
        faults(&short),
        [
            "9:1 `1970 1 1 1 30` is no stamp",
            "10:1 the row of 01/01 01:00 is missing before this one"
        ]
    );
    let off = epw(plain).replacen(",45.0,15.0,", ",95.0,15.0,", 1);
    assert_eq!(faults(&off), ["1:35 `95.0` is no latitude in degrees north from -90 to 90"]);
}

#[test]
fn rows_stamped_in_the_middle_of_the_hour_hold_there() {
    let found = year(&nsrdb("1", plain));
    assert_eq!(found.layout(), YearLayout::Nsrdb);
    let first = date(2031, 3, 10);
    let weather = found.weather(Pick::Dates, &period(first, 1), None);
    // The row of 00:30 and half way to that of 01:30.
    assert_abs_diff_eq!(temperature(&weather, first, 0.5), 6.8, epsilon = ROUNDING);
    assert_abs_diff_eq!(temperature(&weather, first, 1.0), 6.805, epsilon = ROUNDING);
    assert_abs_diff_eq!(
        temperature(&weather, first, 0.0),
        f64::midpoint(6.93, 6.8),
        epsilon = ROUNDING
    );
    let record = weather.record().expect("a record");
    let spells = record.light.as_ref().expect("radiation");
    let noon = spells.iter().find(|it| it.light != Light::NONE).expect("noon");
    assert_eq!((noon.from, noon.to), (11.0 * HOUR, 12.0 * HOUR));
}

#[test]
fn a_file_in_universal_time_meets_the_stations_clock() {
    let found = year(&nsrdb("0", plain));
    assert_eq!(found.station().site.utc_offset, 1.0);
    let first = date(2031, 3, 10);
    let weather = found.weather(Pick::Dates, &period(first, 1), None);
    // The row of 00:30 universal time is about 01:30 at the station.
    assert_abs_diff_eq!(temperature(&weather, first, 1.5), 6.8, epsilon = ROUNDING);
}

#[test]
fn half_hours_are_told_so() {
    let halves = nsrdb("1", plain).replacen("2019,1,1,0,30,", "2019,1,1,0,0,", 1);
    let found = faults(&halves);
    assert_eq!(found[0], "4:1 `2019 1 1 0 0` is no stamp");
    let bare = nsrdb("1", plain).replacen("Time Zone,Elevation", "Zone,Elevation", 1);
    assert_eq!(faults(&bare), ["1:1 the first line has no `Time Zone`"]);
}
