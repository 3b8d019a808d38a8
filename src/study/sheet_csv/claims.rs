//! What the lines of a sheet show, and what none of them does, as the table carries it: so that
//! filled tables alone say what has been shown ([`crate::study::register`]).

use super::record::{Claim, Need, NotShown, PutOff, Record, TableFault};

/// The column of what a line shows.
pub(super) const SHOWS: &str = "shows";
/// How a requirement begins among what a line shows; its id follows.
pub const REQUIREMENT: &str = "require.";
/// Parts what stands in one cell or comment.
const BETWEEN: &str = " | ";
/// How the comment on a setting begins that no line shows, and that no visit shows.
const HIDDEN: [&str; 2] = ["not_shown.", "never_shown."];
/// How the line of a part begins that has to wait.
const PUT_OFF: &str = "deferred.";
/// A need that is no temperature outside.
const NO_WEATHER: &str = "-";
/// A need of people who come and go.
const OCCUPANCY: &str = "occupancy";

/// What a line shows, as a cell.
pub(super) fn cell(claims: &[Claim]) -> String {
    let all: Vec<String> =
        claims.iter().map(|it| format!("{} = {}", it.subject, plain(&it.value))).collect();
    all.join(BETWEEN)
}

/// What a cell says that its line shows; `None` where it says nothing that can be read.
pub(super) fn of_cell(cell: &str) -> Option<Vec<Claim>> {
    let parts = cell.split(BETWEEN.trim()).map(str::trim).filter(|part| !part.is_empty());
    parts.map(claim).collect()
}

fn claim(text: &str) -> Option<Claim> {
    let (subject, value) = text.split_once('=')?;
    let (subject, value) = (subject.trim().to_owned(), value.trim().to_owned());
    (!subject.is_empty()).then_some(Claim { subject, value })
}

/// The comments behind the table.
pub(super) fn comments(not_shown: &[NotShown], put_off: &[PutOff]) -> Vec<String> {
    let hidden = not_shown.iter().map(|it| {
        let (head, Claim { subject, value }) = (HIDDEN[usize::from(it.never)], &it.claim);
        format!("# {head}{subject} = {}{BETWEEN}{}", plain(value), plain(&it.why))
    });
    let waits = put_off.iter().map(|it| {
        let need = need_words(&it.need);
        format!(
            "# {PUT_OFF}{} = {}{BETWEEN}{need}{BETWEEN}{}",
            it.zone,
            plain(&it.part),
            plain(&it.why)
        )
    });
    hidden.chain(waits).collect()
}

/// Takes in a comment about what is not shown; `false` where it is about something else.
pub(super) fn take(
    (path, value): (&str, &str),
    line: u64,
    record: &mut Record,
    faults: &mut Vec<TableFault>,
) -> bool {
    let parts: Vec<&str> = value.split(BETWEEN.trim()).map(str::trim).collect();
    let hidden = HIDDEN.iter().position(|head| path.starts_with(head));
    if let Some(never) = hidden {
        let [value, why] = parts[..] else { return fault(line, faults) };
        let subject = path[HIDDEN[never].len()..].to_owned();
        let (claim, why) = (Claim { subject, value: value.to_owned() }, why.to_owned());
        record.not_shown.push(NotShown { claim, why, never: never == 1 });
    } else if let Some(zone) = path.strip_prefix(PUT_OFF) {
        let [part, need, why] = parts[..] else { return fault(line, faults) };
        let Some(need) = need_of(need) else { return fault(line, faults) };
        let [zone, part, why] = [zone, part, why].map(str::to_owned);
        record.put_off.push(PutOff { zone, part, need, why });
    }
    hidden.is_some() || path.starts_with(PUT_OFF)
}

fn fault(line: u64, faults: &mut Vec<TableFault>) -> bool {
    let what = "what this line says is not shown cannot be read".to_owned();
    let help = "leave the lines behind the table as the sheet has them, or take this one out";
    faults.push(TableFault { line, column: 0, what, help: help.into() });
    true
}

fn need_words(need: &Need) -> String {
    let (from, to) = match need {
        Need::Other => return NO_WEATHER.into(),
        Need::Occupancy => return OCCUPANCY.into(),
        Need::Outdoor { from, to } => (from, to),
    };
    let end = |word: &str, value: Option<f64>| value.map(|it| format!("{word} {it}"));
    let all: Vec<String> = [end("from", *from), end("to", *to)].into_iter().flatten().collect();
    format!("outdoor {}", all.join(" "))
}

fn need_of(text: &str) -> Option<Need> {
    match text {
        NO_WEATHER => return Some(Need::Other),
        OCCUPANCY => return Some(Need::Occupancy),
        _ => {}
    }
    let (mut from, mut to) = (None, None);
    let mut words = text.strip_prefix("outdoor")?.split_whitespace();
    while let Some(word) = words.next() {
        let value: f64 = words.next()?.parse().ok().filter(|it: &f64| it.is_finite())?;
        match word {
            "from" => from = Some(value),
            "to" => to = Some(value),
            _ => return None,
        }
    }
    Some(Need::Outdoor { from, to })
}

/// A text within a cell or comment: in one line, without what parts them.
fn plain(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '|' => '/',
            '"' => '\'',
            c if c.is_control() => ' ',
            c => c,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::TemperatureUnit;

    #[test]
    fn claims_and_needs_are_read_as_they_were_written() {
        let claim = |subject: &str, value: &str| Claim {
            subject: subject.to_owned(),
            value: value.to_owned(),
        };
        let claims =
            [claim("zones.hall.controls.limits.heat", "17 to 24"), claim("require.R1", "")];
        assert_eq!(of_cell(&cell(&claims)).as_deref(), Some(&claims[..]));
        assert_eq!(of_cell(""), Some(vec![]));
        assert_eq!(of_cell("what is this"), None);
        let needs = [
            Need::Other,
            Need::Occupancy,
            Need::Outdoor { from: None, to: Some(24.0) },
            Need::Outdoor { from: Some(-5.5), to: Some(24.0) },
        ];
        let (zone, part, why) = ("hall", "calls in heating", "too warm");
        let put_off = needs.map(|need| PutOff {
            zone: zone.into(),
            part: part.into(),
            need,
            why: why.into(),
        });
        let hidden = [true, false].map(|never| NotShown {
            claim: claim("zones.hall.controls.low_limit", "5"),
            why: "no room is so cold".into(),
            never,
        });
        let mut record = Record::empty(TemperatureUnit::Celsius);
        let mut faults = Vec::new();
        for line in comments(&hidden, &put_off) {
            let (path, value) = line[2..].split_once(" = ").expect("a comment");
            assert!(take((path, value), 1, &mut record, &mut faults), "{line}");
        }
        assert!(take(("deferred.hall", "calls | tomorrow | why"), 7, &mut record, &mut faults));
        assert!(!take(("temperature", "C"), 1, &mut record, &mut faults));
        assert_eq!((record.put_off, record.not_shown), (put_off.to_vec(), hidden.to_vec()));
        assert_eq!(faults.iter().map(|it| it.line).collect::<Vec<_>>(), [7]);
    }
}
