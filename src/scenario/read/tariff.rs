//! What electricity costs: prices by hours and days, carbon by hour, a charge on demand.

use crate::engine::{DemandCharge, Rate, Tariff};
use crate::scenario::fault::Complaint;
use crate::scenario::fields::{Checked, Fields};
use crate::time::Span;

pub(super) fn read(fields: &Fields) -> Checked<Tariff> {
    let price = match by_hour(fields, "price") {
        Some(rate) => rate,
        None => by_spans(fields)?,
    };
    let carbon = fields.optional("carbon", by_hour)?;
    let demand = fields.optional("demand", |fields, key| demand(&fields.block(key)?))?;
    Some(Tariff { price, currency: fields.text("currency")?, carbon, demand })
}

/// One number for always, or 24.
fn by_hour(fields: &Fields, key: &str) -> Option<Rate> {
    match fields.number(key) {
        Some(rate) => Some(Rate::Flat(rate)),
        None => Some(Rate::Hourly(Box::new(fields.numbers(key)?.try_into().ok()?))),
    }
}

fn by_spans(fields: &Fields) -> Checked<Rate> {
    let mut spans: Vec<Option<(Span, f64)>> = Vec::new();
    fields.each("price", |one| {
        let span = one.span();
        spans.push(span.zip(one.number("price")));
    });
    // A list of anything but blocks has been reported.
    if spans.is_empty() {
        return None;
    }
    let rate = Rate::Spans(spans.into_iter().collect::<Option<_>>()?);
    if let Some((day, clock)) = rate.gap() {
        let gap = format!("no price holds on {} at {clock}", day.short());
        let remedy = "add a last entry without hours and days, as in `{price: 0.12}`: it holds \
                      whenever no other does";
        fields.fault("price", Complaint::new("gap", gap).help(remedy));
        return None;
    }
    Some(rate)
}

fn demand(fields: &Fields) -> Checked<DemandCharge> {
    let (price, when) = (fields.number("price"), fields.span());
    Some(DemandCharge { price: price?, when: when? })
}
