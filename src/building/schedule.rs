//! What a room's schedules say at an instant, and when they may change.

use super::space::{Gain, Space};
use crate::time::{ClockTime, Instant, Period, Span};

/// Heat that people, lights and machines give off at an instant, W.
pub fn internal_gain(gains: &[Gain], period: &Period, at: Instant) -> f64 {
    gains.iter().filter(|gain| gain.when.contains(period, at)).map(|gain| gain.power).sum()
}

/// Heat that people and processes give off as water vapour at an instant, W.
pub fn latent_gain(gains: &[Gain], period: &Period, at: Instant) -> f64 {
    gains.iter().filter(|gain| gain.when.contains(period, at)).map(|gain| gain.latent).sum()
}

/// Whether the scheduled ventilation of a room runs at an instant.
pub fn is_ventilated(space: &Space, period: &Period, at: Instant) -> bool {
    space.input().ventilation.is_some_and(|it| it.when.contains(period, at))
}

/// The clock times at which gains or ventilation of a room, or what goes by the other spans, may
/// change, in order, midnight first: between two of them all stay as they are.
pub fn switch_times(space: &Space, gains: &[Gain], others: &[Span]) -> Vec<ClockTime> {
    let spans = gains.iter().map(|gain| gain.when);
    let ventilation = space.input().ventilation.map(|it| it.when);
    let ends = |span: Span| [span.from(), span.to()];
    // Midnight counts always: the weekday changes there.
    let mut times: Vec<ClockTime> =
        spans.chain(ventilation).chain(others.iter().copied()).flat_map(ends).collect();
    times.push(ClockTime::MIDNIGHT);
    times.retain(|time| *time != ClockTime::END_OF_DAY);
    times.sort_unstable();
    times.dedup();
    times
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::building::space::{SpaceInput, Ventilation};
    use crate::time::{DaySet, Seconds};
    use approx::assert_relative_eq;
    use jiff::civil::date;

    fn span(from: &str, to: &str, days: DaySet) -> Span {
        let clock = |text| ClockTime::parse(text).expect("a clock time");
        Span::new(clock(from), clock(to), days).expect("not empty")
    }

    fn office() -> Space {
        Space::new(SpaceInput {
            ventilation: Some(Ventilation {
                flow: 0.02,
                when: span("20:00", "06:30", DaySet::WEEKDAYS),
            }),
            ..SpaceInput::PLAIN
        })
        .expect("sizes are sound")
    }

    #[test]
    fn gains_add_up_while_their_spans_last() {
        // 2025-04-18 is a Friday.
        let period = Period::new(date(2025, 4, 18), 2, Seconds::minutes(1)).expect("valid");
        let gains = [
            Gain { when: span("09:00", "18:00", DaySet::WEEKDAYS), power: 1800.0, latent: 0.0 },
            Gain { when: Span::ALWAYS, power: 50.0, latent: 0.0 },
        ];
        let gain = |hour: i64| internal_gain(&gains, &period, Instant::new(hour * 3600));
        assert_relative_eq!(gain(8), 50.0);
        assert_relative_eq!(gain(9), 1850.0);
        assert_relative_eq!(gain(18), 50.0);
        assert_relative_eq!(gain(24 + 10), 50.0);
        let runs = |hour: i64| is_ventilated(&office(), &period, Instant::new(hour * 3600));
        assert!(runs(5) && !runs(7) && runs(23) && runs(24 + 6) && !runs(24 + 23));
    }

    #[test]
    fn switch_times_are_the_ends_of_all_spans_and_midnight() {
        let gains = [
            Gain { when: Span::ALWAYS, power: 50.0, latent: 0.0 },
            Gain { when: span("09:00", "20:00", DaySet::EVERY), power: 10.0, latent: 0.0 },
        ];
        let times: Vec<String> =
            switch_times(&office(), &gains, &[]).iter().map(ToString::to_string).collect();
        assert_eq!(times, ["00:00", "06:30", "09:00", "20:00"]);
    }
}
