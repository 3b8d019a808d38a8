//! The header: where a file was measured.

use super::super::fault::{FileFault, FileFaults};
use super::super::fields::{Row, shown};
use super::super::site::Site;
use super::YearLayout;
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
    /// Hours that the file's stamps are ahead of UTC: local standard time but where a file was
    /// fetched in universal time.
    pub stamps_offset: f64,
    /// Metres above the sea; `None` where the file does not say.
    pub elevation: Option<f64>,
}

/// Where the header has what is known of the station.
struct Places {
    code: usize,
    name: usize,
    region: usize,
    zone: usize,
    latitude: usize,
    longitude: usize,
    elevation: usize,
}

impl Station {
    /// Reads the header; `None` where it is wrong.
    pub(super) fn read(layout: YearLayout, head: &[Row], faults: &mut FileFaults) -> Option<Self> {
        let first = head.first()?;
        match layout {
            YearLayout::Tmy3 => {
                let places = Places {
                    code: 0,
                    name: 1,
                    region: 2,
                    zone: 3,
                    latitude: 4,
                    longitude: 5,
                    elevation: 6,
                };
                let remedy =
                    "the first line is: code,name,region,time zone,latitude,longitude,elevation";
                Self::at(first, &places, remedy, faults)
            }
            YearLayout::Epw => {
                let places = Places {
                    code: 5,
                    name: 1,
                    region: 3,
                    zone: 8,
                    latitude: 6,
                    longitude: 7,
                    elevation: 9,
                };
                let remedy = "the first line is: LOCATION,city,state,country,source,number,\
                              latitude,longitude,hours from UTC,elevation";
                let mut station = Self::at(first, &places, remedy, faults)?;
                let state = first.field(2);
                if !["", "-"].contains(&state) {
                    station.region = format!("{state}, {}", station.region);
                }
                Some(station)
            }
            YearLayout::Nsrdb => Self::by_names(first, head.get(1)?, faults),
        }
    }

    fn at(row: &Row, places: &Places, remedy: &str, faults: &mut FileFaults) -> Option<Self> {
        let mut number = |place: usize, what: &str, low: f64, high: f64| {
            let field = row.field(place);
            let found = parse_number(field).filter(|number| (low..=high).contains(number));
            if found.is_none() {
                let what = format!("`{}` is no {what} from {low} to {high}", shown(field));
                faults.add(|| row.fault(place, what, remedy));
            }
            found
        };
        let utc_offset = number(places.zone, "time zone, hours ahead of UTC,", -12.0, 14.0);
        let latitude = number(places.latitude, "latitude in degrees north", -90.0, 90.0);
        let longitude = number(places.longitude, "longitude in degrees east", -180.0, 180.0);
        Some(Self {
            code: row.field(places.code).into(),
            name: row.field(places.name).into(),
            region: row.field(places.region).into(),
            site: Site { latitude: latitude?, longitude: longitude?, utc_offset: utc_offset? },
            stamps_offset: utc_offset?,
            elevation: parse_number(row.field(places.elevation)),
        })
    }

    /// One line has the names, the next their values.
    fn by_names(names: &Row, values: &Row, faults: &mut FileFaults) -> Option<Self> {
        let find = |name: &str| names.fields().position(|field| field.eq_ignore_ascii_case(name));
        let needed = ["Time Zone", "Latitude", "Longitude"].map(|name| (name, find(name)));
        for (name, _) in needed.iter().filter(|(_, place)| place.is_none()) {
            faults.add(|| FileFault {
                line: names.line,
                column: 1,
                width: 1,
                what: format!("the first line has no `{name}`"),
                remedy: "it names what the second line gives: Latitude, Longitude, Time Zone, \
                         Elevation ..."
                    .into(),
            });
        }
        let [(_, zone), (_, latitude), (_, longitude)] = needed;
        let beyond = names.len().max(values.len());
        let place = |name: &str| find(name).unwrap_or(beyond);
        let places = Places {
            code: place("Location ID"),
            name: place("City"),
            region: place("State"),
            zone: zone?,
            latitude: latitude?,
            longitude: longitude?,
            elevation: place("Elevation"),
        };
        let remedy = "the second line gives what the first names, in degrees and hours";
        let mut station = Self::at(values, &places, remedy, faults)?;
        if station.name == "-" {
            station.name.clear();
        }
        if station.region == "-" {
            station.region.clear();
        }
        // Files fetched in universal time say the station's own zone besides.
        let local = find("Local Time Zone").and_then(|place| parse_number(values.field(place)));
        if let Some(local) = local.filter(|hours| (-12.0..=14.0).contains(hours)) {
            station.site.utc_offset = local;
        }
        Some(station)
    }
}
