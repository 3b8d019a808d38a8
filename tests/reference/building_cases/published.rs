//! What other programs found, as ranges.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::cases::Case;

/// Two generations of the published results, with different glass and weather.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Edition {
    /// NREL/TP-472-6231 and Standard 140 from 2001 to 2017: the widest range of both.
    Early,
    /// Standard 140-2020.
    Late,
}

impl Edition {
    pub(crate) const BOTH: [Self; 2] = [Self::Early, Self::Late];

    fn table(self) -> &'static str {
        match self {
            Self::Early => include_str!("data/bestest_1995_2017_ranges.csv"),
            Self::Late => include_str!("data/ashrae140_2020_fabric_ranges.csv"),
        }
    }
}

/// What is compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Quantity {
    Heating,
    Cooling,
    PeakHeating,
    PeakCooling,
    Warmest,
    Coldest,
    Mean,
}

impl Quantity {
    pub(crate) const ALL: [Self; 7] = [
        Self::Heating,
        Self::Cooling,
        Self::PeakHeating,
        Self::PeakCooling,
        Self::Warmest,
        Self::Coldest,
        Self::Mean,
    ];

    fn of_name(name: &str) -> Option<Self> {
        match name {
            "annual_heating" => Some(Self::Heating),
            "annual_sensible_cooling" => Some(Self::Cooling),
            "peak_heating" | "peak_heating_hourly" => Some(Self::PeakHeating),
            "peak_sensible_cooling" | "peak_sensible_cooling_hourly" => Some(Self::PeakCooling),
            "freefloat_max_temp" => Some(Self::Warmest),
            "freefloat_min_temp" => Some(Self::Coldest),
            "freefloat_mean_temp" => Some(Self::Mean),
            _ => None,
        }
    }
}

/// The lowest and the highest result.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Range {
    pub(crate) least: f64,
    pub(crate) most: f64,
}

impl Range {
    fn with(self, other: Self) -> Self {
        Self { least: self.least.min(other.least), most: self.most.max(other.most) }
    }

    /// The widest ratio that results of the two ranges can have.
    pub(crate) fn over(self, other: Self) -> Self {
        Self { least: self.least / other.most, most: self.most / other.least }
    }
}

#[derive(Deserialize)]
struct Row {
    quantity: String,
    case: String,
    min: f64,
    max: f64,
}

/// The published range of each case.
pub(crate) fn ranges(edition: Edition, quantity: Quantity) -> BTreeMap<Case, Range> {
    let mut found: BTreeMap<Case, Range> = BTreeMap::new();
    for row in csv::Reader::from_reader(edition.table().as_bytes()).deserialize::<Row>() {
        let row = row.expect("the table has its columns");
        let (Some(case), Some(named)) =
            (Case::of_number(&row.case), Quantity::of_name(&row.quantity))
        else {
            continue;
        };
        if named == quantity {
            let range = Range { least: row.min, most: row.max };
            let widest = found.get(&case).map_or(range, |known| known.with(range));
            found.insert(case, widest);
        }
    }
    found
}
