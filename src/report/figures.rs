//! Figures as people read them: sensible digits, clock times, counts with their noun.

use jiff::civil::Date;

use crate::engine::Model;
use crate::measures::shared_demand;
use crate::time::{Instant, Period, Weekday};
use crate::units::TemperatureUnit;

pub(super) use crate::study::listed;

/// Three figures: `12.4`, `7.10`, `0.960`, `1234`, `0`.
pub(crate) fn three_figures(value: f64) -> String {
    let size = value.abs();
    // Each bound lies half a last digit below the power of ten, where rounding carries over.
    let digits = match size {
        _ if size < 0.000_5 => return "0".into(),
        _ if size < 0.999_5 => 3,
        _ if size < 9.995 => 2,
        _ if size < 99.95 => 1,
        _ => 0,
    };
    format!("{value:.digits$}")
}

/// One digit after the point, and never `-0.0`.
pub(crate) fn one_digit(value: f64) -> String {
    let text = format!("{value:.1}");
    if text == "-0.0" { "0.0".into() } else { text }
}

/// Hours for a column: `5.2`, `2137`.
pub(super) fn hours_digits(hours: f64) -> String {
    if hours < 99.95 { one_digit(hours) } else { format!("{hours:.0}") }
}

/// A setpoint: `21.5`, `21`.
pub(super) fn setpoint(value: f64) -> String {
    let text = one_digit(value);
    text.strip_suffix(".0").map_or_else(|| text.clone(), str::to_owned)
}

/// An amount of money, with the currency where the file names one: `12.40 USD`, `12.40`.
pub(super) fn money(amount: f64, currency: &str) -> String {
    let text = format!("{amount:.2}");
    let text = if text == "-0.00" { "0.00".into() } else { text };
    if currency.is_empty() { text } else { format!("{text} {currency}") }
}

/// How demand charges of months are shared out that a period has only a part of, where it has.
pub(super) fn demand_share(model: &Model) -> Option<String> {
    shared_demand(model).map(demand_share_words)
}

/// The same of so many days in months of so many.
pub(super) fn demand_share_words((days, of): (i64, i64)) -> String {
    format!(
        "Demand charges are shared out by days: {days} of the {of} days of the calendar months \
         that the period has in part. The highest demand of the other days may be another."
    )
}

/// A length of time given in hours: `40 min`, `1.5 h`, `120 h`.
pub(super) fn duration(hours: f64) -> String {
    match hours {
        _ if hours < 0.995 => format!("{:.0} min", hours * 60.0),
        _ if hours < 99.95 => format!("{} h", setpoint(hours)),
        _ => format!("{hours:.0} h"),
    }
}

/// `no requests`, `1 request`, `7 requests`.
pub(super) fn count(number: u64, one: &str) -> String {
    match number {
        0 => format!("no {one}s"),
        1 => format!("1 {one}"),
        _ => format!("{number} {one}s"),
    }
}

/// `once`, `twice`, `7 times`.
pub(crate) fn times(number: u64) -> String {
    match number {
        1 => "once".into(),
        2 => "twice".into(),
        _ => format!("{number} times"),
    }
}

/// The unit with its degree sign, `°C`.
pub(crate) fn unit_sign(unit: TemperatureUnit) -> &'static str {
    match unit {
        TemperatureUnit::Celsius => "°C",
        TemperatureUnit::Fahrenheit => "°F",
    }
}

/// Which days, in words: `Wednesday 16 April 2025`, `16 to 18 April 2025`.
pub(super) fn days_in_words(period: &Period) -> String {
    let (first, last) = (period.first(), period.date(period.days() - 1));
    if period.days() == 1 {
        return format!("{} {}", weekday(period.weekday(0)), date_in_words(first));
    }
    let start = if first.year() != last.year() {
        date_in_words(first)
    } else if first.month() != last.month() {
        format!("{} {}", first.day(), month(first))
    } else {
        first.day().to_string()
    };
    format!("{start} to {}", date_in_words(last))
}

/// A time as clocks show it: `08:40`, and `7 Apr 08:40` where there are several days.
pub(super) fn moment(period: &Period, at: Instant) -> String {
    let clock = period.clock(at);
    match clock.split_once(' ') {
        None => clock,
        Some((_, clock)) => {
            let date = period.date(period.on_clocks(at).day());
            let name = month(date);
            format!("{} {} {clock}", date.day(), name.get(..3).unwrap_or(name))
        }
    }
}

/// A date in words: `16 April 2025`.
pub(super) fn date_in_words(date: Date) -> String {
    format!("{} {} {}", date.day(), month(date), date.year())
}

/// A date without its year: `16 April`.
pub(super) fn day_and_month(date: Date) -> String {
    format!("{} {}", date.day(), month(date))
}

/// The name of a date's month.
pub(super) fn month(date: Date) -> &'static str {
    month_name(u8::try_from(date.month()).unwrap_or(0))
}

/// The name of a month, 1 for January; nothing where there is none.
pub(super) fn month_name(number: u8) -> &'static str {
    const NAMES: [&str; 12] = [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ];
    usize::from(number).checked_sub(1).and_then(|place| NAMES.get(place)).unwrap_or(&"")
}

fn weekday(day: Weekday) -> &'static str {
    match day {
        Weekday::Monday => "Monday",
        Weekday::Tuesday => "Tuesday",
        Weekday::Wednesday => "Wednesday",
        Weekday::Thursday => "Thursday",
        Weekday::Friday => "Friday",
        Weekday::Saturday => "Saturday",
        Weekday::Sunday => "Sunday",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::Seconds;

    #[test]
    fn energies_have_three_figures() {
        let shown = [0.0, 0.000_4, 0.96, 0.999_6, 7.1, 9.996, 12.44, 99.96, 1234.4, -3.336];
        let texts: Vec<_> = shown.into_iter().map(three_figures).collect();
        assert_eq!(
            texts,
            ["0", "0", "0.960", "1.00", "7.10", "10.0", "12.4", "100", "1234", "-3.34"]
        );
    }

    #[test]
    fn small_figures_never_read_minus_zero() {
        assert_eq!(one_digit(-0.04), "0.0");
        assert_eq!(setpoint(-0.04), "0");
        assert_eq!(setpoint(21.5), "21.5");
    }

    #[test]
    fn lengths_take_the_unit_that_reads_best() {
        assert_eq!(duration(0.25), "15 min");
        assert_eq!(duration(1.5), "1.5 h");
        assert_eq!(duration(2.0), "2 h");
        assert_eq!(duration(123.4), "123 h");
    }

    #[test]
    fn times_have_their_date_only_where_there_are_several_days() {
        let at = Instant::new(6 * 3600 + 41 * 60);
        let words = |days| {
            let first = jiff::civil::date(2025, 4, 7);
            moment(&Period::new(first, days, Seconds::minutes(1)).expect("valid"), at)
        };
        assert_eq!((words(1), words(5)), ("06:41".to_owned(), "7 Apr 06:41".to_owned()));
    }

    #[test]
    fn periods_name_each_month_and_year_once() {
        let words = |year, month, day, days| {
            let first = jiff::civil::date(year, month, day);
            let period = Period::new(first, days, Seconds::minutes(1)).expect("valid");
            days_in_words(&period)
        };
        assert_eq!(words(2025, 4, 16, 1), "Wednesday 16 April 2025");
        assert_eq!(words(2025, 4, 16, 3), "16 to 18 April 2025");
        assert_eq!(words(2025, 4, 30, 3), "30 April to 2 May 2025");
        assert_eq!(words(2024, 12, 31, 2), "31 December 2024 to 1 January 2025");
    }
}
