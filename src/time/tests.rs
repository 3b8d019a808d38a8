use super::*;
use jiff::civil::date;

fn period() -> Period {
    // 2025-04-16 is a Wednesday.
    Period::new(date(2025, 4, 16), 3, Seconds::minutes(1)).expect("valid")
}

#[test]
fn clock_times_are_read_strictly() {
    assert_eq!(ClockTime::parse("08:40").map(ClockTime::get), Some(31_200));
    assert_eq!(ClockTime::parse("8:40").map(ClockTime::get), Some(31_200));
    assert_eq!(ClockTime::parse("08:40:30").map(ClockTime::get), Some(31_230));
    assert_eq!(ClockTime::parse("24:00"), Some(ClockTime::END_OF_DAY));
    for wrong in ["24:01", "8.40", "8:4", "-1:00", "12:60", "", "1:2:3:4", "+8:00"] {
        assert_eq!(ClockTime::parse(wrong), None, "{wrong}");
    }
}

#[test]
fn weekdays_follow_the_calendar() {
    assert_eq!(period().weekday(0), Weekday::Wednesday);
    assert_eq!(period().weekday(3), Weekday::Saturday);
    assert_eq!(period().weekday(-1), Weekday::Tuesday);
}

#[test]
fn a_span_over_midnight_belongs_to_the_day_it_begins_on() {
    let (from, to) = (ClockTime::parse("22:00"), ClockTime::parse("06:00"));
    let days = DaySet::of(&[Weekday::Wednesday]);
    let span = Span::new(from.expect("read"), to.expect("read"), days).expect("not empty");
    let at = |day: i64, hour: i64| Instant::new(day * DAY + hour * 3600);
    assert!(span.contains(&period(), at(0, 23)));
    assert!(span.contains(&period(), at(1, 5)));
    assert!(!span.contains(&period(), at(0, 5)));
    assert!(!span.contains(&period(), at(1, 23)));
    assert!(!span.contains(&period(), at(1, 6)));
}

#[test]
fn lengths_read_like_a_person_says_them() {
    assert_eq!(Seconds::new(90).to_string(), "1 min 30 s");
    assert_eq!(Seconds::minutes(150).to_string(), "2 h 30 min");
    assert_eq!(Seconds::ZERO.to_string(), "0 s");
}

#[test]
fn periods_are_checked() {
    let first = date(2025, 4, 16);
    assert_eq!(Period::new(first, 0, Seconds::minutes(1)), Err(PeriodFault::Days));
    assert_eq!(Period::new(first, 367, Seconds::minutes(1)), Err(PeriodFault::Days));
    assert_eq!(Period::new(first, 1, Seconds::new(7)), Err(PeriodFault::Step));
    assert_eq!(Period::new(first, 1, Seconds::new(7200)), Err(PeriodFault::Step));
    let late = date(9999, 12, 31);
    assert_eq!(Period::new(late, 5, Seconds::minutes(1)), Err(PeriodFault::Calendar));
    assert_eq!(period().timestamp(Instant::new(DAY + 31_200)), "2025-04-17T08:40:00");
}
