//! Weekly spans in words.

use super::listed;
use crate::time::{DaySet, Span, Weekday};

/// `every day 08:30 to 18:30`, `Mon to Fri 08:30 to 18:30`, `always`.
pub(super) fn span_words(span: &Span) -> String {
    let days = day_words(span.days());
    if *span == Span::ALWAYS {
        return "always".into();
    }
    format!("{days} {} to {}", span.from(), span.to())
}

/// Several of them, one after the other.
pub(super) fn spans_words(spans: &[Span]) -> String {
    let words: Vec<String> = spans.iter().map(span_words).collect();
    words.join("; ")
}

fn day_words(days: DaySet) -> String {
    match days {
        DaySet::EVERY => "every day".into(),
        DaySet::WEEKDAYS => "Mon to Fri".into(),
        DaySet::WEEKEND => "Sat and Sun".into(),
        some => {
            let names = Weekday::ALL.into_iter().filter(|day| some.has(*day));
            let names: Vec<String> =
                names.map(|day| crate::report::headline::capitalised(day.short())).collect();
            listed(&names)
        }
    }
}
