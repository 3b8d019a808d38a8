//! Weeks of a typical year in which it is outside as a test needs it.

use jiff::civil::Date;

use crate::study::sheet_csv::Need;
use crate::units::TemperatureUnit;

/// The hours of a working day, by the ends of their rows: 08:00 to 17:00. Common practice, no source.
pub const HOURS: [usize; 2] = [9, 17];
/// A day suits where so many of these hours lie within what is needed. Common practice, no source.
pub const LEAST_HOURS: usize = 3;
/// A week suits where so many of its seven days do. Common practice, no source.
pub const LEAST_DAYS: usize = 5;

/// A day with its 24 temperatures at 01:00 to 24:00, degrees C.
pub type Day = (Date, [f64; 24]);

/// Weeks one after the other that suit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Weeks {
    /// Their first day.
    pub from: Date,
    /// Their last day.
    pub to: Date,
}

/// The weeks that suit a need, of days with their 24 temperatures in degrees C; weeks count from the
/// first day. The need is in `unit`. Nothing where the weather has no part in it.
pub fn weeks(need: &Need, unit: TemperatureUnit, days: &[Day]) -> Vec<Weeks> {
    let Need::Outdoor { from, to } = need else { return Vec::new() };
    let ends = [from, to].map(|end| end.map(|it| unit.to_celsius(it)));
    let within =
        |air: &f64| ends[0].is_none_or(|from| *air >= from) && ends[1].is_none_or(|to| *air <= to);
    let suits = |(_, hours): &&Day| {
        hours[HOURS[0] - 1..HOURS[1]].iter().filter(|air| within(air)).count() >= LEAST_HOURS
    };
    let mut all: Vec<Weeks> = Vec::new();
    let mut follows = false;
    for week in days.chunks_exact(7) {
        let good = week.iter().filter(suits).count() >= LEAST_DAYS;
        if good {
            let (from, to) = (week[0].0, week[6].0);
            match all.last_mut().filter(|_| follows) {
                Some(last) => last.to = to,
                None => all.push(Weeks { from, to }),
            }
        }
        follows = good;
    }
    all
}

#[cfg(test)]
mod tests {
    use jiff::ToSpan;
    use jiff::civil::date;

    use super::*;

    /// Eight weeks of which each is as warm all day as its number says, in tens of degrees C.
    fn eight_weeks() -> Vec<Day> {
        let day =
            |at: i32| (date(2025, 1, 1).saturating_add(at.days()), [f64::from(at / 7) * 10.0; 24]);
        (0..60).map(day).collect()
    }

    #[test]
    fn weeks_that_suit_are_named_together() {
        let need = |from, to| Need::Outdoor { from, to };
        let found = |need: Need| weeks(&need, TemperatureUnit::Celsius, &eight_weeks());
        let span = |from: Date, to: Date| Weeks { from, to };
        assert_eq!(
            found(need(Some(15.0), Some(45.0))),
            [span(date(2025, 1, 15), date(2025, 2, 4))]
        );
        assert_eq!(found(need(None, Some(5.0))), [span(date(2025, 1, 1), date(2025, 1, 7))]);
        // What is left behind the last whole week is none.
        assert_eq!(found(need(Some(75.0), None)), []);
        assert_eq!(found(Need::Other), []);
        let warm = weeks(&need(Some(150.0), None), TemperatureUnit::Fahrenheit, &eight_weeks());
        assert_eq!(warm, [span(date(2025, 2, 19), date(2025, 2, 25))], "65.6 C");
    }

    #[test]
    fn nights_and_two_days_of_a_week_do_not_make_it() {
        let mut days = eight_weeks();
        days.truncate(7);
        for (at, (_, hours)) in days.iter_mut().enumerate() {
            *hours = [0.0; 24];
            let warm = if at < 4 { 8..17 } else { 17..24 };
            hours[warm].fill(20.0);
        }
        let need = Need::Outdoor { from: Some(15.0), to: None };
        assert_eq!(weeks(&need, TemperatureUnit::Celsius, &days), []);
        days[4].1[14..17].fill(20.0);
        assert_eq!(weeks(&need, TemperatureUnit::Celsius, &days).len(), 1);
    }
}
