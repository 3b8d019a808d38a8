//! Holidays and daylight saving time.

use jiff::civil::Date;

use crate::scenario::fault::Complaint;
use crate::scenario::fields::{Checked, Fields};
use crate::scenario::keys::{HOLIDAYS, Kind};
use crate::scenario::scalar::{self, Scalar};
use crate::scenario::tree::{Node, Value};
use crate::time::Period;

/// The period with what the file's calendar says about its days.
pub(super) fn read(fields: &Fields, period: Period) -> Checked<Period> {
    let holidays = fields.optional("holidays", read_holidays)?;
    let daylight = fields.optional("daylight_saving", |fields, key| {
        let block = fields.block(key)?;
        let (from, to) = (date(&block, "from")?, date(&block, "to")?);
        if from == to {
            let message = format!("clocks go forward and back on {from}");
            let remedy = "give two dates, or leave the key out";
            block.fault("to", Complaint::new("empty-span", message).help(remedy));
            return None;
        }
        Some((from, to))
    })?;
    let period = holidays
        .into_iter()
        .flatten()
        .fold(period, |period, (first, last)| period.with_holidays(first, last));
    Some(match daylight {
        Some((from, to)) => period.with_daylight_saving(from, to),
        None => period,
    })
}

fn read_holidays(fields: &Fields, key: &str) -> Option<Vec<(Date, Date)>> {
    let path = fields.path.key(key);
    let items = fields.items(key)?.iter().enumerate();
    let read = items.map(|(place, item)| match &item.value {
        Value::Block(_) => {
            let block = Fields::new(fields.checker, HOLIDAYS, item, path.item(place));
            let (from, to) = (date(&block, "from")?, date(&block, "to")?);
            if to < from {
                let message = format!("these holidays run from {from} to {to}");
                let remedy = format!("write {{from: {to}, to: {from}}}");
                block.fault("to", Complaint::new("crossed", message).help(remedy));
                return None;
            }
            Some((from, to))
        }
        _ => date_of(item, fields).map(|day| (day, day)),
    });
    // All are read before the first fault counts.
    let all: Vec<Option<(Date, Date)>> = read.collect();
    all.into_iter().collect()
}

fn date(fields: &Fields, key: &str) -> Option<Date> {
    match fields.read(key)? {
        Scalar::Date(date) => Some(date),
        _ => None,
    }
}

fn date_of(node: &Node, fields: &Fields) -> Option<Date> {
    match scalar::read(node, &Kind::Date, fields.checker.unit) {
        Ok(Scalar::Date(date)) => Some(date),
        _ => None,
    }
}
