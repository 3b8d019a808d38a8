//! The keys of the tariff.

use super::super::ranges;
use super::{Block, Kind, optional, or, required};
use crate::settings::controls::DAYS;
use crate::units::Dimension;

const PRICE: Kind = Kind::Number(ranges::PRICE);
const CARBON: Kind = Kind::Size(Dimension::CarbonIntensity, ranges::CARBON);

/// What electricity costs.
pub(super) const TARIFF: &Block = &Block {
    name: "tariff",
    doc: "What electricity costs and what its making gives off.",
    keys: &[
        required(
            "price",
            Kind::Either(&[
                PRICE,
                Kind::Exactly(24, &PRICE),
                Kind::ListOf(&Kind::Block(PRICE_SPAN)),
            ]),
            "Price of a kWh: one number, 24 for the hours of the day, or a list of spans of which \
             the first that fits counts.",
        ),
        or("currency", Kind::Label, "", "In which currency."),
        optional(
            "carbon",
            Kind::Either(&[CARBON, Kind::Exactly(24, &CARBON)]),
            "Carbon dioxide of a kWh: one size, or 24 for the hours of the day.",
        ),
        optional("demand", Kind::Block(DEMAND), "What the highest demand costs."),
    ],
};

/// When a price holds.
const PRICE_SPAN: &Block = &Block {
    name: "price_span",
    doc: "A price for some hours of some days; it holds always where neither is said.",
    keys: &[
        required("price", PRICE, "Price of a kWh."),
        or("from", Kind::Clock, "00:00", "From when."),
        or("to", Kind::Clock, "24:00", "Until when; before `from`, it runs over midnight."),
        optional("days", DAYS, "On which days; every day if left out."),
    ],
};

/// What the highest demand costs.
const DEMAND: &Block = &Block {
    name: "demand",
    doc: "A charge on the highest mean power of a quarter of an hour, of each calendar month.",
    keys: &[
        required("price", PRICE, "Price of a kW, for each calendar month the period is part of."),
        or("from", Kind::Clock, "00:00", "Demand counts from this hour."),
        or("to", Kind::Clock, "24:00", "And until this one."),
        optional("days", DAYS, "On these days; every day if left out."),
    ],
};
