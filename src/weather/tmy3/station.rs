//! The first line: where the file was measured.

use super::super::fault::FileFaults;
use super::super::fields::{Row, shown};
use super::super::source::Site;
use crate::units::parse_number;

/// Where a file was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Station {
    /// The file's code for it.
    pub code: String,
    /// Its name.
    pub name: String,
    /// State, province or country.
    pub region: String,
    /// Where it stands, with its local standard time.
    pub site: Site,
    /// Metres above the sea; `None` where the file does not say.
    pub elevation: Option<f64>,
}

impl Station {
    /// Reads the line; `None` where it is wrong.
    pub(super) fn read(row: &Row, faults: &mut FileFaults) -> Option<Self> {
        let mut number = |place: usize, what: &str, low: f64, high: f64| {
            let field = row.field(place);
            let found = parse_number(field).filter(|number| (low..=high).contains(number));
            if found.is_none() {
                let remedy =
                    "the first line is: code,name,region,time zone,latitude,longitude,elevation";
                let what = format!("`{}` is no {what} from {low} to {high}", shown(field));
                faults.add(|| row.fault(place, what, remedy));
            }
            found
        };
        let utc_offset = number(3, "time zone, hours ahead of UTC,", -12.0, 14.0);
        let latitude = number(4, "latitude in degrees north", -90.0, 90.0);
        let longitude = number(5, "longitude in degrees east", -180.0, 180.0);
        Some(Self {
            code: row.field(0).into(),
            name: row.field(1).into(),
            region: row.field(2).into(),
            site: Site { latitude: latitude?, longitude: longitude?, utc_offset: utc_offset? },
            elevation: parse_number(row.field(6)),
        })
    }
}
