//! How a zone knows whether somebody is there.

use super::longer;
use crate::control::{Occupancy, OptimumStart};
use crate::engine::Zone;
use crate::settings::Value;
use crate::time::{DaySet, Seconds, Span, Weekday};

/// Occupancy in one line: `always`, `people`, `sensor 30 min`, `mon tue 08:30 to 18:30; ...`.
pub(crate) fn occupancy(zone: &Zone) -> Value {
    Value::Word(match &zone.controls.occupancy {
        Occupancy::Always => "always".into(),
        Occupancy::People => "people".into(),
        Occupancy::Sensor { hold } => format!("sensor {hold}"),
        Occupancy::Schedule(spans) => spans.iter().map(span_words).collect::<Vec<_>>().join("; "),
    })
}

fn span_words(span: &Span) -> String {
    let every = span.days() == DaySet::EVERY;
    let days = Weekday::ALL.into_iter().filter(|day| !every && span.days().has(*day));
    let mut words: Vec<String> = days.map(|day| day.short().to_owned()).collect();
    words.push(format!("{} to {}", span.from(), span.to()));
    words.join(" ")
}

/// Takes the occupancy away, or lets it be that of the simulated people; spans and sensors are read
/// from the file alone.
pub(crate) fn set_occupancy(zone: &mut Zone, to: &Value) -> Option<()> {
    let Value::Word(word) = to else { return None };
    zone.controls.occupancy = match word.as_str() {
        "always" => Occupancy::Always,
        "people" => Occupancy::People,
        _ => return None,
    };
    Some(())
}

/// Other times to try: one span fewer, or a sensor that holds longer.
pub(crate) fn other_presence(zone: &Zone, _: usize) -> Vec<(String, Zone)> {
    let other = match &zone.controls.occupancy {
        Occupancy::Always | Occupancy::People => return Vec::new(),
        Occupancy::Sensor { hold } => Occupancy::Sensor { hold: longer(*hold) },
        Occupancy::Schedule(spans) => Occupancy::Schedule(spans.iter().skip(1).copied().collect()),
    };
    let mut changed = zone.clone();
    changed.controls.occupancy = other;
    vec![("other times".to_owned(), changed)]
}

/// How early recovery from setback may begin.
pub(crate) fn early_start(zone: &Zone) -> Value {
    Value::or_nothing(zone.controls.optimum_start.map(|it| it.most))
}

/// Writes how early recovery from setback may begin: before spans of a schedule alone.
pub(crate) fn set_early_start(zone: &mut Zone, to: &Value) -> Option<()> {
    if !matches!(zone.controls.occupancy, Occupancy::Schedule(_)) {
        return None;
    }
    zone.controls.optimum_start = match to {
        Value::Nothing => None,
        value => Some(OptimumStart { most: value.time()? }),
    };
    Some(())
}

/// An earlier start to try.
pub(crate) fn earlier(zone: &Zone) -> Vec<Value> {
    let most = zone.controls.optimum_start.map_or(Seconds::ZERO, |it| it.most);
    vec![Value::Time(longer(most))]
}
