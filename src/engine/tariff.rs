//! What electricity costs and what its making gives off, by time.

use crate::time::{ClockTime, Instant, Period, Seconds, Span, Weekday};

/// What electricity costs and what its making gives off.
#[derive(Clone, Debug, PartialEq)]
pub struct Tariff {
    /// Price of a kWh.
    pub price: Rate,
    /// In which currency.
    pub currency: String,
    /// Carbon dioxide, kg/kWh, if the file says so.
    pub carbon: Option<Rate>,
    /// What the highest demand costs, if the file says so.
    pub demand: Option<DemandCharge>,
}

/// A charge on the highest mean power of a quarter of an hour, each calendar month anew.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DemandCharge {
    /// Price of a kW, for each calendar month of which the period has a part.
    pub price: f64,
    /// Only quarters of an hour that begin in this span count.
    pub when: Span,
}

/// Something a kWh, by time.
#[derive(Clone, Debug, PartialEq)]
pub enum Rate {
    /// The same always.
    Flat(f64),
    /// One for each hour of the day.
    Hourly(Box<[f64; 24]>),
    /// That of the first span that has the instant; together they leave no gap.
    Spans(Vec<(Span, f64)>),
}

impl Rate {
    /// The rate at an instant; zero in a gap.
    pub fn at(&self, period: &Period, at: Instant) -> f64 {
        match self {
            Self::Flat(rate) => *rate,
            Self::Hourly(rates) => {
                let hour = period.on_clocks(at).second_of_day() / 3600;
                rates[usize::try_from(hour).unwrap_or(0)]
            }
            Self::Spans(spans) => {
                let first = spans.iter().find(|(span, _)| span.contains(period, at));
                first.map_or(0.0, |(_, rate)| *rate)
            }
        }
    }

    /// The mean rate over a step, which may have several.
    pub fn over(&self, period: &Period, at: Instant, step: Seconds) -> f64 {
        let (mut from, end) = (at, at + step);
        if self.next_change(period, from) >= end {
            return self.at(period, from);
        }
        let mut sum = 0.0;
        while from < end {
            let to = self.next_change(period, from).min(end);
            sum += self.at(period, from) * to.since(from).get() as f64;
            from = to;
        }
        sum / step.get() as f64
    }

    /// The next instant at which the rate may change.
    pub fn next_change(&self, period: &Period, at: Instant) -> Instant {
        match self {
            Self::Flat(_) => Instant::new(i64::MAX),
            Self::Hourly(_) => at + Seconds::new(3600 - at.get().rem_euclid(3600)),
            Self::Spans(spans) => {
                let ends = spans.iter().flat_map(|(span, _)| [span.from(), span.to()]);
                period.next_on_clocks(at, ends)
            }
        }
    }

    /// The first time of a week that has no rate.
    pub fn gap(&self) -> Option<(Weekday, ClockTime)> {
        let Self::Spans(spans) = self else { return None };
        // 2024-01-01 is a Monday.
        let week = Period::new(jiff::civil::date(2024, 1, 1), 7, Seconds::hours(1)).ok()?;
        let mut at = Instant::START;
        while at < week.end() {
            if !spans.iter().any(|(span, _)| span.contains(&week, at)) {
                return Some((week.weekday(at.day()), ClockTime::new(at.second_of_day())?));
            }
            at = self.next_change(&week, at);
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::{DAY, DaySet};
    use approx::assert_relative_eq;

    fn period() -> Period {
        // 2025-04-18 is a Friday.
        Period::new(jiff::civil::date(2025, 4, 18), 3, Seconds::hours(1)).expect("valid")
    }

    fn span(from: &str, to: &str, days: DaySet) -> Span {
        let clock = |text| ClockTime::parse(text).expect("a clock time");
        Span::new(clock(from), clock(to), days).expect("not empty")
    }

    fn at(day: i64, clock: &str) -> Instant {
        Instant::new(day * DAY + ClockTime::parse(clock).expect("a clock time").get())
    }

    fn by_spans() -> Rate {
        let busy = span("07:30", "22:00", DaySet::WEEKDAYS);
        Rate::Spans(vec![(busy, 0.3), (Span::ALWAYS, 0.1)])
    }

    #[test]
    fn the_first_span_that_has_the_instant_counts() {
        let rate = |day, clock| by_spans().at(&period(), at(day, clock));
        assert_relative_eq!(rate(0, "07:29"), 0.1);
        assert_relative_eq!(rate(0, "07:30"), 0.3);
        assert_relative_eq!(rate(0, "22:00"), 0.1);
        assert_relative_eq!(rate(1, "12:00"), 0.1);
    }

    #[test]
    fn a_step_that_runs_over_a_change_has_the_mean_of_both_rates() {
        let over = |rate: &Rate, clock, step| rate.over(&period(), at(0, clock), step);
        assert_relative_eq!(over(&by_spans(), "07:00", Seconds::hours(1)), 0.2);
        assert_relative_eq!(over(&by_spans(), "08:00", Seconds::hours(1)), 0.3);
        let mut hours = [0.0; 24];
        hours[1] = 0.6;
        // 00:40 to 01:20: half of it lies in the second hour.
        let hourly = Rate::Hourly(Box::new(hours));
        assert_relative_eq!(over(&hourly, "00:40", Seconds::minutes(40)), 0.3);
        assert_relative_eq!(over(&Rate::Flat(0.18), "00:00", Seconds::hours(1)), 0.18);
    }

    #[test]
    fn a_gap_in_the_week_is_found() {
        assert_eq!(by_spans().gap(), None);
        let weekdays_only = Rate::Spans(vec![(span("00:00", "24:00", DaySet::WEEKDAYS), 0.2)]);
        let gap = weekdays_only.gap().expect("the weekend");
        assert_eq!(gap, (Weekday::Saturday, ClockTime::MIDNIGHT));
        let nights = vec![
            (span("22:00", "06:00", DaySet::EVERY), 0.1),
            (span("06:30", "22:00", DaySet::EVERY), 0.3),
        ];
        let gap = Rate::Spans(nights).gap().expect("half an hour");
        assert_eq!((gap.0, gap.1.to_string()), (Weekday::Monday, "06:00".to_owned()));
    }
}
